"""What is added to a length read to get the true horizontal length, each part apart; pure."""

from calllog.corrections.arrays import CorrectionArrays
from calllog.corrections.budget import (
    LineBudget,
    Reduced,
    SegmentUncertainty,
    length_budget,
    line_budget,
    reduce_segments,
)
from calllog.corrections.catenary import chord
from calllog.corrections.correct import work
from calllog.corrections.doubts import doubts
from calllog.corrections.formulas import (
    Quantity,
    elevation,
    elevation_first_order,
    equal_spans_sag,
    off_line,
    slope,
    slope_first_order,
    slope_sine,
    span_sag,
    standardisation,
    temperature,
    tension,
)
from calllog.corrections.hanging import NEGLIGIBLE_FT, throughout_length_ft
from calllog.corrections.layout import (
    Layout,
    PocketRow,
    TruePull,
    layout_reading,
    pocket_table,
    true_pull,
)
from calllog.corrections.made_of import counted, least_read_ft, made_of, pull_lengths_ft
from calllog.corrections.practice import PRACTICE, Practice
from calllog.corrections.pulls import Pulls
from calllog.corrections.sensitivity import combine_pulls
from calllog.corrections.situation import End, Situation
from calllog.corrections.statement import Statement, assumptions, state
from calllog.corrections.tensions import normal_tension, tension_of_accuracy

__all__ = [
    "NEGLIGIBLE_FT",
    "PRACTICE",
    "CorrectionArrays",
    "End",
    "Layout",
    "LineBudget",
    "PocketRow",
    "Practice",
    "Pulls",
    "Quantity",
    "Reduced",
    "SegmentUncertainty",
    "Situation",
    "Statement",
    "TruePull",
    "assumptions",
    "chord",
    "combine_pulls",
    "counted",
    "doubts",
    "elevation",
    "elevation_first_order",
    "equal_spans_sag",
    "layout_reading",
    "least_read_ft",
    "length_budget",
    "line_budget",
    "made_of",
    "normal_tension",
    "off_line",
    "pocket_table",
    "pull_lengths_ft",
    "reduce_segments",
    "slope",
    "slope_first_order",
    "slope_sine",
    "span_sag",
    "standardisation",
    "state",
    "temperature",
    "tension",
    "tension_of_accuracy",
    "throughout_length_ft",
    "true_pull",
    "work",
]
