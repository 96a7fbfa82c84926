"""Fifty people at one bench: all of them get an answer, and the right one."""

from __future__ import annotations

import http.client
import json
import re
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from the_page import Bench

CLIENTS, QUESTIONS = 50, 3


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


def test_fifty_clients_get_the_answers_that_one_gets(bench: Bench) -> None:
    first = Client(bench)
    draft = first.begin("glaze=clear-crackle&glaze=turquoise-crackle")
    amounts = [8.0 + 0.25 * (k % 20) for k in range(CLIENTS)]
    alone = {kaolin: first.look(draft, kaolin) for kaolin in sorted(set(amounts))}

    def one(kaolin: float) -> bool:
        client = Client(bench)
        return all(client.look(draft, kaolin) == alone[kaolin] for _ in range(QUESTIONS))

    with ThreadPoolExecutor(CLIENTS) as people:
        assert all(people.map(one, amounts))
