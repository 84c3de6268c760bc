"""Record the words that calllog speaks: ``python -m tests.make_words [en|es]``.

Writes the words of a language and their index into `calllog/readback`. What may be said is found by
reading the catalogue of messages, so a new question or finding is covered by running this again.
English needs Debian's `flite`, Spanish PyPI's `ttspico`. The same program gives the same sounds;
the voices are synthetic, no one was recorded.
"""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile
from fluent.runtime import FluentResource
from fluent.syntax import ast

from calllog.readback.figures import say_count, say_hundredths, say_text
from calllog.readback.tones import Sound
from calllog.readback.voice import PACKS, trim
from calllog.readback.words import phrases
from calllog.resources import DEFAULT_GRAMMAR, PACKAGE, read_grammar
from calllog.spoken import Grammar
from calllog.spoken.grammar import SLOT
from calllog.values import ReadingUnit
from calllog.wording.fine import in_fine

OUT = PACKAGE / "readback"
VOICE, SPANISH_VOICE = "rms", "es-ES"
GRAMMARS = {"en": (DEFAULT_GRAMMAR, "en-metric"), "es": ("es-feet", "es-metric")}
"""What crews say in a language; what it is made of and read back in is in the pack."""
STRETCH = 0.85
"""Of the voice's own pace: a read-back must be over before the next call."""
LICENCE = """\
Spoken by the voice rms of Flite 2.2, made from the CMU ARCTIC recordings. Changed here: cut into
words, trimmed, levelled and compressed.

Language Technologies Institute, Carnegie Mellon University. Copyright (c) 1999-2016. All Rights
Reserved.

Permission is hereby granted, free of charge, to use and distribute this software and its
documentation without restriction, including without limitation the rights to use, copy, modify,
merge, publish, distribute, sublicense, and/or sell copies of this work, and to permit persons to
whom this work is furnished to do so, subject to the following conditions:
1. The code must retain the above copyright notice, this list of conditions and the following
   disclaimer.
2. Any modifications must be clearly marked as such.
3. Original authors' names are not deleted.
4. The authors' names are not used to endorse or promote products derived from this software
   without specific prior written permission.

CARNEGIE MELLON UNIVERSITY AND THE CONTRIBUTORS TO THIS WORK DISCLAIM ALL WARRANTIES WITH REGARD
TO THIS SOFTWARE, INCLUDING ALL IMPLIED WARRANTIES OF MERCHANTABILITY AND FITNESS, IN NO EVENT
SHALL CARNEGIE MELLON UNIVERSITY NOR THE CONTRIBUTORS BE LIABLE FOR ANY SPECIAL, INDIRECT OR
CONSEQUENTIAL DAMAGES OR ANY DAMAGES WHATSOEVER RESULTING FROM LOSS OF USE, DATA OR PROFITS,
WHETHER IN AN ACTION OF CONTRACT, NEGLIGENCE OR OTHER TORTIOUS ACTION, ARISING OUT OF OR IN
CONNECTION WITH THE USE OR PERFORMANCE OF THIS SOFTWARE.
"""
SPANISH_LICENCE = """\
Spoken by the Spanish voice of SVOX Pico (PyPI's ttspico 0.3.2), Copyright (C) 2008-2009 SVOX AG,
under the Apache License, Version 2.0 (http://www.apache.org/licenses/LICENSE-2.0). Changed here:
c and z before e and i said as s, cut into words, trimmed, levelled and compressed.
"""
SPOKEN = (
    "What is asked of the crew, and why words are not taken.",
    "Where the work stands.",
    "Findings: what fits where first and check differ, and what else must be known of a pull.",
    "Words of the crew.",
    "What follows a call: results.",
    "Tapes, lines and remarks.",
    "Devices, as they are heard.",
    "Keys: why what is typed is not taken.",
)
"""Parts of the English catalogue that the crew may hear, by their headings."""
REFUSALS = (
    "tape already stands in this job with another certificate",
    "this line is in feet, tape is in meters",
    "this job is in international feet, tape is in survey feet",
)
"""Errors that are heard where a tape or a line is changed, without their names."""
RATE_HZ = 16_000
SAID_AS = {"a": "uh"}
"""Words that the synthesiser says wrongly when they stand alone."""
GAP = 640
"""Silence between two words in the file, so that compression smears none into the next."""
COMPRESSION = 0.946
"""Of Opus as libsndfile counts it: 0 is the largest file, 1 the smallest; about 20 kbit/s."""


def spoken_codes() -> frozenset[str]:
    """List the codes of the messages that the crew may hear."""
    found: set[str] = set()
    is_spoken = False
    for entry in FluentResource(catalogue("en")).body:
        if isinstance(entry, ast.GroupComment):
            is_spoken = entry.content in SPOKEN
        elif is_spoken and isinstance(entry, ast.Message):
            found.add(entry.id.name)
    return frozenset(found)


def catalogue(language: str) -> str:
    """Read a language's catalogue."""
    return (PACKAGE / "wording" / f"{language}.ftl").read_text("utf-8")


def texts(told: str) -> list[str]:
    """List the texts of the messages that may be heard, in every variant; facts are left out.

    Args:
        told: a catalogue.
    """
    codes = spoken_codes()
    found: list[str] = []
    for entry in FluentResource(told).body:
        if isinstance(entry, ast.Message) and entry.id.name in codes:
            found += _texts(entry)
    return found


def _texts(node: object) -> Iterator[str]:
    if isinstance(node, ast.TextElement | ast.StringLiteral):
        yield node.value
    elif isinstance(node, list):
        for each in node:
            yield from _texts(each)
    elif isinstance(node, ast.BaseNode):
        yield from _texts([each for name, each in vars(node).items() if name != "span"])


def sayable(grammar: Grammar) -> tuple[str, ...]:
    """List what the pack must hold: whole numbers and fixed phrases, then every single word."""
    numbers = [
        *(say_count(grammar, n) for n in range(101)),
        *(say_hundredths(grammar, n) for n in range(10)),
    ]
    fixed = [
        *(form for forms in grammar.commands.values() for form in forms),
        *(p for each in grammar.conditions for p in each.phrases if not SLOT.search(p)),
    ]
    single = {word for phrase in (*numbers, *fixed) for word in phrase.split()}
    single |= {
        word
        for each in grammar.conditions
        for p in each.phrases
        for word in SLOT.sub("", p).split()
    }
    single |= {word for forms in grammar.digits.values() for word in forms}
    single |= {word for n in range(101, 1000, 100) for word in say_count(grammar, n).split()}
    single |= {*grammar.roles.head, *grammar.roles.rear, *grammar.terms.point}
    single |= {word for form in grammar.terms.full_tape for word in form.split()}
    language = grammar.language.partition("-")[0]
    told = texts(catalogue(language))
    finely = (in_fine("", text, language, ReadingUnit.FINE_METRE) for text in told)
    for text in (*told, *finely, *(REFUSALS if language == "en" else ())):
        plain = say_text(grammar, re.sub(r"[^a-záéíóúüñ' .,;:*/+-]", " ", text.casefold()))
        single |= {word for phrase, _ in phrases(plain) for word in phrase.split()}
    return tuple(dict.fromkeys((*numbers, *fixed, *sorted(single))))


def spoken_in_spanish(text: str) -> Sound:
    """Let Pico speak, in the American way: c and z before e and i are s; shape (n,), 16 kHz."""
    import ttspico  # noqa: PLC0415 - only who records needs it

    said = re.sub(r"z|c(?=[eiéí])", "s", text)
    engine = ttspico.TtsEngine(SPANISH_VOICE)
    engine.rate = round(100 / STRETCH)
    samples = np.frombuffer(engine.speak(f"{said}."), "<i2")
    return np.asarray(samples / 32768.0, np.float32)


def spoken(text: str) -> Sound:
    """Let Flite speak; shape (n,), 16 kHz."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        pace = f"duration_stretch={STRETCH}"
        command = ["flite", "-voice", VOICE, "--setf", pace, "-t", f"{text}.", "-o", str(path)]
        subprocess.run(command, check=True, capture_output=True)
        samples, rate_hz = soundfile.read(path, dtype="float32")
    assert rate_hz == RATE_HZ
    return np.asarray(samples, np.float32)


SPEAKERS = {
    "en": (spoken, f"flite-{VOICE}", LICENCE),
    "es": (spoken_in_spanish, f"pico-{SPANISH_VOICE}", SPANISH_LICENCE),
}
"""Who speaks a language, under which licence."""


def main(language: str) -> None:
    """Record all words of a language anew."""
    speak, voice, licence = SPEAKERS[language]
    listed = (sayable(read_grammar(name)) for name in GRAMMARS[language])
    spans: dict[str, tuple[int, int]] = {}
    pieces: list[Sound] = [np.zeros(GAP, np.float32)]
    at = GAP
    for phrase in dict.fromkeys(each for said in listed for each in said):
        said = " ".join(SAID_AS.get(word, word) for word in phrase.split())
        word = trim(speak(said if language == "en" else phrase), RATE_HZ)
        spans[phrase] = (at, at + word.size)
        pieces += [word, np.zeros(GAP, np.float32)]
        at += word.size + GAP
    with soundfile.SoundFile(
        OUT / f"{PACKS[language]}.ogg",
        "w",
        samplerate=RATE_HZ,
        channels=1,
        format="OGG",
        subtype="OPUS",
        compression_level=COMPRESSION,
    ) as file:
        for piece in pieces:
            file.write(piece)
    index = {
        "voice": voice,
        "licence": licence.splitlines(),
        "rate_hz": RATE_HZ,
        "sha256": hashlib.sha256((OUT / f"{PACKS[language]}.ogg").read_bytes()).hexdigest(),
        "spans": spans,
    }
    written = re.sub(
        r"\[\s*(\d+),\s*(\d+)\s*\]", r"[\1, \2]", json.dumps(index, indent=0, ensure_ascii=False)
    )
    (OUT / f"{PACKS[language]}.json").write_text(written + "\n", "utf-8")


if __name__ == "__main__":
    main((*sys.argv, "en")[1])
