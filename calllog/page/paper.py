"""Page: a printed page's HTML in, a PDF out; shell.

What stands on paper is written once, by the templates that write it for the screen; here each of
its elements becomes a call of a function of ``paper.typ``, which says how it looks on paper. Words
go along as string literals alone, so that none is taken for markup.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from html.parser import HTMLParser
from importlib.resources import files
from importlib.util import find_spec
from typing import Any

from calllog.errors import ReportError

PDF_NEXT = "install it with: pip install 'calllog[pdf]'"
PAPERS = {"letter": "us-letter", "a4": "a4"}
"""What a PDF may be printed on, and what the typesetter calls it."""
_EMPTY = frozenset(("br", "col", "meta", "link", "input"))
"""Elements without an end."""
_NAMED_COLOUR = re.compile(r"var\(--[a-z0-9-]+, (#[0-9a-f]{6})\)")
_LOOKS = ("field", "budget", "deeds", "papers", "signable")
"""Tables that ``paper.typ`` sets in a way of their own."""
_CAPTIONED = ("papers", "signable")
"""Those whose caption says more than the heading above them."""
_SPACES = re.compile(r"[ \t\r\n]+")
_FONTS = 'font-family="Liberation Sans, Arial, Helvetica, DejaVu Sans"'


@dataclass(slots=True)
class _Element:
    """An element of a page."""

    tag: str
    given: dict[str, str]
    inside: list[_Element | str] = field(default_factory=list)

    @property
    def classes(self) -> frozenset[str]:
        """Its classes."""
        return frozenset(self.given.get("class", "").split())

    def each(self, tag: str) -> Iterator[_Element]:
        """Give the elements of a tag in it, at any depth."""
        for one in self.inside:
            if isinstance(one, _Element):
                if one.tag == tag:
                    yield one
                yield from one.each(tag)

    @property
    def text(self) -> str:
        """All its words."""
        return "".join(one if isinstance(one, str) else one.text for one in self.inside)


class _Tree(HTMLParser):
    """Reads a page; a drawing stays the text that it is."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = _Element("", {})
        self._open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take the beginning of an element."""
        one = _Element(tag, {name: value or "" for name, value in attrs})
        self._open[-1].inside.append(one)
        if tag not in _EMPTY:
            self._open.append(one)

    def handle_endtag(self, tag: str) -> None:
        """Take its end; an end that is left out is that of what it stands in."""
        while len(self._open) > 1 and self._open.pop().tag != tag:
            pass

    def handle_data(self, data: str) -> None:
        """Take words."""
        self._open[-1].inside.append(data)


def page_pdf(html: str, paper: str = "letter") -> bytes:
    """Turn a page into a PDF; its text can be selected, and its parts are tagged.

    It holds to PDF/UA-1, unless a name has a sign that no font here has.

    Args:
        html: a page of `page_html`, as it is printed.
        paper: one of `PAPERS`, lying on its long side.

    Raises:
        ReportError: the library that sets it is not installed.
    """
    if find_spec("typst") is None:
        raise ReportError("PDF needs a library that is not installed", next_step=PDF_NEXT)
    from typst import TypstError  # noqa: PLC0415 - an extra, and slow to load

    source = page_source(html, paper).encode()
    written: bytes
    try:
        written = _compiler().compile(source, format="pdf", pdf_standards="ua-1")
    except TypstError:
        written = _compiler().compile(source, format="pdf")
    return written


@cache
def _compiler() -> Any:  # noqa: ANN401 - an extra
    """Make what sets pages; it looks for fonts once for all pages."""
    import typst  # noqa: PLC0415 - an extra, and slow to load

    return typst.Compiler(font_paths=typst.Fonts())


def page_source(html: str, paper: str) -> str:
    """Write a printed page of `page_html` as the typesetter reads it, on one of `PAPERS`."""
    tree, drawings = _read(html)
    (body,) = tree.each("body")
    (title,) = tree.each("title")
    (whole,) = tree.each("html")
    named = {one.given.get("name", ""): one.given.get("content", "") for one in tree.each("meta")}
    facts = {
        "title": title.text,
        "language": whole.given.get("lang", "en"),
        "sheet": PAPERS[paper],
        "running": named.get("running", ""),
        "short-hash": named.get("short-hash", ""),
    }
    head = "".join(f"#let {name} = {_quoted(value)}\n" for name, value in facts.items())
    return f"{head}{_styles()}#{_Writer(drawings).content(body)}\n"


@cache
def _styles() -> str:
    return (files("calllog.page") / "paper.typ").read_text("utf-8")


def _read(html: str) -> tuple[_Element, list[str]]:
    """Read a page and its drawings; where one stood, an element ``svg`` has its number."""
    drawings: list[str] = []

    def lift(found: re.Match[str]) -> str:
        drawings.append(found[0])
        return f'<svg data-number="{len(drawings) - 1}"></svg>'

    tree = _Tree()
    tree.feed(re.sub(r"<svg.*?</svg>", lift, html, flags=re.DOTALL))
    tree.close()
    return tree.root, drawings


def _quoted(text: str) -> str:
    r"""Write a text as a string literal: nothing in it means anything.

    Example:
        >>> print(_quoted('a "b" #[x]\\'))
        "a \"b\" #[x]\\"
    """
    told = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{"".join(sign if sign.isprintable() else " " for sign in told)}"'


class _Writer:
    """Writes elements as calls of functions of ``paper.typ``."""

    def __init__(self, drawings: Sequence[str]) -> None:
        self._drawings = drawings
        self._is_in_cell = False

    def content(self, parent: _Element) -> str:
        """Write what stands in an element, one after another."""
        return _joined(self._each(parent))

    def _each(self, parent: _Element) -> Iterator[str]:
        signatures: list[str] = []
        for one in _squeezed(parent):
            if isinstance(one, str):
                if one.strip() or not signatures:
                    yield _words(one)
                continue
            if "signature" in one.classes:
                signatures.append(self.content(one))
                continue
            if signatures:
                yield _call("signatures", signatures)
                signatures = []
            if told := self._element(one):
                yield told
        if signatures:
            yield _call("signatures", signatures)

    def _element(self, one: _Element) -> str:
        """Write an element; one that only groups others is what stands in it."""
        for name, write in _ELEMENTS.items():
            if name == one.tag or name in one.classes:
                return write(self, one)
        return self.content(one)

    def listed(self, one: _Element) -> str:
        """Write a list; in a cell its items run on."""
        return _call("run-on" if self._is_in_cell else "list", self._items(one))

    def _items(self, one: _Element) -> list[str]:
        return [self.content(item) for item in one.inside if isinstance(item, _Element)]

    def facts(self, one: _Element) -> str:
        """Write facts: each has a name and what is known."""
        return _call(
            "facts",
            [
                f"({self.content(name)}, {self.content(value)})"
                for name, value in zip(one.each("dt"), one.each("dd"), strict=True)
            ],
        )

    def standing(self, one: _Element) -> str:
        """Write the state that stands before any figure."""
        (title,), (items,) = one.each("h2"), one.each("ul")
        is_sound = "true" if "sound" in one.classes else "false"
        return _call("standing", [is_sound, self.content(title), *self._items(items)])

    def framed(self, one: _Element) -> str:
        """Write what stands in a frame."""
        is_notice = "notice" in one.classes
        paint, size = ("warn", "9pt") if is_notice else ("ink", "8pt")
        return _call("framed", [paint, size, self.content(one)])

    def plots(self, one: _Element) -> str:
        """Write drawings two beside each other, each with what can be read from it."""
        found = []
        for figure in one.each("figure"):
            (title,), (words,) = figure.each("h3"), figure.each("figcaption")
            svg = "".join(self._drawing(each) for each in figure.each("svg"))
            alt = _quoted(f"{title.text}. {words.text}")
            parts = [self.content(title), _quoted(svg), self.content(words), alt]
            found.append(_call("shown", parts))
        return _call("plots", found)

    def _drawing(self, one: _Element) -> str:
        """Give a drawing in the colours of paper and in fonts that are there."""
        svg = self._drawings[int(one.given["data-number"])]
        plain = _NAMED_COLOUR.sub(r"\1", svg)
        return plain.replace('font-family="sans-serif"', _FONTS, 1)

    def table(self, one: _Element) -> str:
        """Write a table with its caption; its head is said again on each sheet."""
        if "one" in one.classes:
            return self._run_on(one)
        name = next((each for each in _LOOKS if each in one.classes), "")
        heads = [row for part in one.each("thead") for row in part.each("tr")]
        rows = [row for part in one.each("tbody") for row in part.each("tr")]
        head = ", ".join(self._cell(cell, "th") for row in heads for cell in _cells(row))
        cells = [
            self._cell(cell, "table.cell", is_below="said" in row.classes)
            for row in rows
            for cell in _cells(row)
        ]
        sheet = _call("rows", [_quoted(name), _widths(heads[0]), f"({head},)", *cells])
        captions = [
            _call("caption", [self.content(each)])
            for each in one.each("caption")
            if name in _CAPTIONED
        ]
        return _joined([*captions, sheet])

    def _cell(self, one: _Element, kind: str, *, is_below: bool = False) -> str:
        options = []
        if "group" in one.classes:
            kind = "group"
        elif "n" in one.classes:
            options.append(f"align: right + {'bottom' if kind == 'th' else 'top'}")
        spans = [name for name in ("rowspan", "colspan") if name in one.given]
        options += [f"{name}: {int(one.given[name])}" for name in spans]
        if "rowspan" in one.given and kind == "table.cell":
            options.append("breakable: false")
        if is_below:
            options.append("stroke: none")
        self._is_in_cell = True
        told = self.content(one)
        self._is_in_cell = False
        if kind == "table.cell" and (one.tag == "th" or "total" in one.classes):
            told = _call("bold", [told])
        return _call(kind, [*options, told])

    def _run_on(self, one: _Element) -> str:
        """Write a table of names and values as one paragraph."""
        (caption,) = one.each("caption")
        parts = []
        for row in one.each("tr"):
            name, value = _cells(row)
            named = _call("bold", [self.content(name)])
            parts.append(_joined([named, '": "', self.content(value)]))
        told = [_call("bold", [self.content(caption)]), "linebreak()", _call("run-on", parts)]
        return _call("whole", [_call("text", ["8pt", _joined(told)])])

    def stacked(self, one: _Element) -> str:
        """Write a list without marks, an item a line."""
        return _call("stacked", self._items(one))


def _as(name: str) -> Callable[[_Writer, _Element], str]:
    """Make what writes an element as a function of what stands in it."""
    return lambda writer, one: _call(name, [writer.content(one)])


_ELEMENTS: dict[str, Callable[[_Writer, _Element], str]] = {
    "standing": _Writer.standing,
    "cautions": _Writer.framed,
    "notice": _Writer.framed,
    "paper": _as("whole"),
    "plots": _Writer.plots,
    "facts": _Writer.facts,
    "plain": _Writer.stacked,
    "lead": _as("lead"),
    "about": _as("about"),
    "small": _as("small"),
    "hung": _as("hung"),
    "stop": _as("alarm"),
    "hash": _as("hash"),
    "blank": lambda *_: "blank",
    "table": _Writer.table,
    "caption": _as("caption"),
    "ul": _Writer.listed,
    "h1": _as("h1"),
    "h2": _as("h2"),
    "h3": _as("h3"),
    "p": _as("para"),
    "s": _as("strike"),
    "b": _as("bold"),
    "strong": _as("bold"),
    "footer": _as("foot"),
    "br": lambda *_: "linebreak()",
}
"""What writes an element, by its class or its tag; the first that fits does."""


def _squeezed(parent: _Element) -> Iterator[_Element | str]:
    """Give what stands in an element, white space as a browser shows it."""
    for one in parent.inside:
        if isinstance(one, str):
            if told := _SPACES.sub(" ", one):
                yield told
        else:
            yield one


def _cells(row: _Element) -> list[_Element]:
    return [one for one in row.inside if isinstance(one, _Element) and one.tag in {"th", "td"}]


def _call(name: str, parts: Iterable[str]) -> str:
    return f"{name}({', '.join(parts)})"


def _joined(parts: Iterable[str]) -> str:
    listed = [each for each in parts if each]
    return listed[0] if len(listed) == 1 else f"{{{'; '.join(listed)}}}" if listed else "[]"


def _words(text: str) -> str:
    """Write words; spaces about them stay such as no line begins or ends with."""
    told = text.strip(" ")
    before, after = text[:1] == " ", text[-1:] == " " and bool(told)
    return _joined(["[ ]" * before, _quoted(told) * bool(told), "[ ]" * after])


def _widths(head: _Element) -> str:
    """Share out the columns: figures take what they need, words the rest, the first one more."""
    found: list[str] = []
    for cell in _cells(head):
        is_words = "n" not in cell.classes
        found.append(("1.4fr" if not found else "1fr") if is_words else "auto")
    return f"({', '.join(found)},)"
