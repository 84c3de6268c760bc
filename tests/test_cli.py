"""The commands as their user runs them: what they print, write, and which exit code they give."""

from __future__ import annotations

import importlib.metadata
import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from calllog import cli
from calllog.cli import COMMANDS, main
from calllog.demo import load_day
from calllog.office import summarise
from calllog.office.summary import verify_job
from tests.demo.cuts import AGREED_S, DIFFERS_ALONE_S, TWO_PULLS_S, cut

TAPES = Path(cli.__file__).parent / "demo" / "tapes"
CLIPS = Path(__file__).parent / "audio"
FIFTEEN = CLIPS / "flite-slt" / "fifteen.flac"
Run = Callable[..., tuple[int, str, str]]
pytestmark = pytest.mark.usefixtures("hears_once")


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in this process; give exit code, output and errors."""

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["calllog", *map(str, words)])
        code = 0
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return command


def test_every_command_has_help_with_an_example(run: Run) -> None:
    """Each command's help is a sentence and a command that can be pasted."""
    for name in COMMANDS:
        code, out, _ = run(name, "--help")
        assert code == 0
        assert f"Example: calllog {name}" in " ".join(out.split()), name


@pytest.mark.parametrize(
    ("asked", "meant"),
    [
        (["-h"], ["--help"]),
        (["help"], ["--help"]),
        (["report", "-h"], ["report", "--help"]),
        (["help", "report"], ["report", "--help"]),
        (["help", "reckon", "lot"], ["reckon", "lot", "--help"]),
    ],
)
def test_help_is_given_as_people_ask_for_it(run: Run, asked: list[str], meant: list[str]) -> None:
    """By -h, and by the word before the command."""
    found = run(*asked)
    assert found == run(*meant)
    assert found[0] == 0


@pytest.mark.parametrize(
    ("words", "which"),
    [
        (("report", ""), "'JOB'"),
        (("extract", "day-1", ""), "'JOB...'"),
        (("rescue", "day-1", "--out", ""), "'--out'"),
        (("reckon", "parts", "A:B", "--whole", "1ft", "--job", ""), "'--job'"),
    ],
)
def test_empty_path_is_refused(run: Run, words: tuple[str, ...], which: str) -> None:
    """As "$JOB" is where that was not set; it would be the folder the user happens to be in."""
    code, _, err = run(*words)
    assert (code, err.startswith(f"error: {which}: the path is empty; name it")) == (1, True)


def test_path_that_is_left_out_is_not_empty(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The card has a name of its own."""
    monkeypatch.chdir(tmp_path)
    assert run("card")[0] == 0
    assert (tmp_path / "card.html").is_file()


def test_version_prints_what_a_fault_report_needs(run: Run) -> None:
    """Versions of the program, its engine and Python."""
    code, out, _ = run("--version")
    assert code == 0
    assert re.search(r"calllog \d.*vosk \d.*python 3", out, re.DOTALL)


def test_version_is_told_where_a_package_has_no_file(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As Vosk has none for macOS: that it is not there belongs into a fault report too."""

    def version(name: str) -> str:
        if name == "vosk":
            raise importlib.metadata.PackageNotFoundError(name)
        return "1.0"

    monkeypatch.setattr(importlib.metadata, "version", version)
    code, out, _ = run("--version")
    assert code == 0
    assert "vosk -\n" in out


def test_wrong_option_is_a_usage_error(run: Run) -> None:
    """Exit code 2 for what cannot be parsed."""
    code, _, err = run("report", "--no-such-option")
    assert code == 2
    assert "no-such-option" in err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("convert", "5 ft", "--to", "m", "--foot", "survey"), "'survey' is not one of"),
        (("layout", "--tape", "t", "--length", "5ft", "--date", "soon"), "'soon' is no day; state"),
        (("decide", "job", "first", "7"), "Invalid value for 'PULL': a whole number is wanted"),
        (("reckon", "parts", "1ft", "--whole", "1ft", "--foot", "us"), "'us' is not one of"),
    ],
)
def test_option_that_cannot_be_used_is_told_in_plain_words(
    run: Run, words: tuple[str, ...], says: str
) -> None:
    """Not in those of the library that reads it."""
    code, _, err = run(*words)
    assert code == 2
    assert says in " ".join(err.replace("\u2502", " ").split())
    assert "Value error" not in err
    assert "%Y" not in err


def test_every_command_stands_under_one_heading(run: Run) -> None:
    """In the order of the work, as in the commands' own paper."""
    named = [name for names in cli.PANELS.values() for name in names.split()]
    assert sorted(named) == sorted([*COMMANDS, *cli.GROUPS])
    code, said, _ = run("--help")
    places = [said.index(f" {title} ") for title in cli.PANELS]
    assert (code, places) == (0, sorted(places))


def test_fault_of_ours_exits_with_three(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """An unforeseen exception is told apart from an expected error and prints its trace."""

    def broken(_: Path) -> None:
        raise RuntimeError

    monkeypatch.setattr("calllog.commands.report.summarise", broken)
    code, _, err = run("report", "nowhere")
    assert code == 3
    assert "fault of calllog" in err
    assert "RuntimeError" in err


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
def test_full_disk_under_what_is_printed_is_no_fault_of_ours() -> None:
    """Somebody writes an answer to a stick that is full: one sentence, and exit 1."""
    words = (sys.executable, "-m", "calllog.cli", "convert", "12 ch", "--to", "m")
    with Path("/dev/full").open("w") as full:
        for more in ((), ("--json",)):
            done = subprocess.run(
                [*words, *more], stdout=full, stderr=subprocess.PIPE, text=True, check=False
            )
            assert done.returncode == 1
            assert done.stderr.startswith("error: standard output: what is printed cannot be")
            assert len(done.stderr.splitlines()) == 1


def test_interrupt_exits_with_130(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped by the user."""

    def stopped(_: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("calllog.commands.report.summarise", stopped)
    assert run("report", "nowhere")[0] == 130


@pytest.mark.parametrize("command", ["report", "verify"])
def test_folder_that_is_no_job_is_refused(run: Run, tmp_path: Path, command: str) -> None:
    """What, where, what next; and nothing is created."""
    code, _, err = run(command, tmp_path)
    assert code == 1
    assert str(tmp_path) in err.replace("\n", "")
    assert list(tmp_path.iterdir()) == []


def test_decide_needs_a_job(run: Run, tmp_path: Path) -> None:
    """A decision never makes a job."""
    assert run("decide", tmp_path / "none", 1, "first")[0] == 1
    assert not (tmp_path / "none").exists()


@pytest.mark.slow
def test_hear_gives_one_json_line_a_file(run: Run, tmp_path: Path) -> None:
    """A call, talk, silence and a file that is no sound: a line for each that is sound, exit 1."""
    silence, text = tmp_path / "silence.wav", tmp_path / "text.wav"
    soundfile.write(silence, np.zeros(32_000), 16_000)
    text.write_text("no sound at all")
    code, out, err = run("hear", "--json", "--expects", "whole", FIFTEEN, silence, text)
    first, second = (json.loads(line) for line in out.splitlines())
    assert code == 1
    assert (first["kind"], first["value"], first["outcome"]) == ("whole", "15", "call")
    assert first["file"] == str(FIFTEEN)
    assert first["alternatives"][0]["text"] == first["text"] == "fifteen"
    assert 0 < first["probability"] <= 1
    assert (second["text"], second["value"], second["outcome"]) == ("", None, "ignored")
    assert "text.wav" in err


@pytest.mark.slow
@pytest.mark.parametrize(
    ("expects", "clip", "value"),
    [
        ("whole", "flite-rms/one_hundred", "100"),
        ("fraction", "flite-rms/forty_two", "0.42"),
        ("reading", "flite-rms/fifteen_forty_two", "15.42"),
        ("any", "flite-kal16/fifteen", "15"),
    ],
)
def test_hear_writes_values_by_their_kind(run: Run, expects: str, clip: str, value: str) -> None:
    """Feet as 15, hundredths as 0.42, a reading as 15.42."""
    code, out, _ = run("hear", "--json", "--expects", expects, CLIPS / f"{clip}.flac")
    assert code == 0
    assert json.loads(out)["value"] == value


@pytest.mark.slow
def test_hear_keeps_a_near_miss_with_its_reason(run: Run) -> None:
    """A mark beyond the tape is heard, refused and explained."""
    clip = CLIPS / "flite-rms" / "one_hundred.flac"
    _, out, _ = run("hear", "--expects", "whole", "--tape-ft", 50, clip)
    assert "ask: one hundred is beyond this 50 ft tape" in out


LISTEN = ("--tape", TAPES / "add-100.toml", "--line", "Spring:Oak")


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--from", "none.flac", *LISTEN), "none.flac"),
        (("--from", FIFTEEN, *LISTEN, "--channels", "left,right"), "does not say who wears"),
        (("--from", FIFTEEN, "--tape", "none.toml", "--line", "A:B"), "certificate cannot be read"),
        (("--from", FIFTEEN, "--tape", FIFTEEN, "--line", "A:B"), "certificate cannot be read"),
        (("--from", FIFTEEN, "--tape", TAPES / "add-100.toml", "--line", "A-B"), "names no line"),
        (("--from", FIFTEEN, "--tape", TAPES / "add-100.toml", "--line", "A:A"), "names no line"),
        (("--from", FIFTEEN, *LISTEN, "--engine", "vosk"), "models/README.md"),
        (
            ("--from", FIFTEEN, *LISTEN, "--model", "none"),
            "none: there is no encoder model here",
        ),
        (("--from", FIFTEEN, *LISTEN, "--support", "rope"), "'rope' is no support"),
        (("--from", FIFTEEN, *LISTEN, "--tension", "0lb"), "'0lb' is no tension"),
        (("--from", FIFTEEN, *LISTEN, "--tension", "20"), "there is no unit"),
        (("--from", FIFTEEN, *LISTEN, "--temperature", "41"), "there is no unit"),
        (("--from", FIFTEEN, *LISTEN, "--rise", "1"), "1 has no unit"),
        (("--from", FIFTEEN, *LISTEN, "--tolerance", "0.005ft"), "is no tolerance"),
        (
            ("--from", FIFTEEN, *LISTEN, "--channels", "head,rear"),
            "1 channels, but --channels names 2",
        ),
    ],
)
def test_listen_refuses_what_cannot_be(
    run: Run, tmp_path: Path, options: tuple[object, ...], message: str
) -> None:
    """Each wrong option is an expected error that names itself; no call is lost or made up."""
    code, _, err = run("listen", tmp_path / "job", *options)
    assert code == 1
    assert message in " ".join(err.split())


def test_certificate_with_a_negative_weight_is_refused(run: Run, tmp_path: Path) -> None:
    """The office learns which entry is wrong and what to write."""
    good = (TAPES / "add-100.toml").read_text("utf-8")
    bad = tmp_path / "tape.toml"
    bad.write_text(re.sub(r"weight_lb_per_ft = ", "weight_lb_per_ft = -", good), "utf-8")
    code, _, err = run(
        "listen", tmp_path / "job", "--from", FIFTEEN, "--tape", bad, "--line", "A:B"
    )
    assert code == 1
    assert re.search(r"tape\.toml.*weight_lb_per_ft: -0\.\d+ is no weight", err, re.DOTALL)
    assert not (tmp_path / "job").exists()


def test_certificate_is_judged_by_the_day_of_the_recording(run: Run, tmp_path: Path) -> None:
    """A tape out of date is warned of, on the day stated; a wrong day is a usage error."""
    tape = tmp_path / "tape.toml"
    good = (TAPES / "add-100.toml").read_text("utf-8")
    tape.write_text(f"{good}valid_until = 2131-05-04\n", "utf-8")
    options = ("--from", FIFTEEN, "--tape", tape, "--line", "Spring:Oak", "--channels", "left")
    _, _, err = run("listen", tmp_path / "job", *options, "--date", "2131-05-04")
    assert "look again" not in err
    _, _, err = run("listen", tmp_path / "job", *options, "--date", "2131-05-06")
    assert f"look again: {tape}: valid_until: 2131-05-04" in err.replace("\n", "")
    assert run("listen", tmp_path / "job", *options, "--date", "6 May")[0] == 2


@pytest.mark.slow
def test_one_microphone_is_listened_to(run: Run, tmp_path: Path) -> None:
    """A mono recording needs no roles; without clips no sound is kept."""
    job = tmp_path / "job"
    options = (
        "--from",
        FIFTEEN,
        *LISTEN,
        "--channels",
        "unsaid",
        "--no-clips",
        "--temperature",
        "5C",
        "--tension",
        "20lb",
    )
    code, out, _ = run("listen", job, *options, "--support", "ends", "--rise", "1ft")
    assert code == 0
    assert "0 pulls recorded; pull 1 waits for the hundredths of the first." in out
    assert not list((job / "audio").iterdir())
    assert run("report", job)[0] == 0


@pytest.mark.slow
def test_stop_is_decided_and_the_held_calls_follow(run: Run, tmp_path: Path) -> None:
    """A line in which 0.01 does not agree stops; the decision books it and lets the rest follow."""
    line = load_day().lines[0]
    job = tmp_path / "job"
    said = cut(line.recording, tmp_path / "said.wav", DIFFERS_ALONE_S, AGREED_S)
    options = ("--from", said, "--tape", line.tape, "--line", line.name)
    code, out, _ = run("listen", job, *options, "--tolerance", "0ft")
    assert code == 0
    pull = int(re.search(r"pull (\d+) waits for a decision", out).group(1))  # type: ignore[union-attr]
    assert f"calllog decide {job} {pull} CHOICE, which is first, check or again" in out
    assert run("decide", job, pull + 1, "first")[0] == 1
    code, out, _ = run("decide", job, pull, "first", "--by", "the chief")
    assert code == 0
    assert f"pull {pull} recorded" in out
    assert f"pull {pull + 1} recorded" in out
    assert run("verify", job)[0] == 0


@pytest.mark.slow
def test_killed_at_any_moment_goes_on_where_it_stopped(tmp_path: Path, heard: Path) -> None:
    """Killed while listening: what was printed is in the job, and the rest follows afterwards."""
    line = load_day().lines[0]
    job = tmp_path / "job"
    said = cut(line.recording, tmp_path / "said.wav", TWO_PULLS_S)
    command = [sys.executable, "-m", "tests.heard_once", str(heard), "once"]
    command += ["listen", str(job), "--from", str(said)]
    command += ["--tape", str(line.tape), "--line", line.name]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        printed = 0
        for text in process.stdout:
            printed += bool(re.match(r" +[\d.]+ s ", text))
            if printed == 6:
                process.kill()
                break
    before = summarise(job).replay.calls
    assert len(before) >= 6
    assert verify_job(job).ok
    subprocess.run(command, check=True, capture_output=True)
    after = summarise(job).replay
    assert after.calls[: len(before)] == before
    assert [call.number for call in after.calls] == list(range(1, len(after.calls) + 1))
    assert verify_job(job).ok


def test_help_says_what_an_option_is_given_in_words_of_people(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No names of types; what only switches something on is given nothing."""
    monkeypatch.setenv("COLUMNS", "200")
    for name in ("listen", "extract", "correct"):
        told = run(name, "--help")[1]
        assert not [each for each in ("<bool>", "<str>", "list[", "range>", "<%Y") if each in told]
    assert re.search(r"--blind-check +Tones alone", run("listen", "--help")[1])
    assert re.search(r"--first-day +<YYYY-MM-DD> +From", run("extract", "--help")[1])


def test_help_keeps_what_is_in_brackets_and_breaks_no_paragraph(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An extra's name is no markup; lines end where the terminal's do, not the source's."""
    monkeypatch.setenv("COLUMNS", "200")
    told = run("stamp", "--help")[1]
    assert "'calllog[stamp]'" in told
    assert "another program takes the request there and brings back the answer" in told
