"""Takes the README's pictures from the shipped demo: the terminal and the field page; shell.

``python -m tests.make_pictures`` runs the demo and ``calllog page``, and lets Chromium draw what
they made into ``tests/pictures``.
"""

from __future__ import annotations

import html
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

FOLDER = Path(__file__).parent / "pictures"
LINES = 36
"""Of the demo's output, from the top."""
TERMINAL = """<!doctype html><meta charset="utf-8"><style>
body { margin: 0; background: #15181c; color: #e8e8e8; }
pre { margin: 16px; font: 14px/1.35 "DejaVu Sans Mono", monospace; white-space: pre-wrap; }
</style><pre>"""


def main() -> None:
    """Take both pictures."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as play:
        job = Path(scratch) / "demo-job"
        said = _calllog("demo", "--out", str(job))
        _calllog("page", str(job), "--out", f"{scratch}/page")
        shown = "\n".join(said.splitlines()[:LINES])
        terminal = Path(scratch) / "terminal.html"
        terminal.write_text(
            f"{TERMINAL}$ calllog demo --out demo-job\n{html.escape(shown)}", "utf-8"
        )
        browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        for name, path, width, height in (
            ("terminal", terminal, 1000, 760),
            ("page", Path(scratch) / "page" / "line-1.html", 1600, 1000),
        ):
            view = browser.new_page(viewport={"width": width, "height": height})
            view.goto(path.as_uri())
            view.screenshot(path=str(FOLDER / f"{name}.png"))
        browser.close()


def _calllog(*words: str) -> str:
    command = [sys.executable, "-m", "calllog.cli", *words]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


if __name__ == "__main__":
    main()
