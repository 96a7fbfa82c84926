"""Write a file so that a crash leaves either the old one or the new one, never half of one."""

from __future__ import annotations

import io
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from cofire.errors import DataFileError, Place


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
    """As ``writing``, for a file that is no text."""
    path = path.resolve()  # a link stays a link
    if path.exists() and not path.is_file():
        raise DataFileError(
            "this is no ordinary file, so nothing is written there.",
            hint="Name a file.",
            place=Place(path),
        )
    if not path.parent.is_dir():
        raise DataFileError(
            "there is no such folder.", hint="Make it first.", place=Place(path.parent)
        )
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


def _unwritable(path: Path, problem: OSError) -> DataFileError:
    return DataFileError(f"the file cannot be written ({problem.strerror}).", place=Place(path))


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
