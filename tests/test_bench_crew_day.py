"""Crews with the blunders of people: what is true is planned, and what is recorded is judged."""

import random
from dataclasses import replace
from functools import cache

import pytest

from calllog.decoding import NEWEST
from calllog.pairing import EDITION
from calllog.spoken import spoken_forms
from calllog.tape import length_read
from calllog.values import Alternative, Kind, Outcome, Style
from tests.bench.bench_crew import CREW, interval_of_lines, rows_of_people, with_people
from tests.bench.crew_corpus import Corpus, HeardCall, SaidCall
from tests.bench.crew_day import (
    ALL_KINDS,
    RATES,
    Count,
    Day,
    Ears,
    Kinds,
    Plan,
    Rate,
    Walked,
    called_as,
    grammar,
    planned,
)

VOICES = ("one", "other")
NOTHING: Kinds = frozenset()
PULLS = 100


@cache
def corpus() -> Corpus:
    """Give two voices that are always heard right, in every wording of a call."""
    calls = [
        said(voice, kind, value, words)
        for kind, values in ((Kind.WHOLE, range(0, 10_001, 100)), (Kind.FRACTION, range(100)))
        for value in values
        for words in spoken_forms(grammar(), kind, value)
        for voice in VOICES
    ]
    return Corpus("2026-11-28", "none", "00", (), VOICES, tuple(calls))


def said(voice: str, kind: Kind, value: int, words: str) -> SaidCall:
    """Give a call that is heard as it was said, all but surely."""
    alternatives = (
        Alternative(text=words, kind=kind, value=value, probability=0.999),
        Alternative(text="", kind=Kind.CHATTER, value=None, probability=0.001),
    )
    heard = HeardCall(Outcome.CALL, kind, value, alternatives)
    return SaidCall(voice, "clean", kind, value, words, (heard,))


def plan_of(kinds: Kinds, seed: int = 1) -> Plan:
    """Plan a line with some blunders."""
    return planned(random.Random(seed), VOICES, CREW, kinds)  # noqa: S311 - no secret


def walk(plan: Plan, pairing: int) -> Walked:
    """Walk a line."""
    ears, rng = Ears(corpus(), "clean"), random.Random(1)  # noqa: S311 - no secret
    return Day(plan, ears, rng, pairing=pairing, decoding=NEWEST, noticed=0.9).walk()


def counts_of(monkeypatch: pytest.MonkeyPatch, kind: str, share: float = 0.2) -> dict[str, Count]:
    """Walk lines in which one blunder alone is common."""
    monkeypatch.setitem(RATES, kind, Rate(share, "", ""))
    return with_people(corpus(), "clean", PULLS, "seed", frozenset({kind}))


@pytest.mark.parametrize("style", [Style.ADD, Style.CUT, Style.FULL])
def test_a_length_is_called_as_its_tape_is_read(style: Style) -> None:
    """What the simulated crew calls is reduced to the true length, by every style."""
    hold = 100 if style is Style.FULL else 0
    for length in range(0, 9900, 7):
        feet, hundredths = called_as(style, length, hold)
        read = length_read(style, whole=feet * 100, fraction=hundredths, reading=None, hold=hold)
        assert read == length


@pytest.mark.parametrize("pairing", range(EDITION + 1))
def test_a_crew_without_blunders_records_all_it_measured(pairing: int) -> None:
    """Who makes no blunder and is heard is asked nothing, stopped nowhere, and recorded right."""
    counted = Count()
    for seed in range(3):
        plan = plan_of(NOTHING, seed)
        walked = walk(plan, pairing)
        assert (walked.stops.total(), walked.typed, walked.given_up) == (0, 0, 0)
        counted.judge(plan, walked)
    assert (counted.pulls, counted.wrong, counted.near, counted.unrecorded) == (60, 0, 0, 0)
    assert counted.kinds == {"none": 60}


@pytest.mark.parametrize(
    ("kind", "share", "what"),
    [
        ("always walks on", 1.0, "lengths"),
        ("other style", 1.0, "lengths"),
        ("hold", 0.2, "lengths"),
        ("rise", 0.2, "conditions"),
    ],
)
def test_the_rules_of_old_journals_record_it_wrong(
    monkeypatch: pytest.MonkeyPatch, kind: str, share: float, what: str
) -> None:
    """Each of these blunders alone was recorded silently, with every word heard right."""
    old = counts_of(monkeypatch, kind, share)["old"]
    assert getattr(old, what) > PULLS / 20
    assert old.wrong >= getattr(old, what)


@pytest.mark.parametrize("kind", sorted(ALL_KINDS & RATES.keys()))
def test_every_line_comes_to_its_end(monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    """Whatever a crew does, each pull is recorded, or counted as not recorded."""
    for counted in counts_of(monkeypatch, kind, 0.5).values():
        assert counted.pulls == PULLS
        assert counted.unrecorded <= PULLS / 20


def test_all_blunders_at_their_rates() -> None:
    """One run gives the figures of both pairings over the same pulls, and of each blunder."""
    counts = with_people(corpus(), "clean", PULLS, "seed")
    old, new = rows_of_people(counts, VOICES)
    assert (old["pairing"], new["pairing"]) == (0, EDITION)
    assert old["pulls"] == new["pulls"] == PULLS
    assert float(str(old["wrong_per_10000"])) > 0
    again = with_people(corpus(), "clean", PULLS, "seed")
    assert [each.wrong for each in again.values()] == [each.wrong for each in counts.values()]


def test_nothing_is_corrected_before_a_blind_check_is_complete() -> None:
    """Without a read-back a wrong length is noticed only when it is recorded."""
    counts = with_people(corpus(), "clean", PULLS, "seed", NOTHING, is_blind=True)
    assert [each.wrong for each in counts.values()] == [0, 0]
    assert [each.noticed for each in counts.values()] == [0, 0]


def test_judged_against_what_is_true() -> None:
    """A length that is off, a pull recorded twice and a rise not its own are wrong; others not."""
    plan = plan_of(NOTHING)
    walked = walk(plan, 0)
    place, segment = walked.booked[3]
    off = segment.model_copy(update={"length_read_ft": segment.length_read_ft + 0.02})
    near = segment.model_copy(update={"length_read_ft": segment.length_read_ft + 0.01})
    risen = segment.conditions.model_copy(update={"rise_ft": 1.0})
    cases = {
        (0, 0): [segment],
        (1, 0): [near],
        (0, 1): [off],
        (0, 2): [segment, segment],
        (0, 3): [segment.model_copy(update={"conditions": risen})],
    }
    for (is_near, number), segments in cases.items():
        others = [each for each in walked.booked if each[0] != place]
        counted = Count()
        counted.judge(plan, replace(walked, booked=[*others, *((place, s) for s in segments)]))
        assert (counted.near, counted.wrong) == (is_near, int(bool(number))), (is_near, number)


def test_none_seen_is_at_most_three_in_as_many() -> None:
    """The upper bound where nothing was wrong is the rule of three (Hanley, JAMA 249, 1983)."""
    counted = Count(pulls=30_000, lines=[(("one", "other"), 20, 0)] * 1_500)
    low, high = interval_of_lines(counted, VOICES)
    assert low == 0
    assert high == pytest.approx(1.0)
