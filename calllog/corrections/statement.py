"""A length and its situation in, each correction with formula, source and warnings out; pure."""

from calllog.corrections.correct import Pair, Whole, work
from calllog.corrections.formulas import EARTH_RADIUS_FT
from calllog.corrections.hanging import NEGLIGIBLE_FT, SAG_FORMS
from calllog.corrections.practice import PRACTICE
from calllog.corrections.situation import End, Situation
from calllog.tape import Certificate
from calllog.units import figure, in_unit
from calllog.values import DistanceKind, Frozen, ReadingUnit

TEXTBOOK = "Ghilani & Wolf, Elementary Surveying"
"""Chapter 6; from memory."""
FORMULAS = {
    "standardisation": ("L (l' - l)/l", TEXTBOOK),
    "temperature": ("alpha L (T - T0)", TEXTBOOK),
    "tension": ("(P - P0) L/(A E)", TEXTBOOK),
    "sag": (SAG_FORMS[1], TEXTBOOK),
    "slope": ("sqrt(L^2 - h^2) - L", "Pythagoras"),
    "off line": ("sqrt(L^2 - d^2) - L", "Pythagoras"),
    "elevation": ("-L h/(R + h), R = 20 906 000 ft", "NOAA Manual NOS NGS 5"),
}
"""By correction: its formula and where it comes from."""
SLOPES = {
    "angle_deg": ("-2 L sin^2(a/2)", TEXTBOOK),
    "percent": ("L/sqrt(1 + g^2) - L", "Pythagoras"),
}
NEEDS = {
    "temperature": "its temperature",
    "tension": "its tension",
    "sag": "its support and tension",
    "slope": "rise, angle or percent",
}


class StatedCorrection(Frozen):
    """One correction."""

    name: str
    amount_ft: float | None
    """None where its condition is not known."""
    formula: str
    source: str


class Statement(Frozen):
    """A length read and all that is added to it."""

    length_read_ft: float
    parts: tuple[StatedCorrection, ...]
    """Off line and elevation only where they were stated."""
    sum_ft: float
    horizontal_ft: float
    """Length read and the sum; horizontal only where `kind` says so."""
    warnings: tuple[str, ...]

    @property
    def kind(self) -> DistanceKind:
        """Whether that is horizontal, or lies along a slope that is not known."""
        is_slope = any(part.name == "slope" and part.amount_ft is None for part in self.parts)
        return DistanceKind.SLOPE if is_slope else DistanceKind.HORIZONTAL


def state(length_read_ft: float, certificate: Certificate, situation: Situation) -> Statement:
    """Say what is added to a length read, by which formulas, and what to mind.

    Raises:
        ConfigError: length or situation are impossible, as in `work`.
    """
    worked = work(length_read_ft, certificate, situation)
    parts = _parts(worked, situation, certificate.unit)
    return Statement(
        length_read_ft=length_read_ft,
        parts=parts,
        sum_ft=worked.sum_ft,
        horizontal_ft=length_read_ft + worked.sum_ft,
        warnings=(
            *(
                f"{part.name} is not known and not corrected; state {NEEDS[part.name]}"
                for part in parts
                if part.amount_ft is None
            ),
            *(_words(pair, certificate.unit) for pair in worked.pairs if not pair.holds),
            *_where_held(length_read_ft, certificate, situation, worked.sum_ft),
        ),
    )


def assumptions(certificate: Certificate) -> tuple[str, ...]:
    """Say what of a tape is assumed, since its certificate does not state it."""
    share = PRACTICE.certificate_share
    told = [certificate.told] if certificate.told else []
    if certificate.u_certified_length_ft is None:
        told.append(f"uncertainty of the certified length, {share.source}")
    return tuple(told)


def _parts(worked: Whole, situation: Situation, unit: ReadingUnit) -> tuple[StatedCorrection, ...]:
    parts = []
    for name, (by_default, its_source) in FORMULAS.items():
        amount_ft: float | None = getattr(worked, f"{name.replace(' ', '_')}_ft")
        if amount_ft is None and name not in NEEDS:
            continue
        formula, source = by_default, its_source
        if name == "slope":
            for field, formula_and_source in SLOPES.items():
                if getattr(situation, field) is not None:
                    formula, source = formula_and_source
        if name == "sag" and any(p.what == "sag" and not p.holds for p in worked.pairs):
            formula, source = "elastic " + SAG_FORMS[0], "Irvine, Cable Structures, 1981"
        if name == "elevation" and not unit.is_feet:
            formula = f"-L h/(R + h), R = {in_unit(EARTH_RADIUS_FT, unit):.0f} m"
        parts.append(
            StatedCorrection(name=name, amount_ft=amount_ft, formula=formula, source=source)
        )
    return tuple(parts)


def _words(pair: Pair, unit: ReadingUnit) -> str:
    share = abs(pair.difference_ft / pair.exact_ft) if pair.exact_ft else 1.0
    some = f" in {pair.pulls} of {pair.of} pulls" if pair.pulls < pair.of else ""
    return (
        f"{pair.what}{some}: {pair.by_hand} would give {figure(pair.by_hand_ft, unit, sign='+')},"
        f" wrong by {figure(abs(pair.difference_ft), unit)} ({share:.1%} of it); the exact"
        f" {figure(pair.exact_ft, unit, sign='+')} is used"
    )


def _where_held(
    length_read_ft: float, certificate: Certificate, situation: Situation, sum_ft: float
) -> tuple[str, ...]:
    """Say what it matters at which end of a slope the tension was held, if that is not known."""
    if situation.tension_at is not End.MIDDLE:
        return ()
    upper = situation.model_copy(update={"tension_at": End.UPPER})
    apart_ft = abs(work(length_read_ft, certificate, upper).sum_ft - sum_ft)
    if apart_ft <= NEGLIGIBLE_FT:
        return ()
    words = (
        "the tension counts at half the height of the slope; held at the upper or the lower end it"
        f" makes a difference of {figure(apart_ft, certificate.unit)}; state which"
    )
    return (words,)
