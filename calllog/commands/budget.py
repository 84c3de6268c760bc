"""A budget of uncertainty as the commands say it: plain sentences, and its JSON."""

from typing import Any

from calllog.corrections import LineBudget
from calllog.lines import COVERAGE
from calllog.values import ReadingUnit
from calllog.wording import ENGLISH


def budget_json(budget: LineBudget, unit: ReadingUnit, *left_out: str) -> dict[str, Any]:
    """Write a budget out as a document in feet, its words beside the codes they are made of."""
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
