"""The Python API: everything the command line answers, without the command line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from cofire.answers.check import CheckAnswer
from cofire.answers.check import check as check_files
from cofire.answers.fit import FitAnswer
from cofire.answers.fit import fit as answer_fit
from cofire.answers.formula import FormulaAnswer
from cofire.answers.formula import formula as answer_formula
from cofire.answers.pair import PairAnswer
from cofire.answers.pair import pair as answer_pair
from cofire.arrays import Array
from cofire.chem.composition import mol_from_wt
from cofire.chem.oxides import OXIDES
from cofire.errors import CompositionError
from cofire.files.certificates import oxide_mass, to_counted
from cofire.files.library import Library
from cofire.read.coat import DEFAULT, read_coat
from cofire.read.units import grams, millimetres
from cofire.records import Material, Recipe, Shape

if TYPE_CHECKING:
    from cofire.answers.adjust import AdjustAnswer
    from cofire.answers.firing import FiringAnswer
    from cofire.answers.lustre import LustreAnswer
    from cofire.answers.swap import SwapAnswer
    from cofire.read.coat import Coat

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

    def fit(
        self,
        recipe: Named,
        body: Named,
        *,
        firing: Named | None = None,
        coat: str | None = None,
        wall: str = "6 mm",
        odds: float = 0.8,
        shape: Shape = "pot",
        cooling: str | None = None,
    ) -> FitAnswer:
        """Odds that a glaze crazes, sits or shivers on a body; of pulled ware also which cracks
        turn black and whether the pot survives. ``cooling``: “100 C/h” or “20 s air, 30 min bin,
        water”."""
        return answer_fit(
            self.library,
            self.library.recipe(recipe),
            self.library.body(body),
            firing=self.library.firing(firing) if firing else None,
            coat=_coat(coat),
            wall_mm=millimetres(wall),
            odds=odds,
            shape=shape,
            cooled=cooling,
        )

    def pair(
        self,
        recipes: Sequence[Named],
        firing: Named,
        *,
        body: Named | None = None,
        coat: str | None = None,
        wall: str = "6 mm",
        odds: float = 0.8,
    ) -> PairAnswer:
        """Whether glazes ripen together in a firing, and fit the body if one is named."""
        return answer_pair(
            self.library,
            [self.library.recipe(r) for r in recipes],
            self.library.firing(firing),
            self.library.body(body) if body else None,
            coat=_coat(coat),
            wall_mm=millimetres(wall),
            odds=odds,
        )

    def check(self, *paths: Path) -> CheckAnswer:
        """Problems in these files, or in the studio's and all shipped ones."""
        return check_files(self.library, list(paths))

    def firing(
        self,
        firing: Named,
        recipes: Sequence[Named] = (),
        *,
        kiln: Named | None = None,
        load: str | None = None,
        coat: str | None = None,
        wall: str = "6 mm",
    ) -> FiringAnswer:
        """A firing over time: what to key in, loads, cones, energy (kWh) and ripeness along it."""
        from cofire.answers.firing import firing_answer, with_changes

        changed = with_changes(
            self.library.firing(firing),
            self.library.kiln(kiln) if kiln else None,
            None if load is None else grams(load) / 1000.0,
            None,
        )
        return firing_answer(
            self.library,
            changed,
            [self.library.recipe(r) for r in recipes],
            coat=_coat(coat),
            wall_mm=millimetres(wall),
        )

    def adjust(
        self,
        recipe: Named,
        wishes: Sequence[str],
        *,
        body: Named | None = None,
        firing: Named | None = None,
        shelf: Sequence[str] = (),
        coat: str | None = None,
        wall: str = "6 mm",
        cooling: str | None = None,
        odds: float = 0.8,
    ) -> AdjustAnswer:
        """The nearest recipes that meet wishes such as “expansion 7.2” or “fits”; from materials in
        ``shelf``, or all that are usual."""
        from cofire.answers.adjust import adjust
        from cofire.answers.change.available_materials import at_hand
        from cofire.answers.change.targets import read_wish

        glaze = self.library.recipe(recipe)
        return adjust(
            self.library,
            glaze,
            [read_wish(wish, self.library, glaze) for wish in wishes],
            at_hand(self.library, shelf),
            body=self.library.body(body) if body else None,
            firing=self.library.firing(firing) if firing else None,
            coat=_coat(coat),
            wall_mm=millimetres(wall),
            cooled=cooling,
            odds=odds,
        )

    def swap(self, recipe: Named, gone: str, *, shelf: Sequence[str] = ()) -> SwapAnswer:
        """A recipe rebuilt without one of its materials."""
        from cofire.answers.change.available_materials import at_hand
        from cofire.answers.change.targets import material_meant
        from cofire.answers.swap import swap

        glaze = self.library.recipe(recipe)
        material = material_meant(gone, self.library, glaze)
        return swap(self.library, glaze, material, at_hand(self.library, shelf))

    def lustre(self, recipe: Named, *, firing: Named | None = None) -> LustreAnswer:
        """Between which temperatures (°C) a lustre glaze can be reduced."""
        from cofire.answers.lustre import lustre

        return lustre(
            self.library,
            self.library.recipe(recipe),
            self.library.firing(firing) if firing else None,
        )

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


def _coat(text: str | None) -> Coat:
    return DEFAULT if text is None else read_coat(text)
