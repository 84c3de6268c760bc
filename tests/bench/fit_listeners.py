"""Fits what turns both listeners' scores into probabilities, on tuning voices; shell.

``python -m tests.bench.fit_listeners FOLDER``, where FOLDER is what `tests.bench.hear_both` made of
the tuning voices. First the numbers model alone (`numbers_engine.CALIBRATION`), then both together
(`two_listeners.WEIGHTS`), each by the likelihood of what was said, calls and talk alike. The
constants are printed, with reliability and the expected calibration error before and after, the
latter also with each voice left out of the fit in turn.
"""

from __future__ import annotations

import math
import sys
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import astuple, dataclass, replace
from functools import cache, partial
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

from calllog.recognise import Hypothesis
from calllog.recognise.evidence import CALIBRATION, Calibration, Evidence, hypotheses
from calllog.recognise.two_listeners import (
    ASKED,
    DOUBT_NATS,
    LIMIT,
    SURE_ALONE,
    UNFITTED,
    WEIGHTS,
    Key,
    Opinion,
    Record,
    Weights,
    fuse,
    measures,
    opinion,
)
from calllog.spoken import Meaning, Parser, load_grammar
from calllog.values import Expectation, Kind
from tests.bench.bench_recognition import GRAMMAR
from tests.bench.hear_both import HeardTwice, load

LEAST = 1e-4
"""A probability of what was said counts as at least this: one clip must not steer the fit."""
BINS = 10
PRIOR, PRIOR_BOTH = 1e-3, 0.02
"""How much a constant of the numbers model, and of both, is held to where it started, for each
square of the way [nat]. The latter was tried from 0.001 to 0.2 with each voice left out: its
log-loss fell from 0.171 to 0.155 at 0.1, where more was refused; here 0.159 and as many right."""

START = replace(UNFITTED, deaf=WEIGHTS.deaf)
"""Where the fit of both begins."""

PARSER = Parser(load_grammar(GRAMMAR.read_text("utf-8")))


@dataclass(frozen=True, slots=True)
class Case:
    """One utterance with what was said in it."""

    voice: str
    condition: str
    truth: Key
    """What was meant; ``("",)`` for talk that is no call."""
    expects: Expectation
    sphinx: tuple[Hypothesis, ...]
    evidence: Evidence
    lead_nats: float = 0.0


@cache
def meaning(text: str, expects: Expectation) -> Key:
    """Tell what words mean; talk and words that mean nothing are ``("",)``."""
    found = PARSER.parse(text, expects, LIMIT)
    if isinstance(found, Meaning):
        return ("",) if found.kind is Kind.CHATTER else astuple(found)
    return (text,)


def with_leads(
    heard: Sequence[HeardTwice],
    weights: Weights = WEIGHTS,
    calibration: Calibration = CALIBRATION,
) -> list[HeardTwice]:
    """Let both listeners hear each voice, role and condition in turn, and keep who was ahead."""
    records: dict[tuple[str, str, Expectation], Record] = defaultdict(Record)
    found: list[HeardTwice] = []
    for each in heard:
        record = records[each.voice, each.condition, each.expects]
        leads: list[float] = []
        key = partial(_key, expects=each.expects)
        for sphinx, evidence in zip(each.sphinx, each.numbers, strict=True):
            both = opinion(sphinx, key), opinion(hypotheses(evidence, calibration), key)
            leads.append(record.meet(len(found) + len(leads) / 100))
            record.note(*both, fuse(*both, weights, leads[-1]))
        found.append(replace(each, leads=tuple(leads)))
    return found


def cases(heard: Sequence[HeardTwice]) -> list[Case]:
    """Keep what came out as one utterance, by itself."""
    return [
        Case(
            each.voice,
            each.condition,
            ("",) if each.said.kind is Kind.CHATTER else meaning(each.said.words, each.expects),
            each.expects,
            each.sphinx[0],
            each.numbers[0],
            each.leads[0],
        )
        for each in heard
        if len(each.numbers) == 1
    ]


def probability(found: Sequence[Hypothesis], case: Case) -> float:
    """Give the probability of what was said."""
    total = sum(
        each.probability
        for each in found
        if (meaning(each.text, case.expects) if each.text else ("",)) == case.truth
    )
    return min(max(total if found else float(case.truth == ("",)), LEAST), 1.0)


def loss(answers: Callable[[Case], Sequence[Hypothesis]], among: Sequence[Case]) -> float:
    """Give the mean log-loss [nat]."""
    return -sum(math.log(probability(answers(case), case)) for case in among) / len(among)


def confidence(found: Sequence[Hypothesis], case: Case) -> tuple[float, bool] | None:
    """Give the probability of the likeliest call and whether it is right; None if it is no call."""
    by_meaning: dict[Key, float] = {}
    for each in found:
        key = meaning(each.text, case.expects) if each.text else ("",)
        by_meaning[key] = by_meaning.get(key, 0.0) + each.probability
    best = max(by_meaning, key=by_meaning.__getitem__, default=("",))
    return None if best == ("",) else (by_meaning[best], best == case.truth)


def reliability(answers: Callable[[Case], Sequence[Hypothesis]], among: Sequence[Case]) -> str:
    """Draw how often calls of each probability are right; end with the calibration error.

    Guo, Pleiss, Sun and Weinberger, "On calibration of modern neural networks", ICML 2017, eq. 3
    (from memory).
    """
    said = [c for case in among if (c := confidence(answers(case), case)) is not None]
    shown, error = [], 0.0
    for index in range(BINS):
        inside = [each for each in said if min(int(each[0] * BINS), BINS - 1) == index]
        if inside:
            stated = sum(p for p, _ in inside) / len(inside)
            right = sum(r for _, r in inside) / len(inside)
            error += abs(stated - right) * len(inside)
            shown.append(f"{stated:.2f}:{right:.2f} ({len(inside)})")
    return f"{'  '.join(shown)}  error {error / max(1, len(said)):.4f}, n {len(said)}"


def fit_numbers(among: Sequence[Case], start: Calibration) -> Calibration:
    """Fit temperature, prior and the regression of the numbers model."""

    def given(x: Sequence[float]) -> Calibration:
        return replace(
            start,
            temperature=math.exp(x[0]),
            also_nats=x[1],
            intercept=x[2],
            weights=tuple(float(w) for w in x[3:]),
        )

    first = [math.log(start.temperature), start.also_nats, start.intercept, *start.weights]
    found = minimize(
        lambda x: (
            loss(lambda c: hypotheses(c.evidence, given(x)), among)
            + PRIOR * float(np.sum(np.square(np.asarray(x) - first)))
        ),
        first,
        method="Powell",
        options={"maxiter": 6, "xtol": 1e-2, "ftol": 1e-4},
    )
    return given([float(each) for each in found.x])


def opinions(case: Case, calibration: Calibration) -> tuple[Opinion, Opinion]:
    """Give both listeners' opinions."""
    key = partial(_key, expects=case.expects)
    return opinion(case.sphinx, key), opinion(hypotheses(case.evidence, calibration), key)


@cache
def _key(text: str, expects: Expectation) -> Key:
    found = PARSER.parse(text, expects, LIMIT)
    return astuple(found) if isinstance(found, Meaning) else (text,)


class Table:
    """Both opinions on all cases as arrays: a fit takes seconds. The same sums as in `fuse`."""

    def __init__(self, among: Sequence[Case], both: Sequence[tuple[Opinion, Opinion]]) -> None:
        keys = [list(second.texts | first.texts) for first, second in both]
        shape = len(among), max(map(len, keys))
        self._listed = np.zeros(shape, bool)
        self._odds = np.zeros((2, *shape))
        self._truth = np.full(len(among), -1)
        self._no_call = np.array([case.truth == ("",) for case in among])
        self._measures = np.array([measures(*pair) for pair in both])
        self._leads = np.array([[-case.lead_nats, case.lead_nats] for case in among])
        for row, (case, pair, found) in enumerate(zip(among, both, keys, strict=True)):
            self._listed[row, : len(found)] = True
            for which, one in enumerate(pair):
                self._odds[which, row, : len(found)] = [one.odds.get(key, 0.0) for key in found]
            if case.truth in found:
                self._truth[row] = found.index(case.truth)

    def probabilities(self, weights: Weights) -> npt.NDArray[np.float64]:
        """Give the probability of what was said in each case, shape (cases,)."""
        doubts, agreed = self._measures[:, :2], self._measures[:, 2]
        powers = weights.power * np.exp(
            np.clip(doubts, *DOUBT_NATS) * weights.surer + weights.lead[0] * self._leads
        )
        with np.errstate(divide="ignore"):
            deaf = np.log(weights.deaf) - np.log1p(-np.array(weights.deaf))
        powers[doubts < deaf] = 0.0
        doubts = np.maximum(doubts, deaf)
        nats = sum(
            power[:, None] * np.log(np.maximum(odds, weights.floor))
            for power, odds in zip(powers.T, self._odds, strict=True)
        )
        nats = np.where(self._listed, nats, -np.inf)
        heard = self._listed.any(axis=1)
        odds = np.exp(nats - np.where(heard, nats.max(axis=1), 0.0)[:, None])
        rows = np.arange(len(odds))
        share = odds[rows, np.maximum(self._truth, 0)] / np.maximum(odds.sum(axis=1), LEAST)
        logit = (doubts * np.exp(weights.lead[1] * self._leads)) @ weights.doubts
        logit += weights.intercept + weights.agreement * agreed
        is_call = 0.5 * (1.0 + np.tanh(logit / 2.0))
        is_sure = doubts.max(axis=1) >= math.log(SURE_ALONE / (1.0 - SURE_ALONE))
        is_call = np.where(heard, np.where(is_sure, np.maximum(is_call, ASKED), is_call), 0.0)
        right = np.where(self._truth >= 0, is_call * share, 0.0)
        return np.clip(np.where(self._no_call, 1.0 - is_call, right), LEAST, 1.0)


def fit_both(
    among: Sequence[Case], both: Sequence[tuple[Opinion, Opinion]], start: Weights
) -> Weights:
    """Fit what puts both together.

    Both have the same power where they doubt evenly, whatever the tuning voices say: of other
    voices either may be the better. Below which doubt a listener counts as deaf was tried by hand
    (0.01 to 0.3).
    """
    table = Table(among, both)

    def given(x: Sequence[float]) -> Weights:
        power, floor = math.exp(x[0]), math.exp(x[1])
        rest = x[4], (x[5], x[6]), x[7], (x[8], x[9])
        return Weights(power, (x[2], x[3]), start.deaf, floor, *rest)

    first = [
        math.log(start.power),
        math.log(start.floor),
        *start.surer,
        start.intercept,
        *start.doubts,
        start.agreement,
        *start.lead,
    ]
    found = minimize(
        lambda x: (
            -float(np.log(table.probabilities(given(x))).mean())
            + PRIOR_BOTH * float(np.sum(np.square(np.asarray(x) - first)))
        ),
        first,
        method="Powell",
        options={"maxiter": 12, "xtol": 1e-2, "ftol": 1e-5},
    )
    return given([float(each) for each in found.x])


def show(*texts: object) -> None:
    """Print a line."""
    sys.stdout.write(" ".join(map(str, texts)) + "\n")


def main(folder: Path) -> None:
    """Fit, and print what to put into the program."""
    heard = load(folder, "tune")
    among = cases(with_leads(heard))
    show(f"{len(among)} utterances of {len({case.voice for case in among})} voices")

    def numbers_by(calibration: Calibration) -> Callable[[Case], Sequence[Hypothesis]]:
        return lambda case: hypotheses(case.evidence, calibration)

    show("PocketSphinx ", reliability(lambda case: case.sphinx, among))
    show("numbers, before", reliability(numbers_by(CALIBRATION), among))
    calibration = fit_numbers(among, CALIBRATION)
    show(calibration)
    show("numbers, after ", reliability(numbers_by(calibration), among))
    among = cases(with_leads(heard, WEIGHTS, calibration))
    both = [opinions(case, calibration) for case in among]
    pairs = {id(case): pair for case, pair in zip(among, both, strict=True)}

    def both_by(weights: Weights) -> Callable[[Case], Sequence[Hypothesis]]:
        return lambda case: fuse(*pairs[id(case)], weights, case.lead_nats)

    show("both, before", reliability(both_by(WEIGHTS), among))
    weights = fit_both(among, both, START)
    show(weights)
    show("both, after ", reliability(both_by(weights), among))
    show(
        f"log-loss: PocketSphinx {loss(lambda c: c.sphinx, among):.4f}, numbers "
        f"{loss(numbers_by(calibration), among):.4f}, both {loss(both_by(weights), among):.4f}"
    )
    left_out: dict[int, Sequence[Hypothesis]] = {}
    for voice in sorted({case.voice for case in among}):
        rest = [case for case in among if case.voice != voice]
        alone = fit_both(rest, [pairs[id(case)] for case in rest], START)
        for case in among:
            if case.voice == voice:
                left_out[id(case)] = fuse(*pairs[id(case)], alone, case.lead_nats)
    show("both, each voice left out", reliability(lambda case: left_out[id(case)], among))
    show(f"log-loss: {loss(lambda case: left_out[id(case)], among):.4f}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
