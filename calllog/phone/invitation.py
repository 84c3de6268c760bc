"""Phone: the page's address and code in, rows of text that a phone can photograph out; pure."""

import segno

from calllog.wording import ENGLISH, Words

BORDER = 2
"""Empty modules about the code."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
BLOCKS = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}
"""Two modules, one above the other; dark is set."""


def rows(
    address: str,
    origin: str,
    code: str,
    phones: tuple[str, ...],
    *,
    waiting: int = 0,
    yes: str = "",
    words: Words = ENGLISH,
) -> tuple[str, ...]:
    """Draw an invitation.

    Args:
        address: what the phone opens, with the code.
        origin: the same without it, to be typed.
        code: as it is shown.
        phones: who is paired.
        waiting: how many of them, the last ones, are not let in yet.
        yes: the key that lets those in.
        words: of the crew.
    """
    matrix = [list(map(bool, row)) for row in segno.make(address, error="l").matrix_iter(1, BORDER)]
    if len(matrix) % 2:
        matrix.append([False] * len(matrix[0]))
    drawn = [
        "".join(BLOCKS[upper, lower] for upper, lower in zip(*pair, strict=True))
        for pair in zip(matrix[::2], matrix[1::2], strict=True)
    ]
    named = [
        words("phones-revoke", key=letter, phone=name)
        for letter, name in zip(LETTERS, phones, strict=False)
    ]
    listed = ", ".join(phones[-waiting:])
    let_in = [words("phones-let-in", key=yes, phones=listed)] if waiting else []
    keys = "; ".join([words("phones-back", key="p"), *let_in, *named])
    return (f"{origin}  {words('phones-code', code=code)}", keys, *drawn)
