"""The Spanish encoder model: its files, its calibration, and what it makes of Spanish clips."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from calllog.audio import utterances
from calllog.commands.engine import Engine, make_recogniser, model_for
from calllog.errors import ModelError
from calllog.recognise import Heard, understand
from calllog.recognise.calibration_file import FILE, calibration_text, read_calibration
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.recognise.encoder_model import load_encoder_model
from calllog.recognise.evidence import CALIBRATION
from calllog.resources import ENCODER_MODEL, ENCODER_MODELS, model_folder, read_grammar
from calllog.spoken import Grammar, Parser, words
from calllog.values import Expectation, Kind, Outcome
from models.training.languages import LANGUAGES
from tests.audio.clips import clip
from tests.audio.frames import Frames

FOLDER = model_folder(ENCODER_MODELS["es"])
VOICE = "espeak-es-m3"


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    """Load the grammar in feet."""
    return read_grammar("es-feet")


@pytest.fixture(scope="module")
def engine(grammar: Grammar) -> Iterator[EncoderRecogniser]:
    """Open the shipped model."""
    with make_recogniser(Engine.ENCODER, None, grammar=grammar.name) as made:
        assert isinstance(made, EncoderRecogniser)
        yield made


@pytest.mark.parametrize("name", ["es-feet", "es-metric"])
def test_shipped_network_knows_every_word_of_the_grammars(name: str) -> None:
    """It has an output for each unit, and spells all words in them, as the training does."""
    wanted = words(read_grammar(name))
    model = load_encoder_model(FOLDER, wanted)
    assert model.units == LANGUAGES["es"].units
    assert len(model.units) == model.head.units
    for word in wanted:
        ways = {tuple(model.units[unit] for unit in way) for way in model.pronunciations[word]}
        assert ways == set(LANGUAGES["es"].pronunciations(word)), word


def test_model_is_small() -> None:
    """Well below the 5 MB that a language may take in the repository."""
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < 1_000_000


def test_each_language_has_a_calibration_of_its_own(tmp_path: Path) -> None:
    """The Spanish one stands in its folder; English has none there, and is as it was."""
    spanish = read_calibration(FOLDER)
    assert spanish != CALIBRATION
    assert read_calibration(model_folder(ENCODER_MODEL)) == CALIBRATION
    (tmp_path / FILE).write_text(calibration_text(spanish), "utf-8")
    assert read_calibration(tmp_path) == spanish


@pytest.mark.parametrize("change", ["text", "missing", "more", "words"])
def test_broken_calibration_is_told(tmp_path: Path, change: str) -> None:
    """The error names the file, and what is next."""
    kept = json.loads((FOLDER / FILE).read_text("utf-8"))
    match change:
        case "missing":
            del kept["temperature"]
        case "more":
            kept["slope"] = 1.0
        case "words":
            kept["weights"]["fit"] = "much"
    text = "{" if change == "text" else json.dumps(kept)
    shutil.copytree(FOLDER, tmp_path / "model")
    (tmp_path / "model" / FILE).write_text(text, "utf-8")
    with pytest.raises(ModelError, match=r"calibration\.json: .*no calibration of a model"):
        load_encoder_model(tmp_path / "model", frozenset({"dos"}))


def test_language_without_a_model_is_refused(grammar: Grammar) -> None:
    """The numbers model knows English alone; nobody knows French."""
    assert model_for(Engine.ENCODER, grammar) == FOLDER
    with pytest.raises(ModelError, match=r"hears English only, not grammar es-feet.*--keys-only"):
        model_for(Engine.NUMBERS, grammar)
    french = grammar.model_copy(update={"language": "fr"})
    with pytest.raises(ModelError, match="hears English and Spanish only"):
        model_for(Engine.ENCODER, french)


def heard(engine: EncoderRecogniser, grammar: Grammar, name: str, expects: Expectation) -> Heard:
    """Let the model hear a clip."""
    frames = Frames([clip(VOICE, name)[:, None]])
    (found,) = utterances(frames)
    return understand(Parser(grammar), engine.recognise(found, expects), expects, 10_000)


@pytest.mark.parametrize(
    ("name", "expects", "kind", "value"),
    [
        ("quince", Expectation.WHOLE, Kind.WHOLE, 1500),
        ("cuarenta_y_dos", Expectation.FRACTION, Kind.FRACTION, 42),
        ("cero_cinco", Expectation.FRACTION, Kind.FRACTION, 5),
        ("quince_cuarenta_y_dos", Expectation.READING, Kind.READING, 1542),
        ("cambiar_extremos", Expectation.WHOLE, Kind.COMMAND, None),
    ],
)
def test_spanish_calls_are_heard(
    engine: EncoderRecogniser,
    grammar: Grammar,
    name: str,
    expects: Expectation,
    kind: Kind,
    value: int | None,
) -> None:
    """Numbers and a command of a voice that the network never heard."""
    found = heard(engine, grammar, name, expects)
    assert found.outcome is Outcome.CALL
    assert (found.kind, found.value) == (kind, value)


@pytest.mark.parametrize("name", ["dame_un_pie", "reject_corta_esa_rama_por_favor"])
def test_spanish_talk_is_no_call(engine: EncoderRecogniser, grammar: Grammar, name: str) -> None:
    """Talk that the grammar knows, and talk that it does not."""
    found = heard(engine, grammar, name, Expectation.FRACTION)
    assert found.outcome is not Outcome.CALL
