"""Words and numbers: reads a grammar, compiles it for each engine, parses an utterance; pure."""

from calllog.spoken.compile import all_phrases, to_jsgf, to_phrases, words
from calllog.spoken.grammar import Grammar, SaidKind, load_grammar
from calllog.spoken.meaning import Meaning, Rejection, Why
from calllog.spoken.notes import note_forms
from calllog.spoken.parse import Parser, normalise
from calllog.spoken.say import say, spoken_forms
from calllog.spoken.texts import ENGLISH, Texts, load_texts

__all__ = [
    "ENGLISH",
    "Grammar",
    "Meaning",
    "Parser",
    "Rejection",
    "SaidKind",
    "Texts",
    "Why",
    "all_phrases",
    "load_grammar",
    "load_texts",
    "normalise",
    "note_forms",
    "say",
    "spoken_forms",
    "to_jsgf",
    "to_phrases",
    "words",
]
