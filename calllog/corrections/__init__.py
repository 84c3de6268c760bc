"""What is added to a length read to get the true horizontal length, each part apart; pure."""

from calllog.corrections.budget import (
    LineBudget,
    Reduced,
    length_budget,
    line_budget,
    reduce_segments,
)
from calllog.corrections.correct import work
from calllog.corrections.doubts import doubts
from calllog.corrections.layout import (
    Layout,
    PocketRow,
    TruePull,
    layout_reading,
    pocket_table,
    true_pull,
)
from calllog.corrections.made_of import counted, least_read_ft, made_of
from calllog.corrections.situation import End, Situation
from calllog.corrections.statement import Statement, assumptions, state

__all__ = [
    "End",
    "Layout",
    "LineBudget",
    "PocketRow",
    "Reduced",
    "Situation",
    "Statement",
    "TruePull",
    "assumptions",
    "counted",
    "doubts",
    "layout_reading",
    "least_read_ft",
    "length_budget",
    "line_budget",
    "made_of",
    "pocket_table",
    "reduce_segments",
    "state",
    "true_pull",
    "work",
]
