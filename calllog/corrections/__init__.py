"""What is added to a length read to get the true horizontal length, each part apart; pure."""

from calllog.corrections.correct import correct, throughout_length_ft
from calllog.corrections.formulas import (
    Quantity,
    equal_spans_sag,
    sag,
    slope,
    slope_first_order,
    span_sag,
    standardisation,
    temperature,
    tension,
)

__all__ = [
    "Quantity",
    "correct",
    "equal_spans_sag",
    "sag",
    "slope",
    "slope_first_order",
    "span_sag",
    "standardisation",
    "temperature",
    "tension",
    "throughout_length_ft",
]
