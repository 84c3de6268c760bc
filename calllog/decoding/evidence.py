"""Calls in, how well each length of the tape explains them out; pure.

A recogniser's alternatives are sharpened or flattened by a temperature, and a floor is kept for
what its list leaves out. Both are data, fitted on tuning voices (tests/bench/fit_calibration.py).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from calllog.decoding.arithmetic import EXACT, Arithmetic
from calllog.decoding.space import Space, Vector
from calllog.values import HUNDREDTHS, Call, Kind

KEYED_WRONG = 0.37e-3
"""Share of keyed fields that are wrong, entered once (Paulsen et al. 2012)."""
LEAST = 1e-12
"""No length is quite impossible: so much of the likeliest one is left to each."""


class Noise(StrEnum):
    """How much noise there is beside the voice."""

    QUIET = "quiet"
    NOISY = "noisy"
    LOUD = "loud"


@dataclass(frozen=True, slots=True)
class Calibration:
    """How a recogniser's probabilities become true ones."""

    temperature: float
    """Above 1 it is too sure of itself: probabilities are taken to the power 1/temperature."""
    floor: float
    """Probability that its list leaves the right one out."""


CALIBRATIONS: Mapping[int, Mapping[Noise, Calibration]] = {
    1: {
        Noise.QUIET: Calibration(1.06, 0.0189),
        Noise.NOISY: Calibration(1.62, 0.0102),
        Noise.LOUD: Calibration(1.45, 0.0103),
    },
    2: dict.fromkeys(Noise, Calibration(1.38, 0.0033)),
    3: dict.fromkeys(Noise, Calibration(1.24, 0.0032)),
    4: dict.fromkeys(Noise, Calibration(1.24, 0.0032)),
    5: dict.fromkeys(Noise, Calibration(1.24, 0.0032)),
    6: dict.fromkeys(Noise, Calibration(1.24, 0.0032)),
}
"""For two voices together, by edition: a journal names the edition that decided, so that it can be
computed again. The first is PocketSphinx's alone, the second that of PocketSphinx and the numbers
model, the third that of all three listeners. Of the latter two no pair of calls of tuning voices
was wrong alike, so there was nothing to fit, and each is the most cautious of what fits single
calls at one level of noise. The fourth is the encoder model's alone,
with the third's values (decision 120); the fifth decides by the same ones with the same bits on
every computer (decision 190), the sixth asks less (decision 47)."""
ALONE: Mapping[int, Mapping[Noise, Calibration]] = {
    1: {
        Noise.QUIET: Calibration(0.46, 0.004),
        Noise.NOISY: Calibration(0.49, 0.0049),
        Noise.LOUD: Calibration(0.71, 0.0031),
    },
    2: dict.fromkeys(Noise, Calibration(1.16, 0.0008)),
    3: dict.fromkeys(Noise, Calibration(1.0, 0.0032)),
    4: dict.fromkeys(Noise, Calibration(1.24, 0.0032)),
    5: dict.fromkeys(Noise, Calibration(1.24, 0.0032)),
    6: dict.fromkeys(Noise, Calibration(1.24, 0.0032)),
}
"""The same for a take without a check. Where two voices are weighed together they must be trusted
less, since they mishear alike; single calls are surer than their probabilities say."""
NEWEST = max(CALIBRATIONS)


class Part(StrEnum):
    """What of a length a call states."""

    WHOLE = "whole"
    FRACTION = "fraction"
    READING = "reading"


@dataclass(frozen=True, slots=True)
class CalledPart:
    """What one call may have been, calibrated."""

    call: int
    """Its number in the job."""
    part: Part
    likely: tuple[tuple[int, float], ...]
    """Values and their probabilities: whole feet, hundredths, or readings in hundredths."""
    rest: float
    """Probability of all other values together."""
    heard: tuple[tuple[int, float], ...] = field(default=(), compare=False)
    """The same values as they were heard, not calibrated; all forms of a value together."""

    @property
    def best(self) -> int:
        """The likeliest value."""
        return max(self.likely, key=lambda each: each[1])[0]


def utterance(
    call: Call, part: Part, calibration: Calibration, arithmetic: Arithmetic = EXACT
) -> CalledPart:
    """Calibrate what a call says of a part; a reading may be asked for one part alone.

    Alternatives of another kind and "no call" count to the rest. A typed call is certain but for
    the rate at which people mistype; so is one without alternatives.
    """
    stated = _part_of(call.kind, call.value or 0, part)
    if call.is_keyed or not call.alternatives:
        return CalledPart(call.number, part, ((stated, 1.0 - KEYED_WRONG),), KEYED_WRONG)
    listed: dict[int | None, float] = {}
    for each in call.alternatives:
        kind = call.kind if each.kind is Kind.NUMBER else each.kind
        value = None
        if each.value is not None and kind is call.kind:
            hundredths = _hundredths(each.kind, each.value, call.kind)
            value = _part_of(kind, hundredths, part)
        listed[value] = listed.get(value, 0.0) + max(each.probability, 0.0)
    left = 1.0 - arithmetic.listed(listed.values())
    if left > 0.0:
        listed[None] = listed.get(None, 0.0) + left
    power = 1.0 / calibration.temperature
    powers = {value: arithmetic.power(p, power) for value, p in listed.items() if p > 0}
    scale = (1.0 - calibration.floor) / arithmetic.listed(powers.values())
    likely = tuple((value, p * scale) for value, p in powers.items() if value is not None)
    heard = tuple((value, p) for value, p in listed.items() if value is not None)
    if not likely:
        return CalledPart(call.number, part, ((stated, 0.5),), 0.5, heard)
    rest = 1.0 - arithmetic.listed(p for _, p in likely)
    return CalledPart(call.number, part, likely, rest, heard)


def likelihood(where: Space, heard: Iterable[CalledPart], arithmetic: Arithmetic = EXACT) -> Vector:
    """Tell how well each length explains the calls of one observation, the best one 1.

    Of the calls of one part the surest counts in full, the first in order of those equally sure.
    The others count with the power of a quarter: of one voice the same words are misheard alike, so
    that hearing them twice is not twice as sure.

    Returns:
        Shape (lengths,).
    """
    vector = np.ones(where.size)
    counted: set[Part] = set()
    for each in sorted(
        heard, key=lambda one: -arithmetic.told(max(share for _, share in one.likely))
    ):
        explained = _explained(where, each)
        if each.part in counted:
            explained = arithmetic.quarter_power(explained)
        counted.add(each.part)
        vector = _scaled(vector * explained)
    return vector


def _explained(where: Space, each: CalledPart) -> Vector:
    match each.part:
        case Part.WHOLE:
            vector = _spread(each, where.most_feet + 1)[where.feet]
        case Part.FRACTION:
            vector = _spread(each, HUNDREDTHS)[where.hundredths]
        case Part.READING:
            placed = [
                (where.place(*divmod(value, HUNDREDTHS)), probability)
                for value, probability in each.likely
            ]
            vector = _spread(each, where.size, placed)
    return _scaled(vector)


def _spread(
    each: CalledPart, size: int, placed: list[tuple[int | None, float]] | None = None
) -> Vector:
    """Put listed probabilities in their places, and share the rest among the others equally."""
    there = [
        (at, probability)
        for at, probability in (each.likely if placed is None else placed)
        if at is not None and 0 <= at < size
    ]
    vector = np.full(size, each.rest / max(size - len(there), 1))
    for at, probability in there:
        vector[at] = probability
    return vector


def _scaled(vector: Vector) -> Vector:
    top = float(vector.max())
    return np.maximum(vector / top, LEAST) if top > 0.0 else np.ones_like(vector)


def _hundredths(kind: Kind, value: int, taken_as: Kind) -> int:
    """Give a bare number the place that it was taken for."""
    return value * HUNDREDTHS if kind is Kind.NUMBER and taken_as is Kind.WHOLE else value


def _part_of(kind: Kind, hundredths: int, part: Part) -> int:
    """Give the value of a part: feet, hundredths, or the reading [hundredths]."""
    if part is Part.READING:
        return hundredths
    if part is Part.WHOLE:
        return hundredths // HUNDREDTHS
    return hundredths if kind is Kind.FRACTION else hundredths % HUNDREDTHS
