"""A real browser without a network, and what people do in it."""

from __future__ import annotations

import io
import os
import shutil
from typing import Any, Protocol

import pytest

from cofire.model.standard_draws import N

FOUND = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
#: For a file of tests that need a browser.
NEEDS_CHROMIUM = pytest.mark.skipif(
    FOUND is None, reason="NO CHROMIUM: these journeys did not run; apt-get install chromium"
)
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
ALL = f"#look[data-draws='{N}'][aria-busy='false']"
#: A busy machine is no mistake, ms.
PATIENCE = 60_000


class Served(Protocol):
    """A page that is served: where, and the address that lets its owner in."""

    origin: str
    way_in: str


class Browser:
    """Windows of a browser of its own, which note what must not happen."""

    def __init__(self, chromium: Any, bench: Served) -> None:
        self.chromium, self.bench = chromium, bench
        self.wrong: list[str] = []
        self.windows: list[Any] = []

    def window(self, **how: Any) -> Any:
        how.setdefault("viewport", {"width": 1400, "height": 1000})
        context = self.chromium.new_context(**how)
        self.windows.append(context)
        context.on("request", self._asked)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.on("console", self._said)
        page.on("pageerror", lambda error: self.wrong.append(f"error: {error}"))
        page.goto(self.bench.way_in)
        page.goto(f"{self.bench.origin}/?choose=1")
        return page

    def _asked(self, request: Any) -> None:
        if not request.url.startswith((self.bench.origin, "data:")):
            self.wrong.append(f"asked for {request.url}")

    def _said(self, message: Any) -> None:
        if message.type == "error" and "ERR_CONNECTION" not in message.text:
            self.wrong.append(f"{message.text} {message.location['url']}")


def lay_out(
    page: Any, *glazes: str, firing: str = "raku-workshop", body: str = "yard-raku"
) -> None:
    for n, glaze in enumerate(glazes):
        page.select_option(f"#glaze{n}", glaze)
    page.select_option("#firing", firing)
    page.select_option("#body", body)
    page.click("text=Lay them out")
    page.wait_for_selector(ALL)


def printed(page: Any) -> str:
    """The text of a page as it is printed."""
    from pypdf import PdfReader

    return "\n".join(one.extract_text() for one in PdfReader(io.BytesIO(page.pdf())).pages)


def number(page: Any, name: str) -> float:
    return float(page.locator(f"[data-number={name}] data").first.get_attribute("value"))


def violations(page: Any, **options: Any) -> list[str]:
    """What axe-core finds."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, options=options).response["violations"]
    return [f"{v['id']}: {v['nodes'][0]['html'][:160]}" for v in found]
