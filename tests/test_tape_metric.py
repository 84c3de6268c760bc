"""Certificates in metres: what they state is kept, and turned exactly into the engine's units."""

from __future__ import annotations

import json

import pytest
from pydantic import ValidationError

from calllog.errors import ConfigError
from calllog.tape import Certificate, Foot, load_certificate, plausibility, reading_limit
from calllog.units import in_unit, reading_ft
from calllog.values import Conditions, ReadingUnit, Style
from tests.correcting import correct
from tests.tapes import METRIC, metric_tape


def problem(text: str) -> str:
    """Give the message about a certificate."""
    with pytest.raises(ConfigError) as caught:
        load_certificate(text, "tape.toml")
    return str(caught.value)


def test_metres_are_kept_and_turned_into_feet() -> None:
    """The engine's feet are exact, and what the laboratory wrote stands beside them."""
    tape = metric_tape(certified_length_m=30.48)
    assert tape.unit is ReadingUnit.METRE
    assert tape.nominal == 30
    assert tape.certified_length_ft == 100.0
    assert tape.certified_temperature_degf == 68.0
    assert tape.weight_lb_per_ft == pytest.approx(0.0189 * 0.3048 / 0.45359237, rel=1e-15)
    assert tape.modulus_psi == pytest.approx(29_007_547.5, rel=1e-8)
    assert tape.area_in2 == pytest.approx(2.4 / 645.16, rel=1e-15)
    assert tape.metric is not None
    assert tape.metric.certified_length_m == 30.48
    assert tape.foot is Foot.INTERNATIONAL
    assert reading_limit(tape) == 3000


def test_feet_stay_the_default() -> None:
    """A certificate that does not say is in feet; one may also say so."""
    feet = METRIC.replace('unit = "metre"', 'unit = "foot"')
    assert "nominal_m: a tape in meters says unit" in problem(feet)
    assert "nominal_m: a tape in meters says unit" in problem(METRIC.replace('unit = "metre"', ""))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('unit = "metre"', 'unit = "yard"', "'yard' is no unit of a tape"),
        ("nominal_m = 30", "nominal_m = 29.5", "nominal_m: 29.5 is no nominal length; state whole"),
        (
            "nominal_m = 30",
            "nominal_ft = 100",
            "nominal_ft: this certificate is in meters; state n",
        ),
        (
            "nominal_m = 30",
            'foot = "us-survey"\nnominal_m = 30',
            "foot: this certificate is in met",
        ),
        ("mass_kg_per_m = 0.0189", "mass_kg_per_m = 18.9", "mass_kg_per_m: too heavy to hang"),
        (
            "mass_kg_per_m = 0.0189\narea_mm2 = 2.4",
            "",
            "area_mm2: missing; state the cross section in square millimeters",
        ),
        ("area_mm2 = 2.4", "area_mm = 2.4", "area_mm: there is no such entry; is area_mm2 meant?"),
        ('style = "full"', 'style = "inset"', "hold: missing; state the mark that is held"),
        ('style = "full"', 'style = "full"\nhold = 3000', "hold: 3000 is no mark of a 30 m tape"),
        ('style = "full"', 'style = "full"\nhold = -1', "hold: -1 is no held mark; state hundredt"),
    ],
)
def test_each_bad_entry_is_named_in_its_own_unit(old: str, new: str, said: str) -> None:
    """Feet in a metric certificate, metres in one in feet: refused, and never guessed."""
    assert said in problem(METRIC.replace(old, new).replace("spans = 0", "spans = 1"))


def test_all_bad_entries_are_listed_at_once() -> None:
    """Measures and the other entries are mended in one go."""
    text = METRIC.replace("nominal_m = 30", "nominal_m = 0").replace('style = "full"', "")
    assert "2 of this certificate's entries cannot be used" in problem(text)
    assert "style: missing" in problem(text)


def test_journalled_certificate_must_agree_with_itself() -> None:
    """A journal in which the feet are not those of the metres is refused: no metre is a foot."""
    tape = metric_tape()
    body = json.loads(tape.model_dump_json())
    assert Certificate.model_validate_json(json.dumps(body)) == tape
    for name, value in (
        ("nominal_ft", 30.0),
        ("certified_tension_lb", 50.0),
        ("foot", "us-survey"),
    ):
        with pytest.raises(ValidationError, match="not what the certificate in meters says"):
            Certificate.model_validate_json(json.dumps(body | {name: value}))


def test_entries_are_those_of_the_certificate() -> None:
    """What an office compares and reads has the certificate's own names and units."""
    entries = metric_tape().entries
    assert entries["nominal_m"] == 30
    assert entries["style"] is Style.FULL
    assert not [name for name in entries if name.endswith(("_ft", "_lb", "_psi", "_degf"))]
    assert "foot" not in entries


def test_correction_is_that_of_the_metric_formulas() -> None:
    """Length, temperature, tension and sag worked by hand in metres, newtons and Celsius."""
    tape = metric_tape(certified_length_m=30.003)
    conditions = Conditions(
        temperature_degf=86.0, tension_lb=tape.certified_tension_lb * 2, spans=1
    )
    found = correct(reading_ft(2500, ReadingUnit.METRE), tape, conditions)
    known = (found.standardisation_ft, found.temperature_ft, found.tension_ft, found.sag_ft)
    metres = [in_unit(each, ReadingUnit.METRE) for each in known if each is not None]
    weight_n = 0.0189 * 9.80665
    by_hand = [
        25 * 0.003 / 30,
        1.16e-5 * 25 * (30 - 20),
        (100 - 50) * 25 / (2.4e-6 * 200e9),
        -(weight_n**2) * 25**3 / (24 * 100**2),
    ]
    assert metres == pytest.approx(by_hand, rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, ()),
        (
            {"certified_temperature_degc": 0.0},
            ("certified_temperature_degc: 0 is outside 10 to 30; 20 degC is usual",),
        ),
        ({"certified_tension_n": 5.0}, ("certified_tension_n: 5 is outside 22.24 to 177.9",)),
        (
            {"mass_kg_per_m": 0.03},
            ("mass_kg_per_m: 0.03 does not go with area_mm2 2.4, which in steel weighs 0.0188",),
        ),
        ({"certified_length_m": 30.1}, ("certified_length_m: 30.1 differs from the nominal 30 m",)),
        ({"u_certified_length_m": 0.02}, ("u_certified_length_m: 0.02 is more than 1:10,000",)),
    ],
)
def test_unlikely_values_are_warned_of_in_their_own_unit(
    changes: dict[str, object], said: tuple[str, ...]
) -> None:
    """The office reads the warning beside the certificate, so it speaks its units."""
    found = plausibility(metric_tape(**changes))
    assert len(found) == len(said)
    for warning, words in zip(found, said, strict=True):
        assert warning.startswith(words)
        assert " ft" not in warning
        assert "lb" not in warning


@pytest.mark.parametrize("unit", ['["metre"]', "1", '""', '"Metre"'])
def test_unit_that_is_none_is_refused(unit: str) -> None:
    """Whatever stands there, nothing is taken for feet in its place."""
    assert "is no unit of a tape" in problem(METRIC.replace('"metre"', unit))


def test_a_metric_certificate_leaves_mass_or_area_out() -> None:
    """2.4 mm2 of steel is 18.84 g/m; 6 mm by 0.4 mm is 2.4 mm2."""
    # 7850 kg per cubic metre: common practice, no published source.
    light = load_certificate(METRIC.replace("mass_kg_per_m = 0.0189", ""), "M-1.toml")
    assert light.metric is not None
    assert light.metric.mass_kg_per_m == pytest.approx(0.01884)
    assert light.told == "mass_kg_per_m from its cross-section, by the density of steel"
    assert light.document["assumed"] == light.told
    size = METRIC.replace("area_mm2 = 2.4", "width_mm = 6\nthickness_mm = 0.4")
    sized = load_certificate(size, "M-1.toml")
    assert sized.area_in2 == pytest.approx(2.4 / 645.16)
    assert sized.told == "area_mm2 from width 6 and thickness 0.4 mm"
    with pytest.raises(ConfigError, match="width_mm: 0 is no size of a tape; state millimeters"):
        load_certificate(size.replace("width_mm = 6", "width_mm = 0"), "M-1.toml")
    assert Certificate.model_validate_json(sized.model_dump_json()) == sized
