"""The README cannot lie: every command that it or the commands' own shows is run."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

from calllog.cli import COMMANDS as NAMES
from calllog.commands.told import CAUTION
from calllog.resources import DEFAULT_GRAMMAR, read_grammar
from calllog.spoken import Meaning, Parser
from calllog.values import Expectation
from tests.commanding import run
from tests.demo.cuts import DIFFERS_S, ONE_PULL_S, cut
from tests.demo.made import DEMO, made_demo, run_apart
from tests.terminal import Terminal, wait_for
from tests.virtual import HAS_PULSEAUDIO, VirtualSound

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
COMMANDS_README = (ROOT / "calllog/commands/README.md").read_text("utf-8")


def blocks_in(paper: str) -> list[str]:
    """Give what stands apart in a paper, as it is typed or printed."""
    return re.findall(r"^```\n(.*?)^```", paper, re.DOTALL | re.MULTILINE)


BLOCKS = blocks_in(README)
COMMANDS = list(
    dict.fromkeys(
        line
        for block in (*blocks_in(COMMANDS_README), *BLOCKS[1:])
        for line in block.splitlines()
        if line.startswith("calllog ")
    )
)
"""Each once: those of the commands' own paper first, since jobs are made there."""
TARGETS = set(re.findall(r"`?make ([a-z]+)`?", README)) | {
    line.split()[1] for block in BLOCKS for line in block.splitlines() if line.startswith("make ")
}


def is_live(line: str) -> bool:
    """Tell whether a command works until it is ended."""
    return line.split()[1] == "listen" and "--from" not in line


OF_ITS_OWN = frozenset(
    next(line for line in COMMANDS if line.split()[1] == name)
    for name in "hear doctor page verify --version".split()
)
"""What is run as a process of its own, as the demo is, one of each kind; the others in this one."""
SHORTER_S = {"spring-to-oak": DIFFERS_S, "oak-to-mill": ONE_PULL_S}
"""What is heard of recordings that the demo hears to their ends."""
DEMO_JOB, HEARD_JOBS = "demo-job", frozenset({"strict", "day-1", "office.key"})
"""What the commands on a job have in common: its name, or that of the key that signs it."""


def printing(*jobs: str) -> list[str]:
    """List the commands shown that come to an end and name one of these, in their order."""
    return [
        line for line in COMMANDS if not is_live(line) and not {*jobs}.isdisjoint(shlex.split(line))
    ]


ON_THE_DEMO, ON_RECORDINGS = printing(DEMO_JOB), printing(*HEARD_JOBS)
ALONE = [
    line for line in COMMANDS if not is_live(line) and line not in {*ON_THE_DEMO, *ON_RECORDINGS}
]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Lay out the files that the README names."""
    (tmp_path / "tests").symlink_to(ROOT / "tests")
    (tmp_path / "calllog/demo/recordings").mkdir(parents=True)
    for name in ("tapes", "recertified", "about.toml"):
        (tmp_path / "calllog/demo" / name).symlink_to(ROOT / "calllog/demo" / name)
    return tmp_path


def run_shown(line: str, folder: Path) -> str:
    """Run a command as it is shown; it must not fail. Give what it prints."""
    done = (run_apart if line in OF_ITS_OWN else run)(*shlex.split(line)[1:], cwd=folder)
    assert done.returncode == 0, f"{line}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.mark.slow
def test_demo_shown_runs_and_so_does_what_is_shown_on_its_job(
    folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """In order; the run that the README shows is real."""
    first, *others = ON_THE_DEMO
    assert shlex.split(first)[1:] == [*DEMO]
    made = made_demo(tmp_path_factory)
    printed = {" ".join(text.split()) for text in made.printed.splitlines()}
    for text in BLOCKS[0].splitlines()[1:]:
        assert text == "…" or " ".join(text.split()) in printed, text
    shutil.copytree(made.job, folder / DEMO_JOB)
    assert others
    for line in others:
        run_shown(line, folder)


@pytest.mark.slow
@pytest.mark.usefixtures("hears_once")
def test_commands_shown_on_recordings_run(folder: Path) -> None:
    """In order: recordings are heard, decided on, checked and given to the office."""
    for name, span_s in SHORTER_S.items():
        recording = Path("calllog/demo/recordings") / f"{name}.flac"
        cut(ROOT / recording, folder / recording, span_s)
    assert len(ON_RECORDINGS) > 8
    for line in ON_RECORDINGS:
        run_shown(line, folder)
    for file in ("segments.csv", "segments.json", "segments.schema.json"):
        assert (folder / "office" / file).stat().st_size > 0


@pytest.mark.slow
@pytest.mark.usefixtures("hears_once")
@pytest.mark.parametrize("line", ALONE)
def test_command_shown_runs(line: str, folder: Path) -> None:
    """A command that needs no job prints something and does not fail."""
    assert run_shown(line, folder)


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


def test_every_command_is_shown() -> None:
    """No command of the program is missing."""
    shown = {line.split()[1] for line in COMMANDS}
    assert {*NAMES} <= shown


def test_what_the_crew_says_is_understood(parser: Parser) -> None:
    """Each phrase quoted for the crew means something to the program, as it is written there."""
    said = README.partition("## What the crew says")[2].partition("\n## ")[0]
    phrases = re.findall(r'"(?:\*\*)?([^"*]+)(?:\*\*)?"', said)
    assert len(phrases) > 25
    for phrase in phrases:
        words = " ".join(re.findall(r"[a-z']+", phrase.lower()))
        found = [parser.parse(words, expects, 10_000) for expects in Expectation]
        assert any(isinstance(each, Meaning) for each in found), phrase


def test_every_make_target_shown_exists() -> None:
    """`make -n` knows each target that the README names."""
    assert {"demo", "test", "install", "bench"} <= TARGETS
    for target in TARGETS:
        subprocess.run(["make", "-n", target], cwd=ROOT, check=True, capture_output=True)


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
    assert first.startswith("Two people stretch a steel tape")
    dangers = ("overhead lines", "lightning", "Traffic", "ears open", "tension", "Consent")
    for danger in (*dangers, "boundary lies"):
        assert danger in README, danger
