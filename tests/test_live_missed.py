"""A sound that was let go where a call was due: as long and as loud as a call, it is told of."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from calllog.audio import Utterance
from calllog.audio.endpoint import Samples
from calllog.demo import load_day
from calllog.live.missed import LONGEST_S, SHORTEST_S, SOON_S, is_missed
from calllog.pairing import EDITION
from calllog.readback import Saying, Tone
from calllog.session import Job
from calllog.spoken import Grammar, Parser
from tests.audio.clips import spoken
from tests.bench.simulated_air import SimulatedAir
from tests.crew import settings
from tests.rig import Rig
from tests.test_live_echo import Heeder

LINE = load_day().lines[0]
HEAD, REAR = 0, 1
MUMBLE = ""
"""What is heard of a call that is not made out."""


@pytest.fixture
def rig(tmp_path: Path, grammar: Grammar, parser: Parser) -> Iterator[Rig]:
    """Make a live crew, by the newest rules."""
    with Job.open(tmp_path / "job") as job:
        yield Rig(
            job, grammar, parser, rules=settings(pairing=EDITION), is_live=True, knows_tape=True
        )


def missed(rig: Rig, words: str = MUMBLE, *, lasts_s: float = 0.8, is_loud: bool = True) -> bool:
    """Say something; tell whether it is a call that was missed."""
    rig.say(words, HEAD, lasts_s=lasts_s)

    def loud(said: Utterance) -> bool:
        del said
        return is_loud

    return is_missed(rig.told[-1], rig.job.state, rig.job.replay.calls, loud)


def test_call_is_due_from_the_first_part_to_the_booking(rig: Rig) -> None:
    """Between two pulls nothing is, and what is said there is the crew's own business."""
    assert not missed(rig)
    for words, channel in (
        *(("fifteen", REAR), ("forty two", HEAD), ("switch ends", HEAD)),
        *(("fifteen", HEAD), ("forty two", REAR)),
    ):
        rig.say(words, channel)
        assert missed(rig) is not rig.job.state.is_between
    assert rig.job.state.is_between


def test_answer_to_a_question_is_due_between_two_pulls_too(rig: Rig) -> None:
    """A call was asked again, and the answer was not made out."""
    rig.say("fifteen", REAR)
    rig.say("strike that", REAR)
    assert not missed(rig)
    rig.say("five four two", REAR)
    assert rig.last_tone is Tone.QUESTION
    assert missed(rig)


@pytest.mark.parametrize(
    ("lasts_s", "is_call"),
    [
        (SHORTEST_S - 0.05, False),
        (SHORTEST_S + 0.05, True),
        (LONGEST_S - 0.05, True),
        (LONGEST_S + 0.05, False),
    ],
)
def test_bump_and_a_long_sentence_are_no_calls(rig: Rig, lasts_s: float, *, is_call: bool) -> None:
    """Neither is what is much softer than the wearer, or talk that the grammar knows."""
    rig.say("fifteen", REAR)
    assert missed(rig, lasts_s=lasts_s) is is_call
    assert not missed(rig, lasts_s=lasts_s, is_loud=False)
    assert not missed(rig, "pull it tight", lasts_s=lasts_s)


def test_after_a_while_talk_is_talk(rig: Rig) -> None:
    """Who waits for the traffic to pass is not answered."""
    rig.say("fifteen", REAR)
    rig.hear(SOON_S)
    assert not missed(rig)


@pytest.fixture
def air(tmp_path: Path) -> Iterator[SimulatedAir]:
    """Greet a crew of which nothing is made out."""
    made = SimulatedAir(Heeder(), LINE.tape, LINE.name, tmp_path / "job", None, -30.0)
    with made as begun:
        begun.sleep(1.0)
        while begun.is_program_speaking:
            begun.sleep(0.1)
        yield begun


def call(level: float) -> Samples:
    """Give a call of a level."""
    sound = spoken("flite-kal16", "forty_two")
    return np.asarray(sound * (level / np.sqrt(np.mean(np.square(sound)))), np.float32)


@pytest.mark.parametrize(("level", "is_told"), [(0.05, True), (0.005, False)])
def test_missed_call_is_answered_by_a_tone(
    air: SimulatedAir, level: float, *, is_told: bool
) -> None:
    """In place of silence, which is consent; somebody 20 dB softer stands apart."""
    said: list[Saying] = []
    say = air.player.say

    def heed(saying: Saying) -> None:
        said.append(saying)
        say(saying)

    vars(air.player)["say"] = heed
    air.say("forty two", 0, call(0.05))
    air.sleep(2.0)
    air.keys.type("8/15\n")
    air.sleep(4.0)
    assert Tone.ERROR not in {each.tone for each in said}
    air.say("forty two", 0, call(level))
    air.sleep(2.0)
    assert (Saying(Tone.ERROR, "") in said) is is_told
