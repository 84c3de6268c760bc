"""A job reduced again by a corrected certificate: nothing rewritten, both versions there."""

from __future__ import annotations

from pathlib import Path

import pytest

from calllog.errors import ConfigError, JournalError
from calllog.journal import Journal
from calllog.office import rereduce, summarise
from calllog.office.summary import verify_job
from calllog.page.facts import papers
from calllog.session import Job, replay
from calllog.spoken import Parser
from calllog.tape import Certificate, Foot
from calllog.values import Conditions, Message, Style
from tests.crew import Crew
from tests.crew import settings as line
from tests.tapes import certificate
from tests.test_session_job import AGREED, PaperClock

OLD = certificate()
NEW = certificate(certified_length_ft=100.02, weight_lb_per_ft=0.013)
COLD = Conditions(temperature_degf=41.0, tension_lb=20.0, spans=1)


def make(folder: Path, parser: Parser, tape: Certificate = OLD) -> Path:
    """Make a job of two lines and three pulls, on one tape."""
    spoken = (*AGREED, "r: twenty", "h: eleven", "h: switch ends", "h: twenty", "r: eleven")
    first, second = Crew(parser).say(*spoken).heard, Crew(parser).say(*AGREED).heard
    with Job.open(folder, PaperClock()) as job:
        job.begin_line(line(), tape)
        job.record(COLD)
        for call in first:
            job.record(call)
        job.begin_line(line(line_from="B", line_to="C"), tape)
        for call in second:
            job.record(call.model_copy(update={"number": len(first) + call.number}))
    return folder


def entries(folder: Path) -> list[tuple[int, str, str]]:
    """List sequence, kind and hash of all entries."""
    with Journal.open(folder, read_only=True) as journal:
        return [(each.sequence, each.kind, each.hash) for each in journal.entries()]


def append(folder: Path, kind: str, body: dict[str, object]) -> None:
    """Write an entry that no command would write."""
    with Journal.open(folder) as journal:
        journal.append(
            kind,
            body,  # type: ignore[arg-type]
            time_utc="2131-05-05T09:00:00+00:00",
            monotonic_s=1.0,
        )


def test_nothing_is_rewritten_and_both_versions_are_there(tmp_path: Path, parser: Parser) -> None:
    """One entry more, which names the old one; the segments are the same; old and new compute."""
    folder = make(tmp_path / "job", parser)
    earlier, stood = entries(folder), summarise(folder)
    result = rereduce(folder, NEW, by="the office", why="misread", clock=PaperClock())
    *same, (sequence, kind, _) = entries(folder)
    assert same == earlier
    assert (sequence, kind) == (len(earlier) + 1, "tape_corrected")
    with Journal.open(folder, read_only=True) as journal:
        entry = journal.last()
        (first,) = journal.entries("tape")
    assert entry is not None
    assert entry.content == {
        "tape": NEW.model_dump(mode="json"),
        "replaces": first.sequence,
        "by": "the office",
        "why": "misread",
    }
    assert verify_job(folder).ok
    assert result.after.replay.segments == stood.replay.segments
    assert result.before.corrected == stood.corrected
    assert result.entries_changed == ("certified_length_ft", "weight_lb_per_ft")


def test_the_new_version_is_that_of_a_job_made_with_the_new_certificate(
    tmp_path: Path, parser: Parser
) -> None:
    """Reduced again is what it would have been with the right certificate from the beginning."""
    result = rereduce(make(tmp_path / "job", parser), NEW, by="office", why="")
    fresh = summarise(make(tmp_path / "fresh", parser, NEW))
    assert result.after.corrected == fresh.corrected
    assert summarise(tmp_path / "job").corrected == fresh.corrected
    assert [change.pull for change in result.pulls] == [1, 2, 3]
    assert [(change.line_from, change.line_to) for change in result.lines] == [
        ("A", "B"),
        ("B", "C"),
    ]


def test_both_reports_say_which_certificate_they_rest_on(tmp_path: Path, parser: Parser) -> None:
    """The header of each names its entry; a job never corrected names its tape alone."""
    folder = make(tmp_path / "job", parser)
    assert summarise(folder).header.tape == "T-1"
    result = rereduce(folder, NEW, by="office", why="")
    old, new = result.replaced.sequence, result.in_force.sequence
    assert result.before.header.tape == f"T-1 (certificate of entry {old}, replaced since)"
    assert result.after.header.tape == f"T-1 (certificate of entry {new}, in force)"
    assert result.before.header.state_hash == result.after.header.state_hash


def test_a_run_that_was_broken_off_is_done_again(tmp_path: Path, parser: Parser) -> None:
    """The same certificate once more writes nothing and lists the same differences."""
    folder = make(tmp_path / "job", parser)
    first = rereduce(folder, NEW, by="office", why="")
    written = entries(folder)
    second = rereduce(folder, NEW, by="somebody else", why="")
    assert entries(folder) == written
    assert (second.pulls, second.lines) == (first.pulls, first.lines)
    assert second.in_force == first.in_force


def test_a_certificate_is_corrected_twice_and_back(tmp_path: Path, parser: Parser) -> None:
    """Each correction replaces the one before it, also by what stood first."""
    folder = make(tmp_path / "job", parser)
    stood = summarise(folder).corrected
    for tape in (NEW, certificate(certified_length_ft=99.99), OLD):
        result = rereduce(folder, tape, by="office", why="")
        assert result.in_force.certificate == tape
    assert len(result.after.replay.editions["T-1"]) == 4
    assert result.after.corrected == stood
    assert result.before.corrected != stood
    assert verify_job(folder).ok


def test_the_job_goes_on_with_the_corrected_certificate(tmp_path: Path, parser: Parser) -> None:
    """The next line takes the certificate in force and refuses the old one."""
    folder = make(tmp_path / "job", parser)
    rereduce(folder, NEW, by="office", why="")
    with Job.open(folder, PaperClock()) as job:
        with pytest.raises(ConfigError, match="calllog rereduce"):
            job.begin_line(line(line_from="C", line_to="D"), OLD)
        job.begin_line(line(line_from="C", line_to="D"), NEW)
    assert verify_job(folder).ok


def test_a_tape_used_first_after_a_correction_keeps_its_only_certificate(
    tmp_path: Path, parser: Parser
) -> None:
    """As it stood before the correction means no other tape than the corrected one."""
    folder = make(tmp_path / "job", parser)
    correction = rereduce(folder, NEW, by="office", why="").in_force.sequence
    other = certificate(identity="T-2")
    with Job.open(folder, PaperClock()) as job:
        job.begin_line(line(line_from="C", line_to="D", tape="T-2"), other)
    again = summarise(folder, before=correction)
    assert again.replay.tapes_before(correction) == {"T-1": OLD, "T-2": other}
    assert again.replay.tapes == {"T-1": NEW, "T-2": other}


def test_what_a_correction_changed_is_told_apart_from_that_of_another_tape(
    tmp_path: Path, parser: Parser
) -> None:
    """Done again after a second tape was corrected, the first one lists what it changed itself."""
    folder = make(tmp_path / "job", parser)
    other = certificate(identity="T-2")
    with Job.open(folder, PaperClock()) as job:
        job.begin_line(line(line_from="C", line_to="D", tape="T-2"), other)
        for call in Crew(parser).say(*AGREED).heard:
            job.record(call.model_copy(update={"number": 100 + call.number}))
    first = rereduce(folder, NEW, by="office", why="")
    longer = certificate(identity="T-2", certified_length_ft=100.05)
    second = rereduce(folder, longer, by="office", why="")
    again = rereduce(folder, NEW, by="office", why="")
    pulls = [(each.pull, each.difference_ft) for each in first.pulls]
    assert [(each.pull, each.difference_ft) for each in again.pulls] == pulls
    assert [bool(each.difference_ft) for each in first.pulls] == [True, True, True, False]
    assert [bool(each.difference_ft) for each in second.pulls] == [False, False, False, True]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"identity": "T-9"}, r"tape T-9 was not used in this job.*that was: T-1"),
        ({}, "in force already"),
        ({"style": Style.CUT}, r"style cannot be corrected.*new job"),
        ({"foot": Foot.INTERNATIONAL}, "foot cannot be corrected"),
        ({"nominal_ft": 50, "certified_length_ft": 50.0}, "nominal_ft cannot be corrected"),
        ({"style": Style.INSET}, "style, hold cannot be corrected"),
    ],
)
def test_what_is_no_correction_is_refused(
    tmp_path: Path, parser: Parser, change: dict[str, object], message: str
) -> None:
    """Another tape, the same certificate, another way of reading: nothing is written."""
    folder = make(tmp_path / "job", parser)
    earlier = entries(folder)
    with pytest.raises(ConfigError, match=message):
        rereduce(folder, certificate(**change), by="office", why="")
    with pytest.raises(ConfigError, match="say who"):
        rereduce(folder, NEW, by=" ", why="")
    assert entries(folder) == earlier


def test_a_correction_names_the_certificate_in_force(tmp_path: Path, parser: Parser) -> None:
    """An entry that replaces something else is found by the proof, and so is a second statement."""
    folder = make(tmp_path / "job", parser)
    tape = NEW.model_dump(mode="json")
    append(folder, "tape_corrected", {"tape": tape, "replaces": 1, "by": "x", "why": ""})
    found = verify_job(folder)
    assert (found.ok, found.first_bad) == (False, len(entries(folder)))
    assert "replaces entry 1, which is not the certificate in force of tape T-1" in found.wrong
    other = make(tmp_path / "other", parser)
    append(other, "tape", tape)
    assert "states a tape again" in verify_job(other).wrong
    unknown = make(tmp_path / "unknown", parser)
    tape = certificate(identity="T-9").model_dump(mode="json")
    append(unknown, "tape_corrected", {"tape": tape, "replaces": 2, "by": "x", "why": ""})
    assert "certificate in force of tape T-9" in verify_job(unknown).wrong


def test_a_correction_without_its_parts_is_no_entry(tmp_path: Path, parser: Parser) -> None:
    """What has no certificate in it is named with its entry."""
    folder = make(tmp_path / "job", parser)
    append(folder, "tape_corrected", {"replaces": 2})
    with (
        Journal.open(folder, read_only=True) as journal,
        pytest.raises(JournalError, match="is no tape_corrected"),
    ):
        replay(journal.entries())


def test_what_is_assumed_of_a_tape_is_told(tmp_path: Path, parser: Parser) -> None:
    """A cross-section that the new certificate leaves out is marked in log, page and changes."""
    folder = make(tmp_path / "job", parser)
    weighed = certificate(certified_length_ft=100.02, steel={"by_density": "area"})
    result = rereduce(folder, weighed, by="the office", why="a later one", clock=PaperClock())
    how = "area_in2 from its weight, by the density of steel"
    summary = summarise(folder)
    assert summary.header.tape.endswith(f", in force) (assumed: {how})")
    assert result.entries_changed == ("certified_length_ft", "assumed")
    (paper,) = papers(summary, ["T-1"])
    (row,) = [each for each in paper.rows if each.name.code == "page-cross-section"]
    assert row.values == (
        "0.00375 in²",
        Message(code="page-assumed", facts={"value": "0.00375 in²"}),
    )
