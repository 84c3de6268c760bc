"""From hypotheses to what was heard: meanings counted together, questions, talk, nothing."""

from __future__ import annotations

import pytest

from calllog.recognise import TENTATIVE, Hypothesis, understand
from calllog.spoken import Parser
from calllog.values import Expectation, Kind, Outcome, Role, message
from calllog.wording import ENGLISH

LIMIT = 10_000
W, F, A = Expectation.WHOLE, Expectation.FRACTION, Expectation.ANY


def listed(*pairs: tuple[str, float]) -> tuple[Hypothesis, ...]:
    """Make hypotheses of words and probabilities."""
    return tuple(Hypothesis(text, probability) for text, probability in pairs)


def test_words_of_one_meaning_count_together(parser: Parser) -> None:
    """Two wordings of 42 together are sure, though neither is by itself."""
    heard = understand(
        parser, listed(("forty", 0.3), ("forty two", 0.4), ("four two", 0.3)), F, LIMIT
    )
    assert (heard.outcome, heard.kind, heard.value) == (Outcome.CALL, Kind.FRACTION, 42)
    assert heard.text == "forty two"
    assert heard.probability == pytest.approx(0.7)
    assert [(a.value, a.probability) for a in heard.alternatives] == [(42, 0.7), (40, 0.3)]


@pytest.mark.parametrize(
    ("text", "expects", "outcome", "kind"),
    [
        ("five", F, Outcome.ASK, Kind.UNCLEAR),
        ("point five", F, Outcome.ASK, Kind.UNCLEAR),
        ("good here", W, Outcome.IGNORED, Kind.CHATTER),
        ("switch ends", W, Outcome.CALL, Kind.COMMAND),
        ("temperature sixty eight", F, Outcome.CALL, Kind.CONDITION),
        ("", W, Outcome.IGNORED, Kind.CHATTER),
        ("purple monkey", W, Outcome.IGNORED, Kind.CHATTER),
    ],
)
def test_each_kind_of_utterance_has_its_outcome(
    parser: Parser, text: str, expects: Expectation, outcome: Outcome, kind: Kind
) -> None:
    """A single digit is asked again, talk is ignored, commands and conditions are taken."""
    heard = understand(parser, listed((text, 0.9)), expects, LIMIT)
    assert (heard.outcome, heard.kind) == (outcome, kind)
    assert heard.value is None
    assert bool(heard.reason) is (outcome is not Outcome.CALL)


@pytest.mark.parametrize(
    ("text", "expects", "outcome"),
    [
        ("four two four two", W, Outcome.ASK),
        ("one five four two", F, Outcome.ASK),
        ("one five four two", Expectation.READING, Outcome.CALL),
        ("one five four two", A, Outcome.CALL),
        ("fifteen forty two", F, Outcome.CALL),
        ("one five point four two", W, Outcome.CALL),
        ("four two", F, Outcome.CALL),
    ],
)
def test_figures_of_two_parts_in_a_row_are_asked_where_one_is_due(
    parser: Parser, text: str, expects: Expectation, outcome: Outcome
) -> None:
    """They are a number said twice as well as a reading; other readings are taken."""
    heard = understand(parser, listed((text, 0.99)), expects, LIMIT)
    assert heard.outcome is outcome
    assert (heard.value is None) is (outcome is Outcome.ASK)
    assert heard.alternatives[0].probability == pytest.approx(0.99)


def test_a_value_off_the_tape_is_asked_again(parser: Parser) -> None:
    """Sixty feet on a fifty-foot tape is a question, never a call."""
    heard = understand(parser, listed(("sixty", 0.9), ("sixteen", 0.1)), W, 5000)
    assert heard.outcome is Outcome.ASK
    assert "50" in ENGLISH.say(heard.reason)
    assert [a.value for a in heard.alternatives] == [None, 1600]


@pytest.mark.parametrize(
    ("hypotheses", "outcome", "reason"),
    [
        (listed(("", 0.7), ("fifteen", 0.3)), Outcome.ASK, "not sure of fifteen; say it again"),
        (
            listed(("", 0.7), ("switch ends", 0.3)),
            Outcome.ASK,
            "not sure of switch ends; say it again",
        ),
        (
            listed(("fifteen", 0.49), ("fifty", 0.41), ("", 0.1)),
            Outcome.ASK,
            "not sure of fifteen; say it again",
        ),
        (
            listed(("switch ends", 0.49), ("", 0.4)),
            Outcome.ASK,
            "not sure of switch ends; say it again",
        ),
        (listed(("", 0.9), ("fifteen", 0.1)), Outcome.IGNORED, "no call could be made out"),
        (listed(("", 0.7), ("good here", 0.3)), Outcome.IGNORED, "no call could be made out"),
    ],
)
def test_doubtful_call_is_asked_again_unless_unlikely(
    parser: Parser, hypotheses: tuple[Hypothesis, ...], outcome: Outcome, reason: str
) -> None:
    """What leads without being sure, or may well have been a call, is asked; the list keeps it."""
    heard = understand(parser, hypotheses, W, LIMIT)
    assert (heard.outcome, ENGLISH.say(heard.reason), heard.value) == (outcome, reason, None)
    assert heard.alternatives[1].probability == hypotheses[1].probability


@pytest.mark.parametrize(("share", "outcome"), [(0.67, Outcome.CALL), (0.66, Outcome.ASK)])
def test_a_call_twice_as_likely_as_not_is_taken(
    parser: Parser, share: float, outcome: Outcome
) -> None:
    """Two thirds are enough: the check after switching ends catches what is left."""
    heard = understand(parser, listed(("fifteen", share), ("fifty", 1.0 - share)), W, LIMIT)
    assert heard.outcome is outcome


@pytest.mark.parametrize(
    ("said", "share", "outcome"),
    [
        ("fifteen", 0.26, Outcome.CALL),
        ("fifteen", 0.24, Outcome.ASK),
        ("switch ends", 0.6, Outcome.ASK),
    ],
)
def test_a_number_is_taken_where_a_question_costs_more_when_calls_are_weighed_together(
    parser: Parser, said: str, share: float, outcome: Outcome
) -> None:
    """The rest of the pull tells more of it; of a command nothing does."""
    rest = (1.0 - share) / 4.0
    others = [(text, rest) for text in ("fifty", "five", "sixty", "nine")]
    found = listed((said, share), *others)
    assert understand(parser, found, W, LIMIT, TENTATIVE).outcome is outcome


def test_what_may_be_no_call_is_asked_where_calls_are_weighed_together(parser: Parser) -> None:
    """Talk that was taken for a number would put the pull out of step."""
    heard = understand(parser, listed(("", 0.6), ("fifty", 0.4)), W, LIMIT, TENTATIVE)
    assert heard.outcome is Outcome.ASK


@pytest.mark.parametrize(
    ("none", "outcome"), [(0.45, Outcome.ASK), (0.52, Outcome.IGNORED), (0.7, Outcome.IGNORED)]
)
def test_calls_of_which_none_leads_are_asked_where_one_was_likely_made(
    parser: Parser, none: float, outcome: Outcome
) -> None:
    """Each of three is less likely than a fifth, but that one of them was called is likelier."""
    three = [(text, round((1.0 - none) / 3.0, 6)) for text in ("sixty", "sixteen", "sixty six")]
    heard = understand(parser, listed(("", none), *three), F, LIMIT)
    assert heard.outcome is outcome
    assert heard.value is None


def test_nothing_heard_is_ignored_with_a_reason(parser: Parser) -> None:
    """No hypothesis at all is a record too: a call is never lost in silence."""
    heard = understand(parser, (), W, LIMIT)
    assert (heard.outcome, heard.text, heard.alternatives) == (Outcome.IGNORED, "", ())
    assert heard.reason


def test_the_caller_that_is_named_is_told(parser: Parser) -> None:
    """One microphone for two: "head forty two" says who called."""
    heard = understand(parser, listed(("head forty two", 0.9)), A, LIMIT)
    assert (heard.role, heard.outcome) == (Role.HEAD, Outcome.CALL)


def test_style_word_that_is_not_sure_names_its_key(parser: Parser) -> None:
    """The crew has two ways to answer."""
    hypotheses = (Hypothesis("add tape", 0.55), Hypothesis("", 0.45))
    heard = understand(parser, hypotheses, Expectation.WHOLE, 10_000)
    assert heard.outcome is Outcome.ASK
    assert heard.reason == message("not-sure-of-style", said="add tape")
