"""Shared fixtures: the grammar and its parser; no test may open a socket."""

from __future__ import annotations

import functools
import gc
import os
import shutil
import signal
import socket
import sys
import tempfile
import time
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest
import typer.main
from hypothesis import HealthCheck, settings

from calllog.resources import grammar_text
from calllog.spoken import Grammar, Parser, load_grammar
from calllog.wording import ENGLISH
from tests.demo.made import HEARD, of_the_run
from tests.virtual import VirtualSound, sound_of_crew

DATA = "XDG_DATA_HOME"
"""Names the folder of a user's data (XDG Base Directory Specification)."""


settings.register_profile(
    "half", max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
# Other examples each run; ``--hypothesis-profile=default`` tries twice as many. How long one takes
# is no fault: it is the computer's other work that is slow.
settings.load_profile("half")


def pytest_configure(config: pytest.Config) -> None:
    """Keep away from the user's own data; undo what a background shell or nohup ignores.

    Programs under test inherit all of it. Compiled modules are kept, whatever the user has it:
    compiling calllog anew takes every program that is begun a second.
    """
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    sys.dont_write_bytecode = False
    os.environ["TZ"] = "UTC"  # where the machine stands does not count
    time.tzset()
    os.environ[DATA] = tempfile.mkdtemp(prefix="calllog-data-")
    config.add_cleanup(lambda: shutil.rmtree(os.environ[DATA], ignore_errors=True))
    for number, handler in (
        (signal.SIGINT, signal.default_int_handler),
        (signal.SIGHUP, signal.SIG_DFL),
    ):
        if signal.getsignal(number) is signal.SIG_IGN:
            signal.signal(number, handler)


LONG = (
    *("test_readme", "test_phone_browser", "test_live_echo", "test_field", "test_shipped_models"),
    *("test_stranger_children", "test_bench_crew_day", "test_spoken_exhaustive"),
    *("test_pairing_walks", "test_torture_sound", "test_live_under", "test_cli"),
    *("test_recognise_vosk", "test_torture_crash", "test_page_browser"),
    *("test_stranger_files", "test_audio_endpoint", "test_demo_run", "test_session_live"),
    *("test_wheel", "test_journal_store"),
)
"""Files that take longest, the longest first; those that hear what the demo hears come later."""


LIVE_WITH = frozenset({"sound", "virtual", "chromium"})
"""Fixtures of tests that work in real time; others that do are marked `live`."""
YIELDING = 10
"""How nice the others are."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes minutes, so that no worker is left alone with it at the end."""
    place = {name: number for number, name in enumerate(LONG)}
    items.sort(key=lambda item: place.get(item.path.stem, len(LONG)))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Let those go first that work in real time: the others yield, where they can take it back."""
    is_live = bool(LIVE_WITH & set(getattr(item, "fixturenames", ())))
    is_live = is_live or item.get_closest_marker("live") is not None
    if is_live or os.geteuid() != 0:
        return (yield)
    before = os.getpriority(os.PRIO_PROCESS, 0)
    os.setpriority(os.PRIO_PROCESS, 0, max(before, YIELDING))
    try:
        return (yield)
    finally:
        os.setpriority(os.PRIO_PROCESS, 0, before)


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Spare the collector what stays for good: looking through it took half of some files' time.

    It would look through it while it grows, too, and once more to find what little may go.
    """
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


@pytest.fixture(autouse=True)
def _no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """Refuse every connection: nothing that calllog does may need a network."""

    def refuse(*_: object) -> None:
        message = "a test reached for the network"
        raise AssertionError(message)

    monkeypatch.setattr(socket.socket, "connect", refuse)


@pytest.fixture(autouse=True)
def _every_rig_is_alike() -> Iterator[None]:
    """After each scenario of the field rig the job at work equals the replay of its journal."""
    yield
    if (rig := sys.modules.get("tests.rig")) is not None:
        made, rig.RIGS[:] = tuple(rig.RIGS), ()
        for each in made:
            each.assert_alike()


@pytest.fixture(autouse=True)
def _nobody_is_at_work() -> Iterator[None]:
    """A crew's language ends with the test that worked in it."""
    yield
    if (terminal := sys.modules.get("calllog.commands.terminal")) is not None:
        terminal.work_in("")


@pytest.fixture(scope="session", autouse=True)
def _options_are_read_once() -> Iterator[None]:
    """Reading the options of all commands takes longer than most commands; they stay the same."""
    once = functools.cache(typer.main.get_command)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("typer.main.get_command", once)
        patch.setattr("typer.testing._get_command", once)
        yield


@pytest.fixture(scope="session", autouse=True)
def _state_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep what outlives the program out of the folder of who runs the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        yield


@pytest.fixture(scope="session")
def heard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make the folder of what listeners answered in this run."""
    return of_the_run(tmp_path_factory, HEARD)


@pytest.fixture
def hears_once(heard: Path) -> Iterator[None]:
    """Let commands that hear look first for what was heard before in this run."""
    from tests.heard_once import hearing_once  # noqa: PLC0415 - loads all of the program

    with hearing_once(heard):
        yield


@pytest.fixture(scope="session")
def grammar() -> Grammar:
    """Load the shipped grammar."""
    text, path = grammar_text()
    return load_grammar(text, str(path), ENGLISH)


@pytest.fixture(scope="session")
def parser(grammar: Grammar) -> Parser:
    """Build the parser of the shipped grammar."""
    return Parser(grammar)


@pytest.fixture
def sound() -> Iterator[VirtualSound]:
    """Make a virtual microphone for the crew, and a loudspeaker that it does not hear."""
    with sound_of_crew() as made:
        yield made
