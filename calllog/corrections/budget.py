"""Segments and certificates in, their uncertainty and a budget, told by codes, out; pure."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from calllog.corrections.arrays import Pulls, correct_arrays
from calllog.corrections.catenary import mean_pull
from calllog.corrections.correct import correct, work
from calllog.corrections.made_of import counted, made_of, pull_lengths_ft
from calllog.corrections.practice import (
    IMPROVEMENTS,
    PRACTICE,
    STATED,
    Improvement,
    Practice,
)
from calllog.corrections.sensitivity import combine_pulls
from calllog.corrections.situation import End, Situation
from calllog.corrections.uncertainty import (
    Combined,
    Kind,
    Part,
    Shape,
    join_parts,
    shares,
)
from calllog.errors import ConfigError
from calllog.tape import Certificate
from calllog.units import POUND_N, in_unit
from calllog.values import Conditions, Frozen, Message, ReadingUnit, Segment, message

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
    kind: Kind
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

    def restated(self, unit: ReadingUnit) -> LineBudget:
        """Give the same with the inputs of its rows in the units of a job."""
        return self.model_copy(update={"rows": tuple(row.restated(unit) for row in self.rows)})


@dataclass(frozen=True, slots=True)
class _OneTape:
    """The pulls that were read on one tape, and where they stand among all."""

    certificate: Certificate
    pulls: Pulls
    places: tuple[int, ...]
    """A segment longer than the tape is several pulls, which all stand at its place."""

    def combined(self, practice: Practice) -> Combined:
        found = correct_arrays(self.pulls, self.certificate)
        return combine_pulls(self.pulls, found, self.certificate, practice)

    def horizontal_ft(self) -> float:
        found = correct_arrays(self.pulls, self.certificate)
        return math.fsum(self.pulls.length_read_ft + found.sum_ft)


def segment_uncertainties(
    segments: Sequence[Segment],
    certificates: Mapping[str, Certificate],
    practice: Practice = PRACTICE,
) -> tuple[SegmentUncertainty | None, ...]:
    """Find the standard uncertainty of each segment's horizontal length.

    A segment that is the mean of take and check is held no better than one reading.

    Args:
        segments: in any order.
        certificates: by the identity of the tape.
        practice: how well the crew knows what it does.

    Returns:
        One for each, k = 1; None for a segment that cannot be corrected.

    Raises:
        ConfigError: a tape has no certificate.
    """
    found: list[SegmentUncertainty | None] = [None] * len(segments)
    for tape in _by_tape(segments, certificates)[0]:
        result = tape.combined(practice)
        for place, random_ft, common_ft, u_ft in zip(
            tape.places,
            result.u_random.tolist(),
            result.u_common.tolist(),
            result.u.tolist(),
            strict=True,
        ):
            before, one = (
                found[place],
                SegmentUncertainty(u_random_ft=random_ft, u_common_ft=common_ft, u_ft=u_ft),
            )
            found[place] = one if before is None else _joined(before, one)
    return tuple(found)


def _joined(one: SegmentUncertainty, other: SegmentUncertainty) -> SegmentUncertainty:
    """Put two pulls of one segment together: what is common adds in full."""
    random_ft = math.hypot(one.u_random_ft, other.u_random_ft)
    common_ft = one.u_common_ft + other.u_common_ft
    return SegmentUncertainty(
        u_random_ft=random_ft, u_common_ft=common_ft, u_ft=math.hypot(random_ft, common_ft)
    )


def segment_uncertainty(
    segment: Segment, certificate: Certificate, practice: Practice = PRACTICE
) -> SegmentUncertainty | None:
    """Find the standard uncertainty of one segment, as `segment_uncertainties` does."""
    return segment_uncertainties([segment], {segment.tape: certificate}, practice)[0]


def line_budget(
    segments: Sequence[Segment],
    certificates: Mapping[str, Certificate],
    practice: Practice = PRACTICE,
    improvements: Sequence[Improvement] = IMPROVEMENTS,
) -> LineBudget:
    """Find a line's standard uncertainty, what makes it, and what would make it smaller.

    ``u^2 = sum u_random^2 + sum over common inputs (sum_i c_i)^2 u^2`` (GUM 5.2.2). Expansion,
    thermometer and the crew's habits are common to all tapes, a certificate to its own tape only.

    Args:
        segments: those of one line.
        certificates: by the identity of the tape.
        practice: how well the crew knows what it does.
        improvements: what it could do better; each is computed for this line.

    Returns:
        The budget, k = 1.

    Raises:
        ConfigError: a tape has no certificate, or none of the segments can be corrected.
    """
    tapes, left_out = _by_tape(segments, certificates)
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
    pulls = counted(made_of(length_read_ft, certificate, situation), certificate)
    sine = situation.sine(length_read_ft) if situation.has_slope else 0.0
    by_rise = situation.rise_ft is not None
    conditions = [
        Conditions(
            temperature_degf=situation.temperature_degf,
            tension_lb=_mean_lb(sine * length, certificate, situation),
            spans=each,
            rise_ft=sine * length if by_rise else None,
        )
        for length, each in pulls
    ]
    built = Pulls.build([length for length, _ in pulls], conditions)
    if situation.fixed_sine is not None:
        built = replace(built, sine=np.full(len(pulls), situation.fixed_sine))
    if situation.off_line_ft is not None:
        shares_of = built.length_read_ft / length_read_ft
        built = replace(built, off_line_ft=abs(situation.off_line_ft) * shares_of)
    tape = _OneTape(certificate=certificate, pulls=built, places=tuple(range(len(pulls))))
    worked = work(length_read_ft, certificate, situation)
    return _budget([tape], (), practice, improvements, horizontal_ft=length_read_ft + worked.sum_ft)


def _mean_lb(rise_ft: float, certificate: Certificate, situation: Situation) -> float | None:
    """Bring a tension that was held at one end of a slope to the mean of both ends."""
    if situation.tension_lb is None or situation.tension_at is End.MIDDLE:
        return situation.tension_lb
    height_ft = rise_ft if situation.tension_at is End.UPPER else -rise_ft
    stiffness_lb = certificate.area_in2 * certificate.modulus_psi
    return float(
        mean_pull(situation.tension_lb, height_ft, certificate.weight_lb_per_ft, stiffness_lb)
    )


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
    random_ft = math.hypot(*(part.effect for part in parts if part.kind is Kind.RANDOM))
    prospects = sorted(
        (
            Prospect(does=one.does, u_ft=better_ft)
            for one in improvements
            if (better_ft := _improved_ft(tapes, practice, one)) <= WORTH * u_ft
        ),
        key=lambda prospect: prospect.u_ft,
    )
    if horizontal_ft is None:
        horizontal_ft = math.fsum(tape.horizontal_ft() for tape in tapes)
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


def _by_tape(
    segments: Sequence[Segment], certificates: Mapping[str, Certificate]
) -> tuple[list[_OneTape], tuple[int, ...]]:
    places: defaultdict[str, list[int]] = defaultdict(list)
    left_out = []
    for place, segment in enumerate(segments):
        if segment.tape not in certificates:
            raise ConfigError(
                f"tape {segment.tape} has no certificate here",
                where=f"pull {segment.pull} of line {segment.line_from} to {segment.line_to}",
                next_step="give its certificate",
            )
        if _has_length(segment, certificates[segment.tape]):
            places[segment.tape].append(place)
        else:
            left_out.append(segment.pull)
    tapes = []
    for tape, here in places.items():
        pulls = [
            (place, one_ft, conditions)
            for place in here
            for one_ft, conditions in _pulls(segments[place], certificates[tape])
        ]
        tapes.append(
            _OneTape(
                certificate=certificates[tape],
                pulls=Pulls.build([one for _, one, _ in pulls], [each for _, _, each in pulls]),
                places=tuple(place for place, _, _ in pulls),
            )
        )
    return tapes, tuple(left_out)


def _pulls(segment: Segment, certificate: Certificate) -> list[tuple[float, Conditions]]:
    """Give the pulls of a segment, which is one unless it is longer than the tape."""
    length_ft, conditions = segment.length_read_ft, segment.conditions
    lengths_ft = pull_lengths_ft(length_ft, certificate)
    if len(lengths_ft) == 1 or conditions.rise_ft is None:
        return [(one_ft, conditions) for one_ft in lengths_ft]
    return [
        (
            one_ft,
            conditions.model_copy(update={"rise_ft": conditions.rise_ft * one_ft / length_ft}),
        )
        for one_ft in lengths_ft
    ]


def _has_length(segment: Segment, certificate: Certificate) -> bool:
    try:
        found = correct(segment.length_read_ft, certificate, segment.conditions)
    except ConfigError:
        return False
    return not segment.conditions.rise_ft or segment.length_read_ft + found.sum_ft > 0


def _parts(tapes: Iterable[_OneTape], practice: Practice) -> tuple[Part, ...]:
    return join_parts(part for tape in tapes for part in tape.combined(practice).parts)


def _row(part: Part, share: float) -> BudgetRow:
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
    return replace(tape, certificate=certificate, pulls=pulls)


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
            share=f"{first.share:.0%}",
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
