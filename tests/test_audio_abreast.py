"""Channels laid side by side: aligned, bounded, and no sound missing without a word."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from calllog.audio.abreast import BLOCK, BOUND_S, Abreast
from calllog.audio.column import FAR, SETTLED, ChannelSound
from calllog.audio.events import Event, Gap, Lost, Returned, Sound

RATE_HZ = 16_000
PIECE = 320
PIECE_S = PIECE / RATE_HZ
ALIGNED_S = 0.02


def signal(at_s: np.ndarray) -> np.ndarray:
    """Give a sound whose every moment is told by its own value: a slow ramp."""
    return np.asarray(at_s / 100.0, np.float32)


@dataclass
class Source:
    """Something that captures the same sound by a clock of its own."""

    channel: int
    delay_s: float = 0.005
    drift: float = 0.0
    jitter_s: tuple[float, ...] = (0.0,)
    """How late each time is read, over and over."""
    lost: frozenset[int] = frozenset()
    late: dict[int, float] = field(default_factory=dict)
    """Pieces that arrive later than the others [s]."""
    page: int = 1

    def pieces(self, first: int, until: int) -> Iterator[tuple[float, int, float, np.ndarray]]:
        """Give when each arrives, its number, the time told of it, and its sound."""
        arrived_s = 0.0
        for number in range(first, until):
            begin_s = number * PIECE_S * (1 + self.drift)
            steps = np.arange(PIECE) / RATE_HZ * (1 + self.drift)
            told_s = begin_s + self.jitter_s[number % len(self.jitter_s)]
            if number not in self.lost:
                arrived_s = max(
                    arrived_s, begin_s + PIECE_S + self.delay_s + self.late.get(number, 0.0)
                )
                yield arrived_s, number, told_s, signal(begin_s + steps)


def run(sources: list[Source], seconds: float, end_s: float | None = None) -> list[Event]:
    """Let them be heard, each piece as it arrives; look every 10 ms."""
    abreast = Abreast([f"source {each.channel}" for each in sources], 0.0)
    due = sorted(
        (
            (arrived_s, each.channel, each.page, number, told_s, sound)
            for each in sources
            for arrived_s, number, told_s, sound in each.pieces(0, round(seconds / PIECE_S))
        ),
        key=lambda piece: piece[:2],
    )
    told: list[Event] = []
    now_s = 0.0
    while now_s < (end_s or seconds + BOUND_S):
        now_s += 0.01
        while due and due[0][0] <= now_s:
            _, channel, page, number, told_s, sound = due.pop(0)
            abreast.put(channel, page, number * PIECE, told_s, sound)
        told += abreast.events(now_s)
    return told


def blocks(told: list[Event]) -> list[Sound]:
    """Give the sound alone."""
    return [each for each in told if isinstance(each, Sound)]


def assert_joined(heard: list[Sound]) -> None:
    """Each block begins where the one before it ends."""
    for one, other in pairwise(heard):
        assert other.begin_s == pytest.approx(one.begin_s + BLOCK / RATE_HZ)


def off_s(heard: list[Sound], channel: int) -> float:
    """Tell how far a channel's sound lies from its true place, at most [s]."""
    most = 0.0
    for each in heard:
        if each.is_missing[channel]:
            continue
        true_s = each.samples[:, channel].astype(float) * 100.0
        there_s = each.begin_s + np.arange(BLOCK) / RATE_HZ
        most = max(most, float(np.max(np.abs(true_s - there_s))))
    return most


few = settings(max_examples=20, phases=(Phase.explicit, Phase.reuse, Phase.generate))
"""A run takes a tenth of a second, and one that fails is short enough to be read."""
jitters = st.lists(st.floats(0.0, 0.015), min_size=1, max_size=13).map(lambda given: (0.0, *given))
drifts = st.floats(-1e-4, 1e-4)


@few
@given(one=drifts, other=drifts, jitter=jitters, delay_s=st.floats(0.0, 0.4))
def test_two_sources_are_aligned_within_20_ms(
    one: float, other: float, jitter: tuple[float, ...], delay_s: float
) -> None:
    """Whatever their clocks, delays and the moments at which times are read; nothing is missing."""
    told = run([Source(0, 0.005, one, jitter), Source(1, delay_s, other, jitter)], 6.0, 6.0)
    heard = blocks(told)
    begun = next(place for place, each in enumerate(heard) if not any(each.is_missing))
    assert begun * BLOCK / RATE_HZ <= delay_s + 0.2
    assert not any(any(each.is_missing) for each in heard[begun:])
    assert heard[-1].begin_s > 6.0 - 0.1 - delay_s
    assert_joined(heard)
    assert off_s(heard, 0) <= ALIGNED_S
    assert off_s(heard, 1) <= ALIGNED_S
    assert not [each for each in told if isinstance(each, Lost | Gap)]


@few
@given(
    late=st.dictionaries(st.integers(50, 200), st.floats(0.0, 0.9), max_size=20),
    lost=st.frozensets(st.integers(50, 200), max_size=20),
)
def test_what_never_came_is_told_and_stands_in_as_zeros(
    late: dict[int, float], lost: frozenset[int]
) -> None:
    """What is missing is marked to the sample where it stood, told in sum, and moves nothing."""
    told = run([Source(0), Source(1, late=late, lost=lost)], 5.0, 5.5)
    heard = blocks(told)
    assert_joined(heard)
    assert off_s(heard, 0) <= ALIGNED_S
    assert off_s(heard, 1) <= ALIGNED_S
    assert not any(each.is_missing[0] for each in heard)
    gone = sum(each.frames for each in told if isinstance(each, Gap))
    assert gone == len(lost) * PIECE
    marked = [each for each in heard if each.is_missing[1]]
    assert bool(marked) == bool(lost)
    for number in lost:
        middle_s = (number + 0.5) * PIECE_S
        assert any(each.begin_s <= middle_s < each.begin_s + 0.032 for each in marked)


def test_one_that_lags_is_waited_for_no_longer_than_bounded() -> None:
    """Its loss and return are told; the other goes on at once, all of its sound unmarked."""
    cut = range(200, 400)  # 4 s
    late = {number: (400 - number) * PIECE_S for number in cut}
    told = run([Source(0), Source(1, late=late)], 12.0, 12.0)
    (lost,) = [each for each in told if isinstance(each, Lost)]
    (back,) = [each for each in told if isinstance(each, Returned)]
    assert lost.is_filled
    assert lost.at_s == pytest.approx(200 * PIECE_S, abs=0.01)
    assert back.gap_s == pytest.approx(4.0, abs=0.1)
    heard = blocks(told)
    assert_joined(heard)
    assert not any(each.is_missing[0] for each in heard)
    marked_s = sum(each.is_missing[1] for each in heard) * BLOCK / RATE_HZ
    assert marked_s == pytest.approx(4.0, abs=0.1)
    assert off_s(heard, 1) <= ALIGNED_S


def test_sound_comes_out_as_soon_as_all_have_it() -> None:
    """The bound is no delay: with 5 ms of network a block is out 15 ms after its end."""
    abreast = Abreast(["one", "other"], 0.0)
    sources = [Source(0), Source(1)]
    pieces = sorted(
        (
            (arrived_s, each.channel, number, told_s, sound)
            for each in sources
            for arrived_s, number, told_s, sound in each.pieces(0, 300)
        ),
        key=lambda piece: piece[:2],
    )
    worst_s = 0.0
    for arrived_s, channel, number, told_s, sound in pieces:
        abreast.put(channel, 1, number * PIECE, told_s, sound)
        for event in abreast.events(arrived_s):
            assert isinstance(event, Sound)
            worst_s = max(worst_s, arrived_s - event.begin_s - BLOCK / RATE_HZ)
    assert 0.0 < worst_s <= 0.005 + PIECE_S


def test_what_came_late_is_kept_on_the_time_line() -> None:
    """A piece that was given up is there for the clip once it comes."""
    abreast = Abreast(["one", "other"], 0.0)
    for number in range(400):
        for channel in (0, 1):
            if channel == 0 or number < 200:
                abreast.put(
                    channel, 1, number * PIECE, number * PIECE_S, np.ones(PIECE, np.float32)
                )
        list(abreast.events((number + 1) * PIECE_S))
    assert not abreast.sound(1, 5.0, 6.0).any()
    for number in range(200, 400):
        abreast.put(1, 1, number * PIECE, number * PIECE_S, np.full(PIECE, 0.5, np.float32))
    assert np.all(abreast.sound(1, 5.0, 6.0) == 0.5)


def test_page_that_begins_anew_counts_anew() -> None:
    """The same channel with another page's numbers lies where its times say."""
    abreast = Abreast(["one"], 0.0)
    for number in range(100):
        begin_s = number * PIECE_S
        abreast.put(0, 1, number * PIECE, begin_s, signal(begin_s + np.arange(PIECE) / RATE_HZ))
        list(abreast.events(begin_s + PIECE_S))
    told: list[Event] = []
    for number in range(100):
        begin_s = 10.0 + number * PIECE_S
        abreast.put(0, 2, number * PIECE, begin_s, signal(begin_s + np.arange(PIECE) / RATE_HZ))
        told += abreast.events(begin_s + PIECE_S)
    heard = blocks(told)
    assert sum(not any(each.is_missing) for each in heard) >= (100 - SETTLED) * 320 // 512 - 2
    assert off_s(heard, 0) <= ALIGNED_S


def test_source_that_keeps_its_own_time_lies_beside_one_that_counts() -> None:
    """A microphone of the computer and a phone: one time line, zeros where nobody is yet."""
    abreast = Abreast(["lapel", "phone"], 0.0)
    told: list[Event] = []
    for block in range(300):
        begin_s = block * 0.032
        steps = np.arange(512) / RATE_HZ
        abreast.put_timed(0, begin_s, signal(begin_s + steps))
        for piece in range(2):
            number = 2 * block + piece
            at_s = number * 0.016
            abreast.put(1, 1, number * 256, at_s, signal(at_s + np.arange(256) / RATE_HZ))
        told += abreast.events(begin_s + 0.032)
    heard = blocks(told)
    assert heard[0].is_missing == (False, True)
    assert heard[-1].is_missing == (False, False)
    assert off_s(heard, 0) <= ALIGNED_S
    assert off_s(heard, 1) <= ALIGNED_S


def test_jump_of_a_source_moves_it_at_once() -> None:
    """A phone that slept without counting is off by seconds: it is laid where its clock says."""
    column = ChannelSound()
    for number in range(100):
        column.put(number * PIECE, number * PIECE + 16_000, np.ones(PIECE, np.float32))
    assert column.front == 100 * PIECE + 16_000
    for number in range(100, 200):
        column.put(number * PIECE, number * PIECE + 48_000, np.ones(PIECE, np.float32))
    assert abs(column.front - (200 * PIECE + 48_000)) < FAR
