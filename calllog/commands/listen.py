"""The command `listen`: a crew in, its calls in a job."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from pydantic import JsonValue
from rich.progress import (
    BarColumn,
    Progress,
    TaskID,
    TaskProgressColumn,
    TextColumn,
    TimeRemainingColumn,
)

from calllog.audio import Recording
from calllog.commands.about import AboutOption, read_about
from calllog.commands.agreeing import (
    ConsentOption,
    ConsentUntilOption,
    KeepTalkOption,
    ListenersOption,
    agreement,
    settle_consent,
)
from calllog.commands.course_options import CourseOptions
from calllog.commands.engine import (
    DEFAULT_ENGINE,
    Engine,
    EngineOption,
    GrammarOption,
    ModelOption,
    is_english,
    load_words,
    open_recogniser,
)
from calllog.commands.field import (
    BlindOption,
    CrewPhonesOption,
    HeadsetOption,
    KeypadOption,
    KeysOnlyOption,
    Kit,
    MicrophoneOption,
    OutputOption,
    PageCertificateOption,
    PageHostOption,
    PageKeyOption,
    PageOption,
    PagePortOption,
    SayOption,
    Start,
    TypistOption,
    UnsavedOption,
    VoiceOption,
    VolumeOption,
    page_place,
    require_phones,
    run_field,
)
from calllog.commands.knowing import (
    HeadVoiceOption,
    NamedVoices,
    RearVoiceOption,
    VoicesOption,
    by_channel,
    crew_voices,
    offer_learning,
    require_encoder,
)
from calllog.commands.stated import (
    SupportOption,
    TemperatureOption,
    TensionOption,
    length_ft,
    of_option,
    support_spans,
)
from calllog.commands.tape_file import DateOption, day_of
from calllog.commands.terminal import err, out, work_in
from calllog.commands.told import (
    caution,
    print_end,
    print_how_tapes_read,
    print_told,
    told_when_interrupted,
)
from calllog.commands.tongues import (
    HeadGrammarOption,
    RearGrammarOption,
    grammars_by_channel,
    grammars_by_role,
)
from calllog.errors import ConfigError, require_plain
from calllog.journal import is_job
from calllog.phone.place import PORT
from calllog.readback import Verbosity
from calllog.recognise.engine import set_aside_by
from calllog.resources import DEFAULT_GRAMMAR
from calllog.session import Job, Listener, hear_recording, parse_roles
from calllog.session.reread import grammar_of, replay_job
from calllog.tape import Certificate
from calllog.units import parse_force_lbf, parse_temperature_degf
from calllog.values import (
    AfterCheck,
    BookPolicy,
    CalledFirst,
    CheckPolicy,
    Role,
)
from calllog.wording import ENGLISH, Words


def listen(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    tapes: Annotated[
        list[Path],
        typer.Option(
            "--tape",
            help="The tape's certificate, a TOML file; give it again for tapes to change to.",
        ),
    ],
    lines: Annotated[
        list[str],
        typer.Option(
            "--line", help="The line's two points, as A:B; give it again for lines to change to."
        ),
    ],
    recordings: Annotated[
        list[Path] | None,
        typer.Option(
            "--from", help="A recording instead of microphones; again for each one, in order."
        ),
    ] = None,
    channels: Annotated[
        str | None,
        typer.Option(
            "--channels",
            help="Who wears each channel's microphone in the first measurement: head,rear; unsaid"
            " for both;"
            " left out, one channel serves both.",
        ),
    ] = None,
    whole: Annotated[
        str,
        typer.Option(
            "--whole", help="Who calls the whole foot in the first measurement: rear or head."
        ),
    ] = "rear",
    after_check: Annotated[
        AfterCheck,
        typer.Option(
            "--after-check",
            help="What the two do after a check; unsaid: learned as you go, and asked where it is "
            "not clear.",
        ),
    ] = AfterCheck.UNSAID,
    first: Annotated[
        CalledFirst,
        typer.Option(
            "--first", help="What is called first: the whole foot, or the hundredths (fraction)."
        ),
    ] = CalledFirst.UNSAID,
    check: Annotated[
        CheckPolicy, typer.Option("--check", help="Whether each pull needs a check.")
    ] = CheckPolicy.REQUIRED,
    book: Annotated[
        BookPolicy,
        typer.Option(
            "--book",
            help="What is recorded when first and check agree: the first, their mean or the check.",
        ),
    ] = BookPolicy.FIRST,
    tolerance: Annotated[
        str | None,
        typer.Option(
            "--tolerance",
            help="Greatest difference that agrees: 0.01ft or 0.01m, as the tape is; left out, what"
            " the tape's certificate states.",
        ),
    ] = None,
    temperature: TemperatureOption = None,
    tension: TensionOption = None,
    support: SupportOption = None,
    rise: Annotated[
        str | None,
        typer.Option(
            "--rise", help="Difference of height of the ends, of the next pull alone: 1.25ft."
        ),
    ] = None,
    about: AboutOption = None,
    on: DateOption = None,
    together: Annotated[
        bool | None,
        typer.Option(
            "--weigh-together/--weigh-alone",
            help="Weigh all calls of a pull together and ask again for the one in doubt, or take "
            "each as it was best heard. Left out: together, if live, in English, with the default "
            "listener and a check of each pull.",
            show_default=False,
        ),
    ] = None,
    no_clips: Annotated[bool, typer.Option("--no-clips", help="Keep no sound in the job.")] = False,
    consent: ConsentOption = None,
    consent_until: ConsentUntilOption = None,
    listeners: ListenersOption = None,
    keep_talk: KeepTalkOption = False,
    engine: EngineOption = DEFAULT_ENGINE,
    model: ModelOption = None,
    grammar: GrammarOption = None,
    microphones: MicrophoneOption = None,
    keypads: KeypadOption = None,
    typist: TypistOption = Role.UNSAID,
    keys_only: KeysOnlyOption = False,
    output: OutputOption = None,
    volume: VolumeOption = 1.0,
    voice: VoiceOption = None,
    say: SayOption = Verbosity.ALL,
    headset: HeadsetOption = False,
    blind_check: BlindOption = False,
    crew_phones: CrewPhonesOption = False,
    page: PageOption = False,
    page_host: PageHostOption = None,
    page_port: PagePortOption = PORT,
    page_certificate: PageCertificateOption = None,
    page_key: PageKeyOption = None,
    unsaved: UnsavedOption = None,
    head: HeadVoiceOption = None,
    rear: RearVoiceOption = None,
    head_grammar: HeadGrammarOption = None,
    rear_grammar: RearGrammarOption = None,
    voices: VoicesOption = None,
) -> None:
    """Take a crew into a job, live or from recordings; an existing job goes on.

    Without --from, calllog listens to the microphones and the keypad until Ctrl-C. The options from
    --microphone on are for live work; an option left out is as the job had it last. Sound is kept
    only of those who agree to it (--consent); calls are taken in all the same.

    Example: calllog listen day-1 --tape otter.toml --line Spring:Oak --microphone headset
    """
    if not is_job(job_folder):
        require_plain(job_folder.name, "JOB")
    for line in lines:
        require_plain(line, "--line")
    for recording in recordings or ():
        require_plain(recording.name, "--from")
    day = day_of(on)
    named = grammar or grammar_of(job_folder) or DEFAULT_GRAMMAR
    spoken = load_words(named)[0]
    work_in(spoken.language)
    by_role = grammars_by_role(
        replay_job(job_folder).spoken if is_job(job_folder) else {},
        head=head_grammar,
        rear=rear_grammar,
        own=spoken,
        engine=engine,
    )
    wanted = CourseOptions(
        tapes=tuple(tapes),
        lines=tuple(lines),
        check=check,
        book=book,
        tolerance=tolerance,
        whole_by=whole,
        after_check=after_check,
        called_first=first,
        is_weighed=together,
    )
    is_measured = engine is DEFAULT_ENGINE and is_english(spoken) and not by_role
    course = wanted.course(day, is_measured=is_measured, is_live=recordings is None)
    wanted.require_called_in(spoken, course)
    spoken = spoken.reading(course.unit)
    stated = _conditions(course.tapes[0], temperature, tension, support, rise)
    roles = None if channels is None else parse_roles(channels.split(","))
    facts = None if about is None else read_about(about)
    given = agreement(consent, consent_until, listeners)
    start = Start(job_folder, course, stated, day, on is not None, unsaved, facts, given)
    named_voices = NamedVoices(head, rear, voices)
    if head or rear:
        require_encoder(engine, "--head, --rear")
    if recordings is None:
        kit = Kit(
            microphones=tuple(microphones or ()),
            roles=roles,
            keypads=tuple(keypads or ()),
            typist=typist,
            is_keys_only=keys_only,
            output=output,
            volume=volume,
            voice=voice,
            verbosity=say,
            is_headset=headset,
            is_blind=blind_check,
            keeps_clips=not no_clips,
            keeps_talk=keep_talk,
            grammar=named,
            spoken=by_role,
            page=page_place(page_host, page_port, page_certificate, page_key, is_wanted=page),
            voices=named_voices if engine is Engine.ENCODER else None,
            has_phones=crew_phones,
        )
        require_phones(kit)
        run_field(start, kit, engine, model)
        return
    wearers = [roles or worn_by(Recording(path).channels) for path in recordings]
    is_known = engine is Engine.ENCODER
    before = replay_job(job_folder).speakers if is_known and is_job(job_folder) else {}
    crew = crew_voices(before, named_voices) if is_known else None
    known = by_channel(crew.voices, wearers) if crew else None
    others = grammars_by_channel(by_role, wearers, named)
    with (
        told_when_interrupted(job_folder, spoken.words),
        open_recogniser(engine, model, named, course.longest, course.unit, known, others) as (
            recogniser,
            parser,
        ),
        start.open() as job,
    ):
        out.print(spoken.words.say(caution(job)))
        print_how_tapes_read(course, spoken.words)
        job.use_engine(recogniser.identity, named, by_role)
        if crew:
            crew.record(job, spoken.words)
        all_roles = tuple(dict.fromkeys(role for those in wearers for role in those))
        settle_consent(job, given, () if no_clips else all_roles, words=spoken.words)
        for path, those in zip(recordings, wearers, strict=True):
            listener = Listener(
                recogniser, parser, those, course, keeps_clips=not no_clips, keeps_talk=keep_talk
            )
            hear_recordings(job, [path], listener, spoken.words)
        for name in set_aside_by(recogniser):
            out.print(spoken.words("voices-set-aside", name=name))
        offer_learning(job, crew, spoken.words)
        print_end(job, spoken.words)


def worn_by(channels: int) -> tuple[Role, ...]:
    """Tell who wears each channel's microphone of a recording where nobody says so.

    One microphone serves both people; of two the head wears the first.
    """
    return (Role.UNSAID,) if channels == 1 else (Role.HEAD, Role.REAR)


def _conditions(
    certificate: Certificate,
    temperature: str | None,
    tension: str | None,
    support: str | None,
    rise: str | None,
) -> dict[str, JsonValue]:
    """Read the conditions that were stated; those that were not are left as they stand."""
    stated: dict[str, JsonValue] = {}
    if temperature is not None:
        stated["temperature_degf"] = of_option("--temperature", parse_temperature_degf, temperature)
    if tension is not None:
        stated["tension_lb"] = of_option("--tension", parse_force_lbf, tension)
        if not stated["tension_lb"]:
            raise ConfigError(
                f"{tension!r} is no tension", where="--tension", next_step="state more than 0lb"
            )
    if support is not None:
        stated["spans"] = support_spans(support)
    if rise is not None:
        stated["rise_ft"] = of_option("--rise", partial(length_ft, foot=certificate.foot), rise)
    return stated


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
