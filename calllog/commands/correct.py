"""The command `correct`: a length read, and all that is added to it to make it true."""

import math
import shutil
from functools import partial
from typing import Annotated

import typer
from rich.table import Table

from calllog.commands import stated
from calllog.commands.budget import budget_json
from calllog.commands.grouped import grouped
from calllog.commands.tape_file import DateOption, TapeOption, day_of, read_tape
from calllog.commands.terminal import Terminal, asked_messages, out, print_json
from calllog.corrections import (
    LineBudget,
    Situation,
    Statement,
    assumptions,
    counted,
    doubts,
    least_read_ft,
    length_budget,
    made_of,
    state,
)
from calllog.errors import ConfigError
from calllog.lines import COVERAGE, plus_minus
from calllog.report import document_in
from calllog.tape import Certificate
from calllog.units import figure, in_unit
from calllog.values import DistanceKind, message

ROWS = 5
"""Inputs of the uncertainty that are printed; all are in the JSON."""
SHOWN = {"standardisation": "standardization"}
"""How parts are told whose codes are spelled otherwise."""
NOT_HERE = ("horizontal_ft", "left_out")
"""What a line's budget has beside: the length stands above, and nothing is left out."""


@grouped
def correct(
    tape: TapeOption,
    reading: Annotated[
        str, typer.Option("--reading", help="The length read, of one pull or several: 436.48ft.")
    ],
    *,
    spans: Annotated[
        str | None,
        typer.Option("--spans", help="Support: each span that hangs, a pull each: 100,36.48ft."),
    ] = None,
    supported: Annotated[
        str | None,
        typer.Option("--supported", help="With --spans: what lies on the ground: 200ft."),
    ] = None,
    off_line: Annotated[
        str | None, typer.Option("--off-line", help="How far one end was off the line: 0.5ft.")
    ] = None,
    lies: stated.SituationOptions,
    on: DateOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Correct a length read to the true horizontal length, and show each correction.

    Values carry their unit. What is not stated is not corrected. A reading longer than the tape is
    taken as full-tape pulls and one more. Do not state a tape that may have been off level as a
    slope: that makes the length uncertain, not shorter.

    Example: calllog correct --tape calllog/demo/tapes/cut-100.toml --reading 436.48ft
    --spans 100,100,36.48ft --supported 200ft --temperature 50F --tension 15lb
    """
    certificate = read_tape(tape, day_of(on), is_stated=on is not None)
    foot, unit = certificate.foot, certificate.unit
    reading_ft = stated.of_option("--reading", partial(stated.length_ft, foot=foot), reading)
    hanging_ft = _hanging_ft(reading_ft, spans, supported, certificate)
    situation = lies.situation(foot, off_line=off_line, hanging_ft=hanging_ft)
    found = state(reading_ft, certificate, situation)
    doubtful = doubts(reading_ft, certificate, situation, {**lies.said, "reading": reading})
    found = found.model_copy(update={"warnings": (*doubtful, *found.warnings)})
    budget = length_budget(reading_ft, certificate, situation) if reading_ft > 0 else None
    if as_json:
        document = {
            "tape": certificate.identity,
            "assumed": list(assumptions(certificate)),
            "foot": foot,
            "situation": situation.model_dump(mode="json"),
            **found.model_dump(mode="json"),
            "distance_kind": found.kind,
            "uncertainty": budget_json(budget, unit, *NOT_HERE) if budget else None,
        }
        print_json(document_in(document, unit))
        return
    _print(found, certificate, budget, situation.hanging_ft)


def _hanging_ft(
    reading_ft: float, spans: str | None, supported: str | None, certificate: Certificate
) -> tuple[float, ...] | None:
    if spans is None and supported is None:
        return None
    foot, unit = certificate.foot, certificate.unit
    hanging_ft = () if spans is None else stated.spans_ft(spans, foot)
    lying_ft = 0.0 if supported is None else stated.length_ft(supported, foot)
    total_ft = math.fsum((*hanging_ft, lying_ft))
    if lying_ft < 0 or abs(total_ft - reading_ft) > least_read_ft(unit):
        raise ConfigError(
            f"what hangs and what is supported add up to {figure(total_ft, unit)}, not"
            f" {figure(reading_ft, unit)}",
            where="--spans, --supported",
            next_step="state every span that hangs, and all that lies on the ground",
        )
    return hanging_ft


def _pulls_words(reading_ft: float, certificate: Certificate) -> str:
    """Say which pulls a reading is that is longer than the tape; empty for one pull."""
    made = counted(made_of(reading_ft, certificate, Situation()), certificate)
    *whole, last_ft = (length_ft for length_ft, _ in made)
    if not whole:
        return ""
    count, unit = len(whole), certificate.unit
    return (
        f"The reading is longer than the tape: taken as {count} pull{'s' if count > 1 else ''} of"
        f" {figure(whole[0], unit, 2)} and one of {figure(last_ft, unit, 2)}."
    )


def _print(
    found: Statement,
    certificate: Certificate,
    budget: LineBudget | None,
    hanging_ft: tuple[float, ...] | None,
) -> None:
    unit = certificate.unit
    length = (
        "true horizontal length" if found.kind is DistanceKind.HORIZONTAL else "true slope distance"
    )
    if budget is not None:
        lead = plus_minus(found.horizontal_ft, budget.u_ft, unit)
        out.print(f"{lead}, {length} (k = 2, 95 %)")
        out.print()
    table = Table(box=None, pad_edge=False)
    for name, justify in (
        ("", "left"),
        (unit.symbol, "right"),
        ("formula", "left"),
        ("source", "left"),
    ):
        table.add_column(name, justify="right" if justify == "right" else "left")
    table.add_row(
        f"read on {certificate.identity}", f"{in_unit(found.length_read_ft, unit):.4f}", "", ""
    )
    for part in found.parts:
        amount = "not known" if part.amount_ft is None else f"{in_unit(part.amount_ft, unit):+.4f}"
        table.add_row(SHOWN.get(part.name, part.name), amount, part.formula, part.source)
    table.add_row("sum of corrections", f"{in_unit(found.sum_ft, unit):+.4f}", "", "")
    table.add_row(length, f"{in_unit(found.horizontal_ft, unit):.4f}", "", "")
    width = max(100, shutil.get_terminal_size().columns)
    Terminal(width=width).print(table)
    if budget is not None:
        out.print()
        out.print(
            f"Standard uncertainty (k = 1) {figure(budget.u_ft, unit)},"
            f" k = 2 (95 %) {figure(COVERAGE * budget.u_ft, unit)}, by the usual practice,"
            f" pulls: {budget.pulls}. What adds the most:"
        )
        say = asked_messages().measured_in(unit).say
        for row in budget.rows[:ROWS]:
            kind = say(message("input-kind", kind=row.kind.value))
            out.print(
                f"  {figure(row.contribution_ft, unit)}  {round(100 * row.share):2d} % "
                f" {say(row.component)} ({kind}; {row.source})"
            )
    out.print()
    if hanging_ft is None and (words := _pulls_words(found.length_read_ft, certificate)):
        out.print(words)
    out.print(f"All lengths in {certificate.lengths}.")
    for words in assumptions(certificate):
        out.print(f"Assumed, since the certificate does not state it: {words}.")
    for words in found.warnings:
        out.print(f"! {words}")
