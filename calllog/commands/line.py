"""The command `line`: the lines of a job, their uncertainty, and what they are set against."""

from __future__ import annotations

import json
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.table import Table

from calllog.corrections import LineBudget, line_budget
from calllog.errors import ConfigError
from calllog.lines import (
    Closure,
    Line,
    Mark,
    PrecisionClass,
    RecordComparison,
    Repeatability,
    Spread,
    closures,
    compare_record,
    differences_ft,
    group_lines,
    marks,
    one_in,
    parse_class,
    repeatability,
    repeated,
    shown_one_in,
    spread,
    station_text,
)
from calllog.session import Summary, summarise
from calllog.units import Foot, Length, form_of, parse_length, show

ROWS = 6
"""Rows of a budget that are printed; all are in the JSON."""
DECIMALS = 3
"""Of a record's last unit."""
SEVERAL = 3
"""Runs of one line from which on their spread is shown."""
out = Console(soft_wrap=True, highlight=False, emoji=False)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(line)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the lines are set against."""

    foot: Foot
    wanted: PrecisionClass | None
    record: str | None
    interval_ft: int | None


def line(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    line_class: Annotated[
        str | None, typer.Option("--class", help="The relative precision to be met: 1:5000.")
    ] = None,
    record: Annotated[
        str | None,
        typer.Option("--record", help='What a record says of the line: "12 ch 45 lk".'),
    ] = None,
    stations: Annotated[
        int | None, typer.Option("--stations", help="List marks every 25, 50 or 100 ft.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document.")] = False,
) -> None:
    """Show the lines of a job: lengths, uncertainty and its budget, forward against back.

    A record is set beside what was measured, for information: this decides no boundary.

    Example: calllog line demo-job --class 1:5000 --stations 25
    """
    summary = summarise(job_folder)
    foot = next(iter(summary.replay.tapes.values())).foot
    asked = _Asked(foot, parse_class(line_class) if line_class else None, record, stations)
    lines = group_lines(summary.corrected)
    if record is not None and len({frozenset((one.line_from, one.line_to)) for one in lines}) > 1:
        raise ConfigError(
            "this job has several lines, and a record is of one",
            where=str(job_folder),
            next_step="leave --record out, or keep the line in a job of its own",
        )
    budgets = [_budget(one, summary) for one in lines]
    runs = closures(lines)
    several = [one for one in repeated(lines) if len(one) >= SEVERAL]
    crew = repeatability(differences_ft(summary.replay.segments))
    if as_json:
        document = {
            "job": summary.header.job,
            "foot": foot,
            "tape": summary.header.tape,
            "state_hash": summary.header.state_hash,
            "lines": [
                _line_json(one, budget, asked) for one, budget in zip(lines, budgets, strict=True)
            ],
            "closures": [_closure_json(one, asked) for one in runs],
            "spreads": [_spread_json(one) for one in several],
            "repeatability": _crew_json(crew),
        }
        typer.echo(json.dumps(document, ensure_ascii=False, indent=2))
        return
    for one, budget in zip(lines, budgets, strict=True):
        _print_line(one, budget, asked)
    for closure in runs:
        _print_closure(closure, asked)
    for one_line in several:
        _print_spread(one_line)
    if asked.wanted is not None and runs:
        for words in asked.wanted.said_of_it:
            out.print(f"  {asked.wanted.name}, in print: {words}", markup=False)
    _print_crew(crew)
    out.print(f"Tape {summary.header.tape}.", markup=False)
    out.print(f"All lengths in the {foot.words}; uncertainties are standard (k = 1).", markup=False)


def _budget(one: Line, summary: Summary) -> LineBudget | None:
    if len(one.uncorrected) == len(one.corrected):
        return None
    return line_budget([each.segment for each in one.corrected], summary.replay.tapes)


def _comparison(one: Line, asked: _Asked) -> RecordComparison | None:
    if asked.record is None:
        return None
    return compare_record(parse_length(asked.record, asked.foot), one.horizontal_ft, asked.foot)


def _ends(one: Line) -> list[tuple[int, str]]:
    """Where each pull ends, as a station of the running total."""
    return [
        (each.segment.pull, station_text(round(each.running_total_ft * 100)))
        for each in one.corrected
    ]


def _line_json(one: Line, budget: LineBudget | None, asked: _Asked) -> dict[str, Any]:
    document: dict[str, Any] = {
        "line_from": one.line_from,
        "line_to": one.line_to,
        "run": one.run,
        "pulls": len(one.corrected),
        "length_read_ft": one.length_read_ft,
        "horizontal_ft": one.horizontal_ft,
        "unchecked_pulls": one.unchecked,
        "uncorrected_pulls": one.uncorrected,
        "lacking": one.lacking,
        "pull_ends": [{"pull": pull, "station": station} for pull, station in _ends(one)],
        "budget": budget.model_dump(mode="json") if budget else None,
    }
    if asked.interval_ft is not None:
        document["marks"] = [
            {
                "station": station_text(mark.at),
                "is_full": mark.is_full,
                "pull": mark.pull,
                "from_rear_mark_ft": mark.beyond / 100,
            }
            for mark in _marks(one, asked.interval_ft)
        ]
    if (found := _comparison(one, asked)) is not None:
        document["record"] = {
            "stated": asked.record,
            "record_ft": float(found.record_ft),
            "measured_ft": float(found.measured_ft),
            "difference_ft": float(found.difference_ft),
            **dict(
                zip(("record", "measured", "difference"), _in_its_unit(found, asked), strict=True)
            ),
            "index_for_information": float(found.index),
        }
    return document


def _marks(one: Line, interval_ft: int) -> tuple[Mark, ...]:
    ends = [(each.segment.pull, each.running_total_ft) for each in one.corrected]
    return marks(ends, interval_ft)


def _in_its_unit(found: RecordComparison, asked: _Asked) -> tuple[str, str, str]:
    """Print record, measured and their difference in the units that the record is written in."""
    form = form_of(asked.record or "", asked.foot)
    difference = Length(found.measured.size - found.record.size, found.record.foot)
    first, second, third = (
        show(length, form, DECIMALS) for length in (found.record, found.measured, difference)
    )
    return first, second, third


def _closure_json(one: Closure, asked: _Asked) -> dict[str, Any]:
    return {
        "line": f"{one.forward.line_from}:{one.forward.line_to}",
        "is_back": one.is_back,
        "runs": [one.forward.run, one.again.run],
        "first_ft": one.forward.horizontal_ft,
        "second_ft": one.again.horizontal_ft,
        "difference_ft": one.difference_ft,
        "mean_ft": one.mean_ft,
        "one_in": None if one.one_in is None else shown_one_in(one.one_in),
        "one_in_unrounded": None if one.one_in is None else float(one.one_in),
        "class": asked.wanted.name if asked.wanted else None,
        "meets_class": asked.wanted.is_met(one.one_in) if asked.wanted else None,
    }


def _spread(runs: tuple[Line, ...]) -> Spread:
    return spread([run.horizontal_ft for run in runs])


def _spread_json(runs: tuple[Line, ...]) -> dict[str, Any]:
    found = _spread(runs)
    precision = one_in(found.s_mean_ft, found.mean_ft)
    return {
        "line": f"{runs[0].line_from}:{runs[0].line_to}",
        "runs": found.runs,
        "mean_ft": found.mean_ft,
        "s_one_ft": found.s_one_ft,
        "s_mean_ft": found.s_mean_ft,
        "one_in": None if precision is None else shown_one_in(precision),
    }


def _crew_json(crew: Repeatability | None) -> dict[str, Any] | None:
    if crew is None:
        return None
    return {
        "pairs": crew.pairs,
        "s_one_ft": crew.s_one_ft,
        "s_one_95_ft": [crew.low_ft, crew.high_ft],
        "s_mean_ft": crew.s_mean_ft,
    }


def _print_line(one: Line, budget: LineBudget | None, asked: _Asked) -> None:
    out.print(
        f"{_name(one)}: {len(one.corrected)} pulls, read"
        f" {one.length_read_ft:.2f} ft, horizontal {one.horizontal_ft:.3f} ft",
        markup=False,
    )
    for words, pulls in (("not checked", one.unchecked), ("not corrected", one.uncorrected)):
        if pulls:
            out.print(f"  ! {words}: pull {_numbers(pulls)}", markup=False)
    for kind, pulls in one.lacking.items():
        out.print(f"  * no correction for {kind} known: pull {_numbers(pulls)}", markup=False)
    if budget is not None:
        _print_budget(budget)
    ends = ", ".join(f"{pull} at {station}" for pull, station in _ends(one))
    out.print(f"  pulls end: {ends}", markup=False)
    if asked.interval_ft is not None:
        _print_marks(_marks(one, asked.interval_ft))
    if (found := _comparison(one, asked)) is not None:
        out.print(
            f"  record {asked.record} = {float(found.record_ft):.3f} ft, measured"
            f" {float(found.measured_ft):.3f} ft, difference {float(found.difference_ft):+.3f} ft,"
            f" index {float(found.index):.6f}, for information only",
            markup=False,
        )
        in_record, measured, difference = _in_its_unit(found, asked)
        out.print(
            f"  in its unit: record {in_record}, measured {measured}, difference {difference}",
            markup=False,
        )
    out.print()


def _print_budget(budget: LineBudget) -> None:
    out.print(
        f"  uncertainty {budget.u_ft:.4f} ft: {budget.u_random_ft:.4f} random,"
        f" {budget.u_common_ft:.4f} common to all pulls",
        markup=False,
    )
    table = Table(box=None, pad_edge=False)
    for name in ("  from", "ft", "share"):
        table.add_column(name, justify="left" if name == "  from" else "right")
    for row in budget.rows[:ROWS]:
        name = f"  {row.component} ({row.kind})"
        table.add_row(name, f"{row.contribution_ft:.4f}", f"{row.share:.0%}")
    out.print(table)
    for words in budget.words:
        out.print(f"  {words}", markup=False)


def _print_marks(listed: tuple[Mark, ...]) -> None:
    out.print("  marks, each from the rear mark of its pull (= full station):", markup=False)
    for mark in listed:
        sign = "=" if mark.is_full else " "
        out.print(
            f"  {sign} {station_text(mark.at):>10}  {mark.beyond / 100:.2f} ft in pull {mark.pull}",
            markup=False,
        )


def _print_closure(one: Closure, asked: _Asked) -> None:
    again = "and back" if one.is_back else "and again"
    out.print(
        f"{one.forward.line_from} to {one.forward.line_to} {again}:"
        f" {one.forward.horizontal_ft:.3f} and {one.again.horizontal_ft:.3f} ft, difference"
        f" {one.difference_ft:+z.3f} ft, mean {one.mean_ft:.3f} ft, {_precision(one.one_in)}",
        markup=False,
    )
    if asked.wanted is not None:
        words = "meets" if asked.wanted.is_met(one.one_in) else "! does not meet"
        out.print(f"  {words} {asked.wanted.name}", markup=False)


def _print_spread(runs: tuple[Line, ...]) -> None:
    found = _spread(runs)
    out.print(
        f"{runs[0].line_from} to {runs[0].line_to}, {found.runs} runs: mean"
        f" {found.mean_ft:.3f} ft, standard deviation {found.s_one_ft:.4f} ft of one,"
        f" {found.s_mean_ft:.4f} ft of the mean,"
        f" {_precision(one_in(found.s_mean_ft, found.mean_ft))}",
        markup=False,
    )


def _precision(n: Fraction | None) -> str:
    return "alike to the last figure" if n is None else f"1:{shown_one_in(n)}"


def _name(one: Line) -> str:
    run = f", run {one.run}" if one.run > 1 else ""
    return f"{one.line_from} to {one.line_to}{run}"


def _numbers(pulls: tuple[int, ...]) -> str:
    return ", ".join(map(str, pulls))


def _print_crew(crew: Repeatability | None) -> None:
    if crew is None:
        out.print("No pull was measured twice: the crew's repeatability is not known.")
        return
    out.print(
        f"Crew: {crew.pairs} checked pulls repeat to {crew.s_one_ft:.4f} ft for one measurement"
        f" (95 %: {crew.low_ft:.4f} to {crew.high_ft:.4f}), {crew.s_mean_ft:.4f} ft for the mean"
        " of two",
        markup=False,
    )
