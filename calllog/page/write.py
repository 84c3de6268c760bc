"""Page: a job's folder in, its pages with their sound in another folder out; shell."""

import errno
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import tzinfo
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from calllog.errors import ReportError
from calllog.files import make_folder
from calllog.journal import (
    Entry,
    Journal,
    is_free,
    is_plain_file,
    is_plain_folder,
    read_plain,
)
from calllog.office import Summary
from calllog.page.content import build_pages
from calllog.page.history import read_history
from calllog.page.paper import page_pdf
from calllog.page.render import page_html
from calllog.page.signed import DISTANCES, SetAgainst, distances_text
from calllog.report import MADE, keep_changed, settle, write_whole
from calllog.values import Call
from calllog.wording import ENGLISH, Words

GENERATOR = '<meta name="generator" content="calllog page">'
"""What every page has and no other file."""
_PAGE = re.compile(r"line-[0-9]+")
_CLIP = re.compile(r"[0-9]{1,12}\.flac")
_MOST_CLIP_BYTES = 16 << 20
"""Of a sound; a call of 8 s has 256 kB at most."""
_MOST_PAGE_BYTES = 256 << 20
AUDIO = "audio"
"""Folder of the clips, in a job and beside its pages."""


@dataclass(frozen=True, slots=True)
class PagesWritten:
    """What was written."""

    files: tuple[Path, ...]
    clips: int
    """How many sounds were copied beside the pages."""
    clips_missing: int
    """How many the journal names that are not in the job."""
    removed: tuple[Path, ...] = ()
    """What earlier runs left there and this one does not write: pages, PDFs, sounds."""
    clips_changed: int = 0
    """How many sounds are not those that were recorded; they were not copied."""
    left: tuple[Path, ...] = ()
    """Files of an earlier run that somebody changed since, so that they were left."""
    words: tuple[str, ...] = ()
    """What became of files that stood in the way, one sentence each."""


class Sounds(NamedTuple):
    """What became of the sounds of a job."""

    links: Mapping[int, str]
    """To those beside the pages, by the number of the call."""
    missing: int
    """How many were not there."""
    changed: frozenset[int]
    """Calls whose sound is there, but is not the one that was recorded."""


def write_pages(
    folder: Path,
    summary: Summary,
    out: Path,
    *,
    has_clips: bool = True,
    paper: str | None = None,
    words: Words = ENGLISH,
    on_page: Callable[[], object] = lambda: None,
    wanted: SetAgainst | None = None,
    zone: tzinfo | None = None,
) -> PagesWritten:
    """Write the page of the day, one for each line, the one to sign, and the list of distances.

    Args:
        folder: the job.
        summary: what `calllog.session.summarise` computed of it.
        out: where the pages go; made if it is not there.
        has_clips: copy the sounds that the calls were heard in into ``audio`` beside the pages.
        paper: also write each page as a PDF on this paper; None writes none.
        words: the language that the pages are written in.
        on_page: told after each page.
        wanted: what the office sets the lines against; None for nothing.
        zone: of the times; the job's own if left out.

    Raises:
        ConfigError: a record cannot be read, or is of a line that is not here.
        JournalError: the job cannot be read.
        ReportError: a file cannot be written, or what PDF needs is not installed.
    """
    with Journal.open(folder, read_only=True) as journal:
        history = read_history(_until(journal.entries(), summary.header.state_hash))
    sounds = Sounds({}, 0, frozenset())
    _make(out)
    if has_clips:
        sounds = copy_clips(folder, out, summary.replay.calls)
    files: list[Path] = []
    is_listed = is_plain_file(out / MADE)
    pages = build_pages(
        summary,
        history,
        sounds.links,
        changed=sounds.changed,
        words=words,
        wanted=wanted,
        zone=zone,
    )
    kinds = ("html",) if paper is None else ("html", "pdf")
    kept = keep_changed(
        out, (DISTANCES, *(f"{page.name}.{each}" for page in pages for each in kinds))
    )
    for page in pages:
        html = page_html(page, words)
        files.append(out / f"{page.name}.html")
        write_whole(files[-1], html)
        if paper is not None:
            files.append(out / f"{page.name}.pdf")
            write_whole(files[-1], page_pdf(page_html(page, words, is_printed=True), paper))
        if page.sheet is not None:
            say = words.measured_in(page.unit)
            files.append(out / DISTANCES)
            text = distances_text(page.sheet.rows, summary, page.standing, say)
            write_whole(files[-1], text)
        on_page()
    removed = _remove_others(
        out, {page.name for page in pages}, has_pdf=paper is not None or is_listed
    )
    beside = [out / link for link in sounds.links.values()]
    settled = settle(out, "page", (*files, *beside), kept=kept, of=summary.header)
    return PagesWritten(
        tuple(files),
        len(sounds.links),
        sounds.missing,
        (*removed, *settled.removed),
        len(sounds.changed),
        settled.left,
        replace(settled, removed=(), left=()).words,
    )


def _remove_others(out: Path, names: Collection[str], *, has_pdf: bool) -> tuple[Path, ...]:
    """Remove pages of lines that are not of these, such as an earlier job's; other files stay.

    Where no PDFs are written and none were listed, those of these pages are of a run before lists.
    """
    removed = []
    if not has_pdf:
        for pdf in sorted(out / f"{name}.pdf" for name in names):
            if is_plain_file(pdf):
                pdf.unlink()
                removed.append(pdf)
    for html in sorted(out.glob("line-*.html")):
        is_old = _PAGE.fullmatch(html.stem) and html.stem not in names
        if not is_old or not _is_page(html):
            continue
        for file in (html, html.with_suffix(".pdf")):
            if file.is_file():
                file.unlink()
                removed.append(file)
    return tuple(removed)


def _is_page(html: Path) -> bool:
    try:
        return GENERATOR.encode() in read_plain(html.parent, html.name, most_bytes=_MOST_PAGE_BYTES)
    except OSError:
        return False


def copy_clips(folder: Path, out: Path, calls: Sequence[Call]) -> Sounds:
    """Copy the sounds of a job beside its pages.

    Taken are plain files alone, named as calllog names them: a job may come from a stranger, and
    what a link leads to would go along with the page. A sound that is not the one whose hash the
    journal holds is left where it is.

    Raises:
        ReportError: a sound cannot be copied.
    """
    links: dict[int, str] = {}
    changed: set[int] = set()
    missing = 0
    for call in calls:
        if not call.clip:
            continue
        place, _, name = call.clip.partition("/")
        if place != AUDIO or not _CLIP.fullmatch(name):
            missing += 1
            continue
        try:
            content = read_plain(folder, AUDIO, name, most_bytes=_MOST_CLIP_BYTES)
        except OSError:
            missing += 1
            continue
        if call.clip_sha256 and sha256(content).hexdigest() != call.clip_sha256:
            changed.add(call.number)
            continue
        _make(out / AUDIO, is_ours=True)
        write_whole(out / AUDIO / name, content)
        links[call.number] = f"{AUDIO}/{name}"
    return Sounds(links, missing, frozenset(changed))


def _make(out: Path, *, is_ours: bool = False) -> None:
    """Make a folder; one that the program names itself may not lead elsewhere."""
    try:
        if is_ours and not (is_free(out) or is_plain_folder(out)):
            raise NotADirectoryError(errno.ENOTDIR, "it is a link or a file")
        make_folder(out)
    except OSError as error:
        raise ReportError(
            f"the folder of the pages cannot be made ({error.strerror})",
            where=str(out),
            next_step="name another folder with --out",
        ) from error


def _until(entries: Iterable[Entry], head: str) -> Iterator[Entry]:
    """Give the entries up to the one that the summary rests on; a job at work goes on meanwhile."""
    for entry in entries:
        yield entry
        if entry.hash == head:
            return
