"""Arithmetic of an office with measured lengths: sums, rectangles, lots, misclosures; pure."""

from calllog.reckoning.lots import Lot, LotDiagonal, Triangle, lot
from calllog.reckoning.measured import (
    Error,
    Known,
    Measured,
    combined_u,
    line_errors,
    mean_of,
    stated_errors,
)
from calllog.reckoning.reading import TypedLength, read_stated
from calllog.reckoning.sums import (
    Misclosure,
    Rectangle,
    RectangleDiagonal,
    SumParts,
    misclosure,
    parts_of,
    rectangle,
)

__all__ = [
    "Error",
    "Known",
    "Lot",
    "LotDiagonal",
    "Measured",
    "Misclosure",
    "Rectangle",
    "RectangleDiagonal",
    "SumParts",
    "Triangle",
    "TypedLength",
    "combined_u",
    "line_errors",
    "lot",
    "mean_of",
    "misclosure",
    "parts_of",
    "read_stated",
    "rectangle",
    "stated_errors",
]
