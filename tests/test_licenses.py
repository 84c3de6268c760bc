"""Whose work is shipped or asked for, and under which license: nothing is left out."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from tests import make_licenses
from tests.make_licenses import OUT, installed, license_of, listed, pinned

ROOT = Path(__file__).parent.parent
SHIPPED = (ROOT / "models" / "licenses" / "README.md").read_text("utf-8")
WORKS = frozenset({".flac", ".ogg", ".wav", ".npz", ".mdl", ".fst", ".onnx", ".ort", ".bin"})
"""Endings of sounds and of models, which others may have a share in."""


def test_every_package_that_is_pinned_is_listed() -> None:
    """In the version that is pinned, neither more nor less."""
    assert set(listed(OUT.read_text("utf-8"))) == set(pinned())
    assert len(pinned()) > 100


def test_list_says_what_the_packages_say() -> None:
    """Of each that is installed here in the version that is pinned."""
    stated = listed(OUT.read_text("utf-8"))
    here = {one: told for one in pinned() if (told := installed(one)) is not None}
    assert len(here) > 60
    assert {one: stated[one] for one in here} == {
        one: license_of(one.name, told) for one, told in here.items()
    }


@pytest.mark.parametrize(
    ("metadata", "stated"),
    [
        ({"license_expression": "MIT AND PSF-2.0", "license": "x"}, "MIT AND PSF-2.0"),
        ({"license": "APL 2"}, "Apache-2.0"),
        ({"license": "Copyright (c) 2001", "classifier": ["License :: MIT License"]}, "MIT"),
        ({"license": "UNKNOWN", "classifier": ["License :: OSI Approved :: BSD License"]}, "BSD"),
        ({"classifier": ["Programming Language :: Python"]}, ""),
    ],
)
def test_license_is_read_from_metadata(metadata: dict[str, object], stated: str) -> None:
    """An expression counts first, then a short field, then a classifier; a text is no name."""
    assert license_of("any", metadata).startswith(stated)
    assert bool(license_of("any", metadata)) is bool(stated)


def test_no_row_is_typed() -> None:
    """What metadata do not state was read elsewhere, and says where."""
    for name, stated in make_licenses.READ.items():
        assert "(" in stated, name


def test_every_sound_and_model_that_travels_is_listed() -> None:
    """All that goes into the wheel and is no text of ours."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    more = project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    tops = [ROOT / "calllog", *(ROOT / each for each in more)]
    works = [
        path.relative_to(ROOT).as_posix()
        for top in tops
        for path in top.rglob("*")
        if path.suffix in WORKS
    ]
    named = re.findall(r"^\| `([^`]+)` \|", SHIPPED, re.MULTILINE)
    assert len(works) > 6
    assert not [work for work in works if not work.startswith(tuple(named))]
    assert not [each for each in named if not (ROOT / each).exists()]
    told = (ROOT / "models" / "README.md").read_text("utf-8")
    assert all(f"| `{each.removeprefix('models/')}` |" in told for each in more if "models" in each)


def test_texts_of_licenses_travel() -> None:
    """In wheel and source, beside the program's own."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert project["project"]["license-files"] == ["LICENSE", "models/licenses/*"]
    assert "models/licenses" in project["tool"]["hatch"]["build"]["targets"]["sdist"]["include"]
    for name in ("Apache-2.0.txt", "Flite.txt"):
        assert len((ROOT / "models" / "licenses" / name).read_text("utf-8")) > 1000
