"""A parser for a crew that calls in more than one language: words in, one meaning out; pure."""

from collections.abc import Sequence

from calllog.spoken.grammar import Grammar
from calllog.spoken.meaning import Meaning, Rejection, Why
from calllog.spoken.parse import Parser, normalise
from calllog.values import Expectation, message


class SeveralParser(Parser):
    """Takes what words mean in the one of some grammars that has them.

    A phrase that means two things, each in another grammar, means nothing: it is asked. Tapes and
    readings are those of the first.

    Args:
        grammars: in one unit; the crew's own first.
    """

    def __init__(self, grammars: Sequence[Grammar]) -> None:
        super().__init__(grammars[0])
        self._others = tuple(Parser(each) for each in grammars[1:])

    def is_in_figures(self, text: str) -> bool:
        """Tell whether words are figures alone, in whichever grammar has them."""
        return super().is_in_figures(text) or any(p.is_in_figures(text) for p in self._others)

    def parse(self, text: str, expects: Expectation, limit: int) -> Meaning | Rejection:
        """Say what words mean (see `Parser.parse`)."""
        found = [super().parse(text, expects, limit)]
        found += [each.parse(text, expects, limit) for each in self._others]
        meanings = list(dict.fromkeys(each for each in found if isinstance(each, Meaning)))
        if len(meanings) == 1:
            return meanings[0]
        if meanings:
            said = normalise(text)
            reason = message("not-sure-of", said=text)
            return Rejection(Why.AMBIGUOUS, said, len(said) - 1, reason)
        known = (each for each in found if isinstance(each, Rejection) and each.why not in UNKNOWN)
        return next(known, found[0])


UNKNOWN = (Why.UNKNOWN_WORD,)
"""Why a grammar refuses words of another language."""
