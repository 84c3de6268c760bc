"""The phones' pages in a real browser, in every language: nothing of another one is to be seen.

The server is stood in for: it gives the pages, and one state of a job that has stopped.
`CALLLOG_SHOTS=FOLDER` writes what they look like.
"""

from __future__ import annotations

import json
import os
import re
import shutil
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect, sync_playwright

from calllog.pairing import Event
from calllog.panel import say_view
from calllog.panel.view import view_of
from calllog.phone.cards import Cards
from calllog.phone.shown import shown
from calllog.resources import read_grammar
from calllog.server.offered import Offered
from calllog.server.wording import STATIC, page_text
from calllog.session import Replay
from calllog.spoken import Parser
from calllog.values import Role
from calllog.wording import ENGLISH, languages
from tests.crew import Crew, settings
from tests.panel import CONDITIONS
from tests.test_page_browser import PLAIN

CHROMIUM = shutil.which("chromium")
ORIGIN = "https://192.168.4.1:8421"
SCREEN = {"width": 360, "height": 740}
GRAMMARS = {"en": "en-us-feet", "es": "es-feet"}
SAID = {
    "en": ("thirty three", "eighty seven", "switch ends", "thirty two", "wait a minute"),
    "es": ("treinta y tres", "ochenta y siete", "cambiar extremos", "treinta y dos", "espera"),
}
"""The same of each: a whole mark, hundredths, the change of ends, another mark, talk."""
NAMES = {"A", "B", "T", "Anna", "k7f3", "ft", "s", "calllog", "Ash", "JavaScript", "Enter", "Pad"}
"""What is the same in every language: names, units, the key as it is marked."""

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="needs the Debian package chromium"),
]


@pytest.fixture(scope="module")
def browsers() -> Iterator[Any]:
    """Start a browser."""
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=PLAIN)
        yield browser
        browser.close()


def job(language: str) -> Replay:
    """Record a pull that agreed, and one that stopped a foot apart."""
    whole, part, switch, other, _ = SAID[language]
    first = (f"r: {whole}", f"h: {part}", f"h: {switch}")
    crew = Crew(Parser(read_grammar(GRAMMARS[language])), settings())
    crew.say(*first, f"h: {whole}", f"r: {part}", *first, f"h: {other}", f"r: {part}")
    replay = Replay()
    replay.begin_line(crew.line)
    events: tuple[Event, ...] = (CONDITIONS, *crew.heard)
    for event in events:
        replay.record(event)
    return replay


def answers(language: str) -> dict[str, tuple[str, str]]:
    """Give what the server answers, by path: text and its type."""
    grammar, replay = read_grammar(GRAMMARS[language]), job(language)
    view = say_view(view_of(replay, grammar.commands, {}, is_live=True), grammar.words)
    cards = Cards(grammar.words)
    (past,) = cards.follow(replay, grammar.unit, may_hear=True)
    state = asdict(shown(view, replay, grammar.words)) | {"past": cards.changes, "id": "1-1"}
    row = {"code": "1", "name": "1", "words": "1", "range": "1"}
    me = {"name": "Anna (k7f3)", "token": "0", "conditions": [row]}
    told = Offered(
        roles=(Role.HEAD,), language=language, keeps=True, listeners=("crew",), words="{}"
    ).told(Role.HEAD, "Ash", "Ash (k7f3)")
    spoken: dict[str, object] = {"spans": {}, "keys": [], "tones": {}}
    return {
        "api/events": (f"event: state\ndata: {json.dumps(state)}\n\n", "text/event-stream"),
        "api/me": (json.dumps(me), "application/json"),
        "api/past": (f'{{"first":0,"cards":[{",".join(past.cards)}]}}', "application/json"),
        "api/offered": ('["head","rear"]', "application/json"),
        "api/crew": (json.dumps({**told, "token": "0", "spoken": spoken}), "application/json"),
    }


def opened(browsers: Any, name: str, language: str) -> Page:  # noqa: ANN401 - Playwright's own
    """Open a page as it is served, on a screen as wide as a small phone's."""
    answered = answers(language)
    html = page_text(name, read_grammar(GRAMMARS[language]).words, {"page": "", "fingerprint": ""})

    def serve(route: Route) -> None:
        path = route.request.url.removeprefix(ORIGIN).lstrip("/").partition("?")[0]
        if not path:
            route.fulfill(body=html, content_type="text/html; charset=utf-8")
        elif path in answered:
            body, kind = answered[path]
            route.fulfill(body=body, content_type=f"{kind}; charset=utf-8")
        elif (STATIC / path).is_file():
            route.fulfill(path=STATIC / path)
        else:
            route.fulfill(status=404)

    page: Page = browsers.new_page(viewport=SCREEN)
    page.route("**/*", serve)
    page.goto(ORIGIN)
    return page


def seen(browsers: Any, name: str, language: str) -> set[str]:  # noqa: ANN401
    """List the lines that a page shows, with all that it hides opened, and what it reads out."""
    page = opened(browsers, name, language)
    if name == "phone.html":
        expect(page.locator("#decide")).to_be_visible()
        expect(page.locator("#past .card")).to_have_count(1)
    elif name == "crew.html":
        expect(page.locator("#agree")).to_be_visible()
    elif name == "pair.html":
        expect(page.locator("#roles")).to_be_visible()
    if shots := os.environ.get("CALLLOG_SHOTS"):
        page.screenshot(path=f"{shots}/{language}-{name}.png", full_page=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= SCREEN["width"]
    page.evaluate(
        """() => {
            for (const each of document.querySelectorAll("[hidden]")) each.hidden = false;
            for (const each of document.querySelectorAll("details")) each.open = true;
            for (const each of document.querySelectorAll("dialog")) each.show();
        }"""
    )
    if shots:
        page.screenshot(path=f"{shots}/{language}-{name}-opened.png", full_page=True)
    lines = page.evaluate(
        """() => [document.body.innerText, ...[...document.querySelectorAll("[aria-label], [alt]")]
            .map((each) => each.getAttribute("aria-label") || each.getAttribute("alt"))]"""
    )
    page.close()
    return {line.strip() for each in lines for line in each.splitlines() if line.strip()}


@pytest.mark.parametrize("name", ["phone.html", "pair.html", "crew.html", "trust.html"])
@pytest.mark.parametrize("code", [each for each in languages() if each != ENGLISH.language])
def test_no_line_of_a_page_is_told_in_english(browsers: Any, name: str, code: str) -> None:  # noqa: ANN401
    """Of what two languages show alike nothing is left but figures, names and units."""
    english, other = (seen(browsers, name, each) for each in (ENGLISH.language, code))
    assert len(english) > 8
    alike = {
        re.sub(r"[^\W\d_]+", lambda f: "" if f[0] in NAMES else f[0], e) for e in english & other
    }
    assert not {each for each in alike if re.search(r"[^\W\d_]{2,}", each)}
