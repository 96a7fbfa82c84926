"""What an export holds, brought back into a studio: all of it or nothing."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any, ClassVar, Literal

from cofire.answers.clashes import Clash, Names, OnClash
from cofire.answers.export import said_in, sheets_of
from cofire.errors import CofireError, Place, Problems, UnknownNameError, refusal
from cofire.files import new_names, toml
from cofire.files.atomic_write import write_all
from cofire.files.edits import locked, rewrite, text_of
from cofire.files.exported import (
    FOLDERS,
    SEVERAL,
    Said,
    file_text,
    in_sheet,
    material_of,
    read_exported,
    recipe_of,
)
from cofire.files.fired import read_fired
from cofire.files.library import Library
from cofire.files.nicknames import FILE as NAMES
from cofire.files.stock import FILE as STOCK
from cofire.files.stock import read_stock
from cofire.record import Record

_FILES = {"stock": STOCK, "names": NAMES}


@dataclass(frozen=True, eq=False, repr=False)
class RestoreAnswer(Record):
    """``files`` are those that are written, or would be, with how many ``things`` of each kind;
    ``already`` counts what the studio has just so."""

    source: Path
    written: bool
    files: tuple[Path, ...]
    things: dict[str, int]
    already: dict[str, int]
    clashes: tuple[Clash, ...]
    schema: ClassVar = "import"
    json_also: ClassVar = ("yes",)

    @property
    def yes(self) -> bool:
        """Whether all can be written, but for what is skipped on demand."""
        return all(clash.outcome != "left out" for clash in self.clashes)


def restore(
    library: Library,
    source: Path,
    *,
    on_clash: OnClash = "stop",
    only_good: bool = False,
    dry_run: bool = False,
) -> RestoreAnswer:
    """All that ``export`` wrote into a JSON file, a folder of sheets, or one of those sheets, as
    files of the studio. What is there just so is left alone, and so is the name of the studio.
    Only recipes can be renamed: recipes and firings say the others by their names.

    Raises DataFileError without a studio and for what is no export, and Problems with all that
    could not be read back.
    """
    studio = library.own_studio()
    said = read_exported(source)
    restoring = _Restoring(library, said, source, on_clash)
    restoring.choose()
    with tempfile.TemporaryDirectory() as folder:
        texts = restoring.texts(Path(folder))
    answer = RestoreAnswer(
        source,
        False,
        tuple(studio / name for name in texts),
        {kind: len(found) for kind, found in restoring.new.items() if found},
        restoring.already,
        tuple(restoring.names.clashes),
    )
    if dry_run or not texts or not (answer.yes or only_good):
        return answer
    with locked(studio):
        old = {name: text_of(studio / name) for name in texts if (studio / name).exists()}
        for name in texts:
            (studio / name).parent.mkdir(parents=True, exist_ok=True)
        write_all({studio / name: text for name, text in texts.items() if name not in old})
        for name, was in old.items():  # nothing but remarks
            rewrite(studio / name, was, was + texts[name])
    return replace(answer, written=True)


class _Restoring:
    """What is new in an export, and what it is called here."""

    def __init__(self, library: Library, said: Said, source: Path, on_clash: OnClash) -> None:
        self.library, self.said, self.source, self.on_clash = library, said, source, on_clash
        self.names = Names({}, str, lambda key, count: f"{key}-{count}", on_clash)
        self.new: Said = {}
        self.already: dict[str, int] = {}
        self._own = said_in(library, False)
        self._known = said_in(library, True)
        self._rows: Said = {}  # the same as rows of sheets, which tell of recipes and materials
        for name, text in sheets_of(library, self._known):
            if name in ("recipes", "materials") and text:
                self._rows |= in_sheet(text.encode(), Path(f"{name}.csv"))

    def choose(self) -> None:
        """Sorts what is said into what is new, what is here already, and clashes."""
        for kind in (*FOLDERS, *_FILES):
            found = self.said.get(kind, {})
            if kind in _FILES:
                found = {kind: found} if found else {}
            for key, one in found.items():
                if kind in FOLDERS and (wrong := new_names.flaw(f"{key}.toml")):
                    raise refusal("bad-file-name", Place(self.source), name=key, wrong=wrong)
                if self._is_here(kind, key, one):
                    self.already[kind] = self.already.get(kind, 0) + 1
                    continue
                if name := self._claim(kind, key):
                    self.new.setdefault(kind, {})[name] = one

    def _is_here(self, kind: str, key: str, one: Any) -> bool:
        if kind in _FILES:
            return bool(self._own.get(kind) == one)
        row = one[0] if isinstance(one, list) else one  # of sheets; files say no “own”
        if str(row.get("own", "")).lower() == "false" and key in self._known[kind]:
            return True
        return one in (self._known[kind].get(key), self._rows.get(kind, {}).get(key))

    def _claim(self, kind: str, key: str) -> str | None:
        mine = self._own.get(kind, {})
        self.names.taken = {}
        renames = self.on_clash == "rename" and kind != "recipes"
        self.names.on_clash = "stop" if renames else self.on_clash
        if (bool(mine) if kind in _FILES else key in mine) or (
            kind == "materials" and self._is_shipped(key) and not self._overrides(key)
        ):
            self.names.taken = dict.fromkeys(self._known.get(kind, {}), f"{kind} here")
            self.names.taken[key] = f"“{key}” in your studio" if key in mine else "a shipped one"
            if kind in _FILES:
                self.names.taken[key] = _FILES[kind]
        return self.names.claim(key, None)

    def _is_shipped(self, key: str) -> bool:
        return key in self._known["materials"] and key not in self._own["materials"]

    def _overrides(self, key: str) -> bool:
        return str(self.said["materials"][key].get("overrides", "")).lower() == "true"

    def texts(self, folder: Path) -> dict[str, str]:
        """Path in the studio -> what is written there, all of it read back from a copy of the
        studio in ``folder``."""
        for path, text in self._here():
            _put(folder / path, text)
        texts = dict(self._curves())
        for kind, found in self.new.items():
            if kind != "recipes":
                texts |= {self._path(kind, key): self._text(kind, key, one)
                          for key, one in found.items()}  # fmt: skip
        for name, text in texts.items():
            _put(folder / name, text)
        copy = Library(folder)
        for key, one in self.new.get("recipes", {}).items():
            name = self._path("recipes", key)
            texts[name] = self._text("recipes", key, self._recipe(key, one, copy))
            _put(folder / name, texts[name])
        self._check(copy, folder)
        return texts

    def _curves(self) -> Iterator[tuple[str, str]]:
        """The curves of bodies that are not here yet."""
        for name, text in self.said.get("curves", {}).items():
            if wrong := new_names.flaw(name):
                raise refusal("bad-file-name", Place(self.source), name=name, wrong=wrong)
            to = f"materials/bodies/{name}"
            path = self.library.own_studio() / to
            if not path.exists():
                yield to, text
            elif toml.read_text(path) != text:
                outcome: Literal["skipped", "left out"]
                outcome = "skipped" if self.on_clash == "skip" else "left out"
                self.names.clashes.append(Clash(name, None, to, outcome))

    def _here(self) -> Iterator[tuple[Path, str]]:
        """All files of the studio that have a say."""
        studio = self.library.own_studio()
        for kind, inner in FOLDERS.values():
            for path, own in self.library.files(kind, inner):
                if own:
                    yield path.relative_to(studio), toml.read_text(path)
        for path in sorted((studio / "materials" / "bodies").glob("*.csv")):  # curves
            yield path.relative_to(studio), toml.read_text(path)
        for name in _FILES.values():
            if (studio / name).is_file():
                yield Path(name), toml.read_text(studio / name)

    @staticmethod
    def _path(kind: str, key: str) -> str:
        if kind in _FILES:
            return _FILES[kind]
        return "/".join((*filter(None, FOLDERS[kind]), f"{key}.toml"))

    def _text(self, kind: str, key: str, one: Any) -> str:
        if kind == "materials" and "loi_percent" in one:  # a row of a sheet
            one = material_of(one)
        data = {key: one} if kind in SEVERAL else one
        try:
            text = file_text(data)
            if toml.parse(text, self.source).data == data:
                return text
        except CofireError:  # what it says of lines is of no file of the person's
            pass
        raise refusal("not-as-exported", Place(self.source), kind=kind, id=key)

    def _recipe(self, key: str, one: Any, copy: Library) -> dict[str, Any]:
        def means(written: str, meant: str) -> bool:
            try:
                return copy.material(written)[0].id == meant
            except UnknownNameError:
                return False

        data = recipe_of(one, means, self.source) if isinstance(one, list) else one
        new_name = next((c.new_name for c in self.names.clashes if c.new_name == key), "")
        return data | ({"name": f"{data.get('name', key)} {new_name.rsplit('-')[-1]}"}
                       if new_name else {})  # fmt: skip

    def _check(self, copy: Library, folder: Path) -> None:
        """Raises Problems with all that cannot be read."""
        errors: list[CofireError] = []
        reads: list[Callable[[], object]] = [
            lambda: copy.materials, lambda: copy.cautions, lambda: copy.nicknames,
            lambda: read_stock(copy),
        ]  # fmt: skip
        one_of: dict[str, Callable[[Path], object]] = {
            "recipes": copy.recipe, "bodies": copy.body, "firings": copy.firing,
            "kilns": copy.kiln, "bought": copy.glaze, "fired": read_fired,
            "fired-bought": read_fired,
        }  # fmt: skip
        for kind, read in one_of.items():
            for key in self.new.get(kind, {}):
                reads.append(partial(read, folder / self._path(kind, key)))
        for read_it in reads:
            try:
                read_it()
            except CofireError as error:
                toml.collect(errors, error)
        if errors:
            alone = "materials" not in self.said
            raise Problems([_at(error, folder, self.source, alone) for error in errors])


def _put(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="")


def _at(error: CofireError, folder: Path, source: Path, alone: bool) -> CofireError:
    """The error with the place in the export instead of that in the copy; recipes may come
    ``alone``, without their materials."""
    if error.place is None or not error.place.file.is_relative_to(folder):
        return error
    name = error.place.file.relative_to(folder).with_suffix("")
    if alone and isinstance(error, UnknownNameError):
        return refusal("materials-first", Place(source), name=name, problem=error.message)
    return type(error)(f"{name}: {error.message}", hint=error.hint, place=Place(source))
