"""Puts small faults into a pure room, one at a time, and counts those that its tests notice.

``python -m tests.mutants.mutate ROOM``; needs mutmut (``make mutants PART=ROOM`` installs it),
which makes the faults; `tests.mutants.abreast` tries them. What is mutated is a copy under
``build/mutants``, so that a run that was broken off goes on there, as long as nothing of the room
or its tests has changed. Faults that only change the words of an error or a docstring count as
well. Those that no test noticed are listed in ``build/mutants/ROOM-left.txt``; those that nobody
can notice stand in `tests.mutants.aside`, and are not counted.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from tests.measured.results import ROOT, Figures, digest, keep
from tests.mutants.abreast import NOTICED, RESULTS, all_mutants
from tests.mutants.aside import ASIDE

TESTS = {
    "units": ("test_units_*.py",),
    "tape": ("test_tape_*.py", "test_least_count.py", "test_tolerance.py"),
    "decoding": ("test_decoding*.py",),
    "corrections": ("test_corrections_*.py",),
    "pairing": ("test_pairing_*.py", "test_agreed_and_wrong.py"),
}
"""Tests of each room."""
COPIED = ("calllog", "grammars", "models", "tests")
CONFIG = """[mutmut]
source_paths=
    calllog/{room}
also_copy=
    calllog
    grammars
    models
    tests
    pyproject.toml
"""


def tests_of(room: str) -> list[Path]:
    """Find the files of a room's tests."""
    return sorted(path for each in TESTS[room] for path in (ROOT / "tests").glob(each))


def lay_out(room: str) -> Path:
    """Copy what is needed, with the faults in; the same folder for the same room and tests."""
    told = hashlib.sha256()
    for path in (*sorted((ROOT / "calllog").rglob("*.py")), *tests_of(room)):
        told.update(digest(path).encode())
    folder = ROOT / "build" / "mutants" / f"{room}-{told.hexdigest()[:12]}"
    if folder.is_dir():
        return folder / "mutants"
    made = folder.with_suffix(".part")
    shutil.rmtree(made, ignore_errors=True)
    for name in COPIED:
        left = shutil.ignore_patterns("__pycache__", "audio", "data", "pictures", "*.md")
        shutil.copytree(ROOT / name, made / name, ignore=left if name == "tests" else None)
    shutil.copy(ROOT / "pyproject.toml", made)
    (made / "setup.cfg").write_text(CONFIG.format(room=room), "utf-8")
    subprocess.run([sys.executable, "-m", "tests.mutants.make"], cwd=made, check=True)
    shutil.copy(made / "setup.cfg", made / "mutants")
    made.rename(folder)
    return folder / "mutants"


def figures_of(
    room: str, mutants: Sequence[str], results: Mapping[str, Sequence[str | float]]
) -> Figures:
    """Count what came of the faults that were tried."""
    aside = [name for name in mutants if name in ASIDE]
    tried = {
        name: str(results[name][0]) for name in mutants if name in results and name not in ASIDE
    }
    left = [name for name, state in tried.items() if state not in NOTICED]
    noticed = len(tried) - len(left)
    by_file = Counter(name.rpartition(".x")[0].partition(f"{room}.")[2] for name in left)
    return {
        "faults": len(mutants),
        "set aside, since nobody can notice them": len(aside),
        "tried": len(tried),
        "noticed": noticed,
        "noticed of those tried %": round(100.0 * noticed / max(1, len(tried)), 1),
        "by what came of them": dict(Counter(tried.values()).most_common()),
        "not noticed, by module": dict(by_file.most_common()),
    }


def main(room: str) -> int:
    """Try all faults of a room that were not tried yet, and keep the counts."""
    folder = lay_out(room)
    tests = [str(path.relative_to(ROOT)) for path in tests_of(room)]
    words = [sys.executable, "-m", "tests.mutants.abreast", str(os.cpu_count() or 1), *tests]
    subprocess.run(words, cwd=folder, env=os.environ | {"OMP_NUM_THREADS": "1"}, check=True)
    mutants = all_mutants(folder)
    results = json.loads((folder / RESULTS).read_text("utf-8"))
    left = [name for name in mutants if results[name][0] not in NOTICED and name not in ASIDE]
    (ROOT / "build" / "mutants" / f"{room}-left.txt").write_text("\n".join(left) + "\n", "utf-8")
    keep(room, figures_of(room, mutants, results), n=f"{len(mutants):,} faults")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
