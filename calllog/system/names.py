"""Names of files that some system refuses; pure."""

import re
from typing import Final

_SIGNS: Final = re.compile(r'[<>:"/\\|?*\x00-\x1f]')
_DEVICES: Final = re.compile(
    r"(?:con|prn|aux|nul|com[0-9\u00b9\u00b2\u00b3]|lpt[0-9\u00b9\u00b2\u00b3]|conin\$|conout\$) *",
    re.IGNORECASE,
)


def is_everywhere_a_name(name: str) -> bool:
    r"""Tell whether a file may be called so on every system.

    Windows refuses some signs, a dot or blank at the end, and the names of its devices whatever
    follows a dot after them (Microsoft, "Naming Files, Paths, and Namespaces").

    Example:
        >>> is_everywhere_a_name("Ash Birch.voice.json"), is_everywhere_a_name("nul.voice.json")
        (True, False)
    """
    is_said = name not in {"", ".", ".."} and not _SIGNS.search(name)
    return is_said and name[-1] not in ". " and not _DEVICES.fullmatch(name.partition(".")[0])
