"""The player: what sounds when, and what it tells the listener."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from calllog.audio.outputs import Fill, PortAudioOutputs
from calllog.errors import AudioError, ConfigError
from calllog.readback import Player, Saying, Tone
from calllog.readback.player import DRY_S, FADE_S, RETRY_S, TAIL_S
from calllog.readback.tones import Sound, render

RATE_HZ = 48_000
BLOCK = 480
DELAY_S = 0.03
WORD_LEVEL = 0.25

HEARD = Saying(Tone.HEARD, "", is_read_back=True)
STOP = Saying(Tone.STOP, "stop")


def word(said: str) -> Saying:
    """Read back one word, without a tone."""
    return Saying(None, said, is_read_back=True)


@dataclass
class Voice:
    """Speaks each word as 0.2 s of a constant that tells which word it was."""

    known: dict[str, float] = field(default_factory=dict)
    identity: str = "constant"

    def level(self, words: str) -> float:
        """Give a word its own level, 0.25 and up."""
        return self.known.setdefault(words, WORD_LEVEL + 0.01 * len(self.known))

    def speak(self, words: str, within_s: float) -> tuple[Sound, int]:
        """Give the constant."""
        assert within_s > 0.0
        return np.full(RATE_HZ // 5, self.level(words), np.float32), RATE_HZ

    def close(self) -> None:
        """Hold nothing."""


@dataclass
class Loudspeaker:
    """An output whose time passes only when the test says so; writes down what it got."""

    now_s: float = 100.0
    fill: Fill | None = None
    rate_hz: int = RATE_HZ
    is_live: bool = False
    refuses: bool = False
    is_dry: bool = False
    """It says of each block that it had none left."""
    opened: int = 0
    heard: list[Sound] = field(default_factory=list)

    def open(self, output: str | None, fill: Fill) -> Loudspeaker:
        """Open it, unless it is gone; like a sound card, ask for sound before it is known."""
        assert output in (None, "ear")
        self.opened += 1
        if self.refuses:
            raise AudioError("it is gone")
        self.heard.append(fill(BLOCK, self.rate_hz, DELAY_S))
        self.fill, self.is_live = fill, True
        return self

    def close(self) -> None:
        """Give it back."""
        self.is_live, self.fill = False, None

    def silence(
        self, frames: int, rate_hz: int, delay_s: float, *, has_run_dry: bool = False
    ) -> Sound:
        """Give none."""
        del rate_hz, delay_s, has_run_dry
        return np.zeros(frames, np.float32)

    def clock(self) -> float:
        """Give the time."""
        return self.now_s

    def play(self, seconds: float, block: int = BLOCK) -> Sound:
        """Let time pass, 10 ms a block; return what sounded."""
        played = []
        for _ in range(round(seconds * RATE_HZ / block)):
            if self.fill is not None:
                sound = self.fill(block, self.rate_hz, DELAY_S, has_run_dry=self.is_dry)
                played.append(sound)
            self.now_s += block / RATE_HZ
        self.heard += played
        return np.concatenate(played) if played else np.zeros(0, np.float32)


Open = Callable[..., Player]


@pytest.fixture
def speaker() -> Loudspeaker:
    """Make a loudspeaker."""
    return Loudspeaker()


@pytest.fixture
def voice() -> Voice:
    """Make a voice."""
    return Voice()


@pytest.fixture
def player(speaker: Loudspeaker, voice: Voice) -> Iterator[Player]:
    """Open a player on the fake output."""
    with Player(voice, output="ear", backend=speaker, clock=speaker.clock) as opened:
        yield opened


def until(is_so: Callable[[], object]) -> None:
    """Wait for the player's own thread."""
    for _ in range(2000):
        if is_so():
            return
        time.sleep(0.005)
    message = "it did not come about in 10 s"
    raise AssertionError(message)


def rendered(player: Player) -> None:
    """Wait until all words are rendered."""
    until(lambda: player.is_rendered)


def order(sound: Sound, voice: Voice) -> list[str]:
    """List the words that sounded, in order."""
    names = {float(np.float32(level)): said for said, level in voice.known.items()}
    runs = np.split(sound, np.flatnonzero(np.diff(sound)) + 1)
    found = [names[float(run[0])] for run in runs if run.size > 100 and float(run[0]) in names]
    return [said for said, before in zip(found, ("", *found), strict=False) if said != before]


def test_tone_sounds_in_the_next_block(player: Player, speaker: Loudspeaker) -> None:
    """Nothing is rendered or opened between the decision and its tone."""
    assert not speaker.play(0.05).any()
    player.say(HEARD)
    block = speaker.play(0.01)
    tone = render(Tone.HEARD, RATE_HZ)
    assert np.array_equal(block, tone[:BLOCK])
    assert player.delays_s == (0.0,)


def test_words_follow_their_tone(player: Player, speaker: Loudspeaker, voice: Voice) -> None:
    """Tone, a breath, words with their pauses, then silence."""
    player.say(Saying(Tone.AGREES, "one, two"))
    rendered(player)
    sound = speaker.play(1.2)
    tone = render(Tone.AGREES, RATE_HZ)
    assert np.array_equal(sound[: tone.size], tone)
    assert order(sound[tone.size :], voice) == ["one", "two"]
    assert player.is_idle
    assert not sound[-BLOCK:].any()


def test_sayings_come_in_order(player: Player, speaker: Loudspeaker, voice: Voice) -> None:
    """Results and questions are said one after the other, none is lost."""
    for said in ("one", "two", "three"):
        player.say(Saying(None, said))
    rendered(player)
    assert order(speaker.play(2.0), voice) == ["one", "two", "three"]


def test_newer_read_back_takes_the_place_of_waiting_ones(
    player: Player, speaker: Loudspeaker, voice: Voice
) -> None:
    """A crew that calls faster than it is answered hears the last call; results stay."""
    player.say(word("one"))
    rendered(player)
    start = speaker.play(0.05)
    for saying in (word("two"), Saying(None, "pull"), word("three"), word("four")):
        player.say(saying)
    rendered(player)
    sound = np.concatenate([start, speaker.play(2.5)])
    assert order(sound, voice) == ["one", "pull", "four"]


def test_nothing_is_said_to_an_output_that_ran_dry(
    player: Player, speaker: Loudspeaker, voice: Voice
) -> None:
    """It may throw away what it is given, so words wait; what left has a gap there."""
    player.say(Saying(Tone.AGREES, "one, two"))
    rendered(player)
    start = speaker.play(0.3)
    player.left()
    speaker.is_dry = True
    assert not speaker.play(0.5).any()
    assert not player.left()
    speaker.is_dry = False
    sound = np.concatenate((start, speaker.play(1.0)))
    assert order(sound, voice) == ["one", "two"]
    tone = render(Tone.AGREES, RATE_HZ)
    assert np.array_equal(sound[: tone.size], tone)
    assert player.left()[0].first == round(0.8 * RATE_HZ) + BLOCK


def test_output_that_always_says_it_ran_dry_speaks(
    player: Player, speaker: Loudspeaker, voice: Voice
) -> None:
    """It cannot be believed for ever."""
    speaker.is_dry = True
    player.say(Saying(Tone.AGREES, "one, two"))
    rendered(player)
    sound = speaker.play(DRY_S + 1.5)
    assert order(sound, voice) == ["one", "two"]


def test_stop_comes_first_and_cuts_a_read_back(
    player: Player, speaker: Loudspeaker, voice: Voice
) -> None:
    """Nothing that can wait is heard before a stop; the cut does not click."""
    player.say(word("one"))
    player.say(Saying(None, "pull"))
    rendered(player)
    speaker.play(0.05)
    player.say(STOP)
    rendered(player)
    sound = speaker.play(2.5)
    tone = render(Tone.STOP, RATE_HZ)
    fade = round(FADE_S * RATE_HZ)
    assert np.array_equal(sound[fade : fade + tone.size], tone)
    assert np.max(np.abs(np.diff(sound[:fade]))) < 0.01
    assert order(sound[tone.size :], voice) == ["stop", "pull"]


def test_stop_does_not_cut_a_question(player: Player, speaker: Loudspeaker, voice: Voice) -> None:
    """What is asked is heard to its end, then the stop, then the rest."""
    player.say(Saying(None, "question"))
    rendered(player)
    start = speaker.play(0.05)
    player.say(Saying(None, "later"))
    player.say(Saying(None, "older"))
    player.say(Saying(Tone.STOP, "newer"))
    rendered(player)
    sound = np.concatenate([start, speaker.play(3.5)])
    assert order(sound, voice) == ["question", "newer", "later", "older"]


def test_barge_in_silences_at_once(player: Player, speaker: Loudspeaker) -> None:
    """A key cuts off what sounds within 5 ms and drops what waits; the next is heard."""
    player.say(Saying(None, "one two three"))
    player.say(STOP)
    player.say(Saying(None, "four"))
    rendered(player)
    speaker.play(0.1)
    player.stop()
    sound = speaker.play(0.5)
    assert not sound[round(0.006 * RATE_HZ) :].any()
    assert player.is_idle
    player.stop()
    player.say(HEARD)
    assert speaker.play(0.05).any()


def test_key_ticks_sound_over_speech_and_deafen_nobody(
    player: Player, speaker: Loudspeaker
) -> None:
    """A tick comes with its key, not after the sentence; the other one may be calling."""
    player.say(Saying(Tone.TICK, ""))
    alone = speaker.play(0.03)
    assert np.array_equal(alone[: render(Tone.TICK, RATE_HZ).size], render(Tone.TICK, RATE_HZ))
    assert not player.was_out(0.0, 1e9)
    player.say(word("one"))
    rendered(player)
    speaker.play(0.05)
    player.say(Saying(Tone.TICK, ""))
    over = speaker.play(0.02)
    assert np.allclose(over[: alone.size] - WORD_LEVEL, alone[:960], atol=1e-6)
    assert speaker.play(0.05)[0] == pytest.approx(WORD_LEVEL)


def test_listener_is_deaf_only_while_words_are_out(player: Player, speaker: Loudspeaker) -> None:
    """From the block that carries the first word to the output's delay and the tail after it."""
    player.say(Saying(Tone.HEARD, "one"))
    rendered(player)
    begin_s = speaker.now_s
    speaker.play(1.0)
    tone_s = 0.09 + 0.04
    first_s, last_s = begin_s + tone_s, begin_s + tone_s + 0.2
    assert not player.was_out(begin_s, first_s - 0.02)
    assert player.was_out(first_s + 0.01, first_s + 0.01)
    assert player.was_out(last_s + DELAY_S + TAIL_S - 0.001, last_s + DELAY_S + TAIL_S - 0.001)
    assert not player.was_out(last_s + DELAY_S + TAIL_S + 0.011, last_s + DELAY_S + TAIL_S + 0.011)
    assert player.was_out(begin_s - 1.0, first_s + 0.01)
    assert player.was_out(first_s + 0.05, first_s + 0.06)
    assert not player.was_out(last_s + 0.2, last_s + 5.0)


def test_volume_scales_and_its_range_is_said(speaker: Loudspeaker, voice: Voice) -> None:
    """Half the volume is half the amplitude; beyond 0 to 1 is refused."""
    with Player(voice, volume=0.5, backend=speaker, clock=speaker.clock) as player:
        player.say(HEARD)
        assert np.allclose(speaker.play(0.01), render(Tone.HEARD, RATE_HZ)[:BLOCK] / 2)
    for volume in (-0.1, 1.1, float("nan")):
        with pytest.raises(ConfigError, match="say 0 to 1"):
            Player(voice, volume=volume, backend=speaker)


def test_silence_and_a_closed_player_say_nothing(speaker: Loudspeaker, voice: Voice) -> None:
    """Neither is an error: the crew may call while the program ends."""
    player = Player(voice, backend=speaker, clock=speaker.clock)
    player.say(Saying(None, ""))
    assert player.is_idle
    player.close()
    player.say(HEARD)
    assert player.is_idle
    assert not speaker.is_live
    assert "player" not in {each.name for each in threading.enumerate()}


def test_output_that_cannot_be_opened_is_an_error_at_the_start(
    speaker: Loudspeaker, voice: Voice
) -> None:
    """A wrong name is told before the first pull."""
    speaker.refuses = True
    with pytest.raises(AudioError):
        Player(voice, backend=speaker)


@pytest.mark.parametrize("how", ["not live", "stalled"])
def test_lost_output_is_told_once_and_opened_again(
    player: Player, speaker: Loudspeaker, voice: Voice, how: str
) -> None:
    """No call fails meanwhile; when it returns, the stop and the last question are said."""
    player.say(word("one"))
    player.say(Saying(None, "old result"))
    rendered(player)
    speaker.refuses = True
    if how == "not live":
        speaker.is_live = False
    else:
        speaker.now_s += 4.0
    told = ""

    def is_told() -> bool:
        nonlocal told
        told = player.fault() or ""
        return bool(told)

    until(is_told)
    assert "ear" in told
    assert player.fault() is None
    for said in ("first", "second"):
        player.say(Saying(Tone.QUESTION, said))
        player.say(word("stale"))
        player.say(Saying(Tone.AGREES, "stale result"))
    player.say(STOP)
    opened = speaker.opened
    speaker.now_s += RETRY_S / 2
    time.sleep(0.2)
    assert speaker.opened == opened
    speaker.now_s += RETRY_S
    until(lambda: speaker.opened > opened)
    speaker.refuses = False
    speaker.now_s += 2 * RETRY_S
    until(lambda: speaker.is_live)
    rendered(player)
    assert order(speaker.play(4.0), voice) == ["stop", "second"]
    assert player.fault() is None


CREW = """
import sys, time
from calllog.readback import Player, Saying, Tone
from calllog.readback.voice import BuiltIn
with Player(BuiltIn()) as player:
    time.sleep(3.0)
    for _ in range(10):
        player.say(Saying(Tone.HEARD, "", is_read_back=True))
        until = time.monotonic() + 5.0
        while not player.is_idle and time.monotonic() < until:
            time.sleep(0.02)
    delays_s = sorted(player.delays_s)
    print("delays", len(delays_s), delays_s[len(delays_s) // 2], delays_s[-1], flush=True)
    player.say(Saying(Tone.HEARD, "thirty three"))
    time.sleep(1.2)
    print("said", flush=True)
    began = time.monotonic()
    told = None
    while told is None and time.monotonic() - began < 15:
        player.say(Saying(Tone.QUESTION, "held"))
        told = player.fault()
        time.sleep(0.05)
    print("lost", told, flush=True)
    known = len(player.delays_s)
    while len(player.delays_s) == known and time.monotonic() - began < 30:
        time.sleep(0.05)
    print("back", len(player.delays_s) > known, flush=True)
"""


def pulse(home: Path) -> subprocess.Popen[bytes]:
    """Start a sound server of our own with an output that nobody hears."""
    server = subprocess.Popen(
        (
            *("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--disable-shm=1"),
            *("-L", f"module-native-protocol-unix auth-anonymous=1 socket={home / 'socket'}"),
            *("-L", "module-null-sink sink_name=ear rate=48000"),
        ),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=server_environment(home),
    )
    asked = ("pactl", "list", "short", "sinks")
    environment = server_environment(home)
    until(
        lambda: (
            b"ear"
            in subprocess.run(asked, env=environment, check=False, capture_output=True).stdout
        )
    )
    return server


def server_environment(home: Path) -> dict[str, str]:
    """Point at a sound server of our own."""
    own = {"HOME": home, "XDG_RUNTIME_DIR": home, "PULSE_RUNTIME_PATH": home / "run"}
    return {
        **os.environ,
        **{name: str(path) for name, path in own.items()},
        "PULSE_SERVER": f"unix:{home / 'socket'}",
    }


@pytest.mark.slow
@pytest.mark.skipif(not shutil.which("pactl"), reason="needs PulseAudio and its pactl")
def test_real_output_sounds_soon_and_returns_after_a_loss(tmp_path: Path) -> None:
    """Through PortAudio into a sound server: the tone is in what it played, and it comes back."""
    server = pulse(tmp_path)
    recorder = crew = None
    taken, errors = tmp_path / "taken.raw", tmp_path / "errors.txt"
    try:
        with taken.open("wb") as file, errors.open("wb") as error_file:
            recorder = subprocess.Popen(
                (
                    "parec",
                    "-d",
                    "ear.monitor",
                    "--rate=48000",
                    "--channels=1",
                    "--format=float32le",
                ),
                stdout=file,
                env=server_environment(tmp_path),
            )
            crew = subprocess.Popen(
                (sys.executable, "-c", CREW),
                stdout=subprocess.PIPE,
                stderr=error_file,
                text=True,
                env=server_environment(tmp_path),
            )
            assert crew.stdout is not None
            measured = crew.stdout.readline().split()
            assert measured, errors.read_text()
            _, count, median_s, most_s = measured
            assert crew.stdout.readline() == "said\n"
            recorder.terminate()
            recorder.wait()
        server.terminate()
        server.wait()
        lost = crew.stdout.readline()
        assert "sound output lost" in lost
        server = pulse(tmp_path)
        assert crew.stdout.readline() == "back True\n"
        assert crew.wait(90) == 0
    finally:
        for each in (recorder, crew, server):
            if each is not None:
                each.kill()
                each.wait()
        if crew is not None and crew.stdout is not None:
            crew.stdout.close()
    assert int(count) >= 5  # a busy machine starves the server, and newer read-backs take over
    assert float(median_s) <= 0.05, most_s
    sound = np.frombuffer(taken.read_bytes(), np.float32)
    spectrum = np.abs(np.fft.rfft(sound))
    assert 860 < np.argmax(spectrum[: spectrum.size // 2]) * RATE_HZ / sound.size < 900
    assert np.max(np.abs(sound)) > 0.3


def test_unknown_output_is_named() -> None:
    """A misspelt device, or a computer without any, is an error that says what to do."""
    with pytest.raises(AudioError, match="no loudspeaker"):
        PortAudioOutputs().open("harp", Loudspeaker().silence)


def test_read_back_gives_way_and_nothing_else_does(
    player: Player, speaker: Loudspeaker, voice: Voice
) -> None:
    """Somebody begins to speak: what only repeats a call is broken off, a result is not."""
    player.say(word("one"))
    rendered(player)
    speaker.play(0.05)
    player.say(HEARD)
    player.say(Saying(Tone.AGREES, "pull"))
    assert player.give_way() == word("one")
    assert player.give_way() is None
    rendered(player)
    assert order(speaker.play(2.5), voice) == ["pull"]
    player.say(word("four"))
    rendered(player)
    speaker.play(0.21)
    assert player.give_way() is None, "all of it was said"


def test_tone_alone_takes_no_words_away(player: Player, speaker: Loudspeaker, voice: Voice) -> None:
    """A part is acknowledged by its tone while the read-back of another still waits."""
    player.say(Saying(Tone.AGREES, "pull"))
    player.say(word("one"))
    player.say(HEARD)
    rendered(player)
    assert order(speaker.play(2.5), voice) == ["pull", "one"]


def test_what_leaves_has_a_loudness(player: Player, speaker: Loudspeaker) -> None:
    """What may arrive at a microphone is told from what left, tones as well as words."""
    assert player.loudness(0.0, 1e9) == 0.0
    player.say(HEARD)
    speaker.play(0.5)
    assert 0.0 < player.loudness(0.0, 1e9) < 1.0
    begin_s = speaker.now_s
    player.say(word("one"))
    rendered(player)
    speaker.play(1.0)
    assert player.loudness(begin_s, begin_s + 0.1) == pytest.approx(WORD_LEVEL**2, rel=0.1)
    assert player.loudness(begin_s + 0.5, begin_s + 0.6) == 0.0


def test_question_that_sounds_already_is_not_said_again(
    player: Player, speaker: Loudspeaker, voice: Voice
) -> None:
    """Calls that cross it bring it again: its tone answers them, its words are heard once."""
    who, other = Saying(Tone.QUESTION, "who"), Saying(Tone.QUESTION, "other")
    player.say(who)
    rendered(player)
    sound = speaker.play(0.45)
    for saying in (who, other, who, other):
        player.say(saying)
    rendered(player)
    sound = np.concatenate((sound, speaker.play(3.0)))
    player.say(who)
    rendered(player)
    sound = np.concatenate((sound, speaker.play(2.0)))
    assert order(sound, voice) == ["who", "other", "who"]


@dataclass
class Swinging(Voice):
    """Speaks as sound does, which swings: 100 Hz for 2 s."""

    def speak(self, words: str, within_s: float) -> tuple[Sound, int]:
        """Give the swing."""
        assert words
        assert within_s > 0.0
        time_s = np.arange(2 * RATE_HZ) / RATE_HZ
        return (WORD_LEVEL * np.sin(2 * np.pi * 100.0 * time_s)).astype(np.float32), RATE_HZ


@pytest.mark.parametrize("block", [33, BLOCK, 4096])
def test_loudness_is_told_alike_however_the_output_asks_for_sound(block: int) -> None:
    """PortAudio on PulseAudio asks for 33 frames at a time: no peak counts, and none is lost."""
    speaker = Loudspeaker()
    with Player(Swinging(), output="ear", backend=speaker, clock=speaker.clock) as player:
        begin_s = speaker.now_s
        player.say(word("one"))
        rendered(player)
        speaker.play(2.5, block)
        for at_s in (0.0, 0.5, 1.0, 1.5):
            told = player.loudness(begin_s + at_s, begin_s + at_s + 0.1)
            assert told == pytest.approx(WORD_LEVEL**2 / 2, rel=0.15), at_s
