"""Jobs of format 1, in every state, stay what they were, and go on in the format of today."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import NamedTuple

import pytest
from fluent.syntax import FluentParser, FluentSerializer, ast
from fluent.syntax.visitor import Transformer
from hypothesis import given
from hypothesis import strategies as st

from calllog import wording
from calllog.journal import Journal
from calllog.office import rereduce
from calllog.office.summary import verify_job
from calllog.pairing import Phase, status
from calllog.session import Job, replay
from calllog.session.format_1 import AS_WRITTEN, format_1_words, reason_of
from calllog.values import Call, Choice, Decision, Message, Outcome, ReadingUnit
from tests.fieldjob import Paper

GOLDEN = Path(__file__).parent / "golden"
STATES = GOLDEN / "states_1"
"""One job for each state that a program of format 1 could leave, made by the last of them;
``read.json`` is what that program read in each."""
KEPT = json.loads((STATES / "read.json").read_text("utf-8"))
EVERY_JOB = [STATES / name for name in KEPT] + sorted(GOLDEN.glob("jobs_*/*/"))
READABLE = st.text(st.characters(codec="utf-8", exclude_categories=["C"]), min_size=1)


class State(NamedTuple):
    """What a program read in a job."""

    phase: str
    pull: int
    segments: list[float]
    status: str


def copied(name: str, tmp_path: Path) -> Path:
    """Copy a golden job, so that it can be worked on."""
    return Path(shutil.copytree(STATES / name, tmp_path / "job"))


@pytest.mark.parametrize("name", KEPT)
def test_job_of_format_1_is_consistent_and_reads_the_same(name: str) -> None:
    """Every sentence that format 1 kept is compared, and the pull stands where it stood."""
    found = verify_job(STATES / name)
    assert found.ok, found.wrong
    with Journal.open(STATES / name, read_only=True) as journal:
        entries = tuple(journal.entries())
    again = replay(entries)
    assert again.state is not None
    words = format_1_words().measured_in(again.state.settings.unit)
    kept = KEPT[name]
    assert State(
        again.state.phase.value,
        again.state.pull,
        [each.length_read_ft for each in again.segments],
        words.say(status(again.state)),
    ) == State(kept["phase"], kept["pull"], kept["segments"], kept["status"])
    assert len(again.missing) == kept["missing"]
    assert [words.say(each.reason) for each in again.calls if each.reason] == kept["reasons"]
    assert not any(each.reason and each.reason.code == AS_WRITTEN for each in again.calls)


def test_the_kept_jobs_hold_what_format_1_could_say() -> None:
    """Nearly every frozen sentence is in one of them, so the comparison above tests it."""
    said = {words for kept in KEPT.values() for words in (*kept["words"], *kept["reasons"])}
    for beginning in (
        "take 15.42, check 16.42: exactly one foot apart",
        "take 15.42, check 25.42: exactly ten feet apart",
        "take 15.42, check 84.58: the two add up",
        "the whole foot was 15, now 50",
        "heard 33 beside the keyed 32",
        "heard 50.42, keyed 15.42",
        "head, say again the whole foot",
        "rear, say again or type the whole foot",
        "before switching: pull 1 waits for the take",
        "the rise of 20.0 ft is more than",
        "this tape cuts",
        "fifteen seven may be 15.07 or 15.70",
    ):
        assert any(each.startswith(beginning) for each in said), beginning


@pytest.mark.parametrize("name", KEPT)
def test_job_of_format_1_is_gone_on_with(name: str, tmp_path: Path) -> None:
    """Whatever it waits for, the crew measures on in it; both formats stand in one chain."""
    folder = copied(name, tmp_path)
    with Job.open_existing(folder) as job:
        before = len(job.replay.segments)
        if job.state.phase is Phase.STOPPED:
            pull = job.state.pull
            job.record(Decision(pull=pull, choice=Choice.AGAIN, by="R. Field, chief"))
        if job.state.phase is Phase.FINISHED:
            settings = job.state.settings.model_copy(update={"line_to": "Alder"})
            job.begin_line(settings, job.replay.tapes[settings.tape])
        paper = Paper(job, first=len(job.replay.calls) + 1).say("again")
        stands = len(job.replay.segments)
        taken = paper.full(1200, 7).say("switch").full(1200, 7)
        assert taken.job.replay.segments[stands:][0].length_read_ft == pytest.approx(
            job.replay.segments[stands].length_read_ft
        )
        assert len(job.replay.segments) > max(before - 1, 0)
        state = job.state
    assert verify_job(folder).ok
    with Journal.open(folder, read_only=True) as journal:
        entries = tuple(journal.entries())
    assert {each.version for each in entries} == {1, 2}
    assert replay(entries).state == state


@pytest.mark.parametrize("name", ["open", "signed", "metres", "rescued", "stopped-and-held"])
def test_job_of_format_1_is_reduced_again(name: str, tmp_path: Path) -> None:
    """A corrected certificate goes into it; the segments stay, the corrections follow."""
    folder = copied(name, tmp_path)
    with Job.open_existing(folder) as job:
        (tape,) = job.replay.tapes.values()
        segments = list(job.replay.segments)
        corrected = tape.model_copy(update={"certificate_number": "C-9"})
        job.correct_tape(corrected, by="the office", why="the bench misread it")
        assert job.replay.segments == segments
    assert verify_job(folder).ok
    assert rereduce is not None


class _Mended(Transformer):
    """Changes every sentence of a catalogue."""

    def visit_TextElement(self, node: ast.TextElement) -> ast.TextElement:  # noqa: N802 - its API
        """Change one piece of text."""
        node.value = f"{node.value}~" if node.value.strip() else node.value
        return node


def test_any_sentence_may_be_mended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With every sentence of every catalogue changed, each old job is as consistent as before."""
    for path in wording.HERE.glob("*.ftl"):
        mended = _Mended().visit(FluentParser().parse(path.read_text("utf-8")))
        (tmp_path / path.name).write_text(FluentSerializer().serialize(mended), "utf-8")
    english = wording.Words("en", (tmp_path / "en.ftl").read_text)
    assert english("crew-talk") == "crew talk~"
    monkeypatch.setattr(wording.ENGLISH, "__dict__", vars(english))
    assert wording.ENGLISH("crew-talk") == "crew talk~"
    for number, folder in enumerate(EVERY_JOB):
        found = verify_job(folder)
        assert found.ok, f"{folder.name}: {found.wrong}"
        copy = shutil.copytree(folder, tmp_path / str(number))
        with Job.open_existing(copy) as job:
            job.note("disk_slow", {"seconds": 2.0})
        assert verify_job(copy).ok, folder.name


REASONS = st.one_of(
    st.builds(lambda said: Message(code="not-sure-of", facts={"said": said}), READABLE),
    st.builds(lambda word: Message(code="not-a-call-word", facts={"word": word}), READABLE),
    st.builds(
        lambda reading, tape: Message(code="beyond-tape", facts={"reading": reading, "tape": tape}),
        st.integers(0, 99_999),
        st.sampled_from((30, 50, 66, 100)),
    ),
    st.builds(
        lambda said, digit: Message(code="one-digit", facts={"said": said, "digit": digit}),
        st.sampled_from(("seven", "point seven", "7")),
        st.integers(1, 9),
    ),
    st.builds(
        lambda side: Message(code="offset-form", facts={"side": side}),
        st.sampled_from(("left", "right")),
    ),
    st.sampled_from([Message(code=code) for code in ("crew-talk", "nothing-said", "station-plus")]),
)


@given(REASONS, st.sampled_from([ReadingUnit.FOOT, ReadingUnit.METRE]))
def test_reason_is_read_back_from_its_sentence(reason: Message, unit: ReadingUnit) -> None:
    """What format 1 wrote of a reason leads back to a reason that says the same."""
    text = format_1_words().measured_in(unit).say(reason)
    found = reason_of(text)
    assert found.code != AS_WRITTEN
    assert text in {format_1_words().measured_in(each).say(found) for each in ReadingUnit}


@given(READABLE)
def test_unknown_reason_keeps_its_words(text: str) -> None:
    """A sentence that no program of ours wrote stays as it is, and says itself."""
    assert wording.ENGLISH.say(reason_of(f"{text}!")) == f"{text}!"


def test_forged_sentence_in_a_job_of_format_1_is_seen() -> None:
    """A finding whose words were changed, its chain made to fit again, does not follow."""
    with Journal.open(STATES / "stopped", read_only=True) as journal:
        entries = list(journal.entries())
    last = entries[-1]
    assert last.kind == "finding"
    forged = last.model_copy(update={"body": last.body.replace("one foot", "two feet")})
    again = replay([*entries[:-1], forged])
    assert again.wrong == f"entry {last.sequence} (finding) does not follow from the calls"


def test_calls_of_both_formats_have_reasons(tmp_path: Path) -> None:
    """A reason of format 1 comes out as a code; one of today goes in and out as a code."""
    folder = copied("questions", tmp_path)
    with Job.open_existing(folder) as job:
        old = [each.reason for each in job.replay.calls if each.outcome is Outcome.ASK]
        assert Message(code="one-digit", facts={"said": "seven", "digit": 7}) in old
        assert isinstance(job.replay.calls[0], Call)
