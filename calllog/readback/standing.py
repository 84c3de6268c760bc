"""The conditions that run on in, the words that remind the crew of them out; pure."""

from calllog.pairing import RUNS_ON
from calllog.readback.figures import say_text
from calllog.spoken import Grammar
from calllog.units import stated_temperature, stated_tension
from calllog.values import Conditions, message


def in_force(grammar: Grammar, conditions: Conditions) -> str:
    """Say what runs on from pull to pull, and what of it was not stated.

    Returns:
        Lower-case words; "," after a word is a pause. Empty where nothing was stated.
    """
    if all(getattr(conditions, name) is None for name in RUNS_ON):
        return ""
    unit, degf, pull_lb = grammar.unit, conditions.temperature_degf, conditions.tension_lb
    told = [
        message("told-temperature-unknown")
        if degf is None
        else message("told-temperature", degrees=stated_temperature(degf, unit)),
        message("told-tension-unknown")
        if pull_lb is None
        else message("told-tension", force=stated_tension(pull_lb, unit)),
        message("told-support-unknown")
        if conditions.spans is None
        else message("condition-support", spans=conditions.spans),
    ]
    if conditions.position is not None:
        told.append(message("condition-position", position=conditions.position))
    return say_text(grammar, ", ".join(grammar.words.say(each) for each in told))
