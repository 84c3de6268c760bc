"""Orders of phones in the field loop: journalled with their sender, told to the crew, once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from calllog.journal import Journal
from calllog.live import Settings
from calllog.live.chief import DISK_FAILS
from calllog.office.summary import verify_job
from calllog.pairing import EDITION
from calllog.phone.orders import stands
from calllog.readback import Tone
from calllog.server.messages import Does
from calllog.session import Job, replay
from calllog.spoken import Grammar, Parser
from calllog.values import Booking, Kind, Role, message
from calllog.wording import ENGLISH
from tests.crew import settings
from tests.phone import ANNA, BO, PHONES, Phones, ordered
from tests.rig import Rig

STOPPED = (("thirty three", 1), ("eighty seven", 0), ("switch ends", 0), ("thirty two", 0))


@pytest.fixture
def phones() -> Phones:
    """Make a desk that remembers."""
    return Phones()


@pytest.fixture
def rig(tmp_path: Path, grammar: Grammar, parser: Parser, phones: Phones) -> Iterator[Rig]:
    """Make a loop with phones."""
    with Job.open(tmp_path / "job") as job:
        yield Rig(job, grammar, parser, phones=phones)


def stop(rig: Rig) -> None:
    """Bring the first pull to a stop."""
    for words, channel in (*STOPPED, ("eighty seven", 1)):
        rig.say(words, channel)


def order(rig: Rig, phones: Phones, *made: object) -> list[tuple[bool, str]]:
    """Put orders on the desk; give what became of each."""
    phones.answers.clear()
    phones.waiting.extend(made)  # type: ignore[arg-type]
    rig.hear()
    return [(each.is_taken, each.words) for each in phones.answers]


def test_decision_is_journalled_with_its_sender_and_told(rig: Rig, phones: Phones) -> None:
    """Who, what and when are in the journal; the crew hears what was kept, the page shows it."""
    stop(rig)
    made = ordered(rig.job.replay, Does.FIRST)
    assert order(rig, phones, made) == [(True, "taken")]
    (segment,) = rig.job.replay.segments
    assert (segment.booking, segment.decided_by) == (Booking.FIRST, ANNA)
    assert rig.entries("decision") == [{"pull": 1, "choice": "first", "by": ANNA}]
    (asked,) = rig.entries("phone_asked")
    assert (asked["name"], asked["phone"]) == ("Anna", "k7f3")
    assert (asked["id"], asked["does"]) == (made.order.id, "first")
    assert "first kept" in rig.said[-1]
    assert phones.shown[-1].booked == 1
    assert verify_job(rig.job.folder).ok


def test_measure_again_is_said_to_the_crew(rig: Rig, phones: Phones) -> None:
    """Nothing is booked by it, so the crew must hear it in words."""
    stop(rig)
    assert order(rig, phones, ordered(rig.job.replay, Does.AGAIN)) == [(True, "taken")]
    assert rig.said[-1] == "measure again"
    assert rig.job.state.superseded


@pytest.mark.parametrize("late", [0, 8], ids=["still said", "understood late"])
def test_call_in_the_air_is_not_the_next_pulls(
    tmp_path: Path, grammar: Grammar, parser: Parser, phones: Phones, late: int
) -> None:
    """Marks that the crew reads again while the chief keeps the first open no pull unasked."""
    headset, rules = Settings(is_headset=True), settings(pairing=EDITION)
    with Job.open(tmp_path / "job") as job:
        rig = Rig(
            *(job, grammar, parser),
            phones=phones,
            settings=headset,
            rules=rules,
            late=late,
            is_live=True,
            knows_tape=True,
        )
        stop(rig)
        rig.hear(4.0)
        if late:
            rig.ears.say("thirty three", 0, lasts_s=0.5)
            rig.hear()
            assert not rig.loop.crew.is_idle
        assert order(rig, phones, ordered(job.replay, Does.FIRST)) == [(True, "taken")]
        if not late:
            rig.ears.say("thirty three", 0, lasts_s=0.5)
        rig.hear(2.0)
        assert [each.length_read_ft for each in job.replay.segments] == [33.87]
        assert (job.state.pull, job.state.parts.is_empty) == (2, True)
        (asked,) = (each for each in rig.entries("question") if each["pull"] == 2)
        assert asked["asks"] == {"code": "said-before-decision", "facts": {}}
        rig.say("thirty three", 1)
        rig.hear(1.0)
        assert job.state.parts.whole == 3300, "said again, it is the next pull's"


def test_of_two_phones_the_first_counts(rig: Rig, phones: Phones) -> None:
    """Both saw the same stop; the second is told who decided, and nothing of it is taken."""
    stop(rig)
    first = ordered(rig.job.replay, Does.FIRST, name="Anna")
    second = ordered(rig.job.replay, Does.CHECK, name="Bo")
    assert order(rig, phones, first, second) == [
        (True, "taken"),
        (False, "not taken: pull 1 was decided meanwhile, the first was kept by Anna (k7f3)"),
    ]
    assert [each.length_read_ft for each in rig.job.replay.segments] == [33.87]
    assert len(rig.entries("decision")) == len(rig.entries("phone_asked")) == 1


def test_order_sent_twice_counts_once(rig: Rig, phones: Phones) -> None:
    """The network may lose an answer: the same order again gets the same answer, no more."""
    rig.say("thirty three", 1)
    rig.say("eighty seven", 0)
    made = ordered(rig.job.replay, Does.SCRATCH)
    assert order(rig, phones, made, made) == [(True, "taken")] * 2
    assert order(rig, phones, made) == [(True, "taken")]
    assert len(rig.entries("void")) == 1
    remark = ordered(rig.job.replay, Does.REMARK, "wet")
    assert order(rig, phones, remark, remark) == [(True, "taken")] * 2
    assert len(rig.job.replay.remarks) == 1


def test_another_phones_order_is_not_answered_by_its_identity(rig: Rig, phones: Phones) -> None:
    """An identity is a phone's own: the same one from another phone is another order."""
    stop(rig)
    made = ordered(rig.job.replay, Does.FIRST)
    other = made.model_copy(update={"phone": PHONES["Bo"]})
    assert order(rig, phones, made, other)[1][0] is False
    remark = ordered(rig.job.replay, Does.REMARK, "wet")
    other = remark.model_copy(update={"phone": PHONES["Bo"]})
    assert order(rig, phones, remark, other, remark, other) == [(True, "taken")] * 4
    assert len(rig.job.replay.remarks) == 2, "the one does not make the other be forgotten"


def test_value_stands_over_what_was_heard(rig: Rig, phones: Phones) -> None:
    """It is a typed call of the phone; what was heard is struck and stays; it is read back."""
    rig.say("thirty three", 1)
    rig.say("eighty seven", 0)
    assert order(rig, phones, ordered(rig.job.replay, Does.VALUE, ".86")) == [(True, "taken")]
    call = rig.job.replay.calls[-1]
    assert (call.source, call.is_keyed, call.kind) == (
        "live-1#phone Anna (k7f3)",
        True,
        Kind.FRACTION,
    )
    assert rig.job.state.take is not None
    assert rig.job.state.take.length == 3386
    assert rig.said[-1] == "eighty six, not eighty seven"


def test_condition_and_remark_are_calls_of_the_phone(rig: Rig, phones: Phones) -> None:
    """A condition holds from then on, a remark keeps its words and moves nothing."""
    condition = ordered(rig.job.replay, Does.CONDITION, "1*68")
    assert order(rig, phones, condition) == [(True, "taken")]
    assert rig.job.state.conditions.temperature_degf == 68
    said = len(rig.said)
    assert order(rig, phones, ordered(rig.job.replay, Does.REMARK, "wet tape"))[0][0]
    assert rig.job.replay.calls[-1].text == "wet tape"
    assert len(rig.said) == said, "a remark is not read back"


def test_words_of_a_remark_stand_in_no_entry(rig: Rig, phones: Phones) -> None:
    """Neither in the order nor in the call: they can be removed with their file."""
    order(rig, phones, ordered(rig.job.replay, Does.REMARK, "gate locked by Elder"))
    (asked,) = rig.entries("phone_asked")
    assert (asked["does"], asked["text"]) == ("remark", "")
    assert rig.job.replay.calls[-1].text == "gate locked by Elder"
    files = [each for each in rig.job.folder.glob("job.sqlite*") if each.is_file()]
    assert not any(b"gate locked" in each.read_bytes() for each in files)


def test_remark_whose_words_cannot_be_kept_is_not_taken(rig: Rig, phones: Phones) -> None:
    """Its sender is told so; the journal does not get the words instead."""
    (rig.job.folder / "remarks").write_text("in the way", "utf-8")
    made = ordered(rig.job.replay, Does.REMARK, "gate locked by Elder")
    assert order(rig, phones, made) == [(False, ENGLISH(DISK_FAILS))]
    assert rig.job.replay.calls == []


def test_written_remark_does_not_take_a_spoken_ones_place(rig: Rig, phones: Phones) -> None:
    """A remark awaited by key is still kept as sound when a phone writes one meanwhile."""
    rig.hear(1.0)
    rig.type("9*")
    assert order(rig, phones, ordered(rig.job.replay, Does.REMARK, "wet"))[0][0]
    rig.say("fifteen", 1)
    assert rig.job.replay.calls[-1].kind is Kind.REMARK
    assert rig.job.replay.calls[-1].clip


def test_refused_order_is_told_and_leaves_no_trace(rig: Rig, phones: Phones) -> None:
    """What is not taken moves nothing, is not journalled and says nothing to the crew."""
    said, tones = len(rig.said), len(rig.tones)
    made = ordered(rig.job.replay, Does.FIRST)
    ((is_taken, words),) = order(rig, phones, made)
    assert not is_taken
    assert words.startswith("not taken: ")
    assert rig.entries("phone_asked") == []
    assert (len(rig.said), len(rig.tones)) == (said, tones)


def test_order_taken_before_a_kill_counts_no_second_time(
    tmp_path: Path, grammar: Grammar, parser: Parser
) -> None:
    """The phone did not hear that it counted; after the kill the journal knows it."""
    phones = Phones()
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser, phones=phones)
        stop(rig)
        made = ordered(job.replay, Does.AGAIN)
        order(rig, phones, made)
        remark = ordered(job.replay, Does.REMARK, "wet")
        order(rig, phones, remark)
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser, phones=phones)
        assert order(rig, phones, made, remark) == [(True, "taken")] * 2
        assert len(job.replay.remarks) == 1
        assert len(rig.entries("decision")) == 1


def test_order_cut_off_by_a_kill_is_taken_when_sent_again(
    tmp_path: Path, grammar: Grammar, parser: Parser
) -> None:
    """It was journalled as asked, and the power went before it was taken: it still counts."""
    phones = Phones()
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser, phones=phones)
        stop(rig)
        made = ordered(job.replay, Does.CHECK)
        sender = {"name": "Anna", "phone": made.phone}
        job.note("phone_asked", {**sender, **made.order.model_dump(mode="json")})
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser, phones=phones)
        assert stands(job.replay).question == made.order.on
        assert order(rig, phones, made) == [(True, "taken")]
        assert [each.length_read_ft for each in job.replay.segments] == [32.87]
    with Journal.open(tmp_path / "job", read_only=True) as journal:
        assert replay(journal.entries()).asked_by[f"k7f3 {made.order.id}"] == (ANNA, True)


@pytest.mark.parametrize("is_reopened", [False, True])
def test_order_counts_once_however_many_came_between(
    tmp_path: Path, grammar: Grammar, parser: Parser, *, is_reopened: bool
) -> None:
    """What was taken is known by the job itself: no memory that forgets, or ends with a sitting."""
    phones = Phones()
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser, phones=phones)
        first = ordered(job.replay, Does.REMARK, "the first")
        assert order(rig, phones, first) == [(True, "taken")]
        others = [ordered(job.replay, Does.REMARK, f"remark {number}") for number in range(300)]
        assert order(rig, phones, *others) == [(True, "taken")] * 300
        if not is_reopened:
            assert order(rig, phones, first, others[0]) == [(True, "taken")] * 2
            assert len(job.replay.remarks) == 301
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser, phones=phones)
        assert order(rig, phones, first, others[-1]) == [(True, "taken")] * 2
        assert len(job.replay.remarks) == 301


def test_order_cut_off_by_a_kill_counts_once_though_another_came_between(
    tmp_path: Path, grammar: Grammar, parser: Parser
) -> None:
    """Asked before the kill, another phone's taken after it, then sent again, and once more."""
    phones = Phones()
    with Job.open(tmp_path / "job") as job:
        Rig(job, grammar, parser, phones=phones)
        made = ordered(job.replay, Does.REMARK, "wet")
        sender = {"name": "Anna", "phone": made.phone}
        job.note("phone_asked", {**sender, **made.order.model_dump(mode="json")})
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser, phones=phones)
        other = ordered(job.replay, Does.REMARK, "windy", name="Bo")
        assert order(rig, phones, other, made, made, made) == [(True, "taken")] * 4
        assert len(job.replay.remarks) == 2


def test_order_of_a_phone_that_was_revoked_meanwhile_is_not_taken(rig: Rig, phones: Phones) -> None:
    """It is judged by who may decide when it is taken, not when it was sent; also if known."""
    stop(rig)
    made = ordered(rig.job.replay, Does.FIRST)
    remark = ordered(rig.job.replay, Does.REMARK, "wet")
    assert order(rig, phones, remark) == [(True, "taken")]
    phones.outside.add("Anna")
    refused = (False, "not taken: this phone is not paired any more")
    assert order(rig, phones, made, remark) == [refused] * 2
    assert rig.entries("decision") == []
    assert len(rig.entries("phone_asked")) == 1
    assert order(rig, phones, ordered(rig.job.replay, Does.CHECK, name="Bo")) == [(True, "taken")]
    assert rig.job.replay.segments[0].decided_by == BO


def test_news_of_phones_and_keys_reach_the_screen(
    tmp_path: Path, grammar: Grammar, parser: Parser
) -> None:
    """Who is paired is noticed; the logger's keyboard shows the code, a keypad does not."""
    phones = Phones()
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser, phones=phones, pads=(Role.UNSAID, Role.HEAD))
        rig.pads[0].name = "terminal"
        order(rig, phones, message("device-phone-paired", name="Anna"))
        assert "phone Anna is paired" in rig.notices
        assert rig.screen.views[-1].phones == phones.words
        rig.type("p15", pad=0)
        assert phones.keys == "p15"
        assert rig.screen.views[-1].typed == "15", "p is for the phones, the rest is typed"
        rig.type("p", pad=1)
        assert phones.keys == "p15"
        assert Tone.ERROR in rig.tones
        phones.invitation = ("1234 5678",)
        rig.hear(0.2)
        assert rig.screen.views[-1].invitation == ("1234 5678",)
