"""Fits temperature and floor on tuning voices, and shows how reliable probabilities are; shell.

Run with ``python -m tests.bench.fit_calibration``. For each level of noise it finds the
temperature and floor under which what was said was likeliest (maximum likelihood over the calls
that are taken, tuning voices only). It prints what belongs into `calllog.decoding.evidence`, and a
reliability diagram with the expected calibration error before and after, for tuning voices and,
for information, for test voices.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable
from itertools import pairwise

import numpy as np
from scipy.optimize import minimize

from calllog.decoding import Calibration, Noise, Part, Utterance, utterance
from calllog.values import Call, Expectation, Kind, Outcome, Role
from tests.bench.crew_corpus import Corpus, HeardCall, SaidCall, load_corpus

LEVELS = {
    Noise.QUIET: ("clean",),
    Noise.NOISY: ("pink 15 dB", "wind 5 dB"),
    Noise.LOUD: ("pink 10 dB",),
}
"""Conditions of the corpus that belong to each level."""
PARTS = {Kind.WHOLE: Part.WHOLE, Kind.FRACTION: Part.FRACTION, Kind.READING: Part.READING}
SIZES = {Part.WHOLE: 101, Part.FRACTION: 100, Part.READING: 10_100}
AS_HEARD = Calibration(1.0, 0.0)
BINS = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 1.0)
LEAST = 1e-9
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
        reason="",
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


def share_of(heard: Utterance, value: int) -> float:
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


def fit(pairs: list[tuple[SaidCall, Call]]) -> Calibration:
    """Find the likeliest temperature and floor."""

    def at(point: list[float]) -> float:
        return loss(pairs, _calibration(point))

    starts = ([0.0, -4.0], [0.7, -3.0], [-0.5, -5.0])
    found = [minimize(at, start, method="Nelder-Mead", tol=1e-4) for start in starts]
    return _calibration(min(found, key=lambda each: each.fun).x)


def _calibration(point: Iterable[float]) -> Calibration:
    log_temperature, log_odds = point
    return Calibration(
        round(math.exp(log_temperature), 2), round(1.0 / (1.0 + math.exp(-log_odds)), 4)
    )


def reliability(
    pairs: list[tuple[SaidCall, Call]], calibration: Calibration
) -> tuple[list[tuple[float, int, float, float]], float]:
    """Set how sure the best value was against how often it was right.

    Returns:
        For each bin its lower end, how many calls, mean probability and share right; and the
        expected calibration error.
    """
    sure, right = [], []
    for said, call in pairs:
        heard = utterance(call, PARTS[said.kind], calibration)
        value, share = max(heard.likely, key=lambda each: each[1])
        sure.append(share)
        right.append(value == truth(said))
    shares, hits = np.array(sure), np.array(right, dtype=float)
    rows, error = [], 0.0
    for low, high in pairwise(BINS):
        here = (shares >= low) & ((shares < high) | (high == 1.0))
        if here.any():
            mean, hit = float(shares[here].mean()), float(hits[here].mean())
            rows.append((low, int(here.sum()), mean, hit))
            error += abs(mean - hit) * float(here.mean())
    return rows, error


def show(name: str, pairs: list[tuple[SaidCall, Call]], calibration: Calibration) -> None:
    """Print a reliability diagram."""
    rows, error = reliability(pairs, calibration)
    write(f"  {name}: calibration error {error:.4f}, loss {loss(pairs, calibration):.4f} nat")
    for low, count, mean, hit in rows:
        bar = "#" * round(40 * hit)
        write(f"    from {low:.2f} n {count:5d} sure {mean:.3f} right {hit:.3f} {bar}")


def voices_of(corpus: Corpus, voices: tuple[str, ...], noise: Noise) -> list[SaidCall]:
    """List what these voices said at a level of noise."""
    return [
        each for each in corpus.calls if each.voice in voices and each.condition in LEVELS[noise]
    ]


def main() -> None:
    """Fit and print."""
    corpus = load_corpus()
    fitted = {}
    for noise in Noise:
        tune = taken(voices_of(corpus, corpus.tune, noise))
        test = taken(voices_of(corpus, corpus.test, noise))
        calibration = fit(tune)
        fitted[noise] = calibration
        write(f"\n{noise.value}: {len(tune)} calls of {len(corpus.tune)} tuning voices")
        for name, pairs in (("tuning voices", tune), ("test voices", test)):
            show(f"{name}, as heard", pairs, AS_HEARD)
            show(f"{name}, calibrated", pairs, calibration)
        for kind in PARTS:
            those = [each for each in tune if each[0].kind is kind]
            if those:
                write(f"    {kind.value} alone would be {fit(those)}")
    write("")
    for noise, calibration in fitted.items():
        write(f"Noise.{noise.name}: Calibration({calibration.temperature}, {calibration.floor}),")


if __name__ == "__main__":
    main()
