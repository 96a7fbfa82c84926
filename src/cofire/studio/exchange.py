"""Sheets and files in and out of a studio: recipes, materials, stock, or all of it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from cofire.records import Surface
from cofire.studio.arguments import checked
from cofire.studio.opened import Opened, RecipeLike, file_of

if TYPE_CHECKING:
    from cofire.answers.export import Exported
    from cofire.answers.import_materials import MaterialsImport
    from cofire.answers.import_recipes import ImportAnswer
    from cofire.answers.import_stock import StockImport
    from cofire.answers.restore import RestoreAnswer
    from cofire.answers.stock import StockAnswer
    from cofire.answers.table import ReadAnswer, TableAnswer
    from cofire.files.sheets import Sheet


class Exchange(Opened):
    """What is read from spreadsheets and written for other programs."""

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
