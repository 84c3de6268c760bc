"""The field loop's side of the page: never waited for, begun again, everything journalled."""

from __future__ import annotations

import importlib.util
import multiprocessing
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from calllog.commands.field import page_place
from calllog.errors import ConfigError
from calllog.journal import Journal
from calllog.panel import Sign, ViewText
from calllog.phone import desk as room
from calllog.phone.desk import UNDER_WAY, Desk, News
from calllog.phone.invitation import rows
from calllog.phone.messages import (
    Admission,
    Admitted,
    Knock,
    Left,
    OrderAnswer,
    Ordered,
    Past,
    PhoneState,
    Spent,
    ToPage,
    to_page,
)
from calllog.phone.place import Place
from calllog.session import Job, replay
from calllog.values import Kind, Outcome, message
from tests.fieldjob import Paper, settings
from tests.panel import text_of
from tests.tapes import certificate

pytestmark = pytest.mark.slow
TAPE = certificate(identity="T-1")
GOLDEN_JOB = Path(__file__).parent / "golden" / "jobs_2" / "feet"


def free_port() -> int:
    """Find a port that nothing uses."""
    with socket.socket() as made:
        made.bind(("127.0.0.1", 0))
        return int(made.getsockname()[1])


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """Begin a job."""
    with Job.open(tmp_path / "job") as opened:
        opened.begin_line(settings("A", "B", tape=TAPE.identity), TAPE)
        yield opened


@pytest.fixture
def desk(job: Job) -> Iterator[Desk]:
    """Serve its page."""
    with Desk(job, 1, Place(port=free_port())) as opened:
        yield opened


def until(condition: Callable[[], bool], desk: Desk, seconds: float = 20.0) -> list[News]:
    """Let the loop turn until something holds; give what the desk told meanwhile."""
    told: list[News] = []
    deadline = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < deadline
        told += desk.read()
        time.sleep(0.01)
    return told


def view(job: Job, *notices: str) -> ViewText:
    """See the job."""
    told = tuple(message("as-told", words=each) for each in notices)
    return text_of(job.replay, {}, notices=told)


def knock(desk: Desk, number: int, *, name: str = "Anna", secret: str = "0" * 64) -> Knock:
    """Give the code that counts, as the page's process tells it."""
    return Knock(number=number, code=desk._code, name=name, secret_sha256=secret)


def paired(job: Job) -> list[dict[str, str]]:
    """Read the pairings that are on disk."""
    return [dict(each) for each in entries(job, "phone_paired")]  # type: ignore[call-overload]


def entries(job: Job, kind: str) -> list[object]:
    """Read the entries of a kind that are on disk."""
    with Journal.open(job.folder, read_only=True) as journal:
        return [each.content for each in journal.entries(kind)]


def test_page_that_is_stuck_is_never_waited_for(desk: Desk, job: Job) -> None:
    """With its process stopped, showing goes on at once; of all states only the last is kept."""
    until(lambda: not desk._under_way and not desk._waiting, desk)
    os.kill(desk._process.pid, signal.SIGSTOP)
    try:
        for number in range(500):
            desk.show(view(job, f"notice {number} {'x' * 2000}"), job.replay)
            desk.read()
        assert 0 < sum(desk._under_way) <= UNDER_WAY
        assert "notice 499" in (desk._state or PhoneState(0, 0, "")).text
    finally:
        os.kill(desk._process.pid, signal.SIGCONT)
    until(lambda: not desk._under_way and not desk._is_state_due, desk)
    assert desk._number == 500


def test_page_that_dies_is_begun_again(desk: Desk, job: Job) -> None:
    """It is journalled and said, and the new process is told everything anew."""
    until(lambda: desk._is_ready, desk)
    desk.show(view(job), job.replay)
    first = desk._process.pid
    desk._process.kill()
    told = until(lambda: desk._process.pid != first and desk._is_ready, desk)
    assert told == [message("device-page-lost")]
    assert entries(job, "page_lost") == [{"exit_code": -signal.SIGKILL}]
    until(lambda: not desk._under_way and not desk._is_state_due, desk)


def test_page_that_dies_over_and_over_is_begun_ever_more_rarely(job: Job) -> None:
    """What cannot run does not fill the journal; what ran for long is begun again soon."""
    now_s = [100.0]
    with Desk(job, 1, Place(port=free_port()), clock=lambda: now_s[0]) as desk:
        waits = []
        for _ in range(8):
            desk._lose()
            desk._lose()
            begun_s = now_s[0]
            while not desk._is_open:
                now_s[0] += 0.5
                desk.read()
            waits.append(now_s[0] - begun_s)
        assert [round(each) for each in waits] == [2, 4, 8, 16, 32, 64, 64, 64]
        now_s[0] += 100
        desk._lose()
        assert desk._again_s == room.AGAIN_S
    assert len(entries(job, "page_lost")) == 9


def test_begun_again_page_knows_the_booked_pulls(tmp_path: Path) -> None:
    """Those that were sent before are sent again, from what is kept of them."""
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("A", "B", tape=TAPE.identity), TAPE)
        paper = Paper(job)
        for _ in range(3):
            paper.pull(1542, 1542)
        with Desk(job, 1, Place(port=free_port())) as desk:
            until(lambda: not desk._waiting, desk)
            desk._lose()
            desk._begin()
            sent = [each for each in desk._waiting if isinstance(each, Past)]
            assert [(each.first, len(each.cards)) for each in sent] == [(0, 3)]


def test_page_that_tells_rubbish_is_ended(desk: Desk, job: Job) -> None:
    """What strangers could reach is trusted with nothing but the few things it may say."""
    until(lambda: desk._is_ready, desk)
    first = desk._process.pid
    ours, theirs = multiprocessing.Pipe()
    desk._pipe.close()
    desk._pipe = ours
    theirs.send_bytes(b'{"kind": "knock", "number": 1, "name": "../x", "secret_sha256": ""}')
    told = until(lambda: desk._process.pid != first and desk._is_ready, desk)
    assert told == [message("device-page-lost")]
    assert job.replay.phones == {}


def test_page_ends_with_the_loop(job: Job) -> None:
    """Nothing goes on serving when the field loop is gone, by whatever way."""
    with Desk(job, 1, Place(port=free_port())) as opened:
        until(lambda: opened._is_ready, opened)
        process = opened._process
    assert process.poll() is not None
    opened.close()


def test_phones_are_journalled_and_remembered(desk: Desk, job: Job) -> None:
    """Pairing and revoking are entries; each pairing makes a new code; a resumed job knows both."""
    code, secret = desk._code, "0" * 64
    orders: list[News] = []
    desk._take(knock(desk, 1, name="Anna", secret=secret), orders)
    assert desk._code != code
    desk._take(knock(desk, 2, name="Bo", secret=secret), orders)
    anna, bo = desk._guests.known
    assert f"paired: Anna ({anna}), Bo ({bo})" in desk.words
    desk._take(Left(phone=bo), orders)
    desk._take(Left(phone=bo), orders)
    assert [(each["name"], each["phone"], each["secret_sha256"]) for each in paired(job)] == [
        ("Anna", anna, secret),
        ("Bo", bo, secret),
    ]
    assert entries(job, "phone_revoked") == [{"name": "Bo", "phone": bo, "by": bo}]
    with Journal.open(job.folder, read_only=True) as journal:
        assert replay(journal.entries()).phones == job.replay.phones
        assert list(job.replay.phones) == [anna]
    assert desk.read()[:3] == (
        message("device-phone-paired", name=f"Anna ({anna})"),
        message("device-phone-paired", name=f"Bo ({bo})"),
        message("device-phone-revoked", name=f"Bo ({bo})"),
    )


@pytest.mark.parametrize(("code", "name"), [("", "Anna"), ("other", "Bo"), ("", "ANNA")])
def test_knock_that_comes_too_late_is_not_admitted(
    desk: Desk, job: Job, code: str, name: str
) -> None:
    """One code lets one phone in, and no name is given twice, whatever the page knew by then."""
    first = knock(desk, 1)
    desk._take(first, [])
    made = knock(desk, 2, name=name)
    if code:
        made = made.model_copy(update={"code": first.code})
    desk._take(made, [])
    assert desk._waiting[-1] == Admitted(2, "")
    assert len(paired(job)) == 1


def test_phones_of_the_sitting_before_are_let_in_by_a_key(job: Job) -> None:
    """They are named on the screen; no key, no entrance; their orders count from then on."""
    with Desk(job, 1, Place(port=free_port())) as before:
        for number, name in enumerate(("Anna", "Bo"), 1):
            before._take(knock(before, number, name=name), [])
        assert not before.press("y"), "nobody waits, so the key is not for the phones"
        assert "y lets" not in before.words
        anna, bo = before._guests.inside
    with Desk(job, 2, Place(port=free_port())) as desk:
        assert "paired: none yet" in desk.words
        assert f"paired before: {anna.who}, {bo.who} - y lets them in" in desk.words
        assert not any(each.is_in for each in desk._entry.phones.values())
        assert desk.guest(anna.phone) is None
        desk.press("p")
        told = f"p: back; y: let in {anna.who}, {bo.who}; A: revoke {anna.who}; B: revoke {bo.who}"
        assert desk.invitation[1] == told
        assert desk.press("B")
        assert desk.press("y")
        assert desk.guest(anna.phone) == anna
        assert desk.guest(bo.phone) is None
        assert f"paired: {anna.who}" in desk.words
        assert "before" not in desk.words
        assert not desk.press("y")
        assert [each.is_in for each in desk._entry.phones.values()] == [True]
        assert desk.read()[:2] == (
            message("device-phone-revoked", name=bo.who),
            message("device-phone-let-in", name=anna.who),
        )
    assert entries(job, "phone_let_in") == [{"name": "Anna", "phone": anna.phone}]


def test_page_that_dies_keeps_its_phones(desk: Desk) -> None:
    """They were let in by the logger, who is still there: nothing is asked anew."""
    desk._take(knock(desk, 1), [])
    (anna,) = desk._guests.inside
    desk._lose()
    desk._begin()
    told = next(each for each in desk._waiting if isinstance(each, Admission))
    assert told.phones[anna.phone].is_in
    assert desk.guest(anna.phone) == anna


def test_pairing_in_a_strangers_job_lets_nobody_in(job: Job) -> None:
    """It was planted: its phone is not known, not asked about, and the screen says so."""
    job.note("phone_paired", {"name": "Eve", "secret_sha256": "0" * 64})
    job.note("phone_paired", {"name": "Eva", "phone": "k7f3", "secret_sha256": "0" * 64})
    with Desk(job, 1, Place(port=free_port())) as desk:
        assert desk._entry.phones == {}
        assert not desk.press("y")
        assert desk.guest("k7f3") is None
        (told,) = desk.read()
        assert told == message("device-phones-strange", count=2)
        assert "Ev" not in desk.words


def test_without_a_keyboard_phones_pair_again(job: Job) -> None:
    """Nobody could say yes: who was paired before is not waited for, and may have the name anew."""
    with Desk(job, 1, Place(port=free_port())) as before:
        before._take(knock(before, 1), [])
    with Desk(job, 2, Place(port=free_port()), has_keys=False) as desk:
        assert desk._entry.phones == {}
        assert desk.read() == (message("device-phones-strange", count=1),)
        desk._take(knock(desk, 1), [])
        assert [each.name for each in desk._guests.inside] == ["Anna"]
    assert len({each["phone"] for each in paired(job)}) == 2


def test_phone_that_got_no_answer_is_not_paired_for_ever(desk: Desk, job: Job) -> None:
    """The page does not know of that knock any more: its phone has no secret, and is struck."""
    desk._take(knock(desk, 7), [])
    until(lambda: not job.replay.phones, desk)
    (left,) = entries(job, "phone_revoked")
    assert left["by"] == left["phone"]  # type: ignore[index]


def test_texts_of_the_journal_are_plain_on_the_page(job: Job, desk: Desk) -> None:
    """Marks of direction and line breaks in names and remarks are shown by their numbers."""
    job.begin_line(settings("A\u202e", "B\n\u2066<b>", tape=TAPE.identity), TAPE)
    paper = Paper(job)
    paper.call(Kind.REMARK, text="wet\r\ndata: {}\u200b", outcome=Outcome.IGNORED)
    paper.pull(1542, 1542)
    desk.show(view(job, "\u202enotice"), job.replay)
    assert desk._state is not None
    for text in (desk._state.text, *desk._cards):
        assert text.isprintable()
    assert "A<U+202E> to B<U+000A><U+2066><b>" in desk._state.text
    assert "remark: wet<U+000D><U+000A>data: {}<U+200B>" in desk._cards[0]


def test_guessed_code_is_replaced_and_told(desk: Desk, job: Job) -> None:
    """The crew learns that somebody tries; the journal keeps it."""
    code = desk._code
    desk._take(Spent(), [])
    assert desk._code != code
    assert desk.read()[0] == message("device-page-code-guessed")
    assert entries(job, "phone_codes_guessed") == [{}]


def test_invitation_is_shown_by_key_and_revokes_by_letter(desk: Desk, job: Job) -> None:
    """Key p shows the code to photograph; a phone's letter ends its session, only meanwhile."""
    desk._take(knock(desk, 1, name="Anna"), [])
    (anna,) = desk._guests.known
    assert not desk.invitation
    assert not desk.press("A")
    assert not desk.press("1")
    assert desk.press("p")
    assert desk._code[:4] in desk.invitation[0]
    assert f"A: revoke Anna ({anna})" in desk.invitation[1]
    assert not desk.press("B")
    assert desk.press("A")
    assert job.replay.phones == {}
    assert entries(job, "phone_revoked") == [{"name": "Anna", "phone": anna, "by": "logger"}]
    assert "Anna" not in desk.invitation[1]
    assert desk.press("p")
    assert not desk.invitation


def test_invitation_goes_by_itself(job: Job) -> None:
    """A key pressed by mistake does not hide the panel for long."""
    now_s = [100.0]
    with Desk(job, 1, Place(port=free_port()), clock=lambda: now_s[0]) as desk:
        desk.press("p")
        assert desk.invitation
        now_s[0] += 61
        assert not desk.invitation
        assert desk.press("p")
        assert desk.invitation


def test_unencrypted_network_is_told(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """Served to others without a certificate, the crew is told so at the start."""
    assert not Place().is_open_to_others
    assert Place("10.42.0.1").is_open_to_others
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    listening.listen()
    monkeypatch.setattr(Place, "listen", lambda _: listening)
    with Desk(job, 1, Place("10.42.0.1")) as desk:
        assert desk.read() == (message("device-page-unencrypted"),)


def test_answer_goes_to_the_page(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """What became of an order is sent before any state that waits."""
    sent: list[ToPage] = []
    until(lambda: not desk._under_way and not desk._waiting, desk)
    pipe = SimpleNamespace(
        send_bytes=lambda data: sent.append(to_page(data)),
        close=int,
    )
    monkeypatch.setattr(desk, "_pipe", pipe)
    made = Ordered.model_validate_json(
        '{"phone": "k7f3", "order": {"id": "%s", "does": "first", "on": ""}}' % ("0" * 32)
    )
    desk.answer(made, OrderAnswer(made.order.id, is_taken=True, words="taken"))
    assert [type(each).__name__ for each in sent] == ["OrderTold"]


def test_booked_pulls_follow_the_job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each is sent once, in order; one that is opened again is taken back, and sent anew."""
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("A", "B", tape=TAPE.identity), TAPE)
        paper = Paper(job)
        for _ in range(10):
            paper.pull(1542, 1542)
        with Desk(job, 1, Place(port=free_port())) as desk:
            first = [each for each in desk._waiting if isinstance(each, Past)]
            assert [(each.first, len(each.cards)) for each in first] == [(0, 8), (8, 2)]
            desk._waiting.clear()
            desk.show(view(job), job.replay)
            assert not any(isinstance(each, Past) for each in desk._waiting)
            change = desk._past
            paper.say("scratch").read(1543)
            sent: list[Past] = []
            monkeypatch.setattr(desk, "_send", lambda: None)
            desk.show(view(job), job.replay)
            sent = [each for each in desk._waiting if isinstance(each, Past)]
            assert [(each.first, len(each.cards)) for each in sent] == [(9, 0), (9, 1)]
            assert len(desk._cards) == len(desk._booked) == 10
            assert '"check":"15.43"' in sent[1].cards[0]
            assert desk._past > change


def test_state_is_new_only_if_something_changed(desk: Desk, job: Job) -> None:
    """Eight views a second that say the same make one state; numbers only rise."""
    desk.show(view(job), job.replay)
    desk.show(view(job), job.replay)
    desk.show(replace(view(job), typed="15"), job.replay)
    assert desk._number == 1
    desk.show(view(job, "a notice"), job.replay)
    assert desk._number == 2


@pytest.mark.parametrize("host", ["", "0.0.0.0", "::"])  # noqa: S104 - refused
def test_page_is_never_served_everywhere(host: str) -> None:
    """All addresses of a computer are more networks than the crew's own."""
    with pytest.raises(ConfigError, match="at one address, not at all of them"):
        Place(host).listen()


def test_address_that_is_in_use_or_not_ours_is_an_error() -> None:
    """The error says what to give instead."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(ConfigError, match=r"cannot be served there.*--page-port"):
            Place(port=taken.getsockname()[1]).listen()
    with pytest.raises(ConfigError, match=r"cannot be served there.*--page-host"):
        Place("203.0.113.7").listen()


def test_broken_certificate_is_an_error(tmp_path: Path) -> None:
    """It is found before the crew starts, not by the first phone."""
    broken = tmp_path / "page.pem"
    broken.write_text("no certificate")
    with pytest.raises(ConfigError, match="no certificate and key can be read"):
        Place(certificate=broken, key=broken).listen()


def test_missing_packages_are_named(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """The extra is optional; who wants the page is told how to get it."""
    find = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "uvicorn" else find(name)
    )
    with pytest.raises(ConfigError, match=r"uvicorn is not installed.*calllog\[phone\]"):
        Desk(job, 1, Place())


def test_process_that_does_not_start_is_an_error(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """A page that never comes up is told at once, and leaves nothing behind."""
    monkeypatch.setattr(room, "SERVING", "this")
    monkeypatch.setattr(room, "READY_S", 3.0)
    with pytest.raises(ConfigError, match="the page's process did not start"):
        Desk(job, 1, Place(port=free_port()))


def test_page_is_served_only_where_it_is_asked_for() -> None:
    """Without a word none, by itself on this computer alone, a certificate with its key."""
    no: Path | None = None
    assert page_place(None, 8421, no, no, is_wanted=False) is None
    assert page_place(None, 8421, no, no, is_wanted=True) == Place("127.0.0.1", 8421)
    assert page_place("10.42.0.1", 1234, no, no, is_wanted=False) == Place("10.42.0.1", 1234)
    secure = page_place(None, 8421, Path("c"), Path("k"), is_wanted=False)
    assert secure is not None
    assert secure.origin == "https://127.0.0.1:8421"
    assert Place("::1", 80).origin == "http://[::1]:80"
    with pytest.raises(ConfigError, match="a certificate goes with its key"):
        page_place(None, 8421, Path("c"), None, is_wanted=True)


def test_invitation_fits_a_terminal() -> None:
    """The code to be photographed has room in 80 columns and 24 rows, with its words above."""
    drawn = rows("http://192.168.100.100:8421/#12345678", "http://x", "1234 5678", ("Anna",))
    assert drawn[0] == "http://x  code 1234 5678"
    assert drawn[1] == "p: back; A: revoke Anna"
    assert len(drawn) <= 24
    assert {len(row) for row in drawn[2:]} == {len(drawn[2])}
    assert set("".join(drawn[2:])) == set(" ▀▄█")


def test_page_is_light() -> None:
    """Its process loads neither numpy nor an engine: it is to leave the memory to the listener."""
    code = "import sys, calllog.phone.serving; print('numpy' in sys.modules, 'rich' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False False\n"


def test_page_shows_a_stop_and_nothing_new_while_the_disk_fails(job: Job, desk: Desk) -> None:
    """What is not on disk is not on the page; what was shown stays, with nothing to choose."""
    paper = Paper(job)
    paper.read(1542)
    desk.show(view(job), job.replay)
    before = desk._shown
    assert before is not None
    paper.say("switch").read(1542)
    stopped = replace(
        view(job, "1 call is not on disk"), sign=Sign.STOP, verdict="1 call is not on disk"
    )
    desk.withhold(stopped)
    assert desk._shown is not None
    held, past = desk._shown
    assert (held.sign, held.verdict, held.notices) == (
        "STOP",
        "1 call is not on disk",
        ("1 call is not on disk",),
    )
    assert (held.calls, held.booked, past) == (before[0].calls, 0, before[1])
    assert (held.choices, held.values, held.scratch, held.can_repeat) == ((), (), "", False)
    assert desk._state is not None
    assert desk._state.number == 2
    desk.show(view(job), job.replay)
    assert desk._shown[0].booked == 1


def test_job_with_a_changed_sound_plays_none(tmp_path: Path) -> None:
    """What was put in a sound's place is never played as genuine; the screen says so."""
    folder = Path(shutil.copytree(GOLDEN_JOB, tmp_path / "job"))
    for changed in (False, True):
        if changed:
            (folder / "audio" / "000001.flac").write_bytes(b"another sound")
        with Job.open_existing(folder) as opened, Desk(opened, 1, Place(port=free_port())) as desk:
            assert desk._may_hear is not changed
            assert (message("device-sound-changed") in desk.read()) is changed
