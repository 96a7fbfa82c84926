from __future__ import annotations

import json
from typing import Any

import pytest


def test_batch_writes_the_sheets_that_its_answer_tells_of(cofire: Any) -> None:
    pypdf = pytest.importorskip("pypdf")
    asked = ("batch", "clear-crackle", "--dry", "1 kg", "--date", "2026-10-17")
    run = cofire(*asked, "--html", "a.html", "--pdf", "a.pdf", "--json")
    assert run.code == 0, run.err
    assert json.loads(run.out)
    page = (cofire.folder / "a.html").read_text()
    (paper,) = [p.extract_text() for p in pypdf.PdfReader(cofire.folder / "a.pdf").pages]
    for amount in ("600.0", "280.0", "120.0", "10.0", "1010.0"):  # 60, 28, 12 and 1 per 100
        assert f">{amount}<" in page and amount in paper.split()


def test_sheets_that_cannot_be_written_leave_nothing_behind(cofire: Any) -> None:
    run = cofire("batch", "clear-crackle", "--dry", "1 kg", "--pdf", "nowhere/a.pdf")
    assert run.code == 2 and "no such folder" in run.err
    assert not (cofire.folder / "nowhere").exists()
