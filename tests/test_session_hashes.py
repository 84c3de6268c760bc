"""Hashes of entries, kept packed, are those that came."""

from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.session.hashes import EntryHashes

SEQUENCES = st.sets(st.integers(1, 2**63), max_size=30)


def hash_of(sequence: int) -> str:
    """A hash of nothing in particular."""
    return sha256(str(sequence).encode()).hexdigest()


@given(SEQUENCES, SEQUENCES)
def test_each_entry_has_its_hash_and_others_none(there: set[int], asked: set[int]) -> None:
    """Some commands read only some kinds of entries, so there may be gaps."""
    kept = EntryHashes()
    for each in sorted(there):
        kept.add(each, hash_of(each))
    assert dict(kept) == {each: hash_of(each) for each in sorted(there)}
    assert kept.last == max(there, default=0)
    assert [kept.get(each) for each in asked] == [
        hash_of(each) if each in there else None for each in asked
    ]


@pytest.mark.parametrize(
    ("sequence", "text"),
    [
        (7, hash_of(7)),
        (6, hash_of(6)),
        (8, hash_of(8).upper()),
        (8, hash_of(8)[:-2]),
        (8, f"{hash_of(8)}00"),
        (8, ""),
    ],
)
def test_what_is_no_later_entry_or_no_hash_is_refused(sequence: int, text: str) -> None:
    """Nothing is put in another form than it came, and nothing takes another's place."""
    kept = EntryHashes()
    kept.add(7, hash_of(7))
    with pytest.raises(ValueError, match="is no hash of an entry after 7"):
        kept.add(sequence, text)
    assert dict(kept) == {7: hash_of(7)}
