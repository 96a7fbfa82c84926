"""A glaze family as a map: one quantity over two amounts, with the recipe on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from cofire import glass
from cofire.answers.formula import UNMODELLED
from cofire.answers.map.axes import OF_BASE, ON_TOP, Axis, Plane, plane
from cofire.answers.map.contours import contour_lines, round_levels
from cofire.arrays import Array, Mask
from cofire.errors import CofireError, CompositionError
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.cooling import cooling
from cofire.model.draws import KILN_SPREAD_C, draw_body
from cofire.model.glaze_set import Family, Glance, glance
from cofire.model.schedule import moments, spread_c
from cofire.model.solids import mixture
from cofire.read.coat import DEFAULT, Coat
from cofire.records import Body, Firing, Recipe
from cofire.words import percent

Kind = Literal["value", "odds", "distance"]

#: Points along each axis: of what is worked out once, and of odds, with draws at each point. The
#: odds then have a standard error of at most 3.5 per cent, the same way for neighbours. Our choice.
FINE, COARSE, DRAWS = 41, 21, 200
#: Lines of odds and of distances (mm) that are drawn; our choice.
_ODDS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
_MM = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
#: Cracks farther apart than this, mm, are none.
_NO_CRACKS_MM = 200.0
#: Lines of any other quantity, at most.
_MOST_LINES = 9
#: From this grade of ``glass.support`` on, no measured glass stands behind a number.
_OUTSIDE = 1.0


@dataclass(frozen=True)
class Shown:
    """A quantity that can be mapped: what it is, what a recipe “...” with its value in place of
    the braces, and whether more is better (``good`` 1), less (-1), or neither."""

    words: str
    said: str
    unit: str
    kind: Kind
    needs: tuple[str, ...]
    good: int
    read: Callable[[Glance], Array | None]


_BODY, _FIRING = ("body",), ("firing",)
SHOWN: dict[str, Shown] = {
    "right": Shown(
        "odds of all that was asked", "is right in all that was asked with {} odds",
        "", "odds", (), 1, lambda g: g.right,
    ),
    "expansion": Shown(
        "expansion from 20 to 300 °C", "expands by {}",
        "×10⁻⁶/K", "value", (), 0, lambda g: g.alpha_1e6_per_k,
    ),
    "stress": Shown(
        "stress in the coat (+ is tension)", "has {} in its coat",
        "MPa", "value", _BODY, 0, lambda g: g.stress_mpa,
    ),
    "fits": Shown(
        "odds of what its surface wants", "does what its surface wants with {} odds",
        "", "odds", _BODY, 1, lambda g: g.fits,
    ),
    "sits": Shown(
        "odds that it neither crazes nor shivers", "neither crazes nor shivers with {} odds",
        "", "odds", _BODY, 1, lambda g: g.fits,
    ),
    "crazes": Shown(
        "odds of crazing at once", "crazes at once with {} odds",
        "", "odds", _BODY, -1, lambda g: g.crazes,
    ),
    "crazes-later": Shown(
        "odds of crazing within months", "crazes within months with {} odds",
        "", "odds", _BODY, -1, lambda g: g.crazes_later,
    ),
    "shivers": Shown(
        "odds of shivering", "shivers with {} odds",
        "", "odds", _BODY, -1, lambda g: g.shivers,
    ),
    "crackle": Shown(
        "distance of cracks", "cracks {} apart",
        "mm", "distance", _BODY, 0, lambda g: g.spacing_mm,
    ),
    "ripe": Shown(
        "odds of being ripe at every pull", "is ripe at every pull with {} odds",
        "", "odds", _FIRING, 1, lambda g: g.ripe,
    ),
    "under": Shown(
        "odds of being underfired at the first pull", "is underfired with {} odds",
        "", "odds", _FIRING, -1, lambda g: g.under,
    ),
    "runs": Shown(
        "odds of running at the last pull", "runs with {} odds",
        "", "odds", _FIRING, -1, lambda g: g.runs,
    ),
    "ripe-margin": Shown(
        "flow to spare at the first pull", "has {} of flow to spare at the first pull",
        "decades", "value", _FIRING, 0, lambda g: g.ripe_by_decades,
    ),
    "run-margin": Shown(
        "flow to spare before it runs", "has {} of flow to spare before it runs",
        "decades", "value", _FIRING, 0, lambda g: g.safe_by_decades,
    ),
    "liquidus": Shown(
        "liquidus, above which no crystal lasts", "has its liquidus at {}",
        "°C", "value", (), 0, lambda g: g.liquidus_c,
    ),
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Spot:
    """A place on the map, its value, and what to weigh there: (name, per 100 of base); nothing
    for oxides."""

    x: float
    y: float
    value: float
    parts: tuple[tuple[str, float], ...]


@dataclass(frozen=True, eq=False)
class MapAnswer:
    """``values`` (ny, nx) stand at ``x`` (nx,) and ``y`` (ny,); NaN where no such glaze exists.

    ``room`` (ny, nx) falls below zero where an axis asks for more than there is place for, and
    ``outside`` says where no measured glass stands behind a value. ``level`` is the line that
    decides: the odds asked for, or none to spare.
    """

    recipe: Recipe
    key: str
    shown: Shown
    across: Axis
    up: Axis
    x: Array
    y: Array
    values: Array
    room: Array
    outside: Mask
    grade: Array
    own: Spot
    own_outside: bool
    best: Spot | None
    nearest: Spot | None  # good enough, and nearest to the recipe
    levels: tuple[float, ...]
    level: float | None
    conditions: tuple[str, ...]
    sentence: str
    findings: tuple[Finding, ...]

    @property
    def field(self) -> Array:
        """The values in the scale in which their lines are even: distances in decades."""
        return on_scale(self.shown.kind, self.values)

    def lines(self, level: float) -> tuple[Array, ...]:
        """Contour lines of one level, arrays (k, 2) in the units of the axes."""
        return contour_lines(self.x, self.y, self.field, float(self.scaled(level)))

    def scaled(self, level: float | Array) -> Array:
        """Levels in the scale of ``field``."""
        return on_scale(self.shown.kind, np.asarray(level, dtype=float))

    @property
    def holds_own(self) -> bool:
        """Whether the recipe lies within the map."""
        return all(a.low <= a.own <= a.high for a in (self.across, self.up))


def on_scale(kind: Kind, values: Array) -> Array:
    """Distances in decades; no cracks count as very far ones."""
    if kind != "distance":
        return values
    return np.asarray(np.log10(np.clip(values, 0.1, _NO_CRACKS_MM)))


def family_map(
    library: Library,
    recipe: Recipe,
    *,
    across: str = "silica",
    up: str = "kaolin",
    show: str | None = None,
    body: Body | None = None,
    firing: Firing | None = None,
    coat: Coat = DEFAULT,
    wall_mm: float = 6.0,
    odds: float = 0.8,
    cooled: str | None = None,
) -> MapAnswer:
    """Map one quantity of ``SHOWN`` over two materials or two oxides (see ``map_axes.plane``).

    Raises CofireError for axes nobody can read, or a quantity that asks for a body or a firing.
    """
    key = show or ("right" if body and firing else "expansion")
    shown = SHOWN[key]
    _must_have(key, shown, body, firing)
    spread_out = plane(library, recipe, across, up)
    draws = DRAWS if shown.kind == "odds" else 1
    x, y = _steps(spread_out, COARSE if draws > 1 else FINE)
    places = [v.ravel() for v in np.meshgrid(x, y)]
    parts = spread_out.parts(*places)
    room = spread_out.room(parts)
    whole = room >= 0.0
    whole[whole] = spread_out.makes_glass(parts[whole])
    own = spread_out.parts(np.array([spread_out.across.own]), np.array([spread_out.up.own]))
    family = spread_out.family
    if key == "sits":  # asked of whatever surface
        family = replace(family, recipe=replace(family.recipe, surface="gloss"))
    whole[whole] = _holds(family, parts[whole])
    clay = draw_body(body) if body else None
    seen = glance(
        family,
        np.concatenate([parts[whole], own]),
        body=clay,
        cool=cooling(firing, wall_mm, cooled) if body else None,
        when=moments(firing, wall_mm) if firing else (),
        coat=coat,
        wall_mm=wall_mm,
        n=draws,
        spread_c=spread_c(firing) if firing else KILN_SPREAD_C,
    )
    found = shown.read(seen)
    assert found is not None
    grade = glass.support(seen.solids.melt_mol).grade
    size = (len(y), len(x))

    def table(of_each: Array) -> Array:
        out = np.full(len(parts), np.nan)
        out[whole] = of_each[:-1]
        return out.reshape(size)

    level = odds if shown.kind == "odds" else 0.0 if key.endswith("margin") else None
    if shown.kind == "odds" and shown.good < 0:
        level = 1.0 - odds
    values, grades = table(found), table(grade)
    spot = _spotter(spread_out)
    here = spot(spread_out.across.own, spread_out.up.own, float(found[-1]))
    best, nearest = _good_places(shown, level, spread_out, x, y, values, grades, here, spot)
    answer = MapAnswer(
        recipe=recipe,
        key=key,
        shown=shown,
        across=spread_out.across,
        up=spread_out.up,
        x=x,
        y=y,
        values=values,
        room=room.reshape(size),
        outside=np.nan_to_num(grades, nan=0.0) >= _OUTSIDE,
        grade=grades,
        own=here,
        own_outside=bool(grade[-1] >= _OUTSIDE),
        best=best,
        nearest=nearest,
        levels=_levels(shown, values, level),
        level=level,
        conditions=_conditions(body, firing, coat, wall_mm, cooled, draws),
        sentence="",
        findings=(),
    )
    return replace(answer, sentence=_sentence(answer), findings=_findings(answer))


def _must_have(key: str, shown: Shown, body: Body | None, firing: Firing | None) -> None:
    given = {"body": body, "firing": firing}
    missing = [name for name in shown.needs if given[name] is None]
    if key == "right" and not (body or firing):
        missing = ["body", "firing"]
    if missing:
        options = " or ".join(f"--{name} {name.upper()}" for name in missing)
        raise CofireError(
            f"“{key}” cannot be mapped without a {' or a '.join(missing)}.",
            hint=f"Name it with {options}, or map something else: --show expansion.",
        )


def _steps(spread_out: Plane, count: int) -> tuple[Array, Array]:
    across, up = spread_out.across, spread_out.up
    return np.linspace(across.low, across.high, count), np.linspace(up.low, up.high, count)


def _holds(family: Family, parts: Array) -> Mask:
    """Which glazes (P, M) have room for their solids: halved until those that lock are alone."""
    if not len(parts):
        return np.zeros(0, bool)
    try:
        mixture(family.recipe, family.mol(parts), amounts=parts)
    except CompositionError:
        if len(parts) == 1:
            return np.zeros(1, bool)
        half = len(parts) // 2
        return np.concatenate([_holds(family, parts[:half]), _holds(family, parts[half:])])
    return np.ones(len(parts), bool)


def _spotter(spread_out: Plane) -> Callable[[float, float, float], Spot]:
    weighed = {OF_BASE, ON_TOP} >= {spread_out.across.unit, spread_out.up.unit}

    def spot(x: float, y: float, value: float) -> Spot:
        amounts = spread_out.parts(np.array([x]), np.array([y]))[0]
        names = [p.written for p in spread_out.family.recipe.parts]
        listed = zip(names, amounts.tolist(), strict=True) if weighed else ()
        return Spot(x, y, value, tuple((n, a) for n, a in listed if a > 0.0))

    return spot


def _good_places(
    shown: Shown, level: float | None, spread_out: Plane, x: Array, y: Array,
    values: Array, grade: Array, here: Spot, spot: Callable[[float, float, float], Spot],
) -> tuple[Spot | None, Spot | None]:  # fmt: skip
    """The surest place, and the nearest that is sure enough where the recipe is not; both with
    measured glasses behind them."""
    if shown.good == 0 or level is None:
        return None, None
    merit = np.where(np.isfinite(values) & (grade < _OUTSIDE), shown.good * values, -np.inf)
    if not np.isfinite(merit).any():
        return None, None

    # axes in units of their own span; of equally sure places the nearest
    across, up = spread_out.across, spread_out.up
    far = np.hypot(
        (x[None, :] - across.own) / (across.high - across.low),
        (y[:, None] - up.own) / (up.high - up.low),
    )

    def at(flat: int) -> Spot:
        j, i = divmod(flat, len(x))
        return spot(float(x[i]), float(y[j]), float(values[j, i]))

    best = at(int(np.lexsort((far.ravel(), -merit.ravel()))[0]))
    enough = merit >= shown.good * level
    # odds are said in whole per cents, and what is said to be enough is
    if shown.good * (here.value - level) >= -0.005 or not enough.any():
        return best, None
    return best, at(int(np.argmin(np.where(enough, far, np.inf))))


def _levels(shown: Shown, values: Array, level: float | None) -> tuple[float, ...]:
    seen = values[np.isfinite(values)]
    if not len(seen):
        return ()
    low, high = float(seen.min()), float(seen.max())
    if shown.kind == "odds":
        assert level is not None
        chosen = {v for v in _ODDS if abs(v - level) > 0.03} | {level}
    elif shown.kind == "distance":
        chosen = set(_MM)
        high = max(high, _NO_CRACKS_MM if np.isinf(values).any() else 0.0)
    else:
        chosen = set(round_levels(low, high, _MOST_LINES))
    return tuple(sorted(v for v in chosen if low < v <= high))


def _conditions(
    body: Body | None, firing: Firing | None, coat: Coat, wall_mm: float, cooled: str | None,
    draws: int,
) -> tuple[str, ...]:  # fmt: skip
    said = []
    if body:
        said.append(f"on {body.name}")
        said.append(f"wall {wall_mm:g} mm, coat {coat.reading}")
        said.append(cooling(firing, wall_mm, cooled).words)
    if firing:
        said.append(f"in {firing.name}")
        if not body:
            said.append(f"coat {coat.reading}")
    if draws > 1:
        said.append(f"{draws} draws at each point, analyses of the materials taken as they are")
    return tuple(said)


def amount_words(axis: Axis, value: float) -> str:
    """“12.5 % kaolin”, “2.69 SiO2”, “1.5 tin oxide on top”."""
    if axis.unit == OF_BASE:
        return f"{value:.3g} % {axis.name}"
    return f"{value:.3g} {axis.name}" + (" on top" if axis.unit == ON_TOP else "")


def value_words(shown: Shown, value: float) -> str:
    """“8.93 ×10⁻⁶/K”, “34 %”, “4.2 mm”."""
    if shown.kind == "odds":
        return percent(value)
    if shown.kind == "distance":
        return f"{value:.2g} mm" if value < _NO_CRACKS_MM else "too far"
    digits = 2 if abs(value) < 20.0 else 0
    return f"{value:.{digits}f} {shown.unit}"


def _sentence(answer: MapAnswer) -> str:
    shown, own = answer.shown, answer.own
    where = f"{amount_words(answer.across, own.x)} and {amount_words(answer.up, own.y)}"
    does = shown.said.format(value_words(shown, own.value))
    if shown.kind == "distance" and np.isinf(own.value):
        does = "does not craze"
    text = f"Your recipe, with {where}, {does}."
    if not answer.holds_own:
        text += " It lies off this map."
    if shown.good == 0 or answer.best is None:
        return text
    asked = f"at {'least' if shown.good > 0 else 'most'} {percent(answer.level or 0.0)}"
    there = answer.nearest or answer.best
    place = (
        f"{amount_words(answer.across, there.x)} and {amount_words(answer.up, there.y)} "
        f"({percent(there.value)})"
    )
    if answer.nearest is not None:
        text += f" The nearest with {asked}: {place}."
    elif shown.good * own.value < shown.good * (answer.level or 0.0):
        text += f" Nowhere on this map is it {asked}; the best is {place}."
    return text


def _findings(answer: MapAnswer) -> tuple[Finding, ...]:
    found = [UNMODELLED]
    if answer.own_outside:
        found.append(
            Finding(
                "thin-data",
                "warning",
                "lies outside the data: trust the direction of the map, not its numbers.",
                "distance from the measured glasses the models were fitted to",
                answer.recipe.name,
            )
        )
    if not np.isfinite(answer.values).any():
        found.append(
            Finding("no-glaze", "warning", "no glaze can be made anywhere on this map.", "sums",
                    answer.recipe.name)
        )  # fmt: skip
    return tuple(sort_findings(found))
