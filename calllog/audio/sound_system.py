"""PortAudio itself: loaded when a device is first asked for, and begun anew to list devices; shell.

It lists devices once, when it begins, and beginning it anew pulls the ground from under every
stream that is open. So whoever keeps an output open tells how to close it, and opens it again.
It may never come back from closing a stream whose sound server died (seen for three minutes), nor
then from being begun anew or from its farewell: such a stream is left to itself.
"""

import atexit
import contextlib
import ctypes
import importlib
import threading
from collections.abc import Callable, Iterator
from types import ModuleType

from calllog.errors import AudioError

_guard = threading.RLock()
CLOSERS: list[Callable[[], None]] = []
"""What is closed before PortAudio is begun anew."""
CLOSE_S = 3.0
"""Longest wait for a stream to be closed; that takes 0.1 s where the sound server lives."""
STUCK: list[threading.Thread] = []
"""Those that close streams, and did not come back in time."""
_Handler = ctypes.CFUNCTYPE(None)
_silent = _Handler(lambda: None)
"""Takes ALSA's reports, which would be printed over the screen; kept, since ALSA calls it."""


@contextlib.contextmanager
def portaudio_held() -> Iterator[ModuleType]:
    """Use PortAudio while nobody begins it anew; AudioError without it or a sound system."""
    with _guard:
        yield load_portaudio()


def before_restart(close: Callable[[], None]) -> None:
    """Have something closed before PortAudio is begun anew; once."""
    with _guard:
        CLOSERS.append(close)


def closed_already(close: Callable[[], None]) -> None:
    """Forget what `before_restart` was told; no harm if it was not."""
    with _guard, contextlib.suppress(ValueError):
        CLOSERS.remove(close)


def close_stream(close: Callable[[], object]) -> None:
    """Close a stream, or leave it to itself where PortAudio does not come back from that."""
    closing = threading.Thread(target=close, name="closing", daemon=True)
    closing.start()
    closing.join(CLOSE_S)
    if closing.is_alive():
        STUCK.append(closing)
        atexit.unregister(load_portaudio()._exit_handler)  # noqa: SLF001 - its farewell waits too


def restart_portaudio() -> None:
    """Begin PortAudio anew, so that it lists the devices there are now.

    While a stream is not closed it stays as it is: what it lists can be opened all the same.

    Raises:
        AudioError: the sound system is gone.
    """
    with _guard:
        portaudio = load_portaudio()
        if any(each.is_alive() for each in STUCK):
            return
        for close in tuple(CLOSERS):
            close()
        CLOSERS.clear()
        with contextlib.suppress(portaudio.PortAudioError):  # not running after a failed restart
            portaudio._terminate()  # noqa: SLF001 - the library has no other way
        try:
            portaudio._initialize()  # noqa: SLF001 - the same
        except portaudio.PortAudioError as error:
            raise unusable(error) from error


def load_portaudio() -> ModuleType:
    """Load PortAudio; AudioError if it is missing or finds no sound system."""
    _quieten_alsa()
    try:
        return importlib.import_module("sounddevice")
    except OSError as error:
        raise AudioError(
            f"PortAudio is missing ({error})", next_step="install Debian's libportaudio2"
        ) from error
    except Exception as error:
        # the error's own class is in the module that could not be loaded
        if type(error).__name__ != "PortAudioError":
            raise
        raise unusable(error) from error


def unusable(error: Exception) -> AudioError:
    """Say that the sound system cannot be used."""
    return AudioError(
        f"the sound system cannot be used ({error})",
        next_step="check the system's sound settings, and its ALSA configuration (~/.asoundrc)",
    )


def _quieten_alsa() -> None:
    """Let ALSA's library print nothing; what matters comes as an error or an event."""
    with contextlib.suppress(OSError, AttributeError):  # no ALSA here
        ctypes.CDLL("libasound.so.2").snd_lib_error_set_handler(_silent)
