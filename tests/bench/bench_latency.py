"""Benchmark of live work: from the end of speech to the call on disk, and to the read-back's sound.

Synthetic voices are played in real time into a virtual microphone; the command `listen` hears
them as in the field: in a terminal with its panel, its recogniser's own process, its read-back
into a second virtual device, all settings as they come. It runs in a child process that notes
times; here the true end of each call is found in the sound that it captured. Needs PulseAudio.
Run with ``python -m tests.bench.bench_latency [roles ...]``, roles being ``unsaid`` (one
microphone for both) or ``head,rear``.
"""

from __future__ import annotations

import itertools
import json
import os
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
import soundfile

from calllog import cli
from calllog.audio import RATE_HZ, Utterance
from calllog.audio.endpoint import Endpointer, Samples
from calllog.audio.events import Event, Sound
from calllog.audio.microphone import Microphone
from calllog.demo import load_day
from calllog.readback import Player, Saying
from calllog.recognise import Hypothesis
from calllog.recognise.worker import Worker
from calllog.session import Job, Recorder
from calllog.session.live import LiveCrew
from calllog.spoken import load_grammar, spoken_forms
from calllog.values import Call, Consequence, Expectation, Kind
from tests.bench.bench_endpoint import active
from tests.bench.bench_recognition import GRAMMAR, LEVEL
from tests.bench.voices import TUNING_VOICES, active_rms, synthesise
from tests.measured.results import keep
from tests.terminal import Terminal, wait_for
from tests.virtual import VirtualSound

LINE = load_day().lines[0]
VOICES = TUNING_VOICES[:4]
"""Time is measured, not what is understood."""
CYCLES = 1
"""Pulls of each voice, of six calls each."""
HEAD, REAR = 0, 1
PAUSE_S = 5.0
"""Between two calls: longer than most of what is read back, for the program is deaf meanwhile."""
HISS = 5e-4
"""RMS of a microphone's own noise, of full scale: none at all would be taken for a broken one."""
SEED = 1125
FRAME = RATE_HZ // 100
BELOW_PEAK_DB = 35.0
"""A frame of 10 ms so far below a call's loudest one is no speech."""
AFTER_S = 0.5
HANG_S = 0.48
INAUDIBLE = 1e-4
TARGETS_MS = {"median": 600.0, "95 %": 1000.0}


class Notes:
    """What the child notes, each with its time on the monotonic clock [s]."""

    def __init__(self) -> None:
        self.arrived_s = self.captured_s = 0.0
        self.sound: list[Samples] = []
        self.places: list[tuple[int, float]] = []
        """Index of a stretch's first sample, and when that was captured."""
        self.rows: list[dict[str, Any]] = []

    def add(self, what: str, **content: float) -> None:
        """Note something."""
        self.rows.append({"what": what, "at": time.monotonic(), **content})

    def write(self, folder: Path) -> None:
        """Write all of it."""
        np.save(folder / "sound.npy", np.concatenate(self.sound))
        text = json.dumps({"places": self.places, "rows": self.rows})
        (folder / "notes.json").write_text(text, "utf-8")


NOTES = Notes()


class NotedMicrophone(Microphone):
    """Notes when the block arrived that was read last, and when it was captured."""

    def _follow(self, item: Any) -> Iterator[Event]:  # noqa: ANN401 - either of two private kinds
        NOTES.arrived_s = getattr(item, "arrival_s", NOTES.arrived_s)
        return super()._follow(item)

    def read(self, timeout_s: float) -> Event | None:
        """Read as it does."""
        event = super().read(timeout_s)
        if isinstance(event, Sound):
            NOTES.captured_s = event.begin_s
        return event


class NotedEndpointer(Endpointer):
    """Keeps the sound, and notes when utterances are over."""

    def hear(
        self, block: Samples, *, is_deaf: Sequence[bool] = (), may_hide: Sequence[bool] = ()
    ) -> Iterator[Utterance]:
        """Hear as it does."""
        NOTES.places.append((self.heard, NOTES.captured_s))
        NOTES.sound.append(block.copy())
        captured_s = NOTES.captured_s + len(block) / RATE_HZ
        for each in super().hear(block, is_deaf=is_deaf, may_hide=may_hide):
            NOTES.add("closed", end=each.end_s, captured=captured_s, arrived=NOTES.arrived_s)
            yield each


class NotedWorker(Worker):
    """Notes questions and answers."""

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Ask as it does."""
        number = super().ask(utterance, expects)
        NOTES.add("asked", number=number, end=utterance.end_s)
        return number

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Answer as it does."""
        came = super().answers(timeout_s)
        for number, _ in came:
            NOTES.add("answered", number=number)
        return came


class NotedPlayer(Player):
    """Notes what is to be said, and when sound of it leaves."""

    def say(self, saying: Saying) -> None:
        """Say as it does."""
        NOTES.add("said", is_silent=saying.is_silent)
        super().say(saying)

    def _fill(
        self, frames: int, rate_hz: int, delay_s: float, *, has_run_dry: bool = False
    ) -> Samples:
        now_s = time.monotonic()
        block = super()._fill(frames, rate_hz, delay_s, has_run_dry=has_run_dry)
        loud = np.flatnonzero(np.abs(block) > INAUDIBLE)
        if loud.size:
            delay_s += float(loud[0]) / rate_hz
            NOTES.rows.append({"what": "out", "at": now_s, "delay": delay_s})
        return block


def listen(folder: Path, *words: str) -> None:
    """Work as the command does, and write the notes at its end."""
    take, record_heard = Job.record, Recorder.record_heard

    def noted_take(job: Job, event: Call) -> tuple[Consequence, ...]:
        consequences = take(job, event)
        NOTES.add("on disk")
        return consequences

    def noted_take_heard(recorder: Recorder, utterance: Utterance, *rest: Any, **more: Any) -> None:  # noqa: ANN401
        NOTES.add("taken", start=utterance.start_s, end=utterance.end_s)
        record_heard(recorder, utterance, *rest, **more)

    sys.argv = ["calllog", "listen", *words]
    with (
        mock.patch("calllog.commands.field.Microphone", NotedMicrophone),
        mock.patch("calllog.commands.field.Worker", NotedWorker),
        mock.patch("calllog.commands.field.Player", NotedPlayer),
        mock.patch.dict(LiveCrew.__init__.__kwdefaults__, listening=NotedEndpointer),
        mock.patch.object(Job, "record", noted_take),
        mock.patch.object(Recorder, "record_heard", noted_take_heard),
    ):
        try:
            cli.main()
        finally:
            NOTES.write(folder)


@dataclass(frozen=True, slots=True)
class Timed:
    """One call, its moments on the monotonic clock [s]."""

    speech_end: float
    judged_end: float
    asked: float
    answered: float
    captured: float
    """When the last of the sound was captured that shows the utterance to be over."""
    arrived: float
    closed: float
    taken: float
    on_disk: float
    said: float | None
    """None where nothing is to be heard, as after talk."""
    out: float | None
    """When the output took the first sound of it."""
    heard: float | None
    """When that leaves the loudspeaker, as the output states."""


PARTS: dict[str, Callable[[Timed], float]] = {
    "detector's lag": lambda each: each.judged_end - each.speech_end,
    "silence that ends an utterance": lambda _: HANG_S,
    "rest of the block": lambda each: each.captured - each.judged_end - HANG_S,
    "sound's way in": lambda each: each.arrived - each.captured,
    "loop's turn": lambda each: each.closed - each.arrived,
    "recognition beyond it": lambda each: each.taken - each.closed,
    "clip and journal": lambda each: each.on_disk - each.taken,
}
TO_SOUND: dict[str, Callable[[Timed], float]] = {
    "on disk to say": lambda each: (each.said or 0.0) - each.on_disk,
    "say to sound": lambda each: (each.out or 0.0) - (each.said or 0.0),
    "output's delay": lambda each: (each.heard or 0.0) - (each.out or 0.0),
}
BESIDE: dict[str, Callable[[Timed], float]] = {
    "recogniser, question to answer fetched": lambda each: each.answered - each.asked,
    "recogniser asked before the utterance is over": lambda each: each.closed - each.asked,
}


def timed(folder: Path) -> list[Timed]:
    """Put the notes together, call by call."""
    notes = json.loads((folder / "notes.json").read_text("utf-8"))
    sound = np.load(folder / "sound.npy")
    begins, captured = (np.array(each) for each in zip(*notes["places"], strict=True))

    def clock(index: float) -> float:
        """Tell when a sample was captured."""
        place = int(np.searchsorted(begins, index, "right")) - 1
        return float(captured[place] + (index - begins[place]) / RATE_HZ)

    rows = notes["rows"]
    return [
        found
        for at, row in enumerate(rows)
        if row["what"] == "taken" and (found := _timed(rows, at, sound, clock)) is not None
    ]


def _timed(
    rows: list[dict[str, Any]], at: int, sound: Samples, clock: Callable[[float], float]
) -> Timed | None:
    """Find what belongs to a call that was taken; None where not all of it was noted."""
    start_s, end_s = rows[at]["start"], rows[at]["end"]

    def first(what: str, rest: Iterator[dict[str, Any]]) -> dict[str, Any] | None:
        return next((row for row in rest if row["what"] == what), None)

    after = rows[at:]
    on_disk = first("on disk", iter(after))
    closed = first("closed", (row for row in rows if row.get("end") == end_s))
    questions = [row for row in rows[:at] if row["what"] == "asked" and row["end"] == end_s]
    asked = questions[-1] if questions else None
    number = asked and asked["number"]
    answered = first("answered", (row for row in rows if row.get("number") == number))
    if on_disk is None or closed is None or asked is None or answered is None:
        return None
    said = first("said", itertools.takewhile(lambda row: row["what"] != "taken", after[1:]))
    said = None if said is None or said["is_silent"] else said
    out = said and first("out", (row for row in after if row["at"] >= said["at"]))
    return Timed(
        speech_end=clock(speech_end(sound, start_s, end_s)),
        judged_end=clock(end_s * RATE_HZ - 1),
        asked=asked["at"],
        answered=answered["at"],
        captured=closed["captured"],
        arrived=closed["arrived"],
        closed=closed["at"],
        taken=rows[at]["at"],
        on_disk=on_disk["at"],
        said=said["at"] if said else None,
        out=out["at"] if out else None,
        heard=out["at"] + out["delay"] if out else None,
    )


def speech_end(sound: Samples, start_s: float, end_s: float) -> int:
    """Find where speech really ends about an utterance: one past its last loud 10 ms."""
    first = max(0, round((start_s - AFTER_S) * RATE_HZ))
    piece = sound[first : round((end_s + AFTER_S) * RATE_HZ)].max(axis=1)
    frames = piece[: len(piece) // FRAME * FRAME].reshape(-1, FRAME)
    power = np.mean(np.square(frames, dtype=np.float64), axis=1)
    loud = np.flatnonzero(power > power.max() * 10.0 ** (-BELOW_PEAK_DB / 10.0))
    return first + (int(loud[-1]) + 1) * FRAME


def calls() -> Iterator[tuple[str, int]]:
    """Give the words of a pull, and who says them; a stop that stands is ended by the first."""
    grammar = load_grammar(GRAMMAR.read_text("utf-8"))
    draw = random.Random(SEED)  # noqa: S311 - which calls are drawn is no secret
    while True:
        feet, hundredths = draw.randrange(0, 10_000, 100), draw.randrange(100)
        whole = draw.choice(spoken_forms(grammar, Kind.WHOLE, feet))
        fraction = draw.choice(spoken_forms(grammar, Kind.FRACTION, hundredths))
        yield "measure again", HEAD
        yield from ((whole, REAR), (fraction, HEAD))
        yield "switch ends", HEAD
        yield from ((whole, HEAD), (fraction, REAR))


def scene(voice: str, said: list[tuple[str, int]], channels: int) -> Samples:
    """Let a voice say calls, each on its channel, with pauses; microphones hiss."""
    rng = np.random.default_rng(SEED)
    parts = [np.zeros((RATE_HZ // 2, channels), np.float32)]
    for words, who in said:
        spoken = active(synthesise(words, voice))
        part = np.zeros((spoken.size + round(PAUSE_S * RATE_HZ), channels), np.float32)
        part[: spoken.size, who % channels] = spoken * (LEVEL / active_rms(spoken))
        parts.append(part)
    sound = np.concatenate(parts)
    return sound + np.float32(HISS) * rng.standard_normal(sound.shape, np.float32)


def hear(roles: str, voices: tuple[str, ...]) -> tuple[int, list[Timed], list[float]]:
    """Have the voices heard; give how many calls were said, the timed ones, and the load."""
    channels = len(roles.split(","))
    script, said, loads = calls(), 0, []
    with tempfile.TemporaryDirectory(prefix="cl") as name, VirtualSound(Path(name)) as sound:
        folder = Path(name)
        sound.add_loudspeaker()
        sound.add_microphone("crew", channels)
        scenes = []
        for voice in voices:
            words = list(itertools.islice(script, 6 * CYCLES))
            said += len(words)
            scenes.append(folder / f"{voice}.wav")
            soundfile.write(scenes[-1], scene(voice, words, channels), RATE_HZ)
        tape = ("--tape", str(LINE.tape), "--line", LINE.name)
        agreed = ("--consent", "the crew's synthetic voices")
        kit = (*agreed, "--microphone", "crew", "--channels", roles, "--voice", "built-in")
        command = (str(folder), str(folder / "job"), *tape, *kit)
        terminal = Terminal(sound.env, *command, module="tests.bench.bench_latency")
        try:
            wait_for(lambda: b"next" in terminal.seen, terminal)
            time.sleep(2.0)
            for each in scenes:
                sound.play(each, "crew").wait()
                loads.append(os.getloadavg()[0])
            time.sleep(2.0)
            assert terminal.end() == 0, terminal.seen.decode("utf-8", "replace")
        finally:
            terminal.close()
        return said, timed(folder), loads


def figures(each: list[Timed]) -> dict[str, Any]:
    """Give each part and the two sums as median and 95 % [ms]."""
    audible = [one for one in each if one.heard is not None]

    def ms(values: list[float]) -> dict[str, int]:
        return {
            "median": round(1000.0 * float(np.median(values))),
            "95 %": round(1000.0 * float(np.percentile(values, 95))),
        }

    sums = {
        "end of speech to call on disk": ms([one.on_disk - one.speech_end for one in each]),
        "end of speech to first sound": ms(
            [(one.heard or 0.0) - one.speech_end for one in audible]
        ),
    }
    return {
        "sums [ms]": sums,
        "targets [ms]": TARGETS_MS,
        "targets are met": all(
            value[name] <= most for value in sums.values() for name, most in TARGETS_MS.items()
        ),
        "parts [ms]": {name: ms([part(one) for one in each]) for name, part in PARTS.items()}
        | {name: ms([part(one) for one in audible]) for name, part in TO_SOUND.items()},
        "beside them [ms]": {
            name: ms([part(one) for one in each]) for name, part in BESIDE.items()
        },
    }


def main(setups: list[str], voices: tuple[str, ...] = VOICES) -> None:
    """Print the figures of each way of wearing microphones."""
    result: dict[str, Any] = {}
    for roles in setups:
        said, found, loads = hear(roles, voices)
        result[roles] = {
            "calls said": said,
            "calls timed": len(found),
            "load average, least and most": [round(min(loads), 1), round(max(loads), 1)],
            **figures(found),
        }
    calls = sum(result[roles]["calls timed"] for roles in setups)
    keep("latency", result, n=f"{calls} calls", voices=voices)


if __name__ == "__main__":
    if len(sys.argv) > 2:
        listen(Path(sys.argv[1]), *sys.argv[2:])
    else:
        main(sys.argv[1:] or ["unsaid", "head,rear"])
