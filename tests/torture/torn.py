"""Damages a job's files at random, thousands of times: unharmed, or told and rescued.

    python -m tests.torture.torn [COUNT]

The jobs are made by the program itself: one listened to its end, one killed on the way with its
last entries in the write-ahead log alone. Each damage is done to a fresh copy.
"""

from __future__ import annotations

import random
import shutil
import signal
import subprocess
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from tempfile import TemporaryDirectory

from calllog.demo import load_day
from calllog.errors import CalllogError, JournalError
from calllog.journal import Entry, Journal
from calllog.office import Summary, rescue_job, summarise
from calllog.office.summary import verify_job
from calllog.session import Job
from calllog.values import Frozen
from tests.torture.tally import Tally, report

COUNT = 6_000
BY_COMMAND = 100
"""One in so many is put through the installed program as well."""
PAGE = 4096
NO_LINE = "no line has been begun in this job"
Damage = Callable[[Path, random.Random], None]


def flip(path: Path, chance: random.Random) -> None:
    """Flip one bit anywhere."""
    data = bytearray(path.read_bytes())
    data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    path.write_bytes(data)


def tear(path: Path, chance: random.Random) -> None:
    """Write a page in part: what follows in it is of another page, or noise."""
    data = bytearray(path.read_bytes())
    begin = chance.randrange(0, len(data), PAGE)
    end = min(begin + PAGE, len(data))
    at = chance.randrange(begin, end)
    other = chance.randrange(0, len(data), PAGE)
    torn = chance.choice((chance.randbytes(PAGE), bytes(data[other : other + PAGE])))
    data[at:end] = torn[: end - at].ljust(end - at, b"\0")
    path.write_bytes(data)


def cut(path: Path, chance: random.Random) -> None:
    """Cut the file at any byte."""
    data = path.read_bytes()
    path.write_bytes(data[: chance.randrange(len(data))])


def empty(path: Path, _: random.Random) -> None:
    """Leave nothing in the file."""
    path.write_bytes(b"")


def blank(path: Path, chance: random.Random) -> None:
    """Fill a page with zeros."""
    data = bytearray(path.read_bytes())
    at = chance.randrange(0, len(data), PAGE)
    data[at : at + PAGE] = bytes(min(PAGE, len(data) - at))
    path.write_bytes(data)


def swap(path: Path, chance: random.Random) -> None:
    """Let two pages change places."""
    data = path.read_bytes()
    pages = [data[at : at + PAGE] for at in range(0, len(data), PAGE)]
    one, other = chance.randrange(len(pages)), chance.randrange(len(pages))
    pages[one], pages[other] = pages[other], pages[one]
    path.write_bytes(b"".join(pages))


def delete(path: Path, _: random.Random) -> None:
    """Delete the file."""
    path.unlink()


def plant(path: Path, chance: random.Random) -> None:
    """Put a rollback journal beside the database: one that SQLite would take for hot, or noise."""
    magic = bytes.fromhex("d9d505f920a163d7")
    pages = (1).to_bytes(4, "big")
    header = magic + pages + bytes(4) + (3).to_bytes(4, "big") + bytes([0, 0, 2, 0, 0, 0, 16, 0])
    hot = header.ljust(512, b"\0") + chance.randrange(1, 9).to_bytes(4, "big") + bytes(PAGE + 4)
    path.with_name(path.name + "-journal").write_bytes(chance.choice((hot, chance.randbytes(600))))


DATABASE, LOG, SHARED, LAST = "job.sqlite", "job.sqlite-wal", "job.sqlite-shm", "job.last"
DAMAGES: dict[str, tuple[str, Damage]] = {
    "a bit flipped in the database": (DATABASE, flip),
    "a bit flipped in the log": (LOG, flip),
    "a bit flipped in the log's index": (SHARED, flip),
    "a bit flipped in the note of the end": (LAST, flip),
    "a torn page": (DATABASE, tear),
    "a torn page of the log": (LOG, tear),
    "the database cut at any byte": (DATABASE, cut),
    "the log cut at any byte": (LOG, cut),
    "the note of the end cut": (LAST, cut),
    "a zeroed page": (DATABASE, blank),
    "a zeroed page of the log": (LOG, blank),
    "pages swapped": (DATABASE, swap),
    "pages of the log swapped": (LOG, swap),
    "the log deleted": (LOG, delete),
    "the log's index deleted": (SHARED, delete),
    "the note of the end deleted": (LAST, delete),
    "a foreign rollback journal": (DATABASE, plant),
    "an empty database": (DATABASE, empty),
    "the database deleted": (DATABASE, delete),
}
RARE = frozenset({"the log deleted", "an empty database", "the database deleted"})
"""Without chance in them: some of each will do."""


class Base(Frozen):
    """A job to be damaged."""

    folder: Path

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """All that was written."""
        with Journal.open(self.folder, read_only=True) as journal:
            return tuple(journal.entries())

    @cached_property
    def summary(self) -> Summary:
        """What it reports."""
        return summarise(self.folder)


@dataclass
class Found:
    """What became of the damages of one kind."""

    outcomes: Counter[str] = field(default_factory=Counter)
    """Unharmed, rescued, nothing left."""
    carried: int = 0
    """Entries in the rescued jobs."""
    written: int = 0
    """Entries that the jobs rescued had had."""
    wrong: list[str] = field(default_factory=list)
    """What must not be."""


def contents(folder: Path) -> dict[str, bytes]:
    """Read every file below a folder, but for the lock of the writer, which is empty."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.name.startswith("job.lock")
    }


def must(holds: bool, words: object) -> None:  # noqa: FBT001 - what is claimed
    """Claim something of a damaged job.

    Raises:
        AssertionError: it does not hold.
    """
    if not holds:
        raise AssertionError(words)


def same_report(found: Summary, wanted: Summary) -> bool:
    """Tell whether two reports say the same."""
    return (found.corrected, found.replay.notes, found.replay.remarks, found.header.state_hash) == (
        wanted.corrected,
        wanted.replay.notes,
        wanted.replay.remarks,
        wanted.header.state_hash,
    )


def judge(base: Base, folder: Path, found: Found) -> bool:
    """Look at a damaged job with all that reads it; tell whether it is unharmed.

    Raises:
        AssertionError: it was neither unharmed nor told and rescued.
    """
    before = contents(folder)
    try:
        proof = verify_job(folder)
        wrong, next_step = proof.wrong, proof.next_step
    except JournalError as error:
        wrong, next_step = error.what, error.next_step
    try:
        assert same_report(summarise(folder), base.summary), "another report, silently"
    except JournalError as error:
        must(bool(wrong), f"refused though it verifies: {error}")
        must("calllog rescue" in error.next_step, error)
    assert contents(folder) == before, "reading changed the job"
    if not wrong:
        assert proof.state_hash == base.entries[-1].hash, "another journal that verifies"
        with Job.open_existing(folder) as job:
            assert not job.replay.wrong
        with Journal.open(folder, read_only=True) as journal:
            assert tuple(journal.entries()) == base.entries, "opening for work changed the journal"
        found.outcomes["unharmed"] += 1
        return True
    assert "calllog rescue" in next_step, next_step
    _rescued(base, folder, found)
    assert contents(folder) == before, "the rescue changed the job"
    try:
        Job.open_existing(folder).close()
    except JournalError as error:
        must("calllog rescue" in error.next_step, error)
    else:
        message = f"opened for work though {wrong}"
        raise AssertionError(message)
    assert contents(folder) == before, "refusing to open changed the job"
    return False


def _rescued(base: Base, folder: Path, found: Found) -> None:
    """Rescue a damaged job, and look at what came of it."""
    out = folder.with_name("rescued")
    try:
        told = rescue_job(folder, out)
    except JournalError as error:
        must(error.what.startswith("nothing can be rescued") and not out.exists(), error)
        found.outcomes["nothing left"] += 1
        return
    with Journal.open(out, read_only=True) as journal:
        entries = tuple(journal.entries())
    assert entries[: told.entries] == base.entries[: told.entries], "not what was written"
    assert entries[-1].kind == "rescued"
    assert told.entries + told.lost <= len(base.entries)
    assert told.apart <= told.lost
    assert verify_job(out).ok
    try:
        again = summarise(out)
        assert again.header.rescued[-1].entries == told.entries
    except JournalError as error:
        must(error.what == NO_LINE, error)
    whole, carried = contents(folder), contents(out)
    assert all(
        carried[name] == data for name, data in whole.items() if not name.startswith("job.")
    ), "a file is missing"
    found.outcomes["rescued"] += 1
    found.carried += told.entries
    found.written += len(base.entries)


def by_command(folder: Path, *, is_whole: bool) -> None:
    """Put a damaged job through the program as it is installed."""
    codes = {}
    for words in (("verify",), ("report",), ("rescue", "--out", str(folder.with_name("again")))):
        done = subprocess.run(
            [sys.executable, "-m", "calllog.cli", words[0], str(folder), *words[1:]],
            capture_output=True,
            text=True,
            check=False,
        )
        codes[words[0]] = done.returncode
        assert done.returncode in (0, 1), done.stderr
        assert "Traceback" not in done.stderr + done.stdout
        if words[0] != "rescue":
            assert done.returncode == 0 or "calllog rescue" in done.stderr, done.stderr
    assert (codes["verify"] == 0) == is_whole


def torture(
    bases: Iterable[Base], count: int, work: Path, *, seed: int = 1, has_commands: bool = False
) -> dict[str, Found]:
    """Damage copies of jobs, so often in all; give what became of each kind of damage."""
    chance = random.Random(seed)  # noqa: S311 - a repeatable choice, no secret
    bases = list(bases)
    found: dict[str, Found] = defaultdict(Found)
    kinds = list(DAMAGES)
    for number in range(count):
        base = bases[number % len(bases)]
        kind = chance.choice(kinds)
        while kind in RARE and chance.random() < 0.9:
            kind = chance.choice(kinds)
        name, damage = DAMAGES[kind]
        if not (base.folder / name).exists() or not (base.folder / name).stat().st_size:
            kind = "a bit flipped in the database"
            name, damage = DAMAGES[kind]
        case = work / "case"
        folder = case / "job"
        shutil.copytree(base.folder, folder)
        damage(folder / name, chance)
        kept = work / "kept"
        shutil.copytree(folder, kept)
        try:
            is_whole = judge(base, folder, found[kind])
            if has_commands and number % BY_COMMAND == 0:
                shutil.rmtree(case)
                shutil.copytree(kept, folder)
                by_command(folder, is_whole=is_whole)
        except Exception as error:  # noqa: BLE001 - whatever it was, it must not be
            found[kind].wrong.append(f"{type(error).__name__}: {error}")
            shutil.copytree(kept, work / f"wrong-{number}")
        shutil.rmtree(case)
        shutil.rmtree(kept)
    return found


def make_bases(work: Path) -> list[Base]:
    """Let the program make two jobs: one at rest, one killed with its end in the log."""
    line = load_day().lines[0]
    listen = ("--tape", str(line.tape), "--line", line.name, "--channels", "head,rear")
    bases = []
    for name in ("rest", "killed"):
        command = [sys.executable, "-m", "calllog.cli", "listen", str(work / name), *listen]
        with subprocess.Popen(
            [*command, "--from", str(line.recording)], stdout=subprocess.PIPE, text=True
        ) as child:
            assert child.stdout is not None
            booked = 0
            for words in child.stdout:
                booked += " recorded: " in words
                if name == "killed" and booked == 2:
                    child.send_signal(signal.SIGKILL)
        bases.append(Base(folder=work / name))
    assert (bases[1].folder / LOG).stat().st_size > 0
    return bases


def tallies(found: dict[str, Found]) -> list[Tally]:
    """Give the lines of the table, and all of it."""
    lines = []
    for kind in sorted(found):
        each = found[kind]
        counted = ", ".join(f"{name} {number}" for name, number in sorted(each.outcomes.items()))
        share = f"; {each.carried / each.written:.0%} of entries carried" if each.written else ""
        tried = each.outcomes.total() + len(each.wrong)
        lines.append(Tally(kind, tried, each.outcomes.total(), note=counted + share))
    return lines


def main(count: int) -> int:
    """Make the jobs, damage them, print the table."""
    with TemporaryDirectory(prefix="torn-") as name:
        work = Path(name)
        found = torture(make_bases(work), count, work, has_commands=True)
        for kind, each in found.items():
            for words in each.wrong[:5]:
                sys.stderr.write(f"{kind}: {words}\n")
        return report("torn", tallies(found))


if __name__ == "__main__":
    try:
        sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else COUNT))
    except CalllogError as error:
        sys.exit(str(error))
