"""Journals of strangers: entries of any content in an unbroken chain, and damaged databases."""

from __future__ import annotations

import contextlib
import json
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from pydantic import JsonValue

from calllog.errors import CalllogError
from calllog.journal import NO_PREVIOUS, Entry, Journal
from calllog.journal.database import insert_entry
from calllog.journal.entry import seal
from calllog.journal.making import make_job
from calllog.lines import WantedSegments
from calllog.office import difference, job_state, merge_jobs, summarise, write_report
from calllog.office.summary import verify_job
from calllog.office.weighed import weigh_pull
from calllog.page.history import read_history
from calllog.session import Job, replay
from calllog.session.kinds import FOLLOWS
from tests.fieldjob import field_job
from tests.metricjob import metric_job
from tests.torture.fuzz.target import Draw, Target

FOLDER = TemporaryDirectory(prefix="calllog-fuzz-")
KINDS = (
    "opened", "line", "tape", "tape_corrected", "call", "decision", "condition", "signed",
    "recording", "engine", "sitting", "day", "phone_paired", "phone_revoked", "phone_asked",
    "closed", "clock", "rescued", "about", "stamped", "never_heard_of", *FOLLOWS.values(),
)  # fmt: skip
VALUES: tuple[JsonValue, ...] = (
    None, True, False, 0, 1, -1, 2, 3, 4, 9, 99, 100, 1542, 10_099, 2**31, 2**63, 10**400, -(2**64),
    0.5, -0.0, 1e308, 5e-324, 1e-7, 98.6, "", "x", "A", "\x00", "\u202e", "2131-05-04",
    "0001-01-01", "head", "rear", "unsaid",
    "whole", "fraction", "reading", "number", "command", "condition",
    "note", "remark", "chatter", "unclear", "call", "ask", "ignored", "any", "first", "check",
    "again", "next", "finish", "switch", "scratch", "temperature", "tension", "spans", "position",
    "rise", "hold", "tape", "line", "full", "add", "cut", "inset", "metre", "foot", "mean", "none",
    "wanted", "required", "left", "right", "../../etc", "full tape", [], {}, [1], {"x": {}},
    [[[[]]]], "#phone A", "9" * 5_000,
)  # fmt: skip
"""What may stand in a field: other fields' values, and what no field has."""


@cache
def _jobs() -> tuple[tuple[tuple[str, str], ...], ...]:
    """Give jobs that are sound, as kinds and bodies of their entries."""
    found = []
    for name, make in (("field", field_job), ("metric", metric_job)):
        folder = make(Path(FOLDER.name) / name)
        with Job.open_existing(folder) as job:
            if name == "field":
                job.use_engine("an engine", "en-us-feet")
                job.note("phone_paired", {"name": "A", "secret_sha256": "0" * 64})
                job.note("phone_asked", {"id": "0" * 32, "name": "A"})
                job.note("recording", {"name": "a.flac", "sha256": "0" * 64})
                job.note("phone_revoked", {"name": "A"})
            else:
                job.sign(by="the office", day=date(2131, 5, 5))
        with Journal.open(folder, read_only=True) as journal:
            entries = tuple((each.kind, each.body) for each in journal.entries())
        found += [entries[:30], entries[30:60], entries]
    return tuple((*found[0], *each) if each is found[1] else each for each in found)


def _changed(content: Any, draw: Draw) -> Any:  # noqa: ANN401 - any JSON there is
    """Change one value somewhere in a body: go down as long as the case says so."""
    if isinstance(content, dict) and content:
        name = sorted(content)[draw.number() % len(content)]
        kind = draw.number() % 8
        if kind == 0:
            return {key: value for key, value in content.items() if key != name}
        if kind == 1:
            return {**content, "another": draw.one_of(VALUES)}
        return {**content, name: _changed(content[name], draw)}
    if isinstance(content, list) and content and draw.number() % 2:
        place = draw.number() % len(content)
        return [*content[:place], _changed(content[place], draw), *content[place + 1 :]]
    return draw.one_of(VALUES)


def entries_of(data: bytes) -> tuple[Entry, ...]:
    """Make a chain of entries of which every hash is right, whatever stands in them.

    Raises:
        CalllogError: a body cannot be kept.
    """
    draw = Draw(data)
    listed = list(draw.one_of(_jobs()))
    while draw and listed:
        kind, at = draw.number() % 7, draw.number() % len(listed)
        name, text = listed[at]
        match kind:
            case 0:
                del listed[at]
            case 1:
                listed.insert(draw.number() % len(listed), listed[at])
            case 2:
                listed[at] = (draw.one_of(KINDS), text)
            case 6:
                del listed[at:]
            case 3:
                listed[at] = (name, json.dumps(draw.one_of(VALUES)))
            case _:
                listed[at] = (name, json.dumps(_changed(json.loads(text), draw)))
    made: list[Entry] = []
    for name, text in listed:
        body = json.loads(text)
        after = made[-1] if made else None
        made.append(seal(name, body, time_utc="2131-05-04T12:00:00Z", monotonic_s=1.0, after=after))
    return tuple(made)


def replay_entries(data: bytes) -> None:
    """Compute a job of any entries: it is sound, found wrong, or refused; never a fault."""
    try:
        entries = entries_of(data)
        result = replay(entries)
    except CalllogError:
        return
    if result.wrong:
        assert result.wrong_at is not None
        return
    read_history(entries)
    folder = _written(entries)
    for use in USES:
        with contextlib.suppress(CalllogError):
            use(folder)


USES: tuple[Callable[[Path], object], ...] = (
    lambda job: write_report(summarise(job), job / "out"),
    lambda job: merge_jobs([job], WantedSegments()),
    lambda job: difference(job_state(job, "20"), job_state(job)),
    lambda job: weigh_pull(job, 1),
    verify_job,
)
"""What the office does with a job."""


def _written(entries: tuple[Entry, ...]) -> Path:
    """Write a job of these entries, all at once."""
    folder = Path(FOLDER.name) / "job"
    shutil.rmtree(folder, ignore_errors=True)
    make_job(folder)
    with closing(sqlite3.connect(folder / "job.sqlite")) as database, database:
        for entry in entries:
            insert_entry(database, entry)
    return folder


def _entry_seeds() -> Iterator[bytes]:
    for place, listed in enumerate(_jobs()):
        yield bytes((place,))
        for at in range(len(listed)):
            for name in range(0, 24, 5):
                yield bytes((place, 5, at, name, 3, 7 * at % len(VALUES)))
            yield bytes((place, 2, at, at % len(KINDS)))
            yield bytes((place, at % 2, at, 3))
            yield bytes((place, 6, at, 0, at % 5))


@cache
def _database() -> tuple[bytes, frozenset[str]]:
    """Give a sound database, and the hashes that its journal may end with."""
    folder = metric_job(Path(FOLDER.name) / "sound")
    with Journal.open(folder, read_only=True) as journal:
        hashes = frozenset(each.hash for each in journal.entries())
    return (folder / "job.sqlite").read_bytes(), hashes | {NO_PREVIOUS}


def open_damaged(data: bytes) -> None:
    """Open a job whose database has other bytes: what is proved is what was written."""
    content, hashes = _database()
    draw, changed = Draw(data), bytearray(content)
    while draw:
        kind, at = draw.number(), draw.number(3) % (len(changed) + 1)
        match kind % 4:
            case 0:
                changed[at : at + 1] = bytes((draw.number(),))
            case 1:
                length, start = draw.number(2), draw.number(3) % len(content)
                changed[at : at + length] = content[start : start + length]
            case 2:
                changed[at : at + draw.number(2)] = bytes(draw.number(2))
            case _:
                if kind > 200:
                    del changed[at:]
    folder = Path(FOLDER.name) / "damaged"
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "audio").mkdir(parents=True)
    (folder / "job.sqlite").write_bytes(changed)
    try:
        found = verify_job(folder)
        if found.ok:
            assert found.state_hash in hashes
        state = job_state(folder)
        assert state.state_hash in hashes
        difference(state, job_state(folder, "1"))
        with Job.open_existing(folder) as job:
            job.sign(by="x", day=date(2131, 5, 5))
    except CalllogError:
        return


def _database_seeds() -> Iterator[bytes]:
    content, _ = _database()
    yield b""
    for at in (*range(0, 108, 4), *range(4096, len(content), 4096)):
        yield bytes((0, *at.to_bytes(3, "big"), 255))
        yield bytes((255, *at.to_bytes(3, "big")))
        yield bytes((1, *at.to_bytes(3, "big"), 16, 0, 0, 32, 0))


TARGETS = (
    Target("entries of a journal", 20_000, replay_entries, _entry_seeds, longest=64),
    Target("bytes of a database", 4_000, open_damaged, _database_seeds, longest=64),
)
