"""What no disk took when the work ended: kept elsewhere, told, and given back to its job."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest

from calllog.errors import JournalError
from calllog.journal import Entry, Journal
from calllog.live import spill as spilling
from calllog.live.spill import kept_folder, left_behind, read_spill, spill, spilt_lines
from calllog.office import summarise
from calllog.office.summary import verify_job
from calllog.session import Job
from calllog.spoken import Parser
from calllog.values import Choice, Conditions, Decision
from tests.crew import settings as line
from tests.terminal import PATIENCE_S, Terminal, wait_for
from tests.test_field import LISTEN
from tests.test_session_job import AGREED, STOPPED, TAPE, PaperClock, calls


@pytest.fixture(autouse=True)
def _temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Have a temporary folder of its own, and one for what outlives the program."""
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "elsewhere"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def unfinished(folder: Path, parser: Parser, *spoken: str, kept: int) -> Job:
    """Make a job whose disk takes the first calls, and not the rest; it is left open."""
    job = Job.open(folder, PaperClock())
    job.begin_line(line(), TAPE)
    job.kept.is_patient = True
    for place, call in enumerate(calls(parser, *spoken)):
        if place == kept:
            folder.rename(folder.with_name("away"))
        job.record(call)
    return job


def put_back(job: Job) -> None:
    """End the work, then bring the disk back."""
    job.close()
    job.folder.with_name("away").rename(job.folder)


def test_what_was_not_saved_is_given_back(tmp_path: Path, parser: Parser) -> None:
    """Each call, what followed and its time are in the job as if the disk had taken them."""
    job = unfinished(tmp_path / "job", parser, *AGREED, kept=3)
    path = spill(job.kept.newest, job.folder)
    assert path is not None
    assert path.stat().st_mode & 0o777 == 0o600
    put_back(job)
    assert left_behind(job.folder) == path
    assert summarise(job.folder).replay.segments == []
    for _ in range(2):  # a second time it changes nothing
        with Job.open(job.folder, unsaved=read_spill(path)) as again:
            assert [each.length_read_ft for each in again.replay.segments] == [15.42]
            assert [each.text for each in again.replay.calls] == [
                each.partition(": ")[2] for each in AGREED
            ]
    assert left_behind(job.folder) is None
    assert verify_job(job.folder).ok
    with Journal.open(job.folder, read_only=True) as journal:
        times = [entry.time_utc for entry in journal.entries()]
    assert times == sorted(times)


def test_consequences_alone_are_given_back(
    tmp_path: Path, parser: Parser, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A call that was written just before the fault gets what followed from it once."""
    job = Job.open(tmp_path / "job", PaperClock())
    job.begin_line(line(), TAPE)
    *first, last = calls(parser, *AGREED)
    for call in first:
        job.record(call)
    job.kept.is_patient = True
    add = Journal.add

    def add_and_go(journal: Journal, entry: Entry) -> None:
        add(journal, entry)
        job.folder.rename(tmp_path / "away")

    with monkeypatch.context() as patched:
        patched.setattr(Journal, "add", add_and_go)
        job.record(last)
    path = spill(job.kept.newest, job.folder)
    assert path is not None
    assert [entry.kind for entry in read_spill(path)][-2:] == ["call", "segment"]
    put_back(job)
    Job.open(job.folder, unsaved=read_spill(path)).close()
    with Journal.open(job.folder, read_only=True) as journal:
        assert [entry.kind for entry in journal.entries()].count("segment") == 1
    assert verify_job(job.folder).ok


def test_another_jobs_entries_are_refused(tmp_path: Path, parser: Parser) -> None:
    """Nothing of another job gets in, nor what comes too late because the work went on."""
    job = unfinished(tmp_path / "job", parser, *AGREED, kept=3)
    path = spill(job.kept.newest, job.folder)
    assert path is not None
    put_back(job)
    with Job.open(tmp_path / "other") as other:
        other.begin_line(line(), TAPE)
    with pytest.raises(JournalError, match="does not follow this job's last entry"):
        Job.open(tmp_path / "other", unsaved=read_spill(path))
    with Job.open(job.folder) as again:
        again.record(Conditions())
    with pytest.raises(JournalError, match="before any other work on it"):
        Job.open(job.folder, unsaved=read_spill(path))
    assert verify_job(job.folder).ok
    assert verify_job(tmp_path / "other").ok


def test_file_that_is_something_else_is_an_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It says which file, and what to name."""
    for content in (b"not json\n", b'{"sequence": 1}\n', b"\xff\xfe"):
        (tmp_path / "file").write_bytes(content)
        with pytest.raises(JournalError, match="none that calllog wrote; name the file"):
            read_spill(tmp_path / "file")
    with pytest.raises(JournalError, match="No such file"):
        read_spill(tmp_path / "none")
    monkeypatch.setattr(spilling, "MOST_BYTES", 1)
    with pytest.raises(JournalError, match="more than 1 bytes"):
        read_spill(tmp_path / "file")
    kept_folder().mkdir(0o700, parents=True)
    (kept_folder() / "calllog-unsaved-job-x.jsonl").write_text("not json")
    Journal.create(tmp_path / "job").close()
    assert left_behind(tmp_path / "job") is None


def test_nowhere_to_write_is_told(
    tmp_path: Path, parser: Parser, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without any disk the calls are at least told in full, with their times."""
    job = unfinished(tmp_path / "job", parser, *STOPPED, kept=3)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "nothing"))
    (tmp_path / "state").write_text("a file in the folder's place")
    job.record(Decision(pull=1, choice=Choice.FIRST, by="chief"))
    assert spill(job.kept.newest, job.folder) is None
    first, second, decided = spilt_lines(job.kept.unsaved)
    put_back(job)
    assert first.startswith("2131-05-04T08:00:0")
    assert "sixteen" in first
    assert "forty two" in second
    assert "decided by chief" in decided


@pytest.mark.slow
def test_program_that_ends_while_the_folder_is_gone(tmp_path: Path) -> None:
    """In a terminal: a stop is shown, the calls printed, the exit code tells; all is given back."""
    job, away = tmp_path / "job", tmp_path / "away"
    env = {**os.environ, "TMPDIR": tempfile.gettempdir()}
    command = (*LISTEN, str(job), "--keys-only", "--output", "none", "--date", "2131-05-04")
    first = Terminal(env, *command)
    try:
        wait_for(lambda: b"next" in first.seen, first)
        first.type("33.\r")
        wait_for(lambda: b"33" in first.seen, first)
        job.rename(away)
        first.type("87\r+")
        wait_for(lambda: b"2 calls are not on disk" in first.seen, first)
        assert first.end() == 1
        assert b"87" in first.seen.rpartition(b"These calls are not on disk:")[2]
        assert b"--unsaved" in first.seen
    finally:
        first.close()
    away.rename(job)
    path = left_behind(job)
    assert path is not None
    refused = Terminal(env, *command)
    try:
        assert refused.program.wait(PATIENCE_S) == 1
        wait_for(lambda: b"--unsaved" in refused.seen, refused)
    finally:
        refused.close()
    again = Terminal(env, *command, "--unsaved", str(path))
    try:
        wait_for(lambda: b"3 calls are in the job" in again.seen, again)
        again.type("33.\r87\r8/")
        wait_for(lambda: b"1 recorded" in again.seen, again)
        assert again.end() == 0
    finally:
        again.close()
    assert [each.length_read_ft for each in summarise(job).replay.segments] == [33.87]
    assert verify_job(job).ok
