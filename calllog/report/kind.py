"""Report: which way a length lies and what the policy records, in words; no files touched."""

from collections.abc import Iterable

from calllog.values import BookPolicy, DistanceKind
from calllog.wording import ENGLISH, Words

WORDS = {DistanceKind.HORIZONTAL: "horizontal", DistanceKind.SLOPE: "slope distance"}
SLOPE_MARK = "sl"
SLOPE_LEGEND = f"{SLOPE_MARK} = slope distance, not horizontal: its rise is not known"


def marked(figure: str, kind: DistanceKind | None) -> str:
    """Put the mark of a slope distance after a figure that is one.

    Example:
        >>> marked("33.87", DistanceKind.SLOPE), marked("33.87", DistanceKind.HORIZONTAL)
        ('33.87 sl', '33.87')
    """
    return f"{figure} {SLOPE_MARK}" if kind is DistanceKind.SLOPE else figure


def kind_words(kind: DistanceKind | None) -> str:
    """Name a length by the way it lies; ``length`` where a file does not say."""
    return "length" if kind is None else WORDS[kind]


def policy_words(policies: Iterable[BookPolicy], words: Words = ENGLISH) -> str:
    """Say what is recorded when first and check agree; lines of a job may have several policies.

    Example:
        >>> policy_words([BookPolicy.MEAN])
        'where first and check agree, their mean is recorded'
    """
    told = (words("page-book-policy", policy=each.value) for each in dict.fromkeys(policies))
    return f"where first and check agree, {' or '.join(told)}"
