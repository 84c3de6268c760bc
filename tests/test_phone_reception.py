"""Who gets in: one code a phone, everything journalled, the logger's keys, and the invitation."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from calllog.journal import Journal
from calllog.phone.guests import Guests
from calllog.phone.invitation import rows
from calllog.phone.reception import Reception
from calllog.server.messages import Admission, Admitted, Knock, Left, Spent, ToPage
from calllog.session import Job, PhonePaired, replay
from calllog.values import message
from tests.fieldjob import settings
from tests.phone import code_of
from tests.tapes import certificate

ORIGIN = "http://127.0.0.1:8421"
SECRET = "0" * 64


@dataclass(eq=False)
class Door:
    """The reception of a job, and what it tells the page."""

    job: Job
    can_ask: bool = True
    now_s: float = 100.0
    told: list[ToPage] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Open it."""
        self.guests = Guests(self.job, bytes(32), can_ask=self.can_ask)
        self.reception = Reception(
            self.job, self.guests, ORIGIN, self.told.append, lambda: self.now_s
        )

    @property
    def code(self) -> str:
        """The code on the logger's screen."""
        return code_of(self.reception.words())

    def knock(self, number: int = 1, name: str = "Anna", code: str = "") -> None:
        """Give a code, the one that counts unless another is said."""
        given = Knock(number=number, code=code or self.code, name=name, secret_sha256=SECRET)
        self.reception.take(given)

    def phone(self, name: str) -> PhonePaired:
        """Give a phone that is inside."""
        (found,) = (each for each in self.guests.inside if each.name == name)
        return found

    def entries(self, kind: str) -> list[object]:
        """Read the entries of a kind that are on disk."""
        with Journal.open(self.job.folder, read_only=True) as journal:
            return [each.content for each in journal.entries(kind)]


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """Begin a job."""
    tape = certificate(identity="T-1")
    with Job.open(tmp_path / "job") as opened:
        opened.begin_line(settings("A", "B", tape=tape.identity), tape)
        yield opened


@pytest.fixture
def door(job: Job) -> Door:
    """Open its reception."""
    return Door(job)


def test_phones_are_journalled_and_remembered(door: Door, job: Job) -> None:
    """Pairing and revoking are entries; each pairing makes a new code; a resumed job knows both."""
    code = door.code
    door.knock(1, "Anna")
    assert door.code != code
    door.knock(2, "Bo")
    anna, bo = door.phone("Anna"), door.phone("Bo")
    assert f"paired: {anna.who}, {bo.who}" in door.reception.words()
    door.reception.take(Left(phone=bo.phone))
    door.reception.take(Left(phone=bo.phone))
    paired = [(e["name"], e["phone"], e["secret_sha256"]) for e in door.entries("phone_paired")]  # type: ignore[index]
    assert paired == [("Anna", anna.phone, SECRET), ("Bo", bo.phone, SECRET)]
    revoked = {"name": "Bo", "phone": bo.phone, "by": bo.phone}
    assert door.entries("phone_revoked") == [revoked]
    with Journal.open(job.folder, read_only=True) as journal:
        assert replay(journal.entries()).phones == job.replay.phones
    assert list(job.replay.phones) == [anna.phone]
    assert door.reception.news() == [
        message("device-phone-paired", name=anna.who),
        message("device-phone-paired", name=bo.who),
        message("device-phone-revoked", name=bo.who),
    ]
    assert door.reception.news() == []


def test_phone_is_journalled_before_the_page_hears_of_it(door: Door) -> None:
    """The code changes for all first, then who knocked is answered by what it is known by."""
    door.knock(7)
    anna = door.phone("Anna")
    entry, admitted = door.told
    assert isinstance(entry, Admission)
    assert (entry.code, entry.phones[anna.phone].name) == (door.code, "Anna")
    assert admitted == Admitted(7, anna.phone)


@pytest.mark.parametrize(("is_old", "name"), [(True, "Bo"), (False, "Anna"), (False, "ANNA")])
def test_knock_that_comes_too_late_is_not_admitted(door: Door, *, is_old: bool, name: str) -> None:
    """One code lets one phone in, and no name is given twice, whatever the page knew by then."""
    first = door.code
    door.knock(1)
    door.knock(2, name, first if is_old else "")
    assert door.told[-1] == Admitted(2, "")
    assert len(door.entries("phone_paired")) == 1


def test_phones_of_the_sitting_before_are_let_in_by_a_key(job: Job) -> None:
    """They are named on the screen; no key, no entrance; their orders count from then on."""
    before = Door(job)
    before.knock(1, "Anna")
    before.knock(2, "Bo")
    assert not before.reception.press("y"), "nobody waits, so the key is not for the phones"
    assert "y lets" not in before.reception.words()
    anna, bo = before.phone("Anna"), before.phone("Bo")
    door = Door(job)
    reception = door.reception
    assert "paired: none yet" in reception.words()
    assert f"paired before: {anna.who}, {bo.who} - y lets them in" in reception.words()
    assert not any(each.is_in for each in reception.entry.phones.values())
    assert door.guests.guest(anna.phone) is None
    reception.press("p")
    told = f"p: back; y: let in {anna.who}, {bo.who}; A: revoke {anna.who}; B: revoke {bo.who}"
    assert reception.invitation[1] == told
    assert reception.press("B")
    assert reception.press("y")
    assert door.guests.guest(anna.phone) == anna
    assert door.guests.guest(bo.phone) is None
    assert f"paired: {anna.who}" in reception.words()
    assert "before" not in reception.words()
    assert not reception.press("y")
    assert door.told[-1] == reception.entry
    assert [each.is_in for each in reception.entry.phones.values()] == [True]
    assert reception.news() == [
        message("device-phone-revoked", name=bo.who),
        message("device-phone-let-in", name=anna.who),
    ]
    assert door.entries("phone_let_in") == [{"name": "Anna", "phone": anna.phone}]


def test_pairing_in_a_strangers_job_lets_nobody_in(job: Job) -> None:
    """It was planted: its phone is not known, not asked about, and the screen says so."""
    job.note("phone_paired", {"name": "Eve", "secret_sha256": SECRET})
    job.note("phone_paired", {"name": "Eva", "phone": "k7f3", "secret_sha256": SECRET})
    door = Door(job)
    assert door.reception.entry.phones == {}
    assert not door.reception.press("y")
    assert door.guests.guest("k7f3") is None
    assert door.reception.news() == [message("device-phones-strange", count=2)]
    assert "Ev" not in door.reception.words()


def test_without_a_keyboard_phones_pair_again(job: Job) -> None:
    """Nobody could say yes: who was paired before is not waited for, and may have the name anew."""
    Door(job).knock(1)
    door = Door(job, can_ask=False)
    assert door.reception.entry.phones == {}
    assert door.reception.news() == [message("device-phones-strange", count=1)]
    door.knock(1)
    assert door.phone("Anna")
    assert len({each["phone"] for each in door.entries("phone_paired")}) == 2  # type: ignore[index]


def test_guessed_code_is_replaced_and_told(door: Door) -> None:
    """The crew learns that somebody tries; the journal keeps it."""
    code = door.code
    door.reception.take(Spent())
    assert door.code != code
    assert door.told == [door.reception.entry]
    assert door.reception.news() == [message("device-page-code-guessed")]
    assert door.entries("phone_codes_guessed") == [{}]


def test_invitation_is_shown_by_key_and_revokes_by_letter(door: Door, job: Job) -> None:
    """Key p shows the code to photograph; a phone's letter ends its session, only meanwhile."""
    reception = door.reception
    door.knock(1)
    anna = door.phone("Anna")
    assert not reception.invitation
    assert not reception.press("A")
    assert not reception.press("1")
    assert reception.press("p")
    assert door.code[:4] in reception.invitation[0]
    assert f"A: revoke {anna.who}" in reception.invitation[1]
    assert not reception.press("B")
    assert reception.press("A")
    assert job.replay.phones == {}
    assert door.told[-1] == reception.entry
    by_logger = {"name": "Anna", "phone": anna.phone, "by": "logger"}
    assert door.entries("phone_revoked") == [by_logger]
    assert "Anna" not in reception.invitation[1]
    assert reception.press("p")
    assert not reception.invitation


def test_invitation_goes_by_itself_and_when_somebody_has_followed_it(door: Door) -> None:
    """A key pressed by mistake does not hide the panel for long."""
    door.reception.press("p")
    assert door.reception.invitation
    door.now_s += 61
    assert not door.reception.invitation
    assert door.reception.press("p")
    assert door.reception.invitation
    door.knock(1)
    assert not door.reception.invitation


def test_invitation_fits_a_terminal() -> None:
    """The code to be photographed has room in 80 columns and 24 rows, with its words above."""
    drawn = rows("http://192.168.100.100:8421/#12345678", "http://x", "1234 5678", ("Anna",))
    assert drawn[0] == "http://x  code 1234 5678"
    assert drawn[1] == "p: back; A: revoke Anna"
    assert len(drawn) <= 24
    assert {len(row) for row in drawn[2:]} == {len(drawn[2])}
    assert set("".join(drawn[2:])) == set(" ▀▄█")
