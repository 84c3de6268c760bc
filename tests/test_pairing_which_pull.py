"""Over a stop a crew loses count: which pull a take is of is asked where it is not plain.

Rules: common practice, no published source. Whoever was just asked about marks reads them again;
whoever did not hear that a pull is to be measured again reads the next one.
"""

from __future__ import annotations

import pytest

from calllog.pairing import EDITION, Phase, opens_with
from calllog.readback import answer
from calllog.resources import read_grammar
from calllog.spoken import Parser
from calllog.values import Choice, Question, Reopened, Severity, Style, Void
from calllog.wording import ENGLISH
from tests.crew import Crew, settings

STOPPED = (
    *("r: thirty three", "h: eighty seven", "h: switch ends"),
    *("h: thirty two", "r: eighty seven"),
)
CHECK = ("h: switch ends", "h: thirty three", "r: eighty seven")
"""What agrees with the first measurement of that pull."""
OTHER = ("r: forty seven", "h: twelve", "h: switch ends", "h: forty seven", "r: twelve")
"""Another pull."""
FULL = ("h: thirty three eighty seven", "h: switch ends", "r: thirty two eighty seven")
AGAIN, FIRST = "h: measure again", "h: keep the first"


def live(parser: Parser, style: Style = Style.ADD, edition: int = EDITION) -> Crew:
    """A crew that hears what follows, half a minute between two calls."""
    return Crew(parser, settings(style, pairing=edition), is_live=True, gap_s=30.0)


def asks(crew: Crew) -> list[str]:
    """What was asked last, at length and in short."""
    asked = next(each for each in reversed(crew.followed) if isinstance(each, Question))
    return [ENGLISH.question(asked), ENGLISH.short_question(asked)]


def test_next_pull_does_not_stand_for_the_one_to_be_measured_again(parser: Parser) -> None:
    """It was recorded in its place without a word, and the line lacked a pull."""
    crew = live(parser).say(*STOPPED, AGAIN, *OTHER, "u: next pull", "u: line finished")
    assert (crew.lengths, crew.state.phase, set(crew.codes)) == ([], Phase.TAKEN, {"which-pull"})
    assert asks(crew) == [
        "pull 1 was 33.87; is 47.12 that pull? call the whole reading, or strike that",
        "is this pull 1? call the whole reading, or strike that",
    ]
    crew.say("u: strike that", "r: thirty three", "h: eighty seven", *CHECK, *OTHER)
    assert crew.lengths == [33.87, 47.12]
    older = live(parser, edition=2).say(*STOPPED, AGAIN, *OTHER)
    assert (older.lengths, older.codes) == ([47.12], [])


@pytest.mark.parametrize("whole", ["h: forty seven twelve", "kr: forty seven twelve"])
def test_same_pull_that_reads_otherwise_is_called_whole(parser: Parser, whole: str) -> None:
    """Both ends had been read wrong; nobody says the whole reading who only calls on."""
    crew = live(parser).say(*STOPPED, AGAIN, *OTHER[:2], *OTHER[:2], whole, *OTHER[2:])
    (segment,) = crew.segments
    assert (segment.pull, segment.length_read_ft) == (1, 47.12)
    assert crew.codes == ["which-pull"] * 3
    (found,) = (each for each in segment.findings if each.code == "unlike-stopped")
    assert (found.severity, found.first, found.second) == (Severity.NOTE, 3387, 4712)


MISHEARD = (*STOPPED, AGAIN, "r: forty seven", "h: twelve")
"""Pull 1, measured again and misheard in both parts."""


@pytest.mark.parametrize("answer", ["h: thirty three eighty seven", "r: thirty three eighty eight"])
def test_whole_reading_of_that_pull_replaces_what_was_misheard(parser: Parser, answer: str) -> None:
    """The crew was asked the same again until it said what it had been misheard to say."""
    crew = live(parser).say(*MISHEARD, answer)
    assert (crew.codes, crew.state.waiting) == (["which-pull"], None)
    assert crew.state.take is not None
    assert crew.state.take.length in {3387, 3388}
    assert {each.call for each in crew.followed if isinstance(each, Void)} >= {7, 8}
    assert "unlike-stopped" not in [each.code for each in crew.state.findings]
    crew.say("h: switch ends", "h: thirty three", f"r: {answer.split(' three ')[1]}")
    assert (len(crew.lengths), len(crew.codes)) == (1, 1)
    older = live(parser, edition=3).say(*MISHEARD, answer, answer)
    assert (older.codes, older.lengths) == (["which-pull"] * 3, [])


@pytest.mark.parametrize(
    ("heard", "mended"),
    [
        (("r: forty seven", "h: eighty seven"), "r: thirty three"),
        (("r: forty seven", "h: eighty seven"), "u: thirty three eighty seven"),
        (("r: forty seven", "h: eighty seven"), "kr: thirty three eighty seven"),
    ],
)
def test_part_that_was_misheard_is_mended_alone(
    parser: Parser, heard: tuple[str, str], mended: str
) -> None:
    """With it the take reads as the pull did: no other word is needed."""
    crew = live(parser).say(*STOPPED, AGAIN, *heard, mended, *CHECK)
    assert (crew.lengths, crew.codes) == ([33.87], ["which-pull"])


def test_part_that_makes_no_such_pull_is_asked_again(parser: Parser) -> None:
    """Who calls on names another mark; nothing is taken by it."""
    crew = live(parser).say(*MISHEARD, "r: fifty one", "h: eighty seven", "r: forty seven")
    assert (crew.codes, crew.state.phase) == (["which-pull"] * 4, Phase.TAKEN)
    assert crew.state.take is not None
    assert crew.state.take.length == 4712


def test_whole_reading_of_neither_is_said_twice(parser: Parser) -> None:
    """It may be misheard too, unless it has a part of the take and was heard surely."""
    crew = live(parser).say(*MISHEARD, "h: fifty one sixty four")
    assert crew.codes == ["which-pull"] * 2
    assert asks(crew)[0].startswith("pull 1 was 33.87; is 51.64 that pull?")
    crew.say("h: fifty one sixty four")
    assert crew.state.take is not None
    assert (crew.state.take.length, crew.state.waiting) == (5164, None)
    assert [each.second for each in crew.state.findings if each.code == "unlike-stopped"] == [5164]
    sure = live(parser).say(*MISHEARD, "h: forty seven sixty four")
    assert sure.state.take is not None
    assert (sure.state.take.length, sure.codes) == (4764, ["which-pull"])


def test_what_was_typed_is_not_replaced_so(parser: Parser) -> None:
    """It stands over what is heard."""
    crew = live(parser).say(*STOPPED, AGAIN, "kr: forty seven", "kh: twelve")
    crew.say("h: thirty three eighty seven")
    assert crew.codes == ["which-pull"] * 2


@pytest.mark.parametrize("fraction", ["eighty seven", "eighty two", "ninety two"])
@pytest.mark.parametrize("whole", ["thirty two", "thirty three"])
def test_what_is_near_one_of_the_two_is_that_pull(
    parser: Parser, whole: str, fraction: str
) -> None:
    """Nobody is asked: with the order to measure again, or without a word."""
    for begun in ((AGAIN, f"r: {whole}", f"h: {fraction}"), (f"h: {whole}", f"r: {fraction}")):
        crew = live(parser).say(*STOPPED, *begun)
        assert (crew.codes, crew.state.phase) == ([], Phase.TAKEN)
        assert "unlike-stopped" not in crew.findings


def test_marks_of_another_pull_without_a_word_are_asked(parser: Parser) -> None:
    """Called over the stop itself they begin the pull again."""
    crew = live(parser).say(*STOPPED, "h: forty seven", "r: twelve")
    assert (crew.findings[-1], crew.codes) == ("unlike-stopped", ["which-pull"])


def test_first_number_of_a_pull_measured_again_is_said_for_that_pull(parser: Parser) -> None:
    """Marks that are alike pull after pull tell nothing: the crew is told which one it is."""
    grammar = read_grammar()
    crew = live(parser).say(*STOPPED, AGAIN, "r: thirty three")
    told = answer(grammar, crew.heard[-1], (), opens=opens_with(crew.state, crew.heard[-1]))
    assert told.words == "pull one, thirty three"
    crew.say("h: eighty seven")
    assert opens_with(crew.state, crew.heard[-1]) == 0
    crew = live(parser).say(*STOPPED)
    begun = len(crew.followed)
    crew.say("h: thirty three")
    opens = opens_with(crew.state, crew.heard[-1])
    again = answer(grammar, crew.heard[-1], crew.followed[begun:], opens=opens)
    assert again.words == "thirty three. again"


@pytest.mark.parametrize("fraction", ["eighty seven", "ninety one"])
@pytest.mark.parametrize("whole", ["thirty two", "thirty three"])
def test_marks_read_again_after_a_decision_are_no_second_pull(
    parser: Parser, whole: str, fraction: str
) -> None:
    """They opened the next pull without a question, whichever of the two they repeat."""
    again = (f"r: {whole}", f"h: {fraction}")
    crew = live(parser).say(*STOPPED, FIRST, *again, *CHECK, *again)
    assert (crew.lengths, set(crew.codes)) == ([33.87], {"which-pull"})
    crew.say("u: strike that")
    assert crew.state.parts.is_empty
    assert crew.say(*OTHER).lengths == [33.87, 47.12]


def test_next_pull_of_the_same_length_is_said_to_be_it(parser: Parser) -> None:
    """One word, and it goes on."""
    same = ("r: thirty three", "h: eighty seven")
    crew = live(parser).say(*STOPPED, FIRST, *same)
    assert asks(crew) == [
        "pull 1 was 33.87; is this the next pull? say next pull, or strike that",
        "is this the next pull? say next pull, or strike that",
    ]
    crew.say("u: next pull", *CHECK)
    assert (crew.lengths, len(crew.codes)) == ([33.87, 33.87], 1)
    older = live(parser, edition=2).say(*STOPPED, FIRST, *same, *CHECK)
    assert (older.lengths, older.codes) == ([33.87, 33.87], [])


def test_another_pull_after_a_decision_is_not_asked(parser: Parser) -> None:
    """Nor one like it after that."""
    crew = live(parser).say(*STOPPED, FIRST, *OTHER, *OTHER)
    assert (crew.lengths, crew.codes) == ([33.87, 47.12, 47.12], [])


@pytest.mark.parametrize("style", [Style.FULL, Style.INSET])
def test_so_it_is_where_one_end_reads(parser: Parser, style: Style) -> None:
    """Striking takes the reading back, and leaves the pull before it as it was decided."""
    crew = live(parser, style).say(*FULL, FIRST, "h: thirty three eighty seven", "u: strike that")
    assert (crew.codes, len(crew.lengths)) == (["which-pull"], 1)
    assert not [each for each in crew.followed if isinstance(each, Reopened)]
    assert Void(call=5, pull=2) in crew.followed
    crew = live(parser, style).say(*FULL, AGAIN, "h: forty seven twelve", "h: forty seven twelve")
    assert (crew.codes, crew.state.waiting) == (["which-pull"], None)


def test_chiefs_decision_is_as_good(parser: Parser) -> None:
    """It is given where nobody of the crew may have heard it."""
    crew = live(parser).say(*STOPPED).decide(Choice.CHECK)
    assert crew.say("r: thirty two", "h: eighty seven").codes == ["which-pull"]
    crew = live(parser).say(*STOPPED).decide(Choice.AGAIN)
    assert crew.say(*OTHER[:2]).codes == ["which-pull"]


def test_recorded_it_is_noted(parser: Parser) -> None:
    """Nobody can be asked; the office sees it at the pull."""
    crew = Crew(parser, settings(pairing=EDITION), gap_s=30.0)
    crew.say(*STOPPED, *OTHER).decide(Choice.AGAIN)
    assert (crew.lengths, crew.codes) == ([47.12], [])
    assert "unlike-stopped" in [each.code for each in crew.segments[0].findings]


@pytest.mark.parametrize("leaves", ["h: line finished", "u: next pull", "r: line number two"])
def test_pull_to_be_measured_again_is_not_left_without_a_word(parser: Parser, leaves: str) -> None:
    """The line was finished, and the pull that had stopped was in it no more."""
    crew = live(parser).say(*STOPPED, AGAIN, leaves)
    assert (crew.state.pull, crew.state.phase, len(crew.codes)) == (1, Phase.OPEN, 1)
    assert crew.say("r: thirty three", "h: eighty seven", *CHECK).lengths == [33.87]
    older = live(parser, edition=3).say(*STOPPED, AGAIN, leaves)
    assert older.codes == []


def test_it_is_left_where_the_crew_says_so_twice(parser: Parser) -> None:
    """Dark falls; the office sees which pull was not recorded."""
    crew = live(parser).say(*STOPPED, AGAIN, "h: line finished")
    assert asks(crew)[0] == "pull 1 waits; measure again, or say line finished again"
    assert crew.say("r: line finished").state.phase is Phase.FINISHED
    begun = live(parser).say(
        *STOPPED, AGAIN, "h: line finished", "r: thirty three", "u: strike that"
    )
    assert begun.say("h: line finished").codes == ["still-to-measure"] * 2
    other = live(parser).say(*STOPPED, AGAIN, "u: next pull", "u: line finished")
    assert (other.codes, other.state.phase) == (["still-to-measure"] * 2, Phase.OPEN)
    assert asks(other)[0].endswith(", or say line finished again")
    recorded = Crew(parser, settings(pairing=EDITION)).say(*STOPPED).decide(Choice.AGAIN)
    assert recorded.say("u: line finished").state.phase is Phase.FINISHED
