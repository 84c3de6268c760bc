"""What is printed, in; the same without signs that a terminal acts on, out; shell.

Names, remarks and clips of a job may be a stranger's. An escape sequence in one could retitle the
window, recolour or hide what stands on the screen, or type into the terminal.
"""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment

_CONTROLS = {
    code: "\N{REPLACEMENT CHARACTER}"
    for code in (*range(0x20), *range(0x7F, 0xA0))
    if chr(code) not in "\n\t"
}


class Terminal(Console):
    """A console that prints control signs of a text as signs that cannot be shown."""

    def render(
        self, renderable: RenderableType, options: ConsoleOptions | None = None
    ) -> Iterable[Segment]:
        """Turn what is printed into text; rich's own control sequences stay."""
        for segment in super().render(renderable, options):
            if segment.control or segment.text.isprintable():
                yield segment
            else:
                yield Segment(segment.text.translate(_CONTROLS), segment.style)
