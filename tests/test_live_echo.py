"""The program on a loudspeaker: it never hears itself, and hears the crew while it speaks.

Detector, field loop, player and built-in voice are those of live work; sound card and clock are
simulated, and what an utterance is understood as does not matter.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Self

import numpy as np
import pytest
import soundfile

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.events import Overflow
from calllog.demo import load_day
from calllog.readback import Saying, Tone
from calllog.recognise import Hypothesis
from calllog.values import Expectation
from tests.bench.simulated_air import SimulatedAir

LINE = load_day().lines[0]
CLIPS = Path(__file__).parent / "audio"
WORDS = "six. sixty six, point six six. say add or cut tape, or six again"
RACES_S = 5.0
"""Sound that an output that races asks for."""
HICCUPS_S = (-0.03, 0.01, 0.05, 0.1)
"""By how much later the loudspeaker's sound arrives from a hiccup on."""


class Heeder:
    """Remembers what it was asked about, and makes out nothing."""

    identity = "heeder"

    def __init__(self) -> None:
        self.asked: list[Utterance] = []

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Remember it."""
        del expects
        self.asked.append(utterance)
        return (Hypothesis("", 1.0),)

    def close(self) -> None:
        """Hold nothing."""

    def __enter__(self) -> Self:
        """Use it in a ``with`` block."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""


@pytest.fixture(params=[-30.0, -15.0])
def air(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[SimulatedAir]:
    """Greet a crew in whose microphones the program is 30 dB weaker, or as loud as their calls."""
    heeder, job = Heeder(), tmp_path / "job"
    made = SimulatedAir(heeder, LINE.tape, LINE.name, job, None, request.param)
    with made as begun:
        begun.sleep(1.0)
        while begun.is_program_speaking:
            begun.sleep(0.1)
        yield begun


LOUD_ALONE = pytest.mark.parametrize("air", [-15.0], indirect=True)
"""For what takes long: what comes at another time than was foretold is heard where it is loud."""


def asked_of(air: SimulatedAir) -> list[Utterance]:
    """Give what was heard as speech."""
    heeder = air.recogniser
    assert isinstance(heeder, Heeder)
    return heeder.asked


def let_all_be_learned(air: SimulatedAir, sayings: int = 3) -> None:
    """Let the program hear how loud its wearers are, and how its own words arrive."""
    clip, _ = soundfile.read(CLIPS / "flite-slt" / "strike_that.flac", dtype="float32")
    call = np.asarray(clip * (0.05 / np.sqrt(np.mean(np.square(clip)))), np.float32)
    for channel in (0, 1):
        air.say("strike that", channel, call)
        air.sleep(2.0)
    for _ in range(sayings):
        air.player.say(Saying(Tone.QUESTION, WORDS))
        air.sleep(8.0)
    asked_of(air).clear()


def test_program_never_hears_itself_and_hears_who_speaks_over_it(air: SimulatedAir) -> None:
    """Neither in its greeting nor in a question; a wearer's call in the midst of it is whole."""
    clip, rate_hz = soundfile.read(CLIPS / "flite-slt" / "strike_that.flac", dtype="float32")
    assert rate_hz == RATE_HZ
    call = np.asarray(clip * (0.05 / np.sqrt(np.mean(np.square(clip)))), np.float32)
    assert asked_of(air) == []
    quiet_s = air.loop.crew.heard_s
    air.say("strike that", 0, call)  # how loud its wearer is becomes known
    air.sleep(2.0)
    (quiet,) = asked_of(air)
    asked_of(air).clear()
    air.player.say(Saying(Tone.QUESTION, WORDS))
    air.sleep(1.5)
    assert air.is_program_speaking
    begin_s = air.loop.crew.heard_s
    air.say("strike that", 0, call)
    assert air.is_program_speaking
    air.sleep(1.0)
    while air.is_program_speaking:
        air.sleep(0.1)
    air.sleep(1.0)
    heard = {(round(each.start_s, 1), round(each.end_s, 1)) for each in asked_of(air)}
    assert len(heard) == 1, heard
    ((start_s, end_s),) = heard
    assert start_s - begin_s == pytest.approx(quiet.start_s - quiet_s, abs=0.2)
    assert end_s - begin_s == pytest.approx(quiet.end_s - quiet_s, abs=0.2)
    assert {each.channel for each in asked_of(air)} == {0}


@LOUD_ALONE
def test_program_never_hears_itself_after_hiccups_of_the_loudspeaker(air: SimulatedAir) -> None:
    """What is foretold comes at another time than it did, and takes nothing away."""
    let_all_be_learned(air)
    for seconds in HICCUPS_S:
        for _ in range(2):
            air.player.say(Saying(Tone.QUESTION, WORDS))
            air.sleep(2.0)
            assert air.is_program_speaking
            air.hiccup(seconds)
            air.sleep(6.0)
            while air.is_program_speaking:
                air.sleep(0.1)
        assert [round(each.start_s, 1) for each in asked_of(air)] == [], seconds


@LOUD_ALONE
@pytest.mark.parametrize("has_run_dry", [True, False])
def test_program_never_hears_itself_after_an_output_raced(
    air: SimulatedAir, *, has_run_dry: bool
) -> None:
    """What was asked for and not played counts no time; all words are heard where that is told."""
    let_all_be_learned(air)
    lasts_s = [heard_s(air, races=0)]
    for _ in range(2):
        lasts_s.append(heard_s(air, races=1, has_run_dry=has_run_dry))
        air.player.say(Saying(Tone.QUESTION, WORDS))
        air.sleep(8.0)
    assert [round(each.start_s, 1) for each in asked_of(air)] == []
    if has_run_dry:
        assert min(lasts_s) > lasts_s[0] - 0.1


def heard_s(air: SimulatedAir, races: int, *, has_run_dry: bool = False) -> float:
    """Read a call back, while the output races so often; tell how much of it was heard [s]."""
    before = air.loud_s
    air.player.say(Saying(Tone.HEARD, "six six"))
    air.sleep(0.2)
    for _ in range(races):
        air.race(RACES_S, has_run_dry=has_run_dry)
    air.sleep(3.0)
    return air.loud_s - before


@LOUD_ALONE
def test_program_never_hears_itself_after_sound_was_lost(air: SimulatedAir) -> None:
    """When its sound arrives is to be found anew: how little was left of it counts no longer."""
    let_all_be_learned(air, sayings=1)
    for _ in range(2):
        air.microphone.waiting.append((air.clock.now_s, Overflow("head", air.clock.now_s, 160)))
        air.sleep(0.1)
        air.player.say(Saying(Tone.QUESTION, WORDS))
        air.sleep(8.0)
    assert [round(each.start_s, 1) for each in asked_of(air)] == []
