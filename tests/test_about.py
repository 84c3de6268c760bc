"""Facts of a job: what a file may state, what is refused and where, and how amendments add up."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from calllog.about import (
    MOST_LISTED,
    MOST_NAME,
    MOST_WORDS,
    About,
    Amendment,
    Instrument,
    Member,
    amending,
    changes,
    holders,
    load_about,
    state,
)
from calllog.errors import ConfigError
from calllog.values import Holders

FULL = """
client = "The Millrace estate"
project = "West  meadow"
weather = "overcast,\\n41 F"
by = "R. Field"

[crew]
rear = "T. Fenn"
Head = "J. Marsh"
recorder = "P. Reed"
chief = "R. Field"

[instruments]
thermometer = "no. 7, certificate 31-2"
balance = "no. 3"
"""
# Unicode Standard Annex 9, "Unicode Bidirectional Algorithm", section 2: the explicit formatting
# characters LRE RLE PDF LRO RLO, LRI RLI FSI PDI and the implicit marks LRM RLM ALM.
TURNING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c"
texts = st.text(string.ascii_letters + " .", min_size=0, max_size=8).map(str.strip)
names = st.sampled_from(["head", "rear", "chief", "recorder", "brush"])
facts = st.builds(
    About,
    client=texts,
    project=texts,
    weather=texts,
    crew=st.dictionaries(names, texts.filter(bool)).map(
        lambda crew: tuple(Member(role=role, name=name) for role, name in crew.items())
    ),
    instruments=st.dictionaries(names, texts.filter(bool)).map(
        lambda used: tuple(Instrument(kind=kind, words=words) for kind, words in used.items())
    ),
)


def test_a_file_states_all_there_is() -> None:
    """Each entry is taken, roles that are known come first, blanks are single."""
    stated = load_about(FULL, "about.toml")
    found = About().amended(stated.amendment, stated.whole)
    assert (found.client, found.project) == ("The Millrace estate", "West meadow")
    assert found.weather == "overcast, 41 F"
    assert [(each.role, each.name) for each in found.crew] == [
        ("head", "J. Marsh"),
        ("rear", "T. Fenn"),
        ("chief", "R. Field"),
        ("recorder", "P. Reed"),
    ]
    assert [one.kind for one in found.instruments] == ["thermometer", "balance"]
    assert stated.amendment.by == "R. Field"


def test_a_table_of_a_file_counts_as_a_whole_and_an_option_alone() -> None:
    """Yesterday's recorder is not in today's crew; who only changes the rear keeps the others."""
    stated = load_about(FULL, "about.toml")
    before = About().amended(stated.amendment, stated.whole)
    stated = load_about('[crew]\nhead = "T. Fenn"\nrear = "J. Marsh"', "about.toml")
    after = before.amended(stated.amendment, stated.whole)
    assert [each.role for each in after.crew] == ["head", "rear"]
    assert (after.client, after.instruments) == (before.client, before.instruments)
    stated = state({"crew": {"rear": "P. Reed", "chief": ""}}, "--rear", is_whole=False)
    after = before.amended(stated.amendment, stated.whole)
    assert [(each.role, each.name) for each in after.crew] == [
        ("head", "J. Marsh"),
        ("rear", "P. Reed"),
        ("recorder", "P. Reed"),
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('client = "a"\nproject = x', r"not valid TOML: .*line 2, column 11.*; fix that line"),
        ("a = [" * 5_000, "line 1 goes deeper than 12 keys or brackets"),
        ("client = 3", "client: 3 is no text; write it in quotation marks"),
        ("weather = 2031-05-04", r"weather: datetime\.date"),
        ('clinet = "a"', "clinet: there is no such entry; is client meant?"),
        ('xyzzy = "a"', "xyzzy: there is no such entry; there are client, project"),
        ('crew = "J. Marsh"', r"crew: 'J\. Marsh' is no table; write \[crew\]"),
        ("[crew]\nhead = 1", r"crew\.head: 1 is no text"),
        ('[crew]\nhead = "a"\nHEAD = "b"', r"crew\.head: it is named twice"),
        ('[crew]\n"" = "a"', "crew: one has no name"),
        ('[instruments]\nbalance = ["a"]', r"instruments\.balance: \['a'\] is no text"),
        (f'[crew]\nhead = "{"x" * (MOST_NAME + 1)}"', r"crew\.head: 81 characters; at most 80"),
        (f'client = "{"x" * (MOST_WORDS + 1)}"', "client: 301 characters; at most 300"),
        (f'[crew]\n{"y" * (MOST_NAME + 1)} = "a"', "81 characters; at most 80"),
        ('client = "a\\u0007b"', r"client: it has a character that cannot be seen \(U\+0007\)"),
    ],
)
def test_what_cannot_be_used_is_named_with_its_place(text: str, message: str) -> None:
    """The file, the entry, what is wrong with it and what to do."""
    with pytest.raises(ConfigError, match=message) as caught:
        load_about(text, "the.toml")
    assert caught.value.where == "the.toml"


def test_all_problems_are_listed_at_once() -> None:
    """A file with three faults is mended once."""
    with pytest.raises(ConfigError, match="3 of the facts") as caught:
        load_about("client = 1\nx = 2\n[crew]\nhead = 3", "the.toml")
    assert caught.value.next_step.count("\n- ") == 3
    crowd = {"crew": {f"chainman {number}": "x" for number in range(MOST_LISTED + 1)}}
    with pytest.raises(ConfigError, match="21 are named; at most 20"):
        state(crowd, "the.toml")


@pytest.mark.parametrize("sign", [*TURNING, "\0", "\x1b", "\u200b", "\ufeff", "\ud800", "\ue000"])
def test_signs_that_turn_or_hide_writing_are_refused(sign: str) -> None:
    """No name shows as another: neither in a file, nor as an option, nor in a journal."""
    for data in ({"client": f"a{sign}b"}, {"crew": {"head": f"a{sign}b"}}):
        with pytest.raises(ConfigError, match="cannot be seen"):
            state(data, "--head")
    with pytest.raises(ConfigError, match="cannot be seen"):
        state({"crew": {f"a{sign}b": "J. Marsh"}}, "--crew")
    with pytest.raises(ValidationError, match=r"cannot be seen|string"):
        Amendment(client=f"a{sign}b")


@given(old=facts, new=facts)
def test_amendment_of_the_changes_leads_from_one_state_to_the_other(old: About, new: About) -> None:
    """Only what has changed is stated, and it is enough."""
    found = changes(old, new)
    after = old.amended(amending(found))
    assert changes(after, new) == ()
    assert set(changes(old, after)) == set(found)
    assert not any(each.old == each.new for each in found)
    assert bool(found) == (after != old.amended(Amendment()))


def test_ends_are_turned_round_for_the_check() -> None:
    """Who held the head in the take holds the rear in the check; the chief holds neither."""
    stated = load_about(FULL, "about.toml")
    about = About().amended(stated.amendment)
    assert holders(about, is_checked=True) == Holders(
        take_head="J. Marsh", take_rear="T. Fenn", check_head="T. Fenn", check_rear="J. Marsh"
    )
    assert holders(about, is_checked=False) == Holders(take_head="J. Marsh", take_rear="T. Fenn")
    assert holders(About(), is_checked=True) == Holders()


def test_keys_without_end_cost_nothing() -> None:
    """As in a certificate: the parser takes the square of their parts."""
    with pytest.raises(ConfigError, match="goes deeper than 12 keys"):
        load_about("a." * 10_000 + "b = 1", "the.toml")
    with pytest.raises(ConfigError, match="more than the"):
        load_about(f'client = "{"x" * 50_000}"', "the.toml")
