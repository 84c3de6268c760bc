"""The command `line`: the lines of a job, their uncertainty, and what they are set against."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
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
    RecordComparison,
    Repeatability,
    closures,
    compare_record,
    differences_ft,
    group_lines,
    marks,
    repeatability,
    shown_one_in,
    station_text,
)
from calllog.session import Summary, summarise
from calllog.units import Foot, parse_length

ROWS = 6
"""Rows of a budget that are printed; all are in the JSON."""
out = Console(soft_wrap=True, highlight=False)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(line)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the lines are set against."""

    foot: Foot
    one_in: int | None
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
    asked = _Asked(foot, _class(line_class), record, stations)
    lines = group_lines(summary.corrected)
    if record is not None and len({frozenset((one.line_from, one.line_to)) for one in lines}) > 1:
        raise ConfigError(
            "this job has several lines, and a record is of one",
            where=str(job_folder),
            next_step="leave --record out, or keep the line in a job of its own",
        )
    budgets = [_budget(one, summary) for one in lines]
    runs = closures(lines)
    crew = repeatability(differences_ft(summary.replay.segments))
    if as_json:
        document = {
            "job": summary.header.job,
            "foot": foot,
            "state_hash": summary.header.state_hash,
            "lines": [
                _line_json(one, budget, asked) for one, budget in zip(lines, budgets, strict=True)
            ],
            "closures": [_closure_json(one, asked) for one in runs],
            "repeatability": _crew_json(crew),
        }
        typer.echo(json.dumps(document, ensure_ascii=False, indent=2))
        return
    for one, budget in zip(lines, budgets, strict=True):
        _print_line(one, budget, asked)
    for closure in runs:
        _print_closure(closure, asked)
    _print_crew(crew)
    out.print(f"All lengths in the {foot.words}; uncertainties are standard (k = 1).", markup=False)


def _class(text: str | None) -> int | None:
    if text is None:
        return None
    found = re.fullmatch(r"1 ?: ?([0-9][0-9, ]*)", text.strip())
    one_in = int(re.sub(r"[, ]", "", found[1])) if found else 0
    if not one_in:
        raise ConfigError(
            "this is no class", where=repr(text), next_step="state one such as 1:5000"
        )
    return one_in


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
        "pulls": len(one.corrected),
        "length_read_ft": one.length_read_ft,
        "horizontal_ft": one.horizontal_ft,
        "unchecked_pulls": one.unchecked,
        "uncorrected_pulls": one.uncorrected,
        "pull_ends": [{"pull": pull, "station": station} for pull, station in _ends(one)],
        "budget": budget.model_dump(mode="json") if budget else None,
    }
    if asked.interval_ft is not None:
        document["marks"] = [
            station_text(mark) for mark in marks(one.horizontal_ft, asked.interval_ft)
        ]
    if (found := _comparison(one, asked)) is not None:
        document["record"] = {
            "stated": asked.record,
            "record_ft": float(found.record_ft),
            "measured_ft": float(found.measured_ft),
            "difference_ft": float(found.difference_ft),
            "index_for_information": float(found.index),
        }
    return document


def _closure_json(one: Closure, asked: _Asked) -> dict[str, Any]:
    return {
        "line": f"{one.forward.line_from}:{one.forward.line_to}",
        "forward_ft": one.forward.horizontal_ft,
        "back_ft": one.back.horizontal_ft,
        "difference_ft": one.difference_ft,
        "mean_ft": one.mean_ft,
        "one_in": shown_one_in(one.one_in),
        "class_one_in": asked.one_in,
        "meets_class": None if asked.one_in is None else one.one_in >= asked.one_in,
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
        f"{one.line_from} to {one.line_to}: {len(one.corrected)} pulls, read"
        f" {one.length_read_ft:.2f} ft, horizontal {one.horizontal_ft:.3f} ft",
        markup=False,
    )
    for words, pulls in (("not checked", one.unchecked), ("not corrected", one.uncorrected)):
        if pulls:
            out.print(f"  ! {words}: pull {', '.join(map(str, pulls))}", markup=False)
    if budget is not None:
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
    ends = ", ".join(f"{pull} at {station}" for pull, station in _ends(one))
    out.print(f"  pulls end: {ends}", markup=False)
    if asked.interval_ft is not None:
        listed = marks(one.horizontal_ft, asked.interval_ft)
        out.print(f"  marks: {', '.join(map(station_text, listed))}", markup=False)
    if (found := _comparison(one, asked)) is not None:
        out.print(
            f"  record {asked.record} = {float(found.record_ft):.3f} ft, measured"
            f" {float(found.measured_ft):.3f} ft, difference {float(found.difference_ft):+.3f} ft,"
            f" index {float(found.index):.6f}, for information only",
            markup=False,
        )
    out.print()


def _print_closure(one: Closure, asked: _Asked) -> None:
    shown = shown_one_in(one.one_in)
    precision = "alike to the last figure" if shown is None else f"1:{shown:,}"
    out.print(
        f"{one.forward.line_from} to {one.forward.line_to} and back:"
        f" {one.forward.horizontal_ft:.3f} and {one.back.horizontal_ft:.3f} ft, difference"
        f" {one.difference_ft:+.3f} ft, mean {one.mean_ft:.3f} ft, {precision}",
        markup=False,
    )
    if asked.one_in is not None:
        words = "meets" if one.one_in >= asked.one_in else "! does not meet"
        out.print(f"  {words} 1:{asked.one_in:,}", markup=False)


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
