"""The built wheel, outside the tree, in an environment of its own."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
import venv
import zipfile
from collections.abc import Iterable
from email import message_from_bytes
from importlib.metadata import distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parent.parent
PIN = re.compile(r"^([A-Za-z0-9._-]+)(?:\[.*?\])?==\S+.*\n    --hash=sha256:", re.MULTILINE)
"""A package of a lock, with the hash of a file."""
CLIP = Path(__file__).parent / "audio" / "flite-rms" / "forty_two.flac"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel from the tree."""
    out = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(out)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    (built,) = out.glob("*.whl")
    return built


def pinned(path: Path) -> set[str]:
    """Name the packages that a lock pins by their hashes."""
    return {canonicalize_name(name) for name in PIN.findall(path.read_text("utf-8"))}


def test_every_extra_is_pinned_with_hashes() -> None:
    """What the program and each extra ask for stands in the lock, or in that of the extra."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    locked = pinned(ROOT / ".requirements.txt")
    asked = {"": project["dependencies"], **project["optional-dependencies"]}
    for extra, requirements in asked.items():
        own = ROOT / ".requirements" / f"{extra}.txt"
        known = locked | (pinned(own) if own.exists() else set())
        names = {canonicalize_name(Requirement(each).name) for each in requirements}
        assert names - {"calllog"} <= known, extra


@pytest.mark.slow
def test_wheel_and_source_are_the_same_whenever_they_are_built(tmp_path: Path) -> None:
    """Byte for byte, in another zone and under another umask, both at the time that is stated."""
    built = []
    for zone, mask in (("UTC", 0o022), ("Pacific/Auckland", 0o077)):
        out = tmp_path / zone.replace("/", "-")
        command = [sys.executable, "-m", "hatchling", "build", "-d", str(out)]
        stated = os.environ | {"TZ": zone, "SOURCE_DATE_EPOCH": "1900000000"}
        subprocess.run(command, cwd=ROOT, check=True, capture_output=True, env=stated, umask=mask)
        built.append({path.name: path.read_bytes() for path in out.iterdir()})
    assert built[0] == built[1]
    assert {Path(name).suffix for name in built[0]} == {".whl", ".gz"}


def needed(requirements: Iterable[str], extras: frozenset[str] = frozenset()) -> set[str]:
    """Name the installed distributions that requirements ask for, and those that these ask for."""
    found: set[str] = set()
    asked = [(Requirement(each), extras) for each in requirements]
    while asked:
        one, wanted = asked.pop()
        marker = one.marker
        if marker and not any(marker.evaluate({"extra": extra}) for extra in (*wanted, "")):
            continue
        if one.name not in found or one.extras:
            found.add(one.name)
            more = distribution(one.name).requires or ()
            asked += [(Requirement(each), frozenset(one.extras)) for each in more]
    return found


def link_needed(wheel: Path, site: Path) -> None:
    """Put what a wheel says that it needs, and nothing else, into an environment, by links."""
    (metadata,) = (
        name for name in zipfile.ZipFile(wheel).namelist() if name.endswith(".dist-info/METADATA")
    )
    told = message_from_bytes(zipfile.ZipFile(wheel).read(metadata))
    for name in needed(told.get_all("Requires-Dist", [])):
        installed = distribution(name)
        for top in {file.parts[0] for file in installed.files or ()} - {"..", "__pycache__"}:
            if not (site / top).exists():
                (site / top).symlink_to(str(installed.locate_file(top)))


@pytest.mark.slow
def test_wheel_carries_data_and_nothing_else(wheel: Path) -> None:
    """Grammars, messages, models, the demo, the spoken words and the licence travel, no tests."""
    names = set(zipfile.ZipFile(wheel).namelist())
    assert "calllog/grammars/en-us-feet.toml" in names
    assert {f"calllog/wording/{code}.ftl" for code in ("en", "es")} <= names
    assert "calllog/session/format-1.ftl" in names
    assert "calllog/grammars/es-metric.toml" in names
    assert any(name.startswith("calllog/models/numbers-en-us/") for name in names)
    assert "calllog/demo/spoken.json" in names
    assert {"calllog/page/page.html.j2", "calllog/page/page.css"} <= names
    assert "calllog/demo/tapes/add-100.toml" in names
    assert {"calllog/readback/words-en-us.ogg", "calllog/readback/words-en-us.json"} <= names
    assert sum(name.endswith(".flac") for name in names) == 3
    assert any(name.endswith("licenses/LICENSE") for name in names)
    assert {name.split("/")[0] for name in names if "dist-info" not in name} == {"calllog"}


@pytest.mark.slow
def test_wheel_hears_and_reports_outside_the_tree(wheel: Path, tmp_path: Path) -> None:
    """Installed alone, the program finds its grammar, hears a call and knows its version."""
    venv.create(tmp_path / "venv")
    python = tmp_path / "venv" / "bin" / "python"
    pip = [sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet"]
    subprocess.run([*pip, "--no-compile", "--no-deps", str(wheel)], check=True, cwd=tmp_path)
    link_needed(wheel, next((tmp_path / "venv" / "lib").glob("python*/site-packages")))
    environment = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}

    def calllog(*words: str) -> str:
        command = [str(tmp_path / "venv" / "bin" / "calllog"), *words]
        done = subprocess.run(
            command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=True
        )
        return done.stdout

    assert calllog("--version").startswith("calllog ")
    heard = json.loads(calllog("hear", "--json", "--expects", "fraction", str(CLIP)))
    assert heard["value"] == "0.42"
    missing = subprocess.run(
        [python, "-c", "import pytest"], check=False, capture_output=True, env=environment
    )
    assert missing.returncode != 0
