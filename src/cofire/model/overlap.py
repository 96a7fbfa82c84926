"""Where one glaze lies over the other: every mixture of the two, and two coats thick."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from cofire.arrays import Array
from cofire.model.cooling import Cooling
from cofire.model.draws import BodyDraws, draw_glaze
from cofire.model.fit import fit_draws
from cofire.model.ripening import stages_at
from cofire.model.schedule import Moment
from cofire.read.coat import Coat
from cofire.records import Recipe
from cofire.ripeness.judge import Criteria, runs

#: Draws per mixture: odds with a standard error of at most 3 per cent.
_DRAWS = 300


def shares_of(pairs: int) -> Array:
    """Shares of the second glaze by weight that are looked at; the ends are the glazes themselves.

    Every 10 % for one pair, every 20 % for more, so that nobody waits.
    """
    return np.linspace(0.0, 1.0, 11 if pairs == 1 else 6)


@dataclass(frozen=True, eq=False)
class Overlap:
    """Two glazes over each other at the last pull, as thick as both coats together: odds (M,) that
    each mixture runs, at ``shares`` of the second, and that every second of them crazes at once."""

    first: Recipe
    second: Recipe
    coat_mm: float
    shares: Array  # (M,)
    runs: Array  # (M,)
    crazes: Array | None  # at every second share

    @property
    def worst(self) -> int:
        """Which mixture runs most."""
        return int(self.runs.argmax())


def mixed_recipe(first: Recipe, second: Recipe, share: float) -> Recipe:
    """The two batches weighed together so that ``share`` of the fired glaze is the second."""

    def scaled(recipe: Recipe, to: float) -> list:  # type: ignore[type-arg]
        fired = sum(p.amount * (1.0 - p.material.loi_percent / 100.0) for p in recipe.parts)
        return [replace(p, amount=100.0 * to * p.amount / fired) for p in recipe.parts]

    parts = (*scaled(first, 1.0 - share), *scaled(second, share))
    name = f"{100 * (1 - share):.0f} {first.name} + {100 * share:.0f} {second.name}"
    return replace(
        first,
        id=f"{first.id}+{second.id}@{share:.2f}",
        name=name,
        base=tuple(p for p in parts if p.amount > 0.0),
        additions=(),
        undissolved={**first.undissolved, **second.undissolved},
        crystals={},
        ambiguous=(),
    )


def overlaps(
    recipes: list[Recipe],
    last: Moment,
    by: Criteria,
    coat: Coat,
    body: BodyDraws | None,
    wall_mm: float,
    cool: Cooling,
) -> tuple[Overlap, ...]:
    """All pairs of the glazes, each over the other."""
    both = Coat(2.0 * coat.fired_mm, f"both coats, {2.0 * coat.fired_mm:.2g} mm fired")
    found = []
    pairs = list(itertools.combinations(recipes, 2))
    shares = shares_of(len(pairs))
    for first, second in pairs:
        ran, crazed = [], []
        for k, share in enumerate(shares):
            recipe = mixed_recipe(first, second, float(share))
            draws = draw_glaze(recipe, both, _DRAWS)
            done = stages_at([last], recipe, draws, by)[0]
            ran.append(float(runs(done, by).mean()))
            if body and k % 2 == 0:
                fits = fit_draws(recipe, draws, body.some(_DRAWS), wall_mm, cool)
                crazed.append(float(fits.crazes_now.mean()))
        found.append(
            Overlap(
                first,
                second,
                both.fired_mm,
                shares,
                np.array(ran),
                np.array(crazed) if body else None,
            )
        )
    return tuple(found)
