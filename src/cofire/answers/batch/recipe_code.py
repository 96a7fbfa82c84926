"""A short code of one version of a recipe, the same on every machine."""

from __future__ import annotations

import hashlib

from cofire.records import Recipe

#: Nothing that is taken for something else when it is written on a lid with a wet hand.
_LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
#: 32 letters in six places: two recipes of a book of a thousand share one with odds of 1 in 2000.
_LENGTH = 6


def recipe_code(recipe: Recipe) -> str:
    """Six letters that depend on the amounts per 100 of the base and on the analyses; not on names,
    notes, order or total."""
    lines = sorted(
        f"{kind} {part.material.id} {recipe.percent(part):.6g} "
        + " ".join(f"{o}{v:.6g}" for o, v in sorted(part.material.oxides_wt_percent.items()))
        + f" loi{part.material.loi_percent:.6g}"
        for kind, parts in (("base", recipe.base), ("add", recipe.additions))
        for part in parts
        if part.amount > 0.0
    )
    number = int.from_bytes(hashlib.sha256("\n".join(lines).encode()).digest()[:8], "big")
    letters = ""
    for _ in range(_LENGTH):
        number, k = divmod(number, len(_LETTERS))
        letters += _LETTERS[k]
    return letters
