"""A live crew that walks on after a check: asked, answered, booked, shown and kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from calllog.about import Amendment, Member
from calllog.audio import Utterance
from calllog.keypad import Refused, read_entry
from calllog.live.loop import HEARD_S
from calllog.office.summary import verify_job
from calllog.pairing import EDITION, Phase, due, start
from calllog.readback import Tone
from calllog.recognise import Hypothesis
from calllog.session import Course, Job, Told
from calllog.spoken import Grammar, Parser
from calllog.values import CalledFirst, Expectation, Holders, Kind, Question, Role, Style
from tests.crew import settings
from tests.rig import Rig
from tests.tapes import certificate
from tests.test_session_live import recorder_of

RigOf = Callable[..., Rig]
HEAD, REAR = 0, 1
NAMES = Amendment(crew=(Member(role="head", name="Ada"), Member(role="rear", name="Bo")), by="Ada")


@pytest.fixture
def rig_of(tmp_path: Path, grammar: Grammar, parser: Parser) -> Iterator[RigOf]:
    """Make rigs about one job, live, by the newest rules; close it."""
    with Job.open(tmp_path / "job") as job:

        def make(**how: object) -> Rig:
            rules = settings(pairing=EDITION)
            return Rig(job, grammar, parser, rules=rules, is_live=True, knows_tape=True, **how)  # type: ignore[arg-type]

        yield make


def pull(rig: Rig, *said: tuple[str, int]) -> None:
    """Say calls, each by its microphone."""
    for words, channel in said:
        rig.say(words, channel)


def first(rig: Rig) -> None:
    """Tape 15.42 by the usual roles."""
    pull(rig, ("fifteen", REAR), ("forty two", HEAD), ("switch ends", HEAD))
    pull(rig, ("fifteen", HEAD), ("forty two", REAR))


def test_walked_on_crew_is_asked_and_named(rig_of: RigOf) -> None:
    """Nothing is booked before the answer; screen, holders and the replay follow it."""
    rig = rig_of(pads=(Role.UNSAID,))
    rig.job.note("about", NAMES.model_dump(mode="json", exclude_defaults=True))
    first(rig)
    pull(rig, ("eighty three", HEAD), ("forty four", REAR))
    assert rig.last_tone is Tone.QUESTION
    view = rig.screen.views[-1]
    asked = (
        "who holds the foot: Bo for 44.83, Ada for 83.44? say I've got the foot, or call the whole"
        " reading"
    )
    assert (view.expected, view.verdict) == (asked, f"crew: {asked}")
    assert [way.key for way in view.may if way.name.endswith("holds")] == ["4/", "5/"]
    assert len(rig.job.replay.segments) == 1
    rig.type("4/")
    assert rig.said[-1].startswith("head holds the foot")
    pull(rig, ("switch ends", HEAD))
    rig.hear()
    assert rig.screen.views[-1].expected == "Bo: the whole foot, Ada: the hundredths of the check"
    pull(rig, ("eighty three", REAR), ("forty four", HEAD))
    replayed = rig.job.replay
    assert [each.take.length for each in replayed.segments] == [1542, 8344]
    assert replayed.held_by == [
        Holders(take_head="Ada", take_rear="Bo", check_head="Bo", check_rear="Ada"),
        Holders(take_head="Bo", take_rear="Ada", check_head="Ada", check_rear="Bo"),
    ]
    rig.hear()
    assert rig.screen.views[-1].expected == "Bo: the whole foot, Ada: the hundredths of the first"
    assert rig.calls[0].expects is Expectation.ANY
    assert verify_job(rig.job.folder).ok


def test_crew_that_goes_on_over_the_question_is_told_firmly(rig_of: RigOf) -> None:
    """Asked in few words, then how it is answered, then that nothing else is taken; then anew."""
    rig = rig_of()
    how = "say i've got the foot, or call the whole reading"
    first(rig)
    pull(rig, ("eighty three", HEAD), ("forty four", REAR))
    for words, channel in (("switch ends", HEAD), ("eighty three", REAR), ("forty four", HEAD)):
        rig.hear(HEARD_S)
        rig.say(words, channel)
    assert rig.said[-4].endswith("who holds the foot")
    assert rig.said[-3:] == [how, *[f"no call is taken. {how}"] * 2]
    pull(rig, ("i've got the foot", HEAD))
    assert rig.said[-1].startswith("head holds the foot")
    pull(rig, ("switch ends", HEAD), ("eighty three", REAR), ("forty four", HEAD))
    assert [each.take.length for each in rig.job.replay.segments] == [1542, 8344]


def test_habit_goes_on_in_the_next_line(rig_of: RigOf) -> None:
    """What the crew does is learned for the job."""
    rig = rig_of()
    first(rig)
    pull(rig, ("eighty three", HEAD), ("forty four", REAR), ("eighty three forty four", HEAD))
    pull(rig, ("switch ends", HEAD), ("eighty three", REAR), ("forty four", HEAD))
    pull(rig, ("line finished", HEAD), ("line number two", HEAD))
    pull(rig, ("twenty", REAR), ("ten", HEAD), ("switch ends", HEAD))
    pull(rig, ("twenty", HEAD), ("ten", REAR), ("thirty", HEAD), ("eleven", REAR))
    state = rig.job.state
    assert [each.take.length for each in rig.job.replay.segments] == [1542, 8344, 2010]
    assert (state.settings.line_from, state.take and state.take.length) == ("B", 3011)


def test_screen_of_a_crew_without_names_says_the_ends(rig_of: RigOf) -> None:
    """As the microphones are called."""
    rig = rig_of()
    rig.hear()
    view = rig.screen.views[-1]
    assert view.expected == "rear: the whole foot, head: the hundredths of the first"


def test_who_holds_the_foot_says_so(rig_of: RigOf) -> None:
    """Asked, by voice; unasked, before the next pull: read back by its end, kept, and verified."""
    rig = rig_of()
    first(rig)
    pull(rig, ("eighty three", HEAD), ("forty four", REAR), ("i've got the foot", HEAD))
    assert rig.said[-1].startswith("head holds the foot")
    pull(rig, ("switch ends", HEAD), ("eighty three", REAR), ("forty four", HEAD))
    pull(rig, ("i have the foot", HEAD))
    assert rig.said[-1] == "head holds the foot"
    pull(rig, ("twenty", HEAD), ("eleven", REAR), ("switch ends", HEAD))
    pull(rig, ("twenty", REAR), ("eleven", HEAD))
    assert [each.take.length for each in rig.job.replay.segments] == [1542, 8344, 2011]
    told = [each for each in rig.job.replay.calls if each.name == "caller-holds"]
    assert [each.role for each in told] == [Role.HEAD, Role.HEAD]
    assert verify_job(rig.job.folder).ok


def test_short_answer_counts_right_after_the_question_alone(rig_of: RigOf) -> None:
    """Words that are talk at any other time: before it, and long after it."""
    rig = rig_of()
    first(rig)
    pull(rig, ("i have it", REAR), ("eighty three", HEAD), ("forty four", REAR))
    assert rig.said[-1].endswith("who holds the foot")
    asked = len(rig.said)
    rig.hear(11.0)
    pull(rig, ("i have it", HEAD))
    assert (rig.calls[-1].kind, rig.calls[-1].name) == (Kind.CHATTER, "")
    assert len(rig.said) == asked
    pull(rig, ("forty four", REAR), ("i hold it", HEAD))
    assert (rig.calls[-1].kind, rig.calls[-1].name) == (Kind.COMMAND, "caller-holds")
    assert rig.said[-1].startswith("head holds the foot")
    pull(rig, ("switch ends", HEAD), ("eighty three", REAR), ("forty four", HEAD))
    assert [each.take.length for each in rig.job.replay.segments] == [1542, 8344]
    assert verify_job(rig.job.folder).ok


def test_number_said_back_is_nobodys_part_live(rig_of: RigOf) -> None:
    """What is said back before one's own, after the other's, and in the check."""
    rig = rig_of()
    pull(rig, ("fifteen", REAR), ("fifteen", HEAD), ("forty two", HEAD), ("forty two", REAR))
    assert rig.said == ["fifteen, fifteen", "forty two, not fifteen", "forty two"]
    assert rig.entries("void") == [{"call": 3, "pull": 1}]
    pull(rig, ("switch ends", HEAD), ("fifteen", HEAD), ("fifteen", REAR))
    assert rig.last_tone is Tone.QUESTION
    assert rig.screen.views[-1].verdict == "rear: rear, say again the hundredths"
    pull(rig, ("forty two", REAR))
    assert rig.said[-1] == "pull one, fifteen forty two"
    assert [each.length_read_ft for each in rig.job.replay.segments] == [15.42]
    assert verify_job(rig.job.folder).ok


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        (("16\n", "100\n"), "100 is not hundredths; type two digits, or 100. for a foot"),
        (("05\n",), "05 begins with a zero; type .05 for hundredths, 5 for a foot"),
        (("5*40.00\n", "33\n", "87\n"), "a rise of 40 ft is more than the tape length"),
        ((".87\n", "05\n"), "05 begins with a zero; type .05 for hundredths, 5 for a foot"),
    ],
    ids=["a hundred hundredths", "a foot with a zero", "a rise that cannot be", "a foot after"],
)
def test_number_that_nobody_says_is_not_turned_round_by_its_digits(
    rig_of: RigOf, typed: tuple[str, ...], why: str
) -> None:
    """The foot is called first: what cannot be the part due is refused, not the other part.

    Taken as the other part, first and check of such a pull would agree, and both be wrong.
    """
    rig = rig_of(roles=())
    for entry in typed:
        rig.type(entry)
    assert rig.notices[-1] == why
    assert rig.last_tone is Tone.QUESTION
    assert rig.job.state.phase is Phase.OPEN
    assert not rig.job.state.parts.is_complete


def test_number_that_begins_a_stopped_pull_again_is_not_weighed_with_the_old_one(
    rig_of: RigOf,
) -> None:
    """The parts of a check that differed are no parts of what is read again."""
    rig = rig_of(roles=())
    rig.type("33.87\n", "+", "33.40\n")
    assert rig.job.state.phase is Phase.STOPPED
    rig.clock.now_s += 3.0
    rig.type("5*30.50\n", "30\n")
    assert (rig.job.state.phase, rig.job.state.parts.whole) == (Phase.OPEN, 3000)
    rig.type("42\n")
    assert rig.notices[-1] == "a rise of 30.5 ft is more than the tape length"


def test_number_with_its_point_is_what_it_says(rig_of: RigOf) -> None:
    """Whoever calls the hundredths first types them so, or says that they come first."""
    rig = rig_of(roles=())
    rig.type(".05\n", "33\n", "+", ".05\n", "33.\n")
    rig.type("16\n", "100.\n", "+", "100.\n", "16\n")
    assert [each.take.length for each in rig.job.replay.segments] == [3305, 10016]
    rig.type("33\n", "05\n", "+", "33\n", "05\n")
    assert rig.job.replay.segments[-1].take.length == 3305


def test_keypad_of_one_person_takes_what_its_wearer_calls(rig_of: RigOf) -> None:
    """Head calls the hundredths, before the foot or after it."""
    rig = rig_of(roles=(), pads=(Role.HEAD, Role.REAR))
    rig.type("05\n", pad=0)
    rig.type("33\n", pad=1)
    assert rig.job.state.take is not None
    assert rig.job.state.take.length == 3305


def test_foot_of_a_longer_tape_is_due_as_a_foot() -> None:
    """On a tape of 50 ft a 62 typed first is no .62: the tape in hand is another one."""
    rules = settings(pairing=EDITION, nominal=50, limit=5099)
    state = start(rules, 1)
    assert due(state) is Expectation.WHOLE
    assert isinstance(read_entry("62", due(state), rules.limit), Refused)
    first = start(rules.model_copy(update={"called_first": CalledFirst.FRACTION}), 1)
    assert due(first) is Expectation.FRACTION
    assert due(start(settings(pairing=0), 1)) is Expectation.ANY


def test_number_of_one_microphone_is_not_turned_round_by_a_rise(rig_of: RigOf) -> None:
    """Where one microphone serves both, a rise misheard for a greater one turns nothing round."""
    rig = rig_of(roles=(Role.UNSAID,))
    for words in ("rise forty point zero zero", "thirty three", "eighty seven"):
        rig.say(words)
    assert rig.screen.views[-1].verdict == "crew: a rise of 40 ft is more than the tape length"
    reading = "thirty three eighty seven"
    for words in ("rise four point zero zero", reading, "switch ends", reading):
        rig.say(words)
    assert [each.take.length for each in rig.job.replay.segments] == [3387]


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("sixty two", ["words-beyond-tape"]),
        ("point sixty two", []),
        ("oh five", []),
        ("forty two", []),
    ],
)
def test_mark_of_a_longer_tape_is_no_hundredths(
    tmp_path: Path, parser: Parser, said: str, asked: list[str]
) -> None:
    """A tape of 100 ft in hand, that of 50 in the job: of one microphone nobody knows who calls."""
    tape = certificate(identity="T-50", style=Style.ADD, nominal_ft=50, certified_length_ft=50.0)
    course = Course((tape,), (("A", "B"),), settings(pairing=EDITION))
    with Job.open(tmp_path / "fifty") as job:
        course.go_on(job)
        told: list[Told] = []
        recorder = recorder_of(
            *(job, course, parser, told.append),
            roles=(Role.UNSAID,),
            keeps_clips=False,
            is_live=True,
        )
        none = np.zeros(0, np.float32)
        utterance = Utterance(none, none, 1.0, 2.0, 0, "live", is_cut=False)
        expected = recorder.expects_of(utterance)
        recorder.record_heard(utterance, expected, (Hypothesis(said, 1.0),))
        questions = [x for each in told for x in each.consequences if isinstance(x, Question)]
        assert [each.asks.code for each in questions] == asked
        assert job.state.parts.is_empty is bool(asked)
