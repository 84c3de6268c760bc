"""The shipped day of a made-up crew: where its recordings and certificates lie; shell."""

import json
from dataclasses import dataclass
from pathlib import Path

from calllog.errors import ConfigError

FOLDER = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True)
class DayLine:
    """One line of the day: its name as A:B, its recording, the certificate of its tape."""

    name: str
    recording: Path
    tape: Path


@dataclass(frozen=True, slots=True)
class Day:
    """The shipped day."""

    lines: tuple[DayLine, ...]
    """In the order in which they were taped."""
    about: Path
    """File of the facts of the job."""
    voices: tuple[str, ...] = ("head=synthetic voice 1", "rear=synthetic voice 2")
    """Whose sound is kept: nobody's, the voices are made by programs."""


def load_day() -> Day:
    """Find the shipped day; ConfigError if the program was installed without it."""
    path = FOLDER / "spoken.json"
    try:
        recordings = json.loads(path.read_text("utf-8"))["recordings"]
    except OSError as error:
        raise ConfigError(
            "the demo's recordings are not there", where=str(path), next_step="reinstall calllog"
        ) from error
    return Day(
        tuple(
            DayLine(
                f"{each['line_from']}:{each['line_to']}",
                FOLDER / "recordings" / each["file"],
                FOLDER / "tapes" / each["tape"],
            )
            for each in recordings
        ),
        FOLDER / "about.toml",
    )
