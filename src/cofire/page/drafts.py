"""Drafts: what lies on the bench and is not saved yet. One file each, written whole or not at all.

A draft is JSON in the folder ``.bench/drafts`` of the studio: the present ``state``, the states
before it (``past``) and those that were undone (``ahead``), and a ``version`` that goes up with
every change. Whoever changes a draft names the version they saw; the later of two is told.
"""

from __future__ import annotations

import json
import os
import re
import secrets
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cofire.errors import refusal
from cofire.files.atomic_write import writing
from cofire.files.edits import locked

FOLDER = ".bench"
#: Steps that can be undone, and bytes of a draft's file; our choice.
_STEPS, _MAX_BYTES = 60, 4_000_000
#: Drafts that nobody opened for so many days go when a new one is begun, if there are many.
_MANY, _OLD_DAYS = 200, 90
_ID = re.compile(r"[0-9a-f]{12}")


class ChangedElsewhereError(Exception):
    """Somebody changed the draft, or the file, since it was looked at."""


@dataclass(frozen=True)
class Draft:
    """``state`` is what the page shows."""

    id: str
    version: int
    state: dict[str, Any]
    past: tuple[dict[str, Any], ...] = ()
    ahead: tuple[dict[str, Any], ...] = ()


class Drafts:
    """The drafts of one studio."""

    def __init__(self, studio: Path) -> None:
        self.root = studio / FOLDER
        self.folder = self.root / "drafts"
        self._make_folders()

    def _make_folders(self) -> None:
        for folder in (self.root, self.folder):
            folder.mkdir(mode=0o700, exist_ok=True)
        ignore = self.root / ".gitignore"
        if not ignore.exists():
            ignore.write_text("*\n", encoding="utf-8")

    def key(self) -> bytes:
        """The secret of this studio's page, made once, readable by its owner alone."""
        path = self.root / "key"
        try:
            handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        except FileExistsError:
            found = path.read_bytes()
            if len(found) == 32:
                return found
            path.unlink()
            return self.key()
        made = secrets.token_bytes(32)
        with os.fdopen(handle, "wb") as out:
            out.write(made)
        return made

    def read(self, id: str) -> Draft | None:
        """None for what is no draft of ours, or damaged."""
        if not _ID.fullmatch(id):
            return None
        try:
            raw = (self.folder / f"{id}.json").read_bytes()[: _MAX_BYTES + 1]
            data = json.loads(raw)
            return Draft(id, int(data["version"]), dict(data["state"]), tuple(data["past"]),
                         tuple(data["ahead"]))  # fmt: skip
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def latest(self) -> Draft | None:
        """The draft that was changed last."""
        by_time = sorted(self.folder.glob("*.json"), key=_changed, reverse=True)
        return next(filter(None, (self.read(path.stem) for path in by_time)), None)

    def begin(self, state: dict[str, Any]) -> Draft:
        """A new draft. Raises QuantityError for more than a file may hold, as a change does."""
        self._make_folders()  # somebody may have tidied up
        self._sweep()
        return self._write(Draft(secrets.token_hex(6), 1, state))

    def change(self, id: str, seen: int, state: dict[str, Any]) -> Draft:
        """The draft with a new state. Raises ChangedElsewhereError where it is not the version
        ``seen`` any more, KeyError where there is none."""
        with locked(self.folder):
            draft = self._seen(id, seen)
            if state == draft.state:
                return draft
            past = (*draft.past, draft.state)[-_STEPS:]
            return self._write(Draft(id, draft.version + 1, state, past))

    def undo(self, id: str, seen: int, *, again: bool = False) -> Draft:
        """One step back, or forward ``again``; the same where there is none."""
        with locked(self.folder):
            draft = self._seen(id, seen)
            past, ahead = draft.past, draft.ahead
            if again and ahead:
                made = Draft(id, draft.version + 1, ahead[0], (*past, draft.state), ahead[1:])
            elif not again and past:
                made = Draft(id, draft.version + 1, past[-1], past[:-1], (draft.state, *ahead))
            else:
                return draft
            return self._write(made)

    def _seen(self, id: str, seen: int) -> Draft:
        draft = self.read(id)
        if draft is None:
            raise KeyError(id)
        if draft.version != seen:
            raise ChangedElsewhereError
        return draft

    def _write(self, draft: Draft) -> Draft:
        data: dict[str, Any] = {"version": draft.version, "state": draft.state, "past": draft.past,
                "ahead": draft.ahead}  # fmt: skip
        text = json.dumps(data, ensure_ascii=False)
        while len(text.encode()) > _MAX_BYTES and data["past"]:
            data["past"] = data["past"][len(data["past"]) // 2 + 1 :]
            text = json.dumps(data, ensure_ascii=False)
        if len(text.encode()) > _MAX_BYTES:
            raise refusal("bench-too-large", most=_MAX_BYTES // 1_000_000)
        with writing(self.folder / f"{draft.id}.json") as out:
            out.write(text)
        return draft

    def _sweep(self) -> None:
        found = list(self.folder.glob("*.json"))
        if len(found) > _MANY:
            for path in found:
                if time.time() - _changed(path) > 86400.0 * _OLD_DAYS:
                    path.unlink(missing_ok=True)


def _changed(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0
