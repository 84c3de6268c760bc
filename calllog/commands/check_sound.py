"""Checks of what hears and speaks: devices, engines, synthesiser in; one `Check` each out; shell.

What each looks at is an argument, so that it can be tried with any other.
"""

import json
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soxr

from calllog.audio import RATE_HZ, Recording, Utterance, utterances
from calllog.audio.devices import Backend, Block, Device, find_device
from calllog.audio.portaudio import PortAudio
from calllog.commands.check import Check, Result
from calllog.commands.engine import DEFAULT_ENGINE, Engine, is_english, make_recogniser
from calllog.demo.day import FOLDER
from calllog.errors import AudioError, CalllogError
from calllog.readback import Voice, choose_voice
from calllog.readback.voice import BUILT_IN, PACKS, BuiltIn
from calllog.recognise import Recogniser, understand
from calllog.spoken import Grammar, Parser, say
from calllog.values import Expectation, Kind

LISTEN_S = 1.0
WAIT_S = 4.0
"""Longest wait for that second: a sound server that slept takes its time."""
POLL_S = 0.02
SILENT_DBFS = -60.0
"""Loudest sample of a second in which nothing was heard."""
CLIPPED = 0.99
CLIPPED_PART = 0.001
SPEAK_S = 5.0
"""Longest wait for a voice to say a number."""
SLOW_S = 0.6
"""What a call may take from its end to the answer."""
SAID = 3300
"""What is said where no recording is of the language, hundredths of a foot."""
LIMIT = 10_000
"""Greatest reading of a tape of 100 ft, hundredths of a foot."""
WITHOUT = "recordings and the keypad work without one"

Sound = npt.NDArray[np.float32]
PORTAUDIO = PortAudio()


def record(device: Device, backend: Backend = PORTAUDIO) -> tuple[Sound, int]:
    """Hear a microphone for a second; fewer frames if they did not come in time.

    Returns:
        Samples, shape (frames, channels), and their rate [Hz].

    Raises:
        AudioError: it cannot be opened.
    """
    channels = min(device.inputs, 2)
    blocks: list[Block] = []
    stream = backend.open(device, channels, blocks.append)
    ends_s = time.monotonic() + WAIT_S
    try:
        while _length_s(blocks) < LISTEN_S and time.monotonic() < ends_s:
            time.sleep(POLL_S)
    finally:
        stream.close()
    if not blocks:
        return np.zeros((0, channels), np.float32), device.rate_hz
    return np.concatenate([each.samples for each in blocks]), blocks[0].rate_hz


def _length_s(blocks: Sequence[Block]) -> float:
    return sum(len(each.samples) / each.rate_hz for each in blocks)


def check_devices(devices: Callable[[], Sequence[Device]] = PORTAUDIO.devices) -> Check:
    """Look which microphones and loudspeakers there are."""
    try:
        found = devices()
    except AudioError as error:
        return Check("devices", Result.WARN, f"{error.what}: {WITHOUT}", error.next_step, "none")
    microphones = [each for each in found if each.inputs]
    loudspeakers = [each for each in found if each.outputs]
    facts = f"{len(microphones)} in, {len(loudspeakers)} out"
    if not microphones:
        step = "plug in a microphone, and check that the system's sound settings show it"
        words = f"no microphone found: {WITHOUT}"
        return Check("devices", Result.WARN, words, step, facts)
    words = "; ".join(
        f"{'default ' * each.is_default_input}in: {each.name} ({each.inputs})"
        for each in microphones
    )
    if not loudspeakers:
        step = "plug in an earpiece or a loudspeaker"
        words = f"{words}; nothing to play read-backs and tones on"
        return Check("devices", Result.WARN, words, step, facts)
    words += "".join(f"; out: {each.name} ({each.outputs})" for each in loudspeakers)
    return Check("devices", Result.OK, words, facts=facts)


def check_microphone(
    name: str | None,
    devices: Callable[[], Sequence[Device]] = PORTAUDIO.devices,
    hear: Callable[[Device], tuple[Sound, int]] = record,
) -> Check:
    """Hear the named microphone, or the default one, for a second; nothing is kept.

    One that was named must be there; without a name a computer without any only gets a warning.
    """
    missing = Result.FAIL if name else Result.WARN
    try:
        device = find_device(devices(), name)
    except AudioError as error:
        return Check("microphone", missing, _told(error), error.next_step, "not found")
    try:
        samples, rate_hz = hear(device)
    except AudioError as error:
        return Check("microphone", Result.FAIL, _told(error), error.next_step, "cannot be opened")
    return _level(device.name, samples, rate_hz)


def _level(name: str, samples: Sound, rate_hz: int) -> Check:
    facts = f"{samples.shape[1]} channels at {rate_hz} Hz"
    if len(samples) < LISTEN_S * rate_hz / 2:
        step = "unplug it and plug it in again; check that no other program holds it"
        words = f"{name}: {len(samples)} samples in {WAIT_S:.0f} s"
        return Check("microphone", Result.FAIL, words, step, f"{facts}, no sound came")
    peaks = np.max(np.abs(samples), axis=0)
    level_dbfs = [f"{20 * np.log10(max(float(each), 1e-9)):.0f}" for each in peaks]
    clipped = np.mean(np.abs(samples) >= CLIPPED, axis=0)
    silent = [number for number, each in enumerate(peaks, 1) if each < 10 ** (SILENT_DBFS / 20)]
    loud = [number for number, each in enumerate(clipped, 1) if each > CLIPPED_PART]
    word = "clipping" if loud else "silent" if silent else "fine"
    facts = f"{facts}, peak {', '.join(level_dbfs)} dBFS, {word}"
    words = f"{name}: peak {', '.join(level_dbfs)} dB below full scale, {word}"
    if loud:
        step = "turn the gain down, or wear it further from the mouth"
        return Check("microphone", Result.WARN, words, step, facts)
    if silent:
        step = "speak while this runs; unmute it, turn the gain up"
        return Check("microphone", Result.WARN, words, step, facts)
    return Check("microphone", Result.OK, words, facts=facts)


def shipped_call() -> tuple[Utterance, str]:
    """Find the first whole foot of the shipped day, and what was said.

    Raises:
        AudioError: the recording is not there.
    """
    try:
        day = json.loads((FOLDER / "spoken.json").read_text("utf-8"))["recordings"][0]
    except OSError as error:
        raise AudioError("the shipped day is not there", next_step="reinstall calllog") from error
    said = next(each for each in day["utterances"] if each["what"] == "whole")
    for utterance in utterances(Recording(FOLDER / "recordings" / day["file"])):
        if utterance.channel + 1 == said["channel"] and utterance.end_s > said["start_s"]:
            return utterance, said["words"]
    raise AudioError("the shipped recording is cut off", next_step="reinstall calllog")


def check_engine(
    name: str,
    open_engine: Callable[[], Recogniser],
    grammar: Grammar,
    call: Callable[[], tuple[Utterance, str]] = shipped_call,
) -> Check:
    """Load an engine and let it hear one call of the shipped recording, timed the second time."""
    try:
        utterance, said = call()
        began_s = time.perf_counter()
        with open_engine() as recogniser:
            recogniser.recognise(utterance, Expectation.WHOLE)
            loaded_s = time.perf_counter()
            hypotheses = recogniser.recognise(utterance, Expectation.WHOLE)
            took_s = time.perf_counter() - loaded_s
            identity = recogniser.identity
    except CalllogError as error:
        return Check(name, Result.FAIL, _told(error), error.next_step, type(error).__name__)
    heard = understand(Parser(grammar), hypotheses, Expectation.WHOLE, LIMIT).text
    times = f"ready in {loaded_s - began_s:.1f} s, heard in {took_s:.2f} s"
    facts = f"{identity}, {times}"
    if heard != said:
        step = "reinstall calllog; if it stays so, report it with the block below"
        words = f"{identity}: heard {heard or 'nothing'!r} for {said!r}"
        return Check(name, Result.FAIL, words, step, f"{facts}, wrong")
    words = f"{identity}: {times}"
    if took_s > SLOW_S:
        step = "close other programs: answers to calls will come late"
        return Check(name, Result.WARN, f"{words}: slow", step, facts)
    return Check(name, Result.OK, words, facts=facts)


def spoken_call(grammar: Grammar) -> tuple[Utterance, str]:
    """Let the words that travel with the program say a whole mark: no recording is of the language.

    Raises:
        ModelError: they are missing or damaged.
    """
    said = say(grammar, Kind.WHOLE, SAID)
    voice = BuiltIn(pack=PACKS[grammar.words.language])
    sound, rate_hz = voice.speak(said)
    samples = np.asarray(soxr.resample(sound, rate_hz, RATE_HZ), np.float32)
    lead = np.zeros(RATE_HZ // 4, np.float32)
    whole = np.concatenate([samples, lead])
    return Utterance(whole, lead, 0.0, len(whole) / RATE_HZ, 0, "words", is_cut=False), said


def check_listener(
    grammar: Grammar,
    make: Callable[..., Recogniser] = make_recogniser,
    call: Callable[[], tuple[Utterance, str]] | None = None,
) -> Check:
    """Let the listener hear a call, one of the grammar's language if left out."""
    name, given = DEFAULT_ENGINE.value, call or shipped_call
    if not is_english(grammar):
        name, given = f"{name}-{grammar.language}", call or partial(spoken_call, grammar)
    opened = partial(make, DEFAULT_ENGINE, None, grammar=grammar.name)
    return check_engine(name, opened, grammar, given)


def _told(error: CalllogError) -> str:
    return f"{error.where}: {error.what}" if error.where else error.what


def check_vosk(model: Path, grammar: Grammar) -> Check:
    """Let a Vosk model hear."""
    return check_engine("vosk", partial(make_recogniser, Engine.VOSK, model), grammar)


def check_synthesiser(
    choose: Callable[[], Voice] = choose_voice, *, name: str = "voice", number: str = "fifteen"
) -> Check:
    """Let the best voice there is say a number; nothing is played."""
    try:
        voice = choose()
        try:
            samples, rate_hz = voice.speak(number, SPEAK_S)
            identity = voice.identity
        finally:
            voice.close()
    except CalllogError as error:
        step = f"{error.next_step}; until then use --voice {BUILT_IN}"
        return Check(name, Result.WARN, _told(error), step, type(error).__name__)
    length_s = len(samples) / rate_hz
    facts = f"{identity}, {length_s:.1f} s for one number"
    if not length_s:
        words = f"{identity} says nothing"
        return Check(name, Result.FAIL, words, "reinstall calllog", facts)
    return Check(name, Result.OK, identity, facts=facts)
