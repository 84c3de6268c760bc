"""The command `listen` in the field: real terminal, real PortAudio, a virtual microphone.

A crew is played in real time, the program is killed, a microphone is pulled out, keys are typed;
the job must be the one that the same sound gives from a file.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from calllog.demo import load_day
from calllog.journal import Journal
from calllog.office.summary import verify_job
from calllog.session import Job, replay
from calllog.values import Segment
from tests.commanding import run
from tests.demo.cuts import cut
from tests.lossy import PATIENCE_S, TRIES, SoundLostError, entries, play_whole
from tests.terminal import Terminal, wait_for
from tests.virtual import HAS_PULSEAUDIO, VirtualSound, sound_of_crew

LINE = load_day().lines[0]
PARTS_S = ((0.0, 25.5), (30.6, 41.5), (49.8, 51.9))
"""Of the recording: conditions and the first pull; the second; the hundredths of the third."""
LISTEN = ("listen", "--tape", str(LINE.tape), "--line", LINE.name)
CONSENT = ("--consent", "head=Ash", "--consent", "rear=Rowan")
KIT = ("--microphone", "crew", "--channels", "head,rear", "--say", "tones", *CONSENT)
pytestmark = [
    pytest.mark.slow,
    pytest.mark.live,
    pytest.mark.skipif(not HAS_PULSEAUDIO, reason="needs PulseAudio and its tools"),
]


def parts(folder: Path) -> list[Path]:
    """Cut the pieces that are played out of the recording."""
    return [
        cut(LINE.recording, folder / f"part-{number}.wav", span_s)
        for number, span_s in enumerate(PARTS_S)
    ]


def from_files(folder: Path, paths: list[Path]) -> list[Segment]:
    """Take the same sound from files."""
    options = [word for path in paths for word in ("--from", str(path))]
    done = run(*LISTEN, str(folder), *options, "--channels", "head,rear")
    assert done.returncode == 0, done.stderr
    with Job.open_existing(folder) as job:
        return job.replay.segments


def told_of(segment: Segment, name: str) -> object:
    """Tell one thing of a segment; who was recorded did not say how the tape reads."""
    if name == "findings":
        return [each.code for each in segment.findings if each.code != "style-not-confirmed"]
    return getattr(segment, name)


@pytest.mark.usefixtures("hears_once")
def test_a_day_in_the_field(tmp_path: Path) -> None:
    """Played live, killed, gone on with, a microphone lost and back, keyed: as from the file."""
    played = parts(tmp_path)
    for number in range(TRIES):
        job = tmp_path / f"job-{number}"
        try:
            with sound_of_crew() as sound:
                work(sound, job, played)
        except SoundLostError:
            continue
        return compare(job, from_files(tmp_path / "filed", played[:2]))
    pytest.fail(f"sound was lost in {TRIES} tries of {TRIES}")


def work(sound: VirtualSound, job: Path, played: list[Path]) -> None:
    """Let a crew work, and see that nothing is lost on the way."""

    def play(path: Path, arrives: Callable[[], bool], terminal: Terminal) -> None:
        play_whole(sound, path, job, arrives, terminal)

    command = (*LISTEN, str(job), *KIT)
    first = Terminal(sound.env, *command)
    try:
        wait_for(lambda: b"next" in first.seen, first)
        assert b"never tape near overhead lines" in first.seen
        first.type("8/")
        wait_for(lambda: entries(job, "call") == 1, first)
        play(played[0], lambda: entries(job, "segment") == 1, first)
        told = entries(job, "call")
        first.kill()
    finally:
        first.close()
    again = Terminal(sound.env, *command)
    try:
        wait_for(lambda: b"going on" in again.seen, again)
        assert entries(job, "call") == told
        second = [sys.executable, "-m", "calllog.cli", *LISTEN, str(job), "--keys-only"]
        refused = subprocess.run(second, capture_output=True, text=True, check=False)
        assert refused.returncode == 1
        assert "another" in refused.stderr
        play(played[1], lambda: entries(job, "segment") == 2, again)
        sound.remove_microphone("crew")
        wait_for(lambda: entries(job, "microphone_lost") == 1, again)
        sound.add_microphone("crew", 2)
        wait_for(lambda: entries(job, "microphone_back") == 1, again)
        calls = entries(job, "call")
        again.type("33.\r")
        wait_for(lambda: entries(job, "call") == calls + 1, again)
        play(played[2], lambda: entries(job, "call") == calls + 2, again)
        again.type("+33.\r87\r")
        wait_for(lambda: entries(job, "segment") == 3, again, PATIENCE_S)
        assert again.end() == 0
        assert b"3 pulls recorded" in again.seen
    finally:
        again.close()


def compare(job: Path, filed: list[Segment]) -> None:
    """See that a job is what its sound gives from files."""
    with Journal.open(job, read_only=True) as journal:
        live = replay(journal.entries())
    assert [each.length_read_ft for each in live.segments] == [47.64, 83.44, 33.87]
    for one, other in zip(live.segments, filed, strict=False):
        for name in ("length_read_ft", "booking", "difference", "conditions", "findings"):
            assert told_of(one, name) == told_of(other, name), name
        assert (one.take.length, one.check and one.check.length) == (
            other.take.length,
            other.check and other.check.length,
        )
    assert (len(filed), live.sittings) == (2, 2)
    assert verify_job(job).ok
