"""Live work of the command `listen`: devices opened and remembered, and the loop run; shell."""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from pathlib import Path
from types import FrameType
from typing import Annotated, BinaryIO

import typer
from pydantic import JsonValue

from calllog import system
from calllog.about import StatedFacts
from calllog.audio.endpoint import Samples
from calllog.audio.microphone import Microphone
from calllog.commands.agreeing import NONE_GIVEN, Agreement, settle_consent, tell_due
from calllog.commands.engine import Engine, load_parser, load_words, make_recogniser
from calllog.commands.knowing import NamedVoices, by_channel, crew_voices, offer_learning
from calllog.commands.terminal import err, out
from calllog.commands.told import (
    caution,
    print_end,
    print_how_tapes_read,
    told_when_interrupted,
)
from calllog.commands.tongues import grammars_by_channel
from calllog.errors import AudioError, ConfigError, JournalError
from calllog.files import open_own, require_mine
from calllog.journal import Entry
from calllog.keypad import KeySource
from calllog.keypad.device import open_keypad
from calllog.keypad.terminal import TerminalKeys
from calllog.live import FieldLoop, Settings
from calllog.live.devices import SoundSource, Speaker
from calllog.live.several import Several
from calllog.live.spill import left_behind, read_spill, spill, spilt_lines
from calllog.pairing import State, StyleKnown
from calllog.panel import Panel
from calllog.phone.authority import papers_for
from calllog.phone.crew import CrewPhones
from calllog.phone.crew_desk import CrewDesk, CrewTerms
from calllog.phone.desk import Desk
from calllog.phone.ears import Ears, lexicon
from calllog.phone.place import LOOPBACK, Place
from calllog.readback import PACKS, Player, Verbosity, choose_voice, rehearsal
from calllog.recognise import Recogniser
from calllog.recognise.worker import Worker
from calllog.resources import DEFAULT_GRAMMAR
from calllog.session import Course, Job, Recorder, Told, parse_roles
from calllog.session.consent import EVERYONE
from calllog.session.live import LiveCrew
from calllog.spoken import Grammar
from calllog.tape import how_it_reads
from calllog.units import stated_length
from calllog.values import Role, message
from calllog.wording import ENGLISH, Words

MicrophoneOption = Annotated[
    list[str] | None,
    typer.Option(
        "--microphone", help="Name of a microphone, or a part of it; twice for two: head, rear."
    ),
]
KeypadOption = Annotated[
    list[str] | None,
    typer.Option(
        "--keypad", help="A keypad of one person, such as rear=NAME; give it again for the other."
    ),
]
TypistOption = Annotated[
    Role, typer.Option("--keys", help="Who types in this terminal: head, rear, or unsaid for both.")
]
KeysOnlyOption = Annotated[
    bool, typer.Option("--keys-only", help="No microphone: everything is typed.")
]
OutputOption = Annotated[
    str | None,
    typer.Option("--output", help='Name of the loudspeaker, or a part of it; "none" for silence.'),
]
VolumeOption = Annotated[
    float, typer.Option("--volume", min=0.0, max=1.0, help="Of the read-back, 0 to 1.")
]
VoiceOption = Annotated[
    str | None,
    typer.Option("--voice", help="built-in, piper, or a Piper voice's path; the best there is."),
]
SayOption = Annotated[
    Verbosity, typer.Option("--say", help="How much is read back in words; tones always sound.")
]
HeadsetOption = Annotated[
    bool,
    typer.Option(
        "--headset",
        help="Read-back in one earphone only, the other ear open: keep listening while it sounds.",
    ),
]
BlindOption = Annotated[
    bool,
    typer.Option(
        "--blind-check", help="Tones alone, and no number shown, until first and check are both in."
    ),
]

PageOption = Annotated[
    bool,
    typer.Option(
        "--page", help="Serve the chief's page; to this computer alone without --page-host."
    ),
]
PageHostOption = Annotated[
    str | None,
    typer.Option("--page-host", help="Serve it at this address of the computer, to phones there."),
]
PagePortOption = Annotated[
    int, typer.Option("--page-port", min=1, max=65535, help="Port of the chief's page.")
]
PageCertificateOption = Annotated[
    Path | None,
    typer.Option("--page-certificate", help="Certificate of the page, PEM: serves it by TLS."),
]
CrewPhonesOption = Annotated[
    bool,
    typer.Option(
        "--crew-phones",
        help="Head's and rear's phones are their microphones, ears and keys; with one --microphone"
        " and --channels, the other one's is. Goes with --page-host.",
    ),
]
PageKeyOption = Annotated[
    Path | None, typer.Option("--page-key", help="Key of that certificate, PEM.")
]

UnsavedOption = Annotated[
    Path | None,
    typer.Option(
        "--unsaved", help="Calls that could not be saved: the file named when the last run ended."
    ),
]

DEVICES_LOG = "devices.log"
"""In the job's folder: what sound libraries print."""
NO_OUTPUT = "none"
WORN = (Role.HEAD, Role.REAR)
LAST_ANSWER_S = 3.0
"""How long the last call may take to be understood once the crew has stopped."""


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
    def open(self, *, is_live: bool = False) -> Iterator[Job]:
        """Open the job with its line begun, its day noted and its conditions in force.

        What the last sitting was begun with as well is not stated anew by a live one: the crew may
        have changed it since, and the same command goes on from there.
        """
        with Job.open(self.folder, unsaved=self._unsaved()) as job:
            tell_due(self.folder, job.replay, job.today, job.not_removed)
            self.course.go_on(job)
            job.use_day(self.day, is_stated=self.is_day_stated)
            if self.about is not None:
                job.state_about(self.about, at_start=True)
            known = job.replay.kit.get("stated") if is_live else None
            before = known if isinstance(known, dict) else {}
            stated = {name: each for name, each in self.stated.items() if before.get(name) != each}
            conditions = job.state.conditions.model_copy(update=stated)
            if conditions != job.state.conditions:
                job.record(conditions)
                if "rise_ft" in stated and job.state.settings.pairing:
                    out.print(_one_pull(job.state))
            yield job

    def _unsaved(self) -> tuple[Entry, ...]:
        """Read what an earlier sitting could not write; refuse to go on without it."""
        if self.unsaved is not None:
            return read_spill(self.unsaved)
        left = left_behind(self.folder)
        if left is not None:
            raise ConfigError(
                "the disk did not take all calls of the last sitting",
                where=str(self.folder),
                next_step=f"give them to the job: --unsaved {left}; or delete that file",
            )
        return ()


def _one_pull(state: State) -> str:
    """Say that a rise that was stated for the work counts for one pull of it."""
    unit = state.settings.unit
    rise = stated_length(state.conditions.rise_ft or 0.0, unit)
    return ENGLISH.measured_in(unit)("log-rise-of-one-pull", rise=rise, pull=state.pull)


@dataclass(frozen=True, slots=True)
class Kit:
    """The crew's devices as they were asked for; what was left out is as the job had it last."""

    microphones: tuple[str, ...]
    roles: tuple[Role, ...] | None
    keypads: tuple[str, ...]
    typist: Role
    is_keys_only: bool
    output: str | None
    volume: float
    voice: str | None
    verbosity: Verbosity
    is_headset: bool
    keeps_clips: bool
    keeps_talk: bool = False
    is_blind: bool = False
    grammar: str = DEFAULT_GRAMMAR
    """Name of what is said."""
    spoken: Mapping[Role, tuple[str, ...]] = field(default_factory=dict)
    """By which grammars a person calls who does not call by that one."""
    page: Place | None = None
    """Where the chief's page is served; None for nowhere."""
    voices: NamedVoices | None = None
    """Whose voices the crew's are; None where what listens knows none."""
    has_phones: bool = False
    """Who wears no microphone has a phone."""

    @property
    def phones(self) -> tuple[Role, ...]:
        """Whose phones are their microphones."""
        if not self.has_phones:
            return ()
        worn = (self.roles or ()) if self.microphones else ()
        return tuple(role for role in WORN if role not in worn)

    def wearers(self, before: dict[str, JsonValue]) -> tuple[Role, ...]:
        """Tell who wears each channel's microphone; without a word one serves both."""
        if self.is_keys_only:
            return ()
        if self.has_phones:
            return WORN
        if self.roles is not None:
            return self.roles
        if len(self.microphones) > 1:
            return (Role.HEAD, Role.REAR)
        named = None if before.get("crew_phones") else before.get("roles")
        if not self.microphones and isinstance(named, list) and named:
            return parse_roles([str(each) for each in named])
        return (Role.UNSAID,)

    def names(self, before: dict[str, JsonValue]) -> tuple[str, ...]:
        """Tell the microphones' names; none for the system's default one."""
        known = before.get("microphones")
        if not self.microphones and isinstance(known, list) and not self.is_keys_only:
            return tuple(str(each) for each in known)
        return self.microphones


def require_phones(kit: Kit) -> None:
    """Pass if the crew's phones can be used as they were asked for.

    Raises:
        ConfigError: they cannot.
    """
    if not kit.has_phones:
        return
    if kit.is_keys_only:
        raise ConfigError(
            "phones that are microphones, and no microphone",
            where="--crew-phones, --keys-only",
            next_step="leave one of them out",
        )
    if len(kit.microphones) > 1 or (kit.microphones and len(kit.phones) != 1):
        raise ConfigError(
            "it is not plain who has a phone and who a microphone",
            where="--crew-phones, --microphone",
            next_step="name one microphone and whose it is: --microphone NAME --channels head",
        )
    if kit.page is None:
        raise ConfigError(
            "the crew's phones need an address to reach",
            where="--crew-phones",
            next_step="name the logger's address on the crew's own network: --page-host ADDRESS",
        )


def page_place(
    host: str | None, port: int, certificate: Path | None, key: Path | None, *, is_wanted: bool
) -> Place | None:
    """Tell where the chief's page is to be served; None for nowhere.

    Raises:
        ConfigError: a certificate and a key are not given together, or this system cannot serve.
    """
    if (certificate is None) != (key is None):
        raise ConfigError(
            "a certificate goes with its key",
            where="--page-certificate",
            next_step="give both, or neither",
        )
    if not (is_wanted or host or certificate):
        return None
    if not system.SYSTEM.hands_down:
        raise ConfigError(
            f"{system.SYSTEM.name} cannot serve the chief's page or the crew's phones",
            where="--page",
            next_step="use Linux or macOS for that; microphones and keypad work here",
        )
    return Place(host or LOOPBACK, port, certificate, key)


def run_field(start: Start, kit: Kit, engine: Engine, model: Path | None) -> None:
    """Work with a crew until Ctrl-C.

    Raises:
        CalllogError: the job, an engine or a device cannot be opened.
    """
    words = load_words(kit.grammar)[0].words
    with told_when_interrupted(start.folder, words):
        _work(start, kit, engine, model, words)
    out.print(words("log-goes-on"))


def _work(start: Start, kit: Kit, engine: Engine, model: Path | None, words: Words) -> None:
    """Open the job and work with the crew until they end it."""
    with start.open(is_live=True) as job:
        out.print(words.say(caution(job)))
        print_how_tapes_read(start.course, words)
        wanted = kit.wearers(job.replay.kit) if kit.keeps_clips else ()
        wanted = tuple(role for role in wanted if role not in kit.phones)  # asked on the phone
        settle_consent(job, start.given, wanted, words=words)
        is_heard = kit.voices is not None and bool(kit.wearers(job.replay.kit))
        crew = crew_voices(job.replay.speakers, kit.voices or NamedVoices()) if is_heard else None
        try:
            with _ended_by_signals() as is_ended, ExitStack() as devices:
                devices.enter_context(screen_kept_clean(job.folder / DEVICES_LOG))
                known = None
                if crew is not None:
                    crew.record(job, words)
                    known = by_channel(crew.voices, [kit.wearers(job.replay.kit)])
                make = partial(
                    make_recogniser,
                    engine,
                    model,
                    grammar=kit.grammar,
                    longest=start.course.longest,
                    unit=start.course.unit,
                    voices=known,
                    spoken=grammars_by_channel(
                        kit.spoken, [kit.wearers(job.replay.kit)], kit.grammar
                    ),
                )
                loop = _open_loop(start, kit, make, job, devices)
                devices.enter_context(loop.safety.watched())
                try:
                    while not is_ended():
                        loop.turn()
                    loop.finish(LAST_ANSWER_S)
                except Exception:
                    loop.alarm()
                    raise
        except BaseException:
            if not job.kept.save():
                err.print(str(_spill(job, words)))
            raise
        if not job.kept.save():
            raise _spill(job, words)
        offer_learning(job, crew, words)
        print_end(job, words)


def _spill(job: Job, words: Words) -> JournalError:
    """Print what is not on disk, keep it in another place, and make the error that says so."""
    unsaved = job.kept.unsaved
    path = spill(job.kept.newest, job.folder)
    err.print(words("device-unsaved-calls"))
    for line in spilt_lines(unsaved, words):
        err.print(line)
    told = f"they are in {path}: bring the disk back, then the same command with --unsaved {path}"
    return JournalError(
        f"{len(unsaved)} entries are not on disk: {job.kept.why}",
        where=str(job.folder),
        next_step=told if path else "write them down: nowhere else could be written either",
    )


def _open_loop(
    start: Start,
    kit: Kit,
    make: Callable[[], Recogniser],
    job: Job,
    devices: ExitStack,
) -> FieldLoop:
    """Open the devices, remember them in the job, and greet the crew."""
    grammar = load_words(kit.grammar, start.course.longest, start.course.unit)[0]
    others = [name for each in kit.spoken.values() for name in each]
    parser = load_parser((kit.grammar, *others), start.course.longest, start.course.unit)
    before = job.replay.kit
    greeting = caution(job)
    roles = kit.wearers(before)
    hearing, crew = None, None
    microphone = _microphone(kit, before)
    source: SoundSource | None = microphone
    if roles:
        hearing = devices.enter_context(Worker(make, is_waited_for=False))
        if kit.phones:
            crew = _crew_desk(start, kit, grammar, CrewPhones(roles, kit.phones, microphone))
            source = crew.phones
    keypads = tuple(_keypads(kit, devices, is_needed=source is None))
    if crew is not None:
        keypads = (*keypads, *crew.phones.keypads)
    speaker = _speaker(kit, grammar, devices, crew)
    screen = devices.enter_context(Panel(out, grammar.words))
    phones = _desk(kit, job, grammar.words, crew, devices)
    if hearing is not None:  # it was loading while everything else was opened
        job.use_engine(hearing.identity, kit.grammar, kit.spoken)
    if phones is not None:  # so was the page's process
        phones.wait()
    if roles and microphone is not None:
        devices.enter_context(microphone)
    used: dict[str, JsonValue] = {
        "keypads": [source.name for source, _ in keypads],
        "stated": start.stated,
        "grammar": kit.grammar,
    }
    sitting = job.begin_sitting(used | _used(kit, before, roles, microphone))

    def make_crew(
        on_told: Callable[[Told], None],
        on_window: Callable[[Samples, tuple[bool, ...]], None],
        on_unkept: Callable[[AudioError], None],
    ) -> LiveCrew:
        recorder = Recorder(
            job,
            start.course,
            parser,
            source=f"live-{sitting}",
            roles=roles,
            keeps_clips=kit.keeps_clips,
            keeps_talk=kit.keeps_talk,
            on_told=on_told,
            on_unkept=on_unkept,
            is_live=True,
        )
        return LiveCrew(recorder, channels=len(roles), hearing=hearing, on_window=on_window)

    loop = FieldLoop(
        make_crew,
        grammar=grammar,
        settings=Settings(
            kit.verbosity,
            is_headset=kit.is_headset or isinstance(speaker, Ears),
            is_blind=kit.is_blind,
        ),
        microphone=source,
        microphone_names=tuple(role.value if role is not Role.UNSAID else "crew" for role in roles),
        keypads=keypads,
        speaker=speaker,
        screen=screen,
        phones=phones,
        set_aside=(lambda: hearing.set_aside) if hearing is not None else tuple,
    )
    is_spoken = grammar.language.partition("-")[0] in PACKS
    if kit.voice is None and not is_spoken and speaker is not None:
        greeting = message("log-caution-and-no-voice", caution=greeting)
    is_confirmed = job.state.style is StyleKnown.CONFIRMED
    loop.greet(
        greeting,
        is_gone_on_with=sitting > 1 or bool(job.replay.calls),
        reads=None if is_confirmed else how_it_reads(job.replay.tapes[job.state.settings.tape]),
    )
    return loop


def _microphone(kit: Kit, before: dict[str, JsonValue]) -> Microphone | None:
    """Find the microphones of those who have no phone; they are not opened yet."""
    roles = kit.wearers(before)
    worn = len(roles) - len(kit.phones)
    if not worn:
        return None
    found = Microphone(kit.names(before), channels=worn)
    if found.channels != worn:
        raise ConfigError(
            f"{found.channels} microphones, but --channels names {worn}",
            where="--microphone",
            next_step="give one role a microphone: --channels head,rear; one for both: unsaid",
        )
    return found


def _used(
    kit: Kit, before: dict[str, JsonValue], roles: Sequence[Role], microphone: Microphone | None
) -> dict[str, JsonValue]:
    """Tell what a sitting remembers of its microphones."""
    used: dict[str, JsonValue] = {}
    if microphone is not None:
        used["microphones"] = list(microphone.names)
    if roles:
        used["roles"] = [role.value for role in roles]
    if kit.phones or before.get("crew_phones"):
        used["crew_phones"] = [role.value for role in kit.phones]
    return used


def _keypads(kit: Kit, devices: ExitStack, *, is_needed: bool) -> Iterator[tuple[KeySource, Role]]:
    """Open the keypads of single persons, and the terminal where there is one."""
    for named in kit.keypads:
        role, equals, name = named.partition("=")
        if not equals or not name or role not in {each.value for each in Role}:
            raise ConfigError(
                f"{named!r} does not say whose keypad it is",
                where="--keypad",
                next_step="say head=NAME or rear=NAME",
            )
        yield devices.enter_context(open_keypad(name)), Role(role)
    if sys.stdin.isatty():
        yield devices.enter_context(TerminalKeys()), kit.typist
    elif is_needed and not kit.keypads:
        raise ConfigError(
            "nothing to type on",
            where="--keys-only",
            next_step="start calllog in a terminal, or name a keypad with --keypad rear=NAME",
        )


def _crew_desk(start: Start, kit: Kit, grammar: Grammar, phones: CrewPhones) -> CrewDesk:
    """Make what serves the crew's phones, with a certificate where none was given."""
    place, given = kit.page, start.given
    if place is None:
        wrong = "phones without a page"
        raise RuntimeError(wrong)
    papers = None if place.certificate else papers_for(place.host)
    door = None if papers is None else Place(place.host, place.port + 1)
    return CrewDesk(
        phones,
        lexicon(grammar.words),
        CrewTerms(kit.keeps_clips, given.until, given.listeners or EVERYONE),
        grammar.words.language,
        door,
        papers,
    )


def _desk(
    kit: Kit, job: Job, words: Words, crew: CrewDesk | None, devices: ExitStack
) -> Desk | None:
    """Begin to serve the page of the sitting that is about to begin, if one is wanted."""
    if kit.page is None:
        return None
    place, has_keys = _secured(kit.page, crew), sys.stdin.isatty()
    desk = Desk(
        job,
        job.next_sitting,
        place,
        has_keys=has_keys,
        words=words,
        crew=crew,
        is_waited_for=False,
    )
    return devices.enter_context(desk)


def _secured(place: Place, crew: CrewDesk | None) -> Place:
    """Give the page the certificate that was made for it, if one was."""
    if crew is None or crew.papers is None:
        return place
    return replace(place, certificate=crew.papers.certificate, key=crew.papers.key)


def _speaker(
    kit: Kit, grammar: Grammar, devices: ExitStack, crew: CrewDesk | None
) -> Speaker | None:
    """Open what the crew hears by: their phones, a loudspeaker, or both."""
    is_loud = crew is None or kit.output is not None or len(kit.phones) < len(WORN)
    player = _player(kit, grammar, devices) if is_loud else None
    if crew is None:
        return player
    return crew.ears if player is None else Several(player, crew.ears)


def _player(kit: Kit, grammar: Grammar, devices: ExitStack) -> Player | None:
    if kit.output == NO_OUTPUT:
        return None
    voice = choose_voice(kit.voice, rehearsal(grammar), grammar.language)
    devices.callback(voice.close)
    try:
        player = Player(voice, output=kit.output, volume=kit.volume)
    except AudioError as error:
        raise AudioError(
            error.what,
            where=error.where,
            next_step=f"{error.next_step}; or work without read-back: --output {NO_OUTPUT}",
        ) from error
    return devices.enter_context(player)


def appended(log: Path) -> BinaryIO:
    """Open a log of ours; where there can be none, that must not end the work."""
    try:
        file = open_own(log, os.O_WRONLY | os.O_APPEND)
        require_mine(file, log)
        return os.fdopen(file, "ab")
    except OSError:
        return Path(os.devnull).open("ab")


@contextmanager
def screen_kept_clean(log: Path) -> Iterator[None]:
    """Send what sound libraries print of themselves into a file while there is a screen."""
    if not out.is_terminal:
        yield
        return
    kept = os.dup(sys.stderr.fileno())
    try:
        with appended(log) as file:
            os.dup2(file.fileno(), sys.stderr.fileno())
        yield
    finally:
        os.dup2(kept, sys.stderr.fileno())
        os.close(kept)


@contextmanager
def _ended_by_signals() -> Iterator[Callable[[], bool]]:
    """Let Ctrl-C, a hang-up and a termination end the work between two turns, never within one.

    A second Ctrl-C ends it at once.
    """
    asked = threading.Event()

    def end(number: int, _: FrameType | None) -> None:
        if asked.is_set() and number == signal.SIGINT:
            raise KeyboardInterrupt
        asked.set()

    before = {number: signal.signal(number, end) for number in system.SYSTEM.ends}
    try:
        yield asked.is_set
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
