"""Synthetic speakers and seeded noise for benchmarks and test clips; shell (runs speech programs).

Flite, eSpeak NG and Festival are Debian's `flite`, `espeak-ng`, `festival` and
`festvox-kdlpc16k`; Piper's "joe" comes from the `bench` extra, mixed voices from `corpus`. Nothing
random is left in: the same text and voice give the same sound.
"""

from __future__ import annotations

import subprocess
import tempfile
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from models.training.phones import kokoro, non_rhotic, pronunciations
from models.training.speak import kokoro_says
from tests.bench.mixed_voices import RATE_HZ as MIXED_RATE_HZ
from tests.bench.mixed_voices import speak_mixed
from tests.bench.recorded_voice import recorded_says

if TYPE_CHECKING:
    from piper import PiperVoice

RATE_HZ = 16_000
TUNING_VOICES = (
    "flite-kal16",
    "flite-awb",
    "espeak-f3",
    "espeak-m3",
    "espeak-max",
    "espeak-f2",
    "espeak-m7",
    "espeak-Annie",
)
"""Voices that settings may be tuned on."""
REPORTING_VOICES = ("piper-joe", "flite-rms", "flite-slt")
"""Voices kept aside: figures are reported on them, nothing is tuned on them."""
BABBLERS = ("espeak-max", "espeak-f3", "espeak-m7", "flite-kal16")
BABBLE = (
    "we had rain all through the night and the creek is over the lower path again",
    "the man at the hardware store said that the paint would come in on thursday",
    "my sister keeps two horses behind the barn and a goat that eats everything",
    "there was a long line at the bakery so i went home without any bread",
)
"""What the babble says: no numbers."""
_ACTIVE_BELOW_PEAK_DB = 30.0
_FRAME = 320

Sound = npt.NDArray[np.float32]


def synthesise(text: str, voice: str) -> Sound:
    """Speak a text.

    Args:
        text: English words, numbers spelled out.
        voice: ``piper-joe``, ``flite-<voice>``, ``espeak-<variant>``, ``festival-<voice>``,
            ``kokoro-<speaker>``, ``pico-<language>``, ``recorded-man`` (some words
            only) or ``mixed-<seed>`` (numbers only).

    Returns:
        Samples, shape (n,), float32 within -1 to 1, mono at 16 kHz.

    Raises:
        ValueError: no such kind of voice.
        subprocess.CalledProcessError: the speech program refused.
    """
    kind, _, name = voice.partition("-")
    if kind == "piper":
        return _piper(text, name)
    if kind == "kokoro":
        return _kokoro(text, name)
    if kind == "pico":
        return _pico(text, name)
    if kind == "recorded":
        return recorded_says(text)
    if kind == "mixed":
        return _at_16_khz(speak_mixed(text, int(name)), MIXED_RATE_HZ)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        if kind == "flite":
            command = ["flite", "-voice", name, "-t", text, "-o", str(path)]
        elif kind == "espeak":
            command = ["espeak-ng", "-v", f"en-us+{name}", "-w", str(path), text]
        elif kind == "festival":
            command = ["text2wave", "-eval", f"(voice_{name}_diphone)", "-o", str(path)]
        else:
            message = f"{voice}: no such kind of voice; take piper-joe, flite-... or espeak-..."
            raise ValueError(message)
        subprocess.run(command, check=True, capture_output=True, input=text.encode())
        samples, rate_hz = soundfile.read(path, dtype="float32")
    return _at_16_khz(samples, rate_hz)


def traffic(n: int, rng: np.random.Generator) -> Sound:
    """Make traffic: noise falling 4 dB an octave that swells as cars pass.

    A car each 2 to 6 s. RMS 1; shape (n,), 16 kHz.
    """
    time_s = np.arange(n) / RATE_HZ
    level = np.full(n, 0.15)
    passing_s = float(rng.uniform(0.0, 3.0))
    while passing_s < n / RATE_HZ + 3.0:
        width_s = rng.uniform(0.5, 1.5)
        level += rng.uniform(0.4, 1.0) * np.exp(-0.5 * ((time_s - passing_s) / width_s) ** 2)
        passing_s += rng.uniform(2.0, 6.0)
    return _unit(_shaped(n, rng, slope=0.67) * level)


def babble(n: int, rng: np.random.Generator) -> Sound:
    """Make babble: four voices at once that no figure is reported on; RMS 1; shape (n,)."""
    total = np.zeros(n, np.float32)
    for voice in BABBLERS:
        said = np.concatenate([_babbled(voice, text) for text in BABBLE])
        start = int(rng.integers(len(said)))
        total += _unit(np.resize(np.roll(said, -start), n))
    return _unit(total)


def pink(n: int, rng: np.random.Generator) -> Sound:
    """Make pink noise: power falls 3 dB an octave above 20 Hz; RMS 1; shape (n,), 16 kHz."""
    return _shaped(n, rng, slope=0.5)


def wind(n: int, rng: np.random.Generator) -> Sound:
    """Make gusty wind: brown noise (6 dB an octave above 20 Hz) under a slow random envelope.

    The gusts last about 0.7 s to 3 s and differ by about 20 dB. RMS 1; shape (n,), 16 kHz.
    """
    gusts_n = max(2, n * 2 // RATE_HZ + 4)
    level_db = np.convolve(rng.normal(0.0, 12.0, gusts_n + 4), np.full(3, 1 / 3), "same")
    at = np.linspace(2.0, gusts_n, n)
    envelope = 10.0 ** (np.interp(at, np.arange(level_db.size), level_db) / 20.0)
    return _unit(_shaped(n, rng, slope=1.0) * envelope)


def mix(speech: Sound, noise: Sound, snr_db: float) -> Sound:
    """Add noise to speech at an SNR taken over the active speech level.

    Active are the 20 ms frames less than 30 dB below the loudest one; pauses do not count. Scaled
    down together where the sum would exceed full scale.

    Args:
        speech: samples, shape (n,).
        noise: samples, shape (n,) or longer.
        snr_db: level of active speech over noise [dB].

    Returns:
        The sum, shape (n,), float32 within -1 to 1.
    """
    noise = noise[: speech.size]
    gain = active_rms(speech) / float(np.sqrt(np.mean(noise**2))) / 10.0 ** (snr_db / 20.0)
    total = speech + noise * gain
    peak = float(np.max(np.abs(total)))
    return np.asarray(total / max(1.0, peak / 0.99), dtype=np.float32)


def active_rms(speech: Sound) -> float:
    """Return the RMS of the 20 ms frames less than 30 dB below the loudest one."""
    frames = speech[: max(_FRAME, speech.size // _FRAME * _FRAME)]
    power = np.mean(frames.reshape(-1, min(_FRAME, frames.size)) ** 2, axis=1)
    active = power > power.max() * 10.0 ** (-_ACTIVE_BELOW_PEAK_DB / 10.0)
    return float(np.sqrt(power[active].mean())) if active.any() else 0.0


def _shaped(n: int, rng: np.random.Generator, *, slope: float) -> Sound:
    frequency_hz = np.fft.rfftfreq(n, 1.0 / RATE_HZ)
    spectrum = np.fft.rfft(rng.standard_normal(n))
    spectrum *= np.where(frequency_hz < 20.0, 0.0, np.maximum(frequency_hz, 20.0) ** -slope)
    return _unit(np.fft.irfft(spectrum, n))


def _unit(samples: npt.NDArray[Any]) -> Sound:
    return np.asarray(samples / np.sqrt(np.mean(samples**2)), dtype=np.float32)


def _at_16_khz(samples: Sound, rate_hz: int) -> Sound:
    resampled = samples if rate_hz == RATE_HZ else soxr.resample(samples, rate_hz, RATE_HZ)
    return np.asarray(np.clip(resampled, -1.0, 1.0), dtype=np.float32)


@cache
def _babbled(voice: str, text: str) -> Sound:
    return synthesise(text, voice)


def _kokoro(text: str, name: str) -> Sound:
    """Speak by one of Kokoro's own speakers; British ones leave out the R that they drop."""
    is_british = name.startswith("b")
    spelt = []
    for word in text.split():
        if not (ways := pronunciations(word)):
            message = f"{word}: no pronunciation for Kokoro"
            raise ValueError(message)
        phones = non_rhotic(ways[0]) if is_british else ways[0]
        spelt.append(kokoro(phones, british=is_british))
    speaker = {"names": [name], "timbre": [1.0], "manner": [1.0], "row": 45, "speed": 1.0}
    return kokoro_says(" ".join(spelt) + ".", speaker)


@cache
def _pico_engine(language: str) -> Any:  # noqa: ANN401 - it has no types
    import ttspico  # noqa: PLC0415 - only the corpus extra brings it

    return ttspico.TtsEngine(language)


def _pico(text: str, language: str) -> Sound:
    samples = np.frombuffer(_pico_engine(language).speak(text), "<i2")
    return _at_16_khz((samples / 32768.0).astype(np.float32), RATE_HZ)


@cache
def _piper_voice(name: str) -> PiperVoice:
    from piper import PiperVoice  # noqa: PLC0415 - only the bench extra brings it

    folder = resources.files(f"{name}_us_piper_voice") / "data"
    return PiperVoice.load(str(folder / f"en_US-{name}-medium.onnx"))


def _piper(text: str, name: str) -> Sound:
    from piper import SynthesisConfig  # noqa: PLC0415 - only the bench extra brings it

    still = SynthesisConfig(noise_scale=0.0, noise_w_scale=0.0)
    chunks = list(_piper_voice(name).synthesize(text, still))
    return _at_16_khz(
        np.concatenate([c.audio_float_array for c in chunks]).astype(np.float32),
        chunks[0].sample_rate,
    )
