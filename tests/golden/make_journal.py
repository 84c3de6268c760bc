"""Make the golden journal of schema 1: ``python -m tests.golden.make_journal FOLDER``.

Run once per schema version; a made journal is never made again, later programs must read it. The
scenario is invented.
"""

from __future__ import annotations

import sys
from pathlib import Path

from pydantic import JsonValue

from calllog.journal import Journal

ENTRIES: tuple[tuple[str, JsonValue], ...] = (
    ("opened", {"job": "Millrace 7", "software_version": "0.1.0"}),
    ("line", {"line_from": "Heron", "line_to": "Höhe 3+00"}),
    ("call", {"number": 1, "text": "fifteen", "value": 1500, "probability": 0.984375}),
    ("call", {"number": 2, "text": "forty two", "value": 42, "alternatives": [], "name": None}),
    ("void", [2]),
    ("closed", None),
)


def main(folder: Path) -> None:
    """Write the journal; of the job, ``job.sqlite`` alone is kept."""
    with Journal.create(folder) as journal:
        for number, (kind, body) in enumerate(ENTRIES):
            time = f"2031-05-04T12:00:{number:02}+00:00"
            journal.append(kind, body, time_utc=time, monotonic_s=1000 + number / 3)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
