"""Whoever stands in a stranger's folder runs nothing that lies there, nor does a child of theirs.

Why it would run: Python puts the current folder first on the path of ``-c`` and ``-m`` ("The
initialization of the sys.path module search path", Python 3.11); ``-P`` and PYTHONSAFEPATH do not.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from calllog import children
from tests.fieldjob import field_job

ROOT = Path(__file__).parent.parent
MARK = "ran"
PLANTED = """
    abc argparse ast asyncio base64 bisect calllog codecs collections concurrent contextlib copy
    ctypes dataclasses datetime decimal email enum evdev fractions functools hashlib heapq importlib
    inspect io json logging multiprocessing numpy operator os pathlib pickle pkgutil
    platform pydantic random re rich runpy scipy segno select selectors shutil signal
    site socket sounddevice soundfile sqlite3 ssl starlette statistics string struct subprocess
    tempfile tests threading tokenize tomllib traceback types typer typing typst unicodedata
    usercustomize uvicorn vosk warnings weakref xlsxwriter zipfile
""".split()
CODE = f"""
import os
with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), {MARK!r}), "a") as mark:
    mark.write(__name__ + " ")
raise SystemExit("a stranger's code ran")
"""
BEGIN = "from calllog.cli import main\nmain()\n"
MAIN = "if __name__ == '__main__':\n    "


def plant(folder: Path, *, but: frozenset[str] = frozenset()) -> Path:
    """Lay modules into a folder that tell when they are run."""
    for name in PLANTED:
        if name not in but:
            (folder / f"{name}.py").write_text(CODE)
    for tool in ("pactl", "timedatectl", "gcc", "cc", "ld", "latex", "objdump"):
        (folder / tool).write_text(f"#!/bin/sh\necho {tool} >> {folder / MARK}\n")
        (folder / tool).chmod(0o755)
    return folder


@pytest.fixture
def stranger(tmp_path: Path) -> Path:
    """Make a stranger's folder: two jobs, and modules and tools that tell when they are run."""
    folder = tmp_path / "from-a-stranger"
    for name in ("day-1", "day-2"):
        field_job(folder / name)
    return plant(folder)


def begin(
    folder: Path, code: str, *words: str, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run a program as the command is run: its own folder is first on the path."""
    script = folder.parent / "bin" / "start.py"
    script.parent.mkdir(exist_ok=True)
    script.write_text(code)
    return subprocess.run(
        [sys.executable, str(script), *words],
        cwd=folder,
        env=surroundings(**environment),
        capture_output=True,
        text=True,
        check=False,
    )


def surroundings(**more: str) -> dict[str, str]:
    """Give the environment of a user who set nothing about paths."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONSAFEPATH"}
    return {**kept, "PYTHONPATH": str(ROOT), **more}


def ran(folder: Path) -> str:
    """Tell what ran of what was planted."""
    mark = folder / MARK
    return mark.read_text() if mark.exists() else ""


def test_reports_of_a_folder_run_nothing_in_it(stranger: Path) -> None:
    """Several jobs are reported by processes that are begun anew."""
    done = begin(stranger, MAIN + BEGIN.replace("\n", "\n    "), "report", ".")
    assert not ran(stranger)
    assert "2 of 2 jobs reported" in done.stdout, done.stderr


def test_reports_run_nothing_where_the_path_names_the_folder(stranger: Path) -> None:
    """An empty place in PYTHONPATH is the current folder; the children do not get it."""
    for name in (*PLANTED,):
        (stranger / f"{name}.py").unlink()
    (stranger / "xlsxwriter.py").write_text(CODE)
    code = MAIN + BEGIN.replace("\n", "\n    ")
    done = begin(stranger, code, "report", ".", "--xlsx", PYTHONPATH=f"{os.pathsep}{ROOT}")
    assert not ran(stranger)
    assert "2 of 2 jobs reported" in done.stdout, done.stderr


def test_module_run_there_takes_nothing_from_there(tmp_path: Path) -> None:
    """``python -m calllog`` itself puts the folder on its path, and takes it off before it acts.

    What Python loads before it looks for the module, and a stranger's calllog in the program's
    place, cannot be guarded against from within; the command `calllog` has neither.
    """
    folder = tmp_path / "from-a-stranger"
    for name in ("day-1", "day-2"):
        field_job(folder / name)
    loaded = [sys.executable, "-I", "-c", "import runpy, sys; print(*sys.modules)"]
    before = subprocess.run(loaded, capture_output=True, text=True, check=True).stdout.split()
    plant(folder, but=frozenset({"calllog", *before}))
    assert (folder / "json.py").exists()
    for module, words, told in (
        ("calllog", ("report", "."), "2 of 2 jobs reported"),
        ("calllog.cli", ("line", "day-1"), "uncertainties are k = 1"),
    ):
        done = subprocess.run(
            [sys.executable, "-m", module, *words],
            cwd=folder,
            env=surroundings(),
            capture_output=True,
            text=True,
            check=False,
        )
        assert not ran(folder)
        assert told in done.stdout, done.stderr


LISTENING = """
    from functools import partial
    from calllog.recognise.worker import Worker
    from tests.test_recognise_worker import Counting
    with Worker(Counting) as worker:
        assert worker.identity
"""
PROBING = """
    from calllog.audio.portaudio import PortAudio
    from calllog.errors import AudioError
    try:
        PortAudio().probe("no such microphone", 1)
    except AudioError:
        pass
    PortAudio().routes()
"""
SERVING = """
    import socket
    from pathlib import Path
    from calllog.phone.desk import Desk
    from calllog.phone.place import Place
    from calllog.session import Job
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with Job.open(Path("day-1")) as job, Desk(job, 1, Place(port=port)) as desk:
        assert desk.is_served
"""
LOOKING = """
    from calllog.commands.check_machine import check_clock
    from calllog.audio.sound_system import load_portaudio
    from calllog.errors import AudioError
    check_clock()
    try:
        load_portaudio()
    except AudioError:
        pass
"""
TRYING = """
    from pathlib import Path
    from calllog.errors import ModelError
    from calllog.recognise.vosk_engine import _try_model
    try:
        _try_model(Path("day-1"), "[]")
    except ModelError:
        pass
"""


@pytest.mark.parametrize("code", [LISTENING, PROBING, SERVING, LOOKING, TRYING], ids=range(5))
def test_no_child_runs_anything_there(stranger: Path, code: str) -> None:
    """Recogniser, trial of a microphone and of a model, chief's page, questions to the system."""
    guarding = "from calllog.children import guard\n    guard()" if code is LOOKING else ""
    done = begin(
        stranger,
        f"{MAIN}{guarding}{code}",
        PATH=os.pathsep.join((".", "", str(stranger), os.environ["PATH"])),
    )
    assert not ran(stranger)
    assert done.returncode == 0, done.stderr


def test_pages_run_nothing_of_the_current_folder(tmp_path: Path, stranger: Path) -> None:
    """Templates and drawings are taken from the program, whatever lies where it is started."""
    done = begin(stranger, BEGIN, "page", "day-1", "--out", str(tmp_path / "page"))
    assert done.returncode == 0, done.stderr
    assert not ran(stranger)
    assert "calllog page" in (tmp_path / "page/line-1.html").read_text("utf-8")


def test_safe_path_leaves_out_the_current_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By whatever name it stands there; all else is kept, in its order."""
    here, other = tmp_path / "here", tmp_path / "other"
    here.mkdir()
    (tmp_path / "link").symlink_to(here)
    monkeypatch.chdir(here)
    given = ["", ".", "lib", str(here), f"{other}/../here", str(tmp_path / "link"), f"{here}/.venv"]
    assert children.safe_path([str(other), *given, "/usr"]) == [str(other), f"{here}/.venv", "/usr"]
    monkeypatch.chdir(children.HOME)
    assert children.safe_path([str(children.HOME)]) == [str(children.HOME)]
    monkeypatch.chdir(here)
    here.rmdir()
    assert children.safe_path(["", str(other)]) == [str(other)]


def test_beginning_a_process_leaves_this_one_as_it_is() -> None:
    """Path and environment are another's only while it is begun."""
    before = (list(sys.path), dict(os.environ))
    process = children.spawning().Process(target=print)
    process.start()
    process.join()
    assert process.exitcode == 0
    assert (list(sys.path), dict(os.environ)) == before


@pytest.mark.parametrize("named", ["", "from calllog import cli\n"])
def test_child_of_the_command_loads_no_commands(tmp_path: Path, named: str) -> None:
    """It has no use for them, and would need a second more; a script of others is loaded again."""
    code = named or "from calllog.cli import main\n"
    told = "import sys; print('calllog.cli' in sys.modules)"
    act = f"p = children.spawning().Process(target=exec, args=({told!r},)); p.start(); p.join()"
    done = begin(tmp_path, f"{code}{MAIN}from calllog import children; {act}")
    assert done.stdout.split() == [str(bool(named))], done.stderr
