"""Microphones: one, stereo, two with their own clocks; lost, moved, returned; busy readers."""

from __future__ import annotations

import signal
import tempfile
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile

from calllog.audio import microphone as module
from calllog.audio.devices import Block, Device, Hear, Stream, find_device
from calllog.audio.events import Event, Gap, Lost, Overflow, Returned, Sound
from calllog.audio.microphone import Microphone
from calllog.errors import AudioError
from tests.audio.clips import HERE, clip
from tests.virtual import HAS_PULSEAUDIO, VirtualSound

BLOCK_S = 0.032
Samples = npt.NDArray[np.floating]


@dataclass
class FakeStream:
    """A running device."""

    is_active: bool = True

    def close(self) -> None:
        """Stop."""
        self.is_active = False


@dataclass
class FakeBackend:
    """Devices that a test feeds by hand, with a clock of its own."""

    plugged: list[Device]
    now_s: float = 1000.0
    rates_hz: dict[str, int] = field(default_factory=dict)
    heard: dict[str, Hear] = field(default_factory=dict)
    streams: dict[str, FakeStream] = field(default_factory=dict)
    routed: dict[int, int] = field(default_factory=dict)
    is_silent: bool = False
    rescans: int = 0
    listed: tuple[Device, ...] | None = None

    def clock(self) -> float:
        """Return the time [s]."""
        return self.now_s

    def devices(self) -> tuple[Device, ...]:
        """List what was there at the last scan."""
        if self.listed is None:
            self.listed = tuple(self.plugged)
        return self.listed

    def rescan(self) -> None:
        """Scan again; PortAudio forbids it while a stream is open."""
        assert not any(stream.is_active for stream in self.streams.values())
        self.rescans += 1
        self.listed = tuple(self.plugged)

    def probe(self, name: str | None, channels: int) -> str:
        """Look with fresh eyes."""
        assert channels in {1, 2}
        return find_device(self.plugged, name).name

    def open(self, device: Device, channels: int, hear: Hear) -> Stream:
        """Open a device that is plugged in, and give a first block unless silent."""
        if device not in self.plugged:
            raise AudioError("gone", where=device.name)
        rate_hz = self.rates_hz.get(device.name, 16_000)
        self.streams[device.name] = FakeStream()
        self.heard[device.name] = hear
        if not self.is_silent:
            silence = np.zeros((round(rate_hz * BLOCK_S), channels), np.float32)
            hear(Block(silence, rate_hz, None, is_broken=False))
        return self.streams[device.name]

    def routes(self) -> dict[int, int]:
        """Say that each stream hears its own device, but for what the test says."""
        running = [name for name, stream in self.streams.items() if stream.is_active]
        return {hash(name): hash(name) for name in running} | self.routed

    def feed(
        self, name: str, samples: npt.NDArray[np.floating], *, is_broken: bool = False
    ) -> None:
        """Let a device give a block now."""
        shaped = samples if samples.ndim == 2 else samples[:, None]
        rate_hz = self.rates_hz.get(name, 16_000)
        self.heard[name](Block(shaped.astype(np.float32), rate_hz, None, is_broken))


def device(index: int, name: str, *, is_default: bool = False) -> Device:
    """Make a microphone."""
    return Device(index, name, 2, 0, 48_000, is_default, is_default)


BELT, CHEST = device(0, "belt (hw:1,0)", is_default=True), device(1, "chest (hw:2,0)")


@pytest.fixture(autouse=True)
def _watch_is_kept_by_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no microphone look after its devices by itself."""
    monkeypatch.setattr(module, "LOOK_S", 3600.0)


@pytest.fixture
def backend() -> FakeBackend:
    """Two microphones are plugged in."""
    return FakeBackend([BELT, CHEST])


def opened(backend: FakeBackend, *names: str, channels: int | None = None) -> Microphone:
    """Make a microphone."""
    return Microphone(names, channels=channels, backend=backend, clock=backend.clock)


def events(microphone: Microphone) -> list[Event]:
    """Read what is there."""
    return list(iter(lambda: microphone.read(0.0), None))


def sound(found: list[Event]) -> Samples:
    """Join the sound of events."""
    return np.concatenate([event.samples for event in found if isinstance(event, Sound)])


def told(found: list[Event]) -> list[Lost | Returned | Overflow | Gap]:
    """Leave the sound out."""
    return [event for event in found if not isinstance(event, Sound)]


def run(
    backend: FakeBackend, seconds: float, *names: str, value: float = 0.1, rate_hz: int = 16_000
) -> None:
    """Let time pass with blocks of a constant value from the devices named."""
    for _ in range(round(seconds / BLOCK_S)):
        backend.now_s += BLOCK_S
        for name in names:
            backend.feed(name, np.full(round(rate_hz * BLOCK_S), value))


def test_one_microphone_for_both(backend: FakeBackend) -> None:
    """The default device on one channel: all samples, once, with times that follow on."""
    with opened(backend) as microphone:
        assert (microphone.names, microphone.channels) == ((BELT.name,), 1)
        begin_s = backend.now_s
        run(backend, 1.024, BELT.name)
        found = events(microphone)
    assert told(found) == []
    assert sound(found)[512:] == pytest.approx(np.full((32 * 512, 1), 0.1))
    begins = [event.begin_s for event in found if isinstance(event, Sound)]
    assert begins == pytest.approx(begin_s - BLOCK_S + BLOCK_S * np.arange(33), abs=1e-6)


def test_stereo_receiver(backend: FakeBackend) -> None:
    """Two channels of one device stay as they are, left and right."""
    with opened(backend, "belt", channels=2) as microphone:
        assert microphone.channels == 2
        events(microphone)
        both = np.tile(np.array([[0.1, -0.2]], np.float32), (512, 1))
        backend.feed(BELT.name, both)
        assert np.array_equal(sound(events(microphone)), both)


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 8_000])
def test_other_rates(backend: FakeBackend, rate_hz: int) -> None:
    """A tone of 440 Hz stays one, at its time, whatever rate the device gives."""
    backend.rates_hz[BELT.name] = rate_hz
    block = round(rate_hz * BLOCK_S)
    with opened(backend) as microphone:
        begin_s = backend.now_s
        tone = np.sin(2 * np.pi * 440 * np.arange(block * 60) / rate_hz)
        for n in range(60):
            backend.now_s += block / rate_hz
            backend.feed(BELT.name, tone[n * block : (n + 1) * block])
        found = events(microphone)
    assert told(found) == []
    for event in (event for event in found if isinstance(event, Sound)):
        times = event.begin_s - begin_s + np.arange(len(event.samples)) / 16_000
        inside = (times > 0.1) & (times < 1.5)
        expected = np.sin(2 * np.pi * 440 * times)
        assert event.samples[inside, 0] == pytest.approx(expected[inside], abs=0.03)


def test_two_devices(backend: FakeBackend) -> None:
    """Two names give two columns in their order."""
    with opened(backend, "chest", "belt") as microphone:
        assert microphone.channels == 2
        for _ in range(20):
            backend.now_s += BLOCK_S
            backend.feed(BELT.name, np.full(512, 0.1))
            backend.feed(CHEST.name, np.full(512, 0.2))
        heard = sound(events(microphone))
    assert heard[2048:].mean(0) == pytest.approx([0.2, 0.1], abs=1e-3)
    assert microphone.fitted == 0


@pytest.mark.parametrize("drift", [2e-4, -2e-4])
def test_clocks_that_differ(backend: FakeBackend, drift: float) -> None:
    """Over 200 s one clock gains or loses 0.04 s; both columns keep in step to 15 ms.

    The sound of both is the same hum, whose phase tells how far they are apart.
    """
    hum_hz = 20.0

    def hum(block: int, stretch: float) -> Samples:
        captured_s = (block * 512 + np.arange(512)) / 16_000 * stretch
        return np.sin(2 * np.pi * hum_hz * captured_s)

    apart_s, found = [], []
    with opened(backend, "chest", "belt") as microphone:
        events(microphone)
        start_s = backend.now_s
        blocks = [
            (start_s + (n + 1) * BLOCK_S * stretch, n, name, stretch)
            for name, stretch in ((CHEST.name, 1.0), (BELT.name, 1 + drift))
            for n in range(round(200 / BLOCK_S))
        ]
        for backend.now_s, n, name, stretch in sorted(blocks):
            backend.feed(name, hum(n, stretch))
            found += events(microphone)
        heard = sound(found)
    assert told(found) == []
    second = np.exp(-2j * np.pi * hum_hz * np.arange(16_000) / 16_000)
    for begin in range(32_000, len(heard) - 16_000, 160_000):
        one, other = second @ heard[begin : begin + 16_000]
        apart_s.append(np.angle(one * np.conj(other)) / (2 * np.pi * hum_hz))
    assert np.abs(apart_s).max() < 0.015
    left_over = 0.01 * 16_000
    assert microphone.fitted == pytest.approx(abs(drift) * 200 * 16_000 - left_over, rel=0.1)


def test_no_block_for_a_second_is_a_loss(backend: FakeBackend) -> None:
    """A device that stops without a word is lost after a second, and back with its gap."""
    with opened(backend, "belt") as microphone:
        run(backend, 0.64, BELT.name)
        last_s = backend.now_s
        backend.now_s += 0.9
        microphone.look_after()
        assert told(events(microphone)) == []
        backend.plugged.remove(BELT)
        backend.now_s += 0.2
        microphone.look_after()
        assert told(events(microphone)) == [Lost(BELT.name, last_s, "no sound came from it")]
        for _ in range(50):
            backend.now_s += 0.1
            microphone.look_after()
        assert events(microphone) == []
        backend.plugged.append(BELT)
        backend.now_s += 1.0
        microphone.look_after()
        gap_s = backend.now_s - last_s
        found = events(microphone)
        assert told(found) == [Returned(BELT.name, backend.now_s, gap_s)]
        assert isinstance(found[0], Returned), "told before its sound"
        run(backend, 0.64, BELT.name, value=0.3)
        assert sound(events(microphone)).mean() == pytest.approx(0.3)


def test_busy_computer_is_no_loss(backend: FakeBackend) -> None:
    """What could not be looked at in time is not counted; a second more of silence is a loss."""
    with opened(backend, "belt") as microphone:
        run(backend, 0.64, BELT.name)
        for _ in range(4):
            backend.now_s += 0.6
            microphone.look_after(stalled_s=0.5)
        assert told(events(microphone)) == []
        run(backend, 0.032, BELT.name)
        last_s = backend.now_s
        backend.now_s += 1.1
        microphone.look_after()
        assert told(events(microphone))[:1] == [Lost(BELT.name, last_s, "no sound came from it")]


def test_stopped_by_the_system(backend: FakeBackend) -> None:
    """A stream that PortAudio says has ended is lost at once, and tried at once."""
    with opened(backend, "belt") as microphone:
        events(microphone)
        backend.streams[BELT.name].is_active = False
        backend.now_s += 0.1
        microphone.look_after()
        assert [type(event) for event in told(events(microphone))] == [Lost, Returned]
        assert backend.rescans == 1


def test_loss_is_told_before_the_device_is_closed(
    backend: FakeBackend, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Closing what broke may take the system long; the crew knows of it already."""
    told: list[Event] = []
    with opened(backend) as microphone:
        events(microphone)
        backend.streams[BELT.name].is_active = False
        monkeypatch.setattr(FakeStream, "close", lambda _: told.extend(events(microphone)))
        microphone.look_after()
        assert any(isinstance(each, Lost) for each in told)


def test_moved_to_another_microphone(backend: FakeBackend) -> None:
    """A stream that the sound server moved is given up from when it last was right, no other."""
    with opened(backend, "belt", "chest") as microphone:
        right_s = backend.now_s
        run(backend, 1.28, BELT.name, CHEST.name)
        events(microphone)
        backend.plugged.remove(BELT)
        backend.routed = {hash(BELT.name): hash(CHEST.name)}
        microphone.look_after()
        lost = told(events(microphone))
        assert lost == [
            Lost(BELT.name, right_s, "the sound server put another microphone in its place")
        ]
        old = backend.heard[BELT.name]
        old(Block(np.ones((512, 1), np.float32), 16_000, None, is_broken=False))
        assert events(microphone) == [], "what the closed stream still gives is not heard"


def test_other_microphone_goes_on(backend: FakeBackend) -> None:
    """While one of two is lost its column is zeros; the other loses nothing, then both go on."""
    with opened(backend, "chest", "belt") as microphone:
        run(backend, 0.64, BELT.name, CHEST.name)
        events(microphone)
        backend.plugged.remove(CHEST)
        run(backend, 1.28, BELT.name)
        microphone.look_after()
        run(backend, 0.64, BELT.name)
        found = events(microphone)
        assert [type(event) for event in told(found)] == [Lost]
        heard = sound(found)
        assert len(heard) >= 1.8 * 16_000
        assert not heard[:, 0].any()
        assert heard[:, 1] == pytest.approx(np.full(len(heard), 0.1))
        backend.plugged.append(CHEST)
        backend.now_s += 1.0
        microphone.look_after()
        run(backend, 2.56, BELT.name, CHEST.name)
        found = events(microphone)
        assert Returned in [type(event) for event in found]
        assert backend.rescans == 0, "the other stream was open"
        assert sound(found)[-16_000:] == pytest.approx(np.full((16_000, 2), 0.1))


def test_returned_under_another_number(backend: FakeBackend) -> None:
    """A device that PortAudio does not know yet is found by closing the other for a moment."""
    with opened(backend, "chest", "belt") as microphone:
        run(backend, 0.64, BELT.name, CHEST.name)
        backend.plugged.remove(CHEST)
        run(backend, 1.28, BELT.name)
        microphone.look_after()
        events(microphone)
        backend.plugged.append(replace(CHEST, index=7, name="chest (hw:3,0)"))
        backend.now_s += 1.0
        backend.feed(BELT.name, np.full(512, 0.1))
        microphone.look_after()
        found = told(events(microphone))
        assert [(type(event), event.name) for event in found] == [
            (Lost, BELT.name),
            (Returned, "chest (hw:3,0)"),
            (Returned, BELT.name),
        ]
        assert backend.rescans == 1


def test_overflow_is_told(backend: FakeBackend) -> None:
    """Samples that the system dropped are told where they are missing."""
    with opened(backend) as microphone:
        run(backend, 0.64, BELT.name)
        events(microphone)
        backend.now_s += 5 * BLOCK_S
        backend.feed(BELT.name, np.zeros(512), is_broken=True)
        found = events(microphone)
    (overflow,) = told(found)
    assert isinstance(overflow, Overflow)
    assert overflow.frames is None
    assert overflow.at_s == pytest.approx(backend.now_s - BLOCK_S)


def test_gap_without_a_word_is_told(backend: FakeBackend) -> None:
    """A third of a second that never came is told with its length."""
    with opened(backend) as microphone:
        run(backend, 0.64, BELT.name)
        backend.now_s += 0.32
        run(backend, 0.64, BELT.name)
        found = told(events(microphone))
    assert [type(event) for event in found] == [Overflow]
    assert isinstance(found[0], Overflow)
    assert found[0].frames == pytest.approx(0.32 * 16_000, abs=10)


def test_busy_reader(backend: FakeBackend) -> None:
    """Sound is held for 30 s; what is beyond is told, and times stay right after it."""
    with opened(backend) as microphone:
        start_s = backend.now_s
        run(backend, 40.0, BELT.name)
        held = events(microphone)
        assert len(sound(held)) == pytest.approx(30 * 16_000, abs=1024)
        assert told(held) == []
        run(backend, 0.64, BELT.name)
        found = events(microphone)
    overflow = found[0]
    assert isinstance(overflow, Overflow)
    assert overflow.frames == pytest.approx(10 * 16_000, abs=1024)
    last = found[-1]
    assert isinstance(last, Sound)
    assert last.begin_s == pytest.approx(start_s + 40.64 - BLOCK_S, abs=0.05)


@pytest.mark.parametrize(
    ("names", "channels", "what"),
    [
        (("belt", "chest", "lapel"), None, "3 microphones"),
        (("belt", "chest"), 3, "2 microphones with 3"),
        (("belt",), 3, "1 microphones with 3"),
        (("lapel",), None, "no microphone of this name"),
        (("hw",), None, "fits 2 of the microphones"),
    ],
)
def test_wrong_wishes_are_errors(
    backend: FakeBackend, names: tuple[str, ...], channels: int | None, what: str
) -> None:
    """What cannot be opened as wished is said at once."""
    with pytest.raises(AudioError, match=what), opened(backend, *names, channels=channels):
        pass


def test_silent_device_is_an_error_at_opening(
    backend: FakeBackend, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A device that opens and gives nothing is refused, and closed again."""
    monkeypatch.setattr(module, "START_S", 0.05)
    backend.is_silent = True
    with pytest.raises(AudioError, match="gives no sound"), opened(backend):
        pass
    assert not backend.streams[BELT.name].is_active


def test_watch_runs_by_itself(backend: FakeBackend, monkeypatch: pytest.MonkeyPatch) -> None:
    """The microphone looks after its devices without being asked, and ends its thread."""
    monkeypatch.setattr(module, "LOOK_S", 0.1)
    with Microphone(backend=backend, clock=backend.clock) as microphone:
        events(microphone)
        backend.streams[BELT.name].is_active = False
        found = [microphone.read(2.0), microphone.read(2.0)]
    assert [type(event) for event in found] == [Lost, Returned]
    assert "microphone" not in {each.name for each in threading.enumerate()}


# --- with PortAudio and a virtual sound server


pulseaudio = pytest.mark.skipif(
    not HAS_PULSEAUDIO, reason="needs Debian's pulseaudio, pulseaudio-utils, libasound2-plugins"
)


@pytest.fixture
def virtual() -> Iterator[VirtualSound]:
    """Run a private sound server; its socket needs a short path."""
    with tempfile.TemporaryDirectory(prefix="calllog") as folder, VirtualSound(Path(folder)) as it:
        yield it


def tone(folder: Path, hz: float, seconds: float) -> Path:
    """Write a tone."""
    path = folder / f"{hz:.0f}.wav"
    times = np.arange(int(seconds * 16_000)) / 16_000
    soundfile.write(path, 0.2 * np.sin(2 * np.pi * hz * times), 16_000)
    return path


def strength(samples: Samples, hz: float) -> float:
    """Return how much of a tone there is, 1 if nothing else."""
    if not len(samples):
        return 0.0
    power = 2 * np.mean(samples**2) + 1e-12
    carrier = np.exp(-2j * np.pi * hz * np.arange(len(samples)) / 16_000)
    return float(np.abs(2 * np.mean(samples * carrier)) ** 2 / power)


@pulseaudio
@pytest.mark.slow
def test_clip_through_portaudio(virtual: VirtualSound) -> None:
    """What is played into a virtual microphone is heard, whole, after it was begun."""
    virtual.add_microphone("belt")
    listening = virtual.listen(3.5, ("belt",))
    played_s = time.monotonic()
    virtual.play(HERE / "flite-slt" / "one_hundred.flac", "belt").wait()
    heard = listening.heard()
    assert heard.events == ()
    steps = np.diff([begin_s for begin_s, _ in heard.sounds])
    counts = np.array([len(part) for _, part in heard.sounds[:-1]])
    assert np.abs(steps - counts / 16_000).max() < 0.1
    got = heard.between(0.0, np.inf)[:, 0]
    said = clip("flite-slt", "one_hundred")
    fit = np.correlate(got, said, "valid")
    at = int(fit.argmax())
    likeness = fit[at] / (np.linalg.norm(said) * np.linalg.norm(got[at : at + len(said)]))
    assert likeness > 0.98
    begins = np.concatenate([b + np.arange(len(part)) / 16_000 for b, part in heard.sounds])
    assert played_s < begins[at] < time.monotonic()


@pulseaudio
@pytest.mark.slow
def test_microphone_pulled_out_and_plugged_in(virtual: VirtualSound, tmp_path: Path) -> None:
    """A microphone that goes is told, even if the server puts another in its place; it returns.

    Nothing of the other one is taken for the lost one's sound up to its loss.
    """
    virtual.add_microphone("wrong")
    virtual.add_microphone("belt")
    own, foreign = tone(tmp_path, 440.0, 4.0), tone(tmp_path, 1000.0, 12.0)
    listening = virtual.listen(10.0, ("belt",))
    virtual.play(foreign, "wrong")
    virtual.play(own, "belt")
    time.sleep(2.0)
    virtual.remove_microphone("belt")
    time.sleep(2.5)
    virtual.add_microphone("belt")
    time.sleep(2.0)
    virtual.play(own, "belt").wait()
    heard = listening.heard()
    lost, returned = heard.events
    assert isinstance(lost, Lost)
    assert isinstance(returned, Returned)
    assert lost.name == returned.name == "belt"
    assert lost.at_s < returned.at_s
    assert returned.gap_s > 2.0
    assert strength(heard.between(lost.at_s - 0.8, lost.at_s)[:, 0], 440.0) > 0.95
    assert strength(heard.between(lost.at_s - 0.8, lost.at_s)[:, 0], 1000.0) < 0.01
    after = heard.between(returned.at_s, np.inf)[:, 0]
    assert strength(after, 1000.0) < 0.01
    assert max(strength(after[n : n + 8000], 440.0) for n in range(0, len(after), 8000)) > 0.95


@pulseaudio
@pytest.mark.slow
@pytest.mark.parametrize("is_held", [False, True])
def test_sound_that_was_played_too_late_is_known(
    virtual: VirtualSound, tmp_path: Path, *, is_held: bool
) -> None:
    """Tests that begin anew where sound was lost lean on it."""
    virtual.add_microphone("belt")
    player = virtual.play(tone(tmp_path, 440.0, 5.0), "belt")
    time.sleep(0.5)
    if is_held:
        player.send_signal(signal.SIGSTOP)
        time.sleep(2.5)
        player.send_signal(signal.SIGCONT)
    player.wait()
    assert virtual.is_torn() is is_held


@pulseaudio
@pytest.mark.slow
def test_program_that_was_held_does_not_blame_its_microphone(virtual: VirtualSound) -> None:
    """What stood still for longer than a device may be silent goes on with the same stream."""
    virtual.add_microphone("belt")
    listening = virtual.listen(6.0, ("belt",))
    time.sleep(1.0)
    for _ in range(3):
        listening.child.send_signal(signal.SIGSTOP)
        time.sleep(1.5)
        listening.child.send_signal(signal.SIGCONT)
        time.sleep(0.2)
    heard = listening.heard()
    assert {type(event) for event in heard.events} <= {Overflow}


@pulseaudio
@pytest.mark.slow
def test_sound_server_dies_and_comes_back(virtual: VirtualSound) -> None:
    """A crashed sound server loses the microphone, a new one brings it back."""
    virtual.add_microphone("belt")
    listening = virtual.listen(7.0, ("belt",))
    time.sleep(1.0)
    virtual.stop()
    time.sleep(1.0)
    virtual.start()
    virtual.add_microphone("belt")
    heard = listening.heard()
    assert [type(event) for event in heard.events] == [Lost, Returned]
    assert len(heard.between(heard.events[1].at_s, np.inf)) > 16_000


@pulseaudio
@pytest.mark.slow
def test_two_devices_through_portaudio(virtual: VirtualSound, tmp_path: Path) -> None:
    """Two virtual microphones are two columns, each with its own sound only."""
    virtual.add_microphone("chest")
    virtual.add_microphone("belt")
    listening = virtual.listen(4.0, ("belt", "chest"))
    virtual.play(tone(tmp_path, 440.0, 4.0), "belt")
    virtual.play(tone(tmp_path, 1000.0, 4.0), "chest")
    heard = listening.heard()
    assert heard.events == ()
    got = heard.between(0.0, np.inf)
    parts = [got[n : n + 8000] for n in range(0, len(got) - 8000, 8000)]
    for column, own, other in ((0, 440.0, 1000.0), (1, 1000.0, 440.0)):
        assert max(strength(part[:, column], own) for part in parts) > 0.95
        assert max(strength(part[:, column], other) for part in parts) < 0.01
