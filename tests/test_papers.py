"""The papers are short, and index, rooms and code agree about what was decided."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
PAPERS = sorted(
    path
    for top in ("calllog", "grammars", "models", "tests")
    for path in (ROOT / top).rglob("*.md")
    if not path.is_symlink()
)
DECISION = re.compile(r"^\*\*(\d+)\.\*\* (.+)$", re.MULTILINE)
"""How a decision begins in its room's paper."""
INDEXED = re.compile(r"^- \[[^]]+\]\(([^)]+)\): (.+)\.$", re.MULTILINE)
CITED = re.compile(r"\bdecisions? (\d+)(?:(?:,| and| to) (\d+))*")
WITHDRAWN = re.compile(r"^Withdrawn [^:]*: ([\d, ]+)\.$", re.MULTILINE)
"""Decisions that hold no more; earlier results may name them, and no number is given again."""
ROOMS = sorted(
    path for path in (ROOT / "calllog").rglob("README.md") if path.parent.name != "commands"
)
"""Papers of rooms; that of the commands has an example of each."""
MEASURED = re.compile(r"\d ?%|\d of [\d,]*\d|\bn\b ?=? ?\d|\d / \d|\[\d+, \d+\]")
"""Shares, counts of trials, and intervals."""
DECIDED = "8702751eacac"
"""Digest of what decisions once rested on."""
LINK = re.compile(r"\]\(([^)#:]+)(?:#[^)]*)?\)")


def decided() -> dict[int, Path]:
    """Find each decision's paper."""
    found: dict[int, Path] = {}
    for path in PAPERS:
        for number, _ in DECISION.findall(path.read_text("utf-8")):
            assert int(number) not in found, f"decision {number} stands twice"
            found[int(number)] = path
    return found


def indexed() -> dict[int, tuple[Path, str]]:
    """Read the index: each decision's paper and title."""
    found: dict[int, tuple[Path, str]] = {}
    for place, entries in INDEXED.findall(DEVELOPERS.partition("## Decisions")[2]):
        for entry in re.split(r"; (?=\d+ )", entries):
            number, _, title = entry.partition(" ")
            found[int(number)] = ROOT / place, title
    return found


@pytest.mark.parametrize(("paper", "most"), [("README.md", 8192), ("DEVELOPERS.md", 12_288)])
def test_paper_is_short(paper: str, most: int) -> None:
    """What grows too long is not read."""
    assert (ROOT / paper).stat().st_size <= most


@pytest.mark.parametrize("path", ROOMS, ids=lambda path: path.parent.name)
def test_paper_of_a_room_is_short_and_types_no_measured_figure(path: Path) -> None:
    """It fits a screen; shares and counts of trials are told by what measures them."""
    text = path.read_text("utf-8")
    assert len(text.encode()) <= 4096
    assert len(text.splitlines()) <= 50
    assert not MEASURED.findall(re.sub(r"```.*?```|`[^`]*`", "", text, flags=re.DOTALL))


def test_what_decisions_rested_on_stays_as_it_was_told() -> None:
    """What is measured now has results of its own; each paragraph is of a decision there is."""
    text = (ROOT / "tests" / "bench" / "DECIDED.md").read_text("utf-8")
    assert hashlib.sha256(text.encode()).hexdigest()[:12] == DECIDED
    assert {int(number) for number in re.findall(r"^\*\*(\d+)\*\*:", text, re.MULTILINE)} <= set(
        decided()
    )


def test_each_decision_stands_once_in_its_room_and_in_the_index() -> None:
    """With the number and the title that the index gives it."""
    stands, listed = decided(), indexed()
    assert sorted(stands) == sorted(listed)
    assert len(stands) > 100
    for number, path in stands.items():
        place, title = listed[number]
        assert path == place, number
        said = dict(DECISION.findall(path.read_text("utf-8")))[str(number)]
        assert said.replace("*", "").startswith(title), number


def test_decisions_that_are_cited_exist() -> None:
    """Code, tests and papers name no decision that nobody made."""
    known = set(decided())
    withdrawn = {
        int(number)
        for path in PAPERS
        for listed in WITHDRAWN.findall(path.read_text("utf-8"))
        for number in listed.split(", ")
    }
    assert not known & withdrawn
    known |= withdrawn
    cited: set[int] = set()
    for path in (*(ROOT / "calllog").rglob("*.py"), *(ROOT / "tests").rglob("*.py"), *PAPERS):
        for found in CITED.finditer(path.read_text("utf-8")):
            cited |= {int(number) for number in re.findall(r"\d+", found[0])}
    assert len(cited) > 10
    assert cited <= known


@pytest.mark.parametrize("path", [ROOT / "README.md", ROOT / "DEVELOPERS.md", *PAPERS], ids=str)
def test_links_lead_somewhere(path: Path) -> None:
    """A paper points at files that are there."""
    for link in LINK.findall(path.read_text("utf-8")):
        assert (path.parent / link).exists(), f"{path}: {link}"


def test_rule_would_notice() -> None:
    """The forms in which decisions are written and cited are seen."""
    assert DECISION.findall("**7.** **So it is.** Because.") == [("7", "**So it is.** Because.")]
    assert CITED.search("see decisions 61 and 62)")
    assert CITED.search("(decision 28)")
    assert all(map(MEASURED.search, ("98.5 %", "7 of 3,000", "(n 200)", "80 / 5", "[0, 6]")))
    assert not MEASURED.search("within 10 s of the key, or 0.5 m of 30 ms")
