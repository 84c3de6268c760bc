"""Fits temperature and floor on tuning voices, and shows how reliable probabilities are; shell.

Run with ``python -m tests.bench.fit_calibration [encoder|es]``. For each level of noise
it finds the temperature and the floor under which what two voices said alike was likeliest, both
calls weighed together.
What is misheard of one voice is often misheard of another (teens and ties), so a calibration that
fits single calls is far too sure of two that agree; and pulls are decided by two. Only calls that
are taken count, and only tuning voices. It prints what belongs into `calllog.decoding.evidence`,
and reliability diagrams with the expected calibration error, as heard, calibrated, and as single
calls alone would be calibrated; for test voices too, for information.
"""

from __future__ import annotations

import math
import sys
from collections import defaultdict
from collections.abc import Callable, Iterable
from functools import partial
from itertools import combinations, pairwise

import numpy as np
import scipy

from calllog.decoding import Calibration, CalledPart, Noise, Part, Vector, utterance
from calllog.values import Call, Expectation, Kind, Outcome, Role
from tests.bench.crew_corpus import PATHS, Corpus, HeardCall, SaidCall, load_corpus

LEVELS = {
    Noise.QUIET: ("clean",),
    Noise.NOISY: ("pink 15", "wind 5"),
    Noise.LOUD: ("pink 10",),
}
"""Conditions of the corpus that belong to each level."""
PARTS = {Kind.WHOLE: Part.WHOLE, Kind.FRACTION: Part.FRACTION, Kind.READING: Part.READING}
SIZES = {Part.WHOLE: 101, Part.FRACTION: 100, Part.READING: 10_100}
AS_HEARD = Calibration(1.0, 0.0)
Together = tuple[SaidCall, Call, Call]
"""What was said, and how it was heard of two voices."""
BINS = (0.0, 0.5, 0.7, 0.9, 0.95, 0.98, 0.99, 0.999, 0.9999, 0.99999, 1.0)
LEAST = 1e-9
UNSEEN = 3.0
FOOT = 100


def write(line: str) -> None:
    """Print a line."""
    sys.stdout.write(f"{line}\n")


def as_call(said: SaidCall, heard: HeardCall) -> Call:
    """Make the call that a job would have kept of it."""
    return Call(
        number=1,
        source="corpus#1",
        role=Role.UNSAID,
        expects=Expectation(said.kind.value),
        kind=heard.kind,
        text=said.words,
        value=heard.value,
        name="",
        amount=None,
        probability=max((each.probability for each in heard.alternatives), default=0.0),
        alternatives=heard.alternatives,
        outcome=heard.outcome,
        reason=None,
        start_s=0.0,
        end_s=0.0,
        clip="",
    )


def taken(calls: Iterable[SaidCall]) -> list[tuple[SaidCall, Call]]:
    """List the calls that came out as one call of the kind that was said, right or wrong."""
    return [
        (said, as_call(said, said.heard[0]))
        for said in calls
        if len(said.heard) == 1
        and said.heard[0].outcome is Outcome.CALL
        and said.heard[0].kind is said.kind
    ]


def truth(said: SaidCall) -> int:
    """Give what was said as its part counts it."""
    return said.value // FOOT if said.kind is Kind.WHOLE else said.value


def share_of(heard: CalledPart, value: int) -> float:
    """Give the probability of a value: what is not listed shares the rest equally."""
    listed = dict(heard.likely)
    if value in listed:
        return listed[value]
    return heard.rest / (SIZES[heard.part] - len(listed))


def loss(pairs: list[tuple[SaidCall, Call]], calibration: Calibration) -> float:
    """Give the mean of -log probability of what was said [nat]."""
    found = [
        -math.log(max(share_of(utterance(call, PARTS[said.kind], calibration), truth(said)), LEAST))
        for said, call in pairs
    ]
    return sum(found) / max(len(found), 1)


def together(calls: list[tuple[SaidCall, Call]]) -> list[Together]:
    """Pair the calls of one value by unlike voices under one condition."""
    alike: dict[tuple[str, Kind, int], list[tuple[SaidCall, Call]]] = defaultdict(list)
    for said, call in calls:
        alike[said.condition, said.kind, said.value].append((said, call))
    return [
        (one[0], one[1], other[1])
        for those in alike.values()
        for one, other in combinations(those, 2)
        if one[0].voice != other[0].voice
    ]


def both(pair: Together, calibration: Calibration) -> Vector:
    """Weigh two calls of one value together: probability of each value of the part."""
    said, *calls = pair
    part = PARTS[said.kind]
    product = np.ones(SIZES[part])
    for call in calls:
        heard = utterance(call, part, calibration)
        vector = np.full(SIZES[part], max(heard.rest, LEAST) / (SIZES[part] - len(heard.likely)))
        for value, share in heard.likely:
            vector[value] = share
        product *= vector
    return product / float(product.sum())


def loss_together(pairs: list[Together], calibration: Calibration) -> float:
    """Give the mean of -log probability of what both said [nat]."""
    found = [-math.log(float(both(pair, calibration)[truth(pair[0])])) for pair in pairs]
    return sum(found) / max(len(found), 1)


def fit(count: int, lost: Callable[[Calibration], float]) -> Calibration:
    """Find the likeliest temperature and floor, as if `UNSEEN` calls more had been left out.

    "No call" already leaves something to what is not listed, so that the floor alone would come
    out as nothing: that none was left out beyond it in some thousand calls does not mean that none
    ever is (rule of three).
    """

    def at(point: list[float]) -> float:
        calibration = _calibration(point)
        unseen = UNSEEN * -math.log(max(calibration.floor, LEAST)) / count
        return lost(calibration) + unseen

    found = scipy.optimize.minimize(at, [0.2, -5.0], method="Nelder-Mead", tol=1e-3)
    return _calibration(found.x, digits=(2, 4))


def _calibration(point: Iterable[float], digits: tuple[int, int] = (9, 9)) -> Calibration:
    log_temperature, log_odds = point
    return Calibration(
        round(math.exp(log_temperature), digits[0]),
        round(1.0 / (1.0 + math.exp(-log_odds)), digits[1]),
    )


def reliability(sure: list[float], right: list[bool]) -> tuple[list[str], float]:
    """Set how sure the best value was against how often it was right.

    Returns:
        A line for each bin of doubt, and the expected calibration error.
    """
    shares, hits = np.array(sure), np.array(right, dtype=float)
    lines, error = [], 0.0
    for low, high in pairwise(BINS):
        here = (shares >= low) & ((shares < high) | (high == 1.0))
        if here.any():
            mean, hit = float(shares[here].mean()), float(hits[here].mean())
            lines.append(
                f"    from {low:<8} n {int(here.sum()):6d} wrong by its word {1 - mean:.6f}"
                f" in truth {1 - hit:.6f} {'#' * round(40 * hit)}"
            )
            error += abs(mean - hit) * float(here.mean())
    return lines, error


def show(name: str, calls: list[tuple[SaidCall, Call]], calibration: Calibration) -> None:
    """Print the reliability of single calls and of two together."""
    sure, right = [], []
    for said, call in calls:
        heard = utterance(call, PARTS[said.kind], calibration)
        value, share = max(heard.likely, key=lambda each: each[1])
        sure.append(share)
        right.append(value == truth(said))
    lines, error = reliability(sure, right)
    write(f"  {name}, single: calibration error {error:.4f}, {loss(calls, calibration):.4f} nat")
    for line in lines:
        write(line)
    sure, right = [], []
    pairs = together(calls)
    for pair in pairs:
        vector = both(pair, calibration)
        sure.append(float(vector.max()))
        right.append(int(vector.argmax()) == truth(pair[0]))
    lines, error = reliability(sure, right)
    lost = loss_together(pairs, calibration)
    write(f"  {name}, two together: calibration error {error:.5f}, {lost:.4f} nat")
    for line in lines:
        write(line)


def voices_of(corpus: Corpus, voices: tuple[str, ...], noise: Noise) -> list[SaidCall]:
    """List what these voices said at a level of noise."""
    return [
        each for each in corpus.calls if each.voice in voices and each.condition in LEVELS[noise]
    ]


def main(listener: str) -> None:
    """Fit and print."""
    corpus = load_corpus(PATHS[listener])
    every = taken(call for call in corpus.calls if call.voice in corpus.tune)
    write(f"single calls at all levels: {fit(len(every), partial(loss, every))}")
    fitted, singles = {}, {}
    for noise in Noise:
        tune = taken(voices_of(corpus, corpus.tune, noise))
        test = taken(voices_of(corpus, corpus.test, noise))
        pairs = together(tune)
        fitted[noise] = fit(len(pairs), partial(loss_together, pairs))
        alone = singles[noise] = fit(len(tune), partial(loss, tune))
        write(f"\n{noise.value}: {len(tune)} calls of {len(corpus.tune)} tuning voices")
        for name, calls in (("tuning voices", tune), ("test voices", test)):
            show(f"{name}, as heard", calls, AS_HEARD)
            show(f"{name}, calibrated on two", calls, fitted[noise])
            show(f"{name}, calibrated on single {alone}", calls, alone)
    for name, found in (("CALIBRATIONS", fitted), ("ALONE", singles)):
        write(f"\n{name}")
        for noise, one in found.items():
            write(f"    Noise.{noise.name}: Calibration({one.temperature}, {one.floor}),")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "encoder")
