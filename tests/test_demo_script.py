"""The demo's script against the paper crew, and its recordings against their description.

Nothing is decoded here. The expected outcomes in `spoken.json` were reckoned by hand.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import scipy
import soundfile

from calllog.pairing import EDITION, running_on, start
from calllog.spoken import Grammar, Parser, Rejection, words
from calllog.tape import load_certificate, reading_limit
from calllog.values import Conditions, Expectation, Outcome, Segment
from tests.crew import Crew, settings

DEMO = Path(__file__).parent.parent / "calllog" / "demo"
SPOKEN: dict[str, Any] = json.loads((DEMO / "spoken.json").read_text(encoding="utf-8"))
RECORDINGS: list[dict[str, Any]] = SPOKEN["recordings"]
NAMES = [recording["file"] for recording in RECORDINGS]
MOST_BYTES = 5_000_000
each_recording = pytest.mark.parametrize("recording", RECORDINGS, ids=NAMES)


def say_all(parser: Parser) -> list[Crew]:
    """Let a paper crew say the whole day, line after line, as one job."""
    crews: list[Crew] = []
    pull, conditions = 1, Conditions()
    for recording in RECORDINGS:
        path = DEMO / "tapes" / recording["tape"]
        tape = load_certificate(path.read_text(encoding="utf-8"), str(path))
        line = settings(
            tape.style,
            line_from=recording["line_from"],
            line_to=recording["line_to"],
            tape=tape.identity,
            limit=reading_limit(tape),
            pairing=EDITION,
            hold=tape.hold,
        )
        crew = Crew(parser, line, conditions)
        crew.state = start(line, pull, running_on(conditions, line))
        crew.say(*(f"{said['role'][0]}: {said['words']}" for said in recording["utterances"]))
        crews.append(crew)
        pull, conditions = crew.state.pull, crew.state.conditions
    return crews


def outcome(segment: Segment) -> dict[str, object]:
    """Tell of a segment what `spoken.json` tells."""
    return {
        "pull": segment.pull,
        "length_read_ft": segment.length_read_ft,
        "take_ft": segment.take.length / 100,
        "check_ft": segment.check and segment.check.length / 100,
        "booking": segment.booking.value,
        "findings": [finding.code for finding in segment.findings],
        "superseded_ft": [each.length / 100 for each in segment.superseded],
        "temperature_degf": segment.conditions.temperature_degf,
        "tension_lb": segment.conditions.tension_lb,
        "spans": segment.conditions.spans,
        "position": segment.conditions.position,
        "rise_ft": segment.conditions.rise_ft,
    }


def test_script_books_what_was_reckoned(parser: Parser) -> None:
    """Said perfectly, the day gives every pull's length, findings, conditions and struck ones."""
    for crew, recording in zip(say_all(parser), RECORDINGS, strict=True):
        assert [outcome(segment) for segment in crew.segments] == recording["pulls"]
        assert (crew.questions, crew.state.stop) == ([], None)


def test_pulls_are_numbered_through_the_day() -> None:
    """The three lines are one job: pulls 1 to 13, at least 5, 4 and 3 of them."""
    pulls = [[pull["pull"] for pull in recording["pulls"]] for recording in RECORDINGS]
    assert [number for own in pulls for number in own] == list(range(1, 14))
    assert all(len(own) >= least for own, least in zip(pulls, (5, 4, 3), strict=True))


def test_utterances_are_what_they_are_called(parser: Parser) -> None:
    """The paper crew hears each utterance as the kind that `spoken.json` names.

    Which part a bare number states is told by who calls it, not by its words.
    """
    for crew, recording in zip(say_all(parser), RECORDINGS, strict=True):
        named = [said["what"] for said in recording["utterances"]]
        heard = [
            "talk" if call.outcome is Outcome.IGNORED and call.reason else call.kind.value
            for call in crew.heard
        ]
        parts = {"number": ("whole", "fraction")}
        assert len(heard) == len(named)
        assert all(
            name in (kind, *parts.get(kind, ())) for kind, name in zip(heard, named, strict=True)
        )


@each_recording
def test_words_are_in_the_grammar(
    recording: dict[str, Any], grammar: Grammar, parser: Parser
) -> None:
    """All but talk is made of the grammar's words; talk is refused without a question."""
    known = words(grammar)
    for said in recording["utterances"]:
        if said["what"] == "talk":
            found = parser.parse(said["words"], Expectation.ANY, 10_000)
            assert isinstance(found, Rejection)
            assert found.outcome is Outcome.IGNORED
        else:
            assert known.issuperset(said["words"].split()), said["words"]


@each_recording
def test_recording_is_as_described(recording: dict[str, Any]) -> None:
    """Each recording is stereo at 16 kHz and as long as stated, with all speech inside."""
    info = soundfile.info(str(DEMO / "recordings" / recording["file"]))
    assert (info.channels, info.samplerate, info.format) == (2, 16_000, "FLAC")
    assert info.duration == pytest.approx(recording["duration_s"], abs=0.001)
    times = [each for said in recording["utterances"] for each in (said["start_s"], said["end_s"])]
    assert times == sorted(times)
    assert times[0] > 0
    assert times[-1] < recording["duration_s"]


@each_recording
def test_speaker_is_louder_in_the_own_microphone(recording: dict[str, Any]) -> None:
    """Left is the head's microphone and right the rear's: each utterance is louder in its own.

    By 3 dB at least above 300 Hz, where only the strongest gusts reach a voice.
    """
    sound, rate_hz = soundfile.read(DEMO / "recordings" / recording["file"], dtype="float32")
    bright = scipy.signal.sosfilt(
        scipy.signal.butter(4, 300.0, "highpass", fs=rate_hz, output="sos"), sound, axis=0
    )
    for said in recording["utterances"]:
        part = bright[int(said["start_s"] * rate_hz) : int(said["end_s"] * rate_hz)]
        power = (part**2).mean(axis=0)
        own = {"head": 0, "rear": 1}[said["role"]]
        assert own == said["channel"] - 1
        assert power[own] > 2 * power[1 - own], said["words"]


def test_recordings_are_small_and_all_described() -> None:
    """What travels with the program stays under 5 MB, and no recording is left undescribed."""
    files = sorted((DEMO / "recordings").iterdir())
    assert [file.name for file in files] == sorted(NAMES)
    assert sum(file.stat().st_size for file in files) < MOST_BYTES
