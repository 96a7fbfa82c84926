"""How a glaze with these materials is mixed and kept, in the sentences of ``mixing.toml``."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cofire.answers.batch.records import Bucket, Method, Water
from cofire.answers.batch.safety import NEVER
from cofire.answers.batch.water import FILL, measure_ml, most_ml
from cofire.files import toml
from cofire.files.library import Library
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

#: A glaze gels from this share of soluble borates on, per cent of the base; common practice, no
#: source.
_GELS_PERCENT = 10.0
#: Water to start with, ml per g of dry glaze (potters' lists; J. Post).
START_ML_PER_G = 1.0
#: H statements of what is very toxic or toxic to life in water; CLP (from memory).
_KILLS_FISH = frozenset(("H400", "H410", "H411"))
#: Metals that go with them, though not classed so; our choice.
_METALS = frozenset(("barium", "chromium", "manganese", "antimony", "molybdenum"))
#: Share of alkaline frit, nepheline or soda that thins a slurry until it sets hard, per cent;
#: common practice, no source.
_THINS_PERCENT = 40.0


def start_ml(dry_g: float, waters: Sequence[Water]) -> float:
    """Water to begin with, ml: less than any method needs."""
    return min([START_ML_PER_G * dry_g, *(0.9 * w.water_ml for w in waters)])


def mixing_steps(recipe: Recipe, buckets: Sequence[Bucket], school: bool) -> tuple[str, ...]:
    """What to do with one bucket, the first, in order."""
    bucket, in_all = buckets[0], most_ml(buckets)
    dissolving = _names(recipe, is_soluble)
    begin = start_ml(float(bucket.total_g), bucket.waters)
    most = max(w.slurry_ml for w in bucket.waters)
    vessel = "bucket" if most > 1000.0 else "jar"
    steps = [
        _say("take", vessel=vessel, room=volume(most / FILL, in_all), water=volume(begin, in_all))
    ]
    if dissolving:
        own = "a little of it, warm" if begin > 50.0 else "warm water"
        steps.append(_say("dissolve", salts=listed(dissolving), water=own))
    if swelling := _names(recipe, is_gel):
        steps.append(_say("swell", gels=listed(swelling)))
    if bucket.bowls > 1:
        steps.append(_say("bowls"))
    steps.append(_say("weigh"))
    if _gels(recipe):
        stand = "stand_with_salts" if dissolving else "stand"
        steps += [_say("slake"), _say(stand, salts=listed(dissolving))]
        steps += [_say("sieve_borate"), _say("jelly")]
    else:
        specks = _names(recipe, lambda m: bool({"cobalt", "chromium"} & set(m.cautions)))
        why = _say("specks", names=listed(specks)) if specks else ""
        steps += [_say("soak"), _say("sieve", mesh="100" if specks else "80", why=why)]
    measure = "litre" if measure_ml(buckets) == 1000.0 else "100 ml"
    steps.append(_say("density", measure=measure))
    return (*steps, _say("school")) if school else tuple(steps)


def keeping(recipe: Recipe, methods: Sequence[Method]) -> tuple[str, ...]:
    """How long it keeps, what may happen in the bucket, and what to do then."""
    sentences = [_say("close")]
    if dissolving := _names(recipe, is_soluble):
        salts = listed(dissolving)
        sentences += [_say("salts", salts=f"{salts[0].upper()}{salts[1:]}"), _say("crystals")]
    if _gels(recipe):
        sentences.append(_say("thickens"))
    if settles(recipe):
        sentences.append(_say("settles", bentonite=bentonite_missing(recipe)))
    elif not _gels(recipe) and percent_of(recipe, _thins) >= _THINS_PERCENT:
        sentences.append(_say("thins"))
    if "brush" in methods:
        sentences.append(_say("brush"))
    if percent_of(recipe, lambda m: "silver-salt" in m.cautions) > 0.0:
        sentences.append(_say("silver"))
    return tuple(sentences)


def left_over(library: Library, recipe: Recipe) -> tuple[str, ...]:
    """Where washing water, scraps and mud of this glaze go, by what is in it."""

    def hazards(material: Material) -> set[str]:
        known = [library.cautions[c] for c in material.cautions if c in library.cautions]
        return {h[:4] for caution in known for h in caution.hazards}

    def goes_into_water(material: Material) -> bool:
        return is_soluble(material) or "borate-mineral" in material.cautions

    grave = _names(recipe, lambda m: bool(hazards(m) & set(NEVER)))
    metals = [
        name
        for name in _names(
            recipe, lambda m: bool(hazards(m) & _KILLS_FISH or _METALS & {*m.cautions})
        )
        if name not in grave
    ]
    sentences = [_say("settle")]
    if salts := listed([n for n in _names(recipe, goes_into_water) if n not in grave]):
        sentences.append(_say("dissolved", salts=f"{salts[0].upper()}{salts[1:]}"))
    if grave:
        sentences.append(_say("hand_in", names=listed(grave)))
    else:
        sentences.append(_say("metals", names=listed(metals)) if metals else _say("fire_it"))
    if percent_of(recipe, lambda m: "silver-salt" in m.cautions) > 0.0:
        sentences.append(_say("silver_waste"))
    if percent_of(recipe, lambda m: "nitrate-oxidiser" in m.cautions) > 0.0:
        sentences.append(_say("nitrate_waste"))
    return (*sentences, _say("rules"))


def _say(name: str, **fields: object) -> str:
    """A sentence of ``mixing.toml``. Raises KeyError if a field is missing."""
    sentence: str = toml.beside(__file__, "mixing.toml")[name]
    return sentence.format_map(fields)


def _gels(recipe: Recipe) -> bool:
    return percent_of(recipe, is_borate) >= _GELS_PERCENT


def _thins(material: Material) -> bool:
    soda = sum(material.oxides_wt_percent.get(o, 0.0) for o in ("Na2O", "K2O", "Li2O"))
    return material.dissolves == "slightly" and soda >= 5.0


def _names(recipe: Recipe, such: Callable[[Material], bool]) -> list[str]:
    used = [p.material.name for p in recipe.parts if p.amount > 0.0 and such(p.material)]
    return list(dict.fromkeys(used))
