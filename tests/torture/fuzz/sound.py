"""Recordings: headers and bytes of sound files of every kind that a recorder may leave."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import soundfile

from calllog.audio import Recording
from calllog.errors import AudioError
from tests.torture.fuzz.target import Draw, Target

FOLDER = TemporaryDirectory(prefix="calllog-fuzz-")
FORMS = (
    ("WAV", "PCM_16", 16_000, 1),
    ("WAV", "PCM_U8", 8_000, 2),
    ("WAV", "FLOAT", 44_100, 1),
    ("WAVEX", "PCM_24", 48_000, 2),
    ("WAV", "MS_ADPCM", 16_000, 1),
    ("FLAC", "PCM_16", 16_000, 1),
    ("FLAC", "PCM_24", 48_000, 2),
    ("OGG", "VORBIS", 16_000, 1),
    ("AIFF", "PCM_16", 22_050, 1),
    ("W64", "PCM_16", 16_000, 1),
    ("CAF", "PCM_16", 16_000, 2),
)
FRAMES = 600
WORDS = (0, 1, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF, 0xFFFFFFFE, 16_000, 3)
MOST_FRAMES = 16_000 * 60
"""More than any case can hold: a longer stream would never end."""


def _made(kind: str, subtype: str, rate_hz: int, channels: int) -> bytes:
    noise = np.random.default_rng(7).normal(0.0, 0.1, (FRAMES, channels))
    memory = io.BytesIO()
    soundfile.write(memory, noise, rate_hz, format=kind, subtype=subtype)
    return memory.getvalue()


RECORDINGS = tuple(_made(*form) for form in FORMS)


def _recorded(draw: Draw) -> bytes:
    """Damage a recording: numbers of its header first of all."""
    content = bytearray(draw.one_of(RECORDINGS))
    while draw:
        kind, at = draw.number(), draw.number(2)
        place = at % (len(content) + 1) if kind % 2 else at % 128 % (len(content) + 1)
        match kind // 2 % 6:
            case 0:
                content[place : place + 4] = draw.one_of(WORDS).to_bytes(4, "little")
            case 1:
                content[place : place + 4] = draw.one_of(WORDS).to_bytes(4, "big")
            case 2:
                content[place : place + 1] = bytes((draw.number(),))
            case 3:
                del content[place : place + draw.number()]
            case 4:
                content[place:place] = content[: draw.number()]
            case _:
                content = content[:place] if kind % 3 == 0 else content + content[place:]
        del content[20_000:]
    return bytes(content)


def record(data: bytes) -> None:
    """Read a recording as the crew's; what is given out is sound at 16 kHz."""
    draw = Draw(data)
    path = Path(FOLDER.name) / "recording"
    path.write_bytes(draw.rest() if draw.number() == 0 else _recorded(draw))
    try:
        recording = Recording(path)
        assert recording.duration_s > 0
        frames = 0
        for block in recording.blocks():
            assert block.dtype == np.float32
            assert block.shape[1:] == (recording.channels,)
            assert np.isfinite(block).all()
            assert block.nbytes < 1 << 26, "a block that fills the memory"
            frames += len(block)
            if frames > MOST_FRAMES:
                break
    except AudioError:
        return


def _seeds() -> Iterator[bytes]:
    for place in range(len(RECORDINGS)):
        yield bytes((1, place))
        for at in range(4, 48, 4):
            for number in range(len(WORDS)):
                yield bytes((1, place, 0, 0, at, number))
        yield bytes((1, place, 10, 3, 232))
    yield b"\x00RIFF\x00\x00\x00\x00WAVEfmt "


TARGETS = (Target("wav, flac and other recordings", 20_000, record, _seeds, longest=64),)
