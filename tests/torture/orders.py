"""Any order of calls, keys and decisions: ``python -m tests.torture.orders [COUNT]``, COUNT events.

A crew that is mostly right, and often is not: calls come twice, late, or never, from the wrong end;
keys are typed over them; the chief decides what was not asked; tapes and lines change in the
middle; the program dies between an entry and what follows from it. What is booked is judged by
`tests.torture.umpire`, which knows the rules and not the machine.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import partial, reduce
from pathlib import Path
from random import Random
from typing import NamedTuple, cast

from calllog.decoding import NEWEST
from calllog.journal import Entry, Journal
from calllog.journal.entry import fault_of
from calllog.pairing import EDITION, Phase
from calllog.pairing.striking import ASKS_SINCE
from calllog.phone.orders import RemarkOrder, Stands, judge, stands
from calllog.server.messages import Does, Order
from calllog.session import Course, Job, replay
from calllog.session.kinds import FOLLOWS, content_of
from calllog.tape import Certificate, reading_limit
from calllog.values import (
    Alternative,
    BookPolicy,
    Call,
    CheckPolicy,
    Choice,
    Conditions,
    Consequence,
    Decision,
    Expectation,
    Kind,
    LineSettings,
    OffsetNote,
    Outcome,
    ReadingUnit,
    Reopened,
    Role,
    Segment,
    Side,
    Style,
    message,
)
from tests.crew import made_call
from tests.phone import ANNA
from tests.tapes import certificate, metric_tape
from tests.torture.tally import Tally, report
from tests.torture.umpire import OTHER, Fed, Umpire

WALK = 60
"""Events of one job."""
AT_ONCE = 50
"""Jobs that a process is handed at once."""
TAPES = {
    ReadingUnit.FOOT: tuple(
        certificate(identity=f"T-{style}", style=style)
        for style in (Style.ADD, Style.CUT, Style.FULL, Style.INSET)
    ),
    ReadingUnit.METRE: (
        metric_tape(identity="M-add", style="add"),
        metric_tape(identity="M-full"),
        metric_tape(identity="M-inset", style="inset", hold=100),
        metric_tape(identity="M-cut", style="cut"),
    ),
    ReadingUnit.FINE_FOOT: tuple(
        certificate(identity=f"T-{style}", style=style, least_count=0.005)
        for style in (Style.ADD, Style.CUT, Style.FULL, Style.INSET)
    ),
    ReadingUnit.FINE_METRE: (
        metric_tape(identity="M-add", style="add", least_count=0.001),
        metric_tape(identity="M-full", least_count=0.001, tolerance=0.005),
        metric_tape(identity="M-inset", style="inset", hold=100, least_count=0.001),
        metric_tape(identity="M-cut", style="cut", least_count=0.001),
    ),
}
LINES = (("A", "B"), ("B", "C"))
COMMANDS = (
    *("switch", "scratch", "first", "check", "again", "next", "finish", "remark"),
    *("repeat", "who", "caller-holds", "head-holds", "rear-holds", "cut", "add"),
)
CONDITIONS = (
    ("temperature", 41.0), ("tension", 20.0), ("spans", 1.0), ("position", 2.0), ("rise", 1.25),
    ("rise", 60.0), ("hold", 0.0), ("hold", 1.0), ("tape", 1.0), ("tape", 2.0), ("line", 2.0),
    ("line", 1.0), ("line", 7.0), ("tape", 0.0),
)  # fmt: skip


class Paper:
    """A journal that is kept in memory."""

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self.kept = list(entries)
        self.folder = Path("job")
        self.audio = self.folder / "audio"

    def entries(self) -> Iterator[Entry]:
        """Give what was kept."""
        yield from self.kept

    def last(self) -> Entry | None:
        """Give the last one."""
        return self.kept[-1] if self.kept else None

    def add(self, entry: Entry) -> None:
        """Keep one more, sealed already."""
        self.kept.append(entry)

    def close(self) -> None:
        """Keep everything."""


def _clock() -> tuple[str, float]:
    return "2131-05-04T12:00:00+00:00", 1.0


@dataclass
class Walk:
    """One job, worked at random."""

    random: Random
    is_weighed: bool = False
    edition: int = 0
    """Of the pairing."""
    decoding: int = NEWEST
    """Edition of the joint decoding, where calls are weighed together."""
    fed: int = 0
    recorded: list[str] = field(default_factory=list)
    """Bodies of all events that were acknowledged."""

    def __post_init__(self) -> None:
        """Send the crew out."""
        draw = self.random
        units = [each for each in ReadingUnit if not (self.is_weighed and each.is_fine)]
        unit = draw.choice(units)
        tapes: tuple[Certificate, ...] = tuple(draw.sample(TAPES[unit], 2))
        rules = LineSettings(
            line_from="A",
            line_to="B",
            tape=tapes[0].identity,
            style=tapes[0].style,
            nominal=tapes[0].nominal,
            limit=reading_limit(tapes[0]),
            policy=draw.choice((*CheckPolicy, CheckPolicy.REQUIRED)),
            book=draw.choice(tuple(BookPolicy)),
            tolerance=draw.choice((0, 1, 1, 1, 3)),
            whole_by=draw.choice((Role.REAR, Role.REAR, Role.HEAD, Role.UNSAID)),
            unit=unit,
            decoding=self.decoding if self.is_weighed else 0,
            pairing=self.edition,
        )
        self.course = Course(tapes, LINES, rules)
        self.paper = Paper()
        self.job = Job(cast("Journal", self.paper), _clock)
        self.course.go_on(self.job)
        self.umpire = Umpire(self.job.state.settings)
        self._see_conditions()
        self.is_live = draw.random() < 0.7
        self.number = 0
        self.at_s = 0.0
        self.stale: Stands = stands(self.job.replay)
        self._aim()

    def _see_conditions(self) -> None:
        """Let the umpire see what changing the tape stated beside it."""
        self.umpire.events.append(self.job.state.conditions)

    @property
    def one(self) -> int:
        """Least counts of one foot or metre."""
        return self.course.unit.counts

    def _aim(self) -> None:
        """Choose what the next pull measures, and how far off the check will be."""
        limit = self.course.rules.nominal
        self.whole = self.random.randrange(2, limit) * self.one
        self.part = self.random.randrange(self.one)

    def work(self, events: int = WALK) -> int:
        """Do so many things; give how many segments were booked."""
        while self.fed < events:
            self.do()
        self.close()
        return self.umpire.booked

    def do(self) -> None:
        """Do one thing, mostly what the pull waits for."""
        draw, state = self.random, self.job.state
        if draw.random() < 0.01:
            self.die()
        if draw.random() < 0.1:
            self.stale = stands(self.job.replay)
        chance = draw.random()
        if chance < 0.3:
            self.anything()
        elif state.phase is Phase.TAKEN and state.awaiting is None:
            self.command("switch" if draw.random() < 0.8 else draw.choice(("next", "finish")))
        elif state.phase is Phase.STOPPED and draw.random() < 0.5:
            self.answer()
        elif state.phase is Phase.FINISHED:
            self.condition("line", float(draw.randrange(1, 3)))
        else:
            self.number_wanted()

    def anything(self) -> None:
        """Do what nobody waits for."""
        draw = self.random
        match draw.randrange(9):
            case 0 | 1:
                self.command(draw.choice(COMMANDS))
            case 2:
                self.condition(*draw.choice(CONDITIONS))
            case 3:
                self.feed(Decision(pull=self._a_pull(), choice=draw.choice(tuple(Choice)), by="C"))
            case 4:
                self.order()
            case 5:
                self.beside()
            case 6 if self.umpire.events:
                again = draw.choice(self.umpire.events[-6:])
                self.feed(self._anew(again) if isinstance(again, Call) else again)
            case 7:
                self.number += draw.randrange(3)  # calls that were never made
                self.at_s += draw.choice((0.0, 5.0, 90.0))
            case _:
                self.any_number()

    def _a_pull(self) -> int:
        return max(1, self.job.state.pull + self.random.choice((0, 0, 0, -1, 1)))

    def answer(self) -> None:
        """Answer a stop."""
        draw = self.random
        if draw.random() < 0.5:
            self.command(draw.choice(("first", "check", "again", "scratch")))
        elif draw.random() < 0.3:
            self.order()
        else:
            pull = self.job.state.pull
            self.feed(Decision(pull=pull, choice=draw.choice(tuple(Choice)), by="chief"))

    def number_wanted(self) -> None:
        """Call a part that the pull waits for, right or a blunder."""
        draw, state = self.random, self.job.state
        if state.phase is Phase.OPEN and state.parts.is_empty:
            self._aim()
        whole, part = self.whole, self.part
        if draw.random() < 0.25:
            whole += self.one * draw.choice((0, 0, 1, -1, 10))
            part = (
                draw.choice((part, part + 1, part - 1, part * 10, self.one - 1 - part)) % self.one
            )
        whole = min(max(whole, 0), self.course.rules.nominal * self.one)
        is_joint = state.settings.style in (Style.FULL, Style.INSET)
        if draw.random() < (0.8 if is_joint else 0.15):
            self.call(Kind.READING, value=whole + part, role=draw.choice(tuple(Role)))
            return
        wants_whole = state.parts.whole is None if draw.random() < 0.9 else draw.random() < 0.5
        by = state.whole_by if wants_whole else OTHER[state.whole_by]
        role = by if draw.random() < 0.85 else draw.choice(tuple(Role))
        may_be_bare = wants_whole or (part > 9 and not self.course.unit.is_fine)
        if draw.random() < 0.3 and may_be_bare and whole < 100 * self.one:
            self.call(Kind.NUMBER, value=whole // self.one if wants_whole else part, role=role)
        elif wants_whole:
            self.call(Kind.WHOLE, value=whole, role=role)
        else:
            self.call(Kind.FRACTION, value=part, role=role)

    def any_number(self) -> None:
        """Call a number out of the blue."""
        draw = self.random
        nominal, role = self.course.rules.nominal, draw.choice(tuple(Role))
        match draw.randrange(5):
            case 0:
                self.call(Kind.WHOLE, value=draw.randrange(nominal + 1) * self.one, role=role)
            case 1:
                self.call(Kind.FRACTION, value=draw.randrange(self.one), role=role)
            case 2:
                self.call(Kind.NUMBER, value=draw.randrange(min(nominal, 100)), role=role)
            case 3:
                self.call(Kind.READING, value=nominal * self.one, name="full tape", role=role)
            case _:
                self.call(Kind.READING, value=draw.randrange(nominal * self.one), role=role)

    def command(self, name: str) -> None:
        """Say or type a command."""
        self.call(Kind.COMMAND, name=name, role=self.random.choice(tuple(Role)))

    def condition(self, name: str, amount: float) -> None:
        """State a condition."""
        self.call(Kind.CONDITION, name=name, amount=amount)

    def beside(self) -> None:
        """Say what belongs to no pull, or state all conditions anew."""
        draw = self.random
        match draw.randrange(5):
            case 0:
                note = OffsetNote(station=draw.randrange(20_000), side=Side.LEFT, offset=100)
                self.call(Kind.NOTE, note=note)
            case 1:
                self.call(Kind.REMARK, outcome=Outcome.IGNORED)
            case 2:
                self.call(Kind.CHATTER, outcome=Outcome.IGNORED)
            case 3:
                self.call(
                    Kind.UNCLEAR, outcome=Outcome.ASK, reason=message("not-sure-of", said="fifty")
                )
            case _:
                self.feed(Conditions(hold=draw.choice((0, 100)), rise_ft=draw.choice((None, 0.5))))

    def order(self) -> None:
        """Give an order on a phone, on what stands or on what stood before."""
        draw, job = self.random, self.job.replay
        does = draw.choice(tuple(Does))
        on = (self.stale if draw.random() < 0.3 else stands(job)).of(does)
        text = {
            Does.VALUE: draw.choice(
                (f"{self.whole // self.one}.", f".{self.part:02}", "15.42", "x")
            ),
            Does.CONDITION: draw.choice(("1*68", "5*1.25", "6*1", "9*9")),
        }.get(does, "a remark")
        order = Order(id=f"{draw.randrange(2**64):032x}", does=does, on=on, text=text)
        made = judge(
            job, order, Expectation.ANY, lambda entry: self._keyed(entry.kind, entry), by=ANNA
        )
        if isinstance(made, Decision):
            self.feed(made)
        elif isinstance(made, RemarkOrder):
            self.call(Kind.REMARK, outcome=Outcome.IGNORED, is_keyed=True, text=made.text)
        elif not isinstance(made, str):
            self.feed(self._keyed(made.kind, made))

    def _keyed(self, kind: Kind | None, entry: object) -> Call:
        changes = {name: getattr(entry, name) for name in ("text", "value", "name", "amount")}
        return self._call(kind or Kind.NOTE, is_keyed=True, source=f"live#phone {ANNA}", **changes)

    def call(self, kind: Kind, **changes: object) -> None:
        """Say or type something."""
        if self.random.random() < 0.12:
            changes = {"is_keyed": True, "source": "live#keys", **changes}
        self.feed(self._call(kind, **changes))

    def _call(self, kind: Kind, **changes: object) -> Call:
        self.at_s += self.random.choice((1.0, 3.0, 3.0, 8.0, 25.0))
        stated = {"probability": 0.9, "is_live": self.is_live} | changes
        call = made_call(self.number + 1, kind, self.at_s, **stated)
        if self.is_weighed and call.value is not None and not call.is_keyed:
            call = call.model_copy(update={"alternatives": self._alternatives(call)})
        return call

    def _alternatives(self, call: Call) -> tuple[Alternative, ...]:
        draw, value = self.random, call.value or 0
        sure = draw.choice((0.99, 0.9, 0.6))
        step = self.one if call.kind is Kind.WHOLE else 1
        limit = {Kind.FRACTION: 99, Kind.NUMBER: 99}.get(call.kind, self.job.state.settings.limit)
        other = min(max(value + step * draw.choice((1, -1, 10, 50)), 0), limit)
        listed = (
            ((value, sure), (other, 0.98 - sure))
            if other != value and sure < 0.98
            else ((value, sure),)
        )
        return tuple(
            Alternative(text=str(each), kind=call.kind, value=each, probability=max(share, 0.0))
            for each, share in listed
        )

    def _anew(self, call: Call) -> Call:
        """Say a call once more."""
        self.at_s += self.random.choice((0.5, 3.0, 30.0))
        again = {"number": self.number + 1, "start_s": self.at_s, "end_s": self.at_s + 1.0}
        return call.model_copy(update=again)

    def feed(self, event: Fed) -> None:
        """Let the job take an event, the umpire see it, and tape or line change if it says so."""
        self.fed += 1
        if isinstance(event, Call):
            self.number = event.number
        before, opened = len(self.paper.kept), self.job.state.pull
        follows = self.job.record(event)
        self._check_pull(opened, follows)
        self._check_recorded(event, follows, self.paper.kept[before:])
        is_stopped = self.job.state.phase is Phase.STOPPED
        self.umpire.saw(event, follows, is_stopped=is_stopped)
        if isinstance(event, Call):
            lines = len(self.paper.kept)
            self.course.follow(self.job, event, follows)
            later = [each.kind for each in self.paper.kept[lines:]]
            if "line" in later:
                self.umpire.begin_line(self.job.state.settings)
            if later:
                self._see_conditions()

    def _check_pull(self, opened: int, follows: tuple[Consequence, ...]) -> None:
        """The next pull is opened by booking this one, and by nothing else.

        By edition 1 a pull went by now and then; its jobs replay as they were recorded.
        """
        if self.edition < ASKS_SINCE:
            return
        booked = sum(isinstance(each, Segment) for each in follows)
        again = sum(isinstance(each, Reopened) for each in follows)
        assert self.job.state.pull == opened + booked - again, "a pull went by that nobody booked"

    def _check_recorded(
        self, event: Fed, follows: tuple[Consequence, ...], entries: list[Entry]
    ) -> None:
        """The event is the first entry, what followed from it the others, all of it."""
        assert [each.content for each in entries] == [content_of(event), *map(content_of, follows)]
        assert [each.kind for each in entries[1:]] == [FOLLOWS[type(each)] for each in follows]
        self.recorded.append(entries[0].hash)

    def die(self) -> None:
        """End between an entry and what follows from it, and go on from the journal."""
        kept, before = list(self.paper.kept), self.job.replay
        while kept[-1].kind in FOLLOWS.values() and self.random.random() < 0.6:
            kept.pop()
        self.paper = Paper(kept)
        self.job = Job(cast("Journal", self.paper), _clock)
        assert self.job.replay == before, "another state after the program was killed"

    def close(self) -> None:
        """Prove the job: nothing gone, nothing changed, and the same again from the journal."""
        after: Entry | None = None
        for entry in self.paper.kept:
            assert not (fault := fault_of(entry, after)), fault
            after = entry
        hashes = [each.hash for each in self.paper.kept]
        places = [hashes.index(each) for each in self.recorded]
        assert places == sorted(set(places)), "an event is gone, or twice, or in another order"
        again = replay(self.paper.kept)
        assert not again.wrong, again.wrong
        assert again == self.job.replay, "the job at work is not what its journal gives"
        assert [each for each, _ in self.umpire.standing] == again.segments, "other segments stand"


def walk(seed: int, *, is_weighed: bool, edition: int = 0) -> Walk:
    """Work one job."""
    made = Walk(Random(seed), is_weighed=is_weighed, edition=edition)  # noqa: S311 - no secret
    made.work()
    return made


class Walked(NamedTuple):
    """What came of some jobs."""

    jobs: int = 0
    fed: int = 0
    booked: int = 0
    failed: int = 0
    first: str = ""
    """The first one that went wrong, and how."""

    def and_also(self, other: Walked) -> Walked:
        """Count both."""
        return Walked(
            self.jobs + other.jobs,
            self.fed + other.fed,
            self.booked + other.booked,
            self.failed + other.failed,
            self.first or other.first,
        )


def work_jobs(seeds: Sequence[int], *, is_weighed: bool) -> Walked:
    """Work the jobs of these seeds by today's rules; how old ones replay is kept elsewhere."""
    walked = Walked()
    for seed in seeds:
        made = Walk(Random(seed), is_weighed=is_weighed, edition=EDITION)  # noqa: S311 - no secret
        first = ""
        try:
            made.work()
        except Exception as error:  # noqa: BLE001 - counted, whatever it is
            first = f"; job {seed}: {type(error).__name__} {error}"
        one = Walked(1, made.fed, made.umpire.booked, int(bool(first)), first)
        walked = walked.and_also(one)
    return walked


def tally(walked: Walked, *, is_weighed: bool) -> Tally:
    """Tell what came of them."""
    rules = "weighed together" if is_weighed else "usual rules"
    note = (
        f"{walked.jobs:,} jobs, {walked.booked:,} segments booked, {walked.failed} jobs wrong"
        f"{walked.first}"
    )
    return Tally(f"events in any order, {rules}", walked.fed, walked.fed - walked.failed, note=note)


def run(count: int, *, is_weighed: bool) -> Tally:
    """Work jobs until so many events were fed, on all cores."""
    walked = Walked()
    work = partial(work_jobs, is_weighed=is_weighed)
    with ProcessPoolExecutor() as pool:
        begun = 1
        while walked.fed < count:
            jobs = -(-(count - walked.fed) // WALK)
            parts = [
                range(at, min(at + AT_ONCE, begun + jobs))
                for at in range(begun, begun + jobs, AT_ONCE)
            ]
            walked = reduce(Walked.and_also, pool.map(work, parts), walked)
            begun += jobs
    return tally(walked, is_weighed=is_weighed)


def main() -> int:
    """Work jobs by the usual rules, and fewer with all calls weighed together."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_050_000
    return report(
        "orders",
        (run(count * 49 // 50, is_weighed=False), run(count // 50, is_weighed=True)),
    )


if __name__ == "__main__":
    sys.exit(main())
