"""How long the page takes: a drag, a sharp answer, and fifty clients at once.

    python tests/bench/page.py

Prints milliseconds, of the clock and of the processor: on a busy machine only the latter tell.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "page"))

from the_page import Bench, Client, Page

from cofire.studio import Studio

#: Seconds of load, and how often each client asks: a person who tries something, looks, and tries
#: again. Our choice.
LOAD_S, EVERY_S, CLIENTS = 20.0, 4.0, 50


def line(name: str, times: list[float]) -> str:
    ms = sorted(1000.0 * t for t in times)
    return f"{name:34} median {statistics.median(ms):5.0f}   p95 {ms[int(0.95 * len(ms))]:5.0f}"


def timed(work: Callable[[int], object], count: int) -> tuple[list[float], list[float]]:
    clock, cpu = [], []
    for k in range(1, count + 1):
        a, b = time.perf_counter(), time.thread_time()
        work(k)
        clock.append(time.perf_counter() - a)
        cpu.append(time.thread_time() - b)
    return clock, cpu


def drags(folder: Path) -> None:
    Studio.init(folder)
    page = Page(folder)
    draft = page.lay("clear-crackle", "turquoise-crackle")

    def look(change: list[object], draws: str = "few") -> None:
        asked = {"draft": draft.id, "version": 1, "changes": [change], "draws": draws}
        assert page.ask("/api/look", asked).status_code == 200

    look(["glazes.0.base.2", 11.0])
    for name, change in (
        ("an amount", lambda k: ["glazes.0.base.2", 11.0 + 0.1 * k]),
        ("the peak", lambda k: ["firing.segment.0.target", 943.0 - 0.5 * k]),
        ("the last pull", lambda k: ["firing.pull.0.every", 15.0 - 0.1 * k]),
    ):
        clock, cpu = timed(lambda k, change=change: look(change(k)), 60)
        print(line(f"drag {name}, clock", clock))
        print(line(f"drag {name}, processor", cpu))
    clock, cpu = timed(lambda k: look(["glazes.0.base.2", 11.0 + 0.1 * k], "all"), 8)
    print(line("sharp, clock", clock))
    print(line("sharp, processor", cpu))


def load(folder: Path) -> None:
    folder.mkdir()
    bench = Bench(folder)
    first = Client(bench)
    draft = first.begin("glaze=clear-crackle&glaze=turquoise-crackle")
    first.look(draft, 12.0)
    times: list[float] = []

    def person(seed: int) -> None:
        dice, client = random.Random(seed), Client(bench)
        end = time.monotonic() + LOAD_S
        time.sleep(dice.uniform(0.0, EVERY_S))
        while time.monotonic() < end:
            start = time.perf_counter()
            client.look(draft, round(dice.uniform(8.0, 16.0), 1))
            times.append(time.perf_counter() - start)
            time.sleep(dice.uniform(0.5, 1.5) * EVERY_S)

    people = [threading.Thread(target=person, args=(k,)) for k in range(CLIENTS)]
    for one in people:
        one.start()
    for one in people:
        one.join()
    bench.end()
    print(line(f"{CLIENTS} clients, {len(times)} looks, clock", times))


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        drags(Path(made) / "yard")
        load(Path(made) / "load")
