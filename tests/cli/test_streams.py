"""Exit codes hold whatever becomes of the standard streams, the folder and the screen."""

from __future__ import annotations

import os
import shlex
import signal
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(os.name != "posix", reason="a shell and its streams")
PROGRAM = f"{shlex.quote(sys.executable)} -m cofire"
YES = "pair frit-gloss true-matte --firing raku-workshop"
NO = "pair frit-gloss does-not-work --firing earthenware-cone-04"
BAD = "formula nonsense"
FULL = pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")


def left(folder: Path, line: str, **variables: str) -> tuple[int, str, str]:
    """Exit code, output and errors of the first program of a line for the shell."""
    line = line.replace("cofire ", f"{PROGRAM} ", 1)
    done = subprocess.run(
        ["bash", "-c", f"{line}\nexit ${{PIPESTATUS[0]}}"],
        cwd=folder,
        capture_output=True,
        text=True,
        env={**os.environ, **variables},
    )
    assert "Traceback" not in done.stderr and "Internal error" not in done.stderr, done.stderr
    return done.returncode, done.stdout, done.stderr


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (f"cofire {YES} >/dev/null", 0),
        (f"cofire {NO} >/dev/null", 1),
        (f"cofire {YES} | true", 0),
        (f"cofire {NO} | true", 1),
        (f"cofire {NO} | head -1", 1),
        (f"cofire {NO} --json | true", 1),
        (f"cofire {NO} 2>&-", 1),
        (f"cofire {NO} <&-", 1),
        (f"cofire {YES} >&-", 2),
        (f"cofire {BAD} 2>&-", 2),
        (f"cofire {BAD} <&- >&- 2>&-", 2),
        (f"cofire {BAD} 2>&1 | true", 2),
        ("cofire nonsense 2>&-", 2),
        ("cofire read - <&-", 2),
        ("cofire predict - --basis mol <&-", 2),
        ("cofire materials add - --id x --name x --supplier y --date 2026 <&-", 2),
        pytest.param(f"cofire {YES} >/dev/full", 2, marks=FULL),
        pytest.param(f"cofire {NO} >/dev/full", 2, marks=FULL),
        pytest.param(f"cofire {BAD} 2>/dev/full", 2, marks=FULL),
    ],
)
def test_the_exit_code_is_that_of_the_answer(tmp_path: Path, line: str, code: int) -> None:
    assert left(tmp_path, line)[0] == code


def test_an_error_never_stands_in_the_answer(tmp_path: Path) -> None:
    assert left(tmp_path, f"cofire {BAD} 2>&-") == (2, "", "")


def test_no_file_takes_the_place_of_a_closed_stream(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").touch()
    line = "cofire read - --surface gloss --save r.toml <<< $'kaolin 10\\nsilica 30' >&-"
    assert left(tmp_path, line)[0] == 2
    assert (tmp_path / "r.toml").read_text().startswith("name = ")
    assert "kaolin" not in (tmp_path / "r.toml").read_text().split("[base]")[0]


@pytest.mark.parametrize("columns", ["0", "-3", "²", "9" * 5000, "99999999", "x"])
def test_an_absurd_screen_is_not_believed(tmp_path: Path, columns: str) -> None:
    usual = left(tmp_path, "cofire recipes", COLUMNS="80")
    assert left(tmp_path, "cofire recipes", COLUMNS=columns, LINES=columns) == usual


def test_a_folder_that_is_gone_is_said(tmp_path: Path) -> None:
    (tmp_path / "gone").mkdir()
    code, _, said = left(tmp_path, "cd gone; rmdir ../gone; cofire recipes")
    assert code == 2 and "current folder" in said and "written" not in said
    (tmp_path / "gone").mkdir()
    code, _, said = left(tmp_path, f"cd gone; rmdir ../gone; cofire --studio x {BAD}")
    assert code == 2 and "x" in said


CTRL_C = """
import os, signal, sys
from importlib.abc import MetaPathFinder
_, module, name = sys.argv
class Interrupts(MetaPathFinder):
    def find_spec(self, wanted, path, target=None):
        if wanted == module:
            os.kill(os.getpid(), getattr(signal, name))
sys.meta_path.insert(0, Interrupts())
from cofire.cli.start import run
sys.argv = ["cofire", "formula", "clear-crackle"]
run()
"""


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM"])
@pytest.mark.parametrize(
    "module", ["cofire.cli.main", "click", "cofire.cli.formula", "numpy", "cofire.show.terminal"]
)
def test_an_interrupt_at_any_moment_ends_it_without_a_traceback(
    tmp_path: Path, module: str, name: str
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", CTRL_C, module, name], cwd=tmp_path, capture_output=True, text=True
    )
    number = getattr(signal, name)
    assert done.returncode in (128 + number, -number if name == "SIGTERM" else 130), done
    assert "Traceback" not in done.stderr and done.stdout == ""


STOPPED = """
import os, signal, sys
real, name = os.fsync, sys.argv[1]
def stopped(handle):
    os.kill(os.getpid(), getattr(signal, name))
    real(handle)
os.fsync = stopped
from cofire.cli.start import run
sys.argv = ["cofire", "set", "x", "kaolin = 11"]
run()
"""


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_who_is_stopped_while_writing_leaves_nothing_behind(tmp_path: Path, name: str) -> None:
    (tmp_path / "studio.toml").touch()
    (tmp_path / "recipes").mkdir()
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = 80\nkaolin = 20\n'
    (tmp_path / "recipes" / "x.toml").write_text(text)
    done = subprocess.run([sys.executable, "-c", STOPPED, name], cwd=tmp_path, capture_output=True)
    assert done.returncode == 128 + getattr(signal, name), done
    files = {p.name for p in tmp_path.rglob("*") if p.is_file()}
    assert files == {"studio.toml", "x.toml"}
    assert (tmp_path / "recipes" / "x.toml").read_text() == text


def test_a_studio_of_others_above_is_not_used_unless_named(
    cofire, monkeypatch: pytest.MonkeyPatch
) -> None:  # type: ignore[no-untyped-def]
    (cofire.folder / "inner").mkdir()
    monkeypatch.delenv("SUDO_UID", raising=False)
    monkeypatch.chdir(cofire.folder / "inner")
    assert cofire("recipes").code == 0
    somebody = cofire.folder.stat().st_uid + 1
    monkeypatch.setattr("os.getuid", lambda: somebody)
    if cofire.folder.stat().st_uid == 0:  # what belongs to root is trusted
        os.chown(cofire.folder / "studio.toml", 12345, -1)
    run = cofire("recipes")
    assert run.code == 2 and "belongs to somebody else" in run.err
    assert f"--studio {cofire.folder}" in run.err
    assert cofire("--studio", cofire.folder, "recipes").code == 0
    monkeypatch.chdir(cofire.folder)
    assert cofire("recipes").code == 0


def test_predict_never_replaces_a_file(cofire) -> None:  # type: ignore[no-untyped-def]
    table = cofire.write("p.csv", "SiO2,Na2O\n70,30\n")
    recipe = cofire.write("recipes/x.toml", "surface = 'gloss'\n[base]\nkaolin = 1\n")
    before = recipe.read_bytes()
    for words in ((), ("--json",)):
        run = cofire("predict", table, "--basis", "mol", "--out", recipe, *words)
        assert run.code == 2 and "already exists" in run.err
    assert recipe.read_bytes() == before


def test_swap_goes_on_where_it_was_stopped(cofire) -> None:  # type: ignore[no-untyped-def]
    out = cofire.folder / "out"
    out.mkdir()
    words = ("swap", "--every-recipe", "natural borate", "--save", "out")
    code = cofire(*words).code
    made = {p.name: p.read_bytes() for p in out.iterdir()}
    assert code in (0, 1) and len(made) > 1
    first, last = min(made), max(made)
    (out / first).unlink()
    assert cofire(*words).code == code  # the others are there already
    assert {p.name: p.read_bytes() for p in out.iterdir()} == made
    (out / first).write_text("mine")
    (out / last).unlink()
    run = cofire(*words)
    assert run.code == 2 and f"{len(made) - 1} of {len(made)} recipes" in run.err
    assert first in run.err and last not in run.err
    assert (out / first).read_text() == "mine" and (out / last).read_bytes() == made[last]
