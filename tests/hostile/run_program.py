"""Run cofire on one hostile case, and say what it must never do."""

from __future__ import annotations

import base64
import io
import json
import os
import re
import resource
import signal
import sys
import tempfile
import traceback
import unicodedata
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from unittest import mock

from cofire.cli import main as program
from cofire.errors import CofireError
from cofire.show.problems import bug_error

#: Longest run, seconds of this process (a busy machine is no mistake), and most memory, bytes.
MOST_S, MOST_BYTES = 10.0, 1 << 30
#: Lists show what is wrong with a file in its own words.
_QUOTING = ("recipes", "bodies", "firings", "kilns")
_NO_NUMBER = re.compile(r"(?<![\w“\"'-])[+-]?(?:nan|inf|infinity)(?![\w”\"'-])", re.IGNORECASE)
#: Warnings that concern programmers.
_NOT_OURS = (DeprecationWarning, PendingDeprecationWarning, ResourceWarning, ImportWarning)


@dataclass
class Case:
    """What is typed, and the files around it."""

    words: list[str]
    files: dict[str, bytes] = field(default_factory=dict)
    stdin: bytes = b""

    def to_json(self) -> str:
        coded = {name: base64.b64encode(raw).decode() for name, raw in self.files.items()}
        stdin = base64.b64encode(self.stdin).decode()
        words = [os.fsencode(word).hex() for word in self.words]
        shown = [word.encode(errors="replace").decode() for word in self.words]
        return json.dumps({"typed": shown, "words": words, "files": coded, "stdin": stdin})

    @staticmethod
    def from_json(text: str) -> Case:
        data = json.loads(text)
        files = {name: base64.b64decode(raw) for name, raw in data["files"].items()}
        words = [os.fsdecode(bytes.fromhex(word)) for word in data["words"]]
        return Case(words, files, base64.b64decode(data["stdin"]))


@dataclass
class Ran:
    """What a run left behind."""

    code: int | None
    out: str
    err: str
    warned: list[str]
    bug: str = ""
    grew_bytes: int = 0  # beyond the most that this process had before


class TooLong(BaseException):
    """Raised in a run that takes too long; no handler of the program catches it."""


def lay_out(case: Case, folder: Path) -> None:
    """The studio of a case, in an empty folder."""
    (folder / "studio.toml").write_text("", "utf-8")
    for name, raw in case.files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(raw)


def run(case: Case, folder: Path) -> Ran:
    """The command line in this process, in ``folder``."""
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", write_through=True) for _ in range(2))
    stdin = io.TextIOWrapper(io.BytesIO(case.stdin), "utf-8")
    code: int | None = None
    bug = ""
    seen: list[BaseException] = []
    home = {"HOME": str(folder), "XDG_DATA_HOME": str(folder)}

    def noted(bug: BaseException) -> CofireError:
        seen.append(bug)
        return bug_error(bug)

    before, memory = Path.cwd(), _most_memory()
    os.chdir(folder)
    with (
        mock.patch.multiple(sys, argv=["cofire", *case.words], stdout=out, stderr=err, stdin=stdin),
        mock.patch.dict(os.environ, {"COLUMNS": "100", **home}),
        mock.patch("cofire.show.problems.bug_error", noted),
        warnings.catch_warnings(record=True) as warned,
    ):
        os.environ.pop("COFIRE_STUDIO", None)
        warnings.simplefilter("always")
        try:
            with _at_most(MOST_S):
                program.main()
        except SystemExit as left:
            code = left.code if isinstance(left.code, int) else 70
        except TooLong as late:
            bug = f"ran longer than {MOST_S:g} s\n" + "".join(
                traceback.format_tb(late.__traceback__)
            )
        except BaseException as other:  # for the report
            seen.append(other)
        finally:
            os.chdir(before)
    for one in seen:
        bug += "".join(traceback.format_exception(one))
    texts = [stream.buffer.getvalue().decode("utf-8", "replace") for stream in (out, err)]  # type: ignore[attr-defined]
    told = [f"{w.category.__name__}: {w.message} ({w.filename}:{w.lineno})" for w in warned
            if not issubclass(w.category, _NOT_OURS)]  # fmt: skip
    return Ran(code, *texts, told, bug, _most_memory() - memory)


def _most_memory() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


@contextmanager
def _at_most(seconds: float) -> Iterator[None]:
    def late(*_: object) -> None:
        raise TooLong

    old = signal.signal(signal.SIGPROF, late)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, old)


def snapshot(folder: Path) -> dict[str, bytes]:
    """All files below a folder, and what is in them."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def tried(case: Case) -> list[str]:
    """What goes wrong with a case in a folder of its own."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made).resolve()
        lay_out(case, folder)
        before = snapshot(folder)
        ran = run(case, folder)
        return wrongs(case, ran, before, snapshot(folder))


def wrongs(case: Case, ran: Ran, before: dict[str, bytes], after: dict[str, bytes]) -> list[str]:
    """What no run may do, each with what was seen; none if all is well."""
    found = [f"warned: {told}" for told in ran.warned]
    if ran.bug or ran.code not in (0, 1, 2):
        found.append(f"left with {ran.code}: {ran.bug}")
    if "Traceback (most recent" in ran.out + ran.err:
        found.append("printed a traceback")
    answered = ran.code in (0, 1) and not set(case.words[:1]) & set(_QUOTING)
    if answered and (match := _NO_NUMBER.search(ran.out)):
        line = ran.out[: match.end()].rpartition("\n")[2]
        found.append(f"printed “{match[0]}” as an answer: {line}")
    odd = {c for c in ran.out + ran.err if unicodedata.category(c) == "Cc" and c not in "\n\t"}
    if odd:
        found.append(f"printed control characters {sorted(odd)!r}")
    if ran.code == 2 and not (ran.err + ran.out).strip():
        found.append("refused without a word")
    if "--json" in case.words and ran.code in (0, 1) and ran.out and "predict" not in case.words:
        try:
            json.loads(ran.out, parse_constant=lambda name: 1 / 0)
        except (ValueError, ZeroDivisionError):
            found.append("printed JSON that is none")
    found += lost(before, after)
    if ran.grew_bytes > MOST_BYTES:
        found.append("took more than 1 GiB")
    return found


def lost(before: dict[str, bytes], after: dict[str, bytes]) -> list[str]:
    """Bytes of a person that are gone, and temporary files that stay.

    A recipe may change if its history holds the text that it had; a history may only grow.
    """
    found = [f"left {name}" for name in after.keys() - before.keys() if _is_temporary(name)]
    for name, old in before.items():
        new = after.get(name)
        if new == old:
            continue
        folder, _, file = name.rpartition("/")
        if new is None:
            found.append(f"{name} is gone")
        elif folder.endswith("history"):
            if not new.startswith(old):
                found.append(f"{name}: history was rewritten")
        elif not _kept(old, after.get(f"{folder}/history/{file}", b"")):
            found.append(f"{name} was changed and its old text is lost")
    return found


def _is_temporary(name: str) -> bool:
    return name.rpartition("/")[2].startswith(".") and not name.endswith(".lock")


def _kept(old: bytes, history: bytes) -> bool:
    """Whether a history holds each line of a text; headings of tables stand there changed."""
    held = {line.strip() for line in history.splitlines()}
    lines = [line.strip() for line in old.removeprefix(b"\xef\xbb\xbf").splitlines()]
    return all(line in held for line in lines if not line.startswith(b"["))
