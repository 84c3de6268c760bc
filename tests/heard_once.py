"""What the listeners hear, heard once in a run of the tests, whichever worker asks first.

A listener takes some tenths of a second of computing for an utterance, and many tests are about
what comes after it. Their listeners look first for what one like them answered to the very same:
the same kind, grammar and model, the same sound and expectation, and, where a listener learns from
a channel, the same utterances before. Nothing is kept beyond the run. Tests of the listeners
themselves take the classes as they import them, which nothing stands in for.

Run as a program it is the command with such listeners: ``python -m tests.heard_once FOLDER once
WORDS``; with ``earnest`` they hear all of it themselves, and leave their answers to others.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Self
from unittest import mock

from calllog.audio import Utterance
from calllog.errors import ModelError
from calllog.recognise import Hypothesis, Recogniser, encoder_engine
from calllog.recognise.known_voice import KnownVoice
from calllog.resources import ENCODER_MODEL, model_folder
from calllog.spoken import Grammar
from calllog.values import Expectation

EncoderRecogniser = encoder_engine.EncoderRecogniser


class HeardOnce:
    """A listener that hears only what nobody like it heard before.

    Args:
        kept: folder of the answers of all listeners.
        listener: what tells this one from listeners that hear in another way.
        make: makes it, where it must hear.
        is_learning: it hears a channel by what it heard of it before.
        is_earnest: it hears all of it itself, and leaves its answers to others.
    """

    def __init__(
        self,
        kept: Path,
        listener: str,
        make: Callable[[], Recogniser],
        *,
        is_learning: bool,
        is_earnest: bool = False,
    ) -> None:
        self._folder = kept / hashlib.sha256(listener.encode()).hexdigest()[:16]
        self._folder.mkdir(parents=True, exist_ok=True)
        self._make = make
        self._is_learning = is_learning
        self._is_earnest = is_earnest
        self._made: Recogniser | None = None
        self._before: dict[tuple[str, int], str] = {}
        """By channel: what stands for all that was said there."""
        self._not_heard: dict[tuple[str, int], list[tuple[Utterance, Expectation]]] = {}
        """By channel: what was said there and was known, so that nobody here heard it."""
        self._is_closed = False
        name = self._folder / "identity"
        if not name.exists():
            _write(name, self._listener().identity)
        self._identity = name.read_text("utf-8")

    @property
    def identity(self) -> str:
        """That of the listener."""
        return self._identity

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said (see `calllog.recognise.Recogniser`)."""
        if self._is_closed:
            raise ModelError("the recognizer is closed", next_step="open a new recognizer")
        channel = utterance.source, utterance.channel
        before = self._before.get(channel, "") if self._is_learning else ""
        digest = hashlib.sha256(f"{before} {utterance.start_s} {expects} ".encode())
        digest.update(len(utterance.lead).to_bytes(8, "big"))
        digest.update(utterance.lead.tobytes() + utterance.samples.tobytes())
        self._before[channel] = digest.hexdigest()
        answer = self._folder / digest.hexdigest()
        waiting = self._not_heard.setdefault(channel, [])
        if self._is_earnest or not answer.exists():
            listener = self._listener()
            for each in waiting if self._is_learning else ():
                listener.recognise(*each)
            waiting.clear()
            found = listener.recognise(utterance, expects)
            _write(answer, json.dumps([[each.text, each.probability] for each in found]))
            return found
        waiting.append((utterance, expects))
        return tuple(Hypothesis(text, odds) for text, odds in json.loads(answer.read_text("utf-8")))

    def _listener(self) -> Recogniser:
        if self._made is None:
            self._made = self._make()
        return self._made

    def close(self) -> None:
        """Close the listener, if it was made."""
        self._is_closed = True
        if self._made is not None:
            self._made.close()

    def __enter__(self) -> Self:
        """Use it in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self.close()


def _write(path: Path, text: str) -> None:
    """Write a file that is there whole or not at all, whoever else writes it meanwhile."""
    with NamedTemporaryFile("w", encoding="utf-8", dir=path.parent, delete=False) as made:
        made.write(text)
    os.replace(made.name, path)  # noqa: PTH105 - one call


def encoder_once(
    kept: Path,
    grammar: Grammar,
    model: Path | None = None,
    *,
    is_earnest: bool = False,
) -> Recogniser:
    """Make the encoder model; by default that of the program."""
    model = model or model_folder(ENCODER_MODEL)
    return HeardOnce(
        kept,
        f"encoder {model.resolve()} {grammar.model_dump_json()}",
        lambda: EncoderRecogniser(grammar, model),
        is_learning=False,
        is_earnest=is_earnest,
    )


@contextmanager
def hearing_once(kept: Path, *, is_earnest: bool = False) -> Iterator[None]:
    """Let whoever makes listeners of recordings meanwhile make such as these."""

    def encoder(
        grammar: Grammar, model: Path, *, voices: Mapping[int, tuple[KnownVoice, ...]] | None = None
    ) -> Recogniser:
        if voices:  # what voices it knows tells it from all others
            return EncoderRecogniser(grammar, model, voices=voices)
        return encoder_once(kept, grammar, model, is_earnest=is_earnest)

    with mock.patch.object(encoder_engine, "EncoderRecogniser", encoder):
        yield


if __name__ == "__main__":
    from calllog.cli import main

    folder, how = sys.argv.pop(1), sys.argv.pop(1)
    with hearing_once(Path(folder), is_earnest=how == "earnest"):
        main()
