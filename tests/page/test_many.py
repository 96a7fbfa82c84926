"""Fifty people at one bench: all of them get an answer, and the right one."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from the_page import Bench, Client

CLIENTS, QUESTIONS = 50, 2


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
