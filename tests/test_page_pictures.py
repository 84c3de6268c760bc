"""Pages look as they were when somebody looked at them: light, dark, printed, on a phone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageStat
from playwright.sync_api import sync_playwright

from tests.page_pictures import CHROMIUM, FOLDER, VIEWS, View, pictures, write

CELL = 8
"""Pixels of a small picture that are looked at together: 32 on the screen, about a row."""
MEAN, MOST, SHARE = 10.0, 30, 0.02
"""Of 255: how much a picture may differ on the whole, and a cell of it; how many cells may more."""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="needs the Debian package chromium"),
]


@pytest.fixture(scope="module")
def taken(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Image.Image]]:
    """Take all pictures of today's pages."""
    out = write(tmp_path_factory.mktemp("pictures"))
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield {view.name: picture for view, picture in pictures(out, browser)}
        browser.close()


def difference(one: Image.Image, other: Image.Image) -> tuple[float, float]:
    """Tell how much two pictures differ: on the whole, and the share of cells that differ much."""
    grey = ImageChops.difference(one.convert("L").reduce(CELL), other.convert("L").reduce(CELL))
    beyond = grey.point(lambda value: 255 if value > MOST else 0)
    return ImageStat.Stat(grey).mean[0], ImageStat.Stat(beyond).mean[0] / 255


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_page_looks_as_it_did(view: View, taken: dict[str, Image.Image], tmp_path: Path) -> None:
    """By tolerance: another font or a word more passes, a lost banner or a cut table does not."""
    kept = Image.open(FOLDER / f"{view.name}.png").convert("RGB")
    now = taken[view.name]
    now.save(tmp_path / f"{view.name}.png")
    assert now.size == kept.size
    mean, share = difference(now, kept)
    hint = f"{tmp_path}/{view.name}.png differs; look at it, then python -m tests.page_pictures"
    assert mean <= MEAN, hint
    assert share <= SHARE, hint


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_a_lost_banner_or_the_wrong_ground_would_be_noticed(view: View) -> None:
    """The tolerance is not so wide that anything passes."""
    kept = Image.open(FOLDER / f"{view.name}.png").convert("RGB")
    wide, high = kept.size
    lost, ground = kept.copy(), kept.getpixel((wide - 1, 2))
    assert isinstance(ground, tuple)
    lost.paste(ground, (0, round(high * 0.02), wide, round(high * 0.12)))
    assert difference(lost, kept)[1] > SHARE
    assert difference(ImageChops.invert(kept), kept)[0] > MEAN
