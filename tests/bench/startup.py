"""How long people wait: ``python tests/bench/startup.py`` prints medians of ten runs each.

Budget: ``cofire --version`` and ``cofire formula`` at most 2.5 times ``import numpy``, all
measured in one go on the same machine; prediction at 100 000 glazes a second or more.
"""

from __future__ import annotations

import compileall
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import cofire

RUNS = 10
COFIRE = str(Path(sys.executable).with_name("cofire"))


def median_s(command: list[str]) -> float:
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        subprocess.run(command, check=False, capture_output=True)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    # installing leaves compiled modules; a checkout that was edited has none yet
    compileall.compile_dir(Path(cofire.__file__).parent, quiet=1)
    numpy_s = median_s([sys.executable, "-c", "import numpy"])
    print(f"import numpy             {numpy_s:6.3f} s")
    for words in (
        ["--version"],
        ["formula", "clear-crackle"],
        ["formula", "clear-crackle", "--json"],
        ["fit", "clear-crackle", "--body", "raku"],
        ["pair", "frit-gloss", "true-matte", "--firing", "raku-workshop", "--body", "raku"],
    ):
        took = median_s([COFIRE, *words])
        print(f"cofire {' '.join(words)[:60]:<60} {took:6.3f} s   {took / numpy_s:4.1f} × numpy")
    os.environ["OPENBLAS_NUM_THREADS"] = "1"  # as the command line sets it
    import numpy as np

    from cofire.answers.predict import properties
    from cofire.chem.oxides import MODELLED, OXIDES

    mol = np.zeros((100_000, len(OXIDES)))
    mol[:, : len(MODELLED)] = np.random.default_rng(1).random((len(mol), len(MODELLED)))
    properties(mol[:10])
    start = time.perf_counter()
    for chunk in np.array_split(mol, 5):  # as large as ``cofire predict`` reads them
        properties(chunk)
    rate = len(mol) / (time.perf_counter() - start)
    print(f"predict, computation     {rate:,.0f} glazes a second")


if __name__ == "__main__":
    main()
