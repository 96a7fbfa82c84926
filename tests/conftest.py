from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

# as the program does for itself: workers side by side would wait for each other's threads
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest
from hypothesis import settings

from cofire.cli.main import main

# a busy machine is no mistake: nothing here fails for being slow; and the same cases are tried each
# time, others with COFIRE_EXPLORE=1
settings.register_profile("any machine", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None)
settings.load_profile("explore" if os.environ.get("COFIRE_EXPLORE") else "any machine")


@dataclass(frozen=True)
class Run:
    code: int
    out: str
    err: str


class Program:
    """The command line in this process, in a studio folder of its own."""

    def __init__(
        self, folder: Path, patch: pytest.MonkeyPatch, capture: pytest.CaptureFixture[str]
    ) -> None:
        self.folder, self._patch, self._capture = folder, patch, capture

    def write(self, name: str, text: str | bytes) -> Path:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    def __call__(self, *words: object) -> Run:
        self._patch.setattr("sys.argv", ["cofire", *map(str, words)])
        self._capture.readouterr()
        with pytest.raises(SystemExit) as left:
            main()
        caught = self._capture.readouterr()
        code = left.value.code
        return Run(code if isinstance(code, int) else 70, caught.out, caught.err)


@pytest.fixture
def cofire(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Program:
    (tmp_path / "studio.toml").write_text("")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COFIRE_STUDIO", raising=False)
    monkeypatch.setenv("COLUMNS", "100")
    return Program(tmp_path, monkeypatch, capsys)
