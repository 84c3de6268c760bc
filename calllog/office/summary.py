"""A job's folder in, its corrected segments, its report and what is wrong with it out."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Literal

from calllog import __version__, files
from calllog.errors import JournalError, ReportError
from calllog.journal import Journal, Verification, rescue_next, verify
from calllog.lines import build_corrected
from calllog.pairing import State
from calllog.report import JobHeader, MetricJobHeader, RescueRecord, SignOffRecord
from calllog.session.clock import local_day
from calllog.session.replay import Replay, replay
from calllog.session.reread import with_words
from calllog.session.withholding import OFFICE, withhold
from calllog.tape import Certificate, Foot
from calllog.values import CorrectedSegment, Message, ReadingUnit
from calllog.wording import ENGLISH

FEET: dict[Foot, Literal["international", "us_survey"]] = {
    Foot.INTERNATIONAL: "international",
    Foot.US_SURVEY: "us_survey",
}

HEADERS: dict[ReadingUnit, type[JobHeader]] = {
    unit: JobHeader if unit.is_feet else MetricJobHeader for unit in ReadingUnit
}


@dataclass(frozen=True, slots=True)
class Summary:
    """What a job holds, computed from its journal."""

    replay: Replay
    state: State
    corrected: tuple[CorrectedSegment, ...]
    header: JobHeader
    folder: Path
    """Where the job lies."""
    tapes: Mapping[str, Certificate]
    """The certificates it was corrected by, by the identity of the tape."""
    withheld: Mapping[int, Message] = field(default_factory=dict)
    """Why the sound or the words of a call are not shown, by its number."""


def summarise(
    folder: Path,
    *,
    before: int | None = None,
    today: Callable[[], date] = local_day,
    now: Callable[[], str] = lambda: datetime.now(UTC).isoformat(timespec="seconds"),
) -> Summary:
    """Compute a job's segments and corrections again from its journal.

    Args:
        folder: the job.
        before: with what this entry's certificate replaced in its place; None means those in force.
        today: gives the day, after which sound kept until an earlier one is left out.
        now: gives the time.

    Raises:
        JournalError: no job, damaged, or no line was begun.
        ConfigError: a correction is impossible, such as a rise greater than the length.
    """
    with Journal.open(folder, read_only=True) as journal:
        result = replay(journal.entries(), with_words(folder))
        head = journal.state_hash()
    if result.wrong:
        raise JournalError(result.wrong, where=str(folder), next_step=rescue_next(folder))
    state = result.require_state(str(folder))
    tapes = result.tapes if before is None else result.tapes_before(before)
    if state.settings.tape not in tapes:
        raise JournalError(
            f"the certificate of tape {state.settings.tape} is not in this job",
            where=str(folder),
            next_step="bring back a copy of the job; without it nothing can be corrected",
        )
    corrected = build_corrected(
        result.segments,
        tapes,
        result.runs,
        result.booked_on,
        result.held_by,
        policies=result.policies,
    )
    lines = dict.fromkeys(f"{each.line_from}:{each.line_to}" for each in result.segments)
    settings = state.settings
    header = HEADERS[settings.unit](
        job=folder.resolve().name,
        identity=result.identity,
        **result.about.model_dump(),
        line=" | ".join(lines) or f"{settings.line_from}:{settings.line_to}",
        foot=FEET[next(iter(tapes.values())).foot],
        tape=" | ".join(tape_words(result, tape) for tape in tapes.values()),
        tolerance_hundredths=_in_hundredths(settings.tolerance, settings.unit),
        read=settings.unit,
        check_policy=settings.policy,
        book_policy=settings.book,
        software_version=__version__,
        engine=" | ".join(result.engines),
        state_hash=head,
        written_utc=now(),
        signed=tuple(
            SignOffRecord(
                **one.model_dump(),
                fingerprint=one.fingerprint,
                later_entries=len(result.later(one)),
            )
            for one in result.signed
        ),
        rescued=tuple(
            RescueRecord(
                time_utc=time_utc,
                job=one.job,
                entries=one.entries,
                lost=one.lost,
                sounds_lost=len(one.clips_lost),
                kept_in=one.kept_in,
                wrong=ENGLISH.say(one.wrong),
            )
            for time_utc, one in result.rescued
        ),
    )
    withheld = withhold(result, OFFICE, today())
    return Summary(result, state, corrected, header, folder, tapes, withheld)


def _in_hundredths(counts: int, unit: ReadingUnit) -> int | float:
    return 100 * counts / unit.counts if unit.is_fine else counts


def tape_words(result: Replay, certificate: Certificate) -> str:
    """Name a tape, its certificate's entry where there are several, and what is assumed of it."""
    first, *later = result.editions[certificate.identity]
    assumed = f" (assumed: {certificate.told})" if certificate.told else ""
    if not later:
        return f"{certificate.identity}{assumed}"
    (edition,) = [one for one in (first, *later) if one.certificate is certificate]
    in_force = "in force" if edition is later[-1] else "replaced since"
    entry = f" (certificate of entry {edition.sequence}, {in_force})"
    return f"{certificate.identity}{entry}{assumed}"


def make_folder(out: Path) -> None:
    """Make the folder that files go to, if it is not there; ReportError if it cannot be."""
    try:
        files.make_folder(out)
    except OSError as error:
        raise ReportError(
            f"the report's folder cannot be made ({error.strerror})",
            where=str(out),
            next_step="name another folder with --out",
        ) from error


def verify_job(folder: Path, *, head: str | None = None) -> Verification:
    """Check a job: the chain of its entries, its clips, and that its segments follow.

    What is found to be consistent may have been written anew by whoever can write the folder; see
    `calllog.office.standing`.

    Args:
        folder: the job.
        head: any 8 digits or more, in a row, of a hash that was noted elsewhere; None for none.

    Raises:
        ConfigError: what was noted is no hash, or fits more than one entry.
        JournalError: the folder is no job.
    """
    result = verify(folder, expect_last=head)
    if not result.ok:
        return result
    again = Replay()
    with Journal.open(folder, read_only=True) as journal:
        for entry in journal.entries():
            try:
                again.feed(entry)
            except JournalError as error:
                return _wrong(result, entry.sequence, error.what, error.next_step)
    if not again.wrong:
        return result
    return _wrong(result, again.wrong_at, again.wrong, rescue_next(folder))


def _wrong(found: Verification, at: int | None, words: str, next_step: str) -> Verification:
    update = {"ok": False, "noted": None, "first_bad": at, "wrong": words, "next_step": next_step}
    return found.model_copy(update=update)
