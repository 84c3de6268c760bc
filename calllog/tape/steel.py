"""What a certificate says of a tape's weight and cross-section in, what it leaves out, out; pure.

Most certificates state one of the two, or none. Steel ties them: one follows from the other by its
density, and both from the tape's width and thickness. There is no table of common tapes: no
published one could be read that gives thicknesses. Bands are 1/4 and 5/16 inch wide (US Navy,
Engineering Aid training manual, as put on line by tpub.com), so a rule and a micrometer do better.
"""

import math
from typing import Annotated

from pydantic import Field

from calllog.toml_text import shown
from calllog.values import Frozen

STEEL_LB_PER_IN3 = 0.2836
"""Density of steel: 490 lb per cubic foot, 7850 kg per cubic meter (AISC, Steel Construction
Manual; from memory)."""
STEEL_KG_PER_M3 = 7850.0
STEEL_LB_PER_FT_IN2 = 12 * STEEL_LB_PER_IN3
"""Weight of a foot of steel of one square inch [lb]."""
IN_FEET = ("weight_lb_per_ft", "area_in2", "width_in", "thickness_in", STEEL_LB_PER_FT_IN2)
IN_METRES = ("mass_kg_per_m", "area_mm2", "width_mm", "thickness_mm", STEEL_KG_PER_M3 / 1e6)
"""Names of the entries, and the weight of a tape over its cross-section."""
LARGEST = 100.0
"""Of a width or a thickness [in, mm]."""
Size = Annotated[float, Field(gt=0, le=LARGEST)]


class Steel(Frozen):
    """What a certificate leaves out of its tape's weight and cross-section, and what stands in."""

    by_density: str = Field(default="", pattern="^(weight|area)?$")
    """Which of weight and cross-section follows from the other; empty for neither."""
    width: Size | None = None
    """Of a tape whose cross-section is width times thickness [in; mm of a tape in metres]."""
    thickness: Size | None = None


def complete(data: dict[str, object], *, is_metric: bool) -> tuple[dict[str, object], list[str]]:
    """Add the weight and the cross-section that a certificate leaves out.

    Returns:
        Its entries, width and thickness put into ``steel``, and what is wrong with those two. What
        cannot be found stays out.
    """
    weight, area, width, thickness, density = IN_METRES if is_metric else IN_FEET
    found, problems = dict(data), []
    sizes = [found.pop(name, None) for name in (width, thickness)]
    known = [_number(given) for given in sizes]
    steel: dict[str, object] = {}
    if sizes != [None, None]:
        for name, given, size in zip((width, thickness), sizes, known, strict=True):
            if size is None or size > LARGEST:
                lacks = "missing" if given is None else f"{shown(given)} is no size of a tape"
                unit = "millimeters" if is_metric else "inches"
                problems.append(f"{name}: {lacks}; state {unit}, both width and thickness")
        if area in found and not problems:
            problems.append(f"{width}: {area} is stated; leave width and thickness out")
    if area not in found and not problems and known[0] and known[1]:
        found[area] = known[0] * known[1]
        steel = {"width": known[0], "thickness": known[1]}
    stated_weight, stated_area = _number(found.get(weight)), _number(found.get(area))
    if weight not in found and stated_area:
        found[weight], steel["by_density"] = stated_area * density, "weight"
    elif area not in found and stated_weight:
        found[area], steel["by_density"] = stated_weight / density, "area"
    if steel:
        found["steel"] = steel
    return found, problems


def _number(given: object) -> float | None:
    if isinstance(given, bool) or not isinstance(given, int | float):
        return None
    try:
        number = float(given)
    except OverflowError:  # more digits than any weight or size
        return None
    return number if 0 < number < math.inf else None
