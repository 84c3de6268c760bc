"""Recordings in, blocks of sound at 16 kHz out, in bounded memory; shell."""

import struct
from collections.abc import Generator, Iterator
from pathlib import Path
from typing import BinaryIO, Protocol

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from calllog.errors import AudioError

RATE_HZ = 16_000
_LOWEST_RATE_HZ = 8_000
_HIGHEST_RATE_HZ = 768_000
"""More than any recorder has; a damaged header may state 2 GHz, and a block of that 4 GB."""
_LOUDEST = 1e6
"""Times full scale; more is no sound, and overflows where it is filtered."""
_MOST_CHANNELS = 2
_READ_S = 0.25
_UNKNOWN_SIZES = (0, 0xFFFFFFFF)
"""Data sizes that streaming writers leave in a WAV header: the length is not promised."""

_FRAME_BYTES: dict[str, int] = {
    "PCM_U8": 1,
    "PCM_16": 2,
    "PCM_24": 3,
    "PCM_32": 4,
    "FLOAT": 4,
    "DOUBLE": 8,
}

Block = npt.NDArray[np.float32]


class Source(Protocol):
    """Where sound comes from."""

    @property
    def name(self) -> str:
        """What the source is called in calls and errors."""

    @property
    def channels(self) -> int:
        """Number of channels, 1 or 2."""

    @property
    def duration_s(self) -> float | None:
        """Length [s]; None where it is not known beforehand."""

    def blocks(self) -> Iterator[Block]:
        """Yield the sound, shape (frames, channels), float32 about -1 to 1, at 16 kHz.

        Raises:
            AudioError: the sound is unusable, or breaks off; what came before was given out.
        """


class Recording:
    """A sound file that libsndfile reads: WAV, FLAC, Ogg and others, any sample format.

    The header is read at once, the sound only by `blocks`, which may be called again.

    Args:
        path: the file; 1 or 2 channels, 8 to 768 kHz.

    Raises:
        AudioError: missing, a folder, empty, no sound file, not 1 or 2 channels, or of such a rate
            as no recorder has.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        with _opened(path) as sound:
            self._rate_hz: int = sound.samplerate
            self._channels: int = sound.channels
            self._frames: int = _promised_frames(path, sound)
        _check_layout(str(path), self._rate_hz, self._channels)
        if self._frames == 0:
            raise AudioError(
                "holds no sound", where=str(path), next_step="check that the recorder was running"
            )

    @property
    def name(self) -> str:
        """File name without its folders."""
        return self._path.name

    @property
    def channels(self) -> int:
        """Number of channels, 1 or 2."""
        return self._channels

    @property
    def duration_s(self) -> float:
        """Length that the header promises [s]."""
        return self._frames / self._rate_hz

    def blocks(self) -> Iterator[Block]:
        """Yield the sound, shape (frames, channels), float32, at 16 kHz (see `Source`).

        Raises:
            AudioError: unreadable, samples that are no numbers, or shorter than its header
                promises; what can be read is given out first.
        """
        with _opened(self._path) as sound:
            read = yield from _at_16_khz(
                _read(sound), self._rate_hz, self._channels, str(self._path)
            )
        if read < self._frames:
            raise AudioError(
                f"breaks off at {read / self._rate_hz:.2f} s of {self.duration_s:.2f} s",
                where=str(self._path),
                next_step="what came before was heard; copy the file again from the recorder",
            )


def _check_layout(where: str, rate_hz: int, channels: int) -> None:
    if not 1 <= channels <= _MOST_CHANNELS:
        raise AudioError(
            f"has {channels} channels, not 1 or 2",
            where=where,
            next_step="export one channel for each caller",
        )
    if rate_hz < _LOWEST_RATE_HZ:
        raise AudioError(
            f"is sampled at {rate_hz} Hz, less than {_LOWEST_RATE_HZ} Hz",
            where=where,
            next_step="record at 16000 Hz or more",
        )
    if rate_hz > _HIGHEST_RATE_HZ:
        raise AudioError(
            f"is sampled at {rate_hz} Hz, as its header says, more than {_HIGHEST_RATE_HZ} Hz",
            where=where,
            next_step="copy the file again from the recorder; 16000 Hz are enough",
        )


def _opened(path: Path) -> soundfile.SoundFile:
    if not path.exists():
        raise AudioError("no such file", where=str(path), next_step="check the path")
    if path.is_dir():
        raise AudioError(
            "is a folder, not a recording", where=str(path), next_step="name a file in it"
        )
    try:
        if path.stat().st_size == 0:
            raise AudioError(
                "is empty", where=str(path), next_step="copy the file again from the recorder"
            )
        return soundfile.SoundFile(path)
    except (soundfile.SoundFileError, TypeError, OSError) as error:
        raise AudioError(
            f"cannot be read as sound ({error})",
            where=str(path),
            next_step="give a WAV, FLAC or Ogg recording",
        ) from error


def _promised_frames(path: Path, sound: soundfile.SoundFile) -> int:
    """Return the frames that the header promises; libsndfile cuts a WAV's promise silently."""
    frames = int(sound.frames)
    if sound.format not in ("WAV", "WAVEX") or sound.subtype not in _FRAME_BYTES:
        return frames
    with path.open("rb") as file:
        promised = _data_size(file)
    if promised in _UNKNOWN_SIZES:
        return frames
    return max(frames, int(promised // (_FRAME_BYTES[sound.subtype] * sound.channels)))


def _data_size(file: BinaryIO) -> int:
    """Return the size of a WAV's data chunk as its header states it [bytes]; 0 if there is none.

    RIFF: "Multimedia Programming Interface and Data Specifications 1.0" (IBM and Microsoft,
    August 1991): chunks of a four-letter name, a little-endian 32-bit size, and the content,
    padded to an even length.
    """
    file.seek(12)
    while len(head := file.read(8)) == 8:  # noqa: PLR2004
        name, size = struct.unpack("<4sI", head)
        if name == b"data":
            return int(size)
        file.seek(size + size % 2, 1)
    return 0


def _read(sound: soundfile.SoundFile) -> Iterator[Block]:
    """Yield blocks until the file ends or cannot be decoded further."""
    size = max(1, int(sound.samplerate * _READ_S))
    while True:
        block = np.full((size, sound.channels), np.nan, np.float32)
        try:
            got = len(sound.read(out=block))
        except soundfile.SoundFileError:
            # what was decoded before the fault stands in the block, the rest is as it was
            got = int(np.isfinite(np.append(block[:, -1], np.nan)).argmin())
        if got == 0:
            return
        yield block[:got]
        if got < size:
            return


def _at_16_khz(
    blocks: Iterator[Block], rate_hz: int, channels: int, where: str
) -> Generator[Block, None, int]:
    """Resample as a stream, refusing samples that are no sound; return the frames heard."""
    stream = (
        None
        if rate_hz == RATE_HZ
        else soxr.ResampleStream(rate_hz, RATE_HZ, channels, dtype="float32")
    )
    heard = 0
    for block in blocks:
        if not (np.abs(block) < _LOUDEST).all():  # nor are those that are no numbers
            raise AudioError(
                f"holds samples that are no numbers near {heard / rate_hz:.2f} s",
                where=where,
                next_step="export the recording again as 16-bit or 24-bit",
            )
        heard += len(block)
        yield block if stream is None else stream.resample_chunk(np.ascontiguousarray(block))
    if stream is not None:
        yield stream.resample_chunk(np.empty((0, channels), np.float32), last=True)
    return heard
