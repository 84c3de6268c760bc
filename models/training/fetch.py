"""Fetches what the registries carry for Kokoro: its speakers' styles; shell (network).

``python -m models.training.fetch`` puts the style files of npm's `kokoro-js` 1.2.1 (Apache-2.0)
into a folder of the user's cache, after a check of the archive's SHA-256.
"""

from __future__ import annotations

import hashlib
import io
import os
import sys
import tarfile
import urllib.request
from pathlib import Path

ARCHIVE = "https://registry.npmjs.org/kokoro-js/-/kokoro-js-1.2.1.tgz"
SHA256 = "1f0d0383ef0349af0bd9440d81dc12abbea3a5392eb645283eda876f537f5860"
INSIDE = "package/voices/"


def styles_folder() -> Path:
    """Name the folder of the style files, whether they are there or not."""
    cache = Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache"))
    return Path(os.environ.get("KOKORO_STYLES", cache / "calllog-training" / "kokoro-styles"))


def fetch() -> Path:
    """Fetch the style files unless they are there; give their folder."""
    folder = styles_folder()
    if any(folder.glob("*.bin")):
        return folder
    with urllib.request.urlopen(ARCHIVE, timeout=120) as answer:
        data = answer.read()
    if hashlib.sha256(data).hexdigest() != SHA256:
        sys.exit(f"{ARCHIVE} is not the archive that was looked at; nothing was kept")
    folder.mkdir(parents=True, exist_ok=True)
    with tarfile.open(fileobj=io.BytesIO(data)) as archive:
        for member in archive:
            if member.name.startswith(INSIDE) and (file := archive.extractfile(member)):
                (folder / Path(member.name).name).write_bytes(file.read())
    return folder


if __name__ == "__main__":
    sys.stdout.write(f"{fetch()}\n")
