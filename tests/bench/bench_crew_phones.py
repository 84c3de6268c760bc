"""Benchmark of the crew's phones: two browsers play the demo's crew, on networks good and bad.

Two headless Chromiums of a phone's size are head's and rear's phones; each has what that person's
microphone heard in the demo's recording as its own, the other one's voice lowered by 30 dB, since
two browsers do not begin at quite the same moment. TLS and WebSocket are real; the network is a
carrier of our own (`tests.rough_network`). What is booked is held against what the same sound gives
from a file. ``day`` and ``words`` are heard by the encoder model; so that the others can be told on
a busy computer, what is said in them is understood by its script: an utterance is the one of the
recording whose sound it has (correlation `SAME`), is unsure where a part of that is there
(`LIKE`), and is nothing else. Run with ``python -m tests.bench.bench_crew_phones [TRIAL ...]``.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from pathlib import Path
from statistics import median
from typing import Any, Self
from unittest import mock

import numpy as np
import soundfile
import soxr
from playwright.sync_api import sync_playwright

from calllog import cli
from calllog.audio import RATE_HZ, Utterance
from calllog.commands import engine
from calllog.commands import field as commands
from calllog.journal import Journal
from calllog.live import FieldLoop
from calllog.office import verify_job
from calllog.phone.crew import CrewPhones
from calllog.phone.ears import Ears
from calllog.phone.frames import FRAME, FRAME_S, Frame, hand_on
from calllog.readback import Saying
from calllog.recognise import Hypothesis
from calllog.session import Told
from calllog.values import Expectation, Role
from tests.commanding import run
from tests.crew_phones import LEAD_S, LINE, ROLES, CrewOfPhones, voices
from tests.measured.results import keep
from tests.test_phone_desk import free_port
from tests.virtual import ROOT

SHORT_S = (0.0, 41.5)
"""Conditions and two pulls, 17 utterances."""
CUT_AT_S = 14.3
"""Of that, right before the first part is called."""
JITTER_S, LOSS = 0.2, 0.05
PATIENCE_S = 180.0
TARGETS = {
    "end of speech to first sound in the other's ear, median [ms]": 900.0,
    "message to first sound on the phone, median [ms]": 150.0,
    "processor beside recognition [% of a core]": 10.0,
}


SAME, LIKE = 0.9, 0.4
KNOWN = "CALLLOG_BENCH_VOICES"
"""Variable of the environment: the two voices' files, and where the recording's part begins."""


class ByScript:
    """Understands an utterance by the recording that it was played from."""

    identity = "script of the demo"

    def __init__(self, folder: Path, begin_s: float) -> None:
        spoken = json.loads((LINE.recording.parent.parent / "spoken.json").read_text("utf-8"))
        files = [soundfile.read(folder / f"{role}.wav")[0] for role in ROLES]
        sounds = [soxr.resample(each, 48_000, RATE_HZ) for each in files]
        self._known: list[tuple[int, str, np.ndarray]] = []
        for each in spoken["recordings"][0]["utterances"]:
            begin, end = (each[name] - begin_s + LEAD_S for name in ("start_s", "end_s"))
            channel = each["channel"] - 1
            sound = sounds[channel][int(begin * RATE_HZ) : int(end * RATE_HZ)]
            words = "" if each["what"] in ("talk", "chatter") else each["words"]
            if len(sound):
                self._known.append((channel, words, sound))

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Find whose sound it is."""
        del expects
        found = [
            (alike(utterance.samples, sound), words)
            for channel, words, sound in self._known
            if channel == utterance.channel
        ]
        most, words = max(found, default=(0.0, ""))
        if most < LIKE or not words:
            return ()
        return (Hypothesis(words, 0.97 if most >= SAME else 0.5),)

    def close(self) -> None:
        """Hold nothing."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        return


def alike(heard: np.ndarray, sound: np.ndarray) -> float:
    """Give how well a sound is found in what was heard: their greatest correlation."""
    size = len(heard) + len(sound)
    spectra = np.fft.rfft(heard, size), np.fft.rfft(sound, size)
    power = float(np.sqrt(np.sum(np.square(heard)) * np.sum(np.square(sound)))) or 1.0
    return float(np.max(np.fft.irfft(spectra[0] * np.conj(spectra[1]), size))) / power


def by_script(*_: object, **__: object) -> ByScript:
    """Make it, in whichever process."""
    folder, begin_s = os.environ[KNOWN].split("|")
    return ByScript(Path(folder), float(begin_s))


class RoughNetwork:
    """Carries what one phone and the logger say.

    Args:
        port: the logger's.
    """

    def __init__(self, port: int) -> None:
        self.port = free_port()
        command = [sys.executable, "-m", "tests.rough_network", str(self.port), str(port)]
        self._child = subprocess.Popen(
            command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        self.ask("count")

    def ask(self, words: str) -> str:
        """Have it do something."""
        assert self._child.stdin is not None
        assert self._child.stdout is not None
        self._child.stdin.write(f"{words}\n")
        self._child.stdin.flush()
        return self._child.stdout.readline().strip()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._child.communicate()


def listen(notes: Path, *words: str) -> None:
    """Work as the command does, noting when calls ended and what was said in which ear."""

    def note(**row: Any) -> None:  # noqa: ANN401
        with notes.open("a", encoding="utf-8") as file:
            file.write(json.dumps(row) + "\n")

    told, say, began = FieldLoop._told, Ears._say, Ears.began

    def noted_call(loop: FieldLoop, each: Told) -> None:
        begun_s = time.monotonic() - loop._microphones.now_s
        ended_s = begun_s + (each.call.end_s or 0.0)
        note(what="call", ended_s=ended_s, role=each.call.role, told_s=time.monotonic())
        told(loop, each)

    def noted_say(ears: Ears, ear: Any, saying: Saying) -> None:  # noqa: ANN401
        say(ears, ear, saying)
        note(what="say", number=ears._number, role=ear.role, at_s=time.monotonic())

    def noted_began(ears: Ears, saying: int, at_s: float) -> None:
        note(what="began", number=saying, at_s=at_s)
        began(ears, saying, at_s)

    sys.argv = ["calllog", *words]
    makes = by_script if KNOWN in os.environ else engine.make_recogniser
    with (
        mock.patch.object(engine, "make_recogniser", makes),
        mock.patch.object(commands, "make_recogniser", makes),
        mock.patch.object(FieldLoop, "_told", noted_call),
        mock.patch.object(Ears, "_say", noted_say),
        mock.patch.object(Ears, "began", noted_began),
    ):
        cli.main()


@dataclass
class Trial:
    """One run of the crew."""

    name: str
    span_s: tuple[float, float] | None = SHORT_S
    say: str = "tones"
    by_script: bool = True
    """What is said is understood by its script, not by the encoder model."""
    through: bool = False
    """Head's phone goes through a network that can be bad."""
    then: Callable[[CrewOfPhones, RoughNetwork | None, float], None] | None = None
    """What befalls them, given when the sound began."""
    found: dict[str, Any] = field(default_factory=dict)


def entries(folder: Path, kind: str) -> list[dict[str, Any]]:
    """Read the entries of a kind."""
    with Journal.open(folder, read_only=True) as journal:
        return [json.loads(each.body) for each in journal.entries(kind)]


def said(folder: Path) -> list[tuple[str, str]]:
    """Give what was understood, but for what was typed."""
    return [
        (each["role"], each["text"] if each["outcome"] != "ask" else "(asked)")
        for each in entries(folder, "call")
        if not each.get("is_keyed")
    ]


def lengths(folder: Path) -> list[tuple[int, float, str]]:
    """Give what was booked."""
    return [
        (each["pull"], each["length_read_ft"], each["booking"])
        for each in entries(folder, "segment")
    ]


def filed(folder: Path, files: list[Path]) -> Path:
    """Take the same sound from a file."""
    both = [soundfile.read(each)[0] for each in files]
    together, job = folder / "both.wav", folder / "filed"
    soundfile.write(together, np.stack(both, axis=1), 48_000)
    words = ("listen", str(job), "--tape", str(LINE.tape), "--line", LINE.name)
    makes = by_script if KNOWN in os.environ else engine.make_recogniser
    with mock.patch.object(engine, "make_recogniser", makes):
        done = run(*words, "--from", str(together), "--channels", "head,rear")
    assert done.returncode == 0, done.stderr
    return job


def play(trial: Trial, folder: Path) -> dict[str, Any]:
    """Let the crew work, and tell what came of it beside the same sound from a file."""
    files = voices(LINE.recording, folder, trial.span_s)
    os.environ.pop(KNOWN, None)
    if trial.by_script:
        os.environ[KNOWN] = f"{folder}|{trial.span_s[0] if trial.span_s else 0.0}"
    lasts_s = soundfile.info(files[0]).duration
    reference, notes = filed(folder, files), folder / "notes"
    port = free_port()
    with sync_playwright() as started, RoughNetwork(port) as network:
        through = {"head": network.port} if trial.through else {}
        crew = CrewOfPhones(
            started, folder / "job", port, ("--say", trial.say), through,
            module="tests.bench.bench_crew_phones", before=("listen", str(notes)),
        )  # fmt: skip
        with crew:
            for role, file in zip(ROLES, files, strict=True):
                crew.open(role, file)
            crew.terminal.type("8/")
            crew.begin()
            begun_s = time.monotonic() - 0.3
            if trial.then is not None:
                trial.then(crew, network if trial.through else None, begun_s)
            crew.let_pass(max(0.0, begun_s + lasts_s - time.monotonic()))
            wanted = len(said(reference))
            deadline_s = time.monotonic() + PATIENCE_S
            known, still_s = -1, time.monotonic()
            while time.monotonic() < min(deadline_s, still_s + 30.0) and known < wanted:
                crew.let_pass(1.0)
                if len(said(folder / "job")) != known:
                    known, still_s = len(said(folder / "job")), time.monotonic()
            pages = crew.pages.values()
            states = [page.locator("#state").inner_text() for page in pages]
            crew.terminal.end()
    return compared(reference, folder / "job", notes) | {
        "states": "; ".join(states),
        "console": "; ".join(crew.unexpected[:5]),
        "heard again after [s]": round(crew.back_s, 1) if crew.back_s >= 0 else None,
        "load": round(os.getloadavg()[0], 1),
    }


def compared(reference: Path, job: Path, notes: Path) -> dict[str, Any]:
    """Hold what came of it against the same sound from a file."""
    wanted, found = said(reference), said(job)
    right = sum(
        block.size
        for block in SequenceMatcher(None, wanted, found, autojunk=False).get_matching_blocks()
    )
    booked, true = lengths(job), lengths(reference)
    told = [
        f"{kind} {each.get('reason') or each.get('gap_s') or each.get('frames')}"
        for kind in ("microphone_lost", "microphone_back", "sound_lost")
        for each in entries(job, kind)
    ]
    return {
        "utterances": len(wanted),
        "as from the file": right,
        "asked again": sum(text == "(asked)" for _, text in found),
        "missing": max(0, len(wanted) - len(found)),
        "segments": len(booked),
        "segments from the file": len(true),
        "wrong segments": len([each for each in booked if each not in true]),
        "told": "; ".join(told),
        "journal is consistent": verify_job(job).ok,
        **delays(notes),
    }


def delays(notes: Path) -> dict[str, Any]:
    """Measure from the end of speech to the first sound in the other's ear [ms]."""
    rows = [json.loads(row) for row in notes.read_text("utf-8").splitlines()]
    began = {row["number"]: row["at_s"] for row in rows if row["what"] == "began"}
    on_way = [
        1000 * (began[row["number"]] - row["at_s"])
        for row in rows
        if row["what"] == "say" and row["number"] in began
    ]
    whole = []
    for place, row in enumerate(rows):
        if row["what"] != "call":
            continue
        after = next(
            (
                each
                for each in rows[place:]
                if each["what"] == "say" and each["role"] != row["role"]
            ),
            None,
        )
        if after is not None and after["number"] in began:
            whole.append(1000 * (began[after["number"]] - row["ended_s"]))
    return {
        "message to first sound, median [ms]": round(median(on_way)) if on_way else None,
        "end of speech to the other's ear, median [ms]": round(median(whole)) if whole else None,
        "sayings timed": len(on_way),
    }


def cut(seconds: float) -> Callable[[CrewOfPhones, RoughNetwork | None, float], None]:
    """Cut head's network for a while."""

    def then(crew: CrewOfPhones, network: RoughNetwork | None, begun_s: float) -> None:
        assert network is not None
        crew.let_pass(max(0.0, begun_s + LEAD_S + CUT_AT_S - time.monotonic()))
        network.ask("cut")
        crew.let_pass(seconds)
        network.ask("mend")
        mended_s = time.monotonic()
        page = crew.pages["head"]
        while "Listening" not in page.locator("#state").inner_text():
            crew.let_pass(0.05)
        crew.back_s = time.monotonic() - mended_s

    return then


def rough(crew: CrewOfPhones, network: RoughNetwork | None, begun_s: float) -> None:
    """Make head's network bad."""
    del crew, begun_s
    assert network is not None
    network.ask(f"rough {JITTER_S} {LOSS}")


def kill_browser(crew: CrewOfPhones, network: RoughNetwork | None, begun_s: float) -> None:
    """Kill rear's browser in the middle."""
    del network
    crew.let_pass(max(0.0, begun_s + LEAD_S + 26.0 - time.monotonic()))
    crew.browsers.pop("rear").close()
    del crew.pages["rear"]


def kill_logger(crew: CrewOfPhones, network: RoughNetwork | None, begun_s: float) -> None:
    """Take the logger's power away, and go on by the same command."""
    del network
    crew.let_pass(max(0.0, begun_s + LEAD_S + 26.0 - time.monotonic()))
    crew.terminal.kill()
    crew.terminal.close()
    crew.start()
    crew.wait(lambda: b"y lets" in crew.terminal.seen, PATIENCE_S)
    crew.terminal.type("y")
    let_in_s = time.monotonic()
    for page in crew.pages.values():
        while "Listening" not in page.locator("#state").inner_text():
            crew.let_pass(0.1)
            assert time.monotonic() < let_in_s + PATIENCE_S
    crew.back_s = time.monotonic() - let_in_s


def processor() -> dict[str, Any]:
    """Measure what the field loop's side of two phones takes, in 60 s of their sound [%]."""
    phones = CrewPhones((Role.HEAD, Role.REAR), (Role.HEAD, Role.REAR))
    begun_s, blocks = time.monotonic(), 0
    sound = np.random.default_rng(1).normal(0, 900, FRAME).astype("<i2").tobytes()
    with phones.hand_over() as theirs:
        used_s = time.process_time()
        for number in range(3000):
            at_s = begun_s + number * FRAME_S
            phones.clock = lambda at_s=at_s: at_s + FRAME_S  # type: ignore[misc]
            for role in phones.roles:
                theirs.send(hand_on(role, 1, Frame(number, at_s, sound)))
            while phones.read(0.0) is not None:
                blocks += 1
        used_s = time.process_time() - used_s
    phones.close()
    return {"field loop's side [% of a core]": round(100 * used_s / 60, 2), "blocks": blocks}


TRIALS = {
    each.name: each
    for each in (
        Trial("day", None, by_script=False),
        Trial("day by script", None),
        Trial("words", say="all", by_script=False),
        Trial("cut 0.2", through=True, then=cut(0.2)),
        Trial("cut 2", through=True, then=cut(2.0)),
        Trial("cut 20", through=True, then=cut(20.0)),
        Trial("rough", through=True, then=rough),
        Trial("browser killed", then=kill_browser),
        Trial("logger killed", then=kill_logger),
    )
}


def main(names: list[str]) -> None:
    """Run trials, and print what came of them."""
    result: dict[str, Any] = {"targets": TARGETS}
    for name in names:
        if name == "processor":
            result[name] = processor()
            continue
        with tempfile.TemporaryDirectory(prefix="cl") as folder:
            result[name] = play(TRIALS[name], Path(folder))
        print(name, json.dumps(result[name]), file=sys.stderr, flush=True)  # noqa: T201 - as it goes
    keep("crew-phones", result, n=f"{len(names)} trials")


if __name__ == "__main__":
    if sys.argv[1:2] == ["listen"]:
        listen(Path(sys.argv[2]), *sys.argv[3:])
    else:
        main(sys.argv[1:] or [*TRIALS, "processor"])
