"""A summary in, what must be said of the job before any figure out; shell, reads only.

Each fact is a message of its own, so that pages, tables and data say the same. A job, a line or a
pull of which nothing is listed was recorded as it should be.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from calllog.journal import Journal, clip_faults
from calllog.lines import Line, group_lines
from calllog.office.summary import Summary
from calllog.pairing import Phase
from calllog.session.replay import Replay
from calllog.tape import Certificate, doubtful
from calllog.values import Fact, Message, RunName, message
from calllog.wording import ENGLISH, Words

PREFIX = "state-"
RESCUED = "-rescued"
"""Ends the code of a message that is put otherwise for a job of which entries may be lost."""
POLICY = "policy"
"""Who decided where nobody had to."""
CODES = (
    "rescued",
    "changed-since-signing",
    "sound-changed",
    "sound-lost",
    "unfinished",
    "waits",
    "left",
    "certificate",
    "decided",
    "not-corrected",
    "corrections-unknown",
)
"""All codes that a fact may have, in the order in which they are told."""


@dataclass(frozen=True, slots=True)
class StateFact:
    """Something that must be known before a figure is used."""

    told: Message
    line: RunName | None = None
    """The run of a line that it is about; None for the whole job."""
    pulls: tuple[int, ...] = ()
    """The pulls that it is about; empty for all of them."""

    @property
    def code(self) -> str:
        """One of `CODES`."""
        return self.told.code.removeprefix(PREFIX).removesuffix(RESCUED)


def state_facts(summary: Summary) -> tuple[StateFact, ...]:
    """List what must be said of a job: of the whole, then of its lines, in the order of `CODES`.

    The sounds of the job are compared with their hashes, so that this takes as long as reading
    them.

    Raises:
        JournalError: the job cannot be read.
    """
    found = (
        *_of_job(summary),
        *_unfinished(summary),
        *(
            each
            for line in group_lines(summary.corrected)
            for each in _of_line(line, summary.tapes)
        ),
    )
    return tuple(sorted(found, key=lambda each: CODES.index(each.code)))


def facts_about(
    facts: Iterable[StateFact], line: RunName, pull: int | None = None
) -> tuple[StateFact, ...]:
    """Choose the facts that hold for a line, or for one pull of it: those of the job among them."""
    return tuple(
        each
        for each in facts
        if each.line in {None, line} and (pull is None or not each.pulls or pull in each.pulls)
    )


def state_codes(facts: Iterable[StateFact]) -> tuple[str, ...]:
    """Give the codes of facts, each once."""
    return tuple(dict.fromkeys(each.code for each in facts))


def state_words(facts: Iterable[StateFact], words: Words = ENGLISH) -> tuple[str, ...]:
    """Say facts, one sentence each."""
    return tuple(dict.fromkeys(words.say(each.told) for each in facts))


def unfinished_runs(replay: Replay) -> tuple[RunName, ...]:
    """List the lines that were begun and that the crew did not finish, in order."""
    state = replay.state
    last: RunName | None = None
    if state is not None and state.phase is Phase.FINISHED:
        last = replay.run_of(state.settings)
    return tuple(run for run in replay.begun if run != last and run.run > replay.finished[run.ends])


def _of_job(summary: Summary) -> Iterator[StateFact]:
    for each in summary.header.rescued:
        yield _fact(
            "rescued",
            job=each.job,
            time=each.time_utc,
            entries=each.entries,
            lost=each.lost,
            sounds=each.sounds_lost,
        )
    if summary.header.signed and (last := summary.header.signed[-1]).later_entries:
        yield _fact(
            "changed-since-signing", name=last.by, date=last.date, entries=last.later_entries
        )
    yield from _of_sounds(summary)


def _of_sounds(summary: Summary) -> Iterator[StateFact]:
    with Journal.open(summary.folder, read_only=True) as journal:
        faults = tuple(clip_faults(summary.folder, journal.entries()))
    changed = sum(each.is_changed for each in faults)
    if changed:
        yield _fact("sound-changed", sounds=changed)
    if lost := len(faults) - changed:
        yield _fact("sound-lost", sounds=lost)


def _unfinished(summary: Summary) -> Iterator[StateFact]:
    replay = summary.replay
    code = f"unfinished{RESCUED}" if summary.header.rescued else "unfinished"
    for run in unfinished_runs(replay):
        yield _fact(code, run, name=run.told)
    state = replay.state
    if state is not None and state.phase is Phase.STOPPED:
        run = replay.run_of(state.settings)
        yield _fact("waits", run, name=run.told, pull=state.pull)
    left: dict[RunName, list[int]] = {}
    for run, pull in _left(replay):
        left.setdefault(run, []).append(pull)
    for run, pulls in left.items():
        yield _fact("left", run, pulls, name=run.told)


def _left(replay: Replay) -> Iterator[tuple[RunName, int]]:
    """List the pulls that were begun and not recorded when their line was left or finished."""
    yield from replay.left
    state = replay.state
    if state is not None and state.phase is Phase.FINISHED and state.is_begun:
        yield replay.run_of(state.settings), state.pull


def _of_line(line: Line, tapes: Mapping[str, Certificate]) -> Iterator[StateFact]:
    run = line.name
    yield from certificate_facts(line, tapes)
    by: dict[str, list[int]] = {}
    for each in line.corrected:
        if each.segment.decided_by != POLICY:
            by.setdefault(each.segment.decided_by, []).append(each.segment.pull)
    for who, pulls in by.items():
        yield _fact("decided", run, pulls, name=run.told, by=who)
    if line.uncorrected:
        yield _fact("not-corrected", run, line.uncorrected, name=run.told)
    alike: dict[tuple[int, ...], list[str]] = {}
    for kind, lacking in line.lacking.items():
        alike.setdefault(lacking, []).append(kind)
    for lacking, kinds in alike.items():
        correction = _listed([message("page-correction", correction=kind) for kind in kinds])
        yield _fact("corrections-unknown", run, lacking, name=run.told, correction=correction)


def certificate_facts(line: Line, tapes: Mapping[str, Certificate]) -> Iterator[StateFact]:
    """Tell of tapes whose certificate is unlikely, or did not hold on a day of their use."""
    for tape in dict.fromkeys(each.segment.tape for each in line.corrected):
        pulls = {e.segment.pull: e.day for e in line.corrected if e.segment.tape == tape}
        days = (date.fromisoformat(day) for day in sorted(set(pulls.values())) if day)
        if tape in tapes and (entries := doubtful(tapes[tape], *days)):
            told = ", ".join(entries)
            yield _fact(
                "certificate", line.name, [*pulls], name=line.name.told, tape=tape, entries=told
            )


def _fact(
    code: str, line: RunName | None = None, pulls: Sequence[int] = (), **facts: Fact
) -> StateFact:
    if pulls:
        facts |= {"pulls": ", ".join(map(str, pulls)), "count": len(pulls)}
    return StateFact(message(f"{PREFIX}{code}", **facts), line, tuple(pulls))


def _listed(things: Sequence[Message]) -> Message:
    """Put several names one after the other."""
    listed, *others = things
    for each in others:
        listed = message("state-listed", first=listed, then=each)
    return listed
