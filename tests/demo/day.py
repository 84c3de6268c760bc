"""The demo's day: what is said, line by line, and what must come of it; data.

Everything is invented. Each line of a script is microphone (``h`` head, ``r`` rear), what it is,
and the words. A microphone stays with its wearer; after switching ends the head calls the whole
foot and the rear the hundredths. The expected outcomes were reckoned by hand from the scripts.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Pull:
    """What must be booked for a pull."""

    take_ft: float
    check_ft: float
    findings: tuple[str, ...] = ()
    superseded_ft: tuple[float, ...] = ()
    rise_ft: float | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One recording: a line of pulls with one tape."""

    name: str
    line_from: str
    line_to: str
    tape: str
    """File of its certificate."""
    seed: int
    temperature_degf: float
    tension_lb: float
    spans: int
    position: str | None
    pulls: tuple[Pull, ...]
    script: str


SPRING_TO_OAK = Line(
    name="spring-to-oak",
    line_from="Spring",
    line_to="Oak",
    tape="add-100.toml",
    seed=33,
    temperature_degf=41,
    tension_lb=20,
    spans=1,
    position=None,
    pulls=(
        Pull(47.64, 47.64, ("style-not-confirmed",)),
        Pull(83.44, 83.44),
        Pull(33.87, 33.87, ("foot-mark",), (33.87, 32.87)),
        Pull(64.46, 64.47, ("within-tolerance",)),
        Pull(85.76, 85.76),
    ),
    script="""
        h talk      it looks like rain over the hills
        h condition temperature four one
        h condition tension twenty
        r condition ends only
        r chatter   are you ready
        r whole     forty seven
        h fraction  sixty four
        h command   switch ends
        h whole     forty seven
        r fraction  sixty four

        h chatter   move up
        h chatter   pull it tight
        r whole     eighty three
        h fraction  forty four
        h command   switch ends
        h whole     eighty three
        r fraction  forty four

        r chatter   give me a foot
        h chatter   hold it there
        r whole     thirty three
        h fraction  eighty seven
        h command   switch ends
        h whole     thirty two
        r fraction  eighty seven
        h chatter   wait a minute
        r command   measure again
        r whole     thirty three
        h fraction  eighty seven
        h command   switch ends
        h whole     thirty three
        r fraction  eighty seven

        h talk      wipe the mud off before you roll it up
        r chatter   bob is steady
        r whole     sixty four
        h fraction  forty six
        h command   switch ends
        h whole     sixty four
        r fraction  forty seven

        h chatter   watch your step
        r whole     eighteen
        r command   strike that
        r whole     eighty five
        h fraction  seventy six
        h command   switch ends
        h whole     eighty five
        r fraction  seventy six
        r chatter   thank you
    """,
)

OAK_TO_MILL = Line(
    name="oak-to-mill",
    line_from="Oak",
    line_to="Mill",
    tape="cut-100.toml",
    seed=34,
    temperature_degf=43,
    tension_lb=20,
    spans=1,
    position="waist",
    pulls=(
        Pull(56.53, 56.53, ("style-not-confirmed",)),
        Pull(76.36, 76.36),
        Pull(62.24, 62.24, rise_ft=1.25),
        Pull(44.13, 44.13, rise_ft=0.0),
    ),
    script="""
        h condition temperature four three
        h condition tension twenty
        h condition at the waist
        r chatter   ready here
        r whole     fifty seven
        h fraction  forty seven
        h command   switch ends
        h whole     fifty seven
        r fraction  forty seven

        r talk      give it a shake and try it once more
        h chatter   take up the slack
        r whole     seventy seven
        r whole     seventy seven
        h fraction  sixty four
        r command   switch ends
        h whole     seventy seven
        r fraction  sixty four

        h condition rise one point two five
        r chatter   give me a foot
        r whole     sixty three
        h fraction  seventy six
        h command   switch ends
        h whole     sixty three
        r fraction  seventy six
        h condition tape is level

        r chatter   wait for the wind
        r whole     forty five
        h fraction  eighty seven
        h command   switch ends
        h whole     forty five
        r fraction  eighty seven
    """,
)

MILL_TO_GATE = Line(
    name="mill-to-gate",
    line_from="Mill",
    line_to="Gate",
    tape="full-100.toml",
    seed=34,
    temperature_degf=45,
    tension_lb=20,
    spans=0,
    position="ground",
    pulls=(
        Pull(15.42, 15.42),
        Pull(84.37, 84.37),
        Pull(86.15, 86.15),
        Pull(100.00, 100.00),
    ),
    script="""
        h condition temperature four five
        h condition tension twenty
        h condition on the ground
        r chatter   looks good
        h reading   fifteen forty two
        h command   switch ends
        r reading   fifteen forty two

        r chatter   give me some tape
        h reading   eighty four thirty seven
        r command   switch ends
        r reading   eighty four thirty seven

        r talk      read that back to me slowly
        h chatter   hold steady
        h reading   eighty six point one five
        h reading   eighty six point one five
        h command   switch ends
        r reading   eighty six point one five

        r chatter   go ahead
        h reading   one hundred zero zero
        h command   switch ends
        r reading   one hundred zero zero
        h command   line finished
    """,
)

DAY = (SPRING_TO_OAK, OAK_TO_MILL, MILL_TO_GATE)
