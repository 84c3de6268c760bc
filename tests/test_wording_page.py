"""What the office sees, in every language: complete, with the same figures, and nothing unused."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from calllog.commands.budget import budget_json
from calllog.commands.compare import compare
from calllog.corrections import line_budget
from calllog.office import job_state, summarise
from calllog.page import write_pages
from calllog.resources import PACKAGE
from calllog.session import Job
from calllog.values import ReadingUnit, Severity
from calllog.wording import ENGLISH, HERE, Words, language_words, languages
from tests.catalogues import messages_in
from tests.fieldjob import CHIEF, ODD, TAPE, field_job
from tests.golden.make_segments import SEGMENTS
from tests.metricjob import metric_job
from tests.reading_html import Reader

OTHERS = [each for each in languages() if each != ENGLISH.language]
SECTIONS = (
    "The field page.",
    "A certificate on the page.",
    "What makes the uncertainty; sources are cited as they are.",
    "Plots.",
)
"""Sections of a catalogue that only the office sees."""
ROOMS = ("page", "corrections", "report", "commands")
CODE = re.compile(r'["\']((?:page|plot|budget|improve|source|input)-[a-z-]+)["\']')
INPUT = re.compile(r'Input\(\s*"([a-z-]+)"|\("([a-z-]+)", practice\.')


def sources() -> str:
    """Give the text of all modules and templates that say something to the office."""
    files = [
        path
        for room in ROOMS
        for ending in ("*.py", "*.j2")
        for path in sorted((PACKAGE / room).glob(ending))
    ]
    return "\n".join(path.read_text("utf-8") for path in (*files, PACKAGE / "values.py"))


def said() -> set[str]:
    """List the codes of the messages that the modules and the template name."""
    text = sources()
    inputs = {f"input-{one or other}" for one, other in INPUT.findall(text)}
    parts = {f"input-{part}" for part in ("mean", "spread")}
    return set(CODE.findall(text)) | inputs | parts


def owned() -> set[str]:
    """List the messages of the office's sections."""
    text = (HERE / "en.ftl").read_text("utf-8")
    blocks = {block.partition("\n")[0]: block for block in text.split("\n## ")}
    return {code for section in SECTIONS for code in messages_in(f"## {blocks[section]}")}


def test_every_message_that_the_office_is_told_exists() -> None:
    """A wrong code would show the code in place of words."""
    assert len(said()) > 200
    assert not {code for code in said() if not ENGLISH.knows(code)}


def test_every_message_of_the_page_is_used() -> None:
    """What nobody says any more is taken out of the catalogues."""
    assert len(owned()) > 200
    used = said() | {
        found[1:-1].strip() for found in re.findall(r"\{ [a-z-]+ \}", read_catalogue())
    }
    assert not owned() - used


def read_catalogue() -> str:
    """Read the English catalogue, in which a message may use another."""
    return (HERE / "en.ftl").read_text("utf-8")


class Spy(Words):
    """Messages of a language that remember what was told in English or by its code."""

    untold: list[str]

    def _told(self, code: str, attribute: str, facts: object) -> str:
        if not Words.knows(self, code, attribute) or self._here.find(code) is None:
            self.untold.append(code)
        return super()._told(code, attribute, facts)  # type: ignore[arg-type]


def spy(code: str) -> Spy:
    """Watch a language."""
    made = Spy(code, lambda: (HERE / f"{code}.ftl").read_text("utf-8"), spare=ENGLISH)
    made.untold = []
    return made


@pytest.mark.parametrize("code", OTHERS)
def test_page_of_a_real_job_has_no_english_left(code: str, tmp_path: Path) -> None:
    """Stops, struck values, notes, a corrected certificate: all but names and sources is told."""
    words = spy(code)
    job = field_job(tmp_path / "job")
    written = write_pages(job, summarise(job), tmp_path / "pages", words=words)
    assert words.untold == []
    html = written.files[1].read_text("utf-8")
    assert f'<html lang="{code}">' in html
    text = "".join(Reader(file.read_text("utf-8")).text for file in written.files)
    for name in (ODD, CHIEF, TAPE, "the <office>", "the bench misread it"):
        text = text.replace(name, "")
    for english in ("booked", "known", "Pull", "Take", "Stop", "tolerance", "corrected", "journal"):
        assert english not in text, english
    for english in ("the", "call", "was", "random", "adds", "would", "said", "throughout", "right"):
        assert not re.search(rf"\b{english}\b", text), english
    assert not re.search(r"\b(page|plot|input|budget|finding)-[a-z]", text)


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("make", [field_job, metric_job])
def test_page_has_the_same_figures_in_every_language(
    code: str, make: Callable[[Path], Path], tmp_path: Path
) -> None:
    """Only words differ: every figure of the page stands in the same place."""
    job = make(tmp_path / "job")
    found = [
        [
            re.findall(r"[-+]?\d+\.\d+", Reader(file.read_text("utf-8")).text)
            for file in write_pages(job, summarise(job), tmp_path / each.language, words=each).files
        ]
        for each in (ENGLISH, language_words(code))
    ]
    assert found[0] == found[1]
    *pages, _, _ = found[0]
    assert all(len(figures) > 20 for figures in pages), "summary and distances have fewer"


def test_names_in_a_sentence_are_escaped_once(tmp_path: Path) -> None:
    """A stranger's name inside a message is text, neither a tag nor escaped twice."""
    job = field_job(tmp_path / "job")
    html = write_pages(job, summarise(job), tmp_path / "pages").files[1].read_text("utf-8")
    assert "First kept, decided by &lt;b&gt;R. Field&lt;/b&gt;, chief" in html
    assert "asked: not sure of &lt;u&gt;fifty&lt;/u&gt;; say it again" in html
    assert "&amp;lt;" not in html
    assert "\u2068" not in html


@pytest.mark.parametrize(
    ("calls", "told"), [(1, "1 call of pull 7"), (2, "2 calls of pull 7"), (0, "0 calls of pull 7")]
)
def test_one_and_several_are_told_rightly(calls: int, told: str) -> None:
    """Plurals follow the rules of the language."""
    assert ENGLISH("page-calls-of-pull", calls=calls, pull=7) == told


def test_figures_are_never_grouped() -> None:
    """A number of four digits stands as in the log, in every language."""
    for code in languages():
        assert "1234" in language_words(code)("page-call", number=1234)


def test_budget_as_json_has_words_beside_their_codes(tmp_path: Path) -> None:
    """A program takes the code, a person the sentence; in metres it names metres."""
    summary = summarise(metric_job(tmp_path / "job"))
    segments = [each.segment for each in summary.corrected]
    budget = line_budget(segments, summary.replay.tapes)
    found = budget_json(budget, ReadingUnit.METRE)
    row = next(each for each in found["rows"] if each["input"]["code"] == "input-stiffness")
    assert row["component"] == "stiffness AE, tape M-1"
    assert found["words"][0].startswith("the standard uncertainty of 144.80 m is")
    assert all(each["code"].startswith("improve-") for each in found["prospects"])
    assert "says" not in found


def test_findings_of_the_golden_segments_have_words() -> None:
    """What the log writes for people comes from the catalogue, with the values in it."""
    findings = [each for row in SEGMENTS for each in row.segment.findings]
    assert {each.severity for each in findings} == set(Severity)
    for each in findings:
        assert ENGLISH.knows(f"finding-{each.code}")
        assert ENGLISH.finding(each)


def test_difference_shows_a_finding_in_words_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A pull that a corrected certificate makes impossible is told in words, without its facts."""
    job = field_job(tmp_path / "job")
    since = str(job_state(job).entry)
    with Job.open_existing(job) as opened:
        tape = opened.replay.tapes[TAPE]
        opened.correct_tape(tape.model_copy(update={"weight_lb_per_ft": 0.5}), by="office", why="")
    compare(job, since=since)
    told = capsys.readouterr().out
    assert (
        "words not corrected: at a tension of 20 lb, 99.07 ft of this tape cannot hang in 1 span"
        in told
    )
    assert "remedy measure that pull again, with its tension and support stated" in told
    assert "facts" not in told
