"""Noise reduced by RNNoise's network: samples in, samples out; shell (calls a library).

Source: J.-M. Valin, "A hybrid DSP/deep learning approach to real-time full-band speech
enhancement", IEEE MMSP 2018. The network and its weights come inside the ``pyrnnoise`` wheel; it
works on 10 ms frames at 48 kHz and starts each utterance afresh.
"""

from __future__ import annotations

import ctypes

import numpy as np
import numpy.typing as npt
import soxr
from pyrnnoise.pyrnnoise import lib

RATE_HZ = 16_000
NETWORK_RATE_HZ = 48_000
FRAME = 480
LAG = 2 * FRAME
"""Samples at the network's rate by which its output comes late; a test measures it."""
FULL_SCALE = 32_768.0
_FLOATS = ctypes.POINTER(ctypes.c_float)

Array = npt.NDArray[np.float64]


def denoise(sound: Array) -> Array:
    """Reduce what is not speech.

    Args:
        sound: shape (n,), full scale 1, 16 kHz. The network needs some tenths of a second before
            it knows the noise, and expects speech at an ordinary level.

    Returns:
        Shape (n,), in step with what went in.
    """
    if not len(sound):
        return sound
    fast = soxr.resample(sound.astype(np.float32), RATE_HZ, NETWORK_RATE_HZ) * FULL_SCALE
    frames = -(-(len(fast) + LAG) // FRAME)
    noisy = np.zeros((frames, FRAME), np.float32)
    noisy.ravel()[: len(fast)] = fast
    clean = np.empty_like(noisy)
    state = lib.rnnoise_create(None)
    try:
        for before, after in zip(noisy, clean, strict=True):
            lib.rnnoise_process_frame(
                state, after.ctypes.data_as(_FLOATS), before.ctypes.data_as(_FLOATS)
            )
    finally:
        lib.rnnoise_destroy(state)
    back = clean.ravel()[LAG : LAG + len(fast)] / FULL_SCALE
    result: Array = soxr.resample(back, NETWORK_RATE_HZ, RATE_HZ).astype(np.float64)
    return np.pad(result, (0, max(0, len(sound) - len(result))))[: len(sound)]
