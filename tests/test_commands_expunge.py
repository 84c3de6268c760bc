"""Sounds and typed words go for good at a person's request, and everything says so."""

from __future__ import annotations

import csv
import json
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from calllog.cli import main
from calllog.errors import JournalError
from calllog.journal import Journal, Salvaged, salvage
from calllog.office import (
    expunge,
    replay_job,
    rescue_job,
    rescuing,
    summarise,
    wanted,
    write_report,
)
from calllog.office.summary import verify_job
from calllog.page import write_pages
from calllog.session import Job, left_over
from calllog.spoken import Parser
from calllog.values import Kind, Outcome
from tests.consenting import agree
from tests.fieldjob import Paper, settings
from tests.soundjob import HEAD_CALLS, PULL, REAR_CALLS, Crew, sound_job
from tests.tapes import certificate
from tests.test_session_consent import clips
from tests.test_session_job import PaperClock

ROOT = Path(__file__).parent.parent
WHY = ("--by", "the office", "--why", "asked by letter")
NOTE = (0, "station zero plus ten right eighteen point four")
REMARK = ((0, "remark follows"), (0, "whatever"))
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command; give exit code, output and errors."""

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["calllog", *map(str, words)])
        with pytest.raises(SystemExit) as end:
            main()
        said = capsys.readouterr()
        return int(end.value.code or 0), said.out, said.err

    return command


def entry_of(folder: Path, kind: str = "expunged") -> dict[str, object]:
    """Read the one entry of a kind, with its number."""
    with Journal.open(folder, read_only=True) as journal:
        (entry,) = journal.entries(kind)
    assert isinstance(entry.content, dict)
    return {"entry": entry.sequence, **entry.content}


def names(*calls: int) -> list[str]:
    """Name the sounds of calls."""
    return [f"audio/{call:06d}.flac" for call in calls]


def test_a_persons_sounds_go_and_all_else_stays(tmp_path: Path, parser: Parser, run: Run) -> None:
    """Files of that person's microphone are gone, another's are there, the pulls are the same."""
    folder = sound_job(tmp_path / "job", parser)
    before = summarise(folder)
    code, said, _ = run("expunge", folder, "--person", "Ash", *WHY, "--yes")
    assert code == 0
    assert clips(folder) == list(REAR_CALLS)
    told = entry_of(folder)
    number = told.pop("entry")
    assert told == {
        "calls": list(HEAD_CALLS),
        "files": names(*HEAD_CALLS),
        "copies": [],
        "by": "the office",
        "why": "asked by letter",
        "person": "Ash",
    }
    assert f"removed at a person's request, entry {number}: sound or words of Ash" in said
    assert "Out of reach are copies of the job" in said
    after = summarise(folder)
    assert after.corrected == before.corrected
    assert [each.value for each in after.replay.calls] == [
        each.value for each in before.replay.calls
    ]


def test_verify_says_what_was_removed_and_finds_no_fault(
    tmp_path: Path, parser: Parser, run: Run
) -> None:
    """Removed by an entry is no fault; missing without one is."""
    folder = sound_job(tmp_path / "job", parser)
    run("expunge", folder, "--call", 2, *WHY, "--yes")
    number = entry_of(folder)["entry"]
    code, said, _ = run("verify", folder)
    assert (code, f"removed at a person's request, entry {number}" in said) == (0, True)
    code, said, _ = run("verify", folder, "--json")
    (removed,) = json.loads(said)["removed"]
    assert (removed["entry"], removed["calls"]) == (number, [2])
    (folder / "audio" / "000003.flac").unlink()
    code, _, said = run("verify", folder)
    assert (code, "the clip audio/000003.flac of entry" in said) == (1, True)


def test_nothing_is_shown_of_what_was_removed(tmp_path: Path, parser: Parser) -> None:
    """Page, CSV and JSON say where a sound was; none of them names the file."""
    folder = sound_job(tmp_path / "job", parser, (*PULL, NOTE, *REMARK), remark="gate locked")
    found = summarise(folder).replay
    assert [each.kind for each in found.calls[5:]] == [
        *(Kind.NOTE, Kind.COMMAND, Kind.REMARK),
        Kind.REMARK,
    ]
    with Job.open_existing(folder) as job:
        _expunge(job, 1, 6, 8, 9)
    summary = summarise(folder)
    written = write_pages(folder, summary, tmp_path / "page")
    assert (written.clips, written.clips_missing) == (5, 0)
    page = (tmp_path / "page" / "line-1.html").read_text("utf-8")
    assert page.count("sound removed at a person&#39;s request") >= 3
    assert "words removed at a person&#39;s request" in page
    assert "gate locked" not in page
    for number in (1, 6, 8):
        assert f"{number:06d}.flac" not in page
        assert not (tmp_path / "page" / "audio" / f"{number:06d}.flac").exists()
    write_report(summary, tmp_path / "out")
    with (tmp_path / "out" / "notes.csv").open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    assert row["clip"] == row["remark_clips"] == "sound removed at a person's request"
    log = json.loads((tmp_path / "out" / "segments.json").read_text("utf-8"))
    assert log["notes"][0]["clip"] == "sound removed at a person's request"
    assert [each["clip"] for each in log["remarks"]] == [
        "sound removed at a person's request",
        "words removed at a person's request",
    ]


def _expunge(job: Job, *calls: int) -> None:
    assert expunge(job, wanted(job, calls), by="x", why="y") == ()


def test_typed_words_go_with_their_file(tmp_path: Path, parser: Parser, run: Run) -> None:
    """No file of the job holds them after it; the remark itself stays, and the job is sound."""
    folder = sound_job(tmp_path / "job", parser, remark="gate locked by Elder")
    (folder / "out" / "log.csv").write_text("gate locked by Elder", "utf-8")
    code, said, _ = run("expunge", folder, "--call", 6, *WHY, "--yes")
    assert code == 0
    assert "words of 1 typed remark: remarks/000006.json" in said
    assert "may show the words: out/log.csv" in said
    kept = [path for path in folder.rglob("*") if path.is_file() and path.name != "log.csv"]
    assert not any(b"gate locked" in path.read_bytes() for path in kept)
    assert replay_job(folder).remarks[-1].call == 6
    assert verify_job(folder).ok
    assert run("expunge", folder, "--call", 6, *WHY, "--yes")[0] == 1


def test_words_in_an_old_journal_can_only_be_hidden(tmp_path: Path, run: Run) -> None:
    """That is said plainly; every output leaves them out from then on."""
    folder = tmp_path / "job"
    with Job.open(folder) as job:
        paper = Paper(job)
        job.begin_line(settings("Heron", "Alder", tape="T-9"), certificate(identity="T-9"))
        old = {"text": "gate locked by Elder", "is_keyed": True, "outcome": Outcome.IGNORED}
        paper.pull(1542, 1542).call(Kind.REMARK, **old, source="live-1#phone Chief")
    write_pages(folder, summarise(folder), tmp_path / "before")
    assert "gate locked" in (tmp_path / "before" / "line-1.html").read_text("utf-8")
    code, said, _ = run("expunge", folder, "--call", 4, *WHY, "--yes")
    assert (code, "they cannot be taken out of it" in said) == (0, True)
    write_pages(folder, summarise(folder), tmp_path / "after")
    assert "gate locked" not in (tmp_path / "after" / "line-1.html").read_text("utf-8")
    with Job.open_existing(folder) as job:
        assert "gate locked" not in str(job.replay.calls)
        assert "gate locked" not in str(job.replay.recent)
    assert verify_job(folder).ok


def test_copies_in_the_job_are_found_by_what_they_hold(
    tmp_path: Path, parser: Parser, run: Run
) -> None:
    """Beside a page or under any name; what only looks like it, or is another's, stays."""
    folder = sound_job(tmp_path / "job", parser)
    write_pages(folder, summarise(folder), folder / "out" / "page")
    shutil.copy(folder / "audio" / "000002.flac", folder / "out" / "for the lawyer.bin")
    (folder / "audio" / "000099.flac").write_bytes(b"of no call")
    code, said, _ = run("expunge", folder, "--call", 2, *WHY, "--yes")
    copies = ["out/for the lawyer.bin", "out/page/audio/000002.flac"]
    assert code == 0
    assert entry_of(folder)["copies"] == copies
    assert f"2 copies in the job's folder: {', '.join(copies)}" in said
    assert "belong to no call, so nobody knows whose they are: audio/000099.flac;" in said
    assert not any((folder / each).exists() for each in copies)
    assert len(list((folder / "out" / "page" / "audio").iterdir())) == 4
    assert (folder / "audio" / "000099.flac").exists()


KILLED = """
import os, signal, sys
from calllog.cli import main
from calllog.session import removal

left = int(sys.argv.pop(1))

def remove(*named):
    global left
    if not left:
        os.kill(os.getpid(), signal.SIGKILL)
    left -= 1
    return kept(*named)

kept, removal.remove_plain = removal.remove_plain, remove
main()
"""


@pytest.mark.parametrize("removed", [0, 1, 2])
def test_removal_that_is_killed_is_finished_by_the_next_work(
    tmp_path: Path, parser: Parser, run: Run, removed: int
) -> None:
    """The entry is there first; `verify` says what is left, opening the job removes it."""
    folder = sound_job(tmp_path / "job", parser)
    words = ("expunge", str(folder), "--person", "Ash", *WHY, "--yes")
    killed = subprocess.run(
        [sys.executable, "-c", KILLED, str(removed), *words],
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    assert killed.returncode == -9, killed.stderr
    left = list(HEAD_CALLS[removed:])
    assert clips(folder) == sorted([*REAR_CALLS, *left])
    assert left_over(folder, replay_job(folder)) == tuple(names(*left))
    code, said, _ = run("verify", folder)
    assert (code, f"STILL THERE: {', '.join(names(*left))}" in said) == (0, True)
    written = write_pages(folder, summarise(folder), tmp_path / "page")
    assert (written.clips, written.clips_missing) == (2, 0)
    Job.open_existing(folder).close()
    assert clips(folder) == list(REAR_CALLS)
    assert "STILL THERE" not in run("verify", folder)[1]


def test_entry_is_on_disk_before_any_file_goes(
    tmp_path: Path, parser: Parser, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """Where the journal takes nothing, nothing is removed."""
    folder = sound_job(tmp_path / "job", parser)

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("calllog.journal.store.insert_entry", refuse)
        code, _, said = run("expunge", folder, "--person", "Ash", *WHY, "--yes")
    assert (code, "was not written" in said) == (1, True)
    assert len(clips(folder)) == 5


def test_file_that_cannot_be_removed_is_named(
    tmp_path: Path, parser: Parser, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    """Now, and whenever the job is opened for work, until it is gone."""
    folder = sound_job(tmp_path / "job", parser)

    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    with monkeypatch.context() as patch:
        patch.setattr("calllog.session.removal.remove_plain", refuse)
        _, said, _ = run("expunge", folder, "--call", 2, *WHY, "--yes")
        assert "audio/000002.flac cannot be removed; remove it by hand" in said
        _, _, said = run("consent", folder)
        assert "audio/000002.flac was to be removed at a person's request and cannot be" in said
    assert run("consent", folder)[2] == ""
    assert 2 not in clips(folder)


def test_link_in_the_place_of_a_sound_leads_nowhere(tmp_path: Path, parser: Parser) -> None:
    """In a stranger's job nothing outside the folder is removed."""
    folder = sound_job(tmp_path / "job", parser, remark="gate locked")
    (tmp_path / "own").mkdir()
    for name in ("000002.flac", "000006.json"):
        (tmp_path / "own" / name).write_bytes(b"mine")
    with Job.open_existing(folder) as job:
        _expunge(job, 2, 6)
    (folder / "audio" / "000002.flac").symlink_to(tmp_path / "own" / "000002.flac")
    shutil.rmtree(folder / "remarks")
    (folder / "remarks").symlink_to(tmp_path / "own")
    with Job.open_existing(folder) as job:
        assert job.not_removed == (*names(2), "remarks/000006.json")
    assert len(list((tmp_path / "own").iterdir())) == 2


@pytest.mark.parametrize("copy", ["job.sqlite", "../own", "out/log.csv", "/etc/hostname"])
def test_copy_is_removed_only_if_it_holds_the_sound(
    tmp_path: Path, parser: Parser, copy: str
) -> None:
    """A journal of a stranger that names any other file has nothing removed by it."""
    folder = sound_job(tmp_path / "job", parser)
    (tmp_path / "own").write_bytes(b"mine")
    (folder / "out" / "log.csv").write_bytes(b"mine")
    with Job.open_existing(folder) as job:
        told = {"calls": [2], "files": names(2), "copies": [copy], "by": "x", "why": "y"}
        job.note("expunged", told)  # type: ignore[arg-type]
    with Job.open_existing(folder) as job:
        assert job.not_removed == ()
    assert 2 not in clips(folder)
    assert (tmp_path / "own").exists()
    assert (folder / "out" / "log.csv").exists()
    assert verify_job(folder).ok


def test_rescue_carries_consent_and_removals_over(tmp_path: Path, parser: Parser) -> None:
    """What was removed is not told as lost, and is no fault of the new job."""
    folder = sound_job(tmp_path / "job", parser, remark="gate locked")
    with Job.open_existing(folder) as job:
        _expunge(job, 2, 6)
        agree(job, "Rowan", is_withdrawn=True)
    told = rescue_job(folder, tmp_path / "new")
    assert (told.clips_lost, told.files_lost) == ((), ())
    assert verify_job(tmp_path / "new").ok
    found = replay_job(tmp_path / "new")
    assert found.voices == replay_job(folder).voices
    assert clips(tmp_path / "new") == [1, 3, 4, 5]


def test_words_that_are_gone_are_told_by_a_rescue(tmp_path: Path, parser: Parser) -> None:
    """Missing without an entry they are lost, and said to be; the new job is sound."""
    folder = sound_job(tmp_path / "job", parser, remark="gate locked")
    (folder / "remarks" / "000006.json").unlink()
    told = rescue_job(folder, tmp_path / "new")
    assert (told.clips_lost, told.files_lost) == ((), ("remarks/000006.json",))
    assert verify_job(tmp_path / "new").ok


def test_removal_behind_a_gap_holds_in_the_rescued_job(
    tmp_path: Path, parser: Parser, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A damaged entry before it does not bring a sound back, nor consent that was taken back."""
    folder = sound_job(tmp_path / "job", parser)
    kept = (folder / "audio" / "000002.flac").read_bytes()
    with Job.open_existing(folder) as job:
        job.note("disk_slow", {"seconds": 2.5})
        _expunge(job, 2)
        agree(job, "Rowan", is_withdrawn=True)
        agree(job, "Elder")
    with Journal.open(folder, read_only=True) as journal:
        gap = next(journal.entries("disk_slow")).sequence

    def damaged(path: Path) -> Salvaged:
        found = salvage(path)
        chain, apart = found.chain[: gap - 1], found.chain[gap:]
        return found.model_copy(update={"chain": chain, "apart": apart})

    monkeypatch.setattr(rescuing, "salvage", damaged)
    (folder / "audio" / "000002.flac").write_bytes(kept)
    told = rescue_job(folder, tmp_path / "new")
    assert (told.lost, told.clips_lost) == (4, ())
    assert clips(tmp_path / "new") == [1, 3, 4, 5]
    assert verify_job(tmp_path / "new").ok
    found = replay_job(tmp_path / "new").voices
    assert found.gone == {2: found.removed[0].entry}
    assert {name: each.is_given for name, each in found.people.items()} == {
        "Ash": True,
        "Rowan": False,
    }


def test_removal_of_a_call_that_was_not_carried_over_harms_no_other(
    tmp_path: Path, parser: Parser, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its number is another call's in the rescued job, whose sound stays; its own is not copied."""
    folder = sound_job(tmp_path / "job", parser)
    kept = (folder / "audio" / "000005.flac").read_bytes()
    with Job.open_existing(folder) as job:
        _expunge(job, 2, 5)
    (folder / "audio" / "000005.flac").write_bytes(kept)
    with Journal.open(folder, read_only=True) as journal:
        gap = [entry.sequence for entry in journal.entries("call")][3]

    def damaged(path: Path) -> Salvaged:
        found = salvage(path)
        chain, apart = found.chain[: gap - 1], found.chain[gap:]
        return found.model_copy(update={"chain": chain, "apart": apart})

    monkeypatch.setattr(rescuing, "salvage", damaged)
    new = tmp_path / "new"
    rescue_job(folder, new)
    assert not (new / "audio" / "000005.flac").exists()
    with Job.open_existing(new) as job:
        assert job.replay.voices.removed[0].body.files == tuple(names(2))
        Crew(job, parser, sitting=2).say((0, "fifteen"), (1, "forty two"))
        assert len(job.replay.calls) == 5
    Job.open_existing(new).close()
    assert clips(new) == [1, 3, 4, 5]
    assert verify_job(new).ok


def test_diff_names_consents_and_removals(tmp_path: Path, parser: Parser, run: Run) -> None:
    """Both are changes of the job, in words and as JSON."""
    folder = sound_job(tmp_path / "job", parser)
    with Job.open_existing(folder) as job:
        since = job.kept.head
        assert since is not None
        agree(job, "Rowan", is_withdrawn=True)
        _expunge(job, 2)
        last = job.kept.head
        assert last is not None
    _, said, _ = run("compare", folder, "--since", since.sequence)
    assert f"entry {last.sequence - 1}: Rowan: took consent back, recorded by tests" in said
    assert f"entry {last.sequence}: sound or words of call 2 removed at a person's" in said
    _, said, _ = run("compare", folder, "--since", since.sequence, "--json")
    found = json.loads(said)
    assert [each["entry"] for each in found["consents"]] == [last.sequence - 1]
    assert [each["calls"] for each in found["expunged"]] == [[2]]


def test_sounds_beyond_their_day_go_by_one_command(
    tmp_path: Path, parser: Parser, run: Run
) -> None:
    """The command that every opening names removes them all, and then there is nothing to say."""
    folder = sound_job(tmp_path / "job", parser)
    with Job.open_existing(folder) as job:
        agree(job, until=date(2020, 1, 1))
    _, _, said = run("consent", folder)
    assert "5 sounds were to be kept until 2020-01-01; remove them: calllog expunge" in said
    assert "5 sounds were to be kept" in run("sign", folder, "--by", "the office")[2]
    assert run("expunge", folder, "--due", *WHY, "--yes")[0] == 0
    assert clips(folder) == []
    assert run("consent", folder)[2] == ""
    code, _, said = run("expunge", folder, "--due", *WHY, "--yes")
    assert (code, "no sound is kept beyond its day" in said) == (1, True)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "it is not said what to remove; give one of --person NAME, --call NUMBER, --due"),
        (("--person", "Ash", "--call", "2"), "it is not said what to remove"),
        (("--person", "Elder"), "no sound here is known to be of 'Elder'; name one of these: Ash,"),
        (("--call", "99"), "no call 99; name calls from 1 to 5"),
        (("--call", "2", "--why", " "), "a removal needs who does it and why"),
    ],
)
def test_what_cannot_be_removed_is_refused(
    tmp_path: Path, parser: Parser, run: Run, words: tuple[str, ...], said: str
) -> None:
    """The error says what is there instead; nothing is removed."""
    folder = sound_job(tmp_path / "job", parser)
    code, _, error = run("expunge", folder, *WHY, *words, "--yes")
    assert code == 1
    assert said in error
    assert len(clips(folder)) == 5


def test_without_a_terminal_it_must_be_said_that_it_is_meant(
    tmp_path: Path, parser: Parser, run: Run
) -> None:
    """Nothing is removed by a command that nobody confirmed."""
    folder = sound_job(tmp_path / "job", parser)
    code, said, error = run("expunge", folder, "--person", "Ash", *WHY)
    assert (code, "say --yes" in error) == (1, True)
    assert f"3 sounds: {', '.join(names(*HEAD_CALLS))}" in said
    assert len(clips(folder)) == 5


@pytest.mark.parametrize(
    ("answers", "sounds", "copies"),
    [([False], 5, 5), ([True, False], 2, 5), ([True, True], 2, 2)],
)
def test_terminal_asks_for_the_sounds_then_for_the_copies(
    tmp_path: Path,
    parser: Parser,
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
    answers: list[bool],
    sounds: int,
    copies: int,
) -> None:
    """Each is removed only if that is wanted."""
    folder = sound_job(tmp_path / "job", parser)
    write_pages(folder, summarise(folder), folder / "out" / "page")
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("typer.confirm", lambda _: answers.pop(0))
    assert run("expunge", folder, "--person", "Ash", *WHY)[0] == 0
    assert answers == []
    assert len(clips(folder)) == sounds
    assert len(list((folder / "out" / "page" / "audio").iterdir())) == copies


def test_consent_is_listed_given_and_taken_back(tmp_path: Path, parser: Parser, run: Run) -> None:
    """The command says who stands where, and whose sound is kept from now on."""
    folder = sound_job(tmp_path / "job", parser)
    _, said, _ = run("consent", folder)
    assert "Ash (head) agrees; heard by crew, chief, office; 3 sounds are kept" in said
    _, said, _ = run("consent", folder, "--withdraw", "Ash", "--by", "the office")
    assert "Ash (head) took consent back" in said
    assert "sound of the head: not kept" in said
    assert "sound of the rear: kept" in said
    assert len(clips(folder)) == 5
    more = ("--person", "head=Elder Oak", "--consent-until", "2131-12-31", "--listeners", "crew")
    _, said, _ = run("consent", folder, *more)
    assert "Elder Oak (head) agrees, kept until 2131-12-31; heard by crew; no sounds" in said
    assert "sound of the head: kept" in said
    code, _, said = run("consent", folder, "--withdraw", "Nobody")
    assert (code, "'Nobody' has not agreed to anything in this job" in said) == (1, True)


def test_consent_is_listed_while_the_job_is_written(
    tmp_path: Path, parser: Parser, run: Run
) -> None:
    """To look takes no lock: a job at work, or on a medium that cannot be written, is listed."""
    folder = sound_job(tmp_path / "job", parser)
    with Job.open_existing(folder):
        code, said, wrong = run("consent", folder)
        assert (code, wrong) == (0, "")
        assert "Ash (head) agrees" in said
        code, _, wrong = run("consent", folder, "--withdraw", "Ash")
        assert (code, "another calllog is writing this job" in wrong) == (1, True)


@pytest.mark.parametrize("option", [("--consent-until", "2131-12-31"), ("--listeners", "crew")])
def test_what_consent_allows_is_stated_with_a_name(
    option: tuple[str, str], tmp_path: Path, parser: Parser, run: Run
) -> None:
    """A day or listeners for nobody would change nothing, so they are no answer."""
    folder = sound_job(tmp_path / "job", parser)
    for more in ((), ("--withdraw", "Ash")):
        code, _, said = run("consent", folder, *option, *more)
        assert (code, "it is not said whose sound it is" in said) == (1, True)
    assert "Ash (head) agrees" in run("consent", folder)[1]


def test_nothing_is_recorded_where_a_name_is_not_known(
    tmp_path: Path, parser: Parser, run: Run
) -> None:
    """A consent given beside a withdrawal by nobody is not taken by halves."""
    folder = sound_job(tmp_path / "job", parser)
    assert run("consent", folder, "--person", "head=Elder Oak", "--withdraw", "Nobody")[0] == 1
    assert "Elder Oak" not in run("consent", folder)[1]


def test_command_that_is_named_can_be_pasted(tmp_path: Path, parser: Parser, run: Run) -> None:
    """A folder's name with blanks and quotes is one word of the command that is advised."""
    folder = sound_job(tmp_path / "Ash's first day", parser)
    with Job.open_existing(folder) as job:
        agree(job, until=date(2020, 1, 1))
    said = run("consent", folder)[2]
    advised = said.partition("remove them: ")[2].replace("NAME", "x")
    words = shlex.split(advised)
    assert words[:4] == ["calllog", "expunge", str(folder), "--due"]
    assert run(*words[1:], "--yes")[0] == 0
    assert clips(folder) == []


def test_expunged_entry_is_read_by_whoever_reads_the_job(tmp_path: Path, parser: Parser) -> None:
    """A call that does not exist is none that was removed; a body without a reason is refused."""
    folder = sound_job(tmp_path / "job", parser)
    with Job.open_existing(folder, PaperClock()) as job:
        fine = {"calls": [99], "files": names(2), "copies": [], "by": "x", "why": "y"}
        job.note("expunged", fine)  # type: ignore[arg-type]
        with pytest.raises(JournalError, match="no expunged"):
            job.note("expunged", {**fine, "why": ""})  # type: ignore[dict-item]
    Job.open_existing(folder).close()
    assert replay_job(folder).voices.gone == {}
    assert len(clips(folder)) == 5
