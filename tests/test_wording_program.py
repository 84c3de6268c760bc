"""What the program says at the terminal in another language: complete, whole, and only if asked."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest

from calllog.cli import COMMANDS, GROUPS, loaded
from calllog.cli import app as program
from calllog.commands.terminal import in_words
from calllog.errors import Fault, JournalError
from calllog.program_words import (
    ENGLISH_PROGRAM,
    ProgramWords,
    language_asked_for,
    program_words,
    read_po,
)
from tests.program_sentences import constants, sentences

SPANISH = program_words("es")
EXAMPLE = "Example: "
LIBRARY = ("Show this message", "Install completion", "Show completion", "Arguments", "[", "Try ")
"""Beginnings of what the library that reads the command line says."""
JOINED = ("English and Spanish", "nobody taped that", "By which grammar")
"""Beginnings of what the program puts together of shorter texts."""


def helps(command: Any) -> Iterator[str]:  # noqa: ANN401 - typer's own
    """List the help of a command, its options and its own commands, a paragraph each."""
    texts = [command.help or "", *(each.help or "" for each in command.params)]
    for text in texts:
        yield from (" ".join(each.split()) for each in text.split("\n\n"))
    for each in getattr(command, "commands", {}).values():
        yield from helps(each)


def test_every_error_and_check_has_its_spanish() -> None:
    """A new sentence is translated, or this names it and where it stands."""
    found = sentences()
    assert len(found) > 600
    assert not {text: str(path) for text, path in found.items() if text not in SPANISH.sentences}


def test_every_help_has_its_spanish() -> None:
    """Of each command, of its options, and of the program itself."""
    texts = [*COMMANDS.values(), *GROUPS.values(), str(program.info.help)]
    for name in (*COMMANDS, *GROUPS):
        texts += helps(loaded(name))
    wanted = {each for each in texts if each and not each.startswith(EXAMPLE)}
    assert len(wanted) > 180
    assert not wanted - SPANISH.sentences.keys()


def test_no_sentence_is_left_over() -> None:
    """What the program does not say any more is not kept."""
    said = "\n".join(constants())
    left = {
        english
        for english in SPANISH.sentences
        if not english.startswith(LIBRARY + JOINED)
        and not all(piece in said for piece in english.split("{}"))
    }
    assert not left


def test_each_sentence_keeps_what_is_put_in() -> None:
    """As many places as in English, and none twice; no text is empty."""
    for english, said in SPANISH.sentences.items():
        assert said, english
        places = re.findall(r"\{(\d?)\}", said)
        assert len(places) == english.count("{}"), english
        assert len(set(places) - {""}) in (0, len(places)), english


def test_sentence_is_said_with_its_facts_in_the_order_of_the_language() -> None:
    """A fact that is a word of the program is said too; what is not known stays as it is."""
    words = ProgramWords(
        "xx", {"{} before {}": "{1} post {0}", "foot": "pes", "{} ends": "{} fin", "of {}": "de {}"}
    )
    assert words.say("foot before 15.42") == "15.42 post pes"
    assert words.say("of foot ends") == "de pes fin"
    assert words.say("day ends") == "day fin"
    assert words.say("foot; of day\n- foot") == "pes; de day\n- pes"
    assert words.say("not known at all") == "not known at all"
    assert words.paragraphs("foot\n\nx\nbefore y") == "pes\n\ny post x"


@pytest.mark.parametrize(
    ("environment", "language"),
    [
        ({}, "en"),
        ({"LANG": "es_MX.UTF-8"}, "es"),
        ({"LANG": "es_MX.UTF-8", "LC_ALL": "C"}, "c"),
        ({"LANG": "C.UTF-8", "LC_MESSAGES": "es"}, "es"),
        ({"LANG": "en_US.UTF-8", "LC_ALL": "", "LC_MESSAGES": ""}, "en"),
    ],
)
def test_language_is_what_the_environment_names(environment: dict[str, str], language: str) -> None:
    """As POSIX orders the variables: LC_ALL, LC_MESSAGES, LANG."""
    assert language_asked_for(environment) == language


def test_other_languages_are_told_in_english() -> None:
    """A language without sentences, or none at all, changes nothing."""
    error = JournalError("the journal is closed", where="day-1", next_step="open it again")
    for language in ("en", "c", "fr", "../es", ""):
        assert program_words(language) is ENGLISH_PROGRAM
        assert in_words(error, program_words(language)) == str(error)


def test_error_is_told_part_by_part() -> None:
    """Where, what, what next; a fault of the journal by its code."""
    error = JournalError("the journal is closed", where="day-1", next_step="open it again")
    assert in_words(error, SPANISH) == "day-1: el registro está cerrado; ábralo otra vez"
    fault = Fault("entry 3 was changed", "fault-changed", entry=3)
    told = in_words(JournalError(fault, where="day-1"), SPANISH)
    assert told == "day-1: el asiento 3 se cambió después de escrito: su huella no corresponde"


def test_po_file_is_read_with_its_signs() -> None:
    """Quotes, and the header is no sentence."""
    text = 'msgid ""\nmsgstr "Language: xx\\n"\n\nmsgid "a \\"b\\""\nmsgstr "c \\\\ d"\n'
    assert read_po(text) == {'a "b"': "c \\ d"}


def test_program_speaks_spanish_to_who_asks_for_it() -> None:
    """Help and an error, as the terminal shows them."""
    spanish = {**os.environ, "LC_ALL": "es_MX.UTF-8", "COLUMNS": "100"}

    def run(*words: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "calllog.cli", *words]
        return subprocess.run(command, env=spanish, capture_output=True, text=True, check=False)

    shown = run("decide", "--help").stdout
    for text in ("Decide un tramo que está en alto", "Opciones", "Muestra este mensaje", "Ejemplo"):
        assert text in shown
    failed = run("line", "/nowhere")
    assert failed.returncode == 1
    assert failed.stderr == (
        "error: /nowhere: no existe esa carpeta; revise su nombre y dónde está usted;"
        " nombre la carpeta de un trabajo\n"
    )
