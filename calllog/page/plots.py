"""Page: corrected segments and calls in, drawings as SVG text out; no files touched."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

from calllog.lines import Line
from calllog.page.chart import (
    BOTTOM,
    DASH,
    HEIGHT,
    LEFT,
    RIGHT,
    SMALL,
    TOP,
    WIDTH,
    Axis,
    Chart,
    boxes,
    colour,
    cut,
    dots,
    dotted,
    level,
    stroke,
    texture,
    ticks,
    triangles,
)
from calllog.recognise import SURE
from calllog.report import JobHeader
from calllog.tape import Certificate
from calllog.units import in_unit, stated_temperature
from calllog.values import CorrectedSegment, Message, message
from calllog.wording import ENGLISH, Words

TEXTURES = ("", "-", "", "|", "+")
"""What tells the parts of a bar apart beside their colour; the third is light enough alone."""
PARTS = ("standardisation", "temperature", "tension", "sag", "slope")
NAMES = 14.0
"""Room for the names of lines, at the top [drawing's unit]."""
CROWDED = 150
"""Marks from which on they are drawn half as wide."""
EXCEPTIONS = 8
"""Exceptions that are written out."""
LEAST_PERCENT = 50
"""Where the scale of certainty begins; less is drawn there with its figure."""
UNKNOWN = 11.0
"""How high the box of what is not known is drawn."""
ROOM = 9.0
"""How wide a bar must be for a sign inside it."""
Numbered = tuple[int, float]
"""Number of a pull or call, and a figure of it."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing: what it shows, in words too."""

    name: str
    title: str
    words: str
    """What can be read from it, for those who cannot see it."""
    svg: str
    """Empty where there is nothing to draw."""


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
    words = words.measured_in(header.unit_read)
    pulls = sorted(
        ((each, words.say(line.name.told)) for line in lines for each in line.corrected),
        key=lambda pair: pair[0].segment.pull,
    )
    day = _Day(tuple(each for each, _ in pulls), tuple(name for _, name in pulls), words)
    return (
        _differences(day, header.tolerance_hundredths / 100, words),
        _corrections(day, words),
        _drift(day, tapes, words),
        _certainty(calls, words),
    )


@dataclass(frozen=True)
class _Day:
    """The pulls in their order, one place each below the drawing, and the lines they are of."""

    pulls: tuple[CorrectedSegment, ...]
    names: tuple[str, ...]
    say: Words

    @property
    def axis(self) -> Axis:
        return Axis(-0.5, max(1, len(self.pulls)) - 0.5, LEFT, WIDTH - RIGHT)

    @property
    def step(self) -> float:
        """How much room one pull has."""
        return (WIDTH - RIGHT - LEFT) / max(1, len(self.pulls))

    @property
    def bar(self) -> float:
        """How wide a bar is: they do not touch, since no value runs on to the next pull."""
        return min(26.0, self.step * 0.72)

    def place(self, pull: int) -> float:
        """Give where a pull is drawn."""
        return self.axis(self._places[pull])

    @cached_property
    def _places(self) -> dict[int, int]:
        return {each.segment.pull: place for place, each in enumerate(self.pulls)}

    def set_on(self, chart: Chart) -> None:
        """Draw the scale of the pulls, and where one line ends and the next begins."""
        begins, y = 0, HEIGHT - BOTTOM
        for place, (name, run) in enumerate(groupby(self.names)):
            count = len(list(run))
            x, to = self.axis(begins - 0.5), self.axis(begins + count - 0.5)
            if place:
                chart.group(stroke("ink", 1, "1 3"), f'<path d="M{x:.1f} {TOP:.1f}V{y:.1f}"/>')
            if count < len(self.names) and (shown := cut(name, to - x - 6, SMALL)):
                chart.text(x + 4, TOP + 9, shown, size=SMALL)
            begins += count
        numbers = [each.segment.pull for each in self.pulls]
        shown_at = _every(len(numbers))
        marks = [(float(at), str(numbers[at])) for at in range(0, len(numbers), shown_at)]
        chart.along(self.axis, self.say("plot-number-of-pull"), marks, y)


def _every(count: int) -> int:
    """Tell which pulls are numbered: each, or each second, fifth, tenth."""
    return next((each for each in (1, 2, 5, 10, 20, 50, 100) if count <= 14 * each), 200)


def _differences(day: _Day, tolerance: float, say: Words) -> Drawing:
    title, digits = say("plot-differences"), say.unit.digits
    found = [
        (each.segment.pull, each.segment.difference / say.unit.counts)
        for each in day.pulls
        if each.segment.difference is not None
    ]
    if not found:
        return Drawing("differences", title, say("plot-differences-none"), "")
    within = [(pull, d) for pull, d in found if abs(d) <= tolerance + 1e-9]
    beyond = [(pull, d) for pull, d in found if abs(d) > tolerance + 1e-9]
    words = say(
        "plot-differences-words",
        checked=len(found),
        pulls=len(day.pulls),
        greatest=f"{max((d for _, d in found), key=abs):+.{digits}f}",
        tolerance=f"{tolerance:.{digits}f}",
        beyond=_listed(beyond, say),
    )
    edge = max(2.5 * tolerance, 2.5 / say.unit.counts)
    y = Axis(-edge, edge, HEIGHT - BOTTOM, TOP)
    chart = Chart()
    high = y(-tolerance) - y(tolerance)
    band = f"fill: {colour('band')}"
    chart.group(band, boxes([(LEFT, y(tolerance), WIDTH - RIGHT - LEFT, high)]))
    chart.upright(y, say("plot-check-minus-take"), 5, f"+.{digits}f")
    chart.group(stroke("ink", 1, DASH), level(y(tolerance)), level(y(-tolerance)))
    chart.explain(
        stroke("ink", 1, DASH),
        '<path d="M-7 0h14"/>',
        f"{say('plot-tolerance')} \u00b1{tolerance:.{digits}f} {say.unit.symbol}",
    )
    day.set_on(chart)
    size = _size(len(found))
    chart.group(dotted("plot-1", size), dots((day.place(pull), y(d)) for pull, d in within))
    chart.explain(dotted("plot-1", 7), dots([(0, 0)]), say("plot-within"))
    if beyond:
        held = [(day.place(pull), y(max(-edge, min(edge, d))), d) for pull, d in beyond]
        chart.group(f"fill: {colour('plot-2')}", triangles((x, at) for x, at, _ in held))
        chart.explain(f"fill: {colour('plot-2')}", triangles([(0, 0)]), say("plot-beyond"))
        for x, at, d in held[:EXCEPTIONS]:
            chart.beside(x, at, f"{d:+.{digits}f}")
    return Drawing("differences", title, words, chart.svg("differences", title, words))


def _corrections(day: _Day, say: Words) -> Drawing:
    title = say("plot-corrections")
    sums = [in_unit(each.corrections.sum_ft, say.unit) for each in day.pulls]
    if not day.pulls:
        return Drawing("corrections", title, say("plot-corrections-none"), "")
    known = [each.corrections.model_dump() for each in day.pulls]
    lacking = [place for place, each in enumerate(known) if None in each.values()]
    words = say(
        "plot-corrections-words",
        range=_range(sums, "+.4f"),
        lacking=len(lacking),
        pulls=len(day.pulls),
    )
    values = {
        name: [in_unit(each[f"{name}_ft"] or 0.0, say.unit) for each in known] for name in PARTS
    }
    tops = [sum(max(0.0, values[name][at]) for name in PARTS) for at in range(len(known))]
    bottoms = [sum(min(0.0, values[name][at]) for name in PARTS) for at in range(len(known))]
    low, high = min(0.0, *bottoms), max(0.0, *tops)
    least = 0.06 * ((high - low) or 1.0 / say.unit.counts)
    above = (UNKNOWN + 4 if lacking else 0.0) + (NAMES if len(set(day.names)) > 1 else 0.0)
    y = _spanning([low, high], HEIGHT - BOTTOM, TOP, least, above, share=0.06)
    chart = Chart()
    chart.upright(y, say("plot-correction"), 5)
    _bars(chart, day, values, y, say)
    chart.group(stroke("ink", 1), level(y(0)))
    day.set_on(chart)
    wide = day.bar + 4
    marks = "".join(
        f'<path d="M{day.axis(at) - wide / 2:.1f} {y(total):.1f}h{wide:.1f}"/>'
        for at, total in enumerate(sums)
    )
    chart.group(stroke("paper", 5), marks)
    chart.group(stroke("ink", 2.2), marks)
    chart.explain(stroke("ink", 2.2), '<path d="M-7 0h14"/>', say("plot-sum"))
    if lacking:
        left = [(day.axis(at) - day.bar / 2, y(tops[at]) - UNKNOWN - 2) for at in lacking]
        chart.group(stroke("ink", 1, "2 2"), boxes((x, top, day.bar, UNKNOWN) for x, top in left))
        if day.bar >= ROOM:
            for x, top in left:
                chart.text(x + day.bar / 2, top + UNKNOWN - 2, "?", "middle", SMALL)
        chart.explain(stroke("ink", 1, "2 2"), boxes([(-6, -5, 12, 10)]), say("plot-unknown"))
    return Drawing("corrections", title, words, chart.svg("corrections", title, words))


def _bars(
    chart: Chart, day: _Day, values: Mapping[str, Sequence[float]], y: Axis, say: Words
) -> None:
    """Stack what each correction adds above the zero, and what it takes below."""
    above, below = [0.0] * len(day.pulls), [0.0] * len(day.pulls)
    for place, (name, kind) in enumerate(zip(PARTS, TEXTURES, strict=True), start=1):
        rects = []
        for at, value in enumerate(values[name]):
            stack = above if value > 0 else below
            if value:
                edges = y(stack[at]), y(stack[at] + value)
                left = day.axis(at) - day.bar / 2
                rects.append((left, min(edges), day.bar, abs(edges[0] - edges[1])))
            stack[at] += value
        if not rects:
            continue
        paint = f"fill: {colour(f'plot-{place}')}; stroke: {colour('ink')}; stroke-width: 0.4"
        lines = stroke("paper", 1)
        chart.group(paint, boxes(rects))
        if drawn := texture(rects, kind):
            chart.group(lines, drawn)
        key = [(-6.0, -5.0, 12.0, 10.0)]
        chart.explain(
            paint,
            f'{boxes(key)}<g style="{lines}">{texture(key, kind)}</g>',
            say("page-correction", correction=name),
        )


def _drift(day: _Day, tapes: Mapping[str, Certificate], say: Words) -> Drawing:
    title = say("plot-drift")
    warm = [
        (each.segment.pull, stated_temperature(t, say.unit))
        for each in day.pulls
        if (t := each.segment.conditions.temperature_degf) is not None
    ]
    drift = [
        (each.segment.pull, 100 * c / each.segment.length_read_ft)
        for each in day.pulls
        if (c := each.corrections.temperature_ft) is not None and each.segment.length_read_ft > 0
    ]
    if not warm:
        return Drawing("drift", title, say("plot-drift-none"), "")
    standards = sorted(
        {
            stated_temperature(tapes[each.segment.tape].certified_temperature_degf, say.unit)
            for each in day.pulls
        }
    )
    words = say(
        "plot-drift-words",
        stated=len(warm),
        pulls=len(day.pulls),
        range=_range([t for _, t in warm], "g"),
        standards=", ".join(f"{each:g}" for each in standards),
    )
    if drift:
        words += " " + say("plot-drift-changed", range=_range([d for _, d in drift], "+.4f"))
    chart = Chart()
    middle = (TOP + HEIGHT - BOTTOM) / 2
    upper = _spanning([*(t for _, t in warm), *standards], middle - 9, TOP, 2.0, NAMES)
    chart.upright(upper, say("plot-temperature"), 3)
    chart.group(stroke("ink", 1, DASH), *(level(upper(each)) for each in standards))
    chart.explain(stroke("ink", 1, DASH), '<path d="M-7 0h14"/>', say("plot-certified"))
    size = _size(len(warm))
    chart.group(dotted("plot-2", size), dots((day.place(pull), upper(t)) for pull, t in warm))
    chart.explain(dotted("plot-2", 7), dots([(0, 0)]), say("plot-tape"))
    lower = _spanning([0.0, *(d for _, d in drift)], HEIGHT - BOTTOM, middle + 19, 0.001)
    chart.upright(lower, say("plot-per-hundred"), 3)
    chart.group(stroke("ink", 1), level(lower(0)))
    chart.group(dotted("plot-1", size), dots((day.place(pull), lower(d)) for pull, d in drift))
    chart.explain(dotted("plot-1", 7), dots([(0, 0)]), say("plot-temperature-correction"))
    day.set_on(chart)
    return Drawing("drift", title, words, chart.svg("drift", title, words))


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
    y = Axis(LEAST_PERCENT, 100, HEIGHT - BOTTOM, TOP + 4)
    first, last = calls[0][0], calls[-1][0]
    x = Axis(first - 0.6, last + 0.6, LEFT, WIDTH - RIGHT)
    chart = Chart()
    chart.upright(y, say("plot-certainty-percent"), 5)
    chart.group(stroke("ink", 1, DASH), level(y(100 * SURE)))
    chart.explain(
        stroke("ink", 1, DASH),
        '<path d="M-7 0h14"/>',
        say("plot-asked-below", percent=f"{100 * SURE:.0f}"),
    )
    size = _size(len(taken))

    def place(points: Sequence[Numbered]) -> list[tuple[float, float]]:
        return [(x(number), y(max(LEAST_PERCENT, sure))) for number, sure in points]

    chart.group(dotted("plot-1", size), dots(place(taken)))
    chart.explain(dotted("plot-1", 7), dots([(0, 0)]), say("plot-taken"))
    if asked:
        chart.group(f"fill: {colour('plot-2')}", triangles(place(asked)))
        chart.explain(f"fill: {colour('plot-2')}", triangles([(0, 0)]), say("plot-asked"))
    low = sorted((each for each in (*taken, *asked) if each[1] < 100 * SURE), key=lambda e: e[1])
    for number, sure in low[:EXCEPTIONS]:
        chart.beside(*place([(number, sure)])[0], f"{number}: {sure:.0f} %")
    whole = [each for each in ticks(first - 0.6, last + 0.6, 9)[0] if each == int(each)]
    marks = [(each, f"{each:.0f}") for each in whole]
    chart.along(x, say("plot-number-of-call"), marks, HEIGHT - BOTTOM)
    return Drawing("certainty", title, words, chart.svg("certainty", title, words))


def _spanning(
    values: Sequence[float],
    begins: float,
    ends: float,
    least: float,
    names: float = 0.0,
    *,
    share: float = 0.12,
) -> Axis:
    """Make a scale that holds all values, with some room beyond them.

    Args:
        values: all that is drawn by it.
        begins: where its lower end is drawn.
        ends: where its upper end is.
        least: room beyond the values, at the least [their unit].
        names: room above the highest that stays free, for names of lines [drawing's unit].
        share: room beyond the values, as a share of what they span.
    """
    low, high = min(values), max(values)
    room = max(share * (high - low), least)
    free = names / (begins - ends)
    top = (high - free * (low - room)) / (1 - free)
    return Axis(low - room, max(high + room, top), begins, ends)


def _size(count: int) -> float:
    return 7.0 if count <= CROWDED else 3.5


def _range(values: Sequence[float], form: str) -> str | Message:
    least, most = f"{min(values):{form}}", f"{max(values):{form}}"
    return least if least == most else message("plot-range", least=least, most=most)


def _listed(points: Sequence[Numbered], say: Words) -> str:
    if not points:
        return say("plot-none-beyond")
    listed = ", ".join(
        say("plot-beyond-pull", pull=pull, difference=f"{d:+.{say.unit.digits}f}")
        for pull, d in points[:EXCEPTIONS]
    )
    return listed if len(points) <= EXCEPTIONS else say("plot-beyond-and-more", listed=listed)
