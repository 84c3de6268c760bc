"""Calls whose sound or typed words are to go in, their removal for good out; shell.

What was measured stays. What has left the job's folder is out of reach.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from calllog.errors import ConfigError
from calllog.session.consent import Expunged, is_typed_remark
from calllog.session.job import Job
from calllog.session.kinds import content_of
from calllog.session.removal import copies_of, files_in, finish_removals
from calllog.session.replay import Replay
from calllog.values import Call, Kind

PUBLISHED = frozenset({".html", ".pdf", ".csv", ".json", ".xlsx", ".jsonl"})
"""Endings of files that may hold the words of a remark."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be removed."""

    calls: tuple[int, ...]
    sounds: tuple[str, ...]
    """Files of sound, inside the job's folder."""
    words: tuple[str, ...]
    """Files of typed words, inside the job's folder."""
    hidden: tuple[int, ...]
    """Calls whose words stand in the journal itself, so that they can only be hidden."""
    copies: tuple[str, ...]
    """Copies of the sounds inside the job's folder, such as beside a page."""
    published: tuple[str, ...]
    """Files inside the job's folder that may show the words."""
    loose: tuple[str, ...]
    """Sounds and words that belong to no call; nobody can tell whose they are."""

    @property
    def files(self) -> tuple[str, ...]:
        """All files of the calls themselves."""
        return self.sounds + self.words


def wanted(job: Job, numbers: Collection[int]) -> Wanted:
    """Find what removing the sound and typed words of calls comes to.

    Raises:
        ConfigError: the job has no such call, or nothing of it can be removed.
    """
    replay = job.replay
    by_number = {each.number: each for each in replay.calls}
    unknown = [each for each in numbers if each not in by_number]
    if unknown:
        raise ConfigError(
            f"no call {', '.join(map(str, unknown))}",
            where=str(job.folder),
            next_step=f"name calls from 1 to {len(by_number)}, as the page and the log number them",
        )
    calls = [by_number[each] for each in sorted(set(numbers))]
    words = [replay.kept_words[each.number].words_in for each in calls if _has_file(replay, each)]
    hidden = [each for each in calls if each.text and _is_worded(replay, each)]
    sounds = [each.clip for each in calls if each.clip]
    found = [each for each in calls if each.clip or (each.text and each.kind is Kind.REMARK)]
    if not found:
        raise ConfigError(
            "nothing of these calls can be removed: no sound of them is kept, and they are no"
            " typed remarks",
            where=str(job.folder),
            next_step="what was measured stays; name calls whose sound is kept",
        )
    hashes = {each.clip_sha256 for each in calls if each.clip and each.clip_sha256}
    return Wanted(
        calls=tuple(each.number for each in found),
        sounds=tuple(sounds),
        words=tuple(words),
        hidden=tuple(each.number for each in hidden if each in found),
        copies=tuple(copies_of(job.folder, hashes, beside=[each.clip for each in replay.calls])),
        published=tuple(_published(job.folder)) if words or hidden else (),
        loose=tuple(_loose(job.folder, replay)),
    )


def expunge(
    job: Job, asked: Wanted, *, by: str, why: str, person: str = "", with_copies: bool = True
) -> tuple[str, ...]:
    """Remove sounds and words for good; what was measured stays.

    Returns:
        Files that could not be removed; opening the job for work tries again.

    Raises:
        ConfigError: nobody is named, or no reason is.
        JournalError: the disk refused the entry; nothing was removed then.
    """
    if not by.strip() or not why.strip():
        raise ConfigError(
            "a removal needs who does it and why", next_step="say both: --by NAME --why WHY"
        )
    told = Expunged(
        calls=asked.calls,
        files=asked.files,
        copies=asked.copies if with_copies else (),
        by=by,
        why=why,
        person=person,
    )
    job.note("expunged", content_of(told))
    return finish_removals(job.folder, job.replay)


def _has_file(replay: Replay, call: Call) -> bool:
    return is_typed_remark(call) and call.number in replay.kept_words


def _is_worded(replay: Replay, call: Call) -> bool:
    """Tell whether a remark's words stand in the journal itself."""
    return call.kind is Kind.REMARK and not _has_file(replay, call)


def _published(folder: Path) -> Iterator[str]:
    """List reports and pages in a job's folder, which may show a remark's words."""
    for name in files_in(folder):
        path = PurePosixPath(name)
        if path.suffix in PUBLISHED and len(path.parts) > 1 and path.parts[0] != "remarks":
            yield name


def _loose(folder: Path, replay: Replay) -> Iterator[str]:
    """List what no call names: the program was killed before the call was written."""
    named = {each.clip for each in replay.calls}
    typed = (each.number for each in replay.calls if _has_file(replay, each))
    named |= {replay.kept_words[each].words_in for each in typed}
    for name in files_in(folder):
        if name.startswith(("audio/", "remarks/")) and name not in named:
            yield name
