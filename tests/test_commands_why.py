"""The command `why` on jobs of a paper crew, and what a journal keeps of how it decided."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from calllog.commands.why import why
from calllog.decoding import NEWEST
from calllog.decoding.blunders import BLUNDERS
from calllog.errors import ConfigError, JournalError
from calllog.journal import Journal
from calllog.office.summary import verify_job
from calllog.pairing import EDITION, code_in
from calllog.session import Job
from calllog.spoken import Parser
from calllog.values import CheckPolicy, Choice, Decision, LineSettings, ReadingUnit, Style
from calllog.wording import language_words, languages
from tests.crew import Crew, settings
from tests.tapes import certificate

Show = Callable[..., str]
UNSURE = ("h: fifteen 0.6 | fifty 0.39", "r: forty two 0.99")
LINE = settings(Style.FULL, tape=certificate().identity, limit=10_000, decoding=NEWEST)


def pull(crew: Crew) -> Crew:
    """Measure a pull of which the check was misheard, and answer the question."""
    crew.hear("h: fifteen forty two 0.97").say("h: switch ends")
    crew.hear("r: fifty forty two 0.6 | fifteen forty two 0.39")
    return crew.hear("r: fifteen forty two 0.95")


def write_job(folder: Path, crew: Crew, line: LineSettings = LINE) -> Path:
    """Put what a crew said into a job."""
    with Job.open(folder) as job:
        job.begin_line(line, certificate())
        for call in crew.heard:
            job.record(call)
    return folder


@pytest.fixture
def show(capsys: pytest.CaptureFixture[str]) -> Show:
    """Run the command and give what it prints."""

    def run(job: Path, number: int, *, as_json: bool = False) -> str:
        why(job, number, as_json=as_json)
        return capsys.readouterr().out

    return run


def test_alternatives_explanations_and_costs_are_shown(
    parser: Parser, tmp_path: Path, show: Show
) -> None:
    """What was heard and as what, what was asked, what it most likely was, what it cost."""
    job = write_job(tmp_path / "job", pull(Crew(parser, LINE, is_live=True)))
    text = show(job, 1)
    assert "pull 1: recorded 15.42 ft (agreed)" in text
    assert "rear   fifty forty two: 50.42 60.0% ->" in text
    assert "15.42 39.0% ->" in text
    assert "asked: the reading of the check" in text
    assert "no blunder         first 15.42  check 15.42" in text
    assert "decision: book" in text
    assert "20.0000  stop" in text


def test_json_has_all_of_it(parser: Parser, tmp_path: Path, show: Show) -> None:
    """One document: calls, explanations, probabilities, decision and costs."""
    job = write_job(tmp_path / "job", pull(Crew(parser, LINE, is_live=True)))
    found = json.loads(show(job, 1, as_json=True))
    assert (found["booked_ft"], found["booking"], found["decision"]) == (15.42, "agreed", "book")
    assert [each["call"] for each in found["check"]["calls"]] == [4, 3]
    assert found["check"]["calls"][1]["heard"][1]["value"] == 1542
    assert found["explanations"][0]["code"] == "same"
    assert 0.0 < found["probability_wrong"] < 0.01
    assert set(found["costs_questions"]) == {"book", "book with a note", "stop", "ask"}
    assert found["decided_by_weighing"]


def test_a_stop_is_explained_while_it_waits_and_after(
    parser: Parser, tmp_path: Path, show: Show
) -> None:
    """The blunder that fits leads; after the decision, and after pulls held behind it, too."""
    crew = Crew(parser, LINE)
    for take, check in (("fifteen forty two", "sixteen forty two"), ("ten ten", "ten ten")):
        crew.hear(f"h: {take} 0.99", f"h: {take} 0.99").say("h: switch ends")
        crew.hear(f"r: {check} 0.99")
    job = write_job(tmp_path / "job", crew)
    text = show(job, 1)
    assert "pull 1 waits for a decision, 4 calls held" in text
    assert "one foot           first 15.42  check 16.42" in text
    with Job.open(job) as opened:
        opened.record(Decision(pull=1, choice=Choice.FIRST, by="chief"))
    assert "pull 1: recorded 15.42 ft (first)" in show(job, 1)
    assert "pull 2: recorded 10.10 ft (agreed)" in show(job, 2)
    assert verify_job(job).ok


def test_typed_and_unchecked_pulls_are_shown(parser: Parser, tmp_path: Path, show: Show) -> None:
    """What was typed says so; without a check the take stands alone."""
    line = LINE.model_copy(update={"policy": CheckPolicy.NONE})
    crew = Crew(parser, line).say("kh: fifteen forty two", "h: next pull")
    text = show(write_job(tmp_path / "job", crew, line), 1)
    assert "fifteen forty two: typed" in text
    assert "check 15" not in text
    assert json.loads(show(tmp_path / "job", 1, as_json=True))["check"] is None


def test_a_pull_without_a_take_is_an_error(parser: Parser, tmp_path: Path, show: Show) -> None:
    """It says what the pull waits for, and what to do."""
    crew = Crew(parser, LINE).say("h: fifteen")
    job = write_job(tmp_path / "job", crew)
    with pytest.raises(ConfigError, match="pull 1 has no complete first"):
        show(job, 1)
    with pytest.raises(ConfigError, match="pull 7 has no complete first; name a pull"):
        show(job, 7)


def test_journal_of_an_older_calllog_goes_on_as_it_began(
    parser: Parser, tmp_path: Path, show: Show
) -> None:
    """Its line names no edition: the same calls lead to the same, and the line is not broken."""
    old = LINE.model_copy(update={"decoding": 0})
    job = write_job(tmp_path / "job", pull(Crew(parser, old, is_live=True)), old)
    assert "decided by best hypotheses" in show(job, 1)
    with Job.open(job) as opened:
        pulls = opened.state.pull
        opened.begin_line(LINE, certificate())
        assert opened.state.settings.decoding == 0
        assert opened.state.pull == pulls
    assert verify_job(job).ok


def test_journal_of_a_later_edition_is_refused(tmp_path: Path) -> None:
    """It cannot be computed again here, so nothing is guessed."""
    later = LINE.model_copy(update={"decoding": NEWEST + 1})
    with (
        Job.open(tmp_path / "job") as job,
        pytest.raises(ConfigError, match=f"edition {NEWEST + 1} of the joint"),
    ):
        job.begin_line(later, certificate())
    with Journal.open(tmp_path / "job") as journal:
        body = later.model_dump(mode="json")
        journal.append("line", body, time_utc="2131-05-04T12:00:00+00:00", monotonic_s=0.0)
    with pytest.raises(JournalError, match=f"edition {NEWEST + 1} of the joint"):
        Job.open(tmp_path / "job")


def test_later_edition_of_the_pairing_is_refused(tmp_path: Path) -> None:
    """What a later program would pair otherwise is not paired by this one's rules."""
    later = LINE.model_copy(update={"pairing": EDITION + 1})
    with (
        Job.open(tmp_path / "job") as job,
        pytest.raises(ConfigError, match=f"edition {EDITION + 1} of the pairing"),
    ):
        job.begin_line(later, certificate())
    with Journal.open(tmp_path / "job") as journal:
        body = later.model_dump(mode="json")
        journal.append("line", body, time_utc="2131-05-04T12:00:00+00:00", monotonic_s=0.0)
    with pytest.raises(JournalError, match=f"edition {EDITION + 1} of the pairing"):
        Job.open(tmp_path / "job")


def test_all_forms_of_a_value_are_heard_together(
    parser: Parser, tmp_path: Path, show: Show
) -> None:
    """A later form of the same value, hardly heard, does not stand for all of it."""
    crew = Crew(parser, LINE, is_live=True)
    crew.hear("h: fifteen forty two 0.98 | one five point four two 0.0001")
    text = show(write_job(tmp_path / "job", crew), 1)
    assert "15.42 98.0% ->" in text


def test_first_and_check_a_hundredth_apart_are_not_told_alike(
    parser: Parser, tmp_path: Path, show: Show
) -> None:
    """Within the tolerance is what is said, with its figure; they were not called alike."""
    crew = Crew(parser, LINE, is_live=True)
    crew.hear("h: fifteen forty two 0.99").say("h: switch ends").hear("r: fifteen forty one 0.99")
    text = show(write_job(tmp_path / "job", crew), 1)
    assert "that first and check were called within 0.01 ft of each other" in text
    assert "alike" not in text


@pytest.mark.parametrize("code", languages())
def test_every_explanation_is_named_in_words(
    code: str, parser: Parser, tmp_path: Path, show: Show, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither a code of a blunder nor of who called is left, in any language."""
    words = language_words(code)
    named = {words.named(code_in(each, ReadingUnit.METRE)) for each, *_ in BLUNDERS}
    named |= {words.named(code_in(each, ReadingUnit.FOOT)) for each, *_ in BLUNDERS}
    assert len(named) > len(BLUNDERS)
    assert not [each for each in named if "-" in each]
    monkeypatch.setenv("LC_ALL", f"{code}.UTF-8")
    crew = pull(Crew(parser, LINE, is_live=True))
    text = show(write_job(tmp_path / "job", crew), 1)
    assert words("log-same") in text
    assert words("crew-role", role="rear") in text
