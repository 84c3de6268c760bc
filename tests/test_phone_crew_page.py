"""The crew's page by itself in a real browser: where it says that sound is missing, and reopening.

The page's own script runs on a clock and frames of the test; no logger, nothing in real time.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, Route, sync_playwright

from calllog.server.frames import FRAME, FRAME_S, RATE_HZ, read_frame
from calllog.server.wording import STATIC, page_text
from calllog.wording import ENGLISH

CHROMIUM = shutil.which("chromium")
ORIGIN = "https://192.168.4.1:8421"
STANDS = """() => {
    performance.now = () => 1000 * clock;
    globalThis.clock = 0;
    globalThis.sent = [];
    const spoken = { keys: [], tones: {}, spans: {}, deaf: [], back: [] };
    me = { role: "head", name: "Ash", spoken };
    context = { currentTime: 0, state: "running", resume: () => {} };
    heardS = Infinity;
    line = { readyState: WebSocket.OPEN, bufferedAmount: 0, send: (each) => sent.push(each) };
    stands = { is_timed: true, holds: true, got: 0 };
}"""
"""Puts a clock, a sound and a connection of the test in the place of the browser's."""
FRAMES = """([frames, stood]) => {
    for (let count = 0; count < frames; count += 1) {
        clock += 0.02;
        context.currentTime = clock - stood;
        send({ at: context.currentTime - 0.02, samples: new Int16Array(320).fill(1) });
    }
}"""
"""Lets time and sound go on; the sound has stood still for so long before [s]."""
CAUGHT_UP = """(frames) => {
    for (let count = 0; count < frames; count += 1) {
        context.currentTime += 0.02;
        send({ at: context.currentTime - 0.02, samples: new Int16Array(320).fill(1) });
    }
}"""
"""Lets the sound go on without time."""
SENT = """() => sent.splice(0).filter((each) => each instanceof ArrayBuffer)
    .map((each) => [...new Uint8Array(each)])"""
MICROPHONES = """() => {
    globalThis.opened = [];
    globalThis.refused = 1;
    navigator.mediaDevices.getUserMedia = async () => {
        if (opened.length && refused-- > 0) throw new Error("no microphone now");
        opened.push(new MediaStreamAudioDestinationNode(heard).stream);
        return opened[opened.length - 1];
    };
}"""
"""Gives microphones of the test; the second one is refused once."""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="needs the Debian package chromium"),
]


@pytest.fixture(scope="module")
def browsers() -> Iterator[Any]:
    """Start a browser."""
    with sync_playwright() as started:
        words = ["--no-sandbox", "--autoplay-policy=no-user-gesture-required"]
        browser = started.chromium.launch(executable_path=CHROMIUM, args=words)
        yield browser
        browser.close()


@pytest.fixture
def page(browsers: Any) -> Iterator[Page]:  # noqa: ANN401 - Playwright's own
    """Open the page as the logger serves it, with nobody behind it."""

    def serve(route: Route) -> None:
        name = route.request.url.removeprefix(ORIGIN).lstrip("/") or "crew.html"
        path = STATIC / name
        if path.suffix == ".html":
            route.fulfill(body=page_text(name, ENGLISH), content_type="text/html")
        elif path.is_file():
            route.fulfill(path=path)
        else:
            route.fulfill(status=503, body='{"words": "nobody is here"}')

    opened = browsers.new_page()
    opened.route("**/*", serve)
    opened.goto(ORIGIN)
    opened.evaluate(STANDS)
    yield opened
    opened.close()


def numbers(page: Page) -> list[int]:
    """Give the numbers of the frames that were sent since."""
    frames = [read_frame(bytes(each)) for each in page.evaluate(SENT)]
    assert all(frames)
    return [each.number for each in frames if each is not None]


def test_numbers_are_left_out_where_the_sound_stood_still(page: Page) -> None:
    """The gap is where the sound is missing, not half a second later in the next word."""
    page.evaluate(FRAMES, [50, 0.0])
    assert numbers(page) == list(range(50))
    page.evaluate("() => { clock += 0.4; }")
    page.evaluate(FRAMES, [40, 0.4])
    assert numbers(page) == list(range(70, 110))
    assert RATE_HZ * FRAME_S == FRAME


def test_a_sound_that_only_catches_its_breath_is_whole(page: Page) -> None:
    """It is late for a moment, and then in time again: nothing is missing, all is sent in order."""
    page.evaluate(FRAMES, [50, 0.0])
    page.evaluate("() => { clock += 0.2; }")
    page.evaluate(FRAMES, [8, 0.2])
    assert numbers(page) == list(range(50))
    page.evaluate(CAUGHT_UP, 10)
    page.evaluate(FRAMES, [10, 0.0])
    assert numbers(page) == list(range(50, 78))


def test_a_dead_microphone_is_no_silence(page: Page) -> None:
    """What comes while it is dead is left out, so that a call beside it is asked again."""
    page.evaluate(FRAMES, [50, 0.0])
    page.evaluate("() => { track = { readyState: 'live' }; fare(true); }")
    page.evaluate(FRAMES, [25, 0.0])
    page.evaluate("() => fare(false)")
    page.evaluate(FRAMES, [5, 0.0])
    assert numbers(page) == [*range(50), *range(75, 80)]


def test_a_microphone_that_ended_is_opened_again(page: Page) -> None:
    """A headset was pulled out: the phone's next microphone is taken as soon as there is one."""
    page.evaluate(
        "() => { globalThis.heard = new AudioContext(); context = heard;"
        " ear = new GainNode(heard); }"
    )
    page.evaluate(MICROPHONES)
    page.evaluate("async () => connect(await microphone())")
    ends = "() => { track.dispatchEvent(new Event('ended')); return isDead; }"
    assert page.evaluate(ends), "what it gives from now on is no silence"
    page.wait_for_function("() => opened.length === 2 && !isDead")
    assert page.evaluate("() => track === opened[1].getAudioTracks()[0]")
    page.evaluate("() => opened[0].getAudioTracks()[0].dispatchEvent(new Event('mute'))")
    assert not page.evaluate("() => isDead"), "the old one has nothing to say any more"
