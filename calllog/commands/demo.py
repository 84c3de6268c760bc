"""The command `demo`: a shipped recording of a made-up crew becomes a job and a report."""

from pathlib import Path
from typing import Annotated

import typer

from calllog import system
from calllog.commands.about import read_about
from calllog.commands.agreeing import agreement
from calllog.commands.course_options import one_line, read_tape_to_call
from calllog.commands.engine import DEFAULT_ENGINE, open_recogniser
from calllog.commands.recorded import hear_recordings
from calllog.commands.report import report_one
from calllog.commands.tape_file import today
from calllog.commands.terminal import asked_messages, out
from calllog.commands.told import CAUTION
from calllog.demo import Day, load_day
from calllog.errors import ConfigError, require_plain
from calllog.office import summarise
from calllog.resources import DEFAULT_GRAMMAR
from calllog.session import Job, Listener
from calllog.values import Role


def demo(
    folder: Annotated[
        Path, typer.Option("--out", help="Where the job is made; a new or empty folder.")
    ] = Path("demo-job"),
) -> None:
    """Turn a shipped recording of a made-up crew into a job and a report.

    Example: calllog demo --out demo-job
    """
    day: Day = load_day()
    out.print(asked_messages()(CAUTION))
    out.print(
        "A day of a made-up crew with synthetic voices: "
        f"{len(day.lines)} lines, left channel head, right channel rear."
    )
    out.print()
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        named = system.quoted(folder.with_name(f"{folder.name}-2"))
        raise ConfigError(
            "the folder is not empty"
            if folder.is_dir()
            else "this is a file, and a job is a folder",
            where=str(folder),
            next_step=f"choose another: calllog demo --out {named}",
        )
    require_plain(folder.name, "--out")
    with (
        open_recogniser(DEFAULT_ENGINE, None) as (recogniser, parser),
        Job.open(folder) as job,
    ):
        job.use_day(today(), is_stated=False)
        job.use_engine(recogniser.identity, DEFAULT_GRAMMAR)
        job.state_about(read_about(day.about), at_start=True)
        agreement(day.voices).record(job, by="the demo")
        for line in day.lines:
            certificate = read_tape_to_call(line.tape, today())
            course = one_line(certificate, line.name)
            course.go_on(job)
            listener = Listener(recogniser, parser, (Role.HEAD, Role.REAR), course, keeps_talk=True)
            hear_recordings(job, [line.recording], listener, asked_messages())
    report_one(summarise(folder), folder / "out")
