"""Really decoded calls for the crew benchmark: a packed file in, frozen records out; reader.

`tests.bench.make_crew_corpus` makes the file: synthetic voices say every whole foot and every
hundredths under each condition, the endpointer and the encoder model hear them as in the field.
What came out is kept with all its alternatives, so that a benchmark can draw calls of one voice
without decoding again.
"""

from __future__ import annotations

import json
import lzma
import math
from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from calllog.values import Alternative, Kind, Outcome

LISTENERS = ("encoder",)
"""Whose calls are here: of the encoder model alone, by which calllog listens."""
SPANISH = "es"
"""Calls in Spanish, of the encoder model (`tests.bench.bench_language_calls`)."""
PEOPLE = "people"
"""Calls of recorded people, figure by figure, of the encoder model."""
PATHS = {
    name: Path(__file__).parent / "data" / f"crew-calls-{name}.json.xz"
    for name in (*LISTENERS, SPANISH, PEOPLE)
}
FORMAT = 1
CONDITIONS = ("clean", "pink 15", "pink 10", "wind 5")
TUNE_VOICES = ("flite-awb", "espeak-m3", "kokoro-af_sarah", "kokoro-bm_fable")
"""Calibration may be fitted on these; all are tuning voices of the listeners too."""
TEST_VOICES = (
    *("piper-joe", "flite-rms", "flite-slt", "festival-ked", "recorded-man", "kokoro-bf_emma"),
    "pico-en-GB",
)
"""Figures are reported on these, nothing is fitted on them (see `models.training.voices`)."""
CENTINATS = 100.0
"""Probabilities are packed as -100 times their natural logarithm, rounded."""


@dataclass(frozen=True, slots=True)
class HeardCall:
    """One utterance as `calllog.recognise.understand` took it."""

    outcome: Outcome
    kind: Kind
    value: int | None
    """Hundredths of a foot of what was taken; None for what was not, or is no number."""
    alternatives: tuple[Alternative, ...]
    """One for each meaning, likeliest first, not rounded to four digits as in the field; "no call"
    has no text."""

    def taken(self, kind: Kind, sure: float) -> HeardCall:
        """Give it as it is taken where a number of a kind must be so likely (see `understand`)."""
        if self.outcome is not Outcome.ASK or not self.alternatives:
            return self
        first = self.alternatives[0]
        if first.kind is not kind or first.value is None or first.probability < sure:
            return self
        return HeardCall(Outcome.CALL, kind, first.value, self.alternatives)

    @property
    def no_call(self) -> float:
        """Give the probability that this is no call."""
        return sum(each.probability for each in self.alternatives if not each.text)

    def probability(self, kind: Kind, value: int) -> float:
        """Give the probability of a value (hundredths of a foot); 0 if it is not listed."""
        return sum(
            each.probability
            for each in self.alternatives
            if (each.kind, each.value) == (kind, value)
        )


@dataclass(frozen=True, slots=True)
class SaidCall:
    """One call that was said, and what came out: nothing, one utterance, or parts of it."""

    voice: str
    condition: str
    kind: Kind
    """What was expected and said: whole, fraction or reading."""
    value: int
    """Hundredths of a foot."""
    words: str
    heard: tuple[HeardCall, ...]

    @property
    def outcome(self) -> str:
        """Say what came out: ``call``, ``ask``, ``ignored``, ``missed`` or ``split``."""
        match self.heard:
            case ():
                return "missed"
            case (one,):
                return one.outcome.value
            case _:
                return "split"

    @property
    def verdict(self) -> str:
        """Tell apart right, wrong, asked, ignored and missed; a split that is taken is wrong."""
        taken = [each for each in self.heard if each.outcome is Outcome.CALL]
        if taken:
            is_right = len(self.heard) == 1 and (taken[0].kind, taken[0].value) == (
                self.kind,
                self.value,
            )
            return "right" if is_right else "wrong"
        if any(each.outcome is Outcome.ASK for each in self.heard):
            return "asked"
        return "ignored" if self.heard else "missed"


@dataclass(frozen=True)
class Corpus:
    """All decoded calls, and what decoded them."""

    date: str
    engine: str
    grammar_sha256: str
    tune: tuple[str, ...]
    test: tuple[str, ...]
    calls: tuple[SaidCall, ...]

    @cached_property
    def by_value(self) -> dict[tuple[str, str, Kind, int], tuple[SaidCall, ...]]:
        """Give the calls of a voice, condition, kind and value."""
        found: dict[tuple[str, str, Kind, int], list[SaidCall]] = defaultdict(list)
        for call in self.calls:
            found[call.voice, call.condition, call.kind, call.value].append(call)
        return {key: tuple(calls) for key, calls in found.items()}


def load_corpus(path: Path = PATHS["encoder"]) -> Corpus:
    """Read the packed file.

    Raises:
        ValueError: the file has another format.
    """
    packed = json.loads(lzma.decompress(path.read_bytes()))
    if packed["format"] != FORMAT:
        message = f"{path.name}: format {packed['format']}, not {FORMAT}; make it anew"
        raise ValueError(message)
    meanings = {
        kind: [(text, Kind(meant), value) for text, meant, value in listed]
        for kind, listed in packed["meanings"].items()
    }
    return Corpus(
        packed["date"],
        packed["engine"],
        packed["grammar_sha256"],
        tuple(packed["tune"]),
        tuple(packed["test"]),
        tuple(
            SaidCall(
                voice=group["voice"],
                condition=group["condition"],
                kind=Kind(group["kind"]),
                value=value,
                words=packed["words"][words],
                heard=tuple(_heard(each, meanings[group["kind"]]) for each in heard),
            )
            for group in packed["groups"]
            for value, words, heard in group["calls"]
        ),
    )


def pack(corpus: Corpus, path: Path) -> None:
    """Write the packed file; each wording and each meaning stands in it once."""
    words: dict[str, int] = {}
    meanings: dict[str, dict[tuple[str, str, int | None], int]] = {}
    groups: dict[tuple[str, str, str], list[Any]] = {}
    for call in corpus.calls:
        known = meanings.setdefault(call.kind.value, {})
        heard = [
            [
                each.outcome.value,
                each.kind.value,
                each.value,
                [known.setdefault(_meaning(other), len(known)) for other in each.alternatives],
                [_centinats(other.probability) for other in each.alternatives],
            ]
            for each in call.heard
        ]
        groups.setdefault((call.voice, call.condition, call.kind.value), []).append(
            [call.value, words.setdefault(call.words, len(words)), heard]
        )
    packed = {
        "format": FORMAT,
        "date": corpus.date,
        "engine": corpus.engine,
        "grammar_sha256": corpus.grammar_sha256,
        "tune": corpus.tune,
        "test": corpus.test,
        "words": list(words),
        "meanings": {kind: list(known) for kind, known in meanings.items()},
        "groups": [
            {"voice": voice, "condition": condition, "kind": kind, "calls": calls}
            for (voice, condition, kind), calls in groups.items()
        ],
    }
    text = json.dumps(packed, separators=(",", ":"))
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(lzma.compress(text.encode(), preset=9 | lzma.PRESET_EXTREME))


def _heard(packed: list[Any], meanings: list[tuple[str, Kind, int | None]]) -> HeardCall:
    outcome, kind, value, indices, nats = packed
    alternatives = tuple(
        Alternative(
            text=meanings[index][0],
            kind=meanings[index][1],
            value=meanings[index][2],
            probability=math.exp(-each / CENTINATS),
        )
        for index, each in zip(indices, nats, strict=True)
    )
    return HeardCall(Outcome(outcome), Kind(kind), value, alternatives)


def _meaning(alternative: Alternative) -> tuple[str, str, int | None]:
    return alternative.text, alternative.kind.value, alternative.value


def _centinats(probability: float) -> int:
    return round(-CENTINATS * math.log(probability))
