"""The one set of draws: against normal quantiles, the kernel it stands for, and its promises."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from cofire import glass
from cofire.chem.oxides import MODELLED, OXIDES
from cofire.files.library import Library
from cofire.glass.basis import REACH
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import Drawing
from cofire.model.glaze_set import glaze_set, model_errors
from cofire.model.outcome import draw_recipe
from cofire.model.standard_draws import N_ANALYSES, N, SmoothError, normals, rank_of
from cofire.records import Part, Recipe

LIB = Library.open(None)
AT = Conditions(LIB.body("raku"), LIB.firing("raku-workshop"))
RECIPES = [LIB.recipe(path.stem) for path, _ in LIB.files("recipes")]
SMOOTH = ("viscosity", "expansion", "stiffness", "surface tension", "liquidus")
PLAIN = ("pyrometer", "place", "coat", "toughness", "body expansion", "body quartz")
#: Quantiles that N draws have to hit, and how far off (1 sd) sampling lets each be.
RANKS = np.array([0.05, 0.25, 0.5, 0.75, 0.95])
OFF = np.sqrt(RANKS * (1.0 - RANKS) / N) / stats.norm.pdf(stats.norm.ppf(RANKS))


def matern(distance: np.ndarray, reach: float) -> np.ndarray:
    far = np.sqrt(3.0) * distance / reach
    return (1.0 + far) * np.exp(-far)


# one source


@pytest.mark.parametrize("source", PLAIN)
def test_fewer_draws_are_the_first_of_the_same(source: str) -> None:
    for n in (1, 256, 800):
        assert np.array_equal(normals(source, n), normals(source)[:n])  # type: ignore[arg-type]


@pytest.mark.parametrize("source", PLAIN)
def test_draws_are_standard_normal(source: str) -> None:
    drawn = normals(source)  # type: ignore[arg-type]
    off = np.quantile(drawn, RANKS) - stats.norm.ppf(RANKS)
    assert (np.abs(off) < 4.0 * OFF).all()
    assert stats.kstest(drawn, "norm").pvalue > 1e-3


def test_sources_and_streams_tell_nothing_of_each_other() -> None:
    drawn = [normals(source) for source in PLAIN]  # type: ignore[arg-type]
    drawn += [normals("place", N, stream) for stream in (1, 2)]
    drawn += [normals("coat", N, stream) for stream in (1, 2)]
    between = np.corrcoef(drawn)[np.triu_indices(len(drawn), 1)]
    assert np.abs(between).max() < 4.0 / np.sqrt(N)


def test_draws_cannot_be_written_over() -> None:
    with pytest.raises(ValueError, match="read-only"):
        normals("coat")[0] = 0.0


def test_ranks_are_those_of_the_normal_distribution() -> None:
    z = np.linspace(-5.0, 5.0, 1001)
    assert rank_of(z) == pytest.approx(stats.norm.cdf(z), abs=1e-6)


# smooth errors


def places(seed: int, count: int = 60, dimensions: int = 22) -> np.ndarray:
    """Pairs of places, from next to each other to far apart."""
    rng = np.random.default_rng(seed)
    start = rng.standard_normal((count, dimensions))
    step = rng.standard_normal((count, dimensions))
    step *= (np.geomspace(0.05, 12.0, count) / np.linalg.norm(step, axis=1))[:, None]
    return np.stack([start, start + step], axis=1)


@pytest.mark.parametrize("source", SMOOTH)
def test_a_smooth_error_is_standard_normal_at_any_place(source: str) -> None:
    error = SmoothError(source, REACH)  # type: ignore[arg-type]
    for drawn in error.at(places(3)[:12, 0], N):
        off = np.quantile(drawn, RANKS) - stats.norm.ppf(RANKS)
        assert (np.abs(off) < 4.0 * OFF).all()


@pytest.mark.parametrize("source", SMOOTH)
def test_near_places_err_alike_as_the_kernel_says(source: str) -> None:
    """Matern 3/2 over pairs at every distance: to 0.1 as is stated, root of the mean square; and
    each to four times that."""
    pairs = places(11)
    error = SmoothError(source, REACH)  # type: ignore[arg-type]
    drawn = error.at(pairs.reshape(-1, pairs.shape[2]), N).reshape(len(pairs), 2, N)
    found = np.array([np.corrcoef(pair)[0, 1] for pair in drawn])
    off = found - matern(np.linalg.norm(pairs[:, 1] - pairs[:, 0], axis=1), REACH)
    assert np.sqrt(np.mean(off**2)) < 0.12  # 0.1, and the sampling of N draws
    assert np.abs(off).max() < 0.4
    assert abs(off.mean()) < 0.05


def test_errors_of_two_models_tell_nothing_of_each_other() -> None:
    where = places(5)[:1, 0]
    drawn = [SmoothError(source, REACH).at(where, N)[0] for source in SMOOTH]  # type: ignore[arg-type]
    between = np.corrcoef(drawn)[np.triu_indices(len(drawn), 1)]
    assert np.abs(between).max() < 4.0 / np.sqrt(N)


def test_fewer_smooth_errors_are_the_first_of_the_same() -> None:
    error, where = SmoothError("expansion", REACH), places(7)[:9, 0]
    assert error.at(where, 256) == pytest.approx(error.at(where, N)[:, :256], abs=1e-6)


def test_a_place_errs_alike_in_whatever_company() -> None:
    error, where = SmoothError("viscosity", REACH), places(9)[:, 0]
    together = error.at(where, N)
    for k in (0, 17, 59):
        assert error.at(where[k : k + 1], N)[0] == pytest.approx(together[k], abs=1e-5)


# glazes


def test_equal_compositions_have_equal_errors() -> None:
    mol = np.random.default_rng(2).dirichlet(np.ones(len(MODELLED)), 4)
    full = np.zeros((4, len(OXIDES)))
    full[:, : len(MODELLED)] = mol
    once = model_errors("expansion", glass.prepare(full), N)
    again = model_errors("expansion", glass.prepare(full[[2, 0, 2]]), N)
    assert np.array_equal(again[0], again[2])
    assert again[[0, 1]] == pytest.approx(once[[2, 0]], abs=1e-5)


DRAWN = (
    "coat_mm", "kiln_offset_c", "viscosity_error", "alpha_error", "youngs_gpa",
    "surface_tension_n_m", "liquidus_c", "toughness_mpa_m05",
)  # fmt: skip


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.id)
def test_fewer_draws_of_a_glaze_are_the_first_of_the_same(recipe: Recipe) -> None:
    many, few = draw_recipe(recipe, AT), draw_recipe(recipe, AT, Drawing(256))
    some = many.some(256)
    for name in DRAWN:
        assert getattr(few, name) == pytest.approx(getattr(some, name), abs=1e-5, rel=1e-6), name
    assert np.array_equal(few.pick, some.pick)


def renamed(recipe: Recipe) -> Recipe:
    """The same glaze under other names, its materials too."""

    def part(k: int, old: Part) -> Part:
        other = replace(old.material, id=f"m{k}", names=(f"material {k}",), source="elsewhere")
        return Part(f"m{k}", old.amount, other)

    ids: dict[str, str] = {}
    parts = []
    for k, old in enumerate(recipe.parts):
        new = part(k, old)
        ids[old.material.id] = new.material.id
        parts.append(new)
    count = len(recipe.base)
    return replace(
        recipe, id="zz-other", name="Quite another", base=tuple(parts[:count]),
        additions=tuple(parts[count:]),
        undissolved={ids[k]: v for k, v in recipe.undissolved.items()},
    )  # fmt: skip


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.id)
def test_nothing_depends_on_names(recipe: Recipe) -> None:
    """But for opacifiers, which are known by what they are."""
    own = draw_recipe(recipe, AT)
    if own.solids.kinds:
        other = draw_recipe(replace(recipe, id="zz-other", name="Quite another"), AT)
    else:
        other = draw_recipe(renamed(recipe), AT)
    for name in DRAWN:
        assert np.array_equal(getattr(own, name), getattr(other, name)), name
    assert np.array_equal(own.solids.melt_mol, other.solids.melt_mol)


def test_analyses_deviate_in_pairs_about_what_is_stated() -> None:
    """Opposite deviations: where no analysis meets zero, the mean is the stated one."""
    glazes, parts = glaze_set(LIB.recipe("frit-gloss"))
    drawn = np.array(glazes._drawn_grams)
    assert drawn.shape[0] == N_ANALYSES
    spread = np.array([len(m.spread_wt_percent) for m in glazes.materials])
    assert spread.any()
    for k in range(len(parts)):
        whole = drawn[:, k].min(axis=0) > 0.0
        mean = drawn[:, k].mean(axis=0)
        assert mean[whole] == pytest.approx(glazes.grams[k][whole], rel=0.02)


def test_two_equal_analyses_deviate_alike_and_two_unlike_ones_do_not() -> None:
    silica, frit = LIB.material("silica")[0], LIB.material("frit-3195-type")[0]
    twin = replace(frit, id="bag-two", names=("bag two",))
    recipe = Recipe(
        "x", "x", (Part("a", 40.0, frit), Part("b", 40.0, twin), Part("c", 20.0, silica)), (),
        "gloss",
    )  # fmt: skip
    drawn = np.array(glaze_set(recipe)[0]._drawn_grams)
    assert np.array_equal(drawn[:, 0], drawn[:, 1])
    assert not np.array_equal(drawn[:, 0], drawn[:, 2])
