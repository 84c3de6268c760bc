"""The joint decoding: evidence, posterior against brute force, blunders, decisions."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from calllog.decoding import (
    Action,
    Calibration,
    CalledPart,
    Doubt,
    Part,
    Posterior,
    Space,
    Vector,
    Weighed,
    costs_of,
    decide,
    decode,
    likelihood,
    repeatability,
    space,
    utterance,
)
from calllog.decoding.arithmetic import AS_BUILT, EXACT, Arithmetic
from calllog.decoding.blunders import SAME, UNRELATED, UNRELATED_WEIGHT, pairs
from calllog.decoding.decision import COSTS, MOST_ASKED
from calllog.decoding.edition import edition_of_new_line, is_fitted
from calllog.decoding.evidence import KEYED_WRONG, NEWEST
from calllog.decoding.posterior import SAME_WEIGHT
from calllog.decoding.repeatability import LEAST, MOST, REACH, spread
from calllog.values import (
    Alternative,
    Call,
    CheckPolicy,
    Expectation,
    Kind,
    Outcome,
    ReadingUnit,
    Role,
    Style,
)
from tests.crew import settings
from tests.effort import most_bytes

PLAIN = Calibration(1.0, 0.02)
SMALL = settings(nominal=3, limit=399)
DEVIATION = 0.6


def call(kind: Kind, value: int, *listed: tuple[Kind, int | None, float], **more: object) -> Call:
    """Make a call with its alternatives."""
    one = Call(
        number=1,
        source="paper#1",
        role=Role.REAR,
        expects=Expectation.ANY,
        kind=kind,
        text="",
        value=value,
        name="",
        amount=None,
        probability=1.0,
        alternatives=tuple(
            Alternative(text="", kind=each, value=number, probability=share)
            for each, number, share in listed
        ),
        outcome=Outcome.CALL,
        reason=None,
        start_s=0.0,
        end_s=1.0,
        clip="",
    )
    return one.model_copy(update=more)


def said(part: Part, value: int, sure: float = 0.999) -> CalledPart:
    """Hear one value, nearly surely."""
    return CalledPart(1, part, ((value, sure),), 1.0 - sure)


def heard(where: Space, feet: int, hundredths: int, sure: float = 0.999) -> Vector:
    """Hear both parts of an observation."""
    return likelihood(where, [said(Part.WHOLE, feet, sure), said(Part.FRACTION, hundredths, sure)])


def test_alternatives_become_probabilities_with_a_floor() -> None:
    """Listed values keep their shares, "no call" and the floor go to all that is not listed."""
    found = utterance(
        call(Kind.WHOLE, 1500, (Kind.WHOLE, 1500, 0.6), (Kind.WHOLE, 5000, 0.3)),
        Part.WHOLE,
        PLAIN,
    )
    assert dict(found.likely) == pytest.approx({15: 0.588, 50: 0.294})
    assert found.rest == pytest.approx(0.02 + 0.098)
    assert (found.best, found.part) == (15, Part.WHOLE)


def test_temperature_flattens_what_is_too_sure() -> None:
    """A temperature of 2 takes square roots."""
    listed = call(Kind.FRACTION, 42, (Kind.FRACTION, 42, 0.8), (Kind.FRACTION, 40, 0.2))
    found = dict(utterance(listed, Part.FRACTION, Calibration(2.0, 0.0)).likely)
    assert found[42] / found[40] == pytest.approx(2.0)


def test_a_typed_call_is_certain_but_for_slips_of_the_finger() -> None:
    """The published rate of wrong fields; a call without alternatives counts the same."""
    for one in (call(Kind.WHOLE, 1500, is_keyed=True), call(Kind.WHOLE, 1500)):
        found = utterance(one, Part.WHOLE, PLAIN)
        assert found.likely == ((15, 1.0 - KEYED_WRONG),)
        assert found.rest == KEYED_WRONG


def test_a_bare_number_speaks_for_the_place_it_was_taken_for() -> None:
    """Its alternatives are numbers too; a reading may be asked for one part alone."""
    bare = call(Kind.WHOLE, 1500, (Kind.NUMBER, 15, 0.9), (Kind.NUMBER, 50, 0.1))
    assert [value for value, _ in utterance(bare, Part.WHOLE, PLAIN).likely] == [15, 50]
    reading = call(Kind.READING, 1542, (Kind.READING, 1542, 0.9), (Kind.READING, 1540, 0.1))
    assert [value for value, _ in utterance(reading, Part.FRACTION, PLAIN).likely] == [42, 40]
    ((feet, share),) = utterance(reading, Part.WHOLE, PLAIN).likely
    assert feet == 15
    assert share == pytest.approx(0.98)


def test_a_list_of_other_kinds_only_says_little() -> None:
    """What was taken against its own list has even odds, no more."""
    found = utterance(call(Kind.WHOLE, 1500, (Kind.COMMAND, None, 1.0)), Part.WHOLE, PLAIN)
    assert (found.likely, found.rest) == (((15, 0.5),), 0.5)
    assert (found.call, found.part, found.heard) == (1, Part.WHOLE, ())
    assert utterance(call(Kind.FRACTION, 0), Part.FRACTION, PLAIN).best == 0


def test_a_value_of_another_kind_counts_to_the_rest() -> None:
    """Hundredths speak for no foot, nor does a command; what is impossible is not listed."""
    listed = [
        (Kind.WHOLE, 1500, 0.6),
        (Kind.FRACTION, 42, 0.2),
        (Kind.COMMAND, None, 0.1),
        (Kind.WHOLE, 5000, 0.0),
    ]
    found = utterance(call(Kind.WHOLE, 1500, *listed), Part.WHOLE, Calibration(1.0, 0.0))
    assert dict(found.likely) == pytest.approx({15: 0.6})
    assert found.rest == pytest.approx(0.4)


@pytest.mark.parametrize("arithmetic", [AS_BUILT, EXACT])
def test_what_was_heard_stays_beside_what_it_is_taken_for(arithmetic: Arithmetic) -> None:
    """Calibrated and as heard; two forms of one value are one."""
    listed = [(Kind.FRACTION, 42, 0.5), (Kind.FRACTION, 42, 0.3), (Kind.FRACTION, 40, 0.2)]
    found = utterance(
        call(Kind.FRACTION, 42, *listed), Part.FRACTION, Calibration(2.0, 0.1), arithmetic
    )
    roots = {42: 0.8**0.5, 40: 0.2**0.5}
    assert dict(found.likely) == pytest.approx(
        {value: 0.9 * root / sum(roots.values()) for value, root in roots.items()}
    )
    assert found.rest == pytest.approx(0.1)
    assert dict(found.heard) == pytest.approx({42: 0.8, 40: 0.2})
    assert (found.call, found.part) == (1, Part.FRACTION)


@pytest.mark.parametrize("style", list(Style))
def test_each_length_has_its_calls(style: Style) -> None:
    """Whole foot and hundredths of a length reduce to it again, on every tape."""
    hold = 100 if style is Style.INSET else 0
    where = space(settings(style), hold)
    for length in range(0, where.size, 37):
        feet, hundredths = int(where.feet[length]), int(where.hundredths[length])
        assert where.place(feet, hundredths) == length
        vector = likelihood(where, [said(Part.READING, 100 * feet + hundredths)])
        assert int(np.argmax(vector)) == length
        vector = heard(where, feet, hundredths)
        assert int(np.argmax(vector)) == length
    assert where.place(0, 99) == (99 if style in (Style.ADD, Style.FULL) else None)


def test_the_same_said_twice_is_not_twice_as_sure() -> None:
    """The surest call of a part counts in full, another of it little; other parts in full."""
    where = space(settings(), 0)
    once = likelihood(where, [CalledPart(1, Part.WHOLE, ((15, 0.6), (50, 0.4)), 1e-6)])
    twice = likelihood(where, [CalledPart(1, Part.WHOLE, ((15, 0.6), (50, 0.4)), 1e-6)] * 2)
    assert once[1500] / once[5000] == pytest.approx(1.5)
    assert twice[1500] / twice[5000] == pytest.approx(1.5**1.25)
    with_fraction = heard(where, 15, 42, 0.9)
    assert with_fraction[1542] / with_fraction[1543] == pytest.approx(0.9 / (0.1 / 99))


def test_values_off_the_tape_say_nothing_of_it() -> None:
    """A listed value that this tape does not have leaves all lengths as they were."""
    where = space(SMALL, 0)
    vector = likelihood(where, [CalledPart(1, Part.WHOLE, ((77, 0.9),), 0.1)])
    assert np.all(vector == 1.0)
    assert np.all(likelihood(where, [CalledPart(1, Part.READING, ((7700, 1.0),), 0.0)]) == 1.0)


def brute_force(where: Space, take: Vector, check: Vector) -> Vector:
    """Lay out every pair of a small tape; shape (lengths, lengths)."""
    table = weigh_all(where, take, check)
    table /= table.sum()
    return table


def weigh_all(where: Space, take: Vector, check: Vector) -> Vector:
    """Weigh every pair of a small tape; shape (lengths, lengths)."""
    listed = pairs(where)
    table = np.full((where.size, where.size), UNRELATED_WEIGHT / where.size)
    for at, share in enumerate(spread(DEVIATION)):
        table += SAME_WEIGHT * share * np.eye(where.size, k=at - REACH)
    np.add.at(table, (listed.first, listed.second), listed.weight)
    table *= take[:, None] * check[None, :]
    return table


@pytest.mark.parametrize("arithmetic", [AS_BUILT, EXACT])
@pytest.mark.parametrize("style", list(Style))
def test_posterior_is_that_of_all_pairs(style: Style, arithmetic: Arithmetic) -> None:
    """Marginals, agreement, single pairs and the best pair equal the sum over every pair."""
    rng = np.random.default_rng(3)
    where = space(settings(style, nominal=3, limit=399 if style is Style.ADD else 300), 0)
    take, check = rng.random(where.size) ** 8, rng.random(where.size) ** 8
    table = brute_force(where, take, check)
    found = decode(where, take, check, DEVIATION, arithmetic)
    assert found.check is not None
    np.testing.assert_allclose(found.take, table.sum(axis=1), atol=1e-12)
    np.testing.assert_allclose(found.check, table.sum(axis=0), atol=1e-12)
    lengths = np.arange(where.size)
    apart = np.abs(lengths[:, None] - lengths[None, :])
    for tolerance in (0, 1, REACH, 8):
        assert found.within(tolerance) == pytest.approx(table[apart <= tolerance].sum())
    top = np.unravel_index(np.argmax(table), table.shape)
    assert found.pair(*map(int, top)) == pytest.approx(table[top])
    best = found.best(5)
    assert (best[0].take, best[0].check) == tuple(map(int, top))
    assert [each.probability for each in best] == sorted(
        (each.probability for each in best), reverse=True
    )


def all_ways(where: Space, take: Vector, check: Vector) -> list[tuple[float, str, tuple[int, int]]]:
    """Explain every pair of a small tape in every way, the likeliest way first."""
    listed = pairs(where)
    ways: dict[tuple[str, int, int], float] = {}
    for one in range(where.size):
        for other in range(where.size):
            ways[UNRELATED, one, other] = UNRELATED_WEIGHT / where.size
            if abs(other - one) <= REACH:
                ways[SAME, one, other] = SAME_WEIGHT * spread(DEVIATION)[other - one + REACH]
    for first, second, code, weight in zip(
        listed.first.tolist(), listed.second.tolist(), listed.code, listed.weight, strict=True
    ):
        way = (listed.codes[code], first, second)
        ways[way] = ways.get(way, 0.0) + weight
    total = weigh_all(where, take, check).sum()
    told = [
        (share * take[one] * check[other] / total, code, (one, other))
        for (code, one, other), share in ways.items()
    ]
    return sorted(told, reverse=True)


@pytest.mark.parametrize("apart", [-105, -REACH, -1, 0, 3, REACH, 100])
def test_the_likeliest_explanations_are_those_of_all_pairs(apart: int) -> None:
    """By name, lengths and probability, as far down as somebody could ask."""
    rng = np.random.default_rng(abs(apart))
    where = space(settings(Style.CUT, nominal=3, limit=300), 0)
    take, check = rng.random((2, where.size)) ** 4 * 1e-4
    take[150] = check[150 + apart] = 1.0
    expected = all_ways(where, take, check)[:12]
    found = decode(where, take, check, DEVIATION).best(12)
    assert [(each.code, (each.take, each.check)) for each in found] == [
        (code, lengths) for _, code, lengths in expected
    ]
    assert [each.probability for each in found] == pytest.approx([each[0] for each in expected])


values = st.integers(0, 99)
shares = st.floats(0.05, 0.99)


@examples(max_examples=30, deadline=None)
@given(values, values, values, shares, shares)
def test_posterior_is_whole_and_even_handed(
    one: int, other: int, third: int, sure: float, less: float
) -> None:
    """It sums to one, and take and check may change places."""
    where = space(settings(), 0)
    take, check = heard(where, one, other, sure), heard(where, one, third, less)
    there, back = decode(where, take, check, DEVIATION), decode(where, check, take, DEVIATION)
    assert there.check is not None
    assert there.take.sum() == pytest.approx(1.0)
    assert there.check.sum() == pytest.approx(1.0)
    assert sum(there.codes.values()) == pytest.approx(1.0)
    assert back.check is not None
    np.testing.assert_allclose(there.take, back.check, atol=1e-12)
    assert there.within(1) == pytest.approx(back.within(1))


@examples(max_examples=25, deadline=None)
@given(values, shares, shares)
def test_more_evidence_means_more_probability(value: int, low: float, high: float) -> None:
    """A surer call, and a call said again alike, never make its value less likely."""
    low, high = sorted((low, high))
    where = space(settings(), 0)
    sure = heard(where, 15, 42)

    def right(take: Vector) -> float:
        return float(decode(where, take, sure, DEVIATION).take[1500 + value])

    once = [said(Part.WHOLE, 15), said(Part.FRACTION, value, low)]
    surer = [said(Part.WHOLE, 15), said(Part.FRACTION, value, high)]
    assert right(likelihood(where, surer)) >= right(likelihood(where, once)) - 1e-12
    twice = [*surer, said(Part.FRACTION, value, high)]
    assert right(likelihood(where, twice)) >= right(likelihood(where, surer)) - 1e-12


@pytest.mark.parametrize(
    ("take", "check", "code"),
    [
        ((15, 42), (15, 42), SAME),
        ((15, 42), (15, 43), SAME),
        ((15, 42), (16, 42), "one-foot"),
        ((15, 42), (25, 42), "ten-feet"),
        ((0, 42), (100, 42), "tape-length"),
        ((15, 42), (84, 58), "tape-complement"),
        ((15, 42), (15, 58), "foot-complement"),
        ((15, 42), (14, 58), "foot-complement"),
        ((15, 42), (15, 24), "swapped"),
        ((15, 42), (51, 42), "swapped"),
        ((15, 46), (15, 49), "six-nine"),
        ((60, 42), (90, 42), "six-nine"),
        ((13, 42), (30, 42), "teen-ty"),
        ((15, 18), (15, 80), "teen-ty"),
        ((15, 42), (15, 52), "one-tenth"),
        ((15, 5), (15, 42), "inches"),
        ((15, 42), (71, 77), "differs"),
    ],
)
def test_each_blunder_is_the_likeliest_explanation(
    take: tuple[int, int], check: tuple[int, int], code: str
) -> None:
    """When both were heard surely, the blunder that fits leads (common practice, no source)."""
    where = space(settings(), 0)
    sure = 1.0 - 1e-7
    found = decode(where, heard(where, *take, sure), heard(where, *check, sure), DEVIATION)
    assert max(found.codes, key=found.codes.__getitem__) == code
    if code != SAME:
        assert found.within(1) < 0.5
    (best,) = found.best(1)
    assert (best.take, best.check) == (take[0] * 100 + take[1], check[0] * 100 + check[1])


def twins(where: Space, code: str) -> set[tuple[int, int]]:
    """List the pairs of lengths that a blunder makes, the shorter one first."""
    listed = pairs(where)
    here = listed.code == listed.codes.index(code)
    both = zip(listed.first[here].tolist(), listed.second[here].tolist(), strict=True)
    return {(min(each), max(each)) for each in both}


def by_hand(where: Space, *blunders: dict[int, int], in_feet: bool, in_parts: bool) -> set[Any]:
    """The same worked one length at a time: what is called instead, in the feet or the rest."""
    found = set()
    for length in range(where.size):
        feet, part = int(where.feet[length]), int(where.hundredths[length])
        for instead in blunders:
            called = [(instead.get(feet), part)] * in_feet + [(feet, instead.get(part))] * in_parts
            for whole, rest in called:
                if whole is None or rest is None:
                    continue
                other = where.place(whole, rest)
                if other is None or other == length or whole > where.most_feet:
                    continue
                found.add((min(length, other), max(length, other)))
    return found


TEENS = {13: 30, 14: 40, 15: 50, 16: 60, 17: 70, 18: 80, 19: 90}


@pytest.mark.parametrize("style", [Style.ADD, Style.CUT])
@pytest.mark.parametrize(
    ("code", "blunders", "places"),
    [
        ("swapped", [{n: n % 10 * 10 + n // 10 for n in range(100)}], (True, True)),
        ("teen-ty", [TEENS | {ty: teen for teen, ty in TEENS.items()}], (True, True)),
        (
            "six-nine",
            [
                {n: n + 30 for n in range(60, 70)} | {n: n - 30 for n in range(90, 100)},
                {n: n + 3 for n in range(6, 100, 10)} | {n: n - 3 for n in range(9, 100, 10)},
            ],
            (True, True),
        ),
        ("inches", [{n: round(n * 100 / 12) for n in range(1, 12)}], (False, True)),
    ],
)
def test_a_blunder_makes_these_pairs_and_no_others(
    style: Style, code: str, blunders: list[dict[int, int]], places: tuple[bool, bool]
) -> None:
    """Digits turned, teens for tens, inches for hundredths (common practice, no source)."""
    where = space(settings(style), 0)
    in_feet, in_parts = places
    assert twins(where, code) == by_hand(where, *blunders, in_feet=in_feet, in_parts=in_parts)


@pytest.mark.parametrize("hold", [0, 30, 100])
def test_a_tape_read_the_wrong_way_has_its_pairs(hold: int) -> None:
    """By the foot's other side, from the tape's other end, a whole tape or a round number off.

    (common practice, no published source)
    """
    where = space(settings(Style.INSET), hold)
    lengths = range(where.size)
    named = {
        "foot-complement": [
            other
            for one in lengths
            for other in (
                (one, one // 100 * 100 + 100 - one % 100),
                (one, 2 * (int(where.feet[one]) * 100 - hold) - one),
            )
        ],
        "tape-complement": [(one, where.nominal - one) for one in lengths],
        "tape-length": [(one, one + where.nominal) for one in lengths],
        "one-foot": [(one, one + 100) for one in lengths],
        "ten-feet": [(one, one + 1000) for one in lengths],
        "one-tenth": [(one, one + 10) for one in lengths],
    }
    for code, both in named.items():
        assert twins(where, code) == {
            (min(each), max(each))
            for each in both
            if each[0] != each[1] and 0 <= each[1] < where.size
        }


def test_a_blunder_of_the_held_mark_takes_a_held_mark() -> None:
    """Nothing is forgotten where nothing is held; else the length is longer by what is held."""
    assert twins(space(settings(), 0), "held-mark") == set()
    where = space(settings(Style.INSET), 30)
    expected = {(length, length + 30) for length in range(where.size - 30)}
    assert twins(where, "held-mark") == expected


def test_forgotten_held_mark_is_an_explanation() -> None:
    """On an inset tape one of them may have left the held foot out."""
    where = space(settings(Style.INSET), 30)
    sure = 1.0 - 1e-7
    found = decode(where, heard(where, 16, 42, sure), heard(where, 16, 12, sure), DEVIATION)
    assert max(found.codes, key=found.codes.__getitem__) == "held-mark"


def test_a_cut_tape_added_is_an_explanation() -> None:
    """16 and .58 is 15.42 cut and 16.58 added; by its calls the other would be 17 and .42."""
    where = space(settings(Style.CUT), 0)
    sure = 1.0 - 1e-7
    found = decode(where, heard(where, 16, 58, sure), heard(where, 17, 42, sure), DEVIATION)
    assert max(found.codes, key=found.codes.__getitem__) == "foot-complement"


def test_take_alone_is_its_own_likelihood() -> None:
    """Without a check nothing else speaks for the take."""
    where = space(settings(), 0)
    take = heard(where, 15, 42, 0.9)
    found = decode(where, take, None, DEVIATION)
    np.testing.assert_allclose(found.take, take / take.sum())
    assert (found.check, found.codes, found.best(3), found.within(1)) == (None, {}, (), 1.0)
    assert found.pair(1542, 1542) == 0.0


def test_one_pull_is_weighed_at_once() -> None:
    """Its work grows with the number of lengths, not with their pairs: 100 million of 8 bytes."""
    where = space(settings(), 0)
    take, check = heard(where, 15, 42, 0.9), heard(where, 15, 42, 0.9)
    pairs(where)
    assert most_bytes(lambda: decode(where, take, check, DEVIATION)) < 200 * 8 * where.size


def test_repeatability_starts_from_its_default_and_learns_within_bounds() -> None:
    """Few pairs say little; many say what they show, but never less or more than the bounds."""
    assert repeatability([]) == pytest.approx(0.6)
    assert 0.6 < repeatability([1, -1]) < 0.65
    assert repeatability([0] * 500) == LEAST
    assert repeatability([5] * 500) == MOST
    old = [9] * 60 + [0] * 60
    assert repeatability(old) == repeatability([0] * 60)


@pytest.mark.parametrize("deviation", [LEAST, 0.6, MOST])
def test_differences_of_a_crew_are_spread_evenly_about_zero(deviation: float) -> None:
    """The shares sum to one, are even, and a difference of 0.02 stays possible."""
    shares = spread(deviation)
    assert shares.sum() == pytest.approx(1.0)
    np.testing.assert_allclose(shares, shares[::-1], atol=1e-12)
    assert shares[REACH + 2] > 1e-3


def weighed(**changes: object) -> Weighed:
    """Weigh a pull that agrees, of which nothing is in doubt."""
    values: dict[str, object] = {
        "wrong": 1e-5,
        "near": 0.0,
        "agree": 1.0,
        "differs": False,
        "is_apart": False,
        "doubts": (Doubt(is_take=False, part=Part.FRACTION, probability=0.01),),
        "is_checked": True,
        "can_ask": True,
    }
    return Weighed(**{**values, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "action"),
    [
        ({}, Action.BOOK),
        ({"wrong": 0.009}, Action.BOOK),
        ({"wrong": 0.011}, Action.ASK),
        ({"wrong": 0.9}, Action.ASK),
        ({"missed": 0.019}, Action.BOOK),
        ({"missed": 0.023}, Action.ASK),
        ({"near": 0.04}, Action.BOOK),
        ({"near": 0.06}, Action.ASK),
        ({"wrong": 0.1, "can_ask": False}, Action.NOTE),
        ({"wrong": 0.5, "can_ask": False}, Action.STOP),
        ({"wrong": 0.019, "is_checked": False}, Action.BOOK),
        ({"wrong": 0.022, "is_checked": False}, Action.ASK),
        ({"wrong": 0.5, "is_checked": False, "can_ask": False}, Action.NOTE),
        ({"wrong": 0.9, "doubts": ()}, Action.BOOK),
    ],
)
def test_the_cheapest_way_is_taken(changes: dict[str, object], action: Action) -> None:
    """A question is worth one feared wrong segment in a hundred, and so on by the costs."""
    verdict = decide(weighed(**changes))
    assert verdict.action is action
    assert verdict.costs[action] == min(verdict.costs.values())


def test_ends_that_stand_apart_confirm_each_other_less() -> None:
    """Two that were misheard meet more easily within the tolerance than at one length."""
    assert decide(weighed(wrong=0.005)).action is Action.BOOK
    assert decide(weighed(wrong=0.005, is_apart=True)).action is Action.ASK
    assert decide(weighed(wrong=0.003, is_apart=True)).action is Action.BOOK


@pytest.mark.parametrize("edition", [5, 6])
def test_editions_before_the_sixth_ask_ten_times_sooner(edition: int) -> None:
    """What was decided in a journal stays decided so; a take without a check is weighed as ever."""
    times = 1.0 if edition == 5 else 10.0
    costs = costs_of(edition)
    assert decide(weighed(wrong=0.0009 * times), costs).action is Action.BOOK
    assert decide(weighed(wrong=0.0011 * times), costs).action is Action.ASK
    assert decide(weighed(wrong=0.019, is_checked=False), costs).action is Action.BOOK
    assert decide(weighed(wrong=0.022, is_checked=False), costs).action is Action.ASK


@pytest.mark.parametrize("wrong", [0.0, 1e-9, 0.5])
@pytest.mark.parametrize("agree", [0.0, 0.5, 0.95, 1.0])
@pytest.mark.parametrize("can_ask", [True, False])
def test_a_disagreement_is_never_booked(wrong: float, agree: float, *, can_ask: bool) -> None:
    """Whatever the probabilities say: asked where mishearing explains it far better, or stopped."""
    verdict = decide(weighed(wrong=wrong, agree=agree, differs=True, can_ask=can_ask))
    is_asked = can_ask and agree >= 0.95
    assert verdict.action is (Action.ASK if is_asked else Action.STOP)
    confirmed = weighed(agree=agree, differs=True, is_confirmed=True)
    assert decide(confirmed).action is Action.STOP


def test_what_each_way_costs_is_told() -> None:
    """A question leaves a fiftieth of the wrong ones, a note half of them."""
    costs = decide(weighed(wrong=0.015, near=0.01)).costs
    loss = 0.015 * COSTS.wrong + 0.01 * COSTS.wrong_near
    assert costs == pytest.approx(
        {
            Action.BOOK: loss,
            Action.NOTE: COSTS.note + COSTS.wrong_noted * loss,
            Action.STOP: COSTS.stop,
            Action.ASK: COSTS.ask + COSTS.wrong_answered * loss,
        }
    )


def test_over_a_disagreement_each_way_costs_what_it_may_cost() -> None:
    """A question may be followed by the stop all the same, if the two were called apart."""
    verdict = decide(weighed(agree=0.96, differs=True, can_ask=True))
    assert verdict.costs == {
        Action.STOP: pytest.approx(0.96 * COSTS.stop),
        Action.ASK: pytest.approx(COSTS.ask + 0.04 * COSTS.stop),
    }
    assert verdict.doubt is not None
    assert set(decide(weighed(agree=0.96, differs=True, can_ask=False)).costs) == {Action.STOP}


@pytest.mark.parametrize(("can_ask", "action"), [(True, Action.ASK), (False, Action.STOP)])
def test_one_hearing_against_the_other_is_asked_or_stops(*, can_ask: bool, action: Action) -> None:
    """However sure the rest of the pull is."""
    doubt = Doubt(is_take=False, part=Part.WHOLE, probability=0.0, is_contradicted=True)
    verdict = decide(weighed(wrong=0.0, doubts=(doubt,), can_ask=can_ask))
    assert (verdict.action, verdict.doubt) == (action, doubt)
    assert Action.BOOK in verdict.costs


@pytest.mark.parametrize("check", list(CheckPolicy))
@pytest.mark.parametrize("is_measured", [True, False])
@pytest.mark.parametrize("is_live", [True, False])
def test_a_new_line_is_weighed_where_it_gains_or_is_asked_for(
    check: CheckPolicy, *, is_measured: bool, is_live: bool
) -> None:
    """Left open: with the listener it was fitted to, a check of each pull and a crew at hand."""

    def edition(unit: ReadingUnit = ReadingUnit.FOOT, *, wanted: bool | None = None) -> int:
        return edition_of_new_line(
            check, unit, is_wanted=wanted, is_measured=is_measured, is_live=is_live
        )

    gains = check is CheckPolicy.REQUIRED and is_measured and is_live
    assert edition() == (NEWEST if gains else 0)
    assert (edition(wanted=True), edition(wanted=False)) == (NEWEST, 0)
    assert edition(ReadingUnit.FINE_FOOT, wanted=True) == 0


def test_decoding_was_fitted_to_one_listener_of_english() -> None:
    """Another listener, another language or a second one beside English: nobody measured that."""
    assert is_fitted("encoder", ["en-US"])
    assert is_fitted("encoder", ["en-US", "en"])
    assert not is_fitted("numbers", ["en-US"])
    assert not is_fitted("encoder", ["es-419"])
    assert not is_fitted("encoder", ["en-US", "es-419"])
    assert not is_fitted("encoder", [])


def test_the_same_call_is_asked_twice_at_most() -> None:
    """After that the chief decides."""
    asked = Doubt(is_take=True, part=Part.WHOLE, probability=0.4, asked=MOST_ASKED)
    assert decide(weighed(wrong=0.4, doubts=(asked,))).action is Action.STOP
    assert decide(weighed(agree=1.0, differs=True, doubts=(asked,))).action is Action.STOP


def test_the_most_doubtful_call_is_asked() -> None:
    """Where two are in equal doubt, the check's: its reader still stands at the mark."""
    low = Doubt(is_take=False, part=Part.WHOLE, probability=0.1)
    high = Doubt(is_take=True, part=Part.FRACTION, probability=0.2)
    even = Doubt(is_take=False, part=Part.FRACTION, probability=0.2)
    assert decide(weighed(wrong=0.2, doubts=(low, high))).doubt is high
    assert decide(weighed(wrong=0.2, doubts=(low, high, even))).doubt is even
    assert COSTS.wrong == 100 * COSTS.ask


def test_posterior_of_nothing_heard_is_the_prior() -> None:
    """Flat likelihoods leave every code at its weight (but for the tape's ends)."""
    where = space(settings(), 0)
    found: Posterior = decode(where, np.ones(where.size), np.ones(where.size), DEVIATION)
    assert found.codes[SAME] == pytest.approx(SAME_WEIGHT, abs=2e-3)
    assert found.codes["one-foot"] == pytest.approx(1e-3, rel=0.05)
