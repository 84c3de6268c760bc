"""The command `convert`: a length or an area in other units, exact and rounded."""

from typing import Annotated

import typer

from calllog.commands.terminal import err, out, print_json
from calllog.units import Foot, parse_form, parse_measure, rounded, show, written_out


def convert(
    value: Annotated[
        str, typer.Argument(metavar="VALUE", help='With its unit, such as "12 ch 45 lk".')
    ],
    to: Annotated[
        str,
        typer.Option("--to", help='Units to print: usft, m2, "ch lk", "ft in/16" for sixteenths.'),
    ],
    foot: Annotated[
        Foot | None,
        typer.Option(
            "--foot",
            help="Foot of all units that do not name theirs (as usft, ift); international if left"
            " out.",
        ),
    ] = None,
    decimals: Annotated[
        int, typer.Option("--decimals", min=0, max=20, help="Decimals of the rounded value.")
    ] = 4,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Convert a length or an area, exactly; the foot is always named.

    Example: calllog convert "12 ch 45 lk" --foot us-survey --to usft
    """
    in_use = foot or Foot.INTERNATIONAL
    measure, form = parse_measure(value, in_use), parse_form(to, in_use)
    unit = form.units[-1]
    text = show(measure, form, decimals)
    count = measure.count(unit)
    if as_json:
        document = {
            "given": value,
            "given_foot": measure.foot,
            "dimension": measure.dimension,
            "unit": unit.symbol,
            "unit_foot": unit.foot,
            "exact": written_out(count),
            "rounded": rounded(count, decimals),
            "text": text,
        }
        print_json(document)
    else:
        given = f" ({measure.foot.words})" if measure.foot else ""
        of = f" ({unit.foot.words})" if unit.foot else ""
        out.print(f"{value.strip()}{given}")
        out.print(f"= {text}, rounded")
        out.print(f"= {written_out(count)} {unit.symbol}{of}, exactly")
    survey = parse_measure(value, Foot.US_SURVEY)
    if foot is None and unit.foot is Foot.US_SURVEY and survey != measure:
        err.print(
            f"note: {value!r} names no foot and is taken in international feet; for a record in US"
            f" survey feet add --foot us-survey, which gives {show(survey, form, decimals)}"
        )
