"""Makes the papers of what was measured, and README's few figures, from the kept results.

``python -m tests.measured.papers`` writes ``tests/bench/RESULTS.md``, ``tests/torture/RESULTS.md``
and what stands between marks in ``README.md``. A test compares; nobody types a figure there.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from tests.measured.parts import AIMS, PARTS, Aim
from tests.measured.results import ROOT, Cell, Results, Table, read_results

FOLDERS = {kind: ROOT / "tests" / kind / "results" for kind in PARTS}
PAPERS = {kind: ROOT / "tests" / kind / "RESULTS.md" for kind in PARTS}
README = ROOT / "README.md"
BEFORE = "before"
"""Folder of what was measured before results were kept, or by a part that is run no more."""
MARK = re.compile(r"(<!-- measured: (\w+) -->)(.*?)(<!-- end -->)", re.DOTALL)
MADE = (
    "Made from `results/` by `python -m tests.measured.papers`, whenever a part of `make {kind}` "
    "has run; nobody types a figure here."
)
HEADS = {
    "bench": "What the benchmarks measured",
    "torture": "What the torture measured",
    "mutants": "Faults put into the pure rooms, and which the tests notice",
}
EARLIER = {
    "bench": "Each of these stands as it was told by the commit that is named, of the program of "
    "that day. They are not figures of today's program; a part above replaces what it measures.",
    "torture": "Each of these stands as it was told by the commit that is named, of the program of "
    "that day.",
    "mutants": "",
}


def of_part(kind: str, name: str) -> Results:
    """Find a part's results: the newest, else those from before results were kept.

    Raises:
        KeyError: there are none.
    """
    for folder in (FOLDERS[kind], FOLDERS[kind] / BEFORE):
        if (path := folder / f"{name}.json").exists():
            return read_results(path)
    message = f"nothing was measured of {name}"
    raise KeyError(message)


def earlier(kind: str) -> list[Results]:
    """Read what was measured before results were kept, newest first."""
    found = [read_results(path) for path in sorted((FOLDERS[kind] / BEFORE).glob("*.json"))]
    return sorted(found, key=lambda each: -each.measured.toordinal())


def paper(kind: str) -> str:
    """Make the paper of the benchmarks or of the torture."""
    return "\n\n".join([f"# {HEADS[kind]}", MADE.format(kind=kind), *_sections(kind)]) + "\n"


def _sections(kind: str) -> Iterator[str]:
    missing = []
    yield from _aims(kind)
    for part in PARTS[kind]:
        path = FOLDERS[kind] / f"{part.name}.json"
        if not path.exists():
            missing.append(f"`{part.name}`")
            continue
        found = read_results(path)
        yield f"## {part.title}"
        if part.about:
            yield part.about
        yield _known(found, f"`make {kind} PART={part.name}`")
        yield from _body(found)
    yield from _took(kind)
    if missing:
        yield f"No results yet of this form: {', '.join(missing)}."
    if before := earlier(kind):
        yield "# Before results were kept"
        yield EARLIER[kind]
    for found in before:
        yield f"## {found.title}"
        yield _known(found, "told by")
        yield from _body(found)


def _took(kind: str) -> Iterator[str]:
    """Say how long the parts of a whole run take, as far as each was timed."""
    lines = [("part", "planned min", "s", "processor s", "commit"), ("---",) * 5]
    timed = seconds = processor_s = 0
    for part in PARTS[kind]:
        path = FOLDERS[kind] / f"{part.name}.json"
        found = read_results(path) if path.exists() else None
        if found is None or found.took is None:
            continue
        took, planned = found.took, _shown(part.minutes)
        lines.append(
            (part.name, planned, _shown(took.seconds), _shown(took.processor_s), found.commit)
        )
        if not part.is_asked:
            timed, seconds = timed + 1, seconds + took.seconds
            processor_s += took.processor_s
    if not timed:
        return
    whole = sum(not part.is_asked for part in PARTS[kind])
    lines.append(
        (f"{timed} of the {whole} of a whole run", "", _shown(seconds), _shown(processor_s), "")
    )
    yield "## How long the parts took"
    yield (
        "By the clock, which other work on the computer makes longer, and of the processor, with "
        "all that a part began and waited for. One that is gone on with has only the rest."
    )
    yield "\n".join(f"| {' | '.join(line)} |" for line in lines)


def _known(found: Results, how: str) -> str:
    known = [f"{found.measured}", found.machine, f"n: {found.n}"]
    if found.voices:
        known.append(f"voices: {', '.join(found.voices)}")
    known += [f"{name} `{digest}`" for name, digest in found.models.items()]
    where = f"commit `{found.commit}`"
    return f"*{'; '.join(known)}; {how}{' ' if found.build == '' else ', '}{where}.*"


def _body(found: Results) -> Iterator[str]:
    if found.remark:
        yield found.remark
    for table in found.tables:
        if table.title:
            yield f"**{table.title}**"
        yield drawn(table)


def drawn(table: Table) -> str:
    """Draw a table."""
    lines = [table.columns, ("---",) * len(table.columns)]
    lines += [tuple(_shown(cell) for cell in row) for row in table.rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def _shown(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, int):
        return f"{cell:,}"
    if isinstance(cell, float):
        return f"{cell:,.0f}" if abs(cell) >= 1000 else f"{cell:.4g}"
    return cell.replace("|", "/").replace("\n", " ")


def _aims(kind: str) -> Iterator[str]:
    lines = [("what", "aim", "measured", "met"), ("---",) * 4]
    for aim in (each for each in AIMS if each.kind == kind):
        try:
            found = of_part(kind, aim.part)
            value = found.table(aim.table).cell(aim.row, aim.column)
        except KeyError:
            continue
        if not isinstance(value, int | float):
            continue
        lines.append(
            (aim.what, _wanted(aim), f"{_shown(value)} {aim.unit}".strip(), _met(aim, value))
        )
    if len(lines) > 2:
        yield "## Aims"
        yield "\n".join(f"| {' | '.join(line)} |" for line in lines)


def _wanted(aim: Aim) -> str:
    sign, bound = ("≤", aim.most) if aim.most is not None else ("≥", aim.least)
    return f"{sign} {_shown(bound)} {aim.unit}".strip()


def _met(aim: Aim, value: float) -> str:
    is_met = value <= aim.most if aim.most is not None else value >= (aim.least or 0.0)
    return "yes" if is_met else "**no**"


def people() -> str:
    """Say in README what the default hears of people."""

    def both(row: str, part: str = "people") -> tuple[str, str]:
        table = of_part("bench", part).table("calls of the default")
        right, wrong = (table.cell(row, column) for column in ("right %", "wrong %"))
        return f"{right:.0f}", f"{wrong:.0f}"

    quiet, hiss, rain = (both(f"two, {each}, all") for each in ("clean", "pink 10", "rain 5"))
    american, french = both("two, clean, b"), both("two, clean, c")
    whole = both("any form, clean", "whole-numbers")
    return (
        f'Of three people who said two figures ("four two") in quiet, {quiet[0]} of 100 calls were '
        f"right, {quiet[1]} *taken wrong* without a question, the rest asked again; in a strong "
        f"hiss (10 dB below the voice) {hiss[0]} and {hiss[1]}, in recorded rain (5 dB) {rain[0]} "
        f"and {rain[1]}. An American got {american[0]} and {american[1]} in quiet, a French accent "
        f"{french[0]} and {french[1]}. A fourth person, who says numbers whole "
        f'("forty-two"), got {whole[0]} and {whole[1]} in quiet: say them that way.'
    )


def enroll() -> str:
    """Say in README what the same people get once the program has learned their voices."""
    table = of_part("bench", "enroll").table("all, by calls learned from")

    def both(calls: int, noise: str) -> tuple[str, str]:
        right, wrong = (table.cell(f"{calls}, {noise}", each) for each in ("right", "wrong"))
        return f"{right:.0f}", f"{wrong:.0f}"

    (quiet, before), (hiss, hiss_before) = (
        (both(24, noise), both(0, noise)) for noise in ("clean", "pink 10 dB")
    )
    return (
        f"After 24 calls the three got {quiet[0]} of 100 right and {quiet[1]} wrong in quiet "
        f"({before[0]} and {before[1]} before), {hiss[0]} and {hiss[1]} in hiss "
        f"({hiss_before[0]} and {hiss_before[1]})."
    )


FILLED: dict[str, Callable[[], str]] = {"people": people, "enroll": enroll}
"""What stands between README's marks, by the mark's name."""


def readme(text: str) -> str:
    """Fill in README's figures."""
    return MARK.sub(lambda found: f"{found[1]}{FILLED[found[2]]()}{found[4]}", text)


def write_papers() -> None:
    """Write all papers anew."""
    for kind, path in PAPERS.items():
        path.write_text(paper(kind), "utf-8")
    README.write_text(readme(README.read_text("utf-8")), "utf-8")


if __name__ == "__main__":
    write_papers()
