"""The ways of each system, all tried on this one: what is locked, replaced, opened, typed."""

from __future__ import annotations

import errno
import fcntl
import os
import signal
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from calllog import files, system
from calllog.errors import ConfigError, KeypadError
from calllog.journal import open_plain, remove_plain
from calllog.keypad.terminal import TerminalKeys
from calllog.phone.computer import NAME, computer_key
from calllog.system import OTHERS, System, is_everywhere_a_name, macos
from calllog.system.posix import Posix, PosixKeys
from calllog.system.windows import Windows
from tests.without_posix import Console


@pytest.fixture
def console() -> Console:
    """Have a console of Windows."""
    return Console()


@pytest.fixture(params=["Linux", "macOS", "Windows"])
def here(
    request: pytest.FixtureRequest,
    console: Console,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> System:
    """Let the program run on a system; what macOS has more is played."""
    monkeypatch.setattr(fcntl, "F_FULLFSYNC", 51, raising=False)
    monkeypatch.setattr(fcntl, "fcntl", lambda *_: 0)
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    made: dict[str, Callable[[], System]] = {
        "Linux": Posix,
        "macOS": macos.MacOS,
        "Windows": lambda: Windows(console),
    }
    chosen = made[request.param]()
    monkeypatch.setattr(system, "SYSTEM", chosen)
    assert chosen.name == request.param
    return chosen


def link(path: Path) -> None:
    """Make a link to a file."""
    (path.parent / "other").write_bytes(b"theirs")
    path.symlink_to(path.parent / "other")


def dangling(path: Path) -> None:
    """Make a link that leads nowhere."""
    path.symlink_to(path.parent / "nowhere")


def pipe(path: Path) -> None:
    """Make a pipe, which nobody reads or writes."""
    os.mkfifo(path)


NOT_PLAIN = pytest.mark.parametrize("make", [link, dangling, pipe, Path.mkdir])


@pytest.mark.usefixtures("here")
@NOT_PLAIN
def test_what_is_no_plain_file_is_refused(tmp_path: Path, make: Callable[[Path], None]) -> None:
    """Neither read nor written nor made, and never waited for."""
    path = tmp_path / "file"
    make(path)
    with pytest.raises(OSError, match=r"no plain file|File exists|exists"):
        files.open_new(path)
    with pytest.raises(OSError, match="no plain file"):
        files.read_mine(path, most_bytes=10)
    with pytest.raises(OSError, match="no plain file"):
        files.open_own(path, os.O_WRONLY)
    with pytest.raises(OSError, match="no plain file"):
        open_plain(tmp_path, "file")
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.usefixtures("here")
def test_file_is_made_replaced_read_and_removed(tmp_path: Path) -> None:
    """A whole content under its name, its maker's alone, nothing left beside it."""
    path = tmp_path / "below" / "file"
    files.make_folder(path.parent)
    files.write_whole(path, b"one\r\n\x1a")
    files.write_whole(path, b"two\r\n\x1a")
    files.sync_folder(path.parent)
    assert files.read_mine(path, most_bytes=10) == b"two\r\n\x1a"
    file = files.open_own(path, os.O_RDWR)
    files.write_at(file, b"T", 0)
    assert files.read_at(file, 3, 1) == b"wo\r"
    assert not os.get_inheritable(file)
    os.close(file)
    with open_plain(tmp_path, "below", "file") as opened:
        assert opened.read() == b"Two\r\n\x1a"
    assert [each.name for each in path.parent.iterdir()] == ["file"]
    assert files.is_mine_alone(path.parent)
    assert remove_plain(tmp_path, "below", "file")
    assert not remove_plain(tmp_path, "below", "file")


@pytest.mark.usefixtures("here")
def test_link_on_the_way_is_refused(tmp_path: Path) -> None:
    """What lies in a folder that a link leads to is not opened or removed."""
    (tmp_path / "real").mkdir()
    (tmp_path / "real" / "file").write_bytes(b"theirs")
    (tmp_path / "way").symlink_to(tmp_path / "real")
    for act in (open_plain, remove_plain):
        with pytest.raises(OSError, match="no plain file or folder"):
            act(tmp_path, "way", "file")
    for names in (("..", "x"), ("", "x"), (".",), ("a/b",), ("a\0b",)):
        with pytest.raises(OSError, match="no plain file or folder"):
            open_plain(tmp_path, *names)


@pytest.mark.usefixtures("here")
def test_lock_shuts_out_everybody_else(tmp_path: Path) -> None:
    """Those of the same process too; what the file holds can still be read; it ends when closed."""
    path = tmp_path / "lock"
    path.write_bytes(b"database")
    file = files.lock_file(path)
    with pytest.raises(BlockingIOError):
        files.lock_file(path)
    assert path.read_bytes() == b"database"
    os.close(file)
    os.close(files.lock_file(path))


@pytest.mark.usefixtures("here")
def test_key_of_the_computer_is_made_once(tmp_path: Path) -> None:
    """Whole, under its name alone, the same for whoever asks again."""
    key = computer_key(tmp_path / "kept")
    assert computer_key(tmp_path / "kept") == key
    assert [each.name for each in (tmp_path / "kept").iterdir()] == [NAME]


@pytest.mark.usefixtures("here")
def test_of_two_that_make_a_name_the_first_counts(tmp_path: Path) -> None:
    """A name that something has is given to nothing else."""
    (tmp_path / "made").write_bytes(b"new")
    with system.SYSTEM.folder(tmp_path) as held:
        held.name_once("made", "name")
        assert held.found_in("name").st_size == 3
        (tmp_path / "made").write_bytes(b"newer")
        with pytest.raises(FileExistsError):
            held.name_once("made", "name")
        held.sync()
    assert (tmp_path / "name").read_bytes() == b"new"


def test_memory_that_is_free_goes_back(here: System) -> None:
    """The C library would keep it for the process; where nothing is asked, nothing fails."""
    here.free_memory()
    if not (here.name == "Linux" and Path("/proc/self/statm").exists()):
        return
    kept = [bytearray(60_000) for _ in range(1000)]  # too small to be given back each by itself
    last = bytearray(60_000)
    kept.clear()
    before = resident_bytes()
    here.free_memory()
    assert before - resident_bytes() > 40_000_000
    assert len(last) == 60_000


def resident_bytes() -> int:
    """Tell how much memory this process takes."""
    return int(Path("/proc/self/statm").read_text("ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE")


def test_ends_are_those_that_the_system_has(here: System) -> None:
    """Ctrl-C and a termination always; a hang-up where there is one."""
    assert {signal.SIGINT, signal.SIGTERM} <= set(here.ends)
    assert (signal.SIGHUP in here.ends) is (here.name != "Windows")


# macOS


def test_macos_brings_to_the_disk_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By its own order; a disk that has none gets the common one, one that fails an error."""
    asked: list[tuple[str, int]] = []
    refusal = [0]

    def order(_: int, what: int) -> int:
        asked.append(("full", what))
        if refusal[0]:
            raise OSError(refusal[0], os.strerror(refusal[0]))
        return 0

    monkeypatch.setattr(fcntl, "F_FULLFSYNC", 51, raising=False)
    monkeypatch.setattr(fcntl, "fcntl", order)
    monkeypatch.setattr(os, "fsync", lambda _: asked.append(("common", 0)))
    monkeypatch.setattr(system, "SYSTEM", macos.MacOS())
    files.write_whole(tmp_path / "file", b"x")
    files.sync_folder(tmp_path)
    assert asked == [("full", 51), ("full", 51)]
    asked.clear()
    refusal[0] = errno.ENOTSUP
    files.write_whole(tmp_path / "file", b"x")
    assert asked == [("full", 51), ("common", 0)]
    refusal[0] = errno.EIO
    with pytest.raises(OSError, match="Input/output"):
        files.write_whole(tmp_path / "file", b"x")


# Windows


def test_windows_waits_for_who_looks_at_a_file(
    tmp_path: Path, console: Console, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A scanner holds a new file for moments; a workbook that stays open is told."""
    waits: list[float] = []
    monkeypatch.setattr("time.sleep", waits.append)
    refusals = iter([True, True, False])

    def rename(made: Path, path: Path) -> None:
        if next(refusals, True):
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        made.replace(path)

    monkeypatch.setattr(system, "SYSTEM", Windows(console, rename))
    files.write_whole(tmp_path / "file", b"x")
    assert (tmp_path / "file").read_bytes() == b"x"
    assert len(waits) == 2
    with pytest.raises(PermissionError):
        files.write_whole(tmp_path / "file", b"y")
    assert sum(waits) < 2.0
    assert (tmp_path / "file").read_bytes() == b"x"
    assert [each.name for each in tmp_path.iterdir()] == ["file"]


def test_windows_sees_who_puts_a_link_there_meanwhile(
    tmp_path: Path, console: Console, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file that was opened is the one that was looked at, or it is not used."""
    path, other = tmp_path / "file", tmp_path / "other"
    path.write_bytes(b"mine")
    other.write_bytes(b"theirs")
    real = os.open

    def late(name: Path, *more: int) -> int:
        path.unlink()
        path.symlink_to(other)
        return real(name, *more)

    monkeypatch.setattr(os, "open", late)
    with pytest.raises(OSError, match="no plain file"):
        Windows(console).open(path, os.O_RDONLY)


class Tagged:
    """What Windows tells of a junction."""

    st_mode = 0o40700
    st_reparse_tag = 0xA0000003


def test_windows_takes_a_junction_for_a_link(
    tmp_path: Path, console: Console, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is a folder that leads elsewhere; a file kept in the cloud has a tag too and is none."""
    monkeypatch.setattr(Path, "lstat", lambda _: Tagged())
    with pytest.raises(OSError, match="no plain folder"):
        Windows(console).folder(tmp_path, may_be_link=False)
    monkeypatch.setattr(Tagged, "st_reparse_tag", 0x9000001A)
    Windows(console).folder(tmp_path, may_be_link=False).close()


def test_windows_takes_the_profile_for_the_users_own(
    tmp_path: Path, console: Console, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Others may not look in there; elsewhere they may, as far as is known."""
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "user")
    inside, outside = tmp_path / "user" / "data", tmp_path / "users"
    for each in (inside, outside):
        each.mkdir(parents=True)
    ways = Windows(console)
    assert ways.others_may(inside, inside.stat()) == 0
    assert ways.others_may(outside, outside.stat()) == OTHERS
    monkeypatch.setattr(system, "SYSTEM", ways)
    computer_key(inside)
    with pytest.raises(ConfigError, match="others may write there"):
        computer_key(outside)


@pytest.mark.parametrize(
    "name",
    ["a:b", "a*", "con", "NUL.flac", "com1.txt", "end.", "end ", "a\\b", "lpt\u00b9", "a\x1f"],
)
def test_windows_opens_no_name_of_its_own(tmp_path: Path, console: Console, name: str) -> None:
    """A stranger's journal may name a device, or a second stream of a file."""
    assert not is_everywhere_a_name(name)
    with Windows(console).folder(tmp_path) as held, pytest.raises(OSError, match="be the name"):
        held.open(name, os.O_RDWR | os.O_CREAT)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "name", ["console.txt", "000001.flac", "Señal 4", "com10", ".part", "a.b.c"]
)
def test_common_names_are_names_everywhere(name: str) -> None:
    """Nothing is refused that every system takes."""
    assert is_everywhere_a_name(name)


@pytest.fixture
def typed(console: Console, monkeypatch: pytest.MonkeyPatch) -> Iterator[TerminalKeys]:
    """Type into the console of Windows."""
    monkeypatch.setattr(system, "SYSTEM", Windows(console))
    monkeypatch.setattr(os, "isatty", lambda _: True)
    console.typed.extend("typed before")
    with TerminalKeys() as keys:
        yield keys


def test_keys_of_a_console(typed: TerminalKeys, console: Console) -> None:
    """Digits and Enter are keys; an arrow and F1 are others; what was typed before is dropped."""
    assert typed.read(0.0) is None
    console.typed.extend(["1", "\xe0", "H", "\0", ";", "\x08", "\r"])
    assert [typed.read(0.0) for _ in range(5)] == ["1", "?", "?", "\x08", "\r"]
    assert typed.read(0.0) is None
    console.typed.append("\xe0")  # a letter of its own where nothing follows
    assert typed.read(0.0) == "\xe0"


def test_console_interrupts(typed: TerminalKeys, console: Console) -> None:
    """Ctrl-C ends the work where the console gives it as a key."""
    console.typed.append("\x03")
    with pytest.raises(KeyboardInterrupt):
        typed.read(0.0)


def test_console_is_waited_for(
    typed: TerminalKeys, console: Console, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A key is there soon after it is typed, without a wait that burns the processor."""
    waits: list[float] = []

    def wait(seconds: float) -> None:
        waits.append(seconds)
        console.typed.append("5")

    monkeypatch.setattr("time.sleep", wait)
    assert typed.read(5.0) == "5"
    assert waits == [0.01]


def test_closing_drops_what_was_not_read(typed: TerminalKeys, console: Console) -> None:
    """It must not reach the shell."""
    console.typed.extend("15.42\r")
    typed.close()
    assert not console.typed
    with pytest.raises(KeypadError, match="put back"):
        typed.read(0.0)


def test_words_are_quoted_as_the_system_takes_them(console: Console) -> None:
    """A command that is told can be copied."""
    assert Windows(console).quoted(r"C:\jobs\day 1") == r'"C:\jobs\day 1"'
    assert Windows(console).quoted(r"C:\jobs\day-1") == r"C:\jobs\day-1"
    assert Posix().quoted("day 1") == "'day 1'"
    assert [system.quoted(Path("-day")), system.quoted("-day")] == ["./-day", "-day"]


def test_terminal_that_gives_no_keys_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """An error with what to do, whatever the system says."""

    class Refusing(Posix):
        def keys(self, fd: int) -> PosixKeys:
            assert fd == 0
            raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(system, "SYSTEM", Refusing())
    monkeypatch.setattr(os, "isatty", lambda _: True)
    with pytest.raises(KeypadError, match="gives no single keys"):
        TerminalKeys()
