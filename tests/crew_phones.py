"""Two headless Chromiums as head's and rear's phones, each with a file as its microphone.

Real TLS, real WebSocket, the page as it is; the program runs in a terminal of its own.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import time
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import numpy as np
import soundfile
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect

from calllog.demo import load_day
from calllog.demo.day import DayLine
from calllog.journal import Journal
from tests.terminal import Terminal, wait_for
from tests.virtual import ROOT, free_port

CHROMIUM = shutil.which("chromium")
CODE = re.compile(rb"code (\d{4} \d{4})")
LINE = load_day().lines[0]
ROLES = ("head", "rear")
NAMES = {"head": "Ash", "rear": "Rowan"}
LEAD_S, TAIL_S = 3.0, 4.0
"""Silence before and after what is said: a phone's clock must be known first."""
FAINT = 0.03
"""The other one's voice is lowered by 30 dB."""
START_S = 150.0
PATIENCE_MS = 40_000
"""A busy computer takes its time."""
EXPECTED = ("WebSocket connection", "net::ERR_", "Failed to load resource")
HEARS_BY_THE_CLOCK = """
if (navigator.mediaDevices) navigator.mediaDevices.getUserMedia = async () => {
    const heard = new AudioContext({ sampleRate: 48000 });
    const file = await (await fetch("/voice.wav")).arrayBuffer();
    const buffer = await heard.decodeAudioData(file);
    const out = new MediaStreamAudioDestinationNode(heard);
    const place = () => (Date.now() - Number(sessionStorage.begun)) / 1000;
    let player = null, since = 0;
    const follow = () => {
        if (player && Math.abs(place() - (heard.currentTime - since)) < 0.15) return;
        if (player) player.stop();
        player = new AudioBufferSourceNode(heard, { buffer });
        player.connect(out);
        since = heard.currentTime - place();
        player.start(heard.currentTime + Math.max(0, -place()), Math.max(0, place()));
    };
    follow();
    setInterval(follow, 100);
    return out.stream;
};"""
"""A microphone that hears a file where the clock is by now, however often it is opened."""
URGENT = "-15"
"""How nice the sessions of those are that go before other work."""
SOON_MS = 700
"""Both microphones begin so long after both pages were told to begin."""


def voices(
    recording: Path,
    folder: Path,
    span_s: tuple[float, float] | None = None,
    *,
    tail_s: float = TAIL_S,
) -> list[Path]:
    """Write what each wearer's microphone heard as a file of its own, at 48 kHz as browsers want.

    Args:
        recording: of two channels, head first.
        folder: where they are written.
        span_s: which part; all of it if left out [s].
        tail_s: silence after it [s].
    """
    import soxr  # noqa: PLC0415 - slow to load

    samples, rate_hz = soundfile.read(recording)
    for channel in range(len(ROLES)):
        samples[:, channel] *= own(recording, channel + 1, len(samples), rate_hz)
    if span_s is not None:
        samples = samples[int(span_s[0] * rate_hz) : int(span_s[1] * rate_hz)]
    made = []
    for role, channel in zip(ROLES, samples.T, strict=True):
        quiet = [np.zeros(int(each * rate_hz)) for each in (LEAD_S, tail_s)]
        sound = soxr.resample(np.concatenate([quiet[0], channel, quiet[1]]), rate_hz, 48_000)
        made.append(folder / f"{role}.wav")
        soundfile.write(made[-1], sound, 48_000, subtype="PCM_16")
    return made


def spoken(clips: Sequence[Path], path: Path) -> Path:
    """Write what is said in clips, a silence before and after each, as a browser's microphone."""
    import soxr  # noqa: PLC0415 - slow to load

    pieces = [np.zeros(int(LEAD_S * 48_000))]
    for clip in clips:
        samples, rate_hz = soundfile.read(clip)
        pieces += [soxr.resample(samples, rate_hz, 48_000), np.zeros(int(TAIL_S * 48_000))]
    soundfile.write(path, np.concatenate(pieces), 48_000, subtype="PCM_16")
    return path


def own(recording: Path, channel: int, frames: int, rate_hz: int) -> np.ndarray:
    """Give what to multiply a channel by so that hardly more than its wearer's voice is left.

    Two browsers do not begin to play their files at the same moment, and the other one's voice in
    a microphone would come before or after it, as it never does.
    """
    spoken = json.loads((recording.parent.parent / "spoken.json").read_text("utf-8"))
    (about,) = (each for each in spoken["recordings"] if each["file"] == recording.name)
    gain = np.full(frames, FAINT)
    for said in about["utterances"]:
        if said["channel"] == channel:
            begin, end = said["start_s"] - 0.25, said["end_s"] + 0.25
            gain[int(begin * rate_hz) : int(end * rate_hz)] = 1.0
    return gain


def go_first(pid: int) -> None:
    """Let the sessions of a process and its children go before other work, where that is allowed.

    See "autogroup" in sched(7).
    """
    for each in with_children(pid):
        with suppress(OSError):
            Path(f"/proc/{each}/autogroup").write_text(URGENT, "utf-8")


def with_children(pid: int) -> Iterator[int]:
    """Give a process, its children, and theirs."""
    yield pid
    with suppress(OSError):
        for path in Path(f"/proc/{pid}/task").glob("*/children"):
            for child in path.read_text().split():
                yield from with_children(int(child))


def of_browser(voice: Path) -> Iterator[int]:
    """Give the first processes of the browser whose microphone is a file."""
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        with suppress(OSError):
            words = path.read_bytes()
            if str(voice).encode() in words and b"--type=" not in words:
                yield int(path.parent.name)


@dataclass
class CrewOfPhones:
    """The program at work, and browsers that are phones."""

    started: Playwright
    job: Path
    port: int = field(default_factory=free_port)
    words: tuple[str, ...] = ()
    through: dict[str, int] = field(default_factory=dict)
    """Ports of networks that a role's browser goes through."""
    browsers: dict[str, Browser] = field(default_factory=dict)
    pages: dict[str, Page] = field(default_factory=dict)
    used: set[bytes] = field(default_factory=set)
    env: dict[str, str] = field(default_factory=lambda: {**os.environ, "PYTHONPATH": str(ROOT)})
    faults: list[str] = field(default_factory=list)
    back_s: float = -1.0
    """How long a phone took to be heard again after its network came back [s]."""
    module: str = "calllog.cli"
    before: tuple[str, ...] = ()
    line: DayLine = LINE
    wearers: tuple[str, ...] = ROLES
    """Who has a phone."""
    goes_first: bool = False
    """Program and browsers go before other work, as on computers of their own."""
    hears_by_clock: bool = False
    """Microphones go on by the clock when they are opened again, past the browser's own canceller;
    a browser's file begins anew."""
    opens_s: float = 0.0
    """How long after they are told to begin microphones begin to hear."""
    kept: dict[str, Any] = field(default_factory=dict)
    """What each role's browser keeps of its pairing while it is shut."""

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.shut()
        self.terminal.close()

    def shut(self) -> None:
        """Shut the browsers."""
        for browser in self.browsers.values():
            browser.close()
        self.browsers.clear()
        self.pages.clear()

    def keep(self) -> None:
        """Keep what the phones know of their pairing, for `open_again`."""
        for role, page in self.pages.items():
            self.kept[role] = page.context.storage_state()

    def start(self) -> None:
        """Start the program, or start it again by the same command."""
        self.terminal = Terminal(
            self.env,
            *(*self.before, "listen", str(self.job), "--tape", str(self.line.tape)),
            *("--line", self.line.name, "--crew-phones", "--page-host", "127.0.0.1"),
            *("--page-port", str(self.port), *self.words),
            module=self.module,
        )
        if self.goes_first:
            go_first(self.terminal.program.pid)
        wait_for(lambda: CODE.search(self.terminal.seen) is not None, self.terminal, START_S)
        if self.goes_first:  # what serves the pages has a session of its own
            go_first(self.terminal.program.pid)

    def code(self) -> str:
        """Read the code on the logger's screen that was not used yet."""
        wait_for(lambda: CODE.findall(self.terminal.seen)[-1] not in self.used, self.terminal)
        found = CODE.findall(self.terminal.seen)[-1]
        self.used.add(found)
        return str(found.decode().replace(" ", ""))

    def browse(self, role: str, voice: Path, *more: str) -> Browser:
        """Start a browser whose microphone is a file."""
        words = [
            *(
                "--no-sandbox",
                "--use-fake-ui-for-media-stream",
                "--use-fake-device-for-media-stream",
            ),
            *(f"--use-file-for-fake-audio-capture={voice}%noloop", *more),
            *("--autoplay-policy=no-user-gesture-required", "--disable-gpu"),
        ]
        if role in self.through:
            to = f"MAP 127.0.0.1:{self.port} 127.0.0.1:{self.through[role]}"
            words.append(f"--host-resolver-rules={to}")
        self.browsers[role] = self.started.chromium.launch(executable_path=CHROMIUM, args=words)
        for pid in of_browser(voice) if self.goes_first else ():
            go_first(pid)
        return self.browsers[role]

    def open(
        self,
        role: str,
        voice: Path,
        name: str = "",
        paired_as: str = "",
        **options: Any,  # noqa: ANN401
    ) -> Page:
        """Pair a phone for a role, or by mistake as another, up to its consent screen."""
        context = self.screen(self.browse(role, voice), **options)
        if self.hears_by_clock:
            context.add_init_script(HEARS_BY_THE_CLOCK)
            context.route("**/voice.wav", lambda route: route.fulfill(path=voice))
        return self.pair(context, role, name or NAMES[role], paired_as)

    def open_again(self, role: str, voice: Path) -> Page:
        """Open the page of a phone that is paired and waits for the logger's yes."""
        context = self.screen(self.browse(role, voice), storage_state=self.kept[role])
        self.pages[role] = self.watched(context)
        self.pages[role].goto(f"https://127.0.0.1:{self.port}/")
        return self.pages[role]

    def screen(self, browser: Browser, **options: Any) -> BrowserContext:  # noqa: ANN401
        """Give a browser a phone's screen."""
        return browser.new_context(
            viewport={"width": 390, "height": 844},
            has_touch=True,
            ignore_https_errors=True,
            **options,
        )

    def chief(self, name: str) -> Page:
        """Pair a phone of a chief."""
        started = self.started.chromium
        browser = started.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        self.browsers["chief"] = browser
        page = self.watched(self.screen(browser))
        page.goto(f"https://127.0.0.1:{self.port}/#{self.code()}")
        page.get_by_label("Your name").fill(name)
        page.locator("[name=role][value=unsaid]").check()
        page.get_by_role("button", name="Pair").tap()
        expect(page.locator("#link")).to_contain_text("LIVE", timeout=PATIENCE_MS)
        return page

    def pair(self, context: BrowserContext, role: str, name: str, paired_as: str = "") -> Page:
        """Pair a phone in a browser."""
        return self.pair_page(self.watched(context), role, name, paired_as)

    def pair_page(self, page: Page, role: str, name: str, paired_as: str = "") -> Page:
        """Pair a phone by its page."""
        page.goto(f"https://127.0.0.1:{self.port}/#{self.code()}")
        page.get_by_label("Your name").fill(name)
        page.locator(f"[name=role][value={paired_as or role}]").check()
        page.get_by_role("button", name="Pair").tap()
        expect(page.locator("#consent")).to_be_visible(timeout=PATIENCE_MS)
        self.pages[role] = page
        return page

    def watched(self, context: BrowserContext) -> Page:
        """Open a page, and hear what its console says."""
        page = context.new_page()
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.on(
            "console",
            lambda said: self.faults.append(said.text) if said.type == "error" else None,
        )
        return page

    def begin(self, *, keeps: bool = True, waiting: Sequence[str] = ()) -> None:
        """Let all phones agree at the same moment, so that their files begin together.

        Args:
            keeps: they let clips be kept.
            waiting: phones that are not heard, since another has their place.
        """
        button = "agree" if keeps else "agree-none"
        at_ms = time.time() * 1000 + SOON_MS
        for page in self.pages.values() if self.hears_by_clock else ():
            page.evaluate("(at) => { sessionStorage.begun = at; }", at_ms + 1000 * self.opens_s)
        for page in self.pages.values():
            page.evaluate(
                "([id, at]) => { setTimeout(() => byId(id).click(), at - Date.now()) }",
                [button, at_ms],
            )
        for role, page in self.pages.items():
            told = "another phone" if role in waiting else "Listening"
            expect(page.locator("#state")).to_contain_text(told, timeout=PATIENCE_MS)

    @property
    def unexpected(self) -> list[str]:
        """What the pages' consoles said, but for connections that a test cut itself."""
        return [each for each in self.faults if not any(part in each for part in EXPECTED)]

    def entries(self, kind: str) -> list[dict[str, Any]]:
        """Read the entries of a kind that are on disk, as an onlooker."""
        with Journal.open(self.job, read_only=True) as journal:
            return [each.content for each in journal.entries(kind)]  # type: ignore[misc]

    def let_pass(self, seconds: float) -> None:
        """Let the browsers go on for a while."""
        next(iter(self.pages.values())).wait_for_timeout(1000 * seconds)

    def wait(self, condition: Any, seconds: float = 30.0) -> None:  # noqa: ANN401
        """Wait until something holds, while the browsers go on."""
        deadline_s = time.monotonic() + seconds
        while not condition():
            told = self.terminal.seen[-2500:].decode("utf-8", "replace")
            assert self.terminal.program.poll() is None, told
            assert time.monotonic() < deadline_s, (told, self.faults)
            self.let_pass(0.1)
