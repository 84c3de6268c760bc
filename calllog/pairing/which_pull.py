"""A take in, whether it is of the pull that it is taken for, asked until the crew says so; pure.

Over a stop a crew loses count. Told to measure a pull again, it may read the next one, which would
stand for the pull that stopped and be missing itself. After a decision it may read the marks again
that it was just asked about, and they would be recorded as one more pull. What is read tells: a
pull that is measured again is near what it read before, and another one hardly ever is.

From edition 3 of the pairing. Who was recorded cannot be asked: then it is noted. From edition 4 an
answer that says otherwise than the take replaces it: what looked like another pull was misheard.
"""

from calllog.pairing.anew import SURE
from calllog.pairing.booking import (
    REPEATS_PULL,
    UNLIKE_STOPPED,
    Rules,
    Step,
    ask,
    is_decided,
    unlike_stopped,
    voids,
)
from calllog.pairing.changed import replace
from calllog.pairing.edition import CONFIRMS_SINCE, HEARS_AGAIN_SINCE
from calllog.pairing.places import Waiting
from calllog.pairing.proposal import length_of, propose
from calllog.pairing.state import State
from calllog.pairing.striking import without
from calllog.pairing.table import Phase
from calllog.pairing.taking import impossible, taken
from calllog.tape import PARTED
from calllog.values import NUMBERS, Call, Finding, Kind, Message, Role, message

AGAIN, NEXT = "again", "next"
"""What the crew may say that it is: the pull that stopped, or the one after it."""


def ask_which(state: State, call: Call, done: Step) -> Step:
    """Ask which pull a take is of where that is not plain.

    Args:
        state: where the pull stood.
        call: what may have completed the take.
        done: what came of it.
    """
    now = done.state
    is_new = state.take is None and now.phase is Phase.TAKEN and now.pull == state.pull
    if not is_new or not call.is_live or now.settings.pairing < CONFIRMS_SINCE or now.waiting:
        return done
    for each in done.consequences:
        if isinstance(each, Finding) and (about := _may_be(state, each)):
            asks = message(
                "which-pull",
                about=about,
                pull=now.pull if about == AGAIN else now.pull - 1,
                before=each.first or 0,
                reading=each.second or 0,
            )
            asked = ask(replace(now, waiting=Waiting(call, (), asks)), asks)
            return Step(asked.state, (*done.consequences, *asked.consequences))
    return done


def _may_be(state: State, found: Finding) -> str:
    """Tell what the crew must say that a take is, by what was found; empty if nothing."""
    if found.code == UNLIKE_STOPPED:
        return AGAIN
    return NEXT if found.code == REPEATS_PULL and is_decided(state.booked) else ""


def told_which(state: State, call: Call, rules: Rules) -> Step | None:
    """Take the crew's word for which pull a take is of; None if a call is no such word.

    It is not what a crew says that calls on: that it is the next one is said in these words, that
    it is the same one by the whole reading, where one end reads all by that end.

    Args:
        state: where a take waits for it.
        call: what was said.
        rules: how the calls that stand are taken again.
    """
    waiting = state.waiting
    if waiting is None or waiting.asks is None:
        return None
    plain = replace(state, waiting=None)
    if waiting.asks.facts["about"] == NEXT:
        return Step(plain) if call.kind is Kind.COMMAND and call.name == NEXT else None
    if call.kind not in NUMBERS or isinstance(proposed := propose(plain, call), Message):
        return None
    is_theirs = call.role in (waiting.call.role, Role.UNSAID)
    is_whole = call.kind is Kind.READING and (is_theirs or state.settings.style in PARTED)
    if not plain.parts.differing(proposed):
        return taken(plain, call) if is_whole else None
    if state.settings.pairing < HEARS_AGAIN_SINCE:
        return None
    return _heard_again(plain, call, proposed, rules, waiting if is_whole else None)


def _heard_again(
    state: State, call: Call, proposed: dict[str, int], rules: Rules, asked: Waiting | None
) -> Step | None:
    """Take what says otherwise than the take in its place: the take was misheard.

    What makes it read as the pull did before it stopped says by that which pull it is. A whole
    reading says so by itself, but may be misheard too: it has one part of the take and was heard
    surely, or is said twice.

    Args:
        state: where the take stands, and nothing waits.
        call: what was said.
        proposed: the parts that it states [least counts].
        rules: how the calls that stand are taken again.
        asked: what waits for a whole reading; None where the call is none.
    """
    parts, differing = state.parts, state.parts.differing(proposed)
    wrong = {each.call for each in parts.stated if each.part in differing}
    said = {each.part for each in parts.stated if each.call in wrong}
    if any(map(parts.is_keyed, said)) or not said <= proposed.keys():
        return None
    new = parts.add(call, proposed)
    if impossible(state, new) is not None:
        return None
    length = length_of(state, new)
    if unlike_stopped(state, new.observe(state.settings.style, state.conditions.hold)):
        if asked is None or asked.asks is None:
            return None
        is_sure = call.is_keyed or call.probability >= SURE
        is_said_twice = asked.asks.facts["reading"] == length
        if not (is_said_twice or (is_sure and len(differing) == 1)):
            asks = message(asked.asks.code, **{**asked.asks.facts, "reading": length})
            return ask(replace(state, waiting=Waiting(asked.call, (), asks)), asks)
    left = without(state, wrong, rules)
    struck = voids(state, sorted(wrong))
    if left.consequences:
        return Step(left.state, (*struck, *left.consequences))
    done = taken(left.state, call)
    return Step(done.state, (*struck, *done.consequences))
