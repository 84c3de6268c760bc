"""A crew that works in another language: the commands as they are typed, from first key to page."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from calllog.demo import load_day
from calllog.office import replay_job
from calllog.office.summary import verify_job
from calllog.session.reread import grammar_of
from calllog.wording import ENGLISH
from tests.commanding import run
from tests.reading_html import Reader
from tests.terminal import Terminal, wait_for

TAPE = str(load_day().lines[1].tape)
"""It cuts."""
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(Path(__file__).parent.parent)}


@pytest.mark.slow
def test_spanish_crew_types_a_line_and_gets_its_page(tmp_path: Path) -> None:
    """Prompts, questions, stop, decision and page are Spanish; the journal proves itself."""
    job = tmp_path / "dia"
    kit = ("--tape", TAPE, "--line", "Fuente:Roble", "--keys-only", "--output", "none")
    live = Terminal(ENVIRONMENT, "listen", str(job), "--grammar", "es-feet", *kit)
    try:
        wait_for(lambda: b"trasero: el pie entero" in live.seen, live)
        live.type("16\r5\r")
        wait_for(lambda: b"5 puede ser .05 o .50; diga" in live.seen, live)
        live.type("58\r")
        wait_for(lambda: b"16.58 o 58.16? digan la lectura entera" in live.seen, live)
        live.type("16.58\r+17\r58\r")
        wait_for(lambda: b"justo un pie de diferencia" in live.seen, live)
        live.type("0/\r16\r58\r")
        wait_for(lambda: b"16, .58: diga cinta que resta o" in live.seen, live)
        live.type("7/+16\r58\r9/")
        wait_for(lambda: "la línea está terminada".encode() in live.seen, live)
        assert live.end() == 0
        assert "1 tramo anotado; la línea está terminada.".encode() in live.seen
    finally:
        live.close()
    assert grammar_of(job) == "es-feet"
    assert verify_job(job).ok
    (segment,) = replay_job(job).segments
    assert segment.length_read_ft == 15.42
    told = [ENGLISH.finding(each) for each in segment.findings]
    apart = "first 15.42, check 16.42: exactly one foot apart"
    assert [each.startswith(apart) for each in told].count(True) == 1
    again = Terminal(ENVIRONMENT, "listen", str(job), *kit)
    try:
        wait_for(lambda: b"se sigue: el tramo 2" in again.seen, again)
        assert again.end() == 0
    finally:
        again.close()
    assert run("page", str(job)).returncode == 0
    page = Reader((job / "out" / "page" / "line-1.html").read_text("utf-8")).text
    assert "Libreta de campo de Fuente a Roble" in page
    assert "justo un pie de diferencia" in page
    assert "15.42" in page
    assert run("page", str(job), "--language", "en").returncode == 0
    page = Reader((job / "out" / "page" / "line-1.html").read_text("utf-8")).text
    assert "Field notes of Fuente to Roble" in page


def test_english_engine_refuses_spanish_and_says_what_to_do(tmp_path: Path) -> None:
    """Its model knows English alone; nothing is begun, and the ways out are named, in Spanish."""
    line = load_day().lines[1]
    done = run(
        *("listen", str(tmp_path / "job"), "--grammar", "es-feet", "--tape", TAPE),
        *("--line", line.name, "--from", str(line.recording), "--engine", "numbers"),
    )
    assert done.returncode == 1
    refused = "el modelo de números solo oye inglés, no la gramática es-feet (es)"
    assert refused in done.stderr
    for way in ("models/README.md", "--engine vosk", "--keys-only"):
        assert way in done.stderr
    assert not (tmp_path / "job").exists()


def test_grammar_and_language_that_are_not_there_are_refused(tmp_path: Path) -> None:
    """Both errors list what there is."""
    line = ("--tape", TAPE, "--line", "A:B", "--keys-only")
    done = run("listen", str(tmp_path / "job"), "--grammar", "fr-feet", *line)
    assert done.returncode == 1
    assert "es-feet" in done.stderr
    done = run("card", "--grammar", "fr-feet", "--out", str(tmp_path / "card.html"))
    assert done.returncode == 1
    assert not (tmp_path / "card.html").exists()
