"""Recordings and frames: every sample format, hostile files, memory."""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr

from calllog.audio import RATE_HZ, Recording, Utterance, utterances
from calllog.errors import AudioError
from tests.audio.clips import Sound, heard, laid_out, spans, spoken

TWO_CALLS = laid_out(
    5.0, (1.0, spoken("flite-slt", "one_hundred")), (3.0, spoken("espeak-f3", "forty_two"))
)
FORMATS = [
    ("wav", "PCM_U8", 16_000, 1),
    ("wav", "PCM_16", 16_000, 1),
    ("wav", "PCM_24", 16_000, 2),
    ("wav", "FLOAT", 44_100, 2),
    ("wav", "PCM_16", 192_000, 1),
    ("wav", "PCM_24", 48_000, 1),
    ("wav", "PCM_16", 8_000, 1),
    ("flac", "PCM_16", 16_000, 2),
    ("flac", "PCM_24", 48_000, 1),
    ("ogg", "VORBIS", 22_050, 1),
]


def written(path: Path, sound: Sound, subtype: str, rate_hz: int, channels: int) -> Path:
    """Write a sound at another rate, its voice on the first channel only."""
    samples = np.zeros((int(sound.size / RATE_HZ * rate_hz), channels), np.float32)
    resampled = soxr.resample(sound, RATE_HZ, rate_hz)
    samples[:, 0] = resampled[: len(samples)]
    soundfile.write(path, samples * 4.0, rate_hz, subtype=subtype)
    return path


@pytest.mark.parametrize(("kind", "subtype", "rate_hz", "channels"), FORMATS)
def test_every_format_gives_the_same_times(
    tmp_path: Path, kind: str, subtype: str, rate_hz: int, channels: int
) -> None:
    """A call stands at the same time whatever the recorder's format (within 50 ms).

    The same is the sound with the bandwidth that the recorder's rate leaves.
    """
    path = written(tmp_path / f"calls.{kind}", TWO_CALLS, subtype, rate_hz, channels)
    recording = Recording(path)
    found = list(utterances(recording))
    assert (recording.channels, recording.name) == (channels, path.name)
    assert recording.duration_s == pytest.approx(5.0, abs=0.01)
    assert [u.channel for u in found] == [0, 0]
    there_and_back = soxr.resample(soxr.resample(TWO_CALLS, RATE_HZ, rate_hz), rate_hz, RATE_HZ)
    expected = spans(heard(there_and_back))
    assert np.ravel(spans(found)) == pytest.approx(np.ravel(expected), abs=0.05)


def test_samples_keep_their_place_and_level_through_resampling(tmp_path: Path) -> None:
    """Resampling shifts nothing: a 1 kHz tone from 48 kHz is the tone at 16 kHz."""
    at = np.arange(48_000) / 48_000
    soundfile.write(tmp_path / "tone.wav", 0.5 * np.sin(2000.0 * np.pi * at), 48_000, "FLOAT")
    got = np.concatenate(list(Recording(tmp_path / "tone.wav").blocks()))[:, 0]
    expected = 0.5 * np.sin(2000.0 * np.pi * np.arange(RATE_HZ) / RATE_HZ)
    assert got.shape == expected.shape
    assert got[800:-800] == pytest.approx(expected[800:-800], abs=1e-3)


def test_a_recording_may_be_heard_twice(tmp_path: Path) -> None:
    """Nothing of the first hearing is left in the second."""
    recording = Recording(written(tmp_path / "a.flac", TWO_CALLS, "PCM_16", 16_000, 1))
    assert spans(list(utterances(recording))) == spans(list(utterances(recording)))


def _missing(folder: Path) -> Path:
    return folder / "none.wav"


def _folder(folder: Path) -> Path:
    return folder


def _empty(folder: Path) -> Path:
    (folder / "empty.wav").touch()
    return folder / "empty.wav"


def _text(folder: Path) -> Path:
    (folder / "notes.wav").write_text("fifteen forty two\n" * 50)
    return folder / "notes.wav"


def _headerless(folder: Path) -> Path:
    (folder / "frames.raw").write_bytes(bytes(4000))
    return folder / "frames.raw"


def _no_frames(folder: Path) -> Path:
    soundfile.write(folder / "no_frames.wav", np.zeros((0, 1)), 16_000)
    return folder / "no_frames.wav"


def _three_channels(folder: Path) -> Path:
    soundfile.write(folder / "three.wav", np.zeros((100, 3)), 16_000)
    return folder / "three.wav"


def _zero_channels(folder: Path) -> Path:
    soundfile.write(folder / "zero.wav", np.zeros((100, 1)), 16_000)
    header = bytearray((folder / "zero.wav").read_bytes())
    struct.pack_into("<H", header, 22, 0)
    (folder / "zero.wav").write_bytes(header)
    return folder / "zero.wav"


def _slow(folder: Path) -> Path:
    soundfile.write(folder / "slow.wav", np.zeros((100, 1)), 4_000)
    return folder / "slow.wav"


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (_missing, "no such file"),
        (_folder, "is a folder, not a recording"),
        (_empty, "is empty"),
        (_text, "cannot be read as sound"),
        (_headerless, "cannot be read as sound"),
        (_no_frames, "holds no sound"),
        (_three_channels, "has 3 channels, not 1 or 2"),
        (_zero_channels, "cannot be read as sound"),
        (_slow, "is sampled at 4000 Hz"),
    ],
)
def test_what_is_no_recording_is_refused(
    tmp_path: Path, make: Callable[[Path], Path], what: str
) -> None:
    """An unusable file is named at once, with what is wrong and what to do."""
    path = make(tmp_path)
    with pytest.raises(AudioError) as caught:
        Recording(path)
    assert caught.value.what.startswith(what)
    assert caught.value.where == str(path)
    assert caught.value.next_step


@pytest.mark.parametrize(
    ("kind", "subtype"), [("wav", "PCM_16"), ("wav", "FLOAT"), ("flac", "PCM_16")]
)
@pytest.mark.parametrize("share", [0.5, 0.75])
def test_a_truncated_recording_gives_what_it_holds_then_the_error(
    tmp_path: Path, kind: str, subtype: str, share: float
) -> None:
    """A call before the break is never lost, and the break is never taken for the end."""
    path = written(tmp_path / f"cut.{kind}", TWO_CALLS, subtype, 16_000, 1)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])
    found: list[Utterance] = []
    with pytest.raises(AudioError, match=r"breaks off at .* s of 5\.00 s"):
        found.extend(utterances(Recording(path)))
    expected = spans(heard(TWO_CALLS))
    assert found
    assert np.array(spans(found)[0]) == pytest.approx(expected[0], abs=0.05)


def test_a_flac_is_read_to_its_last_whole_frame(tmp_path: Path) -> None:
    """Of a truncated FLAC less than one of its frames (4096 samples) is lost."""
    path = tmp_path / "cut.flac"
    rng = np.random.default_rng(3)
    sound = (rng.standard_normal(64_000) * 0.1).clip(-1, 1)
    soundfile.write(path, sound, RATE_HZ)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    got: list[Sound] = []
    with pytest.raises(AudioError, match="breaks off"):
        got.extend(Recording(path).blocks())
    assert sum(len(block) for block in got) > 32_000 - 2 * 4096


def test_a_header_without_a_length_is_no_fault(tmp_path: Path) -> None:
    """A recorder that streams leaves the data size open (0xFFFFFFFF); all of it is read."""
    path = written(tmp_path / "stream.wav", TWO_CALLS, "PCM_16", 16_000, 1)
    content = bytearray(path.read_bytes())
    struct.pack_into("<I", content, content.index(b"data") + 4, 0xFFFFFFFF)
    path.write_bytes(content)
    assert len(list(utterances(Recording(path)))) == 2


def test_a_float_recording_with_nan_is_refused(tmp_path: Path) -> None:
    """Samples that are no numbers are refused, with their time, after what came before."""
    sound = TWO_CALLS.copy()
    sound[int(2.7 * RATE_HZ)] = np.nan
    path = tmp_path / "nan.wav"
    soundfile.write(path, sound, RATE_HZ, subtype="FLOAT")
    found: list[Utterance] = []
    with pytest.raises(AudioError, match=r"no numbers near 2\.\d\d s") as caught:
        found.extend(utterances(Recording(path)))
    assert caught.value.where == str(path)
    assert spans(found) == spans(heard(TWO_CALLS))[:1]


def test_progress_reaches_the_end(tmp_path: Path) -> None:
    """Progress never goes back and ends at the length of the recording [s]."""
    recording = Recording(written(tmp_path / "a.wav", TWO_CALLS, "PCM_16", 48_000, 1))
    told: list[float] = []
    list(utterances(recording, on_progress=told.append))
    assert told == sorted(told)
    assert told[-1] == pytest.approx(recording.duration_s, abs=0.001)
