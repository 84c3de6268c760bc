"""What an earlier run left in a folder of reports: removed and named, never anything else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from calllog.commands.page import PagesWanted, write_page
from calllog.commands.report import report
from calllog.errors import ReportError
from calllog.report import MADE, keep_changed, settle, write_workbook
from tests.fieldjob import field_job
from tests.golden.make_segments import HEADER
from tests.test_commands_line import write_job


def made(out: Path, *names: str) -> list[Path]:
    """Write files as a run does."""
    for name in names:
        (out / name).parent.mkdir(exist_ok=True)
        (out / name).write_text(name)
    return [out / name for name in names]


def test_a_run_removes_what_it_made_before_and_does_not_write_again(tmp_path: Path) -> None:
    """Only that: what other runs and people put there stays; emptied folders go too."""
    settle(tmp_path, "log", made(tmp_path, "log.csv"))
    settle(tmp_path, "report", made(tmp_path, "a.csv", "deep/b.xlsx"))
    made(tmp_path, "notes of the office.txt")
    found = settle(tmp_path, "report", made(tmp_path, "a.csv"))
    assert found.removed == (tmp_path / "deep" / "b.xlsx",)
    assert found.words == (f"removed: {tmp_path / 'deep' / 'b.xlsx'}, of an earlier run",)
    left = {path.name for path in tmp_path.iterdir()}
    assert left == {"a.csv", "log.csv", "notes of the office.txt", MADE}
    assert settle(tmp_path, "report", made(tmp_path, "a.csv")).removed == ()


def test_a_file_changed_since_is_left_and_named(tmp_path: Path) -> None:
    """Somebody's work in a workbook is not thrown away; it is said that it may be stale."""
    settle(tmp_path, "report", made(tmp_path, "a.csv", "b.xlsx"))
    (tmp_path / "b.xlsx").write_text("with a remark of the office")
    found = settle(tmp_path, "report", made(tmp_path, "a.csv"))
    assert (found.removed, found.left) == ((), (tmp_path / "b.xlsx",))
    assert "! left: " in found.words[0]


def test_a_file_changed_since_is_kept_where_it_would_be_written_over(tmp_path: Path) -> None:
    """A remark of the office in a table, or a table of its own under that name, stays somewhere."""
    settle(tmp_path, "report", made(tmp_path, "a.csv", "b.csv"))
    for name in ("a.csv", "c.csv", "a.kept.csv"):
        (tmp_path / name).write_text("of the office")
    names = ("a.csv", "b.csv", "c.csv", "d.csv")
    kept = keep_changed(tmp_path, names)
    assert [path.name for path in kept] == ["a.kept1.csv", "c.kept.csv"]
    assert {path.read_text() for path in kept} == {"of the office"}
    found = settle(tmp_path, "report", made(tmp_path, *names), kept=kept)
    assert [words.split(":")[0] for words in found.words] == ["! kept", "! kept"]
    assert str(kept[0]) in found.words[0]
    assert keep_changed(tmp_path, names) == ()


def test_what_an_earlier_program_wrote_without_a_list_is_not_kept(tmp_path: Path) -> None:
    """A folder of before there were lists would fill with tables that nobody changed."""
    made(tmp_path, "lines.csv", "csv-metadata.json")
    assert keep_changed(tmp_path, ["lines.csv"]) == ()
    assert keep_changed(made(tmp_path / "own", "lines.csv")[0].parent, ["lines.csv"]) != ()


def test_a_file_that_cannot_be_kept_stops_the_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is not written over then."""
    made(tmp_path, "lines.csv")

    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(ReportError, match=r"lines\.csv: .*cannot be kept.*--out"):
        keep_changed(tmp_path, ["lines.csv"])


def test_the_report_of_another_job_is_not_replaced_in_silence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two jobs reported into one folder: the second says that the first one's tables are gone."""
    one = write_job(tmp_path / "one", ("A:B", [100]))
    two = write_job(tmp_path / "two", ("A:B", [100]))
    told: dict[tuple[str, str], str] = {}
    for job in (one, one, two, two):
        for word, write in (("tables", report), ("pages", paged)):
            write(job, tmp_path / word)
            told[job.name, word] = told.get((job.name, word), "") + capsys.readouterr().out
    for word in ("tables", "pages"):
        assert "replaced" not in told["one", word]
        assert (
            told["two", word].count("! replaced: what an earlier run wrote there of another") == 1
        )


def paged(job: Path, out: Path) -> None:
    """Write the pages of a job."""
    write_page(job, PagesWanted(folder=out, clips=False))


def test_a_table_that_was_edited_is_kept_by_the_next_report(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whatever a person typed into a table or beside the pages is there after the next run."""
    job, out = write_job(tmp_path / "job", ("A:B", [100])), tmp_path / "out"
    report(job, out)
    (out / "segments.csv").write_text("checked by the office")
    (out / "summary.pdf").write_text("signed and scanned")
    paged(job, out)
    report(job, out)
    assert (out / "segments.kept.csv").read_text() == "checked by the office"
    assert (out / "summary.pdf").read_text() == "signed and scanned"
    assert "segments.kept.csv, which no run wrote so" in capsys.readouterr().out


@pytest.mark.parametrize("name", ["../outside", "/outside", "a/../../outside", ".", "a//b", "x\0"])
def test_a_list_of_a_stranger_reaches_nothing_outside(tmp_path: Path, name: str) -> None:
    """A name in the list that leads out of the folder is passed over, right hash or not."""
    (tmp_path / "outside").write_text("outside")
    out = tmp_path / "out"
    out.mkdir()
    settle(out, "report", made(out, "a"))
    text = (out / MADE).read_text("utf-8")
    digest = json.loads(text)["runs"]["report"]["files"]["a"]
    files = {name: digest}
    document = {"runs": {"report": {"files": files}}}
    (out / MADE).write_text(json.dumps(document))
    assert settle(out, "report", []).removed == ()
    assert (tmp_path / "outside").exists()


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    """A listed folder that is a link now leads to files that are not ours."""
    out, other = tmp_path / "out", tmp_path / "other"
    out.mkdir()
    settle(out, "report", made(out, "deep/b"))
    (out / "deep").rename(other)
    (out / "deep").symlink_to(other)
    assert settle(out, "report", []).removed == ()
    assert (other / "b").exists()


@pytest.mark.parametrize("text", ["", "[]", '{"runs": 3}', '{"runs": {"report": {"files": [1]}}}'])
def test_a_list_that_is_none_counts_as_none(tmp_path: Path, text: str) -> None:
    """Nothing is removed by it, and it is written anew."""
    (tmp_path / MADE).write_text(text)
    assert settle(tmp_path, "report", made(tmp_path, "a")).removed == ()
    assert json.loads((tmp_path / MADE).read_text("utf-8"))["runs"]["report"]["files"]


def test_a_workbook_of_before_there_were_lists_is_known_by_what_it_says(tmp_path: Path) -> None:
    """One that calllog wrote goes; one that somebody else made under its name stays."""
    write_workbook(tmp_path / "segments.xlsx", [], [], [HEADER])
    made(tmp_path, "log.xlsx")
    assert settle(tmp_path, "report", []).removed == (tmp_path / "segments.xlsx",)
    assert settle(tmp_path, "log", []).removed == ()
    assert (tmp_path / "log.xlsx").exists()


def test_a_report_without_a_workbook_leaves_none_behind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The workbook of yesterday would show other totals than the tables of today."""
    job = write_job(tmp_path / "job", ("A:B", [100]))
    report(job, as_xlsx=True, as_parquet=True)
    workbook, dataset = job / "out" / "segments.xlsx", job / "out" / "dataset"
    assert workbook.is_file()
    assert dataset.is_dir()
    capsys.readouterr()
    report(job)
    assert not workbook.exists()
    assert not dataset.exists()
    told = capsys.readouterr().out
    assert f"removed: {workbook}, of an earlier run" in told
    assert f"removed: 6 \u00d7 {dataset}/*/*/*.parquet, of an earlier run" in told
    assert told.count("removed: ") == 2


def test_pages_without_sounds_leave_none_behind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Voices that were left out must not lie beside the pages; nor PDFs of an earlier run."""
    job, out = field_job(tmp_path / "job"), tmp_path / "pages"
    out.mkdir()
    settle(out, "page", made(out, "audio/000001.flac", "day.pdf"))
    write_page(job, PagesWanted(folder=out, clips=False))
    assert not (out / "audio").exists()
    assert not (out / "day.pdf").exists()
    text = capsys.readouterr().out
    assert f"removed: {out / 'day.pdf'}, of an earlier run" in text
    assert f"removed: {out / 'audio' / '000001.flac'}, of an earlier run" in text
