"""The command `sign`: somebody stands by a job as it is; later entries are told by every report."""

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer

from calllog import system
from calllog.commands.agreeing import tell_due
from calllog.commands.counting import counted
from calllog.commands.tape_file import today
from calllog.commands.terminal import err, out
from calllog.errors import ConfigError, require_plain
from calllog.office import Signature, Signed, sign_offs
from calllog.session import Job, new_key, read_key, signer_line


def sign(
    job_folder: Annotated[
        Path | None, typer.Argument(metavar="JOB", help="The job's folder.")
    ] = None,
    by: Annotated[str, typer.Option("--by", help="Who signs.")] = "",
    remark: Annotated[
        str, typer.Option("--remark", help="What a reader should know about it.")
    ] = "",
    key: Annotated[
        Path | None,
        typer.Option(
            "--key",
            metavar="FILE",
            help="Your secret Ed25519 key, as OpenSSH keeps it or in PEM; asks for its passphrase.",
        ),
    ] = None,
    new: Annotated[
        Path | None,
        typer.Option(
            "--new-key",
            metavar="FILE",
            help="Make a secret key in a new file, and print its public line; signs nothing.",
        ),
    ] = None,
) -> None:
    """Sign a job off: one more entry with name, day and the hash of the state signed.

    With --key the entry has a signature: whoever knows your public key can check that you signed,
    and what. Without one anybody who can write the folder can write any name. `verify` and every
    report tell what was added later.

    Example: calllog sign day-1 --by "the office" --key office.key
    """
    require_plain(by, "--by")
    require_plain(remark, "--remark")
    if new is not None:
        _make(new, by, is_alone=job_folder is None and key is None)
        return
    if job_folder is None:
        raise ConfigError(
            "no job is named", next_step='say which: calllog sign JOB --by "the office"'
        )
    secret = None
    if key is not None:
        secret = read_key(
            key, lambda: typer.prompt(f"Passphrase of {key}", hide_input=True, err=True)
        )
    with Job.open_existing(job_folder) as job:
        tell_due(job.folder, job.replay, job.today, job.not_removed)
        job.sign(by=by, day=today(), remark=remark, key=secret)
        for words in sign_off_words(sign_offs(job.replay)[-1:]):
            out.print(words)


def _make(path: Path, by: str, *, is_alone: bool) -> None:
    if not is_alone:
        raise ConfigError(
            "a key is made, or a job is signed, not both at once",
            where=f"--new-key {path}",
            next_step="make the key first, then sign with --key",
        )
    if '"' in by or not by.isprintable():
        raise ConfigError(
            "a name with such characters cannot be a signer's",
            where=f"--by {by}",
            next_step="leave them out",
        )
    public = new_key(path).public
    typer.echo(signer_line(by, public) if by.strip() else public)
    err.print(
        f"written: {path}, the secret key; keep it to yourself and keep a copy. It is not"
        f" encrypted: `ssh-keygen -p -f {system.quoted(path)}` gives it a passphrase. The line"
        " above is public: give it to whoever shall check (calllog verify JOB --signers FILE)."
    )


def sign_off_words(signed: Iterable[Signed]) -> list[str]:
    """Say who signed a job off, and whether it has changed since, one line for each."""
    lines = []
    for each in signed:
        one, later = each.sign_off, each.later
        remark = f" ({one.remark})" if one.remark else ""
        key = f" with key {one.fingerprint}" if one.is_signed else ""
        said = (
            f"Signed by {one.by} on {one.date}{remark}{key} up to entry {one.entry},"
            f" hash {one.state_hash}, {_signature_words(each)}"
        )
        if later:
            said += (
                f"; ! CHANGED SINCE: {counted(len(later), 'later entry', 'later entries')},"
                f" {later[0][0]}"
                + (f" to {later[-1][0]}" if len(later) > 1 else "")
                + f" ({kinds_of(later)}), see calllog compare JOB --since {one.entry}"
            )
        else:
            said += "; unchanged since"
        lines.append(f"{said}.")
    return lines


def kinds_of(entries: Iterable[tuple[int, str]]) -> str:
    """Count entries by their kind, from their sequences and kinds."""
    counted = Counter(kind for _, kind in entries)
    return ", ".join(f"{kind} {number}" for kind, number in counted.items())


def _signature_words(each: Signed) -> str:
    match each.signature:
        case Signature.NONE:
            return "without a signature: anybody who can write the folder can write this"
        case Signature.GOOD | Signature.SIGNER:
            return f"signature {each.signature.value}"
        case _:
            return f"! {each.signature.value}"
