"""What the crew hears: calls and results in, tones and spoken words out, and when they sounded."""

from calllog.audio.outputs import Outputs, PortAudioOutputs
from calllog.readback.figures import say_text
from calllog.readback.player import Player
from calllog.readback.standing import in_force
from calllog.readback.tones import Tone, render
from calllog.readback.voice import PACKS, BuiltIn, Piper, Voice, choose_voice
from calllog.readback.words import (
    SILENCE,
    Notice,
    Saying,
    Verbosity,
    answer,
    notice,
    read_back,
    rehearsal,
    unsaved,
)

__all__ = [
    "PACKS",
    "SILENCE",
    "BuiltIn",
    "Notice",
    "Outputs",
    "Piper",
    "Player",
    "PortAudioOutputs",
    "Saying",
    "Tone",
    "Verbosity",
    "Voice",
    "answer",
    "choose_voice",
    "in_force",
    "notice",
    "read_back",
    "rehearsal",
    "render",
    "say_text",
    "unsaved",
]
