"""Who is who: which way the calls of a pull are to be placed, or that the crew must be asked; pure.

After a check the two may change back or walk on; who holds the whole mark is not taken for granted.
Three things speak for one way or the other: the crew's habit, the order of the calls (the foot is
called first), and what can be read on the tape at all (a mark beyond it, hundredths of one digit).
What everything speaks for is taken. What alone is possible is taken if anything speaks for it, or
if one part was typed as that part.
All else is asked: "who holds the foot?", before anything is booked.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from calllog.pairing.changed import replace
from calllog.pairing.parts import Parts
from calllog.pairing.places import Habit, Option, Places, Waiting
from calllog.pairing.proposal import length_of
from calllog.pairing.state import OTHER, State
from calllog.pairing.table import Phase
from calllog.tape import PARTED
from calllog.values import (
    NUMBERS,
    AfterCheck,
    Call,
    CalledFirst,
    Kind,
    LineSettings,
    Message,
    Role,
    message,
)

WHO_HOLDS = "who-holds-whole"
"""Code of the question, and of the stop where nobody can be asked."""
TURNED = "placed-anew"
"""Code of the note that calls were placed another way than the habit has it."""
CALLER = "caller-holds"
"""The command by which the one who holds the whole mark says so."""
COMMANDS = {"head-holds": Role.HEAD, "rear-holds": Role.REAR, CALLER: Role.UNSAID}
"""Commands that tell who holds the whole mark; unsaid for the one who calls."""
PARTS = frozenset({Kind.NUMBER, Kind.WHOLE, Kind.FRACTION})
"""What states one part of a length."""
MARKED = frozenset({Kind.WHOLE, Kind.FRACTION})
"""What is typed so has its point, or can be nothing else on this tape."""
ASTRAY = 3
"""So many measurements in a row the other way round are a habit."""
ONCE_MORE_S = 10.0
"""Who holds the whole mark is said once more so soon."""
FIRSTS = {CalledFirst.WHOLE: CalledFirst.FRACTION, CalledFirst.FRACTION: CalledFirst.WHOLE}


@dataclass(frozen=True, slots=True)
class Way:
    """One way to place the calls, as the machine would stand."""

    state: State
    """Before the call."""
    parts: Parts
    """With it."""
    is_usual: bool
    """The habit speaks for it."""
    is_ordered: bool
    """The order of the calls speaks for it."""


Replayed = Callable[[State, Places], State | None]
"""Takes the calls of the pull again with other places; None where they do not go so."""
Tried = Callable[[State, Call], Parts | Message | None]
"""Adds a call to the parts: why it cannot be; None where it contradicts what stands."""


def weighs_roles(state: State) -> bool:
    """Tell whether it is learned who calls what on this line."""
    return state.settings.pairing >= 1 and state.settings.style in PARTED


def settle(
    state: State, call: Call, replayed: Replayed, tried: Tried
) -> State | tuple[Option, ...] | None:
    """Find the way to place a number while no answer is awaited.

    Returns:
        The state to take it in, its places settled; the ways between which the crew must choose;
        None if nothing better than the places in force is found.
    """
    now = tried(state, call)
    if state.places.is_told or (isinstance(now, Message) and now.code == "again-or-hundredths"):
        return None
    observed = _observed(state, call)
    is_nobodys = not any(_is_said(state, each) for each in observed)
    is_settled = isinstance(now, Parts) and state.places.is_proved
    if is_nobodys and (is_settled or (isinstance(now, Message) and now.code == "one-digit")):
        # the order is proved; or both digits are asked for: "16, 5" is rather 16.05 than 5.16
        return None
    if isinstance(now, Parts):
        as_is = _way(state, now, state.places, observed)
        if not now.is_complete or (as_is.is_usual and as_is.is_ordered):
            is_proof = now.is_complete and observed[0].kind in MARKED and not state.places.is_proved
            return _proved(state) if is_proof and is_nobodys else None
    ways = tuple(_ways(state, call, observed, replayed, tried))
    if (best := _best(state, ways, observed)) is not None:
        return _kept(best.state, observed)
    is_alone = len({(each.parts.whole, each.parts.fraction) for each in ways}) == 1
    if not ways or (is_alone and isinstance(now, Message)):
        return None
    return tuple(_option(each) for each in sorted(ways, key=lambda way: not way.is_usual))


def _ways(
    state: State, call: Call, observed: list[Call], replayed: Replayed, tried: Tried
) -> Iterator[Way]:
    """List the ways in which the calls can be placed at all."""
    for places in _candidates(state, observed):
        base = state if places == state.places else replayed(state, places)
        parts = tried(base, call) if base is not None else None
        if base is not None and isinstance(parts, Parts):
            yield _way(base, parts, places, observed)


def _best(state: State, ways: tuple[Way, ...], observed: list[Call]) -> Way | None:
    """Find the way that everything speaks for, or the only one if anything does."""
    for each in ways:
        if each.is_usual and each.is_ordered:
            return each
    if len({(each.parts.whole, each.parts.fraction) for each in ways}) != 1:
        return None
    if any(each.is_keyed and each.kind in MARKED for each in observed):
        return ways[0]  # one part stands by its mark, so that the other number is the other part
    is_nobodys = not any(_is_said(state, each) for each in observed)
    return next((e for e in ways if is_nobodys or e.is_usual or e.is_ordered), None)


def _kept(state: State, observed: list[Call]) -> State:
    """Keep for the check that the foot is called first, where the take has proved it."""
    is_nobodys = not any(_is_said(state, each) for each in observed)
    if not is_nobodys or observed[0].kind is Kind.READING or len(observed) == 1:
        return state
    if called(state, observed[0]) is CalledFirst.FRACTION:
        return state
    firsts = (CalledFirst.WHOLE, CalledFirst.WHOLE)
    return replace(state, places=replace(state.places, firsts=firsts, is_told=True))


def _proved(state: State) -> State:
    """Keep that the whole mark is called first where nobody says who calls."""
    if state.called_first is not CalledFirst.WHOLE:
        return state
    firsts = (CalledFirst.WHOLE, CalledFirst.WHOLE)
    return replace(state, places=replace(state.places, firsts=firsts, is_proved=True))


def _observed(state: State, call: Call) -> list[Call]:
    """List the numbers of the measurement in progress, with the call."""
    numbers: list[Call] = []
    for each in (*state.history, call):
        if each.kind is Kind.COMMAND and each.name == "switch":
            numbers = []
        elif each.kind in NUMBERS and each.number not in state.struck:
            numbers.append(each)
    return numbers


def is_said(state: State) -> bool:
    """Tell whether it is known of any part of the pull who called it."""
    return any(_is_said(state, each) for each in state.history if each.kind in PARTS)


def keeps_order(state: State) -> bool:
    """Tell whether the order that was told stands when a pull is measured again.

    It does where nobody says who calls: then switching ends turned nobody round.
    """
    return state.places.is_told and not is_said(state)


def _is_said(state: State, call: Call) -> bool:
    return Role.UNSAID not in (call.role, state.whole_by)


def _candidates(state: State, observed: list[Call]) -> Iterator[Places]:
    """List the ways to place the calls, the one in force first."""
    places, is_check = state.places, state.phase is Phase.CHECKING
    bare = [each for each in observed if each.kind is Kind.NUMBER]
    said = [each for each in observed if each.kind in PARTS and _is_said(state, each)]
    may_turn = bool(said) and not (is_check and _is_named(said))
    holders = (state.holder, OTHER[state.holder]) if may_turn else (state.holder,)
    first = state.called_first
    is_open = any(not _is_said(state, each) for each in bare)
    for holder in holders:
        for one in (first, FIRSTS[first]) if is_open else (places.firsts[is_check],):
            firsts = (places.firsts[0], one) if is_check else (one, places.firsts[1])
            is_same = holder is state.holder and one is first
            yield places if is_same else replace(places, holder=holder, firsts=firsts)


def _is_named(said: list[Call]) -> bool:
    """Tell whether both callers share one microphone, so that they named themselves."""
    spoken = [each for each in said if not each.is_keyed]
    return len({each.role for each in spoken}) > len({each.source for each in spoken})


def _way(state: State, parts: Parts, places: Places, observed: list[Call]) -> Way:
    habit = state.habit.first
    usual = CalledFirst.WHOLE if habit is CalledFirst.UNSAID else habit
    first = observed[0]
    is_said = any(_is_said(state, each) for each in observed if each.kind in PARTS)
    is_known = is_said or habit is not CalledFirst.UNSAID or first.kind is not Kind.NUMBER
    is_ordered = first.kind is Kind.READING or (is_known and called(state, first) is usual)
    expected = places.expected if is_said else state.holder
    return Way(state, parts, state.holder is expected, is_ordered)


def called(state: State, first: Call) -> CalledFirst:
    """Tell which part the first call of a measurement states, as the calls are placed."""
    if first.kind is not Kind.NUMBER:
        return CalledFirst.FRACTION if first.kind is Kind.FRACTION else CalledFirst.WHOLE
    if _is_said(state, first):
        return CalledFirst.WHOLE if first.role is state.whole_by else CalledFirst.FRACTION
    return state.called_first


def _option(way: Way) -> Option:
    parts = way.parts
    length = length_of(way.state, parts) if parts.is_complete else None
    return Option(way.state.places, parts.whole, parts.fraction, length, way.state.whole_by)


def question(waiting: Waiting) -> Message:
    """Ask who holds the whole mark, saying what each answer would make; or what else is asked."""
    if waiting.asks is not None:
        return waiting.asks
    first, other = waiting.options[0], waiting.options[-1]
    is_order = len(waiting.options) > 1 and first.holder is other.holder
    return message(
        WHO_HOLDS,
        about="order" if is_order else "holder",
        holder=first.holder.value,
        first=_shown(first),
        other_holder=OTHER[first.holder].value,
        other=_shown(other) if other is not first else -1,
    )


def _shown(option: Option) -> int:
    """Give the parts as one number, as they are called [hundredths]; -1 for none."""
    if option.whole is None or option.fraction is None:
        return -1
    return option.whole + option.fraction


def chosen(state: State, call: Call) -> Option | None:
    """Find the way that a call tells: by who holds the mark, a whole reading, or a part."""
    waiting = state.waiting
    if waiting is None:
        return None
    if call.kind is Kind.COMMAND:
        holder = holder_told(call)
        found = [each for each in waiting.options if each.holder is holder]
        return found[0] if len({each.holder for each in waiting.options}) > 1 and found else None
    value = call.value or 0
    fitting = [each for each in waiting.options if _fits(each, call, value)]
    return fitting[0] if len(fitting) == 1 else None


def _fits(option: Option, call: Call, value: int) -> bool:
    match call.kind:
        case Kind.WHOLE:
            return option.whole == value
        case Kind.FRACTION:
            return option.fraction == value
        case Kind.READING:
            return value in (_shown(option), option.length)
        case _:
            return False


def holder_told(call: Call) -> Role:
    """Tell whom a command says to hold the whole mark now; unsaid where it is not known who calls.

    Whoever types calls for nobody: "caller" has no key.
    """
    return call.role if call.name == CALLER else COMMANDS.get(call.name, Role.UNSAID)


def says_once_more(state: State, call: Call) -> bool:
    """Tell whether a call only says again who held the whole mark in the pull just recorded.

    By key and by voice, or twice, to the question whose answer recorded it: of the next pull, whose
    first call is still to come, it says nothing.
    """
    before = state.booked
    if before is None or before.told is None or not state.is_between:
        return False
    last = max((each.number for each in before.history if each.kind in NUMBERS), default=0)
    is_soon = call.start_s - before.told.end_s <= ONCE_MORE_S
    return before.told.number > last and is_soon and holder_told(call) is holder_told(before.told)


def untellable(state: State, holder: Role) -> Message | None:
    """Say why the crew cannot tell who holds the whole mark; None if it can."""
    if not weighs_roles(state) or Role.UNSAID in (state.settings.whole_by, holder):
        return message("nobody-holds-whole")
    return message("line-finished") if state.phase is Phase.FINISHED else None


def told_against(state: State, origin: Phase) -> Message | None:
    """Say why it cannot be the other one who held the mark in the take; None if it may be.

    Args:
        state: where the pull stands.
        origin: its phase, before a stop.
    """
    if origin is Phase.TAKEN:  # they may have switched ends without saying so
        return message("take-held-otherwise", holder=state.holder.value)
    is_known = state.places.is_told and origin is Phase.CHECKING
    return message("holder-told-otherwise", holder=state.whole_by.value) if is_known else None


def told(state: State, places: Places) -> State:
    """Keep for the whole pull what the crew told."""
    first = places.firsts[state.phase is Phase.CHECKING]
    first = CalledFirst.WHOLE if first is CalledFirst.UNSAID else first
    kept = replace(places, firsts=(first, first), is_told=True)
    opening = state.opening and replace(state.opening, places=kept)
    return replace(state, places=kept, waiting=None, opening=opening)


def following(state: State, *, is_switched: bool, is_agreed: bool) -> tuple[Places, Habit]:
    """Say who is expected to call what in the next pull, and what the crew's habit is now."""
    if not weighs_roles(state):
        return state.places, state.habit
    habit, places = state.habit, state.places
    is_known = is_said(state)
    if is_known and places.before is not Role.UNSAID and not state.superseded:
        is_same = places.before is state.holder
        habit = replace(habit, after=AfterCheck.BACK if is_same else AfterCheck.ON)
    if is_known:
        habit = _in_order(state, habit)
    elif any(each.kind in PARTS for each in state.history):
        habit = replace(habit, first=_learned(state, is_agreed=is_agreed))
    if not is_switched:
        return expecting(state.holder, habit), habit
    walks_on = habit.after is AfterCheck.ON
    expected = OTHER[state.holder] if walks_on else state.holder
    return replace(expecting(expected, habit), before=state.holder), habit


def expecting(holder: Role, habit: Habit) -> Places:
    """Expect one of the two to hold the whole mark."""
    return Places(holder=holder, expected=holder, firsts=(habit.first, habit.first))


def carried(before: State, settings: LineSettings) -> tuple[Places, Habit] | None:
    """Carry the crew's habit on to another line; None where nothing is known for it.

    Args:
        before: where the line before stands.
        settings: what holds for the next one; what it states anew counts.
    """
    if not weighs_roles(before) or settings.pairing < 1:
        return None
    old, habit = before.settings, before.habit
    if settings.after_check is not old.after_check:
        habit = replace(habit, after=settings.after_check)
    if settings.called_first is not old.called_first:
        habit = replace(habit, first=settings.called_first)
    if settings.whole_by is not old.whole_by:
        return expecting(settings.whole_by, habit), habit
    return replace(expecting(before.holder, habit), before=before.places.before), habit


def _learned(state: State, *, is_agreed: bool) -> CalledFirst:
    """Tell which part is called first by a crew that does not say who calls.

    The foot is, by custom; that the hundredths are is believed of a pull that agrees alone.
    """
    usual, stated = state.habit.first, state.settings.called_first
    if stated is not CalledFirst.UNSAID:
        return stated
    if not is_agreed:
        is_whole = state.places.is_told and state.places.firsts[0] is CalledFirst.WHOLE
        return CalledFirst.WHOLE if is_whole else stated
    if usual is not CalledFirst.UNSAID:
        return usual
    if state.places.is_told:
        return state.places.firsts[0]
    first = next(each for each in state.history if each.kind in NUMBERS)
    is_bare = first.kind in (Kind.NUMBER, Kind.WHOLE)
    is_whole = is_bare and state.places.firsts[0] is not CalledFirst.FRACTION
    return CalledFirst.WHOLE if is_whole else usual


def _in_order(state: State, habit: Habit) -> Habit:
    """Count measurements whose order is other than the habit, where the crew told the places."""
    if not state.places.is_told:
        return habit
    usual = CalledFirst.WHOLE if habit.first is CalledFirst.UNSAID else habit.first
    astray = habit.astray
    for numbers, whole_by in _measurements(state):
        roles = {each.role for each in numbers}
        if len(roles) < 2 or Role.UNSAID in roles:  # noqa: PLR2004 - both called
            continue
        is_whole = numbers[0].role is whole_by
        astray = 0 if is_whole is (usual is CalledFirst.WHOLE) else astray + 1
    if astray < ASTRAY:
        return replace(habit, astray=astray)
    return replace(habit, first=FIRSTS[usual], astray=0)


def _measurements(state: State) -> Iterator[tuple[list[Call], Role]]:
    """List the parts called of take and check, and who held the whole mark."""
    numbers: list[Call] = []
    whole_by = state.holder
    for each in state.history:
        if each.kind is Kind.COMMAND and each.name == "switch":
            yield numbers, whole_by
            numbers, whole_by = [], OTHER[state.holder]
        elif each.kind in PARTS and each.number not in state.struck:
            numbers.append(each)
    yield numbers, whole_by
