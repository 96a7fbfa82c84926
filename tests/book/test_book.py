"""The book of answers: what the program said to ``questions.txt`` when somebody last read it over.

It does not know what is right: all other tests ask that. It shows what a change moves. Where that
was meant, read the difference and write the book anew:

    COFIRE_BOOK=write python -m pytest tests/book && git diff tests/book
"""

from __future__ import annotations

import html
import json
import math
import os
import re
import shlex
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path
from typing import Any

import numpy as np
import pypdf
import pytest

HERE = Path(__file__).parent
NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")
TODAY = re.compile(r"20\d\d-\d\d-\d\d([ T]\d\d:\d\d:\d\d)?")
#: A number may move by this share, or by one of its last digit and this much: draws that fall to
#: the other side on another machine. Our choice.
SHARE, LEAST = 4e-3, 5e-4
#: Of a longer list so many values are kept, evenly from first to last.
KEPT = 5
GIVEN = {
    "glasses.csv": "name,SiO2,B2O3,Al2O3,Na2O,K2O,CaO,PbO\nsoda lime,72,,1,14,1,12,\n"
    "borate,55,20,5,12,3,5,\nlead,45,10,3,4,2,,36\nfar,10,80,,10,,,\n",
    "pasted.txt": "soda-borosilicate frit, 3110 type\t60\nsilica\t22\nkaolin\t12\nwhiting\t6\n"
    "copper carbonate\t2\n",
    "many.csv": "glaze,material,amount\nReed white,calcium borate frit 3134 type,62\n"
    "Reed white,kaolin,15\nReed white,silica,23\nReed white,zircon,8\n"
    "Mud matte,calcium borate frit 3134 type,40\nMud matte,kaolin,35\nMud matte,whiting,25\n",
    "shelf.csv": "material,amount,unit,price per kg\nsilica,10,kg,12\nkaolin,5,kg,9.5\n"
    "whiting,800,g,4\n",
    "certificate.csv": "name,SiO2,B2O3,Al2O3,Na2O,CaO,LOI\nmarsh frit,52,18,6,12,11.5,0.5\n",
    "recipes/kept.txt": "so that there is a folder",
    "log.csv": "time (min),temperature (C)\n" + "".join(
        f"{t},{20 + 1250 * (1 - math.exp(-min(t, 145) / 110)) - 1.5 * max(t - 145, 0):.0f}\n"
        for t in range(0, 400, 5)
    ),
}  # fmt: skip


def asked() -> dict[str, list[tuple[list[str], list[str]]]]:
    """The commands by heading, each with the files it leaves."""
    found: dict[str, list[tuple[list[str], list[str]]]] = {}
    for line in (HERE / "questions.txt").read_text("utf-8").splitlines():
        if line.startswith("["):
            heading = found[line.strip("[]")] = []
        elif line and not line.startswith("#"):
            words, _, leaves = line.partition(" > ")
            heading.append((shlex.split(words), leaves.split()))
    return found


def flat(value: Any, path: str = "") -> Iterator[str]:
    """An answer as lines, “odds.sits: 0.43”."""
    if isinstance(value, dict) and "severity" in value:
        said = "" if value.get("act") else f" {value['message']}"
        yield f"{path}: {value['severity']} {value['code']}{said}"
    elif isinstance(value, dict):
        for key, one in value.items():
            if key == "glazes" and len(one) == 1 and "set_c" in value:
                continue  # the same once more
            yield from flat(one, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        few = np.linspace(0, len(value) - 1, min(len(value), KEPT)).astype(int).tolist()
        if len(value) > KEPT:
            yield f"{path}: {len(value)} of them"
        for k in few:
            yield from flat(value[k], f"{path}[{k}]")
    else:
        text = f"{value:.4g}" if isinstance(value, float) else str(value)
        yield f"{path}: {' / '.join(text.splitlines())}"


def page_of(file: Path) -> Iterator[str]:
    """What can be read of a file, and where it stands on paper."""
    if not file.exists():
        yield "it is not there"
    elif file.suffix == ".pdf":
        for number, page in enumerate(pypdf.PdfReader(file).pages, 1):
            lines: list[str] = []

            def note(text: str, on: Any, at: Any, _: Any, size: float, to: Any = lines) -> None:
                x, y = (at[4] * on[k] + at[5] * on[k + 2] + on[k + 4] for k in (0, 1))
                if text.strip():
                    to.append(f"{x:.0f} {y:.0f} {size:.1f} {' '.join(text.split())}")

            page.extract_text(visitor_text=note)
            yield f"page {number}, {float(page.mediabox.width):.0f} wide"
            yield from lines
    elif file.suffix in (".html", ".svg"):
        text = re.sub(r"(?s)<(script|style).*?</\1>", "", file.read_text("utf-8"))
        drawn = [d[:60] for d in re.findall(r' d="([^"]+)"', text)]
        yield from drawn[:: max(len(drawn) // KEPT, 1)]
        lines = (html.unescape(" ".join(one.split())) for one in re.split(r"(?:<[^>]*>)+", text))
        yield from (line for line in lines if line)
    else:
        yield from file.read_text("utf-8").splitlines()


def answers(cofire: Any, heading: str) -> list[str]:
    """What the program says and leaves, as lines."""
    for name, text in GIVEN.items():
        cofire.write(name, text)
    lines = []
    for (sign, *words), leaves in asked()[heading]:
        if sign == "+":
            lines += [
                f"> cofire {shlex.join(words)} --more",
                *cofire(*words, "--more").out.splitlines(),
            ]
        else:
            words.insert(0, sign)
        run = cofire(*words, "--json")
        lines.append(f"> cofire {shlex.join(words)}")
        lines.append(f"exit {run.code}")
        lines += flat(json.loads(run.out or run.err))
        for name in leaves:
            lines += [f"> {name}", *page_of(cofire.folder / name)]
    return [
        TODAY.sub("TODAY", line.replace(str(cofire.folder), "STUDIO")).rstrip() for line in lines
    ]


def same(was: str, now: str) -> bool:
    """Whether two lines say the same, numbers within what draws may move them."""
    if NUMBER.split(was) != NUMBER.split(now):
        return False
    for a, b in zip(NUMBER.findall(was), NUMBER.findall(now), strict=True):
        last = 10.0 ** -len(a.partition("e")[0].partition(".")[2])
        if abs(float(a) - float(b)) > SHARE * abs(float(a)) + max(last, LEAST):
            return False
    return True


@pytest.mark.parametrize("heading", asked())
def test_the_answers_are_those_of_the_book(cofire: Any, heading: str) -> None:
    file, now = HERE / f"{heading}.txt", answers(cofire, heading)
    if os.environ.get("COFIRE_BOOK") == "write":
        file.write_text("\n".join(now) + "\n", "utf-8")
    was = file.read_text("utf-8").splitlines()
    moved = [
        f"{k}: was {a}\n{k}: now {b}"
        for k, (a, b) in enumerate(zip_longest(was, now, fillvalue=""), 1)
        if not same(a, b)
    ]
    assert not moved, "\n".join([*moved[:10], f"{len(moved)} lines of {file.name} moved"])
