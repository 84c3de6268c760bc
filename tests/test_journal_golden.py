"""Journals of released versions stay readable, and the hash stays what it was."""

from __future__ import annotations

import json
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from pydantic import JsonValue

from calllog.about import About
from calllog.errors import JournalError
from calllog.journal import Journal, verify
from calllog.journal.entry import ENTRY_VERSION, entry_hash
from calllog.office import rescue_job, summarise
from calllog.office.summary import verify_job
from calllog.session import Job
from calllog.session.format_1 import AS_WRITTEN, content_in_format_1, format_1_words
from calllog.values import Call, Holders, ReadingUnit, Segment, message
from tests.golden.make_jobs import feet_job, read_back
from tests.golden.make_journal import ENTRIES, main
from tests.metricjob import metric_job

GOLDEN = Path(__file__).parent / "golden"
HEADS = {
    1: "0d01fbcf47d3c0e6c5e351569906c22a6c1196208af98d1a0ca90d5df864a343",
    2: "625db8bda13d74190dc2e20f0a5460f39f410796677edee06bc6caccfce408fb",
}
"""Hash of the last entry of the journal kept of each format."""
JOBS = [folder / name for folder in sorted(GOLDEN.glob("jobs_*")) for name in ("feet", "metric")]
MAKERS = {"feet": feet_job, "metric": metric_job}


def named(folder: Path) -> str:
    """Name a golden job in the list of tests."""
    return f"{folder.parent.name}-{folder.name}"


def kept(folder: Path) -> dict[str, JsonValue]:
    """Give what the program that made a golden job read in it."""
    found: dict[str, JsonValue] = json.loads((folder.parent / "read.json").read_text("utf-8"))[
        folder.name
    ]
    return found


def unit_of(folder: Path) -> ReadingUnit:
    """Tell what the tapes of a golden job are graduated in."""
    return ReadingUnit.METRE if folder.name == "metric" else ReadingUnit.FOOT


def in_format_1(found: dict[str, JsonValue], unit: ReadingUnit) -> dict[str, JsonValue]:
    """Write what is read today as the program of format 1 wrote it: reasons and findings in words.

    Records had no facts then. The one reason is the maker's own words, which no program said.
    """
    calls = [Call.model_validate_json(json.dumps(each)) for each in listed(found["calls"])]
    odd = [call.reason for call in calls if call.reason and call.reason.code == AS_WRITTEN]
    assert odd in ([], [message(AS_WRITTEN, text="not sure of fifty")])
    segments = [Segment.model_validate_json(json.dumps(each)) for each in listed(found["segments"])]
    words = format_1_words().measured_in(unit)
    return {
        **found,
        "calls": [
            {**call.model_dump(mode="json"), "reason": words.say(call.reason)} for call in calls
        ],
        "segments": [content_in_format_1(each, unit) for each in segments],
        "corrected": without(found["corrected"], "facts"),
    }


def without(value: JsonValue, name: str) -> JsonValue:
    """Leave off a field, wherever it stands."""
    if isinstance(value, list):
        return [without(each, name) for each in value]
    if isinstance(value, dict):
        return {key: without(each, name) for key, each in value.items() if key != name}
    return value


def listed(value: JsonValue) -> list[JsonValue]:
    """Take a JSON value for the list that it is."""
    assert isinstance(value, list)
    return value


def rounded(value: JsonValue) -> JsonValue:
    """Leave off what another computer's arithmetic may make of the last digits."""
    if isinstance(value, float):
        return round(value, 9)
    if isinstance(value, list):
        return [rounded(each) for each in value]
    if isinstance(value, dict):
        return {name: rounded(each) for name, each in value.items()}
    return value


TOLD_SINCE = {
    "distance_kind",
    "running_kind",
    "book_policy",
    "u_expanded_ft",
    "u_expanded_m",
    "state",
    "state_codes",
    "time_utc",
}
"""What is told of a corrected segment since these jobs were read."""
WORDS = {"words", "remedy"}
"""What may be worded anew at any time."""


UNCERTAINTY = re.compile("u_(random|common)_(ft|m)")
"""Computed anew whenever it is told; no journal holds it. Then the bend of sag within the spread of
a tension was taken by two partials only, and the uncertainty of a hanging tape was too small; that
of a certificate which states none was ten times a laboratory's."""
TOO_SMALL, TOO_LARGE = 1.05, 0.39
"""By how much at the most, in these jobs: random and common, and common alone."""


def then(found: JsonValue, known: JsonValue) -> JsonValue:
    """Leave off the fields that there were none of then, where they are empty, as they must be.

    Words are those of then: they may be mended, and journals hold none.
    """
    if isinstance(found, list) and isinstance(known, list) and len(found) == len(known):
        return [then(one, other) for one, other in zip(found, known, strict=True)]
    if isinstance(found, dict) and isinstance(known, dict):
        return {
            name: known[name]
            if name in WORDS & set(known) or is_mended(name, value, known.get(name))
            else then(value, known[name])
            if name in known
            else value
            for name, value in found.items()
            if name in known or (value != "" and name not in TOLD_SINCE)
        }
    return found


def is_mended(name: str, now: JsonValue, known: JsonValue) -> bool:
    """Tell whether that is an uncertainty, and no other than what was mended in it can make it."""
    kind = UNCERTAINTY.fullmatch(name)
    if not kind or not isinstance(now, float):
        return False
    assert isinstance(known, float)
    least = TOO_LARGE if kind[1] == "common" else 1.0
    return known * least - 1e-9 <= now <= known * TOO_SMALL


@pytest.mark.parametrize("version", HEADS)
def test_the_journal_of_each_format_is_read_and_verifies(version: int) -> None:
    """A journal made in each format fits its noted hash and gives its bodies."""
    folder = GOLDEN / f"journal_{version}"
    assert verify(folder, expect_last=HEADS[version]).ok
    with Journal.open(folder, read_only=True) as journal:
        found = [(entry.kind, entry.content) for entry in journal.entries()]
    assert found == list(ENTRIES)


def test_the_same_entries_have_the_same_hash_today(tmp_path: Path) -> None:
    """The canonical text and the hash of the newest format have not changed."""
    main(tmp_path / "job")
    assert verify(tmp_path / "job").state_hash == HEADS[ENTRY_VERSION]


@pytest.mark.parametrize("folder", JOBS, ids=named)
def test_job_of_every_released_version_is_read_the_same(folder: Path) -> None:
    """Struck calls, stops, decisions, notes, phones, sign-offs, a corrected tape, metres: all."""
    known, found = kept(folder), read_back(folder)
    assert verify_job(folder).ok
    found = read_back(folder)
    if folder.parent.name == "jobs_1":
        found = in_format_1(found, unit_of(folder))
    assert rounded(then({name: found[name] for name in known}, known)) == rounded(known)


def test_job_of_before_facts_has_none_and_derives_its_identity() -> None:
    """A job of the first form is known by the hash of its first entry, and nobody is named."""
    for folder in (GOLDEN / "jobs_1" / name for name in MAKERS):
        with Journal.open(folder, read_only=True) as journal:
            first = next(iter(journal.entries()))
        found = read_back(folder)
        assert found["identity"] == first.hash
        assert found["about"] == About().model_dump(mode="json")
        assert found["held_by"] == [Holders().model_dump()] * len(summarise(folder).corrected)
        assert summarise(folder).header.identity == first.hash


@pytest.mark.parametrize("folder", JOBS, ids=named)
def test_job_of_every_released_version_is_gone_on_with(folder: Path, tmp_path: Path) -> None:
    """The writer opens it too, adds what it has to, and what was booked stands."""
    shutil.copytree(folder, tmp_path / "job")
    before = summarise(folder)
    with Job.open_existing(tmp_path / "job") as job:
        assert job.replay.segments == before.replay.segments
        job.note("disk_slow", {"seconds": 2.0})
    assert verify_job(tmp_path / "job").ok
    assert summarise(tmp_path / "job").corrected == before.corrected


@pytest.mark.parametrize("name", MAKERS)
def test_newest_golden_jobs_are_what_their_maker_makes(name: str, tmp_path: Path) -> None:
    """The scenario kept as bytes is the one in the maker, so the next version starts from it."""
    found = read_back(MAKERS[name](tmp_path / name))
    newest = kept([folder for folder in JOBS if folder.name == name][-1])
    for what in ("calls", "segments", "notes", "remarks", "editions", "asked_by", "booked_on"):
        assert rounded(then(found[what], newest[what])) == rounded(newest[what]), what


def test_entry_of_a_later_version_is_a_clear_error(tmp_path: Path) -> None:
    """A sound entry in a form to come names the way out: a later program, not the rescue."""
    folder = tmp_path / "job"
    shutil.copytree(JOBS[0], folder)
    with Journal.open(folder, read_only=True) as journal:
        last = list(journal.entries())[-1]
    later = last.model_copy(update={"version": ENTRY_VERSION + 1})
    with closing(sqlite3.connect(folder / "job.sqlite", isolation_level=None)) as raw:
        guards = raw.execute("SELECT name, sql FROM sqlite_schema WHERE type='trigger'").fetchall()
        for name, _ in guards:
            raw.execute(f"DROP TRIGGER {name}")
        raw.execute(
            "UPDATE entry SET version = ?, hash = ? WHERE sequence = ?",
            (later.version, entry_hash(later), later.sequence),
        )
        for _, sql in guards:
            raw.execute(sql)
    (folder / "job.last").unlink(missing_ok=True)
    later_calllog = "the version of calllog that wrote it, or a later one"
    assert verify(folder).next_step.endswith(later_calllog)
    for read_only in (True, False):
        with pytest.raises(JournalError, match=f"has version 3, which .*{later_calllog}"):
            Journal.open(folder, read_only=read_only)
    with pytest.raises(JournalError, match=f"entries of a later calllog; .*{later_calllog}"):
        rescue_job(folder, tmp_path / "new")
    assert not (tmp_path / "new").exists()
