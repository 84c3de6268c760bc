"""Segments of several jobs as one log: runs and totals go through, nothing is guessed."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.errors import ConfigError
from calllog.lines import ACCEPTED, JobPart, Unfinished, WantedSegments, merge_parts
from calllog.values import Booking, CorrectedSegment
from tests.golden.make_segments import SEGMENTS

LINE = ("A", "B")


def pull(number: int, length_ft: float, run: int = 1, **more: object) -> CorrectedSegment:
    """Make a segment of line A:B."""
    names: dict[str, object] = {"line_from": "A", "line_to": "B", "pull": number, **more}
    segment = SEGMENTS[0].segment.model_copy(update=names)
    changes = {"segment": segment, "horizontal_ft": length_ft, "run": run, "day": "2031-05-04"}
    return SEGMENTS[0].model_copy(update=changes)


def test_a_finished_line_is_another_run() -> None:
    """What was finished in one job is run again in the next; totals begin anew."""
    merged = merge_parts(
        [
            JobPart("one", (pull(1, 10.0), pull(2, 20.0)), {LINE: 1}),
            JobPart("two", (pull(1, 5.0),), {}),
        ]
    )
    (first, second), (third,) = merged.corrected
    assert [each.run for each in (first, second, third)] == [1, 1, 2]
    assert [each.running_total_ft for each in (first, second, third)] == [10.0, 30.0, 5.0]
    assert third.segment.pull == 1
    (join,) = merged.joins
    assert (join.before, join.after, join.goes_on) == ("one", "two", False)


def test_an_unfinished_line_is_asked_about() -> None:
    """Nothing tells whether it goes on or was begun again: it is refused until it is said."""
    parts = [JobPart("one", (pull(1, 10.0),), {}), JobPart("two", (pull(1, 5.0),), {})]
    with pytest.raises(ConfigError, match="A:B was not finished in one, and two takes it up"):
        merge_parts(parts)
    (_, (on,)) = merge_parts(parts, Unfinished.GOES_ON).corrected
    assert (on.run, on.running_total_ft) == (1, 15.0)
    (_, (again,)) = merge_parts(parts, Unfinished.AGAIN).corrected
    assert (again.run, again.running_total_ft) == (2, 5.0)


def test_runs_are_counted_through_three_jobs() -> None:
    """A run left open, ended and run twice more keeps each run apart."""
    merged = merge_parts(
        [
            JobPart("one", (pull(1, 1.0),), {}),
            JobPart("two", (pull(1, 2.0), pull(2, 4.0, run=2)), {LINE: 2}),
            JobPart("three", (pull(1, 8.0),), {}),
        ],
        Unfinished.GOES_ON,
    )
    runs = [[each.run for each in rows] for rows in merged.corrected]
    assert runs == [[1], [1, 2], [3]]
    totals = [[each.running_total_ft for each in rows] for rows in merged.corrected]
    assert totals == [[1.0], [3.0, 4.0], [8.0]]
    assert [shift[LINE] for shift in merged.shifts] == [0, 0, 2]
    assert [join.goes_on for join in merged.joins] == [True, False]


@given(
    st.lists(
        st.tuples(
            st.lists(st.tuples(st.sampled_from("XY"), st.floats(0, 100)), max_size=5),
            st.booleans(),
        ),
        max_size=4,
    ),
    st.sampled_from(Unfinished),
)
def test_no_length_is_lost_or_counted_twice(
    jobs: list[tuple[list[tuple[str, float]], bool]], unfinished: Unfinished
) -> None:
    """The last totals of all runs add up to all lengths; order and pull numbers stay."""
    parts = [
        JobPart(
            str(number),
            tuple(pull(at, length, line_to=to) for at, (to, length) in enumerate(rows, start=1)),
            {("A", "X"): int(is_finished), ("A", "Y"): int(is_finished)},
        )
        for number, (rows, is_finished) in enumerate(jobs)
    ]
    merged = merge_parts(parts, unfinished)
    last: dict[tuple[str, int], float] = {}
    for part, rows in zip(parts, merged.corrected, strict=True):
        assert [each.segment for each in rows] == [each.segment for each in part.corrected]
        for each in rows:
            last[each.segment.line_to, each.run] = each.running_total_ft
    lengths = [length for rows, _ in jobs for _, length in rows]
    assert math.isclose(math.fsum(last.values()), math.fsum(lengths), abs_tol=1e-9)
    for to in "XY":
        runs = sorted(run for name, run in last if name == to)
        assert runs == list(range(1, len(runs) + 1))


def test_each_choice_takes_what_it_names() -> None:
    """Tape, booking and both days, alone and together; nothing asked takes all."""
    one = pull(1, 10.0, tape="T-2", booking=Booking.CHECK)
    assert WantedSegments().takes(one)
    assert WantedSegments(tapes=("T-1", "T-2"), bookings=tuple(ACCEPTED)).takes(one)
    assert not WantedSegments(tapes=("T-1",)).takes(one)
    assert not WantedSegments(bookings=(Booking.AGREED,)).takes(one)
    assert not WantedSegments(bookings=tuple(ACCEPTED)).takes(
        pull(1, 1.0, booking=Booking.UNCHECKED)
    )
    assert WantedSegments(first_day="2031-05-04", last_day="2031-05-04").takes(one)
    assert not WantedSegments(first_day="2031-05-05").takes(one)
    assert not WantedSegments(last_day="2031-05-03").takes(one)
    undated = one.model_copy(update={"day": ""})
    assert not WantedSegments(first_day="2031-05-04").takes(undated)
    assert not WantedSegments(last_day="2031-05-04").takes(undated)
    assert WantedSegments(lines=(LINE,)).takes_line(LINE)
    assert not WantedSegments(lines=(LINE,)).takes_line(("B", "A"))
