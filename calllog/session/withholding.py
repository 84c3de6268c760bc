"""A job computed from its journal in, which sounds and words are not published, and why, out."""

from collections.abc import Mapping
from datetime import date
from typing import TypeVar

from calllog.session.consent import NOT_FOR, OVERDUE, REMOVED, WORDS_REMOVED
from calllog.session.replay import Replay
from calllog.values import LineNote, Message, Remark
from calllog.wording import ENGLISH

Kept = TypeVar("Kept", LineNote, Remark)
OFFICE = "office"
"""Who reads pages and reports."""
CHIEF = "chief"
"""Who listens on a phone."""


def withhold(replay: Replay, listener: str, today: date) -> dict[int, Message]:
    """Take what a listener may not hear out of what is to be published.

    Calls lose their clips; of notes and remarks it is said why they have none.

    Args:
        replay: of a job that is only read; it is changed.
        listener: who reads or hears it.
        today: the day of publishing.

    Returns:
        Why, by the number of the call.
    """
    voices = replay.voices
    typed = {each.number for each in replay.calls if each.is_keyed}
    why = {call: NOT_FOR for call in voices.heard if not voices.may_hear(listener, call)}
    why |= dict.fromkeys(voices.due(today), OVERDUE)
    why |= {call: WORDS_REMOVED if call in typed else REMOVED for call in voices.gone}
    for place, call in enumerate(replay.calls):
        if call.number in why and call.clip:
            replay.calls[place] = call.model_copy(update={"clip": ""})
    replay.notes = [_told(each, why) for each in replay.notes]
    replay.remarks = [_told(each, why) for each in replay.remarks]
    return why


def _told(one: Kept, why: Mapping[int, Message]) -> Kept:
    if one.call not in why:
        return one
    return one.model_copy(update={"clip": ENGLISH.say(why[one.call])})
