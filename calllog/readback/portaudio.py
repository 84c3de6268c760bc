"""The computer's sound output through PortAudio, asked for sound block by block; shell."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from calllog.errors import AudioError
from calllog.readback.tones import Sound

LATENCY_S = 0.03
"""Sound that lies ready in the output. The least that outputs offer (9 ms through PulseAudio) runs
dry on a busy machine, and then the server pauses for up to two seconds."""
Fill = Callable[[int, float], Sound]
"""Given a number of frames and when they will be heard from now [s], returns these frames."""


class Stream(Protocol):
    """An open output."""

    rate_hz: int

    @property
    def is_live(self) -> bool:
        """It still takes sound."""

    def close(self) -> None:
        """Give the device back."""


class Backend(Protocol):
    """Opens outputs."""

    def open(self, output: str | None, fill: Fill) -> Stream:
        """Open an output; its own thread then asks `fill` for sound until it is closed.

        Args:
            output: name of the device or a part of it; None for the system's default.
            fill: gives the sound.

        Raises:
            AudioError: there is no such output, or it cannot be opened.
        """


class _OpenStream:
    """One PortAudio stream."""

    def __init__(self, stream: Any, rate_hz: int) -> None:  # noqa: ANN401 - sounddevice has no types
        self.rate_hz = rate_hz
        self._stream = stream

    @property
    def is_live(self) -> bool:
        """It still takes sound."""
        return bool(self._stream.active)

    def close(self) -> None:
        """Give the device back; sound on its way is cut off."""
        self._stream.close(ignore_errors=True)


class PortAudio:
    """The outputs of this computer."""

    def open(self, output: str | None, fill: Fill) -> Stream:
        """Open an output with little delay (see `Backend.open`)."""
        try:
            import sounddevice  # noqa: PLC0415 - fails where the system has no PortAudio
        except OSError as error:
            raise AudioError(
                f"no sound can be put out: {error}", next_step="install the package libportaudio2"
            ) from error
        try:
            device = sounddevice.query_devices(output, "output")
            stream: Any = None

            def fill_block(  # sounddevice's times and flags have no types
                block: npt.NDArray[np.float32],
                frames: int,
                time: Any,  # noqa: ANN401
                _status: Any,  # noqa: ANN401
            ) -> None:
                delay_s = max(time.outputBufferDacTime - time.currentTime, stream.latency)
                block[:] = fill(frames, delay_s)[:, np.newaxis]

            rate_hz = int(device["default_samplerate"])
            stream = sounddevice.OutputStream(
                device=output,
                samplerate=rate_hz,
                channels=min(2, device["max_output_channels"]),
                dtype="float32",
                latency=LATENCY_S,
                callback=fill_block,
            )
            stream.start()
        except (sounddevice.PortAudioError, ValueError) as error:
            raise AudioError(
                f"sound cannot be put out: {error}",
                where=output or "default output",
                next_step=f"there are: {_outputs(sounddevice) or 'no outputs; connect one'}",
            ) from error
        return _OpenStream(stream, rate_hz)


def _outputs(sounddevice: Any) -> str:  # noqa: ANN401 - a module without types
    return ", ".join(
        f"{each['name']!r}" for each in sounddevice.query_devices() if each["max_output_channels"]
    )
