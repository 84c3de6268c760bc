"""Benchmark of an hour of two channels: time, memory, and what becomes of the calls in it.

Two callers answer each other in wind all the time; the recording is written to disk first and
then heard in a process of its own, whose peak memory is the figure.
Run with ``python -m tests.bench.bench_longrun [seconds]``.
"""

from __future__ import annotations

import json
import random
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile
import soxr

from calllog.audio import RATE_HZ, Recording, utterances
from calllog.commands.engine import DEFAULT_ENGINE, open_recogniser
from calllog.recognise import understand
from calllog.spoken import load_grammar, spoken_forms
from calllog.values import Expectation, Kind, Outcome
from tests.bench.bench_endpoint import active
from tests.bench.bench_recognition import GRAMMAR, LEVEL, LIMIT
from tests.bench.voices import Sound, active_rms, synthesise, wind
from tests.measured.results import keep

FILE_RATE_HZ = 44_100
CALLERS = ((Expectation.WHOLE, "flite-slt"), (Expectation.FRACTION, "flite-rms"))
"""What each channel calls, and its voice."""
PIECE_S = 10
"""Each piece holds one call on each channel: at 1 s and at 6 s."""
STARTS_S = (1.0, 6.0)
NEAR_S = 0.6
"""An utterance that begins so near to a call is that call."""
VARIETY = 24
"""Different calls of each channel."""
SNR_DB = 10.0
CROSSTALK_DB = -20.0
SEED = 1125


def make(path: Path, seconds: int) -> int:
    """Write a 16-bit stereo recording at 44.1 kHz; return the number of calls in it."""
    grammar = load_grammar(GRAMMAR.read_text("utf-8"))
    draw = random.Random(SEED)  # noqa: S311 - which calls are drawn is no secret
    rng = np.random.default_rng(SEED)
    said: list[list[Sound]] = []
    for (_, voice), kind in zip(CALLERS, (Kind.WHOLE, Kind.FRACTION), strict=True):
        span = range(0, LIMIT + 1, 100) if kind is Kind.WHOLE else range(100)
        texts = [
            draw.choice(spoken_forms(grammar, kind, draw.choice(span))) for _ in range(VARIETY)
        ]
        sounds = [active(synthesise(text, voice)) for text in texts]
        said.append([sound * np.float32(LEVEL / active_rms(sound)) for sound in sounds])
    echo = np.float32(10.0 ** (CROSSTALK_DB / 20.0))
    with soundfile.SoundFile(path, "w", FILE_RATE_HZ, 2, "PCM_16") as file:
        for number in range(seconds // PIECE_S):
            size = PIECE_S * RATE_HZ
            piece = np.stack([wind(size, rng), wind(size, rng)], axis=1)
            piece *= np.float32(LEVEL * 10.0 ** (-SNR_DB / 20.0))
            for channel, start_s in enumerate(STARTS_S):
                sound = said[channel][number % VARIETY]
                place = slice(int(start_s * RATE_HZ), int(start_s * RATE_HZ) + sound.size)
                piece[place, channel] += sound
                piece[place, 1 - channel] += sound * echo
            file.write(soxr.resample(piece, RATE_HZ, FILE_RATE_HZ))
    return seconds // PIECE_S * len(CALLERS)


def hear(path: Path) -> None:
    """Listen to the recording as the program does; print the figures."""
    counts = dict.fromkeys((outcome.value for outcome in Outcome), 0)
    found: set[tuple[int, int]] = set()
    begin, begin_cpu = time.perf_counter(), time.process_time()
    recording = Recording(path)
    with open_recogniser(DEFAULT_ENGINE, None) as (recogniser, parser):
        for utterance in utterances(recording):
            piece, at_s = divmod(utterance.start_s, PIECE_S)
            if abs(at_s - STARTS_S[utterance.channel]) < NEAR_S:
                found.add((utterance.channel, int(piece)))
            expects = CALLERS[utterance.channel][0]
            heard = understand(parser, recogniser.recognise(utterance, expects), expects, LIMIT)
            counts[heard.outcome.value] += 1
    wall_s, cpu_s = time.perf_counter() - begin, time.process_time() - begin_cpu
    figures = {
        "utterances": sum(counts.values()),
        "calls found": len(found),
        "outcomes": counts,
        "times real time, wall": round(recording.duration_s / wall_s, 1),
        "times real time, processor": round(recording.duration_s / cpu_s, 1),
        "share of real time for each channel": round(
            cpu_s / recording.duration_s / recording.channels, 4
        ),
        "peak resident memory [MB]": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    }
    sys.stdout.write(json.dumps(figures) + "\n")


def main(seconds: int) -> None:
    """Make the recording and have it heard in a fresh process."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "hour.wav"
        calls = make(path, seconds)
        command = [sys.executable, "-m", "tests.bench.bench_longrun", "hear", str(path)]
        done = subprocess.run(command, check=True, capture_output=True, text=True)
    result = {
        "seconds of sound": seconds,
        "channels": len(CALLERS),
        "calls": calls,
        **json.loads(done.stdout),
    }
    keep("longrun", result, n=f"{calls} calls", voices=[voice for _, voice in CALLERS])


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["hear", name]:
            hear(Path(name))
        case [length]:
            main(int(length))
        case _:
            main(3600)
