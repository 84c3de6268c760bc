"""Makes the decoded calls of the crew benchmark: voices speak, endpointer and listener hear.

``python -m tests.bench.make_crew_corpus speak FOLDER``, then ``hear FOLDER [--processes N]``, then
``pack FOLDER``. A voice says every whole foot and every
hundredths, test voices in two rounds with other words where there are some, tuning voices in one
and some readings too, in one stretch for each kind; the encoder model hears it under each condition
as in the field. What it made of a stretch under one condition is a file of its own in FOLDER, so
that a run broken off goes on where it stopped. ``pack`` weighs all with the calibration in force,
writes the benchmark's file and prints a table. Needs what `make bench-listeners` installs.
``--people FOLDER`` lets recorded people speak (`tests.bench.people` says what lies there), figure
by figure, in four rounds, each of other recordings.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import multiprocessing
import random
import sys
import zlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path

import soundfile

from calllog.audio import RATE_HZ
from calllog.recognise import Hypothesis, understand
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.recognise.evidence import hypotheses as weighed
from calllog.resources import ENCODER_MODEL, model_folder
from calllog.spoken import Grammar, Parser, load_grammar, spoken_forms
from calllog.values import Alternative, Expectation, Kind
from tests.bench import hear_all
from tests.bench.bench_endpoint import Scene, scene
from tests.bench.bench_recognition import (
    GRAMMAR,
    LEVEL,
    LIMIT,
    PAUSE_S,
    Said,
    spoken_scene,
)
from tests.bench.crew_corpus import (
    CONDITIONS,
    PATHS,
    PEOPLE,
    TEST_VOICES,
    TUNE_VOICES,
    Corpus,
    HeardCall,
    SaidCall,
    pack,
)
from tests.bench.people import FIGURES, people, says
from tests.bench.recorded_voice import has_words
from tests.bench.voices import active_rms

VALUES = {
    Kind.WHOLE: range(0, 10_001, 100),
    Kind.FRACTION: range(100),
    Kind.READING: range(10_001),
}
"""What may be said of each kind [hundredths of a foot]."""
READINGS = 40
"""Random ones, for each tuning voice and condition."""
Rounds = tuple[dict[str, tuple[Kind, ...]], ...]
ROUNDS: Rounds = (
    dict.fromkeys(TUNE_VOICES, (Kind.WHOLE, Kind.FRACTION, Kind.READING))
    | dict.fromkeys(TEST_VOICES, (Kind.WHOLE, Kind.FRACTION)),
    dict.fromkeys(TEST_VOICES, (Kind.WHOLE, Kind.FRACTION)),
)
"""What each voice says in each round."""
ROUNDS_OF_PEOPLE = 4
LEAST = 1e-5
"""What is less likely than this is left out; in the field it would be rounded to nothing."""
SEED = 20261125


def rounds_of(folder: Path | None) -> Rounds:
    """List who says what in each round: synthetic voices, or the people of a folder."""
    if folder is None:
        return ROUNDS
    every: dict[str, tuple[Kind, ...]] = dict.fromkeys(people(folder), (Kind.WHOLE, Kind.FRACTION))
    return (every,) * ROUNDS_OF_PEOPLE


def said(
    voice: str, kind: Kind, number: int, grammar: Grammar, *, in_figures: bool = False
) -> list[Said]:
    """List what a voice says of one kind in a round, in random order and forms."""
    rng = random.Random(SEED + zlib.crc32(f"{voice} {kind}".encode()))  # noqa: S311 - no secret
    values = rng.sample(VALUES[kind], READINGS) if kind is Kind.READING else list(VALUES[kind])
    calls = []
    for value in values:
        forms = list(spoken_forms(grammar, kind, value))
        if voice.startswith("recorded"):
            forms = [form for form in forms if has_words(form)]
        if in_figures:
            forms = [form for form in forms if set(form.split()) <= set(FIGURES)]
        rng.shuffle(forms)
        if forms:
            calls.append(Said(forms[number % len(forms)], kind, value))
    for _ in range(number + 1):
        rng.shuffle(calls)
    return calls


def figures_scene(calls: list[Said], folder: Path, person: str, seed: str) -> Scene:
    """Let a recorded person say everything in one stretch, each at the same active level."""
    rng = random.Random(seed)  # noqa: S311 - no secret
    sounds = []
    for each in calls:
        sound = says(folder, person, [FIGURES.index(word) for word in each.words.split()], rng)
        sounds.append(sound * (LEVEL / active_rms(sound)))
    return scene(sounds, [PAUSE_S] * len(sounds))


def speak(folder: Path, recorded: Path | None = None) -> None:
    """Let each voice say everything that it has not said yet, as `hear_all.speak` keeps it."""
    grammar = load_grammar(GRAMMAR.read_text("utf-8"))
    for number, said_by in enumerate(rounds_of(recorded)):
        place = _place(folder, number)
        place.mkdir(parents=True, exist_ok=True)
        for voice, kinds in said_by.items():
            path = place / f"{voice}.json"
            if path.exists():
                continue
            kept = {}
            for kind in kinds:
                calls = said(voice, kind, number, grammar, in_figures=recorded is not None)
                if recorded is None:
                    truth = spoken_scene(calls, voice)
                else:
                    truth = figures_scene(calls, recorded, voice, f"{SEED} {voice} {kind} {number}")
                soundfile.write(place / f"{voice}.{kind}.flac", truth.sound, RATE_HZ)
                kept[kind.value] = [
                    {"said": asdict(each), "start_s": start, "end_s": end}
                    for each, (start, end) in zip(calls, truth.spans, strict=True)
                ]
            path.write_text(json.dumps(kept), "utf-8")
            sys.stderr.write(f"{voice} spoke\n")


def _place(folder: Path, number: int) -> Path:
    return folder / f"round-{number + 1}"


def hear(job: tuple[str, str, Expectation, str, Path]) -> None:
    """Let the listener hear a stretch under one condition, unless it has."""
    path = _path(*job)
    if not path.exists():
        part = path.with_suffix(".part")
        part.write_text("\n".join(hear_all.hear(job)) + "\n", "utf-8")
        part.replace(path)


def _path(listener: str, voice: str, expects: Expectation, condition: str, folder: Path) -> Path:
    return folder / f"{voice}.{expects}.{condition}.{listener}.jsonl"


def _jobs(folder: Path, rounds: Rounds) -> Iterator[tuple[str, str, Expectation, str, Path]]:
    for number, said_by in enumerate(rounds):
        for condition in CONDITIONS:
            for voice, kinds in said_by.items():
                for kind in kinds:
                    place = _place(folder, number)
                    yield hear_all.ENCODER, voice, Expectation(kind.value), condition, place


def understood(
    parser: Parser, hypotheses: tuple[Hypothesis, ...], expects: Expectation
) -> HeardCall:
    """Understand as in the field, and keep the alternatives' probabilities unrounded."""
    heard = understand(parser, hypotheses, expects, LIMIT)
    listed: dict[tuple[Kind, int | str], Alternative] = {}
    for hypothesis in hypotheses:
        alone = understand(parser, (hypothesis,), expects, LIMIT).alternatives[0]
        key = (alone.kind, hypothesis.text if alone.value is None else alone.value)
        first = listed.get(key, alone._replace(probability=0.0))
        total = first.probability + hypothesis.probability
        listed[key] = first._replace(probability=total)
    likely = sorted(listed.values(), key=lambda each: -each.probability)
    return HeardCall(
        heard.outcome,
        heard.kind,
        heard.value,
        tuple(each for each in likely if each.probability >= LEAST),
    )


def _corpus(calls: Iterable[SaidCall], engine: str, recorded: Path | None) -> Corpus:
    return Corpus(
        date=datetime.now(UTC).date().isoformat(),
        engine=engine,
        grammar_sha256=hashlib.sha256(GRAMMAR.read_bytes()).hexdigest(),
        tune=TUNE_VOICES if recorded is None else (),
        test=TEST_VOICES if recorded is None else people(recorded),
        calls=tuple(calls),
    )


def gather(folder: Path, rounds: Rounds = ROUNDS) -> Iterator[SaidCall]:
    """Read what was heard, and understand it."""
    parser = Parser(load_grammar(GRAMMAR.read_text("utf-8")))
    for job in _jobs(folder, rounds):
        for heard in hear_all.read(_path(*job)):
            parts = (understood(parser, weighed(each), heard.expects) for each in heard.encoder)
            said = heard.said
            it = heard.voice, heard.condition, said.kind, said.value or 0, said.words
            yield SaidCall(*it, tuple(parts))


def table(corpus: Corpus) -> str:
    """Count the verdicts for each voice and condition, wholes and hundredths together."""
    verdicts = ("right", "wrong", "asked", "ignored", "missed")
    counts: dict[tuple[str, str, bool], Counter[str]] = defaultdict(Counter)
    for call in corpus.calls:
        counts[call.voice, call.condition, call.kind is Kind.READING][call.verdict] += 1
    lines = [f"{'/'.join(verdicts)} in %" + "".join(f"{c:>26}" for c in CONDITIONS)]
    for is_reading in (False, True):
        for voice in (*corpus.tune, *corpus.test):
            cells = [counts[voice, condition, is_reading] for condition in CONDITIONS]
            if not any(cells):
                continue
            shown = [
                "/".join(f"{100 * cell[verdict] / cell.total():.1f}" for verdict in verdicts)
                if cell
                else "-"
                for cell in cells
            ]
            name = f"{voice}{', readings' if is_reading else ''}, n = {cells[0].total()}"
            lines.append(f"{name:42}" + "".join(f"{each:>26}" for each in shown))
    return "\n".join(lines) + "\n"


def main() -> None:
    """Speak, hear or pack."""
    asks = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    asks.add_argument("do", choices=("speak", "hear", "pack"))
    asks.add_argument("folder", type=Path, help="for what is said and heard")
    asks.add_argument("--people", type=Path, help="a folder of recorded people, who speak")
    asks.add_argument("--processes", type=int, default=1, help="that hear at once")
    given = asks.parse_args()
    folder, rounds = given.folder, rounds_of(given.people)
    folder.mkdir(parents=True, exist_ok=True)
    match given.do:
        case "speak":
            speak(folder, given.people)
        case "hear":
            jobs = list(_jobs(folder, rounds))
            with multiprocessing.get_context("spawn").Pool(given.processes) as pool:
                for done, _ in enumerate(pool.imap(hear, jobs, 1), start=1):
                    sys.stderr.write(f"{done} of {len(jobs)}\n")
        case _:
            grammar = load_grammar(GRAMMAR.read_text("utf-8"))
            with EncoderRecogniser(grammar, model_folder(ENCODER_MODEL)) as recogniser:
                engine = recogniser.identity
            corpus = _corpus(gather(folder, rounds), engine, given.people)
            pack(corpus, PATHS[hear_all.ENCODER if given.people is None else PEOPLE])
            sys.stdout.write(table(corpus))


if __name__ == "__main__":
    main()
