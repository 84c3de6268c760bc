"""Make the golden segment logs: ``python -m tests.golden.make_segments FOLDER``.

The scenario is invented. Lengths and corrections are made up in plausible sizes: these files guard
the form of the reports, not the physics. One golden pair stands for each version of the columns and
of the JSON; run the maker and read the difference when a version is raised.
"""

from __future__ import annotations

import sys
from pathlib import Path

from calllog.report import (
    JobHeader,
    MetricJobHeader,
    write_segments_json,
    write_workbook,
)
from calllog.report.header import InstrumentRecord, MemberRecord
from calllog.report.record import note_record, segment_record
from calllog.units import length_ft
from calllog.values import (
    Booking,
    BookPolicy,
    CheckPolicy,
    Conditions,
    CorrectedSegment,
    Corrections,
    DistanceKind,
    Finding,
    Holders,
    LineNote,
    Observation,
    OffsetNote,
    ReadingUnit,
    Remark,
    Segment,
    Severity,
    Side,
    Style,
)
from tests.sheets import write_notes_csv, write_segments_csv

METRE = ReadingUnit.METRE
HEADER = JobHeader(
    job="Millrace 7",
    identity="919108f7-52d1-4320-9bac-f847db4148a8",
    client="The Millrace estate",
    project="=West meadow",
    crew=(
        MemberRecord(role="head", name="J. Marsh"),
        MemberRecord(role="rear", name="T. Fenn"),
        MemberRecord(role="chief", name="R. Field"),
    ),
    instruments=(InstrumentRecord(kind="thermometer", words="no. 7, certificate 31-2"),),
    line="Heron to Alder",
    foot="us_survey",
    tape="T-100-3",
    tolerance_hundredths=1,
    check_policy=CheckPolicy.REQUIRED,
    book_policy=BookPolicy.FIRST,
    software_version="0.1.0",
    engine="keys",
    state_hash="5d" * 32,
    written_utc="2031-05-04T16:40:00+00:00",
)


def added(whole: int, fraction: int, *calls: int) -> Observation:
    """Make an observation with an add tape, from hundredths."""
    return Observation(
        whole=whole,
        fraction=fraction,
        reading=None,
        hold=0,
        length=whole + fraction,
        calls=calls,
    )


SEGMENTS = (
    CorrectedSegment(
        segment=Segment(
            pull=1,
            line_from="Heron",
            line_to="Alder",
            tape="T-100-3",
            style=Style.ADD,
            take=added(1500, 42, 1, 2),
            check=added(1500, 41, 4, 5),
            difference=-1,
            length_read_ft=15.42,
            booking=Booking.AGREED,
            decided_by="policy",
            conditions=Conditions(
                temperature_degf=88.5, tension_lb=20.0, spans=1, position="waist", rise_ft=0.25
            ),
            findings=(),
            superseded=(),
        ),
        corrections=Corrections(
            standardisation_ft=0.00046,
            temperature_ft=0.0020387,
            tension_ft=-0.000001,
            sag_ft=-0.00012,
            slope_ft=-0.002027,
            sum_ft=0.0003507,
        ),
        horizontal_ft=15.4203507,
        running_total_ft=15.4203507,
        day="2031-05-04",
        held_by=Holders(
            take_head="J. Marsh", take_rear="T. Fenn", check_head="T. Fenn", check_rear="J. Marsh"
        ),
        u_random_ft=0.0081,
        u_common_ft=0.00123456,
    ),
    CorrectedSegment(
        segment=Segment(
            pull=2,
            line_from="Heron",
            line_to="Alder",
            tape="T-100-3",
            style=Style.ADD,
            take=added(9900, 7, 11, 12),
            check=added(9800, 7, 14, 15),
            difference=-100,
            length_read_ft=99.07,
            booking=Booking.FIRST,
            decided_by='R. "Field", chief',
            conditions=Conditions(spans=0, position="ground"),
            findings=(
                Finding(
                    code="one-foot",
                    severity=Severity.STOP,
                    pull=2,
                    first=9907,
                    second=9807,
                    calls=(11, 14),
                ),
                Finding(
                    code="long-gap",
                    severity=Severity.NOTE,
                    pull=2,
                    first=None,
                    second=None,
                    calls=(11, 12),
                    facts={"seconds": 600},
                ),
            ),
            superseded=(added(9000, 7, 7, 8), added(9000, 70, 9, 10)),
        ),
        corrections=Corrections(
            standardisation_ft=0.00297,
            temperature_ft=None,
            tension_ft=None,
            sag_ft=None,
            slope_ft=None,
            sum_ft=0.00297,
        ),
        horizontal_ft=99.07297,
        running_total_ft=114.4933207,
        running_kind=DistanceKind.SLOPE,
        day="2031-05-04",
    ),
    CorrectedSegment(
        segment=Segment(
            pull=1,
            line_from="=Heron+1",
            line_to="Höhe, @ 3+00",
            tape="T-100-4",
            style=Style.FULL,
            take=Observation(
                whole=None, fraction=None, reading=10_000, hold=5, length=9995, calls=(17,)
            ),
            check=None,
            difference=None,
            length_read_ft=99.95,
            booking=Booking.UNCHECKED,
            decided_by="policy",
            conditions=Conditions(temperature_degf=-4.0, tension_lb=12.25, spans=4, hold=5),
            findings=(),
            superseded=(),
        ),
        corrections=Corrections(
            standardisation_ft=0.0,
            temperature_ft=-0.0464,
            tension_ft=0.0001,
            sag_ft=-0.0007,
            slope_ft=0.0,
            sum_ft=-0.047,
        ),
        horizontal_ft=99.903,
        running_total_ft=99.903,
        run=2,
        held_by=Holders(take_head="=J. Marsh"),
    ),
)


NOTES = (
    LineNote(
        line_from="Heron",
        line_to="Alder",
        run=1,
        note=OffsetNote(station=12_500, side=Side.RIGHT, offset=1840),
        call=31,
        clip="audio/000031.flac",
        time_utc="2031-05-04T15:20:00+00:00",
    ),
)
REMARKS = tuple(
    Remark(
        line_from="Heron",
        line_to="Alder",
        run=1,
        pull=pull,
        call=call,
        clip=f"audio/{call:06d}.flac",
        time_utc="2031-05-04T15:20:09+00:00",
        note=note,
    )
    for pull, call, note in ((2, 33, 31), (4, 52, None))
)


METRIC = "metric"
METRIC_HEADER = MetricJobHeader.model_validate(
    HEADER.model_dump(exclude={"foot"}) | {"tape": "T-30-3"}
)
METRIC_SEGMENTS = tuple(
    each.model_copy(
        update={
            "segment": each.segment.model_copy(
                update={"length_read_ft": length_ft(each.segment.length_read_ft, METRE)}
            ),
            "horizontal_ft": length_ft(each.horizontal_ft, METRE),
            "running_total_ft": length_ft(each.running_total_ft, METRE),
        }
    )
    for each in SEGMENTS
)
"""The same figures, read in metres."""


def main(folder: Path) -> None:
    """Write all golden segment logs into a folder."""
    metric = folder / METRIC
    metric.mkdir(exist_ok=True)
    write_segments_csv(metric / "segments.csv", METRIC_SEGMENTS, METRIC_HEADER)
    write_segments_json(metric / "segments.json", METRIC_SEGMENTS, METRIC_HEADER, NOTES, REMARKS)
    write_notes_csv(metric / "notes.csv", NOTES, REMARKS, METRIC_HEADER)
    write_segments_csv(folder / "segments.csv", SEGMENTS, HEADER)
    write_segments_json(folder / "segments.json", SEGMENTS, HEADER, NOTES, REMARKS)
    write_notes_csv(folder / "notes.csv", NOTES, REMARKS, HEADER)
    write_workbook(
        folder / "segments.xlsx",
        [(HEADER, segment_record(segment)) for segment in SEGMENTS],
        [(HEADER, note_record(note, REMARKS)) for note in NOTES],
        [HEADER],
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
