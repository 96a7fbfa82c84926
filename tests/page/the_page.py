"""The page in this process, and as a program of its own for a real browser."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from threading import Thread
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from cofire.page.app import bench_app
from cofire.page.desk import Desk
from cofire.page.drafts import Draft, Drafts
from cofire.page.guard import Guard
from cofire.page.serve import listening

HOST = "127.0.0.1:8463"


class Page:
    """The page of a studio of its own, asked as its own browser would."""

    def __init__(self, folder: Path, lan: str | None = None, host: str = HOST) -> None:
        self.folder, self.host = folder, host
        self.app = bench_app(folder, frozenset({host}), lan)
        self.guard: Guard = self.app.extensions["guard"]
        self.desk: Desk = self.app.extensions["desk"]
        self.drafts: Drafts = self.app.extensions["drafts"]
        self.client = self.come_in(self.guard.owner)
        self.token = self.guard.token(self.guard.sessions[self.guard.owner])

    def come_in(self, session: str) -> FlaskClient:
        client = self.app.test_client()
        name, _, port = self.host.partition(":")
        client.set_cookie(f"cofire_bench_{port}", session, domain=name)
        return client

    def get(self, path: str, **how: Any) -> TestResponse:
        return self.client.get(path, headers={"Host": self.host}, **how)

    def ask(self, path: str, data: object, **headers: str) -> TestResponse:
        said = {"Host": self.host, "X-Bench-Token": self.token, **headers}
        return self.client.post(path, json=data, headers=said)

    def send(self, path: str, **form: Any) -> TestResponse:
        return self.client.post(
            path, data={"token": self.token, **form}, headers={"Host": self.host}
        )

    def lay(self, *glazes: str, firing: str = "raku-workshop", body: str = "yard-raku") -> Draft:
        return self.drafts.begin(self.desk.begin(glazes, firing, body))

    def write(self, name: str, text: str) -> Path:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path


class Bench:
    """“cofire bench” as a program in a folder; it can be killed and begun again."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, 0
        self.begin()

    def begin(self) -> None:
        words = [sys.executable, "-m", "cofire", "bench", "--no-open"]
        words += ["--port", str(self.port)] if self.port else []
        self.log = self.folder.parent / f"log-{time.monotonic_ns()}"
        environment = {**os.environ, "PYTHONUNBUFFERED": "1", "OPENBLAS_NUM_THREADS": "1"}
        environment.pop("COFIRE_STUDIO", None)
        with self.log.open("wb") as out:
            self.program = subprocess.Popen(
                words, cwd=self.folder, stdout=out, stderr=subprocess.STDOUT, env=environment
            )
        until = time.monotonic() + 60.0
        while not (found := re.search(r"http://127\.0\.0\.1:(\d+)/in\S+", self.said)):
            assert self.program.poll() is None and time.monotonic() < until, self.said
            time.sleep(0.05)
        self.way_in, self.port = found[0], int(found[1])
        self.origin = f"http://127.0.0.1:{self.port}"

    @property
    def said(self) -> str:
        return self.log.read_text(encoding="utf-8")

    def line(self) -> socket.socket:
        """A connection on which nothing was said yet."""
        return socket.create_connection(("127.0.0.1", self.port), timeout=60)

    def raw(self, request: bytes) -> bytes:
        """What is answered to bytes as they are."""
        said = b""
        with self.line() as line:
            with contextlib.suppress(OSError):  # it may hang up first
                line.sendall(request)
                line.shutdown(socket.SHUT_WR)
            with contextlib.suppress(ConnectionResetError):
                while chunk := line.recv(65536):
                    said += chunk
        return said

    def kill(self) -> None:
        self.program.kill()
        self.program.wait()

    def end(self) -> None:
        with contextlib.suppress(ProcessLookupError):
            self.program.send_signal(signal.SIGINT)
        try:
            self.program.wait(10)
        except subprocess.TimeoutExpired:
            self.kill()


class Class:
    """The page in a thread of this process, where a teacher lets guests in."""

    def __init__(self, folder: Path) -> None:
        from waitress.server import create_server

        door = listening(0, "127.0.0.1")
        self.host = f"127.0.0.1:{door.getsockname()[1]}"
        self.page = Page(folder, lan=self.host, host=self.host)
        self.origin = f"http://{self.host}"
        self.server = create_server(self.page.app, sockets=[door], threads=4)
        Thread(target=self.server.run, daemon=True).start()

    @property
    def way_in(self) -> str:
        """Lets one guest in, once."""
        return f"{self.origin}/in?code={self.page.guard.new_code('guest').text}"

    def end(self) -> None:
        self.server.task_dispatcher.shutdown(timeout=5)
        self.server.close()


class Client:
    """One browser's worth of requests, over one connection."""

    def __init__(self, bench: Bench) -> None:
        self.line = http.client.HTTPConnection("127.0.0.1", bench.port, timeout=120)
        self.line.request("GET", bench.way_in.removeprefix(bench.origin))
        came = self.line.getresponse()
        came.read()
        self.cookie = came.headers["Set-Cookie"].partition(";")[0]
        page = self.ask("GET", "/?choose=1")[1]
        self.token = re.search(r'name="bench-token" content="(\w+)"', page)[1]  # type: ignore[index]

    def ask(self, method: str, path: str, data: object = None) -> tuple[int, str]:
        headers = {"Cookie": self.cookie}
        body = None
        if data is not None:
            headers |= {"X-Bench-Token": self.token, "Content-Type": "application/json"}
            body = json.dumps(data)
        self.line.request(method, path, body, headers)
        answer = self.line.getresponse()
        return answer.status, answer.read().decode()

    def begin(self, glazes: str) -> str:
        """A draft; its id."""
        form = f"token={self.token}&firing=raku-workshop&body=yard-raku&{glazes}"
        headers = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded"}
        self.line.request("POST", "/bench", form, headers)
        answer = self.line.getresponse()
        answer.read()
        return answer.headers["Location"].rpartition("/")[2]

    def look(self, draft: str, kaolin: float) -> dict[str, Any]:
        asked = {"draft": draft, "version": 1, "width": 800, "draws": "few",
                 "changes": [["glazes.0.base.2", kaolin]]}  # fmt: skip
        status, text = self.ask("POST", "/api/look", asked)
        assert status == 200, text
        return dict(json.loads(text))


def until(page: Any, true: str) -> None:
    """Wait for an expression to be true in a browser's page, whose policy keeps the driver from
    waiting in it."""
    end = time.monotonic() + 60.0
    while not page.evaluate(true):
        assert time.monotonic() < end, true
        time.sleep(0.05)
