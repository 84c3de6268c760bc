"""Calls in hundredths in, the length read in hundredths out, by the tape's graduation; pure.

Add, cut: one end holds a whole foot, the other reads hundredths on the finely divided foot, which
lies beyond zero (add) or is the first foot (cut). NAVEDTRA 14069, p. 12-9, and Mahun, "Distances",
E. Taping. Full and inset tapes are read at one end; common practice, no published source.
"""

from __future__ import annotations

from calllog.tape.certificate import Certificate
from calllog.values import Style

FOOT = 100
"""Hundredths in a foot."""


def length_read(
    style: Style, *, whole: int | None, fraction: int | None, reading: int | None, hold: int
) -> int:
    """Reduce what was called to the length between the marks.

    add ``whole + fraction``; cut ``whole - fraction``; full and inset ``reading - hold``.

    Args:
        style: how the tape is graduated.
        whole: the foot mark that one end holds [hundredths of a foot]; add and cut tapes only.
        fraction: what the other end reads [hundredths of a foot]; add and cut tapes only.
        reading: the one reading [hundredths of a foot]; full and inset tapes only.
        hold: the mark that is held [hundredths of a foot]; add and cut tapes have none, so it does
            not count there.

    Returns:
        The length in the tape's own marks [hundredths of a foot]; negative where the calls cannot
        go together, which the caller has to judge.

    Raises:
        ValueError: the parts given are not those that this style is read by.

    Example:
        >>> length_read(Style.CUT, whole=1600, fraction=58, reading=None, hold=0)
        1542
    """
    if style in (Style.ADD, Style.CUT):
        if whole is None or fraction is None or reading is not None:
            message = f"a {style} tape is read by a whole foot and hundredths, not one reading"
            raise ValueError(message)
        return whole + fraction if style is Style.ADD else whole - fraction
    if reading is None or whole is not None or fraction is not None:
        message = f"the {style} style is read by one reading, not by a whole foot and hundredths"
        raise ValueError(message)
    return reading - hold


def reading_limit(certificate: Certificate) -> int:
    """Give the greatest length that the tape's marks can show [hundredths of a foot].

    An add tape has one more foot beyond zero: its last whole foot and 99 hundredths.
    """
    extra = FOOT - 1 if certificate.style is Style.ADD else 0
    return certificate.nominal_ft * FOOT + extra
