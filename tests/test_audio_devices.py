"""Choosing devices by name, and PortAudio as far as it is there."""

from __future__ import annotations

import ctypes
import importlib
import json
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calllog.audio.devices import Block, Device, find_device, find_microphones
from calllog.audio.portaudio import PortAudio
from calllog.errors import AudioError

ROOT = Path(__file__).parent.parent


def device(
    index: int, name: str, inputs: int = 1, outputs: int = 0, *, is_default: bool = False
) -> Device:
    """Make a device."""
    return Device(index, name, inputs, outputs, 48_000, is_default, is_default)


DEVICES = (
    device(0, "Belt", 1),
    device(1, "Belt clip", 2),
    device(2, "Stereo receiver", 2, is_default=True),
    device(3, "Speaker", 0, 2),
)


@pytest.mark.parametrize(
    ("name", "index"), [("Belt", 0), ("belt c", 1), ("RECEIVER", 2), (None, 2)]
)
def test_name_chooses(name: str | None, index: int) -> None:
    """An exact name goes before a part, a part may be in any case, none is the default."""
    assert find_device(DEVICES, name).index == index


def test_outputs_are_apart() -> None:
    """A loudspeaker is found among the outputs only, and is no microphone."""
    assert find_device(DEVICES, "speak", is_output=True).index == 3
    with pytest.raises(AudioError, match="no microphone of this name"):
        find_device(DEVICES, "speak")


def test_ambiguous_name_lists_those_that_fit() -> None:
    """Two that fit are listed with their channels, and only they."""
    with pytest.raises(AudioError) as caught:
        find_device(DEVICES, "e")
    assert str(caught.value) == (
        'e: fits 3 of the microphones; name one of: "Belt" (1 channel); '
        '"Belt clip" (2 channels); "Stereo receiver" (2 channels)'
    )


def test_unknown_name_lists_all() -> None:
    """A name that fits none lists every microphone."""
    with pytest.raises(AudioError, match=r'no microphone of this name.*"Belt" \(1 channel\)') as e:
        find_device(DEVICES, "lapel")
    assert "Speaker" not in str(e.value)


def test_no_device_at_all() -> None:
    """A computer without a microphone says so, rather than listing nothing."""
    with pytest.raises(AudioError, match="no microphone found; plug it in"):
        find_device((DEVICES[3],), None)
    with pytest.raises(AudioError, match="names no default microphone"):
        find_device(DEVICES[:2], None)


def test_two_names_are_two_microphones() -> None:
    """Two names choose in their order; twice the same device is refused."""
    assert [d.index for d in find_microphones(DEVICES, ("receiver", "clip"))] == [2, 1]
    assert [d.index for d in find_microphones(DEVICES, ())] == [2]
    with pytest.raises(AudioError, match="both names choose Belt clip"):
        find_microphones(DEVICES, ("clip", "Belt c"))


def test_import_does_not_touch_audio() -> None:
    """PortAudio is not loaded before a device is asked for."""
    code = "import sys, calllog.audio.microphone; assert 'sounddevice' not in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)


def test_portaudio_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the library the error names the package to install."""

    def missing(_name: str) -> None:
        text = "PortAudio library not found"
        raise OSError(text)

    monkeypatch.setattr(importlib, "import_module", missing)
    with pytest.raises(AudioError, match=r"not found\); install Debian's libportaudio2"):
        PortAudio().devices()


class PortAudioError(Exception):
    """As sounddevice calls it."""


def test_broken_sound_system(monkeypatch: pytest.MonkeyPatch) -> None:
    """A sound system that cannot be started is an error of the world, not of calllog."""

    def broken(_name: str) -> None:
        text = "Error initializing PortAudio"
        raise PortAudioError(text)

    monkeypatch.setattr(importlib, "import_module", broken)
    with pytest.raises(AudioError, match="the sound system cannot be used"):
        PortAudio().devices()


class Pretended:
    """A module like sounddevice with one microphone that takes 48 kHz stereo only."""

    PortAudioError = PortAudioError
    default = SimpleNamespace(device=(0, -1))
    _libname: str

    def __init__(self) -> None:
        self.tried: list[tuple[int, int]] = []
        self.latencies: list[float | str] = []
        self.callback: Any = None

    def use_alsa(self) -> None:
        """Be the library of Linux."""
        self._libname = "libportaudio.so.2"

    def query_devices(self) -> list[dict[str, object]]:
        """List the microphone."""
        return [
            {
                "name": "Lapel",
                "max_input_channels": 2,
                "max_output_channels": 0,
                "default_samplerate": 48_000.0,
            }
        ]

    def InputStream(self, **asked: Any) -> SimpleNamespace:  # noqa: ANN401, N802
        """Open it, or refuse."""
        self.tried.append((asked["samplerate"], asked["channels"]))
        if self.tried[-1] != (48_000, 2):
            text = "Invalid"
            raise PortAudioError(text)
        assert asked["blocksize"] == 1536
        self.latencies.append(asked["latency"])
        self.callback = asked["callback"]
        return SimpleNamespace(start=lambda: None, close=lambda: None, active=True)


@pytest.fixture
def pretended(monkeypatch: pytest.MonkeyPatch) -> Pretended:
    """Put the pretended module in place of sounddevice."""
    module = Pretended()
    monkeypatch.setattr(importlib, "import_module", lambda _name: module)
    return module


def test_device_that_refuses_16_khz_mono(pretended: Pretended) -> None:
    """Rates and channels are tried until one fits; one caller on two channels is their mean."""
    got: list[Block] = []
    portaudio = PortAudio()
    stream = portaudio.open(portaudio.devices()[0], 1, got.append)
    assert stream.is_active
    assert pretended.tried == [(16_000, 1), (48_000, 1), (16_000, 2), (48_000, 2)]
    both = np.array([[0.5, 0.1], [0.2, 0.0]], np.float32)
    times = SimpleNamespace(currentTime=10.0, inputBufferAdcTime=9.9)
    pretended.callback(both, 2, times, SimpleNamespace(input_overflow=1))
    block = got[0]
    assert block.rate_hz == 48_000
    assert block.samples == pytest.approx(np.array([[0.3], [0.1]]))
    assert block.age_s == pytest.approx(0.1)
    assert block.is_broken


@pytest.mark.parametrize("adc_s", [0.0, -1.0, 11.0, 2.0])
def test_times_that_cannot_be_are_unknown(pretended: Pretended, adc_s: float) -> None:
    """A capture time of nothing, in the future or long ago is no capture time."""
    got: list[Block] = []
    portaudio = PortAudio()
    portaudio.open(portaudio.devices()[0], 2, got.append)
    times = SimpleNamespace(currentTime=10.0, inputBufferAdcTime=adc_s)
    samples = np.zeros((1536, 2), np.float32)
    pretended.callback(samples, 1536, times, SimpleNamespace(input_overflow=0))
    assert got[0].age_s is None
    assert not got[0].is_broken
    assert not np.shares_memory(got[0].samples, samples), "PortAudio uses its buffer again"


def test_alsa_holds_a_second_for_a_busy_computer(
    pretended: Pretended, monkeypatch: pytest.MonkeyPatch
) -> None:
    """ALSA's buffer holds a second in steps of one block; other systems have none to set."""
    portaudio = PortAudio()
    microphone = portaudio.devices()[0]
    portaudio.open(microphone, 2, lambda _block: None)
    periods: list[int] = []
    monkeypatch.setattr(
        ctypes, "CDLL", lambda _name: SimpleNamespace(PaAlsa_SetNumPeriods=periods.append)
    )
    pretended.use_alsa()
    portaudio.open(microphone, 2, lambda _block: None)
    assert pretended.latencies == ["low", 1.0]
    assert periods[-1] == 39
    assert 1.0 / periods[-1] < 0.032


@pytest.mark.usefixtures("pretended")
def test_device_that_refuses_everything() -> None:
    """The error says what was asked, of which device."""
    portaudio = PortAudio()
    with pytest.raises(AudioError, match="Lapel: cannot be opened with 3 channels"):
        portaudio.open(portaudio.devices()[0], 3, lambda *_: None)


@pytest.mark.parametrize(
    ("answer", "routes"),
    [
        ('[{"index": 9, "source": 4, "properties": {"application.process.id": "77"}}]', {9: 4}),
        ('[{"index": 9, "source": 4, "properties": {"application.process.id": "1"}}]', {}),
        ('[{"index": 9, "source": 4, "properties": {}}]', {}),
        ("Connection failure", {}),
    ],
)
def test_routes(monkeypatch: pytest.MonkeyPatch, answer: str, routes: dict[int, int]) -> None:
    """Only this program's streams count; no answer is no knowledge."""
    monkeypatch.setattr("os.getpid", lambda: 77)
    monkeypatch.setattr("shutil.which", lambda _name, path: "/bin/pactl" if path else None)
    told = SimpleNamespace(stdout=answer)
    monkeypatch.setattr("subprocess.run", lambda *_, **__: told)
    assert PortAudio().routes() == routes


def test_probe_tells_what_the_child_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """The child's error is raised here with all its parts; no answer is no sound."""
    told = SimpleNamespace(stdout='{"what": "no microphone", "where": "x", "next_step": "plug"}')
    monkeypatch.setattr("subprocess.run", lambda *_, **__: told)
    with pytest.raises(AudioError, match="x: no microphone; plug"):
        PortAudio().probe("x", 1)
    told.stdout = '{"found": "x (hw:1,0)"}'
    assert PortAudio().probe("x", 1) == "x (hw:1,0)"
    told.stdout = ""
    with pytest.raises(AudioError, match="x: gives no sound"):
        PortAudio().probe("x", 1)


def test_probe_gives_up_by_itself_where_portaudio_does_not_come_back() -> None:
    """The child tells that there is no sound, though it was waited for as long as it took."""
    code = (
        "import threading, calllog.audio.portaudio as tried\n"
        "tried.PortAudio.devices = lambda _: threading.Event().wait()\n"
        "tried.answer()"
    )
    asked = [sys.executable, "-c", code, '["x", 1, 0.05]']
    child = subprocess.run(asked, check=True, stdout=subprocess.PIPE, cwd=ROOT)
    told = json.loads(child.stdout)
    assert (told["what"], told["where"]) == ("gives no sound", "x")


def test_probe_waits_for_a_busy_computer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beginning the child is waited for beside its trying, which may take longer each time."""
    waited: list[tuple[float, float]] = []
    told = SimpleNamespace(stdout="")

    def answer(words: list[str], *, timeout: float, **__: object) -> SimpleNamespace:
        waited.append((json.loads(words[-1])[-1], timeout))
        if not told.stdout:
            raise subprocess.TimeoutExpired("child", timeout)
        return told

    monkeypatch.setattr("subprocess.run", answer)
    portaudio = PortAudio()
    for _ in range(4):
        with pytest.raises(AudioError, match="x: gives no sound"):
            portaudio.probe("x", 1)
    told.stdout = '{"found": "x"}'
    portaudio.probe("x", 1)
    portaudio.probe("x", 1)
    assert waited == [(5.0, 20.0), (10.0, 25.0), *[(20.0, 35.0)] * 3, (5.0, 20.0)]
