"""A disk that fails under the field loop: what the crew hears and sees, what is on disk after."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from pydantic import JsonValue

from calllog.audio.events import Sound
from calllog.journal import Entry, Journal
from calllog.live import Settings
from calllog.live.chief import DISK_FAILS, UNSAVED
from calllog.live.safety import REMIND_S, RETRY_S, SLOW_AGAIN_S, SLOW_S
from calllog.office import summarise
from calllog.office.summary import verify_job
from calllog.panel import Sign
from calllog.readback import Notice, Tone, Verbosity
from calllog.server.messages import Does
from calllog.session import Job
from calllog.spoken import Grammar, Parser
from calllog.values import Outcome
from calllog.wording import ENGLISH
from tests.phone import Phones, ordered
from tests.rig import BLOCK_S, SAMPLES, START_S, Rig
from tests.torture.disk import Disk, moved, refusing

BEGAN = datetime(2131, 5, 4, 8, tzinfo=UTC)
FIRST = (("fifteen", 1), ("forty two", 0), ("switch ends", 0), ("fifteen", 0))
LAST = ("forty two", 1)
BUSY = sqlite3.SQLITE_BUSY
WARNING: dict[str, JsonValue] = {
    "name": "crew",
    "trouble": "loud",
    "measured": -3.0,
}


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Disk]:
    """Make a disk that can be told to refuse everything."""
    with refusing(tmp_path, sqlite3.SQLITE_FULL, "database or disk is full") as made:
        yield made


class World:
    """A rig whose job has the clock of its devices."""

    def __init__(self, folder: Path, grammar: Grammar, parser: Parser, **how: object) -> None:
        self.job = Job.open(folder, self.clock)
        self.rig = Rig(self.job, grammar, parser, **how)  # type: ignore[arg-type]

    def clock(self) -> tuple[str, float]:
        """Read the clocks."""
        now_s = self.rig.clock.now_s if hasattr(self, "rig") else START_S
        return (BEGAN + timedelta(seconds=now_s)).isoformat(), now_s

    def entries(self) -> tuple[Entry, ...]:
        """Read what is on disk, as an onlooker."""
        with Journal.open(self.job.folder, read_only=True) as journal:
            return tuple(journal.entries())


@pytest.fixture
def world(tmp_path: Path, grammar: Grammar, parser: Parser) -> Iterator[World]:
    """Make a world of two microphones, a keypad and a loudspeaker."""
    made = World(tmp_path / "job", grammar, parser)
    with made.job:
        yield made


def test_nothing_is_confirmed_before_it_is_on_disk(world: World, disk: Disk) -> None:
    """The crew hears a stop and the number of calls, never the read-back; then all, in order."""
    rig = world.rig
    for words, channel in FIRST[:2]:
        rig.say(words, channel)
    on_disk = world.entries()
    told = len(rig.speaker.said)
    disk.go()
    for words, channel in (*FIRST[2:], LAST):
        rig.say(words, channel)
        rig.hear(RETRY_S)
    heard = rig.speaker.said[told:]
    assert {saying.tone for saying in heard} == {Tone.STOP}
    assert heard[0].words == "stop. one call is not on disk"
    assert heard[-1].words == "stop. three calls are not on disk"
    assert world.entries() == on_disk
    made = [entry.time_utc for entry in world.job.kept.unsaved]
    disk.mend()
    rig.hear(60.0 * BLOCK_S + RETRY_S)
    assert world.job.kept.is_safe
    back = [saying.words for saying in rig.speaker.said[told + len(heard) :]]
    assert back[0] == ENGLISH(Notice.DISK_BACK)
    assert back[1:] == ["switch ends", "fifteen", "pull one, fifteen forty two"]
    assert rig.last_tone is Tone.AGREES
    after = world.entries()[len(on_disk) :]
    assert [entry.time_utc for entry in after][: len(made)] == made
    assert [entry.kind for entry in after if entry.kind.startswith("disk")] == [
        "disk_failed",
        "disk_back",
    ]
    rig.type("\n")
    assert rig.said[-1] == "pull one, fifteen forty two"
    assert verify_job(world.job.folder).ok


def test_screen_shows_what_is_on_disk_and_a_stop(world: World, disk: Disk) -> None:
    """No pull looks booked that is not; the number of calls stands where a stop does."""
    rig = world.rig
    for words, channel in FIRST:
        rig.say(words, channel)
    before = rig.screen.views[-1]
    disk.go()
    rig.say(*LAST)
    rig.hear(RETRY_S)
    shown = rig.screen.views[-1]
    assert (shown.sign, shown.verdict, shown.remedy) == (
        Sign.STOP,
        "1 call is not on disk",
        ENGLISH("device-unsaved-next"),
    )
    assert shown.notices[0] == "1 call is not on disk"
    assert any("disk is full" in each for each in shown.notices)
    assert (shown.booked, shown.pull, shown.calls) == (0, before.pull, before.calls)
    assert shown.may == ()
    disk.mend()
    rig.hear(2 * RETRY_S)
    shown = rig.screen.views[-1]
    assert (shown.booked, shown.sign) == (1, Sign.AGREES)


def test_crew_is_reminded_and_can_ask(world: World, disk: Disk) -> None:
    """A stop that was missed comes again; Enter says it at once, and never an old read-back."""
    rig = world.rig
    disk.go()
    rig.say("fifteen", 1)
    told = len(rig.speaker.said)
    rig.hear(REMIND_S + 1.0)
    assert rig.said[-1] == "stop. one call is not on disk"
    assert len(rig.speaker.said) == told + 1
    rig.type("\n")
    assert rig.speaker.said[-1].words == "stop. one call is not on disk"
    assert len(rig.speaker.said) == told + 2


def test_many_calls_do_not_make_the_crew_deaf(world: World, disk: Disk) -> None:
    """The number is said now and then; each call has at least the tone of a stop."""
    rig = world.rig
    disk.go()
    rig.type("15.\n", ".42\n")
    assert [saying.tone for saying in rig.speaker.said if saying.tone is not Tone.TICK] == [
        Tone.STOP
    ] * 2
    assert rig.said == ["stop. one call is not on disk"]


def test_talk_is_no_call_that_is_not_safe(world: World, disk: Disk) -> None:
    """Talk that cannot be written stops the crew once, with no number."""
    disk.go()
    world.rig.say("nice weather today", 0)
    assert world.rig.said == ["stop. nothing can be saved"]
    assert world.rig.calls[-1].outcome is Outcome.IGNORED


def test_what_befalls_devices_is_kept_too(world: World, disk: Disk) -> None:
    """A note that cannot be written waits with the calls, and warns as they do."""
    disk.go()
    world.job.note("sound_warning", WARNING)
    world.rig.hear()
    assert world.rig.said == ["stop. nothing can be saved"]
    disk.mend()
    world.rig.hear(2 * RETRY_S)
    kinds = [entry.kind for entry in world.entries()]
    assert kinds[-3:] == ["sound_warning", "disk_failed", "disk_back"]


def test_disk_that_fails_again_as_it_comes_back(world: World, disk: Disk) -> None:
    """A loose contact loses nothing: what was held stays held until all is on disk."""
    rig = world.rig
    for words, channel in FIRST:
        rig.say(words, channel)
    for _ in range(5):
        disk.go()
        rig.hear(BLOCK_S)
        world.job.note("sound_warning", WARNING)
        rig.hear(RETRY_S + 2 * BLOCK_S)
        disk.mend()
        rig.hear(BLOCK_S)
    disk.go()
    rig.say(*LAST)
    save = world.job.kept.save

    def save_and_fail() -> bool:
        is_saved = save()
        disk.go()
        return is_saved

    disk.mend()
    world.job.kept.save = save_and_fail  # type: ignore[method-assign]
    rig.hear(RETRY_S + 2 * BLOCK_S)
    assert "pull one, fifteen forty two" not in rig.said
    world.job.kept.save = save  # type: ignore[method-assign]
    disk.mend()
    rig.hear(3 * RETRY_S)
    assert rig.said.count("pull one, fifteen forty two") == 1
    assert world.job.kept.is_safe


def test_with_tones_alone_the_stop_sounds(tmp_path: Path, grammar: Grammar, parser: Parser) -> None:
    """Not one word, and yet it is heard."""
    with refusing(tmp_path, BUSY, "database is locked") as disk:
        world = World(tmp_path / "job", grammar, parser, settings=Settings(Verbosity.TONES))
        with world.job:
            disk.go()
            world.rig.say("fifteen", 1)
            assert (world.rig.tones, world.rig.said) == ([Tone.STOP], [])


def test_chief_hears_of_it_and_is_not_taken(
    tmp_path: Path, grammar: Grammar, parser: Parser, disk: Disk
) -> None:
    """Orders are refused while the disk fails; the one that met the fault says so; none twice."""
    phones = Phones()
    world = World(tmp_path / "job", grammar, parser, phones=phones)
    with world.job:
        rig = world.rig
        for words, channel in (*FIRST[:3], ("sixteen", 0), LAST):
            rig.say(words, channel)
        order = ordered(world.job.replay, Does.FIRST)
        disk.go()
        phones.waiting.append(order)
        rig.hear()
        assert (phones.answers[-1].is_taken, phones.answers[-1].words) == (True, ENGLISH(UNSAVED))
        assert phones.withheld[-1].verdict == "1 call is not on disk"
        other = ordered(world.job.replay, Does.REMARK, "cloudy")
        phones.waiting.extend((order, other))
        rig.hear()
        assert [(each.is_taken, each.words) for each in phones.answers[-2:]] == [
            (True, ENGLISH(UNSAVED)),
            (False, ENGLISH(DISK_FAILS)),
        ]
        shown = len(phones.shown)
        disk.mend()
        rig.hear(2 * RETRY_S)
        assert len(phones.shown) > shown
        phones.waiting.append(other)
        rig.hear()
        assert phones.answers[-1].is_taken
        assert rig.said.count("pull one, first kept, fifteen forty two") == 1
    assert len(summarise(tmp_path / "job").replay.segments) == 1


def test_clip_is_not_tried_on_a_disk_that_fails(world: World, disk: Disk) -> None:
    """Its call waits without it, and a remark, which is sound alone, is told to be lost."""
    rig = world.rig
    disk.go()
    rig.say("fifteen", 1)
    rig.type("9*")
    rig.say("whatever")
    disk.mend()
    rig.hear(2 * RETRY_S)
    first, *_, last = world.job.replay.calls
    assert first.clip
    assert last.clip == ""
    assert "the remark was not kept" in rig.said
    assert verify_job(world.job.folder).ok


def test_slow_write_is_told_while_it_lasts(monkeypatch: pytest.MonkeyPatch, world: World) -> None:
    """The thread that writes cannot tell; another one does, and the journal says so after."""
    rig, add = world.rig, Journal.add
    told: list[str] = []

    def slowly(journal: Journal, entry: Entry) -> None:
        if entry.kind == "call":
            rig.clock.now_s += SLOW_S - 0.1
            rig.loop.safety.look()
            told.append(" ".join(rig.said))
            rig.clock.now_s += 1.0
            rig.loop.safety.look()
            told.append(" ".join(rig.said))
        add(journal, entry)

    world.job.kept.monotonic = rig.clock
    monkeypatch.setattr(Journal, "add", slowly)
    rig.say("fifteen", 1)
    rig.hear(SLOW_AGAIN_S / 2)
    assert told == ["", ENGLISH(Notice.DISK_SLOW)]
    assert rig.said == [ENGLISH(Notice.DISK_SLOW), "fifteen"]
    (noted,) = rig.entries("disk_slow")
    assert noted == {"seconds": pytest.approx(SLOW_S + 0.9)}


def test_slow_write_loses_no_sound(monkeypatch: pytest.MonkeyPatch, world: World) -> None:
    """What comes meanwhile waits, and the call in it has its own time."""
    rig, add = world.rig, Journal.add

    def slowly(journal: Journal, entry: Entry) -> None:
        if entry.kind == "call" and not rig.sounds.waiting:
            for _ in range(round(8.0 / BLOCK_S)):
                rig.sounds.waiting.append(
                    Sound(np.zeros((SAMPLES, 2), np.float32), rig.clock.now_s)
                )
                rig.clock.now_s += BLOCK_S
        add(journal, entry)

    monkeypatch.setattr(Journal, "add", slowly)
    rig.say("fifteen", 1)
    while rig.sounds.waiting:
        rig.loop.turn()
    monkeypatch.setattr(Journal, "add", add)
    rig.say("forty two", 0)
    first, second = world.job.replay.calls
    assert second.end_s - first.end_s == pytest.approx(8.0 + 1.0, abs=0.3)
    assert rig.entries("sound_lost") == []


def test_look_out_ends_with_the_work(world: World) -> None:
    """The thread that looks after the disk is gone when the loop is."""
    with world.rig.loop.safety.watched():
        pass
    world.rig.hear()
    assert world.job.kept.busy_s == 0.0


def test_nobody_else_gets_at_the_database(world: World) -> None:
    """Another program can lock nothing while the job is open; the crew does not notice it."""
    world.rig.say("fifteen", 1)
    assert not (world.job.folder / "job.sqlite-shm").exists()
    with closing(sqlite3.connect(world.job.folder / "job.sqlite", timeout=0.0)) as other:
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("BEGIN IMMEDIATE")
        world.rig.say("forty two", 0)
    assert world.job.kept.is_safe
    assert len(world.rig.entries("call")) == 2


def test_other_journal_in_the_folders_place_is_not_written(
    tmp_path: Path, grammar: Grammar, parser: Parser
) -> None:
    """Another card in the slot gets none of this job's entries; the right one gets them all."""
    with moved(tmp_path) as disk:
        world = World(disk.job, grammar, parser)
        with world.job:
            world.rig.say("fifteen", 1)
            disk.go()
            with Job.open(disk.job) as other:
                foreign = other.replay.origin
            world.rig.say("forty two", 0)
            world.rig.hear(2 * RETRY_S)
            assert "another journal lies" in world.job.kept.why
            with Journal.open(disk.job, read_only=True) as journal:
                assert [entry.kind for entry in journal.entries()] == ["opened"]
            disk.job.rename(tmp_path / "other")
            disk.mend()
            world.rig.hear(2 * RETRY_S)
            assert world.job.kept.is_safe
            assert world.job.replay.origin != foreign
    assert len(summarise(disk.job).replay.calls) == 2
