"""Hostile job folders through the commands: refused or harmless; shell.

The commands run in a process of its own with little memory, one folder after another; what a
command must not do is end in a fault of the program, hang, tell what stands outside the folder,
write there, or give a file or a terminal anything that acts.

    python -m tests.torture.hostile_folders FROM UNTIL
"""

from __future__ import annotations

import csv
import json
import random
import re
import resource
import select
import shutil
import subprocess
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from typer.testing import CliRunner

from calllog.cli import app
from calllog.errors import CalllogError
from calllog.journal import Entry
from tests.torture.strangers import CANARY, FOLDERS, sound_job, spoilt, write_journal

SEED = 1126
PATIENCE_S = 300.0
"""Longest that one folder may take."""
MEMORY_BYTES = 6 << 30
COMMANDS = (
    ("verify", "JOB"),
    ("report", "JOB"),
    ("report", "JOB", "--json", "--xlsx"),
    ("extract", "JOB"),
    ("line", "JOB"),
    ("why", "JOB", "1"),
    ("compare", "JOB"),
    ("decide", "JOB", "13", "first"),
    ("sign", "JOB", "--by", "R. Field"),
    ("rescue", "JOB", "--out", "RESCUED"),
)
PAGE = ("page", "JOB")
RESCUED = "rescued"
MOST_BYTES = 1 << 26
"""Of a file that is looked at."""
COMMANDS_EACH = 3
"""Of a spoilt journal, drawn."""
PAGE_EVERY = 10
"""Of spoilt journals; a page takes a second."""
ACTS = re.compile(
    r"<script|<img|<iframe|<object|<embed|<meta http-equiv=.refresh|javascript:", re.IGNORECASE
)
FORMULA = re.compile(r"[=@+\-\t\r]")
NUMBER = re.compile(r"[+-]?[0-9][0-9.eE+-]*")
CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f]")


@dataclass
class Found:
    """What hostile folders came to."""

    tried: int = 0
    """Folders."""
    refused: Counter[str] = field(default_factory=Counter)
    """How many commands gave the declared error, by command."""
    done: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    """What must not happen, in words."""


def case(number: int, folder: Path, sound: Path, entries: list[Entry]) -> tuple[str, Path]:
    """Make a hostile folder; the first ones are odd folders, all others odd journals."""
    job = folder / "job"
    names = list(FOLDERS)
    if number < len(names):
        shutil.copytree(sound, job)
        (folder / "secret.flac").write_text(CANARY)
        (folder / "outside").mkdir()
        (folder / "outside/000001.flac").write_text(CANARY)
        FOLDERS[names[number]](job)
        return names[number], job
    draw = random.Random(SEED + number)  # noqa: S311 - what is spoilt is no secret
    (folder / "secret.flac").write_text(CANARY)
    write_journal(job, spoilt(entries, draw))
    return f"journal {number}", job


def judge(number: int, folder: Path, sound: Path, entries: list[Entry]) -> dict[str, list[str]]:
    """Run the commands on a hostile folder; tell which refused, which did, and what was wrong."""
    name, job = case(number, folder, sound, entries)
    is_odd_folder = number < len(FOLDERS)
    told: dict[str, list[str]] = {"name": [name], "refused": [], "done": [], "wrong": []}
    before = _outside(folder, job)
    draw = random.Random(number)  # noqa: S311 - which commands are run is no secret
    commands = (*COMMANDS, PAGE) if is_odd_folder else draw.sample(COMMANDS, COMMANDS_EACH)
    if not is_odd_folder and number % PAGE_EVERY == 0:
        commands = (*commands, PAGE)
    for words in commands:
        named = {"JOB": str(job), "RESCUED": str(folder / RESCUED)}
        line = [named.get(word, word) for word in words]
        result = CliRunner().invoke(app, line)
        error = result.exception
        said = result.output + (str(error) if isinstance(error, CalllogError) else "")
        wrong = told["wrong"]
        if isinstance(error, CalllogError) or result.exit_code == 1:
            told["refused"].append(words[0])
        elif error is None or isinstance(error, SystemExit):
            told["done"].append(words[0])
        if error is not None and not isinstance(error, (CalllogError, SystemExit)):
            where = traceback.extract_tb(error.__traceback__)[-1]
            ours = [
                each
                for each in traceback.extract_tb(error.__traceback__)
                if "calllog" in each.filename
            ]
            at = ours[-1] if ours else where
            wrong.append(
                f"{words[0]}: {type(error).__name__} {str(error)[:120]!r}"
                f" at {Path(at.filename).name}:{at.lineno}"
            )
        if CANARY in said:
            wrong.append(f"{words[0]}: told a secret")
        if found := CONTROLS.search(said):
            wrong.append(f"{words[0]}: printed {found[0]!r}")
    told["wrong"] += _written(job)
    told["wrong"] += _written(folder / RESCUED)
    if _outside(folder, job) != before:
        told["wrong"].append("something outside the folder was changed")
    return told


def _outside(folder: Path, job: Path) -> dict[str, bytes]:
    """Read all that stands beside a job."""
    return {
        str(path): path.read_bytes() if path.is_file() else b""
        for path in folder.rglob("*")
        if not {job, folder / RESCUED} & {path, *path.parents}
    }


def _written(job: Path) -> Iterator[str]:
    """Look at all plain files of a job."""
    for path in job.rglob("*"):
        if path.is_symlink() or not path.is_file() or path.stat().st_size > MOST_BYTES:
            continue
        content = path.read_bytes()
        if CANARY.encode() in content:
            yield f"{path.name} holds a secret"
        if path.suffix == ".csv":
            yield from _formulas(path)
        if path.suffix == ".html" and (acts := ACTS.search(content.decode("utf-8", "replace"))):
            yield f"{path.name} holds {acts[0]}"


def _formulas(path: Path) -> Iterator[str]:
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.reader(file):
            for cell in row:
                if FORMULA.match(cell.strip()) and not NUMBER.fullmatch(cell):
                    yield f"{path.name} holds the formula {cell[:40]!r}"
                    return


def work(begin: int, end: int) -> None:
    """Judge folders, a line of JSON each; what a process that was begun anew does."""
    csv.field_size_limit(1 << 30)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    with tempfile.TemporaryDirectory() as place:
        sound = Path(place) / "job"
        entries = sound_job(sound)
        for number in range(begin, end):
            with tempfile.TemporaryDirectory() as name:
                told = judge(number, Path(name), sound, entries)
            sys.stdout.write(json.dumps(told) + "\n")
            sys.stdout.flush()


def rage(count: int, begin: int = 0) -> Found:
    """Judge so many folders."""
    found = Found()
    number, end = begin, begin + count
    while number < end:
        command = [sys.executable, "-m", "tests.torture.hostile_folders", str(number), str(end)]
        with subprocess.Popen(
            command, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parents[2]
        ) as child:
            assert child.stdout is not None
            while number < end:
                is_ready, _, _ = select.select([child.stdout], [], [], PATIENCE_S)
                line = child.stdout.readline() if is_ready else ""
                found.tried += 1
                if not line:
                    what = "killed its process" if is_ready else "hung"
                    found.wrong.append(f"folder {number} {what}")
                    number += 1
                    break
                told = json.loads(line)
                found.refused.update(told["refused"])
                found.done.update(told["done"])
                found.wrong += [f"{told['name'][0]} ({number}): {each}" for each in told["wrong"]]
                number += 1
            child.kill()
    return found


if __name__ == "__main__":
    work(int(sys.argv[1]), int(sys.argv[2]))
