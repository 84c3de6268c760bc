"""A stranger's files: none outside a job is touched, none of others is read, what is made is ours.

A rollback journal may name a file that SQLite deletes when it is done with the journal ("Atomic
Commit In SQLite", section 5; "Database File Format", section 3); SQLite itself proves it here.
"""

from __future__ import annotations

import os
import shutil
import socket
import sqlite3
import stat
import struct
import sys
import tempfile
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from io import StringIO
from pathlib import Path

import pytest
from typer.testing import CliRunner

from calllog import files
from calllog.audio import write_clip
from calllog.cli import app
from calllog.commands import field
from calllog.commands.terminal import Terminal
from calllog.errors import CalllogError, JournalError
from calllog.journal import Journal, database
from calllog.journal.carving import carve
from calllog.live.spill import kept_folder, left_behind, read_spill, spill
from calllog.office import rescue_job, rescuing, summarise
from calllog.office.summary import verify_job
from calllog.page.write import copy_clips, write_pages
from calllog.session import Job
from tests.audio.clips import hiss
from tests.fieldjob import field_job
from tests.test_audio_clip import utterance
from tests.test_journal_golden import JOBS

PAGE = 4096
MAGIC = bytes.fromhex("d9d505f920a163d7")
"""Begins a rollback journal."""


def write_hot_journal(beside: Path, victim: Path) -> None:
    """Lay a rollback journal beside a database that names another file as its super-journal."""
    header = MAGIC + struct.pack(">iIIII", 0, 1, max(1, beside.stat().st_size // PAGE), 512, PAGE)
    name = str(victim).encode()
    check = sum(name) & 0xFFFFFFFF
    tail = struct.pack(">I", 0x40000000 // PAGE + 1) + name + struct.pack(">II", len(name), check)
    beside.with_name(f"{beside.name}-journal").write_bytes(header.ljust(512, b"\0") + tail + MAGIC)


@pytest.fixture
def victim(tmp_path: Path) -> Path:
    """Make a file of the user's that is in nobody's job."""
    path = tmp_path / "letters.txt"
    path.write_text("mine")
    return path


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Make a job."""
    return field_job(tmp_path / "job")


def test_sqlite_deletes_what_a_journal_names(tmp_path: Path, victim: Path) -> None:
    """The danger is real: opening such a database deletes the other file."""
    path = tmp_path / "any.sqlite"
    with closing(sqlite3.connect(path)) as made, made:
        made.execute("CREATE TABLE x (y)")
    write_hot_journal(path, victim)
    with closing(sqlite3.connect(path, isolation_level=None)) as opened:
        opened.execute("BEGIN EXCLUSIVE")
    assert not victim.exists()


# The lock


def plant_lock(job: Path, victim: Path) -> bytes:
    """Lay a database with a hot journal into the lock's place; give what stands there then."""
    lock = job / database.LOCK
    lock.unlink(missing_ok=True)
    with closing(sqlite3.connect(lock)) as made, made:
        made.execute("CREATE TABLE x (y)")
    write_hot_journal(lock, victim)
    return lock.read_bytes()


def test_lock_deletes_nothing(job: Path, victim: Path) -> None:
    """A database with a hot journal in the lock's place is a file like any other."""
    before = plant_lock(job, victim)
    Job.open_existing(job).close()
    assert victim.read_text() == "mine"
    assert (job / database.LOCK).read_bytes() == before


def test_lock_of_a_job_to_be_made_deletes_nothing(tmp_path: Path, victim: Path) -> None:
    """Nor where a new job is made in a folder in which a making was cut off."""
    folder = tmp_path / "new"
    folder.mkdir()
    plant_lock(folder, victim)
    Journal.create(folder).close()
    assert victim.read_text() == "mine"


@pytest.mark.parametrize("folder", JOBS, ids=lambda path: path.name)
def test_locks_of_old_jobs_are_taken(folder: Path, tmp_path: Path) -> None:
    """They are databases, and stay as they are."""
    job = tmp_path / "job"
    shutil.copytree(folder, job)
    with closing(sqlite3.connect(job / database.LOCK)) as made, made:
        made.execute("CREATE TABLE x (y)")
    before = (job / database.LOCK).read_bytes()
    with Job.open_existing(job) as opened:
        opened.note("phone_codes_guessed", {})
        with pytest.raises(JournalError, match="another calllog is writing this job"):
            Journal.open(job)
    assert (job / database.LOCK).read_bytes() == before
    assert verify_job(job).ok


def pipe(path: Path) -> None:
    """Make a pipe, which nobody reads or writes."""
    os.mkfifo(path)


def link(path: Path) -> None:
    """Make a link to a file of the user's."""
    path.symlink_to(path.parent.parent / "letters.txt")


def bound(path: Path) -> None:
    """Make a socket."""
    here = Path.cwd()
    os.chdir(path.parent)
    try:
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(path.name)
    finally:
        os.chdir(here)


@pytest.mark.parametrize("make", [pipe, link, bound, Path.mkdir])
def test_lock_that_is_no_file_is_refused_at_once(
    tmp_path: Path, victim: Path, make: Callable[[Path], None]
) -> None:
    """In a folder in which a job is to be made nothing else looks at it; a pipe would hang."""
    folder = tmp_path / "new"
    folder.mkdir()
    make(folder / database.LOCK)
    with pytest.raises(JournalError, match=r"lock cannot be taken|not empty"):
        Journal.create(folder)
    assert victim.read_text() == "mine"


def test_lock_ends_with_its_process_and_no_child_gets_it(job: Path) -> None:
    """A descriptor that a child took along would keep the job locked after a crash."""
    file = files.lock_file(job / database.LOCK)
    assert not os.get_inheritable(file)
    with pytest.raises(BlockingIOError):
        files.lock_file(job / database.LOCK)
    os.close(file)
    os.close(files.lock_file(job / database.LOCK))


# SQLite


@pytest.mark.parametrize("beside", ["wal too", "shm too", "alone"])
@pytest.mark.parametrize("kind", ["hot", "one byte", "link", "pipe"])
def test_rollback_journals_are_refused_by_every_command(
    job: Path, victim: Path, kind: str, beside: str
) -> None:
    """Whatever it is, and whatever lies beside it; nothing is deleted, and rescue leaves it out."""
    rollback = job / f"{database.DATABASE}-journal"
    write_hot_journal(job / database.DATABASE, victim)
    if kind != "hot":
        rollback.unlink()
    if kind == "one byte":
        rollback.write_bytes(b"x")
    elif kind == "link":
        rollback.symlink_to(victim)
    elif kind == "pipe":
        os.mkfifo(rollback)
    if beside != "alone":
        (job / f"{database.DATABASE}-{beside[:3]}").write_bytes(b"\0" * 32)
    commands = (
        *(
            ["report", "JOB"],
            ["verify", "JOB"],
            ["page", "JOB"],
            ["extract", "JOB"],
            ["compare", "JOB"],
        ),
        *(["decide", "JOB", "13", "first"], ["sign", "JOB", "--by", "R. Field"]),
    )
    for command in commands:
        done = CliRunner().invoke(app, [str(job) if each == "JOB" else each for each in command])
        assert isinstance(done.exception, (CalllogError, SystemExit)), command
        assert done.exit_code, command
    with pytest.raises(JournalError), Journal.open(job):
        pass
    rescue_job(job, job.with_name("rescued"))
    assert not (job.with_name("rescued") / rollback.name).exists()
    assert victim.read_text() == "mine"


def test_writer_looks_for_a_rollback_journal_itself(job: Path, victim: Path) -> None:
    """Whoever connects, the check is made where SQLite would act on it."""
    write_hot_journal(job / database.DATABASE, victim)
    with ExitStack() as resources, pytest.raises(JournalError, match="lies beside the journal"):
        database.connect_writer(job, resources)
    assert victim.read_text() == "mine"


# Logs of devices, and what no disk took


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have a screen that is kept clean."""
    monkeypatch.setattr(field, "out", Terminal(file=StringIO(), force_terminal=True))


@pytest.mark.usefixtures("screen")
@pytest.mark.parametrize("make", [pipe, link, bound, Path.mkdir])
def test_log_of_devices_goes_into_a_file_of_ours_alone(
    job: Path, victim: Path, make: Callable[[Path], None]
) -> None:
    """Through a link it would be written into the user's file; a pipe would stop the work."""
    log = job / field.DEVICES_LOG
    make(log)
    with field.screen_kept_clean(log):
        os.write(sys.stderr.fileno(), b"ALSA lib: underrun\n")
    assert victim.read_text() == "mine"


@pytest.mark.usefixtures("screen")
def test_log_of_devices_is_not_written_into_what_others_own(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody else could read it."""
    log = job / field.DEVICES_LOG
    log.write_text("")
    monkeypatch.setattr(os, "geteuid", lambda: log.stat().st_uid + 1)
    with field.screen_kept_clean(log):
        os.write(sys.stderr.fileno(), b"ALSA lib: underrun\n")
    assert log.read_text() == ""


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Have places of one's own for what outlives the program."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    (tmp_path / "tmp").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "tmp"))
    return kept_folder()


def unsaved(job: Path) -> Path:
    """Spill all entries of a job, one more than it holds."""
    with Journal.open(job, read_only=True) as journal:
        entries = list(journal.entries())
    shorter = job.with_name("shorter")
    with Journal.create(shorter) as journal:
        for entry in entries[:-1]:
            journal.add(entry)
    path = spill(entries[-3:], shorter)
    assert path is not None
    return path


def test_spilt_entries_lie_in_a_private_folder(job: Path, kept: Path) -> None:
    """What was called is in no folder that others read or write."""
    path = unsaved(job)
    assert path.parent == kept
    assert stat.S_IMODE(kept.stat().st_mode) == 0o700
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert left_behind(job.with_name("shorter")) == path


def test_spilt_entries_find_a_private_folder_elsewhere(job: Path, kept: Path) -> None:
    """Where the user's own cannot be used, or is open to others: a new one, and it is found."""
    kept.mkdir(0o700, parents=True)
    kept.chmod(0o755)
    path = unsaved(job)
    assert path.parent.parent == Path(tempfile.gettempdir())
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    assert left_behind(job.with_name("shorter")) == path


@pytest.mark.usefixtures("kept")
def test_planted_entries_are_not_recommended(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither those in a folder for all, nor another's, nor links; none is read if it is named."""
    path = unsaved(job)
    shorter = job.with_name("shorter")
    planted = Path(tempfile.gettempdir()) / path.name
    path.rename(planted)
    assert left_behind(shorter) is None
    path.symlink_to(planted)
    assert left_behind(shorter) is None
    with pytest.raises(JournalError, match="no plain file"):
        read_spill(path)
    path.unlink()
    os.mkfifo(path)
    with pytest.raises(JournalError, match="no plain file"):
        read_spill(path)
    assert left_behind(shorter) is None
    path.unlink()
    planted.rename(path)
    assert left_behind(shorter) == path
    monkeypatch.setattr(os, "geteuid", lambda: path.stat().st_uid + 1)
    assert left_behind(shorter) is None
    with pytest.raises(JournalError, match="belongs to somebody else"):
        read_spill(path)


# Who may read what is made


@pytest.fixture
def _open_umask() -> Iterator[None]:
    """Let everybody read and write what is made without care."""
    before = os.umask(0)
    yield
    os.umask(before)


def modes(folder: Path) -> dict[str, str]:
    """List all below a folder that others may read or write, with its rights."""
    return {
        path.relative_to(folder).as_posix(): oct(stat.S_IMODE(path.lstat().st_mode))
        for path in (folder, *folder.rglob("*"))
        if stat.S_IMODE(path.lstat().st_mode) & 0o077
    }


@pytest.mark.slow
@pytest.mark.usefixtures("_open_umask")
def test_what_is_made_is_its_makers_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Jobs, clips, notes of the end, logs, reports, pages, exports, rescued jobs: whatever."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "demo").mkdir()
    runner = CliRunner()
    job = Path("demo/jobs/day-1")
    make_demo(job)
    with Job.open_existing(job) as opened:
        opened.note("phone_codes_guessed", {})
        assert modes(job) == {}  # the database's log and the lock lie there too
    commands = (
        ["report", str(job), "--xlsx"],
        ["report", str(job), "--out", "out/office/1"],
        ["page", str(job), "--pdf", "--out", "out/pages"],
        ["extract", str(job), "--xlsx", "--out", "out/log"],
        ["card", "--out", "out/card.html"],
    )
    for command in commands:
        assert runner.invoke(app, command).exit_code == 0, command
    field.appended(job / field.DEVICES_LOG).close()
    (job / "notes of the office").write_text("theirs")
    (job / "notes of the office").chmod(0o644)
    assert runner.invoke(app, ["rescue", str(job), "--out", "out/again"]).exit_code == 0
    (job / "notes of the office").unlink()
    assert modes(tmp_path / "demo/jobs") == {}
    assert modes(tmp_path / "out") == {}
    assert len(list((tmp_path / "out").rglob("*"))) > 30


def make_demo(job: Path) -> None:
    """Make a job in which sounds were kept."""
    field_job(job)
    (job / "audio/000001.flac").unlink()
    write_clip(job / "audio/000001.flac", utterance(hiss(0.5)))


@pytest.mark.usefixtures("_open_umask")
def test_folders_of_the_user_stay_as_they_are(tmp_path: Path) -> None:
    """A folder that was shared with the office before is shared still."""
    shared = tmp_path / "shared"
    shared.mkdir(0o775)
    job = field_job(tmp_path / "job")
    assert CliRunner().invoke(app, ["report", str(job), "--out", str(shared)]).exit_code == 0
    assert stat.S_IMODE(shared.stat().st_mode) == 0o775
    assert modes(shared) == {".": "0o775"}


# Rescue


def test_vast_journals_are_refused_before_they_are_read(job: Path, tmp_path: Path) -> None:
    """A gigabyte of nothing costs neither time nor memory."""
    for name in (database.DATABASE, f"{database.DATABASE}-wal"):
        vast = tmp_path / name[-3:]
        shutil.copytree(job, vast)
        with (vast / name).open("ab") as file:
            file.truncate(database.MOST_BYTES + 1)
        tracemalloc.start()
        with pytest.raises(JournalError, match="more than 1024 MB, which no job needs"):
            rescue_job(vast, tmp_path / "new")
        assert tracemalloc.get_traced_memory()[1] < 16 << 20
        tracemalloc.stop()


def test_files_of_a_job_are_copied_piece_by_piece(job: Path, tmp_path: Path) -> None:
    """A recording of any length lies in memory by pieces."""
    content = os.urandom(1 << 20) * 64
    (job / "recording.wav").write_bytes(content)
    tracemalloc.start()
    rescue_job(job, tmp_path / "new")
    assert tracemalloc.get_traced_memory()[1] < len(content) // 2
    tracemalloc.stop()
    assert (tmp_path / "new/recording.wav").read_bytes() == content


def test_files_that_do_not_fit_are_refused_before_they_are_copied(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file of a terabyte that is all holes would fill the disk."""
    with (job / "vast.wav").open("wb") as file:
        file.truncate(1 << 40)
    monkeypatch.setattr(
        rescuing, "_make", lambda *_: pytest.fail("it began although there is no room")
    )
    with pytest.raises(JournalError, match=r"have 1,099,51\d MB, and [\d,]+ MB are free; name"):
        rescue_job(job, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_pages_that_claim_much_cost_little() -> None:
    """Records that overlap, or say that they are as long as the file, are not copied each."""
    cell = b"\xff\xff\x7f\x01" + bytes(60)
    page = bytearray(PAGE)
    for number in range(32):
        struct.pack_into(">H", page, 8 + 2 * number, 128 + 64 * number)
        page[128 + 64 * number : 128 + 64 * number + len(cell)] = cell
    content = b"".join(bytes(page[:-4]) + struct.pack(">I", number) for number in range(300))
    tracemalloc.start()
    assert carve(content, b"").sound == ()
    assert tracemalloc.get_traced_memory()[1] < 8 * len(content)
    tracemalloc.stop()


# Sounds that were changed


def test_changed_sound_is_not_published(tmp_path: Path) -> None:
    """It is not copied beside the page, which says so at that call, in either language."""
    job = shutil.copytree(JOBS[0], tmp_path / "job")
    calls = [call for call in summarise(job).replay.calls if call.clip]
    changed = next(call for call in calls if call.clip_sha256 and (job / call.clip).exists())
    sound = copy_clips(job, tmp_path / "before", summarise(job).replay.calls)
    assert changed.number in sound.links
    assert not sound.changed
    (job / changed.clip).write_bytes(b"another sound")
    for language, words in (("en", "sound changed"), ("es", "sonido alterado")):
        out = tmp_path / language
        done = CliRunner().invoke(
            app, ["page", str(job), "--out", str(out), "--language", language]
        )
        assert done.exit_code == 0
        assert "changed since recording and left out" in done.output
        assert not (out / changed.clip).exists()
        pages = "".join(path.read_text("utf-8") for path in out.glob("*.html"))
        assert words in pages
        assert changed.clip not in pages
    assert "sound changed" not in "".join(
        path.read_text("utf-8")
        for path in write_pages(JOBS[0], summarise(JOBS[0]), tmp_path / "x").files
    )
