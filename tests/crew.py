"""A crew on paper: words said by one of two people become calls for the pairing machine."""

from __future__ import annotations

from dataclasses import dataclass, field

from calllog.pairing import State, StyleKnown, caller_at, expects, start, status, step
from calllog.spoken import Meaning, Parser, Rejection
from calllog.values import (
    Alternative,
    Call,
    Choice,
    Conditions,
    Consequence,
    Decision,
    Expectation,
    Fact,
    Finding,
    Kind,
    LineSettings,
    Message,
    Outcome,
    Question,
    Role,
    Segment,
    Style,
)

CHANNEL = {Role.UNSAID: 0, Role.HEAD: 1, Role.REAR: 2}
"""The microphone of each."""
SHORT = {"h": Role.HEAD, "r": Role.REAR, "u": Role.UNSAID}


def settings(style: Style = Style.ADD, **changes: object) -> LineSettings:
    """State a line on a 100 ft tape."""
    limit = 10_099 if style is Style.ADD else 10_000
    line = LineSettings(
        line_from="A", line_to="B", tape="T-1", style=style, nominal=100, limit=limit
    )
    return line.model_copy(update=changes)


def made_call(number: int, kind: Kind, at_s: float, **changes: object) -> Call:
    """Make a call of a second, surely heard on one microphone, but for what is said of it."""
    made: dict[str, object] = {
        "number": number,
        "source": "live#1",
        "role": Role.UNSAID,
        "expects": Expectation.ANY,
        "kind": kind,
        "text": "said",
        "value": None,
        "name": "",
        "amount": None,
        "probability": 1.0,
        "alternatives": (),
        "outcome": Outcome.CALL,
        "reason": None,
        "start_s": at_s,
        "end_s": at_s + 1.0,
        "clip": "",
    }
    return Call.model_validate(made | changes)


def short(told: Message) -> str:
    """Write a message without its words: its code and its facts, ``one-digit digit=7 said=7``."""
    facts = sorted(told.facts.items())
    named = (f"{name}={_fact(each)}" for name, each in facts)
    return " ".join((told.code, *named))


def _fact(fact: Fact) -> str:
    return f"({short(fact)})" if isinstance(fact, Message) else str(fact)


@dataclass
class Crew:
    """Says words, keeps what followed."""

    parser: Parser
    line: LineSettings = field(default_factory=settings)
    conditions: Conditions = field(default_factory=Conditions)
    heard: list[Call] = field(default_factory=list)
    followed: list[Consequence] = field(default_factory=list)
    gap_s: float = 3.0
    is_live: bool = False
    is_style_known: bool = True
    """The crew has confirmed before how the tape is graduated."""

    def __post_init__(self) -> None:
        """Begin the line."""
        self._speaker: Role | None = None
        style = StyleKnown.CONFIRMED if self.is_style_known else StyleKnown.NOT_YET
        self.state: State = start(self.line, 1, self.conditions, style=style)

    def say(self, *spoken: str) -> Crew:
        """Say calls one after the other: ``r: fifteen`` (rear), ``h: forty two`` (head).

        A ``k`` before the letter has it typed: ``kr: fifteen``.
        """
        for each in spoken:
            who, _, text = each.partition(": ")
            role = self._speaker = SHORT[who[-1]]
            wanted = expects(self.state, role)
            found = self.parser.parse(text, wanted, self.line.limit)
            if isinstance(found, Meaning) and found.role is not Role.UNSAID:
                role = caller_at(self.state, found.role)
            self._take(role, text, found, is_keyed=who.startswith("k"))
        return self

    def hear(self, *spoken: str) -> Crew:
        """Hear calls of which a recogniser is not sure: ``r: fifteen 0.6 | fifty 0.4``.

        What is left to one is "no call".
        """
        for each in spoken:
            who, _, text = each.partition(": ")
            role = self._speaker = SHORT[who]
            wanted = expects(self.state, role)
            listed = []
            for one in text.split(" | "):
                words, _, probability = one.rpartition(" ")
                found = self.parser.parse(words, wanted, self.line.limit)
                assert isinstance(found, Meaning), words
                listed.append((words, found, float(probability)))
            alternatives = tuple(
                Alternative(text=words, kind=found.kind, value=found.value, probability=share)
                for words, found, share in listed
            )
            words, found, share = listed[0]
            self._take(
                role, words, found, is_keyed=False, probability=share, alternatives=alternatives
            )
        return self

    def tell(self, who: str) -> Crew:
        """Type who holds the whole mark: ``h`` or ``r``."""
        name = {"h": "head-holds", "r": "rear-holds"}[who]
        self._take(Role.UNSAID, name, Meaning(Kind.COMMAND, name=name), is_keyed=True)
        return self

    def remark(self, who: str) -> Crew:
        """Say something that is kept as sound."""
        self._take(SHORT[who], "", Meaning(Kind.REMARK), is_keyed=False)
        return self

    def type_part(self, who: str, whole: int | None, fraction: int | None) -> Crew:
        """Type one part with its point, as ``15.`` or ``.42``, whatever is expected."""
        kind = Kind.FRACTION if whole is None else Kind.WHOLE
        value = fraction if whole is None else whole
        self._take(SHORT[who], "", Meaning(kind, value), is_keyed=True)
        return self

    def _take(
        self,
        role: Role,
        text: str,
        found: Meaning | Rejection,
        *,
        is_keyed: bool,
        probability: float = 1.0,
        alternatives: tuple[Alternative, ...] = (),
    ) -> None:
        outcome = Outcome.CALL if isinstance(found, Meaning) else found.outcome
        if isinstance(found, Meaning) and found.kind in (Kind.CHATTER, Kind.REMARK):
            outcome = Outcome.IGNORED
        call = Call(
            number=len(self.heard) + 1,
            source="paper#keys" if is_keyed else f"paper#{CHANNEL[self._speaker or role]}",
            role=role,
            expects=expects(self.state, role),
            kind=found.kind if isinstance(found, Meaning) else Kind.UNCLEAR,
            text=text,
            value=found.value if isinstance(found, Meaning) else None,
            name=found.name if isinstance(found, Meaning) else "",
            amount=found.amount if isinstance(found, Meaning) else None,
            probability=probability,
            alternatives=alternatives,
            outcome=outcome,
            reason=None if isinstance(found, Meaning) else found.reason,
            start_s=self.gap_s * len(self.heard),
            end_s=self.gap_s * len(self.heard) + 1,
            clip="",
            is_live=self.is_live,
            is_keyed=is_keyed,
            note=found.note if isinstance(found, Meaning) else None,
        )
        self.heard.append(call)
        self.follow(call)

    def decide(self, choice: Choice, pull: int | None = None, by: str = "chief") -> Crew:
        """Let the chief decide about the pull that stands."""
        self.follow(Decision(pull=pull or self.state.pull, choice=choice, by=by))
        return self

    def follow(self, event: Call | Decision) -> None:
        """Let the machine take something as it is."""
        result = step(self.state, event)
        self.state = result.state
        self.followed += result.consequences

    @property
    def segments(self) -> list[Segment]:
        """What was booked, in order."""
        return [each for each in self.followed if isinstance(each, Segment)]

    @property
    def findings(self) -> list[str]:
        """Codes of what was found, in order."""
        return [each.code for each in self.followed if isinstance(each, Finding)]

    @property
    def asked(self) -> list[Message]:
        """What the crew was asked, in order."""
        return [each.asks for each in self.followed if isinstance(each, Question)]

    @property
    def questions(self) -> list[str]:
        """The same in short; see `short`."""
        return [short(each) for each in self.asked]

    @property
    def codes(self) -> list[str]:
        """Their codes alone."""
        return [each.code for each in self.asked]

    @property
    def status(self) -> str:
        """What the pull waits for, in short."""
        return short(status(self.state))

    @property
    def lengths(self) -> list[float]:
        """Lengths booked [ft]."""
        return [each.length_read_ft for each in self.segments]
