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


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    (tmp_path / "yard").mkdir()
    made = Bench(tmp_path / "yard")
    yield made
    made.end()
