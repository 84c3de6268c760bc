"""A take in, whether it is of the pull that it is taken for, asked until the crew says so; pure.

Over a stop a crew loses count. Told to measure a pull again, it may read the next one, which would
stand for the pull that stopped and be missing itself. After a decision it may read the marks again
that it was just asked about, and they would be recorded as one more pull. What is read tells: a
pull that is measured again is near what it read before, and another one hardly ever is.

From edition 3 of the pairing. Who was recorded cannot be asked: then it is noted.
"""

from calllog.pairing.booking import REPEATS_PULL, UNLIKE_STOPPED, Step, ask, is_decided
from calllog.pairing.changed import replace
from calllog.pairing.edition import CONFIRMS_SINCE
from calllog.pairing.places import Waiting
from calllog.pairing.proposal import propose
from calllog.pairing.state import State
from calllog.pairing.table import Phase
from calllog.pairing.taking import taken
from calllog.tape import PARTED
from calllog.values import Call, Finding, Kind, Message, Role, message

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


def told_which(state: State, call: Call) -> Step | None:
    """Take the crew's word for which pull a take is of; None if a call is no such word.

    It is not what a crew says that calls on: that it is the next one is said in these words, that
    it is the same one by the whole reading, where one end reads all by that end.
    """
    waiting = state.waiting
    if waiting is None or waiting.asks is None:
        return None
    plain = replace(state, waiting=None)
    if waiting.asks.facts["about"] == NEXT:
        return Step(plain) if call.kind is Kind.COMMAND and call.name == NEXT else None
    is_theirs = call.role in (waiting.call.role, Role.UNSAID)
    if call.kind is not Kind.READING or not (is_theirs or state.settings.style in PARTED):
        return None
    proposed = propose(plain, call)
    is_alike = not isinstance(proposed, Message) and not state.parts.differing(proposed)
    return taken(plain, call) if is_alike else None
