"""Page: what must be known of a job in, what stands above a page out; no files touched."""

from collections.abc import Sequence
from dataclasses import dataclass

from calllog.office import StateFact, Summary, facts_about
from calllog.page.facts import Total
from calllog.pairing import Phase, status
from calllog.values import Message, RunName, message

BESIDE = ("page-caution-unchecked", "page-caution-no-uncertainty", "page-caution-left-out")
"""Codes of what a line lacks beside that."""
MOST = 12
"""Sentences above a page of several lines; the pages of the lines have all of theirs."""


@dataclass(frozen=True, slots=True)
class PageStanding:
    """What stands above a page."""

    told: tuple[Message, ...]
    """Sentences without their full stops, the gravest first."""
    is_sound: bool
    """Nothing speaks against a figure."""


def of_line(
    facts: Sequence[StateFact], summary: Summary, total: Total, line: RunName, *, is_at_work: bool
) -> PageStanding:
    """Tell what stands above the page of a line."""
    beside = [each for each in total.cautions if each.code in BESIDE]
    told = [each.told for each in facts_about(facts, line)]
    return _standing(
        [*told, *_waits(facts, summary, is_here=is_at_work), *beside], summary, [total]
    )


def of_job(facts: Sequence[StateFact], summary: Summary, totals: Sequence[Total]) -> PageStanding:
    """Tell what stands above a page of all lines."""
    beside = [
        message("page-of-line", name=total.name, what=each)
        for total in totals
        for each in total.cautions
        if each.code in BESIDE
    ]
    told = [*(each.told for each in facts), *_waits(facts, summary, is_here=True), *beside]
    if len(told) > MOST:
        told[MOST - 1 :] = [message("page-standing-more", count=len(told) - MOST + 1)]
    return _standing(told, summary, totals)


def _waits(facts: Sequence[StateFact], summary: Summary, *, is_here: bool) -> list[Message]:
    """Tell what the pull at work waits for, where no fact does."""
    is_told = any(each.code == "waits" for each in facts)
    if not is_here or is_told or summary.state.phase is Phase.FINISHED:
        return []
    return [status(summary.state)]


def _standing(told: Sequence[Message], summary: Summary, totals: Sequence[Total]) -> PageStanding:
    if told:
        return PageStanding(tuple(told), is_sound=False)
    if not totals:
        return PageStanding((message("page-nothing-booked-yet"),), is_sound=False)
    signed = summary.header.signed
    if not signed:
        return PageStanding((message("page-complete"),), is_sound=True)
    last = signed[-1]
    words = message("page-complete-signed", name=last.by, date=last.date)
    return PageStanding((words,), is_sound=True)
