"""What is printed, in; the same without signs that a terminal acts on, out; shell.

Names, remarks and clips of a job may be a stranger's. An escape sequence in one could retitle the
window, recolour or hide what stands on the screen, or type into the terminal; a line break in one
could write a line of its own among ours. So one text is one line, here at the one place where all
is printed; whoever prints several lines prints each.

What a console's encoding lacks is written in signs that it has (`calllog.plain_signs`).
"""

from __future__ import annotations

import codecs
import json
import os
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import typer
from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from calllog.errors import CalllogError
from calllog.plain_signs import in_ascii, only_of
from calllog.plain_text import is_plain_text, one_line, plain_json
from calllog.program_words import (
    ENGLISH_PROGRAM,
    JOINED,
    ProgramWords,
    language_asked_for,
    program_words,
)

if TYPE_CHECKING:
    from calllog.wording import Words

SPELLED = "calllog-spelled"
"""Name of what is done with signs that an encoding lacks, as `codecs` knows it."""
_at_work: list[str] = []
"""Language of the crew whose work is done, if that is what the command does."""


def spell_what_consoles_lack() -> None:
    """Let standard output and error spell what their encoding lacks; nothing they get ends them."""
    codecs.register_error(SPELLED, _spelled)
    for stream in (sys.stdout, sys.stderr):
        set_anew = getattr(stream, "reconfigure", None)
        if set_anew is not None:
            set_anew(errors=SPELLED)


def _spelled(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return in_ascii(error.object[error.start : error.end]), error.end


@contextmanager
def _told_if_full() -> Iterator[None]:
    """Say in plain words that what is printed has no place to go to, such as a stick that is full.

    Raises:
        CalllogError: it has none.
    """
    try:
        yield
    except BrokenPipeError:  # whoever read it has read enough
        raise
    except OSError as error:
        raise CalllogError(
            f"what is printed cannot be written ({error.strerror})",
            where="standard output",
            next_step="make room where it goes, or print it to the screen",
        ) from error


class Terminal(Console):
    """A console that prints each text on one line, signs that cannot be seen by their numbers.

    A text is told as it is: nothing in it is markup. What the program has to say is said in the
    language that is asked for (decision 154).
    """

    def __init__(self, **settings: Any) -> None:  # noqa: ANN401 - rich's own
        super().__init__(markup=False, highlight=False, emoji=False, **settings)

    def print(self, *objects: Any, **settings: Any) -> None:  # noqa: ANN401 - rich's own
        """Print lines and tables, the program's own sentences in the language asked for."""
        words = asked_words()
        if words is not ENGLISH_PROGRAM:
            objects = tuple(_said(each, words) for each in objects)
        with _told_if_full():
            super().print(*objects, **settings)

    def render(
        self, renderable: RenderableType, options: ConsoleOptions | None = None
    ) -> Iterable[Segment]:
        """Turn what is printed into text; rich's own line ends and control sequences stay."""
        if isinstance(renderable, str):
            given = options or self.options
            renderable = self.render_str(renderable, markup=given.markup, highlight=given.highlight)
        if isinstance(renderable, Text):
            renderable = _plain(renderable)
        for segment in super().render(renderable, options):
            if segment.control or segment.text.isprintable():
                yield segment
            else:
                lines = map(one_line, segment.text.split("\n"))
                yield Segment("\n".join(lines), segment.style)

    def print_error(self, error: CalllogError) -> None:
        """Print an error: a line, and one for each thing to be done where there are several."""
        for line in f"error: {in_words(error)}".split("\n"):
            super().print(line)


out = Terminal(soft_wrap=True)
err = Terminal(stderr=True, soft_wrap=True)


def work_in(language: str) -> None:
    """Speak a crew's language from here on, since it is the crew that reads; none: the user's."""
    _at_work[:] = [language.partition("-")[0]] if language else []


def asked_words() -> ProgramWords:
    """Give the words in the crew's language at work, else in the one the environment names."""
    return program_words(_at_work[0] if _at_work else language_asked_for(os.environ))


def asked_messages() -> Words:
    """Give the messages in the language of `asked_words`."""
    from calllog.wording import language_words  # noqa: PLC0415 - help needs none of it

    return language_words(asked_words().language)


def _said(printed: Any, words: ProgramWords) -> Any:  # noqa: ANN401 - whatever rich prints
    """Put the program's own sentences of a line or a table into words of a language."""
    match printed:
        case str():
            return words.line(printed)
        case Text():
            return _said_text(printed, words)
        case Table():
            for each in (printed, *printed.columns):
                for name in ("title", "caption", "header", "footer"):
                    if hasattr(each, name):
                        setattr(each, name, _said(getattr(each, name), words))
            for column in printed.columns:
                column._cells = [_said(each, words) for each in column._cells]  # noqa: SLF001
            return printed
        case _:
            return printed


def _said_text(text: Text, words: ProgramWords) -> Text:
    """Say each joined piece of a text by itself, so that it keeps its colour."""
    if (whole := words.line(text.plain)) != text.plain and not text.spans:
        return Text(whole, text.style, justify=text.justify, overflow=text.overflow)
    pieces = text.split(JOINED)
    said = (
        Text(words.line(each.plain), each.spans[0].style if each.spans else each.style)
        for each in pieces
    )
    return Text(JOINED).join(said) if len(pieces) > 1 or text.spans else text


def in_words(error: CalllogError, words: ProgramWords | None = None) -> str:
    """Tell an error in the user's language, part by part; in English as the error has it."""
    words = asked_words() if words is None else words
    if words is ENGLISH_PROGRAM:
        return str(error)
    what = words.say(error.what)
    if error.fault is not None:
        from calllog.wording import language_words  # noqa: PLC0415 - help needs none of it

        what = language_words(words.language)(error.fault.code, **error.fault.facts)
    told = f"{words.say(error.where)}: {what}" if error.where else what
    return f"{told}; {words.say(error.next_step)}" if error.next_step else told


def print_json(document: Mapping[str, object], *, indent: int | None = 2) -> None:
    """Print a JSON document that no terminal acts on."""
    print_json_text(json.dumps(document, ensure_ascii=False, indent=indent))


def print_json_text(text: str) -> None:
    """Print the text of a JSON document that no terminal acts on."""
    with _told_if_full():
        typer.echo(only_of(plain_json(text), getattr(sys.stdout, "encoding", None) or "utf-8"))


def _plain(text: Text) -> Text:
    """Give a text as it is if all of it can be seen, else without its colours."""
    if is_plain_text(text.plain):
        return text
    return Text(
        one_line(text.plain),
        text.style,
        justify=text.justify,
        overflow=text.overflow,
        no_wrap=text.no_wrap,
        end=text.end,
    )
