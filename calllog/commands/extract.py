"""The command `extract`: wanted segments of one or more jobs in one table."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer
from rich import box
from rich.table import Table
from rich.text import Text

from calllog.commands.counting import counted
from calllog.commands.course_options import line_ends
from calllog.commands.many import EXPECTED_EXIT, SchedulerOption, jobs_by_time
from calllog.commands.report import FullOption, XlsxOption
from calllog.commands.terminal import asked_messages, out, print_json_text
from calllog.errors import ConfigError
from calllog.lines import ACCEPTED, Unfinished, WantedSegments
from calllog.office import make_folder, merge_jobs
from calllog.report import SLOPE_LEGEND, LineLog, Written, marked, policy_words, write_line_log
from calllog.values import Booking

DAY = "%Y-%m-%d"


def extract(
    job_folders: Annotated[
        list[Path],
        typer.Argument(
            metavar="JOB...",
            help="Jobs, in the order of their work; a folder stands for all jobs in it, by time.",
        ),
    ],
    folder: Annotated[Path | None, typer.Option("--out", help="Where to write it.")] = None,
    lines: Annotated[
        list[str] | None, typer.Option("--line", help="Only this line, FROM:TO; again for each.")
    ] = None,
    tapes: Annotated[
        list[str] | None, typer.Option("--tape", help="Only this tape's pulls; again for each.")
    ] = None,
    bookings: Annotated[
        list[Booking] | None,
        typer.Option("--booking", help="Only pulls recorded this way; again for each."),
    ] = None,
    accepted: Annotated[
        bool, typer.Option("--accepted", help="Only pulls that agreed or were decided.")
    ] = False,
    first_day: Annotated[
        datetime | None, typer.Option("--first-day", formats=[DAY], help="From this day on.")
    ] = None,
    last_day: Annotated[
        datetime | None, typer.Option("--last-day", formats=[DAY], help="Up to this day.")
    ] = None,
    unfinished: Annotated[
        Unfinished | None,
        typer.Option(
            "--unfinished",
            help="How to count a line that one job left unfinished and another took up.",
        ),
    ] = None,
    as_xlsx: XlsxOption = False,
    is_full: FullOption = False,
    scheduler: SchedulerOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Extract chosen segments of a job, or of several jobs of one line, into one table.

    Pull numbers stay those of each job. Running totals are those of the whole line, whatever is
    left out; what is left out is listed.

    Example: calllog extract day-1 day-2 --line Spring:Oak --accepted --out office
    """
    if accepted and bookings:
        raise ConfigError(
            "--accepted and --booking choose the same thing", next_step="give one of them"
        )
    wanted = WantedSegments(
        lines=tuple(dict.fromkeys(line_ends(line) for line in lines or ())),
        tapes=tuple(tapes or ()),
        bookings=tuple(each for each in Booking if each in ACCEPTED)
        if accepted
        else tuple(bookings or ()),
        first_day=first_day.date().isoformat() if first_day else "",
        last_day=last_day.date().isoformat() if last_day else "",
    )
    folders, is_broken = jobs_by_time(job_folders, scheduler)
    found = merge_jobs(folders, wanted, unfinished)
    files = Written(())
    if folder is not None:
        make_folder(folder)
        files = write_line_log(folder, found, as_xlsx=as_xlsx, is_full=is_full)
    elif as_xlsx:
        raise ConfigError("a workbook needs a place", where="--xlsx", next_step="give --out")
    if as_json:
        print_json_text(found.model_dump_json(indent=2))
    else:
        _print(found)
        for file in files:
            out.print(f"written: {file}")
        for words in files.words:
            out.print(words)
    if is_broken:
        raise typer.Exit(EXPECTED_EXIT)


def _print(found: LineLog) -> None:
    for words in dict.fromkeys(
        f"! {each.job}: {words}" for each in found.segments for words in each.segment.state
    ):
        out.print(words)
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for name in ("job", "line"):
        table.add_column(name)
    for name in ("pull", "read", "horizontal", "total"):
        table.add_column(name, justify="right")
    table.add_column("recorded")
    digits = found.jobs[0].unit_read.digits
    for each in found.segments:
        row = each.segment
        run = f" run {row.run}" if row.run > 1 else ""
        table.add_row(
            Text(each.job),
            Text(f"{row.line_from}:{row.line_to}{run}"),
            str(row.pull),
            f"{row.length_read:.{digits + 1}f}",
            marked(f"{row.horizontal:.4f}", row.distance_kind),
            marked(f"{row.running_total:.4f}", row.running_kind),
            row.booking.value,
        )
    out.print(table)
    for join in found.joins:
        how = "goes on in" if join.goes_on else "is another run in"
        out.print(f"{join.line_from}:{join.line_to} of {join.before} {how} {join.after}.")
    for gap in found.left_out:
        pulls = ", ".join(map(str, gap.pulls))
        out.print(
            f"! Left out, but in the totals: {gap.line_from}:{gap.line_to} of {gap.job},"
            f" pull {pulls}"
        )
    for words in (*_held_by(found), *_certificates_apart(found)):
        out.print(words)
    lengths = found.jobs[0].lengths
    out.print(f"{counted(len(found.segments), 'segment')}, all lengths in {lengths}.")
    policies = [each.segment.book_policy for each in found.segments if each.segment.book_policy]
    if policies:
        out.print(f"{SLOPE_LEGEND}; {policy_words(policies, asked_messages())}.")


def _certificates_apart(found: LineLog) -> list[str]:
    """Say which tapes do not have one certificate in all jobs."""
    lines = []
    for each in found.certificates_apart:
        stated = ", ".join(f"{one.job} {one.value or 'none'}" for one in each.stated)
        lines.append(
            f"! The certificates of tape {each.tape} are not alike, {each.entry}: {stated}"
        )
    return lines


def _held_by(found: LineLog) -> list[str]:
    """Say who held which end in which pulls; nothing where nobody is named."""
    pulls: dict[tuple[str, str, str], list[int]] = {}
    for each in found.segments:
        row = each.segment
        if row.take_head or row.take_rear:
            pulls.setdefault((each.job, row.take_head, row.take_rear), []).append(row.pull)
    return [
        f"Head {head or '?'}, rear {rear or '?'} in the first measurement,"
        f" turned round in the check: {job},"
        f" pull {', '.join(map(str, numbers))}."
        for (job, head, rear), numbers in pulls.items()
    ]
