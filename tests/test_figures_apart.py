"""A number whose figures are called apart: one call, or asked; never a figure for the number.

Rule: common practice, no published source. Who says "two seven" figure by figure may take a breath
between the two.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Self

import numpy as np
import pytest
import soundfile

from calllog.audio import RATE_HZ, Recording, Utterance
from calllog.audio.endpoint import rejoined
from calllog.live.reading import GOES_ON_S, Reading
from calllog.pairing import EDITION
from calllog.pairing.edition import HEARS_AGAIN_SINCE
from calllog.readback import Saying, Tone
from calllog.recognise import Hypothesis
from calllog.session import Course, Job, Listener, Told, hear_recording
from calllog.session.live import LiveCrew
from calllog.spoken import Parser
from calllog.values import Call, Expectation, Kind, Outcome, Role
from tests.audio.clips import Sound, heard, laid_out, spoken
from tests.consenting import agree
from tests.crew import made_call, settings
from tests.test_pairing_which_pull import live
from tests.test_session_live import ADD, BLOCK, AtOnce, recorder_of

FIRST_S, PAUSE_S = 1.0, 0.7
FIGURE = spoken("flite-slt", "fifteen")[: int(0.45 * RATE_HZ)]
"""As long as a figure."""
WAYS = pytest.mark.parametrize("way", ["file", "live"])
"""What is live is as from a file."""
APART_S = FIGURE.size / RATE_HZ + PAUSE_S


class Placed:
    """Hears the words that were put into a sound, by where they stand."""

    identity = "placed"

    def __init__(self, *placed: tuple[float, str], joined: str = "") -> None:
        self._placed = placed
        self._joined = joined
        self.expected: list[Expectation] = []

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Hear what begins in an utterance; more than one word is what it was told."""
        self.expected.append(expects)
        begin_s, end_s = utterance.start_s - 0.2, utterance.end_s
        words = [word for at_s, word in self._placed if begin_s <= at_s < end_s]
        text = self._joined if len(words) > 1 and self._joined else " ".join(words)
        return (Hypothesis(text, 0.95),)

    def close(self) -> None:
        """Hold nothing."""

    def __enter__(self) -> Self:
        """Use it in a ``with`` block."""
        return self

    def __exit__(self, *_: object) -> None:
        """Hold nothing."""


def at(*words: str, apart_s: float = APART_S) -> tuple[tuple[float, str], ...]:
    """Say figures one after the other."""
    return tuple((FIRST_S + number * apart_s, word) for number, word in enumerate(words))


def sound_of(*placed: tuple[float, str]) -> Sound:
    """Lay figures out in time."""
    return laid_out(placed[-1][0] + 3.0, *((at_s, FIGURE) for at_s, _ in placed))


def take(
    folder: Path, parser: Parser, ears: Placed, sound: Sound, way: str, edition: int = EDITION
) -> tuple[list[Call], int | None]:
    """Take a sound into a job; give its calls, and the whole mark that stands."""
    folder.mkdir(exist_ok=True)
    path = folder / "day.wav"
    soundfile.write(path, sound, RATE_HZ, subtype="FLOAT")
    course = Course((ADD,), (("A", "B"),), settings(pairing=edition))
    with Job.open(folder / "job") as job:
        course.go_on(agree(job))
        if way == "file":
            hear_recording(job, path, Listener(ears, parser, (Role.REAR,), course))
        else:
            told: list[Told] = []
            made = recorder_of(job, course, parser, told.append, roles=(Role.REAR,))
            crew = LiveCrew(made, channels=1, hearing=AtOnce(ears))
            for block in Recording(path).blocks():
                for begin in range(0, len(block), BLOCK):
                    crew.hear(block[begin : begin + BLOCK])
            crew.finish(1.0)
        return job.replay.calls, job.state.parts.whole


def test_two_utterances_are_put_together_with_what_lies_between() -> None:
    """Sample for sample what was heard from the first to the last; not over more than a second."""
    sound = sound_of(*at("two", "seven"))
    first, second = heard(sound)
    both = rejoined(first, second)
    assert both is not None
    assert (both.start_s, both.end_s, both.begin_s) == (
        first.start_s,
        second.end_s,
        first.begin_s,
    )
    begin = round((first.begin_s or 0.0) * RATE_HZ)
    assert np.array_equal(both.samples, sound[begin : begin + both.samples.size])
    assert begin + both.samples.size >= second.end_s * RATE_HZ
    far = heard(sound_of(*at("two", "seven", apart_s=APART_S + 1.0)))
    assert rejoined(*far) is None
    assert rejoined(replace(first, begin_s=None), second) is None


@WAYS
def test_figures_apart_are_one_number(tmp_path: Path, parser: Parser, way: str) -> None:
    """It was 2, and then a second number that stopped the pull."""
    placed = at("two", "seven")
    ears = Placed(*placed)
    (first, both), whole = take(tmp_path, parser, ears, sound_of(*placed), way)
    assert whole == 2700
    assert (both.value, both.text, both.outcome) == (27, "two seven", Outcome.CALL)
    assert (both.start_s, both.clip) == (first.start_s, "audio/000002.flac")
    clip = Recording(tmp_path / "job" / both.clip)
    assert clip.duration_s > APART_S
    assert {*ears.expected} == {Expectation.ANY}


@WAYS
def test_figure_said_twice_is_asked(tmp_path: Path, parser: Parser, way: str) -> None:
    """It is 6 said again in the wind, or 66."""
    placed = at("six", "six")
    (first, both), whole = take(tmp_path, parser, Placed(*placed), sound_of(*placed), way)
    assert whole is None
    assert (first.value, both.kind, both.outcome) == (6, Kind.UNCLEAR, Outcome.ASK)
    assert both.reason is not None
    assert (both.reason.code, both.reason.facts["said"]) == ("not-sure-of", "six six")


@WAYS
def test_what_makes_no_number_together_is_heard_apart(
    tmp_path: Path, parser: Parser, way: str
) -> None:
    """A word of talk behind a figure takes nothing away from it."""
    placed = at("two", "fine")
    (first, other), _ = take(
        tmp_path, parser, Placed(*placed, joined="two no fine"), sound_of(*placed), way
    )
    assert (first.text, other.text) == ("two", "")
    assert other.start_s > first.end_s


@WAYS
def test_figures_far_apart_are_two_calls(tmp_path: Path, parser: Parser, way: str) -> None:
    """So they are by an older edition, however near."""
    placed = at("two", "seven", apart_s=APART_S + 0.6)
    calls, _ = take(tmp_path, parser, Placed(*placed), sound_of(*placed), way)
    assert [each.text for each in calls] == ["two", "seven"]
    near = at("two", "seven")
    older, _ = take(
        tmp_path / "older", parser, Placed(*near), sound_of(*near), way, HEARS_AGAIN_SINCE - 1
    )
    assert [each.text for each in older] == ["two", "seven"]


class KilledError(Exception):
    """Stands for a kill."""


@pytest.mark.parametrize("after", [1, 2])
def test_recording_that_breaks_off_between_them_is_gone_on_with(
    tmp_path: Path, parser: Parser, after: int
) -> None:
    """The figure is still known, and nothing is taken twice."""
    placed = at("two", "seven")
    path = tmp_path / "day.wav"
    soundfile.write(path, sound_of(*placed), RATE_HZ, subtype="FLOAT")
    course = Course((ADD,), (("A", "B"),), settings(pairing=EDITION))
    listener = Listener(Placed(*placed), parser, (Role.REAR,), course)

    def kill(told: Told) -> None:
        if told.call.number == after:
            raise KilledError

    with Job.open(tmp_path / "job") as job:
        course.go_on(job)
        with pytest.raises(KilledError):
            hear_recording(job, path, listener, on_told=kill)
    with Job.open(tmp_path / "job") as job:
        hear_recording(job, path, listener)
        assert [each.text for each in job.replay.calls] == ["two", "two seven"]


def test_whole_number_strikes_the_figure_that_it_began_with(parser: Parser) -> None:
    """Seven feet were taken; the crew had said 72."""
    crew = live(parser)
    begun = made_call(1, Kind.NUMBER, 1.0, value=7, text="seven", source="paper#2", role=Role.REAR)
    crew.follow(begun)
    assert crew.state.parts.whole == 700
    whole = begun.model_copy(update={"number": 2, "value": 72, "text": "seven two", "end_s": 3.0})
    crew.follow(whole)
    assert (crew.state.parts.whole, crew.codes) == (7200, [])
    unsure = whole.model_copy(
        update={"kind": Kind.UNCLEAR, "outcome": Outcome.ASK, "value": None, "text": "seven seven"}
    )
    other = live(parser)
    other.follow(begun)
    other.follow(unsure)
    assert other.state.parts.is_empty
    assert other.codes == ["no-call-made-out"]


def test_figure_said_again_at_once_is_no_answer(parser: Parser) -> None:
    """It was on its way before the question was heard."""
    crew = live(parser)
    six = made_call(
        1, Kind.NUMBER, 1.0, value=6, text="six", source="paper#2", role=Role.REAR, probability=0.9
    )
    crew.follow(six)
    soon = six.model_copy(update={"number": 2, "start_s": six.end_s + 0.6, "end_s": six.end_s + 1})
    crew.follow(soon)
    assert (crew.codes, crew.state.parts.is_empty) == (["lone-word"] * 2, True)
    later = six.model_copy(update={"number": 3, "start_s": soon.end_s + 4.0, "end_s": 9.0})
    crew.follow(later)
    assert crew.state.parts.whole == 600


def test_what_is_said_of_a_figure_waits_for_the_rest(parser: Parser) -> None:
    """It is not said where the whole number comes; it is where another call does, or none."""
    crew = live(parser)
    six = made_call(1, Kind.NUMBER, 1.0, value=6, text="six", source="paper#2", role=Role.REAR)
    whole = six.model_copy(update={"number": 2, "value": 64, "text": "six four", "end_s": 3.0})
    other = whole.model_copy(update={"number": 3, "start_s": 4.0, "source": "paper#1"})
    for follows, aloud in ((whole, ["b"]), (other, ["a", "b"]), (None, ["a"])):
        said: list[Saying] = []
        now_s = [0.0]
        reading = Reading(said.append, partial(now_s.__getitem__, 0))
        reading.give(Saying(Tone.QUESTION, "a"), six, (), crew.state, may_go_on=True)
        reading.follow(0.0, lambda: None)
        assert said == []
        if follows is not None:
            reading.give(Saying(Tone.QUESTION, "b"), follows, (), crew.state)
        now_s[0] = GOES_ON_S + 0.01
        reading.follow(0.0, lambda: None)
        assert [each.words for each in said] == aloud
