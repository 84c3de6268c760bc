"""Phone: the page's address and code in, rows of text that a phone can photograph out; pure."""

from __future__ import annotations

import segno

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
) -> tuple[str, ...]:
    """Draw an invitation.

    Args:
        address: what the phone opens, with the code.
        origin: the same without it, to be typed.
        code: as it is shown.
        phones: who is paired.
        waiting: how many of them, the last ones, are not let in yet.
        yes: the key that lets those in.
    """
    matrix = [list(map(bool, row)) for row in segno.make(address, error="l").matrix_iter(1, BORDER)]
    if len(matrix) % 2:
        matrix.append([False] * len(matrix[0]))
    drawn = [
        "".join(BLOCKS[upper, lower] for upper, lower in zip(*pair, strict=True))
        for pair in zip(matrix[::2], matrix[1::2], strict=True)
    ]
    named = [f"{letter}: revoke {name}" for letter, name in zip(LETTERS, phones, strict=False)]
    let_in = [f"{yes}: let in {', '.join(phones[-waiting:])}"] if waiting else []
    return (f"{origin}  code {code}", "; ".join(["p: back", *let_in, *named]), *drawn)
