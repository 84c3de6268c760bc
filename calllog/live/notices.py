"""What the crew must know beside its calls in, shown for a while and said in measure out; shell."""

import math
from collections import deque
from collections.abc import Callable

from calllog.readback import Notice, Saying, Tone, Verbosity, notice, say_text
from calllog.spoken import Grammar
from calllog.values import Message, message

AGAIN_S = 10.0
"""What befalls devices is told no oftener than this: a loose plug must not talk all day."""
NOTICES = 3
"""How many notices are shown at once, the newest last."""
NOTICE_S = 20.0
"""How long a notice is shown."""


class Notices:
    """Tells a crew what befalls its devices and its work."""

    def __init__(
        self,
        grammar: Grammar,
        verbosity: Verbosity,
        say: Callable[[Saying], None],
        clock: Callable[[], float],
    ) -> None:
        self._grammar = grammar
        self._verbosity = verbosity
        self._say = say
        self._clock = clock
        self._shown: deque[tuple[float, Message]] = deque(maxlen=NOTICES)
        self._said_s: dict[str, float] = {}
        """When each thing about devices was said last [s]."""

    @property
    def standing(self) -> tuple[Message, ...]:
        """What is to be shown now, the newest last."""
        now_s = self._clock()
        return tuple(told for at_s, told in self._shown if now_s - at_s <= NOTICE_S)

    def show(self, told: Message) -> None:
        """Show something for a while."""
        self._shown.append((self._clock(), told))

    def ask(self, reason: Message) -> None:
        """Ask the crew something, to be heard and seen."""
        self._say(self.worded(Tone.QUESTION, reason))
        self.show(reason)

    def warn(self, what: str, told: Message) -> None:
        """Say what befell something, unless that was said a moment ago."""
        if self.is_due(what):
            self._say(self.worded(Tone.WARN, told))

    def tell(self, what: Notice) -> None:
        """Say what befell a device in the words that there are for it, unless just said."""
        if self.is_due(what):
            self._say(self.noticed(what))
            if what is Notice.MICROPHONE_BACK:
                self._said_s.pop(Notice.MICROPHONE_LOST, None)

    def is_due(self, what: str, waited_s: float = AGAIN_S) -> bool:
        """Tell whether something was not said for a while, and count it as said now if so."""
        now_s = self._clock()
        if now_s - self._said_s.get(what, -math.inf) < waited_s:
            return False
        self._said_s[what] = now_s
        return True

    def worded(self, tone: Tone, told: Message) -> Saying:
        """Put a message in spoken words; its tone alone where the crew wants no words."""
        is_spoken = self._verbosity is not Verbosity.TONES
        words = self._grammar.words.say(told)
        return Saying(tone, say_text(self._grammar, words) if is_spoken else "")

    def noticed(self, what: Notice) -> Saying:
        """Put what befell a device in the words that there are for it."""
        return notice(self._grammar, what, verbosity=self._verbosity)


def as_told(words: str) -> Message:
    """Take words that are told as they stand, such as an error's."""
    return message("as-told", words=words)
