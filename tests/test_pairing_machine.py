"""The pairing rules, said as a crew would (rules: common practice, no published source)."""

from __future__ import annotations

import pytest

from calllog.pairing import EDITION, Phase
from calllog.spoken import Parser
from calllog.values import (
    Booking,
    BookPolicy,
    CheckPolicy,
    Choice,
    Conditions,
    Finding,
    Held,
    Reopened,
    Role,
    Severity,
    Style,
    Void,
)
from tests.crew import Crew, settings

AGREED = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")


def test_take_and_check_that_agree_are_booked(parser: Parser) -> None:
    """Whole and hundredths, ends switched, the same again: one segment, checked, no question."""
    crew = Crew(parser).say(*AGREED)
    (segment,) = crew.segments
    assert (segment.length_read_ft, segment.booking, segment.difference) == (
        15.42,
        Booking.AGREED,
        0,
    )
    assert segment.check is not None
    assert (segment.take.calls, segment.check.calls) == ((1, 2), (4, 5))
    assert (crew.questions, crew.findings) == ([], [])
    assert crew.state.pull == 2


def test_parts_may_come_in_either_order(parser: Parser) -> None:
    """Hundredths before the foot is the same pull."""
    crew = Crew(parser).say(
        "h: forty two", "r: fifteen", "r: switch ends", "r: four two", "h: one five"
    )
    assert crew.lengths == [15.42]


@pytest.mark.parametrize(
    ("style", "spoken", "length"),
    [
        # trade's example of one true length on four tapes: 15.42 ft
        (
            Style.ADD,
            ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two"),
            15.42,
        ),
        (
            Style.CUT,
            ("r: sixteen", "h: fifty eight", "h: switch ends", "h: sixteen", "r: five eight"),
            15.42,
        ),
        (
            Style.FULL,
            ("h: fifteen forty two", "h: switch ends", "r: fifteen point four two"),
            15.42,
        ),
        (Style.INSET, ("h: sixteen forty two", "h: switch ends", "r: sixteen forty two"), 15.42),
        # US Navy NAVEDTRA 14069 p. 12-9 (read): 34 held, .82 on the extra foot: 34.82
        (
            Style.ADD,
            ("r: thirty four", "h: eight two", "h: swap ends", "h: three four", "r: eighty two"),
            34.82,
        ),
        # Mahun, E. Taping, fig. E-4 and E-5 (read): 63 - 0.76 = 62.24 cut; 62 + 0.24 = 62.24 add
        (
            Style.CUT,
            ("r: sixty three", "h: seventy six", "h: switch ends", "h: six three", "r: seven six"),
            62.24,
        ),
        (
            Style.ADD,
            ("r: sixty two", "h: twenty four", "h: switch ends", "h: six two", "r: two four"),
            62.24,
        ),
    ],
)
def test_each_graduation_reduces_its_calls(
    parser: Parser, style: Style, spoken: tuple[str, ...], length: float
) -> None:
    """The same calls mean another length on another tape; the length booked is the true one."""
    hold = 100 if style is Style.INSET else 0
    crew = Crew(parser, settings(style), Conditions(hold=hold)).say(*spoken)
    assert crew.lengths == [length]
    assert crew.findings == []


def test_repetition_alike_changes_nothing(parser: Parser) -> None:
    """A part or a full reading said again alike is confirmed, in any phase."""
    crew = Crew(parser).say(
        "r: fifteen",
        "r: fifteen",
        "h: forty two",
        "r: fifteen forty two",
        "r: switch ends",
        "h: switch ends",
        "h: fifteen",
        "r: forty two",
        "h: fifteen forty two",
    )
    assert crew.lengths == [15.42]
    assert (crew.findings, crew.questions, crew.state.parts.is_empty) == ([], [], True)


def test_repeated_booked_reading_is_a_new_pull_after_a_while(parser: Parser) -> None:
    """The same full reading long after the booking opens the next pull: pulls may be alike."""
    crew = Crew(parser, gap_s=30.0).say(*AGREED, "r: fifteen forty two")
    assert crew.state.phase is Phase.TAKEN


@pytest.mark.parametrize("spoken", ["h: fifteen forty two", "h: fifteen forty three"])
@pytest.mark.parametrize("edition", [5, EDITION])
def test_reading_of_a_check_within_tolerance_or_of_its_take_repeats_the_pull(
    parser: Parser, spoken: str, edition: int
) -> None:
    """Whoever says what was recorded begins no pull; by edition 5 it was recorded twice then."""
    line = settings(pairing=edition, tolerance=1)
    crew = Crew(parser, line).say(*AGREED[:-1], "r: forty three", spoken)
    is_taken = edition == 5 and spoken.endswith("two")
    assert (crew.lengths, crew.state.pull) == ([15.42], 2)
    assert (crew.state.phase is Phase.TAKEN) is is_taken


def test_full_tapes_in_a_row_are_pulls_of_their_own(parser: Parser) -> None:
    """Pulls of the whole tape are alike by nature; none is swallowed as a repetition."""
    crew = Crew(parser)
    for _ in range(3):
        crew.say("r: full tape", "r: switch ends", "h: full tape")
    assert crew.lengths == [100.0, 100.0, 100.0]


def test_repetition_that_differs_stops_at_once(parser: Parser) -> None:
    """A different value is a finding and a stop, never a silent overwrite."""
    crew = Crew(parser).say("r: fifteen", "r: fifty")
    (finding,) = crew.followed
    assert isinstance(finding, Finding)
    assert (finding.code, finding.severity) == ("repeat-differs", Severity.STOP)
    assert (finding.first, finding.second, finding.facts) == (1500, 5000, {"part": "whole"})
    assert crew.state.phase is Phase.STOPPED


@pytest.mark.parametrize(("choice", "length"), [(Choice.FIRST, 15.42), (Choice.CHECK, 50.42)])
def test_decision_settles_a_repetition(parser: Parser, choice: Choice, length: float) -> None:
    """The chief keeps the first or the later value; the pull then goes on where it stood."""
    crew = Crew(parser).say("r: fifteen", "r: fifty").decide(choice)
    whole = "fifteen" if choice is Choice.FIRST else "fifty"
    crew.say("h: forty two", "h: switch ends", f"h: {whole}", "r: forty two")
    assert crew.lengths == [length]


def test_scratch_voids_the_repetition_that_differs(parser: Parser) -> None:
    """A wrong call is scratched; the stop goes with it and the good value stands."""
    crew = Crew(parser).say("r: fifteen", "r: fifty", "r: strike that")
    assert crew.followed[-1] == Void(call=2, pull=1)
    crew.say("h: forty two", "h: switch ends", "h: fifteen", "r: forty two")
    assert crew.lengths == [15.42]


def test_scratch_after_switching_keeps_the_take(parser: Parser) -> None:
    """Only the last number is voided; the take and the switch stand."""
    crew = Crew(parser).say("r: fifteen", "h: forty two", "h: switch ends", "h: sixteen")
    crew.say("h: strike that", "h: fifteen", "r: forty two")
    assert crew.lengths == [15.42]
    assert Void(call=4, pull=1) in crew.followed


def test_scratch_after_booking_reopens_the_pull(parser: Parser) -> None:
    """The last call of a booked pull can still be scratched: the pull opens again."""
    crew = Crew(parser).say(
        "r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty one"
    )
    assert crew.lengths == [15.42]
    crew.say("r: strike that")
    assert crew.followed[-2:] == [Reopened(pull=1), Void(call=5, pull=1)]
    crew.say("r: forty two")
    assert [each.pull for each in crew.segments] == [1, 1]
    assert crew.segments[-1].difference == 0
    assert crew.segments[-1].findings == ()


def test_scratch_with_nothing_said_asks(parser: Parser) -> None:
    """There must be a call to scratch."""
    assert Crew(parser).say("r: strike that").questions == ["no-call-to-scratch"]


@pytest.mark.parametrize(
    ("take", "check", "code"),
    [
        ("fifteen forty two", "sixteen forty two", "one-foot"),
        ("fifteen forty two", "twenty five forty two", "ten-feet"),
        ("zero forty two", "one hundred forty two", "tape-length"),
        ("fifteen forty two", "eighty four fifty eight", "tape-complement"),
        ("fifteen forty two", "fifteen fifty eight", "foot-complement"),
        ("fifteen forty two", "fifteen twenty four", "swapped"),
        ("fifteen forty two", "fifty one forty two", "swapped"),
        ("fifteen forty six", "fifteen forty nine", "six-nine"),
        ("thirteen forty two", "thirty forty two", "teen-ty"),
        ("fifteen thirty", "fifteen thirteen", "teen-ty"),
        ("fifteen forty five", "fifteen forty nine", "sound-alike"),
        ("fifteen forty two", "fifteen fifty two", "one-tenth"),
        ("fifteen forty two", "fifteen seventy seven", "differs"),
    ],
)
def test_disagreement_stops_and_names_the_blunder(
    parser: Parser, take: str, check: str, code: str
) -> None:
    """More than the tolerance apart: a stop that names the signature; nothing is booked."""
    crew = Crew(parser).say(f"r: {take}", "r: switch ends", f"h: {check}")
    assert crew.findings == [code]
    assert crew.segments == []
    assert crew.state.phase is Phase.STOPPED


@pytest.mark.parametrize("apart", [1, 2])
@pytest.mark.parametrize("sign", [1, -1])
def test_tolerance_is_exact_in_hundredths(parser: Parser, apart: int, sign: int) -> None:
    """Exactly 0.01 agrees (noted), 0.02 does not, for every hundredth: no float decides."""
    for value in range(10, 98):
        other = value + sign * apart
        crew = Crew(parser).say("r: fifteen", _digits(value, "h"), "h: switch ends")
        crew.say("h: fifteen", _digits(other, "r"))
        if apart == 1:
            assert crew.findings == ["within-tolerance"]
            assert crew.lengths == [(1500 + value) / 100]
        else:
            assert crew.segments == []
            assert crew.state.phase is Phase.STOPPED


DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]


def _digits(value: int, who: str) -> str:
    return f"{who}: {DIGITS[value // 10]} {DIGITS[value % 10]}"


def test_mean_is_booked_when_the_line_says_so(parser: Parser) -> None:
    """Policy mean books half-way, check the second; the default books the first."""
    spoken = ("r: fifteen forty two", "r: switch ends", "h: fifteen forty three")
    assert Crew(parser, settings(book=BookPolicy.MEAN)).say(*spoken).lengths == [15.425]
    assert Crew(parser, settings(book=BookPolicy.CHECK)).say(*spoken).lengths == [15.43]
    assert Crew(parser).say(*spoken).lengths == [15.42]


STOPPED = ("r: fifteen", "h: forty two", "h: switch ends", "h: sixteen", "r: forty two")


@pytest.mark.parametrize(
    ("choice", "length", "booking"),
    [(Choice.FIRST, 15.42, Booking.FIRST), (Choice.CHECK, 16.42, Booking.CHECK)],
)
def test_chief_decides_a_stop(
    parser: Parser, choice: Choice, length: float, booking: Booking
) -> None:
    """Keep first or keep check books that one, with who decided and what was found."""
    crew = Crew(parser).say(*STOPPED).decide(choice, by="chief")
    (segment,) = crew.segments
    assert (segment.length_read_ft, segment.booking, segment.decided_by) == (
        length,
        booking,
        "chief",
    )
    assert [finding.code for finding in segment.findings] == ["one-foot"]


def test_measured_again_keeps_the_struck_observations(parser: Parser) -> None:
    """Measure again: both observations are struck but kept, and the new pair is booked."""
    crew = Crew(parser).say(*STOPPED, "r: measure again", *AGREED)
    (segment,) = crew.segments
    assert segment.length_read_ft == 15.42
    assert [each.length for each in segment.superseded] == [1542, 1642]
    assert [finding.code for finding in segment.findings] == ["one-foot"]


def test_nothing_moves_ahead_over_a_stop(parser: Parser) -> None:
    """Calls after a stop are held in order; the decision lets them follow, up to the next stop."""
    crew = Crew(parser).say(*STOPPED)
    following = ("r: thirty", "h: ten", "h: switch ends", "h: thirty", "r: ten")
    crew.say("r: next pull", *following, *STOPPED)
    assert crew.segments == []
    assert sum(isinstance(each, Held) for each in crew.followed) == 11
    assert crew.status == "pull-waits-for-decision held=11 pull=1"
    crew.decide(Choice.FIRST)
    assert crew.lengths == [15.42, 30.10]
    assert crew.state.phase is Phase.STOPPED
    assert crew.state.pull == 3
    assert crew.decide(Choice.CHECK).lengths == [15.42, 30.10, 16.42]


@pytest.mark.parametrize(
    ("command", "length"), [("measure again", None), ("keep the second", 16.42)]
)
def test_stray_number_after_a_stop_is_struck_by_the_answer(
    parser: Parser, command: str, length: float | None
) -> None:
    """One number misheard in the talk about a stop does not keep the crew from deciding it."""
    crew = Crew(parser).say(*STOPPED, "h: point eleven", f"r: {command}")
    assert Void(call=6, pull=1) in crew.followed
    assert crew.lengths == ([] if length is None else [length])
    assert crew.say(*AGREED).lengths[-1] == 15.42


def test_scratch_after_a_stop_strikes_the_stray_number_first(parser: Parser) -> None:
    """The last number is struck, the stop stands; struck again, the check's last call goes."""
    crew = Crew(parser).say(*STOPPED, "h: point eleven", "h: strike that")
    assert crew.followed[-1] == Void(call=6, pull=1)
    assert crew.state.phase is Phase.STOPPED
    crew.say("r: strike that")
    assert crew.followed[-1] == Void(call=5, pull=1)
    assert crew.status == "pull-waits measurement=check part=fraction pull=1"


def test_decision_for_another_pull_changes_nothing(parser: Parser) -> None:
    """A decision names its pull; one for a pull that waits for none is answered, not applied."""
    crew = Crew(parser).say(*STOPPED).decide(Choice.FIRST, pull=7)
    assert crew.questions == [
        "no-decision-awaited pull=7 status=(pull-waits-for-decision held=0 pull=1)"
    ]
    assert crew.state.phase is Phase.STOPPED


@pytest.mark.parametrize(
    ("command", "length"), [("keep the first", 15.42), ("keep the second", 16.42)]
)
def test_crew_decides_by_voice(parser: Parser, command: str, length: float) -> None:
    """The decision may be spoken, as long as no later call is held."""
    crew = Crew(parser).say(*STOPPED, f"r: {command}")
    assert crew.lengths == [length]


def test_required_check_cannot_be_skipped(parser: Parser) -> None:
    """Policy required: the next pull waits for the check."""
    crew = Crew(parser).say("r: fifteen", "h: forty two", "r: next pull")
    assert crew.questions == ["check-needed"]
    assert crew.segments == []


@pytest.mark.parametrize(
    ("policy", "codes"), [(CheckPolicy.WANTED, ["unchecked"]), (CheckPolicy.NONE, [])]
)
def test_unchecked_pull_is_marked(parser: Parser, policy: CheckPolicy, codes: list[str]) -> None:
    """Without a check the segment says so; where one was wanted it is noted as well."""
    crew = Crew(parser, settings(policy=policy)).say("r: fifteen", "h: forty two", "r: next pull")
    (segment,) = crew.segments
    assert segment.booking is Booking.UNCHECKED
    assert [finding.code for finding in segment.findings] == codes
    assert segment.check is None


@pytest.mark.parametrize(
    ("spoken", "question"),
    [
        (
            ("r: switch ends",),
            "before-switching status=(pull-waits measurement=take part=all pull=1)",
        ),
        (
            ("r: fifteen", "r: switch ends"),
            "before-switching status=(pull-waits measurement=take part=fraction pull=1)",
        ),
        (
            ("h: forty two", "r: next pull"),
            "before-moving-on status=(pull-waits measurement=take part=whole pull=1)",
        ),
        (("r: keep the first",), "nothing-to-decide"),
        (("h: seven",), "one-digit digit=7 said=seven"),
        (("u: fifteen", "u: seven"), "one-digit digit=7 said=7"),
        (("u: fifteen", "u: fifteen"), "again-or-hundredths value=15"),
        (("r: line finished", "r: fifteen"), "line-finished-no-call"),
        (("r: line finished", "r: measure again"), "line-finished"),
        (("r: line finished", "r: switch ends"), "line-finished"),
    ],
)
def test_what_may_not_be_taken_is_asked(
    parser: Parser, spoken: tuple[str, ...], question: str
) -> None:
    """Never guessed: the crew is asked, in plain words, and nothing is booked."""
    crew = Crew(parser).say(*spoken)
    assert crew.questions[-1] == question
    assert crew.segments == []


def test_one_microphone_takes_feet_first(parser: Parser) -> None:
    """Without roles a bare number is the foot first, then the hundredths; "point" settles it."""
    spoken = ("u: fifteen", "u: forty two", "u: switch ends", "u: point forty two", "u: fifteen")
    assert Crew(parser).say(*spoken).lengths == [15.42]
    spoken = (
        "u: head forty two",
        "u: rear fifteen",
        "u: switch ends",
        "u: head forty two",
        "u: rear fifteen",
    )
    assert Crew(parser).say(*spoken).lengths == [15.42]


def test_one_microphone_stops_on_a_third_number(parser: Parser) -> None:
    """A third number that matches neither part is a disagreement, not a new pull."""
    crew = Crew(parser).say(
        "u: fifteen", "u: forty two", "u: fifteen", "u: forty two", "u: forty three"
    )
    assert crew.findings == ["repeat-differs"]


def test_cut_tape_refuses_a_full_reading(parser: Parser) -> None:
    """On a cut tape a full reading may be meant before or after the cut: asked, not guessed."""
    crew = Crew(parser, settings(Style.CUT)).say("r: sixteen fifty eight")
    assert crew.questions == ["tape-cuts"]
    crew.say("r: sixteen", "h: fifty eight", "r: sixteen fifty eight", "h: fifteen forty two")
    assert (crew.findings, len(crew.questions)) == ([], 1)
    assert crew.say("h: fifteen forty three").findings == ["repeat-differs"]


def test_cut_tape_below_zero_is_asked(parser: Parser) -> None:
    """Nothing less something is no length."""
    crew = Crew(parser, settings(Style.CUT)).say("r: zero", "h: fifty eight")
    assert crew.questions == ["both-parts-again why=(less-than-nothing fraction=58 whole=0)"]


def test_full_tape_on_an_inset_tape_is_asked(parser: Parser) -> None:
    """Where a mark is held the whole tape is no reading."""
    crew = Crew(parser, settings(Style.INSET), Conditions(hold=100)).say("r: full tape")
    assert crew.questions == ["say-read-and-held"]


def test_long_gap_is_noted(parser: Parser) -> None:
    """Parts far apart in time may not belong together: the office is told."""
    crew = Crew(parser, gap_s=70.0).say(*AGREED)
    assert crew.findings == ["long-gap", "long-gap"]
    assert crew.lengths == [15.42]


def test_conditions_hold_from_the_moment_they_are_stated(parser: Parser) -> None:
    """Each segment carries what was in force; a position also states the support."""
    crew = Crew(parser).say(
        "r: temperature four one", "h: tension twenty", "h: at the waist", *AGREED
    )
    crew.say(
        "h: rise one point two five",
        "h: temperature five zero",
        "h: ends only",
        "r: holding zero",
        *AGREED,
    )
    crew.say("r: on the ground", *AGREED)
    first, second, third = (segment.conditions for segment in crew.segments)
    assert first == Conditions(temperature_degf=41, tension_lb=20, spans=1, position="waist")
    assert (second.temperature_degf, second.rise_ft, second.hold) == (50, 1.25, 0)
    assert (third.position, third.spans) == ("ground", 0)


def test_roles_turn_round_for_the_check(parser: Parser) -> None:
    """Who read the hundredths calls the foot after switching ends, until the pull is booked."""
    crew = Crew(parser)
    assert (crew.state.whole_by, crew.state.fraction_by) == (Role.REAR, Role.HEAD)
    crew.say("r: fifteen", "h: forty two", "h: switch ends")
    assert (crew.state.whole_by, crew.state.fraction_by) == (Role.HEAD, Role.REAR)
    crew.say("h: fifteen", "r: forty two")
    assert crew.state.whole_by is Role.REAR


def test_rise_beyond_the_length_is_asked(parser: Parser) -> None:
    """A rise that no tape of that length can span is asked again, whichever came first."""
    crew = Crew(parser).say("h: rise twenty point zero zero", "r: fifteen", "h: forty two")
    assert crew.questions == [("rise-in-force-beyond-tape rise=20.0")]
    crew.say("h: tape is level", "h: forty two", "h: rise twenty point zero zero")
    assert crew.questions[1:] == ["rise-beyond-tape rise=20.0"]
    assert (
        crew.say("h: switch ends", "h: fifteen", "r: forty two").segments[0].conditions.rise_ft == 0
    )


def test_line_is_finished_by_its_command(parser: Parser) -> None:
    """Finishing closes the line after a booked pull."""
    crew = Crew(parser).say(*AGREED, "r: line finished")
    assert crew.status == "line-finished"
