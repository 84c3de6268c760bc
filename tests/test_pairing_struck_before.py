"""What the crew struck in a pull is asked before that pull takes it again in the same words.

Found by letting crews of recorded people work over the pairing machine (`tests.bench.bench_crew`):
of 121 pulls recorded wrong, 58 were recorded with a number that had been struck in that very pull.
"""

from __future__ import annotations

import pytest

from calllog.pairing import EDITION
from calllog.spoken import Parser
from calllog.values import Question, Style
from calllog.wording import ENGLISH
from tests.crew import Crew, settings

STRIKE, AGAIN, SWITCH = "u: strike that", "u: measure again", "u: switch ends"
TAKE = ("r: fifteen", "h: eight two")
STRUCK = (*TAKE, STRIKE)
"""The head said "three two", which was heard as 82, and struck it."""
ASKED = ["struck-before"]


def live(
    parser: Parser, style: Style = Style.ADD, edition: int = EDITION, *, gap_s: float = 30.0
) -> Crew:
    """A crew that hears what follows, half a minute between two calls."""
    return Crew(parser, settings(style, pairing=edition), is_live=True, gap_s=gap_s)


@pytest.mark.parametrize("words", ["h: eight two", "h: point eight two", "h: fifteen eight two"])
def test_it_is_not_taken_again_in_the_same_words(parser: Parser, words: str) -> None:
    """However often it is said: who was misheard once is misheard again."""
    crew = live(parser).say(*STRUCK, words, words)
    assert (crew.codes, crew.state.parts.fraction) == (ASKED * 2, None)


@pytest.mark.parametrize("answer", ["h: eighty two", "kh: eighty two", "h: fifteen eighty two"])
def test_said_another_way_or_typed_it_is_taken(parser: Parser, answer: str) -> None:
    """The tape had slipped, and reads the same: from then on it counts as any number."""
    crew = live(parser).say(*STRUCK, "h: eight two", answer)
    assert (crew.codes, crew.state.parts.fraction) == (ASKED, 82)
    crew.say(SWITCH, "h: fifteen", "r: eight two")
    assert (crew.lengths, crew.codes) == ([15.82], ASKED)


def test_a_mark_of_one_figure_is_taken_when_it_is_said_once_more(parser: Parser) -> None:
    """Nothing else can be said for it, and not every crew has keys; then it counts as any."""
    crew = live(parser, gap_s=8.0).say("r: six", STRIKE, "r: six")
    assert (crew.codes, crew.state.parts.whole) == (["struck-figure"], None)
    crew.say("r: six", "h: eight two", SWITCH, "h: six", "r: eight two")
    assert (crew.lengths, crew.codes) == ([6.82], ["struck-figure"])


def test_a_mark_of_one_figure_that_was_asked_before_it_was_struck_is_asked_anew(
    parser: Parser,
) -> None:
    """The answer to "is six a call?" says nothing of the six that was struck since."""
    crew = live(parser, gap_s=4.0).hear("r: six 0.8", "r: six 0.8").say(STRIKE, "r: six")
    assert crew.codes == ["lone-word", "struck-figure"]
    assert crew.state.parts.whole is None


@pytest.mark.parametrize("answer", ["h: six", "r: sixty", "r: five"])
def test_a_mark_of_one_figure_is_confirmed_by_whoever_called_it(
    parser: Parser, answer: str
) -> None:
    """Not by the other one, to whom it is another number's question; another number is none."""
    crew = live(parser, gap_s=8.0).say("r: six", STRIKE, "r: six", answer)
    assert crew.state.parts.whole != 600


def test_by_edition_5_a_mark_of_one_figure_was_never_taken_again(parser: Parser) -> None:
    """An old journal leads to the pulls that it led to."""
    crew = live(parser, edition=5, gap_s=8.0).say("r: six", STRIKE, "r: six", "r: six", "r: six")
    assert (crew.codes, crew.state.parts.whole) == (ASKED * 3, None)


def test_another_number_is_taken_unasked(parser: Parser) -> None:
    """What was meant is heard at last."""
    crew = live(parser).say(*STRUCK, "h: three two", SWITCH, "h: fifteen", "r: three two")
    assert (crew.lengths, crew.codes) == ([15.32], [])


def test_the_other_one_is_asked_too(parser: Parser) -> None:
    """Two people say "three" alike."""
    crew = live(parser).say(*STRUCK, "kh: thirty two", SWITCH, "h: fifteen", "r: eight two")
    assert (crew.lengths, crew.codes) == ([], ASKED)
    crew.say("kr: thirty two")
    assert crew.lengths == [15.32]


def test_it_is_asked_though_the_pull_is_measured_again(parser: Parser) -> None:
    """It holds for the pull, and no longer."""
    crew = live(parser).say(*STRUCK, AGAIN, *TAKE)
    assert crew.codes == ASKED
    crew.say("h: three two", SWITCH, "h: fifteen", "r: three two")
    crew.say("r: sixteen", "h: eight two", SWITCH, "h: sixteen", "r: eight two")
    assert (crew.lengths, crew.codes) == ([15.32, 16.82], ASKED)


def test_it_is_asked_when_a_pull_was_recorded_and_opened_again(parser: Parser) -> None:
    """Struck after it was recorded, or recorded between two strikes."""
    crew = live(parser).say(*TAKE, SWITCH, "h: fifteen", "r: eight two", STRIKE)
    crew.say("r: eight two")
    assert (crew.state.pull, crew.codes) == (1, ASKED)
    crew.say("kr: eighty two", STRIKE, "r: eight two")
    assert (crew.state.pull, crew.codes) == (2, ASKED)
    before = live(parser).say(*STRUCK, "h: three two", SWITCH, "h: fifteen", "r: three two")
    before.say(STRIKE, "r: eight two")
    assert (before.state.pull, before.codes) == (1, ASKED)


def test_a_whole_reading_that_was_struck_is_asked(parser: Parser) -> None:
    """On a tape that one end reads."""
    crew = live(parser, Style.FULL).say("h: fifteen eight two", STRIKE, "h: fifteen eight two")
    assert crew.codes == ASKED
    crew.say("h: one five eighty two", SWITCH, "r: fifteen eight two")
    assert (crew.lengths, crew.codes) == ([15.82], ASKED)


def test_what_was_typed_or_stated_and_struck_is_not_asked(parser: Parser) -> None:
    """Nobody misheard a key; and a condition is no number."""
    crew = live(parser).say("r: fifteen", "kh: eighty two", STRIKE, "h: eight two")
    assert (crew.codes, crew.state.parts.fraction) == ([], 82)
    crew.say("u: rise one point two five", STRIKE, SWITCH, "h: fifteen", "r: eight two")
    assert (crew.lengths, crew.codes) == ([15.82], [])


def test_what_was_struck_for_another_reason_is_not_asked(parser: Parser) -> None:
    """The word before it was wrong; both were struck, since the tape was let go."""
    word = Crew(parser, settings(pairing=EDITION), is_live=True, gap_s=30.0, is_style_known=False)
    word.say("r: add fifteen", "h: cut eight two", STRIKE, "h: eight two")
    assert (word.codes, word.state.parts.fraction) == ([], 82)
    both = live(parser).say(*TAKE, STRIKE, STRIKE, "r: fifteen")
    assert (both.codes, both.state.parts.whole) == ([], 1500)
    both.say("h: eight two")
    assert both.codes == ASKED


def test_recorded_crews_and_older_lines_are_not_asked(parser: Parser) -> None:
    """Nobody could answer; and an old journal leads to the pulls that it led to."""
    rest = ("h: eight two", SWITCH, "h: fifteen", "r: eight two")
    recorded = Crew(parser, settings(pairing=EDITION), gap_s=30.0).say(*STRUCK, *rest)
    older = live(parser, edition=4).say(*STRUCK, *rest)
    assert recorded.lengths == older.lengths == [15.82]
    assert recorded.codes == older.codes == []


def test_the_crew_is_told_what_to_do(parser: Parser) -> None:
    """At length, and as it is said aloud."""
    crew = live(parser).say(*STRUCK, "h: eight two")
    asked = next(each for each in reversed(crew.followed) if isinstance(each, Question))
    assert [ENGLISH.question(asked), ENGLISH.short_question(asked)] == [
        "heard eight two again, which was struck; say it another way, or type it",
        "eight two was struck; say it another way, or type it",
    ]
    crew = live(parser).say("r: six", STRIKE, "r: six")
    asked = next(each for each in reversed(crew.followed) if isinstance(each, Question))
    assert [ENGLISH.question(asked), ENGLISH.short_question(asked)] == [
        "heard six again, which was struck; say it again if it is right, or type it",
        "six was struck; say it again if it is right, or type it",
    ]
