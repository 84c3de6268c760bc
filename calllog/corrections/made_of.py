"""A length read, its tape and its support in, the pulls that it is made of, out; pure.

One rule for every command: what is longer than the tape's marks reach was measured in pulls of the
whole tape and one more. Each pull lies or hangs by itself.
"""

import math

import numpy as np
from numpy.typing import NDArray

from calllog.corrections.situation import Situation
from calllog.errors import ConfigError
from calllog.tape import Certificate, reading_limit
from calllog.units import in_unit, reading_ft
from calllog.values import ReadingUnit

MOST_PULLS = 10_000
"""More than anyone tapes in one line: 190 miles with a tape of 100 ft."""
CLOSE_FT = 1e-9
"""What a sum of lengths may be off by."""


def least_read_ft(unit: ReadingUnit) -> float:
    """Give half of the least count: what two lengths alike in reading may differ by [ft]."""
    return reading_ft(0.5, unit)


def reach_ft(certificate: Certificate) -> float:
    """Give the greatest length that one pull of this tape can show [ft]."""
    return reading_ft(reading_limit(certificate), certificate.unit)


def whole_tapes(length_read_ft: NDArray[np.float64], certificate: Certificate) -> NDArray[np.int64]:
    """Tell how many pulls of the whole tape each length has before its last pull.

    Args:
        length_read_ft: in the tape's own marks, finite, at least 0, shape (n,) [ft].
        certificate: that of the tape.

    Returns:
        Shape (n,); more than `MOST_PULLS` where that is more than anyone makes.
    """
    over_ft = length_read_ft - reach_ft(certificate) - CLOSE_FT
    count = np.ceil(over_ft / float(certificate.nominal_ft))
    return np.clip(count, 0, MOST_PULLS + 1).astype(np.int64)


def too_long(length_read_ft: float, certificate: Certificate) -> ConfigError:
    """Say that a length is more pulls than anyone makes."""
    unit = certificate.unit
    length = f"{in_unit(length_read_ft, unit):g} {unit.symbol}"
    return ConfigError(
        f"a length read of {length} is more than {MOST_PULLS:,} pulls of this tape",
        next_step="look at the length and its unit",
        code="length-not-correctable",
        length=length,
    )


def pulls_of(
    lengths_read_ft: NDArray[np.float64], certificate: Certificate
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Give the lengths read of the pulls that lengths are made of: whole tapes, and the rest.

    The rest may be longer than the nominal length where the marks reach beyond it, as on an add
    tape.

    Args:
        lengths_read_ft: in the tape's own marks, finite, at least 0, shape (n,) [ft].
        certificate: that of the tape.

    Returns:
        The length of each pull [ft], the last one of each length last, and which length it is part
        of, shape (m,); the pulls of a length add up to it.
    """
    before, whole_ft = whole_tapes(lengths_read_ft, certificate), float(certificate.nominal_ft)
    owner = np.repeat(np.arange(len(before)), before + 1)
    lengths_ft = np.full(owner.shape, whole_ft)
    lengths_ft[np.cumsum(before + 1) - 1] = lengths_read_ft - before * whole_ft
    return lengths_ft, owner


def pull_lengths_ft(length_read_ft: float, certificate: Certificate) -> tuple[float, ...]:
    """Give the lengths read of the pulls of one length; see `pulls_of`.

    Raises:
        ConfigError: that would be more pulls than anyone makes.
    """
    lengths_ft, _ = pulls_of(np.array([length_read_ft]), certificate)
    if len(lengths_ft) > MOST_PULLS + 1:
        raise too_long(length_read_ft, certificate)
    return tuple(lengths_ft.tolist())


def made_of(
    length_read_ft: float, certificate: Certificate, situation: Situation
) -> tuple[tuple[float, int | None], ...]:
    """Give the pulls that a length is made of, each with its support.

    Spans that are listed are a pull each; what is left of the length lies on the ground.

    Args:
        length_read_ft: in the tape's own marks, at least 0 [ft].
        certificate: that of the tape.
        situation: what is known.

    Returns:
        Length read [ft] and number of spans (0 throughout, None not known) of each.

    Raises:
        ConfigError: a listed span is longer than the tape, or there are too many pulls.
    """
    hanging_ft = situation.hanging_ft
    if hanging_ft is None:
        return tuple((one, situation.spans) for one in pull_lengths_ft(length_read_ft, certificate))
    unit, most_ft = certificate.unit, reach_ft(certificate)
    for span_ft in hanging_ft:
        if span_ft > most_ft + CLOSE_FT:
            raise ConfigError(
                f"a span of {in_unit(span_ft, unit):.2f} {unit.symbol} is longer than this tape,"
                f" which shows {in_unit(most_ft, unit):.2f} {unit.symbol} at the most",
                next_step="state each span that hung by itself, such as 100,100,36.48ft",
            )
    lying_ft = length_read_ft - math.fsum(hanging_ft)
    if lying_ft < 0 and hanging_ft:  # less than is read: the longest span gives way
        longest = hanging_ft.index(max(hanging_ft))
        spans_ft = list(hanging_ft)
        spans_ft[longest] += lying_ft
        hanging_ft = tuple(spans_ft)
    lies = lying_ft > CLOSE_FT or not hanging_ft
    lying = pull_lengths_ft(lying_ft, certificate) if lies else ()
    return (*((span_ft, 1) for span_ft in hanging_ft), *((one, 0) for one in lying))


def counted(
    pulls: tuple[tuple[float, int | None], ...], certificate: Certificate
) -> tuple[tuple[float, int | None], ...]:
    """Count a rest that no crew can read, below half a least count, to the pull before it."""
    least_ft = least_read_ft(certificate.unit)
    *before, (rest_ft, _) = pulls
    if not before or rest_ft >= least_ft:
        return pulls
    *first, (last_ft, spans) = before
    return (*first, (last_ft + rest_ft, spans))
