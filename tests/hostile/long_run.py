"""Hostile cases for as long as you like:

    python tests/hostile/long_run.py --seconds 3600 --seed 1 --keep failing

Cases that go wrong are kept in a folder, each with the command that repeats it.
"""

from __future__ import annotations

import argparse
import collections
import os
import sys
import tempfile
import time
from pathlib import Path
from random import Random

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from inputs import MAKERS
from run_program import Case, lay_out, run, snapshot, wrongs


def tried(case: Case) -> list[str]:
    """What goes wrong with a case in a folder of its own."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        lay_out(case, folder)
        before = snapshot(folder)
        ran = run(case, folder)
        return wrongs(case, ran, before, snapshot(folder))


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--seconds", type=float, default=3600.0)
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--kind", choices=sorted(MAKERS), action="append")
    options.add_argument("--keep", type=Path, default=Path("hostile-failures"))
    options.add_argument("--again", type=Path, help="repeat one case that was kept")
    asked = options.parse_args()
    if asked.again:
        found = tried(Case.from_json(asked.again.read_text("utf-8")))
        print("\n".join(found) or "nothing goes wrong")
        return bool(found)
    end = time.monotonic() + asked.seconds
    seen: collections.Counter[str] = collections.Counter()
    count = 0
    while time.monotonic() < end:
        seed = f"{asked.seed}-{count}"
        rng = Random(seed)
        case = MAKERS[rng.choice(asked.kind or sorted(MAKERS))](rng)
        count += 1
        for wrong in tried(case):
            alike = wrong.rstrip().rpartition("\n")[2]
            seen[alike] += 1
            if seen[alike] > 5:  # the same again
                continue
            asked.keep.mkdir(exist_ok=True)
            path = asked.keep / f"{seed}.json"
            path.write_text(case.to_json(), "utf-8")
            print(f"{wrong}\n    cofire {' '.join(case.words)[:200]!r}")
            print(f"    again:  python {sys.argv[0]} --again {path}", flush=True)
    print(f"{count} cases, {sum(seen.values())} went wrong in {len(seen)} ways")
    return bool(seen)


if __name__ == "__main__":
    sys.exit(main())
