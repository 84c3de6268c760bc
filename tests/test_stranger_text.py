"""A stranger's words: one line each, nothing hidden, and none without end is taken in.

Signs that cannot be seen: Unicode Standard 15, sections 23.1 (controls), 23.2 (layout: direction
and joiners); "Trojan Source" (Boucher and Anderson, 2021) shows what marks of direction do.
"""

from __future__ import annotations

import json
import pickle
import unicodedata
from io import StringIO
from pathlib import Path

import pytest
from rich.table import Table
from rich.text import Text
from typer.testing import CliRunner

from calllog.cli import app
from calllog.commands.tape_file import read_tape
from calllog.commands.terminal import Terminal
from calllog.errors import CalllogError, ConfigError, GrammarError, ReportError, require_plain
from calllog.journal import Journal
from calllog.office import find_jobs
from calllog.plain_text import is_plain_text, one_line, plain_json
from calllog.report import read_segments_json
from calllog.resources import grammar_folder, grammar_text
from calllog.session import Job
from calllog.spoken import load_grammar
from calllog.tape import load_certificate
from calllog.toml_text import read_toml
from tests.effort import most_bytes, steps
from tests.fieldjob import field_job
from tests.torture.strangers import write_journal

LIE = "verified: 999 entries"
HIDDEN = (
    *("\n", "\r\n", "\r", "\t", "\x0b", "\x0c", "\x1b[2K", "\x85", "\u2028", "\u2029", "\x00"),
    *("\u202e", "\u202d", "\u202a", "\u202b", "\u202c", "\u2066", "\u2067", "\u2068", "\u2069"),
    *("\u200e", "\u200f", "\u061c", "\u200b", "\u200c", "\u200d", "\u2060", "\ufeff", "\u00ad"),
    *("\u3164", "\u115f", "\ufe0f", "\u034f", "\U000e0041", "\U000e0100", "\ud800", "\x9b31m"),
)
BREAKS = "\n\r\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029"
DEMO_TAPE = Path(__file__).parent.parent / "calllog/demo/tapes/add-100.toml"


@pytest.mark.parametrize("hidden", HIDDEN, ids=ascii)
def test_hidden_signs_are_shown_by_their_numbers(hidden: str) -> None:
    """Each is seen, on one line, and what can be seen stays."""
    shown = one_line(f"Señal{hidden}№ 4")
    assert is_plain_text(shown)
    assert not is_plain_text(f"Señal{hidden}")
    assert f"<U+{ord(hidden[0]):04X}>" in shown
    assert shown.startswith("Señal<")
    assert shown.endswith("№ 4")
    assert len(shown.splitlines()) == 1
    assert one_line(shown) == shown


def test_what_can_be_seen_stays_as_it_is() -> None:
    """All letters, figures, punctuation and symbols of the basic plane; spaces of a width too."""
    unseen = {each for each in map(chr, range(0x10000)) if not is_plain_text(each)}
    kinds = {unicodedata.category(each) for each in unseen}
    assert kinds <= {"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp", "Mn", "Lo"}
    letters = {each for each in unseen if unicodedata.category(each) in {"Mn", "Lo"}}
    assert len(letters) == 27
    assert one_line("Ä\N{NO-BREAK SPACE}ß 4½ ft, \N{GRINNING FACE} 測量") == (
        "Ä\N{NO-BREAK SPACE}ß 4½ ft, \N{GRINNING FACE} 測量"
    )


@pytest.mark.parametrize("hidden", HIDDEN[:-2], ids=ascii)
def test_json_means_what_it_meant(hidden: str) -> None:
    """Escaped, for the terminal; equal, for whoever reads the document."""
    document = {f"by{hidden}": [f"R.{hidden}Field"], "n": 1}
    for indent in (None, 2):
        text = plain_json(json.dumps(document, ensure_ascii=False, indent=indent))
        assert all(map(is_plain_text, text.split("\n")))
        assert json.loads(text) == document


@pytest.mark.parametrize("hidden", HIDDEN, ids=ascii)
def test_errors_are_one_line_each(hidden: str) -> None:
    """What, where and what next, wherever the name came from; also in another process."""
    error = ConfigError(f"what{hidden}{LIE}", where=f"a{hidden}b", next_step=f"do{hidden}it")
    for text in (str(error), error.what, error.where, error.next_step):
        assert is_plain_text(text)
    listed = ConfigError("what", next_step="mend:", each=(f"a{hidden}b", "c"))
    assert str(listed) == f"what; mend:\n- {one_line(f'a{hidden}b')}\n- c"
    again: CalllogError = pickle.loads(pickle.dumps(listed))  # noqa: S301 - our own
    assert (type(again), str(again), again.next_step) == (
        ConfigError,
        str(listed),
        listed.next_step,
    )


@pytest.mark.parametrize("hidden", HIDDEN, ids=ascii)
def test_terminal_prints_each_text_on_one_line(hidden: str) -> None:
    """Strings, texts, cells and heads of tables; whoever prints cannot forget it."""
    name = f"Oak{hidden}{LIE}"
    table = Table(name, title="lines")
    table.add_row(Text(name))
    table.add_row(name)
    for is_terminal in (False, True):
        for printed in (name, Text(name, "bold red"), Text.assemble("a ", (name, "red")), table):
            file = StringIO()
            screen = Terminal(file=file, width=200, force_terminal=is_terminal, color_system=None)
            screen.print(printed)
            lines = file.getvalue().split("\n")
            assert all(map(is_plain_text, lines))
            assert not any(line.strip().startswith(LIE) for line in lines)
            assert "verified:" in file.getvalue()


def spoilt(folder: Path, hidden: str) -> Path:
    """Write a job in which all names that a stranger may choose hold a sign and a lie."""
    job = field_job(folder.with_name("sound"))
    with Job.open_existing(job) as opened:
        opened.note("phone_paired", {"name": "Chief's phone", "secret_sha256": "0" * 64})
    with Journal.open(job, read_only=True) as journal:
        entries = list(journal.entries())
    odd = json.dumps(f"X{hidden}{LIE}")[1:-1]
    names = ("Heron", "Alder", "R. Field", "T-1 <i>", "the <office>", "the bench", "C-2", "Chief's")
    bodies = []
    for entry in entries:
        body = entry.body
        for name in names:
            body = body.replace(name, odd)
        bodies.append((entry.kind, body.replace("audio/000002", f"audio/{odd}")))
    write_journal(folder, bodies)
    return folder


@pytest.mark.parametrize("hidden", ["\n", "\u2028", "\u202e", "\x9b2K\r"], ids=ascii)
def test_names_of_a_job_write_no_lines_of_their_own(tmp_path: Path, hidden: str) -> None:
    """Folder, points, tape, by, why, remarks, phones and clips, in all that is printed of a job."""
    job = spoilt(tmp_path / f"day{hidden}{LIE}", hidden)
    commands = (
        *(["verify"], ["report"], ["extract"], ["line"], ["compare", "--since", "3"], ["why", "1"]),
        *(["verify", "--json"], ["report", "--json"], ["line", "--json"], ["extract", "--json"]),
        *(["decide", "1", "first"], ["rescue", "--out", str(tmp_path / "new")]),
        ["report", "--out", str(tmp_path / f"out{hidden}{LIE}")],
    )
    told = ""
    for name, *more in commands:
        done = CliRunner().invoke(app, [name, str(job), *more])
        said = done.output + (str(done.exception) if done.exception else "")
        told += said
        for line in said.split("\n"):
            assert is_plain_text(line), (name, line)
            assert not line.strip().startswith((LIE, "proved", LIE[::-1])) or name == "verify"
            assert not line.strip(' "│|').startswith(LIE), (name, line)
    assert told.count(LIE) > 10


def test_names_of_other_folders_write_no_lines_of_their_own(tmp_path: Path) -> None:
    """A folder of jobs lists what is none of them, and the broken ones."""
    field_job(tmp_path / "day-1")
    (tmp_path / f"other\n{LIE}").mkdir()
    shown = CliRunner().invoke(app, ["report", str(tmp_path)])
    assert LIE in shown.output
    assert not any(line.startswith(LIE) for line in shown.output.splitlines())
    assert len(find_jobs(tmp_path)[1]) == 1


# Names of a new job


@pytest.mark.parametrize("hidden", ["\n", "\u202e", "\u200b", "\x1b[31m", "\u3164"], ids=ascii)
def test_hidden_signs_in_new_names_are_refused(tmp_path: Path, hidden: str) -> None:
    """On the command line: points, who decides, signs or corrects, why, remarks, the folder."""
    job, odd = field_job(tmp_path / "job"), f"X{hidden}Y"
    tape = tmp_path / "tape.toml"
    tape.write_text(DEMO_TAPE.read_text("utf-8"))
    listen = ["--tape", str(DEMO_TAPE), "--from", "a.wav", "--date", "2026-08-01"]
    for command, option in (
        (["listen", str(tmp_path / "new"), *listen, "--line", f"{odd}:B"], "--line"),
        (["listen", str(tmp_path / odd), *listen, "--line", "A:B"], "JOB"),
        (["listen", str(tmp_path / "new"), *listen[:2], "--line", "A:B", "--from", odd], "--from"),
        (["decide", str(job), "13", "first", "--by", odd], "--by"),
        (["sign", str(job), "--by", odd], "--by"),
        (["sign", str(job), "--by", "R. Field", "--remark", odd], "--remark"),
        (["rereduce", str(job), "--tape", str(tape), "--by", odd], "--by"),
        (["rereduce", str(job), "--tape", str(tape), "--why", odd], "--why"),
        (["rescue", str(job), "--out", str(tmp_path / odd)], "--out"),
        (["demo", "--out", str(tmp_path / odd)], "--out"),
    ):
        done = CliRunner().invoke(app, command)
        assert isinstance(done.exception, ConfigError), command
        assert done.exception.where == option
        assert (
            f"has a character that cannot be seen, <U+{ord(hidden[0]):04X}>" in done.exception.what
        )
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job", "tape.toml"]


def test_hidden_signs_in_a_tape_are_refused() -> None:
    """Its identity stands in every report; an old job that has such a tape is still read."""
    text = DEMO_TAPE.read_text("utf-8")
    identity = load_certificate(text, "tape.toml").identity
    spoiled = text.replace(identity, f"{identity}\\u202e")
    with pytest.raises(ConfigError, match=r"tape\.toml: identity: the name .*<U\+202E>"):
        load_certificate(spoiled, "tape.toml")
    key = f'{text}\n"a\\nproved" = 1\n'
    with pytest.raises(ConfigError, match=r"- a<U\+000A>proved: there is no such entry"):
        load_certificate(key, "tape.toml")


def test_plain_names_pass() -> None:
    """Whatever can be seen is a name."""
    for name in ("Oak", "Señal 4", "測量-1", "a/b", "<b>"):
        assert require_plain(name, "--line") == name


# Texts without end


MOST_STEPS = 500_000
"""A moment's work."""
LIMITS = (
    "a" + ".a" * 19_000 + " = 1",
    "[" + "a." * 19_000 + "a]",
    "hold = {" + "a." * 10_000 + "a = 1}",
    "hold = " + "[" * 19_000,
    "hold = " + "{a=" * 9_000,
    "x = 1\n" * 10_000,
    "hold = 'x'\n" + "'" + "a" * 39_000 + "' = 1",
    "\n".join(f"k{number} = 1" for number in range(1_200)),
    "\n".join(f"[k{number}.a.b.c.d.e.f.g.h.i.j]" for number in range(280)),
)


@pytest.mark.parametrize("text", LIMITS, ids=range(len(LIMITS)))
def test_certificates_without_end_cost_nothing(tmp_path: Path, text: str) -> None:
    """40 kB of one key took 8 s and 1.6 GB; all are refused within a moment, in a few lines."""
    path = tmp_path / "tape.toml"
    path.write_text(text)
    refused = ""

    def refuse() -> None:
        nonlocal refused
        with pytest.raises(ConfigError) as raised:
            read_tape(path)
        refused = str(raised.value)

    assert most_bytes(refuse) < 32 << 20
    assert steps(refuse) < MOST_STEPS
    assert str(path) in refused
    assert len(refused.splitlines()) < 40


def test_vast_certificate_is_not_read(tmp_path: Path) -> None:
    """A file that is all holes, or a device without end, is named as too large."""
    vast = tmp_path / "vast.toml"
    with vast.open("wb") as file:
        file.truncate(1 << 36)
    for path in (vast, Path("/dev/zero")):
        with pytest.raises(ConfigError, match="cannot be read: it has more than 40,000 bytes"):
            read_tape(path)


def test_vast_segment_log_is_not_read(tmp_path: Path) -> None:
    """Nor a log that somebody sent back."""
    vast = tmp_path / "segments.json"
    with vast.open("wb") as file:
        file.truncate(1 << 36)
    with pytest.raises(ReportError, match=r"cannot be read \(it has more than 268,435,456 bytes"):
        read_segments_json(vast)


@pytest.mark.parametrize("text", [LIMITS[0], "x = " + "[" * 5_000])
def test_grammars_have_the_same_limits(text: str) -> None:
    """Whoever writes a grammar is told too, instead of waiting."""
    with pytest.raises(GrammarError, match="line 1 goes deeper than 12 keys or brackets"):
        load_grammar(text, "mine.toml")
    with pytest.raises(GrammarError, match=r"has [\d,]+ characters, more than"):
        load_grammar("# \n" * 200_000, "mine.toml")


def test_what_travels_with_the_program_is_within_the_limits() -> None:
    """All grammars, texts and tapes, and strings with dots and brackets, are read as before."""
    for path in grammar_folder().glob("*.toml"):
        load_grammar(grammar_text(path.stem)[0])
    many = "." * 99 + "[" * 99 + "{" * 99
    quoted = many.replace("'", "")
    text = (
        f'a = "{quoted} \\" {quoted}"\n'
        f"b = '{quoted}' # {quoted}\n"
        f'c = """{quoted}\n""{quoted}"""\n'
        f"d = '''{quoted}\n''{quoted}'''\n"
        f'"{quoted}" = 1.5\n'
        f"e = [[1.5, 2.5], {{f.g = 1.5}}]\n" + "k = 1.5\n".replace("k", "h.i.j")
    )
    found = read_toml(text, where="x", most_signs=10_000, kind=ConfigError)
    assert found["a"] == f'{quoted} " {quoted}'
    assert found["e"] == [[1.5, 2.5], {"f": {"g": 1.5}}]
