"""Water for a bucket by method of application, and the effect of the bisque on the coat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cofire.answers.batch.pieces import PACKING, dry_coat_mm, dry_g_per_m2
from cofire.answers.batch.records import Bucket, Method, Water
from cofire.answers.findings.texts import finding, wording
from cofire.errors import refusal
from cofire.findings import Finding
from cofire.model.slurry import dry_g_per_ml, read_density, slurry_ml, water_ml
from cofire.read.coat import Coat
from cofire.records import Body

METHODS: tuple[Method, ...] = ("dip", "pour", "brush", "spray")
#: Density to aim at by default, and the range potters name, g/ml. Dip, brush and spray:
#: lists of potters (T. Buck, J. Walker), which disagree; pour: from memory. Common practice.
USUAL_G_PER_ML: dict[Method, tuple[float, float, float]] = {
    "dip": (1.50, 1.45, 1.55),
    "pour": (1.45, 1.40, 1.50),
    "brush": (1.60, 1.45, 1.65),
    "spray": (1.43, 1.42, 1.45),
}
#: A bucket that can be stirred is filled to three quarters (teaching pages of two potteries).
FILL = 0.75
#: From this share of the wall's pores on, a coat builds markedly slower before it is done; under
#: the low share even an unglazed other side counts little. Our choice.
_FULL, _EASY = 0.8, 0.3


def densities(texts: Sequence[str], methods: Sequence[Method]) -> dict[Method, float]:
    """“1.5” for the first method, or “brush 1.6” for that one -> g/ml for each method.

    Raises QuantityError.
    """
    result: dict[Method, float] = {m: USUAL_G_PER_ML[m][0] for m in methods}
    given: set[Method] = set()
    for text in texts:
        word, _, rest = text.strip().partition(" ")
        method = next((m for m in METHODS if m == word.lower()), None)
        if method and method not in result:
            raise refusal("density-of-other-method", text=text, method=method)
        meant = method or methods[0]
        if meant in given:
            raise refusal("density-twice", method=meant)
        given.add(meant)
        result[meant] = read_density(rest if method else text)
    return result


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
    """Water that the bisque takes up from a coat, ml/m²: the water of its slurry, less the water
    left between its grains (theoretical)."""
    slurry = dry_g_per_m2(coat, solids) / float(dry_g_per_ml(density, solids))
    return slurry - 1000.0 * dry_coat_mm(coat)


def bisque_finding(
    body: Body, coat: Coat, method: Method, density: float, solids: float, wall_mm: float
) -> Finding:
    """The share of the wall's pores that a coat fills, and what follows."""
    water = drunk_ml_per_m2(coat, density, solids)
    about = {"coat_mm": dry_coat_mm(coat), "water": water / 100.0}
    if body.open_porosity_percent is None:
        return finding("bisque-unknown", body.name, **about)
    low, high = body.open_porosity_percent
    takes = tuple(10.0 * wall_mm * p for p in (low, high))  # ml/m² of one face
    fills = [water / t if t > 0.0 else float("inf") for t in reversed(takes)]
    advice = "absorbent"
    if fills[0] >= 1.0:
        advice = "full"
    elif fills[1] >= _FULL:
        advice = "nearly"
    elif fills[1] >= _EASY:
        advice = "fast"
    return finding(
        "bisque",
        body.name,
        density=density,
        wall_mm=wall_mm,
        low=low,
        high=high,
        takes_low=takes[0] / 100.0,
        takes_high=takes[1] / 100.0,
        filled=_filled(*fills),
        advice=wording("bisque", advice, act=_act(method)),
        packing=100 * PACKING,
        **about,
    )


def _act(method: Method) -> str:
    return {"dip": "hold it under", "pour": "pour"}.get(method, f"{method} it")


def _filled(least: float, most: float) -> str:
    if least >= 1.0:
        return "more than all"
    return f"{100.0 * least:.0f} % to " + (f"{100.0 * most:.0f} %" if most < 1.0 else "all")


def most_ml(buckets: Sequence[Bucket]) -> float:
    """The largest volume of a sheet, ml: the room that its fullest bucket needs."""
    return max(w.slurry_ml for bucket in buckets for w in bucket.waters) / FILL


def measure_ml(buckets: Sequence[Bucket]) -> float:
    """What to weigh for the density, ml: a litre where every bucket holds two, or 100 ml."""
    least = min(w.slurry_ml for bucket in buckets for w in bucket.waters)
    return 1000.0 if least >= 2000.0 else 100.0
