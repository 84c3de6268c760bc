"""Lets listeners hear the same sound, for fitting and for the table: voices in, JSON out.

``python -m tests.bench.hear_all speak tune|test FOLDER [PROCESSES]``, then ``hear tune|test FOLDER
LISTENER [PROCESSES [CONDITION ...]]`` for the listeners ``encoder`` and, to compare with,
``dictation``. A voice says whole feet and hundredths in all spoken forms,
some commands, and talk that is no call, in one stretch; a listener hears it under each condition,
in the utterances that `utterances` finds as in the field, and the encoder model's evidence is kept
in full. In babble that finds one long speech, so there each thing
is cut out where it was said. A file for each voice and listener; one that is there is left alone.
"""

from __future__ import annotations

import json
import multiprocessing
import random
import sys
import zlib
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from calllog.audio import RATE_HZ, Utterance, utterances
from calllog.recognise import Hypothesis
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.recognise.evidence import Evidence
from calllog.recognise.sentences import Sentence
from calllog.resources import ENCODER_MODEL, model_folder
from calllog.spoken import Grammar, load_grammar, spoken_forms
from calllog.values import Expectation, Kind
from models.training.phones import pronunciations
from models.training.voices import TEST_VOICES, TUNING_VOICES
from tests.audio.frames import Frames
from tests.bench.bench_recognition import GRAMMAR, Said, commands, spoken_scene
from tests.bench.recorded_voice import SENTENCES, has_words
from tests.bench.talk import REPORTING_TALK, TUNING_TALK
from tests.bench.voices import Sound, babble, mix, pink, traffic, wind

SEED = 1126
Noise = Callable[[int, np.random.Generator], Sound]
CONDITIONS: dict[str, tuple[Noise, float]] = {
    "clean": (pink, 40.0),
    "pink 20": (pink, 20.0),
    "pink 15": (pink, 15.0),
    "pink 10": (pink, 10.0),
    "pink 5": (pink, 5.0),
    "wind 10": (wind, 10.0),
    "wind 5": (wind, 5.0),
    "wind 0": (wind, 0.0),
    "babble 15": (babble, 15.0),
    "babble 10": (babble, 10.0),
    "traffic 10": (traffic, 10.0),
}
"""Kind of noise, and SNR over active speech [dB]."""
CALLS, COMMANDS, TALK = (
    {"tune": 16, "test": 13},
    {"tune": 8, "test": 4},
    {"tune": 10, "test": 5},
)
"""For each voice, role and condition: feet or hundredths, commands, and sentences of talk."""
VOICES = {"tune": TUNING_VOICES, "test": TEST_VOICES}
ENCODER, DICTATION = "encoder", "dictation"
ROLES = (Expectation.WHOLE, Expectation.FRACTION)
BEFORE_S, AFTER_S, LEAD_S = 0.25, 0.16, 0.83
"""What is cut out around a call in babble, and the sound before it that a listener gets too."""


@dataclass(frozen=True, slots=True)
class HeardThing:
    """One thing said under one condition, and what each made of its utterances."""

    voice: str
    condition: str
    said: Said
    expects: Expectation
    encoder: tuple[Evidence, ...]
    """For each utterance that was found in it."""
    dictation: tuple[tuple[Hypothesis, ...], ...] = ()
    """None where it was not asked."""


def things_said(grammar: Grammar, which: str, voice: str) -> dict[Expectation, list[Said]]:
    """Draw what a voice says under each expectation."""
    rng = random.Random(SEED + zlib.crc32(voice.encode()))  # noqa: S311 - no secret
    is_recorded = voice.startswith("recorded")
    talk = [
        text
        for text in (TUNING_TALK if which == "tune" else REPORTING_TALK)
        if all(pronunciations(word) for word in text.split())
    ]
    found = {}
    for expects, kind, values in (
        (Expectation.WHOLE, Kind.WHOLE, range(0, 10_001, 100)),
        (Expectation.FRACTION, Kind.FRACTION, range(100)),
    ):
        said = []
        for value in rng.choices(values, k=CALLS[which]):
            forms = spoken_forms(grammar, kind, value)
            recorded = [form for form in forms if has_words(form)] if is_recorded else forms
            said.append(Said(rng.choice(recorded), kind, value))
        if is_recorded:
            said += [Said(name, Kind.CHATTER) for name in rng.sample(SENTENCES, TALK[which])]
        else:
            said += rng.sample(commands(grammar), COMMANDS[which])
            said += [Said(text, Kind.CHATTER) for text in rng.sample(talk, TALK[which])]
        rng.shuffle(said)
        found[expects] = said
    return found


def speak(job: tuple[str, str, Path]) -> str:
    """Let a voice say everything, unless it has; give its name."""
    which, voice, folder = job
    path = folder / f"{voice}.json"
    if not path.exists():
        kept = {}
        for expects, things in things_said(_grammar(), which, voice).items():
            truth = spoken_scene(things, voice)
            soundfile.write(folder / f"{voice}.{expects}.flac", truth.sound, RATE_HZ)
            kept[expects] = [
                {"said": asdict(each), "start_s": start, "end_s": end}
                for each, (start, end) in zip(things, truth.spans, strict=True)
            ]
        path.write_text(json.dumps(kept), "utf-8")
    return voice


@cache
def _grammar() -> Grammar:
    return load_grammar(GRAMMAR.read_text("utf-8"))


@cache
def _listener(name: str) -> Callable[[Utterance, Expectation], Any]:
    if name == DICTATION:
        from tests.bench.dictation import Dictation  # noqa: PLC0415 - needs a newer C library

        return Dictation(_grammar()).recognise
    return EncoderRecogniser(_grammar(), model_folder(ENCODER_MODEL)).listen


def hear(job: tuple[str, str, Expectation, str, Path]) -> list[str]:
    """Let a listener hear a voice in a role under one condition; give a line a thing said."""
    listener, voice, expects, condition, folder = job
    things = json.loads((folder / f"{voice}.json").read_text("utf-8"))[expects]
    clean, _ = soundfile.read(folder / f"{voice}.{expects}.flac", dtype="float32")
    noise, snr_db = CONDITIONS[condition]
    seed = SEED + zlib.crc32(f"{voice} {condition} {expects}".encode())
    sound = mix(clean, noise(clean.size, np.random.default_rng(seed)), snr_db)
    name = f"{voice}, {condition}"
    if condition.startswith("babble"):
        found: Iterable[Utterance] = (_cut(sound, t["start_s"], t["end_s"], name) for t in things)
    else:
        found = utterances(Frames([sound[:, None]]))
    heard = [(u.start_s, u.end_s, _listener(listener)(u, expects)) for u in found]
    lines = []
    for thing in things:
        inside = [
            [asdict(h) for h in what] if isinstance(what, tuple) else asdict(what)
            for start, end, what in heard
            if start < thing["end_s"] and thing["start_s"] < end
        ]
        entry = {"voice": voice, "condition": condition, "said": thing["said"], "expects": expects}
        lines.append(json.dumps({**entry, "heard": inside}))
    return lines


def _cut(sound: Sound, start_s: float, end_s: float, name: str) -> Utterance:
    begin, end = int((start_s - BEFORE_S) * RATE_HZ), int((end_s + AFTER_S) * RATE_HZ)
    lead = sound[max(0, begin - int(LEAD_S * RATE_HZ)) : begin]
    return Utterance(sound[begin:end], lead, start_s, end_s, 0, name, is_cut=False)


def load(folder: Path, which: str) -> list[HeardThing]:
    """Read what the voices of a set said and how each listener heard it."""
    found = []
    for voice in VOICES[which]:
        path, more = (folder / f"{voice}.{name}.jsonl" for name in (ENCODER, DICTATION))
        if path.exists():
            found += read(path, *([more] if more.exists() else []))
    return found


def read(*paths: Path) -> list[HeardThing]:
    """Read what the encoder model, and then `DICTATION`, made of the same things said."""
    lines = [path.read_text("utf-8").splitlines() for path in paths]
    return [_read(*map(json.loads, each)) for each in zip(*lines, strict=True)]


def _read(
    entry: dict[str, Any],
    dictation: dict[str, Any] | None = None,
) -> HeardThing:
    """Put the lines of all listeners together.

    Raises:
        ValueError: they are not of the same thing.
    """
    if dictation and {**entry, "heard": []} != {**dictation, "heard": []}:
        message = f"{entry['voice']}: the listeners heard different things"
        raise ValueError(message)
    said = entry["said"]
    return HeardThing(
        entry["voice"],
        entry["condition"],
        Said(said["words"], Kind(said["kind"]), said["value"], said["name"]),
        Expectation(entry["expects"]),
        tuple(_evidence(each) for each in entry["heard"]),
        _hypotheses(dictation or {"heard": []}),
    )


def _hypotheses(entry: dict[str, Any]) -> tuple[tuple[Hypothesis, ...], ...]:
    return tuple(tuple(Hypothesis(**each) for each in listed) for listed in entry["heard"])


def _evidence(entry: dict[str, Any]) -> Evidence:
    lists = {name: tuple(Sentence(**each) for each in entry[name]) for name in ("first", "also")}
    return Evidence(**{**entry, **lists})


def main(do: str, which: str, folder: Path, *rest: str) -> None:
    """Let all voices of a set speak, or be heard by a listener."""
    folder.mkdir(parents=True, exist_ok=True)
    spawned = multiprocessing.get_context("spawn")
    if do == "speak":
        with spawned.Pool(int(rest[0]) if rest else 1) as pool:
            for voice in pool.imap(speak, [(which, voice, folder) for voice in VOICES[which]], 1):
                sys.stderr.write(f"{voice} spoke\n")
        return
    listener, conditions = rest[0], rest[2:] or tuple(CONDITIONS)
    left = [v for v in VOICES[which] if not (folder / f"{v}.{listener}.jsonl").exists()]
    jobs = [(listener, v, role, c, folder) for v in left for role in ROLES for c in conditions]
    each = len(ROLES) * len(conditions)
    with spawned.Pool(int(rest[1]) if len(rest) > 1 else 1) as pool:
        lines: list[str] = []
        for done, found in enumerate(pool.imap(hear, jobs, 1), start=1):
            lines += found
            if done % each == 0:
                voice = left[done // each - 1]
                path = folder / f"{voice}.{listener}.jsonl"
                path.write_text("\n".join(lines) + "\n", "utf-8")
                lines = []
                sys.stderr.write(f"{done} of {len(jobs)}: {voice}\n")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], Path(sys.argv[3]), *sys.argv[4:])
