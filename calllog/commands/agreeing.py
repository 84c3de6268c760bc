"""Consent as it is given to `listen`: options, a question in the terminal, what is due; shell."""

import sys
from collections.abc import Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Annotated

import typer

from calllog import system
from calllog.commands.counting import counted
from calllog.commands.terminal import err, out
from calllog.errors import ConfigError
from calllog.session import EVERYONE, Consent, Job, Person, Replay, people_of
from calllog.session.kinds import content_of
from calllog.values import Role
from calllog.wording import ENGLISH, Words

ConsentUntilOption = Annotated[
    datetime | None,
    typer.Option(
        "--consent-until", formats=["%Y-%m-%d"], help="The last day on which their sound is kept."
    ),
]
ListenersOption = Annotated[
    str | None,
    typer.Option(
        "--listeners",
        help="Who may listen to it: crew,chief,office, or names; left out, all three.",
    ),
]
CREW = "crew"
"""Who records consent where nobody is named."""
YES = frozenset({"y", "yes", "s", "si", "sí"})
NO = frozenset({"", "n", "no", "none"})


@dataclass(frozen=True, slots=True)
class Agreement:
    """Consent as it was given on the command line; what was left out is as it was."""

    people: tuple[Person, ...] = ()
    until: date | None = None
    listeners: tuple[str, ...] = ()

    def record(self, job: Job, *, by: str = CREW) -> bool:
        """Record it, unless it stands already; tell whether it was recorded."""
        if not self.people:
            return False
        voices = job.replay.voices
        known = [voices.people[each.name] for each in self.people if each.name in voices.people]
        days = [each.until for each in known if each.until is not None]
        consent = Consent(
            people=self.people,
            by=by,
            until=self.until or min(days, default=None),
            listeners=self.listeners or (known[0].listeners if known else EVERYONE),
        )
        after = deepcopy(voices)
        after.agree(consent)
        if (after.people, after.wearers) == (voices.people, voices.wearers):
            return False
        job.note("consent", content_of(consent))
        return True


NONE_GIVEN = Agreement()


def agreement(
    named: Sequence[str], until: datetime | None = None, listeners: str | None = None
) -> Agreement:
    """Read who agrees, until when, and who may listen; ConfigError if a name is empty."""
    if not all(each.rpartition("=")[2].strip() for each in named):
        raise ConfigError(
            "nobody is named", where="--consent", next_step="name who agrees: --consent NAME"
        )
    heard_by = (each.strip() for each in (listeners or "").split(","))
    day = until.date() if until else None
    return Agreement(people_of(named), day, tuple(each for each in heard_by if each))


@dataclass(frozen=True, slots=True)
class SoundOptions:
    """What sound is kept, and who agrees to that."""

    no_clips: Annotated[bool, typer.Option("--no-clips", help="Keep no sound in the job.")] = False
    consent: Annotated[
        tuple[str, ...],
        typer.Option(
            "--consent",
            help="Who agrees to their sound being kept: NAME, or head=NAME and rear=NAME; again for"
            " each. Without it no sound is kept.",
        ),
    ] = ()
    consent_until: ConsentUntilOption = None
    listeners: ListenersOption = None
    keep_talk: Annotated[
        bool,
        typer.Option("--keep-talk", help="Also keep sound and words of talk that is not a call."),
    ] = False

    def agreement(self) -> Agreement:
        """Read who agrees; ConfigError if a name is empty."""
        return agreement(self.consent, self.consent_until, self.listeners)


def settle_consent(
    job: Job, given: Agreement, roles: Sequence[Role], *, words: Words = ENGLISH
) -> None:
    """Record what was given; ask in the terminal for the rest; say where no sound is kept."""
    given.record(job)
    if not _missing(job, roles):
        return
    if sys.stdin.isatty() and out.is_terminal:
        _ask(given, words).record(job)
    for why in _why_none(job, roles, words):
        out.print(why)


def _missing(job: Job, roles: Sequence[Role]) -> tuple[Role, ...]:
    voices = job.replay.voices
    return tuple(role for role in roles if not voices.covers(role, job.today))


def _ask(given: Agreement, words: Words) -> Agreement:
    """Ask who agrees; no answer is a no."""
    while True:
        out.print(words("consent-question"), end=" ")
        answer = sys.stdin.readline().strip()
        if answer.lower() in NO:
            return Agreement()
        if answer.lower() not in YES:
            named = [each for each in answer.split(",") if each.rpartition("=")[2].strip()]
            return replace(given, people=people_of(named))
        out.print(words("consent-names-please"))


def _why_none(job: Job, roles: Sequence[Role], words: Words) -> Iterator[str]:
    missing = _missing(job, roles)
    voices = job.replay.voices
    if missing and not any(each.is_given for each in voices.people.values()):
        yield words("consent-nobody")
        return
    for role in missing:
        names = ", ".join(voices.objecting([role], job.today))
        if names:
            yield words("consent-taken-back", role=role.value, names=names)
        else:
            yield words("consent-not-given", role=role.value)


def tell_due(folder: Path, replay: Replay, today: date, not_removed: Sequence[str] = ()) -> None:
    """Say which sounds are kept beyond their day, and how they are removed."""
    due = replay.voices.due(today)
    if due:
        days = sorted({str(replay.voices.until(call)) for call in due})
        named = system.quoted(folder)
        err.print(
            f"! {counted(len(due), 'sound was', 'sounds were')} to be kept until {', '.join(days)};"
            f" remove {'it' if len(due) == 1 else 'them'}:"
            f' calllog expunge {named} --due --by NAME --why "its day is over"'
        )
    for name in not_removed:
        err.print(
            f"! {name} was to be removed at a person's request and cannot be; remove it by hand"
        )
