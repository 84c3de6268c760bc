"""The command `doctor`: is everything there for a day's work, and what does a bug report need."""

from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from calllog import __version__
from calllog.commands.check import Check, Result
from calllog.commands.check_machine import (
    check_clock,
    check_filesystem,
    check_packages,
    check_python,
    check_space,
    check_sqlite,
    check_sync,
    check_terminal,
    nearest_folder,
)
from calllog.commands.check_parts import check_parts, check_system
from calllog.commands.check_sound import (
    SAID,
    check_devices,
    check_listener,
    check_microphone,
    check_synthesiser,
    check_vosk,
)
from calllog.commands.terminal import asked_words, out, print_json
from calllog.readback import choose_voice
from calllog.resources import read_grammar
from calllog.spoken import say
from calllog.values import Kind

OTHERS = ("es-feet",)
"""Grammars of the languages besides English that calllog hears; each ear is looked at."""
STYLES = {Result.OK: "", Result.WARN: "yellow", Result.FAIL: "bold red", Result.NONE: "dim"}


def doctor(
    job_folder: Annotated[
        Path, typer.Option("--job", help="The folder where the job is, or will be.")
    ] = Path(),
    microphone: Annotated[
        str | None,
        typer.Option("--microphone", help="Part of its name; the default one if left out."),
    ] = None,
    model: Annotated[Path | None, typer.Option("--model", help="Folder of a Vosk model.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Check devices, engines, disk and clock; it listens for one second and keeps nothing.

    An optional part that is missing (NONE) is shown with what installs it.

    Example: calllog doctor --job day-1
    """
    checks = []
    for check in run_checks(job_folder, microphone, model):
        checks.append(check)
        if not as_json:
            _print(check)
    is_well = all(each.result is not Result.FAIL for each in checks)
    report = bug_report(checks)
    if as_json:
        print_json(_document(checks, report, is_well=is_well))
    else:
        out.print()
        needed = "What a bug report needs (no names of people or devices, no paths):"
        out.print(asked_words().say(needed))
        for line in report:
            out.print(f"  {line}")
    if not is_well:
        raise typer.Exit(1)


def run_checks(job_folder: Path, microphone: str | None, model: Path | None) -> Iterator[Check]:
    """Look at one thing after the other."""
    grammar = read_grammar()
    others = [each for each in map(read_grammar, OTHERS) if each.language != grammar.language]
    folder = nearest_folder(job_folder)
    yield check_python()
    yield check_system()
    yield check_packages()
    yield check_terminal(out)
    yield check_devices()
    yield check_microphone(microphone)
    yield check_listener(grammar)
    for each in others:
        yield check_listener(each)
    if model is not None:
        yield check_vosk(model, grammar)
    yield check_synthesiser()
    for each in others:
        choose = partial(choose_voice, language=each.language)
        said = say(each, Kind.WHOLE, SAID)
        yield check_synthesiser(choose, name=f"voice-{each.language}", number=said)
    yield check_space(folder)
    yield check_sync(folder)
    yield check_filesystem(folder)
    yield check_sqlite(folder)
    yield check_clock()
    yield from check_parts()


def bug_report(checks: Sequence[Check]) -> tuple[str, ...]:
    """Write what a bug report needs: versions and facts, no names of people or devices."""
    return (
        f"calllog {__version__}",
        *(f"{each.result.value:4} {each.name}: {each.facts}" for each in checks),
    )


def shorten(text: str, home: Path | None = None) -> str:
    """Write the home folder as ``~``."""
    folder = str(home or Path.home())
    return text if folder == "/" else text.replace(folder, "~")


def _print(check: Check) -> None:
    say = asked_words().say
    out.print(
        f"{check.result.value:4} {check.name:<12} {shorten(say(check.words))}",
        style=STYLES[check.result],
    )
    if check.next_step:
        step = shorten(say(check.next_step))
        out.print(f"{'':17} {say('next:')} {step}")


def _document(
    checks: Sequence[Check], report: Sequence[str], *, is_well: bool
) -> dict[str, object]:
    return {
        "format": "calllog-doctor",
        "version": 1,
        "is_well": is_well,
        "checks": [
            {
                "name": each.name,
                "result": each.result.value,
                "words": shorten(each.words),
                "next_step": shorten(each.next_step),
            }
            for each in checks
        ],
        "bug_report": list(report),
    }
