"""The message catalogues: alike in every language, and every message that is said exists."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fluent.syntax import FluentParser, FluentSerializer, ast

from calllog.errors import GrammarError
from calllog.resources import job_words
from calllog.session import Job
from calllog.values import Finding, message
from calllog.wording import ENGLISH, HERE, Words, language_words, languages
from calllog.wording.catalogue import MOST_KNOWN, _Catalogue
from tests.catalogues import messages_in
from tests.fieldjob import TAPE, Paper, settings
from tests.tapes import certificate

CATALOGUES = {code: (HERE / f"{code}.ftl").read_text("utf-8") for code in languages()}
OTHERS = [code for code in languages() if code != ENGLISH.language]


@pytest.mark.parametrize("code", OTHERS)
def test_every_language_has_the_same_messages_and_facts(code: str) -> None:
    """No message is lacking or left over, and no translation loses a value."""
    assert messages_in(CATALOGUES[code]) == messages_in(CATALOGUES["en"])


@pytest.mark.parametrize("code", languages())
def test_no_message_stands_twice(code: str) -> None:
    """A message given twice would be told by the first alone."""
    found = re.findall(r"(?m)^([a-z][a-z0-9-]*) =", CATALOGUES[code])
    assert len(found) > 400
    assert sorted(found) == sorted(set(found))


@pytest.mark.parametrize("code", OTHERS)
def test_metric_messages_of_a_language_name_no_foot(code: str) -> None:
    """What is said in metres is chosen by the unit, and no variant for metres keeps a foot."""
    metric = re.findall(r"(?m)^\s+\[metre\] (.*)$", CATALOGUES[code])
    assert len(metric) > 50
    foot = re.compile(r"\b(pies?|ft|lb|feet|foot)\b|°F")
    assert not [each for each in metric if foot.search(re.sub(r"\{.*?\}", "", each))]


def test_language_that_is_not_there_is_an_error_that_lists_those_there_are() -> None:
    """No silent English where another language was asked for."""
    with pytest.raises(GrammarError, match=r"no messages in fr; there are: en, es"):
        language_words("fr")


def test_dialect_is_told_as_its_language() -> None:
    """Messages are found by the first part of the code; a job without a grammar is English."""
    assert language_words("es-MX").language == "es"
    assert language_words("en-US") is ENGLISH
    assert job_words("") is ENGLISH
    assert job_words("a-grammar-of-another-program") is ENGLISH


def test_what_a_language_lacks_is_told_in_english_and_what_none_has_by_its_code() -> None:
    """A gap in a catalogue loses no fact."""
    short = Words("xx", lambda: "page-pull = pulla\n", spare=ENGLISH)
    assert short("page-pull") == "pulla"
    assert short("page-call", number=3) == "Call 3"
    assert short("no-such-message", number=3) == "no-such-message (number 3)"


def test_what_was_told_once_is_told_alike_again_and_nothing_else_is() -> None:
    """Facts that are equal to Python are told apart where they are written otherwise."""
    words = Words("en", lambda: "told = { $of } of { $inner }\n")
    facts = (1, 1.5, "1", 0.0, -0.0)
    for _ in range(2):
        told = [words("told", of=fact, inner=message("told", of=fact, inner="x")) for fact in facts]
        assert told == [f"{fact} of {fact} of x" for fact in ("1", "1.5", "1", "0", "-0")]
    plural = Words("en", lambda: "told = { $of ->\n    [one] one\n   *[other] more\n }\n")
    assert [plural("told", of=fact) for fact in (1, 1.0, 1)] == ["one", "more", "one"]
    assert words("told", of=1, inner=message("told", of=2, inner="x")) == "1 of 2 of x"
    assert words("told", of=1, inner=message("told", of=3, inner="x")) == "1 of 3 of x"
    many = [words("told", of=number, inner="x") for number in range(MOST_KNOWN + 5)]
    assert many == [f"{number} of x" for number in range(MOST_KNOWN + 5)]


def test_fact_that_a_message_needs_and_does_not_get_is_no_crash() -> None:
    """A finding of a later program may lack a fact: it is told by its code then."""
    assert ENGLISH.say(message("page-call")) == "page-call"


def test_journal_keeps_codes_and_is_told_in_the_language_of_the_job(tmp_path: Path) -> None:
    """Whatever the language, what follows from the calls is recorded the same, without words."""
    folder = tmp_path / "job"
    with Job.open(folder) as job:
        job.begin_line(settings("Fuente", "Roble"), certificate(identity=TAPE))
        job.begin_sitting({"grammar": "es-feet"})
        Paper(job).read(3387).say("switch").read(3287)
        finding = job.state.findings[-1]
    assert isinstance(finding, Finding)
    assert (finding.code, finding.first, finding.second) == ("one-foot", 3387, 3287)
    with Job.open_existing(folder) as again:
        words = job_words(again.replay.grammar)
    assert words.finding(finding).startswith("primera 33.87, segunda 32.87: justo un pie")
    assert ENGLISH.finding(finding).startswith("first 33.87, check 32.87: exactly one foot apart")


def _serialized(text: str) -> dict[str, str]:
    return {
        entry.id.name: FluentSerializer().serialize_entry(entry)
        for entry in FluentParser(with_spans=False).parse(text).body
        if isinstance(entry, ast.Message)
    }


@pytest.mark.parametrize("code", languages())
def test_messages_read_one_by_one_are_those_of_the_whole_file(code: str) -> None:
    """Each is parsed when it is first wanted, with those that it names."""
    text = CATALOGUES[code]
    catalogue = _Catalogue("en-US", text)
    alone = [_serialized(unread) for unread in catalogue._unread.values()]
    whole = _serialized(re.sub(r"(?m)^#.*\n", "", text))
    assert {name: each for one in alone for name, each in one.items()} == whole
    assert len(whole) > 600
    assert all(catalogue.find(name) is not None for name in whole)
