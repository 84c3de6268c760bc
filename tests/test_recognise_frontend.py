"""The front end against another engine's cepstra, and the textbook values of its filter."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest

from calllog.recognise.frontend import RATE_HZ, Array, cepstra, high_pass
from tests.audio.clips import clip

SCALE = 3 * 32767
"""What the clips were brought to before PocketSphinx heard them, in units of a 16-bit sample."""
MEANS = {
    ("flite-slt", "one_hundred"): (
        *(27.1132, -2.10773, 5.0752, 6.84112, -1.3036, 2.83794, 1.11255),
        *(-0.757331, 3.68732, 1.21797, 0.400445, 4.71046, 5.46351),
    ),
    ("flite-rms", "forty_two"): (
        *(29.1979, -6.19953, 4.15205, 10.6269, 3.91989, -0.441006, 4.08714),
        *(-7.21108, -4.02368, -8.68647, 2.53135, 0.590722, 1.74685),
    ),
    ("espeak-f3", "fifteen"): (
        *(27.9747, -12.2737, 6.01793, 13.7251, -6.68554, -1.64246, -8.66458),
        *(-0.0719412, -9.47118, -1.89736, -3.00565, -0.414534, -0.577162),
    ),
}
"""Cepstral means that PocketSphinx 5.1.1 itself found in clips, with the model of its wheel, noise
removal off, over a whole utterance (2026-11-29)."""


def tone(hz: float, seconds: float = 2.0) -> Array:
    """Make a sine of amplitude 0.5."""
    times_s = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    result: Array = 0.5 * np.sin(2 * np.pi * hz * times_s)
    return result


def level_db(samples: npt.NDArray[np.floating]) -> float:
    """Give the RMS in decibels."""
    return float(10.0 * np.log10(np.mean(np.square(samples, dtype=np.float64))))


@pytest.mark.parametrize(("speaker", "words"), MEANS)
def test_the_mean_is_another_engines(speaker: str, words: str) -> None:
    """What PocketSphinx found in the same samples, to a hundredth of what calls differ by."""
    samples = np.clip(np.rint(clip(speaker, words) * SCALE), -32768, 32767)
    ours = cepstra(samples.astype(np.float64)).mean(axis=0)
    np.testing.assert_allclose(ours, MEANS[speaker, words], atol=0.15)


@pytest.mark.parametrize(
    ("hz", "gain_db"),
    [(50.0, -10 * np.log10(1 + 2.0**8)), (100.0, -10 * np.log10(2.0)), (1000.0, 0.0)],
)
def test_the_high_pass_is_butterworths(hz: float, gain_db: float) -> None:
    """Wind's rumble goes, voices stay: gain 1/sqrt(1 + (100 Hz / f)^8), fourth order.

    Source: Butterworth, "On the theory of filter amplifiers", Wireless Engineer 7 (1930) 536
    (from memory).
    """
    steady = slice(RATE_HZ, None)
    out_db, in_db = level_db(high_pass(tone(hz))[steady]), level_db(tone(hz)[steady])
    assert out_db - in_db == pytest.approx(gain_db, abs=0.1)
