"""Segments and certificates in, corrected segments with running totals out; pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction

from calllog.corrections import correct
from calllog.errors import ConfigError
from calllog.tape import Certificate
from calllog.values import CorrectedSegment, Segment


def build_corrected(
    segments: Sequence[Segment], certificates: Mapping[str, Certificate]
) -> tuple[CorrectedSegment, ...]:
    """Correct every segment and add up each line as it goes.

    A line is what lies between the same two named points, in that order; lines may be interleaved.
    Each total is the exact sum of the horizontal lengths so far, rounded once, so no rounding
    piles up along a line.

    Args:
        segments: in the order in which they were booked.
        certificates: by the identity of the tape.

    Returns:
        One corrected segment for each, in the same order [ft].

    Raises:
        ConfigError: a tape has no certificate, or a segment's conditions are impossible.
    """
    totals: defaultdict[tuple[str, str], Fraction] = defaultdict(Fraction)
    corrected = []
    for segment in segments:
        where = f"pull {segment.pull} of line {segment.line_from} to {segment.line_to}"
        if segment.tape not in certificates:
            known = ", ".join(sorted(certificates))
            raise ConfigError(
                f"tape {segment.tape} has no certificate here",
                where=where,
                next_step=f"give its certificate; there are: {known or 'none'}",
            )
        try:
            corrections = correct(
                segment.length_read_ft, certificates[segment.tape], segment.conditions
            )
        except ConfigError as error:
            raise ConfigError(error.what, where=where, next_step=error.next_step) from error
        horizontal_ft = segment.length_read_ft + corrections.sum_ft
        line = (segment.line_from, segment.line_to)
        totals[line] += Fraction(horizontal_ft)
        corrected.append(
            CorrectedSegment(
                segment=segment,
                corrections=corrections,
                horizontal_ft=horizontal_ft,
                running_total_ft=float(totals[line]),
            )
        )
    return tuple(corrected)
