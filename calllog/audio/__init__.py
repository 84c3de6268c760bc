"""Sound in, utterances out: recordings, microphones, where calls begin and end, clips; shell."""

from __future__ import annotations

from calllog.audio.clip import write_clip
from calllog.audio.endpoint import Utterance, utterances
from calllog.audio.events import Event, Lost, Overflow, Returned, Sound
from calllog.audio.meter import Levels, Meter, Trouble, Warned
from calllog.audio.microphone import Microphone
from calllog.audio.source import RATE_HZ, Frames, Recording, Source

__all__ = [
    "RATE_HZ",
    "Event",
    "Frames",
    "Levels",
    "Lost",
    "Meter",
    "Microphone",
    "Overflow",
    "Recording",
    "Returned",
    "Sound",
    "Source",
    "Trouble",
    "Utterance",
    "Warned",
    "utterances",
    "write_clip",
]
