"""What lies on the bench: nothing is lost on a reload, in two windows, or with a killed server."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from the_page import Page

from cofire.page.drafts import ChangedElsewhereError, Drafts


def amount(page: Page, id: str, place: int = 2) -> float:
    draft = page.drafts.read(id)
    assert draft is not None
    return float(list(draft.state["glazes"][0]["data"]["base"].values())[place])


def test_a_change_is_kept_undone_and_done_again(page: Page) -> None:
    draft = page.lay("clear-crackle")
    said = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.2", 15.0]]}
    assert page.ask("/api/commit", said).status_code == 200
    assert amount(page, draft.id) == 15.0
    assert page.ask("/api/undo", {"draft": draft.id, "version": 2}).status_code == 200
    assert amount(page, draft.id) == 12.0
    again = {"draft": draft.id, "version": 3, "again": True}
    assert page.ask("/api/undo", again).status_code == 200
    assert amount(page, draft.id) == 15.0


def test_conditions_that_cannot_be_are_refused_and_not_kept(page: Page) -> None:
    draft = page.lay("clear-crackle")
    for path, value in (("asked.odds", 0.2), ("asked.coat", "5 sheep"), ("asked.wall", "thin")):
        said = {"draft": draft.id, "version": 1, "changes": [[path, value]]}
        assert page.ask("/api/commit", said).status_code == 400, path
    assert page.drafts.read(draft.id) == draft


def test_a_look_changes_nothing(page: Page) -> None:
    draft = page.lay("clear-crackle")
    said = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.2", 15.0]]}
    assert page.ask("/api/look", said).status_code == 200
    assert page.drafts.read(draft.id) == draft


def test_of_two_windows_the_later_is_told_and_can_keep_its_own(page: Page) -> None:
    draft = page.lay("clear-crackle")
    first = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.2", 15.0]]}
    late = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.2", 9.0]]}
    assert page.ask("/api/commit", first).status_code == 200
    answer = page.ask("/api/commit", late)
    assert answer.status_code == 409 and answer.json and answer.json["changed"]
    assert amount(page, draft.id) == 15.0
    made = page.ask("/api/fork", late).json
    assert made and amount(page, made["draft"]) == 9.0
    assert amount(page, draft.id) == 15.0


def test_a_change_whose_answer_was_lost_is_sent_again_and_kept_once(page: Page) -> None:
    draft = page.lay("clear-crackle")
    said = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.2", 15.0]]}
    for _ in range(2):
        answer = page.ask("/api/commit", said)
        assert answer.status_code == 200 and answer.json and answer.json["version"] == 2
    other = {**said, "changes": [["glazes.0.base.2", 14.0]]}
    assert page.ask("/api/commit", other).status_code == 409


def test_a_new_server_finds_the_draft_and_the_open_page_goes_on(page: Page) -> None:
    draft = page.lay("clear-crackle")
    other = Page(page.folder)
    assert other.token == page.token and other.guard.owner == page.guard.owner
    assert other.get("/").headers["Location"] == f"/bench/{draft.id}"


def test_damaged_drafts_stop_nothing(page: Page) -> None:
    draft = page.lay("clear-crackle")
    folder = page.drafts.folder
    for name, raw in (("a" * 12, b"{"), ("b" * 12, b"\xff"), ("c" * 12, b"[]"), ("d" * 12, b"")):
        (folder / f"{name}.json").write_bytes(raw)
        assert page.drafts.read(name) is None
    assert page.get("/").headers["Location"] == f"/bench/{draft.id}"


def test_a_glaze_whose_material_is_gone_is_shown_with_what_is_wrong(page: Page) -> None:
    draft = page.lay("clear-crackle")
    state = json.loads(json.dumps(draft.state))
    state["glazes"][0]["data"]["base"]["unheard-of earth"] = 5
    changed = page.drafts.change(draft.id, 1, state)
    text = page.get(f"/bench/{draft.id}").get_data(as_text=True)
    assert "unheard-of earth" in text
    answer = page.ask("/api/look", {"draft": draft.id, "version": changed.version, "changes": []})
    assert answer.status_code == 400 and answer.json and "unheard-of" in answer.json["error"]


def test_the_key_is_for_its_owner_alone(page: Page) -> None:
    key = page.drafts.root / "key"
    assert key.stat().st_mode & 0o077 == 0 and len(key.read_bytes()) == 32
    assert (page.drafts.root / ".gitignore").read_text() == "*\n"


_WRITES = """
import sys
from pathlib import Path
from cofire.page.drafts import Drafts
drafts = Drafts(Path(sys.argv[1]))
draft = drafts.begin({"n": 0, "long": "x" * 200_000})
print(draft.id, flush=True)
while True:
    draft = drafts.change(draft.id, draft.version, {**draft.state, "n": draft.state["n"] + 1})
    print(draft.version, flush=True)
"""


@pytest.mark.skipif(os.name != "posix", reason="kills a program by a signal")
def test_a_killed_writer_leaves_whole_drafts(tmp_path: Path) -> None:
    for versions in (1, 3, 6):
        writer = subprocess.Popen(
            [sys.executable, "-c", _WRITES, str(tmp_path)], stdout=subprocess.PIPE, text=True
        )
        assert writer.stdout is not None
        id = writer.stdout.readline().strip()
        for _ in range(versions):
            assert writer.stdout.readline()
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        draft = Drafts(tmp_path).read(id)
        assert draft is not None and draft.state["n"] == draft.version - 1 >= versions
        assert len(draft.state["long"]) == 200_000


def test_more_than_a_draft_holds_is_refused_and_what_is_there_stays(page: Page) -> None:
    draft = page.lay("clear-crackle")
    text = page.desk.glaze_file("clear-crackle").read_text(encoding="utf-8")
    text = text.replace('notes = "', 'notes = "' + "n" * 1_400_000, 1)
    said = [page.send(f"/bench/{draft.id}/take/0", text=text, how="pin").status_code
            for _ in range(3)]  # fmt: skip
    assert said == [303, 303, 400]
    found = page.drafts.read(draft.id)
    assert found is not None and len(found.state["pins"]) == 2


def test_the_version_seen_is_asked_for(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    draft = drafts.begin({"n": 1})
    drafts.change(draft.id, 1, {"n": 2})
    with pytest.raises(ChangedElsewhereError):
        drafts.change(draft.id, 1, {"n": 3})
    with pytest.raises(KeyError):
        drafts.change("0" * 12, 1, {"n": 3})
