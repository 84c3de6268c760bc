"""What a kind of computer can install, by the names of files as a registry lists them."""

from __future__ import annotations

import pytest

from tests.bench import bench_systems
from tests.bench.bench_systems import COMPUTERS, lacking, tags_of

FILES = {
    "apart": (
        "apart-1.0-py3-none-manylinux_2_31_aarch64.manylinux_2_39_aarch64.whl",
        "apart-1.0-py3-none-macosx_15_0_arm64.whl",
    ),
    "newer": ("newer-1.0-py3-none-manylinux_2_39_x86_64.whl", "newer-1.0.tar.gz"),
    "later": ("later-1.0-cp312-abi3-manylinux2014_x86_64.whl", "later-1.0.tar.gz"),
    "pure": ("pure-1.0-py2.py3-none-any.whl",),
    "stable": ("stable-1.0-cp39-abi3-win_amd64.whl", "stable-1.0-cp39-abi3-manylinux1_x86_64.whl"),
}


@pytest.mark.parametrize(
    ("name", "python", "lacks"),
    [
        ("Linux x86_64", "3.11", ["apart*", "later", "newer"]),
        ("Linux x86_64", "3.13", ["apart*", "newer"]),
        ("Linux aarch64", "3.11", ["later", "newer", "stable*"]),
        ("Windows x86-64", "3.11", ["apart*", "later", "newer"]),
        ("macOS 15 arm64", "3.11", ["later", "newer", "stable*"]),
        ("macOS 15 x86-64", "3.11", ["apart*", "later", "newer", "stable*"]),
    ],
)
def test_wheel_fits_a_computer(
    name: str, python: str, lacks: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """By PEP 425, 600 and the stable ABI; a star says that there is no source to build either."""
    monkeypatch.setattr(bench_systems, "files_of", lambda name, _: FILES[name])
    (computer,) = (each for each in COMPUTERS if each.name == name)
    assert lacking(dict.fromkeys(FILES, "1.0"), tags_of(computer, python)) == lacks
