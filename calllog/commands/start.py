"""A job and how it is begun or gone on with, in; the open job, out; shell."""

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from pydantic import JsonValue

from calllog import system
from calllog.about import StatedFacts
from calllog.commands.agreeing import NONE_GIVEN, YES, Agreement, tell_due
from calllog.commands.terminal import asked_messages, err, out
from calllog.errors import ConfigError
from calllog.journal import Entry
from calllog.live.spill import left_behind, read_spill
from calllog.pairing import Phase, State, status
from calllog.session import Course, Job
from calllog.units import stated_length
from calllog.wording import ENGLISH


@dataclass(frozen=True, slots=True)
class Start:
    """A job, and how it begins or is gone on with."""

    folder: Path
    course: Course
    stated: dict[str, JsonValue]
    """Conditions stated on the command line."""
    day: date
    is_day_stated: bool
    unsaved: Path | None = None
    """What an earlier sitting could not write."""
    about: StatedFacts | None = None
    """Facts of the job; None: as they are."""
    given: Agreement = NONE_GIVEN
    """Who agrees to sound being kept, as the command line says."""

    @contextmanager
    def open(self, *, is_live: bool = False, recordings: Sequence[Path] = ()) -> Iterator[Job]:
        """Open the job with its line begun, its day noted and its conditions in force.

        What the last sitting was begun with as well is not stated anew by a live one, nor by one
        that goes on with a recording: the crew may have changed it since, and the same command
        goes on from there.
        """
        with Job.open(self.folder, unsaved=self._unsaved()) as job:
            tell_due(self.folder, job.replay, job.today, job.not_removed)
            self._leave(job, is_live=is_live)
            heard = job.replay.recordings
            is_again = bool(recordings) and all(path.name in heard for path in recordings)
            self.course.go_on(job, is_heard_again=is_again)
            job.use_day(self.day, is_stated=self.is_day_stated)
            if self.about is not None:
                job.state_about(self.about, at_start=True)
            known = job.replay.kit.get("stated") if is_live else None
            before = known if isinstance(known, dict) else {}
            stated = {name: each for name, each in self.stated.items() if before.get(name) != each}
            if is_again:  # it was stated before the first of its pulls
                stated = {}
            conditions = job.state.conditions.model_copy(update=stated)
            if conditions != job.state.conditions:
                job.record(conditions)
                if "rise_ft" in stated and job.state.settings.pairing:
                    out.print(_one_pull(job.state))
            yield job

    def _leave(self, job: Job, *, is_live: bool) -> None:
        """Let no pull be left half measured by another line without a word: ask, or tell.

        Raises:
            ConfigError: it is not to be left.
        """
        settings = self.course.leaves(job)
        if settings is None or job.state.phase is Phase.STOPPED:  # no line is begun over a stop
            return
        words, state = asked_messages().measured_in(job.state.settings.unit), job.state
        name = job.replay.run_of(state.settings)
        facts = {"name": name.told, "status": status(state)}
        if not (is_live and sys.stdin.isatty() and out.is_terminal):
            err.print(f"! {words('log-left-pull', **facts)}")
            return
        other = job.replay.run_of(settings).told
        out.print(words("log-leaves-pull", **facts, other=other), end=" ")
        if sys.stdin.readline().strip().lower() not in YES:
            ends = f"{name.line_from}:{name.line_to}"
            option = system.quoted(ends)
            raise ConfigError(
                f"pull {state.pull} of {ends} is not recorded",
                where=str(self.folder),
                next_step=f"go on with it: the same command with --line {option} and its tape",
            )

    def _unsaved(self) -> tuple[Entry, ...]:
        """Read what an earlier sitting could not write; refuse to go on without it."""
        if self.unsaved is not None:
            return read_spill(self.unsaved)
        left = left_behind(self.folder)
        if left is not None:
            raise ConfigError(
                "not all calls of the last sitting reached the disk",
                where=str(self.folder),
                next_step=f"give them to the job: --unsaved {system.quoted(left)}; or delete that"
                " file",
            )
        return ()


def _one_pull(state: State) -> str:
    """Say that a rise that was stated for the work counts for one pull of it."""
    unit = state.settings.unit
    rise = stated_length(state.conditions.rise_ft or 0.0, unit)
    return ENGLISH.measured_in(unit)("log-rise-of-one-pull", rise=rise, pull=state.pull)
