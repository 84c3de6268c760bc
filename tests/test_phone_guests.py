"""Guests: a pairing counts on the computer that made it, for one job; and only after a yes."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

import platformdirs
import pytest

from calllog.errors import ConfigError
from calllog.journal import Journal
from calllog.phone import guests
from calllog.phone.computer import BYTES, NAME, computer_key
from calllog.phone.guests import Guests, seal
from calllog.session import Job, PhonePaired
from calllog.values import Role

KEY, OTHER = bytes(BYTES), bytes([7] * BYTES)
SECRET = "5d" * 32


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """Open a job."""
    with Job.open(tmp_path / "job") as opened:
        yield opened


def by_hand(key: bytes, text: bytes) -> str:
    """Compute HMAC-SHA256 by its definition (RFC 2104, section 2), from plain SHA-256."""
    padded = key.ljust(64, b"\0")
    inner = hashlib.sha256(bytes(each ^ 0x36 for each in padded) + text).digest()
    return hashlib.sha256(bytes(each ^ 0x5C for each in padded) + inner).hexdigest()


def test_seal_is_an_hmac_of_all_that_the_pairing_says() -> None:
    """RFC 2104; each fact counts, and none can be shifted into the next."""
    facts = ("origin", "Anna", "k7f3", SECRET)
    assert seal(KEY, *facts) == by_hand(KEY, json.dumps(["phone paired", *facts]).encode())
    rfc_4231_case_2 = "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
    assert by_hand(b"Jefe", b"what do ya want for nothing?") == rfc_4231_case_2
    made = {seal(KEY, *facts), seal(OTHER, *facts), seal(KEY, "originA", "nna", "k7f3", SECRET)}
    for place in range(4):
        other = [f"{each}x" if n == place else each for n, each in enumerate(facts)]
        made.add(seal(KEY, other[0], other[1], other[2], other[3]))
    made |= {seal(KEY, *facts, role=role) for role in Role}
    assert len(made) == 9


def test_phone_is_known_by_what_it_cannot_choose(job: Job) -> None:
    """Short, without words, no other's of the job, and journalled beside the name."""
    present = Guests(job, KEY)
    made = [present.pair(f"P{number}", SECRET) for number in range(30)]
    assert len({each.phone for each in made}) == 30
    for each in made:
        assert len(each.phone) == guests.LENGTH
        assert set(each.phone) <= set(guests.LETTERS)
        assert each.who == f"{each.name} ({each.phone})"


def test_phone_gets_nothing_that_another_was_known_by(
    job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither a paired nor a revoked phone's."""
    drawn = iter("aaaa aaaa bbbb aaaa bbbb cccc".split())
    monkeypatch.setattr(guests, "_new_phone", lambda: next(drawn))
    present = Guests(job, KEY)
    assert present.pair("Anna", SECRET).phone == "aaaa"
    assert present.pair("Bo", SECRET).phone == "bbbb"
    present.revoke("bbbb", "logger")
    assert present.pair("Cy", SECRET).phone == "cccc"


def test_paired_phone_waits_for_a_yes_in_the_next_sitting(job: Job) -> None:
    """It is in while the sitting lasts; afterwards it counts, is shown, and is not in."""
    anna = Guests(job, KEY).pair("Anna", SECRET)
    job.close()
    with Job.open(job.folder) as opened:
        present = Guests(opened, KEY)
        assert (present.inside, present.waiting, present.strange) == ((), (anna,), 0)
        assert present.guest(anna.phone) is None
        assert not present.known[anna.phone].is_in
        assert not present.may_have("Anna"), "nobody takes her name meanwhile"
        assert present.let_in() == (anna,)
        assert present.guest(anna.phone) == anna
        assert (present.inside, present.waiting, present.let_in()) == ((anna,), (), ())
    with Journal.open(job.folder, read_only=True) as journal:
        (entry,) = journal.entries("phone_let_in")
        assert entry.content == {"name": "Anna", "phone": anna.phone}


def test_phone_that_waits_can_be_revoked_and_is_never_let_in(job: Job) -> None:
    """The one at the logger strikes it and says yes to the others."""
    first = Guests(job, KEY)
    anna, bo = first.pair("Anna", SECRET), first.pair("Bo", SECRET)
    present = Guests(job, KEY)
    assert present.revoke(anna.phone, "logger") == anna.who
    assert present.revoke(anna.phone, "logger") == ""
    assert present.let_in() == (bo,)
    assert present.guest(anna.phone) is None
    assert present.may_have("Anna")


def _plant(job: Job, **content: str) -> None:
    job.note("phone_paired", {"name": "Eve", "secret_sha256": SECRET, **content})


def _as_format_1(job: Job) -> None:
    _plant(job)


def _without_seal(job: Job) -> None:
    _plant(job, phone="k7f3")


def _with_other_key(job: Job) -> None:
    _plant(job, phone="k7f3", seal=seal(OTHER, job.replay.origin, "Eve", "k7f3", SECRET))


def _of_other_job(job: Job) -> None:
    _plant(job, phone="k7f3", seal=seal(KEY, "another job", "Eve", "k7f3", SECRET))


def _of_other_secret(job: Job) -> None:
    _plant(job, phone="k7f3", seal=seal(KEY, job.replay.origin, "Eve", "k7f3", "00" * 32))


def _of_other_name(job: Job) -> None:
    _plant(job, phone="k7f3", seal=seal(KEY, job.replay.origin, "Anna", "k7f3", SECRET))


def _of_other_phone(job: Job) -> None:
    _plant(job, phone="k7f3", seal=seal(KEY, job.replay.origin, "Eve", "m2x9", SECRET))


def _with_odd_seal(job: Job) -> None:
    _plant(job, phone="k7f3", seal="\u00e9" * 64)


def _nameless_phone(job: Job) -> None:
    _plant(job, phone="", seal=seal(KEY, job.replay.origin, "Eve", "", SECRET))


@pytest.mark.parametrize(
    "plant",
    [
        *(_as_format_1, _without_seal, _with_other_key, _of_other_job, _of_other_secret),
        *(_of_other_name, _of_other_phone, _with_odd_seal, _nameless_phone),
    ],
)
def test_planted_pairing_counts_for_nothing(job: Job, plant: Callable[[Job], None]) -> None:
    """Whatever a stranger writes into a journal: not in, not even asked about; it is told."""
    plant(job)
    present = Guests(job, KEY)
    assert (present.inside, present.waiting, present.strange) == ((), (), 1)
    assert present.let_in() == ()
    assert present.guest("k7f3") is None
    assert present.known == {}


def test_pairing_of_another_computer_does_not_count(job: Job) -> None:
    """A job that was carried over: its phones pair again."""
    Guests(job, OTHER).pair("Anna", SECRET)
    assert (Guests(job, KEY).waiting, Guests(job, KEY).strange) == ((), 1)


def test_revoked_pairing_is_not_brought_back_by_its_own_entry(job: Job) -> None:
    """The entry was ours, seal and all: written once more after the revocation, it is nothing."""
    present = Guests(job, KEY)
    anna = present.pair("Anna", SECRET)
    present.revoke(anna.phone, "logger")
    job.note("phone_paired", anna.model_dump())
    assert Guests(job, KEY).waiting == ()
    assert job.replay.phones == {}


def test_pairing_that_is_overwritten_in_the_journal_decides_nothing(job: Job) -> None:
    """Who may decide is looked up when it is asked, in the job as it is then."""
    present = Guests(job, KEY)
    anna = present.pair("Anna", SECRET)
    job.note("phone_paired", {**anna.model_dump(), "name": "Eve"})
    assert present.guest(anna.phone) is None


def test_facts_of_a_pairing_of_format_1_are_read() -> None:
    """It has no identity and no seal, and is named as it was then."""
    old = PhonePaired(name="Anna", secret_sha256=SECRET)
    assert (old.who, old.key, old.seal) == ("Anna", "name Anna", "")


# This computer's own key


def test_key_is_made_once_in_the_users_folder_for_the_user_alone() -> None:
    """Random, 32 bytes, mode 0600, the same at the next start."""
    folder = platformdirs.user_data_path("calllog", appauthor=False)
    shutil.rmtree(folder, ignore_errors=True)
    key = computer_key()
    assert len(key) == BYTES
    assert key == computer_key()
    assert stat.S_IMODE((folder / NAME).stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert [each.name for each in folder.iterdir()] == [NAME]
    shutil.rmtree(folder)
    assert computer_key() != key


def test_of_two_programs_that_begin_at_once_both_have_the_same_key(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The key that was there first stays."""
    link = os.link

    def late(*args: object, **options: object) -> None:
        monkeypatch.setattr(os, "link", link)
        first.append(computer_key(tmp_path / "kept"))
        link(*args, **options)  # type: ignore[arg-type]

    first: list[bytes] = []
    monkeypatch.setattr(os, "link", late)
    assert computer_key(tmp_path / "kept") == first[0]


def _linked(path: Path) -> None:
    other = path.parent.parent / "other"
    other.write_bytes(bytes(BYTES))
    other.chmod(0o600)
    path.symlink_to(other)


def _linked_hard(path: Path) -> None:
    other = path.parent.parent / "other"
    other.write_bytes(bytes(BYTES))
    other.chmod(0o600)
    path.hardlink_to(other)


def _readable(path: Path) -> None:
    path.write_bytes(bytes(BYTES))
    path.chmod(0o640)


def _short(path: Path) -> None:
    path.write_bytes(b"x")
    path.chmod(0o600)


def _pipe(path: Path) -> None:
    os.mkfifo(path, 0o600)


def _folder(path: Path) -> None:
    path.mkdir()


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (_linked, "cannot be kept"),
        (_linked_hard, "it is no plain file"),
        (_readable, "others may read it"),
        (_short, "it has not the 32 bytes of a key"),
        (_pipe, "it is no plain file"),
        (_folder, "it is no plain file"),
    ],
)
def test_key_that_others_may_know_is_refused(
    tmp_path: Path, spoil: Callable[[Path], None], message: str
) -> None:
    """The error names the file and the way out; no link is followed, no pipe waited for."""
    folder = tmp_path / "kept"
    folder.mkdir(0o700)
    spoil(folder / NAME)
    with pytest.raises(ConfigError, match=f"{NAME}: the key of this computer .*{message}"):
        computer_key(folder)


def test_key_of_another_user_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who owns the file knows what is in it."""
    computer_key(tmp_path)
    monkeypatch.setattr(os, "geteuid", lambda: os.getuid() + 1)
    with pytest.raises(ConfigError, match="others may write there"):
        computer_key(tmp_path)


@pytest.mark.parametrize("mode", [0o770, 0o707])
def test_folder_that_others_may_write_is_refused(tmp_path: Path, mode: int) -> None:
    """They could put a key of theirs in its place."""
    folder = tmp_path / "kept"
    folder.mkdir()
    folder.chmod(mode)
    with pytest.raises(ConfigError, match="others may write there; make the folder your own"):
        computer_key(folder)


def test_folder_that_is_a_link_or_cannot_be_is_refused(tmp_path: Path) -> None:
    """A plain error before the crew starts."""
    (tmp_path / "real").mkdir(0o700)
    (tmp_path / "kept").symlink_to(tmp_path / "real")
    with pytest.raises(ConfigError, match="cannot be kept"):
        computer_key(tmp_path / "kept")
    (tmp_path / "file").write_text("")
    with pytest.raises(ConfigError, match="cannot be kept"):
        computer_key(tmp_path / "file" / "kept")
