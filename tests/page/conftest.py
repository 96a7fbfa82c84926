from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
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
