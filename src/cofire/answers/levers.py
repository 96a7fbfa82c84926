"""One wish, and what would bring it: how far glaze, coat, air, bin, clay and wall each go alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import ClassVar, Literal, NamedTuple

import numpy as np

from cofire.answers.adjust import adjust
from cofire.answers.catalogue import catalogue
from cofire.answers.change.problem import Allowed
from cofire.answers.change.targets import Target
from cofire.answers.findings.cautions import firing_cautions, material_cautions, pull_cautions
from cofire.answers.findings.fit import body_findings
from cofire.answers.findings.texts import finding
from cofire.errors import refusal
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.conditions import Conditions
from cofire.model.cooling import BED_WORDS
from cofire.model.crackle import NO_CRACKS_MM
from cofire.model.fit import FitDraws
from cofire.model.glaze_draws import EVERYTHING, Drawing, GlazeDraws
from cofire.model.outcome import Outcome, draw_recipe, judge_draws, verdict_of
from cofire.model.ripening import Fluidity, fluidity_up_to, hottest_c
from cofire.model.survival import survival
from cofire.read.coat import Coat
from cofire.record import Record
from cofire.records import Body, Recipe
from cofire.words import listed, percent

#: Wishes that more than the glaze can bring.
KINDS = ("black", "crackle", "stress", "crazes", "shivers")
#: Nets are as wished within this, as a logarithm: nearer than what one pot varies by. Our choice,
#: as the settings that are tried, what a change costs, and all else here without a source.
_NEAR = float(np.log(1.15))
_COATS_MM = (0.1, 0.15, 0.25, 0.4, 0.6, 0.9)
_AIRS_S = (0.0, 30.0, 60.0, 90.0, 150.0, 240.0)
_BINS_MIN = (2.0, 4.0, 6.0, 9.0, 15.0, 30.0)
_WALLS_MM = (3.0, 4.5, 6.0, 8.0, 11.0)
#: How far within a limit a search aims, MPa and odds.
_INSIDE = {"stress": 3.0, "crazes": 0.02, "shivers": 0.02}
#: What can be changed while the kiln is hot costs less than a new batch, new pots and a new clay;
#: and going the whole way of a lever as much as another of its kind.
_EFFORT = {"air": 1.0, "bin": 1.0, "coat": 2.0, "glaze": 4.0, "wall": 6.0, "clay": 8.0}
#: Parts of a glaze moved that count as the whole way.
_WHOLE_WAY_PARTS = 40.0
#: Draws while trying, and pairs that are worked out.
_SOME, _PAIRS = Drawing(1024), 8
#: Times that an amount is looked for.
_REFINED = 3

LeverName = Literal["air", "bin", "coat", "glaze", "wall", "clay"]


@dataclass(frozen=True, eq=False)
class Setting:
    """Something changed, and what comes of it: ``value`` in mm, MPa or as a share (None where there
    are no cracks), odds that the glaze fits and is ripe, and that the pot survives."""

    said: str
    value: float | None
    odds: float
    odds_whole: float | None
    reaches: bool  # the wish
    good: bool  # with odds as asked


@dataclass(frozen=True, eq=False)
class Lever:
    """One lever alone. ``settings`` lie along its way, ``nearest`` is nearest to the wish."""

    name: LeverName
    now: str
    settings: tuple[Setting, ...]
    nearest: Setting
    effort: float


@dataclass(frozen=True, eq=False)
class Pair:
    """Two levers at once."""

    names: tuple[LeverName, LeverName]
    seen: Setting
    effort: float


@dataclass(frozen=True, eq=False, repr=False)
class LeversAnswer(Record):
    """``cheapest`` is the lever that brings the wish with the least effort, ``pair`` the two."""

    recipe: Recipe
    at: Conditions
    target: Target
    now: Setting
    levers: tuple[Lever, ...]
    cheapest: LeverName | None
    pair: Pair | None
    sentence: str
    findings: tuple[Finding, ...]
    schema: ClassVar = "levers"
    json_also: ClassVar = ("yes",)

    @property
    def yes(self) -> bool:
        pair = self.pair is not None and self.pair.seen.reaches and self.pair.seen.good
        return (self.now.reaches and self.now.good) or self.cheapest is not None or pair


class _Under(NamedTuple):
    """A glaze under conditions."""

    recipe: Recipe
    at: Conditions


class _Drawn(NamedTuple):
    """Draws of a glaze under conditions, and their fluidity in the firing, if there is one."""

    here: _Under
    draws: GlazeDraws
    known: Fluidity | None


@dataclass(frozen=True, eq=False)
class _Move:
    """One lever moved: what that does, in words, and what it costs."""

    name: LeverName
    to: Callable[[_Under], _Under]
    said: str
    effort: float


class _Seen(NamedTuple):
    """Levers moved, what comes of it, and its value on the scale of the wish."""

    moves: tuple[_Move, ...]
    setting: Setting
    scaled: float


@dataclass(frozen=True, eq=False)
class _Scale:
    """A lever with an amount."""

    name: LeverName
    now: float
    amounts: tuple[float, ...]
    step: float
    to: Callable[[_Under, float], _Under]
    say: Callable[[float], str]

    def move(self, amount: float) -> _Move:
        way = abs(amount - self.now) / (max(self.amounts) - min(self.amounts))
        effort = _EFFORT[self.name] + way
        return _Move(self.name, lambda here: self.to(here, amount), self.say(amount), effort)

    def rounded(self, amount: float) -> float:
        return float(np.clip(round(amount / self.step) * self.step, *self.ends))

    @property
    def ends(self) -> tuple[float, float]:
        return min(*self.amounts, self.now), max(*self.amounts, self.now)


class _Levers:
    """Tries settings for one wish."""

    def __init__(
        self, library: Library, recipe: Recipe, target: Target, at: Conditions, allowed: Allowed
    ) -> None:
        self.library, self.target, self.allowed = library, target, allowed
        self.start = _Under(recipe, at)
        self._drawn: dict[tuple[int, float, int, int], _Drawn] = {}
        self.nets = target.kind in ("black", "crackle")
        self.aim = target.low, target.high
        if self.nets and target.about:
            middle = 0.5 * (target.low + target.high)
            self.aim = middle - _NEAR, middle + _NEAR

    def see(self, *moves: _Move, how: Drawing = EVERYTHING) -> _Seen:
        """What comes of some moves; survival with all draws only."""
        here = self.start
        for move in moves:
            here = move.to(here)
        at, outcome = here.at, self._outcome(here, how)
        assert outcome.fit is not None
        value = _value(self.target.kind, outcome.fit)
        scaled = float(np.log(value)) if self.nets else value
        whole = None
        if at.cooling_curve.path is not None and at.body_draws is not None and how is EVERYTHING:
            whole = survival(
                at.body_draws, at.cooling_curve, at.wall_mm, at.shape, compare=False
            ).together
        good = verdict_of(outcome.odds, at.odds, outcome.outside) in ("yes", "outside the data")
        setting = Setting(
            " and ".join(move.said for move in moves) or "as it is",
            None if self.nets and value >= NO_CRACKS_MM else value,
            outcome.odds,
            whole,
            reaches=self.miss(scaled) <= 0.0,
            good=good and (whole is None or whole >= at.odds),
        )
        return _Seen(moves, setting, scaled)

    def _outcome(self, here: _Under, how: Drawing) -> Outcome:
        """What comes of a glaze; clay, air and bin leave its draws and its ripening as they are."""
        recipe, at = here
        key = id(recipe), at.coats[0].fired_mm, id(at.when), how.n
        if key not in self._drawn:
            draws = draw_recipe(recipe, at, how)
            known = fluidity_up_to(hottest_c(at.when), draws) if at.when else None
            # with ``here``: while that is kept, nothing else gets the ids in the key
            self._drawn[key] = _Drawn(here, draws, known)
        _, draws, known = self._drawn[key]
        return judge_draws(draws, at, known)

    def miss(self, scaled: float) -> float:
        """How far from the wish."""
        return max(self.aim[0] - scaled, scaled - self.aim[1], 0.0)

    def along(self, scale: _Scale, now: _Seen) -> tuple[Lever, list[_Seen]]:
        """A lever with an amount: its way, and the amount that comes nearest to the wish."""
        known = {
            amount: self.see(scale.move(amount), how=_SOME)
            for amount in sorted({*scale.amounts, scale.now})
        }
        way, wished = list(known.values()), self.wished(now.scaled)

        def amount_for(scaled: float) -> float:
            return _amount_for(scaled, {a: one.scaled for a, one in known.items()}, scale)

        amount = amount_for(wished)
        for _ in range(_REFINED):
            known[amount] = best = self.see(scale.move(amount))
            again = amount_for(wished)
            if self.miss(best.scaled) <= 0.0 or again == amount:
                break
            amount = again
        half = amount_for(0.5 * (wished + now.scaled))
        if half not in known:
            known[half] = self.see(scale.move(half), how=_SOME)
        lever = self._lever(scale.name, scale.say(scale.now), way, best)
        return lever, list(known.values())

    def wished(self, scaled: float) -> float:
        """What to go for from here: the middle of the wish, or just within its nearer end."""
        low, high = self.aim
        if self.target.about:
            return 0.5 * (low + high)
        inside = min(_INSIDE.get(self.target.kind, 0.5 * _NEAR), 0.5 * (high - low))
        return min(max(scaled, low + inside), high - inside)

    def clays(self) -> tuple[Lever, list[_Seen]] | None:
        """Every other clay that can be named, but for the one that says that nothing is known."""
        body = self.start.at.body
        assert body is not None
        items = [item.said for item in catalogue(self.library, "bodies").items]
        others = [b for b in items if isinstance(b, Body) and b.id not in (body.id, _UNKNOWN)]
        if not others:
            return None

        def fired_on(other: Body) -> _Move:
            on = lambda here: _Under(here.recipe, here.at.with_body(other))  # noqa: E731
            return _Move("clay", on, other.id, _EFFORT["clay"])

        seen = [self.see(fired_on(other), how=_SOME) for other in others]
        best = self.see(*min(seen, key=lambda one: self.miss(one.scaled)).moves)
        return self._lever("clay", body.id, seen, best), [*seen, best]

    def glaze(self) -> tuple[Lever, list[_Seen]] | None:
        """The nearest recipe that ``adjust`` finds."""
        recipe, at = self.start
        target = replace(self.target, low=self.aim[0], high=self.aim[1])
        best = adjust(self.library, recipe, [target], at, self.allowed).proposals[0]
        if best.seen is None or not best.reason:
            return None
        effort = _EFFORT["glaze"] + best.distance_parts / _WHOLE_WAY_PARTS
        to = lambda here: _Under(best.recipe, here.at)  # noqa: E731
        seen = self.see(_Move("glaze", to, best.reason, effort))
        return self._lever("glaze", "as written", [seen], seen), [seen]

    def pair(self, now: _Seen, ways: Sequence[tuple[Lever, list[_Seen]]]) -> Pair | None:
        """The cheapest two levers, neither of which does it alone: their effects add up about, and
        are worked out together."""
        wished = self.wished(now.scaled)
        gap = wished - now.scaled

        def goes_some_way(one: _Seen) -> bool:
            return 0.0 < (one.scaled - now.scaled) / gap < 1.0 and self.miss(one.scaled) > 0.0

        if self.miss(now.scaled) <= 0.0:
            return None
        found = [
            (self._off(now, a, b), sum(one.moves[0].effort for one in (a, b)), a, b)
            for (_, first), (_, second) in combinations(ways, 2)
            for a in filter(goes_some_way, first)
            for b in filter(goes_some_way, second)
        ]
        found.sort(key=lambda one: (round(one[0], 2), one[1]))
        for _, effort, a, b in sorted(found[:_PAIRS], key=lambda one: one[1]):
            moves = a.moves + b.moves
            if not self.see(*moves, how=_SOME).setting.reaches:
                continue
            seen = self.see(*moves).setting
            if seen.reaches and seen.good:
                return Pair((moves[0].name, moves[1].name), seen, effort)
        return None

    def _off(self, now: _Seen, a: _Seen, b: _Seen) -> float:
        """How far from the wish two moves should be together, and how far from the odds asked."""
        risk = self.start.at.odds - min(a.setting.odds, b.setting.odds)
        return self.miss(a.scaled + b.scaled - now.scaled) + max(risk, 0.0)

    @staticmethod
    def _lever(name: LeverName, now: str, seen: Sequence[_Seen], best: _Seen) -> Lever:
        settings = tuple(one.setting for one in seen)
        return Lever(name, now, settings, best.setting, best.moves[0].effort)


def _amount_for(wished: float, scaled: Mapping[float, float], scale: _Scale) -> float:
    """The amount nearest to the present one that should bring a value, straight between those that
    are known; or that comes nearest to it."""
    amounts = sorted(scaled)
    values = [scaled[amount] for amount in amounts]
    crossings = [
        a + (wished - low) / (high - low) * (b - a)
        for (a, b), (low, high) in zip(pairwise(amounts), pairwise(values), strict=True)
        if min(low, high) <= wished <= max(low, high) and low != high
    ]
    nearest = min(amounts, key=lambda a: (abs(scaled[a] - wished), abs(a - scale.now)))
    return scale.rounded(min(crossings or [nearest], key=lambda a: abs(a - scale.now)))


#: The clay of which nothing is known.
_UNKNOWN = "unknown"


def _value(kind: str, fits: FitDraws) -> float:
    """The value of a wish: mm between cracks (middle of all draws), MPa, or odds."""
    if kind in ("black", "crackle"):
        spacing = fits.spacing_mm if kind == "crackle" else fits.black_mm
        assert spacing is not None
        return float(np.median(np.minimum(spacing, NO_CRACKS_MM)))
    if kind == "stress":
        return float(np.median(fits.stress_mpa))
    return float((fits.shivers if kind == "shivers" else fits.crazes).mean())


def _scales(at: Conditions) -> list[_Scale]:
    """The levers with an amount that these conditions have."""
    coat_mm, smoke = at.coats[0].fired_mm, at.cooling_curve.smoke

    def coated(here: _Under, mm: float) -> _Under:
        return _Under(here.recipe, here.at.with_coat(Coat(mm, f"{mm:g} mm fired")))

    def walled(here: _Under, mm: float) -> _Under:
        return _Under(here.recipe, here.at.with_wall(mm))

    def smoked(here: _Under, **changes: float) -> _Under:
        now = here.at.cooling_curve.smoke
        assert now is not None
        how = replace(now, assumed=False, **changes)  # type: ignore[arg-type]
        return _Under(here.recipe, here.at.with_cooling(how))

    coats = tuple(mm for mm in _COATS_MM if mm < 0.3 * at.wall_mm)
    walls = tuple(mm for mm in _WALLS_MM if mm > 3.0 * coat_mm)
    bed = "" if smoke is None else BED_WORDS[smoke.bed]
    scales = [
        _Scale("coat", coat_mm, coats, 0.05, coated, lambda mm: f"{mm:g} mm coat"),
        _Scale("wall", at.wall_mm, walls, 0.5, walled, lambda mm: f"{mm:g} mm wall"),
    ]
    if smoke is not None and at.cooling_curve.path is not None:
        scales.append(
            _Scale(
                "air", smoke.air_s, _AIRS_S, 5.0,
                lambda here, s: smoked(here, air_s=s), lambda s: f"{s:g} s in air",
            )
        )  # fmt: skip
        if smoke.bin_min > 0.0:
            scales.append(
                _Scale(
                    "bin", smoke.bin_min, _BINS_MIN, 1.0,
                    lambda here, m: smoked(here, bin_min=m),
                    lambda m: f"{m:g} min {bed}",
                )
            )  # fmt: skip
    return [scale for scale in scales if scale.amounts]


def levers(
    library: Library,
    recipe: Recipe,
    target: Target,
    at: Conditions,
    allowed: Allowed = Allowed(),  # noqa: B008 - frozen
) -> LeversAnswer:
    """How far each lever alone goes towards one wish on the body of some conditions, and the
    cheapest pair.

    Raises CompositionError if it is not a glaze, no body is named, or the wish is none that more
    than the glaze can bring.
    """
    if target.kind not in KINDS:
        raise refusal("wish-of-the-glaze-alone", text=target.text)
    if at.body is None:
        raise refusal("target-needs", missing="a --body")
    if target.kind == "black" and at.cooling_curve.path is None:
        raise refusal("black-cracks-without-smoke")
    tries = _Levers(library, recipe, target, at.for_glazes(1), allowed)
    now = tries.see()
    ways = [tries.along(scale, now) for scale in _scales(at)]
    ways += [way for way in (tries.glaze(), tries.clays()) if way is not None]
    ways.sort(key=lambda way: _EFFORT[way[0].name])
    single = [lever for lever, _ in ways if lever.nearest.reaches and lever.nearest.good]
    cheapest = min(single, key=lambda lever: lever.effort, default=None)
    pair = tries.pair(now, ways)
    findings = [*material_cautions(library, [recipe]), *body_findings(at.body)]
    findings.append(finding("levers-alone", recipe.name))
    if at.firing is not None:
        findings += firing_cautions(library, at.firing)
    if at.cooling_curve.path is not None:
        findings += pull_cautions(library)
    return LeversAnswer(
        recipe=recipe,
        at=at,
        target=target,
        now=now.setting,
        levers=tuple(lever for lever, _ in ways),
        cheapest=None if cheapest is None else cheapest.name,
        pair=pair,
        sentence=_sentence(target, now.setting, cheapest, pair),
        findings=sort_findings(findings),
    )


def value_text(target: Target, value: float | None) -> str:
    """“15 mm”, “+40 MPa”, “12 %”."""
    if target.kind in ("black", "crackle"):
        return "no net" if value is None else f"{value:.{1 if value < 9.95 else 0}f} mm"
    assert value is not None
    return f"{value:+.0f} MPa" if target.kind == "stress" else percent(value)


def _sentence(target: Target, now: Setting, cheapest: Lever | None, pair: Pair | None) -> str:
    if now.reaches and now.good:
        return f"Yes: it is as wished already, {value_text(target, now.value)}."
    ways = [
        f"{seen.said} ({value_text(target, seen.value)})"
        for seen in (cheapest and cheapest.nearest, pair and pair.seen)
        if seen
    ]
    if ways:
        return f"Yes: with {listed(ways, 'or')}; now it is {value_text(target, now.value)}."
    return (
        f"No: neither one lever nor two bring “{target.text}” with the odds asked; now it is "
        f"{value_text(target, now.value)}."
    )
