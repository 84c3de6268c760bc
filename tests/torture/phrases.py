"""All that each grammar can say, under each expectation: ``python -m tests.torture.phrases``.

The tests say some thousands of each kind, from all over what can be said; here all is said in full,
minutes long.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from itertools import product

from calllog.resources import grammar_folder, grammar_text
from calllog.spoken import (
    Grammar,
    Meaning,
    Parser,
    Rejection,
    load_grammar,
    note_forms,
    spoken_forms,
)
from calllog.spoken.compile import parts
from calllog.spoken.expression import Expression, OneOf, Sequence, phrases
from calllog.spoken.grammar import SaidKind
from calllog.values import Expectation, Kind, OffsetNote, Outcome, Side
from tests.torture.tally import Tally, report

SHIPPED = sorted(file.stem for file in grammar_folder().glob("*.toml"))
HUNDRED_FOOT_ADD_TAPE = 10099
MEANS: dict[tuple[Expectation, str], set[Kind | Outcome]] = {
    (Expectation.WHOLE, "number"): {Kind.WHOLE},
    (Expectation.FRACTION, "number"): {Kind.FRACTION},
    (Expectation.READING, "number"): {Outcome.ASK},
    (Expectation.ANY, "number"): {Kind.NUMBER, Kind.WHOLE, Kind.FRACTION},
}
"""What the bare numbers of an expectation may mean; the other kinds mean the same under all."""
ALWAYS: dict[str, set[Kind | Outcome]] = {
    "reading": {Kind.READING},
    "short": {Outcome.ASK},
    "command": {Kind.COMMAND},
    "condition": {Kind.CONDITION},
    "note": {Kind.NOTE},
    "named": {Kind.WHOLE, Kind.FRACTION, Kind.READING, Outcome.ASK},
    "mended": {Outcome.ASK},
    "figures": {Outcome.ASK},
    "style": {Kind.WHOLE, Kind.FRACTION, Kind.READING, Kind.NUMBER, Outcome.ASK},
    "chatter": {Kind.CHATTER},
}
OWN = {SaidKind.NUMBER, SaidKind.SHORT, SaidKind.STYLE, SaidKind.NAMED}
"""Kinds that each expectation says in its own way."""
OFTEN = 8
"""Of what is said in its own way one phrase in so many is said, where not all is."""
MOST = 5_000
"""Of a kind about so many phrases are said under an expectation, where not all are."""
OFFSETS = (0, 5, 40, 1840, 3100, 9999, 10_000)
"""Hundredths."""


def by_slot(tree: Sequence) -> Iterator[str]:
    """Enumerate a sequence part by part, the other parts at their first phrase.

    For what cannot be enumerated as a whole: parts of 200, 200 and 50,000 phrases.
    """
    parts = [tuple(phrases(part)) for part in tree.parts]
    first = [part[0] for part in parts]
    yield " ".join(first)
    for place, part in enumerate(parts):
        before = "".join(f"{each} " for each in first[:place])
        after = "".join(f" {each}" for each in first[place + 1 :])
        for phrase in part[1:]:
            yield f"{before}{phrase}{after}"


def shipped(name: str) -> Grammar:
    """Load a grammar that travels with the program."""
    text, path = grammar_text(name)
    return load_grammar(text, str(path))


def said_by(tree: Expression) -> tuple[str, ...]:
    """Enumerate what a tree can say; a note, which is one sequence, by each of its parts.

    So are calls that are mended, three sequences of two numbers: too many to be said in full.
    """
    if isinstance(tree, OneOf) and all(isinstance(each, Sequence) for each in tree.options):
        return tuple(phrase for each in tree.options for phrase in said_by(each))
    return tuple(by_slot(tree) if isinstance(tree, Sequence) else phrases(tree))


def some(said: tuple[str, ...]) -> tuple[str, ...]:
    """Give phrases from all over a list, by a step that no count of tens or digits divides."""
    step = len(said) // MOST | 1
    return said[:: step + 2 if step % 5 == 0 else step]


def sweep(
    grammar: Grammar, step: int = 1, like: Grammar | None = None
) -> dict[SaidKind, tuple[str, ...]]:
    """Say what a grammar can say under each expectation: each phrase has exactly one meaning.

    Args:
        grammar: the grammar.
        step: 1 says all. Else, of the phrases that mean the same whatever is expected, some of each
            kind are said under the first expectation, and one in so many under each other; of what
            each expectation says in its own way one in `OFTEN`.
        like: a grammar that was asked; of what it says as well one in so many is said.

    Returns:
        What can be said whatever is expected, by kind.
    """
    parser = Parser(grammar)
    trees: dict[SaidKind, Expression] = {}
    common: dict[SaidKind, tuple[str, ...]] = {}
    theirs = parts(like, Expectation.WHOLE) if like else {}
    meant: dict[str, Meaning | Rejection] = {}
    listed: set[str] = set()
    for place, expects in enumerate(Expectation):
        own: set[str] = set()
        for kind, tree in parts(grammar, expects).items():
            if kind in OWN:
                said = said_by(tree)
                before = len(own)
                own.update(said)
                assert len(own) == before + len(said), f"a {kind} can be said twice"
                said = some(said[place % OFTEN :: OFTEN]) if step > 1 else said
            elif kind not in common:
                said = common[kind] = said_by(tree)
                trees[kind] = tree
                assert len({*said}) == len(said), f"a {kind} can be said twice"
                assert listed.isdisjoint(said), f"a {kind} can be said as another kind"
                listed |= {*said}
                if theirs.get(kind) == tree:
                    said = said[::step]
                elif kind in theirs:
                    known = {*said_by(theirs[kind])}
                    new = tuple(each for each in said if each not in known)
                    said = (*said[::step], *some(new))
                elif step > 1:
                    said = some(said)
            else:
                assert tree == trees[kind], f"{kind} differs where {expects} is expected"
                said = common[kind][place % step :: step]
            allowed = MEANS.get((expects, kind)) or ALWAYS[kind]
            for phrase in said:
                found = parser.parse(phrase, expects, HUNDRED_FOOT_ADD_TAPE)
                meaning: Kind | Outcome = (
                    found.outcome if isinstance(found, Rejection) else found.kind
                )
                assert meaning in allowed or _is_half_rise(kind, found), (
                    f"{phrase!r} ({kind}) means {found}"
                )
                if kind not in OWN:
                    assert meant.setdefault(phrase, found) == found, f"{phrase!r} means two things"
        assert own.isdisjoint(listed), f"{own & listed} can be said as two kinds"
        assert len(own) + len(listed) > 100_000
    return common


def say_readings(grammar: Grammar, step: int = 1) -> int:
    """Say each value from 0.00 to 100.00, or one in so many, in each of its forms; count these.

    A value has a form, and each form parses back to it.
    """
    parser, count = Parser(grammar), 0
    for value in range(0, 10_001, step):
        forms = spoken_forms(grammar, Kind.READING, value)
        assert forms, value
        for phrase in forms:
            found = parser.parse(phrase, Expectation.READING, HUNDRED_FOOT_ADD_TAPE)
            assert found == Meaning(Kind.READING, value), phrase
        count += len(forms)
    return count


def say_notes(grammar: Grammar, step: int = 1) -> int:
    """Say stations with offsets to either side, one in so many of them; count what was said.

    A note has forms, and those that are asked parse back to it.
    """
    parser, count = Parser(grammar), 0
    for number, (station, offset) in enumerate(product(range(0, 1_000_000, 6_700), OFFSETS)):
        if number % step:
            continue
        side = Side.LEFT if station % 200 else Side.RIGHT
        note = OffsetNote(station=station, side=side, offset=offset)
        forms = note_forms(grammar, note)
        assert forms, note
        for phrase in forms[:: max(1, len(forms) // 40)]:
            found = parser.parse(phrase, Expectation.ANY, HUNDRED_FOOT_ADD_TAPE)
            assert found == Meaning(Kind.NOTE, note=note), phrase
            count += 1
    return count


def _is_half_rise(kind: SaidKind, found: Meaning | Rejection) -> bool:
    """Tell whether a rise was said of feet alone, which is heard to be asked again."""
    return (
        kind is SaidKind.CONDITION
        and isinstance(found, Rejection)
        and (found.outcome, found.reason.code) == (Outcome.ASK, "after-comes-reading")
    )


def say_all(name: str) -> list[Tally]:
    """Say all that a grammar can say."""
    grammar = shipped(name)
    counts = (
        ("phrases of {}, each expectation", sum(map(len, sweep(grammar).values()))),
        ("readings in {}, said and parsed back", say_readings(grammar)),
        ("notes in {}, said and parsed back", say_notes(grammar)),
    )
    return [Tally(what.format(name), said, said) for what, said in counts]


def main() -> int:
    """Say all of it, a grammar for each core; give an exit code."""
    with ProcessPoolExecutor() as pool:
        return report("phrases", [each for said in pool.map(say_all, SHIPPED) for each in said])


if __name__ == "__main__":
    sys.exit(main())
