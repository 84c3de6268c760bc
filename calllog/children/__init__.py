"""Processes begun from this one, none of which runs what lies in the current folder; shell.

Whoever looks at a stranger's job may stand in its folder. A Python that is begun there has that
folder first on its path, and would take a stranger's ``multiprocessing.py`` for its own. So every
process is begun here: Pythons in safe mode (``-P``, PYTHONSAFEPATH) with this one's path handed
down but for the current folder, other tools by the folders of PATH that are whole paths.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
from pathlib import Path
from subprocess import DEVNULL, SubprocessError, TimeoutExpired
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from multiprocessing.context import SpawnContext

__all__ = [
    "DEVNULL",
    "SubprocessError",
    "TimeoutExpired",
    "ask_python",
    "ask_tool",
    "begin_python",
    "find_tool",
    "guard",
    "guarded",
    "safe_path",
    "spawning",
]

HOME = Path(__file__).resolve().parents[2]
"""Where this program itself lies: what is there runs already."""
SAFE = "PYTHONSAFEPATH"
PYTHONS_PATH = "PYTHONPATH"
TOOLS_PATH = "PATH"


def safe_path(path: Iterable[str]) -> list[str]:
    """Leave the current folder out of a path, and what is relative to it.

    Kept is the folder in which this program itself lies, where somebody works on it there.
    """
    return [each for each in path if Path(each).is_absolute() and not _is_here(each)]


def _is_here(name: str) -> bool:
    try:
        place = Path(name).resolve()
        return place == Path.cwd().resolve() and place != HOME
    except (OSError, RuntimeError, ValueError):  # the current folder is gone, links in a ring
        return False


def guard() -> None:
    """Keep what lies in the current folder out of this process, and of all that it begins."""
    sys.path[:] = safe_path(sys.path)
    os.environ[SAFE] = "1"
    os.environ[TOOLS_PATH] = _tools_path()


@contextlib.contextmanager
def guarded() -> Iterator[None]:
    """Do so for a while, in which a process is begun that takes path and environment from here."""
    path, before = list(sys.path), {name: os.environ.get(name) for name in (SAFE, TOOLS_PATH)}
    guard()
    try:
        yield
    finally:
        sys.path[:] = path
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


def ask_python(
    *words: str, timeout_s: float, standard_input: bytes | None = None
) -> subprocess.CompletedProcess[bytes]:
    """Let another Python do something, and wait for what it prints.

    Raises:
        OSError: it cannot be begun.
        TimeoutExpired: it took longer, and was ended.
    """
    return subprocess.run(  # noqa: S603 - this interpreter
        _python(words),
        env=_environment(),
        input=standard_input,
        capture_output=True,
        timeout=timeout_s,
        check=False,
    )


def begin_python(*words: str, handed: Sequence[int]) -> subprocess.Popen[bytes]:
    """Begin another Python beside this one, in a session of its own, which says nothing.

    Raises:
        OSError: it cannot be begun.
    """
    return subprocess.Popen(  # noqa: S603 - this interpreter
        _python(words),
        env=_environment(),
        pass_fds=handed,
        stdin=DEVNULL,
        stdout=DEVNULL,
        start_new_session=True,
    )


def find_tool(name: str) -> str | None:
    """Find a program of the system; None where it is not there, or only in the current folder."""
    return shutil.which(name, path=_tools_path())


def ask_tool(tool: str, *words: str, timeout_s: float) -> bytes:
    """Let a program of the system answer, and give what it prints.

    Raises:
        OSError: it cannot be begun.
        SubprocessError: it failed, or took longer.
    """
    asked = [tool, *words]
    return subprocess.run(  # noqa: S603 - a fixed question to the system
        asked, env=_environment(), capture_output=True, timeout=timeout_s, check=True
    ).stdout


def spawning() -> SpawnContext:
    """Give what makes processes that are begun anew, with pipes and locks between them."""
    from calllog.children.spawned import Spawning  # noqa: PLC0415 - what few commands need

    return Spawning()


def _python(words: Sequence[str]) -> list[str]:
    return [sys.executable, "-P", *words]


def _environment() -> dict[str, str]:
    path = os.pathsep.join(each for each in safe_path(sys.path) if os.pathsep not in each)
    return {**os.environ, SAFE: "1", PYTHONS_PATH: path, TOOLS_PATH: _tools_path()}


def _tools_path() -> str:
    return os.pathsep.join(safe_path(os.environ.get(TOOLS_PATH, os.defpath).split(os.pathsep)))
