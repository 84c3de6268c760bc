"""The door: a code lets one phone in, guesses are counted, a secret is never kept."""

from __future__ import annotations

import pytest

from calllog.server.door import GUESSES, PAUSE_S, SPENT, Door, Entrance, secret_sha256, token_of
from calllog.server.messages import Guest

CODE = "12345678"


@pytest.fixture
def door() -> Door:
    """Make a door with a code."""
    made = Door()
    made.renew(CODE, {})
    return made


def test_code_lets_one_phone_in(door: Door) -> None:
    """The right code, with the blank that the screen shows, works once."""
    assert door.try_code("1234 5678", "Anna", "a", 0.0) is Entrance.OPEN
    assert door.try_code(CODE, "Bo", "b", 0.0) is Entrance.WRONG
    door.renew("87654321", {"k7f3": Guest("Anna", "x")})
    assert door.try_code("87654321", "Bo", "b", 0.0) is Entrance.OPEN


def test_no_code_lets_nobody_in() -> None:
    """Before the logger has told its code, an empty one is wrong too."""
    assert Door().try_code("", "Anna", "a", 0.0) is Entrance.WRONG


def test_guesses_of_one_address_are_few(door: Door) -> None:
    """After five wrong codes even the right one must wait; another address need not."""
    for second in range(GUESSES):
        assert door.try_code("0", "Anna", "a", second) is Entrance.WRONG
    assert door.try_code(CODE, "Anna", "a", PAUSE_S - 1) is Entrance.WAIT
    assert door.try_code(CODE, "Bo", "b", PAUSE_S - 1) is Entrance.OPEN


def test_waiting_lets_guess_again(door: Door) -> None:
    """A minute after the first wrong code its address may try again."""
    for _ in range(GUESSES):
        door.try_code("0", "Anna", "a", 0.0)
    assert door.try_code(CODE, "Anna", "a", PAUSE_S + 1) is Entrance.OPEN


def test_code_guessed_at_from_everywhere_is_replaced(door: Door) -> None:
    """Twenty wrong codes end the code itself, whoever tried; the next counts after a minute."""
    found = [door.try_code("0", "X", str(address), 0.0) for address in range(SPENT)]
    assert found == [*[Entrance.WRONG] * (SPENT - 1), Entrance.SPENT]
    assert door.try_code(CODE, "Anna", "late", 0.0) is not Entrance.OPEN
    door.renew("87654321", {})
    assert door.try_code("87654321", "Anna", "later", PAUSE_S - 1) is Entrance.WAIT
    assert door.try_code("87654321", "Anna", "later", PAUSE_S + 1) is Entrance.OPEN


def test_addresses_without_end_guess_no_faster(door: Door) -> None:
    """Twenty codes a minute in all: who has thousands of addresses gets no further."""
    tried, now_s = 0, 0.0
    while now_s < 600.0:
        found = door.try_code("0", "X", f"fe80::{tried}", now_s)
        tried += found is not Entrance.WAIT
        if found is Entrance.SPENT:
            door.renew(f"{tried:08}", {})
        now_s += 0.01
    assert tried <= SPENT * (600.0 / PAUSE_S + 1)


def test_nameless_knocks_are_not_remembered(door: Door) -> None:
    """Who knocks without a name from ever new addresses fills no memory."""
    for address in range(1_000):
        assert door.try_code(CODE, "", str(address), 0.0) is Entrance.NAMELESS
    assert not door.wrong


def test_same_code_told_again_keeps_its_guesses(door: Door) -> None:
    """Revoking a phone tells the code again; that is no fresh start for who guesses."""
    for address in range(SPENT - 1):
        door.try_code("0", "X", str(address), 0.0)
    door.renew(CODE, {})
    assert door.try_code("0", "X", "y", 0.0) is Entrance.SPENT


def test_many_addresses_are_not_remembered_for_ever(door: Door) -> None:
    """What is kept of strangers has an end."""
    for address in range(2000):
        door.try_code("0", "X", str(address), 0.0)
    assert len(door.wrong) <= 256


@pytest.mark.parametrize("name", ["", " ", "_", "x" * 21, "a\nb", "<b>", "a\u202eb", "../x", "A²"])
def test_name_must_be_plain(door: Door, name: str) -> None:
    """A name goes into the journal and onto screens: nothing odd, and the code is not lost."""
    assert door.try_code(CODE, name, "a", 0.0) is Entrance.NAMELESS
    assert door.try_code(CODE, "Zoë O'Hara-2 jr.", "a", 0.0) is Entrance.OPEN


@pytest.mark.parametrize("name", ["the logger", "Chief", "CREW 2", "policy", "C.H.l.E.F", "Ch1ef"])
def test_name_of_somebody_else_is_refused(door: Door, name: str) -> None:
    """No phone signs as the crew, the chief or the program do; the code is not lost."""
    assert door.try_code(CODE, name, "a", 0.0) is Entrance.RESERVED
    assert door.try_code(CODE, "Anna", "a", 0.0) is Entrance.OPEN


def test_name_is_not_taken_over(door: Door) -> None:
    """Nobody pairs in the name of a phone that is paired; the code still counts for another."""
    for is_in in (True, False):
        door.renew(CODE, {"k7f3": Guest("Anna", "x", is_in=is_in)})
        for like in ("Anna", "ANNA", "anna.", "An na", "Ánna", "\u0391\u039d\u039d\u0391"):
            assert door.try_code(CODE, like, "a", 0.0) is Entrance.TAKEN, like
    assert door.try_code(CODE, "Bo", "a", 0.0) is Entrance.OPEN


def test_names_in_use_are_told_to_nobody_without_the_code(door: Door) -> None:
    """Who guesses learns neither who is paired nor more guesses by it."""
    door.renew(CODE, {"k7f3": Guest("Anna", "x")})
    for _ in range(GUESSES):
        assert door.try_code("0", "Anna", "a", 0.0) is Entrance.WRONG
    assert door.try_code(CODE, "Anna", "a", 0.0) is Entrance.WAIT


def test_secret_is_known_by_its_hash_alone(door: Door) -> None:
    """A phone is known by its secret; the hash that is kept lets nobody in."""
    kept = secret_sha256("secret")
    door.renew(CODE, {"k7f3": Guest("Anna", kept)})
    assert door.knows("secret") == "k7f3"
    assert not door.awaits("secret")
    assert door.knows(kept) == ""
    assert door.knows("") == ""
    door.renew(CODE, {})
    assert door.knows("secret") == ""


def test_phone_that_waits_is_known_and_not_let_in(door: Door) -> None:
    """It was paired in an earlier sitting: its secret is right, and nobody has said yes yet."""
    door.renew(CODE, {"k7f3": Guest("Anna", secret_sha256("secret"), is_in=False)})
    assert door.knows("secret") == ""
    assert door.awaits("secret")
    assert not door.awaits("other")


def test_token_is_each_phones_own() -> None:
    """What the page proves itself with follows from the secret, and does not tell it."""
    assert token_of("a") == token_of("a") != token_of("b")
    assert token_of("a") != secret_sha256("a")
