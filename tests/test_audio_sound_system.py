"""The guard of PortAudio: loaded late, begun anew only where it is pulled from under nobody."""

from __future__ import annotations

import atexit
import ctypes
import importlib
import sys
import threading
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest

from calllog.audio import sound_system
from calllog.audio.sound_system import (
    before_restart,
    close_stream,
    closed_already,
    load_portaudio,
    portaudio_held,
    restart_portaudio,
)
from calllog.errors import AudioError


class PortAudioError(Exception):
    """What the library raises."""


class FakePortAudio(ModuleType):
    """Stands in for the library: it remembers what was done to it, and refuses on demand."""

    PortAudioError = PortAudioError

    def __init__(self) -> None:
        super().__init__("sounddevice")
        self.done: list[str] = []
        self.is_running = self.can_begin = True

    def _terminate(self) -> None:
        if not self.is_running:
            raise PortAudioError("not initialised")
        self.is_running = False
        self.done.append("ended")

    def _exit_handler(self) -> None:
        self.done.append("farewell")

    def _initialize(self) -> None:
        if not self.can_begin:
            raise PortAudioError("no sound server")
        self.is_running = True
        self.done.append("begun")


@pytest.fixture
def portaudio(monkeypatch: pytest.MonkeyPatch) -> Iterator[FakePortAudio]:
    """Put a fake in the library's place, and leave nothing behind that would be closed."""
    fake = FakePortAudio()
    monkeypatch.setitem(sys.modules, "sounddevice", fake)
    closers: list[object] = []
    monkeypatch.setattr(sound_system, "CLOSERS", closers)
    yield fake
    assert not closers


def test_it_is_loaded_when_it_is_first_asked_for(portaudio: FakePortAudio) -> None:
    """Whoever holds it gets the library itself."""
    with portaudio_held() as held:
        assert held is portaudio
    assert load_portaudio() is portaudio
    assert portaudio.done == []


def test_outputs_are_closed_before_it_is_begun_anew(portaudio: FakePortAudio) -> None:
    """Each once: what was closed is not closed again at the next restart."""
    before_restart(lambda: portaudio.done.append("one closed"))
    before_restart(lambda: portaudio.done.append("two closed"))
    restart_portaudio()
    assert portaudio.done == ["one closed", "two closed", "ended", "begun"]
    restart_portaudio()
    assert portaudio.done[4:] == ["ended", "begun"]


def test_what_was_closed_already_is_left_alone(portaudio: FakePortAudio) -> None:
    """Its owner closed it; saying so twice, or of what nobody knows, does no harm."""

    def close() -> None:
        portaudio.done.append("closed")

    before_restart(close)
    closed_already(close)
    closed_already(close)
    restart_portaudio()
    assert portaudio.done == ["ended", "begun"]


def test_closing_may_use_portaudio_and_say_so(portaudio: FakePortAudio) -> None:
    """Closing an output holds the guard itself, and forgets itself: neither hangs."""

    def close() -> None:
        with portaudio_held():
            portaudio.done.append("closed")
        closed_already(close)

    before_restart(close)
    restart_portaudio()
    assert portaudio.done == ["closed", "ended", "begun"]


def test_it_is_not_begun_anew_while_it_is_held(portaudio: FakePortAudio) -> None:
    """A thread that lists or opens devices is waited for."""
    restarting = threading.Thread(target=restart_portaudio)
    with portaudio_held():
        restarting.start()
        restarting.join(0.05)
        assert restarting.is_alive()
        assert portaudio.done == []
    restarting.join(5.0)
    assert portaudio.done == ["ended", "begun"]


def test_it_recovers_from_a_sound_server_that_was_gone(portaudio: FakePortAudio) -> None:
    """A restart that fails is said; the next one, which finds nothing running, works."""
    portaudio.can_begin = False
    with pytest.raises(AudioError, match=r"cannot be used \(no sound server\); check the system"):
        restart_portaudio()
    with pytest.raises(AudioError):
        restart_portaudio()
    portaudio.can_begin = True
    restart_portaudio()
    assert portaudio.done == ["ended", "begun"]


def test_what_is_never_closed_is_left_to_itself(
    portaudio: FakePortAudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sound server died: PortAudio is not begun anew, nor waited for at the end, until then."""
    let_go = threading.Event()
    left: list[Callable[[], None]] = []
    stuck: list[threading.Thread] = []
    monkeypatch.setattr(sound_system, "STUCK", stuck)
    monkeypatch.setattr(sound_system, "CLOSE_S", 0.05)
    monkeypatch.setattr(atexit, "unregister", left.append)
    close_stream(let_go.wait)
    (closing,) = stuck
    assert closing.daemon
    assert [each() for each in left] == [None]
    assert portaudio.done.pop() == "farewell"
    before_restart(lambda: portaudio.done.append("closed"))
    restart_portaudio()
    assert portaudio.done == [], "what plays goes on"
    let_go.set()
    closing.join(5.0)
    restart_portaudio()
    assert portaudio.done == ["closed", "ended", "begun"]


def test_what_is_closed_in_time_changes_nothing(
    portaudio: FakePortAudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is closed when that is told, and PortAudio keeps its farewell."""
    left: list[object] = []
    monkeypatch.setattr(atexit, "unregister", left.append)
    close_stream(lambda: portaudio.done.append("closed"))
    assert portaudio.done == ["closed"]
    assert left == []


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (OSError("PortAudio library not found"), r"not found\); install Debian's libportaudio2"),
        (PortAudioError("no host"), r"cannot be used \(no host\); check the system's sound"),
    ],
)
def test_missing_library_is_an_error_with_a_next_step(
    monkeypatch: pytest.MonkeyPatch, error: Exception, words: str
) -> None:
    """Without the library or a sound system there is a plain error, and nothing stays held."""

    def refuse(_: str) -> ModuleType:
        raise error

    monkeypatch.setattr(importlib, "import_module", refuse)
    with pytest.raises(AudioError, match=words):
        load_portaudio()
    with pytest.raises(AudioError), portaudio_held():
        pass
    free = threading.Thread(target=closed_already, args=(refuse,), daemon=True)
    free.start()
    free.join(5.0)
    assert not free.is_alive()


def test_fault_of_another_kind_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bug in the library is no matter of the sound system."""

    def refuse(_: str) -> ModuleType:
        message = "a bug"
        raise ZeroDivisionError(message)

    monkeypatch.setattr(importlib, "import_module", refuse)
    with pytest.raises(ZeroDivisionError):
        load_portaudio()


def test_it_works_without_alsa(monkeypatch: pytest.MonkeyPatch, portaudio: FakePortAudio) -> None:
    """Where there is no ALSA there is nothing to be quietened."""

    def refuse(_: str) -> ctypes.CDLL:
        message = "libasound.so.2: cannot open shared object file"
        raise OSError(message)

    monkeypatch.setattr(ctypes, "CDLL", refuse)
    assert load_portaudio() is portaudio
