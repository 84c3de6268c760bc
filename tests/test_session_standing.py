"""What may be said of a job: by itself, by a noted hash, by signatures; and what a forger gets."""

from __future__ import annotations

import json
import re
import shutil
from datetime import date
from pathlib import Path

import pytest
import typer
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from calllog.commands.sign import sign
from calllog.commands.verify import verify
from calllog.errors import ConfigError, JournalError
from calllog.journal import Journal
from calllog.office import replay_job, rescue_job, summarise, write_report
from calllog.office.summary import verify_job
from calllog.report import read_segments_json
from calllog.session import Job, new_key, signer_line
from calllog.session.keys import SigningKey
from calllog.session.kinds import SignOff
from calllog.spoken import Parser
from calllog.wording import ENGLISH
from tests.crew import Crew
from tests.forging import Resign, forge
from tests.test_session_job import AGREED, PaperClock, make
from tests.test_session_signing import go_on

DAY = date(2131, 5, 6)
NOON = "2131-05-06T12:00:00+00:00"
OFFICE = "the office"
KEY = SigningKey(Ed25519PrivateKey.generate())
FORGER = SigningKey(Ed25519PrivateKey.generate())


@pytest.fixture
def job(tmp_path: Path, parser: Parser) -> Path:
    """Make a job of one pull that agrees, signed by the office with its key."""
    folder = make(tmp_path / "job", *Crew(parser).say(*AGREED).heard)
    sign_paper(folder)
    return folder


@pytest.fixture
def signers(tmp_path: Path) -> Path:
    """Write down whose key is whose."""
    path = tmp_path / "signers"
    path.write_text(f"{signer_line(OFFICE, KEY.public)}\n", "utf-8")
    return path


def sign_paper(folder: Path, by: str = OFFICE, key: SigningKey | None = KEY) -> None:
    """Sign with a paper clock."""
    with Job.open_existing(folder, PaperClock()) as job:
        job.sign(by=by, day=DAY, remark="as read", key=key)


def told(capsys: pytest.CaptureFixture[str], folder: Path, **asked: object) -> tuple[int, str]:
    """Run `verify`; give its exit code and all that it says."""
    code = 0
    try:
        verify(folder, **asked)  # type: ignore[arg-type]
    except typer.Exit as ended:
        code = ended.exit_code
    said = capsys.readouterr()
    return code, said.out + said.err


def head_of(folder: Path) -> str:
    """Give a job's last hash, to note it."""
    return verify_job(folder).state_hash


def unsigned(one: SignOff, _: str) -> SignOff:
    """Leave the signature off."""
    return one.model_copy(update={"public_key": "", "signature": ""})


def signed_by_forger(one: SignOff, job: str) -> SignOff:
    """Sign with another key under the same name."""
    bare = one.model_copy(update={"public_key": FORGER.public})
    return bare.model_copy(update={"signature": FORGER.sign(bare.text(job))})


def test_plain_verify_claims_no_more_than_it_can(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Consistent in itself, and in the same breath that this does not show who wrote it."""
    code, said = told(capsys, job)
    assert code == 0
    first = said.splitlines()[0]
    assert first.startswith(
        f"consistent in itself: 10 entries, last hash {head_of(job)}; this does"
    )
    assert "does not show who wrote it" in first
    assert "a hash noted elsewhere (--last-hash) or a signature (--signers) does" in first
    assert "prove" not in said.lower()


@pytest.mark.parametrize("resign", [unsigned, signed_by_forger])
def test_job_written_anew_is_consistent_and_noticed_only_from_outside(
    job: Path,
    signers: Path,
    capsys: pytest.CaptureFixture[str],
    resign: Resign,
) -> None:
    """Other lengths, sign-off kept, all hashes fitting: a noted hash and the signers tell."""
    head, before = head_of(job), summarise(job).replay.segments[0].take.length
    assert told(capsys, job, head=head)[0] == told(capsys, job, signers=signers)[0] == 0
    forge(job, resign)
    assert summarise(job).replay.segments[0].take.length == before + 1
    code, said = told(capsys, job)
    assert (code, said[:20]) == (0, "consistent in itself")
    assert f"Signed by {OFFICE} on 2131-05-06 (as read)" in said
    for noted in (head, head[:8]):
        code, said = told(capsys, job, head=noted)
        assert code == 1
        assert "no entry has the noted hash: entries at the end are missing or were" in said
    code, said = told(capsys, job, signers=signers)
    assert code == 1
    assert "NOT SIGNED AS IT STANDS" in said
    expected = (
        "no sign-off has a signature by anybody in"
        if resign is unsigned
        else f"does not have this key under the name {OFFICE}"
    )
    assert expected in said


def test_signature_does_not_fit_what_was_written_anew(
    job: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A forger who keeps the signature is found without anything else, by name and entry."""
    forge(job)
    last = verify_job(job).first_bad
    code, said = told(capsys, job)
    assert code == 1
    words = (
        f"entry {last} is signed by {OFFICE} with key {replay_job(job).signed[0].fingerprint} up to"
        f" entry {(last or 0) - 1}, signature bad"
    )
    assert said.startswith(f"NOT CONSISTENT: entry {last}: {words}; ")
    with pytest.raises(JournalError, match="signature bad"):
        summarise(job)
    rescue_job(job, tmp_path / "rescued")
    assert replay_job(tmp_path / "rescued").signed == []
    assert "signature bad" in ENGLISH.say(replay_job(tmp_path / "rescued").rescued[0][1].wrong)


@pytest.mark.parametrize(
    "change",
    [
        {"by": "the chief"},
        {"date": "2131-05-07"},
        {"remark": ""},
        {"public_key": FORGER.public},
        {"public_key": ""},
        {"public_key": "oak"},
        {"signature": ""},
        {"signature": "oak"},
    ],
    ids=["by", "date", "remark", "another-key", "no-key", "odd-key", "no-signature", "odd"],
)
def test_signature_is_over_all_that_a_sign_off_says(
    change: dict[str, str], tmp_path: Path, parser: Parser
) -> None:
    """Name, day, remark and key cannot be changed, nor half of the signature left out."""
    folder = make(tmp_path / "job", *Crew(parser).say(*AGREED).heard)
    shutil.copytree(folder, tmp_path / "copy")
    sign_paper(tmp_path / "copy")
    signed = replay_job(tmp_path / "copy").signed[0].model_dump(mode="json")
    with Journal.open(folder) as journal:  # past the job, which would not write it
        journal.append("signed", {**signed, **change}, time_utc=NOON, monotonic_s=1.0)
    found = verify_job(folder)
    assert found.first_bad == signed["entry"] + 1
    assert found.wrong.endswith(f"up to entry {signed['entry']}, signature bad")
    with pytest.raises(JournalError, match="signature bad"):
        Job.open_existing(folder)


def test_signature_of_one_job_does_not_fit_another(job: Path) -> None:
    """The job's first hash is signed too, so a sign-off cannot be carried to another job."""
    one = replay_job(job).signed[0]
    assert one.is_good(replay_job(job).origin)
    assert not one.is_good("0d" * 32)
    assert not one.model_copy(update={"entry": one.entry - 1}).is_good(replay_job(job).origin)
    assert not one.model_copy(update={"state_hash": "0d" * 32}).is_good(replay_job(job).origin)


def test_noted_hash_tells_what_follows(
    job: Path, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """Unchanged; sign-offs after it are no fault; other entries are told by kind, exit code 1."""
    head, entries = head_of(job), verify_job(job).entries
    code, said = told(capsys, job, head=head)
    assert (code, said.splitlines()[0]) == (0, f"unchanged since {head}: {entries} entries.")
    assert "digits were compared" not in said
    code, said = told(capsys, job, head=f"{head[:8]} {head[8:16]}")
    assert code == 0
    assert "16 of the 64 digits were compared. That finds mistakes; somebody who forges" in said
    sign_paper(job, by="the chief")
    sign_paper(job, by="the clerk", key=None)
    code, said = told(capsys, job, head=head)
    assert code == 0
    assert said.startswith(f"unchanged up to entry {entries}, 2 sign-offs follow; last hash ")
    go_on(job, parser, "r: twenty", "h: eleven")
    code, said = told(capsys, job, head=head)
    assert code == 1
    assert f"unchanged up to entry {entries}, but more follows: signed 2, call 2; see" in said
    verify(job)
    assert "consistent in itself" in capsys.readouterr().out


@pytest.mark.parametrize("head", ["", "0d01fbc", "oak and elm"])
def test_noted_hash_that_is_none_is_an_error(job: Path, head: str) -> None:
    """An empty one too, as from a variable that was never set: it is not taken for no question."""
    with pytest.raises(ConfigError, match="hash"):
        verify(job, head=head)


def test_signers_tell_who_signed_up_to_where(
    job: Path, signers: Path, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """Good by a signer; good by whom is not known; a stranger's key; and what nobody signed."""
    one = replay_job(job).signed[0]
    code, said = told(capsys, job, signers=signers)
    assert code == 0
    assert (
        f"Signed by {OFFICE} on 2131-05-06 (as read) with key {one.fingerprint} up to entry"
        f" {one.entry}, hash {one.state_hash}, signature good, by a signer; unchanged since."
    ) in said
    code, said = told(capsys, job)
    assert "signature good; unchanged since." in said
    assert "Whose key it is, a journal cannot say: compare the fingerprint" in said
    sign_paper(job, by="a stranger", key=FORGER)
    code, said = told(capsys, job, signers=signers)
    assert code == 0, "the office has signed it as it stands"
    assert ", ! key not among the signers; unchanged since." in said
    go_on(job, parser, "r: twenty", "h: eleven")
    code, said = told(capsys, job, signers=signers)
    assert code == 1
    assert f"2 entries after entry {one.entry} are signed by nobody in {signers} (call 2)." in said
    sign_paper(job, key=None)
    assert told(capsys, job, signers=signers)[0] == 1
    sign_paper(job)
    assert told(capsys, job, signers=signers)[0] == 0, "a key may follow a bare sign-off"
    sign_paper(job, by="another office")
    code, said = told(capsys, job, signers=signers)
    assert code == 1
    assert "! key not that of this signer" in said


def test_unsigned_sign_off_says_that_anybody_can_write_it(
    tmp_path: Path, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a key a name is a name."""
    folder = make(tmp_path / "bare", *Crew(parser).say(*AGREED).heard)
    sign_paper(folder, key=None)
    _, said = told(capsys, folder)
    assert "without a signature: anybody who can write the folder can write this" in said


def test_json_says_the_same(job: Path, signers: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The document has the sentence, what holds, keys and fingerprints, for programs."""
    code, said = told(capsys, job, signers=signers, head=head_of(job), as_json=True)
    document = json.loads(said)
    assert (code, document["is_as_asked"], document["noted"]) == (0, True, 10)
    assert document["says"].startswith("unchanged since ")
    (signed,) = document["signed"]
    assert signed["signature_is"] == "good, by a signer"
    assert signed["public_key"] == KEY.public
    assert signed["fingerprint"] == replay_job(job).signed[0].fingerprint
    forge(job)
    code, said = told(capsys, job, as_json=True)
    assert (code, json.loads(said)["says"]) == (1, "not consistent")


def test_report_tells_key_and_signature(job: Path, tmp_path: Path) -> None:
    """Fingerprint, public key and signature are in the JSON, so that others can check it."""
    write_report(summarise(job), tmp_path / "out")
    (signed,) = read_segments_json(tmp_path / "out" / "segments.json").job.signed
    one = replay_job(job).signed[0]
    assert (signed.public_key, signed.signature) == (one.public_key, one.signature)
    assert re.fullmatch(r"SHA256:[A-Za-z0-9+/]{43}", signed.fingerprint)


def test_command_makes_a_key_and_signs_with_it(
    tmp_path: Path, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """The printed line is all that a file of signers needs; a job signed so verifies by it."""
    folder = make(tmp_path / "new", *Crew(parser).say(*AGREED).heard)
    sign(by=OFFICE, new=tmp_path / "key")
    said = capsys.readouterr()
    assert "written:" in said.err
    (tmp_path / "known").write_text(said.out, "utf-8")
    assert re.fullmatch(r'"the office" ssh-ed25519 [A-Za-z0-9+/]{68}\n', said.out)
    sign(folder, by=OFFICE, key=tmp_path / "key")
    assert "signature good; unchanged since." in capsys.readouterr().out
    assert told(capsys, folder, signers=tmp_path / "known")[0] == 0
    with pytest.raises(ConfigError, match="has signed this state already"):
        sign(folder, by=OFFICE, key=tmp_path / "key")


def test_sign_asks_for_what_is_missing(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No job, two things at once, a name that cannot be a signer's; a passphrase is asked for."""
    with pytest.raises(ConfigError, match="no job is named"):
        sign(by=OFFICE)
    with pytest.raises(ConfigError, match="not both at once"):
        sign(job, new=tmp_path / "key")
    with pytest.raises(ConfigError, match="cannot be a signer's"):
        sign(by='"', new=tmp_path / "key")
    assert not (tmp_path / "key").exists()
    if not shutil.which("ssh-keygen"):
        pytest.skip("needs ssh-keygen")
    new_key(tmp_path / "key")
    from subprocess import run  # noqa: PLC0415 - only where it is there

    run(["ssh-keygen", "-q", "-p", "-N", "old oak", "-f", str(tmp_path / "key")], check=True)
    asked = []

    def prompt(words: str, **how: object) -> str:
        asked.append((words, how))
        return "old oak"

    monkeypatch.setattr(typer, "prompt", prompt)
    sign(job, by="the clerk", key=tmp_path / "key")
    assert asked == [(f"Passphrase of {tmp_path / 'key'}", {"hide_input": True, "err": True})]
    assert replay_job(job).signed[-1].is_signed
