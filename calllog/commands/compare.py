"""The command `compare`: what is different between two states of a job, or two jobs."""

from pathlib import Path
from typing import Annotated, Any

import typer

from calllog.commands.about import amended_json, amended_words, change_words
from calllog.commands.counting import counted
from calllog.commands.terminal import out, print_json
from calllog.errors import ConfigError
from calllog.office import Difference, JobState, difference, job_state
from calllog.office.difference import ChangedSegment, Name
from calllog.report import kind_words, named
from calllog.session import Edition

FACTS = "facts"
"""Of a finding, for programs: its words, which are shown, are made of them."""


def compare(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    other: Annotated[
        Path | None, typer.Argument(metavar="NEW", help="A later copy of it, or another job.")
    ] = None,
    since: Annotated[
        str,
        typer.Option("--since", help="Compare with JOB as it was at this entry: number or hash."),
    ] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Show what has changed in a job since an entry, or between two jobs.

    It lists segments added, removed and changed, pulls opened again, certificates replaced, facts
    of the job stated anew, consents, removals at a person's request, and sign-offs. A running total
    that changes only because an earlier pull did is not listed.

    Example: calllog compare strict --since 40
    """
    if other is None and not since:
        raise ConfigError(
            "one state cannot be compared with itself",
            where=str(job_folder),
            next_step="say since when: --since ENTRY or HASH, or name a second job",
        )
    found = difference(job_state(job_folder, since), job_state(other or job_folder))
    if as_json:
        print_json(_document(found))
        return
    _print(found)


def _document(found: Difference) -> dict[str, Any]:
    return {
        "format": "calllog-difference",
        "version": 1,
        "old": _state_json(found.old),
        "new": _state_json(found.new),
        "shared_entries": found.shared,
        "is_continued": found.is_continued,
        "added": [_segment_json(found.new, name) for name in found.added],
        "removed": [_segment_json(found.old, name) for name in found.removed],
        "changed": [
            {
                **_name_json(each.name),
                "changed": {
                    field: {"old": old, "new": new} for field, (old, new) in each.changed.items()
                },
            }
            for each in found.changed
        ],
        "reopened_pulls": found.reopened,
        "certificates": [
            {"old": edition_json(old), "new": edition_json(new)} for old, new in found.certificates
        ],
        "about": [amended_json(one) for one in found.amended],
        "signed": [one.model_dump(mode="json") for one in found.signed],
        "consents": [
            {"entry": entry, **one.model_dump(mode="json")} for entry, one in found.consents
        ],
        "expunged": [
            {"entry": entry, **one.model_dump(mode="json")} for entry, one in found.expunged
        ],
    }


def _state_json(state: JobState) -> dict[str, Any]:
    return {
        "job": str(state.folder),
        "entry": state.entry,
        "state_hash": state.state_hash,
        "pulls": len(state.segments),
    }


def _name_json(name: Name) -> dict[str, Any]:
    return dict(zip(("line_from", "line_to", "run", "pull"), name, strict=True))


def _segment_json(state: JobState, name: Name) -> dict[str, Any]:
    segment = state.segments[name]
    length = {named("horizontal_ft", state.unit): segment.horizontal}
    return {**_name_json(name), **length, "distance_kind": segment.distance_kind}


def edition_json(edition: Edition) -> dict[str, Any]:
    """Give a certificate as it was in force, for programs."""
    return {
        "entry": edition.sequence,
        "by": edition.by,
        "why": edition.why,
        "certificate": edition.certificate.document,
    }


def _print(found: Difference) -> None:
    old, new = found.old, found.new
    out.print(f"old: {_state_words(old)}")
    out.print(f"new: {_state_words(new)}")
    if not found.is_continued:
        common = f"only {counted(found.shared, 'entry', 'entries')}" if found.shared else "no entry"
        out.print(f"! The new one does not go on from the old: {common} in common.")
    for word, names, state in (("added", found.added, new), ("gone", found.removed, old)):
        for name in names:
            segment = state.segments[name]
            out.print(
                f"{word}: {_named(name)}, {segment.horizontal:.4f} {state.unit.symbol}"
                f" {kind_words(segment.distance_kind)} ({segment.booking})"
            )
    for each in found.changed:
        _print_changed(each)
    for pull in found.reopened:
        out.print(f"pull {pull} was opened again")
    for before, after in found.certificates:
        _print_certificate(before, after)
    for stated in found.amended:
        out.print(f"about the job, {amended_words(stated)}:")
        for change in stated.changes:
            out.print(f"    {change_words(change)}")
    _print_sound(found)
    for one in found.signed:
        out.print(f"signed by {one.by} on {one.date}, as of entry {one.entry}")
    out.print(f"{len(found.added)} added, {len(found.removed)} gone, {len(found.changed)} changed.")


def _print_sound(found: Difference) -> None:
    """Say who agreed to sound being kept or took it back, and what was removed."""
    for entry, consent in found.consents:
        who = ", ".join(each.name for each in consent.people)
        what = "took consent back" if consent.is_withdrawn else "consent to sound being kept"
        out.print(f"entry {entry}: {who}: {what}, recorded by {consent.by}")
    for entry, removed in found.expunged:
        numbers = ", ".join(map(str, removed.calls))
        out.print(
            f"entry {entry}: sound or words of call {numbers} removed at a person's request, by"
            f" {removed.by}"
        )


def _state_words(state: JobState) -> str:
    return (
        f"{state.folder}, entry {state.entry}, hash {state.state_hash[:16]},"
        f" {counted(len(state.segments), 'pull')}"
    )


def _named(name: Name) -> str:
    line_from, line_to, run, pull = name
    return f"pull {pull} of {line_from}:{line_to}" + (f", run {run}" if run > 1 else "")


def _print_changed(each: ChangedSegment) -> None:
    out.print(f"changed: {_named(each.name)}")
    for field, (old, new) in each.changed.items():
        out.print(f"    {field}: {_shown(old)} -> {_shown(new)}")


def _print_certificate(before: Edition, after: Edition) -> None:
    old, new = before.certificate.entries, after.certificate.entries
    who = f", by {after.by}" if after.by else ""
    out.print(f"tape {new['identity']}: another certificate{who}")
    for name, now in new.items():
        if (was := old[name]) != now:
            out.print(f"    {name}: {_shown(was)} -> {_shown(now)}")


def _shown(value: object) -> str:
    if isinstance(value, dict):
        shown = {name: each for name, each in value.items() if name != FACTS}
        return ", ".join(f"{name} {_shown(each)}" for name, each in shown.items())
    if isinstance(value, list):
        return "; ".join(map(_shown, value)) or "none"
    return "none" if value in {None, ""} else str(value)
