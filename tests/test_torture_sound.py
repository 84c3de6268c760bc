"""Sound that is no call, and a microphone that comes and goes: a small part of the torture."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from calllog.audio import RATE_HZ
from calllog.recognise import Hypothesis, Recogniser
from calllog.spoken import Grammar, Parser
from calllog.values import Expectation, Outcome
from tests.heard_once import encoder_once
from tests.torture.sound import EXPECTED, Ears, held_mb
from tests.torture.sounds import SEED, Pieces, constant, music, storm, tones, wind
from tests.torture.storm import rage
from tests.virtual import HAS_PULSEAUDIO, VirtualSound

Make = Callable[[np.random.Generator], Pieces]
CLIP = Path(__file__).parent / "audio/flite-slt/one_hundred.flac"


def some(pieces: Pieces, seconds: float) -> Pieces:
    """Cut so many seconds off."""
    left = round(seconds * RATE_HZ)
    while left > 0:
        piece = next(pieces)[:left].astype(np.float32)
        left -= len(piece)
        yield piece


@pytest.fixture(scope="module")
def recogniser(grammar: Grammar, heard: Path) -> Iterator[Recogniser]:
    """Open the engine once; each kind of sound is a source of its own, which it hears afresh."""
    with encoder_once(heard, grammar) as opened:
        yield opened


@pytest.mark.slow
@pytest.mark.parametrize(
    ("kind", "make", "seconds"),
    [
        ("constant", constant, 8.0),
        ("pure tones", tones, 12.0),
        ("music", music, 16.0),
        ("gusty wind", wind, 30.0),
        ("harsh wind", storm, 30.0),
    ],
)
def test_sound_that_nobody_made_is_no_call(
    recogniser: Recogniser,
    parser: Parser,
    kind: str,
    make: Callable[[np.random.Generator], Pieces],
    seconds: float,
) -> None:
    """Wind, tones, music and a faulty input come to nothing, and are heard to their end."""
    ears = Ears(recogniser, parser, kind)
    ears.hear(some(make(np.random.default_rng(SEED)), seconds))
    assert ears.count(Outcome.CALL) == 0
    assert ears.seconds == pytest.approx(seconds, abs=0.1)
    assert ("offset" in ears.warned) == (kind == "constant")


class Talker:
    """A recogniser that takes all it hears for the same words."""

    identity = "talker"

    def recognise(self, utterance: object, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Hear what is expected."""
        del utterance
        words = {Expectation.WHOLE: "forty two", Expectation.FRACTION: "zero five"}
        return (Hypothesis(words.get(expects, ""), 0.99),)

    def close(self) -> None:
        """Hold nothing."""


def test_false_calls_are_counted(parser: Parser) -> None:
    """What is taken for a call counts as false, by what was expected; the rest does not."""
    ears = Ears(Talker(), parser, "talk")  # type: ignore[arg-type]
    call, _ = soundfile.read(CLIP, dtype="float32")
    ears.hear(iter([np.concatenate([call, np.zeros(RATE_HZ, np.float32)])] * 6))
    assert [ears.outcomes[each, Outcome.CALL] for each in EXPECTED] == [2, 2, 0]
    assert ears.called == {"whole 'forty two'": 2, "fraction 'zero five'": 2}
    assert "false calls 4 (" in ears.words
    assert 1.0 < held_mb() < held_mb("VmRSS")


@pytest.mark.slow
@pytest.mark.skipif(not HAS_PULSEAUDIO, reason="needs PulseAudio and its tools")
def test_microphone_gone_and_back(sound: VirtualSound, tmp_path: Path) -> None:
    """Pulled out twice, told and back each time, a key taken meanwhile; nothing lost or doubled."""
    found = rage(sound, tmp_path, 2)
    assert found.passed, found
