"""A code and its facts in, words in one language out, from a catalogue of messages; pure.

The journal keeps codes, numbers and names. Words are made of them here and nowhere else, when
somebody is to read or hear them, so that a sentence can be mended or translated at any time and no
job changes. Catalogues are in Project Fluent's format (FTL, syntax 1.0): a message for each code,
the facts as variables, the unit of the tape as ``$unit`` (``foot`` or ``metre``), and for a finding
its remedy as an attribute.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Mapping
from functools import cached_property, partial
from typing import Any

from fluent.runtime import FluentBundle, FluentResource
from fluent.runtime.resolver import Message as Said
from fluent.runtime.types import fluent_number

from calllog.values import HUNDREDTHS, Fact, Finding, Message, Question, ReadingUnit, Role
from calllog.wording.fine import in_fine

LOCALES = {"en": "en-US", "es": "es-MX"}
"""Whose rules of plurals a language follows; others follow their own."""
REMEDY = "remedy"
HOW, FIRMLY = "how", "firmly"
MOST_KNOWN = 2_000
"""Messages that are kept as they were told, before all are forgotten: some 200 kB."""
CALLERS = ("first_by", "check_by")
"""Facts of a finding: who called what differs, in the first and in the check."""
_BEGINNING = re.compile(r"^(?:([a-zA-Z][\w-]*) *=|#|-)", re.MULTILINE)
"""Where a message begins, or something else at the beginning of a line."""
_NAMED = re.compile(r"\{ *([a-zA-Z][\w-]*)(?:\.[\w-]+)? *\}")
"""A message that is part of another one."""


def _hundredths(value: object, unit: ReadingUnit) -> str:
    """Write least counts of the tape as a reading: 1542 is 15.42."""
    return f"{_number(value) / unit.counts:.{unit.digits}f}"


def _whole(value: object, unit: ReadingUnit) -> str:
    """Write least counts of the tape as whole units: 1500 is 15."""
    return f"{_number(value) // unit.counts:.0f}"


def _part(value: object, unit: ReadingUnit) -> str:
    """Write least counts as they are called, with their point: 5 is .05."""
    return f".{_number(value) * unit.step:0{unit.digits}.0f}"


def _said(value: object, unit: ReadingUnit) -> str:
    """Write least counts as a number of what is called: 5 is 5, and 85 of 0.005 ft are 42.5."""
    called = 100 if unit.is_feet else unit.counts
    return f"{_number(value) * called / unit.counts:g}"


def _station(value: object, digits: int = 2) -> str:
    """Write hundredths of the unit along a line as a station: 31240 is 3+12.40, 12500 is 1+25."""
    full, rest = divmod(round(_number(value)), HUNDREDTHS * 10**digits)
    return f"{full}+{rest / HUNDREDTHS:0{digits + 3}.2f}".removesuffix(".00")


def _kilometres(value: object) -> str:
    """Write hundredths of a metre along a line as a station: 123450 is 1+234.50."""
    return _station(value, digits=3)


def _duration(value: object) -> str:
    """Write seconds in their two largest units: 7260 is 2 h 1 min."""
    left = round(_number(value))
    parts: list[str] = []
    for unit, size_s in (("d", 86_400), ("h", 3_600), ("min", 60), ("s", 1)):
        count, left = divmod(left, size_s)
        if count or (parts and left):
            parts.append(f"{count} {unit}")
    return " ".join(parts[:2]) or "0 s"


def _number(value: object) -> float:
    return float(str(value))


def _functions(unit: ReadingUnit) -> dict[str, Callable[[Any], Any]]:
    """Give how a catalogue writes readings, which are kept as whole numbers of least counts.

    Stations of notes are hundredths on every tape.
    """
    return {
        "HUNDREDTHS": partial(_hundredths, unit=unit),
        "WHOLE": partial(_whole, unit=unit),
        "PART": partial(_part, unit=unit),
        "SAID": partial(_said, unit=unit),
        "STATION": _station,
        "KILOMETRES": _kilometres,
        "DURATION": _duration,
    }


class _Catalogue:
    """The messages of one file, each parsed when it is first wanted.

    A command says a few of several hundred, and parsing all of them takes longer than most commands
    do. A message begins with its code at the beginning of a line, and goes on in lines that do not
    (a test compares them with those of the whole file); those that it names are read with it.
    """

    def __init__(self, language: str, text: str, unit: ReadingUnit = ReadingUnit.FOOT) -> None:
        self._language, self._unit = language, unit
        locale = LOCALES.get(language, language)
        self.bundle = FluentBundle([locale], functions=_functions(unit), use_isolating=False)
        begins = [(found.start(), found.group(1)) for found in _BEGINNING.finditer(text)]
        ends = [*(start for start, _ in begins), len(text)][1:]
        self._unread = {
            code: text[start:end]
            for (start, code), end in zip(begins, ends, strict=True)
            if code is not None
        }

    def find(self, code: str) -> Said | None:
        """Find a message; None if there is none."""
        if (unread := self._unread.pop(code, None)) is not None:
            told = in_fine(code, unread, self._language, self._unit)
            self.bundle.add_resource(FluentResource(told))
            for named in _NAMED.findall(unread):
                self.find(named)
        return self.bundle.get_message(code) if self.bundle.has_message(code) else None


class Words:
    """The messages of one language, on a tape of one unit.

    Args:
        language: its code (BCP 47), such as ``es``.
        read: gives the text of the catalogue; asked when the first message is wanted.
        unit: what the tape is graduated in.
        spare: the catalogue that is used for what this one lacks.
        write_float: writes a number that is no whole one.
    """

    def __init__(
        self,
        language: str,
        read: Callable[[], str],
        unit: ReadingUnit = ReadingUnit.FOOT,
        spare: Words | None = None,
        write_float: Callable[[float], str] = "{:g}".format,
    ) -> None:
        self.language = language
        self.unit = unit
        self._read = read
        self._spare = spare
        self._write_float = write_float
        self._bundle: Callable[[], _Catalogue] | None = None
        self._units: dict[ReadingUnit, Words] = {unit: self}
        self._known: dict[Hashable, str] = {}
        """What was told of late: a screen says the same eight times a second."""

    def __call__(self, code: str, /, **facts: Fact) -> str:
        """Say a message; one that no catalogue has is told by its code and its facts."""
        return self._told(code, "", facts)

    def say(self, message: Message | None) -> str:
        """Say a message with its facts; nothing for none."""
        return "" if message is None else self._told(message.code, "", message.facts)

    def finding(self, found: Finding) -> str:
        """Say what was found."""
        return self._told(f"finding-{found.code}", "", _facts_of(found))

    def remedy(self, found: Finding) -> str:
        """Say what to do about a finding, and who called it if known; nothing to do, nothing."""
        code = f"finding-{found.code}"
        if not self.knows(code, REMEDY):
            return ""
        remedy = self._told(code, REMEDY, _facts_of(found))
        callers = {name: found.facts.get(name, Role.UNSAID) for name in CALLERS}
        if Role.UNSAID in callers.values():
            return remedy
        by: dict[str, Fact] = {
            name: Message(code="crew-role", facts={"role": role}) for name, role in callers.items()
        }
        called = self._told("finding-called-by", "", {**found.facts, **by})
        return f"{remedy}; {called}"

    def short(self, found: Finding) -> str:
        """Name a stop in a word or two; at length where it has no short name."""
        code = f"finding-{found.code}"
        if not self.knows(code, "short"):
            return self.finding(found)
        return self._told(code, "short", _facts_of(found))

    def named(self, code: str) -> str:
        """Name what may be found in a word or two, without its values; by its code if unnamed."""
        finding = f"finding-{code}"
        return self._told(finding, "short", {}) if self.knows(finding, "short") else code

    def question(self, asked: Question) -> str:
        """Say what the crew is asked."""
        return self.say(asked.asks)

    def short_question(self, asked: Question) -> str:
        """Ask in a few words those who were asked at length before; at length without any."""
        if not self.knows(asked.asks.code, "short"):
            return self.question(asked)
        return self._told(asked.asks.code, "short", {"role": asked.role, **asked.asks.facts})

    def how_to_answer(self, asked: Question, *, is_firm: bool = False) -> str:
        """Tell how a question is answered that nobody has answered; nothing where it says so.

        Args:
            asked: the question.
            is_firm: say too that nothing else is taken, where there are words for it.
        """
        code = asked.asks.code
        if is_firm and self.knows(code, FIRMLY):
            return self._told(code, FIRMLY, asked.asks.facts)
        return self._told(code, HOW, asked.asks.facts) if self.knows(code, HOW) else ""

    def knows(self, code: str, attribute: str = "") -> bool:
        """Tell whether this catalogue, or the one in its place, has a message."""
        message = self._here.find(code)
        if message is not None and (
            (attribute in message.attributes) if attribute else message.value is not None
        ):
            return True
        return self._spare is not None and self._spare.knows(code, attribute)

    def measured_in(self, unit: ReadingUnit) -> Words:
        """Give the same language on a tape of another unit."""
        if unit not in self._units:
            spare = self._spare.measured_in(unit) if self._spare is not None else None
            other = Words(self.language, self._read, unit, spare, self._write_float)
            other._units = self._units
            if unit.counts == self.unit.counts:
                other._bundle = lambda: self._here
            self._units[unit] = other
        return self._units[unit]

    @cached_property
    def _here(self) -> _Catalogue:
        """The catalogue, read once for all units that are read alike."""
        if self._bundle is not None:
            return self._bundle()
        return _Catalogue(self.language, self._read(), self.unit)

    def _told(self, code: str, attribute: str, facts: Mapping[str, Fact]) -> str:
        key = code, attribute, _key_of(facts)
        told = self._known.get(key)
        if told is None:
            told = self._tell(code, attribute, facts)
            if len(self._known) >= MOST_KNOWN:
                self._known.clear()
            self._known[key] = told
        return told

    def _tell(self, code: str, attribute: str, facts: Mapping[str, Fact]) -> str:
        message = self._here.find(code)
        pattern = None
        if message is not None:
            pattern = message.attributes.get(attribute) if attribute else message.value
        if pattern is None:
            if self._spare is not None:
                return self._spare._told(code, attribute, facts)  # noqa: SLF001 - of its own kind
            return _bare(code, facts)
        given = {name: self._given(value) for name, value in facts.items()}
        told, errors = self._here.bundle.format_pattern(
            pattern, {**given, "unit": self.unit.base.value}
        )
        return _bare(code, facts) if errors else str(told)

    def _given(self, value: Fact) -> object:
        """Give a fact as the catalogue takes it: figures as they are, never grouped."""
        match value:
            case Message():
                return self.say(value)
            case int():
                return fluent_number(value, useGrouping=False)
            case float():
                return self._write_float(value)
        return value


def _key_of(facts: Mapping[str, Fact]) -> Hashable:
    """Tell facts from all others: 1 is told otherwise than 1.0, and 0.0 than -0.0."""
    found: list[Hashable] = []
    for name, value in facts.items():
        if isinstance(value, Message):
            found.append((name, value.code, _key_of(value.facts)))
        else:
            is_float = isinstance(value, float)
            found.append((name, type(value), repr(value) if is_float else value))
    return tuple(found)


def _facts_of(found: Finding) -> dict[str, Fact]:
    """Give all that a finding states, its severity and values too."""
    values = {"first": found.first, "second": found.second}
    return {
        **found.facts,
        **{name: value for name, value in values.items() if value is not None},
        "severity": found.severity.value,
        "pull": found.pull,
    }


def _bare(code: str, facts: Mapping[str, Fact]) -> str:
    """Tell a message without its words, so that nothing is lost where they are missing."""
    stated = ", ".join(
        f"{name} {_bare(value.code, value.facts) if isinstance(value, Message) else value}"
        for name, value in facts.items()
    )
    return f"{code} ({stated})" if stated else code
