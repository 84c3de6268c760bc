"""The calibration that a model's folder brings along: a file in, a `Calibration` out; shell.

``calibration.json`` holds the fields of `calllog.recognise.evidence.Calibration`, the weights by
the names of `FEATURES`; ``tests.bench.fit_language`` writes it. A folder without one is of the
numbers or the encoder model of US English, whose calibration stands in the program.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

from calllog.errors import ModelError
from calllog.recognise.evidence import FEATURES, Calibration
from calllog.recognise.kaldi_model import NEXT_STEP
from calllog.recognise.model_files import model_bytes

FILE = "calibration.json"


def read_calibration(folder: Path) -> Calibration | None:
    """Read the calibration of a model; None if its folder has none.

    Raises:
        ModelError: the file is broken.
    """
    path = folder / FILE
    if not path.exists():
        return None
    try:
        kept = json.loads(model_bytes(path))
        weights = tuple(float(kept["weights"][name]) for name in FEATURES)
        fields = {name: float(value) for name, value in kept.items() if name != "weights"}
        return Calibration(**fields, weights=weights)
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise ModelError(
            f"this is no calibration of a model: {error!r}", where=str(path), next_step=NEXT_STEP
        ) from error


def calibration_text(calibration: Calibration) -> str:
    """Write a calibration as its file has it."""
    kept = asdict(calibration)
    kept["weights"] = dict(zip(FEATURES, calibration.weights, strict=True))
    return json.dumps(kept, indent=1) + "\n"
