"""Everything that each grammar can say, said: the space is finite, so it is enumerated."""

from __future__ import annotations

import pytest

from calllog.readback.figures import say_count
from calllog.resources import grammar_folder, grammar_text
from calllog.spoken import (
    Grammar,
    Meaning,
    Parser,
    Rejection,
    all_phrases,
    load_grammar,
    note_forms,
    say,
    spoken_forms,
    words,
)
from calllog.values import Expectation, Kind, OffsetNote, Outcome, Side

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
    "mended": {Outcome.ASK},
    "chatter": {Kind.CHATTER},
}

SHIPPED = sorted(file.stem for file in grammar_folder().glob("*.toml"))


@pytest.fixture(scope="module", params=SHIPPED)
def grammar(request: pytest.FixtureRequest) -> Grammar:
    """Load each grammar that travels with the program, one after the other."""
    text, path = grammar_text(request.param)
    return load_grammar(text, str(path))


@pytest.fixture(scope="module")
def parser(grammar: Grammar) -> Parser:
    """Build the parser of the grammar."""
    return Parser(grammar)


def test_grammar_is_named_as_its_file(grammar: Grammar) -> None:
    """A job notes the grammar's name, by which its file is found again."""
    assert grammar.name in SHIPPED
    assert grammar_text(grammar.name)[1].stem == grammar.name


@pytest.mark.parametrize("expects", Expectation)
def test_every_phrase_has_exactly_one_meaning(
    grammar: Grammar, parser: Parser, expects: Expectation
) -> None:
    """No phrase stands twice under an expectation, and each means what its kind promises."""
    seen = set()
    for kind, phrase in all_phrases(grammar, expects):
        assert phrase not in seen, f"{phrase!r} can be said as two kinds"
        seen.add(phrase)
        found = parser.parse(phrase, expects, HUNDRED_FOOT_ADD_TAPE)
        meaning: Kind | Outcome = found.outcome if isinstance(found, Rejection) else found.kind
        allowed = MEANS.get((expects, kind)) or ALWAYS[kind]
        assert meaning in allowed, f"{phrase!r} ({kind}) means {found}"
    assert len(seen) > 100_000


def test_same_phrase_never_has_two_values(grammar: Grammar, parser: Parser) -> None:
    """A full reading means the same length whatever is expected."""
    readings = [p for kind, p in all_phrases(grammar, Expectation.WHOLE) if kind == "reading"]
    for phrase in readings[::7]:
        found = {parser.parse(phrase, expects, HUNDRED_FOOT_ADD_TAPE) for expects in Expectation}
        assert len(found) == 1, phrase


def test_every_reading_can_be_said_and_parses_back(grammar: Grammar, parser: Parser) -> None:
    """Each value from 0.00 to 100.00 has spoken forms, and each form parses back to it."""
    for value in range(10_001):
        forms = spoken_forms(grammar, Kind.READING, value)
        assert forms, value
        for phrase in forms:
            found = parser.parse(phrase, Expectation.READING, HUNDRED_FOOT_ADD_TAPE)
            assert found == Meaning(Kind.READING, value), phrase


def test_spoken_forms_are_all_that_the_grammar_can_say(grammar: Grammar) -> None:
    """The generator and the compiled grammar list the same phrases, no more and no fewer."""
    for expects, kind, top in (
        (Expectation.WHOLE, Kind.WHOLE, range(0, 10_001, 100)),
        (Expectation.FRACTION, Kind.FRACTION, range(100)),
        (Expectation.READING, Kind.READING, range(10_100)),
    ):
        part = "reading" if kind is Kind.READING else "number"
        compiled = {p for k, p in all_phrases(grammar, expects) if k == part}
        said = {p for value in top for p in spoken_forms(grammar, kind, value)}
        assert said | set(grammar.terms.full_tape) == compiled | set(grammar.terms.full_tape)


@pytest.mark.parametrize(
    ("kind", "expects", "values"),
    [
        (Kind.WHOLE, Expectation.WHOLE, range(0, 10_001, 100)),
        (Kind.FRACTION, Expectation.FRACTION, range(100)),
    ],
)
def test_every_part_can_be_said_and_parses_back(
    grammar: Grammar, parser: Parser, kind: Kind, expects: Expectation, values: range
) -> None:
    """Each whole foot and each hundredth has spoken forms that parse back to it."""
    for value in values:
        assert say(grammar, kind, value)
        for phrase in spoken_forms(grammar, kind, value):
            assert parser.parse(phrase, expects, HUNDRED_FOOT_ADD_TAPE) == Meaning(kind, value)


def test_word_list_covers_every_phrase(grammar: Grammar) -> None:
    """A dictionary made of the grammar's words can pronounce all that the grammar can say."""
    known = words(grammar)
    for expects in Expectation:
        for _, phrase in all_phrases(grammar, expects):
            assert known.issuperset(phrase.split()), phrase


def test_every_count_of_a_condition_parses_back(grammar: Grammar, parser: Parser) -> None:
    """Each temperature from 0 to 130 is understood as it is read back."""
    pattern = next(c.phrases[0] for c in grammar.conditions if c.name == "temperature")
    for count in range(131):
        said = pattern.replace("{decimal}", say_count(grammar, count))
        found = parser.parse(said, Expectation.WHOLE, HUNDRED_FOOT_ADD_TAPE)
        assert found == Meaning(Kind.CONDITION, name="temperature", amount=float(count)), said


def test_every_pull_has_a_number_of_its_own(grammar: Grammar) -> None:
    """No two pulls of a long day are read back alike."""
    said = [say_count(grammar, count) for count in range(3000)]
    assert len(set(said)) == len(said)


def test_notes_parse_back(grammar: Grammar, parser: Parser) -> None:
    """Stations and offsets, to either side, have forms that parse back to them."""
    for station in range(0, 1_000_000, 6_700):
        for offset in (0, 5, 40, 1840, 3100, 9999, 10_000):
            side = Side.LEFT if station % 200 else Side.RIGHT
            note = OffsetNote(station=station, side=side, offset=offset)
            forms = note_forms(grammar, note)
            assert forms, note
            for phrase in forms[:: max(1, len(forms) // 40)]:
                found = parser.parse(phrase, Expectation.ANY, HUNDRED_FOOT_ADD_TAPE)
                assert found == Meaning(Kind.NOTE, note=note), phrase
