from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from the_browser import FLAGS, FOUND, Browser
from the_page import Bench, Page

from cofire.studio import Studio


@pytest.fixture
def page(tmp_path: Path) -> Page:
    Studio.init(tmp_path / "yard")
    return Page(tmp_path / "yard")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """One program for all tests of a file."""
    folder = tmp_path_factory.mktemp("bench") / "yard"
    folder.mkdir()
    made = Bench(folder)
    yield made
    made.end()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=FOUND, args=FLAGS)
        yield started
        started.close()


@pytest.fixture
def browser(chromium: Any, bench: Bench) -> Iterator[Browser]:
    made = Browser(chromium, bench)
    yield made
    for window in made.windows:
        window.close()
    assert made.wrong == []
