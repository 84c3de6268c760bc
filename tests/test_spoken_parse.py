"""The strict parser: what is taken, what is asked again, what is ignored, and why."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.spoken import Meaning, Parser, Rejection, Why, normalise
from calllog.values import Expectation, Kind, Outcome, Role
from calllog.wording import ENGLISH

FIFTY = 5000
HUNDRED = 10_000
W, F, R, A = Expectation.WHOLE, Expectation.FRACTION, Expectation.READING, Expectation.ANY


@pytest.mark.parametrize(
    ("said", "expects", "value"),
    [
        # Forms of a call: common practice, no published source.
        ("fifteen", W, 1500),
        ("four two", W, 4200),
        ("a hundred", W, 10_000),
        ("forty-two", F, 42),
        ("four two", F, 42),
        ("oh five", F, 5),
        ("zero five", F, 5),
        ("point forty-two", F, 42),
        ("zero zero", F, 0),
        ("fifteen forty-two", R, 1542),
        ("Fifteen point four two", R, 1542),
        ("five oh five", R, 505),
        ("one hundred oh five", R, 10_005),
        # Spoken digit by digit after FAA AIM 4-2-8 and FAA JO 7110.65 2-4-17 (checks F3, F4, F10:
        # the rules were read, the phrases are derived from them).
        ("three four point eight two", R, 3482),
        ("one zero zero point zero zero", R, 10_000),
        ("one zero niner point zero five", R, None),
    ],
)
def test_calls_mean_their_value(
    parser: Parser, said: str, expects: Expectation, value: int | None
) -> None:
    """A call said as the trade says it has its value; 109 is beyond what this grammar can say."""
    found = parser.parse(said, expects, HUNDRED + 99)
    if value is None:
        assert isinstance(found, Rejection)
    else:
        assert isinstance(found, Meaning)
        assert found.value == value


@pytest.mark.parametrize(
    ("said", "expects", "why", "word", "reason"),
    [
        ("seven", F, Why.SINGLE_DIGIT, "seven", "seven may be .07 or .70; say both digits"),
        (
            "point seven",
            F,
            Why.SINGLE_DIGIT,
            "seven",
            "point seven may be .07 or .70; say both digits",
        ),
        (
            "fifteen seven",
            R,
            Why.SINGLE_DIGIT,
            "seven",
            "fifteen seven may be 15.07 or 15.70; say point and both digits",
        ),
        (
            "twenty one two",
            R,
            Why.AMBIGUOUS,
            "two",
            "twenty one two may be 20.12 or 21.02 or 21.20; say point and both digits",
        ),
        (
            "five four two",
            R,
            Why.AMBIGUOUS,
            "two",
            "five four two may be 5.42 or 54.02 or 54.20; say point and both digits",
        ),
        ("ninety-nine", W, Why.OFF_TAPE, "ninety", "ninety-nine is beyond this 50 ft tape"),
        ("ninety nine forty two", R, Why.OFF_TAPE, "ninety", "99.42 is beyond this 50 ft tape"),
        (
            "oh five",
            W,
            Why.WRONG_PART,
            "oh",
            "oh five is hundredths; a whole foot is due here",
        ),
        (
            "one hundred",
            F,
            Why.OFF_TAPE,
            "one",
            "one hundred is beyond this 50 ft tape",
        ),
        ("temperature", A, Why.WRONG_PART, "?", "after temperature comes a number"),
        (
            "rise forty two",
            A,
            Why.WRONG_PART,
            "forty",
            'after rise comes feet, "point" and two digits',
        ),
    ],
)
def test_near_misses_keep_their_reason(
    parser: Parser, said: str, expects: Expectation, why: Why, word: str, reason: str
) -> None:
    """What was meant as a call but may not be taken is asked again, and says why."""
    found = parser.parse(said, expects, FIFTY)
    assert isinstance(found, Rejection)
    assert (found.why, ENGLISH.say(found.reason)) == (why, reason)
    assert found.outcome is Outcome.ASK
    assert (found.words[found.index] if found.index < len(found.words) else "?") == word


@pytest.mark.parametrize(
    ("said", "why", "word"),
    [
        ("", Why.EMPTY, "?"),
        ("give me a banana", Why.UNKNOWN_WORD, "banana"),
        ("fifteen smoots", Why.UNKNOWN_WORD, "smoots"),
        ("give me a", Why.NO_CALL, "?"),
        ("give me fifteen", Why.NO_CALL, "fifteen"),
        ("fifteen point mark", Why.NO_CALL, "mark"),
        ("head", Why.NO_CALL, "head"),
        ("forty fifty sixty", Why.NO_CALL, "sixty"),
    ],
)
def test_no_call_is_ignored_and_names_the_word(
    parser: Parser, said: str, why: Why, word: str
) -> None:
    """Words that make no call are ignored; the word that failed is named."""
    found = parser.parse(said, A, HUNDRED)
    assert isinstance(found, Rejection)
    assert (found.why, found.outcome) == (why, Outcome.IGNORED)
    assert (found.words[found.index] if found.index < len(found.words) else "?") == word


@pytest.mark.parametrize(
    "said", ["give me a foot", "give me one more foot", "one more time", "mark"]
)
@pytest.mark.parametrize("expects", Expectation)
def test_chatter_never_becomes_a_number(parser: Parser, said: str, expects: Expectation) -> None:
    """A "foot" or a "one" inside crew talk is no reading (common practice, no published source)."""
    assert parser.parse(said, expects, HUNDRED) == Meaning(Kind.CHATTER)


@pytest.mark.parametrize("expects", Expectation)
def test_short_answer_is_talk_that_says_whose_answer_it_is(
    parser: Parser, expects: Expectation
) -> None:
    """Whether it was asked for, the parser cannot know."""
    for said in ("i have it", "i've got it", "i hold it"):
        assert parser.parse(said, expects, HUNDRED) == Meaning(Kind.CHATTER, name="caller-holds")


@pytest.mark.parametrize(
    ("said", "name", "amount"),
    [
        ("temperature six eight", "temperature", 68.0),
        ("temperature one hundred five", "temperature", 105.0),
        ("tension twenty", "tension", 20.0),
        ("tension twenty pounds", "tension", 20.0),
        ("rise one point two five", "rise", 1.25),
        ("at the knee", "position", 1.0),
        ("ends only", "spans", 1.0),
        ("holding one", "hold", 1.0),
    ],
)
def test_conditions_state_their_amount(parser: Parser, said: str, name: str, amount: float) -> None:
    """A condition is heard with what it states, under any expectation."""
    expected = Meaning(Kind.CONDITION, name=name, amount=amount)
    assert {parser.parse(said, expects, HUNDRED) for expects in Expectation} == {expected}


def test_role_before_a_call_is_kept(parser: Parser) -> None:
    """One microphone for both: the caller may say which end is calling."""
    assert parser.parse("head forty two", A, HUNDRED) == Meaning(Kind.NUMBER, 42, role=Role.HEAD)
    assert parser.parse("rear fifteen", W, HUNDRED) == Meaning(Kind.WHOLE, 1500, role=Role.REAR)


def test_full_tape_is_the_nominal_length(parser: Parser) -> None:
    """The whole tape in one call is its nominal length, also on a tape with an extra foot."""
    assert parser.parse("full tape", R, 10_099) == Meaning(Kind.READING, 10_000, name="full tape")
    assert parser.parse("full tape", A, FIFTY) == Meaning(Kind.READING, FIFTY, name="full tape")


VOCABULARY = (
    "zero oh one two five fifteen twenty forty hundred a point head mark give me foot banana"
)


@given(
    st.lists(st.sampled_from(VOCABULARY.split()), max_size=7).map(" ".join),
    st.sampled_from(Expectation),
)
def test_any_words_are_a_meaning_or_a_rejection(
    parser: Parser, said: str, expects: Expectation
) -> None:
    """Whatever the words, the parser answers with one of its two kinds, never an error."""
    found = parser.parse(said, expects, HUNDRED)
    if isinstance(found, Rejection):
        assert found.reason
        assert 0 <= found.index <= len(found.words)
        assert found.words == normalise(said)
    else:
        assert found.value is None or 0 <= found.value <= HUNDRED
