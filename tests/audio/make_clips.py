"""Make the spoken clips beside this file; needs Debian's `flite` and `espeak-ng`.

``python -m tests.audio.make_clips``. A name is the transcript with underscores for blanks;
``reject_`` marks talk that is no call. The voices are synthetic: no one was recorded.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile

from tests.bench.bench_endpoint import active
from tests.bench.voices import RATE_HZ, Sound, active_rms, pink, synthesise

HERE = Path(__file__).parent
CLIPS = {
    "flite-kal16": (
        "fifteen",
        "forty_two",
        "oh_five",
        "fifteen_forty_two",
        "switch_ends",
        "remark_follows",
        "tape_number_two",
        "station_two_plus_seventy_five_left_forty_two_point_six",
        "reject_watch_the_fence",
    ),
    "flite-slt": (
        "fifteen",
        "oh_five",
        "one_hundred",
        "strike_that",
        "give_me_a_foot",
        "reject_where_did_you_leave_the_truck",
    ),
    "flite-rms": (
        "forty_two",
        "one_hundred",
        "fifteen_forty_two",
        "switch_ends",
        "strike_that",
        "reject_hold_on_a_minute_there",
    ),
    "espeak-f3": (
        "fifteen",
        "forty_two",
        "one_hundred",
        "fifteen_forty_two",
        "give_me_a_foot",
        "reject_lunch_is_in_the_shade",
    ),
}
_SILENCE_S = 0.5
_LEVEL = 0.02
_HISS = 3e-5


def clip(words: str, speaker: str, rng: np.random.Generator) -> Sound:
    """Speak the words of a name at an active level of 0.02 with 0.5 s of faint hiss around."""
    return laid_in_hiss(synthesise(words.removeprefix("reject_").replace("_", " "), speaker), rng)


def laid_in_hiss(said: Sound, rng: np.random.Generator) -> Sound:
    """Bring what was said to an active level of 0.02, with 0.5 s of faint hiss around."""
    speech = active(said)
    silence = int(_SILENCE_S * RATE_HZ)
    padded = np.pad(speech * (_LEVEL / active_rms(speech)), silence)
    return np.asarray(padded + pink(padded.size, rng) * _HISS, dtype=np.float32)


def main() -> None:
    """Write all clips anew."""
    for speaker, names in CLIPS.items():
        (HERE / speaker).mkdir(exist_ok=True)
        for name in names:
            rng = np.random.default_rng(len(name))
            path = HERE / speaker / f"{name}.flac"
            soundfile.write(
                path, clip(name, speaker, rng), RATE_HZ, subtype="PCM_16", compression_level=1.0
            )


if __name__ == "__main__":
    main()
