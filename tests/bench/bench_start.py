"""Benchmark of starting: how long help takes, and how long until a crew can call.

The installed program is begun again and again, each time as a process of its own, files in the
system's memory from the time before. ``listen`` is ready when its screen asks for the first call:
the job is made, its first entries are on disk, the microphone is open, what hears is loaded.
Needs PulseAudio. Run with ``python -m tests.bench.bench_start``.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from statistics import median

from calllog.demo import load_day
from tests.measured.results import keep
from tests.terminal import Terminal
from tests.virtual import VirtualSound

TIMES = 9
LINE = load_day().lines[0]
MICROPHONE = "crew"
GIVEN_UP_S = 60.0
LOOK_S = 0.005
READY = b"next"
"""What the screen says when it waits for a call."""


def used_s() -> float:
    """Tell what the processor did for all children that have ended [s]."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def timed(do: Callable[[], None]) -> tuple[float, float]:
    """Do something; give how long it took, and what the processor did in its processes [s]."""
    begun_s, before_s = time.perf_counter(), used_s()
    do()
    return time.perf_counter() - begun_s, used_s() - before_s


def command(*words: str) -> Callable[[], None]:
    """Make something that runs a command to its end."""
    calllog = Path(sys.executable).with_name("calllog")
    program = [str(calllog)] if calllog.exists() else [sys.executable, "-m", "calllog"]

    def run() -> None:
        subprocess.run([*program, *words], check=True, capture_output=True)

    return run


def ready_s(env: dict[str, str], folder: Path, *words: str) -> float:
    """Begin work live; give how long it took until the first call was asked for [s].

    Raises:
        TimeoutError: it was not in a minute.
    """
    begun_s = time.perf_counter()
    program = Terminal(
        env,
        *("listen", str(folder), "--tape", str(LINE.tape), "--line", LINE.name),
        *("--voice", "built-in", "--no-clips", *words),
    )
    try:
        while READY not in program.seen:
            if time.perf_counter() > begun_s + GIVEN_UP_S or program.program.poll() is not None:
                raise TimeoutError(program.seen[-500:].decode("utf-8", "replace"))
            time.sleep(LOOK_S)
        return time.perf_counter() - begun_s
    finally:
        program.close()


def main() -> None:
    """Time all of it."""
    with ExitStack() as opened:
        place, name = (opened.enter_context(tempfile.TemporaryDirectory(prefix="cl")) for _ in "12")
        folder = Path(name)
        sound = opened.enter_context(VirtualSound(Path(place)))
        sound.add_loudspeaker()
        sound.add_microphone(MICROPHONE, 2)
        kit = ("--microphone", MICROPHONE, "--channels", "head,rear")
        command("--help")()
        helped = [timed(command("--help")) for _ in range(TIMES)]
        verified = [timed(command("convert", "12 ch 45 lk", "--to", "usft")) for _ in range(TIMES)]
        listening = [ready_s(sound.env, folder / f"m{n}", *kit) for n in range(TIMES)]
        typing = [ready_s(sound.env, folder / f"k{n}", "--keys-only") for n in range(TIMES)]
    keep(
        "start",
        {
            "help [s]": round(median(each for each, _ in helped), 3),
            "help, processor [s]": round(median(each for _, each in helped), 3),
            "convert [s]": round(median(each for each, _ in verified), 3),
            "listen ready [s]": round(median(listening), 2),
            "listen ready, longest [s]": round(max(listening), 2),
            "listen by keys ready [s]": round(median(typing), 2),
        },
        n=f"{TIMES} times each, medians",
    )


if __name__ == "__main__":
    main()
