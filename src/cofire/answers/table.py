"""A recipe as columns and back: which material each name means, and what had to be taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import ClassVar, NamedTuple

from cofire.answers.batch.scale import read_step, whole_steps
from cofire.answers.batch.weighing import one_line_each, weigh_up
from cofire.answers.findings.texts import finding
from cofire.errors import CofireError, CompositionError, Place, Problems, refusal
from cofire.files import toml
from cofire.files.library import Library
from cofire.files.tables import Separator, TableRead, TableRow, Unit, table_text
from cofire.findings import Finding
from cofire.model.analysis import analyse
from cofire.most import at_most
from cofire.read.units import WEIGHT, measured
from cofire.record import Record
from cofire.records import Material, Part, Recipe, Surface

#: A base in per cent that misses 100 by more was copied with a line missing; our choice.
_OFF_PERCENT = Decimal(1)
#: More dry glaze than anybody weighs in one go, g; our choice.
_MOST_G = 10**6
#: Digits of an amount that a person wrote; what is beyond is dust of binary fractions.
DIGITS = 12


@dataclass(frozen=True, eq=False)
class Understood:
    """One line: as it stood in the table, and the material it was read as."""

    row: TableRow
    part: Part
    percent_of_base: float
    others_of_that_name: tuple[Material, ...]
    json_also: ClassVar = ("part.material", "part.material.name")
    json_hides: ClassVar = ("part",)
    json_spreads: ClassVar = ("row",)


@dataclass(frozen=True, eq=False, repr=False)
class ReadAnswer(Record):
    """A recipe read from a table; ``surface`` is None if not named."""

    recipe: Recipe
    surface: Surface | None
    lines: tuple[Understood, ...]
    unit: Unit
    base_total: Decimal
    additions_total: Decimal
    stated_total: Decimal | None
    findings: tuple[Finding, ...]
    schema: ClassVar = "read"
    json_also: ClassVar = ("recipe.name",)
    json_hides: ClassVar = ("recipe",)


@dataclass(frozen=True, eq=False, repr=False)
class TableAnswer(Record):
    """A recipe as two columns of a spreadsheet; ``text`` is what its file holds."""

    name: str
    unit: Unit
    lines: tuple[TableLine, ...]
    text: str
    schema: ClassVar = "table"
    json_hides: ClassVar = ("text",)


class TableLine(NamedTuple):
    """Name, amount, and whether it is an addition."""

    written: str
    amount: Decimal
    addition: bool


def table_of(
    recipe: Recipe, dry: str | None = None, scale: str | None = None, separator: Separator = ","
) -> TableAnswer:
    """A recipe in parts; or with ``dry`` in grams for so much base, in steps of the ``scale``.

    Raises QuantityError for what is no batch, or one too small for the scale.
    """
    unit: Unit
    if dry is None:
        if scale is not None:
            raise refusal("scale-without-weight")
        unit, rows = "parts", plain_rows(recipe)
    else:
        weight = measured(dry, WEIGHT)
        if not 0 < weight <= _MOST_G:
            raise refusal("no-such-batch", dry=dry)
        unit, rows = "g", batch_rows(recipe, weight, read_step(scale or "0.1 g"))
    lines = tuple(TableLine(*row) for row in rows)
    return TableAnswer(recipe.name, unit, lines, table_text(rows, unit, separator))


def understand(
    library: Library, table: TableRead, path: Path, name: str, surface: Surface | None
) -> ReadAnswer:
    """The recipe that a table means.

    Raises UnknownNameError, DataFileError or CompositionError with the line; Problems lists all.
    """
    at_most("lines in a recipe", len(table.rows), Place(path))
    errors: list[CofireError] = []
    lines: list[tuple[TableRow, Part, tuple[Material, ...]]] = []
    first: dict[tuple[bool, str], TableRow] = {}
    for row in table.rows:
        place = Place(path, row.line)
        try:
            material, others = library.material(row.written, place)
            before = first.setdefault((row.addition, material.id), row)
            if before is not row:
                other = "" if before.written == row.written else f", as “{before.written}”"
                raise refusal("row-twice", place, row=row.written, before=before.line, other=other)
            lines.append((row, Part(row.written, float(row.amount), material, place), others))
        except CofireError as error:
            toml.collect(errors, error)
    base = sum((r.amount for r in table.rows if not r.addition), Decimal(0))
    added = sum((r.amount for r in table.rows if r.addition), Decimal(0))
    if not errors and not base > 0:
        errors.append(refusal("columns-of-nothing", Place(path)))
    if errors:
        raise Problems(errors) if len(errors) > 1 else errors[0]
    recipe = Recipe(
        id=path.stem,
        name=name,
        base=tuple(p for r, p, _ in lines if not r.addition),
        additions=tuple(p for r, p, _ in lines if r.addition),
        surface=surface or "gloss",
        ambiguous=tuple((p, others) for _, p, others in lines if others),
        place=Place(path),
    )
    return ReadAnswer(
        recipe=recipe,
        surface=surface,
        lines=tuple(Understood(r, p, recipe.percent(p), others) for r, p, others in lines),
        unit=table.unit,
        base_total=base,
        additions_total=added,
        stated_total=table.total,
        findings=tuple(_findings(table, recipe, base, added)),
    )


def _findings(table: TableRead, recipe: Recipe, base: Decimal, added: Decimal) -> list[Finding]:
    findings = [finding("table", remark=remark) for remark in table.remarks]
    off = min(abs(base - 100), abs(base + added - 100))
    if table.unit == "%" and off > _OFF_PERCENT:
        findings.append(finding("not-100", total=float(base)))
    for part, others in recipe.ambiguous:
        names = ", ".join(f"“{m.id}”" for m in others)
        findings.append(
            finding("shared-name", written=part.written, id=part.material.id, others=names)
        )
    try:
        analyse(recipe)
    except CompositionError as error:
        findings.append(finding("no-glaze", why=f"{error.message} {error.hint}"))
    return findings


def plain_rows(recipe: Recipe) -> list[tuple[str, Decimal, bool]]:
    """Name, amount and whether an addition, each material once."""
    return [
        (part.written, Decimal(f"{part.amount:.{DIGITS}g}"), addition)
        for parts, addition in ((recipe.base, False), (recipe.additions, True))
        for part in _once(parts)
    ]


def _once(parts: Sequence[Part]) -> Sequence[Part]:
    # of a blend of recipes a material may come twice
    ids = [p.material.id for p in parts]
    return parts if len(set(ids)) == len(ids) else one_line_each(parts)


def batch_rows(recipe: Recipe, base_g: Decimal, step_g: Decimal) -> list[tuple[str, Decimal, bool]]:
    """As ``plain_rows``, in grams and whole steps of a scale, for ``base_g`` of dry base.

    Raises QuantityError where the batch is too small for the scale.
    """
    weighed = weigh_up(recipe, whole_steps(base_g, step_g), step_g)
    for one in weighed:
        if not one.weigh_g:
            raise refusal(
                "batch-below-the-scale",
                base_g=float(base_g),
                material=one.part.material.name,
                exact_g=one.exact_g,
                step_g=float(step_g),
            )
    weighed = tuple(sorted(weighed, key=lambda w: w.addition))  # a table has additions last
    return [(w.part.written, w.weigh_g, w.addition) for w in weighed]
