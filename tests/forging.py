"""A job in, the same job with other figures and a chain that fits out: what anybody can do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pydantic import JsonValue

from calllog.journal import Entry, Journal, seal, write_database
from calllog.session import Replay
from calllog.session.kinds import FOLLOWS, SignOff, content_of

Resign = Callable[[SignOff, str], SignOff]
"""Makes the sign-off that the forger writes, from one that fits the new chain, and the job."""


def forge(folder: Path, resign: Resign = lambda one, _: one) -> None:
    """Write a job anew with each length a hundredth more, sign-offs kept, all hashes fitting."""
    with Journal.open(folder, read_only=True) as journal:
        old = list(journal.entries())
    new: list[Entry] = []
    again = Replay()

    def put(kind: str, body: JsonValue, like: Entry) -> None:
        after = new[-1] if new else None
        times = {"time_utc": like.time_utc, "monotonic_s": like.monotonic_s}
        new.append(seal(kind, body, after=after, **times))  # type: ignore[arg-type]
        again.feed(new[-1])

    for entry in old:
        if entry.kind in FOLLOWS.values():
            continue  # follows from the calls, and so it does from the changed ones
        body = entry.content
        assert isinstance(body, dict)
        if entry.kind == "call" and body["kind"] == "fraction":
            assert isinstance(body["value"], int)
            body["value"] += 1
        if entry.kind == "signed":
            last = {"entry": new[-1].sequence, "state_hash": new[-1].hash}
            fitting = SignOff.model_validate({**body, **last})
            body = content_of(resign(fitting, again.origin))
        put(entry.kind, body, entry)
        for each in tuple(again.missing):
            put(FOLLOWS[type(each)], content_of(each), entry)
    for name in ("job.sqlite", "job.sqlite-wal", "job.sqlite-shm", "job.last", "job.head"):
        (folder / name).unlink(missing_ok=True)
    write_database(folder, new)
