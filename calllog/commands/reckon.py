"""The commands `reckon ...`: an office's arithmetic with measured lengths, and its uncertainty."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Annotated, Any

import typer

from calllog.commands.grouped import grouped
from calllog.commands.lengths import Given, Lengths, Pair
from calllog.commands.terminal import out, print_json
from calllog.errors import ConfigError
from calllog.lines import COVERAGE, NEAR, PrecisionClass, Ratio, parse_class, shown_one_in
from calllog.reckoning import (
    Known,
    Lot,
    LotDiagonal,
    Misclosure,
    Rectangle,
    SumParts,
    lot,
    misclosure,
    parts_of,
    rectangle,
)
from calllog.units import Foot, find_unit, rounded

ROUGH = 500
"""One in so much is beyond any care in taping (common practice, no published source)."""
LENGTH_DIGITS = 3
AREA_DIGITS, WIDE_AREA_DIGITS = 2, 6
"""Of square feet or meters, and of acres or hectares, where no uncertainty is known."""
FIGURES = 2
"""Significant figures of an area's uncertainty."""
NO_BOUNDARY = "This is arithmetic with what was measured: it decides no boundary."

commands = typer.Typer(
    name="reckon",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode="rich",
    help="Reckon with measured lengths: sums, rectangles, lots, misclosures.",
)

LengthsArgument = Annotated[
    list[str],
    typer.Argument(
        metavar="LENGTH...",
        help='Each "120.05 ft", "120.05 ft +- 0.02 ft" (k = 2), "A:B=120.05ft", or with --job a'
        " line: A:B, A:B#2 for its second run, A:B#mean.",
    ),
]
ClassOption = Annotated[
    str | None, typer.Option("--class", help="The relative precision to be met: 1:5000.")
]
DiagonalOption = Annotated[
    tuple[str, ...],
    typer.Option(
        "--diagonal",
        help="A diagonal by its corners: 1:3=145.60ft, A:C=145.60ft, or A:C of the job. Again for"
        " each.",
    ),
]
SIGNED = {"ignore_unknown_options": True}
"""A length may begin with a minus, which is no option."""


@dataclass(frozen=True, slots=True)
class ReckonOptions:
    """What the lengths are read by, and how the answer is given."""

    job: Annotated[
        Path | None,
        typer.Option("--job", help="The job whose lines are named, with their budgets."),
    ] = None
    foot: Annotated[
        Foot | None,
        typer.Option(
            "--foot",
            help="Foot of all units that do not name theirs (as usft, ift); the job's, or else"
            " international, if left out.",
        ),
    ] = None
    plus_minus: Annotated[
        str | None,
        typer.Option(
            "--plus-minus",
            help="Uncertainty, k = 2 (95 %), of each typed length that states none: 0.02ft.",
        ),
    ] = None
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False

    def lengths(self) -> Lengths:
        """Begin to read lengths."""
        return Lengths(self.job, self.foot, self.plus_minus)


@dataclass(frozen=True, slots=True)
class _Units:
    """What an answer is in."""

    foot: Foot | None
    """None for meters."""

    @property
    def m(self) -> Fraction:
        """The unit of length [m]."""
        return Fraction(1) if self.foot is None else self.foot.metres

    @property
    def symbol(self) -> str:
        return "m" if self.foot is None else "ft"

    @property
    def square(self) -> str:
        return "m2" if self.foot is None else "sq ft"

    @property
    def words(self) -> str:
        if self.foot is None:
            return "meters"
        return "international feet" if self.foot is Foot.INTERNATIONAL else "US survey feet"

    def length(self, known: Known, sign: str = "") -> str:
        """Say a length, with its uncertainty (k = 2) where that is known."""
        size, expanded = known.size / self.m, known.expanded
        words = ("+" if sign and size > 0 else "") + rounded(size, LENGTH_DIGITS)
        if expanded is not None:
            words += f" \u00b1 {_up(expanded / float(self.m), LENGTH_DIGITS)}"
        return f"{words} {self.symbol}"

    def figure(self, size_m: Fraction | float) -> str:
        """Say a length alone."""
        return f"{rounded(Fraction(size_m) / self.m, LENGTH_DIGITS)} {self.symbol}"

    def area(self, known: Known) -> str:
        """Say an area, with its uncertainty (k = 2) where that is known."""
        return _area(known, self.m**2, self.square, AREA_DIGITS)

    def areas(self, known: Known) -> list[str]:
        """Say an area in larger units: acres by both feet, and hectares beside meters."""
        found = []
        if self.foot is None:
            found.append(_area(known, find_unit("ha").size, "ha", WIDE_AREA_DIGITS))
        first = self.foot or Foot.INTERNATIONAL
        other = Foot.US_SURVEY if first is Foot.INTERNATIONAL else Foot.INTERNATIONAL
        one, two = (
            _area(known, find_unit("ac", foot).size, "ac", WIDE_AREA_DIGITS)
            for foot in (first, other)
        )
        if one == two:
            found.append(f"{one}, by the international and by the US survey foot")
        else:
            found += [f"{one}, by the {first.words}", f"{two}, by the {other.words}"]
        return found


def _area(known: Known, unit_m2: Fraction, symbol: str, digits: int) -> str:
    size = known.size / unit_m2
    if known.expanded is None or known.expanded <= 0:
        return f"{rounded(size, digits)} {symbol}"
    expanded = known.expanded / float(unit_m2)
    digits = max(0, FIGURES - 1 - math.floor(math.log10(expanded)))
    return f"{rounded(size, digits)} \u00b1 {_up(expanded, digits)} {symbol}"


def _up(expanded: float, digits: int) -> str:
    """Write an uncertainty, rounded up, never as nothing."""
    one = 10**digits
    return f"{max(1, math.ceil(one * expanded - NEAR)) / one:.{digits}f}"


@commands.command("parts", context_settings=SIGNED)
@grouped
def parts(
    lengths: LengthsArgument,
    *,
    whole: Annotated[str, typer.Option("--whole", help="The whole, as measured or of record.")],
    line_class: ClassOption = None,
    given: ReckonOptions,
) -> None:
    """Set the sum of parts against the whole.

    Example: calllog reckon parts 25.02ft 50.01ft 24.99ft --whole 100.00ft --plus-minus 0.02ft
    """
    wanted = parse_class(line_class) if line_class else None
    read = given.lengths()
    measured = read.read_all(lengths, "part")
    last = read.read(whole, "whole")
    found = parts_of([one.measured for one in measured], last.measured)
    units = _Units(read.in_foot)
    document = {
        "sum": _length_json(found.sum, units),
        "whole": _length_json(found.whole, units),
        "difference": _length_json(found.difference, units),
        "misclosure": _misclosure_json(found.misclosure, wanted, units),
    }
    _answer(
        "parts", document, _parts_words(found, wanted, units), (read, units), as_json=given.as_json
    )


def _parts_words(found: SumParts, wanted: PrecisionClass | None, units: _Units) -> list[str]:
    return [
        f"Sum less whole: {units.length(found.difference, '+')}{_explained(found.difference)}",
        f"  sum of the parts: {units.length(found.sum)}",
        f"  whole: {units.length(found.whole)}",
        f"  {_ratio_words(found.misclosure, units)}{_verdict(found.misclosure.ratio, wanted)}",
    ]


@commands.command("rectangle")
@grouped
def rectangle_command(
    lengths: LengthsArgument,
    *,
    diagonals: DiagonalOption = (),
    line_class: ClassOption = None,
    given: ReckonOptions,
) -> None:
    """Close a rectangle of four taped sides, going round: misclosure, 1:N, area, diagonals.

    Example: calllog reckon rectangle 60.02ft 40.01ft 60.00ft 40.00ft --diagonal 1:3=72.13ft
    --plus-minus 0.02ft
    """
    wanted = parse_class(line_class) if line_class else None
    read = given.lengths()
    sides = read.read_round(lengths)
    across = read.read_all(diagonals, "diagonal")
    found = rectangle([one.measured for one in sides], [one.measured for one in across])
    units = _Units(read.in_foot)
    document = {
        "first_less_third": _length_json(found.along, units),
        "second_less_fourth": _length_json(found.across, units),
        "perimeter": _length_json(found.perimeter, units),
        "misclosure": _misclosure_json(found.misclosure, wanted, units),
        "area": _area_json(found.area, units),
        "diagonals": [
            {
                "name": each.measured.name,
                "made_of_sides": _length_json(each.made, units),
                "difference": _length_json(each.difference, units),
            }
            for each in found.diagonals
        ],
    }
    words = _rectangle_words(found, wanted, units)
    _answer("rectangle", document, words, (read, units), as_json=given.as_json)


def _rectangle_words(found: Rectangle, wanted: PrecisionClass | None, units: _Units) -> list[str]:
    missed = Known(found.misclosure.size_m, found.misclosure.u_m)
    lines = [
        f"Misclosure {units.length(missed)}: {_ratio_words(found.misclosure, units)}"
        + _verdict(found.misclosure.ratio, wanted),
        f"  first side less third: {units.length(found.along, '+')}{_explained(found.along)}",
        f"  second less fourth: {units.length(found.across, '+')}{_explained(found.across)}",
        f"  perimeter: {units.length(found.perimeter)}",
    ]
    lines += [
        f"  diagonal {each.measured.name} less what the sides make"
        f" ({units.figure(each.made.size)}): {units.length(each.difference, '+')}"
        + _explained(each.difference)
        for each in found.diagonals
    ]
    lines += _area_words(found.area, units)
    lines.append(
        "Taken: flat, at right angles; the area is of the means of opposite sides, the misclosure"
        " that of their differences."
    )
    return lines


@commands.command("lot")
@grouped
def lot_command(
    lengths: LengthsArgument,
    *,
    diagonals: DiagonalOption = (),
    given: ReckonOptions,
) -> None:
    """Reckon the area of a lot from its sides, going round, and its diagonals.

    Sides without names go from corner 1 to 2, 2 to 3 and so on. For a lot of four sides one
    diagonal is enough; a second one checks it.

    Example: calllog reckon lot 120.05ft 85.50ft 118.20ft 90.10ft --diagonal 1:3=147.30ft
    --plus-minus 0.02ft
    """
    read = given.lengths()
    sides = read.read_round(lengths)
    named = [(_side_ends(one, at, sides), one.measured) for at, one in enumerate(sides)]
    across = [_diagonal(one) for one in read.read_all(diagonals, "diagonal")]
    found = lot(named, across)
    units = _Units(read.in_foot)
    document = {
        "corners": list(found.corners),
        "area": _area_json(found.area, units),
        "perimeter": _length_json(found.perimeter, units),
        "triangles": [
            {
                "corners": list(each.corners),
                "area": _area_json(each.area, units),
                "is_flat": each.is_flat,
            }
            for each in found.triangles
        ],
        "second_diagonal": _check_json(found, units),
    }
    _answer("lot", document, _lot_words(found, units), (read, units), as_json=given.as_json)


def _side_ends(one: Given, at: int, sides: Sequence[Given]) -> Pair:
    """Give the corners of a side, by its name or by its place; all have names, or none."""
    if len({each.ends is None for each in sides}) > 1:
        raise ConfigError(
            "some sides have names, and some have none",
            next_step="name all of them, such as A:B=120.05ft, or none",
        )
    return one.ends or (str(at + 1), str((at + 1) % len(sides) + 1))


def _diagonal(one: Given) -> tuple[Pair, Any]:
    if one.ends is None:
        raise ConfigError(
            "a diagonal without its corners",
            where="--diagonal",
            next_step="name them, such as 1:3=145.60ft; sides without names go from 1 to 2, 2 to 3",
        )
    return one.ends, one.measured


def _lot_words(found: Lot, units: _Units) -> list[str]:
    lines = _area_words(found.area, units)
    lines.append(f"  perimeter: {units.length(found.perimeter)}")
    for each in found.triangles:
        lines.append(f"  triangle {', '.join(each.corners)}: {units.area(each.area)}")
        if each.is_flat:
            lines.append(
                "  ! it is so flat that its sides may as well lie in one line: its area and the"
                " uncertainty of that are rough"
            )
    if (check := found.check) is not None:
        lines.append(
            f"  diagonal {check.measured.name} less what all else makes"
            f" ({units.figure(check.made_m)}): {units.length(check.difference, '+')}"
            f"{_explained(check.difference) or _rough(check)}"
        )
        first, second = check.areas
        lines.append(
            f"  area by the first diagonal {units.area(first)}, by the second"
            f" {units.area(second)}; above stands their mean"
        )
    lines.append("Taken: flat, straight sides, each diagonal inside the lot.")
    return lines


def _check_json(found: Lot, units: _Units) -> dict[str, Any] | None:
    if found.check is None:
        return None
    return {
        "name": found.check.measured.name,
        "made_of_all_else": _length_json(Known(Fraction(found.check.made_m), None), units),
        "difference": _length_json(found.check.difference, units),
        "areas": [_area_json(each, units) for each in found.check.areas],
    }


@commands.command("misclosure", context_settings=SIGNED)
@grouped
def misclosure_command(
    lengths: Annotated[
        list[str],
        typer.Argument(
            metavar="MISCLOSURE...",
            help="One length, or two at right angles, such as in latitude and in departure.",
        ),
    ],
    *,
    of: Annotated[
        list[str],
        typer.Option("--of", help="What was measured in all. Again for each length of several."),
    ],
    line_class: ClassOption = None,
    given: ReckonOptions,
) -> None:
    """Give the ratio of a misclosure: 1:N of the length that was measured.

    Example: calllog reckon misclosure 0.33ft 2.24ft --of 2614.85ft --class 1:1000
    """
    wanted = parse_class(line_class) if line_class else None
    read = given.lengths()
    missed = [
        read.read(text, f"misclosure {number}").measured
        for number, text in enumerate(lengths, start=1)
    ]
    found = misclosure(missed, [one.measured for one in read.read_all(of, "length")])
    units = _Units(read.in_foot)
    document = {"misclosure": _misclosure_json(found, wanted, units)}
    size = Known(found.size_m, found.u_m)
    words = [
        f"{_ratio_words(found, units)}{_verdict(found.ratio, wanted)}",
        f"  misclosure {units.length(size)} in {units.figure(found.of_m)}",
    ]
    _answer("misclosure", document, words, (read, units), as_json=given.as_json)


def _area_words(area: Known, units: _Units) -> list[str]:
    first = f"Area {units.area(area)}{' (k = 2, 95 %)' if area.expanded is not None else ''}"
    return [first, *(f"  = {words}" for words in units.areas(area))]


def _ratio_words(found: Misclosure, units: _Units) -> str:
    words = f"1:{shown_one_in(found.ratio.n)}" if found.ratio.n >= 1 else "worse than 1:1"
    if not found.ratio.is_floored:
        return words
    least = rounded(found.of_m / found.ratio.n / units.m, LENGTH_DIGITS)
    return f"{words} or better (nothing under {least} {units.symbol} is told by these figures)"


def _verdict(ratio: Ratio, wanted: PrecisionClass | None) -> str:
    if wanted is None:
        return ""
    met = {True: "meets", False: "! does not meet", None: "! not shown to meet"}
    return f"; {met[ratio.meets(wanted)]} {wanted.name}"


def _explained(difference: Known) -> str:
    """Say whether a difference is one that the uncertainty lets expect."""
    if difference.is_explained is None:
        return ""
    if difference.is_explained:
        return ", within its uncertainty (k = 2, 95 %)"
    return ", ! more than its uncertainty (k = 2, 95 %)"


def _rough(check: LotDiagonal) -> str:
    """Warn of a misfit that no taping leaves, where no uncertainty is there to judge it by."""
    missed_m = abs(float(check.difference.size))
    if missed_m * ROUGH < check.made_m:
        return ""
    return (
        f", ! 1:{check.made_m / missed_m:.0f}: look at the sides and the diagonals again; one may"
        " have lost a pull"
    )


def _answer(
    what: str,
    document: dict[str, Any],
    words: Iterable[str],
    of: tuple[Lengths, _Units],
    *,
    as_json: bool,
) -> None:
    """Print an answer, what it was made of, and what to beware of."""
    read, units = of
    warnings = list(dict.fromkeys(each for one in read.given for each in one.warnings))
    if as_json:
        print_json(
            {
                "format": "calllog-reckoning",
                "version": 1,
                "reckoned": what,
                "job": read.job,
                "unit": units.symbol,
                "foot": units.foot,
                "coverage_k": COVERAGE,
                **document,
                "given": [_given_json(one, units) for one in read.given],
                "warnings": warnings,
            }
        )
        return
    for line in words:
        out.print(line)
    out.print("Of:")
    for one in read.given:
        known = Known(one.measured.m, one.measured.u_m)
        out.print(f"  {one.measured.name}: {units.length(known)} (uncertainty {one.said})")
    unsaid = [one.measured.name for one in read.given if one.measured.errors is None]
    if unsaid:
        out.print(
            f"No uncertainty is told where that of a length is not known: {', '.join(unsaid)}."
            " State it with --plus-minus, or after the length."
        )
    out.print(f"All lengths in {units.words}. {NO_BOUNDARY}")
    for each in warnings:
        out.print(f"! {each}")


def _given_json(one: Given, units: _Units) -> dict[str, Any]:
    known = Known(one.measured.m, one.measured.u_m)
    return {
        "name": one.measured.name,
        "length": _length_json(known, units),
        "uncertainty_from": one.said,
    }


def _length_json(known: Known, units: _Units) -> dict[str, Any]:
    return _known_json(known, units.m)


def _known_json(known: Known, unit: Fraction) -> dict[str, Any]:
    u = None if known.u is None else known.u / float(unit)
    return {
        "value": float(known.size / unit),
        "u": u,
        "expanded": None if u is None else COVERAGE * u,
    }


def _area_json(known: Known, units: _Units) -> dict[str, Any]:
    return {
        f"{units.symbol}2": _known_json(known, units.m**2),
        "m2": _known_json(known, Fraction(1)),
        "acres_international": _known_json(known, find_unit("ac", Foot.INTERNATIONAL).size),
        "acres_us_survey": _known_json(known, find_unit("ac", Foot.US_SURVEY).size),
    }


def _misclosure_json(
    found: Misclosure, wanted: PrecisionClass | None, units: _Units
) -> dict[str, Any]:
    return {
        **_length_json(Known(found.size_m, found.u_m), units),
        "of": float(found.of_m / units.m),
        "one_in": shown_one_in(found.ratio.n),
        "one_in_unrounded": float(found.ratio.n),
        "is_floored": found.ratio.is_floored,
        "class": wanted.name if wanted else None,
        "meets_class": found.ratio.meets(wanted) if wanted else None,
    }
