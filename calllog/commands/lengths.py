"""Lengths typed, or lines of a job by name, in; what was measured out; shell."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from calllog.errors import ConfigError
from calllog.office import LineResult, certificate_facts, is_finished, line_results, summarise
from calllog.reckoning import (
    Error,
    Measured,
    line_errors,
    mean_of,
    read_stated,
    stated_errors,
)
from calllog.units import Foot, Length, in_unit, parse_length
from calllog.values import DistanceKind

MEAN = "mean"
MILLIONTHS = 10**6
"""Parts of its unit to which the corrected length of a line is taken."""
ENDS = 2
LEAST_M, MOST_M = Fraction(1, 100_000), 1_000_000
"""What a tape can measure, and what a taped line ever was, both with room to spare [m]."""
Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Given:
    """One length as it was given, with the two points it lies between."""

    ends: Pair | None
    measured: Measured
    said: str
    """How its uncertainty is known."""
    warnings: tuple[str, ...] = ()


class JobLines:
    """The lines of a job, by their names."""

    def __init__(self, folder: Path) -> None:
        """Compute them again from the journal; JournalError if the folder is no job."""
        self._folder = folder
        self._summary = summarise(folder)
        self._results = line_results(self._summary)
        self._unit = self._summary.header.unit_read
        tape = next(iter(self._summary.tapes.values()))
        self.foot = tape.foot if self._unit.is_feet else None
        """The foot of its tapes; None for metric ones."""

    @property
    def name(self) -> str:
        """The job's name."""
        return self._summary.header.job

    def read(self, text: str) -> Given:
        """Find a line by its name, such as A:B, or one of its runs, such as A:B#2 or A:B#mean.

        Raises:
            ConfigError: it is no name of a line, there is none of it, it has several runs, or it
                may be a line whose point is called B#2 as well.
        """
        words, mark, which = (part.strip() for part in text.rpartition("#"))
        whole = self._runs(text)
        if whole and self._runs(words):
            begins, _, ends = words.partition(":")
            raise ConfigError(
                f"{text} is a line of this job, and run {which} of another",
                where=str(self._folder),
                next_step=f"write {ends}#{which}:{begins} for the line, {ends}:{begins}#{which} for"
                " the run",
            )
        if whole or not mark:
            words, which = text.strip(), ""
        pair = ends_of(words)
        runs = whole or self._runs(words)
        if not runs:
            lines = (each.line for each in self._results)
            known = dict.fromkeys(f"{one.line_from}:{one.line_to}" for one in lines)
            raise ConfigError(
                f"this job has no line {words!r}",
                where=str(self._folder),
                next_step=f"name one that it has: {', '.join(known) or 'it has none'}",
            )
        chosen = self._chosen(runs, words, which)
        found = [self._measured(each) for each in chosen]
        one = found[0] if len(found) == 1 else mean_of(words, found)
        said = "not known" if one.errors is None else "by its budget"
        if len(found) > 1:
            said += f", mean of {len(found)} runs"
        return Given(pair, one, said, tuple(w for each in chosen for w in self._warnings(each)))

    def _runs(self, name: str) -> list[LineResult]:
        """Give the runs of a line by its two points, whichever way round."""
        pair = {part.strip() for part in name.split(":")}
        return [each for each in self._results if {each.line.line_from, each.line.line_to} == pair]

    def _chosen(self, runs: list[LineResult], name: str, which: str) -> list[LineResult]:
        if which == MEAN or (len(runs) == 1 and not which):
            return runs
        if which.isdecimal() and 0 < int(which) <= len(runs):
            return [runs[int(which) - 1]]
        lengths = [in_unit(each.line.horizontal_ft, self._unit) for each in runs]
        listed = [
            f"{name}#{number} ({length:.3f} {self._unit.symbol})"
            for number, length in enumerate(lengths, start=1)
        ]
        count = "one run" if len(runs) == 1 else f"{len(runs)} runs"
        raise ConfigError(
            f"{name} has {count}",
            where=str(self._folder),
            next_step=f"say which: {', '.join(listed)}"
            + (f", or {name}#{MEAN}" if len(runs) > 1 else ""),
        )

    def _measured(self, result: LineResult) -> Measured:
        line, foot = result.line, self.foot or Foot.INTERNATIONAL
        one_m = Fraction(1) if self.foot is None else self.foot.metres
        millionths = round(in_unit(line.horizontal_ft, self._unit) * MILLIONTHS)
        name = f"{line.line_from}:{line.line_to}"
        errors = None
        if result.budget is not None and result.u_ft is not None:
            errors = line_errors(f"{name}, run {line.run}", result.budget, foot)
        length = Length(Fraction(millionths, MILLIONTHS) * one_m, self.foot)
        return Measured(name, length, one_m / self._unit.counts, errors)

    def _warnings(self, result: LineResult) -> tuple[str, ...]:
        line = result.line
        name = f"{line.line_from}:{line.line_to}" + (f", run {line.run}" if line.run > 1 else "")
        faults = (
            (line.kind is DistanceKind.SLOPE, "is a slope distance, a rise not known: too long"),
            (not is_finished(line, self._summary), "is not finished"),
            (bool(line.uncorrected), "has pulls that are not corrected"),
            (bool(line.unchecked), "has pulls that were not checked"),
            (
                any(certificate_facts(line, self._summary.tapes)),
                "rests on a certificate that must be looked at again",
            ),
        )
        return tuple(f"{name} {words}" for is_so, words in faults if is_so)


class Lengths:
    """Reads the lengths of one answer, and keeps what they have in common."""

    def __init__(self, job: Path | None, foot: Foot | None, plus_minus: str | None) -> None:
        """Open the job, if lines of one are meant.

        Args:
            job: its folder.
            foot: of units that do not name theirs; that of the job's tapes, or the international
                one, if left out.
            plus_minus: uncertainty (k = 2) of each typed length that does not state its own.

        Raises:
            ConfigError: the job is in another foot than the one stated.
            JournalError: the folder is no job.
        """
        self._job = None if job is None else JobLines(job)
        of_job = self._job.foot if self._job else None
        if foot is not None and of_job is not None and foot is not of_job:
            raise ConfigError(
                f"this job's tapes are in the {of_job.words}",
                where="--foot",
                next_step="leave it out, and name the foot of a typed length: ift, usft",
            )
        self.foot = foot or of_job or Foot.INTERNATIONAL
        self._is_foot_stated = foot is not None or of_job is not None
        self._each_m = None if plus_minus is None else _expanded_m(plus_minus, self.foot)
        self.given: list[Given] = []

    @property
    def job(self) -> str:
        """The job's name; empty where there is none."""
        return self._job.name if self._job else ""

    def read(self, text: str, name: str) -> Given:
        """Read one length.

        Args:
            text: a length, or the name of a line of the job, such as A:B.
            name: what a length is called that has no name.

        Raises:
            ConfigError: it cannot be read, or the job has no such line, or several runs of it.
        """
        found = self._line(text) if ":" in text and "=" not in text else self._typed(text, name)
        self.given.append(found)
        return found

    def read_all(self, texts: Sequence[str], name: str) -> list[Given]:
        """Read several, those without a name numbered from 1."""
        return [self.read(text, f"{name} {number}") for number, text in enumerate(texts, start=1)]

    def read_round(self, texts: Sequence[str]) -> list[Given]:
        """Read the sides of something, those without a name called 1:2, 2:3 and so on."""
        last = len(texts)
        return [
            self.read(text, f"{number}:{number % last + 1}")
            for number, text in enumerate(texts, start=1)
        ]

    def _typed(self, text: str, name: str) -> Given:
        stated = read_stated(text, self.foot)
        size_m = abs(stated.length.size)
        if size_m > MOST_M or 0 < size_m < LEAST_M:
            raise ConfigError(
                "nobody taped that: it is " + ("beyond 1,000 km" if size_m > MOST_M else "a hair"),
                where=repr(text),
                next_step="look at the figure and its unit again",
            )
        name = ":".join(stated.ends) if stated.ends else name
        errors: tuple[Error, ...] | None = None
        said, expanded_m = "not stated", stated.expanded_m or self._each_m
        if expanded_m is not None:
            errors = stated_errors(f"{name}, {len(self.given)}", expanded_m)
            said = "as stated" if stated.expanded_m else "by --plus-minus"
        return Given(stated.ends, Measured(name, stated.length, stated.least_m, errors), said)

    def _line(self, text: str) -> Given:
        if self._job is not None:
            return self._job.read(text)
        ends_of(text)
        raise ConfigError(
            f"{text!r} is the name of a line, and no job is named",
            where=repr(text),
            next_step=f"name the job with --job, or state the length: {text}=120.05ft",
        )

    @property
    def in_foot(self) -> Foot | None:
        """The foot of the answer; None for one in meters.

        Raises:
            ConfigError: lengths are in both feet, and none was stated.
        """
        feet = {one.measured.length.foot for one in self.given} - {None}
        if not feet:
            return None
        if self._is_foot_stated:
            return self.foot
        if len(feet) > 1:
            raise ConfigError(
                "lengths are in both feet",
                next_step="say which one the answer is in: --foot international, or us-survey",
            )
        return feet.pop()


def ends_of(text: str) -> Pair:
    """Read the two points of a line; ConfigError if there are not two."""
    ends = tuple(part.strip() for part in text.split(":"))
    if len(ends) != ENDS or not all(ends) or ends[0] == ends[1]:
        raise ConfigError(
            "a line has two points",
            where=repr(text),
            next_step="name it such as Spring:Oak, or state a length: A:B=120.05ft",
        )
    return ends[0], ends[1]


def _expanded_m(text: str, foot: Foot) -> float:
    size = parse_length(text, foot).size
    if size <= 0:
        raise ConfigError(
            "an uncertainty is above 0",
            where="--plus-minus",
            next_step="state that of each length with k = 2 (95 %), such as 0.02ft",
        )
    return float(size)
