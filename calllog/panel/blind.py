"""A view and the job that it shows in, the view without what a blind check must not see out; pure.

Who has seen or heard the take reads it again into the check. Until the check is complete nothing of
the pull's numbers is shown; that a call was taken is.
"""

from dataclasses import replace

from calllog.pairing import Phase
from calllog.panel.view import MeasureView, View
from calllog.session import Replay
from calllog.values import NUMBERS, Call, Kind

NUMBERED = NUMBERS | {Kind.UNCLEAR}


def blind(view: View, replay: Replay) -> View:
    """Hide take and check until both are complete."""
    state = replay.state
    if state is None or state.phase in (Phase.STOPPED, Phase.FINISHED):
        return view
    hidden = _of_pull(replay)
    calls = tuple(replace(each, is_hidden=each.call.number in hidden) for each in view.calls)
    happened = tuple(
        replace(each, is_hidden=isinstance(each.event, Call) and each.event.number in hidden)
        for each in view.happened
    )
    return replace(view, take=MeasureView(), check=MeasureView(), calls=calls, happened=happened)


def _of_pull(replay: Replay) -> set[int]:
    """Find the numbers that were called since the last pull was booked."""
    last = replay.segments[-1] if replay.segments else None
    observed = (last.take, last.check, *last.superseded) if last else ()
    before = max((number for each in observed if each for number in each.calls), default=0)
    return {
        event.number
        for event, _ in replay.recent
        if isinstance(event, Call) and event.kind in NUMBERED and event.number > before
    }
