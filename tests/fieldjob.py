"""A small fixed job for the field page: struck values, decisions, notes, sounds, odd names.

Everything is invented. Names are such as a stranger might type to break a page.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import count
from pathlib import Path

from calllog.session import Job
from calllog.tape import PARTED
from calllog.values import (
    CheckPolicy,
    Choice,
    Conditions,
    Decision,
    Expectation,
    Kind,
    LineSettings,
    OffsetNote,
    Outcome,
    Role,
    Side,
    Style,
    message,
)
from tests.crew import made_call
from tests.tapes import certificate

ODD = '<script>alert("1")</script> & $\\frac'
"""Name of a point."""
CHIEF = "<b>R. Field</b>, chief"
TAPE = "T-1 <i>\u202ebent"
"""With a mark that turns the direction of writing."""
KNOWN = Conditions(temperature_degf=88.5, tension_lb=20.0, spans=1, rise_ft=0.25)


@dataclass
class Paper:
    """Writes calls into a job, one second each."""

    job: Job
    first: int = 1
    """Number of the first call that it makes."""

    def __post_init__(self) -> None:
        """Begin to count."""
        self._numbers = count(self.first)
        self._times = count()
        self.job._clock = self.clock

    def clock(self) -> tuple[str, float]:
        """Tell a time that goes on by one second whenever it is asked."""
        second = next(self._times)
        return f"2031-05-04T15:{second // 60:02}:{second % 60:02}+00:00", float(second)

    def call(self, kind: Kind, **changes: object) -> Paper:
        """Call anything."""
        number = next(self._numbers)
        made: dict[str, object] = {
            "source": "paper#0",
            "role": Role.REAR,
            "expects": Expectation.READING,
            "text": str(changes.get("name", "")) or "a reading",
            "probability": 0.97,
        }
        self.job.record(made_call(number, kind, 30.0 * number, **(made | changes)))
        return self

    def read(self, *values: int, **changes: object) -> Paper:
        """Call full readings, hundredths of a foot."""
        for value in values:
            self.call(Kind.READING, value=value, **changes)
        return self

    def full(self, whole: int, hundredths: int) -> Paper:
        """Measure once, as the tape is read: in parts, or as one reading."""
        if self.job.state.settings.style not in PARTED:
            return self.read(whole + hundredths)
        self.call(Kind.WHOLE, value=whole)
        return self.call(Kind.FRACTION, value=hundredths, role=Role.HEAD)

    def say(self, name: str) -> Paper:
        """Say a command."""
        return self.call(Kind.COMMAND, name=name)

    def pull(self, take: int, check: int) -> Paper:
        """Measure a pull twice."""
        return self.read(take).say("switch").read(check)


def settings(line_from: str, line_to: str, **changes: object) -> LineSettings:
    """State a line on the full tape."""
    line = LineSettings(
        line_from=line_from,
        line_to=line_to,
        tape=TAPE,
        style=Style.FULL,
        nominal=100,
        limit=10_000,
    )
    return line.model_copy(update=changes)


def field_job(folder: Path) -> Path:
    """Write the job: a line there, with all that may befall it, and the way back, which waits."""
    tape = certificate(identity=TAPE, certificate_number="C-1")
    with Job.open(folder) as job:
        paper = Paper(job)
        job.begin_line(settings("Heron", ODD), tape)
        job.record(KNOWN)
        paper.read(1542, clip="audio/000001.flac", text="fifteen forty two").say("switch")
        paper.read(1541)
        paper.pull(9907, 9807)
        job.record(Decision(pull=2, choice=Choice.FIRST, by=CHIEF))
        paper.read(3387).say("scratch").pull(3887, 3887)
        paper.pull(4000, 4100).say("again").pull(4100, 4100)
        paper.call(
            Kind.UNCLEAR, outcome=Outcome.ASK, reason=message("not-sure-of", said="<u>fifty</u>")
        )
        job.record(KNOWN.model_copy(update={"tension_lb": 0.2}))
        paper.pull(5000, 5000)
        job.record(KNOWN.model_copy(update={"rise_ft": None}))
        paper.pull(5050, 5050)
        note = OffsetNote(station=12_500, side=Side.RIGHT, offset=1840)
        paper.call(Kind.NOTE, note=note, text="station one plus twenty five", clip="../secret.flac")
        paper.say("remark")
        paper.call(Kind.REMARK, outcome=Outcome.IGNORED, clip="audio/000002.flac")
        paper.say("finish")
        job.begin_line(settings(ODD, "Heron", policy=CheckPolicy.WANTED), tape)
        job.record(KNOWN)
        paper.read(9000).say("next").read(9500).say("next").read(9490).say("next")
        paper.pull(2000, 3000)
        corrected = tape.model_copy(
            update={"certified_length_ft": 100.007, "certificate_number": "C-2"}
        )
        job.correct_tape(corrected, by="the <office>", why="the bench misread it")
        job.audio.mkdir(exist_ok=True)
        (job.audio / "000001.flac").write_bytes(b"sound one")
    return folder


def long_job(folder: Path, pulls: int = 40) -> Path:
    """Write a job of one line of many pulls that agree, most of them nearly a whole tape."""
    tape = certificate(identity="T-100-3")
    with Job.open(folder) as job:
        paper = Paper(job)
        job.begin_line(settings("Heron", "Alder", tape=tape.identity), tape)
        job.record(KNOWN)
        for place in range(pulls):
            reading = 9_999 - 37 * place
            paper.pull(reading, reading)
        paper.say("finish")
    return folder
