"""The system at hand, chosen by what it has: the one layer below files, keys and ends; shell.

All that POSIX, macOS and Windows do each in a way of its own is in this room, a module for each;
nothing else in the program asks which system it runs on.
"""

from pathlib import PurePath
from typing import Final

from calllog.system.names import is_everywhere_a_name
from calllog.system.ways import NO_FILE, NO_FOLDER, OTHERS, OTHERS_WRITE, Folder, RawKeys, System

__all__ = [
    "NO_FILE",
    "NO_FOLDER",
    "OTHERS",
    "OTHERS_WRITE",
    "SYSTEM",
    "Folder",
    "RawKeys",
    "System",
    "is_everywhere_a_name",
    "quoted",
]


def _at_hand() -> System:
    try:
        import fcntl  # noqa: PLC0415 - what Windows lacks
    except ImportError:
        from calllog.system.windows import Windows  # noqa: PLC0415 - there alone

        return Windows()
    if hasattr(fcntl, "F_FULLFSYNC"):
        from calllog.system.macos import MacOS  # noqa: PLC0415 - there alone

        return MacOS()
    from calllog.system.posix import Posix  # noqa: PLC0415 - there alone

    return Posix()


SYSTEM: Final[System] = _at_hand()


def quoted(word: object) -> str:
    """Write a word as the system's command line takes it for one; what is advised can be pasted.

    The name of a folder that looks like an option is told from where one is.
    """
    is_like_option = isinstance(word, PurePath) and str(word).startswith("-")
    return SYSTEM.quoted(f"./{word}" if is_like_option else str(word))
