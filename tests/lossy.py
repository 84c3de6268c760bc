"""A live test begins anew where a busy computer lost sound; what tells that it did."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from calllog.journal import Journal
from calllog.values import Question
from tests.terminal import Terminal, wait_for
from tests.virtual import VirtualSound

TRIES = 3
PATIENCE_S = 120.0
"""A busy computer hears long after it was said."""
UNSURE = "not-sure-of"
"""Code of the question about a call that is surely heard where its sound arrives whole."""


class SoundLostError(Exception):
    """The computer was too busy to play or to hear all of it."""


def entries(folder: Path, kind: str) -> int:
    """Count a job's entries of a kind, as an onlooker."""
    with Journal.open(folder, read_only=True) as journal:
        return sum(1 for _ in journal.entries(kind))


def asked_again(folder: Path) -> int:
    """Count the calls of a job that were asked again, since none was made out for sure."""
    with Journal.open(folder, read_only=True) as journal:
        said = [each.body for each in journal.entries("question")]
    return sum(Question.model_validate_json(each).asks.code == UNSURE for each in said)


def play_whole(
    sound: VirtualSound,
    path: Path,
    job: Path,
    arrives: Callable[[], bool],
    terminal: Terminal,
    *,
    meanwhile: Callable[[], bool] = lambda: True,
) -> None:
    """Play a sound to its end, and wait for what comes of it.

    Args:
        sound: where it is played.
        path: the sound.
        job: what the program that hears it writes.
        arrives: whether there is what comes of it.
        terminal: where the program runs.
        meanwhile: what must hold before the sound is over.

    Raises:
        SoundLostError: some of it was lost.
    """
    known, asked = entries(job, "microphone_lost"), asked_again(job)

    def is_lost() -> bool:
        is_away = entries(job, "microphone_lost") > known
        is_damaged = sound.is_torn() or asked_again(job) > asked
        return is_away or is_damaged or entries(job, "sound_lost") > 0

    player = sound.play(path, "crew")
    wait_for(lambda: meanwhile() or is_lost(), terminal, PATIENCE_S)
    is_early = player.poll() is None
    player.wait()
    wait_for(lambda: arrives() or is_lost(), terminal, PATIENCE_S)
    if is_lost():
        raise SoundLostError
    assert is_early, "it is told while the crew goes on"
