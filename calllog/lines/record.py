"""A measured line beside what a record says of it; pure. It decides nothing about boundaries."""

from dataclasses import dataclass
from fractions import Fraction

from calllog.errors import ConfigError
from calllog.units import Foot, Length


@dataclass(frozen=True, slots=True)
class RecordComparison:
    """Record and measured side by side, exact, in the foot of the measured line."""

    record: Length
    measured: Length
    foot: Foot

    @property
    def record_ft(self) -> Fraction:
        """The record in the measured line's foot."""
        return self.record.feet(self.foot)

    @property
    def measured_ft(self) -> Fraction:
        """The measured horizontal length."""
        return self.measured.feet(self.foot)

    @property
    def difference_ft(self) -> Fraction:
        """Measured less record."""
        return self.measured_ft - self.record_ft

    @property
    def index(self) -> Fraction:
        """Measured over record: the index factor, for information only."""
        return self.measured.size / self.record.size


def compare_record(record: Length, measured_ft: float, foot: Foot) -> RecordComparison:
    """Set a record length beside a measured one.

    Args:
        record: as the record states it, in its own unit and foot.
        measured_ft: the horizontal length measured [ft].
        foot: the foot of the measured line.

    Raises:
        ConfigError: the record is no length of a line.

    Example:
        >>> from calllog.units import parse_length
        >>> found = compare_record(parse_length("12 ch 45 lk"), 821.55, Foot.INTERNATIONAL)
        >>> float(round(found.difference_ft, 4)), float(round(found.index, 6))
        (-0.15, 0.999817)
    """
    if record.size <= 0:
        raise ConfigError(
            "a record of a line is a length above 0", next_step="state it, such as 12 ch 45 lk"
        )
    measured = Length(Fraction(measured_ft) * foot.metres, foot)
    return RecordComparison(record, measured, foot)
