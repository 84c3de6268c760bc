"""The command `layout`: what to read on this tape, today, so that a true length results."""

from functools import partial
from typing import Annotated

import typer
from rich.table import Table

from calllog.commands import stated
from calllog.commands.counting import counted
from calllog.commands.grouped import grouped
from calllog.commands.tape_file import DateOption, TapeOption, day_of, read_tape
from calllog.commands.terminal import out, print_json
from calllog.corrections import (
    Layout,
    PocketRow,
    TruePull,
    doubts,
    layout_reading,
    pocket_table,
    true_pull,
)
from calllog.report import document_in
from calllog.tape import Certificate
from calllog.units import figure, force_text, in_unit
from calllog.values import ReadingUnit

ROWS = 20
"""Lines of the pocket table: every twentieth of the tape."""

HAND_LB = 30.0
"""More than a tape is pulled by hand; common practice, no published source."""
SUPPORTS = (0, 1)
"""Of the pulls that are told where no support was stated."""


@grouped
def layout(
    tape: TapeOption,
    length: Annotated[
        str, typer.Option("--length", help="The true horizontal length wanted: 529.81ft.")
    ],
    *,
    lies: stated.SituationOptions,
    table: Annotated[
        bool, typer.Option("--table", help="Add the day's table for the pocket.")
    ] = False,
    on: DateOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Give the reading on the tape that lays out a true horizontal length.

    Values carry their unit. Longer lines are pulls of the full tape and one more, all on one even
    slope. With an elevation the length wanted is that at sea level.

    Example: calllog layout --tape calllog/demo/tapes/cut-100.toml --length 529.81ft
    --temperature 41F --tension 20lb --support ends --table
    """
    certificate = read_tape(tape, day_of(on), is_stated=on is not None)
    foot, unit = certificate.foot, certificate.unit
    situation = lies.situation(foot)
    wanted_ft = stated.of_option("--length", partial(stated.length_ft, foot=foot), length)
    found = layout_reading(wanted_ft, certificate, situation)
    doubtful = doubts(found.reading_ft, certificate, situation, lies.said)
    found = found.model_copy(update={"warnings": (*doubtful, *found.warnings)})
    steps_ft = [certificate.nominal_ft * (row + 1) / ROWS for row in range(ROWS)]
    rows = pocket_table(steps_ft, certificate, situation) if table else ()
    supports = SUPPORTS if situation.spans is None else (situation.spans,)
    pulls = tuple(true_pull(certificate, situation.temperature_degf, each) for each in supports)
    if as_json:
        document = {
            "tape": certificate.identity,
            "assumed": certificate.told,
            "foot": foot,
            "situation": situation.model_dump(mode="json"),
            **found.model_dump(mode="json"),
        }
        if table:
            document["table"] = [row.model_dump(mode="json") for row in rows]
            document["true_pulls"] = [pull.model_dump(mode="json") for pull in pulls]
        print_json(document_in(document, unit))
        return
    _print(found, certificate)
    if rows:
        words = ", ".join(f"{name} {value or 'not known'}" for name, value in lies.said.items())
        _print_table(rows, f"{certificate.identity}: {words}", unit)
        for pull in pulls:
            _print_pull(pull, certificate)
        if any((pull.tension_of_accuracy_lb or 0.0) > HAND_LB for pull in pulls):
            out.print("A tape pulled harder than it is made for breaks and whips.")
    out.print()
    out.print(f"All lengths in {certificate.lengths}.")
    if certificate.told:
        out.print(f"Assumed, since the certificate does not state it: {certificate.told}.")
    for words in found.warnings:
        out.print(f"! {words}")


def _print(found: Layout, certificate: Certificate) -> None:
    unit = certificate.unit
    out.print(
        f"For {figure(found.horizontal_ft, unit)}, true and horizontal, on {certificate.identity}:"
    )
    if found.full_pulls:
        each = ", each" if found.full_pulls > 1 else ","
        out.print(
            f"{counted(found.full_pulls, 'pull')} of {figure(found.full_reading_ft, unit)} on the"
            f" tape{each} {figure(found.full_horizontal_ft, unit)} true"
        )
    elif found.last_reading_ft:
        out.print(f"{figure(found.reading_ft, unit)} on the tape, in one pull")
        return
    if found.last_reading_ft:
        out.print(f"{figure(found.last_reading_ft, unit)} on the tape in the last pull")
    out.print(f"{figure(found.reading_ft, unit)} on the tape in all")


def _print_table(rows: tuple[PocketRow, ...], title: str, unit: ReadingUnit) -> None:
    table = Table(box=None, pad_edge=False)
    for name in ("length", "measuring: add", "laying out: read"):
        table.add_column(name, justify="right")
    for row in rows:
        read = "beyond the tape" if row.read_ft is None else f"{in_unit(row.read_ft, unit):.4f}"
        table.add_row(
            f"{in_unit(row.length_ft, unit):.2f}", f"{in_unit(row.add_ft, unit):+.4f}", read
        )
    out.print()
    out.print(f"{title}, for each pull:")
    out.print(table)


def _force(force_lb: float, unit: ReadingUnit) -> str:
    return force_text(force_lb, unit, ".1f")


def _print_pull(pull: TruePull, certificate: Certificate) -> None:
    unit = certificate.unit
    named = {0: "supported throughout", 1: "ends only"}
    support = named.get(pull.spans, f"{pull.spans} equal spans")
    if pull.tension_of_accuracy_lb is None:
        words = "is too long at any pull"
    else:
        words = (
            f"reads true under {_force(pull.tension_of_accuracy_lb, unit)} (tension of accuracy)"
        )
    if pull.normal_tension_lb is not None:
        words += (
            f"; stretch cancels sag under {_force(pull.normal_tension_lb, unit)} (normal tension)"
        )
    length = f"{certificate.nominal} {unit.symbol}"
    out.print(f"{length}, {support}: {words}")
