"""The commands `correct` and `layout`: what they print, write as JSON, and refuse."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from calllog.cli import app
from calllog.commands.stated import spans_ft
from calllog.errors import ConfigError
from calllog.resources import PACKAGE
from calllog.units import Foot

# Mahun, "Distances", E. Taping, section 4: inputs read, the answer 436.234 ft computed, not
# printed. The tape weighs 2.2 lb over its 102 ft.
MAHUN = """
identity = "ADD-102"
style = "add"
nominal_ft = 100
certified_length_ft = 100.004
certified_spans = 0
certified_temperature_degf = 70
certified_tension_lb = 23
weight_lb_per_ft = 0.021568627
area_in2 = 0.004
alpha_per_degf = 6.5e-6
foot = "us-survey"
"""
ADD_100 = str(PACKAGE / "demo/tapes/add-100.toml")
READ = ("--reading", "436.48ft", "--temperature", "50F", "--tension", "15lb")
SPANS = ("--spans", "100,100,36.48ft", "--supported", "200ft")


@pytest.fixture
def tape(tmp_path: Path) -> str:
    """Write the certificate."""
    path = tmp_path / "add-102.toml"
    path.write_text(MAHUN, encoding="utf-8")
    return str(path)


def run(*words: str) -> str:
    """Run a command that must succeed; give its output."""
    done = CliRunner().invoke(app, words, catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    return done.stdout


def as_json(*words: str) -> dict[str, Any]:
    """Run a command with --json; give the one document that it prints."""
    document: dict[str, Any] = json.loads(run(*words, "--json"))
    return document


def test_correct_prints_each_part(tape: str) -> None:
    """Every correction apart with formula and source, the sum, the length, the foot, a warning."""
    lines = [
        " ".join(line.split())
        for line in run("correct", "--tape", tape, *READ, *SPANS).splitlines()
    ]
    assert "read on ADD-102 436.4800" in lines
    for words in (
        "standardization +0.0175 L (l' - l)/l Ghilani & Wolf",
        "temperature -0.0567 alpha L (T - T0) Ghilani & Wolf",
        "tension -0.0301 (P - P0) L/(A E) Ghilani & Wolf",
        "sag -0.1765 parabola -w^2 s^3/(24 P^2) Ghilani & Wolf",
        "slope not known",
        "sum of corrections -0.2459",
        "true slope distance 436.2341",
        "All lengths in the US survey foot.",
        "! slope is not known and not corrected",
        "Standard uncertainty (k = 1) 0.0",
    ):
        assert any(line.startswith(words) for line in lines), words


def test_correct_as_json(tape: str) -> None:
    """The same in one document, with what was stated."""
    found = as_json(
        "correct", "--tape", tape, *READ, *SPANS, "--off-line", "1 ft", "--rise", "-2ft"
    )
    assert found["foot"] == "us-survey"
    assert found["situation"]["hanging_ft"] == [100.0, 100.0, 36.48]
    assert [part["name"] for part in found["parts"]][-2:] == ["slope", "off line"]
    assert found["horizontal_ft"] == pytest.approx(found["length_read_ft"] + found["sum_ft"])
    level = as_json("correct", "--tape", tape, *READ, *SPANS)
    # First order: 2^2 and 1^2, over twice the length.
    assert found["horizontal_ft"] == pytest.approx(
        level["horizontal_ft"] - (2**2 + 1**2) / (2 * 436.23), abs=1e-4
    )


@pytest.mark.parametrize(
    ("words", "same_as"),
    [
        (("--temperature", "10C"), ("--temperature", "50F")),
        (("--tension", "66.723324N"), ("--tension", "15lb")),
        (("--spans", "100ft,100ft,36.48ft"), ("--spans", "100, 100, 36.48 ft")),
        (("--percent", "10%"), ("--angle", "5.710593137499643deg")),
        (("--elevation", "500 yd"), ("--elevation", "1500ft")),
        (("--spans", "100,100,36 ft 5.76 in"), ("--spans", "100,100,36.48ft")),
        (("--spans", "100, 100 ft, 36.48 ft"), ("--spans", "100,100,36.48ft")),
    ],
)
def test_units_are_read(tape: str, words: tuple[str, str], same_as: tuple[str, str]) -> None:
    """Another unit of the same value gives the same length."""
    base = ("correct", "--tape", tape, *READ, *SPANS)
    one, other = as_json(*base, *words), as_json(*base, *same_as)
    assert one["horizontal_ft"] == pytest.approx(other["horizontal_ft"], abs=1e-6)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--reading", "436.48"), "has no unit"),
        (("--temperature", "50"), "there is no unit"),
        (("--tension", "15"), "there is no unit"),
        (("--spans", "100,100,36.48"), "has no unit"),
        (("--supported", "200"), "has no unit"),
        (("--percent", "2.5"), "there is no unit"),
        (
            ("--supported", "190ft"),
            "what hangs and what is supported add up to 426.4800 ft, not 436.48",
        ),
        (("--support", "ends"), "support is stated twice"),
    ],
)
def test_correct_refuses(tape: str, words: tuple[str, str], said: str) -> None:
    """A value without its unit, and what contradicts itself, are refused in words."""
    with pytest.raises(ConfigError, match=said):
        run("correct", "--tape", tape, *READ, *SPANS, *words)


@pytest.mark.parametrize(
    ("reading", "rise", "length"),
    [
        ("0.0000001ft", "5ft", "0.00"),
        ("0.0000001ft", "-60ft", "0.00"),
        ("1ft", "10000000ft", "1.00"),
    ],
)
def test_a_rise_far_beyond_what_hangs_is_refused(reading: str, rise: str, length: str) -> None:
    """A rise of millions of lengths ended in a fault, or made 1 ft of hanging tape 1847.86 ft."""
    words = ("--reading", reading, "--rise", rise, "--support", "ends", "--tension", "20lb")
    with pytest.raises(ConfigError, match=f"is greater than the length of {length} ft; measure"):
        run("correct", "--tape", ADD_100, *words)


@pytest.mark.parametrize("words", [("correct", "--reading"), ("layout", "--length")])
def test_a_tension_of_nothing_is_refused_by_its_option(words: tuple[str, str]) -> None:
    """Whoever types at a desk is not told to measure a pull again."""
    wrong = "--tension: '0N' is no tension; state more than 0lb$"
    with pytest.raises(ConfigError, match=wrong):
        run(words[0], "--tape", ADD_100, words[1], "50ft", "--support", "ends", "--tension", "0N")


def test_nothing_read_and_nothing_lying_is_corrected_by_nothing(tape: str) -> None:
    """A length of 0 that lies on the ground is one pull of 0; it was none, and a fault."""
    stated = ("--temperature", "50F", "--elevation", "5000ft")
    none = ("correct", "--tape", tape, "--reading", "0ft", *stated)
    found = as_json(*none, "--supported", "0ft")
    assert (found["horizontal_ft"], found["sum_ft"]) == (0, 0)
    assert found["parts"] == as_json(*none, "--support", "throughout")["parts"]
    assert run(*none, "--supported", "0ft")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("25, 25½ ft", (25.0, 25.5)),
        ("25 1/2, 25 ft", (25.5, 25.0)),
        ("100,100,36 ft 6 in", (100.0, 100.0, 36.5)),
        ("100,100,36'6\"", (100.0, 100.0, 36.5)),
        ("1 ch, 50 ft", (66.0, 50.0)),
        ("100,36.48ft", (100.0, 36.48)),
    ],
)
def test_each_span_is_read_by_itself(text: str, expected: tuple[float, ...]) -> None:
    """A span has its own unit, or the larger one of the last; a fraction is no unit."""
    assert spans_ft(text, Foot.US_SURVEY) == pytest.approx(expected)


def test_spans_may_miss_the_reading_either_way_by_what_is_read(tape: str) -> None:
    """Half a hundredth more or less is the same length; beyond it both figures are told apart."""
    exact = as_json("correct", "--tape", tape, *READ, *SPANS)["horizontal_ft"]
    for last in ("36.484", "36.476"):
        spans = ("--spans", f"100,100,{last}ft", "--supported", "200ft")
        found = as_json("correct", "--tape", tape, *READ, *spans)
        assert found["horizontal_ft"] == pytest.approx(exact, abs=1e-4)
    for last, said in (("36.486", "436.4860"), ("36.4748", "436.4748")):
        spans = ("--spans", f"100,100,{last}ft", "--supported", "200ft")
        with pytest.raises(ConfigError, match=rf"add up to {said} ft, not 436\.4800 ft"):
            run("correct", "--tape", tape, *READ, *spans)


def test_support_must_be_one(tape: str) -> None:
    """Support is throughout, ends or a number."""
    with pytest.raises(ConfigError, match="'middle' is no support"):
        run("correct", "--tape", tape, *READ, "--support", "middle")
    on_ground = as_json("correct", "--tape", tape, *READ, "--supported", "436.48ft")
    throughout = as_json("correct", "--tape", tape, *READ, "--support", "throughout")
    assert on_ground["sum_ft"] == throughout["sum_ft"]


def test_correct_states_the_uncertainty_and_its_inputs(tape: str) -> None:
    """The document has every input with its share; a length of nothing has no uncertainty."""
    found = as_json("correct", "--tape", tape, *READ, *SPANS)["uncertainty"]
    assert found["pulls"] == 5
    assert sum(row["share"] for row in found["rows"]) == pytest.approx(1.0)
    assert all(row["source"] for row in found["rows"])
    assert as_json("correct", "--tape", tape, "--reading", "0ft")["uncertainty"] is None


def test_certificate_is_judged_by_the_day_stated(tape: str) -> None:
    """Old work is corrected without a warning of today's; a day outside is warned of."""
    path = Path(tape)
    path.write_text(f"{MAHUN}valid_until = 2131-05-04\n", "utf-8")
    for command, length in (("correct", "--reading"), ("layout", "--length")):
        options = [command, "--tape", tape, length, "10ft", "--date"]
        assert "valid_until" not in CliRunner().invoke(app, [*options, "2131-05-04"]).stderr
        assert "valid_until" in CliRunner().invoke(app, [*options, "2131-05-06"]).stderr


LAYOUT = ("--temperature", "41F", "--tension", "20lb", "--support", "ends", "--percent", "0%")


def test_layout_is_corrected_back(tape: str) -> None:
    """What is read for 87.65 ft is corrected to 87.65 ft under the same conditions."""
    found = as_json("layout", "--tape", tape, "--length", "87.65ft", *LAYOUT)
    back = as_json("correct", "--tape", tape, "--reading", f"{found['reading_ft']:.9f}ft", *LAYOUT)
    assert back["horizontal_ft"] == pytest.approx(87.65, abs=1e-7)
    assert found["reading_ft"] > 87.65


def test_layout_prints_pulls_and_table(tape: str) -> None:
    """Full pulls, the rest, the day's table with its conditions, and the foot."""
    text = run("layout", "--tape", tape, "--length", "529.81ft", *LAYOUT, "--table")
    assert "For 529.8100 ft, true and horizontal, on ADD-102:" in text
    assert "5 pulls of 100.0000 ft on the tape, each 99." in text
    assert "ADD-102: temperature 41F, tension 20lb, support ends, for each pull:" in text
    assert "All lengths in the US survey foot." in text
    document = as_json("layout", "--tape", tape, "--length", "529.81ft", *LAYOUT, "--table")
    assert [row["length_ft"] for row in document["table"]] == [5.0 * n for n in range(1, 21)]
    assert f"{document['table'][9]['add_ft']:+.4f}" in text
    assert document["table"][-1]["read_ft"] is None
    (pull,) = document["true_pulls"]
    assert pull["spans"] == 1
    assert f"reads true under {pull['tension_of_accuracy_lb']:.1f} lb" in text
    assert f"stretch cancels sag under {pull['normal_tension_lb']:.1f} lb" in text


def test_layout_refuses_what_cannot_be(tape: str) -> None:
    """No length below nothing, none without its unit."""
    with pytest.raises(ConfigError, match="cannot be laid out"):
        run("layout", "--tape", tape, "--length", "-5ft", *LAYOUT)
    with pytest.raises(ConfigError, match="has no unit"):
        run("layout", "--tape", tape, "--length", "529.81", *LAYOUT)


def test_tape_that_is_not_there() -> None:
    """A missing certificate is said, with what to give."""
    with pytest.raises(ConfigError, match="the tape's certificate cannot be read"):
        run("layout", "--tape", "nowhere.toml", "--length", "5ft")


def test_layout_counts_its_pulls(tape: str) -> None:
    """One that is all of it is not called the last; one is no plural."""
    alone = run("layout", "--tape", tape, "--length", "50ft")
    assert "50.0" in alone
    assert "ft on the tape, in one pull" in alone
    assert "last pull" not in alone
    assert "\n1 pull of 100.0000 ft on the tape, " in run(
        "layout", "--tape", tape, "--length", "150ft"
    )


@pytest.mark.parametrize(
    ("option", "text", "says"),
    [
        ("--temperature", "50", "--temperature '50': there is no unit; state one, such as 50F"),
        ("--tension", "15", "--tension '15': there is no unit"),
        ("--rise", "2", "--rise '2': 2 has no unit"),
        ("--off-line", "x", "--off-line 'x': 'x' cannot be read"),
        ("--angle", "1", "--angle '1': there is no unit"),
        ("--percent", "0", "--percent '0': there is no unit; state one, such as 2.5%"),
        ("--elevation", "9", "--elevation '9': 9 has no unit"),
    ],
)
def test_what_an_option_says_wrong_names_the_option(
    tape: str, option: str, text: str, says: str
) -> None:
    """Several may say the same number."""
    with pytest.raises(ConfigError) as caught:
        run("correct", "--tape", tape, "--reading", "36.48ft", option, text)
    assert str(caught.value).startswith(says)


def test_reading_names_its_option(tape: str) -> None:
    """As the others do."""
    for command, option in (("correct", "--reading"), ("layout", "--length")):
        with pytest.raises(ConfigError, match=rf"{option} '36.48': 36.48 has no unit"):
            run(command, "--tape", tape, option, "36.48")


def test_what_adds_most_has_its_share(tape: str) -> None:
    """One-way effects add up among themselves, so that amounts alone do not tell the order."""
    said = run("correct", "--tape", tape, *READ)
    rows = re.findall(r"^  \d\.\d{4} ft  +(\d+) %  ", said, re.MULTILINE)
    assert len(rows) == 5
    assert rows == sorted(rows, key=int, reverse=True)


@pytest.mark.parametrize("reading", ["25.42m", "2542 cm"])
def test_reading_in_the_units_of_another_tape_is_warned_of(tape: str, reading: str) -> None:
    """Nobody reads meters on a tape that is marked in feet; chains are feet."""
    words = "cannot have been read on ADD-102, which is marked in feet: taken as 83.3988 ft on it"
    assert f"! {reading} {words}" in run("correct", "--tape", tape, "--reading", reading)
    for known in ("83.40ft", "1 ch 26 lk"):
        assert "cannot have been read" not in run("correct", "--tape", tape, "--reading", known)


def test_certificate_from_any_editor_is_read(tmp_path: Path) -> None:
    """With a byte order mark and line ends of two signs; a file that is none is told so."""
    path = tmp_path / "edited.toml"
    path.write_bytes(b"\xef\xbb\xbf" + MAHUN.strip().replace("\n", "\r\n").encode())
    assert "ADD-102" in run("layout", "--tape", str(path), "--length", "5ft")
    path.write_bytes(MAHUN.encode("utf-16"))
    with pytest.raises(ConfigError, match=r"it is no plain text \(UTF-8\)"):
        run("layout", "--tape", str(path), "--length", "5ft")
