"""Impossible values are refused, unlikely ones warned of with what was probably meant."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from calllog.cli import app
from calllog.corrections import Situation, doubts, state
from calllog.corrections.doubts import FIELD_DEGF, GROUND_FT, HAND_LB
from calllog.corrections.pulls import Pulls
from calllog.errors import ConfigError
from calllog.values import Conditions
from tests.correcting import correct_arrays
from tests.tapes import certificate

TAPES = Path(__file__).parent.parent / "calllog" / "demo" / "tapes"
CORRECT = ("correct", "--tape", str(TAPES / "add-100.toml"), "--reading")
LAYOUT = ("layout", "--tape", str(TAPES / "add-100.toml"), "--length")
HANGING = ("--support", "ends", "--percent", "0%")


def warned(*words: str) -> list[str]:
    """Run a command that must succeed; give its warnings."""
    done = CliRunner().invoke(app, [*words, "--json"], catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    found: list[str] = json.loads(done.stdout)["warnings"]
    return found


# Limits of what is usual: common practice, no published source. 68 degC is 154.4 degF and 66.7 N
# are 15 lb by definition of the units.
@pytest.mark.parametrize(
    ("options", "said"),
    [
        (
            ("--temperature", "68C"),
            "a temperature of 68C is 154.4 degF, which no crew works in: was 68F meant?",
        ),
        (
            ("--tension", "66.7lb", *HANGING),
            "a tension of 66.7lb is 66.7 lb, more than a tape is pulled by hand: was 66.7N meant?",
        ),
        (
            ("--tension", "10N", *HANGING),
            "a tension of 10N is 2.25 lb, less than a tape is pulled by hand: was 10lb meant?",
        ),
        (
            ("--tension", "400lb"),
            (
                "a tension of 400lb is 400 lb, more than a tape is pulled by hand; look at it"
                " and at its unit"
            ),
        ),
        (("--percent", "150%"), "the slope is steeper than 45 degrees; look at the rise,"),
        (("--elevation", "50000ft"), "an elevation of 50000 ft is that of no ground;"),
        (("--tension", "1.2lb", *HANGING), "a span of 100.00 ft weighs 1."),
    ],
)
def test_what_is_unlikely_is_warned_of(options: tuple[str, ...], said: str) -> None:
    """Both commands say it, and go on."""
    for command in (CORRECT, LAYOUT):
        found = warned(*command, "100ft" if command is CORRECT else "95ft", *options)
        cut = said.replace("100.00 ft weighs 1.", "") if command is LAYOUT else said
        assert any(words.startswith(cut) for words in found), found


def test_usual_values_are_not_warned_of() -> None:
    """A day's work says nothing."""
    usual = ("--temperature", "41F", "--tension", "20lb", *HANGING)
    assert warned(*CORRECT, "87.65ft", *usual) == []
    assert warned(*LAYOUT, "529.81ft", *usual) == []


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("100ft", "--temperature", "-500F"), "-500 degF is not a possible temperature"),
        (("100ft", "--temperature", "-274C"), "degF is not a possible temperature"),
        (("100ft", "--temperature", "2000000F"), "degF is not a possible temperature"),
        (("100ft", "--tension", "1000lb"), "a tension of 1000 lb would break any tape"),
        (
            ("100ft", "--tension", "0.00000000000000000000001lb", "--support", "throughout"),
            "is not possible",
        ),
        (("100ft", "--rise", "20000000ft"), "a rise of 2e+07 ft is greater"),
        (("99999999999999999999ft",), "more than 10,000 pulls"),
        (("100ft", "--elevation", "99999999999ft"), "is no elevation"),
    ],
)
def test_what_is_impossible_is_refused(options: tuple[str, ...], said: str) -> None:
    """In words, and never by a traceback."""
    with pytest.raises(ConfigError) as caught:
        CliRunner().invoke(app, [*CORRECT, *options], catch_exceptions=False)
    assert said in str(caught.value)


def test_many_at_once_refuse_the_same() -> None:
    """What one length is refused for, a day's pulls are."""
    cold = Pulls.build([50.0, 50.0], [Conditions(), Conditions(temperature_degf=-460.0)])
    with pytest.raises(ConfigError, match=r"pull 1 \(from 0\): -460 degF is not a possible"):
        correct_arrays(cold, certificate())
    with pytest.raises(ConfigError, match="is not possible"):
        state(50.0, certificate(), Situation(spans=0, tension_lb=1e-23))


def test_the_smallest_length_is_a_length() -> None:
    """A ten-millionth of a foot is corrected and has an uncertainty, without a traceback."""
    done = CliRunner().invoke(app, [*CORRECT, "0.0000001ft"], catch_exceptions=False)
    assert done.exit_code == 0


def test_a_reading_longer_than_the_tape_is_said_to_be_pulls() -> None:
    """101.5 ft on an add tape, which shows 100.99 ft at the most: two pulls, and it says so."""
    done = CliRunner().invoke(app, [*CORRECT, "101.5ft"], catch_exceptions=False)
    assert "The reading is longer than the tape: taken as 1 pull of 100.00 ft and one of" in (
        " ".join(done.stdout.split())
    )
    one = CliRunner().invoke(app, [*CORRECT, "100.5ft"], catch_exceptions=False)
    assert "longer than the tape" not in one.stdout


def test_a_rest_that_nobody_can_read_is_no_pull_of_its_own() -> None:
    """A millionth of a foot over two tapes: the words and the uncertainty count two pulls."""
    full = [word.replace("add-100", "full-100") for word in CORRECT]
    done = CliRunner().invoke(app, [*full, "200.000001ft"], catch_exceptions=False)
    assert "taken as 1 pull of 100.00 ft and one of 100.00 ft." in " ".join(done.stdout.split())
    assert "pulls: 2." in done.stdout


def test_a_certificate_dated_after_the_work_is_warned_of() -> None:
    """Only where the day of the work is stated; on the day itself it holds."""
    for day, is_late in (("2131-04-01", True), ("2131-04-02", False)):
        done = CliRunner().invoke(app, [*CORRECT, "10ft", "--date", day], catch_exceptions=False)
        assert ("certificate_date: 2131-04-02 is after the work" in done.stderr) is is_late
    silent = CliRunner().invoke(app, [*CORRECT, "10ft"], catch_exceptions=False)
    assert "certificate_date" not in silent.stderr


@pytest.mark.parametrize("end", [0, 1])
def test_the_usual_reaches_to_its_ends(end: int) -> None:
    """The least and the greatest usual value are usual; beyond either is not."""
    situation = Situation(
        temperature_degf=FIELD_DEGF[end],
        tension_lb=HAND_LB[end],
        elevation_ft=GROUND_FT[end],
        off_line_ft=25.0,
        spans=0,
    )
    assert doubts(50.0, certificate(), situation, {}) == ()
    beyond = {
        "temperature_degf": FIELD_DEGF[end],
        "tension_lb": HAND_LB[end],
        "elevation_ft": GROUND_FT[end],
    }
    for name, limit in beyond.items():
        unusual = situation.model_copy(update={name: limit + (0.01 if end else -0.01)})
        assert len(doubts(50.0, certificate(), unusual, {})) == 1, name
    assert len(doubts(49.9, certificate(), situation, {})) == 1, "more than half of it off line"
