"""Phone: the logger's address in, a certificate that phones trust for it out; shell.

A browser gives the microphone to a secure page alone. This computer makes an authority of its own,
once, in the folder of its user, and by it a certificate for each address it is served at. The
authority may vouch for private addresses and names of a local network alone (RFC 5280, section
4.2.1.10), so that whoever steals its key can pass for no site of the Internet.
"""

import ipaddress
import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import platformdirs
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from calllog.errors import ConfigError
from calllog.files import make_mine, read_mine, write_whole

AUTHORITY, AUTHORITY_KEY = "phones-authority.pem", "phones-authority.key"
AUTHORITY_DAYS: Final = 3650
DAYS: Final = 397
"""Of the page's certificate: browsers take none that lasts longer than 398 days."""
RENEWED_DAYS: Final = 60
"""Made anew when it has fewer days left."""
EARLIER: Final = timedelta(days=1)
"""A phone's clock may be behind."""
MOST_BYTES: Final = 16_384
NETWORKS: Final = (
    *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8"),
    *("fc00::/7", "fe80::/10", "::1/128"),
)
"""Private addresses (RFC 1918, RFC 3927, RFC 4193, RFC 4291)."""
LOCAL_NAMES: Final = ("local", "home.arpa", "lan", "internal", "localhost")
"""Names of a local network end so (RFC 6762, RFC 8375)."""
NAME: Final = "calllog crew phones"
PAGE_NAME: Final = "calllog page"
"""Not the address: OpenSSL would hold it to the constraints of names."""


@dataclass(frozen=True, slots=True)
class AuthorityPapers:
    """What the page is served by."""

    certificate: Path
    """Of the page and the authority, PEM."""
    key: Path
    authority: str
    """The authority's certificate, PEM: what a phone is to trust."""

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the authority's certificate, as phones show it."""
        made = x509.load_pem_x509_certificate(self.authority.encode())
        return made.fingerprint(hashes.SHA256()).hex(" ").upper()


def papers_for(
    host: str, folder: Path | None = None, now: datetime | None = None
) -> AuthorityPapers:
    """Give a certificate for an address; make it, and the authority, where there is none.

    Args:
        host: the address or name under which phones reach the page.
        folder: where they are kept; the user's data folder if left out.
        now: time of day; the computer's if left out.

    Raises:
        ConfigError: the address is none of a local network, or nothing can be kept.
    """
    kept = platformdirs.user_data_path("calllog", appauthor=False) if folder is None else folder
    at = datetime.now(UTC) if now is None else now
    if not is_local(host):
        raise ConfigError(
            f"{host} is no address of a local network, and the logger vouches for no other",
            where="--page-host",
            next_step="name the logger's address on the crew's own network, such as 192.168.4.1;"
            " or give a certificate of your own with --page-certificate and --page-key",
        )
    try:
        make_mine(kept)
        authority, signer = _authority(kept, at)
        named = f"page-{host.replace(':', '-').lower()}"
        certificate, key = kept / f"{named}.pem", kept / f"{named}.key"
        if not _is_good(certificate, key, authority, at):
            made_key = ec.generate_private_key(ec.SECP256R1())
            made = _page(host, made_key.public_key(), authority, signer, at)
            write_whole(key, _key_bytes(made_key))
            write_whole(certificate, _pem(made) + _pem(authority))
    except (OSError, ValueError) as error:
        raise ConfigError(
            f"the certificate for the crew's phones cannot be kept ({error})",
            where=str(kept),
            next_step="let that folder and the files in it be your own (chmod 700), or delete"
            f" {AUTHORITY} and {AUTHORITY_KEY} there: phones must then trust a new one",
        ) from error
    return AuthorityPapers(certificate, key, _pem(authority).decode())


def is_local(host: str) -> bool:
    """Tell whether an address or a name is one of a local network.

    Example:
        >>> is_local("192.168.4.1"), is_local("logger.local"), is_local("example.com")
        (True, True, False)
    """
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        return host.lower().rpartition(".")[2] in LOCAL_NAMES or host.lower().endswith(".home.arpa")
    networks = map(ipaddress.ip_network, NETWORKS)
    return any(each.version == address.version and address in each for each in networks)


def _authority(kept: Path, at: datetime) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """Read the authority, or make it; it is made anew when its last year has begun."""
    try:
        made = x509.load_pem_x509_certificate(read_mine(kept / AUTHORITY, most_bytes=MOST_BYTES))
        key = serialization.load_pem_private_key(
            read_mine(kept / AUTHORITY_KEY, most_bytes=MOST_BYTES), None
        )
    except FileNotFoundError:
        return _make_authority(kept, at)
    if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != made.public_key():
        wrong = "the authority's key is another's"
        raise ValueError(wrong)
    is_old = made.not_valid_after_utc - at < timedelta(days=DAYS)
    return _make_authority(kept, at) if is_old else (made, key)


def _make_authority(
    kept: Path, at: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name(
        [x509.NameAttribute(NameOID.COMMON_NAME, f"{NAME} {os.urandom(3).hex()} {at.year}")]
    )
    networks: list[x509.GeneralName] = [
        x509.IPAddress(ipaddress.ip_network(each)) for each in NETWORKS
    ]
    names: list[x509.GeneralName] = [x509.DNSName(each) for each in LOCAL_NAMES]
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - EARLIER)
        .not_valid_after(at + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(is_authority=True), critical=True)
        .add_extension(x509.NameConstraints([*networks, *names], None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    write_whole(kept / AUTHORITY_KEY, _key_bytes(key))
    write_whole(kept / AUTHORITY, _pem(made))
    return made, key


def _page(
    host: str,
    public: ec.EllipticCurvePublicKey,
    authority: x509.Certificate,
    signer: ec.EllipticCurvePrivateKey,
    at: datetime,
) -> x509.Certificate:
    try:
        named: x509.GeneralName = x509.IPAddress(ipaddress.ip_address(host))
    except ValueError:
        named = x509.DNSName(host.lower())
    return (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, PAGE_NAME)]))
        .issuer_name(authority.subject)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - EARLIER)
        .not_valid_after(at + timedelta(days=DAYS - 1))
        .add_extension(x509.SubjectAlternativeName([named]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(is_authority=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()), critical=False
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .sign(signer, hashes.SHA256())
    )


def _usage(*, is_authority: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not is_authority,
        key_cert_sign=is_authority,
        crl_sign=is_authority,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _is_good(certificate: Path, key: Path, authority: x509.Certificate, at: datetime) -> bool:
    """Tell whether a certificate is there, is of this authority, and lasts."""
    try:
        made = x509.load_pem_x509_certificate(read_mine(certificate, most_bytes=MOST_BYTES))
        kept = serialization.load_pem_private_key(read_mine(key, most_bytes=MOST_BYTES), None)
        made.verify_directly_issued_by(authority)
    except (FileNotFoundError, ValueError, TypeError):
        return False
    except Exception:  # noqa: BLE001 - an invalid signature is of no common base; it is made anew
        return False
    lasts = made.not_valid_after_utc - at >= timedelta(days=RENEWED_DAYS)
    return lasts and at >= made.not_valid_before_utc and kept.public_key() == made.public_key()


def _pem(made: x509.Certificate) -> bytes:
    return made.public_bytes(serialization.Encoding.PEM)


def _key_bytes(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
