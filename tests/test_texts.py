"""What the program itself says in other languages: complete, and told by the right template."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from calllog.commands.card import card_html
from calllog.resources import PACKAGE, language_texts, languages, read_grammar
from calllog.spoken import ENGLISH, Texts

OTHERS = [each for each in languages() if each != ENGLISH.language]
SAID = (
    "audio/meter.py",
    "commands/card.py",
    "keypad/strokes.py",
    "live/safety.py",
    "lines/notes.py",
    "pairing/asking.py",
    "pairing/booking.py",
    "pairing/diagnosis.py",
    "pairing/differing.py",
    "pairing/machine.py",
    "pairing/proposal.py",
    "panel/view.py",
    "panel/words.py",
    "readback/words.py",
    "recognise/understand.py",
    "session/clock.py",
    "session/course.py",
    "session/live.py",
    "session/taking.py",
    "spoken/notes.py",
    "spoken/parse.py",
)
"""Modules whose texts the crew or the office reads or hears."""
PARTS = frozenset(
    {
        # put together with others to a text that is in the table
        "{} less {} hundredths",
        "{} is less than nothing; say both parts again",
        "the rise of {} ft is more than the tape length",
        "{}; state the rise, then say both parts again",
        ", then what was called after it",
        "{}{} {} {}",
        "of the take",
        "say again or type",
        ", {} calls held",
        ", since another value was typed",
        "{} {}{}",
        "{} {}",
        "{} was {}, now {}",
        ", opens pull {} again",
        "; not both are finished",
        "its way back,",
        "the same again,",
        "run {} against {} run {}{}",
        'feet, "point" and two digits',
        "a number",
        "{} to {}{}",
        "{}: pull {}",
        ", run {}",
        ", by {}",
        "Entry {}, {}{}{}",
        "in force",
        "not corrected, stands as it was read",
        "no correction for {} known",
        "{} kept by {}",
        "difference {}",
        "{}; {}",
        "{}; type feet, point and both digits",
        "{} has no point",
        "{}, {} ft, {}",
        "pull {} waits for a decision{}",
        "{} of the {}",
        "strikes the last number{}",
        "> pull {}: {}, decided by {}",
        "at the {}",
        "after {} comes {}",
        "The plots are left out: {}",
        # told word by word, or not at all
        "minus ",
        "full tape",
        # no words
        "{} lb/ft",
        "offset points",
        # for whoever starts the program, in English like all of its errors
        "a pull without a take cannot be booked",
        "the crew calls {}, but the job is in {}",
        "begin it with `calllog listen JOB --tape TAPE.toml --line A:B`",
        "no line has been begun in this job",
        "open it again",
        "measure its pulls again, with their conditions stated",
        "give its certificate",
        "tape {} has no certificate here",
        "pull {} of line {} to {}",
        "no pull of this line can be corrected, so its uncertainty is not known",
    }
)
"""Texts of these modules that nobody sees as they stand."""


def literals(path: Path) -> Iterator[str]:
    """List a module's texts, slots as ``{}``, without docstrings and errors' names."""
    tree = ast.parse(path.read_text("utf-8"))
    skipped: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
            bare = [each for each in node.body if isinstance(each, ast.Expr)]
            skipped |= {id(part) for each in bare for part in ast.walk(each)}
        if isinstance(node, ast.JoinedStr):
            skipped |= {id(part) for part in ast.walk(node) if part is not node}
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.JoinedStr):
            yield "".join(
                str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values
            )
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield re.sub(r"\{\w+\}", "{}", node.value)


def is_text(literal: str) -> bool:
    """Tell a text from a name, a number's form, a colour, a path or HTML."""
    words = re.findall(r"[A-Za-z]{2,}", literal.replace("{}", " "))
    is_code = re.search(r"[\\\[\]=_<|#]|--|^@|^\s|: \w+;", literal)
    return len(words) > 1 and " " in literal.strip() and not is_code


@pytest.fixture(scope="module", params=OTHERS)
def texts(request: pytest.FixtureRequest) -> Texts:
    """Load each language that there is beside English."""
    return language_texts(request.param)


@pytest.mark.parametrize("name", SAID)
def test_every_text_is_told(texts: Texts, name: str) -> None:
    """No sentence of the rules, the screen or the page stays English."""
    missing = [
        each
        for each in dict.fromkeys(literals(PACKAGE / name))
        if is_text(each)
        and each not in PARTS
        and texts.tell(each.replace("{}", "7")) == each.replace("{}", "7")
    ]
    assert not missing


@dataclass(frozen=True)
class Spy(Texts):
    """Texts that remember what they could not tell."""

    untold: list[str] = field(default_factory=list)

    def _tell(self, text: str) -> str:
        told = super()._tell(text)
        if told == text and text not in self.table and re.search(r"[a-z]{3}", text):
            self.untold.append(text)
        return told

    def fill(self, template: str, /, **slots: object) -> str:
        """Remember a template that is not in the table."""
        words = re.sub(r"\{\w+\}", "", template)
        if template not in self.table and re.search(r"[a-z]{3}", words):
            self.untold.append(template)
        return super().fill(template, **slots)


def test_card_is_told(texts: Texts) -> None:
    """The card of each grammar in the language has no text left in English."""
    grammar = read_grammar("es-feet")
    spy = Spy(texts.language, texts.table)
    grammar._texts = spy
    card = card_html(grammar)
    assert spy.untold == []
    assert "cambiar extremos" in card
    for english in ("call", "pull", "tape", "hundredths", "Enter"):
        assert not re.search(rf"\b{english}\b", card), english


@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        ("take 33.87, check 32.87: two digits swapped", "primera 33.87, segunda 32.87: dos cifras"),
        ("head, say again the hundredths of the take", "delantero, repita las centésimas de la"),
        (
            "pull 3 waits: rear, say again the whole foot",
            "el tramo 3 espera: trasero, repita el pie entero",
        ),
        ("crew: 5 may be .05 or .50; say both digits", "cuadrilla: 5 puede ser .05 o .50; diga"),
        (
            "rear: the whole foot, head: the hundredths of the take",
            "trasero: el pie entero, delantero: las centésimas, de la primera",
        ),
        ("head: the hundredths of the check", "delantero: las centésimas de la segunda"),
        ("15.4 may be 15.04 or 15.40; type both digits", "15.4 puede ser 15.04 o 15.40; teclee"),
        (
            "treinta uno dos may be 30.12 or 31.02 or 31.20; say point and both digits",
            "treinta uno",
        ),
        ("before switching: pull 1 waits for the hundredths of the take", "antes de cambiar: el"),
        ("the whole foot was 15, now 16", "el pie entero: antes 15, ahora 16"),
        ("= pull 1 booked: 33.87 ft (agreed)", "= tramo 1 anotado: 33.87 ft (cuadra)"),
        ("Heron to Alder, run 2", "Heron a Alder, recorrido 2"),
    ],
)
def test_filled_text_is_told_by_its_template(english: str, spanish: str) -> None:
    """What stands in the journal in English is told with its values where they belong."""
    told = language_texts("es").tell(english)
    assert told.startswith(spanish)
    assert re.findall(r"\d", told) == re.findall(r"\d", english)
