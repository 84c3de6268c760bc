"""Report: computed numbers in, the same without the noise of binary arithmetic out; pure."""

LENGTH_DIGITS = 9
"""Digits after the point of a computed length: far below what any tape shows, far above noise."""
FIGURES = 12
"""Significant figures of any other computed number."""


def plain_number(length: float) -> float:
    """Round a computed length, temperature or tension to a billionth of its unit.

    Example:
        >>> plain_number(0.1 + 0.2), plain_number(-1e-17)
        (0.3, 0.0)
    """
    return round(length, LENGTH_DIGITS) + 0.0


def plain_figure(number: float) -> float:
    """Round any computed number to as many significant figures as stand above the noise.

    Example:
        >>> plain_figure(6.450000000000001e-06), plain_figure(0.1 + 0.2)
        (6.45e-06, 0.3)
    """
    return float(f"{number:.{FIGURES}g}") + 0.0
