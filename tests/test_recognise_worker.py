"""The recogniser in a process of its own: order, death, errors, and that it ends."""

from __future__ import annotations

import gc
import os
import time
from functools import partial
from pathlib import Path
from typing import Self

import numpy as np
import pytest

from calllog.audio import RATE_HZ, Utterance
from calllog.errors import ModelError
from calllog.recognise import Hypothesis
from calllog.recognise import worker as worker_module
from calllog.recognise.worker import Worker
from calllog.values import Expectation

DEADLY = 13


class Counting:
    """Hears how many samples an utterance has, and dies of thirteen."""

    identity = "counting 1"

    def __init__(self, *, dies_always: bool = True) -> None:
        self._dies_always = dies_always

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Give the number of samples as the words."""
        if len(utterance.samples) == DEADLY and self._dies_always:
            os._exit(1)
        return (Hypothesis(f"{expects.value} {len(utterance.samples)}", 1.0),)

    def close(self) -> None:
        """Hold nothing."""

    def __enter__(self) -> Self:
        """Use it in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Hold nothing."""


def broken() -> Counting:
    """Fail as a missing model does."""
    raise ModelError("no such model", where="nowhere", next_step="fetch one")


def stillborn() -> Counting:
    """Die before anything is ready."""
    os._exit(1)


def utterance(samples: int) -> Utterance:
    """Make an utterance of so many samples."""
    nothing = np.zeros(0, np.float32)
    return Utterance(np.zeros(samples, np.float32), nothing, 0.0, 1.0, 0, "test", is_cut=False)


def words(worker: Worker, count: int) -> dict[int, str]:
    """Wait for so many answers; give the words of each."""
    came: dict[int, str] = {}
    while len(came) < count:
        more = worker.answers(30.0)
        assert more, "no answer came"
        came |= {number: found[0].text if found else "" for number, found in more}
    return came


@pytest.mark.slow
def test_answers_come_in_the_order_asked() -> None:
    """Each answer carries the number of its question; without a question none comes."""
    with Worker(Counting) as worker:
        assert worker.identity == "counting 1"
        assert worker.answers() == ()
        first = worker.ask(utterance(3), Expectation.WHOLE)
        second = worker.ask(utterance(4), Expectation.FRACTION)
        assert words(worker, 2) == {first: "whole 3", second: "fraction 4"}


class Unlooked(Counting):
    """Tells how many of the objects that are there are no longer looked through for garbage."""

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Give their number as the words."""
        del utterance, expects
        return (Hypothesis(str(gc.get_freeze_count()), 1.0),)


@pytest.mark.slow
def test_what_is_loaded_is_not_looked_through_in_a_call() -> None:
    """Of the many objects of an engine none is garbage, and a look takes as long as a word."""
    with Worker(Unlooked) as worker:
        asked = worker.ask(utterance(3), Expectation.WHOLE)
        assert int(words(worker, 1)[asked]) > 10_000


@pytest.mark.slow
def test_engine_that_dies_is_begun_again() -> None:
    """What it owed is asked anew; what kills it twice is answered with nothing."""
    with Worker(Counting) as worker:
        deadly = worker.ask(utterance(DEADLY), Expectation.WHOLE)
        after = worker.ask(utterance(5), Expectation.WHOLE)
        assert words(worker, 2) == {deadly: "", after: "whole 5"}
        assert worker.restarts == 2
    with Worker(partial(Counting, dies_always=False)) as worker:
        alive = worker.ask(utterance(DEADLY), Expectation.WHOLE)
        assert words(worker, 1) == {alive: "whole 13"}
        assert worker.restarts == 0


@pytest.mark.slow
def test_model_that_cannot_be_used_is_said() -> None:
    """The error of the other process comes here whole; a process that dies at once is named."""
    with pytest.raises(ModelError, match="nowhere: no such model; fetch one"):
        Worker(broken)
    with pytest.raises(ModelError, match="did not start"):
        Worker(stillborn)


class Late(Counting):
    """Is made when a file is there."""

    def __init__(self, until: Path) -> None:
        while not until.exists():
            time.sleep(0.01)
        super().__init__()


@pytest.mark.slow
def test_recogniser_is_got_ready_meanwhile(tmp_path: Path) -> None:
    """Whoever first needs it waits; an error comes then, and closing waits for nothing."""
    with Worker(partial(Late, tmp_path / "now"), is_waited_for=False) as worker:
        assert worker.answers() == ()
        (tmp_path / "now").touch()
        first = worker.ask(utterance(3), Expectation.WHOLE)
        assert words(worker, 1) == {first: "whole 3"}
        assert worker.identity == "counting 1"
    with (
        Worker(broken, is_waited_for=False) as worker,
        pytest.raises(ModelError, match="nowhere: no such model; fetch one"),
    ):
        worker.ask(utterance(3), Expectation.WHOLE)
    Worker(partial(Late, tmp_path / "never"), is_waited_for=False).close()


@pytest.mark.slow
def test_closed_worker_takes_no_questions() -> None:
    """Closing twice does no harm; asking afterwards is an error."""
    worker = Worker(Counting)
    worker.close()
    worker.close()
    with pytest.raises(ModelError, match="closed"):
        worker.ask(utterance(1), Expectation.WHOLE)


class Held(Counting):
    """Ends with no utterance of more than a second before a file is there."""

    def __init__(self, until: Path) -> None:
        super().__init__()
        self._until = until

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Wait, then count."""
        while len(utterance.samples) > RATE_HZ and not self._until.exists():
            time.sleep(0.01)
        return super().recognise(utterance, expects)


@pytest.mark.slow
def test_nobody_waits_for_a_busy_engine(tmp_path: Path) -> None:
    """All is asked before the first answer can come, since keys are ticked by the one who asks."""
    with Worker(partial(Held, tmp_path / "answer")) as worker:
        for more in range(4):
            worker.ask(utterance(8 * RATE_HZ + more), Expectation.WHOLE)
        assert worker.answers() == ()
        (tmp_path / "answer").touch()
        assert list(words(worker, 4).values()) == [f"whole {8 * RATE_HZ + n}" for n in range(4)]


class Stuck(Counting):
    """Never ends with thirteen."""

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Wait, or count."""
        if len(utterance.samples) == DEADLY:
            time.sleep(60.0)
        return super().recognise(utterance, expects)


@pytest.mark.slow
def test_engine_that_is_stuck_is_begun_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """One utterance that it never ends must not make the program deaf for the day."""
    monkeypatch.setattr(worker_module, "STUCK_S", 0.3)
    with Worker(Stuck) as worker:
        stuck = worker.ask(utterance(DEADLY), Expectation.WHOLE)
        after = worker.ask(utterance(5), Expectation.WHOLE)
        came: dict[int, str] = {}
        until_s = time.monotonic() + 30.0
        while len(came) < 2 and time.monotonic() < until_s:
            for number, found in worker.answers(0.05):
                came[number] = found[0].text if found else ""
        assert came == {stuck: "", after: "whole 5"}
        assert worker.restarts == 2
