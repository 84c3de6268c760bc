"""The field page: a job's summary and journal in, HTML, drawings and PDF out; shell."""

from calllog.page.content import Page, build_pages
from calllog.page.history import History, read_history
from calllog.page.paper import PAPERS, page_pdf
from calllog.page.render import page_html
from calllog.page.signed import DISTANCES, SUMMARY, SetAgainst
from calllog.page.write import PagesWritten, write_pages

__all__ = [
    "DISTANCES",
    "PAPERS",
    "SUMMARY",
    "History",
    "Page",
    "PagesWritten",
    "SetAgainst",
    "build_pages",
    "page_html",
    "page_pdf",
    "read_history",
    "write_pages",
]
