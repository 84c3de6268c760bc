"""Checks of the computer: packages, terminal, disk, clock, SQLite in; one `Check` each out; shell.

What each looks at is an argument, so that it can be tried with any other.
"""

import importlib.metadata
import os
import platform
import re
import shutil
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from rich.console import Console

from calllog import children
from calllog.commands.check import Check, Result
from calllog.commands.tape_file import RELEASE_YEAR

OLDEST_PYTHON = (3, 11)
LEAST_COLUMNS, LEAST_ROWS = 60, 18
LEAST_MB, ENOUGH_MB = 50, 500
"""Free space: a day of 12,000 calls takes about 200 MB with its clips."""
SLOW_SYNC_S = 0.05
"""A call and what follows are written by two to four syncs, within 0.6 s."""
SYNCS = 9
OLDEST_SQLITE = (3, 22)
"""The first that reads a journal in a folder that cannot be written."""
NETWORK = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "glusterfs", "davfs"}
    | {"fuse.sshfs", "fuse.glusterfs", "fuse.davfs2", "fuse.rclone"}
)
PASSING = frozenset({"overlay", "tmpfs", "ramfs"})
MOUNTS = Path("/proc/self/mountinfo")
_SYSTEM = re.compile(r"""sys_platform\s*([!=]=)\s*['"](\w+)['"]""")
ASK_S = 5.0
"""Longest wait for an answer of the system [s]."""


def check_python(version: tuple[int, ...] = sys.version_info[:3]) -> Check:
    """Look at Python's version."""
    shown = ".".join(map(str, version))
    facts = f"{platform.python_implementation()} {shown}, {platform.platform()}"
    if version < OLDEST_PYTHON:
        return Check("python", Result.FAIL, shown, "install Python 3.11 or newer", facts)
    return Check("python", Result.OK, shown, facts=facts)


def check_packages(
    required: Iterable[str] | None = None,
    version_of: Callable[[str], str] = importlib.metadata.version,
    runs_on: str = sys.platform,
) -> Check:
    """Look whether each package that calllog needs is there, and those held are the ones held."""
    wanted = importlib.metadata.requires("calllog") if required is None else required
    found, wrong = [], []
    for each in wanted or ():
        requirement, _, condition = (part.strip() for part in each.partition(";"))
        match = re.match(r"([\w.-]+)\s*(?:==\s*([\w.]+))?", requirement)
        if match is None or "extra" in condition or not is_for(condition, runs_on):
            continue
        name, held = match.groups()
        try:
            version = version_of(name)
        except importlib.metadata.PackageNotFoundError:
            wrong.append(f"{name} is missing")
            continue
        found.append(f"{name} {version}")
        if held and held != version:
            wrong.append(f"{name} is {version}, not {held}")
    facts = ", ".join([*found, *wrong])
    if wrong:
        step = "install calllog again: make install, or pip install and the name of its wheel"
        return Check("packages", Result.FAIL, "; ".join(wrong), step, facts)
    return Check("packages", Result.OK, f"all {len(found)} there", facts=facts)


def is_for(condition: str, runs_on: str) -> bool:
    """Tell whether a package's condition, if it names a system, names this one or leaves it in."""
    only = _SYSTEM.search(condition)
    return only is None or (only[2] == runs_on) is (only[1] == "==")


def check_terminal(console: Console) -> Check:
    """Look at what the terminal can show."""
    if not console.is_terminal:
        words = "no terminal here: the live screen prints plain lines"
        return Check("terminal", Result.OK, words, facts="none")
    width, height = console.size
    colour = "no colour" if console.no_color else console.color_system or "no colour"
    encoding = console.encoding
    words = f"{width}x{height}, {encoding}, {colour}"
    facts = f"{words}, TERM {os.environ.get('TERM', '')}"
    if width < LEAST_COLUMNS or height < LEAST_ROWS:
        step = f"make the window {LEAST_COLUMNS}x{LEAST_ROWS} or larger, best 80x24"
        return Check("terminal", Result.WARN, f"{words}: small", step, facts)
    if console.is_dumb_terminal:
        step = "set TERM to what the terminal is, such as xterm"
        return Check("terminal", Result.WARN, f"{words}: cannot be drawn on", step, facts)
    if not encoding.lower().startswith("utf"):
        words = f"{words}: signs in plain ASCII"
    return Check("terminal", Result.OK, words, facts=facts)


def nearest_folder(path: Path) -> Path:
    """Find the folder itself, or the one in which it would be made."""
    path = path.absolute()
    return next(each for each in (path, *path.parents) if each.is_dir())


def check_space(folder: Path, free_bytes: Callable[[Path], int] | None = None) -> Check:
    """Look how much space is left."""
    free = shutil.disk_usage(folder).free if free_bytes is None else free_bytes(folder)
    free_mb = free // 1_000_000
    words = f"{free_mb} MB free in {folder}"
    facts = f"{free_mb} MB free"
    if free_mb >= ENOUGH_MB:
        return Check("space", Result.OK, words, facts=facts)
    result = Result.FAIL if free_mb < LEAST_MB else Result.WARN
    step = f"make room, or keep the job on another disk: a day needs up to {ENOUGH_MB} MB"
    return Check("space", result, words, step, facts)


def check_sync(folder: Path, sync: Callable[[int], None] = os.fsync) -> Check:
    """Write as the journal does, and time how long the disk takes to keep it."""
    times_s = []
    try:
        with tempfile.TemporaryFile(dir=folder) as file:
            for _ in range(SYNCS):
                began_s = time.perf_counter()
                file.write(bytes(4096))
                file.flush()
                sync(file.fileno())
                times_s.append(time.perf_counter() - began_s)
    except OSError as error:
        words = f"{folder} cannot be written: {error.strerror}"
        step = "keep the job in a folder that can be written"
        return Check("sync", Result.FAIL, words, step, f"not writable, error {error.errno}")
    typical_s = statistics.median(times_s)
    words = f"a write is kept in {typical_s * 1000:.1f} ms (longest {max(times_s) * 1000:.1f})"
    if typical_s > SLOW_SYNC_S:
        step = "keep the job on another disk: on this one each call waits"
        return Check("sync", Result.WARN, f"{words}: slow", step, words)
    return Check("sync", Result.OK, words, facts=words)


def check_filesystem(folder: Path, mounts: Path = MOUNTS) -> Check:
    """Look what kind of disk the folder is on, as far as the system tells."""
    kind = _kind_of(folder.resolve(), mounts)
    if not kind:
        return Check("filesystem", Result.OK, "not reported by this system", facts="unknown")
    if kind in NETWORK:
        step = "keep the job on a disk of this computer, and copy it afterwards"
        words = f"{kind}: a disk elsewhere, where a journal may be damaged or lock nobody out"
        return Check("filesystem", Result.WARN, words, step, kind)
    if kind in PASSING:
        step = "keep the job where it outlives this system: a real disk, or a mounted volume"
        words = f"{kind}: what is written may be gone when this system ends"
        return Check("filesystem", Result.WARN, words, step, kind)
    return Check("filesystem", Result.OK, kind, facts=kind)


def _kind_of(folder: Path, mounts: Path) -> str:
    try:
        lines = mounts.read_text("utf-8").splitlines()
    except OSError:
        return ""
    kinds = {}
    for line in lines:
        before, _, after = line.partition(" - ")
        point = re.sub(r"\\([0-7]{3})", lambda found: chr(int(found[1], 8)), before.split()[4])
        kinds[Path(point)] = after.split()[0]
    return next((kinds[each] for each in (folder, *folder.parents) if each in kinds), "")


def check_clock(
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
    monotonic: Callable[[], float] = time.monotonic,
    is_set_by_network: Callable[[], bool | None] | None = None,
) -> Check:
    """Look at the day, at whether time goes on, and at who sets the clock."""
    shown = now()
    before_s = monotonic()
    time.sleep(0.01)
    passed_s = monotonic() - before_s
    is_set = (asks_network if is_set_by_network is None else is_set_by_network)()
    known = {True: "set by the network", False: "not set by the network", None: "not told"}[is_set]
    words = f"{shown:%Y-%m-%d %H:%M:%S} UTC, {known}"
    facts = f"{shown:%Y-%m-%d %H:%M} UTC, {known}, 10 ms took {passed_s * 1000:.0f} ms"
    if not 0.005 <= passed_s <= 1.0:  # noqa: PLR2004 - half of it, and a computer that was busy
        step = "restart the computer: intervals cannot be measured"
        return Check("clock", Result.FAIL, f"10 ms took {passed_s * 1000:.0f} ms", step, facts)
    if shown.year < RELEASE_YEAR:
        step = "set date and time: they stand beside every call"
        return Check("clock", Result.FAIL, f"{words}: too early", step, facts)
    if is_set is False:
        step = "compare the clock with a watch before the work"
        return Check("clock", Result.WARN, words, step, facts)
    return Check("clock", Result.OK, words, facts=facts)


def asks_network() -> bool | None:
    """Tell whether the clock is kept by a network; None where nobody can say."""
    asked = children.find_tool("timedatectl")
    if asked is None:
        return None
    try:
        words = ("show", "--property=NTPSynchronized", "--value")
        answer = children.ask_tool(asked, *words, timeout_s=ASK_S)
    except (OSError, children.SubprocessError):
        return None
    return {b"yes": True, b"no": False}.get(answer.strip())


def check_sqlite(folder: Path, version: tuple[int, ...] = sqlite3.sqlite_version_info) -> Check:
    """Look whether SQLite keeps a journal in that folder as calllog wants it (write-ahead log)."""
    shown = ".".join(map(str, version))
    if version < OLDEST_SQLITE:
        step = "install a newer Python, which brings a newer SQLite"
        return Check("sqlite", Result.FAIL, f"{shown} is too old", step, shown)
    try:
        with tempfile.TemporaryDirectory(dir=folder, prefix=".calllog-") as scratch:
            mode = _journal_mode(Path(scratch) / "try.sqlite")
    except (OSError, sqlite3.Error) as error:
        words = f"{shown} cannot keep a journal in {folder}: {error}"
        step = "keep the job in a folder of a local disk that can be written"
        return Check("sqlite", Result.FAIL, words, step, f"{shown}, {type(error).__name__}")
    if mode != "wal":
        step = "keep the job on a local disk"
        words = f"{shown} gives journal mode {mode} in {folder}, not wal"
        return Check("sqlite", Result.FAIL, words, step, f"{shown}, {mode}")
    return Check("sqlite", Result.OK, f"{shown}, write-ahead log works", facts=f"{shown}, wal")


def _journal_mode(path: Path) -> str:
    with closing(sqlite3.connect(path)) as database:
        (mode,) = database.execute("PRAGMA journal_mode=WAL").fetchone()
        with database:
            database.execute("CREATE TABLE entry (sequence INTEGER PRIMARY KEY)")
            database.execute("INSERT INTO entry VALUES (1)")
        return str(mode)
