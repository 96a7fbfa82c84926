"""What people install is what the checkout shows: the wheel carries the data, and only that."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    words = ["wheel", "--quiet", "--no-deps", "--no-build-isolation", "--wheel-dir", str(folder)]
    subprocess.run([sys.executable, "-m", "pip", *words, str(ROOT)], check=True)
    return next(folder.glob("*.whl"))


def test_data_is_inside_and_measurements_are_not(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    for kind in ("materials", "recipes"):
        for path in (ROOT / kind).rglob("*.toml"):
            assert f"cofire/_data/{path.relative_to(ROOT).as_posix()}" in names
    assert not [n for n in names if n.endswith(".csv.gz")]
    assert any(n.endswith("NOTICE") for n in names)


def test_an_unpacked_wheel_answers_like_the_checkout(wheel: Path, tmp_path: Path) -> None:
    zipfile.ZipFile(wheel).extractall(tmp_path / "site")
    code = "import sys; from cofire.cli.main import main; main()"

    def ask(*words: str, path: str) -> str:
        run = subprocess.run(
            [sys.executable, "-c", code, *words],
            env={**os.environ, "PYTHONPATH": path},
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=False,
        )
        assert run.returncode == 0, run.stderr
        return run.stdout

    for words in (("materials", "--json"), ("formula", "clear-crackle", "--json")):
        installed = ask(*words, path=str(tmp_path / "site"))
        assert json.loads(installed) == json.loads(ask(*words, path=str(ROOT / "src")))
