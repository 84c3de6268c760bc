"""Benchmark of the crew's phones: two browsers play the demo's crew, on networks good and bad.

Two headless Chromiums of a phone's size are head's and rear's phones; each has what that person's
microphone heard in the demo's recording as its own, the other one's voice lowered by 30 dB, since
two browsers do not begin at quite the same moment. TLS and WebSocket are real; the network is a
carrier of our own (`tests.rough_network`). What is called and booked is held against what a file of
the same gives (`tests.bench.crew_trials`). ``cuts on paper`` is in simulated time, without
browsers (`tests.bench.phones_on_paper`). All of it is heard by the default listener.

    python -m tests.bench.bench_crew_phones [TIMES [TRIAL ...]]

A trial lasts as long as its sound, a minute or more, and needs a third of a core: those that are
timed (`TIMED`) have the computer alone, the others, and the cuts on paper, are run `ABREAST`.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from pathlib import Path
from statistics import median, quantiles
from typing import Any

import numpy as np
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import sync_playwright

from calllog.phone.crew import CrewPhones
from calllog.server.frames import FRAME, FRAME_S, Frame, hand_on
from calllog.values import Role
from tests.bench.crew_mishaps import TRIALS
from tests.bench.crew_trials import play
from tests.bench.noting import IN_EAR, ON_WAY, TAKEN
from tests.bench.phones_on_paper import cuts_on_paper
from tests.crew_phones import CrewOfPhones, spoken
from tests.measured.results import ROOT, build, keep

CLIP = Path(__file__).parents[1] / "audio" / "flite-rms" / "forty_two.flac"
CALLS, TIMES = "what became of the calls", "times and processor"
PAGE_USES = "page's process [% of a core]"
PARTS = {1: "crew-phones", 3: "crew-phones-thrice"}
"""By how often each trial is run."""
TIMED = ("day", "words in the ear")
ABREAST = 4
PAPER = "cuts on paper"
ONE = "--one"
TRIES = 2
AGAIN: Counter[str] = Counter()
"""Trials that came to no end, since a browser or program was too slow for it."""
DOWN = ROOT / "build" / "bench" / "crew-phones"
"""What came of each run, so that what was broken off goes on where it stopped."""
REMARK = "CALLLOG_BENCH_REMARK"
"""Variable of the environment: what was special about the computer while this was measured."""
WORDS = "api/words"
"""What a phone fetches once and keeps: no part of the page."""


def processor() -> dict[str, Any]:
    """Measure what the field loop's side of two phones takes, in 60 s of their sound [%]."""
    phones = CrewPhones((Role.HEAD, Role.REAR), (Role.HEAD, Role.REAR))
    begun_s, blocks = time.monotonic(), 0
    sound = np.random.default_rng(1).normal(0, 900, FRAME).astype("<i2").tobytes()
    with phones.hand_over() as theirs:
        used_s = time.process_time()
        for number in range(3000):
            at_s = begun_s + number * FRAME_S
            phones.clock = lambda at_s=at_s: at_s + FRAME_S  # type: ignore[misc]
            for role in phones.roles:
                theirs.send(hand_on(role, 1, Frame(number, at_s, sound)))
            while phones.read(0.0) is not None:
                blocks += 1
        used_s = time.process_time() - used_s
    phones.close()
    return {"field loop's side [% of a core]": round(100 * used_s / 60, 2), "blocks": blocks}


def page_weight() -> dict[str, Any]:
    """Measure what a crew phone loads until it listens [kB], the words that it keeps apart."""
    got: dict[str, int] = {}
    with tempfile.TemporaryDirectory(prefix="cl") as folder, sync_playwright() as started:
        with CrewOfPhones(started, Path(folder) / "job") as crew:
            context = crew.screen(crew.browse("head", spoken([CLIP], Path(folder) / "head.wav")))

            def count(response: Any) -> None:  # noqa: ANN401 - Playwright's own
                try:
                    size = len(response.body())
                except PlaywrightError:  # the page has gone on since
                    size = int(response.headers["content-length"])
                got[response.url.rpartition("127.0.0.1:")[2]] = size

            context.on("response", count)
            crew.pair(context, "head", "Ash")
            crew.begin()
        apart = sum(size for url, size in got.items() if WORDS in url)
    return {
        "page and all that it loads [kB]": round((sum(got.values()) - apart) / 1000, 1),
        "words, fetched once [kB]": round(apart / 1000, 1),
        "requests": len(got),
    }


APART = {"processor": processor, "page": page_weight}


EVERYTHING = (*APART, PAPER, *TRIALS)


def main(times: int, names: Sequence[str]) -> int:
    """Run trials, and keep what has come of all of them; give an exit code.

    What has come of each is put down at once, and is not done again for the same program.
    """
    result: dict[str, Any] = {}
    trials: dict[str, list[dict[str, Any]]] = {}
    for name in names:
        if name in APART:
            result[name] = APART[name]()
    DOWN.mkdir(parents=True, exist_ok=True)
    wanted = [(name, number) for number in range(times) for name in names if name in TRIALS]
    wanted = [(name, 0) for name in names if name == PAPER] + wanted
    failed = 0

    def take(trial: tuple[str, int]) -> None:
        nonlocal failed
        name, number = trial
        if not (down := _down(name, number)).exists():
            failed += 1
            return
        found = json.loads(down.read_text("utf-8"))
        if name == PAPER:
            result[PAPER] = found
        else:
            trials.setdefault(name, []).append(found)
        print(name, json.dumps(found), file=sys.stderr, flush=True)  # noqa: T201 - as it goes

    for trial in (each for each in wanted if each[0] in TIMED):
        take(_run(trial))
    with ThreadPoolExecutor(ABREAST) as pool:
        begun = [pool.submit(_run, each) for each in wanted if each[0] not in TIMED]
        for each in as_completed(begun):
            take(each.result())
    order = {each: place for place, each in enumerate(TRIALS)}
    tell(dict(sorted(trials.items(), key=lambda each: order[each[0]])), result, PARTS[times])
    return bool(failed)


def _down(name: str, number: int) -> Path:
    return DOWN / f"{build()} {name.replace('/', ' ')} {number}.json"


def _run(trial: tuple[str, int]) -> tuple[str, int]:
    """Run a trial in a process of its own, unless it was; once more if browsers give it up."""
    name, number = trial
    words = (sys.executable, "-m", __spec__.name, ONE, name, str(number))
    for _ in range(TRIES):
        if _down(name, number).exists():
            break
        AGAIN[name] += subprocess.run(words, cwd=ROOT, check=False).returncode != 0
    return trial


def one(name: str, number: int) -> None:
    """Run a trial here, or the cuts on paper, and put down what came of it."""
    DOWN.mkdir(parents=True, exist_ok=True)
    if name == PAPER:
        found = cuts_on_paper()
    else:
        with tempfile.TemporaryDirectory(prefix="cl") as folder:
            found = play(TRIALS[name], Path(folder))
    _down(name, number).write_text(json.dumps(found), "utf-8")


def tell(trials: dict[str, list[dict[str, Any]]], result: dict[str, Any], part: str) -> None:
    """Keep what was measured."""
    if "day" in trials and "processor" in result:
        served = median(each[PAGE_USES] for each in trials["day"])
        result["processor"]["page's process, in the day [% of a core]"] = served
        both = served + result["processor"]["field loop's side [% of a core]"]
        result["processor"]["both phones [% of a core]"] = round(both, 1)
    tables: dict[str, dict[str, Any]] = {title: {} for title in (CALLS, TIMES)} if trials else {}
    for name, found in trials.items():
        tables[CALLS][name] = {"runs": len(found)} | called(found)
        tables[TIMES][name] = timed(found)
    runs = sorted({len(found) for found in trials.values()})
    if any(AGAIN.values()):
        result["came to no end, times"] = dict(+AGAIN)
    keep(
        part,
        tables | result,
        n=f"{len(trials)} trials, each {' or '.join(map(str, runs))} times",
        remark=os.environ.get(REMARK, ""),
    )


def called(found: list[dict[str, Any]]) -> dict[str, Any]:
    """Sum what became of the calls of some runs, and count the runs that were as they ought."""
    summed = {
        name: sum(each[name] for each in found)
        for name, one in found[0].items()
        if isinstance(one, int) and not isinstance(one, bool)
    }
    counted = {
        f"runs: {name}": sum(each[name] for each in found)
        for name, one in found[0].items()
        if isinstance(one, bool)
    }
    words = {
        name: "; ".join(sorted({part for each in found for part in each[name].split("; ")} - {""}))
        for name in ("differs", "console")
    }
    return summed | counted | words


def timed(found: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the medians of some runs, of each call of all of them where calls are timed."""
    told: dict[str, Any] = {}
    for name in (TAKEN, ON_WAY, IN_EAR):
        each = [one for run in found for one in run[name]]
        told[f"{name}, median [ms]"] = round(median(each)) if each else None
    told[f"{IN_EAR}, 9 of 10 within [ms]"] = round(quantiles(each, n=10)[-1]) if each else None
    told["sayings timed"] = sum(len(run[ON_WAY]) for run in found)
    told["calls timed"] = sum(len(run[IN_EAR]) for run in found)
    for name in dict.fromkeys(name for run in found for name in run):
        if any(unit in name for unit in ("[s]", "[%", "load")):
            known = [run[name] for run in found if run.get(name) is not None]
            told[name] = round(median(known), 2) if known else None
    return told


if __name__ == "__main__":
    match sys.argv[1:]:
        case [option, name, number] if option == ONE:
            one(name, int(number))
        case [times, *names]:
            sys.exit(main(int(times), names or EVERYTHING))
        case _:
            sys.exit(main(1, EVERYTHING))
