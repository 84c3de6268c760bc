"""The command `listen`, noting when calls ended, what was said in which ear, and when that began.

    python -m tests.bench.noting NOTES listen ...

A note is a line of JSON.
"""

from __future__ import annotations

import json
import os
import sys
import time
from itertools import takewhile
from pathlib import Path
from typing import Any
from unittest import mock

from calllog import cli
from calllog.live import FieldLoop
from calllog.phone.crew_desk import CrewDesk
from calllog.server.messages import Began
from calllog.session import Told
from calllog.values import Role

TAKEN = "end of speech to call taken"
ON_WAY = "message to first sound"
IN_EAR = "end of speech to the other's ear"
"""What is measured of each call or saying [ms]."""


def listen(notes: Path, *words: str) -> None:
    """Work as the command does, and note."""

    def note(**row: Any) -> None:  # noqa: ANN401
        with notes.open("a", encoding="utf-8") as file:
            file.write(json.dumps({"run": os.getpid(), **row}) + "\n")

    told, tell, take = FieldLoop._told, CrewDesk.tell, CrewDesk.take

    def noted_call(loop: FieldLoop, each: Told) -> None:
        begun_s = time.monotonic() - loop._microphones.now_s
        ended_s = begun_s + (each.call.end_s or 0.0)
        if not each.call.is_keyed:
            note(what="call", ended_s=ended_s, role=each.call.role, told_s=time.monotonic())
        told(loop, each)

    def noted_say(desk: CrewDesk, role: Role, text: str) -> None:
        tell(desk, role, text)
        if "say" in (said := json.loads(text)):
            note(what="say", number=said["say"], role=role, at_s=time.monotonic())

    def noted_began(desk: CrewDesk, sent: Any) -> Any:  # noqa: ANN401
        if isinstance(sent, Began):
            note(what="began", number=sent.saying, at_s=sent.at_s)
        return take(desk, sent)

    sys.argv = ["calllog", *words]
    with (
        mock.patch.object(FieldLoop, "_told", noted_call),
        mock.patch.object(CrewDesk, "tell", noted_say),
        mock.patch.object(CrewDesk, "take", noted_began),
    ):
        cli.main()


def delays(notes: Path) -> dict[str, list[float]]:
    """Measure from the end of speech to the first sound in the other's ear, each call [ms]."""
    rows = [json.loads(row) for row in notes.read_text("utf-8").splitlines()]
    began = {(row["run"], row["number"]): row["at_s"] for row in rows if row["what"] == "began"}
    on_way = [
        1000 * (began[row["run"], row["number"]] - row["at_s"])
        for row in rows
        if row["what"] == "say" and (row["run"], row["number"]) in began
    ]
    heard, whole = [], []
    for place, row in enumerate(rows):
        if row["what"] != "call":
            continue
        heard.append(1000 * (row["told_s"] - row["ended_s"]))
        follows = takewhile(lambda each: each["what"] != "call", rows[place + 1 :])
        said = (each for each in follows if each["what"] == "say" and each["role"] != row["role"])
        after: dict[str, Any] = next(said, {})
        if (at_s := began.get((row["run"], after.get("number")))) is not None:
            whole.append(1000 * (at_s - row["ended_s"]))
    return {TAKEN: heard, ON_WAY: on_way, IN_EAR: whole}


if __name__ == "__main__":
    listen(Path(sys.argv[1]), *sys.argv[2:])
