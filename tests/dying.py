"""Work on a job that ends its process, or fails; light, since processes load it anew."""

from __future__ import annotations

import os
from pathlib import Path


def die(folder: Path) -> int:
    """Do something with a job, but die or fail in two of them."""
    if folder.name == "job-02":
        os._exit(9)
    if folder.name == "job-03":
        raise TypeError(folder.name)
    return 1
