"""What a voice said and how, in; what to shift for it, out; arrays, no file.

The loss is that of connectionist temporal classification (Graves et al., ICML 2006): for each call
the sum over every way to say it and to lay it out in time, its logarithm averaged over the calls,
and a penalty on all that is shifted, so that two dozen calls cannot turn the network's head. What
is shifted is added to the logits, so that all layers are computed once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calllog.recognise.shift import Array, Shift, of_rank
from calllog.recognise.word_sums import BLANK, Units

PENALTY = 0.2
"""What the square of all that is shifted costs, against the mean of the calls, halved [nat]. On
three people 0.1 and 0.3 were alike."""
RANK = 12
"""Of what is kept."""
STEPS = 25
"""Of the search; it has all but settled by then."""
LEAST = 1e-30
"""No frame rules a unit out."""

Wide = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Lesson:
    """A call of the voice, and what was said in it."""

    outputs: Array
    """What the network makes of it without any voice, log-probabilities, shape (frames, units)."""
    inner: Array
    """What a shift reads, shape (frames, values)."""
    ways: tuple[Units, ...]
    """Every way to say it, each a sequence of units."""


class Sums:
    """The ways to say some calls, ready to be summed over all their layouts at once.

    Args:
        lessons: one at least, each with frames and ways.
    """

    def __init__(self, lessons: Sequence[Lesson]) -> None:
        ways = [(call, way) for call, lesson in enumerate(lessons) for way in lesson.ways]
        self._call = np.array([call for call, _ in ways], np.intp)
        self._frames = np.array([len(each.outputs) for each in lessons], np.intp)
        self._states = np.array([2 * len(way) + 1 for _, way in ways], np.intp)
        shape = len(ways), int(self._states.max())
        self._unit = np.full(shape, BLANK, np.intp)
        """Blanks before, between and after the units."""
        self._skips = np.zeros(shape, bool)
        """Where the blank before a unit may be left out."""
        for row, (_, way) in enumerate(ways):
            self._unit[row, 1 : 2 * len(way) : 2] = way
            for place in range(1, len(way)):
                self._skips[row, 2 * place + 1] = way[place] != way[place - 1]
        self.is_said = np.zeros(lessons[0].outputs.shape[1], bool)
        """Of each unit, whether any way has it; blanks do."""
        self.is_said[[BLANK, *(unit for _, way in ways for unit in way)]] = True
        self._is_state = np.arange(shape[1]) < self._states[:, None]
        self._row = np.arange(shape[0])
        self._is_unit = np.zeros((*shape, 0))
        """For each state which unit it is, shape (ways, states, units); made when first needed."""

    def nats(self, outputs: Array) -> Wide:
        """Give the log-likelihood of each call, all ways together [nat].

        Args:
            outputs: log-probabilities of all calls' frames, one after the other, shape (frames of
                all, units).
        """
        return self._forward(self._likelihoods(outputs))[0]

    def pull(self, outputs: Array) -> tuple[Wide, Wide]:
        """Give the log-likelihoods [nat], and what they ask of each frame.

        Returns:
            For each call its log-likelihood; for each frame and unit how probable it is that the
            unit stands there, given what was said.
        """
        likely = self._likelihoods(outputs)
        nats, of_way, ahead, scales = self._forward(likely)
        shares = np.exp(of_way - nats[self._call])
        there = np.zeros_like(ahead)
        last = ahead[self._row, self._frames[self._call] - 1]
        ends = np.zeros_like(last)
        total = last[self._row, self._states - 1] + last[self._row, self._states - 2]
        for back in (1, 2):
            ends[self._row, self._states - back] = 1.0 / np.maximum(total, LEAST)
        left = ends
        for frame in range(ahead.shape[1] - 1, -1, -1):
            if frame < ahead.shape[1] - 1:
                onward = left * likely[:, frame + 1] / scales[:, frame + 1, None]
                moved = onward.copy()
                moved[:, :-1] += onward[:, 1:]
                moved[:, :-2] += onward[:, 2:] * self._skips[:, 2:]
                is_before = frame < self._frames[self._call] - 1
                left = np.where(is_before[:, None], moved, ends)
            is_heard = frame < self._frames[self._call]
            there[:, frame] = ahead[:, frame] * left * (is_heard * shares)[:, None]
        stands = np.zeros((len(self._frames), ahead.shape[1], outputs.shape[1]))
        if self._is_unit.shape[2] != outputs.shape[1]:
            self._is_unit = np.zeros((*self._unit.shape, outputs.shape[1]))
            np.put_along_axis(self._is_unit, self._unit[:, :, None], 1.0, 2)
        np.add.at(stands, self._call, there @ self._is_unit)
        parts = [each[:count] for each, count in zip(stands, self._frames, strict=True)]
        return nats, np.concatenate(parts)

    def _likelihoods(self, outputs: Array) -> Wide:
        padded = np.zeros((len(self._frames), int(self._frames.max()), outputs.shape[1]))
        parts = np.split(np.exp(outputs.astype(np.float64)), np.cumsum(self._frames)[:-1])
        for call, part in enumerate(parts):
            padded[call, : len(part)] = part
        rows, states = self._unit.shape
        units = np.broadcast_to(self._unit[:, None], (rows, padded.shape[1], states))
        likely: Wide = np.take_along_axis(padded[self._call], units, 2)
        return np.maximum(likely, LEAST) * self._is_state[:, None]

    def _forward(self, likely: Wide) -> tuple[Wide, Wide, Wide, Wide]:
        ahead, scales = np.zeros_like(likely), np.ones(likely.shape[:2])
        here = likely[:, 0].copy()
        here[:, 2:] = 0.0
        frames = self._frames[self._call]
        for frame in range(likely.shape[1]):
            moved = here
            if frame:
                moved = here.copy()
                moved[:, 1:] += here[:, :-1]
                moved[:, 2:] += here[:, :-2] * self._skips[:, 2:]
                moved *= likely[:, frame]
            is_heard = frame < frames
            total = np.maximum(moved.sum(axis=1), LEAST)
            here = np.where(is_heard[:, None], moved / total[:, None], here)
            scales[:, frame] = np.where(is_heard, total, 1.0)
            ahead[:, frame] = here
        last = ahead[self._row, frames - 1]
        ends = last[self._row, self._states - 1] + last[self._row, self._states - 2]
        of_way = np.log(scales).sum(axis=1) + np.log(np.maximum(ends, LEAST))
        nats = np.full(len(self._frames), -np.inf)
        np.logaddexp.at(nats, self._call, of_way)
        return nats, of_way, ahead, scales


def learn(
    lessons: Sequence[Lesson],
    before: Shift | None = None,
    steps: int = STEPS,
) -> Shift:
    """Learn what to shift for a voice.

    Args:
        lessons: what the voice said.
        before: what was learned of it before, from which nothing is taken back without reason;
            None for nothing.
        steps: of the search, at the most.

    Returns:
        What to shift.
    """
    from scipy.optimize import minimize  # noqa: PLC0415 - 20 MB that listening does not need

    sums = Sums(lessons)
    inner = np.concatenate([each.inner for each in lessons])
    plain = np.concatenate([each.outputs for each in lessons])
    count, shape = len(lessons), (inner.shape[1], plain.shape[1])
    size = shape[0] * shape[1]
    start = np.zeros(size + shape[1])
    if before is not None:
        start = np.concatenate([before.weights.ravel(), before.bias]).astype(np.float64)

    def lost(point: Wide) -> tuple[float, Wide]:
        weights, bias = (np.asarray(part, np.float32) for part in np.split(point, [size]))
        outputs = shifted(plain, inner @ weights.reshape(shape) + bias)
        nats, stands = sums.pull(outputs)
        pulled = np.asarray((np.exp(outputs) - stands) * sums.is_said / count, np.float32)
        slope = np.concatenate([(inner.T @ pulled).ravel(), pulled.sum(axis=0)])
        away = point - start
        loss = float(-nats.mean() + 0.5 * PENALTY * (away @ away))
        return loss, slope.astype(np.float64) + PENALTY * away

    found = minimize(lost, start, jac=True, method="L-BFGS-B", options={"maxiter": steps}).x
    return of_rank(found[:size].reshape(shape), found[size:], RANK)


def shifted(outputs: Array, added: Array) -> Array:
    """Add to logits; give log-probabilities again, shape (frames, units) all three."""
    logits = outputs + added
    logits -= logits.max(axis=1, keepdims=True)
    found: Array = logits - np.log(np.exp(logits).sum(axis=1, keepdims=True))
    return found
