"""The logger's own authority: what OpenSSL and the rules of browsers ask; kept and renewed."""

from __future__ import annotations

import ipaddress
import shutil
import socket
import ssl
import stat
import subprocess
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID

from calllog.errors import ConfigError
from calllog.phone.authority import AUTHORITY, AUTHORITY_KEY, DAYS, RENEWED_DAYS, papers_for

NOW = datetime(2026, 5, 4, tzinfo=UTC)
HOST = "192.168.4.1"


def page_of(path: Path) -> x509.Certificate:
    """Read the page's certificate."""
    return x509.load_pem_x509_certificates(path.read_bytes())[0]


@pytest.mark.skipif(shutil.which("openssl") is None, reason="needs the Debian package openssl")
def test_openssl_verifies_the_chain_for_the_address_and_no_other(tmp_path: Path) -> None:
    """By a program that is not ours: chain, purpose, constraints of names, and address."""
    papers = papers_for(HOST, tmp_path)
    trusted = tmp_path / "trusted.pem"
    trusted.write_text(papers.authority)
    command = [
        "openssl",
        "verify",
        "-x509_strict",
        "-purpose",
        "sslserver",
        "-CAfile",
        str(trusted),
    ]
    good = subprocess.run([*command, "-verify_ip", HOST, str(papers.certificate)], check=False)
    other = subprocess.run(
        [*command, "-verify_ip", "192.168.4.2", str(papers.certificate)],
        check=False,
        capture_output=True,
    )
    assert good.returncode == 0
    assert other.returncode != 0


def test_certificate_keeps_the_rules_of_browsers(tmp_path: Path) -> None:
    """An address as its other name, for servers alone, 398 days at most (CA/B Forum 6.3.2)."""
    made = page_of(papers_for(HOST, tmp_path, NOW).certificate)
    names = made.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.IPAddress) == [ipaddress.ip_address(HOST)]
    usage = made.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(usage) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert made.not_valid_after_utc - made.not_valid_before_utc <= timedelta(days=398)


def test_authority_can_vouch_for_private_addresses_alone(tmp_path: Path) -> None:
    """RFC 5280, 4.2.1.10, critical: with its key nobody can pass for a site of the Internet."""
    papers = papers_for(HOST, tmp_path, NOW)
    made = x509.load_pem_x509_certificate(papers.authority.encode())
    found = made.extensions.get_extension_for_class(x509.NameConstraints)
    assert found.critical
    networks = [
        e.value for e in found.value.permitted_subtrees or () if isinstance(e, x509.IPAddress)
    ]
    assert networks
    assert all(each.is_private or each.is_link_local for each in networks)
    with pytest.raises(ConfigError, match=r"example\.com is no address of a local network"):
        papers_for("example.com", tmp_path, NOW)
    with pytest.raises(ConfigError, match=r"8\.8\.8\.8 is no address"):
        papers_for("8.8.8.8", tmp_path, NOW)


def test_papers_are_kept_and_renewed_without_a_new_authority(tmp_path: Path) -> None:
    """A phone trusts once: the page's certificate changes before it ends, the authority stays."""
    first = papers_for(HOST, tmp_path, NOW)
    kept = page_of(first.certificate)
    assert papers_for(HOST, tmp_path, NOW + timedelta(days=30)) == first
    assert page_of(first.certificate) == kept
    late = NOW + timedelta(days=DAYS - RENEWED_DAYS + 1)
    renewed = papers_for(HOST, tmp_path, late)
    assert renewed.authority == first.authority
    assert page_of(renewed.certificate) != kept
    assert papers_for("10.0.0.7", tmp_path, NOW).authority == first.authority


def test_keys_are_their_owners_alone(tmp_path: Path) -> None:
    """Nobody else may read them; one that others may read, or of another authority, is refused."""
    papers = papers_for(HOST, tmp_path, NOW)
    for path in (papers.key, tmp_path / AUTHORITY_KEY):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    (tmp_path / AUTHORITY_KEY).write_bytes(papers.key.read_bytes())
    with pytest.raises(ConfigError, match="cannot be kept"):
        papers_for(HOST, tmp_path, NOW)
    (tmp_path / AUTHORITY).unlink()
    (tmp_path / AUTHORITY).symlink_to(papers.certificate)
    with pytest.raises(ConfigError, match="cannot be kept"):
        papers_for(HOST, tmp_path, NOW)


def test_tls_is_made_with_it(tmp_path: Path) -> None:
    """A client that trusts the authority alone makes TLS; one that does not refuses."""
    papers = papers_for("127.0.0.1", tmp_path)
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(papers.certificate, papers.key)
    for trusted, is_good in ((papers.authority, True), (None, False)):
        client = ssl.create_default_context(cadata=trusted)
        one, other = socket.socketpair()
        done: list[str] = []

        def shake(near: socket.socket = other, told: list[str] = done) -> None:
            try:
                with server.wrap_socket(near, server_side=True):
                    told.append("made")
            except OSError:
                told.append("refused")

        thread = threading.Thread(target=shake)
        thread.start()
        try:
            with client.wrap_socket(one, server_hostname="127.0.0.1"):
                pass
        except ssl.SSLCertVerificationError:
            assert not is_good
        thread.join()
        assert done == ["made" if is_good else "refused"]
