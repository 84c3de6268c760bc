"""A sign-off in, the text that is signed and whether its signature fits out; pure.

A signature is Ed25519 (RFC 8032) over the bytes of `signed_text`, nothing else: no second hash, no
envelope. So any program can check it that has the job's journal and the signer's public key. What
it shows: who had the secret key stood by the entry named and by all entries before it, since each
holds the hash of the one before. What it does not show: whose key it is (compare its fingerprint
with one that was given by hand, or name the signers in a file), when it was signed (the date is
the signer's word), and what came after that entry.
"""

from base64 import b64decode, b64encode
from binascii import Error as NotBase64
from hashlib import sha256

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
from pydantic import JsonValue

from calllog.journal.entry import canonical

DOMAIN = "calllog sign-off 1\n"
"""First line of every text that is signed, so that no signature can be taken for another's."""
KEY_TYPE = "ssh-ed25519"
"""The one kind of key, as OpenSSH names it (RFC 8709)."""
_KEY_BYTES = 32
_SIGNATURE_BYTES = 64


def signed_text(
    *, job: str, entry: int, state_hash: str, by: str, date: str, remark: str = ""
) -> bytes:
    r"""Write what a signature is over.

    It is the line ``calllog sign-off 1``, a line feed, and one JSON object in the canonical form of
    RFC 8785 (members sorted by name, no blanks, UTF-8), with no line feed at its end. Its members:

    - ``by``: name of the signer, text
    - ``date``: day of signing, ISO 8601, text
    - ``entry``: number of the last entry that is signed, whole number
    - ``job``: hash of the job's first entry, 64 hexadecimal digits, text
    - ``remark``: text, may be empty
    - ``state_hash``: hash of the entry that is signed, 64 hexadecimal digits, text

    Raises:
        JournalError: a text has signs that cannot be kept.

    Example:
        >>> signed_text(job="0d", entry=7, state_hash="5d", by="R. Field", date="2131-05-06")[:51]
        b'calllog sign-off 1\n{"by":"R. Field","date":"2131-05'
    """
    members: JsonValue = {
        "by": by,
        "date": date,
        "entry": entry,
        "job": job,
        "remark": remark,
        "state_hash": state_hash,
    }
    return (DOMAIN + canonical(members)).encode()


def public_line(key: Ed25519PublicKey) -> str:
    """Write a public key as OpenSSH does: its type and its base64, without a comment."""
    return f"{KEY_TYPE} {b64encode(_blob(key.public_bytes_raw())).decode()}"


def read_public(line: str) -> Ed25519PublicKey:
    """Read a public key as OpenSSH writes it, without a comment; ValueError if it is none."""
    kind, _, coded = line.partition(" ")
    try:
        blob = b64decode(coded, validate=True)
    except NotBase64 as error:
        raise ValueError(str(error)) from error
    raw = blob[-_KEY_BYTES:]
    if kind != KEY_TYPE or len(raw) != _KEY_BYTES or blob != _blob(raw):
        message = f"no {KEY_TYPE} key"
        raise ValueError(message)
    return Ed25519PublicKey.from_public_bytes(raw)


def fingerprint(line: str) -> str:
    """Give the fingerprint of a public key, as ``ssh-keygen -l`` does: SHA256 and its base64.

    Raises:
        ValueError: it is no public key.
    """
    digest = sha256(_blob(read_public(line).public_bytes_raw())).digest()
    return f"SHA256:{b64encode(digest).decode().rstrip('=')}"


def does_fit(signature: str, text: bytes, line: str) -> bool:
    """Tell whether a signature is that of a key over a text; anything malformed is none.

    Args:
        signature: base64 of its 64 bytes.
        text: what was signed.
        line: the public key (see `public_line`).
    """
    try:
        raw = b64decode(signature, validate=True)
        if len(raw) != _SIGNATURE_BYTES:
            return False
        read_public(line).verify(raw, text)
    except (InvalidSignature, ValueError):
        return False
    return True


def _blob(raw: bytes) -> bytes:
    """Put a public key into the form of RFC 8709: its type and itself, each after its length."""
    parts = (KEY_TYPE.encode(), raw)
    return b"".join(len(part).to_bytes(4, "big") + part for part in parts)
