"""Errors of the world outside (files, models, settings), each saying what, where, what next.

Findings about field data are values (`calllog.values.Finding`), never exceptions.
"""

from __future__ import annotations

from typing import Self


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
        made = super().__new__(cls, words)
        made.code, made.facts = code, facts
        return made


class CalllogError(Exception):
    """Something outside the program is not as it must be; the command ends with exit code 1.

    Args:
        what: what is wrong, one clause.
        where: the file, entry or option concerned.
        next_step: what the reader can do about it.
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
        code: str = "",
        **facts: float | str,
    ) -> None:
        self.what = what
        self.where = where
        self.next_step = next_step
        self.code = code
        self.facts = facts
        text = f"{where}: {what}" if where else what
        super().__init__(f"{text}; {next_step}" if next_step else text)


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
