"""Files with keys in, a key to sign with or the signers that an office knows out; shell.

The formats are open ones: secret keys as OpenSSH keeps them (``ssh-keygen -t ed25519``) or PKCS #8
in PEM (RFC 8410, ``openssl genpkey -algorithm ed25519``), signers as in the ALLOWED SIGNERS section
of ssh-keygen(1).
"""

import re
from base64 import b64encode
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
    load_ssh_private_key,
)

from calllog.errors import ConfigError
from calllog.files import bring_to_disk, open_new
from calllog.session.signing import KEY_TYPE, public_line, read_public

MAKE_NEXT = "make one with `calllog sign --new-key FILE`"
_MOST_BYTES = 1 << 20
_OPENSSH = b"BEGIN OPENSSH PRIVATE KEY"
_OTHER_KEYS = re.compile(r"(sk-)?(ssh|ecdsa)-[a-z0-9@.-]+")
_PATTERN = re.compile(r"[*?]|(^|,)\s*!")
_LINE = re.compile(r'(?:"(?P<quoted>[^"]*)"|(?P<bare>[^\s"]+))\s+(?P<rest>\S.*)')


@dataclass(frozen=True, slots=True)
class SigningKey:
    """A secret key to sign with."""

    secret: Ed25519PrivateKey

    @property
    def public(self) -> str:
        """Its public key, as OpenSSH writes it."""
        return public_line(self.secret.public_key())

    def sign(self, text: bytes) -> str:
        """Sign a text; give the signature's base64."""
        return b64encode(self.secret.sign(text)).decode()


@dataclass(frozen=True, slots=True)
class Signer:
    """Somebody whose public key is known."""

    names: frozenset[str]
    public: str


def read_key(path: Path, ask: Callable[[], str]) -> SigningKey:
    """Read a secret key, asking for its passphrase where it is encrypted.

    Raises:
        ConfigError: it cannot be read, is no Ed25519 key, or the passphrase is wrong.
    """
    data = read_file(path, "the key")
    try:
        try:
            secret = _load(data, None)
        except TypeError:  # what the library says of a file that is encrypted
            secret = _load(data, ask().encode())
    except UnsupportedAlgorithm as error:
        raise _no_key(path, f"the key is of a kind that cannot be read ({error})") from error
    except ValueError as error:
        words = "it holds no secret key, or the passphrase is wrong, or it is damaged"
        raise _no_key(path, words) from error
    if not isinstance(secret, Ed25519PrivateKey):
        raise _no_key(path, "the key is no Ed25519 key")
    return SigningKey(secret)


def new_key(path: Path) -> SigningKey:
    """Make a secret key and keep it in a new file that only its owner can read.

    It is not encrypted; ``ssh-keygen -p -f FILE`` gives it a passphrase.

    Raises:
        ConfigError: something stands there already, or the file cannot be written.
    """
    key = SigningKey(Ed25519PrivateKey.generate())
    data = key.secret.private_bytes(Encoding.PEM, PrivateFormat.OpenSSH, NoEncryption())
    try:
        file = open_new(path)
    except FileExistsError as error:
        raise ConfigError(
            "something stands there already, and no key is written over",
            where=str(path),
            next_step="name a new file",
        ) from error
    except OSError as error:
        raise _unwritten(path, error) from error
    try:
        with file as opened:
            opened.write(data)
            bring_to_disk(opened)
    except OSError as error:
        with suppress(OSError):
            path.unlink()
        raise _unwritten(path, error) from error
    return key


def read_signers(path: Path) -> tuple[Signer, ...]:
    """Read whose public key is whose: a line for each, ``NAME ssh-ed25519 AAAA... comment``.

    A name with blanks stands in double quotes; several names of one key have commas between them.
    Empty lines, lines that begin with ``#`` and keys of other kinds are passed over. Options and
    patterns, which OpenSSH allows here, are refused, since what they say would not be kept to.

    Raises:
        ConfigError: the file cannot be read, has no signer, or a line is none.
    """
    text = read_file(path, "the signers").decode("utf-8-sig", "replace")
    found = []
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip() and not line.lstrip().startswith("#"):
            found += _signer(line.strip(), f"{path} line {number}")
    if not found:
        raise ConfigError(
            f"no signer with an {KEY_TYPE} key stands in it", where=str(path), next_step=_LINE_NEXT
        )
    return tuple(found)


_LINE_NEXT = 'write a line for each: NAME ssh-ed25519 AAAA..., a name with spaces as "NAME"'


def signer_line(name: str, public: str) -> str:
    """Write a line of a file of signers.

    Example:
        >>> signer_line("the office", "ssh-ed25519 AAAA")
        '"the office" ssh-ed25519 AAAA'
    """
    is_plain = re.fullmatch(r'[^\s"#]+', name)
    return f"{name} {public}" if is_plain else f'"{name}" {public}'


def _signer(line: str, where: str) -> list[Signer]:
    parts = _LINE.fullmatch(line)
    if parts is None:
        raise ConfigError("is no signer", where=where, next_step=_LINE_NEXT)
    whole, (kind, *rest) = parts["quoted"] or parts["bare"] or "", parts["rest"].split()
    if _PATTERN.search(whole):
        raise ConfigError(
            "patterns for names are not read", where=where, next_step="write each name out"
        )
    if _OTHER_KEYS.fullmatch(kind) and kind != KEY_TYPE:
        return []
    if kind != KEY_TYPE:
        raise ConfigError(
            f"{kind} is no kind of key; options are not read", where=where, next_step=_LINE_NEXT
        )
    public = f"{kind} {rest[0] if rest else ''}"
    try:
        read_public(public)
    except ValueError as error:
        raise ConfigError(
            f"the key of {whole} is no {KEY_TYPE} key",
            where=where,
            next_step="copy the public line again, as `calllog sign --new-key` printed it",
        ) from error
    names = frozenset({whole, *(name.strip() for name in whole.split(","))} - {""})
    if not names:
        raise ConfigError("the name is empty", where=where, next_step=_LINE_NEXT)
    return [Signer(names=names, public=public)]


def _load(data: bytes, passphrase: bytes | None) -> object:
    load = load_ssh_private_key if _OPENSSH in data else load_pem_private_key
    return load(data, passphrase)


def read_file(path: Path, what: str) -> bytes:
    """Read a small file; the ConfigError where that fails says what it should hold."""
    try:
        with path.open("rb") as file:
            data = file.read(_MOST_BYTES + 1)
    except OSError as error:
        raise ConfigError(
            f"{what} cannot be read: {error.strerror}",
            where=str(path),
            next_step="name a file that is there",
        ) from error
    if len(data) > _MOST_BYTES:
        raise ConfigError(
            f"more than {_MOST_BYTES} bytes are not {what}",
            where=str(path),
            next_step="name another file",
        )
    return data


def _no_key(path: Path, what: str) -> ConfigError:
    return ConfigError(
        what, where=str(path), next_step=f"name the secret key of an Ed25519 pair, or {MAKE_NEXT}"
    )


def _unwritten(path: Path, error: OSError) -> ConfigError:
    return ConfigError(
        f"the key cannot be written: {error.strerror}",
        where=str(path),
        next_step="name a file in a folder that is there and can be written",
    )
