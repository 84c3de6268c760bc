"""Page: corrected segments and calls in, drawings as SVG text out; no files touched.

The plotting library is an extra and loaded only here, so that listening neither needs nor loads it.
Colours are names with a value to fall back on (``var(--ink, #1a1a1a)``): a browser takes those of
the page, light or dark. Form, dash and hatch tell apart what colour does.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from calllog.files import inside
from calllog.lines import Line
from calllog.report import JobHeader
from calllog.tape import Certificate
from calllog.units import in_unit, stated_temperature
from calllog.values import CorrectedSegment, Message, message
from calllog.wording import ENGLISH, Words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

COLOURS = {
    "#1a1a1a": "ink",
    "#8a8a8a": "grid",
    "#e9e4d4": "band",
    "#ffffff": "paper",
    "#0b4f8a": "plot-1",
    "#a33b00": "plot-2",
    "#2f6b2f": "plot-3",
    "#6a3d8f": "plot-4",
    "#7a6a00": "plot-5",
}
"""Every colour that is drawn with, and the name under which the page may give another."""
INK, GRID, BAND, PAPER, *PLOTS = COLOURS
HATCHES = ("", "//", "..", "xx", "\\\\")
PARTS = ("standardisation", "temperature", "tension", "sag", "slope")
WIDTH_IN, HEIGHT_IN = 8.0, 3.0
ABOUT_IN = {"left": 1.0, "right": 0.8, "bottom": 0.55, "top": 0.4}
"""Room around the axes for their labels; fixed, since fitting it takes half the time."""
STYLE: dict[Any, Any] = {
    "font.family": "sans-serif",
    "font.size": 11,
    "svg.fonttype": "none",
    "svg.hashsalt": "calllog",
    "path.simplify": False,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.unicode_minus": True,
    "hatch.linewidth": 0.8,
    "text.parse_math": False,
    "legend.frameon": False,
    **dict.fromkeys(
        (
            "text.color",
            "axes.edgecolor",
            "axes.labelcolor",
            "xtick.color",
            "ytick.color",
            "hatch.color",
        ),
        INK,
    ),
}
_PATH = re.compile(r' d="[^"]*"')
_LONG_NUMBER = re.compile(r"(\d\.\d\d)\d+")
"""Hundredths of a point are fine enough."""
CROWDED = 300
"""Dots from which on they are drawn half as wide."""
OUTLIERS = 8
"""Differences off the scale that are written out."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing: what it shows, in words too."""

    name: str
    title: str
    words: str
    """What can be read from it, for those who cannot see it."""
    svg: str
    """Empty where there is nothing to draw."""


def missing_plots() -> Message | None:
    """Tell why no plots can be drawn; None if they can."""
    return message("page-plots-missing") if find_spec("matplotlib") is None else None


def draw(
    lines: Sequence[Line],
    header: JobHeader,
    tapes: Mapping[str, Certificate],
    calls: Sequence[tuple[int, float, bool]],
    words: Words = ENGLISH,
) -> tuple[Drawing, ...]:
    """Draw what an office looks at rather than reads.

    Args:
        lines: whose pulls are drawn.
        header: of the job, with its tolerance.
        tapes: the certificates in force.
        calls: number of each call heard, its probability, and whether something was asked.
        words: the language of all that is written.

    Returns:
        Check differences, corrections, temperature and drift, certainty.
    """
    with inside(Path(__file__).parent):  # else it took settings from the current folder
        from matplotlib import rc_context  # noqa: PLC0415 - an extra, and slow to load

    pulls = sorted(
        (each for line in lines for each in line.corrected), key=lambda each: each.segment.pull
    )
    words = words.measured_in(header.unit_read)
    with rc_context(STYLE):
        return (
            _differences(pulls, header.tolerance_hundredths / 100, words),
            _corrections(pulls, words),
            _drift(pulls, tapes, words),
            _certainty(calls, words),
        )


def _differences(pulls: Sequence[CorrectedSegment], tolerance: float, say: Words) -> Drawing:
    title, digits = say("plot-differences"), say.unit.digits
    found = [
        (each.segment.pull, each.segment.difference / say.unit.counts)
        for each in pulls
        if each.segment.difference is not None
    ]
    if not found:
        return Drawing("differences", title, say("plot-differences-none"), "")
    within = [(pull, d) for pull, d in found if abs(d) <= tolerance + 1e-9]
    beyond = [(pull, d) for pull, d in found if abs(d) > tolerance + 1e-9]
    words = say(
        "plot-differences-words",
        checked=len(found),
        pulls=len(pulls),
        greatest=f"{max((d for _, d in found), key=abs):+.{digits}f}",
        tolerance=f"{tolerance:.{digits}f}",
        beyond=_listed(beyond, say),
    )
    figure, (axes,) = _figure()
    edge = max(2.5 * tolerance, 2.5 / say.unit.counts)
    axes.axhspan(-tolerance, tolerance, color=BAND, lw=0)
    for each in (-tolerance, tolerance):
        axes.axhline(each, color=INK, lw=1, ls=(0, (5, 3)))
    axes.axhline(0, color=GRID, lw=0.8)
    axes.text(
        1.005,
        tolerance,
        f"{say('plot-tolerance')}\n±{tolerance:.{digits}f} {say.unit.symbol}",
        va="center",
        fontsize=9,
        transform=axes.get_yaxis_transform(),
    )
    _dots(axes, within, PLOTS[0], 6, say("plot-within"))
    if beyond:
        drawn = [max(-edge * 0.92, min(edge * 0.92, d)) for _, d in beyond]
        axes.plot(
            [pull for pull, _ in beyond],
            drawn,
            "^",
            color=PLOTS[1],
            ms=9,
            label=say("plot-beyond"),
        )
        for (pull, d), y in list(zip(beyond, drawn, strict=True))[:OUTLIERS]:
            axes.annotate(
                f"{d:+.{digits}f}",
                (pull, y),
                xytext=(7, 0),
                textcoords="offset points",
                va="center",
                fontsize=10,
            )
    axes.set_ylim(-edge, edge)
    _by_pull(axes, pulls, say)
    axes.set_ylabel(say("plot-check-minus-take"))
    _legend(axes)
    return Drawing("differences", title, words, _svg(figure, "differences", title, words))


def _corrections(pulls: Sequence[CorrectedSegment], say: Words) -> Drawing:
    title = say("plot-corrections")
    sums = [in_unit(each.corrections.sum_ft, say.unit) for each in pulls]
    if not pulls:
        return Drawing("corrections", title, say("plot-corrections-none"), "")
    lacking = [
        each.segment.pull for each in pulls if None in each.corrections.model_dump().values()
    ]
    words = say(
        "plot-corrections-words",
        range=_range(sums, "+.4f"),
        lacking=len(lacking),
        pulls=len(pulls),
    )
    figure, (axes,) = _figure()
    edges = _edges(pulls)
    above, below = [0.0] * len(pulls), [0.0] * len(pulls)
    for name, colour, hatch in zip(PARTS, PLOTS, HATCHES, strict=True):
        values = [
            in_unit(getattr(each.corrections, f"{name}_ft") or 0.0, say.unit) for each in pulls
        ]
        if not any(values):
            continue
        label: str | None = say("page-correction", correction=name)
        for stack, sign in ((above, 1), (below, -1)):
            parts = [max(0.0, sign * value) * sign for value in values]
            tops = [base + part for base, part in zip(stack, parts, strict=True)]
            if any(parts):
                axes.fill_between(
                    edges,
                    [*tops, tops[-1]],
                    [*stack, stack[-1]],
                    step="post",
                    facecolor=colour,
                    edgecolor=INK,
                    hatch=hatch,
                    lw=0.4,
                    label=label,
                )
                label = None
            stack[:] = tops
    steps = [*sums, sums[-1]]
    axes.plot(edges, steps, drawstyle="steps-post", color=PAPER, lw=5)
    axes.plot(edges, steps, drawstyle="steps-post", color=INK, lw=2, label=say("plot-sum"))
    axes.axhline(0, color=INK, lw=0.8)
    _by_pull(axes, pulls, say)
    axes.set_ylabel(say("plot-correction"))
    _legend(axes)
    return Drawing("corrections", title, words, _svg(figure, "corrections", title, words))


def _drift(
    pulls: Sequence[CorrectedSegment], tapes: Mapping[str, Certificate], say: Words
) -> Drawing:
    title = say("plot-drift")
    known = [
        (each, each.segment.conditions.temperature_degf, each.corrections.temperature_ft)
        for each in pulls
    ]
    warm = [
        (each.segment.pull, stated_temperature(t, say.unit))
        for each, t, _ in known
        if t is not None
    ]
    drift = [
        (each.segment.pull, 100 * c / each.segment.length_read_ft)
        for each, _, c in known
        if c is not None and each.segment.length_read_ft > 0
    ]
    if not warm:
        return Drawing("drift", title, say("plot-drift-none"), "")
    standards = sorted(
        {
            stated_temperature(tapes[each.segment.tape].certified_temperature_degf, say.unit)
            for each in pulls
        }
    )
    words = say(
        "plot-drift-words",
        stated=len(warm),
        pulls=len(pulls),
        range=_range([t for _, t in warm], "g"),
        standards=", ".join(f"{each:g}" for each in standards),
    )
    if drift:
        words += " " + say("plot-drift-changed", range=_range([d for _, d in drift], "+.4f"))
    figure, (upper, lower) = _figure(2)
    _dots(upper, warm, PLOTS[1], 6, say("plot-tape"))
    for each in standards:
        upper.axhline(each, color=INK, lw=1, ls=(0, (5, 3)), label=say("plot-certified"))
    upper.set_ylabel(say("plot-temperature"))
    upper.tick_params(labelbottom=False)
    _legend(upper)
    _dots(lower, drift, PLOTS[0], 6, say("plot-temperature-correction"))
    lower.axhline(0, color=INK, lw=0.8)
    lower.set_ylabel(say("plot-per-hundred"))
    for axes in (upper, lower):
        _by_pull(axes, pulls, say)
    upper.set_xlabel("")
    return Drawing("drift", title, words, _svg(figure, "drift", title, words))


def _certainty(calls: Sequence[tuple[int, float, bool]], say: Words) -> Drawing:
    title = say("plot-certainty")
    if not calls:
        return Drawing("certainty", title, say("plot-certainty-none"), "")
    asked = [(number, 100 * sure) for number, sure, is_asked in calls if is_asked]
    taken = [(number, 100 * sure) for number, sure, is_asked in calls if not is_asked]
    words = say("plot-certainty-words", calls=len(calls), asked=len(asked))
    if taken:
        least = f"{min(y for _, y in taken):.0f}"
        words += " " + say("plot-certainty-least", least=least)
    figure, (axes,) = _figure()
    _dots(axes, taken, PLOTS[0], 5, say("plot-taken"))
    if asked:
        axes.plot(*zip(*asked, strict=True), "^", color=PLOTS[1], ms=9, label=say("plot-asked"))
    axes.set_ylim(-4, 104)
    first, last = calls[0][0], calls[-1][0]
    axes.set_xlim(first - 0.6, last + 0.6)
    _whole_ticks(axes)
    axes.set_xlabel(say("plot-number-of-call"))
    axes.set_ylabel(say("plot-certainty-percent"))
    _legend(axes)
    return Drawing("certainty", title, words, _svg(figure, "certainty", title, words))


def _figure(panels: int = 1) -> tuple[Figure, Sequence[Axes]]:
    from matplotlib.figure import Figure as Drawn  # noqa: PLC0415 - an extra, and slow to load

    height_in = HEIGHT_IN * (1 + panels) / 2
    figure = Drawn(figsize=(WIDTH_IN, height_in))
    found = figure.subplots(panels, 1, squeeze=False)
    edge = ABOUT_IN
    figure.subplots_adjust(
        left=edge["left"] / WIDTH_IN,
        right=1 - edge["right"] / WIDTH_IN,
        bottom=edge["bottom"] / height_in,
        top=1 - edge["top"] / height_in,
    )
    axes: list[Axes] = list(found[:, 0])
    for each in axes:
        each.grid(axis="y", color=GRID, lw=0.4)
        each.set_axisbelow(True)
    return figure, axes


def _dots(
    axes: Axes, points: Iterable[tuple[float, float]], colour: str, size: float, label: str
) -> None:
    """Draw dots as one path of strokes without length and with round ends: small and fast."""
    xs: list[float] = []
    ys: list[float] = []
    for x, y in points:
        xs += (x, x, math.nan)
        ys += (y, y, math.nan)
    drawn = size if len(xs) <= 3 * CROWDED else size / 2
    axes.plot(xs, ys, color=colour, lw=drawn, solid_capstyle="round")
    axes.plot([], [], "o", color=colour, ms=size, label=label)


def _by_pull(axes: Axes, pulls: Sequence[CorrectedSegment], say: Words) -> None:
    edges = _edges(pulls)
    axes.set_xlim(edges[0], edges[-1])
    axes.set_xlabel(say("plot-number-of-pull"))
    _whole_ticks(axes)


def _whole_ticks(axes: Axes) -> None:
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - an extra, and slow to load

    axes.xaxis.set_major_locator(MaxNLocator(nbins=12, integer=True, min_n_ticks=1))


def _edges(pulls: Sequence[CorrectedSegment]) -> list[float]:
    """Give where each pull begins and ends on the axis; one reaches to the next of these lines."""
    numbers = [each.segment.pull for each in pulls]
    return [number - 0.5 for number in numbers] + [numbers[-1] + 0.5]


def _legend(axes: Axes) -> None:
    axes.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=6, fontsize=10)


def _range(values: Sequence[float], form: str) -> str | Message:
    least, most = f"{min(values):{form}}", f"{max(values):{form}}"
    return least if least == most else message("plot-range", least=least, most=most)


def _listed(points: Sequence[tuple[int, float]], say: Words) -> str:
    if not points:
        return say("plot-none-beyond")
    listed = ", ".join(
        say("plot-beyond-pull", pull=pull, difference=f"{d:+.{say.unit.digits}f}")
        for pull, d in points[:OUTLIERS]
    )
    return listed if len(points) <= OUTLIERS else say("plot-beyond-and-more", listed=listed)


def _svg(figure: Figure, name: str, title: str, words: str) -> str:
    """Write a drawing out, its identifiers made its own, its colours named, with words for it."""
    text = io.StringIO()
    figure.savefig(text, format="svg", transparent=True, metadata={"Date": None})
    drawn = text.getvalue()
    drawn = drawn[drawn.index("<svg") :]
    drawn = re.sub(r"<metadata>.*?</metadata>\s*", "", drawn, flags=re.DOTALL)
    drawn = re.sub(r'(\bid="|url\(#|href="#)', rf"\g<1>{name}-", drawn)
    drawn = _PATH.sub(lambda path: _LONG_NUMBER.sub(r"\1", path.group()), drawn)
    for colour, meaning in COLOURS.items():
        drawn = drawn.replace(colour, f"var(--{meaning}, {colour})")
    head = f'<svg role="img" aria-labelledby="{name}-title {name}-words" font-family="sans-serif" '
    said = (
        f'<title id="{name}-title">{escape(title)}</title>'
        f'<desc id="{name}-words">{escape(words)}</desc>'
    )
    drawn = drawn.replace("<svg ", head, 1)
    return re.sub(r"(<svg[^>]*>)", rf"\1{said}", drawn, count=1)
