"""The gate: connections are counted and bounded from the moment when they are accepted."""

from __future__ import annotations

import asyncio
import shutil
import socket
import ssl
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from calllog.phone.desk import Desk
from calllog.phone.place import Place
from calllog.server import gate
from calllog.server.gate import HANDSHAKE_S, MOST, Gate, GateLoop
from calllog.session import Job
from tests.fieldjob import settings
from tests.phone import until
from tests.tapes import certificate
from tests.virtual import free_port

CROWD = """
import socket, sys, time
port, count, most, wait_s = *map(int, sys.argv[1:4]), float(sys.argv[4])
made = [socket.create_connection(("127.0.0.1", port)) for _ in range(count)]
def is_open(each):
    try:
        return each.recv(1, socket.MSG_DONTWAIT) != b""
    except BlockingIOError:
        return True
    except ConnectionError:
        return False
until_s = time.monotonic() + 20
while (at_once := sum(map(is_open, made))) > most and time.monotonic() < until_s:
    time.sleep(0.02)  # a busy computer hangs up on the others later
print(at_once, flush=True)
time.sleep(wait_s)
print(sum(map(is_open, made)), flush=True)
"""
"""Connects, says nothing, and tells how many connections are left open at once, and later."""


def crowd(port: int, count: int, most: int, wait_s: float) -> subprocess.Popen[str]:
    """Let a process of its own connect and say nothing, until so many at most are left open."""
    command = [sys.executable, "-c", CROWD, *map(str, (port, count, most, wait_s))]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def listening() -> tuple[Gate, int]:
    """Make a gate on this computer."""
    made = socket.socket()
    made.bind(("127.0.0.1", 0))
    made.listen(64)
    port = int(made.getsockname()[1])
    return Gate(made), port


async def served(guarded: Gate, port: int, most: int, wait_s: float, *, is_tls: bool) -> str:
    """Serve nothing behind a gate; tell how many of each of two crowds are open, and later."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER) if is_tls else None
    loop = asyncio.get_running_loop()
    server = await loop.create_server(asyncio.Protocol, sock=guarded, ssl=context)
    told = []
    for _ in range(2):
        with crowd(port, 12, most, wait_s) as child:
            told += (await asyncio.to_thread(child.communicate))[0].split()
        await asyncio.sleep(0.1)
        assert not guarded.open_from
    server.close()
    return " ".join(told)


@pytest.mark.parametrize("is_tls", [True, False])
@pytest.mark.parametrize(("own", "most"), [((), 3), (("127.0.0.1",), 5)])
def test_silent_connections_are_few_of_one_address_and_in_all(
    monkeypatch: pytest.MonkeyPatch, own: tuple[str, ...], most: int, *, is_tls: bool
) -> None:
    """Who sends not even the beginning of a handshake is counted; later ones get in again."""
    monkeypatch.setattr(gate, "OWN", own)
    monkeypatch.setattr(gate, "FROM_ONE", 3)
    monkeypatch.setattr(gate, "MOST", 5)
    monkeypatch.setattr(gate, "HANDSHAKE_S", 1.0)
    guarded, port = listening()
    with closing(guarded), asyncio.Runner(loop_factory=GateLoop) as runner:
        told = runner.run(served(guarded, port, most, 2.0, is_tls=is_tls))
    later = 0 if is_tls else most  # no handshake that never comes is waited for
    assert told == f"{most} {later} {most} {later}"


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("openssl") is None, reason="needs the Debian package openssl")
def test_crowd_that_never_begins_tls_is_bounded_and_hung_up_on(tmp_path: Path) -> None:
    """As it is served in the field: no more than 200 at once, none for longer than 5 seconds."""
    key, paper = tmp_path / "key.pem", tmp_path / "page.pem"
    command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-subj", "/CN=x"]
    made = [*command, "-keyout", str(key), "-out", str(paper)]
    subprocess.run(made, check=True, capture_output=True)
    tape = certificate(identity="T-1")
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("A", "B", tape=tape.identity), tape)
        place = Place(port=free_port(), certificate=paper, key=key)
        wait_s = HANDSHAKE_S + 2
        with Desk(job, 1, place) as desk, crowd(place.port, MOST + 60, MOST, wait_s) as child:
            until(lambda: child.poll() is not None, desk)
            assert child.stdout is not None
            at_once, later = map(int, child.stdout.read().split())
    assert 0 < at_once <= MOST
    assert later == 0
