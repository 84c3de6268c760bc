"""Every foot and hundredths in another language than English, for the crew benchmark.

``python -m tests.bench.bench_language_calls speak FOLDER``, then ``hear FOLDER [CONDITION ...]``,
then ``pack FOLDER``. Two reported voices say every whole foot and every hundredths, each kind in
one stretch, in forms drawn by chance; the encoder model of the language hears them under each
condition as in the field. So it does the same calls by the metric grammar ("pink 10, metric"), and
calls that name what they count ("pink 10, named"), readings among them. What it made of a stretch
under one condition is a file of its own, so that a run broken off goes on where it stopped.
``pack`` writes the benchmark's file of the conditions that were heard whole, and keeps what came of
the calls; ``count`` keeps what came of what was heard, and packs nothing.
"""

from __future__ import annotations

import itertools
import json
import random
import sys
import zlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

import numpy as np
import soundfile
from pydantic import TypeAdapter

from calllog.audio import RATE_HZ
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.recognise.evidence import hypotheses
from calllog.resources import ENCODER_MODELS, grammar_text, model_folder, read_grammar
from calllog.spoken import Grammar, Parser, named_forms, spoken_forms
from calllog.values import Expectation, Kind
from tests.bench.bench_endpoint import active, scene
from tests.bench.bench_language import GRAMMAR, LANGUAGE, SEED, hear_stretch
from tests.bench.bench_recognition import LEVEL, PAUSE_S, Said
from tests.bench.crew_corpus import PATHS, Corpus, SaidCall, pack
from tests.bench.make_crew_corpus import understood
from tests.bench.spanish_voices import say_spanish
from tests.bench.voices import active_rms
from tests.measured.results import keep

VOICES = ("festival-el", "espeak-m7")
"""Of the reported ones those that speak faster than they are heard."""
CONDITIONS = {
    "clean": "quiet",
    "pink 10": "pink 10 dB",
    "pink 15": "pink 15 dB",
    "wind 5": "wind 5 dB",
}
"""By the crew benchmark's name, the name in `bench_language`."""
METRIC, METRIC_GRAMMAR = "metric", "es-metric"
"""The same calls heard by the grammar of metric tapes: counted, but no part of the crews' calls."""
NAMED = "named"
"""Calls that name feet and hundredths; counted too, and in a folder of their own."""
APART = tuple(
    f"{condition}, {way}" for way in (METRIC, NAMED) for condition in ("clean", "pink 10", "wind 5")
)
"""What is counted beside the crews' calls, and how it was heard."""
KINDS = {Kind.WHOLE: range(0, 10_001, 100), Kind.FRACTION: range(100)}
READINGS = range(137, 10_000, 98)
"""About a hundred feet and hundredths, for calls that name both."""
VERDICTS = ("right", "wrong", "asked", "ignored", "missed")
CALLS = TypeAdapter(list[SaidCall])


def plain(grammar: Grammar, kind: Kind, value: int) -> tuple[str, ...]:
    """List the ways to say a value that do not name what is counted."""
    return spoken_forms(grammar, kind, value)


def named(grammar: Grammar, kind: Kind, value: int) -> tuple[str, ...]:
    """List the ways that do."""
    return named_forms(grammar, kind, value)


def speak(
    folder: Path,
    forms: Callable[[Grammar, Kind, int], tuple[str, ...]] = plain,
    kinds: Mapping[Kind, Sequence[int]] = KINDS,
    label: str = "crew",
) -> None:
    """Let each voice say everything, unless it has."""
    folder.mkdir(parents=True, exist_ok=True)
    grammar = read_grammar(GRAMMAR)
    for voice in VOICES:
        path = folder / f"{voice}.json"
        if path.exists():
            continue
        rng = random.Random(SEED + zlib.crc32(f"{voice} {label}".encode()))  # noqa: S311 - no secret
        kept = {}
        for kind, values in kinds.items():
            said = [Said(rng.choice(forms(grammar, kind, each)), kind, each) for each in values]
            rng.shuffle(said)
            spoken = map(active, say_spanish([one.words for one in said], voice))
            sounds = [np.asarray(s * (LEVEL / active_rms(s)), np.float32) for s in spoken]
            truth = scene(sounds, [PAUSE_S] * len(sounds))
            soundfile.write(folder / f"{voice}.{kind}.flac", truth.sound, RATE_HZ)
            kept[kind.value] = [
                {"said": asdict(one), "start_s": start, "end_s": end}
                for one, (start, end) in zip(said, truth.spans, strict=True)
            ]
        path.write_text(json.dumps(kept), "utf-8")


def _way(condition: str) -> str:
    """Tell in which way a condition is heard that stands apart; empty for the crews' own."""
    return condition.partition(", ")[2]


def _folder(folder: Path, condition: str) -> Path:
    return folder / NAMED if _way(condition) == NAMED else folder


def _kinds(condition: str) -> tuple[Kind, ...]:
    return (*KINDS, Kind.READING) if _way(condition) == NAMED else tuple(KINDS)


def _heard(folder: Path, voice: str, kind: Kind, condition: str) -> Path:
    return _folder(folder, condition) / f"{voice}.{kind}.{condition}.heard.json"


def hear(folder: Path, conditions: Iterable[str]) -> None:
    """Hear all stretches under some conditions, unless they were."""
    for way, those in itertools.groupby(conditions, _way):
        grammar = read_grammar(METRIC_GRAMMAR if way == METRIC else GRAMMAR)
        with EncoderRecogniser(grammar, model_folder(ENCODER_MODELS[LANGUAGE])) as engine:
            for condition in those:
                for voice, kind in itertools.product(VOICES, _kinds(condition)):
                    _hear(folder, engine, Parser(grammar), (voice, kind, condition))


def _hear(
    folder: Path, engine: EncoderRecogniser, parser: Parser, stretch: tuple[str, Kind, str]
) -> None:
    voice, kind, condition = stretch
    path = _heard(folder, voice, kind, condition)
    if path.exists():
        return
    expects = Expectation(kind.value)
    noise = CONDITIONS[condition.partition(", ")[0]]
    calls = [
        SaidCall(
            voice,
            condition,
            kind,
            thing.said.value or 0,
            thing.said.words,
            tuple(
                understood(parser, hypotheses(each, engine.calibration), expects)
                for each in thing.heard
            ),
        )
        for thing in hear_stretch(_folder(folder, condition), engine, voice, expects, noise)
    ]
    path.write_bytes(CALLS.dump_json(calls))
    sys.stderr.write(f"{path.name}\n")


def gathered(folder: Path, conditions: Iterable[str]) -> list[SaidCall]:
    """Read what was heard under each condition that was heard whole."""
    calls: list[SaidCall] = []
    for condition in conditions:
        stretches = itertools.product(VOICES, _kinds(condition))
        paths = [_heard(folder, *each, condition) for each in stretches]
        if all(path.exists() for path in paths):
            for path in paths:
                calls += CALLS.validate_json(path.read_bytes())
    return calls


def packed(folder: Path) -> Corpus:
    """Gather what crews may call."""
    model = model_folder(ENCODER_MODELS[LANGUAGE])
    with EncoderRecogniser(read_grammar(GRAMMAR), model) as engine:
        identity = engine.identity
    text, _ = grammar_text(GRAMMAR)
    date = datetime.now(UTC).date().isoformat()
    calls = tuple(gathered(folder, CONDITIONS))
    return Corpus(date, identity, sha256(text.encode()).hexdigest(), (), VOICES, calls)


def table(calls: Sequence[SaidCall]) -> dict[str, dict[str, object]]:
    """Count what came of the calls, by condition and voice."""
    found: dict[str, dict[str, object]] = {}
    for condition in (*CONDITIONS, *APART):
        for voices in (VOICES, *((each,) for each in VOICES)):
            there = [
                each.verdict
                for each in calls
                if each.condition == condition and each.voice in voices
            ]
            if there:
                shares = {f"{name} %": 100 * there.count(name) / len(there) for name in VERDICTS}
                name = "both" if len(voices) > 1 else voices[0]
                found[f"{condition}, {name}"] = {"n": len(there), **shares}
    return found


def main(do: str, folder: Path, *rest: str) -> None:
    """Speak, hear, pack or count."""
    if do == "speak":
        speak(folder)
        speak(folder / NAMED, named, {**KINDS, Kind.READING: READINGS}, NAMED)
    elif do == "hear":
        hear(folder, rest or (*CONDITIONS, *APART))
    elif do == "count":
        found = {"calls": table(gathered(folder, (*CONDITIONS, *APART)))}
        keep("spanish-apart", found, n="as each row says", voices=VOICES)
    else:
        corpus = packed(folder)
        pack(corpus, PATHS[LANGUAGE])
        found = {"calls": table([*corpus.calls, *gathered(folder, APART)])}
        keep("spanish-crew-calls", found, n="as each row says", voices=VOICES)


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), *sys.argv[3:])
