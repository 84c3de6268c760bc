"""The field loop's side of crew phones: sound beside a microphone, ears, keys, lunch, consent."""

from __future__ import annotations

import json
import time
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from calllog.audio.events import Event, Lost, Sound
from calllog.journal import Journal
from calllog.office import replay_job
from calllog.phone.crew import ANSWER_S, CLEAR, HERE, IDLE_S, CrewPhones
from calllog.phone.crew_desk import MUTE, WAKE, Aloud, CrewDesk, CrewTerms
from calllog.phone.ears import Ears, Lexicon, lexicon
from calllog.phone.guests import Guests
from calllog.readback import Saying, Tone
from calllog.server.frames import FRAME, FRAME_S, Frame, hand_on
from calllog.server.messages import Agreed, Fares, Joined, Keyed, Parted
from calllog.session import Job
from calllog.values import Role
from calllog.wording import ENGLISH, Words, language_words
from tests.fieldjob import settings
from tests.tapes import certificate

BOTH = (Role.HEAD, Role.REAR)
WORDS = Lexicon(b"", "{}", {"thirty three": 0.6, "pull": 0.3, "one": 0.3, "recorded": 0.5})
SECRETS = ("1" * 64, "2" * 64, "3" * 64)


@dataclass
class Clock:
    """A clock that is set."""

    now_s: float = 1000.0

    def __call__(self) -> float:
        """Read it."""
        return self.now_s


@dataclass
class Lapel:
    """A microphone of the computer on which events are put."""

    waiting: deque[Event] = field(default_factory=deque)

    def read(self, timeout_s: float) -> Event | None:
        """Give the next event."""
        del timeout_s
        return self.waiting.popleft() if self.waiting else None


def noted(job: Job, kind: str) -> list[dict[str, object]]:
    """Read the entries of a kind, as an onlooker."""
    with Journal.open(job.folder, read_only=True) as journal:
        return [json.loads(each.body) for each in journal.entries(kind)]


def drain(phones: CrewPhones, count: int) -> list[Event]:
    """Read until so many blocks of sound have come, or nothing more does."""
    found: list[Event] = []
    ends_s = time.monotonic() + 5.0
    while sum(isinstance(each, Sound) for each in found) < count and time.monotonic() < ends_s:
        event = phones.read(0.01)
        if event is not None:
            found.append(event)
    return found


def test_frames_of_both_become_one_sound() -> None:
    """By the way from the page's process; each in its channel, side by side."""
    clock = Clock()
    phones = CrewPhones(BOTH, BOTH, clock=clock)
    with phones.hand_over() as theirs:
        for number in range(60):
            for role, level in ((Role.HEAD, 1000), (Role.REAR, 2000)):
                samples = np.full(FRAME, level, "<i2").tobytes()
                frame = Frame(number, clock.now_s + number * FRAME_S, samples)
                theirs.send(hand_on(role, 1, frame))
        theirs.send(b"what a stranger might send")
        clock.now_s += 60 * FRAME_S
        heard = [each for each in drain(phones, 15) if isinstance(each, Sound)]
    assert len(heard) >= 15
    assert not any(any(each.is_missing) for each in heard)
    assert np.allclose(heard[-1].samples, [1000 / 32768, 2000 / 32768])
    phones.close()


def test_phone_lies_beside_a_microphone() -> None:
    """One of the two wears a microphone of the computer; a phone that is lost stops nothing."""
    clock, lapel = Clock(), Lapel()
    phones = CrewPhones(BOTH, (Role.REAR,), lapel, clock=clock)
    told: list[Event] = []
    begun_s = clock.now_s
    with phones.hand_over() as theirs:
        for block in range(120):
            at_s = begun_s + block * 0.02
            lapel.waiting.append(Sound(np.full((FRAME, 1), 0.25, np.float32), at_s))
            if block < 60:
                theirs.send(hand_on(Role.REAR, 1, Frame(block, at_s, b"\x00\x10" * FRAME)))
            clock.now_s = at_s + 0.02
            time.sleep(0.001)
            while (event := phones.read(0.0)) is not None:
                told.append(event)
    heard = [each for each in told if isinstance(each, Sound)]
    (lost,) = [each for each in told if isinstance(each, Lost)]
    assert lost.is_filled
    assert np.allclose(heard[-1].samples, [0.25, 0.0])
    assert any(np.allclose(each.samples, [0.25, 0.125]) for each in heard)
    assert not any(each.is_missing[0] for each in heard)
    phones.close()


def ears(clock: Clock, words: Lexicon = WORDS) -> tuple[Ears, list[tuple[Role, dict[str, object]]]]:
    """Make both ears, and what goes to each."""
    told: list[tuple[Role, dict[str, object]]] = []
    return Ears(BOTH, words, lambda role, text: told.append((role, json.loads(text))), clock), told


def test_each_ear_has_the_others_number_before_the_verdict() -> None:
    """Rear's number completes the pull: head hears it first; rear, who called it, does not."""
    made, told = ears(Clock())
    made.say(Saying(Tone.AGREES, "pull one recorded", caller=Role.REAR, number="thirty three"))
    parts = {role: [p for p in each["parts"] if isinstance(p, str)] for role, each in told}  # type: ignore[attr-defined]
    assert parts == {
        Role.HEAD: ["thirty three", "pull", "one", "recorded"],
        Role.REAR: ["pull", "one", "recorded"],
    }
    assert [each["tone"] for _, each in told] == ["agrees", "agrees"]


def test_what_is_for_one_ear_goes_to_no_other() -> None:
    """Such as: nobody has called."""
    made, told = ears(Clock())
    made.say(Saying(Tone.WARN, "one", ear=Role.REAR))
    assert [role for role, _ in told] == [Role.REAR]


def test_read_back_that_sounds_gives_way_and_is_given_back() -> None:
    """As a loudspeaker's; nothing is ever in a microphone, so nobody is deaf by it."""
    clock = Clock()
    made, told = ears(clock)
    read_back = Saying(Tone.HEARD, "thirty three", is_read_back=True)
    made.say(read_back)
    assert not made.is_idle
    assert not made.was_out(0.0, 1e9)
    assert made.loudness(0.0, 1e9) == 0.0
    clock.now_s += 0.2
    assert made.give_way() == read_back
    assert [each for _, each in told[2:]] == [{"hush": "back"}, {"hush": "back"}]
    assert made.give_way() is None
    made.say(read_back)
    clock.now_s += 5.0
    assert made.give_way() is None
    assert made.is_idle


def test_words_of_the_pack_are_a_sound_file_whose_index_fits() -> None:
    """What a phone keeps is as long as its index says; a language without words has tones alone."""
    words = lexicon(ENGLISH)
    index = json.loads(words.index)
    assert words.wav[:4] == b"RIFF"
    assert max(end for _, end in index["spans"].values()) * 2 + 44 == len(words.wav)
    parts, lasts_s = words.parts("thirty three. stop")
    assert parts == ["thirty three", 0.22, "stop"]
    assert 0.5 < lasts_s < 2.0
    unspoken = Words("fr", lambda: "", spare=ENGLISH)
    assert json.loads(lexicon(unspoken).index)["spans"] == {}
    assert set(index["tones"]) == {each.value for each in Tone}


@pytest.mark.parametrize(
    ("language", "deaf", "back"),
    [("en", "not listening", "listening"), ("es", "no escucho", "escucho")],
)
def test_phone_that_is_not_heard_has_the_words_to_say_so(
    language: str, deaf: str, back: str
) -> None:
    """The page says it by itself, so each part of it lies in the words that it keeps."""
    index = json.loads(lexicon(language_words(language)).index)
    assert (" ".join(index["deaf"]), " ".join(index["back"])) == (deaf, back)
    assert {*index["deaf"], *index["back"]} <= index["spans"].keys()


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """Begin a job."""
    with Job.open(tmp_path / "job") as opened:
        opened.begin_line(settings("A", "B", tape="T-1"), certificate(identity="T-1"))
        yield opened


@dataclass
class Served:
    """Head's and rear's phones of a job, and what goes to them."""

    job: Job
    clock: Clock = field(default_factory=Clock)
    terms: CrewTerms = field(default_factory=CrewTerms)
    told: list[tuple[Role, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Pair both."""
        self.phones = CrewPhones(BOTH, BOTH, clock=self.clock)
        self.desk = CrewDesk(self.phones, WORDS, self.terms, "en")
        self.guests = Guests(self.job, bytes(32))
        self.desk.open(self.job, self.guests, lambda role, text: self.told.append((role, text)))
        self.head = self.guests.pair("Ash", SECRETS[0], Role.HEAD).phone
        self.rear = self.guests.pair("Rowan", SECRETS[1], Role.REAR).phone

    def keys(self, role: Role) -> list[str]:
        """Give what was keyed on a phone."""
        pad = {of: keys for keys, of in self.phones.keypads}[role]
        found: list[str] = []
        while isinstance(key := pad.read(0.0), str):
            found.append(key)
        return found


@pytest.fixture
def served(job: Job) -> Iterator[Served]:
    """Serve the phones of a job."""
    made = Served(job)
    yield made
    made.desk.close()


def test_consent_is_journalled_as_it_is_answered_on_the_phone(job: Job) -> None:
    """By name, role, until when and for whom; no sound is kept of who says no, or takes it back."""
    served = Served(job, terms=CrewTerms(until=date(2030, 1, 1), listeners=("crew", "office")))
    served.desk.take(Agreed(phone=served.head, keeps=True))
    served.desk.take(Agreed(phone=served.rear, keeps=False))
    voices, today = job.replay.voices, job.today
    assert voices.covers(Role.HEAD, today)
    assert not voices.covers(Role.REAR, today)
    assert not voices.all_allow("chief")
    assert not served.desk.may_hear("chief")
    served.desk.take(Agreed(phone=served.head, keeps=True))
    assert len(noted(job, "consent")) == 1
    served.desk.take(Agreed(phone=served.head, keeps=False))
    assert not voices.covers(Role.HEAD, today)
    served.desk.close()


def test_keys_are_the_wearers_and_what_was_half_typed_is_wiped_when_it_parts(
    served: Served,
) -> None:
    """The rest of it may never come, and must not pass for an entry."""
    served.desk.take(Joined(phone=served.head))
    served.desk.take(Keyed(phone=served.head, key="3"))
    served.desk.take(Keyed(phone=served.rear, key="4"))
    served.desk.take(Parted(phone=served.head))
    assert served.keys(Role.HEAD) == ["3", CLEAR]
    assert served.keys(Role.REAR) == ["4"]


def test_phone_that_is_left_listening_is_asked_then_muted_until_touched(served: Served) -> None:
    """Ten minutes without a call; a touch, or a call, and it is not."""
    served.desk.take(Joined(phone=served.head))
    served.clock.now_s += IDLE_S
    (asked,) = served.desk.due()
    assert isinstance(asked, Aloud)
    assert (asked.told.code, asked.ear) == ("device-phone-idle", Role.HEAD)
    assert served.desk.due() == []
    served.clock.now_s += ANSWER_S
    (muted,) = served.desk.due()
    assert isinstance(muted, Aloud)
    assert muted.told.code == "device-phone-muted"
    assert served.told[-1] == (Role.HEAD, MUTE)
    assert "muted" in served.desk.states(ENGLISH)
    served.desk.take(Keyed(phone=served.head, key=HERE))
    assert served.told[-1] == (Role.HEAD, WAKE)
    assert served.keys(Role.HEAD) == []
    served.clock.now_s += IDLE_S
    assert served.desk.due()
    served.phones.called(Role.HEAD, 7)
    served.clock.now_s += ANSWER_S
    assert served.desk.due() == []


def test_key_that_wakes_a_phone_types_nothing(served: Served) -> None:
    """Who touches any key to say that they are there has entered no number."""
    served.desk.take(Joined(phone=served.head))
    served.clock.now_s += IDLE_S
    served.desk.due()
    served.desk.take(Keyed(phone=served.head, key="5"))
    assert served.keys(Role.HEAD) == []
    served.desk.take(Keyed(phone=served.head, key="5"))
    assert served.keys(Role.HEAD) == ["5"]


def test_low_battery_and_dead_microphone_are_told_once(served: Served) -> None:
    """The battery in its owner's ear, the microphone in both."""
    served.desk.take(Joined(phone=served.rear))
    assert served.desk.take(Fares(phone=served.rear, battery=15)) == []
    low = served.desk.take(Fares(phone=served.rear, battery=14))
    assert [each.ear for each in low if isinstance(each, Aloud)] == [Role.REAR]
    assert served.desk.take(Fares(phone=served.rear, battery=13)) == []
    dead = served.desk.take(Fares(phone=served.rear, battery=13, is_dead=True))
    assert [each.ear for each in dead if isinstance(each, Aloud)] == [Role.UNSAID]
    assert served.desk.take(Fares(phone=served.rear, battery=13, is_dead=True)) == []


def test_second_phone_of_a_role_waits_for_the_loggers_yes(served: Served) -> None:
    """It is paired, not heard; taken over, the other one is not. Each change is journalled."""
    other = served.guests.pair("Fern", SECRETS[2], Role.HEAD).phone
    assert served.guests.role_of(other) is None
    assert [each.phone for each in served.guests.rivals] == [other]
    served.desk.take(Joined(phone=other))
    served.desk.take(Keyed(phone=other, key="5"))
    assert served.keys(Role.HEAD) == []
    served.guests.take_over()
    served.desk.due()
    served.desk.take(Keyed(phone=other, key="6"))
    served.desk.take(Keyed(phone=served.head, key="7"))
    assert served.keys(Role.HEAD) == ["6"]
    holds = [each["phone"] for each in noted(served.job, "phone_holds")]
    assert holds == [served.head, served.rear, other]
    served.guests.revoke(other, "logger")
    assert served.guests.role_of(served.head) is Role.HEAD


def test_phones_are_whose_they_were_after_a_restart(served: Served) -> None:
    """Let in again by the logger's key; the journal says who held which role last."""
    other = served.guests.pair("Fern", SECRETS[2], Role.HEAD).phone
    served.guests.take_over()
    again = Guests(served.job, bytes(32))
    assert again.role_of(other) is None
    again.let_in()
    assert again.role_of(other) is Role.HEAD
    assert again.role_of(served.rear) is Role.REAR
    assert replay_job(served.job.folder).holding[Role.HEAD] == other
