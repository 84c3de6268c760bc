"""The command `listen`: a crew in, its calls in a job."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import (
    BarColumn,
    Progress,
    TaskID,
    TaskProgressColumn,
    TextColumn,
    TimeRemainingColumn,
)

from calllog.audio import Recording
from calllog.commands.engine import Engine, EngineOption, ModelOption, open_recogniser
from calllog.commands.stated import (
    SupportOption,
    TemperatureOption,
    TensionOption,
    length_ft,
    support_spans,
)
from calllog.commands.tape_file import DateOption, TapeOption, day_of, read_tape
from calllog.commands.told import CAUTION, print_call, print_end
from calllog.errors import ConfigError
from calllog.resources import DEFAULT_GRAMMAR
from calllog.session import Job, Listener, parse_roles, take_recording
from calllog.tape import Certificate, reading_limit
from calllog.units import parse_force_lbf, parse_temperature_degf
from calllog.values import BookPolicy, CheckPolicy, LineSettings

MOST_TOLERANCE_FT = 1.0
EXACT = 1e-6
"""How far from a whole hundredth a stated tolerance may be, for the arithmetic of floats."""

out = Console(soft_wrap=True, highlight=False)
err = Console(stderr=True, soft_wrap=True, highlight=False)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(listen)


def listen(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    recordings: Annotated[
        list[Path],
        typer.Option("--from", help="A recording; give it again for each one, in order."),
    ],
    tape: TapeOption,
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
    tolerance: Annotated[
        str, typer.Option("--tolerance", help="Greatest difference that agrees: 0.01ft.")
    ] = "0.01ft",
    temperature: TemperatureOption = None,
    tension: TensionOption = None,
    support: SupportOption = None,
    rise: Annotated[
        str | None, typer.Option("--rise", help="Difference of height of the ends: 1.25ft.")
    ] = None,
    on: DateOption = None,
    no_clips: Annotated[bool, typer.Option("--no-clips", help="Keep no sound in the job.")] = False,
    engine: EngineOption = Engine.POCKETSPHINX,
    model: ModelOption = None,
) -> None:
    """Take a recording of a crew into a job; a job that exists is gone on with.

    Example: calllog listen day-1 --from morning.flac --tape otter.toml --line Spring:Oak
    """
    day = day_of(on)
    certificate = read_tape_to_call(tape, day)
    settings = line_settings(certificate, line).model_copy(
        update={
            "policy": check,
            "book": book,
            "tolerance": _tolerance(tolerance, certificate),
            "whole_by": parse_roles([whole])[0],
        }
    )
    stated = _conditions(certificate, temperature, tension, support, rise)
    roles = parse_roles(channels.split(","))
    for path in recordings:
        Recording(path)
    out.print(CAUTION)
    with open_recogniser(engine, model) as (recogniser, parser), Job.open(job_folder) as job:
        listener = Listener(recogniser, parser, roles, keeps_clips=not no_clips)
        job.begin_line(settings, certificate)
        job.use_day(day, is_stated=on is not None)
        job.use_engine(recogniser.identity, DEFAULT_GRAMMAR)
        conditions = job.state.conditions.model_copy(update=stated)
        if conditions.hold == 0 and certificate.hold:
            conditions = conditions.model_copy(update={"hold": certificate.hold})
        if conditions != job.state.conditions:
            job.take(conditions)
        take_recordings(job, recordings, listener)
        print_end(job)


def _conditions(
    certificate: Certificate,
    temperature: str | None,
    tension: str | None,
    support: str | None,
    rise: str | None,
) -> dict[str, float | int]:
    """Read the conditions that were stated; those that were not are left as they stand."""
    stated: dict[str, float | int] = {}
    if temperature is not None:
        stated["temperature_degf"] = parse_temperature_degf(temperature)
    if tension is not None:
        stated["tension_lb"] = parse_force_lbf(tension)
        if not stated["tension_lb"]:
            raise ConfigError(
                f"{tension!r} is no tension", where="--tension", next_step="state more than 0lb"
            )
    if support is not None:
        stated["spans"] = support_spans(support)
    if rise is not None:
        stated["rise_ft"] = length_ft(rise, certificate.foot)
    return stated


def _tolerance(text: str, certificate: Certificate) -> int:
    """Read a tolerance into hundredths of a foot."""
    tolerance_ft = length_ft(text, certificate.foot)
    hundredths = round(tolerance_ft * 100)
    if not 0 <= tolerance_ft <= MOST_TOLERANCE_FT or abs(hundredths - tolerance_ft * 100) > EXACT:
        raise ConfigError(
            f"{text!r} is no tolerance",
            where="--tolerance",
            next_step="state whole hundredths of a foot, from 0ft to 1ft, such as 0.02ft",
        )
    return hundredths


def read_tape_to_call(path: Path, used_on: date) -> Certificate:
    """Read the certificate of a tape whose readings can be called."""
    certificate = read_tape(path, used_on)
    if certificate.nominal_ft > 100:  # noqa: PLR2004 - what the grammar can say
        raise ConfigError(
            f"a {certificate.nominal_ft} ft tape: calls go up to 100 ft",
            where=str(path),
            next_step="use a tape of at most 100 ft",
        )
    return certificate


def line_settings(certificate: Certificate, line: str) -> LineSettings:
    """Settle a line, named by its two points as A:B, with the crew's usual rules."""
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


def take_recordings(job: Job, recordings: list[Path], listener: Listener) -> None:
    """Take recordings into a job, one after the other, telling each call as it comes."""
    with _progress(recordings, is_quiet=not err.is_terminal) as progress:
        for path in recordings:
            duration_s = Recording(path).duration_s
            task = progress.add_task(path.name, total=duration_s)
            taken = take_recording(
                job,
                path,
                listener,
                on_call=print_call,
                on_progress=partial(_advance, progress, task),
            )
            out.print(f"{path.name}: {taken} utterances taken in", markup=False)


def _advance(progress: Progress, task: TaskID, at_s: float) -> None:
    progress.update(task, completed=at_s)


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
