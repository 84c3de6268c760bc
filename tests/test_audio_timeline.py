"""Capture times from arrivals: jitter, drift, gaps, and what systems say wrongly."""

from __future__ import annotations

import numpy as np
import pytest

from calllog.audio.timeline import Timeline

FRAMES = 512
RATE_HZ = 16_000
BLOCK_S = FRAMES / RATE_HZ


def arrivals(count: int, *, seed: int = 1) -> list[float]:
    """Make the arrivals of blocks, each late by up to 20 ms."""
    late = np.random.default_rng(seed).uniform(0.0, 0.02, count)
    return [100.0 + (n + 1) * BLOCK_S + late[n] for n in range(count)]


def test_jitter_is_taken_off() -> None:
    """Once a few blocks have come, the first sample's time is known to 5 ms."""
    line = Timeline(RATE_HZ)
    for arrival_s in arrivals(60):
        assert line.note(arrival_s, FRAMES, None) == 0.0
    assert line.origin_s == pytest.approx(100.0, abs=0.005)


def test_drift_is_followed() -> None:
    """A device clock 200 millionths slow is 0.12 s behind after ten minutes, and no gap."""
    line = Timeline(RATE_HZ)
    gaps = [
        line.note(100.0 + (arrival_s - 100.0) * 1.0002, FRAMES, None)
        for arrival_s in arrivals(int(600 / BLOCK_S))
    ]
    assert not any(gaps)
    assert line.origin_s == pytest.approx(100.12, abs=0.01)


def test_gap_is_found_once() -> None:
    """Half a second lost in between is told once, with its length, and times are right after."""
    line = Timeline(RATE_HZ)
    gaps = [
        line.note(arrival_s + (0.5 if n >= 50 else 0.0), FRAMES, None)
        for n, arrival_s in enumerate(arrivals(120))
    ]
    found = [(n, gap) for n, gap in enumerate(gaps) if gap]
    assert len(found) == 1
    assert found[0][0] - 50 <= 16
    assert found[0][1] == pytest.approx(0.5, abs=0.03)
    assert line.origin_s == pytest.approx(100.5, abs=0.01)


def test_busy_computer_is_no_gap() -> None:
    """Blocks held back for two seconds and handed over at once miss nothing."""
    line = Timeline(RATE_HZ)
    times = arrivals(200)
    held = [max(arrival_s, 104.0) if arrival_s > 102.0 else arrival_s for arrival_s in times]
    assert not any(line.note(arrival_s, FRAMES, None) for arrival_s in held)
    assert line.origin_s == pytest.approx(100.0, abs=0.01)


def test_constant_delay_is_taken_off() -> None:
    """A system that is 40 ms behind and says so gives times that are right a minute later."""
    line = Timeline(RATE_HZ)
    for arrival_s in arrivals(int(60 / BLOCK_S)):
        line.note(arrival_s + 0.04, FRAMES, BLOCK_S + 0.04)
    assert line.origin_s == pytest.approx(100.0, abs=0.005)


@pytest.mark.parametrize("wrong_s", [0.0, 0.6, 2.0])
def test_wrong_delay_passes(wrong_s: float) -> None:
    """A wrong age in the first second is no gap, and moves the times by 1 ms."""
    line = Timeline(RATE_HZ)
    for n, arrival_s in enumerate(arrivals(90)):
        assert line.note(arrival_s, FRAMES, wrong_s if n < 30 else BLOCK_S) == 0.0
        assert 99.995 < line.origin_s < 100.03
    assert line.origin_s == pytest.approx(100.0, abs=0.005)


def test_restart_takes_the_arrival() -> None:
    """After samples are known to be missing, the next block's arrival counts at once."""
    line = Timeline(RATE_HZ)
    times = arrivals(60)
    for arrival_s in times[:40]:
        line.note(arrival_s, FRAMES, None)
    line.restart()
    line.note(times[40] + 0.3, FRAMES, None)
    assert line.origin_s == pytest.approx(100.3, abs=0.025)
