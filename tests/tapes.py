"""Tapes for tests: one plain invented tape, and the one whose calibration was published."""

from __future__ import annotations

import json

from calllog.tape import Certificate, Foot, load_certificate
from calllog.values import Style


def certificate(**changes: object) -> Certificate:
    """Make an invented 100 ft tape with a plain certificate, changed as the test needs."""
    return Certificate.model_validate(
        {
            "identity": "T-1",
            "style": Style.FULL,
            "nominal_ft": 100,
            "certified_length_ft": 100.0,
            "certified_spans": 0,
            "certified_temperature_degf": 68.0,
            "certified_tension_lb": 10.0,
            "weight_lb_per_ft": 0.0128,
            "area_in2": 0.00375,
            "foot": Foot.US_SURVEY,
        }
        | changes
    )


NIST_AE_LB = 106_742.0
"""Fitted to the printed tension of accuracy with two supports, 21.23 lb."""
NIST_WEIGHT_LB_PER_FT = 0.0127468
"""Fitted to the printed length with two supports at 10 lb, 99.9368 ft."""
NIST_AREA_IN2 = NIST_WEIGHT_LB_PER_FT / (12 * 0.2836)


def nist_tape(**changes: object) -> Certificate:
    """Make the tape of a NIST Report of Calibration, 1991: flat, 10 lb, 68 degF, 100.0045 ft.

    Read second-hand (its owner's transcription, https://rpls.com/forums/strictly-surveying/
    100-foot-tape-calibration). Weight and stiffness are not printed: the two above were fitted.
    """
    return certificate(
        **{
            "certified_length_ft": 100.0045,
            "weight_lb_per_ft": NIST_WEIGHT_LB_PER_FT,
            "area_in2": NIST_AREA_IN2,
            "modulus_psi": NIST_AE_LB / NIST_AREA_IN2,
        }
        | changes
    )


METRIC = """
identity = "M-1"
style = "full"
unit = "metre"
nominal_m = 30
certified_length_m = 30.0
certified_spans = 0
certified_temperature_degc = 20
certified_tension_n = 50
mass_kg_per_m = 0.0189
area_mm2 = 2.4
"""


def metric_tape(**changes: object) -> Certificate:
    """Make an invented 30 m tape with a plain certificate, changed as the test needs."""
    lines = [line for line in METRIC.splitlines() if line.partition(" =")[0] not in changes]
    stated = [f"{name} = {json.dumps(value)}" for name, value in changes.items()]
    return load_certificate("\n".join((*lines, *stated)), "M-1.toml")
