"""What the program says at the terminal, in English, in; the same in another language, out.

Help, errors and checks are sentences of the program's own, not of a job, so they are translated
whole: ``program-es.po`` (the gettext project's PO format) has each English one with its Spanish.
``{}`` stands for what differs from time to time, ``{n}`` for how many; where the order turns, the
Spanish numbers them. Marks before a line ("! ") and its indentation are no part of a sentence.
"""

import ast
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

HERE = Path(__file__).parent / "wording"
HOLE, COUNT = "{}", "{n}"
LISTED, JOINED = "\n- ", "; "
"""What sentences are listed and joined by in one text."""
NONE = "0"
"""How many "no" are."""
ASKED_BY = ("LC_ALL", "LC_MESSAGES", "LANG")
"""Variables that name the user's language (POSIX), the first that is set."""
_ENTRY = re.compile(r'^msgid ("(?:[^"\\]|\\.)*")\nmsgstr ("(?:[^"\\]|\\.)*")$', re.MULTILINE)
_PLACE = re.compile(r"\{(\d?|n)\}")
_MARKED = re.compile(r"(\s*(?:[!*] )?)(.*)", re.DOTALL)
_WORDS = re.compile(r"[^\W\d_]{2}")
_PATTERNS = {HOLE: "(.+?)", COUNT: r"(\d[\d., ]*|no)"}


class ProgramWords:
    """Sentences of the program in one language, by the English ones."""

    def __init__(self, language: str, sentences: Mapping[str, str]) -> None:
        self.language = language
        self.sentences = dict(sentences)
        with_holes = [each for each in sentences if _PLACE.search(each)]
        self._forms = sorted(with_holes, key=lambda each: -len(_PLACE.sub("", each)))

    def say(self, english: str) -> str:
        """Say a sentence, or several that are joined, in that language; what is not known stays."""
        if not _WORDS.search(english):
            return english
        if LISTED in english:
            return LISTED.join(map(self.say, english.split(LISTED)))
        whole = self._whole(english)
        if whole is None and JOINED in english:
            return JOINED.join(map(self.say, english.split(JOINED)))
        return english if whole is None else whole

    def line(self, english: str) -> str:
        """Say a line as it is printed, with what stands before its sentence."""
        marks, sentence = _MARKED.fullmatch(english).groups()  # type: ignore[union-attr]
        return f"{marks}{self.say(sentence)}"

    def paragraphs(self, english: str) -> str:
        """Say a text of several paragraphs."""
        found = (" ".join(each.split()) for each in english.split("\n\n"))
        return "\n\n".join(map(self.say, found))

    def _whole(self, english: str) -> str | None:
        if english in self.sentences:
            return self.sentences[english]
        for form in self._forms:
            pieces = _PLACE.split(form)
            if english.startswith(pieces[0]) and english.endswith(pieces[-1]):
                found = _pattern(form).fullmatch(english)
                if found:
                    return self._filled(self.sentences[form], found.groups())
        return None

    def _filled(self, form: str, facts: tuple[str, ...]) -> str:
        said = iter(facts)
        return _PLACE.sub(
            lambda place: self._fact(
                facts[int(place[1])] if place[1].isdigit() else next(said), is_count=place[1] == "n"
            ),
            form,
        )

    def _fact(self, english: str, *, is_count: bool) -> str:
        return NONE if is_count and english == "no" else self.say(english)


@cache
def _pattern(form: str) -> re.Pattern[str]:
    """Make of an English sentence what finds it with what differs in it."""
    pieces = re.split(r"(\{n?\})", form)
    made = "".join(_PATTERNS.get(each, re.escape(each)) for each in pieces)
    return re.compile(made, re.DOTALL)


ENGLISH_PROGRAM = ProgramWords("en", {})
"""What is said as it is."""


@cache
def program_words(language: str) -> ProgramWords:
    """Read the sentences of a language; those of English where there are none of it."""
    path = HERE / f"program-{language}.po"
    if not language.isalpha() or not path.exists():
        return ENGLISH_PROGRAM
    return ProgramWords(language, read_po(path.read_text("utf-8")))


def read_po(text: str) -> dict[str, str]:
    """Read a PO file whose every text is on one line: each English text, and what it is said as."""
    found = {}
    for english, said in _ENTRY.findall(text):
        found[str(ast.literal_eval(english))] = str(ast.literal_eval(said))
    found.pop("", None)
    return found


def language_asked_for(environment: Mapping[str, str]) -> str:
    """Give the user's language from the environment, "es" for es_MX.UTF-8; "en" if none is set."""
    named = next((environment[name] for name in ASKED_BY if environment.get(name)), "en")
    return re.split(r"[_.@-]", named)[0].lower()
