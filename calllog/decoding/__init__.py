"""Weighs all that was heard of a pull together: take and check, misheard or misread; pure."""

from calllog.decoding.arithmetic import Arithmetic, arithmetic_of
from calllog.decoding.decision import Action, Doubt, Verdict, Weighed, costs_of, decide
from calllog.decoding.edition import edition_of_new_line, is_fitted
from calllog.decoding.evidence import (
    ALONE,
    CALIBRATIONS,
    NEWEST,
    Calibration,
    CalledPart,
    Noise,
    Part,
    likelihood,
    utterance,
)
from calllog.decoding.posterior import Posterior, decode
from calllog.decoding.repeatability import KEPT, repeatability
from calllog.decoding.space import Space, Vector, space

__all__ = [
    "ALONE",
    "CALIBRATIONS",
    "KEPT",
    "NEWEST",
    "Action",
    "Arithmetic",
    "Calibration",
    "CalledPart",
    "Doubt",
    "Noise",
    "Part",
    "Posterior",
    "Space",
    "Vector",
    "Verdict",
    "Weighed",
    "arithmetic_of",
    "costs_of",
    "decide",
    "decode",
    "edition_of_new_line",
    "is_fitted",
    "likelihood",
    "repeatability",
    "space",
    "utterance",
]
