"""The rescue: what is sound of a damaged job becomes a new job that says so; the old one stays."""

from __future__ import annotations

import json
import os
import re
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from calllog.cli import app
from calllog.commands.rescue import what_came
from calllog.errors import CalllogError, ConfigError, JournalError
from calllog.journal import Entry, Journal, Rescue, making, salvage, seal
from calllog.journal.carving import longest_chain
from calllog.office import rescue_job, summarise
from calllog.office.probable_pulls import probable_pulls
from calllog.office.summary import verify_job
from calllog.page import write_pages
from calllog.session import Job
from calllog.values import Decision, ReadingUnit
from calllog.wording import ENGLISH
from tests.golden.make_jobs import feet_job
from tests.reading_html import Reader

NOON = ("2031-05-05T12:00:00+00:00", 5.0)
PAGE = 4096


FORMAT_1 = Path(__file__).parent / "golden" / "jobs_1" / "feet"


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Copy the kept job of format 1, of 85 entries, at rest."""
    folder = Path(shutil.copytree(FORMAT_1, tmp_path_factory.mktemp("jobs") / "day-1"))
    Journal.open(folder).close()  # notes the last entry, which the kept job does not
    return folder


@pytest.fixture
def job(sound: Path, tmp_path: Path) -> Path:
    """Copy it, to be damaged."""
    shutil.copytree(sound, tmp_path / "day-1")
    return tmp_path / "day-1"


@pytest.fixture
def killed(tmp_path: Path) -> Path:
    """Make a job whose last entries stand in the write-ahead log alone."""
    feet_job(tmp_path / "whole")
    with Job.open(tmp_path / "whole") as whole:
        for number in range(9):
            whole.note("disk_failed", {"n": number, "reason": "x" * 900 * number})
        shutil.copytree(tmp_path / "whole", tmp_path / "day-1")
    return tmp_path / "day-1"


def entries(folder: Path) -> tuple[Entry, ...]:
    """Read a journal."""
    with Journal.open(folder, read_only=True) as journal:
        return tuple(journal.entries())


def contents(folder: Path) -> dict[str, bytes]:
    """Read every file below a folder."""
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def change(path: Path, old: bytes, new: bytes) -> None:
    """Change bytes of a file in place, wherever they stand."""
    data = path.read_bytes()
    assert old in data
    path.write_bytes(data.replace(old, new))


def page_of(path: Path, entry: Entry) -> int:
    """Find where the page of an entry begins."""
    return path.read_bytes().index(entry.hash.encode()) // PAGE * PAGE


def test_flipped_bit_is_turned_back(sound: Path, job: Path, tmp_path: Path) -> None:
    """One bit of a body: named, and mended, since the hash proves what it was; nothing is lost."""
    change(job / "job.sqlite", b"not sure of fifty", b"not sure of gifty")
    found = verify_job(job)
    assert (found.ok, found.first_bad) == (False, 35)
    assert "calllog rescue" in found.next_step
    before = contents(job)
    told = rescue_job(job, tmp_path / "new", lambda: NOON)
    assert contents(job) == before
    assert (told.entries, told.lost, told.mended) == (85, 0, (35, 36))
    assert ENGLISH.say(told.wrong).startswith("entry 35 was changed after it was written")
    assert entries(tmp_path / "new")[:85] == entries(sound)
    assert summarise(tmp_path / "new").corrected == summarise(sound).corrected


def test_torn_page_in_the_middle_leaves_the_unbroken_beginning(
    sound: Path, job: Path, tmp_path: Path
) -> None:
    """What stands before the page is carried over; what can be read after it is kept aside."""
    whole = entries(sound)
    path = job / "job.sqlite"
    at = page_of(path, whole[39])
    data = bytearray(path.read_bytes())
    data[at : at + PAGE] = bytes(PAGE)
    path.write_bytes(data)
    first = verify_job(job).first_bad
    assert first is not None
    told = rescue_job(job, tmp_path / "new", lambda: NOON)
    assert first - 1 <= told.entries < 39
    assert told.lost == 85 - told.entries
    assert 0 < told.apart < told.lost
    kept = (tmp_path / "new" / told.kept_in).read_text("utf-8").splitlines()
    later = [Entry.model_validate_json(line) for line in kept]
    assert later == [entry for entry in whole if entry in later]
    assert len(later) == told.apart
    assert whole[-1] in later


def test_new_job_says_that_it_was_rescued(job: Path, tmp_path: Path) -> None:
    """Its journal, its proof, its report and its page: from what, how many, what was lost."""
    path, new = job / "job.sqlite", tmp_path / "new"
    path.write_bytes(path.read_bytes()[: -PAGE * 3])
    told = rescue_job(job, new, lambda: NOON)
    last = entries(new)[-1]
    assert (last.kind, last.time_utc) == ("rescued", NOON[0])
    assert json.loads(last.body)["job"] == "day-1"
    proof = CliRunner().invoke(app, ["verify", str(new)])
    assert proof.exit_code == 0
    words = f"! RESCUED from day-1 on {NOON[0]}"
    carried = f"{told.entries} entries were carried over"
    assert words in proof.output
    assert carried in proof.output
    document = json.loads(CliRunner().invoke(app, ["verify", str(new), "--json"]).output)
    assert document["rescued"][0]["lost"] == told.lost > 0
    reported = CliRunner().invoke(app, ["report", str(new)])
    assert reported.exit_code == 0
    assert words in reported.output
    log = json.loads((new / "out" / "segments.json").read_text("utf-8"))
    assert log["job"]["rescued"][0]["entries"] == told.entries
    pages = write_pages(new, summarise(new), tmp_path / "pages")
    text = Reader(pages.files[0].read_text("utf-8")).text
    assert "Rescued from day-1 on 2031-05-05 12:00:00 UTC:" in text
    assert f"{told.lost} later ones are known to be lost" in text
    assert "no entry finishes this line; one that was lost may have" in text
    assert "the crew did not finish" not in text


def test_new_job_is_gone_on_with(job: Path, tmp_path: Path) -> None:
    """A rescued job takes decisions, and its consequences that were cut off are recorded first."""
    whole = entries(job)
    decided = next(entry for entry in whole if entry.kind == "decision")
    path = job / "job.sqlite"
    # the segment that followed from the decision, and all after it
    change(path, whole[decided.sequence].hash.encode(), b"0" * 64)
    told = rescue_job(job, tmp_path / "new", lambda: NOON)
    assert told.entries == decided.sequence
    kinds = [entry.kind for entry in entries(tmp_path / "new")[told.entries :]]
    assert kinds == ["segment", "rescued"]
    with Job.open_existing(tmp_path / "new") as new:
        assert new.replay.segments[-1].pull == Decision.model_validate_json(decided.body).pull
        new.note("phone_codes_guessed", {})
    assert verify_job(tmp_path / "new").ok


def test_signature_stands_with_what_came_after_it(job: Path, tmp_path: Path) -> None:
    """A sign-off that is carried over still fits its hash, and the rescue counts as a change."""
    told = rescue_job(job, tmp_path / "new", lambda: NOON)
    assert (told.wrong, told.lost) == (None, 0)
    replay = summarise(tmp_path / "new").replay
    assert replay.later(replay.signed[-1]) == ((86, "rescued"),)


def test_log_is_read_though_a_frame_is_torn(killed: Path, tmp_path: Path) -> None:
    """A torn log hides later entries from SQLite; those that are sound are kept."""
    whole = entries(killed)
    log = killed / "job.sqlite-wal"
    data = bytearray(log.read_bytes())
    data[32 + 8] ^= 1  # the first frame's salt: SQLite believes no frame from here on
    log.write_bytes(data)
    found = verify_job(killed)
    assert not found.ok
    assert found.first_bad is not None
    assert found.wrong.endswith("missing at the end, though written")
    with pytest.raises(JournalError, match="calllog rescue"):
        Job.open_existing(killed)
    assert log.read_bytes() == data
    told = rescue_job(killed, tmp_path / "new", lambda: NOON)
    assert (told.entries, told.lost) == (len(whole), 0)


def test_deleted_log_is_told(killed: Path, tmp_path: Path) -> None:
    """The entries of a log that was deleted are gone; the note of the end knows of them."""
    whole = entries(killed)
    (killed / "job.sqlite-wal").unlink()
    for look in (summarise, Job.open_existing):
        with pytest.raises(
            JournalError, match=r"missing at the end, though written; `calllog resc"
        ):
            look(killed)
    told = rescue_job(killed, tmp_path / "new", lambda: NOON)
    assert told.entries + told.lost == len(whole)
    assert told.lost > 0


def test_log_alone_is_enough(tmp_path: Path) -> None:
    """A job killed in its first sitting stands in the log: the database may be gone."""
    with Job.open(tmp_path / "whole") as whole:
        for number in range(9):
            whole.note("disk_failed", {"n": number, "reason": "x" * 900 * number})
        shutil.copytree(tmp_path / "whole", tmp_path / "day-1")
    (tmp_path / "day-1" / "job.sqlite").unlink()
    with pytest.raises(JournalError, match=r"job\.sqlite cannot be read.*calllog rescue"):
        Job.open(tmp_path / "day-1")
    assert rescue_job(tmp_path / "day-1", tmp_path / "new", lambda: NOON).entries == 10
    assert entries(tmp_path / "new")[:-1] == entries(tmp_path / "whole")


def test_log_without_the_beginning_is_not_enough(killed: Path, tmp_path: Path) -> None:
    """Without its first entry nothing of a chain can be proved: said, and the old job stays."""
    before = contents(killed)
    (killed / "job.sqlite").unlink()
    with pytest.raises(JournalError, match="the first entry of the journal cannot be read"):
        rescue_job(killed, tmp_path / "new", lambda: NOON)
    before.pop(str(killed / "job.sqlite"))
    assert contents(killed) == before


def test_writer_is_refused_before_anything_is_changed(killed: Path) -> None:
    """Opening a damaged job for work leaves every byte: the log is not carried over nor deleted."""
    change(killed / "job.sqlite-wal", b"T-100-3", b"T-100-8")
    before = contents(killed)
    with pytest.raises(JournalError, match="calllog rescue"):
        Job.open_existing(killed)
    after = contents(killed)
    assert {name: after[name] for name in before if "lock" not in name} == {
        name: data for name, data in before.items() if "lock" not in name
    }


def test_rollback_journal_is_not_played_back(job: Path, tmp_path: Path) -> None:
    """SQLite would overwrite pages by a journal that lies there; calllog does not let it."""
    (job / "job.sqlite-journal").write_bytes(b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7" + bytes(600))
    for look in (verify_job, summarise, Job.open_existing):
        with pytest.raises(JournalError, match=r"job.sqlite-journal lies beside.*calllog rescue"):
            look(job)
    assert rescue_job(job, tmp_path / "new").lost == 0


@pytest.mark.parametrize(
    "damage",
    [
        lambda path: path.write_bytes(b""),
        lambda path: path.write_bytes(path.read_bytes()[:50]),
        lambda path: path.write_bytes(bytes(len(path.read_bytes()))),
        lambda path: path.unlink(),
    ],
    ids=["empty", "cut", "zeros", "gone"],
)
def test_nothing_left_is_said(job: Path, tmp_path: Path, damage: Callable[[Path], None]) -> None:
    """No entry can be read: the one declared error, no new job; each command names the rescue."""
    damage(job / "job.sqlite")
    for words in (["verify", str(job)], ["report", str(job)], ["sign", str(job), "--by", "me"]):
        done = CliRunner().invoke(app, words)
        assert isinstance(done.exception, CalllogError)
        assert f"calllog rescue {job}" in str(done.exception)
    with pytest.raises(JournalError, match="nothing can be rescued: no entry"):
        rescue_job(job, tmp_path / "new")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["day-1"]


def test_header_of_the_database_is_not_needed(job: Path, sound: Path, tmp_path: Path) -> None:
    """A first page of zeros costs nothing but the first page."""
    path = job / "job.sqlite"
    path.write_bytes(bytes(PAGE) + path.read_bytes()[PAGE:])
    with pytest.raises(JournalError, match=r"first bytes are damaged.*calllog rescue"):
        verify_job(job)
    told = rescue_job(job, tmp_path / "new")
    assert ENGLISH.say(told.wrong) == "not the journal of a job (or its first bytes are damaged)"
    assert entries(tmp_path / "new")[:-1] == entries(sound)


def test_lost_and_changed_sounds_are_told(job: Path, tmp_path: Path) -> None:
    """A sound that is gone is named and no longer missed; one that was changed is set apart."""
    (job / "audio" / "000001.flac").unlink()
    (job / "audio" / "000003.flac").write_bytes(b"noise")
    assert verify_job(job).first_bad == 8
    told = rescue_job(job, tmp_path / "new")
    assert told.clips_lost == ("audio/000001.flac", "audio/000003.flac")
    assert (tmp_path / "new" / "audio" / "000003.flac.changed").read_bytes() == b"noise"
    assert (tmp_path / "new" / "audio" / "000028.flac").read_bytes() == b"sound 28"
    assert verify_job(tmp_path / "new").ok
    (tmp_path / "new" / "audio" / "000003.flac").write_bytes(b"another")
    assert (
        verify_job(tmp_path / "new").wrong == "the clip audio/000003.flac of entry 10 was changed"
    )


def test_all_other_files_are_carried_over(job: Path, tmp_path: Path) -> None:
    """Certificates, reports, whatever lies there; links are not followed, and said."""
    (job / "tapes").mkdir()
    (job / "tapes" / "cut.toml").write_text("mine")
    (tmp_path / "secret").write_text("not mine")
    (job / "link").symlink_to(tmp_path / "secret")
    (job / "linked").symlink_to(tmp_path, target_is_directory=True)
    told = rescue_job(job, tmp_path / "new")
    assert (tmp_path / "new" / "tapes" / "cut.toml").read_text() == "mine"
    assert sorted(told.files_lost) == ["link", "linked"]
    assert not (tmp_path / "new" / "link").exists()


def test_pages_that_the_disk_does_not_give_up_are_read_around(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk error costs its page; what stands before it is carried over."""
    at = page_of(job / "job.sqlite", entries(job)[39])
    read = os.pread

    def broken(file: int, size: int, offset: int) -> bytes:
        if offset <= at < offset + size:
            raise OSError(5, "Input/output error")
        return read(file, size, offset)

    monkeypatch.setattr(os, "pread", broken)
    assert 0 < len(salvage(job).chain) < 40
    assert rescue_job(job, tmp_path / "new").entries == len(salvage(job).chain)


def test_where_entries_do_not_follow_the_job_is_cut(job: Path, tmp_path: Path) -> None:
    """A chain that is whole, but whose segment is not what the calls give: cut before it."""
    with Journal.open(job) as journal:
        journal.append("segment", {"pull": 99}, time_utc=NOON[0], monotonic_s=NOON[1])
        journal.append("phone_codes_guessed", {}, time_utc=NOON[0], monotonic_s=NOON[1])
    assert "calllog rescue" in verify_job(job).next_step
    with pytest.raises(JournalError, match=r"does not follow from the calls.*calllog rescue"):
        Job.open_existing(job)
    told = rescue_job(job, tmp_path / "new")
    assert (told.entries, told.lost, told.apart) == (85, 2, 2)
    assert ENGLISH.say(told.wrong) == "entry 86 (segment) does not follow from the calls"


def test_new_folder_is_new_and_elsewhere(job: Path, tmp_path: Path) -> None:
    """Nothing is overwritten, and the damaged job is not written into."""
    with pytest.raises(ConfigError, match="not empty; name a new one with --out"):
        rescue_job(job, tmp_path)
    with pytest.raises(ConfigError, match="would lie in the old one"):
        rescue_job(job, job / "new")
    (tmp_path / "file").write_text("mine")
    with pytest.raises(JournalError, match=r"cannot be written .*; name another folder with --out"):
        rescue_job(job, tmp_path / "file" / "new")
    assert not list(tmp_path.glob(".*"))


def test_full_disk_leaves_no_half_job(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A new job that cannot be written is an error with the way out, and nothing is left of it."""

    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(making, "insert_entry", full)
    with pytest.raises(JournalError, match=r"no journal can be written \(database or disk is full"):
        rescue_job(job, tmp_path / "new")
    assert [path.name for path in tmp_path.iterdir()] == ["day-1"]


def test_a_write_made_again_is_followed(job: Path) -> None:
    """Two entries may follow from one where a write broke off: the noted way, then the longer."""
    chain = entries(job)
    after = chain[-3]
    other = seal("broken", None, time_utc=NOON[0], monotonic_s=NOON[1], after=after)
    assert longest_chain((other, *chain)) == chain
    assert longest_chain((*reversed(chain), other), other.hash) == (*chain[:-2], other)
    last = seal("broken", None, time_utc=NOON[0], monotonic_s=NOON[1], after=chain[-2])
    assert longest_chain((*chain, last)) == chain
    assert longest_chain((last, *chain)) == (*chain[:-1], last)
    assert longest_chain(chain[1:]) == ()


def test_command_tells_and_writes_beside_the_job(job: Path) -> None:
    """Without --out the new job lies beside the old one; what came over is printed."""
    change(job / "job.sqlite", b"not sure of fifty", b"not sure of gifty")
    done = CliRunner().invoke(app, ["rescue", str(job)])
    assert done.exit_code == 0
    words = " ".join(done.output.split())
    assert "Wrong: entry 35 was changed after it was written" in words
    assert "85 entries were carried over, up to entry 85; no later ones are known to be" in words
    assert "A single bit had been flipped in entries 35, 36 and was turned back" in words
    assert verify_job(job.with_name("day-1-rescued")).ok
    again = CliRunner().invoke(app, ["rescue", str(job)])
    assert isinstance(again.exception, ConfigError)


def test_what_could_not_be_carried_is_listed_as_probable_pulls(job: Path, tmp_path: Path) -> None:
    """Each pull in the entries kept aside, readable, in the lengths that were recorded then."""
    whole = entries(job)
    path = job / "job.sqlite"
    data = bytearray(path.read_bytes())
    at = page_of(path, whole[39])
    data[at : at + PAGE] = bytes(PAGE)
    path.write_bytes(data)
    told = rescue_job(job, tmp_path / "new", lambda: NOON)
    assert told.pulls_in == f"probable-pulls-after-{told.entries}.txt"
    text = (tmp_path / "new" / told.pulls_in).read_text("utf-8")
    assert text.startswith(f"Probable pulls of day-1, from entries after entry {told.entries}.\n")
    apart = [
        Entry.model_validate_json(line)
        for line in (tmp_path / "new" / told.kept_in).read_text("utf-8").splitlines()
    ]
    recorded = [entry for entry in apart if entry.kind == "segment"]
    assert recorded
    rows = [line for line in text.splitlines() if " recorded (" in line]
    for row, entry in zip(rows, recorded, strict=True):
        body = json.loads(entry.body)
        first = body["take"]["length"]
        assert row.startswith(f"pull {body['pull']} of {body['line_from']} to {body['line_to']}: ")
        assert f"{body['length_read_ft']:.3f} ft recorded" in row
        assert f"first {first // 100}.{first % 100:02}" in row
        assert row.endswith(f"(entry {entry.sequence}, {entry.time_utc})")
    assert verify_job(tmp_path / "new").ok


def test_hostile_bodies_make_no_line_of_their_own() -> None:
    """Entries behind a gap may be anything: each is one line at most, and no fault."""
    bodies: list[tuple[str, object]] = [
        ("segment", {"pull": "1\nfake", "take": 3, "check": {"length": "x"}, "superseded": {}}),
        ("segment", []),
        ("decision", {}),
        ("call", {"number": 7, "value": 1542, "outcome": "call", "text": "\x1b[2J\nhi"}),
        ("call", {"number": 8, "value": None, "outcome": "call"}),
        ("call", {"number": [9], "value": None, "outcome": "call"}),
        ("segment", {"take": {"calls": [[1], {}]}, "check": {"calls": {}}}),
    ]
    apart = [
        seal(kind, body, time_utc=NOON[0], monotonic_s=0.0, after=None)  # type: ignore[arg-type]
        for kind, body in bodies
    ]
    apart += [apart[3].model_copy(update={"body": body}) for body in ("", "{", "[" * 100_000)]
    rows = probable_pulls(apart, ReadingUnit.FOOT, "job\n", 3)[5:]
    assert len(rows) == 4
    assert all(row.isprintable() for row in rows)
    assert "15.42" in rows[2]


@pytest.mark.parametrize("number", [0, 1, 2])
def test_messages_of_a_rescue_count_right(number: int) -> None:
    """One entry was, two entries were; one sound is, two sounds are."""
    told = Rescue(
        job="day-1",
        entries=max(number, 1),
        wrong=None,
        mended=(),
        lost=number,
        apart=number,
        kept_in="aside.jsonl" if number else "",
        clips_lost=tuple(f"audio/{at}.flac" for at in range(number)),
        files_lost=tuple(f"photo {at}" for at in range(number)),
        calllog="0",
    )
    text = " ".join(what_came(told))
    assert not re.search(r"\b1 (entries|later ones|sounds|pulls)|\b2 (entry|sound|pull)\b", text)
    if number == 1:
        assert "1 entry was carried over, up to entry 1; 1 later one is known to be lost." in text
        assert "1 sound is lost: audio/0.flac. File that could not be read: photo 0." in text
