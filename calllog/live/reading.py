"""What is read back when: not each half of a measurement, and never over a voice; shell.

A part alone is acknowledged by its tone; its words wait for the other part, and then both are read
back as one measurement. They are said alone where the other does not come. "Switch ends" waits so
too, and is not said at all where the next call comes, which follows it at once and would be hidden
by it. Nobody is talked over:
words that only repeat a call wait until nobody speaks, or are broken off and said with the next.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from calllog.pairing import Phase, State
from calllog.pairing.parts import PART_NAMES
from calllog.readback import Saying, Tone, says_whole
from calllog.values import (
    NUMBERS,
    Call,
    Consequence,
    Finding,
    Kind,
    Outcome,
    Segment,
    Severity,
    Void,
)

LONE_S = 2.6
"""A part is read back alone if the other has not come by then: people call up to 3 s after each
other, of which 0.6 s pass before the part is known."""
MOST_S = 6.0
"""Words wait no longer than this for someone who goes on speaking."""
GOES_ON_S = 0.35
"""What is said of a figure alone waits so long: it is known 0.6 s after its end, and the rest of
its number begins within 0.9 s of that end (see `calllog.session.recorder`)."""
BEGUN_S = 0.13
"""Speech that lasts so long is a person who has begun: a read-back gives way to it."""


@dataclass(frozen=True, slots=True)
class _Waiting:
    """Words that wait."""

    words: str
    due_s: float
    last_s: float
    part: str = ""
    """The part that they are, whose other part is still to come: whole or fraction."""
    is_passing: bool = False
    """They are not said once something else is."""


@dataclass(frozen=True, slots=True)
class _Held:
    """What is said of a figure alone, unless the rest of its number comes."""

    saying: Saying
    call: Call | None
    consequences: Sequence[Consequence]
    state: State
    due_s: float

    def is_begun_in(self, call: Call) -> bool:
        """Tell whether a call is the whole number."""
        begun = self.call
        return begun is not None and (begun.source, begun.start_s) == (call.source, call.start_s)


class Reading:
    """Settles when what repeats a call is said."""

    def __init__(self, say: Callable[[Saying], None], clock: Callable[[], float]) -> None:
        self._say = say
        self._clock = clock
        self._waiting: _Waiting | None = None
        self._held: _Held | None = None

    @property
    def words(self) -> str:
        """The words that wait; empty if none do."""
        return self._waiting.words if self._waiting else ""

    def give(
        self,
        saying: Saying,
        call: Call | None,
        consequences: Sequence[Consequence],
        state: State,
        *,
        speaks_s: float = 0.0,
        may_go_on: bool = False,
    ) -> Saying:
        """Say what became of a call, or its tone alone while its words wait; give all of it.

        `speaks_s` is how long somebody has been speaking [s]; `may_go_on` tells of a figure alone.
        What is given can be said again.
        """
        self._say_held(call)
        if may_go_on:
            due_s = self._clock() + GOES_ON_S
            self._held = _Held(saying, call, consequences, state, due_s)
            return saying
        if saying.is_silent or not saying.words:
            self._say(saying)
            return saying
        waiting, self._waiting = self._waiting, None
        is_told = waiting is not None and bool(waiting.part) and says_whole(call, consequences)
        if waiting is not None and (waiting.is_passing or is_told):
            waiting = None
        if waiting is not None and not _stands_for_all(saying, consequences):
            saying = _joined(waiting, saying, _part(call, state))
        if not saying.is_read_back:
            self._say(saying)
            return saying
        is_lone = _is_lone(call, state)
        is_passing = waiting is None and _switches(call, state)
        if is_lone or is_passing or speaks_s > BEGUN_S:
            now_s = self._clock()
            due_s = now_s + LONE_S if is_lone or is_passing else now_s
            part = _part(call, state) if is_lone else ""
            self._waiting = _Waiting(saying.words, due_s, now_s + MOST_S, part, is_passing)
            self._say(replace(saying, words=""))
        else:
            self._say(saying)
        return saying

    def follow(self, speaks_s: float, give_way: Callable[[], Saying | None]) -> None:
        """Say words that are due; break off a read-back over which somebody begins to speak.

        Args:
            speaks_s: how long somebody has been speaking [s]; 0 if nobody does.
            give_way: breaks off what is read back, and gives what was not said wholly.
        """
        now_s = self._clock()
        held = self._held
        is_late = held is not None and now_s >= held.due_s + MOST_S
        if is_late or (held is not None and now_s >= held.due_s and speaks_s == 0.0):
            self._say_held(None)
        if speaks_s > BEGUN_S and (cut := give_way()) is not None and cut.words:
            words = ", ".join(filter(None, (cut.words, self.words)))
            self._waiting = _Waiting(words, now_s, now_s + MOST_S)
        waiting = self._waiting
        if waiting is None or now_s < waiting.due_s:
            return
        if speaks_s > 0.0 and now_s < waiting.last_s:
            return
        self._waiting = None
        self._say(Saying(None, waiting.words, is_read_back=True))

    def _say_held(self, call: Call | None) -> None:
        """Say what is held of a figure, unless a call is the whole number that it began."""
        held, self._held = self._held, None
        if held is None or (call is not None and held.is_begun_in(call)):
            return
        self.give(held.saying, held.call, held.consequences, held.state)

    def drop(self) -> None:
        """Let go of what waits, since it is said in another way."""
        self._waiting = self._held = None


def _is_lone(call: Call | None, state: State) -> bool:
    """Tell whether a call is one part of a measurement whose other part is still to come."""
    return (
        call is not None
        and call.kind in NUMBERS
        and call.outcome is Outcome.CALL
        and state.phase in (Phase.OPEN, Phase.CHECKING)
        and not state.parts.is_complete
        and call.number in state.parts.calls
    )


def _switches(call: Call | None, state: State) -> bool:
    """Tell whether a call has just turned the two round for the check."""
    is_switch = call is not None and call.kind is Kind.COMMAND and call.name == "switch"
    return is_switch and state.phase is Phase.CHECKING and state.parts.is_empty


def _stands_for_all(saying: Saying, consequences: Sequence[Consequence]) -> bool:
    """Tell whether a result says what waits as well, or strikes it."""
    return saying.tone is Tone.STOP or any(
        isinstance(each, Segment | Void)
        or (isinstance(each, Finding) and each.severity is Severity.STOP)
        for each in consequences
    )


def _part(call: Call | None, state: State) -> str:
    """Tell which part alone a call states; empty for none."""
    stated = [each.part for each in state.parts.stated if call and each.call == call.number]
    return stated[0] if len(stated) == 1 else ""


def _joined(waiting: _Waiting, saying: Saying, part: str) -> Saying:
    """Put words that wait and new ones together; a measurement's whole foot first.

    Who said the same number twice hears it once.
    """
    if saying.is_read_back and _is_said_twice(waiting, saying.words, part):
        return replace(saying, words=waiting.words)
    if not saying.is_read_back or {waiting.part, part} != {*PART_NAMES}:
        return replace(saying, words=f"{waiting.words}. {saying.words}")
    parts = (waiting.words, saying.words)
    return replace(saying, words=", ".join(parts if part == "fraction" else reversed(parts)))


def _is_said_twice(waiting: _Waiting, words: str, part: str) -> bool:
    """Tell whether the part that words are waits already; 33 and .33 are two numbers."""
    if waiting.part:
        return (waiting.part, waiting.words) == (part, words)
    return part != PART_NAMES[0] and waiting.words.endswith(f", {words}")
