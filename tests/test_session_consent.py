"""Sound is kept only of those who agree, as long as they do; talk and typed words stand apart."""

from __future__ import annotations

import io
import shutil
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest
from pydantic import ValidationError

from calllog.commands.agreeing import (
    Agreement,
    agreement,
    settle_consent,
    tell_due,
)
from calllog.errors import ConfigError, JournalError
from calllog.journal import Journal
from calllog.live.loop import UNAGREED
from calllog.office import replay_job, summarise
from calllog.office.summary import verify_job
from calllog.page import write_pages
from calllog.phone.shown import card, shown
from calllog.session import (
    Consent,
    Job,
    Listener,
    Person,
    Told,
    Voices,
    hear_recording,
    people_of,
    replay,
)
from calllog.session.consent import Expunged
from calllog.session.kinds import content_of
from calllog.session.recorder import NO_SOUND
from calllog.session.remark_words import keep_words
from calllog.spoken import Grammar, Parser
from calllog.values import Kind, Outcome, Role, message
from calllog.wording import ENGLISH
from tests.consenting import agree
from tests.crew import settings as line
from tests.rig import Rig
from tests.soundjob import HEAD_CALLS, PULL, REAR_CALLS, Crew, sound_job
from tests.test_session_job import TAPE, PaperClock
from tests.test_session_notes import COURSE, Scripted, recording

GOLDEN = Path(__file__).parent / "golden" / "jobs_1" / "feet"
TODAY, DAY_BEFORE, DAY_AFTER = date(2131, 5, 4), date(2131, 5, 3), date(2131, 5, 5)
"""The day of the paper clock, and those beside it."""
BOTH = (Role.HEAD, Role.REAR)
TALK = (0, "wait a minute")


def clips(folder: Path) -> list[int]:
    """List the calls whose sound lies in a job."""
    return sorted(int(path.stem) for path in (folder / "audio").glob("*.flac"))


def voices(*said: Sequence[str]) -> Voices:
    """Follow consents, given as names; a minus before a name takes it back."""
    found = Voices()
    for names in said:
        taken_back = [each.removeprefix("-") for each in names if each.startswith("-")]
        given = [each for each in names if not each.startswith("-")]
        if given:
            found.agree(Consent(people=people_of(given), by="x"))
        if taken_back:
            found.agree(Consent(people=people_of(taken_back), by="x", is_withdrawn=True))
    return found


@pytest.mark.parametrize(
    ("said", "head", "rear", "both"),
    [
        ([], False, False, False),
        ([["Ash"]], True, True, True),
        ([["head=Ash"]], True, False, False),
        ([["head=Ash", "rear=Rowan"]], True, True, True),
        ([["head=Ash"], ["rear=Rowan"]], True, True, True),
        ([["head=Ash", "rear=Rowan"], ["-Ash"]], False, True, False),
        ([["Ash", "Rowan"], ["-Rowan"]], False, False, False),
        ([["Ash", "Rowan"], ["-Rowan"], ["Ash"]], False, False, False),
        ([["Ash", "Rowan"], ["-Rowan"], ["Rowan"]], True, True, True),
        ([["Ash", "Rowan"], ["-Rowan"], ["head=Ash", "rear=Elder"]], True, True, True),
        ([["head=Ash"], ["-Ash"], ["head=Elder"]], True, False, False),
        ([["-Ash"]], False, False, False),
    ],
)
def test_whose_microphone_may_be_kept(
    said: list[list[str]], *, head: bool, rear: bool, both: bool
) -> None:
    """Everyone who wears it must agree; who took it back stands against it until replaced."""
    found = voices(*said)
    roles = (Role.HEAD, Role.REAR, Role.UNSAID)
    assert tuple(found.covers(role, TODAY) for role in roles) == (head, rear, both)


@pytest.mark.parametrize(
    "body",
    [
        {"people": [], "by": "x"},
        {"people": [{"name": " "}], "by": "x"},
        {"people": [{"name": "Ash"}], "by": ""},
        {"people": [{"name": "Ash"}], "by": "x", "until": "soon"},
    ],
)
def test_consent_of_nobody_is_refused(tmp_path: Path, body: dict[str, object]) -> None:
    """Nothing is written that does not say who, and by whom it was recorded."""
    with Job.open(tmp_path / "job") as job:
        before = job.kept.head
        with pytest.raises(JournalError, match="no consent"):
            job.note("consent", body)  # type: ignore[arg-type]
        assert job.kept.head == before


def test_live_work_without_consent_keeps_no_sound_and_says_so_once(
    tmp_path: Path, grammar: Grammar, parser: Parser
) -> None:
    """Calls go on as ever; the screen says it where work begins, and not again with each call."""
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser, agrees=False)
        rig.loop.greet(message("as-told", words="take care"), is_gone_on_with=False)
        assert rig.notices == ("take care", ENGLISH.say(UNAGREED))
        rig.say("fifteen", 1)
        rig.say("forty two", 0)
        assert [call.value for call in rig.calls] == [1500, 42]
        assert rig.notices.count(ENGLISH.say(UNAGREED)) == 1
        assert {(call.clip, call.clip_sha256) for call in rig.calls} == {("", "")}
        assert rig.entries("clip_lost") == []
    assert clips(tmp_path / "job") == []
    assert verify_job(tmp_path / "job").ok


def test_live_work_with_consent_says_nothing_of_it(
    tmp_path: Path, grammar: Grammar, parser: Parser
) -> None:
    """Where all have agreed there is nothing to say."""
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, parser)
        rig.loop.greet(message("as-told", words="take care"), is_gone_on_with=False)
        assert rig.notices == ("take care",)


def test_consent_counts_from_when_it_is_given_to_when_it_is_taken_back(
    tmp_path: Path, parser: Parser
) -> None:
    """Nothing before it is kept, nothing of that microphone after; what stands stays."""
    folder = tmp_path / "job"
    with Job.open(folder, PaperClock()) as job:
        crew = Crew(job, parser).say((1, "fifteen"))
        agree(job)
        crew.say((0, "forty two"), (0, "switch ends"))
        agree(job, "Ash", is_withdrawn=True)
        crew.say((0, "fifteen"), (1, "forty two"))
        assert [each.length_read_ft for each in job.replay.segments] == [15.42]
    assert clips(folder) == [2, 3, 5]
    assert verify_job(folder).ok


def test_recording_without_consent_gives_its_calls_alone(tmp_path: Path, parser: Parser) -> None:
    """Taken in from a file, sound is kept no more than live; a remark cannot be then."""
    told: list[Told] = []
    with Job.open(tmp_path / "job", PaperClock()) as job:
        job.begin_line(line(), TAPE)
        listener = Listener(Scripted("remark follows", "forty two"), parser, (Role.HEAD,), COURSE)
        sound = recording(tmp_path / "day.wav", 1.5, 1.5)
        hear_recording(job, sound, listener, on_told=told.append)
        assert [each.value for each in job.replay.calls] == [None, 42]
        changed = told[0].changed
        assert changed is not None
        assert changed.told == NO_SOUND
    assert clips(tmp_path / "job") == []


def test_recording_notes_who_wears_its_microphones(tmp_path: Path, parser: Parser) -> None:
    """Whose sound it is follows from the channel, also where it is gone on with in other roles."""
    with Job.open(tmp_path / "job", PaperClock()) as job:
        COURSE.go_on(agree(job))
        sound = recording(tmp_path / "day.wav", 1.5)
        for role in (Role.REAR, Role.REAR, Role.HEAD):
            listener = Listener(Scripted("forty two"), parser, (role,), COURSE)
            hear_recording(job, sound, listener)
        assert job.replay.voices.heard == {1: (Role.REAR, ("Rowan",))}
        assert job.replay.voices.roles["day.wav"] == (Role.HEAD,)
    with Journal.open(tmp_path / "job", read_only=True) as journal:
        assert len(list(journal.entries("recording"))) == 2


def test_sound_is_the_microphones_wearers_whatever_end_is_called(
    tmp_path: Path, parser: Parser
) -> None:
    """A caller who says "rear" on the head's microphone is heard by the head's microphone."""
    said = (*PULL, (0, "rear sixteen"))
    folder = sound_job(tmp_path / "job", parser, said)
    found = replay_job(folder)
    assert found.calls[-1].role is Role.REAR
    assert found.voices.of("Ash") == (*HEAD_CALLS, 6)
    assert found.voices.of("Rowan") == found.voices.of("rear") == REAR_CALLS


def test_talk_is_kept_neither_as_sound_nor_in_words(tmp_path: Path, parser: Parser) -> None:
    """Its call stays, with its place and its outcome; nothing of what was said does."""
    folder = sound_job(tmp_path / "job", parser, (*PULL[:1], TALK, *PULL[1:]))
    found = replay_job(folder)
    talk = found.calls[1]
    assert (talk.kind, talk.outcome, talk.number) == (Kind.CHATTER, Outcome.IGNORED, 2)
    assert (talk.text, talk.alternatives, talk.clip) == ("", (), "")
    assert [each.length_read_ft for each in found.segments] == [15.42]
    assert 2 not in clips(folder)
    assert b"wait a minute" not in b"".join(
        each.read_bytes() for each in folder.glob("job.sqlite*")
    )


def test_talk_is_kept_where_that_is_asked_for(tmp_path: Path, parser: Parser) -> None:
    """With --keep-talk sound and words stay; the pulls are the same either way."""
    with Job.open(tmp_path / "job", PaperClock()) as job:
        crew = Crew(agree(job), parser, keeps_talk=True).say(TALK, *PULL)
        talk = crew.told[0].call
        assert (talk.text, bool(talk.alternatives)) == ("wait a minute", True)
        assert [each.length_read_ft for each in job.replay.segments] == [15.42]
    assert clips(tmp_path / "job") == [1, 2, 3, 4, 5, 6]


def test_talk_is_not_kept_without_consent_either(tmp_path: Path, parser: Parser) -> None:
    """--keep-talk does not stand in for consent."""
    with Job.open(tmp_path / "job", PaperClock()) as job:
        Crew(job, parser, keeps_talk=True).say(TALK)
    assert clips(tmp_path / "job") == []


def test_typed_words_stand_beside_the_journal(tmp_path: Path, parser: Parser) -> None:
    """They are read as ever, and the journal's files do not hold them."""
    folder = sound_job(tmp_path / "job", parser, remark="gate locked by Elder")
    kept = replay_job(folder)
    assert kept.calls[-1].text == "gate locked by Elder"
    journal = b"".join(each.read_bytes() for each in folder.glob("job.*"))
    assert b"gate locked" not in journal
    assert b"gate locked" in (folder / kept.kept_words[6].words_in).read_bytes()
    with Job.open_existing(folder) as job:
        assert job.replay.calls[-1].text == "gate locked by Elder"
        assert job.replay == kept


def test_same_words_have_another_hash_each_time(tmp_path: Path, parser: Parser) -> None:
    """Their hash is salted, so nobody finds the words of a removed file by trying."""
    hashes = set()
    for name in ("one", "two"):
        folder = sound_job(tmp_path / name, parser, remark="gate locked")
        hashes.add(replay_job(folder).kept_words[6].words_sha256)
    assert len(hashes) == 2


@pytest.mark.parametrize("is_changed", [True, False])
def test_typed_words_are_part_of_the_record(
    tmp_path: Path, parser: Parser, *, is_changed: bool
) -> None:
    """Changed or missing they are a fault, and are not shown as if they were the words."""
    folder = sound_job(tmp_path / "job", parser, remark="gate locked")
    path = folder / "remarks" / "000006.json"
    if is_changed:
        path.write_text(path.read_text("utf-8").replace("locked", "open"), "utf-8")
    else:
        path.unlink()
    said = verify_job(folder).wrong
    assert said.startswith("the words remarks/000006.json of entry")
    assert ("was changed" in said) is is_changed
    assert replay_job(folder).calls[-1].text == ""


def test_remark_typed_again_after_a_kill_is_no_fault(tmp_path: Path, parser: Parser) -> None:
    """Killed between the words and their call: those words count for nothing, the new ones do."""
    folder = sound_job(tmp_path / "job", parser)
    with Job.open_existing(folder, PaperClock()) as job:
        job.note("remark_words", content_of(keep_words(folder, 6, "lost in the kill")))
    assert verify_job(folder).ok
    with Job.open_existing(folder, PaperClock()) as job:
        Crew(job, parser, sitting=2).write("typed again")
    assert replay_job(folder).calls[-1].text == "typed again"
    assert verify_job(folder).ok
    with Job.open_existing(folder, PaperClock()) as job:
        job.note("remark_words", content_of(keep_words(folder, 7, "of nobody")))
        Crew(job, parser, sitting=3).say((0, "remark follows"), (0, "whatever"))
        job.note("remark_words", content_of(keep_words(folder, 9, "of nobody")))
        Crew(job, parser, sitting=4).say((0, "remark follows"), (0, "whatever"))
        assert [each.text for each in job.replay.calls[7:]] == ["", "remark follows", ""]
    (folder / "remarks" / "000007.json").unlink()
    assert verify_job(folder).ok


def test_typed_remark_that_cannot_be_kept_is_not_taken(tmp_path: Path, parser: Parser) -> None:
    """Its words are not put into the journal instead."""
    folder = sound_job(tmp_path / "job", parser)
    (folder / "remarks").symlink_to(tmp_path)
    with Job.open_existing(folder, PaperClock()) as job:
        crew = Crew(job, parser, sitting=2)
        with pytest.raises(JournalError, match="words of the remark cannot be kept"):
            crew.write("gate locked")
        assert len(job.replay.calls) == 5


def test_job_opened_again_follows_consents_as_the_job_at_work_did(
    tmp_path: Path, parser: Parser
) -> None:
    """What may be kept does not depend on whether the program was begun anew."""
    folder = sound_job(tmp_path / "job", parser, until=DAY_AFTER)
    with Job.open_existing(folder, PaperClock()) as job:
        agree(job, "Ash", is_withdrawn=True)
        at_work = job.replay.voices
    assert replay_job(folder).voices == at_work


@pytest.mark.parametrize(("day", "is_kept"), [(DAY_BEFORE, False), (TODAY, True), (None, True)])
def test_no_sound_is_kept_after_its_day(
    tmp_path: Path, parser: Parser, day: date | None, *, is_kept: bool
) -> None:
    """Sound that would have to be removed at once is not recorded."""
    folder = sound_job(tmp_path / "job", parser, until=day)
    assert bool(clips(folder)) is is_kept


def test_after_their_day_sounds_are_due_and_left_out_of_pages(
    tmp_path: Path, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the day itself they are there; after it the page says why not, and the command which."""
    folder = sound_job(tmp_path / "job", parser, until=TODAY)
    on_time = summarise(folder, today=lambda: TODAY)
    assert write_pages(folder, on_time, tmp_path / "page").clips == 5
    tell_due(folder, on_time.replay, TODAY)
    assert capsys.readouterr().err == ""
    late = summarise(folder, today=lambda: DAY_AFTER)
    written = write_pages(folder, late, tmp_path / "late")
    assert (written.clips, written.clips_missing) == (0, 0)
    assert "sound kept beyond its day" in (tmp_path / "late" / "line-1.html").read_text("utf-8")
    tell_due(folder, replay_job(folder), DAY_AFTER)
    said = capsys.readouterr().err
    assert f"5 sounds were to be kept until {TODAY}; remove them: calllog expunge {folder}" in said


def test_newest_word_counts_for_how_long_sound_is_kept(tmp_path: Path, parser: Parser) -> None:
    """Somebody who says a day later on says it of all their sound; another's stays as it was."""
    folder = sound_job(tmp_path / "job", parser)
    with Job.open_existing(folder, PaperClock()) as job:
        agree(job, "head=Ash", until=DAY_BEFORE)
        assert job.replay.voices.due(TODAY) == HEAD_CALLS


def test_sound_is_published_to_those_who_may_listen(
    tmp_path: Path, grammar: Grammar, parser: Parser
) -> None:
    """A page for the office leaves out what the office may not hear; so does the chief's."""
    folder = sound_job(tmp_path / "job", parser)
    with Job.open_existing(folder, PaperClock()) as job:
        agree(job, "head=Ash", listeners=("crew", "chief"))
        assert job.replay.voices.all_allow("chief")
        agree(job, "rear=Rowan", listeners=("crew", "office"))
        rig = Rig(job, grammar, parser)
        rig.loop.greet(message("as-told", words="take care"), is_gone_on_with=True)
        seen = shown(rig.screen.views[-1], job.replay)
        assert seen.calls
        assert not any(each.has_sound for each in seen.calls)
        (segment,) = job.replay.segments
        for may_hear in (True, False):
            booked = card(segment, None, job.replay.calls, may_hear=may_hear)
            assert {each.has_sound for each in booked.calls} == {may_hear}
    summary = summarise(folder, today=lambda: TODAY)
    assert sorted(summary.withheld) == list(HEAD_CALLS)
    assert write_pages(folder, summary, tmp_path / "page").clips == len(REAR_CALLS)


def test_old_job_is_asked_anew_and_its_sounds_stay(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sounds recorded before there was consent stay and are shown; new sound needs it."""
    folder = tmp_path / "job"
    shutil.copytree(GOLDEN, folder)
    before = clips(folder)
    assert before
    with Job.open_existing(folder) as job:
        settle_consent(job, Agreement(), BOTH)
        assert capsys.readouterr().out.splitlines() == [ENGLISH("consent-nobody")]
        assert not job.replay.voices.covers(Role.HEAD, TODAY)
        assert len(job.replay.voices.heard) == len(before)
    summary = summarise(folder)
    assert summary.withheld == {}
    assert write_pages(folder, summary, tmp_path / "page").clips == len(before)


class Terminal(io.StringIO):
    """A terminal in which something was typed."""

    def isatty(self) -> bool:
        """Be one."""
        return True


@pytest.mark.parametrize(
    ("answer", "asked", "head", "rear"),
    [
        ("\n", 1, False, False),
        ("no\n", 1, False, False),
        ("", 1, False, False),
        ("Ash, Rowan\n", 1, True, True),
        ("head=Ash, rear=Rowan\n", 1, True, True),
        ("head=Ash\n", 1, True, False),
        ("yes\nAsh\n", 2, True, True),
    ],
)
def test_terminal_asks_who_agrees(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    *,
    answer: str,
    asked: int,
    head: bool,
    rear: bool,
) -> None:
    """Names are consent, no answer is none; a bare yes names nobody and is asked again."""
    monkeypatch.setattr(sys, "stdin", Terminal(answer))
    monkeypatch.setattr("calllog.commands.agreeing.out._force_terminal", True)
    with Job.open(tmp_path / "job", PaperClock()) as job:
        settle_consent(job, Agreement(), BOTH)
        covered = [job.replay.voices.covers(role, TODAY) for role in BOTH]
    said = " ".join(capsys.readouterr().out.split())
    assert covered == [head, rear]
    assert said.count(ENGLISH("consent-question")) == asked
    assert ("No sound is kept" in said) is not (head and rear)


def test_nothing_is_asked_where_no_sound_is_wanted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """With --no-clips or keys alone there is nothing to agree to."""
    monkeypatch.setattr(sys, "stdin", Terminal("Ash\n"))
    with Job.open(tmp_path / "job") as job:
        settle_consent(job, Agreement(), ())
        assert job.replay.voices.people == {}
    assert capsys.readouterr().out == ""


def test_same_command_again_records_consent_once(tmp_path: Path) -> None:
    """What stands is not stated anew; a day or listeners left out stay as they were."""
    with Job.open(tmp_path / "job", PaperClock()) as job:
        given = Agreement(people_of(["head=Ash"]), DAY_AFTER, ("crew",))
        assert given.record(job)
        assert not given.record(job)
        assert not Agreement(people_of(["head=Ash"])).record(job)
        assert Agreement(people_of(["Ash"])).record(job)
        standing = job.replay.voices.people["Ash"]
        assert (standing.until, standing.listeners) == (DAY_AFTER, ("crew",))


def test_who_took_consent_back_is_named_where_no_sound_is_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The crew learns whose microphone it is, and why."""
    with Job.open(tmp_path / "job", PaperClock()) as job:
        agree(agree(job), "Ash", is_withdrawn=True)
        settle_consent(job, Agreement(), BOTH)
    assert capsys.readouterr().out == (
        "No sound is kept of the head's microphone: Ash took consent back, or its day is over.\n"
    )


def test_consent_option_names_somebody() -> None:
    """An empty name is refused; names may have blanks."""
    assert agreement(["head=Ash Birch"], None, "crew, office") == Agreement(
        (Person(name="Ash Birch", role=Role.HEAD),), None, ("crew", "office")
    )
    for named in ("", "head=", " "):
        with pytest.raises(ConfigError, match="--consent: nobody is named"):
            agreement([named], None, None)


def test_file_to_remove_is_named_as_calllog_names_it() -> None:
    """A journal of a stranger cannot have any other file removed."""
    fine: dict[str, object] = {"calls": (1,), "by": "x", "why": "y"}
    assert Expunged(files=("audio/000001.flac", "remarks/000001.json"), **fine)  # type: ignore[arg-type]
    for name in ("../audio/1.flac", "audio/../job.sqlite", "job.sqlite", "audio/1.flac\n"):
        with pytest.raises(ValidationError):
            Expunged(files=(name,), **fine)  # type: ignore[arg-type]


def test_entry_of_consent_states_facts_alone(tmp_path: Path, parser: Parser) -> None:
    """Who, whose microphone, by whom, until when, for whom: no sentence stands in the journal."""
    folder = sound_job(tmp_path / "job", parser, until=DAY_AFTER)
    with Journal.open(folder, read_only=True) as journal:
        (entry,) = journal.entries("consent")
        again = replay(journal.entries())
    assert entry.content == {
        "people": [{"name": "Ash", "role": "head"}, {"name": "Rowan", "role": "rear"}],
        "by": "tests",
        "until": "2131-05-05",
        "listeners": ["crew", "chief", "office"],
        "is_withdrawn": False,
    }
    body = Consent.model_validate_json(entry.body)
    assert content_of(body) == entry.content
    assert set(again.voices.people) == {"Ash", "Rowan"}
