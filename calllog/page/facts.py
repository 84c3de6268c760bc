"""Page: lines and certificates in, their totals and budgets in figures out; no files touched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calllog.corrections import LineBudget, line_budget
from calllog.lines import (
    Closure,
    Line,
    closures,
    differences_ft,
    repeatability,
    shown_one_in,
)
from calllog.pairing import Phase
from calllog.session import Edition, Summary
from calllog.tape import Certificate, MetricTape
from calllog.units import in_unit
from calllog.values import ReadingUnit

LENGTH_DIGITS = 4
"""As in the segment log."""


@dataclass(frozen=True, slots=True)
class Total:
    """A line in one row."""

    name: str
    page: str
    """Name of the line's page."""
    pulls: int
    read: str
    horizontal: str
    u: str
    """Standard uncertainty; empty if it is not known."""
    is_finished: bool
    cautions: tuple[str, ...]
    """What is not as it should be, in plain words."""


@dataclass(frozen=True, slots=True)
class Compared:
    """Two runs of one line."""

    name: str
    words: str
    first: str
    second: str
    difference: str
    mean: str
    one_in: str


@dataclass(frozen=True, slots=True)
class Share:
    """One row of a budget."""

    component: str
    kind: str
    distribution: str
    source: str
    u_input: str
    sensitivity: str
    contribution: str
    share: str


@dataclass(frozen=True, slots=True)
class Budget:
    """A line's standard uncertainty and where it comes from."""

    u: str
    u_random: str
    u_common: str
    rows: tuple[Share, ...]
    """Greatest first."""
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Repeated:
    """How well a crew repeats itself."""

    pairs: int
    one: str
    """Standard deviation of one measurement."""
    low: str
    high: str
    """Its interval at 95 %."""


@dataclass(frozen=True, slots=True)
class Stated:
    """One entry of a certificate, in each of its editions."""

    name: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Papers:
    """A tape's certificates."""

    tape: str
    editions: tuple[str, ...]
    """What each is called; the last one is in force."""
    rows: tuple[Stated, ...]


def line_name(line: Line) -> str:
    """Name a run of a line."""
    run = f", run {line.run}" if line.run > 1 else ""
    return f"{line.line_from} to {line.line_to}{run}"


def is_finished(line: Line, summary: Summary) -> bool:
    """Tell whether the crew said that this run is finished."""
    ends = line.line_from, line.line_to
    state, done = summary.state, summary.replay.finished[ends]
    settings = state.settings
    is_last = (settings.line_from, settings.line_to) == ends and line.run == done + 1
    return line.run <= done or (is_last and state.phase is Phase.FINISHED)


def total(line: Line, page: str, summary: Summary, budget: LineBudget | None) -> Total:
    """Sum up a line."""
    cautions = [
        f"{words}: pull {_numbers(pulls)}"
        for words, pulls in (
            ("not checked", line.unchecked),
            ("not corrected, stands as it was read", line.uncorrected),
            *((f"no correction for {kind} known", pulls) for kind, pulls in line.lacking.items()),
        )
        if pulls
    ]
    done, unit = is_finished(line, summary), summary.header.unit_read
    if not done:
        cautions.insert(0, "the crew did not finish this line")
    if budget is None:
        cautions.append("no pull of this line can be corrected: its uncertainty is not known")
    elif budget.left_out:
        cautions.append(f"not in the uncertainty: pull {_numbers(budget.left_out)}")
    return Total(
        name=line_name(line),
        page=page,
        pulls=len(line.corrected),
        read=_length(line.length_read_ft, unit),
        horizontal=_length(line.horizontal_ft, unit),
        u="" if budget is None else _u(budget.u_ft, unit),
        is_finished=done,
        cautions=tuple(cautions),
    )


def budget_of(line: Line, summary: Summary) -> LineBudget | None:
    """Find a line's budget; None if no pull of it can be corrected."""
    if len(line.uncorrected) == len(line.corrected):
        return None
    return line_budget([each.segment for each in line.corrected], summary.replay.tapes)


def shown_budget(budget: LineBudget, unit: ReadingUnit = ReadingUnit.FOOT) -> Budget:
    """Write a budget out, in the unit of the job."""
    return Budget(
        u=_u(budget.u_ft, unit),
        u_random=_u(budget.u_random_ft, unit),
        u_common=_u(budget.u_common_ft, unit),
        rows=tuple(
            Share(
                component=row.component,
                kind=row.kind,
                distribution=row.distribution,
                source=row.source,
                u_input=f"{row.u_input:.3g} {row.unit}",
                sensitivity=f"{row.sensitivity:.3g}",
                contribution=_u(row.contribution_ft, unit),
                share=f"{100 * row.share:.1f} %",
            )
            for row in (each.restated(unit) for each in budget.rows)
        ),
        words=budget.words,
    )


def compared(
    lines: Sequence[Line], among: Sequence[Line], summary: Summary
) -> tuple[Compared, ...]:
    """Set runs of the same line against each other.

    Args:
        lines: all lines of the job.
        among: those that a comparison must be about.
        summary: the job.
    """
    return tuple(
        _compared(each, summary)
        for each in closures(lines)
        if any(one is each.forward or one is each.again for one in among)
    )


def _compared(one: Closure, summary: Summary) -> Compared:
    unit = summary.header.unit_read
    n = one.one_in_of(unit)
    are_done = is_finished(one.forward, summary) and is_finished(one.again, summary)
    partial = "" if are_done else "; not both are finished"
    way = "its way back," if one.is_back else "the same again,"
    return Compared(
        name=f"{one.forward.line_from} to {one.forward.line_to}",
        words=f"run {one.forward.run} against {way} run {one.again.run}{partial}",
        first=_length(one.forward.horizontal_ft, unit),
        second=_length(one.again.horizontal_ft, unit),
        difference=f"{in_unit(one.difference_ft, unit):+z.{LENGTH_DIGITS}f}",
        mean=_length(one.mean_ft, unit),
        one_in="alike to the last figure" if n is None else f"1:{shown_one_in(n)}",
    )


def crew(lines: Sequence[Line], unit: ReadingUnit = ReadingUnit.FOOT) -> Repeated | None:
    """Find how well the crew repeats itself on some lines; None without a pull measured twice."""
    segments = [each.segment for line in lines for each in line.corrected]
    found = repeatability(differences_ft(segments, unit))
    if found is None:
        return None
    one, low, high = (
        f"{in_unit(each, unit):.4f}" for each in (found.s_one_ft, found.low_ft, found.high_ft)
    )
    return Repeated(found.pairs, one, low, high)


def papers(summary: Summary, tapes: Sequence[str]) -> tuple[Papers, ...]:
    """Write out the certificates of some tapes, those replaced and the one in force."""
    return tuple(_papers(tape, summary.replay.editions[tape]) for tape in tapes)


def _papers(tape: str, editions: Sequence[Edition]) -> Papers:
    names = [_edition(each, is_last=each is editions[-1]) for each in editions]
    columns = [_entries(each.certificate) for each in editions]
    rows = tuple(
        Stated(name, tuple(column[name] for column in columns))
        for name in columns[0]
        if any(column[name] for column in columns)
    )
    return Papers(tape, tuple(names), rows)


def _edition(edition: Edition, *, is_last: bool) -> str:
    by = f", by {edition.by}" if edition.by else ""
    why = f": {edition.why}" if edition.why else ""
    force = "in force" if is_last else "replaced"
    return f"Entry {edition.sequence}, {force}{by}{why}"


def _entries(one: Certificate) -> dict[str, str]:
    spans = {0: "throughout", 1: "at the ends only"}.get(
        one.certified_spans, f"at {one.certified_spans} equal spans"
    )
    return {
        "Certificate": one.certificate_number,
        "Date": one.certificate_date,
        "Laboratory": one.laboratory,
        "Holds": " ".join(
            f"{word} {day}"
            for word, day in (("from", one.valid_from), ("until", one.valid_until))
            if day
        ),
        "Graduation": one.style.value,
        "Nominal length": f"{one.nominal} {one.unit.symbol}",
        "Held mark": f"{one.hold / 100:.2f} {one.unit.symbol}" if one.hold else "",
        **(_in_feet(one) if one.metric is None else _in_metres(one.metric)),
        "Supported": spans,
    }


def _in_feet(one: Certificate) -> dict[str, str]:
    u_ft = one.u_certified_length_ft
    return {
        "Foot": one.foot.words,
        "Certified length": f"{one.certified_length_ft} ft",
        "Its standard uncertainty": "" if u_ft is None else f"{u_ft} ft",
        "At a temperature of": f"{one.certified_temperature_degf:g} °F",
        "Under a tension of": f"{one.certified_tension_lb:g} lb",
        "Weight": f"{one.weight_lb_per_ft:g} lb/ft",
        "Cross section": f"{one.area_in2:g} in²",
        "Modulus of elasticity": f"{one.modulus_psi:g} psi",
        "Expansion": f"{one.alpha_per_degf:g} per °F",
    }


def _in_metres(one: MetricTape) -> dict[str, str]:
    u_m = one.u_certified_length_m
    return {
        "Certified length": f"{one.certified_length_m} m",
        "Its standard uncertainty": "" if u_m is None else f"{u_m} m",
        "At a temperature of": f"{one.certified_temperature_degc:g} °C",
        "Under a tension of": f"{one.certified_tension_n:g} N",
        "Mass": f"{one.mass_kg_per_m:g} kg/m",
        "Cross section": f"{one.area_mm2:g} mm²",
        "Modulus of elasticity": f"{one.modulus_gpa:g} GPa",
        "Expansion": f"{one.alpha_per_degc:g} per °C",
    }


def _length(length_ft: float, unit: ReadingUnit) -> str:
    return f"{in_unit(length_ft, unit):z.{LENGTH_DIGITS}f}"


def _u(u_ft: float, unit: ReadingUnit) -> str:
    return f"{in_unit(u_ft, unit):.5f}"


def _numbers(pulls: Sequence[int]) -> str:
    return ", ".join(map(str, pulls))
