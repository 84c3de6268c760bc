"""What first and check agreed on and was wrong: recorded by the rules of edition 0, not by today's.

One case for each way in which a crew's pulls were recorded wrong although nobody misheard anything
(common practice, no published source). Edition 0 is kept, so each case shows that its rule is
needed: without it the wrong length stands, agreed.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from calllog.pairing import EDITION
from calllog.resources import read_grammar
from calllog.spoken import Parser
from calllog.values import Booking, Choice, Kind, LineSettings, Outcome, Role, Segment, Style
from tests.crew import Crew, settings

PARSER = Parser(read_grammar())
BACK = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")
ON = ("h: eighty three", "r: forty four", "h: switch ends", "r: eighty three", "h: forty four")
"""True 83.44, by two who walked on after the pull before."""


@dataclass(frozen=True)
class Case:
    """A crew's words, and what each edition records of them."""

    said: tuple[str, ...]
    wrong: tuple[float, ...]
    """By edition 0, each agreed; the last one is not the true length."""
    right: tuple[float, ...]
    """By today's rules, before anything that is asked is answered."""
    asks: str = ""
    """What today's rules ask, if they do: its code."""
    line: LineSettings = field(default_factory=settings)
    is_style_known: bool = True
    gap_s: float = 8.0


CASES = {
    "roles turned round after a check": Case(
        (*BACK, *ON), (15.42, 44.83), (15.42,), "who-holds-whole"
    ),
    "roles turned round on a tape that cuts": Case(
        (*BACK, *ON), (14.58, 43.17), (14.58,), "who-holds-whole", settings(Style.CUT)
    ),
    "one microphone, the hundredths called first": Case(
        ("u: forty two", "u: fifteen", "u: switch ends", "u: forty two", "u: fifteen"),
        (42.15,),
        (),
        "who-holds-whole",
    ),
    "a held mark runs on": Case(
        (
            *("u: holding one", "h: sixteen point four two", "h: switch ends"),
            *("r: sixteen point four two", "r: twenty point four two", "h: switch ends"),
            "h: twenty point four two",
        ),
        (15.42, 19.42),
        (15.42, 20.42),
        line=settings(Style.FULL),
    ),
    "the tape adds, its certificate cuts": Case(
        ("r: forty seven", "h: sixty four", "h: switch ends", "h: forty seven", "r: sixty four"),
        (46.36,),
        (),
        "say-style",
        settings(Style.CUT),
        is_style_known=False,
    ),
    "held on a tape where nothing is": Case(
        ("u: holding one", *BACK), (15.42,), (15.42,), "nothing-held-here"
    ),
    "the last call said again": Case(
        (*BACK, "r: forty two", "h: eighty seven", "h: switch ends", "h: forty two"),
        (15.42,),
        (15.42,),
        "again-or-next-pull",
        gap_s=3.0,
    ),
}


def crew(case: Case, edition: int) -> Crew:
    """Let a crew work by the rules of an edition."""
    line = case.line.model_copy(update={"pairing": edition})
    started = Crew(PARSER, line, is_live=True, is_style_known=case.is_style_known, gap_s=case.gap_s)
    return started.say(*case.said)


@pytest.mark.parametrize("name", CASES)
def test_edition_0_records_it_agreed_and_wrong(name: str) -> None:
    """Nothing is asked, and first and check agree."""
    case = CASES[name]
    older = crew(case, 0)
    assert older.lengths == list(case.wrong)
    assert all(each.booking is Booking.AGREED for each in older.segments[-1:]) or case.asks


@pytest.mark.parametrize("name", CASES)
def test_todays_rules_ask_or_record_what_is_true(name: str) -> None:
    """Nothing wrong is recorded."""
    case = CASES[name]
    now = crew(case, EDITION)
    assert now.lengths == list(case.right)
    assert (case.asks in now.codes) == bool(case.asks)


@pytest.mark.parametrize("edition", [0, EDITION])
def test_marks_read_again_after_a_stop_are_no_second_pull(edition: int) -> None:
    """Edition 0 holds what the crew reads again, and records it as the next pull."""
    stopped = (*BACK[:3], "h: sixteen", "r: forty two")
    work = Crew(PARSER, settings(pairing=edition), is_live=True).say(*stopped)
    work.say("h: fifteen", "r: forty two", "r: switch ends", "r: fifteen", "h: forty two")
    work.decide(Choice.FIRST)
    assert (work.lengths[0], len(work.lengths)) == (15.42, 1 if edition else 2)


@pytest.mark.parametrize("edition", [0, EDITION])
def test_a_rise_is_of_its_own_pull(edition: int) -> None:
    """Under edition 0 the pull after it was reduced by the same rise."""
    said = ("h: rise two point one zero", *BACK, "r: thirty", "h: eleven", "h: switch ends")
    work = Crew(PARSER, settings(pairing=edition), is_live=True, gap_s=8.0).say(*said)
    work.say("h: thirty", "r: eleven")
    rises = [each.conditions.rise_ft for each in work.segments]
    assert rises == [2.1, None if edition else 2.1]


@pytest.mark.parametrize("edition", [0, EDITION])
def test_one_mouth_on_two_microphones_is_no_pull(edition: int) -> None:
    """A radio says fifteen between the two; edition 0 takes foot and hundredths of it."""
    work = Crew(PARSER, settings(pairing=edition), is_live=True)
    work.say("r: fifteen")
    again = work.heard[-1].model_copy(
        update={"number": 2, "source": "paper#1", "role": Role.HEAD, "kind": Kind.FRACTION}
    )
    work.follow(again.model_copy(update={"value": 15, "start_s": 0.1}))
    assert (work.state.take is None) == bool(edition)


@pytest.mark.parametrize("edition", [0, EDITION])
def test_a_word_of_talk_is_no_foot(edition: int) -> None:
    """Edition 0 opens a pull by "fine" heard as nine at 95 %."""
    work = Crew(PARSER, settings(pairing=edition), is_live=True).hear("r: nine 0.95 | five 0.03")
    assert work.state.parts.is_empty == bool(edition)
    assert all(isinstance(each, Segment) for each in work.segments)
    assert work.heard[-1].outcome is Outcome.CALL
