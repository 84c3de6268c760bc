"""The crew's nouns as frozen values, shared by all rooms; pure.

Readings are integers in the tape's least count, hundredths of its unit unless it is read more
finely (`ReadingUnit`): 1542 means 15.42, in feet on a tape in feet and in metres on a metric one.
What is said of hundredths holds for least counts there. Lengths whose name ends in ``_ft`` are
feet on every tape (see `calllog.units.reading`).
Probabilities are plain floats from 0 to 1. Times belong to the shell and are strings here.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from enum import StrEnum
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple, get_type_hints, overload

from pydantic import BaseModel, ConfigDict, Field, model_validator
from pydantic_core import core_schema

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pydantic import GetCoreSchemaHandler


class Frozen(BaseModel):
    """Base of every value that may touch disk: frozen, strict, no unknown fields."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)


class Message(Frozen):
    """Something to be told: a code and its facts; `calllog.wording` makes words of it."""

    code: str
    """Of the message in the catalogues; lower-case words joined by hyphens."""
    facts: dict[str, Fact] = Field(default_factory=dict)
    """Numbers and names that belong to it; readings in hundredths of the unit."""


Fact = int | float | str | Message
"""A number, a name, a code, or what was said; or another message."""
Message.model_rebuild()


def message(code: str, /, **facts: Fact) -> Message:
    """Make a message."""
    return Message(code=code, facts=facts)


HUNDREDTHS = 100
"""Of one foot or metre."""
Hundredths = Annotated[int, Field(ge=0, le=1_000_000)]
"""Least counts of a tape, hundredths of its unit unless it is read more finely. More than any tape
has; what is beyond comes from no crew and would overflow."""
Stated = Annotated[float, Field(ge=-1e6, le=1e6, allow_inf_nan=False)]
"""What a condition may state at the most, in any unit."""


class ReadingUnit(StrEnum):
    """What a tape is graduated in, and to how much of that it is read; a job has one.

    Readings are counted in least counts of the tape, of which `counts` are one foot or metre. What
    a unit says of itself is worked out once.
    """

    FOOT = "foot"
    """Feet read to 0.01 ft."""
    METRE = "metre"
    """Metres read to the centimetre."""
    FINE_FOOT = "foot/200"
    """Feet read to 0.005 ft."""
    FINE_METRE = "metre/1000"
    """Metres read to the millimetre."""

    @cached_property
    def base(self) -> ReadingUnit:
        """The foot or the metre, however finely it is read."""
        return ReadingUnit(self.partition("/")[0])

    @cached_property
    def is_feet(self) -> bool:
        """Whether it is the foot."""
        return self.base is ReadingUnit.FOOT

    @cached_property
    def is_fine(self) -> bool:
        """Whether it is read more finely than to hundredths."""
        return self is not self.base

    @cached_property
    def counts(self) -> int:
        """How many least counts it has."""
        return int(self.partition("/")[2] or 100)

    @cached_property
    def digits(self) -> int:
        """How many digits after the point a reading has."""
        return 3 if self.is_fine else 2

    @cached_property
    def step(self) -> int:
        """One least count, in units of the last of those digits."""
        return int(10**self.digits) // self.counts

    @cached_property
    def singular(self) -> str:
        """Its name for one, as the crew reads it."""
        return "foot" if self.is_feet else "meter"

    @cached_property
    def plural(self) -> str:
        """Its name for more than one, as the crew reads it."""
        return "feet" if self.is_feet else "meters"

    @cached_property
    def symbol(self) -> str:
        """As it is printed after a figure."""
        return "ft" if self.is_feet else "m"

    def of_hundredths(self, hundredths: int) -> int:
        """Give hundredths of it in least counts."""
        return hundredths * self.counts // HUNDREDTHS

    def text(self, counts: int) -> str:
        """Write a reading as a decimal number, exactly.

        Example:
            >>> ReadingUnit.FOOT.text(1542), ReadingUnit.FINE_FOOT.text(3085)
            ('15.42', '15.425')
        """
        whole, rest = divmod(abs(counts), self.counts)
        return f"{'-' if counts < 0 else ''}{whole}.{self.part(rest)}"

    def part(self, counts: int) -> str:
        """Write what a reading has after its point, all digits of it.

        Example:
            >>> ReadingUnit.METRE.part(5), ReadingUnit.FINE_METRE.part(5)
            ('05', '005')
        """
        return f"{counts * self.step:0{self.digits}d}"


class Role(StrEnum):
    """Who called: the end of the tape as it lies in the *take*; a microphone keeps its role."""

    HEAD = "head"
    REAR = "rear"
    UNSAID = "unsaid"


class Expectation(StrEnum):
    """What the one who may speak is expected to call; picks the grammar of an utterance."""

    WHOLE = "whole"
    FRACTION = "fraction"
    READING = "reading"
    ANY = "any"


class Kind(StrEnum):
    """What an utterance turned out to be."""

    WHOLE = "whole"
    """A whole mark, such as a foot; value in hundredths is a multiple of 100."""
    FRACTION = "fraction"
    """Hundredths, 0 to 99."""
    READING = "reading"
    """A full reading, whole units and hundredths."""
    NUMBER = "number"
    """A bare number from 0 to 99 heard where either a foot or hundredths may be meant."""
    COMMAND = "command"
    CONDITION = "condition"
    NOTE = "note"
    """Where something lies beside the line: station, side and offset."""
    REMARK = "remark"
    """An utterance kept as sound and not understood; it moves nothing."""
    CHATTER = "chatter"
    """Crew talk that is none of the above; heard and ignored."""
    UNCLEAR = "unclear"
    """Heard as a call, but not one that may be taken: ask again."""


NUMBERS = frozenset({Kind.WHOLE, Kind.FRACTION, Kind.READING, Kind.NUMBER})
"""What a length is made of."""


class Outcome(StrEnum):
    """What becomes of an utterance."""

    CALL = "call"
    ASK = "ask"
    IGNORED = "ignored"


class Style(StrEnum):
    """How a tape is graduated (see `calllog.tape`)."""

    FULL = "full"
    ADD = "add"
    CUT = "cut"
    INSET = "inset"
    """Zero lies in from the ring; certificates call it zero-in."""


class Side(StrEnum):
    """Which side of the line, looking the way it is taped."""

    LEFT = "left"
    RIGHT = "right"


class OffsetNote(Frozen):
    """Where something lies beside the line."""

    station: Annotated[int, Field(ge=-(10**9), le=10**9)]
    """Along the line, hundredths of the unit: 12500 is 1+25."""
    side: Side
    offset: Annotated[int, Field(ge=-(10**9), le=10**9)]
    """Square off the line, hundredths of the unit."""


class Alternative(NamedTuple):
    """One thing that an utterance may have been; checked where it becomes part of a call."""

    text: str
    """The words, lower case, separated by single blanks."""
    kind: Kind
    value: Hundredths | None
    """Hundredths of the unit; None for what is no number."""
    probability: float


@lru_cache(maxsize=8192)
def _once(text: str, kind: Kind, value: Hundredths | None) -> tuple[str, Kind, Hundredths | None]:
    """Give what an alternative says as it is kept already, if it is: crews repeat themselves."""
    return text, kind, value


class Alternatives(Sequence[Alternative]):
    """The alternatives of a call in little memory: a day has thousands of calls, each dozens.

    Each is made as it is asked for, out of its probability and of what many calls share.
    """

    __slots__ = ("_meant", "_probabilities")

    def __init__(self, those: Iterable[Alternative]) -> None:
        """Keep them."""
        those = tuple(those)
        self._meant = tuple([_once(text, kind, value) for text, kind, value, _ in those])
        self._probabilities = array("d", [one.probability for one in those])

    def __len__(self) -> int:
        """Count them."""
        return len(self._meant)

    @overload
    def __getitem__(self, at: int) -> Alternative: ...

    @overload
    def __getitem__(self, at: slice) -> tuple[Alternative, ...]: ...

    def __getitem__(self, at: int | slice) -> Alternative | tuple[Alternative, ...]:
        """Give one, or several."""
        return tuple(self)[at]

    def __iter__(self) -> Iterator[Alternative]:
        """Give one after the other."""
        for (text, kind, value), probability in zip(self._meant, self._probabilities, strict=True):
            yield Alternative(text, kind, value, probability)

    def __eq__(self, other: object) -> bool:
        """Tell whether others are the same, in this order."""
        return isinstance(other, Sequence) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        """Give one number for the same alternatives."""
        return hash(tuple(self))

    def __repr__(self) -> str:
        """Show them."""
        return repr(tuple(self))

    @classmethod
    def __get_pydantic_core_schema__(
        cls, _source: object, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Read and write them as a list, each with its fields by name."""
        fields = {
            name: core_schema.typed_dict_field(handler.generate_schema(hint), required=True)
            for name, hint in get_type_hints(Alternative, include_extras=True).items()
        }
        one = core_schema.typed_dict_schema(
            fields, config={"strict": True, "extra_fields_behavior": "forbid"}
        )
        listed = core_schema.tuple_variable_schema(one)
        kept = core_schema.no_info_after_validator_function(_kept, listed)
        given = core_schema.no_info_before_validator_function(
            lambda those: _by_name(those) if isinstance(those, Sequence) else those, kept
        )
        return core_schema.json_or_python_schema(
            json_schema=kept,
            python_schema=core_schema.union_schema(
                [core_schema.is_instance_schema(cls), given], mode="left_to_right"
            ),
            serialization=core_schema.plain_serializer_function_ser_schema(
                _by_name, return_schema=listed
            ),
        )


def _kept(listed: tuple[dict[str, Any], ...]) -> Alternatives:
    """Take what was read and checked."""
    return Alternatives(
        [Alternative(one["text"], one["kind"], one["value"], one["probability"]) for one in listed]
    )


def _by_name(those: Iterable[Alternative]) -> tuple[object, ...]:
    """Give the fields of each by their names, and as it is what is no alternative."""
    return tuple(
        {"text": one[0], "kind": one[1], "value": one[2], "probability": one[3]}
        if isinstance(one, Alternative)
        else one
        for one in those
    )


class Call(Frozen):
    """One utterance (or key entry) as it was understood; numbered within its job from 1."""

    number: int
    source: str
    """Where it came from, for example ``morning.flac#1`` (recording and channel)."""
    role: Role
    expects: Expectation
    kind: Kind
    text: str
    value: Hundredths | None
    """Hundredths of the unit for whole, fraction, reading and number; else None."""
    name: str
    """Name of the command or condition; of a number ``full tape``, or the style that was said with
    it, cut or add; else empty."""
    amount: Stated | None
    """What a condition states (degrees, pounds, spans); else None."""
    probability: float
    alternatives: Annotated[Sequence[Alternative], Alternatives]
    outcome: Outcome
    reason: Message | None
    """Why it is asked again or ignored; None for a call that is taken."""
    start_s: float
    end_s: float
    """Where it stands in its source, seconds from the beginning."""
    clip: str
    """Path of its sound inside the job folder; empty if none is kept."""
    clip_sha256: str = ""
    """SHA-256 of that file, hexadecimal."""
    is_live: bool = False
    """Called while the crew hears what follows, so that it can be asked."""
    is_keyed: bool = False
    """Typed on a keypad; it stands over what was heard, which stays in the journal, struck."""
    note: OffsetNote | None = None
    """What a note states; None for all other kinds."""

    def model_post_init(self, _context: object) -> None:
        """Share the set of the fields that were stated, 2 kB, with all calls that state them."""
        own = self.model_fields_set
        shared = STATED.setdefault(frozenset(own), own)
        object.__setattr__(self, "__pydantic_fields_set__", shared)


STATED: dict[frozenset[str], set[str]] = {}
"""By the fields that calls state, the set of them, which nobody changes."""


def clip_name(number: int) -> str:
    """Name the sound of a call: its path inside the job folder."""
    return f"audio/{number:06d}.flac"


class RunName(NamedTuple):
    """A run of a line: its two points, and which one between them in that direction, from 1."""

    line_from: str
    line_to: str
    run: int

    @property
    def ends(self) -> tuple[str, str]:
        """The two points."""
        return self.line_from, self.line_to

    @property
    def told(self) -> Message:
        """Its name in words."""
        return message("page-line-name", begins=self.line_from, ends=self.line_to, run=self.run)


class OnLine(Frozen):
    """Something said on a run of a line."""

    line_from: str
    line_to: str
    run: int
    """Which run between the two points, in that direction."""

    @property
    def run_name(self) -> RunName:
        """The run."""
        return RunName(self.line_from, self.line_to, self.run)


class LineNote(OnLine):
    """A station and offset note that stands, and the line that it was said on."""

    note: OffsetNote
    call: int
    clip: str
    """Path of its sound inside the job folder; empty if none is kept."""
    time_utc: str
    """When it was taken in, ISO 8601 with its zone; empty if not known."""


class Remark(OnLine):
    """A remark kept as sound, and the pull in progress when it was said."""

    pull: int
    call: int
    clip: str
    """Path of its sound inside the job folder; empty if none is kept."""
    time_utc: str
    note: int | None
    """Number of the call of the note that it was said right after, if any."""


class Conditions(Frozen):
    """The conditions in force; None means not known."""

    temperature_degf: Stated | None = None
    tension_lb: Stated | None = None
    spans: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    """Support: 0 throughout, 1 at the ends only, n at n equal spans."""
    position: str | None = None
    """Where the tape was held: ground, knee, waist or chest."""
    rise_ft: Stated | None = None
    """Difference of height between the two ends."""
    hold: Hundredths = 0
    """Hundredths of the unit that the other end holds (full and inset tapes)."""


class Severity(StrEnum):
    """Whether a finding needs a decision before anything moves ahead."""

    STOP = "stop"
    NOTE = "note"


class Finding(Frozen):
    """Something that the crew and the office must know about a pull."""

    code: str
    severity: Severity
    pull: int
    first: int | None
    second: int | None
    """The two values in hundredths that do not go together, where there are two."""
    calls: tuple[int, ...]
    """Numbers of the calls concerned."""
    facts: dict[str, Fact] = Field(default_factory=dict)
    """What else its words need (see `calllog.wording`)."""


class Observation(Frozen):
    """One complete measurement of a pull: whole and fraction, or one reading."""

    whole: int | None
    fraction: int | None
    reading: int | None
    hold: int
    length: int
    """The length read, hundredths in the tape's own marks, reduced by its graduation."""
    calls: tuple[int, ...]


class Booking(StrEnum):
    """Why a segment stands in the log."""

    AGREED = "agreed"
    """Take and check agree within the tolerance."""
    FIRST = "first"
    """The chief kept the take."""
    CHECK = "check"
    """The chief kept the check."""
    UNCHECKED = "unchecked"
    """The line's policy asks for no check, or the wanted one was not made."""


class Segment(Frozen):
    """The accepted length of one pull."""

    pull: int
    line_from: str
    line_to: str
    tape: str
    """Identity of the tape, as its certificate states it."""
    style: Style
    take: Observation
    check: Observation | None
    difference: int | None
    """Check minus take, hundredths of the unit."""
    length_read_ft: float
    """What is booked: the take, the check, or their mean, in the tape's own marks [ft]."""
    booking: Booking
    decided_by: str
    """``policy`` or who decided."""
    conditions: Conditions
    findings: tuple[Finding, ...]
    superseded: tuple[Observation, ...]
    """Observations of this pull that were measured again; struck, never erased."""


class Corrections(Frozen):
    """What is added to the length read, each apart, in feet; None where it cannot be known."""

    standardisation_ft: float | None
    temperature_ft: float | None
    tension_ft: float | None
    sag_ft: float | None
    slope_ft: float | None
    sum_ft: float
    """Sum of those that are known."""


class Holders(Frozen):
    """Who held which end of the tape in a pull; empty where nobody is named.

    The two switch ends for the check, so that they stand turned round there; empty without one.
    """

    take_head: str = ""
    take_rear: str = ""
    check_head: str = ""
    check_rear: str = ""

    @property
    def turned(self) -> Holders:
        """The same with the two turned round, as they stand after walking on from a check."""
        return Holders(
            take_head=self.take_rear,
            take_rear=self.take_head,
            check_head=self.check_rear,
            check_rear=self.check_head,
        )


class BookPolicy(StrEnum):
    """What is recorded when first and check agree: the crew's policy for a line."""

    FIRST = "first"
    MEAN = "mean"
    CHECK = "check"


class DistanceKind(StrEnum):
    """Which way a length lies."""

    HORIZONTAL = "horizontal"
    SLOPE = "slope"
    """Along the tape: how much the ends rise is not known, so the length may be too long."""


class CorrectedSegment(Frozen):
    """A segment with its corrections, its uncertainty and the line's running total."""

    segment: Segment
    corrections: Corrections
    horizontal_ft: float
    """Length read and the known corrections; horizontal only where `kind` says so."""
    running_total_ft: float
    running_kind: DistanceKind = DistanceKind.HORIZONTAL
    """A total is horizontal only if all its pulls are."""
    u_random_ft: float | None = None
    """Standard uncertainty (k = 1) of the horizontal length, from what differs from pull to pull;
    None for a pull that is not corrected."""
    u_common_ft: float | None = None
    """The same from what is common to all pulls."""
    run: int = 1
    """Which run between its two points, in that direction; a finished line begun again is one
    more."""
    day: str = ""
    """Day of the field work, ISO 8601; empty if the job states none."""
    held_by: Holders = Holders()
    """Who held which end, by the names in force when the pull was recorded."""
    book: BookPolicy = BookPolicy.FIRST
    """What the line records when first and check agree."""

    @property
    def kind(self) -> DistanceKind:
        """Whether the length is horizontal, or along a slope that is not known."""
        return kind_of(self.corrections)

    @property
    def run_name(self) -> RunName:
        """The run of the line that it is part of."""
        return RunName(self.segment.line_from, self.segment.line_to, self.run)


def kind_of(corrections: Corrections) -> DistanceKind:
    """Tell which way a corrected length lies: horizontal only with a known slope."""
    return DistanceKind.SLOPE if corrections.slope_ft is None else DistanceKind.HORIZONTAL


class CheckPolicy(StrEnum):
    """Whether a pull must be measured again after switching ends."""

    REQUIRED = "required"
    WANTED = "wanted"
    NONE = "none"


class AfterCheck(StrEnum):
    """What a crew does after a check, for which the two have changed ends."""

    UNSAID = "unsaid"
    BACK = "back"
    """It changes back, so that the roles of the two are as before."""
    ON = "on"
    """It walks on, so that the roles of the two are turned round until the next check."""


class CalledFirst(StrEnum):
    """Which part of a length a crew calls first."""

    UNSAID = "unsaid"
    WHOLE = "whole"
    FRACTION = "fraction"


class LineSettings(Frozen):
    """What holds for a line of pulls: the two named points, the tape, and the crew's rules."""

    line_from: str
    line_to: str
    tape: str
    style: Style
    nominal: Annotated[int, Field(gt=0, le=1000)]
    """Nominal length of the tape, whole units."""
    limit: Annotated[int, Field(ge=0, le=200_000)]
    """The greatest reading on the tape, hundredths of its unit."""
    policy: CheckPolicy = CheckPolicy.REQUIRED
    book: BookPolicy = BookPolicy.FIRST
    tolerance: Hundredths = 1
    """Greatest difference of take and check that agrees, hundredths of the unit."""
    whole_by: Role = Role.REAR
    """Who calls the whole foot in the take; the other one after switching ends."""
    unit: ReadingUnit = ReadingUnit.FOOT
    """What the tape is graduated in; journals that do not say are in feet."""
    decoding: int = 0
    """Edition of the joint decoding that weighs the calls of a pull together; 0 takes each call
    by its best hypothesis, as journals did that do not say."""
    pairing: int = 0
    """Edition of the rules by which calls become pulls (`calllog.pairing.edition`); 0 is that of
    journals that do not say."""
    after_check: AfterCheck = AfterCheck.UNSAID
    """What the crew says it does after a check."""
    called_first: CalledFirst = CalledFirst.UNSAID
    """What the crew says it calls first."""
    hold: Hundredths = 0
    """The mark that the tape has held in place of zero, hundredths of its unit; each pull begins
    with it. Edition 0 of the pairing pays it no heed: there it is a condition."""

    @model_validator(mode="before")
    @classmethod
    def _nominal_by_older_name(cls, given: object) -> object:
        """Take the name that the nominal length had before there were metric tapes."""
        if isinstance(given, dict) and "nominal_ft" in given and "unit" not in given:
            older = dict(given)
            return {"nominal": older.pop("nominal_ft"), **older}
        return given


class Choice(StrEnum):
    """What the chief decides about a pull that stopped."""

    FIRST = "first"
    CHECK = "check"
    AGAIN = "again"


class Decision(Frozen):
    """A decision of the chief about a pull that stopped."""

    pull: int
    choice: Choice
    by: str


class Void(Frozen):
    """A call that was scratched; it stays in the journal, struck."""

    call: int
    pull: int


class Question(Frozen):
    """What the crew is asked: one call again, or something to do first."""

    pull: int
    role: Role
    asks: Message


class Held(Frozen):
    """A call that waits because an earlier pull needs a decision."""

    call: int
    pull: int


class Reopened(Frozen):
    """A booked pull that was opened again because its last call was scratched."""

    pull: int


Consequence = Void | Question | Finding | Segment | Held | Reopened
