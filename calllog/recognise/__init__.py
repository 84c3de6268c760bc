"""Recognisers behind one protocol, and what their hypotheses mean; shell."""

from calllog.recognise.engine import Hypothesis, Recogniser
from calllog.recognise.understand import SURE, TENTATIVE, Heard, remark, unclear, understand

__all__ = [
    "SURE",
    "TENTATIVE",
    "Heard",
    "Hypothesis",
    "Recogniser",
    "remark",
    "unclear",
    "understand",
]
