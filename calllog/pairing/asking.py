"""A call in doubt in, the question out; and its answer in, the parts that it changes out; pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from calllog.decoding import Doubt, Part
from calllog.pairing.changed import replace
from calllog.pairing.parts import Parts
from calllog.pairing.proposal import FULL_TAPE, bare_fraction, no_reading
from calllog.pairing.state import Asked, State
from calllog.pairing.table import TRANSITIONS, Phase, Signal
from calllog.tape import PARTED
from calllog.values import Call, Kind, Message, Observation, Question, Role, Style, Void, message

TAKE_OR_CHECK = {True: "take", False: "check"}


@dataclass(frozen=True, slots=True)
class Answer:
    """What an answer changes."""

    state: State
    """With the answer taken in and nothing awaited; nothing is decided yet."""
    voids: tuple[Void, ...]


def ask_again(state: State, doubt: Doubt, after: str = "") -> tuple[State, Question]:
    """Ask the one who called it to say a call again; the command `after` waits for the answer."""
    waiting = wait_for(state, Asked(doubt.is_take, doubt.part, Role.UNSAID, after))
    asked = waiting.asked[-1]
    asks = awaited(asked, is_last=doubt.asked > 0)
    return waiting, Question(pull=state.pull, role=asked.role, asks=asks)


def wait_for(state: State, asked: Asked) -> State:
    """Wait for a part to be said again by the one who called it; that is the last one `asked`."""
    parts = _asked_parts(state, is_take=asked.is_take)
    stated = {each.call for each in parts.stated if each.part in asked.parts}
    role = next(
        (each.role for each in reversed(state.history) if each.number in stated), Role.UNSAID
    )
    asked = replace(asked, role=role)
    phase = TRANSITIONS[state.phase, Signal.UNSURE]
    return replace(state, phase=phase, asked=(*state.asked, asked), awaiting=asked)


def awaited(asked: Asked, *, is_last: bool = False) -> Message:
    """Tell which call is asked again."""
    return message(
        "say-again-or-type" if is_last else "say-again",
        role=asked.role.value,
        part=asked.part.value,
        measurement=TAKE_OR_CHECK[asked.is_take],
    )


def answer(state: State, call: Call) -> Answer | Message | None:
    """Take a call as the answer to what was asked.

    The same again confirms what stands. Another value replaces it: the earlier call is struck, but
    what was heard in it stays evidence.

    Returns:
        What it changes; why it must be asked again; None if it is no answer.
    """
    asked = state.awaiting
    if asked is None or (
        Role.UNSAID not in (call.role, asked.role) and call.role is not asked.role
    ):
        return None
    stated = _stated(state, asked, call)
    if not isinstance(stated, dict):
        return stated
    parts = _asked_parts(state, is_take=asked.is_take)
    if any(parts.value(part) != value for part, value in stated.items() if part not in asked.parts):
        return None
    kind = Kind(asked.part.value) if call.kind is Kind.NUMBER else call.kind
    value = stated[asked.part.value] if call.kind is Kind.NUMBER else call.value
    is_kept = state.settings.pairing >= 1
    heard = call if is_kept else call.model_copy(update={"kind": kind, "value": value})
    differing = parts.differing(stated)
    if differing:
        new, struck, _ = parts.overrule(call, stated)
    else:
        new, struck = parts.add(call, stated), ()
    gone = tuple((asked.is_take, each) for each in parts.stated if each not in new.stated)
    hold = state.take.hold if asked.is_take and state.take else state.conditions.hold
    observed = new.observe(state.settings.style, hold)
    is_likely_turned = bool(differing) and _says_other_part(state, new, stated)
    if refused := _refused(state, new, observed, is_likely_turned=is_likely_turned):
        return refused
    answered = replace(
        state,
        phase=TRANSITIONS[state.phase, Signal.ANSWERED],
        history=(*state.history, heard),
        awaiting=None,
        is_confirmed=not differing,
        struck=state.struck.union(struck),
        replaced=(*state.replaced, *gone),
    )
    answered = _with_parts(answered, new, observed, asked, is_changed=bool(differing))
    voids = tuple(Void(call=number, pull=state.pull) for number in struck)
    return Answer(answered, voids)


def misheard(state: State, call: Call) -> int | None:
    """Find the call in doubt that an answer shows to have been one part alone; None if none is.

    A "forty six" heard as "four forty six" states 4 and 46. Asked for the foot again, 46 is the
    answer: nobody but that call ever called it as hundredths.
    """
    asked = state.awaiting
    if asked is None or call.kind is Kind.READING or state.settings.pairing < 1:
        return None
    stated = _stated(state, asked, call)
    parts = _asked_parts(state, is_take=asked.is_take)
    stating = {each.call for each in parts.stated}
    if not isinstance(stated, dict) or len(stating) != 1 or not parts.differing(stated):
        return None
    is_other = _says_other_part(state, parts.add(call, stated), stated)
    return stating.pop() if is_other else None


def _stated(state: State, asked: Asked, call: Call) -> dict[str, int] | Message | None:
    """Tell which parts an answer states [hundredths]; None if it is no answer."""
    value, one = call.value or 0, state.settings.unit.counts
    match call.kind:
        case Kind.NUMBER if asked.part is Part.WHOLE:
            return {"whole": value * one}
        case Kind.NUMBER if asked.part is Part.FRACTION:
            return bare_fraction(value, state.settings.unit)
        case Kind.WHOLE | Kind.FRACTION if call.kind.value == asked.part.value:
            return {call.kind.value: value}
        case Kind.READING if says_both_parts(state, call):
            return {"whole": value // one * one, "fraction": value % one}
    return None


def says_both_parts(state: State, call: Call) -> bool:
    """Tell whether a reading states both parts; where the tape cuts, one said with that word."""
    is_cut = state.settings.style is Style.CUT
    return call.name != FULL_TAPE and (not is_cut or call.name == Style.CUT.value)


def _refused(
    state: State, new: Parts, observed: Observation, *, is_likely_turned: bool
) -> Message | None:
    """Say why an answer cannot stand beside the other part; None if it can."""
    if why := no_reading(state.settings, new, observed.length):
        return why
    return message("same-as-other-part", value=new.fraction or 0) if is_likely_turned else None


def _says_other_part(state: State, new: Parts, stated: Mapping[str, int]) -> bool:
    """Tell whether an answer says the number that stands as the other part.

    The two may have been asked the wrong way round: then both call the same one. A whole reading
    says that it is so.
    """
    if state.settings.pairing < 1 or state.settings.style not in PARTED or len(stated) > 1:
        return False
    return new.whole == state.settings.unit.counts * (new.fraction or 0)


def _asked_parts(state: State, *, is_take: bool) -> Parts:
    return state.take_parts if is_take and state.phase is Phase.CHECKING else state.parts


def _with_parts(
    state: State, new: Parts, observed: Observation, asked: Asked, *, is_changed: bool
) -> State:
    if not asked.is_take:
        return replace(state, parts=new)
    old = (state.take,) if is_changed and state.take is not None else ()
    changed = replace(state, take=observed, superseded=(*state.superseded, *old))
    if state.phase is Phase.CHECKING:
        return replace(changed, take_parts=new)
    return replace(changed, parts=new)


def expected_part(state: State, role: Role) -> Part | None:
    """Tell which part one of the crew was asked for; None if nothing is awaited from them."""
    asked = state.awaiting
    if asked is None or role is Role.UNSAID or asked.role is not role:
        return None
    return asked.part
