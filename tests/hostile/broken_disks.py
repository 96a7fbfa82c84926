"""Writers stopped at each of their calls to the system: by an error of the disk, or by a kill."""

from __future__ import annotations

import errno
import io
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from random import Random
from typing import Any
from unittest import mock

from run_program import Case, Ran, lay_out, lost, run, snapshot, wrongs

from cofire.files.places import shipped

_ERRORS = (errno.ENOSPC, errno.EACCES, errno.EIO)
_SHIPPED = tuple(str(shipped(kind)) for kind in ("materials", "recipes"))
_CALLS = ("open", "fsync", "replace", "rename", "link", "mkdir", "chmod")

RECIPE = (
    b'name = "Mine"\nsurface = "gloss"\n[base] # of the wet book\n'
    b'"frit-3134-type" = 90 # sieved\nkaolin = 10\n'
)
_STUDIO = {
    "recipes/mine.toml": RECIPE,
    "columns.csv": b"Material;Weight (g)\nflint;1.200,5\ntalc;300\n+ bentonite;15\n",
    "paper.csv": b"SiO2,61.2\nMgO,30.9\nAl2O3,0.9\nCaO,0.6\nLOI,5.8\n",
    "sheet.csv": b"name,SiO2,MgO,LOI\nour talc,62,32,6\nour other talc,61,33,6\n",
    "book.csv": b"Glaze,kaolin,flint,whiting\nA,30,50,20\nB,40,40,20\n",
    "exported.json": b'{"schema": {"name": "cofire.export"}, "recipes": {"b": {"surface": "gloss",'
    b' "base": {"frit-3134-type": 7}}}, "names": {"RIO": "red iron oxide"}}',
    "shelf.csv": b"material,kg,price per kg\nkaolin,3,1.5\nflint,4,1.2\n",
    "stock.toml": b'[silica]\nhave = "2 kg" # counted\n',
    "glasses.csv": b"glass,SiO2,Na2O,CaO\na,70,20,10\n",
}
#: Every command that writes.
WRITERS: dict[str, tuple[str, ...]] = {
    "set": ("set", "mine", "kaolin = 12", "--why", "it crawled"),
    "set a shipped one": ("set", "frit-gloss", "kaolin = 12"),
    "fired": ("fired", "mine", "--clay", "raku", "--coat", "1 dip", "--result", "whole"),
    "keep": ("keep", "mine", "--why", "first"),
    "read": ("read", "columns.csv", "--surface", "gloss", "--save", "recipes/new.toml"),
    "swap": ("swap", "mine", "frit-gloss", "kaolin", "--save", "."),
    "adjust": ("adjust", "mine", "--want", "SiO2 3", "--save", "recipes/new.toml"),
    "table": ("table", "mine", "--csv", "new.csv"),
    "predict": ("predict", "glasses.csv", "--basis", "mol", "--keep", "glass", "--out", "new.csv"),
    "material": ("materials", "add", "paper.csv", "--id", "talc-2026", "--name", "talc",
                 "--supplier", "Tide", "--date", "2026-11"),
    "sheets": ("batch", "mine", "--dry", "1 kg", "--html", "new.html"),
    "PDF": ("batch", "mine", "--dry", "1 kg", "--pdf", "new.pdf"),
    "slips": ("batch", "mine", "--dry", "1 kg", "--slips", "new.pdf"),
    "phone": ("batch", "mine", "--dry", "1 kg", "--phone", "new.html"),
    "wall": ("day", "raku-workshop", "--pots", "4", "--pot", "12 x 15 cm", "--chamber",
             "40 x 45 cm", "--bins", "3", "--wall", "new.pdf"),
    "picture": ("firing", "raku-workshop", "--svg", "new.svg"),
    "import": ("import", "book.csv", "--surface", "gloss"),
    "restore": ("import", "exported.json"),
    "materials": ("materials", "import", "sheet.csv", "--supplier", "Tide", "--date", "2026-11"),
    "stock": ("stock", "import", "shelf.csv", "--on-clash", "replace"),
    "nickname": ("materials", "call", "RIO", "red iron oxide"),
    "export": ("export", "new.json"),
    "init": ("init",),
    "documents": ("docs", "--save", "new.html"),
    "completion": ("completion", "bash", "--install"),
}  # fmt: skip


def writer(name: str) -> Case:
    return Case(list(WRITERS[name]), dict(_STUDIO))


@contextmanager
def stopped(at: int, do: Callable[[], None]) -> Iterator[list[str]]:
    """While the block runs, the call ``at`` (from 0) that writes does something else, and so do
    later ones of "write": a full disk stays full. The list names the calls in their order."""
    calls: list[str] = []

    def step(name: str) -> None:
        calls.append(name)
        now = len(calls) - 1
        if now == at or (0 <= at < now and name == calls[at] == "write"):
            do()

    class Raw(io.FileIO):
        def write(self, data: Any) -> int | None:
            step("write")
            return super().write(data)

    def called(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **kwargs: Any) -> Any:
            if not (name == "open" and _reads_shipped(*args)):
                step(name)
            return real(*args, **kwargs)

        return call

    real_open = io.open

    def opened(file: Any, mode: str = "r", *args: Any, **kwargs: Any) -> Any:
        if not set(mode) & set("wxa+"):
            return real_open(file, mode, *args, **kwargs)
        raw = Raw(file, mode.replace("b", "").replace("t", ""))
        buffered = io.BufferedWriter(raw)
        if "b" in mode:
            return buffered
        return io.TextIOWrapper(buffered, kwargs.get("encoding"), newline=kwargs.get("newline"))

    with ExitStack() as stack:
        for name in _CALLS:
            stack.enter_context(mock.patch.object(os, name, called(name, getattr(os, name))))
        stack.enter_context(mock.patch.object(io, "open", opened))
        stack.enter_context(mock.patch("builtins.open", opened))
        yield calls


def _reads_shipped(path: Any, flags: int, *_: Any) -> bool:
    """Whether a call only reads a file of the program's own, as a writer may do a hundred times."""
    return flags & os.O_ACCMODE == os.O_RDONLY and str(path).startswith(_SHIPPED)


def calls_of(name: str) -> list[str]:
    """The calls that a writer makes when all goes well."""
    with _studio(name) as (case, folder), stopped(-1, lambda: None) as calls:
        ran = run(case, folder)
        assert ran.code in (0, 1), ran.err + ran.bug
    return calls


@contextmanager
def _studio(name: str) -> Iterator[tuple[Case, Path]]:
    case = writer(name)
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made).resolve()
        lay_out(case, folder)
        yield case, folder


def with_fault(name: str, at: int, number: int) -> list[str]:
    """What goes wrong when the disk fails at one call with an error of this number."""

    def fail() -> None:
        raise OSError(number, os.strerror(number))

    with _studio(name) as (case, folder):
        before = snapshot(folder)
        with stopped(at, fail) as calls:
            ran = run(case, folder)
        after = snapshot(folder)
        found = wrongs(case, ran, before, after)
        if ran.code == 2 and os.strerror(number) not in ran.err:
            found.append(f"does not say why: {ran.err}")
        found += _left_behind(before, after, ran, folder)
        return [f"{calls[at]}, call {at}: {one}" for one in found]


def faults(name: str) -> Iterator[tuple[int, int]]:
    """Every call of a writer, and an error; the errors take turns."""
    for at in range(len(calls_of(name))):
        yield at, _ERRORS[at % len(_ERRORS)]


def killed_at(name: str, at: int) -> list[str]:
    """What goes wrong when a writer is killed at one call: the kill comes from within."""
    with _studio(name) as (case, folder):
        before = snapshot(folder)
        child = os.fork()
        if child == 0:
            with stopped(at, lambda: os.kill(os.getpid(), signal.SIGKILL)):
                run(case, folder)
            os._exit(0)
        os.waitpid(child, 0)
        return _after_a_kill(before, folder)


def killed_after(name: str, rng: Random, usual_s: float) -> list[str]:
    """What goes wrong when the program is killed after a random time."""
    with _studio(name) as (case, folder):
        before = snapshot(folder)
        program = subprocess.Popen(
            [sys.executable, "-c", "from cofire.cli.main import run; run()", *case.words],
            cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        time.sleep(rng.uniform(0.3, 1.1) * usual_s)
        program.kill()
        program.wait()
        return _after_a_kill(before, folder)


def time_of(name: str) -> float:
    """How long a writer takes as a program, s."""
    with _studio(name) as (case, folder):
        began = time.monotonic()
        words = [sys.executable, "-c", "from cofire.cli.main import run; run()", *case.words]
        subprocess.run(words, cwd=folder, capture_output=True, check=False)
        return time.monotonic() - began


def _after_a_kill(before: dict[str, bytes], folder: Path) -> list[str]:
    after = snapshot(folder)
    # a temporary file may stay, and is in nobody's way
    found = [one for one in lost(before, after) if not one.startswith("left ")]
    return found + _left_behind(before, after, None, folder)


def _left_behind(
    before: dict[str, bytes], after: dict[str, bytes], ran: Ran | None, folder: Path
) -> list[str]:
    """New files that are not whole, and a studio in which the program no longer works."""
    found = []
    for name in after.keys() - before.keys():
        if name.endswith(".pdf") and b"%%EOF" not in after[name][-200:]:
            found.append(f"{name} is not whole")
        if name.endswith((".html", ".svg")) and b"made by cofire" not in after[name][-200:]:
            found.append(f"{name} is not whole")
        if name.endswith((".csv", ".toml")) and not after[name].endswith(b"\n"):
            found.append(f"{name} is not whole" if after[name] else f"{name} is empty")
    if ran and ran.code == 2 and "othing" in ran.err and before != after:
        found.append(f"says that nothing was changed: {ran.err}")
    checked = run(Case(["check", "recipes"]), folder)
    if checked.code != 0:
        found.append(f"the studio is broken: {checked.out}{checked.err}{checked.bug}")
    again = run(Case(["set", "mine", "kaolin = 13"]), folder)
    if again.code != 0:
        found.append(f"“set” no longer works: {again.out}{again.err}{again.bug}")
    return found
