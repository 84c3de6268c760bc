"""An utterance in, samples fit for the recogniser out, and the cepstra for its mean; pure arrays.

Sources: decision-directed a-priori SNR after Ephraim and Malah, "Speech enhancement using a
minimum mean-square error short-time spectral amplitude estimator", IEEE Trans. ASSP 32 (1984)
1109, eq. 51 (from memory), with a Wiener gain. The cepstra follow the settings in the model's own
``feat.params``; a test compares their mean with the engine's.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view
from scipy.signal import butter, sosfilt

RATE_HZ = 16_000
FULL_SCALE = 32_767.0
HIGH_PASS_HZ = 100.0
DITHER = 5e-4
"""Standard deviation of the white noise added, of full scale: digital silence has no spectrum."""
PADDING_S = 0.3
LOUDNESS = 0.07
"""RMS, of full scale, to which the loudest twentieth of an utterance is brought: 43 dB over the
dither, so that a faint microphone is heard like a near one."""
QUIETEST = 1e-4
"""What is fainter than this is not raised any further: it is no speech."""
LEVEL_FRAME = 320

FFT, HOP = 512, 128
SMOOTHING = 0.98
GAIN_FLOOR = 0.1
SHORTEST_LEAD = 4 * FFT

FRAME, SHIFT = 410, 160
FILTERS, CEPSTRA = 25, 13
LOWEST_HZ, HIGHEST_HZ = 130.0, 6800.0
LIFTER = 22
PRE_EMPHASIS = 0.97

Samples = npt.NDArray[np.float32]
Array = npt.NDArray[np.float64]

_HIGH_PASS = butter(4, HIGH_PASS_HZ, "highpass", fs=RATE_HZ, output="sos")
_WINDOW = np.sqrt(np.hanning(FFT + 1)[:FFT])


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


def prepare(samples: Samples, lead: Samples) -> Array:
    """Filter, denoise, level and pad an utterance.

    Args:
        samples: the utterance, shape (n,), full scale 1, 16 kHz.
        lead: sound right before it, shape (m,), taken as noise; too short a lead is not used.

    Returns:
        Samples of shape (n + 2 · 0.3 s), in units of a 16-bit sample.
    """
    joined = sosfilt(_HIGH_PASS, np.concatenate([lead, samples]).astype(np.float64))
    noise, speech = joined[: len(lead)], joined[len(lead) :]
    if len(noise) >= SHORTEST_LEAD:
        speech = _denoise(speech, noise)
    speech = _levelled(speech)
    padding = int(PADDING_S * RATE_HZ)
    padded = np.concatenate([np.zeros(padding), speech, np.zeros(padding)])
    dither = np.random.default_rng(len(padded)).standard_normal(len(padded))
    result: Array = (padded + DITHER * dither) * FULL_SCALE
    return result


def _levelled(speech: Array) -> Array:
    """Bring the loud frames to one level, whatever the microphone's gain."""
    whole = speech[: len(speech) // LEVEL_FRAME * LEVEL_FRAME].reshape(-1, LEVEL_FRAME)
    if not len(whole):
        return speech
    loud = np.sqrt(np.percentile(np.mean(whole**2, axis=1), 95))
    levelled: Array = speech * (LOUDNESS / max(loud, QUIETEST))
    return levelled


def _spectra(signal: Array) -> npt.NDArray[np.complex128]:
    frames = sliding_window_view(signal, FFT)[::HOP]
    return np.fft.rfft(frames * _WINDOW, axis=1)


def _denoise(speech: Array, noise: Array) -> Array:
    """Reduce stationary noise by a Wiener filter whose SNR estimate leans on the frame before."""
    noise_power = np.mean(np.abs(_spectra(noise)) ** 2, axis=0) + 1e-12
    tail = FFT + HOP - len(speech) % HOP
    padded = np.concatenate([np.zeros(FFT), speech, np.zeros(tail)])
    spectra = _spectra(padded)
    posterior = np.abs(spectra) ** 2 / noise_power
    gains = np.empty_like(posterior)
    before = np.ones(posterior.shape[1])
    for index, now in enumerate(posterior):
        prior = SMOOTHING * before + (1.0 - SMOOTHING) * np.maximum(now - 1.0, 0.0)
        gain = np.maximum(prior / (1.0 + prior), GAIN_FLOOR)
        gains[index] = gain
        before = gain**2 * now
    frames = np.fft.irfft(spectra * gains, axis=1) * _WINDOW
    clean = np.zeros(len(padded))
    weight = np.full(len(padded), 1e-3)
    for index, frame in enumerate(frames):
        clean[index * HOP : index * HOP + FFT] += frame
        weight[index * HOP : index * HOP + FFT] += _WINDOW**2
    result: Array = (clean / weight)[FFT : FFT + len(speech)]
    return result


def cepstra(samples: Array) -> Array:
    """Compute mel cepstra as the engine does.

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


def speech_frames(frames: Array, depth: float) -> Array:
    """Keep the loud frames (see `loud_frames`) and their neighbours; shape (m, 13), 0 < m <= n."""
    near = np.convolve(loud_frames(frames, depth), np.ones(9), "same") > 0
    kept: Array = frames[near]
    return kept
