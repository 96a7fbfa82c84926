"""What a recipe on trial is like: values of curved wishes and how each material moves them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from cofire.answers.change.targets import Wish
from cofire.arrays import Array, Mask
from cofire.errors import CompositionError
from cofire.formulate.nearest import Curved
from cofire.model.cooling import Cooling
from cofire.model.draws import BodyDraws
from cofire.model.glaze_set import Family, Glance, glance
from cofire.model.schedule import Moment
from cofire.read.coat import Coat
from cofire.records import Material, Shape

#: Kinds of wish that no straight line meets.
CURVED = (
    "expansion", "stress", "crackle", "black", "ripe at", "liquidus", "melts", "fits", "ripe"
)  # fmt: skip
#: Those that are met with so much odds.
UNSURE = ("fits", "ripe")
#: Parts by which a material is moved to see what it does.
_NUDGE = 0.5
#: Draws for odds while searching.
_DRAWS = 200
#: Where a glaze does not craze there is no distance of cracks; a wish for one is led there by its
#: stress, from this distance (mm) on.
_WIDEST_MM = 150.0


@dataclass(frozen=True, eq=False)
class Setting:
    """Where a glaze is to be used, and how sure one wants to be."""

    body: BodyDraws | None
    cool: Cooling | None
    when: tuple[Moment, ...]
    coat: Coat
    wall_mm: float
    shape: Shape
    spread_c: float
    sure: float


@dataclass(frozen=True, eq=False)
class Sight:
    """Looks at unknown parts (V,), each of a material of a family: ``lay`` (V, M) says of which."""

    family: Family
    lay: Array
    materials: tuple[Material, ...]  # (V,)
    setting: Setting
    wishes: tuple[Wish, ...]  # the curved ones
    prices: Mapping[str, float] = field(default_factory=dict)  # per kg, by material id

    def whole(self, parts: Array) -> Array:
        """Parts (..., V) -> parts of the family (..., M)."""
        return np.asarray(parts @ self.lay)

    def curved(self) -> tuple[Curved, ...]:
        """The wishes as the solver wants them."""
        return tuple(Curved(w.low, w.high, w.scale) for w in self.wishes)

    def __call__(self, parts: Array, may: Mask) -> tuple[Array, Array]:
        """Values (Q,) and slopes per part (Q, V), zero for what may not change."""
        moving = np.flatnonzero(may)
        rows = np.tile(parts, (len(moving) + 1, 1))
        rows[np.arange(1, len(rows)), moving] += _NUDGE
        slopes = np.zeros((len(self.wishes), len(parts)))
        try:
            seen = self._values(rows, 1)
            values = seen[:, 0].copy()
            drawn = [k for k, w in enumerate(self.wishes) if w.kind in UNSURE]
            if drawn:
                values[drawn] = self._values(parts[None, :], _DRAWS)[drawn, 0]
        except CompositionError:  # locked by solids, or nothing left
            return np.full(len(self.wishes), np.nan), slopes
        slopes[:, moving] = (seen[:, 1:] - seen[:, :1]) / _NUDGE
        return values, slopes

    def values(self, rows: Array) -> Array:
        """Values (Q, P) of the curved wishes for many recipes (P, V); NaN where one is none."""
        try:
            found = self._values(rows, 1)
            drawn = [k for k, w in enumerate(self.wishes) if w.kind in UNSURE]
            if drawn:
                found[drawn] = self._values(rows, _DRAWS)[drawn]
        except CompositionError:
            if len(rows) == 1:
                return np.full((len(self.wishes), 1), np.nan)
            return np.concatenate([self.values(row[None, :]) for row in rows], axis=1)
        return found

    def glance(self, rows: Array, n: int, when: tuple[Moment, ...] | None = None) -> Glance:
        """Look at base parts (P, V) with ``n`` draws."""
        at = self.setting
        return glance(
            self.family,
            self.whole(rows),
            body=at.body,
            cool=at.cool,
            when=at.when if when is None else when,
            coat=at.coat,
            wall_mm=at.wall_mm,
            shape=at.shape,
            n=n,
            spread_c=at.spread_c,
            sure=at.sure,
        )

    def _values(self, rows: Array, n: int) -> Array:
        """Values (Q, P) of the curved wishes."""
        seen = self.needed.glance(rows, n)
        found = [self._value(wish, seen, rows) for wish in self.wishes]
        return np.array(found).reshape(len(self.wishes), len(rows))

    @cached_property
    def needed(self) -> Sight:
        """The same without the body or the firing that no wish asks about."""
        body, firing = needs(self.wishes)
        at = self.setting
        return replace(
            self,
            setting=replace(at, body=at.body if body else None, when=at.when if firing else ()),
        )

    def _value(self, wish: Wish, seen: Glance, rows: Array) -> Array:
        found = {
            "expansion": seen.alpha_1e6_per_k,
            "liquidus": seen.liquidus_c,
            "melts": seen.flows_c,
            "stress": seen.stress_mpa,
            "fits": seen.fit_margin_mpa,
            "ripe": seen.ripe_margin,
        }.get(wish.kind)
        if wish.kind in ("crackle", "black") and seen.over is not None:
            spacing = seen.spacing_mm if wish.kind == "crackle" else seen.black_mm
            assert spacing is not None
            beyond = np.log(_WIDEST_MM) + 5.0 * np.maximum(-seen.over, 0.0)
            found = np.where(spacing < _WIDEST_MM, np.log(np.minimum(spacing, _WIDEST_MM)), beyond)
        if wish.kind == "ripe at":
            return self._ripens_at(0.5 * (wish.low + wish.high), rows)
        assert found is not None, wish.kind
        return found

    def _ripens_at(self, near_c: float, rows: Array) -> Array:
        """Peak (P,), °C, at which each would just be ripe at the first pull: from two firings of
        the same shape, one at ``near_c``."""
        first = self.setting.when[0]
        decades = []
        for peak_c in (near_c - 10.0, near_c + 10.0):
            shifted = replace(first, ware_c=first.ware_c + peak_c - float(first.ware_c.max()))
            seen = replace_setting(self, (shifted,)).glance(rows, 1)
            assert seen.ripe_by_decades is not None
            decades.append(seen.ripe_by_decades)
        slope = np.maximum((decades[1] - decades[0]) / 20.0, 1e-4)
        return np.asarray(near_c - 10.0 - decades[0] / slope)


def replace_setting(sight: Sight, when: tuple[Moment, ...]) -> Sight:
    """The same, at other moments and on no body."""
    return replace(sight, setting=replace(sight.setting, when=when, body=None))


def needs(wishes: Sequence[Wish]) -> tuple[bool, bool]:
    """Whether a body, and whether a firing, has to be named for them."""
    kinds = {w.kind for w in wishes}
    return bool(kinds & {"stress", "crackle", "black", "fits"}), bool(kinds & {"ripe", "ripe at"})
