"""The units against printed values, with the source beside each."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from calllog.errors import ConfigError
from calllog.units import Foot, Length, find_unit, rounded
from calllog.units.table import UNITS, Dimension

INTERNATIONAL, US_SURVEY = Foot


def printed(value: Fraction, digits: str) -> None:
    """Compare with a printed value, to all of its digits."""
    exponent = Decimal(digits).as_tuple().exponent
    assert isinstance(exponent, int)
    assert rounded(value, -exponent) == digits


# NIST, "U.S. Survey Foot: Revised Unit Conversion Factors": read. International values are exact,
# survey values are printed rounded.
@pytest.mark.parametrize(
    ("unit", "international", "us_survey"),
    [
        ("foot", "0.3048", "0.304800609601"),
        ("fathom", "1.8288", "1.828803658"),
        ("cable's length", "219.456", "219.456438913"),
        ("chain", "20.1168", "20.116840234"),
        ("furlong", "201.168", "201.168402337"),
        ("league", "4828.032", "4828.041656083"),
        ("link", "0.201168", "0.201168402"),
        ("mile", "1609.344", "1609.347218694"),
        ("rod", "5.0292", "5.029210058"),
        ("pole", "5.0292", "5.029210058"),
        ("perch", "5.0292", "5.029210058"),
        ("acre", "4046.8564224", "4046.872609874"),
        ("square mile", "2589988.110336", "2589998.470319521"),
    ],
)
def test_nist_factors(unit: str, international: str, us_survey: str) -> None:
    """Every printed digit, for both feet; the international ones to the last."""
    assert find_unit(unit, INTERNATIONAL).size == Fraction(international)
    printed(find_unit(unit, US_SURVEY).size, us_survey)


def test_nist_acre_foot() -> None:
    """The same table's acre-foot: an acre times a foot. There is no unit of volume here."""
    volume = {foot: find_unit("ac", foot).size * find_unit("ft", foot).size for foot in Foot}
    assert volume[INTERNATIONAL] == Fraction("1233.48183754752")
    printed(volume[US_SURVEY], "1233.489238468149")


@pytest.mark.parametrize("foot", list(Foot))
@pytest.mark.parametrize(
    ("count", "smaller", "larger"),
    [
        # The definitions of the NIST table: read.
        ("720", "ft", "cable"),
        ("66", "ft", "ch"),
        ("4", "rd", "ch"),
        ("100", "lk", "ch"),
        ("660", "ft", "fur"),
        ("10", "ch", "fur"),
        ("15840", "ft", "league"),
        ("3", "mi", "league"),
        ("0.66", "ft", "lk"),
        ("5280", "ft", "mi"),
        ("8", "fur", "mi"),
        ("80", "ch", "mi"),
        ("320", "rd", "mi"),
        ("16.5", "ft", "rd"),
        ("43560", "ft2", "ac"),
        ("10", "ch2", "ac"),
        ("160", "rd2", "ac"),
        ("640", "ac", "mi2"),
        ("6", "ft", "fathom"),
        # BLM, Manual of Surveying Instructions (1973), sec. 2-1: read.
        ("25", "lk", "pole"),
        # The Texas vara, https://www.sizes.com/units/vara_texas.htm: read.
        ("100/36", "ft", "txvara"),
        ("300/108", "ft", "txvara"),
        ("100/3", "in", "txvara"),
        # A chain of 10 varas of 27 ft 10 in, the same page: read.
        ("33.4", "in", "ingramvara"),
        # Square varas to the acre, rootsweb.ancestry.com/~txfortbe/docs/sowell_pg22.htm: read.
        ("5645.376", "sq texas varas", "ac"),
        ("1000000", "sq texas varas", "labor"),
        ("25000000", "sq texas varas", "texas league"),
        # From memory.
        ("12", "in", "ft"),
        ("3", "ft", "yd"),
        ("4", "rood", "ac"),
    ],
)
def test_ratios_are_exact(foot: Foot, count: str, smaller: str, larger: str) -> None:
    """What is a whole by definition is exactly that, on either foot."""
    assert Fraction(count) * find_unit(smaller, foot).size == find_unit(larger, foot).size


# Labor, league and 5000 varas: http://lifeonthebrazosriver.com/Measurements.htm: read. Hectare and
# mile: Hicks, Civil Engineering Formulas, ch. 7: read.
@pytest.mark.parametrize(
    ("unit", "other", "digits"),
    [
        ("labor", "ac", "177.1"),
        ("texas league", "ac", "4428.4"),
        ("ha", "ift2", "107639.10"),
        ("ha", "ac", "2.471"),
        ("usmi", "m", "1609.35"),
    ],
)
def test_other_printed_values(unit: str, other: str, digits: str) -> None:
    """The printed value, to its digits."""
    printed(find_unit(unit).size / find_unit(other).size, digits)


def test_five_thousand_varas() -> None:
    """2.6 miles, as printed on the page of the labor."""
    printed(5000 * find_unit("txvara").size / find_unit("mi").size, "2.6")


def test_the_two_feet() -> None:
    """The survey foot is longer by 2 ppm: 0.01 ft in 5000 ft; worked from the definitions."""
    ratio = INTERNATIONAL.metres / US_SURVEY.metres
    assert ratio == Fraction("0.999998")
    assert 5000 - 5000 * ratio == Fraction("0.01")


# NIST Special Publication 811, Appendix B, survey values: from memory.
@pytest.mark.parametrize(("unit", "digits"), [("ch", "20.11684"), ("rd", "5.029210")])
def test_sp_811(unit: str, digits: str) -> None:
    """The seven digits of the guide."""
    printed(find_unit(unit, US_SURVEY).size, digits)


# Unsound published values, with what is right: a unit list misprints the first four (Hicks), and
# the last is a dictionary's.
@pytest.mark.parametrize(
    ("count", "unit", "other", "misprint", "right"),
    [
        (1, "ch", "m", "20.11", "20.1168"),
        (1, "rood", "m2", "1011.5", "1011.71"),
        (4, "rood", "ac", "3", "1"),
        (1, "sq mi", "ha", "258.94", "258.999"),
        (Fraction("1853.248"), "m", "ift", "6080.27", "6080.21"),
        (100, "txvara", "ft", "277.75", "277.78"),
    ],
)
def test_misprints_do_not_come_out(
    count: Fraction | int, unit: str, other: str, misprint: str, right: str
) -> None:
    """The right value to its digits, and not the misprint to any."""
    value = count * find_unit(unit).size / find_unit(other).size
    printed(value, right)
    assert rounded(value, len(misprint.partition(".")[2])) != misprint


@pytest.mark.parametrize("foot", list(Foot))
@pytest.mark.parametrize(
    ("name", "same"),
    [
        ("usft", "US survey feet"),
        ("usft", "U.S. survey foot"),
        ("ift", "international feet"),
        ("usft2", "sq. US survey ft"),
        ("usft2", "US survey square feet"),
        ("usch", "us survey chains"),
        ("iac", "International Acres"),
        ("ustxvara", "us survey texas varas"),
    ],
)
def test_named_foot_beats_the_foot_in_use(foot: Foot, name: str, same: str) -> None:
    """A unit that names its foot is made of it, whichever is in use."""
    expected = US_SURVEY if name.startswith("us") else INTERNATIONAL
    assert find_unit(name, foot) == find_unit(same, foot)
    assert find_unit(name, foot).foot is expected


def test_foot_in_use_makes_the_others() -> None:
    """Every unit but the metric ones is made of the foot in use, unless it names its own."""
    for foot in Foot:
        for name in ("ft", "'", '"', "in", "yd", "lk", "rd", "ch", "mi", "ac", "labor", "txvara"):
            assert find_unit(name, foot).foot is foot
        assert find_unit("ha", foot).foot is find_unit("m", foot).foot is None


def test_no_name_means_two_units() -> None:
    """Symbols and names are those of one unit each, and every unit has a source."""
    for foot, units in UNITS.items():
        for name, unit in units.items():
            assert find_unit(name, foot) is unit
            assert unit.source
            assert unit.size > 0
            if unit.foot in (foot, None):
                assert find_unit(unit.symbol, foot) == find_unit(unit.name, foot) == unit
    lengths = {unit.symbol for unit in UNITS[US_SURVEY].values() if unit.dimension == "length"}
    areas = {unit.symbol for unit in UNITS[US_SURVEY].values() if unit.dimension is Dimension.AREA}
    assert not lengths & areas


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("chians", "'box': 'chians' is no unit of length or area; is chains meant?"),
        ("usfoot", "'usfoot' is no unit of length or area; is usft meant?"),
        ("qq", "say one such as ft, usft, ch, lk, rd, m, ac"),
        ("vara", "'vara' may be several units; say Texas, California, San Francisco,"),
    ],
)
def test_unknown_units_are_refused(name: str, message: str) -> None:
    """With a near one where there is one; a vara without its kind is asked about."""
    with pytest.raises(ConfigError) as error:
        find_unit(name, where="'box'")
    assert message in str(error.value)


def test_count_refuses_another_dimension() -> None:
    """A length is no number of acres."""
    with pytest.raises(ConfigError, match="acre is a unit of area, not of length"):
        Length(Fraction(1), None).count(find_unit("ac"))
