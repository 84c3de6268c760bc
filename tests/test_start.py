"""Starting: what is not needed is not imported, so that help and small commands come at once."""

from __future__ import annotations

import importlib
import inspect
import json
import resource
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from calllog.cli import COMMANDS, GROUPS

HEAVY = ("numpy", "scipy", "onnxruntime", "fluent", "jinja2", "sounddevice", "vosk")
"""Libraries that take a tenth of a second or more, or a device, to load."""
SLOW_TO_LOAD = (*HEAVY, "pydantic", "multiprocessing", "importlib.metadata")
"""What help has no need of either; typer itself takes the first to say what is wrong."""
HELP_S, TIMES = 0.3, 5
TAPE = Path(__file__).parent.parent / "calllog/demo/tapes/cut-100.toml"
LIVE = ("listen", "JOB", "--tape", str(TAPE), "--line", "Oak:Mill", "--keys-only")
NOT_LIVE = (
    *("onnxruntime", "scipy", "vosk", "jinja2", "uvicorn", "starlette", "pyarrow"),
    *("calllog.office", "calllog.page", "calllog.report", "calllog.recognise.encoder_engine"),
    *("concurrent.futures.process", "typst", "xlsxwriter"),
)
"""What work with a crew has no need of: what hears is in another process, papers come later."""
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


def test_help_takes_a_moment() -> None:
    """What the processor does for it, the least of some times, is within 0.3 s."""
    used_s = []
    for _ in range(TIMES):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        loaded_by(["--help"])
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        used_s.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    assert min(used_s) <= HELP_S


def test_the_list_says_what_the_command_says() -> None:
    """The sentence of the list is the first of the command's own help."""
    for name, told in COMMANDS.items():
        function = getattr(importlib.import_module(f"calllog.commands.{name}"), name)
        said = (inspect.getdoc(function) or "").partition("\n\n")[0]
        assert said.replace("\n", " ") == told, name
    for name, told in GROUPS.items():
        assert importlib.import_module(f"calllog.commands.{name}").commands.info.help == told, name
