"""A recogniser of free speech with a parser of numbers behind it, to compare with; shell.

Moonshine "tiny-en" (27 million weights, Jeffries et al. 2024), whole, as the package runs it: its
encoder is that of `calllog.recognise.encoder`, its decoder writes whatever it takes for speech. It
stands for what a phone's dictation would make of calls. It needs a newer C library than some
systems have, so only benchmarks use it.
"""

from __future__ import annotations

import re

from moonshine_voice import ModelArch, Transcriber

from calllog.audio import Utterance
from calllog.recognise import Hypothesis
from calllog.recognise.encoder import encoder_file
from calllog.recognise.frontend import surround
from calllog.spoken import Grammar, Meaning, Parser, spoken_forms
from calllog.values import Expectation, Kind

LIMIT = 10_000
LARGEST = 100
_WORD = re.compile(r"[a-z]+|\d+|(?<=\d)\.(?=\d)")


class Dictation:
    """Free speech behind the recogniser protocol.

    Args:
        grammar: what a line of text may mean.
    """

    def __init__(self, grammar: Grammar) -> None:
        self._grammar = grammar
        self._parser = Parser(grammar)
        self._writer = Transcriber(model_path=str(encoder_file().parent), model_arch=ModelArch.TINY)

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Take the first line that means something, surely; else it is no call."""
        sound = surround(utterance.samples, utterance.lead)
        for line in self._writer.transcribe_without_streaming(sound.tolist()).lines:
            text = self.in_words(line.text)
            if isinstance(self._parser.parse(text, expects, LIMIT), Meaning):
                return (Hypothesis(text, 1.0),)
        return (Hypothesis("", 1.0),)

    def in_words(self, text: str) -> str:
        """Write figures as words.

        ``83.`` is eighty three, ``5/8`` five eight, ``4.2`` four point two; what is above a hundred
        is spelt figure by figure.
        """
        words: list[str] = []
        for found in _WORD.findall(text.lower()):
            if found == ".":
                words.append("point")
            elif found.isdecimal():
                numbers = [int(found)] if int(found) <= LARGEST else [int(each) for each in found]
                words += [
                    spoken_forms(self._grammar, Kind.WHOLE, number * 100)[0] for number in numbers
                ]
            else:
                words.append(found)
        return " ".join(words)
