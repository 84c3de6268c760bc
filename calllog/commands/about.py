"""The command `about`: whose job it is, shown with its history, or stated anew."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from calllog.about import (
    LISTED,
    MOST_SIGNS,
    SINGLE,
    About,
    Amended,
    Change,
    StatedFacts,
    load_about,
    state,
)
from calllog.commands.tape_file import NO_TEXT
from calllog.commands.terminal import out, print_json
from calllog.errors import ConfigError, JournalError
from calllog.files import read_limited
from calllog.journal import rescue_next
from calllog.session import Job, Replay
from calllog.session.reread import replay_job

if TYPE_CHECKING:
    from calllog.report import JobHeader

MOST_BYTES = 4 * MOST_SIGNS
EXAMPLE = "calllog/demo/about.toml"
"""A file of facts to copy."""
AboutOption = Annotated[
    Path | None,
    typer.Option(
        "--about", help="Facts of the job, a TOML file: client, project, crew, instruments."
    ),
]


def about(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    file: Annotated[
        Path | None, typer.Option("--from", help="State the facts of a TOML file.")
    ] = None,
    client: Annotated[str | None, typer.Option("--client", help="Who the job is for.")] = None,
    project: Annotated[
        str | None, typer.Option("--project", help="The project it belongs to.")
    ] = None,
    weather: Annotated[str | None, typer.Option("--weather", help="The weather.")] = None,
    head: Annotated[str | None, typer.Option("--head", help="Who holds the head.")] = None,
    rear: Annotated[str | None, typer.Option("--rear", help="Who holds the rear.")] = None,
    chief: Annotated[str | None, typer.Option("--chief", help="Who is the chief.")] = None,
    others: Annotated[
        list[str] | None,
        typer.Option("--crew", help='Anyone else, such as "recorder=P. Reed"; again for each.'),
    ] = None,
    instruments: Annotated[
        list[str] | None,
        typer.Option("--instrument", help='Such as "thermometer=no. 7"; again for each.'),
    ] = None,
    by: Annotated[str, typer.Option("--by", help="Who states it.")] = "",
    why: Annotated[str, typer.Option("--why", help="The reason.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Show whose job it is, or change that; what was stated before stays in the journal.

    An empty text takes a fact back. A pull keeps the names that were in force when it was recorded.

    Example: calllog about day-1 --rear "T. Fenn" --by "the office" --why "misspelled"
    """
    crew = {"head": head, "rear": rear, "chief": chief, **_pairs("--crew", others)}
    given: dict[str, Any] = {"client": client, "project": project, "weather": weather}
    given["crew"] = {role: name for role, name in crew.items() if name is not None}
    given["instruments"] = _pairs("--instrument", instruments)
    given = {name: value for name, value in given.items() if value not in (None, {})}
    if file is not None and given:
        raise ConfigError(
            "a file and single facts are given", where="--from", next_step="give one of them"
        )
    if file is not None or given:
        stated = state(given, "the options", is_whole=False) if file is None else read_about(file)
        with Job.open_existing(job_folder) as job:
            job.state_about(stated, by=by, why=why)
    elif by or why:
        raise ConfigError(
            "nothing is stated", where="--by", next_step="say what, such as --head NAME"
        )
    replay = replay_job(job_folder)
    if replay.wrong:
        raise JournalError(replay.wrong, where=str(job_folder), next_step=rescue_next(job_folder))
    if as_json:
        print_json(_document(job_folder, replay))
        return
    _print(job_folder, replay)


def read_about(path: Path) -> StatedFacts:
    """Read a file of facts; ConfigError if it cannot be read, or its entries cannot be used."""
    try:
        text = read_limited(path, most_bytes=MOST_BYTES).decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else NO_TEXT
        raise ConfigError(
            f"the facts of the job cannot be read: {reason}",
            where=str(path),
            next_step=f"give a file such as {EXAMPLE}",
        ) from error
    return load_about(text, str(path))


def about_words(header: JobHeader) -> list[str]:
    """Say whose job it is, in a few lines; nothing where nothing is stated."""
    single = [f"{name}: {text}" for name in SINGLE if (text := getattr(header, name))]
    lines = [
        "; ".join(single),
        ", ".join(f"{each.role} {each.name}" for each in header.crew),
        "; ".join(f"{one.kind} {one.words}" for one in header.instruments),
    ]
    names = ("", "crew: ", "instruments: ")
    found = (f"{name}{line}" for name, line in zip(names, lines, strict=True) if line)
    return [f"{line[:1].upper()}{line[1:]}." for line in found]


def change_words(change: Change) -> str:
    """Say what has changed in one fact."""
    name = f"{change.fact} {change.name}" if change.name else change.fact
    return f"{name}: {change.old or 'none'} -> {change.new or 'none'}"


def amended_json(amended: Amended) -> dict[str, Any]:
    """Give an amendment as it stands in documents."""
    return {
        "entry": amended.sequence,
        "time_utc": amended.time_utc,
        "by": amended.amendment.by,
        "why": amended.amendment.why,
        "at_start": amended.amendment.at_start,
        "changed": [
            {"fact": one.fact, "name": one.name, "old": one.old, "new": one.new}
            for one in amended.changes
        ],
    }


def amended_words(amended: Amended) -> str:
    """Say which entry an amendment is, and who made it."""
    stated = amended.amendment
    by = f", by {stated.by}" if stated.by else ""
    how = ", as the work began" if stated.at_start else ""
    why = f" ({stated.why})" if stated.why else ""
    return f"entry {amended.sequence}, {amended.time_utc}{by}{how}{why}"


def _pairs(option: str, given: list[str] | None) -> dict[str, str]:
    """Read options that are a name and a text."""
    found = {}
    for each in given or ():
        name, equals, text = each.partition("=")
        if not equals or not name.strip():
            raise ConfigError(
                f"{each!r} names nothing", where=option, next_step=f'write {option} "NAME=TEXT"'
            )
        found[name.strip()] = text
    return found


def _document(folder: Path, replay: Replay) -> dict[str, Any]:
    return {
        "format": "calllog-about",
        "version": 1,
        "job": folder.resolve().name,
        "identity": replay.identity,
        **replay.about.model_dump(mode="json"),
        "history": [amended_json(each) for each in replay.amended],
    }


def _print(folder: Path, replay: Replay) -> None:
    out.print(f"Job {folder.resolve().name}, identity {replay.identity}")
    rows = _rows(replay.about)
    for name, words in rows:
        out.print(f"  {name}: {words}")
    if not rows:
        out.print("  Nothing is stated about it.")
    for each in replay.amended:
        out.print(f"{amended_words(each)}:")
        for change in each.changes:
            out.print(f"  {change_words(change)}")


def _rows(facts: About) -> list[tuple[str, str]]:
    """List the facts in force."""
    rows = [(name, getattr(facts, name)) for name in SINGLE]
    rows += [(f"{LISTED[0]} {each.role}", each.name) for each in facts.crew]
    rows += [(f"{LISTED[1]} {one.kind}", one.words) for one in facts.instruments]
    return [(name, words) for name, words in rows if words]
