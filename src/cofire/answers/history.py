"""Changes of a recipe: when, why, and their effect on the glaze."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, ClassVar

import numpy as np

from cofire import glass
from cofire.answers.batch.recipe_code import recipe_code
from cofire.errors import CofireError, Place, Problems, UnknownNameError, refusal
from cofire.files import toml
from cofire.files.edits import locked
from cofire.files.library import Library
from cofire.files.places import expanded, shipped
from cofire.files.recipe_history import (
    RecipeHistory,
    Version,
    add_version,
    history_file,
    read_history,
)
from cofire.files.recipes import read_recipe
from cofire.model.analysis import analyse
from cofire.model.solids import mixture
from cofire.record import Record
from cofire.records import Recipe

#: Isokom by which the melting of glazes is compared.
_LEVEL_LOG10_ETA = 4.0


@dataclass(frozen=True)
class Change:
    """One thing that differs: ``what`` in a ``section`` (“base”, “additions”, or “” for facts such
    as the surface); None on the side where it is missing. Amounts as written."""

    section: str
    what: str
    before: str | None
    after: str | None


@dataclass(frozen=True)
class Properties:
    """Expansion (1e-6/K, 20-300 °C, with solids) and temperature of 10^4 Pa·s (°C)."""

    expansion_1e6_per_k: float
    flows_c: float


@dataclass(frozen=True, eq=False)
class HistoryStep:
    """A version, its changes and its properties (None if they cannot be computed, as when a
    material is gone from the studio)."""

    version: Version
    changes: tuple[Change, ...]
    properties: Properties | None
    trouble: str
    json_also: ClassVar = (
        "version.number",
        "version.when",
        "version.why",
        "version.code",
        "version.data.base",
        "version.data.additions",
        "version.data.surface",
        "properties.expansion_1e6_per_k",
        "properties.flows_c",
    )
    json_hides: ClassVar = ("version", "properties")


@dataclass(frozen=True, eq=False, repr=False)
class HistoryAnswer(Record):
    """All versions, oldest first; ``now`` is what the file says if that was not kept yet."""

    name: str
    file: Path
    versions: tuple[HistoryStep, ...]
    now: HistoryStep | None
    schema: ClassVar = "history"


@dataclass(frozen=True, eq=False, repr=False)
class SavedVersion(Record):
    """``new`` is False where nothing had changed since the last version."""

    version: Version
    new: bool
    file: Path
    schema: ClassVar = "keep"
    json_also: ClassVar = ("version.number", "version.when", "version.why", "version.code")
    json_hides: ClassVar = ("version",)


def is_shipped(library: Library, path: Path) -> bool:
    """Whether a recipe came with cofire, and so is not the person's to change."""
    at = toml.real(path)
    own = library.studio is not None and at.is_relative_to(library.studio)
    return not own and at.is_relative_to(shipped("recipes").resolve())


def read_text(library: Library, text: str, path: Path) -> Recipe:
    """A recipe from text, as if it stood in the file. Raises CofireError."""
    doc = toml.parse(text.removeprefix("\ufeff"), path)
    return read_recipe(doc, library.material, lambda name, at: library.recipe(name, at))


def keep(library: Library, path: Path, why: str, when: datetime) -> SavedVersion:
    """Keep what a recipe's file says now as its last version, unless it is that already.

    Raises DataFileError for a shipped recipe, a damaged history, or what cannot be written.
    """
    if is_shipped(library, path):
        raise refusal("shipped-recipe", Place(path))
    with locked(toml.real(path).parent):
        return _keep_locked(library, path, why, when)


def _keep_locked(library: Library, path: Path, why: str, when: datetime) -> SavedVersion:
    why = checked_why(why)
    text = toml.read_text(path)
    code = recipe_code(read_text(library, text, path))
    history = read_history(history_file(path))
    if is_last(history, code, toml.parse(text, path).data):
        return SavedVersion(history.versions[-1], False, history.path)
    version = add_version(history, text, why, code, when, path)
    return SavedVersion(version, True, history.path)


def is_last(history: RecipeHistory, code: str, data: dict[str, Any], back: int = 1) -> bool:
    """Whether the last version, or an earlier one counted ``back`` from 1, says just this."""
    if len(history.versions) < back:
        return False
    version = history.versions[-back]
    return version.code == code and version.data == data


def checked_why(why: str) -> str:
    """On one line. Raises QuantityError for what cannot be printed."""
    why = " ".join(why.split())
    if not why.isprintable():
        raise refusal("unprintable-reason")
    return why


def find_recipe(library: Library, wanted: str) -> Path:
    """The file of a recipe, also of one that is gone while its history is still there."""
    try:
        return library.recipe_file(wanted)
    except UnknownNameError:
        gone = expanded(wanted)
        if gone.suffix != ".toml" and library.studio:
            gone = library.studio / "recipes" / f"{wanted}.toml"
        if history_file(gone).is_file():
            return gone
        raise


def history(library: Library, path: Path) -> HistoryAnswer:
    """All versions of a recipe's file with what changed. Raises DataFileError for a damaged one."""
    kept = read_history(history_file(path))
    versions = list(kept.versions)
    unkept = _unkept(library, path, kept)
    if unkept:
        versions.append(unkept)
    known = properties_of(library, [v.text for v in versions], path)
    steps = []
    before: dict[str, Any] = {}
    for version, (properties, trouble) in zip(versions, known, strict=True):
        changes = changes_between(before, version.data) if before else ()
        steps.append(HistoryStep(version, changes, properties, trouble))
        before = version.data
    name = versions[-1].data.get("name") if versions else None
    now = steps.pop() if unkept else None
    return HistoryAnswer(str(name or path.stem), kept.path, tuple(steps), now)


def _unkept(library: Library, path: Path, kept: RecipeHistory) -> Version | None:
    """What the file says now, where that differs from the last version."""
    if not path.is_file() or is_shipped(library, path):
        return None
    text = toml.read_text(path)
    data = toml.parse(text, path).data
    if kept.versions and kept.versions[-1].data == data:
        return None
    when = datetime.fromtimestamp(path.stat().st_mtime).replace(microsecond=0)
    return Version(len(kept.versions) + 1, when, "", "", text, data)


def changes_between(before: dict[str, Any], after: dict[str, Any]) -> tuple[Change, ...]:
    """What differs between two recipes as they were written: amounts first, then facts."""
    changes = []
    for section in ("base", "additions"):
        old, new = (_table(data.get(section)) for data in (before, after))
        for what in dict.fromkeys([*old, *new]):
            if old.get(what) != new.get(what):
                changes.append(
                    Change(section, what, _as_text(old.get(what)), _as_text(new.get(what)))
                )
    for what in dict.fromkeys([*before, *after]):
        old_fact, new_fact = before.get(what), after.get(what)
        if what not in ("base", "additions") and old_fact != new_fact:
            changes.append(Change("", what, _as_text(old_fact), _as_text(new_fact)))
    return tuple(changes)


def _table(data: object) -> dict[str, Any]:
    return data if isinstance(data, dict) else {}


def _as_text(value: object) -> str | None:
    if isinstance(value, dict):
        return ", ".join(f"{key} {_as_text(inner)}" for key, inner in value.items())
    if isinstance(value, float):
        return f"{value:.12g}"
    return None if value is None else str(value).strip()


def properties_of(
    library: Library, texts: Sequence[str], path: Path
) -> list[tuple[Properties | None, str]]:
    """Properties of each version, all glasses at once; or why they cannot be computed."""
    mixed, problems = [], []
    for text in texts:
        try:
            recipe = read_text(library, text, path)
            mixed.append(mixture(recipe, analyse(recipe).mol[None, :]))
            problems.append("")
        except CofireError as error:
            problems.append(_in_short(error))
    if not mixed:
        return [(None, trouble) for trouble in problems]
    melts = glass.prepare(np.concatenate([m.melt_mol for m in mixed]))
    alpha = glass.expansion(melts).value
    youngs, poisson = glass.youngs_modulus(melts).value, glass.poisson_ratio(melts)
    flows = glass.viscosity(melts).isokom(_LEVEL_LOG10_ETA)
    moves = iter(
        Properties(
            float(m.expansion(alpha[k : k + 1], youngs[k : k + 1], poisson[k : k + 1])[0]),
            float(flows[k]),
        )
        for k, m in enumerate(mixed)
    )
    return [(None, trouble) if trouble else (next(moves), "") for trouble in problems]


def _in_short(error: CofireError) -> str:
    """The first error; “cofire check” shows all."""
    first, *others = error.errors if isinstance(error, Problems) else (error,)
    return f"{first.message} (and {len(others)} more)" if others else first.message


def version_at(answer: RecipeHistory, number: int) -> Version:
    """One version by its number. Raises QuantityError if there is none."""
    if not 1 <= number <= len(answer.versions):
        count = len(answer.versions)
        raise refusal(
            "no-such-version",
            number=number,
            hint=f"Versions run from 1 to {count}." if count else "None was kept yet.",
        )
    return answer.versions[number - 1]
