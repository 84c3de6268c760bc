"""A sound that was let go as no call in, whether the crew must hear so out; shell.

Where a call is due, silence is taken for consent: who called, and was not made out, goes on and
puts the pull out of step. So what was as long and as loud as a call, soon after the call before it,
is answered by the tone of a key that means nothing. Talk that the grammar knows is not.
"""

from collections.abc import Callable, Sequence
from typing import Final

from calllog.audio import Utterance
from calllog.pairing import Phase, State
from calllog.session import Told
from calllog.values import Call, Outcome

NOT_MADE_OUT: Final = "no-call-made-out"
"""Code of why a sound was let go that is no talk that the grammar knows."""
SHORTEST_S, LONGEST_S = 0.3, 2.5
"""A call lasts so long."""
SOON_S = 10.0
"""A call is due for so long after the one before it."""


def is_missed(
    told: Told, state: State, calls: Sequence[Call], is_loud: Callable[[Utterance], bool]
) -> bool:
    """Tell whether a sound that was let go may have been a call that was due.

    Args:
        told: what became of it.
        state: where the pull stands.
        calls: of the job, it among them.
        is_loud: tells whether speech is as loud as its wearer's calls.
    """
    call, said = told.call, told.utterance
    if said is None or call.outcome is not Outcome.IGNORED:
        return False
    if call.reason is None or call.reason.code != NOT_MADE_OUT:
        return False
    if not SHORTEST_S <= call.end_s - call.start_s <= LONGEST_S:
        return False
    clock = call.source.partition("#")[0]
    before = next(
        (
            each
            for each in reversed(calls)
            if each.outcome is not Outcome.IGNORED and each.source.partition("#")[0] == clock
        ),
        None,
    )
    if before is None or call.start_s - before.end_s > SOON_S:
        return False
    return _is_due(state, before) and is_loud(said)


def _is_due(state: State, before: Call) -> bool:
    """Tell whether something is to be called now: the rest of a pull, or an answer."""
    if before.outcome is Outcome.ASK:
        return True
    return not state.is_between and state.phase is not Phase.FINISHED
