"""Page: a job in, the page of it that is signed and its distances as text out; no files touched."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from calllog.errors import ConfigError
from calllog.lines import PrecisionClass, closures, compare_record
from calllog.office import LineResult, Summary, is_finished, judge
from calllog.page.facts import Told, ratio_words, told_length, unfinished
from calllog.page.history import Deed
from calllog.tape import Certificate
from calllog.units import in_unit, parse_length
from calllog.values import DistanceKind, Message, message
from calllog.wording import Words

SUMMARY = "summary"
"""Name of the page that is signed."""
DISTANCES = "distances.txt"
DECIDED = frozenset({"page-deed-decided", "page-deed-reopened"})
"""Codes of what was done about a stop."""
_MET = {True: "yes", False: "no", None: "unknown"}


@dataclass(frozen=True, slots=True)
class SetAgainst:
    """What the office sets the lines against."""

    line_class: PrecisionClass | None = None
    records: Mapping[frozenset[str], str] = field(default_factory=dict)
    """What a record says of a line, as it is written, by its two ends."""


@dataclass(frozen=True, slots=True)
class Signable:
    """A line in one row of the page that is signed."""

    name: Message
    page: str
    pulls: int
    told: str
    """Its length and what it is good for, k = 2."""
    is_slope: bool
    one_in: Told
    by: Message | None
    """What that is told by."""
    verdict: Message | None
    """Whether it meets the class; None where none is asked for."""
    is_met: bool
    record: str
    """As it is written; empty where there is none."""
    difference: str
    """Measured less record."""
    is_finished: bool


def signable(
    result: LineResult,
    page: str,
    summary: Summary,
    results: Sequence[LineResult],
    wanted: SetAgainst,
) -> Signable:
    """Sum up a line for the page that is signed; ConfigError if a record cannot be read."""
    unit, line = summary.header.unit_read, result.line
    judged = judge(result, closures([each.line for each in results]), unit)
    met = None if wanted.line_class is None else judged.meets(wanted.line_class)
    record = wanted.records.get(frozenset((line.line_from, line.line_to)), "")
    return Signable(
        name=line.name.told,
        page=page,
        pulls=len(line.corrected),
        told=told_length(result, unit),
        is_slope=line.kind is DistanceKind.SLOPE,
        one_in=ratio_words(judged.ratio, unit),
        by=message("page-judged-by", by=judged.by) if judged.ratio else None,
        verdict=None
        if wanted.line_class is None
        else message("page-verdict", met=_MET[met], name=wanted.line_class.name),
        is_met=met is True,
        record=record,
        difference=_difference(record, line.horizontal_ft, summary) if record else "",
        is_finished=is_finished(line, summary),
    )


def _difference(record: str, measured_ft: float, summary: Summary) -> str:
    foot, unit = next(iter(summary.tapes.values())).foot, summary.header.unit_read
    found = compare_record(parse_length(record, foot), measured_ft, foot)
    difference = in_unit(float(found.difference_ft), unit)
    return f"{difference:+z.{unit.digits}f} {unit.symbol}"


def check_records(wanted: SetAgainst, results: Sequence[LineResult], where: str) -> None:
    """Refuse a record of a line that the job does not have, by a ConfigError."""
    here = {frozenset((each.line.line_from, each.line.line_to)) for each in results}
    for ends in wanted.records:
        if ends not in here:
            known = ", ".join(f"{one.line.line_from}:{one.line.line_to}" for one in results)
            raise ConfigError(
                f"this job has no line {':'.join(sorted(ends))}, which the record is of",
                where=where,
                next_step=f"name one that it has: {known or 'it has none'}",
            )


def stops(deeds: Sequence[Deed]) -> tuple[Deed, ...]:
    """Choose what was decided at stops."""
    return tuple(each for each in deeds if each.what.code in DECIDED)


def tape_words(one: Certificate, say: Words) -> str:
    """Name a tape with what its certificate states, in one line."""
    support = say("page-certified-spans", spans=one.certified_spans)
    metric = one.metric
    if metric is None:
        states = (
            f"{one.certified_length_ft} ft",
            f"{one.certified_temperature_degf:g} \u00b0F",
            f"{one.certified_tension_lb:g} lb",
        )
    else:
        states = (
            f"{metric.certified_length_m} m",
            f"{metric.certified_temperature_degc:g} \u00b0C",
            f"{metric.certified_tension_n:g} N",
        )
    dated = " ".join(each for each in (one.certificate_number, str(one.certificate_date)) if each)
    return f"{one.identity}: {dated or say('page-not-stated')}; {', '.join((*states, support))}"


def distances_text(
    rows: Sequence[Signable], summary: Summary, standing: Sequence[Message], say: Words
) -> str:
    """List the distances as plain text, to be copied into a description."""
    header = summary.header
    days = ", ".join(day.isoformat() for day in dict.fromkeys(summary.replay.days))
    names = [say.say(each.name) for each in rows]
    lengths = [each.told for each in rows]
    wide, long = (max(map(len, each), default=0) for each in (names, lengths))
    listed = []
    for row, name, length in zip(rows, names, lengths, strict=True):
        kind = say("page-slope-distance" if row.is_slope else "page-horizontal-length").lower()
        if not row.is_finished:
            kind += f"; {say.say(unfinished(summary))}"
        listed.append(f"{name:{wide}}  {length:>{long}}  {kind}")
    parts = (
        say("page-distances-title", job=header.job, days=days or say("page-not-stated")),
        f"{say('page-all-lengths-in')} {say('page-lengths-in', foot=header.foot)}; "
        + say("page-distances-about"),
        "",
        f"{say('page-standing')}:",
        *(f"- {told[:1].upper()}{told[1:]}" for told in map(say.say, standing)),
        "",
        *(listed or [say("page-nothing-booked")]),
        "",
        say("page-distances-not", digits=header.state_hash[:8]),
    )
    return "\n".join(map(_printable, parts)) + "\n"


def _printable(line: str) -> str:
    """Blank out what cannot be printed, such as marks that turn the direction of writing."""
    return "".join(sign if sign.isprintable() else " " for sign in line)


@dataclass(frozen=True, slots=True)
class SignedSheet:
    """What else stands on the page that is signed."""

    rows: tuple[Signable, ...]
    line_class: str
    """Name of the class that is asked for; empty if none is."""
    said_of_class: tuple[str, ...]
    """What is in print of it."""
    stops: tuple[Deed, ...]
    tapes: tuple[str, ...]

    @property
    def has_records(self) -> bool:
        """Some line has a record."""
        return any(each.record for each in self.rows)
