"""Page: journal entries in, who decided what and when out; no files touched."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from calllog.about import Amendment
from calllog.journal import Entry
from calllog.panel.words import who_calls
from calllog.session.kinds import FOLLOWS, TapeCorrection
from calllog.session.replay import PHONE, Replay
from calllog.values import Call, Decision, Kind, Outcome, Reopened, Void

SAID = {
    "first": "the first was kept",
    "check": "the check was kept",
    "again": "the pull is measured again",
}
"""Decisions, made by word or by command."""
LineName = tuple[str, str, int]
"""Where a line begins and ends, and which run it is in that direction."""


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing that somebody decided."""

    sequence: int
    """The entry of the journal that records it."""
    time_utc: str
    pull: int | None
    """The pull that it is about; None for what is about a tape or the whole job."""
    line: LineName | None
    words: str
    by: str


@dataclass
class History:
    """What a journal tells beside its segments."""

    deeds: list[Deed] = field(default_factory=list)
    """In the order in which they were recorded."""
    struck: dict[int, int] = field(default_factory=dict)
    """Numbers of the calls that were struck, each with its pull."""
    asked: dict[int, str] = field(default_factory=dict)
    """What the crew was asked, by the number of the call that it was asked about."""
    lines: dict[int, LineName] = field(default_factory=dict)
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
        if entry.kind in FOLLOWS.values():
            self._consequence(entry)
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
        if entry.kind == "tape_corrected":
            stated = TapeCorrection.model_validate_json(entry.body)
            why = f": {stated.why}" if stated.why else ""
            words = (
                f"the certificate of tape {stated.tape.identity} in entry {stated.replaces} was"
                f" replaced by that of entry {entry.sequence}{why}"
            )
            self._deed = Deed(entry.sequence, entry.time_utc, None, None, words, stated.by)
        elif entry.kind == "about":
            self._deed = self._facts_stated(entry)
        elif entry.kind == "clock":
            words = _text(entry, "words")
            self._deed = Deed(entry.sequence, entry.time_utc, None, None, words, "the computer")
        elif entry.kind == "decision":
            made = Decision.model_validate_json(entry.body)
            self._deed = self._about(entry, made.pull, SAID[made.choice.value], made.by)
        elif entry.kind == "call" and state is not None:
            call = self._input = Call.model_validate_json(entry.body)
            self.history.lines[call.number] = self._line() or ("", "", 0)
            self.history.pulls[call.number] = state.pull
            is_command = call.outcome is Outcome.CALL and call.kind is Kind.COMMAND
            if is_command and call.name in SAID:
                self._deed = self._about(entry, state.pull, SAID[call.name], _who(call))

    def _consequence(self, entry: Entry) -> None:
        call = self._input
        by = _who(call) if call is not None else "policy"
        match entry.kind:
            case "void":
                void = Void.model_validate_json(entry.body)
                self.history.struck[void.call] = void.pull
                is_typed = call is not None and call.is_keyed and call.kind is not Kind.COMMAND
                reason = ", since another value was typed" if is_typed else ""
                words = f"call {void.call} was struck{reason}"
                self.history.deeds.append(self._about(entry, void.pull, words, by))
            case "reopened":
                pull = Reopened.model_validate_json(entry.body).pull
                words = "the pull was opened again after it was booked"
                self.history.deeds.append(self._about(entry, pull, words, by))
            case "question" | "held":
                self._deed = None
                if entry.kind == "question" and call is not None:
                    self.history.asked[call.number] = _text(entry, "words")
            case "segment":
                self.history.booked[int(_text(entry, "pull"))] = entry.time_utc
            case _:
                pass

    def _about(self, entry: Entry, pull: int, words: str, by: str) -> Deed:
        return Deed(entry.sequence, entry.time_utc, pull, self._line(), words, by)

    def _facts_stated(self, entry: Entry) -> Deed:
        by = Amendment.model_validate_json(entry.body).by or "not stated"
        is_anew = bool(self._replay.amended)
        words = "facts of the job were stated" + (" anew" if is_anew else "")
        return Deed(entry.sequence, entry.time_utc, None, None, words, by)

    def _line(self) -> LineName | None:
        if self._replay.state is None:
            return None
        settings = self._replay.state.settings
        ends = settings.line_from, settings.line_to
        return (*ends, self._replay.finished[ends] + 1)


def _who(call: Call) -> str:
    phone = call.source.partition(f"#{PHONE}")[2]
    if phone:
        return f"{phone}, on the phone"
    how = "typed" if call.is_keyed else "said"
    return f"{who_calls(call.role) or 'the crew'}, {how}"


def _text(entry: Entry, name: str) -> str:
    return str(entry.content[name]) if isinstance(entry.content, dict) else ""
