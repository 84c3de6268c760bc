"""Lengths and areas as they are written, read and printed."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.errors import ConfigError
from calllog.units import (
    Foot,
    Length,
    find_unit,
    form_of,
    parse_form,
    parse_length,
    parse_measure,
    rounded,
    show,
    written_out,
)
from calllog.units.measure import Area
from calllog.units.table import UNITS, Dimension, Unit

INTERNATIONAL, US_SURVEY = Foot


@pytest.mark.parametrize("foot", list(Foot))
@pytest.mark.parametrize(
    ("text", "feet"),
    [
        # "12 chains 45 links" is 821.70 ft of the foot that the chain is made of: 12 x 66 + 45 x
        # 0.66 (BLM, Manual of Surveying Instructions, 1973, sec. 2-1: read).
        ("12 ch 45 lk", "821.7"),
        ("12 chains 45 links", "821.7"),
        ("12 Chains, 45 Links", "821.7"),
        ("12 ch. 45 lks.", "821.7"),
        ("12ch45lk", "821.7"),
        ("12 chains and 45 links", "821.7"),
        ("1 mi 12 ch", "6072"),
        ("3 rd 2 ft", "51.5"),
        ("3 perches", "49.5"),
        ("529.81 ft", "529.81"),
        ("529.81'", "529.81"),
        ("1,234.5 ft", "1234.5"),
        ("1,234,567 feet", "1234567"),
        (".5 ft", "0.5"),
        ("5. ft", "5"),
        ("12' 6 1/2\"", "301/24"),
        ("12'6-1/2\"", "301/24"),
        ("12'-6\"", "12.5"),
        ("12 ft 6 in", "12.5"),
        ("12′ 6½″", "301/24"),  # noqa: RUF001
        ("12’ 6''", "12.5"),  # noqa: RUF001
        ("3/4 in", "1/16"),
        ("½ ft", "0.5"),
        ("-12 ch 45 lk", "-821.7"),
        ("−1.2 ft", "-1.2"),  # noqa: RUF001
        ("0 ft", "0"),
        ("36 Texas varas", "100"),
        ("10 Ingram varas", "167/6"),
    ],
)
def test_lengths_as_people_write_them(foot: Foot, text: str, feet: str) -> None:
    """Exactly that many of the feet in use, and the length says which."""
    found = parse_length(text, foot)
    assert found.feet(foot) == Fraction(feet)
    assert found.foot is foot


@pytest.mark.parametrize("foot", list(Foot))
@pytest.mark.parametrize(
    ("text", "metres", "named"),
    [
        ("161.49 m", "161.49", None),
        ("1 km 2 m 3 cm 4 mm", "1002.034", None),
        ("529.81 usft", "635772/3937", US_SURVEY),
        ("100 ift", "30.48", INTERNATIONAL),
        ("100 ft (international foot)", "30.48", INTERNATIONAL),
        ("3937 ft (US survey foot)", "1200", US_SURVEY),
        ("3937 usft (US survey foot)", "1200", US_SURVEY),
        ("3937 US survey feet", "1200", US_SURVEY),
    ],
)
def test_what_names_its_foot_or_has_none(
    foot: Foot, text: str, metres: str, named: Foot | None
) -> None:
    """Metric values, and values that name their foot, do not depend on the foot in use."""
    assert parse_length(text, foot) == Length(Fraction(metres), named)


@pytest.mark.parametrize(
    ("text", "square_feet"),
    [
        ("3.5 ac", "152460"),
        ("10 ch2", "43560"),
        ("10 ch²", "43560"),
        ("10 ch^2", "43560"),
        ("10 sq. chains", "43560"),
        ("10 square chains", "43560"),
        ("2 ac 3 roods 15 sq rods", "123873.75"),
        ("1 yd2 3 ft2", "12"),
        ("5ft2", "5"),
    ],
)
def test_areas(text: str, square_feet: str) -> None:
    """An acre is 10 square chains or 43,560 square feet (BLM, as above: read)."""
    found = parse_measure(text)
    assert isinstance(found, Area)
    assert found.count(find_unit("ft2")) == Fraction(square_feet)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("529.81", "'529.81': 529.81 has no unit; state it, such as 529.81 ft"),
        ("12 ch 45", "'12 ch 45': 45 has no unit; state it, such as 45 ft"),
        ("6'2", "2 has no unit"),
        ("3.5 1/2 in", "3.5 has no unit"),
        ("", "'': there is no value; state a number and its unit"),
        ("-", "there is no value"),
        ("ft", "'ft' cannot be read; state a number and its unit"),
        ("12 chians", "'12 chians': 'chians' is no unit of length or area; is chains meant?"),
        ("3+25", "'+' is no unit"),
        ("12 vara", "'vara' may be several units"),
        ("529,81 ft", "cannot be read; set a point before decimals, not a comma: 529.81 ft"),
        ("1.2.3 ft", "cannot be read"),
        ("1,23 ft", "cannot be read"),
        ("12,3456 ft", "cannot be read; set a point before decimals, not a comma: 12.3456"),
        ("1.234,56 ft", "cannot be read; state a number"),
        ("25,020 m", "25,020 may be 25.020 or 25020; write 25.020, or 25020 without a comma"),
        ("12 ft 1,250 in", "1,250 may be 1.250 or 1250"),
        ("0,500 m", "cannot be read; set a point before decimals, not a comma: 0.500 m"),
        ("1e3 ft", "'e' is no unit"),
        ("٣ ft", "cannot be read"),
        ("--3 ft", "cannot be read"),
        ("nan ft", "cannot be read"),
        ("1/0 ft", "1/0 is divided by zero"),
        ("12 ch -45 lk", "a part of a value cannot be negative"),
        ("12 ch - 45 lk", "a part of a value cannot be negative"),
        ("12' -6\"", "a part of a value cannot be negative"),
        ("45 lk 12 ch", "chain after link: the larger unit comes first"),
        ("12 ft 3 ft", "foot after foot: the larger unit comes first"),
        (
            "12 ch 145 lk",
            "145 lk are a chain or more; look at the number again, or say 13 ch 45 lk",
        ),
        ("12.5 ch 45 lk", "a part of a chain and link as well"),
        ("12 ch 4 ac", "chain and acre cannot be added: length and area"),
        ("12 usft 6 iin", "foot and inch are not made of the same foot"),
        ("12 m 6 in", "meter and inch are not made of the same foot"),
        ("12 usft (international foot)", "a unit is of another foot than the value"),
        ("12 ch.45 lk", "the point in 'h.4' may end the unit or begin the number"),
        ("1" * 200 + " ft", "203 characters are no value"),
    ],
)
def test_what_may_mean_something_else_is_refused(text: str, message: str) -> None:
    """The error names the value and what is wrong with it; nothing is guessed."""
    with pytest.raises(ConfigError) as error:
        parse_measure(text)
    assert message in str(error.value)
    assert error.value.next_step


def test_an_area_is_no_length() -> None:
    """Where a length is wanted."""
    with pytest.raises(ConfigError, match="an area, where a length is wanted"):
        parse_length("3 ac")


@pytest.mark.parametrize(
    ("text", "form", "decimals", "shown"),
    [
        ("821.7 ft", "ch lk", 2, "12 ch 45.00 lk (international foot)"),
        ("821.7 usft", "usch uslk", 2, "12 ch 45.00 lk (US survey foot)"),
        ("529.81 usft", "m", 2, "161.49 m"),
        ("161.49 m", "usft", 2, "529.82 ft (US survey foot)"),
        ("12.53125 ft", "ft in/16", 0, "12 ft 6 3/8 in (international foot)"),
        ("12.5 ft", "ft in/16", 0, "12 ft 6 in (international foot)"),
        ("12 ft 1/4 in", "ft in/16", 0, "12 ft 1/4 in (international foot)"),
        ("51.5 ft", "rd ft", 1, "3 rd 2.0 ft (international foot)"),
        ("49.5 ft", "perches", 0, "3 rd (international foot)"),
        ("10 ch2", "acres", 1, "1.0 ac (international foot)"),
        ("1 usac", "m2", 9, "4046.872609874 m2"),
        ("3937 ft", "us survey feet", 2, "3936.99 ft (US survey foot)"),
        # Rounded up to a whole of the larger unit: carried, through all of them.
        ("12 ch 99.996 lk", "ch lk", 2, "13 ch 0.00 lk (international foot)"),
        ("11.9999 ft", "ft in/16", 0, "12 ft 0 in (international foot)"),
        ("5279.99999 ft", "mi ch lk", 2, "1 mi 0 ch 0.00 lk (international foot)"),
        ("16.49 ft", "rd ft", 0, "0 rd 16 ft (international foot)"),
        ("16.49 ft", "rd ft", 1, "1 rd 0.0 ft (international foot)"),
        # A half goes to the even digit, judged on the exact value.
        ("0.125 ft", "ft", 2, "0.12 ft (international foot)"),
        ("0.375 ft", "ft", 2, "0.38 ft (international foot)"),
        ("0.125000001 ft", "ft", 2, "0.13 ft (international foot)"),
        ("3/32 in", "in/16", 0, "1/8 in (international foot)"),
        ("1/32 in", "in/16", 0, "0 in (international foot)"),
        # The sign stands before all of it, and not before nothing.
        ("-821.7 ft", "ch lk", 2, "-12 ch 45.00 lk (international foot)"),
        ("-0.001 ft", "ft", 2, "0.00 ft (international foot)"),
        ("-0.001 ft", "ft", 3, "-0.001 ft (international foot)"),
        ("-3/32 in", "ft in/16", 0, "-0 ft 1/8 in (international foot)"),
    ],
)
def test_printing(text: str, form: str, decimals: int, shown: str) -> None:
    """In the units asked for, rounded once, with the foot named."""
    assert show(parse_measure(text), parse_form(form), decimals) == shown


@pytest.mark.parametrize(
    ("form", "message"),
    [
        ("", "'' is no unit"),
        ("lk ch", "chain after link: the larger unit comes first"),
        ("ft m", "foot and meter are not made of the same foot"),
        ("ft in/0", "'0' is no number of parts"),
        ("ft in/x", "'x' is no number of parts"),
        ("ft in/1001", "'1001' is no number of parts"),
        ("ft ni", "'ni' is no unit"),
        ("us survey foots", "'us survey foots' is no unit of length or area; is us survey foot"),
        ("ac", "acre is a unit of area, not of length"),
    ],
)
def test_forms_that_cannot_be_printed(form: str, message: str) -> None:
    """The error names the unit and what is wrong with it."""
    with pytest.raises(ConfigError) as error:
        show(parse_measure("12 ft"), parse_form(form))
    assert message in str(error.value)


def units(dimension: Dimension) -> st.SearchStrategy[Unit]:
    """Draw any unit of this dimension, on either foot."""
    all_units = {unit for table in UNITS.values() for unit in table.values()}
    found = sorted(
        (unit for unit in all_units if unit.dimension is dimension),
        key=lambda unit: (unit.name, unit.foot or ""),
    )
    return st.sampled_from(found)


@given(st.sampled_from(Dimension).flatmap(units), st.integers(-(10**9), 10**9), st.integers(0, 6))
def test_what_is_printed_is_read_again(unit: Unit, scaled: int, decimals: int) -> None:
    """Any value that fits the decimals comes back exactly, with its foot; any unit."""
    kind = Length if unit.dimension is Dimension.LENGTH else Area
    measure = kind(Fraction(scaled, 10**decimals) * unit.size, unit.foot)
    foot = unit.foot or INTERNATIONAL
    text = show(measure, parse_form(unit.symbol, foot), decimals)
    assert parse_measure(text) == parse_measure(text, US_SURVEY) == measure


@given(
    st.sampled_from(["ch lk", "mi ch lk", "ft in", "rd ft in", "mi fur ch rd lk", "yd ft in"]),
    st.sampled_from(Foot),
    st.integers(-(10**9), 10**9),
    st.sampled_from([1, 16, 64]) | st.sampled_from(["0", "1", "4"]),
)
def test_mixed_values_are_read_again(
    form: str, foot: Foot, scaled: int, precision: int | str
) -> None:
    """Mixed units too, in decimals or fractions of the last, with no unit ever in excess."""
    steps = f"/{precision}" if isinstance(precision, int) and precision > 1 else ""
    decimals = int(precision) if isinstance(precision, str) else 0
    wanted = parse_form(form + steps, foot)
    last = wanted.units[-1]
    step = Fraction(1, wanted.steps or 10**decimals)
    measure = Length(scaled * step * last.size, foot)
    assert parse_measure(show(measure, wanted, decimals)) == measure


@given(st.fractions(-(10**6), 10**6), st.integers(0, 8))
def test_rounding_is_to_the_nearest(value: Fraction, decimals: int) -> None:
    """Never off by more than half of the last digit, and the digits are those asked for."""
    text = rounded(value, decimals)
    assert abs(Fraction(text) - value) <= Fraction(1, 2 * 10**decimals)
    assert len(text.partition(".")[2]) == decimals


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (Fraction(3, 20), "0.15"),
        (Fraction(1, 25), "0.04"),
        (Fraction(7, 1), "7"),
        (Fraction(1, 6), "1/6"),
        (Fraction(1, 1250), "0.0008"),
    ],
)
def test_a_decimal_that_ends_is_written_as_one(value: Fraction, written: str) -> None:
    """With no digit more than it needs."""
    assert written_out(value) == written


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("12 ch 45 lk", "12 ch 45.00 lk (international foot)"),
        ("3 ft 7 1/2 in", "3 ft 7.50 in (international foot)"),
    ],
)
def test_form_of_a_value_is_its_units(text: str, shown: str) -> None:
    """So what is set beside a record is printed as the record is written, to two decimals."""
    form = form_of(text, Foot.INTERNATIONAL)
    assert show(parse_length(text, Foot.INTERNATIONAL), form) == shown


@given(st.fractions())
def test_exact_values_are_exact(value: Fraction) -> None:
    """Written out as a decimal or a fraction, it is the same value."""
    assert Fraction(written_out(value)) == value


@given(st.text(alphabet="0123456789 .,/-'\"²½chlkftinm+()", max_size=20) | st.text())
def test_any_text_is_read_or_refused(text: str) -> None:
    """Whatever is written is a measure or the one declared error, never another."""
    try:
        found = parse_measure(text)
    except ConfigError:
        return
    assert isinstance(found, Length | Area)
