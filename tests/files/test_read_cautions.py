"""The list of cautions that were read in a studio."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from cofire.files.read_cautions import NAME, keep_as_read, read_cautions
from cofire.findings import Finding

DUST = Finding("silica-dust", "warning", "Dust.", act="mixing", materials=("kaolin", "silica"))


def test_what_is_kept_reads_back_and_stands_once(tmp_path: Path) -> None:
    assert read_cautions(tmp_path) == frozenset()
    for _ in range(2):
        keep_as_read(tmp_path, [DUST, Finding("burns", "danger", "Hot.", act="firing")])
    assert read_cautions(tmp_path) == {("silica-dust", "kaolin"), ("silica-dust", "silica")}
    text = (tmp_path / NAME).read_text()
    assert text.count("silica-dust kaolin") == 1 and text.startswith("# ")


def test_what_a_person_wrote_into_it_stays(tmp_path: Path) -> None:
    (tmp_path / NAME).write_text("# mine\ncopper copper-carbonate\nsome words of mine")
    keep_as_read(tmp_path, [DUST])
    assert (
        (tmp_path / NAME).read_text().startswith("# mine\ncopper copper-carbonate\nsome words of")
    )
    assert ("copper", "copper-carbonate") in read_cautions(tmp_path)


def test_a_deleted_line_is_unread_again(tmp_path: Path) -> None:
    keep_as_read(tmp_path, [DUST])
    path = tmp_path / NAME
    path.write_text("".join(x for x in path.read_text().splitlines(True) if "kaolin" not in x))
    assert read_cautions(tmp_path) == {("silica-dust", "silica")}


def test_a_folder_that_cannot_be_written_only_forgets(tmp_path: Path) -> None:
    (tmp_path / NAME).mkdir()
    keep_as_read(tmp_path, [DUST])
    assert read_cautions(tmp_path) == frozenset()
    assert [p.name for p in tmp_path.iterdir()] == [NAME]


def test_only_a_terminal_counts_as_read(cofire: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    run = cofire("formula", "clear-crackle")
    assert "scars lungs for good" in run.out and not (cofire.folder / NAME).exists()
    import sys

    monkeypatch.setattr(type(sys.stdout), "isatty", lambda _: True, raising=False)
    assert "scars lungs for good" in cofire("formula", "clear-crackle").out
    assert (cofire.folder / NAME).exists()
    assert "scars lungs for good" not in cofire("formula", "clear-crackle").out
    assert "scars lungs" in cofire("formula", "clear-crackle", "--cautions").out.replace("\n", " ")
