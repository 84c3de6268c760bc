"""One trial of the crew's phones: what befalls them while they work, and what became of the calls.

What was called is held against what a file of the same sound gives, by time: a call is there, was
asked again, or is missing; and one that is missing is missing *with a word* if something that was
journalled (a microphone lost, sound lost, another sitting) covers it.
"""

from __future__ import annotations

import json
import math
import os
import shutil
import statistics
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import soundfile
from playwright.sync_api import sync_playwright

from calllog.demo.day import DayLine
from calllog.journal import Entry, Journal
from calllog.office.summary import verify_job
from calllog.tape import load_certificate
from calllog.values import Style
from tests.bench.noting import delays
from tests.commanding import run
from tests.crew_phones import LEAD_S, LINE, ROLES, SOON_MS, CrewOfPhones, voices
from tests.rough_network import RoughNetwork
from tests.virtual import VirtualSound, free_port

SHORT_S = (30.9, 73.6)
"""Of the first recording: a pull that agrees, and one that stops and is measured again."""
PATIENCE_S = 180.0
QUIET_S = 60.0
"""Silence behind what is said: a file that ends is a microphone that is lost."""
OPENS_S = 0.2
"""How long a browser takes to open a microphone, about."""
LATER_S = 4.0
"""The same where it hears by the clock, be the computer ever so busy."""
STILL_S = 12.0
"""Nothing more comes after so long without a call."""
NEAR_S = 4.0
"""A question about a call is put within this of its end."""
AROUND_S = 2.0
"""What is journalled of a loss covers so much more on either side."""
LATEST_S = 30.0
"""A busy computer's browsers begin to play no later than this."""
GATHERED_S = 11.0
"""Lost sound is told of at most so long after it was lost."""
SAID = {Style.ADD: "8/", Style.CUT: "7/"}
"""What is typed to say how a tape reads: at work that must be said; a file cannot be asked."""
ASKED_FIRST = ("lone-word", "again-or-next-pull", "mended-or-next-pull")
"""Questions about a call that may be none."""
UNSAID = "style-not-confirmed"
"""Finding of the segment from a file, therefore."""
TICK_S = os.sysconf("SC_CLK_TCK")
KEPT = "CALLLOG_BENCH_KEPT"
"""Variable of the environment: a folder in which the trials' jobs are kept, to be looked at."""
PARTS = {"whole": 100, "fraction": 1}
"""What a number that is said counts for as one of them [hundredths]."""
LAPEL = "lapel"
TYPES = ("keypad", "keys")
"""What rear types on instead of speaking."""
PRESS = """sent => byId("keys").children[KEYS.findIndex((each) => each[0] === sent)].dispatchEvent(
    new PointerEvent("pointerdown", { cancelable: true }))"""
"""Touches a key of the page."""
TYPED = {
    "eighty three": "83.\r",
    "thirty three": "33.\r",
    "forty four": ".44\r",
    "eighty seven": ".87\r",
    "measure again": "0/\r",
}
"""What rear says, as it is typed."""


def clock() -> float:
    """Tell the time by the clock of the journal [s]."""
    return time.clock_gettime(time.CLOCK_BOOTTIME)


class Called(NamedTuple):
    """A call, by what it means."""

    role: str
    kind: str
    name: str
    value: int | None
    amount: float | None


@dataclass
class Playing:
    """A crew that is at work in a trial."""

    crew: CrewOfPhones
    network: RoughNetwork
    span_s: tuple[float, float] | None
    sound: VirtualSound | None = None
    """Where rear's own microphone is, if rear has no phone."""
    files: Sequence[Path] = ()
    """What head's and rear's microphones hear."""
    begun_s: float = 0.0
    """When its sound began, on the journal's clock [s]."""
    told: dict[str, Any] = field(default_factory=dict)
    """What what befell them leaves to be told."""
    without_a_logger: tuple[float, float] | None = None
    """When there was no logger at all [s]."""

    def wait_until(self, at_s: float) -> None:
        """Let the crew work until a time of the recording [s]."""
        begin_s = 0.0 if self.span_s is None else self.span_s[0]
        self.crew.let_pass(max(0.0, self.begun_s + LEAD_S + at_s - begin_s - clock()))

    def until_heard(self, *roles: str) -> float:
        """Wait until phones say that they are heard; give how long that took [s]."""
        since_s = clock()
        for role in roles:
            page = self.crew.pages[role]
            while "Listening" not in page.locator("#state").inner_text():
                self.crew.let_pass(0.05)
                assert clock() < since_s + PATIENCE_S
        return clock() - since_s


Befalls = Callable[[Playing], None]


@dataclass(frozen=True)
class Trial:
    """One run of the crew."""

    name: str
    lines: tuple[tuple[DayLine, tuple[float, float] | None], ...] = ((LINE, SHORT_S),)
    """Which part of which line of the day."""
    say: str = "tones"
    through: bool = False
    """Head's phone goes through a network that can be bad."""
    beside: str = ""
    """What is beside the phones: ``microphone`` in the place of rear's, ``keypad`` or ``keys`` (of
    the phone) that rear types on instead of speaking."""
    by_clock: bool = False
    """Microphones go on by the clock when they are opened again (see `CrewOfPhones`)."""
    swapped_at_s: float | None = None
    """From when on each speaks into the other's phone [s]."""
    paired_as: str = ""
    """What rear's phone is paired as by mistake."""
    then: Befalls | None = None
    is_weighed: bool = True
    """All calls of a pull are weighed together, as is the rule at work; a file's are not."""
    expected: tuple[tuple[int, float, str], ...] | None = None
    """What is booked, if not what the file gives."""


def entries(folder: Path, *kinds: str) -> list[Entry]:
    """Read the entries of some kinds."""
    with Journal.open(folder, read_only=True) as journal:
        return [each for each in journal.entries() if each.kind in kinds]


def bodies(folder: Path, *kinds: str) -> list[dict[str, Any]]:
    """Read what stands in entries of some kinds."""
    return [json.loads(each.body) for each in entries(folder, *kinds)]


def meant(body: dict[str, Any]) -> Called | None:
    """Give what a call means; None for one that was asked again or is none."""
    if body["outcome"] != "call":
        return None
    called = Called(*(body[name] for name in ("role", "kind", "name", "value", "amount")))
    if called.kind in PARTS:  # what was asked for is known as that part, and is the same number
        value = (called.value or 0) // PARTS[called.kind]
        return called._replace(kind="number", value=value)
    return called


def lengths(folder: Path) -> list[tuple[int, float, str]]:
    """Give what was booked."""
    return [
        (each["pull"], each["length_read_ft"], each["booking"])
        for each in bodies(folder, "segment")
    ]


def details(folder: Path) -> list[tuple[Any, ...]]:
    """Give what was booked with all that an office sees of it."""
    return [
        (
            *(each[name] for name in ("pull", "line_from", "line_to", "length_read_ft", "booking")),
            each["take"]["length"],
            each["check"] and each["check"]["length"],
            tuple(code for found in each["findings"] if (code := found["code"]) != UNSAID),
            tuple(other["length"] for other in each["superseded"]),
            json.dumps(each["conditions"], sort_keys=True),
        )
        for each in bodies(folder, "segment")
    ]


def take_file(job: Path, line: DayLine, sound: Path) -> None:
    """Take sound from a file into a job."""
    words = ("listen", str(job), "--tape", str(line.tape), "--line", line.name)
    done = run(*words, "--from", str(sound), "--channels", "head,rear")
    assert done.returncode == 0, done.stderr


def play(trial: Trial, folder: Path) -> dict[str, Any]:
    """Let the crew work, and tell what came of it beside the same sound from a file."""
    job, reference, notes = folder / "job", folder / "filed", folder / "notes"
    port, told, begun = free_port(), [], []
    with ExitStack() as opened:
        crew, playing = _crew(trial, folder, port, notes, opened)
        for count, (line, span_s) in enumerate(trial.lines):
            files = voices(line.recording, folder, span_s, tail_s=QUIET_S)
            _file(trial, reference, line, span_s, folder, files)
            crew.line, playing.span_s, playing.files = line, span_s, files
            if count:
                crew.start()
            else:
                opened.enter_context(crew)
            if trial.swapped_at_s is not None:
                _swap(files, LEAD_S + trial.swapped_at_s - (span_s[0] if span_s else 0.0))
            _open(crew, files, trial.paired_as, is_first=not count)
            style = load_certificate(line.tape.read_text("utf-8"), line.name).style
            crew.terminal.type(SAID.get(style, ""))
            told.append(_work(trial, playing, files))
            begun.append(playing.begun_s)
            crew.keep()
            crew.shut()
            crew.terminal.end()
            if count < len(trial.lines) - 1:
                crew.terminal.close()
    for each in (job, reference) if os.environ.get(KEPT) else ():
        place = Path(os.environ[KEPT]) / trial.name / each.name
        shutil.copytree(each, place, dirs_exist_ok=True)
    found = compared(trial, playing, reference, job, begun)
    found |= delays(notes) | playing.told | told[-1]
    return found | {"console": "; ".join(crew.unexpected[:5])}


def _crew(
    trial: Trial, folder: Path, port: int, notes: Path, opened: ExitStack
) -> tuple[CrewOfPhones, Playing]:
    """Make the crew, its network and what is beside its phones."""
    started = opened.enter_context(sync_playwright())
    network = opened.enter_context(RoughNetwork(port))
    weighed = "--weigh-together" if trial.is_weighed else "--weigh-alone"
    words: tuple[str, ...] = ("--say", trial.say, weighed)
    sound: VirtualSound | None = None
    crew = CrewOfPhones(
        started,
        folder / "job",
        port,
        goes_first=True,
        hears_by_clock=trial.by_clock,
        opens_s=LATER_S if trial.by_clock else OPENS_S,
        through={"head": network.port} if trial.through else {},
        module="tests.bench.noting",
        before=(str(notes),),
    )
    if trial.beside == "microphone":
        (place := folder / "p").mkdir()
        sound = opened.enter_context(VirtualSound(place))
        sound.add_microphone(LAPEL)
        crew.env = crew.env | sound.env
        words = (*words, "--microphone", LAPEL, "--channels", "rear", "--output", "none")
        words = (*words, "--consent", "rear=Rowan")
        crew.wearers = ("head",)
    elif trial.beside == "keypad":
        words = (*words, "--keys", "rear")
    crew.words = words
    return crew, Playing(crew, network, None, sound)


def _file(
    trial: Trial,
    reference: Path,
    line: DayLine,
    span_s: tuple[float, float] | None,
    folder: Path,
    files: list[Path],
) -> None:
    """Take the same from a file: the recording itself where the listeners hear all of it."""
    if span_s is None:
        take_file(reference, line, line.recording)
        return
    both = [soundfile.read(each)[0] for each in files]
    together = folder / "both.wav"
    soundfile.write(together, np.stack(both, axis=1), 48_000)
    take_file(reference, line, together)
    if trial.beside in TYPES:
        soundfile.write(files[1], np.zeros(len(both[1])), 48_000, subtype="PCM_16")


def _swap(files: list[Path], at_s: float) -> None:
    """Let each speak into the other's phone from a time of the files on [s]."""
    (head, rate_hz), (rear, _) = (soundfile.read(each) for each in files)
    at = int(at_s * rate_hz)
    for file, before, after in zip(files, (head, rear), (rear, head), strict=True):
        sound = np.concatenate((before[:at], after[at:]))
        soundfile.write(file, sound, rate_hz, subtype="PCM_16")


def _open(crew: CrewOfPhones, files: list[Path], paired_as: str = "", *, is_first: bool) -> None:
    """Open the phones up to their consent."""
    for role, file in zip(ROLES, files, strict=True):
        if role not in crew.wearers:
            continue
        if is_first:
            crew.open(role, file, paired_as=paired_as if role == "rear" else "")
        else:
            crew.open_again(role, file)
    if not is_first:
        crew.wait(lambda: b"y lets" in crew.terminal.seen, PATIENCE_S)
        crew.terminal.type("y")
        for page in crew.pages.values():
            crew.wait(page.locator("#consent").is_visible, PATIENCE_S)


def _work(trial: Trial, playing: Playing, files: list[Path]) -> dict[str, Any]:
    """Let the crew say all that they have to say."""
    crew = playing.crew
    playing.begun_s = clock() + SOON_MS / 1000 + crew.opens_s
    if playing.sound is not None:
        soon = (SOON_MS / 1000 + crew.opens_s, playing.sound.play, (files[1], LAPEL))
        threading.Timer(*soon).start()
    crew.begin(waiting=("rear",) if trial.paired_as else ())
    served, loop = _used_s(crew)
    since_s = clock()
    if trial.beside in TYPES:
        _type(playing, by_phone=trial.beside == "keys")
    if trial.then is not None:
        trial.then(playing)
    lasts_s = soundfile.info(files[0]).duration - QUIET_S
    crew.let_pass(max(0.0, playing.begun_s + lasts_s - clock()))
    _settle(crew)
    states = [page.locator("#state").inner_text() for page in crew.pages.values()]
    again_served, again_loop = _used_s(crew)
    passed_s = clock() - since_s
    is_same = playing.without_a_logger is None
    return {
        "page's process [% of a core]": round(100 * (again_served - served) / passed_s, 2)
        if is_same
        else None,
        "logger's own process [% of a core]": round(100 * (again_loop - loop) / passed_s, 1)
        if is_same
        else None,
        "states": "; ".join(states),
        "load": round(os.getloadavg()[0], 1),
    }


def _settle(crew: CrewOfPhones) -> None:
    """Wait until no call comes any more."""
    deadline_s, still_s, known = clock() + PATIENCE_S, clock(), -1
    while clock() < min(deadline_s, still_s + STILL_S):
        crew.let_pass(1.0)
        if (now := len(entries(crew.job, "call"))) != known:
            known, still_s = now, clock()


def _used_s(crew: CrewOfPhones) -> tuple[float, float]:
    """Tell what processor time the page's process and the logger's own have used [s]."""
    pid = crew.terminal.program.pid
    served = 0.0
    for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split():
        if b"calllog.server.serving" in Path(f"/proc/{child}/cmdline").read_bytes():
            served = _processor_s(child)
    return served, _processor_s(str(pid))


def _processor_s(pid: str) -> float:
    told = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / TICK_S


def _type(playing: Playing, *, by_phone: bool) -> None:
    """Type what rear says when it is said, in the terminal or on rear's phone."""
    spoken = json.loads((LINE.recording.parent.parent / "spoken.json").read_text("utf-8"))
    begin_s, end_s = playing.span_s or (0.0, 1e9)
    for said in spoken["recordings"][0]["utterances"]:
        is_rears = said["role"] == "rear" and begin_s <= said["start_s"] < end_s
        if not is_rears or (typed := TYPED.get(said["words"])) is None:
            continue
        playing.wait_until(said["end_s"])
        if not by_phone:
            playing.crew.terminal.type(typed)
            continue
        for key in typed.replace("\r", "\n"):
            playing.crew.pages["rear"].evaluate(PRESS, key)
            playing.crew.let_pass(0.1)


# What became of the calls


def compared(
    trial: Trial, playing: Playing, reference: Path, job: Path, begun: Sequence[float]
) -> dict[str, Any]:
    """Hold what came of it against the same sound from a file."""
    found = spoken_calls(job)
    wanted = in_time(_wanted(trial, reference, begun), found, begun)
    became = list(fates(wanted, found, covered(job, playing.without_a_logger)))
    booked = lengths(job)
    true = list(trial.expected) if trial.expected is not None else lengths(reference)
    told = [
        f"{each.kind} {body.get('reason') or body.get('gap_s') or body.get('frames')}"
        for each in entries(job, "microphone_lost", "microphone_back", "sound_lost")
        for body in (json.loads(each.body),)
    ]
    whole = (details(job), details(reference)) if trial.expected is None else (booked, true)
    return {
        "calls": len(wanted),
        "as from the file": became.count("right"),
        "asked again": became.count("asked"),
        "asked from the file": sum(called is None for _, called in wanted),
        "missing, told": became.count("told"),
        "missing without a word": became.count("missing"),
        "more than from the file": len(found) - sum(f in ("right", "asked") for f in became),
        "segments": len(booked),
        "segments from the file": len(true),
        "wrong segments": sum(each[1:] not in {one[1:] for one in true} for each in booked),
        "right ones under another number": sum(
            each not in true and each[1:] in {one[1:] for one in true} for each in booked
        ),
        "segments are the same in all": whole[0] == whole[1],
        "told": "; ".join(told),
        "differs": "; ".join(_differing(wanted, found)),
        "journal is consistent": verify_job(job).ok,
    }


Timed = tuple[float, Called | None]
"""When a call ended, by the journal's clock [s], and what it means; None: it was asked again."""


def _wanted(trial: Trial, reference: Path, begun: Sequence[float]) -> list[Timed]:
    """Give the spoken calls of the file, at the times at which the crew said them."""
    found: list[Timed] = []
    for entry, line, called in _spoken(reference):
        body = json.loads(entry.body)
        if trial.beside in TYPES and body["role"] == "rear":
            continue
        lead_s = 0.0 if trial.lines[line][1] else LEAD_S
        found.append((begun[line] + lead_s + body["end_s"], called))
    return found


def in_time(wanted: Sequence[Timed], found: Sequence[Timed], begun: Sequence[float]) -> list[Timed]:
    """Put what was wanted later by as much as a busy computer's browsers began late, by line."""
    shifted: list[Timed] = []
    for begin_s, end_s in pairwise((*begun, math.inf)):
        mine = [each for each in wanted if begin_s <= each[0] < end_s]
        apart_s = [
            round(at_s - due_s)
            for due_s, called in mine
            for at_s, other in found
            if called is not None and other == called and 0.0 <= at_s - due_s < LATEST_S
        ]
        late_s = statistics.mode(apart_s) if apart_s else 0
        shifted += [(due_s + max(0, late_s - 1), called) for due_s, called in mine]
    return shifted


def spoken_calls(job: Path) -> list[Timed]:
    """Give a job's spoken calls, and what was asked again, as they were journalled.

    A call that was asked about before it counted is asked again, whoever had a doubt about it.
    """
    return [(entry.monotonic_s, called) for entry, _, called in _spoken(job)]


def _spoken(job: Path) -> Iterator[tuple[Entry, int, Called | None]]:
    """Give each spoken call with the number of its line, and what it means."""
    line, held = -1, None
    for each in entries(job, "line", "call", "question"):
        body = json.loads(each.body)
        if each.kind == "line":
            line += 1
        elif each.kind == "question":
            if held is not None and body["asks"]["code"] in ASKED_FIRST:
                held = (*held[:2], None)
        else:
            if held is not None:
                yield held
            is_spoken = body["outcome"] in ("call", "ask") and not body["is_keyed"]
            held = (each, line, meant(body)) if is_spoken else None
    if held is not None:
        yield held


def covered(job: Path, away_s: tuple[float, float] | None) -> list[tuple[float, float]]:
    """Give the times that something journalled says were lost [s]."""
    found: list[tuple[float, float]] = []
    lost: dict[str, float] = {}
    for each in entries(job, "microphone_lost", "microphone_back", "sound_lost"):
        body = json.loads(each.body)
        if each.kind == "sound_lost":
            found.append((each.monotonic_s - GATHERED_S, each.monotonic_s + AROUND_S))
        elif each.kind == "microphone_lost":
            lost[body["name"]] = each.monotonic_s
        elif (since_s := lost.pop(body["name"], None)) is not None:
            found.append((since_s - AROUND_S, each.monotonic_s + AROUND_S))
    found += [(since_s - AROUND_S, 1e18) for since_s in lost.values()]
    return found if away_s is None else [*found, away_s]


def fates(
    wanted: Sequence[Timed], found: Sequence[Timed], lost: Sequence[tuple[float, float]]
) -> Iterator[str]:
    """Tell what became of each call of the file: right, asked, told as lost, or missing."""
    left = list(found)
    for at_s, called in wanted:
        near = [each for each in left if at_s - 1.0 <= each[0] <= at_s + 2 * NEAR_S]
        same = next((each for each in near if each[1] == called), None)
        asked = next((each for each in near if each[1] is None and each[0] < at_s + NEAR_S), None)
        if (taken := same or asked) is not None:
            left.remove(taken)
            yield "right" if taken is same else "asked"
        else:
            yield "told" if any(a <= at_s <= b for a, b in lost) else "missing"


def _differing(wanted: Sequence[Timed], found: Sequence[Timed]) -> Iterator[str]:
    """Tell the first calls that are not in both."""
    lists = ([str(tuple(c)) if c else "(asked)" for _, c in each] for each in (wanted, found))
    only, also = lists
    for words in dict.fromkeys([*only, *also]):
        if (by := also.count(words) - only.count(words)) != 0:
            yield f"{by:+} {words}"
