"""What a studio holds: recipes, materials, bodies, firings and kilns, and their files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from cofire.most import at_most
from cofire.records import Body, Kiln, Recipe, Surface
from cofire.studio.arguments import checked
from cofire.studio.opened import BodyLike, KilnLike, Opened, RecipeLike, file_of

if TYPE_CHECKING:
    from cofire.answers.catalogue import Catalogue
    from cofire.answers.check import CheckAnswer
    from cofire.answers.export import Exported
    from cofire.answers.history import HistoryAnswer, SavedVersion
    from cofire.answers.import_materials import MaterialsImport
    from cofire.answers.import_recipes import ImportAnswer
    from cofire.answers.import_stock import StockImport
    from cofire.answers.materials import AddedMaterial, MaterialsAnswer, Named, Nickname, Nicknames
    from cofire.answers.restore import RestoreAnswer
    from cofire.answers.set_amount import SetAnswer
    from cofire.answers.stock import StockAnswer
    from cofire.answers.table import ReadAnswer, TableAnswer
    from cofire.files.new_studio import Begun
    from cofire.files.recipe_history import Version
    from cofire.files.sheets import Sheet


class Shelves(Opened):
    """Things by their names, and the files they stand in."""

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
    def read(
        self,
        table: str | Path | None = None,
        *,
        text: str | bytes | None = None,
        name: str | None = None,
        surface: Surface | None = None,
        column: str | None = None,
    ) -> ReadAnswer:
        """A recipe from columns of a spreadsheet: a file, or ``text`` as it is pasted.

        ``column`` is the heading of the amounts, if several columns hold some. Raises CofireError
        with the line.

        >>> studio.read(text="flint 30\\nkaolin 10").recipe.base_total
        40.0
        """
        from cofire.answers.table import understand
        from cofire.errors import refusal
        from cofire.files.new_names import checked_name
        from cofire.files.tables import read_table
        from cofire.files.toml import read_bytes

        if (table is None) == (text is None):
            raise refusal("file-or-text", file="table")
        path = Path("what was pasted") if table is None else file_of(table)
        raw = read_bytes(path) if text is None else text.encode() if isinstance(text, str) else text
        rows = read_table(raw, path, column)
        called = checked_name(name or rows.title or path.stem)
        return understand(self.library, rows, path, called, surface)

    @checked
    def import_recipes(
        self,
        table: str | Path | None = None,
        *,
        text: str | bytes | None = None,
        into: str | Path | None = None,
        surface: Surface | None = None,
        notes: Sequence[str] = (),
        on_clash: Literal["stop", "skip", "rename"] = "stop",
        only_good: bool = False,
        dry_run: bool = False,
        worksheet: str | None = None,
    ) -> ImportAnswer:
        """Many recipes from one sheet, each into a file of its own: a ``table`` as CSV or XLSX, or
        ``text`` as it is pasted. All are written, or none where one cannot be made.

        ``surface`` is for those that name none, ``notes`` are headings of columns to keep as notes,
        ``into`` is another folder than that of the studio's recipes. ``on_clash`` with a name that
        is taken: “stop”, “skip” that one or “rename” it. ``only_good`` writes those that can be
        made, ``dry_run`` nothing. Raises CofireError for a table that cannot be read.

        >>> text = "name,material,amount\\nA,kaolin,10\\nA,frit-3134-type,90"
        >>> studio.import_recipes(text=text, surface="gloss").written
        True
        """
        from cofire.answers.import_recipes import import_recipes

        return import_recipes(
            self.library,
            _sheet(table, text, worksheet),
            into=None if into is None else file_of(into),
            surface=surface,
            notes=notes,
            on_clash=on_clash,
            only_good=only_good,
            dry_run=dry_run,
        )

    @checked
    def import_materials(
        self,
        table: str | Path | None = None,
        *,
        text: str | bytes | None = None,
        supplier: str = "",
        date: str = "",
        on_clash: Literal["stop", "skip", "rename"] = "stop",
        only_good: bool = False,
        dry_run: bool = False,
        trust: bool = False,
        worksheet: str | None = None,
    ) -> MaterialsImport:
        """Many materials from one sheet with a row to each, as ``add_material`` does with one.

        Columns are name, id, oxides in wt %, LOI, supplier, date, melts and dissolves;
        ``supplier`` and ``date`` are for rows that do not say them. The rest is as in
        ``import_recipes``. Raises CofireError for a table that cannot be read.

        >>> text = "name,SiO2 %,MgO %,LOI\\nour talc,62,32,6"
        >>> said = {"supplier": "Tide Minerals", "date": "2026-11"}
        >>> studio.import_materials(text=text, **said).materials[0].id
        'our-talc'
        """
        from cofire.answers.import_materials import import_materials

        return import_materials(
            self.library,
            _sheet(table, text, worksheet),
            supplier=supplier,
            date=date,
            on_clash=on_clash,
            only_good=only_good,
            dry_run=dry_run,
            trust=trust,
        )

    @checked
    def stock(self) -> StockAnswer:
        """What stock.toml says: grams, and the price of a kg. Raises CofireError.

        >>> studio.stock().currency
        ''
        """
        from cofire.answers.stock import stock

        return stock(self.library)

    @checked
    def import_stock(
        self,
        table: str | Path | None = None,
        *,
        text: str | bytes | None = None,
        on_clash: Literal["stop", "skip", "replace"] = "stop",
        only_good: bool = False,
        dry_run: bool = False,
        worksheet: str | None = None,
    ) -> StockImport:
        """Amounts and prices of many materials from one sheet with a row to each, into the studio's
        stock.toml; weights with their units, prices with the weight that they are for.

        ``on_clash`` with a material that is in stock: “stop”, “skip” that row or “replace” what the
        file says. The rest is as in ``import_recipes``. Raises CofireError for a table that cannot
        be read.

        >>> text = "material,have (kg),price (EUR/kg)\\ntalc,4.5,2.50"
        >>> studio.import_stock(text=text).stock[0].have
        '4.5 kg'
        """
        from cofire.answers.import_stock import import_stock
        from cofire.files.exported import stock_sheet

        sheet, currency = stock_sheet(_sheet(table, text, worksheet))
        return import_stock(
            self.library,
            sheet,
            currency=currency,
            on_clash=on_clash,
            only_good=only_good,
            dry_run=dry_run,
        )

    @checked
    def table(
        self,
        recipe: RecipeLike,
        *,
        dry: str | None = None,
        dry_g: float | None = None,
        scale: str | None = None,
        scale_g: float | None = None,
        semicolons: bool = False,
        tabs: bool = False,
    ) -> TableAnswer:
        """A recipe as two columns for a spreadsheet: in parts, or in grams for so much ``dry`` base
        in steps of the ``scale``, 0.1 g. Raises CofireError.

        >>> studio.table("clear-crackle", dry_g=500).unit
        'g'
        """
        from cofire.answers.table import table_of
        from cofire.errors import refusal
        from cofire.read.number import quantity_text

        if semicolons and tabs:
            raise refusal("semicolons-or-tabs")
        given = {"dry": dry, "dry_g": dry_g, "scale": scale, "scale_g": scale_g}
        return table_of(
            self.library.recipe(recipe),
            quantity_text(given, "dry", "g"),
            quantity_text(given, "scale", "g"),
            ";" if semicolons else "\t" if tabs else ",",
        )

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
    def export(self, to: str | Path, *, shipped: bool = False) -> Exported:
        """Write all that the studio's files say into new files: one that ends in .json, or CSV in a
        folder; ``shipped`` adds what came with cofire. Raises CofireError.

        >>> studio.export("mine.json").things["recipes"]
        2
        """
        from cofire.answers.export import export

        return export(self.library, file_of(to), shipped=shipped)

    @checked
    def restore(
        self,
        exported: str | Path,
        *,
        on_clash: Literal["stop", "skip", "rename"] = "stop",
        only_good: bool = False,
        dry_run: bool = False,
    ) -> RestoreAnswer:
        """Bring back what ``export`` wrote: a JSON file, a folder of sheets or one sheet of it. All
        is written, or nothing; what is there just so stays.

        ``on_clash`` with something else of that name: “stop”, “skip” that one or “rename” it, which
        recipes alone can be. The rest is as in ``import_recipes``. Raises CofireError.

        >>> studio.export("mine.json", shipped=True).files[0].name
        'mine.json'
        >>> studio.restore("mine.json").files
        ()
        """
        from cofire.answers.restore import restore

        return restore(
            self.library, file_of(exported), on_clash=on_clash, only_good=only_good, dry_run=dry_run
        )

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


def _sheet(table: str | Path | None, text: str | bytes | None, worksheet: str | None) -> Sheet:
    """The sheet in a file, or in what is pasted."""
    from cofire.errors import refusal
    from cofire.files.sheets import read_sheet
    from cofire.files.toml import read_bytes

    if (table is None) == (text is None):
        raise refusal("file-or-text", file="table")
    path = Path("what was pasted") if table is None else file_of(table)
    raw = read_bytes(path) if text is None else text.encode() if isinstance(text, str) else text
    return read_sheet(raw, path, worksheet)
