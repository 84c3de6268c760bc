"""Which edition of the joint decoding a new line begins with; pure."""

from collections.abc import Iterable

from calllog.decoding.evidence import NEWEST
from calllog.values import CheckPolicy, ReadingUnit

FITTED_LISTENER, FITTED_LANGUAGE = "encoder", "en"
"""What heard the crews that the joint decoding was fitted to, and what they spoke."""


def is_fitted(listener: str, languages: Iterable[str]) -> bool:
    """Tell whether the joint decoding was fitted to a listener, in all languages of the crew."""
    spoken = {each.partition("-")[0] for each in languages}
    return listener == FITTED_LISTENER and spoken == {FITTED_LANGUAGE}


def edition_of_new_line(
    check: CheckPolicy,
    unit: ReadingUnit,
    *,
    is_wanted: bool | None,
    is_measured: bool,
    is_live: bool,
) -> int:
    """Choose the edition of the joint decoding; 0 takes each call as it was heard best.

    Left open, it decides where it was measured to book less wrong without asking more: by the
    listener that it was fitted to, with a check of each pull, and a crew that can answer.

    Args:
        check: when the crew checks a pull.
        unit: what the tapes are graduated in; calls of a finer one are not weighed.
        is_wanted: what the crew said; None where it said nothing.
        is_measured: the joint decoding was fitted to what hears.
        is_live: the crew can answer.
    """
    if is_wanted is None:
        is_wanted = is_measured and check is CheckPolicy.REQUIRED and is_live
    return NEWEST if is_wanted and not unit.is_fine else 0
