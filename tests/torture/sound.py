"""Sound that is no call, for hours: crashes, growth of memory, and false calls an hour.

Everything goes the way of live sound: the endpointer with its meter, what hears by default, and
what its hypotheses mean. Each utterance is heard by what the crew's two microphones would be
waiting for (one a whole foot, one hundredths) or by what a bare job waits for (any), in turn.
Run with ``python -m tests.torture.sound SHARE KIND ...``: SHARE of the full time. It is heard as
fast as this computer can.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass, field
from itertools import cycle
from pathlib import Path

import numpy as np

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.endpoint import Endpointer, Samples
from calllog.audio.meter import Meter
from calllog.commands.engine import DEFAULT_ENGINE, load_words, make_recogniser
from calllog.recognise import Heard, Recogniser, understand
from calllog.spoken import Parser
from calllog.values import Expectation, Outcome
from tests.audio.frames import Frames
from tests.torture.sounds import KINDS, SEED, Pieces, made
from tests.torture.tally import Tally, report

EXPECTED = (Expectation.WHOLE, Expectation.FRACTION, Expectation.ANY)
LIMIT = 10_000
GROWTH_MB = 1.0
"""Most that memory may grow in an hour of sound, once `SETTLED` of it was heard."""
SETTLED = 0.25
LONGEST_S = 8
"""Of an utterance."""
WARM_S = 60.0
PARTS = {
    "gusty wind": "sound-gusty",
    "harsh wind": "sound-harsh",
    "chatter": "sound-chatter",
    "two talkers at once": "sound-two",
    "music": "sound-music",
    "clipping": "sound-clipping",
}
"""Of the torture, by the first kind of sound in each."""
MOST_SHOWN = 6


@dataclass
class Ears:
    """Hears one kind of sound, and counts."""

    recogniser: Recogniser
    parser: Parser
    kind: str
    outcomes: Counter[tuple[Expectation, Outcome]] = field(default_factory=Counter)
    called: Counter[str] = field(default_factory=Counter)
    """What the false calls were."""
    warned: set[str] = field(default_factory=set)
    seconds: float = 0.0
    longest_s: float = 0.0
    """Of an utterance."""
    settles_s: float = 0.0
    settled_mb: float = 0.0
    """Memory once so much was heard."""

    def hear(self, pieces: Pieces) -> None:
        """Hear sound to its end."""
        meter = Meter(1)
        wanted = cycle(EXPECTED)

        def measure(window: Samples, is_speech: tuple[bool, ...]) -> None:
            self.warned |= {each.trouble.value for each in meter.hear(window, is_speech)}

        ears = Endpointer(self.kind, 1, on_window=measure)
        for block in Frames(piece[:, None] for piece in pieces).blocks():
            for utterance in ears.hear(block):
                self._take(utterance, next(wanted))
            if not self.settled_mb and ears.heard >= self.settles_s * RATE_HZ:
                self.settled_mb = held_mb()
        for utterance in ears.finish():
            self._take(utterance, next(wanted))
        self.seconds = ears.heard / RATE_HZ

    def _take(self, utterance: Utterance, expects: Expectation) -> None:
        hypotheses = self.recogniser.recognise(utterance, expects)
        heard = understand(self.parser, hypotheses, expects, LIMIT)
        self.outcomes[expects, heard.outcome] += 1
        self.longest_s = max(self.longest_s, utterance.end_s - utterance.start_s)
        if heard.outcome is Outcome.CALL:
            self.called[_named(heard)] += 1

    def count(self, outcome: Outcome) -> int:
        """Count utterances that came to something."""
        return sum(self.outcomes[expects, outcome] for expects in EXPECTED)

    @property
    def words(self) -> str:
        """Tell what became of the sound."""
        hours = max(self.seconds / 3_600.0, 1e-9)
        utterances = sum(self.outcomes.values())
        called, asked = self.count(Outcome.CALL), self.count(Outcome.ASK)
        of_each = ", ".join(
            f"{expects} {self.outcomes[expects, Outcome.CALL]}"
            f" of {sum(self.outcomes[expects, each] for each in Outcome)}"
            for expects in EXPECTED
        )
        told = [
            f"{utterances} utterances in {self.seconds / 60.0:.0f} min",
            f"false calls {called} ({called / hours:.1f} an hour; {of_each})",
            f"asked {asked} ({asked / hours:.1f} an hour)",
        ]
        if self.called:
            most = self.called.most_common(MOST_SHOWN)
            told.append("calls: " + ", ".join(f"{name} {n}" for name, n in most))
        if self.warned:
            told.append(f"warned: {', '.join(sorted(self.warned))}")
        return "; ".join(told)


def held_mb(what: str = "RssAnon") -> float:
    """Tell how much memory this process holds now [MB], of its own if it is not said otherwise.

    ``VmRSS`` counts what it reads of files too, which the system takes and gives as it likes.
    """
    rows = Path("/proc/self/status").read_text("ascii").splitlines()
    return next(int(row.split()[1]) for row in rows if row.startswith(f"{what}:")) / 1024.0


def warm_up(recogniser: Recogniser, parser: Parser) -> None:
    """Hear a minute of talk and the longest utterance first: what grows afterwards is growth."""
    sound = np.random.default_rng(SEED).normal(0.0, 0.05, LONGEST_S * RATE_HZ).astype(np.float32)
    for number, expects in enumerate(EXPECTED):
        begin_s = 10.0 * number
        said = Utterance(
            sound, sound[:8_000], begin_s, begin_s + LONGEST_S, 0, "before", is_cut=False
        )
        recogniser.recognise(said, expects)
    Ears(recogniser, parser, "before").hear(made("chatter", WARM_S))


def hear_kind(recogniser: Recogniser, parser: Parser, kind: str, share: float) -> Tally:
    """Hear one kind of sound for a share of its time; the minutes are what is tried."""
    seconds = KINDS[kind][1] * share
    ears = Ears(recogniser, parser, kind, settles_s=SETTLED * seconds)
    minutes = max(1, round(seconds / 60.0))
    before_mb = held_mb()
    ears.hear(made(kind, seconds))
    after_mb = held_mb()
    hours = seconds / 3_600.0
    grew_mb = (after_mb - ears.settled_mb) / (hours * (1.0 - SETTLED))
    kept = minutes if grew_mb <= GROWTH_MB or hours < 1.0 else 0
    figures = {
        "false calls an hour": round(ears.count(Outcome.CALL) / hours, 2),
        "asked an hour": round(ears.count(Outcome.ASK) / hours, 2),
        "memory grew [MB an hour]": round(grew_mb, 2),
    }
    own = f"its own {before_mb:.0f}, {ears.settled_mb:.0f}, {after_mb:.0f} MB"
    note = f"{ears.words}; {own}, with files {held_mb('VmRSS'):.0f} MB"
    return Tally(f"sound: {kind} [min]", minutes, kept, note=note, figures=figures)


def _named(heard: Heard) -> str:
    return f"{heard.kind.value} {heard.text!r}"


def main(share: float, kinds: tuple[str, ...]) -> int:
    """Hear all kinds of sound, one after the other."""
    _, parser = load_words()
    tallies = []
    with make_recogniser(DEFAULT_ENGINE, None) as recogniser:
        warm_up(recogniser, parser)
        tallies = [hear_kind(recogniser, parser, kind, share) for kind in kinds]
    return report(PARTS[kinds[0]], tallies)


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(main(float(given[0]), tuple(given[1:])))
