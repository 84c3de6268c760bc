"""A pull on a metric tape: the same rules in hundredths of a metre, told in metres."""

from __future__ import annotations

import pytest

from calllog.pairing import status
from calllog.pairing.diagnosis import diagnose
from calllog.resources import grammar_text
from calllog.spoken import Grammar, Parser, load_grammar
from calllog.values import Expectation, LineSettings, ReadingUnit, Style
from calllog.wording import ENGLISH, language_words
from tests.crew import Crew, settings

METRE = ReadingUnit.METRE


def line(style: Style = Style.ADD) -> LineSettings:
    """Settle a line on a tape of 30 m."""
    limit = 3099 if style is Style.ADD else 3000
    return settings(style).model_copy(update={"unit": METRE, "nominal": 30, "limit": limit})


@pytest.fixture
def crew(parser: Parser) -> Crew:
    """Let a crew work on it; what it says is the same words."""
    return Crew(parser, line())


@pytest.mark.parametrize(
    ("style", "said", "length_m"),
    [
        (Style.ADD, ("r: fifteen", "h: forty two"), 15.42),
        (Style.CUT, ("r: sixteen", "h: fifty eight"), 15.42),
        (Style.FULL, ("h: fifteen forty two",), 15.42),
        (Style.INSET, ("h: holding one", "h: sixteen forty two"), 15.42),
    ],
)
def test_each_graduation_is_reduced_in_metres_and_booked_in_feet(
    parser: Parser, style: Style, said: tuple[str, ...], length_m: float
) -> None:
    """What is booked is the metres that were read, in the feet that all lengths are kept in."""
    swapped = tuple(
        each.replace("r:", "x:").replace("h:", "r:").replace("x:", "h:") for each in said
    )
    crew = Crew(parser, line(style)).say(*said, "h: switch ends", *swapped)
    (segment,) = crew.segments
    assert segment.take.length == round(100 * length_m)
    assert segment.length_read_ft == float(length_m / 0.3048) == pytest.approx(50.590551, abs=1e-6)


def test_stop_names_the_blunder_in_metres(crew: Crew) -> None:
    """The code is one for every tape; in metres its words say metre, never foot."""
    crew.say("r: fifteen", "h: forty two", "h: switch ends", "h: sixteen", "r: forty two")
    finding = crew.state.findings[-1]
    assert (finding.code, finding.first, finding.second) == ("one-metre", 1542, 1642)
    words = ENGLISH.measured_in(METRE)
    assert words.finding(finding).startswith(
        "first 15.42, check 16.42: exactly one meter apart: another"
    )
    assert (
        words.remedy(finding) == "see which meter mark is held and which is read, and measure again"
    )
    told = language_words("es").measured_in(METRE).finding(finding)
    assert told.startswith(
        "primera 15.42, segunda 16.42: justo un metro de diferencia: se sujetó, se"
    )
    assert "pie" not in told


def test_feet_and_inches_are_no_blunder_of_a_metric_tape() -> None:
    """5 and 42 hundredths look like inches on a tape in feet alone."""
    assert diagnose(1505, 1542, 10_000) == "inches"
    assert diagnose(1505, 1542, 3000, METRE) == "differs"
    assert diagnose(1542, 2542, 3000, METRE) == "ten-metres"
    assert diagnose(1542, 1458, 3000, METRE) == "tape-complement"


def test_question_and_state_speak_of_metres(crew: Crew) -> None:
    """What the crew is asked and what is waited for."""
    crew.say("h: fifty eight")
    told = ENGLISH.measured_in(METRE).say(status(crew.state))
    assert told == "pull 1 waits for the whole meter of the first"


def test_conditions_are_celsius_newtons_and_metres(crew: Crew) -> None:
    """The same words state other units; the engine gets its own, exact."""
    crew.say("r: temperature twenty", "r: tension fifty", "r: rise one point two two")
    conditions = crew.state.conditions
    assert conditions.temperature_degf == 68.0
    assert conditions.tension_lb == pytest.approx(50 / 4.4482216152605)
    assert conditions.rise_ft == pytest.approx(1.22 / 0.3048)


def test_rise_is_compared_with_the_length_in_one_unit(crew: Crew) -> None:
    """3 m in a pull of 10 m goes (9.84 ft in 10 would hardly), 11 m does not."""
    crew.say("r: rise three point zero zero", "r: ten", "h: zero zero")
    assert crew.state.take is not None
    crew.say("r: rise eleven point zero zero")
    assert crew.questions == ["rise-beyond-tape rise=11.0"]
    crew.say("r: measure again", "r: rise eleven point zero zero", "r: ten", "h: zero zero")
    assert crew.questions[-1] == "rise-in-force-beyond-tape rise=11.0"


def test_metric_grammar_reads_below_zero() -> None:
    """A condition may state a number below zero, where its entry says so."""
    text, _ = grammar_text()
    negative = '[[conditions]]\nname = "temperature"\nbelow_zero = true\n'
    grammar: Grammar = load_grammar(
        text.replace(
            "[chatter]", f'{negative}phrases = ["temperature minus {{number}}"]\n\n[chatter]'
        )
    )
    found = Parser(grammar).parse("temperature minus five", Expectation.WHOLE, 3000)
    assert getattr(found, "amount", None) == -5.0
