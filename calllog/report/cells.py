"""Report: a value in, the text of its cell out, empty where there is none; pure."""

from decimal import Decimal


def exact(value: float | None) -> str:
    """Write a number with all its digits.

    Example:
        >>> exact(88.5), exact(6.45e-06), exact(None)
        ('88.5', '0.00000645', '')
    """
    return "" if value is None else format(Decimal(repr(value)), "f")


def fixed(value: float | None, digits: int) -> str:
    """Write a number with some digits after the point, never as minus nothing.

    Example:
        >>> fixed(15.42, 4), fixed(-0.00001, 4)
        ('15.4200', '0.0000')
    """
    return "" if value is None else f"{value:z.{digits}f}"
