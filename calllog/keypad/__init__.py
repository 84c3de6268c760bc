"""Keys into entries: the key language and the protocol of keypads; pure.

`calllog.keypad.terminal` and `calllog.keypad.device` are the keypads, and not imported here.
"""

from calllog.keypad.source import KeySource, Link
from calllog.keypad.strokes import (
    OTHER,
    ROWS,
    Cleared,
    KeyedEntry,
    KeyRow,
    Mistyped,
    Refused,
    Repeat,
    Result,
    Ticked,
    command_entry,
    press,
    read_entry,
    rows,
)

__all__ = [
    "OTHER",
    "ROWS",
    "Cleared",
    "KeyRow",
    "KeySource",
    "KeyedEntry",
    "Link",
    "Mistyped",
    "Refused",
    "Repeat",
    "Result",
    "Ticked",
    "command_entry",
    "press",
    "read_entry",
    "rows",
]
