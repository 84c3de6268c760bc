"""Recognisers of several languages behind the protocol of one: each person is heard in his own.

Where a channel may carry more than one language, each of its recognisers hears the utterance. What
each gives a call against none is as good as its odds, for exactly one of them can be right: the
odds of all calls stand beside one "no call".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from calllog.audio import Utterance
from calllog.closing import Closes
from calllog.recognise.engine import Hypothesis, Recogniser, set_aside_by
from calllog.values import Expectation

SUREST = 1e-6
"""No recogniser is surer of a call than 1 less this."""


def together(heard: Sequence[Sequence[Hypothesis]]) -> tuple[Hypothesis, ...]:
    """Put together what several heard of one utterance, each in a language of its own.

    Returns:
        Likeliest first, "no call" among them; none where none of them heard anything.
    """
    odds: dict[str, float] = {}
    for each in heard:
        if not each:
            continue
        none = max(1.0 - sum(one.probability for one in each if one.text), SUREST)
        for one in each:
            if one.text:
                odds[one.text] = odds.get(one.text, 0.0) + one.probability / none
    if not any(heard):
        return ()
    total = 1.0 + sum(odds.values())
    found = [Hypothesis(text, value / total) for text, value in odds.items()]
    return tuple(sorted((*found, Hypothesis("", 1.0 / total)), key=lambda each: -each.probability))


class SeveralRecognisers(Closes):
    """Recognisers behind the protocol of one; closes all.

    Args:
        recognisers: by grammar.
        spoken: for each channel the grammars that may be heard in it, one at least.
        usual: those of any other channel.
    """

    def __init__(
        self,
        recognisers: Mapping[str, Recogniser],
        spoken: Mapping[int, tuple[str, ...]],
        usual: tuple[str, ...],
    ) -> None:
        self._recognisers = dict(recognisers)
        self._spoken = dict(spoken)
        self._usual = usual

    @property
    def identity(self) -> str:
        """All identities."""
        return " and ".join(each.identity for each in self._recognisers.values())

    @property
    def set_aside(self) -> tuple[str, ...]:
        """Names of voices that a channel was said to be, and does not sound like."""
        return tuple(name for each in self._recognisers.values() for name in set_aside_by(each))

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said (see `calllog.recognise.Recogniser`)."""
        names = self._spoken.get(utterance.channel, self._usual)
        heard = [self._recognisers[name].recognise(utterance, expects) for name in names]
        return heard[0] if len(heard) == 1 else together(heard)

    def close(self) -> None:
        """Close all; closing twice does no harm."""
        for each in self._recognisers.values():
            each.close()
