"""Benchmark of the encoder model in another language than English: sound in, figures out.

``python -m tests.bench.bench_language speak|hear|fit tune|test FOLDER``: `speak` lets the voices
say whole units and hundredths in all spoken forms, commands, and talk that is no call, each role in
one stretch, into a folder; `hear` hears them under each condition as in the field, and takes calls
as `understand` does; `fit` (tuning voices alone) finds what turns likelihoods into
probabilities and writes ``calibration.json`` into the model's folder.
"""

from __future__ import annotations

import itertools
import json
import random
import sys
import zlib
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import numpy as np
import soundfile

from calllog.audio import RATE_HZ, Utterance, utterances
from calllog.recognise import understand
from calllog.recognise.calibration_file import FILE, calibration_text
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.recognise.evidence import CALIBRATION, Evidence, hypotheses
from calllog.resources import ENCODER_MODELS, model_folder, read_grammar
from calllog.spoken import Grammar, Parser, spoken_forms
from calllog.values import Expectation, Kind
from models.training.es.voices import TEST_VOICES, TUNING_VOICES
from tests.audio.frames import Frames
from tests.bench.bench_endpoint import active, scene
from tests.bench.bench_recognition import (
    LEVEL,
    LIMIT,
    PAUSE_S,
    Answer,
    Said,
    commands,
    error_of_taken,
    false_accepts,
    table,
)
from tests.bench.fit_encoder import Case, fit_encoder, meaning_by
from tests.bench.spanish_talk import REPORTING_TALK, TUNING_TALK
from tests.bench.spanish_voices import say_spanish
from tests.bench.voices import active_rms, mix, pink, wind
from tests.measured.results import keep

LANGUAGE, GRAMMAR = "es", "es-feet"
SEED = 1129
CONDITIONS = {
    "quiet": (pink, 40.0),
    "pink 10 dB": (pink, 10.0),
    "pink 15 dB": (pink, 15.0),
    "wind 5 dB": (wind, 5.0),
}
VOICES = {"tune": TUNING_VOICES, "test": TEST_VOICES}
CALLS = {"tune": {"kokoro": 10, "espeak": 25}, "test": {"kokoro": 10, "espeak": 30, "festival": 40}}
COMMANDS = {"kokoro": 2, "espeak": 5, "festival": 5}
TALK = {"tune": {"kokoro": 4, "espeak": 15}, "test": {"kokoro": 4, "espeak": 18, "festival": 20}}
"""For each voice and role, by who speaks: a network takes longer than it speaks."""
ROLES = (Expectation.WHOLE, Expectation.FRACTION)


def things_said(grammar: Grammar, which: str, voice: str) -> dict[Expectation, list[Said]]:
    """Draw what a voice says in each role."""
    rng = random.Random(SEED + zlib.crc32(voice.encode()))  # noqa: S311 - no secret
    talk = list(TUNING_TALK if which == "tune" else REPORTING_TALK)
    kind = voice.partition("-")[0]
    count = TALK[which][kind]
    place = 2 * count * VOICES[which].index(voice)
    found = {}
    for number, (expects, part, values) in enumerate(
        (
            (Expectation.WHOLE, Kind.WHOLE, range(0, 10_001, 100)),
            (Expectation.FRACTION, Kind.FRACTION, range(100)),
        )
    ):
        said = [
            Said(rng.choice(spoken_forms(grammar, part, value)), part, value)
            for value in rng.choices(values, k=CALLS[which][kind])
        ]
        said += rng.sample(commands(grammar), COMMANDS[kind])
        first = place + number * count
        said += [Said(talk[each % len(talk)], Kind.CHATTER) for each in range(first, first + count)]
        rng.shuffle(said)
        found[expects] = said
    return found


def speak(which: str, folder: Path) -> None:
    """Let the voices say everything, unless they have."""
    folder.mkdir(parents=True, exist_ok=True)
    grammar = read_grammar(GRAMMAR)
    for voice in VOICES[which]:
        path = folder / f"{voice}.json"
        if path.exists():
            continue
        kept = {}
        for expects, things in things_said(grammar, which, voice).items():
            sounds = []
            for said in say_spanish([each.words for each in things], voice):
                sound = active(said)
                sounds.append(np.asarray(sound * (LEVEL / active_rms(sound)), np.float32))
            truth = scene(sounds, [PAUSE_S] * len(sounds))
            soundfile.write(folder / f"{voice}.{expects}.flac", truth.sound, RATE_HZ)
            kept[expects] = [
                {"said": asdict(each), "start_s": start, "end_s": end}
                for each, (start, end) in zip(things, truth.spans, strict=True)
            ]
        path.write_text(json.dumps(kept), "utf-8")
        sys.stderr.write(f"{voice}\n")


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing said, and what was heard in its stretch of time."""

    voice: str
    condition: str
    said: Said
    expects: Expectation
    heard: tuple[Evidence, ...]
    """One for each utterance that was found in it."""


def hear(which: str, folder: Path, engine: EncoderRecogniser) -> Iterator[Thing]:
    """Hear each voice in each role under each condition."""
    for voice in VOICES[which]:
        if (folder / f"{voice}.json").exists():
            for expects, condition in itertools.product(ROLES, CONDITIONS):
                yield from hear_stretch(folder, engine, voice, expects, condition)


def hear_stretch(
    folder: Path, engine: EncoderRecogniser, voice: str, expects: Expectation, condition: str
) -> Iterator[Thing]:
    """Hear what a voice says in a role under a condition, in one stretch."""
    things = json.loads((folder / f"{voice}.json").read_text("utf-8"))[expects]
    clean, _ = soundfile.read(folder / f"{voice}.{expects}.flac", dtype="float32")
    noise, snr_db = CONDITIONS[condition]
    seed = SEED + zlib.crc32(f"{voice} {condition} {expects}".encode())
    sound = mix(clean, noise(clean.size, np.random.default_rng(seed)), snr_db)
    frames = Frames([sound[:, None]])
    heard: list[tuple[Utterance, Evidence]] = [
        (each, engine.listen(each, expects)) for each in utterances(frames)
    ]
    for thing in things:
        said = thing["said"]
        inside = [
            evidence
            for each, evidence in heard
            if each.start_s < thing["end_s"] and thing["start_s"] < each.end_s
        ]
        meant = Said(said["words"], Kind(said["kind"]), said["value"], said["name"])
        yield Thing(voice, condition, meant, expects, tuple(inside))


def figures(
    things: list[Thing], parser: Parser, engine: EncoderRecogniser
) -> dict[str, dict[str, object]]:
    """Count what came of calls, commands and talk, by condition."""
    answers: dict[tuple[str, str], list[Answer]] = defaultdict(list)
    best: Counter[tuple[str, bool]] = Counter()
    meaning = meaning_by(parser)
    for each in things:
        heard = tuple(
            understand(parser, hypotheses(e, engine.calibration), each.expects, LIMIT)
            for e in each.heard
        )
        answer = Answer(each.said, heard)
        row = {Kind.CHATTER: "talk", Kind.COMMAND: "commands"}.get(each.said.kind, "calls")
        answers[row, each.condition].append(answer)
        if row == "calls":
            answers[f"calls of {each.voice}", each.condition].append(answer)
            if len(each.heard) == 1 and each.heard[0].first:
                likeliest = each.heard[0].first[0].text
                meant = meaning(each.said.words, each.expects)
                best[each.condition, meaning(likeliest, each.expects) == meant] += 1
    found: dict[str, dict[str, object]] = defaultdict(dict)
    for (row, condition), those in answers.items():
        found[row][condition] = (false_accepts if row == "talk" else table)(those)
    for condition in CONDITIONS:
        if not answers["calls", condition]:
            continue
        error = error_of_taken(answers["calls", condition])
        found["calibration error of calls taken"][condition] = error
        right, wrong = best[condition, True], best[condition, False]
        share = round(100.0 * right / max(1, right + wrong), 1)
        found["the likeliest of what is expected is right %"][condition] = share
    return dict(found)


def cases(things: list[Thing], parser: Parser) -> list[Case]:
    """Keep what came out as one utterance, by itself."""
    meaning = meaning_by(parser)
    return [
        Case(
            each.voice,
            each.condition,
            ("",) if each.said.kind is Kind.CHATTER else meaning(each.said.words, each.expects),
            each.expects,
            each.heard[0],
        )
        for each in things
        if len(each.heard) == 1
    ]


def main(task: str, which: str, folder: Path) -> None:
    """Speak, hear or fit."""
    if task == "speak":
        speak(which, folder)
        return
    grammar, model = read_grammar(GRAMMAR), model_folder(ENCODER_MODELS[LANGUAGE])
    parser = Parser(grammar)
    spoken = [voice for voice in VOICES[which] if (folder / f"{voice}.json").exists()]
    if task == "hear":
        with EncoderRecogniser(grammar, model) as engine:
            found = figures(list(hear(which, folder, engine)), parser, engine)
        remark = f"Grammar {GRAMMAR}; whole feet and hundredths, each asked for by itself."

        keep("spanish", found, n="as each row says", voices=spoken, remark=remark)
        return
    if which != "tune":
        sys.exit("constants are fitted on tuning voices alone")
    units = len((model / "units.txt").read_text("utf-8").splitlines())
    start = replace(CALIBRATION, loop_weight=1.0 / (units - 1))
    with EncoderRecogniser(grammar, model, calibration=start) as engine:
        among = cases(list(hear(which, folder, engine)), parser)
    heard = [case.encoder for case in among]
    fitted = fit_encoder(among, heard, start, meaning_by(parser))
    (model / FILE).write_text(calibration_text(fitted), "utf-8")
    sys.stdout.write(f"{len(among)} cases, {fitted}\n")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], Path(sys.argv[3]))
