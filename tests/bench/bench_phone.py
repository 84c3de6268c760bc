"""Benchmark of the chief's page: from a call on disk to the page, and what 20 phones cost.

The first part plays the demo's crew in real time into a virtual microphone; the command `listen`
hears it in a terminal of its own, and headless Chromium of a phone's size shows its page. Both
note times by the computer's one clock. The second part lets the recogniser answer the same
utterances over and over, in turns without the page and with 20 phones that follow it; the phones
run on the same computer, so that their own work counts too. Needs PulseAudio and chromium. Run
with ``python -m tests.bench.bench_phone``.
"""

from __future__ import annotations

import asyncio
import hashlib
import os
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any
from unittest import mock

from playwright.sync_api import sync_playwright

from calllog import cli
from calllog.audio import Recording, utterances
from calllog.commands.engine import DEFAULT_ENGINE, make_recogniser
from calllog.demo import load_day
from calllog.panel import say_view, view_of
from calllog.phone.desk import Desk
from calllog.phone.guests import Guests
from calllog.phone.page_process import Child, begin_page
from calllog.phone.place import Place
from calllog.recognise.worker import Worker
from calllog.session import Job
from calllog.values import Call, Consequence, Expectation, message
from calllog.wording import ENGLISH
from tests.fieldjob import long_job
from tests.measured.results import keep
from tests.panel import GRAMMAR
from tests.terminal import Terminal, wait_for
from tests.virtual import VirtualSound, free_port

LINE = load_day().lines[0]
PHONES = 20
STATES_S = 0.5
"""Between two states: four times as often as a crew calls."""
TURN_S = 0.03
ROUNDS = 8
HEARD = 30
"""Utterances of one round."""
TARGETS = {"call on disk to page, median [ms]": 150.0, "slow-down [%]": 5.0}
WATCH = """() => {
    window.times = [];
    new MutationObserver(() => {
        const number = state.calls.length ? state.calls[0].number : 0;
        requestAnimationFrame(() => setTimeout(() => window.times.push([number, Date.now()])));
    }).observe(document.documentElement, { attributes: true });
}"""
"""Notes when each state has been painted, for which it waits until the frame is done."""


def listen(notes: Path, *words: str) -> None:
    """Work as the command does, noting when each call was on disk."""
    take = Job.record

    def noted(job: Job, event: Call) -> tuple[Consequence, ...]:
        consequences = take(job, event)
        if isinstance(event, Call):
            with notes.open("a", encoding="utf-8") as file:
                file.write(f"{event.number} {time.time() * 1000}\n")
        return consequences

    sys.argv = ["calllog", "listen", *words]
    with mock.patch.object(Job, "record", noted):
        cli.main()


def shown_after_ms() -> list[float]:
    """Measure from each call on disk to the page that shows it [ms]."""
    with tempfile.TemporaryDirectory(prefix="cl") as name, VirtualSound(Path(name)) as sound:
        sound.add_microphone("crew", 2)
        folder, port = Path(name), free_port()
        notes = folder / "notes"
        terminal = Terminal(
            sound.env,
            *("listen", str(notes), str(folder / "job"), "--tape", str(LINE.tape)),
            *("--line", LINE.name, "--microphone", "crew", "--channels", "head,rear"),
            *("--consent", "the crew's synthetic voices"),
            *("--say", "tones", "--output", "none", "--page", "--page-port", str(port)),
            module="tests.bench.bench_phone",
        )
        try:
            code = re.compile(rb"code (\d{4}) (\d{4})")
            wait_for(lambda: code.search(terminal.seen) is not None, terminal, 60)
            given = b"".join(code.findall(terminal.seen)[-1]).decode()
            with sync_playwright() as started:
                browser = started.chromium.launch(
                    executable_path=shutil.which("chromium"), args=["--no-sandbox"]
                )
                page = browser.new_page(viewport={"width": 390, "height": 844})
                page.goto(f"http://127.0.0.1:{port}/#{given}")
                page.fill("#name", "Anna")
                page.click("button[type=submit]")
                page.wait_for_selector("body:not(.stale) #take", state="attached")
                page.evaluate(WATCH)
                player = sound.play(LINE.recording, "crew")
                while player.poll() is None:
                    page.wait_for_timeout(500)
                page.wait_for_timeout(3000)
                times: list[list[float]] = page.evaluate("() => window.times")
                browser.close()
            terminal.end()
        finally:
            terminal.close()
        on_disk = {
            int(number): float(at_ms)
            for number, at_ms in map(str.split, notes.read_text("utf-8").splitlines())
        }
    first: dict[int, float] = {}
    for number, at_ms in times:
        first.setdefault(int(number), at_ms)
    return [first[number] - at_ms for number, at_ms in on_disk.items() if number in first]


async def follow(port: int, secrets: list[str]) -> None:
    """Follow the page with one connection a phone, reading what comes."""

    async def one(secret: str) -> None:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(
            f"GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n"
            f"Cookie: calllog={secret}\r\n\r\n".encode()
        )
        while await reader.read(65536):
            pass

    await asyncio.gather(*map(one, secrets))


class Serving:
    """The page of a job, with phones that follow it; stopped until it is let go on."""

    def __init__(self, job: Job) -> None:
        secrets = [f"phone {number}" for number in range(PHONES)]
        self._job, port = job, free_port()
        paired = Guests(job, bytes(32))
        for number, secret in enumerate(secrets):
            paired.pair(f"P{number}", hashlib.sha256(secret.encode()).hexdigest())
        self.pid = 0
        self.desk = Desk(job, 1, Place(port=port), key=bytes(32), begin=self._begin)
        self.desk.press("y")
        command = [sys.executable, "-m", "tests.bench.bench_phone", "follow", str(port), *secrets]
        self._phones = subprocess.Popen(command)
        self._pids = (self.pid, self._phones.pid)
        self._states = self.shown = 0
        self._turn_for(3.0)
        self._signal(signal.SIGSTOP)

    def _begin(self, words: Sequence[str], handed: Sequence[int]) -> Child:
        """Begin the page's process as the desk does, and know it."""
        begun = begin_page(words, handed)
        self.pid = begun.pid
        return begun

    def _signal(self, number: signal.Signals) -> None:
        for pid in self._pids:
            os.kill(pid, number)

    def _turn_for(self, seconds: float) -> None:
        until_s = time.monotonic() + seconds
        while time.monotonic() < until_s:
            self._turn()

    def _turn(self) -> None:
        self.desk.read()
        if time.monotonic() // STATES_S != self._states:
            self._states = int(time.monotonic() // STATES_S)
            notices = (message("as-told", words=f"state {self._states}"),)
            view = view_of(self._job.replay, GRAMMAR.commands, {}, notices=notices)
            self.desk.show(say_view(view, ENGLISH), self._job.replay)
            self.shown += 1
        time.sleep(TURN_S)

    @contextmanager
    def on(self) -> Iterator[None]:
        """Serve meanwhile."""
        ended = threading.Event()

        def turn() -> None:
            while not ended.is_set():
                self._turn()

        self._signal(signal.SIGCONT)
        thread = threading.Thread(target=turn)
        thread.start()
        try:
            yield
        finally:
            ended.set()
            thread.join()
            self._signal(signal.SIGSTOP)

    def close(self) -> None:
        """End it."""
        self._signal(signal.SIGCONT)
        self._phones.kill()
        self._phones.wait()
        self.desk.close()


def slow_down() -> dict[str, Any]:
    """Measure how long the recogniser takes without the page and with 20 phones [s]."""
    heard = [
        each for each in utterances(Recording(LINE.recording)) if each.end_s - each.start_s < 2
    ][:HEARD]
    sums: dict[str, list[float]] = {"without": [], "with": []}
    with tempfile.TemporaryDirectory() as name:
        folder = long_job(Path(name) / "job", 40)
        make = partial(make_recogniser, DEFAULT_ENGINE, None)
        with Job.open_existing(folder) as job, Worker(make) as worker:
            serving = Serving(job)
            for number in range(2 * ROUNDS):
                kind = "without" if number % 4 in (0, 3) else "with"
                if kind == "with":
                    with serving.on():
                        sums[kind].append(_hear(worker, heard))
                else:
                    sums[kind].append(_hear(worker, heard))
            cpu_s = sum(map(float, _cpu_s(serving.pid)))
            states = serving.shown
            serving.close()
    ratios = [b / a for a, b in zip(sums["without"], sums["with"], strict=True)]
    return {
        "phones": PHONES,
        "utterances a round": len(heard),
        "rounds": ROUNDS,
        "without [s a round]": [round(each, 3) for each in sums["without"]],
        "with [s a round]": [round(each, 3) for each in sums["with"]],
        "slow-down, median of pairs [%]": round(100 * (statistics.median(ratios) - 1), 1),
        "slow-down of the medians [%]": round(
            100 * (statistics.median(sums["with"]) / statistics.median(sums["without"]) - 1), 1
        ),
        "states": states,
        "page's processor time [s]": round(cpu_s, 2),
        "page's time on [s]": round(sum(sums["with"]), 1),
    }


def _hear(worker: Worker, heard: list[Any]) -> float:
    begun_s = time.monotonic()
    for each in heard:
        worker.ask(each, Expectation.ANY)
        while not worker.answers(1.0):
            pass
    return time.monotonic() - begun_s


def _cpu_s(pid: int) -> tuple[float, float]:
    fields = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()
    ticks = os.sysconf("SC_CLK_TCK")
    return int(fields[11]) / ticks, int(fields[12]) / ticks


def main() -> None:
    """Measure both, and print them."""
    shown_ms = sorted(shown_after_ms())
    result = {
        "targets": TARGETS,
        "call on disk to page [ms]": {
            "calls": len(shown_ms),
            "median": round(statistics.median(shown_ms)),
            "95 %": round(shown_ms[int(0.95 * (len(shown_ms) - 1))]),
            "longest": round(shown_ms[-1]),
        },
        "20 phones": slow_down(),
    }
    n = f"{len(shown_ms)} calls; {ROUNDS} pairs of rounds"
    keep("phone", result, n=n)


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["listen", notes, *words]:
            listen(Path(notes), *words)
        case ["follow", port, *secrets]:
            asyncio.run(follow(int(port), secrets))
        case _:
            main()
