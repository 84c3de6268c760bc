"""Benchmark of hearing recorded people: calls of two figures, and what is no such call.

``python -m tests.bench.bench_people FOLDER [COUNT [MENDS]]``; the sounds are not part of the
project (see `tests.bench.people`). Each person says COUNT calls (100) for each role and condition,
heard by the default and by what it is compared with; how much oftener the default is right has a
paired interval. How sure the default is of calls of two figures is set beside how often it is right
(`tests.bench.sureness`), of all that came as a call, taken or not, and of what is taken. MENDS is a
folder of words that mend (``no.wav`` and so on); without it that row is left out.

What was fitted on people was fitted on all of a folder; the figures with each of them left out are
in ``tests/bench/DECIDED.md``. People who were not there tell what a stranger gets.
"""

from __future__ import annotations

import math
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from calllog.audio import utterances
from calllog.commands.engine import DEFAULT_ENGINE, Engine, make_recogniser
from calllog.recognise import Recogniser, understand
from calllog.spoken import Parser, load_grammar
from calllog.values import Expectation, Kind
from tests.audio.frames import Frames
from tests.bench.bench_recognition import GRAMMAR, LIMIT, Answer, told_of_taken
from tests.bench.people import (
    CONDITIONS,
    MENDS,
    ROLES,
    Spoken,
    noisy_scene,
    people,
    read_sound,
    too_many,
    two_figures,
)
from tests.bench.sureness import Told, by_told, sureness
from tests.measured.results import keep

COUNT = 100
SHARE_OF_MORE = 5
"""One in so many of each row of what is no call of two figures."""
COMPARED: dict[str, Engine] = {"default": DEFAULT_ENGINE, "numbers": Engine.NUMBERS}
TOLD = {"default": "the default", "numbers": "the numbers model"}
ALL = "all"
"""Row of all people together."""
NORMAL_95 = 1.96

ANY = "any noise"
"""Row of all conditions together."""
NO_CALLS = frozenset({Kind.CHATTER, Kind.UNCLEAR})

Key = tuple[str, str, str]
"""Row, condition and person."""


def spoken(
    folder: Path, person: str, expects: Expectation, count: int, mends: Path | None
) -> Iterator[tuple[str, list[Spoken]]]:
    """Give what a person says in a role, in two stretches with a name each."""
    yield "two", two_figures(folder, person, expects, count)
    words = {each: read_sound(mends / f"{each}.wav") for each in MENDS} if mends else {}
    yield "more", too_many(folder, person, expects, max(1, count // SHARE_OF_MORE), words)


def listen(
    recogniser: Recogniser,
    parser: Parser,
    said: Sequence[Spoken],
    scene: tuple[np.typing.NDArray[np.float32], list[tuple[float, float]]],
    expects: Expectation,
) -> list[Answer]:
    """Hear a stretch as in the field; give the answer to each thing said."""
    sound, spans = scene
    source = Frames([sound[:, None]])
    heard = [
        (each, understand(parser, recogniser.recognise(each, expects), expects, LIMIT))
        for each in utterances(source)
    ]
    return [
        Answer(each.said, tuple(h for u, h in heard if u.start_s < end and start < u.end_s))
        for each, (start, end) in zip(said, spans, strict=True)
    ]


def paired(ours: Sequence[bool], theirs: Sequence[bool]) -> dict[str, float]:
    """Tell how much oftener one is right than another on the same calls [%], with 95 % limits."""
    apart = np.array(ours, float) - np.array(theirs, float)
    mean = float(apart.mean())
    half = NORMAL_95 * math.sqrt(max(float(np.mean(apart**2)) - mean**2, 0.0) / len(apart))
    return {
        "more right %": round(100 * mean, 1),
        "from": round(100 * (mean - half), 1),
        "to": round(100 * (mean + half), 1),
    }


def figures(verdicts: Sequence[str]) -> dict[str, float]:
    """Count verdicts; shares in percent. Where nothing is right to take, what is taken is wrong."""
    counts, total = Counter(verdicts), len(verdicts)
    shares = {f"{v} %": round(100 * counts[v] / total, 1) for v in ("right", "wrong", "asked")}
    return {"n": total, **shares}


def told(answers: Sequence[Answer]) -> list[Told]:
    """List how sure it was of the likeliest call, whatever became of it, and whether it was that.

    A call that came in two utterances is none of them.
    """
    found = []
    for answer in answers:
        for heard in answer.heard:
            calls = [o for o in heard.alternatives if o.text and o.kind not in NO_CALLS]
            for best in calls[:1]:
                is_it = (best.kind, best.value) == (answer.said.kind, answer.said.value)
                found.append((best.probability, is_it and len(answer.heard) == 1))
    return found


def how_sure(
    answers: dict[tuple[str, str], list[Answer]],
) -> dict[str, dict[str, dict[str, float]]]:
    """Make the tables of how sure it was, of calls by condition and person."""
    rows: dict[tuple[str, str], list[Answer]] = defaultdict(list)
    for (condition, person), those in answers.items():
        for row in ((condition, person), (condition, ALL), (ANY, person), (ANY, ALL)):
            rows[row] += those
    found: dict[str, dict[str, dict[str, float]]] = {}
    for name, way in (("heard", told), ("taken", told_of_taken)):
        found[f"how sure of calls {name}"] = {
            ", ".join(row): sureness(way(those)) for row, those in rows.items()
        }
        found[f"how often right, by what is told of calls {name}"] = {
            f"{person}, {span}": figures
            for (condition, person), those in rows.items()
            if condition == ANY
            for span, figures in by_told(way(those)).items()
        }
    return found


def main(folder: Path, count: int, mends: Path | None) -> None:
    """Print the figures."""
    parser = Parser(load_grammar(GRAMMAR.read_text("utf-8")))
    found: dict[str, dict[Key, list[str]]] = {name: defaultdict(list) for name in COMPARED}
    twos: dict[tuple[str, str], list[Answer]] = defaultdict(list)
    took_s = dict.fromkeys(COMPARED, 0.0)
    for name, engine in COMPARED.items():
        with make_recogniser(engine, None) as recogniser:
            for person in people(folder):
                for expects in ROLES:
                    for stretch, said in spoken(folder, person, expects, count, mends):
                        for condition in CONDITIONS:
                            scene = noisy_scene(said, folder, condition, f"{stretch} {person}")
                            begun_s = time.process_time()
                            answers = listen(recogniser, parser, said, scene, expects)
                            took_s[name] += time.process_time() - begun_s
                            for each, answer in zip(said, answers, strict=True):
                                found[name][each.row, condition, person].append(answer.verdict)
                            if name == "default" and stretch == "two":
                                twos[condition, person] += answers
            sys.stderr.write(f"{name}: {took_s[name]:.0f} s\n")
    for by_key in found.values():
        for (row, condition, _), verdicts in tuple(by_key.items()):
            by_key[row, condition, ALL].extend(verdicts)
    result = {
        **{
            f"calls of {TOLD[name]}": {
                ", ".join(key): figures(verdicts) for key, verdicts in by_key.items()
            }
            for name, by_key in found.items()
        },
        **{
            f"the default against {TOLD[name]}": {
                ", ".join(key): paired(
                    [each == "right" for each in verdicts],
                    [each == "right" for each in found[name][key]],
                )
                for key, verdicts in found["default"].items()
                if key[0] == "two"
            }
            for name in COMPARED
            if name != "default"
        },
        **how_sure(twos),
        "processor time [s]": {name: round(each, 1) for name, each in took_s.items()},
    }
    n = f"{2 * count} calls of two figures for each person and noise"
    keep("people", result, n=n, voices=people(folder))


if __name__ == "__main__":
    given = sys.argv[1:]
    if not given:
        sys.exit("give the folder of the people's sounds: PERSON/FIGURE_INDEX.flac, noise/KIND/*")
    main(
        Path(given[0]),
        int(given[1]) if len(given) > 1 else COUNT,
        Path(given[2]) if len(given) > 2 else None,
    )
