"""The decoder that belongs to the speech encoder: how likely it writes a text down; shell.

Moonshine's decoder (see `calllog.recognise.encoder`; its files lie beside the encoder's) writes
down what the encoder heard, a piece of a word after the other. Forced to write a given text it
tells how likely that is; free, it tells how well anything at all could be written. Its arithmetic
is in 8 bits with one scale for a batch, so that a text's likelihood differs a little with those
that it is weighed beside.
"""

from __future__ import annotations

import hashlib
import itertools
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from calllog.errors import ModelError
from calllog.recognise.encoder import NEXT_STEP, SILENT, encoder_file
from calllog.recognise.model_files import model_bytes

DECODER, TOKENS = "decoder_model_merged.ort", "tokenizer.bin"
BEGIN, END = 1, 2
"""Tokens about every text."""
BLANK = "\u2581"
"""Stands for a blank in tokens."""
LAST_MARKS = ".!?,"
"""One of these may stand at the end of a text."""
FIRST_PIECE, LAST_PIECE = 259, 32_000
"""Tokens from the first to before the last are pieces of words, the commoner the earlier."""
MOST_TOKENS = 14
"""Free writing ends there: no call takes as many."""
LONG = 0x80
"""A length whose highest bit is set goes on in the next byte."""

Array = npt.NDArray[np.float32]


class SpeechDecoder:
    """The decoder, ready for use.

    Args:
        folder: of its files; by default the installed package's.

    Raises:
        ModelError: a file is missing or broken.
    """

    def __init__(self, folder: Path | None = None) -> None:
        import onnxruntime  # noqa: PLC0415 - heavy, and not everybody listens with it

        folder = folder or encoder_file().parent
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        options.log_severity_level = SILENT
        options.enable_cpu_mem_arena = False
        model = model_bytes(folder / DECODER, NEXT_STEP)
        try:
            self._session = onnxruntime.InferenceSession(
                model, options, providers=["CPUExecutionProvider"]
            )
            past = [each for each in self._session.get_inputs() if each.name.startswith("past")]
            self._past = {each.name: (each.shape[1], each.shape[3]) for each in past}
            tokens = _read_tokens(model_bytes(folder / TOKENS, NEXT_STEP))
            self._places = {
                piece.decode("utf-8", "replace"): place
                for place, piece in reversed(list(enumerate(tokens)))
                if FIRST_PIECE <= place < LAST_PIECE
            }
            self._ends = [END, *(self._places[mark] for mark in LAST_MARKS)]
        except Exception as error:
            raise ModelError(
                "this is no decoder that can be run", where=str(folder), next_step=NEXT_STEP
            ) from error
        self._known: dict[str, tuple[int, ...]] = {}
        self.digest = hashlib.sha256(model).hexdigest()
        """SHA-256 of the file."""

    def begin(self, frames: Array) -> Hearing:
        """Begin with what the encoder heard, shape (n, 288), n at least 1."""
        return Hearing(self, frames)

    def tokens(self, text: str) -> tuple[int, ...]:
        """Split a text into tokens, always joining the two that are commonest joined.

        Raises:
            KeyError: a character of it is no token.
        """
        if text not in self._known:
            pieces = list(BLANK + text.replace(" ", BLANK))
            while True:
                joined = [one + two for one, two in itertools.pairwise(pieces)]
                known = [self._places.get(each, LAST_PIECE) for each in joined]
                if min(known, default=LAST_PIECE) == LAST_PIECE:
                    break
                at = known.index(min(known))
                pieces[at : at + 2] = [joined[at]]
            self._known[text] = tuple(self._places[piece] for piece in pieces)
        return self._known[text]

    @property
    def ends(self) -> list[int]:
        """Tokens with which a text may end."""
        return self._ends

    def run(
        self, tokens: npt.NDArray[np.int64], heard: Array, past: dict[str, Array] | None
    ) -> tuple[Array, dict[str, Array]]:
        """Go on writing.

        Args:
            tokens: what is written next, shape (texts, n).
            heard: what the encoder heard, for each text, shape (texts, frames, 288).
            past: what `run` kept of the tokens before; None before the first.

        Returns:
            Log-probabilities of the token after each, shape (texts, n, tokens); what to keep.
        """
        begun = past is not None
        count = len(tokens)
        state = past or {
            name: np.zeros((count, heads, 0, size), np.float32)
            for name, (heads, size) in self._past.items()
        }
        given: dict[str, Any] = {
            "input_ids": tokens,
            "encoder_hidden_states": heard,
            "encoder_attention_mask": np.ones(heard.shape[:2], np.int64),
            "use_cache_branch": np.array([begun]),
            **state,
        }
        logits, *kept = self._session.run(None, given)
        new = {
            name: state[name] if begun and ".encoder." in name else each
            for name, each in zip(self._past, kept, strict=True)
        }
        logits -= logits.max(axis=-1, keepdims=True)
        logits -= np.log(np.exp(logits).sum(axis=-1, keepdims=True))
        return logits, new


class Hearing:
    """One sound as the decoder hears it.

    Args:
        decoder: writes.
        frames: what the encoder heard, shape (n, 288), n at least 1.
    """

    def __init__(self, decoder: SpeechDecoder, frames: Array) -> None:
        self._decoder = decoder
        self._heard = frames[None]
        self._first, self._past = decoder.run(np.array([[BEGIN]]), self._heard, None)

    def weigh(self, texts: Sequence[str]) -> list[float]:
        """Give the log-likelihood that each text is written and nothing after it [nat]."""
        rows = [self._decoder.tokens(text) for text in texts]
        longest, count = max(map(len, rows)), len(rows)
        tokens = np.array([[*row, *[END] * (longest - len(row))] for row in rows])
        past = {name: np.repeat(each, count, axis=0) for name, each in self._past.items()}
        after, _ = self._decoder.run(tokens, np.repeat(self._heard, count, axis=0), past)
        found = []
        for row, nats in zip(rows, after, strict=True):
            written = float(self._first[0, 0, row[0]])
            written += sum(float(nats[at, token]) for at, token in enumerate(row[1:]))
            ended = nats[len(row) - 1, self._decoder.ends]
            found.append(written + float(np.logaddexp.reduce(ended)))
        return found

    def free(self) -> tuple[float, int]:
        """Write freely, the likeliest token each time.

        Returns:
            The log-likelihood of what is written [nat], and how many tokens it has.
        """
        nats, past, after = 0.0, self._past, self._first
        for count in range(MOST_TOKENS):
            token = int(after[0, -1].argmax())
            nats += float(after[0, -1, token])
            if token == END:
                return nats, count + 1
            after, past = self._decoder.run(np.array([[token]]), self._heard, past)
        return nats, MOST_TOKENS


def _read_tokens(data: bytes) -> list[bytes]:
    """Read the tokens: each has its length before it."""
    tokens, at = [], 0
    while at < len(data):
        length, at = data[at], at + 1
        if length >= LONG:
            length, at = length - LONG + data[at] * LONG, at + 1
        tokens.append(data[at : at + length])
        at += length
    return tokens
