"""Files that people write or bring: grammars, catalogues, certificates, segment logs."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from calllog.errors import CalllogError
from calllog.report import read_segments_json
from calllog.report.record import MetricSegmentLog, document_of
from calllog.resources import PACKAGE, grammar_folder
from calllog.spoken import Grammar, Parser, load_grammar, to_phrases
from calllog.tape import METRIC_NAMES, Certificate, load_certificate, plausibility, validity
from calllog.tape.certificate_file import MOST_SIGNS
from calllog.tape.steel import IN_FEET, IN_METRES
from calllog.values import Expectation, ReadingUnit
from calllog.wording import HERE, Words
from tests.catalogues import messages_in
from tests.tapes import METRIC
from tests.torture.fuzz.target import Draw, Target

GOLDEN = Path(__file__).parents[2] / "golden"
FOLDER = TemporaryDirectory(prefix="calllog-fuzz-")
GRAMMARS = tuple(path.read_bytes() for path in sorted(grammar_folder().glob("*.toml")))
CATALOGUES = tuple(path.read_bytes() for path in sorted(HERE.glob("*.ftl")))
CERTIFICATES = (
    *(path.read_bytes() for path in sorted((PACKAGE / "demo/tapes").glob("*.toml"))),
    METRIC.encode(),
)
LOGS = (*sorted(GOLDEN.glob("segments*.json")), *sorted((GOLDEN / "metric").glob("*.json")))
DAYS = (date(1999, 1, 1), date(2131, 5, 4))
PIECES = (
    b"", b"0", b"-1", b"1e400", b"nan", b"-inf", b"9" * 5_000, b"[" * 3_000, b"'''", b'"', b'""',
    b"\n", b"[x]\n", b"[[conditions]]\n", b"{number}", b"{", b"}", b"= ", b" = [", b"]", b",",
    b"true", b"1979-05-27", b"1979-05-27T07:32:00Z", b"\x00", b"\xff", b"\xe2\x80\xae", b"#",
    b"0x" + b"f" * 300, b"1.7e308", b"5e-324", b"\\u0000", b'"\\ud800"', b"null", b'{"a":1}', b".a",
    b"0x" + b"f" * 4_000,
)  # fmt: skip
"""What breaks readers of text."""


def edited(draw: Draw, originals: tuple[bytes, ...]) -> bytes:
    """Make a file of one that works: parts of it replaced, doubled, or taken out."""
    content = draw.one_of(originals)
    while draw:
        kind, at, length = draw.number(), draw.number(2) % (len(content) + 1), draw.number()
        piece = PIECES[kind % len(PIECES)]
        if kind >= 3 * len(PIECES):
            begin = draw.number(2) % (len(content) + 1)
            piece = content[begin : begin + length]
            length = draw.number()
        content = content[:at] + piece + content[at + length :]
    return content


def _read(data: bytes, originals: tuple[bytes, ...]) -> str:
    draw = Draw(data)
    content = draw.rest() if draw.number() == 0 else edited(draw, originals)
    return content.decode("utf-8", "replace")


def state_grammar(data: bytes) -> None:
    """Read a grammar; one that is accepted can be spoken, heard, and written down again."""
    text = _read(data, GRAMMARS)
    try:
        grammar = load_grammar(text)
    except CalllogError:
        return
    assert Grammar.model_validate_json(grammar.model_dump_json()) == grammar
    if len(data) % 8 == 0:
        Parser(grammar).parse("fifteen forty two", Expectation.READING, 10_000)
        for expects in Expectation:
            assert to_phrases(grammar, expects)


def state_messages(data: bytes) -> None:
    """Read the messages of a language; each that is accepted can be said, whatever it asks for."""
    text = _read(data, CATALOGUES)
    with contextlib.suppress(ValueError):
        known = messages_in(text)
        words = Words("xx", lambda: text)
        for code, facts in known.items():
            if "." not in code:
                assert isinstance(words(code, **dict.fromkeys(facts, 15)), str)
        assert words("no-such-code", count=3) == "no-such-code (count 3)"


def state_certificate(data: bytes) -> None:
    """Read a certificate; one that is accepted is the same when it is written down again."""
    text = _read(data, CERTIFICATES)
    try:
        tape = load_certificate(text, "tape.toml")
    except CalllogError:
        return
    for warning in (*plausibility(tape), *(each for day in DAYS for each in validity(tape, day))):
        assert warning
    assert Certificate.model_validate_json(tape.model_dump_json()) == tape
    if len(written := _toml(tape)) <= MOST_SIGNS:  # escapes are longer than the signs they mean
        assert load_certificate(written, "again.toml") == tape


def _toml(tape: Certificate) -> str:
    """Write a certificate as its file has it."""
    lines = [f'unit = "{tape.unit.base.value}"']
    assumed = {"assumed", *tape.assumed}
    if tape.metric is not None:
        assumed |= {METRIC_NAMES[name] for name in tape.assumed}
    stated = {name: value for name, value in tape.document.items() if name not in assumed}
    if tape.steel is not None and tape.steel.width is not None:
        width, thickness = (IN_FEET if tape.metric is None else IN_METRES)[2:4]
        stated |= {width: tape.steel.width, thickness: tape.steel.thickness}
    for name, value in stated.items():
        if value is not None:
            lines.append(f"{name} = {json.dumps(value)}".replace("\x7f", "\\u007f"))
    return "\n".join(lines)


def read_log(data: bytes) -> None:
    """Read a segment log; one that is accepted is the same when it is written again."""
    path = Path(FOLDER.name) / "segments.json"
    path.write_bytes(_read(data, SEGMENTS).encode("utf-8", "replace"))
    try:
        log = read_segments_json(path)
    except CalllogError:
        return
    is_metric = isinstance(log, MetricSegmentLog)
    unit = ReadingUnit.METRE if is_metric else ReadingUnit.FOOT
    path.write_text(json.dumps(document_of(log, unit)), "utf-8")
    assert read_segments_json(path) == log


SEGMENTS = tuple(path.read_bytes() for path in LOGS)


def _seeds(originals: tuple[bytes, ...]) -> Iterator[bytes]:
    for place in range(len(originals)):
        yield bytes((1, place))
        for kind in range(len(PIECES)):
            yield bytes((1, place, kind, kind, 17 * kind % 256, kind % 40))
        yield bytes((1, place, 150, 0, 99, 40, 1, 17, 20))
    yield b'\x00identity = "T"\nstyle = "add"\n[texts]\na = "b"'


TARGETS = (
    Target("grammar files", 20_000, state_grammar, lambda: _seeds(GRAMMARS)),
    Target("messages of a language", 8_000, state_messages, lambda: _seeds(CATALOGUES)),
    Target("tape certificates", 200_000, state_certificate, lambda: _seeds(CERTIFICATES)),
    Target("segment logs", 10_000, read_log, lambda: _seeds(SEGMENTS)),
)
