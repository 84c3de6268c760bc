"""Runs a room's tests once for each fault that mutmut made, many abreast.

``python -m tests.mutants.abreast PROCESSES TEST ...`` in a copy that `tests.mutants.mutate` made.
The tests are read once; each fault is tried by a copy of that process, which runs only the tests
that reach the faulty function, quick ones first, until one fails. Results are kept as they come, so
that what was broken off goes on there.
"""

from __future__ import annotations

import json
import math
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.mutants.fresh import forget

SLOWER = 3.0
"""A fault that makes its tests take so many times as long, and `LONGER_S` more, is noticed; by
what the processor does, since other work makes everything last longer."""
LONGER_S = 8.0
WAITED = 30.0
"""By the clock it may take so many times that: what waits for nothing is ended."""
ANEW_S = 100.0
"""For a new process that runs all tests of a room."""
MOST_BYTES = 12 << 30
KEEP_S = 3.0
LOOK_S = 0.004
STATS, RESULTS = "reached.json", "results.json"
NO_TEST, KILLED, SURVIVED, TIMEOUT = "no test", "killed", "survived", "timeout"
NOTICED = (KILLED, TIMEOUT)


class Tokens:
    """Leave to run, shared by all rooms that run at once: a byte of a pipe for each process."""

    def __init__(self, processes: int) -> None:
        told = os.environ.get("MUTANTS_TOKENS")
        if told:
            self._out, self._in = map(int, told.split(","))
        else:
            self._out, self._in = os.pipe()
            os.set_blocking(self._out, False)
            os.write(self._in, b"." * processes)

    def take(self) -> bool:
        """Take one, if there is one."""
        try:
            return bool(os.read(self._out, 1))
        except BlockingIOError:
            return False

    def give(self) -> None:
        """Give it back."""
        os.write(self._in, b".")


class Running(NamedTuple):
    """A process at work."""

    name: str
    begun_s: float
    until_s: float


class Wanted(NamedTuple):
    """A fault to try."""

    takes_s: float
    """At most, about."""
    name: str
    tests: list[str]
    anew: bool
    """Whether the function also works while modules are imported, which is done before."""


class Room:
    """Plugin for pytest: tries faults where it would run tests."""

    def __init__(self, mutants: Sequence[str], folder: Path, processes: int) -> None:
        self._mutants = mutants
        self._folder = folder
        self._processes = processes
        self._tokens = Tokens(processes)
        self._items: dict[str, pytest.Item] = {}
        self._results: dict[str, tuple[str, float]] = {}
        self._ends = False
        self._session: pytest.Session

    def pytest_configure(self) -> None:
        """Have no example made shorter that shows a fault: it is noticed already."""
        from hypothesis import Phase, settings  # noqa: PLC0415 - pytest wants to read it first

        phases = (Phase.explicit, Phase.generate)
        settings.register_profile("faults", settings.get_profile("half"), phases=phases)
        settings.load_profile("faults")

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try all faults."""
        from mutmut.state import state  # noqa: PLC0415 - only there while faults are tried

        if session.testsfailed or not session.items:
            message = "the tests cannot be read, or there are none"
            raise RuntimeError(message)
        at_import = set(state()._stats)
        self._session = session
        self._items = {item.nodeid: item for item in session.items}
        signal.signal(signal.SIGTERM, self._end)
        reached, took_s = self._reached()
        path = self._folder / RESULTS
        if path.exists():
            self._results = {
                name: tuple(each) for name, each in json.loads(path.read_text()).items()
            }
        left = [each for each in self._mutants if each not in self._results]
        wanted: list[Wanted] = []
        for name in left:
            tests = sorted(reached.get(function_of(name), ()), key=lambda each: took_s[each])
            anew = function_of(name) in at_import
            if tests or anew:
                takes_s = sum(took_s[each] for each in tests)
                wanted.append(Wanted(takes_s + ANEW_S * anew, name, tests, anew))
            else:
                self._results[name] = (NO_TEST, 0.0)
        self._try_all(sorted(wanted))
        return True

    def _end(self, *_: object) -> None:
        self._ends = True

    def _reached(self) -> tuple[dict[str, list[str]], dict[str, float]]:
        """Learn which tests reach which function, and how long each takes, once."""
        path = self._folder / STATS
        if not path.exists():
            names = list(self._items)
            parts = [names[at :: self._processes] for at in range(self._processes)]
            self._learn_all([each for each in parts if each], path)
            reached: dict[str, list[str]] = defaultdict(list)
            took: dict[str, float] = {}
            for part in path.parent.glob(f"{path.stem}.part-*"):
                found = json.loads(part.read_text("utf-8"))
                took |= found["took_s"]
                for function, tests in found["reached"].items():
                    reached[function] += tests
            path.write_text(json.dumps({"reached": reached, "took_s": took}), "utf-8")
        found = json.loads(path.read_text("utf-8"))
        return found["reached"], found["took_s"]

    def _learn_all(self, parts: list[list[str]], path: Path) -> None:
        """Run the tests of the sound program; leave is given back by each part that has ended."""
        waiting, running = dict(enumerate(parts)), set[int]()
        while waiting or running:
            if waiting and self._tokens.take():
                at, part = waiting.popitem()
                if not (pid := os.fork()):
                    _use_own_folder()
                    self._learn(part, path.with_name(f"{path.stem}.part-{at}"))
                running.add(pid)
            else:
                time.sleep(LOOK_S)
            for pid in list(running):
                found, status = os.waitpid(pid, os.WNOHANG)
                if found:
                    running.remove(pid)
                    self._tokens.give()
                    shutil.rmtree(_folder_of(pid), ignore_errors=True)
                    if status:
                        message = "a test of the sound program fails"
                        raise RuntimeError(message)

    def _learn(self, names: list[str], path: Path) -> None:
        from mutmut.state import state  # noqa: PLC0415

        os.environ["MUTANT_UNDER_TEST"] = "stats"
        forget()
        reached: dict[str, list[str]] = defaultdict(list)
        took_s = {}
        for name in names:
            state()._stats.clear()
            begun_s = time.process_time()
            if not self._passes([name]):
                sys.stderr.write(f"{name} fails without a fault\n")
                os._exit(1)
            took_s[name] = time.process_time() - begun_s
            for function in state()._stats:
                reached[function].append(name)
        path.write_text(json.dumps({"reached": reached, "took_s": took_s}), "utf-8")
        os._exit(0)

    def _passes(self, names: Sequence[str]) -> bool:
        items = [self._items[name] for name in names]
        for item, after in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if self._session.testsfailed:
                return False
        return True

    def _try_all(self, wanted: list[Wanted]) -> None:
        running: dict[int, Running] = {}
        kept_s = time.monotonic()
        while (wanted and not self._ends) or running:
            if self._ends:
                for pid in running:
                    os.killpg(pid, signal.SIGKILL)
            elif wanted and self._tokens.take():
                one = wanted.pop(0)
                begun_s = time.monotonic()
                if not (pid := os.fork()):
                    self._try(one)
                until_s = begun_s + WAITED * longest_s(one)
                running[pid] = Running(one.name, begun_s, until_s)
            else:
                time.sleep(LOOK_S)
            for pid, status, late in list(self._ended(running)):
                ended = running.pop(pid)
                self._tokens.give()
                shutil.rmtree(_folder_of(pid), ignore_errors=True)
                if self._ends and status:
                    continue
                is_late = late or (os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGXCPU)
                told = TIMEOUT if is_late else KILLED if status else SURVIVED
                lasted_s = round(time.monotonic() - ended.begun_s, 2)
                self._results[ended.name] = (told, lasted_s)
            if time.monotonic() - kept_s > KEEP_S:
                self._keep()
                kept_s = time.monotonic()
        self._keep()

    @staticmethod
    def _ended(running: dict[int, Running]) -> Iterator[tuple[int, int, bool]]:
        now_s = time.monotonic()
        for pid, one in running.items():
            found, status = os.waitpid(pid, os.WNOHANG)
            late = not found and now_s > one.until_s
            if late:
                os.killpg(pid, signal.SIGKILL)
                found, status = os.waitpid(pid, 0)
            if found:
                yield pid, status, late

    def _try(self, one: Wanted) -> None:
        """Run tests of a program with a fault, in the copy of this process."""
        os.setpgid(0, 0)
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        _use_own_folder()
        resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
        used = resource.getrusage(resource.RUSAGE_SELF)
        most_s = math.ceil(used.ru_utime + used.ru_stime + longest_s(one))
        resource.setrlimit(resource.RLIMIT_CPU, (most_s, most_s + 5))
        os.environ["MUTANT_UNDER_TEST"] = one.name
        forget()
        try:
            passes = self._passes(one.tests)
        except BaseException:  # noqa: BLE001 - whatever it is, the fault was noticed
            passes = False
        if passes and one.anew:
            words = ["-x", *self._session.config.invocation_params.args]
            done = subprocess.run(
                [sys.executable, "-m", "pytest", *words], check=False, stdout=subprocess.DEVNULL
            )
            passes = done.returncode == 0
        os._exit(not passes)

    def _keep(self) -> None:
        path = self._folder / RESULTS
        part = path.with_suffix(".part")
        part.write_text(json.dumps(self._results, indent=0), "utf-8")
        part.replace(path)


def _folder_of(pid: int) -> Path:
    return Path(tempfile.gettempdir()) / f"faults-{pid}"


def _use_own_folder() -> None:
    """Let pytest make its folders where no other process does: it gives up after ten tries."""
    folder = _folder_of(os.getpid())
    folder.mkdir(exist_ok=True)
    os.environ["PYTEST_DEBUG_TEMPROOT"] = str(folder)


def longest_s(one: Wanted) -> float:
    """Tell how long the tests of a fault may take, of the processor [s]."""
    return SLOWER * one.takes_s + LONGER_S


def function_of(mutant: str) -> str:
    """Name the function that a mutant is of, as mutmut does."""
    return mutant.rpartition("__mutmut_")[0]


def all_mutants(folder: Path) -> list[str]:
    """Name all faults of a copy."""
    found: list[str] = []
    for path in sorted((folder / "calllog").rglob("*.meta")):
        found += json.loads(path.read_text("utf-8"))["exit_code_by_key"]
    return found


def main(tests: Sequence[str], processes: int) -> int:
    """Try all faults of the copy in this folder that were not tried."""
    os.environ["MUTANT_UNDER_TEST"] = "stats"
    room = Room(all_mutants(Path()), Path(), processes)
    words = ["--rootdir=.", "-q", "--tb=no", "-p", "no:cacheprovider", "-m", "not slow", *tests]
    return int(pytest.main(words, plugins=[room]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[2:], int(sys.argv[1])))
