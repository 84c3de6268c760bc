"""Fits what turns the encoder model's scores into probabilities, on tuning voices; shell.

``python -m tests.bench.fit_encoder FOLDER``, where FOLDER is what `tests.bench.hear_all` made of
the tuning voices: the constants of `calllog.recognise.evidence`, by the likelihood of what was
said, calls and talk alike. They are printed, with reliability and the expected calibration error
before and after.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import astuple, dataclass, replace
from functools import cache, partial
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

from calllog.recognise import Hypothesis
from calllog.recognise.evidence import (
    CALIBRATION,
    Evidence,
    ScoreCalibration,
    hypotheses,
    left,
)
from calllog.spoken import Meaning, Parser, load_grammar
from calllog.values import Expectation, Kind
from tests.bench.bench_recognition import GRAMMAR
from tests.bench.hear_all import HeardThing, load

LIMIT = 10_000
"""Greatest reading that counts as a call [hundredths of a foot]."""
LEAST = 1e-4
"""A probability of what was said counts as at least this: one clip must not steer the fit."""
BINS = 10
PRIOR = 1e-3
"""How much a constant is held to where it started, for each square of the way [nat]: seven voices
fit so many constants too well."""

Key = tuple[object, ...]
"""What is meant: a meaning as a tuple, or words that mean nothing."""

PARSER = Parser(load_grammar(GRAMMAR.read_text("utf-8")))


@dataclass(frozen=True, slots=True)
class Case:
    """One utterance with what was said in it."""

    voice: str
    condition: str
    truth: Key
    """What was meant; ``("",)`` for talk that is no call."""
    expects: Expectation
    encoder: Evidence


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


def cases(heard: Sequence[HeardThing]) -> list[Case]:
    """Keep what came out as one utterance, by itself."""
    return [
        Case(
            each.voice,
            each.condition,
            ("",) if each.said.kind is Kind.CHATTER else meaning(each.said.words, each.expects),
            each.expects,
            each.encoder[0],
        )
        for each in heard
        if len(each.encoder) == 1
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

    def probabilities(self, calibration: ScoreCalibration) -> npt.NDArray[np.float64]:
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


def fit_encoder(
    among: Sequence[Case],
    evidence: Sequence[Evidence],
    start: ScoreCalibration,
    means: Means = meaning,
) -> ScoreCalibration:
    """Fit temperature, prior and the regression of what heard each case so."""
    table = Evidences(among, evidence, means)

    def given(x: Sequence[float]) -> ScoreCalibration:
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


def show(*texts: object) -> None:
    """Print a line."""
    sys.stdout.write(" ".join(map(str, texts)) + "\n")


def main(folder: Path) -> None:
    """Fit, and print what to put into the program."""
    among = cases(load(folder, "tune"))
    evidence = [case.encoder for case in among]
    fitted = fit_encoder(among, evidence, CALIBRATION)
    show(f"{len(among)} utterances of {len({case.voice for case in among})} voices")
    show(fitted)
    for name, calibration in (("before", CALIBRATION), ("after", fitted)):
        answers = partial(_answers, calibration=calibration)
        show(name, reliability(answers, among), f"log-loss {loss(answers, among):.4f}")


def _answers(case: Case, calibration: ScoreCalibration) -> Sequence[Hypothesis]:
    return hypotheses(case.encoder, calibration)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
