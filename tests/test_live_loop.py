"""The field loop about fake devices and a real job: what the crew hears, sees and finds on disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from calllog.audio import Utterance
from calllog.audio.events import Lost, Overflow, Returned, Sound
from calllog.errors import AudioError
from calllog.keypad import Link
from calllog.live import Settings
from calllog.live.keyed import WAITED_S
from calllog.live.loop import ALARM, ALARM_S, SHOWN_S
from calllog.live.notices import AGAIN_S, NOTICE_S
from calllog.live.reading import LONE_S
from calllog.office.summary import verify_job
from calllog.readback import Notice, Saying, Tone, Verbosity
from calllog.session import Job
from calllog.session.live import BROKEN, FILLED_S, SAID_UNDER
from calllog.spoken import Grammar, Parser
from calllog.values import Kind, Outcome, Role, message
from calllog.wording import ENGLISH
from tests.rig import BLOCK_S, BOTH, SAMPLES, START_S, Rig

RigOf = Callable[..., Rig]
SILENCE = np.zeros((SAMPLES, 2), np.float32)


@pytest.fixture
def rig_of(tmp_path: Path, grammar: Grammar, parser: Parser) -> Iterator[RigOf]:
    """Make rigs about one job; close it."""
    with Job.open(tmp_path / "job") as job:

        def make(**how: object) -> Rig:
            return Rig(job, grammar, parser, **how)  # type: ignore[arg-type]

        yield make


@pytest.fixture
def rig(rig_of: RigOf) -> Rig:
    """Make a rig of two microphones, one keypad for both and a loudspeaker."""
    return rig_of()


# Calls


def test_call_is_on_disk_before_the_crew_hears_of_it(rig: Rig) -> None:
    """Whatever is said back stands in the journal already, with what followed from it."""
    on_disk: list[tuple[str, int, int]] = []

    def look(saying: Saying) -> None:
        counts = (len(rig.entries("call")), len(rig.entries("segment")))
        on_disk.append((saying.words, *counts))

    rig.speaker.on_say = look
    for words, channel in (("fifteen", 1), ("forty two", 0), ("switch ends", 0)):
        rig.say(words, channel)
    rig.say("fifteen", 0)
    rig.say("forty two", 1)
    assert [each[:2] for each in on_disk[:4]] == [
        ("", 1),
        ("fifteen, forty two", 2),
        ("", 3),
        ("", 4),
    ]
    assert on_disk[4] == ("pull one, fifteen forty two", 5, 1)
    assert rig.last_tone is Tone.AGREES


def test_stop_and_question_are_heard(rig: Rig) -> None:
    """What does not agree stops, what may mean two things is asked, each with its own tone."""
    rig.say("seven", 0)
    assert rig.tones == []  # the rest of its number may follow
    rig.hear(1.0)
    assert rig.last_tone is Tone.QUESTION
    for words, channel in (("fifteen", 1), ("forty two", 0), ("switch ends", 0), ("sixteen", 0)):
        rig.say(words, channel)
    rig.say("forty two", 1)
    assert rig.tones[-1:] == [Tone.STOP]
    assert rig.said[-1] == "stop, one foot"
    rig.type("\n")
    assert "one foot apart" in rig.said[-1]
    rig.say("say it again", 1)
    assert rig.said[-1] == rig.said[-2]


def test_question_is_put_at_length_once(rig: Rig) -> None:
    """The second time a few words do; who asks what was said hears all of them."""
    for _ in range(2):
        rig.say("fifteen no sixteen", 1)
    assert rig.said == ["two calls in one. say the right one alone", "the right one alone"]
    rig.type("\n")
    assert rig.said[-1] == rig.said[0]


def test_how_much_is_said_is_as_the_crew_wants(rig_of: RigOf) -> None:
    """With tones alone not one word is said, whatever happens."""
    rig = rig_of(settings=Settings(Verbosity.TONES))
    rig.say("fifteen", 1)
    rig.say("seven", 0)
    rig.hear(1.0)
    rig.befall(Lost("crew", rig.clock.now_s, "pulled out"))
    rig.type("5", "/")
    assert rig.said == []
    assert rig.tones == [Tone.HEARD, Tone.QUESTION, Tone.WARN, Tone.TICK, Tone.QUESTION]


def test_without_loudspeaker_the_work_goes_on(rig_of: RigOf) -> None:
    """Calls and keys are taken in silence."""
    rig = rig_of(is_silent=True)
    rig.say("fifteen", 1)
    rig.type("42\n", "+")
    rig.loop.alarm()
    assert rig.job.state.take is not None


# The read-back and the microphone


def test_program_does_not_hear_itself(rig: Rig) -> None:
    """What comes while words are out is no call; what comes after it is."""
    rig.hear(1.0)
    rig.speaker.out_s = (rig.clock.now_s, rig.clock.now_s + 1.0)
    rig.ears.say("fifteen", 1)
    rig.hear(1.2)
    assert rig.calls == []
    rig.say("sixteen", 1)
    assert [call.value for call in rig.calls] == [1600]


def test_with_a_headset_nobody_is_deaf(rig_of: RigOf) -> None:
    """The read-back reaches the ear alone: calls over it count."""
    rig = rig_of(settings=Settings(is_headset=True))
    rig.speaker.out_s = (0.0, 1e9)
    rig.say("fifteen", 1)
    assert [call.value for call in rig.calls] == [1500]


def test_call_cut_off_by_the_read_back_is_asked_again(rig: Rig) -> None:
    """A "forty" may be the beginning of "forty two", whose end nobody heard: it is not taken."""
    rig.hear(1.0)
    rig.speaker.out_s = (rig.clock.now_s, rig.clock.now_s + 1.0)
    end_s = rig.ears.heard / 16_000
    rig.hear(0.5)
    rig.ears.said_before("forty", end_s)
    rig.hear()
    assert [(call.outcome, call.reason) for call in rig.calls] == [
        (Outcome.ASK, message(SAID_UNDER))
    ]
    assert rig.last_tone is Tone.QUESTION


def test_call_begun_under_the_read_back_is_asked_again(rig: Rig) -> None:
    """A "five" may be the end of "thirty five": it is not taken; a call said later is."""
    rig.hear(1.0)
    rig.speaker.out_s = (rig.clock.now_s, rig.clock.now_s + 1.0)
    rig.hear(1.0 + 2 * BLOCK_S)
    rig.ears.say("five", 1, lasts_s=0.03)
    rig.hear()
    assert [(call.outcome, call.reason) for call in rig.calls] == [
        (Outcome.ASK, message(SAID_UNDER))
    ]
    rig.hear(0.2)
    rig.ears.say("five", 1, lasts_s=0.1)
    rig.hear()
    assert rig.calls[-1].value == 500


# What befalls the microphone


def test_lost_microphone_is_journalled_told_and_shown(rig: Rig) -> None:
    """The crew hears and sees it go and come back, and the journal knows for how long."""
    rig.hear(1.0)
    rig.befall(Lost("lapel", rig.clock.now_s, "no sound came from it"))
    assert rig.entries("microphone_lost") == [
        {"name": "lapel", "reason": "no sound came from it"},
    ]
    assert rig.said[-1] == ENGLISH(Notice.MICROPHONE_LOST)
    rig.hear()
    assert any("lapel lost" in each for each in rig.notices)
    rig.clock.now_s += 7.25
    rig.befall(Returned("lapel", rig.clock.now_s, 7.25))
    assert rig.entries("microphone_back") == [{"name": "lapel", "gap_s": 7.25}]
    assert rig.said[-1] == ENGLISH(Notice.MICROPHONE_BACK)
    rig.say("fifteen", 1)
    assert rig.calls[-1].value == 1500


def test_call_that_touches_lost_sound_is_asked_again(rig: Rig) -> None:
    """A "fifty" may be the rest of "fifty five": asked, not booked; the next call is taken."""
    rig.hear(1.0)
    rig.befall(Overflow("lapel", rig.clock.now_s, 1600))
    rig.ears.say("fifty", 0, lasts_s=0.3)
    rig.hear()
    assert [(call.kind, call.outcome, call.reason) for call in rig.calls] == [
        (Kind.UNCLEAR, Outcome.ASK, message(BROKEN))
    ]
    assert [each.text for each in rig.calls[0].alternatives] == ["fifty"]
    assert rig.job.state.parts.is_empty
    rig.say("fifty", 0)
    assert rig.job.state.parts.fraction == 50


def test_sound_is_doubted_as_far_back_as_it_may_be_missing(rig: Rig) -> None:
    """A gap is found half a second after; a moved stream was another's since it was asked."""
    rig.hear(2.0)
    rig.befall(Overflow("lapel", rig.clock.now_s, 160))
    rig.ears.said_before("fifty", rig.ears.heard / 16_000 - 0.5)
    rig.hear()
    assert rig.calls[-1].reason == message(BROKEN)
    rig.hear(4.0)
    rig.befall(Lost("lapel", rig.clock.now_s - 2.0, "another microphone in place"))
    rig.ears.said_before("sixty", rig.ears.heard / 16_000 - 1.9)
    rig.hear()
    assert rig.calls[-1].reason == message(BROKEN)


def test_lost_sound_is_told_at_once_and_then_together(rig: Rig) -> None:
    """A busy computer loses sound each moment: the crew is not talked to all day."""
    rig.hear()
    for _ in range(50):
        rig.befall(Overflow("lapel", rig.clock.now_s, 160))
        rig.hear()
    assert rig.entries("sound_lost") == [{"name": "lapel", "times": 1, "frames": 160}]
    assert rig.said == [ENGLISH(Notice.SOUND_LOST)]
    assert any("sound of lapel was lost" in each for each in rig.notices)
    rig.hear(AGAIN_S)
    assert rig.entries("sound_lost")[1:] == [{"name": "lapel", "times": 49, "frames": 7840}]
    assert rig.said == [ENGLISH(Notice.SOUND_LOST)] * 2
    rig.befall(Overflow("lapel", rig.clock.now_s, None))
    rig.loop.finish(0.0)
    assert rig.entries("sound_lost")[2:] == [{"name": "lapel", "times": 1, "frames": None}]


def test_loose_plug_does_not_talk_all_day(rig: Rig) -> None:
    """Each loss stands in the journal; said is what the crew must know, and the last word holds."""
    for _ in range(5):
        rig.befall(Lost("lapel", rig.clock.now_s, "the system stopped it"))
        rig.clock.now_s += 0.5
        rig.befall(Returned("lapel", rig.clock.now_s, 0.5))
        rig.hear()
    assert len(rig.entries("microphone_lost")) == len(rig.entries("microphone_back")) == 5
    lost, back = map(ENGLISH, (Notice.MICROPHONE_LOST, Notice.MICROPHONE_BACK))
    assert rig.said == [lost, back, lost]
    rig.hear(AGAIN_S)
    rig.befall(Lost("lapel", rig.clock.now_s, "the system stopped it"))
    rig.befall(Returned("lapel", rig.clock.now_s, 0.5))
    assert rig.said[-1] == back


# Time


@pytest.mark.parametrize("gap_s", [0.5, FILLED_S + 1.0, 3600.0])
def test_times_keep_with_the_clock_over_a_gap(rig: Rig, gap_s: float) -> None:
    """However long nothing came, a call and a key after it have the times of the clock."""
    rig.hear(1.0, at_s=START_S)
    rig.hear(1.0, at_s=rig.clock.now_s + gap_s)
    rig.say("fifteen", 1)
    assert rig.calls[-1].end_s == pytest.approx(rig.clock.now_s - START_S, abs=0.05)
    before_s = rig.clock.now_s
    rig.type("42\n")
    assert rig.calls[-1].start_s == pytest.approx(before_s - START_S, abs=0.15)


def test_sound_from_before_the_loop_counts_from_its_beginning(rig: Rig) -> None:
    """The microphone listens already while the other devices are opened."""
    rig.hear(at_s=START_S - 4.0)
    rig.hear(1.0)
    rig.ears.say("fifteen", 1)
    rig.hear()
    assert rig.calls[-1].end_s == pytest.approx(rig.clock.now_s - (START_S - 4.0), abs=0.05)
    rig.type("42\n")
    assert rig.calls[-1].start_s > rig.calls[-2].end_s


def test_too_much_silence_is_made_good(rig: Rig) -> None:
    """Where more stood in than was missing, keys keep their place among the calls."""
    rig.hear(1.0)
    rig.befall(Overflow("lapel", rig.clock.now_s, 5 * 16_000))
    rig.say("fifteen", 1)
    rig.type("42\n")
    assert 0.0 <= rig.calls[-1].start_s - rig.calls[-2].end_s < 0.5


def test_without_microphones_time_counts_from_the_beginning(rig_of: RigOf) -> None:
    """Keys alone have times too, by which a late part is noticed."""
    rig = rig_of(roles=())
    rig.clock.now_s = START_S + 10.0
    rig.type("15.\n")
    rig.clock.now_s += 61.0
    rig.type(".42\n")
    assert rig.calls[0].start_s == pytest.approx(10.0, abs=0.2)
    assert "long-gap" in {each["code"] for each in rig.entries("finding")}


# Keys


def test_each_key_is_answered(rig: Rig) -> None:
    """Eyes-free: a tick, a clearing and an error sound; what is wrong is said once."""
    rig.type("1")
    assert rig.tones == [Tone.TICK]
    rig.type("-")
    assert rig.tones == [Tone.TICK, Tone.CLEARED]
    rig.type("1", ".", ".")
    assert rig.tones[-2:] == [Tone.ERROR, Tone.QUESTION]
    said = list(rig.said)
    assert "type it again" in said[-1]
    rig.type("4", "2")
    assert rig.tones[-2:] == [Tone.ERROR, Tone.ERROR]
    assert rig.said == said
    rig.type("\n")
    assert rig.last_tone is Tone.QUESTION
    assert rig.calls == []
    rig.type("15.42\n")
    assert rig.calls[-1].value == 1542


def test_refused_entry_is_asked_and_shown(rig_of: RigOf) -> None:
    """One digit for hundredths may mean two things."""
    rig = rig_of(pads=(Role.HEAD,))
    rig.type("7\n")
    assert "may be" in rig.said[-1]
    assert rig.last_tone is Tone.QUESTION
    assert any("type both digits" in each for each in rig.notices)
    assert rig.calls == []


def test_typed_text_is_shown_at_once(rig_of: RigOf) -> None:
    """Both keypads' keys stand on the screen, and vanish when they are taken."""
    rig = rig_of(pads=BOTH)
    rig.type("4", pad=0)
    rig.type("1", "5", pad=1)
    assert rig.screen.views[-1].typed == "4  15"
    rig.type("2\n", pad=0)
    assert rig.screen.views[-1].typed == "15"
    rig.type("\n", pad=1)
    assert rig.screen.views[-1].typed == ""
    assert rig.job.state.take is not None
    assert rig.job.state.take.length == 1542


def test_enter_says_the_last_thing_again(rig: Rig) -> None:
    """Whoever missed a read-back hears it once more; ticks and questions of keys are none."""
    rig.say("fifteen", 1)
    rig.hear(LONE_S + 0.1)
    rig.type("1", "-", "\n")
    assert rig.said == ["fifteen", "fifteen"]


def test_enter_does_not_talk_into_a_remark(rig: Rig) -> None:
    """After the key of a remark, Enter is silent: the crew is about to speak."""
    rig.type("9*")
    said = list(rig.said)
    rig.type("\n")
    assert rig.said == said
    rig.say("anything at all")
    assert rig.calls[-1].kind is Kind.REMARK


def test_any_key_stops_the_read_back(rig: Rig) -> None:
    """Barge-in: at a key the loudspeaker falls silent, before the key is answered."""
    rig.say("fifteen", 1)
    heard = len(rig.speaker.said)
    stops: list[int] = []
    rig.speaker.on_say = lambda _: stops.append(rig.speaker.stops)
    rig.type("4", "?", "-")
    assert rig.speaker.stops == 3
    assert len(rig.speaker.said) > heard
    assert stops[0] == 1


def test_half_typed_entry_is_spoilt_when_its_keypad_is_lost(rig: Rig) -> None:
    """Typed 1, lost, typed 5.42: the rest of 15.42 must not be booked as 5.42."""
    rig.type("1", Link.LOST, Link.RETURNED, "5.42\n")
    assert rig.calls == []
    assert rig.last_tone is Tone.QUESTION
    assert [each["name"] for each in rig.entries("keypad_lost")] == ["pad 1"]
    assert [each["name"] for each in rig.entries("keypad_returned")] == ["pad 1"]
    assert any("pad 1 lost" in each for each in rig.notices)
    assert rig.said[:2] == ["keypad lost", "keypad returned"]
    rig.type("5.42\n")
    assert rig.calls[-1].value == 542


def test_keypad_lost_between_entries_spoils_nothing(rig: Rig) -> None:
    """Nothing was half typed: the next entry counts, and nothing that sounds is cut off."""
    rig.type(Link.LOST, Link.RETURNED)
    assert rig.speaker.stops == 0
    rig.type("15.42\n")
    assert rig.calls[-1].value == 1542


def test_what_is_typed_waits_for_what_was_said_before(rig: Rig) -> None:
    """Minus right after a misread call strikes that call, not the one before it."""
    rig.say("fifteen", 1)
    rig.hear(1.0)
    rig.ears.begun_s = rig.ears.heard / 16_000 - 0.5
    rig.type("-\n")
    assert rig.last_tone is Tone.TICK
    assert len(rig.calls) == 1
    rig.ears.say("forty three", 0)
    rig.ears.begun_s = None
    rig.hear()
    assert [call.text for call in rig.calls] == ["fifteen", "forty three", "-"]
    assert rig.job.state.parts.whole == 1500
    assert rig.job.state.parts.fraction is None
    assert rig.said[-1] == "struck forty three"


def test_what_is_typed_means_what_is_expected_once_it_is_taken(rig_of: RigOf) -> None:
    """After a spoken "switch ends" the head's 15 is the whole foot, however fast it is typed."""
    rig = rig_of(pads=(Role.HEAD,))
    rig.say("fifteen", 1)
    rig.say("forty two", 0)
    rig.hear(1.0)
    rig.ears.begun_s = rig.ears.heard / 16_000 - 0.5
    rig.type("15\n", "1")
    rig.ears.say("switch ends", 0)
    rig.ears.begun_s = None
    rig.hear()
    assert rig.job.state.parts.whole == 1500
    assert rig.screen.views[-1].typed == "1"


def test_what_is_typed_does_not_wait_for_long(rig: Rig) -> None:
    """Talk that goes on, or a microphone that is gone, holds no key back for good."""
    rig.hear(1.0)
    rig.ears.begun_s = 0.5
    rig.type("15.\n")
    assert rig.calls == []
    rig.clock.now_s += WAITED_S
    rig.loop.turn()
    assert [call.value for call in rig.calls] == [1500]
    rig.type(".42\n")
    rig.ears.begun_s = None
    rig.loop.finish(0.0)
    assert rig.job.state.take is not None


def test_what_is_typed_does_not_wait_for_a_lost_microphone(rig: Rig) -> None:
    """The call in the air when it went is not over before it is back: keys go on at once."""
    rig.hear(1.0)
    rig.ears.begun_s = 0.5
    rig.befall(Lost("lapel", rig.clock.now_s, "pulled out"))
    rig.type("15.\n")
    assert [call.value for call in rig.calls] == [1500]


# Tapes and lines


def test_change_of_tape_and_line_is_told_in_words(rig_of: RigOf) -> None:
    """The crew hears which tape and which line it has now, or why not."""
    rig = rig_of(roles=())
    rig.type("7*2\n")
    assert rig.said[-1] == "tape number two, t two"
    assert rig.last_tone is Tone.HEARD
    rig.type("8*2\n")
    assert rig.said[-1] == "line number two, b to c"
    assert rig.screen.views[-1].line == "B:C"
    rig.type("8*3\n")
    assert rig.said[-1] == "there is no line number three here"
    assert rig.tones[-1:] == [Tone.QUESTION]
    assert rig.notices[-1] == "there is no line number 3 here"


# Levels and warnings


def loud_call(rig: Rig, level: float) -> None:
    """Let the meter hear a call of the head and the silence after it."""
    rng = np.random.default_rng(1)
    for _ in range(20):
        signs = np.sign(rng.standard_normal(SILENCE.shape)).astype(np.float32)
        rig.on_window(level * signs, (True, False))
    for _ in range(16):
        hiss = rng.standard_normal(SILENCE.shape).astype(np.float32) * 1e-4
        rig.on_window(hiss, (False, False))


def test_warning_is_journalled_shown_and_told_once(rig: Rig) -> None:
    """It stands beside the microphone's name as long as it holds, and no longer."""
    loud_call(rig, 1.0)
    loud_call(rig, 1.0)
    warnings = rig.entries("sound_warning")
    assert {(each["name"], each["trouble"]) for each in warnings} == {
        ("head", "clipping"),
        ("head", "loud"),
    }
    assert len(warnings) == 2
    assert rig.said == [ENGLISH(Notice.TOO_LOUD)]
    rig.hear(SHOWN_S)
    assert any("turn its gain down" in each for each in rig.notices)
    assert "overdriven" in rig.screen.views[-1].microphones[0].warning
    assert rig.screen.views[-1].microphones[1].warning == ""
    for _ in range(20):
        loud_call(rig, 0.05)
    rig.hear(SHOWN_S)
    assert rig.screen.views[-1].microphones[0].warning == ""


def test_warning_without_words_of_its_own_is_spoken_as_it_stands(rig: Rig) -> None:
    """A muted microphone is said to give no sound."""
    for _ in range(160):
        rig.on_window(SILENCE, (False, False))
    assert rig.tones[:2] == [Tone.WARN, Tone.WARN]
    assert "no sound at all" in rig.said[0]


def test_nothing_is_measured_while_a_microphone_is_lost(rig: Rig) -> None:
    """The zeros that stand for it are no fault of a microphone; one of another name ends that."""
    rig.befall(Lost("lapel", rig.clock.now_s, "pulled out"))
    for _ in range(200):
        rig.on_window(SILENCE, (False, False))
    assert rig.entries("sound_warning") == []
    rig.befall(Returned("another default", rig.clock.now_s, 3.0))
    for _ in range(200):
        rig.on_window(SILENCE, (False, False))
    assert len(rig.entries("sound_warning")) == 2


# The screen


def test_screen_is_shown_no_more_than_needed_but_a_call_at_once(rig: Rig) -> None:
    """Eight times a second is enough for levels; a call and a key do not wait for that."""
    shown = len(rig.screen.views)
    rig.hear(4.0)
    assert len(rig.screen.views) - shown <= 4.0 / SHOWN_S + 1
    shown = len(rig.screen.views)
    rig.ears.say("fifteen", 1)
    rig.sounds.waiting.append(Sound(np.zeros((SAMPLES, 2), np.float32), rig.clock.now_s))
    rig.loop.turn()
    assert len(rig.screen.views) > shown
    assert rig.screen.views[-1].calls[-1].words == "fifteen"


def test_notice_disappears_after_a_while(rig: Rig) -> None:
    """What is over does not stand in the way of what is new."""
    doubt = message("log-tape-doubtful", tape="T-1", entries="certified_length_ft: 1.00004")
    rig.loop.greet(message("as-told", words="take care"), is_gone_on_with=False, doubts=[doubt])
    assert rig.notices == (
        "take care",
        "Look at the certificate of tape T-1 again: certified_length_ft: 1.00004.",
    )
    rig.hear(at_s=START_S + NOTICE_S + 1.0)
    assert not rig.notices


def test_lost_loudspeaker_is_journalled_and_shown(rig: Rig) -> None:
    """It cannot be said, so it is shown; once."""
    rig.speaker.lost = "sound output lost"
    rig.hear()
    rig.hear(SHOWN_S)
    assert rig.entries("output_lost") == [{"reason": "sound output lost"}]
    assert rig.notices == ("sound output lost",)


# Begin and end


def test_greeting_says_where_the_work_stands(rig_of: RigOf) -> None:
    """After a kill the crew hears what the pull waits for, and Enter says it again."""
    first = rig_of(roles=())
    first.type("15.\n")
    again = rig_of(roles=())
    again.loop.greet(message("as-told", words="take care"), is_gone_on_with=True)
    assert again.said == ["pull one waits for the hundredths of the first"]
    assert again.notices[-1].endswith("1 call is in the job")
    again.type("\n")
    assert again.said == ["pull one waits for the hundredths of the first"] * 2


def test_new_work_is_greeted_with_the_caution_alone(rig: Rig) -> None:
    """Nothing is said that the crew does not need."""
    rig.loop.greet(message("as-told", words="take care"), is_gone_on_with=False)
    assert rig.speaker.said == []


def test_rise_said_after_a_check_names_the_pull_that_it_counts_for(rig: Rig) -> None:
    """It is the next one's; whoever meant the pull just recorded hears so.

    Before the first pull, within one, and of what runs on nobody can be mistaken.
    """
    rig.say("rise two point two five", 0)
    assert rig.said[-1] == "rise two point twenty five"
    pull = (("fifteen", 1), ("forty two", 0), ("switch ends", 0), ("fifteen", 0), ("forty two", 1))
    for words, channel in pull:
        rig.say(words, channel)
    rig.say("rise one point two five", 0)
    assert rig.said[-1] == "pull two, rise one point twenty five"
    assert rig.screen.views[-1].pull == 2
    rig.say("temperature four one", 0)
    assert rig.said[-1] == "temperature forty one"
    rig.say("sixteen", 1)
    rig.say("rise one point three five", 0)
    assert rig.said[-1].endswith("rise one point thirty five")
    assert "pull" not in rig.said[-1]


def test_what_runs_on_is_said_as_a_line_begins_and_hour_by_hour(rig: Rig) -> None:
    """Between two pulls, when nobody speaks; and only what was stated, or is not known."""
    rig.say("temperature four one", 0)
    rig.say("tape number two", 0)
    in_force = "temperature forty one degrees, tension not stated, support not stated"
    assert rig.said[-2:] == ["tape number two, t two", in_force]
    rig.say("at the waist", 0)
    rig.say("fifteen forty two", 0)
    rig.hear(at_s=rig.clock.now_s + 3600.0)
    assert rig.said[-1] == "fifteen forty two", "not within a pull"
    rig.say("switch ends", 0)
    rig.say("fifteen forty two", 1)
    in_force = "temperature forty one degrees, tension not stated, ends only, at the waist"
    assert rig.said[-1] == in_force
    said = len(rig.said)
    rig.hear(at_s=rig.clock.now_s + 7200.0)
    assert len(rig.said) == said, "nobody worked"


def test_what_runs_on_is_said_as_the_work_goes_on(rig_of: RigOf) -> None:
    """Who goes on after a while hears what still counts."""
    rig_of(roles=()).type("1*41\n")
    again = rig_of(roles=())
    again.loop.greet(message("as-told", words="take care"), is_gone_on_with=True)
    assert again.said[-1] == "temperature forty one degrees, tension not stated, support not stated"
    silent = rig_of(roles=(), settings=Settings(Verbosity.TONES))
    silent.loop.greet(message("as-told", words="take care"), is_gone_on_with=True)
    assert silent.said == []


def test_what_is_in_the_air_at_the_end_is_taken(rig_of: RigOf) -> None:
    """The last call counts; what is not understood in time stays as sound, and moves nothing."""
    rig = rig_of(late=10**6)
    rig.ears.say("fifteen", 1)
    rig.loop.finish(1.0)
    assert [call.value for call in rig.calls] == [1500]
    rig.ears.say("forty two", 0)
    rig.loop.finish(0.0)
    last = rig.calls[-1]
    assert (last.outcome, last.value) == (Outcome.IGNORED, None)
    assert (rig.job.folder / last.clip).is_file()


def test_call_is_taken_although_its_sound_cannot_be_written(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk costs the clip, not the call; the crew is told, once for many."""

    def refuse(path: Path, utterance: Utterance) -> str:
        del utterance
        raise AudioError("the clip cannot be written", where=str(path))

    monkeypatch.setattr("calllog.session.recorder.write_clip", refuse)
    rig.say("fifteen", 1)
    rig.say("forty two", 0)
    assert [(call.value, call.clip, call.clip_sha256) for call in rig.calls] == [
        (1500, "", ""),
        (42, "", ""),
    ]
    assert len(rig.entries("clip_lost")) == 2
    assert rig.said.count("no sound is kept") == 1
    assert any("cannot be written" in each for each in rig.notices)
    rig.type("9*")
    rig.say("whatever")
    assert rig.last_tone is Tone.QUESTION
    rig.job.close()
    assert verify_job(rig.job.folder).ok


def test_alarm_is_the_last_thing_heard(rig: Rig) -> None:
    """Who works hands-free must hear that nobody listens any more; it waits for its end."""
    turns = iter((False, False, True))
    rig.speaker.is_out_of_words = lambda: next(turns)
    rig.loop.alarm()
    assert (rig.tones, rig.said, rig.speaker.stops) == ([Tone.STOP], [ENGLISH.say(ALARM)], 1)
    assert next(turns, None) is None


def test_alarm_does_not_wait_for_a_dead_loudspeaker(rig: Rig) -> None:
    """The program ends although its last words never sound."""
    rig.speaker.is_out_of_words = lambda: rig.clock.pass_by(1.0)
    rig.loop.alarm()
    assert rig.clock.now_s == pytest.approx(START_S + ALARM_S, abs=1.0)


def test_say_again_repeats_what_was_read_back_last(rig: Rig) -> None:
    """The read-back sounds once more, however often; the command itself is not read back."""
    rig.say("fifteen", 1)
    rig.hear(3.0)
    said = rig.said[-1]
    rig.say("say again", 0)
    rig.say("say again", 1)
    assert rig.said[-3:] == [said] * 3
    assert rig.job.state.parts.whole == 1500


def test_whos_got_it_tells_who_calls_what(rig: Rig) -> None:
    """What the pull waits for, and which end calls the foot now; after switching the other one."""
    rig.say("fifteen", 1)
    rig.hear(3.0)
    rig.say("who's got it", 0)
    waits = "pull one waits for the hundredths of the first"
    assert rig.said[-1] == f"{waits}. rear calls the whole foot, head the hundredths"
    rig.say("forty two", 0)
    rig.say("who's got it", 0)
    assert rig.said[-1] == "pull one waits for switching ends"
    rig.say("switch ends", 0)
    rig.say("who's got it", 1)
    waits = "pull one waits for the check"
    assert rig.said[-1] == f"{waits}. head calls the whole foot, rear the hundredths"
