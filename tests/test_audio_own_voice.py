"""The program's own words in a microphone, and a person over them: seeded noise of known power."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest

from calllog.audio.own_voice import HANG, OwnVoice
from calllog.readback import Tone
from calllog.readback.tones import render
from calllog.readback.voice import BuiltIn

BLOCK = 512
OUT = 0.01
"""Power of the words as they leave."""


def db(power: float) -> float:
    """Turn decibels into a power."""
    return float(10.0 ** (power / 10.0))


def sound(*powers: float, seed: int = 1) -> npt.NDArray[np.float32]:
    """Make a block in which each channel has a power."""
    rng = np.random.default_rng(seed)
    noise = rng.standard_normal((BLOCK, len(powers)))
    return np.asarray(noise * np.sqrt(powers), np.float32)


def learnt(person_db: float, arrival_db: float = -20.0) -> OwnVoice:
    """Learn from one call, and from one read-back to which nobody spoke."""
    own = OwnVoice(1)
    for seed in range(20):
        own.learn(sound(OUT * db(person_db), seed=seed), (True,))
    for seed in range(20):
        own.hides(sound(OUT * db(arrival_db), seed=seed), OUT)
    own.learn(sound(0.0), (False,))
    return own


def test_nothing_is_heard_over_words_before_they_are_known() -> None:
    """The first read-back makes every microphone deaf."""
    own = OwnVoice(2)
    assert own.hides(sound(1.0, 1.0), OUT) == (True, True)


def test_person_who_stands_out_is_heard_over_words() -> None:
    """Words arrive 20 dB weaker than they leave, the wearer's calls do not: only those pass."""
    own = learnt(person_db=0.0)
    assert own.hides(sound(OUT * db(-20.0)), OUT) == (True,)
    assert own.hides(sound(OUT * db(-16.0)), OUT) == (True,)
    assert own.hides(sound(OUT * db(0.0)), OUT) == (False,)


@pytest.mark.parametrize("gap", [HANG - 1, HANG + 1])
def test_gaps_within_a_word_are_passed_over(gap: int) -> None:
    """A stop in a word is no end of it; a third of a second is."""
    own = learnt(person_db=0.0)
    own.hides(sound(OUT), OUT)
    hidden = [own.hides(sound(OUT * db(-30.0)), OUT)[0] for _ in range(gap)]
    assert hidden[-1] is (gap >= HANG)


def test_microphone_beside_the_loudspeaker_is_deaf() -> None:
    """A wearer who does not stand out cannot be told from the words: nothing is guessed."""
    own = learnt(person_db=-14.0)
    assert own.hides(sound(OUT), OUT) == (True,)


def test_voice_that_words_hid_is_told_afterwards() -> None:
    """Nothing that is said vanishes without a trace: the crew is asked once the words are over."""
    own = learnt(person_db=-14.0)
    for _ in range(12):
        assert own.hides(sound(OUT), OUT) == (True,)
    assert not own.spoken_over()
    own.learn(sound(0.0), (False,))
    assert own.spoken_over()
    assert not own.spoken_over()


def test_tone_tells_how_loud_the_program_arrives() -> None:
    """The first call's tone comes before any words: the first read-back hides nobody."""
    own = OwnVoice(2)
    for seed in range(20):
        own.learn(sound(OUT, 0.0, seed=seed), (True, False))
    for seed in range(14):
        arriving = OUT * db(-30.0 if seed < 3 else -60.0)
        speaks = seed > 8
        own.arrives(sound(OUT if speaks else arriving, arriving, seed=seed), OUT, (speaks, False))
    own.learn(sound(0.0, 0.0), (False, False))
    assert own.hides(sound(OUT, OUT), OUT) == (False, False), "who has not called yet as well"


def test_each_microphone_is_judged_by_itself() -> None:
    """The head's is far from the loudspeaker, the rear's is beside it."""
    own = OwnVoice(2)
    for seed in range(20):
        own.learn(sound(OUT, OUT, seed=seed), (True, True))
    for seed in range(20):
        own.hides(sound(OUT * db(-30.0), OUT * db(-3.0), seed=seed), OUT)
    own.learn(sound(0.0, 0.0), (False, False))
    assert own.hides(sound(OUT, OUT), OUT) == (False, True)


def test_one_read_back_spoken_over_does_not_deafen_for_good() -> None:
    """Somebody spoke through one of five: the middle one counts."""
    own = learnt(person_db=0.0)
    for stretch in range(4):
        for seed in range(30):
            power = OUT if stretch == 2 else OUT * db(-20.0)
            own.hides(sound(power, seed=seed), OUT)
        own.learn(sound(0.0), (False,))
    assert own.hides(sound(OUT), OUT) == (False,)


def test_voice_over_words_is_no_part_of_how_loud_they_arrive() -> None:
    """The wearer speaks over half of each read-back: the next one hides them as little."""
    own = learnt(person_db=0.0)
    for _ in range(6):
        for seed in range(30):
            own.hides(sound(OUT * db(-3.0 if seed < 15 else -20.0), seed=seed), OUT)
        own.learn(sound(0.0), (False,))
    assert own.hides(sound(OUT * db(-4.0)), OUT) == (False,)


def test_loudspeaker_that_was_turned_up_is_learnt() -> None:
    """All of every read-back stands out: it is the program, not a person."""
    own = learnt(person_db=0.0, arrival_db=-30.0)
    for _ in range(6):
        for seed in range(30):
            own.hides(sound(OUT * db(-10.0), seed=seed), OUT)
        own.learn(sound(0.0), (False,))
    assert own.hides(sound(OUT * db(-10.0)), OUT) == (True,)


def test_fading_end_of_a_call_is_no_quiet_person() -> None:
    """A second of it, 20 dB below the calls before it: the wearer stands out as before."""
    own = learnt(person_db=0.0)
    for seed in range(100):
        own.learn(sound(OUT, seed=seed), (True,))
    for seed in range(30):
        own.learn(sound(OUT * db(-20.0), seed=seed), (True,))
    assert own.hides(sound(OUT), OUT) == (False,)


def test_words_that_do_not_arrive_hide_nobody() -> None:
    """An earphone: whatever is speech there is a person's."""
    own = learnt(person_db=0.0, arrival_db=-200.0)
    assert own.hides(sound(OUT * db(-30.0)), OUT) == (False,)


def in_noise(louder: float) -> OwnVoice:
    """Learn from a call and read-backs 14.5 dB under noise, of which a canceller foretells all."""
    own = OwnVoice(1)
    for seed in range(20):
        own.learn(sound(OUT, seed=seed), (True,))
    for seed in range(20):
        noise, words = sound(OUT * db(-11.5), seed=seed), sound(OUT * db(-26.0), seed=100 + seed)
        own.hides(noise, OUT, whole=noise + words, fits=(True,), louder=(louder,))
    own.learn(sound(OUT * db(-11.5)), (False,))
    return own


@pytest.mark.parametrize(("louder_db", "hides"), [(0.0, False), (3.0, False), (6.0, True)])
def test_noise_beside_words_is_no_part_of_how_loud_they_arrive(
    louder_db: float, *, hides: bool
) -> None:
    """In rain the wearer stands out of the words, if not of the rain, which hides nobody's call."""
    own = in_noise(db(louder_db))
    words = sound(OUT * db(-26.0), seed=7)
    for power_db in (-11.5, 0.0):
        heard = sound(OUT * db(power_db), seed=8)
        hidden = own.hides(heard, OUT, whole=heard + words, fits=(True,), louder=(db(louder_db),))
        assert hidden == (hides or power_db < 0.0,)
    assert own.is_shut == (hides,)


def test_words_that_are_not_foretold_arrive_as_they_are_measured() -> None:
    """Forgotten is what was foretold before sound was lost, and what does not fit is the words'."""
    words, person = sound(OUT * db(-26.0), seed=7), sound(OUT, seed=8)
    own = in_noise(1.0)
    assert own.hides(person, OUT, whole=person + words, fits=(False,)) == (False,)
    own.forget()
    assert own.hides(person, OUT, whole=person + words, fits=(True,)) == (True,)


SENTENCES = (
    (Tone.HEARD, "forty six"),
    (Tone.QUESTION, "who holds the foot, rear for sixty two seventy eight, head for seventy eight"),
    (Tone.QUESTION, "not sure of seven eight, say it again"),
    (Tone.AGREES, "pull two, sixty two seventy eight"),
    (Tone.QUESTION, "rear, say again the hundredths of the first"),
)
"""As the program says them."""
PAUSE = np.zeros(1440, np.float32)
LINGER = 7
"""Blocks within which a sound may still arrive."""


def leaves(tone: Tone, words: str) -> npt.NDArray[np.float32]:
    """Give what the program puts out, at 16 kHz: tone, words, silence."""
    voice, parts = BuiltIn(), [render(tone, 16_000), PAUSE]
    for phrase in words.split(", ") if words else ():
        spoken, rate_hz = voice.speak(phrase, 9.0)
        assert rate_hz == 16_000
        parts += [spoken, PAUSE]
    return np.concatenate((*parts, np.zeros(LINGER * BLOCK, np.float32)))


def test_program_is_no_person_however_its_words_swell() -> None:
    """Real words, which swell and fade, arriving 30 dB weaker: nothing in them is the wearer's."""
    own, heard = OwnVoice(1), []
    for seed in range(20):
        own.learn(sound(db(-34.0), seed=seed), (True,))
    lone = ((Tone.HEARD, ""), (Tone.TICK, ""))
    for tone, words in (*lone, *SENTENCES, *lone, *SENTENCES):
        left = leaves(tone, words)[:, np.newaxis]
        blocks = [left[at : at + BLOCK] for at in range(0, len(left) - BLOCK, BLOCK)]
        powers = [float(np.mean(np.square(block))) for block in blocks]
        hiss = sound(db(-67.0))
        for at in range(1, len(blocks)):
            out = max(powers[max(0, at - LINGER) : at + 1])
            arrives = np.asarray(0.0316 * blocks[at - 1] + hiss, np.float32)
            is_loud = float(np.mean(np.square(arrives))) > db(-61.0)
            if not words:
                own.arrives(arrives, out, (False,))
            elif out and not own.hides(arrives, out)[0] and is_loud:
                heard.append((words, at))
        own.learn(hiss, (False,))
    assert heard == []
