"""What the crew hears: calls and results in, tones and spoken words out, and when they sounded."""

from calllog.readback.figures import say_text
from calllog.readback.player import Player
from calllog.readback.standing import in_force
from calllog.readback.tones import Tone
from calllog.readback.voice import PACKS, Mute, Voice, choose_voice
from calllog.readback.words import (
    SILENCE,
    Notice,
    Saying,
    Verbosity,
    answer,
    notice,
    rehearsal,
    says_whole,
    unsaved,
)

__all__ = [
    "PACKS",
    "SILENCE",
    "Mute",
    "Notice",
    "Player",
    "Saying",
    "Tone",
    "Verbosity",
    "Voice",
    "answer",
    "choose_voice",
    "in_force",
    "notice",
    "rehearsal",
    "say_text",
    "says_whole",
    "unsaved",
]
