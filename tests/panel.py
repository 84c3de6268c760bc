"""A crew's words become a job's replay, a view and a page: what the tests of the panel look at."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import Any

from rich.console import Console

from calllog.panel import MicrophoneState, View, ViewText, say_view, view_of
from calllog.panel.draw import PanelDrawing
from calllog.panel.view import KEYS
from calllog.resources import read_grammar
from calllog.session import Replay
from calllog.spoken import Parser
from calllog.values import Conditions, LineSettings, message
from calllog.wording import ENGLISH, Words
from tests.crew import Crew, settings

GRAMMAR = read_grammar()
PARSER = Parser(GRAMMAR)
CONDITIONS = Conditions(temperature_degf=41.0, tension_lb=20.0, spans=1, position="waist")
AGREED = (
    "r: thirty three",
    "h: eighty seven",
    "h: switch ends",
    "h: thirty three",
    "r: eighty seven",
)
STOPPED = (*AGREED[:3], "h: thirty two", "r: eighty seven")
MICROPHONES = (
    MicrophoneState("head", -23.0, -52.0),
    MicrophoneState(
        "rear", -3.0, -31.0, (message("as-told", words="clipping: hold it further away"),)
    ),
)


def replayed(*said: str, line: LineSettings | None = None) -> Replay:
    """Feed what a crew says to a job's replay."""
    crew = Crew(PARSER, line=line or settings())
    crew.say(*said)
    job = Replay()
    job.begin_line(crew.line)
    job.record(CONDITIONS)
    for call in crew.heard:
        job.record(call)
    return job


def seen(
    *said: str,
    line: LineSettings | None = None,
    microphones: tuple[MicrophoneState, ...] = (),
    typed: str = "",
    notices: tuple[str, ...] = (),
) -> ViewText:
    """See the job after a crew has said something, in words."""
    told = tuple(message("as-told", words=each) for each in notices)
    view = view_after(*said, line=line, microphones=microphones, typed=typed, notices=told)
    return say_view(view, ENGLISH)


def view_after(*said: str, line: LineSettings | None = None, **how: Any) -> View:  # noqa: ANN401
    """See the job after a crew has said something, as facts."""
    return view_of(replayed(*said, line=line), GRAMMAR.commands, **how)


def text_of(
    replay: Replay,
    keys: Mapping[str, str] = KEYS,
    *,
    commands: Mapping[str, Sequence[str]] = GRAMMAR.commands,
    words: Words = ENGLISH,
    **how: Any,  # noqa: ANN401 - what a view is made of besides
) -> ViewText:
    """See a job as it stands, in words."""
    return say_view(view_of(replay, commands, keys, **how), words)


def page(view: ViewText, width: int = 80, height: int = 24, encoding: str = "utf-8") -> list[str]:
    """Draw a view as a terminal of a size shows it, without style."""
    file = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    console = Console(
        file=file, width=width, height=height, force_terminal=True, color_system=None, record=True
    )
    console.print(PanelDrawing(view), end="")
    file.flush()
    return console.export_text().split("\n")
