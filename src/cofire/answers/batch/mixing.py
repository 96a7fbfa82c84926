"""How a glaze is mixed and kept: what its own materials ask for, in order, in whole sentences.

All of it is common practice without a source, unless a line says otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cofire.answers.batch.records import Bucket, Method, Water
from cofire.material_kinds import (
    bentonite_missing,
    is_borate,
    is_gel,
    is_soluble,
    percent_of,
    settles,
)
from cofire.records import Material, Recipe
from cofire.words import listed, volume

#: A glaze gels from this share of such borates on, per cent of the base; common practice, no
#: source.
_GELS_PERCENT = 10.0
#: Water to start with, ml per g of dry glaze (potters' lists; J. Post).
START_ML_PER_G = 1.0
#: A bucket that can be stirred is filled to three quarters (outpostpottery; lmosley.com).
FILL = 0.75
#: Share of alkaline frit, nepheline or soda that thins a slurry until it sets hard, per cent;
#: common practice, no source.
_THINS_PERCENT = 40.0


def start_ml(dry_g: float, waters: Sequence[Water]) -> float:
    """Water to begin with, ml: less than any way to apply it needs, so that nothing has to come
    out again."""
    return min([START_ML_PER_G * dry_g, *(0.9 * w.water_ml for w in waters)])


def mixing_steps(recipe: Recipe, bucket: Bucket, school: bool) -> tuple[str, ...]:
    """What to do with one bucket, in order."""
    dissolving = _names(recipe, is_soluble)
    gels = percent_of(recipe, is_borate) >= _GELS_PERCENT
    begin = start_ml(float(bucket.total_g), bucket.waters)
    most = max(w.slurry_ml for w in bucket.waters)
    vessel = "bucket" if most > 1000.0 else "jar"
    steps = [
        f"Take a {vessel} of at least {volume(most / FILL)}, so that a quarter stays free for "
        f"stirring, and pour in {volume(begin)} of water."
    ]
    if dissolving:
        own = "a little of it, warm" if begin > 50.0 else "warm water"
        steps.append(
            f"Dissolve {listed(dissolving)} in {own}, first, and stir until no grain is left."
        )
    if swelling := _names(recipe, is_gel):
        steps.append(
            f"Mix {listed(swelling)} dry with another powder in a closed bag or jar before it "
            "meets water: alone it makes lumps."
        )
    steps.append(
        "Weigh one line at a time, tick it, and slide the powder low into the water. Never pour "
        "water on powder: that raises dust."
    )
    if gels:
        steps += _gelling(dissolving)
    else:
        steps.append(
            "Let it stand until all powder is wet, half an hour at least and better overnight; "
            "then stir."
        )
        mesh, why = _mesh(recipe)
        steps.append(
            f"Sieve it twice through {mesh} mesh{why}; what stays on it is rubbed through, not "
            "thrown away: it is part of the recipe."
        )
    steps.append(
        "Weigh a measured 100 ml, write its density on the sheet, and add water little by little "
        "until it is the one wanted."
    )
    if school:
        steps.append("Wipe tables and tools wet, wash hands and forearms; nobody sweeps dry.")
    return tuple(steps)


def _gelling(dissolving: list[str]) -> list[str]:
    second = (
        f"Let it stand another day. Pour nothing off: {listed(dissolving)} would go with the water."
        if dissolving
        else "Pour off the clear water on top, keep it for thinning, and let the rest stand "
        "another day."
    )
    return [
        # a supplier's instructions for raku glazes rich in natural borate, nmclay.com
        "Let it slake for 24 hours: the borate swells and thickens.",
        second,
        "Sieve it twice through 30 to 40 mesh.",
        "Stir hard before you add any water: it stands like jelly and runs once it is moved. "
        "Water poured on the jelly makes a coat that cracks as it dries.",
    ]


def _mesh(recipe: Recipe) -> tuple[str, str]:
    if specks := _names(recipe, lambda m: bool({"cobalt", "chromium"} & set(m.cautions))):
        return "100", f" ({listed(specks)} leaves specks through a coarser one)"
    return "80", ""


def keeping(recipe: Recipe, methods: Sequence[Method]) -> tuple[str, ...]:
    """How long it keeps, what may happen in the bucket, and what to do then."""
    said = [
        "Close the lid; write name, code, date and density on it. Stir from the bottom up before "
        "each use, and measure again: water leaves every open bucket."
    ]
    dissolving = _names(recipe, is_soluble)
    gels = percent_of(recipe, is_borate) >= _GELS_PERCENT
    if dissolving:
        salts = listed(dissolving)
        said.append(
            f"{salts[0].upper()}{salts[1:]} stays dissolved: mix no more than you use within "
            "days, never pour water off, and dry pots soon, for it travels with the water to rims "
            "and into the clay."
        )
        said.append(
            "Crystals in a cold or old bucket are part of the recipe: warm the bucket in a bath of "
            "hot water until they dissolve, stir and sieve. Thrown away, they leave another glaze."
        )
    if gels:
        said.append(
            "It thickens within days as borate dissolves. Stir it hard, sieve, and only then think "
            "of water; after some weeks mix it fresh."
        )
    if settles(recipe):
        said.append(
            "It holds little clay and settles hard: dig it loose daily while in use. "
            f"{bentonite_missing(recipe):g} % of bentonite keeps it up, and is an addition to "
            "write down."
        )
    elif not gels and percent_of(recipe, _thins) >= _THINS_PERCENT:
        said.append(
            "Frits and soda rocks give off a little soda, which thins it and lets it set hard: a "
            "few drops of a strong solution of Epsom salts thicken it again (a pinch a bucket; "
            "drops, not spoons)."
        )
    if "brush" in methods:
        said.append(
            "For brushing stir in a gum, as its maker says; gum rots, so keep that part in a small "
            "jar of its own."
        )
    if percent_of(recipe, lambda m: "silver-salt" in m.cautions) > 0.0:
        said.append("Keep it dark and in plastic or glass: silver darkens in light, on metal too.")
    said.append(
        "Nothing of it goes down a drain or into a garden: let scraps dry and follow local rules."
    )
    return tuple(said)


def _thins(material: Material) -> bool:
    soda = sum(material.oxides_wt_percent.get(o, 0.0) for o in ("Na2O", "K2O", "Li2O"))
    return material.dissolves == "slightly" and soda >= 5.0


def _names(recipe: Recipe, such: Callable[[Material], bool]) -> list[str]:
    used = [p.material.name for p in recipe.parts if p.amount > 0.0 and such(p.material)]
    return list(dict.fromkeys(used))
