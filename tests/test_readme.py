"""The README cannot lie: every command that it shows is run, and what it names is there."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

from calllog.cli import app
from calllog.commands.told import CAUTION
from calllog.resources import DEFAULT_GRAMMAR, read_grammar
from calllog.spoken import Meaning, Parser
from calllog.values import Expectation
from tests.commanding import run
from tests.demo.cuts import AGREED_S, DIFFERS_S, STATED_S, cut
from tests.demo.made import DEMO, made_demo, run_apart
from tests.terminal import Terminal, wait_for
from tests.virtual import HAS_PULSEAUDIO, VirtualSound

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
BLOCKS = re.findall(r"^```\n(.*?)^```", README, re.DOTALL | re.MULTILINE)
COMMANDS = [line for block in BLOCKS for line in block.splitlines() if line.startswith("calllog ")]
TARGETS = set(re.findall(r"`?make ([a-z]+)`?", README)) | {
    line.split()[1] for block in BLOCKS for line in block.splitlines() if line.startswith("make ")
}


def is_live(line: str) -> bool:
    """Tell whether a command works until it is ended."""
    return line.split()[1] == "listen" and "--from" not in line


@pytest.mark.slow
@pytest.mark.skipif(not HAS_PULSEAUDIO, reason="needs PulseAudio and its tools")
@pytest.mark.parametrize("line", [line for line in COMMANDS if is_live(line)])
def test_live_command_shown_runs(line: str, sound: VirtualSound, tmp_path: Path) -> None:
    """It shows its screen with the caution, and ends by Ctrl-C."""
    (tmp_path / "calllog").symlink_to(ROOT / "calllog")
    environment = {**sound.env, "PYTHONPATH": str(ROOT)}
    live = Terminal(environment, *shlex.split(line)[1:], cwd=tmp_path)
    try:
        _, _, named = line.partition("--grammar ")
        words = read_grammar(named.split()[0] if named else DEFAULT_GRAMMAR).words
        wait_for(lambda: words("screen-label-next").encode() in live.seen, live)
        assert words(CAUTION)[:40].encode() in live.seen
        assert live.end() == 0
        assert words("log-goes-on").encode() in live.seen
    finally:
        live.close()


OF_ITS_OWN = frozenset("hear doctor page verify --version".split())
"""Commands that are run as processes of their own, as the demo is; the others in this one."""
MADE_SHORTER = {
    "spring-to-oak": (STATED_S, *AGREED_S, DIFFERS_S),
    "oak-to-mill": (STATED_S, (13.5, 23.0)),
}
"""What is left of recordings that are heard again, to be quicker; the demo hears all of them."""


@pytest.mark.slow
def test_every_command_shown_runs(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """In order, beside the files that the README names; none may fail, the run is real."""
    (tmp_path / "tests").symlink_to(ROOT / "tests")
    (tmp_path / "calllog/demo/recordings").mkdir(parents=True)
    for name in ("tapes", "recertified", "about.toml"):
        (tmp_path / "calllog/demo" / name).symlink_to(ROOT / "calllog/demo" / name)
    for name, spans_s in MADE_SHORTER.items():
        recording = Path("calllog/demo/recordings") / f"{name}.flac"
        cut(ROOT / recording, tmp_path / recording, *spans_s)
    printed: dict[str, list[str]] = {}
    assert len(COMMANDS) >= 8
    for line in COMMANDS:
        if is_live(line):
            continue
        words = shlex.split(line)[1:]
        if words == [*DEMO]:
            made = made_demo(tmp_path_factory)
            shutil.copytree(made.job, tmp_path / made.job.name)
            done = subprocess.CompletedProcess(words, 0, made.printed, "")
        elif words[0] in OF_ITS_OWN:
            done = run_apart(*words, cwd=tmp_path)
        else:
            done = run(*words, cwd=tmp_path)
        assert done.returncode == 0, f"{line}\n{done.stdout}\n{done.stderr}"
        printed[words[0]] = [" ".join(text.split()) for text in done.stdout.splitlines()]
    for text in BLOCKS[0].splitlines()[1:]:
        assert text == "…" or " ".join(text.split()) in printed["demo"], text
    for file in ("segments.csv", "segments.json", "segments.schema.json"):
        assert (tmp_path / "office" / file).stat().st_size > 0


def test_every_command_is_shown() -> None:
    """No command of the program is missing from the README."""
    shown = {line.split()[1] for line in COMMANDS}
    assert {
        command.callback.__name__ for command in app.registered_commands if command.callback
    } <= shown


def test_what_the_crew_says_is_understood(parser: Parser) -> None:
    """Each phrase quoted for the crew means something to the program, as it is written there."""
    said = README.partition("## What the crew says")[2]
    phrases = re.findall(r'"(?:\*\*)?([^"*]+)(?:\*\*)?"', said)
    assert len(phrases) > 30
    for phrase in phrases:
        words = " ".join(re.findall(r"[a-z']+", phrase.lower()))
        found = [parser.parse(words, expects, 10_000) for expects in Expectation]
        assert any(isinstance(each, Meaning) for each in found), phrase


def test_every_make_target_shown_exists() -> None:
    """`make -n` knows each target that the README names."""
    assert {"demo", "test", "install", "bench"} <= TARGETS
    for target in TARGETS:
        subprocess.run(["make", "-n", target], cwd=ROOT, check=True, capture_output=True)


def test_files_linked_are_there() -> None:
    """Every relative link leads to a file."""
    for link in re.findall(r"\]\((?!http)([^)#]+)\)", README):
        assert (ROOT / link).exists(), link


def test_debian_packages_of_the_makefile_are_named() -> None:
    """Each Debian package that the Makefile installs stands in the README."""
    makefile = (ROOT / "Makefile").read_text("utf-8")
    installed = {
        word for line in re.findall(r"install -y -qq ([^;}\n]+)", makefile) for word in line.split()
    }
    assert installed
    for package in installed:
        assert f"`{package}`" in README, package


def test_job_stands_at_the_very_top_and_cautions_are_given() -> None:
    """The first paragraph says the job; the dangers are named."""
    first = README.split("\n\n")[1]
    assert first.startswith("calllog listens to a two-person taping crew")
    for danger in ("Overhead lines", "Traffic", "ears open", "tension", "Consent", "Boundaries"):
        assert danger in README, danger
