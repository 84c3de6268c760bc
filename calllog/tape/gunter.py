"""Chains, tags and links of Gunter's chain in, links and exact lengths out; pure.

66 ft in 100 links: BLM, Manual of Surveying Instructions (1973), sec. 2-1. A tag hangs at every
tenth link, with 1 to 4 teeth for 10 to 40 links from the nearer end, and is round at the middle:
common practice, no published source.
"""

from __future__ import annotations

from fractions import Fraction

from calllog.errors import ConfigError
from calllog.units import Foot, Length, find_unit

LINKS = 100
"""Links in a chain."""
TAG_LINKS = 10
"""Links between two tags."""
ROUND_TAG = 5
"""The tag at the middle, counted as if it had five teeth."""


def tag_at(link: int) -> int:
    """Say which tag hangs at a link.

    Args:
        link: 10, 20 ... 90, counted from either end [links].

    Returns:
        Its teeth, 1 to 4, or 5 for the round tag at the middle.

    Raises:
        ConfigError: no tag hangs there.

    Example:
        >>> tag_at(60)
        4
    """
    if link % TAG_LINKS or not 0 < link < LINKS:
        raise ConfigError(
            f"no tag hangs at link {link}", next_step="tags hang at 10, 20 and so on to 90"
        )
    return min(link, LINKS - link) // TAG_LINKS


def links_read(teeth: int, beyond: Fraction | int, *, is_past_middle: bool) -> Fraction:
    """Read the links of a part chain from its last tag and the links counted beyond that.

    ``10 teeth + beyond`` up to the middle, ``100 - 10 teeth + beyond`` past it, since teeth count
    from the nearer end. Common practice, no published source.

    Args:
        teeth: of the last tag before the mark: 1 to 4, 5 for the round one, 0 for the handle.
        beyond: from there on to the mark, at least 0 and less than 10 [links].
        is_past_middle: whether that tag lies beyond the round one.

    Returns:
        The links from the end that is held at zero, exact.

    Raises:
        ConfigError: there is no such tag on that half, or the next tag is nearer to the start.

    Example:
        >>> links_read(4, 5, is_past_middle=False), links_read(4, 5, is_past_middle=True)
        (Fraction(45, 1), Fraction(65, 1))
    """
    if not (1 <= teeth < ROUND_TAG if is_past_middle else 0 <= teeth <= ROUND_TAG):
        half = "past the middle" if is_past_middle else "up to the middle"
        raise ConfigError(
            f"no tag of {teeth} teeth hangs {half}",
            next_step="count its teeth again: 1 to 4, 5 for the round tag at the middle",
        )
    if not 0 <= beyond < TAG_LINKS:
        raise ConfigError(
            f"{beyond} links beyond a tag", next_step="count from the last tag before the mark"
        )
    tag = LINKS - TAG_LINKS * teeth if is_past_middle else TAG_LINKS * teeth
    return Fraction(tag + beyond)


def from_other_end(links: Fraction | int) -> Fraction:
    """Turn a count of links into what it is from the other end: the complement to 100.

    What a tag gives that was read from the wrong end; common practice, no published source.

    Raises:
        ConfigError: it is no count of links of one chain.

    Example:
        >>> from_other_end(45)
        Fraction(55, 1)
    """
    _refuse_off_the_chain(links)
    return Fraction(LINKS - links)


def chain_length(chains: int, links: Fraction | int, foot: Foot) -> Length:
    """Add whole chains and the links of a part chain.

    Args:
        chains: laid out whole, at least 0.
        links: of the part chain, 0 to 100 [links].
        foot: that the chain is made of.

    Returns:
        The length read, exact.

    Raises:
        ConfigError: fewer than no chains, or links that are not on one chain.

    Example:
        >>> float(chain_length(12, 45, Foot.US_SURVEY).feet(Foot.US_SURVEY))
        821.7
    """
    if chains < 0:
        raise ConfigError(f"{chains} chains are no count", next_step="count the chains again")
    _refuse_off_the_chain(links)
    return Length((LINKS * chains + links) * find_unit("lk", foot).size, foot)


def _refuse_off_the_chain(links: Fraction | int) -> None:
    if not 0 <= links <= LINKS:
        raise ConfigError(
            f"{links} links are not on one chain", next_step="a chain has 100 links; count again"
        )
