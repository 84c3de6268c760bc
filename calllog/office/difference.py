"""Two states of a job in, what is different in the later one out; reads only."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path

from pydantic import JsonValue

from calllog.about import Amended
from calllog.errors import ConfigError, JournalError
from calllog.journal import NO_PREVIOUS, Entry, Journal, rescue_next
from calllog.lines import build_corrected
from calllog.report.record import SegmentRecord, document_of, segment_record
from calllog.session.consent import Consent, Expunged
from calllog.session.kinds import SignOff
from calllog.session.replay import Edition, Replay, replay
from calllog.tape import Foot
from calllog.values import ReadingUnit, Reopened

HASH_SIGNS = 8
"""So much of a hash must be given at least."""
FOLLOWS = frozenset({"running_total_ft", "running_total_m", "running_kind"})
"""What changes only because an earlier pull of the line did."""
Name = tuple[str, str, int, int]
"""Where a line begins and ends, its run, and the pull."""


@dataclass(frozen=True, slots=True)
class JobState:
    """A job as it stands, or stood when an entry was its last."""

    folder: Path
    entries: tuple[Entry, ...]
    replay: Replay
    segments: Mapping[Name, SegmentRecord]

    @property
    def entry(self) -> int:
        """Sequence of the last entry."""
        return len(self.entries)

    @property
    def state_hash(self) -> str:
        """Its hash."""
        return self.entries[-1].hash if self.entries else NO_PREVIOUS

    @property
    def feet(self) -> frozenset[tuple[ReadingUnit, Foot]]:
        """Unit and foot of its tapes; none before any tape."""
        return frozenset((tape.unit, tape.foot) for tape in self.replay.tapes.values())

    @property
    def unit(self) -> ReadingUnit:
        """What its tapes are graduated in."""
        return next((unit for unit, _ in self.feet), ReadingUnit.FOOT)


@dataclass(frozen=True, slots=True)
class ChangedSegment:
    """A pull that is booked in both states, not alike."""

    name: Name
    changed: Mapping[str, tuple[JsonValue, JsonValue]]
    """Old and new value of each field that differs."""


@dataclass(frozen=True, slots=True)
class Difference:
    """What is different in the later of two states."""

    old: JobState
    new: JobState
    shared: int
    """How many entries both have in common from the first on."""
    added: tuple[Name, ...]
    removed: tuple[Name, ...]
    changed: tuple[ChangedSegment, ...]
    reopened: tuple[int, ...]
    """Pulls that were opened again after the common entries."""
    certificates: tuple[tuple[Edition, Edition], ...]
    """Certificates in force then and now, where they are not the same."""
    signed: tuple[SignOff, ...]
    """Sign-offs after the common entries."""
    amended: tuple[Amended, ...]
    """Facts of the job that were stated after the common entries."""
    consents: tuple[tuple[int, Consent], ...] = ()
    """Consents after the common entries, each with the number of its entry."""
    expunged: tuple[tuple[int, Expunged], ...] = ()
    """What was removed at a person's request after the common entries."""

    @property
    def is_continued(self) -> bool:
        """Whether the new state is the old one with more entries, or the very same."""
        return self.shared == self.old.entry


def job_state(folder: Path, at: str = "") -> JobState:
    """Compute a job as it stands, or as it stood.

    Args:
        folder: the job.
        at: number of the entry that was its last, or the first signs of its hash; empty for all.

    Raises:
        ConfigError: no entry has that number or hash.
        JournalError: no job, or a damaged one.
    """
    with Journal.open(folder, read_only=True) as journal:
        entries = tuple(journal.entries())
    if at:
        entries = entries[: _sequence(folder, entries, at)]
    result = replay(entries)
    if result.wrong:
        raise JournalError(result.wrong, where=str(folder), next_step=rescue_next(folder))
    corrected = build_corrected(
        result.segments,
        result.tapes,
        result.runs,
        result.booked_on,
        result.held_by,
        policies=result.policies,
    )
    tapes = result.tapes
    records = [segment_record(each, tapes[each.segment.tape].unit) for each in corrected]
    names = [(each.line_from, each.line_to, each.run, each.pull) for each in records]
    return JobState(folder, entries, result, dict(zip(names, records, strict=True)))


def difference(old: JobState, new: JobState) -> Difference:
    """Compare two states, of one job or of two jobs that may have nothing in common.

    Raises:
        ConfigError: they are in different units or feet.
    """
    if old.feet and new.feet and old.feet != new.feet:
        what = "units" if old.unit is not new.unit else "feet"
        raise ConfigError(
            f"the two are in different {what}, so no length can be compared",
            where=f"{old.folder}, {new.folder}",
            next_step="compare states of one job",
        )
    pairs = zip(old.entries, new.entries, strict=False)
    shared = sum(1 for _ in takewhile(lambda pair: pair[0].hash == pair[1].hash, pairs))
    later = new.entries[shared:]
    before, after = old.replay.editions, new.replay.editions
    return Difference(
        old=old,
        new=new,
        shared=shared,
        added=tuple(name for name in new.segments if name not in old.segments),
        removed=tuple(name for name in old.segments if name not in new.segments),
        changed=tuple(_changed(old.segments, new.segments, new.unit)),
        reopened=tuple(
            Reopened.model_validate_json(entry.body).pull
            for entry in later
            if entry.kind == "reopened"
        ),
        certificates=tuple(
            (before[name][-1], after[name][-1])
            for name in before
            if name in after and before[name][-1].certificate != after[name][-1].certificate
        ),
        signed=tuple(one for one in new.replay.signed if one.entry >= shared),
        amended=tuple(one for one in new.replay.amended if one.sequence > shared),
        consents=tuple(
            (entry.sequence, Consent.model_validate_json(entry.body))
            for entry in later
            if entry.kind == "consent"
        ),
        expunged=tuple(
            (each.entry, each.body) for each in new.replay.voices.removed if each.entry > shared
        ),
    )


def _changed(
    old: Mapping[Name, SegmentRecord], new: Mapping[Name, SegmentRecord], unit: ReadingUnit
) -> Sequence[ChangedSegment]:
    found = []
    for name in old:
        if name not in new:
            continue
        was, now = document_of(old[name], unit), document_of(new[name], unit)
        changed = {
            field: (was[field], now[field])
            for field in was
            if was[field] != now[field] and field not in FOLLOWS
        }
        if changed:
            found.append(ChangedSegment(name, changed))
    return found


def _sequence(folder: Path, entries: Sequence[Entry], at: str) -> int:
    """Find the entry that a number or the beginning of a hash names."""
    wanted = at.strip().lower()
    if wanted.isdecimal() and 0 < int(wanted) <= len(entries):
        return int(wanted)
    found = [entry.sequence for entry in entries if entry.hash.startswith(wanted)]
    if len(wanted) >= HASH_SIGNS and len(found) == 1:
        return found[0]
    raise ConfigError(
        f"no one entry has the number or hash {at}",
        where=str(folder),
        next_step=f"give a number from 1 to {len(entries)}, or at least {HASH_SIGNS} digits of a"
        " hash, as `calllog verify` or a report shows it",
    )
