"""Cepstra against another implementation of Kaldi's, and settings that are refused."""

from __future__ import annotations

import kaldi_native_fbank
import numpy as np
import pytest

from calllog.errors import ModelError
from calllog.recognise.mfcc import FULL_SCALE, MfccSettings, mfcc, read_settings
from tests.audio.clips import clip
from tests.kaldi_files import MFCC_CONF

HIRES = "--use-energy=false\n--num-mel-bins={}\n--num-ceps={}\n--low-freq={}\n--high-freq={}\n"


def by_reference(samples: np.ndarray, settings: MfccSettings) -> np.ndarray:
    """Compute cepstra with kaldi-native-fbank, Kaldi's own code in a library of its own."""
    options = kaldi_native_fbank.MfccOptions()
    options.frame_opts.dither = settings.dither
    options.frame_opts.samp_freq = 16_000
    options.mel_opts.num_bins = settings.bins
    options.mel_opts.low_freq = settings.low_hz
    options.mel_opts.high_freq = settings.high_hz
    options.num_ceps = settings.ceps
    options.use_energy = False
    computer = kaldi_native_fbank.OnlineMfcc(options)
    computer.accept_waveform(16_000, (samples * FULL_SCALE).astype(np.float32).tolist())
    computer.input_finished()
    return np.stack([computer.get_frame(i) for i in range(computer.num_frames_ready)])


@pytest.mark.parametrize(
    "conf", [MFCC_CONF, HIRES.format(23, 13, 0, 0), HIRES.format(30, 30, 60, -400)]
)
@pytest.mark.parametrize("words", ["forty_two", "one_hundred"])
def test_cepstra_are_those_of_kaldi(words: str, conf: str) -> None:
    """A spoken call gives the same frames, each within float32's accuracy."""
    settings = read_settings(conf + "--dither=0\n", "mfcc.conf")
    samples = clip("flite-rms", words)
    expected = by_reference(samples, settings)
    found = mfcc(samples, settings)
    assert found.shape == expected.shape
    np.testing.assert_allclose(found, expected, atol=2e-3)


def test_digital_silence_is_dithered_alike_each_time() -> None:
    """Silence has a spectrum all the same, and hearing it twice gives the same."""
    settings = read_settings(MFCC_CONF, "mfcc.conf")
    found = mfcc(np.zeros(16_000, np.float32), settings)
    assert settings.dither == 1.0
    assert np.ptp(found[:, 0]) > 0.1
    np.testing.assert_array_equal(found, mfcc(np.zeros(16_000, np.float32), settings))


@pytest.mark.parametrize(("count", "frames"), [(0, 0), (399, 0), (400, 1), (559, 1), (560, 2)])
def test_frames_lie_wholly_inside_the_sound(count: int, frames: int) -> None:
    """25 ms each 10 ms, nothing made up at the edges."""
    settings = read_settings(MFCC_CONF, "mfcc.conf")
    assert mfcc(np.zeros(count, np.float32), settings).shape == (frames, 40)


@pytest.mark.parametrize(
    ("conf", "message"),
    [
        ("--num-ceps=13", "--use-energy must be false"),
        (MFCC_CONF + "--use-energy=true", "--use-energy must be false"),
        (MFCC_CONF + "--sample-frequency=8000", "--sample-frequency must be 16000"),
        (MFCC_CONF + "--num-ceps=many", "--num-ceps=many is no number"),
        (MFCC_CONF + "--num-ceps=41", "impossible"),
        (MFCC_CONF + "--low-freq=7700", "impossible"),
        (MFCC_CONF + "--htk-compat=true", "--htk-compat=true is not known here"),
    ],
)
def test_settings_that_are_not_computed_are_refused(conf: str, message: str) -> None:
    """A model with other features is an error, never heard with the wrong ones."""
    with pytest.raises(ModelError, match=message):
        read_settings(conf, "mfcc.conf")


def test_comments_and_what_has_no_effect_are_passed_over() -> None:
    """Files as they are shipped are read."""
    text = "# a comment\n" + MFCC_CONF + "--allow-upsample=true # here too\n--dither=0.5"
    assert read_settings(text, "mfcc.conf") == MfccSettings(40, 40, 20.0, 7600.0, 0.5)
