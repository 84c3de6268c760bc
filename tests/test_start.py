"""Starting: what is not needed is not imported, so that help and small commands come at once."""

from __future__ import annotations

import importlib
import inspect
import json
import os
import re
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from calllog.cli import COMMANDS, GROUPS, ONE_THREAD

HEAVY = ("numpy", "scipy", "onnxruntime", "fluent", "jinja2", "sounddevice", "vosk")
"""Libraries that take a tenth of a second or more, or a device, to load."""
SLOW_TO_LOAD = (*HEAVY, "pydantic", "multiprocessing", "importlib.metadata")
"""What help has no need of either; typer itself takes the first to say what is wrong."""
TAPE = Path(__file__).parent.parent / "calllog/demo/tapes/cut-100.toml"
LIVE = ("listen", "JOB", "--tape", str(TAPE), "--line", "Oak:Mill", "--keys-only")
NOT_LIVE = (
    *("onnxruntime", "scipy", "vosk", "jinja2", "uvicorn", "starlette", "pyarrow"),
    *("calllog.office", "calllog.page", "calllog.report", "calllog.recognise.encoder_engine"),
    *("concurrent.futures.process", "typst", "xlsxwriter"),
)
"""What work with a crew has no need of: what hears is in another process, papers come later."""
MOST = (
    (("--help",), 360),
    (("convert", "12 ch 45 lk", "--to", "usft"), 360),
    (("verify", "JOB"), 840),
    (LIVE, 880),
)
"""Commands, and how many modules they import at most, the standard library's too."""
IMPORT_TIME = re.compile(r"^import time: +(\d+) \| +\d+ \| +(\S+)$", re.MULTILINE)
LOADED = """
import json, sys
from calllog import cli
sys.argv[1:] = json.loads(sys.argv[1])
try:
    cli.main()
except SystemExit:
    pass
print()
print(json.dumps(sorted(sys.modules)))
"""


def loaded_by(words: Sequence[str]) -> set[str]:
    """Run a command in a process of its own and give the modules that it loaded."""
    done = subprocess.run(
        [sys.executable, "-P", "-c", LOADED, json.dumps(words)],
        capture_output=True,
        stdin=subprocess.DEVNULL,
        encoding="utf-8",
        timeout=300,
        check=True,
    )
    return set(json.loads(done.stdout.splitlines()[-1]))


@pytest.mark.parametrize(
    ("words", "needless"),
    [
        ([], SLOW_TO_LOAD),
        (["--help"], SLOW_TO_LOAD),
        (["--version"], (*HEAVY, "pydantic")),
        (["lisen"], HEAVY),
    ],
    ids=str,
)
def test_help_loads_no_room(words: list[str], needless: tuple[str, ...]) -> None:
    """The list of commands comes from their names: none is loaded, nor any large library."""
    loaded = loaded_by(words)
    assert not loaded & set(needless)
    rooms = {name for name in loaded if name.startswith("calllog.")}
    assert rooms <= {
        "calllog.children",
        "calllog.cli",
        "calllog.commands",
        "calllog.commands.terminal",
        "calllog.errors",
        "calllog.plain_signs",
        "calllog.plain_text",
        "calllog.program_words",
    }


@pytest.mark.parametrize(
    ("words", "needless"),
    [
        (["convert", "12 ch 45 lk", "--to", "usft"], ("numpy", "fluent", "jinja2", "onnxruntime")),
        (["listen", "--help"], ("onnxruntime", "sounddevice", "scipy", "vosk", "pocketsphinx")),
        (["verify", "."], ("onnxruntime", "sounddevice", "scipy", "rich.markdown")),
    ],
    ids=lambda each: each[0],
)
def test_a_command_loads_what_it_needs(words: list[str], needless: tuple[str, ...]) -> None:
    """Arithmetic loads no ear, help no microphone."""
    assert not loaded_by(words) & set(needless)


def test_work_with_a_crew_loads_no_office(tmp_path: Path) -> None:
    """Up to where keys are asked for, which nobody types here."""
    loaded = loaded_by([*LIVE[:1], str(tmp_path / "job"), *LIVE[2:]])
    assert (tmp_path / "job" / "job.sqlite").exists()
    assert {"calllog.live.loop", "calllog.recognise.worker"} <= loaded
    assert not loaded & set(NOT_LIVE)


@pytest.mark.parametrize(("words", "most"), MOST, ids=["help", "convert", "verify", "listen"])
def test_no_more_is_imported_than_is_needed(
    words: tuple[str, ...], most: int, tmp_path: Path
) -> None:
    """By Python's own list of import times; what takes longest is told where it is too much."""
    command = [sys.executable, "-X", "importtime", "-P", "-m", "calllog"]
    done = subprocess.run(
        [*command, *(str(tmp_path / each) if each == "JOB" else each for each in words)],
        capture_output=True,
        stdin=subprocess.DEVNULL,
        encoding="utf-8",
        timeout=300,
        check=False,
    )
    took = {name: int(own) for own, name in IMPORT_TIME.findall(done.stderr)}
    longest = sorted(took, key=lambda name: -took[name])[:12]
    assert 100 < len(took) <= most, [f"{name} {took[name]} us" for name in longest]


def test_the_list_says_what_the_command_says() -> None:
    """The sentence of the list is the first of the command's own help."""
    for name, told in COMMANDS.items():
        function = getattr(importlib.import_module(f"calllog.commands.{name}"), name)
        said = (inspect.getdoc(function) or "").partition("\n\n")[0]
        assert said.replace("\n", " ") == told, name
    for name, told in GROUPS.items():
        assert importlib.import_module(f"calllog.commands.{name}").commands.info.help == told, name


def test_arithmetic_takes_one_thread_unless_asked_otherwise() -> None:
    """Threads of numpy's libraries that wait for work took half a second of each command."""
    told = """
import os
from calllog import cli
cli.app = lambda: print(*(os.environ[each] for each in cli.ONE_THREAD))
cli.main()
"""
    given = {name: each for name, each in os.environ.items() if name not in ONE_THREAD}
    for asked, expected in (({}, ["1", "1"]), ({ONE_THREAD[0]: "3"}, ["3", "1"])):
        done = subprocess.run(
            [sys.executable, "-P", "-c", told],
            env={**given, **asked},
            capture_output=True,
            encoding="utf-8",
            timeout=300,
            check=True,
        )
        assert done.stdout.split() == expected
