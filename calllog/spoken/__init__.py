"""Words and numbers: reads a grammar, compiles it for each engine, parses an utterance; pure."""

from calllog.spoken.compile import to_phrases, words
from calllog.spoken.grammar import Grammar, SaidKind, load_grammar
from calllog.spoken.meaning import Meaning, Rejection, Why
from calllog.spoken.named import named_forms
from calllog.spoken.notes import note_forms
from calllog.spoken.parse import Parser, normalise
from calllog.spoken.say import say, spoken_forms
from calllog.spoken.several import SeveralParser

__all__ = [
    "Grammar",
    "Meaning",
    "Parser",
    "Rejection",
    "SaidKind",
    "SeveralParser",
    "Why",
    "load_grammar",
    "named_forms",
    "normalise",
    "note_forms",
    "say",
    "spoken_forms",
    "to_phrases",
    "words",
]
