"""Whether this tape cuts or adds is said by the crew before its first pull is booked.

A tape that adds, logged as one that cuts, is wrong by twice its hundredths, and take and check
agree on it (common practice, no published source).
"""

from __future__ import annotations

import pytest

from calllog.pairing import EDITION, Phase, StyleKnown, start
from calllog.resources import grammar_text, read_grammar
from calllog.session import Replay
from calllog.spoken import Parser, load_grammar
from calllog.values import Booking, CheckPolicy, Choice, Segment, Severity, Style, Void
from tests.crew import Crew, settings

ASKED = "say-style fraction=36 whole=4800"
TAKE = ("r: forty seven", "h: sixty four")
CHECK = ("h: switch ends", "h: forty seven", "r: sixty four")


def live(parser: Parser, style: Style = Style.CUT, **changes: object) -> Crew:
    """Let a crew work that hears what it is asked."""
    return Crew(
        parser,
        settings(style, **{"pairing": EDITION} | changes),
        is_live=True,
        is_style_known=False,
    )


def test_what_an_add_tape_reads_is_not_booked_as_cut_until_the_crew_says_so(
    parser: Parser,
) -> None:
    """47.64 on an add tape, logged as a cut one, is 46.36 and agrees: it must be asked first."""
    crew = live(parser).say(*TAKE, *CHECK)
    assert crew.lengths == []
    assert crew.questions == ["say-style fraction=64 whole=4700"] * 2
    crew.say("r: add tape")
    assert (crew.lengths, crew.state.phase) == ([], Phase.STOPPED)
    finding = crew.state.findings[-1]
    assert (finding.code, finding.severity) == ("style-contradicted", Severity.STOP)
    assert finding.facts == {"said": "add", "tape": "T-1", "style": "cut"}


@pytest.mark.parametrize("style", [Style.CUT, Style.ADD])
@pytest.mark.parametrize("edition", [0, EDITION])
def test_a_job_of_an_older_edition_goes_on_as_it_was(
    parser: Parser, style: Style, edition: int
) -> None:
    """Only a line of this edition asks; journals of before lead to the pulls booked from them."""
    crew = Crew(parser, settings(style, pairing=edition), is_live=True, is_style_known=False).say(
        *TAKE, *CHECK
    )
    assert bool(crew.segments) is (edition == 0)


@pytest.mark.parametrize(
    ("style", "words", "length"),
    [
        (Style.CUT, ("r: cut forty eight", "h: thirty six"), 47.64),
        (Style.CUT, ("r: forty eight", "h: cut thirty six"), 47.64),
        (Style.CUT, ("r: cut forty eight thirty six",), 47.64),
        (Style.ADD, ("r: add forty seven", "h: sixty four"), 47.64),
        (Style.ADD, ("u: add forty seven sixty four",), 47.64),
        (Style.ADD, ("r: add tape", "r: forty seven", "h: sixty four"), 47.64),
        (Style.FULL, ("r: forty seven sixty four",), 47.64),
        (Style.INSET, ("r: holding one", "r: forty eight sixty four"), 47.64),
    ],
)
def test_a_call_that_only_this_tape_allows_confirms_it(
    parser: Parser, style: Style, words: tuple[str, ...], length: float
) -> None:
    """With it no question is asked, of this pull or a later one."""
    again = [each for each in words if "tape" not in each and "holding" not in each]
    turned = {"r": "h", "h": "r", "u": "u"}
    check = [
        f"{turned[each[0]]}{each[1:]}".replace("cut ", "").replace("add ", "") for each in again
    ]
    if style is Style.CUT and len(again) == 1:
        check = ["h: forty eight", "r: thirty six"]
    crew = live(parser, style).say(*words, "h: switch ends", *check)
    assert (crew.lengths, crew.questions, crew.findings) == ([length], [], [])
    assert crew.state.style is StyleKnown.CONFIRMED


def test_an_answer_lets_the_pull_that_waits_be_booked(parser: Parser) -> None:
    """The word alone, or the call again with it; the question is not asked twice."""
    crew = live(parser).say("r: forty eight", "h: thirty six")
    assert crew.questions == [ASKED]
    crew.say("r: cut tape", "h: switch ends", "h: forty eight", "r: thirty six")
    assert (crew.lengths, len(crew.questions)) == ([47.64], 1)
    crew.say("r: forty eight", "h: thirty six", "h: switch ends", "h: forty eight", "r: thirty six")
    assert (crew.lengths, len(crew.questions)) == ([47.64, 47.64], 1)


@pytest.mark.parametrize("answer", ["h: cut tape", "h: cut forty eight", "r: cut thirty six"])
def test_a_crew_that_went_on_is_asked_before_it_is_booked(parser: Parser, answer: str) -> None:
    """The check is not lost: the answer books it."""
    crew = live(parser).say("r: forty eight", "h: thirty six")
    crew.say("h: switch ends", "h: forty eight", "r: thirty six")
    assert (crew.lengths, len(crew.questions)) == ([], 2)
    assert crew.status == f"pull-waits-for-answer pull=1 question=({ASKED})"
    assert crew.say(answer).lengths == [47.64]


@pytest.mark.parametrize("command", ["next pull", "line finished"])
def test_without_a_check_it_is_asked_before_the_booking_too(parser: Parser, command: str) -> None:
    """What waited is done when the crew has answered."""
    crew = live(parser, policy=CheckPolicy.NONE).say("r: forty eight", "h: thirty six")
    crew.say(f"r: {command}")
    assert (crew.lengths, len(crew.questions)) == ([], 2)
    crew.say("r: cut tape")
    assert crew.lengths == [47.64]
    assert (crew.state.phase is Phase.FINISHED) is (command == "line finished")


def test_nothing_is_asked_where_cut_and_add_are_the_same(parser: Parser) -> None:
    """A whole tape, or no hundredths, is as long on both: the next pull is asked."""
    crew = live(parser).say("r: full tape", "h: switch ends", "h: full tape")
    assert (crew.lengths, crew.questions) == ([100.0], [])
    assert crew.say("r: forty eight", "h: thirty six").questions != []


@pytest.mark.parametrize("style", [Style.ADD, Style.CUT, Style.FULL, Style.INSET])
@pytest.mark.parametrize("said", ["r: {} forty seven", "h: {} forty two", "r: {} tape"])
def test_a_word_against_the_certificate_stops_the_pull_on_any_tape(
    parser: Parser, style: Style, said: str
) -> None:
    """At any moment, of any edition; only the right word or another tape goes on."""
    other = "add" if style is Style.CUT else "cut"
    for edition in (0, EDITION):
        crew = live(parser, style, pairing=edition).say(said.format(other))
        assert (crew.findings, crew.state.phase) == (["style-contradicted"], Phase.STOPPED)
        crew.say("r: keep the first")
        assert crew.status == "pull-waits-for-right-tape pull=1"
        crew.say("r: measure again")
        assert crew.status == "pull-waits measurement=take part=all pull=1"
        assert crew.state.style is StyleKnown.NOT_YET


def test_a_slip_is_scratched_and_the_pull_goes_on(parser: Parser) -> None:
    """The word alone is scratched, not the number before it; so is a number said with it."""
    for slip in ("r: add tape", "h: add thirty six"):
        crew = live(parser).say("r: cut forty eight", slip, "r: strike that")
        assert crew.state.phase is Phase.OPEN
        assert crew.state.parts.whole == 4800
        crew.say("h: thirty six", *("h: switch ends", "h: forty eight", "r: thirty six"))
        assert crew.lengths == [47.64]


def test_the_right_word_answers_a_stop_over_the_wrong_one(parser: Parser) -> None:
    """What was called before it stands."""
    crew = live(parser).say("r: forty eight", "r: add tape", "r: cut tape", "h: thirty six")
    assert (crew.state.phase, crew.state.style) == (Phase.TAKEN, StyleKnown.CONFIRMED)


def test_the_chief_may_go_on_but_nothing_is_booked_unasked(parser: Parser) -> None:
    """A decision takes the word as not said: the tape is as unknown as before."""
    crew = live(parser).say("r: cut forty eight", "h: add thirty six").decide(Choice.FIRST)
    assert crew.state.phase is Phase.OPEN
    crew.say("h: thirty six", "h: switch ends", "h: forty eight", "r: thirty six")
    assert crew.lengths == []


def test_a_recording_is_noted_once(parser: Parser) -> None:
    """Nobody can answer: the first segment on the tape says that its style was not confirmed."""
    crew = Crew(parser, settings(Style.CUT, pairing=EDITION), is_style_known=False)
    crew.say("r: forty eight", "h: thirty six", "h: switch ends", "h: forty eight", "r: thirty six")
    crew.say("r: forty eight", "h: thirty six", "h: switch ends", "h: forty eight", "r: thirty six")
    assert (crew.lengths, crew.questions) == ([47.64, 47.64], [])
    noted = [[each.code for each in segment.findings] for segment in crew.segments]
    assert noted == [["style-not-confirmed"], ["repeats-pull"]]
    assert crew.findings == ["style-not-confirmed", "repeats-pull"]
    assert crew.segments[0].findings[0].severity is Severity.NOTE
    assert crew.state.style is StyleKnown.NOTED


def test_a_decision_of_the_chief_books_with_a_note(parser: Parser) -> None:
    """Who decides from the office cannot be asked; the segment says what is not known."""
    crew = live(parser).say("r: forty eight", "h: thirty six")
    crew.say("h: switch ends", "h: forty nine", "r: thirty six").decide(Choice.FIRST)
    (segment,) = crew.segments
    assert (segment.booking, segment.findings[-1].code) == (Booking.FIRST, "style-not-confirmed")
    assert crew.say("r: forty eight", "h: thirty six").questions[1:] != []


def test_full_tape_read_in_parts_is_asked_for_one_reading(parser: Parser) -> None:
    """What only a tape with hundredths all the way allows is one reading at one end."""
    crew = live(parser, Style.FULL).say("r: forty seven sixty four")
    assert crew.questions == []
    crew = live(parser, Style.FULL)
    crew.type_part("r", 4700, None)
    crew.type_part("h", None, 64)
    assert crew.questions == ["say-one-reading"]
    crew.say("r: forty seven sixty four", "h: switch ends", "r: forty seven sixty four")
    assert (crew.lengths, len(crew.questions)) == ([47.64], 1)


def test_what_was_confirmed_before_in_the_job_stays(parser: Parser) -> None:
    """The line after it on the same tape asks nothing."""
    crew = live(parser)
    crew.state = start(crew.line, 1, style=StyleKnown.CONFIRMED)
    crew.say("r: forty eight", "h: thirty six", "h: switch ends", "h: forty eight", "r: thirty six")
    assert (crew.lengths, crew.questions) == ([47.64], [])


def test_scratching_a_booked_pull_keeps_its_word(parser: Parser) -> None:
    """The pull opens again with the word that was said in it."""
    crew = live(parser).say("r: cut tape", "r: forty eight", "h: thirty six")
    crew.say("h: switch ends", "h: forty eight", "r: thirty six", "r: strike that")
    assert crew.state.phase is Phase.CHECKING
    crew.say("r: three six")
    assert [each.length_read_ft for each in crew.followed if isinstance(each, Segment)] == [
        47.64,
        47.64,
    ]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("es-feet", ("resta cuarenta y ocho", "treinta y seis")),
        ("es-metric", ("resta cuarenta y ocho", "treinta y seis")),
        ("en-metric", ("cut forty eight", "thirty six")),
    ],
)
def test_each_language_has_the_words(name: str, said: tuple[str, str]) -> None:
    """Spanish "resta" and "suma" are from memory, no published source."""
    text, path = grammar_text(name)
    crew = live(Parser(load_grammar(text, str(path)))).say(f"r: {said[0]}", f"h: {said[1]}")
    assert (crew.questions, crew.state.style) == ([], StyleKnown.CONFIRMED)


def test_full_tape_is_one_where_zero_is_held(parser: Parser) -> None:
    """A tape with its zero in from the ring, held at zero; held at one it is no whole tape."""
    crew = live(parser, Style.INSET).say("r: full tape", "h: switch ends", "h: full tape")
    assert crew.lengths == [100.0]
    crew = live(parser, Style.INSET).say("r: holding one", "r: full tape")
    assert crew.questions == ["say-read-and-held"]


def test_a_job_remembers_each_tape(parser: Parser) -> None:
    """A later line, and the same tape after another one, are not asked again; another tape is."""
    replay = Replay()
    crew = live(parser)
    said = ("r: cut forty eight", "h: thirty six", "h: switch ends", "h: forty eight")
    crew.say(*said, "r: thirty six")
    replay.begin_line(crew.line)
    for call in crew.heard:
        replay.record(call)
    for tape, style, known in (
        ("T-2", Style.CUT, StyleKnown.NOT_YET),
        ("T-1", Style.ADD, StyleKnown.NOT_YET),
        ("T-1", Style.CUT, StyleKnown.CONFIRMED),
    ):
        replay.begin_line(crew.line.model_copy(update={"tape": tape, "style": style}))
        assert replay.state is not None
        assert replay.state.style is known


def test_a_long_tape_is_booked_beyond_one_hundred() -> None:
    """183.42 on 200 ft, called short and in full; a mark beyond the tape is asked."""
    long = Parser(read_grammar().reaching(200))
    crew = live(long, Style.CUT, nominal=200, limit=200_00)
    crew.say("r: cut one eighty four", "h: fifty eight", "h: switch ends")
    crew.say("h: one hundred and eighty four", "r: fifty eight")
    assert (crew.lengths, crew.questions) == ([183.42], [])
    crew.say("r: two hundred and ten")
    assert crew.questions == ["words-beyond-tape said=two hundred and ten tape=200"]


def test_a_word_against_the_certificate_can_be_struck(parser: Parser) -> None:
    """A slip of the tongue: the pull goes on with what was called before it."""
    crew = live(parser).say("r: forty eight", "r: add tape", "r: strike that")
    assert crew.state.phase is Phase.OPEN
    assert crew.followed[-1] == Void(call=2, pull=1)
    assert crew.state.parts.whole == 4800


@pytest.mark.parametrize("word", ["cut tape", "cut forty eight"])
def test_a_word_not_surely_heard_is_asked_with_its_key(parser: Parser, word: str) -> None:
    """Talk heard as the word would confirm a certificate that is not the tape's."""
    crew = Crew(parser, settings(Style.CUT, pairing=EDITION), is_live=True, is_style_known=False)
    crew.hear(f"r: {word} 0.9")
    assert (crew.state.style, crew.state.parts.is_empty) == (StyleKnown.NOT_YET, True)
    assert crew.questions == [f"not-sure-of-style said={word}"]
    crew.hear(f"r: {word} 0.9")
    assert (crew.state.style, len(crew.questions)) == (StyleKnown.CONFIRMED, 1)
    crew.hear("h: cut thirty six 0.9")
    assert len(crew.questions) == 1, "once the tape is known, the word tells nothing"


def test_the_word_that_was_asked_for_counts_as_any_command_does(parser: Parser) -> None:
    """Asked, only another call may be taken for it; the other word is no such answer."""
    crew = live(parser).say("r: forty eight", "h: thirty six")
    assert crew.hear("r: cut tape 0.7 | cut two 0.04").state.style is StyleKnown.CONFIRMED
    assert len(crew.questions) == 1
    for heard in ("r: cut tape 0.9 | add tape 0.06", "r: cut tape 0.9 | forty eight 0.06"):
        crew = live(parser).say("r: forty eight", "h: thirty six").hear(heard)
        assert (crew.state.style, len(crew.questions)) == (StyleKnown.NOT_YET, 2)
    crew = live(parser).say("r: forty eight", "h: thirty six").hear("r: add tape 0.9")
    assert (crew.state.style, crew.state.phase) == (StyleKnown.NOT_YET, Phase.TAKEN)


def test_a_word_against_the_certificate_must_be_surely_heard(parser: Parser) -> None:
    """Misheard, it would stop the pull; said twice it does."""
    crew = Crew(parser, settings(Style.CUT, pairing=EDITION), is_live=True)
    crew.hear("r: add tape 0.9")
    assert (crew.state.phase, len(crew.questions)) == (Phase.OPEN, 1)
    crew.hear("r: add tape 0.9")
    assert crew.state.phase is Phase.STOPPED
