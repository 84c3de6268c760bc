"""The command `convert`: what it prints, and what it refuses."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner

from calllog.cli import app
from calllog.errors import ConfigError


def convert(*words: str) -> tuple[list[str], str]:
    """Run it; give the lines of its output, and its notes."""
    done = CliRunner().invoke(app, ["convert", *words], catch_exceptions=False)
    assert done.exit_code == 0
    return done.stdout.splitlines(), done.stderr


def test_record_in_survey_feet() -> None:
    """12 chains 45 links of a US survey record are 821.70 US survey feet, and it says so."""
    lines, note = convert("12 ch 45 lk", "--foot", "us-survey", "--to", "usft", "--decimals", "2")
    assert lines == [
        "12 ch 45 lk (US survey foot)",
        "= 821.70 ft (US survey foot), rounded",
        "= 821.7 ft (US survey foot), exactly",
    ]
    assert not note


def test_foot_left_out_is_said() -> None:
    """Without --foot the chain is one of international feet; a note gives the other reading."""
    lines, note = convert("12 ch 45 lk", "--to", "usft")
    assert lines == [
        "12 ch 45 lk (international foot)",
        "= 821.6984 ft (US survey foot), rounded",
        "= 821.6983566 ft (US survey foot), exactly",
    ]
    assert "add --foot us-survey, which gives 821.7000 ft (US survey foot)" in note


@pytest.mark.parametrize("value", ["100 ift", "100 usft", "30 m"])
def test_no_note_where_the_foot_is_named(value: str) -> None:
    """A value that names its foot, or has none, leaves nothing to say."""
    assert not convert(value, "--to", "usft")[1]


def test_value_that_does_not_end_is_a_fraction() -> None:
    """A US survey foot in metres: 1200/3937 (Federal Register vol. 85 no. 193, 5 Oct 2020)."""
    lines, _ = convert("1 usft", "--to", "m", "--decimals", "12")
    assert lines == [
        "1 usft (US survey foot)",
        "= 0.304800609601 m, rounded",
        "= 1200/3937 m, exactly",
    ]


def test_json_is_one_document() -> None:
    """An area: 10 square chains are an acre (BLM, as in the table); numbers are text, exact."""
    lines, _ = convert("10 ch2", "--to", "ac", "--json", "--decimals", "1")
    assert json.loads("\n".join(lines)) == {
        "given": "10 ch2",
        "given_foot": "international",
        "dimension": "area",
        "unit": "ac",
        "unit_foot": "international",
        "exact": "1",
        "rounded": "1.0",
        "text": "1.0 ac (international foot)",
    }


def test_mixed_units() -> None:
    """Feet and inches to the sixteenth."""
    lines, _ = convert("529.81 usft", "--foot", "us-survey", "--to", "ft in/16")
    assert lines[1:] == [
        "= 529 ft 9 3/4 in (US survey foot), rounded",
        "= 6357.72 in (US survey foot), exactly",
    ]


@pytest.mark.parametrize(
    ("value", "to", "message"),
    [
        ("529.81", "m", "529.81 has no unit"),
        ("12 ft", "ac", "acre is a unit of area, not of length"),
        ("12 ft", "metre2", "is no unit"),
    ],
)
def test_what_cannot_be_converted(value: str, to: str, message: str) -> None:
    """An expected error; nothing is printed."""
    with pytest.raises(ConfigError, match=message):
        convert(value, "--to", to)


def test_a_value_may_be_below_nothing() -> None:
    """A plain hyphen before the number is a minus, not an option; a wrong option stays refused."""
    lines, _ = convert("-5 ft", "--to", "in")
    assert lines[-1] == "= -60 in (international foot), exactly"
    wrong = CliRunner().invoke(app, ["convert", "5 ft", "--to", "m", "--jsn"])
    assert wrong.exit_code == 2
    assert "--jsn" in wrong.stderr


@pytest.mark.parametrize("words", [("1 Mm", "--to", "m"), ("1 m", "--to", "Mm")])
def test_megameters_are_asked_about(words: tuple[str, ...]) -> None:
    """A capital M makes a thousand million of it: a question, either way round."""
    with pytest.raises(ConfigError, match="'Mm' may be millimeters or megameters; say mm"):
        convert(*words)
    assert convert("1 mm", "--to", "m")[0][-1] == "= 0.001 m, exactly"


@pytest.mark.parametrize(
    ("vara", "unit", "length"),
    [
        # https://petrowiki.spe.org/Conversion_factors_for_the_vara, after P. G. McElwee, The Texas
        # Vara (1940): read.
        ("California vara", "in", "33.372"),
        ("San Francisco vara", "in", "33"),
        ("Mexican vara", "m", "0.838"),
        ("Texas vara", "in", "100/3"),
        # https://learncst.com/vara-definition/: read. Los Angeles: 2.781 ft.
        ("California vara", "ft", "2.781"),
        ("Arizona vara", "in", "33"),
        ("Florida vara", "in", "33.372"),
    ],
)
def test_each_vara_has_its_own_length(vara: str, unit: str, length: str) -> None:
    """A vara is one of a place; without it the places are listed."""
    exactly = next(line for line in convert(f"1 {vara}", "--to", unit)[0] if "exactly" in line)
    assert exactly.startswith(f"= {length} {unit}")
    with pytest.raises(ConfigError, match="say Texas, California, San Francisco, Arizona"):
        convert("1 vara", "--to", unit)
