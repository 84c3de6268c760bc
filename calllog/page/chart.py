"""Page: marks and axes in, a drawing as SVG text out; pure.

A plotting library took two thirds of the time of a page, and drew what it needs in ten times as
many signs. Lengths here are in the drawing's own units, y downward; a page shows it as wide as it
has room. It is narrow enough that its words can be read on a phone of 390 pixels, where nothing of
it is cut. Colours are names with a value to fall back on (``var(--ink, #1a1a1a)``): a browser takes
those of the page, light or dark. Form, dash and texture tell apart what colour does.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape

COLOURS = {
    "ink": "#1a1a1a",
    "grid": "#8a8a8a",
    "band": "#e9e4d4",
    "paper": "#ffffff",
    "plot-1": "#0b4f8a",
    "plot-2": "#a33b00",
    "plot-3": "#2f6b2f",
    "plot-4": "#6a3d8f",
    "plot-5": "#7a6a00",
}
"""Every colour that is drawn with, by the name under which the page may give another."""
WIDTH, HEIGHT = 400.0, 230.0
LEFT, RIGHT, TOP, BOTTOM = 48.0, 8.0, 46.0, 36.0
"""Room about the axes for what is written there."""
EDGE = 2.0
"""Where what stands above the drawing begins."""
FONT, SMALL = 12.0, 10.5
EM = 0.52
"""How wide a sign is, about, of the height of its font."""
DASH = "5 3"
_STEPS = (1.0, 2.0, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis: what its ends stand for, and where they are drawn."""

    low: float
    high: float
    begins: float
    ends: float

    def __call__(self, value: float) -> float:
        """Give where a value is drawn."""
        part = (value - self.low) / (self.high - self.low)
        return self.begins + part * (self.ends - self.begins)


def ticks(low: float, high: float, most: int) -> tuple[list[float], int]:
    """Choose round values between two ends, and how many decimals they need.

    Example:
        >>> ticks(-0.013, 0.02, 5)
        ([-0.01, 0.0, 0.01, 0.02], 2)
        >>> ticks(50, 100, 6)
        ([50.0, 60.0, 70.0, 80.0, 90.0, 100.0], 0)
    """
    rough = (high - low) / most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * each for each in _STEPS if power * each >= rough * (1 - 1e-9))
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    first, last = math.ceil(low / step - 1e-6), math.floor(high / step + 1e-6)
    return [round(each * step, decimals) + 0.0 for each in range(first, last + 1)], decimals


@dataclass
class Chart:
    """A drawing under way."""

    parts: list[str] = field(default_factory=list)
    _legend: list[tuple[str, str]] = field(default_factory=list)
    """What each kind of mark means: its drawing about 0, 0, and words."""

    def group(self, style: str, *marks: str) -> None:
        """Put marks of one style together."""
        if marks:
            self.parts.append(f'<g style="{style}">{"".join(marks)}</g>')

    def explain(self, style: str, mark: str, words: str) -> None:
        """Say above the drawing what a mark means."""
        self._legend.append((f'<g style="{style}">{mark}</g>', words))

    def upright(self, axis: Axis, label: str, most: int = 5, form: str = "") -> None:
        """Draw the scale on the left, and lines across at its values.

        Args:
            axis: the scale, its beginning at the bottom.
            label: what it measures, written above it.
            most: how many values at most.
            form: how a value is written; as many decimals as are needed if left out.
        """
        values, decimals = ticks(axis.low, axis.high, most)
        across = "".join(f"M{_n(LEFT)} {_n(axis(each))}H{_n(WIDTH - RIGHT)}" for each in values)
        self.group(f"{stroke('grid', 0.5)}", f'<path d="{across}"/>')
        for each in values:
            told = f"{each:{form or f'.{decimals}f'}}" if each else f"{each:.{decimals}f}"
            self.text(LEFT - 5, axis(each) + 4, told, anchor="end")
        self.text(EDGE, axis.ends - 9, label, size=SMALL)

    def along(self, axis: Axis, label: str, marks: Sequence[tuple[float, str]], y: float) -> None:
        """Draw the scale below: its values, and what it measures."""
        self.group(stroke("ink", 1), f'<path d="M{_n(LEFT)} {_n(y)}H{_n(WIDTH - RIGHT)}"/>')
        small = "".join(f"M{_n(axis(at))} {_n(y)}v4" for at, _ in marks)
        self.group(stroke("ink", 1), f'<path d="{small}"/>')
        for at, words in marks:
            self.text(axis(at), y + 16, words, anchor="middle")
        self.text((LEFT + WIDTH - RIGHT) / 2, y + 31, label, anchor="middle", size=SMALL)

    def text(
        self, x: float, y: float, words: str, anchor: str = "start", size: float = FONT
    ) -> None:
        """Write; a minus is a true one."""
        shape = "" if size == FONT else f' font-size="{size:g}"'
        place = "" if anchor == "start" else f' text-anchor="{anchor}"'
        told = escape(words.replace("-", "\u2212") if words[:1] == "-" else words)
        self.parts.append(f'<text x="{_n(x)}" y="{_n(y)}"{shape}{place}>{told}</text>')

    def beside(self, x: float, y: float, words: str) -> None:
        """Write beside a mark, on the side that has room."""
        is_left = x + 8 + width_of(words, SMALL) > WIDTH - RIGHT
        self.text(x - 8 if is_left else x + 8, y + 4, words, "end" if is_left else "start", SMALL)

    def svg(self, name: str, title: str, words: str) -> str:
        """Write the drawing out.

        Args:
            name: makes its identifiers its own on a page of several.
            title: what it shows.
            words: what can be read from it, for those who cannot see it.
        """
        return (
            f'<svg role="img" aria-labelledby="{name}-title {name}-words"'
            f' xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}"'
            f' font-family="sans-serif" font-size="{FONT:g}" style="fill: {colour("ink")}">'
            f'<title id="{name}-title">{escape(title)}</title>'
            f'<desc id="{name}-words">{escape(words)}</desc>'
            f"{''.join(self.parts)}{self._explained()}</svg>"
        )

    def _explained(self) -> str:
        """Set what the marks mean above the drawing, in as many rows as that takes."""
        x, y, found = EDGE, 10.0, []
        for mark, words in self._legend:
            wide = 18 + width_of(words, SMALL) + 8
            if x + wide > WIDTH and x > EDGE:
                x, y = EDGE, y + 14
            found.append(
                f'<g transform="translate({_n(x + 7)} {_n(y - 4)})">{mark}</g>'
                f'<text x="{_n(x + 18)}" y="{_n(y)}" font-size="{SMALL:g}">{escape(words)}</text>'
            )
            x += wide
        return "".join(found)


def colour(name: str) -> str:
    """Name a colour, with what it is where the page gives no other."""
    return f"var(--{name}, {COLOURS[name]})"


def stroke(name: str, width: float, dash: str = "") -> str:
    """Give the style of a line."""
    dashed = f"; stroke-dasharray: {dash}" if dash else ""
    return f"fill: none; stroke: {colour(name)}; stroke-width: {width:g}{dashed}"


def dots(points: Iterable[tuple[float, float]]) -> str:
    """Draw dots as one path of strokes of hardly any length; its style has round ends (`dotted`).

    Of none at all, a dot that is alone would be nothing to the typesetter.
    """
    return f'<path d="{"".join(f"M{_n(x)} {_n(y)}h.01" for x, y in points)}"/>'


def dotted(name: str, size: float) -> str:
    """Give the style of dots."""
    return f"{stroke(name, size)}; stroke-linecap: round"


def triangles(points: Iterable[tuple[float, float]]) -> str:
    """Draw triangles that stand on their base."""
    up, wide = 5.4, 5.1
    path = "".join(
        f"M{_n(x)} {_n(y - up)}l{_n(wide)} {_n(1.7 * up)}h{_n(-2 * wide)}z" for x, y in points
    )
    return f'<path d="{path}"/>'


def boxes(rects: Iterable[tuple[float, float, float, float]]) -> str:
    """Draw boxes, each from its left and upper edge, its width and height."""
    path = "".join(
        f"M{_n(x)} {_n(y)}h{_n(wide)}v{_n(high)}h{_n(-wide)}z" for x, y, wide, high in rects
    )
    return f'<path d="{path}"/>'


def texture(rects: Iterable[tuple[float, float, float, float]], kind: str) -> str:
    """Draw lines inside boxes: along, up, or both; a box too small for a line has none.

    Args:
        rects: as for `boxes`.
        kind: ``-``, ``|`` or ``+``; anything else draws nothing.
    """
    found = []
    for x, y, wide, high in rects:
        if kind in "-+" and kind:
            found += [f"M{_n(x)} {_n(y + at)}h{_n(wide)}" for at in _steps(high)]
        if kind in "|+" and kind:
            found += [f"M{_n(x + at)} {_n(y)}v{_n(high)}" for at in _steps(wide)]
    return f'<path d="{"".join(found)}"/>' if found else ""


def _steps(size: float) -> list[float]:
    return [4.0 * each - 2.0 for each in range(1, int(size / 4.0 + 0.5) + 1)]


def level(y: float) -> str:
    """Draw a line across."""
    return f'<path d="M{_n(LEFT)} {_n(y)}H{_n(WIDTH - RIGHT)}"/>'


def width_of(words: str, size: float) -> float:
    """Tell about how wide words are."""
    return EM * size * len(words)


def cut(words: str, room: float, size: float) -> str:
    """Shorten words to the room that they have; nothing where hardly a sign fits."""
    signs = int(room / (EM * size))
    if len(words) <= signs:
        return words
    return f"{words[: signs - 1]}\u2026" if signs > 3 else ""  # noqa: PLR2004 - signs of a stub


def _n(value: float) -> str:
    """Write a place; tenths are fine enough."""
    return f"{value:.1f}".removesuffix(".0")
