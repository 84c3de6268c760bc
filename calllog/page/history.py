"""Page: journal entries in, who decided what and when out; no files touched."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from calllog.about import Amendment
from calllog.journal import Entry
from calllog.page.facts import Told
from calllog.session.clock import BACK, FORWARD
from calllog.session.kinds import ClockJump, TapeCorrection, known_kind, read_body
from calllog.session.replay import PHONE, Replay
from calllog.values import (
    Call,
    Choice,
    Consequence,
    Decision,
    Held,
    Kind,
    Message,
    Outcome,
    Question,
    Reopened,
    RunName,
    Segment,
    Void,
    message,
)

CHOICES = frozenset(Choice)
"""Decisions, made by word or by command."""
NOBODY = {"policy": message("page-policy"), "crew": message("page-crew")}
"""Who decides and has no name."""


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing that somebody decided."""

    sequence: int
    """The entry of the journal that records it."""
    time_utc: str
    pull: int | None
    """The pull that it is about; None for what is about a tape or the whole job."""
    line: RunName | None
    what: Message
    by: Told


@dataclass
class History:
    """What a journal tells beside its segments."""

    deeds: list[Deed] = field(default_factory=list)
    """In the order in which they were recorded."""
    struck: dict[int, int] = field(default_factory=dict)
    """Numbers of the calls that were struck, each with its pull."""
    asked: dict[int, Message] = field(default_factory=dict)
    """What the crew was asked, by the number of the call that it was asked about."""
    lines: dict[int, RunName] = field(default_factory=dict)
    """The line that each call was said on, by its number."""
    pulls: dict[int, int] = field(default_factory=dict)
    """The pull in progress when each call was said, by the call's number."""
    booked: dict[int, str] = field(default_factory=dict)
    """When each pull was booked, by its number; the last time counts."""


def read_history(entries: Iterable[Entry]) -> History:
    """Read who decided what and when; the journal must be one that its replay found sound."""
    reader = _Reader()
    for entry in entries:
        reader.read(entry)
    reader.end()
    return reader.history


class _Reader:
    """Follows the job as it goes; an input waits until what followed from it has been read."""

    def __init__(self) -> None:
        self.history = History()
        self._replay = Replay()
        self._input: Call | None = None
        self._deed: Deed | None = None

    def read(self, entry: Entry) -> None:
        if known_kind(entry).follows:
            if self._replay.missing:
                self._consequence(entry, self._replay.missing[0])
        else:
            self.end()
            self._begin(entry)
        self._replay.feed(entry)

    def end(self) -> None:
        """Take the last input as done."""
        if self._deed is not None:
            self.history.deeds.append(self._deed)
        self._input = self._deed = None

    def _begin(self, entry: Entry) -> None:
        state = self._replay.state
        match read_body(entry):
            case TapeCorrection() as stated:
                what = message(
                    "page-deed-certificate-why" if stated.why else "page-deed-certificate",
                    tape=stated.tape.identity,
                    old=stated.replaces,
                    new=entry.sequence,
                    **({"why": stated.why} if stated.why else {}),
                )
                self._deed = Deed(entry.sequence, entry.time_utc, None, None, what, stated.by)
            case Amendment() as stated:
                what = message("page-deed-facts", anew=int(bool(self._replay.amended)))
                by = stated.by or message("page-not-stated")
                self._deed = Deed(entry.sequence, entry.time_utc, None, None, what, by)
            case ClockJump() as jump:
                code = jump.code or (FORWARD if jump.jumped_s > 0 else BACK)
                what = message(code, seconds=round(abs(jump.jumped_s)))
                by = message("page-by-computer")
                self._deed = Deed(entry.sequence, entry.time_utc, None, None, what, by)
            case Decision() as made:
                self._deed = self._about(entry, made.pull, _decided(made.choice), by_whom(made.by))
            case Call() as call if state is not None:
                self._input = call
                self.history.lines[call.number] = self._replay.run_of(state.settings)
                self.history.pulls[call.number] = state.pull
                is_command = call.outcome is Outcome.CALL and call.kind is Kind.COMMAND
                if is_command and call.name in CHOICES:
                    what = _decided(Choice(call.name))
                    self._deed = self._about(entry, state.pull, what, _who(call))

    def _consequence(self, entry: Entry, follows: Consequence) -> None:
        call = self._input
        by = _who(call) if call is not None else NOBODY["policy"]
        match follows:
            case Void():
                self.history.struck[follows.call] = follows.pull
                is_typed = call is not None and call.is_keyed and call.kind is not Kind.COMMAND
                because = "typed" if is_typed else "said"
                what = message("page-deed-struck", call=follows.call, because=because)
                self.history.deeds.append(self._about(entry, follows.pull, what, by))
            case Reopened():
                what = message("page-deed-reopened")
                self.history.deeds.append(self._about(entry, follows.pull, what, by))
            case Question() | Held():
                self._deed = None
                if isinstance(follows, Question) and call is not None:
                    self.history.asked[call.number] = follows.asks
            case Segment():
                self.history.booked[follows.pull] = entry.time_utc
            case _:
                pass

    def _about(self, entry: Entry, pull: int, what: Message, by: Told) -> Deed:
        return Deed(entry.sequence, entry.time_utc, pull, self._line(), what, by)

    def _line(self) -> RunName | None:
        if self._replay.state is None:
            return None
        return self._replay.run_of(self._replay.state.settings)


def by_whom(name: str) -> Told:
    """Name who decided, as the journal keeps it."""
    return NOBODY.get(name, name)


def _decided(choice: Choice) -> Message:
    return message("page-deed-decided", choice=choice.value)


def _who(call: Call) -> Message:
    phone = call.source.partition(f"#{PHONE}")[2]
    if phone:
        return message("page-by-phone", name=phone)
    how = "typed" if call.is_keyed else "said"
    return message("page-said-by", role=call.role.value, how=how)
