"""What is different between two states of a job: nothing missed, nothing that only follows."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from calllog.commands.compare import compare
from calllog.errors import ConfigError
from calllog.office import difference, job_state, rereduce
from calllog.session import Job
from calllog.spoken import Parser
from calllog.tape import Foot
from tests.crew import Crew
from tests.crew import settings as line
from tests.tapes import certificate
from tests.test_session_job import AGREED, PaperClock, make
from tests.test_session_signing import go_on, sign_paper

SECOND = ("r: twenty", "h: eleven", "h: switch ends", "h: twenty", "r: eleven")


@pytest.fixture
def job(tmp_path: Path, parser: Parser) -> Path:
    """Make a job of one pull that agrees."""
    return make(tmp_path / "job", *Crew(parser).say(*AGREED).heard)


def test_a_pull_more_is_added(job: Path, parser: Parser) -> None:
    """Since the first pull's entry one segment was added, by number as by hash."""
    old = job_state(job)
    go_on(job, parser, *SECOND)
    found = difference(job_state(job, str(old.entry)), job_state(job))
    assert found.added == (("A", "B", 1, 2),)
    assert (found.removed, found.changed, found.reopened, found.certificates) == ((), (), (), ())
    assert found.is_continued
    assert difference(job_state(job, old.state_hash[:12].upper()), job_state(job)).added == (
        found.added
    )


def test_a_pull_opened_again_and_booked_otherwise_is_changed(job: Path, parser: Parser) -> None:
    """Scratching a booked pull's last call opens it; its new length is listed with the old."""
    old = job_state(job)
    go_on(job, parser, "r: strike that", "r: forty one")
    (opened,) = (each.sequence for each in job_state(job).entries if each.kind == "reopened")
    found = difference(old, job_state(job, str(opened)))
    assert (found.removed, found.reopened) == ((("A", "B", 1, 1),), (1,))
    found = difference(old, job_state(job))
    assert found.removed == ()
    assert found.reopened == (1,)
    (changed,) = found.changed
    assert changed.changed["check_difference_ft"] == ("0.00", "-0.01")


def test_another_certificate_changes_what_rests_on_it(job: Path, parser: Parser) -> None:
    """The certificate is listed, and each pull's own values, not the totals that follow."""
    go_on(job, parser, *SECOND)
    old = job_state(job)
    rereduce(job, certificate(certified_length_ft=100.02), by="the office", why="misread")
    sign_paper(job)
    found = difference(old, job_state(job))
    ((before, after),) = found.certificates
    assert before.certificate.certified_length_ft == 100.0
    assert (after.by, after.certificate.certified_length_ft) == ("the office", 100.02)
    assert [each.name[3] for each in found.changed] == [1, 2]
    for each in found.changed:
        assert {"horizontal_ft", "corrections"} <= set(each.changed)
        assert "running_total_ft" not in each.changed
    assert [one.by for one in found.signed] == ["the office"]


def test_copies_that_went_apart_are_told(job: Path, parser: Parser, tmp_path: Path) -> None:
    """Two copies gone on with apart share their beginning only; an older copy is continued."""
    copy = tmp_path / "copy"
    shutil.copytree(job, copy)
    go_on(job, parser, *SECOND)
    assert difference(job_state(copy), job_state(job)).is_continued
    go_on(copy, parser, "r: thirty", "h: ten", "h: switch ends", "h: thirty", "r: ten")
    found = difference(job_state(copy), job_state(job))
    assert not found.is_continued
    assert 0 < found.shared < found.old.entry
    (changed,) = found.changed
    assert changed.changed["length_read_ft"] == (30.1, 20.11)


def test_the_command_prints_and_gives_json(
    job: Path, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every kind of difference has its line, and the same stands in the document."""
    since = str(job_state(job).entry)
    go_on(job, parser, *SECOND)
    rereduce(job, certificate(certified_length_ft=100.02), by="the [office]", why="misread")
    compare(job, since=since)
    text = capsys.readouterr().out
    assert "added: pull 2 of A:B, 20.1140 ft slope distance (agreed)" in text
    assert "changed: pull 1 of A:B" in text
    assert "tape T-1: another certificate, by the [office]" in text
    assert "certified_length_ft: 100.0 -> 100.02" in text
    assert "1 added, 0 gone, 1 changed." in text
    compare(job, since=since, as_json=True)
    document = json.loads(capsys.readouterr().out)
    assert document["old"]["entry"] == int(since)
    assert document["added"][0]["pull"] == 2
    changed = document["changed"][0]["changed"]["horizontal_ft"]
    assert changed["new"] - changed["old"] == pytest.approx(15.42 * 0.0002)
    assert document["certificates"][0]["new"]["why"] == "misread"


def test_a_job_against_another(
    parser: Parser, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two jobs with nothing in common are compared by line and pull, and it is said."""
    other = make(tmp_path / "other", *Crew(parser).say(*AGREED, *SECOND).heard)
    with Job.open_existing(other) as opened:
        opened.note("recording", {"name": "x.flac", "sha256": "0" * 64})
    with Job.open(tmp_path / "third", lambda: ("2131-05-09T08:00:00+00:00", 0.0)) as third:
        third.begin_line(line(), certificate())
    compare(tmp_path / "third", other)
    text = capsys.readouterr().out
    assert "! The new one does not go on from the old: no entry in common." in text
    assert "2 added, 0 gone, 0 changed." in text


def test_what_cannot_be_compared_is_refused(job: Path, parser: Parser, tmp_path: Path) -> None:
    """No second state, an entry that is none, a hash too short, and another foot."""
    with pytest.raises(ConfigError, match="compared with itself"):
        compare(job)
    for wrong in ("0", "99999", "abc", job_state(job).state_hash[:7]):
        with pytest.raises(ConfigError, match="no one entry has the number or hash"):
            job_state(job, wrong)
    with Job.open(tmp_path / "other", PaperClock()) as other:
        other.begin_line(line(), certificate(foot=Foot.INTERNATIONAL))
        for call in Crew(parser).say(*AGREED).heard:
            other.record(call)
    with pytest.raises(ConfigError, match="different feet"):
        difference(job_state(job), job_state(tmp_path / "other"))
