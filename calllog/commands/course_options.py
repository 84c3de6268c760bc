"""The options that say what is measured, by which rules, in; the course of a crew, out; shell."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.stated import length_ft
from calllog.commands.tape_file import read_tape
from calllog.decoding import edition_of_new_line
from calllog.errors import ConfigError
from calllog.pairing import EDITION
from calllog.session import Course, parse_roles
from calllog.spoken import Grammar
from calllog.spoken.grammar import MOST_REACH
from calllog.tape import Certificate, reading_limit
from calllog.units import in_unit
from calllog.values import AfterCheck, BookPolicy, CalledFirst, CheckPolicy, LineSettings

MOST_TOLERANCE = 1.0
"""Of the tape's unit."""
EXACT = 1e-6
"""How far from a whole hundredth a stated tolerance may be, for the arithmetic of floats."""


@dataclass(frozen=True, slots=True)
class CourseOptions:
    """What the command line says of tapes, lines and the crew's rules."""

    tapes: Annotated[
        tuple[Path, ...],
        typer.Option(
            "--tape",
            help="The tape's certificate, a TOML file; give it again for tapes to change to.",
        ),
    ]
    lines: Annotated[
        tuple[str, ...],
        typer.Option(
            "--line", help="The line's two points, as A:B; give it again for lines to change to."
        ),
    ]
    whole_by: Annotated[
        str,
        typer.Option(
            "--whole", help="Who calls the whole foot in the first measurement: rear or head."
        ),
    ] = "rear"
    after_check: Annotated[
        AfterCheck,
        typer.Option(
            "--after-check",
            help="What the two do after a check; unsaid: learned as you go, and asked where it is "
            "not clear.",
        ),
    ] = AfterCheck.UNSAID
    called_first: Annotated[
        CalledFirst,
        typer.Option(
            "--first", help="What is called first: the whole foot, or the hundredths (fraction)."
        ),
    ] = CalledFirst.UNSAID
    check: Annotated[
        CheckPolicy, typer.Option("--check", help="Whether each pull needs a check.")
    ] = CheckPolicy.REQUIRED
    book: Annotated[
        BookPolicy,
        typer.Option(
            "--book",
            help="What is recorded when first and check agree: the first, their mean or the check.",
        ),
    ] = BookPolicy.FIRST
    tolerance: Annotated[
        str | None,
        typer.Option(
            "--tolerance",
            help="Greatest difference that agrees: 0.01ft or 0.01m, as the tape is; left out, what"
            " the tape's certificate states.",
        ),
    ] = None
    is_weighed: Annotated[
        bool | None,
        typer.Option(
            "--weigh-together/--weigh-alone",
            help="Weigh all calls of a pull together and ask again for the one in doubt, or take "
            "each as it was best heard. Left out: together, if live, in English, with the default "
            "listener and a check of each pull.",
            show_default=False,
        ),
    ] = None

    def course(self, day: date, *, is_measured: bool, is_live: bool) -> Course:
        """Read the certificates and settle the first line's rules.

        Args:
            day: on which the tapes are used.
            is_measured: the joint decoding was fitted to what hears.
            is_live: the crew can answer.

        Raises:
            ConfigError: a certificate, a line or a rule cannot be, or one is named twice.
        """
        tapes = tuple(read_tape_to_call(tape, day) for tape in self.tapes)
        rules = {
            "policy": self.check,
            "book": self.book,
            "tolerance": _tolerance(self.tolerance, tapes[0]),
            "whole_by": parse_roles([self.whole_by])[0],
            "after_check": self.after_check,
            "called_first": self.called_first,
            "decoding": edition_of_new_line(
                self.check,
                tapes[0].unit,
                is_wanted=self.is_weighed,
                is_measured=is_measured,
                is_live=is_live,
            ),
        }
        course = Course(
            tapes,
            tuple(line_ends(line) for line in self.lines),
            line_settings(tapes[0], self.lines[0]).model_copy(update=rules),
            is_tolerance_said=self.tolerance is not None,
        )
        _refuse_twice(course)
        return course

    def require_called_in(self, grammar: Grammar, course: Course) -> None:
        """Pass if a crew can call such tapes in the words of a grammar, and as it is to be weighed.

        Raises:
            ConfigError: a tape is in another unit, read otherwise than the first, or more finely
                than calls are weighed.
        """
        _refuse_other_unit(course, grammar)
        _refuse_weighing(course, is_wanted=bool(self.is_weighed))


def read_tape_to_call(path: Path, used_on: date) -> Certificate:
    """Read the certificate of a tape whose readings can be called."""
    certificate = read_tape(path, used_on)
    unit = certificate.unit.symbol
    if certificate.nominal > MOST_REACH:
        raise ConfigError(
            f"a {certificate.nominal} {unit} tape: calls go up to {MOST_REACH} {unit}",
            where=str(path),
            next_step=f"use a tape of at most {MOST_REACH} {unit}",
        )
    return certificate


def line_ends(line: str) -> tuple[str, str]:
    """Read the two points of a line, named as A:B; ConfigError if it names no line."""
    start, colon, end = (part.strip() for part in line.partition(":"))
    if not (start and colon and end) or ":" in end or start == end:
        raise ConfigError(
            f"{line!r} names no line", where="--line", next_step="name its two points, as A:B"
        )
    return start, end


def line_settings(certificate: Certificate, line: str) -> LineSettings:
    """Settle a line, named by its two points as A:B, with the crew's usual rules."""
    start, end = line_ends(line)
    return LineSettings(
        line_from=start,
        line_to=end,
        tape=certificate.identity,
        style=certificate.style,
        nominal=certificate.nominal,
        unit=certificate.unit,
        limit=reading_limit(certificate),
        pairing=EDITION,
        hold=certificate.hold_read,
    )


def one_line(certificate: Certificate, line: str) -> Course:
    """Make the course of a crew that has one tape and one line."""
    return Course((certificate,), (line_ends(line),), line_settings(certificate, line))


def _tolerance(text: str | None, certificate: Certificate) -> int:
    """Read a tolerance into least counts of the tape; one of them where none is stated."""
    if text is None:
        return 1
    unit = certificate.unit
    tolerance = in_unit(length_ft(text, certificate.foot), unit)
    counts = round(tolerance * unit.counts)
    if not 0 <= tolerance <= MOST_TOLERANCE or abs(counts - tolerance * unit.counts) > EXACT:
        ft, several = unit.symbol, "whole hundredths"
        if unit.is_fine:
            several = f"whole steps of {unit.text(1)}"
        raise ConfigError(
            f"{text!r} is no tolerance",
            where="--tolerance",
            next_step=f"state {several} of a {unit.singular}, from 0{ft} to 1{ft}, such as"
            f" 0.02{ft}",
        )
    return counts


def _refuse_twice(course: Course) -> None:
    """Refuse a tape or a line that is named twice: a number would not tell which is meant."""
    for option, named in (
        ("--tape", [tape.identity for tape in course.tapes]),
        ("--line", [":".join(line) for line in course.lines]),
    ):
        if len(set(named)) < len(named):
            raise ConfigError(
                f"one is named twice: {', '.join(named)}", where=option, next_step="name each once"
            )


def _refuse_other_unit(course: Course, grammar: Grammar) -> None:
    """Refuse a tape that is graduated in another unit than the crew calls, or read otherwise."""
    for tape in course.tapes:
        if tape.unit.base is not grammar.unit.base:
            raise ConfigError(
                f"tape {tape.identity} is in {tape.unit.plural}, but grammar {grammar.name} calls"
                f" {grammar.unit.plural}",
                where="--tape, --grammar",
                next_step=f"name a grammar in {tape.unit.plural} with --grammar, or give a tape in"
                f" {grammar.unit.plural}",
            )

        if tape.unit is not course.unit:
            first = course.tapes[0]
            raise ConfigError(
                f"tape {first.identity} is read to {course.unit.text(1)} {course.unit.symbol}, tape"
                f" {tape.identity} to {tape.unit.text(1)} {tape.unit.symbol}",
                where="--tape",
                next_step="make a job of its own for each, since figures are counted by the tape",
            )


def _refuse_weighing(course: Course, *, is_wanted: bool) -> None:
    """Refuse to weigh calls on a tape that is read more finely than they are weighed."""
    unit = course.unit
    if is_wanted and unit.is_fine:
        raise ConfigError(
            f"calls on a tape read to {unit.text(1)} {unit.symbol} are not weighed together",
            where="--weigh-together",
            next_step="leave it out: each call is taken as it was heard best",
        )
