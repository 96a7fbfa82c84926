"""How many small mistakes in the program its tests would miss.

Run by hand:  python tests/bench/mutants.py --count 400 --seed 18

Draws mutants by a seed over model, answers, readers, files and sheets: each is one changed
operator, number or condition in one module, in a copy of the tree in a temporary folder. The tests
are run once with the places of all mutants marked; then, for each mutant, the tests that reach its
place until one fails; what is read on import is also reached by the tests that look at all modules.
One that none fails on has survived, and so has one that none reaches.
"""

from __future__ import annotations

import argparse
import ast
import json
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[2]
#: What is mutated.
PARTS = ("model", "answers", "read", "files", "show/sheets")
#: What of the tree the tests need.
NEEDED = (
    "src",
    "tests",
    "materials",
    "recipes",
    "pyproject.toml",
    "README.md",
    "NOTICE",
    "LICENSE",
)
#: Where tests are looked for: all but the page, the disks and the papers, which are slow.
TESTS = [f"tests/{name}" for name in (
    "answers", "book", "chem", "cli", "files", "firing", "fit", "formulate", "glass", "model",
    "published", "read", "ripeness", "show", "studio", "test_most.py", "test_one_answer.py",
    "test_readme.py", "test_round_numbers.py", "test_material_kinds.py")]  # fmt: skip
#: They look at every module, so they reach what is read once, on import.
LOOKS_AT_ALL = "tests/studio/test_records.py::"
#: The quickest tests that reach a mutant are run, up to so many seconds of them; three times as
#: long is a hang, which counts as found.
LONGEST_S = 90.0
_SWAPPED: dict[type, type] = {
    ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.And: ast.Or,
    ast.Or: ast.And, ast.Pow: ast.Mult,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One change: module, line, and which place of the module, counted from 0."""

    path: Path  # within src/cofire
    place: int
    line: int
    was: str
    now: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.was} -> {self.now}"


def _changes(node: ast.AST) -> ast.AST | None:
    """The node with one thing changed, or None."""
    match node:
        case ast.Compare(ops=[op]) if type(op) in _SWAPPED:
            return ast.Compare(node.left, [_SWAPPED[type(op)]()], node.comparators)
        case ast.BinOp() if type(node.op) in _SWAPPED and not _of_types(node):
            return ast.BinOp(node.left, _SWAPPED[type(node.op)](), node.right)
        case ast.BoolOp():
            return ast.BoolOp(_SWAPPED[type(node.op)](), node.values)
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            return node.operand
        case ast.Constant(value=bool()):
            return ast.Constant(not node.value)
        case ast.Constant(value=int() | float()):
            return ast.Constant(node.value + 1 if node.value < 1e6 else node.value / 2)
        case ast.IfExp():
            return ast.IfExp(node.test, node.orelse, node.body)
        case ast.If():
            return ast.If(ast.UnaryOp(ast.Not(), node.test), node.body, node.orelse)
    return None


def _of_types(node: ast.BinOp) -> bool:
    """Text put together from pieces, which + and - cannot both do."""
    return any(isinstance(one, ast.JoinedStr | ast.List | ast.Tuple) or
               (isinstance(one, ast.Constant) and isinstance(one.value, str))
               for one in (node.left, node.right))  # fmt: skip


def _places(tree: ast.AST) -> Iterator[tuple[ast.AST, str, int | None]]:
    """(parent, field, index) of each node that can change; not in annotations, and not in guards
    for checkers of types."""
    for name, value in ast.iter_fields(tree):
        if name in ("annotation", "returns", "keywords") and isinstance(tree, ast.ClassDef):
            continue
        if name in ("annotation", "returns"):
            continue
        for index, one in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if not isinstance(one, ast.AST) or isinstance(one, ast.Assert):
                continue
            if isinstance(one, ast.If) and "TYPE_CHECKING" in ast.unparse(one.test):
                continue
            if _changes(one) is not None:
                yield tree, name, index
            yield from _places(one)


def mutants_of(path: Path) -> list[Mutant]:
    """All there are in one module of the program."""
    tree = ast.parse((ROOT / "src/cofire" / path).read_text("utf-8"))
    found = []
    for place, (parent, name, index) in enumerate(_places(tree)):
        value = getattr(parent, name)
        node = value if index is None else value[index]
        changed = _changes(node)
        assert changed is not None
        ast.fix_missing_locations(changed)
        was, now = (ast.unparse(one).split("\n")[0][:90] for one in (node, changed))
        found.append(Mutant(path, place, getattr(node, "lineno", 0), was, now))
    return found


def mutated(mutant: Mutant) -> str:
    """The text of its module."""
    tree = ast.parse((ROOT / "src/cofire" / mutant.path).read_text("utf-8"))
    parent, name, index = list(_places(tree))[mutant.place]
    value = getattr(parent, name)
    if index is None:
        setattr(parent, name, _changes(value))
    else:
        value[index] = _changes(value[index])
    return ast.unparse(ast.fix_missing_locations(tree)) + "\n"


def drawn(count: int, seed: int, only: str) -> list[Mutant]:
    """Mutants drawn by a seed, without repeats; each place is as likely as any other."""
    paths = [
        path.relative_to(ROOT / "src/cofire")
        for part in PARTS
        for path in sorted((ROOT / "src/cofire" / part).rglob("*.py"))
    ]
    every = [one for path in paths if only in str(path) for one in mutants_of(path)]
    return Random(seed).sample(every, min(count, len(every)))


#: In the copy: which place was reached by which test, a line each.
_MARKS = """
import os
_seen = set()

def reach(*numbers):
    for number in numbers:
        if number not in _seen:
            _seen.add(number)
            with open({reached!r}, "a") as out:
                print(number, os.environ.get("PYTEST_CURRENT_TEST", ""), file=out)
"""
#: For pytest in the copy: forget what was reached before each test, and what was read before each
#: file of tests; or run only the tests asked for, in their order.
_PLUGIN = """
import functools, gc, json, os, sys
_files = set()

def pytest_runtest_setup(item):
    marks = sys.modules.get("cofire._marks")
    if marks:
        marks._seen.clear()
        if item.path not in _files:
            _files.add(item.path)
            for one in gc.get_objects():
                if isinstance(one, functools._lru_cache_wrapper):
                    one.cache_clear()

def pytest_runtest_logreport(report):
    if "TOOK" in os.environ:
        with open(os.environ["TOOK"], "a") as out:
            print("inf" if report.failed else report.duration, report.nodeid, file=out)

def pytest_collection_modifyitems(items):
    if "WANTED" in os.environ:
        order = {name: place for place, name in enumerate(json.load(open(os.environ["WANTED"])))}
        items[:] = sorted((one for one in items if one.nodeid in order),
                          key=lambda one: order[one.nodeid])
"""


def _marked(path: Path, numbered: list[tuple[int, Mutant]]) -> tuple[str, set[int]]:
    """The text of a module that says which of the numbered places are reached: those of a
    function where they stand, those that are read once, on import, in all its functions. And which
    are read on import."""
    tree = ast.parse((ROOT / "src/cofire" / path).read_text("utf-8"))
    places = list(_places(tree))
    bodies: list[tuple[list[ast.stmt], int, int]] = []  # body, index, number
    once: set[int] = set()
    for number, mutant in numbered:
        parent, name, index = places[mutant.place]
        value = getattr(parent, name)
        inner = _statement(tree, value if index is None else value[index])
        if inner is not None:
            bodies.append((*inner, number))
        else:
            once.add(number)
            bodies += [
                (one.body, 0, number) for one in ast.walk(tree) if isinstance(one, ast.FunctionDef)
            ]
    for body, index, number in sorted(bodies, key=lambda one: -one[1]):
        body.insert(index, ast.parse(f"_reach({number})").body[0])
    after = next(n for n, one in enumerate(tree.body) if not isinstance(one, ast.Expr)
                 and getattr(one, "module", "") != "__future__")  # fmt: skip
    tree.body.insert(after, ast.parse("from cofire._marks import reach as _reach").body[0])
    return ast.unparse(ast.fix_missing_locations(tree)) + "\n", once


def _statement(tree: ast.AST, node: ast.AST) -> tuple[list[ast.stmt], int] | None:
    """The body and the index in it of the innermost statement in a function that holds a node."""
    found: tuple[list[ast.stmt], int] | None = None

    def look(one: ast.AST, within: bool, at: tuple[list[ast.stmt], int] | None) -> bool:
        nonlocal found
        if one is node:
            found = at
            return True
        for name, value in ast.iter_fields(one):
            runs = within or (isinstance(one, ast.FunctionDef) and name == "body")
            for index, inner in enumerate(value) if isinstance(value, list) else [(-1, value)]:
                if isinstance(inner, ast.AST):
                    here = (value, index) if isinstance(inner, ast.stmt) and runs else at
                    if look(inner, runs, here):
                        return True
        return False

    look(tree, False, None)
    return found


def copied(tree: Path) -> None:
    """What the tests need, compiled."""
    for name in NEEDED:
        copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
        copy(ROOT / name, tree / name)
    (tree / "src/for_mutants.py").write_text(_PLUGIN)
    _compile(tree)


def _compile(tree: Path) -> None:
    subprocess.run([sys.executable, "-m", "compileall", "-q", tree / "src"], check=True)


def reached(chosen: list[Mutant], tree: Path, tests: list[str]) -> dict[int, dict[str, float]]:
    """The tests that reach each mutant, by its number, and the seconds that each takes; found by
    running ``tests`` once with all the places marked."""
    hits, took = tree / "reached.txt", tree / "took.txt"
    hits.write_text("")
    took.write_text("")
    (tree / "src/cofire/_marks.py").write_text(_MARKS.format(reached=str(hits)))
    by_path: dict[Path, list[tuple[int, Mutant]]] = {}
    for number, one in enumerate(chosen):
        by_path.setdefault(one.path, []).append((number, one))
    on_import: set[int] = set()
    for path, numbered in by_path.items():
        text, once = _marked(path, numbered)
        _write(tree, path, text, 2)
        on_import |= once
    _pytest(tree, tests, {"TOOK": str(took)}, None)
    for path in by_path:
        shutil.copy2(ROOT / "src/cofire" / path, tree / "src/cofire" / path)
    (tree / "src/cofire/_marks.py").unlink()
    _compile(tree)
    seconds: dict[str, float] = {}
    for line in took.read_text("utf-8").splitlines():
        spent, _, name = line.partition(" ")
        seconds[name] = seconds.get(name, 0.0) + float(spent)
    found: dict[int, dict[str, float]] = {number: {} for number in range(len(chosen))}
    for line in hits.read_text("utf-8").splitlines():
        number, _, name = line.partition(" ")
        name = name.rpartition(" (")[0]
        if seconds.get(name, math.inf) < math.inf:  # one that fails without a mutant tells nothing
            found[int(number)][name] = seconds[name]
    looks = {name: took for name, took in seconds.items() if name.startswith(LOOKS_AT_ALL)}
    for once in on_import:
        found[once] |= looks
    return found


def _write(tree: Path, path: Path, text: str, age: int) -> None:
    """A module whose compiled form, of another age, is not used."""
    module = tree / "src/cofire" / path
    module.write_text(text, "utf-8")
    os.utime(module, (age, age))


def _pytest(tree: Path, tests: list[str], also: dict[str, str], longest: float | None) -> int:
    words = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "for_mutants",
             "-o", "addopts=--strict-markers", *(["-x"] if longest else []), *tests]  # fmt: skip
    where = dict(os.environ, PYTHONPATH=str(tree / "src"), **also)
    if longest:
        where["PYTHONDONTWRITEBYTECODE"] = "1"
    try:
        ran = subprocess.run(words, cwd=tree, env=where, capture_output=True, timeout=longest)
    except subprocess.TimeoutExpired:
        return 1  # it hangs on the mutant, which counts as found
    (tree / "said.txt").write_bytes(ran.stdout + ran.stderr)
    return ran.returncode


def survives(mutant: Mutant, tree: Path, reaching: dict[str, float]) -> bool:
    """Whether the tests that reach a mutant pass in the copy: those of the files named after its
    module, then the quickest first, up to ``LONGEST_S`` of them."""
    stem = re.compile(rf"(^test|_){mutant.path.stem.replace('_', '[_-]')}(_|s?\.py)")
    by_file: dict[str, list[str]] = {}
    left = LONGEST_S
    for name in sorted(reaching, key=lambda one: reaching[one]):
        left -= reaching[name]
        if left > 0:
            by_file.setdefault(name.partition("::")[0], []).append(name)
    files = sorted(by_file, key=lambda one: (
        stem.search(Path(one).name) is None, -len(by_file[one])))  # fmt: skip
    _write(tree, mutant.path, mutated(mutant), 1)
    wanted = tree / "wanted.json"
    try:
        for some in (files[:2], files[2:8], files[8:]):
            if some:
                wanted.write_text(json.dumps([name for one in some for name in by_file[one]]))
                code = _pytest(tree, some, {"WANTED": str(wanted)}, 3.0 * LONGEST_S)
                if code not in (0, 5):
                    return False
        return True
    finally:
        shutil.copy2(ROOT / "src/cofire" / mutant.path, tree / "src/cofire" / mutant.path)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--count", type=int, default=400)
    asked.add_argument("--seed", type=int, default=18)
    asked.add_argument("--first", type=int, help="run only so many of those that are drawn")
    asked.add_argument("--only", default="", help="modules with this in their path")
    asked.add_argument("--tests", nargs="+", default=TESTS, help="where to look for tests")
    asked.add_argument("--log", type=Path, help="what is done; a run goes on after its last line")
    asked.add_argument("--list", action="store_true", help="print them and run nothing")
    how = asked.parse_args()
    chosen = drawn(how.count, how.seed, how.only)[: how.first]
    if how.list:
        for one in chosen:
            print(one)
        return
    done = how.log.read_text("utf-8").splitlines() if how.log and how.log.exists() else []
    with tempfile.TemporaryDirectory() as folder:
        copied(Path(folder))
        reaching = reached(chosen, Path(folder), how.tests)
        for number, one in enumerate(chosen):
            if number >= len(done):
                lives = survives(one, Path(folder), reaching[number])
                done.append(f"{'survived' if lives else 'found'}  {one}")
                if how.log:
                    with how.log.open("a", encoding="utf-8") as log:
                        print(done[-1], file=log)
            left = sum(line.startswith("survived") for line in done[: number + 1])
            low, high = wilson(left, number + 1)
            print(done[number])
            print(f"{left} of {number + 1} survived, {low:.0f} to {high:.0f} %", flush=True)


def wilson(count: int, of: int) -> tuple[float, float]:
    """The 90 % interval of a share, %, by Wilson's score (Wilson 1927)."""
    z = 1.645
    share, spread = count / of, z * z / of
    middle = (share + spread / 2) / (1 + spread)
    half = (share * (1 - share) * spread + spread * spread / 4) ** 0.5 / (1 + spread)
    return 100 * (middle - half), 100 * (middle + half)


if __name__ == "__main__":
    main()
