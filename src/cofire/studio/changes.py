"""Recipes changed on purpose."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Unpack

from cofire.model.conditions import PlacedOptions
from cofire.most import at_most
from cofire.records import Material, Recipe, Surface
from cofire.studio.arguments import checked
from cofire.studio.opened import Opened, RecipeLike, file_of

if TYPE_CHECKING:
    from cofire.answers.compose import ComposeAnswer
    from cofire.answers.levers import LeversAnswer
    from cofire.answers.results.adjust import AdjustAnswer
    from cofire.answers.swap import SwapAnswers


class Changes(Opened):
    """The nearest recipe that does what is wanted."""

    @checked
    def adjust(
        self,
        recipe: RecipeLike,
        targets: Sequence[str] = (),
        *,
        allowed: Sequence[str] | Literal["stock"] | None = None,
        keep: Sequence[str] = (),
        without: Sequence[str] = (),
        surface: Surface | None = None,
        **asked: Unpack[PlacedOptions],
    ) -> AdjustAnswer:
        """The nearest recipes that meet ``targets`` such as “expansion 7.2”, “black crackle 8 mm”,
        “ripe at 920 C” or “cost at most 0.40” (for 100 g).

        ``allowed`` are the materials that may come in: all usual ones where nothing is said, none
        for an empty list; “stock” are those of which stock.toml says that some is left. ``keep``
        leaves amounts as they are, ``without`` leaves materials out. With a ``body`` it also has to
        do what its ``surface`` wants of it, with a ``firing`` to be ripe at every pull. Raises
        CofireError.

        >>> studio.adjust("clear-crackle", ["expansion 7.5"]).proposals[0].meets_all
        True
        """
        from cofire.answers.adjust import adjust
        from cofire.answers.change.problem import Allowed
        from cofire.answers.change.relative_targets import read_target
        from cofire.answers.change.targets import material_meant

        at_most("targets", len(targets))
        lib, glaze = self.library, self.library.recipe(recipe)
        glaze = replace(glaze, surface=surface) if surface else glaze
        at = self.conditions(**asked)
        read = [read_target(target, lib, glaze, at) for target in targets]
        return adjust(
            lib,
            glaze,
            read,
            at,
            Allowed(
                candidates=self._allowed(allowed),
                kept=[material_meant(name, lib, glaze) for name in keep],
                left_out=[material_meant(name, lib, glaze) for name in without],
                prices=self._prices() if any(one.kind == "cost" for one in read) else {},
            ),
        )

    @checked
    def levers(
        self,
        recipe: RecipeLike,
        want: str,
        *,
        allowed: Sequence[str] | Literal["stock"] | None = None,
        **asked: Unpack[PlacedOptions],
    ) -> LeversAnswer:
        """How far glaze, coat, air, bin, wall and clay each go alone towards one wish such as
        “black crackle 15 mm” or “crazes at most 10 %”, and the cheapest two of them.

        ``allowed`` as in ``adjust``. Raises CofireError.

        >>> studio.levers("frit-gloss", "stress at most 0", body="raku").levers[0].name
        'coat'
        """
        from cofire.answers.change.problem import Allowed
        from cofire.answers.change.relative_targets import read_target
        from cofire.answers.levers import levers

        lib, glaze, at = self.library, self.library.recipe(recipe), self.conditions(**asked)
        target = read_target(want, lib, glaze, at)
        return levers(lib, glaze, target, at, Allowed(candidates=self._allowed(allowed)))

    @checked
    def swap(
        self,
        recipes: RecipeLike | Sequence[RecipeLike] | None,
        gone: str,
        *,
        allowed: Sequence[str] | Literal["stock"] | None = None,
        progress: Callable[[Sequence[Recipe]], Iterable[Recipe]] = iter,
    ) -> SwapAnswers:
        """Recipes rebuilt without a material that is ``gone``; None means all that hold it.

        ``allowed`` as in ``adjust``. ``progress`` wraps the recipes while they are worked on.
        Raises CofireError.

        >>> studio.swap("white-crackle", "natural borate").recipes[0].without.id
        'natural-borate'
        """
        from cofire.answers.change.targets import material_meant
        from cofire.answers.swap import holding, swap_all

        if recipes is None:
            material, _ = self.library.material(gone)
            glazes = holding(self.library, material)
        else:
            glazes = self._recipes(recipes, things="glazes to swap")
            material = material_meant(gone, self.library, glazes[0])
        return swap_all(self.library, glazes, material, self._allowed(allowed), progress)

    @checked
    def compose(
        self,
        formula: RecipeLike,
        *,
        allowed: Sequence[str] | Literal["stock"] | None = None,
        most: int = 6,
    ) -> ComposeAnswer:
        """Recipes that make a unity formula, “0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2”, or that of a
        recipe; of the ``allowed`` materials, or else of at most ``most``. Raises CofireError.

        >>> studio.compose("0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2, 0.3 B2O3").yes
        True
        """
        from cofire.answers.compose import compose, read_unity
        from cofire.chem.oxides import APART, INDEX
        from cofire.errors import UnknownNameError, refusal
        from cofire.model.analysis import analyse

        if not 1 <= most <= 12:
            raise refusal("most-materials", most=most)
        own: list[Material] = []
        try:
            recipe = self.library.recipe(formula)
            wanted, own = analyse(recipe).unity, [part.material for part in recipe.parts]
        except UnknownNameError:
            if not isinstance(formula, str):
                raise
            wanted = read_unity(formula)
        rare = [o for o in APART if wanted[INDEX[o]] > 0.0]
        candidates = self._allowed(allowed, rare)
        if allowed is None:
            candidates += [m for m in own if m not in candidates]
        return compose(
            self.library,
            wanted,
            candidates,
            chosen=bool(allowed) and allowed != "stock",
            most=most,
            of=own,
        )

    @checked
    def save(self, recipe: RecipeLike, file: str | Path, notes: str = "") -> Path:
        """Write a recipe to a new ``file`` that ends in .toml, whole or not at all; returns its
        path. Raises CofireError where one is there already.

        >>> better = studio.adjust("clear-crackle", ["expansion 7.5"]).proposals[0].recipe
        >>> studio.save(better, "recipes/better.toml").name
        'better.toml'
        """
        from cofire.files.recipe_writer import write_recipe

        path = file_of(file)
        write_recipe(path, self.library.recipe(recipe), notes)
        return path

    def _prices(self) -> dict[str, float]:
        """What a kg of each material costs, where stock.toml says so."""
        from cofire.files.stock import read_stock

        shelf = read_stock(self.library).shelf
        return {k: v.price_per_kg for k, v in shelf.items() if v.price_per_kg is not None}
