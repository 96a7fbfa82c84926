"""How many small mistakes in the program its tests would miss.

Run by hand:  python tests/bench/mutants.py --count 400 --seed 18

Draws mutants by a seed over model, answers, readers and sheets: each is one changed operator,
number or condition in one module, in a copy of the tree in a temporary folder. The test files that
concern the module are run on it until one fails; a mutant that none fails on has survived. Files
concern a module if they import it or what imports it, are called after it, or type the command that
it answers; if there are none, all those of its package do.
"""

from __future__ import annotations

import argparse
import ast
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
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
#: A test that takes longer than this, s, hangs on the mutant, which counts as found.
LONGEST_S = 300
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


def concerned(path: Path) -> list[Path]:
    """Test files to run for a module, those named after it first."""
    dotted = "cofire." + ".".join(path.with_suffix("").parts)
    users = [_dotted(one) for one in _modules() if _imports(dotted, one.read_text("utf-8"))]
    typed = "|".join(re.escape(one.replace("_", "-")) for one in path.with_suffix("").parts[1:])
    stem = path.stem.replace("_", "[_-]")
    folder, ranked = str(path.parent), []
    for test in sorted((ROOT / "tests").rglob("test_*.py")):
        inside = test.relative_to(ROOT / "tests")
        if inside.parts[0] == "hostile":
            continue
        text = test.read_text("utf-8")
        named = re.search(rf"(^test|_){stem}(_|s?\.py)", test.name) is not None
        imports = _imports(dotted, text)
        types = re.search(rf'cofire\(\s*"({typed})"', text) is not None
        beside = str(inside.parent) == folder
        far = types or any(_imports(user, text) for user in users)
        rank = 0 if named and beside else 1 if imports else 2 if named else 3 if far else 4
        if rank < 4 or beside:
            ranked.append((rank, test.stat().st_size, inside))
    best = [one for one in sorted(ranked) if one[0] < 4]
    return [test for _, _, test in best or sorted(ranked)]


@cache
def _modules() -> tuple[Path, ...]:
    return tuple((ROOT / "src/cofire").rglob("*.py"))


def _dotted(path: Path) -> str:
    return ".".join(("cofire", *path.relative_to(ROOT / "src/cofire").with_suffix("").parts))


def _imports(dotted: str, text: str) -> bool:
    package, _, name = dotted.rpartition(".")
    both = rf"\b{re.escape(dotted)}\b|from {re.escape(package)} import [^\n]*\b{re.escape(name)}\b"
    return re.search(both, text) is not None


def survives(mutant: Mutant, tree: Path) -> bool:
    """Whether all tests that concern it pass in a copy of the ``tree``."""
    module = tree / "src/cofire" / mutant.path
    was = module.read_text("utf-8")
    module.write_text(mutated(mutant), "utf-8")
    tests = [f"tests/{test}" for test in concerned(mutant.path)]
    words = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-o",
             "addopts=--strict-markers", *tests]  # fmt: skip
    where = dict(os.environ, PYTHONPATH=str(tree / "src"), PYTHONDONTWRITEBYTECODE="1")
    try:
        ran = subprocess.run(words, cwd=tree, env=where, capture_output=True, timeout=LONGEST_S)
        return ran.returncode in (0, 5)  # 5: there are no tests
    except subprocess.TimeoutExpired:
        return False
    finally:
        module.write_text(was, "utf-8")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--count", type=int, default=400)
    asked.add_argument("--seed", type=int, default=18)
    asked.add_argument("--first", type=int, help="run only so many of those that are drawn")
    asked.add_argument("--only", default="", help="modules with this in their path")
    asked.add_argument("--list", action="store_true", help="print them and run nothing")
    how = asked.parse_args()
    chosen = drawn(how.count, how.seed, how.only)[: how.first]
    if how.list:
        for one in chosen:
            print(
                f"{one.path}:{one.line}: {one.was} -> {one.now}; {len(concerned(one.path))} files"
            )
        return
    left = 0
    with tempfile.TemporaryDirectory() as folder:
        for name in NEEDED:
            copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
            copy(ROOT / name, Path(folder) / name)
        for number, one in enumerate(chosen, 1):
            if survives(one, Path(folder)):
                left += 1
                print(f"survived  {one.path}:{one.line}: {one.was} -> {one.now}", flush=True)
            print(f"{left} of {number} survived, {100.0 * left / number:.0f} %", flush=True)


if __name__ == "__main__":
    main()
