"""The JSON segment log: reads back equal, says its version and units, refuses what it is not."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from calllog.errors import ReportError
from calllog.report import SCHEMA_NAME, SegmentLog, read_segments_json, write_segments_json
from calllog.report.segments_json import segments_schema
from tests.golden.make_segments import HEADER, METRIC_HEADER, METRIC_SEGMENTS, SEGMENTS

GOLDEN = Path(__file__).parent / "golden"


def test_written_log_reads_back_equal(tmp_path: Path) -> None:
    """Everything written is got back equal."""
    path = tmp_path / "out.json"
    log = write_segments_json(path, SEGMENTS, HEADER)
    back = read_segments_json(path)
    assert back == log
    assert back.job == HEADER
    for record, corrected in zip(back.segments, SEGMENTS, strict=True):
        assert record.horizontal == corrected.horizontal_ft
        assert record.corrections.model_dump() == corrected.corrections.model_dump()
        assert record.take.length.replace(".", "") == str(corrected.segment.take.length)


def test_golden_log_of_version_1_is_read() -> None:
    """A file as the first calllog wrote it, without uncertainty, stays readable."""
    log = read_segments_json(GOLDEN / "segments-first.json")
    assert log.segments[0].u_random is None
    assert (log.format, log.version, len(log.segments)) == ("calllog-segments", 1, 3)
    second = log.segments[1]
    assert second.check_difference == "-1.00"
    assert [struck.length for struck in second.superseded] == ["90.07", "90.70"]
    assert (second.findings[0].first, second.findings[0].second) == ("99.07", "98.07")
    assert log.segments[2].take.hold == "0.05"
    assert log.segments[2].check is None


def test_golden_log_without_run_and_day_is_read() -> None:
    """A file written before segments said their run and day stays readable."""
    log = read_segments_json(GOLDEN / "segments-second.json")
    assert [(each.run, each.day) for each in log.segments] == [(1, ""), (1, ""), (1, "")]
    assert log.segments[0].u_random == 0.0081
    assert log.job.signed == ()


def test_golden_log_without_names_is_read() -> None:
    """A file written before a job had an identity, facts and names stays readable."""
    log = read_segments_json(GOLDEN / "segments-third.json")
    assert (log.job.identity, log.job.client, log.job.crew) == ("", "", ())
    assert [(each.take_head, each.check_rear) for each in log.segments] == [("", "")] * 3
    assert log.segments[0].day == "2031-05-04"


def test_golden_log_without_kinds_is_read() -> None:
    """A file that says of no length which way it lies stays readable, and says nothing of it."""
    log = read_segments_json(GOLDEN / "segments-fourth.json")
    assert [(each.distance_kind, each.book_policy) for each in log.segments] == [(None, None)] * 3
    assert log.segments[0].take_head == "J. Marsh"


def test_golden_log_without_state_is_read() -> None:
    """A file of before segments said state, times and keys stays readable, version 1."""
    log = read_segments_json(GOLDEN / "segments-fifth.json")
    assert log.version == 1
    assert [(each.state, each.line_key) for each in log.segments] == [((), "")] * 3
    assert log.segments[0].book_policy == "first"


@pytest.mark.parametrize("name", ["", "metric"])
def test_log_of_today_holds_to_the_schema_kept(name: str) -> None:
    """The schema of version 2 as it was first published accepts whatever later fields there are."""
    metric = f"{name}-" if name else ""
    schema = json.loads((GOLDEN / "kept" / f"segments-{metric}2.schema.json").read_text("utf-8"))
    document = json.loads((GOLDEN / name / "segments.json").read_text("utf-8"))
    assert document["$schema"] == SCHEMA_NAME
    assert schema["$id"] == f"urn:calllog-segments{metric and '-metric'}:2"
    validator = Draft202012Validator(schema)
    validator.validate(document)
    document["one_more"] = 1
    document["segments"][0]["one_more"] = {"a": "b"}
    document["job"]["one_more"] = None
    validator.validate(document)


def test_log_with_a_field_of_a_later_program_is_read(tmp_path: Path) -> None:
    """One more field raises no version, so that a reader of today passes over it."""
    text = (GOLDEN / "segments.json").read_text("utf-8")
    (tmp_path / "log.json").write_text(text.replace('"pull": 1', '"later": 0, "pull": 1', 1))
    assert read_segments_json(tmp_path / "log.json") == read_segments_json(GOLDEN / "segments.json")


def test_numbers_carry_no_noise_of_binary_arithmetic(tmp_path: Path) -> None:
    """0.1 + 0.2 is written as 0.3, in feet and in metres."""
    first = SEGMENTS[0].model_copy(update={"horizontal_ft": 0.1 + 0.2})
    write_segments_json(tmp_path / "feet.json", [first], HEADER)
    assert '"horizontal_ft": 0.3,' in (tmp_path / "feet.json").read_text("utf-8")
    write_segments_json(tmp_path / "metres.json", METRIC_SEGMENTS, METRIC_HEADER)
    text = (tmp_path / "metres.json").read_text("utf-8")
    assert max(len(digits) for digits in re.findall(r"\d\.(\d+)", text)) <= 9


def test_golden_log_without_expanded_uncertainty_is_read() -> None:
    """A file that states uncertainties with k = 1 alone stays readable; today k = 2 is beside."""
    log = read_segments_json(GOLDEN / "segments-fifth.json")
    assert [each.u_expanded for each in log.segments] == [None] * 3
    first = read_segments_json(GOLDEN / "segments.json").segments[0]
    assert first.u_random is not None
    assert first.u_common is not None
    assert first.u_expanded == pytest.approx(2 * math.hypot(first.u_random, first.u_common))


def keys_of(schema: dict[str, Any], part: dict[str, Any]) -> set[str]:
    """Name the properties of one part of a schema, which must all be required or constant."""
    properties = part["properties"]
    constant = {name for name in properties if "const" in properties[name]}
    assert set(part["required"]) | constant == set(properties)
    assert part.get("additionalProperties", True) is True
    assert schema["$defs"]
    return set(properties)


def test_schema_beside_the_log_names_every_key(tmp_path: Path) -> None:
    """The schema written beside the log has exactly the keys of the log, level by level."""
    write_segments_json(tmp_path / "out.json", SEGMENTS, HEADER)
    text = (tmp_path / SCHEMA_NAME).read_text(encoding="utf-8")
    assert text == segments_schema()
    schema = json.loads(text)
    log = json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))
    segment = log["segments"][1]
    parts = {
        "JobHeader": log["job"],
        "MemberRecord": log["job"]["crew"][0],
        "InstrumentRecord": log["job"]["instruments"][0],
        "SegmentRecord": segment,
        "ObservationRecord": segment["check"],
        "FindingRecord": segment["findings"][0],
        "ConditionsRecord": segment["conditions"],
        "CorrectionsRecord": segment["corrections"],
    }
    assert keys_of(schema, schema) == set(log)
    for name, value in parts.items():
        assert keys_of(schema, schema["$defs"][name]) == set(value), name


def test_readings_in_the_log_are_exact_text(tmp_path: Path) -> None:
    """Tape readings are decimal text of two digits; computed lengths are JSON numbers."""
    write_segments_json(tmp_path / "out.json", SEGMENTS, HEADER)
    for segment in json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))["segments"]:
        for value in (segment["take"]["length_ft"], segment["take"]["hold_ft"]):
            assert re.fullmatch(r"-?\d+\.\d\d", value)
        assert isinstance(segment["horizontal_ft"], float)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"version": 2', '"version": 3', "version: Input should be 1 or 2"),
        ('"calllog-segments"', '"other"', "format: Input should be 'calllog-segments'"),
        ('"15.42"', "15.42", "segments.0.take.length_ft: Input should be a valid string"),
        ('"15.42"', '"15.4"', "segments.0.take.length_ft: String should match pattern"),
        ('"us_survey"', '"feet"', "job.foot: Input should be 'international' or 'us_survey'"),
        ('"pull": 1', '"pull": "1"', "segments.0.pull: Input should be a valid integer"),
        ("}", "", "the file: Invalid JSON"),
    ],
)
def test_what_is_no_log_is_refused_with_its_place(
    tmp_path: Path, old: str, new: str, words: str
) -> None:
    """A changed or foreign file is refused, the place named."""
    text = (GOLDEN / "segments.json").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "out.json"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(ReportError) as caught:
        read_segments_json(path)
    assert words in caught.value.what
    assert caught.value.where == str(path)
    assert SCHEMA_NAME in caught.value.next_step


def test_a_missing_log_is_reported(tmp_path: Path) -> None:
    """A file that is not there gives a clear error."""
    with pytest.raises(ReportError, match=r"none\.json: the segment log cannot be read"):
        read_segments_json(tmp_path / "none.json")


def test_an_empty_log_is_a_log(tmp_path: Path) -> None:
    """A job without segments gives a log without segments."""
    assert write_segments_json(tmp_path / "out.json", (), HEADER) == SegmentLog(
        job=HEADER, segments=()
    )
    assert read_segments_json(tmp_path / "out.json").segments == ()
