"""Kills the program at random moments of its work, and looks what is left each time.

    python -m tests.torture.crash WHO [COUNT [MINUTES]]

COUNT kills of a crew that types, of one that is listened to, or of a chief who orders by phone
(``keypad`` with some of the rescue, ``voice``, ``phones``). Each is the whole program in a process
of its own, ended by SIGKILL: while it starts, while it waits, in the middle of an entry, right
after Enter, right after a call was told. The same job is gone on with again and again. What was
told (a line of its log) before the kill must be in the journal after it, once; what was typed and
not told may be there or not, and is typed again only if it is not, as a crew would. After MINUTES
there is no other kill, whatever COUNT says.
"""

from __future__ import annotations

import math
import os
import random
import shutil
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory

from calllog.demo import load_day
from calllog.demo.day import DayLine
from calllog.journal import Journal, is_job
from calllog.office import replay_job
from calllog.office.summary import verify_job
from calllog.resources import PACKAGE
from calllog.values import Call, Segment
from tests.golden.make_jobs import feet_job
from tests.torture.crash_phones import phoned
from tests.torture.killed import FEW_S, START_S, Found, Program
from tests.torture.tally import report

RESCUES = 40
ONCE = ("opened", "line", "tape", "condition")
"""Entries of which each of these jobs has one."""


def keyed(
    count: int, work: Path, *, a_job: int = 25, seed: int = 1, until_s: float = math.inf
) -> Found:
    """Kill the program while a crew types; each job is gone on with so many times."""
    chance = random.Random(seed)  # noqa: S311 - a repeatable choice, no secret
    found = Found()
    while found.goes_on(count, until_s):
        job = work / f"keyed-{found.kills}"
        words = (
            *("listen", str(job), "--tape", str(PACKAGE / "demo" / "tapes" / "full-100.toml")),
            *("--line", "Heron:Alder", "--keys-only", "--output", "none"),
            *("--temperature", "41F", "--tension", "20lb", "--support", "ends"),
        )
        is_there = 0
        for _ in range(a_job):
            if not found.goes_on(count, until_s):
                break
            program = Program(*words)
            typed = _type(program, is_there, chance, found.when)
            if program.kill():
                found.wrong.append("ended by itself: " + " / ".join(program.lines[-3:]))
            found.kills += 1
            told = is_there + len(program.told)
            found.told += len(program.told)
            calls = _look(job, found)
            found.lost += max(0, told - len(calls))
            if len(calls) > is_there + typed or not _are(calls):
                found.doubled += 1
                found.wrong.append(f"{job}: {[each.text for each in calls[-6:]]}")
            is_there = len(calls)
        _finish(words, job, is_there, found)
    return found


def _entries() -> Iterator[tuple[str, str]]:
    """Give what the crew types, one pull after the other: its keys, and the text of its call."""
    number = 0
    while True:
        value = 1000 + number * 37 % 8900
        reading = f"{value // 100}.{value % 100:02}"
        yield f"{reading}\r", reading
        yield "+", "+"
        yield f"{reading}\r", reading
        number += 1


def _from(begin: int, count: int) -> list[tuple[str, str]]:
    """Give entries from one on."""
    entries = _entries()
    return [next(entries) for _ in range(begin + count)][begin:]


def _are(calls: Sequence[Call]) -> bool:
    """Tell whether the calls are those that were typed, each once and in order."""
    return [each.text for each in calls] == [text for _, text in _from(0, len(calls))]


def _type(program: Program, begin: int, chance: random.Random, when: Counter[str]) -> int:
    """Type for a while up to the moment of the kill; give how many entries were typed."""
    if chance.random() < 0.3:
        time.sleep(chance.uniform(0, START_S / 2))
        when["while starting"] += 1
        return 0
    if not program.wait(0, "next:"):
        return 0
    entries = _from(begin, chance.randrange(1, 8))
    moment = chance.choice(("in an entry", "after Enter", "after Enter", "after it was told"))
    when[moment] += 1
    is_burst = chance.random() < 0.5
    for number, (keys, _) in enumerate(entries[:-1], start=1):
        program.type(keys)
        if not is_burst:
            program.wait(number)
    last = entries[-1][0]
    if moment == "in an entry":
        program.type(last[: len(last) // 2])
        time.sleep(chance.uniform(0, FEW_S))
        # a command is one key: half of it is none
        return len(entries) - 1
    program.type(last)
    if moment == "after it was told":
        program.wait(len(entries))
    else:
        time.sleep(chance.uniform(0, 2 * FEW_S))
    return len(entries)


def _finish(words: Sequence[str], job: Path, is_there: int, found: Found) -> None:
    """Measure the pull in progress to its end, stop as a crew does, look at what is booked."""
    left = -is_there % 3 or 3
    program = Program(*words)
    program.wait(0, "next:")
    for number, (keys, _) in enumerate(_from(is_there, left), start=1):
        program.type(keys)
        program.wait(number)
    if program.end():
        found.wrong.append("ended badly: " + " / ".join(program.lines[-3:]))
    calls, segments = _look(job, found), replay_job(job).segments
    wanted = [each.text for each in calls[::3]]
    if not _are(calls) or [f"{each.length_read_ft:.2f}" for each in segments] != wanted:
        found.wrong.append(f"{job}: {len(segments)} pulls are not those that were typed")


def _look(job: Path, found: Found) -> list[Call]:
    """Look at a job after a kill; give its calls."""
    if not is_job(job):
        return []
    proof = verify_job(job)
    if not proof.ok:
        found.wrong.append(f"{job}: {proof.wrong}")
        return []
    with Journal.open(job, read_only=True) as journal:
        kinds = Counter(entry.kind for entry in journal.entries())
    extra = {
        kind: kinds[kind] - 1
        for kind in ONCE
        if kinds[kind] > 1 and (kind != "condition" or "keyed" in job.name)
    }
    if extra:
        found.doubled += sum(extra.values())
        found.wrong.append(f"{job}: more than one of {', '.join(extra)}")
    return replay_job(job).calls


def spoken(
    count: int,
    work: Path,
    *,
    is_finished: bool = True,
    seed: int = 1,
    until_s: float = math.inf,
) -> Found:
    """Kill the program while it listens to a recording, until that is heard to its end."""
    chance = random.Random(seed)  # noqa: S311 - a repeatable choice, no secret
    found = Found()
    lines = load_day().lines
    wanted: dict[str, list[object]] = {}
    number = 0
    while found.goes_on(count, until_s):
        line = lines[number % len(lines)]
        job = work / f"spoken-{number}"
        number += 1
        told: list[tuple[str, str]] = []
        is_over = False
        while not is_over and ((goes_on := found.goes_on(count, until_s)) or is_finished):
            program = Program(*_listen(line, job))
            if goes_on:
                _hear(program, chance, found.when)
                is_over = program.kill()
                found.kills += not is_over
            else:
                program.process.wait()
                is_over = program.kill()
            if is_over and program.process.returncode:
                found.wrong.append("ended badly: " + " / ".join(program.lines[-3:]))
                return found
            told += program.told
            calls = _look(job, found)
            there = Counter((f"{each.start_s:.1f}", each.text or "…") for each in calls)
            found.lost += sum((Counter(told) - there).values())
            twice = len(calls) - len({(each.source, each.start_s) for each in calls})
            if twice:
                found.doubled += twice
                found.wrong.append(f"{job}: {twice} heard twice")
        found.told += len(told)
        if is_over:
            wanted.setdefault(line.name, _unbroken(line, work))
            if _heard(job) != wanted[line.name]:
                found.wrong.append(f"{job}: not what is heard without a kill")
    return found


def _listen(line: DayLine, job: Path) -> tuple[str, ...]:
    return (
        *("listen", str(job), "--tape", str(line.tape), "--line", line.name),
        *("--channels", "head,rear", "--from", str(line.recording)),
        *("--consent", "the synthetic voices"),
    )


def _hear(program: Program, chance: random.Random, when: Counter[str]) -> None:
    """Wait for the moment of the kill."""
    if chance.random() < 0.3:
        when["while starting"] += 1
        time.sleep(chance.uniform(0, START_S))
        return
    moment = chance.choice(("right after a call was told", "while a call was heard"))
    when[moment] += 1
    program.wait(chance.randrange(1, 3))
    time.sleep(chance.uniform(0, FEW_S if moment.startswith("right") else 1.0))


def _heard(job: Path) -> list[object]:
    """Give what a job heard and booked."""
    again = replay_job(job)
    calls = [(each.source, each.start_s, each.kind, each.value, each.name) for each in again.calls]
    segments: list[Segment] = again.segments
    return [*calls, *segments]


def _unbroken(line: DayLine, work: Path) -> list[object]:
    """Listen to a recording without a kill."""
    job = work / f"unbroken-{line.name.replace(':', '-')}"
    command = [sys.executable, "-m", "calllog.cli", *_listen(line, job)]
    subprocess.run(command, check=True, capture_output=True)
    return _heard(job)


def rescued(count: int, job: Path, work: Path, *, seed: int = 1) -> Found:
    """Kill the rescue of a job: the new one is whole or not there, the old one as it was."""
    chance = random.Random(seed)  # noqa: S311 - a repeatable choice, no secret
    found = Found()
    before = {path: path.read_bytes() for path in job.rglob("*") if path.is_file()}
    for number in range(count):
        out = work / f"rescued-{number}"
        program = Program("rescue", str(job), "--out", str(out))
        time.sleep(chance.uniform(START_S / 5, START_S / 2))
        found.when["ended before it" if program.kill() else "while rescuing"] += 1
        found.kills += 1
        if out.exists() and not verify_job(out).ok:
            found.wrong.append(f"{out}: {verify_job(out).wrong}")
        if before != {path: path.read_bytes() for path in job.rglob("*") if path.is_file()}:
            found.wrong.append("the rescued job was changed")
    return found


def at_once(
    work_as: Callable[..., Found], count: int, work: Path, until_s: float, crews: int
) -> Found:
    """Let crews work at once, since most of what they do is wait; each has its own chance."""
    folders = [work / f"crew-{number}" for number in range(crews)]
    for folder in folders:
        folder.mkdir()
    with ThreadPoolExecutor(crews) as pool:
        begun = [
            pool.submit(
                work_as, len(range(number, count, crews)), folder, seed=number + 1, until_s=until_s
            )
            for number, folder in enumerate(folders)
        ]
        return sum((each.result() for each in begun), Found())


def _typed(count: int, work: Path, until_s: float, crews: int) -> dict[str, Found]:
    found = at_once(keyed, count, work, until_s, crews)
    return {"keypad": found, "rescue": rescued(RESCUES, feet_job(work / "whole"), work)}


CREWS: dict[str, tuple[int, Callable[[int, Path, float, int], dict[str, Found]]]] = {
    "keypad": (340, _typed),
    "voice": (330, lambda *asked: {"voice": at_once(spoken, *asked)}),
    "phones": (330, lambda *asked: {"phones": at_once(phoned, *asked)}),
}
"""Who works while the program is killed, and how often it is in a full run."""
PARTS = {"keypad": "crash-keypad", "voice": "crash-voice", "phones": "crash-phones"}
MOST = 2 * (os.cpu_count() or 1)
"""So many crews work at once."""
ENOUGH = 20
"""Kills that are worth a crew of their own."""


def main(who: str, count: int, minutes: float) -> int:
    """Kill the program of some crews, print the table."""
    until_s = time.monotonic() + 60.0 * minutes
    with TemporaryDirectory(prefix="crash-") as name:
        work = Path(name)
        halves = CREWS[who][1](count, work, until_s, max(1, min(MOST, count // ENOUGH)))
        for half, found in halves.items():
            for words in found.wrong[:5]:
                sys.stderr.write(f"{half}: {words}\n")
            if found.wrong:
                shutil.copytree(work, Path(f"{name}-kept"), dirs_exist_ok=True)
        return report(
            PARTS[who],
            [found.tally(f"kill -9, {half}") for half, found in halves.items()],
        )


if __name__ == "__main__":
    crew, *most = sys.argv[1:]
    sys.exit(
        main(
            crew,
            int(most[0]) if most else CREWS[crew][0],
            float(most[1]) if most[1:] else math.inf,
        )
    )
