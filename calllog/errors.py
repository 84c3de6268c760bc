"""Errors of the world outside (files, models, settings), each saying what, where, what next.

Findings about field data are values (`calllog.values.Finding`), never exceptions.
"""

from collections.abc import Sequence
from typing import Self

from calllog.plain_text import is_plain_text, one_line


class Fault(str):
    """What is wrong with a job, in English, and the code and facts by which any language tells it.

    Args:
        words: one clause.
        code: of the message that says the same (`calllog.wording`).
        facts: numbers and names that belong to it.
    """

    __slots__ = ("code", "facts")

    code: str
    facts: dict[str, float | str]

    def __new__(cls, words: str, code: str, **facts: float | str) -> Self:
        """Make it."""
        made = super().__new__(cls, one_line(words))
        made.code, made.facts = code, facts
        return made

    def __reduce__(self) -> tuple[object, ...]:
        """Bring it to another process with its code and facts."""
        return (_fault_again, (str(self), self.code, self.facts))


def _fault_again(words: str, code: str, facts: dict[str, float | str]) -> Fault:
    return Fault(words, code, **facts)


class CalllogError(Exception):
    """Something outside the program is not as it must be; the command ends with exit code 1.

    What a stranger named may stand in it, so each part is one line (`calllog.plain_text`).

    Args:
        what: what is wrong, one clause.
        where: the file, entry or option concerned.
        next_step: what the reader can do about it.
        each: what that is to be done with, a line of its own each.
        code: of the message that says the same in every language, where somebody else than the one
            at the terminal may be told of it; ``CODE-remedy`` says the next step.
        facts: numbers and names that belong to the message.
    """

    def __init__(
        self,
        what: str,
        *,
        where: str = "",
        next_step: str = "",
        each: Sequence[str] = (),
        code: str = "",
        **facts: float | str,
    ) -> None:
        self.what = one_line(what)
        self.fault = what if isinstance(what, Fault) else None
        self.where = one_line(where)
        self.next_step = "\n- ".join(map(one_line, (next_step, *each)))
        self.code = code
        self.facts = facts
        text = f"{self.where}: {self.what}" if where else self.what
        super().__init__(f"{text}; {self.next_step}" if next_step else text)

    def __reduce__(self) -> tuple[object, ...]:
        """Bring it to another process as it is: a step of several lines stays one."""
        return (_again, (type(self), self.args, self.__dict__))


def _again(
    kind: type[CalllogError], args: tuple[str, ...], parts: dict[str, object]
) -> CalllogError:
    error = kind.__new__(kind, *args)
    error.__dict__.update(parts)
    return error


class ConfigError(CalllogError):
    """A setting, option or certificate file is unusable."""


class GrammarError(CalllogError):
    """A grammar file is missing, malformed, empty or ambiguous."""


class AudioError(CalllogError):
    """A recording cannot be read, or a device cannot be heard."""


class ModelError(CalllogError):
    """A recogniser or its model is missing or broken."""


class KeypadError(CalllogError):
    """A keypad or the terminal that it types into cannot be used."""


class JournalError(CalllogError):
    """A job folder or its journal is missing, damaged or not one."""


class ReportError(CalllogError):
    """A report cannot be written, or what should be one cannot be read."""


def require_plain(text: str, where: str) -> str:
    """Give a name as it is, if all of it can be seen, on one line.

    Raises:
        ConfigError: there are signs in it that cannot be seen, or line breaks.
    """
    if not is_plain_text(text):
        hidden = next(sign for sign in text if not is_plain_text(sign))
        raise ConfigError(
            f"the name {text} has a character that cannot be seen, {one_line(hidden)}",
            where=where,
            next_step="type it anew, without line breaks and hidden characters",
        )
    return text
