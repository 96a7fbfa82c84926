"""The server is killed at every moment of a save: files are whole, and it goes on from there."""

from __future__ import annotations

import http.client
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode

import pytest
from the_page import Page

from cofire.files.recipe_history import history_file, read_history
from cofire.page.desk import digest
from cofire.studio import Studio

pytestmark = pytest.mark.skipif(os.name != "posix", reason="forks, and kills by a signal")

#: Serves the page in a fork each time it is asked to; the fork kills itself at the nth touch of a
#: file of the studio after it was asked for something (0: never). A fork needs no imports.
_FORKS = """
import os, signal, sys
from pathlib import Path
from waitress.server import create_server
from cofire.page.app import bench_app
from cofire.page.serve import listening

folder, touched = Path(sys.argv[1]), 0
door = listening(0, "127.0.0.1")
door.listen()
host = "127.0.0.1:%d" % door.getsockname()[1]
warm = bench_app(folder, frozenset({host})).test_client()
warm.get("/in", headers={"Host": host})
print(host, flush=True)

def touch(event, args):
    global touched
    name = str(args[0]) if args else ""
    if event in ("open", "os.rename", "os.link", "os.remove", "os.mkdir", "os.chmod", "os.chown"):
        if name.startswith(str(folder)) and ".bench/key" not in name:
            touched += 1
            if touched == last:
                os.kill(os.getpid(), signal.SIGKILL)

for line in sys.stdin:
    last = int(line)
    child = os.fork()
    if child == 0:
        server = create_server(bench_app(folder, frozenset({host})), sockets=[door], threads=2)
        if last:
            sys.addaudithook(touch)
        server.run()
    print(child, flush=True)
    os.waitpid(child, 0)
    print("gone", flush=True)
"""


class Forks:
    """A server that can be begun again at once."""

    def __init__(self, folder: Path) -> None:
        self.page = Page(folder)
        self.program = subprocess.Popen(
            [sys.executable, "-c", _FORKS, str(folder)], text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        self.host = self._hear()
        self.child = 0

    def _hear(self) -> str:
        assert self.program.stdout is not None
        line = self.program.stdout.readline().strip()
        assert line
        return line

    def begin(self, kill_at: int = 0) -> None:
        assert self.program.stdin is not None
        print(kill_at, file=self.program.stdin, flush=True)
        self.child = int(self._hear())

    def end(self) -> None:
        if self.child:
            os.kill(self.child, 9)
            self.gone()

    def gone(self) -> None:
        assert self._hear() == "gone"
        self.child = 0

    def ask(self, path: str, form: dict[str, str] | None = None) -> tuple[int, str]:
        """Status and text; (0, "") where it was killed meanwhile."""
        line = http.client.HTTPConnection(self.host, timeout=30)
        port = self.host.rpartition(":")[2]
        headers = {"Cookie": f"cofire_bench_{port}={self.page.guard.owner}"}
        body = None
        if form is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
            body = urlencode({"token": self.page.token, **form})
        try:
            line.request("GET" if form is None else "POST", path, body, headers)
            answer = line.getresponse()
            return answer.status, answer.read().decode()
        except (ConnectionError, http.client.HTTPException):
            return 0, ""
        finally:
            line.close()


@pytest.fixture
def forks(tmp_path: Path) -> Iterator[Forks]:
    Studio.init(tmp_path / "yard")
    made = Forks(tmp_path / "yard")
    yield made
    made.end()
    made.program.communicate(timeout=10)


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
