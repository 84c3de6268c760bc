"""What the program says at the terminal in another language: complete, whole, and only if asked."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from calllog.cli import COMMANDS, GROUPS, loaded
from calllog.cli import app as program
from calllog.commands.terminal import in_words
from calllog.corrections import Situation, doubts, state
from calllog.errors import Fault, JournalError
from calllog.program_words import (
    ENGLISH_PROGRAM,
    HOLE,
    ProgramWords,
    language_asked_for,
    program_words,
    read_po,
)
from calllog.resources import PACKAGE
from calllog.tape import dated_after, plausibility, validity
from tests.commanding import run
from tests.fieldjob import field_job
from tests.program_sentences import constants, printed, sentences
from tests.tapes import certificate, metric_tape

SPANISH = program_words("es")
EXAMPLE = "Example: "
LIBRARY = (
    *("Show this message", "Install completion", "Show completion", "Arguments", "[", "Try "),
    *("Usage: ", "COMMAND ", "Error", "Aborted.", "Missing ", "No such ", "Invalid value"),
    *("Option {} ", "Got unexpected", "{} is not one of", "Input should be "),
)
"""Beginnings of what the library that reads the command line says."""
PO, MADE = PACKAGE / "wording" / "program-es.po", "#. joined"
"""The Spanish, and its mark of sentences that the program puts together of shorter texts."""
MESSAGES = PACKAGE / "wording" / "en.ftl"
GLUED = re.compile(r"(?<=[A-Za-z)])\{\}")
"""What may follow a word without a blank: often nothing."""
USAGE = 2
"""Exit code of what was typed wrong."""
LEAST = 3
"""Letters that a sentence has beside what is put in."""
COMPOSED = {
    '! {} to be kept until {}; remove {}: calllog expunge {} --due --by NAME --why "its day is'
    ' over"': (
        (
            "! 2 sounds were to be kept until 2026-12-01; remove them: calllog expunge day-1 --due"
            ' --by NAME --why "its day is over"'
        ),
    ),
    "{} ({}) {}{}; heard by {}; {} kept": (
        "Ash (head) agrees; heard by crew; 1 sound is kept",
        "Ash (head) agrees, kept until 2026-12-01; heard by crew; 2 sounds are kept",
        "Ash (head and rear) took consent back; heard by crew; no sounds are kept",
    ),
    "sound of the {}: {}": ("sound of the head: kept", "sound of the rear: not kept"),
    "{} typed remark": ("words of 1 typed remark: remarks/7.txt",),
    "{} typed remarks": ("words of 2 typed remarks: remarks/7.txt, remarks/8.txt",),
    "{}:{} of {} {} {}.": (
        "Spring:Oak of day-1 goes on in day-2.",
        "Spring:Oak of day-1 is another run in day-2.",
    ),
    "  record {} = {}, measured {} {}, difference {}, index {}, for information only": (
        (
            "  record 19 rod = 313.500 ft, measured slope distance 315.129 ft, difference +1.629"
            " ft, index 1.005196, for information only"
        ),
        (
            "  record 19 rod = 313.500 ft, measured horizontal 315.129 ft, difference +1.629 ft,"
            " index 1.005196, for information only"
        ),
    ),
    "  marks, each from the rear mark of its pull (= {}):": (
        "  marks, each from the rear mark of its pull (= full station):",
        "  marks, each from the rear mark of its pull (= full hundred):",
    ),
    "  {} {}  {} {} in pull {}": (
        "  =    1+00.00  52.36 ft in pull 2",
        "       0+050.00  2.361 m in pull 2",
    ),
    "{} to {} {}: {} {} and {}, difference {}, mean {}, {}": (
        (
            "Spring to Oak and back: horizontal 315.1 and 315.2 ft, difference +0.1 ft, mean 315.15"
            " ft, 1:3100"
        ),
        (
            "Spring to Oak and again: slope distance 315.1 and 315.2 ft, difference +0.1 ft, mean"
            " 315.15 ft, no relative precision"
        ),
    ),
    "  Left out: {} checked {} needed a decision.": (
        "  Left out: 1 checked pull that needed a decision.",
        "  Left out: 2 checked pulls that needed a decision.",
    ),
    "  {}: {}, {} (k = 2, 95 %); before {}": (
        "  Spring:Oak: 315.13 \u00b1 0.07 ft, slope distance (k = 2, 95 %); before 315.2 ft",
        "  Spring:Oak: 315.13 \u00b1 0.07 ft, horizontal (k = 2, 95 %); before 315.2 ft",
    ),
    "{} existed on {} by authority {}.": (
        "Entry 5 and all before it existed on 2026-11-29 12:00:00 UTC by authority X.",
    ),
    "{} existed on {} by authority {}, says a time stamp that was not checked: name the"
    " authority's certificate with --authority FILE.": (
        (
            "Entry 5 and all before it existed on 2026-11-29 12:00:00 UTC by authority X, says a"
            " time stamp that was not checked: name the authority's certificate with"
            " --authority FILE."
        ),
    ),
}
"""Lines that are put together of words, and what they come to."""
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


def test_every_line_that_is_printed_has_its_spanish() -> None:
    """With a figure for what is put in, or nothing; counts and heads of columns too."""
    found = printed()
    assert len(found) > 120
    assert found.keys() >= COMPOSED.keys()
    lines = {
        form: (form.replace(HOLE, "7"), GLUED.sub("", form).replace(HOLE, "7")) for form in found
    }
    unsaid = {
        form: str(path)
        for form, path in found.items()
        if not any(map(is_said, COMPOSED.get(form, lines[form])))
    }
    assert not unsaid
    assert not [each for lines in COMPOSED.values() for each in lines if not is_said(each)]


def is_said(line: str) -> bool:
    """Tell whether a line is in Spanish, or is the same in both."""
    return SPANISH.line(line) != line or line.strip() in SPANISH.sentences


def test_every_doubt_about_a_tape_has_its_spanish() -> None:
    """Certificates and conditions that no crew has, in feet and in meters."""
    day = date(2131, 5, 4)
    odd: dict[str, object] = {"certified_tension_lb": 99.0, "alpha_per_degf": 1.0}
    odd |= {"area_in2": 1.0, "modulus_psi": 1.0, "certified_temperature_degf": 20.0}
    tapes = (
        certificate(certified_length_ft=1.0, u_certified_length_ft=1.0, valid_until="2131-05-03"),
        certificate(**odd, valid_from="2131-05-05", certificate_date="2131-05-06"),
        metric_tape().model_copy(update=odd | {"valid_until": date(2131, 5, 1)}),
    )
    hot = {"temperature_degf": 500.0, "tension_lb": 1.0, "spans": 1, "elevation_ft": 1e6}
    steep = {"temperature_degf": 154.4, "tension_lb": 66.0, "rise_ft": 70.0, "off_line_ft": 60.0}
    said = {"temperature": "68C", "tension": "66lb", "reading": "25.42m"}
    told = [
        *(each for tape in tapes for each in plausibility(tape)),
        *(each for tape in tapes for each in validity(tape, day)),
        *(each for tape in tapes for each in dated_after(tape, day)),
        *doubts(83.4, certificate(), Situation.model_validate(hot), {}),
        *doubts(83.4, certificate(), Situation.model_validate(steep), said),
        *state(183.4, certificate(), Situation(rise_ft=70.0)).warnings,
        *state(83.4, certificate(), Situation(tension_lb=3.0, spans=1, rise_ft=9.0)).warnings,
    ]
    assert len(told) > 25
    english = re.compile(r"\b(the|is|and|which|look|state|used|has|have|of)\b")
    assert not [each for each in map(SPANISH.say, told) if english.search(each)]


def test_no_sentence_fits_what_a_person_wrote() -> None:
    """Names and remarks stand in lines too: nothing is said as something else for two letters."""
    begun_by_hole = [each for each in SPANISH.sentences if each.startswith(HOLE)]
    bare = {each: re.sub(r"\{n?\}|[^A-Za-z]", "", each) for each in begun_by_hole}
    assert len(bare) > 100
    assert not {each for each, letters in bare.items() if len(letters) < LEAST}


def test_no_sentence_is_left_over() -> None:
    """What the program does not say any more is not kept; a job's messages are said by it too."""
    said = "\n".join((*constants(), " ".join(MESSAGES.read_text("utf-8").split())))
    joined = read_po(
        "\n".join(each for each in PO.read_text("utf-8").split("\n\n") if MADE in each)
    )
    assert not {each for each in re.findall(r"\w+", "\n".join(joined)) if each not in said}
    left = {
        english
        for english in SPANISH.sentences
        if not english.startswith(LIBRARY + JOINED)
        and english not in joined
        and not all(piece.strip() in said for piece in re.split(r"\{n?\}", english))
    }
    assert not left


def test_each_sentence_keeps_what_is_put_in() -> None:
    """As many places as in English, and none twice; no text is empty."""
    for english, said in SPANISH.sentences.items():
        assert said, english
        places = re.findall(r"\{(\d?|n)\}", said)
        assert len(places) == english.count("{}") + english.count("{n}"), english
        numbered = set(places) - {"", "n"}
        assert not numbered or len(numbered) == len(places), english


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


def in_language(asked: str, *words: str) -> subprocess.CompletedProcess[str]:
    """Run the program by itself: what its library says is changed for the whole process."""
    environment = {**os.environ, "LC_ALL": asked, "COLUMNS": "100"}
    command = [sys.executable, "-m", "calllog.cli", *words]
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False)


def test_program_speaks_spanish_to_who_asks_for_it() -> None:
    """Help and errors, as the terminal shows them."""
    run = partial(in_language, "es_MX.UTF-8")
    shown = run("decide", "--help").stdout
    for text in ("Decide un tramo que está en alto", "Opciones", "Muestra este mensaje", "Ejemplo"):
        assert text in shown
    failed = run("line", "/nowhere")
    assert failed.returncode == 1
    assert failed.stderr == (
        "error: /nowhere: no existe esa carpeta; revise su nombre y dónde está usted;"
        " nombre la carpeta de un trabajo\n"
    )
    mistyped = run("line", "day-1", "--clas", "1:5000")
    assert mistyped.returncode == USAGE
    for text in ("Uso: ", "[OPCIONES]", "Pruebe", "No hay tal opción: --clas (quizá: --class)"):
        assert text in mistyped.stderr
    for words, told in (
        (("decide", "day-1"), "Falta el argumento 'PULL'."),
        (("decide", "day-1", "x", "first"), "Valor no válido para 'PULL': debe ser un número"),
        (("lin",), "No hay ninguna orden 'lin'. ¿Quiso decir 'line', 'listen'?"),
    ):
        assert told in run(*words).stderr


def test_tables_of_the_office_are_in_the_language_of_who_asks(tmp_path: Path) -> None:
    """Whatever language the crew spoke; names, and what programs read, stay as they are."""
    folder = field_job(tmp_path / "day-1")
    report = in_language("es_MX.UTF-8", "report", str(folder)).stdout
    assert "Todas las longitudes en pies topográficos de EE. UU." in report
    for text in (" tramo ", " primera ", " segunda ", "tachado ", "escrito: "):
        assert text in report
    assert "script" in report
    shown, english = (
        in_language(asked, "line", str(folder), "--json").stdout for asked in ("es_MX.UTF-8", "C")
    )
    assert shown == english


def test_crew_reads_its_own_language(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Errors of a Spanish job's work are in Spanish, whatever the computer's language."""
    monkeypatch.setenv("LC_ALL", "en_US.UTF-8")
    tape = str(PACKAGE / "demo" / "tapes" / "add-100.toml")
    words = ("listen", str(tmp_path / "day-1"), "--tape", tape, "--line", "Nogal:Molino")
    missing = ("--from", str(tmp_path / "none.wav"))
    assert "no existe ese archivo" in run(*words, "--grammar", "es-feet", *missing).stderr
    assert "no such file" in run(*words, "--grammar", "en-us-feet", *missing).stderr
    assert "there is no such folder" in run("line", str(tmp_path / "nowhere")).stderr
