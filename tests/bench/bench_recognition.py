"""Benchmark of listening, from sound to understood calls: right, wrong, asked again, missed.

Voices that nothing was tuned on say random feet and hundredths in all spoken forms, commands,
and talk that is no call, in one stretch of sound for each condition; `utterances` finds them as it
does in the field, and what hears by default hears them. A call counts as right only if it comes out
once, taken, with its value.
Run with ``python -m tests.bench.bench_recognition [voice ...]``.
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from calllog.audio import RATE_HZ, Utterance, utterances
from calllog.commands.engine import DEFAULT_ENGINE, open_recogniser
from calllog.recognise import Heard, Recogniser, understand
from calllog.spoken import Grammar, Parser, load_grammar, spoken_forms
from calllog.values import Expectation, Kind, Outcome
from tests.audio.frames import Frames
from tests.bench.bench_endpoint import Scene, active, scene
from tests.bench.sureness import Told, calibration_error
from tests.bench.talk import REPORTING_TALK
from tests.bench.voices import REPORTING_VOICES, active_rms, mix, pink, synthesise, wind
from tests.measured.results import keep

GRAMMAR = Path(__file__).parents[2] / "grammars" / "en-us-feet.toml"
LIMIT = 10_000
CALLS = 50
"""Of each kind, for each voice and condition."""
SEED = 1125
LEVEL = 0.05
PAUSE_S = 1.5
CONDITIONS = {
    "clean": (pink, 40.0),
    "pink 15 dB": (pink, 15.0),
    "pink 10 dB": (pink, 10.0),
    "wind 5 dB": (wind, 5.0),
}
"""Kind of noise, SNR over active speech [dB]."""
NUMBERS = frozenset({Kind.WHOLE, Kind.FRACTION, Kind.READING, Kind.NUMBER})


@dataclass(frozen=True, slots=True)
class Said:
    """One thing said, and what it means; kind CHATTER for what is no call."""

    words: str
    kind: Kind
    value: int | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """What came out for one thing said."""

    said: Said
    heard: tuple[Heard, ...]

    @property
    def verdict(self) -> str:
        """Tell apart right, wrong, asked, ignored and missed; a split that is taken is wrong."""
        taken = [each for each in self.heard if each.outcome is Outcome.CALL]
        if taken:
            is_right = len(self.heard) == 1 and self._is_meant(self.heard[0])
            return "right" if is_right else "wrong"
        if any(each.outcome is Outcome.ASK for each in self.heard):
            return "asked"
        return "ignored" if self.heard else "missed"

    @property
    def is_near(self) -> bool:
        """Tell whether the right meaning is among the three likeliest."""
        return any(
            (other.kind, other.value) == (self.said.kind, self.said.value)
            and (other.value is not None or other.text == self.said.words)
            for each in self.heard[:1]
            for other in each.alternatives[:3]
        )

    def _is_meant(self, heard: Heard) -> bool:
        said = self.said
        return (heard.kind, heard.value, heard.name) == (said.kind, said.value, said.name)


def numbers(grammar: Grammar, kind: Kind, rng: random.Random) -> list[Said]:
    """Draw calls: whole feet 0 to 100, hundredths 0 to 99 or readings, each in a random form."""
    spans = {Kind.WHOLE: (0, 10_000, 100), Kind.FRACTION: (0, 99, 1), Kind.READING: (0, 10_000, 1)}
    first, last, step = spans[kind]
    values = [rng.randrange(first, last + 1, step) for _ in range(CALLS)]
    return [Said(rng.choice(spoken_forms(grammar, kind, v)), kind, v) for v in values]


def commands(grammar: Grammar) -> list[Said]:
    """List every command phrase once."""
    named = grammar.commands.items()
    return [Said(p, Kind.COMMAND, name=name) for name, phrases in named for p in phrases]


def spoken_scene(said: Sequence[Said], voice: str) -> Scene:
    """Speak everything in one stretch, each at the same active level."""
    sounds = []
    for each in said:
        sound = active(synthesise(each.words, voice))
        sounds.append(np.asarray(sound * (LEVEL / active_rms(sound)), np.float32))
    return scene(sounds, [PAUSE_S] * len(sounds))


class Bench:
    """One recogniser, its answers and the time that it took."""

    def __init__(self, recogniser: Recogniser, parser: Parser) -> None:
        self._recogniser = recogniser
        self._parser = parser
        self.heard_s = 0.0
        self.finding_s = 0.0
        self.recognising_s = 0.0
        self.delays_s: list[float] = []

    def listen(
        self,
        said: Sequence[Said],
        truth: Scene,
        expects: Expectation,
        heard_as: tuple[str, str, int],
    ) -> list[Answer]:
        """Let a voice be heard in a condition (and seed); give the answer to each thing said."""
        _, condition, seed = heard_as
        noise, snr_db = CONDITIONS[condition]
        sound = mix(truth.sound, noise(truth.sound.size, np.random.default_rng(seed)), snr_db)
        source = Frames([sound[:, None]])
        begin = time.process_time()
        found = list(utterances(source))
        self.finding_s += time.process_time() - begin
        self.heard_s += sound.size / RATE_HZ
        understood = [(each, self._understand(each, expects)) for each in found]
        return [
            Answer(each, tuple(h for u, h in understood if u.start_s < end and start < u.end_s))
            for each, (start, end) in zip(said, truth.spans, strict=True)
        ]

    def _understand(self, utterance: Utterance, expects: Expectation) -> Heard:
        begin = time.process_time()
        hypotheses = self._recogniser.recognise(utterance, expects)
        heard = understand(self._parser, hypotheses, expects, LIMIT)
        delay_s = time.process_time() - begin
        self.delays_s.append(delay_s)
        self.recognising_s += delay_s
        return heard


def table(answers: Iterable[Answer]) -> dict[str, float]:
    """Count the verdicts on calls; shares in percent."""
    answers = list(answers)
    counts = Counter(answer.verdict for answer in answers)
    shares = {
        f"{verdict} %": round(100.0 * counts[verdict] / len(answers), 1)
        for verdict in ("right", "wrong", "asked", "ignored", "missed")
    }
    near = sum(answer.is_near for answer in answers)
    return {"n": len(answers), **shares, "right in top 3 %": round(100.0 * near / len(answers), 1)}


def false_accepts(answers: Iterable[Answer]) -> dict[str, int]:
    """Count what was made of talk that is no call; one sentence counts once, for the worst."""
    counts = Counter({"n": 0, "number": 0, "command or condition": 0, "asked": 0})
    for answer in answers:
        counts["n"] += 1
        taken = [heard for heard in answer.heard if heard.outcome is Outcome.CALL]
        if any(heard.kind in NUMBERS for heard in taken):
            counts["number"] += 1
        elif taken:
            counts["command or condition"] += 1
        elif any(heard.outcome is Outcome.ASK for heard in answer.heard):
            counts["asked"] += 1
    return dict(counts)


def told_of_taken(answers: Iterable[Answer]) -> list[Told]:
    """List how sure it was of what it took, and whether that was right."""
    return [
        (heard.probability, answer.verdict == "right")
        for answer in answers
        for heard in answer.heard
        if heard.outcome is Outcome.CALL
    ]


def error_of_taken(answers: Iterable[Answer]) -> float:
    """Give the expected calibration error of what it took."""
    return round(calibration_error(told_of_taken(answers)), 4)


def main(voices: Sequence[str]) -> None:
    """Print the figures of the voices."""
    grammar = load_grammar(GRAMMAR.read_text("utf-8"))
    by_task: dict[str, dict[str, dict[str, list[Answer]]]] = {}
    with open_recogniser(DEFAULT_ENGINE, None) as (recogniser, parser):
        bench = Bench(recogniser, parser)
        for index, voice in enumerate(voices):
            rng = random.Random(SEED + index)  # noqa: S311 - which calls are drawn is no secret
            tasks = {
                "whole": (numbers(grammar, Kind.WHOLE, rng), Expectation.WHOLE),
                "fraction": (numbers(grammar, Kind.FRACTION, rng), Expectation.FRACTION),
                "reading": (numbers(grammar, Kind.READING, rng), Expectation.READING),
                "command": (commands(grammar), Expectation.WHOLE),
                "talk, whole": ([Said(t, Kind.CHATTER) for t in REPORTING_TALK], Expectation.WHOLE),
                "talk, fraction": (
                    [Said(t, Kind.CHATTER) for t in REPORTING_TALK],
                    Expectation.FRACTION,
                ),
            }
            for task, (said, expects) in tasks.items():
                truth = spoken_scene(said, voice)
                for number, condition in enumerate(CONDITIONS):
                    heard_as = (voice, condition, SEED + number)
                    answers = bench.listen(said, truth, expects, heard_as)
                    by_task.setdefault(task, {}).setdefault(condition, {})[voice] = answers
                    _show(voice, condition, task, answers)
        identity = recogniser.identity
    result = {
        "heard by": identity,
        "both kinds together": {
            condition: {
                voice: table(
                    by_task["whole"][condition][voice] + by_task["fraction"][condition][voice]
                )
                for voice in voices
            }
            | {
                "all": table(
                    _all(by_task["whole"][condition]) + _all(by_task["fraction"][condition])
                )
            }
            for condition in CONDITIONS
        },
        **{
            task: {condition: table(_all(each)) for condition, each in by_task[task].items()}
            for task in ("whole", "fraction", "reading", "command")
        },
        **{
            task: {
                condition: false_accepts(_all(each)) for condition, each in by_task[task].items()
            }
            for task in ("talk, whole", "talk, fraction")
        },
        "expected calibration error": {
            condition: error_of_taken(
                _all(by_task["whole"][condition]) + _all(by_task["fraction"][condition])
            )
            for condition in CONDITIONS
        },
        "share of real time": {
            "finding utterances": round(bench.finding_s / bench.heard_s, 4),
            "recognising, of all sound": round(bench.recognising_s / bench.heard_s, 4),
        },
        "recognising an utterance [s]": {
            "median": round(float(np.median(bench.delays_s)), 3),
            "95 %": round(float(np.percentile(bench.delays_s, 95)), 3),
        },
    }
    n = "as each row says; both kinds together: feet and hundredths"
    keep("recognition", result, n=n, voices=voices)


def _all(by_voice: dict[str, list[Answer]]) -> list[Answer]:
    return [answer for answers in by_voice.values() for answer in answers]


def _show(voice: str, condition: str, task: str, answers: Sequence[Answer]) -> None:
    figures = false_accepts(answers) if task.startswith("talk") else table(answers)
    sys.stderr.write(f"{voice}, {condition}, {task}: {json.dumps(figures)}\n")


if __name__ == "__main__":
    main(sys.argv[1:] or REPORTING_VOICES)
