"""The command `line`: the lines of a job, their uncertainty, and what they are set against."""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.table import Table

from calllog.commands.about import about_words
from calllog.commands.budget import budget_json
from calllog.commands.counting import counted
from calllog.commands.course_options import line_ends
from calllog.commands.many import SchedulerOption, is_many, run_many
from calllog.commands.records import read_records
from calllog.commands.terminal import asked_messages, out, print_json
from calllog.corrections import LineBudget
from calllog.errors import ConfigError
from calllog.lines import (
    COVERAGE,
    Closure,
    Line,
    Mark,
    PrecisionClass,
    Ratio,
    RecordComparison,
    Repeatability,
    Spread,
    closures,
    compare_record,
    decided,
    differences_ft,
    kind_of_all,
    marks,
    one_in,
    parse_class,
    ratio_as_read,
    repeatability,
    repeated,
    shown_one_in,
    spread,
    station_text,
)
from calllog.office import (
    Judged,
    LineResult,
    Summary,
    judge,
    line_results,
    state_facts,
    state_words,
    summarise,
)
from calllog.report import document_in, kind_words, policy_words
from calllog.units import (
    Foot,
    Length,
    figure,
    form_of,
    in_unit,
    last_digits,
    length_ft,
    parse_length,
    reading_ft,
    show,
)
from calllog.values import DistanceKind, ReadingUnit, message
from calllog.wording import ENGLISH, Words

ROWS = 6
"""Rows of a budget that are printed; all are in the JSON."""
DECIMALS = 3
"""Of a record's last unit."""
_MET = {True: "meets", False: "! does not meet", None: "! not shown to meet"}
SEVERAL = 3
"""Runs of one line from which on their spread is shown."""


@dataclass(frozen=True, slots=True)
class _AskedOf:
    """What the lines are set against."""

    foot: Foot
    unit: ReadingUnit
    wanted: PrecisionClass | None
    records: dict[frozenset[str], str]
    """What a record says of a line, by its two points."""
    interval: int | None

    def record(self, one: Line) -> str | None:
        """Give what a record says of a line; None if nothing was stated."""
        return self.records.get(frozenset((one.line_from, one.line_to)))


def line(
    job_folder: Annotated[
        Path, typer.Argument(metavar="JOB", help="The job's folder, or a folder with jobs in it.")
    ],
    line_class: Annotated[
        str | None, typer.Option("--class", help="The relative precision to be met: 1:5000.")
    ] = None,
    records: Annotated[
        list[str] | None,
        typer.Option(
            "--record",
            help='What a record says of the line: "12 ch 45 lk"; of one of several:'
            ' "A:B=12 ch 45 lk". Again for each.',
        ),
    ] = None,
    stations: Annotated[
        int | None, typer.Option("--stations", help="List marks every 25, 50 or 100 ft, or m.")
    ] = None,
    only: Annotated[
        str | None, typer.Option("--line", help="One line of several, either way: Spring:Oak.")
    ] = None,
    scheduler: SchedulerOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Show the lines of a job: lengths, uncertainty and its budget, forward against back.

    Each line is judged by the closure that was measured, or else by its uncertainty. A record is
    set beside what was measured, for information: this decides no boundary. Given a folder, it
    shows the lines of all jobs in it.

    Example: calllog line demo-job --class 1:5000 --stations 25
    """
    if is_many(job_folder):
        asked_of_all = {
            "line_class": line_class,
            "records": records,
            "stations": stations,
            "only": only,
            "as_json": as_json,
        }
        run_many(
            job_folder,
            line,
            lambda _: asked_of_all,
            what="lines",
            scheduler=scheduler,
            as_json=as_json,
        )
        return
    summary = summarise(job_folder)
    foot, unit = next(iter(summary.replay.tapes.values())).foot, summary.header.unit_read
    wanted = parse_class(line_class) if line_class else None
    results = line_results(summary)
    if only is not None:
        results = _chosen(results, only, job_folder)
    lines = tuple(one.line for one in results)
    asked = _AskedOf(foot, unit, wanted, _records(records or [], lines), stations)
    _refuse_early(lines, asked)
    runs = closures(lines)
    verdicts = [_verdict(one, runs, asked) for one in results]
    several = [one for one in repeated(lines) if len(one) >= SEVERAL]
    crew = repeatability(differences_ft(summary.replay.segments, unit))
    left_out = decided(summary.replay.segments)
    if as_json:
        document = {
            "job": summary.header.job,
            "identity": summary.header.identity,
            "about": summary.replay.about.model_dump(mode="json"),
            "foot": foot,
            "tape": summary.header.tape,
            "state_hash": summary.header.state_hash,
            "state": _states(summary, results, ENGLISH, is_all=only is None),
            "lines": [
                _line_json(one, asked) | _verdict_json(verdict)
                for one, verdict in zip(results, verdicts, strict=True)
            ],
            "closures": [_closure_json(one, asked) for one in runs],
            "spreads": [_spread_json(one, unit) for one in several],
            "repeatability": _crew_json(crew, unit, left_out),
        }
        print_json(document_in(document, unit))
        return
    _print_head(summary, _states(summary, results, asked_messages(), is_all=only is None))
    for one, verdict in zip(results, verdicts, strict=True):
        _print_line(one, asked, verdict)
    for closure in runs:
        _print_closure(closure, asked)
    for one_line in several:
        _print_spread(one_line, unit)
    if asked.wanted is not None:
        for words in asked.wanted.said_of_it:
            out.print(f"  {asked.wanted.name}, in print: {words}")
    _print_crew(crew, unit, left_out)
    out.print(f"Tape {summary.header.tape}.")
    lengths = next(iter(summary.replay.tapes.values())).lengths
    out.print(f"All lengths in {lengths}; uncertainties are k = 1 where nothing else is said.")


def _print_head(summary: Summary, states: tuple[str, ...]) -> None:
    for words in about_words(summary.header):
        out.print(words)
    for words in states:
        out.print(f"! {words[:1].upper()}{words[1:]}.")


def _states(
    summary: Summary, results: tuple[LineResult, ...], words: Words, *, is_all: bool
) -> tuple[str, ...]:
    """Say what must be known of the lines shown before any figure."""
    shown = {(one.line.line_from, one.line.line_to, one.line.run) for one in results}
    facts = [
        each for each in state_facts(summary) if is_all or each.line is None or each.line in shown
    ]
    return state_words(facts, words.measured_in(summary.header.unit_read))


def _records(stated: list[str], lines: tuple[Line, ...]) -> dict[frozenset[str], str]:
    """Put what records say by the line that each is of."""
    known = {frozenset((one.line_from, one.line_to)): one for one in lines}
    found = read_records(stated, next(iter(known)) if len(known) == 1 else None)
    for ends in found.keys() - known.keys():
        names = [f"{one.line_from}:{one.line_to}" for one in known.values()]
        raise ConfigError(
            f"there is no line {':'.join(sorted(ends))!r} here to set a record against",
            where="--record",
            next_step=f"name one that there is: {', '.join(names) or 'there is none'}",
        )
    return found


def _refuse_early(lines: tuple[Line, ...], asked: _AskedOf) -> None:
    """Refuse a record or stations that do not go with the lines, before anything is printed."""
    for one in lines:
        _comparison(one, asked)
        if asked.interval is not None:
            _marks(one, asked, asked.interval)


def _chosen(results: tuple[LineResult, ...], only: str, job_folder: Path) -> tuple[LineResult, ...]:
    """Take the runs of one line, whichever way they went."""
    ends = frozenset(line_ends(only))
    chosen = tuple(
        one for one in results if frozenset((one.line.line_from, one.line.line_to)) == ends
    )
    if not chosen:
        known = dict.fromkeys(f"{one.line.line_from}:{one.line.line_to}" for one in results)
        raise ConfigError(
            f"this job has no line {only!r}",
            where=str(job_folder),
            next_step=f"name one that it has: {', '.join(known) or 'it has none'}",
        )
    return chosen


@dataclass(frozen=True, slots=True)
class _Verdict:
    """Whether a line meets the class that was asked for, and by what that is told."""

    wanted: PrecisionClass
    judged: Judged
    unit: ReadingUnit

    @property
    def is_met(self) -> bool | None:
        """None where it cannot be told."""
        return self.judged.meets(self.wanted)

    @property
    def words(self) -> str:
        """Say it in one sentence."""
        ratio = self.judged.ratio
        if ratio is None:
            return f"! class {self.wanted.name} cannot be told: pulls are not corrected"
        is_closed = self.judged.by == "closure"
        how = "by the measured closure" if is_closed else "by its uncertainty (k = 2)"
        return f"{_MET[self.is_met]} {self.wanted.name} {how}: {_precision(ratio, self.unit)}"


def _verdict(result: LineResult, runs: tuple[Closure, ...], asked: _AskedOf) -> _Verdict | None:
    """Judge a line; None if no class is asked."""
    if asked.wanted is None:
        return None
    return _Verdict(asked.wanted, judge(result, runs, asked.unit), asked.unit)


def _ratio(one: Closure, unit: ReadingUnit) -> Ratio | None:
    return ratio_as_read(one.difference_ft, one.mean_ft, unit)


def _verdict_json(verdict: _Verdict | None) -> dict[str, Any]:
    if verdict is None:
        return {}
    ratio = verdict.judged.ratio
    return {
        "verdict": {
            "class": verdict.wanted.name,
            "meets_class": verdict.is_met,
            "by": None if ratio is None else verdict.judged.by,
            "one_in": None if ratio is None else shown_one_in(ratio.n),
            "is_floored": None if ratio is None else ratio.is_floored,
        }
    }


def _comparison(one: Line, asked: _AskedOf) -> RecordComparison | None:
    record = asked.record(one)
    if record is None:
        return None
    return compare_record(parse_length(record, asked.foot), one.horizontal_ft, asked.foot)


def _ends(one: Line, unit: ReadingUnit) -> list[tuple[int, str]]:
    """Where each pull ends, as a station of the running total."""
    return [
        (each.segment.pull, station_text(last_digits(each.running_total_ft, unit), unit))
        for each in one.corrected
    ]


def _line_json(result: LineResult, asked: _AskedOf) -> dict[str, Any]:
    one, budget = result.line, result.budget
    document: dict[str, Any] = {
        "line_from": one.line_from,
        "line_to": one.line_to,
        "run": one.run,
        "pulls": len(one.corrected),
        "length_read_ft": one.length_read_ft,
        "horizontal_ft": one.horizontal_ft,
        "distance_kind": one.kind,
        "book_policies": one.policies,
        "unchecked_pulls": one.unchecked,
        "uncorrected_pulls": one.uncorrected,
        "lacking": one.lacking,
        "pull_ends": [
            {"pull": pull, "station": station} for pull, station in _ends(one, asked.unit)
        ],
        "budget": budget_json(budget, asked.unit) if budget else None,
    }
    if asked.interval is not None:
        document["marks"] = [
            {
                "station": station_text(mark.at, asked.unit),
                "is_full": mark.is_full,
                "pull": mark.pull,
                "from_rear_mark_ft": length_ft(mark.beyond / mark.one, asked.unit),
            }
            for mark in _marks(one, asked, asked.interval)
        ]
    if (found := _comparison(one, asked)) is not None:
        document["record"] = {
            "stated": asked.record(one),
            "record_ft": float(found.record_ft),
            "measured_ft": float(found.measured_ft),
            "difference_ft": float(found.difference_ft),
            **dict(
                zip(
                    ("record", "measured", "difference"),
                    _in_its_unit(found, asked.record(one) or "", asked.foot),
                    strict=True,
                )
            ),
            "index_for_information": float(found.index),
        }
    return document


def _marks(one: Line, asked: _AskedOf, interval: int) -> tuple[Mark, ...]:
    unit = asked.unit
    ends = [(each.segment.pull, in_unit(each.running_total_ft, unit)) for each in one.corrected]
    return marks(ends, interval, unit)


def _in_its_unit(found: RecordComparison, record: str, foot: Foot) -> tuple[str, str, str]:
    """Print record, measured and their difference in the units that the record is written in."""
    form = form_of(record, foot)
    difference = Length(found.measured.size - found.record.size, found.record.foot)
    first, second, third = (
        show(length, form, DECIMALS) for length in (found.record, found.measured, difference)
    )
    return first, second, third


def _closure_json(one: Closure, asked: _AskedOf) -> dict[str, Any]:
    ratio = _ratio(one, asked.unit)
    return {
        "line": f"{one.forward.line_from}:{one.forward.line_to}",
        "is_back": one.is_back,
        "runs": [one.forward.run, one.again.run],
        "distance_kind": one.kind,
        "first_ft": one.forward.horizontal_ft,
        "second_ft": one.again.horizontal_ft,
        "difference_ft": one.difference_ft,
        "mean_ft": one.mean_ft,
        "one_in": None if ratio is None else shown_one_in(ratio.n),
        "one_in_unrounded": None if ratio is None else float(ratio.n),
        "is_floored": None if ratio is None else ratio.is_floored,
        "class": asked.wanted.name if asked.wanted else None,
        "meets_class": ratio.meets(asked.wanted) if asked.wanted and ratio else None,
    }


def _spread(runs: tuple[Line, ...], unit: ReadingUnit) -> tuple[Spread, Ratio | None]:
    """Find the spread of several runs, no finer than is read, and that of their mean as 1:N."""
    found, is_floored = spread([run.horizontal_ft for run in runs]).floored(unit)
    n = one_in(in_unit(found.s_mean_ft, unit), in_unit(found.mean_ft, unit))
    return found, Ratio(n, is_floored) if n else None


def _spread_json(runs: tuple[Line, ...], unit: ReadingUnit) -> dict[str, Any]:
    found, ratio = _spread(runs, unit)
    return {
        "line": f"{runs[0].line_from}:{runs[0].line_to}",
        "runs": found.runs,
        "distance_kind": kind_of_all(run.kind for run in runs),
        "mean_ft": found.mean_ft,
        "s_one_ft": found.s_one_ft,
        "s_mean_ft": found.s_mean_ft,
        "one_in": None if ratio is None else shown_one_in(ratio.n),
        "is_floored": None if ratio is None else ratio.is_floored,
    }


def _crew_json(
    crew: Repeatability | None, unit: ReadingUnit, left_out: int
) -> dict[str, Any] | None:
    if crew is None:
        return {"pairs": 0, "left_out": left_out} if left_out else None
    shown, is_floored = crew.floored(unit)
    return {
        "pairs": shown.pairs,
        "left_out": left_out,
        "is_below_reading": is_floored,
        "s_one_ft": shown.s_one_ft,
        "s_one_95_ft": [shown.low_ft, shown.high_ft],
        "s_mean_ft": shown.s_mean_ft,
    }


def _print_line(result: LineResult, asked: _AskedOf, verdict: _Verdict | None) -> None:
    one, budget = result.line, result.budget
    name, count = _name(one), len(one.corrected)
    policies = policy_words(one.policies, asked_messages())
    all_of_it = (
        f"{count} {'pull' if count == 1 else 'pulls'}, read"
        f" {figure(one.length_read_ft, asked.unit, 2)}, {kind_words(one.kind)}"
        f" {figure(one.horizontal_ft, asked.unit, 3)}; {policies}"
    )
    lines = [all_of_it]
    if lead := result.told(asked.unit):
        lines = [f"{lead}, {kind_words(one.kind)} (k = 2, 95 %)", all_of_it]
    if verdict is not None:
        lines.insert(1, verdict.words)
    out.print(f"{name}: {lines[0]}")
    for words in lines[1:]:
        out.print(f"  {words}")
    for fault, pulls in (("not checked", one.unchecked), ("not corrected", one.uncorrected)):
        if pulls:
            out.print(f"  ! {fault}: {_numbers(pulls)}")
    for kind, pulls in one.lacking.items():
        out.print(f"  * correction for {kind} not known: {_numbers(pulls)}")
    if budget is not None:
        _print_budget(budget, asked.unit)
    ends = ", ".join(f"{pull} at {station}" for pull, station in _ends(one, asked.unit))
    along = " along the slope" if one.kind is DistanceKind.SLOPE else ""
    out.print(f"  pulls end{along}: {ends}")
    if asked.interval is not None:
        _print_marks(_marks(one, asked, asked.interval), asked.unit)
    if (found := _comparison(one, asked)) is not None:
        out.print(
            f"  record {asked.record(one)} = {figure(float(found.record_ft), asked.unit, 3)},"
            f" measured {kind_words(one.kind)} {figure(float(found.measured_ft), asked.unit, 3)},"
            " difference"
            f" {figure(float(found.difference_ft), asked.unit, 3, '+')}, index"
            f" {float(found.index):.6f}, for information only"
        )
        stated = asked.record(one) or ""
        in_record, measured, difference = _in_its_unit(found, stated, asked.foot)
        out.print(
            f"  in its unit: record {in_record}, measured {measured}, difference {difference}"
        )
    out.print()


def _print_budget(budget: LineBudget, unit: ReadingUnit) -> None:
    out.print(
        f"  uncertainty {figure(budget.u_ft, unit)} (k = 1),"
        f" {figure(COVERAGE * budget.u_ft, unit)} (k = 2, 95 %); for k = 1"
        f" {in_unit(budget.u_random_ft, unit):.4f} random,"
        f" {in_unit(budget.u_common_ft, unit):.4f} common to all pulls"
    )
    table = Table(box=None, pad_edge=False)
    for name in ("  from", unit.symbol, "share"):
        table.add_column(name, justify="left" if name == "  from" else "right")
    say = asked_messages().measured_in(unit).say
    greatest, rest = budget.greatest(ROWS)
    for row in greatest:
        name = f"  {say(row.component)} ({say(message('input-kind', kind=row.kind.value))})"
        table.add_row(name, f"{in_unit(row.contribution_ft, unit):.4f}", f"{100 * row.share:.0f} %")
    if rest:
        table.add_row(
            f"  {say(message('page-budget-rest', count=len(rest)))}",
            f"{in_unit(budget.together_ft(rest), unit):.4f}",
            f"{100 * sum(row.share for row in rest):.0f} %",
        )
    out.print(table)
    for each in budget.says:
        out.print(f"  {say(each)}")


def _print_marks(listed: tuple[Mark, ...], unit: ReadingUnit) -> None:
    full = "full station" if unit.is_feet else "full hundred"
    out.print(f"  marks, each from the rear mark of its pull (= {full}):")
    for mark in listed:
        sign = "=" if mark.is_full else " "
        out.print(
            f"  {sign} {station_text(mark.at, unit):>10}"
            f"  {mark.beyond / mark.one:.{unit.digits}f} {unit.symbol} in pull {mark.pull}"
        )


def _print_closure(one: Closure, asked: _AskedOf) -> None:
    again = "and back" if one.is_back else "and again"
    unit = asked.unit
    first_ft, second_ft = one.forward.horizontal_ft, one.again.horizontal_ft
    ratio = _ratio(one, unit)
    out.print(
        f"{one.forward.line_from} to {one.forward.line_to} {again}:"
        f" {kind_words(one.kind)} {in_unit(first_ft, unit):.3f} and"
        f" {figure(second_ft, unit, 3)}, difference"
        f" {figure(one.difference_ft, unit, 3, '+z')}, mean {figure(one.mean_ft, unit, 3)},"
        f" {_precision(ratio, unit)}"
    )
    if asked.wanted is not None:
        out.print(f"  {_MET[ratio.meets(asked.wanted) if ratio else None]} {asked.wanted.name}")


def _print_spread(runs: tuple[Line, ...], unit: ReadingUnit) -> None:
    found, ratio = _spread(runs, unit)
    out.print(
        f"{runs[0].line_from} to {runs[0].line_to}, {found.runs} runs:"
        f" {kind_words(kind_of_all(run.kind for run in runs))}, mean"
        f" {figure(found.mean_ft, unit, 3)}, standard deviation {figure(found.s_one_ft, unit)} of"
        f" one, {figure(found.s_mean_ft, unit)} of the mean,"
        f" {_precision(ratio, unit)}"
    )


def _precision(ratio: Ratio | None, unit: ReadingUnit) -> str:
    """Say a relative precision; none so fine that no reading could show it."""
    if ratio is None:
        return "no relative precision"
    words = f"1:{shown_one_in(ratio.n)}"
    if not ratio.is_floored:
        return words
    least = figure(reading_ft(1, unit), unit, unit.digits)
    return f"{words} or better: nothing under {least} is read"


def _name(one: Line) -> str:
    run = f", run {one.run}" if one.run > 1 else ""
    return f"{one.line_from} to {one.line_to}{run}"


def _numbers(pulls: tuple[int, ...]) -> str:
    return f"{'pull' if len(pulls) == 1 else 'pulls'} {', '.join(map(str, pulls))}"


def _print_crew(crew: Repeatability | None, unit: ReadingUnit, left_out: int) -> None:
    if crew is None:
        out.print("No pull was measured twice and agreed: the crew's repeatability is not known.")
        _print_left_out(left_out)
        return
    shown, is_floored = crew.floored(unit)
    out.print(
        f"Crew: {counted(shown.pairs, 'checked pull repeats', 'checked pulls repeat')} to"
        f" {figure(shown.s_one_ft, unit)} for one"
        f" measurement (95 %: {in_unit(shown.low_ft, unit):.4f} to"
        f" {in_unit(shown.high_ft, unit):.4f}), {figure(shown.s_mean_ft, unit)} for the mean of"
        " two"
    )
    if is_floored:
        out.print("  The checks agree better, but no less is claimed than the last digit can show.")
    _print_left_out(left_out)


def _print_left_out(left_out: int) -> None:
    if left_out:
        pulls = "pull that" if left_out == 1 else "pulls that"
        out.print(f"  Left out: {left_out} checked {pulls} needed a decision.")
