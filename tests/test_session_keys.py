"""Keys, signatures and signers: by the published vectors, and against OpenSSL and OpenSSH."""

from __future__ import annotations

import json
import shutil
import subprocess
from base64 import b64decode, b64encode
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from calllog.errors import ConfigError
from calllog.session import new_key, read_key, read_signers, signer_line
from calllog.session.keys import SigningKey
from calllog.session.signing import does_fit, fingerprint, public_line, read_public, signed_text

VECTORS = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701"
            "cf9b46bd25bf5f0595bbe24655141438e7a100b"
        ),
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d"
            "0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        ),
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        (
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f7609"
            "84dc6594a7c15e9716ed28dc027beceea1ec40a"
        ),
    ),
]
"""Secret key, public key, message, signature: RFC 8032, section 7.1, tests 1 to 3."""
NEEDS_SSH = pytest.mark.skipif(not shutil.which("ssh-keygen"), reason="needs ssh-keygen")
NEEDS_OPENSSL = pytest.mark.skipif(not shutil.which("openssl"), reason="needs openssl")
STATED = {
    "job": "0d" * 32,
    "entry": 57,
    "state_hash": "5d" * 32,
    "by": 'R. "Bob" Höhe\\',
    "date": "2131-05-06",
    "remark": "first\nsecond\x1f",
}


def never() -> str:
    """Stand in for a question that must not be asked."""
    raise AssertionError


def command(*words: str | Path, given: bytes = b"") -> bytes:
    """Run another program; give what it printed."""
    done = subprocess.run(
        [str(word) for word in words], input=given, capture_output=True, check=True
    )
    return done.stdout


@pytest.mark.parametrize(("secret", "public", "message", "signature"), VECTORS)
def test_signatures_are_those_of_rfc_8032(
    secret: str, public: str, message: str, signature: str
) -> None:
    """The published vectors come out of the code that signs jobs, and only they are good."""
    key = SigningKey(Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret)))
    text, made = bytes.fromhex(message), key.sign(bytes.fromhex(message))
    assert b64decode(made).hex() == signature
    assert read_public(key.public).public_bytes_raw().hex() == public
    assert does_fit(made, text, key.public)
    for bit in range(0, 512, 7):
        turned = bytearray(b64decode(made))
        turned[bit // 8] ^= 1 << bit % 8
        assert not does_fit(b64encode(turned).decode(), text, key.public)
    assert not does_fit(made, text + b" ", key.public)


@pytest.mark.parametrize("signature", ["", "=", "AAAA", "ä", "A" * 88, "A" * 86 + "=="])
def test_what_is_no_signature_fits_nothing(signature: str) -> None:
    """Anything malformed is a bad signature, never an error."""
    key = SigningKey(Ed25519PrivateKey.generate())
    assert not does_fit(signature, b"text", key.public)
    for public in ("", "ssh-ed25519", "ssh-ed25519 AAAA", f"ssh-rsa {key.public[12:]}", "ä"):
        assert not does_fit(key.sign(b"text"), b"text", public)


def test_signed_text_is_what_the_documentation_says() -> None:
    """Domain, line feed, then members sorted and escaped as RFC 8785 does, each of them counted."""
    text = signed_text(**STATED)  # type: ignore[arg-type]
    assert text.decode() == (
        'calllog sign-off 1\n{"by":"R. \\"Bob\\" Höhe\\\\","date":"2131-05-06","entry":57,'
        f'"job":"{"0d" * 32}","remark":"first\\nsecond\\u001f","state_hash":"{"5d" * 32}"}}'
    )
    for name, value in STATED.items():
        other = value + 1 if isinstance(value, int) else f"{value}0"
        assert signed_text(**{**STATED, name: other}) != text  # type: ignore[arg-type]


@NEEDS_OPENSSL
def test_openssl_checks_a_signature_by_the_documented_text(tmp_path: Path) -> None:
    """A key that OpenSSL made signs here; OpenSSL finds it good, and bad over another text."""
    pem, public = tmp_path / "key.pem", tmp_path / "public.pem"
    command("openssl", "genpkey", "-algorithm", "ed25519", "-out", pem)
    command("openssl", "pkey", "-in", pem, "-pubout", "-out", public)
    key = read_key(pem, never)
    (tmp_path / "signature").write_bytes(b64decode(key.sign(signed_text(**STATED))))  # type: ignore[arg-type]
    members = json.dumps(STATED, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    files = ("-inkey", public, "-sigfile", tmp_path / "signature", "-in", tmp_path / "text")
    check = ("openssl", "pkeyutl", "-verify", "-pubin", "-rawin", *files)
    (tmp_path / "text").write_text(f"calllog sign-off 1\n{members}", "utf-8")
    assert b"Verified Successfully" in command(*check)
    (tmp_path / "text").write_text(f"calllog sign-off 1\n{members}\n", "utf-8")
    with pytest.raises(subprocess.CalledProcessError):
        command(*check)


@NEEDS_SSH
@pytest.mark.parametrize("passphrase", ["", "old oak"])
def test_keys_of_openssh_are_read(tmp_path: Path, passphrase: str) -> None:
    """With a passphrase it is asked for; public line and fingerprint are those of OpenSSH."""
    path = tmp_path / "key"
    command("ssh-keygen", "-q", "-t", "ed25519", "-C", "a b", "-N", passphrase, "-f", path)
    key = read_key(path, (lambda: passphrase) if passphrase else never)
    assert path.with_suffix(".pub").read_text("utf-8").split()[:2] == key.public.split()
    assert fingerprint(key.public) in command("ssh-keygen", "-l", "-f", path).decode().split()
    if passphrase:
        with pytest.raises(ConfigError, match=r"passphrase is wrong.*--new-key"):
            read_key(path, lambda: "old elm")


@NEEDS_OPENSSL
def test_encrypted_key_in_pem_is_read(tmp_path: Path) -> None:
    """PKCS #8 with a passphrase, as OpenSSL writes it, is asked for and opened by it alone."""
    path = tmp_path / "key.pem"
    words = ("openssl", "genpkey", "-algorithm", "ed25519", "-aes256", "-pass", "pass:oak")
    command(*words, "-out", path)
    key = read_key(path, lambda: "oak")
    plain = command(
        "openssl", "pkey", "-in", path, "-passin", "pass:oak", "-pubout", "-outform", "DER"
    )
    assert read_public(key.public).public_bytes_raw() == plain[-32:]
    with pytest.raises(ConfigError, match="passphrase is wrong"):
        read_key(path, lambda: "elm")


@NEEDS_OPENSSL
def test_what_is_no_ed25519_key_is_refused(tmp_path: Path) -> None:
    """Another kind, a public key, any text, a folder and nothing: what it is, and what to do."""
    (tmp_path / "text").write_text("oak", "utf-8")
    (tmp_path / "public").write_text(
        public_line(Ed25519PrivateKey.generate().public_key()), "utf-8"
    )
    (tmp_path / "long").write_bytes(bytes(2 << 20))
    ec = ("-algorithm", "EC", "-pkeyopt", "ec_paramgen_curve:P-256")
    command("openssl", "genpkey", *ec, "-out", tmp_path / "ec.pem")
    for name, words in (
        ("text", "holds no secret key"),
        ("public", "holds no secret key"),
        ("ec.pem", "the key is no Ed25519 key"),
        ("long", "more than 1048576 bytes are not the key"),
        ("none", "the key cannot be read: No such file"),
        ("", "the key cannot be read: Is a directory"),
    ):
        with pytest.raises(ConfigError, match=words) as caught:
            read_key(tmp_path / name, never)
        assert caught.value.next_step


def test_new_key_is_the_owners_alone_and_replaces_nothing(tmp_path: Path) -> None:
    """Mode 0600, read back as the same key; a file or link in its place stays as it is."""
    key = new_key(tmp_path / "key")
    assert (tmp_path / "key").stat().st_mode & 0o777 == 0o600
    assert read_key(tmp_path / "key", never).public == key.public
    before = (tmp_path / "key").read_bytes()
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere")
    for name in ("key", "link"):
        with pytest.raises(ConfigError, match="no key is written over; name a new file"):
            new_key(tmp_path / name)
    assert (tmp_path / "key").read_bytes() == before
    assert not (tmp_path / "elsewhere").exists()
    with pytest.raises(ConfigError, match="the key cannot be written: No such file"):
        new_key(tmp_path / "none" / "key")


@NEEDS_SSH
def test_new_key_is_one_of_openssh(tmp_path: Path) -> None:
    """OpenSSH reads it and gives the same public line."""
    key = new_key(tmp_path / "key")
    assert command("ssh-keygen", "-y", "-f", tmp_path / "key").decode().split()[:2] == (
        key.public.split()
    )


@NEEDS_SSH
@pytest.mark.parametrize("name", ["office", "the office", "Höhe,chief"])
def test_line_of_a_signer_is_one_of_openssh(tmp_path: Path, name: str) -> None:
    """What is printed for a file of signers is taken by OpenSSH too, names with blanks as well."""
    key = new_key(tmp_path / "key")
    (tmp_path / "signers").write_text(f"# known\n\n{signer_line(name, key.public)} desk\n", "utf-8")
    signed = command(
        "ssh-keygen", "-Y", "sign", "-q", "-n", "x", "-f", tmp_path / "key", given=b"a"
    )
    (tmp_path / "signature").write_bytes(signed)
    words = ("-f", tmp_path / "signers", "-n", "x", "-s", tmp_path / "signature", "-I")
    one = name.split(",", maxsplit=1)[0]
    assert b"Good" in command("ssh-keygen", "-Y", "verify", *words, one, given=b"a")
    (signer,) = read_signers(tmp_path / "signers")
    assert {name, one} <= signer.names
    assert signer.public == key.public


def test_file_of_signers_that_says_more_than_is_read_is_refused(tmp_path: Path) -> None:
    """Options, patterns, broken keys and lines are named by number; other kinds are passed over."""
    public = SigningKey(Ed25519PrivateKey.generate()).public
    path = tmp_path / "signers"
    rsa = "office ssh-rsa AAAAB3NzaC1yc2E=\n"
    for text, words in (
        (f'{rsa}office namespaces="x" {public}\n', "line 2: namespaces=.* options are not read"),
        (f"*.example {public}\n", "line 1: patterns for names are not read"),
        (f"!office {public}\n", "patterns"),
        (
            f"office {public[:-8]}\n",
            "the key of office is no ssh-ed25519 key; copy the public line",
        ),
        ("office ssh-ed25519\n", "the key of office is no"),
        ("office\n", "is no signer; write a line for each: NAME ssh-ed25519 AAAA"),
        (f'"office {public}\n', "is no signer"),
        (f'"" {public}\n', "the name is empty"),
        (rsa, "no signer with an ssh-ed25519 key"),
        ("", "no signer"),
    ):
        path.write_text(text, "utf-8")
        with pytest.raises(ConfigError, match=words):
            read_signers(path)
