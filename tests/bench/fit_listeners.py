"""Fits what turns all listeners' scores into probabilities, on tuning voices; shell.

``python -m tests.bench.fit_listeners FOLDER``, where FOLDER is what `tests.bench.hear_all` made of
the tuning voices. First each numbers model alone (the constants of `calllog.recognise.evidence`),
then all listeners together (`calllog.recognise.listeners.WEIGHTS`), by the likelihood of what was
said, calls and talk alike. The constants are printed, with reliability
and the expected calibration error before and after, the latter also with each voice left out of the
fit in turn.
"""

from __future__ import annotations

import itertools
import math
import sys
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import astuple, dataclass, replace
from functools import cache, partial
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

from calllog.recognise import Hypothesis
from calllog.recognise.evidence import (
    CALIBRATION,
    ENCODER_CALIBRATION,
    Calibration,
    Evidence,
    hypotheses,
    left,
)
from calllog.recognise.listeners import (
    ASKED,
    DOUBT_NATS,
    LIMIT,
    SURE_ALONE,
    WEIGHTS,
    Key,
    Opinion,
    Record,
    Weights,
    fuse,
    measures,
    opinion,
    unfitted,
)
from calllog.spoken import Meaning, Parser, load_grammar
from calllog.values import Expectation, Kind
from tests.bench.bench_recognition import GRAMMAR
from tests.bench.hear_all import HeardThing, load

LEAST = 1e-4
"""A probability of what was said counts as at least this: one clip must not steer the fit."""
BINS = 10
PRIOR, PRIOR_TOGETHER = 1e-3, 0.2
"""How much a constant of a numbers model, and of all together, is held to where it started, for
each square of the way [nat]: seven voices fit so many constants too well."""

CALIBRATIONS = (CALIBRATION, ENCODER_CALIBRATION)
"""Of the numbers model and the encoder model."""
COUNT = len(WEIGHTS.power)
START = replace(
    unfitted(COUNT),
    power=(0.4, 0.4, 1.2),
    surer=(0.1, 0.1, 0.0),
    deaf=WEIGHTS.deaf,
    doubts=(0.3, 0.3, 0.8),
)
"""Where the fit of all together begins: the encoder model, by far the best alone, counts most. With
each voice left out log-loss is 0.097; where all begin alike, held by 0.05 and by 0.02, 0.099 and
0.104; with still more for the encoder model 0.098 to 0.102."""

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
    numbers: Evidence
    encoder: Evidence
    leads: tuple[float, ...] = ()


Means = Callable[[str, Expectation], Key]
"""Tells what words mean; talk is ``("",)``."""


def meaning_by(parser: Parser) -> Means:
    """Let a parser tell what words mean; talk is ``("",)``, words that mean nothing themselves."""

    @cache
    def means(text: str, expects: Expectation) -> Key:
        found = parser.parse(text, expects, LIMIT)
        if isinstance(found, Meaning):
            return ("",) if found.kind is Kind.CHATTER else astuple(found)
        return (text,)

    return means


meaning = meaning_by(PARSER)


def with_leads(
    heard: Sequence[HeardThing],
    weights: Weights = WEIGHTS,
    calibrations: Sequence[Calibration] = CALIBRATIONS,
) -> list[HeardThing]:
    """Let all listeners hear each voice, role and condition in turn, and keep who was ahead."""
    records: dict[tuple[str, str, Expectation], Record] = defaultdict(lambda: Record(COUNT))
    found: list[HeardThing] = []
    for each in heard:
        record = records[each.voice, each.condition, each.expects]
        leads: list[tuple[float, ...]] = []
        for one in zip(each.sphinx, each.numbers, each.encoder, strict=True):
            said = opinions(Case("", "", (), each.expects, *one), calibrations)
            leads.append(record.meet(len(found) + len(leads) / 100))
            record.note(said, fuse(said, weights, leads[-1]))
        found.append(replace(each, leads=tuple(leads)))
    return found


def cases(heard: Sequence[HeardThing]) -> list[Case]:
    """Keep what came out as one utterance, by itself."""
    return [
        Case(
            each.voice,
            each.condition,
            ("",) if each.said.kind is Kind.CHATTER else meaning(each.said.words, each.expects),
            each.expects,
            each.sphinx[0],
            each.numbers[0],
            each.encoder[0],
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


class Evidences:
    """What was heard in all cases as arrays: a fit takes seconds. The same sums as in `hypotheses`.

    Args:
        among: the cases.
        evidence: what was heard in each of them.
        means: tells what its words mean.
    """

    def __init__(
        self, among: Sequence[Case], evidence: Sequence[Evidence], means: Means = meaning
    ) -> None:
        texts = [list(dict.fromkeys(s.text for s in (*e.first, *e.also))) for e in evidence]
        shape = len(among), max(1, *map(len, texts))
        self._nats = np.full((2, *shape), -np.inf)
        self._units = np.ones(shape)
        self._is_truth = np.zeros(shape, bool)
        for row, (case, each, listed) in enumerate(zip(among, evidence, texts, strict=True)):
            place = {text: column for column, text in enumerate(listed)}
            for which, sentences in enumerate((each.first, each.also)):
                for sentence in sentences:
                    self._nats[which, row, place[sentence.text]] = sentence.nats
            self._units[row, : len(listed)] = [each.units[text] for text in listed]
            meant = [means(text, case.expects) == case.truth for text in listed]
            self._is_truth[row, : len(listed)] = meant
        self._left = np.array(
            [[left(e.first, e.first_nats), left(e.also, e.also_nats)] for e in evidence]
        ).T
        self._loop, self._frames, self._spoken = np.array(
            [[e.loop_nats, max(e.frames, 1), e.spoken] for e in evidence]
        ).T
        self._heard = np.array([bool(listed) for listed in texts])
        self._no_call = np.array([case.truth == ("",) for case in among])

    def probabilities(self, calibration: Calibration) -> npt.NDArray[np.float64]:
        """Give the probability of what was said in each case, shape (cases,)."""
        prior = np.array([0.0, -calibration.also_nats])
        first, also = self._nats
        nats = np.maximum(first, also + prior[1])
        rows = np.arange(len(nats))
        best = nats.argmax(axis=1)
        top = np.where(self._heard, nats[rows, best], 0.0)
        odds = np.exp((nats - top[:, None]) / calibration.temperature)
        left_over = np.minimum(0.0, self._left + prior[:, None] - top) / calibration.temperature
        total = odds.sum(axis=1) + np.exp(left_over).sum(axis=0) + ~self._heard
        units = self._units[rows, best]
        is_also = np.isinf(first[rows, best])
        raw = np.where(is_also, also[rows, best], first[rows, best])
        with np.errstate(invalid="ignore"):
            measured = np.stack(
                [
                    (raw - self._loop) / units,
                    odds[rows, best] / total,
                    self._spoken,
                    np.log(self._frames / units),
                    is_also,
                ]
            )
        logit = calibration.intercept + np.array(calibration.weights) @ measured
        is_call = np.where(self._heard, 0.5 * (1.0 + np.tanh(logit / 2.0)), 0.0)
        said = is_call * (odds * self._is_truth).sum(axis=1) / total
        found = np.where(self._heard, said, 0.0) + np.where(self._no_call, 1.0 - is_call, 0.0)
        probabilities: npt.NDArray[np.float64] = np.clip(found, LEAST, 1.0)
        return probabilities


def fit_numbers(
    among: Sequence[Case],
    evidence: Sequence[Evidence],
    start: Calibration,
    means: Means = meaning,
) -> Calibration:
    """Fit temperature, prior and the regression of what heard each case so."""
    table = Evidences(among, evidence, means)

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
            -float(np.log(table.probabilities(given(x))).mean())
            + PRIOR * float(np.sum(np.square(np.asarray(x) - first)))
        ),
        first,
        method="Powell",
        options={"maxiter": 12, "xtol": 1e-2, "ftol": 1e-5},
    )
    return given([float(each) for each in found.x])


def opinions(case: Case, calibrations: Sequence[Calibration] = CALIBRATIONS) -> list[Opinion]:
    """Give all listeners' opinions."""
    key = partial(_key, expects=case.expects)
    heard = (
        hypotheses(evidence, calibration)
        for evidence, calibration in zip((case.numbers, case.encoder), calibrations, strict=True)
    )
    return [opinion(each, key) for each in (case.sphinx, *heard)]


@cache
def _key(text: str, expects: Expectation) -> Key:
    found = PARSER.parse(text, expects, LIMIT)
    return astuple(found) if isinstance(found, Meaning) else (text,)


class Table:
    """All opinions on all cases as arrays: a fit takes seconds. The same sums as in `fuse`."""

    def __init__(self, among: Sequence[Case], said: Sequence[Sequence[Opinion]]) -> None:
        keys = [list(dict.fromkeys(key for one in each for key in one.texts)) for each in said]
        shape = len(among), max(1, *map(len, keys))
        count = len(said[0])
        self._listed = np.zeros(shape, bool)
        self._odds = np.zeros((count, *shape))
        self._truth = np.full(len(among), -1)
        self._no_call = np.array([case.truth == ("",) for case in among])
        measured = [measures(each) for each in said]
        self._doubts = np.array([doubts for doubts, _ in measured])
        self._agreed = np.array([agreed for _, agreed in measured])
        self._leads = np.array([case.leads or (0.0,) * count for case in among])
        for row, (case, each, found) in enumerate(zip(among, said, keys, strict=True)):
            self._listed[row, : len(found)] = True
            for which, one in enumerate(each):
                self._odds[which, row, : len(found)] = [one.odds.get(key, 0.0) for key in found]
            if case.truth in found:
                self._truth[row] = found.index(case.truth)

    def probabilities(self, weights: Weights) -> npt.NDArray[np.float64]:
        """Give the probability of what was said in each case, shape (cases,)."""
        doubts = self._doubts
        powers = np.array(weights.power) * np.exp(
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
        logit = (doubts * np.exp(weights.lead[1] * self._leads)) @ np.array(weights.doubts)
        logit += weights.intercept + weights.agreement * self._agreed
        is_call = 0.5 * (1.0 + np.tanh(logit / 2.0))
        is_sure = doubts.max(axis=1) >= math.log(SURE_ALONE / (1.0 - SURE_ALONE))
        is_call = np.where(heard, np.where(is_sure, np.maximum(is_call, ASKED), is_call), 0.0)
        right = np.where(self._truth >= 0, is_call * share, 0.0)
        return np.clip(np.where(self._no_call, 1.0 - is_call, right), LEAST, 1.0)


def fit_together(
    among: Sequence[Case], said: Sequence[Sequence[Opinion]], start: Weights
) -> Weights:
    """Fit what puts all together.

    Below which doubt a listener counts as deaf was tried by hand (0.01 to 0.3).
    """
    table, count = Table(among, said), len(start.power)

    def given(x: Sequence[float]) -> Weights:
        each = iter(x)

        def some(number: int) -> tuple[float, ...]:
            return tuple(float(value) for value in itertools.islice(each, number))

        power, (floor,), surer, (intercept,) = some(count), some(1), some(count), some(1)
        doubts, (agreement,), lead = some(count), some(1), some(2)
        return Weights(
            power=tuple(math.exp(value) for value in power),
            surer=surer,
            deaf=start.deaf,
            floor=math.exp(floor),
            intercept=intercept,
            doubts=doubts,
            agreement=agreement,
            lead=(lead[0], lead[1]),
        )

    first = [
        *np.log(start.power),
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
            + PRIOR_TOGETHER * float(np.sum(np.square(np.asarray(x) - first)))
        ),
        first,
        method="Powell",
        options={"maxiter": 12, "xtol": 1e-2, "ftol": 1e-5},
    )
    return given([float(each) for each in found.x])


def show(*texts: object) -> None:
    """Print a line."""
    sys.stdout.write(" ".join(map(str, texts)) + "\n")


MODELS: tuple[tuple[str, Callable[[Case], Evidence], Calibration], ...] = (
    ("numbers", lambda case: case.numbers, CALIBRATION),
    ("encoder", lambda case: case.encoder, ENCODER_CALIBRATION),
)
"""What is fitted by itself."""


def _by(
    heard: Mapping[int, Evidence], calibration: Calibration
) -> Callable[[Case], Sequence[Hypothesis]]:
    return lambda case: hypotheses(heard[id(case)], calibration)


def main(folder: Path) -> None:
    """Fit, and print what to put into the program."""
    heard = load(folder, "tune")
    among = cases(with_leads(heard))
    show(f"{len(among)} utterances of {len({case.voice for case in among})} voices")
    show("PocketSphinx ", reliability(lambda case: case.sphinx, among))
    fitted: list[Calibration] = []
    losses = {"PocketSphinx": loss(lambda case: case.sphinx, among)}
    for name, hears, start in MODELS:
        evidence = [hears(case) for case in among]
        answers = {id(case): each for case, each in zip(among, evidence, strict=True)}
        show(f"{name}, before", reliability(_by(answers, start), among))
        fitted.append(fit_numbers(among, evidence, start))
        show(fitted[-1])
        show(f"{name}, after ", reliability(_by(answers, fitted[-1]), among))
        losses[name] = loss(_by(answers, fitted[-1]), among)
    among = cases(with_leads(heard, WEIGHTS, fitted))
    said = [opinions(case, fitted) for case in among]
    of = {id(case): each for case, each in zip(among, said, strict=True)}

    def together(weights: Weights) -> Callable[[Case], Sequence[Hypothesis]]:
        return lambda case: fuse(of[id(case)], weights, case.leads)

    show("together, before", reliability(together(WEIGHTS), among))
    weights = fit_together(among, said, START)
    show(weights)
    show("together, after ", reliability(together(weights), among))
    losses["together"] = loss(together(weights), among)
    show("log-loss:", ", ".join(f"{name} {value:.4f}" for name, value in losses.items()))
    left_out: dict[int, Sequence[Hypothesis]] = {}
    for voice in sorted({case.voice for case in among}):
        rest = [case for case in among if case.voice != voice]
        alone = fit_together(rest, [of[id(case)] for case in rest], START)
        for case in among:
            if case.voice == voice:
                left_out[id(case)] = fuse(of[id(case)], alone, case.leads)
    show("together, each voice left out", reliability(lambda case: left_out[id(case)], among))
    show(f"log-loss: {loss(lambda case: left_out[id(case)], among):.4f}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
