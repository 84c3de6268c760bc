"""Where keys come from, as the session sees it: a protocol and what happens to a keypad; pure."""

from enum import Enum
from typing import Protocol


class Link(Enum):
    """What happened to a keypad; told once, when it happens."""

    LOST = "lost"
    """It was unplugged, or its terminal is gone. What was half typed is spoilt: the rest of it may
    follow when the keypad is back, and must not pass for an entry (press `OTHER`)."""
    RETURNED = "returned"
    """It is back."""


class KeySource(Protocol):
    """A terminal or a keypad of one person; one thread reads it."""

    @property
    def name(self) -> str:
        """What it is called in the journal."""

    def read(self, timeout_s: float) -> str | Link | None:
        """Wait so long at most: a key for `calllog.keypad.press`, a change of link, or None."""

    def close(self) -> None:
        """Give it back as it was; closing twice does no harm."""
