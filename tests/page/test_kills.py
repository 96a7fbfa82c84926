"""The server is killed at every moment of a save: files are whole, and it goes on from there."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from the_forks import Forks

from cofire.files.recipe_history import history_file, read_history
from cofire.page.desk import digest
from cofire.studio import Studio

pytestmark = pytest.mark.skipif(os.name != "posix", reason="forks, and kills by a signal")


@pytest.fixture
def forks(tmp_path: Path) -> Iterator[Forks]:
    Studio.init(tmp_path / "yard")
    made = Forks(tmp_path / "yard")
    yield made
    made.close()


MINE = '# ours\nname = "Mine"\nsurface = "gloss"\n\n[base]\n"frit-3134-type" = 80\nkaolin = 20\n'
NEW = MINE.replace("kaolin = 20", "kaolin = 17.5")


@pytest.mark.parametrize("way", ["as text", "from the bench"])
def test_a_kill_at_any_moment_of_a_save_loses_nothing(forks: Forks, way: str) -> None:
    page = forks.page
    path = page.write("recipes/mine.toml", MINE)
    history = history_file(path)
    draft = page.lay("mine")
    said = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.1", 17.5]]}
    assert page.ask("/api/commit", said).status_code == 200
    on_bench = (page.folder / f".bench/drafts/{draft.id}.json").read_bytes()

    def save() -> int:
        if way == "from the bench":
            form = {"kind": "recipes", "k": "0", "why": "less clay"}
            return forks.ask(f"/bench/{draft.id}/save", form)[0]
        form = {"text": NEW, "hash": digest(MINE), "why": "less clay"}
        return forks.ask("/file/recipes/mine", form)[0]

    killed, states = 0, set()
    for moment in range(1, 200):
        path.write_text(MINE)
        history.unlink(missing_ok=True)
        (page.folder / f".bench/drafts/{draft.id}.json").write_bytes(on_bench)
        forks.begin(kill_at=moment)
        if save() != 0:
            forks.end()
            break
        forks.gone()
        killed += 1
        now = path.read_text()
        kept = [one.text for one in read_history(history).versions]
        state = (now == NEW, len(kept))
        assert now in (MINE, NEW) and kept in ([], [MINE], [MINE, NEW]), moment
        assert now == MINE or kept, moment  # what it was is never lost
        left = page.drafts.read(draft.id)
        assert left is not None and left.state["glazes"][0]["data"]["base"]["kaolin"] == 17.5

        if state not in states or moment % 10 == 0:  # it is begun again, and the same is sent again
            states.add(state)
            forks.begin()
            status, shelf = forks.ask("/shelf")
            assert status == 200 and "What is wrong" not in shelf
            status, compared = forks.ask(f"/bench/{draft.id}/save")
            assert status == 200 and "somebody else" not in compared, moment
            assert save() == 303, moment
            forks.end()
            assert path.read_text() == NEW
            kept = [one.text for one in read_history(history).versions]
            assert kept == [MINE, NEW], moment
            odd = [one.name for one in path.parent.iterdir() if one.name.startswith(".cofire")]
            assert odd == [], moment
    assert killed >= 20 and len(states) >= 3
