"""A glaze family as a map: one quantity over two amounts, with the recipe on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from cofire.answers.findings.texts import finding
from cofire.answers.map.axes import OF_BASE, ON_TOP, Plane, plane
from cofire.answers.map.contours import round_levels
from cofire.answers.map.messages import map_sentence
from cofire.answers.map.results import MapAnswer, Shown, Spot, Weighed
from cofire.arrays import Array, Mask
from cofire.errors import CompositionError, refusal
from cofire.files import toml
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.conditions import Conditions
from cofire.model.crackle import NO_CRACKS_MM
from cofire.model.evaluation import evaluate, evaluate_recipe
from cofire.model.glaze_set import GlazeSet
from cofire.model.outcome import OUTSIDE
from cofire.model.solids import mixture
from cofire.model.standard_draws import N
from cofire.records import Recipe

#: Points along each axis: of what is worked out once, and of odds, with draws at each point. The
#: odds then have a standard error of at most 3.1 per cent, the same way for neighbours. Our choice.
FINE, COARSE, DRAWS = 41, 21, 256
#: Draws that are held at once, so that a map fits into half a gigabyte.
AT_ONCE = 20_000
#: Lines of odds and of distances (mm) that are drawn; our choice.
_ODDS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
_MM = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
#: Places near the recipe that are looked at again with all draws.
_LOOKED_AT_AGAIN = 6
#: Lines of any other quantity, at most.
_MOST_LINES = 9


SHOWN = {
    key: Shown(**data | {"needs": tuple(data.get("needs", ()))})
    for key, data in toml.beside(__file__, "quantities.toml").items()
}


def family_map(
    library: Library, recipe: Recipe, axes: tuple[str, str], at: Conditions, show: str | None = None
) -> MapAnswer:
    """Map one quantity of ``SHOWN`` over two materials or two oxides, across and up (see
    ``axes.plane``).

    Raises CofireError for axes it cannot read, or a quantity that asks for a body or a firing.
    """
    key = show or ("right" if at.body and at.firing else "expansion")
    if key not in SHOWN:
        raise refusal("cannot-be-shown", show=key, known=", ".join(SHOWN))
    shown = SHOWN[key]
    _must_have(key, shown, at.for_glazes(1))
    spread_out = plane(library, recipe, *axes)
    if key == "sits":  # asked of whatever surface
        recipe = replace(recipe, surface="gloss")
        spread_out = replace(
            spread_out, glazes=replace(spread_out.glazes, recipe=replace(
                spread_out.glazes.recipe, surface="gloss"
            ))
        )  # fmt: skip
    draws = DRAWS if shown.drawn else 1
    x, y = _steps(spread_out, COARSE if shown.drawn else FINE)
    parts = spread_out.parts(*(v.ravel() for v in np.meshgrid(x, y)))
    room = spread_out.room(parts)
    is_glass = room >= 0.0
    is_glass[is_glass] = spread_out.makes_glass(parts[is_glass])
    glazes = spread_out.glazes
    is_glass[is_glass] = _holds(glazes, parts[is_glass])
    size = (len(y), len(x))
    values, grades = np.full(len(parts), np.nan), np.full(len(parts), np.nan)
    places = np.flatnonzero(is_glass)
    for start in range(0, len(places), max(1, AT_ONCE // draws)):
        some = places[start : start + max(1, AT_ONCE // draws)]
        evaluation = evaluate(glazes, parts[some], at, draws)[0]
        values[some], grades[some] = shown.read(evaluation), evaluation.support.grade
    values, grades = values.reshape(size), grades.reshape(size)
    level = at.odds if shown.kind == "odds" else 0.0 if key.endswith("margin") else None
    if shown.kind == "odds" and shown.good < 0:
        level = 1.0 - at.odds

    def spot(i: float, j: float) -> Spot:
        """A place with all draws, as in the other answers."""
        amounts = spread_out.parts(np.array([i]), np.array([j]))
        one = evaluate(glazes, amounts, at, N if shown.drawn else 1)[0]
        return Spot(i, j, float(shown.read(one)[0]), _weighed(spread_out, amounts[0]))

    own = evaluate_recipe(recipe, at, N if shown.drawn else 1)
    here = Spot(
        spread_out.across.own,
        spread_out.up.own,
        float(shown.read(own)[0]),
        _weighed(spread_out, spread_out.parts(*_at(spread_out))[0]),
    )
    best, nearest = _good_places(shown, level, spread_out, _Grid(x, y, values, grades), here, spot)
    answer = MapAnswer(
        recipe=recipe,
        show=key,
        shown=shown,
        at=at,
        across=spread_out.across,
        up=spread_out.up,
        x=x,
        y=y,
        values=values,
        room=room.reshape(size),
        outside_the_data=np.nan_to_num(grades, nan=0.0) >= OUTSIDE,
        grade=grades,
        own=here,
        own_outside=bool(own.support.grade[0] >= OUTSIDE),
        best=best,
        nearest=nearest,
        levels=_levels(shown, values, level),
        level=level,
        conditions=_conditions(at, draws),
    )
    return replace(answer, sentence=map_sentence(answer), findings=_findings(answer))


def recipe_at(
    library: Library, recipe: Recipe, axes: tuple[str, str], x: float, y: float
) -> Recipe:
    """A place of a map as a recipe. Raises CompositionError where there is none."""
    spread_out = plane(library, recipe, *axes)
    amounts = spread_out.parts(np.array([x]), np.array([y]))
    if float(spread_out.room(amounts)[0]) < 0.0:
        raise refusal("no-glaze-there", across=x, up=y)
    glazes = spread_out.glazes
    parts = tuple(
        replace(part, amount=float(amount))
        for part, amount in zip(glazes.recipe.parts, amounts[0], strict=True)
        if amount > 0.0
    )
    made = f"{recipe.name}, {spread_out.across.name} {x:g}, {spread_out.up.name} {y:g}"
    return replace(glazes.recipe, name=made, base=parts, additions=())


def _at(spread_out: Plane) -> tuple[Array, Array]:
    return np.array([spread_out.across.own]), np.array([spread_out.up.own])


def _weighed(spread_out: Plane, amounts: Array) -> tuple[Weighed, ...]:
    """What to weigh at a place, by name; nothing for oxides."""
    if not {OF_BASE, ON_TOP} >= {spread_out.across.unit, spread_out.up.unit}:
        return ()
    names = [p.written for p in spread_out.glazes.recipe.parts]
    return tuple(Weighed(n, a) for n, a in zip(names, amounts.tolist(), strict=True) if a > 0.0)


def _must_have(key: str, shown: Shown, at: Conditions) -> None:
    given = {"body": at.body, "firing": at.firing}
    missing = [name for name in shown.needs if given[name] is None]
    if key == "right" and not (at.body or at.firing):
        missing = ["body", "firing"]
    if missing:
        options = " or ".join(f"--{name} {name.upper()}" for name in missing)
        lacks = " or a ".join(missing)
        raise refusal("cannot-be-mapped", key=key, lacks=lacks, options=options)


def _steps(spread_out: Plane, count: int) -> tuple[Array, Array]:
    across, up = spread_out.across, spread_out.up
    return np.linspace(across.low, across.high, count), np.linspace(up.low, up.high, count)


def _holds(glazes: GlazeSet, parts: Array) -> Mask:
    """Which glazes (P, M) have room for their solids: halved until those that lock are alone."""
    if not len(parts):
        return np.zeros(0, bool)
    try:
        mixture(glazes.recipe, glazes.mol(parts), amounts=parts)
    except CompositionError:
        if len(parts) == 1:
            return np.zeros(1, bool)
        half = len(parts) // 2
        return np.concatenate([_holds(glazes, parts[:half]), _holds(glazes, parts[half:])])
    return np.ones(len(parts), bool)


@dataclass(frozen=True, eq=False)
class _Grid:
    """Values and grades of support (ny, nx) at ``x`` (nx,) and ``y`` (ny,)."""

    x: Array
    y: Array
    values: Array
    grade: Array


def _good_places(
    shown: Shown,
    level: float | None,
    spread_out: Plane,
    grid: _Grid,
    here: Spot,
    spot: Callable[[float, float], Spot],
) -> tuple[Spot | None, Spot | None]:
    """The surest place, and the nearest that is sure enough where the recipe is not; both with
    measured glasses behind them, and looked at with all draws."""
    if shown.good == 0 or level is None:
        return None, None
    known = np.isfinite(grid.values) & (grid.grade < OUTSIDE)
    merit = np.where(known, shown.good * grid.values, -np.inf)
    if not known.any():
        return None, None
    # axes in units of their own span; of equally sure places the nearest
    across, up = spread_out.across, spread_out.up
    far = np.hypot(
        (grid.x[None, :] - across.own) / (across.high - across.low),
        (grid.y[:, None] - up.own) / (up.high - up.low),
    )

    def at(flat: int) -> Spot:
        j, i = divmod(int(flat), len(grid.x))
        return spot(float(grid.x[i]), float(grid.y[j]))

    best = at(np.lexsort((far.ravel(), -merit.ravel()))[0])
    asked = shown.good * level
    if shown.good * here.value >= asked:
        return best, None
    near = np.argsort(far.ravel(), kind="stable")
    for flat in near[merit.ravel()[near] >= asked][:_LOOKED_AT_AGAIN]:
        place = at(flat)
        if shown.good * place.value >= asked:
            return best, place
    return best, best if shown.good * best.value >= asked else None


def _levels(shown: Shown, values: Array, level: float | None) -> tuple[float, ...]:
    evaluation = values[np.isfinite(values)]
    if not len(evaluation):
        return ()
    low, high = float(evaluation.min()), float(evaluation.max())
    if shown.kind == "odds" and level is not None:
        chosen = {v for v in _ODDS if abs(v - level) > 0.03} | {level}
    elif shown.kind == "distance":
        chosen = set(_MM)
        high = max(high, NO_CRACKS_MM if np.isinf(values).any() else 0.0)
    else:
        chosen = set(round_levels(low, high, _MOST_LINES))
    return tuple(sorted(v for v in chosen if low < v <= high))


def _conditions(at: Conditions, draws: int) -> tuple[str, ...]:
    parts, coat = [], at.coat(0).reading
    if at.body:
        parts += [
            f"on {at.body.name}",
            f"wall {at.wall_mm:g} mm, coat {coat}",
            at.cooling_curve.words,
        ]
    if at.firing:
        parts.append(f"in {at.firing.name}")
        if not at.body:
            parts.append(f"coat {coat}")
    if draws > 1:
        parts.append(
            f"the first {draws} of {N} draws at each point, all of them at the places named"
        )
    return tuple(parts)


def _findings(answer: MapAnswer) -> tuple[Finding, ...]:
    findings = [finding("gradual-melting"), finding("not-in-any-model")]
    if answer.own_outside:
        findings.append(finding("thin-data-map", answer.recipe.name))
    if not np.isfinite(answer.values).any():
        findings.append(finding("no-glaze-on-map", answer.recipe.name))
    return tuple(sort_findings(findings))
