"""The rules of a pull, said once more: what was fed and what was booked in, a protest or none out.

It knows nothing of how the machine works. For every segment it asks what the crew's rules ask: was
each part of both observations spoken or typed, by who had to call it, after the pull was opened,
and not struck; were the ends switched between the two; do the two agree, or did somebody decide.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from calllog.values import (
    Booking,
    BookPolicy,
    Call,
    CheckPolicy,
    Conditions,
    Consequence,
    Decision,
    Finding,
    Held,
    Kind,
    LineSettings,
    Observation,
    Outcome,
    Question,
    Reopened,
    Role,
    Segment,
    Severity,
    Style,
    Void,
)

FOOT_M = 0.3048
OTHER = {Role.HEAD: Role.REAR, Role.REAR: Role.HEAD, Role.UNSAID: Role.UNSAID}
NUMBERS = frozenset({Kind.WHOLE, Kind.FRACTION, Kind.READING, Kind.NUMBER})
ANSWERS = frozenset({"first", "check", "again", "scratch"})
STYLES = (Style.CUT.value, Style.ADD.value)
TELLS = (*STYLES, "caller-holds", "head-holds", "rear-holds")
"""Commands that answer a stop over who holds the foot, or over the tape."""
CONTRADICTED = "style-contradicted"
"""Code of the finding that somebody said another style than the certificate does."""
TRIED = "tried-again"
"""Code of the finding that a pull is measured once more; a typed part may settle its stop too."""
Fed = Call | Decision | Conditions


@dataclass
class Umpire:
    """Watches a job; `saw` raises an AssertionError where a rule is broken."""

    settings: LineSettings
    events: list[Fed] = field(default_factory=list)
    """All that was fed, in order."""
    standing: list[tuple[Segment, int]] = field(default_factory=list)
    """The segments that stand, each with the place from which its pull's calls count."""
    booked: int = 0
    _since: int = 0
    """The place in `events` from which calls count for the pull in progress."""
    _stop: int | None = None
    """The place of the event that a pull stopped at, while nobody answered."""
    _stopped: int = 0
    """The last such place, answered or not."""
    _is_over_style: bool = False
    """Whether it stopped over a word against the certificate; the other word answers that."""
    _struck: set[int] = field(default_factory=set)
    _over_stops: set[int] = field(default_factory=set)
    """Places of events during a stop: a mark named before may be taken in after them."""
    _begun: int = 0
    """The place in `events` where the line began."""
    _opened: dict[int, int] = field(default_factory=dict)
    """The places where the line's pulls were opened, but for its first, by their numbers."""
    _pull_since: int = 0
    """The place where the pull that is judged was opened: "measure again" opens none."""
    _places: dict[int, int] = field(default_factory=dict)
    """Place of each call, by its number."""

    def begin_line(self, settings: LineSettings) -> None:
        """See a line begin: what was called before counts for none of its pulls."""
        self.settings = settings
        self._since, self._stop = len(self.events), None
        self._begun, self._opened = len(self.events), {}

    def saw(self, event: Fed, follows: Sequence[Consequence], *, is_stopped: bool) -> None:
        """See an event, what followed from it, and whether the pull waits for a decision now."""
        place, stop = len(self.events), self._stop
        self.events.append(event)
        if isinstance(event, Call):
            assert event.number not in self._places, "a number was given twice"
            self._places[event.number] = place
        is_answer = stop is not None and self._answers(event)
        began = place + 1
        if stop is not None:
            began = stop + 1
            self._over_stops.add(place)
        for each in follows:
            if isinstance(each, Segment | Reopened):
                assert stop is None or is_answer, f"pull {each.pull} moved over a stop"
            self._see(each, place, began)
        if isinstance(event, Decision) and stop is None:
            assert all(isinstance(each, Question) for each in follows), "nothing was to be decided"
        if stop is not None and not is_stopped:
            assert is_answer, f"the work went on over a stop: {event}"
        is_tried = any(isinstance(each, Finding) and each.code == TRIED for each in follows)
        if stop is not None and not is_stopped and is_tried:
            self._since = min(began, place)
        self._stop = (place if stop is None else stop) if is_stopped else None
        if _is_command(event, "again") and not any(isinstance(x, Held | Question) for x in follows):
            self._since = began

    def _see(self, follows: Consequence, place: int, began: int) -> None:
        match follows:
            case Void(call=call):
                assert call not in self._struck, f"call {call} was struck twice"
                assert call in self._places, f"call {call} was never made"
                self._struck.add(call)
            case Reopened(pull=pull):
                segment, self._since = self.standing.pop()
                assert segment.pull == pull, f"pull {pull} was not the last"
            case Segment():
                self._judge(follows, place)
                self.standing.append((follows, self._since))
                self.booked += 1
                self._since = self._opened[follows.pull + 1] = began
            case Finding(severity=Severity.STOP, code=code):
                self._stopped = place
                self._is_over_style = code == CONTRADICTED
            case _:
                pass

    def _answers(self, event: Fed) -> bool:
        """Tell whether an event may be about the stop."""
        if isinstance(event, Decision):
            return True
        if isinstance(event, Call) and event.kind in NUMBERS:
            return event.is_keyed or self._is_try(event)
        answers = (*ANSWERS, *TELLS) if self.settings.pairing else ANSWERS
        if self._is_over_style:
            answers = (*answers, *STYLES)
        return isinstance(event, Call) and event.kind is Kind.COMMAND and event.name in answers

    def _is_try(self, event: Fed) -> bool:
        """Tell whether an event is a number called by a crew that heard the stop: another try."""
        is_live = isinstance(event, Call) and event.is_live and event.kind in NUMBERS
        return is_live and self.settings.pairing > 0

    def _judge(self, segment: Segment, place: int) -> None:
        take, check, settings = segment.take, segment.check, self.settings
        self._pull_since = self._opened.get(segment.pull, self._begun)
        assert all(segment.pull > other.pull for other, _ in self.standing), "pulls out of order"
        where = (settings.line_from, settings.line_to, settings.tape, settings.style)
        booked = (segment.line_from, segment.line_to, segment.tape, segment.style)
        assert booked == where, f"booked on {booked} instead of {where}"
        self._judge_stated(take, is_check=False)
        if check is not None:
            self._judge_stated(check, is_check=True)
            assert not set(take.calls) & set(check.calls), "one call counts for take and check"
            self._judge_switched(take, check)
        used = {*take.calls, *(check.calls if check else ())}
        for other, _ in self.standing:
            before = {*other.take.calls, *(other.check.calls if other.check else ())}
            assert not used & before, f"calls {used & before} count for two pulls"
        off = check.length - take.length if check else None
        assert segment.difference == off, f"the two are {off} apart: {segment}"
        if segment.booking is Booking.AGREED:
            self._judge_agreed(segment, place)
        elif segment.booking is Booking.UNCHECKED:
            self._judge_unchecked(segment)
        else:
            self._judge_decided(segment, place)
        is_agreed = segment.booking is Booking.AGREED
        is_mean = is_agreed and settings.book is BookPolicy.MEAN
        is_check = segment.booking is Booking.CHECK or (
            is_agreed and settings.book is BookPolicy.CHECK
        )
        length = check.length if is_check and check else take.length
        one = settings.unit.counts
        mean = (take.length + check.length) / 2 if is_mean and check else length
        exact = mean / one
        factor = 1.0 if settings.unit.is_feet else 1 / FOOT_M
        assert abs(segment.length_read_ft - exact * factor) < 1e-9, "another length was booked"

    def _judge_agreed(self, segment: Segment, place: int) -> None:
        assert segment.check is not None, "nothing that could agree"
        assert segment.difference is not None
        assert abs(segment.difference) <= self.settings.tolerance, "booked over a disagreement"
        assert segment.decided_by == "policy"
        if self._stopped >= self._since and any(
            each.severity is Severity.STOP for each in segment.findings
        ):
            answers = self.events[self._stopped + 1 : place + 1]
            assert any(map(self._answers, answers)), "a stop that nobody answered"

    def _judge_decided(self, segment: Segment, place: int) -> None:
        """Somebody decided this pull, now, after all of it was said."""
        event, choice = self.events[place], segment.booking.value
        assert segment.check is not None, "decided, but there were no two to choose from"
        assert any(each.severity is Severity.STOP for each in segment.findings), "no question stood"
        if isinstance(event, Decision):
            assert (event.pull, event.choice.value) == (segment.pull, choice)
            assert segment.decided_by == event.by
        else:
            assert _is_command(event, choice), f"decided by {event}"
            assert segment.decided_by == "crew"

    def _judge_unchecked(self, segment: Segment) -> None:
        assert segment.check is None
        assert self.settings.policy is not CheckPolicy.REQUIRED, "booked without its check"
        last = max(self._places[each] for each in segment.take.calls)
        later = self.events[self._since if self.settings.decoding else last + 1 :]
        assert any(_is_command(each, "next", "finish") for each in later), "nobody went on"

    def _judge_stated(self, seen: Observation, *, is_check: bool) -> None:
        """Each part was called for this pull, by who had to call it, and was not struck."""
        for number in seen.calls:
            assert number in self._places, f"call {number} was never made"
            assert self._places[number] >= self._since, f"call {number} was for an earlier pull"
            assert number not in self._struck, f"call {number} was struck"
        is_parted = self.settings.style in (Style.ADD, Style.CUT)
        one = self.settings.unit.counts
        whole, fraction = seen.whole, seen.fraction
        if not is_parted:
            assert (whole, fraction) == (None, None)
            assert seen.reading is not None
            whole, fraction = seen.reading // one * one, seen.reading % one
        assert whole is not None
        assert fraction is not None
        for part, value in (("whole", whole), ("fraction", fraction)):
            assert self._stating(seen, part, value, is_check=is_check), (
                f"nobody called {part} {value}: {seen}"
            )
        length = whole - fraction if self.settings.style is Style.CUT else whole + fraction
        assert seen.length == length - (0 if is_parted else seen.hold), "another length was read"
        assert seen.length >= 0
        marked = whole if self.settings.style is Style.CUT else whole + fraction
        assert marked <= self.settings.limit, f"{marked} is beyond the tape"
        assert seen.hold in self._holds(), f"nobody held {seen.hold}"

    def _stating(self, seen: Observation, part: str, value: int, *, is_check: bool) -> list[int]:
        """List the places of the calls of an observation that state a part."""
        found = []
        for number in seen.calls:
            call = self.events[self._places[number]]
            assert isinstance(call, Call)
            assert call.outcome is Outcome.CALL
            if value in self._may_state(call, part, is_check=is_check):
                found.append(self._places[number])
        return found

    def _may_state(self, call: Call, part: str, *, is_check: bool) -> tuple[int, ...]:
        said, one = call.value or 0, self.settings.unit.counts
        match call.kind:
            case Kind.READING:
                return (said // one * one,) if part == "whole" else (said % one,)
            case Kind.NUMBER:
                by = self.settings.whole_by
                whole_by = OTHER[by] if is_check else by
                is_fixed = not self.settings.decoding and not self.settings.pairing  # else learned
                is_known = is_fixed and Role.UNSAID not in (call.role, whole_by)
                if is_known and (call.role is whole_by) is not (part == "whole"):
                    return ()
                return (said * one,) if part == "whole" else (said * one // 100,)
            case _:
                return (said,) if call.kind.value == part else ()

    def _judge_switched(self, take: Observation, check: Observation) -> None:
        """The ends were switched after the take and before the check."""
        one = self.settings.unit.counts
        whole = take.whole if take.whole is not None else (take.reading or 0) // one * one
        fraction = take.fraction if take.fraction is not None else (take.reading or 0) % one
        taken = max(
            min(self._stating(take, part, value, is_check=False))
            for part, value in (("whole", whole), ("fraction", fraction))
        )
        if self.settings.decoding:  # a call of the take may be asked again after the switch
            taken = self._since
        checked = min(self._places[each] for each in check.calls)
        between = self.events[taken:checked]
        assert any(_is_command(each, "switch") for each in between), "the ends were not switched"

    def _holds(self) -> set[int]:
        """List the marks that may have been held since the pull was opened."""
        if self.settings.pairing:
            one = self.settings.unit.counts
            stated = [_mark_held(each, one) for each in self.events[self._pull_since :]]
            return {self.settings.hold, *(each for each in stated if each is not None)}
        found = {0}
        for place, event in enumerate(self.events):
            if isinstance(event, Conditions):
                is_alone = place < self._since and place not in self._over_stops
                found = {event.hold} if is_alone else {*found, event.hold}
            elif isinstance(event, Call) and event.name == "hold" and event.kind is Kind.CONDITION:
                found.add(round((event.amount or 0.0) * self.settings.unit.counts))
        return found


def _mark_held(event: Fed, one: int) -> int | None:
    """Give the mark that is held from an event on; None where it says nothing of it."""
    if isinstance(event, Conditions):
        return event.hold
    is_hold = isinstance(event, Call) and event.kind is Kind.CONDITION and event.name == "hold"
    return round((event.amount or 0.0) * one) if is_hold and isinstance(event, Call) else None


def _is_command(event: Fed, *names: str) -> bool:
    return isinstance(event, Call) and event.kind is Kind.COMMAND and event.name in names
