"""A command as it is typed, run in this process: loading all of calllog anew takes a second.

Each kind of command is run as a process of its own too, by `tests.test_readme`, by the tests of the
field and by those of the wheel.
"""

from __future__ import annotations

import contextlib
import io
import subprocess
import sys
from pathlib import Path
from unittest import mock

from calllog import children
from calllog.cli import main


def run(*words: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run a command to its end; give exit code, output and errors as a process would.

    Args:
        words: what stands after ``calllog``.
        cwd: the folder in which it is run; the current one by default.
    """
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", write_through=True) for _ in range(2))
    code = 0
    with contextlib.ExitStack() as stack:
        stack.enter_context(children.guarded())
        stack.enter_context(mock.patch.object(sys, "argv", ["calllog", *words]))
        if cwd is not None:
            stack.enter_context(contextlib.chdir(cwd))
        stack.enter_context(contextlib.redirect_stdout(out))
        stack.enter_context(contextlib.redirect_stderr(err))
        try:
            main()
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else int(end.code is not None)
    said, faults = (each.buffer.getvalue().decode() for each in (out, err))
    return subprocess.CompletedProcess(words, code, said, faults)
