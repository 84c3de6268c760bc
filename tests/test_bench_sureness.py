"""How sure a listener is, set beside how often it is right."""

from __future__ import annotations

import random

import pytest

from calllog.recognise import Heard
from calllog.values import Alternative, Kind, Outcome
from tests.bench.bench_people import how_sure, told
from tests.bench.bench_recognition import Answer, Said, error_of_taken, told_of_taken
from tests.bench.sureness import (
    Told,
    by_told,
    calibration_error,
    error_if_true,
    error_interval,
    sureness,
)

SAID = Said("four two", Kind.FRACTION, 42)


def drawn(count: int, said: float, share: float) -> list[Told]:
    """Draw so many things heard that are right as often as a share says."""
    rng = random.Random(f"{count} {said} {share}")  # noqa: S311 - no secret
    return [(said, rng.random() < share) for _ in range(count)]


def heard(*alternatives: tuple[str, Kind, int | None, float], taken: bool = True) -> Heard:
    """Give what was made of an utterance, its likeliest alternative first."""
    listed = tuple(
        Alternative(text=t, kind=k, value=v, probability=p) for t, k, v, p in alternatives
    )
    best = listed[0]
    return Heard(
        text=best.text,
        kind=best.kind,
        value=best.value,
        probability=best.probability,
        outcome=Outcome.CALL if taken else Outcome.ASK,
        reason=None,
        alternatives=listed,
    )


def test_error_is_what_each_bin_is_off() -> None:
    """Worked out by hand: 0.2 and 0.05 off in bins of two and three; 1 belongs to the last one."""
    found = [(0.71, True), (0.69, False), (0.9, True), (0.95, True), (1.0, True)]
    assert calibration_error(found[2:]) == pytest.approx(0.05)
    assert calibration_error([(0.7, True), (0.7, False), *found[2:]]) == pytest.approx(
        (2 * 0.2 + 3 * 0.05) / 5
    )
    assert calibration_error(found[:2]) == pytest.approx((0.29 + 0.69) / 2)
    assert calibration_error([]) == 0.0


def test_error_of_one_that_tells_the_truth_is_that_of_chance() -> None:
    """Within what such a one stays below; one that is too sure is far above, by its interval."""
    honest, boasting = drawn(400, 0.9, 0.9), drawn(400, 0.99, 0.85)
    assert calibration_error(honest) < error_if_true(honest) < 0.05
    assert error_interval(boasting)[0] > error_if_true(boasting)
    low, high = error_interval(boasting)
    assert 0.09 < low < calibration_error(boasting) < high < 0.19
    few = error_interval(boasting[:40])
    assert few[1] - few[0] > 2 * (high - low)


def test_what_is_told_counts_by_the_calls_alone() -> None:
    """The same calls in another order give the same error; drawn anew, the same interval."""
    found = drawn(50, 0.8, 0.7) + drawn(50, 0.99, 0.9)
    assert sureness(found) == sureness(list(found))
    assert calibration_error(found) == pytest.approx(calibration_error(found[::-1]))
    assert sureness([]) == {"n": 0}


def test_rows_say_what_was_told_and_what_was_right() -> None:
    """A row for each bin that holds anything; each thing in one of them."""
    found = by_told([(0.3, False), (0.9, True), (0.94, False), (0.95, True), (1.0, True)])
    assert found == {
        "told 0 to 0.5": {"n": 1, "told %": 30.0, "right %": 0.0},
        "told 0.9 to 0.95": {"n": 2, "told %": 92.0, "right %": 50.0},
        "told 0.95 to 0.99": {"n": 1, "told %": 95.0, "right %": 100.0},
        "told 0.99 to 1": {"n": 1, "told %": 100.0, "right %": 100.0},
    }


def test_likeliest_call_counts_whatever_became_of_it() -> None:
    """Asked, or behind "no call" and talk; in two utterances it is none of them."""
    no_call = ("", Kind.CHATTER, None, 0.6)
    right, other = ("four two", Kind.FRACTION, 42, 0.3), ("four three", Kind.FRACTION, 43, 0.9)
    whole = ("forty two", Kind.WHOLE, 4200, 0.8)
    answers = [
        Answer(SAID, (heard(no_call, right, taken=False),)),
        Answer(SAID, (heard(other),)),
        Answer(SAID, (heard(whole, taken=False),)),
        Answer(SAID, (heard(right), heard(right))),
        Answer(SAID, (heard(no_call, taken=False),)),
        Answer(SAID, ()),
    ]
    assert told(answers) == [(0.3, True), (0.9, False), (0.8, False), (0.3, False), (0.3, False)]
    assert told_of_taken(answers) == [(0.9, False), (0.3, False), (0.3, False)]
    assert error_of_taken(answers) == 0.5


def test_tables_have_each_person_each_noise_and_all() -> None:
    """Calls add up over people and noises."""
    sure = Answer(SAID, (heard(("four two", Kind.FRACTION, 42, 0.9)),))
    asked = Answer(SAID, (heard(("four two", Kind.FRACTION, 42, 0.5), taken=False),))
    found = how_sure(
        {("clean", "a"): [sure, asked], ("clean", "b"): [sure], ("rain 5", "a"): [sure]}
    )
    counts = {
        title: {row: figures["n"] for row, figures in table.items()}
        for title, table in found.items()
        if title.startswith("how sure")
    }
    rows = {
        "clean, a": 2,
        "clean, all": 3,
        "any noise, a": 3,
        "any noise, all": 4,
        "clean, b": 1,
        "any noise, b": 1,
        "rain 5, a": 1,
        "rain 5, all": 1,
    }
    assert counts["how sure of calls heard"] == rows
    assert counts["how sure of calls taken"] == rows | {
        "clean, a": 1,
        "clean, all": 2,
        "any noise, a": 2,
        "any noise, all": 3,
    }
    listed = found["how often right, by what is told of calls heard"]
    assert listed["a, told 0.5 to 0.7"]["n"] == listed["b, told 0.9 to 0.95"]["n"] == 1
    assert listed["all, told 0.9 to 0.95"] == {"n": 3, "told %": 90.0, "right %": 100.0}
