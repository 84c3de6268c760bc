"""Whose job it is: identity, facts amended and kept, and who held which end of each pull."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path
from uuid import RFC_4122, UUID

import pytest

from calllog.about import MOST_LISTED, StatedFacts, load_about, state
from calllog.errors import ConfigError, JournalError
from calllog.journal import Journal
from calllog.office import replay_job, rescue_job, summarise
from calllog.office.summary import verify_job
from calllog.session import Job
from calllog.spoken import Parser
from calllog.values import CheckPolicy, Choice, Decision, Holders
from tests.crew import Crew
from tests.crew import settings as line
from tests.fieldjob import KNOWN, Paper, settings
from tests.golden.make_segments import HEADER
from tests.tapes import certificate
from tests.test_session_job import AGREED, STOPPED, PaperClock

TAPE = certificate(identity="T-1")
DAY_FILE = 'client = "The Millrace estate"\n[crew]\nhead = "J. Marsh"\nrear = "T. Fenn"\n'
BOTH = Holders(
    take_head="J. Marsh", take_rear="T. Fenn", check_head="T. Fenn", check_rear="J. Marsh"
)
SWAPPED = Holders(
    take_head="T. Fenn", take_rear="J. Marsh", check_head="J. Marsh", check_rear="T. Fenn"
)


def crew(**roles: str) -> StatedFacts:
    """State people of the crew, as options of a command do."""
    return state({"crew": roles}, "options", is_whole=False)


def job_of(folder: Path) -> Job:
    """Begin a job with its line and the crew of the day."""
    job = Job.open(folder, PaperClock())
    job.state_about(load_about(DAY_FILE, "about.toml"), at_start=True)
    job.begin_line(line(), TAPE)
    return job


def test_each_pull_keeps_the_names_in_force_when_it_was_recorded(
    tmp_path: Path, parser: Parser
) -> None:
    """The crew swaps after the first pull: the second has it turned round, the first stays."""
    first, second = Crew(parser).say(*AGREED), Crew(parser).say(*STOPPED)
    with job_of(tmp_path / "job") as job:
        for each in first.heard:
            job.record(each)
        job.state_about(crew(head="T. Fenn", rear="J. Marsh"), by="R. Field")
        for each in second.heard:
            job.record(each.model_copy(update={"number": each.number + 50}))
        assert job.replay.held_by == [BOTH]
        job.record(Decision(pull=2, choice=Choice.CHECK, by="chief"))
        assert job.replay.held_by == [BOTH, SWAPPED]
    again = replay_job(tmp_path / "job")
    assert again.held_by == [BOTH, SWAPPED]
    assert [each.held_by for each in summarise(tmp_path / "job").corrected] == [BOTH, SWAPPED]
    assert verify_job(tmp_path / "job").ok


def test_names_stay_in_step_with_pulls_opened_and_measured_again(
    tmp_path: Path, parser: Parser
) -> None:
    """A pull that is scratched open and booked anew has the names of then, and no other moves."""
    spoken = (*AGREED, "r: strike that", "r: forty two", *AGREED, "h: measure again", *AGREED)
    heard = Crew(parser).say(*spoken).heard
    with job_of(tmp_path / "job") as job:
        for place, each in enumerate(heard):
            if place == len(AGREED) + 1:
                assert (job.replay.held_by, job.replay.segments) == ([], [])
                job.state_about(crew(rear="P. Reed"), by="R. Field")
            job.record(each)
            assert len(job.replay.held_by) == len(job.replay.segments)
        found = [(each.take_rear, each.check_head) for each in job.replay.held_by]
        segments = list(job.replay.segments)
    assert found == [("P. Reed", "P. Reed")] * len(segments)
    assert len(segments) >= 2


def test_pull_without_a_check_names_nobody_for_it(tmp_path: Path) -> None:
    """The check is empty where none was made, and all is where nobody is named."""
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("Heron", "Alder", tape="T-1", policy=CheckPolicy.WANTED), TAPE)
        paper = Paper(job)
        paper.read(1542).say("next")
        job.state_about(crew(head="J. Marsh", chief="R. Field"), by="R. Field")
        paper.read(1542).say("next")
        paper.pull(2000, 2000)
        assert job.replay.held_by == [
            Holders(),
            Holders(take_head="J. Marsh"),
            Holders(take_head="J. Marsh", check_rear="J. Marsh"),
        ]


def test_no_segment_depends_on_the_facts(tmp_path: Path, parser: Parser) -> None:
    """The journal's segments are the same, bit for bit, with names and without."""
    heard = Crew(parser).say(*AGREED).heard
    bodies = []
    for name in ("with", "without"):
        with Job.open(tmp_path / name, PaperClock()) as job:
            if name == "with":
                job.state_about(load_about(DAY_FILE, "about.toml"), at_start=True)
            job.begin_line(line(), TAPE)
            for each in heard:
                job.record(each)
        with Journal.open(tmp_path / name, read_only=True) as journal:
            bodies.append([each.body for each in journal.entries() if each.kind == "segment"])
    assert bodies[0] == bodies[1] != []


def test_amendments_add_up_and_stay(tmp_path: Path) -> None:
    """Each is one entry with what changed and by whom; the facts in force are the last of each."""
    with job_of(tmp_path / "job") as job:
        job.state_about(state({"client": "Mill Grange"}, ""), by="the office", why="sold")
        job.state_about(crew(chief="R. Field", rear=""), by="the office")
    again = replay_job(tmp_path / "job")
    assert again.about.client == "Mill Grange"
    assert [(each.role, each.name) for each in again.about.crew] == [
        ("head", "J. Marsh"),
        ("chief", "R. Field"),
    ]
    first, second, third = again.amended
    assert first.amendment.at_start
    ((change,), by, why) = (second.changes, second.amendment.by, second.amendment.why)
    assert (change.old, change.new) == ("The Millrace estate", "Mill Grange")
    assert (by, why) == ("the office", "sold")
    assert [(each.name, each.old, each.new) for each in third.changes] == [
        ("chief", "", "R. Field"),
        ("rear", "T. Fenn", ""),
    ]
    with Journal.open(tmp_path / "job", read_only=True) as journal:
        bodies = {each.sequence: each.content for each in journal.entries()}
    assert bodies[second.sequence] == {"client": "Mill Grange", "by": "the office", "why": "sold"}
    assert verify_job(tmp_path / "job").ok


def test_same_command_goes_on_without_stating_anew(tmp_path: Path) -> None:
    """What the office amended stays when work goes on with the same file; a new file counts."""
    stated = load_about(DAY_FILE, "about.toml")
    with job_of(tmp_path / "job") as job:
        assert job.state_about(stated, at_start=True) == ()
        job.state_about(state({"client": "Mill Grange"}, ""), by="the office")
        assert job.state_about(stated, at_start=True) == ()
        assert job.replay.about.client == "Mill Grange"
        other = load_about(DAY_FILE.replace("T. Fenn", "P. Reed"), "about.toml")
        (change,) = job.state_about(other, at_start=True)
        assert (change.name, change.new) == ("rear", "P. Reed")
        assert job.replay.about.client == "Mill Grange"
        (change,) = job.state_about(stated, at_start=True)
        assert (change.old, change.new) == ("P. Reed", "T. Fenn")


def test_amendment_that_says_nothing_is_refused(tmp_path: Path) -> None:
    """Nobody named, nothing new, or too many: an error, and no entry."""
    with job_of(tmp_path / "job") as job:
        before = len(job.replay.amended)
        with pytest.raises(ConfigError, match="nobody is named who states the facts"):
            job.state_about(crew(head="P. Reed"))
        with pytest.raises(ConfigError, match="the job says so already"):
            job.state_about(crew(head="J. Marsh"), by="the office")
        for part in (1, 2):
            many = {f"chainman {part}.{n}": "x" for n in range(MOST_LISTED - 5 * part)}
            if part == 1:
                job.state_about(state({"crew": many}, "", is_whole=False), by="the office")
                before += 1
                continue
            with pytest.raises(ConfigError, match="more than 20 crew would be named"):
                job.state_about(state({"crew": many}, "", is_whole=False), by="the office")
        assert len(job.replay.amended) == before


def test_facts_stated_after_a_sign_off_are_told(tmp_path: Path) -> None:
    """Who signed stood by other facts."""
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("Heron", "Alder", tape="T-1"), TAPE)
        job.record(KNOWN)
        Paper(job).pull(1542, 1542)
        signed = job.sign(by="the office", day=date(2131, 5, 4))
        job.state_about(crew(head="J. Marsh"), by="the office")
        assert [kind for _, kind in job.replay.later(signed)] == ["about"]
        assert job.replay.held_by == [Holders()]


def test_job_has_an_identity_of_its_own_that_its_copies_keep(tmp_path: Path) -> None:
    """A random UUID by RFC 9562: others for other jobs, the same in a copy and a rescued job."""
    for name in ("one", "two"):
        job_of(tmp_path / name).close()
    shutil.copytree(tmp_path / "one", tmp_path / "copy")
    rescue_job(tmp_path / "one", tmp_path / "rescued")
    one, two, copy, rescued = (
        replay_job(tmp_path / name).identity for name in ("one", "two", "copy", "rescued")
    )
    assert one == copy == rescued != two
    # RFC 9562, sections 4.1 and 5.4
    assert (UUID(one).version, UUID(one).variant) == (4, RFC_4122)
    assert summarise(tmp_path / "rescued").header.identity == one


@pytest.mark.parametrize(
    ("stated", "is_one"),
    [
        ("919108f7-52d1-4320-9bac-f847db4148a8", True),  # RFC 9562, appendix A.3: version 4
        ("f81d4fae-7dec-11d0-a765-00a0c91e6bf6", False),  # RFC 9562, section 4: version 1
        ("919108f7-52d1-4320-cbac-f847db4148a8", False),  # version 4 with another variant
        ("919108F7-52D1-4320-9BAC-F847DB4148A8", False),
        ("day-1", False),
    ],
)
def test_identity_is_a_random_uuid_or_nothing(tmp_path: Path, stated: str, is_one: bool) -> None:  # noqa: FBT001 - a column of the table
    """What the first entry states as identity is one, or the journal is not taken."""
    with Journal.create(tmp_path / "job") as journal:
        journal.append(
            "opened",
            {"calllog": "0.1.0", "job": stated},
            time_utc="2131-05-04T08:00:00+00:00",
            monotonic_s=0.0,
        )
    if is_one:
        assert replay_job(tmp_path / "job").identity == stated == HEADER.identity
        return
    with pytest.raises(JournalError, match="entry 1 is no opened"):
        replay_job(tmp_path / "job")


def test_identity_cannot_be_changed_by_a_later_entry(tmp_path: Path) -> None:
    """The first entry counts; another of its kind renames nothing."""
    job_of(tmp_path / "job").close()
    before = replay_job(tmp_path / "job").identity
    with Job.open_existing(tmp_path / "job") as job:
        job.note("opened", {"calllog": "0.1.0", "job": HEADER.identity})
        assert job.replay.identity == before
    assert replay_job(tmp_path / "job").identity == before
