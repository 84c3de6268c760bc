"""Sound in, utterances out: recordings and frames, where calls begin and end, clips; shell."""

from __future__ import annotations

from calllog.audio.clip import write_clip
from calllog.audio.endpoint import Utterance, utterances
from calllog.audio.source import RATE_HZ, Frames, Recording, Source

__all__ = [
    "RATE_HZ",
    "Frames",
    "Recording",
    "Source",
    "Utterance",
    "utterances",
    "write_clip",
]
