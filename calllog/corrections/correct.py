"""A length read, its tape's certificate and its conditions in, all corrections out; pure.

One length is one row of arrays: see `calllog.corrections.arrays`, which works it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from calllog.corrections import formulas
from calllog.corrections.arrays import Worked, work_pulls
from calllog.corrections.hanging import NEGLIGIBLE_FT, SAG_FORMS, Hung
from calllog.corrections.made_of import counted, made_of
from calllog.corrections.pulls import Pulls
from calllog.corrections.refusals import impossible, refuse_situation, too_far_off
from calllog.corrections.situation import Situation
from calllog.tape import Certificate
from calllog.values import Corrections


@dataclass(frozen=True, slots=True)
class Pair:
    """One correction by the exact form, and by the one that is worked by hand [ft]."""

    what: str
    by_hand: str
    """The formula worked by hand."""
    by_hand_ft: float
    exact_ft: float
    holds: bool
    """Whether the formula by hand will do."""
    pulls: int = 1
    """Over how many pulls it is the sum."""
    of: int = 1
    """How many pulls there are."""

    @property
    def difference_ft(self) -> float:
        """What the formula by hand is off by."""
        return self.by_hand_ft - self.exact_ft

    @classmethod
    def compare(cls, what: str, by_hand: str, by_hand_ft: float, exact_ft: float) -> Pair:
        """Put both forms of a whole length side by side."""
        holds = abs(by_hand_ft - exact_ft) <= NEGLIGIBLE_FT
        return cls(what, by_hand, by_hand_ft, exact_ft, holds)


class Whole(Corrections):
    """All corrections of one length, each apart [ft]; None where not known or not wanted."""

    off_line_ft: float | None
    elevation_ft: float | None
    pairs: tuple[Pair, ...]
    """Where a form by hand exists: both forms."""


def work(
    length_read_ft: float,
    certificate: Certificate,
    situation: Situation,
    *,
    sag_form: str | None = None,
) -> Whole:
    """Find all corrections of a length in any situation; see `work_lengths` for the rules.

    A length longer than the tape is pulls, each of which lies or hangs by itself
    (`calllog.corrections.made_of`), on one even slope. Slope is taken from the length along it, off
    line from the level length, elevation from that. On a slope each span hangs under its own pull
    (`calllog.corrections.hanging`).

    Args:
        length_read_ft: the length in the tape's own marks, at least 0 [ft].
        certificate: that of the tape.
        situation: what is known.
        sag_form: one of `SAG_FORMS` to be used whether it holds or not; else chosen.

    Raises:
        ConfigError: length or conditions are impossible, or listed spans are no lengths, or longer
            than the length read.
    """
    worked = work_situation(length_read_ft, certificate, situation, sag_form=sag_form)
    total = worked.lengths()
    own, pairs = total.row(0), list(_sag_pairs(worked.hung))
    along_ft = float(total.along_ft[0])
    level_ft = length_read_ft + own.sum_ft
    if own.slope_ft is not None:
        rise_ft = math.sqrt(max(0.0, -own.slope_ft * (2 * along_ft + own.slope_ft)))
        pairs.append(_squared_pair("slope", "-h^2/(2 L)", along_ft, rise_ft, own.slope_ft))
    off_line_ft = elevation_ft = None
    if situation.off_line_ft is not None:
        aside_ft = situation.off_line_ft
        if not abs(aside_ft) <= level_ft:
            raise too_far_off(level_ft, aside_ft, certificate.unit)
        off_line_ft = float(formulas.off_line(level_ft, aside_ft))
        pairs.append(_squared_pair("off line", "-d^2/(2 L)", level_ft, aside_ft, off_line_ft))
        level_ft += off_line_ft
    if situation.elevation_ft is not None:
        height_ft = situation.elevation_ft
        elevation_ft = float(formulas.elevation(level_ft, height_ft))
        by_hand_ft = float(formulas.elevation_first_order(level_ft, height_ft))
        pairs.append(Pair.compare("elevation", "-L h/R", by_hand_ft, elevation_ft))
    sum_ft = math.fsum((own.sum_ft, off_line_ft or 0.0, elevation_ft or 0.0))
    return Whole(
        **own.model_dump(exclude={"sum_ft"}),
        sum_ft=sum_ft,
        off_line_ft=off_line_ft,
        elevation_ft=elevation_ft,
        pairs=tuple(pairs),
    )


def work_situation(
    length_read_ft: float,
    certificate: Certificate,
    situation: Situation,
    *,
    sag_form: str | None = None,
    is_counted: bool = False,
) -> Worked:
    """Work the pulls that a length is made of in any situation, but for line and elevation.

    Args:
        length_read_ft: the length in the tape's own marks, at least 0 [ft].
        certificate: that of the tape.
        situation: what is known.
        sag_form: as for `work`.
        is_counted: whether a rest that no crew can read counts to the pull before it.

    Raises:
        ConfigError: as `work`.
    """
    one = Pulls.build([length_read_ft], [situation.conditions])
    if refused := impossible(one, certificate):
        raise refused[0]
    refuse_situation(length_read_ft, situation, certificate.unit)
    made = made_of(length_read_ft, certificate, situation)
    if is_counted:
        made = counted(made, certificate)
    if situation.fixed_sine is not None:
        one = replace(one, sine=np.array([situation.fixed_sine]))
    if situation.off_line_ft is not None:
        one = replace(one, off_line_ft=np.array([abs(situation.off_line_ft)]))
    lengths_ft, spans = zip(*made, strict=True)
    pulls = one.made_up_of(np.array(lengths_ft), np.zeros(len(made), np.int64))
    if situation.hanging_ft is not None:
        pulls = replace(pulls, spans=np.array(spans, np.int64))
    worked = work_pulls(
        pulls,
        1,
        certificate,
        tension_at=situation.tension_at,
        sag_form=sag_form,
        is_listed=situation.hanging_ft is not None,
    )
    if worked.refused:
        raise worked.refused[0]
    return worked


def _sag_pairs(hung: Hung | None) -> Iterator[Pair]:
    """Put both forms of sag side by side: of the pulls where the parabola holds, and of others."""
    if hung is None:
        return
    holds = hung.by_hand_holds
    for here in (holds, ~holds):
        if here.any():
            yield Pair(
                "sag",
                SAG_FORMS[1],
                math.fsum(hung.by_hand_ft[here]),
                math.fsum(hung.exact_ft[here]),
                holds=bool(holds[here].all()),
                pulls=int(here.sum()),
                of=len(holds),
            )


def _squared_pair(
    what: str, by_hand: str, length_ft: float, aside_ft: float, exact_ft: float
) -> Pair:
    by_hand_ft = float(formulas.slope_first_order(length_ft, aside_ft)) if length_ft else 0.0
    return Pair.compare(what, by_hand, by_hand_ft, exact_ft)
