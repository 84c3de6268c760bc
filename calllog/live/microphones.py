"""What microphones give in, the crew's sound out: in time, without the program's own; shell.

What befalls a microphone is journalled and told.
"""

from collections.abc import Callable, Sequence

from calllog.audio.echo import Canceller, Sender
from calllog.audio.endpoint import Samples, Utterance
from calllog.audio.events import Event, Gap, Lost, Overflow, Returned, Sound
from calllog.audio.meter import Meter, Trouble, Warned
from calllog.audio.own_voice import OwnVoice
from calllog.audio.source import RATE_HZ
from calllog.live.devices import KeepsSound, Speaker
from calllog.live.notices import AGAIN_S, Notices
from calllog.panel import MicrophoneState
from calllog.readback import Notice, Saying, Tone
from calllog.session.live import SAID_UNDER, LiveCrew
from calllog.values import message

GAP_S = 0.1
"""Sound that comes later than its place by more than this has a gap before it."""
FOUND_S = 0.6
"""How long after it sound may be found to be missing."""
LINGERS_S = 0.2
"""How long words may take to arrive at a microphone, their echo with them."""
LEVEL_FLOOR_DBFS = -90.0
SPOKEN = {
    Trouble.CLIPPING: Notice.TOO_LOUD,
    Trouble.LOUD: Notice.TOO_LOUD,
    Trouble.FAINT: Notice.TOO_FAR,
    Trouble.NOISY: Notice.TOO_NOISY,
}
"""Warnings that have words of their own to be spoken; the others are spoken as they stand."""


class Microphones:
    """Hears for a crew, by microphones.

    Args:
        crew: who is heard.
        names: of the microphones, one a channel.
        notices: tells the crew what befalls a microphone.
        speaker: what the program itself is heard by; None where no microphone can hear it.
        say: lets the crew hear something.
        clock: the monotonic clock of all devices [s].
    """

    def __init__(
        self,
        crew: LiveCrew,
        names: Sequence[str],
        *,
        notices: Notices,
        speaker: Speaker | None,
        say: Callable[[Saying], None],
        clock: Callable[[], float],
    ) -> None:
        self._crew = crew
        self._names = tuple(names)
        self._notices = notices
        self._speaker = speaker
        self._say = say
        self._clock = clock
        self._begun_s = clock()
        self._meter = Meter(len(self._names)) if self._names else None
        self._own = OwnVoice(len(self._names))
        self._echo = Canceller(len(self._names))
        self._sender = Sender(self._echo)
        self._place: int | None = None
        """Where the program's sound arrived in the last block, as the canceller counts."""
        self._is_out = False
        """The program itself is out in the sound that is taken in."""
        self._tone = 0.0
        """Power of a tone that may arrive in it."""
        self._warned: dict[tuple[int, Trouble], None] = {}
        """What each channel was warned of, in that order."""
        self._lost: set[str] = set()
        self._is_missing: tuple[bool, ...] = ()
        """Of each channel, whether zeros stood in for some of its sound in the last block."""
        self._overflows: dict[str, list[int]] = {}
        """Frames lost of each microphone since that was told."""

    @property
    def now_s(self) -> float:
        """Time from the beginning of the sound [s]."""
        return self._clock() - self._begun_s

    @property
    def is_lost(self) -> bool:
        """Sound of some microphone does not come."""
        return bool(self._lost)

    def hear(self, event: Event) -> None:
        """Take what a microphone gives."""
        match event:
            case Sound(samples=samples, begin_s=begin_s, is_missing=is_missing):
                self._keep_time(begin_s)
                whole, samples = samples, self._without_echo(samples, begin_s)
                self._is_missing = is_missing
                is_deaf = self._deafness(samples, whole, begin_s)
                self._crew.hear(
                    samples,
                    is_deaf=is_deaf,
                    is_shut=self._own.is_shut if is_deaf else (),
                    may_hide=self._own.may_hide if is_deaf else (),
                    is_missing=is_missing,
                )
            case Gap(name=name, frames=frames):
                self._overflows.setdefault(name, []).append(frames)
            case Overflow(name=name, frames=frames):
                self._overflows.setdefault(name, []).append(frames or 0)
                self._echo.breaks()
                self._crew.miss((frames or 1) / RATE_HZ, doubtful_s=FOUND_S)
            case Lost(name=name, at_s=at_s, reason=reason, is_filled=is_filled):
                self._echo.breaks()
                self._crew.job.note("microphone_lost", {"name": name, "reason": reason})
                if not is_filled:
                    self._lost.add(name)
                    heard_until_s = self._begun_s + self._crew.heard_s
                    self._crew.miss(GAP_S, doubtful_s=max(0.0, heard_until_s - at_s))
                self._notices.tell(Notice.MICROPHONE_LOST)
                lost = message("device-microphone-lost-by-name", name=name, reason=reason)
                self._notices.show(lost)
            case Returned(name=name, gap_s=gap_s):
                # a default microphone may come back as another one
                self._lost = self._lost - {name} if name in self._lost else set()
                self._crew.job.note("microphone_back", {"name": name, "gap_s": round(gap_s, 3)})
                self._notices.tell(Notice.MICROPHONE_BACK)
                back = message("device-microphone-back-by-name", name=name, seconds=round(gap_s))
                self._notices.show(back)

    def measure(self, window: Samples, speech: tuple[bool, ...]) -> None:
        """Learn from what arrived, and warn of a microphone that is heard badly."""
        if self._tone and not self._lost:
            self._own.arrives(window, self._tone, speech)
        if not self._is_out and not self._lost:
            self._own.learn(window, speech)
            if self._own.spoken_over() and not self._crew.speaks_s:
                self._notices.ask(message(SAID_UNDER))
        if self._meter is None or self._lost:
            return
        for warned in self._meter.hear(window, speech, is_out=self._is_out):
            if not any(self._is_missing[warned.channel : warned.channel + 1]):
                self._warn(warned)

    def is_as_loud_as_calls(self, said: Utterance) -> bool:
        """Tell whether something that was said is as loud as the calls of its microphone."""
        if said.begin_s is None:
            return False
        first, last = (
            round((at_s - said.begin_s) * RATE_HZ) for at_s in (said.start_s, said.end_s)
        )
        return self._own.is_wearers(said.channel, said.samples[first:last])

    def tell_overflows(self, waited_s: float = AGAIN_S) -> None:
        """Tell that sound was lost, all that was in a while at once."""
        if not self._overflows or not self._notices.is_due(Notice.SOUND_LOST, waited_s):
            return
        for name, frames in self._overflows.items():
            self._crew.job.note(
                "sound_lost", {"name": name, "times": len(frames), "frames": sum(frames) or None}
            )
            self._notices.show(message("device-sound-lost", name=name))
        self._overflows.clear()
        self._say(self._notices.noticed(Notice.SOUND_LOST))

    def late_of(self, source: KeepsSound) -> Callable[[int, float, float], Samples]:
        """Make what gives a source's sound by the crew's time."""

        def late(channel: int, begin_s: float, end_s: float) -> Samples:
            return source.sound(channel, self._begun_s + begin_s, self._begun_s + end_s)

        return late

    def levels(self) -> tuple[MicrophoneState, ...]:
        """Tell how each microphone is heard."""
        meter = self._meter
        if meter is None:
            return ()
        return tuple(self._level(each, meter) for each in range(len(self._names)))

    def _level(self, channel: int, meter: Meter) -> MicrophoneState:
        levels, holding = meter.levels(channel), meter.holding(channel)
        return MicrophoneState(
            name=self._names[channel],
            level_dbfs=max(levels.peak_dbfs, LEVEL_FLOOR_DBFS),
            noise_dbfs=LEVEL_FLOOR_DBFS if levels.noise_dbfs is None else levels.noise_dbfs,
            warnings=tuple(
                message("device-trouble", trouble=trouble.value)
                for of, trouble in self._warned
                if of == channel and trouble in holding
            ),
        )

    def _without_echo(self, samples: Samples, begin_s: float) -> Samples:
        """Take the program's own sound out of what was heard."""
        if self._speaker is None:
            return samples
        for left in self._speaker.left():
            self._sender.send(left)
        cleaned = self._echo.cleans(samples, begin_s)
        before, self._place = self._place, self._echo.place
        if before not in (None, self._place):
            self._own.forget()
        return cleaned

    def _deafness(self, samples: Samples, whole: Samples, begin_s: float) -> tuple[bool, ...]:
        """Tell in which microphones the program's own words hide the crew; none without words.

        Args:
            samples: what is looked at for speech.
            whole: what arrived.
            begin_s: when it did [s].
        """
        speaker, end_s = self._speaker, begin_s + len(samples) / RATE_HZ
        if speaker is None:
            return ()
        begin_s -= max(0.0, self._echo.late_s)
        out = speaker.loudness(begin_s - LINGERS_S, end_s)
        are_words = speaker.was_out(begin_s, end_s)
        self._is_out = are_words or out > 0.0
        self._tone = 0.0 if are_words else out
        if not are_words:
            return ()
        echo = self._echo
        return self._own.hides(samples, out, whole=whole, fits=echo.fits, louder=echo.louder)

    def _keep_time(self, begin_s: float) -> None:
        """Keep the crew's clock with the world's: stand silence in for sound that is missing."""
        if not self._crew.heard_s:
            self._begun_s = begin_s
        gap_s = begin_s - (self._begun_s + self._crew.heard_s)
        if gap_s > GAP_S:
            self._echo.breaks()
            self._crew.miss(gap_s)
        elif gap_s < -GAP_S:
            self._begun_s += gap_s  # more silence stood in than was missing

    def _warn(self, warned: Warned) -> None:
        self._warned[warned.channel, warned.trouble] = None
        name, trouble = self._names[warned.channel], warned.trouble.value
        measured = round(warned.measured, 3)
        self._crew.job.note(
            "sound_warning", {"name": name, "trouble": trouble, "measured": measured}
        )
        told = message("device-trouble", trouble=trouble)
        self._notices.show(
            message(
                "device-troubled",
                name=message("crew-role", role=name),
                trouble=told,
                next=message("device-trouble-next", trouble=trouble),
            )
        )
        if (spoken := SPOKEN.get(warned.trouble)) is not None:
            self._notices.tell(spoken)
        else:
            self._say(self._notices.worded(Tone.WARN, told))
