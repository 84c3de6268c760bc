"""Time stamps (RFC 3161), by an authority of OpenSSL's that the test makes for itself."""

from __future__ import annotations

import importlib
import shutil
import subprocess
from base64 import b64decode, b64encode
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import typer

from calllog.commands.sign import sign
from calllog.commands.stamp import stamp
from calllog.commands.verify import verify
from calllog.errors import ConfigError, JournalError
from calllog.journal import Journal
from calllog.office import replay_job, rescue_job
from calllog.office.summary import verify_job
from calllog.session import Job
from calllog.session.kinds import Stamp, content_of
from calllog.spoken import Parser
from tests.crew import Crew
from tests.test_session_job import AGREED, PaperClock, make
from tests.test_session_signing import go_on

SETTINGS = """
[req]
distinguished_name = name
[name]
[root]
basicConstraints = critical, CA:TRUE
keyUsage = critical, keyCertSign
subjectKeyIdentifier = hash
[stamps]
basicConstraints = critical, CA:FALSE
keyUsage = critical, digitalSignature
extendedKeyUsage = critical, timeStamping
[other]
basicConstraints = critical, CA:FALSE
keyUsage = critical, digitalSignature
extendedKeyUsage = critical, emailProtection
[tsa]
serial = serial
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256
"""
"""Of an authority (openssl-ts(1), CONFIGURATION FILE OPTIONS); its names are invented."""


def has_openssl() -> bool:
    """Tell whether OpenSSL is there and can be an authority."""
    if not shutil.which("openssl"):
        return False
    done = subprocess.run(["openssl", "ts", "-help"], capture_output=True, check=False)
    return done.returncode == 0


pytestmark = pytest.mark.skipif(not has_openssl(), reason="needs openssl with its command ts")


def openssl(folder: Path, words: str) -> None:
    """Run a command of OpenSSL's in a folder."""
    subprocess.run(["openssl", *words.split()], cwd=folder, check=True, capture_output=True)


class Authority:
    """A certificate that signs others, and a clock with a certificate of it."""

    def __init__(self, folder: Path, name: str) -> None:
        self.folder = folder
        folder.mkdir()
        (folder / "settings").write_text(SETTINGS, "utf-8")
        (folder / "serial").write_text("01", "utf-8")
        new = "req -newkey rsa:2048 -nodes -config settings"
        self._run(
            f"{new} -x509 -extensions root -days 30 -keyout ca.key -out ca.pem -subj /CN={name}"
        )
        for kind in ("stamps", "other"):
            self._run(f"{new} -keyout {kind}.key -out {kind}.csr -subj /O=Invented/CN={kind}")
            self._run(
                f"x509 -req -in {kind}.csr -CA ca.pem -CAkey ca.key -CAcreateserial -days 30"
                f" -extfile settings -extensions {kind} -out {kind}.pem"
            )

    @property
    def certificate(self) -> Path:
        """The file that those who trust it have."""
        return self.folder / "ca.pem"

    def answer(self, request: Path, digests: str = "sha256") -> Path:
        """Answer a request."""
        text = SETTINGS.replace("digests = sha256", f"digests = {digests}")
        (self.folder / "settings").write_text(text, "utf-8")
        response = request.with_suffix(".tsr")
        self._run(
            "ts -reply -config settings -section tsa -inkey stamps.key -signer stamps.pem"
            f" -queryfile {request} -out {response}"
        )
        return response

    def _run(self, words: str) -> None:
        subprocess.run(
            ["openssl", *words.split()], cwd=self.folder, check=True, capture_output=True
        )


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    """Make the authority that is trusted."""
    return Authority(tmp_path_factory.mktemp("authority") / "known", "Known")


@pytest.fixture(scope="module")
def stranger(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    """Make an authority of the same name that is not."""
    return Authority(tmp_path_factory.mktemp("authority") / "stranger", "Known")


@pytest.fixture
def job(tmp_path: Path, parser: Parser) -> Path:
    """Make a job of one pull that agrees."""
    return make(tmp_path / "job", *Crew(parser).say(*AGREED).heard)


def stamped(job: Path, authority: Authority, name: str = "day") -> Path:
    """Ask for a time stamp and have it answered; give the response."""
    request = job.parent / f"{name}.tsq"
    stamp(job, request=request)
    return authority.answer(request)


def test_request_is_over_the_last_hash_itself(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """OpenSSL makes the same request from the bare hash, so no authority needs calllog."""
    request = job.parent / "day.tsq"
    stamp(job, request=request)
    found = verify_job(job)
    assert f"over entry {found.entries}, hash {found.state_hash}" in capsys.readouterr().out
    words = ["openssl", "ts", "-query", "-sha256", "-digest", found.state_hash]
    done = subprocess.run([*words, "-no_nonce", "-cert"], capture_output=True, check=True)
    assert request.read_bytes() == done.stdout
    assert verify_job(job) == found, "asking writes nothing into the job"
    with pytest.raises(ConfigError, match="cannot be written: File exists; name a new file"):
        stamp(job, request=request)


def test_stamp_is_checked_recorded_and_checked_again(
    job: Path, authority: Authority, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """It tells when the hash was seen, by whom, also after more calls; it changes no sign-off."""
    sign(job, by="the office")
    head = verify_job(job)
    before = datetime.now(UTC) - timedelta(seconds=2)
    response = stamped(job, authority)
    stamp(job, response=response, authority=authority.certificate)
    told = "existed on "
    one = replay_job(job).stamps[0]
    assert before <= datetime.fromisoformat(one.time_utc) <= datetime.now(UTC)
    assert (one.entry, one.state_hash) == (head.entries, head.state_hash)
    assert one.authority == "CN=stamps,O=Invented"
    assert told in capsys.readouterr().out
    again = replay_job(job)
    assert again.later(again.signed[0]) == ()
    verify(job, head=head.state_hash)
    said = capsys.readouterr().out
    assert f"unchanged up to entry {head.entries}, 1 time stamp follows; last hash " in said
    assert "says a time stamp that was not checked: name the authority's certificate" in said
    go_on(job, parser, "r: twenty", "h: eleven")
    verify(job, authority=authority.certificate)
    said = capsys.readouterr().out
    time = f"{one.time_utc[:19].replace('T', ' ')} UTC"
    assert f"Entry {one.entry} and all before it existed on {time} by authority CN=stamps" in said
    with pytest.raises(ConfigError, match="stands in this job already"):
        stamp(job, response=response, authority=authority.certificate)


def test_stamp_that_comes_late_is_recorded_over_its_entry(
    job: Path, authority: Authority, parser: Parser
) -> None:
    """Calls taken while the authority was asked do no harm: the stamp names the entry it saw."""
    head = verify_job(job)
    response = stamped(job, authority)
    go_on(job, parser, "r: twenty", "h: eleven")
    stamp(job, response=response, authority=authority.certificate)
    assert replay_job(job).stamps[0].entry == head.entries
    assert verify_job(job).ok


def test_wrong_responses_are_refused_and_nothing_is_recorded(
    job: Path, authority: Authority, stranger: Authority, tmp_path: Path, parser: Parser
) -> None:
    """Of another job, by a stranger, refused, cut off, changed, or no response at all."""
    other = make(tmp_path / "other", *Crew(parser).say(*AGREED, "r: twenty").heard)
    elsewhere = stamped(other, authority, "other")
    good = stamped(job, authority)
    request = tmp_path / "day.tsq"
    (tmp_path / "refused.tsq").write_bytes(request.read_bytes())
    refused = authority.answer(tmp_path / "refused.tsq", digests="sha512")
    (tmp_path / "foreign.tsq").write_bytes(request.read_bytes())
    foreign = stranger.answer(tmp_path / "foreign.tsq")
    data = good.read_bytes()
    (tmp_path / "cut.tsr").write_bytes(data[:-9])
    turned = bytearray(data)
    turned[-9] ^= 1
    (tmp_path / "turned.tsr").write_bytes(turned)
    before = verify_job(job)
    for response, words in (
        (elsewhere, "over another hash .* which no entry of this job has"),
        (foreign, "not signed by this authority"),
        (refused, "the authority gave no time stamp .status 2"),
        (tmp_path / "cut.tsr", "no response of a time stamp authority"),
        (tmp_path / "turned.tsr", "not signed by this authority"),
        (request, "no response of a time stamp authority"),
        (authority.certificate, "no response of a time stamp authority"),
        (tmp_path / "none", "the time stamp cannot be read"),
    ):
        with pytest.raises(ConfigError, match=words) as caught:
            stamp(job, response=response, authority=authority.certificate)
        assert caught.value.next_step
    with pytest.raises(ConfigError, match="no certificate in PEM"):
        stamp(job, response=good, authority=request)
    assert verify_job(job) == before


def test_certificate_for_another_use_makes_no_stamp(job: Path, authority: Authority) -> None:
    """The right authority's certificate for mail is none for time (RFC 3161, section 2.3)."""
    stamped(job, authority)
    here = job.parent
    openssl(here, "ts -reply -in day.tsr -token_out -out token")
    openssl(here, "cms -verify -noverify -inform DER -in token -out told")
    for use, is_good in (("other", False), ("stamps", True)):
        own = authority.folder / use
        openssl(
            here,
            "cms -sign -binary -nodetach -econtent_type 1.2.840.113549.1.9.16.1.4 -in told"
            f" -signer {own}.pem -inkey {own}.key -outform DER -out {use}",
        )
        body = bytes.fromhex("3003020100") + (here / use).read_bytes()  # granted, and the token
        response = here / f"{use}.tsr"
        response.write_bytes(b"\x30\x82" + len(body).to_bytes(2, "big") + body)
        if is_good:
            stamp(job, response=response, authority=authority.certificate)
        else:
            with pytest.raises(ConfigError, match=r"not signed by this authority .*(EKU|purpose)"):
                stamp(job, response=response, authority=authority.certificate)


def test_verify_sees_a_stamp_that_does_not_hold(
    job: Path, authority: Authority, stranger: Authority, capsys: pytest.CaptureFixture[str]
) -> None:
    """Another authority's, none, and an entry that claims another time than its time stamp."""
    with pytest.raises(typer.Exit):
        verify(job, authority=authority.certificate)
    assert "NOT STAMPED" in capsys.readouterr().err
    stamp(job, response=stamped(job, authority), authority=authority.certificate)
    with pytest.raises(typer.Exit):
        verify(job, authority=stranger.certificate)
    assert "does not hold: it is not signed by this authority" in capsys.readouterr().err
    good = replay_job(job).stamps[0]
    for change in ({"time_utc": "2001-05-06T12:00:00+00:00"}, {"response": "oak"}):
        with Job.open_existing(job) as work:
            work.note("stamped", content_of(good.model_copy(update=change)))
        with pytest.raises(typer.Exit):
            verify(job, authority=authority.certificate)
    said = capsys.readouterr().err
    assert "the entry says something else than the time stamp in it" in said
    assert "no response of a time stamp authority" in said


def test_stamp_over_what_is_no_entry_before_it_is_a_fault(job: Path, tmp_path: Path) -> None:
    """A stamp entry names a hash that stands in the journal before it, or the job is wrong."""
    found = verify_job(job)
    false = Stamp(
        entry=found.entries,
        state_hash="0d" * 32,
        time_utc="2131-05-06T12:00:00+00:00",
        authority="CN=oak",
        response=b64encode(b"oak").decode(),
    )
    with Journal.open(job) as journal:  # past the job, which would not go on with it
        body = content_of(false)
        journal.append("stamped", body, time_utc="2131-05-06T12:00:00+00:00", monotonic_s=1.0)
    assert verify_job(job).first_bad == found.entries + 1
    assert "something that is not an earlier entry" in verify_job(job).wrong
    with pytest.raises(JournalError, match="not an earlier entry"):
        Job.open_existing(job, PaperClock())
    rescue_job(job, tmp_path / "rescued")
    assert verify_job(tmp_path / "rescued").ok


def test_response_is_kept_whole(job: Path, authority: Authority) -> None:
    """What OpenSSL checks is what the journal keeps, so that nobody needs calllog for it."""
    stamp(job, response=stamped(job, authority), authority=authority.certificate)
    one = replay_job(job).stamps[0]
    kept = job.parent / "kept.tsr"
    kept.write_bytes(b64decode(one.response))
    words = ["openssl", "ts", "-verify", "-in", str(kept), "-digest", one.state_hash]
    words += ["-CAfile", str(authority.certificate)]
    done = subprocess.run(words, capture_output=True, check=True, text=True)
    assert "Verification: OK" in done.stdout


def test_what_is_missing_is_said(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither or half of the options, and a library that is not there, are errors with a way on."""
    response = tmp_path / "x.tsr"
    for options in ({}, {"response": response}, {"request": response, "response": response}):
        with pytest.raises(ConfigError, match="not said what is to be done; write a request"):
            stamp(job, **options)
    Journal.create(tmp_path / "empty").close()
    with pytest.raises(JournalError, match="nothing stands in this job"):
        stamp(tmp_path / "empty", request=tmp_path / "x.tsq")

    def absent(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(importlib, "import_module", absent)
    with pytest.raises(ConfigError, match=r"pip install 'calllog\[stamp\]'"):
        stamp(job, request=tmp_path / "x.tsq")
    assert not (tmp_path / "x.tsq").exists()
