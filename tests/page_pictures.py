"""Pictures of pages as people see them: light, dark, printed, on a phone; small, to be compared.

``python -m tests.page_pictures`` takes them anew into ``tests/pictures/pages``: look at each before
it is kept. A picture is a quarter as wide as what it shows: enough to see a cut table, a lost
banner or white words on white, and little enough that another font does not count.
"""

from __future__ import annotations

import io
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from calllog.office import summarise
from calllog.page import write_pages
from tests.fieldjob import field_job

FOLDER = Path(__file__).parent / "pictures" / "pages"
CHROMIUM = shutil.which("chromium")
SMALLER = 4
WRITTEN = "2031-05-06T08:00:00+00:00"


class View(NamedTuple):
    """One page, seen in one way."""

    page: str
    way: str
    """light, dark or print."""
    width: int
    height: int

    @property
    def name(self) -> str:
        """Of its picture."""
        return f"{self.page}-{self.way}-{self.width}"


VIEWS = (
    View("summary", "light", 1280, 1200),
    View("summary", "print", 1040, 760),
    View("summary", "light", 390, 1600),
    View("line-1", "light", 1280, 1800),
    View("line-1", "dark", 1280, 1800),
    View("line-1", "print", 1040, 1500),
    View("line-1", "light", 390, 2400),
    View("day", "dark", 390, 1600),
)


def write(folder: Path) -> Path:
    """Write the pages of the fixed job, at a fixed time."""
    job = field_job(folder / "job")
    write_pages(job, summarise(job, now=lambda: WRITTEN), folder / "out", has_clips=False)
    return folder / "out"


def pictures(out: Path, browser: Browser) -> Iterator[tuple[View, Image.Image]]:
    """Take a picture of each view, from the top of the page."""
    for view in VIEWS:
        scheme = "dark" if view.way == "dark" else "light"
        media = "print" if view.way == "print" else "screen"
        size = {"width": view.width, "height": view.height}
        with browser.new_context(viewport=size) as context:  # type: ignore[arg-type]
            page = context.new_page()
            page.emulate_media(color_scheme=scheme, media=media)  # type: ignore[arg-type]
            page.goto((out / f"{view.page}.html").as_uri())
            whole = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
            small = whole.reduce(SMALLER)
            yield view, small


def main() -> None:
    """Take all pictures anew."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as play:
        out = write(Path(scratch))
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        for view, picture in pictures(out, browser):
            colours = picture.quantize(64)
            colours.save(FOLDER / f"{view.name}.png", optimize=True)
        browser.close()


if __name__ == "__main__":
    main()
