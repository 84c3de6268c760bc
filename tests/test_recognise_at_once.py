"""Two people at once: told from inner layers of the encoder, and asked."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import scipy

from calllog.audio import RATE_HZ, Utterance
from calllog.commands.engine import DEFAULT_ENGINE, make_recogniser
from calllog.errors import ModelError
from calllog.recognise import TENTATIVE, Hypothesis, understand
from calllog.recognise.at_once import LIKELY, SUREST, AtOnceNetwork
from calllog.recognise.encoder import WIDTH
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.recognise.encoder_model import AT_ONCE as FILE
from calllog.recognise.encoder_model import EncoderModel, load_encoder_model
from calllog.recognise.engine import AT_ONCE
from calllog.recognise.evidence import said_at_once
from calllog.recognise.frontend import surround
from calllog.recognise.several import together
from calllog.resources import ENCODER_MODEL, model_folder
from calllog.spoken import Parser
from calllog.values import Expectation, Kind, Outcome
from tests.audio.clips import hiss, spoken
from tests.bench.voices import active_rms

LIMIT = 10_000
SHIPPED = model_folder(ENCODER_MODEL) / FILE
NUMBERS = (
    ("flite-kal16", "fifteen"),
    ("flite-kal16", "forty_two"),
    ("flite-slt", "one_hundred"),
    ("flite-slt", "oh_five"),
    ("flite-rms", "fifteen_forty_two"),
    ("espeak-f3", "forty_two"),
)
SIZE, REACH = 8, 5

Sound = npt.NDArray[np.float32]
Layers = dict[str, tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]]


@pytest.fixture(scope="module")
def model() -> EncoderModel:
    """Open the shipped model."""
    return load_encoder_model(model_folder(ENCODER_MODEL), frozenset({"forty"}))


def random_network(path: Path, layers: tuple[int, ...] = (1, 4)) -> Layers:
    """Write a network of whole numbers; give its layers, weights (frames, inputs, outputs)."""
    rng = np.random.default_rng(7)
    shapes = {"first": (1, WIDTH * len(layers), SIZE), "last": (1, 3 * SIZE, 1)}
    shapes |= {f"block{each}": (REACH, SIZE, SIZE) for each in range(2)}
    kept: dict[str, npt.NDArray[np.generic]] = {"layers": np.array(layers, np.int8)}
    found: Layers = {}
    for name, shape in shapes.items():
        whole = rng.integers(-127, 128, shape, np.int8)
        scale, bias = (rng.uniform(1e-4, 6e-4, shape[2]).astype(np.float16) for _ in range(2))
        kept |= {f"{name}.weights": whole, f"{name}.scale": scale, f"{name}.bias": bias}
        found[name] = whole.astype(float) * scale.astype(float), bias.astype(float)
    np.savez_compressed(path, **kept)  # type: ignore[arg-type]
    return found


def reference(layers: Layers, inner: list[Sound]) -> float:
    """Compute such a network by scipy: correlations, mean, spread and most over the frames."""

    def layer(name: str, x: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        weights, bias = layers[name]
        found = np.tile(bias, (len(x), 1))
        for i, o in np.ndindex(weights.shape[1:]):
            found[:, o] += scipy.signal.correlate(x[:, i], weights[:, i, o], "same", "direct")
        return found

    x = np.maximum(layer("first", np.hstack(inner).astype(float)), 0.0)
    for block in ("block0", "block1"):
        normal = (x - x.mean(1, keepdims=True)) / np.sqrt(x.var(1, keepdims=True) + 1e-5)
        x = x + np.maximum(layer(block, normal), 0.0)
    weights, bias = layers["last"]
    pooled = np.concatenate([x.mean(0), np.sqrt(x.var(0) + 1e-6), x.max(0)])
    return float(scipy.special.expit(pooled @ weights[0, :, 0] + bias[0]))


@pytest.mark.parametrize("count", [1, 4, 60])
def test_network_computes_what_scipy_does(tmp_path: Path, count: int) -> None:
    """Whatever the number of frames; it is never surer than it may be."""
    layers = random_network(tmp_path / FILE)
    rng = np.random.default_rng(count)
    inner = [rng.standard_normal((count, WIDTH)).astype(np.float32) for _ in range(2)]
    network = AtOnceNetwork(tmp_path / FILE)
    assert network.layers == (1, 4)
    expected = reference(layers, inner)
    assert 0.01 < expected < SUREST
    assert network.probability(inner) == pytest.approx(expected, abs=1e-4)
    assert network.probability([np.zeros((0, WIDTH), np.float32)] * 2) == 0.0


@pytest.mark.parametrize("old", ["half", "last.bias", "layers"])
def test_broken_network_is_told(tmp_path: Path, old: str) -> None:
    """A file cut short or without a part of it: the error names it."""
    data, broken = SHIPPED.read_bytes(), tmp_path / FILE
    spoiled = (
        data[: len(data) // 2] if old == "half" else data.replace(old.encode(), b"x" * len(old))
    )
    broken.write_bytes(spoiled)
    with pytest.raises(ModelError, match="no network that tells two voices") as told:
        AtOnceNetwork(broken)
    assert str(broken) in str(told.value)


def test_layer_that_the_encoder_lacks_is_told(tmp_path: Path) -> None:
    """It has six."""
    random_network(tmp_path / FILE, (1, 6))
    with pytest.raises(ModelError, match="a layer that the encoder has not"):
        AtOnceNetwork(tmp_path / FILE)


def told(model: EncoderModel, sound: Sound) -> float:
    """Tell how likely a sound is of two people."""
    return model.hear(surround(sound, hiss(0.83)), for_voices=False, for_two=True).at_once


def over(one: Sound, other: Sound) -> Sound:
    """Let two be said at once, each as loud."""
    both = np.zeros(max(len(one), len(other)), np.float32)
    for each in (one, other):
        both[: len(each)] += each * np.float32(0.02 / active_rms(each))
    return both


def test_shipped_network_tells_two_voices_from_one(model: EncoderModel) -> None:
    """None of the clips is taken for two people, most pairs of different voices are."""
    said = {each: spoken(*each) for each in NUMBERS}
    assert [each for each, sound in said.items() if told(model, sound) >= LIKELY] == []
    pairs = [pair for pair in itertools.combinations(said, 2) if pair[0][0] != pair[1][0]]
    found = [told(model, over(said[one], said[other])) >= LIKELY for one, other in pairs]
    assert sum(found) >= 0.75 * len(found)


def test_what_was_not_asked_is_not_worked_out(model: EncoderModel) -> None:
    """Sound at other speeds, and a model without such a network; frames are the same anyhow."""
    sound = surround(spoken(*NUMBERS[0]), hiss(0.83))
    plain = model.hear(sound, for_voices=True)
    asked = model.hear(sound, for_voices=True, for_two=True)
    assert plain.at_once == 0.0 < asked.at_once
    np.testing.assert_array_equal(plain.hidden, asked.hidden)
    np.testing.assert_array_equal(plain.inner, asked.inner)
    spanish = load_encoder_model(model_folder("encoder-es"), frozenset({"quince"}))
    assert spanish.at_once is None
    assert spanish.hear(sound, for_voices=False, for_two=True).at_once == 0.0


@pytest.mark.slow
def test_numbers_said_at_once_are_asked(parser: Parser) -> None:
    """By the program: what was a call, sure or not, is a question; one alone stays a call."""
    with make_recogniser(DEFAULT_ENGINE, None) as recogniser:
        assert isinstance(recogniser, EncoderRecogniser)
        assert FILE in recogniser.identity
        found = []
        for sound in (
            spoken("flite-rms", "forty_two"),
            over(spoken("flite-slt", "oh_five"), spoken("flite-kal16", "fifteen")),
        ):
            utterance = Utterance(
                sound, hiss(0.83), 0.0, len(sound) / RATE_HZ, 0, "test", is_cut=False
            )
            heard = recogniser.recognise(utterance, Expectation.FRACTION)
            assert sum(each.probability for each in heard) <= 1.0 + 1e-9
            found.append((heard, understand(parser, heard, Expectation.FRACTION, LIMIT, TENTATIVE)))
    (alone, call), (both, question) = found
    assert all(each.text != AT_ONCE for each in alone)
    assert (call.outcome, call.value) == (Outcome.CALL, 42)
    assert both[0].text == AT_ONCE
    assert both[0].probability >= LIKELY
    assert question.outcome is not Outcome.CALL


def listed(*pairs: tuple[str, float]) -> tuple[Hypothesis, ...]:
    """Make hypotheses of words and probabilities."""
    return tuple(Hypothesis(text, probability) for text, probability in pairs)


@pytest.mark.parametrize("at_once", [LIKELY, SUREST])
@pytest.mark.parametrize(
    ("heard", "outcome"),
    [
        ((("forty two", 0.99), ("", 0.01)), Outcome.ASK),
        ((("forty two", 0.4), ("forty three", 0.3), ("", 0.3)), Outcome.ASK),
        ((("switch ends", 0.99), ("", 0.01)), Outcome.ASK),
        ((("", 0.6), ("forty two", 0.4)), Outcome.ASK),
        ((("", 0.45), ("forty two", 0.19), ("forty three", 0.19), ("forty", 0.17)), Outcome.ASK),
        ((("", 0.9), ("forty two", 0.1)), Outcome.IGNORED),
        ((("good here", 0.9), ("forty two", 0.1)), Outcome.IGNORED),
    ],
)
def test_what_two_said_at_once_is_asked_where_it_may_be_a_call(
    parser: Parser, heard: tuple[tuple[str, float], ...], outcome: Outcome, at_once: float
) -> None:
    """However sure it is; where there is hardly a call, nothing is asked, as of one person."""
    both = said_at_once(listed(*heard), at_once)
    found = understand(parser, both, Expectation.FRACTION, LIMIT, TENTATIVE)
    assert found.outcome is outcome
    assert all(each.text != AT_ONCE for each in found.alternatives)
    if outcome is Outcome.ASK:
        assert found.kind is Kind.UNCLEAR
        assert found.value is None
        assert max(each.probability for each in found.alternatives) <= 1.0 - at_once


def test_two_at_once_stay_two_in_two_languages(parser: Parser) -> None:
    """What another language hears of the same sound does not undo it."""
    english = said_at_once(listed(("forty two", 0.97), ("", 0.03)), LIKELY)
    both = together([english, listed(("cuarenta", 0.95), ("", 0.05))])
    assert sum(each.probability for each in both) == pytest.approx(1.0)
    assert understand(parser, both, Expectation.FRACTION, LIMIT).outcome is Outcome.ASK
