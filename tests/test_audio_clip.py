"""Clips: written whole, found again by their hash."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import numpy as np
import pytest
import soundfile

from calllog.audio import RATE_HZ, Utterance, write_clip
from calllog.errors import AudioError
from tests.audio.clips import Sound, clip, heard


def utterance(samples: Sound) -> Utterance:
    """Make an utterance of the samples."""
    none = np.empty(0, np.float32)
    return Utterance(
        samples=samples,
        lead=none,
        start_s=0.0,
        end_s=1.0,
        channel=0,
        source="mic",
        is_cut=False,
    )


def test_a_clip_is_the_utterance_in_16_bits(tmp_path: Path) -> None:
    """What the office plays is what was heard, to half a step of 16 bits."""
    (said,) = heard(clip("flite-slt", "one_hundred"))
    write_clip(tmp_path / "1.flac", said)
    info = soundfile.info(tmp_path / "1.flac")
    assert (info.format, info.subtype, info.samplerate, info.channels) == (
        "FLAC",
        "PCM_16",
        RATE_HZ,
        1,
    )
    samples, _ = soundfile.read(tmp_path / "1.flac", dtype="float32")
    assert samples == pytest.approx(said.samples, abs=0.5 / 32768 + 1e-9)


def test_the_hash_is_that_of_the_file(tmp_path: Path) -> None:
    """The journal's hash is what `sha256sum` gives, and the same sound has the same hash."""
    (said,) = heard(clip("flite-slt", "fifteen"))
    first = write_clip(tmp_path / "1.flac", said)
    assert first == hashlib.sha256((tmp_path / "1.flac").read_bytes()).hexdigest()
    assert write_clip(tmp_path / "2.flac", said) == first


def test_samples_beyond_full_scale_are_clipped(tmp_path: Path) -> None:
    """A loud call does not wrap round into noise."""
    write_clip(tmp_path / "loud.flac", utterance(np.array([2.0, -2.0, 1.0, 0.5], np.float32)))
    samples, _ = soundfile.read(tmp_path / "loud.flac", dtype="int16")
    assert samples.tolist() == [32767, -32768, 32767, 16384]


def test_a_clip_that_cannot_be_written_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk gives an error that says where; no half clip stands under either name."""

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(AudioError, match="No space left on device") as caught:
        write_clip(tmp_path / "1.flac", utterance(np.zeros(10, np.float32)))
    assert caught.value.where == str(tmp_path / "1.flac")
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    """The clip's folder must exist; it is not made up."""
    with pytest.raises(AudioError, match="No such file or directory") as caught:
        write_clip(tmp_path / "none" / "1.flac", utterance(np.zeros(10, np.float32)))
    assert caught.value.next_step
