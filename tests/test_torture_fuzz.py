"""Each way into the program works or gives its declared error; what a fuzzer found stays found."""

from __future__ import annotations

import io
import json
import struct
import subprocess
from collections.abc import Callable, Sequence
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import JsonValue

from calllog.audio import Recording
from calllog.commands.stated import support_spans
from calllog.errors import AudioError, CalllogError, ConfigError, GrammarError, JournalError
from calllog.journal import Journal
from calllog.journal.entry import seal
from calllog.office import summarise
from calllog.office.weighed import weigh_pull
from calllog.pairing.diagnosis import diagnose
from calllog.resources import grammar_text
from calllog.session import Job, replay
from calllog.session.reread import grammar_of
from calllog.spoken import Meaning, Parser, load_grammar
from calllog.tape import load_certificate
from calllog.units import parse_slope_rad
from calllog.values import Expectation, Kind, Message
from calllog.wording import Words
from tests.catalogues import messages_in
from tests.crew import settings as line
from tests.tapes import METRIC
from tests.torture.fuzz import __main__ as fuzzing
from tests.torture.fuzz import page
from tests.torture.fuzz.target import Draw, Target
from tests.torture.fuzz.targets import TARGETS

SLOW = {
    "any option of any command": 60,
    "bytes of a database": 40,
    "messages of a language": 15,
    "grammar files": 60,
    "options of a length": 60,
}
"""Fewer examples for what takes long."""


def _edited(seed: bytes, edits: list[tuple[int, int, bytes]]) -> bytes:
    for at, length, piece in edits:
        place = at % (len(seed) + 1)
        seed = seed[:place] + piece + seed[place + length :]
    return seed


@pytest.mark.parametrize("target", TARGETS, ids=lambda each: each.name)
def test_whatever_comes_in_works_or_is_refused(target: Target) -> None:
    """Cases made of such as work give a value or the declared error, never anything else."""
    edits = st.lists(
        st.tuples(st.integers(0, 255), st.integers(0, 4), st.binary(max_size=6)), max_size=6
    )
    seeds = list(target.seeds())
    cases = st.one_of(
        st.binary(max_size=target.longest), st.builds(_edited, st.sampled_from(seeds), edits)
    )

    @settings(
        max_examples=SLOW.get(target.name, 80),
        deadline=None,
        database=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    @given(cases)
    def attempt(case: bytes) -> None:
        target.attempt(case)

    attempt()


def test_draw_gives_zeros_when_it_is_used_up() -> None:
    """A short case is a case: what it does not say is the first of each choice."""
    draw = Draw(b"\x02\x01\x00")
    assert (draw.one_of("abc"), draw.number(2), bool(draw)) == ("c", 256, False)
    assert (draw.one_of("abc"), draw.number(), draw.text()) == ("a", 0, "")


def _wav(**changes: int) -> bytes:
    memory = io.BytesIO()
    soundfile.write(memory, np.zeros(800), 16_000, format="WAV", subtype="PCM_16")
    content = bytearray(memory.getvalue())
    content[24:28] = struct.pack("<I", changes["rate_hz"])
    return bytes(content)


def test_rate_that_no_recorder_has_is_refused(tmp_path: Path) -> None:
    """A damaged header that states 2 GHz made blocks of 4 GB; now it is told at once."""
    path = tmp_path / "a.wav"
    path.write_bytes(_wav(rate_hz=2**31 - 1))
    with pytest.raises(AudioError, match="2147483647 Hz, as its header says"):
        Recording(path)
    path.write_bytes(_wav(rate_hz=768_000))
    assert sum(map(len, Recording(path).blocks())) > 0


def test_samples_far_beyond_full_scale_are_refused(tmp_path: Path) -> None:
    """Floats near the greatest there are overflowed in the resampler and came out as no numbers."""
    loud = np.full((8_000, 1), 3e38, np.float32)
    soundfile.write(tmp_path / "loud.wav", loud, 44_100, subtype="FLOAT")
    with pytest.raises(AudioError, match="no numbers"):
        list(Recording(tmp_path / "loud.wav").blocks())


DIGITS = "9" * 5_000


@pytest.mark.parametrize(
    ("read", "error"),
    [
        (lambda: load_grammar(f"name = {DIGITS}"), GrammarError),
        (lambda: load_grammar("name = " + "[" * 5_000), GrammarError),
        (lambda: support_spans(DIGITS), ConfigError),
        (lambda: parse_slope_rad(f"{'9' * 60} in 1"), ConfigError),
        (lambda: parse_slope_rad(f"{'9' * 60}%"), ConfigError),
        *(
            (
                lambda length=length: load_certificate(
                    METRIC.replace("certified_length_m = 30.0", f"certified_length_m = {length}"),
                    "M-1",
                ),
                ConfigError,
            )
            for length in ("1.7e308", f"0x{'f' * 4_000}")
        ),
    ],
)
def test_numbers_and_brackets_without_end_are_refused(
    read: Callable[[], object], error: type[CalllogError]
) -> None:
    """Endless digits, brackets and greatness are told as any other fault of a file or a value."""
    with pytest.raises(error):
        read()


def test_catalogue_with_something_else_in_it_is_refused() -> None:
    """What is no message is named when the catalogue is looked through."""
    with pytest.raises(ValueError, match=r"no message: pull \{pull\}"):
        messages_in("pull {pull}\n")


def test_fact_may_have_any_name() -> None:
    """A fact called like an argument of the program is told as any other."""
    words = Words("xx", lambda: "of = { $template }: { $self }\n")
    assert words.say(Message(code="of", facts={"self": 3, "template": 9})) == "9: 3"


KEPT: tuple[tuple[str, dict[str, object]], ...] = (
    ("clock", {"code": "clock-back"}),
    ("day", {"stated": True}),
    ("day", {"date": "yesterday"}),
    ("recording", {"name": "a.flac"}),
    ("engine", {"grammar": "en-us-feet"}),
    ("engine", {"identity": "x", "grammar": 7}),
    ("sitting", {"grammar": ["x"]}),
    ("phone_paired", {"name": "A"}),
    ("phone_revoked", {}),
    ("phone_asked", {"name": "A"}),
    ("call", {"value": 10**90}),
)


@pytest.mark.parametrize(("kind", "content"), KEPT)
def test_entry_that_lacks_what_it_must_say_is_named(
    kind: str, content: dict[str, object], tmp_path: Path
) -> None:
    """A journal of a stranger, every hash right, ends with the entry's number, not with a fault."""
    entry = seal(kind, content, time_utc="2131-05-04T12:00:00Z", monotonic_s=0.0, after=None)  # type: ignore[arg-type]
    with pytest.raises(JournalError, match=f"entry 1 is no {kind}"):
        replay([entry])
    with Journal.create(tmp_path / "job") as journal:
        journal.append(kind, content, time_utc=entry.time_utc, monotonic_s=0.0)  # type: ignore[arg-type]
    for use in (lambda: weigh_pull(tmp_path / "job", 1), lambda: Job.open(tmp_path / "job")):
        with pytest.raises(JournalError, match=f"entry 1 is no {kind}"):
            use()
    if kind in ("engine", "sitting"):
        with pytest.raises(JournalError, match=f"entry 1 is no {kind}"):
            grammar_of(tmp_path / "job")


def test_line_on_a_tape_without_its_certificate_is_named(tmp_path: Path) -> None:
    """A job whose certificate is gone, nothing booked yet, ended with a fault in every report."""
    settings_of_line = line().model_dump(mode="json")
    with Journal.create(tmp_path / "job") as journal:
        begun: tuple[tuple[str, JsonValue], ...] = (
            ("opened", {"calllog": "1"}),
            ("line", settings_of_line),
        )
        for kind, content in begun:
            journal.append(kind, content, time_utc="2131-05-04T12:00:00Z", monotonic_s=0.0)
    with pytest.raises(JournalError, match="certificate of tape T-1 is not in this job"):
        summarise(tmp_path / "job")


def test_lengths_of_more_digits_are_diagnosed_too() -> None:
    """1000.00 beside 999.99 has a digit more; comparing them digit by digit was a fault."""
    assert diagnose(100_000, 99_999, 100_000)
    assert diagnose(100_600, 100_900, 100_000) == diagnose(1_600, 1_900, 10_000)


def test_bare_number_beyond_the_tape_is_hundredths() -> None:
    """On a 50 ft tape "seventy" is no foot; from an unknown voice it was taken as the mark 70."""
    parser = Parser(load_grammar(grammar_text()[0]))
    assert parser.parse("seventy", Expectation.ANY, 5_000) == Meaning(Kind.FRACTION, 70)
    assert parser.parse("fifty", Expectation.ANY, 5_000) == Meaning(Kind.NUMBER, 50)


def test_phone_that_hangs_up_in_the_middle_is_no_fault() -> None:
    """An order that breaks off leaves nothing behind, and no error in the page's process."""
    head, line = len(page.LINES), page.LINES.index(b"POST /api/order HTTP/1.1\r\n")
    page.connect(bytes((1, line, head, head + 1, head + 2, head + 3, head + 4, head + 6, 41)))


def test_a_target_that_came_to_its_end_is_not_fuzzed_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As often as was asked; one that was broken off, had a fault or is asked more of, is."""
    begun: list[str] = []
    failed: dict[str, int] | None = None

    def fuzzed(command: Sequence[str], **_: object) -> SimpleNamespace:
        cases, folder = map(str, command[-2:])
        begun.append(cases)
        if failed is not None:
            counted = {"tried": int(cases), "failed": failed}
            (Path(folder) / "result.json").write_text(json.dumps(counted), "utf-8")
        return SimpleNamespace(returncode=9)

    monkeypatch.setattr(fuzzing, "FOLDER", tmp_path)
    monkeypatch.setattr(subprocess, "run", fuzzed)
    assert "ended with 9" in fuzzing.fuzz(TARGETS[0], 10).note
    failed = {"ValueError in x.py line 1": 2}
    found = fuzzing.fuzz(TARGETS[0], 10)
    assert (found.tried, found.survived, found.note) == (10, 8, "ValueError in x.py line 1: 2")
    failed = {}
    sound = [fuzzing.fuzz(TARGETS[0], cases) for cases in (10, 10, 20)]
    assert begun == ["10", "10", "10", "20"]
    assert [(each.tried, each.survived) for each in sound] == [(10, 10), (10, 10), (20, 20)]
