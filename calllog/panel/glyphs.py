"""Panel: figures in, rows of large blocks out; pure.

Each glyph is five rows of dots; a dot is drawn two columns wide, which makes it about square.
"""

ROWS = 5
DOT_COLUMNS = 2
GAP_COLUMNS = 1
WIDEST = "100.00"
"""The longest number that is called."""
DOTS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", "###", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", "  #", "  #"),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    ".": (" ", " ", " ", " ", "#"),
    ":": (" ", "#", " ", "#", " "),
    "+": ("   ", " # ", "###", " # ", "   "),
    "-": ("   ", "   ", "###", "   ", "   "),
    "?": ("###", "  #", " ##", "   ", " # "),
    " ": (" ", " ", " ", " ", " "),
}


def enlarge(text: str, scale: int = 1, block: str = "█") -> tuple[str, ...]:
    """Draw figures large.

    Args:
        text: digits and the signs ``. + - : ?`` and blank.
        scale: how many times five rows high.
        block: what a dot is filled with, one column.

    Returns:
        ``5 * scale`` rows of equal width.

    Raises:
        KeyError: a sign that has no glyph.
    """
    gap = " " * GAP_COLUMNS * scale
    rows = []
    for row in range(ROWS):
        line = gap.join(
            "".join((block if dot == "#" else " ") * DOT_COLUMNS * scale for dot in DOTS[sign][row])
            for sign in text
        )
        rows += [line] * scale
    return tuple(rows)


def columns(text: str, scale: int = 1) -> int:
    """Count the columns that figures take."""
    return len(enlarge(text, scale)[0])


def can_enlarge(text: str) -> bool:
    """Tell whether all signs have glyphs."""
    return bool(text) and set(text) <= DOTS.keys()
