"""Water for a bucket, by how the glaze is put on, and what the bisque does to the coat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cofire.answers.batch.pieces import PACKING, dry_coat_mm, dry_g_per_m2
from cofire.answers.batch.records import Method, Water
from cofire.answers.batch.slurry import dry_g_per_ml, read_density, slurry_ml, water_ml
from cofire.errors import QuantityError
from cofire.findings import Finding
from cofire.read.coat import Coat
from cofire.records import Body

METHODS: tuple[Method, ...] = ("dip", "pour", "brush", "spray")
#: Density to aim at where nobody says, and the range potters name, g/ml. Dip, brush and spray:
#: lists of potters (T. Buck, J. Walker), which disagree; pour: from memory. Common practice.
USUAL_G_PER_ML: dict[Method, tuple[float, float, float]] = {
    "dip": (1.50, 1.45, 1.55),
    "pour": (1.45, 1.40, 1.50),
    "brush": (1.60, 1.45, 1.65),
    "spray": (1.43, 1.42, 1.45),
}
#: From this share of the wall's pores on, a coat builds markedly slower before it is done; under
#: the low share even an unglazed other side hardly counts. Our choice.
_FULL, _EASY = 0.8, 0.3


def densities(said: Sequence[str], methods: Sequence[Method]) -> dict[Method, float]:
    """“1.5” for the first method, or “brush 1.6” for that one -> g/ml for each method.

    Raises QuantityError.
    """
    found: dict[Method, float] = {m: USUAL_G_PER_ML[m][0] for m in methods}
    for text in said:
        word, _, rest = text.strip().partition(" ")
        method = next((m for m in METHODS if m == word.lower()), None)
        if method and method not in found:
            raise QuantityError(
                f"“{text}” is a density to {method}, and nobody asked for that.",
                hint=f"Add  --method {method}",
            )
        found[method or methods[0]] = read_density(rest if method else text)
    return found


def waters(
    dry_g: float, at: Mapping[Method, float], solids: float, given: Sequence[Method] = ()
) -> tuple[Water, ...]:
    """Water and slurry for each method; ``given`` are those whose density was named."""
    return tuple(
        Water(
            method,
            density,
            water_ml(dry_g, density, solids),
            slurry_ml(dry_g, density, solids),
            _note(method, method in given),
        )
        for method, density in at.items()
    )


def _note(method: Method, given: bool) -> str:
    _, low, high = USUAL_G_PER_ML[method]
    usual = f"usual {low:.2f} to {high:.2f}"
    return f"as asked; {usual}" if given else usual


def drunk_ml_per_m2(coat: Coat, density: float, solids: float) -> float:
    """Water that has to go into the bisque for a coat to stand, ml/m²: what the slurry holds that
    makes it, less what stays between its grains (theoretical)."""
    slurry = dry_g_per_m2(coat, solids) / float(dry_g_per_ml(density, solids))
    return slurry - 1000.0 * dry_coat_mm(coat)


def bisque_finding(
    body: Body, coat: Coat, method: Method, density: float, solids: float, wall_mm: float
) -> Finding:
    """How much of the wall's pores a coat fills, and what that does."""
    water = drunk_ml_per_m2(coat, density, solids)
    thick = f"{dry_coat_mm(coat):.2g} mm dry"
    per = f"{water / 100.0:.2g} ml of water on 100 cm²"
    if body.open_porosity_percent is None:
        said = (
            f"a coat of {thick} gives the bisque {per}. How porous this clay is nobody said, so "
            "how fast the coat builds cannot be told: count the seconds on a tile."
        )
        return Finding("bisque", "note", said, "theoretical", body.name)
    low, high = body.open_porosity_percent
    holds = tuple(10.0 * wall_mm * p for p in (low, high))  # ml/m² of one face
    fills = [water / h if h > 0.0 else float("inf") for h in reversed(holds)]
    said = (
        f"a coat of {thick} at {density:.2f} g/ml gives the bisque {per}; a wall of {wall_mm:g} mm "
        f"with {low:g} to {high:g} % pores takes {holds[0] / 100.0:.2g} to "
        f"{holds[1] / 100.0:.2g} ml there, so glazing one face fills {_filled(*fills)} of it. "
    )
    if fills[0] >= 1.0:
        said += (
            "The wall is full before the coat stands: use it thicker, warm the ware, or brush and "
            "dry between coats."
        )
    elif fills[1] >= _FULL:
        said += (
            "With both faces glazed the wall is nearly full: glaze the inside, let it dry, then "
            "the outside, and expect the second coat to be thinner."
        )
    elif fills[1] >= _EASY:
        said += (
            "The first coat builds fast, a second on the wet wall slower and thinner: let it dry "
            "between inside and outside."
        )
    else:
        said += (
            f"That is thirsty: the coat builds as long as you {_act(method)}, so keep it short and "
            "even, or damp the ware first."
        )
    said += " How many seconds that takes hangs on the size of the pores: a tile tells."
    source = f"theoretical, a coat packed to {100 * PACKING:.0f} %; porosity: the body's file"
    return Finding("bisque", "note", said, source, body.name)


def _act(method: Method) -> str:
    return {"dip": "hold it under", "pour": "pour"}.get(method, f"{method} it")


def _filled(least: float, most: float) -> str:
    if least >= 1.0:
        return "more than all"
    return f"{100.0 * least:.0f} % to " + (f"{100.0 * most:.0f} %" if most < 1.0 else "all")
