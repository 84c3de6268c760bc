"""One way into a job: what is appended is followed, at work as after reopening."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from calllog.errors import ConfigError, JournalError
from calllog.journal import Journal
from calllog.session import Job, replay
from calllog.session.kinds import FOLLOWS, KINDS
from calllog.values import Conditions, Consequence
from tests.fieldjob import Paper, field_job, settings
from tests.metricjob import metric_job
from tests.tapes import certificate

DAY = date(2131, 5, 4)
PAPER = Path(__file__).parent.parent / "calllog" / "session" / "KINDS.md"


def described() -> str:
    """Write the table of kinds in Markdown."""
    rows = [
        f"| `{kind.name}` | {'follows: ' if kind.follows else ''}{kind.does}"
        f" | {', '.join(kind.body.model_fields) or '-'} | {kind.since} |"
        for kind in KINDS.values()
    ]
    head = ["| kind | what it does | body | since format |", "|---|---|---|---|"]
    return "\n".join([*head, *rows]) + "\n"


def begun(folder: Path) -> Job:
    """Begin a job with one pull."""
    job = Job.open(folder)
    job.begin_line(settings("Heron", "Alder", tape="T-1"), certificate())
    Paper(job).pull(1542, 1542)
    return job


def test_sign_off_after_a_change_is_taken_in_one_sitting(tmp_path: Path) -> None:
    """Sign, state a condition, sign: the second covers the change, with or without reopening."""
    with begun(tmp_path / "job") as job:
        job.sign(by="the office", day=DAY)
        with pytest.raises(ConfigError, match="has signed this state already"):
            job.sign(by="the office", day=DAY)
        job.record(Conditions(temperature_degf=50.0))
        job.sign(by="the office", day=DAY)
        assert [each.entry for each in job.replay.signed] == [8, 10]


@pytest.mark.parametrize("make", [field_job, metric_job])
def test_job_at_work_equals_the_replay_of_its_journal(
    make: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All that a job may hold: what it knows at work is what its entries give anew."""
    at_work: list[Job] = []
    close = Job.close

    def close_and_keep(job: Job) -> None:
        at_work.append(job)
        close(job)

    monkeypatch.setattr(Job, "close", close_and_keep)
    folder = make(tmp_path / "job")  # type: ignore[operator]
    with Journal.open(folder, read_only=True) as journal:
        assert replay(journal.entries()) == at_work[-1].replay


def test_entry_that_is_none_of_its_kind_is_refused_before_it_is_written(tmp_path: Path) -> None:
    """What the next opening would refuse is never appended."""
    with begun(tmp_path / "job") as job:
        last = job.kept.head
        with pytest.raises(JournalError, match="what is to be recorded is no phone_paired"):
            job.note("phone_paired", {"name": "A"})
        with pytest.raises(KeyError):
            job.note("never_heard_of", {})
        assert job.kept.head == last


def test_entry_of_an_unknown_kind_is_refused_by_name(tmp_path: Path) -> None:
    """A kind that a later program brought in may mean anything, so it is not passed over."""
    begun(tmp_path / "job").close()
    with Journal.open(tmp_path / "job") as journal:
        journal.append("weighed_anew", {}, time_utc="2131-05-04T12:00:00+00:00", monotonic_s=0.0)
    with pytest.raises(JournalError, match=r"of a kind .*\(weighed_anew\).*a later one"):
        Job.open_existing(tmp_path / "job")


def test_every_consequence_has_its_kind() -> None:
    """What the machine can answer with can be recorded, and nothing else follows."""
    assert set(FOLLOWS) == set(Consequence.__args__)
    assert all(name == kind.name for name, kind in KINDS.items())


def test_table_of_kinds_is_the_one_in_the_papers() -> None:
    """The table is the documentation; the paper shows just that."""
    assert PAPER.read_text("utf-8").endswith(described())
