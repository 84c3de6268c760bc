"""How well a crew knows what it does, as data: every default half-width and what would better it.

Each entry says where its figure comes from. Shares are of the quantity named. Change an entry with
``PRACTICE.model_copy(update={...})``.
"""

from pydantic import Field

from calllog.corrections.uncertainty import Uncertain, rectangular, triangular
from calllog.units import reading_ft
from calllog.values import Frozen, Message, ReadingUnit, message

COMMON_PRACTICE = "common practice, no published source"
LEAST_COUNT = "half of the least count, 0.01 ft (GUM F.2.2.1)"
LEAST_METRIC_COUNT = "half of the least count, 0.01 m (GUM F.2.2.1)"
LEAST_FINE_COUNT = "half of the least count, 0.005 ft (GUM F.2.2.1)"
LEAST_FINE_METRIC_COUNT = "half of the least count, 0.001 m (GUM F.2.2.1)"
FIELD_CONDITIONS = "field conditions for good tape work, Hicks, Civil Engineering Formulas"
LABORATORY = "NIST report of calibration, 1991, 0.0010 ft in 100 (read second-hand)"
USUAL_PULLS = "field pulls of 10 to 25 lb, published teaching pages"
HALF_A_CENTIMETRE_FT = reading_ft(0.5, ReadingUnit.METRE)
HALF_A_MILLIMETRE_FT = reading_ft(0.5, ReadingUnit.FINE_METRE)


class Practice(Frozen):
    """Uncertainties of all inputs of a pull; those of one kind of input stand together."""

    reading_ft: Uncertain = rectangular(0.005, LEAST_COUNT)
    """Of one length read to the hundredth, whatever the graduation; random."""
    reading_metric_ft: Uncertain = rectangular(HALF_A_CENTIMETRE_FT, LEAST_METRIC_COUNT)
    """The same on a metric tape, read to the centimetre."""
    reading_fine_ft: Uncertain = rectangular(0.0025, LEAST_FINE_COUNT)
    """The same on a tape that is read to 0.005 ft."""
    reading_fine_metric_ft: Uncertain = rectangular(HALF_A_MILLIMETRE_FT, LEAST_FINE_METRIC_COUNT)
    """The same on a metric tape that is read to the millimetre."""
    marking_ft: Uncertain = triangular(0.005, COMMON_PRACTICE)
    """Of the pin, nail or scratch that marks the forward end; random."""
    plumb_ground_ft: Uncertain = triangular(0.002, COMMON_PRACTICE)
    plumb_knee_ft: Uncertain = triangular(0.005, COMMON_PRACTICE)
    plumb_waist_ft: Uncertain = triangular(0.01, COMMON_PRACTICE)
    plumb_chest_ft: Uncertain = triangular(0.015, COMMON_PRACTICE)
    """Of one end held over its mark at that height; random, each end by itself. A tape supported
    throughout lies on the ground unless stated otherwise; a height that is not known is the
    chest's, since none is higher."""

    tension_share: Uncertain = triangular(0.2, COMMON_PRACTICE)
    """Share of the pull by which one pull differs from the crew's own mean: by feel, 20 lb within
    4; random."""
    tension_habit_share: Uncertain = rectangular(0.1, COMMON_PRACTICE)
    """Share by which that mean, or a spring balance, is off: by feel, 20 lb within 2; common."""
    tension_unknown_lb: Uncertain = rectangular(15.0, USUAL_PULLS)
    """Of a pull that nobody stated, about the certified one; common."""
    least_usual_pull_lb: float = Field(default=10.0, gt=0)
    """The pull that gives the most sag to count on where none was stated (`USUAL_PULLS`)."""
    sag_unknown_share: Uncertain = rectangular(
        1.0, "between none and the most, one side only: about 0 that is a / sqrt(3) too"
    )
    """Share of the most sag there may be, where tension or support was not stated: at the ends
    only if that is not known, under the least usual pull if that is not; common."""

    level_share: Uncertain = rectangular(0.01, COMMON_PRACTICE)
    """Rise over length of a pull called level: a foot in a hundred; random."""
    slope_unknown_share: Uncertain = rectangular(0.02, f"slope within 2 %, {FIELD_CONDITIONS}")
    """Rise over length of a pull whose slope nobody stated; random."""
    rise_ft: Uncertain = rectangular(0.1, COMMON_PRACTICE)
    """Of a rise that was measured, by hand level and rod; random."""
    slope_angle_rad: Uncertain = rectangular(0.003, f"10 minutes of arc, {COMMON_PRACTICE}")
    """Of a slope stated as an angle or in percent, by hand level; common to its length."""
    off_line_share: Uncertain = rectangular(0.005, COMMON_PRACTICE)
    """Distance off line over length, lined in by eye: half a foot in a hundred; random."""
    off_line_ft: Uncertain = rectangular(0.1, COMMON_PRACTICE)
    """Of a distance off line that was measured; common to the length that it is stated for."""

    temperature_degf: Uncertain = rectangular(3.0, COMMON_PRACTICE)
    """How the tape's temperature differs from the one stated, from pull to pull; random."""
    thermometer_degf: Uncertain = rectangular(5.0, COMMON_PRACTICE)
    """Of the thermometer, and of the tape against the air it is read in; common."""
    temperature_unknown_degf: Uncertain = rectangular(30.0, COMMON_PRACTICE)
    """Of a temperature that nobody stated, about the certified one; common."""

    certificate_share: Uncertain = rectangular(1e-5, f"{LABORATORY}, assumed")
    """Share of the nominal length, for a certificate that states no uncertainty; common."""
    alpha_share: Uncertain = rectangular(
        0.04, "published values for steel, 6.2e-6 to 6.5e-6 per degF"
    )
    """Share of the coefficient of expansion; common."""
    weight_share: Uncertain = rectangular(
        0.02, "weight over 100 or 102 ft of one tape, Mahun, Distances, E. Taping"
    )
    """Share of the weight per foot; common."""
    weight_assumed_share: Uncertain = rectangular(0.1, f"paint and etching, {COMMON_PRACTICE}")
    """The same where the certificate does not state it, but what follows from the density of
    steel; common."""
    stiffness_share: Uncertain = rectangular(
        0.05, "published values for steel, 28e6 to 30e6 psi, and as much for its area"
    )
    """Share of cross section times modulus; common."""
    stiffness_assumed_share: Uncertain = rectangular(0.15, "the same, and paint and etching")
    """The same where the certificate does not state the cross section; common."""


READING = {
    ReadingUnit.FOOT: "reading_ft",
    ReadingUnit.METRE: "reading_metric_ft",
    ReadingUnit.FINE_FOOT: "reading_fine_ft",
    ReadingUnit.FINE_METRE: "reading_fine_metric_ft",
}
"""The entry of a length read, by how finely the tape is read."""
PRACTICE = Practice()
"""A crew that plumbs, pulls by feel and lines in by eye, with a thermometer in the air."""


class Improvement(Frozen):
    """Something that a crew could do better, and what it would change."""

    does: Message
    """What to do, and in place of what."""
    practice: dict[str, Uncertain] = Field(default_factory=dict)
    """Entries of `Practice` that it replaces; one that is no better than the crew's stays."""
    states: tuple[str, ...] = ()
    """Conditions that it would make known: temperature_degf, tension_lb, spans, rise_ft."""


IMPROVEMENTS = (
    Improvement(
        does=message("improve-spring-balance"),
        practice={
            "tension_share": rectangular(0.05, COMMON_PRACTICE),
            "tension_habit_share": rectangular(0.025, COMMON_PRACTICE),
        },
    ),
    Improvement(
        does=message("improve-thermometer"),
        practice={
            "temperature_degf": rectangular(1.0, COMMON_PRACTICE),
            "thermometer_degf": rectangular(1.0, COMMON_PRACTICE),
        },
    ),
    Improvement(
        does=message("improve-certificate"),
        practice={"certificate_share": rectangular(1e-5, LABORATORY)},
    ),
    Improvement(
        does=message("improve-held-low"),
        practice={
            f"plumb_{height}_ft": triangular(0.005, COMMON_PRACTICE)
            for height in ("waist", "chest")
        },
    ),
    Improvement(
        does=message("improve-tripods"),
        practice={
            "marking_ft": triangular(0.001, COMMON_PRACTICE),
            **{
                f"plumb_{height}_ft": triangular(0.002, COMMON_PRACTICE)
                for height in ("ground", "knee", "waist", "chest")
            },
        },
    ),
    Improvement(
        does=message("improve-rises"),
        practice={
            "level_share": rectangular(0.001, COMMON_PRACTICE),
            "slope_unknown_share": rectangular(0.001, COMMON_PRACTICE),
            "rise_ft": rectangular(0.02, COMMON_PRACTICE),
            "slope_angle_rad": rectangular(0.0003, f"1 minute of arc, {COMMON_PRACTICE}"),
        },
    ),
    Improvement(
        does=message("improve-lining-in"),
        practice={
            "off_line_share": rectangular(0.0005, COMMON_PRACTICE),
            "off_line_ft": rectangular(0.02, COMMON_PRACTICE),
        },
    ),
    Improvement(
        does=message("improve-tape-weighed"),
        practice={
            "weight_share": rectangular(0.005, COMMON_PRACTICE),
            "weight_assumed_share": rectangular(0.005, COMMON_PRACTICE),
            "stiffness_share": rectangular(0.01, COMMON_PRACTICE),
            "stiffness_assumed_share": rectangular(0.01, COMMON_PRACTICE),
        },
    ),
    Improvement(does=message("improve-temperature-stated"), states=("temperature_degf",)),
    Improvement(does=message("improve-tension-stated"), states=("tension_lb", "spans")),
    Improvement(does=message("improve-rise-stated"), states=("rise_ft",)),
)
"""What a crew can do about its uncertainty. A condition that would be stated is taken as in
`STATED`."""
STATED = {"spans": 1, "rise_ft": 0.0}
"""What a condition is taken to be where an improvement would state it: at the ends only, which
leaves the most uncertainty, and level; temperature and tension as certified."""
