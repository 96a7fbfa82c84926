"""Write a file so that a crash leaves either the old one or the new one, never half of one."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import platform
import re
import stat
import tempfile
import time
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import IO, Any, Literal

from cofire.errors import CofireError, Place, refusal
from cofire.files.new_names import refuse_flawed
from cofire.files.toml import read_bytes
from cofire.files.toml import real as real_path

#: File name endings by kind. Tables are not sealed, and people write into them: they are never
#: replaced.
_ENDINGS = {"page": (".html", ".htm"), "picture": (".svg",), "PDF": (".pdf",), "table": (".csv",)}
#: Far above any answer that is drawn, bytes; our choice.
_LARGEST_ANSWER = 100_000_000
FileKind = Literal["page", "picture", "PDF", "table"]

#: Our temporary files: “.cofire-MACHINE-PROCESS-random”. After an hour they are swept; our choice.
_TEMPORARY = re.compile(r"\.cofire-[0-9a-f]{8}-([0-9]{1,10})-[a-z0-9_]{8}")
_AGE_S = 3600.0


def _fine() -> None:
    """Nothing to check."""


@contextmanager
def writing(path: Path, **how: Any) -> Iterator[IO[str]]:
    """A text file to write to, as ``writing_bytes``."""
    with writing_bytes(path, **how) as raw:
        out = io.TextIOWrapper(raw, encoding="utf-8", newline="")
        yield out
        out.flush()
        out.detach()


@contextmanager
def writing_bytes(
    path: Path, *, new: bool = False, like: Path | None = None, last: Callable[[], None] = _fine
) -> Iterator[IO[bytes]]:
    """A file to write to; it takes the place of ``path`` once the block ends well.

    Where the file has to be ``new``, one of several writers wins and the others are refused. A new
    file has owner and mode of the file ``like``, one that is there keeps its own, but is never open
    to more people than that. ``last`` is called right before the file takes its place, and may
    raise. Raises DataFileError when the folder or the file cannot be written, or when the file has
    several names (hard links), which would be parted.
    """
    asked, path = path, real_path(path)  # a link stays a link
    try:
        if path.exists() and not path.is_file():
            raise refusal("not-an-ordinary-file", Place(asked))
        if not path.parent.is_dir():
            raise refusal("no-such-folder", Place(path.parent))
        refuse_flawed(path)
        _sweep(path.parent)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=_temporary_name(os.getpid()))
    except OSError as problem:
        raise _unwritable(asked, problem) from None
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            yield out
            out.flush()
            _own_and_permit(temporary, path, like)
            os.fsync(out.fileno())
        if not new and path.exists() and path.stat().st_nlink > 1:
            raise refusal("several-names", Place(asked), count=path.stat().st_nlink)
        if new:
            _name_first(temporary, path)
        else:
            last()
            temporary.replace(path)
    except FileExistsError:
        raise refusal("name-taken", Place(asked), why="") from None
    except OSError as problem:
        if isinstance(problem, BrokenPipeError):
            raise
        raise _unwritable(asked, problem) from None
    finally:
        temporary.unlink(missing_ok=True)


def _own_and_permit(temporary: Path, path: Path, like: Path | None) -> None:
    """Owner and mode of the file that is replaced or, for a new one, of ``like``."""
    model = path if path.exists() else like
    if model is None:
        temporary.chmod(0o666 & ~_umask())
        return
    found = model.stat()
    mode = stat.S_IMODE(found.st_mode)
    if like is not None:
        mode = mode & stat.S_IMODE(like.stat().st_mode) | 0o600
    own_as(model, temporary)
    temporary.chmod(mode)


def own_as(model: Path, path: Path) -> None:
    """Give a file or folder to the owner of another, as far as the system allows."""
    if hasattr(os, "chown"):
        found = model.stat()
        with contextlib.suppress(OSError):  # only root may give files away
            os.chown(path, found.st_uid, found.st_gid)


def _name_first(temporary: Path, path: Path) -> None:
    """Give a file its name. Raises FileExistsError where another was faster."""
    try:
        os.link(temporary, path)
    except FileExistsError:
        raise
    except OSError:  # a disk without links: an empty file takes the name first
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
        temporary.replace(path)


def _temporary_name(pid: int) -> str:
    """How the names of our temporary files begin: which machine and process they belong to."""
    return f".cofire-{zlib.crc32(platform.node().encode()):08x}-{pid}-"


def _sweep(folder: Path) -> None:
    """Remove what killed runs left: files an hour old, or of a process here that is gone."""
    ours = _temporary_name(0).removesuffix("0-")
    for entry in os.scandir(folder):
        match = _TEMPORARY.fullmatch(entry.name)
        if match is None:
            continue
        with contextlib.suppress(OSError):  # another may sweep too
            old = time.time() - entry.stat(follow_symlinks=False).st_mtime > _AGE_S
            if old or (entry.name.startswith(ours) and not _runs(int(match[1]))):
                Path(entry.path).unlink()


def _runs(pid: int) -> bool:
    """Whether there is such a process; yes where that cannot be known."""
    if os.name != "posix":  # there the question would end it
        return True
    try:
        os.kill(pid, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True


def write_all(texts: Mapping[Path, str]) -> None:
    """Write all of these new files into folders that exist, or none of them.

    Every file is complete before the first gets its name.
    Raises DataFileError where one is taken or cannot be written.
    """
    ready: dict[Path, Path] = {}
    named: list[Path] = []
    try:
        for path, text in texts.items():
            if not path.parent.is_dir():
                raise refusal("no-such-folder", Place(path.parent))
            refuse_flawed(path)
            handle, name = tempfile.mkstemp(dir=path.parent, prefix=_temporary_name(os.getpid()))
            ready[path] = Path(name)
            with os.fdopen(handle, "wb") as out:
                out.write(text.encode())
                out.flush()
                os.fsync(out.fileno())
            ready[path].chmod(0o666 & ~_umask())
        for path, temporary in ready.items():
            _name_first(temporary, path)
            named.append(path)
            temporary.unlink(missing_ok=True)
    except BaseException as problem:
        for one in (*named, *ready.values()):
            one.unlink(missing_ok=True)
        if isinstance(problem, FileExistsError):
            raise refusal("name-taken", Place(path), why="") from None
        if isinstance(problem, OSError):
            raise _unwritable(path, problem) from None
        raise


def refuse_taken(path: Path, why: str = "") -> None:
    """Raises DataFileError where there is a file already."""
    if os.path.lexists(path):
        raise refusal("name-taken", Place(path), why=why)
    refuse_flawed(path)


def refuse_overwrite(path: Path, kind: FileKind) -> None:
    """Raises DataFileError if the name is wrong for this kind of file, or the file exists and is
    not just as cofire wrote it."""
    endings = _ENDINGS[kind]
    real = real_path(path)
    if any(p.suffix.lower() not in endings for p in (path, real)):
        raise refusal(
            "wrong-ending", Place(path), kind=kind, ending=endings[0], stem=path.stem or kind
        )
    if not os.path.lexists(real) or (real.exists() and not real.is_file()):
        refuse_flawed(path)  # what is no file is refused when it is written
        return
    if kind == "table":
        refuse_taken(path)
    raw = read_bytes(real, _LARGEST_ANSWER)
    made = raw[: raw.rfind(b"\n", 0, -1) + 1]
    if raw != made + _seal(kind, made):
        refuse_taken(path, ", and cofire did not write it, or somebody has edited it")


def write_answer(path: Path, kind: FileKind, made: str | bytes) -> None:
    """Write an answer: never replaces a file that a person wrote or edited, and seals its own so
    that it may be replaced. Raises DataFileError."""
    raw = made.encode() if isinstance(made, str) else made
    refuse_overwrite(path, kind)
    last = partial(refuse_overwrite, path, kind)
    with writing_bytes(path, new=not os.path.lexists(path), last=last) as out:
        out.write(raw + _seal(kind, raw))


def _seal(kind: FileKind, raw: bytes) -> bytes:
    """The last line of an answer: a comment with a digest of all above it; none in a table."""
    if kind == "table":
        return b""
    said = f"made by cofire, {hashlib.sha256(raw).hexdigest()[:32]}: saying the command again "
    said += "replaces this file as long as nobody has edited it"
    return (f"% {said}\n" if kind == "PDF" else f"<!-- {said} -->\n").encode()


def _unwritable(path: Path, problem: OSError) -> CofireError:
    return refusal("unwritable", Place(path), reason=problem.strerror)


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
