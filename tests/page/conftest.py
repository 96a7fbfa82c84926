from __future__ import annotations

import signal
from collections.abc import Iterator
from pathlib import Path
from threading import current_thread, main_thread
from typing import Any

import pytest
from the_browser import FLAGS, FOUND, Browser
from the_page import Bench, Page

from cofire.studio import Studio

#: No test here waits longer than this, s, nor its end a quarter of it: a busy machine is no
#: mistake, but a browser's script is waited for without an end.
PATIENCE_S = 300


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol() -> Iterator[None]:
    def late(*_: object) -> None:
        raise TimeoutError(f"this test waits for more than {PATIENCE_S} s")

    if not hasattr(signal, "setitimer") or current_thread() is not main_thread():
        return (yield)
    was = signal.signal(signal.SIGALRM, late)
    signal.setitimer(signal.ITIMER_REAL, PATIENCE_S, PATIENCE_S / 4)
    try:
        return (yield)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, was)


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
