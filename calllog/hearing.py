"""A sound file in, what was heard in it out: to try an engine or a voice; shell."""

from dataclasses import dataclass
from pathlib import Path

from pydantic import JsonValue

from calllog.audio import Recording, utterances
from calllog.recognise import Heard, Recogniser, understand
from calllog.spoken import Parser
from calllog.values import HUNDREDTHS, Expectation, Kind, Outcome, ReadingUnit
from calllog.wording import ENGLISH

NO_SPEECH = "no speech"
RANK = {Outcome.CALL: 0, Outcome.ASK: 1, Outcome.IGNORED: 2}


@dataclass(frozen=True, slots=True)
class FileHeard:
    """What one file holds: its first call, else its first question, else its first talk."""

    file: str
    utterances: int
    heard: Heard | None
    unit: ReadingUnit = ReadingUnit.FOOT
    """What the tape is graduated in."""

    @property
    def text(self) -> str:
        """The words; empty if none."""
        return self.heard.text if self.heard else ""

    @property
    def kind(self) -> str:
        """Kind of call; empty without speech."""
        return self.heard.kind.value if self.heard else ""

    @property
    def value(self) -> str | None:
        """The number as it is written, such as 15.42, 15 or 0.42; None for what is none."""
        return written(self.heard.kind, self.heard.value) if self.heard else None

    @property
    def probability(self) -> float:
        """From 0 to 1."""
        return self.heard.probability if self.heard else 0.0

    @property
    def outcome(self) -> Outcome:
        """Call, ask or ignored."""
        return self.heard.outcome if self.heard else Outcome.IGNORED

    @property
    def reason(self) -> str:
        """Why it is asked again or ignored, in English."""
        return ENGLISH.measured_in(self.unit).say(self.heard.reason) if self.heard else NO_SPEECH

    def as_json(self) -> dict[str, JsonValue]:
        """Give the result as one JSON object."""
        alternatives = self.heard.alternatives if self.heard else ()
        return {
            "file": self.file,
            "utterances": self.utterances,
            "text": self.text,
            "kind": self.kind,
            "value": self.value,
            "probability": self.probability,
            "alternatives": [
                {
                    "text": each.text,
                    "kind": each.kind.value,
                    "value": written(each.kind, each.value),
                    "probability": each.probability,
                }
                for each in alternatives
            ],
            "outcome": self.outcome.value,
            "reason": self.reason,
        }


def written(kind: Kind, value: int | None) -> str | None:
    """Write a number: feet as 15, hundredths as 0.42, a reading as 15.42, a bare one as 42."""
    if value is None:
        return None
    if kind is Kind.WHOLE:
        return str(value // HUNDREDTHS)
    return str(value) if kind is Kind.NUMBER else f"{value / HUNDREDTHS:.2f}"


def hear_file(
    path: Path, recogniser: Recogniser, parser: Parser, expects: Expectation, limit: int
) -> FileHeard:
    """Listen to each channel of a file.

    `limit` is the greatest reading on the tape, hundredths of a foot or meter.

    Raises:
        AudioError: the file cannot be read to its end.
    """
    heard = [
        understand(parser, recogniser.recognise(utterance, expects), expects, limit)
        for utterance in utterances(Recording(path))
    ]
    best = min(heard, key=lambda each: RANK[each.outcome], default=None)
    return FileHeard(str(path), len(heard), best, parser.unit)
