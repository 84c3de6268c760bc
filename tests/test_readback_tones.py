"""The tones: each is known by its rhythm alone and by its pitch alone."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from calllog.readback import Tone
from calllog.readback.tones import LEVEL, Sound, render

RATE_HZ = 48_000
PAIRS = list(combinations(Tone, 2))


def beats(sound: Sound) -> list[Sound]:
    """Cut a tone into its notes where it is silent for 20 ms or more."""
    quiet = 0.02 * RATE_HZ
    loud = np.flatnonzero(np.abs(sound) > 0.01)
    cuts = np.flatnonzero(np.diff(loud) > quiet)
    starts, ends = [loud[0], *loud[cuts + 1]], [*loud[cuts], loud[-1]]
    return [sound[a : b + 1] for a, b in zip(starts, ends, strict=True)]


def pitch_semitones(note: Sound) -> float:
    """Measure the strongest frequency of a note, semitones above 1 Hz."""
    spectrum = np.abs(np.fft.rfft(note * np.hanning(note.size), 1 << 17))
    return float(12.0 * np.log2(np.argmax(spectrum) * RATE_HZ / (1 << 17)))


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_rhythm_alone_tells_two_tones_apart(one: Tone, other: Tone) -> None:
    """The number of beats differs, or one beat is twice as long: pitch is lost in wind."""
    ours, theirs = (
        [beat.size / RATE_HZ for beat in beats(render(each, RATE_HZ))] for each in (one, other)
    )
    ratios = [max(a / b, b / a) for a, b in zip(ours, theirs, strict=False)]
    assert len(ours) != len(theirs) or max(ratios) >= 2.0


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_pitch_alone_tells_two_tones_apart(one: Tone, other: Tone) -> None:
    """The mean pitches lie four semitones apart or more: rhythm is lost in an echo."""
    ours, theirs = (
        np.mean([pitch_semitones(beat) for beat in beats(render(each, RATE_HZ))])
        for each in (one, other)
    )
    assert abs(ours - theirs) >= 3.9


@pytest.mark.parametrize("rate_hz", [16_000, 44_100, 48_000])
@pytest.mark.parametrize("tone", Tone)
def test_tones_do_not_click(tone: Tone, rate_hz: int) -> None:
    """Ends are at rest, and no step is steeper than the steepest overtone at that level."""
    sound = render(tone, rate_hz)
    assert abs(sound[0]) < 1e-4
    assert abs(sound[-1]) < 1e-2
    assert 0.2 < np.max(np.abs(sound)) <= LEVEL
    for note in beats(sound) if rate_hz == RATE_HZ else ():
        edge = np.abs(np.concatenate([note[:24], note[-24:]]))
        assert np.max(edge) < 0.1


def test_short_tones_are_short() -> None:
    """A tick fits between two keys; *heard* is over before the next word begins."""
    assert render(Tone.TICK, RATE_HZ).size <= 0.03 * RATE_HZ
    assert render(Tone.HEARD, RATE_HZ).size <= 0.12 * RATE_HZ
    assert max(render(tone, RATE_HZ).size for tone in Tone) < 0.7 * RATE_HZ


def test_shared_samples_cannot_be_written_to() -> None:
    """A tone is rendered once for all; nobody can spoil it for the next."""
    with pytest.raises(ValueError, match="read-only"):
        render(Tone.STOP, RATE_HZ)[0] = 1.0
