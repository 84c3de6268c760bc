"""A small fixed job on a metric tape: a stop in metres, a note, conditions, the way back."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from calllog.session import Job
from calllog.values import (
    Choice,
    Conditions,
    Decision,
    Kind,
    LineSettings,
    OffsetNote,
    ReadingUnit,
    Side,
    Style,
)
from tests.fieldjob import CHIEF, Paper
from tests.tapes import metric_tape

TAPE = metric_tape(certified_length_m=30.003, u_certified_length_m=0.0003)


def line(line_from: str = "Heron", line_to: str = "Alder", **changes: object) -> LineSettings:
    """State a line on the metric tape."""
    settled = LineSettings(
        line_from=line_from,
        line_to=line_to,
        tape=TAPE.identity,
        style=Style.FULL,
        nominal=30,
        limit=3000,
        unit=ReadingUnit.METRE,
    )
    return settled.model_copy(update=changes)


def metric_job(folder: Path) -> Path:
    """Write the job."""
    with Job.open(folder) as job:
        paper = Paper(job)
        job.begin_line(line(), TAPE)
        job.begin_sitting({"grammar": "en-metric"})
        job.use_day(date(2131, 5, 4), is_stated=True)
        job.record(Conditions(spans=1))
        for name, amount in (("temperature", 25.0), ("tension", 80.0), ("rise", 1.25)):
            paper.call(Kind.CONDITION, name=name, amount=amount, text=f"{name} {amount:g}")
        paper.pull(2542, 2542)
        paper.pull(2907, 2807)
        job.record(Decision(pull=2, choice=Choice.FIRST, by=CHIEF))
        paper.pull(1800, 1801)
        note = OffsetNote(station=5_000, side=Side.RIGHT, offset=1840)
        paper.call(Kind.NOTE, note=note, text="station zero plus fifty")
        paper.say("finish")
        job.begin_line(line("Alder", "Heron"), TAPE)
        paper.pull(2907, 2907)
        paper.pull(2542, 2543)
        paper.pull(1801, 1801)
        paper.say("finish")
    return folder
