"""The sums over layouts and sentences against enumerating each of them."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.recognise.automaton import Automaton, build_automaton
from calllog.recognise.sentences import AsAnybody, HeardFrames, Sentence, Sentences
from calllog.recognise.word_sums import Units, WordSums
from calllog.spoken import Grammar, words
from calllog.spoken.compile import parts
from calllog.spoken.expression import OneOf, Phrase, choice, sequence
from calllog.values import Expectation
from tests.test_recognise_automaton import sentences
from tests.tone_model import dictionary

Logs = npt.NDArray[np.float64]
FLOOR = 1e-6
LONGEST = 50
UNITS = 4
"""The blank and three others."""

WORDS: dict[str, tuple[Units, ...]] = {
    "one": ((1, 2), (1,)),
    "two": ((2,),),
    "three": ((3, 1, 1),),
    "four": ((2, 3), (3, 3)),
}
"""Words that begin and end alike, with several ways to be said, with a unit twice in a row."""

PHRASE = st.lists(st.sampled_from(sorted(WORDS)), min_size=1, max_size=3).map(" ".join).map(Phrase)
PHRASES = st.lists(PHRASE, min_size=1, max_size=5).map(lambda each: OneOf(tuple(each)))


def random_frames(seed: int, count: int, units: int = UNITS, sharpness: float = 2.0) -> Logs:
    """Make a network's output: log-probabilities, shape (count, units)."""
    raw = np.random.default_rng(seed).standard_normal((count, units)) * sharpness
    logs: Logs = raw - np.logaddexp.reduce(raw, axis=1, keepdims=True)
    return logs


def by_enumeration(logs: Logs) -> dict[Units, float]:
    """Add the probability of every layout to the sequence of units that it lays out."""
    totals: defaultdict[Units, float] = defaultdict(float)
    for layout in itertools.product(range(logs.shape[1]), repeat=len(logs)):
        units = tuple(unit for unit, _ in itertools.groupby(layout) if unit)
        totals[units] += math.exp(sum(logs[t, unit] for t, unit in enumerate(layout)))
    return totals


def by_forward(logs: Logs, units: Units) -> float:
    """Compute one sequence's log-likelihood by the textbook's forward recursion, in logarithms."""
    labels = [0, *(each for unit in units for each in (unit, 0))]
    row = [-math.inf] * len(labels)
    row[0], row[1] = logs[0, 0], logs[0, labels[1]]
    for frame in logs[1:]:
        before = row
        row = []
        for place, label in enumerate(labels):
            ways = [before[place]]
            if place >= 1:
                ways.append(before[place - 1])
            if place >= 2 and label and label != labels[place - 2]:
                ways.append(before[place - 2])
            row.append(float(np.logaddexp.reduce(ways)) + frame[label])
    return float(np.logaddexp(row[-1], row[-2]))


def ways(sentence: tuple[str, ...], said: dict[str, tuple[Units, ...]]) -> list[Units]:
    """List the unit sequences of a sentence, one for each combination of pronunciations."""
    combinations = itertools.product(*(said[word] for word in sentence))
    return [tuple(itertools.chain.from_iterable(each)) for each in combinations]


def weigh(
    automaton: Automaton, logs: Logs, said: dict[str, tuple[Units, ...]] = WORDS
) -> tuple[float, list[Sentence], HeardFrames]:
    """Give the total of an automaton, its best sentences, and the frames."""
    sums = WordSums(said, LONGEST)
    frames = HeardFrames(logs, sums, FLOOR)
    weighed = Sentences(automaton, sums, logs.shape[1]).weigh(frames)
    return weighed.nats, list(weighed.best()), frames


@settings(max_examples=60, deadline=None)
@given(tree=PHRASES, seed=st.integers(0, 2**32 - 1), count=st.integers(1, 6))
def test_likelihoods_are_those_of_all_layouts(tree: OneOf, seed: int, count: int) -> None:
    """Each sentence's likelihood, their total and their order, against adding up every layout."""
    automaton = build_automaton((tree,))
    logs = random_frames(seed, count)
    layouts = by_enumeration(logs)
    expected = {
        " ".join(sentence): sum(layouts.get(units, 0.0) for units in ways(sentence, WORDS))
        for sentence in sentences(automaton)
    }
    nats, best, _ = weigh(automaton, logs)
    found = {each.text: math.exp(each.nats) for each in best}
    assert found == pytest.approx({text: p for text, p in expected.items() if p}, rel=1e-9)
    assert math.exp(nats) == pytest.approx(sum(expected.values()), rel=1e-9, abs=1e-300)
    assert [each.nats for each in best] == sorted((each.nats for each in best), reverse=True)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(1, 6))
def test_word_sums_are_those_of_all_layouts(seed: int, count: int) -> None:
    """Every word at every place: its first unit begins there, its last one's last frame ends it."""
    logs = random_frames(seed, count)
    sums = WordSums(WORDS, LONGEST)
    found = sums.sums(np.exp(logs))
    for row, ends in enumerate(sums.ends):
        for first, length in itertools.product(range(count), range(count)):
            expected = 0.0
            if first + length < count:
                inside = logs[first : first + length + 1]
                for layout in itertools.product(range(UNITS), repeat=length + 1):
                    if layout[0] and layout[-1]:
                        units = tuple(unit for unit, _ in itertools.groupby(layout) if unit)
                        is_way = units in WORDS[ends.word]
                        if is_way and (units[0], units[-1]) == (ends.first, ends.last):
                            expected += math.exp(
                                sum(inside[t, unit] for t, unit in enumerate(layout))
                            )
            assert found[row, length, first] == pytest.approx(expected, rel=1e-9, abs=1e-300)


def test_longest_word_bounds_the_sums() -> None:
    """With a bound on a word's length the shorter ones are as they were."""
    frames = np.exp(random_frames(5, 8))
    whole, bounded = WordSums(WORDS, LONGEST).sums(frames), WordSums(WORDS, longest=3).sums(frames)
    assert bounded.shape[1] == 3
    np.testing.assert_array_equal(bounded, whole[:, :3])


@settings(max_examples=30, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    count=st.integers(1, 6),
    weight=st.floats(0.01, 1.0, allow_subnormal=False),
)
def test_free_speech_is_every_sequence_of_units(seed: int, count: int, weight: float) -> None:
    """The loop's likelihood, against adding up every layout of every sequence."""
    logs = random_frames(seed, count)
    expected = sum(p * weight ** len(units) for units, p in by_enumeration(logs).items())
    frames = HeardFrames(logs, WordSums(WORDS, LONGEST), FLOOR)
    assert math.exp(frames.loop_nats(weight)) == pytest.approx(expected, rel=1e-9)


def with_real_pronunciations(words: frozenset[str]) -> tuple[dict[str, tuple[Units, ...]], int]:
    """Look words up; give the index of each of their phones, and how many units there are."""
    phones = dictionary(words)
    names = sorted({phone for ways in phones.values() for way in ways for phone in way})
    index = {name: place for place, name in enumerate(names, 1)}
    said = {
        word: tuple(tuple(index[phone] for phone in way) for way in ways)
        for word, ways in phones.items()
    }
    return said, len(names) + 1


def test_hundreds_of_sentences_are_summed_exactly() -> None:
    """On 30 frames, 210 readings, each for itself: their total, and the best in order."""
    tens = choice(("twenty", "sixty"))
    ones = choice(("one", "two", "four", "seven"))
    two = OneOf((tens, ones, sequence(tens, ones)))
    automaton = build_automaton((two, sequence(two, Phrase("point"), two)))
    said, units = with_real_pronunciations(frozenset(itertools.chain(*sentences(automaton))))
    logs = random_frames(0, 30, units)
    expected = {
        " ".join(sentence): float(
            np.logaddexp.reduce([by_forward(logs, way) for way in ways(sentence, said)])
        )
        for sentence in sentences(automaton)
    }
    nats, best, _ = weigh(automaton, logs, said)
    assert len(expected) == 14 * 15
    assert nats == pytest.approx(np.logaddexp.reduce(list(expected.values())), rel=1e-9)
    ranked = sorted(expected, key=lambda text: -expected[text])
    assert len(best) > 100
    assert [each.text for each in best] == ranked[: len(best)]
    assert [each.nats for each in best] == pytest.approx(
        [expected[each.text] for each in best], rel=1e-9
    )


def test_floor_keeps_a_sure_frame_from_ruling_out_a_word() -> None:
    """A unit that the network excludes in one frame costs what the floor says, no more."""
    logs = np.log(np.array([[1e-30, 1.0, 1e-30, 1e-30]]))
    nats, best, _ = weigh(build_automaton((Phrase("two"),)), logs)
    assert nats == pytest.approx(math.log(FLOOR))
    assert [each.text for each in best] == ["two"]
    assert best[0].nats == nats


def test_sound_too_short_for_any_word_has_no_sentence() -> None:
    """Fewer frames than units: nothing can have been said, and that is no error."""
    nats, best, _ = weigh(build_automaton((Phrase("three"),)), random_frames(0, 2))
    assert nats == -math.inf
    assert best == []


def test_share_of_speech() -> None:
    """Frames in which the blank leads are no speech."""
    logs = np.log(np.array([[0.7, 0.1, 0.1, 0.1], [0.2, 0.6, 0.1, 0.1]]))
    assert HeardFrames(logs, WordSums(WORDS, LONGEST), FLOOR).spoken == 0.5


@pytest.mark.parametrize("expects", Expectation)
def test_eight_seconds_of_anything_are_weighed(grammar: Grammar, expects: Expectation) -> None:
    """The longest utterance, of nothing like a call: numbers stay numbers, the search ends."""
    said, units = with_real_pronunciations(words(grammar))
    logs = random_frames(1, 285, units, sharpness=3.0)
    sums = WordSums(said, LONGEST)
    frames = HeardFrames(logs, sums, 1e-4)
    for kinds in (grammar.listens[expects].first, grammar.listens[expects].also):
        automaton = build_automaton(tuple(parts(grammar, expects, kinds).values()))
        weighed = Sentences(automaton, sums, units).weigh(frames)
        best = list(itertools.islice(weighed.best(), 5))
        assert not math.isnan(weighed.nats)
        assert all(each.nats <= weighed.nats for each in best)
    assert math.isfinite(frames.loop_nats(1 / 39))


def test_words_that_a_voice_said_are_heard_by_it_and_others_as_by_anybody() -> None:
    """Each stretch of a word has the voice's sum times its factor, or the sum without it."""
    sums = WordSums(WORDS, LONGEST)
    by_voice, plain = random_frames(1, 6), random_frames(2, 6)
    word = min(WORDS)
    factor = np.random.default_rng(3).uniform(0.1, 1.0, (min(6, LONGEST), 6))
    anybody = AsAnybody(plain, WordSums({word: WORDS[word]}, LONGEST), {word: factor})
    frames = HeardFrames(by_voice, sums, FLOOR, anybody)
    its, others = (
        sums.sums(np.exp(np.maximum(each, math.log(FLOOR)))) for each in (by_voice, plain)
    )
    wanted = np.array(
        [its[row] * factor if row in sums.rows[word] else others[row] for row in range(len(its))]
    )
    assert ((frames.sums > 0.0) == (wanted > 0.0)).all()
    ratios = np.log(frames.sums, where=wanted > 0.0, out=np.zeros_like(wanted))
    ratios -= np.log(wanted, where=wanted > 0.0, out=np.zeros_like(wanted))
    for longer, first in itertools.product(range(wanted.shape[1]), range(6)):
        here = ratios[:, longer, first][wanted[:, longer, first] > 0.0]
        assert here == pytest.approx(np.full(len(here), here[:1].sum()), abs=1e-9)
