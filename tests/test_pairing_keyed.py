"""What is typed stands over what was heard; the voice's guess stays in the journal, struck."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from calllog.pairing import EDITION, Phase
from calllog.spoken import Parser
from calllog.values import (
    Call,
    Choice,
    Finding,
    Held,
    Kind,
    Observation,
    Question,
    Segment,
    Severity,
    Style,
    Void,
)
from tests.crew import Crew, settings

TAKE = ("r: fifteen", "h: forty two")
CHECKED = ("h: switch ends", "h: fifteen", "r: forty two")


def struck(crew: Crew) -> list[int]:
    """List the calls that are void, in order."""
    return [each.call for each in crew.followed if isinstance(each, Void)]


def test_keyed_part_replaces_the_one_heard(parser: Parser) -> None:
    """A part misheard is typed: the voice calls of it are struck, nothing stops."""
    crew = Crew(parser).say("r: fifty", "r: fifty", "kr: fifteen")
    assert crew.followed == [Void(call=1, pull=1), Void(call=2, pull=1)]
    crew.say("h: forty two", *CHECKED)
    (segment,) = crew.segments
    assert (segment.length_read_ft, segment.take.calls, segment.findings) == (15.42, (3, 4), ())


def test_keyed_part_alike_confirms(parser: Parser) -> None:
    """Typing what was heard changes nothing, and from then on it counts as typed."""
    crew = Crew(parser).say("r: fifteen", "kr: fifteen", "r: fifty")
    assert struck(crew) == [3]
    assert crew.state.phase is Phase.OPEN


def test_voice_beside_a_keyed_part_is_struck_and_noted(parser: Parser) -> None:
    """A voice never replaces what was typed and does not stop it: a note, and the voice is void."""
    crew = Crew(parser).say("kr: thirty two", "r: thirty three")
    void, finding = crew.followed
    assert void == Void(call=2, pull=1)
    assert isinstance(finding, Finding)
    assert (finding.code, finding.severity, finding.calls) == (
        "keyed-stands",
        Severity.NOTE,
        (1, 2),
    )
    assert (finding.first, finding.second, finding.facts) == (3200, 3300, {"part": "whole"})
    assert (finding.first, finding.second) == (3200, 3300)
    crew.say("h: forty two", "h: switch ends", "h: thirty two", "r: forty two")
    (segment,) = crew.segments
    assert (segment.length_read_ft, segment.take.calls) == (32.42, (1, 3))
    assert [each.code for each in segment.findings] == ["keyed-stands"]


def test_voice_hundredths_beside_keyed_ones(parser: Parser) -> None:
    """The same for hundredths; a reading that differs in them is struck as a whole."""
    crew = Crew(parser).say("kh: forty two", "h: forty three", "r: fifteen forty three")
    assert struck(crew) == [2, 3]
    assert crew.findings == ["keyed-stands", "keyed-stands"]
    assert crew.status == "pull-waits measurement=take part=whole pull=1"


def test_keyed_against_keyed_stops(parser: Parser) -> None:
    """Two typed values that differ are a disagreement as any other; a third one is held."""
    crew = Crew(parser).say("kr: fifteen", "kr: sixteen")
    assert (crew.findings, crew.state.phase) == (["repeat-differs"], Phase.STOPPED)
    crew.say("kr: sixteen")
    assert crew.followed[-1] == Held(call=3, pull=1)
    assert crew.decide(Choice.CHECK).state.parts.whole == 1600


def test_keyed_part_of_a_reading_leaves_its_other_part(parser: Parser) -> None:
    """A reading misheard in the foot still states the hundredths: it stays, with a note."""
    crew = Crew(parser).say("r: fifty forty two", "kr: fifteen")
    (finding,) = crew.followed
    assert isinstance(finding, Finding)
    assert (finding.code, finding.severity, finding.calls) == (
        "keyed-stands",
        Severity.NOTE,
        (1, 2),
    )
    assert (finding.first, finding.second, finding.facts) == (5042, 1542, {"part": "length"})
    (segment,) = crew.say(*CHECKED).segments
    assert (segment.take.whole, segment.take.fraction) == (1500, 42)
    assert [each.length for each in segment.superseded] == [5042]


def test_reading_is_struck_once_nothing_rests_on_it(parser: Parser) -> None:
    """Both parts typed: the reading that was heard is void."""
    crew = Crew(parser).say("r: fifty fourteen", "kr: fifteen", "kh: forty two")
    assert struck(crew) == [1]
    assert crew.say(*CHECKED).lengths == [15.42]


def test_keyed_reading_replaces_a_heard_one(parser: Parser) -> None:
    """On a tape read in one call the typed reading replaces the one heard."""
    crew = Crew(parser, settings(Style.FULL)).say("h: fifty forty two", "kh: fifteen forty two")
    assert struck(crew) == [1]
    crew.say("h: switch ends", "r: fifteen forty two")
    (segment,) = crew.segments
    assert (segment.length_read_ft, segment.take.calls) == (15.42, (2,))


def test_correction_after_the_take_changes_it(parser: Parser) -> None:
    """A complete take is changed by what is typed; the one that was heard is kept, struck."""
    crew = Crew(parser).say("r: fifty", "h: forty two", "kr: fifteen")
    assert (crew.state.phase, struck(crew)) == (Phase.TAKEN, [1])
    (segment,) = crew.say(*CHECKED).segments
    assert (segment.length_read_ft, segment.take.calls) == (15.42, (2, 3))
    assert [each.length for each in segment.superseded] == [5042]


def test_correction_in_the_check_leaves_the_take(parser: Parser) -> None:
    """After switching ends what is typed corrects the check alone."""
    crew = Crew(parser).say("r: fifteen", "h: forty two", "h: switch ends", "h: fifty")
    crew.say("kh: fifteen", "r: forty two")
    (segment,) = crew.segments
    assert struck(crew) == [4]
    assert segment.check is not None
    assert (segment.check.length, segment.check.calls, segment.superseded) == (1542, (5, 6), ())


@pytest.mark.parametrize(("keyed", "void"), [("fifteen", [2]), ("fifty", [1]), ("sixty", [2, 1])])
def test_keyed_part_settles_two_voices_that_differ(
    parser: Parser, keyed: str, void: list[int]
) -> None:
    """Over a repetition that differs the typed value stands; what differs from it is struck."""
    crew = Crew(parser).say("r: fifteen", "r: fifty", f"kr: {keyed}")
    assert (crew.state.phase, struck(crew)) == (Phase.OPEN, void)
    crew.say("h: forty two", "h: switch ends", f"h: {keyed}", "r: forty two")
    (segment,) = crew.segments
    assert segment.take.whole == {"fifteen": 1500, "fifty": 5000, "sixty": 6000}[keyed]
    assert [each.code for each in segment.findings] == ["repeat-differs"]


def test_settled_stop_lets_the_held_number_follow(parser: Parser) -> None:
    """The hundredths called over the stop follow once the foot is settled."""
    crew = Crew(parser).say("r: fifteen", "r: fifty", "h: forty two", "kr: fifteen")
    assert (crew.state.phase, struck(crew)) == (Phase.TAKEN, [2])
    assert crew.say(*CHECKED).lengths == [15.42]


def test_settled_stop_keeps_the_good_reading(parser: Parser) -> None:
    """The reading that agrees with what is typed still states the hundredths."""
    crew = Crew(parser).say("r: fifty", "r: fifteen forty two", "kr: fifteen")
    assert (crew.state.phase, struck(crew)) == (Phase.TAKEN, [1])
    assert crew.say(*CHECKED).lengths == [15.42]


def test_settled_stop_changes_a_complete_take(parser: Parser) -> None:
    """A take that a repetition contradicted is changed, and the first one kept, struck."""
    crew = Crew(parser).say("r: fifty", "h: forty two", "r: fifteen", "kr: fifteen")
    (segment,) = crew.say(*CHECKED).segments
    assert (segment.length_read_ft, [each.length for each in segment.superseded]) == (
        15.42,
        [5042],
    )


def test_settled_stop_in_the_check_may_complete_it(parser: Parser) -> None:
    """A typed reading settles the check and books it; nothing of it reaches the next pull."""
    crew = Crew(parser).say("r: fifteen", "h: forty two", "h: switch ends", "h: fifty")
    crew.say("h: fifteen", "kh: fifteen forty two")
    assert crew.lengths == [15.42]
    assert (crew.state.pull, crew.state.parts.is_empty) == (2, True)


@pytest.mark.parametrize(
    "said",
    [
        ("r: fifteen", "r: fifty", "kh: forty two"),
        ("r: fifteen", "r: fifty", "h: forty two", "h: switch ends", "kr: fifteen"),
        ("r: fifteen forty two", "r: sixteen forty three", "kr: sixteen"),
        (
            "r: fifteen",
            "h: forty two",
            "h: switch ends",
            "h: sixteen",
            "r: forty two",
            "kh: fifteen",
        ),
    ],
)
def test_keyed_number_over_any_other_stop_is_held(parser: Parser, said: tuple[str, ...]) -> None:
    """Another part, a crew that went on, half of what differs, or a check that differs: held."""
    crew = Crew(parser).say(*said)
    assert crew.state.phase is Phase.STOPPED
    assert crew.followed[-1] == Held(call=len(said), pull=1)


def test_keyed_nonsense_over_a_stop_is_asked(parser: Parser) -> None:
    """A typed value that cannot be is asked, and the stop stands with its calls."""
    crew = Crew(parser, settings(Style.CUT)).say("h: fifty", "r: one", "r: two", "kr: zero")
    assert crew.questions == ["both-parts-again why=(less-than-nothing fraction=50 whole=0)"]
    assert (crew.state.phase, struck(crew)) == (Phase.STOPPED, [])


def test_cut_tape_refuses_a_keyed_reading(parser: Parser) -> None:
    """On a cut tape a typed reading may be before or after the cut: asked, never put in place."""
    crew = Crew(parser, settings(Style.CUT)).say("r: sixteen", "h: fifty eight")
    crew.say("kr: fifteen forty three")
    assert crew.questions == ["tape-cuts"]
    assert (crew.state.phase, struck(crew)) == (Phase.TAKEN, [])


def test_keyed_number_after_booking_opens_the_next_pull(parser: Parser) -> None:
    """A typed reading like the one booked is the next pull, never taken for a repetition."""
    crew = Crew(parser).say("kr: fifteen forty two", "h: switch ends", "kh: fifteen forty two")
    assert crew.lengths == [15.42]
    crew.say("kr: fifteen forty two")
    assert (crew.state.pull, crew.state.phase) == (2, Phase.TAKEN)


def test_scratch_voids_the_keyed_call_and_revives_no_voice(parser: Parser) -> None:
    """The last call is scratched; what it had struck stays struck, so the part is called again."""
    crew = Crew(parser).say("r: fifty", "h: forty two", "kr: fifteen", "r: strike that")
    assert struck(crew) == [1, 3]
    assert crew.status == "pull-waits measurement=take part=whole pull=1"
    assert crew.say("r: fifteen", *CHECKED).lengths == [15.42]


def test_scratch_passes_over_a_voice_that_is_struck(parser: Parser) -> None:
    """What is void already is not scratched again: the last standing call is."""
    crew = Crew(parser).say("kr: fifteen", "r: fifty", "r: strike that", "r: strike that")
    assert struck(crew) == [2, 1]
    assert crew.questions == ["no-call-to-scratch"]


def test_scratch_of_another_call_keeps_what_was_keyed(parser: Parser) -> None:
    """Scratching a later voice call leaves the correction, its struck calls and its findings."""
    crew = Crew(parser).say("u: fifty", "u: forty three", "ku: rear fifteen")
    crew.say("u: rear fifteen", "u: strike that")
    assert struck(crew) == [1, 4]
    assert (crew.state.parts.whole, crew.state.parts.fraction) == (1500, 43)
    assert crew.state.phase is Phase.TAKEN


def test_bare_number_keeps_its_place_when_replayed(parser: Parser) -> None:
    """Hundredths said bare stay hundredths after the foot before them was scratched."""
    crew = Crew(parser).say("u: fifty", "u: forty two", "ku: rear fifteen", "u: strike that")
    assert (crew.state.parts.whole, crew.state.parts.fraction) == (None, 42)


SAYINGS = (
    "fifteen",
    "sixteen",
    "forty two",
    "forty three",
    "fifteen forty two",
    "sixteen forty three",
    "point forty two",
    "switch ends",
    "strike that",
    "measure again",
    "keep the first",
    "keep the second",
    "next pull",
    "full tape",
    "station zero plus fifty left ten",
    "remark follows",
    "tape number two",
    "temperature fifty",
)


WHO = ("h", "r", "u", "kh", "kr", "ku")
ONE = st.tuples(st.sampled_from(WHO), st.sampled_from(SAYINGS)).map(lambda each: (": ".join(each),))
USUAL = st.sampled_from([TAKE, CHECKED, (*TAKE, *CHECKED), ("h: switch ends",), ("kr: fifteen",)])


@examples(max_examples=200, deadline=None)
@given(st.lists(st.one_of(ONE, USUAL), max_size=15), st.sampled_from([Style.ADD, Style.CUT]))
def test_each_part_booked_was_stated_by_a_call_that_stands(
    parser: Parser, said: list[tuple[str, ...]], style: Style
) -> None:
    """Whatever is said and typed, the parts of a segment are values of its calls not struck."""
    crew = Crew(parser, settings(style))
    for spoken in itertools.chain.from_iterable(said):
        before = len(crew.followed)
        crew.say(spoken)
        void = {each.call for each in crew.followed if isinstance(each, Void)}
        for each in crew.followed[before:]:
            if isinstance(each, Segment):
                for seen in (each.take, each.check):
                    if seen is not None:
                        _rests_on_its_calls(crew, seen, void)
    assert len(struck(crew)) == len(set(struck(crew))), "a call was struck twice"


def _rests_on_its_calls(crew: Crew, seen: Observation, void: set[int]) -> None:
    calls = [crew.heard[number - 1] for number in seen.calls if number not in void]
    wanted = {"whole": seen.whole, "fraction": seen.fraction}
    if seen.reading is not None:
        wanted = {"whole": seen.reading // 100 * 100, "fraction": seen.reading % 100}
    for part, value in wanted.items():
        assert any(value in _may_state(call, part) for call in calls), (part, value, seen)


def _may_state(call: Call, part: str) -> set[int]:
    value = call.value or 0
    match call.kind:
        case Kind.NUMBER:
            return {100 * value if part == "whole" else value}
        case Kind.READING:
            return {value // 100 * 100 if part == "whole" else value % 100}
        case _:
            return {value} if call.kind.value == part else set()


def test_voice_that_contradicts_a_key_at_once_is_asked(parser: Parser) -> None:
    """Nobody but the crew knows which of the two slipped; neither is struck."""
    crew = Crew(parser, line=settings(pairing=EDITION)).say("kr: thirty two", "r: thirty three")
    (question,) = crew.followed
    assert isinstance(question, Question)
    assert crew.questions == ["keyed-and-heard heard=3300 keyed=3200 part=whole"]
    crew.say("u: strike that", "r: thirty three", "h: forty two")
    assert crew.state.take is not None
    assert crew.state.take.length == 3342


def test_voice_long_after_a_key_is_struck(parser: Parser) -> None:
    """A minute later it is another slip: the key stands, as before."""
    crew = Crew(parser, line=settings(pairing=EDITION), gap_s=30.0)
    crew.say("kr: thirty two", "r: thirty three")
    assert (struck(crew), crew.findings) == ([2], ["keyed-stands"])


def test_number_typed_right_after_the_foot_was_heard_corrects_it(parser: Parser) -> None:
    """Fifteen is heard, 16 is typed: the foot is sixteen, not fifteen and sixteen hundredths."""
    crew = Crew(parser, line=settings(pairing=EDITION)).say("r: fifteen", "ku: sixteen")
    assert (crew.state.parts.whole, crew.state.parts.fraction) == (1600, None)
    assert struck(crew) == [1]
    old = Crew(parser).say("r: fifteen", "ku: sixteen")
    assert (old.state.parts.whole, old.state.parts.fraction) == (1500, 16)


def test_number_typed_by_who_owes_the_hundredths_is_hundredths(parser: Parser) -> None:
    """The head's keypad, the rear's foot: nothing to correct; nor after both are in."""
    crew = Crew(parser, line=settings(pairing=EDITION)).say("r: fifteen", "kh: sixteen")
    assert crew.state.take is not None
    assert crew.state.take.length == 1516
