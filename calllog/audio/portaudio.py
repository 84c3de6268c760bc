"""The devices of this computer: names in, running streams of blocks out, by PortAudio; shell.

PortAudio is loaded when a device is first asked for, so that calllog works without it.
"""

import ctypes
import json
import os
import sys
import threading
from types import ModuleType
from typing import Any, NoReturn

from calllog import children
from calllog.audio.devices import (
    BLOCK_S,
    START_S,
    Block,
    Device,
    Hear,
    Samples,
    Stream,
    find_device,
)
from calllog.audio.sound_system import (
    close_stream,
    load_portaudio,
    restart_portaudio,
    unusable,
)
from calllog.audio.source import RATE_HZ
from calllog.errors import AudioError

_OLDEST_S = 2.0
"""An age above this is no age: some systems give 0, or the time since they were started."""
_RING_S = 1.0
"""Sound that the system holds for a busy computer: the recogniser keeps Python's threads waiting
for up to 0.46 s, and what PortAudio calls low latency is a buffer of 0.064 s."""
_ASK_S = 2.0
"""Longest wait for the sound server's answer."""
PROBE_S = START_S + 2.0
"""Longest that a child tries a device, once it has begun to, at first."""
_PROBE_LONGEST_S = 4.0 * PROBE_S
"""The same after children that heard nothing: a busy computer opens devices slowly, too."""
_BEGIN_S = 15.0
"""Longest until it has: a busy computer takes that long to load it."""
_telling = threading.Lock()


class PortAudio:
    """The devices of this computer."""

    def __init__(self) -> None:
        self._probe_s = PROBE_S

    def devices(self) -> tuple[Device, ...]:
        """List the devices (see `Backend`); AudioError without PortAudio or a sound system."""
        portaudio = load_portaudio()
        default_input, default_output = portaudio.default.device
        try:
            listed = portaudio.query_devices()
        except portaudio.PortAudioError as error:
            raise unusable(error) from error
        return tuple(
            Device(
                index=index,
                name=str(info["name"]),
                inputs=int(info["max_input_channels"]),
                outputs=int(info["max_output_channels"]),
                rate_hz=int(info["default_samplerate"]),
                is_default_input=index == default_input,
                is_default_output=index == default_output,
            )
            for index, info in enumerate(listed)
        )

    def rescan(self) -> None:
        """Look for devices anew: PortAudio lists them once, when it is started.

        Raises:
            AudioError: the sound system is gone.
        """
        restart_portaudio()

    def probe(self, name: str | None, channels: int) -> str:
        """Try in a child process whether a device gives sound (see `Backend`).

        PortAudio never comes back from starting a device that goes away while it is opened (seen
        in one of seven tries through PulseAudio), and it lists devices anew only when nothing is
        open; so a device that may be missing is opened elsewhere first. The child gives up by
        itself, however long the computer took to begin it; the next one twice as late.

        Raises:
            AudioError: it gives none, or is not there.
        """
        code = "from calllog.audio.portaudio import answer; answer()"
        patience_s = self._probe_s
        self._probe_s = min(2.0 * patience_s, _PROBE_LONGEST_S)
        asked = json.dumps([name, channels, patience_s])
        try:
            child = children.ask_python("-c", code, asked, timeout_s=_BEGIN_S + patience_s)
            told: dict[str, str] = json.loads(child.stdout)
        except (OSError, children.SubprocessError, ValueError) as error:
            raise _silent(name) from error
        if "found" in told:
            self._probe_s = PROBE_S
            return told["found"]
        raise AudioError(told["what"], where=told["where"], next_step=told["next_step"])

    def open(self, device: Device, channels: int, hear: Hear) -> Stream:
        """Begin to hear a device, at 16 kHz if it can, else at its own rate (see `Backend`).

        A device that cannot give one channel alone is opened with two, and their mean taken.

        Raises:
            AudioError: PortAudio is missing, or the device refuses.
        """
        portaudio = load_portaudio()
        refusal: Exception | None = None
        for opened in (1, 2) if channels == 1 else (channels,):
            for rate_hz in dict.fromkeys((RATE_HZ, device.rate_hz)):
                try:
                    return _Opened(
                        portaudio,
                        device.index,
                        hear,
                        opened=opened,
                        rate_hz=rate_hz,
                        channels=channels,
                    )
                except portaudio.PortAudioError as error:
                    refusal = refusal or error
        raise AudioError(
            f"cannot be opened with {channels} channel{'s' * (channels > 1)} ({refusal})",
            where=device.name,
            next_step="check that it is plugged in, and that no other program uses it",
        ) from refusal

    def routes(self) -> dict[int, int]:
        """Ask PulseAudio or PipeWire what this program hears (see `Backend`).

        Either moves a stream to another microphone without a word when its own is pulled out.
        """
        asked = children.find_tool("pactl")
        if asked is None:
            return {}
        try:
            words = ("--format=json", "list", "source-outputs")
            answer = children.ask_tool(asked, *words, timeout_s=_ASK_S)
            listed: list[dict[str, Any]] = json.loads(answer)
            return {
                int(output["index"]): int(output["source"])
                for output in listed
                if output["properties"].get("application.process.id") == str(os.getpid())
            }
        except (OSError, children.SubprocessError, ValueError, KeyError):
            return {}


class _Opened:
    """A running stream of PortAudio."""

    def __init__(
        self,
        portaudio: ModuleType,
        index: int,
        hear: Hear,
        *,
        opened: int,
        rate_hz: int,
        channels: int,
    ) -> None:
        def take(samples: Samples, _frames: int, time: Any, status: Any) -> None:  # noqa: ANN401
            age_s = float(time.currentTime - time.inputBufferAdcTime)
            is_known = time.inputBufferAdcTime > 0 and 0 <= age_s <= _OLDEST_S
            copied = samples.copy() if opened == channels else samples.mean(1, keepdims=True)
            is_broken = bool(status.input_overflow)
            hear(Block(copied, rate_hz, age_s if is_known else None, is_broken))

        self._stream = portaudio.InputStream(
            device=index,
            channels=opened,
            samplerate=rate_hz,
            blocksize=round(rate_hz * BLOCK_S),
            latency=_latency(portaudio),
            dtype="float32",
            callback=take,
        )
        try:
            self._stream.start()
        except portaudio.PortAudioError:
            self._stream.close()
            raise

    @property
    def is_active(self) -> bool:
        return bool(self._stream.active)

    def close(self) -> None:
        close_stream(self._stream.close)


def answer() -> None:
    """Say on standard output whether a device gives sound; what the child of `probe` does."""
    name, channels, patience_s = json.loads(sys.argv[1])
    giving_up = threading.Timer(patience_s, _tell, (_silent(name),))
    giving_up.daemon = True
    giving_up.start()
    portaudio = PortAudio()
    has_sound = threading.Event()
    try:
        device = find_device(portaudio.devices(), name)
        portaudio.open(device, channels, lambda *_: has_sound.set())
        if not has_sound.wait(START_S):
            raise _silent(device.name)
    except AudioError as error:
        _tell(error)
    _tell(device.name)


def _tell(found: str | AudioError) -> NoReturn:
    """Say the name of a device that gives sound, or why none does, and end; the first to do so."""
    _telling.acquire()
    if isinstance(found, str):
        told = {"found": found}
    else:
        told = {"what": found.what, "where": found.where, "next_step": found.next_step}
    sys.stdout.write(json.dumps(told))
    sys.stdout.flush()
    os._exit(0)  # without PortAudio's farewell, which can hang too


def _latency(portaudio: ModuleType) -> float | str:
    """Have ALSA hold much and still hand over each block: blocks do not wait for one another.

    Without more periods PortAudio would hand over a quarter of the buffer at a time.
    """
    try:
        set_periods = ctypes.CDLL(portaudio._libname).PaAlsa_SetNumPeriods  # noqa: SLF001
    except (AttributeError, OSError):  # not ALSA
        return "low"
    set_periods(round(1.25 * _RING_S / BLOCK_S))
    return _RING_S


def _silent(name: str | None) -> AudioError:
    return AudioError(
        "gives no sound",
        where=name or "default microphone",
        next_step="check that it is plugged in, switched on and not suspended",
    )
