"""Check files: every problem with its file and line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import ClassVar

from cofire.answers.findings.faults import fault_findings, soluble_findings
from cofire.answers.findings.recipe import changed_by_yours
from cofire.answers.findings.texts import finding
from cofire.errors import CofireError, Place, refusal
from cofire.files import toml
from cofire.files.certificates import looks_like_another
from cofire.files.fired import read_fired
from cofire.files.firings import read_kiln
from cofire.files.ignored_files import is_conflict_copy, is_hidden, original_of
from cofire.files.library import Library, as_analysed, names_in
from cofire.files.materials import read_cautions, read_materials, require_codes
from cofire.files.new_names import flaws
from cofire.files.nicknames import FILE as NAMES
from cofire.files.places import STUDIO_MARK, shipped
from cofire.files.recipe_history import read_history
from cofire.files.recipes import read_recipe
from cofire.files.stock import FILE as STOCK
from cofire.files.stock import stock_in
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import analyse
from cofire.model.bought import ripe_c
from cofire.model.solids import mixture
from cofire.names import double, looks, mixed, plain
from cofire.record import Record
from cofire.records import Material
from cofire.words import listed

#: Word for what a file holds -> where such files lie.
_KINDS = {
    "recipe": ("recipes", ""),
    "body": ("materials", "bodies"),
    "firing": ("recipes", "firings"),
    "kiln": ("recipes", "kilns"),
}

_FOLDERS = ("materials", "recipes")


@dataclass(frozen=True, eq=False, repr=False)
class CheckAnswer(Record):
    """``notes`` say what was read into a person's own files, without changing them."""

    checked: int
    errors: tuple[CofireError, ...]
    notes: tuple[Finding, ...] = ()
    schema: ClassVar = "check"


def check(
    library: Library, paths: list[Path], progress: Callable[[Sequence[Path]], Iterable[Path]] = iter
) -> CheckAnswer:
    """Check these files and folders; without any, the studio's and the shipped ones. ``progress``
    wraps the files while they are read."""
    errors: list[CofireError] = []
    notes: list[Finding] = []
    files = list(_files(library, paths))
    for path in progress(files):
        try:
            notes += check_file(library, path)
        except CofireError as error:
            toml.collect(errors, error)
        notes += [finding("file-name", str(path), wrong=wrong) for wrong in flaws(path)]
    try:  # ids that clash between files show only here
        notes += _doubles(library, files)
    except CofireError as error:
        toml.collect(errors, error)
    notes += [*_hidden(library, files), *_of_one_name(library, files)]
    # a broken recipe that others refer to turns up with each of them
    once = {(e.message, e.place): e for e in reversed(errors)}
    return CheckAnswer(len(files), tuple(reversed(once.values())), sort_findings(notes))


def _doubles(library: Library, files: list[Path]) -> Iterator[Finding]:
    """Names of a person's own things whose letters pass for those of another script."""
    called: dict[str, str] = {}
    for material in library.materials.values():
        place = str(material.place) if material.own else ""
        called |= dict.fromkeys((material.id, *material.names), place)
    for path in files:
        if not _is_shipped(path):
            called |= dict.fromkeys((path.stem, *names_in(path)), str(path))
    first: dict[str, str] = {}
    for name, place in sorted(called.items(), key=lambda one: one[1] != ""):
        if place and (wrong := mixed(name)):
            yield finding("mixed-scripts", place, name=name, wrong=wrong)
        if other := double(name, (first.setdefault(looks(name), name),)):
            yield finding("looks-like", place, name=name, other=other[0], how=other[1])


def _is_shipped(path: Path) -> bool:
    return any(path.resolve().is_relative_to(shipped(kind).resolve()) for kind in _FOLDERS)


def _files(library: Library, paths: list[Path]) -> Iterator[Path]:
    if not paths:
        roots = [shipped(kind) for kind in _FOLDERS]
        if library.studio:
            roots = [*(library.studio / kind for kind in _FOLDERS), *roots]
            roots += [f for name in (STOCK, NAMES) if (f := library.studio / name).is_file()]
        paths = [root for root in roots if root.exists()]
    for path in paths:
        if path.is_dir():
            tables = (p for p in path.rglob("*.toml") if p.name != STUDIO_MARK and not is_hidden(p))
            yield from sorted(tables)
        else:
            yield path


def check_file(library: Library, path: Path) -> list[Finding]:
    """Read one file by its kind; returns assumptions. Raises the problems found in it."""
    notes: list[Finding] = []
    if is_conflict_copy(path):
        raise _two_versions(path)
    doc = toml.read(path)
    keys = set(doc.data)
    if path.name == STOCK:
        stock_in(doc, library)
    elif path.name == NAMES:
        library.nicknames_in(doc)
    elif keys == {"version"}:
        read_history(path)
    elif keys == {"fired"}:
        read_fired(path)
    elif "ripe" in keys and "base" not in keys:
        ripe_c(library.read_bought(doc))
    elif keys & {"base", "additions", "surface"}:
        recipe = read_recipe(doc, library.material, lambda name, at: library.recipe(name, at))
        mixture(recipe, analyse(recipe).mol[None, :])
        notes += changed_by_yours(recipe)
        if not _is_shipped(path):
            notes += (*fault_findings(recipe), *soluble_findings(recipe))
    elif keys & {"segment", "kiln", "pull"}:
        library.read_firing(doc)
    elif keys & {"heating_cold", "cooling_half_time"}:
        read_kiln(doc)
    elif keys & {"expansion", "stiffness", "like"}:
        library.read_body(doc)
    elif any(isinstance(v, dict) and "severity" in v for v in doc.data.values()):
        read_cautions(doc)
    elif all(isinstance(v, dict) for v in doc.data.values()):
        own = not _is_shipped(path)
        materials = read_materials(doc, own=own)
        require_codes(materials, set(library.cautions))
        if own:
            came_with = _shipped_materials()
            for material in materials:
                _same_mineral(came_with, doc, material)
                analysed = as_analysed(material, came_with)
                notes += _cautions_added(doc, analysed)
                notes += _melting_taken(doc, analysed)
                notes += _names_taken(came_with, doc, material)
    else:
        raise refusal("not-recognised", Place(path))
    return notes


def _hidden(library: Library, files: list[Path]) -> list[Finding]:
    """Files that take the place of shipped ones, and what is made of those."""
    notes = []
    for word, where in _KINDS.items():
        came_with = {path.stem: path for path, _ in _shipped().files(*where)}
        own = [p for p in _own(library, files, where) if p.stem in came_with]
        users = _made_of() if own and word == "recipe" else {}
        for path in own:
            made = [f"“{user}”" for user in users.get(path.stem, [])]
            upon = (
                f"; {listed(made)} {'is' if len(made) == 1 else 'are'} made of it" if made else ""
            )
            notes.append(
                finding("hides-shipped", str(Place(path)), word=word, id=path.stem, upon=upon)
            )
    return notes


def _made_of() -> dict[str, list[str]]:
    """Id of a shipped recipe -> shipped recipes that are made of it."""
    alone = _shipped()
    users: dict[str, list[str]] = {}
    for path, _ in alone.files("recipes"):
        for one in alone.recipe(path).upon:
            users.setdefault(one.id, []).append(path.stem)
    return users


def _of_one_name(library: Library, files: list[Path]) -> list[Finding]:
    """Files that share a name, so that it means none of them."""
    notes = []
    for where in _KINDS.values():
        own = set(_own(library, files, where))
        for name, paths in library.names(*where).items() if own else ():
            for path in paths if len(paths) > 1 else ():
                if path in own:
                    others = listed([f"“{Place(one)}”" for one in paths if one != path])
                    place = str(Place(path))
                    notes.append(finding("one-name", place, name=name, files=others))
    return notes


def _own(library: Library, files: list[Path], where: tuple[str, str]) -> list[Path]:
    """Those of the files that lie in the studio's folder of their kind."""
    checked = {path.resolve() for path in files}
    return [path for path, own in library.files(*where) if own and path.resolve() in checked]


def _names_taken(
    came_with: list[Material], doc: toml.Document, material: Material
) -> list[Finding]:
    """What a person's own material hides of those that came with cofire."""
    place = str(doc.place(material.id))
    if any(one.id == material.id for one in came_with):
        return [finding("hides-shipped", place, word="material", id=material.id, upon="")]
    notes = []
    for name in material.names:
        others = [o for o in came_with if plain(name) in map(plain, (o.id, *o.names))]
        if others:
            ids = listed([f"“{one.id}”" for one in others])
            notes.append(finding("hides-name", place, name=name, id=material.id, others=ids))
    return notes


def _cautions_added(doc: toml.Document, material: Material) -> list[Finding]:
    """Cautions that were added because of the analysis."""
    written = doc.data[material.id].get("cautions", ())
    added = [code for code in material.cautions if code not in written]
    if not added:
        return []
    place = str(doc.place(material.id))
    line = toml.written(list(material.cautions))
    return [finding("caution-added", place, id=material.id, added=", ".join(added), line=line)]


def _melting_taken(doc: toml.Document, material: Material) -> list[Finding]:
    """How a material is taken to melt whose file does not say."""
    if material.melting == "stated":
        return []
    place = str(doc.place(material.id))
    if material.melting == "unknown":
        return [finding("melting-unknown-in-file", place, id=material.id)]
    melts = material.melts or "never"
    why = f"like “{material.melts_like}”" if material.melts_like else "as a frit or another glass"
    return [finding("melting-taken-in-file", place, id=material.id, how=why, melts=melts)]


def _two_versions(path: Path) -> CofireError:
    original = original_of(path)
    with_what = f"with “{original.name}”" if original else "with the file it is a copy of"
    return refusal("conflicted-copy", Place(path), with_what=with_what)


@cache
def _shipped() -> Library:
    """All that came with cofire, read once."""
    return Library(None)


def _shipped_materials() -> list[Material]:
    return list(_shipped().materials.values())


def _same_mineral(came_with: list[Material], doc: toml.Document, material: Material) -> None:
    namesakes = [m for m in came_with if m.id == material.id or set(m.names) & set(material.names)]
    rival = looks_like_another(material, namesakes, came_with)
    if rival:
        raise refusal(
            "looks-like-another",
            doc.place(material.id, "analysis"),
            id=material.id,
            other=rival.name,
            theirs=namesakes[0].name,
        )
