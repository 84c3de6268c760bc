"""A certificate in, warnings in plain words out, for what is allowed but unlikely; pure."""

from collections.abc import Iterator
from datetime import date

from calllog.tape.certificate import Certificate
from calllog.tape.metric import METRIC_NAMES, in_metric
from calllog.tape.steel import STEEL_LB_PER_FT_IN2

WEIGHT_SPREAD = 0.2
"""Share by which a weight may differ from that of plain steel of its area (paint, etching)."""
LENGTH_SPREAD = 0.001
U_SPREAD = 1e-4
"""Greatest usual standard uncertainty of a certified length, as a share of it: NIST's of 1991 is
0.0010 ft in 100 ft (read second-hand), so ten times that is a slip of a digit or of a unit."""
RANGES = {
    "certified_temperature_degf": (50.0, 86.0, "68 degF is usual; degrees Celsius do not belong"),
    "certified_tension_lb": (5.0, 40.0, "10 to 25 lb is usual; newtons do not belong here"),
    "area_in2": (0.0015, 0.02, "tapes have 0.003 to 0.015 in2; mm2 and cm2 do not belong here"),
    "modulus_psi": (27e6, 31e6, "steel has 28e6 to 30e6 psi"),
    "alpha_per_degf": (6.0e-6, 7.0e-6, "steel has 6.45e-6; 1.16e-5 is per degree Celsius"),
}
"""Field, least and greatest usual value, and what to think of. Steel: published teaching values
6.2e-6 to 6.5e-6 per degF and 28e6 to 30e6 psi; tensions 10 to 25 lb; cross sections of tapes of
100 ft and 30 m in published examples 0.003 to 0.015 in2; the limits are wider."""
METRIC_HINTS = {
    "certified_temperature_degf": "20 degC is usual; degrees Fahrenheit do not belong",
    "certified_tension_lb": "50 to 100 N is usual; kilograms do not belong here",
    "area_in2": "tapes have 2 to 10 mm2; cm2 do not belong here",
    "modulus_psi": "steel has 193 to 207 GPa",
    "alpha_per_degf": "steel has 1.16e-5; 6.45e-6 is per degree Fahrenheit",
}
"""What to think of where the certificate is in meters."""


def plausibility(certificate: Certificate) -> tuple[str, ...]:
    """Warn of values that no usual steel tape has; the certificate may be used all the same.

    Returns:
        One sentence for each, with the field's name, what is given, and what is usual.
    """
    told = certificate.told
    assumed = (f"assumed, since it does not state them: {told}",) if told else ()
    return (*assumed, *(f"{entry} {why}" for entry, why in _unlikely(certificate)))


def doubtful(certificate: Certificate, *used_on: date) -> tuple[str, ...]:
    """List the entries that `plausibility` warns of, or `validity` on these days.

    Example:
        >>> from tests.tapes import certificate
        >>> doubtful(certificate(certified_length_ft=1.00004))
        ('certified_length_ft: 1.00004',)
    """
    outside = (each for day in used_on for each in _outside(certificate, day))
    return tuple(dict.fromkeys(entry for entry, _ in (*_unlikely(certificate), *outside)))


def _unlikely(certificate: Certificate) -> Iterator[tuple[str, str]]:
    """Give each entry that no usual steel tape has, as it stands, and why it is none."""
    expected = STEEL_LB_PER_FT_IN2 * certificate.area_in2
    if abs(certificate.weight_lb_per_ft / expected - 1) > WEIGHT_SPREAD:
        weight, area = (_stated(certificate, each) for each in ("weight_lb_per_ft", "area_in2"))
        steel = (
            f"{expected:.4f} lb per foot"
            if certificate.metric is None
            else f"{in_metric('weight_lb_per_ft', expected):.4f} kg per meter"
        )
        why = f"does not go with {area.replace(':', '')}, which in steel weighs {steel}; compare"
        yield weight, f"{why} both with the certificate"
    nominal_ft = certificate.nominal_ft
    if abs(certificate.certified_length_ft / nominal_ft - 1) > LENGTH_SPREAD:
        why = f"differs from the nominal {certificate.nominal} {certificate.unit.symbol} by more"
        why += " than 0.1 %; compare it with the certificate"
        yield _stated(certificate, "certified_length_ft"), why
    u_ft = certificate.u_certified_length_ft
    if u_ft is not None and u_ft / nominal_ft > U_SPREAD:
        why = (
            f"is more than 1:10,000 of the tape; state {certificate.unit.plural}, and the standard"
        )
        yield _stated(certificate, "u_certified_length_ft"), f"{why} uncertainty (k = 1)"
    for name, (least, greatest, hint) in RANGES.items():
        given = getattr(certificate, name)
        if least <= given <= greatest:
            continue
        if certificate.metric is not None:
            least, greatest = in_metric(name, least), in_metric(name, greatest)  # noqa: PLW2901
            hint = METRIC_HINTS[name]  # noqa: PLW2901 - said in the certificate's own units
        yield _stated(certificate, name), f"is outside {least:.4g} to {greatest:.4g}; {hint}"


def _stated(certificate: Certificate, name: str) -> str:
    """Name an entry and what it states, as the certificate has it."""
    if certificate.metric is None:
        return f"{name}: {getattr(certificate, name):g}"
    return f"{METRIC_NAMES[name]}: {getattr(certificate.metric, METRIC_NAMES[name]):g}"


def validity(certificate: Certificate, used_on: date) -> tuple[str, ...]:
    """Warn of a tape that is used on a day for which its certificate does not hold.

    Both days that the certificate states are among those that it holds for. One that states none
    is not warned of.

    Returns:
        One sentence or none, with the field's name, its day, and what to do.
    """
    return tuple(f"{entry}, {why}" for entry, why in _outside(certificate, used_on))


def _outside(certificate: Certificate, used_on: date) -> Iterator[tuple[str, str]]:
    """Give the day that a certificate states and that the use lies beyond, and how."""
    begin, end = certificate.valid_from, certificate.valid_until
    if begin is not None and used_on < begin:
        yield (
            f"valid_from: {begin}",
            f"but the tape is used on {used_on}, before that; give the certificate of that day",
        )
    elif end is not None and used_on > end:
        late = (used_on - end).days
        days = "day" if late == 1 else "days"
        yield (
            f"valid_until: {end}",
            f"but the tape is used on {used_on}, {late} {days} later; have it compared again",
        )


def dated_after(certificate: Certificate, used_on: date) -> tuple[str, ...]:
    """Warn of a certificate that is dated after the day of the work.

    Returns:
        One sentence or none; none for a certificate whose date is no day.
    """
    try:
        dated = date.fromisoformat(certificate.certificate_date)
    except ValueError:
        return ()
    if dated <= used_on:
        return ()
    words = f"certificate_date: {dated} is after the work, {used_on}; give the certificate that"
    return (f"{words} held then, or look at both days",)
