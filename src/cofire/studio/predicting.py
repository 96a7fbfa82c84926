"""Properties of tables of glasses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np

from cofire.arrays import Array
from cofire.chem.composition import mol_from_wt
from cofire.chem.oxides import OXIDES
from cofire.errors import CompositionError
from cofire.files.certificates import oxide_mass, to_counted


class Predicting:
    """Glasses without recipes."""

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
