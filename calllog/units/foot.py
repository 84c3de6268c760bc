"""The two feet, and which one is in use; pure."""

from enum import StrEnum
from fractions import Fraction


class Foot(StrEnum):
    """Which foot a length, a tape or a job is in.

    0.3048 m exactly, or 1200/3937 m; NIST and NGS, Federal Register vol. 85 no. 193, 5 Oct 2020,
    by which the US survey foot ended on 31 December 2022. Older records are in it.
    """

    INTERNATIONAL = "international"
    US_SURVEY = "us-survey"

    @property
    def metres(self) -> Fraction:
        """Its length, exact [m]."""
        return Fraction(3048, 10_000) if self is Foot.INTERNATIONAL else Fraction(1200, 3937)

    @property
    def words(self) -> str:
        """Its name as it is printed."""
        return "international foot" if self is Foot.INTERNATIONAL else "US survey foot"
