"""The command `verify`: says what a journal shows by itself, and by what is known elsewhere."""

from pathlib import Path
from typing import Annotated, Any

import typer

from calllog.commands.counting import counted
from calllog.commands.expunge import removed_words
from calllog.commands.many import SchedulerOption, is_many, run_many
from calllog.commands.rescue import rescue_words
from calllog.commands.sign import kinds_of, sign_off_words
from calllog.commands.terminal import err, out, print_json
from calllog.office import Signature, Standing, read_authorities, standing
from calllog.session import read_signers
from calllog.session.keys import read_file

EXPECTED_EXIT = 1
SAFE_SIGNS = 32
"""Digits of a hash that nobody can hit by trying: 128 bits."""


def verify(
    job_folder: Annotated[
        Path, typer.Argument(metavar="JOB", help="The job's folder, or a folder with jobs in it.")
    ],
    head: Annotated[
        str | None,
        typer.Option(
            "--last-hash",
            metavar="HASH",
            help="A hash as noted elsewhere, any 8 digits of it or more.",
        ),
    ] = None,
    signers: Annotated[
        Path | None,
        typer.Option(
            "--signers",
            metavar="FILE",
            help="Whose key is whose: a line for each, NAME ssh-ed25519 AAAA...",
        ),
    ] = None,
    authority: Annotated[
        Path | None,
        typer.Option(
            "--authority", metavar="FILE", help="Certificate of a time stamp authority, PEM."
        ),
    ] = None,
    scheduler: SchedulerOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Check that a job is consistent in itself, and against what is known elsewhere.

    Consistent: no entry was changed alone, sounds are what was recorded, segments follow from the
    calls. Whoever can write the folder can still write all of it anew; a hash noted elsewhere
    (--last-hash), a signature (--signers) or a time stamp (--authority) shows that. Exits with 1
    if anything asked for does not hold. Given a folder, it checks all jobs in it.

    Example: calllog verify day-1 --last-hash 0d01fbcf
    """
    if is_many(job_folder):
        asked = {"signers": signers, "authority": authority, "as_json": as_json}
        run_many(
            job_folder,
            verify,
            lambda _: asked | {"head": head},
            what="verifications",
            scheduler=scheduler,
            as_json=as_json,
        )
        return
    found = standing(
        job_folder,
        head=head,
        signers=None if signers is None else read_signers(signers),
        authorities=None
        if authority is None
        else read_authorities(read_file(authority, "the certificate"), str(authority)),
    )
    if as_json:
        print_json(_document(found))
    elif not found.found.ok:
        result = found.found
        place = f"entry {result.first_bad}" if result.first_bad else "the journal"
        err.print(f"NOT CONSISTENT: {place}: {result.wrong}; {result.next_step}")
    else:
        _print(found, job_folder, head, signers)
    if not found.is_as_asked:
        raise typer.Exit(EXPECTED_EXIT)


def _print(found: Standing, folder: Path, head: str | None, signers: Path | None) -> None:
    (err if found.later_than_noted else out).print(said(found))
    digits = SAFE_SIGNS if head is None else len("".join(head.split()))
    if digits < SAFE_SIGNS:
        out.print(
            f"{digits} of the 64 digits were compared. That finds mistakes; somebody who forges"
            f" can try until {digits} digits fit, so compare {SAFE_SIGNS} or more against that."
        )
    if found.replay is not None:
        for words in (*rescue_words(found.replay), *removed_words(found.replay, folder)):
            out.print(words)
    for words in sign_off_words(found.signed):
        out.print(words)
    if any(each.signature is Signature.GOOD for each in found.signed):
        out.print(
            "Whose key it is, a journal cannot say: compare the fingerprint with the signer's own,"
            " or name the signers with --signers FILE."
        )
    if signers is not None and not found.is_signed:
        err.print(f"NOT SIGNED AS IT STANDS: {_unsigned(found, signers)}.")
    _print_stamps(found)


def said(found: Standing) -> str:
    """Say in one sentence what is shown of a job that is consistent in itself."""
    result, later = found.found, found.since_noted
    if result.noted is None:
        return (
            f"consistent in itself: {counted(result.entries, 'entry', 'entries')}, last hash"
            f" {result.state_hash}; this does not show who wrote it, since whoever can write the"
            " folder can write all of it anew; a hash noted elsewhere (--last-hash) or a signature"
            " (--signers) does."
        )
    if not later:
        return (
            f"unchanged since {result.state_hash}: {counted(result.entries, 'entry', 'entries')}."
        )
    if found.later_than_noted:
        return (
            f"unchanged up to entry {result.noted}, but more follows: {kinds_of(later)}; see"
            f" calllog compare JOB --since {result.noted}; last hash {result.state_hash}."
        )
    kinds = {"sign-off": 0, "time stamp": 0}
    for _, kind in later:
        kinds["sign-off" if kind == "signed" else "time stamp"] += 1
    words = " and ".join(counted(number, name) for name, number in kinds.items() if number)
    follow = "follows" if len(later) == 1 else "follow"
    return f"unchanged up to entry {result.noted}, {words} {follow}; last hash {result.state_hash}."


def _unsigned(found: Standing, signers: Path) -> str:
    """Say why no signer stands by a job as it is."""
    others = [each for each in found.signed if each.signature is Signature.OTHER]
    good = [each for each in found.signed if each.signature is Signature.SIGNER]
    if others:
        return f"{signers} does not have this key under the name {others[0].sign_off.by}"
    if good:
        last = good[-1]
        return (
            f"{counted(len(last.later), 'entry', 'entries')} after entry {last.sign_off.entry}"
            f" {'is' if len(last.later) == 1 else 'are'} signed by nobody in {signers}"
            f" ({kinds_of(last.later)})"
        )
    return f"no sign-off has a signature by anybody in {signers}"


def _print_stamps(found: Standing) -> None:
    for each in found.stamped:
        one = each.stamp
        when = f"{one.time_utc[:19].replace('T', ' ')} UTC"
        here = f"Entry {one.entry} and all before it"
        if each.wrong:
            err.print(f"! The time stamp over entry {one.entry} does not hold: {each.wrong}.")
        elif each.is_checked:
            out.print(f"{here} existed on {when} by authority {one.authority}.")
        else:
            out.print(
                f"{here} existed on {when} by authority {one.authority}, says a time stamp that was"
                " not checked: name the authority's certificate with --authority FILE."
            )
    if found.asks_authority and not found.stamped:
        err.print("NOT STAMPED: no time stamp stands in the job.")


def _document(found: Standing) -> dict[str, Any]:
    document = found.found.model_dump(mode="json")
    document["says"] = said(found) if found.found.ok else "not consistent"
    document["is_as_asked"] = found.is_as_asked
    document["later_than_noted"] = _listed(found.later_than_noted)
    document["signed"] = [
        {
            **each.sign_off.model_dump(mode="json"),
            "fingerprint": each.sign_off.fingerprint,
            "signature_is": each.signature.value,
            "later": _listed(each.later),
        }
        for each in found.signed
    ]
    document["stamped"] = [
        {
            **each.stamp.model_dump(mode="json"),
            "is_checked": each.is_checked,
            "wrong": each.wrong,
        }
        for each in found.stamped
    ]
    rescued = [] if found.replay is None else found.replay.rescued
    document["rescued"] = [
        {"time_utc": time_utc, **told.model_dump(mode="json")} for time_utc, told in rescued
    ]
    removed = [] if found.replay is None else found.replay.voices.removed
    document["removed"] = [
        {"entry": one.entry, "time_utc": one.time_utc, **one.body.model_dump(mode="json")}
        for one in removed
    ]
    return document


def _listed(entries: tuple[tuple[int, str], ...]) -> list[dict[str, Any]]:
    return [{"entry": entry, "kind": kind} for entry, kind in entries]
