"""Arithmetic of an office with measured lengths: sums, rectangles, lots, misclosures; pure."""

from calllog.reckoning.lots import Lot, LotDiagonal, lot
from calllog.reckoning.measured import Error, Known, Measured, line_errors, mean_of, stated_errors
from calllog.reckoning.reading import read_stated
from calllog.reckoning.sums import Misclosure, Rectangle, SumParts, misclosure, parts_of, rectangle

__all__ = [
    "Error",
    "Known",
    "Lot",
    "LotDiagonal",
    "Measured",
    "Misclosure",
    "Rectangle",
    "SumParts",
    "line_errors",
    "lot",
    "mean_of",
    "misclosure",
    "parts_of",
    "read_stated",
    "rectangle",
    "stated_errors",
]
