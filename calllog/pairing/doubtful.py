"""A call that may be none in, a question out before it counts: talk, echo, repetition; pure.

Three things are heard as calls and are none, or not that one. A lone short word that opens a pull
may be talk ("fine" is near "nine"), so it must be heard very surely; so must "full tape" ("pull it
tight"), which is a whole reading by itself. A number of a pull that was booked a moment ago, said
again or mended, need not be the next pull's foot. And the same words at the same moment on both
microphones come from one mouth, a bystander's or a radio's: they are one event, and whose call it
is nobody knows.

Whatever is asked so is taken when it is said again; but for what was struck in the pull
(`calllog.pairing.struck_before`), new with edition 5, all of it is new with edition 1 of the
pairing.
"""

from collections.abc import Callable

from calllog.pairing.booking import Step, ask, voids
from calllog.pairing.changed import replace
from calllog.pairing.proposal import FULL_TAPE, plain
from calllog.pairing.roles import CALLER, expecting
from calllog.pairing.said_again import OPENING, is_alike, is_said_again
from calllog.pairing.state import State
from calllog.pairing.struck_before import has_other_words, was_struck
from calllog.pairing.table import Phase
from calllog.values import NUMBERS, Call, Kind, Message, Outcome, message

SURE_ALONE = 0.97
"""A lone short word that opens a pull, and "full tape", is asked again if it is less likely."""
LIKE_TALK = frozenset({1, 5, 8, 10})
"""Marks whose English names a word of talk is heard as: plumb, fine, wait, pin."""
SURE_LIKE_TALK = 0.995
"""The same for these: such talk was heard so at up to 0.993, pin at 0.998."""
SHORT_FEET = frozenset({1, 2, 3, 4, 5, 6, 8, 9, 10, 12})
"""Marks whose English names have one syllable; the Spanish ones that do are among them."""
LONE_WORDS = 2
"""The name of a mark, and who calls it: "head six"."""
REPEAT_WITHIN_S = 10.0
"""A number said again so soon after the call that completed its pull may be meant for that pull; to
carry the tape to the next one takes longer (common practice, no published source)."""
ECHO_WITHIN_S = 2.5
"""The same for the other numbers of that pull."""
MENDS_WITHIN_S = 6.5
"""The same for one that is a little more or less, differs in a digit, or sounds alike, by the one
who called last; from the end of that call."""
LITTLE = 3
OVERLAP = 0.5
"""Calls on two microphones are one where they share so much of the shorter one's time."""
Strike = Callable[[State], Step]


def ask_first(state: State, call: Call, strike: Strike) -> Step | None:
    """Ask about a call that may be none; None where it may be taken as it is."""
    if state.settings.pairing < 1 or call.is_keyed:
        return None
    if state.last is not None and is_same_event(state.last, call, state.settings.unit.counts):
        return _one_event(state, state.last, call, strike)
    if call.outcome is not Outcome.CALL:
        return None
    if (about := _why_asked(state, call)) is None:
        return None
    return _ask(replace(state, asked_first=call), call, message(about, said=call.text))


def remember(done: Step, call: Call) -> Step:
    """Keep a call as the last one, to know it if the other microphone heard it too."""
    is_said = not (call.is_keyed or call.outcome is Outcome.IGNORED or call.kind is Kind.REMARK)
    if done.state.settings.pairing < 1 or not is_said:
        return done
    return replace(done, state=replace(done.state, last=call))


def is_same_event(first: Call, second: Call, one: int) -> bool:
    """Tell whether two microphones of one source heard the same words at the same moment.

    Args:
        first: a call.
        second: one that came after it.
        one: least counts of the tape's unit.
    """
    source, _, channel = first.source.partition("#")
    other, _, other_channel = second.source.partition("#")
    if first.is_keyed or second.is_keyed or source != other or channel == other_channel:
        return False
    shared_s = min(first.end_s, second.end_s) - max(first.start_s, second.start_s)
    shorter_s = min(first.end_s - first.start_s, second.end_s - second.start_s)
    return shared_s > 0.0 and shared_s >= OVERLAP * shorter_s and is_alike(first, second, one)


def _one_event(state: State, first: Call, second: Call, strike: Strike) -> Step:
    """Take what both heard as one: a number is struck and asked, all else counts once.

    Who holds the whole mark, which the one says whose microphone it is, is asked too.
    """
    if second.kind is Kind.COMMAND and second.name == CALLER:
        places = replace(expecting(state.places.expected, state.habit), before=state.places.before)
        is_begun = bool(state.history)
        untold = state if is_begun else replace(state, places=places)
        return _ask(untold, second, message("heard-on-both"))
    if second.kind not in {*NUMBERS, Kind.UNCLEAR}:
        return Step(state)
    asks = message("heard-on-both")
    held = tuple(each for each in state.held if each.number != first.number)
    if len(held) < len(state.held):
        asked = _ask(replace(state, held=held), second, asks)
        return replace(asked, consequences=(*voids(state, (first.number,)), *asked.consequences))
    taken = _last_number(state) or (_last_number(state.booked) if state.booked else None)
    if taken is None or taken.number != first.number:
        return _ask(state, second, asks)
    struck = strike(state)
    asked = _ask(struck.state, second, asks)
    return replace(asked, consequences=(*struck.consequences, *asked.consequences))


def _ask(state: State, call: Call, asks: Message) -> Step:
    return ask(state, asks, call.role)


def _why_asked(state: State, call: Call) -> str | None:
    """Tell what is asked of a call; None where nothing is."""
    if call.kind in NUMBERS and was_struck(state, call):
        return "struck-before" if has_other_words(state, call) else "struck-figure"
    return None if is_said_again(state, call) else _why_new(state, call)


def _why_new(state: State, call: Call) -> str | None:
    """Tell what is asked of a call that answers nothing."""
    if call.name == FULL_TAPE:
        return "lone-word" if _is_strange_full(state, call) else None
    if call.kind not in OPENING:
        return None
    return _about_last(state, call) or ("lone-word" if _is_lone(state, call) else None)


def _is_lone(state: State, call: Call) -> bool:
    """Tell whether a call is one short word, not sure, that opens a pull or its differing check."""
    if call.kind is Kind.FRACTION or state.awaiting is not None or not state.parts.is_empty:
        return False
    one = state.settings.unit.counts
    value = plain(call, one)
    is_short = value in SHORT_FEET and len(call.text.split()) <= LONE_WORDS
    sure = SURE_LIKE_TALK if value in LIKE_TALK else SURE_ALONE
    if not is_short or call.probability >= sure:
        return False
    return state.phase is Phase.OPEN or (
        state.phase is Phase.CHECKING and state.take_parts.whole != one * value
    )


def _is_strange_full(state: State, call: Call) -> bool:
    """Tell whether "full tape" is not sure, and nothing else speaks for it.

    Full tapes follow each other, and a check of one says it again.
    """
    if call.probability >= SURE_ALONE or state.awaiting is not None or not state.parts.is_empty:
        return False
    if state.phase is Phase.CHECKING:
        return state.take is None or state.take.length != call.value
    before = state.booked
    return before is None or _last_name(before) != FULL_TAPE


def _about_last(state: State, call: Call) -> str | None:
    """Tell what is asked of a call that may be about the pull booked before; None if nothing is.

    A number of that pull, by whomever, may be an echo; one that looks like the last one, by the
    same caller, may mend it.
    """
    before = state.booked
    if before is None or before.phase is not Phase.CHECKING or not state.is_between:
        return None
    last = _last_number(before)
    if before.pull != state.pull - 1 or last is None:
        return None
    if call.source.partition("#")[0] != last.source.partition("#")[0]:
        return None
    one = state.settings.unit.counts
    said = (each for each in before.history if each.number not in before.struck)
    is_echo = any(is_alike(each, call, one) for each in said if each.kind in NUMBERS)
    within_s = REPEAT_WITHIN_S if is_alike(last, call, one) else ECHO_WITHIN_S
    if is_echo and call.start_s - last.start_s <= within_s:
        return "again-or-next-pull"
    since_s = call.start_s - last.end_s
    is_theirs = (call.source, call.role) == (last.source, last.role)
    is_mended = is_theirs and since_s <= MENDS_WITHIN_S and _looks_alike(last, call, one)
    return "mended-or-next-pull" if is_mended else None


def _looks_alike(first: Call, second: Call, one: int) -> bool:
    """Tell whether one number may mend another: nearly the same, in figures or in sound."""
    if Kind.READING in (first.kind, second.kind) or not first.value:  # no hundredths are usual
        return False
    less, more = sorted(plain(each, one) for each in (first, second))
    figures = [f"{each:02d}" for each in (less, more)]
    is_figure = (
        len(figures[0]) == len(figures[1])
        and sum(a != b for a, b in zip(*figures, strict=True)) == 1
    )
    is_sound = 13 <= less <= 19 and more == 10 * (less - 10)  # noqa: PLR2004 - teens and tens
    return more - less <= LITTLE or is_figure or is_sound


def _last_number(state: State) -> Call | None:
    said = (each for each in reversed(state.history) if each.number not in state.struck)
    return next((each for each in said if each.kind in NUMBERS), None)


def _last_name(state: State) -> str:
    last = _last_number(state)
    return "" if last is None else last.name
