"""A private PulseAudio with virtual microphones, and a program that listens to them.

A microphone is a null sink (what is played into it is what it hears) and a source made of its
monitor, which PortAudio sees through ALSA's plug-in for PulseAudio. PortAudio reads its
environment when it is loaded, so whoever listens runs in a child process with `VirtualSound.env`:

    python -m tests.virtual SECONDS FILE.npz CHANNELS [NAME ...]
"""

from __future__ import annotations

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from types import TracebackType
from typing import IO, Self

import numpy as np
import numpy.typing as npt

from calllog.audio.events import Lost, Overflow, Returned, Sound
from calllog.audio.microphone import Microphone

ROOT = Path(__file__).parent.parent
TOOLS = ("pulseaudio", "pactl", "pacat", "paplay")
HAS_PULSEAUDIO = all(shutil.which(tool) for tool in TOOLS)
PLAYED, UNDERRUN = re.compile(r"Time: ([\d.]+) sec"), re.compile("Stream underrun")
"""What paplay tells of where it is [s], and of sound that came too late."""
END_S = 0.3
_LATENCY = ("--latency-msec=20", "--process-time-msec=5")


def free_port() -> int:
    """Find a port that nothing uses."""
    with socket.socket() as made:
        made.bind(("127.0.0.1", 0))
        return int(made.getsockname()[1])


class VirtualSound:
    """PulseAudio for one test, apart from any other that runs; as root too.

    Args:
        folder: an empty folder for its socket and configuration; its path must be short.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._server: subprocess.Popen[bytes] | None = None
        self._modules: dict[str, list[str]] = {}
        self._fed: dict[str, subprocess.Popen[bytes]] = {}
        self._played: list[subprocess.Popen[bytes]] = []
        self._known: list[str] = []
        self.env = {
            **os.environ,
            "HOME": str(folder),
            "XDG_RUNTIME_DIR": str(folder),
            "PULSE_SERVER": f"unix:{folder}/native",
            "ALSA_CONFIG_PATH": str(folder / "asound.conf"),
            "PYTHONPATH": str(ROOT),
        }
        """Environment for programs that shall hear and play here."""

    def __enter__(self) -> Self:
        self._folder.chmod(0o700)
        self._describe()
        self.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()

    def start(self) -> None:
        """Start the server, without any microphone."""
        (self._folder / "native").unlink(missing_ok=True)
        self._server = subprocess.Popen(
            [
                "pulseaudio",
                *("-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1"),
                *("-L", f"module-native-protocol-unix socket={self._folder}/native"),
                f"--log-target=newfile:{self._folder}/pulse.log",
            ],
            env=self.env,
            stderr=subprocess.DEVNULL,
        )
        deadline = time.monotonic() + 10
        while not (self._folder / "native").exists():
            assert self._server.poll() is None, (self._folder / "pulse.log").read_text()
            assert time.monotonic() < deadline, "PulseAudio does not start"
            time.sleep(0.02)

    def stop(self) -> None:
        """Kill the server, as if it had crashed; its microphones are gone with it."""
        assert self._server is not None
        self._server.kill()
        self._server.wait()
        for player in (*self._fed.values(), *self._played):
            player.kill()
            player.wait()
        self._fed.clear()
        self._played.clear()
        self._modules.clear()

    def add_microphone(self, name: str, channels: int = 1) -> None:
        """Plug a microphone in; what is played into the sink of its name is what it hears.

        Args:
            name: its name; not one that ALSA knows already, such as "rear".
            channels: 1 or 2.
        """
        if name not in self._known:
            self._known.append(name)
            self._describe()
        self._modules[name] = [
            self.load(f"module-null-sink sink_name={name} rate=48000 channels={channels}"),
            self.load(f"module-remap-source source_name={name}_microphone master={name}.monitor"),
        ]
        # an idle null sink sleeps for two seconds at a time; a fed one keeps up
        self._fed[name] = self._pacat(name, Path("/dev/zero"))

    def add_loudspeaker(self, name: str = "ear", channels: int = 2) -> None:
        """Plug a loudspeaker in, which whoever plays here is given; no microphone hears it."""
        self.load(f"module-null-sink sink_name={name} rate=48000 channels={channels}")
        self.ask("set-default-sink", name)

    def remove_microphone(self, name: str) -> None:
        """Pull a microphone out; PulseAudio moves who hears it to another one if there is one."""
        feeder = self._fed.pop(name)
        feeder.kill()
        feeder.wait()
        for module in reversed(self._modules.pop(name)):
            self.ask("unload-module", module)

    def suspend_microphone(self, name: str, *, is_suspended: bool) -> None:
        """Let a microphone fall silent without a word, or go on."""
        self.ask("suspend-source", f"{name}_microphone", "1" if is_suspended else "0")

    def play(self, path: Path, sink: str) -> subprocess.Popen[bytes]:
        """Begin to play a sound file into a microphone; `wait()` for its end."""
        log = self._folder / f"played-{len(self._played)}.log"
        with log.open("wb") as told:
            player = subprocess.Popen(
                ["paplay", "--verbose", "--latency-msec=2000", f"--device={sink}", str(path)],
                env=self.env,
                stderr=told,
            )
        self._played.append(player)
        return player

    def is_torn(self) -> bool:
        """Tell whether what was played came too late somewhere, so that silence was put in."""
        for log in self._folder.glob("played-*.log"):
            told = log.read_text(errors="replace")
            times = [float(each) for each in PLAYED.findall(told)]
            for before in UNDERRUN.split(told)[:-1]:
                at = PLAYED.findall(before)
                if at and times[-1] - float(at[-1]) > END_S:  # at its end a file runs out too
                    return True
        return False

    def listen(
        self, seconds: float, names: tuple[str, ...], *, channels: int | None = None
    ) -> Listening:
        """Begin to hear microphones with calllog in a child process; returns when it hears."""
        file = self._folder / f"heard-{time.monotonic_ns()}.npz"
        command = [sys.executable, "-m", "tests.virtual", str(seconds), str(file)]
        with (self._folder / "child.log").open("wb") as log:
            child = subprocess.Popen(
                [*command, str(channels or 0), *names],
                cwd=ROOT,
                env=self.env,
                stdout=subprocess.PIPE,
                stderr=log,
            )
        assert child.stdout is not None
        said = child.stdout.readline()
        assert said == b"listening\n", (self._folder / "child.log").read_text()
        return Listening(child, child.stdout, file)

    def _describe(self) -> None:
        """Tell ALSA which microphones there may be."""
        entries = ["pcm.default { type pulse }", "ctl.default { type pulse }"]
        entries += [
            f'pcm.{name} {{\n type pulse\n device "{name}_microphone"\n}}' for name in self._known
        ]
        (self._folder / "asound.conf").write_text("\n".join(entries) + "\n", "utf-8")

    def load(self, module: str) -> str:
        """Load a module into the server; give its number."""
        return self.ask("load-module", *module.split())

    def ask(self, *words: str) -> str:
        """Give the server an order by `pactl`; give its answer."""
        done = subprocess.run(["pactl", *words], env=self.env, capture_output=True, check=True)
        return done.stdout.decode().strip()

    def _pacat(self, sink: str, path: Path) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            ["pacat", "--raw", *_LATENCY, f"--device={sink}", str(path)],
            env=self.env,
            stderr=subprocess.DEVNULL,
        )


@contextmanager
def sound_of_crew() -> Iterator[VirtualSound]:
    """Make a virtual microphone for the crew, and a loudspeaker that it does not hear."""
    with tempfile.TemporaryDirectory(prefix="cl") as folder, VirtualSound(Path(folder)) as made:
        made.add_loudspeaker()
        made.add_microphone("crew", 2)
        yield made


@dataclass(frozen=True, slots=True)
class Heard:
    """What a child process heard."""

    sounds: tuple[tuple[float, npt.NDArray[np.float32]], ...]
    """When each stretch begins on the monotonic clock [s], and its samples."""
    late_s: npt.NDArray[np.float64]
    """How long after its last sample's capture the child had each stretch [s]."""
    events: tuple[Lost | Returned | Overflow, ...]

    def between(self, begin_s: float, end_s: float) -> npt.NDArray[np.float32]:
        """Join the stretches that begin within a time."""
        return np.concatenate([part for at, part in self.sounds if begin_s <= at < end_s])


@dataclass(frozen=True, slots=True)
class Listening:
    """A child process that listens."""

    child: subprocess.Popen[bytes]
    said: IO[bytes]
    file: Path

    def heard(self) -> Heard:
        """Wait for its end, and return what it heard."""
        rest = self.said.read().decode()
        self.said.close()
        assert self.child.wait() == 0, rest
        kinds = {kind.__name__: kind for kind in (Lost, Returned, Overflow)}
        events = [kinds[name](**told) for name, told in map(json.loads, rest.splitlines())]
        with np.load(self.file) as kept:
            parts = np.split(kept["samples"], np.cumsum(kept["counts"])[:-1])
            sounds = tuple(zip(kept["begins_s"].tolist(), parts, strict=True))
            return Heard(sounds, kept["late_s"], tuple(events))


def main(seconds: float, file: Path, channels: int | None, names: tuple[str, ...]) -> None:
    """Listen for a while, and keep what was heard."""
    sounds, late = [], []
    with Microphone(names, channels=channels) as microphone:
        sys.stdout.write("listening\n")
        sys.stdout.flush()
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            event = microphone.read(0.1)
            if isinstance(event, Sound):
                sounds.append(event)
                late.append(time.monotonic() - event.begin_s - len(event.samples) / 16_000)
            elif event is not None:
                sys.stdout.write(json.dumps([type(event).__name__, asdict(event)]) + "\n")
    np.savez(
        file,
        samples=np.concatenate([sound.samples for sound in sounds]),
        counts=[len(sound.samples) for sound in sounds],
        begins_s=[sound.begin_s for sound in sounds],
        late_s=late,
    )


if __name__ == "__main__":
    main(float(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]) or None, tuple(sys.argv[4:]))
