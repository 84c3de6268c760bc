"""A blind check: who reads the check has neither heard nor seen the take (common practice)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from calllog.live import Settings
from calllog.pairing import EDITION
from calllog.panel.worded import lines_of
from calllog.phone.shown import shown
from calllog.readback import Tone
from calllog.session import Job
from calllog.spoken import Grammar, Parser
from calllog.wording import ENGLISH
from tests.crew import settings
from tests.rig import Rig, Screen

TAKE = (("fifteen", 1), ("forty two", 0), ("switch ends", 0))
FIGURES = ("15", "42", "fifteen", "forty two")


@pytest.fixture
def rig(tmp_path: Path, grammar: Grammar, parser: Parser) -> Iterator[Rig]:
    """A crew whose checks are blind."""
    with Job.open(tmp_path / "job") as job:
        blind = Settings(is_blind=True)
        rules = settings(pairing=EDITION)
        yield Rig(job, grammar, parser, settings=blind, rules=rules, is_live=True, knows_tape=True)


def seen(screen: Screen) -> str:
    """All that the screen shows of a pull."""
    view, happened = screen.views[-1], screen.facts[-1].happened
    calls = [text for each in view.calls for text in (each.words, each.figures)]
    told = [line for each in happened for line in lines_of(each, ENGLISH)]
    lines = [line.partition(" s ")[2] for line in told]
    return " ".join((str(view.take), str(view.check), view.verdict, view.expected, *calls, *lines))


def test_nothing_is_heard_or_seen_before_the_check_is_in(rig: Rig) -> None:
    """A tone for each call; then take and check are read, and shown."""
    for words, channel in (*TAKE, ("fifteen", 0)):
        rig.say(words, channel)
        rig.hear(3.0)
    assert [tone for tone in rig.tones if tone] == [Tone.HEARD] * 4
    assert rig.said == ["switch ends"]
    view = rig.screen.views[-1]
    assert not [each for each in FIGURES if each in seen(rig.screen)]
    page = shown(view, rig.job.replay)
    assert not [each for each in FIGURES if each in str((page.take, page.check, page.calls))]
    rig.say("forty two", 1)
    assert (
        rig.said[-1]
        == "first fifteen forty two, check fifteen forty two. pull one, fifteen forty two"
    )
    assert "15.42" in rig.screen.views[-1].verdict
    assert "forty two" in seen(rig.screen)


def test_stop_of_a_blind_check_reads_both(rig: Rig) -> None:
    """Both are in: what differs is heard and seen."""
    for words, channel in (*TAKE, ("sixteen", 0), ("forty two", 1)):
        rig.say(words, channel)
    assert rig.said[-1] == "stop, one foot. first fifteen forty two, check sixteen forty two"
    assert rig.screen.views[-1].take.length == "15.42"


def test_scratched_call_is_not_said(rig: Rig) -> None:
    """That it is struck is said, not what it was."""
    rig.say("fifteen", 1)
    rig.say("strike that", 1)
    assert rig.said == ["struck that"]
    assert "fifteen" not in seen(rig.screen)


def test_enter_gives_nothing_away(rig: Rig) -> None:
    """The last thing said again is its tone."""
    rig.say("fifteen", 1)
    rig.type("\n")
    assert rig.said == []
