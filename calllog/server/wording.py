"""Server: a page's file and the crew's messages in, the page in their language out; shell.

Where words stand in a page there is a slot, ``{again}``, and what its script says stands with the
page as JSON: both are messages of the one catalogue, named by what the page is. A fact that only
the script knows stands in its message as a slot again.
"""

import html
import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from calllog.wording import Words

STATIC: Final = Path(__file__).resolve().parent / "static"
PREFIXES: Final = {
    "phone.html": "chief",
    "pair.html": "door",
    "crew.html": "crew-phone",
    "trust.html": "crew-trust",
}
"""How the messages of a page begin."""
COMMON: Final = "phone-"
"""How messages of several pages begin."""
_NONE: Final[tuple[str, ...]] = ()
SCRIPTS: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "phone.html": {
        **dict.fromkeys(("stale", "live", "stop", "no-playing", "no-check", "card-struck"), _NONE),
        **dict.fromkeys(("strike", "again", "remark", "clear-key", "point"), _NONE),
        "waiting": ("why",),
        "stale-for": ("seconds",),
        "struck": ("lengths",),
        "decide-pull": ("pull",),
        "last-order": ("order",),
        "changed-at": ("time",),
        "play": ("call", "said"),
        "card-pull": ("pull",),
        "card-values": ("first", "check"),
        "sending": ("order",),
        "sent-no-more": ("order",),
        "value": ("value",),
    },
    "pair.html": {
        **dict.fromkeys(("head", "rear", "unreached"), _NONE),
        "not-paired": ("why",),
    },
    "crew.html": dict.fromkeys(
        (
            *("head", "rear", "paired-as", "kept", "none-kept", "until", "no-end", "listeners"),
            *("consent-title", "insecure", "refused", "no-microphone", "replaced", "dead"),
            *("asleep", "cut-off", "waiting", "muted", "listening", "connecting", "not-sent"),
            *("again", "strike", "switch", "enter", "clear", "point"),
        ),
        _NONE,
    ),
    "trust.html": {},
}
"""For each page, what its script says, and the facts that the script puts in."""
_SLOT: Final = re.compile(r"\{([a-z-]+)\}")


def page_text(name: str, words: Words, facts: Mapping[str, str] | None = None) -> str:
    """Give a page in a language; `facts` stand in its other slots."""
    prefix = PREFIXES[name]
    given = {
        "language": words.language,
        "words": json.dumps(script_words(name, words), ensure_ascii=False),
        **(facts or {}),
    }

    def filled(found: re.Match[str]) -> str:
        slot = found[1]
        code = slot if slot.startswith(COMMON) else f"{prefix}-{slot}"
        return html.escape(given[slot] if slot in given else words(code))

    return _SLOT.sub(filled, (STATIC / name).read_text("utf-8"))


def script_words(name: str, words: Words) -> dict[str, str]:
    """Give what the script of a page says, each fact as a slot that it fills."""
    return {
        each: words(f"{PREFIXES[name]}-{each}", **{fact: f"{{{fact}}}" for fact in facts})
        for each, facts in SCRIPTS[name].items()
    }
