"""How far first and check may be apart: by the tape's certificate, unless the crew says."""

from __future__ import annotations

import pytest

from calllog.commands.course_options import line_settings
from calllog.pairing import EDITION
from calllog.session import Course
from calllog.spoken import Parser
from calllog.values import Booking, LineSettings
from tests.crew import Crew
from tests.tapes import certificate, metric_tape

CLOSE, PLAIN = certificate(identity="C-1", tolerance=0.02), certificate(identity="P-1")
LINES = (("A", "B"),)


def rules(**changes: object) -> LineSettings:
    """Settle a crew's rules."""
    return line_settings(CLOSE, "A:B").model_copy(update=changes)


def test_each_tape_has_the_tolerance_of_its_certificate() -> None:
    """A tape that states none has the usual one, also after a tape that does."""
    course = Course((CLOSE, PLAIN), LINES, rules())
    assert [course.settings(tape, 0).tolerance for tape in range(2)] == [2, 1]
    metric = metric_tape(tolerance=0.05)
    assert Course((metric,), LINES, line_settings(metric, "A:B")).settings(0, 0).tolerance == 5


def test_what_the_crew_says_stands_over_the_certificate() -> None:
    """The office may settle a line more strictly, or not at all."""
    course = Course((CLOSE, PLAIN), LINES, rules(tolerance=0), is_tolerance_said=True)
    assert [course.settings(tape, 0).tolerance for tape in range(2)] == [0, 0]


@pytest.mark.parametrize(("check", "is_booked"), [("forty four", True), ("forty five", False)])
def test_check_is_compared_by_the_certificate(
    parser: Parser, check: str, *, is_booked: bool
) -> None:
    """Two hundredths apart is booked on such a tape, three stops."""
    settings = Course((CLOSE,), LINES, rules()).settings(0, 0)
    assert settings.pairing == EDITION
    crew = Crew(parser, settings).say("h: fifteen forty two", "h: switch ends")
    crew.say(f"r: fifteen {check}")
    assert [each.booking for each in crew.segments] == ([Booking.AGREED] if is_booked else [])
