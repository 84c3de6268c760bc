"""A copy of this process that works meanwhile: it answers in order, keeps to itself, and ends."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

from calllog.recognise.beside import Beside


def distance(number: int) -> int:
    """Give a number without its sign."""
    return abs(number)


def is_running(process: int) -> bool:
    """Tell whether a process is there."""
    return Path(f"/proc/{process}").exists()


def answered(beside: Beside[int, int]) -> int:
    """Ask, and wait for the answer."""
    beside.ask(1)
    return beside.answer()


def test_it_answers_each_question_and_changes_only_itself() -> None:
    """Answers come in order; what the copy remembers is not remembered here."""
    seen: list[int] = []

    def work(number: int) -> tuple[int, int, int]:
        seen.append(number)
        return number * number, len(seen), os.getpid()

    beside = Beside(work)
    answers = []
    for number in (3, 4):
        beside.ask(number)
        answers.append(beside.answer())
    beside.close()
    assert [each[:2] for each in answers] == [(9, 1), (16, 2)]
    assert {each[2] for each in answers} == {beside._process} != {os.getpid()}
    assert seen == []


def test_it_holds_no_file_of_its_maker(tmp_path: Path) -> None:
    """A pipe or a lock that its maker held is free when the maker lets it go."""
    with (tmp_path / "lock").open("w") as file:
        beside = Beside(distance)
        beside.ask(-1)
        assert beside.answer() == 1
        held = list(Path(f"/proc/{beside._process}/fd").iterdir())
        assert file.name not in {str(each.readlink()) for each in held}
        assert len(held) == 4
    beside.close()


def test_its_death_is_told() -> None:
    """A copy that was killed is no silence without end."""
    beside = Beside(distance)
    os.kill(beside._process, signal.SIGKILL)
    with pytest.raises((EOFError, OSError)):
        answered(beside)
    beside.close()


def test_its_failure_is_told(capfd: pytest.CaptureFixture[str]) -> None:
    """A copy that fails ends, and its maker is told when it waits."""
    beside: Beside[int, int] = Beside(lambda number: 1 // number)
    beside.ask(0)
    with pytest.raises((EOFError, OSError)):
        beside.answer()
    beside.close()
    assert "Traceback" not in capfd.readouterr().out


def test_it_ends_with_its_maker() -> None:
    """Closed, or its maker gone, it is gone too."""
    beside = Beside(distance)
    beside.close()
    assert not is_running(beside._process)
    read, write = os.pipe()
    if not (maker := os.fork()):
        os.write(write, str(Beside(distance)._process).encode())
        os._exit(0)
    os.waitpid(maker, 0)
    orphan = int(os.read(read, 20))
    os.close(read)
    os.close(write)
    for _ in range(200):
        if (
            not is_running(orphan)
            or "Z" in Path(f"/proc/{orphan}/stat").read_text("ascii").split()[2]
        ):
            return
        signal.sigtimedwait([], 0.02)
    pytest.fail("the copy outlived its maker")
