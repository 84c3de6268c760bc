"""A job in, its clips with known words out: what take and check agreed on and was read back; shell.

A pull that was recorded as agreed was measured twice, the second time with the ends switched, and
was read back without being struck. Its calls are what its value says, whatever was heard in them;
any wording of that value may have been said.
"""

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from calllog.audio import RATE_HZ, Recording, Utterance
from calllog.errors import AudioError
from calllog.session import Replay
from calllog.spoken import Grammar, spoken_forms, words
from calllog.values import Booking, Call, Kind, Role
from calllog.voices.clips import Said

LEARNED = frozenset({Kind.WHOLE, Kind.FRACTION, Kind.NUMBER, Kind.READING})


def agreed_calls(replay: Replay, role: Role) -> tuple[Call, ...]:
    """List one person's calls of pulls that agreed, whose sound is kept, in order."""
    heard = replay.voices.heard
    return tuple(
        call
        for call in _of_agreed(replay)
        if call.number in heard and heard[call.number][0] is role
    )


def _of_agreed(replay: Replay) -> Iterator[Call]:
    by_number = {call.number: call for call in replay.calls}
    for segment in replay.segments:
        if segment.booking is not Booking.AGREED or segment.check is None:
            continue
        for number in (*segment.take.calls, *segment.check.calls):
            call = by_number.get(number)
            if call is not None and call.kind in LEARNED and call.clip and not call.is_keyed:
                yield call


def read_calls(folder: Path, calls: tuple[Call, ...], grammar: Grammar) -> tuple[Said, ...]:
    """Read the sounds of calls; a file that is gone or broken gives a call without sound."""
    return tuple(
        Said(call.expects, texts, _utterance(folder / call.clip), call.clip)
        for call in calls
        if (texts := _texts(call, grammar))
    )


def _texts(call: Call, grammar: Grammar) -> tuple[str, ...]:
    """List how the value may have been said, as it was heard first."""
    if call.value is None:
        return ()
    forms = spoken_forms(grammar, call.kind, call.value)
    if call.kind is Kind.NUMBER:  # either part, and said as either is
        whole = spoken_forms(grammar, Kind.WHOLE, call.value * grammar.unit.counts)
        forms = (*whole, *spoken_forms(grammar, Kind.FRACTION, call.value))
    heard = (call.text,) if {*call.text.split()} <= words(grammar) else ()
    return tuple(dict.fromkeys((*heard, *forms)))


def _utterance(path: Path) -> Utterance | None:
    try:
        recording = Recording(path)
        sound = np.concatenate([block[:, 0] for block in recording.blocks()])
    except (AudioError, OSError):
        return None
    end_s = len(sound) / RATE_HZ
    return Utterance(sound, sound[:0], 0.0, end_s, 0, path.name, is_cut=False)
