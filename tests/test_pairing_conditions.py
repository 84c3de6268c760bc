"""What is true of one pull and what runs on: any order of events against a plain account."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from calllog.journal import Journal
from calllog.office.summary import verify_job
from calllog.pairing import EDITION, Phase, step
from calllog.session import Course, Job, Replay
from calllog.spoken import Parser
from calllog.values import (
    Call,
    CheckPolicy,
    Choice,
    Conditions,
    Decision,
    Held,
    Kind,
    LineSettings,
    Outcome,
    Question,
    Reopened,
    Segment,
    Style,
    Void,
)
from tests.crew import Crew, made_call, short
from tests.crew import settings as settled
from tests.tapes import certificate

AGREED = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")
READ = ("u: fifteen forty two", "u: switch ends", "u: fifteen forty two")
TAPE_HOLD = 100
RUNS_ON = ("temperature_degf", "tension_lb", "spans", "position")
OPS = (
    *("number",) * 8,
    *("other", "command switch", "command switch", "command scratch", "command scratch"),
    *("command again", "command first", "command check", "command next", "command finish"),
    *("temperature", "tension", "spans", "position", "rise", "rise", "hold", "hold"),
    *("anew", "decide first", "decide check", "decide again", "line", "tape", "note", "talk"),
)


def line(style: Style = Style.ADD, **changes: object) -> LineSettings:
    """State a line of the newest edition; an inset tape has its first foot held."""
    hold = TAPE_HOLD if style is Style.INSET else 0
    return settled(style, pairing=EDITION, hold=hold, **changes)


@dataclass
class Account:
    """Feeds events, and keeps by plain rules what must be in force.

    A statement counts from where it was taken until it is struck or its pull ends. Each rise and
    each held mark is stated only once, so that it can be told apart.
    """

    styles: tuple[Style, Style]
    replay: Replay = field(default_factory=Replay)
    number: int = 0
    taken: list[tuple[int, dict[str, object]]] = field(default_factory=list)
    """What was stated and runs on, by the call; 0 for what no call stated."""
    own: list[tuple[int, int, dict[str, object]]] = field(default_factory=list)
    """What was stated of one pull: call, pull."""
    waiting: dict[int, dict[str, object]] = field(default_factory=dict)
    seen_in: dict[object, set[int]] = field(default_factory=dict)
    """The pulls that were booked or stood with a rise or a held mark."""
    places: list[int] = field(default_factory=lambda: [0, 0])
    """Tape and line, of two each."""

    def __post_init__(self) -> None:
        """Begin the first line."""
        self.begin()

    def begin(self) -> None:
        """Begin the line on the tape that stand in `places`."""
        tape, ends = self.places
        self.replay.begin_line(
            line(
                self.styles[tape],
                tape=f"T-{tape}",
                line_from="AB"[ends],
                policy=CheckPolicy.WANTED,
            )
        )
        self.own.clear()
        self.waiting.clear()

    def do(self, op: str, amount: int) -> None:
        """Do one thing."""
        state = self.replay.state
        assert state is not None
        verb, _, name = op.partition(" ")
        match verb:
            case "number" if state.settings.style in (Style.FULL, Style.INSET):
                self.call(Kind.READING, value=8_042)
            case "number":
                is_whole = state.parts.whole is None
                self.call(Kind.WHOLE if is_whole else Kind.FRACTION, value=8_000 if is_whole else 0)
            case "other":
                self.call(Kind.FRACTION, value=amount % 100)
            case "command":
                self.call(Kind.COMMAND, name=name)
            case "decide":
                self.feed(Decision(pull=state.pull, choice=Choice(name), by="chief"), {})
            case "anew":
                self.number += 1
                stated: dict[str, object] = {
                    "temperature_degf": float(amount % 130),
                    "rise_ft": self.number / 1000,
                }
                self.feed(state.conditions.model_copy(update=stated), stated)
            case "line" | "tape" if state.phase is not Phase.STOPPED:
                self.places[verb == "line"] ^= 1
                self.begin()
            case "note" | "talk":
                self.call(Kind.CHATTER, outcome=Outcome.IGNORED)
            case "line" | "tape":
                pass
            case _:
                self.state_one(verb, amount)

    def state_one(self, name: str, amount: int) -> None:
        """State one condition."""
        unique = (self.number + 1) / 1000
        given = {"rise": unique, "hold": round(200 + self.number) / 100}
        value = given.get(name, float(amount % (4 if name in ("position", "spans") else 100)))
        positions = ("ground", "knee", "waist", "chest")
        known: dict[str, dict[str, object]] = {
            "temperature": {"temperature_degf": value},
            "tension": {"tension_lb": value},
            "spans": {"spans": int(value)},
            "position": {"position": positions[int(value) % 4], "spans": 0 if value == 0 else 1},
            "rise": {"rise_ft": value},
            "hold": {"hold": round(value * 100)},
        }
        self.call(Kind.CONDITION, known[name], name=name, amount=value)

    def call(self, kind: Kind, stated: dict[str, object] | None = None, **changes: object) -> None:
        """Say something."""
        self.number += 1
        self.feed(made_call(self.number, kind, 30.0 * self.number, **changes), stated or {})

    def feed(self, event: Call | Decision | Conditions, stated: dict[str, object]) -> None:
        """Let the machine take an event, and keep account of it."""
        expected, is_alone = self.in_force(), not self.waiting
        pull = self.state_pull()
        follows = self.replay.record(event)
        number = event.number if isinstance(event, Call) else 0
        struck = {each.call for each in follows if isinstance(each, Void)}
        reopened = [each.pull for each in follows if isinstance(each, Reopened)]
        self.strike(struck, reopened)
        if stated:
            if any(isinstance(each, Held) for each in follows):
                self.waiting[number] = stated
            elif not any(isinstance(each, Question) for each in follows):
                self.take(number, pull, stated)
        segments = [each for each in follows if isinstance(each, Segment)]
        self.follow_held(struck, segments)
        self.check(segments, expected, is_alone=is_alone)

    def strike(self, struck: set[int], reopened: list[int]) -> None:
        """Strike statements; those of a pull after one that opens again are gone with it."""
        self.taken = [each for each in self.taken if each[0] not in struck]
        self.own = [each for each in self.own if each[0] not in struck]
        if reopened:
            self.own = [each for each in self.own if each[1] <= min(reopened)]

    def take(self, number: int, pull: int, stated: dict[str, object]) -> None:
        """Take account of a statement."""
        runs_on = {name: each for name, each in stated.items() if name in RUNS_ON}
        if runs_on:
            self.taken.append((number, runs_on))
        if own := {name: each for name, each in stated.items() if name not in RUNS_ON}:
            self.own.append((number, pull, own))

    def follow_held(self, struck: set[int], segments: list[Segment]) -> None:
        """Take account of held calls that were taken now: of the pull that shows them."""
        state = self.replay.state
        assert state is not None
        held = {each.number for each in state.held}
        for number, stated in tuple(self.waiting.items()):
            if number in held:
                continue
            del self.waiting[number]
            if number in struck:
                continue
            shown = [
                pull
                for conditions, pull in (
                    *((each.conditions, each.pull) for each in segments),
                    (state.conditions, state.pull),
                )
                if all(getattr(conditions, name) == each for name, each in stated.items())
            ]
            is_own = not set(stated) <= set(RUNS_ON)
            if not is_own or shown:
                self.take(number, shown[0] if shown else state.pull, stated)

    def state_pull(self) -> int:
        """Tell which pull stands."""
        assert self.replay.state is not None
        return self.replay.state.pull

    def in_force(self) -> Conditions:
        """What must be in force now."""
        state = self.replay.state
        assert state is not None
        stated: dict[str, object] = {"hold": state.settings.hold}
        for _, each in self.taken:
            stated |= each
        for _, pull, each in self.own:
            stated |= each if pull == state.pull else {}
        return Conditions().model_copy(update=stated)

    def check(self, segments: list[Segment], expected: Conditions, *, is_alone: bool) -> None:
        """Compare the machine with the account."""
        state = self.replay.state
        assert state is not None
        assert state.conditions == self.in_force()
        if len(segments) == 1 and is_alone and not state.held:
            assert segments[0].conditions == expected
        for conditions, pull in (
            (state.conditions, state.pull),
            *((each.conditions, each.pull) for each in segments),
        ):
            holds = {conditions.hold} - {0, TAPE_HOLD}
            for value in (*({conditions.rise_ft} - {None}), *holds):
                self.seen_in.setdefault(value, set()).add(pull)
        assert all(len(pulls) == 1 for pulls in self.seen_in.values())


@examples(max_examples=150, deadline=None, database=None, derandomize=True)
@given(
    st.lists(st.tuples(st.sampled_from(OPS), st.integers(0, 200)), max_size=40),
    st.tuples(st.sampled_from(tuple(Style)), st.sampled_from(tuple(Style))),
)
def test_no_condition_of_one_pull_is_used_in_another(
    ops: list[tuple[str, int]], styles: tuple[Style, Style]
) -> None:
    """Whatever is called, struck, decided and begun, in any order: only what runs on runs on."""
    account = Account(styles)
    for op, amount in ops:
        account.do(op, amount)


def of_edition(parser: Parser, style: Style = Style.ADD, **changes: object) -> Crew:
    """Send out a crew of the newest edition."""
    settings = line(style, **changes)
    return Crew(parser, settings, Conditions(hold=settings.hold))


def test_own_conditions_end_with_their_pull(parser: Parser) -> None:
    """A rise and a held mark are gone in the next pull; temperature and the like are not."""
    crew = of_edition(parser, Style.FULL)
    crew.say("u: temperature four one", "u: tension twenty", "u: at the waist")
    crew.say("u: rise one point two five", "u: holding one", *READ, *READ)
    first, second = crew.segments
    assert (first.conditions.rise_ft, first.conditions.hold, first.length_read_ft) == (
        1.25,
        100,
        14.42,
    )
    runs_on = Conditions(temperature_degf=41, tension_lb=20, spans=1, position="waist")
    assert (second.conditions, second.length_read_ft) == (runs_on, 15.42)


def test_level_is_said_of_one_pull(parser: Parser) -> None:
    """A pull of which nothing is said is not level: its rise is not known."""
    crew = of_edition(parser).say("h: tape is level", *AGREED, *AGREED)
    assert [each.conditions.rise_ft for each in crew.segments] == [0.0, None]


def test_mark_that_the_tape_has_held_is_held_again(parser: Parser) -> None:
    """Another mark is held in one pull; the next begins with the one of the certificate."""
    crew = of_edition(parser, Style.INSET).say("u: holding two", *READ, *READ)
    assert [each.conditions.hold for each in crew.segments] == [200, 100]
    assert crew.lengths == [13.42, 14.42]


def test_condition_said_after_a_booking_is_of_the_next_pull(parser: Parser) -> None:
    """It is struck before the pull that was booked opens again, which has its own back."""
    crew = of_edition(parser).say("h: rise one point two five", *AGREED)
    crew.say("h: rise two point five zero", "h: strike that")
    assert (crew.state.pull, crew.state.conditions.rise_ft) == (2, None)
    assert Void(call=7, pull=2) in crew.followed
    crew.say("h: strike that", "r: forty two", *AGREED)
    booked = [(each.pull, each.conditions.rise_ft) for each in crew.segments]
    assert booked == [(1, 1.25), (1, 1.25), (2, None)]


def test_scratch_undoes_a_condition(parser: Parser) -> None:
    """A temperature misheard is struck, and the one before it counts again."""
    crew = of_edition(parser).say("h: temperature four one", "h: temperature eight six")
    assert crew.say("h: strike that").state.conditions.temperature_degf == 41
    crew.say("r: fifteen", "h: strike that", "h: strike that")
    assert crew.state.conditions.temperature_degf is None
    assert [each.call for each in crew.followed if isinstance(each, Void)] == [2, 4, 1]


def test_finished_line_stays_finished_when_a_condition_is_struck(parser: Parser) -> None:
    """What is said for the next line may be taken back."""
    crew = of_edition(parser).say(*AGREED, "h: line finished", "h: temperature eight six")
    crew.say("h: strike that")
    assert (crew.state.phase, crew.state.conditions) == (Phase.FINISHED, Conditions())


def test_own_conditions_outlive_measuring_again(parser: Parser) -> None:
    """The pull is the same, and so is its rise; it can still be struck."""
    crew = of_edition(parser).say("h: rise one point two five", "r: fifteen", "r: measure again")
    assert crew.state.conditions.rise_ft == 1.25
    assert crew.say("r: strike that").state.conditions.rise_ft is None


def test_condition_said_over_a_stop_is_of_the_pull_that_follows(parser: Parser) -> None:
    """The pull that stopped was measured already when it was said."""
    crew = of_edition(parser).say("r: fifteen", "h: forty two", "h: switch ends", "h: sixteen")
    crew.say("r: forty two", "h: rise one point two five", *AGREED).decide(Choice.FIRST)
    assert [each.conditions.rise_ft for each in crew.segments] == [None, 1.25]


@pytest.mark.parametrize("style", [Style.ADD, Style.CUT])
def test_nothing_is_held_on_a_tape_read_at_both_ends(parser: Parser, style: Style) -> None:
    """A held mark was heard, shown and did nothing; now it is refused with the reason."""
    crew = of_edition(parser, style).say("r: holding one")
    reason = "nothing-held-here"
    assert (crew.questions, crew.state.conditions.hold) == ([reason], 0)
    assert len(crew.say("r: holding zero").questions) == 1


def test_mark_that_the_tape_does_not_have_is_not_held(parser: Parser) -> None:
    """Zero of an inset tape is under its fitting; beyond the tape there is no mark."""
    crew = of_edition(parser, Style.INSET).say("u: holding zero")
    assert crew.questions == ["zero-not-held-here"]
    fifty = of_edition(parser, Style.FULL, nominal=50, limit=5_000)
    call = of_edition(parser, Style.FULL).say("u: holding sixty").heard[0]
    (asked,) = step(fifty.state, call).consequences
    assert isinstance(asked, Question)
    assert short(asked.asks) == "beyond-tape reading=6000 tape=50"


def test_condition_without_a_number_is_asked_where_it_was_not_heard_surely(parser: Parser) -> None:
    """Talk that sounds like support changes none; said twice it counts."""
    crew = of_edition(parser).hear("r: ends only 0.96")
    assert crew.questions == ["not-sure-of said=ends only"]
    assert crew.state.conditions == Conditions()
    crew.say("r: fifteen").hear("r: ends only 0.9")
    assert len(crew.questions) == 2, "a number between: not said twice"
    assert crew.hear("r: ends only 0.9").state.conditions.spans == 1
    crew.hear("r: at the waist 0.9 | at the chest 0.08", "r: at the chest 0.9")
    assert (crew.state.conditions.position, len(crew.questions)) == (None, 4)
    assert crew.hear("r: at the chest 0.97").state.conditions.position == "chest"
    crew.say("h: forty two", "h: strike that")
    assert (crew.state.conditions.position, crew.state.conditions.spans) == ("chest", 1)


def test_condition_with_a_number_is_taken_and_read_back(parser: Parser) -> None:
    """A heard temperature stands as soon as it is read back, and is not asked about."""
    crew = of_edition(parser).hear("r: temperature six eight 0.7")
    assert (crew.questions, crew.state.conditions.temperature_degf) == ([], 68)


def test_sure_condition_is_not_asked_over_a_stop(parser: Parser) -> None:
    """One that is asked is asked at once, not when the stop is decided; one that waits waits."""
    crew = of_edition(parser).say("r: fifteen", "h: forty two", "h: switch ends", "h: sixteen")
    crew.say("r: forty two").hear("h: ends only 0.9")
    assert len(crew.questions) == 1
    crew.hear("h: ends only 0.9").decide(Choice.FIRST)
    assert (len(crew.questions), crew.state.conditions.spans) == (1, 1)


@pytest.mark.parametrize("edition", [0, EDITION])
def test_held_mark_of_a_certificate_is_the_tape_s(tmp_path: Path, edition: int) -> None:
    """Each line on the tape begins with it; another tape has its own. Older lines had it stated."""
    tapes = (certificate(identity="T-1", style="inset"), certificate(identity="T-2", style="full"))
    rules = settled(Style.INSET, pairing=edition)
    course = Course(tapes, (("A", "B"), ("B", "C")), rules)
    with Job.open(tmp_path / "job") as job:
        held = []
        for tape, ends in ((0, 0), (0, 1), (1, 1), (0, 1)):
            course.begin(job, tape, ends)
            held.append(job.state.conditions.hold)
        assert held == [100, 100, 0, 100]
    with Journal.open(tmp_path / "job", read_only=True) as journal:
        stated = list(journal.entries("condition"))
    assert len(stated) == (0 if edition else 3)
    assert verify_job(tmp_path / "job").ok


def test_line_begun_by_an_older_program_goes_on_by_its_edition(tmp_path: Path) -> None:
    """The same line is not begun anew because a later program would have written more of it."""
    tape = certificate(identity="T-1", style="inset")
    older = Course((tape,), (("A", "B"),), settled(Style.INSET))
    newer = Course((tape,), (("A", "B"),), settled(Style.INSET, pairing=EDITION))
    with Job.open(tmp_path / "job") as job:
        job.begin_line(older.settings(0, 0).model_copy(update={"hold": 0}), tape)
        newer.go_on(job)
        assert (job.state.settings.pairing, job.state.settings.hold) == (0, 0)
    with Journal.open(tmp_path / "job", read_only=True) as journal:
        assert len(list(journal.entries("line"))) == 1
