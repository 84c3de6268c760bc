"""The arithmetic of the joint decoding: the same bits on every computer since edition 5."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from hashlib import sha256

import numpy as np
import pytest

from calllog.decoding import NEWEST, Doubt, Part, Weighed, decide, decode, likelihood, space
from calllog.decoding.arithmetic import AS_BUILT, EXACT, FIRST_EXACT, GRID, arithmetic_of
from calllog.decoding.blunders import pairs
from calllog.decoding.repeatability import LEAST, MOST, REACH, spread, spread_to_digits
from calllog.values import Style
from tests.crew import settings
from tests.test_decoding import said

WHERE = space(settings(Style.ADD), 0)
UNEVEN = np.random.default_rng(7).random(WHERE.size) ** 9
KEPT = {
    "power": "0x1.d64b1362bee2dp-1",
    "spread": "0x1.30d0d432d5876p-1",
    "within": "0x1.95890b0db03ccp-1",
    "take": "0x1.5cef64a4c2df7p-1",
    "check": "0x1.e6f2d51d3f258p-2",
    "all": "42c79bf2e0f5",
}
"""What `bits` gives, on every computer."""
TELL = "from tests.test_decoding_arithmetic import bits; print(bits())"


def bits() -> dict[str, str]:
    """Weigh one pull; give its shares to the bit."""
    take = likelihood(WHERE, [said(Part.WHOLE, 15, 0.9), said(Part.FRACTION, 42, 0.7)])
    check = likelihood(WHERE, [said(Part.WHOLE, 16, 0.6), said(Part.FRACTION, 42, 0.7)] * 2)
    found = decode(WHERE, take, check, 0.6)
    assert found.check is not None
    return {
        "power": EXACT.power(0.9, 1.0 / 1.24).hex(),
        "spread": float(EXACT.spread(0.6)[REACH]).hex(),
        "within": found.within(1).hex(),
        "take": EXACT.total(found.take[:1543]).hex(),
        "check": EXACT.total(found.check[:1543]).hex(),
        "all": sha256(
            found.take.astype("<f8").tobytes() + found.check.astype("<f8").tobytes()
        ).hexdigest()[:12],
    }


def test_each_edition_keeps_its_arithmetic() -> None:
    """Jobs of editions 1 to 4 are replayed as they were; new ones come out the same everywhere."""
    assert [arithmetic_of(edition) for edition in range(1, FIRST_EXACT)] == [AS_BUILT] * 4
    assert arithmetic_of(FIRST_EXACT) is arithmetic_of(NEWEST) is EXACT


def test_a_pull_is_weighed_to_the_same_bits_on_every_computer() -> None:
    """Whichever processor, Python, numpy and C library run this: these are the bits."""
    assert bits() == KEPT


def test_a_processor_of_another_kind_weighs_to_the_same_bits() -> None:
    """Without what this processor can do beyond the least, numpy adds in another order."""
    built = np.show_config(mode="dicts")
    assert built is not None
    better = built["SIMD Extensions"].get("found", [])
    lesser = {"NPY_DISABLE_CPU_FEATURES": " ".join(better), "OPENBLAS_CORETYPE": "Nehalem"}
    told = subprocess.run(
        [sys.executable, "-c", TELL],
        env={**os.environ, **lesser},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert told.strip() == str(KEPT)


def test_sums_do_not_depend_on_the_order() -> None:
    """Each is the true sum, rounded once."""
    turned = UNEVEN[::-1].copy()
    mixed = np.random.default_rng(8).permutation(UNEVEN)
    sums = {EXACT.total(each) for each in (UNEVEN, turned, mixed)}
    sums |= {EXACT.listed(each) for each in (UNEVEN.tolist(), turned.tolist())}
    sums.add(EXACT.product(UNEVEN, np.ones_like(UNEVEN)))
    assert len(sums) == 1
    assert sums.pop() == pytest.approx(AS_BUILT.total(UNEVEN), rel=1e-14)


VECTORS = {
    "even": np.full(10_100, 0.1),
    "uneven": UNEVEN,
    "none": np.zeros(10_100),
    "one in many": np.where(np.arange(10_100) == 77, 0.3, 1e-17),
    "far apart": np.exp(-700.0 * UNEVEN),
    "both signs": np.concatenate((UNEVEN, -UNEVEN[::-1], [1e-30])),
    "least": np.full(10_100, 5e-324),
    "large": np.full(300, 1e305),
    "infinite": np.full(300, np.inf),
    "few": UNEVEN[:3],
    "empty": UNEVEN[:0],
}
"""What has sums that other ways of adding round otherwise."""


@pytest.mark.parametrize("name", VECTORS)
def test_a_total_is_the_true_sum_rounded_once(name: str) -> None:
    """Gathered or added one by one: to the bit what `math.fsum` makes of it."""
    values = VECTORS[name]
    before = values.copy()
    assert EXACT.total(values).hex() == math.fsum(values.tolist()).hex()
    assert np.array_equal(values, before)


def test_totals_of_any_size_are_true() -> None:
    """Drawn by chance: shares from 1 to 2^-1000, vectors from 200 numbers to 50,100."""
    draw = np.random.default_rng(26)
    for size in (200, 255, 256, 1000, 4096, 10_100, 50_100):
        for least in (1, 10, 60, 300, 1000):
            values = draw.random(size) * 2.0 ** -draw.integers(0, least, size)
            assert EXACT.total(values) == math.fsum(values.tolist()), (size, least)


def test_both_arithmetics_say_the_same_but_for_the_last_bits() -> None:
    """Sums, powers and the sums over pairs."""
    listed = pairs(WHERE)
    assert EXACT.toward(listed, UNEVEN) == pytest.approx(AS_BUILT.toward(listed, UNEVEN), rel=1e-12)
    assert EXACT.quarter_power(UNEVEN) == pytest.approx(AS_BUILT.quarter_power(UNEVEN), rel=1e-12)
    assert EXACT.product(UNEVEN, UNEVEN) == pytest.approx(AS_BUILT.product(UNEVEN, UNEVEN))
    assert EXACT.listed([]) == AS_BUILT.listed([]) == 0.0
    assert AS_BUILT.listed([0.1, 0.2, 0.3]) == 0.1 + 0.2 + 0.3
    for base in (1e-9, 0.02, 0.5, 0.999, 1.0):
        assert EXACT.power(base, 1 / 1.24) == pytest.approx(base ** (1 / 1.24), rel=1e-14)


@pytest.mark.parametrize("deviation", [LEAST, 0.6, 1.1, MOST])
def test_the_spread_is_the_same_both_ways_round(deviation: float) -> None:
    """The series gives what the error function does, and the far tails of both sides."""
    shares = spread_to_digits(deviation)
    assert shares == pytest.approx(spread(deviation), abs=1e-15)
    assert shares.tolist() == shares[::-1].tolist()
    assert math.fsum(shares) == pytest.approx(1.0, abs=1e-15)
    edges = [(REACH - 0.5) / (deviation * math.sqrt(2)), (REACH + 0.5) / (deviation * math.sqrt(2))]
    tail = (math.erfc(edges[0]) - math.erfc(edges[1])) / 2 / math.erf(edges[1])
    assert shares[0] == pytest.approx(tail, rel=1e-12)


def test_doubts_that_are_equal_but_for_rounding_are_equal() -> None:
    """The check's foot is asked then: its reader still stands at the mark."""
    shares = (0.3, math.nextafter(0.3, 1), math.nextafter(0.3, 0), 0.3 + 0.1 / GRID)
    assert len({EXACT.told(each) for each in shares}) == 1
    assert EXACT.told(0.3 + 1.5 / GRID) > EXACT.told(0.3)
    assert EXACT.told(0.3) == pytest.approx(0.3, abs=1 / GRID)
    doubts = tuple(
        Doubt(is_take, part, EXACT.told(share))
        for (is_take, part), share in zip(
            [
                (True, Part.WHOLE),
                (True, Part.FRACTION),
                (False, Part.WHOLE),
                (False, Part.FRACTION),
            ],
            (shares[1], shares[1], shares[2], shares[0]),
            strict=True,
        )
    )
    weighed = Weighed(0.3, 0.0, 1.0, False, False, doubts, is_checked=True, can_ask=True)  # noqa: FBT003
    doubt = decide(weighed).doubt
    assert doubt is not None
    assert (doubt.is_take, doubt.part) == (False, Part.WHOLE)
