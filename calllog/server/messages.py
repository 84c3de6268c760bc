"""Server: what the field loop and the page's own process tell each other, as frozen values; pure.

To the page: `PhoneState`, `Beat`, `Past`, `Admission`, `Admitted`, `OrderTold`, `Speak`. From it:
`Ready`, `Got`, `Ordered`, `Knock`, `Left`, `Spent`, and of the crew's phones `Joined`, `Parted`,
`Agreed`, `Keyed`, `Fares`, `Began`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import AfterValidator, ConfigDict, Field, TypeAdapter

from calllog.server.names import read_name
from calllog.values import Frozen, Role


def _name(given: str) -> str:
    if read_name(given) != given or not given:
        message = "it is no name of a phone"
        raise ValueError(message)
    return given


PhoneName = Annotated[str, AfterValidator(_name)]
"""What its owner calls a phone (see `calllog.server.names`)."""
PhoneId = Annotated[str, Field(pattern=r"^[b-z2-9]{4}$")]
"""What the logger knows a phone by (see `calllog.phone.guests`)."""
TEXT = 200
"""Most characters of an order's text, which is a remark at the longest."""


class Does(StrEnum):
    """What the chief may order."""

    FIRST = "first"
    CHECK = "check"
    AGAIN = "again"
    SCRATCH = "scratch"
    VALUE = "value"
    """Type a whole foot, hundredths or a reading, as on a keypad: ``33.``, ``.87``, ``33.87``."""
    CONDITION = "condition"
    """State a condition, as on a keypad: ``1*68``."""
    REMARK = "remark"


class Order(Frozen):
    """An order as a phone sends it."""

    id: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    """Made by the phone; sent again, the order counts once."""
    does: Annotated[Does, Field(strict=False)]
    on: Annotated[str, Field(max_length=64)]
    """What stood when it was given (see `Stands`)."""
    text: Annotated[str, Field(max_length=TEXT)] = ""


class Ordered(Frozen):
    """An order, and the phone that it came from."""

    kind: Literal["ordered"] = "ordered"
    phone: PhoneId
    order: Order


@dataclass(frozen=True, slots=True)
class OrderAnswer:
    """What became of an order."""

    id: str
    is_taken: bool
    words: str
    """Plain words for the one who gave it."""


@dataclass(frozen=True, slots=True)
class PhoneState:
    """The job as the page shows it; each has a greater number than those before it."""

    sitting: int
    number: int
    text: str
    """JSON, without a line break."""

    @property
    def id(self) -> str:
        """Name it; of two sittings' states the later sitting's is the newer."""
        return f"{self.sitting}-{self.number}"


@dataclass(frozen=True, slots=True)
class Beat:
    """The field loop is at work, and the last state still holds."""


@dataclass(frozen=True, slots=True)
class Past:
    """Booked pulls from a place on; those that stood there are no more."""

    first: int
    cards: tuple[str, ...]
    """JSON of each."""


@dataclass(frozen=True, slots=True)
class Guest:
    """A phone that is paired."""

    name: str
    secret_sha256: str
    is_in: bool = True
    """Whether it may look and decide; else the one at the logger has not said yes yet."""
    role: Role = Role.UNSAID
    """Whose it is: head's or rear's; the chief's if unsaid."""
    holds: bool = False
    """It is the head's or rear's microphone, ear and keys at this moment."""


@dataclass(frozen=True, slots=True)
class Admission:
    """Who may come in."""

    code: str
    phones: Mapping[str, Guest]
    """Each by what the logger knows it by."""


@dataclass(frozen=True, slots=True)
class Admitted:
    """A phone that knocked is in the journal, or is not let in after all."""

    number: int
    phone: str
    """What it is known by from now on; empty if it is not let in."""


@dataclass(frozen=True, slots=True)
class OrderTold:
    """What became of an order."""

    phone: str
    answer: OrderAnswer


@dataclass(frozen=True, slots=True)
class Speak:
    """What a crew phone is to say, show or do."""

    role: Role
    text: str
    """JSON, without a line break."""


ToPage = PhoneState | Beat | Past | Admission | Admitted | OrderTold | Speak
_TO_PAGE = {
    kind.__name__: TypeAdapter[ToPage](kind)
    for kind in (PhoneState, Beat, Past, Admission, Admitted, OrderTold, Speak)
}


def for_page(message: ToPage) -> bytes:
    """Write a message for the page as JSON."""
    kind = type(message).__name__
    return b"%s %s" % (kind.encode(), _TO_PAGE[kind].dump_json(message))


def to_page(told: bytes) -> ToPage:
    """Read what `for_page` wrote."""
    kind, _, content = told.partition(b" ")
    return _TO_PAGE[kind.decode()].validate_json(content)


class Ready(Frozen):
    """The page is served from now on."""

    kind: Literal["ready"] = "ready"


class Got(Frozen):
    """A message was taken."""

    kind: Literal["got"] = "got"


class Knock(Frozen):
    """A phone gave the code."""

    kind: Literal["knock"] = "knock"
    number: int
    code: Annotated[str, Field(pattern=r"^[0-9]{1,12}$")]
    name: PhoneName
    secret_sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    role: Annotated[Role, Field(strict=False)] = Role.UNSAID
    """Whose it is to be."""


class Left(Frozen):
    """A phone wants to be forgotten."""

    kind: Literal["left"] = "left"
    phone: PhoneId


class Spent(Frozen):
    """The code was guessed at too often."""

    kind: Literal["spent"] = "spent"


class Joined(Frozen):
    """A crew phone is connected."""

    kind: Literal["joined"] = "joined"
    phone: PhoneId


class Parted(Frozen):
    """It is not any more."""

    kind: Literal["parted"] = "parted"
    phone: PhoneId


class Agreed(Frozen):
    """Who holds a crew phone has answered what is kept of their sound, before any of it came."""

    kind: Literal["agreed"] = "agreed"
    phone: PhoneId
    keeps: bool
    """Clips of calls may be kept; else they are heard, and nothing is kept."""


class Keyed(Frozen):
    """A key of a crew phone was pressed."""

    kind: Literal["keyed"] = "keyed"
    phone: PhoneId
    key: Annotated[str, Field(pattern=r"^[-0-9.+*/\n\x08hr]$")]
    """A character of the key language; h for: I am here; r for: say again."""


class Fares(Frozen):
    """How a crew phone fares, when that changes."""

    kind: Literal["fares"] = "fares"
    phone: PhoneId
    battery: Annotated[int, Field(ge=0, le=100)] | None = None
    """Per cent; None where the browser does not say."""
    is_dead: bool = False
    """Its microphone gives nothing: it was taken away, or switched off."""


class Began(Frozen):
    """The first sound of a saying has left a crew phone: what benchmarks measure by."""

    kind: Literal["began"] = "began"
    phone: PhoneId
    saying: Annotated[int, Field(ge=0)]
    at_s: float
    """By this computer's clock [s]."""


FromPage = Annotated[
    Ready | Got | Ordered | Knock | Left | Spent | Joined | Parted | Agreed | Keyed | Fares | Began,
    Field(discriminator="kind"),
]
FROM_PAGE: TypeAdapter[FromPage] = TypeAdapter(FromPage, config=ConfigDict(defer_build=True))
"""What the page tells is read as JSON and held to its form: it comes from a process that strangers
can reach."""
