"""Makes the decoded calls of the crew benchmark: voices speak, endpointer and listeners hear.

Run with ``python -m tests.bench.make_crew_corpus FOLDER [PROCESSES]``. Each stretch of sound (one
voice, one kind of call, one round of all its values) is a job of its own, whose result stays in
FOLDER, so that a run broken off goes on where it stopped. What is in FOLDER is packed after each
round, and a table of right, wrong and asked is printed. Needs the extra `corpus` and Debian's
`flite`, `espeak-ng`, `festival` and `festvox-kdlpc16k`.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import random
import sys
import zlib
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import numpy as np

from calllog.audio import RATE_HZ, Frames, utterances
from calllog.recognise import Hypothesis, understand
from calllog.recognise.numbers_engine import NumbersRecogniser
from calllog.recognise.sphinx_engine import SphinxRecogniser
from calllog.resources import model_folder
from calllog.spoken import Grammar, Parser, load_grammar, spoken_forms
from calllog.values import Alternative, Expectation, Kind
from tests.bench.bench_endpoint import Scene
from tests.bench.bench_listeners import both
from tests.bench.bench_recognition import CONDITIONS, GRAMMAR, LIMIT, Said, spoken_scene
from tests.bench.crew_corpus import (
    LISTENERS,
    PATHS,
    TEST_VOICES,
    TUNE_VOICES,
    Corpus,
    HeardCall,
    SaidCall,
    load_corpus,
    pack,
)
from tests.bench.fit_listeners import Case
from tests.bench.recorded_voice import has_words
from tests.bench.voices import Sound, mix

ROUNDS: tuple[tuple[Kind, int], ...] = (
    (Kind.WHOLE, 0),
    (Kind.FRACTION, 0),
    (Kind.READING, 0),
)
"""Rounds: of wholes and hundredths every value is said once."""
VALUES = {Kind.WHOLE: range(0, 10_001, 100), Kind.FRACTION: range(100)}
READINGS = 40
"""Random ones, for each voice and condition."""
SEED = 20261125


@dataclass(frozen=True, slots=True)
class Stretch:
    """One voice saying one round of one kind of call."""

    voice: str
    kind: Kind
    round: int

    @property
    def name(self) -> str:
        """Name its file and its sound."""
        return f"{self.voice}-{self.kind}-{self.round}"

    def seed(self, of: str) -> int:
        """Give the seed of something random in it."""
        return SEED + zlib.crc32(f"{self.voice} {self.kind} {of}".encode())


def said(stretch: Stretch, grammar: Grammar) -> list[Said]:
    """List what is said, in random order and forms."""
    rng = random.Random(stretch.seed("forms"))  # noqa: S311 - which calls are drawn is no secret
    kind = stretch.kind
    values = list(VALUES.get(kind, ())) or [rng.randrange(10_001) for _ in range(READINGS)]
    calls = []
    for value in values:
        forms = list(spoken_forms(grammar, kind, value))
        if stretch.voice.startswith("recorded"):
            forms = [form for form in forms if has_words(form)]
        rng.shuffle(forms)
        calls.append(Said(forms[stretch.round % len(forms)], kind, value))
    random.Random(stretch.seed(f"order {stretch.round}")).shuffle(calls)  # noqa: S311 - the same
    return calls


def hear(stretch: Stretch, folder: Path) -> None:
    """Speak a stretch and hear it under each condition, unless its file is there."""
    if (folder / f"{stretch.name}.{LISTENERS[-1]}.json.xz").exists():
        return
    grammar = load_grammar(GRAMMAR.read_text("utf-8"))
    calls = said(stretch, grammar)
    truth = spoken_scene(calls, stretch.voice)
    heard: dict[str, list[SaidCall]] = {name: [] for name in LISTENERS}
    with (
        SphinxRecogniser(grammar) as sphinx,
        NumbersRecogniser(grammar, model_folder()) as numbers,
    ):
        for condition in CONDITIONS:
            decoded = _decode(truth, stretch, condition, (sphinx, numbers), Parser(grammar))
            for call, parts in zip(calls, decoded, strict=True):
                what = stretch.voice, condition, stretch.kind, call.value or 0, call.words
                for place, name in enumerate(LISTENERS):
                    heard[name].append(SaidCall(*what, tuple(each[place] for each in parts)))
        names = sphinx.identity, f"{sphinx.identity} and {numbers.identity}"
    for name, identity in zip(LISTENERS, names, strict=True):
        path = folder / f"{stretch.name}.{name}.json.xz"
        part = path.with_suffix(".part")
        pack(_corpus(heard[name], identity), part)
        part.replace(path)


def _decode(
    truth: Scene,
    stretch: Stretch,
    condition: str,
    engines: tuple[SphinxRecogniser, NumbersRecogniser],
    parser: Parser,
) -> list[tuple[tuple[HeardCall, HeardCall], ...]]:
    """Hear a stretch under one condition: for each call its utterances, as each listener heard."""
    sound = _mixed(truth, stretch, condition)
    name = f"{stretch.name}, {condition}"
    source = Frames([sound[:, None]], rate_hz=RATE_HZ, channels=1, name=name)
    expects = Expectation(stretch.kind.value)
    found = []
    for utterance in utterances(source):
        sphinx = engines[0].recognise(utterance, expects)
        evidence = engines[1].listen(utterance, expects)
        fused = both(Case("", condition, (), expects, sphinx, evidence))
        heard = tuple(understood(parser, tuple(each), expects) for each in (sphinx, fused))
        found.append((utterance, (heard[0], heard[1])))
    strays = sum(
        not any(u.start_s < end and start < u.end_s for start, end in truth.spans) for u, _ in found
    )
    if strays:
        sys.stderr.write(f"{name}: {strays} utterances where nothing was said\n")
    return [
        tuple(each for u, each in found if u.start_s < end and start < u.end_s)
        for start, end in truth.spans
    ]


def _mixed(truth: Scene, stretch: Stretch, condition: str) -> Sound:
    noise, snr_db = CONDITIONS[condition]
    rng = np.random.default_rng(stretch.seed(f"{condition} {stretch.round}"))
    return mix(truth.sound, noise(truth.sound.size, rng), snr_db)


def understood(
    parser: Parser, hypotheses: tuple[Hypothesis, ...], expects: Expectation
) -> HeardCall:
    """Understand as in the field, and keep the alternatives' probabilities in full."""
    heard = understand(parser, hypotheses, expects, LIMIT)
    listed: dict[tuple[Kind, int | str], Alternative] = {}
    for hypothesis in hypotheses:
        alone = understand(parser, (hypothesis,), expects, LIMIT).alternatives[0]
        key = (alone.kind, hypothesis.text if alone.value is None else alone.value)
        first = listed.get(key, alone.model_copy(update={"probability": 0.0}))
        total = first.probability + hypothesis.probability
        listed[key] = first.model_copy(update={"probability": total})
    likely = sorted(listed.values(), key=lambda each: -each.probability)
    return HeardCall(
        heard.outcome,
        heard.kind,
        heard.value,
        tuple(each for each in likely if each.probability > 0.0),
    )


def _corpus(calls: Iterable[SaidCall], engine: str) -> Corpus:
    return Corpus(
        date=datetime.now(UTC).date().isoformat(),
        engine=engine,
        grammar_sha256=hashlib.sha256(GRAMMAR.read_bytes()).hexdigest(),
        tune=TUNE_VOICES,
        test=TEST_VOICES,
        calls=tuple(calls),
    )


def gather(folder: Path, listener: str) -> Corpus:
    """Put together what a listener heard, in the order of voices and rounds."""
    paths = [
        folder / f"{Stretch(voice, kind, number).name}.{listener}.json.xz"
        for voice in (*TUNE_VOICES, *TEST_VOICES)
        for kind, number in ROUNDS
    ]
    parts = [load_corpus(path) for path in paths if path.exists()]
    return _corpus((call for part in parts for call in part.calls), parts[0].engine)


def table(corpus: Corpus) -> str:
    """Count the verdicts for each voice and condition, wholes and hundredths together."""
    verdicts = ("right", "wrong", "asked", "ignored", "missed")
    counts: dict[tuple[str, str, bool], Counter[str]] = defaultdict(Counter)
    for call in corpus.calls:
        counts[call.voice, call.condition, call.kind is Kind.READING][call.verdict] += 1
    lines = [f"{'/'.join(verdicts)} in %" + "".join(f"{c:>26}" for c in CONDITIONS)]
    for is_reading in (False, True):
        for voice in (*TUNE_VOICES, *TEST_VOICES):
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


def main(folder: Path, processes: int) -> None:
    """Hear all rounds, packing what there is after each."""
    folder.mkdir(parents=True, exist_ok=True)
    voices = (*TUNE_VOICES, *TEST_VOICES)
    jobs = [Stretch(voice, kind, number) for kind, number in ROUNDS for voice in voices]
    with multiprocessing.get_context("spawn").Pool(processes, maxtasksperchild=1) as pool:
        for done, _ in enumerate(pool.imap(partial(hear, folder=folder), jobs), start=1):
            sys.stderr.write(f"{done} of {len(jobs)}\n")
            if done % len(voices) == 0:
                for name in LISTENERS:
                    pack(gather(folder, name), PATHS[name])
    for name in LISTENERS:
        sys.stdout.write(f"{name}\n{table(gather(folder, name))}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
