"""Signing a job off: one more entry, which says what it covers, and what has come since."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
import typer

from calllog.commands.report import report
from calllog.commands.sign import sign
from calllog.commands.verify import verify
from calllog.errors import ConfigError
from calllog.journal import Journal
from calllog.office import replay_job, summarise, write_report
from calllog.office.summary import verify_job
from calllog.report import read_segments_json
from calllog.session import Job
from calllog.spoken import Parser
from calllog.values import Choice, Decision
from tests.crew import Crew
from tests.test_session_job import AGREED, STOPPED, PaperClock, make

DAY = date(2131, 5, 6)


@pytest.fixture
def job(tmp_path: Path, parser: Parser) -> Path:
    """Make a job of one pull that agrees."""
    return make(tmp_path / "job", *Crew(parser).say(*AGREED).heard)


def sign_paper(folder: Path, by: str = "the office", remark: str = "") -> None:
    """Sign with a paper clock."""
    with Job.open_existing(folder, PaperClock()) as job:
        job.sign(by=by, day=DAY, remark=remark)


def go_on(folder: Path, parser: Parser, *spoken: str) -> None:
    """Take one more pull into a job."""
    with Job.open_existing(folder, PaperClock()) as job:
        known = len(job.replay.calls)
        for call in Crew(parser).say(*AGREED, *spoken).heard[len(AGREED) :]:
            job.record(call.model_copy(update={"number": call.number - len(AGREED) + known}))


def test_a_sign_off_is_an_entry_that_names_the_state_before_it(job: Path) -> None:
    """Name, day, the last entry and its hash stand in it; the segments stay what they are."""
    before = summarise(job)
    with Journal.open(job, read_only=True) as journal:
        last = journal.last()
    assert last is not None
    sign_paper(job, remark="closed")
    with Journal.open(job, read_only=True) as journal:
        entry = journal.last()
    assert entry is not None
    assert (entry.sequence, entry.kind) == (last.sequence + 1, "signed")
    assert entry.content == {
        "by": "the office",
        "date": "2131-05-06",
        "entry": last.sequence,
        "state_hash": last.hash,
        "remark": "closed",
        "public_key": "",
        "signature": "",
    }
    assert verify_job(job).ok
    assert summarise(job).corrected == before.corrected


def test_later_entries_are_told(job: Path, parser: Parser, tmp_path: Path) -> None:
    """Another sign-off changes nothing; one more call does, and header and file say so."""
    sign_paper(job)
    sign_paper(job, by="the chief")
    assert [one.later_entries for one in summarise(job).header.signed] == [0, 0]
    go_on(job, parser, "r: twenty", "h: eleven")
    result = replay_job(job)
    first, second = result.signed
    assert [kind for _, kind in result.later(first)] == ["call", "call"]
    assert result.later(first) == result.later(second)
    write_report(summarise(job), tmp_path / "out")
    signed = read_segments_json(tmp_path / "out" / "segments.json").job.signed
    assert [(one.by, one.later_entries) for one in signed] == [("the office", 2), ("the chief", 2)]


def test_commands_say_whether_it_has_changed(
    job: Path, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """`sign`, `verify` and `report` name signer and state, and list what came later."""
    sign(job, by="[the office]")
    assert "Signed by [the office] on" in capsys.readouterr().out
    verify(job)
    assert "; unchanged since." in capsys.readouterr().out
    go_on(job, parser, "r: twenty", "h: eleven")
    signed = replay_job(job).signed[0]
    told = (
        f"! CHANGED SINCE: 2 later entries, {signed.entry + 2} to {signed.entry + 3} (call 2),"
        f" see calllog compare JOB --since {signed.entry}"
    )
    verify(job)
    assert told in capsys.readouterr().out
    report(job)
    assert told in capsys.readouterr().out
    verify(job, as_json=True)
    document = json.loads(capsys.readouterr().out)
    assert document["ok"]
    assert document["signed"][0]["later"] == [
        {"entry": signed.entry + 2, "kind": "call"},
        {"entry": signed.entry + 3, "kind": "call"},
    ]


def test_what_cannot_be_signed_is_refused(job: Path, parser: Parser, tmp_path: Path) -> None:
    """Nobody, the same state twice, an empty job, and a pull that waits for its decision."""
    with pytest.raises(ConfigError, match="nobody is named"):
        sign_paper(job, by="  ")
    sign_paper(job)
    with pytest.raises(ConfigError, match="the office has signed this state already"):
        sign_paper(job)
    with pytest.raises(ConfigError, match="nothing is recorded"):
        sign_paper(make(tmp_path / "empty"))
    crew = Crew(parser).say(*AGREED, *STOPPED)
    waiting = make(tmp_path / "waiting", *crew.heard)
    with pytest.raises(ConfigError, match="a pull waits for a decision"):
        sign_paper(waiting)
    with Job.open_existing(waiting, PaperClock()) as opened:
        opened.record(Decision(pull=2, choice=Choice.FIRST, by="chief"))
    sign_paper(waiting)
    assert len(replay_job(waiting).signed) == 1


def test_a_sign_off_of_another_state_is_not_proved(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An entry that claims to sign what does not stand before it is found, by number."""
    with Journal.open(job) as journal:
        journal.append(
            "signed",
            {"by": "x", "date": "2131-05-06", "entry": 1, "state_hash": "0" * 64, "remark": ""},
            time_utc="2131-05-06T09:00:00+00:00",
            monotonic_s=1.0,
        )
        last = journal.last()
    assert last is not None
    result = verify_job(job)
    assert not result.ok
    assert result.first_bad == last.sequence
    with pytest.raises(typer.Exit):
        verify(job, as_json=True)
    assert json.loads(capsys.readouterr().out)["signed"] == []
