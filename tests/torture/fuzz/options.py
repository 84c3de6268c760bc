"""Options of the commands that correct a length: each works or is refused in words."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
from click.testing import CliRunner
from typer.main import get_command

from calllog.cli import app
from calllog.errors import CalllogError
from tests.torture.fuzz.target import Draw, Target

PROGRAM: Any = get_command(app)
"""Built once: it takes longer than what it runs."""
TAPES = Path(__file__).parents[3] / "calllog" / "demo" / "tapes"
KEPT_JOB = Path(__file__).parents[2] / "golden" / "jobs_2" / "feet"
"""A job that every command that wants one works on a copy of."""
COMMANDS = (("correct", "--reading"), ("layout", "--length"))
LENGTHS = ("87.65ft", "529.81ft", "0.0000001ft", "99999999999999999999ft", "25 m", "-1ft", "0ft")
BOTH: dict[str, tuple[str, ...]] = {
    "--support": ("ends", "throughout", "3", "1000"),
    "--temperature": ("41F", "68C", "2000000F", "-460F"),
    "--tension": ("20lb", "66.7N", "0.6lb", "1000lb", "0.00000000000000000001lb"),
    "--tension-at": ("upper", "lower", "middle"),
    "--rise": ("5ft", "-60ft", "20000000ft"),
    "--angle": ("3deg", "89.9deg"),
    "--percent": ("2.5%", "300%", "10000000%"),
    "--elevation": ("5000ft", "-99999999ft"),
    "--date": ("2131-05-04", "0001-01-01"),
}
ONE: dict[str, dict[str, tuple[str, ...]]] = {
    "correct": {
        "--spans": ("50,37.65ft", "25, 25½ ft", "100,100,36 ft 6 in", "400ft"),
        "--supported": ("37.65ft", "0ft"),
        "--off-line": ("0.5ft", "-80ft"),
    },
    "layout": {"--table": ("",)},
}
"""Of each command its own."""
CERTIFICATES = ("add-100.toml", "full-30m.toml", "zero-in-100.toml")


def state_options(data: bytes) -> None:
    """Run a command with some options as they may be, and one of them as nobody would state it."""
    draw = Draw(data)
    command, first = draw.one_of(COMMANDS)
    words = [command, "--tape", str(TAPES / draw.one_of(CERTIFICATES)), first, draw.one_of(LENGTHS)]
    choices = BOTH | ONE[command]
    chosen, odd = draw.number(2), draw.number()
    for place, (option, values) in enumerate(choices.items()):
        if chosen >> place & 1:
            words += [option, value] if (value := draw.one_of(values)) else [option]
    names = (first, *(name for name, values in choices.items() if values[0]))
    if draw:
        words.append(f"{names[odd % len(names)]}={draw.text()}")
    raised = CliRunner().invoke(PROGRAM, [*words, "--json"]).exception
    if raised is not None and not isinstance(raised, (CalllogError, SystemExit)):
        raise raised


RECKONED = (
    ("parts", "25.02ft", "50 ft 1/4 in", "--whole", "75.04ft"),
    ("rectangle", "60.02ft", "40 ft", "60ft", "40.01ft", "--diagonal", "1:3=72.13ft"),
    ("lot", "A:B=3ch", "B:C=4ch", "C:A=5ch"),
    ("lot", "120.05ft", "85.5ft", "118.2ft", "90.1ft", "--diagonal", "1:3=147.3ft"),
    ("misclosure", "0.33ft", "-2.24ft", "--of", "2614.85 ft \u00b1 0.1 ft"),
)
"""What `reckon` can be asked."""


def reckon(data: bytes) -> None:
    """Reckon with lengths as they may be, and one of the words as nobody would state it."""
    draw = Draw(data)
    what, *words = draw.one_of(RECKONED)
    for option in ("--plus-minus", "--class", "--foot"):
        if draw.number() & 1:
            words += [option, {"--class": "1:5000", "--foot": "us-survey"}.get(option, "0.02ft")]
    if draw:
        words[draw.number() % len(words)] = draw.text()
    raised = CliRunner().invoke(PROGRAM, ["reckon", what, *words, "--json"]).exception
    if raised is not None and not isinstance(raised, (CalllogError, SystemExit)):
        raise raised


def _reckoned() -> Iterator[bytes]:
    odd = ("0ft", "A:B", "1:3=0.000001ft", "=", "9\u00b1", "3ft+-0ft", "1e9ft", "99999999999 mi")
    for what in range(len(RECKONED)):
        for options in range(8):
            yield bytes((what, *(options >> bit & 1 for bit in range(3))))
        for at in range(6):
            for text in odd:
                yield bytes((what, 0, 0, 0, at)) + text.encode()


def _seeds() -> Iterator[bytes]:
    for command in range(len(COMMANDS)):
        for length in range(len(LENGTHS)):
            yield bytes((command, 0, length, 0, 0b111))
        for option in range(12):
            one = (1 << option | 0b111).to_bytes(2, "big")
            for value in range(5):
                yield bytes((command, 0, 1)) + one + bytes((0, 0, 0, 0, value))
                yield bytes((command, 0, 1)) + (1 << option).to_bytes(2, "big") + bytes((0, value))
    yield bytes((0, 1, 4, 0, 0, 2)) + b"100C"


ENOUGH: dict[str, tuple[str, ...]] = {
    "hear": ("missing.wav",),
    "listen": ("new", "--tape", str(TAPES / "add-100.toml"), "--from", "missing.wav"),
    "enroll": ("MARSH", "--clips", "missing"),
    "convert": ("5 ft",),
    "correct": ("--tape", str(TAPES / "add-100.toml"), "--reading", "87.65ft"),
    "layout": ("--tape", str(TAPES / "add-100.toml"), "--length", "87.65ft"),
    "card": (),
    "voices": (),
}
"""What a command needs to end by itself; a job is enough for the others."""
LEFT_OUT = {"demo", "doctor", "stamp"}
"""Half a minute of hearing, a second of sound, and the network, for every case."""
ODD = (
    "",
    "0",
    "-1",
    "nan",
    "99999999999999999999",
    "1:0",
    "\u00b1",
    "a=b",
    ",",
    "2131-13-40",
    "5ft",
)


def _every() -> list[tuple[list[str], list[str], list[str]]]:
    """List every command: its words, its options that want a value, and its flags."""
    found = []
    context = click.Context(PROGRAM)
    for name in PROGRAM.list_commands(context):
        if name in LEFT_OUT:
            continue
        command = PROGRAM.resolve_command(context, [name])[1]
        under = getattr(command, "commands", None)
        for words, each in (
            [([name, sub], it) for sub, it in under.items()] if under else [([name], command)]
        ):
            options = [it for it in each.params if it.param_type_name == "option"]
            wanting = [it.opts[0] for it in options if not it.is_flag]
            flags = [it.opts[0] for it in options if it.is_flag and it.opts[0] != "--help"]
            found.append(([*words, *ENOUGH.get(name, ("job",))], wanting, flags))
    return found


def state_any(data: bytes) -> None:
    """Run any command beside a job, with one option as nobody would state it and some flags."""
    draw = Draw(data)
    words, wanting, flags = draw.one_of(EVERY)
    words = list(words)
    if flags and draw.number() & 1:
        words.append(draw.one_of(flags))
    option = draw.one_of(wanting) if wanting else ""
    odd = draw.one_of(ODD)
    text = odd if not draw else draw.text().replace("/", "").replace("..", "").replace("\0", "")
    words.append(f"{option}={text}" if option else text)
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        shutil.copytree(KEPT_JOB, "job")
        raised = CliRunner().invoke(PROGRAM, words).exception
    if raised is not None and not isinstance(raised, (CalllogError, SystemExit)):
        raise raised


def _any() -> Iterator[bytes]:
    for command, (_, wanting, _) in enumerate(EVERY):
        for option in range(max(1, len(wanting))):
            for odd in range(len(ODD)):
                yield bytes((command, 0, option, odd))


EVERY = _every()
TARGETS = (
    Target("any option of any command", 20_000, state_any, _any, longest=24),
    Target("options of a length", 40_000, state_options, _seeds, longest=32),
    Target("what an office reckons", 20_000, reckon, _reckoned, longest=48),
)
