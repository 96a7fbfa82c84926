"""Draws the picture of the bench in the README, as a real browser shows it.

python tests/page/picture.py
"""

from __future__ import annotations

import io
import os
import shutil
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright
from the_page import Bench

from cofire.model.standard_draws import N
from cofire.page import app
from cofire.studio import Studio

WIDE, HIGH, SHOWN = 1400, 1150, 900


def draw(folder: Path) -> bytes:
    """A screenshot as PNG."""
    Studio.init(folder)
    bench = Bench(folder)
    try:
        with sync_playwright() as play:
            chromium = play.chromium.launch(
                executable_path=os.environ.get("CHROMIUM") or shutil.which("chromium"),
                args=["--no-sandbox", "--disable-gpu"],
            )
            page = chromium.new_page(viewport={"width": WIDE, "height": HIGH})
            page.goto(bench.way_in)
            for n, glaze in enumerate(("clear-crackle", "turquoise-crackle")):
                page.select_option(f"#glaze{n}", glaze)
            page.select_option("#firing", "raku-workshop")
            page.select_option("#body", "yard-raku")
            page.click("text=Lay them out")
            page.wait_for_selector(f"#look[data-draws='{N}'][aria-busy='false']")
            return page.screenshot()
    finally:
        bench.end()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        (folder := Path(made) / "Saltgrass Yard").mkdir()
        shot = Image.open(io.BytesIO(draw(folder))).convert("RGB")
    size = (SHOWN, SHOWN * HIGH // WIDE)
    small = shot.resize(size, Image.Resampling.LANCZOS).quantize(120, Image.Quantize.FASTOCTREE)
    small.save(Path(app.__file__).with_name("bench.png"), optimize=True)
