"""Differences between two reductions of the same segments."""

from __future__ import annotations

import pytest

from calllog.lines import build_corrected, changes
from tests.tapes import certificate
from tests.test_lines_totals import STANDARD, segment


def test_a_longer_tape_lengthens_every_pull_and_its_line() -> None:
    """500.00 ft read with a tape of 100.02 ft are 500.10: slides "Taping Corrections" (read)."""
    given = [*(segment(n, 100_00) for n in range(1, 6)), segment(6, 50_00, "B:C")]
    given.append(segment(7, 50_00, "B:C"))
    runs = [1] * 6 + [2]
    before = build_corrected(given, {"T-1": certificate(certified_length_ft=100.0)}, runs)
    after = build_corrected(given, {"T-1": certificate(certified_length_ft=100.02)}, runs)
    pulls, (line, other, again) = changes(before, after)
    assert [change.pull for change in pulls] == [1, 2, 3, 4, 5, 6, 7]
    assert [change.difference_ft for change in pulls] == pytest.approx([0.02] * 5 + [0.01] * 2)
    assert (line.line_from, line.line_to, line.pull) == ("A", "B", None)
    assert line.old_ft == pytest.approx(500.00)
    assert line.new_ft == pytest.approx(500.10)
    assert line.difference_ft == pytest.approx(0.10)
    assert other.difference_ft == again.difference_ft == pytest.approx(0.01)
    assert (other.run, again.run, pulls[-1].run) == (1, 2, 2)


def test_a_pull_that_cannot_be_corrected_by_one_of_them_is_marked() -> None:
    """A tape too heavy to hang leaves its pull as read; the change says by which certificate."""
    # Statics: 1 lb/ft over 50 ft bears 25 lb on each end, more than 20 lb; 0.0128 lb/ft hangs.
    hung = STANDARD.model_copy(update={"spans": 1, "tension_lb": 20.0})
    given = [segment(1, 50_00, conditions=hung), segment(2, 50_00)]
    heavy = build_corrected(given, {"T-1": certificate(weight_lb_per_ft=1.0)})
    light = build_corrected(given, {"T-1": certificate()})
    (first, second), (line,) = changes(heavy, light)
    assert (first.old_uncorrected, first.new_uncorrected) == ((1,), ())
    assert (second.old_uncorrected, second.new_uncorrected) == ((), ())
    assert (line.old_uncorrected, line.new_uncorrected) == ((1,), ())
    assert first.old_ft == 50.0


def test_other_pulls_are_not_compared() -> None:
    """Two reductions are of the same pulls in the same order; none give none."""
    tapes = {"T-1": certificate()}
    first, second = build_corrected([segment(1, 1), segment(2, 1)], tapes)
    with pytest.raises(ValueError, match="same pulls"):
        changes([first, second], [second, first])
    with pytest.raises(ValueError, match="same pulls"):
        changes([first], [first, second])
    assert changes([], []) == ((), ())
