"""A certificate in, warnings in plain words out, for what is allowed but unlikely; pure."""

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
    warnings = []
    if certificate.told:
        warnings.append(f"assumed, since it does not state them: {certificate.told}")
    expected = STEEL_LB_PER_FT_IN2 * certificate.area_in2
    if abs(certificate.weight_lb_per_ft / expected - 1) > WEIGHT_SPREAD:
        weight, area = (_stated(certificate, each) for each in ("weight_lb_per_ft", "area_in2"))
        steel = (
            f"{expected:.4f} lb per foot"
            if certificate.metric is None
            else f"{in_metric('weight_lb_per_ft', expected):.4f} kg per meter"
        )
        warnings.append(
            f"{weight} does not go with {area.replace(':', '')}, which in steel weighs {steel};"
            " compare both with the certificate"
        )
    nominal_ft = certificate.nominal_ft
    if abs(certificate.certified_length_ft / nominal_ft - 1) > LENGTH_SPREAD:
        warnings.append(
            f"{_stated(certificate, 'certified_length_ft')} differs from the nominal"
            f" {certificate.nominal} {certificate.unit.symbol} by more than 0.1 %; compare it with"
            " the certificate"
        )
    u_ft = certificate.u_certified_length_ft
    if u_ft is not None and u_ft / nominal_ft > U_SPREAD:
        warnings.append(
            f"{_stated(certificate, 'u_certified_length_ft')} is more than 1:10,000 of the tape;"
            f" state {certificate.unit.plural}, and the standard uncertainty (k = 1)"
        )
    for name, (least, greatest, hint) in RANGES.items():
        given = getattr(certificate, name)
        if least <= given <= greatest:
            continue
        if certificate.metric is not None:
            least, greatest = in_metric(name, least), in_metric(name, greatest)  # noqa: PLW2901
            hint = METRIC_HINTS[name]  # noqa: PLW2901 - said in the certificate's own units
        warnings.append(
            f"{_stated(certificate, name)} is outside {least:.4g} to {greatest:.4g}; {hint}"
        )
    return tuple(warnings)


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
    begin, end = certificate.valid_from, certificate.valid_until
    words = ""
    if begin is not None and used_on < begin:
        words = f"valid_from: {begin}, but the tape is used on {used_on}, before that; give the"
        words += " certificate of that day"
    elif end is not None and used_on > end:
        late = (used_on - end).days
        words = f"valid_until: {end}, but the tape is used on {used_on}, {late} day"
        words += f"{'s' if late > 1 else ''} later; have it compared again"
    return (words,) if words else ()


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
