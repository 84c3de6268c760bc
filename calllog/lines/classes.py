"""Classes of relative precision: what was written of them, and what a person may ask for; pure.

A class is a plain 1:N. Those listed are only such as a source names; any other may be asked for.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from calllog.errors import ConfigError


@dataclass(frozen=True, slots=True)
class PrecisionClass:
    """A relative precision that a line is to meet."""

    one_in: int
    said_of_it: tuple[str, ...] = ()
    """What sources say of it."""

    @property
    def name(self) -> str:
        """Its name, such as 1:5000."""
        return f"1:{self.one_in}"

    def is_met(self, one_in: Fraction) -> bool:
        """Tell whether a precision, exact and unrounded, is as good."""
        return one_in >= self.one_in


_GEODETIC = "FGCC, Standards and Specifications for Geodetic Control Networks, 1984 (from memory)"
_OLD_ORDERS = "older orders of accuracy, https://learncst.com/orders-of-accuracy-definition/ (read)"
_WASHINGTON = "Washington, WAC 332-130-090 (read)"
CLASSES = (
    PrecisionClass(1_000, ("least of ordinary steel taping: Hicks, p. 179 (read)",)),
    PrecisionClass(2_500, (f"fourth order: {_OLD_ORDERS}",)),
    PrecisionClass(
        5_000,
        (
            f"third order, class II: {_GEODETIC}",
            f"third order: {_OLD_ORDERS}",
            f"residential, subdivision, suburban, rural: {_WASHINGTON}",
        ),
    ),
    PrecisionClass(
        10_000,
        (
            f"third order, class I: {_GEODETIC}",
            f"second order: {_OLD_ORDERS}",
            f"central city and grid traverses: {_WASHINGTON}",
            "best of ordinary steel taping: Hicks, p. 179 (read)",
        ),
    ),
    PrecisionClass(20_000, (f"second order, class II: {_GEODETIC}",)),
    PrecisionClass(25_000, (f"first order: {_OLD_ORDERS}",)),
)
"""Classes that sources name, the lower before the higher. None is a rule of calllog."""
_WRITTEN = re.compile(r"1 ?: ?([1-9][0-9]{0,2}(?:[, ][0-9]{3})+|[1-9][0-9]{0,8})")


def parse_class(text: str) -> PrecisionClass:
    """Read a class; one that no source names is as good.

    Args:
        text: such as "1:5000" or "1:10,000".

    Raises:
        ConfigError: it is no 1:N.

    Example:
        >>> parse_class("1:10,000").one_in, parse_class("1:7500").said_of_it
        (10000, ())
    """
    found = _WRITTEN.fullmatch(text.strip())
    if found is None:
        raise ConfigError(
            "this is no class", where=repr(text), next_step="state one such as 1:5000"
        )
    one_in = int(re.sub(r"[, ]", "", found[1]))
    known = {one.one_in: one for one in CLASSES}
    return known.get(one_in, PrecisionClass(one_in))
