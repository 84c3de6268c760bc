"""Asks the registry what each kind of computer can install: a wheel for every package, or not.

For each system, each Python and each extra for users uv resolves what pip would install there, the
locks' versions first; then each package's files, as the registry lists them, are held against the
tags that such a computer takes (PEP 425, 600 and 691; `packaging.tags`). Nothing is installed.
Needs the network, and uv in ``build/tools`` (``make lock`` puts it there).
Run with ``python -m tests.bench.bench_systems``.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
import urllib.request
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from functools import cache

from packaging.tags import Tag, compatible_tags, cpython_tags, mac_platforms
from packaging.utils import canonicalize_name, parse_wheel_filename
from packaging.version import Version

from calllog.commands.check_parts import PARTS
from tests.measured.results import ROOT, keep

UV = ROOT / "build" / "tools" / "bin" / "uv"
REGISTRY = "https://pypi.org/simple/"
JSON = "application/vnd.pypi.simple.v1+json"
PIN = re.compile(r"^([A-Za-z0-9._-]+)(?:\[.*?\])?==([^\s;\\]+)", re.MULTILINE)
PYTHONS = ("3.11", "3.13", "3.14")
GLIBC = 36
"""Of Debian 12, which Raspberry Pi OS of the same year has too: 2.36."""
OLDEST_GLIBC = 17
MACOS = (15, 0)
AT_ONCE = 6


@dataclass(frozen=True, slots=True)
class Computer:
    """A kind of computer."""

    name: str
    uv: str
    """What uv calls it."""
    platforms: tuple[str, ...]
    """Tags of its files, the best first."""


def linux(machine: str) -> Computer:
    """Describe a Linux of 2023 or later with glibc."""
    tags = [f"manylinux_2_{minor}_{machine}" for minor in range(GLIBC, OLDEST_GLIBC - 1, -1)]
    old = [f"manylinux2014_{machine}"]
    if machine == "x86_64":
        old += [f"manylinux2010_{machine}", f"manylinux1_{machine}"]
    old += [f"manylinux_2_12_{machine}", f"manylinux_2_5_{machine}", f"linux_{machine}"]
    return Computer(f"Linux {machine}", f"{machine}-manylinux_2_{GLIBC}", (*tags, *old))


COMPUTERS = (
    linux("x86_64"),
    linux("aarch64"),
    Computer("Windows x86-64", "x86_64-pc-windows-msvc", ("win_amd64",)),
    Computer("macOS 15 arm64", "aarch64-apple-darwin", tuple(mac_platforms(MACOS, "arm64"))),
    Computer("macOS 15 x86-64", "x86_64-apple-darwin", tuple(mac_platforms(MACOS, "x86_64"))),
)


def tags_of(computer: Computer, python: str) -> frozenset[Tag]:
    """List the tags of what a computer can install."""
    version = tuple(int(each) for each in python.split("."))
    short = "".join(python.split("."))
    return frozenset(
        (
            *cpython_tags(version, [f"cp{short}"], computer.platforms),
            *compatible_tags(version, f"cp{short}", computer.platforms),
        )
    )


def resolved(computer: Computer, python: str, extra: str) -> dict[str, str] | str:
    """Let uv say what is installed there, by name and version, or why nothing can be."""
    words = [
        *(str(UV), "pip", "compile", "--quiet", "--no-header", "--no-annotate", "--no-config"),
        *("--python-platform", computer.uv, "--python-version", python),
        *("--default-index", REGISTRY),
        *("--constraint", str(ROOT / ".requirements.txt")),
    ]
    own = ROOT / ".requirements" / f"{extra}.txt"
    words += ["--constraint", str(own)] if own.exists() else []
    words += ["--extra", extra] if extra else []
    done = subprocess.run(
        [*words, str(ROOT / "pyproject.toml")],
        capture_output=True,
        encoding="utf-8",
        check=False,
        env=_without_indexes(),
    )
    if done.returncode:
        return " ".join(done.stderr.split())
    return dict(PIN.findall(done.stdout))


def _without_indexes() -> dict[str, str]:
    kept = {name: each for name, each in os.environ.items() if not name.startswith(("PIP_", "UV_"))}
    return {**kept, "MACOSX_DEPLOYMENT_TARGET": ".".join(map(str, MACOS))}


@cache
def files_of(name: str, version: str) -> tuple[str, ...]:
    """Ask the registry which files there are of a version; those that were taken back left out."""
    request = urllib.request.Request(  # noqa: S310 - https, by the constant above
        f"{REGISTRY}{canonicalize_name(name)}/", headers={"Accept": JSON}
    )
    with urllib.request.urlopen(request, timeout=120) as answer:  # noqa: S310 - as above
        listed = json.load(answer)["files"]
    wanted = Version(version)
    return tuple(
        each["filename"]
        for each in listed
        if not each.get("yanked") and _version_of(each["filename"], name) == wanted
    )


def _version_of(filename: str, name: str) -> Version | None:
    with suppress(ValueError):  # some old names are none
        if filename.endswith(".whl"):
            return parse_wheel_filename(filename)[1]
    found = re.fullmatch(r"(.+)-([^-]+)\.(?:tar\.gz|zip)", filename)
    is_its = found is not None and canonicalize_name(found[1]) == canonicalize_name(name)
    with suppress(ValueError):
        return Version(found[2]) if found is not None and is_its else None
    return None


def lacking(packages: Mapping[str, str], tags: frozenset[Tag]) -> list[str]:
    """Name the packages that have no wheel for such a computer; ``*``: nor a source to build."""
    found = []
    for name, version in packages.items():
        files = files_of(name, version)
        wheels = [each for each in files if each.endswith(".whl")]
        if any(tags & parse_wheel_filename(each)[3] for each in wheels):
            continue
        found.append(name if len(wheels) < len(files) else f"{name}*")
    return sorted(found)


def said(computer: Computer, python: str, extra: str) -> str:
    """Say in one cell whether an extra installs there."""
    packages = resolved(computer, python, extra)
    if isinstance(packages, str):
        return f"no: {_reason(packages)}"
    missing = lacking(packages, tags_of(computer, python))
    if not missing:
        return f"{len(packages)}"
    if any(each.endswith("*") for each in missing):
        return f"no: {', '.join(each.rstrip('*') for each in missing)}"
    return f"{len(packages)}, built there: {', '.join(missing)}"


def _reason(error: str) -> str:
    """Name the package that has nothing for a computer, out of what uv says."""
    found = re.search(r"Because (\S+) has no wheels", error)
    return found[1] if found else error[:120]


def extras() -> Iterable[str]:
    """Name the extras for users, after the program without any."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    known = set(project["optional-dependencies"])
    assert set(PARTS) <= known
    return ("", *sorted(PARTS))


def main() -> None:
    """Ask about all of it."""
    if not UV.exists():
        sys.exit(f"{UV} is not there: make lock")
    asked = [
        (each, python, extra) for python in PYTHONS for extra in extras() for each in COMPUTERS
    ]
    with ThreadPoolExecutor(AT_ONCE) as pool:
        cells = dict(zip(asked, pool.map(lambda each: said(*each), asked), strict=True))
    tables = {
        f"Python {python}: packages with a wheel": {
            extra or "calllog": {each.name: cells[each, python, extra] for each in COMPUTERS}
            for extra in extras()
        }
        for python in PYTHONS
    }
    keep(
        "systems",
        tables,
        n=f"{len(COMPUTERS)} kinds of computer, {len(PYTHONS)} Pythons, {len(PARTS)} extras",
        remark="A figure is the number of packages, each with a wheel; built there: source alone, "
        "so that a compiler may be needed; no: neither, or what is asked for is not to be had. A "
        "part that a system cannot use asks for nothing more there (keypad anywhere but on Linux; "
        "nor does calllog for Vosk on macOS).",
    )


if __name__ == "__main__":
    main()
