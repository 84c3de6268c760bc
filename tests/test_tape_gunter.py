"""Gunter's chain: tags, links and lengths. Tags: common practice, no published source."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calllog.errors import ConfigError
from calllog.tape import chain_length, from_other_end, links_read, tag_at
from calllog.units import Foot, parse_length


@pytest.mark.parametrize("foot", list(Foot))
def test_chains_and_links_are_feet(foot: Foot) -> None:
    """12 chains and 45 links are 821.70 ft of the foot of the chain; 80 chains are a mile.

    BLM, Manual of Surveying Instructions (1973), sec. 2-1: read.
    """
    assert chain_length(12, 45, foot).feet(foot) == Fraction("821.70")
    assert chain_length(12, 45, foot) == parse_length("12 ch 45 lk", foot)
    assert chain_length(80, 0, foot) == parse_length("1 mi", foot)
    assert chain_length(0, Fraction("0.1"), foot).feet(foot) == Fraction("0.066")


def test_tags_count_from_both_ends() -> None:
    """One to four teeth from either end, round at the middle."""
    assert [tag_at(link) for link in range(10, 100, 10)] == [1, 2, 3, 4, 5, 4, 3, 2, 1]


def test_every_link_is_read_from_its_tag() -> None:
    """The last tag before the mark and the links beyond give the mark, all along the chain."""
    for link in range(100):
        tag, beyond = link // 10 * 10, link % 10
        teeth = tag_at(tag) if tag else 0
        assert links_read(teeth, beyond, is_past_middle=tag > 50) == link


def test_tag_read_from_the_wrong_end_gives_the_complement() -> None:
    """At a tag, the blunder and the truth make a hundred; beyond it both count on from there."""
    for teeth in range(1, 5):
        wrong = links_read(teeth, 0, is_past_middle=True)
        assert wrong == from_other_end(links_read(teeth, 0, is_past_middle=False))
    assert links_read(4, 5, is_past_middle=True) - links_read(4, 5, is_past_middle=False) == 20
    assert from_other_end(50) == 50
    assert from_other_end(Fraction("45.3")) == Fraction("54.7")


@pytest.mark.parametrize("link", [-10, 0, 5, 45, 100, 110])
def test_no_tag_elsewhere(link: int) -> None:
    """Tags hang at every tenth link between the handles."""
    with pytest.raises(ConfigError, match=f"no tag hangs at link {link}"):
        tag_at(link)


@pytest.mark.parametrize(
    ("teeth", "beyond", "is_past_middle", "message"),
    [
        (6, 0, False, "no tag of 6 teeth hangs up to the middle"),
        (-1, 0, False, "no tag of -1 teeth"),
        (5, 0, True, "no tag of 5 teeth hangs past the middle"),
        (0, 0, True, "no tag of 0 teeth hangs past the middle"),
        (4, 10, False, "10 links beyond a tag"),
        (4, -1, False, "-1 links beyond a tag"),
    ],
)
def test_readings_that_no_chain_shows(
    teeth: int,
    beyond: int,
    is_past_middle: bool,  # noqa: FBT001
    message: str,
) -> None:
    """A tag that is not there, or links that reach the next one."""
    with pytest.raises(ConfigError, match=message):
        links_read(teeth, beyond, is_past_middle=is_past_middle)


def test_lengths_that_no_chain_shows() -> None:
    """Links beyond the chain, and fewer than no chains."""
    with pytest.raises(ConfigError, match="101 links are not on one chain"):
        chain_length(1, 101, Foot.US_SURVEY)
    with pytest.raises(ConfigError, match="-1 chains are no count"):
        chain_length(-1, 0, Foot.US_SURVEY)
    with pytest.raises(ConfigError, match="-1 links are not on one chain"):
        from_other_end(-1)
