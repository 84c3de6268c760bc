"""The chief's page in a real browser on a phone's screen, on a crew that is heard and typed live.

The program runs as in the field: in a terminal, with a virtual microphone, in real time.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import signal
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import (
    Browser,
    BrowserContext,
    BrowserType,
    Error,
    Page,
    Route,
    ViewportSize,
    expect,
    sync_playwright,
)

from calllog.demo import load_day
from calllog.journal import Journal
from calllog.office import replay_job
from calllog.office.state_facts import POLICY
from calllog.office.summary import verify_job
from calllog.pairing import Phase
from calllog.resources import PACKAGE
from calllog.session import Job, Replay
from calllog.units import Foot
from calllog.values import Choice, Decision, Kind, Outcome
from tests.fieldjob import Paper, settings
from tests.lossy import TRIES, SoundLostError, play_whole
from tests.rough_network import RoughNetwork
from tests.tapes import certificate
from tests.terminal import PATIENCE_S, Terminal, wait_for
from tests.test_page_browser import PLAIN, RULES
from tests.virtual import HAS_PULSEAUDIO, ROOT, VirtualSound, free_port, sound_of_crew

CHROMIUM = shutil.which("chromium")
LINE = load_day().lines[0]
STOP_S = (47.0, 57.9)
"""Of the recording: a pull that stops."""
CODE = re.compile(rb"code (\d{4} \d{4})")
SCREEN = ViewportSize(width=390, height=844)
STALE_MS = 3000
SMALLEST = ViewportSize(width=360, height=580)
"""What a small phone's browser leaves of its screen."""
TARGET_PX = 48
COLORS = {"runOnly": {"type": "rule", "values": ["color-contrast"]}}
WHOLE = ("waiting", "measuring", "stopped")
"""Looks that a screenshot shows whole."""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="needs the Debian package chromium"),
]


@pytest.fixture(scope="module")
def chromium() -> Iterator[BrowserType]:
    """Make Chromium ready."""
    with sync_playwright() as started:
        expect.set_options(timeout=1000 * PATIENCE_S)
        yield started.chromium


@pytest.fixture(scope="module")
def browser(chromium: BrowserType) -> Iterator[Browser]:
    """Start it without a window."""
    opened = chromium.launch(executable_path=CHROMIUM, args=PLAIN)
    yield opened
    opened.close()


@dataclass
class Field:
    """A crew at work with the page, and the phones that look at it."""

    job: Path
    browser: Browser
    env: dict[str, str] = field(default_factory=lambda: {**os.environ, "PYTHONPATH": str(ROOT)})
    kit: tuple[str, ...] = ("--keys-only", "--output", "none", "--first", "whole")
    tape: Path = LINE.tape
    begins: str = "8/"
    """What is typed to say how the tape reads; nothing where it is read at one end."""
    scheme: str = "http"
    port: int = field(default_factory=free_port)
    used: set[bytes] = field(default_factory=set)
    contexts: list[BrowserContext] = field(default_factory=list)
    since: int = 0
    """The last entry that was there before this test."""

    def __post_init__(self) -> None:
        """Start the program, and say how the tape reads."""
        self.start()
        if not self.begins:
            return
        self.terminal.type(self.begins)
        wait_for(
            lambda: self.entries("call")[-1:] != [] and self.said_last() == "add", self.terminal
        )

    def start(self) -> None:
        """Start the program, or start it again by the same command."""
        self.terminal = Terminal(
            self.env,
            *("listen", str(self.job), "--tape", str(self.tape), "--line", LINE.name),
            *(*self.kit, "--page", "--page-port", str(self.port)),
        )
        wait_for(lambda: CODE.search(self.terminal.seen) is not None, self.terminal)

    def begin(self) -> None:
        """Begin a test on a crew that other tests were at work on: no phone, and an empty pull."""
        if self.replay.phones:
            self.terminal.type("p")
            for _ in self.replay.phones:
                self.terminal.type("A")
            wait_for(lambda: not self.replay.phones, self.terminal)
            self.terminal.type("p")
        if not self.is_fresh:
            self.terminal.type("0/\r")
            wait_for(lambda: self.is_fresh, self.terminal)
        if any(each.decided_by != POLICY for each in self.replay.segments[-1:]):
            self.measure_another()
        with Journal.open(self.job, read_only=True) as journal:
            self.since = max(each.sequence for each in journal.entries())

    @property
    def replay(self) -> Replay:
        """The job as it stands on disk."""
        return replay_job(self.job)

    @property
    def is_fresh(self) -> bool:
        """Nothing was called of the pull."""
        state = self.replay.require_state()
        parts = (state.take, state.parts.whole, state.parts.fraction)
        return state.phase is Phase.OPEN and parts == (None, None, None)

    def leave(self) -> None:
        """Put the phones away."""
        while self.contexts:
            self.contexts.pop().close()

    def close(self) -> None:
        """Leave nothing behind."""
        self.leave()
        self.terminal.close()

    def code(self) -> str:
        """Read the code on the logger's screen that was not used yet."""
        wait_for(lambda: CODE.findall(self.terminal.seen)[-1] not in self.used, self.terminal)
        found = CODE.findall(self.terminal.seen)[-1]
        self.used.add(found)
        return str(found.decode().replace(" ", ""))

    def phone(self, name: str = "Anna", **options: Any) -> Page:  # noqa: ANN401 - Playwright's own
        """Pair a phone as its owner does: the address with the code, a name, a touch."""
        context = self.browser.new_context(viewport=SCREEN, has_touch=True, **options)
        self.contexts.append(context)
        page = context.new_page()
        faults: list[str] = []
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.goto(f"{self.scheme}://127.0.0.1:{self.port}/#{self.code()}")
        page.get_by_label("Your name").fill(name)
        page.get_by_role("button", name="Pair").tap()
        expect(page.locator("#link")).to_contain_text("LIVE")
        assert faults == []
        return page

    def children(self) -> list[int]:
        """List the processes of the program that serve the page."""
        pid = self.terminal.program.pid
        listed = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
        return [
            int(each)
            for each in listed
            if b"calllog.server.serving" in Path(f"/proc/{each}/cmdline").read_bytes()
        ]

    def measure_another(self) -> None:
        """Record a pull of other marks: those of a pull just decided would be asked about."""
        recorded = len(self.replay.segments)
        self.terminal.type("44\r55\r+44\r55\r")
        wait_for(lambda: len(self.replay.segments) == recorded + 1, self.terminal)

    def stop_pull(self) -> None:
        """Type a pull whose check differs."""
        self.terminal.type("33\r87\r+33\r77\r")

    def said_last(self) -> str:
        """Give the name of the last call on disk."""
        return str(self.entries("call")[-1]["name"])

    def entries(self, kind: str) -> list[dict[str, Any]]:
        """Read the entries of a kind that are on disk, as an onlooker."""
        with Journal.open(self.job, read_only=True) as journal:
            found = [each for each in journal.entries(kind) if each.sequence > self.since]
        return [each.content for each in found]  # type: ignore[misc]


@pytest.fixture(scope="module")
def typing(tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Iterator[Field]:
    """Start a crew that types, for all tests that leave it at work."""
    started = Field(tmp_path_factory.mktemp("typing") / "job", browser)
    yield started
    assert started.terminal.end() == 0
    started.close()
    assert verify_job(started.job).ok


@pytest.fixture
def crew(typing: Field) -> Iterator[Field]:
    """Give that crew, with an empty pull and no phones."""
    typing.begin()
    yield typing
    typing.leave()


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, ...]:
    """Make a certificate as the README does; none where that cannot be done."""
    if shutil.which("openssl") is None:
        return ()
    place = tmp_path_factory.mktemp("papers")
    key, certificate = place / "key.pem", place / "page.pem"
    subprocess.run(
        [
            *("openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2"),
            *("-keyout", str(key), "-out", str(certificate), "-subj", "/CN=127.0.0.1"),
            *("-addext", "subjectAltName=IP:127.0.0.1"),
        ],
        check=True,
        capture_output=True,
    )
    return ("--page-certificate", str(certificate), "--page-key", str(key))


@pytest.fixture(scope="module")
def fine_typing(
    tmp_path_factory: pytest.TempPathFactory, browser: Browser, papers: tuple[str, ...]
) -> Iterator[Field]:
    """Start a crew that types millimeters, its page served by TLS where that can be."""
    place = tmp_path_factory.mktemp("fine")
    tape = place / "fine.toml"
    text = (PACKAGE / "demo" / "tapes" / "full-30m.toml").read_text("utf-8")
    tape.write_text(text + "least_count = 0.001\ntolerance = 0.002\n", "utf-8")
    kit = ("--keys-only", "--output", "none", "--grammar", "en-metric", *papers)
    scheme = "https" if papers else "http"
    started = Field(place / "job", browser, kit=kit, tape=tape, begins="", scheme=scheme)
    yield started
    started.close()
    assert verify_job(started.job).ok


@pytest.fixture
def fine(fine_typing: Field) -> Iterator[Field]:
    """Give that crew, with an empty pull and no phones."""
    fine_typing.begin()
    yield fine_typing
    fine_typing.leave()


def test_chief_corrects_a_reading_to_the_millimetre(fine: Field) -> None:
    """The page's keys take what the tape's least count allows, in metres, and nothing else."""
    page = fine.phone(ignore_https_errors=True)
    fine.terminal.type("15.346\r")
    expect(page.locator("#take")).to_have_text("15.346")
    look(page)
    page.get_by_role("button", name="Correct a value").tap()
    for key in "15.34":
        page.locator("#keys").get_by_text(key, exact=True).tap()
    expect(page.get_by_role("button", name="Send")).to_be_disabled()
    page.locator("#keys").get_by_text("8", exact=True).tap()
    page.get_by_role("button", name="Send").tap()
    expect(page.locator("#answer")).to_contain_text("Value 15.348: taken")
    look(page)
    page.get_by_role("button", name="Keep later 15.348").tap()
    expect(page.locator("#take")).to_have_text("15.348")
    fine.terminal.type("+15.348\r")
    expect(page.locator("#past")).to_contain_text("15.348 m")
    expect(page.locator(".total")).to_contain_text("15.348 m read")
    page.get_by_role("button", name="State a condition").tap()
    expect(page.locator("#condition-words")).to_contain_text("degC")


def look(page: Page) -> None:
    """Look at the page for as long as it takes to see what it shows."""
    page.wait_for_timeout(600)


def piece(folder: Path, begin_s: float, end_s: float) -> Path:
    """Cut a piece out of the recording, a second of silence before and after it."""
    samples, rate_hz = soundfile.read(LINE.recording)
    path = folder / f"{begin_s}.wav"
    cut = samples[int(begin_s * rate_hz) : int(end_s * rate_hz)]
    quiet = np.zeros((rate_hz, 2))
    soundfile.write(path, np.concatenate([quiet, cut, quiet]), rate_hz)
    return path


@pytest.mark.skipif(not HAS_PULSEAUDIO, reason="needs PulseAudio and its tools")
def test_line_is_followed_and_decided_on_phones(tmp_path: Path, browser: Browser) -> None:
    """Heard calls appear live with their sound; of two phones that decide, the first counts."""
    agreed = ("--consent", "head=Ash", "--consent", "rear=Rowan")
    kit = ("--microphone", "crew", "--channels", "head,rear", "--say", "tones", *agreed)
    stop = piece(tmp_path, *STOP_S)
    for number in range(TRIES):
        with sound_of_crew() as sound:
            crew = Field(tmp_path / f"job-{number}", browser, sound.env, kit)
            try:
                return follow_and_decide(crew, sound, stop)
            except SoundLostError:
                continue
            finally:
                crew.close()
    pytest.fail(f"sound was lost in {TRIES} tries of {TRIES}")


def follow_and_decide(crew: Field, sound: VirtualSound, stop: Path) -> None:
    """Let a crew measure two pulls, one with a stop, and two phones look on and decide."""
    anna, bo = crew.phone("Anna"), crew.phone("Bo")
    crew.terminal.type("47.\r.64\r+47.\r.64\r")
    expect(anna.locator("#verdict")).to_contain_text("AGREES: pull 1: 47.64", timeout=30_000)
    expect(anna.locator("#booked")).to_have_text("1")
    expect(anna.locator("#total")).to_have_text("47.64")
    play_whole(
        sound,
        stop,
        crew.job,
        lambda: crew.entries("finding") != [],
        crew.terminal,
        meanwhile=lambda: "33" in anna.locator("#take").inner_text(),
    )
    for page in (anna, bo):
        expect(page.locator("#decide")).to_be_visible(timeout=30_000)
        expect(page.locator("#take")).to_have_text("33.87")
        expect(page.locator("#check")).to_have_text("32.87")
        look(page)
    keep = {
        anna: anna.get_by_role("button", name="Keep first 33.87"),
        bo: bo.get_by_role("button", name="Keep check 32.87"),
    }
    anna.evaluate("() => { window.reloaded = false }")
    for button in keep.values():
        expect(button).to_be_enabled()
    buttons = {page: button.element_handle() for page, button in keep.items()}
    for page, found in buttons.items():
        page.evaluate("button => setTimeout(() => button.click(), 50)", found)
    for page in (anna, bo):
        expect(page.locator("#answer")).to_be_visible()
        expect(page.locator("#decide")).to_be_hidden()
        expect(page.locator("#last-order")).to_contain_text("Pull 2: the ")
    (decision,) = crew.entries("decision")
    (asked,) = crew.entries("phone_asked")
    first, second = (anna, bo) if asked["name"] == "Anna" else (bo, anna)
    assert f"{asked['name']} ({asked['phone']})" == decision["by"]
    expect(first.locator("#answer")).to_contain_text("taken")
    expect(second.locator("#answer")).to_contain_text("not taken: pull 2 was decided meanwhile")
    assert crew.entries("segment")[-1]["decided_by"] == decision["by"]
    anna.locator(".card summary").first.tap()
    anna.locator("#past .call button").first.tap()
    anna.wait_for_function("() => player.duration > 0.2 && player.error === null")
    assert anna.evaluate("() => window.reloaded") is False
    assert crew.terminal.end() == 0
    expect(anna.locator("#link")).to_contain_text("STALE", timeout=STALE_MS)
    assert verify_job(crew.job).ok


def test_chief_types_states_writes_and_strikes(crew: Field) -> None:
    """A value by the page's keypad, a condition, a remark, scratch: each in the journal by name."""
    page = crew.phone()
    crew.terminal.type("33\r87\r")
    expect(page.locator("#take")).to_have_text("33.87")
    look(page)
    page.get_by_role("button", name="Correct a value").tap()
    expect(page.get_by_role("button", name="Send")).to_be_disabled()
    page.get_by_label("Hundredths").check()
    for key in "86":
        page.locator("#keys").get_by_text(key, exact=True).tap()
    expect(page.locator("#typed")).to_have_text(".86")
    page.get_by_role("button", name="Send").tap()
    expect(page.locator("#answer")).to_contain_text("Value .86: taken")
    expect(page.locator("#decide")).to_be_visible()  # typed against typed is a stop
    look(page)
    page.get_by_role("button", name="Keep later .86").tap()
    expect(page.locator("#take")).to_have_text("33.86")
    page.get_by_role("button", name="State a condition").tap()
    page.get_by_label("Condition", exact=True).select_option(label="temperature")
    page.get_by_label("Amount").fill("999")
    page.locator("#condition").get_by_role("button", name="Send").tap()
    expect(page.locator("#answer")).to_contain_text("not taken: temperature cannot be 999")
    page.get_by_role("button", name="State a condition").tap()
    page.get_by_label("Amount").fill("68")
    page.get_by_role("button", name="Above or below zero").tap()
    expect(page.get_by_label("Amount")).to_have_value("-68")
    page.get_by_role("button", name="Above or below zero").tap()
    page.locator("#condition").get_by_role("button", name="Send").tap()
    expect(page.locator("#conditions")).to_contain_text("temperature 68 F")
    page.get_by_role("button", name="Add a remark").tap()
    page.get_by_label("On this pull").fill("tape wet <b>")
    page.locator("#remark").get_by_role("button", name="Send").tap()
    expect(page.locator("#calls")).to_contain_text("remark: tape wet <b>")
    page.get_by_role("button", name="Strike").tap()
    expect(page.locator("#conditions")).not_to_contain_text("temperature 68 F")
    look(page)
    page.get_by_role("button", name="Strike").tap()
    expect(page.locator("#take")).not_to_have_text("33.86")
    asked = [(each["name"], each["does"]) for each in crew.entries("phone_asked")]
    assert asked == [
        ("Anna", does) for does in ("value", "check", "condition", "remark", "scratch", "scratch")
    ]


def test_page_goes_on_when_its_server_or_the_program_is_killed(crew: Field) -> None:
    """It says that it is stale within 3 s; let in by one key, it is live again as it was."""
    page = crew.phone()
    page.evaluate("() => { window.kept = true }")
    crew.terminal.type("33\r")
    expect(page.locator("#take")).to_contain_text("33")
    (serving,) = crew.children()
    os.kill(serving, signal.SIGKILL)
    wait_for(lambda: crew.children() not in ([], [serving]), crew.terminal)
    crew.terminal.type("87\r")
    expect(page.locator("#take")).to_have_text("33.87", timeout=10_000)
    expect(page.locator("#link")).to_contain_text("LIVE")
    before = page.evaluate("() => state.id")
    crew.terminal.kill()
    expect(page.locator("#link")).to_contain_text("STALE", timeout=STALE_MS)
    expect(page.get_by_role("button", name="Strike")).to_be_disabled()
    expect(page.locator("#take")).to_have_text("33.87")
    crew.terminal.close()
    crew.start()
    waits = "✕ WAITING: the logger was started again, and has not let this phone in yet"
    expect(page.locator("#link")).to_contain_text(waits, timeout=10_000)
    expect(page.get_by_role("button", name="Strike")).to_be_disabled()
    wait_for(lambda: b"y lets" in crew.terminal.seen, crew.terminal)
    crew.terminal.type("y")
    expect(page.locator("#link")).to_contain_text("LIVE", timeout=10_000)
    crew.terminal.type("+33\r77\r")
    expect(page.locator("#decide")).to_be_visible()
    assert page.evaluate("before => newer(state.id, before)", before)
    look(page)
    page.get_by_role("button", name="Keep first").tap()
    expect(page.locator("#answer")).to_contain_text("taken")
    assert page.evaluate("() => window.kept"), "it was loaded anew"
    assert crew.entries("page_lost") == [{"exit_code": -9}]
    (paired,) = crew.entries("phone_paired")
    assert crew.entries("phone_let_in") == [{"name": "Anna", "phone": paired["phone"]}]


@pytest.fixture
def cut_off(crew: Field, chromium: BrowserType) -> Iterator[tuple[Field, RoughNetwork]]:
    """Put the crew's phone on a network that can be cut."""
    before = crew.browser
    with RoughNetwork(crew.port) as network:
        through = f"--host-resolver-rules=MAP 127.0.0.1:{crew.port} 127.0.0.1:{network.port}"
        crew.browser = chromium.launch(executable_path=CHROMIUM, args=[*PLAIN, through])
        yield crew, network
        crew.leave()
        crew.browser.close()
        crew.browser = before


def test_page_catches_up_after_the_network_was_gone(cut_off: tuple[Field, RoughNetwork]) -> None:
    """Cut off, it is stale within 3 s and takes no orders; back, it shows the newest state."""
    crew, network = cut_off
    page = crew.phone()
    page.evaluate("() => { window.kept = true }")
    booked = int(page.locator("#booked").inner_text())
    crew.stop_pull()
    expect(page.locator("#decide")).to_be_visible()
    assert network.carried() > 0, "the phone goes by another way"
    network.cut()
    expect(page.locator("#link")).to_contain_text("STALE", timeout=STALE_MS)
    expect(page.get_by_role("button", name="Keep first")).to_be_disabled()
    expect(page.get_by_role("button", name="Add a remark")).to_be_disabled()
    crew.terminal.type("1/")
    wait_for(lambda: len(crew.entries("segment")) == 1, crew.terminal)
    expect(page.locator("#decide")).to_be_visible()
    network.mend()
    expect(page.locator("#link")).to_contain_text("LIVE", timeout=10_000)
    expect(page.locator("#decide")).to_be_hidden()
    expect(page.locator("#booked")).to_have_text(str(booked + 1))
    assert page.evaluate("() => window.kept"), "it was loaded anew"
    assert crew.entries("phone_asked") == []


def test_order_whose_answer_is_lost_counts_once(crew: Field) -> None:
    """The logger took it, the network swallowed the answer: sent again, it is the same order."""
    page = crew.phone()
    crew.stop_pull()
    lost: list[str] = []

    def lose(route: Route) -> None:
        route.fetch()
        lost.append(route.request.post_data or "")
        if len(lost) < 3:
            route.abort()
        else:
            route.continue_()

    page.route("**/api/order", lose)
    expect(page.locator("#decide")).to_be_visible()
    look(page)
    page.get_by_role("button", name="Keep first").tap()
    expect(page.locator("#sending")).to_be_visible()
    expect(page.locator("#answer")).to_contain_text("taken", timeout=10_000)
    assert len(set(lost)) == 1
    assert len(lost) == 3
    assert len(crew.entries("phone_asked")) == len(crew.entries("decision")) == 1
    assert len(crew.entries("segment")) == 1


def test_order_on_what_a_phone_no_longer_sees_right_is_refused(crew: Field) -> None:
    """A phone whose news are late orders on what it saw; it is told why that is not taken."""
    page = crew.phone()
    crew.terminal.type("33\r87\r")
    expect(page.locator("#take")).to_have_text("33.87")
    stood = page.evaluate("() => state.stands.question")
    crew.terminal.type("+33\r")
    expect(page.locator("#check")).to_contain_text("33")
    page.evaluate("stood => send('scratch', stood, '', 'Strike')", stood)
    expect(page.locator("#answer")).to_contain_text("not taken: the work has gone on meanwhile")
    assert crew.entries("void") == []


def test_touch_is_about_what_was_seen(crew: Field) -> None:
    """A button under the thumb that changes its meaning in the last moment does nothing."""
    page = crew.phone()
    crew.terminal.type("33\r87\r+33\r")
    expect(page.locator("#check")).to_contain_text("33")
    look(page)
    page.evaluate(
        """() => new MutationObserver(() => {
            if (!byId("decide").hidden) byId("choices").firstElementChild.click();
        }).observe(byId("decide"), { attributes: true })"""
    )
    crew.terminal.type("77\r")
    expect(page.locator("#answer")).to_contain_text("not taken: the work has gone on meanwhile")
    assert crew.entries("decision") == []


def test_revoked_phone_is_at_the_door_again(crew: Field) -> None:
    """The logger's keyboard ends a session; the page shows nothing of the job any more."""
    page = crew.phone()
    crew.terminal.type("p")
    (paired,) = crew.entries("phone_paired")
    who = f"Anna ({paired['phone']})"
    expect(page.locator("#name")).to_have_text(who)
    wait_for(lambda: f"A: revoke {who}".encode() in crew.terminal.seen, crew.terminal)
    crew.terminal.type("A")
    expect(page.get_by_role("heading", name="Pair this phone")).to_be_visible()
    revoked = {"name": "Anna", "phone": paired["phone"], "by": "logger"}
    assert crew.entries("phone_revoked") == [revoked]
    crew.terminal.type("p")
    page.get_by_label("Code").fill("0000 0000")
    page.get_by_label("Your name").fill("Anna")
    page.get_by_role("button", name="Pair").tap()
    expect(page.locator("#words")).to_contain_text("that is not the code on the logger's screen")
    page.get_by_label("Code").fill(crew.code())
    page.get_by_role("button", name="Pair").tap()
    expect(page.locator("#link")).to_contain_text("LIVE")
    page.get_by_role("button", name="Unpair this phone").tap()
    expect(page.get_by_role("heading", name="Pair this phone")).to_be_visible()


HOSTILE = '<img src=x onerror="window.hacked=1">\u202e\u2066\r\ndata: {}\u200b</script><b>'
HIDDEN = re.compile("[\u202e\u2066\u200b]")
SHOWN = (
    '<img src=x onerror="window.hacked=1"><U+202E><U+2066><U+000D><U+000A>data: {}<U+200B>'
    "</script><b>"
)


def test_texts_of_a_strangers_job_stay_texts(tmp_path: Path, browser: Browser) -> None:
    """Points, remarks and who decided, as a stranger may have written them: read, never followed.

    The phone that was planted in the job gets no further than the door.
    """
    tape = certificate(identity="T-9", foot=Foot.INTERNATIONAL)
    secret = "strangers-own"  # noqa: S105 - of nobody
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings(HOSTILE, "B", tape=tape.identity), tape)
        paper = Paper(job)
        paper.call(Kind.REMARK, text=HOSTILE, outcome=Outcome.IGNORED)
        paper.read(3387).say("switch").read(3287)
        job.record(Decision(pull=1, choice=Choice.FIRST, by=HOSTILE))
        digest = hashlib.sha256(secret.encode()).hexdigest()
        job.note("phone_paired", {"name": "Eve", "secret_sha256": digest})
    crew = Field(tmp_path / "job", browser)
    try:
        page = crew.phone()
        page.locator(".card summary").first.tap()
        for place in (".card summary", ".card p", ".card .calls"):
            expect(page.locator(place).first).to_contain_text(SHOWN)
        assert page.evaluate("() => window.hacked === undefined")
        assert page.locator("img, #past b, #past script").count() == 0
        assert not HIDDEN.search(page.content())
        eve = browser.new_context(viewport=SCREEN)
        crew.contexts.append(eve)
        eve.add_cookies([{"name": "calllog", "value": secret, "url": page.url}])
        door = eve.new_page()
        door.goto(page.url)
        expect(door.get_by_role("heading", name="Pair this phone")).to_be_visible()
    finally:
        crew.close()


def test_policy_stops_what_is_not_the_pages_own(crew: Field) -> None:
    """Script put into the page does not run, and the page reaches no other address."""
    page = crew.phone()
    blocked = page.evaluate(
        """async () => {
            const found = [];
            addEventListener("securitypolicyviolation", (e) => found.push(e.violatedDirective));
            const script = document.createElement("script");
            try { script.text = "window.hacked = true"; } catch { found.push("types"); }
            try { document.body.append(script); } catch { found.push("types"); }
            await fetch("http://localhost:1/").catch(() => {});
            await new Promise((done) => setTimeout(done, 300));
            return [found, window.hacked === true];
        }"""
    )
    assert blocked[1] is False
    assert "connect-src" in blocked[0]
    assert page.evaluate("() => document.cookie") == ""


@pytest.mark.skipif(shutil.which("openssl") is None, reason="needs the Debian package openssl")
def test_page_is_served_by_tls_with_a_certificate(fine: Field) -> None:
    """As the README makes it; live, orders taken, the cookie bound to TLS, nothing without."""
    page = fine.phone(ignore_https_errors=True)
    fine.terminal.type("15.346\r+15.446\r")
    expect(page.locator("#decide")).to_be_visible()
    look(page)
    page.get_by_role("button", name="Keep first").tap()
    expect(page.locator("#answer")).to_contain_text("taken")
    (cookie,) = page.context.cookies()
    assert cookie["name"] == "__Host-calllog"
    assert cookie["secure"]
    assert cookie["httpOnly"]
    assert cookie["sameSite"] == "Strict"
    with pytest.raises(Error):
        page.goto(f"http://127.0.0.1:{fine.port}/")


# Looks


def states(crew: Field, page: Page) -> Iterator[str]:
    """Bring the page into each of its looks."""
    yield "waiting"
    crew.terminal.type("33\r87\r+33\r")
    expect(page.locator("#check")).to_contain_text("33")
    yield "measuring"
    crew.terminal.type("77\r")
    expect(page.locator("#decide")).to_be_visible()
    yield "stopped"
    for name in ("value", "condition", "remark"):
        page.locator(f"#{name}-open").tap()
        expect(page.locator(f"dialog#{name}")).to_be_visible()
        page.set_viewport_size(SMALLEST)
        inside = (
            "node => node.scrollHeight <= node.clientHeight && node.offsetHeight <= innerHeight"
        )
        assert page.locator(f"dialog#{name}").evaluate(inside), "it must be scrolled"
        page.set_viewport_size(SCREEN)
        yield name
        page.locator(f"#{name}").get_by_role("button", name="Back").tap()
    look(page)
    page.get_by_role("button", name="Keep first").tap()
    expect(page.locator("#answer")).to_contain_text("✓")
    page.locator(".card summary").first.tap()
    yield "booked"
    (serving,) = crew.children()
    os.kill(serving, signal.SIGSTOP)
    try:
        expect(page.locator("#link")).to_contain_text("STALE")
        yield "stale"
    finally:
        os.kill(serving, signal.SIGCONT)


def faults(page: Page, *, is_dark: bool = False) -> list[tuple[str, str]]:
    """Let axe look at the page; by night at its colors alone, all else is as by day."""
    page.emulate_media(color_scheme="dark" if is_dark else "light")
    found: dict[str, Any] = Axe().run(page, options=COLORS if is_dark else RULES).response
    assert len(found["passes"]) >= (1 if is_dark else 16)
    return [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]]


SMALL = """least => [...document.querySelectorAll("button, input, select, textarea, summary")]
    .filter(each => each.checkVisibility())
    .map(each => [each.closest("label") || each, each])
    .filter(([box]) => {
        const at = box.getBoundingClientRect();
        return at.width < least || at.height < least;
    })
    .map(([, each]) => each.outerHTML)"""


def test_page_has_no_fault(crew: Field, browser: Browser) -> None:
    """In each of its looks, by day and by night: axe finds nothing, all that is touched is 48 px.

    Nothing is too wide for a small phone.
    """
    door = browser.new_page(viewport=SCREEN)
    door.goto(f"http://127.0.0.1:{crew.port}/")
    for is_dark in (False, True):
        assert faults(door, is_dark=is_dark) == []
    assert door.evaluate(SMALL, TARGET_PX) == []
    door.close()
    page = crew.phone()
    shots = os.environ.get("CALLLOG_SHOTS")
    for seen in states(crew, page):
        for is_dark in (False, True):
            assert faults(page, is_dark=is_dark) == [], (seen, is_dark)
            if shots:
                name = f"{'dark' if is_dark else 'light'}-{seen}.png"
                page.screenshot(path=f"{shots}/{name}", full_page=seen in WHOLE)
        assert page.evaluate(SMALL, TARGET_PX) == [], seen
        for width in (320, SCREEN["width"]):
            page.set_viewport_size({"width": width, "height": SCREEN["height"]})
            assert page.evaluate("document.documentElement.scrollWidth") <= width, seen


def test_nothing_moves_where_that_is_not_wanted(crew: Field) -> None:
    """With reduced motion no animation runs, whatever is shown."""
    page = crew.phone(reduced_motion="reduce")
    page.evaluate("() => { byId('sending').hidden = false }")
    assert page.evaluate("() => document.getAnimations().length") == 0
