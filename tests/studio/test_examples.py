"""The examples in the docstrings of the Python API, run in a studio folder of its own."""

from __future__ import annotations

import doctest
import inspect
from pathlib import Path

import pytest

import cofire
from cofire.answers.table import DIGITS  # noqa: F401  (loads the module before the folder moves)

METHODS = [
    name
    for name in dir(cofire.Studio)
    if not name.startswith("_") and callable(getattr(cofire.Studio, name))
]
#: Needs a file of readings; run in test_as_the_command_line.
WITHOUT_EXAMPLE = {"kiln_log"}
RECIPE = 'surface = "gloss"\nname = "Mine"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'


@pytest.mark.parametrize("name", METHODS)
def test_an_example(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "studio.toml").write_text("")
    (tmp_path / "recipes").mkdir()
    for one in ("mine", "kept"):
        (tmp_path / "recipes" / f"{one}.toml").write_text(RECIPE)
    studio = cofire.Studio()
    studio.keep("kept", "first")
    if name == "init":  # not inside a studio
        (tmp_path / "studio.toml").unlink()
    method = getattr(cofire.Studio, name)
    text = inspect.getdoc(method) or ""
    found = doctest.DocTestParser().get_doctest(
        text, {"studio": studio, "cofire": cofire}, name, None, 0
    )
    assert found.examples or name in WITHOUT_EXAMPLE
    assert "Raises" in text or not inspect.signature(method).parameters.keys() - {"self", "words"}
    result = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS).run(found)
    assert result.failed == 0


def test_the_examples_of_the_package() -> None:
    for module in (cofire, cofire.Studio):
        found = doctest.DocTestParser().get_doctest(module.__doc__ or "", {}, "cofire", None, 0)
        assert found.examples
        assert doctest.DocTestRunner().run(found).failed == 0
