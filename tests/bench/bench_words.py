"""Benchmark of the crew's words: what is taken for a number or a command, and what should be.

Synthetic voices say each command, each fixed condition, crew talk, talk with numbers in it, and
calls that the caller mends in the same breath ("fifteen, no, sixteen"); what hears by default hears
each where a whole mark is expected. Given a folder of people's digits (a folder a speaker, files
``DIGIT_TAKE.flac``), each digit is heard as a lone foot that opens a pull, too.

``python -m tests.bench.bench_words OUT.jsonl [PEOPLE]`` adds to a file of this build (its digest
stands behind the name) what was heard and prints the counts; ``python -m tests.bench.bench_words
--counts OUT.jsonl`` prints them again.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

from calllog.audio import RATE_HZ, utterances
from calllog.commands.engine import DEFAULT_ENGINE, load_words, open_recogniser
from calllog.recognise import TENTATIVE, Heard, understand
from calllog.spoken.grammar import SLOT
from calllog.values import NUMBERS, Expectation, Kind, Outcome
from tests.audio.frames import Frames
from tests.bench.bench_endpoint import active, scene
from tests.bench.voices import Sound, active_rms, mix, pink, synthesise
from tests.measured.results import build, keep

VOICES = ("espeak-f3", "flite-rms", "espeak-m3", "flite-slt")
"""Nothing was fitted on what they say here."""
LIMIT = 10_000
SEED = 1128
LEVEL = 0.05
PAUSE_S = 1.2
NOISE_DB = 30.0
LONE_SURE = 0.97
"""A lone word that opens a pull is asked below it (see `calllog.pairing.doubtful`)."""
TALK = (
    "fine",
    "stick",
    "stuck",
    "chain",
    "chaining",
    "come ahead",
    "on line",
    "break chain",
    "pull",
    "slack",
    "good pin",
    "pin",
    "the tape is caught",
    "plumb",
    "plumb bob",
    "to me",
    "for what",
    "up a bit",
    "down a bit",
    "no",
    "sorry",
    "wait",
    "what",
    "yes",
    "right here",
    "good",
    "steady",
    "mark it",
    "hold on",
    "come left",
)
"""What a crew says to each other while it tapes (common practice, no published source)."""
HOMOPHONES = ("won", "ate", "for", "too")
"""Words that sound as numbers do: nothing but sureness and sense tells them apart."""
COUNTED = (
    "two trucks coming",
    "wait ten minutes",
    "five more minutes",
    "give me two feet",
    "three cars coming",
    "back up six feet",
    "there are two of them",
    "ten more feet",
    "four stakes left",
    "one more pin",
    "in five minutes",
    "one at a time",
)
"""Numbers that are no calls."""
MENDED = (
    "fifteen no sixteen",
    "forty two sorry forty three",
    "fifty no fifteen",
    "fifteen strike that sixteen",
    "fifteen strike that sixteen",
    "thirty correction thirteen",
    "five no nine",
    "sixteen make that sixty",
    "eighty four i mean eighty five",
    "fifteen forty two no forty three",
    "no sixteen",
    "forty two no",
)
"""Calls that the caller mends in the same breath: each must be asked."""
NEW_COMMANDS = ("strike that", "say again", "who's got it")
CONDITIONS = (
    "temperature sixty eight degrees",
    "temperature sixty eight",
    "tension fifteen point five pounds",
    "tension twenty pounds",
    "fall two point one",
    "fall two point one zero",
    "rise two point one zero",
)
EXPECTS = Expectation.WHOLE
TAKEN = ("number", "command")
"""What was taken, right or not."""
TAKES = (0, 16, 32)
"""Of each digit and person."""


def phrases() -> dict[str, tuple[str, ...]]:
    """List what is said, by kind; the commands are those of the grammar, and the newest."""
    grammar, _ = load_words()
    commands = [p for forms in grammar.commands.values() for p in forms]
    fixed = [p for each in grammar.conditions for p in each.phrases if not SLOT.search(p)]
    return {
        "talk": TALK,
        "homophones": HOMOPHONES,
        "counted talk": COUNTED,
        "mended": MENDED,
        "commands": tuple(dict.fromkeys((*commands, *NEW_COMMANDS))),
        "conditions": (*CONDITIONS, *fixed),
    }


def things(people: Path | None) -> Iterator[tuple[str, str, str, Callable[[], Sound]]]:
    """List what is to be heard: voice, kind, what is said, and its sound.

    Each phrase is said by one voice before any is said by the next, so that a run that is broken
    off has heard them all.
    """
    said = [(kind, text) for kind, texts in phrases().items() for text in texts]
    digits = [
        (folder, digit, take)
        for take in TAKES
        for digit in range(10)
        for folder in (sorted(people.iterdir()) if people else ())
        if (folder / f"{digit}_{take:02d}.flac").exists()
    ]
    for turn in range(len(VOICES)):
        for place, (kind, text) in enumerate(said):
            voice = VOICES[(place + turn) % len(VOICES)]
            yield voice, kind, text, partial(synthesise, text, voice)
        for folder, digit, take in digits[turn :: len(VOICES)]:
            file = folder / f"{digit}_{take:02d}.flac"
            yield f"{folder.name} {take}", "lone digits", str(digit), partial(_person, file)


def _person(file: Path) -> Sound:
    samples, rate_hz = soundfile.read(file, dtype="float32")
    return np.asarray(soxr.resample(samples, rate_hz, RATE_HZ), np.float32)


def hear(out: Path, people: Path | None) -> None:
    """Let everything be said and heard that is not in a file yet; a line for each thing."""
    done = {(row["voice"], row["kind"], row["said"]) for row in read(out)}
    with open_recogniser(DEFAULT_ENGINE, None) as (recogniser, parser):
        for voice, kind, text, speak in things(people):
            if (voice, kind, text) in done:
                continue
            spoken = active(np.asarray(speak(), np.float32))
            level = np.asarray(spoken * (LEVEL / active_rms(spoken)), np.float32)
            whole = scene([level], [PAUSE_S]).sound
            sound = mix(whole, pink(whole.size, np.random.default_rng(SEED)), NOISE_DB)
            frames = Frames([sound[:, None]])
            heard = [
                understand(parser, recogniser.recognise(u, EXPECTS), EXPECTS, LIMIT, TENTATIVE)
                for u in utterances(frames)
            ]
            listed = [_row(each) for each in heard]
            row = {"voice": voice, "kind": kind, "said": text, "heard": listed}
            with out.open("a", encoding="utf-8") as file:
                file.write(json.dumps(row) + "\n")


def read(out: Path) -> list[dict[str, Any]]:
    """Read what was heard so far."""
    return (
        [json.loads(line) for line in out.read_text("utf-8").splitlines()] if out.exists() else []
    )


def _row(heard: Heard) -> dict[str, Any]:
    return {
        "outcome": heard.outcome.value,
        "kind": heard.kind.value,
        "value": heard.value,
        "name": heard.name,
        "amount": heard.amount,
        "text": heard.text,
        "probability": heard.probability,
        "alternatives": [[each.text, each.probability] for each in heard.alternatives[:4]],
    }


def verdict(row: dict[str, Any], *, is_opening: bool) -> str:
    """Tell what came of one thing said.

    Args:
        row: what was said and heard.
        is_opening: a lone number below `LONE_SURE` counts as asked.
    """
    outcomes = []
    for each in row["heard"]:
        what = each["outcome"]
        if what == Outcome.CALL.value:
            is_number = Kind(each["kind"]) in NUMBERS
            is_lone = is_number and " " not in each["text"]
            what = "number" if is_number else "command"
            if is_opening and is_lone and each["probability"] < LONE_SURE:
                what = "asked"
        outcomes.append("asked" if what == Outcome.ASK.value else what)
    for what in ("number", "command", "asked"):
        if what in outcomes:
            return what
    return "ignored" if outcomes else "missed"


def is_meant(row: dict[str, Any], parser: Any) -> bool:  # noqa: ANN401 - a parser
    """Tell whether a command, a condition or a digit came out as it was said."""
    if len(row["heard"]) != 1:
        return False
    heard = row["heard"][0]
    if row["kind"] == "lone digits":
        return bool(heard["value"] == 100 * int(row["said"]))
    found = parser.parse(row["said"], EXPECTS, LIMIT)
    meant = tuple(getattr(found, each, None) for each in ("name", "amount"))
    return meant == (heard["name"], heard["amount"]) and bool(heard["name"])


def counts(rows: list[dict[str, Any]]) -> dict[str, dict[str, dict[str, int]]]:
    """Count, by kind, what was made of what was said, with and without the rule for lone words."""
    _, parser = load_words()
    each_taken: dict[str, dict[str, int]] = {}
    lone_asked: dict[str, dict[str, int]] = {}
    mistaken: dict[str, dict[str, int]] = {}
    for kind in dict.fromkeys(row["kind"] for row in rows):
        those = [row for row in rows if row["kind"] == kind]
        for is_opening, table in ((False, each_taken), (True, lone_asked)):
            found = Counter(verdict(row, is_opening=is_opening) for row in those)
            right = sum(
                is_meant(row, parser)
                for row in those
                if verdict(row, is_opening=is_opening) in TAKEN
            )
            listed = {each: found[each] for each in (*TAKEN, "asked", "ignored", "missed")}
            table[kind] = {"n": len(those), "right": right, **listed}
        for row in those:
            if verdict(row, is_opening=False) in TAKEN and not is_meant(row, parser):
                heard = " + ".join(h["text"] for h in row["heard"] if h["outcome"] == "call")
                name = f"{kind}: {row['said']}, heard as {heard}"
                mistaken[name] = {"times": mistaken.get(name, {"times": 0})["times"] + 1}
    return {
        "each taken": each_taken,
        "lone words that are not sure are asked": lone_asked,
        "taken for what they are not": mistaken,
    }


def main(arguments: list[str]) -> None:
    """Hear and count, or count again."""
    if arguments[0] == "--counts":
        tell(read(Path(arguments[1])))
        return
    out = Path(arguments[0])
    out = out.with_name(f"{out.stem}-{build()}{out.suffix}")
    out.parent.mkdir(parents=True, exist_ok=True)
    people = Path(arguments[1]) if len(arguments) > 1 else None
    hear(out, people)
    tell(read(out))


def tell(rows: list[dict[str, Any]]) -> None:
    """Print the counts."""
    voices = tuple(dict.fromkeys(row["voice"] for row in rows))
    keep("words", counts(rows), n="as each row says", voices=voices)


if __name__ == "__main__":
    main(sys.argv[1:])
