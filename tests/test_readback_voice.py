"""Voices: what is ready is said at once, what is not is said by the words that are."""

from __future__ import annotations

import sys
import threading
import types
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from calllog.errors import ConfigError, ModelError
from calllog.readback import choose_voice, rehearsal
from calllog.readback import voice as voices
from calllog.readback.tones import Sound
from calllog.readback.voice import LEVEL, MOST_KEPT, BuiltIn, Mute, Piper, shipped_piper, trim
from calllog.spoken import Grammar

RATE_HZ = 22_050


@dataclass
class Synthesiser:
    """Stands in for Piper's: gives sound when it is let, and counts."""

    is_let: threading.Event = field(default_factory=threading.Event)
    spoken: list[str] = field(default_factory=list)
    breaks: bool = False
    config: object = field(default_factory=lambda: types.SimpleNamespace(sample_rate=RATE_HZ))

    def synthesize(self, words: str, _settings: object) -> Iterator[object]:
        """Give a hum, once it is let, in two chunks with silence around."""
        assert self.is_let.wait(10.0)
        if self.breaks:
            message = "the runtime gave up"
            raise RuntimeError(message)
        self.spoken.append(words)
        hum = np.sin(np.arange(RATE_HZ // 2) * 0.1).astype(np.float32)
        quiet = np.zeros(RATE_HZ // 4, np.float32)
        yield types.SimpleNamespace(audio_float_array=np.concatenate([quiet, hum]))
        yield types.SimpleNamespace(audio_float_array=quiet)


@dataclass
class Fallback:
    """Says which words it was left."""

    spoken: list[str] = field(default_factory=list)
    identity: str = "fallback"
    is_closed: bool = False

    def speak(self, words: str, within_s: float) -> tuple[Sound, int]:
        """Give one sample."""
        assert within_s >= 0.0
        self.spoken.append(words)
        return np.ones(1, np.float32), 16_000

    def close(self) -> None:
        """Note it."""
        self.is_closed = True


@pytest.fixture
def synthesiser(monkeypatch: pytest.MonkeyPatch) -> Synthesiser:
    """Put a stand-in where Piper would be."""
    made = Synthesiser()
    piper = types.SimpleNamespace(
        PiperVoice=types.SimpleNamespace(load=lambda _path: made),
        SynthesisConfig=lambda **settings: settings,
    )
    monkeypatch.setitem(sys.modules, "piper", piper)
    return made


@pytest.fixture
def model(tmp_path: Path) -> Path:
    """Make the two files of a voice."""
    path = tmp_path / "en.onnx"
    path.write_bytes(b"x")
    path.with_name("en.onnx.json").write_text("{}", "utf-8")
    return path


def test_prepared_phrases_are_said_without_waiting(synthesiser: Synthesiser, model: Path) -> None:
    """What was rendered before is at hand, trimmed and levelled, and rendered once only."""
    synthesiser.is_let.set()
    with Piper(model, Fallback(), ("thirty three", "eighty seven")) as piper:
        sound, rate_hz = piper.speak("eighty seven", 10.0)
        again, _ = piper.speak("eighty seven", 0.0)
        assert np.array_equal(sound, again)
        assert rate_hz == RATE_HZ
        assert sound.size == pytest.approx(RATE_HZ / 2, rel=0.05)
        assert np.sqrt(np.mean(sound**2)) == pytest.approx(LEVEL, rel=0.1)
        piper.speak("thirty three", 10.0)
    assert sorted(synthesiser.spoken) == ["eighty seven", "thirty three"]


def test_what_is_not_ready_in_time_is_said_by_the_fallback(
    synthesiser: Synthesiser, model: Path
) -> None:
    """The crew does not wait for a slow voice; the next time its own is ready."""
    fallback = Fallback()
    with Piper(model, fallback) as piper:
        sound, rate_hz = piper.speak("pull three", 0.01)
        assert (sound.size, rate_hz, fallback.spoken) == (1, 16_000, ["pull three"])
        synthesiser.is_let.set()
        assert piper.speak("pull three", 10.0)[1] == RATE_HZ
        assert fallback.spoken == ["pull three"]
    assert fallback.is_closed


def test_phrase_is_put_together_from_prepared_parts(synthesiser: Synthesiser, model: Path) -> None:
    """A reading that was never said is joined from its feet and hundredths, in the same voice."""
    synthesiser.is_let.set()
    fallback = Fallback()
    with Piper(model, fallback, ("thirty three", "eighty seven")) as piper:
        for part in ("thirty three", "eighty seven"):
            piper.speak(part, 10.0)
        synthesiser.is_let.clear()
        sound, rate_hz = piper.speak("thirty three eighty seven", 0.01)
        assert rate_hz == RATE_HZ
        assert sound.size > 2 * 0.95 * RATE_HZ / 2
        assert not fallback.spoken
        synthesiser.is_let.set()


def test_asked_comes_before_prepared(synthesiser: Synthesiser, model: Path) -> None:
    """What the crew waits for now is rendered before what it may hear later."""
    ahead = tuple(f"number {each}" for each in range(20))
    with Piper(model, Fallback(), ahead) as piper:
        piper.speak("stop", 0.01)
        synthesiser.is_let.set()
        piper.speak("stop", 10.0)
        assert synthesiser.spoken.index("stop") <= 1


def test_memory_does_not_grow_with_the_day(synthesiser: Synthesiser, model: Path) -> None:
    """Only the phrases used last are kept."""
    synthesiser.is_let.set()
    with Piper(model, Fallback()) as piper:
        for each in range(MOST_KEPT + 5):
            piper.speak(f"pull {each}", 10.0)
        for words in ("pull 0", f"pull {MOST_KEPT + 4}"):
            piper.speak(words, 10.0)
    assert synthesiser.spoken.count("pull 0") == 2
    assert synthesiser.spoken.count(f"pull {MOST_KEPT + 4}") == 1


def test_voice_that_breaks_leaves_all_to_the_fallback(
    synthesiser: Synthesiser, model: Path
) -> None:
    """An error inside the synthesiser costs its voice, not the read-back."""
    synthesiser.breaks = True
    synthesiser.is_let.set()
    fallback = Fallback()
    with Piper(model, fallback) as piper:
        piper.speak("stop", 10.0)
        piper.speak("stop", 10.0)
    assert fallback.spoken == ["stop", "stop"]


def test_close_ends_the_thread(synthesiser: Synthesiser, model: Path) -> None:
    """Nothing runs on after it."""
    synthesiser.is_let.set()
    piper = Piper(model, Fallback(), ("one",))
    piper.close()
    assert "piper" not in {each.name for each in threading.enumerate()}


def test_missing_voice_file_is_named(tmp_path: Path, model: Path) -> None:
    """The path is checked before anything is loaded, the settings beside the model as well."""
    with pytest.raises(ModelError, match=r"no\.onnx: there is no such voice file"):
        choose_voice(str(tmp_path / "no.onnx"))
    model.with_name("en.onnx.json").unlink()
    with pytest.raises(ModelError, match=r"en\.onnx\.json"):
        choose_voice(str(model))


def test_without_piper_the_error_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, model: Path
) -> None:
    """The extra is named."""
    monkeypatch.setitem(sys.modules, "piper", None)
    with pytest.raises(ModelError, match=r"calllog\[speech\]"):
        choose_voice(str(model))
    monkeypatch.setattr(voices, "shipped_piper", lambda: None)
    with pytest.raises(ModelError, match=r"calllog\[speech\]"):
        choose_voice("piper")


def test_broken_voice_is_an_error(monkeypatch: pytest.MonkeyPatch, model: Path) -> None:
    """Whatever the runtime throws becomes what, where and what next."""

    def load(_path: Path) -> None:
        message = "no protobuf"
        raise RuntimeError(message)

    piper = types.SimpleNamespace(PiperVoice=types.SimpleNamespace(load=load), SynthesisConfig=dict)
    monkeypatch.setitem(sys.modules, "piper", piper)
    with pytest.raises(ModelError, match="the voice is broken: no protobuf"):
        choose_voice(str(model))


def test_voice_is_chosen_by_name(
    monkeypatch: pytest.MonkeyPatch, synthesiser: Synthesiser, model: Path
) -> None:
    """Named, or the better one that is installed; anything else is refused with the choices."""
    synthesiser.is_let.set()
    assert isinstance(choose_voice("built-in"), BuiltIn)
    monkeypatch.setattr(voices, "shipped_piper", lambda: None)
    assert isinstance(choose_voice(), BuiltIn)
    monkeypatch.setattr(voices, "shipped_piper", lambda: model)
    for named in (None, "piper", str(model)):
        voice = choose_voice(named, ("one",))
        assert voice.identity == "piper en"
        voice.close()
    with pytest.raises(ConfigError, match=r"take built-in, piper, or the path"):
        choose_voice("harp")


def test_trimming_silence_leaves_silence() -> None:
    """Sound without speech is no error."""
    assert trim(np.zeros(1000, np.float32), RATE_HZ).size == 0
    assert trim(np.zeros(3, np.float32), RATE_HZ).size == 0


@pytest.mark.slow
def test_installed_piper_speaks(grammar: Grammar) -> None:
    """The real voice of the extra, where it is installed."""
    if shipped_piper() is None:
        pytest.skip("the extra speech is not installed")
    voice = choose_voice("piper", rehearsal(grammar)[:5])
    assert isinstance(voice, Piper)
    with voice:
        sound, rate_hz = voice.speak("thirty three eighty seven", 20.0)
        assert rate_hz == RATE_HZ
        assert 0.8 < sound.size / rate_hz < 2.0


def test_no_voice_speaks_another_language() -> None:
    """Words that two languages share, spoken alone, would be half a sentence: tones alone, then."""
    voice = choose_voice(language="fr")
    assert isinstance(voice, Mute)
    assert voice.speak("non")[0].size == 0
    for named, only in (("built-in", "en, es"), ("piper", "en")):
        with pytest.raises(ConfigError, match=rf"{named} does not speak fr, only {only}.*\.onnx"):
            choose_voice(named, language="fr")
    with pytest.raises(ConfigError, match=r"piper does not speak es"):
        choose_voice("piper", language="es")
    spanish = choose_voice(language="es")
    assert isinstance(spanish, BuiltIn)
    assert {"cuarenta y dos", "centésimas"} <= set(spanish.known)
    assert isinstance(choose_voice("built-in", language="es-419"), BuiltIn)
    assert isinstance(choose_voice("built-in", language="en-US"), BuiltIn)
