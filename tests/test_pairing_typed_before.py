"""A part that was typed of a pull before it was measured again is asked, if it is heard otherwise.

Found by letting crews of recorded people work over the pairing machine (`tests.bench.bench_crew`):
of 57 pulls recorded wrong, 5 were misheard alike in take and check after the right part had been
typed and the pull was to be measured again.
"""

from __future__ import annotations

import pytest

from calllog.pairing import EDITION
from calllog.spoken import Parser
from calllog.values import Choice, Question
from calllog.wording import ENGLISH
from tests.crew import Crew, settings

AGAIN, SWITCH = "u: measure again", "u: switch ends"
TYPED = ("r: fifteen", "kh: point four two", SWITCH, "h: fifteen", "r: point six two", AGAIN)
"""The head typed .42; the rear said it in the check and was misheard, so it is measured again."""
MISHEARD = ("r: fifteen", "h: point six two", SWITCH, "h: fifteen", "r: point six two")
ASKED = "typed-before part=fraction role=rear value=42"


def live(parser: Parser, edition: int = EDITION) -> Crew:
    """A crew that hears what follows, half a minute between two calls."""
    return Crew(parser, settings(pairing=edition), is_live=True, gap_s=30.0)


def test_a_part_typed_before_is_asked_before_another_is_recorded(parser: Parser) -> None:
    """Take and check agree, since both were misheard alike."""
    crew = live(parser).say(*TYPED, *MISHEARD)
    assert (crew.lengths, crew.questions) == ([], [ASKED])


def test_typed_again_it_differs_from_the_take_and_stops(parser: Parser) -> None:
    """Then the chief tells which it is, or the pull is measured once more."""
    crew = live(parser).say(*TYPED, *MISHEARD, "kr: point four two")
    assert (crew.lengths, crew.state.stop is not None) == ([], True)
    assert crew.decide(Choice.CHECK).lengths == [15.42]


def test_said_again_it_counts_and_is_asked_once(parser: Parser) -> None:
    """What was typed may have been the blunder."""
    crew = live(parser).say(*TYPED, *MISHEARD, "r: point six two")
    assert (crew.lengths, crew.questions) == ([15.62], [ASKED])


@pytest.mark.parametrize(
    "calls",
    [
        ("r: fifteen", "h: point four two", SWITCH, "h: fifteen", "r: point four two"),
        ("r: fifteen", "kh: point six two", SWITCH, "h: fifteen", "r: point six two"),
        ("r: fifteen", "h: point six two", SWITCH, "h: fifteen", "kr: point six two"),
    ],
)
def test_what_was_typed_or_is_typed_anew_is_recorded_unasked(
    parser: Parser, calls: tuple[str, ...]
) -> None:
    """Nobody is asked about what agrees, nor about a key pressed again."""
    crew = live(parser).say(*TYPED, *calls)
    assert (len(crew.lengths), crew.codes) == (1, [])


def test_beside_a_whole_mark_hundredths_agree_across_it(parser: Parser) -> None:
    """Where .00 was typed, .99 beside the mark before is one hundredth off."""
    crew = Crew(parser, settings(pairing=EDITION, tolerance=1), is_live=True, gap_s=30.0)
    crew.say("r: fifteen", "kh: point zero zero", SWITCH, "h: fifteen", "r: point six zero", AGAIN)
    crew.say("r: fourteen", "h: point nine nine", SWITCH, "h: fourteen", "r: point nine nine")
    assert (crew.lengths, crew.codes) == ([14.99], [])


def test_a_whole_mark_typed_before_is_asked_too(parser: Parser) -> None:
    """A foot off is what nobody sees."""
    crew = live(parser).say("kr: fifteen", "h: point four two", SWITCH, "h: fifty", AGAIN)
    crew.say("r: fifty", "h: point four two", SWITCH, "h: fifty", "r: point four two")
    assert crew.questions[-1:] == ["typed-before part=whole role=head value=1500"]
    assert crew.say("h: fifty").lengths == [50.42]


def test_what_was_typed_two_ways_tells_nothing(parser: Parser) -> None:
    """The keys were mistaken once."""
    crew = live(parser)
    crew.say("r: fifteen", "kh: point four two", SWITCH, "h: fifteen", "kr: point six two", AGAIN)
    assert crew.say(*MISHEARD).lengths == [15.62]


def test_it_is_kept_over_a_second_measurement_and_strikes(parser: Parser) -> None:
    """Until it was asked."""
    crew = live(parser).say(*TYPED, *MISHEARD[:-1], "r: point three two", AGAIN)
    crew.say(*MISHEARD[:-1], "r: point three two", "u: strike that", MISHEARD[-1])
    assert (crew.lengths, crew.questions[-1]) == ([], ASKED)


def test_the_next_pull_knows_nothing_of_it(parser: Parser) -> None:
    """It was typed of one pull."""
    crew = live(parser).say(*TYPED, *MISHEARD, "r: point six two", *MISHEARD)
    assert crew.lengths == [15.62, 15.62]


def test_by_edition_5_it_was_forgotten(parser: Parser) -> None:
    """An old journal leads to the pulls that it led to."""
    crew = live(parser, 5).say(*TYPED, *MISHEARD)
    assert (crew.lengths, crew.codes) == ([15.62], [])


def test_the_crew_is_told_what_was_typed(parser: Parser) -> None:
    """And what to do."""
    crew = live(parser).say(*TYPED, *MISHEARD)
    asked = next(each for each in reversed(crew.followed) if isinstance(each, Question))
    words = "rear, 42 was typed for this pull before; say again or type the hundredths"
    assert ENGLISH.say(asked.asks) == words
