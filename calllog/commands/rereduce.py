"""The command `rereduce`: a whole job again by a corrected certificate, both versions kept."""

import json
from pathlib import Path
from typing import Annotated, Any

import typer
from rich import box
from rich.table import Table
from rich.text import Text

from calllog.commands.agreeing import tell_due
from calllog.commands.compare import edition_json
from calllog.commands.tape_file import TapeOption, read_tape, today
from calllog.commands.terminal import out, print_json_text
from calllog.errors import require_plain
from calllog.journal import OUT, own_folder
from calllog.lines import COVERAGE, LengthChange
from calllog.office import (
    LineResult,
    Rereduction,
    line_results,
    replay_job,
    summarise,
    write_report,
)
from calllog.office import rereduce as reduce_again
from calllog.report import (
    SLOPE_LEGEND,
    document_in,
    keep_changed,
    kind_words,
    marked,
    settle,
    write_whole,
)
from calllog.units import in_unit
from calllog.values import ReadingUnit

DIFFERENCES = "differences.json"


def rereduce(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    tape: TapeOption,
    folder: Annotated[
        Path | None,
        typer.Option("--out", help="Where both versions go; JOB/out/rereduced-ENTRY if left out."),
    ] = None,
    by: Annotated[str, typer.Option("--by", help="Who corrects the certificate.")] = "office",
    why: Annotated[str, typer.Option("--why", help="The reason.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Reduce a whole job again by a corrected certificate; both versions stay in the journal.

    Example: calllog rereduce strict --tape corrected.toml --why "the bench misread the length"
    """
    require_plain(by, "--by")
    require_plain(why, "--why")
    certificate = read_tape(tape, *dict.fromkeys(summarise(job_folder).replay.days))
    result = reduce_again(job_folder, certificate, by=by, why=why)
    tell_due(job_folder, replay_job(job_folder), today())
    folder = folder or own_folder(job_folder, OUT, f"rereduced-{result.in_force.sequence}")
    reports = [
        write_report(summary, folder / name)
        for summary, name in ((result.before, "before"), (result.after, "after"))
    ]
    kept = keep_changed(folder, [DIFFERENCES])
    unit = result.after.header.unit_read
    document = json.dumps(document_in(_document(result), unit), ensure_ascii=False, indent=2)
    write_whole(folder / DIFFERENCES, document + "\n")
    of = result.after.header
    reports.append(settle(folder, "rereduction", [folder / DIFFERENCES], kept=kept, of=of))
    if as_json:
        print_json_text(document)
        return
    _print(result)
    for file in (file for each in reports for file in each):
        out.print(f"written: {file}")
    for words in (words for each in reports for words in each.words):
        out.print(words)


def _document(result: Rereduction) -> dict[str, Any]:
    return {
        "format": "calllog-rereduction",
        "version": 1,
        "job": result.after.header.job,
        "is_new": result.is_new,
        "foot": result.after.header.foot,
        "state_hash": result.after.header.state_hash,
        "replaced": edition_json(result.replaced),
        "in_force": edition_json(result.in_force),
        "entries_changed": result.entries_changed,
        "pulls": [_change_json(one) for one in result.pulls],
        "lines": [
            _change_json(one)
            | {
                "old_u_ft": old.u_ft,
                "new_u_ft": new.u_ft,
                "coverage_k": COVERAGE,
                "old_expanded_ft": old.expanded_ft,
                "new_expanded_ft": new.expanded_ft,
            }
            for one, old, new in _lines(result)
        ],
    }


def _change_json(change: LengthChange) -> dict[str, Any]:
    return {
        "line_from": change.line_from,
        "line_to": change.line_to,
        "run": change.run,
        **({} if change.pull is None else {"pull": change.pull}),
        "old_ft": change.old_ft,
        "new_ft": change.new_ft,
        "difference_ft": change.difference_ft,
        "old_kind": change.old_kind,
        "new_kind": change.new_kind,
        "old_uncorrected_pulls": change.old_uncorrected,
        "new_uncorrected_pulls": change.new_uncorrected,
    }


def _print(result: Rereduction) -> None:
    old, new, unit = result.replaced, result.in_force, result.after.header.unit_read
    reason = f": {new.why}" if new.why else ""
    if not result.is_new:
        out.print(
            "This certificate is already in force: nothing was written to the journal of"
            f" {result.after.folder}. What it changed is shown again:"
        )
    out.print(
        f"Tape {new.certificate.identity}: the certificate of entry {new.sequence} replaces that of"
        f" entry {old.sequence}, by {new.by}{reason}"
    )
    for one, was, now in _lines(result):
        old_words, new_words = was.told(unit), now.told(unit)
        if old_words and new_words:
            out.print(
                f"  {_line_name(one)}: {new_words}, {kind_words(one.new_kind)} (k = 2, 95 %);"
                f" before {old_words}"
            )
    for name in result.entries_changed:
        entry, anew = old.certificate.entries[name], new.certificate.entries[name]
        out.print(f"  {name}: {_shown(entry)} -> {_shown(anew)}")
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("pull of line")
    for name in ("old", "new", "difference"):
        table.add_column(name, justify="right")
    table.add_column("remarks")
    for number, change in enumerate((*result.pulls, *result.lines), start=1):
        table.add_row(*_row(change, unit), end_section=number == len(result.pulls))
    out.print(table)
    lengths = result.after.header.lengths
    out.print(f"Horizontal lengths in {lengths}; difference: new less old; {SLOPE_LEGEND}.")


def _row(change: LengthChange, unit: ReadingUnit) -> tuple[str | Text, ...]:
    name = _line_name(change)
    remarks = [
        f"{when} not corrected: pull {', '.join(map(str, pulls))}"
        for when, pulls in (("old", change.old_uncorrected), ("new", change.new_uncorrected))
        if pulls
    ]
    return (
        Text(f"{name} in all" if change.pull is None else f"{change.pull} of {name}"),
        marked(f"{in_unit(change.old_ft, unit):.4f}", change.old_kind),
        marked(f"{in_unit(change.new_ft, unit):.4f}", change.new_kind),
        f"{in_unit(change.difference_ft, unit):+z.4f}",
        "; ".join(remarks),
    )


def _lines(result: Rereduction) -> list[tuple[LengthChange, LineResult, LineResult]]:
    """Give each line with what its length was good for, and what it is now."""
    before, after = line_results(result.before), line_results(result.after)
    return list(zip(result.lines, before, after, strict=True))


def _line_name(change: LengthChange) -> str:
    run = f", run {change.run}" if change.run > 1 else ""
    return f"{change.line_from}:{change.line_to}{run}"


def _shown(value: object) -> str:
    return "none" if value in (None, "") else str(value)
