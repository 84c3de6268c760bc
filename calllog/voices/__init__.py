"""Voices that the program knows: a person's numbers in a plain file, and how it learns; shell."""

from calllog.voices.folder import forget, known_voices, read_voice, voices_folder, write_voice
from calllog.voices.profile import Misheard, Profile, digest_of

__all__ = [
    "Misheard",
    "Profile",
    "digest_of",
    "forget",
    "known_voices",
    "read_voice",
    "voices_folder",
    "write_voice",
]
