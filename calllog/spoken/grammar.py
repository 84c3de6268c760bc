"""A grammar file's text in, a checked `Grammar` out; pure (the shell reads the file)."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from enum import StrEnum
from typing import Annotated

from pydantic import AfterValidator, Field, PrivateAttr, ValidationError, field_validator
from pydantic_core import PydanticCustomError

from calllog.errors import GrammarError
from calllog.toml_text import read_toml
from calllog.values import Expectation, Frozen, Kind, ReadingUnit
from calllog.wording.catalogue import Words

WORDS = re.compile(r"(?:[^\W\d_]|')+(?: (?:[^\W\d_]|')+)*")
"""Letters of any script and apostrophes."""
SLOT = re.compile(r"\{(\w+)\}")
SLOTS = ("number", "decimal", "whole", "reading")


def _check_phrase(text: str) -> str:
    if not WORDS.fullmatch(text) or text != text.lower():
        message = f"{text!r} is no phrase: lower-case words separated by single blanks are"
        raise ValueError(message)
    return text


def _check_pattern(text: str) -> str:
    for slot in SLOT.findall(text):
        if slot not in SLOTS:
            message = f"{{{slot}}} is no slot; there are {', '.join(SLOTS)}"
            raise ValueError(message)
    if SLOT.sub("", text).count("{") or len(SLOT.findall(text)) > 1:
        message = f"{text!r} has more than one slot, or a brace that is not closed"
        raise ValueError(message)
    _check_phrase(SLOT.sub("slot", text))
    return text


Spoken = Annotated[str, AfterValidator(_check_phrase)]
Pattern = Annotated[str, AfterValidator(_check_pattern)]
Forms = Annotated[tuple[Spoken, ...], Field(min_length=1, strict=False)]
SpokenWords = Annotated[tuple[Spoken, ...], Field(strict=False)]


class Terms(Frozen):
    """Words with a part in numbers."""

    hundred: Forms
    point: Forms
    full_tape: Forms
    """The whole tape in one call: its nominal length."""
    tens_and: SpokenWords = ()
    """Between tens and digit, as "y" in "treinta y uno"; none where nothing stands there."""
    hundred_and: SpokenWords = ()
    """Between a hundred and what is added to it, as "and" in "two hundred and twelve"; it may be
    left out."""
    is_short_hundred: bool = False
    """Whether "two twelve" is 212 and "one oh five" 105."""
    hundred_more: SpokenWords = ()
    """A hundred that something is added to, as "ciento" in "ciento cinco"; `hundred` if none."""
    units_and: SpokenWords = ()
    """Between a whole mark with its unit and the hundredths, as "y" in "cinco pies y cuarenta y
    dos"; it may be left out."""
    like_unit: SpokenWords = ()
    """Hundredths that sound like the word of the whole unit, as "diez" like "pies": after a whole
    mark they are said with "point", or the unit is named."""
    mends: SpokenWords = ()
    """Said between two numbers to mend the first: "fifteen, no, sixteen"; such a call is asked."""

    @property
    def added_to(self) -> tuple[str, ...]:
        """How a hundred is said that something is added to."""
        return self.hundred_more or self.hundred


class RoleWords(Frozen):
    """Words that say who calls."""

    head: Forms
    rear: Forms


class UnitWords(Frozen):
    """Words after a number that name what it counts, as "pies" and "centésimas"."""

    part: Annotated[Kind, Field(strict=False)]
    """Whole or fraction."""
    one: Forms
    """After one."""
    more: Forms
    before: dict[Spoken, Spoken] = Field(default_factory=dict)
    """How the last word of a number changes before it: "uno" is "un" before "pie"."""

    @field_validator("part")
    @classmethod
    def _must_be_a_part(cls, part: Kind) -> Kind:
        if part not in (Kind.WHOLE, Kind.FRACTION):
            raise PydanticCustomError("part", "input should be 'whole' or 'fraction'")
        return part


class NoteWords(Frozen):
    """Words of a station and offset note."""

    station: Forms
    plus: Forms
    """Between the hundreds and the feet of a station."""
    left: Forms
    right: Forms


class ConditionPhrases(Frozen):
    """The phrases of one condition; `amount` is what they state when they have no slot.

    Temperatures are degrees Fahrenheit, tensions pounds and rises feet where the grammar calls
    feet; degrees Celsius, newtons and meters where it calls meters.
    """

    name: str
    amount: float | None = None
    below_zero: bool = False
    """The number in the slot is one below zero."""
    phrases: Annotated[tuple[Pattern, ...], Field(min_length=1, strict=False)]


class Chatter(Frozen):
    """Crew talk that is heard and ignored; a number in it is no call: "wait {number} minutes"."""

    phrases: Annotated[tuple[Pattern, ...], Field(min_length=1, strict=False)]


class SaidKind(StrEnum):
    """Kinds of phrases that an expectation listens for."""

    NUMBER = "number"
    READING = "reading"
    SHORT = "short"
    """Calls that are asked again, such as a single digit for hundredths."""
    COMMAND = "command"
    CONDITION = "condition"
    NOTE = "note"
    """Station, side and offset."""
    STYLE = "style"
    """Numbers after the word that says whether the tape cuts or adds."""
    NAMED = "named"
    """Numbers that name what they count, such as feet."""
    MENDED = "mended"
    """Numbers that the caller mends in the same breath; asked again."""
    FIGURES = "figures"
    """Figures one by one, too many for a part or a reading or too few; asked again."""
    CHATTER = "chatter"


Kinds = Annotated[
    tuple[Annotated[SaidKind, Field(strict=False)], ...], Field(min_length=1, strict=False)
]


class Listens(Frozen):
    """What is listened for under an expectation: `first` is likelier than `also`."""

    first: Kinds
    also: Kinds


MOST_REACH = 500
"""The longest tape whose marks can be called, whole units."""


class Grammar(Frozen):
    """One language and unit system, as its file states it."""

    name: str
    language: str
    unit: Annotated[ReadingUnit, Field(strict=False)]
    digits: dict[str, Forms]
    cardinals: dict[str, Forms]
    terms: Terms
    styles: dict[str, Forms] = Field(default_factory=dict)
    """Words before a call that say how the tape is graduated: cut or add."""
    units: Annotated[tuple[UnitWords, ...], Field(strict=False)] = ()
    """Words after a number that name what it counts; none where nobody names it."""
    roles: RoleWords
    notes: NoteWords
    commands: dict[str, Forms]
    answers: dict[str, Forms] = Field(default_factory=dict)
    """Phrases that are commands where the program has just asked for them, and talk elsewhere."""
    conditions: Annotated[tuple[ConditionPhrases, ...], Field(strict=False)]
    chatter: Chatter
    listens: dict[Annotated[Expectation, Field(strict=False)], Listens]
    reach: int = Field(default=100, ge=100, le=MOST_REACH)
    """Up to which whole mark numbers go; more hundreds are for long tapes alone, since the more
    may be said the worse it is heard."""
    _words: Words | None = PrivateAttr(default=None)

    @field_validator("unit", mode="before")
    @classmethod
    def _must_be_foot_or_metre(cls, unit: object) -> object:
        """Take what is called; how finely a tape is read stands in its certificate."""
        if unit not in (ReadingUnit.FOOT.value, ReadingUnit.METRE.value):
            raise PydanticCustomError("unit", "input should be 'foot' or 'metre'")
        return unit

    def reaching(self, nominal: int) -> Grammar:
        """Give the grammar for tapes up to a nominal length, whole units.

        Raises:
            GrammarError: no tape is so long that its marks can be called.
        """
        if nominal <= self.reach:
            return self
        if nominal > MOST_REACH:
            raise GrammarError(
                f"marks up to {nominal} cannot be called",
                where=self.name,
                next_step=f"use a tape of at most {MOST_REACH} {self.unit.symbol}",
            )
        return self.model_copy(update={"reach": -(-nominal // 100) * 100})

    def reading(self, unit: ReadingUnit) -> Grammar:
        """Give the grammar for tapes that are read as finely as this.

        Raises:
            GrammarError: it calls another unit.
        """
        if unit is self.unit:
            return self
        if unit.base is not self.unit.base:
            raise GrammarError(
                f"{self.name} calls {self.unit.plural}, not {unit.plural}",
                where=self.name,
                next_step=f"name a grammar in {unit.plural}",
            )
        return self.model_copy(update={"unit": unit})

    @property
    def words(self) -> Words:
        """What the program itself says, in this language and unit; codes alone if not given."""
        words = self._words or Words(self.language, lambda: "", self.unit)
        return words.measured_in(self.unit)


MOST_SIGNS = 100_000
"""Of a grammar's file; those that travel with the program have 5,000."""
CONDITION_NAMES = ("temperature", "tension", "spans", "position", "rise", "hold", "tape", "line")
COMMAND_NAMES = (
    *("switch", "scratch", "first", "check", "again", "next", "finish", "remark", "repeat", "who"),
    "caller-holds",
)
ANSWER_NAMES = ("caller-holds",)
"""Commands that have answers of their own."""
STYLE_NAMES = ("cut", "add")
"""Words and commands that a grammar may leave out: it says by them whether a tape cuts or adds."""
MAY_LACK = frozenset({"repeat", "who", "caller-holds"})
"""Commands that a grammar of one's own need not have: they move no pull, or keys say the same."""


def load_grammar(
    text: str, where: str = "grammar", words: Words | Callable[[str], Words] | None = None
) -> Grammar:
    """Read and check a grammar.

    Returns:
        The grammar, complete and without a phrase that means two things outside numbers.

    Raises:
        GrammarError: the text is empty, no TOML, incomplete, or has one phrase twice.
    """
    if not text.strip():
        raise GrammarError(
            "the grammar is empty, so nothing could be heard",
            where=where,
            next_step="restore the file, or copy grammars/en-us-feet.toml and change the words",
        )
    data = read_toml(text, where=where, most_signs=MOST_SIGNS, kind=GrammarError)
    try:
        grammar = Grammar.model_validate(data)
    except ValidationError as error:
        raise GrammarError(
            "; ".join(_problems(error)),
            where=where,
            next_step="see grammars/en-us-feet.toml for the form of each entry",
        ) from error
    problems = tuple(_inconsistencies(grammar))
    if problems:
        raise GrammarError("; ".join(problems), where=where, next_step="fix these entries")
    if words is not None:
        told = words if isinstance(words, Words) else words(grammar.language)
        grammar._words = told.measured_in(grammar.unit)  # noqa: SLF001 - set once, by pydantic's rule
    return grammar


def _problems(error: ValidationError) -> tuple[str, ...]:
    return tuple(
        f"{'.'.join(str(part) for part in item['loc'])}: {item['msg'][0].lower()}{item['msg'][1:]}"
        for item in error.errors()
    )


def _own_cardinals(grammar: Grammar) -> set[str]:
    """List the numbers that a grammar may say in a way of its own: whole decades, and hundreds."""
    decades = ({str(tens + unit) for unit in range(1, 10)} for tens in range(20, 100, 10))
    given = [decade for decade in decades if decade <= set(grammar.cardinals)]
    return set().union(*given, (str(hundreds) for hundreds in range(200, 1000, 100)))


def _inconsistencies(grammar: Grammar) -> list[str]:
    problems = []
    expected_digits = {str(value) for value in range(10)}
    expected_cardinals = {str(value) for value in (*range(20), *range(20, 100, 10))}
    own = _own_cardinals(grammar)
    for table, given, expected in (
        ("digits", set(grammar.digits), expected_digits),
        ("cardinals", set(grammar.cardinals) - own, expected_cardinals),
        ("commands", set(grammar.commands) - set(STYLE_NAMES), set(COMMAND_NAMES)),
        ("answers", set(grammar.answers), set(grammar.answers) & set(ANSWER_NAMES)),
        ("styles", set(grammar.styles), set(grammar.styles) & set(STYLE_NAMES)),
        ("listens", {str(key) for key in grammar.listens}, {str(key) for key in Expectation}),
    ):
        if missing := sorted(expected - given - MAY_LACK):
            problems.append(f"{table}: no entry for {', '.join(missing)}")
        if unknown := sorted(given - expected):
            problems.append(f"{table}: {', '.join(unknown)} has no meaning here")
    for condition in grammar.conditions:
        if condition.name not in CONDITION_NAMES:
            problems.append(f"conditions: {condition.name} is none of {', '.join(CONDITION_NAMES)}")
        problems += [
            f"conditions: {pattern!r} needs either a slot or a fixed amount"
            for pattern in condition.phrases
            if bool(SLOT.search(pattern)) == (condition.amount is not None)
        ]
    for expects, listens in grammar.listens.items():
        twice = [kind for kind, n in Counter((*listens.first, *listens.also)).items() if n > 1]
        problems += [f"listens.{expects}: {kind} stands twice" for kind in twice]
    counted = Counter(
        [
            *(phrase for forms in grammar.commands.values() for phrase in forms),
            *(phrase for forms in grammar.answers.values() for phrase in forms),
            *(phrase for condition in grammar.conditions for phrase in condition.phrases),
            *grammar.chatter.phrases,
            *grammar.terms.full_tape,
            *(word for forms in grammar.styles.values() for word in forms),
            *(p for named in vars(grammar.notes).values() for p in named),
            *(word for forms in grammar.cardinals.values() for word in forms),
        ]
    )
    problems += [f"{phrase!r} stands in {n} places" for phrase, n in counted.items() if n > 1]
    return problems
