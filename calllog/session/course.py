"""The tapes and lines that a crew may change to while it works, by their numbers; shell.

What a call begins is a line entry of the journal like any other, so a replay needs no course.
"""

from dataclasses import dataclass

from calllog.errors import ConfigError, JournalError
from calllog.pairing import Phase
from calllog.session.job import Job, is_same_line
from calllog.tape import Certificate, reading_limit
from calllog.values import (
    Call,
    Consequence,
    Finding,
    Kind,
    LineSettings,
    Message,
    Outcome,
    ReadingUnit,
    message,
)

TAPE, LINE = "tape", "line"
"""Names of the conditions that change the tape and the line."""


@dataclass(frozen=True, slots=True)
class Changed:
    """What became of a call for another tape or line."""

    told: Message
    is_done: bool


@dataclass(frozen=True, slots=True)
class Course:
    """What the crew was sent out with.

    Args:
        tapes: certificates, numbered from 1; at least one.
        lines: the two points of each line, numbered from 1; at least one.
        rules: the crew's rules; its line and tape are replaced.
        is_tolerance_said: their tolerance holds on every tape; else it gives way to what a tape's
            certificate states.
    """

    tapes: tuple[Certificate, ...]
    lines: tuple[tuple[str, str], ...]
    rules: LineSettings
    is_tolerance_said: bool = False

    @property
    def longest(self) -> int:
        """Nominal length of the longest tape, whole units."""
        return max(tape.nominal for tape in self.tapes)

    @property
    def unit(self) -> ReadingUnit:
        """What the tapes are graduated in, and how finely they are read."""
        return self.tapes[0].unit

    def tolerance(self, certificate: Certificate) -> int:
        """Tell how far first and check may be apart on a tape [least counts]."""
        if self.is_tolerance_said or certificate.tolerance is None:
            return self.rules.tolerance
        return certificate.tolerance_read

    def settings(self, tape: int, line: int) -> LineSettings:
        """Give the settings of a line on a tape, both by their places from 0."""
        certificate = self.tapes[tape]
        line_from, line_to = self.lines[line]
        return self.rules.model_copy(
            update={
                "line_from": line_from,
                "line_to": line_to,
                "tape": certificate.identity,
                "style": certificate.style,
                "nominal": certificate.nominal,
                "unit": certificate.unit,
                "limit": reading_limit(certificate),
                "hold": certificate.hold_read,
                "tolerance": self.tolerance(certificate),
            }
        )

    def place(self, settings: LineSettings) -> tuple[int, int] | None:
        """Find which tape and line settings are of; None if they are not of this course."""
        identities = [tape.identity for tape in self.tapes]
        ends = (settings.line_from, settings.line_to)
        if settings.tape not in identities or ends not in self.lines:
            return None
        return identities.index(settings.tape), self.lines.index(ends)

    def leaves(self, job: Job) -> LineSettings | None:
        """Tell which line is begun in place of one of which a pull is begun and not recorded.

        Returns:
            What holds for it; None where nothing is left so.
        """
        before = job.replay.state
        if before is None or not before.is_begun or before.phase is Phase.FINISHED:
            return None
        settings = self.settings(*(self.place(before.settings) or (0, 0)))
        return None if is_same_line(before.settings, settings) else settings

    def go_on(self, job: Job, *, is_heard_again: bool = False) -> None:
        """Go on with the job's last line if it is of this course, else begin the first.

        A finished line stays finished where there are others to change to, or where nothing new
        is heard; else it is begun again as another run.

        Args:
            job: the job.
            is_heard_again: what is to be heard is in the job already: a command was run twice.

        Raises:
            ConfigError: a tape stands in the job with another certificate.
            JournalError: a pull of another line waits for a decision.
        """
        before = job.replay.state
        place = None if before is None else self.place(before.settings)
        may_stay = is_heard_again or len(self.lines) > 1
        if before is not None and place is not None and may_stay:
            is_same = is_same_line(before.settings, self.settings(*place))
            if is_same and before.phase is Phase.FINISHED:
                return
        self.begin(job, *(place or (0, 0)))

    def begin(self, job: Job, tape: int, line: int) -> None:
        """Begin a line on a tape, or go on with it; the tape's held foot then counts."""
        certificate = self.tapes[tape]
        before = job.replay.state
        job.begin_line(self.settings(tape, line), certificate)
        conditions = job.state.conditions
        is_other = before is None or before.settings.tape != certificate.identity
        # edition 0 of the pairing has the held mark from here; later ones from the line itself
        if is_other and conditions.hold != certificate.hold_read:
            job.record(conditions.model_copy(update={"hold": certificate.hold_read}))

    def follow(self, job: Job, call: Call, consequences: tuple[Consequence, ...]) -> Changed | None:
        """Change the tape or the line if a call that was just taken says so.

        Returns:
            What became of it; None for any other call, and for one that was refused or held.
        """
        if (
            call.kind is not Kind.CONDITION
            or call.name not in (TAPE, LINE)
            or call.outcome is not Outcome.CALL
            or any(not isinstance(each, Finding) for each in consequences)
        ):
            return None
        number = round(call.amount or 0)
        known = self.tapes if call.name == TAPE else self.lines
        if not 1 <= number <= len(known):
            return Changed(message("not-here", what=call.name, number=number), is_done=False)
        tape, line = self.place(job.state.settings) or (0, 0)
        if call.name == TAPE:
            tape = number - 1
        else:
            line = number - 1
        try:
            self.begin(job, tape, line)
        except (ConfigError, JournalError) as error:
            return Changed(message("as-told", words=error.what), is_done=False)
        if call.name == TAPE:
            name = self.tapes[tape].identity
            return Changed(message("tape-changed", number=number, name=name), is_done=True)
        begins, ends = self.lines[line]
        changed = message("line-changed", number=number, begins=begins, ends=ends)
        return Changed(changed, is_done=True)
