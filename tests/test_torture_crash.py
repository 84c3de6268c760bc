"""A small torture by SIGKILL: what was told is there afterwards, once."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from tests.golden.make_jobs import feet_job
from tests.measured.results import FOLDER_NAME, ROOT, Results
from tests.torture.crash import at_once, keyed, rescued, spoken
from tests.torture.killed import TOLD, Found


@pytest.mark.slow
def test_keypad_crew_loses_nothing_by_kills(tmp_path: Path) -> None:
    """Killed at random moments and gone on with: all that was told is there, nothing twice."""
    found = keyed(6, tmp_path, a_job=6, seed=4)
    assert (found.wrong, found.lost, found.doubled) == ([], 0, 0)
    assert found.kills == 6
    assert found.told > 0


@pytest.mark.slow
def test_voice_crew_loses_nothing_by_kills(tmp_path: Path) -> None:
    """The same for a recording that is listened to."""
    found = spoken(2, tmp_path, is_finished=False, seed=2)
    assert (found.wrong, found.lost, found.doubled) == ([], 0, 0)
    assert found.kills == 2


@pytest.mark.slow
def test_chief_on_a_phone_loses_nothing_by_kills() -> None:
    """The same for orders that were answered; what was not is sent again and counts once.

    In a process of its own, since a test itself may not connect to anything.
    """
    command = [sys.executable, "-m", "tests.torture.crash", "phones", "4"]
    environment = {name: each for name, each in os.environ.items() if name != FOLDER_NAME}
    done = subprocess.run(
        command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=600
    )
    assert done.returncode == 0, done.stderr
    (row,) = Results.model_validate_json(done.stdout).table("faults").rows
    assert row[:5] == ("kill -9, phones", 4, 4, 0, 0)
    assert not str(row[5]).startswith("0 calls told")


@pytest.mark.slow
def test_killed_rescue_leaves_a_whole_job_or_none(tmp_path: Path) -> None:
    """A rescue that is killed harms neither job."""
    found = rescued(3, feet_job(tmp_path / "job"), tmp_path)
    assert found.wrong == []


def test_crews_at_once_share_the_kills(tmp_path: Path) -> None:
    """Each in a folder of its own, by a chance of its own; what they came to is added up."""

    def work(count: int, folder: Path, *, seed: int, until_s: float) -> Found:
        assert folder.is_dir()
        assert until_s == 9.0
        return Found(kills=count, told=seed, when=Counter({"late": count}), wrong=[folder.name])

    found = at_once(work, 10, tmp_path, 9.0, 3)
    assert (found.kills, found.told, found.when["late"]) == (10, 6, 10)
    assert len(set(found.wrong)) == 3


def test_lines_of_the_log_are_understood() -> None:
    """What counts as told is read from the log's own form."""
    lines = (
        "    24.0 s  rear    sixty four                    98%",
        "     1.5 s  head  · …                             99%  (no call could be made out)",
        "     1.5 s          15.42                       typed",
        "            = pull 1 recorded: 15.42 ft (agreed)",
    )
    told = [found.groups() if (found := TOLD.match(line)) else None for line in lines]
    assert told == [("24.0", "sixty four"), ("1.5", "…"), ("1.5", "15.42"), None]
    assert not Found(kills=2, wrong=["x"]).tally("x").passed
    assert not Found(kills=2, lost=1).tally("x").passed
