"""The command `hear`: what is heard in sound files, one call a file."""

from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.engine import (
    DEFAULT_ENGINE,
    EngineOption,
    GrammarOption,
    ModelOption,
    open_recogniser,
)
from calllog.commands.knowing import VoicesOption, require_encoder
from calllog.commands.terminal import err, out, print_json
from calllog.errors import CalllogError
from calllog.hearing import FileHeard, hear_file
from calllog.resources import DEFAULT_GRAMMAR
from calllog.values import Expectation
from calllog.voices import read_voice, voices_folder


def hear(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Sound files.")],
    expects: Annotated[
        Expectation, typer.Option("--expects", help="What the caller is expected to say.")
    ] = Expectation.ANY,
    tape_ft: Annotated[
        int, typer.Option("--tape-ft", min=1, max=100, help="Length of the tape, whole feet.")
    ] = 100,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print one JSON line for each file.")
    ] = False,
    engine: EngineOption = DEFAULT_ENGINE,
    model: ModelOption = None,
    grammar: GrammarOption = None,
    speaker: Annotated[
        str | None, typer.Option("--speaker", help="Whose voice it is (calllog enroll).")
    ] = None,
    voices: VoicesOption = None,
) -> None:
    """Say what is heard in each file, one call per file.

    Example: calllog hear --expects whole --json tests/audio/flite-slt/fifteen.flac
    """
    failed = False
    named = grammar or DEFAULT_GRAMMAR
    known = {}
    if speaker is not None:
        require_encoder(engine, "--speaker")
        voice = (read_voice(speaker, voices_folder(voices)).voice,)
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
        raise typer.Exit(1)


def _print_heard(result: FileHeard) -> None:
    said = result.text or "nothing"
    value = f" = {result.value}" if result.value else ""
    out.print(
        f"{result.file}: {said}{value} ({result.kind or 'no call'}, {result.probability:.0%}), "
        f"{result.outcome.value}{': ' + result.reason if result.reason else ''}"
    )
