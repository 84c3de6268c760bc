"""Makes ``said.json``: what the program says of values and lengths, right or refused.

``python -m tests.golden.make_said``. A sentence that changes is read once more here, whole, beside
all others; no test holds fragments of it. Amounts are in the sentences as the office reads them.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from calllog.corrections import (
    End,
    Situation,
    assumptions,
    doubts,
    layout_reading,
    length_budget,
    pocket_table,
    state,
    true_pull,
)
from calllog.corrections.practice import PRACTICE
from calllog.errors import CalllogError
from calllog.tape import Certificate
from calllog.units import (
    Foot,
    in_unit,
    parse_force_lbf,
    parse_form,
    parse_length,
    parse_measure,
    parse_slope_rad,
    parse_temperature_degf,
    show,
)
from calllog.units.measure import Form
from calllog.units.reading import (
    stated_length,
    stated_temperature,
    stated_tension,
)
from calllog.units.table import Unit, find_unit
from calllog.values import ReadingUnit
from calllog.wording import ENGLISH
from tests.tapes import certificate, metric_tape

KEPT = Path(__file__).parent / "said.json"
Told = dict[str, list[str]]
VALUES: dict[Callable[[str], object], str] = {
    parse_temperature_degf: "50F|-4 degC|10 K|warm|50|F|1/0 F|-500F|" + "9" * 70 + "F",
    parse_force_lbf: "15lb|66.7 N|-1lb|0lb|15|15 1/0 lb|15 horses|1/2 lb|0.5 lb|-0.5 N|lb",
    parse_slope_rad: "2.5%|3deg|15 deg 25 min 30 sec|15 deg 60 min|15 deg 5 min 60 sec|-1 in 10"
    "|1 in 0|1/0 in 5|1 in 2 in 3|90deg|-89 deg|89 deg|61 deg|91deg|steep|3 per cent|4 percent|100%"
    "|-1:10|1:0|1/0 deg|5 grads",
    lambda text: parse_length(text, Foot.INTERNATIONAL): "15.42 ft|12 acres|3 m2|15.42|-1 ft",
    parse_measure: "12 ch 45 lk|12 ch 145 lk|12.5 ch 45 lk|12 ch 100 lk|12 ch 66 ft|45 lk 12 ch"
    "|3 ac 5 ft|5 ft 3 m|5 ft 3 usft|ch.45|12 ch. .45 lk|5 Mm|5 mm|12 ch -45 lk|-12 ch 45 lk"
    "|5 ft and 3 in"
    "|5 ft, 3 in|5'-6\"|vara|3 vara|3 vara (Texas)|fot|5 fot|5 cubits|1/0 ft|1 ft^2|1 ft2|5..5 ft"
    "|5 ft (US survey foot)|5 m (US survey foot)|5 usft (international foot)|x|"
    + "1" * 97
    + " ft|"
    + "1" * 98
    + " ft",
    parse_form: "ft|ft in/16|ft in/0|ft in/1|ft in/2|ft in/x|ft in/1000|ft in/1001|in ft|ft m"
    "|Mm|ac ft|cubit|ft usft|ch lk (US survey foot)||ft in/1.5|m (US survey foot)",
    lambda text: find_unit(text, where="here"): "ft|feet|sq ft|ft^2|vara|fot|yrd|zzz|m|us ft",
}  # fmt: skip
SHOWN = (
    ("12 ch 45 lk", "ft"), ("-529.81 ft", "ch lk"), ("0 ft", "ft in/16"), ("5 ft", "m2"),
    ("-0.001 in", "ft in/16"), ("3.5 ac", "m2"), ("12.49 ft", "ft in/2"), ("1 m", "ft"),
)  # fmt: skip
STATED = (0.0, 1 / 3, 68.0, 87.654321)
READ = (*(f"values {number}" for number in range(len(VALUES))), "shown", *ReadingUnit)


def said_of_values(what: str) -> list[str]:
    """Say what is read of values, each on a line of its own, or why it is refused."""
    if what == "shown":
        return [_tried(partial(_shown, *each)) for each in SHOWN]
    if what.startswith("values"):
        reader, texts = list(VALUES.items())[int(what.split()[1])]
        return [_tried(partial(reader, text)) for text in texts.split("|")]
    ways = (in_unit, stated_length, stated_temperature, stated_tension)
    return [f"{way(number, ReadingUnit(what))!r}" for way in ways for number in STATED]


def _shown(value: str, to: str) -> str:
    return show(parse_measure(value), parse_form(to), 4)


def _tried(work: Callable[[], object]) -> str:
    """Do it; say what came of it, refused or not: what, where and what next."""
    try:
        found = work()
    except CalllogError as error:
        return f"{error} [{error.where}] [{error.next_step}] [{error.code}] {error.facts}"
    return _in_words(found)


def _in_words(found: object) -> str:
    if isinstance(found, float):
        return f"{found:.9g}"
    if isinstance(found, Form):
        return f"{[unit.name for unit in found.units]} {found.steps}"
    return f"{found.name}, {found.size} m" if isinstance(found, Unit) else str(found)


TAPES = {
    "feet": certificate(),
    "heavy": certificate(nominal_ft=50, certified_length_ft=50.0, weight_lb_per_ft=0.08),
    "meters": metric_tape(),
    "heavy meters": metric_tape(mass_kg_per_m=0.12),
}
SITUATIONS = {
    "nothing": Situation(),
    "all": Situation(
        temperature_degf=41.0, tension_lb=15.0, spans=1, rise_ft=3.0, off_line_ft=0.5,
        elevation_ft=5_000.0,
    ),
    "angle": Situation(temperature_degf=41.0, tension_lb=15.0, spans=2, angle_deg=5.0),
    "percent": Situation(temperature_degf=95.0, tension_lb=20.0, spans=0, percent=-2.5),
    "upper": Situation(tension_lb=10.0, spans=1, percent=30.0, tension_at=End.UPPER),
    "lower": Situation(tension_lb=10.0, spans=1, percent=30.0, tension_at=End.LOWER),
    "steep": Situation(tension_lb=10.0, spans=1, percent=120.0),
    "listed": Situation(tension_lb=12.0, hanging_ft=(20.0, 15.0)),
    "too many listed": Situation(tension_lb=12.0, hanging_ft=(200.0, 415.0, 900.0)),
    "empty span": Situation(tension_lb=12.0, hanging_ft=(20.0, 0.0)),
    "slack": Situation(tension_lb=0.9, spans=1),
    "slacker": Situation(tension_lb=0.3, spans=2),
    "no pull": Situation(tension_lb=0.0, spans=1),
    "no pull at one end": Situation(tension_lb=0.5, spans=1, angle_deg=80.0, tension_at=End.UPPER),
    "no pull at the middle": Situation(tension_lb=0.5, spans=1, angle_deg=85.0),
    "breaks": Situation(tension_lb=5_000.0),
    "cold": Situation(temperature_degf=-500.0),
    "glows": Situation(temperature_degf=1_500.5),
    "hot": Situation(temperature_degf=154.4),
    "far off": Situation(off_line_ft=400.0),
    "aside": Situation(off_line_ft=30.0, rise_ft=0.0),
    "cliff": Situation(rise_ft=400.0),
    "space": Situation(elevation_ft=3.0e7),
    "air": Situation(elevation_ft=40_000.0, spans=0, tension_lb=50.0),
    "spans": Situation(tension_lb=10.0, spans=100_000),
}  # fmt: skip
LEAST_SHARE = 0.001
"""Of the variance; what adds less is not told."""
LENGTHS_FT = (42.5, 136.48)


LENGTHS = (
    *(f"{tape}, {how}" for tape in TAPES for how in SITUATIONS),
    *(f"{tape}, by itself" for tape in TAPES),
)


def said_of(what: str) -> list[str]:
    """Say all that is said of a tape in a situation, or of it by itself."""
    tape, _, how = what.partition(", ")
    one = TAPES[tape]
    if how in SITUATIONS:
        return [each for length in LENGTHS_FT for each in _of_length(length, one, SITUATIONS[how])]
    ways = [(degf, spans) for degf in (None, 41.0) for spans in (0, 1, 4)]
    return [
        *assumptions(one),
        *(_tried(partial(_pull, one, degf, spans)) for degf, spans in ways),
        *(
            each
            for length in (-1.0, 0.0, math.inf, 1.0e9)
            for how in ("nothing", "all")
            for each in _of_length(length, one, SITUATIONS[how])
        ),
    ]


def _pull(tape: Certificate, degf: float | None, spans: int) -> str:
    found = true_pull(tape, degf, spans)
    pulls = (found.tension_of_accuracy_lb, found.normal_tension_lb)
    return " ".join("none" if each is None else f"{each:.5f}" for each in pulls)


def _of_length(length_ft: float, tape: Certificate, situation: Situation) -> Iterator[str]:
    yield _tried(lambda: _statement(length_ft, tape, situation))
    for said in ({}, {"temperature": "68C", "tension": "45N", "reading": "26.5 m"}):
        yield _tried(lambda: " / ".join(doubts(length_ft, tape, situation, said)))  # noqa: B023
    yield _tried(lambda: _layout(length_ft, tape, situation))
    yield _tried(lambda: _table(length_ft, tape, situation))
    yield _tried(lambda: _budget(length_ft, tape, situation))


def _statement(length_ft: float, tape: Certificate, situation: Situation) -> str:
    found = state(length_ft, tape, situation)
    parts = [
        f"{each.name} {'?' if each.amount_ft is None else f'{each.amount_ft:+.5f}'} by"
        f" {each.formula}, {each.source}"
        for each in found.parts
    ]
    return "; ".join((*parts, f"{found.horizontal_ft:.5f} {found.kind}", *found.warnings))


def _layout(length_ft: float, tape: Certificate, situation: Situation) -> str:
    found = layout_reading(length_ft, tape, situation)
    return (
        f"{found.full_pulls} of {found.full_horizontal_ft:.5f}, {found.last_reading_ft:.5f},"
        f" {found.reading_ft:.5f} {found.warnings}"
    )


def _table(length_ft: float, tape: Certificate, situation: Situation) -> str:
    rows = pocket_table((length_ft / 2, length_ft), tape, situation)
    return "; ".join(
        f"{row.add_ft:+.5f} {'-' if row.read_ft is None else f'{row.read_ft:.5f}'}" for row in rows
    )


def _budget(length_ft: float, tape: Certificate, situation: Situation) -> str:
    found = length_budget(length_ft, tape, situation, PRACTICE)
    rows = ", ".join(f"{row.contribution_ft:.6f}" for row in found.rows if row.share >= LEAST_SHARE)
    first, rest = found.greatest(3)
    amounts = [found.horizontal_ft, found.u_ft, found.u_random_ft, found.u_common_ft]
    told = " ".join(f"{each:.6f}" for each in (*amounts, found.together_ft(rest)))
    says = "; ".join(ENGLISH.say(each) for each in found.says)
    better = [f"{each.u_ft:.6f}" for each in found.prospects]
    return f"{told} {rows} {len(first)} {better} {says}"


def said() -> Told:
    """Say it all."""
    lengths = {what: said_of(what) for what in LENGTHS}
    return {**{str(what): said_of_values(what) for what in READ}, **lengths}


if __name__ == "__main__":
    KEPT.write_text(json.dumps(said(), indent=1, ensure_ascii=False) + "\n", "utf-8")
