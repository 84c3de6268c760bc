"""Job folders as a stranger might send them: a sound job in, hostile copies of it out; shell.

Two ways to be hostile: what stands in the journal (each entry sealed again, so that the chain
holds), and what the files of the folder are.
"""

from __future__ import annotations

import json
import os
import random
import socket
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing
from pathlib import Path

from pydantic import JsonValue

from calllog.journal import NO_PREVIOUS, Entry, Journal
from calllog.journal.database import DATABASE
from calllog.journal.entry import ENTRY_VERSION, entry_hash
from calllog.journal.making import make_job
from tests.fieldjob import field_job

CANARY = "tell-nobody-4711"
"""What stands in files outside the job and may not come out anywhere."""
TEXTS: tuple[JsonValue, ...] = (
    "",
    '=HYPERLINK("http://evil.example")',
    "@SUM(1+1)*cmd|' /C calc'!A0",
    "\t=1+1",
    "<script>alert(1)</script>",
    "</style><img src=x onerror=alert(1)>",
    "{{ 7*7 }}{% include '/etc/passwd' %}",
    "[link=http://evil.example]red[/link][bold]",
    "\x1b]0;owned\x07\x1b[2J\x9b31m\x00",
    "\u202e\u2066\ufeff\u2028",
    "../../../../etc/passwd",
    "audio/../../secret.flac",
    "/etc/passwd",
    "audio/.bashrc",
    "audio/evil.html",
    "file:///etc/passwd",
    "a\r\nSet-Cookie: x=1\r\n\r\n<b>",
    "'; DROP TABLE entry; --",
    "%s%s%s%n {0.__class__} $(reboot) `reboot`",
    "\N{GRINNING FACE}" * 1_000,
    "A" * 100_000,
)
NUMBERS: tuple[JsonValue, ...] = (
    *(0, 1, -1, 2, 99, 100, 101, 9_999, 10_001, 2**31, -(2**31), 2**53, 10**18, -(10**18)),
    *(1e-300, -1e-300, 1e9, 1e300, -1e300, 1.7976931348623157e308, 0.1, -0.0),
)
OTHERS: tuple[JsonValue, ...] = (None, True, False, [], {}, [[]], {"": None}, [1, 2, 3])
RAW = (
    "NaN",
    "Infinity",
    "-1e999",
    "9" * 5_000,
    "[" * 100_000,
    "[" * 500 + "]" * 500,
    '{"a":' * 200 + "1" + "}" * 200,
    '"\\ud800"',
    "",
    "\x00",
    '{"a":1,"a":2}',
)
"""Bodies that are no sober JSON."""


def sound_job(folder: Path) -> list[Entry]:
    """Make a job that is well, with a secret beside it; give its entries."""
    field_job(folder)
    (folder.parent / "secret.flac").write_text(CANARY)
    with Journal.open(folder, read_only=True) as journal:
        return list(journal.entries())


def write_journal(folder: Path, bodies: Iterable[tuple[str, str]]) -> None:
    """Write a job of these kinds and bodies, its chain whole."""
    make_job(folder)
    before, rows = NO_PREVIOUS, []
    for number, (kind, body) in enumerate(bodies, 1):
        entry = Entry(
            sequence=number,
            time_utc="2031-05-04T15:00:00+00:00",
            monotonic_s=float(number),
            kind=kind,
            version=ENTRY_VERSION,
            body=body,
            previous=before,
            hash="",
        )
        before = entry_hash(entry)
        rows.append(tuple(entry.model_copy(update={"hash": before}).model_dump().values()))
    with closing(sqlite3.connect(folder / DATABASE)) as raw, raw:
        raw.executemany("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?)", rows)


def spoilt(entries: list[Entry], draw: random.Random) -> list[tuple[str, str]]:
    """Spoil one to three entries of a journal."""
    bodies = [(each.kind, each.body) for each in entries]
    for _ in range(draw.choice((1, 1, 1, 2, 3))):
        at = draw.randrange(len(bodies))
        kind, body = bodies[at]
        way = draw.randrange(12)
        if way == 0:
            bodies[at] = (kind, draw.choice(RAW))
        elif way == 1:
            bodies[at] = (draw.choice(bodies)[0], body)
        elif way == 2:
            bodies.insert(draw.randrange(len(bodies) + 1), draw.choice(bodies))
        elif way == 3:
            del bodies[at]
        else:
            bodies[at] = (kind, _changed(body, draw))
        if not bodies:
            return bodies
    return bodies


def _changed(body: str, draw: random.Random) -> str:
    """Change one value somewhere in a body."""
    try:
        content: JsonValue = json.loads(body)
    except (ValueError, RecursionError):
        return body
    places = list(_places(content))
    if not places:
        return body
    holder, key = draw.choice(places)
    now = holder[key]  # type: ignore[index]
    like = NUMBERS if isinstance(now, (int, float)) else TEXTS if isinstance(now, str) else OTHERS
    new = draw.choice(draw.choice((like, like, like, NUMBERS, TEXTS, OTHERS)))
    if draw.random() < 0.1 and isinstance(holder, dict):
        del holder[str(key)]
    else:
        holder[key] = new  # type: ignore[index]
    return json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _places(value: JsonValue) -> Iterable[tuple[JsonValue, str | int]]:
    if isinstance(value, dict):
        for key, each in value.items():
            yield value, key
            yield from _places(each)
    elif isinstance(value, list):
        for place, each in enumerate(value):
            yield value, place
            yield from _places(each)


def _link(name: str, to: str) -> Callable[[Path], None]:
    def make(job: Path) -> None:
        path = job / name
        _remove(path)
        path.parent.mkdir(parents=True, exist_ok=True)
        target = Path(to) if to.startswith("/") else job.parent / to
        path.symlink_to(target)

    return make


def _pipe(name: str) -> Callable[[Path], None]:
    def make(job: Path) -> None:
        path = job / name
        _remove(path)
        path.parent.mkdir(parents=True, exist_ok=True)
        os.mkfifo(path)

    return make


def _folder(name: str) -> Callable[[Path], None]:
    def make(job: Path) -> None:
        _remove(job / name)
        (job / name).mkdir(parents=True)

    return make


def _socket(name: str) -> Callable[[Path], None]:
    def make(job: Path) -> None:
        _remove(job / name)
        here = Path.cwd()
        os.chdir(job)  # the name of a socket is short
        try:
            with socket.socket(socket.AF_UNIX) as made:
                made.bind(name)
        finally:
            os.chdir(here)

    return make


def _sparse(name: str) -> Callable[[Path], None]:
    def make(job: Path) -> None:
        with (job / name).open("ab") as file:
            file.truncate(1 << 36)

    return make


def _sql(*statements: str) -> Callable[[Path], None]:
    """Change the database behind calllog's back."""

    def make(job: Path) -> None:
        with closing(sqlite3.connect(job / DATABASE, isolation_level=None)) as raw:
            raw.execute("PRAGMA writable_schema=ON")
            for statement in statements:
                raw.execute(statement)

    return make


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        for each in path.iterdir():
            _remove(each)
        path.rmdir()
    else:
        path.unlink(missing_ok=True)


COLUMNS = "sequence, time_utc, monotonic_s, kind, version, body, previous, hash"
FOREVER = """CREATE VIEW entry AS
WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n)
SELECT i sequence, '' time_utc, 0.0 monotonic_s, 'note' kind, 1 version, '{}' body,
'' previous, '' hash FROM n"""
PLACES = (DATABASE, "job.sqlite-wal", "job.sqlite-shm", "job.sqlite-journal", "job.lock")
PARTS = (
    *("audio/000001.flac", "audio/000002.flac", "audio", "out", "out/page", "out/page/audio"),
    *("out/segments.csv", "out/.segments.csv.part", "out/.segments.json.part"),
    *("out/page/.index.html.part", "out/page/line-9.html", "out/page/audio/000001.flac"),
    *("out/page/audio/.000001.flac.part", "out/notes.csv", "out/.notes.csv.part"),
)
TARGETS = ("secret.flac", "/etc/passwd", "/dev/zero", "/nowhere/at/all", "outside")
FOLDERS: dict[str, Callable[[Path], None]] = {
    **{
        f"{each} is a link to {to}": _link(each, to) for each in (*PLACES, *PARTS) for to in TARGETS
    },
    **{f"{each} is a pipe": _pipe(each) for each in (*PLACES, *PARTS)},
    **{f"{each} is a folder": _folder(each) for each in (*PLACES, *PARTS[:2], *PARTS[6:])},
    **{f"{each} is a socket": _socket(each) for each in PLACES},
    **{f"{each} is vast": _sparse(each) for each in PLACES},
    "a link to itself": _link("audio/000001.flac", "job/audio/000001.flac"),
    "a view in the table's place": _sql(
        "ALTER TABLE entry RENAME TO other",
        f"CREATE VIEW entry AS SELECT {COLUMNS} FROM other",  # noqa: S608
    ),
    "a view that never ends": _sql("DROP TABLE entry", FOREVER),
    "a column that is computed": _sql(
        "ALTER TABLE entry ADD COLUMN more TEXT AS (hex(zeroblob(100000000)))"
    ),
    "another table": _sql("CREATE TABLE other (x)"),
    "another trigger": _sql(
        "CREATE TRIGGER evil AFTER INSERT ON entry BEGIN DELETE FROM entry; END"
    ),
    "an index that computes": _sql("CREATE INDEX slow ON entry (length(body))"),
    "no guards": _sql(
        "DROP TRIGGER entry_never_updated",
        "DROP TRIGGER entry_never_deleted",
        "DROP TRIGGER entry_only_appended",
    ),
    "no table": _sql("DROP TABLE entry"),
    "a schema that is no SQL": _sql("UPDATE sqlite_schema SET sql = 'x' WHERE name = 'entry'"),
    "a table at the schema's own page": _sql(
        "UPDATE sqlite_schema SET rootpage = 1 WHERE name = 'entry'"
    ),
    "a virtual table": _sql("DROP TABLE entry", "CREATE VIRTUAL TABLE entry USING fts5(sequence)"),
    "a body of 50 MB": _sql(
        "DROP TRIGGER entry_never_updated",
        "UPDATE entry SET body = hex(zeroblob(25000000)) WHERE sequence = 3",
        "CREATE TRIGGER entry_never_updated BEFORE UPDATE ON entry\n"
        "BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END",
    ),
}
"""Ways in which a folder can be hostile, by what is wrong with it."""
