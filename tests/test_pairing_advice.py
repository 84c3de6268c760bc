"""Whoever does what a question says, heard surely, ends it, and the right length is recorded."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from calllog.decoding import NEWEST
from calllog.pairing import EDITION, Phase
from calllog.readback import answer
from calllog.spoken import Grammar, Parser, say
from calllog.tape import PARTED
from calllog.values import Kind, Message, Question, Role, Style, Void
from tests.crew import Crew, settings

BEFORE = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")
"""A pull after which head may have walked on to hold the foot."""
OTHER = {"h": "r", "r": "h", "u": "u"}
WHO, ANEW = "who-holds-whole", "call-both-again"
MOST = 4
"""So many questions in a row are no help."""


@dataclass(frozen=True)
class Truth:
    """What is called in the take."""

    whole: int = 62
    fraction: int = 88
    foot: str = "h"
    """Who calls the foot in the take."""
    says: str = "reading"
    """How a crew answers who holds the foot: by the reading, or that it is theirs."""
    by: str = "h"
    """Who says the reading."""


@dataclass
class Pull:
    """A crew that does what it is told."""

    crew: Crew
    grammar: Grammar
    truth: Truth
    pull: int
    asked: list[Message] = field(default_factory=list)

    def holder(self) -> str:
        """Tell who calls the foot now."""
        is_check = self.crew.state.phase is Phase.CHECKING
        return OTHER[self.truth.foot] if is_check else self.truth.foot

    def whole(self) -> str:
        """Call the foot."""
        words = say(self.grammar, Kind.WHOLE, 100 * self.truth.whole)
        return f"{self.holder()}: {words}"

    def fraction(self) -> str:
        """Call the hundredths."""
        words = say(self.grammar, Kind.FRACTION, self.truth.fraction)
        nobody = self.truth.foot == "u"  # who says the point, too, since nobody says who calls
        return f"{OTHER[self.holder()]}: {'point ' if nobody else ''}{words}"

    def reading(self) -> str:
        """Call it all."""
        value = 100 * self.truth.whole + self.truth.fraction
        return f"{self.truth.by}: {say(self.grammar, Kind.READING, value)}"

    def missing(self) -> list[str]:
        """Call what is not known yet of the measurement in progress."""
        if self.crew.line.style not in PARTED:
            return [self.reading()]
        parts = self.crew.state.parts
        due = [] if parts.whole is not None else [self.whole()]
        return due if parts.fraction is not None else [*due, self.fraction()]

    def told(self, question: Question) -> list[str]:  # noqa: PLR0911 - one way out for each
        """Do what a question says."""
        facts = question.asks.facts
        match question.asks.code:
            case "who-holds-whole" if self.truth.says == "mine" and facts["about"] == "holder":
                return [f"{self.holder()}: i've got the foot"]
            case "who-holds-whole" | "nobody-holds-whole" | "is-part":
                return [self.reading()]
            case "say-again" | "one-digit" | "again-or-hundredths":
                return [self.fraction()]
            case "call-both-again" | "both-parts-again" | "tape-cuts":
                return [self.whole(), self.fraction()]
            case "check-needed":
                return ["h: switch ends"]
            case "before-switching":
                return self.missing()
            case "keyed-and-heard":
                return ["r: strike that", self.whole()]
            case "not-sure-of":
                return [f"{self.holder()}: i've got the foot"]
            case _:
                return [self.whole()]

    def call(self, *lines: str) -> None:
        """Say calls as a crew does that follows each question's own advice."""
        for each in lines:
            before, begun = len(self.asked), len(self.crew.followed)
            self.hear(each)
            said = [x for x in self.crew.followed[begun:] if isinstance(x, Question)]
            if said:
                self.answer(said[-1])
            if len(self.asked) > before:
                return

    def answer(self, question: Question) -> None:
        """Do what it says."""
        assert question.asks not in self.asked, "the same question again"
        self.asked.append(question.asks)
        assert len(self.asked) <= MOST
        self.call(*self.told(question))

    def hear(self, line: str) -> None:
        """Hear one call; one with a probability unsurely, one by both at once."""
        if line[-1].isdigit():
            self.crew.hear(line)
        else:
            self.crew.say(line.removeprefix("both "))
        if line.startswith("both "):
            twin = self.crew.heard[-1]
            other = {"h": Role.REAR, "r": Role.HEAD}[line.removeprefix("both ")[0]]
            twin = twin.model_copy(update={"number": 99, "source": "paper#9", "role": other})
            self.crew.follow(twin)

    def finish(self) -> None:
        """Call what is missing, switch ends, check."""
        for _ in range(2 * MOST):
            if self.crew.state.pull != self.pull:
                return
            assert self.crew.state.phase is not Phase.STOPPED
            if self.crew.state.phase is Phase.TAKEN:
                self.call("h: switch ends")
            else:
                self.call(self.missing()[0])


def worked(
    grammar: Grammar, style: Style, truth: Truth, script: tuple[str, ...], **changes: object
) -> Pull:
    """Say a script that ends in a question, do what the questions say, and finish the pull."""
    crew = Crew(Parser(grammar), settings(style, pairing=EDITION, **changes), is_live=True)
    pull = Pull(crew, grammar, truth, 0)
    for each in script[:-1]:
        pull.hear(each)
    pull.pull = crew.state.pull
    pull.call(script[-1])
    pull.finish()
    return pull


def length(style: Style, truth: Truth) -> float:
    """Give the length that is true."""
    value = 100 * truth.whole + (-1 if style is Style.CUT else 1) * truth.fraction
    return value / 100


HEAD = Truth()
REAR = Truth(foot="r")
NOBODY = Truth(foot="u", by="u")
TOOK = ("r: sixty two", "h: eighty eight")
ALIKE = Truth(62, 62, "u", by="u")
CASES: dict[str, tuple[Truth, tuple[str, ...], list[str]]] = {
    "foot misheard": (HEAD, (*BEFORE, "h: sixty", "r: eighty eight"), [WHO]),
    "hundredths misheard": (HEAD, (*BEFORE, "h: sixty two", "r: eighty"), [WHO]),
    "the other one reads": (Truth(by="r"), (*BEFORE, "h: sixty", "r: eighty eight"), [WHO]),
    "it is typed": (Truth(by="kh"), (*BEFORE, "h: sixty", "r: eighty eight"), [WHO]),
    "both misheard": (HEAD, (*BEFORE, "h: sixty", "r: eighty"), [WHO, ANEW, WHO]),
    "nothing misheard": (HEAD, (*BEFORE, "h: sixty two", "r: eighty eight"), [WHO]),
    "says so": (Truth(says="mine"), (*BEFORE, "h: sixty two", "r: eighty eight"), [WHO]),
    "check misheard": (REAR, (*TOOK, "h: switch ends", "r: eighty", "h: sixty two"), [WHO]),
    "order": (NOBODY, ("u: sixty two", "u: eighty eight"), [WHO]),
    "order, foot misheard": (NOBODY, ("u: sixty", "u: eighty eight"), [WHO]),
    "order, both misheard": (NOBODY, ("u: sixty", "u: eighty"), [WHO, ANEW]),
    "twice one number": (ALIKE, ("u: sixty two", "u: sixty two"), ["again-or-hundredths", WHO]),
    "nobody known": (NOBODY, ("u: i've got the foot",), ["nobody-holds-whole"]),
    "not sure of who": (Truth(says="mine"), ("h: i've got the foot 0.8",), ["not-sure-of"]),
    "held otherwise": (REAR, (*TOOK, "h: i've got the foot"), [WHO]),
    "told otherwise": (
        REAR,
        ("r: i've got the foot", *TOOK, "h: switch ends", "r: i've got the foot"),
        [WHO],
    ),
    "one digit": (Truth(62, 7, "r"), ("r: sixty two", "h: seven"), ["one-digit"]),
    "too soon": (REAR, ("r: sixty two", "h: switch ends"), ["before-switching"]),
    "no check": (REAR, (*TOOK, "h: next pull"), ["check-needed"]),
    "typed wrong": (REAR, ("kr: sixty", "r: sixty two"), ["keyed-and-heard"]),
    "on both": (REAR, ("both r: sixty two",), ["heard-on-both"]),
    "lone word": (Truth(6, 88, "r"), ("r: six 0.9",), ["lone-word"]),
    "echo": (Truth(42, 88, "r"), (*BEFORE, "r: forty two"), ["again-or-next-pull"]),
    "next one alike": (Truth(43, 88, "r"), (*BEFORE, "r: forty three"), ["mended-or-next-pull"]),
    "mended": (REAR, ("r: sixty three no sixty two",), ["mended-in-one-breath"]),
    "misheard": (
        REAR,
        (*TOOK, "h: switch ends", "h: sixty two", "r: eighty three 0.35 | eighty eight 0.3"),
        ["say-again"],
    ),
}
"""What is true, the calls up to the question, and what is asked until the pull is recorded."""
CUT_CASES: dict[str, tuple[Truth, tuple[str, ...], list[str]]] = {
    "reading alone": (REAR, ("r: sixty two eighty eight",), ["tape-cuts"]),
    "foot misheard": (HEAD, (*BEFORE, "h: sixty", "r: eighty eight"), [WHO, ANEW, WHO]),
    "check misheard": (*CASES["check misheard"][:2], [WHO, ANEW]),
    "less than nothing": (REAR, ("r: zero", "h: eighty eight"), ["both-parts-again"]),
    "beyond the tape": (REAR, ("r: one hundred sixty two",), ["beyond-tape"]),
}
"""The same for a tape that cuts, on which a reading does not tell which mark was held."""


def changed(case: str, truth: Truth) -> dict[str, object]:
    """Say what a line needs for a case."""
    changes: dict[str, object] = {"whole_by": Role.UNSAID} if truth.foot == "u" else {}
    return changes | ({"decoding": NEWEST} if case.startswith("misheard") else {})


@pytest.mark.parametrize("case", CASES)
def test_each_question_is_ended_by_its_own_advice(grammar: Grammar, case: str) -> None:
    """Nothing is asked twice, no stop comes of it, and what was called is recorded."""
    truth, script, codes = CASES[case]
    pull = worked(grammar, Style.ADD, truth, script, **changed(case, truth))
    assert [each.code for each in pull.asked] == codes
    assert pull.crew.lengths[-1] == length(Style.ADD, truth)


@pytest.mark.parametrize("case", sorted({*CASES, *CUT_CASES}))
def test_so_it_is_on_a_tape_that_cuts(grammar: Grammar, case: str) -> None:
    """A reading that fits no way is no mark: both parts are called again."""
    truth, script, codes = (CUT_CASES if case in CUT_CASES else CASES)[case]
    pull = worked(grammar, Style.CUT, truth, script, **changed(case, truth))
    assert case not in CUT_CASES or [each.code for each in pull.asked] == codes
    assert pull.crew.lengths[-1] == length(Style.CUT, truth)


@pytest.mark.parametrize("style", [Style.FULL, Style.INSET])
@pytest.mark.parametrize(
    ("script", "code"),
    [("h: sixty two", "is-part"), ("h: i've got the foot", "nobody-holds-whole")],
)
def test_so_it_is_where_one_end_reads(
    grammar: Grammar, style: Style, script: str, code: str
) -> None:
    """It is called as one reading."""
    pull = worked(grammar, style, HEAD, (script,))
    assert [each.code for each in pull.asked] == [code]
    assert pull.crew.lengths == [62.88]


ASKED = (*BEFORE, "h: sixty", "r: eighty eight")
READ = "h: sixty two eighty eight"


def asked(parser: Parser, *said: str, **changes: object) -> Crew:
    """Ask a live crew who holds the foot: the one who called 60, or 88."""
    line = settings(pairing=EDITION).model_copy(update=changes)
    return Crew(parser, line, is_live=True).say(*(said or ASKED))


def test_reading_strikes_what_it_contradicts_alone(parser: Parser) -> None:
    """60 was misheard, 88 stands; all stay in the journal."""
    crew = asked(parser).say(READ)
    assert [each.call for each in crew.followed if isinstance(each, Void)] == [6]
    assert (crew.state.phase, crew.state.parts.raw) == (Phase.TAKEN, 62_88)
    assert crew.state.take is not None
    assert crew.state.take.calls == (7, 8)


def test_what_was_heard_first_stays_evidence(parser: Parser) -> None:
    """All calls of the pull are weighed with it."""
    crew = asked(parser).say(READ)
    assert [(of_take, each.part, each.call) for of_take, each in crew.state.replaced] == [
        (True, "whole", 6)
    ]


def test_unsure_reading_replaces_nothing(parser: Parser) -> None:
    """It is said again, by the one who said it; said twice it counts."""
    crew = asked(parser).hear(f"{READ} 0.6 | sixty three eighty eight 0.3")
    assert crew.questions[-1] == "say-again measurement=take part=reading role=head"
    assert crew.state.parts.is_complete is False
    assert crew.hear(f"{READ} 0.6 | sixty three eighty eight 0.3").state.parts.raw == 62_88


@pytest.mark.parametrize(
    "read", ["h: thirty four twenty one", "r: sixty sixty", "r: eighty eight eighty eight"]
)
def test_reading_of_the_next_pull_is_not_this_one(parser: Parser, read: str) -> None:
    """Nothing that was called has a part of it, or both ways have: both parts are called again."""
    crew = asked(parser).say(read)
    assert crew.codes[-1] == "call-both-again"
    assert [each.call for each in crew.followed if isinstance(each, Void)] == [6, 7, 8]
    assert (crew.state.pull, crew.state.is_between, crew.lengths) == (2, True, [15.42])


def test_read_back_says_what_stands(parser: Parser, grammar: Grammar) -> None:
    """The number that replaces, and what it replaces; one that is struck itself replaces none."""
    crew, other = asked(parser), asked(parser)
    before = len(crew.followed)
    told = [
        answer(grammar, each.heard[-1], each.followed[before:], calls=each.heard).words
        for each in (crew.say(READ), other.say("h: thirty four twenty one"))
    ]
    assert told[0].startswith("sixty two eighty eight, not sixty.")
    assert "not" not in told[1].partition(".")[0]
    assert told[1].endswith("call both parts again")


def test_reading_a_foot_off_meets_the_check(parser: Parser) -> None:
    """Whoever answers with another mark than was called and heard is not recorded for it."""
    crew = asked(parser, *ASKED[:-2], "h: sixty two", "r: eighty eight")
    crew.say("h: sixty one eighty eight", "h: switch ends", "r: sixty two", "h: eighty eight")
    assert (crew.state.phase, crew.lengths) == (Phase.STOPPED, [15.42])


def test_typed_part_is_not_replaced_by_what_is_said(parser: Parser) -> None:
    """One of the two has slipped, and nobody knows which: both are called again."""
    crew = asked(parser, *BEFORE, "kh: sixty", "r: eighty eight", READ)
    assert crew.codes == [WHO, "call-both-again"]
    assert crew.state.is_between


def test_reading_beyond_the_tape_is_told(parser: Parser) -> None:
    """What was called before it stands."""
    crew = asked(parser, limit=90_00).say("h: ninety two eighty eight")
    assert crew.codes[-1] == "beyond-tape"
    assert crew.say(READ).state.parts.raw == 62_88


def test_strike_that_takes_the_reading_back(parser: Parser) -> None:
    """All numbers of the measurement are called again: 60 counts no more."""
    crew = asked(parser).say(READ, "h: strike that")
    assert crew.state.parts.whole is None
    assert crew.lengths == [15.42]
    crew.say("h: sixty two", "r: eighty eight", READ)
    assert crew.state.parts.raw == 62_88


def test_full_tape_is_no_answer(parser: Parser) -> None:
    """Said of the next pull, or no call at all: the question stands."""
    crew = asked(parser).say("r: full tape")
    assert crew.codes == [WHO, WHO]


def test_old_lines_ask_the_same_again(parser: Parser) -> None:
    """A journal of before leads to what it led to."""
    crew = asked(parser, pairing=1).say(READ, READ)
    assert crew.codes == [WHO, WHO, WHO]
    cut = asked(parser, "r: zero", "h: fifty", style=Style.CUT, pairing=1)
    assert cut.say("r: forty nine").findings == ["repeat-differs"]


def test_complete_take_outlives_an_impossible_call(parser: Parser) -> None:
    """A mark that leaves nothing beside the hundredths of a take strikes nothing of it."""
    crew = asked(parser, "r: fifteen", "h: forty two", "r: zero", style=Style.CUT)
    assert crew.codes == ["both-parts-again"]
    assert crew.state.parts.raw == 15_42
    assert crew.say("r: fifteen", "h: forty two").findings == []
