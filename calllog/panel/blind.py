"""A view and the job that it shows in, the view without what a blind check must not see out; pure.

Who has seen or heard the take reads it again into the check. Until the check is complete nothing of
the pull's numbers is shown; that a call was taken is.
"""

from __future__ import annotations

from dataclasses import replace

from calllog.pairing import Phase
from calllog.panel.view import CallView, Happened, MeasureView, View
from calllog.panel.words import event_line
from calllog.session import Replay
from calllog.values import NUMBERS, Call, Kind
from calllog.wording import Words

HIDDEN = "…"
NUMBERED = NUMBERS | {Kind.UNCLEAR}


def blind(view: View, replay: Replay, words: Words) -> View:
    """Hide take and check until both are complete.

    Args:
        view: all that there is.
        replay: the job, of the same moment.
        words: the language that it is told in.
    """
    state = replay.state
    if state is None or state.phase in (Phase.STOPPED, Phase.FINISHED):
        return view
    hidden = _of_pull(replay)
    calls = tuple(_hidden(each) if each.number in hidden else each for each in view.calls)
    happened = tuple(
        _blinded(shown, event, words)
        if isinstance(event, Call) and event.number in hidden
        else shown
        for shown, (event, _) in zip(view.happened, replay.recent, strict=True)
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


def _hidden(call: CallView) -> CallView:
    return replace(call, words=HIDDEN, figures=HIDDEN, has_sound=False)


def _blinded(shown: Happened, call: Call, words: Words) -> Happened:
    line = event_line(call.model_copy(update={"text": "", "reason": None}), words)
    return replace(shown, lines=(line, *shown.lines[1:]))
