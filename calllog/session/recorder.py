"""What was heard or typed in, a call of the job out: its clip, its consequences, its remark; shell.

One way for recordings and for live work, so that the same sound gives the same calls.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

from calllog.audio import Utterance, write_clip
from calllog.audio.endpoint import rejoined
from calllog.errors import AudioError, ConfigError
from calllog.keypad import KeyedEntry
from calllog.lines import awaits_remark, awaits_typed_remark
from calllog.pairing import HEARS_AGAIN_SINCE, caller_at, completes, due, expects, too_steep
from calllog.recognise import SURE, TENTATIVE, Heard, Hypothesis, remark, unclear, understand
from calllog.session.course import Changed, Course
from calllog.session.job import Job
from calllog.session.kinds import content_of
from calllog.session.remark_words import keep_words
from calllog.session.replay import PHONE
from calllog.spoken import Parser, Rejection
from calllog.values import (
    Call,
    CheckPolicy,
    Consequence,
    Expectation,
    Kind,
    Message,
    OffsetNote,
    Outcome,
    ReadingUnit,
    Role,
    Side,
    clip_name,
    message,
)

REMARK = "remark"
"""Name of the command after which the next utterance is kept as sound."""
KEYS = "keys"
NO_SOUND = message("no-sound-for-remark")
NOT_KEPT = message("remark-not-kept")
NEVER_S = -1.0
FINE = ReadingUnit.FINE_METRE
"""A tape that is read to a millimeter: three figures are due, not two."""
PART_OF = frozenset({Kind.WHOLE, Kind.FRACTION, Kind.NUMBER})
TWO = 2
JOINS_S = 0.9
"""Figures that one person calls so soon after each other may be one number: wind hides the soft end
of a figure, and who says "two seven" figure by figure seems to say "two" and "seven" (decision
193)."""
FIGURE_S = 0.8
"""No figure alone lasts longer."""
ANSWERS_S = 10.0
"""Who holds the whole mark is answered in words that are talk elsewhere so soon after the question:
later they may be talk again."""


@dataclass(frozen=True, slots=True)
class Told:
    """A call, what followed from it, and what became of it where it asks for a tape or line."""

    call: Call
    consequences: tuple[Consequence, ...]
    changed: Changed | None = None
    utterance: Utterance | None = None
    """The sound of what was heard; None of what was typed, and of remarks."""
    may_go_on: bool = False
    """A figure was said alone: the rest of its number may follow at once."""


class Recorder:
    """Records what is said and typed at one source in a job.

    Args:
        job: the job, with its line begun.
        course: the tapes and lines that the crew may change to.
        parser: says what words mean.
        source: what the calls are said to come from; channel or keypad stand after it.
        roles: who wears each channel's microphone, in the take; empty without microphones.
        keeps_clips: whether the sound of each utterance stays in the job, where everyone whose
            microphone it is agrees to it.
        keeps_talk: whether sound and words of talk that is no call stay too.
        is_live: whether the crew hears what follows and can be asked.
        on_told: told each call and what followed, after all of it is on disk.
        on_unkept: told of sound that cannot be written; its call is taken all the same. Without
            it, that is an error.

    Raises:
        ConfigError: the crew calls another unit than the job is in.
    """

    def __init__(
        self,
        job: Job,
        course: Course,
        parser: Parser,
        *,
        source: str,
        roles: tuple[Role, ...],
        keeps_clips: bool,
        keeps_talk: bool = False,
        on_told: Callable[[Told], None],
        on_unkept: Callable[[AudioError], None] | None = None,
        is_live: bool = False,
    ) -> None:
        unit = job.state.settings.unit
        if parser.unit.base is unit.base and parser.unit is not unit:
            raise ConfigError(
                f"the crew calls to {parser.unit.text(1)} {unit.symbol}, but the job is read to"
                f" {unit.text(1)} {unit.symbol}",
                where=str(job.folder),
                next_step="give the tapes of this job, or make one of its own for these",
            )
        if parser.unit is not unit:
            raise ConfigError(
                f"the crew calls {parser.unit.plural}, but the job is in {unit.plural}",
                where=str(job.folder),
                next_step=f"name a grammar in {unit.plural} with --grammar, or give tapes in"
                f" {parser.unit.plural}",
            )
        self.job = job
        self._is_live = is_live
        self._course = course
        self._parser = parser
        self._source = source
        self._roles = roles
        self._keeps_clips = keeps_clips
        self._keeps_talk = keeps_talk
        self._on_told = on_told
        self._on_unkept = on_unkept
        self._figures: dict[int, tuple[Utterance, Call]] = {}
        """The figure alone that was heard last on a channel, if nothing was heard there since."""
        self._remark_ends_s: dict[int, float] = {}
        """Where the last part of a remark that was cut ends on its channel [s]."""

    @property
    def keys(self) -> str:
        """Name of the keypads in calls."""
        return f"{self._source}#{KEYS}"

    def source_of(self, channel: int) -> str:
        """Name a channel in calls; they count from 0, names from 1."""
        return f"{self._source}#{channel + 1}"

    def expects(self, role: Role) -> Expectation:
        """Tell what one of the crew is expected to say or type now."""
        return expects(self.job.state, role)

    def expects_of(self, utterance: Utterance) -> Expectation:
        """Tell what an utterance is expected to be now."""
        return self.expects(self._roles[utterance.channel])

    def rejoined(self, utterance: Utterance) -> tuple[Utterance, Expectation] | None:
        """Put an utterance behind a figure that was called alone just before it on its channel.

        Returns:
            Both as one, and what the first of them was expected to be; None where nothing says
            that they may be one number.
        """
        figure, call = self._figures.get(utterance.channel, (None, None))
        settings = self.job.state.settings
        is_known = settings.pairing >= HEARS_AGAIN_SINCE and settings.unit is not FINE
        if figure is None or call is None or not is_known or not _may_be_figure(utterance):
            return None
        if utterance.start_s - figure.end_s > JOINS_S:
            return None
        both = rejoined(figure, utterance)
        return None if both is None else (both, call.expects)

    def is_one_number(
        self, both: Utterance, expected: Expectation, hypotheses: tuple[Hypothesis, ...]
    ) -> bool:
        """Tell whether what was put together is heard as a number of two figures."""
        heard = self._understand(both, expected, hypotheses)
        is_number = heard.outcome is Outcome.CALL and heard.kind in PART_OF
        figures = heard.text.split()
        return is_number and len(figures) == TWO and self._parser.is_in_figures(heard.text)

    def is_remark(self, utterance: Utterance) -> bool:
        """Tell whether an utterance is to be kept as sound, not understood."""
        if not self._keeps_sound_of(utterance.channel):
            return False
        calls, start_s = self.job.replay.calls, utterance.start_s
        return (
            self._remark_ends_s.get(utterance.channel) == start_s
            or awaits_remark(calls, self.source_of(utterance.channel), start_s)
            or awaits_typed_remark(calls, self.keys, start_s)
        )

    @property
    def unagreed(self) -> tuple[Role, ...]:
        """The wearers whose sound is wanted and not kept, since they did not agree to it."""
        wanted = self._roles if self._keeps_clips else ()
        return tuple(role for role in wanted if not self._may_keep(role))

    def awaits_typed_remark(self, at_s: float) -> bool:
        """Tell whether a keypad asked for a remark that is still to be spoken."""
        return awaits_typed_remark(self.job.replay.calls, self.keys, at_s)

    def pass_over(self, utterance: Utterance, call: Call) -> None:
        """Pass over an utterance whose call is in the job already."""
        if call.kind is Kind.REMARK:
            self._note_cut(utterance)
        else:
            self._note_figure(utterance, call, is_broken=False)

    def record_remark(self, utterance: Utterance) -> None:
        """Keep an utterance as sound; what was cut at 8 s goes on in the next.

        Raises:
            AudioError: its clip cannot be written.
        """
        self._note_cut(utterance)
        self._record(self._spoken(utterance, remark(), self.expects_of(utterance)))

    def record_heard(
        self,
        utterance: Utterance,
        expected: Expectation,
        hypotheses: tuple[Hypothesis, ...],
        *,
        broken: Message | None = None,
    ) -> None:
        """Record what was heard; `broken` says why it is no call, whatever it sounds like.

        Raises:
            AudioError: its clip cannot be written.
        """
        heard = self._understand(utterance, expected, hypotheses)
        if broken and heard.outcome is not Outcome.IGNORED:
            heard = unclear(heard.text, heard.probability, broken, heard.alternatives)
        elif why := self._against_order(utterance, heard) or self._said_twice(utterance, heard):
            heard = unclear(heard.text, heard.probability, why, heard.alternatives)
        is_talk = heard.outcome is Outcome.IGNORED and bool(hypotheses)
        if is_talk and not self._keeps_talk:
            self._figures.pop(utterance.channel, None)
            silent = replace(heard, text="", alternatives=())
            self._record(self._spoken(utterance, silent, expected, is_kept=False), utterance)
        else:
            call = self._spoken(utterance, heard, expected)
            self._note_figure(utterance, call, is_broken=broken is not None)
            self._record(call, utterance)

    def is_whole(
        self, utterance: Utterance, expected: Expectation, hypotheses: tuple[Hypothesis, ...]
    ) -> bool:
        """Tell whether all is said by what was heard, so that its caller will not go on."""
        heard = self._understand(utterance, expected, hypotheses)
        if heard.outcome is not Outcome.CALL or self._is_figure(utterance, heard):
            return False
        call = self._spoken(utterance, heard, expected, is_kept=False)
        return completes(self.job.state, call)

    def record_entry(
        self, entry: KeyedEntry, at_s: float, role: Role = Role.UNSAID, *, phone: str = ""
    ) -> None:
        """Record what was typed (see `typed`)."""
        self._record(self.typed(entry, at_s, role, phone=phone))

    def record_written(self, text: str, at_s: float, *, phone: str) -> None:
        """Record a remark that was written on a phone; it moves nothing.

        Its words stand in a file of their own, not in the journal, so that they can be removed.

        Raises:
            JournalError: that file cannot be written; nothing was taken then.
        """
        written = self.typed(KeyedEntry("", Kind.REMARK), at_s, phone=phone)
        kept = keep_words(self.job.folder, written.number, text)
        self.job.note("remark_words", content_of(kept))
        self._record(written.model_copy(update={"outcome": Outcome.IGNORED}))

    def typed(
        self, entry: KeyedEntry, at_s: float, role: Role = Role.UNSAID, *, phone: str = ""
    ) -> Call:
        """Make the job's next call of what was typed on a role's keypad, or on a phone."""
        note = None
        if entry.note is not None:
            station, side, offset = entry.note
            note = OffsetNote(station=station, side=Side(side), offset=offset)
        return Call(
            number=len(self.job.replay.calls) + 1,
            source=f"{self._source}#{PHONE}{phone}" if phone else self.keys,
            role=role,
            expects=self.expects(role),
            kind=entry.kind or Kind.NOTE,
            text=entry.text,
            value=entry.value,
            name=entry.name,
            amount=entry.amount,
            probability=1.0,
            alternatives=(),
            outcome=Outcome.CALL,
            reason=None,
            start_s=round(at_s, 3),
            end_s=round(at_s, 3),
            clip="",
            is_live=self._is_live,
            is_keyed=True,
            note=note,
        )

    def _understand(
        self, utterance: Utterance, expected: Expectation, hypotheses: tuple[Hypothesis, ...]
    ) -> Heard:
        settings = self.job.state.settings
        has_check = settings.policy is CheckPolicy.REQUIRED
        sure = TENTATIVE if settings.decoding and has_check else SURE
        heard = understand(self._parser, hypotheses, expected, settings.limit, sure)
        if heard.kind is not Kind.CHATTER or not heard.name:
            return heard
        if self._is_asked_who_holds(utterance):
            return replace(heard, kind=Kind.COMMAND, outcome=Outcome.CALL, reason=None)
        return replace(heard, name="")

    def _is_figure(self, utterance: Utterance, heard: Heard | Call) -> bool:
        """Tell whether one figure was said, and nothing else."""
        is_one = len(heard.text.split()) == 1 and self._parser.is_in_figures(heard.text)
        return is_one and heard.outcome is not Outcome.IGNORED and _may_be_figure(utterance)

    def _note_figure(self, utterance: Utterance, call: Call, *, is_broken: bool) -> None:
        """Remember a figure that was called alone: the rest of its number may follow."""
        self._figures.pop(utterance.channel, None)
        if not is_broken and self._is_figure(utterance, call):
            self._figures[utterance.channel] = (utterance, call)

    def _said_twice(self, utterance: Utterance, heard: Heard) -> Message | None:
        """Say why a number is unsure that may be one figure, said twice: "six, six"."""
        figure, _ = self._figures.get(utterance.channel, (None, None))
        is_joined = figure is not None and figure.start_s == utterance.start_s
        if not is_joined or len(set(heard.text.split())) > 1 or heard.outcome is not Outcome.CALL:
            return None
        return message("not-sure-of", said=heard.text)

    def _is_asked_who_holds(self, utterance: Utterance) -> bool:
        """Tell whether it was asked just before an utterance who holds the whole mark."""
        waiting = self.job.state.waiting
        if waiting is None or len({each.holder for each in waiting.options}) <= 1:
            return False
        before = (
            each
            for each in reversed(self.job.replay.calls)
            if each.outcome is not Outcome.IGNORED and not each.is_keyed
        )
        asked = next(before, None)
        if asked is None or asked.source.partition("#")[0] != self._source:
            return False
        return 0.0 <= utterance.start_s - asked.end_s <= ANSWERS_S

    def _against_order(self, utterance: Utterance, heard: Heard) -> Message | None:
        """Say why a number of whom nobody knows cannot be the part that is due.

        It would be taken for the other part: a mark of another tape for hundredths, and both parts
        turned round where the rise stated is more than the length.
        """
        known = {self._roles[utterance.channel], heard.role} != {Role.UNSAID}
        if known or heard.outcome is not Outcome.CALL:
            return None
        state = self.job.state
        if heard.kind is Kind.NUMBER:
            return too_steep(state, heard.value or 0)
        if heard.kind is not Kind.FRACTION or due(state) is not Expectation.WHOLE:
            return None
        found = self._parser.parse(heard.text, Expectation.WHOLE, state.settings.limit)
        if isinstance(found, Rejection) and found.reason.code == "words-beyond-tape":
            return found.reason
        return None

    def _may_keep(self, role: Role) -> bool:
        voices = self.job.replay.voices
        return voices.covers(role, self.job.today if voices.have_days else date.min)

    def _keeps_sound_of(self, channel: int) -> bool:
        """Tell whether a channel's sound is kept: it is wanted, and its wearer agrees."""
        return self._keeps_clips and self._may_keep(self._roles[channel])

    def _spoken(
        self, utterance: Utterance, heard: Heard, expected: Expectation, *, is_kept: bool = True
    ) -> Call:
        """Make the job's next call of what was heard, its clip written before it."""
        number = len(self.job.replay.calls) + 1
        clip, digest = "", ""
        if is_kept and self._keeps_sound_of(utterance.channel) and self.job.kept.is_safe:
            name = clip_name(number)
            try:
                with self.job.kept.timed():
                    digest = write_clip(self.job.folder / name, utterance)
                clip = name
            except AudioError as error:
                if self._on_unkept is None:
                    raise
                self._on_unkept(error)
        wearer = self._roles[utterance.channel]
        role = wearer if heard.role is Role.UNSAID else caller_at(self.job.state, heard.role)
        return Call(
            number=number,
            source=self.source_of(utterance.channel),
            role=role,
            expects=expected,
            start_s=round(utterance.start_s, 3),
            end_s=round(utterance.end_s, 3),
            clip=clip,
            clip_sha256=digest,
            kind=heard.kind,
            text=heard.text,
            value=heard.value,
            name=heard.name,
            amount=heard.amount,
            probability=heard.probability,
            alternatives=heard.alternatives,
            outcome=heard.outcome,
            reason=heard.reason,
            is_live=self._is_live,
            note=heard.note,
        )

    def _record(self, call: Call, utterance: Utterance | None = None) -> None:
        consequences = self.job.record(call)
        changed = self._course.follow(self.job, call, consequences)
        is_asked = call.kind is Kind.COMMAND and call.name == REMARK
        if is_asked and call.outcome is Outcome.CALL and not self._keeps_remark_after(call):
            changed = Changed(NO_SOUND, is_done=False)
        if call.kind is Kind.REMARK and not call.clip and not call.is_keyed:
            changed = Changed(NOT_KEPT, is_done=False)
        may_go_on = any(each is call for _, each in self._figures.values())
        self._on_told(Told(call, consequences, changed, utterance, may_go_on))

    def _keeps_remark_after(self, asked: Call) -> bool:
        """Tell whether the remark that a call asks for can be kept: its speaker's, or anyone's."""
        channels = range(len(self._roles))
        own = [channel for channel in channels if self.source_of(channel) == asked.source]
        return any(map(self._keeps_sound_of, own or channels))

    def _note_cut(self, utterance: Utterance) -> None:
        self._remark_ends_s[utterance.channel] = utterance.end_s if utterance.is_cut else NEVER_S


def _may_be_figure(utterance: Utterance) -> bool:
    """Tell whether an utterance is as short as a figure."""
    return not utterance.is_cut and utterance.end_s - utterance.start_s <= FIGURE_S
