"""Recipes: TOML or plain text in hand -> records, names resolved to materials."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, cast

from cofire.errors import CofireError, Place, Problems, QuantityError, did_you_mean
from cofire.files.toml import Document, Table, collect
from cofire.most import at_most
from cofire.names import plain
from cofire.read.amounts import amount_of
from cofire.records import SURFACES, Material, Part, Recipe, Surface

#: A base part written "recipe: NAME" stands for all of that recipe's own parts.
REFERENCE = "recipe:"

#: name -> (material taken, others that carry the same name)
Resolve = Callable[[str, Place], tuple[Material, tuple[Material, ...]]]
#: name of another recipe -> that recipe
Refer = Callable[[str, Place], Recipe]


@dataclass(frozen=True, eq=False)
class _Found:
    """Notes collected while reading the lines of a recipe."""

    errors: list[CofireError] = field(default_factory=list)
    ambiguous: list[tuple[Part, tuple[Material, ...]]] = field(default_factory=list)
    units: set[bool] = field(default_factory=set)  # whether amounts are weights
    undissolved: dict[str, float] = field(default_factory=dict)
    upon: list[Recipe] = field(default_factory=list)


def read_recipe(doc: Document, resolve: Resolve, refer: Refer) -> Recipe:
    """One recipe per file; its id is the file name. Problems lists every bad line at once."""
    top = Table(doc, doc.data, what="the recipe")
    name = top.name("name", doc.path.stem)
    surface = cast("Surface", top.choice("surface", SURFACES))
    notes = top.text("notes", "")
    kept = top.number("fluorine_kept", 0.5)
    crystals = _percents(top, "crystals", "{ wollastonite = 15 }")
    stays = _percents(top, "undissolved", '{ "tin oxide" = 80 }')
    found = _Found()
    errors = found.errors
    sections: dict[str, tuple[Part, ...]] = {}
    for section in ("base", "additions"):
        data = top.get(section, {} if section == "additions" else None)
        if data is None:
            raise top.refuse("no-base")
        table = Table(doc, data, section, what=f"[{section}]")
        sections[section] = _parts(table, resolve, refer, found)
    if not 0.0 <= kept <= 1.0:
        errors.append(top.refuse("fluorine-not-a-share", "fluorine_kept"))
    try:
        top.finish()
    except CofireError as error:
        errors.append(error)
    if not errors and len(found.units) > 1:
        errors.append(doc.refuse("weights-and-parts", "base"))
    if not errors and not sum(p.amount for p in sections["base"]) > 0.0:
        errors.append(doc.refuse("base-of-nothing", "base"))
    said: set[str] = set()
    for written, percent in stays.items():
        try:
            material = _grain_part(top, written, sections).material
            if material.id in said:
                raise top.refuse("undissolved-twice", "undissolved", written=written)
        except CofireError as error:
            errors.append(error)
            continue
        said.add(material.id)
        found.undissolved[material.id] = percent
    if errors:
        raise Problems(errors) if len(errors) > 1 else errors[0]
    return Recipe(
        id=doc.path.stem,
        name=name,
        base=sections["base"],
        additions=sections["additions"],
        surface=surface,
        notes=notes.strip(),
        fluorine_kept=kept,
        undissolved=found.undissolved,
        crystals=crystals,
        ambiguous=tuple(found.ambiguous),
        upon=tuple(found.upon),
        place=doc.place("base"),
    )


def has_weights(data: Mapping[str, Any]) -> bool:
    """Whether the amounts of a recipe's file are weights, which are read in grams."""
    sections = (data.get(section, {}) for section in ("base", "additions"))
    texts = (one for amounts in sections for one in amounts.values() if isinstance(one, str))
    return any(amount_of(text).unit == "g" for text in texts)


def _percents(top: Table, key: str, example: str) -> dict[str, float]:
    """A table such as { "tin oxide" = 80 }, each from 0 to 100."""
    data = top.get(key, {})
    hint = f"Write for example  {key} = {example}"
    if not isinstance(data, dict):
        raise top.refuse("no-table-of-percentages", key, hint=hint)
    for name, value in data.items():
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not number or not 0.0 <= value <= 100.0:
            raise top.refuse("no-percentage", key, called=name, hint=hint)
    return {name: float(value) for name, value in data.items()}


def _grain_part(top: Table, written: str, sections: dict[str, tuple[Part, ...]]) -> Part:
    """The part of the recipe that “undissolved” names."""
    parts = [p for section in sections.values() for p in section]
    for part in parts:
        names = (part.written, part.material.id, *part.material.names)
        if plain(written) in map(plain, names):
            if not part.material.grain:
                raise top.refuse("no-grains", "undissolved", written=written)
            return part
    raise top.refuse(
        "undissolved-not-in-recipe",
        "undissolved",
        written=written,
        hint=did_you_mean(written, [p.written for p in parts]),
    )


def _parts(table: Table, resolve: Resolve, refer: Refer, found: _Found) -> tuple[Part, ...]:
    parts: dict[str, Part] = {}  # by material: what several recipes bring is one part
    seen: dict[str, str] = {}

    def add(written: str, amount: float, material: Material, place: Place) -> Part:
        if before := parts.get(material.id):
            written, amount = before.written, before.amount + amount
        parts[material.id] = Part(written, amount, material, place)
        return parts[material.id]

    at_most("lines in a recipe", len(table.data), table.doc.place(*table.path))
    for written, value in table.data.items():
        place = table.doc.place(*table.path, written)
        try:
            amount = _amount(table, written, value, found.units)
            if written.lower().startswith(REFERENCE):
                other = refer(written[len(REFERENCE) :].strip(), place)
                found.upon.append(other)
                total = sum(p.amount for p in other.parts)
                for part in other.parts:
                    add(part.written, amount * part.amount / total, part.material, place)
                found.ambiguous.extend(other.ambiguous)
                if other.crystals:
                    raise table.refuse("crystals-in-a-blend", written, named=other.name)
                found.undissolved.update(other.undissolved)
                continue
            material, others = resolve(written, place)
            if material.id in seen:
                raise table.refuse("same-material-twice", written, seen=seen[material.id])
            seen[material.id] = written
            part = add(written, amount, material, place)
            if others:
                found.ambiguous.append((part, others))
        except CofireError as error:
            collect(found.errors, error)
    return tuple(parts.values())


def _amount(table: Table, written: str, value: object, units: set[bool]) -> float:
    if isinstance(value, dict) and written in ("crystals", "undissolved"):
        raise table.refuse("key-below-base", written)
    if isinstance(value, str):
        try:
            read = amount_of(value)
        except QuantityError as error:
            raise table.fail(
                f"the amount of “{written}”: {error.message}", written, hint=error.hint
            ) from error
        if read.unit == "%":
            raise table.refuse("amount-is-a-percentage", written, value=value)
        weight, amount = read.unit == "g", float(read.value)
    else:
        weight = False
        amount = table.check_number(value, written, f"the amount of “{written}”")
    if amount < 0.0:
        raise table.refuse("amount-below-zero", written, amount=amount)
    units.add(weight)
    return amount
