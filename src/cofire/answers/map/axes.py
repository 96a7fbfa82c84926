"""The two axes of a map: two materials of the base, or two oxides of the unity formula."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cofire.arrays import Array, Mask
from cofire.chem.composition import flux_moles, solid_mass
from cofire.chem.oxides import FLUXES, INDEX, MOLAR_MASS, OXIDES, vector
from cofire.errors import UnknownNameError, refusal
from cofire.files.library import Library
from cofire.glass.crystals import phases
from cofire.model.analysis import analyse
from cofire.model.glaze_set import GlazeSet, glaze_set
from cofire.names import plain
from cofire.read.span import ends_in_one_number, read_span
from cofire.records import Material, Part, Recipe
from cofire.words import plain_digits

EXAMPLE = "“silica 10-40” for a material, in per cent of the base, or “SiO2 2-5” for an oxide"
_FLUX = np.array([o in FLUXES for o in OXIDES])
#: An oxide in more moles than this to one of flux is no low-fire glaze; our choice.
_MOST_MOLES = 20.0
#: Less than this of a material is zero (rounding of sums).
_NOTHING = 1e-9
OF_BASE, ON_TOP, TO_FLUX = "per cent of base", "parts per 100 of base", "moles to one of flux"

_Span = tuple[float, float]


@dataclass(frozen=True)
class Axis:
    """One way to go: from ``low`` to ``high``; ``own`` is where the recipe stands. ``unit``
    is one of ``OF_BASE``, ``ON_TOP`` and ``TO_FLUX``."""

    name: str
    low: float
    high: float
    own: float
    unit: str


@dataclass(frozen=True, eq=False)
class Plane:
    """Glazes over two axes: parts (M,) at 0 and 0, and what one step along each axis adds to them.
    Places with a negative part do not exist."""

    glazes: GlazeSet
    across: Axis
    up: Axis
    origin: Array
    per_across: Array
    per_up: Array

    def parts(self, x: Array, y: Array) -> Array:
        """Parts (P, M) at places (P,)."""
        amounts = self.origin + np.outer(x, self.per_across) + np.outer(y, self.per_up)
        return np.where(np.abs(amounts) < _NOTHING, 0.0, amounts)

    def room(self, parts: Array) -> Array:
        """The least room that the axes leave (P,), in steps: below zero where there is no glaze."""
        fastest = np.maximum(np.abs(self.per_across), np.abs(self.per_up))
        moved = fastest > 0.0
        return np.asarray((parts[:, moved] / fastest[moved]).min(axis=1))

    def makes_glass(self, parts: Array) -> Mask:
        """Where (P,) there is silica or boron, and a flux to melt it."""
        mol = parts @ self.glazes.grams
        formers = mol[:, [INDEX["SiO2"], INDEX["B2O3"]]].sum(axis=1)
        return np.asarray((formers > _NOTHING) & (mol[:, _FLUX].sum(axis=1) > _NOTHING))


def plane(library: Library, recipe: Recipe, across: str, up: str) -> Plane:
    """The glazes of a recipe over two axes as people write them.

    Raises QuantityError for a range it cannot read, CompositionError for axes that do not go
    together, UnknownNameError for an unknown material.
    """
    analyse(recipe)  # what is not a glaze has no map
    asked = [_read(text) for text in (across, up)]
    oxides = [_oxide(name) for name, _ in asked]
    if None not in oxides:
        return _of_oxides(recipe, [o for o in oxides if o], [span for _, span in asked])
    if any(oxides):
        raise refusal("oxide-and-material", one=asked[0][0], other=asked[1][0])
    return _of_materials(library, recipe, asked)


def _read(text: str) -> tuple[str, _Span | None]:
    """A name, and its range if given."""
    text = text.strip()
    span = read_span(text)
    if span is None:
        return text, None
    if not 0.0 <= span.low < span.high:
        raise refusal("axis-goes-down", text=text, example=EXAMPLE)
    return span.name, (span.low, span.high)


def _oxide(name: str) -> str | None:
    """“sio2” or “SiO₂” -> SiO2."""
    written = plain_digits(name).lower()
    return next((o for o in OXIDES if o.lower() == written), None)


def _refuse_beyond(high: float, most: float, name: str) -> None:
    if high > most:
        raise refusal("axis-too-far", called=name, high=high, most=most, example=EXAMPLE)


# two materials


def _of_materials(library: Library, recipe: Recipe, asked: list[tuple[str, _Span | None]]) -> Plane:
    """Per cent of the base, the rest of which keeps its proportions and fills up to 100."""
    chosen = [_material(library, recipe, name) for name, _ in asked]
    first, second = (material for material, _ in chosen)
    if first.id == second.id:
        raise refusal("same-material-on-both-axes", first=first.name)
    glazes, _ = glaze_set(recipe, [first, second])
    ids = [m.id for m in glazes.materials]
    base, more = np.zeros(len(ids)), np.zeros(len(ids))
    for amounts, section in ((base, recipe.base), (more, recipe.additions)):
        for part in section:
            amounts[ids.index(part.material.id)] += recipe.percent(part)
    rest = base.copy()
    rest[[ids.index(m.id) for m, on_top in chosen if not on_top]] = 0.0
    if not rest.sum() > 0.0:
        raise refusal("nothing-left-to-fill-up", first=first.name, second=second.name)
    filling = rest / rest.sum()
    origin = more + 100.0 * filling
    steps, axes = [], []
    for (material, on_top), (_, span) in zip(chosen, asked, strict=True):
        column = ids.index(material.id)
        own = float((more if on_top else base)[column])
        step = np.zeros(len(ids))
        step[column] = 1.0
        if on_top:
            origin[column] -= own
        else:
            step -= filling
        steps.append(step)
        low, high = span or (_around_addition(own) if on_top else _around(own))
        _refuse_beyond(high, 100.0, f"“{material.name}”")
        axes.append(Axis(material.name, low, high, own, ON_TOP if on_top else OF_BASE))
    return Plane(glazes, axes[0], axes[1], origin, steps[0], steps[1])


def _material(library: Library, recipe: Recipe, name: str) -> tuple[Material, bool]:
    """The material meant, and whether it comes on top of the base: with “+” before its name, or
    when the recipe has it only there."""
    on_top = name.startswith("+")
    name = name.lstrip("+ ")
    wanted = plain(name)
    for parts, addition in ((recipe.base, False), (recipe.additions, True)):
        for part in parts:
            names = (part.written, part.material.id, *part.material.names)
            if wanted in (plain(n) for n in names):
                return part.material, on_top or addition
    try:
        material, _ = library.material(name)
    except UnknownNameError:
        if ends_in_one_number(name):
            raise refusal("axis-without-range", called=name, example=EXAMPLE) from None
        raise
    return material, on_top


def _around(own: float) -> _Span:
    """A span about an amount in the base: 15 either way, less where there is little; our choice."""
    if own <= 0.0:
        return 0.0, 20.0
    half = min(15.0, max(5.0, 0.8 * own))
    return max(0.0, float(np.floor(own - half))), min(100.0, float(np.ceil(own + half)))


def _around_addition(own: float) -> _Span:
    """From 0 to twice the recipe's own amount; our choice."""
    return (0.0, 10.0) if own <= 0.0 else (0.0, min(100.0, 2.0 * own))


# two oxides of the unity formula


def _of_oxides(recipe: Recipe, oxides: list[str], spans: list[_Span | None]) -> Plane:
    """Moles of the unity formula. A flux replaces the other fluxes, which keep their proportions;
    everything else stays.

    The “materials” of these glazes are lumps of oxides: one of the other fluxes, one of all the
    rest, one for each axis, and the materials that stay as grains. Their parts are grams, so that
    shares of weight are shares of parts.
    """
    if oxides[0] == oxides[1]:
        raise refusal("same-oxide-on-both-axes", oxide=oxides[0])
    glazes, own_parts = glaze_set(recipe)
    per_flux = own_parts / flux_moles(own_parts @ glazes.grams / MOLAR_MASS)
    moles = per_flux[:, None] * glazes.grams / MOLAR_MASS  # (M, n_oxides), to one of flux
    apart = [k for k, p in enumerate(glazes.recipe.parts) if _stays(recipe, p)]
    grains = moles[apart]
    held, total = grains.sum(axis=0), moles.sum(axis=0)
    axis_rows = np.array([vector({o: 1.0}) for o in oxides])
    free = np.where(axis_rows.any(axis=0), 0.0, np.maximum(total - held, 0.0))
    fluxes, rest = np.where(_FLUX, free, 0.0), np.where(_FLUX, 0.0, free)
    moves = [o in FLUXES for o in oxides]
    if any(moves) and not fluxes.sum() > 0.0:
        raise refusal("no-flux-left", oxide=oxides[moves.index(True)])
    lumps = np.array([fluxes / max(fluxes.sum(), _NOTHING), rest, *axis_rows, *grains])
    origin = np.ones(len(lumps))
    origin[0] -= held[_FLUX].sum()
    steps, axes = np.zeros((2, len(lumps))), []
    for k, (oxide, span) in enumerate(zip(oxides, spans, strict=True)):
        steps[k, 2 + k] = 1.0
        origin[2 + k] = -held[INDEX[oxide]]
        if moves[k]:
            steps[k, 0] = -1.0
            origin[0] += held[INDEX[oxide]]
        own, most = float(total[INDEX[oxide]]), 1.0 if moves[k] else _MOST_MOLES
        low, high = span or _about(own, most)
        _refuse_beyond(high, most, oxide)
        axes.append(Axis(oxide, low, high, own, TO_FLUX))
    grams = lumps * MOLAR_MASS
    heavy = solid_mass(grams)
    names = ["other fluxes", "all the rest", *oxides]
    pretended = [Material(n, (n,), {}, 0.0, "lump of oxides") for n in names]
    pretended += [replace(glazes.materials[k], loi_percent=0.0) for k in apart]
    parts = tuple(Part(m.name, 0.0, m) for m in pretended)
    lumped = GlazeSet(
        replace(glazes.recipe, base=parts, additions=()),
        grams / np.maximum(heavy, _NOTHING)[:, None],
        np.zeros(len(parts)),
        analysed=False,
        melts_as=(glazes, own_parts),
    )
    return Plane(lumped, axes[0], axes[1], origin * heavy, steps[0] * heavy, steps[1] * heavy)


def _stays(recipe: Recipe, part: Part) -> bool:
    """Whether some of a material may be left as grains in the glass."""
    kind = phases().get(part.material.grain)
    stated = recipe.undissolved.get(part.material.id)
    return kind is not None and (kind.dissolves_wt is not None if stated is None else stated > 0.0)


def _about(own: float, most: float) -> _Span:
    """From half of what there is to 1.7 times, in two digits; our choice."""
    if own < 0.005:
        return 0.0, 0.3
    digits = 1 - int(np.floor(np.log10(own)))
    return round(0.5 * own, digits), min(round(1.7 * own, digits), most)
