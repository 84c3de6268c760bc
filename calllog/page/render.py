"""Page: what stands on a page in, HTML that stands alone out; shell.

Every word is escaped by the template engine; only the drawings, which are made here, are not.
"""

import re
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup

from calllog.page.content import Page
from calllog.page.facts import Told
from calllog.values import Fact, Finding
from calllog.wording import ENGLISH, Words

_HYPHEN = re.compile(r"(?<![^\s(])-(?=[0-9]*\.[0-9])")
"""A minus before a figure."""


def page_html(page: Page, words: Words = ENGLISH, *, is_printed: bool = False) -> str:
    """Write a page as HTML: one file, styles and drawings inside, no script, nothing fetched.

    Args:
        page: what stands on it.
        words: the language that it is written in.
        is_printed: write what `page_pdf` takes: without styles, without what paper does not show,
            and with the running head beside.
    """
    template = _environment().get_template(page.template)
    labels = _Labels(words.measured_in(page.unit))
    return template.render(page=page, _=labels, is_printed=is_printed)


class _Labels:
    """Words of a language; what is said without any fact is said once, since a table repeats it."""

    def __init__(self, words: Words) -> None:
        self.words = words
        self.language = words.language
        self._said: dict[str, str] = {}

    def __call__(self, code: str, /, **facts: Fact) -> str:
        if facts:
            return self.words(code, **facts)
        if code not in self._said:
            self._said[code] = self.words(code)
        return self._said[code]


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("calllog.page", ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_printable,
    )
    environment.filters["say"] = _say
    environment.filters["finding"] = _finding
    environment.filters["remedy"] = _remedy
    environment.filters["local"] = _local
    environment.filters["css"] = _css
    environment.filters["capitalize_first"] = lambda text: text[:1].upper() + text[1:]
    return environment


def _words(context: Context) -> Words:
    labels: _Labels = context["_"]
    return labels.words


@pass_context
def _say(context: Context, told: Told | None) -> str:
    """Say a message in the language of the page; figures and names are as they are."""
    return told if isinstance(told, str) else _words(context).say(told)


@pass_context
def _finding(context: Context, found: Finding) -> str:
    """Say what was found."""
    return _words(context).finding(found)


@pass_context
def _remedy(context: Context, found: Finding) -> str:
    """Say what to do about it."""
    return _words(context).remedy(found)


def _printable(value: object) -> object:
    """Blank out what cannot be printed, such as marks that turn the direction of writing.

    A hyphen before a figure with a point is a minus, and is printed as one.

    Example:
        >>> _printable("-0.05 ft, C-1.5, 2031-05-04")
        '\u22120.05 ft, C-1.5, 2031-05-04'
    """
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    if not value.isprintable():
        value = "".join(sign if sign.isprintable() else " " for sign in value)
    return _HYPHEN.sub("\u2212", value) if "-" in value else value


def _css(text: str) -> Markup:
    r"""Write a text as a string of a style sheet; every sign that might mean something by number.

    Example:
        >>> print(_css("a</style>"))
        "a\00003c\00002fstyle\00003e"
    """
    signs = (
        sign if sign.isascii() and sign.isalnum() else f"\\{ord(sign):06x}"
        for sign in str(_printable(text))
    )
    return Markup(f'"{"".join(signs)}"')  # noqa: S704 - nothing is left that HTML reads


@pass_context
def _local(context: Context, time: str) -> str:
    """Write a time of the journal as the crew's watches showed it."""
    page: Page = context["page"]
    return page.zones.local(time)
