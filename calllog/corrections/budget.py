"""Segments and certificates in, their uncertainty and a budget, told by codes, out; pure."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calllog.corrections.arrays import CorrectionArrays, Worked, work_lengths, work_pulls
from calllog.corrections.correct import work, work_situation
from calllog.corrections.practice import (
    IMPROVEMENTS,
    PRACTICE,
    STATED,
    Improvement,
    Practice,
)
from calllog.corrections.pulls import Pulls, or_zero
from calllog.corrections.sensitivity import combine_pulls
from calllog.corrections.situation import Situation
from calllog.corrections.uncertainty import (
    Combined,
    ComponentKind,
    InputPart,
    Shape,
    join_parts,
    shares,
)
from calllog.errors import ConfigError
from calllog.tape import Certificate
from calllog.units import POUND_N, in_unit
from calllog.values import Corrections, Frozen, Message, ReadingUnit, Segment, message

WORTH = 0.95
"""An improvement is worth telling if it leaves no more than this share of the uncertainty."""


class SegmentUncertainty(Frozen):
    """Standard uncertainty (k = 1) of one segment's horizontal length."""

    u_random_ft: float
    """From what differs from pull to pull."""
    u_common_ft: float
    """From what is the same in all pulls; never adds in squares along a line."""
    u_ft: float


METRIC_INPUTS = {"ft": ("m", 0.3048), "degF": ("degC", 5 / 9), "lb": ("N", float(POUND_N))}
"""Unit of an input on a metric tape, and by what it is multiplied."""
SQUARED = re.compile(r"\((\w+)\)\^2")


class BudgetRow(Frozen):
    """What one input does to the length of a line."""

    component: Message
    """The input, by its name."""
    kind: ComponentKind
    distribution: Shape
    source: str
    u_input: float
    """Standard uncertainty of the input [unit]."""
    unit: str
    sensitivity: float
    """Of the line's length [ft per unit]; for a random input the root of the summed squares."""
    contribution_ft: float
    """The amount of u_input times sensitivity."""
    share: float
    """Of the variance of the line's length."""

    def restated(self, unit: ReadingUnit) -> BudgetRow:
        """Give the same row with its input in the units of a job; its contribution stays in feet.

        The sensitivity is that of the length in the job's own unit.
        """
        if unit.is_feet:
            return self
        name, factor = METRIC_INPUTS.get(self.unit, (self.unit, 1.0))
        if (squared := SQUARED.fullmatch(self.unit)) and squared[1] in METRIC_INPUTS:
            base, factor = METRIC_INPUTS[squared[1]]
            name, factor = f"({base})^2", factor**2
        return self.model_copy(
            update={
                "u_input": self.u_input * factor,
                "unit": name,
                "sensitivity": in_unit(self.sensitivity, unit) / factor,
            }
        )


class Prospect(Frozen):
    """What an improvement would make of a line's uncertainty."""

    does: Message
    """What to do, and in place of what."""
    u_ft: float


class LineBudget(Frozen):
    """A line's uncertainty and where it comes from."""

    pulls: int
    """How many are in it."""
    left_out: tuple[int, ...]
    """Numbers of pulls that cannot be corrected, whose uncertainty nobody knows."""
    horizontal_ft: float
    u_random_ft: float
    u_common_ft: float
    """From common and one-way inputs."""
    u_ft: float
    """Standard uncertainty of the horizontal length, k = 1."""
    rows: tuple[BudgetRow, ...]
    """Greatest share first."""
    prospects: tuple[Prospect, ...]
    """What is worth doing better, what helps most first."""
    says: tuple[Message, ...]
    """What dominates and what would help most, one sentence each."""

    def greatest(self, most: int) -> tuple[tuple[BudgetRow, ...], tuple[BudgetRow, ...]]:
        """Give what contributes most, in that order, and the rest; one row alone is no rest."""
        ordered = sorted(self.rows, key=lambda row: (row.contribution_ft, row.share), reverse=True)
        shown = most if len(ordered) > most + 1 else len(ordered)
        return tuple(ordered[:shown]), tuple(ordered[shown:])

    def together_ft(self, rows: Iterable[BudgetRow]) -> float:
        """Give what some rows contribute together, by their shares of the variance."""
        return self.u_ft * math.sqrt(sum(row.share for row in rows))

    def restated(self, unit: ReadingUnit) -> LineBudget:
        """Give the same with the inputs of its rows in the units of a job."""
        return self.model_copy(update={"rows": tuple(row.restated(unit) for row in self.rows)})


@dataclass(frozen=True, slots=True)
class _OneTape:
    """Pulls that were read on one tape, each worked once, and where their lengths stand."""

    certificate: Certificate
    pulls: Pulls
    found: CorrectionArrays
    places: NDArray[np.int64]
    """Of the segment that each pull is part of, among all."""

    def combined(self, practice: Practice) -> Combined:
        return combine_pulls(self.pulls, self.found, self.certificate, practice)

    @property
    def horizontal_ft(self) -> float:
        return math.fsum(self.pulls.length_read_ft + self.found.sum_ft)


@dataclass(frozen=True, slots=True)
class Reduced:
    """A segment reduced: its corrections and their uncertainty, or why there are none."""

    corrections: Corrections | None
    uncertainty: SegmentUncertainty | None
    """None too for a segment that no horizontal length is left of."""
    refused: ConfigError | None


def reduce_segments(
    segments: Sequence[Segment],
    certificates: Mapping[str, Certificate],
    practice: Practice = PRACTICE,
) -> tuple[Reduced, ...]:
    """Correct segments and find the standard uncertainty of each one's horizontal length.

    Each pull is worked once, all of one tape together. A segment that is the mean of take and check
    is held no better than one reading.

    Raises:
        ConfigError: a tape has no certificate.
    """
    found: dict[int, Reduced] = {}
    for places, certificate, worked in _worked(segments, certificates):
        total, sums = worked.lengths(), {}
        tape = _certain(places, certificate, worked)
        if len(tape.places):
            result = tape.combined(practice)
            count = len(segments)
            random_ft = np.sqrt(np.bincount(tape.places, result.u_random**2, count))
            common_ft = np.bincount(tape.places, result.u_common, count)
            sums = {
                place: SegmentUncertainty(
                    u_random_ft=random, u_common_ft=common, u_ft=math.hypot(random, common)
                )
                for place in np.unique(tape.places).tolist()
                for random, common in ((float(random_ft[place]), float(common_ft[place])),)
            }
        for index, place in enumerate(places):
            refused = worked.refused.get(index)
            found[place] = Reduced(None if refused else total.row(index), sums.get(place), refused)
    return tuple(found[place] for place in range(len(segments)))


def line_budget(
    segments: Sequence[Segment],
    certificates: Mapping[str, Certificate],
    practice: Practice = PRACTICE,
    improvements: Sequence[Improvement] = IMPROVEMENTS,
) -> LineBudget:
    """Find a line's standard uncertainty, what makes it, and what would make it smaller.

    ``u^2 = sum u_random^2 + sum over common inputs (sum_i c_i)^2 u^2`` (GUM 5.2.2). Expansion,
    thermometer and the crew's habits are common to all tapes, a certificate to its own tape only.

    Raises:
        ConfigError: a tape has no certificate, or none of the segments can be corrected.
    """
    every = [_certain(*one) for one in _worked(segments, certificates)]
    tapes = [tape for tape in every if len(tape.places)]
    kept = {place for tape in tapes for place in tape.places.tolist()}
    left_out = tuple(each.pull for place, each in enumerate(segments) if place not in kept)
    if not tapes:
        raise ConfigError(
            "no pull of this line can be corrected, so its uncertainty is not known",
            next_step="measure its pulls again, with their conditions stated",
        )
    return _budget(tapes, left_out, practice, improvements)


def length_budget(
    length_read_ft: float,
    certificate: Certificate,
    situation: Situation,
    practice: Practice = PRACTICE,
    improvements: Sequence[Improvement] = IMPROVEMENTS,
) -> LineBudget:
    """Find the standard uncertainty of a length whose situation is stated, as `line_budget` does.

    It is made of the same pulls as its corrections (`calllog.corrections.made_of`). Their slope is
    even. An elevation is taken as known.

    Args:
        length_read_ft: in the tape's own marks, more than 0 [ft].
        certificate: that of the tape.
        situation: what is known.
        practice: how well the crew knows what it does.
        improvements: what it could do better.

    Returns:
        The budget, k = 1.
    """
    worked = work_situation(length_read_ft, certificate, situation, is_counted=True)
    tape = _OneTape(certificate, worked.pulls, worked.found, worked.pulls.owner)
    whole = work(length_read_ft, certificate, situation)
    return _budget([tape], (), practice, improvements, horizontal_ft=length_read_ft + whole.sum_ft)


def _budget(
    tapes: list[_OneTape],
    left_out: tuple[int, ...],
    practice: Practice,
    improvements: Sequence[Improvement],
    horizontal_ft: float | None = None,
) -> LineBudget:
    parts = _parts(tapes, practice)
    portions, u_ft = shares(parts)
    rows = sorted(map(_row, parts, portions), key=lambda row: row.share, reverse=True)
    random_ft = math.hypot(*(part.effect for part in parts if part.kind is ComponentKind.RANDOM))
    prospects = sorted(
        (
            Prospect(does=one.does, u_ft=better_ft)
            for one in improvements
            if (better_ft := _improved_ft(tapes, practice, one)) <= WORTH * u_ft
        ),
        key=lambda prospect: prospect.u_ft,
    )
    if horizontal_ft is None:
        horizontal_ft = math.fsum(tape.horizontal_ft for tape in tapes)
    return LineBudget(
        pulls=sum(len(tape.places) for tape in tapes),
        left_out=left_out,
        horizontal_ft=horizontal_ft,
        u_random_ft=random_ft,
        u_common_ft=math.sqrt(max(u_ft**2 - random_ft**2, 0.0)),
        u_ft=u_ft,
        rows=tuple(rows),
        prospects=tuple(prospects),
        says=_says(horizontal_ft, u_ft, rows, prospects, left_out, unit=tapes[0].certificate.unit),
    )


def _worked(
    segments: Sequence[Segment], certificates: Mapping[str, Certificate]
) -> Iterator[tuple[list[int], Certificate, Worked]]:
    """Work the segments of each tape; give their places among all too."""
    by_tape: defaultdict[str, list[int]] = defaultdict(list)
    for place, segment in enumerate(segments):
        if segment.tape not in certificates:
            known = ", ".join(sorted(certificates))
            raise ConfigError(
                f"tape {segment.tape} has no certificate here",
                where=f"pull {segment.pull} of line {segment.line_from} to {segment.line_to}",
                next_step=f"give its certificate; there are: {known or 'none'}",
            )
        by_tape[segment.tape].append(place)
    for tape, places in by_tape.items():
        here = [segments[place] for place in places]
        lengths = Pulls.build(
            [one.length_read_ft for one in here], [one.conditions for one in here]
        )
        yield places, certificates[tape], work_lengths(lengths, certificates[tape])


def _certain(places: Sequence[int], certificate: Certificate, worked: Worked) -> _OneTape:
    """Keep the pulls of which an uncertainty is known: those of a length that is left of."""
    total, owner = worked.lengths(), worked.pulls.owner
    level_ft = np.bincount(owner, worked.pulls.length_read_ft, worked.count) + total.sum_ft
    rises = np.bincount(owner, or_zero(worked.pulls.rise_ft), worked.count) != 0
    is_left = (level_ft > 0) | ~rises
    is_left[list(worked.refused)] = False
    here = is_left[owner]
    return _OneTape(
        certificate, worked.pulls.part(here), worked.found.part(here), np.array(places)[owner[here]]
    )


def _parts(tapes: Iterable[_OneTape], practice: Practice) -> tuple[InputPart, ...]:
    return join_parts(part for tape in tapes for part in tape.combined(practice).parts)


def _row(part: InputPart, share: float) -> BudgetRow:
    return BudgetRow(
        component=part.name.told,
        kind=part.kind,
        distribution=part.given.shape,
        source=part.given.source,
        u_input=part.u,
        unit=part.unit,
        sensitivity=part.sensitivity,
        contribution_ft=abs(part.effect),
        share=share,
    )


def _improved_ft(tapes: Iterable[_OneTape], practice: Practice, improvement: Improvement) -> float:
    better = practice.model_copy(
        update={
            name: given
            for name, given in improvement.practice.items()
            if given.standard < getattr(practice, name).standard
        }
    )
    return shares(_parts((_improve(tape, improvement) for tape in tapes), better))[1]


def _improve(tape: _OneTape, improvement: Improvement) -> _OneTape:
    """Make known what the improvement states, and give the tape a better certificate if it does."""
    certificate, pulls = tape.certificate, tape.pulls
    fresh = improvement.practice.get("certificate_share")
    u_ft = certificate.u_certified_length_ft
    if fresh and u_ft and fresh.standard * certificate.nominal_ft < u_ft:
        certificate = certificate.model_copy(update={"u_certified_length_ft": None})
    stated = STATED | {
        "temperature_degf": certificate.certified_temperature_degf,
        "tension_lb": certificate.certified_tension_lb,
    }
    for name in improvement.states:
        values = getattr(pulls, name)
        unknown = values == -1 if name == "spans" else np.isnan(values)
        if name == "rise_ft":
            unknown = ~pulls.is_slope_known
        pulls = replace(pulls, **{name: np.where(unknown, stated[name], values)})
    found = tape.found
    if improvement.states:
        count = int(pulls.owner.max()) + 1
        found = work_pulls(pulls, count, certificate).found
    return replace(tape, certificate=certificate, pulls=pulls, found=found)


def _says(
    horizontal_ft: float,
    u_ft: float,
    rows: Sequence[BudgetRow],
    prospects: Sequence[Prospect],
    left_out: Sequence[int],
    *,
    unit: ReadingUnit,
) -> tuple[Message, ...]:
    """Tell what dominates and what would help; figures are in the unit of the tape."""
    first, u = rows[0], f"{in_unit(u_ft, unit):.2g}"
    said = [
        message("budget-uncertainty", length=f"{in_unit(horizontal_ft, unit):.2f}", u=u),
        message(
            "budget-adds-most",
            input=first.component,
            kind=message("input-kind", kind=first.kind.value),
            share=f"{100 * first.share:.0f} %",
        ),
    ]
    if prospects:
        best, better = prospects[0], f"{in_unit(prospects[0].u_ft, unit):.2g}"
        said.append(message("budget-would-help", improvement=best.does, u=u, better=better))
    else:
        said.append(message("budget-nothing-helps"))
    if left_out:
        listed = ", ".join(map(str, left_out))
        said.append(message("budget-left-out", pulls=listed, count=len(left_out)))
    return tuple(said)
