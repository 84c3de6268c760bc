"""Puts small faults into a pure room, one at a time, and counts those that its tests notice.

``python -m tests.mutants.mutate ROOM``; needs mutmut (``make mutants PART=ROOM`` installs it). What
is mutated is a copy under ``build/mutants``, so that a run that was broken off goes on there, as
long as nothing of the room or its tests has changed. Faults that only change the words of an error
or a docstring count as well; those that no test can tell from the sound program stay listed in
``build/mutants/ROOM.txt``.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

from tests.measured.results import ROOT, digest, keep

TESTS = {
    "units": ("test_units_*.py",),
    "tape": ("test_tape_*.py", "test_least_count.py", "test_tolerance.py"),
    "decoding": ("test_decoding.py",),
    "corrections": ("test_corrections_*.py",),
    "pairing": ("test_pairing_*.py", "test_agreed_and_wrong.py"),
}
"""Tests of each room."""
COPIED = ("calllog", "grammars", "models", "tests")
NOTICED = ("killed", "timeout", "caught by type check", "segfault")
CONFIG = """[mutmut]
source_paths=
    calllog/{room}
also_copy=
    calllog
    grammars
    models
    tests
    pyproject.toml
pytest_add_cli_args_test_selection=
{tests}
pytest_add_cli_args=
    -mnot slow
    -pno:cacheprovider
    -ptests.mutants.fresh
timeout_constant=60
"""


def lay_out(room: str) -> Path:
    """Copy what is needed; the same folder for the same room and tests."""
    tests = sorted(path for each in TESTS[room] for path in (ROOT / "tests").glob(each))
    told = hashlib.sha256()
    for path in (*sorted((ROOT / "calllog").rglob("*.py")), *tests):
        told.update(digest(path).encode())
    folder = ROOT / "build" / "mutants" / f"{room}-{told.hexdigest()[:12]}"
    if folder.is_dir():
        return folder
    made = folder.with_suffix(".part")
    shutil.rmtree(made, ignore_errors=True)
    for name in COPIED:
        left = shutil.ignore_patterns("__pycache__", "golden", "audio", "data", "pictures", "*.md")
        shutil.copytree(ROOT / name, made / name, ignore=left if name == "tests" else None)
    text = (ROOT / "pyproject.toml").read_text("utf-8")
    (made / "pyproject.toml").write_text(text, "utf-8")
    listed = "\n".join(f"    tests/{path.name}" for path in tests)
    (made / "setup.cfg").write_text(CONFIG.format(room=room, tests=listed), "utf-8")
    made.rename(folder)
    return folder


def main(room: str) -> int:
    """Run all mutants of a room that have no result yet, and keep the counts."""
    folder = lay_out(room)
    command = [sys.executable, "-m", "mutmut"]
    subprocess.run([*command, "run", "--max-children", "2"], cwd=folder, check=True)
    listed = subprocess.run(
        [*command, "results", "--all", "true"],
        cwd=folder,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    rows = [line.strip().rsplit(": ", 1) for line in listed.splitlines() if ": " in line]
    counts = Counter(state for _, state in rows)
    left = [name for name, state in rows if state not in NOTICED]
    (ROOT / "build" / "mutants" / f"{room}.txt").write_text("\n".join(left) + "\n", "utf-8")
    noticed = sum(counts[state] for state in NOTICED)
    by_file = Counter(name.rpartition(".x")[0].partition(f"{room}.")[2] for name in left)
    keep(
        room,
        {
            "mutants": len(rows),
            "noticed": noticed,
            "noticed %": round(100.0 * noticed / max(1, len(rows)), 1),
            "by what came of them": dict(counts.most_common()),
            "not noticed, by module": dict(by_file.most_common()),
        },
        n=f"{len(rows):,} mutants",
    )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
