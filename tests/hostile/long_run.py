"""Hostile cases for as long as you like:

    python tests/hostile/long_run.py --seconds 3600 --seed 1

Cases that go wrong are kept in a folder, each with the command that repeats it.
"""

from __future__ import annotations

import argparse
import collections
import errno
import json
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import broken_disks
from inputs import MAKERS
from run_program import Case, tried

#: A way to try something, and what it was, to be tried again.
Tried = tuple[list[str], str, str]


def _of_maker(kind: str) -> Callable[[Random], Tried]:
    def some(rng: Random) -> Tried:
        case = MAKERS[kind](rng)
        return tried(case), case.to_json(), f"cofire {' '.join(case.words)[:200]!r}"

    return some


def _fault(rng: Random) -> Tried:
    name, number = rng.choice(sorted(broken_disks.WRITERS)), rng.choice((errno.EIO, errno.ENOSPC))
    at = rng.randrange(len(broken_disks.calls_of(name)))
    kept = json.dumps({"fault": [name, at, number]})
    return broken_disks.with_fault(name, at, number), kept, f"{name}: {errno.errorcode[number]}"


def _kill(rng: Random) -> Tried:
    """After a random time, which no seed repeats."""
    name = rng.choice(sorted(broken_disks.WRITERS))
    found = broken_disks.killed_after(name, rng, broken_disks.time_of(name))
    return found, json.dumps({"kill": name}), f"{name}: killed"


KINDS = {kind: _of_maker(kind) for kind in MAKERS} | {"fault": _fault, "kill": _kill}


def again(path: Path) -> list[str]:
    """What goes wrong with a case that was kept."""
    text = path.read_text("utf-8")
    data = json.loads(text)
    if "fault" in data:
        return broken_disks.with_fault(*data["fault"])
    if "kill" in data:
        usual_s = broken_disks.time_of(data["kill"])
        many = (broken_disks.killed_after(data["kill"], Random(k), usual_s) for k in range(100))
        return [wrong for found in many for wrong in found]
    return tried(Case.from_json(text))


def main() -> int:
    options = argparse.ArgumentParser(description="Hostile cases for as long as you like.")
    options.add_argument("--seconds", type=float, default=3600.0)
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--kind", choices=sorted(KINDS), action="append", help="of cases; all")
    options.add_argument("--keep", type=Path, default=Path("hostile-failures"), metavar="FOLDER")
    options.add_argument("--again", type=Path, metavar="FILE", help="repeat a case that was kept")
    asked = options.parse_args()
    if asked.again:
        found = again(asked.again)
        print("\n".join(found) or "nothing goes wrong")
        return bool(found)
    end = time.monotonic() + asked.seconds
    seen: collections.Counter[str] = collections.Counter()
    count = 0
    while time.monotonic() < end:
        rng = Random(f"{asked.seed}-{count}")
        found, kept, words = KINDS[rng.choice(asked.kind or sorted(KINDS))](rng)
        for wrong in found:
            alike = wrong.rstrip().rpartition("\n")[2]
            seen[alike] += 1
            if seen[alike] > 5:  # the same again
                continue
            asked.keep.mkdir(exist_ok=True)
            path = asked.keep / f"{asked.seed}-{count}.json"
            path.write_text(kept, "utf-8")
            print(f"{wrong}\n    {words}")
            print(f"    again:  python {sys.argv[0]} --again {path}", flush=True)
        count += 1
    print(f"{count} cases, {sum(seen.values())} went wrong in {len(seen)} ways")
    return bool(seen)


if __name__ == "__main__":
    sys.exit(main())
