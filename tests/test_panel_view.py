"""The view: what the crew sees is what the journal says, nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from calllog.errors import JournalError
from calllog.pairing import EDITION
from calllog.panel import CallStanding, Sign, view_of
from calllog.panel.worded import lines_of
from calllog.panel.words import figures
from calllog.session import Job, Replay
from calllog.values import CheckPolicy, Choice, Decision, Kind, OffsetNote, Role, Side, Style
from calllog.wording import ENGLISH
from tests.crew import settings
from tests.panel import AGREED, GRAMMAR, STOPPED, replayed, seen, text_of
from tests.tapes import certificate


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ((), "rear: the whole foot, head: the hundredths of the first"),
        (("r: fifteen",), "head: the hundredths of the first"),
        (("h: forty two",), "rear: the whole foot of the first"),
        (AGREED[:2], "both: switch ends"),
        (AGREED[:3], "head: the whole foot, rear: the hundredths of the check"),
        (AGREED[:4], "rear: the hundredths of the check"),
        (AGREED, "rear: the whole foot, head: the hundredths of the first"),
        (STOPPED, "a decision of the chief"),
        ((*AGREED, "h: line finished"), "the line is finished: begin the next one"),
    ],
)
def test_who_is_expected_to_say_what(said: tuple[str, ...], expected: str) -> None:
    """At each step of a pull the right person is named; after switching ends the other one."""
    assert seen(*said).expected == expected


def test_policy_says_whether_the_next_pull_may_follow() -> None:
    """Where no check is required, both ways on are named."""
    line = settings(policy=CheckPolicy.NONE)
    view = seen(*AGREED[:2], line=line)
    assert view.expected == "both: switch ends, or next pull"
    assert "records the pull unchecked" in [each.does for each in view.may if each.name == "next"]


def test_tape_read_at_one_end_is_expected_as_one_reading() -> None:
    """A full tape has no whole-foot person: nobody is named, the whole reading is wanted."""
    line = settings(Style.FULL)
    assert seen(line=line).expected == "the reading of the first"
    assert seen("u: full tape", line=line).expected == "both: switch ends"
    assert seen("u: fifteen point four two", line=line).take.length == "15.42"


def test_nobody_is_named_where_roles_are_not_known() -> None:
    """A line without roles asks for the part, not for a person."""
    view = seen(line=settings(whole_by=Role.UNSAID))
    assert view.expected == "the whole foot, the hundredths of the first"


@pytest.mark.parametrize(
    ("style", "said", "take"),
    [
        (Style.ADD, ("r: fifteen",), "15 + .__"),
        (Style.ADD, ("h: forty two",), "__ + .42"),
        (Style.ADD, ("r: fifteen", "h: forty two"), "15 + .42 = 15.42"),
        (Style.CUT, ("r: sixteen", "h: fifty eight"), "16 - .58 = 15.42"),
        (
            Style.INSET,
            ("u: holding one", "u: sixteen point four two"),
            "16.42 - 1.00 held = 15.42",
        ),
    ],
)
def test_take_shows_how_its_length_follows(style: Style, said: tuple[str, ...], take: str) -> None:
    """A blunder of one foot is seen only if the crew sees what was added or cut."""
    assert str(seen(*said, line=settings(style)).take) == take


def test_repetition_that_differs_shows_no_check() -> None:
    """Before switching ends there is no check, also where the take stopped."""
    view = seen(*AGREED[:2], "h: eighty six")
    assert view.sign is Sign.STOP
    assert (str(view.take), str(view.check)) == ("33 + .87 = 33.87", "")


def test_agreement_is_said_until_the_next_pull_begins() -> None:
    """The booked pull stands with its length and difference; the next call takes its place."""
    view = seen(*AGREED)
    assert (view.sign, view.verdict) == (Sign.AGREES, "pull 1: 33.87 ft, difference 0.00")
    assert (view.pull, view.booked, view.total_ft) == (2, 1, 33.87)
    assert seen(*AGREED, "r: fifteen").sign is Sign.WAITS


def test_stop_shows_both_values_the_blunder_and_the_ways_out() -> None:
    """A stop names its finding, what each decision keeps, and how to say or key it."""
    view = seen(*STOPPED)
    assert view.sign is Sign.STOP
    assert view.verdict.startswith("first 33.87, check 32.87: exactly one foot apart")
    assert (str(view.take), str(view.check)) == ("33 + .87 = 33.87", "32 + .87 = 32.87")
    assert [(each.say, each.key, each.does) for each in view.may] == [
        ("keep the first", "1/", "keeps 33.87"),
        ("keep the second", "2/", "keeps 32.87"),
        ("measure again", "0/↵", "measures this pull again"),
        ("strike that", "-↵", "strikes the last number"),
    ]


def test_repetition_that_differs_stops_with_its_own_values() -> None:
    """The decision is between what was said first and what was said then."""
    view = seen("r: fifteen", "r: fifty")
    assert view.sign is Sign.STOP
    assert [each.does for each in view.may][:2] == ["keeps 15.00", "keeps 50.00"]


def test_phrases_that_would_be_held_are_not_offered() -> None:
    """Once the crew has gone on over a stop, spoken decisions are held, so none is shown."""
    view = seen(*STOPPED, "r: twenty", "h: thirty one")
    assert view.held == 2
    assert not any(each.say for each in view.may)
    assert [each.standing for each in view.calls][-2:] == [CallStanding.HELD, CallStanding.HELD]


def test_stop_without_a_way_by_voice_or_key_names_the_command() -> None:
    """Whoever has no keypad is told how the stop is decided from another terminal."""
    job = replayed(*STOPPED, "r: twenty", "h: thirty one")
    view = text_of(job, {})
    assert not view.may
    assert view.expected == "a decision: calllog decide JOB 1 CHOICE (first, check or again)"


def test_chief_s_decision_is_named() -> None:
    """A pull that was decided is not shown as one that agrees."""
    job = replayed(*STOPPED)
    job.record(Decision(pull=1, choice=Choice.CHECK, by="the chief"))
    view = text_of(job)
    assert view.sign is Sign.BOOKED
    assert view.verdict == "pull 1: 32.87 ft, difference -1.00, check kept by the chief"
    happened = view_of(job, GRAMMAR.commands).happened
    assert lines_of(happened[-1], ENGLISH) == (
        "            > pull 1: check, decided by the chief",
        "            = pull 1 recorded: 32.87 ft (check)",
    )


def test_question_stays_open_until_something_but_talk_answers() -> None:
    """Crew talk answers no question; the next call does."""
    asked = ("r: fifteen", "h: four")
    assert seen(*asked).sign is Sign.ASKED
    assert "say both digits" in seen(*asked).verdict
    assert seen(*asked, "r: wait a minute").sign is Sign.ASKED
    assert seen(*asked, "h: oh four").sign is Sign.WAITS


def test_question_of_the_machine_is_open_too() -> None:
    """A command that cannot be followed leaves the reason on the screen."""
    view = seen("r: fifteen", "h: switch ends")
    assert view.sign is Sign.ASKED
    assert view.verdict == "crew: before switching: pull 1 waits for the hundredths of the first"


def test_calls_are_shown_as_what_became_of_them() -> None:
    """Talk, a call asked again and a struck call are told from those that stand."""
    view = seen("r: fifteen", "h: four", "r: good here", "h: forty two", "h: strike that")
    assert [(each.who, each.figures, each.standing) for each in view.calls] == [
        ("rear", "15", CallStanding.TAKEN),
        ("head", "?", CallStanding.ASKED),
        ("rear", "", CallStanding.TALK),
        ("head", ".42", CallStanding.STRUCK),
        ("head", "", CallStanding.TAKEN),
    ]


@pytest.mark.parametrize(
    ("said", "figures"),
    [
        ("u: fifteen point four two", "15.42"),
        ("u: temperature six eight", "68"),
        ("u: rise one point two five", "1.25"),
        ("u: at the waist", ""),
        ("u: good here", ""),
    ],
)
def test_numbers_are_shown_as_they_are_written(said: str, figures: str) -> None:
    """Readings and stated amounts have figures; an amount that stands for words has none."""
    assert seen(said).calls[-1].figures == figures


def test_note_is_shown_by_its_station() -> None:
    """Where something lies beside the line is told by the station, as it is written."""
    call = replayed("r: fifteen").calls[0]
    note = OffsetNote(station=12_500, side=Side.RIGHT, offset=1840)
    noted = call.model_copy(update={"kind": Kind.NOTE, "value": None, "note": note})
    assert figures(noted) == "1+25.00"


def test_remark_is_no_talk() -> None:
    """A remark kept as sound is ignored by the machine, but not lost from sight."""
    job = replayed("r: fifteen", "h: wait a minute")
    remark = job.calls[1].model_copy(update={"number": 3, "kind": Kind.REMARK, "text": ""})
    job.record(remark)
    shown = text_of(job).calls
    assert [each.standing for each in shown] == [
        CallStanding.TAKEN,
        CallStanding.TALK,
        CallStanding.TAKEN,
    ]
    assert shown[-1].words == "remark"


def test_measured_again_stays_in_sight() -> None:
    """Struck observations of the pull are listed beside the new one."""
    view = seen(*STOPPED, "r: measure again")
    assert view.struck == ("33.87", "32.87")
    assert view.sign is Sign.WAITS


def test_total_is_of_this_run_of_this_line() -> None:
    """Another line's pulls, and those of a run that was finished, do not count."""
    job = replayed(*AGREED, "h: line finished")
    assert view_of(job, GRAMMAR.commands).booked == 1
    job.begin_line(settings())
    assert view_of(job, GRAMMAR.commands).booked == 0
    for call in list(job.calls)[:5]:
        job.record(call)
    view = view_of(job, GRAMMAR.commands)
    assert (view.booked, view.total_ft, view.pull) == (1, 33.87, 3)


def test_scratch_says_that_it_opens_a_booked_pull() -> None:
    """Right after a booking, scratching reaches back; the crew is told before it does."""
    does = {each.name: each.does for each in seen(*AGREED).may}
    assert does["scratch"] == "strikes the last number, opens pull 1 again"
    assert "again" not in does, "there is nothing to measure again"


def test_scratch_is_offered_where_it_strikes_others_too() -> None:
    """The chief chose "fifty" over "fifteen": neither stands alone, and both are asked for."""
    job = replayed("r: fifteen", "r: fifty", line=settings(pairing=EDITION))
    job.record(Decision(pull=1, choice=Choice.CHECK, by="the chief"))
    does = {each.name: each.does for each in text_of(job).may}
    assert does["scratch"] == "strikes 2 numbers"


def test_scratch_says_that_it_strikes_a_condition() -> None:
    """What was stated last is struck first, from edition 1 on; before, numbers alone were."""
    said = (*AGREED, "h: temperature eight six")
    line = settings(pairing=EDITION)
    does = {each.name: each.does for each in seen(*said, line=line).may}
    assert does["scratch"] == "strikes the last condition"
    older = {each.name: each.does for each in seen(*said).may}
    assert older["scratch"] == "strikes the last number, opens pull 1 again"


def test_scratch_says_that_it_strikes_a_note() -> None:
    """A note is a call, and no number."""
    job = replayed(*AGREED)
    note = OffsetNote(station=2500, side=Side.RIGHT, offset=1840)
    changes = {"number": 6, "kind": Kind.NOTE, "value": None, "note": note}
    job.record(job.calls[-1].model_copy(update=changes))
    does = {each.name: each.does for each in text_of(job).may}
    assert does["scratch"] == "strikes the last call"


def test_conditions_not_stated_are_shown_as_such() -> None:
    """What is not known is not corrected for, so it is seen."""
    assert seen().conditions == (
        "temperature 41 F",
        "tension 20 lb",
        "ends only",
        "rise ?",
        "at the waist",
    )
    assert "level" in seen("u: tape is level").conditions


def test_view_after_a_restart_is_the_same(tmp_path: Path) -> None:
    """All that is shown is in the journal, so a job taken up again looks as it did."""
    tape = certificate(identity="T-1", style=Style.ADD)
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings(), tape)
        for call in replayed(*STOPPED, "r: wait a minute").calls:
            job.record(call)
        before = view_of(job.replay, GRAMMAR.commands)
    with Job.open(tmp_path / "job") as job:
        assert view_of(job.replay, GRAMMAR.commands) == before
    assert before.sign is Sign.STOP
    assert before.happened[-1].number == len(STOPPED) + 1


def test_job_without_a_line_has_no_view() -> None:
    """There is nothing to show, and the error says how to begin."""
    with pytest.raises(JournalError, match="no line has been begun"):
        view_of(Replay(), GRAMMAR.commands)
