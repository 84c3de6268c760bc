"""The computer's sound output through PortAudio, asked for sound block by block; shell."""

from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from calllog.audio.devices import find_device
from calllog.audio.portaudio import PortAudio as Devices
from calllog.audio.sound_system import (
    before_restart,
    close_stream,
    closed_already,
    portaudio_held,
)
from calllog.errors import AudioError

LATENCY_S = 0.03
"""Sound that lies ready in the output. The least that outputs offer (9 ms through PulseAudio) runs
dry on a busy machine, and then the server pauses for up to two seconds."""
BLOCK_S = 0.01
"""How much sound is asked for at a time. Left open, PulseAudio asks for 0.75 ms, 1,300 times a
second, which took a fifth of a core."""
Sound = npt.NDArray[np.float32]


class Fill(Protocol):
    """Gives sound to an output, which may ask before whoever opens it knows of it."""

    def __call__(
        self, frames: int, rate_hz: int, delay_s: float, *, has_run_dry: bool = False
    ) -> Sound:
        """Give the next frames.

        Args:
            frames: how many.
            rate_hz: of them.
            delay_s: when they will be heard, from now [s].
            has_run_dry: the output had none left. It begins anew, and may throw away what it is
                given now: through PulseAudio, it then asks for seconds of sound in half a second.
        """


class OutputStream(Protocol):
    """An open output."""

    rate_hz: int

    @property
    def is_live(self) -> bool:
        """It still takes sound."""

    def close(self) -> None:
        """Give the device back."""


class Outputs(Protocol):
    """Opens outputs."""

    def open(self, output: str | None, fill: Fill) -> OutputStream:
        """Open an output; its own thread then asks `fill` for sound until it is closed.

        Args:
            output: name of the device or a part of it; None for the system's default.
            fill: gives the sound.

        Raises:
            AudioError: there is no such output, or it cannot be opened.
        """


class _OpenStream:
    """One PortAudio stream, closed when PortAudio is begun anew."""

    def __init__(self, stream: Any, rate_hz: int) -> None:  # noqa: ANN401 - sounddevice has no types
        self.rate_hz = rate_hz
        self._stream = stream
        before_restart(self._let_go)

    @property
    def is_live(self) -> bool:
        """It still takes sound."""
        with portaudio_held():
            return self._stream is not None and bool(self._stream.active)

    def close(self) -> None:
        """Give the device back; sound on its way is cut off."""
        closed_already(self._let_go)
        self._let_go()

    def _let_go(self) -> None:
        with portaudio_held():
            stream, self._stream = self._stream, None
            if stream is not None:
                close_stream(stream.close)


class PortAudioOutputs:
    """The outputs of this computer."""

    def open(self, output: str | None, fill: Fill) -> OutputStream:
        """Open an output with little delay (see `Outputs.open`)."""
        with portaudio_held() as portaudio:
            device = find_device(Devices().devices(), output, is_output=True)
            stream: Any = None

            def fill_block(  # sounddevice's times and flags have no types
                block: npt.NDArray[np.float32],
                frames: int,
                time: Any,  # noqa: ANN401
                status: Any,  # noqa: ANN401
            ) -> None:
                delay_s = max(time.outputBufferDacTime - time.currentTime, stream.latency)
                has_run_dry = bool(status.output_underflow)
                sound = fill(frames, device.rate_hz, delay_s, has_run_dry=has_run_dry)
                block[:] = sound[:, np.newaxis]

            try:
                stream = portaudio.OutputStream(
                    device=device.index,
                    samplerate=device.rate_hz,
                    channels=min(2, device.outputs),
                    dtype="float32",
                    blocksize=round(device.rate_hz * BLOCK_S),
                    latency=LATENCY_S,
                    callback=fill_block,
                )
                stream.start()
            except (portaudio.PortAudioError, ValueError) as error:
                raise AudioError(
                    f"sound cannot be played: {error}",
                    where=device.name,
                    next_step="check that it is plugged in, and that no other program uses it",
                ) from error
            return _OpenStream(stream, device.rate_hz)
