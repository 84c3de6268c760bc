"""When a read-back is said: both parts as one measurement, and never over a voice."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from calllog.live import reading
from calllog.live.loop import HEARD_S
from calllog.live.reading import BEGUN_S, LONE_S, MOST_S
from calllog.pairing import EDITION
from calllog.readback import Tone
from calllog.session import Job
from calllog.spoken import Grammar, Parser
from tests.crew import settings
from tests.rig import BLOCK_S, Rig

PACES_S = (0.0, 0.3, 0.8, 1.6)


@pytest.fixture
def rig(tmp_path: Path, grammar: Grammar, parser: Parser) -> Iterator[Rig]:
    """A crew with a microphone each."""
    with Job.open(tmp_path / "job") as job:
        yield Rig(
            job, grammar, parser, rules=settings(pairing=EDITION), is_live=True, knows_tape=True
        )


@pytest.mark.parametrize("pace_s", PACES_S)
def test_parts_are_read_back_as_one_measurement(rig: Rig, pace_s: float) -> None:
    """The other part comes 0.3 to 1.6 s after the first: tone, tone, and then both in words."""
    rig.say("fifteen", 1)
    assert (rig.tones, rig.said) == ([Tone.HEARD], [])
    rig.hear(pace_s)
    rig.ears.say("forty two", 0)
    rig.hear()
    assert (rig.tones, rig.said) == ([Tone.HEARD, Tone.HEARD], ["fifteen, forty two"])


def test_number_that_was_said_twice_is_read_back_once(rig: Rig) -> None:
    """People make sure; a live crew heard "seventy one. seventy one, forty. forty"."""
    for words, channel in (("fifteen", 1), ("fifteen", 1), ("forty two", 0)):
        rig.ears.say(words, channel)
        rig.hear(0.3)
    rig.hear()
    assert rig.said == ["fifteen, forty two"]


def test_same_number_for_either_part_is_read_back_for_each(rig: Rig) -> None:
    """33 and .33, the foot's words broken off by the other's call or not."""
    rig.ears.say("thirty three", 1)
    rig.hear(0.3)
    rig.say("thirty three", 0)
    assert rig.said == ["thirty three, thirty three"]
    rig.say("switch ends", 0)
    rig.say("thirty three", 0)
    rig.hear(LONE_S)
    rig.ears.say("point thirty three", 1)
    rig.hear(LONE_S)
    assert "pull one, thirty three thirty three" in rig.said


def test_number_said_again_over_its_read_back_is_not_said_twice(rig: Rig) -> None:
    """What was broken off is said whole, and ends with that number."""
    rig.say("fifteen", 1)
    rig.ears.say("forty two", 0)
    rig.ears.say("forty two", 0)
    rig.hear(LONE_S)
    assert rig.said[-1] == "fifteen, forty two"


def test_foot_is_read_back_first(rig: Rig) -> None:
    """In whatever order the two called."""
    rig.say("point forty two", 0)
    rig.ears.say("fifteen", 1)
    rig.hear()
    assert rig.said == ["fifteen, forty two"]


def walk_on(rig: Rig, foot: str, hundredths: str) -> None:
    """Tape 15.42, and call the next pull as the two stand."""
    first = (("fifteen", 1), ("forty two", 0), ("switch ends", 0), ("fifteen", 0), ("forty two", 1))
    for words, channel in (*first, (foot, 0), (hundredths, 1)):
        rig.say(words, channel)


def test_question_that_stands_says_how_it_is_answered(rig: Rig) -> None:
    """People who went on said "switch ends" and numbers, and were asked the same fifteen times."""
    walk_on(rig, "twenty two", "fifty eight")
    assert rig.said[-1].endswith("who holds the foot")
    how = "say i've got the foot, or call the whole reading"
    rig.say("switch ends", 1)  # begun before the question was heard
    for said in (how, f"no call is taken. {how}", f"no call is taken. {how}"):
        assert rig.last_tone is Tone.QUESTION
        rig.hear(HEARD_S)
        rig.say("switch ends", 1)
        assert rig.said[-1] == said
    rig.say("i've got the foot", 0)
    assert rig.said[-1] == (
        "head holds the foot. twenty two point fifty eight. if that is wrong, measure again"
    )


def test_length_that_was_placed_anew_is_read_back_once(rig: Rig) -> None:
    """Its parts and who holds the foot were said before it as well: 6 s of a crew's time."""
    walk_on(rig, "fifty two", "oh nine")
    rig.hear(LONE_S)
    assert rig.said[-1] == (
        "head holds the foot. fifty two point oh nine. if that is wrong, measure again"
    )


def test_part_alone_is_read_back_after_a_while(rig: Rig) -> None:
    """The other does not come: silence is consent only to what was heard."""
    rig.say("fifteen", 1)
    rig.hear(LONE_S - 2 * BLOCK_S)
    assert rig.said == []
    rig.hear(4 * BLOCK_S)
    assert rig.said == ["fifteen"]
    assert rig.tones == [Tone.HEARD, None]
    rig.say("forty two", 0)
    assert rig.said == ["fifteen", "forty two"]


def test_nobody_is_talked_over(rig: Rig) -> None:
    """Who speaks when words are due is heard out first, but not for ever."""
    rig.say("fifteen", 1)
    rig.ears.begun_s = rig.ears.heard / 16_000 + LONE_S - 0.5
    rig.hear(LONE_S + 1.0)
    assert rig.said == []
    rig.ears.begun_s = None
    rig.hear()
    assert rig.said == ["fifteen"]
    rig.say("forty two", 0)
    rig.say("switch ends", 0)
    rig.say("fifteen", 0)
    rig.ears.begun_s = rig.ears.heard / 16_000
    rig.hear(MOST_S + 1.0)
    assert rig.said[-1] == "fifteen"


@pytest.mark.parametrize("pace_s", [0.3, 1.0, 2.0])
def test_switching_ends_is_not_said_over_the_foot_that_follows(rig: Rig, pace_s: float) -> None:
    """Its tone tells that it was heard; its words would hide the foot, called within 3 s."""
    for words, channel in (("fifteen", 1), ("forty two", 0), ("switch ends", 0)):
        rig.say(words, channel)
    assert (rig.last_tone, rig.said) == (Tone.HEARD, ["fifteen, forty two"])
    rig.hear(pace_s)
    rig.ears.say("fifteen", 0)
    rig.hear(1.0)
    assert rig.said == ["fifteen, forty two"]


def test_switching_ends_is_said_where_nobody_calls(rig: Rig) -> None:
    """Silence is consent only to what was heard."""
    for words, channel in (("fifteen", 1), ("forty two", 0), ("switch ends", 0)):
        rig.say(words, channel)
    rig.hear(LONE_S + 0.1)
    assert rig.said == ["fifteen, forty two", "switch ends"]


def begin_over_the_read_back(rig: Rig) -> None:
    """Call both parts, and begin to speak while they are read back."""
    rig.say("fifteen", 1)
    rig.ears.say("forty two", 0)
    rig.hear()
    rig.speaker.under_way = rig.speaker.said[-1]
    rig.ears.begun_s = rig.ears.heard / 16_000
    rig.hear(BEGUN_S + 3 * BLOCK_S)
    rig.ears.begun_s = None


def test_read_back_gives_way_to_a_voice_and_is_not_lost(rig: Rig) -> None:
    """It is broken off when somebody begins, and said together with what they called."""
    begin_over_the_read_back(rig)
    assert rig.speaker.under_way is None
    rig.ears.say("switch ends", 0)
    rig.hear()
    assert rig.said[-1] == "fifteen, forty two. switch ends"


def test_read_back_of_the_take_is_not_mixed_with_the_check(rig: Rig) -> None:
    """What gave way is said first, whatever part comes after it."""
    begin_over_the_read_back(rig)
    rig.ears.say("fifteen", 1)
    rig.hear(0.5)
    assert rig.said[-1] == "fifteen, forty two. fifteen"


def test_read_back_that_gave_way_to_talk_is_said_then(rig: Rig) -> None:
    """What was said is no call: the words are said from their beginning."""
    begin_over_the_read_back(rig)
    rig.ears.say("give me a foot", 0)
    rig.hear(0.2)
    assert rig.said[-2:] == ["fifteen, forty two"] * 2


def test_scratched_part_is_not_read_back(rig: Rig) -> None:
    """Only that it was scratched is said."""
    rig.say("fifteen", 1)
    rig.ears.say("strike that", 1)
    rig.hear(LONE_S + 1.0)
    assert rig.said == ["struck fifteen"]


def test_question_follows_the_part_that_was_taken(rig: Rig) -> None:
    """What was heard of the first is said with what is asked of the other."""
    rig.say("fifteen", 1)
    rig.ears.say("seven", 0)
    rig.hear(1.5)
    assert rig.said[-1].startswith("fifteen. ")
    assert rig.last_tone is Tone.QUESTION


def test_enter_says_at_once_what_waits(rig: Rig) -> None:
    """Whoever asks hears it now, and not a second time."""
    rig.say("fifteen", 1)
    rig.type("\n")
    rig.hear(LONE_S + 1.0)
    assert rig.said == ["fifteen"]


def test_marks_read_again_after_a_stop_say_so(rig: Rig) -> None:
    """The crew hears that its number begins the pull again."""
    for words, channel in (("fifteen", 1), ("forty two", 0), ("switch ends", 0), ("sixteen", 0)):
        rig.say(words, channel)
    rig.say("forty two", 1)
    assert rig.said[-1] == "stop, one foot"
    rig.hear(2.0)
    rig.say("fifteen", 0)
    rig.say("forty two", 1)
    assert rig.said[-1] == "fifteen. again, forty two"
    assert rig.job.state.take is not None
    assert (rig.job.state.pull, rig.job.state.take.length) == (1, 1542)


def test_words_of_a_result_stand_for_what_waited(rig: Rig) -> None:
    """The pull that is booked says its length; the last part is not said before it."""
    for words, channel in (("fifteen", 1), ("forty two", 0), ("switch ends", 0)):
        rig.say(words, channel)
    rig.say("fifteen", 0)
    rig.ears.say("forty two", 1)
    rig.hear()
    assert rig.said[-1] == "pull one, fifteen forty two"
    assert reading.LONE_S == LONE_S
