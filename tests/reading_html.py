"""A page of HTML read as its reader gets it: tables by their captions, links, tags, words."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = frozenset({"meta", "link", "br", "col", "img", "input", "hr"})


@dataclass
class Cell:
    """One cell of a table."""

    is_head: bool
    scope: str
    text: str = ""
    struck: list[str] = field(default_factory=list)


@dataclass
class Table:
    """One table."""

    caption: str = ""
    rows: list[list[Cell]] = field(default_factory=list)

    @property
    def body(self) -> list[list[str]]:
        """Texts of the rows that have a cell which is no head."""
        return [
            [cell.text.strip() for cell in row]
            for row in self.rows
            if any(not cell.is_head for cell in row)
        ]


class Reader(HTMLParser):
    """Reads a page; an end tag that closes nothing is an error."""

    def __init__(self, html: str) -> None:
        """Read."""
        super().__init__()
        self.tables: list[Table] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.text = ""
        self.struck: list[str] = []
        self._open: list[str] = []
        self.feed(html)
        self.close()
        assert not self._open, self._open

    def table(self, caption: str) -> Table:
        """Find a table by the beginning of its caption."""
        (found,) = [each for each in self.tables if each.caption.strip().startswith(caption)]
        return found

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Open a tag."""
        given = {name: value or "" for name, value in attrs}
        self.tags.append((tag, given))
        if tag not in VOID:
            self._open.append(tag)
        if tag == "table":
            self.tables.append(Table())
        elif tag == "tr":
            self.tables[-1].rows.append([])
        elif tag in ("td", "th"):
            self.tables[-1].rows[-1].append(Cell(tag == "th", given.get("scope", "")))
        elif tag == "s":
            self.struck.append("")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag that holds nothing, as drawings have them."""
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        """Close a tag."""
        assert self._open.pop() == tag, tag

    def handle_data(self, data: str) -> None:
        """Take words in."""
        if "style" in self._open:
            return
        self.text += data
        if "s" in self._open:
            self.struck[-1] += data
        if "caption" in self._open:
            self.tables[-1].caption += data
        elif "table" in self._open and ("td" in self._open or "th" in self._open):
            self.tables[-1].rows[-1][-1].text += data
