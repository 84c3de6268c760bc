"""Calls in hundredths in, the length read in hundredths out, by the tape's graduation; pure.

Add, cut: one end holds a whole foot, the other reads hundredths on the finely divided foot, which
lies beyond zero (add) or is the first foot (cut). NAVEDTRA 14069, p. 12-9, and Mahun, "Distances",
E. Taping. Full and inset tapes are read at one end; common practice, no published source.
"""

from calllog.tape.certificate import Certificate
from calllog.values import Style

PARTED = frozenset({Style.ADD, Style.CUT})
"""Styles read at both ends: a whole foot at one, hundredths at the other. The others are read at
one end, and that reading may be called whole (15.42) or in two parts (15, then 42)."""


def length_read(
    style: Style, *, whole: int | None, fraction: int | None, reading: int | None, hold: int
) -> int:
    """Reduce what was called to the length between the marks.

    add ``whole + fraction``; cut ``whole - fraction``; full and inset ``reading - hold``, where
    the reading may have been called in two parts, ``whole + fraction``.

    Args:
        style: how the tape is graduated.
        whole: the foot mark that one end holds, or the feet of a reading [hundredths of the unit].
        fraction: the hundredths that go with it [hundredths of the unit].
        reading: the one reading, instead of these [hundredths of the unit]; full and inset only.
        hold: the mark that is held [hundredths of the unit]; add and cut tapes have none, so it
            does not count there.

    Returns:
        The length in the tape's own marks [hundredths of the unit]; negative where the calls cannot
        go together, which the caller has to judge.

    Raises:
        ValueError: the parts given are not those that this style is read by.

    Example:
        >>> length_read(Style.CUT, whole=1600, fraction=58, reading=None, hold=0)
        1542
    """
    match style, whole, fraction, reading:
        case Style.ADD, int(feet), int(hundredths), None:
            return feet + hundredths
        case Style.CUT, int(feet), int(hundredths), None:
            return feet - hundredths
        case Style.FULL | Style.INSET, int(feet), int(hundredths), None:
            return feet + hundredths - hold
        case Style.FULL | Style.INSET, None, None, int(one):
            return one - hold
    message = f"the {style} style is not read by {whole=}, {fraction=}, {reading=}"
    raise ValueError(message)


def reading_limit(certificate: Certificate) -> int:
    """Give the greatest length that the tape's marks can show [least counts of the tape].

    An add tape has one more foot beyond zero: its last whole foot and 99 hundredths, or all but
    one least count.
    """
    one = certificate.unit.counts
    extra = one - 1 if certificate.style is Style.ADD else 0
    return certificate.nominal * one + extra
