"""Benchmark of the encoder model: time to load, share of real time, memory.

Run from the source tree, with the machine else at rest: ``python -m tests.bench.bench_encoder
[model folder]``; without a folder the model that travels with the program is taken. All runs in
one thread. The sound is a spoken call, cut or repeated to length, so that it is not sure and heard
again at the other speeds; a sure one is not. Budgets: loaded in 0.5 s, 0.05 of real time for
utterances of 1 to 3 s, 150 MB.
"""

from __future__ import annotations

import os
import resource
import statistics
import sys
import time
from pathlib import Path

import numpy as np

from calllog.audio import RATE_HZ, Utterance
from calllog.commands.engine import load_words
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.resources import ENCODER_MODEL, model_folder
from calllog.values import Expectation
from tests.audio.clips import spoken
from tests.measured.results import keep

SECONDS = (1.0, 2.0, 3.0, 8.0)
ROUNDS = 10
BUDGETS = {"load [s]": 0.5, "share of real time": 0.05, "peak resident memory [MB]": 150}
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS")


def measure(model: Path) -> dict[str, object]:
    """Load the model, hear calls of each length under each expectation, and tell what it took."""
    grammar, _ = load_words()
    started = time.perf_counter()
    engine = EncoderRecogniser(grammar, model)
    load_s = time.perf_counter() - started
    once = EncoderRecogniser(grammar, model, speeds=())
    call = np.tile(spoken("flite-rms", "one_hundred"), 20)
    lead = 3e-4 * np.random.default_rng(1).standard_normal(RATE_HZ).astype(np.float32)
    shares: dict[str, dict[str, float]] = {}
    for expects in Expectation:
        for one in (once, engine):
            one.recognise(_utterance(call[:RATE_HZ], lead), expects)
        shares[expects] = {}
        for seconds in SECONDS:
            for more, one in (("", once), (", heard again", engine)):
                took_s = []
                for turn in range(ROUNDS):
                    begin = turn * 1_000
                    samples = call[begin : begin + int(seconds * RATE_HZ)]
                    began = time.perf_counter()
                    one.recognise(_utterance(samples, lead), expects)
                    took_s.append(time.perf_counter() - began)
                share = round(statistics.median(took_s) / seconds, 4)
                shares[expects][f"{seconds:.0f} s{more}"] = share
    return {
        "model": engine.identity,
        "load [s]": round(load_s, 3),
        "share of real time": shares,
        "peak resident memory [MB]": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
        "budgets": BUDGETS,
    }


def _utterance(samples: np.ndarray, lead: np.ndarray) -> Utterance:
    return Utterance(samples, lead, 0.0, len(samples) / RATE_HZ, 0, "bench", is_cut=False)


def main() -> None:
    """Start again with one thread, unless it is so already, and measure."""
    if any(name not in os.environ for name in THREADS):
        command = [sys.executable, "-m", "tests.bench.bench_encoder", *sys.argv[1:]]
        os.execve(sys.executable, command, os.environ | dict.fromkeys(THREADS, "1"))  # noqa: S606 - this interpreter
    model = Path(sys.argv[1]) if len(sys.argv) > 1 else model_folder(ENCODER_MODEL)
    keep("encoder", measure(model), n=f"the median of {ROUNDS} rounds", voices=("flite-rms",))


if __name__ == "__main__":
    main()
