"""Keys from real pseudo-terminals: sequences whole and torn, put back, gone."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import termios
import time
import tty
from collections.abc import Iterator

import pytest

from calllog.errors import KeypadError
from calllog.keypad import KeyedEntry, Link, press
from calllog.keypad import terminal as module
from calllog.keypad.terminal import TerminalKeys
from calllog.values import Expectation

SOON_S = 0.02
"""How long to wait for what must not come."""
CHILD = """
import fcntl, sys, termios
from calllog.keypad.terminal import TerminalKeys
fcntl.ioctl(0, termios.TIOCSCTTY, 0)
with TerminalKeys() as keys:
    print("open", flush=True)
    print(keys.read(20.0), flush=True)
    {then}
"""


@pytest.fixture
def ends() -> Iterator[tuple[int, int]]:
    """Open a pseudo-terminal: the end that types and the end that calllog has."""
    typist, terminal = os.openpty()
    yield typist, terminal
    for fd in (typist, terminal):
        try:
            os.close(fd)
        except OSError:
            continue  # the test closed it


def drain(keys: TerminalKeys, count: int) -> list[str]:
    """Read so many keys, and see that nothing comes after them."""
    found = []
    for _ in range(count):
        key = keys.read(5.0)
        assert isinstance(key, str)
        found.append(key)
    assert keys.read(SOON_S) is None
    return found


@pytest.mark.parametrize("key", list("0123456789.+-*/"))
def test_keys_arrive_at_once_and_without_echo(ends: tuple[int, int], key: str) -> None:
    """A key needs no Enter, and nothing is shown for it."""
    typist, terminal = ends
    with TerminalKeys(terminal) as keys:
        os.write(typist, key.encode())
        assert drain(keys, 1) == [key]
        assert not select.select([typist], [], [], SOON_S)[0]


def test_enter_and_backspace_are_understood(ends: tuple[int, int]) -> None:
    """What the terminal sends for Enter and backspace is what the key language takes for them."""
    typist, terminal = ends
    with TerminalKeys(terminal) as keys:
        os.write(typist, b"15.43\x7f2\r")
        typed, result = "", None
        for key in drain(keys, 8):
            typed, result = press(typed, key, Expectation.READING, 10000)
        assert isinstance(result, KeyedEntry)
        assert result.value == 1542


APPLICATION = {
    **dict(zip("pqrstuvwxy", "0123456789", strict=True)),
    **dict(zip("jklmnoM", "*+.-./\n", strict=True)),
}


@pytest.mark.parametrize(("final", "key"), APPLICATION.items())
def test_keypad_in_application_mode_is_translated(
    ends: tuple[int, int], final: str, key: str
) -> None:
    """SS3 sequences are keys, in one piece or torn between any two bytes."""
    typist, terminal = ends
    sequence = f"\x1bO{final}".encode()
    with TerminalKeys(terminal) as keys:
        for cut in range(len(sequence)):
            os.write(typist, sequence[:cut])
            assert drain(keys, 0) == []
            os.write(typist, sequence[cut:])
            assert drain(keys, 1) == [key]


@pytest.mark.parametrize(
    "sequence",
    [
        "\x1b[A",  # arrow: the 8 without Num Lock
        "\x1b[3~",  # delete: the point without Num Lock
        "\x1b[15~",  # F5
        "\x1b[1;5C",  # arrow with control
        "\x1bOP",  # PF1
        "\x1bO5P",  # the same with control
        "\x1b[[A",  # F1 of the Linux console
        "\x1b5",  # Alt with a digit
        "\x1b\x1b",  # escape twice counts once each
        "é",
    ],
)
def test_other_key_is_one_key_and_spoils_the_entry(ends: tuple[int, int], sequence: str) -> None:
    """No byte of another key passes for a digit, and what was half typed cannot be entered."""
    typist, terminal = ends
    with TerminalKeys(terminal) as keys:
        os.write(typist, f"1{sequence}\x1bOu\r".encode())
        typed, results = "", []
        others = 2 if sequence == "\x1b\x1b" else 1
        for key in drain(keys, 1 + others + 2):
            typed, result = press(typed, key, Expectation.ANY, 10000)
            results.append(result)
        assert not any(isinstance(each, KeyedEntry) for each in results)


@pytest.mark.parametrize(
    "reply", ["\x1b[?62;22c", "\x1b[<0;10;5M", "\x1b]11;rgb:1515/1515/1515\x1b\\", "\x1b]0;15\x07"]
)
def test_reply_of_the_terminal_is_no_key(ends: tuple[int, int], reply: str) -> None:
    """What a terminal says of itself is dropped whole, its digits too."""
    typist, terminal = ends
    with TerminalKeys(terminal) as keys:
        os.write(typist, f"1{reply[:4]}".encode())
        assert drain(keys, 1) == ["1"]
        os.write(typist, f"{reply[4:]}5".encode())
        assert drain(keys, 1) == ["5"]


def test_sequence_that_breaks_off_ends_after_a_while(
    ends: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Escape alone is a key of its own; half a sequence never holds later keys back for long."""
    monkeypatch.setattr(module, "SEQUENCE_S", 0.4)
    typist, terminal = ends
    with TerminalKeys(terminal) as keys:
        os.write(typist, b"\x1b")
        assert keys.read(SOON_S) is None
        assert keys.read(5.0) == "?"
        os.write(typist, b"\x1b[3")
        assert keys.read(SOON_S) is None
        assert [keys.read(5.0) for _ in range(3)] == ["?", "[", "3"]
        os.write(typist, b"15")
        assert drain(keys, 2) == ["1", "5"]


def test_no_key_is_none(ends: tuple[int, int]) -> None:
    """Nothing typed within the time is told apart from a terminal that is gone."""
    with TerminalKeys(ends[1]) as keys:
        assert keys.name == "terminal"
        assert keys.read(0.0) is None
        assert keys.read(SOON_S) is None


def test_terminal_that_is_gone_is_told_once(
    ends: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the other end hangs up that is said once, later reads wait, and closing is no error."""
    typist, terminal = ends
    with TerminalKeys(terminal) as keys:
        os.write(typist, b"\x1b[")
        assert drain(keys, 0) == []
        os.close(typist)
        assert keys.read(5.0) is Link.LOST
        waits: list[float] = []
        monkeypatch.setattr(time, "sleep", waits.append)
        assert keys.read(60.0) is None
        assert waits == [pytest.approx(60.0, abs=30.0)]


def test_terminal_is_put_back(ends: tuple[int, int]) -> None:
    """After an exception the terminal is as it was, and keys not read do not reach the shell."""
    typist, terminal = ends
    before = termios.tcgetattr(terminal)
    message = "as a session may fail"

    def fail() -> None:
        with TerminalKeys(terminal):
            assert not termios.tcgetattr(terminal)[3] & (termios.ECHO | termios.ICANON)
            os.write(typist, b"15.42\r")
            assert select.select([terminal], [], [], 5.0)[0]
            raise RuntimeError(message)

    with pytest.raises(RuntimeError, match=message):
        fail()
    assert termios.tcgetattr(terminal) == before
    assert not select.select([terminal], [], [], SOON_S)[0]


def test_closed_twice_and_read_after(ends: tuple[int, int]) -> None:
    """Closing twice does no harm; reading afterwards is an error that says what to do."""
    keys = TerminalKeys(ends[1])
    keys.close()
    keys.close()
    with pytest.raises(KeypadError, match="the terminal was put back; open it again"):
        keys.read(0.0)


def test_terminal_is_put_back_if_opening_is_interrupted(
    ends: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An interrupt while the terminal is being set leaves it as it was."""
    before = termios.tcgetattr(ends[1])
    setcbreak = tty.setcbreak

    def interrupted(fd: int) -> None:
        setcbreak(fd)
        raise KeyboardInterrupt

    monkeypatch.setattr(tty, "setcbreak", interrupted)
    with pytest.raises(KeyboardInterrupt):
        TerminalKeys(ends[1])
    assert termios.tcgetattr(ends[1]) == before


def test_what_is_no_terminal_is_refused() -> None:
    """Standard input from a file or pipe is no keypad, and the error says what to do."""
    reader, writer = os.pipe()
    with pytest.raises(KeypadError) as caught:
        TerminalKeys(reader)
    os.close(reader)
    os.close(writer)
    assert str(caught.value) == (
        "there is no terminal to type into;"
        " start calllog in a terminal, or name a keypad of its own"
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    ("typed", "then", "code"),
    [(b"5", "sys.exit(7)", 7), (b"\x03", "", -signal.SIGINT), (b"5", "1 / 0", 1)],
)
def test_program_leaves_its_terminal_as_it_was(
    ends: tuple[int, int], typed: bytes, then: str, code: int
) -> None:
    """Ended, interrupted from the keyboard or failed: the terminal echoes lines again."""
    typist, terminal = ends
    before = termios.tcgetattr(terminal)
    with subprocess.Popen(
        [sys.executable, "-c", CHILD.format(then=then)],
        stdin=terminal,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
        text=True,
    ) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "open\n"
        assert termios.tcgetattr(terminal) != before
        os.write(typist, typed)
        assert program.wait(20.0) == code
    assert termios.tcgetattr(terminal) == before
