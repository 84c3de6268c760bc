"""Pairs the calls of two ends, compares the check, stops on what does not agree; pure."""

from calllog.pairing.ahead import caller_at, due, expects, pulls_ahead, too_steep
from calllog.pairing.asking import awaited
from calllog.pairing.diagnosis import code_in
from calllog.pairing.edition import EDITION, HEARS_AGAIN_SINCE, unknown_edition
from calllog.pairing.ending import completes
from calllog.pairing.machine import Event, step
from calllog.pairing.roles import carried
from calllog.pairing.running import RUNS_ON, opens_with, running_on
from calllog.pairing.state import State, StyleKnown, start
from calllog.pairing.table import Phase
from calllog.pairing.turns import status, whose_turn
from calllog.pairing.weighing import Weighing, weigh

__all__ = [
    "EDITION",
    "HEARS_AGAIN_SINCE",
    "RUNS_ON",
    "Event",
    "Phase",
    "State",
    "StyleKnown",
    "Weighing",
    "awaited",
    "caller_at",
    "carried",
    "code_in",
    "completes",
    "due",
    "expects",
    "opens_with",
    "pulls_ahead",
    "running_on",
    "start",
    "status",
    "step",
    "too_steep",
    "unknown_edition",
    "weigh",
    "whose_turn",
]
