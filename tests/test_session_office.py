"""The office's tables: what must be known first, lines, calls, certificates, and their keys."""

from __future__ import annotations

import csv
import json
import math
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from csvw import CSVW

from calllog.commands.line import line as show_lines
from calllog.commands.report import report
from calllog.corrections import line_budget
from calllog.lines import group_lines
from calllog.office import (
    Summary,
    rescue_job,
    state_facts,
    state_words,
    summarise,
    unfinished_runs,
    write_report,
)
from calllog.report.csv_description import SUFFIX
from calllog.report.segments_csv import SHORT_SHEET
from calllog.session import Job
from calllog.values import Choice, Conditions, Decision, Role
from tests.fieldjob import CHIEF, ODD, Paper, field_job, settings
from tests.metricjob import metric_job
from tests.tapes import certificate
from tests.test_commands_line import write_job

Rows = list[dict[str, str]]


def rows_of(path: Path) -> Rows:
    """Read a CSV back by its header row."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def codes(summary: Summary) -> list[str]:
    """List the codes of what must be known of a job."""
    return [each.code for each in state_facts(summary)]


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Report the job that has all that may befall one."""
    folder = tmp_path_factory.mktemp("office")
    write_report(summarise(field_job(folder / "job")), folder / "out", is_full=True)
    return folder / "out"


def test_a_sound_job_has_nothing_to_be_known_first(tmp_path: Path) -> None:
    """Finished, checked, corrected, nothing decided: no banner."""
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("A", "B", tape="T-1"), certificate())
        job.record(Conditions(temperature_degf=68.0, tension_lb=10.0, spans=0, rise_ft=0.0))
        Paper(job).pull(1542, 1542).say("finish")
    assert codes(summarise(tmp_path / "job")) == []


def test_what_must_be_known_is_told_in_words_of_its_line_and_pulls(tmp_path: Path) -> None:
    """Sounds, two lines of which one is not finished, a decision, corrections not known."""
    facts = state_facts(summarise(field_job(tmp_path / "job")))
    assert [each.code for each in facts] == [
        "sound-changed",
        "sound-lost",
        "unfinished",
        "waits",
        "decided",
        "not-corrected",
        "corrections-unknown",
    ]
    words = dict(zip((each.code for each in facts), state_words(facts), strict=True))
    assert words["unfinished"] == f"{ODD} to Heron: the crew did not finish this line"
    assert words["waits"] == f"{ODD} to Heron: pull 10 waits for a decision"
    assert words["decided"] == f"Heron to {ODD}: after a stop {CHIEF} decided pull 2"
    assert words["corrections-unknown"] == f"Heron to {ODD}: correction for slope not known: pull 6"
    assert words["sound-changed"].startswith("1 sound is not")
    assert words["sound-lost"].startswith("2 sounds of calls")


def test_doubtful_certificate_is_told_before_its_lengths(tmp_path: Path) -> None:
    """A slip in the file, which nobody saw when the work began, or a day that it did not hold for.

    A certified length of 1.00004 ft makes 0.15 ft of 15.42.
    """
    doubtful = certificate(certified_length_ft=1.00004, valid_until="2031-05-03")
    with Job.open(tmp_path / "job") as job:
        job.use_day(date(2031, 5, 4), is_stated=True)
        job.begin_line(settings("A", "B", tape="T-1"), doubtful)
        job.record(Conditions(temperature_degf=68.0, tension_lb=10.0, spans=0, rise_ft=0.0))
        Paper(job).pull(1542, 1542).say("next")
        job.begin_line(settings("B", "C", tape="T-2"), certificate(identity="T-2"))
        job.record(Conditions(rise_ft=0.0))
        Paper(job, first=10).pull(1542, 1542).say("finish")
    facts = [f for f in state_facts(summarise(tmp_path / "job")) if f.code == "certificate"]
    (told,) = state_words(facts)
    assert told == (
        "A to B: the certificate of tape T-1 must be looked at again"
        " (certified_length_ft: 1.00004, valid_until: 2031-05-03): pull 1"
    )


def test_pull_that_was_left_half_measured_is_told(tmp_path: Path) -> None:
    """By another line, or by the end of its own after it was to be measured again."""
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("A", "B", tape="T-1"), certificate())
        paper = Paper(job)
        paper.pull(1542, 1542).read(3387).say("switch")
        job.begin_line(settings("B", "C", tape="T-1"), certificate())
        paper.pull(4711, 4711).read(2200).say("again").say("finish")
        assert job.replay.left == [(("A", "B", 1), 2)]
        found = codes(summarise(tmp_path / "job"))
    assert "left" in found
    told = state_words(state_facts(summarise(tmp_path / "job")))
    assert "A to B: begun and not recorded: pull 2" in told
    assert "B to C: begun and not recorded: pull 4" in told
    with Job.open(tmp_path / "job") as job:
        assert job.replay.left == [(("A", "B", 1), 2)]


def test_rescue_and_change_since_sign_off_are_told_first(tmp_path: Path) -> None:
    """Both are about the whole job; entries are counted right."""
    folder = write_job(tmp_path / "job", ("A:B", [100]), finish=True)
    rescue_job(folder, tmp_path / "new")
    with Job.open(tmp_path / "new") as job:
        job.sign(by="R. Field", day=date(2031, 5, 4))
        job.note("day", {"date": "2031-05-05"})
    facts = state_facts(summarise(tmp_path / "new"))
    assert [each.code for each in facts][:2] == ["rescued", "changed-since-signing"]
    first, second = state_words(facts)[:2]
    assert first.startswith("rescued from job: ")
    assert "no later one is known to be lost, no sound is lost" in first
    assert second == "changed by 1 journal entry since R. Field signed it off on 2031-05-04"


def test_line_left_for_another_is_not_finished(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The last line being finished says nothing of the two before it."""
    folder = write_job(tmp_path / "job", ("A:B", [100]), ("B:C", [100]), ("C:D", [100]))
    with Job.open(folder) as job:
        Paper(job, first=100).say("finish")
    summary = summarise(folder)
    assert unfinished_runs(summary.replay) == (("A", "B", 1), ("B", "C", 1))
    report(folder)
    text = capsys.readouterr().out
    assert "The line is finished" not in text
    assert "2 of 3 lines are not finished." in text
    assert text.index("! A to B: the crew did not finish this line.") < text.index(" 1.00 ")
    rows = rows_of(folder / "out" / "lines.csv")
    assert [row["is_finished"] for row in rows] == ["no", "no", "yes"]
    assert ["unfinished" in row["state_codes"] for row in rows] == [True, True, False]


def test_all_lines_finished_is_said_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And of a single one, what it waits for."""
    report(write_job(tmp_path / "one", ("A:B", [100]), finish=True))
    assert "The line is finished." in capsys.readouterr().out
    report(write_job(tmp_path / "two", ("A:B", [100]), ("B:A", [101]), finish=True))
    assert "All 2 lines are finished." in capsys.readouterr().out


def test_every_table_of_figures_begins_with_the_state(tmp_path: Path) -> None:
    """In short and in full, and beside the line too; certificates are no figures of the job."""
    job = field_job(tmp_path / "job")
    for is_full in (False, True):
        write_report(summarise(job), tmp_path / "out", is_full=is_full)
        for name in ("lines", "segments", "calls", "notes"):
            rows = rows_of(tmp_path / "out" / f"{name}.csv")
            assert next(iter(rows[0])) == "state", name
            assert any("pull 5" in row["state"] for row in rows), name


def test_segments_are_short_and_begin_with_the_state(tmp_path: Path) -> None:
    """Twenty columns by default, all of them on request."""
    summary = summarise(field_job(tmp_path / "job"))
    write_report(summary, tmp_path / "out")
    rows = rows_of(tmp_path / "out" / "segments.csv")
    assert list(rows[0]) == [column.name for column in SHORT_SHEET.columns]
    assert next(iter(rows[0])) == "state"
    assert "correction for slope not known: pull 6" in rows[5]["state"]
    assert "slope" not in rows[0]["state"]
    assert [row["from_station"] for row in rows[:3]] == ["0+00.00", "0+15.42", "1+14.50"]
    for row, corrected in zip(rows, summary.corrected, strict=True):
        if corrected.u_random_ft is not None and corrected.u_common_ft is not None:
            u_ft = math.hypot(corrected.u_random_ft, corrected.u_common_ft)
            assert row["u_expanded_ft"] == f"{2 * u_ft:.5f}"
        assert datetime.fromisoformat(row["recorded_utc"]).utcoffset() is not None
    write_report(summary, tmp_path / "out", is_full=True)
    full = rows_of(tmp_path / "out" / "segments.csv")[0]
    assert len(full) > 50
    assert {name: full[name] for name in rows[0]} == rows[0]


def test_lines_are_those_of_the_line_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Length, uncertainty, closure and 1:N are the figures that `calllog line` shows."""
    folder = write_job(tmp_path / "job", ("A:B", [10_000]), ("B:A", [5000, 5002]), finish=True)
    write_report(summarise(folder), tmp_path / "out")
    show_lines(folder, as_json=True)
    told = json.loads(capsys.readouterr().out)
    first, again = rows_of(tmp_path / "out" / "lines.csv")
    for row, one in zip((first, again), told["lines"], strict=True):
        assert float(row["horizontal_ft"]) == pytest.approx(one["horizontal_ft"], abs=1e-4)
        assert float(row["u_ft"]) == pytest.approx(one["budget"]["u_ft"], abs=1e-5)
        assert float(row["u_expanded_ft"]) == pytest.approx(one["budget"]["expanded_ft"], abs=1e-5)
        exact_n = float(row["horizontal_ft"]) / float(row["u_expanded_ft"])
        assert 0.9 * exact_n <= float(row["one_in"]) <= exact_n
    (closure,) = told["closures"]
    assert (first["closure_ft"], first["closure_with"]) == ("", "")
    assert float(again["closure_ft"]) == pytest.approx(closure["difference_ft"], abs=1e-4)
    assert int(again["closure_one_in"]) == closure["one_in"] == 5000
    assert again["closure_with"] == first["line_key"]


def test_common_uncertainty_is_not_always_the_sum(tmp_path: Path) -> None:
    """Of pulls on two tapes the line's own is less than what its pulls add up to."""
    folder = tmp_path / "job"
    with Job.open(folder) as job:
        for identity in ("T-1", "T-2"):
            tape = certificate(identity=identity, u_certified_length_ft=0.02)
            job.begin_line(settings("A", "B", tape=identity), tape)
            Paper(job, first=1 if identity == "T-1" else 50).pull(9000, 9000)
    summary = summarise(folder)
    write_report(summary, tmp_path / "out")
    (row,) = rows_of(tmp_path / "out" / "lines.csv")
    common_ft = [each.u_common_ft or 0.0 for each in summary.corrected]
    assert float(row["u_common_ft"]) < sum(common_ft) - 1e-4
    (line,) = group_lines(summary.corrected)
    found = line_budget([each.segment for each in line.corrected], summary.replay.tapes)
    assert float(row["u_common_ft"]) == pytest.approx(found.u_common_ft, abs=1e-5)
    described = json.loads((tmp_path / "out" / f"segments.csv{SUFFIX}").read_text("utf-8"))
    assert "in proportion" not in json.dumps(described)


def test_calls_say_when_who_what_and_what_became_of_it(office: Path) -> None:
    """One row a call; those of the first, the check, struck ones and commands are told apart."""
    rows = {int(row["call"]): row for row in rows_of(office / "calls.csv")}
    assert len(rows) == max(rows)
    first = rows[1]
    assert (first["place"], first["pull"], first["value_ft"]) == ("take", "1", "15.42")
    assert (first["text"], first["sound"]) == ("fifteen forty two", "audio/000001.flac")
    assert (first["outcome"], first["probability"], first["is_typed"]) == ("call", "0.97", "no")
    assert datetime.fromisoformat(first["heard_utc"]).utcoffset() is not None
    assert {row["place"] for row in rows.values()} == {"take", "check", "struck", "none"}
    struck = [row for row in rows.values() if row["place"] == "struck"]
    assert ("3", "33.87") in {(row["pull"], row["value_ft"]) for row in struck}
    asked = next(row for row in rows.values() if row["outcome"] == "ask")
    assert asked["reason"]
    segments = {row["pull"]: row for row in rows_of(office / "segments.csv")}
    for pull, segment in segments.items():
        assert segment["take_calls"].split() == [
            str(call) for call, row in rows.items() if (row["place"], row["pull"]) == ("take", pull)
        ]


def test_calls_name_the_caller(tmp_path: Path) -> None:
    """By the crew's names; a phone by its own."""
    with Job.open(tmp_path / "job") as job:
        job.note(
            "about",
            {"crew": [{"role": "head", "name": "J. Marsh"}, {"role": "rear", "name": "T. Fenn"}]},
        )
        job.begin_line(settings("A", "B", tape="T-1"), certificate())
        Paper(job).read(100, role=Role.HEAD).say("next").read(200, source="live-1#phone R. Field")
    write_report(summarise(tmp_path / "job"), tmp_path / "out")
    named = [row["who"] for row in rows_of(tmp_path / "out" / "calls.csv")]
    assert named == ["J. Marsh", "T. Fenn", "R. Field"]


def test_certificates_are_enough_to_work_the_corrections_again(office: Path) -> None:
    """All that was ever in force, which is now, and its figures as they were stated."""
    first, second = rows_of(office / "tapes.csv")
    assert [first["is_in_force"], second["is_in_force"]] == ["no", "yes"]
    assert first["replaced_by"] == second["certificate_key"]
    assert (first["certificate_number"], second["certificate_number"]) == ("C-1", "C-2")
    assert (second["certified_length_ft"], second["by"]) == ("100.007", "the <office>")
    assert (second["alpha_per_degf"], second["certified_spans"]) == ("0.00000645", "0")
    for row in rows_of(office / "segments.csv"):
        assert row["certificate_key"] == second["certificate_key"]
        length = float(row["length_read_ft"])
        share = (float(second["certified_length_ft"]) - 100) / 100
        if row["standardisation_ft"]:
            assert float(row["standardisation_ft"]) == pytest.approx(length * share, abs=1e-5)


def test_text_columns_hold_text_and_length_columns_one_length(office: Path) -> None:
    """No cell of a column in feet is anything but one number."""
    for name in ("segments", "lines", "calls", "tapes", "notes"):
        described = json.loads((office / f"{name}.csv{SUFFIX}").read_text("utf-8"))
        for column in described["tableSchema"]["columns"]:
            if column["name"].endswith("_ft") and "_per_" not in column["name"]:
                assert (column["datatype"], "separator" in column) == ("decimal", False)
                for row in rows_of(office / f"{name}.csv"):
                    assert not row[column["name"]] or float(row[column["name"]]) is not None


def test_keys_join_all_tables_and_never_change(tmp_path: Path) -> None:
    """Every key named in a table stands in the one it is of; going on with a job changes none."""
    folder = field_job(tmp_path / "job")
    write_report(summarise(folder), tmp_path / "before")
    with Job.open(folder) as job:
        job.record(Decision(pull=10, choice=Choice.FIRST, by="the chief"))
        job.begin_line(settings("Oak", "Ash"), job.replay.tapes[settings("Oak", "Ash").tape])
    write_report(summarise(folder), tmp_path / "after")
    lines = rows_of(tmp_path / "after" / "lines.csv")
    keys = {row["line_key"] for row in lines}
    assert len(keys) == len(lines) == 3
    assert (lines[-1]["pulls"], lines[-1]["horizontal_ft"]) == ("0", "")
    tapes = {row["certificate_key"] for row in rows_of(tmp_path / "after" / "tapes.csv")}
    for row in rows_of(tmp_path / "after" / "segments.csv"):
        assert row["line_key"] in keys
    for row in rows_of(tmp_path / "after" / "calls.csv"):
        assert row["line_key"] in keys
    for row in lines[:2]:
        assert set(row["certificate_keys"].split(" | ")) <= tapes
    before = rows_of(tmp_path / "before" / "segments.csv")
    after = rows_of(tmp_path / "after" / "segments.csv")
    for old, new in zip(before, after, strict=False):
        assert (old["line_key"], old["job_id"]) == (new["line_key"], new["job_id"])


@pytest.mark.parametrize("make", [field_job, metric_job])
def test_tables_hold_to_the_standard_with_their_keys(make: Any, tmp_path: Path) -> None:  # noqa: ANN401 - two makers
    """A validator of CSVW finds nothing wrong in any table, nor in all of them together."""
    out = tmp_path / "out"
    write_report(summarise(make(tmp_path / "job")), out)
    for name in ("segments", "lines", "calls", "tapes", "notes"):
        assert CSVW(str(out / f"{name}.csv{SUFFIX}"), validate=True).is_valid, name
    group = CSVW(str(out / "csv-metadata.json"), validate=True)
    assert group.is_valid
    assert group.warnings == []
    document = json.loads((out / "csv-metadata.json").read_text("utf-8"))
    named = {
        (table["url"], key["columnReference"][0], key["reference"]["resource"])
        for table in document["tables"]
        for key in table["tableSchema"]["foreignKeys"]
    }
    assert ("segments.csv", "line_key", "lines.csv") in named
    assert ("segments.csv", "certificate_key", "tapes.csv") in named
    assert ("calls.csv", "line_key", "lines.csv") in named
