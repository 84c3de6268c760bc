"""The field page: a job's summary and journal in, HTML, drawings and PDF out; shell."""

from calllog.page.signed import SetAgainst
from calllog.page.write import write_pages

__all__ = [
    "SetAgainst",
    "write_pages",
]
