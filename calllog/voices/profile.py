"""A person's voice as numbers: what of the network is shifted for it, as text and back.

The file is JSON, a few kB. It holds no sound, and none can be made from it: it says what is added
to what the network makes of a sound, how high and how bright the voice is on average, and which
words were misheard before.
"""

from __future__ import annotations

import base64
import hashlib
import json
from typing import Annotated, Self

import numpy as np
import numpy.typing as npt
from pydantic import Field, StringConstraints, ValidationError, model_validator

from calllog.errors import ConfigError
from calllog.recognise.known_voice import KnownVoice
from calllog.recognise.shift import Array, Shift
from calllog.recognise.voiceprint import TRAITS, Voiceprint
from calllog.values import Frozen

FORMAT = 2
BEFORE = 1
"""It shifted another layer: whose voice it is can still be told by it, nothing be heard."""
STEP = 1e-3
"""Single numbers are kept in whole steps of this."""
LARGEST = 127
"""Of 8 bits with a sign."""
MOST_BYTES = 64_000
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Name = Annotated[str, StringConstraints(pattern=r"^[^\W_][\w .'-]{0,39}$")]
"""It names the file too."""
Steps = tuple[Annotated[int, Field(ge=-1_000_000, le=1_000_000)], ...]
Bytes = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9+/]{0,8000}={0,2}$")]
"""Base64 of numbers of 8 bits with a sign."""


class ShiftComponent(Frozen):
    """One of the components of what is added to the logits."""

    reads: Bytes
    """What it reads of each value of the inner layer, in 127ths of `size`."""
    moves: Bytes
    """By how much it moves each unit, the same."""
    size: Annotated[float, Field(gt=0.0, le=100.0)]


class Misheard(Frozen):
    """A word of this voice that was taken for another one before it was known."""

    said: str
    heard: str
    times: int


class Profile(Frozen):
    """A voice that was learned."""

    format: Annotated[int, Field(ge=BEFORE, le=FORMAT)] = FORMAT
    name: Name
    made: str
    """Day on which it was learned last, ISO 8601."""
    calls: Annotated[int, Field(ge=1)]
    """How many calls it was learned from."""
    head: Digest
    """SHA-256 of the network that it shifts."""
    encoder: Digest
    """SHA-256 of the encoder before it."""
    components: tuple[ShiftComponent, ...]
    bias: Steps
    """What is added to each unit, in thousandths."""
    mean: Steps
    """Of the cepstra and the logarithm of the pitch (`Voiceprint`), in thousandths."""
    spread: Steps
    gained_nats: float
    """By how much its own calls became likelier, each left out of what was learned, on average."""
    misheard: tuple[Misheard, ...] = ()
    """Oftenest first."""

    @model_validator(mode="after")
    def _fits_itself(self) -> Self:
        sizes = {(len(_numbers(each.reads)), len(_numbers(each.moves))) for each in self.components}
        if len(sizes) != 1 or {moves for _, moves in sizes} != {len(self.bias)}:
            raise ValueError("its components are of different sizes")
        if len(self.mean) != TRAITS or len(self.spread) != TRAITS or min(self.spread) <= 0:
            raise ValueError("its mean and spread are no voice's")
        return self

    @property
    def shift(self) -> Shift:
        """What it shifts."""
        reads = [_numbers(each.reads) * (each.size / LARGEST) for each in self.components]
        moves = [_numbers(each.moves) * (each.size / LARGEST) for each in self.components]
        return Shift(
            np.asarray(np.transpose(reads), np.float32),
            np.asarray(moves, np.float32),
            np.asarray(self.bias, np.float32) * np.float32(STEP),
        )

    @property
    def voiceprint(self) -> Voiceprint:
        """What its calls have in common."""
        return Voiceprint(np.asarray(self.mean) * STEP, np.asarray(self.spread) * STEP)

    @property
    def voice(self) -> KnownVoice:
        """The voice, for what hears by it."""
        return KnownVoice(self.name, (self.head, self.encoder), self.shift, self.voiceprint)

    def text(self) -> str:
        """Write it as its file's text."""
        kept = self.model_dump(mode="json")
        lines = (f" {json.dumps(key)}: {json.dumps(value)}" for key, value in kept.items())
        return "{\n" + ",\n".join(lines) + "\n}\n"


def digest_of(profile: Profile) -> str:
    """Give the SHA-256 of a profile's text, by which a job remembers it."""
    return hashlib.sha256(profile.text().encode()).hexdigest()


def steps(values: npt.NDArray[np.floating]) -> Steps:
    """Round numbers to whole steps."""
    return tuple(int(each) for each in np.rint(np.asarray(values, np.float64) / STEP))


def read_profile(text: str, where: str) -> Profile:
    """Read the text of a profile.

    Args:
        text: the file's.
        where: the file, for the error.

    Raises:
        ConfigError: it is no profile.
    """
    try:
        return Profile.model_validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(map(str, first["loc"])) or "the file"
        raise ConfigError(
            f"this is no voice that calllog learned: {place}: {first['msg']}",
            where=where,
            next_step="delete the file and enroll the person again: calllog enroll NAME",
        ) from error


def components_of(shift: Shift) -> tuple[ShiftComponent, ...]:
    """Write what is added to the weights, rounded to 8 bits."""
    found = []
    for reads, moves in zip(shift.reads.T, shift.moves, strict=True):
        size = round(float(max(np.abs(reads).max(), np.abs(moves).max())), 6)
        if size > 0.0:
            found.append(
                ShiftComponent(reads=_bytes(reads, size), moves=_bytes(moves, size), size=size)
            )
    return tuple(found)


def _bytes(values: Array, size: float) -> str:
    whole = np.clip(np.rint(values * (LARGEST / size)), -LARGEST, LARGEST).astype(np.int8)
    return base64.b64encode(whole.tobytes()).decode("ascii")


def _numbers(kept: str) -> Array:
    return np.frombuffer(base64.b64decode(kept), np.int8).astype(np.float32)
