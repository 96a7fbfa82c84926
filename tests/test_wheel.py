"""The wheel: what people install holds what they need and nothing else, and answers the same."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from email.parser import Parser
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
RUN = "from cofire.cli.main import main; main()"
ODBL = "ODbL-1.0.txt"

pytest.importorskip("hatchling", reason="the wheel is built with hatchling, which is missing")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    # pip would call this very backend; asked directly it needs neither pip nor a network
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def names(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


@pytest.fixture(scope="module")
def unpacked(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("unpacked")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def run(path: Path, cwd: Path, *words: str, code: str = RUN) -> str:
    """What cofire says when it is imported from ``path`` and called from ``cwd``."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("COFIRE", "PYTHON"))}
    environment |= {"PYTHONPATH": str(path), "PYTHONDONTWRITEBYTECODE": "1"}
    environment |= {"PYTHONIOENCODING": "utf-8", "COLUMNS": "100"}
    done = subprocess.run(
        [sys.executable, "-c", code, *words],
        cwd=cwd, env=environment, capture_output=True, encoding="utf-8",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize("kind", ["materials", "recipes"])
def test_all_that_can_be_named_is_inside(names: set[str], kind: str) -> None:
    checkout = {p.relative_to(ROOT).as_posix() for p in (ROOT / kind).rglob("*.toml")}
    assert len(checkout) > 10
    inside = {
        n.removeprefix("cofire/_data/") for n in names if n.startswith(f"cofire/_data/{kind}/")
    }
    assert inside == checkout


def test_every_module_and_table_of_the_code_is_inside(names: set[str]) -> None:
    source = ROOT / "src"
    left_out = source / "cofire" / "glass" / "measured"
    expected = {
        p.relative_to(source).as_posix()
        for p in (source / "cofire").rglob("*")
        if p.is_file() and "__pycache__" not in p.parts and left_out not in p.parents
    }
    assert expected <= names
    assert "cofire/py.typed" in names


def test_the_measured_glasses_and_the_tests_stay_at_home(names: set[str], wheel: Path) -> None:
    """The measured data have their own share-alike licence, and cofire runs without them."""
    installed = [n for n in names if ".dist-info/" not in n]
    assert not [n for n in installed if "/measured/" in n or n.endswith((".csv.gz", ".pyc"))]
    assert {n.split("/")[0] for n in installed} == {"cofire"}
    assert wheel.stat().st_size < 2_000_000


def test_the_papers_are_in_order(names: set[str], wheel: Path) -> None:
    (metadata,) = (n for n in names if n.endswith(".dist-info/METADATA"))
    folder = metadata.removesuffix("METADATA")
    papers = ("LICENSE", "NOTICE", "src/cofire/glass/measured/LICENCE.md")
    papers += tuple(f"src/cofire/glass/coefficients/{name}" for name in ("LICENCE.md", ODBL))
    assert {f"{folder}licenses/{paper}" for paper in papers} <= names
    with zipfile.ZipFile(wheel) as archive:
        head = Parser().parsestr(archive.read(metadata).decode())
        scripts = archive.read(f"{folder}entry_points.txt").decode()
    assert head["Name"] == "cofire"
    assert head["License-Expression"] == "MIT AND ODbL-1.0"
    assert "Programming Language :: Python :: 3.11" in head.get_all("Classifier", [])
    assert "cofire = cofire.cli.start:run" in scripts
    needed = [r for r in head.get_all("Requires-Dist", []) if "extra ==" not in r]
    for name in ("molmass", "hypothesis", "pytest"):
        assert not any(r.startswith(name) for r in needed), name


def test_the_licence_of_the_data_is_whole_and_named_where_it_is_due() -> None:
    """ODbL 1.0, sections 4.2 and 4.3: the text goes with the data, a notice with what is made of
    it."""
    glass = ROOT / "src" / "cofire" / "glass"
    text = (glass / "coefficients" / ODBL).read_text("utf-8")
    assert text.startswith("## Open Data Commons Open Database License (ODbL)")
    assert all(f"{section}.0 " in text for section in range(1, 11))
    named = "made available under the Open Database License (ODbL) 1.0"
    pages = ("coefficients/card.html", "refit/card_page.html")
    papers = ("coefficients/LICENCE.md", "measured/LICENCE.md")
    for path in (ROOT / "NOTICE", *(glass / name for name in pages + papers)):
        assert named in " ".join(path.read_text("utf-8").split()), path


@pytest.mark.parametrize(
    "words", [("materials", "--json"), ("recipes",), ("bodies",), ("firings",)], ids=lambda w: w[0]
)
def test_unpacked_elsewhere_it_lists_the_same(
    unpacked: Path, tmp_path: Path, words: tuple[str, ...]
) -> None:
    there = run(unpacked, tmp_path, *words)
    assert there == run(ROOT / "src", tmp_path, *words)
    assert len(there) > 100


def test_unpacked_elsewhere_it_is_really_the_wheel_that_answers(
    unpacked: Path, tmp_path: Path
) -> None:
    code = (
        "import json, cofire; from cofire.files.places import shipped\n"
        "print(json.dumps([cofire.__file__, *(str(shipped(k)) for k in ('materials', 'recipes'))]))"
    )
    for path in json.loads(run(unpacked, tmp_path, code=code)):
        assert Path(path).is_relative_to(unpacked)


@pytest.mark.parametrize(
    "words",
    [
        ("formula", "clear-crackle", "--json"),
        ("pair", "frit-gloss", "true-matte", "--firing", "raku-workshop", "--json"),
    ],
    ids=lambda w: w[0],
)
def test_unpacked_elsewhere_it_answers_the_same(
    unpacked: Path, tmp_path: Path, words: tuple[str, ...]
) -> None:
    there = json.loads(run(unpacked, tmp_path, *words))
    assert there == json.loads(run(ROOT / "src", tmp_path, *words))
    assert there["findings"]
