"""The command `decide`: the chief decides a pull that stopped."""

from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.agreeing import tell_due
from calllog.commands.terminal import work_in
from calllog.commands.told import print_consequence, print_end
from calllog.errors import ConfigError, require_plain
from calllog.pairing import Phase, status
from calllog.resources import job_words
from calllog.session import Job
from calllog.values import Choice, Decision


def decide(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    pull: Annotated[int, typer.Argument(metavar="PULL", help="Number of the pull that waits.")],
    choice: Annotated[
        Choice, typer.Argument(metavar="CHOICE", help="Keep first, keep check, or measure again.")
    ],
    by: Annotated[str, typer.Option("--by", help="Who decides.")] = "chief",
) -> None:
    """Decide a pull that stopped; calls held behind it then follow.

    Example: calllog decide day-1 7 first --by "the chief"
    """
    require_plain(by, "--by")
    with Job.open_existing(job_folder) as job:
        tell_due(job.folder, job.replay, job.today, job.not_removed)
        words = job_words(job.replay.grammar).measured_in(job.state.settings.unit)
        work_in(words.language)
        if job.state.phase is not Phase.STOPPED or job.state.pull != pull:
            raise ConfigError(
                f"pull {pull} is not waiting for a decision ({words.say(status(job.state))})",
                where=str(job_folder),
                next_step="decide only a pull that waits for a decision",
            )
        for consequence in job.record(Decision(pull=pull, choice=choice, by=by)):
            print_consequence(consequence, words)
        print_end(job, words)
