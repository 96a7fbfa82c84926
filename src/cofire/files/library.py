"""All named data: the studio folder first, then the shipped data."""

from __future__ import annotations

import os
import re
import shlex
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from cofire.errors import CofireError, Place, Problems, UnknownNameError, did_you_mean, refusal
from cofire.files import nicknames, toml
from cofire.files.ignored_files import is_stray
from cofire.files.materials import read_cautions, read_materials, require_codes
from cofire.files.melting import with_melting
from cofire.files.places import (
    BOUGHT,
    expanded,
    is_there,
    looks_like_path,
    shipped,
    studio_here,
    toml_files,
)
from cofire.files.recipes import read_recipe
from cofire.names import double, flaw, identifier, plain
from cofire.records import Body, Caution, Firing, Kiln, Material, Recipe
from cofire.words import listed

if TYPE_CHECKING:
    from cofire.files.bought import Bought
    from cofire.files.hints import Hints

_SEE_ALL = "See them all with  cofire materials"

T = TypeVar("T", Body, Firing, Kiln)
#: How a thing is named: by its id, name or file, or by all that its file would say.
Named = str | Path | Mapping[str, Any]


@dataclass(frozen=True)
class Library:
    """``studio`` may be None: then only what is shipped can be named."""

    studio: Path | None = None

    @classmethod
    def open(cls, studio: Path | str | None = None) -> Library:
        """The named studio, else $COFIRE_STUDIO, else the one around the current folder."""
        wanted = studio or os.environ.get("COFIRE_STUDIO")
        if wanted is None:
            return cls(studio_here())
        folder = expanded(wanted)
        if not is_there(folder) or not folder.is_dir():
            raise refusal("no-such-studio", Place(folder))
        return cls(toml.real(folder))

    def own_studio(self, shipped: Path | None = None) -> Path:
        """The studio to write to, for a copy of a ``shipped`` file if one is given. Raises
        DataFileError if there is none."""
        if self.studio is None:
            if shipped:
                raise refusal("no-studio-for-copy", Place(shipped))
            raise refusal("no-studio")
        return self.studio

    def files(self, kind: str, inner: str = "") -> Iterator[tuple[Path, bool]]:
        """(file, is the person's own) of a kind, the person's own first."""
        roots = [(self.studio / kind / inner, True)] if self.studio else []
        for folder, own in (*roots, (shipped(kind) / inner, False)):
            for path in toml_files(folder):
                if not is_stray(path):
                    yield path, own

    @cached_property
    def cautions(self) -> dict[str, Caution]:
        result: dict[str, Caution] = {}
        for path, _ in self.files("materials", "cautions"):
            for caution in read_cautions(toml.read(path)):
                result.setdefault(caution.code, caution)
        return result

    @property
    def materials(self) -> dict[str, Material]:
        """All materials by id. A person's own must say that it overrides a shipped id."""
        result, errors = self._materials
        if errors:
            raise Problems(errors) if len(errors) > 1 else errors[0]
        return result

    @cached_property
    def _materials(self) -> tuple[dict[str, Material], list[CofireError]]:
        """The readable materials and the errors of the others; read once."""
        result: dict[str, Material] = {}
        came_with: list[Material] = []
        errors: list[CofireError] = []
        for path, own in self.files("materials"):
            try:
                doc = toml.read(path)
                items = read_materials(doc, own=own)
                require_codes(items, set(self.cautions))
            except CofireError as error:
                toml.collect(errors, error)
                continue
            for item in items:
                known = result.get(item.id)
                if known is None:
                    result[item.id] = item
                elif known.own and not item.own:
                    if not _overrides(known):
                        errors.append(refusal("id-is-shipped", _place(known), id=item.id))
                    else:
                        result[item.id] = _as_harmful(known, item)
                else:
                    errors.append(refusal("id-twice", _place(item), id=item.id, other=known.place))
                if not item.own:
                    came_with.append(item)
        for key, item in result.items():
            if item.own:
                result[key] = as_analysed(item, came_with)
        return result, errors

    @cached_property
    def _by_name(self) -> dict[str, list[Material]]:
        index: dict[str, list[Material]] = {}
        for material in self.materials.values():
            for name in dict.fromkeys(plain(n) for n in (material.id, *material.names)):
                index.setdefault(name, []).append(material)
        return index

    def material(
        self, name: str, place: Place | None = None
    ) -> tuple[Material, tuple[Material, ...]]:
        """The material meant by a name, and the others that carry the same name.

        A full id always means itself. A shared name means the person's own material if there is
        one, else the one marked as default. Raises UnknownNameError if there is no such name or
        it cannot be decided.
        """
        found = self._real(name, place)
        if found:
            return found
        if plain(name) in self.nicknames:
            return self.nicknames[plain(name)][1], ()
        raise self._unknown(name, place)

    def _real(self, name: str, place: Place | None) -> tuple[Material, tuple[Material, ...]] | None:
        """As ``material``, without nicknames; None for an unknown name."""
        exact = self.materials.get(name)
        if exact:
            return exact, ()
        if wrong := flaw(name):
            raise refusal("bad-name", place, name=name, wrong=wrong)
        matches = self._by_name.get(plain(name), [])
        if len(matches) < 2:
            return (matches[0], ()) if matches else None
        own = [m for m in matches if m.own]
        preferred = own or [m for m in matches if plain(name) in map(plain, m.default_for)]
        if len(preferred) != 1:
            ids = ", ".join(f"“{m.id}”" for m in (preferred or matches))
            raise refusal("several-materials", place, called=name, listed=ids)
        return preferred[0], tuple(m for m in matches if m is not preferred[0])

    def _unknown(self, name: str, place: Place | None) -> CofireError:
        nearest = tuple(self._hints.of(name))
        hint = _did_you_mean(nearest)
        if same := double(name, list(self._by_name)):
            hint = f"Did you mean “{same[0]}”? It only looks the same: {same[1]}."
        if self.studio:
            meant = nearest[0] if nearest else "the material"
            hint += " If it is a name of yours:" if hint.endswith(("?", ".")) else "  and call it:"
            hint += f"  cofire materials call {_typed(name)} {_typed(meant)}"
        error = refusal("no-such-material", place, called=name, hint=hint)
        if isinstance(error, UnknownNameError):
            error.called, error.nearest = name, nearest
        return error

    @cached_property
    def nicknames(self) -> dict[str, tuple[str, Material]]:
        """A person's own names: plain name -> (as written, material). Raises what is wrong with
        their file."""
        path = self.studio / nicknames.FILE if self.studio else None
        if path is None or not path.exists():
            return {}
        return self.nicknames_in(toml.read(path))

    def nicknames_in(self, doc: toml.Document) -> dict[str, tuple[str, Material]]:
        """As ``nicknames``, of a document in hand."""

        def meant(name: str, place: Place) -> Material:
            found = self._real(name, place)
            if not found:
                raise refusal(
                    "nickname-of-nothing",
                    place,
                    called=name,
                    hint=_did_you_mean(self._hints.of(name)),
                )
            return found[0]

        return nicknames.nicknames_in(
            doc, meant, lambda name: self._by_name.get(plain(name), []), plain
        )

    def call(self, written: str, name: str | None) -> Path:
        """Remember a name of a person's own for the material of that name, or with None forget it;
        returns the file.

        Raises DataFileError without a studio, and for a name that is a material's already.
        """
        studio = self.own_studio()
        if name is not None and (known := self._by_name.get(plain(written))):
            raise refusal("nickname-of-material", called=written, id=known[0].id)
        path = nicknames.change_nickname(studio, written, name, self.nicknames_in)
        vars(self).pop("nicknames", None)
        return path

    @cached_property
    def _hints(self) -> Hints:
        from cofire.files.hints import Hints  # only for what went wrong

        named: dict[str, Material] = {}
        for material in self.materials.values():
            own = [n for n in material.names if self._means(n, material)] or [material.id]
            for name in own:
                named.setdefault(name, material)
        return Hints(named)

    def _means(self, name: str, material: Material) -> bool:
        try:
            found = self._real(name, None)
        except UnknownNameError:  # several
            return False
        return found is not None and found[0] is material

    def recipe(self, wanted: Named | Recipe, place: Place | None = None) -> Recipe:
        """A recipe by file, id or name, or out of what its file would say; one in hand as it is."""
        if isinstance(wanted, Recipe) and wanted.known:
            return wanted
        if bought := self._bought_named(wanted):
            raise refusal("recipe-not-known", place, called=bought)
        assert not isinstance(wanted, Recipe)
        if isinstance(wanted, Mapping):
            read = read_recipe(toml.given(wanted, "recipe"), self.material, self.recipe)
            named = "name" in wanted
            return replace(read, id=identifier(read.name) if named else "recipe")
        return self._recipe(wanted, place, ())

    def glaze(self, wanted: Named | Recipe) -> Recipe:
        """A recipe, or a glaze that was bought ready-made, named in the same ways."""
        if not self._bought_named(wanted):
            return self.recipe(wanted)
        from cofire.files.bought import read_bought

        if isinstance(wanted, Mapping):
            read = read_bought(toml.given(wanted, "bought glaze"), self.body)
            return replace(read, id=identifier(read.name) if "name" in wanted else "bought")
        assert isinstance(wanted, str | Path)
        return self.read_bought(toml.read(self.glaze_file(wanted)))

    def read_bought(self, doc: toml.Document) -> Bought:
        """A bought glaze with what was written of its tiles since."""
        from cofire.files.bought import read_bought
        from cofire.files.fired import fired_file, read_fired, tile_of

        written = read_fired(fired_file(self.studio, doc.path))
        learned = [tile_of(one, self.body, self.firing) for one in written]
        return read_bought(doc, self.body, tuple(one for one in learned if one))

    def glaze_file(self, wanted: str | Path) -> Path:
        """The file of a recipe or a bought glaze, named by file, id or name."""
        inner = BOUGHT if self._bought_named(wanted) else ""
        return self._path("recipes", inner, wanted, "recipe", None)

    def _bought_named(self, wanted: Named | Recipe) -> str:
        """The name, if it is that of a bought glaze and of no recipe; else an empty string."""
        if isinstance(wanted, Recipe):
            return wanted.name if not wanted.known else ""
        if isinstance(wanted, Mapping):
            return str(wanted.get("name", "it")) if _is_bought(wanted) else ""
        if isinstance(wanted, Path) or looks_like_path(wanted):
            path = expanded(wanted)
            try:
                return path.stem if _is_bought(toml.read(path).data) else ""
            except CofireError:  # who reads it says what is wrong
                return ""
        asked = plain(wanted)
        named = {plain(p.stem) for p, _ in self.files("recipes", BOUGHT)}
        if asked not in named and asked not in self.names("recipes", BOUGHT):
            return ""
        recipes = {plain(p.stem) for p, _ in self.files("recipes")}
        return "" if asked in recipes else wanted

    def recipe_file(self, wanted: str | Path) -> Path:
        """The file of a recipe named by file, id or name."""
        if bought := self._bought_named(wanted):
            raise refusal("recipe-not-known", called=bought)
        return self._path("recipes", "", wanted, "recipe", None)

    def _recipe(self, wanted: str | Path, place: Place | None, trail: tuple[Path, ...]) -> Recipe:
        path = self._path("recipes", "", wanted, "recipe", place)
        if toml.real(path) in trail:
            chain = " → ".join(p.stem for p in (*trail, path))
            raise refusal("recipes-in-a-circle", place, chain=chain)
        inner = (*trail, toml.real(path))
        return read_recipe(
            toml.read(path), self.material, lambda name, at: self._recipe(name, at, inner)
        )

    def body(self, wanted: Named | Body) -> Body:
        """A body, named as a recipe is."""
        if isinstance(wanted, Body):
            return wanted
        return self._one("materials", "bodies", wanted, "body", self.read_body)

    def read_body(self, doc: toml.Document, trail: tuple[Path, ...] = ()) -> Body:
        """A body that may be like one that can be named here."""
        from cofire.files.bodies import read_body

        inner = (*trail, toml.real(doc.path))

        def like(name: str, place: Place) -> Body:
            path = self._path("materials", "bodies", name, "body", place)
            if toml.real(path) in inner:
                raise refusal("bodies-in-a-circle", place, called=name)
            return self.read_body(toml.read(path), inner)

        return read_body(doc, like)

    def firing(self, wanted: Named | Firing) -> Firing:
        """A firing, named as a recipe is."""
        if isinstance(wanted, Firing):
            return wanted
        return self._one("recipes", "firings", wanted, "firing", self.read_firing)

    def read_firing(self, doc: toml.Document) -> Firing:
        """A firing whose kiln may be one that can be named here."""
        from cofire.files.firings import read_firing

        return read_firing(doc, self.kiln)

    def kiln(self, wanted: Named | Kiln, place: Place | None = None) -> Kiln:
        """A kiln, named as a recipe is."""
        from cofire.files.firings import read_kiln

        if isinstance(wanted, Kiln):
            return wanted
        return self._one("recipes", "kilns", wanted, "kiln", read_kiln, place)

    def _one(
        self,
        kind: str,
        inner: str,
        wanted: Named,
        word: str,
        read: Callable[[toml.Document], T],
        place: Place | None = None,
    ) -> T:
        if isinstance(wanted, Mapping):
            return read(toml.given(wanted, word))
        return read(toml.read(self._path(kind, inner, wanted, word, place)))

    def _path(
        self, kind: str, inner: str, wanted: str | Path, word: str, place: Place | None
    ) -> Path:
        if not isinstance(wanted, str | Path):
            raise refusal("not-a-name", place, what=word, kind=type(wanted).__name__)
        if isinstance(wanted, Path) or looks_like_path(wanted):
            path = expanded(wanted, place)
            if not is_there(path):
                raise refusal("no-such-file", place, path=path)
            return path
        if wrong := flaw(wanted):
            raise refusal("bad-name", place, name=wanted, wrong=wrong)
        asked = plain(wanted)
        ids: dict[str, list[Path]] = {}
        for path, own in self.files(kind, inner):
            level = ids.setdefault(plain(path.stem), [])
            if not level or own:
                level.append(path)
        names = {} if asked in ids else self.names(kind, inner)
        found = ids.get(asked) or names.get(asked, [])
        found = [path for path in found if path.stem == wanted] or found
        if len(found) > 1:
            files = listed([f"“{Place(path)}”" for path in found])
            raise refusal("several-files", place, word=word, wanted=wanted, files=files)
        if found:
            return found[0]
        stems = [paths[0].stem for paths in ids.values()]
        raise refusal(
            "no-such-name",
            place,
            word=word,
            wanted=wanted,
            hint=did_you_mean(wanted, [*stems, *names]) or "Known: " + ", ".join(stems) + ".",
        )

    def names(self, kind: str, inner: str = "") -> dict[str, list[Path]]:
        """Plain name -> files of the kind that carry it; if any are the person's own, only those.

        Reading every file for its names is slow; those that cannot be read are left out."""
        found: dict[str, list[Path]] = {}
        mine: set[str] = set()
        stems: set[str] = set()
        for path, own in self.files(kind, inner):
            if not own and path.stem in stems:
                continue
            stems.add(path.stem)
            try:
                data = toml.read(path).data
            except CofireError:
                continue
            called = (data.get("name"), *_as_list(data.get("names")))
            for name in {plain(one) for one in called if isinstance(one, str)}:
                if own or name not in mine:
                    found.setdefault(name, []).append(path)
                if own:
                    mine.add(name)
        return found


def _is_bought(data: Mapping[str, Any]) -> bool:
    """Whether a file tells of a glaze of unknown recipe: where it ripens, and no parts."""
    return "ripe" in data and "base" not in data


def _did_you_mean(names: Sequence[str]) -> str:
    return f"Did you mean {listed([f'“{n}”' for n in names], 'or')}?" if names else _SEE_ALL


def _as_list(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _typed(name: str) -> str:
    """A word as it is typed after a command."""
    return f'"{name}"' if re.fullmatch(r"[\w .,()#%/+:-]+", name) else shlex.quote(name)


def names_in(path: Path) -> list[str]:
    """What a file says it is called; nothing where it cannot be read."""
    try:
        data = toml.read(path).data
    except CofireError:
        return []
    names = data.get("names")
    several = names if isinstance(names, list) else []
    return [name for name in (data.get("name"), *several) if isinstance(name, str)]


def _as_harmful(own: Material, shipped: Material) -> Material:
    """A person's analysis of a shipped material keeps the shipped cautions, unless its file says
    how it dissolves."""
    assert own.place is not None
    stated = "dissolves" in toml.read(own.place.file).data[own.id]
    return replace(
        own,
        cautions=tuple(dict.fromkeys((*own.cautions, *shipped.cautions))),
        dissolves=own.dissolves if stated else shipped.dissolves,
    )


def as_analysed(own: Material, shipped: Sequence[Material]) -> Material:
    """A person's material with the melting that its analysis tells, and the dust of its kind."""
    melting = with_melting(own, shipped)
    if melting.melts != "glass" or melting.place is None:
        return melting
    stated = toml.read(melting.place.file).data[own.id].get("cautions", ())
    rest = [code for code in melting.cautions if code != "silica-dust" or code in stated]
    if "SiO2" in own.oxides_wt_percent and "glass-dust" not in rest:
        rest.append("glass-dust")
    return replace(melting, cautions=tuple(rest))


def _overrides(material: Material) -> bool:
    assert material.place is not None
    return toml.read(material.place.file).data[material.id].get("overrides") is True


def _place(material: Material) -> Place | None:
    if material.place is None:
        return None
    return toml.read(material.place.file).place(material.id)
