"""Panel: a `ViewText` in, something that rich prints out, fitted to the terminal; no files touched.

Every state has a word or a sign; bold, reversed and coloured text only repeats it. What matters
least is left out first where the terminal is small: of a stop, nothing.
"""

from dataclasses import dataclass

from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, RenderResult
from rich.text import Text

from calllog.panel.glyphs import ROWS, WIDEST, can_enlarge, columns, enlarge
from calllog.panel.view import CallStanding, Sign
from calllog.panel.worded import CallText, MicrophoneText, ViewText, WayText
from calllog.panel.words import length_text
from calllog.wording import ENGLISH, Words

SIGNS = {Sign.AGREES: "=", Sign.BOOKED: "=", Sign.STOP: "!", Sign.ASKED: "?"}
STYLES = {
    Sign.AGREES: "bold reverse green",
    Sign.BOOKED: "bold reverse",
    Sign.STOP: "bold reverse red",
    Sign.ASKED: "bold reverse yellow",
}
MARKS = {
    CallStanding.TAKEN: " ",
    CallStanding.ASKED: "?",
    CallStanding.HELD: "|",
    CallStanding.STRUCK: "x",
    CallStanding.TALK: ".",
}
LOWEST_DBFS = -60.0
METER_COLUMNS = 12
LABEL_COLUMNS = 9
MARGIN_COLUMNS = 3
"""Between two large numbers."""
LARGEST = 4
LEAST_EARLIER = 3
"""Earlier calls that come before blank lines do."""
MUST, SHOULD, MAY = 3, 2, 1
"""Ranks of blocks: what must be seen, what large figures make room for, what only fills up."""


@dataclass(frozen=True, slots=True)
class _Block:
    """Lines that stand together; those of the lowest rank are left out first."""

    rank: int
    lines: tuple[Text, ...]


@dataclass(frozen=True, slots=True)
class _Page:
    """The terminal's size and what it can show."""

    console: Console
    width: int
    height: int
    is_ascii: bool
    words: Words

    def text(self, words: str, style: str = "") -> Text:
        """Make text that the terminal can show: no control signs, and ASCII where it must be."""
        shown = "".join(sign if sign.isprintable() else " " for sign in words)
        if self.is_ascii:
            shown = (
                shown.replace("…", "...")
                .replace("↵", " Enter")
                .encode("ascii", "replace")
                .decode("ascii")
            )
        return Text(shown, style)

    def line(self, words: str, right: str = "", style: str = "") -> Text:
        """Fill one line of the page, with something at its right end if it fits."""
        line, end = self.text(f" {words}", style), self.text(f"{right} ", style)
        room = self.width - line.cell_len - end.cell_len
        if right and room > 0:
            line.append(" " * room).append_text(end)
        line.truncate(self.width, pad=True)
        return line

    def labelled(self, label: str, words: str, style: str = "") -> tuple[Text, ...]:
        """Wrap words to the right of a label."""
        lines = self.text(words).wrap(self.console, max(self.width - LABEL_COLUMNS - 2, 1))
        heads = (f"{label:<{LABEL_COLUMNS}}", *[" " * LABEL_COLUMNS] * (len(lines) - 1))
        return tuple(
            self.line(f"{head}{line.plain.rstrip()}", style=style)
            for head, line in zip(heads, lines, strict=False)
        )


@dataclass(frozen=True, slots=True)
class PanelDrawing:
    """A view as rich prints it: as wide and at most as high as the terminal."""

    view: ViewText
    words: Words = ENGLISH
    """The language that the view is in."""

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Draw it."""
        page = _Page(
            console,
            options.max_width,
            options.height or options.max_height,
            options.ascii_only,
            self.words.measured_in(self.view.unit),
        )
        lines = [line.copy() for line in _lines(self.view, page)]
        for line in lines:  # one by one: a text with line breaks would be taken for a stranger's
            line.no_wrap, line.overflow = True, "crop"
            line.end = "" if line is lines[-1] else "\n"
            yield line


def _lines(view: ViewText, page: _Page) -> list[Text]:
    """Choose the largest figures that leave room for the rest, then fill the page."""
    if view.invitation:
        return [page.text(row, "black on white") for row in view.invitation[: page.height]]
    above, below = _above(view, page), _below(view, page)
    must, should = (
        sum(len(each.lines) for each in (*above, *below) if each.rank >= rank)
        for rank in (MUST, SHOULD)
    )
    calls = [each for each in view.calls if each.standing is not CallStanding.TALK]
    is_wide = page.width >= 2 * columns(WIDEST) + MARGIN_COLUMNS
    calls = calls[-2:] if is_wide else calls[-1:]
    scale = 0
    for larger in range(1, LARGEST + 1):
        rows = must if larger == 1 else should + LEAST_EARLIER
        width = columns(WIDEST, larger) + (columns(WIDEST) + MARGIN_COLUMNS if is_wide else 0)
        if rows + 1 + larger * ROWS <= page.height and width <= page.width:
            scale = larger
    figures = _enlarged(calls, page, scale) if scale else _in_one_line(calls, page)
    blocks = [*above, _Block(MUST, figures), *below]
    for rank in (MAY, SHOULD):
        for block in reversed([each for each in blocks if each.rank == rank]):
            if sum(len(each.lines) for each in blocks) > page.height:
                blocks.remove(block)
    earlier = [each for each in view.calls if not any(each is large for large in calls)]
    return _filled([each.lines for each in blocks if each.lines], earlier, page)


def _filled(blocks: list[tuple[Text, ...]], earlier: list[CallText], page: _Page) -> list[Text]:
    """Use the rows that are left for earlier calls and for blank lines between the blocks."""
    spare = max(page.height - sum(map(len, blocks)), 0)
    few = min(spare, LEAST_EARLIER, len(earlier))
    blanks = min(spare - few, len(blocks))
    few = min(spare - blanks, len(earlier))
    lines: list[Text] = []
    for number, block in enumerate(blocks):
        lines += [*block, *([Text()] if number < blanks else [])]
    shown = earlier[len(earlier) - few :]
    for number, call in enumerate(shown):
        label = "" if number else page.words("screen-label-earlier")
        style = "dim" if call.standing is CallStanding.TALK else ""
        lines.append(page.line(f"{label:<{LABEL_COLUMNS}}{_label(call, page)}", style=style))
    return lines[: page.height]


def _above(view: ViewText, page: _Page) -> list[_Block]:
    words, length = page.words, length_text(view.total_ft, view.unit)
    total = words("screen-total", pulls=view.booked, length=length)
    top = page.line(
        words("screen-top", line=view.line, pull=view.pull),
        total,
        "bold reverse",
    )
    in_force = f"{view.tape}; {', '.join(view.conditions)}"
    return [_Block(MUST, (top,)), _Block(MAY, page.labelled(words("screen-label-tape"), in_force))]


def _below(view: ViewText, page: _Page) -> list[_Block]:
    words = page.words
    measured = words(
        "screen-measured",
        take=str(view.take) or "--",
        check=str(view.check) or "--",
        again=len(view.struck),
        struck=", ".join(view.struck),
    )
    typed = page.labelled(words("screen-label-typed"), f"{view.typed}_", "bold")
    note, phones = words("screen-label-note"), words("screen-label-phones")
    notices = [page.labelled(note, each, "bold") for each in view.notices]
    meters = tuple(line for each in view.microphones for line in _meter(each, page))
    is_warned = any(each.warning for each in view.microphones)
    is_decided = view.sign is Sign.STOP
    return [
        _Block(MUST, page.labelled(words("screen-label-pull"), measured)),
        _Block(MUST, _verdict(view, page)),
        _Block(MUST, page.labelled(words("screen-label-next"), view.expected, "bold")),
        _Block(MUST if is_decided else MAY, _ways(view, page)),
        _Block(MUST, typed if view.typed else ()),
        _Block(SHOULD, page.labelled(phones, view.phones) if view.phones else ()),
        *(_Block(MAY, each) for each in notices[:-1]),
        *(_Block(MUST, each) for each in notices[-1:]),
        _Block(SHOULD if is_warned else MAY, meters),
    ]


def _verdict(view: ViewText, page: _Page) -> tuple[Text, ...]:
    if view.sign is Sign.WAITS:
        return ()
    words = page.words
    head = f"{SIGNS[view.sign]} {words('screen-sign', sign=view.sign.name)}"
    verdict = words("screen-verdict", verdict=view.verdict, held=view.held)
    lines = page.labelled(head, verdict, STYLES[view.sign])
    do = page.labelled(words("screen-label-do"), view.remedy, "bold") if view.remedy else ()
    return (*lines, *do)


def _ways(view: ViewText, page: _Page) -> tuple[Text, ...]:
    """List what may be done: a line each where a decision is wanted, else one after another."""
    if view.sign is not Sign.STOP:
        shown = "; ".join(_way(each) for each in view.may)
        return page.labelled(page.words("screen-label-or"), shown) if shown else ()
    say = max((cell_len(_said(each)) for each in view.may), default=0)
    key = max((cell_len(each.key) for each in view.may), default=0)
    return tuple(
        page.line(
            f"{page.words('screen-label-or'):<{LABEL_COLUMNS}}{_said(each):<{say}}"
            f"  {each.key:<{key}}  {each.does}"
        )
        for each in view.may
    )


def _said(way: WayText) -> str:
    return f'"{way.say}"' if way.say else ""


def _way(way: WayText) -> str:
    """Name a way on by what is said, or else by what it does, and its key."""
    return " ".join(
        each for each in (_said(way) or way.does, f"[{way.key}]" * bool(way.key)) if each
    )


def _meter(microphone: MicrophoneText, page: _Page) -> tuple[Text, ...]:
    part = 1 - max(microphone.level_dbfs, LOWEST_DBFS) / LOWEST_DBFS
    meter = f"{'#' * round(min(part, 1.0) * METER_COLUMNS):-<{METER_COLUMNS}}"
    warning = f"! {microphone.warning}  " if microphone.warning else ""
    noise = page.words("screen-noise", level=f"{microphone.noise_dbfs:.0f}")
    levels = f"{microphone.level_dbfs:4.0f} dB  {warning}{noise}"
    name = microphone.name[: LABEL_COLUMNS - 1]
    return page.labelled(name, f"{meter} {levels}", "bold" if warning else "")


def _label(call: CallText, page: _Page) -> str:
    words, stands = page.words, call.standing
    sure = words("screen-typed") if call.is_keyed else f"{call.probability:.0%}"
    told = words("screen-standing", standing=stands.value)
    standing = "" if stands is CallStanding.TAKEN else f"  {told}"
    who = f"{call.who}: " if call.who else ""
    return f"{MARKS[call.standing]} {who}{call.words or '…'}  {sure}{standing}"


def _in_one_line(calls: list[CallText], page: _Page) -> tuple[Text, ...]:
    words = "  ".join(f"{each.who} {each.figures or each.words}" for each in calls)
    return (page.line(words, style="bold"),)


def _enlarged(calls: list[CallText], page: _Page, scale: int) -> tuple[Text, ...]:
    """Draw one call, or two side by side: the newest on the right and as large as it may be."""
    height = 1 + scale * ROWS
    if not calls:
        return tuple(page.line("") for _ in range(height))
    if len(calls) == 1:
        return _cell(calls[0], page, scale, page.width, height)
    room = page.width - MARGIN_COLUMNS
    left = room - columns(WIDEST, scale)
    smaller = max(each for each in range(1, scale + 1) if columns(WIDEST, each) <= left)
    width = room // 2 if smaller == scale else columns(WIDEST, smaller)
    before = _cell(calls[0], page, smaller, width, height)
    newest = _cell(calls[1], page, scale, room - width, height)
    return tuple(
        Text.assemble(one, " " * MARGIN_COLUMNS, other)
        for one, other in zip(before, newest, strict=True)
    )


def _cell(call: CallText, page: _Page, scale: int, width: int, height: int) -> tuple[Text, ...]:
    """Draw one call: who and what on top, its figures below, or its words where it has none."""
    lines = [page.text(f" {_label(call, page)}", "bold")]
    if can_enlarge(call.figures) and columns(call.figures, scale) < width:
        solid, faint = ("#", ":") if page.is_ascii else ("█", "▒")
        is_sound = call.standing in (CallStanding.TAKEN, CallStanding.ASKED)
        rows = enlarge(call.figures, scale, solid if is_sound else faint)
        lines += [Text(f" {row}", "bold") for row in rows]
    else:
        middle = ROWS * scale // 2
        lines += [*[Text()] * middle, page.text(f" {call.words.upper()}", "bold")]
    lines += [Text()] * (height - len(lines))
    cell = tuple(line.copy() for line in lines)
    for line in cell:
        line.truncate(width, pad=True)
    return cell
