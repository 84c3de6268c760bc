"""Words in, a `Meaning` or a `Rejection` out: strict, never guessing; pure."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from calllog.spoken.compile import GREATEST_ADDITION, words
from calllog.spoken.fine import parse_fine
from calllog.spoken.grammar import SLOT, Grammar
from calllog.spoken.meaning import Meaning, Rejection, Why
from calllog.spoken.mended import parse_mended
from calllog.spoken.named import EXPECTED, is_named_part, named_units
from calllog.spoken.notes import parse_note
from calllog.spoken.numbers import LONGS, Number, NumberForm, joins, number_forms
from calllog.values import HUNDREDTHS, Expectation, Kind, ReadingUnit, Role, message

HUNDRED = 100
"""The greatest foot mark that is called as one number."""


def normalise(text: str) -> tuple[str, ...]:
    """Split into lower-case words; a hyphen separates words as a blank does."""
    return tuple(text.casefold().replace("-", " ").split())


def _openings(known: Iterable[str]) -> frozenset[tuple[str, ...]]:
    """List the first words, first two words and so on of each phrase."""
    split = [tuple(phrase.split()) for phrase in known]
    return frozenset(each[:n] for each in split for n in range(1, len(each) + 1))


def _in_full(found: Rejection, said: tuple[str, ...], start: int) -> Rejection:
    """Tell of all words said what was found of the number in them alone, without its unit."""
    return replace(found, words=said, index=min(start + found.index, len(said)))


class _SlotPattern(NamedTuple):
    """A phrase with a slot, of a condition or of talk."""

    before: tuple[str, ...]
    slot: str
    after: tuple[str, ...]
    name: str = ""
    """Name of the condition; empty for talk."""
    sign: int = 1

    @classmethod
    def of(cls, pattern: str, name: str = "", sign: int = 1) -> _SlotPattern | None:
        """Split a phrase at its slot; None if it has none."""
        slot = SLOT.search(pattern)
        if slot is None:
            return None
        before, after = pattern[: slot.start()].split(), pattern[slot.end() :].split()
        return cls(tuple(before), slot.group(1), tuple(after), name, sign)

    def inner(self, said: tuple[str, ...]) -> tuple[str, ...] | None:
        """Give the words in its slot; None if the others are not its own."""
        start, end = len(self.before), len(said) - len(self.after)
        is_its = start < end and said[:start] == self.before and said[end:] == self.after
        return said[start:end] if is_its else None


class _Patterns:
    """Phrases with a slot, found by their first and last words, in their order."""

    def __init__(self, patterns: Iterable[_SlotPattern]) -> None:
        self._listed = tuple(patterns)
        self._found: dict[tuple[str, ...], tuple[_SlotPattern, ...]] = {}

    def begun_by(self, said: tuple[str, ...]) -> tuple[_SlotPattern, ...]:
        """Give those that the first word may begin."""
        first = said[:1]
        if first not in self._found:
            self._found[first] = tuple(
                each for each in self._listed if each.before[:1] in ((), first)
            )
        return self._found[first]

    def around(self, said: tuple[str, ...]) -> tuple[_SlotPattern, ...]:
        """Give those that the first word may begin and the last one end."""
        ends = said[0], said[-1]
        if ends not in self._found:
            self._found[ends] = tuple(
                each for each in self.begun_by(said) if each.after[-1:] in ((), said[-1:])
            )
        return self._found[ends]


class Parser:
    """Turns words into calls for one grammar; build it once, it keeps its tables."""

    def __init__(self, grammar: Grammar) -> None:
        self._grammar = grammar
        self._forms = number_forms(grammar)
        self._units = named_units(grammar)
        self._words = words(grammar)
        self._full_tape = frozenset(grammar.terms.full_tape)
        self._figures = frozenset(itertools.chain.from_iterable(grammar.digits.values()))
        self._number_words = frozenset(
            word
            for phrase in (*self._forms.whole, *self._forms.fraction)
            for word in phrase.split()
        )
        self._roles = {
            **dict.fromkeys(grammar.roles.head, Role.HEAD),
            **dict.fromkeys(grammar.roles.rear, Role.REAR),
        }
        self._styles = [
            (tuple(word.split()), name) for name, said in grammar.styles.items() for word in said
        ]
        talk = [(phrase, _SlotPattern.of(phrase)) for phrase in grammar.chatter.phrases]
        self._fixed = {p: Meaning(Kind.CHATTER) for p, pattern in talk if pattern is None}
        for name, said in grammar.answers.items():
            self._fixed |= {phrase: Meaning(Kind.CHATTER, name=name) for phrase in said}
        self._talk = _Patterns(pattern for _, pattern in talk if pattern is not None)
        for name, commands in grammar.commands.items():
            self._fixed |= {phrase: Meaning(Kind.COMMAND, name=name) for phrase in commands}
        patterns: list[_SlotPattern] = []
        for condition in grammar.conditions:
            for pattern in condition.phrases:
                sign = -1 if condition.below_zero else 1
                split = _SlotPattern.of(pattern, condition.name, sign)
                if split is None:
                    meaning = Meaning(Kind.CONDITION, name=condition.name, amount=condition.amount)
                    self._fixed[pattern] = meaning
                else:
                    patterns.append(split)
        self._patterns = _Patterns(patterns)
        self._counts = {
            **{
                phrase: number.value
                for phrase, number in self._forms.whole.items()
                if number.form not in LONGS
            },
            **{
                f"{hundred} {more}": 100 + added.value
                for hundred in grammar.terms.added_to
                for more, added in self._forms.whole.items()
                if 0 < added.value <= GREATEST_ADDITION and added.form is not NumberForm.DIGITS
            },
        }
        self._hundredths = _openings(self._forms.fraction)
        self._calls = (
            self._hundredths
            | _openings((*self._fixed, *self._forms.whole, *self._full_tape))
            | _openings(" ".join(before) for before, *_ in patterns)
        )

    @property
    def unit(self) -> ReadingUnit:
        """The unit that is called."""
        return self._grammar.unit

    def is_in_figures(self, text: str) -> bool:
        """Tell whether a text is figures one by one and nothing else: "one five four two"."""
        return all(word in self._figures for word in text.split())

    @property
    def greatest(self) -> int:
        """The greatest mark that numbers go up to [least counts]."""
        return self._grammar.reach * self._grammar.unit.counts

    def parse(self, text: str, expects: Expectation, limit: int) -> Meaning | Rejection:
        """Tell what the words mean under an expectation.

        Args:
            text: the words heard; case and hyphens do not matter.
            expects: what the one who may speak is expected to call.
            limit: the greatest reading on this tape, least counts of it; its whole feet are the
                tape's nominal length.
        """
        said = normalise(text)
        if not said:
            return Rejection(Why.EMPTY, said, 0, message("nothing-said"))
        for index, word in enumerate(said):
            if word not in self._words:
                unknown = message("not-a-call-word", word=word)
                return Rejection(Why.UNKNOWN_WORD, said, index, unknown)
        found = (
            self._fixed.get(" ".join(said))
            or self._counted_talk(said)
            or parse_mended(said, self._grammar, self._number_words)
            or self._condition(said)
            or parse_note(said, self._grammar, self._forms)
        )
        if found is not None:
            return found
        role = self._roles.get(said[0], Role.UNSAID) if len(said) > 1 else Role.UNSAID
        start = 0 if role is Role.UNSAID else 1
        style, after = self._style(said, start)
        if style and expects is Expectation.READING:
            expects = Expectation.ANY  # marks and hundredths are called apart on such a tape
        found = self._named(said, after, expects, limit) or self._bare(said, after, expects, limit)
        if isinstance(found, Rejection):
            return found if found.words == said else _in_full(found, said, after)
        if role is found.role and not style:
            return found
        return replace(found, role=role, name=style or found.name)

    def _bare(
        self, said: tuple[str, ...], start: int, expects: Expectation, limit: int
    ) -> Meaning | Rejection:
        """Tell what a number means that does not name what it counts."""
        if self._grammar.unit.is_fine:
            return parse_fine(said, start, expects, limit, self._grammar)
        return self._number(said, start, expects, limit)

    def _named(  # noqa: PLR0911 - one way out for each kind of number
        self, said: tuple[str, ...], start: int, expects: Expectation, limit: int
    ) -> Meaning | Rejection | None:
        """Tell what a number means that names what it counts; None if it is none."""
        units, counts = self._units, self._grammar.unit.counts
        if units is None:
            return None
        call = said[start:]
        place = units.split(call)
        if place is None:
            return self._named_hundredths(said, start, expects, limit)
        marks, rest = units.bare(call[:place]), units.after(call[place + 1 :])
        whole = self._forms.whole.get(" ".join(marks))
        if self._counts.get(" ".join(marks), 0) > HUNDRED >= self._grammar.reach:
            reason = message("words-beyond-tape", said=" ".join(marks), tape=limit // counts)
            return Rejection(Why.OFF_TAPE, said, start, reason)
        if whole is None or whole.form is NumberForm.DIGITS:
            is_reading = not rest and any(word in self._forms.point for word in marks)
            return self._bare(marks, 0, Expectation.READING, limit) if is_reading else None
        value = whole.value * counts
        if rest:
            part = self._part_after(rest, limit)
            if isinstance(part, Rejection):
                return replace(part, words=said, index=len(said) - 1)
            value += part
        if value > limit:
            reason = message("beyond-tape", reading=value, tape=limit // counts)
            return Rejection(Why.OFF_TAPE, said, start, reason)
        if rest:
            return Meaning(Kind.READING, value)
        return self._part(said, start, expects, Meaning(Kind.WHOLE, value))

    def _part_after(self, rest: tuple[str, ...], limit: int) -> int | Rejection:
        """Read what follows a whole mark with its unit [least counts]."""
        found = self._named_hundredths(rest, 0, Expectation.FRACTION, limit)
        found = found or self._bare(rest, 0, Expectation.FRACTION, limit)
        if isinstance(found, Meaning) and found.kind is Kind.FRACTION and found.value is not None:
            return found.value
        if isinstance(found, Rejection):
            return found
        reason = message("word-does-not-belong", word=rest[-1])
        return Rejection(Why.NO_CALL, rest, len(rest) - 1, reason)

    def _named_hundredths(
        self, said: tuple[str, ...], start: int, expects: Expectation, limit: int
    ) -> Meaning | Rejection | None:
        """Tell what hundredths mean that are named; None if they are not."""
        units = self._units
        if units is None or said[-1] not in units.fraction or len(said) - start < 2:  # noqa: PLR2004 - number, unit
            return None
        inner = units.bare(said[start:-1])
        phrase = " ".join(inner)
        single, part = self._forms.single.get(phrase), self._forms.fraction.get(phrase)
        if single:
            return self._part(said, start, expects, Meaning(Kind.FRACTION, single))
        if part is not None:
            if not is_named_part(part, inner, self._forms):
                return None
            return self._part(said, start, expects, Meaning(Kind.FRACTION, part.value))
        if any(word in self._forms.point for word in inner):
            return None
        return self._bare(inner, 0, Expectation.READING, limit)

    def _part(
        self, said: tuple[str, ...], start: int, expects: Expectation, meaning: Meaning
    ) -> Meaning | Rejection:
        """Take a part that is named where it is expected."""
        if expects in EXPECTED[meaning.kind]:
            return meaning
        if expects is Expectation.READING:
            code, place = "is-part", len(said)
        else:
            code = "is-whole" if meaning.kind is Kind.WHOLE else "is-hundredths"
            place = start
        return Rejection(Why.WRONG_PART, said, place, message(code, said=" ".join(said[start:-1])))

    def _style(self, said: tuple[str, ...], start: int) -> tuple[str, int]:
        """Find the word before a number that says how the tape is graduated, and what follows."""
        for before, name in self._styles:
            end = start + len(before)
            if said[start:end] == before and end < len(said):
                return name, end
        return "", start

    def _counted_talk(self, said: tuple[str, ...]) -> Meaning | None:
        """Tell talk with a number in it, such as "wait ten minutes"; None if it is none."""
        for pattern in self._talk.around(said):
            if " ".join(pattern.inner(said) or ()) in self._counts:
                return Meaning(Kind.CHATTER)
        return None

    def _decimal(self, inner: tuple[str, ...]) -> float | None:
        """Read a count with tenths or without; None if the words are none."""
        *before, point, last = ("", "", *inner)
        tenths = self._forms.single.get(last)
        if point not in self._forms.point or tenths is None:
            return self._counts.get(" ".join(inner))
        counted = self._counts.get(" ".join(before).strip())
        return None if counted is None else (10 * counted + tenths) / 10

    def _condition(self, said: tuple[str, ...]) -> Meaning | Rejection | None:
        """Read a condition with an amount; None if the words begin no condition."""
        rejection = None
        for before, slot, after, name, sign in self._patterns.begun_by(said):
            start, end = len(before), len(said) - len(after)
            if said[:start] != before:
                continue
            inner = said[start:end]
            amount = self._amount(slot, inner)
            wanted = "after-comes-reading" if slot == "reading" else "after-comes-number"
            if said[end:] == after and amount is not None:
                return Meaning(Kind.CONDITION, name=name, amount=float(sign * amount))
            reason = message(wanted, before=" ".join(before))
            rejection = Rejection(Why.WRONG_PART, said, start, reason)
        return rejection

    def _amount(self, slot: str, inner: tuple[str, ...]) -> float | None:
        """Read what stands in the slot of a condition; None if it is no such number."""
        if slot == "decimal":
            return self._decimal(inner)
        if slot != "reading":
            return self._counts.get(" ".join(inner))
        if not any(word in self._forms.point for word in inner):
            return None
        reading = self._reading(inner, 0)
        return reading / HUNDREDTHS if isinstance(reading, int) else self._decimal(inner)

    def _number(  # noqa: C901, PLR0911, PLR0912 - one case for each expectation and kind of number
        self, said: tuple[str, ...], start: int, expects: Expectation, limit: int
    ) -> Meaning | Rejection:
        phrase = " ".join(said[start:])
        if phrase in self._full_tape:
            return Meaning(Kind.READING, limit // HUNDREDTHS * HUNDREDTHS, name="full tape")
        pointed = said[start] in self._forms.point
        bare = " ".join(said[start + 1 :]) if pointed else phrase
        whole = None if pointed else self._forms.whole.get(phrase)
        fraction = self._forms.fraction.get(bare)
        single = self._forms.single.get(bare)
        may_be_reading = expects in (Expectation.READING, Expectation.ANY)
        if whole is not None and whole.form in LONGS and may_be_reading:
            if whole.value * HUNDREDTHS > limit:  # no mark of this tape: it can only be a reading
                reading = self._reading(said, start)
                is_reading = not isinstance(reading, Rejection) or reading.why is Why.AMBIGUOUS
                whole = None if is_reading else whole
            elif expects is Expectation.READING:
                return self._also_reading(said, start, whole) or Rejection(
                    Why.WRONG_PART, said, len(said), message("is-part", said=phrase)
                )
        if whole is not None and whole.value * HUNDREDTHS > limit:
            named = phrase.replace(" ", "-") if whole.form is NumberForm.COMPOUND else phrase
            reason = message("words-beyond-tape", said=named, tape=limit // HUNDREDTHS)
            if expects is Expectation.WHOLE or fraction is None:
                return Rejection(Why.OFF_TAPE, said, start, reason)
            if expects is Expectation.ANY:  # no foot of this tape: it can only be hundredths
                return Meaning(Kind.FRACTION, fraction.value)
        match expects:
            case Expectation.WHOLE if whole is not None:
                return Meaning(Kind.WHOLE, whole.value * HUNDREDTHS)
            case Expectation.WHOLE if fraction is not None:
                return Rejection(Why.WRONG_PART, said, start, message("is-hundredths", said=phrase))
            case Expectation.FRACTION if fraction is not None:
                return Meaning(Kind.FRACTION, fraction.value)
            case Expectation.FRACTION if whole is not None and single is None:
                return Rejection(Why.WRONG_PART, said, start, message("is-whole", said=phrase))
            case Expectation.READING if whole is not None or fraction is not None:
                return Rejection(Why.WRONG_PART, said, len(said), message("is-part", said=phrase))
            case Expectation.ANY if whole is not None and (
                fraction is not None or single is not None
            ):
                return Meaning(Kind.NUMBER, whole.value)
            case Expectation.ANY if whole is not None:
                return Meaning(Kind.WHOLE, whole.value * HUNDREDTHS)
            case Expectation.ANY if fraction is not None:
                return Meaning(Kind.FRACTION, fraction.value)
            case _ if single is not None:
                reason = message("one-digit", said=phrase, digit=single)
                return Rejection(Why.SINGLE_DIGIT, said, len(said) - 1, reason)
        reading = self._reading(said, start)
        if isinstance(reading, Rejection):
            if reading.why is Why.NO_CALL and self._counts.get(phrase, 0) > HUNDRED:
                reason = message("words-beyond-tape", said=phrase, tape=limit // HUNDREDTHS)
                return Rejection(Why.OFF_TAPE, said, start, reason)
            if reading.why is Why.NO_CALL and self.is_in_figures(phrase):
                asks = message("too-many-figures", said=phrase, count=len(said) - start)
                return Rejection(Why.TOO_MANY, said, len(said) - 1, asks)
            return reading
        if reading > limit:
            reason = message("beyond-tape", reading=reading, tape=limit // HUNDREDTHS)
            return Rejection(Why.OFF_TAPE, said, start, reason)
        return Meaning(Kind.READING, reading)

    def _takes(self, whole: Number, single: int) -> bool:
        """Tell whether a mark above 100 takes the digit that follows it: "two forty two" is 242."""
        is_tens = whole.form is NumberForm.LONG_TENS and not self._forms.tens_and
        return bool(single) and (is_tens or whole.form is NumberForm.LONG_HUNDRED)

    def _also_reading(self, said: tuple[str, ...], start: int, whole: Number) -> Rejection | None:
        """Ask where a mark above 100 may be a reading as well: two twelve is 212 or 2.12."""
        reading = self._reading(said, start)
        if isinstance(reading, Rejection):
            return reading if reading.why is Why.AMBIGUOUS else None
        may_be = {"may_be_1": str(whole.value), "may_be_2": f"{reading / HUNDREDTHS:.2f}"}
        asks = message("may-be", said=" ".join(said[start:]), count=2, **may_be)
        return Rejection(Why.AMBIGUOUS, said, len(said) - 1, asks)

    def _joins(self, whole: Number, fraction: Number, rest: tuple[str, ...]) -> bool:
        """Tell whether hundredths may follow a mark without "point" (see `joins`)."""
        is_like_unit = " ".join(rest) in self._forms.like_unit
        return not is_like_unit and joins(whole, fraction, rest, self._forms.zero_words)

    def _reading(self, said: tuple[str, ...], start: int) -> int | Rejection:
        """Read feet and hundredths [hundredths]; refuse what may mean two things."""
        may_be: set[str] = set()
        joined: set[int] = set()
        phrase = " ".join(said[start:])
        if phrase in self._forms.spelt_hundred:
            may_be = {"100", "1.00"}
        for whole, rest, pointed in self._forms.splits(said, start):
            fraction = self._forms.fraction.get(" ".join(rest))
            single = self._forms.single.get(" ".join(rest))
            if fraction is not None:
                value = HUNDREDTHS * whole.value + fraction.value
                if pointed or self._joins(whole, fraction, rest):
                    if pointed or self._forms.long is None:
                        return value
                    joined.add(value)
                may_be.add(f"{whole.value}.{fraction.value:02d}")
            elif single is not None and not self._takes(whole, single):
                may_be |= {f"{whole.value}.0{single}", f"{whole.value}.{single}0"}
        if len(joined) == len(may_be) == 1:
            return joined.pop()
        if may_be:
            either = {f"may_be_{n}": each for n, each in enumerate(sorted(may_be), start=1)}
            is_digit = phrase not in self._forms.spelt_hundred and all(
                " ".join(rest) in self._forms.single
                for _, rest, _ in self._forms.splits(said, start)
            )
            asks = message("may-be", said=phrase, count=len(may_be), **either)
            why = Why.SINGLE_DIGIT if is_digit else Why.AMBIGUOUS
            return Rejection(why, said, len(said) - 1, asks)
        reach = self._reach(said, start)
        if reach >= len(said):
            return Rejection(Why.NO_CALL, said, reach, message("call-breaks-off"))
        reason = message("word-does-not-belong", word=said[reach])
        return Rejection(Why.NO_CALL, said, reach, reason)

    def _reach(self, said: tuple[str, ...], start: int) -> int:
        """Count the leading words that begin some call."""
        longest = start
        for cut in range(start + 1, len(said) + 1):
            if said[start:cut] in self._calls:
                longest = max(longest, cut)
        for _, rest, pointed in self._forms.splits(said, start):
            begins = len(said) - len(rest)
            if pointed:
                longest = max(longest, begins)
            for cut in range(begins + 1, len(said) + 1):
                if said[begins:cut] in self._hundredths:
                    longest = max(longest, cut)
        return longest
