"""Ctrl-C at any moment of `listen`: what was recorded and how to go on is the last thing said."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest
import typer

from calllog.commands.told import told_when_interrupted
from calllog.session import Job
from calllog.wording import ENGLISH
from tests.crew import settings
from tests.test_session_live import ADD


def interrupted(folder: Path) -> int:
    """Interrupt work in a folder; give the exit code."""
    with pytest.raises(typer.Exit) as ended, told_when_interrupted(folder, ENGLISH):
        raise KeyboardInterrupt
    return ended.value.exit_code


def test_interrupted_work_says_what_is_booked_and_how_to_go_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """While a model loads, while the last call is heard, in the middle of a recording."""
    before = signal.getsignal(signal.SIGINT)
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings(), ADD)
    assert interrupted(tmp_path / "job") == 130
    said = capsys.readouterr().out
    assert "0 pulls recorded; pull 1 waits for the first." in said
    assert said.endswith("The same command goes on from here.\n")
    assert signal.getsignal(signal.SIGINT) is before


def test_interrupted_before_the_job_is_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is recorded yet, and that is said."""
    assert interrupted(tmp_path / "job") == 130
    assert capsys.readouterr().out == "Nothing was recorded; the same command begins the job.\n"
