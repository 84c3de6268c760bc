"""The transition table: complete, used, and the source of the diagram."""

from __future__ import annotations

import re
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.pairing import Phase
from calllog.pairing.table import TRANSITIONS, Signal
from calllog.spoken import Parser
from calllog.values import Booking, Finding, Segment, Severity, Style
from calllog.wording import ENGLISH
from tests.crew import Crew
from tests.crew import settings as line

PAPER = Path(__file__).parent.parent / "calllog/pairing/TRANSITIONS.md"


def diagram() -> str:
    """Write the table as a state diagram in Mermaid's notation."""
    lines = ["stateDiagram-v2", f"    [*] --> {Phase.OPEN.value}"]
    lines += [
        f"    {phase.value} --> {target.value}: {signal.value}"
        for (phase, signal), target in TRANSITIONS.items()
    ]
    lines.append(f"    {Phase.FINISHED.value} --> [*]")
    return "\n".join(lines) + "\n"


def test_every_phase_and_signal_is_used() -> None:
    """No phase without a way out, none that is never reached, no idle signal."""
    sources = {phase for phase, _ in TRANSITIONS}
    assert sources == set(Phase) == set(TRANSITIONS.values())
    assert {signal for _, signal in TRANSITIONS} == set(Signal)


def test_diagram_for_developers_is_the_table() -> None:
    """The diagram that contributors read is generated from the table."""
    shown = re.search(r"```mermaid\n(stateDiagram-v2.*?)```", PAPER.read_text("utf-8"), re.DOTALL)
    assert shown
    assert shown.group(1) == diagram()


SAYINGS = [
    "fifteen",
    "sixteen",
    "forty two",
    "forty three",
    "fifteen forty two",
    "switch ends",
    "strike that",
    "measure again",
    "keep the first",
    "keep the second",
    "next pull",
    "full tape",
    "seven",
    "at the knee",
    "mark",
    "point forty two",
]


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from("hru"), st.sampled_from(SAYINGS)), max_size=25),
    st.sampled_from(["add", "cut", "full"]),
)
def test_whatever_a_crew_says_nothing_is_booked_over_a_disagreement(
    parser: Parser, said: list[tuple[str, str]], style: str
) -> None:
    """Any calls run; an agreed segment agrees; any other rests on a decision over a stop."""
    crew = Crew(parser, line(Style(style)))
    for who, text in said:
        crew.say(f"{who}: {text}")
    for segment in crew.segments:
        assert segment.check is not None
        if segment.booking is Booking.AGREED:
            assert abs(segment.check.length - segment.take.length) <= 1
        else:
            assert segment.booking in (Booking.FIRST, Booking.CHECK)
            assert any(f.severity is Severity.STOP for f in segment.findings)
    booked = [each.pull for each in crew.followed if isinstance(each, Segment)]
    assert booked == sorted(booked)
    found = [each for each in crew.followed if isinstance(each, Finding)]
    assert all(ENGLISH.knows(f"finding-{each.code}") for each in found)


def test_scratching_everything_leaves_nothing(parser: Parser) -> None:
    """As many scratches as numbers bring the pull back to its beginning."""
    crew = Crew(parser).say(
        "r: fifteen", "h: forty two", "h: switch ends", "h: sixteen", "r: forty two"
    )
    for _ in range(4):
        crew.say("r: strike that")
    assert crew.questions == []
    assert crew.state.parts.is_empty
    assert crew.segments == []
