"""The command `rescue`: a damaged job in, a new one of what is sound out."""

from pathlib import Path
from typing import Annotated

import typer

from calllog import system
from calllog.commands.counting import counted
from calllog.commands.terminal import asked_messages, out
from calllog.errors import require_plain
from calllog.journal import Rescue
from calllog.office import rescue_job
from calllog.session import Replay


def rescue(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The damaged job's folder.")],
    folder: Annotated[
        Path | None,
        typer.Option("--out", help="The new job's folder; JOB-rescued if left out."),
    ] = None,
) -> None:
    """Make a new job of all that is sound in a damaged one, which is left as it is.

    The new job tells what it was rescued from, and what was lost; so do `verify` and its reports.

    Example: calllog rescue day-1 --out day-1-rescued
    """
    whole = job_folder.resolve()
    folder = folder or whole.with_name(f"{whole.name}-rescued")
    require_plain(folder.name, "--out")
    told = rescue_job(job_folder, folder)
    for words in what_came(told):
        out.print(words)
    out.print(f"written: {folder}")
    named = system.quoted(folder)
    out.print(f"Look at it with `calllog verify {named}`; {job_folder} is as it was.")


def rescue_words(replay: Replay) -> list[str]:
    """Say what a job was rescued from, one line for each time."""
    return [
        f"! RESCUED from {told.job} on {time_utc}: {' '.join(what_came(told))}"
        for time_utc, told in replay.rescued
    ]


def _entries(numbers: tuple[int, ...]) -> str:
    return f"{'entry' if len(numbers) == 1 else 'entries'} {', '.join(map(str, numbers))}"


def what_came(told: Rescue) -> list[str]:
    """Say what was carried over and what was not, one sentence each."""
    lines = [
        f"Wrong: {asked_messages().say(told.wrong)}." if told.wrong else "Nothing was found wrong."
    ]
    lost = counted(told.lost, "later one is", "later ones are")
    lines.append(
        f"{counted(told.entries, 'entry was', 'entries were')} carried over, up to entry"
        f" {told.entries}; {lost} known to be lost."
    )
    if told.mended:
        lines.append(
            f"A single bit had been flipped in {_entries(told.mended)} and was turned back, so"
            " that the hash fits."
        )
    if told.apart:
        is_one = told.apart == 1
        lines.append(
            f"{told.apart} of them can be read, but what stood before {'it' if is_one else 'them'}"
            f" cannot, so {'it counts' if is_one else 'they count'} for nothing; read"
            f" {'it' if is_one else 'them'} in {told.kept_in}."
        )
    if told.pulls_in:
        lines.append(f"What they say of pulls is listed in {told.pulls_in}.")
    if told.clips_lost:
        sounds = counted(len(told.clips_lost), "sound is", "sounds are")
        lines.append(f"{sounds} lost: {', '.join(told.clips_lost)}.")
    if told.files_lost:
        files = "File" if len(told.files_lost) == 1 else "Files"
        lines.append(f"{files} that could not be read: {', '.join(told.files_lost)}.")
    return lines
