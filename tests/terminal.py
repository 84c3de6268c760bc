"""The program in a terminal of its own: keys in, what it shows out."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
import termios
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

PATIENCE_S = 90.0
"""A busy computer lets a program wait; one that hangs does so longer."""


class Terminal:
    """The program in a terminal of its own."""

    def __init__(
        self,
        env: dict[str, str],
        *words: str,
        cwd: Path | None = None,
        module: str = "calllog.cli",
    ) -> None:
        ours, theirs = pty.openpty()
        self._fd = ours
        self.seen = b""
        self.program = subprocess.Popen(
            [sys.executable, "-m", module, *words],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            env={**env, "TERM": "xterm-256color", "COLUMNS": "80", "LINES": "24"},
            cwd=cwd,
            start_new_session=True,
        )
        os.close(theirs)
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        while True:
            try:
                if select.select([self._fd], [], [], 0.2)[0]:
                    self.seen += os.read(self._fd, 65536)
            except OSError:
                return

    @property
    def attributes(self) -> list[Any]:
        """How the terminal is set, as `termios` has it."""
        return termios.tcgetattr(self._fd)

    def type(self, keys: str) -> None:
        """Type keys, one after the other as a hand does."""
        for key in keys:
            os.write(self._fd, key.encode())
            time.sleep(0.05)

    def end(self) -> int:
        """Interrupt it as Ctrl-C does; give its exit code."""
        self.program.send_signal(2)
        return self.program.wait(PATIENCE_S)

    def kill(self) -> None:
        """Take its power away."""
        self.program.kill()
        self.program.wait()

    def close(self) -> None:
        """Leave nothing behind."""
        self.kill()
        self._reader.join(2)
        os.close(self._fd)


def wait_for(
    condition: Callable[[], bool], terminal: Terminal, seconds: float = PATIENCE_S
) -> None:
    """Wait until something holds; say what the screen showed if it does not."""
    deadline = time.monotonic() + seconds
    while not condition():
        assert terminal.program.poll() is None, terminal.seen[-3000:].decode("utf-8", "replace")
        assert time.monotonic() < deadline, terminal.seen[-3000:].decode("utf-8", "replace")
        time.sleep(0.1)
