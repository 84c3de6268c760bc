"""The program on a computer that has nothing of POSIX's own, and on consoles without Unicode.

Windows is played by this computer (`tests.without_posix`): every module is loaded and commands
work on files there. It was never run on Windows itself.
"""

from __future__ import annotations

import codecs
import io
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from calllog import cli
from calllog.commands.about import read_about
from calllog.commands.tape_file import read_tape
from calllog.commands.terminal import print_json
from calllog.errors import ConfigError
from calllog.plain_signs import in_ascii
from calllog.session.keys import Signer, new_key, read_key, read_signers, signer_line
from calllog.voices.folder import file_of
from tests.test_journal_golden import JOBS

ROOT = Path(__file__).parent.parent
PLAYED = """
import contextlib, importlib, io, json, pkgutil, sys
from tests.without_posix import play_windows
play_windows()
import calllog
left_out = {"calllog.__main__", "calllog.system.posix", "calllog.system.macos"}
names = {each.name for each in pkgutil.walk_packages(calllog.__path__, "calllog.")} - left_out
for name in sorted(names):
    importlib.import_module(name)
from calllog import cli, system
told = []
for words in json.loads(sys.argv[1]):
    sys.argv[1:] = words
    out, err = io.StringIO(), io.StringIO()
    code = 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            cli.main()
        except SystemExit as end:
            code = end.code or 0
    told.append([code, out.getvalue(), err.getvalue()])
print(json.dumps({"modules": len(names), "system": system.SYSTEM.name, "told": told}))
"""
CUT_TAPE = str(ROOT / "calllog/demo/tapes/cut-100.toml")
CORRECT = ("correct", "--tape", CUT_TAPE, "--reading", "83.47ft", "--temperature", "50F")
COMMANDS: Sequence[tuple[Sequence[str], int, str]] = (
    (["--help"], 0, "Listens to a taping crew"),
    (["verify", "job"], 0, "consistent"),
    (["report", "job", "--xlsx"], 0, "segments.csv"),
    (["page", "job", "--out", "pages"], 0, "written: pages/day.html"),
    (["page", "job", "--out", "pages"], 0, "written: pages/day.html"),
    (["line", "job"], 0, "uncertainties are k = 1"),
    (["about", "job", "--client", "Otter Farm", "--by", "R. Field"], 0, "Otter Farm"),
    (["sign", "--new-key", "office.key"], 0, "written: office.key"),
    (["sign", "job", "--by", "R. Field", "--key", "office.key"], 0, "signature good"),
    (["extract", "job", "--out", "log"], 0, "written: log/log.csv"),
    (["rescue", "job", "--out", "again"], 0, "again"),
    (["verify", "again"], 0, "consistent"),
    (["expunge", "job", "--call", "1", "--by", "R. Field", "--why", "asked", "--yes"], 0, "1"),
    (["verify", "job"], 0, "consistent"),
    ([*CORRECT, "--tension", "15lb", "--support", "ends", "--percent", "0%"], 0, "83.4"),
    (["card", "--out", "card.html"], 0, "written: card.html"),
    (["listen", "new", "--tape", CUT_TAPE, "--line", "Oak:Mill", "--page"], 1, "Windows cannot"),
    (["voices"], 0, "No voice"),
)
"""What is done on files, its exit code, and a part of what is told."""


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Load every module and run the commands in a process that plays Windows."""
    folder = tmp_path_factory.mktemp("played")
    shutil.copytree(JOBS[0], folder / "job")
    done = subprocess.run(
        [sys.executable, "-c", PLAYED, json.dumps([list(words) for words, _, _ in COMMANDS])],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    told: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return told


@pytest.mark.slow
def test_every_module_loads_without_posix(played: dict[str, Any]) -> None:
    """No module asks for what one system alone has, but those that are that system's."""
    assert played["system"] == "Windows"
    assert played["modules"] > 200


@pytest.mark.slow
@pytest.mark.parametrize("place", range(len(COMMANDS)), ids=lambda place: COMMANDS[place][0][0])
def test_command_works_on_files_without_posix(played: dict[str, Any], place: int) -> None:
    """Jobs are read, written, locked, rescued and reported where Windows's rules hold."""
    _, code, part = COMMANDS[place]
    ended, out, err = played["told"][place]
    assert ended == code, err
    assert part in out + err


# Consoles without Unicode

SPOKEN_OF: Sequence[Sequence[str]] = (
    ["--help"],
    ["listen", "--help"],
    [*CORRECT, "--tension", "15lb", "--support", "ends", "--percent", "0%"],
    ["convert", "12 ch 45 lk", "--to", "m²"],
    ["line", "job"],
    ["report", "job", "--out", "office"],
    ["verify", "job"],
    ["why", "job", "1"],
    ["consent", "job"],
    ["about", "señal-水-\udcff"],
)
"""Among them the signs of a table, of lengths, of errors, and a name that is no Unicode."""
PRINTED = """
import json, os, sys
from calllog import cli
for words in json.loads(sys.argv[1]):
    sys.argv[1:] = words
    try:
        cli.main()
    except SystemExit as end:
        print("ended:", end.code or 0, flush=True)
"""


@pytest.mark.slow
@pytest.mark.parametrize(
    ("encoding", "sign", "commands"),
    [
        ("ascii", "+-", [*SPOKEN_OF, *([name, "--help"] for name in cli.COMMANDS)]),
        ("cp437", "±", SPOKEN_OF),
        ("utf-8", "<U+DCFF>", SPOKEN_OF[-1:]),
    ],
    ids=["ascii", "cp437", "utf-8"],
)
def test_console_gets_signs_that_it_has(
    encoding: str, sign: str, commands: Sequence[Sequence[str]], tmp_path: Path
) -> None:
    """Every command prints something that can be read, and none ends with a traceback."""
    shutil.copytree(JOBS[0], tmp_path / "job")
    done = subprocess.run(
        [sys.executable, "-c", PRINTED, json.dumps([list(each) for each in commands])],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        timeout=300,
        check=True,
    )
    printed = done.stdout.decode(encoding)
    assert "Traceback" not in printed
    assert "fault of calllog" not in printed
    codes = [line.removeprefix("ended: ") for line in printed.splitlines() if "ended: " in line]
    wrong = [SPOKEN_OF[3], SPOKEN_OF[-1]]
    assert codes == ["1" if each in wrong else "0" for each in commands]
    assert sign in printed


def test_json_stays_what_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    """A sign that the console lacks is escaped, so that a program reads what was meant."""
    document = {"by": "Señal 水 𝄞", "clean": "…"}
    for encoding in ("ascii", "cp437", "utf-8"):
        told = io.BytesIO()
        monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(told, encoding=encoding))
        print_json(document)
        sys.stdout.flush()
        assert json.loads(told.getvalue().decode(encoding)) == document


@pytest.mark.parametrize(
    ("text", "spelled"),
    [
        ("68 °F ± 0.5 ft²", "68 degF +- 0.5 ft^2"),
        ("\u22120.012 … 1:5 000", "-0.012 ... 1:5 000"),
        ("Señal Ångström, ¿por qué?", "Senal Angstrom, ?por que?"),
        ("4½ ⁵", "4<U+00BD> <U+2075>"),  # "412" and "5" would be other figures
        ("水 \ud83d", "<U+6C34> <U+D83D>"),
        ("┏━┓┃█", "+-+|#"),
    ],
)
def test_signs_are_spelled_without_changing_a_figure(text: str, spelled: str) -> None:
    """What has no spelling is shown by its number."""
    assert in_ascii(text) == spelled


# Files from other systems


def test_files_with_other_line_ends_are_read(tmp_path: Path) -> None:
    """As an editor of Windows writes them: CR LF, and a mark before the first letter."""
    tape, about, key = tmp_path / "tape.toml", tmp_path / "about.toml", tmp_path / "key"
    signers = tmp_path / "signers"
    text = Path(CUT_TAPE).read_text("utf-8")
    tape.write_bytes(codecs.BOM_UTF8 + text.replace("\n", "\r\n").encode())
    assert read_tape(tape, date(2026, 6, 1)) == read_tape(Path(CUT_TAPE), date(2026, 6, 1))
    about.write_bytes(codecs.BOM_UTF8 + b'client = "Otter Farm"\r\nproject = "Oak"\r\n')
    assert read_about(about) == read_about_text('client = "Otter Farm"\nproject = "Oak"\n', about)
    made = new_key(key)
    key.write_bytes(key.read_bytes().replace(b"\n", b"\r\n"))
    assert read_key(key, str).public == made.public
    line = signer_line("the office", made.public)
    signers.write_bytes(codecs.BOM_UTF8 + f"# ours\r\n{line}\r\n".encode())
    assert read_signers(signers) == (Signer(frozenset({"the office"}), made.public),)


def read_about_text(text: str, path: Path) -> object:
    """Read facts as a plain file would have them."""
    path.write_text(text, "utf-8", newline="\n")
    return read_about(path)


def test_voice_has_no_name_that_a_system_refuses(tmp_path: Path) -> None:
    """A folder of voices can be carried to any computer."""
    assert file_of("Ash Birch", tmp_path).name == "Ash Birch.voice.json"
    with pytest.raises(ConfigError, match="no name of a device"):
        file_of("con", tmp_path)
