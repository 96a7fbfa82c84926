"""Where the page listens, and on what."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.page.serve import listening, studio_folder
from cofire.studio import Studio


def test_an_empty_folder_becomes_a_studio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert studio_folder(Studio()) == tmp_path
    assert (tmp_path / "studio.toml").is_file()


def test_a_folder_of_other_things_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "poem.txt").write_text("sea")
    with pytest.raises(CofireError, match="no studio"):
        studio_folder(Studio())
    assert [path.name for path in tmp_path.iterdir()] == ["poem.txt"]


def test_a_port_that_is_taken_is_refused_and_another_found() -> None:
    first = listening(None, "127.0.0.1")
    port = first.getsockname()[1]
    with pytest.raises(CofireError, match=str(port)):
        listening(port, "127.0.0.1")
    second = listening(None, "127.0.0.1")
    assert second.getsockname()[1] != port
    first.close()
    second.close()
