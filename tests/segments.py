"""Segments, notes and headers of any plausible content, for tests by properties."""

from __future__ import annotations

import string

from hypothesis import strategies as st

from calllog.report import JobHeader
from calllog.values import (
    Booking,
    Conditions,
    CorrectedSegment,
    Corrections,
    Finding,
    Holders,
    LineNote,
    Observation,
    OffsetNote,
    Segment,
    Severity,
    Side,
    Style,
)
from tests.golden.make_segments import HEADER

HUNDREDTHS = st.integers(0, 10_000)
NUMBERS = st.lists(st.integers(1, 9_999), min_size=1, max_size=3).map(tuple)
NAMES = st.text(
    st.sampled_from(string.ascii_letters + string.digits + " =+-@'\",;äß木#|/[]*?:"),
    min_size=1,
    max_size=40,
)
"""Names of points, people and tapes: also such as a spreadsheet might run."""
CODES = st.text(string.ascii_lowercase + "-", min_size=1, max_size=12)
FACTS = st.dictionaries(CODES, st.integers(-9_999, 9_999) | NAMES, max_size=3)
STATED = st.integers(-60_000, 60_000).map(lambda thousandths: thousandths / 1000)
"""What a crew states: decimal, to a thousandth at most."""
OFFSETS_FT = st.floats(-9.0, 9.0)

observations = st.builds(
    Observation,
    whole=st.none() | HUNDREDTHS,
    fraction=st.none() | st.integers(0, 99),
    reading=st.none() | HUNDREDTHS,
    hold=HUNDREDTHS,
    length=HUNDREDTHS,
    calls=NUMBERS,
)
findings = st.builds(
    Finding,
    code=CODES,
    severity=st.sampled_from(Severity),
    pull=st.just(1),
    first=st.none() | HUNDREDTHS,
    second=st.none() | HUNDREDTHS,
    calls=NUMBERS,
    facts=FACTS,
)
conditions = st.builds(
    Conditions,
    temperature_degf=st.none() | STATED,
    tension_lb=st.none() | STATED,
    spans=st.none() | st.integers(0, 9),
    position=st.none() | st.sampled_from(["ground", "knee", "waist", "chest"]),
    rise_ft=st.none() | STATED,
)
corrections = st.builds(
    Corrections,
    standardisation_ft=st.none() | OFFSETS_FT,
    temperature_ft=st.none() | OFFSETS_FT,
    tension_ft=st.none() | OFFSETS_FT,
    sag_ft=st.none() | OFFSETS_FT,
    slope_ft=st.none() | OFFSETS_FT,
    sum_ft=OFFSETS_FT,
)
segments = st.builds(
    Segment,
    pull=st.integers(1, 2_000),
    line_from=NAMES,
    line_to=NAMES,
    tape=NAMES,
    style=st.sampled_from(Style),
    take=observations,
    check=st.none() | observations,
    difference=st.none() | st.integers(-9_999, 9_999),
    length_read_ft=st.floats(0.0, 100.0),
    booking=st.sampled_from(Booking),
    decided_by=NAMES,
    conditions=conditions,
    findings=st.lists(findings, max_size=2).map(tuple),
    superseded=st.lists(observations, max_size=2).map(tuple),
)
corrected_segments = st.builds(
    CorrectedSegment,
    segment=segments,
    corrections=corrections,
    horizontal_ft=st.floats(0.0, 101.0),
    running_total_ft=st.floats(0.0, 100_000.0),
    u_random_ft=st.none() | st.floats(0.0, 1.0),
    u_common_ft=st.none() | st.floats(0.0, 1.0),
    run=st.integers(1, 3),
    day=st.sampled_from(["", "2031-05-04"]),
    held_by=st.builds(
        Holders,
        take_head=st.just("") | NAMES,
        take_rear=st.just("") | NAMES,
        check_head=st.just("") | NAMES,
        check_rear=st.just("") | NAMES,
    ),
)
line_notes = st.builds(
    LineNote,
    line_from=NAMES,
    line_to=NAMES,
    run=st.integers(1, 3),
    note=st.builds(
        OffsetNote,
        station=st.integers(0, 500_000),
        side=st.sampled_from(Side),
        offset=HUNDREDTHS,
    ),
    call=st.integers(1, 9_999),
    clip=st.sampled_from(["", "audio/000007.flac"]),
    time_utc=st.sampled_from(["", "2031-05-04T15:20:00+00:00"]),
)
headers = st.builds(
    lambda job, foot: HEADER.model_copy(update={"job": job, "foot": foot}),
    NAMES,
    st.sampled_from(["international", "us_survey"]),
)


def unguarded(text: str) -> str:
    """Take off the apostrophe that guards a cell of a CSV file."""
    return text.removeprefix("'")


def one_header(job: str) -> JobHeader:
    """Give the golden header with the name of another job."""
    return HEADER.model_copy(update={"job": job})
