"""Make the demo's recordings and `spoken.json`: ``python -m tests.demo.make_demo OUT``.

Needs Debian's `flite` and the `bench` extra. Noise and pauses are seeded; the voices are those of
the versions installed, so the recordings that travel with the program are the committed ones.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from tests.bench.bench_endpoint import active
from tests.bench.voices import RATE_HZ, Sound, active_rms, synthesise, wind
from tests.demo.day import DAY, Line, Pull

ROLES = {"h": "head", "r": "rear"}
CHANNELS = ("head", "rear")
VOICES = {"head": "piper-joe", "rear": "flite-slt"}
LICENCES = {
    "piper-joe": "model en_US-joe-medium: CC0 by its card; spoken by piper-tts, GPL-3.0-or-later",
    "flite-slt": "the voice slt inside Flite 2.2, under Carnegie Mellon's permissive licence",
}
SNR_DB = 15.0
"""Active speech over wind, on each channel."""
LEVEL = 0.05
"""RMS of active speech, of full scale."""
LEAK_DB = -26.0
"""Level of a voice in the other microphone."""
LEAK_S = 0.003
LOUDER = {"strike that": 2.0}
"""How much louder some words are said: who undoes a call speaks up."""
BITS = 12
"""Resolution kept, so that the recordings pack small."""
PAUSE_S = (1.2, 2.0)
PULL_PAUSE_S = 2.6
"""Pause between two pulls: the walk is cut down."""
NOTES = (
    "Everything is invented: the county, the day, the tapes and the readings; no one was recorded.",
    "Pauses are cut short; on the ground minutes pass between two pulls.",
    (
        "Values, voices, wording, seeds of the wind, the level of the other caller in each "
        "microphone and of one command were chosen so that the demo reads well. It measures "
        "nothing: other values and other wind are heard worse."
    ),
)


@dataclass(frozen=True, slots=True)
class Said:
    """One utterance and where it stands in its recording."""

    start_s: float
    end_s: float
    role: str
    what: str
    words: str
    sound: Sound


def speak(line: Line, rng: np.random.Generator) -> Iterator[Said]:
    """Speak a line's script, one utterance after the other with pauses between."""
    now_s = 1.5
    for row in line.script.strip().splitlines():
        if not row.strip():
            now_s += PULL_PAUSE_S - PAUSE_S[0]
            continue
        who, what, words = row.split(maxsplit=2)
        role = ROLES[who]
        sound = active(synthesise(words, VOICES[role]))
        sound *= LOUDER.get(words, 1.0) * LEVEL / active_rms(sound)
        end_s = now_s + sound.size / RATE_HZ
        yield Said(now_s, end_s, role, what, words, sound)
        now_s = end_s + rng.uniform(*PAUSE_S)


def record(said: list[Said], rng: np.random.Generator) -> Sound:
    """Mix what two microphones hear.

    Returns:
        Samples, shape (n, 2), the head's microphone first, at 16 kHz.
    """
    size = int((said[-1].end_s + 1.5) * RATE_HZ)
    voices = np.zeros((size, 2), dtype=np.float32)
    for each in said:
        start = int(each.start_s * RATE_HZ)
        voices[start : start + each.sound.size, CHANNELS.index(each.role)] += each.sound
    leak = np.roll(voices[:, ::-1], int(LEAK_S * RATE_HZ), axis=0) * 10.0 ** (LEAK_DB / 20.0)
    gusts = np.stack([wind(size, rng) for _ in CHANNELS], axis=1)
    heard = voices + leak + gusts * LEVEL / 10.0 ** (SNR_DB / 20.0)
    steps = 2.0 ** (BITS - 1)
    return np.asarray(np.clip(np.rint(heard * steps) / steps, -1.0, 1.0 - 1 / steps), np.float32)


def describe(number: int, pull: Pull, line: Line) -> dict[str, object]:
    """State what must be booked for a pull."""
    return {
        "pull": number,
        "length_read_ft": pull.take_ft,
        "take_ft": pull.take_ft,
        "check_ft": pull.check_ft,
        "booking": "agreed",
        "findings": pull.findings,
        "superseded_ft": pull.superseded_ft,
        "temperature_degf": line.temperature_degf,
        "tension_lb": line.tension_lb,
        "spans": line.spans,
        "position": line.position,
        "rise_ft": pull.rise_ft,
    }


def make(line: Line, first_pull: int, folder: Path) -> dict[str, object]:
    """Write a line's recording and describe what was said in it."""
    rng = np.random.default_rng(line.seed)
    said = list(speak(line, rng))
    sound = record(said, rng)
    file = f"{line.name}.flac"
    soundfile.write(folder / file, sound, RATE_HZ, subtype="PCM_16", compression_level=1.0)
    return {
        "file": file,
        "line_from": line.line_from,
        "line_to": line.line_to,
        "tape": line.tape,
        "duration_s": round(len(sound) / RATE_HZ, 3),
        "utterances": [
            {
                "start_s": round(each.start_s, 3),
                "end_s": round(each.end_s, 3),
                "channel": CHANNELS.index(each.role) + 1,
                "role": each.role,
                "what": each.what,
                "words": each.words,
            }
            for each in said
        ],
        "pulls": [
            describe(first_pull + index, pull, line) for index, pull in enumerate(line.pulls)
        ],
    }


def main(out: Path) -> None:
    """Write all recordings and `spoken.json`."""
    (out / "recordings").mkdir(parents=True, exist_ok=True)
    recordings, pull = [], 1
    for line in DAY:
        recordings.append(make(line, pull, out / "recordings"))
        pull += len(line.pulls)
    spoken = {
        "notes": NOTES,
        "made_by": "tests/demo/make_demo.py",
        "channels": CHANNELS,
        "snr_db": SNR_DB,
        "leak_db": LEAK_DB,
        "voices": {
            role: {"voice": voice, "licence": LICENCES[voice]} for role, voice in VOICES.items()
        },
        "recordings": recordings,
    }
    text = json.dumps(spoken, indent=1)
    (out / "spoken.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
