"""A made-up day of a taping crew: recordings, certificates and what was said."""

from calllog.demo.day import Day, load_day

__all__ = ["Day", "DayLine", "load_day"]
