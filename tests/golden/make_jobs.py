"""Make the golden jobs of a released version: ``python -m tests.golden.make_jobs FOLDER``.

Two jobs with all that a journal may hold, one in feet and one in metres, kept as bytes, and
``read.json``: what the program that made them read in them. Later programs must read the same.

They are made once for each released form of the journal and never again. To add the next one, when
`calllog.journal.ENTRY_VERSION`, `SCHEMA_VERSION` or what an entry's body means has changed:

1. change the jobs below, so that they hold what is new, with the program that is released;
2. ``python -m tests.golden.make_jobs tests/golden/jobs_N``, N one more than the last;
3. leave all folders before it as they are; `tests/test_journal_golden.py` reads each of them.

The scenario is invented.
"""

from __future__ import annotations

import json
import sys
from datetime import date
from hashlib import sha256
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from pydantic import JsonValue

from calllog.office import expunge, summarise
from calllog.office.expunging import wanted
from calllog.report.record import document_of, segment_record
from calllog.session import Job
from calllog.session.keys import SigningKey
from calllog.values import (
    Alternative,
    BookPolicy,
    CheckPolicy,
    Choice,
    Conditions,
    Decision,
    Expectation,
    Kind,
    OffsetNote,
    Outcome,
    Role,
    Side,
    Style,
    message,
)
from tests.consenting import agree
from tests.fieldjob import KNOWN, Paper, settings
from tests.metricjob import metric_job
from tests.tapes import certificate

FULL = certificate(identity="T-100-3", certificate_number="C-1")
ADD = certificate(identity="T-100-4", style=Style.ADD)
CHIEF = "R. Field, chief"
PHONE = "Chief's phone"
DAY = date(2131, 5, 4)
KEY = SigningKey(Ed25519PrivateKey.from_private_bytes(bytes(range(32))))
"""Signs golden jobs alone."""
ABOUT: dict[str, JsonValue] = {
    "client": "Alder Valley Mill",
    "project": "race and dam",
    "crew": [{"role": "head", "name": "Ash"}, {"role": "rear", "name": "Rowan"}],
    "instruments": [{"kind": "thermometer", "words": "no. 7"}],
    "by": "Rowan",
    "at_start": True,
}
STAMP: dict[str, JsonValue] = {
    "time_utc": "2131-05-05T08:00:00+00:00",
    "authority": "CN=A time stamp authority of tests",
    "response": "AAAA",
}
"""What an authority said of it; a replay does not look into its answer."""
DECODING = 2
"""Edition of the joint decoding, the newest when these jobs were made."""


def feet_job(folder: Path) -> Path:
    """Write the job in feet: struck calls, stops, decisions, notes, a phone, sign-offs.

    Facts, consent, a removal, a signature and a time stamp too.
    """
    with Job.open(folder) as job:
        paper = Paper(job)
        job.note("about", ABOUT)
        agree(job, until=date(2132, 5, 4))
        job.begin_line(settings("Heron", "Alder", tape=FULL.identity), FULL)
        job.use_day(DAY, is_stated=True)
        job.use_engine("an engine 1.0", "en-us-feet")
        job.begin_sitting({"keypads": ["terminal"], "grammar": "en-us-feet", "stated": {}})
        job.record(KNOWN)
        paper.read(1542, **_sound(job, 1)).say("switch").read(1541, **_sound(job, 3))
        paper.read(3387).say("scratch").pull(3887, 3887)
        paper.pull(9907, 9807)
        job.record(Decision(pull=3, choice=Choice.FIRST, by=CHIEF))
        paper.pull(4000, 4100).say("again").pull(4100, 4100)
        paper.call(Kind.UNCLEAR, outcome=Outcome.ASK, reason=message("not-sure-of", said="fifty"))
        paper.call(Kind.CONDITION, name="temperature", amount=91.0, text="temperature nine one")
        paper.read(5000).read(5100, is_keyed=True, source="live-1#keys").say("switch").read(5100)
        note = OffsetNote(station=12_500, side=Side.RIGHT, offset=1840)
        paper.call(Kind.NOTE, note=note, text="station one plus twenty five", **_sound(job, 28))
        paper.say("remark").call(Kind.REMARK, outcome=Outcome.IGNORED, **_sound(job, 30))
        job.note("phone_paired", {"name": PHONE, "secret_sha256": "5d" * 32})
        paper.pull(6000, 6010)
        job.note("phone_asked", {"name": PHONE, "id": "a1", "kind": "decide"})
        job.record(Decision(pull=6, choice=Choice.CHECK, by=PHONE))
        job.note("phone_revoked", {"name": PHONE, "by": "logger"})
        expunge(job, wanted(job, [3]), by="the office", why="asked for by letter")
        paper.say("finish")
        added = {"tape": ADD.identity, "style": Style.ADD, "book": BookPolicy.MEAN}
        job.begin_line(settings("Alder", "Höhe 3+00", policy=CheckPolicy.WANTED, **added), ADD)
        job.record(Conditions(temperature_degf=88.5, tension_lb=20.0, spans=0, position="ground"))
        for whole, hundredths in ((98, 7), (98, 8)):
            paper.call(Kind.WHOLE, value=whole * 100, expects=Expectation.WHOLE)
            paper.call(Kind.FRACTION, value=hundredths, role=Role.HEAD)
            if hundredths == 7:
                paper.say("switch")
        paper.call(Kind.WHOLE, value=1500).call(Kind.FRACTION, value=42, role=Role.HEAD).say("next")
        paper.say("finish")
        job.sign(by="the office", day=DAY, remark="checked against the field page", key=KEY)
        signed = job.replay.signed[-1]
        stamp = {"entry": signed.entry, "state_hash": signed.state_hash, **STAMP}
        job.note("stamped", stamp)
        job.begin_line(settings("Alder", "Heron", tape=FULL.identity, decoding=DECODING), FULL)
        for sure, is_live in ((0.9, False), (0.9999, True)):
            likely = tuple(
                Alternative(text=text, kind=Kind.READING, value=value, probability=probability)
                for text, value, probability in (
                    ("forty one", 4100, sure),
                    ("forty four", 4400, 1 - sure),
                )
            )
            called = {"alternatives": likely, "probability": sure, "is_live": is_live}
            paper.read(4100, **called).say("switch").read(4100, **called)
            if not is_live:
                job.record(Decision(pull=9, choice=Choice.FIRST, by=CHIEF))
        corrected = FULL.model_copy(
            update={"certified_length_ft": 100.007, "certificate_number": "C-2"}
        )
        job.correct_tape(corrected, by="the office", why="the bench misread it")
        job.sign(by="the office", day=DAY)
    return folder


def read_back(folder: Path) -> dict[str, JsonValue]:
    """Read all that matters in a job, as JSON."""
    summary = summarise(folder)
    again, unit = summary.replay, summary.header.unit_read
    found = {
        "state_hash": summary.header.state_hash,
        "opened": again.opened.model_dump(mode="json") if again.opened else None,
        "identity": again.identity,
        "about": again.about.model_dump(mode="json"),
        "held_by": [each.model_dump(mode="json") for each in again.held_by],
        "segments": [each.model_dump(mode="json") for each in again.segments],
        "corrected": [document_of(segment_record(each, unit), unit) for each in summary.corrected],
        "runs": again.runs,
        "booked_on": again.booked_on,
        "calls": [each.model_dump(mode="json") for each in again.calls],
        "notes": [each.model_dump(mode="json") for each in again.notes],
        "remarks": [each.model_dump(mode="json") for each in again.remarks],
        "signed": [
            [one.model_dump(mode="json", exclude_unset=True), again.later(one)]
            for one in again.signed
        ],
        "editions": {
            name: [one.model_dump(mode="json") for one in editions]
            for name, editions in again.editions.items()
        },
        "stamps": [each.model_dump(mode="json") for each in again.stamps],
        "removed": [each.body.model_dump(mode="json") for each in again.voices.removed],
        "asked_by": again.asked_by,
        "phones": {key: each.model_dump() for key, each in again.phones.items()},
    }
    value: dict[str, JsonValue] = json.loads(json.dumps(found, ensure_ascii=False))
    return value


def _sound(job: Job, number: int) -> dict[str, object]:
    """Keep a sound in the job, and name it."""
    name, data = f"audio/{number:06d}.flac", b"sound %d" % number
    (job.folder / name).write_bytes(data)
    return {"clip": name, "clip_sha256": sha256(data).hexdigest()}


def main(folder: Path) -> None:
    """Write both jobs and what is read in them; of the journal, the database alone is kept."""
    folder.mkdir()
    found = {}
    for name, make in (("feet", feet_job), ("metric", metric_job)):
        make(folder / name)
        found[name] = read_back(folder / name)
        for path in (folder / name / "job.lock", folder / name / "job.last"):
            path.unlink()
    text = json.dumps(found, ensure_ascii=False, indent=1, sort_keys=True)
    (folder / "read.json").write_text(f"{text}\n", "utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
