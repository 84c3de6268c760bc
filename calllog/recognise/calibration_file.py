"""The calibration that a model's folder brings along: a file in, a `ScoreCalibration` out; shell.

``calibration.json`` holds the fields of `calllog.recognise.evidence.ScoreCalibration`, the weights
by the names of `FEATURES`; ``tests.bench.bench_language`` writes it. A folder without one is of the
model of US English, whose calibration stands in the program.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

from calllog.errors import ModelError
from calllog.recognise.encoder import NEXT_STEP, model_bytes
from calllog.recognise.evidence import CALIBRATION, FEATURES, ScoreCalibration

FILE = "calibration.json"


def read_calibration(folder: Path) -> ScoreCalibration:
    """Read the calibration of a model; that of US English if its folder has none.

    Raises:
        ModelError: the file is broken.
    """
    path = folder / FILE
    if not path.exists():
        return CALIBRATION
    try:
        kept = json.loads(model_bytes(path))
        weights = tuple(float(kept["weights"][name]) for name in FEATURES)
        fields = {name: float(value) for name, value in kept.items() if name != "weights"}
        return ScoreCalibration(**fields, weights=weights)
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise ModelError(
            f"this is no calibration of a model: {error!r}", where=str(path), next_step=NEXT_STEP
        ) from error


def calibration_text(calibration: ScoreCalibration) -> str:
    """Write a calibration as its file has it."""
    kept = asdict(calibration)
    kept["weights"] = dict(zip(FEATURES, calibration.weights, strict=True))
    return json.dumps(kept, indent=1) + "\n"
