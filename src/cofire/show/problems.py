"""Errors as people read them: what, where, what to write instead. Plain text, no library."""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
import traceback

from cofire.errors import CofireError, Place, Problems
from cofire.names import shown


def show_error(error: CofireError) -> None:
    """Write one error, or each of several, to standard error."""
    errors = error.errors if isinstance(error, Problems) else (error,)
    for each in errors:
        print(describe(each), file=sys.stderr)


def describe(error: CofireError) -> str:
    """Place, sentence and hint on their own lines; on a screen broken between words."""
    said = f"{error.place}: {error.message}" if error.place else error.message
    lines = [shown(said), *([f"    {shown(error.hint)}"] if error.hint else [])]
    if sys.stderr.isatty():
        width = shutil.get_terminal_size().columns
        lines = [_broken(line, width) for text in lines for line in text.split("\n")]
    return "\n".join(lines)


def _broken(line: str, width: int) -> str:
    """A line that runs on below where it began; paths and commands stay whole."""
    indent = line[: len(line) - len(line.lstrip())]
    return textwrap.fill(
        line.strip(),
        max(width, 40),
        initial_indent=indent,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


def bug_error(bug: BaseException) -> CofireError:
    """A bug of cofire as an error; with details if COFIRE_DEBUG is set."""
    said = f"Internal error ({type(bug).__name__}: {bug})."
    if os.environ.get("COFIRE_DEBUG"):
        return coded("bug", said, "".join(traceback.format_exception(bug)).rstrip())
    return coded(
        "bug",
        said,
        "This is our bug, not yours. Please report the command you typed; "
        "COFIRE_DEBUG=1 adds the details we need.",
    )


def coded(code: str, message: str, hint: str = "", place: Place | None = None) -> CofireError:
    """An error that is not in a person's files, under a code of its own."""
    error = CofireError(message, hint=hint, place=place)
    error.code = code
    return error
