"""Report: the files that a run wrote in, what an earlier run left beside them gone; shell.

A folder of reports must not show two states at once: a workbook of last week beside the tables of
today. So each run lists what it wrote, with hashes, in ``made-by-calllog.json`` of that folder; the
next run of the same kind removes what it does not write again. A file that somebody changed since
is left and named, and so are all files that no run listed; where a run writes such a file again, it
is kept under another name first.
"""

import json
import re
import zipfile
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from pathlib import Path, PurePosixPath
from typing import Any, NamedTuple

from calllog.errors import ReportError
from calllog.journal import digest_plain, is_free, open_plain, read_plain, remove_plain
from calllog.report.atomic import write_whole
from calllog.report.header import JobHeader

MADE = "made-by-calllog.json"
FORMAT, VERSION = "calllog-made", 1
_BEFORE_LISTS = ("csv-metadata.json", "log.schema.json", "jobs.csv-metadata.json", "day.html")
"""Files that runs wrote before there was a list, by which their folder is known."""
OLD_WORKBOOKS = frozenset({"segments.xlsx", "log.xlsx"})
"""Workbooks that runs wrote before there was a list."""
_MOST_BYTES = 1 << 26
"""Of a list; one of a hundred thousand files has a tenth of it."""
_MOST_FACTS = 1 << 16
PART = ".parquet"
"""How the parts of a dataset end, each in a folder of its job in one of its table."""
_HASH = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Written:
    """What a run wrote, and what became of an earlier one's files."""

    files: tuple[Path, ...]
    removed: tuple[Path, ...] = ()
    """Files of an earlier run that this one does not write."""
    left: tuple[Path, ...] = ()
    """Those of them that somebody changed since, so that they were left."""
    kept: tuple[Path, ...] = ()
    """Where files are now that stood in the way of this run's and were not as a run wrote them."""
    was_of: str = ""
    """The other job whose files this run replaced; empty where there was none."""

    def __iter__(self) -> Iterator[Path]:
        """Go through the files written."""
        return iter(self.files)

    @property
    def words(self) -> tuple[str, ...]:
        """Say what became of an earlier run's files, one sentence each; of a dataset only one."""
        files = (str(file) for file in self.removed if file.suffix != PART)
        datasets = Counter(
            file.parent.parent.parent for file in self.removed if file.suffix == PART
        )
        parts = (f"{count} \u00d7 {folder}/*/*/*{PART}" for folder, count in datasets.items())
        gone = (f"removed: {name}, of an earlier run" for name in (*files, *parts))
        stays = (
            f"! left: {file}, of an earlier run and changed since: it may say something else"
            for file in self.left
        )
        aside = (
            f"! kept: {file}, which no run wrote so: it stood where this run writes"
            for file in self.kept
        )
        other = f"! replaced: what an earlier run wrote there of another job, {self.was_of}"
        return (*gone, *stays, *aside, *((other,) if self.was_of else ()))


def keep_changed(out: Path, names: Iterable[str]) -> tuple[Path, ...]:
    """Rename files that a run is about to write over, unless a run wrote them as they are.

    Args:
        out: the folder.
        names: of the files in it.

    Returns:
        What they are called now. Where no run has listed anything, but an earlier program wrote
        there, nothing is kept: its lists are not known.

    Raises:
        ReportError: a file cannot be renamed.
    """
    listed = _listed(out)
    if not listed and any((out / each).exists() for each in _BEFORE_LISTS):
        return ()
    kept = []
    for name in names:
        digest = _digest(out, name)
        if digest and not any(files.get(name) == digest for files in listed.values()):
            kept.append(_kept(out / name))
    return tuple(kept)


def _kept(path: Path) -> Path:
    """Give a file a name beside its own that nothing has."""
    names = (f"{path.stem}.kept{number or ''}{path.suffix}" for number in count())
    to = next(each for name in names if is_free(each := path.with_name(name)))
    try:
        path.rename(to)
    except OSError as error:
        raise ReportError(
            f"it was not written by calllog as it is, and cannot be kept ({error.strerror})",
            where=str(path),
            next_step="move it elsewhere, or write elsewhere with --out",
        ) from error
    return to


def settle(
    out: Path,
    run: str,
    files: Sequence[Path],
    *,
    kept: tuple[Path, ...] = (),
    of: JobHeader | None = None,
) -> Written:
    """Remove what an earlier run of the same kind left in a folder, and list what this one wrote.

    Args:
        out: the folder.
        run: the kind of run, such as ``report``; others have lists of their own there.
        files: what it wrote, all of it in that folder or below.
        kept: what `keep_changed` gave before.
        of: the job that it wrote them of; None for several.

    Raises:
        ReportError: the list cannot be written.
    """
    listed, were_of = _listed(out), _jobs_of(out)
    whole = out.absolute()
    here = {file.absolute().relative_to(whole).as_posix(): file for file in files}
    removed: list[Path] = []
    left: list[Path] = []
    for name, noted in listed.pop(run, {}).items():
        if name not in here:
            _take_away(out, name, noted, removed, left)
    taken = {name for names in listed.values() for name in names}
    removed += [
        out / name
        for name in sorted(OLD_WORKBOOKS & _beside(run) - here.keys() - taken)
        if _is_old_workbook(out, name) and _is_removed(out, name)
    ]
    digests = {name: _digest(out, name) for name in here}
    listed[run] = {name: digest for name, digest in digests.items() if digest}
    before = were_of.get(run)
    now_of = were_of | ({run: _Of(of.identity, of.job)} if of else {})
    runs = {
        name: {**(now_of[name]._asdict() if name in now_of else {}), "files": names}
        for name, names in sorted(listed.items())
    }
    document = {"format": FORMAT, "version": VERSION, "runs": runs}
    write_whole(out / MADE, json.dumps(document, indent=1, ensure_ascii=False) + "\n")
    was_of = before.job if before and of and before.job_id != of.identity else ""
    return Written(tuple(files), tuple(removed), tuple(left), kept, was_of)


def _beside(run: str) -> Collection[str]:
    """Name the workbook that a kind of run may have written."""
    return {"report": {"segments.xlsx"}, "log": {"log.xlsx"}}.get(run, frozenset())


def _take_away(out: Path, name: str, noted: str, removed: list[Path], left: list[Path]) -> None:
    """Remove a listed file if it is as it was written."""
    parts = PurePosixPath(name).parts
    found = _digest(out, name)
    if found and found == noted and _is_removed(out, *parts):
        removed.append(out / name)
        _drop_empty(out, parts[:-1])
    elif found:
        left.append(out / name)


def _is_removed(out: Path, *names: str) -> bool:
    try:
        return remove_plain(out, *names)
    except OSError:
        return False


def _drop_empty(out: Path, folders: tuple[str, ...]) -> None:
    """Remove the folders that a file was the last in."""
    for depth in range(len(folders), 0, -1):
        try:
            out.joinpath(*folders[:depth]).rmdir()
        except OSError:
            return


def _listed(out: Path) -> dict[str, dict[str, str]]:
    """Read the list of a folder; anything that is none counts as no list."""
    try:
        document = json.loads(read_plain(out, MADE, most_bytes=_MOST_BYTES))
        runs: Mapping[str, Any] = document["runs"]
        return {
            str(run): {
                name: digest
                for name, digest in stated["files"].items()
                if _is_inside(name) and _HASH.fullmatch(digest)
            }
            for run, stated in runs.items()
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


class _Of(NamedTuple):
    """The job that a run wrote of."""

    job_id: str
    job: str


def _jobs_of(out: Path) -> dict[str, _Of]:
    """Read of which job each kind of run wrote last."""
    try:
        document = json.loads(read_plain(out, MADE, most_bytes=_MOST_BYTES))
        return {
            run: _Of(str(each["job_id"]), str(each["job"]))
            for run, each in document["runs"].items()
            if "job_id" in each
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def _is_inside(name: str) -> bool:
    """Tell whether a name, which a stranger may have written, leads to a file below the folder."""
    parts = name.split("/")
    return "\0" not in name and not any(part in {"", ".", ".."} for part in parts)


def _digest(out: Path, name: str) -> str:
    """Hash a plain file below a folder; empty where there is none."""
    try:
        return digest_plain(out, *PurePosixPath(name).parts)
    except (OSError, ValueError):
        return ""


def _is_old_workbook(out: Path, name: str) -> bool:
    """Tell whether a workbook says of itself that calllog wrote it."""
    try:
        with open_plain(out, name) as file, zipfile.ZipFile(file) as parts:
            facts = parts.getinfo("docProps/core.xml")
            return facts.file_size <= _MOST_FACTS and b">calllog, " in parts.read(facts)
    except (OSError, ValueError, KeyError, zipfile.BadZipFile, NotImplementedError):
        return False
