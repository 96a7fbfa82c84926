"""The Python API: the main answers of the command line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Unpack

import numpy as np

from cofire.answers.check import CheckAnswer
from cofire.answers.check import check as check_files
from cofire.answers.fit import fit as answer_fit
from cofire.answers.formula import FormulaAnswer
from cofire.answers.formula import formula as answer_formula
from cofire.answers.pair import pair as answer_pair
from cofire.answers.results.fit import FitAnswer
from cofire.answers.results.pair import PairAnswer
from cofire.arrays import Array
from cofire.chem.composition import mol_from_wt
from cofire.chem.oxides import OXIDES
from cofire.errors import CompositionError
from cofire.files.certificates import oxide_mass, to_counted
from cofire.files.library import Library
from cofire.model.conditions import Asked, AskedOfWare, Conditions
from cofire.read.units import grams
from cofire.records import Material, Recipe

if TYPE_CHECKING:
    from cofire.answers.blend.results import Blend
    from cofire.answers.firing import FiringAnswer
    from cofire.answers.lustre import LustreAnswer
    from cofire.answers.map.results import MapAnswer
    from cofire.answers.results.adjust import AdjustAnswer
    from cofire.answers.sensitivity.results import SensitivityAnswer
    from cofire.answers.swap import SwapAnswer

Named = str | Path


class Studio:
    """A person's own folder (or none) together with all that is shipped.

    Recipes, bodies and firings are named as on the command line: by id, name or file. All
    methods raise ``cofire.CofireError`` with a sentence for people when an input is wrong.
    """

    def __init__(self, folder: Path | str | None = None) -> None:
        self.library = Library.open(folder)

    def materials(self) -> dict[str, Material]:
        """All materials by id; oxides in wt % of the raw material."""
        return dict(self.library.materials)

    def recipe(self, name: Named) -> Recipe:
        """A recipe with its materials resolved."""
        return self.library.recipe(name)

    def formula(self, recipe: Named, *, firing: Named | None = None) -> FormulaAnswer:
        """Oxides, unity formula, expansion (1e-6/K, 20-300 °C) and melt range (°C) of a recipe."""
        return answer_formula(
            self.library,
            self.library.recipe(recipe),
            self.library.firing(firing) if firing else None,
        )

    def conditions(self, **asked: Unpack[Asked]) -> Conditions:
        """Conditions as the command line reads them: ``body``, ``firing``, ``kiln``, ``load``,
        ``wall``, ``shape``, ``cooling``, ``coat``, ``odds`` …"""
        return Conditions.read(self.library, **asked)

    def fit(
        self,
        recipe: Named,
        body: Named,
        *,
        firing: Named | None = None,
        **asked: Unpack[AskedOfWare],
    ) -> FitAnswer:
        """Odds that a glaze crazes, sits or shivers on a body; of pulled ware also which cracks
        turn black and whether the pot survives; with a ``firing`` it also has to be ripe."""
        at = self.conditions(body=body, firing=firing, **asked)
        return answer_fit(self.library, self.library.recipe(recipe), at)

    def pair(
        self,
        recipes: Named | Sequence[Named],
        firing: Named,
        *,
        body: Named | None = None,
        **asked: Unpack[AskedOfWare],
    ) -> PairAnswer:
        """Whether glazes ripen together in a firing, and fit the body if one is named."""
        at = self.conditions(body=body, firing=firing, **asked)
        named = [recipes] if isinstance(recipes, str | Path) else list(recipes)
        return answer_pair(self.library, [self.library.recipe(r) for r in named], at)

    def check(self, *paths: Path) -> CheckAnswer:
        """Problems in these files, or in the studio's and all shipped ones."""
        return check_files(self.library, list(paths))

    def firing(
        self, firing: Named, recipes: Sequence[Named] = (), **asked: Unpack[AskedOfWare]
    ) -> FiringAnswer:
        """A firing over time: what to key in, loads, cones, energy (kWh) and ripeness along it."""
        from cofire.answers.firing import firing_answer

        at = self.conditions(firing=firing, **asked)
        return firing_answer(self.library, [self.library.recipe(r) for r in recipes], at)

    def adjust(
        self,
        recipe: Named,
        targets: Sequence[str] = (),
        *,
        allowed: Sequence[str] = (),
        **asked: Unpack[Asked],
    ) -> AdjustAnswer:
        """The nearest recipes that meet targets such as “expansion 7.2” or “fits”; from the
        ``allowed`` materials, or all that are usual."""
        from cofire.answers.adjust import adjust
        from cofire.answers.change.available_materials import available_materials
        from cofire.answers.change.problem import Allowed
        from cofire.answers.change.targets import read_target

        glaze = self.library.recipe(recipe)
        return adjust(
            self.library,
            glaze,
            [read_target(target, self.library, glaze) for target in targets],
            self.conditions(**asked),
            Allowed(available_materials(self.library, allowed)),
        )

    def swap(self, recipe: Named, gone: str, *, allowed: Sequence[str] = ()) -> SwapAnswer:
        """A recipe rebuilt without one of its materials."""
        from cofire.answers.change.available_materials import available_materials
        from cofire.answers.change.targets import material_meant
        from cofire.answers.swap import swap

        glaze = self.library.recipe(recipe)
        material = material_meant(gone, self.library, glaze)
        return swap(self.library, glaze, material, available_materials(self.library, allowed))

    def blend(
        self,
        recipes: Sequence[Named],
        additions: Sequence[str] = (),
        *,
        steps: int = 5,
        **asked: Unpack[Asked],
    ) -> Blend:
        """Mixtures of two to four glazes, or of additions such as “tin oxide 0-8” to one."""
        from cofire.answers.blend.additions import read_addition
        from cofire.answers.blend.blend import blend
        from cofire.answers.blend.results import Plan

        plan = Plan(
            [self.library.recipe(r) for r in recipes],
            [read_addition(self.library, text) for text in additions],
            steps,
        )
        return blend(self.library, plan, self.conditions(**asked))

    def map(
        self,
        recipe: Named,
        across: str = "silica",
        up: str = "kaolin",
        *,
        show: str | None = None,
        **asked: Unpack[Asked],
    ) -> MapAnswer:
        """One quantity over two materials or two oxides, such as “silica 10-40” or “SiO2 2-5”."""
        from cofire.answers.map.family_map import family_map

        at = self.conditions(**asked)
        return family_map(self.library, self.library.recipe(recipe), (across, up), at, show)

    def shake(
        self,
        recipe: Named,
        *,
        batch: str = "100 g",
        scale: str = "0.1 g",
        slips: bool = False,
        **asked: Unpack[Asked],
    ) -> SensitivityAnswer:
        """How far an answer moves with weighing, analyses, models, coat, kiln and clay."""
        from cofire.answers.sensitivity.sensitivity import sensitivity
        from cofire.answers.sensitivity.sources import WeighingPlan

        weighing = WeighingPlan(self.library.recipe(recipe), grams(batch), grams(scale), slips)
        return sensitivity(self.library, weighing, self.conditions(**asked))

    def lustre(self, recipe: Named, **asked: Unpack[Asked]) -> LustreAnswer:
        """Between which temperatures (°C) a lustre glaze can be reduced."""
        from cofire.answers.lustre import lustre

        return lustre(self.library, self.library.recipe(recipe), self.conditions(**asked))

    @staticmethod
    def predict(
        compositions: Mapping[str, Sequence[float]],
        basis: Literal["mol", "wt"],
        *,
        temperature_c: Sequence[float] | None = None,
    ) -> dict[str, Array]:
        """Columns of oxide amounts (any total) -> columns of properties, as ``cofire predict``.

        Raises CompositionError for a column that is no oxide or an amount below zero.
        """
        from cofire.answers.predict import properties

        if basis not in ("mol", "wt"):
            raise CompositionError(f"“{basis}” is not a known basis.", hint="Write “mol” or “wt”.")
        rows = {len(column) for column in compositions.values()}
        if len(rows) != 1:
            raise CompositionError("the columns are not equally long.", hint="One value a glaze.")
        amounts = np.zeros((rows.pop(), len(OXIDES)))
        for name, column in compositions.items():
            try:
                counted = to_counted(name)
            except ValueError as problem:
                raise CompositionError(f"{problem}.", hint="Name columns like SiO2.") from None
            if counted is None:
                continue
            oxide, moles = counted
            values = np.asarray(column, dtype=float)
            if not (np.isfinite(values).all() and (values >= 0.0).all()):
                raise CompositionError(f"{name} holds a negative or missing amount.")
            factor = moles if basis == "mol" else moles * oxide_mass(oxide) / oxide_mass(name)
            amounts[:, OXIDES.index(oxide)] += factor * values
        at = None if temperature_c is None else np.asarray(temperature_c, dtype=float)
        return properties(mol_from_wt(amounts) if basis == "wt" else amounts, at)
