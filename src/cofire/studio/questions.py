"""Questions about glazes as they are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, Literal, Unpack

from cofire.arrays import Array
from cofire.model.conditions import (
    FiringOptions,
    FitOptions,
    PairOptions,
    PlacedOptions,
    PulledOptions,
)
from cofire.studio.arguments import checked, named
from cofire.studio.opened import BodyLike, FiringLike, Opened, RecipeLike

if TYPE_CHECKING:
    from cofire.answers.blend.results import Blend
    from cofire.answers.card import CardAnswer
    from cofire.answers.firing import FiringAnswer
    from cofire.answers.formula import FormulaAnswer
    from cofire.answers.glossary import Glossary
    from cofire.answers.lustre import LustreAnswer
    from cofire.answers.map.results import MapAnswer
    from cofire.answers.results.fit import FitAnswer, FitAnswers
    from cofire.answers.results.pair import PairAnswer
    from cofire.answers.sensitivity.results import SensitivityAnswer


class Questions(Opened):
    """What glazes are like, and what they do on a body and in a firing."""

    @checked
    def formula(self, recipe: RecipeLike, *, firing: FiringLike | None = None) -> FormulaAnswer:
        """Oxides, unity formula, expansion (1e-6/K, 20-300 °C) and melt range (°C) of a recipe,
        for a firing of the shape of ``firing``. Arrays of oxides have the order of
        ``cofire.OXIDES``. Raises CofireError for what is no glaze.

        >>> studio.formula("clear-crackle").to_dict()["loi_percent"] < 10.0
        True
        """
        from cofire.answers.formula import formula

        at = self.library.firing(firing) if firing is not None else None
        return formula(self.library, self.library.recipe(recipe), at)

    @checked
    def fit(
        self,
        recipe: RecipeLike,
        body: BodyLike,
        *,
        firing: FiringLike | None = None,
        **asked: Unpack[FitOptions],
    ) -> FitAnswer:
        """Odds that a glaze crazes, sits or shivers on a body; of pulled ware also which cracks
        turn black and whether the pot survives; with a ``firing`` it also has to be ripe. Stress in
        MPa, tension positive. Other keywords: ``help(cofire.Studio.conditions)``. Raises
        CofireError.

        >>> studio.fit("clear-crackle", "raku", firing="raku-workshop", wall_mm=6).yes
        True
        """
        return self.rank([recipe], body, firing=firing, **asked).glazes[0]

    @checked
    def rank(
        self,
        recipes: Sequence[RecipeLike],
        body: BodyLike,
        *,
        firing: FiringLike | None = None,
        **asked: Unpack[FitOptions],
    ) -> FitAnswers:
        """As ``fit`` of several glazes on one body, most tension first. Raises CofireError.

        >>> [one.recipe.id for one in studio.rank(["frit-gloss", "clear-crackle"], "raku").glazes]
        ['clear-crackle', 'frit-gloss']
        """
        from cofire.answers.fit import fits

        at = self.conditions(body=body, firing=firing, **asked)
        return fits(
            self.library, self._recipes(recipes, things="glazes on one body", bought=True), at
        )

    @checked
    def pair(
        self,
        recipes: RecipeLike | Sequence[RecipeLike],
        firing: FiringLike,
        *,
        body: BodyLike | None = None,
        **asked: Unpack[PairOptions],
    ) -> PairAnswer:
        """Whether glazes ripen together in a firing, at the first and the last pull, and fit the
        body if one is named. Other keywords: ``help(cofire.Studio.conditions)``. Raises
        CofireError.

        >>> studio.pair(["frit-gloss", "does-not-work"], "raku-workshop").yes
        False
        """
        from cofire.answers.pair import pair

        at = self.conditions(body=body, firing=firing, **asked)
        return pair(self.library, self._recipes(recipes, bought=True), at)

    @checked
    def firing(
        self,
        firing: FiringLike,
        recipes: RecipeLike | Sequence[RecipeLike] = (),
        **asked: Unpack[FiringOptions],
    ) -> FiringAnswer:
        """A firing over time: what to key in, loads, cones, energy (kWh), and how ripe ``recipes``
        are along it. Times in minutes from the start, temperatures in °C. Raises CofireError.

        >>> round(studio.firing("raku-workshop").loads[0].ware_c) > 850
        True
        """
        from cofire.answers.firing import firing_answer

        at = self.conditions(firing=firing, **asked)
        return firing_answer(self.library, self._recipes(recipes, least=0, bought=True), at)

    @checked
    def blend(
        self,
        recipes: RecipeLike | Sequence[RecipeLike],
        additions: Sequence[str] = (),
        *,
        steps: int = 5,
        slurry: Sequence[str] = (),
        cup: str | None = None,
        scale: str | None = None,
        tiles: int | None = None,
        **asked: Unpack[PlacedOptions],
    ) -> Blend:
        """Mixtures of two to four glazes, or of additions such as “tin oxide 0-8” (per cent of the
        base) to one, in ``steps`` parts between corners, 1 to 20.

        ``slurry``: densities, “1.45” g/ml, to mix by volume. ``cup``: what goes into cups of
        “50 g” or “60 ml”, read to ``scale``. ``tiles``: which of the points to fire, if only so
        many can be. Raises CofireError.

        >>> studio.blend(["clear-crackle", "frit-gloss"], steps=3).to_dict()["steps"]
        3
        """
        from cofire.answers.blend.additions import read_addition
        from cofire.answers.blend.blend import blend
        from cofire.answers.blend.points import read_cup, read_slurry
        from cofire.answers.blend.results import Plan
        from cofire.errors import refusal

        glazes = self._recipes(recipes)
        if scale is not None and cup is None:
            raise refusal("scale-without-cup")
        plan = Plan(
            glazes,
            [read_addition(self.library, text) for text in additions],
            steps,
            read_slurry(slurry, len(glazes)) if slurry else None,
        )
        # additions go by weight even into a cup of slurry
        cup_read = None if cup is None else read_cup(cup, scale, additions=bool(additions))
        return blend(self.library, plan, self.conditions(**asked), cup=cup_read, tiles=tiles)

    @checked
    def map(
        self,
        recipe: RecipeLike,
        across: str = "silica",
        up: str = "kaolin",
        *,
        show: str | None = None,
        **asked: Unpack[PlacedOptions],
    ) -> MapAnswer:
        """One quantity over two materials or two oxides, such as “silica 10-40” (per cent of the
        base), “+ tin oxide 0-8” (on top) or “SiO2 2-5” (moles to one of flux). ``show`` is what is
        mapped: “expansion”, “stress”, “ripe” … Raises CofireError.

        >>> studio.map("frit-gloss", "silica 5-30", "kaolin 5-20").to_dict()["show"]
        'expansion'
        """
        from cofire.answers.map.family_map import family_map

        at = self.conditions(**asked)
        return family_map(self.library, self.library.recipe(recipe), (across, up), at, show)

    @checked
    def shake(
        self,
        recipe: RecipeLike,
        *,
        batch: str | None = None,
        batch_g: float | None = None,
        scale: str | None = None,
        scale_g: float | None = None,
        slips: bool = False,
        **asked: Unpack[PlacedOptions],
    ) -> SensitivityAnswer:
        """How far an answer moves with weighing, analyses, models, coat, kiln and clay.

        ``batch`` is what is weighed out of the base, 100 g if not said; ``scale`` the step of the
        scale, 0.1 g; with ``slips`` every line may also be off by a hundredth. Raises CofireError.

        >>> studio.shake("frit-gloss", batch_g=200, body="raku").yes in (True, False)
        True
        """
        from cofire.answers.sensitivity.sensitivity import sensitivity
        from cofire.answers.sensitivity.sources import WeighingPlan
        from cofire.read.number import quantity_text
        from cofire.read.units import grams

        given = {"batch": batch, "batch_g": batch_g, "scale": scale, "scale_g": scale_g}
        whole_g = grams(quantity_text(given, "batch", "g") or "100 g")
        step_g = grams(quantity_text(given, "scale", "g") or "0.1 g")
        weighing = WeighingPlan(self.library.recipe(recipe), whole_g, step_g, slips)
        return sensitivity(self.library, weighing, self.conditions(**asked))

    @checked
    def lustre(
        self,
        recipe: RecipeLike,
        *,
        process: Literal["paste", "glaze", "resinate"] | None = None,
        firing: FiringLike | None = None,
        **asked: Unpack[PulledOptions],
    ) -> LustreAnswer:
        """Between which temperatures (°C) a lustre can be reduced: metal in a ``process`` “paste”
        on a fired glaze or in the “glaze”, or a bought “resinate”. With a ``firing`` also when a
        pulled pot (s) and a closed kiln (min) are in that window. Raises CofireError, also where
        nothing can turn.

        >>> studio.lustre("copper-lustre").metal_moves_from_c.value > 400.0
        True
        """
        from cofire.answers.lustre import lustre

        at = self.conditions(firing=firing, **asked)
        return lustre(self.library, self.library.glaze(recipe), at, process)

    @checked
    def explain(self, word: str | None = None) -> Glossary:
        """What a word on the screen means, or all words that are explained, with their sources.
        Raises CofireError with the nearest words.

        >>> studio.explain("crazing").words[0].means[:11]
        'Fine cracks'
        """
        from cofire.answers.glossary import explain, glossary

        return glossary() if word is None else explain(word)

    @checked
    def card(self) -> CardAnswer:
        """How far the glass models, and published tables, miss on glasses they never saw.

        >>> "expansion" in str(studio.card().to_dict())
        True
        """
        from cofire.answers.card import card

        return card()

    @staticmethod
    @named
    def predict(
        compositions: Any,
        basis: Literal["mol", "wt"],
        *,
        temperature_c: Sequence[float] | None = None,
        level: float = 0.9,
        ignore: Iterable[str] = (),
    ) -> dict[str, Array]:
        """Columns of oxide amounts (any total), in a dictionary or a data frame -> columns of
        properties, as ``cofire predict`` (expansions in 1e-6/K).

        Intervals hold with probability ``level``, 0.5 to 0.99. Raises CompositionError for columns
        that are no oxides and do not stand in ``ignore``, for amounts below zero or missing, and
        for temperatures beyond 0 to 2500 °C.

        >>> glasses = {"SiO2": [70, 60], "Na2O": [20, 25], "CaO": [10, 15]}
        >>> studio.predict(glasses, "mol")["expansion"].round(1)
        array([11.1, 13.5])
        """
        from cofire.answers.predict import predict

        return predict(compositions, basis, temperature_c, level, ignore)
