"""The command `stamp`: a time stamp over a job's last hash, asked for and recorded, by files."""

from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.terminal import out
from calllog.errors import ConfigError, JournalError
from calllog.files import write_new
from calllog.journal import Journal, rescue_next
from calllog.office import add_stamp, read_authorities, stamp_request
from calllog.session import Job, replay
from calllog.session.keys import read_file


def stamp(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    request: Annotated[
        Path | None,
        typer.Option(
            "--request", metavar="FILE", help="Write the request to send to an authority."
        ),
    ] = None,
    response: Annotated[
        Path | None,
        typer.Option("--response", metavar="FILE", help="Record what the authority answered."),
    ] = None,
    authority: Annotated[
        Path | None,
        typer.Option(
            "--authority", metavar="FILE", help="The authority's certificate, PEM; with --response."
        ),
    ] = None,
) -> None:
    r"""Have an authority confirm that a job existed: ask over its last hash, record the answer.

    calllog never goes to the network: another program takes the request there and brings back the
    answer (RFC 3161). `pip install 'calllog\[stamp]'` brings what this needs.

    Example: calllog stamp day-1 --request day-1.tsq
    """
    if request is not None and response is None:
        _ask(job_folder, request)
    elif response is not None and request is None and authority is not None:
        _record(job_folder, response, authority)
    else:
        raise ConfigError(
            "it is not said what is to be done",
            next_step="write a request (--request FILE.tsq), or record the answer to it (--response"
            " FILE.tsr --authority CA.pem)",
        )


def _ask(folder: Path, request: Path) -> None:
    with Journal.open(folder, read_only=True) as journal:
        entries = tuple(journal.entries())
    wrong = replay(entries).wrong
    if wrong or not entries:
        raise JournalError(
            wrong or "nothing stands in this job", where=str(folder), next_step=rescue_next(folder)
        )
    last = entries[-1]
    data = stamp_request(last)
    try:
        write_new(request, (data,))
    except OSError as error:
        raise ConfigError(
            f"the request cannot be written: {error.strerror}",
            where=str(request),
            next_step="name a new file in a folder that is there and can be written",
        ) from error
    out.print(f"written: {request}, for a time stamp over entry {last.sequence}, hash {last.hash}")
    out.print(
        "Have it answered by an authority, then: calllog stamp JOB --response FILE.tsr --authority"
        " CA.pem"
    )


def _record(folder: Path, response: Path, authority: Path) -> None:
    authorities = read_authorities(read_file(authority, "the certificate"), str(authority))
    data = read_file(response, "the time stamp")
    with Job.open_existing(folder) as job:
        one = add_stamp(job, data, authorities)
    out.print(
        f"recorded: entry {one.entry} and all before it existed on"
        f" {one.time_utc[:19].replace('T', ' ')} UTC by authority {one.authority}"
    )
