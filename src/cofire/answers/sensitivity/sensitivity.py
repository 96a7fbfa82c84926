"""How far an answer moves when a glaze is weighed, bought and fired as well as people can."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from cofire.answers.formula import UNMODELLED
from cofire.answers.sensitivity.amount_effects import Effect, weighed_otherwise
from cofire.answers.sensitivity.sources import SOURCES, Bench, Outcome, alone
from cofire.arrays import Array
from cofire.errors import QuantityError
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import analyse
from cofire.model.cooling import cooling
from cofire.model.draws import KILN_SPREAD_C
from cofire.model.ripe_peak import plain_firing
from cofire.model.schedule import moments, spread_c
from cofire.read.coat import DEFAULT, Coat
from cofire.read.units import show_weight
from cofire.records import Body, Firing, Recipe
from cofire.round_numbers import round_up
from cofire.words import percent

#: A scale is too coarse for what is less than ten of its steps: half a step is then 5 %, and
#: colourants are felt at that; our choice.
_COARSE = 0.1


@dataclass(frozen=True)
class Doubt:
    """Half-widths that hold 90 %: of expansion, stress and the peak that ripens it."""

    source: str
    alpha_1e6_per_k: float
    stress_mpa: float | None
    ripens_c: float


@dataclass(frozen=True, eq=False)
class ShakeAnswer:
    """``odds`` are those of all that was asked, None when nothing was: of the recipe as written,
    and with weighing and analyses drawn too."""

    recipe: Recipe
    body: Body | None
    firing: Firing | None
    batch_g: float
    step_g: float
    slips: bool
    conditions: tuple[str, ...]
    alpha_1e6_per_k: float
    stress_mpa: float | None
    crazes: float | None
    ripens_c: float
    spacing_mm: float | None
    effects: tuple[Effect, ...]
    doubts: tuple[Doubt, ...]
    together: Doubt  # the square root of the sum of their squares
    whole: Doubt  # all drawn at once
    odds_asked: float
    odds: float | None
    odds_whole: float | None
    careful: Effect | None
    wobbles: tuple[str, ...]
    yes: bool
    sentence: str
    findings: tuple[Finding, ...]


def shake(
    library: Library,
    recipe: Recipe,
    *,
    body: Body | None = None,
    firing: Firing | None = None,
    batch_g: float = 100.0,
    step_g: float = 0.1,
    slips: bool = False,
    coat: Coat = DEFAULT,
    wall_mm: float = 6.0,
    odds: float = 0.8,
    cooled: str | None = None,
) -> ShakeAnswer:
    """Change each amount by a step of the scale and by a hundredth of the batch, and draw every
    source of doubt alone. ``batch_g`` is the weight of the base.

    Raises QuantityError for a batch or a scale nobody has, CompositionError for no glaze.
    """
    analyse(recipe)
    _must_weigh(batch_g, step_g)
    when = moments(firing, wall_mm) if firing else []
    time_s, ware_c = (when[0].time_s, when[0].ware_c) if when else plain_firing()
    bench = Bench(
        recipe=recipe,
        batch_g=batch_g,
        step_g=step_g,
        slips=slips,
        coat=coat,
        wall_mm=wall_mm,
        spread_c=spread_c(firing) if firing else KILN_SPREAD_C,
        body=body,
        cool=cooling(firing, wall_mm, cooled) if body else None,
        when=when,
        time_s=time_s,
        ware_c=ware_c,
    )
    here, effects = weighed_otherwise(bench)
    outcomes = alone(bench)
    doubts = tuple(_doubt(s, outcomes[s]) for s in SOURCES if s in outcomes)
    asked = body is not None or firing is not None
    whole = _doubt("all", outcomes["all"])
    odds_whole = float(outcomes["all"].right.mean()) if asked else None
    careful = _most_careful(effects, whole)
    wobbles = _wobbles(here.right, odds_whole, effects, odds, batch_g) if asked else ()
    told = [UNMODELLED, *_coarse(effects, batch_g), *_unknown_spread(recipe)]
    if not np.isfinite(here.ripens_c):
        told.append(_never_ripe(recipe))
    answer = ShakeAnswer(
        recipe=recipe,
        body=body,
        firing=firing,
        batch_g=batch_g,
        step_g=step_g,
        slips=slips,
        conditions=_conditions(bench, firing),
        alpha_1e6_per_k=here.alpha,
        stress_mpa=here.stress,
        crazes=here.crazes,
        ripens_c=here.ripens_c,
        spacing_mm=here.spacing,
        effects=effects,
        doubts=doubts,
        together=_together(doubts),
        whole=whole,
        odds_asked=odds,
        odds=here.right,
        odds_whole=odds_whole,
        careful=careful,
        wobbles=wobbles,
        yes=not asked or (_sure(here.right, odds) and _sure(odds_whole, odds)),
        sentence="",
        findings=sort_findings(told),
    )
    return replace(answer, sentence=_sentence(answer))


def _must_weigh(batch_g: float, step_g: float) -> None:
    if not 1.0 <= batch_g <= 1e6:
        raise QuantityError(
            f"a batch of {batch_g:g} g is not one a studio mixes.", hint="Write e.g. “500 g”."
        )
    if not 1e-4 <= step_g <= 0.2 * batch_g:
        raise QuantityError(
            f"a scale with steps of {step_g:g} g does not weigh a batch of {batch_g:g} g.",
            hint="Write the smallest step that it shows, e.g. “0.1 g”.",
        )


def _sure(share: float | None, odds: float) -> bool:
    return share is not None and share >= odds


def half_width(values: Array) -> float:
    """Half of what holds 90 % of the draws that are numbers; NaN of none."""
    usable = values[np.isfinite(values)]
    if not len(usable):
        return float("nan")
    low, high = np.percentile(usable, [5.0, 95.0])
    return float(0.5 * (high - low))


def _doubt(source: str, seen: Outcome) -> Doubt:
    stress = None if seen.stress_mpa is None else half_width(seen.stress_mpa)
    return Doubt(source, half_width(seen.alpha_1e6_per_k), stress, half_width(seen.ripens_c))


def _together(doubts: tuple[Doubt, ...]) -> Doubt:
    def root(read: Callable[[Doubt], float | None]) -> float:
        return float(np.sqrt(sum((read(d) or 0.0) ** 2 for d in doubts)))

    stressed = doubts[0].stress_mpa is not None
    return Doubt(
        "together",
        root(lambda d: d.alpha_1e6_per_k),
        root(lambda d: d.stress_mpa) if stressed else None,
        root(lambda d: d.ripens_c),
    )


def share_of(part: float | None, together: float | None) -> float:
    """What one source has of the whole variance, 0 to 1."""
    if not part or not together or not np.isfinite(together):
        return 0.0
    return (part / together) ** 2


def _most_careful(effects: tuple[Effect, ...], whole: Doubt) -> Effect | None:
    """The material of which a gram moves most, by whatever it moves most."""

    def weight(effect: Effect) -> float:
        moved = effect.hundredth
        pairs = (
            (moved.alpha_1e6_per_k, whole.alpha_1e6_per_k),
            (moved.stress_mpa, whole.stress_mpa),
            (moved.hotter_c, whole.ripens_c),
        )
        return max((abs(a) / b for a, b in pairs if a is not None and b and a == a), default=0.0)

    return max(effects, key=weight, default=None)


def _wobbles(
    right: float | None, whole: float | None, effects: tuple[Effect, ...], odds: float,
    batch_g: float,
) -> tuple[str, ...]:  # fmt: skip
    """Sentences about what turns a yes into a no."""
    if right is None or whole is None or right < odds:
        return ()
    said = []
    if whole < odds:
        said.append(
            f"As written it is right with {percent(right)} odds; with weighing and the spread of "
            f"analyses, {percent(whole, odds)}: less than the {percent(odds)} asked."
        )
    for effect in effects:
        for moved in (effect.step, effect.hundredth):
            for now, sign in ((moved.right, "more"), (moved.right_less, "less")):
                if now is not None and now < odds:
                    said.append(
                        f"{moved.grams:.3g} g {sign} {effect.name} in {batch_g:g} g makes it a no "
                        f"({percent(now, odds)})."
                    )
    return tuple(said)


def _coarse(effects: tuple[Effect, ...], batch_g: float) -> list[Finding]:
    found = []
    for effect in effects:
        if effect.step_share <= _COARSE * (1.0 + 1e-9):
            continue
        needed = round_up(batch_g * effect.step_share / _COARSE)
        finer = effect.grams * _COARSE
        found.append(
            Finding(
                "scale-too-coarse",
                "caution",
                f"{effect.grams:.2g} g is too little for a scale with steps of "
                f"{effect.step.grams:g} g: half a step is {50.0 * effect.step_share:.0f} % of it. "
                f"Weigh a batch of {show_weight(needed)} of base or more, or on a scale that shows "
                f"{finer:.1g} g.",
                "a step of more than 10 % of an amount; our choice",
                effect.name,
            )
        )
    return found


def _unknown_spread(recipe: Recipe) -> list[Finding]:
    bare = [p.material.name for p in recipe.parts if p.amount and not p.material.spread_wt_percent]
    if not bare:
        return []
    return [
        Finding(
            "spread-unknown",
            "note",
            f"no spread is known of the analysis of {', '.join(dict.fromkeys(bare))}: taken as "
            "exact.",
            "the materials' files",
            recipe.name,
        )
    ]


def _never_ripe(recipe: Recipe) -> Finding:
    return Finding(
        "never-ripe",
        "warning",
        "no peak that was tried ripens it, so nothing is said of ripening.",
        "the firing shifted by 300 °C down and 500 °C up",
        recipe.name,
    )


def _conditions(bench: Bench, firing: Firing | None) -> tuple[str, ...]:
    said = [
        f"batch of {show_weight(bench.batch_g)} of base",
        f"scale with steps of {bench.step_g:g} g",
    ]
    if bench.slips:
        said.append("and every line off by a hundredth")
    if bench.body and bench.cool:
        said += [f"on {bench.body.name}", f"wall {bench.wall_mm:g} mm", bench.cool.words]
    said.append(f"coat {bench.coat.reading}")
    said.append(
        f"ripens as shifted from {firing.name}"
        if firing
        else "ripens in a firing that climbs its last 300 °C at 150 °C/h and soaks 10 min"
    )
    return tuple(said)


def _sentence(answer: ShakeAnswer) -> str:
    """What it hangs on most."""

    def most(read: Callable[[Doubt], float | None]) -> tuple[str, float]:
        whole = read(answer.together)
        worst = max(answer.doubts, key=lambda d: share_of(read(d), whole))
        return SOURCES[worst.source], share_of(read(worst), whole)

    said = []
    if answer.body is not None:
        source, share = most(lambda d: d.stress_mpa)
        said.append(f"how it fits hangs most on {source} ({percent(share)} of the doubt)")
    if answer.firing is not None or answer.body is None:
        source, share = most(lambda d: d.ripens_c)
        said.append(
            f"when it ripens, on {source} ({percent(share)})"
            if said
            else f"when it ripens hangs most on {source} ({percent(share)} of the doubt)"
        )
    if answer.body is None:
        source, share = most(lambda d: d.alpha_1e6_per_k)
        said.append(f"its expansion, on {source} ({percent(share)})")
    text = "; ".join(said) + "."
    if answer.odds is not None and answer.odds_whole is not None:
        holds = "Yes" if answer.yes else "No"
        text = (
            f"{holds}: right with {percent(answer.odds, answer.odds_asked)} odds as written, "
            f"{percent(answer.odds_whole, answer.odds_asked)} as weighed and bought; {text}"
        )
    return text[0].upper() + text[1:]
