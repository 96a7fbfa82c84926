"""``cofire read`` at a screen asks which materials unknown names mean, and remembers them."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

pty = pytest.importorskip("pty")


def at_a_screen(folder: Path, typed: str) -> int:
    theirs, ours = pty.openpty()
    words = [sys.executable, "-m", "cofire", "read", "glaze.csv"]
    run = subprocess.Popen(words, cwd=folder, stdin=ours, stderr=ours, stdout=subprocess.DEVNULL)
    os.write(theirs, typed.encode())
    try:
        return run.wait(60)
    finally:
        os.close(theirs)
        os.close(ours)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "studio.toml").write_text("")
    (tmp_path / "glaze.csv").write_text("silica,30\nmag carb,10\nneph sy 270,60\n+ neph-sy 270,5\n")
    return tmp_path


def test_what_is_chosen_is_remembered(folder: Path) -> None:
    assert at_a_screen(folder, "2\n1\ny\n") == 0
    lines = (folder / "names.toml").read_text().splitlines()[2:]
    assert lines == ['"mag carb" = "light magnesium carbonate"', '"neph sy 270" = "neph sy"']
    assert at_a_screen(folder, "") == 0


@pytest.mark.parametrize("typed", ["0\n", "1\n0\n", "1\n1\nn\n"])
def test_nothing_is_written_without_a_yes(folder: Path, typed: str) -> None:
    assert at_a_screen(folder, typed) == 2
    assert not (folder / "names.toml").exists()
