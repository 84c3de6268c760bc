"""A call that leaves no way for what was called before it in, which of the two stands out; pure.

Asked who holds the whole mark, a crew may call the whole reading; where that fits neither way, a
part was misheard. A reading that was heard surely, or twice, and has one part of one way, replaces
the other part: it is read back, and the check is still to come. Any other one may be misheard
itself, or the next pull's: both parts are called again, and nothing that was called stands. So they
are where two parts make no reading of this tape, since asked for both the crew says both.

From edition 2 of the pairing; before it the same question was asked again.
"""

from calllog.pairing.asking import TAKE_OR_CHECK, says_both_parts
from calllog.pairing.booking import Rules, Step, ask, refuse, voids
from calllog.pairing.changed import replace
from calllog.pairing.differing import overrule
from calllog.pairing.parts import Parts
from calllog.pairing.places import Option
from calllog.pairing.placing import noted_anew
from calllog.pairing.proposal import FULL_TAPE, propose
from calllog.pairing.roles import told
from calllog.pairing.said_again import is_said_again
from calllog.pairing.state import State
from calllog.pairing.striking import ASKS_SINCE, called_now, replayed, without
from calllog.pairing.table import Phase
from calllog.pairing.taking import impossible, tried
from calllog.values import Call, Kind, Message, Question, message

SURE = 0.9
"""A reading that was heard with less is said again before it replaces anything."""
BOTH_AGAIN = "both-parts-again"
"""Code of the question where two parts make no reading."""
CUTS = "tape-cuts"
"""Code of that where a reading does not tell which mark was held."""


def reads_anew(state: State, call: Call, rules: Rules) -> Step | None:
    """Take a whole reading that fits no way of what waits; None if it is no answer."""
    waiting = state.waiting
    if state.settings.pairing < ASKS_SINCE or waiting is None or not waiting.call.is_live:
        return None
    if call.kind is not Kind.READING or call.name == FULL_TAPE:
        return None
    proposed = propose(state, call)
    if isinstance(proposed, Message):
        is_unknown = proposed.code == CUTS
        return _both_again(state, call, rules) if is_unknown else refuse(state, proposed, call.role)
    if not (call.is_keyed or call.probability >= SURE or is_said_again(state, call)):
        return _once_more(state, call)
    near = [each for each in waiting.options if _has_one(each, proposed)]
    is_clear = len(near) == 1 and says_both_parts(state, call)
    done = _in_place(state, near[0], call, proposed, rules) if is_clear else None
    return done or _both_again(state, call, rules)


def _once_more(state: State, call: Call) -> Step:
    asks = message(
        "say-again",
        role=call.role.value,
        part="reading",
        measurement=TAKE_OR_CHECK[state.phase is not Phase.CHECKING],
    )
    return ask(replace(state, asked_first=call), asks, call.role)


def _has_one(option: Option, proposed: dict[str, int]) -> bool:
    """Tell whether a reading has one part of a way."""
    return (option.whole, option.fraction) != (None, None) and (
        (option.whole == proposed["whole"]) is not (option.fraction == proposed["fraction"])
    )


def _in_place(
    state: State, option: Option, call: Call, proposed: dict[str, int], rules: Rules
) -> Step | None:
    """Let a reading replace the part that it contradicts; None where that was typed.

    What was heard first stays evidence, as with every answer.
    """
    waiting = state.waiting
    base = replayed(replace(state, waiting=None), option.places, rules)
    if waiting is None or base is None:
        return None
    base = told(replace(base, findings=state.findings), option.places)
    parts = tried(base, waiting.call)
    if not isinstance(parts, Parts) or any(map(parts.is_keyed, parts.differing(proposed))):
        return None
    new, struck, _ = parts.overrule(call, proposed)
    if impossible(base, new) is not None:
        return None
    is_take = state.phase is not Phase.CHECKING
    gone = ((is_take, each) for each in parts.stated if each not in new.stated)
    with_calls = replace(
        base,
        history=(*base.history, waiting.call, call),
        struck=base.struck.union(struck),
        replaced=(*base.replaced, *gone),
    )
    return noted_anew(overrule(with_calls, new, struck, ()), base)


def _both_again(state: State, call: Call, rules: Rules) -> Step:
    """Strike all numbers of the measurement in progress, and ask for both parts."""
    begun = called_now(state.history) - state.struck
    left = without(replace(state, waiting=None), begun, rules)
    waits = {state.waiting.call.number} if state.waiting else set()
    struck = voids(state, sorted({*begun, *waits, call.number}))
    if left.consequences:
        return Step(left.state, (*struck, *left.consequences))
    asked = ask(left.state, message("call-both-again"))
    return Step(asked.state, (*struck, *asked.consequences))


def begins_anew(state: State, done: Step, rules: Rules) -> Step:
    """Strike the part that stands where the crew was asked to say both again.

    Otherwise the first one that it says differs from it, and stops the pull. A measurement that was
    complete before the call stands.
    """
    codes = {each.asks.code for each in done.consequences if isinstance(each, Question)}
    if state.settings.pairing < ASKS_SINCE or BOTH_AGAIN not in codes or not done.is_refused:
        return done
    if state.parts.is_empty or state.parts.is_complete or state.waiting is not None:
        return done
    begun = called_now(state.history) - state.struck
    left = without(state, begun, rules)
    follows = left.consequences or done.consequences
    return Step(left.state, (*voids(state, sorted(begun)), *follows))
