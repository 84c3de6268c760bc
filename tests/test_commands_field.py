"""Live work of `listen`: devices remembered and refused, its ends, and keys through a terminal."""

from __future__ import annotations

import gc
import io
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import fields
from datetime import date, timedelta
from pathlib import Path
from types import FrameType, SimpleNamespace
from typing import NoReturn, Self

import pytest
import typer
from rich.console import Console

from calllog.audio import Utterance
from calllog.audio.events import Event
from calllog.cli import main
from calllog.commands import field
from calllog.commands.course_options import one_line
from calllog.commands.engine import Engine
from calllog.commands.field import DEVICES_LOG, run_field
from calllog.commands.kit import DeviceOptions, Kit
from calllog.commands.start import Start
from calllog.demo import load_day
from calllog.errors import AudioError, ConfigError, JournalError
from calllog.live import FieldLoop
from calllog.office.summary import verify_job
from calllog.readback import Verbosity, Voice
from calllog.recognise import Hypothesis
from calllog.session import Course, Job
from calllog.tape import load_certificate
from calllog.values import Call, Conditions, Expectation, Message, Role
from tests.fieldjob import Paper
from tests.terminal import PATIENCE_S, Terminal, wait_for

LINE = load_day().lines[0]
TAPE = load_certificate(LINE.tape.read_text("utf-8"), str(LINE.tape))
DAY = date(2131, 5, 4)
BOTH = (Role.HEAD, Role.REAR)
BEFORE = {"microphones": ["Lapel A", "Lapel B"], "roles": ["rear", "head"], "keypads": []}


def kit(**changes: object) -> Kit:
    """Make a kit of which nothing was asked for."""
    plain: dict[str, object] = {"output": "none"} | changes
    named = {each.name for each in fields(DeviceOptions)}
    devices = {name: value for name, value in plain.items() if name in named}
    others = {name: value for name, value in plain.items() if name not in named}
    return Kit(DeviceOptions(**devices), **others)  # type: ignore[arg-type]


def start(folder: Path, **stated: float) -> Start:
    """Make the start of work on the demo's first line."""
    course: Course = one_line(TAPE, LINE.name)
    return Start(folder, course, dict(stated), DAY, is_day_stated=True)


@pytest.mark.parametrize(
    ("changes", "before", "roles", "names"),
    [
        ({}, {}, (Role.UNSAID,), ()),
        ({}, BEFORE, (Role.REAR, Role.HEAD), ("Lapel A", "Lapel B")),
        ({"roles": (Role.UNSAID,)}, BEFORE, (Role.UNSAID,), ("Lapel A", "Lapel B")),
        ({"microphones": ("stereo",)}, BEFORE, (Role.UNSAID,), ("stereo",)),
        ({"microphones": ("stereo",), "roles": BOTH}, BEFORE, BOTH, ("stereo",)),
        ({"microphones": ("a", "b")}, BEFORE, BOTH, ("a", "b")),
        ({"is_keys_only": True}, BEFORE, (), ()),
        ({"is_keys_only": True, "roles": BOTH}, BEFORE, (), ()),
    ],
)
def test_what_is_left_out_is_as_it_was(
    changes: dict[str, object],
    before: dict[str, list[str]],
    roles: tuple[Role, ...],
    names: tuple[str, ...],
) -> None:
    """Microphones and their wearers are the last ones, unless others are named."""
    known = {name: list(each) for name, each in before.items()}
    assert kit(**changes).wearers(known) == roles  # type: ignore[arg-type]
    assert kit(**changes).names(known) == names  # type: ignore[arg-type]


class FakeMicrophone:
    """A microphone that interrupts the program when it is read."""

    opened: list[tuple[tuple[str, ...], int]] = []  # noqa: RUF012 - seen by the tests

    def __init__(self, names: tuple[str, ...], *, channels: int) -> None:
        self.opened.append((names, channels))
        self.channels = max(channels, len(names))
        self.names = tuple(f"{name} (whole name)" for name in names or ("default",))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        """Hold nothing."""

    def read(self, timeout_s: float) -> Event | None:
        """Press Ctrl-C."""
        del timeout_s
        os.kill(os.getpid(), signal.SIGINT)
        return None


class FakeWorker:
    """A recogniser that hears nothing."""

    identity = "nothing 1"
    set_aside = ()

    def __init__(self, make: object, *, is_waited_for: bool) -> None:
        del make
        assert not is_waited_for

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        """Hold nothing."""

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Take no question."""
        raise AssertionError((utterance, expects))

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Have no answer."""
        del timeout_s
        return ()


@pytest.fixture
def devices(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[tuple[tuple[str, ...], int]]]:
    """Put fakes in the place of microphone and recogniser; list what is opened."""
    monkeypatch.setattr(field, "Microphone", FakeMicrophone)
    monkeypatch.setattr(field, "Worker", FakeWorker)
    monkeypatch.setattr(sys, "stdin", io.StringIO())
    FakeMicrophone.opened.clear()
    yield FakeMicrophone.opened
    FakeMicrophone.opened.clear()


def work(folder: Path, *, stated: dict[str, float] | None = None, **changes: object) -> None:
    """Work in a job until it is interrupted."""
    run_field(start(folder, **(stated or {})), kit(**changes), Engine.ENCODER, None)


def test_microphones_are_remembered_over_a_sitting_with_keys_alone(
    devices: list[tuple[tuple[str, ...], int]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plain command goes on with the same two microphones on the same two people."""
    job = tmp_path / "job"
    work(job, microphones=("a", "b"), roles=(Role.REAR, Role.HEAD))
    with monkeypatch.context() as patched:
        patched.setattr(field, "_keypads", lambda *_, **__: [(Interrupting(), Role.UNSAID)])
        work(job, is_keys_only=True)
    work(job)
    assert devices == [(("a", "b"), 2), (("a (whole name)", "b (whole name)"), 2)]
    with Job.open(job) as opened:
        assert opened.replay.sittings == 3
        assert opened.replay.kit["roles"] == ["rear", "head"]


def test_doubts_about_a_certificate_are_shown_on_the_screen(
    devices: list[tuple[tuple[str, ...], int]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is printed when it is read, the screen hides a moment later."""
    shown: list[Message] = []
    monkeypatch.setattr(FieldLoop, "greet", lambda *_, doubts, **__: shown.extend(doubts))
    odd = TAPE.model_copy(update={"certified_length_ft": 1.00004, "valid_until": DAY})
    for day in (DAY, DAY + timedelta(days=1)):
        begun = Start(tmp_path / f"{day}", one_line(odd, LINE.name), {}, day, is_day_stated=True)
        run_field(begun, kit(), Engine.ENCODER, None)
    assert [each.facts["entries"] for each in shown] == [
        "certified_length_ft: 1.00004",
        f"certified_length_ft: 1.00004, valid_until: {DAY}",
    ]
    assert len(devices) == 2


class Interrupting:
    """A keypad whose first key is Ctrl-C."""

    name = "pad"

    def read(self, timeout_s: float) -> str | None:
        """Press it."""
        del timeout_s
        os.kill(os.getpid(), signal.SIGINT)
        return None

    def close(self) -> None:
        """Hold nothing."""


def test_condition_that_the_crew_changed_is_not_stated_anew(
    devices: list[tuple[tuple[str, ...], int]], tmp_path: Path
) -> None:
    """The same command goes on from where the crew was; another value on it counts."""
    job = tmp_path / "job"

    def temperature() -> float | None:
        with Job.open(job) as opened:
            return opened.state.conditions.temperature_degf

    work(job, stated={"temperature_degf": 41.0})
    assert temperature() == 41.0
    with Job.open(job) as opened:
        opened.record(Conditions(temperature_degf=68.0))
    work(job, stated={"temperature_degf": 41.0})
    assert temperature() == 68.0
    work(job, stated={"temperature_degf": 50.0})
    assert temperature() == 50.0
    assert len(devices) == 3


def test_everything_else_is_opened_while_the_recogniser_loads(
    devices: list[tuple[tuple[str, ...], int]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is begun first and waited for last; no microphone is open before somebody can hear."""
    told: list[str] = []

    class Loading(FakeWorker):
        def __init__(self, make: object, *, is_waited_for: bool) -> None:
            super().__init__(make, is_waited_for=is_waited_for)
            told.append("begun")

        @property
        def identity(self) -> str:  # type: ignore[override]
            told.extend(["ready", f"{len(devices)} made"])
            return "nothing 1"

    class Opened(FakeMicrophone):
        def __enter__(self) -> Self:
            told.append("microphone open")
            return self

    def speaker(*_: object) -> None:
        told.append("loudspeaker open")

    monkeypatch.setattr(field, "Worker", Loading)
    monkeypatch.setattr(field, "Microphone", Opened)
    monkeypatch.setattr(field, "_speaker", speaker)
    work(tmp_path / "job")
    assert told == ["begun", "loudspeaker open", "ready", "1 made", "microphone open"]


@pytest.mark.usefixtures("devices")
@pytest.mark.parametrize(
    ("verbosity", "voice"),
    [(Verbosity.ALL, "built-in words"), (Verbosity.TONES, "no voice")],
)
def test_no_voice_is_made_ready_where_none_speaks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, verbosity: Verbosity, voice: str
) -> None:
    """A voice takes memory and time, which a crew that wants tones alone need not spend."""
    chosen: list[str] = []

    def player(voice: Voice, **_: object) -> NoReturn:
        chosen.append(voice.identity)
        raise AudioError("enough was seen", where="here", next_step="none")

    monkeypatch.setattr(field, "Player", player)
    monkeypatch.setattr("calllog.readback.voice.shipped_piper", lambda: None)
    with pytest.raises(AudioError, match="enough was seen"):
        work(tmp_path / "job", output="x", verbosity=verbosity)
    assert [each.partition(",")[0] for each in chosen] == [voice]


@pytest.mark.usefixtures("devices")
def test_each_microphone_needs_a_role(tmp_path: Path) -> None:
    """Two microphones for one role are refused; the error says how to say it."""
    with pytest.raises(ConfigError, match=r"--microphone: 2 microphones.* names 1; give one role"):
        work(tmp_path / "job", microphones=("a", "b"), roles=(Role.UNSAID,))


@pytest.mark.usefixtures("devices")
@pytest.mark.parametrize("named", ["Numpad", "chief=Numpad", "=Numpad", "head=", ""])
def test_keypad_needs_its_owner_and_a_name(tmp_path: Path, named: str) -> None:
    """Without a role, or without a name, nothing is opened by chance."""
    with pytest.raises(ConfigError, match=r"--keypad: .* whose keypad it is; say head=NAME"):
        work(tmp_path / "job", keypads=(named,))


@pytest.mark.usefixtures("devices")
def test_keys_alone_need_something_to_type_on(tmp_path: Path) -> None:
    """Started by a service, without a terminal, nobody could type anything."""
    with pytest.raises(ConfigError, match="--keys-only: nothing to type on; start calllog in a"):
        work(tmp_path / "job", is_keys_only=True)


@pytest.mark.usefixtures("devices")
def test_loudspeaker_that_cannot_be_opened_says_how_to_do_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A crew without a loudspeaker can work, by the screen."""

    def refuse(*_: object, **__: object) -> None:
        raise AudioError("no loudspeaker found", next_step="plug it in")

    monkeypatch.setattr(field, "Player", refuse)
    with pytest.raises(AudioError, match="plug it in; or work without read-back: --output none"):
        work(tmp_path / "job", output=None)


@pytest.mark.parametrize(
    ("twice", "where"), [(("--line", LINE.name), "--line"), (("--tape", LINE.tape), "--tape")]
)
def test_tape_or_line_named_twice_is_refused(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    twice: tuple[object, ...],
    where: str,
) -> None:
    """A number would not tell which one is meant; no job is made."""
    words = ("listen", tmp_path / "job", "--tape", LINE.tape, "--line", LINE.name, *twice)
    monkeypatch.setattr(sys, "argv", ["calllog", *map(str, words)])
    with pytest.raises(SystemExit) as end:
        main()
    assert end.value.code == 1
    assert f"error: {where}: one is named twice" in capsys.readouterr().err
    assert not (tmp_path / "job").exists()


# The end


class FakeLoop:
    """A loop that does in its turns what the test says, and remembers its end."""

    def __init__(self, *turns: Callable[[], None]) -> None:
        self._turns = iter(turns)
        self.done: list[str] = []

    def turn(self) -> None:
        """Do what is next."""
        next(self._turns)()
        self.done.append("turn")

    def finish(self, timeout_s: float) -> None:
        """Remember it."""
        assert timeout_s > 0
        self.done.append("finish")

    def alarm(self) -> None:
        """Remember it."""
        self.done.append("alarm")

    @property
    def safety(self) -> FakeLoop:
        """Look after no disk."""
        return self

    @contextmanager
    def watched(self) -> Iterator[None]:
        """Look after nothing."""
        self.done.append("watched")
        try:
            yield
        finally:
            self.done.append("left")


def ends_with(number: int) -> Callable[[], None]:
    """Make a turn in which a signal comes."""
    return lambda: os.kill(os.getpid(), number)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_signal_ends_the_work_between_two_turns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: signal.Signals
) -> None:
    """The turn is ended, what is in the air is taken; the handlers are as they were."""
    loop = FakeLoop(lambda: None, ends_with(number))
    monkeypatch.setattr(field, "_open_loop", lambda *_: loop)
    before = signal.getsignal(number)
    gc.unfreeze()
    run_field(start(tmp_path / "job"), kit(), Engine.ENCODER, None)
    assert gc.get_freeze_count() > 10_000  # else the loudspeaker runs dry in the middle of a line
    gc.unfreeze()
    assert loop.done == ["watched", "turn", "turn", "finish", "left"]
    assert signal.getsignal(number) is before


def test_second_interrupt_ends_it_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever hangs, whoever presses Ctrl-C again gets the terminal back."""

    def twice() -> None:
        os.kill(os.getpid(), signal.SIGINT)
        os.kill(os.getpid(), signal.SIGINT)

    loop = FakeLoop(twice)
    monkeypatch.setattr(field, "_open_loop", lambda *_: loop)
    with pytest.raises(typer.Exit) as ended:
        run_field(start(tmp_path / "job"), kit(), Engine.ENCODER, None)
    assert ended.value.exit_code == 130
    with Job.open(tmp_path / "job") as job:
        assert job.replay.state is not None


def test_signal_does_not_break_the_closing_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Devices and terminal are given back in peace, however impatient the system is."""
    strays: list[int] = []

    def stray(number: int, _: FrameType | None) -> None:
        strays.append(number)

    closed: list[str] = []

    def open_loop(*words: object) -> FakeLoop:
        devices = words[-1]
        assert isinstance(devices, ExitStack)
        devices.callback(closed.append, "terminal")
        devices.callback(os.kill, os.getpid(), signal.SIGTERM)
        return FakeLoop(ends_with(signal.SIGTERM))

    monkeypatch.setattr(field, "_open_loop", open_loop)
    before = signal.signal(signal.SIGTERM, stray)
    try:
        run_field(start(tmp_path / "job"), kit(), Engine.ENCODER, None)
    finally:
        signal.signal(signal.SIGTERM, before)
    assert closed == ["terminal"]
    assert strays == []


def test_crew_is_alarmed_when_the_work_ends_by_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk ends the work: heard at once, then told with the next step."""

    def fail() -> None:
        raise JournalError("entry 7 was not written", next_step="make room on the disk")

    loop = FakeLoop(fail)
    monkeypatch.setattr(field, "_open_loop", lambda *_: loop)
    with pytest.raises(JournalError, match="make room"):
        run_field(start(tmp_path / "job"), kit(), Engine.ENCODER, None)
    assert loop.done == ["watched", "alarm", "left"]


def test_what_is_not_on_disk_is_told_although_the_program_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A fault of the program on top of one of the disk hides neither."""
    folder = tmp_path / "job"

    def fail() -> None:
        (job,) = jobs
        job.kept.is_patient = True
        folder.rename(tmp_path / "away")
        job.record(Conditions(temperature_degf=41.0))
        raise RuntimeError

    jobs: list[Job] = []

    def open_loop(*words: object) -> FakeLoop:
        jobs.extend(each for each in words if isinstance(each, Job))
        return FakeLoop(fail)

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "the state"))
    monkeypatch.setattr(field, "_open_loop", open_loop)
    with pytest.raises(RuntimeError):
        run_field(start(folder), kit(), Engine.ENCODER, None)
    told = capsys.readouterr().err
    assert "temperature" in told
    (path,) = (tmp_path / "the state/calllog").glob("calllog-unsaved-job-*.jsonl")
    assert f"--unsaved '{path}'" in told


def test_sound_libraries_do_not_print_over_the_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """What they print goes into a file of the job while there is a screen, and only then."""
    monkeypatch.setattr(sys, "stderr", SimpleNamespace(fileno=lambda: 2))
    monkeypatch.setattr(field, "out", Console(file=io.StringIO(), force_terminal=True))
    with field.screen_kept_clean(tmp_path / DEVICES_LOG):
        os.write(2, b"ALSA lib: underrun\n")
    os.write(2, b"an error\n")
    assert (tmp_path / DEVICES_LOG).read_text("utf-8") == "ALSA lib: underrun\n"
    monkeypatch.setattr(field, "out", Console(file=io.StringIO()))
    with field.screen_kept_clean(tmp_path / "none"):
        os.write(2, b"seen\n")
    assert capfd.readouterr().err == "an error\nseen\n"
    assert not (tmp_path / "none").exists()


# Keys through a terminal


def calls(folder: Path) -> list[Call]:
    """Read the calls of a job that has ended."""
    with Job.open(folder) as job:
        return job.replay.calls


def wait_until_read(terminal: Terminal, words: bytes) -> None:
    """Wait until the program, which has ended, was heard to its end."""
    until_s = time.monotonic() + 5.0
    while words not in terminal.seen:
        assert time.monotonic() < until_s, terminal.seen[-500:]
        time.sleep(0.02)


@pytest.mark.parametrize("answer", ["y", "n"])
def test_another_line_does_not_drop_half_a_pull_in_silence(tmp_path: Path, answer: str) -> None:
    """Given by mistake, it is asked before anything is begun; no leaves the job as it is."""
    is_left = answer == "y"
    job = tmp_path / "job"
    with Job.open(job) as opened:
        course = one_line(TAPE, "Elm:Ash")
        opened.begin_line(course.settings(0, 0), TAPE)
        Paper(opened).read(1542).say("switch")
    terminal = Terminal(
        dict(os.environ),
        *("listen", str(job), "--tape", str(LINE.tape), "--line", "Ash:Fir"),
        *("--keys-only", "--output", "none"),
    )
    try:
        wait_for(lambda: b"y, or n:" in terminal.seen, terminal)
        assert b"Elm to Ash: pull 1 waits for the check" in b" ".join(terminal.seen.split())
        terminal.type(f"{answer}\r")
        if is_left:
            wait_for(lambda: b"next" in terminal.seen, terminal)
            assert terminal.end() == 0
        else:
            assert terminal.program.wait(PATIENCE_S) == 1
            wait_until_read(terminal, b"--line Elm:Ash")
    finally:
        terminal.close()
    with Job.open(job) as opened:
        line = opened.state.settings
        assert (line.line_to, opened.state.pull) == (("Fir", 2) if is_left else ("Ash", 1))
        assert opened.replay.left == ([(("Elm", "Ash", 1), 1)] if is_left else [])


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_keys_alone_through_a_terminal(tmp_path: Path, number: signal.Signals) -> None:
    """Two lines, typed: each pull is booked on its line, and the terminal is as it was."""
    job = tmp_path / "job"
    terminal = Terminal(
        dict(os.environ),
        *("listen", str(job), "--tape", str(LINE.tape)),
        *("--line", "Elm:Ash", "--line", "Ash:Fir", "--check", "none"),
        *("--keys-only", "--keys", "rear", "--output", "none"),
    )
    before = terminal.attributes
    try:
        wait_for(lambda: b"Elm:Ash" in terminal.seen, terminal)
        for keys in ("8/", "15.\r", ".42\r", "3/", "8*2\r", "22.\r", ".05\r", "3/"):
            terminal.type(keys)
        wait_for(lambda: b"22.05" in terminal.seen or b"21.95" in terminal.seen, terminal)
        terminal.program.send_signal(number)
        assert terminal.program.wait(PATIENCE_S) == 0
        wait_until_read(terminal, b"2 pulls recorded")
        assert terminal.attributes == before
    finally:
        terminal.close()
    with Job.open(job) as opened:
        assert [each.line_to for each in opened.replay.segments] == ["Ash", "Fir"]
    assert all(call.is_keyed and call.role is Role.REAR for call in calls(job))
    assert verify_job(job).ok
