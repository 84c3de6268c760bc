"""Consent of a made-up crew, for the tests that need sound to be kept: given in this one place."""

from __future__ import annotations

from datetime import date

from calllog.session import EVERYONE, Consent, Job, people_of
from calllog.session.kinds import content_of

CREW = ("head=Ash", "rear=Rowan")


def agree(
    job: Job,
    *names: str,
    until: date | None = None,
    listeners: tuple[str, ...] = EVERYONE,
    is_withdrawn: bool = False,
) -> Job:
    """Record consent, of the whole crew where nobody is named."""
    consent = Consent(
        people=people_of(names or CREW),
        by="tests",
        until=until,
        listeners=listeners,
        is_withdrawn=is_withdrawn,
    )
    job.note("consent", content_of(consent))
    return job
