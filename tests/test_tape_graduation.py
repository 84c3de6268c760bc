"""The four graduation styles: calls in hundredths to the length read."""

from __future__ import annotations

import pytest

from calllog.tape import PARTED, length_read, reading_limit
from calllog.values import Style
from tests.tapes import certificate

FULL_TAPE = 100_00


@pytest.mark.parametrize(
    ("style", "whole", "fraction", "length"),
    [
        # US Navy NAVEDTRA 14069 (Engineering Aid 3), p. 12-9: read.
        (Style.ADD, 34_00, 82, 34_82),
        # The same distance on a cut tape: derived from it, not printed.
        (Style.CUT, 35_00, 18, 34_82),
        # Mahun, "Distances", E. Taping, fig. E-4 and E-5: read.
        (Style.CUT, 63_00, 76, 62_24),
        (Style.ADD, 62_00, 24, 62_24),
        # Blunders implied by those figures (derived): cut taken as add, add taken as cut.
        (Style.ADD, 63_00, 76, 63_76),
        (Style.CUT, 62_00, 24, 61_76),
    ],
)
def test_published_readings(style: Style, whole: int, fraction: int, length: int) -> None:
    """Printed readings of add and cut tapes give the printed length, blunders the known error."""
    assert length_read(style, whole=whole, fraction=fraction, reading=None, hold=0) == length


def test_every_length_comes_back_from_every_style() -> None:
    """What each style shows for a length, reduced again, is that length: all of 0 to 100 ft."""
    for length in range(FULL_TAPE + 1):
        below, above = length // 100 * 100, -(-length // 100) * 100
        add = length_read(Style.ADD, whole=below, fraction=length - below, reading=None, hold=0)
        cut = length_read(Style.CUT, whole=above, fraction=above - length, reading=None, hold=0)
        full = length_read(Style.FULL, whole=None, fraction=None, reading=length, hold=0)
        inset = length_read(Style.INSET, whole=None, fraction=None, reading=length + 100, hold=100)
        assert (add, cut, full, inset) == (length,) * 4


def test_held_mark_counts_only_where_one_is_held() -> None:
    """A held mark shortens full and inset readings, and cannot disturb add and cut tapes."""
    for style in (Style.FULL, Style.INSET):
        assert length_read(style, whole=None, fraction=None, reading=16_42, hold=100) == 15_42
    assert length_read(Style.ADD, whole=15_00, fraction=42, reading=None, hold=100) == 15_42
    assert length_read(Style.CUT, whole=16_00, fraction=58, reading=None, hold=100) == 15_42


def test_calls_that_cannot_go_together_give_a_negative_length() -> None:
    """Zero held on a cut tape is no crash: the caller sees the negative length and judges it."""
    assert length_read(Style.CUT, whole=0, fraction=58, reading=None, hold=0) == -58


@pytest.mark.parametrize("style", list(Style))
@pytest.mark.parametrize("whole", [None, 15_00])
@pytest.mark.parametrize("fraction", [None, 42])
@pytest.mark.parametrize("reading", [None, 15_42])
def test_each_style_takes_its_own_parts_only(
    style: Style, whole: int | None, fraction: int | None, reading: int | None
) -> None:
    """Both parts make a length on every tape, one reading where one end reads; nothing else."""
    called = {
        name
        for name, part in (("whole", whole), ("fraction", fraction), ("reading", reading))
        if part is not None
    }
    if called == {"whole", "fraction"} or (called == {"reading"} and style not in PARTED):
        expected = 14_58 if style is Style.CUT else 15_42
        assert (
            length_read(style, whole=whole, fraction=fraction, reading=reading, hold=0) == expected
        )
    else:
        with pytest.raises(ValueError, match=f"the {style} style is not read by whole={whole}, "):
            length_read(style, whole=whole, fraction=fraction, reading=reading, hold=0)


@pytest.mark.parametrize("style", [Style.FULL, Style.INSET])
@pytest.mark.parametrize("hold", [0, 100])
def test_a_reading_called_in_two_parts_is_the_same_reading(style: Style, hold: int) -> None:
    """Fifteen, then forty-two, is 15.42 on a tape read at one end: all of 0 to 100.99 ft."""
    for reading in range(101_00):
        whole, fraction = reading // 100 * 100, reading % 100
        assert length_read(
            style, whole=whole, fraction=fraction, reading=None, hold=hold
        ) == length_read(style, whole=None, fraction=None, reading=reading, hold=hold)


@pytest.mark.parametrize(
    ("style", "limit"),
    [(Style.ADD, 100_99), (Style.CUT, 100_00), (Style.FULL, 100_00), (Style.INSET, 100_00)],
)
def test_add_tape_reaches_one_foot_further(style: Style, limit: int) -> None:
    """An add tape is 101 ft long (NAVEDTRA 14069, p. 12-9: read); a cut tape 100 ft."""
    assert reading_limit(certificate(style=style)) == limit
