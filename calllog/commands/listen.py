"""The command `listen`: a crew in, its calls in a job."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.about import AboutOption, read_about
from calllog.commands.agreeing import SoundOptions
from calllog.commands.course_options import CourseOptions
from calllog.commands.engine import Engine, HearingOptions, load_words
from calllog.commands.field import run_field
from calllog.commands.grouped import grouped
from calllog.commands.kit import DeviceOptions, Kit, PageOptions
from calllog.commands.knowing import NamedVoices, require_encoder
from calllog.commands.recorded import run_recordings
from calllog.commands.start import Start
from calllog.commands.stated import ConditionOptions
from calllog.commands.tape_file import DateOption, day_of
from calllog.commands.terminal import work_in
from calllog.commands.tongues import ByRole, TongueOptions
from calllog.decoding import is_fitted
from calllog.errors import require_plain
from calllog.journal import is_job
from calllog.resources import DEFAULT_GRAMMAR
from calllog.session import Course, parse_roles
from calllog.session.reread import grammar_of, replay_job
from calllog.spoken import Grammar


@dataclass(frozen=True, slots=True, kw_only=True)
class ListenOptions:
    """All that `listen` is told of a crew; it is read and checked before a job is opened.

    Which options there are, and what they mean, each group of them knows.
    """

    rules: CourseOptions
    recordings: Annotated[
        tuple[Path, ...],
        typer.Option(
            "--from", help="A recording instead of microphones; again for each one, in order."
        ),
    ] = ()
    channels: Annotated[
        str | None,
        typer.Option(
            "--channels",
            help="Who wears each channel's microphone in the first measurement: head,rear; unsaid"
            " for both;"
            " left out, one channel serves both.",
        ),
    ] = None
    conditions: ConditionOptions
    about: AboutOption = None
    on: DateOption = None
    sound: SoundOptions
    hearing: HearingOptions
    voices: NamedVoices
    tongues: TongueOptions
    devices: DeviceOptions
    page: PageOptions
    unsaved: Annotated[
        Path | None,
        typer.Option(
            "--unsaved",
            help="Calls that could not be saved: the file named when the last run ended.",
        ),
    ] = None

    def read(self, job_folder: Path) -> tuple[Start, Kit]:
        """Read how the job begins, and what the crew works with.

        Raises:
            CalllogError: an option cannot be read, or two do not go together.
        """
        self._require_plain(job_folder)
        day = day_of(self.on)
        named = self.hearing.grammar or grammar_of(job_folder) or DEFAULT_GRAMMAR
        own = load_words(named)[0]
        work_in(own.language)
        before = replay_job(job_folder).spoken if is_job(job_folder) else {}
        by_role = self.tongues.by_role(before, own, self.hearing.engine)
        course = self._course(day, own, by_role)
        start = Start(
            job_folder,
            course,
            self.conditions.stated(course.tapes[0].foot),
            day,
            is_day_stated=self.on is not None,
            unsaved=self.unsaved,
            about=None if self.about is None else read_about(self.about),
            given=self.sound.agreement(),
        )
        if self.voices.head or self.voices.rear:
            require_encoder(self.hearing.engine, "--head, --rear")
        kit = Kit(
            self.devices,
            roles=None if self.channels is None else parse_roles(self.channels.split(",")),
            keeps_clips=not self.sound.no_clips,
            keeps_talk=self.sound.keep_talk,
            grammar=named,
            spoken=by_role,
            page=None if self.recordings else self.page.place(),
            voices=self.voices if self.hearing.engine is Engine.ENCODER else None,
        )
        if not self.recordings:
            kit.require_phones()
        return start, kit

    def _require_plain(self, job_folder: Path) -> None:
        """Pass if no name has signs that cannot be seen."""
        if not is_job(job_folder):
            require_plain(job_folder.name, "JOB")
        for line in self.rules.lines:
            require_plain(line, "--line")
        for recording in self.recordings:
            require_plain(recording.name, "--from")

    def _course(self, day: date, own: Grammar, by_role: ByRole) -> Course:
        others = (load_words(name)[0] for each in by_role.values() for name in each)
        languages = {each.language for each in (own, *others)}
        is_measured = is_fitted(self.hearing.engine, languages)
        course = self.rules.course(day, is_measured=is_measured, is_live=not self.recordings)
        self.rules.require_called_in(own, course)
        return course


@grouped
def listen(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    given: ListenOptions,
) -> None:
    """Record a crew's calls in a job, live or from recordings; an existing job goes on.

    Without --from, calllog listens to the microphones and the keypad until Ctrl-C. The options from
    --microphone on are for live work; an option left out is as the job had it last. Sound is kept
    only of those who agree to it (--consent); calls are taken in all the same.

    Example: calllog listen day-1 --tape otter.toml --line Spring:Oak --microphone headset
    """
    start, kit = given.read(job_folder)
    engine, model = given.hearing.engine, given.hearing.model
    if given.recordings:
        run_recordings(start, kit, engine, model, given.recordings)
    else:
        run_field(start, kit, engine, model)
