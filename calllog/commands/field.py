"""Live work of the command `listen`: devices opened and remembered, and the loop run; shell."""

import gc
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import FrameType
from typing import BinaryIO

from pydantic import JsonValue

from calllog import system
from calllog.audio.endpoint import Samples
from calllog.audio.microphone import Microphone
from calllog.commands.agreeing import settle_consent
from calllog.commands.engine import Engine, load_parser, load_words, make_recogniser
from calllog.commands.kit import WORN, Kit
from calllog.commands.knowing import NamedVoices, by_channel, crew_voices, offer_learning
from calllog.commands.start import Start
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
from calllog.keypad import KeySource
from calllog.keypad.device import open_keypad
from calllog.keypad.terminal import TerminalKeys
from calllog.live import FieldLoop, Settings
from calllog.live.devices import SoundSource, Speaker
from calllog.live.several import Several
from calllog.live.spill import spill, spilt_lines
from calllog.pairing import StyleKnown
from calllog.panel import Panel
from calllog.phone.authority import papers_for
from calllog.phone.crew import CrewPhones
from calllog.phone.crew_desk import CrewDesk, CrewTerms
from calllog.phone.desk import Desk
from calllog.phone.ears import Ears, lexicon
from calllog.phone.place import Place
from calllog.readback import PACKS, Mute, Player, Verbosity, Voice, choose_voice, rehearsal
from calllog.recognise import Recogniser
from calllog.recognise.worker import Worker
from calllog.session import Job, Recorder, Told
from calllog.session.consent import EVERYONE
from calllog.session.live import LiveCrew
from calllog.spoken import Grammar
from calllog.tape import doubtful, how_it_reads
from calllog.values import Role, message
from calllog.wording import Words

DEVICES_LOG = "devices.log"
"""In the job's folder: what sound libraries print."""
NO_OUTPUT = "none"
LAST_ANSWER_S = 3.0
"""How long the last call may take to be understood once the crew has stopped."""


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
                # what is loaded stays: to look through it takes 0.08 s, in which nothing else runs,
                # and the loudspeaker, which has 0.03 s of sound, swallows what is read back
                gc.freeze()
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
    told = f"they are in {path}: bring the disk back, then the same command with --unsaved "
    return JournalError(
        f"{len(unsaved)} entries are not on disk: {job.kept.why}",
        where=str(job.folder),
        next_step=told + system.quoted(path)
        if path
        else "write them down: nowhere else could be written either",
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
            kit.devices.verbosity,
            is_headset=kit.devices.is_headset or isinstance(speaker, Ears),
            is_blind=kit.devices.is_blind,
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
    if kit.devices.voice is None and not is_spoken and speaker is not None:
        greeting = message("log-caution-and-no-voice", caution=greeting)
    is_confirmed = job.state.style is StyleKnown.CONFIRMED
    loop.greet(
        greeting,
        is_gone_on_with=sitting > 1 or bool(job.replay.calls),
        reads=None if is_confirmed else how_it_reads(job.replay.tapes[job.state.settings.tape]),
        doubts=[
            message("log-tape-doubtful", tape=tape.identity, entries=", ".join(entries))
            for tape in start.course.tapes
            if (entries := doubtful(tape, start.day))
        ],
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
    for named in kit.devices.keypads:
        role, equals, name = named.partition("=")
        if not equals or not name or role not in {each.value for each in Role}:
            raise ConfigError(
                f"{named!r} does not say whose keypad it is",
                where="--keypad",
                next_step="say head=NAME or rear=NAME",
            )
        yield devices.enter_context(open_keypad(name)), Role(role)
    if sys.stdin.isatty():
        yield devices.enter_context(TerminalKeys()), kit.devices.typist
    elif is_needed and not kit.devices.keypads:
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
    is_loud = crew is None or kit.devices.output is not None or len(kit.phones) < len(WORN)
    player = _player(kit, grammar, devices) if is_loud else None
    if crew is None:
        return player
    return crew.ears if player is None else Several(player, crew.ears)


def _player(kit: Kit, grammar: Grammar, devices: ExitStack) -> Player | None:
    if kit.devices.output == NO_OUTPUT:
        return None
    voice: Voice = Mute()  # no word is said: none need be ready
    if kit.devices.verbosity is not Verbosity.TONES or kit.devices.voice is not None:
        voice = choose_voice(kit.devices.voice, rehearsal(grammar), grammar.language)
    devices.callback(voice.close)
    try:
        player = Player(voice, output=kit.devices.output, volume=kit.devices.volume)
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
