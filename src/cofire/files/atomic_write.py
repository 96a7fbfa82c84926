"""Write a file so that a crash leaves either the old one or the new one, never half of one."""

from __future__ import annotations

import io
import os
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Literal

from cofire.errors import CofireError, Place, refusal

#: File name endings by kind, and the mark that our own files hold. Tables hold no mark, and people
#: write into them: they are never replaced.
_ENDINGS = {"page": (".html", ".htm"), "picture": (".svg",), "PDF": (".pdf",), "table": (".csv",)}
_MARK = "<!-- made by cofire: saying the command again replaces this file -->\n"
_OURS = {"page": _MARK.encode(), "picture": _MARK.encode(), "PDF": b"/Creator (cofire)"}
FileKind = Literal["page", "picture", "PDF", "table"]


@contextmanager
def writing(path: Path) -> Iterator[IO[str]]:
    """A text file to write to; it takes the place of ``path`` once the block ends well.

    Raises DataFileError when the folder or the file cannot be written.
    """
    with writing_bytes(path) as raw:
        out = io.TextIOWrapper(raw, encoding="utf-8", newline="")
        yield out
        out.flush()
        out.detach()


@contextmanager
def writing_bytes(path: Path) -> Iterator[IO[bytes]]:
    """As ``writing``, for binary files."""
    path = path.resolve()  # a link stays a link
    if path.exists() and not path.is_file():
        raise refusal("not-an-ordinary-file", Place(path))
    if not path.parent.is_dir():
        raise refusal("no-such-folder", Place(path.parent))
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as problem:
        raise _unwritable(path, problem) from None
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())
        temporary.chmod(path.stat().st_mode if path.exists() else 0o666 & ~_umask())
        temporary.replace(path)
    except BaseException as problem:
        temporary.unlink(missing_ok=True)
        if isinstance(problem, OSError) and not isinstance(problem, BrokenPipeError):
            raise _unwritable(path, problem) from None
        raise


def write_all(texts: Mapping[Path, str]) -> None:
    """Write all of these new files into folders that exist, or none of them.

    Every file is complete before the first gets its name, and all names are reserved before.
    Raises DataFileError where one is taken or cannot be written.
    """
    ready: dict[Path, Path] = {}
    reserved: list[Path] = []
    try:
        for path, text in texts.items():
            if not path.parent.is_dir():
                raise refusal("no-such-folder", Place(path.parent))
            handle, name = tempfile.mkstemp(dir=path.parent, prefix=".new.")
            ready[path] = Path(name)
            with os.fdopen(handle, "wb") as out:
                out.write(text.encode())
                out.flush()
                os.fsync(out.fileno())
            ready[path].chmod(0o666 & ~_umask())
        for path in texts:
            path.open("x").close()
            reserved.append(path)
        for path, temporary in ready.items():
            temporary.replace(path)
    except BaseException as problem:
        for one in (*reserved, *ready.values()):
            one.unlink(missing_ok=True)
        if isinstance(problem, FileExistsError):
            raise refusal("name-taken", Place(path), why="") from None
        if isinstance(problem, OSError):
            raise _unwritable(path, problem) from None
        raise


def refuse_taken(path: Path, why: str = "") -> None:
    """Raises DataFileError where there is a file already."""
    if path.exists():
        raise refusal("name-taken", Place(path), why=why)


def refuse_overwrite(path: Path, kind: FileKind) -> None:
    """Raises DataFileError if the name is wrong for this kind of file, or the file exists and was
    not written by cofire."""
    endings = _ENDINGS[kind]
    real = path.resolve()
    if any(p.suffix.lower() not in endings for p in (path, real)):
        raise refusal(
            "wrong-ending", Place(path), kind=kind, ending=endings[0], stem=path.stem or kind
        )
    if not real.is_file():  # what else is in the way is refused when it is written
        return
    try:
        ours = kind in _OURS and _OURS[kind] in real.read_bytes()
    except OSError as problem:
        raise refusal("unreadable", Place(path), reason=problem.strerror) from None
    if not ours:
        why = ", and cofire did not write it" if kind in _OURS else ""
        refuse_taken(path, why)


@contextmanager
def writing_answer(path: Path, kind: FileKind) -> Iterator[IO[str]]:
    """As ``writing``, for answers: never replaces a file that a person wrote, and marks its own so
    that it may be replaced."""
    refuse_overwrite(path, kind)
    with writing(path) as out:
        yield out
        out.write(_MARK if kind in ("page", "picture") else "")


def _unwritable(path: Path, problem: OSError) -> CofireError:
    return refusal("unwritable", Place(path), reason=problem.strerror)


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
