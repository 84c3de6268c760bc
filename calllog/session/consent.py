"""Who agreed to what sound being kept, and what was removed again; bodies of entries, no files.

Consent is a person's, and covers the microphone that the person wears. A microphone that serves
both needs everyone who was named. Nobody who has not agreed is recorded, and whoever took it back
is not recorded from then on; what stands stays until it is expunged.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated

from pydantic import ConfigDict, Field, StringConstraints

from calllog.values import Call, Frozen, Kind, Outcome, Role, message

EVERYONE = ("crew", "chief", "office")
"""Who may listen where it was not said."""
REMOVED, WORDS_REMOVED = message("sound-removed"), message("words-removed")
OVERDUE, NOT_FOR = message("sound-overdue"), message("sound-not-for-reader")
"""Why a sound, or the words of a remark, are not published."""
WORN = (Role.HEAD, Role.REAR)
"""What a microphone that serves both is worn by."""

Worn = tuple[Role, tuple[str, ...]]
"""Whose microphone it was, and the persons who wore it."""
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]
KeptFile = Annotated[
    str, StringConstraints(pattern=r"^(audio/[0-9]{1,12}\.flac|remarks/[0-9]{1,12}\.json)$")
]
"""A file that may be removed; a job of a stranger may name no other."""


class Person(Frozen):
    """Somebody, and whose microphone it is."""

    name: Name
    role: Role = Role.UNSAID
    """``unsaid`` for whichever."""


class Consent(Frozen):
    """Body of a ``consent`` entry."""

    model_config = ConfigDict(extra="ignore")

    people: Annotated[tuple[Person, ...], Field(min_length=1)]
    by: Name
    """Who recorded it."""
    until: date | None = None
    """The last day on which their sound is kept; None for no end."""
    listeners: tuple[Name, ...] = EVERYONE
    """Who may listen: crew, chief, office, or names."""
    is_withdrawn: bool = False
    """They take it back."""


class Expunged(Frozen):
    """Body of an ``expunged`` entry: what was removed for good at a person's request."""

    model_config = ConfigDict(extra="ignore")

    calls: Annotated[tuple[int, ...], Field(min_length=1)]
    """Numbers of the calls."""
    files: tuple[KeptFile, ...]
    """Their sounds, and files of words, inside the job's folder."""
    copies: tuple[str, ...] = ()
    """Copies of these sounds inside the job's folder, such as beside a page."""
    by: Name
    why: Name
    """In that person's own words."""
    person: str = ""
    """Whose sound it was, where that was asked for."""


class RemarkWords(Frozen):
    """Body of a ``remark_words`` entry: where the words of the typed remark that follows are."""

    model_config = ConfigDict(extra="ignore")

    call: int
    words_in: Annotated[str, StringConstraints(pattern=r"^remarks/[0-9]{1,12}\.json$")]
    """The file, which holds a salt and the words."""
    words_sha256: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
    """SHA-256 of that file: without the file and its salt it tells nothing of the words."""


@dataclass(frozen=True, slots=True)
class ConsentStanding:
    """A person's newest word."""

    is_given: bool
    until: date | None
    listeners: tuple[str, ...]

    def holds(self, today: date) -> bool:
        """Tell whether sound may be kept by it."""
        return self.is_given and (self.until is None or today <= self.until)


@dataclass(frozen=True, slots=True)
class Removed:
    """An ``expunged`` entry, and where it stands."""

    entry: int
    time_utc: str
    body: Expunged


@dataclass
class Voices:
    """Whose sound is kept, by whose consent, and what was removed, as far as the journal says."""

    people: dict[str, ConsentStanding] = field(default_factory=dict)
    wearers: dict[Role, tuple[str, ...]] = field(default_factory=dict)
    """Who wears the head's and the rear's microphone."""
    roles: dict[str, tuple[Role, ...]] = field(default_factory=dict)
    """Who wears each channel's microphone, by the name of the recording or sitting."""
    heard: dict[int, Worn] = field(default_factory=dict)
    """For each call whose sound is kept: whose microphone it was, and the persons who wore it."""
    removed: list[Removed] = field(default_factory=list)
    _worn: dict[Worn, Worn] = field(default_factory=dict)
    """What is said of many calls, once."""

    def agree(self, consent: Consent) -> None:
        """Follow a consent, or its withdrawal."""
        for each in consent.people:
            known = self.people.get(each.name)
            self.people[each.name] = (
                ConsentStanding(False, known.until, known.listeners)  # noqa: FBT003 - taken back
                if consent.is_withdrawn and known
                else ConsentStanding(not consent.is_withdrawn, consent.until, consent.listeners)
            )
        for role in () if consent.is_withdrawn else WORN:
            named = [each.name for each in consent.people if each.role is role]
            before = tuple(named) or self.wearers.get(role, ())
            others = (each.name for each in consent.people if each.role is Role.UNSAID)
            self.wearers[role] = tuple(dict.fromkeys((*before, *others)))

    @property
    def have_days(self) -> bool:
        """Whether anybody's sound is kept until some day."""
        return any(each.until is not None for each in self.people.values())

    def covers(self, role: Role, today: date) -> bool:
        """Tell whether everyone whose microphone it is agrees to sound being kept."""
        worn = [self.wearers.get(each, ()) for each in _worn_by(role)]
        return all(
            names and all(self.people[name].holds(today) for name in names) for names in worn
        )

    def objecting(self, roles: Iterable[Role], today: date) -> tuple[str, ...]:
        """Name those who wear one of these microphones and took their consent back, or its day."""
        names = (n for role in roles for each in _worn_by(role) for n in self.wearers.get(each, ()))
        return tuple(n for n in dict.fromkeys(names) if not self.people[n].holds(today))

    def hear(self, call: Call) -> None:
        """Note whose sound of a call is kept."""
        source, _, channel = call.source.rpartition("#")
        roles = self.roles.get(source, ())
        is_known = channel.isascii() and channel.isdigit() and 0 < int(channel) <= len(roles)
        role = roles[int(channel) - 1] if is_known else call.role
        names = (name for each in _worn_by(role) for name in self.wearers.get(each, ()))
        worn = role, tuple(dict.fromkeys(names))
        self.heard[call.number] = self._worn.setdefault(worn, worn)

    def of(self, person: str) -> tuple[int, ...]:
        """Find the calls whose sound is that of a person; of a role, as ``head``, by that name."""
        return tuple(
            call for call, (role, names) in self.heard.items() if person in names or person == role
        )

    def until(self, call: int) -> date | None:
        """Tell until when the sound of a call is kept: the earliest day of those heard in it."""
        _, names = self.heard.get(call, (Role.UNSAID, ()))
        return min((each for name in names if (each := self.people[name].until)), default=None)

    def due(self, today: date) -> tuple[int, ...]:
        """List the calls whose sound is kept beyond its day."""
        until = {call: self.until(call) for call in self.heard}
        return tuple(call for call, day in until.items() if day is not None and day < today)

    def may_hear(self, listener: str, call: int) -> bool:
        """Tell whether somebody may listen to a call's sound."""
        _, names = self.heard.get(call, (Role.UNSAID, ()))
        return all(listener in self.people[name].listeners for name in names)

    def all_allow(self, listener: str) -> bool:
        """Tell whether everyone whose sound may be kept lets somebody listen."""
        return all(listener in each.listeners for each in self.people.values())

    def remove(self, removed: Removed) -> None:
        """Follow what was removed."""
        self.removed.append(removed)
        for call in removed.body.calls:
            self.heard.pop(call, None)

    @property
    def gone(self) -> dict[int, int]:
        """The entry that removed each call's sound or words, by the call's number."""
        return {call: each.entry for each in self.removed for call in each.body.calls}


def is_talk(call: Call) -> bool:
    """Tell whether a call is crew talk, which measures nothing."""
    return call.outcome is Outcome.IGNORED and call.kind is not Kind.REMARK


def is_typed_remark(call: Call) -> bool:
    """Tell whether a call is a remark in words."""
    return call.kind is Kind.REMARK and call.is_keyed


def without_sound(call: Call) -> Call:
    """Give a call as it is after its sound was removed: what was measured stays, words do not."""
    silent = call.model_copy(update={"clip": ""})
    is_worded = is_talk(call) or call.kind is Kind.REMARK
    return silent.model_copy(update={"text": "", "alternatives": ()}) if is_worded else silent


def own_part(
    removed: Expunged, calls: Iterable[Call], kept_words: Mapping[int, RemarkWords]
) -> Expunged:
    """Give what of a removal is of calls that are here, and of files that these name.

    A number may be another call's later, as after a rescue, and a stranger's journal may name
    anything.
    """
    meant = set(removed.calls)
    here = [each for each in calls if each.number in meant]
    named = {each.clip for each in here}
    typed = (kept_words.get(each.number) for each in here if is_typed_remark(each))
    named |= {each.words_in for each in typed if each is not None}
    return removed.model_copy(
        update={
            "calls": tuple(each.number for each in here),
            "files": tuple(each for each in removed.files if each in named),
        }
    )


def people_of(named: Sequence[str]) -> tuple[Person, ...]:
    """Read names as they are given: ``NAME``, or ``head=NAME`` for the head's microphone.

    Example:
        >>> [(each.name, each.role.value) for each in people_of(["Ash", "rear=Rowan"])]
        [('Ash', 'unsaid'), ('Rowan', 'rear')]
    """
    found = []
    for each in named:
        role, equals, name = each.partition("=")
        is_role = bool(equals) and role.strip() in {one.value for one in WORN}
        found.append(Person(name=name, role=Role(role.strip())) if is_role else Person(name=each))
    return tuple(found)


def _worn_by(role: Role) -> tuple[Role, ...]:
    return WORN if role is Role.UNSAID else (role,)
