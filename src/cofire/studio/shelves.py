"""What a studio holds: recipes, materials, bodies, firings and kilns, and their files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from cofire.most import at_most
from cofire.records import Body, Kiln, Recipe
from cofire.studio.arguments import checked
from cofire.studio.opened import BodyLike, KilnLike, Opened, RecipeLike, file_of

if TYPE_CHECKING:
    from cofire.answers.catalogue import Catalogue
    from cofire.answers.check import CheckAnswer
    from cofire.answers.history import HistoryAnswer, SavedVersion
    from cofire.answers.materials import AddedMaterial, MaterialsAnswer, Named, Nickname, Nicknames
    from cofire.answers.set_amount import SetAnswer
    from cofire.files.new_studio import Begun
    from cofire.files.recipe_history import Version


class Shelves(Opened):
    """Things by their names, and the versions of their files."""

    @checked
    def recipe(self, recipe: RecipeLike) -> Recipe:
        """A recipe with its materials. Raises CofireError.

        >>> glaze = {"surface": "gloss", "base": {"frit-3134-type": 90, "kaolin": 10}}
        >>> studio.recipe(glaze).parts[1].amount
        10.0
        """
        return self.library.recipe(recipe)

    @checked
    def body(self, body: BodyLike) -> Body:
        """A clay body. Raises CofireError.

        >>> studio.body("raku").id
        'raku'
        """
        return self.library.body(body)

    @checked
    def kiln(self, kiln: KilnLike) -> Kiln:
        """A kiln. Raises CofireError.

        >>> studio.kiln("small-fibre").fuel
        'electricity'
        """
        return self.library.kiln(kiln)

    @checked
    def material(self, name: str) -> Named:
        """A material, and the others that carry the same name. Raises CofireError.

        >>> studio.material("talc").material.loi_percent < 10.0
        True
        """
        from cofire.answers.materials import Named

        return Named(*self.library.material(name))

    @checked
    def materials(self, *words: str) -> MaterialsAnswer:
        """All materials, or those whose names, ids or oxides hold all the ``words``; oxides in wt %
        of the raw material.

        >>> "talc-ideal" in [one.id for one in studio.materials("MgO").materials]
        True
        """
        from cofire.answers.materials import MaterialsAnswer, search

        return MaterialsAnswer(tuple(search(self.library, words)))

    @checked
    def recipes(self) -> Catalogue:
        """The recipes that can be named.

        >>> "clear-crackle" in [one.id for one in studio.recipes().items]
        True
        """
        return self._catalogue("recipes")

    @checked
    def bodies(self) -> Catalogue:
        """The clay bodies that can be named.

        >>> "raku" in [one.id for one in studio.bodies().items]
        True
        """
        return self._catalogue("bodies")

    @checked
    def firings(self) -> Catalogue:
        """The firings that can be named.

        >>> "raku-workshop" in [one.id for one in studio.firings().items]
        True
        """
        return self._catalogue("firings")

    @checked
    def kilns(self) -> Catalogue:
        """The kilns that can be named.

        >>> "small-fibre" in [one.id for one in studio.kilns().items]
        True
        """
        return self._catalogue("kilns")

    def _catalogue(self, kind: str) -> Catalogue:
        from cofire.answers.catalogue import catalogue

        return catalogue(self.library, kind)

    @checked
    def add_material(
        self,
        certificate: str | Path | None = None,
        *,
        text: str | None = None,
        id: str,
        names: Sequence[str],
        supplier: str,
        date: str,
        dissolves: str = "no",
        melts: str = "",
        overrides: bool = False,
        trust: bool = False,
    ) -> AddedMaterial:
        """Write a material of one's own into the studio, from a supplier's ``certificate`` (a file)
        or its ``text``: one oxide to a line, in wt %, “LOI” for the loss on ignition.

        ``dissolves`` in water: “no”, “slightly” or “yes”. ``melts``: “glass” for a frit, “743 C” or
        “never”; read off the analysis where it is empty. ``overrides`` takes the place of the
        shipped material of this id, ``trust`` keeps it though it looks like another one. Raises
        CofireError.

        >>> text = "SiO2,61.2\\nMgO,30.9\\nAl2O3,0.9\\nCaO,0.6\\nLOI,5.8"
        >>> said = {"names": ["talc"], "supplier": "Tide Minerals", "date": "2026-11"}
        >>> studio.add_material(text=text, id="talc-2026", **said).file.name
        'talc-2026.toml'
        """
        from cofire.answers.materials import CertificateDetails, add_material
        from cofire.errors import refusal
        from cofire.files.table_cells import plain_text
        from cofire.files.toml import read_bytes

        if (certificate is None) == (text is None):
            raise refusal("file-or-text", file="certificate")
        source = Path("standard input") if certificate is None else file_of(certificate)
        if text is None:
            text = plain_text(read_bytes(source), source)[1]
        said = CertificateDetails(id, tuple(names), supplier, date, dissolves, overrides, melts)
        return add_material(self.library, text, source, said, trust=trust)

    @checked
    def call_material(self, nickname: str, material: str, *, change: bool = False) -> Nickname:
        """Remember a name of your own, “RIO”, for a material: a line in the studio's names.toml.
        Only with ``change`` where that name means another one. Raises CofireError, also for a name
        that is a material's already.

        >>> studio.call_material("RIO", "red iron oxide").file.name
        'names.toml'
        >>> studio.material("rio").material.id
        'red-iron-oxide'
        """
        from cofire.answers.materials import call_material

        return call_material(self.library, nickname, material, change=change)

    @checked
    def forget_nickname(self, nickname: str) -> Nickname:
        """Take a name of your own out of names.toml. Raises CofireError where it is not there.

        >>> studio.call_material("RIO", "red iron oxide").nickname
        'RIO'
        >>> studio.forget_nickname("rio").material.id
        'red-iron-oxide'
        """
        from cofire.answers.materials import forget_nickname

        return forget_nickname(self.library, nickname)

    @checked
    def nicknames(self) -> Nicknames:
        """All names of your own. Raises CofireError for a file that is wrong.

        >>> studio.nicknames().nicknames
        ()
        """
        from cofire.answers.materials import nicknames

        return nicknames(self.library)

    @checked
    def set(self, recipe: str | Path, *changes: str, why: str = "") -> SetAnswer:
        """Change amounts in a recipe's file: “kaolin = 12”, “+ tin oxide = 5”, “silica = none”. All
        else in it stays as it is; the versions before and after go to its history. Raises
        CofireError; then nothing has changed.

        >>> studio.set("clear-crackle", "kaolin = 12", why="it crawled").file.name
        'clear-crackle.toml'
        """
        from cofire.answers.set_amount import read_wanted, set_amounts
        from cofire.errors import refusal

        if not changes:
            raise refusal("no-change", text="")
        at_most("changes", len(changes))
        wanted = [read_wanted(change) for change in changes]
        path = self.library.recipe_file(recipe)
        return set_amounts(self.library, path, wanted, why, datetime.now())

    @checked
    def keep(self, recipe: str | Path, why: str = "") -> SavedVersion:
        """Keep the present version of a recipe, and ``why`` it changed. Raises CofireError.

        >>> studio.keep("mine", "first").new
        True
        """
        from cofire.answers.history import keep

        return keep(self.library, self.library.recipe_file(recipe), why, datetime.now())

    @checked
    def history(self, recipe: str | Path) -> HistoryAnswer:
        """What changed in a recipe, when and why, oldest first. Raises CofireError.

        >>> [one.version.number for one in studio.history("kept").versions][:1]
        [1]
        """
        from cofire.answers.history import find_recipe, history

        return history(self.library, find_recipe(self.library, str(recipe)))

    @checked
    def version(self, recipe: str | Path, number: int) -> Version:
        """One version of a recipe, with its text. Raises CofireError.

        >>> "surface" in studio.version("kept", 1).text
        True
        """
        from cofire.answers.history import find_recipe, version_at
        from cofire.files.recipe_history import history_file, read_history

        path = find_recipe(self.library, str(recipe))
        return version_at(read_history(history_file(path)), number)

    @checked
    def check(
        self, *files: str | Path, progress: Callable[[Sequence[Path]], Iterable[Path]] = iter
    ) -> CheckAnswer:
        """Problems in these files and folders, or in the studio's and all shipped ones.
        ``progress`` wraps the files while they are read. Raises CofireError for a file that is not
        there.

        >>> studio.check("recipes").errors
        ()
        """
        from cofire.answers.check import check

        return check(self.library, [file_of(one) for one in files], progress)

    @staticmethod
    @checked
    def init(folder: str | Path = ".", name: str | None = None) -> Begun:
        """Make a studio folder, or add what is missing in one; nothing is ever overwritten. Raises
        CofireError.

        >>> len(studio.init("new-studio").added) > 3
        True
        """
        from cofire.files.new_names import checked_name
        from cofire.files.new_studio import begin_studio

        path = file_of(folder)
        return begin_studio(path, checked_name(name or path.resolve().name or "My studio"))
