"""The journal: what is appended stands, durable and chained; what may not be done is refused."""

from __future__ import annotations

import hashlib
import json
import random
import signal
import sqlite3
import subprocess
import sys
from contextlib import ExitStack, closing, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.errors import JournalError
from calllog.journal import (
    NO_PREVIOUS,
    Entry,
    Journal,
    canonical,
    database,
    is_job,
    making,
    seal,
    store,
    verify,
)
from calllog.journal.entry import entry_hash, fault_of

if TYPE_CHECKING:
    from pydantic import JsonValue

NOON = "2031-05-04T12:00:00+00:00"

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


def add(journal: Journal, kind: str, body: JsonValue = None, at: float = 0.0) -> Entry:
    """Append one entry at noon."""
    return journal.append(kind, body, time_utc=NOON, monotonic_s=at)


def test_entries_come_back_as_appended(tmp_path: Path) -> None:
    """What was appended is read back equal, in order, after closing and opening again."""
    with Journal.create(tmp_path / "job") as journal:
        written = [add(journal, kind, {"n": n}, n / 7) for n, kind in enumerate(["line", "call"])]
    with Journal.open(tmp_path / "job") as journal:
        written.append(add(journal, "call", "again", 5.5))
        assert list(journal.entries()) == written
        assert [entry.sequence for entry in written] == [1, 2, 3]
        assert list(journal.entries("call")) == written[1:]
        assert journal.last() == written[-1]
        assert journal.state_hash() == written[-1].hash
    with Journal.open(tmp_path / "job", read_only=True) as journal:
        assert list(journal.entries()) == written
        assert written[0].content == {"n": 0}


def test_a_new_job_has_its_folders_and_no_entry(tmp_path: Path) -> None:
    """A new job is audio, out and an empty journal whose state is 64 zeros."""
    with Journal.create(tmp_path / "deep" / "job") as journal:
        assert journal.audio.is_dir()
        assert journal.out.is_dir()
        assert journal.last() is None
        assert journal.state_hash() == NO_PREVIOUS == "0" * 64


def test_hash_can_be_computed_without_calllog(tmp_path: Path) -> None:
    """The documented encoding alone gives the hash, so that an office can check the chain."""
    with Journal.create(tmp_path / "job") as journal:
        first = add(journal, "note", {"b": "ü", "a": 1.5}, 0.25)
        second = add(journal, "note", [], 3)
    by_hand = f'[1,"{NOON}",0.25,"note",2,"{{\\"a\\":1.5,\\"b\\":\\"ü\\"}}","{"0" * 64}"]'
    assert first.hash == hashlib.sha256(by_hand.encode()).hexdigest()
    by_hand = f'[2,"{NOON}",3.0,"note",2,"[]","{first.hash}"]'
    assert second.hash == hashlib.sha256(by_hand.encode()).hexdigest()


@settings(deadline=None)
@given(body=JSON)
def test_canonical_text_reads_back_equal(body: JsonValue) -> None:
    """Any JSON value has a canonical text which is a fixed point and reads back equal."""
    text = canonical(body)
    assert json.loads(text) == body
    assert canonical(json.loads(text)) == text


@settings(max_examples=25, deadline=None)
@given(
    bodies=st.lists(JSON, min_size=1, max_size=5),
    at=st.floats(allow_nan=False, allow_infinity=False),
)
def test_any_body_goes_through_the_database(bodies: list[JsonValue], at: float) -> None:
    """Any JSON bodies and any finite clock survive the disk, and the chain verifies."""
    with TemporaryDirectory() as name:
        folder = Path(name) / "job"
        with Journal.create(folder) as journal:
            written = [add(journal, "note", body, at) for body in bodies]
        with Journal.open(folder) as journal:
            assert list(journal.entries()) == written
            assert [entry.content for entry in journal.entries()] == bodies
        assert verify(folder).ok


def test_a_negative_zero_clock_keeps_its_hash(tmp_path: Path) -> None:
    """The database keeps no negative zero, so none is hashed."""
    with Journal.create(tmp_path / "job") as journal:
        add(journal, "note", -0.0, -0.0)
    assert verify(tmp_path / "job").ok


def deep(levels: int) -> JsonValue:
    """Nest lists."""
    value: JsonValue = []
    for _ in range(levels):
        value = [value]
    return value


@pytest.mark.parametrize(
    "body",
    [
        float("nan"),
        {"a": [float("inf")]},
        (1, 2),
        {"a": ()},
        {1: "a"},
        "\ud800",
        b"x",
        deep(100_000),
    ],
    ids=["nan", "inf", "tuple", "inner tuple", "int key", "surrogate", "bytes", "deep"],
)
def test_what_is_no_json_is_refused(tmp_path: Path, body: JsonValue) -> None:
    """A body that would not read back equal is refused, and nothing is added."""
    with Journal.create(tmp_path / "job") as journal:
        with pytest.raises(JournalError, match=r"cannot be kept as JSON.*; pass plain JSON"):
            add(journal, "note", body)
        assert journal.last() is None


@pytest.mark.parametrize("time", ["2031-05-04T12:00:00", "noon", "", "2031-05-04"])
def test_time_needs_a_zone(tmp_path: Path, time: str) -> None:
    """A time without zone is refused: notes may be evidence years later."""
    with (
        Journal.create(tmp_path / "job") as journal,
        pytest.raises(JournalError, match="not ISO 8601 with a zone; pass a time such as"),
    ):
        journal.append("note", None, time_utc=time, monotonic_s=0)


@pytest.mark.parametrize("kind", ["", "Call", "a b", "a\n", "a\0"])
def test_kind_is_a_plain_word(tmp_path: Path, kind: str) -> None:
    """A kind that is no lower-case word is refused."""
    with (
        Journal.create(tmp_path / "job") as journal,
        pytest.raises(JournalError, match="is no entry kind"),
    ):
        add(journal, kind)


@pytest.mark.parametrize("clock", [float("nan"), float("inf")])
def test_clock_is_finite(tmp_path: Path, clock: float) -> None:
    """A clock that is no number is refused."""
    with (
        Journal.create(tmp_path / "job") as journal,
        pytest.raises(JournalError, match="is not finite"),
    ):
        add(journal, "note", None, clock)


def test_closing_is_final_and_may_be_repeated(tmp_path: Path) -> None:
    """Close is idempotent; every use after it is a clear error."""
    journal = Journal.create(tmp_path / "job")
    journal.close()
    journal.close()
    uses = (journal.last, journal.entries, journal.state_hash, journal.__enter__)
    for use in (*uses, lambda: add(journal, "note")):
        with pytest.raises(JournalError, match="the journal is closed; open it again"):
            use()


def test_readers_cannot_append(tmp_path: Path) -> None:
    """A job opened for reading takes no entry."""
    Journal.create(tmp_path / "job").close()
    with (
        Journal.open(tmp_path / "job", read_only=True) as journal,
        pytest.raises(JournalError, match="open for reading only; open it for writing"),
    ):
        add(journal, "note")


def files(folder: Path) -> dict[str, bytes]:
    """Read everything below a folder."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else b""
        for path in folder.rglob("*")
    }


@pytest.mark.parametrize("read_only", [False, True])
@pytest.mark.parametrize(
    ("content", "match"),
    [
        (None, r"not a job folder: job\.sqlite cannot be read"),
        (b"", "not the journal of a job"),
        (b"a list of stations, nothing else" * 10, "not the journal of a job"),
    ],
)
def test_what_is_no_job_is_left_as_it_is(
    tmp_path: Path, content: bytes | None, match: str, *, read_only: bool
) -> None:
    """Opening a folder that is no job is refused and creates nothing in it."""
    (tmp_path / "notes.txt").write_text("mine")
    if content is not None:
        (tmp_path / "job.sqlite").write_bytes(content)
    before = files(tmp_path)
    with pytest.raises(JournalError, match=match):
        Journal.open(tmp_path, read_only=read_only)
    with pytest.raises(JournalError, match=match):
        verify(tmp_path)
    assert files(tmp_path) == before


def test_what_is_not_there_is_no_damaged_job(tmp_path: Path) -> None:
    """A name misspelled, or a file: nothing is there to be rescued."""
    (tmp_path / "job.sqlite").write_bytes(b"")
    for name, match in (("nowhere", "there is no such folder"), ("job.sqlite", "this is a file")):
        with pytest.raises(JournalError, match=match) as caught:
            Journal.open(tmp_path / name)
        assert "rescue" not in str(caught.value)


def test_another_programs_database_is_no_job(tmp_path: Path) -> None:
    """A SQLite database without our mark is refused and stays as it is."""
    with closing(sqlite3.connect(tmp_path / "job.sqlite")) as raw:
        raw.execute("CREATE TABLE entry (sequence)")
        raw.commit()
    before = files(tmp_path)
    with pytest.raises(JournalError, match="not the journal of a job"):
        Journal.open(tmp_path)
    assert files(tmp_path) == before


def test_a_newer_schema_is_refused(tmp_path: Path) -> None:
    """A journal of a later program is not guessed at."""
    Journal.create(tmp_path / "job").close()
    with closing(sqlite3.connect(tmp_path / "job" / "job.sqlite")) as raw:
        raw.execute("PRAGMA user_version=2")
    with pytest.raises(JournalError, match="has schema 2, this program reads schema 1; open it"):
        Journal.open(tmp_path / "job")


def test_create_takes_only_a_new_or_empty_folder(tmp_path: Path) -> None:
    """Create never mixes a job with something else."""
    Journal.create(tmp_path / "job").close()
    with pytest.raises(JournalError, match="is a job already; open it instead"):
        Journal.create(tmp_path / "job")
    with pytest.raises(JournalError, match="the folder is not empty; name a new"):
        Journal.create(tmp_path)
    (tmp_path / "file").write_text("mine")
    with pytest.raises(JournalError, match="no job can be made here"):
        Journal.create(tmp_path / "file")


@pytest.mark.parametrize("at", ["mkdir", "replace"])
def test_making_that_was_cut_off_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: str
) -> None:
    """A kill while a job is made leaves no half job: the same is done again, and nothing stands."""

    class Killed(BaseException):
        pass

    def kill(*_: object, **__: object) -> None:
        raise Killed

    with monkeypatch.context() as broken:
        broken.setattr(Path, at, kill)
        with pytest.raises(Killed):
            Journal.create(tmp_path / "job")
    assert not is_job(tmp_path / "job")
    with Journal.create(tmp_path / "job") as journal:
        assert journal.last() is None
        add(journal, "note")
    assert not list((tmp_path / "job").glob("*.new*"))
    assert verify(tmp_path / "job").entries == 1


def test_job_that_another_made_meanwhile_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two that make the same job: the later one is refused, and what the first wrote stands."""
    take = database.take_lock

    def later(folder: Path, resources: ExitStack) -> None:
        monkeypatch.setattr(making, "take_lock", take)
        with Journal.create(folder) as journal:
            add(journal, "note")
        take(folder, resources)

    monkeypatch.setattr(making, "take_lock", later)
    with pytest.raises(JournalError, match="is a job by now; open it instead"):
        Journal.create(tmp_path / "job")
    assert verify(tmp_path / "job").entries == 1


def test_there_is_one_writer_and_any_number_of_readers(tmp_path: Path) -> None:
    """A second writer is refused at once; readers see what is committed; closing frees the job."""
    with Journal.create(tmp_path / "job") as journal:
        add(journal, "note")
        with pytest.raises(JournalError, match="another calllog is writing this job; close it"):
            Journal.open(tmp_path / "job")
        with Journal.open(tmp_path / "job", read_only=True) as reader:
            assert list(reader.entries()) == list(journal.entries())
        add(journal, "note")
    with Journal.open(tmp_path / "job") as journal:
        assert len(list(journal.entries())) == 2


def test_a_second_process_is_no_second_writer(tmp_path: Path) -> None:
    """The lock holds between processes too."""
    code = (
        "import sys; from pathlib import Path; from calllog.journal import Journal\n"
        "Journal.open(Path(sys.argv[1]))"
    )
    with Journal.create(tmp_path / "job"):
        done = subprocess.run(
            [sys.executable, "-c", code, tmp_path / "job"],
            capture_output=True,
            text=True,
            check=False,
        )
    assert "JournalError" in done.stderr
    assert "another calllog is writing this job" in done.stderr


def test_an_unusable_lock_is_reported(tmp_path: Path) -> None:
    """A lock file that is something else gives a clear error."""
    Journal.create(tmp_path / "job").close()
    (tmp_path / "job" / "job.lock").unlink()
    (tmp_path / "job" / "job.lock").mkdir()
    with pytest.raises(JournalError, match=r"job\.lock: is no plain file"):
        Journal.open(tmp_path / "job")


@pytest.mark.parametrize(
    ("statement", "match"),
    [
        ("UPDATE entry SET body = '1' WHERE sequence = 1", "never changed"),
        ("DELETE FROM entry WHERE sequence = 2", "never deleted"),
        ("DELETE FROM entry", "never deleted"),
        ("INSERT OR REPLACE INTO entry SELECT * FROM entry WHERE sequence = 1", "only appended"),
        ("INSERT INTO entry SELECT 9, '', 0, '', 1, '', '', ''", "only appended"),
    ],
)
def test_the_database_itself_refuses_rewriting(tmp_path: Path, statement: str, match: str) -> None:
    """The guards hold against any SQL, not only against our code."""
    with Journal.create(tmp_path / "job") as journal:
        add(journal, "note")
        add(journal, "note")
    with (
        closing(sqlite3.connect(tmp_path / "job" / "job.sqlite")) as raw,
        pytest.raises(sqlite3.IntegrityError, match=match),
    ):
        raw.execute(statement)


@pytest.fixture
def connections(monkeypatch: pytest.MonkeyPatch) -> list[sqlite3.Connection]:
    """Keep the connections by which journals are written."""
    kept: list[sqlite3.Connection] = []

    def connect(folder: Path, resources: ExitStack) -> sqlite3.Connection:
        kept.append(database.connect_writer(folder, resources))
        return kept[-1]

    monkeypatch.setattr(store, "connect_writer", connect)
    return kept


def test_writing_is_durable_by_settings(
    tmp_path: Path, connections: list[sqlite3.Connection]
) -> None:
    """The database runs in WAL with full synchronisation (2 = FULL in SQLite's manual)."""
    with Journal.create(tmp_path / "job"):
        connection = connections[-1]
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert connection.execute("PRAGMA synchronous").fetchone() == (2,)


def test_a_full_disk_adds_nothing_and_harms_nothing(
    tmp_path: Path, connections: list[sqlite3.Connection]
) -> None:
    """A refused write is an error, and the journal goes on when there is room again."""
    with Journal.create(tmp_path / "job") as journal:
        add(journal, "note")
        connection = connections[-1]
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        connection.execute(f"PRAGMA max_page_count={pages}")
        with pytest.raises(JournalError, match=r"entry 2 was not written .*full.*; check that"):
            add(journal, "note", "x" * 50_000)
        connection.execute("PRAGMA max_page_count=1000000")
        assert add(journal, "note", "x" * 50_000).sequence == 2
    assert verify(tmp_path / "job").entries == 2


APPENDING = """
import sys
from pathlib import Path
from calllog.journal import Journal

with Journal.open(Path(sys.argv[1])) as journal:
    print("ready", flush=True)
    while True:
        last = journal.last()
        number = last.sequence + 1 if last else 1
        entry = journal.append(
            "call", {"n": number, "pad": "x" * (number % 997)},
            time_utc="2031-05-04T12:00:00+00:00", monotonic_s=number / 8,
        )
        print(entry.hash, flush=True)
"""


@pytest.mark.slow
def test_a_killed_process_loses_nothing_it_reported(tmp_path: Path) -> None:
    """After SIGKILL at random moments, every entry reported as appended is there and verifies."""
    folder = tmp_path / "job"
    Journal.create(folder).close()
    chance = random.Random(20310504)  # noqa: S311 - a repeatable choice, no secret
    reported: list[str] = []
    for _ in range(4):
        with subprocess.Popen(
            [sys.executable, "-c", APPENDING, folder], stdout=subprocess.PIPE, text=True
        ) as child:
            assert child.stdout is not None
            assert child.stdout.readline() == "ready\n"
            lines = [child.stdout.readline() for _ in range(chance.randrange(1, 200))]
            child.send_signal(signal.SIGKILL)
            lines += child.stdout.readlines()
        reported += [line.strip() for line in lines if line.endswith("\n")]
        assert verify(folder).ok
        with Journal.open(folder) as journal:
            found = [entry.hash for entry in journal.entries()]
            assert found[: len(reported)] == reported
            assert len(found) - len(reported) <= 1  # the one in the air when it was killed
            reported = found


def test_a_reader_beside_a_busy_writer_sees_a_sound_prefix(tmp_path: Path) -> None:
    """Copies taken while another process appends and checkpoints are always whole."""
    folder = tmp_path / "job"
    Journal.create(folder).close()
    counts = []
    with subprocess.Popen(
        [sys.executable, "-c", APPENDING, folder], stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        for _ in range(20):
            for _ in range(50):
                child.stdout.readline()
            found = verify(folder)
            assert found.ok, found
            counts.append(found.entries)
        child.kill()
        child.stdout.read()
    assert counts == sorted(counts)
    assert counts[-1] >= 950


@pytest.mark.parametrize(
    "text",
    ["1e999", "-1e400", "[1, NaN]", "Infinity", "-Infinity", "1" * 101, f"[{'9' * 150}]", "1E0999"],
)
def test_number_that_nobody_can_compute_with_is_refused_when_read(text: str) -> None:
    """The quick way through ordinary entries lets no endless or infinite number pass."""
    entry = seal("note", None, time_utc=NOON, monotonic_s=0.0, after=None)
    forged = entry.model_copy(update={"body": text, "hash": ""})
    forged = forged.model_copy(update={"hash": entry_hash(forged)})
    assert "is beyond what an entry holds" in fault_of(forged, None)


@given(st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**100) + 1, 10**100 - 1))
def test_number_that_fits_is_read_back(value: float) -> None:
    """Whatever may be kept is read, by the quick way or the careful one."""
    entry = seal("note", value, time_utc=NOON, monotonic_s=0.0, after=None)
    assert fault_of(entry, None) == ""
    assert entry.content == value


def _by_json(text: str) -> object:
    try:
        return repr(json.loads(text))
    except ValueError:
        return ValueError


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
        max_leaves=6,
    ).map(json.dumps),
    st.integers(0, 200),
    st.text('[]{},:"\\0123456789eE+-.ud8 \t\n\x00é', max_size=4),
)
def test_body_is_read_as_python_reads_it(text: str, place: int, noise: str) -> None:
    """The quick reader of bodies gives what the standard library's gives, broken texts too."""
    for each in (text, text[:place] + noise + text[place:]):
        found: object = ValueError
        with suppress(ValueError):
            found = repr(_entry(each).content)
        assert found == _by_json(each)


def _entry(body: str) -> Entry:
    blank = seal("note", None, time_utc=NOON, monotonic_s=0.0, after=None)
    return blank.model_copy(update={"body": body})
