"""A budget of uncertainty as the commands say it: plain sentences, and its JSON."""

from __future__ import annotations

import math
from typing import Any

from calllog.corrections import LineBudget
from calllog.units import in_unit
from calllog.values import ReadingUnit
from calllog.wording import ENGLISH

COVERAGE = 2
"""The k of an expanded uncertainty: about 95 % (GUM 6.3.3, G.6.6)."""


def budget_json(budget: LineBudget, unit: ReadingUnit, *left_out: str) -> dict[str, Any]:
    """Write a budget out as a document in feet, its words beside the codes they are made of.

    Args:
        budget: of a line, or of a length.
        unit: of the job, in which its inputs are written and its words said.
        left_out: names of what does not go along.
    """
    say = ENGLISH.measured_in(unit).say
    document: dict[str, Any] = budget.restated(unit).model_dump(
        mode="json", exclude={"says", *left_out}
    )
    for row, shown in zip(budget.rows, document["rows"], strict=True):
        shown["input"] = shown["component"]
        shown["component"] = say(row.component)
    for one, shown in zip(budget.prospects, document["prospects"], strict=True):
        shown["code"] = shown.pop("does")["code"]
        shown["words"] = say(one.does)
    document["coverage_k"] = COVERAGE
    document["expanded_ft"] = COVERAGE * budget.u_ft
    document["words"] = [say(each) for each in budget.says]
    return document


def plus_minus(length_ft: float, u_ft: float, unit: ReadingUnit) -> str:
    """Say a length with its expanded uncertainty, k = 2, to the last digit that is read.

    The uncertainty is rounded up, so that it is never told too small, and never 0.00.

    Example:
        >>> plus_minus(315.1274, 0.0371, ReadingUnit.FOOT)
        '315.13 \u00b1 0.08 ft'
    """
    one, digits = 10**unit.digits, unit.digits
    expanded = max(1, math.ceil(one * in_unit(COVERAGE * u_ft, unit) - 1e-9)) / one
    return f"{in_unit(length_ft, unit):.{digits}f} \u00b1 {expanded:.{digits}f} {unit.symbol}"
