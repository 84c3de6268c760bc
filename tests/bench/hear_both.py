"""Lets both listeners hear the same sound, for fitting and for the table: voices in, JSON out.

``python -m tests.bench.hear_both tune|test FOLDER [PROCESSES [CONDITION ...]]``. A voice says
whole feet and hundredths in all spoken forms, some commands, and talk that is no call, in one
stretch for each condition; `utterances` finds them as in the field, and each listener says what it
heard, with PocketSphinx's probabilities and the numbers model's evidence kept in full. A file for
each voice; one that is there is left alone.
"""

from __future__ import annotations

import json
import multiprocessing
import random
import sys
import zlib
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from calllog.audio import RATE_HZ, Frames, utterances
from calllog.recognise import Hypothesis
from calllog.recognise.numbers_engine import Evidence, NumbersRecogniser
from calllog.recognise.sentences import Sentence
from calllog.recognise.sphinx_engine import SphinxRecogniser
from calllog.resources import model_folder
from calllog.spoken import Grammar, load_grammar, spoken_forms
from calllog.values import Expectation, Kind
from models.training.phones import pronunciations
from models.training.voices import TEST_VOICES, TUNING_VOICES
from tests.bench.bench_recognition import GRAMMAR, Said, commands, spoken_scene
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
CALLS, TALK = {"tune": 16, "test": 10}, {"tune": 20, "test": 10}
"""Whole feet, as many hundredths, and sentences of talk, for each voice and condition."""
VOICES = {"tune": TUNING_VOICES, "test": TEST_VOICES}


@dataclass(frozen=True, slots=True)
class HeardTwice:
    """One thing said under one condition, and what each listener made of its utterances."""

    voice: str
    condition: str
    said: Said
    expects: Expectation
    sphinx: tuple[tuple[Hypothesis, ...], ...]
    """For each utterance that was found in it."""
    numbers: tuple[Evidence, ...]


def things_said(grammar: Grammar, which: str, voice: str) -> dict[Expectation, list[Said]]:
    """Draw what a voice says under each expectation."""
    rng = random.Random(SEED + zlib.crc32(voice.encode()))  # noqa: S311 - no secret
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
        said = [
            Said(rng.choice(spoken_forms(grammar, kind, value)), kind, value)
            for value in rng.choices(values, k=CALLS[which])
        ]
        said += rng.sample(commands(grammar), 2)
        said += [Said(text, Kind.CHATTER) for text in rng.sample(talk, TALK[which] // 2)]
        rng.shuffle(said)
        found[expects] = said
    return found


def hear(job: tuple[str, str, Path, tuple[str, ...]]) -> str:
    """Let a voice be heard under all conditions, unless its file is there; give its name."""
    which, voice, folder, conditions = job
    path = folder / f"{voice}.json"
    if path.exists():
        return voice
    grammar = load_grammar(GRAMMAR.read_text("utf-8"))
    lines: list[str] = []
    said = things_said(grammar, which, voice)
    with SphinxRecogniser(grammar) as sphinx, NumbersRecogniser(grammar, model_folder()) as numbers:
        for expects, things in said.items():
            truth = spoken_scene(things, voice)
            for condition in conditions:
                noise, snr_db = CONDITIONS[condition]
                seed = SEED + zlib.crc32(f"{voice} {condition} {expects}".encode())
                sound = mix(
                    truth.sound, noise(truth.sound.size, np.random.default_rng(seed)), snr_db
                )
                source = Frames(
                    [sound[:, None]], rate_hz=RATE_HZ, channels=1, name=f"{voice}, {condition}"
                )
                found = [
                    (u, sphinx.recognise(u, expects), numbers.listen(u, expects))
                    for u in utterances(source)
                ]
                for each, (start, end) in zip(things, truth.spans, strict=True):
                    inside = [f for f in found if f[0].start_s < end and start < f[0].end_s]
                    heard = HeardTwice(
                        voice,
                        condition,
                        each,
                        expects,
                        tuple(hypotheses for _, hypotheses, _ in inside),
                        tuple(evidence for *_, evidence in inside),
                    )
                    lines.append(json.dumps(asdict(heard)))
    part = path.with_suffix(".part")
    part.write_text("\n".join(lines) + "\n", "utf-8")
    part.replace(path)
    return voice


def load(folder: Path, which: str) -> list[HeardTwice]:
    """Read what the voices of a set said and how it was heard."""
    return [
        _read(json.loads(line))
        for voice in VOICES[which]
        if (folder / f"{voice}.json").exists()
        for line in (folder / f"{voice}.json").read_text("utf-8").splitlines()
    ]


def _read(entry: dict[str, Any]) -> HeardTwice:
    said = entry["said"]
    return HeardTwice(
        entry["voice"],
        entry["condition"],
        Said(said["words"], Kind(said["kind"]), said["value"], said["name"]),
        Expectation(entry["expects"]),
        tuple(tuple(Hypothesis(**each) for each in listed) for listed in entry["sphinx"]),
        tuple(_evidence(each) for each in entry["numbers"]),
    )


def _evidence(entry: dict[str, Any]) -> Evidence:
    lists = {name: tuple(Sentence(**each) for each in entry[name]) for name in ("first", "also")}
    return Evidence(**{**entry, **lists})


def main(which: str, folder: Path, processes: int, conditions: tuple[str, ...]) -> None:
    """Let all voices of a set be heard."""
    folder.mkdir(parents=True, exist_ok=True)
    jobs = [(which, voice, folder, conditions) for voice in VOICES[which]]
    with multiprocessing.get_context("spawn").Pool(processes, maxtasksperchild=1) as pool:
        for done, voice in enumerate(pool.imap_unordered(hear, jobs), start=1):
            sys.stderr.write(f"{done} of {len(jobs)}: {voice}\n")


if __name__ == "__main__":
    main(
        sys.argv[1],
        Path(sys.argv[2]),
        int(sys.argv[3]) if len(sys.argv) > 3 else 1,
        tuple(sys.argv[4:]) or tuple(CONDITIONS),
    )
