"""The detector: one thread, and no trace of how that is reached."""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
import pytest

from calllog.audio.detector import FORGETS, WINDOW, Detector

COUNT_THREADS = """
import os, numpy as np
from calllog.audio.detector import Detector
before = len(os.listdir("/proc/self/task"))
detector = Detector()
for _ in range(20):
    detector.hears_speech(np.zeros(512, np.float32))
print(len(os.listdir("/proc/self/task")) - before)
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="counts threads in /proc")
def test_the_detector_starts_no_threads() -> None:
    """Hearing leaves the other cores to the recogniser: no thread is added."""
    environment = {k: v for k, v in os.environ.items() if k != "OMP_THREAD_LIMIT"}
    done = subprocess.run(
        [sys.executable, "-c", COUNT_THREADS],
        capture_output=True,
        text=True,
        check=True,
        env=environment | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert done.stdout.split() == ["0"]


@pytest.mark.parametrize("given", [None, "2"])
def test_the_environment_stays_as_it_was(
    monkeypatch: pytest.MonkeyPatch, given: str | None
) -> None:
    """What is set for the loading of the network does not reach other programs."""
    if given is None:
        monkeypatch.delenv("OMP_THREAD_LIMIT", raising=False)
    else:
        monkeypatch.setenv("OMP_THREAD_LIMIT", given)
    Detector()
    assert os.environ.get("OMP_THREAD_LIMIT") == given


def test_two_detectors_share_no_memory() -> None:
    """What one channel has heard does not change what the other one hears."""
    rng = np.random.default_rng(4)
    windows = [rng.standard_normal(WINDOW).astype(np.float32) * 0.1 for _ in range(40)]
    alone, beside, other = Detector(), Detector(), Detector()
    expected = [alone.probability(w) for w in windows]
    got = []
    for window in windows:
        got.append(beside.probability(window))
        other.hears_speech(window[::-1].copy())
    assert got == expected


class Counted:
    """A network that hears speech where a window begins above 0.5; counts how often it began."""

    def __init__(self) -> None:
        self.begun = 0

    def process_samples(self, samples: list[float]) -> float:
        """Hear a window."""
        return float(samples[0] > 0.5)

    def reset(self) -> None:
        """Begin anew."""
        self.begun += 1


def test_the_network_begins_anew_after_silence_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every 4 s without speech; speech, however short, puts it off."""
    detector, network = Detector(), Counted()
    monkeypatch.setattr(detector, "_network", network)
    silence, speech = np.zeros(WINDOW, np.float32), np.ones(WINDOW, np.float32)
    for _ in range(FORGETS - 1):
        assert not detector.hears_speech(silence)
    assert detector.hears_speech(speech)
    for _ in range(FORGETS - 1):
        detector.hears_speech(silence)
    assert network.begun == 0
    detector.hears_speech(silence)
    assert network.begun == 1
    for _ in range(2 * FORGETS):
        detector.hears_speech(silence)
    assert network.begun == 3
