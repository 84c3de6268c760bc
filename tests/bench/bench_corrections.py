"""Measure corrections with uncertainty on arrays.

Run from the source tree: ``python -m tests.bench.bench_corrections``. The budget: a million
segments with all corrections and standard uncertainty in <= 1 s on one core. The same cases go
through a plain Python loop and through the general library ``uncertainties`` (fewer of them, by
time for one segment), and all three must agree.
"""

from __future__ import annotations

import math
import resource
import time
from collections.abc import Callable
from functools import partial
from importlib.metadata import version

import numpy as np

from calllog.corrections.practice import PRACTICE
from calllog.corrections.pulls import POSITIONS, Pulls
from calllog.corrections.sensitivity import combine_pulls
from calllog.corrections.uncertainty import normal
from calllog.tape import Certificate
from tests.correcting import correct_arrays
from tests.measured.results import keep
from tests.tapes import nist_tape

SEGMENTS = 1_000_000
LOOPED = 20_000
BY_LIBRARY = 1_000
ROUNDS = 5
SEED = 3
TAPE = nist_tape(u_certified_length_ft=0.0005)
SURE = normal(1e-5, "so little that sag does not bend within it")
SURE_PRACTICE = PRACTICE.model_copy(update={"tension_share": SURE, "tension_habit_share": SURE})
"""The loop and the library know first and second partials only, so all three are told a tension
for which those are the whole."""
STATED = ("length_read_ft", "temperature_degf", "tension_lb", "spans", "rise_ft", "position")
Results = list[tuple[float, float]]
"""Horizontal length and its standard uncertainty [ft], of each segment."""


def make_pulls(n: int) -> Pulls:
    """Make n pulls with all conditions stated: half of them level, some lying on the ground."""
    rng = np.random.default_rng(SEED)
    return Pulls(
        length_read_ft=rng.uniform(20.0, 100.0, n).round(2),
        temperature_degf=rng.uniform(20.0, 100.0, n).round(),
        tension_lb=rng.uniform(10.0, 25.0, n).round(),
        spans=rng.integers(0, 4, n),
        rise_ft=np.where(rng.random(n) < 0.5, 0.0, rng.uniform(0.1, 3.0, n).round(1)),
        position=rng.integers(0, len(POSITIONS), n),
    )


def by_arrays(pulls: Pulls) -> tuple[np.ndarray, np.ndarray]:
    """Correct all at once."""
    found = correct_arrays(pulls, TAPE)
    return pulls.length_read_ft + found.sum_ft, combine_pulls(pulls, found, TAPE, SURE_PRACTICE).u


def by_loop(pulls: Pulls) -> Results:
    """Correct one after the other with plain floats: the same model, written out once more."""
    tape: Certificate = TAPE
    weight, nominal_ft = tape.weight_lb_per_ft, float(tape.nominal_ft)
    stiffness_lb, alpha = tape.area_in2 * tape.modulus_psi, tape.alpha_per_degf
    u_tape_ft = tape.u_certified_length_ft or 0.0
    p = SURE_PRACTICE
    u_ends_ft = [getattr(p, f"plumb_{height}_ft").standard for height in POSITIONS]
    u_read_ft, u_mark_ft, u_rise_ft = (
        p.reading_ft.standard,
        p.marking_ft.standard,
        p.rise_ft.standard,
    )
    u_each, u_habit = p.tension_share.standard, p.tension_habit_share.standard
    spread_each, spread_habit = p.tension_share.square, p.tension_habit_share.square
    spread_level, spread_line, spread_rise = (
        one.square for one in (p.level_share, p.off_line_share, p.rise_ft)
    )
    u_level, u_line = p.level_share.standard, p.off_line_share.standard
    u_degf, u_meter_degf = p.temperature_degf.standard, p.thermometer_degf.standard
    u_alpha, u_weight, u_stiff = (
        one.standard for one in (p.alpha_share, p.weight_share, p.stiffness_share)
    )
    results = []
    for read_ft, degf, pull_lb, spans, rise_ft, position in zip(
        *(getattr(pulls, name).tolist() for name in STATED), strict=True
    ):
        error_ft = read_ft * (tape.certified_length_ft - nominal_ft) / nominal_ft
        warm_ft = alpha * read_ft * (degf - tape.certified_temperature_degf)
        pulled_ft = (pull_lb - tape.certified_tension_lb) * read_ft / stiffness_lb
        flat_ft = -spans * weight**2 * (read_ft / spans) ** 3 / (24 * pull_lb**2) if spans else 0.0
        steepness = (rise_ft / read_ft) ** 2
        sag_ft = flat_ft * (1 - steepness)
        along_ft = read_ft + error_ft + warm_ft + pulled_ft + sag_ft
        level_ft = math.sqrt(along_ft**2 - rise_ft**2)
        slant = along_ft / level_ft
        by_pull_ft = slant * (pull_lb * read_ft / stiffness_lb - 2 * sag_ft)
        bend_ft = 3 * slant * sag_ft
        by_degf_ft = slant * alpha * read_ft
        one_way_ft = bend_ft * (u_each**2 + u_habit**2) - level_ft / 2 * u_line**2
        random_sq = (
            (slant * (along_ft + 2 * sag_ft + 2 * flat_ft * steepness) / read_ft * u_read_ft) ** 2
            + u_mark_ft**2
            + 2 * u_ends_ft[position] ** 2
            + (by_pull_ft * u_each) ** 2
            + (bend_ft * spread_each) ** 2
            + (2 * bend_ft * u_each * u_habit) ** 2
            + (by_degf_ft * u_degf) ** 2
            + (level_ft / 2 * spread_line) ** 2
        )
        if rise_ft:
            curve = slant**2 / level_ft / 2
            by_rise_ft = rise_ft / level_ft + 2 * slant * flat_ft * rise_ft / read_ft**2
            random_sq += (by_rise_ft * u_rise_ft) ** 2 + (curve * spread_rise) ** 2
            one_way_ft -= curve * u_rise_ft**2
        else:
            random_sq += (level_ft / 2 * spread_level) ** 2
            one_way_ft -= level_ft / 2 * u_level**2
        common_sq = (
            (slant * read_ft / nominal_ft * u_tape_ft) ** 2
            + (2 * slant * sag_ft * u_weight) ** 2
            + (slant * pulled_ft * u_stiff) ** 2
            + (by_degf_ft * u_meter_degf) ** 2
            + (slant * warm_ft * u_alpha) ** 2
            + (by_pull_ft * u_habit) ** 2
            + (bend_ft * spread_habit) ** 2
            + one_way_ft**2
        )
        results.append((level_ft, math.sqrt(random_sq + common_sq)))
    return results


def by_library(pulls: Pulls) -> Results:
    """Correct with the general library, which finds the derivatives by itself.

    It knows first partials only, so squares come in as inputs of their own.
    """
    from uncertainties import ufloat  # noqa: PLC0415 - only this way needs it

    p, tape = SURE_PRACTICE, TAPE

    def error(u: float) -> ufloat:
        return ufloat(0.0, u)

    nominal_ft, stiffness_lb = float(tape.nominal_ft), tape.area_in2 * tape.modulus_psi
    certified_ft = ufloat(tape.certified_length_ft, tape.u_certified_length_ft)
    alpha = tape.alpha_per_degf * (1 + error(p.alpha_share.standard))
    weight = tape.weight_lb_per_ft * (1 + error(p.weight_share.standard))
    stiffness = stiffness_lb * (1 + error(p.stiffness_share.standard))
    thermometer, habit = error(p.thermometer_degf.standard), error(p.tension_habit_share.standard)
    habit_squared, one_way = error(p.tension_habit_share.square), error(1.0)
    results = []
    for read_ft, degf, pull_lb, spans, rise_ft, position in zip(
        *(getattr(pulls, name).tolist() for name in STATED), strict=True
    ):
        length = read_ft + error(p.reading_ft.standard)
        warm = degf + thermometer + error(p.temperature_degf.standard)
        pull = pull_lb * (1 + habit + error(p.tension_share.standard))
        along = (
            length
            + length * (certified_ft - nominal_ft) / nominal_ft
            + alpha * length * (warm - tape.certified_temperature_degf)
            + (pull - tape.certified_tension_lb) * length / stiffness
        )
        flat_ft = along.n
        rise = rise_ft + error(p.rise_ft.standard) if rise_ft else 0.0
        if spans:
            hanging = spans * weight**2 * (length / spans) ** 3 / (24 * pull**2)
            along -= hanging * (1 - (rise / length) ** 2)
        level = (along**2 - rise**2) ** 0.5
        slant = along.n / level.n
        bend_ft = 3 * slant * (along.n - flat_ft)
        half_ft = level.n / 2
        tilt = p.rise_ft if rise_ft else p.level_share
        curve = slant**2 / level.n / 2 if rise_ft else half_ft
        level += (
            error(p.marking_ft.standard)
            + error(getattr(p, f"plumb_{POSITIONS[position]}_ft").standard)
            + error(getattr(p, f"plumb_{POSITIONS[position]}_ft").standard)
            + bend_ft * (error(p.tension_share.square) + habit_squared)
            + 2 * bend_ft * error(p.tension_share.standard * p.tension_habit_share.standard)
            + half_ft * error(p.off_line_share.square)
            + curve * error(tilt.square)
            + one_way
            * (
                bend_ft * (p.tension_share.standard**2 + p.tension_habit_share.standard**2)
                - half_ft * p.off_line_share.standard**2
                - curve * tilt.standard**2
            )
        )
        results.append((level.n, level.s))
    return results


def best_seconds(work: Callable[[], object], rounds: int) -> float:
    """Give the least processor seconds of several rounds, after one to warm up."""
    work()
    seconds = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        seconds.append(time.process_time() - start)
    return min(seconds)


def difference_ft(results: Results, lengths_ft: np.ndarray, u_ft: np.ndarray) -> float:
    """Give the greatest difference from the arrays, of lengths and of uncertainties."""
    found = np.array(results).T
    expected = np.array([lengths_ft[: len(results)], u_ft[: len(results)]])
    return float(np.abs(found - expected).max())


def main() -> None:
    """Time the three ways on the same cases and print what came out."""
    pulls = make_pulls(SEGMENTS)
    few, fewer = pulls.part(slice(LOOPED)), pulls.part(slice(BY_LIBRARY))
    lengths_ft, u_ft = by_arrays(pulls)
    seconds = {
        "arrays": best_seconds(partial(by_arrays, pulls), ROUNDS) / SEGMENTS,
        "loop": best_seconds(partial(by_loop, few), ROUNDS) / LOOPED,
        "library": best_seconds(partial(by_library, fewer), 2) / BY_LIBRARY,
    }
    corrections_s = best_seconds(partial(correct_arrays, pulls, TAPE), ROUNDS)
    result = {
        "numpy": np.__version__,
        "uncertainties": version("uncertainties"),
        "segments": SEGMENTS,
        "processor_s": round(seconds["arrays"] * SEGMENTS, 3),
        "of_which_corrections_s": round(corrections_s, 3),
        "microseconds_a_segment": {way: round(one * 1e6, 3) for way, one in seconds.items()},
        "times_faster_than_loop": round(seconds["loop"] / seconds["arrays"], 1),
        "times_faster_than_library": round(seconds["library"] / seconds["arrays"], 1),
        "greatest_difference_ft": {
            "loop": difference_ft(by_loop(few), lengths_ft, u_ft),
            "library": difference_ft(by_library(fewer), lengths_ft, u_ft),
        },
        "peak_resident_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    }
    keep("corrections", result, n=f"{SEGMENTS:,} segments, the best of {ROUNDS} rounds")


if __name__ == "__main__":
    main()
