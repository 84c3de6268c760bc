"""The field page in a real browser: no fault of accessibility, no overflow, whole when printed."""

from __future__ import annotations

import shutil
import unicodedata
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, sync_playwright
from pypdf import PdfReader

from calllog.commands.card import card_html
from calllog.office import summarise
from calllog.page import write_pages
from calllog.resources import read_grammar
from calllog.wording import language_words, languages
from tests.fieldjob import field_job, long_job

CHROMIUM = shutil.which("chromium")
PLAIN = ["--no-sandbox", "--disable-gpu"]
"""Chromium as root, and without a graphics card to imitate: that costs a fifth of its time."""
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "rules": {"color-contrast-enhanced": {"enabled": True}},
}
"""Contrast of words is held to 7, not 4.5."""
PHONE, DESK = 390, 1280
IS_CUT = "c => c.scrollWidth > c.clientWidth + 1"
"""Whether what stands in an element needs more room than it has."""
MARGINS_PT = 2 * 9 / 25.4 * 72
"""Of a printed page, left and right."""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="needs the Debian package chromium"),
]


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the pages of the fixed job."""
    job = field_job(tmp_path_factory.mktemp("field") / "job")
    out = tmp_path_factory.mktemp("pages")
    write_pages(job, summarise(job), out)
    return out


@pytest.fixture(scope="module")
def long_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the page of a line of some sheets."""
    job, out = long_job(tmp_path_factory.mktemp("long") / "job"), tmp_path_factory.mktemp("out")
    write_pages(job, summarise(job), out)
    return out / "line-1.html"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Start Chromium without a window."""
    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=PLAIN)
        yield opened
        opened.close()


@pytest.mark.parametrize(("scheme", "width"), [("light", PHONE), ("dark", DESK)])
@pytest.mark.parametrize("name", ["day", "line-1", "line-2", "summary"])
def test_page_has_no_fault(
    pages: Path, browser: Browser, name: str, scheme: Literal["light", "dark"], width: int
) -> None:
    """Axe finds nothing, all folds open; nothing is cut, or has to be moved to be seen."""
    with browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme
    ) as context:
        page = context.new_page()
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.goto((pages / f"{name}.html").as_uri())
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        found: dict[str, Any] = Axe().run(page, options=RULES).response
        faults = [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]]
        assert faults == []
        assert len(found["passes"]) > 20
        for wide in (width, PHONE, DESK):
            page.set_viewport_size({"width": wide, "height": 900})
            assert page.evaluate("document.documentElement.scrollWidth") <= wide
            cells = "[...document.querySelectorAll('.cards td, .cards tbody th, .wide, .drawing')]"
            assert page.evaluate(f"{cells}.filter({IS_CUT}).map(c => c.outerHTML)") == []
        assert asked == [(pages / f"{name}.html").as_uri()], "it fetched something"


@pytest.mark.parametrize("code", languages())
def test_no_column_is_cut_on_a_small_laptop(tmp_path: Path, browser: Browser, code: str) -> None:
    """The field table of a line fits from 1100 px on, in each language."""
    job = field_job(tmp_path / "job")
    write_pages(job, summarise(job), tmp_path / "pages", words=language_words(code))
    page = browser.new_page()
    page.goto((tmp_path / "pages" / "line-1.html").as_uri())
    for width in (1100, 1310, 1320):
        page.set_viewport_size({"width": width, "height": 900})
        sizes = page.evaluate(
            "(each => [each.scrollWidth, each.clientWidth])"
            "(document.querySelector('.wide:has(> table.field)'))"
        )
        assert sizes[0] <= sizes[1], width
    page.close()


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_printed_page_is_whole(pages: Path, long_page: Path, browser: Browser, paper: str) -> None:
    """Each sheet of the field table has its head, no cell is wider than its column."""
    for path in (pages / "line-1.html", long_page):
        page = browser.new_page()
        page.goto(path.as_uri())
        printed = PdfReader(BytesIO(page.pdf(format=paper, landscape=True)))
        sheets = [
            " ".join(unicodedata.normalize("NFKC", sheet.extract_text()).split())
            for sheet in printed.pages
        ]
        with_rows = [text for text in sheets if "First and check agree" in text]
        assert with_rows
        assert all("Running total" in text for text in with_rows)
        page.emulate_media(media="print")
        width = round((float(printed.pages[0].mediabox.width) - MARGINS_PT) * 96 / 72)
        page.set_viewport_size({"width": width, "height": 700})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        cells = "[...document.querySelectorAll('.field td, .field th')]"
        wide = page.evaluate(f"{cells}.filter({IS_CUT}).map(c => c.outerHTML)")
        assert wide == []
        page.close()
    assert len(with_rows) > 1


@pytest.mark.parametrize("name", ["en-us-feet", "es-metric"])
def test_card_is_one_page(browser: Browser, name: str) -> None:
    """What is printed for the pocket is one sheet, in the language with the longest words too."""
    with browser.new_context() as context:
        page = context.new_page()
        page.set_content(card_html(read_grammar(name)))
        assert len(PdfReader(BytesIO(page.pdf(format="Letter"))).pages) == 1
