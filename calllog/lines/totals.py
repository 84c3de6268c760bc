"""Segments and certificates in, corrected segments with running totals out; pure."""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import accumulate

from calllog.corrections import Reduced, reduce_segments
from calllog.errors import ConfigError
from calllog.tape import Certificate
from calllog.values import (
    BookPolicy,
    CorrectedSegment,
    Corrections,
    DistanceKind,
    Fact,
    Finding,
    Holders,
    Message,
    RunName,
    Segment,
    Severity,
    kind_of,
)

NOT_CORRECTED = "not-corrected"
"""Code of the finding about a pull that stands as it was read."""
UNKNOWN = Corrections(
    standardisation_ft=None,
    temperature_ft=None,
    tension_ft=None,
    sag_ft=None,
    slope_ft=None,
    sum_ft=0.0,
)
"""No correction is known."""


def running_totals(lengths_ft: Iterable[float]) -> tuple[float, ...]:
    """Add up lengths as they come.

    Each total is the exact sum of the lengths so far, rounded once, so no rounding piles up.

    Example:
        >>> running_totals([0.1] * 10)[-1]
        1.0
    """
    return tuple(float(total) for total in accumulate(map(Fraction, lengths_ft)))


def kind_of_all(kinds: Iterable[DistanceKind]) -> DistanceKind:
    """Tell which way a total lies: horizontal only if all that it is made of is."""
    is_slope = DistanceKind.SLOPE in kinds
    return DistanceKind.SLOPE if is_slope else DistanceKind.HORIZONTAL


def running_kinds(
    names: Sequence[Hashable], kinds: Sequence[DistanceKind]
) -> tuple[DistanceKind, ...]:
    """Tell which way the total of each line lies up to each pull.

    Args:
        names: for each pull, what tells its run of a line from all others.
        kinds: for each pull, which way its own length lies.
    """
    so_far: dict[Hashable, DistanceKind] = {}
    found: list[DistanceKind] = []
    for name, kind in zip(names, kinds, strict=True):
        so_far[name] = kind_of_all((so_far.get(name, kind), kind))
        found.append(so_far[name])
    return tuple(found)


def build_corrected(
    segments: Sequence[Segment],
    certificates: Mapping[str, Certificate],
    runs: Sequence[int] | None = None,
    days: Sequence[str] | None = None,
    held_by: Sequence[Holders] | None = None,
    *,
    policies: Sequence[BookPolicy] | None = None,
) -> tuple[CorrectedSegment, ...]:
    """Correct every segment, with its uncertainty, and add up each line as it goes.

    A line is one run between the same two named points, in that order; lines may be interleaved.

    Args:
        segments: in the order in which they were booked.
        certificates: by the identity of the tape; all in one foot.
        runs: for each segment, which run between its two points it belongs to; None means that no
            line was run twice in one direction.
        days: for each segment, the day of its field work, ISO 8601; None means that none is known.
        held_by: for each segment, who held which end; None means that nobody is named.
        policies: for each segment, what its line records when first and check agree; None means
            the first.

    Returns:
        One corrected segment for each, in the same order [ft].

    A segment whose conditions are impossible (a rise greater than the length, a pull that could
    not carry the tape) stays in the line as it was read, without any correction, and a finding
    says so: one such pull must not hide the others.

    Raises:
        ConfigError: a tape has no certificate.
    """
    reduced = reduce_segments(segments, certificates)
    segments = [_told(segment, one) for segment, one in zip(segments, reduced, strict=True)]
    corrections = [one.corrections or UNKNOWN for one in reduced]
    horizontal_ft = [
        segment.length_read_ft + found.sum_ft
        for segment, found in zip(segments, corrections, strict=True)
    ]
    runs = [1] * len(segments) if runs is None else runs
    days = [""] * len(segments) if days is None else days
    held_by = [Holders()] * len(segments) if held_by is None else held_by
    policies = [BookPolicy.FIRST] * len(segments) if policies is None else policies
    names = [
        RunName(segment.line_from, segment.line_to, run)
        for segment, run in zip(segments, runs, strict=True)
    ]
    lines: defaultdict[RunName, list[float]] = defaultdict(list)
    for name, length_ft in zip(names, horizontal_ft, strict=True):
        lines[name].append(length_ft)
    totals = {line: iter(running_totals(lengths_ft)) for line, lengths_ft in lines.items()}
    kinds = running_kinds(names, [kind_of(found) for found in corrections])
    return tuple(
        CorrectedSegment(
            segment=segment,
            corrections=found,
            horizontal_ft=length_ft,
            running_total_ft=next(totals[name]),
            running_kind=running,
            u_random_ft=one.uncertainty.u_random_ft if one.uncertainty else None,
            u_common_ft=one.uncertainty.u_common_ft if one.uncertainty else None,
            run=name[2],
            day=day,
            held_by=held,
            book=policy,
        )
        for segment, name, day, held, policy, found, length_ft, running, one in zip(
            segments,
            names,
            days,
            held_by,
            policies,
            corrections,
            horizontal_ft,
            kinds,
            reduced,
            strict=True,
        )
    )


def _told(segment: Segment, reduced: Reduced) -> Segment:
    """Add to a segment that cannot be corrected the finding that says why."""
    if reduced.refused is None:
        return segment
    finding = Finding(
        code=NOT_CORRECTED,
        severity=Severity.STOP,
        pull=segment.pull,
        first=None,
        second=None,
        calls=(),
        facts=_why(reduced.refused),
    )
    return segment.model_copy(update={"findings": (*segment.findings, finding)})


def _why(error: ConfigError) -> dict[str, Fact]:
    """Tell why a segment cannot be corrected, and what helps."""
    if not error.code:
        told = {"why": error.what, "remedy": error.next_step}
        return {name: Message(code="as-told", facts={"words": text}) for name, text in told.items()}
    return {
        "why": Message(code=error.code, facts=dict(error.facts)),
        "remedy": Message(code=f"{error.code}-remedy"),
    }
