"""A job and a corrected certificate in, the job reduced by both and the differences out."""

from dataclasses import dataclass
from pathlib import Path

from calllog.lines import LengthChange, changes
from calllog.office.summary import Summary, summarise
from calllog.session.clock import Clock, system_clock
from calllog.session.job import Job
from calllog.session.replay import Edition
from calllog.tape import Certificate


@dataclass(frozen=True, slots=True)
class Rereduction:
    """A job reduced by a certificate and by the one that replaced it."""

    replaced: Edition
    in_force: Edition
    before: Summary
    after: Summary
    pulls: tuple[LengthChange, ...]
    lines: tuple[LengthChange, ...]
    is_new: bool = True
    """Whether an entry was written; False where the certificate was in force already."""

    @property
    def entries_changed(self) -> tuple[str, ...]:
        """Names of the certificate's entries that differ."""
        old, new = self.replaced.certificate.entries, self.in_force.certificate.entries
        return tuple(name for name in new if old[name] != new[name])


def rereduce(
    folder: Path, certificate: Certificate, *, by: str, why: str, clock: Clock = system_clock
) -> Rereduction:
    """Reduce a whole job again by a corrected certificate; the old one stays in the journal.

    Where the certificate in force is this one and replaced another, nothing is written and the
    differences are the same again: so a run that was broken off is done again.

    Raises:
        ConfigError: the certificate cannot replace the one in force (see `Job.correct_tape`).
        JournalError: the folder is no job, is in use, or has no line.
    """
    summarise(folder)
    with Job.open_existing(folder, clock) as job:
        editions = job.replay.editions.get(certificate.identity, [])
        is_new = len(editions) < 2 or editions[-1].certificate != certificate  # noqa: PLR2004
        if is_new:
            job.correct_tape(certificate, by=by, why=why)
    after = summarise(folder)
    replaced, in_force = after.replay.editions[certificate.identity][-2:]
    before = summarise(folder, before=in_force.sequence)
    pulls, lines = changes(before.corrected, after.corrected)
    return Rereduction(replaced, in_force, before, after, pulls, lines, is_new)
