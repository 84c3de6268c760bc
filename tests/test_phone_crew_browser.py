"""A crew phone in a real browser, its microphone a file, over real TLS and a real WebSocket.

Longer trials, with two phones, cut networks and killed programs, are in
`tests.bench.bench_crew_phones`.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect, sync_playwright

from calllog.office import verify_job
from tests.crew_phones import CHROMIUM, PATIENCE_MS, CrewOfPhones, spoken
from tests.test_phone_browser import SMALL, TARGET_PX, faults

CLIP = Path(__file__).parent / "audio" / "flite-rms" / "forty_two.flac"
WIDTHS = (320, 390)
WAITS = "another phone has this place"
pytestmark = [
    pytest.mark.slow,
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


def test_phone_is_a_microphone_an_ear_and_keys(tmp_path: Path) -> None:
    """Consent, then its sound is heard as head's, answered in the ear, and its keys are head's."""
    voice = spoken([CLIP], tmp_path / "head.wav")
    words = ("--first", "whole", "--say", "all")
    with sync_playwright() as started, CrewOfPhones(started, tmp_path / "job", words=words) as crew:
        page = crew.open("head", voice)
        trust = page.context.new_page()
        trust.goto(f"http://127.0.0.1:{crew.port + 1}/")
        look(trust, "trust")
        assert trust.request.get(trust.url + "calllog-phones.crt").body()[:1] == b"\x30"
        trust.close()
        page.bring_to_front()
        look(page, "consent")
        assert crew.entries("consent") == []
        assert page.evaluate("() => context === null"), "it captured before it was agreed to"
        crew.begin()
        (consent,) = crew.entries("consent")
        assert consent["people"] == [{"name": "Ash", "role": "head"}]
        crew.wait(lambda: crew.entries("call"), 60.0)
        (call,) = crew.entries("call")
        assert (call["role"], call["text"], call["clip"] != "") == ("head", "forty two", True)
        crew.wait(lambda: page.evaluate("() => queue.length === 0 && current === null"))
        look(page, "listening")
        for key in ("8", "/"):
            page.locator("#keys").get_by_text(key, exact=True).dispatch_event("pointerdown")
        crew.wait(lambda: len(crew.entries("call")) == 2)
        typed = crew.entries("call")[-1]
        assert (typed["role"], typed["name"], typed["is_keyed"]) == ("head", "add", True)
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
        assert [each["name"] for each in crew.entries("phone_holds")] == ["Ash", "Fern"]
        assert crew.unexpected == []
    assert verify_job(crew.job).ok
