"""A raw input device in, keys out: a keypad of one person's own, without focus; shell.

Needs Linux and evdev (``pip install 'calllog[keypad]'``). The keypad is grabbed, so that its keys
reach nobody else. Key codes mean keys, not characters: Num Lock and the keyboard layout play no
part. Events: "Linux input event codes" and "Event interface" of the kernel's documentation.
"""

from __future__ import annotations

import contextlib
import errno
import importlib
import select
import time
from dataclasses import dataclass
from typing import Any

from calllog.closing import Closes
from calllog.errors import KeypadError
from calllog.keypad.source import Link
from calllog.keypad.strokes import BACKSPACE, ENTER, OTHER

LOOK_S = 1.0
"""How often a lost keypad is looked for."""
_DOWN = 1
"""Value of a key event when the key goes down; 0 is up, 2 a repetition while it is held."""
_CHARACTERS = {
    **{f"KEY_{digit}": str(digit) for digit in range(10)},
    **{f"KEY_KP{digit}": str(digit) for digit in range(10)},
    **dict.fromkeys(("KEY_DOT", "KEY_COMMA", "KEY_KPDOT", "KEY_KPCOMMA"), "."),
    **dict.fromkeys(("KEY_ENTER", "KEY_KPENTER"), ENTER),
    **dict.fromkeys(("KEY_MINUS", "KEY_KPMINUS"), "-"),
    **dict.fromkeys(("KEY_SLASH", "KEY_KPSLASH"), "/"),
    "KEY_KPPLUS": "+",
    "KEY_KPASTERISK": "*",
    "KEY_BACKSPACE": BACKSPACE,
}
_SHIFTED = {"KEY_8": "*", "KEY_EQUAL": "+"}
"""What some keypads send for star and plus, with shift; nothing else counts with shift."""
_SHIFTS = ("KEY_LEFTSHIFT", "KEY_RIGHTSHIFT")


@dataclass(frozen=True, slots=True)
class Attached:
    """A device that has the keys of a keypad."""

    path: str
    name: str
    socket: str
    """Where it is plugged in, as the system names it; two of one make differ in it."""
    serial: str
    """Empty for most."""

    def __str__(self) -> str:
        return f"{self.path} ({self.name}, {self.socket or 'no socket named'})"


def find_keypads() -> tuple[Attached, ...]:
    """List the devices that have digits and Enter and may be read, keyboards included.

    Raises:
        KeypadError: evdev is not installed.
    """
    evdev = _import_evdev()
    found = []
    for path in sorted(evdev.list_devices()):
        with contextlib.suppress(OSError):  # unplugged meanwhile
            device = evdev.InputDevice(path)
            if _has_keys(evdev, device):
                found.append(_describe(device))
            device.close()
    return tuple(found)


def open_keypad(path_or_name: str) -> DeviceKeys:
    """Take a keypad for one person.

    Args:
        path_or_name: path of the device, its name, or a part of its name that no other has; case
            does not matter.

    Raises:
        KeypadError: evdev is not installed, there is no such keypad or more than one, it may not
            be read, or another program holds it.
    """
    evdev = _import_evdev()
    if path_or_name.startswith("/"):
        return DeviceKeys(evdev, path_or_name)
    known = find_keypads()
    wanted = path_or_name.casefold()
    exact = [each for each in known if each.name.casefold() == wanted]
    matching = exact or [each for each in known if wanted in each.name.casefold()]
    if len(matching) == 1:
        return DeviceKeys(evdev, matching[0].path)
    if matching:
        raise KeypadError(
            f"more than one keypad has this name: {_listed(matching)}",
            where=path_or_name,
            next_step="give the path of one",
        )
    raise KeypadError(
        f"no keypad of this name; there are: {_listed(known)}" if known else "no keypad is found",
        where=path_or_name,
        next_step="plug it in; if it is, let your user read input devices (group input)",
    )


class DeviceKeys(Closes):
    """The keys of one keypad, one at a time; a context manager. Made by `open_keypad`.

    A keypad that was unplugged is looked for once a second and taken again if the same name,
    serial number and socket come back: two of one make must not change hands.

    Raises:
        KeypadError: it is no keypad, may not be read, or another program holds it.
    """

    def __init__(self, evdev: Any, path: str) -> None:  # noqa: ANN401  (evdev has no types)
        self._evdev = evdev
        codes = vars(evdev.ecodes)
        self._characters = {codes[name]: key for name, key in _CHARACTERS.items()}
        self._shifted = {codes[name]: key for name, key in _SHIFTED.items()}
        self._shifts = frozenset(codes[name] for name in _SHIFTS)
        self._device = _opened(evdev, path)
        self._attached = _describe(self._device)
        self._held: frozenset[int] = frozenset()
        self._is_torn = self._is_closed = False
        self._look_at_s = 0.0

    @property
    def name(self) -> str:
        """What it is called in the journal: its name and where it is plugged in."""
        return f"{self._attached.name} {self._attached.socket}".rstrip()

    def close(self) -> None:
        """Give the keypad back to the system; closing twice does no harm."""
        self._is_closed = True
        self._let_go()

    def read(self, timeout_s: float) -> str | Link | None:
        """Wait for one key (see `KeySource.read`); keys held down are not repeated.

        Raises:
            KeypadError: the keypad was closed.
        """
        if self._is_closed:
            raise KeypadError("the keypad was given back", where=self.name, next_step="open it")
        until_s = time.monotonic() + timeout_s
        if self._device is None:
            return self._look_for(until_s)
        try:
            while True:
                while (event := self._device.read_one()) is not None:
                    if (key := self._key(event)) is not None:
                        return key
                wait_s = until_s - time.monotonic()
                if wait_s <= 0 or not select.select([self._device.fd], [], [], wait_s)[0]:
                    return None
        except OSError:
            self._let_go()
            return Link.LOST

    def _key(self, event: Any) -> str | None:  # noqa: ANN401  (evdev has no types)
        """Tell which key an event presses; None if it presses none."""
        codes = self._evdev.ecodes
        if event.type == codes.EV_SYN:
            if event.code == codes.SYN_DROPPED:
                # Events were lost; what follows, up to the next report, is incomplete too.
                self._is_torn = True
                return OTHER
            if self._is_torn:
                self._is_torn = False
                self._held = self._shifts.intersection(self._device.active_keys())
            return None
        if event.type != codes.EV_KEY or self._is_torn:
            return None
        if event.code in self._shifts:
            self._held = (self._held - {event.code}) | ({event.code} if event.value else set())
            return None
        if event.value != _DOWN or event.code == codes.KEY_NUMLOCK:
            return None
        return (self._shifted if self._held else self._characters).get(event.code, OTHER)

    def _look_for(self, until_s: float) -> Link | None:
        """Take the keypad again if it is back; wait until then otherwise [monotonic s]."""
        while True:
            now_s = time.monotonic()
            if now_s >= self._look_at_s:
                self._look_at_s = now_s + LOOK_S
                if self._is_back():
                    return Link.RETURNED
            if now_s >= until_s:
                return None
            time.sleep(max(0.0, min(until_s, self._look_at_s) - now_s))

    def _is_back(self) -> bool:
        had = self._attached
        for each in find_keypads():
            if (each.name, each.socket, each.serial) == (had.name, had.socket, had.serial):
                with contextlib.suppress(KeypadError):
                    self._device = _opened(self._evdev, each.path)
                    self._attached = each
                    self._held, self._is_torn = frozenset(), False
                    return True
        return False

    def _let_go(self) -> None:
        device, self._device = self._device, None
        if device is not None:
            with contextlib.suppress(OSError):  # unplugged
                device.ungrab()
            with contextlib.suppress(OSError):
                device.close()


def _import_evdev() -> Any:  # noqa: ANN401  (evdev has no types)
    try:
        return importlib.import_module("evdev")
    except ImportError as error:
        raise KeypadError(
            "a keypad of its own needs evdev, which is not installed",
            next_step="pip install 'calllog[keypad]' (Linux only), or type into the terminal",
        ) from error


def _opened(evdev: Any, path: str) -> Any:  # noqa: ANN401  (evdev has no types)
    """Open and grab a device that has the keys of a keypad."""
    try:
        device = evdev.InputDevice(path)
    except OSError as error:
        step = (
            "let your user read input devices (group input)"
            if error.errno in {errno.EACCES, errno.EPERM}
            else "check the path, and that the keypad is plugged in"
        )
        raise KeypadError(
            f"cannot be opened ({error.strerror})", where=path, next_step=step
        ) from error
    if not _has_keys(evdev, device):
        device.close()
        raise KeypadError(
            "has no digits and Enter", where=path, next_step="give the device of a keypad"
        )
    try:
        device.grab()
    except OSError as error:
        device.close()
        raise KeypadError(
            f"cannot be taken for one person alone ({error.strerror})",
            where=path,
            next_step="end the other program that holds it",
        ) from error
    return device


def _has_keys(evdev: Any, device: Any) -> bool:  # noqa: ANN401  (evdev has no types)
    """Tell whether a device has ten digits and Enter, on a keypad or in the main row."""
    codes = vars(evdev.ecodes)
    has = set(device.capabilities().get(evdev.ecodes.EV_KEY, ()))
    return any(
        has.issuperset(codes[f"KEY_{part}{key}"] for key in (*range(10), "ENTER"))
        for part in ("KP", "")
    )


def _describe(device: Any) -> Attached:  # noqa: ANN401  (evdev has no types)
    return Attached(device.path, device.name, device.phys or "", device.uniq or "")


def _listed(known: list[Attached] | tuple[Attached, ...]) -> str:
    return ", ".join(str(each) for each in known)
