"""A job's folder in, how one of its pulls was weighed out; shell, reads only."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from calllog.decoding import NEWEST, Part
from calllog.errors import ConfigError
from calllog.journal import Journal
from calllog.pairing import Event, State, Weighing, status, step, weigh
from calllog.pairing.stops import strike_live
from calllog.session.replay import Replay, event_of
from calllog.values import Call, Message, Observation, ReadingUnit, Segment
from calllog.wording import ENGLISH


@dataclass(frozen=True, slots=True)
class AskedPart:
    """A part that the crew was asked for again."""

    is_take: bool
    """Of the first, not of the check."""
    part: Part


@dataclass(frozen=True, slots=True)
class WeighedPull:
    """What was weighed of a pull when it was last decided."""

    pull: int
    take: Observation
    check: Observation | None
    weighing: Weighing
    calls: tuple[Call, ...]
    """The calls of the pull that count, in order."""
    asked: tuple[AskedPart, ...]
    """What the crew was asked about it, in order."""
    segment: Segment | None
    """What was booked; None while the pull waits."""
    waits: Message | None
    """What the pull waits for; None once it is booked."""
    unit: ReadingUnit
    """What the tape is graduated in."""
    tolerance: int
    """Within how much of each other first and check agree, hundredths of the unit."""
    decided: bool
    """False where the line decides by best hypotheses; it is then weighed as a new line would."""


def weigh_pull(folder: Path, pull: int) -> WeighedPull:
    """Compute again what was weighed of a pull.

    Raises:
        JournalError: no job, or damaged.
        ConfigError: the job has no such pull, its take is not complete, or its tape is read more
            finely than calls are weighed.
    """
    result, found = Replay(), None
    with Journal.open(folder, read_only=True) as journal:
        for entry in journal.entries():
            before = result.state
            result.feed(entry)
            if before is not None and (event := event_of(entry)) is not None:
                for state in _stages(before, event):
                    found = _pull_in(state, pull) or found
    if found is None:
        last, why = result.state, ""
        if last is not None and last.pull == pull:
            why = f" ({ENGLISH.measured_in(last.settings.unit).say(status(last))})"
        raise ConfigError(
            f"pull {pull} has no complete first{why}",
            where=str(folder),
            next_step="name a pull that `calllog report` lists, or finish its first",
        )
    if (unit := found.settings.unit).is_fine:
        raise ConfigError(
            f"calls on a tape read to {unit.text(1)} {unit.symbol} are not weighed together",
            where=str(folder),
            next_step="look at the pull in `calllog report` or `calllog page`",
        )
    segment = next((each for each in reversed(result.segments) if each.pull == pull), None)
    return _weighed(found, pull, segment)


def _stages(state: State, event: Event) -> Iterator[State]:
    """Give the states that one event leads through: after a decision held calls follow."""
    after = step(state, event).state
    if state.held and after.pull != state.pull:
        _, held = strike_live(state)
        state = step(replace(state, held=()), event).state
        yield state
        for call in held:
            state = step(state, call.model_copy(update={"is_live": False})).state
            yield state
    yield after


def _pull_in(state: State, pull: int) -> State | None:
    """Find a pull with a complete take in a state: the one in progress, or the one just booked."""
    for each in (state, state.booked):
        if each is not None and each.pull == pull and each.take is not None:
            return each
    return None


def _weighed(state: State, pull: int, segment: Segment | None) -> WeighedPull:
    take, check = state.take, None
    if take is None:
        message = "a pull without a take cannot be weighed"
        raise ValueError(message)
    if state.stop is not None and state.stop.check is not None:
        check = state.stop.check
    elif not state.take_parts.is_empty and state.parts.is_complete:
        check = state.parts.observe(state.settings.style, state.conditions.hold)
    settings = state.settings.model_copy(update={"decoding": state.settings.decoding or NEWEST})
    weighing = weigh(replace(state, settings=settings), take, check)
    if weighing is None:
        message = f"edition {settings.decoding} weighs nothing"
        raise ValueError(message)
    numbers = {each.call for each in (*weighing.take, *weighing.check)}
    return WeighedPull(
        pull=pull,
        take=take,
        check=check,
        weighing=weighing,
        calls=tuple(each for each in state.history if each.number in numbers),
        asked=tuple(AskedPart(each.is_take, each.part) for each in state.asked),
        segment=segment,
        waits=None if segment is not None else status(state),
        unit=state.settings.unit,
        tolerance=state.settings.tolerance,
        decided=bool(state.settings.decoding),
    )
