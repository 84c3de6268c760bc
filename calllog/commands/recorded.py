"""Work of the command `listen` with recordings: each is heard and taken into the job; shell."""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from rich.progress import (
    BarColumn,
    Progress,
    TaskID,
    TaskProgressColumn,
    TextColumn,
    TimeRemainingColumn,
)

from calllog.audio import Recording
from calllog.commands.agreeing import settle_consent
from calllog.commands.engine import Engine, load_words, open_recogniser
from calllog.commands.kit import WORN, Kit
from calllog.commands.knowing import by_channel, crew_voices, offer_learning
from calllog.commands.start import Start
from calllog.commands.terminal import err, out
from calllog.commands.told import (
    caution,
    print_end,
    print_how_tapes_read,
    print_told,
    told_when_interrupted,
)
from calllog.commands.tongues import grammars_by_channel
from calllog.journal import is_job
from calllog.recognise.engine import set_aside_by
from calllog.session import Job, Listener, hear_recording
from calllog.session.reread import replay_job
from calllog.values import Role
from calllog.wording import ENGLISH, Words


def run_recordings(
    start: Start, kit: Kit, engine: Engine, model: Path | None, recordings: tuple[Path, ...]
) -> None:
    """Take recordings into a job, one after the other.

    Raises:
        CalllogError: the job, an engine or a recording cannot be opened.
    """
    course = start.course
    words = load_words(kit.grammar, unit=course.unit)[0].words
    wearers = [kit.roles or worn_by(Recording(path).channels) for path in recordings]
    before = replay_job(start.folder).speakers if kit.voices and is_job(start.folder) else {}
    crew = crew_voices(before, kit.voices) if kit.voices else None
    known = by_channel(crew.voices, wearers) if crew else None
    others = grammars_by_channel(kit.spoken, wearers, kit.grammar)
    with (
        told_when_interrupted(start.folder, words),
        open_recogniser(engine, model, kit.grammar, course.longest, course.unit, known, others) as (
            recogniser,
            parser,
        ),
        start.open(recordings=recordings) as job,
    ):
        out.print(words.say(caution(job)))
        print_how_tapes_read(course, words)
        job.use_engine(recogniser.identity, kit.grammar, kit.spoken)
        if crew:
            crew.record(job, words)
        all_roles = tuple(dict.fromkeys(role for those in wearers for role in those))
        settle_consent(job, start.given, all_roles if kit.keeps_clips else (), words=words)
        for path, roles in zip(recordings, wearers, strict=True):
            listener = Listener(
                recogniser,
                parser,
                roles,
                course,
                keeps_clips=kit.keeps_clips,
                keeps_talk=kit.keeps_talk,
            )
            hear_recordings(job, [path], listener, words)
        for name in set_aside_by(recogniser):
            out.print(words("voices-set-aside", name=name))
        offer_learning(job, crew, words)
        print_end(job, words)


def worn_by(channels: int) -> tuple[Role, ...]:
    """Tell who wears each channel's microphone of a recording where nobody says so.

    One microphone serves both people; of two the head wears the first.
    """
    return (Role.UNSAID,) if channels == 1 else WORN


def hear_recordings(
    job: Job, recordings: list[Path], listener: Listener, words: Words = ENGLISH
) -> None:
    """Take recordings into a job, one after the other, telling each call as it comes."""
    with _progress(recordings, is_quiet=not err.is_terminal) as progress:
        for path in recordings:
            duration_s = Recording(path).duration_s
            task = progress.add_task(path.name, total=duration_s)
            taken = hear_recording(
                job,
                path,
                listener,
                on_told=partial(print_told, words=words.measured_in(job.state.settings.unit)),
                on_progress=partial(_advance, progress, task),
            )
            out.print(words("log-recording-taken", recording=path.name, taken=taken))


def _advance(progress: Progress, task: TaskID, at_s: float) -> None:
    progress.update(task, completed=at_s)


@contextmanager
def _progress(files: list[Path], *, is_quiet: bool) -> Iterator[Progress]:
    with Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        TaskProgressColumn(),
        TimeRemainingColumn(),
        console=err,
        disable=is_quiet or not files,
        transient=True,
    ) as progress:
        yield progress
