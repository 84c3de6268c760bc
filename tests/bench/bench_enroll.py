"""Benchmark of enrolment: what calls people get right before and after the program learned them.

``python -m tests.bench.bench_enroll PEOPLE [--calls 80] [--processes 2] [--plot FILE.svg]``, or
``--whole`` for voices that are enrolled with figures and tested on numbers said whole.
PEOPLE holds a folder for each person with ``DIGIT_INDEX.flac``, single digits said by that person,
and ``noise/rain``. Calls of two figures are put together with 40 to 140 ms between them, one half
feet, one half hundredths, and go through the endpointer as in the field, one after the other on one
channel. 24 are learned from, put together of some recordings; others are tested on:
either the second half of the recordings (another part of the session, in quiet and with each other
kind of noise) or, where it says so, every other one. Profiles of other people are tried on each
person too; they are kept in a temporary folder.
"""

from __future__ import annotations

import argparse
import math
import multiprocessing
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path

import numpy as np
import soundfile
import soxr
from scipy.stats import binomtest

from calllog.audio import RATE_HZ, Utterance, utterances
from calllog.errors import ConfigError
from calllog.recognise import Hypothesis, understand
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.resources import ENCODER_MODEL, model_folder, read_grammar
from calllog.spoken import Parser
from calllog.values import Expectation, Outcome
from calllog.voices import known_voices, read_voice, voices_folder, write_voice
from calllog.voices.clips import Said
from calllog.voices.enrolling import Enroller
from tests.audio.frames import Frames
from tests.bench.people import outdoors
from tests.bench.recorded_voice import recorded_says
from tests.bench.voices import Sound, active_rms, mix, pink, synthesise
from tests.measured.results import keep

SLACK = 0.001
"""Probabilities are rounded."""
FIGURES = "zero one two three four five six seven eight nine".split()
RECORDINGS = 50
LEVEL, LIMIT = 0.05, 10_000
APART_S = (0.04, 0.14)
BEFORE_S, AFTER_S = 1.2, 0.9
ENROLLED, CURVE = 24, (12, 24, 48, 96)
MAN = "man"
"""Who is enrolled with ``--whole`` alone: the recorded man of `tests.bench.recorded_voice`."""
TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50}
"""Those that the recorded man has."""
WHOLE = (
    *zip(TEENS, range(10, 20), strict=True),
    *TENS.items(),
    *((f"{ten} {FIGURES[one]}", value + one) for one, (ten, value) in enumerate(TENS.items(), 1)),
)
"""Numbers said whole."""
NOT_PEOPLE = (MAN, "flite-rms", "flite-slt")
"""Voices that report, of which each word is one recording, or each sentence one sound."""
HALVES = (range(25), range(25, RECORDINGS))
EVERY_OTHER = (range(0, RECORDINGS, 2), range(1, RECORDINGS, 2))
SPLITS = {"halves": HALVES, "every other": EVERY_OTHER}
CONDITIONS = {
    "clean": ("pink", 40.0),
    "pink 10 dB": ("pink", 10.0),
    "rain 5 dB": ("rain", 5.0),
}
"""Kind of noise, and SNR over active speech [dB]."""


@dataclass(frozen=True, slots=True)
class Task:
    """Calls of a person under a condition, heard by nobody's voice or somebody's."""

    people: Path
    person: str
    split: str
    condition: str
    voice: str
    """Name of the profile; empty for none."""
    voices: Path
    calls: int


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one call."""

    said: str
    verdict: str
    sure: float
    meant: str
    odds: dict[str, float]
    """Probability of each meaning that was listed."""


@cache
def _digit(people: Path, person: str, digit: int, index: int) -> Sound:
    sound, rate_hz = soundfile.read(people / person / f"{digit}_{index:02d}.flac", dtype="float32")
    at_16_khz = np.asarray(soxr.resample(sound, rate_hz, RATE_HZ), np.float32)
    return np.asarray(at_16_khz * (LEVEL / max(active_rms(at_16_khz), 1e-4)), np.float32)


def call(
    people: Path, person: str, digits: Sequence[int], of: range, rng: np.random.Generator
) -> Sound:
    """Put a call together from recordings of single digits."""
    if person in NOT_PEOPLE:
        return says(person, " ".join(FIGURES[each] for each in digits))
    parts = []
    for digit in digits:
        parts.append(_digit(people, person, digit, int(rng.choice(np.array(of)))))
        parts.append(np.zeros(int(rng.uniform(*APART_S) * RATE_HZ), np.float32))
    return np.concatenate(parts[:-1])


def says(voice: str, text: str) -> Sound:
    """Let the recorded man or a synthetic voice say words."""
    said = recorded_says(text) if voice == MAN else synthesise(text, voice)
    return np.asarray(said * (LEVEL / active_rms(said)), np.float32)


def heard_as(
    people: Path, sound: Sound, condition: str, rng: np.random.Generator
) -> Utterance | None:
    """Let the endpointer find a call in its noise; None where it finds none, or two."""
    before, after = (np.zeros(int(s * RATE_HZ), np.float32) for s in (BEFORE_S, AFTER_S))
    full = np.concatenate([before, sound, after])
    kind, snr_db = CONDITIONS[condition]
    noise = pink(len(full), rng) if kind == "pink" else outdoors(people, kind, len(full), rng)
    noisy = mix(full, noise, snr_db)
    source = Frames([noisy[:, None]])
    found = list(utterances(source))
    return found[0] if len(found) == 1 else None


def enrol(task: Task, calls: int, name: str) -> tuple[str, float, float, int]:
    """Learn a person; give name, CPU seconds of learning, gain [nat] and the profile's bytes.

    Zeros where learning was refused: such a person is heard without a voice.
    """
    rng = np.random.default_rng([calls, ord(task.person[0])])
    digits = [int(d) for _ in range(-(-calls // 5)) for d in rng.permutation(10)]
    grammar = read_grammar()
    with EncoderRecogniser(grammar, model_folder(ENCODER_MODEL)) as recogniser:
        enroller = Enroller(recogniser)
        tried = []
        for number in range(calls):
            both = digits[2 * number : 2 * number + 2]
            if number % 2 == 0 and both[0] == 0:
                both = [1, both[1]]
            sound = call(task.people, task.person, both, SPLITS[task.split][0], rng)
            expects = (Expectation.WHOLE, Expectation.FRACTION)[number % 2]
            text = " ".join(FIGURES[each] for each in both)
            found = heard_as(task.people, sound, "clean", rng)
            tried.append(enroller.try_call(Said(expects, (text,), found, str(number))))
        begin_s = time.process_time()
        try:
            profile = enroller.learn(name, tried, date(2026, 11, 29))
        except ConfigError as error:
            sys.stderr.write(f"{error}\n")
            return name, 0.0, 0.0, 0
        took_s = time.process_time() - begin_s
    write_voice(profile, task.voices)
    return name, took_s, profile.gained_nats, len(profile.text().encode())


def hear(task: Task) -> tuple[Task, list[Answer]]:
    """Hear all calls of a task, one after the other on one channel."""
    rng = np.random.default_rng([7, ord(task.person[0]), len(task.split)])
    grammar = read_grammar()
    parser = Parser(grammar)
    voices = {}
    if task.voice in known_voices(task.voices):
        profile = read_voice(task.voice, task.voices)
        voices = {0: (profile.voice,)}
    answers = []
    with EncoderRecogniser(grammar, model_folder(ENCODER_MODEL), voices=voices) as recogniser:
        for number in range(task.calls):
            expects = (Expectation.WHOLE, Expectation.FRACTION)[number % 2]
            digits = [int(each) for each in rng.integers(number % 2 == 0, 10, 2)]
            sound = call(task.people, task.person, digits, SPLITS[task.split][1], rng)
            found = heard_as(
                task.people, sound, task.condition, np.random.default_rng([number, 11])
            )
            heard: tuple[Hypothesis, ...] = ()
            if found is not None:
                placed = Utterance(
                    found.samples,
                    found.lead,
                    10.0 * number,
                    10.0 * number + 1.0,
                    0,
                    "bench",
                    is_cut=False,
                )
                heard = recogniser.recognise(placed, expects)
            answers.append(_answer(parser, digits, heard, expects))
    return task, answers


def _answer(
    parser: Parser, digits: Sequence[int], heard: tuple[Hypothesis, ...], expects: Expectation
) -> Answer:
    found = understand(parser, heard, expects, LIMIT)
    value = digits[0] * 10 + digits[1]
    wanted = value * 100 if expects is Expectation.WHOLE else value
    verdict = "refused"
    if found.outcome is Outcome.CALL:
        verdict = "right" if found.value == wanted else "wrong"
    said = " ".join(FIGURES[each] for each in digits)
    odds: dict[str, float] = {}
    for each in found.alternatives:
        key = f"{each.kind} {each.value}"
        odds[key] = max(odds.get(key, 0.0), each.probability)
    return Answer(said, verdict, found.probability, f"{found.kind} {found.value}", odds)


def table(answers: Iterable[Answer]) -> dict[str, float]:
    """Count the verdicts, in percent; 95 % limits (Wilson, JASA 22, 1927) of right and wrong."""
    counts = Counter(each.verdict for each in answers)
    n = sum(counts.values())
    found: dict[str, float] = {"n": n}
    for verdict in ("right", "wrong", "refused"):
        found[verdict] = round(100.0 * counts[verdict] / max(n, 1), 1)
    for verdict in ("right", "wrong"):
        limits = binomtest(counts[verdict], max(n, 1)).proportion_ci(method="wilson")
        found[f"{verdict} from"] = round(100.0 * float(limits.low), 1)
        found[f"{verdict} to"] = round(100.0 * float(limits.high), 1)
    return found


def against_none(plain: Sequence[Answer], known: Sequence[Answer]) -> dict[str, float]:
    """Compare a voice with none, call by call.

    Returns:
        How many calls only one of them got right, the probability of such a split by chance (sign
        test, two sides), and how many are taken wrong and surer than they are without the voice.
    """
    better = sum(a.verdict != "right" == b.verdict for a, b in zip(plain, known, strict=True))
    worse = sum(a.verdict == "right" != b.verdict for a, b in zip(plain, known, strict=True))
    n, few = better + worse, min(better, worse)
    chance = min(1.0, 2.0 * sum(math.comb(n, k) for k in range(few + 1)) / 2.0**n)
    surer = sum(
        b.verdict == "wrong" and b.sure > a.odds.get(b.meant, 0.0) + SLACK
        for a, b in zip(plain, known, strict=True)
    )
    return {
        "n": len(known),
        "right by it alone": better,
        "right without alone": worse,
        "chance": round(chance, 4),
        "wrong and surer than without": surer,
    }


def plot(curve: dict[int, dict[str, dict[str, float]]], path: Path) -> None:
    """Draw how right and wrong go with the calls that were learned from."""
    import matplotlib as mpl  # noqa: PLC0415 - only where it is asked for

    mpl.use("Agg")
    from matplotlib import pyplot as plt  # noqa: PLC0415 - the same

    figure, axes = plt.subplots(figsize=(6.0, 4.0))
    calls = sorted(curve)
    for condition, dash in zip(CONDITIONS, ("-", "--", ":"), strict=True):
        for verdict, mark in (("right", "o"), ("wrong", "x")):
            axes.plot(
                calls,
                [curve[each][condition][verdict] for each in calls],
                marker=mark,
                linestyle=dash,
                label=f"{verdict}, {condition}",
            )
    n = int(curve[calls[0]]["clean"]["n"])
    axes.set_xlabel("calls learned from")
    axes.set_ylabel(f"% of calls of other recordings (n = {n} each)")
    axes.set_ylim(0, 100)
    axes.grid(visible=True, alpha=0.3)
    axes.legend()
    figure.tight_layout()
    figure.savefig(path)


def main() -> None:
    """Enroll, hear, print."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("people", type=Path)
    asked.add_argument("--whole", action="store_true")
    asked.add_argument("--calls", type=int, default=80)
    asked.add_argument("--processes", type=int, default=2)
    asked.add_argument("--plot", type=Path)
    given = asked.parse_args()
    if given.whole:
        said_whole(given.people, given.calls)
        return
    persons = sorted(each.name for each in given.people.iterdir() if (each / "0_00.flac").exists())
    with tempfile.TemporaryDirectory() as folder, multiprocessing.Pool(given.processes) as pool:
        voices = voices_folder(Path(folder))

        def task(person: str, split: str, condition: str, voice: str) -> Task:
            return Task(given.people, person, split, condition, voice, voices, given.calls)

        made = {
            f"{person} {split} {calls}": (task(person, split, "clean", ""), calls)
            for person in persons
            for split, sizes in (("halves", CURVE), ("every other", (ENROLLED,)))
            for calls in sizes
        }
        enrolled = pool.starmap(enrol, [(one, calls, name) for name, (one, calls) in made.items()])
        wanted = [
            (person, split, voice)
            for person in persons
            for split, sizes in (("halves", CURVE), ("every other", (ENROLLED,)))
            for voice in ("", *(f"{person} {split} {calls}" for calls in sizes))
        ]
        wanted += [
            (person, "halves", f"{each} halves {ENROLLED}")
            for person in (*persons, MAN)
            for each in persons
            if each != person
        ]
        wanted.append((MAN, "halves", ""))
        tasks = [
            task(person, split, condition, voice)
            for condition in CONDITIONS
            for person, split, voice in wanted
        ]
        found = {}
        for done, answers in pool.imap_unordered(hear, tasks):
            found[done.person, done.split, done.condition, done.voice] = answers
            sys.stderr.write(f"{done.person}, {done.split}, {done.condition}, {done.voice}\n")
    n = f"{given.calls} calls a person, noise and voice; more as each row says"
    keep("enroll", _figures(persons, found, enrolled), n=n, voices=persons)
    if given.plot is not None:
        plot(_curve(persons, found), given.plot)


def said_whole(people: Path, calls: int) -> None:
    """Enroll voices with figures, hear numbers said whole, print what became of them."""
    parser = Parser(read_grammar())
    with tempfile.TemporaryDirectory() as folder:
        voices = voices_folder(Path(folder))
        for voice in NOT_PEOPLE:
            enrol(Task(people, voice, "halves", "clean", "", voices, calls), ENROLLED, voice)
            is_known = voice in known_voices(voices)
            known = {0: (read_voice(voice, voices).voice,)} if is_known else {}
            for condition in CONDITIONS:
                by_name: dict[str, list[Answer]] = {"none": [], "known": []}
                for name, those in (("none", {}), ("known", known)):
                    model = model_folder(ENCODER_MODEL)
                    with EncoderRecogniser(read_grammar(), model, voices=those) as recogniser:
                        for number in range(calls):
                            text, value = WHOLE[number % len(WHOLE)]
                            sound = says(voice, text)
                            chance = np.random.default_rng([number, 12])
                            found = heard_as(people, sound, condition, chance)
                            heard: tuple[Hypothesis, ...] = ()
                            if found is not None:
                                placed = replace(found, start_s=10.0 * number)
                                heard = recogniser.recognise(placed, Expectation.WHOLE)
                            digits = divmod(value, 10)
                            by_name[name].append(_answer(parser, digits, heard, Expectation.WHOLE))
                row = {name: table(answers) for name, answers in by_name.items()}
                paired = against_none(by_name["none"], by_name["known"])
                sys.stdout.write(f"{voice}, {condition}: {row}, {paired}\n")


Found = dict[tuple[str, str, str, str], list[Answer]]


def _curve(persons: Sequence[str], found: Found) -> dict[int, dict[str, dict[str, float]]]:
    def of(calls: int, condition: str) -> list[Answer]:
        voices = {p: f"{p} halves {calls}" if calls else "" for p in persons}
        return [each for p in persons for each in found[p, "halves", condition, voices[p]]]

    return {
        calls: {condition: table(of(calls, condition)) for condition in CONDITIONS}
        for calls in (0, *CURVE)
    }


def _figures(
    persons: Sequence[str], found: Found, enrolled: Sequence[tuple[str, float, float, int]]
) -> dict[str, object]:
    rows: dict[str, dict[str, dict[str, object]]] = defaultdict(dict)
    for (person, split, condition, voice), answers in sorted(found.items()):
        row: dict[str, object] = dict(table(answers))
        if voice:
            row["against none"] = against_none(found[person, split, condition, ""], answers)
        rows[f"{person}, {split}, {condition}"][voice or "none"] = row
    wrong: dict[str, dict[str, object]] = {}
    for condition in CONDITIONS:
        plain, known = [], []
        for (person, split, its, voice), answers in found.items():
            if its == condition and voice and not voice.startswith(f"{person} "):
                plain += found[person, split, its, ""]
                known += answers
        wrong[condition] = {
            "none": table(plain),
            "another's voice": table(known),
            "against none": against_none(plain, known),
        }
    return {
        "enrolled": {
            name: {"learning, CPU s": round(s, 1), "gain, nat": gain, "bytes": size}
            for name, s, gain, size in enrolled
        },
        "calls": rows,
        "all, by calls learned from": _curve(persons, found),
        "another's voice, all": wrong,
    }


if __name__ == "__main__":
    main()
