"""The command `listen`: a crew in, its calls in a job."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
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
from calllog.commands.engine import (
    DEFAULT_ENGINE,
    Engine,
    EngineOption,
    GrammarOption,
    ModelOption,
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
    support_spans,
)
from calllog.commands.tape_file import DateOption, day_of, read_tape
from calllog.commands.terminal import Terminal
from calllog.commands.told import (
    caution,
    print_end,
    print_how_tapes_read,
    print_told,
    told_when_interrupted,
)
from calllog.decoding import edition_of_new_line
from calllog.errors import ConfigError, require_plain
from calllog.journal import is_job
from calllog.office import grammar_of, replay_job
from calllog.pairing import EDITION
from calllog.phone.place import PORT
from calllog.readback import Verbosity
from calllog.recognise.engine import set_aside_by
from calllog.resources import DEFAULT_GRAMMAR
from calllog.session import Course, Job, Listener, parse_roles, take_recording
from calllog.spoken import Grammar
from calllog.spoken.grammar import MOST_REACH
from calllog.tape import Certificate, reading_limit
from calllog.units import in_unit, parse_force_lbf, parse_temperature_degf
from calllog.values import (
    AfterCheck,
    BookPolicy,
    CalledFirst,
    CheckPolicy,
    LineSettings,
    Role,
)
from calllog.wording import ENGLISH, Words

MOST_TOLERANCE = 1.0
"""Of the tape's unit."""
EXACT = 1e-6
"""How far from a whole hundredth a stated tolerance may be, for the arithmetic of floats."""

out = Terminal(soft_wrap=True, highlight=False, emoji=False)
err = Terminal(stderr=True, soft_wrap=True, highlight=False, emoji=False)


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
            "each as it was best heard. Left out: together, if live, with the default listener "
            "and a check of each pull.",
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
    certificates = tuple(read_tape_to_call(tape, day) for tape in tapes)
    course = Course(
        certificates,
        tuple(line_ends(line) for line in lines),
        line_settings(certificates[0], lines[0]).model_copy(
            update={
                "policy": check,
                "book": book,
                "tolerance": _tolerance(tolerance, certificates[0]),
                "whole_by": parse_roles([whole])[0],
                "after_check": after_check,
                "called_first": first,
                "decoding": edition_of_new_line(
                    check,
                    certificates[0].unit,
                    is_wanted=together,
                    is_measured=engine is DEFAULT_ENGINE,
                    is_live=recordings is None,
                ),
            }
        ),
        is_tolerance_said=tolerance is not None,
    )
    _refuse_twice(course)
    named = grammar or grammar_of(job_folder) or DEFAULT_GRAMMAR
    spoken = load_words(named)[0]
    _refuse_other_unit(course, spoken)
    _refuse_weighing(course, is_wanted=bool(together))
    spoken = spoken.reading(course.unit)
    stated = _conditions(certificates[0], temperature, tension, support, rise)
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
    with (
        told_when_interrupted(job_folder, spoken.words),
        open_recogniser(engine, model, named, course.longest, course.unit, known) as (
            recogniser,
            parser,
        ),
        start.open() as job,
    ):
        out.print(spoken.words.say(caution(job)))
        print_how_tapes_read(course, spoken.words)
        job.use_engine(recogniser.identity, named)
        if crew:
            crew.record(job, spoken.words)
        all_roles = tuple(dict.fromkeys(role for those in wearers for role in those))
        settle_consent(job, given, () if no_clips else all_roles, words=spoken.words)
        for path, those in zip(recordings, wearers, strict=True):
            listener = Listener(
                recogniser, parser, those, course, keeps_clips=not no_clips, keeps_talk=keep_talk
            )
            take_recordings(job, [path], listener, spoken.words)
        for name in set_aside_by(recogniser):
            out.print(spoken.words("voices-set-aside", name=name), markup=False)
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
        stated["temperature_degf"] = parse_temperature_degf(temperature)
    if tension is not None:
        stated["tension_lb"] = parse_force_lbf(tension)
        if not stated["tension_lb"]:
            raise ConfigError(
                f"{tension!r} is no tension", where="--tension", next_step="state more than 0lb"
            )
    if support is not None:
        stated["spans"] = support_spans(support)
    if rise is not None:
        stated["rise_ft"] = length_ft(rise, certificate.foot)
    return stated


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
    """Read the two points of a line, named as A:B.

    Raises:
        ConfigError: it names no line.
    """
    start, colon, end = (part.strip() for part in line.partition(":"))
    if not (start and colon and end) or ":" in end:
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


def take_recordings(
    job: Job, recordings: list[Path], listener: Listener, words: Words = ENGLISH
) -> None:
    """Take recordings into a job, one after the other, telling each call as it comes."""
    with _progress(recordings, is_quiet=not err.is_terminal) as progress:
        for path in recordings:
            duration_s = Recording(path).duration_s
            task = progress.add_task(path.name, total=duration_s)
            taken = take_recording(
                job,
                path,
                listener,
                on_told=partial(print_told, words=words.measured_in(job.state.settings.unit)),
                on_progress=partial(_advance, progress, task),
            )
            out.print(f"{path.name}: {taken} utterances taken in", markup=False)


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
