"""The page's process: never waited for, begun again, held to the form of what it may say."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from calllog.errors import ConfigError
from calllog.phone import page_process as room
from calllog.phone.desk import Desk
from calllog.phone.page_process import (
    AGAIN_S,
    AT_ONCE,
    BEAT_S,
    MOST_AGAIN_S,
    UNDER_WAY,
    Child,
    PageProcess,
    begin_page,
)
from calllog.phone.place import Place
from calllog.server.messages import Beat, Past, PhoneState, Spent, ToPage
from calllog.session import Job
from tests.fieldjob import settings
from tests.phone import PaperPage, until
from tests.tapes import certificate
from tests.virtual import free_port


@dataclass(eq=False)
class Fed:
    """A page's process on paper, and what feeds it."""

    now_s: float = 100.0
    page: PaperPage = field(default_factory=PaperPage)
    anew: list[ToPage] = field(default_factory=list)
    lost: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin it."""
        self.process = PageProcess(
            lambda: ((), ()),
            lambda: self.anew,
            lambda: None,
            self.lost.append,
            begin=self.page.begin,
            clock=lambda: self.now_s,
        )
        self.process.begin()

    def turn(self) -> list[ToPage]:
        """Let the loop turn once; give what the page was told."""
        self.process.read()
        return self.page.take()


@pytest.fixture
def fed() -> Iterator[Fed]:
    """Make one."""
    made = Fed()
    yield made
    made.process.close()


def test_page_that_takes_nothing_is_never_waited_for(fed: Fed) -> None:
    """What goes to it is bounded; of the states that it missed it is shown the newest alone."""
    for number in range(1, 501):
        fed.process.show(PhoneState(1, number, f"{number} {'x' * 2000}"))
        fed.process.read()
    came = fed.page.take()
    assert sum(len(each.text) for each in came if isinstance(each, PhoneState)) <= UNDER_WAY
    assert len(came) < 500
    fed.turn()
    fed.turn()
    assert fed.page.of(PhoneState)[-1].number == 500
    assert len(fed.page.of(PhoneState)) <= len(came) + 2


def test_what_must_arrive_goes_in_order_before_the_state(fed: Fed) -> None:
    """Such as answers and booked pulls."""
    messages = [Past(number, ("x" * 20_000,)) for number in range(8)]
    fed.process.show(PhoneState(1, 1, "x" * 60_000))
    fed.process.tell(*messages)
    fed.process.show(PhoneState(1, 2, "newest"))
    while fed.turn():
        pass
    assert fed.page.told[1:] == [*messages, PhoneState(1, 2, "newest")]


def test_page_hears_a_beat_while_there_is_nothing_else(fed: Fed) -> None:
    """So that it knows that the loop is at work."""
    assert fed.turn() == []
    fed.now_s += BEAT_S
    assert fed.turn() == [Beat()]
    assert fed.turn() == []


def test_page_that_dies_is_begun_again_and_told_everything(fed: Fed) -> None:
    """What waited for the old one is void; the newest state is shown again."""
    fed.process.show(PhoneState(1, 1, "first"))
    fed.turn()
    fed.page.kill()
    fed.process.tell(Past(0, ("for the old one",)))
    fed.process.read()
    assert fed.lost == [-9]
    assert not fed.process.is_ready
    fed.anew = [Past(0, ("everything",))]
    fed.now_s += 2 * AGAIN_S + 0.1
    fed.turn()
    fed.turn()
    assert fed.page.begun == 2
    assert fed.page.told == [Past(0, ("everything",)), PhoneState(1, 1, "first")]


def test_page_that_dies_over_and_over_is_begun_ever_more_rarely(fed: Fed) -> None:
    """What cannot run does not fill the journal; what ran for long is begun again soon."""
    waits = []
    for died in range(10):
        if died == 9:
            fed.now_s += MOST_AGAIN_S + 1
        fed.page.kill()
        begun_s, begun = fed.now_s, fed.page.begun
        while fed.page.begun == begun:
            fed.process.read()
            fed.now_s += 0.5
        waits.append(round(fed.now_s - 0.5 - begun_s))
        fed.process.read()
    assert waits == [2, 4, 8, 16, 32, 64, 64, 64, 64, 0]
    assert len(fed.lost) == 10


@pytest.mark.parametrize(
    "rubbish",
    [
        b'{"kind": "knock", "number": 1, "name": "../x", "secret_sha256": ""}',
        b"no JSON",
        b"x" * 10_000,
    ],
)
def test_page_that_tells_rubbish_is_ended(fed: Fed, rubbish: bytes) -> None:
    """What strangers could reach is trusted with nothing but the few things it may say."""
    fed.page.tell_bytes(rubbish)
    assert fed.process.read() == []
    assert len(fed.lost) == 1


def test_page_that_tells_much_holds_nobody_up(fed: Fed) -> None:
    """A bounded number of its words is taken in one turn, all of them in the end."""
    for _ in range(3 * AT_ONCE):
        fed.page.tell(Spent())
    told = [len(fed.process.read()) for _ in range(4)]
    assert max(told) <= AT_ONCE
    assert sum(told) == 3 * AT_ONCE


# The process itself


@dataclass(eq=False)
class Begun:
    """Begins the page's process as it is in the field, and knows it."""

    children: list[Child] = field(default_factory=list)

    def begin(self, words: Sequence[str], handed: Sequence[int]) -> Child:
        """Begin it."""
        self.children.append(begin_page(words, handed))
        return self.children[-1]


@pytest.mark.slow
def test_real_page_is_begun_again_and_ends_with_the_loop(tmp_path: Path) -> None:
    """Killed, it is served anew behind the same address; nothing goes on serving afterwards."""
    tape, begun = certificate(identity="T-1"), Begun()
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("A", "B", tape=tape.identity), tape)
        place = Place(port=free_port())
        with Desk(job, 1, place, key=bytes(32), begin=begun.begin) as desk:
            assert desk.is_served
            os.kill(begun.children[0].pid, signal.SIGKILL)
            until(lambda: len(begun.children) == 2 and desk.is_served, desk)
        assert [each.wait(0.0) for each in begun.children] == [-signal.SIGKILL, 0]
        desk.close()


@pytest.mark.slow
def test_process_that_does_not_start_is_an_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page that never comes up is told at once, and leaves its address free."""
    monkeypatch.setattr(room, "SERVING", "this")
    monkeypatch.setattr(room, "READY_S", 3.0)
    tape, place = certificate(identity="T-1"), Place(port=free_port())
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("A", "B", tape=tape.identity), tape)
        with pytest.raises(ConfigError, match="the page's process did not start"):
            Desk(job, 1, place, key=bytes(32))
    place.listen().close()


@pytest.mark.slow
def test_page_is_light() -> None:
    """It loads no numpy, engine or journal: memory is the listener's, and the job the loop's."""
    code = (
        "import sys, calllog.server.serving;"
        "print('numpy' in sys.modules, 'rich' in sys.modules, 'calllog.journal' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False False False\n"
