"""Calls begun before the program's words are over, the loudspeaker's delay jittered as under load.

Detector, field loop, player, built-in voice and pairing are those of live work; sound card and
clock are simulated. What stands in for the recognizer makes out a call as far as the sound that it
is given goes: all of it, or the rest whose first figure was hidden.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Self

import numpy as np
import pytest

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.endpoint import Samples
from calllog.demo import load_day
from calllog.readback import Saying, Tone
from calllog.recognise import Hypothesis
from calllog.values import Expectation, Outcome
from tests.audio.clips import spoken
from tests.bench.simulated_air import BLOCK, IN_S, SimulatedAir

LINE = load_day().lines[0]
WORDS = "six. sixty six, point six six"
LATE_S = (-0.03, 0.0, 0.05, 0.1, 0.15)
"""By how much later than stated the words arrive from their midst on."""
BETWEEN_S = (0.1, 0.28)
"""Between the two figures of a call."""
LOST_S = 0.05
"""So much of a figure may be missing, and it is still made out."""
VALUE = 15_42


def figure(words: str) -> Samples:
    """Give a figure, trimmed close, as loud as a call."""
    sound = spoken("flite-kal16", words)
    return np.asarray(sound * (0.05 / np.sqrt(np.mean(np.square(sound)))), np.float32)


class HearsTheRest:
    """Makes out of a call what lies within the sound that it is given."""

    identity = "hears the rest"

    def __init__(self) -> None:
        self.begin_s = np.inf
        """Where the call begins [s]."""

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Make it out."""
        del expects
        if utterance.begin_s is None or utterance.end_s < self.begin_s + LOST_S:
            return (Hypothesis("", 1.0),)
        is_all = utterance.begin_s <= self.begin_s + LOST_S
        return (Hypothesis("fifteen forty two" if is_all else "forty two", 0.95),)

    def close(self) -> None:
        """Hold nothing."""

    def __enter__(self) -> Self:
        """Use it in a ``with`` block."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""


class Scene:
    """A crew whose microphones have the program as loud as their own calls."""

    def __init__(self, air: SimulatedAir, hears: HearsTheRest) -> None:
        self._air, self._hears = air, hears
        self._wait()
        self._type("8/")
        begun_s = air.clock.now_s
        air.player.say(Saying(Tone.HEARD, WORDS))
        self._wait()
        self._lasts_s = air.ear.loud_s - begun_s

    def call(self, before_s: float, late_s: float, between_s: float) -> str:
        """Call so long before the end of words; tell what became of it."""
        air, calls = self._air, self._air.loop.crew.job.replay.calls
        taken = len(calls)
        air.player.say(Saying(Tone.HEARD, WORDS))
        air.sleep(0.5)
        air.hiccup(late_s)
        air.sleep(self._lasts_s - before_s - 0.5)
        self._hears.begin_s = air.loop.crew.heard_s + IN_S + BLOCK / RATE_HZ
        pause = np.zeros(round(between_s * RATE_HZ), np.float32)
        air.say("", 1, np.concatenate((figure("fifteen"), pause, figure("forty_two"))))
        air.sleep(2.0)
        self._wait()
        made_out = [each for each in calls[taken:] if each.outcome is not Outcome.IGNORED]
        self._hears.begin_s = np.inf
        air.hiccup(-late_s)
        self._type("0/\n")
        values = [each.value for each in made_out if each.outcome is Outcome.CALL]
        if not values:
            return "asked" if made_out else "unheard"
        return "right" if values == [VALUE] else "wrong"

    def _type(self, keys: str) -> None:
        self._air.keys.type(keys)
        self._wait()

    def _wait(self) -> None:
        self._air.sleep(1.0)
        while self._air.is_program_speaking:
            self._air.sleep(BLOCK / RATE_HZ)


@pytest.fixture
def scene(tmp_path: Path) -> Iterator[Scene]:
    """Greet a crew."""
    hears = HearsTheRest()
    with SimulatedAir(hears, LINE.tape, LINE.name, tmp_path / "job", None, -15.0) as air:
        yield Scene(air, hears)


def test_rest_of_a_call_that_words_hid_is_not_taken(scene: Scene) -> None:
    """Begun 0.1 to 0.6 s before the words end: its second figure is asked for, or all is heard."""
    chance = random.Random(1)  # noqa: S311 - no secret
    became = Counter(
        scene.call(before_s, chance.choice(LATE_S), chance.uniform(*BETWEEN_S))
        for before_s in np.linspace(0.1, 0.6, 12)
    )
    assert became["wrong"] == became["unheard"] == 0, became
    assert became["asked"] > 0, became


def test_call_after_the_words_is_taken(scene: Scene) -> None:
    """Begun half a second after they are over: nothing is asked."""
    chance = random.Random(2)  # noqa: S311 - no secret
    became = Counter(
        scene.call(before_s, chance.choice(LATE_S), chance.uniform(*BETWEEN_S))
        for before_s in np.linspace(-0.5, -0.8, 6)
    )
    assert became == {"right": 6}
