"""A crew that makes the blunders of people, line after line, over the pairing machine; shell.

A line is planned first: what is true of each pull, and what the crew does wrong in it, at the rates
of `RATES`. Then the same plan is walked under any edition of the pairing. The calls are drawn from
the corpus of decoded sound (`tests.bench.crew_corpus`) and understood anew under what the machine
expects at that moment, so that hundredths that are called where a foot is expected are heard as
they would be. Where the machine asks, the crew answers truthfully by the question's code
(`ANSWERS`); what it has no answer to is measured again.

Nobody is counted on to notice that a part was put in the wrong place, nor that a whole length was
recorded wrong: the crew hears back the words that it said.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache

from calllog.pairing import EDITION, Phase, State, caller_at, expects, start, step
from calllog.recognise import TENTATIVE, Heard, Hypothesis, understand
from calllog.resources import DEFAULT_GRAMMAR, grammar_text
from calllog.spoken import Grammar, Meaning, Parser, Rejection, load_grammar
from calllog.tape import PARTED
from calllog.values import (
    Call,
    Choice,
    Conditions,
    Decision,
    Expectation,
    Finding,
    Kind,
    LineSettings,
    Outcome,
    Question,
    Reopened,
    Role,
    Segment,
    Severity,
    Style,
)
from tests.bench.crew_corpus import Corpus, SaidCall


@dataclass(frozen=True, slots=True)
class Rate:
    """How often a crew does something."""

    share: float
    of: str
    why: str


COMMON = "common practice, no published source; the rate is rough"
RATES = {
    "always walks on": Rate(1 / 3, "lines", COMMON),
    "walks on at times": Rate(1 / 3, "lines, in half of their pulls", COMMON),
    "hundredths first": Rate(0.02, "observations", COMMON + "; the foot is called first"),
    "rise": Rate(0.01, "pulls", COMMON + "; it belongs to one pull"),
    "hold": Rate(0.02, "pulls on a full tape", COMMON + "; the mark belongs to one pull"),
    "other style": Rate(0.01, "lines", COMMON + "; two tapes in the truck"),
    "corrected": Rate(0.01, "calls", COMMON + "; 'fifteen, no, sixteen'"),
    "said again": Rate(0.01, "pulls", COMMON + "; the last call, after the pull was recorded"),
    "echoed": Rate(0.01, "pulls", COMMON + "; another number of it, or by the other one"),
    "mended late": Rate(
        0.005, "pulls", COMMON + "; after the pull was recorded, by the last caller"
    ),
    "goes on at once": Rate(0.1, "lines", COMMON + "; short pulls, 5 to 12 s after the last call"),
    "read again": Rate(0.8, "stops", COMMON + "; crews read the marks again without being told"),
    "two at once": Rate(0.01, "observations", COMMON),
    "says back": Rate(0.1, "lines, in half of their observations", COMMON),
    "switch unheard": Rate(0.02, "pulls", COMMON + "; they switch ends, and go on at once"),
    "switch too soon": Rate(0.005, "pulls", COMMON + "; said and done before the first is called"),
    "switch said alone": Rate(0.005, "pulls", COMMON + "; they stay where they are"),
}
"""What the crew does, beside what one end calls differently from the other (`Blunders`)."""
HABITS = ("always walks on", "walks on at times")
SWITCHES = ("switch unheard", "switch too soon", "switch said alone")
SPLIT, SWALLOWED = 0.2, 0.2
"""Shares of corrected calls that are heard as two utterances, and without the word between."""
CROSSED = 0.1
"""Share of calls at once in which one microphone takes the other's words: no published source."""
Blunders = tuple[tuple[str, float, Callable[[int], int]], ...]
Kinds = frozenset[str]
ALL_KINDS: Kinds = frozenset(RATES) | {"ends"}
"""All that can be switched on; ``ends`` are the blunders of one end."""

FOOT = 100
STYLES = ((Style.ADD, 0.5), (Style.CUT, 0.25), (Style.FULL, 0.25))
IN_HAND = {Style.ADD: Style.CUT, Style.CUT: Style.ADD}
"""The tape that a crew may hold in place of the one on the certificate."""
LEAST, MOST = 500, 9_800
"""Lengths of pulls [hundredths of a foot]."""
PULLS_OF_LINE = 20
MOST_TRIES, MOST_ATTEMPTS, MOST_ANSWERS = 3, 6, 6
TYPED_FROM = 3
"""A pull that is measured as often is typed."""
OTHER = {Role.REAR: Role.HEAD, Role.HEAD: Role.REAR}
CHANNEL = {Role.REAR: 1, Role.HEAD: 2}
LISTED = 4
"""Alternatives of each of two calls that one is put together of, the likeliest."""
LIKELY = 1e-3
"""Less likely ones are left out."""
NUMBERS = frozenset({Kind.WHOLE, Kind.FRACTION, Kind.READING, Kind.NUMBER})


@dataclass(frozen=True, slots=True)
class Marks:
    """One observation as the crew calls it."""

    length: int
    """Hundredths of a foot, blunders of this end and all."""
    is_fraction_first: bool = False
    is_at_once: bool = False
    says_back: str = ""
    """Who says the other's number back, apart from their own: ``first`` or ``second`` of the two;
    empty for nobody."""
    corrected: str = ""
    """The part that is called wrong first and corrected in the same breath; empty for none."""


@dataclass(frozen=True, slots=True)
class Planned:
    """A pull: what is true of it, and what the crew does wrong."""

    length: int
    take: Marks
    check: Marks
    rise_ft: float | None
    hold: int
    walks_on: bool
    is_said_again: bool
    late: str
    """What is called once more after the pull was recorded: echoed, mended late, or nothing."""
    switch: str
    """What goes wrong with switching ends, of `SWITCHES`; empty for nothing."""
    waits_s: float
    """From the last call of the pull before to the first of this one."""
    kinds: Kinds
    """What there is to go wrong in it."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A line."""

    settings: LineSettings
    in_hand: Style
    voices: tuple[str, str]
    """Of rear and head."""
    pulls: tuple[Planned, ...]


def planned(
    rng: random.Random, voices: tuple[str, str], ends: Blunders, kinds: Kinds = ALL_KINDS
) -> Plan:
    """Plan a line of pulls.

    Args:
        rng: draws what happens.
        voices: of rear and head.
        ends: what one end calls differently from the other.
        kinds: what may happen at all.
    """

    def happens(name: str) -> bool:
        return rng.random() < RATES[name].share and name in kinds

    style = rng.choices([each for each, _ in STYLES], [share for _, share in STYLES])[0]
    is_other = happens("other style")
    in_hand = IN_HAND.get(style, style) if is_other else style
    draw = rng.random()
    later = random.Random(f"{voices} {style} {draw}")  # noqa: S311 - so that plans stay as they were
    switching = random.Random(f"{voices} {style} {draw} ends")  # noqa: S311 - likewise
    is_quick = later.random() < RATES["goes on at once"].share and "goes on at once" in kinds
    says_back = switching.random() < RATES["says back"].share and "says back" in kinds
    habit = next(
        (each for at, each in enumerate(HABITS) if at / 3 <= draw < (at + 1) / 3 and each in kinds),
        "",
    )
    pulls: list[Planned] = []
    had_rise, had_hold = False, False
    for _ in range(PULLS_OF_LINE):
        rise_ft = rng.randrange(50, 300) / 100 if happens("rise") else None
        hold = FOOT if style is Style.FULL and happens("hold") else 0
        walks_on = habit == HABITS[0] or (habit == HABITS[1] and rng.random() < 0.5)
        length = rng.randrange(LEAST, MOST)
        lengths, blunder = (length, length), ""
        if "ends" in kinds:
            lengths, blunder = _blundered(rng, length, ends)
        marks = []
        for each in lengths:
            is_parted = style in PARTED
            corrected = next((part for part in ("whole", "fraction") if happens("corrected")), "")
            marks.append(
                Marks(
                    each,
                    is_fraction_first=happens("hundredths first") and is_parted,
                    is_at_once=happens("two at once") and is_parted,
                    says_back=switching.choice(("", "", "first", "second")) if says_back else "",
                    corrected=corrected,
                )
            )
        is_said_again = happens("said again")
        late = next(
            (
                each
                for each in ("echoed", "mended late")
                if later.random() < RATES[each].share and each in kinds and style in PARTED
            ),
            "",
        )
        switch = next(
            (each for each in SWITCHES if switching.random() < RATES[each].share and each in kinds),
            "",
        )
        there = {
            **{each: each == switch for each in SWITCHES},
            "hundredths first": any(each.is_fraction_first for each in marks),
            "rise before": rise_ft is None and had_rise,
            "hold before": not hold and had_hold,
            "other style": in_hand is not style,
            "says back": any(each.says_back for each in marks),
            "corrected": any(each.corrected for each in marks),
            "said again before": bool(pulls) and pulls[-1].is_said_again,
            "echoed before": bool(pulls) and pulls[-1].late == "echoed",
            "mended late before": bool(pulls) and pulls[-1].late == "mended late",
            "goes on at once": is_quick,
            "two at once": any(each.is_at_once for each in marks),
            f"ends: {blunder}": bool(blunder),
        }
        pulls.append(
            Planned(
                length=length,
                take=marks[0],
                check=marks[1],
                rise_ft=rise_ft,
                hold=hold,
                walks_on=walks_on,
                is_said_again=is_said_again,
                late=late,
                switch=switch,
                waits_s=later.uniform(5.0, 12.0) if is_quick else 30.0,
                kinds=frozenset(name for name, holds in there.items() if holds),
            )
        )
        had_rise |= rise_ft is not None
        had_hold |= bool(hold)
    settings = LineSettings(
        line_from="A",
        line_to="B",
        tape="T",
        style=style,
        nominal=100,
        limit=10_099 if style is Style.ADD else 10_000,
    )
    return Plan(settings, in_hand, voices, tuple(pulls))


def _blundered(rng: random.Random, length: int, ends: Blunders) -> tuple[tuple[int, int], str]:
    """Let one end read otherwise: take and check, and the blunder's name."""
    draw = rng.random()
    for name, rate, other in ends:
        if draw < rate:
            wrong = other(length)
            if wrong == length or not LEAST <= wrong < MOST:
                return (length, length), ""
            pair = (wrong, length) if rng.random() < 0.5 else (length, wrong)
            return pair, name
        draw -= rate
    return (length, length), ""


def called_as(style: Style, length: int, hold: int = 0) -> tuple[int, int]:
    """Give the foot and the hundredths that are read for a length on a tape.

    Common practice, no published source: 15.42 is 15 and 42 on a tape that adds, 16 and 58 on one
    that cuts, 16.42 where a foot is held.
    """
    if style is Style.CUT:
        feet = -(-length // FOOT)
        return feet, feet * FOOT - length
    return divmod(length + hold, FOOT)


class Ears:
    """Hears drawn calls under whatever the machine expects."""

    def __init__(self, corpus: Corpus, condition: str, language: str = DEFAULT_GRAMMAR) -> None:
        self._corpus = corpus
        self._parser = parser(language)
        self._condition = condition
        self._known: dict[tuple[int, Expectation, int], tuple[Heard, ...]] = {}
        self._last: dict[tuple[str, str, Kind, int], SaidCall] = {}

    def draw(self, rng: random.Random, voice: str, part: str, value: int) -> SaidCall:
        """Draw a recording of a foot or of hundredths; not the last one again."""
        hundredths = value * FOOT if part == "whole" else value
        key = voice, self._condition, Kind(part), hundredths
        there = self._corpus.by_value[key]
        last = self._last.get(key)
        others = [each for each in there if each is not last] or there
        self._last[key] = rng.choice(others)
        return self._last[key]

    def hear(self, said: SaidCall, expected: Expectation, limit: int) -> tuple[Heard, ...]:
        """Understand one recording."""
        key = (id(said), expected, limit)
        if key not in self._known:
            self._known[key] = tuple(
                understand(self._parser, hypotheses, expected, limit, TENTATIVE)
                for hypotheses in _hypotheses(said)
            )
        return self._known[key]

    def hear_joined(
        self,
        first: SaidCall,
        between: str,
        second: SaidCall,
        expected: Expectation,
        limit: int,
    ) -> tuple[Heard, ...]:
        """Understand two recordings said in one breath, with a word between them or none.

        What is heard of one is taken to be independent of the other.
        """
        one, other = (_hypotheses(each) for each in (first, second))
        if len(one) != 1 or len(other) != 1:
            return ()
        joined = [
            Hypothesis(
                " ".join(filter(None, (a.text, between, b.text))) if a.text and b.text else "",
                a.probability * b.probability,
            )
            for a in one[0][:LISTED]
            for b in other[0][:LISTED]
            if a.probability * b.probability >= LIKELY
        ]
        joined.sort(key=lambda each: -each.probability)
        return (understand(self._parser, tuple(joined), expected, limit, TENTATIVE),)


@cache
def grammar(name: str = DEFAULT_GRAMMAR) -> Grammar:
    """Give the crew's grammar."""
    text, path = grammar_text(name)
    return load_grammar(text, str(path))


class _Remembering(Parser):
    """Parses the same words once."""

    def __init__(self, words: Grammar) -> None:
        super().__init__(words)
        self._found: dict[tuple[str, Expectation, int], Meaning | Rejection] = {}

    def parse(self, text: str, expects: Expectation, limit: int) -> Meaning | Rejection:
        key = text, expects, limit
        if key not in self._found:
            self._found[key] = super().parse(text, expects, limit)
        return self._found[key]


@cache
def parser(name: str = DEFAULT_GRAMMAR) -> Parser:
    """Give its parser."""
    return _Remembering(grammar(name))


def _hypotheses(said: SaidCall) -> tuple[tuple[Hypothesis, ...], ...]:
    return tuple(
        tuple(Hypothesis(each.text, each.probability) for each in heard.alternatives)
        for heard in said.heard
    )


@dataclass
class Walked:
    """What became of a line."""

    booked: list[tuple[int, Segment]] = field(default_factory=list)
    """Segments, each with the place of the pull that the crew was at."""
    questions: Counter[str] = field(default_factory=Counter)
    """By their codes."""
    stops: Counter[str] = field(default_factory=Counter)
    noticed: int = 0
    typed: int = 0
    """Parts that were typed in the end."""
    given_up: int = 0
    """Pulls that could not be recorded at all."""
    turned: set[int] = field(default_factory=set)
    """Places of the pulls in which the foot was held by the other one than at the beginning."""


class Day:
    """Walks a planned line.

    Args:
        plan: the line.
        ears: hears what is said.
        rng: draws what is heard, and when.
        pairing: edition of the pairing.
        decoding: edition of the joint decoding.
        noticed: share of wrong read-backs that are noticed.
        is_blind: nothing is read back before the check is complete.
    """

    def __init__(
        self,
        plan: Plan,
        ears: Ears,
        rng: random.Random,
        *,
        pairing: int = EDITION,
        decoding: int,
        noticed: float,
        is_blind: bool = False,
    ) -> None:
        self.plan = plan
        self.walked = Walked()
        self._ears = ears
        self._rng = rng
        self._noticed = noticed
        self._is_blind = is_blind
        changed = {"pairing": pairing, "decoding": decoding}
        self.state: State = start(plan.settings.model_copy(update=changed))
        self._voices = dict(zip((Role.REAR, Role.HEAD), plan.voices, strict=True))
        self._said = 0
        self._now_s = 0.0
        self.foot_by = Role.REAR
        """Who holds the foot now, as it truly is."""
        self.in_hand = plan.in_hand
        """How the tape is graduated that the crew holds now."""
        self.at = 0
        self.is_checking = False
        self._must_restart = False
        self._said_last = (Role.REAR, "whole", 0)
        """By whom, which part, and of which length."""
        self._open: list[Question] = []

    @property
    def present(self) -> Planned:
        """The pull that the crew is at."""
        return self.plan.pulls[self.at]

    def walk(self) -> Walked:
        """Walk the whole line."""
        for at in range(len(self.plan.pulls)):
            self.at = at
            self._now_s += self.present.waits_s
            self._pull()
        return self.walked

    def _pull(self) -> None:
        at, pull, done, begun_by = self.at, self.present, len(self.walked.booked), self.foot_by
        self._state_conditions()
        for attempt in range(MOST_ATTEMPTS):
            self.is_checking = self._must_restart = False
            if self.foot_by is not self.plan.settings.whole_by:
                self.walked.turned.add(at)
            marks = (pull.take, pull.check) if not attempt else (Marks(pull.length),) * 2
            slip = "" if attempt else pull.switch
            self._measure(marks, slip, is_typed=attempt >= TYPED_FROM)
            if len(self.walked.booked) > done and not self._hears_it_wrong(marks[0]):
                break
            self._again()
            if not pull.walks_on:
                self.foot_by = begun_by  # they change back
        else:
            self.walked.given_up += 1
            self.state = start(self.state.settings, self.state.pull + 1, self.state.conditions)
        last = OTHER[self.foot_by]
        if pull.is_said_again:
            part = "fraction" if self.plan.settings.style in PARTED else "reading"
            self._now_s += 1.5
            self._say(last, part, pull.length)
            self._open.clear()
        if pull.late:
            self._say_late(last, pull)
        if not pull.walks_on:
            self.foot_by = begun_by

    def _say_late(self, last: Role, pull: Planned) -> None:
        """Call once more after the pull was recorded; what is asked of it gets no answer."""
        feet, hundredths = self._values(pull.length)
        if pull.late == "mended late":
            self._now_s += self._rng.uniform(1.5, 4.0)
            other = hundredths + self._rng.choice((-3, -2, 2, 3))
            person, part, value = last, "fraction", other % FOOT
        else:
            self._now_s += self._rng.uniform(0.5, 4.0)
            person, part, value = self._rng.choice(
                (
                    (OTHER[last], "whole", feet),
                    (OTHER[last], "fraction", hundredths),
                    (last, "whole", feet),
                )
            )
        drawn = self._ears.draw(self._rng, self._voices[person], part, value)
        self._take(person, self._ears.hear(drawn, self._expects(person), self._limit))
        self._open.clear()

    def _hears_it_wrong(self, take: Marks) -> bool:
        """Notice a wrong length when it is recorded, where nothing was read back before."""
        if not self._is_blind:
            return False
        booked = round(self.walked.booked[-1][1].length_read_ft * FOOT)
        if self._as_recorded(take.length) == booked or self._rng.random() >= self._noticed:
            return False
        self.walked.noticed += 1
        self._command(self.foot_by, "scratch")
        return True

    def _as_recorded(self, length: int) -> int:
        """Give the length that the certificate's style makes of what is read on the tape."""
        feet, hundredths = called_as(self.in_hand, length, self.present.hold)
        is_cut = self.plan.settings.style is Style.CUT
        return feet * FOOT + (-hundredths if is_cut else hundredths) - self.present.hold

    def _measure(self, marks: Sequence[Marks], slip: str, *, is_typed: bool) -> None:
        """Take and check, as far as the machine lets them."""
        if slip == "switch too soon":
            self.foot_by = OTHER[self.foot_by]
            self._command(self.foot_by, "switch")
            self._open.clear()
        for number, each in enumerate(marks):
            if number:
                self._now_s += 10.0
                self.is_checking = True
                if slip != "switch said alone":
                    self.foot_by = OTHER[self.foot_by]
                if slip != "switch unheard":
                    self._command(self.foot_by, "switch")
            self._observe(each, is_typed=is_typed)
            self._settle()
            if number:
                self._check_what_was_read_again()
            is_done = self._is_recorded() or self._must_restart
            if is_done or self._is_in(Phase.STOPPED):
                return
            if not number and not self._is_in(Phase.TAKEN):
                self._type_all(each.length)
                self._settle()
                if not self._is_in(Phase.TAKEN):
                    return

    def _check_what_was_read_again(self) -> None:
        """Where marks that were read again after a stop stand as a take, check it."""
        for _ in range(MOST_ANSWERS):
            if self._must_restart or not self._is_in(Phase.TAKEN):
                return
            self._now_s += 10.0
            self.foot_by = OTHER[self.foot_by]
            self._command(self.foot_by, "switch")
            self._observe(Marks(self.present.length), is_typed=False)
            self._settle()

    def _is_in(self, phase: Phase) -> bool:
        return self.state.phase is phase

    def _is_recorded(self) -> bool:
        return bool(self.walked.booked) and self.walked.booked[-1][0] == self.at

    def _observe(self, marks: Marks, *, is_typed: bool) -> None:
        """Call one observation."""
        if is_typed:
            self._type_all(marks.length)
            return
        if self.plan.settings.style not in PARTED:
            self._call(OTHER[self.foot_by], "reading", marks)
            return
        order = [(self.foot_by, "whole"), (OTHER[self.foot_by], "fraction")]
        if marks.is_fraction_first:
            order.reverse()
        if self._call_at_once(order, marks):
            return
        for person, part in order:
            if marks.is_at_once and self._stands(part):
                continue
            if marks.says_back == "second" and person is order[1][0]:
                self._say_back(person, order[0][1], marks)
            self._call(person, part, marks)
            if self._must_restart or self.state.phase is Phase.STOPPED:
                return
            self._now_s += self._rng.uniform(0.3, 3.0)
        if marks.says_back == "first" and not self._is_recorded():
            self._say_back(order[0][0], order[1][1], marks)

    def _say_back(self, person: Role, part: str, marks: Marks) -> None:
        """Repeat aloud what the other one called; what is asked of it gets no answer."""
        self._say(person, part, marks.length)
        self._open.clear()
        self._now_s += self._rng.uniform(0.3, 1.0)

    def _stands(self, part: str) -> bool:
        return self.state.phase is not Phase.OPEN or self.state.parts.value(part) is not None

    def _call_at_once(self, order: Sequence[tuple[Role, str]], marks: Marks) -> bool:
        """Let both speak at the same time where they do, and tell whether that was all.

        Now and then one microphone takes the other's words.
        """
        if not marks.is_at_once:
            return False
        crossed = self._rng.randrange(2) if self._rng.random() < CROSSED else None
        begin_s = self._now_s
        for number, (person, part) in enumerate(order):
            speaker, said = order[1 - number] if number == crossed else (person, part)
            self._now_s = begin_s + 0.2 * number
            drawn = self._draw(speaker, said, marks.length)
            self._take(person, self._ears.hear(drawn, self._expects(person), self._limit))
        self._answer_all(marks)
        return self._is_recorded()

    def _call(self, person: Role, part: str, marks: Marks) -> None:
        """Say a part until it is taken, then type it."""
        for tried in range(MOST_TRIES):
            is_corrected = not tried and marks.corrected in (part, "reading")
            calls = (
                self._say_corrected(person, part, marks.length)
                if is_corrected
                else self._say(person, part, marks.length)
            )
            taken = [each for each in calls if each.outcome is Outcome.CALL]
            is_put = bool(taken) and not self._is_refused(taken)
            if self._answer_all(marks):
                return
            if not is_put:
                self._now_s += 2.0
                continue
            if self._notices(taken, part, marks.length):
                self.walked.noticed += 1
                self._command(person, "scratch")
                continue
            return
        self._type(part, marks.length)
        self._answer_all(marks)

    def _is_refused(self, taken: Iterable[Call]) -> bool:
        """Tell whether a call was understood but not taken: then it is said again."""
        numbers = {each.number for each in taken}
        is_kept = any(each.number in numbers for each in self.state.history) or any(
            each.number in numbers for each in self.state.held
        )
        return not is_kept and bool(self._open)

    def _notices(self, taken: Iterable[Call], part: str, length: int) -> bool:
        """Tell whether the crew notices that other digits are read back than it said."""
        if self._is_blind:
            return False
        feet, hundredths = self._values(length)
        right = {"whole": feet, "fraction": hundredths, "reading": feet * FOOT + hundredths}[part]
        is_wrong = any(_digits(each) != right for each in taken)
        return is_wrong and self._rng.random() < self._noticed

    def _settle(self) -> None:
        """After a stop, read the marks again at once; the chief has all measured anew else."""
        if self.state.phase is not Phase.STOPPED or self._must_restart:
            return
        if self._rng.random() >= RATES["read again"].share:
            return
        right = Marks(self.present.length)
        for person, part in self._parts():
            self._now_s += self._rng.uniform(0.3, 3.0)
            self._say(person, part, right.length)
        self._answer_all(right)

    def _parts(self) -> tuple[tuple[Role, str], ...]:
        if self.plan.settings.style not in PARTED:
            return ((OTHER[self.foot_by], "reading"),)
        return (self.foot_by, "whole"), (OTHER[self.foot_by], "fraction")

    def _again(self) -> None:
        """Have the pull measured again."""
        self._open.clear()
        for _ in range(MOST_ANSWERS):
            if self.state.phase is Phase.STOPPED:
                pull = self.state.pull
                self._follow(Decision(pull=pull, choice=Choice.AGAIN, by="chief"))
            elif self.state.phase is not Phase.OPEN or not self.state.parts.is_empty:
                self._command(self.foot_by, "again")
            else:
                break
        self._open.clear()

    def _state_conditions(self) -> None:
        pull = self.present
        if pull.rise_ft is not None:
            self._condition("rise", pull.rise_ft)
        if pull.hold:
            self._condition("hold", pull.hold / FOOT)

    # What is said.

    @property
    def _limit(self) -> int:
        return self.plan.settings.limit

    def _expects(self, person: Role) -> Expectation:
        return expects(self.state, person)

    def _values(self, length: int) -> tuple[int, int]:
        return called_as(self.in_hand, length, self.present.hold)

    def _draw(self, person: Role, part: str, length: int) -> SaidCall:
        feet, hundredths = self._values(length)
        value = feet if part == "whole" else hundredths
        return self._ears.draw(self._rng, self._voices[person], part, value)

    def _say(self, person: Role, part: str, length: int) -> list[Call]:
        self._said_last = person, part, length
        expected = self._expects(person)
        if part == "reading":
            one, other = (self._draw(person, each, length) for each in ("whole", "fraction"))
            return self._take(person, self._ears.hear_joined(one, "", other, expected, self._limit))
        drawn = self._draw(person, part, length)
        return self._take(person, self._ears.hear(drawn, expected, self._limit))

    def _say_corrected(self, person: Role, part: str, length: int) -> list[Call]:
        """Say another number first, then "no" and the right one."""
        if part == "reading":
            return self._say(person, part, length)
        self._said_last = person, part, length
        feet, hundredths = self._values(length)
        value = feet if part == "whole" else hundredths
        slip = value + self._rng.choice((-1, 1)) if 0 < value < FOOT - 1 else 1
        voice = self._voices[person]
        first = self._ears.draw(self._rng, voice, part, slip)
        second = self._ears.draw(self._rng, voice, part, value)
        expected, draw = self._expects(person), self._rng.random()
        if draw < SPLIT:
            calls = self._take(person, self._ears.hear(first, expected, self._limit))
            self._now_s += 0.6
            expected = self._expects(person)
            return calls + self._take(person, self._ears.hear(second, expected, self._limit))
        between = "" if draw < SPLIT + SWALLOWED else "no"
        return self._take(
            person, self._ears.hear_joined(first, between, second, expected, self._limit)
        )

    def _take(self, person: Role, heard: Iterable[Heard]) -> list[Call]:
        """Let the machine take what was heard on a microphone."""
        calls = []
        for each in heard:
            role = person if each.role is Role.UNSAID else caller_at(self.state, each.role)
            calls.append(self._make(role, each, f"live#{CHANNEL[person]}"))
            self._follow(calls[-1])
        return calls

    def _make(self, role: Role, heard: Heard, source: str) -> Call:
        self._said += 1
        self._now_s += 1.0
        return Call(
            number=self._said,
            source=source,
            role=role,
            expects=self._expects(role),
            kind=heard.kind,
            text=heard.text,
            value=heard.value,
            name=heard.name,
            amount=heard.amount,
            probability=heard.probability,
            alternatives=heard.alternatives,
            outcome=heard.outcome,
            reason=heard.reason,
            start_s=round(self._now_s - 1.0, 3),
            end_s=round(self._now_s, 3),
            clip="",
            is_live=True,
        )

    def _plainly(self, role: Role, kind: Kind, *, is_keyed: bool = False, **what: object) -> None:
        """Say or type what is always understood."""
        source = "live#keys" if is_keyed else f"live#{CHANNEL.get(role, 1)}"
        nothing = Heard("", kind, 1.0, Outcome.CALL, None, role=role)
        call = self._make(role, nothing, source)
        self._follow(call.model_copy(update={"is_keyed": is_keyed, **what}))

    def _command(self, person: Role, name: str) -> None:
        self._plainly(person, Kind.COMMAND, name=name, text=name)

    def _condition(self, name: str, amount: float) -> None:
        self._plainly(self.foot_by, Kind.CONDITION, name=name, amount=amount, text=name)

    def _type(self, part: str, length: int) -> None:
        feet, hundredths = self._values(length)
        values = {"whole": feet * FOOT, "fraction": hundredths, "reading": feet * FOOT + hundredths}
        self.walked.typed += 1
        self._plainly(
            Role.UNSAID, Kind(part), is_keyed=True, value=values[part], text=str(values[part])
        )

    def _type_all(self, length: int) -> None:
        for _, part in self._parts():
            self._type(part, length)
        self._answer_all(Marks(length))

    # What follows.

    def _follow(self, event: Call | Decision | Conditions) -> None:
        result = step(self.state, event)
        self.state = result.state
        for each in result.consequences:
            match each:
                case Segment():
                    self.walked.booked.append((self.at, each))
                case Reopened() if self.walked.booked:
                    self.walked.booked.pop()
                case Question(asks=asks):
                    self.walked.questions[asks.code] += 1
                    self._open.append(each)
                case Finding(severity=Severity.STOP, code=code):
                    self.walked.stops[code] += 1
                    if code == "style-contradicted":
                        self.in_hand = self.plan.settings.style  # the right tape is fetched
                case _:
                    pass

    def _answer_all(self, marks: Marks) -> bool:
        """Answer what was asked; tell whether that was the end of the call."""
        answered = False
        for _ in range(MOST_ANSWERS):
            if not self._open:
                return answered
            question = self._open.pop(0)
            reply = ANSWERS.get(question.asks.code)
            if question.asks.code == "mended-or-next-pull" and not self._is_recorded():
                reply = None  # it is the next pull's: it is said again
            if reply is not None:
                reply(self, question, marks)
                answered = True
            elif question.asks.code not in SAY_AGAIN:
                self._must_restart = answered = True
        self._open.clear()
        return answered

    def say_part_again(self, question: Question, marks: Marks) -> None:
        """Say the part again that was asked for, by the one who called it; type it if told to."""
        facts = question.asks.facts
        is_take = facts.get("measurement") == "take"
        length = self.present.length if is_take and self.is_checking else marks.length
        if is_take and self.is_checking:
            length = self.present.take.length
        part = str(facts["part"])
        if question.asks.code in {"say-again-or-type", "typed-before"}:
            self._type(part, length)
            return
        by = self.foot_by if part == "whole" else OTHER[self.foot_by]
        person = OTHER[by] if is_take and self.is_checking else by
        self._say(person, part, length)

    def tell_holder(self, question: Question, marks: Marks) -> None:
        """Tell who holds the foot; where it is asked which number is which, call the reading."""
        if question.asks.facts.get("about") == "holder":
            self._command(self.foot_by, f"{self.foot_by.value}-holds")
        else:
            self._say(self.foot_by, "reading", marks.length)

    def mend(self, _question: Question, marks: Marks) -> None:
        """Strike what was recorded, and say again what was mended."""
        person, part, _ = self._said_last
        self._command(person, "scratch")
        self._say(person, part, marks.length)

    def type_it(self, _question: Question, _marks: Marks) -> None:
        """Type what is misheard as it was when it was struck."""
        _, part, length = self._said_last
        self._type(part, length)

    def confirm_or_type(self, question: Question, marks: Marks) -> None:
        """Say again what was heard right though it was struck; type what was misheard."""
        asked, (person, part, length) = self.state.asked_first, self._said_last
        if asked is None or _digits(asked) != self._values(length)[0]:
            self.type_it(question, marks)
            return
        self._now_s += 1.5  # it hears the question out
        self._say(person, part, length)

    def call_both_again(self, _question: Question, marks: Marks) -> None:
        """Call the foot and the hundredths again."""
        for person, part in self._parts():
            self._now_s += 1.0
            self._say(person, part, marks.length)

    def call_in_one(self, _question: Question, marks: Marks) -> None:
        """Call the foot and the hundredths as one reading."""
        self._say(self.foot_by, "reading", marks.length)

    def tell_style(self, _question: Question, _marks: Marks) -> None:
        """Say whether the tape in hand cuts or adds."""
        self._command(self.foot_by, self.in_hand.value)

    def tell_pull(self, question: Question, marks: Marks) -> None:
        """Tell whether it is the pull that was asked about: it is the one that the crew is at."""
        if question.asks.facts.get("about") == "next":
            self._command(self.foot_by, "scratch" if self._is_recorded() else "next")
            return
        self._say(self._parts()[0][0], "reading", marks.length)

    def pass_over(self, _question: Question, _marks: Marks) -> None:
        """Let it be as it stands: nothing is to be said to it."""


def _digits(call: Call) -> int | None:
    """Give the number that is read back: the foot, the hundredths, or both."""
    if call.kind not in NUMBERS or call.value is None:
        return None
    return call.value // FOOT if call.kind is Kind.WHOLE else call.value


Reply = Callable[[Day, Question, Marks], None]
ANSWERS: dict[str, Reply] = {
    "say-again": Day.say_part_again,
    "say-again-or-type": Day.say_part_again,
    "typed-before": Day.say_part_again,
    "who-holds-whole": Day.tell_holder,
    "call-both-again": Day.call_both_again,
    "same-as-other-part": Day.call_in_one,
    "say-style": Day.tell_style,
    "which-pull": Day.tell_pull,
    "mended-or-next-pull": Day.mend,
    "struck-before": Day.type_it,
    "struck-figure": Day.confirm_or_type,
    "keyed-and-heard": Day.pass_over,
    "stop-stands": Day.pass_over,
}
"""What a crew does when it is asked something, by the question's code; truthfully."""
SAY_AGAIN = frozenset(
    {
        *("one-digit", "again-or-hundredths", "not-sure-of", "is-hundredths", "is-whole"),
        *("is-part", "may-be", "no-call-made-out", "tape-cuts", "beyond-tape"),
        *("words-beyond-tape", "not-a-call-word", "word-does-not-belong", "call-breaks-off"),
        *("after-comes-number", "after-comes-reading", "say-read-and-held", "say-one-reading"),
        *("lone-word", "again-or-next-pull", "heard-on-both", "mended-in-one-breath"),
        *("mended-or-next-pull", "not-sure-of-style"),
    }
)
"""Questions about the call just made: it is said again, at last typed."""


@dataclass
class Count:
    """What became of many pulls."""

    pulls: int = 0
    wrong: int = 0
    """Recorded silently with a wrong length or under wrong conditions, or twice."""
    lengths: int = 0
    """Of these, off by more than the tolerance."""
    conditions: int = 0
    """Of these, under a rise or a held mark that is not theirs."""
    near: int = 0
    """Off by the tolerance or less."""
    unrecorded: int = 0
    questions: Counter[str] = field(default_factory=Counter)
    stops: Counter[str] = field(default_factory=Counter)
    noticed: int = 0
    typed: int = 0
    kinds: Counter[str] = field(default_factory=Counter)
    """Pulls by what there was to go wrong."""
    wrong_kinds: Counter[str] = field(default_factory=Counter)
    lines: list[tuple[tuple[str, str], int, int]] = field(default_factory=list)
    """Voices, pulls and wrong ones of each line."""

    def add(self, other: Count) -> None:
        """Add what another share counted."""
        for name in ("pulls", "wrong", "lengths", "conditions", "near", "unrecorded"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.noticed += other.noticed
        self.typed += other.typed
        for mine, theirs in (
            (self.questions, other.questions),
            (self.stops, other.stops),
            (self.kinds, other.kinds),
            (self.wrong_kinds, other.wrong_kinds),
        ):
            mine.update(theirs)
        self.lines += other.lines

    def judge(self, plan: Plan, walked: Walked, tolerance: int = 1) -> None:
        """Count a line: what is recorded against what is true."""
        wrong_before = self.wrong
        for at, pull in enumerate(plan.pulls):
            segments = [segment for place, segment in walked.booked if place == at]
            offs = [abs(round(each.length_read_ft * FOOT) - pull.length) for each in segments]
            is_long = len(segments) > 1 or any(off > tolerance for off in offs)
            is_unlike = any(not _has_its_conditions(each, pull) for each in segments)
            self.unrecorded += not segments
            self.lengths += is_long
            self.conditions += is_unlike
            self.near += not is_long and any(offs)
            self.wrong += is_long or is_unlike
            turned = {"walked on"} if at in walked.turned else set()
            kinds = (pull.kinds | turned) or {"none"}
            self.kinds.update(kinds)
            if is_long or is_unlike:
                self.wrong_kinds.update(kinds)
        self.pulls += len(plan.pulls)
        self.questions += walked.questions
        self.stops += walked.stops
        self.noticed += walked.noticed
        self.typed += walked.typed
        self.lines.append((plan.voices, len(plan.pulls), self.wrong - wrong_before))


def _has_its_conditions(segment: Segment, pull: Planned) -> bool:
    """Tell whether a pull is recorded with its own rise and held mark; unsaid is level, no mark."""
    used = segment.conditions
    return (used.rise_ft or 0.0) == (pull.rise_ft or 0.0) and segment.take.hold == pull.hold
