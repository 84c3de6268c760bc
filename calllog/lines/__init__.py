"""What becomes of segments together: their running totals along each line; pure."""

from calllog.lines.totals import build_corrected

__all__ = ["build_corrected"]
