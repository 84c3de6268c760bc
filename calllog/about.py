"""Facts of a job: for whom it is, who measured it, with what, in which weather; pure.

All of it is optional. What is stated is text, and nothing is computed from it: it goes with the job
so that the office knows whose work it was. A fact that changes is stated anew; the earlier one
stays in the journal.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Annotated

from pydantic import AfterValidator, ConfigDict, Field

from calllog.errors import ConfigError
from calllog.toml_text import read_toml, shown
from calllog.values import Frozen, Holders

MOST_SIGNS = 40_000
"""Of a file of facts."""
MOST_NAME = 80
"""Signs of a name of a person, a role or a kind of instrument."""
MOST_WORDS = 300
"""Signs of any other fact."""
MOST_LISTED = 20
"""People of a crew, and instruments of a job."""
HEAD, REAR, CHIEF = "head", "rear", "chief"
ROLES = (HEAD, REAR, CHIEF)
"""The roles that calllog knows, in the order in which they are shown; others come after them."""
SINGLE = ("client", "project", "weather")
"""Facts that are one text each."""
LISTED = ("crew", "instruments")
"""Facts that are several texts, each under a name of its own."""


def hidden_sign(text: str) -> str:
    """Name the first sign that cannot be seen, such as one that turns the direction of writing.

    Example:
        >>> hidden_sign("R. Brook"), hidden_sign("R.\u202eBrook")
        ('', 'U+202E, right-to-left override')
    """
    sign = next((sign for sign in text if not sign.isprintable()), "")
    if not sign:
        return ""
    name = unicodedata.name(sign, "").lower()
    return f"U+{ord(sign):04X}" + (f", {name}" if name else "")


def _seen(text: str) -> str:
    if hidden := hidden_sign(text):
        raise ValueError(f"it has a character that cannot be seen ({hidden})")
    return text


Name = Annotated[str, Field(max_length=MOST_NAME), AfterValidator(_seen)]
Words = Annotated[str, Field(max_length=MOST_WORDS), AfterValidator(_seen)]


class Member(Frozen):
    """A person of the crew."""

    role: Name
    """head, rear, chief, or any other."""
    name: Name
    """Empty where an amendment says that nobody has this role any more."""


class Instrument(Frozen):
    """Something that was measured with."""

    kind: Name
    """Such as tape, thermometer or balance."""
    words: Words
    """Maker, serial number, certificate; empty where an amendment says that it is not used."""


class Amendment(Frozen):
    """Body of an ``about`` entry: the facts that are stated anew, and by whom."""

    model_config = ConfigDict(extra="ignore")

    client: Words | None = None
    """None: as before. Empty: taken back."""
    project: Words | None = None
    weather: Words | None = None
    crew: Annotated[tuple[Member, ...], Field(max_length=2 * MOST_LISTED)] = ()
    """Those whose role has changed hands; all others stay."""
    instruments: Annotated[tuple[Instrument, ...], Field(max_length=2 * MOST_LISTED)] = ()
    by: Name = ""
    """Who states it; empty if nobody is named."""
    why: Words = ""
    at_start: bool = False
    """Stated with the file that the work was begun with."""


class About(Frozen):
    """The facts in force; an empty text is not stated."""

    client: str = ""
    project: str = ""
    weather: str = ""
    crew: tuple[Member, ...] = ()
    instruments: tuple[Instrument, ...] = ()

    def who(self, role: str) -> str:
        """Name the person in a role; empty if nobody is named."""
        return next((each.name for each in self.crew if each.role == role), "")

    def amended(self, amendment: Amendment, whole: frozenset[str] = frozenset()) -> About:
        """Give the facts after an amendment; lists named in `whole` keep nothing else."""
        crew = {} if "crew" in whole else {each.role: each.name for each in self.crew}
        crew |= {each.role: each.name for each in amendment.crew}
        used = {} if "instruments" in whole else {one.kind: one.words for one in self.instruments}
        used |= {one.kind: one.words for one in amendment.instruments}
        single = {name: getattr(amendment, name) for name in SINGLE}
        return self.model_copy(
            update={
                **{name: text for name, text in single.items() if text is not None},
                "crew": tuple(
                    Member(role=role, name=crew[role])
                    for role in sorted(crew, key=lambda role: (*ROLES, role).index(role))
                    if crew[role]
                ),
                "instruments": tuple(
                    Instrument(kind=kind, words=words) for kind, words in used.items() if words
                ),
            }
        )


@dataclass(frozen=True, slots=True)
class Change:
    """One fact that was stated anew."""

    fact: str
    """One of `SINGLE` or `LISTED`."""
    name: str
    """The role or the kind of instrument; empty for a single fact."""
    old: str
    new: str
    """Empty: not stated."""


@dataclass(frozen=True, slots=True)
class Amended:
    """An amendment that was recorded."""

    sequence: int
    """Of its entry in the journal."""
    time_utc: str
    amendment: Amendment
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class StatedFacts:
    """What a file or the options of a command state."""

    amendment: Amendment
    whole: frozenset[str] = frozenset()
    """Names of the lists that are stated as a whole."""


def changes(old: About, new: About) -> tuple[Change, ...]:
    """List what is not alike in two states of the facts."""
    found = [Change(name, "", getattr(old, name), getattr(new, name)) for name in SINGLE]
    pairs = (
        (
            "crew",
            {each.role: each.name for each in old.crew},
            {each.role: each.name for each in new.crew},
        ),
        (
            "instruments",
            {one.kind: one.words for one in old.instruments},
            {one.kind: one.words for one in new.instruments},
        ),
    )
    for fact, was, now in pairs:
        found += [
            Change(fact, name, was.get(name, ""), now.get(name, ""))
            for name in dict.fromkeys((*now, *was))
        ]
    return tuple(each for each in found if each.old != each.new)


def amending(
    found: tuple[Change, ...], *, by: str = "", why: str = "", at_start: bool = False
) -> Amendment:
    """Make the amendment that states some changes."""
    single = {each.fact: each.new for each in found if each.fact in SINGLE}
    return Amendment(
        client=single.get("client"),
        project=single.get("project"),
        weather=single.get("weather"),
        crew=tuple(Member(role=one.name, name=one.new) for one in found if one.fact == "crew"),
        instruments=tuple(
            Instrument(kind=one.name, words=one.new) for one in found if one.fact == "instruments"
        ),
        by=by,
        why=why,
        at_start=at_start,
    )


def holders(about: About, *, is_checked: bool) -> Holders:
    """Say who held which end of a pull: for the check the two have switched ends."""
    head, rear = about.who(HEAD), about.who(REAR)
    return Holders(
        take_head=head,
        take_rear=rear,
        check_head=rear if is_checked else "",
        check_rear=head if is_checked else "",
    )


def load_about(text: str, where: str) -> StatedFacts:
    """Read a file of facts; a table that it has is stated as a whole.

    Raises:
        ConfigError: the text is no TOML, or entries cannot be used; all of them are listed.
    """
    return state(read_toml(text, where=where, most_signs=MOST_SIGNS, kind=ConfigError), where)


def state(data: Mapping[str, object], where: str, *, is_whole: bool = True) -> StatedFacts:
    """Read facts as they stand in a file.

    Args:
        data: the entries of the file.
        where: what they are from, for error messages.
        is_whole: a list that is stated is stated as a whole; else what it does not name stays.

    Raises:
        ConfigError: entries cannot be used; all of them are listed.
    """
    problems: list[str] = []
    known = (*SINGLE, *LISTED, "by")
    for name in data:
        if name not in known:
            near = get_close_matches(name, known, n=1)
            meant = f"is {near[0]} meant?" if near else f"there are {', '.join(known)}"
            problems.append(f"{name}: there is no such entry; {meant}")
    texts = {name: _text(name, data[name], MOST_WORDS, problems) for name in SINGLE if name in data}
    by = _text("by", data.get("by", ""), MOST_NAME, problems)
    listed = {
        "crew": _listed("crew", data.get("crew", {}), MOST_NAME, problems),
        "instruments": _listed("instruments", data.get("instruments", {}), MOST_WORDS, problems),
    }
    if problems:
        raise ConfigError(
            f"{len(problems)} of the facts cannot be used",
            where=where,
            next_step="fix each:",
            each=problems,
        )
    return StatedFacts(
        Amendment(
            client=texts.get("client"),
            project=texts.get("project"),
            weather=texts.get("weather"),
            crew=tuple(Member(role=role, name=name) for role, name in listed["crew"].items()),
            instruments=tuple(
                Instrument(kind=kind, words=words) for kind, words in listed["instruments"].items()
            ),
            by=by,
        ),
        frozenset(name for name in LISTED if is_whole and name in data),
    )


def plain_text(text: str, where: str, most: int) -> str:
    """Read an option's text; ConfigError if it is too long or has a sign that cannot be seen."""
    problems: list[str] = []
    found = _text(where, text, most, problems)
    if problems:
        what, _, next_step = problems[0].removeprefix(f"{where}: ").partition("; ")
        raise ConfigError(what, where=where, next_step=next_step)
    return found


def _listed(place: str, given: object, most: int, problems: list[str]) -> dict[str, str]:
    """Read a table of texts; roles that calllog knows may be written large."""
    if not isinstance(given, dict):
        example = '[crew] and below it head = "R. Brook"' if place == "crew" else f"[{place}]"
        problems.append(f"{place}: {shown(given)} is no table; write {example}")
        return {}
    if len(given) > MOST_LISTED:
        problems.append(f"{place}: {len(given)} are named; at most {MOST_LISTED} can be")
    found: dict[str, str] = {}
    for key, value in given.items():
        name = _text(f"{place}, the name {shown(key)}", key, MOST_NAME, problems)
        name = name.lower() if name.lower() in ROLES else name
        if not name:
            problems.append(f"{place}: one has no name; write it before the =")
        if name in found:
            problems.append(f"{place}.{name}: it is named twice; name it once")
        found[name] = _text(f"{place}.{name}", value, most, problems)
    return found


def _text(place: str, given: object, most: int, problems: list[str]) -> str:
    """Read one text, with single blanks between its words; what is wrong with it is noted."""
    if not isinstance(given, str):
        problems.append(f"{place}: {shown(given)} is no text; write it in quotation marks")
        return ""
    text = " ".join(given.split())
    if hidden := hidden_sign(text):
        problems.append(f"{place}: it has a character that cannot be seen ({hidden}); type it anew")
        return ""
    if len(text) > most:
        problems.append(f"{place}: {len(text)} characters; at most {most} can be kept")
        return ""
    return text
