"""Tones: which one in, its samples out; each is known by its rhythm alone and by its pitch alone.

Wind drowns low sounds and gloves, hoods and small loudspeakers take the high ones, so pitches are
a third or more apart, no two rhythms have the same beats, and each note has two overtones; pure.
"""

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np
import numpy.typing as npt

Sound = npt.NDArray[np.float32]


class Tone(StrEnum):
    """What a tone tells."""

    HEARD = "heard"
    """The call is in the job; read-back follows, silence is consent."""
    AGREES = "agrees"
    """Take and check agree; the segment is booked."""
    QUESTION = "question"
    """Something is asked of the crew, or waits for it."""
    STOP = "stop"
    """Two values do not go together; nothing moves ahead."""
    TICK = "tick"
    """A key was pressed."""
    CLEARED = "cleared"
    """What was being typed is wiped."""
    ERROR = "error"
    """The key means nothing here, or a sound that may be a call was not made out."""
    WARN = "warn"
    """A device or the noise needs a look."""


@dataclass(frozen=True, slots=True)
class Note:
    """One beat of a tone: its pitch [Hz] and how long it sounds [s]."""

    pitch_hz: float
    on_s: float


GAP_S = 0.06
"""Silence between the beats of a tone."""
RAMP_S = 0.004
"""Each note swells and fades this long, so that it does not click."""
LEVEL = 0.5
"""Peak of a note, of full scale."""
OVERTONES = (1.0, 0.35, 0.15)
"""Strength of the pitch, twice and three times it: small loudspeakers lose the lowest."""

TONES: dict[Tone, tuple[Note, ...]] = {
    Tone.ERROR: (Note(330.0, 0.30),),
    Tone.STOP: (Note(440.0, 0.16),) * 3,
    Tone.QUESTION: (Note(554.0, 0.07), Note(698.0, 0.18)),
    Tone.HEARD: (Note(880.0, 0.09),),
    Tone.AGREES: (Note(1047.0, 0.08), Note(1397.0, 0.08)),
    Tone.CLEARED: (Note(1865.0, 0.18), Note(1397.0, 0.07)),
    Tone.WARN: (Note(2093.0, 0.05),) * 4,
    Tone.TICK: (Note(2794.0, 0.02),),
}


@lru_cache(maxsize=32)
def render(tone: Tone, rate_hz: int) -> Sound:
    """Make the samples of a tone.

    Args:
        tone: which one.
        rate_hz: sample rate [Hz], 8000 or more.

    Returns:
        Samples, shape (n,), float32 within -0.5 to 0.5; shared, not to be written to.
    """
    gap = np.zeros(round(GAP_S * rate_hz), np.float32)
    pieces: list[Sound] = []
    for note in TONES[tone]:
        pieces += [_note(note, rate_hz), gap]
    sound = np.concatenate(pieces[:-1])
    sound.flags.writeable = False
    return sound


def _note(note: Note, rate_hz: int) -> Sound:
    time_s = np.arange(round(note.on_s * rate_hz)) / rate_hz
    wave = np.zeros(time_s.size)
    for multiple, strength in enumerate(OVERTONES, start=1):
        if multiple * note.pitch_hz < rate_hz / 2:
            wave += strength * np.sin(2.0 * np.pi * multiple * note.pitch_hz * time_s)
    nearest_s = np.minimum(time_s, time_s[-1] - time_s)
    envelope = np.sin(np.pi / 2.0 * np.minimum(nearest_s / RAMP_S, 1.0)) ** 2
    return np.asarray(LEVEL / sum(OVERTONES) * wave * envelope, np.float32)
