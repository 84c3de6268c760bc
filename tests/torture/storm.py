"""A microphone that goes and comes back, again and again, while the crew works.

The whole program in a terminal, with the recogniser and the microphone's watch, on a private
PulseAudio. It is pulled out for a moment or for longer, falls silent, or the sound server dies;
each time it must be told as lost and as back, a typed call must be taken meanwhile, and every
tenth time a spoken one afterwards. Memory, open files and threads must not grow.
Run with ``python -m tests.torture.storm [ROUNDS]``; 100 if left out.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from calllog.demo import load_day
from calllog.journal import Journal
from calllog.office.summary import verify_job
from tests.terminal import Terminal, wait_for
from tests.torture.tally import Tally, report
from tests.virtual import VirtualSound

LINE = load_day().lines[0]
PIECE_S = (7.5, 25.5)
"""Of the recording: where a crew calls."""
SPOKEN_EVERY = 10
SETTLED = 12
"""Rounds after which nothing may grow any more."""
MOST_MB = 20.0
MOST_MORE = 4
"""Files or threads that may be open beyond those after the first rounds, which come and go."""
PATIENCE_S = 60.0
SLOWER = 10.0
"""A busy computer is waited for so many times as long as it took to begin the program."""


@dataclass(frozen=True, slots=True)
class Held:
    """What a program holds."""

    resident_mb: float
    files: int
    threads: int

    @classmethod
    def by(cls, process: int) -> Held:
        """Look at a process."""
        at = Path(f"/proc/{process}")
        rows = dict(row.split(":", 1) for row in (at / "status").read_text("ascii").splitlines())
        return cls(
            int(rows["VmRSS"].split()[0]) / 1024.0,
            len(list((at / "fd").iterdir())),
            int(rows["Threads"]),
        )


def pull_out(sound: VirtualSound, seconds: float) -> None:
    """Pull the microphone out, and put it back after a while."""
    sound.remove_microphone("crew")
    time.sleep(seconds)
    sound.add_microphone("crew", 2)


def fall_silent(sound: VirtualSound) -> None:
    """Let the microphone give nothing for a while."""
    sound.suspend_microphone("crew", is_suspended=True)
    time.sleep(3.0)
    sound.suspend_microphone("crew", is_suspended=False)


def die(sound: VirtualSound) -> None:
    """Let the sound server die, and begin another."""
    sound.stop()
    time.sleep(0.5)
    sound.start()
    sound.add_loudspeaker()
    sound.add_microphone("crew", 2)


FAULTS: tuple[Callable[[VirtualSound], None], ...] = (
    lambda sound: pull_out(sound, 0.0),
    lambda sound: pull_out(sound, 1.5),
    lambda sound: pull_out(sound, 0.3),
    fall_silent,
    die,
)


def counts(job: Path) -> dict[str, int]:
    """Count a job's entries by their kinds, as an onlooker."""
    found: dict[str, int] = {}
    with Journal.open(job, read_only=True) as journal:
        for entry in journal.entries():
            found[entry.kind] = found.get(entry.kind, 0) + 1
    return found


def rage(sound: VirtualSound, folder: Path, rounds: int) -> Tally:
    """Work on while the microphone goes and comes back; what is tried are the rounds."""
    samples, rate_hz = soundfile.read(LINE.recording)
    begin_s, end_s = PIECE_S
    piece = samples[int(begin_s * rate_hz) : int(end_s * rate_hz)]
    spoken = folder / "piece.wav"
    soundfile.write(spoken, np.concatenate([piece, np.zeros((rate_hz, 2))]), rate_hz)
    job = folder / "job"
    kit = ("--microphone", "crew", "--channels", "head,rear", "--say", "tones", "--no-clips")
    words = ("listen", "--tape", str(LINE.tape), "--line", LINE.name, str(job), *kit)
    program = Terminal(sound.env, *words)
    held: list[Held] = []
    typed = 0
    begun_s = time.monotonic()
    try:
        wait_for(lambda: b"next" in program.seen, program)
        patience_s = max(PATIENCE_S, SLOWER * (time.monotonic() - begun_s))

        def is_back(losses: int) -> bool:
            found = counts(job)
            return losses < found.get("microphone_lost", 0) == found.get("microphone_back", 0)

        for number in range(rounds):
            losses = counts(job).get("microphone_lost", 0)
            FAULTS[number % len(FAULTS)](sound)
            program.type("33.\r")
            typed += 1
            try:
                wait_for(lambda now=losses: is_back(now), program, patience_s)  # type: ignore[misc]
            except AssertionError as error:
                error.add_note(f"round {number}, fault {number % len(FAULTS)}: {counts(job)}")
                raise
            if number % SPOKEN_EVERY == 0:
                calls = counts(job).get("call", 0)
                sound.play(spoken, "crew").wait()
                wait_for(
                    lambda now=calls: counts(job).get("call", 0) > now,  # type: ignore[misc]
                    program,
                    patience_s,
                )
            held.append(Held.by(program.program.pid))
        assert program.end() == 0
    finally:
        program.close()
    assert verify_job(job).ok
    with Journal.open(job, read_only=True) as journal:
        taken = sum(1 for each in journal.entries("call") if '"is_keyed":true' in each.body)
    first, last = held[min(SETTLED, len(held)) - 1], held[-1]
    has_grown = (
        last.resident_mb > first.resident_mb + MOST_MB
        or last.files > first.files + MOST_MORE
        or last.threads > first.threads + MOST_MORE
    )
    found = counts(job)
    note = (
        f"lost {found['microphone_lost']}, back {found['microphone_back']};"
        f" memory {first.resident_mb:.0f} to {last.resident_mb:.0f} MB,"
        f" open files {first.files} to {last.files}, threads {first.threads} to {last.threads}"
    )
    kept = 0 if has_grown else rounds
    lost, doubled = max(0, typed - taken), max(0, taken - typed)
    return Tally("microphone gone and back", rounds, kept, lost, doubled, note)


def main(rounds: int) -> int:
    """Let it rage on a sound server of its own."""
    with (
        tempfile.TemporaryDirectory(prefix="cl") as place,
        tempfile.TemporaryDirectory() as folder,
        VirtualSound(Path(place)) as sound,
    ):
        sound.add_loudspeaker()
        sound.add_microphone("crew", 2)
        return report("storm", [rage(sound, Path(folder), rounds)])


if __name__ == "__main__":
    try:
        sys.exit(main(int(sys.argv[1]) if sys.argv[1:] else 100))
    except subprocess.CalledProcessError as error:
        sys.exit(f"the sound server refuses: {error.stderr}")
