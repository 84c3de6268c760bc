"""The speech decoder behind the encoder model: it weighs what the model lists; shell."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from calllog.recognise.engine import Hypothesis
from calllog.recognise.evidence import Evidence
from calllog.recognise.speech_decoder import SpeechDecoder
from calllog.recognise.written import Writer
from calllog.recognise.written_evidence import (
    WRITTEN_CALIBRATION,
    Written,
    WrittenCalibration,
    to_weigh,
    written_hypotheses,
)
from calllog.spoken import Grammar

Frames = npt.NDArray[np.float32]


class SecondLook:
    """The decoder, for one grammar.

    Args:
        grammar: what may be said.
        decoder: writes; by default that of the installed package.
        calibration: what turns what both say into probabilities.

    Raises:
        ModelError: the decoder's files are missing or broken.
    """

    def __init__(
        self,
        grammar: Grammar,
        decoder: SpeechDecoder | None = None,
        calibration: WrittenCalibration = WRITTEN_CALIBRATION,
    ) -> None:
        self._writer = Writer(grammar)
        self._decoder = decoder or SpeechDecoder()
        self._calibration = calibration

    @property
    def digest(self) -> str:
        """SHA-256 of the decoder's file."""
        return self._decoder.digest

    def write(self, evidence: Evidence, frames: Frames) -> Written:
        """Weigh what the encoder model lists; frames of the encoder, shape (n, 288)."""
        texts = to_weigh(evidence)
        if not texts or not len(frames):
            return Written({}, {}, 0.0, 0)
        hearing = self._decoder.begin(frames)
        forms = [(text, form) for text in texts for form in self._writer.forms(text)]
        nats: dict[str, float] = {}
        best: dict[str, float] = {}
        tokens: dict[str, int] = {}
        weighed = hearing.weigh([form for _, form in forms])
        for (text, form), each in zip(forms, weighed, strict=True):
            nats[text] = float(np.logaddexp(nats.get(text, -math.inf), each))
            if each > best.get(text, -math.inf):
                best[text] = each
                tokens[text] = len(self._decoder.tokens(form)) + 1
        return Written(nats, tokens, *hearing.free())

    def hypotheses(self, evidence: Evidence, frames: Frames) -> tuple[Hypothesis, ...]:
        """List what may have been said, likeliest first, "no call" among it."""
        if not (evidence.first or evidence.also):
            return ()
        return written_hypotheses(evidence, self.write(evidence, frames), self._calibration)
