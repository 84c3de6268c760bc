"""A number that the crew struck in this pull, asked before it is taken in it again; pure.

Who is misheard strikes what was heard and says the number again, and is often misheard in the same
way: each time the crew would have to notice anew. So what was struck is not taken in that pull in
the same words, whoever says them. Said another way ("eighty-two" for "eight two") or typed, it is.
A mark of one figure has no other words: it is taken if it is said once more after it was asked
(edition 6), since a crew without a keypad could never record it.

From edition 5 of the pairing (decision 110). Who was recorded cannot answer, and is not asked.
"""

from collections.abc import Iterable

from calllog.pairing.booking import Step
from calllog.pairing.changed import replace
from calllog.pairing.edition import ASKS_STRUCK_SINCE, SAYS_FIGURES_AGAIN_SINCE
from calllog.pairing.proposal import plain
from calllog.pairing.said_again import is_figure, is_said_again
from calllog.pairing.state import State
from calllog.values import NUMBERS, Call, Kind, Outcome, Void


def was_struck(state: State, call: Call) -> bool:
    """Tell whether a call says what was struck in this pull, in the same words."""
    is_asked = state.settings.pairing >= ASKS_STRUCK_SINCE and call.is_live and not call.is_keyed
    struck = [
        each.number
        for each in state.taken_back
        if _says(call, each, state.settings.unit.counts) and _is_worded_alike(call, each)
    ]
    return is_asked and bool(struck) and not _is_confirmed(state, call, max(struck))


def has_other_words(state: State, call: Call) -> bool:
    """Tell whether a number can be said another way: a mark of one figure cannot."""
    is_new = state.settings.pairing >= SAYS_FIGURES_AGAIN_SINCE
    return not is_new or call.kind is Kind.FRACTION or not is_figure(call, state)


def _is_confirmed(state: State, call: Call, struck: int) -> bool:
    """Tell whether a call says again what has no other words and was asked since it was struck."""
    asked = state.asked_first
    if has_other_words(state, call) or asked is None or asked.number < struck:
        return False
    return is_said_again(state, call)


def keep_struck(before: State, call: Call, done: Step) -> Step:
    """Keep what the crew struck in a pull for as long as that pull lasts.

    Args:
        before: where the line stood.
        call: what was said or typed; what was struck before counts again once it is taken.
        done: what came of it.
    """
    now = done.state
    if before.settings.pairing < ASKS_STRUCK_SINCE:
        return done
    one = before.settings.unit.counts
    known = before.taken_back
    is_said = call.kind in NUMBERS and call.outcome is Outcome.CALL
    if is_said and not done.is_refused and not was_struck(before, call):
        known = tuple(each for each in known if not _says(call, each, one))
    if now.pull == before.pull + 1:
        booked = now.booked
        if booked is not None and booked.pull == before.pull and booked.taken_back != known:
            now = replace(now, booked=replace(booked, taken_back=known))
        known = ()
    elif now.pull != before.pull:
        known = before.booked.taken_back if before.booked is not None else ()
    if call.kind is Kind.COMMAND and call.name == "scratch":
        known = (*known, *_misheard(before, done))
    if known != now.taken_back:
        now = replace(now, taken_back=known)
    return done if now is done.state else replace(done, state=now)


def _misheard(before: State, done: Step) -> Iterable[Call]:
    """Give the number that was struck, if it was struck at once for what was heard of it.

    Not where it was struck for how it says the tape to be graduated, nor where others go with it:
    then they are called again as they were.
    """
    struck = [each.call for each in done.consequences if isinstance(each, Void)]
    last = before.last
    is_for_its_word = before.stop is not None and before.stop.word is not None
    if last is None or struck != [last.number] or is_for_its_word:
        return
    if last.kind in NUMBERS and last.is_live:
        yield last


def _says(call: Call, struck: Call, one: int) -> bool:
    """Tell whether a number is the one that was struck, or a whole reading that has it in it."""
    is_reading = [each.kind is Kind.READING for each in (call, struck)]
    value = plain(struck, one)
    if is_reading == [True, False]:
        return value in divmod(plain(call, one), one)
    return is_reading[0] is is_reading[1] and value == plain(call, one)


def _is_worded_alike(call: Call, struck: Call) -> bool:
    """Tell whether one has all words of the other: "point eight two" is no other "eight two"."""
    said, before = (frozenset(each.text.split()) for each in (call, struck))
    return said <= before or before <= said
