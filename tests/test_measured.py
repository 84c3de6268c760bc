"""What was measured is kept in one form, by parts that are all run, and told by nobody's hand."""

from __future__ import annotations

import hashlib
import json
import re
import threading
from pathlib import Path

import pytest
from pydantic import ValidationError

from tests.measured import papers, results, run
from tests.measured.parts import AIMS, BENCH, PARTS, TORTURE, Part
from tests.measured.results import Results, Table, Took, read_results, tables

ROOT = Path(__file__).parent.parent
CORES = 2
KEPT = sorted(path for kind in PARTS for path in papers.FOLDERS[kind].rglob("*.json"))
BEFORE = "1fcd160fbfeb"
"""Digest of the earlier results, which nobody changes or adds to: what is new is measured anew."""


@pytest.mark.parametrize("kind", PARTS)
def test_paper_is_what_the_results_make(kind: str) -> None:
    """No figure is typed there; `make papers` makes it anew."""
    assert papers.PAPERS[kind].read_text("utf-8") == papers.paper(kind)


def test_readme_has_the_newest_figures() -> None:
    """Between its marks; `make papers` fills them."""
    text = papers.README.read_text("utf-8")
    assert {found[2] for found in papers.MARK.finditer(text)} == set(papers.FILLED)
    assert papers.readme(text) == text


def test_readme_types_no_measured_figure() -> None:
    """Shares, levels, times and counts of trials stand between marks, or in a command's output."""
    text = papers.MARK.sub("", papers.README.read_text("utf-8"))
    prose = re.sub(r"```.*?```|`[^`]*`", "", text, flags=re.DOTALL)
    assert not re.findall(r"\d+(?:\.\d+)? ?(?:%|dB|ms|MB|s)\b|\d+ (?:of|in) (?:each )?\d+", prose)


@pytest.mark.parametrize("path", KEPT, ids=lambda path: str(path.relative_to(ROOT)))
def test_results_are_kept_in_one_form(path: Path) -> None:
    """Each file is read, is named for its part, and says what was measured on what."""
    found = read_results(path)
    assert found.part == path.stem
    assert found.text() == path.read_text("utf-8")
    is_before = path.parent.name == papers.BEFORE
    assert (found.build == "") is is_before
    assert bool(found.title) is is_before
    assert re.fullmatch(r"[0-9a-f]{12}\+?", found.commit)


def test_earlier_results_stay_as_they_are() -> None:
    """They are what was told once; a figure that is added by hand would look like one of them."""
    found = hashlib.sha256()
    for path in KEPT:
        if path.parent.name == papers.BEFORE:
            found.update(f"{path.name} {results.digest(path)}\n".encode())
    assert found.hexdigest()[:12] == BEFORE


@pytest.mark.parametrize("kind", PARTS)
def test_every_benchmark_is_a_part(kind: str) -> None:
    """So ``make bench`` and ``make torture`` run each, and each leaves results by its own name."""
    modules = {part.module for part in PARTS[kind]}
    assert all(module.exists() for module in modules)
    if kind == "bench":
        assert {*(ROOT / "tests" / "bench").glob("bench_*.py")} == modules
    names = [part.name for part in PARTS[kind]]
    assert len(set(names)) == len(names)
    for part in PARTS[kind]:
        written = part.module.read_text("utf-8")
        assert f'"{part.name}"' in written, part


def test_bench_is_planned_within_the_hour() -> None:
    """What runs unattended without people's sounds."""
    asked = [part for part in BENCH if results.PEOPLE not in part.command and not part.is_asked]
    timed = sum(part.minutes for part in asked if part.is_timed)
    abreast = sum(part.minutes for part in asked if not part.is_timed) / CORES
    assert timed + abreast <= 60
    assert sum(part.minutes for part in TORTURE) / CORES <= 240


def test_aims_are_of_parts() -> None:
    """Each bounds a figure of a part on one side."""
    for aim in AIMS:
        assert aim.part in {part.name for part in PARTS[aim.kind]}
        assert (aim.most is None) != (aim.least is None)


def test_nested_figures_become_tables() -> None:
    """Single figures, a table of rows and columns, rows named by all that is above them."""
    found = list(
        tables(
            {
                "seconds": 1.23456,
                "is met": True,
                "pair": [1, 2.5],
                "calls": {"quiet": {"right": 9, "wrong": 1}, "wind": {"right": 7}},
                "deep": {"a": {"b": {"n": 1}}, "c": {"n": 2}},
                "flat": {"x": 1, "y": None},
                "nothing": {},
            }
        )
    )
    assert [table.model_dump(exclude={"title"})["rows"] for table in found] == [
        (("seconds", 1.235), ("is met", "yes"), ("pair", "1 / 2.5")),
        (("quiet", 9, 1), ("wind", 7, None)),
        (("a, b", 1), ("c", 2)),
        (("x", 1), ("y", None)),
    ]
    assert found[1].cell("wind", "right") == 7
    with pytest.raises(KeyError):
        found[1].cell("rain", "right")


def test_row_has_a_cell_for_each_column() -> None:
    """A table that lost a cell is refused."""
    with pytest.raises(ValidationError):
        Table(columns=("what", "n"), rows=(("calls",),))


def test_keep_writes_where_it_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Printed always, kept if a folder is named; a folder of people's sounds stays unnamed."""
    monkeypatch.setattr("sys.argv", ["bench", "/somewhere/people", "20"])
    monkeypatch.setenv(results.PEOPLE, "/somewhere/people")
    monkeypatch.delenv(results.FOLDER_NAME, raising=False)
    results.keep("x", {"calls": 3}, n="3 calls", by=__file__)
    assert json.loads(capsys.readouterr().out)["part"] == "x"
    assert not list(tmp_path.iterdir())
    monkeypatch.setenv(results.FOLDER_NAME, str(tmp_path))
    results.keep("x", {"calls": 3}, n="3 calls", by=__file__)
    found = read_results(tmp_path / "x.json")
    assert found.asked == ("PEOPLE", "20")
    assert found.build == results.build()
    assert found.tables[0].rows == (("calls", 3),)


def made(**changed: object) -> Results:
    """Make results."""
    kept: dict[str, object] = {
        "part": "one",
        "measured": "2026-11-29",
        "machine": "two cores",
        "commit": "0123456789ab",
        "build": "b",
        "by": results.digest(Path(__file__)),
        "n": "3",
        "tables": (Table(columns=("what", "figure"), rows=(("calls", 3),)),),
    }
    return Results.model_validate(kept | changed)


def test_parts_are_gone_on_with(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A part with results of this build, by this file, run with these words is not run again."""
    monkeypatch.setitem(papers.FOLDERS, "bench", tmp_path)
    part = Part("one", "One", "", ("tests.test_measured", "2"), 1)
    assert not run.is_done("bench", part, "b")
    for changed, is_done in (
        ({"asked": ("2",)}, True),
        ({"asked": ("3",)}, False),
        ({"asked": ("2",), "build": "c"}, False),
        ({"asked": ("2",), "by": "c"}, False),
    ):
        (tmp_path / "one.json").write_text(made(**changed).text(), "utf-8")
        assert run.is_done("bench", part, "b") is is_done


def test_failed_part_is_told_and_the_next_is_run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Unattended: what goes wrong stops nothing; what lacks people's sounds is no failure."""
    parts = tuple(Part(name, name, "", ("m",), 1) for name in ("broken", "left", "good"))
    answers = {"broken": "ended with 1", "left": "left out: no people", "good": ""}
    monkeypatch.setitem(PARTS, "bench", parts)
    took = Took(seconds=3, processor_s=2)
    monkeypatch.setattr(run, "run", lambda _, part: run.Ended(answers[part.name], took))
    monkeypatch.setattr(run, "keep_what_it_took", lambda *_: None)
    monkeypatch.setattr(run, "is_done", lambda *_: False)
    monkeypatch.setattr(run, "write_papers", lambda: None)
    assert run.main("bench", []) == 1
    told = capsys.readouterr().out.splitlines()
    assert told[-1].endswith("broken")
    assert sum(line.startswith("good") for line in told) == 2
    assert run.main("bench", ["good"]) == 0
    assert run.main("bench", ["none"]) == 2


@pytest.mark.parametrize(
    ("words", "minutes", "trouble"),
    [
        ("", 1.0, ""),
        ("raise SystemExit(3)", 1.0, "ended with 3"),
        ("spend(60)", 0.01, "broken off"),
        ("import signal; signal.signal(signal.SIGTERM, signal.SIG_IGN); spend(60)", 0.01, "broken"),
    ],
    ids=["well", "fails", "hangs", "will not end"],
)
def test_part_is_run_to_its_end_or_broken_off(
    words: str,
    minutes: float,
    trouble: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What it and its children did is counted, and put beside the results that it kept just now."""
    (tmp_path / "slow_part.py").write_text(
        "import subprocess, sys, time\n"
        "def spend(s):\n"
        "    until_s = time.process_time() + s\n"
        "    while time.process_time() < until_s: pass\n"
        "if sys.argv[1:]: sys.exit(spend(0.6))\n"
        "subprocess.run([sys.executable, __file__, 'child'], check=True)\n"
        f"{words}\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setattr(run, "ROOT", tmp_path)
    monkeypatch.setattr(run, "END_S", 2.0)
    monkeypatch.setitem(papers.FOLDERS, "bench", tmp_path)
    part = Part("one", "One", "", ("slow_part",), minutes)
    ended = run.run("bench", part)
    assert ended.trouble.startswith(trouble)
    assert bool(ended.trouble) is bool(trouble)
    if not trouble.startswith("broken"):
        assert ended.took.processor_s >= 1
    path = tmp_path / "one.json"
    path.write_text(made().text(), "utf-8")
    kept_at = path.stat().st_mtime
    run.keep_what_it_took("bench", part, ended.took, kept_at + 1)
    assert read_results(path).took is None
    run.keep_what_it_took("bench", part, ended.took, kept_at)
    assert read_results(path).took == ended.took


@pytest.mark.parametrize(
    ("words", "minutes", "left"),
    [("", 1.0, "new"), ("sys.exit(1)", 1.0, "new"), ("time.sleep(60)", 0.05, "before")],
    ids=["well", "found something", "broken off"],
)
def test_half_a_part_replaces_nothing(
    words: str, minutes: float, left: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a part kept counts once it came to its end: else the whole results of before stay."""
    (tmp_path / "kept_early.py").write_text(
        "import os, pathlib, sys, time\n"
        f"folder = pathlib.Path(os.environ['{results.FOLDER_NAME}'])\n"
        "folder.mkdir(parents=True, exist_ok=True)\n"
        "(folder / 'one.json').write_text('new')\n"
        f"{words}\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setattr(run, "ROOT", tmp_path)
    monkeypatch.setattr(run, "END_S", 2.0)
    folder = tmp_path / "results"
    folder.mkdir()
    (folder / "one.json").write_text("before")
    monkeypatch.setitem(papers.FOLDERS, "bench", folder)
    run.run("bench", Part("one", "One", "", ("kept_early",), minutes))
    assert (folder / "one.json").read_text() == left


def test_parts_that_take_no_times_run_abreast(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tortures, a part for each core, the longest first; each benchmark has the computer alone."""
    parts = tuple(Part(str(n), "", "", ("m",), n) for n in (1, 2, 3))
    both = threading.Barrier(2, timeout=20)
    order: list[str] = []

    def wait(_: str, part: Part) -> run.Ended:
        order.append(part.name)
        if len(order) <= 2:
            both.wait()
        return run.Ended("", Took(seconds=1, processor_s=1))

    for name, value in (("run", wait), ("is_done", lambda *_: False)):
        monkeypatch.setattr(run, name, value)
    for name in ("keep_what_it_took", "write_papers"):
        monkeypatch.setattr(run, name, lambda *_: None)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    monkeypatch.setitem(PARTS, "torture", parts)
    assert run.main("torture", []) == 0
    assert {*order[:2]} == {"3", "2"}
    monkeypatch.setitem(PARTS, "bench", parts)
    order[:] = ["", ""]
    assert run.main("bench", []) == 0
    assert order[2:] == ["1", "2", "3"]


def test_aim_says_whether_it_is_met(monkeypatch: pytest.MonkeyPatch) -> None:
    """A figure above what it should be at most is not met."""
    aim = AIMS[0]
    assert aim.most is not None
    for value, told in ((aim.most, "| yes |"), (aim.most * 2, "| **no** |")):
        table = Table(title=aim.table, columns=("what", aim.column), rows=((aim.row, value),))
        kept = made(part=aim.part, tables=(table,))
        monkeypatch.setattr(papers, "of_part", lambda *_, kept=kept: kept)
        monkeypatch.setattr(papers, "AIMS", (aim,))
        assert told in papers.paper("bench")
