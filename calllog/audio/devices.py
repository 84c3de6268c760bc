"""Which microphones and loudspeakers there are: names in, devices out; pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from calllog.errors import AudioError

BLOCK_S = 0.032
"""Length of the blocks asked for: one window of the detector."""
START_S = 3.0
"""The first block may take this long: 1.5 s through a sound server that slept."""

Samples = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """What a device hands over at a time."""

    samples: Samples
    """Shape (frames, channels), full scale -1 to 1."""
    rate_hz: int
    age_s: float | None
    """How old the first sample is now [s]; None where the system does not know it."""
    is_broken: bool
    """Samples before this block are missing."""


Hear = Callable[[Block], None]


@dataclass(frozen=True, slots=True)
class Device:
    """A microphone, a loudspeaker, or both in one."""

    index: int
    """Number under which PortAudio has it now."""
    name: str
    inputs: int
    outputs: int
    """Numbers of channels in and out."""
    rate_hz: int
    """The rate that it prefers."""
    is_default_input: bool
    is_default_output: bool


class Stream(Protocol):
    """A device that is being heard."""

    @property
    def is_active(self) -> bool:
        """Whether the system still runs it."""

    def close(self) -> None:
        """Stop hearing it; no block comes afterwards."""


class Backend(Protocol):
    """What knows the devices and opens them."""

    def devices(self) -> tuple[Device, ...]:
        """List the devices, as they were when last scanned."""

    def rescan(self) -> None:
        """Look for devices anew; only while no stream is open."""

    def probe(self, name: str | None, channels: int) -> str:
        """Try in a child process whether a device gives sound, and return its whole name.

        Args:
            name: what `find_device` takes.
            channels: number of channels wanted.

        Raises:
            AudioError: it is not there, is not the only one, refuses, or gives no sound.
        """

    def open(self, device: Device, channels: int, hear: Hear) -> Stream:
        """Let a thread of the system tell `hear` each block; AudioError if the device refuses."""

    def routes(self) -> dict[int, int]:
        """Return which source each of this program's streams hears, by the sound server's numbers.

        Empty where nothing is known.
        """


def find_device(devices: Sequence[Device], name: str | None, *, is_output: bool = False) -> Device:
    """Choose a device by its name or a part of it, in any case; the default one without a name.

    Args:
        devices: those to choose from.
        name: the exact name, or a part that only one device's name has.
        is_output: choose among loudspeakers rather than microphones.

    Raises:
        AudioError: none or several fit; lists the candidates with their channels.
    """
    kind = "loudspeaker" if is_output else "microphone"
    able = [device for device in devices if (device.outputs if is_output else device.inputs)]
    if not able:
        raise AudioError(
            f"no {kind} found",
            next_step="plug it in, and check that the system's sound settings show it",
        )
    if name is None:
        fit = [d for d in able if (d.is_default_output if is_output else d.is_default_input)]
        what = f"the system names no default {kind}"
    else:
        exact = [device for device in able if device.name == name]
        fit = exact or [device for device in able if name.casefold() in device.name.casefold()]
        what = f"fits {len(fit)} of the {kind}s" if fit else f"no {kind} of this name"
    if len(fit) == 1:
        return fit[0]
    listed = "; ".join(_candidate(device, is_output=is_output) for device in fit or able)
    raise AudioError(what, where=name or "", next_step=f"name one of: {listed}")


def find_microphones(devices: Sequence[Device], names: Sequence[str]) -> tuple[Device, ...]:
    """Choose one microphone for each name, or the default one if there is no name.

    Args:
        devices: those to choose from.
        names: at most two (see `find_device`).

    Raises:
        AudioError: a name does not choose, or both choose the same device.
    """
    found = tuple(find_device(devices, name) for name in names or (None,))
    if len({device.index for device in found}) < len(found):
        raise AudioError(
            f"both names choose {found[0].name}",
            where=", ".join(names),
            next_step="name two microphones; one for both callers is named once",
        )
    return found


def _candidate(device: Device, *, is_output: bool) -> str:
    channels = device.outputs if is_output else device.inputs
    return f'"{device.name}" ({channels} channel{"" if channels == 1 else "s"})'
