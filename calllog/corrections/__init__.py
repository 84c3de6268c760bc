"""What is added to a length read to get the true horizontal length, each part apart; pure."""

from calllog.corrections.arrays import CorrectionArrays, Pulls, correct_arrays
from calllog.corrections.budget import (
    BudgetRow,
    LineBudget,
    Prospect,
    SegmentUncertainty,
    length_budget,
    line_budget,
    segment_uncertainties,
    segment_uncertainty,
)
from calllog.corrections.catenary import catenary_sag, chord, mean_pull
from calllog.corrections.correct import NEGLIGIBLE_FT, correct, throughout_length_ft, work
from calllog.corrections.doubts import doubts
from calllog.corrections.formulas import (
    EARTH_RADIUS_FT,
    Quantity,
    elevation,
    elevation_first_order,
    equal_spans_sag,
    off_line,
    sag,
    slope,
    slope_angle,
    slope_first_order,
    slope_percent,
    span_sag,
    standardisation,
    temperature,
    tension,
)
from calllog.corrections.layout import (
    Layout,
    PocketRow,
    TruePull,
    layout_reading,
    pocket_table,
    true_pull,
)
from calllog.corrections.made_of import least_read_ft, made_of, pull_lengths_ft, reach_ft
from calllog.corrections.practice import IMPROVEMENTS, PRACTICE, Improvement, Practice
from calllog.corrections.sensitivity import combine_pulls, pull_components
from calllog.corrections.situation import End, Situation
from calllog.corrections.statement import Part, Statement, state
from calllog.corrections.tensions import normal_tension, tension_of_accuracy
from calllog.corrections.validity import Validity, validity_table

__all__ = [
    "EARTH_RADIUS_FT",
    "IMPROVEMENTS",
    "NEGLIGIBLE_FT",
    "PRACTICE",
    "BudgetRow",
    "CorrectionArrays",
    "End",
    "Improvement",
    "Layout",
    "LineBudget",
    "Part",
    "PocketRow",
    "Practice",
    "Prospect",
    "Pulls",
    "Quantity",
    "SegmentUncertainty",
    "Situation",
    "Statement",
    "TruePull",
    "Validity",
    "catenary_sag",
    "chord",
    "combine_pulls",
    "correct",
    "correct_arrays",
    "doubts",
    "elevation",
    "elevation_first_order",
    "equal_spans_sag",
    "layout_reading",
    "least_read_ft",
    "length_budget",
    "line_budget",
    "made_of",
    "mean_pull",
    "normal_tension",
    "off_line",
    "pocket_table",
    "pull_components",
    "pull_lengths_ft",
    "reach_ft",
    "sag",
    "segment_uncertainties",
    "segment_uncertainty",
    "slope",
    "slope_angle",
    "slope_first_order",
    "slope_percent",
    "span_sag",
    "standardisation",
    "state",
    "temperature",
    "tension",
    "tension_of_accuracy",
    "throughout_length_ft",
    "true_pull",
    "validity_table",
    "work",
]
