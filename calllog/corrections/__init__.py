"""What is added to a length read to get the true horizontal length, each part apart; pure."""

from calllog.corrections.arrays import CorrectionArrays, Pulls, correct_arrays
from calllog.corrections.budget import (
    BudgetRow,
    LineBudget,
    Prospect,
    SegmentUncertainty,
    line_budget,
    segment_uncertainties,
    segment_uncertainty,
)
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
from calllog.corrections.practice import IMPROVEMENTS, PRACTICE, Improvement, Practice
from calllog.corrections.sensitivity import combine_pulls, pull_components

__all__ = [
    "IMPROVEMENTS",
    "PRACTICE",
    "BudgetRow",
    "CorrectionArrays",
    "Improvement",
    "LineBudget",
    "Practice",
    "Prospect",
    "Pulls",
    "Quantity",
    "SegmentUncertainty",
    "combine_pulls",
    "correct",
    "correct_arrays",
    "equal_spans_sag",
    "line_budget",
    "pull_components",
    "sag",
    "segment_uncertainties",
    "segment_uncertainty",
    "slope",
    "slope_first_order",
    "span_sag",
    "standardisation",
    "temperature",
    "tension",
    "throughout_length_ft",
]
