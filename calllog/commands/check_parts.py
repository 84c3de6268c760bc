"""Checks of what can be left out: the extras of the package, and the kind of computer; shell.

A part that is not installed is no fault: only what it is for fails. What each looks at is an
argument, so that it can be tried with any other.
"""

import importlib.metadata
import platform
import re
import sys
from collections.abc import Callable, Iterable, Iterator

from calllog import system
from calllog.commands.check import Check, Result
from calllog.commands.check_machine import is_for
from calllog.system import System

PARTS = {
    "cluster": "many jobs on several machines (--scheduler)",
    "keypad": "a keypad of one person's own (listen --keypad)",
    "parquet": "tables as a dataset (report --parquet)",
    "pdf": "pages as PDF (page --pdf)",
    "phone": "the chief's page and the crew's phones (listen --page, --crew-phones)",
    "speech": "a natural voice for read-back (listen --voice piper)",
    "stamp": "time stamps of an authority (stamp)",
    "xlsx": "workbooks (report --xlsx)",
}
"""What each extra for users brings; those for contributors are none of theirs."""
NEEDS_HANDING_DOWN = frozenset({"phone"})
"""What a system without it cannot do, whatever is installed."""
TRIED = ("Linux", "x86_64")
"""The one kind of computer on which the program was run by those who made it."""
_ASKED = re.compile(r"([\w.-]+)(?:\[[^]]*\])?")
_EXTRA = re.compile(r"""extra\s*==\s*['"]([\w-]+)['"]""")


def check_system(here: System | None = None, machine: str = platform.machine()) -> Check:
    """Look what kind of computer it is, and say whether the program was ever run on one."""
    ways = system.SYSTEM if here is None else here
    shown = f"{ways.name}, {machine}"
    if (ways.name, machine) == TRIED:
        return Check("system", Result.OK, shown, facts=shown)
    words = f"{shown}: calllog was written for it too, but never run on one by its makers"
    step = "try it at home first: calllog demo, then a line with your own microphones and keypad"
    return Check("system", Result.WARN, words, step, f"{shown}, never run there")


def check_parts(
    required: Iterable[str] | None = None,
    version_of: Callable[[str], str] = importlib.metadata.version,
    here: System | None = None,
    runs_on: str = sys.platform,
) -> Iterator[Check]:
    """Look at each part that can be left out: is it there, what is missing, what installs it."""
    wanted = importlib.metadata.requires("calllog") if required is None else required
    ways = system.SYSTEM if here is None else here
    packages: dict[str, list[str]] = {}
    for each in wanted or ():
        requirement, _, condition = each.partition(";")
        name, extra = _ASKED.match(requirement.strip()), _EXTRA.search(condition)
        if name is None or extra is None or extra[1] not in PARTS:
            continue
        packages.setdefault(extra[1], []).extend([name[1]] if is_for(condition, runs_on) else [])
    for part, names in sorted(packages.items()):
        is_possible = bool(names) and (ways.hands_down or part not in NEEDS_HANDING_DOWN)
        yield _part(part, names, version_of) if is_possible else _impossible(part, ways)


def _part(name: str, packages: Iterable[str], version_of: Callable[[str], str]) -> Check:
    found, missing = [], []
    for each in packages:
        try:
            found.append(f"{each} {version_of(each)}")
        except importlib.metadata.PackageNotFoundError:
            missing.append(each)
    if not missing:
        return Check(name, Result.OK, PARTS[name], facts=", ".join(found))
    lacks = f"without {', '.join(missing)}"
    step = f"if you want it: pip install 'calllog[{name}]'"
    return Check(name, Result.NONE, f"{PARTS[name]}: {lacks}", step, lacks)


def _impossible(name: str, ways: System) -> Check:
    words = f"{PARTS[name]}: not on {ways.name}"
    return Check(name, Result.NONE, words, facts=f"not on {ways.name}")
