"""A keypad of one person's own, with input devices that are not real: events, loss, return."""

from __future__ import annotations

import errno
import os
import select
import sys
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from types import SimpleNamespace

import pytest

from calllog.errors import KeypadError
from calllog.keypad import KeyedEntry, Link, press
from calllog.keypad import device as module
from calllog.keypad.device import Attached, DeviceKeys, find_keypads, open_keypad
from calllog.values import Expectation

CODES = {
    **{f"KEY_{digit}": 1 + (digit or 10) for digit in range(10)},
    **{
        f"KEY_KP{digit}": code
        for digit, code in enumerate((82, 79, 80, 81, 75, 76, 77, 71, 72, 73))
    },
    "KEY_MINUS": 12,
    "KEY_EQUAL": 13,
    "KEY_BACKSPACE": 14,
    "KEY_ENTER": 28,
    "KEY_COMMA": 51,
    "KEY_DOT": 52,
    "KEY_SLASH": 53,
    "KEY_KPASTERISK": 55,
    "KEY_NUMLOCK": 69,
    "KEY_KPMINUS": 74,
    "KEY_KPPLUS": 78,
    "KEY_KPDOT": 83,
    "KEY_KPENTER": 96,
    "KEY_KPSLASH": 98,
    "KEY_UP": 103,
    "KEY_KPCOMMA": 121,
    "KEY_LEFTSHIFT": 42,
    "KEY_RIGHTSHIFT": 54,
    "KEY_A": 30,
    "EV_SYN": 0,
    "EV_KEY": 1,
    "EV_MSC": 4,
    "SYN_REPORT": 0,
    "SYN_DROPPED": 3,
}
"""Numbers of the kernel's linux/input-event-codes.h."""
KEYS = tuple(code for name, code in CODES.items() if name.startswith("KEY_"))


@dataclass
class Plugged:
    """A device as the system has it, plugged in or not."""

    path: str
    name: str
    phys: str
    uniq: str = ""
    keys: tuple[int, ...] = KEYS
    is_plugged: bool = True
    holder: object = None
    down: list[int] = field(default_factory=list)
    events: deque[tuple[int, int, int]] = field(default_factory=deque)
    wake: tuple[int, int] = field(default_factory=os.pipe)

    def send(self, *events: tuple[str, str, int]) -> None:
        """Put events where a reader finds them."""
        for kind, code, value in events:
            self.events.append((CODES[kind], CODES[code], value))
            os.write(self.wake[1], b"x")

    def tap(self, *names: str) -> None:
        """Press and release keys one after another, as the kernel reports it."""
        for name in names:
            for value in (1, 0):
                self.send(("EV_MSC", "SYN_DROPPED", 458), ("EV_KEY", name, value))
                self.send(("EV_SYN", "SYN_REPORT", 0))

    def unplug(self) -> None:
        """Take it away, whoever reads it."""
        self.is_plugged, self.holder = False, None
        os.write(self.wake[1], b"x")


class System:
    """The input devices of a machine, with what evdev offers of them."""

    def __init__(self) -> None:
        self.plugged: list[Plugged] = []
        self.denied: set[str] = set()
        self.opened: list[FakeDevice] = []
        self.ecodes = SimpleNamespace(**CODES)

    def plug(self, path: str, name: str, phys: str = "", **more: object) -> Plugged:
        """Plug a device in."""
        self.plugged.append(Plugged(path, name, phys, **more))  # type: ignore[arg-type]
        return self.plugged[-1]

    def list_devices(self) -> list[str]:
        """List the paths of the devices that may be read."""
        return [each.path for each in self.plugged if each.is_plugged]

    def InputDevice(self, path: str) -> FakeDevice:  # noqa: N802 - evdev's name
        """Open a device."""
        if path in self.denied:
            raise PermissionError(errno.EACCES, "Permission denied")
        for each in self.plugged:
            if each.path == path and each.is_plugged:
                self.opened.append(FakeDevice(each))
                return self.opened[-1]
        raise FileNotFoundError(errno.ENOENT, "No such file or directory")


class FakeDevice:
    """An open device: evdev.InputDevice as far as calllog uses it."""

    def __init__(self, plugged: Plugged) -> None:
        self._plugged = plugged
        self.path, self.name = plugged.path, plugged.name
        self.phys, self.uniq = plugged.phys, plugged.uniq
        self.fd = plugged.wake[0]
        self.is_open = True

    def _check(self) -> None:
        if not self._plugged.is_plugged:
            raise OSError(errno.ENODEV, "No such device")

    def capabilities(self) -> dict[int, list[int]]:
        """Tell the key codes that it has."""
        return {CODES["EV_SYN"]: [0], CODES["EV_KEY"]: list(self._plugged.keys)}

    def active_keys(self) -> list[int]:
        """Tell the keys held down."""
        self._check()
        return list(self._plugged.down)

    def grab(self) -> None:
        """Take it alone."""
        if self._plugged.holder is not None:
            raise OSError(errno.EBUSY, "Device or resource busy")
        self._plugged.holder = self

    def ungrab(self) -> None:
        """Let it go."""
        self._check()
        if self._plugged.holder is not self:
            raise OSError(errno.EINVAL, "Invalid argument")
        self._plugged.holder = None

    def read_one(self) -> SimpleNamespace | None:
        """Give the next event that has arrived."""
        self._check()
        if not self._plugged.events:
            while select.select([self.fd], [], [], 0)[0]:
                os.read(self.fd, 4096)
            return None
        kind, code, value = self._plugged.events.popleft()
        return SimpleNamespace(type=kind, code=code, value=value)

    def close(self) -> None:
        """Close it; the kernel lets go of what was taken."""
        self.is_open = False
        if self._plugged.holder is self:
            self._plugged.holder = None


@pytest.fixture
def system(monkeypatch: pytest.MonkeyPatch) -> Iterator[System]:
    """Put a machine's input devices in place of evdev, looked for without delay."""
    machine = System()
    monkeypatch.setitem(sys.modules, "evdev", machine)
    monkeypatch.setattr(module, "LOOK_S", 0.01)
    yield machine
    for each in machine.plugged:
        for fd in each.wake:
            os.close(fd)


def drain(keys: DeviceKeys) -> str:
    """Read until nothing comes."""
    found = ""
    while isinstance(key := keys.read(0.0), str):
        found += key
    assert key is None
    return found


def test_keypad_and_main_row_give_the_same_characters(system: System) -> None:
    """Each key of a keypad, and its twin in the main row, is the character that it shows."""
    plugged = system.plug("/dev/input/event7", "Number Pad", "usb-1/input0")
    with open_keypad("number") as keys:
        plugged.tap(*(f"KEY_KP{digit}" for digit in range(10)))
        plugged.tap(*(f"KEY_{digit}" for digit in range(10)))
        plugged.tap("KEY_KPDOT", "KEY_KPCOMMA", "KEY_DOT", "KEY_COMMA", "KEY_KPPLUS", "KEY_KPMINUS")
        plugged.tap("KEY_MINUS", "KEY_KPASTERISK", "KEY_KPSLASH", "KEY_SLASH", "KEY_BACKSPACE")
        plugged.tap("KEY_KPENTER", "KEY_ENTER", "KEY_NUMLOCK")
        assert drain(keys) == "01234567890123456789....+--*//\b\n\n"


def test_keys_wake_a_reader_that_waits(system: System) -> None:
    """A reading typed while somebody waits comes out as that reading."""
    plugged = system.plug("/dev/input/event7", "Number Pad")
    with open_keypad("/dev/input/event7") as keys:
        plugged.tap("KEY_KP1", "KEY_KP5", "KEY_KPDOT", "KEY_KP4", "KEY_KP2", "KEY_KPENTER")
        typed, result = "", None
        for _ in range(6):
            key = keys.read(5.0)
            assert isinstance(key, str)
            typed, result = press(typed, key, Expectation.READING, 10000)
        assert isinstance(result, KeyedEntry)
        assert result.value == 1542
        assert keys.read(0.01) is None


def test_key_held_down_is_one_key(system: System) -> None:
    """The kernel's repetitions of a key that is held are not typed."""
    plugged = system.plug("/dev/input/event7", "Number Pad")
    with open_keypad("number pad") as keys:
        plugged.send(("EV_KEY", "KEY_KP5", 1), *[("EV_KEY", "KEY_KP5", 2)] * 9)
        plugged.send(("EV_KEY", "KEY_KP5", 0))
        assert drain(keys) == "5"


def test_shift_is_not_overlooked(system: System) -> None:
    """Keypads that send shift with 8 for star mean star; other keys with shift are no digits."""
    plugged = system.plug("/dev/input/event7", "Number Pad")
    with open_keypad("number pad") as keys:
        plugged.send(("EV_KEY", "KEY_LEFTSHIFT", 1))
        plugged.tap("KEY_8", "KEY_EQUAL", "KEY_5")
        plugged.send(("EV_KEY", "KEY_LEFTSHIFT", 2), ("EV_KEY", "KEY_LEFTSHIFT", 0))
        plugged.tap("KEY_8", "KEY_A", "KEY_UP")
        assert drain(keys) == "*+?8??"


def test_lost_events_spoil_the_entry(system: System) -> None:
    """Where the kernel dropped events a key may be missing, so the entry is not taken."""
    plugged = system.plug("/dev/input/event7", "Number Pad")
    with open_keypad("number pad") as keys:
        plugged.tap("KEY_KP1")
        plugged.send(("EV_SYN", "SYN_DROPPED", 0), ("EV_KEY", "KEY_KP3", 1))
        plugged.down = [CODES["KEY_RIGHTSHIFT"]]
        plugged.send(("EV_SYN", "SYN_REPORT", 0))
        plugged.tap("KEY_8")
        plugged.send(("EV_KEY", "KEY_RIGHTSHIFT", 0))
        plugged.tap("KEY_KPENTER")
        assert drain(keys) == "1?*\n"


def test_unplugged_keypad_is_told_and_taken_again(system: System) -> None:
    """Loss and return are each told once; it comes back on another path, grabbed again."""
    plugged = system.plug("/dev/input/event7", "Number Pad", "usb-1/input0")
    with open_keypad("number pad") as keys:
        plugged.tap("KEY_KP1")
        plugged.unplug()
        assert keys.read(5.0) is Link.LOST
        assert keys.read(0.03) is None
        again = system.plug("/dev/input/event9", "Number Pad", "usb-1/input0")
        again.tap("KEY_KP5")
        assert keys.read(5.0) is Link.RETURNED
        assert again.holder is not None
        assert drain(keys) == "5"
    assert again.holder is None
    assert not any(each.is_open for each in system.opened)


def test_keypads_of_one_make_do_not_change_hands(system: System) -> None:
    """Another keypad of the same name, in another socket, is not the one that was lost."""
    rear = system.plug("/dev/input/event7", "Number Pad", "usb-1/input0")
    head = system.plug("/dev/input/event8", "Number Pad", "usb-2/input0")
    with open_keypad("/dev/input/event7") as keys:
        rear.unplug()
        assert keys.read(5.0) is Link.LOST
        assert keys.read(0.03) is None
        assert head.holder is None
        rear.is_plugged = True
        rear.holder = "another program"
        assert keys.read(0.03) is None
        rear.holder = None
        assert keys.read(5.0) is Link.RETURNED


def test_name_that_is_not_unique_lists_the_candidates(system: System) -> None:
    """Two keypads of one name are told apart by path; the error lists both with their sockets."""
    system.plug("/dev/input/event8", "Number Pad", "usb-2/input0")
    system.plug("/dev/input/event7", "Number Pad", "")
    system.plug("/dev/input/event3", "Mouse", keys=(272, 273))
    with pytest.raises(KeypadError) as caught:
        open_keypad("pad")
    assert str(caught.value) == (
        "pad: more than one keypad has this name: /dev/input/event7 (Number Pad, no socket named),"
        " /dev/input/event8 (Number Pad, usb-2/input0); give the path of one"
    )
    assert not any(each.is_open for each in system.opened)


def test_exact_name_goes_before_a_part_of_one(system: System) -> None:
    """A name that is also part of another's is still unique."""
    system.plug("/dev/input/event7", "Pad", "usb-1/input0")
    system.plug("/dev/input/event8", "Pad Two", "usb-2/input0")
    with open_keypad("PAD") as keys:
        assert keys.name == "Pad usb-1/input0"
    with open_keypad("two") as keys:
        assert keys.name == "Pad Two usb-2/input0"


def test_keypads_are_found_by_their_keys(system: System) -> None:
    """Only what has digits and Enter is listed, keypads without a main row too."""
    digits = tuple(CODES[f"KEY_KP{digit}"] for digit in range(10))
    system.plug("/dev/input/event9", "Small Pad", keys=(*digits, CODES["KEY_KPENTER"]), uniq="s1")
    system.plug("/dev/input/event2", "Nine Keys", keys=(*digits[1:], CODES["KEY_KPENTER"]))
    system.plug("/dev/input/event1", "Board", "usb-3/input0")
    assert find_keypads() == (
        Attached("/dev/input/event1", "Board", "usb-3/input0", ""),
        Attached("/dev/input/event9", "Small Pad", "", "s1"),
    )


def test_what_cannot_be_opened_says_what_to_do(system: System) -> None:
    """No such keypad, no right to read it, no keypad at all, or held by another: each is told."""
    step = "plug it in; if it is, let your user read input devices (group input)"
    for path_or_name, text in (
        ("pad", f"pad: no keypad is found; {step}"),
        (
            "/dev/input/event1",
            (
                "/dev/input/event1: cannot be opened (No such file or directory);"
                " check the path, and that the keypad is plugged in"
            ),
        ),
    ):
        with pytest.raises(KeypadError) as caught:
            open_keypad(path_or_name)
        assert str(caught.value) == text
    system.plug("/dev/input/event7", "Number Pad").holder = "another program"
    system.plug("/dev/input/event3", "Mouse", keys=(272, 273))
    system.plug("/dev/input/event4", "Secret Pad")
    system.denied.add("/dev/input/event4")
    for path_or_name, text in (
        (
            "keys",
            (
                "keys: no keypad of this name; there are: /dev/input/event7 (Number Pad, no socket"
                f" named); {step}"
            ),
        ),
        (
            "/dev/input/event3",
            "/dev/input/event3: has no digits and Enter; give the device of a keypad",
        ),
        (
            "/dev/input/event4",
            (
                "/dev/input/event4: cannot be opened (Permission denied);"
                " let your user read input devices (group input)"
            ),
        ),
        (
            "number pad",
            (
                "/dev/input/event7: cannot be taken for one person alone (Device or resource busy);"
                " end the other program that holds it"
            ),
        ),
    ):
        with pytest.raises(KeypadError) as caught:
            open_keypad(path_or_name)
        assert str(caught.value) == text
    assert not any(each.is_open for each in system.opened)


def test_evdev_that_is_missing_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the optional extra the error says how to install it."""
    monkeypatch.setitem(sys.modules, "evdev", None)
    with pytest.raises(KeypadError) as caught:
        open_keypad("pad")
    assert str(caught.value) == (
        "a keypad of its own needs evdev, which is not installed;"
        " pip install 'calllog[keypad]' (Linux only), or type into the terminal"
    )


def test_read_after_close_is_an_error(system: System) -> None:
    """A keypad given back gives no keys; closing twice does no harm."""
    system.plug("/dev/input/event7", "Number Pad", "usb-1/input0")
    keys = open_keypad("number pad")
    keys.close()
    keys.close()
    with pytest.raises(KeypadError, match="the keypad was given back; open it"):
        keys.read(0.0)
