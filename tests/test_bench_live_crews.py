"""The benchmark of live crews: people call by other recordings than their voices are learned by."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import soundfile

from calllog.audio import RATE_HZ
from calllog.audio.endpoint import Samples
from tests.bench.bench_live_crews import CALLED, figures_said
from tests.bench.people import BETWEEN_S

FIGURES = ("four", "two")
RECORDINGS = 50


def levels_of(sound: Samples) -> list[int]:
    """Tell which recordings stand in a sound, each of which is as loud as its number."""
    loud = np.flatnonzero(sound)
    parts = np.split(loud, np.flatnonzero(np.diff(loud) > BETWEEN_S[0] * RATE_HZ / 2) + 1)
    return [round(100.0 * float(np.median(sound[each]))) for each in parts]


def test_people_call_by_recordings_that_nothing_was_learned_from(tmp_path: Path) -> None:
    """Each number is put together of one recording of each figure, with a pause between them."""
    for figure, number in ((figure, number) for figure in (4, 2) for number in range(RECORDINGS)):
        sound = np.full(RATE_HZ // 4, (number + 1) / 100.0, np.float32)
        soundfile.write(tmp_path / f"{figure}_{number:02}.flac", sound, RATE_HZ)
    rng = random.Random(3)  # noqa: S311 - no secret
    used: dict[bool, set[int]] = {}
    for is_called, which in ((True, CALLED), (False, slice(CALLED.start))):
        drawn = [levels_of(figures_said(tmp_path, FIGURES, which, rng)) for _ in range(60)]
        assert {len(each) for each in drawn} == {2}
        used[is_called] = {level for each in drawn for level in each}
    assert used[True].isdisjoint(used[False])
    assert min(map(len, used.values())) > RECORDINGS // 4
