"""Verification of a job: every tampering and all damage is named; a sound job stays untouched."""

from __future__ import annotations

import hashlib
import random
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from calllog.errors import ConfigError, JournalError
from calllog.journal import NO_PREVIOUS, Entry, Journal, Verification, verify
from calllog.journal import database as journal_database
from calllog.journal.entry import entry_hash
from calllog.journal.last import LAST
from calllog.journal.verification import _noted

if TYPE_CHECKING:
    from pydantic import JsonValue

NOON = "2031-05-04T12:00:00+00:00"
COUNT = 9

GUARDS = (
    "DROP TRIGGER entry_never_updated",
    "DROP TRIGGER entry_never_deleted",
    "DROP TRIGGER entry_only_appended",
)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Make a closed job of nine entries."""
    folder = tmp_path / "job"
    with Journal.create(folder) as journal:
        fill(journal, COUNT)
    return folder


def fill(journal: Journal, count: int) -> None:
    """Append entries with bodies of several sizes."""
    for n in range(1, count + 1):
        body: JsonValue = {"n": n, "text": "fünfzehn " * n}
        journal.append("call", body, time_utc=NOON, monotonic_s=n * 1.25)


def tamper(folder: Path, *statements: str) -> None:
    """Take the guards off, change the database, put the guards on again."""
    with closing(sqlite3.connect(folder / "job.sqlite", isolation_level=None)) as raw:
        guards = raw.execute("SELECT sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for statement in (*GUARDS, *statements, *(sql for (sql,) in guards)):
            raw.execute(statement)


def contents(folder: Path) -> dict[str, tuple[bytes, int]]:
    """Read every file below a folder, with its time of change."""
    return {
        str(path.relative_to(folder)): (
            path.read_bytes() if path.is_file() else b"",
            path.stat().st_mtime_ns,
        )
        for path in (folder, *folder.rglob("*"))
    }


def test_a_sound_job_verifies_and_stays_untouched(job: Path) -> None:
    """Verification of a closed job counts its entries and changes no byte, name or time."""
    with Journal.open(job) as journal:
        head = journal.state_hash()
    before = contents(job)
    for folder in (job, *job.iterdir()):
        folder.chmod(folder.stat().st_mode & 0o555)
    assert verify(job, expect_last=f" {head.upper()}\n") == Verification(
        entries=COUNT, ok=True, first_bad=None, wrong="", state_hash=head, noted=COUNT
    )
    job.chmod(0o755)
    assert contents(job) == before


def test_what_stands_only_in_the_log_is_verified(tmp_path: Path, job: Path) -> None:
    """Entries that a killed process left in the write-ahead log are taken in, files untouched."""
    copy = tmp_path / "copy"
    with Journal.open(job) as journal:
        fill(journal, 3)
        shutil.copytree(job, copy)
        head = journal.state_hash()
    assert (copy / "job.sqlite-wal").stat().st_size > 0
    before = contents(copy)
    found = verify(copy, expect_last=head)
    assert (found.ok, found.entries) == (True, COUNT + 3)
    assert contents(copy) == before


def test_an_empty_job_verifies(tmp_path: Path) -> None:
    """A job without entries is sound; its state is 64 zeros."""
    Journal.create(tmp_path / "job").close()
    assert verify(tmp_path / "job", expect_last=NO_PREVIOUS).ok


TAMPERINGS = [
    ("UPDATE entry SET body = replace(body, 'z', 'Z') WHERE sequence = 4", 4, "was changed after"),
    ("UPDATE entry SET time_utc = replace(time_utc, '12', '13') WHERE sequence = 9", 9, "changed"),
    ("UPDATE entry SET monotonic_s = 2.51 WHERE sequence = 2", 2, "was changed after"),
    ("UPDATE entry SET kind = 'void' WHERE sequence = 1", 1, "was changed after"),
    ("UPDATE entry SET version = 1 WHERE sequence = 5", 5, "was changed after"),
    ("UPDATE entry SET previous = hash WHERE sequence = 6", 6, "was changed after"),
    ("UPDATE entry SET hash = previous WHERE sequence = 7", 7, "was changed after"),
    ("UPDATE entry SET body = x'00' WHERE sequence = 3", 3, "body has the wrong type"),
    ("UPDATE entry SET monotonic_s = 'soon' WHERE sequence = 3", 3, "monotonic_s has the wrong"),
    ("UPDATE entry SET sequence = 90 WHERE sequence = 4", 4, "entry 4 expected, entry 5 found"),
    ("UPDATE entry SET sequence = 0 WHERE sequence = 4", 1, "entry 1 expected, entry 0 found"),
    ("DELETE FROM entry WHERE sequence = 5", 5, "gap in sequence: entry 5 expected, entry 6 found"),
    ("DELETE FROM entry WHERE sequence = 1", 1, "gap in sequence: entry 1 expected, entry 2 found"),
    (
        "INSERT INTO entry SELECT 10, time_utc, 0, kind, 1, body, hash, hash FROM entry LIMIT 1",
        10,
        "entry 10 was changed after",
    ),
]


@pytest.mark.parametrize(("statement", "bad", "words"), TAMPERINGS)
def test_tampering_names_the_first_bad_entry(
    job: Path, statement: str, bad: int, words: str
) -> None:
    """A change by raw SQL, guards off and on again, is named with its entry."""
    tamper(job, statement)
    found = verify(job)
    assert (found.ok, found.first_bad, found.entries) == (False, bad, bad - 1)
    assert words in found.wrong
    for read_only in (True, False):
        with pytest.raises(JournalError, match="calllog rescue"):
            Journal.open(job, read_only=read_only)


def test_swapped_entries_are_named(job: Path) -> None:
    """Two entries that change places are found at the earlier place."""
    tamper(
        job,
        "UPDATE entry SET sequence = -1 WHERE sequence = 3",
        "UPDATE entry SET sequence = 3 WHERE sequence = 7",
        "UPDATE entry SET sequence = 7 WHERE sequence = -1",
    )
    found = verify(job)
    assert (found.first_bad, "was changed after" in found.wrong) == (3, True)


def test_an_entry_put_in_between_is_named(job: Path) -> None:
    """An entry put between others, those behind it moved on, is found."""
    tamper(
        job,
        "UPDATE entry SET sequence = -sequence WHERE sequence > 4",
        "UPDATE entry SET sequence = 1 - sequence WHERE sequence < 0",
        "INSERT INTO entry SELECT 5, time_utc, 5.1, kind, version, body, hash, hash FROM entry"
        " WHERE sequence = 4",
    )
    assert verify(job).first_bad == 5


def forge(folder: Path, sequence: int, **changes: str | int) -> None:
    """Change an entry and give it the hash that fits, as one who knows the encoding would."""
    with Journal.open(folder, read_only=True) as journal:
        (entry,) = (entry for entry in journal.entries() if entry.sequence == sequence)
    forged = Entry.model_validate({**entry.model_dump(), **changes})
    tamper(
        folder,
        f"UPDATE entry SET hash = '{entry_hash(forged)}', body = '{forged.body}',"  # noqa: S608
        f" version = {forged.version} WHERE sequence = {sequence}",
    )


def test_a_forged_hash_breaks_the_chain(job: Path) -> None:
    """An entry changed together with its hash is betrayed by the next one."""
    forge(job, 4, body="{}")
    found = verify(job)
    assert found.first_bad == 5
    assert found.wrong.startswith("hash chain broken: entry 5 does not follow")


def test_a_forged_last_entry_shows_against_the_noted_hash(job: Path) -> None:
    """Without a successor only a noted state hash betrays a forged entry: the job's, or paper."""
    head = verify(job).state_hash
    forge(job, COUNT, body="{}")
    assert verify(job).wrong.startswith("entry 9 is not the one")
    (job / LAST).unlink()
    assert verify(job).ok
    found = verify(job, expect_last=head)
    assert (found.ok, found.first_bad) == (False, None)
    assert found.wrong.startswith("no entry has the noted hash")


def test_a_body_that_is_no_json_is_named(job: Path) -> None:
    """A forged body that cannot be read as JSON is a finding, no crash."""
    forge(job, COUNT, body="{")
    assert verify(job).wrong == "the body of entry 9 is not JSON"


def test_an_entry_of_a_later_version_is_named(job: Path) -> None:
    """An entry in a form that this program does not know is not guessed at."""
    forge(job, COUNT, version=3)
    assert verify(job).wrong == "entry 9 has version 3, which this program cannot read"


def test_a_cut_end_shows_only_against_the_noted_hash(job: Path) -> None:
    """Entries taken off the end are invisible to the chain, and seen against a noted hash."""
    head = verify(job).state_hash
    tamper(job, "DELETE FROM entry WHERE sequence > 7")
    found = verify(job)
    assert (found.first_bad, found.entries) == (8, 7)
    assert found.wrong == "entries 8 to 9 are missing at the end, though written"
    with pytest.raises(JournalError, match=r"entries 8 to 9 are missing .*calllog rescue"):
        Journal.open(job)
    (job / LAST).unlink()
    assert verify(job).ok
    assert "entries at the end are missing" in verify(job, expect_last=head).wrong


def test_entries_after_the_noted_hash_are_told(job: Path) -> None:
    """A journal that went on after the note is sound, and says which entry was noted."""
    head = verify(job).state_hash
    with Journal.open(job) as journal:
        fill(journal, 2)
    found = verify(job, expect_last=head)
    assert (found.ok, found.noted, found.entries) == (True, COUNT, COUNT + 2)


def test_any_eight_digits_of_a_hash_name_its_entry(job: Path) -> None:
    """Eight are enough, in groups and capitals as they stand on paper; other digits name none."""
    with Journal.open(job, read_only=True) as journal:
        hashes = [entry.hash for entry in journal.entries()]
    for sequence, each in enumerate(hashes, start=1):
        noted_as = (each[:8], each[:8].upper(), f"{each[:8]} {each[8:16]}\n", each[-8:], each)
        for noted in noted_as:
            assert verify(job, expect_last=noted).noted == sequence
    other = f"{int(hashes[-1][:8], 16) ^ 1:08x}"
    assert verify(job, expect_last=other).wrong.startswith("no entry has the noted hash")


@pytest.mark.parametrize(
    ("noted", "words"),
    [
        ("0d01fbc", "7 digits are no hash; give 8 of its 64 digits, or more"),
        ("0" * 65, "65 digits are no hash"),
        ("0d01fbcg", "a hash has the digits 0 to 9 and a to f alone; .*looks like o is 0"),
        ("", "0 digits are no hash"),
    ],
)
def test_what_is_no_hash_is_refused(job: Path, noted: str, words: str) -> None:
    """Too few digits, too many and others are an error that says what to give, not a fault."""
    with pytest.raises(ConfigError, match=words):
        verify(job, expect_last=noted)


def test_digits_that_fit_two_entries_are_refused() -> None:
    """A noted hash that names more than one entry names none: more digits are asked for."""
    hashes = ["0d01fbcf" + "0" * 56, "5d" * 32, "0d01fbcf" + "1" * 56]
    with pytest.raises(ConfigError, match="entries 1, 3 all have these digits; give more digits"):
        _noted(hashes, "0d01fbcf")
    assert _noted(hashes, "0d01fbcf1") == 3


def test_guards_taken_off_are_told(job: Path) -> None:
    """A database without its guards is no longer trusted nor written."""
    with closing(sqlite3.connect(job / "job.sqlite", isolation_level=None)) as raw:
        raw.execute(GUARDS[0])
    found = verify(job)
    assert (found.ok, found.first_bad) == (False, None)
    assert found.wrong == "the tables or the guards against rewriting were changed"
    with pytest.raises(JournalError, match="guards against rewriting were changed; `calllog"):
        Journal.open(job)


def clip_job(folder: Path, clip: str, sound: bytes) -> None:
    """Make a job whose second of three entries names a clip."""
    with Journal.create(folder) as journal:
        fill(journal, 1)
        (folder / "audio" / "2.flac").write_bytes(sound)
        body: JsonValue = {"clip": clip, "clip_sha256": hashlib.sha256(sound).hexdigest()}
        journal.append("call", body, time_utc=NOON, monotonic_s=3.0)
        journal.append("note", {"clip": ""}, time_utc=NOON, monotonic_s=4.0)


def test_clips_are_part_of_the_record(tmp_path: Path) -> None:
    """A clip passes as recorded; changed or missing it is named with its entry."""
    folder = tmp_path / "job"
    clip_job(folder, "audio/2.flac", b"sound")
    assert verify(folder).ok
    (folder / "audio" / "2.flac").write_bytes(b"Sound")
    assert (verify(folder).first_bad, verify(folder).wrong) == (
        2,
        "the clip audio/2.flac of entry 2 was changed",
    )
    (folder / "audio" / "2.flac").unlink()
    assert verify(folder).wrong.startswith("the clip audio/2.flac of entry 2 is missing")


@pytest.mark.parametrize("clip", ["../secret", "audio/../../secret", "/dev/null"])
def test_clips_stay_inside_the_job(tmp_path: Path, clip: str) -> None:
    """A clip path that leads out of the job is not followed."""
    (tmp_path / "secret").write_bytes(b"sound")
    clip_job(tmp_path / "job", clip, b"sound")
    assert verify(tmp_path / "job").wrong == f"the clip {clip} of entry 2 lies outside the job"


def judge(folder: Path, sound: Verification) -> bool:
    """Tell whether a damaged job verifies equal; if not, it must be reported in words."""
    try:
        found = verify(folder)
    except JournalError:
        return False
    if found.ok:
        assert found == sound
        return True
    assert found.wrong
    return False


def reads_equal(folder: Path, entries: list[Entry]) -> bool:
    """Tell whether a damaged job still opens and reads equal; else it must be a JournalError."""
    try:
        with Journal.open(folder, read_only=True) as journal:
            assert list(journal.entries()) == entries
    except JournalError:
        return False
    return True


@pytest.mark.slow
def test_a_flipped_byte_is_reported_or_harmless(job: Path) -> None:
    """One damaged byte anywhere in the database never passes as another journal, nor crashes."""
    with Journal.open(job) as journal:
        fill(journal, 60)
        entries = list(journal.entries())
    sound = verify(job)
    path = job / "job.sqlite"
    whole = path.read_bytes()
    chance = random.Random(7)  # noqa: S311 - a repeatable choice, no secret
    offsets = [*range(100), *sorted(chance.sample(range(100, len(whole)), 500))]
    harmless = 0
    for offset in offsets:
        flipped = whole[offset] ^ chance.randrange(1, 256)
        path.write_bytes(whole[:offset] + bytes([flipped]) + whole[offset + 1 :])
        harmless += judge(job, sound)
        reads_equal(job, entries)
    assert 0 < harmless < len(offsets)


def test_damaged_letters_in_the_schema_are_reported(job: Path) -> None:
    """SQLite quotes a damaged schema in its error; letters that are no UTF-8 are no crash."""
    path = job / "job.sqlite"
    whole = path.read_bytes()
    for match in re.finditer(rb"CREATE|entry|BEGIN|SELECT|sequence", whole[:4096]):
        path.write_bytes(whole[: match.start() + 2] + b"\xd5" + whole[match.start() + 3 :])
        assert not verify(job).ok
        with pytest.raises(JournalError, match="calllog rescue"):
            Journal.open(job)


def test_an_end_cut_inside_the_database_is_reported(job: Path) -> None:
    """A page that hides its last entry is damage, though the chain before it is whole.

    A leaf page of a table begins with 13 and has its count of cells in bytes 3 and 4 (SQLite,
    "Database File Format", section 1.6, from memory).
    """
    with Journal.open(job) as journal:
        fill(journal, 60)
        last = journal.state_hash()
    path = job / "job.sqlite"
    raw = bytearray(path.read_bytes())
    page = raw.index(last.encode()) // 4096 * 4096
    assert raw[page] == 13
    raw[page + 4] -= 1
    path.write_bytes(raw)
    found = verify(job)
    assert (found.ok, found.entries, found.first_bad) == (False, COUNT + 59, None)
    assert found.wrong.startswith("the database is malformed")


def test_a_page_that_cannot_be_written_to_is_reported_before_work(job: Path) -> None:
    """Damage to a page's free space hurts no entry, but the next one could not be written.

    The first free block of a page stands in its bytes 1 and 2 (SQLite, "Database File Format",
    section 1.6).
    """
    path = job / "job.sqlite"
    raw = bytearray(path.read_bytes())
    page = raw.index(verify(job).state_hash.encode()) // 4096 * 4096
    raw[page + 1 : page + 3] = (4000).to_bytes(2, "big")
    path.write_bytes(raw)
    assert verify(job).wrong.startswith("the database is malformed (")
    with pytest.raises(JournalError, match=r"the database is malformed .*calllog rescue"):
        Journal.open(job)
    with Journal.open(job, read_only=True) as journal:
        assert len(list(journal.entries())) == COUNT


@pytest.mark.slow
def test_a_cut_database_is_reported(job: Path) -> None:
    """A database cut short at any of many places is reported, never read as a shorter journal."""
    with Journal.open(job) as journal:
        fill(journal, 60)
        entries = list(journal.entries())
    sound = verify(job)
    path = job / "job.sqlite"
    whole = path.read_bytes()
    for length in range(0, len(whole), 211):
        path.write_bytes(whole[:length])
        assert not judge(job, sound), length
        assert not reads_equal(job, entries), length


@pytest.mark.slow
def test_a_torn_log_gives_a_clean_prefix(tmp_path: Path, job: Path) -> None:
    """A write-ahead log cut anywhere leaves a sound prefix, and the job's note shows the loss."""
    copy = tmp_path / "copy"
    with Journal.open(job) as journal:
        fill(journal, 8)
        shutil.copytree(job, copy)
    log = copy / "job.sqlite-wal"
    whole = log.read_bytes()
    counts = []
    for length in range(0, len(whole), 307):
        log.write_bytes(whole[:length])
        found = verify(copy)
        assert "missing at the end, though" in found.wrong
        assert found.first_bad == found.entries + 1
        counts.append(found.entries)
    assert counts == sorted(counts)
    assert (counts[0], counts[-1]) == (COUNT, COUNT + 7)


def test_a_writer_that_never_rests_is_reported(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If the log is renewed during every copying, the reader gives up with a clear error."""
    headers = iter(range(1000))
    with Journal.open(job) as journal:
        fill(journal, 1)
        assert verify(job).entries == COUNT + 1
        monkeypatch.setattr(journal_database, "_wal_header", lambda _: b"%d" % next(headers))
        with pytest.raises(JournalError, match="being written too fast to be copied; try again"):
            verify(job)


def test_an_unreadable_copy_is_reported(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A failure of the system during copying is a JournalError with the place."""

    def fail(*_: object) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(shutil, "copyfileobj", fail)
    with pytest.raises(JournalError, match=r"job\.sqlite: the journal cannot be read .*output"):
        verify(job)
