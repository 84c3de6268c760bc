"""The field loop's side of the page: what it shows, what it takes, and what becomes of orders."""

from __future__ import annotations

import importlib.util
import json
import shutil
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest

from calllog.errors import ConfigError
from calllog.journal import Journal
from calllog.panel import Sign, ViewText
from calllog.phone.desk import Desk, News
from calllog.phone.place import Place
from calllog.server.messages import (
    Admitted,
    Knock,
    Left,
    OrderAnswer,
    Ordered,
    OrderTold,
    Past,
    PhoneState,
)
from calllog.session import Job
from calllog.values import Kind, Outcome, message
from tests.fieldjob import Paper, settings
from tests.panel import text_of
from tests.phone import PaperPage, code_of
from tests.tapes import certificate
from tests.virtual import free_port

TAPE = certificate(identity="T-1")
GOLDEN_JOB = Path(__file__).parent / "golden" / "jobs_2" / "feet"
KEY = bytes(32)
SECRET = "0" * 64


@dataclass(eq=False)
class Served:
    """The desk of a job, and what stands in for its page's process."""

    job: Job
    sitting: int = 1
    place: Place = field(default_factory=lambda: Place(port=free_port()))
    now_s: float = 100.0

    def __post_init__(self) -> None:
        """Begin."""
        self.page = PaperPage()
        self.desk = Desk(
            self.job, self.sitting, self.place, lambda: self.now_s, KEY, begin=self.page.begin
        )

    def turn(self) -> tuple[News, ...]:
        """Let the loop turn, until the page has taken all; give what the desk told."""
        told = self.desk.read()
        self.page.take()
        told = (*told, *self.desk.read())
        while self.page.take():
            told = (*told, *self.desk.read())
        return told

    def show(self, *notices: str, **changes: Any) -> None:  # noqa: ANN401
        """Show the job."""
        seen = replace(view(self.job, *notices), **changes)
        self.desk.show(seen, self.job.replay)
        self.turn()

    def knock(self, number: int = 1, name: str = "Anna") -> str:
        """Pair a phone; give what it is known by."""
        code = code_of(self.desk.words)
        self.page.tell(Knock(number=number, code=code, name=name, secret_sha256=SECRET))
        self.turn()
        return self.page.of(Admitted)[-1].phone

    @property
    def states(self) -> list[dict[str, Any]]:
        """What was shown."""
        return [json.loads(each.text) for each in self.page.of(PhoneState)]

    def entries(self, kind: str) -> list[object]:
        """Read the entries of a kind that are on disk."""
        with Journal.open(self.job.folder, read_only=True) as journal:
            return [each.content for each in journal.entries(kind)]


@contextmanager
def served(job: Job, **options: Any) -> Iterator[Served]:  # noqa: ANN401
    """Serve a job's page."""
    made = Served(job, **options)
    try:
        yield made
    finally:
        made.desk.close()


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """Begin a job."""
    with Job.open(tmp_path / "job") as opened:
        opened.begin_line(settings("A", "B", tape=TAPE.identity), TAPE)
        yield opened


@pytest.fixture
def at_work(job: Job) -> Iterator[Served]:
    """Serve its page."""
    with served(job) as made:
        yield made


def view(job: Job, *notices: str) -> ViewText:
    """See the job."""
    told = tuple(message("as-told", words=each) for each in notices)
    return text_of(job.replay, {}, notices=told)


def test_page_that_dies_is_journalled_and_told_everything_anew(at_work: Served) -> None:
    """The crew is told; the new process knows the state, the pulls, and who was let in."""
    paper = Paper(at_work.job)
    for _ in range(3):
        paper.pull(1542, 1542)
    anna = at_work.knock()
    at_work.show()
    before = at_work.page.of(PhoneState)[-1]
    at_work.page.kill()
    told = at_work.turn()
    assert message("device-page-lost") in told
    at_work.now_s += 3.0
    at_work.turn()
    assert at_work.entries("page_lost") == [{"exit_code": -9}]
    assert at_work.page.entry.phones[anna].is_in
    assert at_work.desk.guest(anna) is not None
    assert [(each.first, len(each.cards)) for each in at_work.page.of(Past)] == [(0, 3)]
    assert at_work.page.of(PhoneState) == [before]


def test_page_is_begun_by_what_it_serves(job: Job) -> None:
    """Its address, where sounds lie, and what the tapes are graduated in."""
    with served(job) as made:
        _, listening, origin, sounds, unit, language, crew = made.page.words
        assert int(listening) > 2
        assert (origin, unit, language, crew) == (made.place.origin, "foot", "en", "")
        assert Path(sounds) == job.folder.resolve()


def test_phone_that_leaves_is_known_no_more(at_work: Served) -> None:
    """It may decide until then."""
    anna = at_work.knock()
    assert at_work.desk.guest(anna) is not None
    at_work.page.tell(Left(phone=anna))
    (told,) = at_work.turn()
    assert told == message("device-phone-revoked", name=f"Anna ({anna})")
    assert at_work.desk.guest(anna) is None
    assert at_work.page.entry.phones == {}


def test_orders_come_out_and_their_answers_go_before_any_state(at_work: Served) -> None:
    """What became of an order waits for nothing."""
    order = '{"phone": "k7f3", "order": {"id": "%s", "does": "first", "on": ""}}' % ("0" * 32)
    made = Ordered.model_validate_json(order)
    at_work.page.tell(made)
    assert at_work.turn() == (made,)
    answer = OrderAnswer(made.order.id, is_taken=True, words="taken")
    at_work.page.told.clear()
    at_work.desk.answer(made, answer)
    at_work.show()
    assert at_work.page.told[0] == OrderTold("k7f3", answer)


def test_texts_of_the_journal_are_plain_on_the_page(at_work: Served) -> None:
    """Marks of direction and line breaks in names and remarks are shown by their numbers."""
    job = at_work.job
    job.begin_line(settings("A\u202e", "B\n\u2066<b>", tape=TAPE.identity), TAPE)
    paper = Paper(job)
    paper.call(Kind.REMARK, text="wet\r\ndata: {}\u200b", outcome=Outcome.IGNORED)
    paper.pull(1542, 1542)
    at_work.show("\u202enotice")
    (past,) = at_work.page.of(Past)
    (state,) = at_work.page.of(PhoneState)
    for text in (state.text, *past.cards):
        assert text.isprintable()
    assert "A<U+202E> to B<U+000A><U+2066><b>" in state.text
    assert "remark: wet<U+000D><U+000A>data: {}<U+200B>" in past.cards[0]


def test_unencrypted_network_is_told(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """Served to others without a certificate, the crew is told so at the start."""
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    listening.listen()
    monkeypatch.setattr(Place, "listen", lambda _: listening)
    with served(job, place=Place("10.42.0.1")) as made:
        assert made.turn() == (message("device-page-unencrypted"),)


def test_booked_pulls_follow_the_job(job: Job) -> None:
    """Each is sent once, in order; one that is opened again is taken back, and sent anew."""
    paper = Paper(job)
    for _ in range(10):
        paper.pull(1542, 1542)
    with served(job) as made:
        made.turn()
        sent = made.page.of(Past)
        assert [(each.first, len(each.cards)) for each in sent] == [(0, 8), (8, 2)]
        made.show()
        assert made.page.of(Past) == sent
        change = made.states[-1]["past"]
        paper.say("scratch").read(1543)
        made.show()
        new = made.page.of(Past)[2:]
        assert [(each.first, len(each.cards)) for each in new] == [(9, 0), (9, 1)]
        assert '"check":"15.43"' in new[1].cards[0]
        assert made.states[-1]["past"] > change


def test_state_is_new_only_if_something_changed(at_work: Served) -> None:
    """Eight views a second that say the same make one state; numbers only rise."""
    at_work.show()
    at_work.show()
    at_work.show(typed="15")
    assert [each["id"] for each in at_work.states] == ["1-1"]
    at_work.show("a notice")
    assert [each["id"] for each in at_work.states] == ["1-1", "1-2"]


def test_missing_packages_are_named(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """The extra is optional; who wants the page is told how to get it."""
    find = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "uvicorn" else find(name)
    )
    with pytest.raises(ConfigError, match=r"uvicorn is not installed.*calllog\[phone\]"):
        Desk(job, 1, Place())


def test_page_shows_a_stop_and_nothing_new_while_the_disk_fails(at_work: Served) -> None:
    """What is not on disk is not on the page; what was shown stays, with nothing to choose."""
    paper = Paper(at_work.job)
    paper.read(1542)
    at_work.show()
    (before,) = at_work.states
    paper.say("switch").read(1542)
    said = "1 call is not on disk"
    at_work.desk.withhold(replace(view(at_work.job, said), sign=Sign.STOP, verdict=said))
    at_work.turn()
    held = at_work.states[-1]
    assert (held["sign"], held["verdict"], held["notices"]) == ("STOP", said, [said])
    assert (held["calls"], held["booked"], held["past"]) == (before["calls"], 0, before["past"])
    assert (held["choices"], held["values"], held["scratch"]) == ([], [], "")
    assert held["can_repeat"] is False
    assert at_work.page.of(Past) == []
    at_work.show()
    assert at_work.states[-1]["booked"] == 1
    assert [each["id"] for each in at_work.states] == ["1-1", "1-2", "1-3"]


def test_page_that_was_shown_nothing_has_nothing_withheld(at_work: Served) -> None:
    """There is no state yet that could stand with a stop."""
    at_work.desk.withhold(view(at_work.job))
    at_work.turn()
    assert at_work.states == []


@pytest.mark.parametrize("is_changed", [False, True])
def test_job_with_a_changed_sound_plays_none(tmp_path: Path, *, is_changed: bool) -> None:
    """What was put in a sound's place is never played as genuine; the screen says so."""
    folder = Path(shutil.copytree(GOLDEN_JOB, tmp_path / "job"))
    if is_changed:
        (folder / "audio" / "000001.flac").write_bytes(b"another sound")
    with Job.open_existing(folder) as opened, served(opened) as made:
        assert (message("device-sound-changed") in made.turn()) is is_changed
        made.show()
        assert (Path(made.page.words[3]) == folder.resolve()) is not is_changed
