"""What becomes of segments together: their running totals along each line; pure."""

from calllog.lines.totals import build_corrected, running_totals

__all__ = ["build_corrected", "running_totals"]
