"""Strangers: at the chief's page, in job folders, and in what is installed.

What the sources may not do is in `test_architecture`.
"""

from __future__ import annotations

import contextlib
import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from calllog.errors import GrammarError, JournalError, ReportError
from calllog.journal import Journal, verify
from calllog.office import summarise
from calllog.page.write import copy_clips
from calllog.report import write_whole
from calllog.resources import read_grammar
from tests.commanding import run
from tests.fieldjob import field_job
from tests.torture import hostile_folders
from tests.torture.strangers import CANARY, FOLDERS, RAW, write_journal

ROOT = Path(__file__).parent.parent


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Make a job, with a secret beside it."""
    (tmp_path / "secret.flac").write_text(CANARY)
    return field_job(tmp_path / "job")


# Job folders


NOTHING_FOLLOWS = (432, 749)
"""Journals of which `rescue` could carry nothing, and whose calls have no numbers."""


def test_hostile_folders_and_journals_do_no_harm() -> None:
    """A few of each kind through the real commands; the torture tries them by the thousand."""
    names = list(FOLDERS)
    for wanted in ("out/page/audio is a link to outside", "job.sqlite-wal is a pipe"):
        found = hostile_folders.rage(1, names.index(wanted))
        assert found.wrong == []
        assert found.tried == 1
    for number in NOTHING_FOLLOWS:
        found = hostile_folders.rage(1, number)
        assert found.wrong == []
    found = hostile_folders.rage(12, len(FOLDERS))
    assert found.wrong == []
    assert found.refused.total() + found.done.total() >= 12 * hostile_folders.COMMANDS_EACH


@pytest.mark.parametrize(
    "name",
    [
        name
        for name in FOLDERS
        if name.startswith(("job.", "audio is", "out is", "a ", "an", "no t"))
        and not name.endswith(("/etc/passwd", "/nowhere/at/all", "outside"))
        and name != "a link to itself"
    ],
)
def test_odd_files_of_a_job_are_refused(job: Path, name: str) -> None:
    """Links, pipes, devices, vast files and foreign tables: a plain error, at once."""
    (job.parent / "outside").mkdir()
    FOLDERS[name](job)
    for read_only in (True, False):
        with pytest.raises(JournalError), Journal.open(job, read_only=read_only):
            pass
    with contextlib.suppress(JournalError):
        assert not verify(job).ok


@pytest.mark.parametrize("body", RAW, ids=range(len(RAW)))
def test_bodies_beyond_reason_are_named(tmp_path: Path, body: str) -> None:
    """Numbers that are none, digits and depths without end: a fault of that entry, no crash."""
    write_journal(tmp_path / "job", [("note", "{}"), ("note", body), ("note", "{}")])
    found = verify(tmp_path / "job")
    is_sober = body.startswith(('{"a":1', '"'))
    assert (found.ok, found.first_bad) == ((True, None) if is_sober else (False, 2))
    assert is_sober or "the body of entry 2 is " in found.wrong


def test_links_are_not_copied_beside_the_page(job: Path) -> None:
    """A sound that is a link to something else would go along with the page."""
    calls = summarise(job).replay.calls
    out = job.parent / "office"
    out.mkdir()
    assert set(copy_clips(job, out, calls)[0].values()) == {"audio/000001.flac"}
    (job / "audio/000001.flac").unlink()
    (job / "audio/000001.flac").symlink_to(job.parent / "secret.flac")
    (out / "audio/000001.flac").unlink()
    links, missing, _ = copy_clips(job, out, calls)
    assert (links, missing) == ({}, 3)
    assert not list((out / "audio").iterdir())


def test_links_in_the_place_of_reports_are_not_followed(tmp_path: Path) -> None:
    """Neither the file nor its half-written double is written through a link."""
    outside = tmp_path / "outside"
    outside.write_text("untouched")
    report = tmp_path / "segments.csv"
    report.symlink_to(outside)
    (tmp_path / ".segments.csv.part").symlink_to(outside)
    write_whole(report, "new")
    assert outside.read_text() == "untouched"
    assert report.read_text() == "new"
    assert not report.is_symlink()


def test_sounds_are_not_copied_through_a_link(job: Path) -> None:
    """A folder of sounds that leads elsewhere is refused; nothing appears there."""
    out, elsewhere = job.parent / "office", job.parent / "elsewhere"
    out.mkdir()
    elsewhere.mkdir()
    (out / "audio").symlink_to(elsewhere)
    with pytest.raises(ReportError, match="cannot be made"):
        copy_clips(job, out, summarise(job).replay.calls)
    assert not list(elsewhere.iterdir())


@pytest.mark.parametrize("name", ["../../secret", "/etc/passwd", "a/b", "", "x" * 100, "en\0"])
def test_grammar_of_a_job_is_one_of_ours(name: str) -> None:
    """The name stands in the journal, which may be a stranger's: no path comes of it."""
    with pytest.raises(GrammarError, match="no name of a grammar"):
        read_grammar(name)


def test_names_of_a_job_cannot_steer_the_terminal(tmp_path: Path) -> None:
    """Escape sequences in names are printed as signs that cannot be shown."""
    job = field_job(tmp_path / "job")
    with Journal.open(job, read_only=True) as journal:
        entries = list(journal.entries())
    odd = json.dumps("\x1b]0;owned\x07\x9b31m")[1:-1]
    bodies = [(each.kind, each.body.replace("Heron", odd)) for each in entries]
    write_journal(tmp_path / "odd", bodies)
    said = run("report", str(tmp_path / "odd")).stdout
    assert "owned" in said
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f]", said)


# The page


def test_hostile_requests_are_refused() -> None:
    """Raw bytes of every kind against the page at work; in a process that may use sockets."""
    code = (
        "import sys; from tests.torture.security import ask; tallies, wrong = ask(120, slow=0);"
        " print(wrong); sys.exit(bool(wrong) or not all(each.passed for each in tallies))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert not done.stderr, "strangers write nothing into the log"


# What is installed


def test_everything_installed_is_pinned_by_hash() -> None:
    """Each dependency stands in the lock with a version that fits and with hashes."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    extras = (ROOT / "Makefile").read_text("utf-8").split("EXTRAS := ")[1].split("\n")[0].split()
    wanted = [*project["dependencies"]]
    for extra in extras:
        wanted += project["optional-dependencies"][extra]
    text = (ROOT / ".requirements.txt").read_text("utf-8").replace("\\\n", " ")
    locked = {}
    for line in text.splitlines():
        words = line.split()
        assert all(
            re.fullmatch("--hash=sha256:[0-9a-f]{64}", each) for each in words if each[:2] == "--"
        )
        assert any(each.startswith("--hash") for each in words), line
        name, _, version = words[0].partition("==")
        assert version, line
        locked[canonicalize_name(name.partition("[")[0])] = version
    for each in map(Requirement, wanted):
        version = locked[canonicalize_name(each.name)]
        assert each.specifier.contains(version), f"{each.name}: run make lock"
