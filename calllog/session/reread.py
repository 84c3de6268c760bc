"""A job's folder in, what its journal says out, nothing of it changed; shell.

Apart from the office, whose reports and pages whoever only listens need not load.
"""

from functools import partial
from pathlib import Path

from calllog.journal import Journal, is_job
from calllog.session.remark_words import read_words
from calllog.session.replay import Replay, replay


def replay_job(folder: Path) -> Replay:
    """Compute again what a job's journal says; JournalError if it is no job, or damaged."""
    with Journal.open(folder, read_only=True) as journal:
        return replay(journal.entries(), with_words(folder))


def with_words(folder: Path) -> Replay:
    """Begin a replay that reads typed remarks where they are kept."""
    return Replay(read_words=partial(read_words, folder))


def grammar_of(folder: Path) -> str:
    """Tell which grammar a job was begun with; empty where there is no job, or it names none.

    Raises:
        JournalError: the job cannot be read.
    """
    if not is_job(folder):
        return ""
    result = Replay()
    with Journal.open(folder, read_only=True) as journal:
        for entry in journal.entries():
            if entry.kind in ("engine", "sitting"):
                result.feed(entry)
    return result.grammar
