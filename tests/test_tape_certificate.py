"""Certificates: what is accepted, how each bad entry is named, what is warned of."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from calllog.errors import ConfigError
from calllog.tape import (
    Certificate,
    Foot,
    dated_after,
    load_certificate,
    plausibility,
    validity,
)
from calllog.values import Style
from tests.tapes import METRIC, certificate, nist_tape

DEMO_TAPES = sorted((Path(__file__).parent.parent / "calllog/demo/tapes").glob("*.toml"))
GOOD = """
identity = "T-1"
style = "add"
nominal_ft = 100
certified_length_ft = 100.004
u_certified_length_ft = 0.0005
certified_spans = 0
certified_temperature_degf = 68
certified_tension_lb = 10
weight_lb_per_ft = 0.0128
area_in2 = 0.00375
modulus_psi = 29e6
alpha_per_degf = 6.45e-6
foot = "international"
hold = 0
certificate_number = "17"
certificate_date = 2031-04-12
laboratory = "invented"
valid_from = 2031-04-12
valid_until = "2032-04-11"
"""


def changed(name: str, value: str) -> str:
    """Give the good certificate with one entry changed, or left out where value is empty."""
    line = f"{name} = {value}" if value else ""
    text, count = re.subn(rf"^{name} = .*$", line, GOOD, flags=re.MULTILINE)
    assert count == 1
    return text


def problem(text: str) -> str:
    """Give the message with which a certificate is refused."""
    with pytest.raises(ConfigError) as caught:
        load_certificate(text, "tape.toml")
    assert caught.value.where == "tape.toml"
    return str(caught.value)


def test_a_complete_certificate_is_read() -> None:
    """Numbers written without a point, and a date without quotes, are taken as meant."""
    read = load_certificate(GOOD, "tape.toml")
    assert read.certified_temperature_degf == 68.0
    assert (read.style, read.foot, read.hold) == (Style.ADD, Foot.INTERNATIONAL, 0)
    assert (read.certificate_number, read.certificate_date) == ("17", "2031-04-12")
    assert read.u_certified_length_ft == 0.0005
    assert (read.valid_from, read.valid_until) == (date(2031, 4, 12), date(2032, 4, 11))
    assert load_certificate(changed("foot", '"us-survey"'), "tape.toml").foot is Foot.US_SURVEY


def test_what_may_be_left_out_has_its_default() -> None:
    """Steel's stiffness and expansion are published defaults; an inset tape is held at 1 ft."""
    text = GOOD
    left_out = ("modulus_psi", "alpha_per_degf", "hold", "laboratory", "u_certified_length_ft")
    for name in left_out:
        text = re.sub(rf"^{name} = .*$", "", text, flags=re.MULTILINE)
    read = load_certificate(text, "tape.toml")
    # 29e6 psi: formula sheet of course CE 20300 (read). 6.45e-6: NBS nomogram text (read).
    assert (read.modulus_psi, read.alpha_per_degf) == (29e6, 6.45e-6)
    assert (read.hold, read.laboratory, read.u_certified_length_ft) == (0, "", None)
    assert load_certificate(text.replace('"add"', '"inset"'), "tape.toml").hold == 100
    assert certificate(style=Style.INSET).hold == 100
    assert certificate(style=Style.INSET, hold=200).hold == 200


def test_a_tape_with_its_zero_in_from_the_ring_is_held_at_zero_or_at_one() -> None:
    """The trade names the tape; held at one is a way of using it. Inset is read as before."""
    text = changed("style", '"zero-in"').replace("hold = 0\n", "")
    assert text.count("hold") == 0
    tape = load_certificate(text, "tape.toml")
    assert (tape.style, tape.hold) == (Style.INSET, 0)
    assert load_certificate(f"{text}hold = 100\n", "tape.toml").hold == 100
    older = load_certificate(text.replace('"zero-in"', '"inset"'), "tape.toml")
    assert (older.style, older.hold) == (Style.INSET, 100)


@pytest.mark.parametrize("style", list(Style))
def test_a_certificate_survives_the_journal(style: Style) -> None:
    """Written as JSON and read again, a certificate is the same."""
    before = certificate(style=style, certificate_date="2031-04-12", valid_until=date(2032, 4, 11))
    assert Certificate.model_validate_json(before.model_dump_json()) == before


def test_a_certificate_journalled_without_validity_is_read() -> None:
    """Journals written before the two days were known to certificates stay readable."""
    old = certificate().model_dump(mode="json", exclude={"valid_from", "valid_until"})
    assert Certificate.model_validate_json(json.dumps(old)) == certificate()


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("identity", '" "', "identity: ' ' is no identity; name the tape"),
        (
            "style",
            '"adds"',
            "style: 'adds' is no graduation style; state full, add, cut or zero-in",
        ),
        ("nominal_ft", "0", "nominal_ft: 0 is no nominal length; state whole feet"),
        ("nominal_ft", "99.5", "nominal_ft: 99.5 is no nominal length; state whole feet"),
        ("nominal_ft", "1001", "nominal_ft: 1001 is no nominal length; state whole feet"),
        ("certified_length_ft", "0", "certified_length_ft: 0 is no certified length; state"),
        (
            "u_certified_length_ft",
            "0",
            "u_certified_length_ft: 0 is no standard uncertainty; state the standard uncertainty",
        ),
        ("certified_spans", "-1", "certified_spans: -1 is no support; state 0 for supported"),
        ("certified_spans", "1001", "certified_spans: 1001 is no support; state 0 for supported"),
        ("certified_spans", '"ends"', "certified_spans: 'ends' is no support; state 0"),
        (
            "certified_temperature_degf",
            "151",
            "certified_temperature_degf: 151 is no temperature; state degrees Fahrenheit",
        ),
        (
            "certified_temperature_degf",
            "nan",
            "certified_temperature_degf: nan is no temperature; state degrees Fahrenheit",
        ),
        ("certified_tension_lb", "0", "certified_tension_lb: 0 is no tension; state the pull"),
        (
            "weight_lb_per_ft",
            "-0.0127",
            (
                "weight_lb_per_ft: -0.0127 is no weight; state the weight of one foot in pounds,"
                " such as 0.0127"
            ),
        ),
        ("area_in2", "true", "area_in2: True is no area; state the cross section in square inches"),
        ("modulus_psi", "inf", "modulus_psi: inf is no modulus of elasticity; state pounds per"),
        ("alpha_per_degf", '"steel"', "alpha_per_degf: 'steel' is no coefficient of expansion;"),
        ("foot", '"survey"', "foot: 'survey' is no foot; state which: international or us-survey"),
        ("hold", "-100", "hold: -100 is no held mark; state hundredths of a foot"),
        ("hold", "100", "hold: 100 is given, but nothing is held on this style; leave it out"),
        ("certificate_number", "17", "certificate_number: 17 is no certificate number; state it"),
        ("certificate_date", "2031", "certificate_date: 2031 is no date; state it as text"),
        ("laboratory", "1", "laboratory: 1 is no laboratory; state its name as text"),
        ("valid_from", '"12 April 2031"', "valid_from: '12 April 2031' is no day; state the first"),
        ("valid_from", '"2031-4-12"', "valid_from: '2031-4-12' is no day; state the first day"),
        ("valid_from", '"20310412"', "valid_from: '20310412' is no day; state the first day"),
        ("valid_from", '"2031-02-30"', "valid_from: '2031-02-30' is no day; state the first day"),
        ("valid_from", "2031-04-12T00:00:00", "valid_from: '2031-04-12 00:00:00' is no day; state"),
        ("valid_until", "2032", "valid_until: 2032 is no day; state the last day it holds for"),
        ("valid_until", "2031-04-11", "valid_until: 2031-04-11 is before valid_from, 2031-04-12;"),
        ("foot", "", "foot: missing; state which: international or us-survey"),
    ],
)
def test_each_bad_entry_is_named_with_what_to_state(name: str, value: str, said: str) -> None:
    """The message names the entry, what was given, and what to state instead."""
    assert f"1 of this certificate's entries cannot be used; fix each:\n- {said}" in problem(
        changed(name, value)
    )


def without(*names: str, more: str = "") -> Certificate:
    """Read the good certificate with entries left out, and others in their place."""
    left = [line for line in GOOD.splitlines() if line.partition(" =")[0] not in names]
    return load_certificate("\n".join([*left, more]), "tape.toml")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("laboratory = \u201cbench\u201d", 'its quotes must be straight, "like this"'),
        ("u_certified_length_ft = 0,002", "a number has a point, 99.99, and no comma"),
        ("laboratory: bench", 'an entry is written NAME = VALUE, a text as NAME = "TEXT"'),
    ],
)
def test_line_that_cannot_be_read_is_shown_with_the_usual_slip(line: str, says: str) -> None:
    """Place alone does not help who writes one such file a year."""
    with pytest.raises(ConfigError) as caught:
        load_certificate(f"{GOOD.rstrip()}\n{line}\n", "tape.toml")
    assert str(caught.value).endswith(f"fix that line, {line!r}: {says}")


def test_weight_and_cross_section_follow_from_each_other() -> None:
    """One that is not stated follows by the density of steel, and is marked as assumed."""
    # algebra.com 1195308: 2.2 lb in 100 ft at 3.53 in3 per lb is 0.00647 in2.
    heavy = load_certificate(
        changed("weight_lb_per_ft", "0.022").replace("area_in2 = 0.00375", ""), "tape.toml"
    )
    assert heavy.area_in2 == pytest.approx(0.00647, abs=0.00001)
    assert heavy.told == "area_in2 from its weight, by the density of steel"
    assert plausibility(heavy) == (f"assumed, since it does not state them: {heavy.told}",)
    light = without("weight_lb_per_ft")
    assert light.weight_lb_per_ft == pytest.approx(12 * 0.00375 / 3.53, rel=1.5e-3)
    assert light.assumed == {"weight_lb_per_ft": "from its cross-section, by the density of steel"}
    assert without().told == ""
    assert "assumed" in light.document
    assert Certificate.model_validate_json(light.model_dump_json()) == light
    assert "steel" not in without().model_dump_json()


def test_width_and_thickness_give_both() -> None:
    """5/16 in by 0.012 in is 0.00375 in2 and weighs 12 times 0.2836 lb per cubic inch of that."""
    size = "width_in = 0.3125\nthickness_in = 0.012"
    found = without("weight_lb_per_ft", "area_in2", more=size)
    assert found.area_in2 == pytest.approx(0.00375)
    # 490 lb per cubic foot: AISC, Steel Construction Manual (from memory).
    assert found.weight_lb_per_ft == pytest.approx(0.00375 / 144 * 490, rel=1e-3)
    assert found.told == (
        "area_in2 from width 0.3125 and thickness 0.012 in;"
        " weight_lb_per_ft from its cross-section, by the density of steel"
    )
    weighed = without("area_in2", more=size)
    assert weighed.weight_lb_per_ft == 0.0128
    assert list(weighed.assumed) == ["area_in2"]


GREAT, ENDLESS = "9" * 400, f"0x{'f' * 4_000}"
"""A number beyond any float, and one that cannot be shown."""
SHORT, ENDLESS_SHORT = f"{'9' * 40}…{'9' * 20}", "a number of thousands of digits"
"""What a refusal shows of them."""


@pytest.mark.parametrize(
    ("left_out", "more", "said"),
    [
        (("area_in2",), "width_in = 0.3", "thickness_in: missing; state inches, both width"),
        (("area_in2",), "width_in = 0.3\nthickness_in = -1", "thickness_in: -1 is no size of a"),
        (("area_in2",), 'width_in = "a"\nthickness_in = 1', "width_in: 'a' is no size of a tape"),
        (("area_in2",), "width_in = true\nthickness_in = 1", "width_in: True is no size of a"),
        (("area_in2",), "width_in = 0\nthickness_in = 1", "width_in: 0 is no size of a tape"),
        (("area_in2",), "width_in = inf\nthickness_in = 1", "width_in: inf is no size of a tape"),
        (("area_in2",), "width_in = 100.1\nthickness_in = 1", "width_in: 100.1 is no size of a"),
        ((), "width_in = 0.3\nthickness_in = 0.1", "width_in: area_in2 is stated; leave width and"),
        ((), "steel = 1", "steel: there is no such entry"),
        (("area_in2",), f"area_in2 = {GREAT}", f"area_in2: {SHORT} is no area; state the cross"),
        (("weight_lb_per_ft",), f"weight_lb_per_ft = {GREAT}", f"weight_lb_per_ft: {SHORT} is no"),
        (
            ("area_in2",),
            f"width_in = {GREAT}\nthickness_in = 1",
            f"width_in: {SHORT} is no size of",
        ),
        (("area_in2",), f"width_in = [{ENDLESS}]", f"width_in: {ENDLESS_SHORT} is no size of"),
        (
            ("hold",),
            f"hold = {ENDLESS}",
            f"hold: {ENDLESS_SHORT} is no held mark; state hundredths",
        ),
        ((), "widht_in = 0.3", "widht_in: there is no such entry; is width_in meant?"),
        (
            ("area_in2", "weight_lb_per_ft"),
            "",
            (
                "area_in2: missing; state the cross section in square inches, such as 0.00375;"
                " one of weight_lb_per_ft and area_in2, or width_in and thickness_in, will do"
            ),
        ),
    ],
)
def test_a_size_that_cannot_be_is_refused(left_out: tuple[str, ...], more: str, said: str) -> None:
    """A width without a thickness, or what is no size, is named with what to state."""
    with pytest.raises(ConfigError) as caught:
        without(*left_out, more=more)
    assert f"\n- {said}" in str(caught.value)


def test_a_number_that_cannot_be_shown_is_no_unit() -> None:
    """It could not even be shown in the refusal, which ended in a fault."""
    assert f"{ENDLESS_SHORT} is no unit of a tape" in problem(f"unit = {ENDLESS}")


def test_the_greatest_size_is_one() -> None:
    """100 in by 0.0001 in is a strange tape, and a size."""
    found = without("area_in2", more="width_in = 100\nthickness_in = 0.0001")
    assert found.area_in2 == pytest.approx(0.01)


def test_a_certificate_dated_after_the_work_is_told() -> None:
    """The day of the work itself is none after it; what is no day tells nothing."""
    assert dated_after(certificate(certificate_date="2031-04-12"), FIRST - DAY) != ()
    assert dated_after(certificate(certificate_date="2031-04-12"), FIRST) == ()
    assert dated_after(certificate(certificate_date="spring of 2031"), FIRST - DAY) == ()


def test_a_held_mark_must_be_on_the_tape() -> None:
    """A held mark beyond the tape is refused; one is not judged by a length that is bad itself."""
    text = changed("hold", "10000").replace('"add"', '"inset"')
    assert "hold: 10000 is no mark of a 100 ft tape; state hundredths" in problem(text)
    text = text.replace("nominal_ft = 100", "nominal_ft = -100")
    assert problem(text).count("\n- ") == 1


def test_a_tape_certified_hanging_must_be_able_to_hang() -> None:
    """Each end bears half of its span, so the whole tape's weight given for one foot is refused."""
    # Statics: 1.28 lb/ft over one span of 100 ft is 128 lb, 64 lb at each end; over two, 32 lb.
    whole = changed("weight_lb_per_ft", "1.28")
    assert load_certificate(whole, "tape.toml").certified_spans == 0
    for spans, least in ((1, 64), (2, 32)):
        hung = whole.replace("certified_spans = 0", f"certified_spans = {spans}")
        just = hung.replace("certified_tension_lb = 10", f"certified_tension_lb = {least}")
        assert "1.28 is too heavy to hang" in problem(just)
        assert (
            "\n- weight_lb_per_ft: 1.28 is too heavy to hang as certified, which takes more than"
            f" {least} lb; state the weight of one foot, not of the whole tape"
        ) in problem(hung)
        pulled = hung.replace("certified_tension_lb = 10", f"certified_tension_lb = {least}.1")
        assert load_certificate(pulled, "tape.toml").certified_tension_lb == least + 0.1
        for bad in ("certified_tension_lb = 10", "nominal_ft = 100"):
            unread = hung.replace(bad, bad.split(" = ")[0] + " = 0")
            assert problem(unread).count("\n- ") == 1


VALUES = """
0 1 -1 100 1e-300 1e400 nan inf true "" "inset" "cut" [] {} 2031-04-12 2031-04-12T07:30:00Z
07:30:00 1979-02-30
""".split()


def is_loaded(text: str) -> bool:
    """Load a certificate, or see it refused as it must be."""
    try:
        load_certificate(text, "tape.toml")
    except ConfigError:
        return False
    return True


@settings(deadline=None)
@given(
    st.dictionaries(st.sampled_from(sorted(Certificate.model_fields)), st.sampled_from(VALUES)),
    st.text(max_size=20),
)
def test_whatever_the_file_holds_no_other_error_comes(entries: dict[str, str], tail: str) -> None:
    """A certificate with any entries changed, and any text behind, is read or refused as such."""
    text = GOOD
    for name, value in entries.items():
        text = re.sub(rf"^{name} = .*$", f"{name} = {value}", text, flags=re.MULTILINE)
    assert not is_loaded(text + "[")
    is_loaded(text + tail)
    if is_loaded(text):
        plausibility(load_certificate(text, "tape.toml"))


@pytest.mark.parametrize(
    ("value", "said"),
    [("9" * 5000, "not valid TOML: "), ("[" * 5000, "line 1 goes deeper than 12 keys or brackets")],
)
def test_endless_digits_and_brackets_are_no_crash(value: str, said: str) -> None:
    """Text at which Python's TOML reader gives up is refused like any other that is no TOML."""
    assert f"tape.toml: {said}" in problem(f"hold = {value}")


def test_all_problems_are_listed_at_once() -> None:
    """Three bad entries are told in one message, not one after the other."""
    text = changed("foot", "").replace("weight_lb_per_ft", "weight_lb_per_feet") + "colour = 1\n"
    text = text.replace("area_in2 = 0.00375", "")
    said = problem(text)
    assert "5 of this certificate's entries" in said
    assert "\n- weight_lb_per_ft: missing;" in said
    assert "\n- weight_lb_per_feet: there is no such entry; is weight_lb_per_ft meant?" in said
    assert "\n- colour: there is no such entry\n" in said
    assert said.count("\n- what may stand there: identity, style,") == 1


def test_text_that_is_no_toml_is_refused_with_its_line() -> None:
    """A file that is not TOML is refused with the place that the parser gives."""
    said = problem("identity = T-1\n")
    assert re.search(r"tape\.toml: not valid TOML: .*line 1.*; fix that line", said)


def test_a_certificate_cannot_be_changed() -> None:
    """A certificate is evidence: no field can be set after it was read."""
    with pytest.raises(ValidationError, match="frozen"):
        certificate().area_in2 = 1.0  # type: ignore[misc]


@pytest.mark.parametrize("path", DEMO_TAPES, ids=lambda path: path.stem)
def test_demo_certificates_are_sound(path: Path) -> None:
    """Every certificate that travels with the demo is read, and warns of nothing."""
    assert plausibility(load_certificate(path.read_text(encoding="utf-8"), str(path))) == ()


def test_demo_certificates_show_every_style_and_support() -> None:
    """The demo has each style, a short tape, one certified hanging; one foot, as a job must."""
    tapes = [load_certificate(path.read_text(encoding="utf-8"), str(path)) for path in DEMO_TAPES]
    assert {tape.style for tape in tapes} == set(Style)
    assert len({tape.foot for tape in tapes}) == 1
    assert 50 in {tape.nominal_ft for tape in tapes}
    assert 1 in {tape.certified_spans for tape in tapes}
    assert len({tape.identity for tape in tapes}) == len(tapes) >= 5


def test_a_real_tape_is_plausible() -> None:
    """NIST's tape of 1991 (read second-hand; weight and area fitted) gives no warning."""
    assert plausibility(nist_tape()) == ()


@pytest.mark.parametrize(
    ("weight", "area", "is_plausible"),
    [
        # Mahun, self-study problem 1 (inputs read): too heavy for its area.
        (0.0195, 0.003, False),
        # Slides "Taping Corrections" (read): far too light for its area.
        (0.028, 0.015, False),
        # A published exercise pair near the rule (0.0255).
        (0.0225, 0.0075, True),
        # The weight of the whole tape instead of one foot.
        (1.28, 0.00375, False),
    ],
)
def test_weight_must_go_with_area(weight: float, area: float, is_plausible: bool) -> None:  # noqa: FBT001
    """Steel's density (3.53 in3 per lb: read) ties weight to area; what breaks it is told."""
    warned = plausibility(certificate(weight_lb_per_ft=weight, area_in2=area))
    assert (warned == ()) is is_plausible
    assert all(text.startswith("weight_lb_per_ft: ") for text in warned)


@pytest.mark.parametrize(
    ("name", "value", "hint"),
    [
        ("certified_length_ft", 99.89, "0.1 %"),
        ("certified_length_ft", 100.11, "0.1 %"),
        ("certified_temperature_degf", 20.0, "Celsius"),
        ("certified_tension_lb", 50.0, "newtons"),
        ("modulus_psi", 2.0e11, "psi"),
        ("alpha_per_degf", 1.16e-5, "per degree Celsius"),
        # An expanded uncertainty in hundredths of an inch, or a slip of a digit.
        ("u_certified_length_ft", 0.0101, "k = 1"),
    ],
)
def test_unlikely_values_are_warned_of(name: str, value: float, hint: str) -> None:
    """A value in another unit, or a slip of digits, is told with the entry's name and a hint."""
    (warned,) = plausibility(certificate(**{name: value}))
    assert warned.startswith(f"{name}: ")
    assert hint in warned


def test_both_weight_and_area_ten_times_too_large_are_warned_of() -> None:
    """A slip in both keeps the density of steel, but no tape is so thick."""
    # Published examples: 0.003 to 0.015 in2 (Mahun; slides "Taping Corrections"; CE 20300: read).
    (warned,) = plausibility(certificate(weight_lb_per_ft=0.128, area_in2=0.0375))
    assert warned.startswith("area_in2: 0.0375 is outside 0.0015 to 0.02; ")
    assert plausibility(certificate(weight_lb_per_ft=0.051, area_in2=0.015)) == ()


def test_the_uncertainty_that_nist_states_is_plausible() -> None:
    """0.0010 ft in 100 ft, NIST Report of Calibration, 1991 (read second-hand)."""
    assert plausibility(nist_tape(u_certified_length_ft=0.001)) == ()


FIRST, LAST, DAY = date(2031, 4, 12), date(2032, 4, 11), timedelta(days=1)


@pytest.mark.parametrize(
    ("used_on", "said"),
    [
        (FIRST - DAY, "valid_from: 2031-04-12, but the tape is used on 2031-04-11, before that"),
        (FIRST, None),
        (LAST, None),
        (LAST + DAY, "valid_until: 2032-04-11, but the tape is used on 2032-04-12, 1 day later"),
        (LAST + 2 * DAY, "2 days later; have it compared again"),
        (LAST + 400 * DAY, "400 days later; have it compared again"),
    ],
)
def test_use_outside_the_days_of_a_certificate_is_warned_of(
    used_on: date, said: str | None
) -> None:
    """The first and the last day are within; the day of use is told by whoever asks."""
    warned = validity(load_certificate(GOOD, "tape.toml"), used_on)
    assert len(warned) == (said is not None)
    assert said is None or said in warned[0]


def test_one_day_alone_bounds_one_side_only() -> None:
    """A certificate without days is never warned of; with one, on its side alone."""
    assert validity(certificate(), date.min) == validity(certificate(), date.max) == ()
    assert validity(certificate(valid_from=FIRST), LAST + 400 * DAY) == ()
    assert validity(certificate(valid_until=LAST), FIRST - 400 * DAY) == ()
    assert validity(certificate(valid_from=FIRST, valid_until=FIRST), FIRST) == ()


@pytest.mark.parametrize(
    ("stated", "hundredths"), [("0.02", 2), ("0.01", 1), ("0.1", 10), ("1", 100), ("0.57", 57)]
)
def test_tolerance_is_stated_in_feet(stated: str, hundredths: int) -> None:
    """How far first and check may be apart is the tape's own; left out, it is its least count."""
    tape = load_certificate(f"{GOOD}tolerance = {stated}\n", "tape.toml")
    assert tape.tolerance_read == hundredths
    assert Certificate.model_validate_json(tape.model_dump_json()) == tape
    assert load_certificate(GOOD, "tape.toml").tolerance_read == 1


@pytest.mark.parametrize("stated", ["0", "0.005", "0.025", "-0.01", "1.01", "inf", "nan", '"0.02"'])
def test_tolerance_that_cannot_be_is_refused(stated: str) -> None:
    """Less than the least count, or what no whole number of them is, would agree by chance."""
    said = problem(f"{GOOD}tolerance = {stated}\n")
    assert "is no tolerance; state a whole number of least counts in feet, up to 1 ft" in said
    metric = METRIC.replace("\nstyle", f"\ntolerance = {stated}\nstyle")
    assert "state a whole number of least counts in meters, up to 1 m" in problem(metric)


def test_certificate_that_states_no_tolerance_is_written_as_before() -> None:
    """An older program reads it: it refuses entries that it does not know."""
    assert "tolerance" not in certificate().model_dump(mode="json")
    assert certificate(tolerance=0.02).model_dump(mode="json")["tolerance"] == 0.02
    assert certificate().document["tolerance"] is None
