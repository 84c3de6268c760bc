"""Simulates a crew's pulls over really decoded calls, and counts what is booked wrong; shell.

Run with ``python -m tests.bench.bench_crew [PULLS]``. Each pull has two people with one test voice
each, so that what is misheard of a voice is misheard again in take and check. They make the
blunders of `CREW` at its rates. Their calls are drawn from the corpus of decoded sound
(`tests.bench.crew_corpus`). In the same run, over the same pulls, these ways are compared:

- best: the best hypotheses of the take alone, no check;
- compared: take and check by best hypotheses, compared within the tolerance;
- joint: all calls weighed together, one call asked again where it costs least;
- joint, read back: the same, where a wrong read-back is noticed as often as was published;
- unchecked, joint: the take alone, weighed;
- typed once, typed twice: keypads with the published rates of wrong fields.

Silently wrong is a booked length that is not what the one who took it called, off by more than
the tolerance (and, apart, off at all). A wrong call of the crew itself that both ends repeat alike
cannot be noticed by any listener; a crew's blunder counts as caught if the pull is not booked.
Intervals resample voices and, within a voice, recordings, then pulls (95 %).

With ``--people`` the crews of `tests.bench.crew_day` make the blunders of people as well, at the
rates that stand there: roles that turn round, conditions that end with their pull, a tape of
another style than the certificate's, calls that are corrected, said again or said at once. The
same lines are walked under the pairing of old journals and under the newest one (``--pairing`` one
of them), over the pairing machine itself, read back; with ``--blind-check`` nothing is read back
before the check is complete. Silently wrong is here what is recorded, off by more than the
tolerance from what is true, recorded twice, or under conditions that are not its own. It is told
for all and for the pulls that each blunder is in.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import random
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import product

import numpy as np

from calllog.decoding import (
    ALONE,
    CALIBRATIONS,
    NEWEST,
    Action,
    Calibration,
    CalledPart,
    Doubt,
    Noise,
    Part,
    Weighed,
    decide,
    decode,
    likelihood,
    space,
    utterance,
)
from calllog.decoding.decision import COSTS, Costs
from calllog.decoding.evidence import KEYED_WRONG
from calllog.decoding.repeatability import DEFAULT
from calllog.pairing import EDITION
from calllog.recognise import SURE, TENTATIVE
from calllog.resources import DEFAULT_GRAMMAR
from calllog.values import Kind, LineSettings, Outcome, Style
from tests.bench.crew_corpus import (
    LISTENERS,
    PATHS,
    PEOPLE,
    SPANISH,
    Corpus,
    SaidCall,
    load_corpus,
)
from tests.bench.crew_day import ALL_KINDS, PULLS_OF_LINE, Count, Day, Ears, Kinds, planned
from tests.bench.fit_calibration import as_call
from tests.bench.quick_weighing import quickly
from tests.measured.results import keep

PULLS = 200_000
EDITIONS = {"encoder": NEWEST, SPANISH: NEWEST, PEOPLE: NEWEST}
"""Edition of the calibration (`calllog.decoding.CALIBRATIONS`) in force for each listener."""
GRAMMARS = {SPANISH: "es-feet"}
"""By which the calls of a corpus are understood, if not by the usual one."""
PART_OF = {SPANISH: "crew-es"}
"""Under which name its results are kept, if not under the usual one."""
TWICE_WRONG = 0.046e-3
"""Wrong fields of double entry (Paulsen et al. 2012)."""
NOTICED = 0.05 ** (1 / 29)
"""Share of wrong read-backs that are noticed: 29 of 29 in 822 calls (Barenfanger et al. 2004),
taken at its lower 95 % bound, 0.90."""
TOLERANCE = 1
LINE = LineSettings(
    line_from="A", line_to="B", tape="T", style=Style.ADD, nominal=100, limit=10_099
)
ROWS = {
    "clean": "clean",
    "p15": "pink 15",
    "p10": "pink 10",
    "w5": "wind 5",
}
Blunders = tuple[tuple[str, float, Callable[[int], int]], ...]
CREW: Blunders = (
    ("0.01", 0.20, lambda length: length + random_sign()),
    ("0.02", 0.01, lambda length: length + 2 * random_sign()),
    ("foot", 1e-3, lambda length: length + 100 * random_sign()),
    ("ten feet", 3e-4, lambda length: length + 1000 * random_sign()),
    ("swapped", 5e-4, lambda length: length // 100 * 100 + _swap(length % 100)),
    ("six-nine", 3e-4, lambda length: int(str(length).translate(str.maketrans("69", "96")))),
    ("wrong side", 5e-4, lambda length: length // 100 * 100 + (100 - length % 100) % 100),
)
"""What one end calls differently from the other: name, rate a pull, the other length."""
BLUNDERING = tuple(
    (name, 1.0 / 3.0, other) for name, _, other in CREW if name in ("foot", "ten feet", "six-nine")
)
"""A crew that reads hardly any pull right, to count which blunders are booked."""
FOOT = 100
BELOW = 10_000
"""Crews call less than this [hundredths of a foot]: what all voices can say."""
MOST_TRIES = 3
"""A call that is not taken is said again so often, then it is typed."""
RESAMPLED = 400
PORTION = 500
"""Pulls of one share of the work."""
SEED = "people"
PAIRINGS = {"old": 0, "new": EDITION}
"""Editions of the pairing that people's blunders are walked under."""
CURVE = (30.0, 100.0, 300.0, 1000.0, 3000.0, 10_000.0)
"""Costs of a silently wrong segment for which questions and wrong segments are printed."""
rng = random.Random(20261125)  # noqa: S311 - which calls are drawn is no secret


def random_sign() -> int:
    """Draw plus or minus one."""
    return rng.choice((-1, 1))


def _swap(part: int) -> int:
    return part % 10 * 10 + part // 10


COUNTS = (
    *("pulls", "wrong", "near", "questions", "noticed", "stops", "notes", "blunders", "caught"),
    *("feet", "feet_caught"),
)


@dataclass
class Tally:
    """What became of the pulls of one way."""

    pulls: int = 0
    wrong: int = 0
    """Booked, off by more than the tolerance."""
    near: int = 0
    """Booked, off by the tolerance or less."""
    questions: int = 0
    noticed: int = 0
    """Wrong read-backs that the crew corrected."""
    stops: int = 0
    notes: int = 0
    blunders: int = 0
    """Blunders of the crew of more than the tolerance."""
    caught: int = 0
    feet: int = 0
    """Those of a foot or more."""
    feet_caught: int = 0
    wrong_by: Counter[tuple[str, str]] = field(default_factory=Counter)
    """Wrong pulls by the two voices."""
    pulls_by: Counter[tuple[str, str]] = field(default_factory=Counter)
    wrong_calls: Counter[tuple[tuple[str, str], tuple[str, int, str]]] = field(
        default_factory=Counter
    )
    """Wrong pulls by voices and the recording that was misheard."""

    def add(self, other: Tally) -> None:
        """Add what another share counted."""
        for name in COUNTS:
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.wrong_by += other.wrong_by
        self.pulls_by += other.pulls_by
        self.wrong_calls += other.wrong_calls


@dataclass(frozen=True)
class Heard:
    """One call as it was taken in the end."""

    value: int
    """Feet or hundredths."""
    likely: CalledPart
    said: SaidCall | None
    """None for one that was typed."""


@dataclass
class Crew:
    """Draws calls of two voices under one condition."""

    corpus: Corpus
    condition: str
    calibration: Calibration
    sure: float = SURE
    """How likely a number must be to be taken."""

    def hear(
        self,
        voice: str,
        part: Part,
        value: int,
        *,
        read_back: bool,
        last: SaidCall | None = None,
    ) -> tuple[Heard, int, int]:
        """Let a voice call a part until it is taken.

        What is said again is another recording than the last, where there is one.

        Returns:
            The call, how often it was asked, and how often a wrong read-back was noticed.
        """
        kind = Kind(part.value)
        hundredths = value * FOOT if part is Part.WHOLE else value
        drawn = self.corpus.by_value[voice, self.condition, kind, hundredths]
        those = sorted(rng.sample(drawn, len(drawn)), key=lambda each: each is last)
        asked = noticed = 0
        for tried in range(MOST_TRIES):
            said = those[tried % len(those)]
            heard_as = (each.taken(kind, self.sure) for each in said.heard)
            taken = [each for each in heard_as if each.outcome is Outcome.CALL]
            if not taken or taken[0].kind is not kind or taken[0].value is None:
                asked += any(each.outcome is Outcome.ASK for each in said.heard)
                continue
            heard = taken[0].value // FOOT if part is Part.WHOLE else taken[0].value
            if read_back and heard != value and rng.random() < NOTICED:
                noticed += 1
                continue
            return Heard(heard, self.likely(said, part), said), asked, noticed
        return Heard(value, typed(part, value), None), asked, noticed

    def likely(self, said: SaidCall, part: Part) -> CalledPart:
        """Calibrate the call that was taken."""
        heard_as = (each.taken(said.kind, self.sure) for each in said.heard)
        taken = next(each for each in heard_as if each.outcome is Outcome.CALL)
        return utterance(as_call(said, taken), part, self.calibration)


def typed(part: Part, value: int) -> CalledPart:
    """Give a typed call."""
    return CalledPart(0, part, ((value, 1.0 - KEYED_WRONG),), KEYED_WRONG)


@dataclass
class Pull:
    """A pull as it was called, and as it was taken."""

    voices: tuple[str, str]
    lengths: tuple[int, int]
    """What the take and the check called."""
    heard: dict[tuple[bool, Part], list[Heard]]
    asked: int = 0
    noticed: int = 0

    def length(self, *, is_take: bool) -> int:
        """Give the length by the last call of each part."""
        whole, fraction = (self.heard[is_take, part][-1].value for part in PARTS)
        return FOOT * whole + fraction

    def voice(self, part: Part, *, is_take: bool) -> str:
        """Tell who calls a part: after switching ends the other one."""
        return self.voices[(part is Part.WHOLE) is not is_take]


PARTS = (Part.WHOLE, Part.FRACTION)


def measured(blunders: Blunders) -> tuple[tuple[int, int], str]:
    """Let a crew read a pull, blunders and all: what take and check call, the blunder's name."""
    while True:
        take = rng.randrange(BELOW)
        check, name = take, ""
        draw = rng.random()
        for blunder, rate, other in blunders:
            if draw < rate:
                check, name = other(take), blunder
                break
            draw -= rate
        if 0 <= check < BELOW:
            break
    if name and rng.random() < 0.5:
        take, check = check, take
    if check == take:
        name = ""
    return (take, check), name


def called(
    crew: Crew, voices: tuple[str, str], lengths: tuple[int, int], *, read_back: bool = False
) -> Pull:
    """Let a pull be called and heard."""
    pull = Pull(voices, lengths, {})
    for is_take, length in zip((True, False), lengths, strict=True):
        for part, value in zip(PARTS, divmod(length, FOOT), strict=True):
            voice = pull.voice(part, is_take=is_take)
            heard, asked, noticed = crew.hear(voice, part, value, read_back=read_back)
            pull.heard[is_take, part] = [heard]
            pull.asked += asked
            pull.noticed += noticed
    return pull


def weigh(pull: Pull, asked: Counter[tuple[bool, Part]], *, is_checked: bool) -> Weighed:
    """Weigh a pull as the machine does (`calllog.pairing.weighing`)."""
    where = space(LINE, 0)
    sides = (True, False) if is_checked else (True,)
    vectors = [
        likelihood(where, [each.likely for part in PARTS for each in pull.heard[is_take, part]])
        for is_take in sides
    ]
    found = decode(where, vectors[0], vectors[1] if is_checked else None, DEFAULT)
    take = pull.length(is_take=True)
    marginals = {True: found.take, False: found.check}
    doubts = []
    for is_take in sides:
        of, length = marginals[is_take], pull.length(is_take=is_take)
        assert of is not None
        for part, places in ((Part.WHOLE, where.feet), (Part.FRACTION, where.hundredths)):
            if pull.heard[is_take, part][-1].said is not None:
                doubt = float(of[places != places[length]].sum())
                doubts.append(Doubt(is_take, part, doubt, asked[is_take, part]))
    right = float(found.take[take])
    within = float(found.take[max(take - TOLERANCE, 0) : take + TOLERANCE + 1].sum())
    apart = abs(take - pull.length(is_take=False)) if is_checked else 0
    return Weighed(
        wrong=max(1.0 - within, 0.0),
        near=max(within - right, 0.0),
        agree=found.within(TOLERANCE),
        differs=apart > TOLERANCE,
        is_apart=apart > 0,
        doubts=tuple(doubts),
        is_checked=is_checked,
        can_ask=True,
    )


SURE_STEPS = (0.999, 0.99, 0.98, 0.97, 0.96, 0.95, 0.93, 0.9, 0.85, 0.8)


@lru_cache(maxsize=200_000)
def _books_at_worst(steps: tuple[float, ...], apart: int, costs: Costs) -> bool:
    """Tell whether a pull is booked even if all its doubt lay on one and the same other value.

    A pull whose calls are at least so sure is then booked too, so it need not be weighed.
    """
    values = {True: (15, 42), False: (15, 42 + apart)}
    heard: dict[tuple[bool, Part], list[Heard]] = {}
    shares = iter(steps)
    for is_take in (True, False):
        for part, value in zip(PARTS, values[is_take], strict=True):
            sure = next(shares)
            other = 50 if part is Part.WHOLE else 80
            likely = ((value, sure), (other, (1.0 - sure) * 0.98))
            nothing = SaidCall("", "", Kind(part.value), value, "", ())
            heard[is_take, part] = [
                Heard(value, CalledPart(1, part, likely, (1.0 - sure) * 0.02), nothing)
            ]
    pull = Pull(("", ""), (1542, 1542 + apart), heard)
    weighed = weigh(pull, Counter(), is_checked=True)
    return decide(weighed, costs).action is Action.BOOK


def books_surely(pull: Pull, costs: Costs) -> bool:
    """Tell quickly whether a pull is booked without more ado (see `_books_at_worst`)."""
    apart = abs(pull.length(is_take=True) - pull.length(is_take=False))
    if apart:
        return False
    steps = []
    for is_take in (True, False):
        for part in PARTS:
            one = pull.heard[is_take, part][-1]
            share = dict(one.likely.likely).get(one.value, 0.0)
            step = next((each for each in SURE_STEPS if share >= each), None)
            if step is None:
                return False
            steps.append(step)
    return _books_at_worst(tuple(steps), apart, costs)


def decided(
    crew: Crew, pull: Pull, tally: Tally, *, read_back: bool, is_checked: bool, costs: Costs
) -> bool:
    """Go through questions to a decision; tell whether the pull is booked."""
    asked: Counter[tuple[bool, Part]] = Counter()
    is_confirmed = False
    if is_checked and books_surely(pull, costs):
        return True
    while True:
        weighed = replace(weigh(pull, asked, is_checked=is_checked), is_confirmed=is_confirmed)
        verdict = decide(weighed, costs)
        if verdict.action is Action.ASK and verdict.doubt is not None:
            place = verdict.doubt.is_take, verdict.doubt.part
            asked[place] += 1
            tally.questions += 1
            length = pull.lengths[0 if place[0] else 1]
            value = divmod(length, FOOT)[place[1] is Part.FRACTION]
            voice = pull.voice(place[1], is_take=place[0])
            before = pull.heard[place][-1]
            again, more, noticed = crew.hear(
                voice, place[1], value, read_back=read_back, last=before.said
            )
            tally.questions += more
            tally.noticed += noticed
            is_confirmed = again.value == before.value
            pull.heard[place].append(again)
            continue
        tally.notes += verdict.action is Action.NOTE
        tally.stops += verdict.action is Action.STOP
        return verdict.action is not Action.STOP


def count(pull: Pull, name: str, tally: Tally, *, is_booked: bool, booked: int) -> None:
    """Count a pull that was decided."""
    tally.pulls += 1
    tally.questions += pull.asked
    tally.noticed += pull.noticed
    tally.pulls_by[pull.voices] += 1
    off = abs(booked - pull.lengths[0])
    if name and abs(pull.lengths[0] - pull.lengths[1]) > TOLERANCE:
        tally.blunders += 1
        tally.caught += not is_booked
    if name and abs(pull.lengths[0] - pull.lengths[1]) >= FOOT:
        tally.feet += 1
        tally.feet_caught += not is_booked
    if is_booked and off > TOLERANCE:
        tally.wrong += 1
        tally.wrong_by[pull.voices] += 1
        said = next(
            (
                each[-1].said
                for (is_take, part), each in pull.heard.items()
                if is_take and each[-1].value != divmod(pull.lengths[0], FOOT)[part is PARTS[1]]
            ),
            None,
        )
        if said is not None:
            key = (said.voice, said.value, said.words)
            tally.wrong_calls[pull.voices, key] += 1
    elif is_booked and off:
        tally.near += 1


def interval(tally: Tally, voices: tuple[str, ...]) -> tuple[float, float]:
    """Resample voices, the recordings that were misheard, and pulls: wrong ones per 10,000 (95 %).

    Each voice is drawn with replacement, and with it its pulls; each misheard recording counts as
    often as a Poisson draw says, as if other recordings of it had been made.
    """
    draw = np.random.default_rng(7)
    found = []
    calls = list(tally.wrong_calls.items())
    for _ in range(RESAMPLED):
        weight = Counter(draw.choice(voices, len(voices)).tolist())
        pulls = sum(n * weight[a] * weight[b] for (a, b), n in tally.pulls_by.items())
        times: dict[tuple[str, int, str], int] = defaultdict(lambda: int(draw.poisson(1.0)))
        wrong = sum(
            int(draw.poisson(n)) * weight[a] * weight[b] * times[key] for ((a, b), key), n in calls
        )
        if pulls:
            found.append(1e4 * wrong / pulls)
    low, high = np.percentile(found, (2.5, 97.5))
    return float(low), max(float(high), 3e4 / max(tally.pulls, 1))


def spread_out(
    listener: str,
    row: str,
    pulls: int,
    costs: Costs = COSTS,
    ways: tuple[str, ...] = (),
    *,
    is_blundering: bool = False,
) -> dict[str, Tally]:
    """Run one row on all processors, each share with a seed of its own."""
    shares = [
        (listener, row, PORTION, costs, ways, number, is_blundering)
        for number in range(-(-pulls // PORTION))
    ]
    with multiprocessing.get_context("spawn").Pool() as pool:
        found = pool.starmap(_share, shares, chunksize=1)
    whole: dict[str, Tally] = defaultdict(Tally)
    for tallies in found:
        for name, tally in tallies.items():
            whole[name].add(tally)
    return whole


@lru_cache(maxsize=1)
def _corpus(listener: str) -> Corpus:
    return load_corpus(PATHS[listener])


def _share(
    listener: str,
    row: str,
    pulls: int,
    costs: Costs,
    ways: tuple[str, ...],
    number: int,
    is_blundering: bool,  # noqa: FBT001 - the pool passes arguments by place
) -> dict[str, Tally]:
    rng.seed(f"{row} {number}")
    blunders = BLUNDERING if is_blundering else CREW
    corpus = _corpus(listener)
    return dict(simulate(corpus, row, pulls, EDITIONS[listener], costs, ways, blunders))


def simulate(
    corpus: Corpus,
    row: str,
    pulls: int,
    edition: int = NEWEST,
    costs: Costs = COSTS,
    ways: tuple[str, ...] = (),
    blunders: Blunders = CREW,
) -> dict[str, Tally]:
    """Run one row: for every way the same pulls, each heard anew."""
    plain = Crew(corpus, ROWS[row], CALIBRATIONS[edition][Noise.NOISY])
    crew = replace(plain, sure=TENTATIVE)
    single = replace(plain, calibration=ALONE[edition][Noise.NOISY])
    tallies: dict[str, Tally] = defaultdict(Tally)
    for _ in range(pulls):
        rear, head = rng.sample(corpus.test, 2)
        voices, (lengths, name) = (rear, head), measured(blunders)
        if not ways:
            pull = called(plain, voices, lengths)
            take, check = (pull.length(is_take=each) for each in (True, False))
            count(pull, name, tallies["best"], is_booked=True, booked=take)
            agrees = abs(take - check) <= TOLERANCE
            tallies["compared"].stops += not agrees
            count(pull, name, tallies["compared"], is_booked=agrees, booked=take)
            one = tallies["unchecked, joint"]
            pull = called(single, voices, lengths)
            done = decided(single, pull, one, read_back=False, is_checked=False, costs=costs)
            count(pull, "", one, is_booked=done, booked=pull.length(is_take=True))
        for way in ("joint, read back", "joint"):
            if ways and way not in ways:
                continue
            one, is_told = tallies[way], way != "joint"
            pull = called(crew, voices, lengths, read_back=is_told)
            done = decided(crew, pull, one, read_back=is_told, is_checked=True, costs=costs)
            count(pull, name, one, is_booked=done, booked=pull.length(is_take=True))
    return tallies


def with_people(
    corpus: Corpus,
    row: str,
    pulls: int,
    seed: str,
    kinds: Kinds = ALL_KINDS,
    *,
    is_blind: bool = False,
    edition: int = NEWEST,
    pairings: tuple[str, ...] = tuple(PAIRINGS),
    language: str = DEFAULT_GRAMMAR,
) -> dict[str, Count]:
    """Walk lines of crews that make people's blunders, each line under every pairing."""
    ears = Ears(corpus, ROWS[row], language)
    counts = {name: Count() for name in pairings}
    rng.seed(seed)  # the ends' blunders draw from it
    plans = random.Random(seed)  # noqa: S311 - which blunders are drawn is no secret
    with quickly():
        for number in range(-(-pulls // PULLS_OF_LINE)):
            rear, head = plans.sample(corpus.test, 2)
            plan = planned(plans, (rear, head), CREW, kinds)
            for name in pairings:
                heard = random.Random(f"{seed} {number}")  # noqa: S311 - nor what is heard
                day = Day(
                    plan,
                    ears,
                    heard,
                    pairing=PAIRINGS[name],
                    decoding=edition,
                    noticed=NOTICED,
                    is_blind=is_blind,
                )
                counts[name].judge(plan, day.walk(), TOLERANCE)
    return counts


def _share_of_people(
    listener: str,
    row: str,
    pulls: int,
    seed: str,
    kinds: Kinds,
    is_blind: bool,  # noqa: FBT001 - the pool passes arguments by place
    pairings: tuple[str, ...],
) -> dict[str, Count]:
    corpus = _corpus(listener)
    edition = EDITIONS[listener]
    return with_people(
        corpus,
        row,
        pulls,
        seed,
        kinds,
        is_blind=is_blind,
        edition=edition,
        pairings=pairings,
        language=GRAMMARS.get(listener, DEFAULT_GRAMMAR),
    )


def spread_people(
    listener: str,
    row: str,
    pulls: int,
    kinds: Kinds,
    *,
    is_blind: bool,
    pairings: tuple[str, ...],
    seed: str = SEED,
) -> dict[str, Count]:
    """Walk one row on all processors, each share with a seed of its own."""
    shares = [
        (listener, row, min(PORTION, pulls), f"{seed} {row} {number}", kinds, is_blind, pairings)
        for number in range(-(-pulls // PORTION))
    ]
    with multiprocessing.get_context("spawn").Pool() as pool:
        found = pool.starmap(_share_of_people, shares, chunksize=1)
    whole = {name: Count() for name in pairings}
    for counts in found:
        for name, count_ in counts.items():
            whole[name].add(count_)
    return whole


def interval_of_lines(counted: Count, voices: tuple[str, ...]) -> tuple[float, float]:
    """Resample voices, and lines: wrong ones per 10,000 (95 %); none seen is at most 3 in n."""
    draw = np.random.default_rng(7)
    at = {voice: place for place, voice in enumerate(voices)}
    pairs = np.array([[at[each] for each in two] for two, _, _ in counted.lines])
    pulls, wrong = (np.array([each[place] for each in counted.lines]) for place in (1, 2))
    found = []
    for _ in range(RESAMPLED):
        times = np.bincount(draw.integers(len(voices), size=len(voices)), minlength=len(voices))
        weight = times[pairs].prod(axis=1) * draw.poisson(1.0, len(pulls))
        if (pulls * weight).sum():
            found.append(1e4 * (wrong * weight).sum() / (pulls * weight).sum())
    low, high = np.percentile(found or [0.0], (2.5, 97.5))
    return float(low), max(float(high), 3e4 / max(counted.pulls, 1))


def rows_of_people(
    counts: dict[str, Count], voices: tuple[str, ...]
) -> Iterator[dict[str, object]]:
    """Give the figures of each pairing."""
    for name, counted in counts.items():
        low, high = interval_of_lines(counted, voices)
        yield {
            "pairing": PAIRINGS[name],
            "pulls": counted.pulls,
            "wrong_per_10000": 1e4 * counted.wrong / counted.pulls,
            "interval_95": [low, high],
            "of_length_per_10000": 1e4 * counted.lengths / counted.pulls,
            "of_conditions_per_10000": 1e4 * counted.conditions / counted.pulls,
            "within_tolerance_per_10000": 1e4 * counted.near / counted.pulls,
            "questions_per_pull": counted.questions.total() / counted.pulls,
            "stops_per_pull": counted.stops.total() / counted.pulls,
            "corrections_per_pull": counted.noticed / counted.pulls,
            "typed_per_pull": counted.typed / counted.pulls,
            "not_recorded": counted.unrecorded,
            "questions": dict(counted.questions.most_common()),
            "stops": dict(counted.stops.most_common()),
            "blunders": {
                kind: {
                    "pulls": pulls,
                    "wrong": counted.wrong_kinds[kind],
                    "wrong_per_10000": 1e4 * counted.wrong_kinds[kind] / pulls,
                    "interval_95": list(share_interval(counted.wrong_kinds[kind], pulls)),
                }
                for kind, pulls in sorted(counted.kinds.items())
            },
        }


def share_interval(wrong: int, pulls: int) -> tuple[float, float]:
    """Give the 95 % interval of a share in 10,000 (Wilson, JASA 22, 1927).

    Example:
        >>> [round(each) for each in share_interval(0, 10_000)], round(share_interval(1, 2)[0])
        ([0, 4], 945)
    """
    z2 = 1.959964**2
    share, center = wrong / pulls, (wrong + z2 / 2) / (pulls + z2)
    half = (z2 * (share * (1 - share) / pulls + z2 / (4 * pulls**2))) ** 0.5 / (1 + z2 / pulls)
    return 1e4 * max(center - half, 0.0), 1e4 * min(center + half, 1.0)


def rows_of(tallies: dict[str, Tally], voices: tuple[str, ...]) -> Iterator[dict[str, object]]:
    """Give the figures of each way."""
    for name, tally in tallies.items():
        low, high = interval(tally, voices)
        yield {
            "way": name,
            "pulls": tally.pulls,
            "wrong_per_10000": 1e4 * tally.wrong / tally.pulls,
            "interval_95": [low, high],
            "within_tolerance_per_10000": 1e4 * tally.near / tally.pulls,
            "questions_per_pull": tally.questions / tally.pulls,
            "corrections_per_pull": tally.noticed / tally.pulls,
            "stops_per_pull": tally.stops / tally.pulls,
            "notes_per_pull": tally.notes / tally.pulls,
            "blunders": tally.blunders,
            "caught": tally.caught,
            "of_a_foot": tally.feet,
            "of_a_foot_caught": tally.feet_caught,
        }


def show(row: str, found: dict[str, object]) -> None:
    """Print one line of the table, and its JSON after it."""
    sys.stdout.write(json.dumps({"row": row, **found}) + "\n")


def main(pulls: int) -> None:
    """Run all rows for each listener, then the default's curve of questions and wrong segments."""
    ways: dict[str, dict[str, object]] = {}
    blundering: dict[str, dict[str, object]] = {}
    curve: dict[str, dict[str, object]] = {}
    for listener in (*LISTENERS, PEOPLE):
        corpus = load_corpus(PATHS[listener])
        for row, noise in ROWS.items():
            begin = time.perf_counter()
            for found in rows_of(spread_out(listener, row, pulls), corpus.test):
                show(row, {"listener": listener, **found})
                ways[f"{listener}, {noise}, {found['way']}"] = found
            sys.stderr.write(f"{listener}, {row}: {time.perf_counter() - begin:.0f} s\n")
    for row, noise in ROWS.items():
        tallies = spread_out("encoder", row, max(pulls // 10, 1), is_blundering=True)
        for found in rows_of(tallies, load_corpus(PATHS["encoder"]).test):
            show(row, {"listener": "encoder", "crew": "blunders in every pull", **found})
            blundering[f"{noise}, {found['way']}"] = found
    for name, rate in (("typed once", KEYED_WRONG), ("typed twice", TWICE_WRONG)):
        wrong = 1e4 * (1.0 - (1.0 - rate) ** 2)
        ways[f"keypad, {name}"] = {"way": name, "wrong_per_10000": wrong, "questions_per_pull": 0.0}
    for listener in (*LISTENERS, PEOPLE):
        voices = load_corpus(PATHS[listener]).test
        for (row, noise), cost in product(ROWS.items(), CURVE):
            costs = replace(COSTS, wrong=cost)
            tallies = spread_out(listener, row, max(pulls // 10, 1), costs, ("joint, read back",))
            for found in rows_of(tallies, voices):
                curve[f"{listener}, {noise}, a wrong one costs {cost:,.0f} questions"] = found
    keep(
        "crew-joint",
        {
            "listeners and ways": ways,
            "a crew that blunders in every pull": blundering,
            "questions against wrong ones": curve,
        },
        n=f"{pulls:,} pulls a row; a tenth of it where costs and blunders are tried",
        voices=[each for name in (*LISTENERS, PEOPLE) for each in load_corpus(PATHS[name]).test],
    )


def show_people(
    rows: tuple[str, ...],
    pulls: int,
    kinds: Kinds,
    *,
    is_blind: bool,
    pairings: tuple[str, ...] = tuple(PAIRINGS),
    seed: str = SEED,
    listener: str = "encoder",
) -> None:
    """Run rows with the blunders of people."""
    corpus = load_corpus(PATHS[listener])
    rules: dict[str, dict[str, object]] = {}
    asked: dict[str, object] = {}
    for row in rows:
        begin = time.perf_counter()
        counts = spread_people(
            listener, row, pulls, kinds, is_blind=is_blind, pairings=pairings, seed=seed
        )
        for name, found in zip(counts, rows_of_people(counts, corpus.test), strict=True):
            show(row, {"listener": listener, "is_check_blind": is_blind, **found})
            single = {k: v for k, v in found.items() if not isinstance(v, dict)}
            rules[f"{ROWS[row]}, {name} rules"] = single
            asked[f"{ROWS[row]}, {name} rules"] = found["questions"]
        sys.stderr.write(f"people, {row}: {time.perf_counter() - begin:.0f} s\n")
    how = "nothing read back before the check" if is_blind else "read back"
    keep(
        PART_OF.get(listener, "crew"),
        {how: rules, "what was asked, times": asked},
        n=f"{pulls:,} pulls a row over {len(corpus.calls):,} decoded calls",
        voices=corpus.test,
        remark=f"The calls were decoded by {corpus.engine}, {corpus.date}.",
    )


def arguments() -> argparse.Namespace:
    """Read the command line."""
    reader = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    reader.add_argument("pulls", nargs="?", type=int, default=PULLS)
    reader.add_argument("--people", action="store_true", help="with the blunders of people")
    reader.add_argument("--blind-check", action="store_true", help="no read-back before the check")
    reader.add_argument("--language", choices=GRAMMARS, help="calls in another, with --people")
    reader.add_argument("--row", choices=ROWS, action="append", help="one noise alone")
    reader.add_argument("--only", choices=sorted(ALL_KINDS), action="append", help="one blunder")
    reader.add_argument("--pairing", choices=PAIRINGS, action="append", help="one edition alone")
    reader.add_argument("--seed", default=SEED, help="other lines than those that rules came from")
    return reader.parse_args()


if __name__ == "__main__":
    told = arguments()
    if told.people or told.blind_check or told.language:
        wanted = frozenset(told.only or ALL_KINDS)
        show_people(
            tuple(told.row or ROWS),
            told.pulls,
            wanted,
            is_blind=told.blind_check,
            pairings=tuple(told.pairing or PAIRINGS),
            seed=told.seed,
            listener=told.language or "encoder",
        )
    else:
        main(told.pulls)
