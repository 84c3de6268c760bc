"""Fuzz one target: ``python -m tests.torture.fuzz.run NAME CASES FOLDER [SEED]``.

Coverage guides it: atheris changes cases and keeps those that reach code which none reached before.
A case that fails is kept in FOLDER and counted, and the run goes on; ``result.json`` there has
the counts.
"""

from __future__ import annotations

import json
import logging
import os
import sys
import traceback
from collections import Counter
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["calllog"]):
    from tests.torture.fuzz.target import Target
    from tests.torture.fuzz.targets import TARGETS


class Attempts:
    """Counts the cases of a target, and ends the process after the last."""

    def __init__(self, target: Target, cases: int, folder: Path) -> None:
        self._target = target
        self._left = cases
        self._folder = folder
        self._failed: Counter[str] = Counter()
        self._tried = 0

    def attempt(self, data: bytes) -> None:
        """Try one case."""
        try:
            self._target.attempt(data)
        except Exception as error:  # noqa: BLE001 - each is a defect, whatever it is
            self._keep(error, data)
        self._tried += 1
        if self._tried >= self._left:
            self._end()

    def _keep(self, error: Exception, data: bytes) -> None:
        last = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{type(error).__name__} in {Path(last.filename).name} line {last.lineno}"
        if place not in self._failed:
            number = len(self._failed) + 1
            (self._folder / f"failed-{number}").write_bytes(data)
            (self._folder / f"failed-{number}.txt").write_text(
                f"{data!r}\n" + "".join(traceback.format_exception(error)), "utf-8"
            )
        self._failed[place] += 1

    def _end(self) -> None:
        result = {"tried": self._tried, "failed": self._failed}
        (self._folder / "result.json").write_text(json.dumps(result), "utf-8")
        sys.stdout.flush()
        os._exit(0)


def main(name: str, cases: int, folder: Path, begun: str = "1") -> None:
    """Fuzz a target."""
    logging.disable()
    (target,) = (each for each in TARGETS if each.name == name)
    corpus = folder / "corpus"
    corpus.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(target.seeds()):
        (corpus / f"seed-{number}").write_bytes(seed)
    options = [
        f"-max_len={target.longest}",
        "-timeout=60",
        "-rss_limit_mb=2048",
        "-print_final_stats=0",
        "-verbosity=0",
        f"-artifact_prefix={folder}/",
        f"-seed={begun}",
    ]
    attempts = Attempts(target, cases, folder)
    atheris.Setup([sys.argv[0], *options, str(corpus)], attempts.attempt)
    atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), Path(sys.argv[3]), *sys.argv[4:])
