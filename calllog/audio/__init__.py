"""Sound in, utterances out: recordings, microphones, where calls begin and end, clips; shell."""

from calllog.audio.clip import write_clip
from calllog.audio.endpoint import Utterance, utterances
from calllog.audio.meter import Trouble
from calllog.audio.source import RATE_HZ, Recording

__all__ = [
    "RATE_HZ",
    "Recording",
    "Trouble",
    "Utterance",
    "utterances",
    "write_clip",
]
