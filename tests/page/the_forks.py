"""The page as a program that can be killed at any moment and begun again at once."""

from __future__ import annotations

import http.client
import os
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlencode

from the_page import Page

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

    def close(self) -> None:
        self.end()
        self.program.communicate(timeout=10)
