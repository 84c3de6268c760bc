"""Weighs all that was heard of a pull together: take and check, misheard or misread; pure."""

from calllog.decoding.blunders import BLUNDERS, SAME, UNRELATED
from calllog.decoding.decision import (
    COSTS,
    MOST_ASKED,
    Action,
    Costs,
    Doubt,
    Verdict,
    Weighed,
    decide,
)
from calllog.decoding.edition import edition_of_new_line
from calllog.decoding.evidence import (
    ALONE,
    CALIBRATIONS,
    KEYED_WRONG,
    NEWEST,
    Calibration,
    CalledPart,
    Noise,
    Part,
    likelihood,
    utterance,
)
from calllog.decoding.posterior import Explanation, Posterior, decode
from calllog.decoding.repeatability import KEPT, repeatability
from calllog.decoding.space import Space, Vector, space

__all__ = [
    "ALONE",
    "BLUNDERS",
    "CALIBRATIONS",
    "COSTS",
    "KEPT",
    "KEYED_WRONG",
    "MOST_ASKED",
    "NEWEST",
    "SAME",
    "UNRELATED",
    "Action",
    "Calibration",
    "CalledPart",
    "Costs",
    "Doubt",
    "Explanation",
    "Noise",
    "Part",
    "Posterior",
    "Space",
    "Vector",
    "Verdict",
    "Weighed",
    "decide",
    "decode",
    "edition_of_new_line",
    "likelihood",
    "repeatability",
    "space",
    "utterance",
]
