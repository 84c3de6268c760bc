"""Runs a command on a Dask cluster of two workers, one of them a process that a test can kill.

``python -m tests.cluster PID_FILE WORD...`` begins a real scheduler with a worker beside it, a
second worker in a process of its own, whose number goes into the file, and then the command with
``--scheduler``. All of them speak TCP. A scheduler and workers of three processes more would be the
same to the command, and take seconds to begin.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from distributed import LocalCluster

from calllog.cli import main as calllog

WORKER = (sys.executable, "-m", "distributed.cli.dask_worker", "--no-dashboard", "--no-nanny")


def main() -> None:
    """Begin the cluster, run the command, end all."""
    file, *words = sys.argv[1:]
    begin: Any = LocalCluster  # has no types
    here = {"host": "127.0.0.1", "protocol": "tcp://", "dashboard_address": None}
    with begin(n_workers=1, threads_per_worker=1, processes=False, **here) as cluster:
        address = cluster.scheduler_address
        other = subprocess.Popen([*WORKER, "--nthreads", "1", "--host", "127.0.0.1", address])
        try:
            while len(cluster.scheduler.workers) < 2 and other.poll() is None:
                time.sleep(0.02)
            Path(file).write_text(str(other.pid), "utf-8")
            sys.argv[1:] = [*words, "--scheduler", address]
            calllog()
        finally:
            other.kill()
            other.wait()


if __name__ == "__main__":
    main()
