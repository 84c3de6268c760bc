"""An entry in, a request for a time stamp over its hash out; what a response says; no files.

A time stamp by RFC 3161 says that an authority saw a hash at a time. Its imprint is the SHA-256 of
what the entry's hash is over, which is that hash itself: ``openssl ts -query -sha256 -digest HASH``
asks for the same. Nothing here goes to the network; the request is a file that is carried to an
authority by whatever program has its leave, and the response is a file that comes back.
"""

from __future__ import annotations

import importlib
from base64 import b64encode
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cryptography.x509 import (
    Certificate,
    load_der_x509_certificate,
    load_pem_x509_certificates,
)

from calllog.errors import ConfigError
from calllog.journal.entry import hashed_bytes
from calllog.session.kinds import Stamp, content_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from types import ModuleType

    from rfc3161_client import TimeStampResponse

    from calllog.journal.entry import Entry
    from calllog.session.job import Job

SHA256 = "2.16.840.1.101.3.4.2.1"
"""Its name in a response (RFC 8017, appendix B.1)."""
_GRANTED = 0


@dataclass(frozen=True, slots=True)
class Seen:
    """What a response says."""

    state_hash: str
    """The hash that was seen, 64 hexadecimal digits."""
    time_utc: str
    """When, ISO 8601."""
    authority: str
    """Who says so: the name in its certificate (RFC 4514)."""


def stamp_request(entry: Entry) -> bytes:
    """Ask for a time stamp over an entry's hash, in DER; without a nonce, so always the same.

    Raises:
        ConfigError: the library is not installed.
    """
    library = _library()
    builder = library.TimestampRequestBuilder(nonce=False)
    hashed = builder.data(hashed_bytes(entry)).hash_algorithm(library.HashAlgorithm.SHA256)
    request: bytes = hashed.build().as_bytes()
    return request


def check_response(data: bytes, authorities: Sequence[Certificate]) -> Seen:
    """Read what a response says and check that one of some authorities, or one by them, said so.

    Args:
        data: the whole response, in DER.
        authorities: the certificates that are trusted; they had to hold at the time stated.

    Raises:
        ConfigError: it is no such response; or the library is not installed.
    """
    library, response = _library(), _decoded(data)
    seen = _seen(response)
    builder = library.VerifierBuilder()
    for each in dict.fromkeys(authorities):
        builder = builder.add_root_certificate(each)
    try:
        builder.build().verify(response, bytes.fromhex(seen.state_hash))
    except (library.VerificationError, ValueError) as error:
        raise _no_stamp(
            f"it is not signed by this authority ({_short(str(error))})",
            "name the certificate that the authority's own hangs on (--authority CA.pem), with"
            " those between in the same file",
        ) from error
    return seen


def entry_seen(seen: Seen, hashes: Mapping[int, str]) -> int:
    """Find the entry whose hash was seen; ConfigError if no entry has it."""
    for sequence, each in hashes.items():
        if each == seen.state_hash:
            return sequence
    raise _no_stamp(
        f"it is over another hash ({seen.state_hash}), which no entry of this job has",
        "name the response to a request that `calllog stamp JOB --request FILE.tsq` wrote for this"
        " job",
    )


def read_authorities(data: bytes, where: str) -> tuple[Certificate, ...]:
    """Read the certificates of authorities, one after the other in PEM.

    Raises:
        ConfigError: there is none, or one cannot be read.
    """
    try:
        return tuple(load_pem_x509_certificates(data))
    except ValueError as error:
        raise ConfigError(
            "no certificate in PEM can be read",
            where=where,
            next_step="name the file with the authority's certificate (BEGIN CERTIFICATE)",
        ) from error


def _decoded(data: bytes) -> TimeStampResponse:
    try:
        response: TimeStampResponse = _library().decode_timestamp_response(data)
    except ValueError as error:
        raise _no_stamp(
            "it is no response of a time stamp authority",
            "name the file as the authority gave it (FILE.tsr, in DER)",
        ) from error
    if response.status != _GRANTED:
        words = f": {'; '.join(response.status_string)}" if response.status_string else ""
        raise _no_stamp(
            f"the authority gave no time stamp (status {response.status}{words})",
            "ask again, or ask another authority",
        )
    return response


def _seen(response: TimeStampResponse) -> Seen:
    try:
        info, data = response.tst_info, response.signed_data
        imprint = info.message_imprint
        algorithm = imprint.hash_algorithm.dotted_string
        signers = tuple(data.signer_infos)
        names = [
            each.subject.rfc4514_string()
            for each in map(load_der_x509_certificate, data.certificates)
            for signer in signers
            if (each.issuer, each.serial_number) == (signer.issuer, signer.serial_number)
        ]
        time_utc = info.gen_time.isoformat(timespec="seconds")
    except ValueError as error:
        raise _no_stamp(
            f"it cannot be read ({_short(str(error))})", "ask the authority for another one"
        ) from error
    if algorithm != SHA256 or len(names) != 1:
        raise _no_stamp(
            "it is over another kind of hash, or lacks the authority's certificate",
            "ask by a request that `calllog stamp JOB --request FILE.tsq` wrote",
        )
    return Seen(state_hash=imprint.message.hex(), time_utc=time_utc, authority=names[0])


def require_library() -> None:
    """See that time stamps can be read here; ConfigError if the library is not installed."""
    _library()


def add_stamp(job: Job, data: bytes, authorities: Sequence[Certificate]) -> Stamp:
    """Check a response and record it in the job that it is about.

    Raises:
        ConfigError: it does not hold, is about no entry of this job, or stands in it already.
    """
    seen = check_response(data, authorities)
    stamp = Stamp(
        entry=entry_seen(seen, job.replay.hashes),
        state_hash=seen.state_hash,
        time_utc=seen.time_utc,
        authority=seen.authority,
        response=b64encode(data).decode(),
    )
    if stamp in job.replay.stamps:
        raise _no_stamp("it stands in this job already", "nothing more is to be done")
    job.note("stamped", content_of(stamp))
    return stamp


def _library() -> ModuleType:
    try:
        return importlib.import_module("rfc3161_client")
    except ImportError as error:
        raise ConfigError(
            "time stamps need a library that is not installed",
            next_step="install it with: pip install 'calllog[stamp]'",
        ) from error


def _short(words: str) -> str:
    """Give the last reason of a list of causes, as the cryptographic library writes them."""
    _, _, reason = words.rpartition("Verify error:")
    return (
        reason.strip('"}] )') if reason and reason != words else words.partition(": ErrorStack")[0]
    )


def _no_stamp(what: str, next_step: str) -> ConfigError:
    return ConfigError(what, where="the time stamp", next_step=next_step)
