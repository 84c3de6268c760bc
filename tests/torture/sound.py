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
from collections.abc import Sequence
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
from calllog.system import SYSTEM
from calllog.values import Expectation, Outcome
from tests.audio.frames import Frames
from tests.torture.sounds import KINDS, SEED, Pieces, made
from tests.torture.tally import Tally, report

EXPECTED = (Expectation.WHOLE, Expectation.FRACTION, Expectation.ANY)
LIMIT = 10_000
GROWTH_MB = 1.0
"""Most that memory may grow in an hour of sound, once a quarter of it was heard."""
HELD_S = 10
"""After so much sound memory is measured. What is free is given back first: how much of it the C
library keeps differs from run to run, by more than an hour may add."""
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
    held: list[float] = field(default_factory=list)
    """Memory after every ten seconds of sound, what is free given back first [MB]."""
    most_mb: float = 0.0
    """At the end of any second."""

    def hear(self, pieces: Pieces) -> None:
        """Hear sound to its end."""
        meter = Meter(1)
        wanted = cycle(EXPECTED)

        def measure(window: Samples, is_speech: tuple[bool, ...]) -> None:
            self.warned |= {each.trouble.value for each in meter.hear(window, is_speech)}

        ears, second = Endpointer(self.kind, 1, on_window=measure), 0
        for block in Frames(piece[:, None] for piece in pieces).blocks():
            for utterance in ears.hear(block):
                self._take(utterance, next(wanted))
            if ears.heard >= (second + 1) * RATE_HZ:
                second = ears.heard // RATE_HZ
                self.most_mb = max(self.most_mb, held_mb())
            if ears.heard >= (len(self.held) + 1) * HELD_S * RATE_HZ:
                SYSTEM.free_memory()
                self.held.append(held_mb())
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


def kept_mb(held: Sequence[float]) -> tuple[float, float]:
    """Tell what memory goes back to in the second and in the last quarter.

    While something is heard more is needed, which is given back: what stays is the least.

    Example:
        >>> kept_mb([150, 120, 190, 121, 180, 121, 170, 122])
        (121, 122)
    """
    quarter = max(1, len(held) // 4)
    return min(held[quarter : 2 * quarter] or held), min(held[-quarter:])


def hear_kind(recogniser: Recogniser, parser: Parser, kind: str, share: float) -> Tally:
    """Hear one kind of sound for a share of its time; the minutes are what is tried."""
    seconds = KINDS[kind][1] * share
    ears = Ears(recogniser, parser, kind)
    minutes = max(1, round(seconds / 60.0))
    ears.hear(made(kind, seconds))
    hours = seconds / 3_600.0
    settled_mb, after_mb = kept_mb(ears.held or [held_mb()])
    grew_mb = (after_mb - settled_mb) / (hours / 2.0)
    is_long = hours >= 1.0
    kept = minutes if grew_mb <= GROWTH_MB or not is_long else 0
    figures = {
        "false calls an hour": round(ears.count(Outcome.CALL) / hours, 2),
        "asked an hour": round(ears.count(Outcome.ASK) / hours, 2),
    } | ({"memory grew [MB an hour]": round(grew_mb, 2)} if is_long else {})
    own = f"kept {settled_mb:.0f}, then {after_mb:.0f} MB of its own, at most {ears.most_mb:.0f}"
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
