"""Makes ``talks.json``: what follows from calls of which nobody is sure, drawn by chance.

``python -m tests.golden.make_talks``. Beside ``walks.json``, whose jobs hear every call surely and
from one place: here two microphones hear each other, calls have alternatives and are weighed
together, numbers are said back, and the crew is asked. No journal: the pairing alone. Probabilities
are drawn too, so that no two calls are in equal doubt. What is kept is a digest, for each edition.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from random import Random

from calllog.pairing import (
    EDITION,
    Event,
    Phase,
    State,
    caller_at,
    completes,
    expects,
    pulls_ahead,
    start,
    status,
    step,
    whose_turn,
)
from calllog.values import (
    Alternative,
    BookPolicy,
    Call,
    CalledFirst,
    CheckPolicy,
    Choice,
    Conditions,
    Consequence,
    Decision,
    Kind,
    LineSettings,
    Message,
    Outcome,
    ReadingUnit,
    Role,
    Style,
    message,
)
from tests.crew import made_call, short
from tests.torture.orders import COMMANDS, CONDITIONS

DECODING = 4
"""Edition of the joint decoding by which these were kept."""
KEPT = Path(__file__).parent / "talks.json"
LINES = 20
"""Of each block."""
BLOCKS = 2
"""Of each edition."""
EVENTS = 40
ROLES = (Role.HEAD, Role.REAR, Role.HEAD, Role.REAR, Role.UNSAID)


class Talk:
    """A crew on one line, of whom nothing is heard surely."""

    def __init__(self, seed: int, edition: int) -> None:
        draw = self.draw = Random(seed)  # noqa: S311 - a made-up crew
        style = draw.choice((*Style, Style.ADD, Style.CUT))
        unit = draw.choice((ReadingUnit.FOOT, ReadingUnit.FOOT, *ReadingUnit))
        self.one, is_weighed = unit.counts, not unit.is_fine and draw.random() < 0.5
        self.nominal = 20 if is_weighed else 100
        line = LineSettings(
            line_from="A",
            line_to="B",
            tape="T-1",
            style=style,
            nominal=self.nominal,
            limit=self.nominal * self.one + (self.one - 1) * (style is Style.ADD),
            policy=draw.choice((CheckPolicy.REQUIRED, *CheckPolicy)),
            book=draw.choice(tuple(BookPolicy)),
            tolerance=draw.choice((0, 1, 1, 3)),
            whole_by=draw.choice((Role.REAR, Role.REAR, Role.HEAD, Role.UNSAID)),
            called_first=draw.choice(tuple(CalledFirst)),
            unit=unit,
            decoding=DECODING * is_weighed,
            pairing=edition,
        )
        self.state: State = start(line)
        self.is_live = draw.random() < 0.8
        self.number, self.at_s = 0, 0.0
        self.heard: list[Call] = []
        self.whole, self.part = 0, 0

    def events(self) -> Iterator[Event]:
        """Draw what is said, typed and decided, until a while after the line is finished."""
        left = EVENTS
        while left > 0:
            left -= 1 if self.state.phase is not Phase.FINISHED else EVENTS // 3
            yield self._event()

    def _event(self) -> Event:  # noqa: PLR0911 - one way out for each kind of event
        draw, state = self.draw, self.state
        if state.phase is Phase.OPEN and state.parts.is_empty:
            self.whole, self.part = draw.randrange(1, self.nominal), draw.randrange(self.one)
        chance = draw.random()
        if chance < 0.08 and self.heard:
            return self._once_more(draw.choice(self.heard[-4:]))
        if chance < 0.14:
            return self._call(Kind.COMMAND, name=draw.choice(COMMANDS))
        if chance < 0.2:
            name, amount = draw.choice((*CONDITIONS, ("spans", -1.0), ("position", 9.0)))
            return self._call(Kind.CONDITION, name=name, amount=amount)
        if chance < 0.22:
            return Conditions(hold=draw.choice((0, self.one)), rise_ft=draw.choice((None, 0.5)))
        if chance < 0.24:
            no_call = draw.choice((None, message("not-sure-of", said="fifty")))
            return self._call(Kind.UNCLEAR, outcome=Outcome.ASK, reason=no_call)
        if state.phase is Phase.STOPPED and chance < 0.6:
            return Decision(pull=state.pull, choice=draw.choice(tuple(Choice)), by="chief")
        if state.phase is Phase.TAKEN and state.awaiting is None:
            name = "switch" if draw.random() < 0.8 else draw.choice(("next", "finish"))
            return self._call(Kind.COMMAND, name=name)
        return self._number()

    def _number(self) -> Call:
        """Call a part, mostly the one that is due, by the one whose it is."""
        draw, state = self.draw, self.state
        whole, part = self.whole * self.one, self.part
        if draw.random() < 0.2:
            whole += self.one * draw.choice((1, -1, 10))
            part = draw.choice((part + 1, part * 10, self.one - part)) % self.one
        value = min(max(whole, 0) + part, state.settings.limit)
        if draw.random() < (0.7 if state.settings.style in (Style.FULL, Style.INSET) else 0.1):
            name = "full tape" if draw.random() < 0.2 else ""
            value = self.nominal * self.one if name else value
            return self._call(Kind.READING, value=value, name=name)
        is_whole = (state.parts.whole is None) is (draw.random() < 0.9)
        role = state.whole_by if is_whole else state.fraction_by
        role = role if draw.random() < 0.8 else draw.choice(ROLES)
        value = value // self.one * self.one if is_whole else value % self.one
        if draw.random() < 0.5:
            value //= self.one if is_whole else 1
            return self._call(Kind.NUMBER, value=min(value, 99), role=role)
        name = draw.choice(("", "", "", "cut", "add"))
        return self._call(
            Kind.WHOLE if is_whole else Kind.FRACTION, value=value, role=role, name=name
        )

    def _call(self, kind: Kind, **changes: object) -> Call:
        draw = self.draw
        self.at_s += draw.choice((0.5, 1.5, 3.0, 3.0, 8.0, 70.0)) + draw.random()
        self.number += 1
        role = draw.choice(ROLES)
        made: dict[str, object] = {
            "source": f"live#{1 + (role is Role.REAR)}",
            "role": role,
            "expects": expects(self.state, role),
            "text": f"{changes.get('name') or changes.get('value')}",
            "probability": 1.0 - draw.random() ** 3,
            "is_live": self.is_live,
        }
        if draw.random() < 0.1:
            made |= {"is_keyed": True, "source": "live#keys"}
        call = made_call(self.number, kind, self.at_s, **(made | changes))
        if call.value is not None and not call.is_keyed:
            call = call.model_copy(update={"alternatives": self._alternatives(call)})
        self.heard.append(call)
        return call

    def _alternatives(self, call: Call) -> tuple[Alternative, ...]:
        value = call.value or 0
        one = self.one if call.kind is Kind.WHOLE else 1
        other = value + one * self.draw.choice((1, 5, 10)) * (-1 if value >= 50 * one else 1)
        listed = ((value, call.probability), (other, (1.0 - call.probability) * self.draw.random()))
        return tuple(
            Alternative(text=str(each), kind=call.kind, value=each, probability=share)
            for each, share in listed
        )

    def _once_more(self, before: Call) -> Call:
        """Say a call again, or hear it on the other microphone, or as said back."""
        draw = self.draw
        self.number += 1
        role = draw.choice(ROLES)
        start_s = draw.choice((before.start_s + 0.1, self.at_s + 1.5, self.at_s + 4.0))
        self.at_s = max(self.at_s, start_s)
        again = before.model_copy(
            update={
                "number": self.number,
                "role": role,
                "source": f"live#{1 + (role is Role.REAR)}",
                "is_keyed": False,
                "start_s": start_s,
                "end_s": start_s + 1.0,
                "probability": draw.random(),
            }
        )
        self.heard.append(again)
        return again


def told(seed: int, edition: int) -> Iterator[str]:
    """Tell what followed from each event, and what the crew would be told then."""
    talk = Talk(seed, edition)
    for event in talk.events():
        done = step(talk.state, event)
        state = talk.state = done.state
        yield from (f"{type(each).__name__} {_plain(each)}" for each in done.consequences)
        turns = (short(each) for each in (status(state), whose_turn(state)))
        yield " ".join((*turns, *(expects(state, role) for role in Role)))
        yield f"{pulls_ahead(state)} {caller_at(state, Role.HEAD)} {done.is_refused}"
        if isinstance(event, Call):
            yield f"{completes(state, event)}"


def _plain(value: Consequence | Message) -> str:
    """Write it with its fractions short: a sum's last bit is no consequence."""

    def short(found: object) -> object:
        if isinstance(found, float):
            return float(f"{found:.6g}")
        if isinstance(found, dict):
            return {name: short(each) for name, each in found.items()}
        return [short(each) for each in found] if isinstance(found, list) else found

    return json.dumps(short(json.loads(value.model_dump_json())), sort_keys=True)


def digest(block: int, edition: int) -> str:
    """Give the digest of all that was told on some lines."""
    seeds = range(block * LINES, (block + 1) * LINES)
    lines = "\n".join(each for seed in seeds for each in told(seed, edition))
    return sha256(lines.encode()).hexdigest()[:12]


def main() -> None:
    """Make it."""
    found = {
        f"edition {edition}": [digest(block, edition) for block in range(BLOCKS)]
        for edition in range(EDITION + 1)
    }
    KEPT.write_text(json.dumps(found, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    main()
