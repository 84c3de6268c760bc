"""Page: lines and certificates in, their totals and budgets in figures out; no files touched."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from calllog.corrections import LineBudget
from calllog.corrections.practice import (
    COMMON_PRACTICE,
    LEAST_COUNT,
    LEAST_FINE_COUNT,
    LEAST_FINE_METRIC_COUNT,
    LEAST_METRIC_COUNT,
)
from calllog.lines import (
    COVERAGE,
    Closure,
    Line,
    Ratio,
    closures,
    decided,
    differences_ft,
    ratio_as_read,
    repeatability,
    shown_one_in,
)
from calllog.office import LineResult, Summary, is_finished
from calllog.session import Edition
from calllog.tape import Certificate, MetricTape
from calllog.units import in_unit, reading_ft
from calllog.values import DistanceKind, Fact, Message, ReadingUnit, RunName, message

ROWS = 6
"""Rows of a budget that are written out; what is left is one more."""
_RAISED = str.maketrans(
    "-0123456789", "\u207b\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079"
)
_SQUARE = re.compile(r"\((\w+)\)\^2")
_DEGREES = {"degF": "\u00b0F", "degC": "\u00b0C"}
"""Units of inputs, as they are printed."""
LENGTH_DIGITS = 4
"""As in the segment log."""
Told = str | Message
"""A figure, a name or what was said, as it is; or a message, said where the page is written."""


SOURCES = {
    COMMON_PRACTICE: message("source-common-practice"),
    LEAST_COUNT: message("source-least-count", least="0.01"),
    LEAST_METRIC_COUNT: message("source-least-count", least="0.01"),
    LEAST_FINE_COUNT: message("source-least-count", least="0.005"),
    LEAST_FINE_METRIC_COUNT: message("source-least-count", least="0.001"),
}
"""Sources of the program's own; all others are cited as they are."""


@dataclass(frozen=True, slots=True)
class Total:
    """A line in one row."""

    name: Message
    page: str
    """Name of the line's page."""
    told: str
    """Its length and what that is good for, such as ``315.13 \u00b1 0.08 ft`` (k = 2)."""
    pulls: int
    read: str
    horizontal: str
    is_slope: bool
    """That is a slope distance, since the rise of a pull is not known."""
    u: str
    """Standard uncertainty, k = 1; empty if that of a pull is not known."""
    expanded: str
    """The same with k = 2."""
    is_finished: bool
    cautions: tuple[Message, ...]
    """What is not as it should be."""


@dataclass(frozen=True, slots=True)
class Compared:
    """Two runs of one line."""

    name: Message
    runs: Message
    """Which, and whether both are finished."""
    first: str
    second: str
    difference: str
    mean: str
    one_in: Told
    is_first_slope: bool
    is_second_slope: bool
    is_slope: bool
    """These are slope distances, since the rise of a pull is not known."""


@dataclass(frozen=True, slots=True)
class Share:
    """One row of a budget."""

    input: Message
    kind: Told
    distribution: Told
    source: Told
    """As it is cited; words where nothing is published."""
    u_input: str
    sensitivity: str
    contribution: str
    share: str


@dataclass(frozen=True, slots=True)
class Budget:
    """A line's standard uncertainty and where it comes from."""

    u: str
    """k = 1, as the two parts of it."""
    expanded: str
    """k = 2."""
    u_random: str
    u_common: str
    is_part: bool
    """Pulls that cannot be corrected are left out."""
    rows: tuple[Share, ...]
    """Greatest contribution first; the last one is all the rest."""
    says: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Repeated:
    """How well a crew repeats itself."""

    left_out: int
    """Checked pulls that needed a decision, and say nothing of it."""
    pairs: int = 0
    """Pulls that were measured twice and agreed; without one there are no figures."""
    one: str = ""
    """Standard deviation of one measurement."""
    low: str = ""
    high: str = ""
    """Its interval at 95 %."""
    is_floored: bool = False
    """The checks agree better than a reading can show; the figures are those of a reading."""


@dataclass(frozen=True, slots=True)
class CertificateFact:
    """One entry of a certificate, in each of its editions."""

    name: Message
    values: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class Papers:
    """A tape's certificates."""

    tape: str
    editions: tuple[Message, ...]
    """What each is called; the last one is in force."""
    rows: tuple[CertificateFact, ...]


def told_length(result: LineResult, unit: ReadingUnit) -> str:
    """Say a line's length with k = 2; a question mark where that of some pull is not known."""
    length = f"{in_unit(result.line.horizontal_ft, unit):z.{unit.digits}f} {unit.symbol}"
    return result.told(unit) or f"{length} \u00b1 ?"


def total(result: LineResult, page: str, summary: Summary) -> Total:
    """Sum up a line."""
    line, budget = result.line, result.budget
    done, unit = is_finished(line, summary), summary.header.unit_read
    return Total(
        name=line.name.told,
        page=page,
        told=told_length(result, unit),
        pulls=len(line.corrected),
        read=_length(line.length_read_ft, unit),
        horizontal=_length(line.horizontal_ft, unit),
        is_slope=line.kind is DistanceKind.SLOPE,
        u="" if result.u_ft is None else _u(result.u_ft, unit),
        expanded="" if result.expanded_ft is None else _u(result.expanded_ft, unit),
        is_finished=done,
        cautions=tuple(_cautions(line, budget, None if done else unfinished(summary))),
    )


def unfinished(summary: Summary) -> Message:
    """Say that a line is not finished; of a rescued job nobody knows who did not finish it."""
    rescued = bool(summary.header.rescued)
    return message("page-not-finished" if rescued else "page-caution-unfinished")


def _cautions(line: Line, budget: LineBudget | None, not_done: Message | None) -> Iterator[Message]:
    """Tell what is not as it should be."""
    if not_done is not None:
        yield not_done
    if line.unchecked:
        yield message("page-caution-unchecked", **_numbers(line.unchecked))
    if line.uncorrected:
        yield message("page-caution-uncorrected", **_numbers(line.uncorrected))
    for kind, pulls in line.lacking.items():
        if pulls:
            lacks = message("page-correction", correction=kind)
            yield message("page-caution-lacking", correction=lacks, **_numbers(pulls))
    if budget is None:
        yield message("page-caution-no-uncertainty")
    elif budget.left_out:
        yield message("page-caution-left-out", **_numbers(budget.left_out))


def shown_budget(budget: LineBudget, unit: ReadingUnit = ReadingUnit.FOOT) -> Budget:
    """Write a budget out, in the unit of the job."""
    return Budget(
        u=_u(budget.u_ft, unit),
        expanded=_u(COVERAGE * budget.u_ft, unit),
        u_random=_u(budget.u_random_ft, unit),
        u_common=_u(budget.u_common_ft, unit),
        is_part=bool(budget.left_out),
        rows=_shares(budget, unit),
        says=budget.says,
    )


def _shares(budget: LineBudget, unit: ReadingUnit) -> tuple[Share, ...]:
    """Write out what contributes most, and put all the rest into one row."""
    greatest, rest = budget.restated(unit).greatest(ROWS)
    shown = [
        Share(
            input=row.component,
            kind=message("input-kind", kind=row.kind.value),
            distribution=message("input-shape", shape=row.distribution.value),
            source=SOURCES.get(row.source, row.source),
            u_input=f"{_plain(row.u_input)} {_unit(row.unit)}",
            sensitivity=_plain(row.sensitivity),
            contribution=_u(row.contribution_ft, unit),
            share=f"{100 * row.share:.1f} %",
        )
        for row in greatest
    ]
    if rest:
        shown.append(
            Share(
                input=message("page-budget-rest", count=len(rest)),
                kind="",
                distribution="",
                source=message("page-budget-rest-source"),
                u_input="",
                sensitivity="",
                contribution=_u(budget.together_ft(rest), unit),
                share=f"{100 * sum(row.share for row in rest):.1f} %",
            )
        )
    return tuple(shown)


def _unit(name: str) -> str:
    """Write the unit of an input as it is printed.

    Example:
        >>> _unit("(degF)^2"), _unit("share")
        ('\u00b0F\u00b2', 'share')
    """
    squared = _SQUARE.fullmatch(name)
    plain = squared[1] if squared else name
    for word, sign in _DEGREES.items():
        plain = plain.replace(word, sign)
    return f"{plain}\u00b2" if squared else plain


def _plain(figure: float) -> str:
    """Write three significant figures, in digits or as so many times a power of ten.

    Example:
        >>> _plain(0.0123), _plain(-158), _plain(5.8e-7)
        ('0.0123', '\u2212158', '5.8 \u00d7 10\u207b\u2077')
    """
    digits, _, power = f"{figure:.3g}".replace("-", "\u2212", int(figure < 0)).partition("e")
    return f"{digits} \u00d7 10{str(int(power)).translate(_RAISED)}" if power else digits


def compared(
    lines: Sequence[Line], among: Sequence[Line], summary: Summary
) -> tuple[Compared, ...]:
    """Set runs of the same line against each other."""
    return tuple(
        _compared(each, summary)
        for each in closures(lines)
        if any(one is each.forward or one is each.again for one in among)
    )


def _compared(one: Closure, summary: Summary) -> Compared:
    unit = summary.header.unit_read
    are_done = is_finished(one.forward, summary) and is_finished(one.again, summary)
    return Compared(
        name=RunName(*one.forward.name.ends, 1).told,
        runs=message(
            "page-runs-compared",
            one=one.forward.run,
            other=one.again.run,
            way="back" if one.is_back else "again",
            finished="both" if are_done else "not-both",
        ),
        first=_length(one.forward.horizontal_ft, unit),
        second=_length(one.again.horizontal_ft, unit),
        difference=f"{in_unit(one.difference_ft, unit):+z.{LENGTH_DIGITS}f}",
        mean=_length(one.mean_ft, unit),
        one_in=_one_in(one, unit),
        is_first_slope=one.forward.kind is DistanceKind.SLOPE,
        is_second_slope=one.again.kind is DistanceKind.SLOPE,
        is_slope=one.kind is DistanceKind.SLOPE,
    )


def _one_in(one: Closure, unit: ReadingUnit) -> Told:
    """Say 1:N, no finer than what is read shows."""
    return ratio_words(ratio_as_read(one.difference_ft, one.mean_ft, unit), unit)


def ratio_words(ratio: Ratio | None, unit: ReadingUnit) -> Told:
    """Say 1:N, and what is meant by it where no finer one could be read."""
    if ratio is None:
        return message("page-not-known")
    words = f"1:{shown_one_in(ratio.n)}"
    if not ratio.is_floored:
        return words
    least = f"{in_unit(reading_ft(1, unit), unit):.{unit.digits}f}"
    return message("page-one-in-or-better", ratio=words, least=least)


def crew(lines: Sequence[Line], unit: ReadingUnit = ReadingUnit.FOOT) -> Repeated:
    """Find how well the crew repeats itself on some lines."""
    segments = [each.segment for line in lines for each in line.corrected]
    found, left_out = repeatability(differences_ft(segments, unit)), decided(segments)
    if found is None:
        return Repeated(left_out)
    shown, is_floored = found.floored(unit)
    one, low, high = (
        f"{in_unit(each, unit):.4f}" for each in (shown.s_one_ft, shown.low_ft, shown.high_ft)
    )
    return Repeated(left_out, found.pairs, one, low, high, is_floored)


def papers(summary: Summary, tapes: Sequence[str]) -> tuple[Papers, ...]:
    """Write out the certificates of some tapes, those replaced and the one in force."""
    return tuple(_papers(tape, summary.replay.editions[tape]) for tape in tapes)


def _papers(tape: str, editions: Sequence[Edition]) -> Papers:
    names = [_edition(each, is_last=each is editions[-1]) for each in editions]
    columns = [_entries(each.certificate) for each in editions]
    rows = tuple(
        CertificateFact(message(name), tuple(column[name] for column in columns))
        for name in columns[0]
        if any(column[name] for column in columns)
    )
    return Papers(tape, tuple(names), rows)


def _edition(edition: Edition, *, is_last: bool) -> Message:
    says = "-and-".join(name for name in ("by", "why") if getattr(edition, name)) or "nothing"
    return message(
        "page-edition-in-force" if is_last else "page-edition-replaced",
        entry=edition.sequence,
        says=says,
        by=edition.by,
        why=edition.why,
    )


def _entries(one: Certificate) -> dict[str, Told]:
    """Write out what a certificate states, by the codes of its entries; empty is not stated."""
    found: dict[str, Told] = {
        "page-certificate": one.certificate_number,
        "page-date": one.certificate_date,
        "page-laboratory": one.laboratory,
        "page-holds": _holds(one),
        "page-graduation": message("page-style", style=one.style.value),
        "page-nominal-length": f"{one.nominal} {one.unit.symbol}",
        "page-least-count": f"{one.unit.text(1)} {one.unit.symbol}",
        "page-tolerance-of-check": ""
        if one.tolerance is None
        else f"{one.unit.text(one.tolerance_read)} {one.unit.symbol}",
        "page-held-mark": f"{one.unit.text(one.hold_read)} {one.unit.symbol}" if one.hold else "",
        **(_in_feet(one) if one.metric is None else _in_metres(one.metric)),
        "page-certified-support": message("page-certified-spans", spans=one.certified_spans),
    }
    weight = "page-weight" if one.metric is None else "page-mass"
    rows = {"weight_lb_per_ft": weight, "area_in2": "page-cross-section"}
    marked = {rows[name]: message("page-assumed", value=found[rows[name]]) for name in one.assumed}
    return found | marked


def _holds(one: Certificate) -> Told:
    begin, end = one.valid_from or "", one.valid_until or ""
    if not (begin or end):
        return ""
    bounds = "both" if begin and end else "begin" if begin else "end"
    return message("page-holds-days", bounds=bounds, begin=str(begin), end=str(end))


def _in_feet(one: Certificate) -> dict[str, Told]:
    u_ft = one.u_certified_length_ft
    return {
        "page-certificate-foot": message("page-which-foot", foot=one.foot.value),
        "page-certified-length": f"{one.certified_length_ft} ft",
        "page-certified-uncertainty": "" if u_ft is None else f"{u_ft} ft",
        "page-certified-temperature": f"{one.certified_temperature_degf:g} °F",
        "page-certified-tension": f"{one.certified_tension_lb:g} lb",
        "page-weight": f"{one.weight_lb_per_ft:g} lb/ft",
        "page-cross-section": f"{one.area_in2:g} in²",
        "page-modulus": f"{one.modulus_psi:,.0f} psi",
        "page-expansion": message("page-per-degree", alpha=_plain(one.alpha_per_degf)),
    }


def _in_metres(one: MetricTape) -> dict[str, Told]:
    u_m = one.u_certified_length_m
    return {
        "page-certified-length": f"{one.certified_length_m} m",
        "page-certified-uncertainty": "" if u_m is None else f"{u_m} m",
        "page-certified-temperature": f"{one.certified_temperature_degc:g} °C",
        "page-certified-tension": f"{one.certified_tension_n:g} N",
        "page-mass": f"{one.mass_kg_per_m:g} kg/m",
        "page-cross-section": f"{one.area_mm2:g} mm²",
        "page-modulus": f"{one.modulus_gpa:g} GPa",
        "page-expansion": message("page-per-degree", alpha=_plain(one.alpha_per_degc)),
    }


def _length(length_ft: float, unit: ReadingUnit) -> str:
    return f"{in_unit(length_ft, unit):z.{LENGTH_DIGITS}f}"


def _u(u_ft: float, unit: ReadingUnit) -> str:
    return f"{in_unit(u_ft, unit):.5f}"


def _numbers(pulls: Sequence[int]) -> dict[str, Fact]:
    return {"pulls": ", ".join(map(str, pulls)), "count": len(pulls)}
