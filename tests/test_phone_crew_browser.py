"""Crew phones in real browsers, their microphones files, over real TLS and real WebSockets.

Longer trials, with the whole day, cut networks and killed programs, are in
`tests.bench.bench_crew_phones`.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect, sync_playwright

from calllog.office.summary import verify_job
from tests.crew_phones import CHROMIUM, LINE, PATIENCE_MS, CrewOfPhones, voices
from tests.demo.cuts import AGREED_S
from tests.test_phone_browser import SMALL, TARGET_PX, faults

CALLED = [
    ("rear", "eighty three"),
    ("head", "forty four"),
    ("head", "switch ends"),
    ("head", "eighty three"),
    ("rear", "forty four"),
]
"""What is called in the pull, by the script of the recording."""
PAGE_BYTES = 200_000
LOADED = """() => ["navigation", "resource"]
    .flatMap((kind) => performance.getEntriesByType(kind))
    .filter((each) => !each.name.includes("/api/words"))
    .reduce((sum, each) => sum + each.encodedBodySize, 0)"""
"""Counts what the page has loaded, but for the words that the phone fetches once and keeps."""
WIDTHS = (320, 390)
WAITS = "another phone has this place"
LOST = b"was lost"
TRIES = 3
"""A busy computer lets a browser drop sound, which is then asked for again; the crew is a file."""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.live,
    pytest.mark.skipif(CHROMIUM is None, reason="needs the Debian package chromium"),
]


def look(page: Page, seen: str) -> None:
    """See that axe finds nothing, all that is touched is large, and nothing is too wide."""
    assert faults(page) == [], seen
    assert page.evaluate(SMALL, TARGET_PX) == [], seen
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width, seen
    if shots := os.environ.get("CALLLOG_SHOTS"):
        page.screenshot(path=f"{shots}/crew-{seen}.png")


def a_pull(crew: CrewOfPhones, head: Path, rear: Path) -> bool:
    """Let a crew agree and call a pull, and tell whether all its sound arrived."""
    page = crew.open("head", head)
    trust = page.context.new_page()
    trust.goto(f"http://127.0.0.1:{crew.port + 1}/")
    look(trust, "trust")
    assert trust.request.get(trust.url + "calllog-phones.crt").body()[:1] == b"\x30"
    trust.close()
    page.bring_to_front()
    look(page, "consent")
    crew.open("rear", rear)
    assert crew.entries("consent") == []
    assert page.evaluate("() => context === null"), "it captured before it was agreed to"
    crew.begin()
    agreed = [person for each in crew.entries("consent") for person in each["people"]]
    assert sorted(each["name"] for each in agreed) == ["Ash", "Rowan"]
    for key in ("8", "/"):
        page.locator("#keys").get_by_text(key, exact=True).dispatch_event("pointerdown")
    crew.wait(lambda: crew.entries("segment") or LOST in crew.terminal.seen, 90.0)
    return LOST not in crew.terminal.seen


def test_two_phones_are_microphones_ears_and_keys(tmp_path: Path) -> None:
    """A pull by voice comes out as from the recording; then keys, lunch, a rival, and the end."""
    head, rear = voices(LINE.recording, tmp_path, AGREED_S)
    with sync_playwright() as started:
        for number in range(TRIES):
            with CrewOfPhones(started, tmp_path / f"job-{number}") as crew:
                if a_pull(crew, head, rear):
                    work_on(crew)
                    return
    pytest.fail(f"sound was lost in {TRIES} tries of {TRIES}")


def work_on(crew: CrewOfPhones) -> None:
    """See what the pull became; then keys, lunch, a rival, and the end."""
    page = crew.pages["head"]
    calls = [each for each in crew.entries("call") if each["outcome"] == "call"]
    (typed,) = (each for each in calls if each["is_keyed"])
    assert (typed["role"], typed["name"]) == ("head", "add")
    called = [each for each in calls if not each["is_keyed"]]
    assert [(each["role"], each["text"]) for each in called] == CALLED
    assert all(each["clip"] for each in called)
    (segment,) = crew.entries("segment")
    assert (segment["length_read_ft"], segment["booking"]) == (83.44, "agreed")
    crew.wait(lambda: page.evaluate("() => queue.length === 0 && current === null"))
    look(page, "listening")
    assert 10_000 < page.evaluate(LOADED) <= PAGE_BYTES
    page.evaluate("() => take({ mute: true })")
    expect(page.locator("#state")).to_contain_text("NOT LISTENING: nobody called")
    look(page, "muted")
    page.get_by_role("button", name="I am here").click()
    other = page.context.browser.new_context(ignore_https_errors=True, has_touch=True)  # type: ignore[union-attr]
    rival = crew.pair(other, "head", "Fern")
    rival.locator("#agree").click()
    expect(rival.locator("#state")).to_contain_text(WAITS, timeout=PATIENCE_MS)
    look(rival, "waiting")
    crew.terminal.type("t")
    expect(rival.locator("#state")).to_contain_text("Listening", timeout=PATIENCE_MS)
    expect(page.locator("#state")).to_contain_text(WAITS, timeout=PATIENCE_MS)
    crew.terminal.kill()
    expect(rival.locator("#state")).to_contain_text("cannot be reached", timeout=PATIENCE_MS)
    look(rival, "cut-off")
    assert [each["name"] for each in crew.entries("phone_holds")] == ["Ash", "Rowan", "Fern"]
    assert crew.unexpected == []
    assert verify_job(crew.job).ok
