"""The program in a process of its own that is killed, and what kills came to; shell."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys
import threading
import time
from collections import Counter
from dataclasses import dataclass, field, fields
from typing import IO

from tests.torture.tally import Tally

TOLD = re.compile(r"^ *(\d+\.\d) s  (?:head|rear)? *[ ?·] (.*?) +(?:\d+%|typed)(?:  \(.*\))?$")
"""A call in the log: when, and what."""
START_S = 3.5
"""About what it takes to start, and to hear the first call."""
FEW_S = 0.04
GIVEN_UP_S = 180.0


@dataclass
class Found:
    """What the kills came to."""

    kills: int = 0
    told: int = 0
    """Calls that were told before a kill."""
    lost: int = 0
    doubled: int = 0
    when: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    """What must not be."""

    def __add__(self, other: Found) -> Found:
        """Count what two crews came to."""
        return Found(
            *(getattr(self, each.name) + getattr(other, each.name) for each in fields(self))
        )

    def goes_on(self, count: int, until_s: float) -> bool:
        """Whether there is to be another kill."""
        return self.kills < count and time.monotonic() < until_s

    def tally(self, fault: str) -> Tally:
        """Give the line of the table."""
        spread = ", ".join(f"{number} {when}" for when, number in sorted(self.when.items()))
        note = f"{self.told} calls told before a kill; kills: {spread}"
        return Tally(fault, self.kills, self.kills - len(self.wrong), self.lost, self.doubled, note)


class Program:
    """The program in a process of its own, its log read as it comes, keys into its terminal."""

    def __init__(self, *words: str) -> None:
        ours, theirs = pty.openpty()
        self._keys = ours
        self.lines: list[str] = []
        self._came = threading.Condition()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "calllog.cli", *words],
            stdin=theirs,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        os.close(theirs)
        assert self.process.stdout is not None
        self._reader = threading.Thread(target=self._read, args=(self.process.stdout,), daemon=True)
        self._reader.start()

    @property
    def told(self) -> list[tuple[str, str]]:
        """The calls in its log so far: when, and what."""
        return [found.groups() for line in self.lines if (found := TOLD.match(line))]  # type: ignore[misc]

    def type(self, keys: str) -> None:
        """Type keys, all at once."""
        os.write(self._keys, keys.encode())

    def wait(self, told: int, words: str = "") -> bool:
        """Wait until so many calls are told, and words seen; False if it ended before."""
        deadline = time.monotonic() + GIVEN_UP_S
        with self._came:
            while len(self.told) < told or not any(words in line for line in self.lines):
                if not self._reader.is_alive() or time.monotonic() > deadline:
                    return False
                self._came.wait(0.1)
        return True

    def kill(self) -> bool:
        """Kill it, and take what it had still said; tell whether it had ended by itself."""
        ended = self.process.poll() is not None
        self.process.kill()
        self._close()
        return ended

    def end(self) -> int:
        """Interrupt it as Ctrl-C does; give its exit code."""
        self.process.send_signal(2)
        self.process.wait(GIVEN_UP_S)
        self._close()
        return self.process.returncode

    def _read(self, stream: IO[str]) -> None:
        for line in stream:
            with self._came:
                self.lines.append(line.rstrip("\n"))
                self._came.notify_all()

    def _close(self) -> None:
        self.process.wait()
        self._reader.join()
        os.close(self._keys)
        assert self.process.stdout is not None
        self.process.stdout.close()
