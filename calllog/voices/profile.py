"""A person's voice as numbers: what of the network is shifted for it, as text and back.

The file is JSON, some 25 kB. It holds no sound, and none can be made from it: it says what is added
to what the network makes of a sound, how the voice says its words, how high and how bright it is on
average, and which words were misheard before.
"""

import base64
import hashlib
import json
from collections.abc import Sequence
from typing import Annotated, Self

import numpy as np
import numpy.typing as npt
from pydantic import Field, StringConstraints, ValidationError, model_validator

from calllog.errors import ConfigError
from calllog.recognise.known_voice import KnownVoice
from calllog.recognise.known_words import POINTS, KnownWords
from calllog.recognise.shift import Array, Shift
from calllog.recognise.voiceprint import TRAITS, Voiceprint
from calllog.values import Frozen

FORMAT = 3
BEFORE = 1
"""Format 1 shifted another layer: whose voice it is can still be told by it, nothing be heard. In
format 2 the words were not kept: all are heard by what it shifts."""
STEP = 1e-3
"""Single numbers are kept in whole steps of this."""
LARGEST = 127
"""Of 8 bits with a sign."""
MOST_BYTES = 64_000
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Name = Annotated[str, StringConstraints(pattern=r"^[^\W_][\w .'-]{0,39}$")]
"""It names the file too."""
Word = Annotated[str, StringConstraints(pattern=r"^[^\W\d_][\w'-]{0,29}$")]
Steps = tuple[Annotated[int, Field(ge=-1_000_000, le=1_000_000)], ...]
Bytes = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9+/]{0,8000}={0,2}$")]
"""Base64 of numbers of 8 bits with a sign."""


class ShiftComponent(Frozen):
    """One of the components of what is added to the logits, or of the scores of words."""

    reads: Bytes
    """What it reads of each value of the inner layer, in 127ths of `size`."""
    moves: Bytes
    """By how much it moves each unit, or each word at each point, the same."""
    size: Annotated[float, Field(gt=0.0, le=100.0)]


class KeptWords(Frozen):
    """How the voice says words."""

    words: tuple[Word, ...]
    components: tuple[ShiftComponent, ...]
    bias: Steps
    """What is added to the score of each word, in thousandths."""
    sharpness: Annotated[float, Field(gt=0.0, le=100.0)]

    @model_validator(mode="after")
    def _fits_itself(self) -> Self:
        sizes = {len(_numbers(each.moves)) for each in self.components}
        if len(self.bias) != len(self.words) or sizes != {POINTS * len(self.words)}:
            raise ValueError("its words are of different sizes")
        if len({len(_numbers(each.reads)) for each in self.components}) != 1:
            raise ValueError("its components are of different sizes")
        return self

    @property
    def known(self) -> KnownWords:
        """The words, for what hears by them."""
        reads, moves = _arrays(self.components)
        bias = np.asarray(self.bias, np.float32) * np.float32(STEP)
        return KnownWords(self.words, reads, moves, bias, self.sharpness)


def kept_words(known: KnownWords) -> KeptWords:
    """Write how a voice says words, rounded."""
    return KeptWords(
        words=known.words,
        components=components_of(known),
        bias=steps(known.bias),
        sharpness=known.sharpness,
    )


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
    said: tuple[Word, ...] = ()
    """Words that were said in its calls, which alone are heard by it; none for all."""
    words: KeptWords | None = None
    """How it says words; None where that was not learned, or did not tell them apart."""

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
        return Shift(
            *_arrays(self.components), np.asarray(self.bias, np.float32) * np.float32(STEP)
        )

    @property
    def voiceprint(self) -> Voiceprint:
        """What its calls have in common."""
        return Voiceprint(np.asarray(self.mean) * STEP, np.asarray(self.spread) * STEP)

    @property
    def voice(self) -> KnownVoice:
        """The voice, for what hears by it."""
        words = None if self.words is None else self.words.known
        made_of = self.head, self.encoder
        return KnownVoice(self.name, made_of, self.shift, self.voiceprint, self.said, words)

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
    """Read the text of a profile; ConfigError, which names the file, if it is none."""
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


def components_of(shift: Shift | KnownWords) -> tuple[ShiftComponent, ...]:
    """Write what is added to the weights, rounded to 8 bits."""
    found = []
    for reads, moves in zip(shift.reads.T, shift.moves, strict=True):
        size = round(float(max(np.abs(reads).max(), np.abs(moves).max())), 6)
        if size > 0.0:
            found.append(
                ShiftComponent(reads=_bytes(reads, size), moves=_bytes(moves, size), size=size)
            )
    return tuple(found)


def _arrays(components: Sequence[ShiftComponent]) -> tuple[Array, Array]:
    """Give what components read, shape (values, rank), and what they move, shape (rank, n)."""
    reads = [_numbers(each.reads) * (each.size / LARGEST) for each in components]
    moves = [_numbers(each.moves) * (each.size / LARGEST) for each in components]
    return np.asarray(np.transpose(reads), np.float32), np.asarray(moves, np.float32)


def _bytes(values: Array, size: float) -> str:
    whole = np.clip(np.rint(values * (LARGEST / size)), -LARGEST, LARGEST).astype(np.int8)
    return base64.b64encode(whole.tobytes()).decode("ascii")


def _numbers(kept: str) -> Array:
    return np.frombuffer(base64.b64decode(kept), np.int8).astype(np.float32)
