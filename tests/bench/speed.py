"""How fast tables are worked through: ``python tests/bench/speed.py [ROWS]``.

Budget on two cores within 2 GiB: a million glazes, all values with every interval in 30 s, and 20 s
and 1 GiB from one file to another by the command line; one recipe in 10 ms; coefficients loaded in
20 ms. Beside it, as ratios, the same rows through
``pyrolite`` (weight to mole per cent only) and through the network GlassNet of ``glasspy``, where
these are installed.
"""

from __future__ import annotations

import importlib.util
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # as the command line sets it

import numpy as np

from cofire import glass
from cofire.answers.predict import properties
from cofire.chem.oxides import MODELLED, OXIDES
from cofire.glass import engine


def seconds(work: Callable[[], object], times: int = 1) -> float:
    best = np.inf
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def glazes(n: int) -> np.ndarray:
    """Mole per cent of glazes with six oxides or so each."""
    rng = np.random.default_rng(1)
    mol = np.zeros((n, len(OXIDES)))
    some = rng.random((n, len(MODELLED))) * (rng.random((n, len(MODELLED))) < 0.3)
    some[:, 0] = 3.0
    mol[:, : len(MODELLED)] = 100.0 * some / some.sum(axis=1, keepdims=True)
    return mol


def main(n: int) -> None:
    load = seconds(lambda: (engine.coefficients(), engine.tables()))
    print(f"coefficients loaded      {1e3 * load:8.1f} ms")
    mol = glazes(n)
    one = mol[:1]
    properties(one)
    print(f"one recipe, everything   {1e3 * seconds(lambda: properties(one), 20):8.1f} ms")
    ours = seconds(lambda: [properties(part) for part in np.array_split(mol, max(n // 20_000, 1))])
    print(f"{n:,} glazes, everything  {ours:8.1f} s   ({n / ours:,.0f} a second)")

    def values() -> None:
        for start in range(0, n, glass.CHUNK):
            at = glass.prepare(mol[start : start + glass.CHUNK])
            at.sum("expansion.weights")
            glass.viscosity(at).isokom(4.0)

    print(f"{n:,} glazes, values only, one core {seconds(values):6.1f} s")
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"memory at most           {most:8.0f} MiB")
    _command_line(n)
    if importlib.util.find_spec("pyrolite"):
        _pyrolite(mol, ours)
    else:
        print("pyrolite is not installed: no comparison")
    if importlib.util.find_spec("glasspy") and importlib.util.find_spec("torch"):
        _glassnet(mol[:20_000], ours * min(n, 20_000) / n)
    else:
        print("glasspy with torch is not installed: no comparison")


def _command_line(n: int) -> None:
    """``cofire predict`` from a file of twelve oxides to another."""
    amounts = np.random.default_rng(1).random((n, 12)).round(3)
    with tempfile.TemporaryDirectory() as folder:
        table, out = Path(folder, "table.csv"), Path(folder, "out.csv")
        with table.open("w") as file:
            file.write(",".join(["id", *MODELLED[:12]]) + "\n")
            for k, row in enumerate(amounts.tolist()):
                file.write(",".join(map(str, [k, *row])) + "\n")
        run = "from cofire.cli.main import run; run()"
        words = [sys.executable, "-c", run, "predict", table, "--basis", "mol", "--out", out]
        took = seconds(lambda: subprocess.run(words, check=True))
    most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
    print(f"{n:,} rows by the command line {took:6.1f} s, a process at most {most:.0f} MiB")


def _pyrolite(mol: np.ndarray, ours: float) -> None:
    import pandas
    import pyrolite.geochem  # noqa: F401  registers itself on data frames

    names = [o for o in MODELLED if o != "F"]
    table = pandas.DataFrame(mol[:, : len(names)], columns=names)
    theirs = seconds(lambda: table.pyrochem.convert_chemistry(to=names, logdata=False))
    theirs = max(theirs, seconds(lambda: table.pyrochem.to_molecular()))
    print(f"pyrolite, moles only     {theirs:8.1f} s   ours takes {ours / theirs:.1f} times that")


def _glassnet(mol: np.ndarray, ours: float) -> None:
    import pandas
    from glasspy.predict import GlassNet

    table = pandas.DataFrame(mol[:, : len(MODELLED) - 1], columns=list(MODELLED[:-1]))
    model = GlassNet()
    theirs = seconds(lambda: model.predict(table))
    print(
        f"GlassNet, {len(mol):,} rows   {theirs:8.1f} s   ours takes {ours / theirs:.2f} times that"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else 1_000_000)
