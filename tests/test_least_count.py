"""Tapes that are read more finely than to hundredths: counted, compared, reduced and shown so.

Metric steel tapes are read to the millimetre, tapes in feet by half hundredths (common practice, no
published source).
"""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.corrections.practice import PRACTICE, READING
from calllog.errors import ConfigError
from calllog.lines import station_text
from calllog.pairing.diagnosis import diagnose
from calllog.readback.figures import say_length, say_part, say_text
from calllog.resources import read_grammar
from calllog.tape import Certificate, load_certificate, reading_limit
from calllog.units import in_unit, reading_ft
from calllog.values import LineSettings, ReadingUnit, Style
from calllog.wording import ENGLISH
from tests.metricjob import line
from tests.tapes import METRIC, certificate, metric_tape

FINE_FOOT, FINE_METRE = ReadingUnit.FINE_FOOT, ReadingUnit.FINE_METRE


@pytest.mark.parametrize(
    ("unit", "counts", "text"),
    [
        (ReadingUnit.FOOT, 1542, "15.42"),
        (ReadingUnit.METRE, -5, "-0.05"),
        (FINE_FOOT, 3085, "15.425"),
        (FINE_FOOT, 3084, "15.420"),
        (FINE_METRE, 15_346, "15.346"),
        (FINE_METRE, 5, "0.005"),
    ],
)
def test_reading_is_written_with_all_its_digits(unit: ReadingUnit, counts: int, text: str) -> None:
    """As many digits as the least count has, exactly."""
    assert unit.text(counts) == text
    assert in_unit(reading_ft(counts, unit), unit) == float(text)


@given(st.sampled_from(ReadingUnit), st.integers(0, 100_000))
def test_every_count_is_its_own_length(unit: ReadingUnit, counts: int) -> None:
    """Written and read as a number, a count is itself: nothing is rounded away."""
    whole, _, part = unit.text(counts).partition(".")
    assert len(part) == unit.digits
    assert int(whole) * unit.counts + int(part) // unit.step == counts
    assert int(part) % unit.step == 0


def test_certificate_states_the_least_count() -> None:
    """Left out, it is what it was: a hundredth of a foot, a centimetre."""
    assert (certificate().unit, metric_tape().unit) == (ReadingUnit.FOOT, ReadingUnit.METRE)
    fine, metric = certificate(least_count=0.005), metric_tape(least_count=0.001)
    assert (fine.unit, metric.unit) == (FINE_FOOT, FINE_METRE)
    assert certificate(least_count=0.01).unit is ReadingUnit.FOOT
    assert metric_tape(least_count=0.01).unit is ReadingUnit.METRE
    assert (reading_limit(fine), reading_limit(metric)) == (20_000, 30_000)
    assert reading_limit(certificate(least_count=0.005, style=Style.ADD)) == 20_199
    assert Certificate.model_validate_json(metric.model_dump_json()) == metric
    assert "least_count" not in certificate().model_dump(mode="json")


def test_tolerance_and_held_mark_are_counted_alike() -> None:
    """Both are stated as ever, and counted by the tape."""
    assert metric_tape(least_count=0.001).tolerance_read == 1
    assert metric_tape(least_count=0.001, tolerance=0.005).tolerance_read == 5
    assert certificate(least_count=0.005, tolerance=0.01).tolerance_read == 2
    assert metric_tape(least_count=0.001, hold=100).hold_read == 1000
    assert certificate(least_count=0.005, style=Style.INSET).hold_read == 200


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (f"{METRIC}least_count = 0.005", "is no least count; state in meters 0.01 or 0.001"),
        (f"{METRIC}least_count = 0.1", "is no least count; state in meters 0.01 or 0.001"),
        (f"{METRIC}least_count = nan", "is no least count"),
        (f"{METRIC}least_count = 0.001\ntolerance = 0.0005", "is no tolerance"),
        (
            METRIC.replace("nominal_m = 30", "nominal_m = 200").replace("= 30.0", "= 200.0")
            + "least_count = 0.001",
            "a tape of 200 m is not read to 0.001 here",
        ),
    ],
)
def test_least_count_that_cannot_be_is_refused(text: str, said: str) -> None:
    """The office learns which entry is wrong and what to write."""
    with pytest.raises(ConfigError) as caught:
        load_certificate(text, "tape.toml")
    assert said in str(caught.value)


@pytest.mark.parametrize("least", [0.001, 0.02])
def test_least_count_of_feet(least: float) -> None:
    """Feet are read to hundredths or to half of one."""
    good = certificate().model_dump_json(exclude={"metric"})
    stated = {k: v for k, v in json.loads(good).items() if v not in (None, "")}
    text = "\n".join(f"{name} = {json.dumps(value)}" for name, value in stated.items())
    with pytest.raises(ConfigError, match=r"state in feet 0\.01 or 0\.005"):
        load_certificate(f"{text}\nleast_count = {least}\n", "tape.toml")


def test_line_of_before_is_read_to_hundredths() -> None:
    """A line that a journal kept without any of this is what it was."""
    kept = line().model_dump(mode="json")
    assert kept["unit"] == "metre"
    assert LineSettings.model_validate_json(json.dumps(kept)).unit is ReadingUnit.METRE
    fine = line(unit=FINE_METRE, limit=30_000)
    again = LineSettings.model_validate_json(fine.model_dump_json())
    assert again == fine


@pytest.mark.parametrize(
    ("first", "second", "code"),
    [
        (15_346, 16_346, "one-metre"),
        (15_346, 15_364, "swapped"),
        (15_346, 15_643, "swapped"),
        (15_346, 15_349, "six-nine"),
        (15_346, 15_246, "one-tenth"),
        (15_313, 15_330, "teen-ty"),
        (15_346, 15_347, "differs"),
        (15_346, 15_654, "metre-complement"),
    ],
)
def test_blunders_are_known_in_three_digits(first: int, second: int, code: str) -> None:
    """The signatures of the trade, in millimetres."""
    assert diagnose(first, second, 30_000, FINE_METRE) == code


def test_words_speak_of_millimetres() -> None:
    """Messages written for hundredths are told for the tape; figures have three digits."""
    words = ENGLISH.measured_in(FINE_METRE)
    again = words("say-again", role="head", part="fraction", measurement="take")
    assert again == "head, say again the millimeters of the first"
    assert words("beyond-tape", reading=30_346, tape=30) == "30.346 is beyond this 30 m tape"
    assert "hundredths" in ENGLISH("say-again", role="head", part="fraction", measurement="take")
    fine = ENGLISH.measured_in(FINE_FOOT)
    assert fine("less-than-nothing", whole=0, fraction=85) == (
        "0 minus 42.5 hundredths is less than zero"
    )
    assert ENGLISH("less-than-nothing", whole=0, fraction=58) == (
        "0 minus 58 hundredths is less than zero"
    )


def test_read_back_says_three_figures() -> None:
    """One by one, so that a figure that was lost is missed by ear."""
    metres = read_grammar("en-metric").reading(FINE_METRE)
    assert say_part(metres, 5) == "zero zero five"
    assert say_length(metres, 15_346) == "fifteen point three four six"
    assert say_text(metres, "first 15.346") == "first fifteen point three four six"
    feet = read_grammar().reading(FINE_FOOT)
    assert say_length(feet, 3085) == "fifteen point four two five"


def test_stations_have_the_digits_of_the_tape() -> None:
    """To the millimetre where the tape is read so."""
    assert station_text(1_234_567, FINE_METRE) == "1+234.567"
    assert station_text(325_425, FINE_FOOT) == "3+25.425"


def test_reading_is_as_uncertain_as_half_the_least_count() -> None:
    """GUM F.2.2.1: half of the least count either way."""
    for unit, name in READING.items():
        given = getattr(PRACTICE, name)
        assert given.half_width == pytest.approx(reading_ft(0.5, unit))
        assert unit.text(1) in given.source
