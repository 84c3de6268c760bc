"""Server: what crew phones are offered by the field loop, as the page's process has it; shell.

The spoken words lie in a file without a name, of which that process gets the descriptor and reads
piece by piece: it loads neither numpy nor a decoder, and keeps none of them.
"""

import json
from collections.abc import Iterator
from typing import Final

from calllog.files import read_at
from calllog.values import Frozen, Role
from calllog.wording import language_words

PIECE: Final = 65_536


class Offered(Frozen):
    """What a crew phone may be, and what it is told."""

    roles: tuple[Role, ...]
    """Whose phones there may be."""
    language: str
    """Of the crew."""
    keeps: bool
    """Whether clips of calls are kept, of those who agree."""
    until: str = ""
    """The last day on which they are kept, ISO 8601; empty for no end."""
    listeners: tuple[str, ...] = ()
    """Who may listen: crew, chief, office, or names."""
    words: str
    """JSON of where each phrase lies in the words' sound, and of the tones."""
    words_in: int = -1
    """Descriptor of the words' sound, a WAV file; -1 without words."""
    words_bytes: int = 0
    words_sha256: str = ""

    def told(self, role: Role, name: str, who: str) -> dict[str, object]:
        """Tell a phone who it is, and what is kept of it."""
        words = language_words(self.language)
        return {
            "role": role.value,
            "name": name,
            "who": who,
            "keeps": self.keeps,
            "until": self.until,
            "listeners": [words("crew-phone-listener", who=each) for each in self.listeners],
            "spoken": json.loads(self.words),
            "sha256": self.words_sha256,
        }

    def words_wav(self) -> Iterator[bytes]:
        """Read the words' sound."""
        at = 0
        while at < self.words_bytes:
            piece = read_at(self.words_in, min(PIECE, self.words_bytes - at), at)
            if not piece:
                return
            at += len(piece)
            yield piece
