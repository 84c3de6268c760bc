"""The command `sign`: somebody stands by a job as it is; later entries are told by every report."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.tape_file import today
from calllog.commands.terminal import Terminal
from calllog.errors import require_plain
from calllog.session import Job, Replay

out = Terminal(soft_wrap=True, highlight=False, emoji=False)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(sign)


def sign(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    by: Annotated[str, typer.Option("--by", help="Who signs.")],
    remark: Annotated[str, typer.Option("--remark", help="What is to be known of it.")] = "",
) -> None:
    """Sign a job off: one more entry with name, day and the hash of the state signed.

    Later entries are told by `verify` and by every report. It proves no identity: anybody who can
    write the folder can write any name.

    Example: calllog sign day-1 --by "the office"
    """
    require_plain(by, "--by")
    require_plain(remark, "--remark")
    with Job.open_existing(job_folder) as job:
        job.sign(by=by, day=today(), remark=remark)
        for words in sign_off_words(job.replay)[-1:]:
            out.print(words, markup=False)


def sign_off_words(replay: Replay) -> list[str]:
    """Say who signed a job off, and whether it has changed since, one line for each."""
    lines = []
    for one in replay.signed:
        later = replay.later(one)
        remark = f" ({one.remark})" if one.remark else ""
        said = (
            f"Signed by {one.by} on {one.date}{remark}, as of entry {one.entry},"
            f" hash {one.state_hash}"
        )
        if later:
            kinds = Counter(kind for _, kind in later)
            listed = ", ".join(f"{kind} {number}" for kind, number in kinds.items())
            said += (
                f"; ! CHANGED SINCE: {len(later)} later entries, {later[0][0]} to {later[-1][0]}"
                f" ({listed}), see calllog diff JOB --since {one.entry}"
            )
        else:
            said += "; unchanged since"
        lines.append(f"{said}.")
    return lines
