"""Recognisers behind one protocol, and what their hypotheses mean; shell."""

from calllog.recognise.engine import Hypothesis, Recogniser
from calllog.recognise.understand import Heard, remark, understand

__all__ = ["Heard", "Hypothesis", "Recogniser", "remark", "understand"]
