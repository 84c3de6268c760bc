"""An utterance in, samples fit for a recogniser out, and the cepstra of its voice; arrays."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view

from calllog.audio.filters import high_pass_gain

RATE_HZ = 16_000
HIGH_PASS_HZ = 100.0
PADDING_S = 0.3
LOUDNESS = 0.07
"""RMS, of full scale, to which the loudest twentieth of an utterance is brought, so that a faint
microphone is heard like a near one."""
QUIETEST = 1e-4
"""What is fainter than this is not raised any further: it is no speech."""
LEVEL_FRAME = 320
LEAD = 6_400
"""Samples before an utterance that are looked at, the most: 0.4 s."""

FFT, FRAME, SHIFT = 512, 410, 160
FILTERS, CEPSTRA = 25, 13
LOWEST_HZ, HIGHEST_HZ = 130.0, 6800.0
LIFTER = 22
PRE_EMPHASIS = 0.97

Samples = npt.NDArray[np.float32]
Array = npt.NDArray[np.float64]


def _mel_filters() -> Array:
    def mel(hz: float) -> float:
        return float(2595.0 * np.log10(1.0 + hz / 700.0))

    step_hz = RATE_HZ / FFT
    mels = np.linspace(mel(LOWEST_HZ), mel(HIGHEST_HZ), FILTERS + 2)
    edges = np.round(700.0 * (10.0 ** (mels / 2595.0) - 1.0) / step_hz) * step_hz
    bins = np.arange(FFT // 2 + 1) * step_hz
    left, centre, right = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    up = (bins - left) / (centre - left)
    down = (right - bins) / (right - centre)
    filters: Array = np.clip(np.minimum(up, down), 0.0, None) * 2.0 / (right - left)
    return filters


_FILTERS = _mel_filters()
_DCT = np.array(
    [
        np.cos(np.pi * k * (np.arange(FILTERS) + 0.5) / FILTERS)
        * np.sqrt((1.0 if k == 0 else 2.0) / FILTERS)
        for k in range(CEPSTRA)
    ]
)
_LIFT = 1.0 + LIFTER / 2 * np.sin(np.pi * np.arange(CEPSTRA) / LIFTER)
_HAMMING = np.hamming(FRAME)


def surround(samples: Samples, lead: Samples) -> Array:
    """Level an utterance and set real sound about it, for a network that looks to both sides.

    Args:
        samples: the utterance, shape (n,), full scale 1, 16 kHz.
        lead: sound right before it, shape (m,).

    Returns:
        Samples, full scale 1: up to 0.3 s of the lead, the utterance, and as much of the lead
        again, backwards, for what comes after an utterance is not known yet.
    """
    lead = lead[-LEAD:]
    joined = np.concatenate([lead, samples]).astype(np.float64) * _gain(samples)
    kept = min(len(lead), int(PADDING_S * RATE_HZ))
    before = joined[len(lead) - kept : len(lead)]
    return np.concatenate([joined[len(lead) - kept :], before[::-1]])


def high_pass(sound: Array) -> Array:
    """Take out rumble below 100 Hz: Butterworth, fourth order, no delay; shape (n,) to (n,)."""
    gain = high_pass_gain(np.fft.rfftfreq(len(sound), 1 / RATE_HZ), HIGH_PASS_HZ, 4)
    result: Array = np.fft.irfft(np.fft.rfft(sound) * gain, len(sound))
    return result


def _gain(speech: Samples | Array) -> float:
    """Find what brings the loud frames to one level, whatever the microphone's gain."""
    whole = speech[: len(speech) // LEVEL_FRAME * LEVEL_FRAME].reshape(-1, LEVEL_FRAME)
    if not len(whole):
        return 1.0
    loud = float(np.sqrt(np.percentile(np.mean(np.square(whole, dtype=np.float64), axis=1), 95)))
    return LOUDNESS / max(loud, QUIETEST)


def cepstra(samples: Array) -> Array:
    """Compute mel cepstra as PocketSphinx does with its US English model.

    Args:
        samples: shape (n,), in units of a 16-bit sample, n at least one frame (410).

    Returns:
        Cepstra, shape (frames, 13), one frame each 10 ms.
    """
    raised = np.append(samples[0], samples[1:] - PRE_EMPHASIS * samples[:-1])
    frames = sliding_window_view(raised, FRAME)[::SHIFT] * _HAMMING
    power = np.abs(np.fft.rfft(frames, FFT, axis=1)) ** 2
    logs = np.log(np.maximum(power @ _FILTERS.T, 1e-4))
    result: Array = (logs @ _DCT.T) * _LIFT
    return result


def loud_frames(frames: Array, depth: float) -> npt.NDArray[np.bool_]:
    """Mark the loud frames.

    Args:
        frames: cepstra, shape (n, 13).
        depth: how far below the loudest a frame may be, as a share of the range of loudness.

    Returns:
        Shape (n,), at least one of them True.
    """
    quiet, loud = np.percentile(frames[:, 0], (5, 95))
    is_loud: npt.NDArray[np.bool_] = frames[:, 0] >= loud - depth * (loud - quiet)
    return is_loud
