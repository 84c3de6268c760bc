"""What stands in for listeners answers as they do, and lets them hear no more than it must."""

from __future__ import annotations

from pathlib import Path
from typing import Self

import numpy as np
import pytest

from calllog.audio import Utterance
from calllog.errors import ModelError
from calllog.recognise import Hypothesis
from calllog.values import Expectation
from tests.heard_once import HeardOnce


class Learning:
    """Answers with how much it heard of the channel; remembers what it was asked."""

    identity = "learning 1"

    def __init__(self) -> None:
        self.asked: list[int] = []
        self.heard: dict[int, int] = {}

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Add the samples to what was heard on the channel."""
        size, channel = len(utterance.samples), utterance.channel
        self.asked.append(size)
        self.heard[channel] = self.heard.get(channel, 0) + size
        return (Hypothesis(f"{expects} {self.heard[channel]}", 1 / self.heard[channel]),)

    def close(self) -> None:
        """Hold nothing."""

    def __enter__(self) -> Self:
        """Use it in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Hold nothing."""


def hear(listener: HeardOnce | Learning, *sizes: int, channel: int = 0) -> list[Hypothesis]:
    """Let utterances of so many samples be heard, one after the other."""
    found: list[Hypothesis] = []
    for size in sizes:
        sound = np.zeros(size, np.float32)
        said = Utterance(sound, sound[:0], float(size), size + 1.0, channel, "test", is_cut=False)
        found += listener.recognise(said, Expectation.WHOLE)
    return found


def once(kept: Path, listener: Learning, *, is_earnest: bool = False) -> HeardOnce:
    """Stand in for a listener."""
    return HeardOnce(kept, "learning", lambda: listener, is_learning=True, is_earnest=is_earnest)


def test_what_was_heard_is_not_heard_again(tmp_path: Path) -> None:
    """Another listener of the kind answers the same, unasked."""
    first, second = Learning(), Learning()
    told = hear(once(tmp_path, first), 3, 5)
    again = once(tmp_path, second)
    assert hear(again, 3, 5) == told == hear(Learning(), 3, 5)
    assert again.identity == "learning 1"
    assert second.asked == []


def test_what_a_listener_learns_from_is_heard_before_what_is_new(tmp_path: Path) -> None:
    """After known utterances a new one is answered as if all had been heard, channel by channel."""
    hear(once(tmp_path, Learning()), 3, 5)
    listener = Learning()
    going_on = once(tmp_path, listener)
    hear(going_on, 3, 5)
    hear(going_on, 4, channel=1)
    assert hear(going_on, 7) == hear(Learning(), 3, 5, 7)[-1:]
    assert listener.asked == [4, 3, 5, 7]


def test_what_followed_something_else_is_heard_anew(tmp_path: Path) -> None:
    """The same sound after another one is another question."""
    hear(once(tmp_path, Learning()), 3, 5)
    assert hear(once(tmp_path, Learning()), 4, 5) == hear(Learning(), 4, 5)


def test_who_hears_in_earnest_hears_all(tmp_path: Path) -> None:
    """It leaves its answers to others, and takes none of theirs."""
    hear(once(tmp_path, Learning()), 3)
    earnest, after = Learning(), Learning()
    hear(once(tmp_path, earnest, is_earnest=True), 3, 5)
    hear(once(tmp_path, after), 3, 5)
    assert earnest.asked == [3, 5]
    assert after.asked == []


def test_closed_listener_answers_nothing(tmp_path: Path) -> None:
    """As each listener does."""
    with once(tmp_path, Learning()) as listener:
        hear(listener, 3)
    with pytest.raises(ModelError, match="closed"):
        hear(listener, 3)
