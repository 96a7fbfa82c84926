"""From where on a finding is made, on both sides of each bound, with facts that are made up."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.answers.findings import bought as bought_module
from cofire.answers.findings import firing as firing_module
from cofire.answers.findings import fit as fit_module
from cofire.answers.findings import recipe as recipe_module
from cofire.answers.findings.bought import bought_findings
from cofire.answers.findings.cautions import (
    firing_cautions,
    kiln_cautions,
    lustre_cautions,
    material_cautions,
    pull_cautions,
)
from cofire.answers.findings.faults import fault_findings, soluble_findings
from cofire.answers.findings.firing import speed_findings, supply_findings
from cofire.answers.findings.fit import curve_findings, fit_findings, pulled_findings
from cofire.answers.findings.recipe import (
    ambiguity_findings,
    composition_findings,
    disagreement_findings,
    melting_findings,
    solid_findings,
)
from cofire.chem.oxides import INDEX, OXIDES
from cofire.files.library import Library
from cofire.findings import Finding
from cofire.firing.wall import WallPath
from cofire.model.analysis import Analysis, analyse
from cofire.model.interval import Interval
from cofire.records import Caution, Material, Part, Recipe, Smoke, Supply

LIB = Library()
FRIT = LIB.material("frit-3195-type")[0]
CLEAN = Material("x", ("x",), {"SiO2": 100.0}, 0.0, "test")


def codes(found: list[Finding]) -> list[str]:
    return [one.code for one in found]


def recipe(*parts: tuple[float, Material], surface: Any = "gloss") -> Recipe:
    base = tuple(Part(one.id, amount, one) for amount, one in parts)
    return Recipe("r", "R", base, (), surface)


def made_of(**changes: Any) -> Material:
    return replace(CLEAN, **changes)


# --- faults ---------------------------------------------------------------------------------------

ZINC = made_of(id="zinc", names=("zinc oxide",), oxides_wt_percent={"ZnO": 95.0})
LIGHT = made_of(oxides_wt_percent={"MgO": 45.0}, loi_percent=50.0)
LIME = made_of(oxides_wt_percent={"CaO": 56.0}, loi_percent=44.0)
SALT = made_of(dissolves="yes")


def faults(amount: float, what: Material) -> set[str]:
    one = recipe((amount, what), (100.0 - amount, FRIT))
    return set(codes(fault_findings(one) + soluble_findings(one))) - {"settles-hard"}


@pytest.mark.parametrize(
    ("what", "bound", "code"),
    [
        (LIB.material("kaolin-ideal")[0], 25.0, "crawls-clay"),
        (ZINC, 12.0, "crawls-zinc"),
        (LIGHT, 6.0, "crawls-carbonate"),
        (LIME, 15.0, "pinholes"),
        (SALT, 2.0, "soluble"),
    ],
)
def test_a_fault_is_foretold_from_so_many_per_cent_on(
    what: Material, bound: float, code: str
) -> None:
    assert faults(bound, what) == set()
    assert faults(bound + 0.5, what) == {code}


@pytest.mark.parametrize(
    ("what", "raw"),
    [
        (ZINC, True),
        (replace(ZINC, oxides_wt_percent={"ZnO": 90.0}), False),
        (replace(ZINC, oxides_wt_percent={"ZnO": 90.5}), True),
        (replace(ZINC, oxides_wt_percent={}), False),
        (replace(ZINC, names=("zinc oxide", "zinc, calcined")), False),
        (replace(ZINC, id="calcined-zinc"), False),
    ],
)
def test_raw_zinc_is_pure_and_not_calcined(what: Material, raw: bool) -> None:
    assert ("crawls-zinc" in faults(20.0, what)) == raw


@pytest.mark.parametrize(
    ("oxides", "loi", "late"),
    [
        ({"CaO": 56.0}, 44.0, True),
        ({"CaO": 40.5}, 30.5, True),
        ({"CaO": 40.0}, 44.0, False),
        ({"CaO": 56.0}, 30.0, False),
        # dolomite: a fifth of magnesia and three tenths of lime
        ({"CaO": 30.4, "MgO": 21.9}, 47.7, True),
        ({"SrO": 70.0}, 30.5, True),
        ({"BaO": 40.5}, 30.5, True),
    ],
)
def test_what_gives_off_gas_late(oxides: dict[str, float], loi: float, late: bool) -> None:
    """Carbonates of lime, strontia and barium, and magnesia beside them: more than 40 % of these
    earths and a loss of more than 30 %."""
    what = made_of(oxides_wt_percent=oxides, loi_percent=loi)
    assert faults(20.0, what) == ({"pinholes"} if late else set())
    salt = replace(what, dissolves="yes")
    assert faults(20.0, salt) == {"soluble"}  # its gas leaves the water


def test_what_is_not_weighed_is_not_named() -> None:
    kaolin, ball = (LIB.material(name)[0] for name in ("kaolin-ideal", "ball clay"))
    for grams, named in ((0.4, f"{kaolin.name} and {ball.name}"), (0.0, kaolin.name)):
        found = fault_findings(recipe((40.0, kaolin), (grams, ball), (60.0 - grams, FRIT)))
        assert f"40 % of raw clay ({named})" in found[0].message


# --- cautions -------------------------------------------------------------------------------------


def caution(code: str, *acts: str, at_kiln: str = "") -> Caution:
    return Caution(code, "caution", acts, f"{code} in words.", "test", at_kiln=at_kiln)


def told_by(*cautions: Caution) -> Any:
    return SimpleNamespace(cautions={one.code: one for one in cautions})


def test_a_caution_names_what_brings_it_and_is_there() -> None:
    dusty = made_of(id="a", names=("A",), cautions=("dust",))
    other = replace(dusty, id="b", names=("B",))
    library = told_by(caution("dust", "mixing"))
    (found,) = material_cautions(library, [recipe((0.5, dusty), (0.0, other), (9.0, CLEAN))])
    assert (found.code, found.subject, found.materials) == ("dust", "A", ("a",))
    (found,) = material_cautions(library, [recipe((0.5, dusty)), recipe((1.0, other))])
    assert (found.subject, found.materials) == ("A, B", ("a", "b"))
    assert material_cautions(library, [recipe((0.0, dusty))]) == []


@pytest.mark.parametrize(
    ("surface", "code"),
    [("crackle", "not-for-food"), ("lustre", "not-for-food"), ("dry matte", "not-for-food"),
     ("gloss", "leach-test"), ("matte", "leach-test")],
)  # fmt: skip
def test_food_is_kept_off_pores_and_metal(surface: str, code: str) -> None:
    library = told_by(caution("not-for-food", "use"), caution("leach-test", "use"))
    glaze = recipe((1.0, CLEAN), surface=surface)
    assert codes(material_cautions(library, [glaze])) == [code]
    assert material_cautions(told_by(), [glaze]) == []  # a folder without them


ACTS = ("raku-pull", "fire", "burns", "reduction-smoke", "resinate-fume", "mercury-in-old-pastes",
        "kiln-gas", "kiln-electric", "fibre-dust")  # fmt: skip
EVERY = told_by(*(caution(code, "firing") for code in ACTS))


def test_what_is_done_brings_its_cautions() -> None:
    assert codes(pull_cautions(EVERY)) == ["raku-pull", "fire", "burns", "reduction-smoke"]
    smoke = ["reduction-smoke", "fire", "burns"]
    assert codes(lustre_cautions(EVERY, "smoke", False)) == smoke
    assert codes(lustre_cautions(EVERY, "smoke", True)) == [*smoke, "raku-pull"]
    assert codes(lustre_cautions(EVERY, "paste", False)) == [*smoke, "mercury-in-old-pastes"]
    assert codes(lustre_cautions(EVERY, "resinate", False)) == ["resinate-fume", "burns"]
    assert pull_cautions(told_by()) == lustre_cautions(told_by(), "paste", True) == []


@pytest.mark.parametrize(("fuel", "kiln"), [("gas", "kiln-gas"), ("electric", "kiln-electric")])
def test_a_kiln_brings_the_cautions_of_its_fuel(fuel: Any, kiln: str) -> None:
    firing = LIB.firing("raku-workshop")
    firing = replace(firing, kiln=replace(firing.kiln, fuel=fuel))
    pulls = ["raku-pull", "fire", "burns", "reduction-smoke"]
    assert codes(firing_cautions(EVERY, firing)) == [*pulls, kiln, "fibre-dust"]
    assert codes(firing_cautions(EVERY, replace(firing, pulls=()))) == [kiln, "fibre-dust"]


def test_at_the_kiln_only_what_happens_there_is_told() -> None:
    library = told_by(
        caution("dust", "mixing"),
        caution("fume", "mixing", "firing", at_kiln="It fumes."),
        caution("vapour", "lustre"),
    )
    glaze = recipe((1.0, made_of(cautions=("dust", "fume", "vapour"))))
    found = kiln_cautions(library, [glaze])
    assert [(one.code, one.message) for one in found] == [
        ("fume", "It fumes."), ("vapour", "vapour in words.")]  # fmt: skip
    assert {one.act for one in found} == {"firing"}


# --- a bought glaze -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tiles", "ripe", "said"),
    [
        (0, (1000.0, 1000.0), ("bought-without-tiles", "says 1000 °C:", "")),
        (1, (1000.0, 1050.0), ("bought-expansion", "says 1000 to 1050 °C:", "and one tile it")),
        (3, (1000.0, 1000.0), ("bought-expansion", "says 1000 °C:", "and 3 tiles it")),
    ],
)
def test_a_bucket_and_its_tiles_in_words(
    monkeypatch: pytest.MonkeyPatch, tiles: int, ripe: tuple[float, float], said: tuple[str, ...]
) -> None:
    expands = SimpleNamespace(interval=Interval(7.0, 6.0, 8.0, 0.9, ""))
    monkeypatch.setattr(bought_module, "expansion_of", lambda _: expands)
    monkeypatch.setattr(bought_module, "ripe_c", lambda _: ripe)
    monkeypatch.setattr(bought_module, "just_ripe_c", lambda _: Interval(980, 960, 1000, 0.9, ""))
    glaze: Any = SimpleNamespace(name="Bucket", tiles=range(tiles))
    about, melts, safety = bought_findings(glaze)
    assert (about.code, melts.code, safety.code) == (said[0], "bought-ripe", "bought-safety")
    assert said[1] in melts.message and said[2] in about.message
    assert "7.0e-6/K" in about.message and "from 6.0 to 8.0" in about.message
    assert "from 960 to 1000 °C" in melts.message


# --- a firing -------------------------------------------------------------------------------------

SLOW = LIB.firing("earthenware-cone-04")


@pytest.mark.parametrize(("over_c", "told"), [(0.0, False), (1.0, False), (1.5, True)])
def test_a_peak_may_be_a_degree_over_the_kiln(over_c: float, told: bool) -> None:
    kiln = replace(SLOW.kiln, top_c=SLOW.peak_c - over_c)
    assert ("above-the-kiln" in codes(speed_findings(replace(SLOW, kiln=kiln)))) == told


def supplied(**changes: Any) -> list[Finding]:
    facts: dict[str, Any] = {
        "volts_at_kiln": 230.0, "amps": 12.0, "power_kw": 2.7, "rated_kw": 2.7,
        "rated_volts": 230.0, "wear": SLOW.kiln.wear, "circuit_a": 16.0, "needs_circuit_a": 16,
    }  # fmt: skip
    return supply_findings(replace(SLOW, supply=Supply(**(facts | changes))))


def test_a_breaker_trips_above_its_current() -> None:
    assert codes(supplied()) == codes(supplied(amps=16.0)) == ["supply"]
    assert codes(supplied(amps=16.5)) == ["supply", "supply-trips"]
    assert codes(supplied(amps=99.0, circuit_a=None)) == ["supply"]
    assert supply_findings(SLOW) == []


def test_what_circuit_it_needs() -> None:
    assert "it needs a circuit of 16 A." in supplied()[0].message
    many = supplied(amps=200.0, needs_circuit_a=None)
    assert "no usual circuit carries that." in many[0].message
    assert "of more than 125 A." in many[1].message
    assert "of its own, of 40 A." in supplied(amps=35.0, needs_circuit_a=40)[1].message


@pytest.mark.parametrize(
    ("peak_min", "said"),
    [(400.0, "300 min later"), (80.0, "20 min sooner"), (100.2, "0 min later")],
)
def test_how_much_later_the_peak_comes(
    monkeypatch: pytest.MonkeyPatch, peak_min: float, said: str
) -> None:
    """As the plate says, the hottest of three segments ends after 100 min."""
    first = SLOW.segments[0]
    plan = tuple(replace(first, target_c=c) for c in (500.0, 1000.0, 700.0))
    monkeypatch.setattr(
        firing_module,
        "planned",
        lambda one: SimpleNamespace(
            ramp_end_s=60.0 * np.array([10.0, peak_min if one.supply else 100.0, 500.0])
        ),
    )
    supply = Supply(200.0, 12.0, 2.0, 2.7, 230.0, 1.3, None, 16)
    (found,) = supply_findings(replace(SLOW, segments=plan, supply=supply))
    assert found.short == f"200 V at the kiln, the peak {said}"
    assert f"The peak comes {said} than at 230 V" in found.message


# --- a coat and its pot ---------------------------------------------------------------------------

RAKU = LIB.body("raku")


@pytest.mark.parametrize(("odds", "told"), [(0.2, False), (0.21, True)])
def test_an_edge_that_lets_go_with_more_than_a_fifth(odds: float, told: bool) -> None:
    answer: Any = SimpleNamespace(
        body=RAKU, recipe=recipe((1.0, CLEAN)), odds=SimpleNamespace(edges_could_shiver=odds)
    )
    found = codes(fit_findings(answer))
    assert found == ["edges"] * told + ["accepted-tests", "uncalibrated"]


def pulled(
    smoke: Smoke, lifted_c: float = 300.0, together: float = 0.95, quench: float | None = None
) -> dict[str, Finding]:
    """What is told of a pot that is at ``lifted_c`` when it leaves the bin, at moment 1."""
    ends = (0, 1, 2)
    way = WallPath(np.arange(3.0), np.zeros((3, 2)), np.zeros(3), np.array([900.0, lifted_c, 20.0]),
                   ends)  # fmt: skip
    cooling: Any = SimpleNamespace(path=way, smoke=smoke)
    survives: Any = SimpleNamespace(quench=quench, together=together, breaks="some")
    found = pulled_findings(recipe((1.0, CLEAN)), RAKU, survives, cooling)
    return {one.code: one for one in found}


def test_more_than_a_tenth_of_the_pots_lost_is_a_caution() -> None:
    assert pulled(Smoke())["shock-odds"].severity == "note"
    assert pulled(Smoke(), together=0.9)["shock-odds"].severity == "note"
    assert pulled(Smoke(), together=0.89)["shock-odds"].severity == "caution"
    assert "break at the pull (some)" in pulled(Smoke())["shock-odds"].message
    assert "break at pull and quench (" in pulled(Smoke(), quench=0.9)["shock-odds"].message


@pytest.mark.parametrize(
    ("smoke", "lifted_c", "told"),
    [
        (Smoke(20.0, 2.0), 451.0, True),
        (Smoke(20.0, 2.0), 450.0, False),
        (Smoke(20.0, 0.5), 600.0, True),
        (Smoke(20.0, 0.0), 600.0, False),
        (Smoke(20.0, 2.0, "water"), 600.0, False),
    ],
)
def test_carbon_burns_above_450_where_air_gets_at_it(
    smoke: Smoke, lifted_c: float, told: bool
) -> None:
    assert ("carbon-burns" in pulled(smoke, lifted_c)) == told


@pytest.mark.parametrize(
    ("more", "told"),
    [({}, False), ({"fan_s": 5.0}, True), ({"spray_s": 5.0}, True), ({"bed": "sawdust"}, True)],
)
def test_other_ways_to_lose_heat_are_compared(more: dict[str, Any], told: bool) -> None:
    found = pulled(Smoke(20.0, 10.0, **more))
    assert ("heat-of-ways" in found) == told
    if told:
        assert "at 600 °C" in found["heat-of-ways"].message


def test_what_beds_let_out_over_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """0.15 and 0.05 of what still air takes, over the 0.2 of a bin: 75 and 25 %."""
    beds = {"bin": 0.2, "sawdust": 0.15, "buried": 0.05}
    monkeypatch.setattr(fit_module, "IN_BIN", beds)
    message = pulled(Smoke(20.0, 10.0, fan_s=5.0))["heat-of-ways"].message
    assert "sawdust lets 75 % and burying 25 % of the heat out" in message


def test_a_curve_is_long_enough_up_to_where_the_glaze_may_set() -> None:
    clay = replace(RAKU, curve=(np.array([20.0, 300.0, 600.0]), np.array([0.0, 0.002, 0.004])))
    sets = Interval(560.0, 520.0, 600.0, 0.9, "°C")
    assert curve_findings(clay, sets) == []
    assert codes(curve_findings(clay, replace(sets, high=600.5))) == ["curve-too-short"]
    assert curve_findings(RAKU, replace(sets, high=999.0)) == []


# --- a recipe -------------------------------------------------------------------------------------

GLOSS = LIB.recipe("frit-gloss")
GLOSS_ANALYSIS = analyse(GLOSS)


class Glass:
    """The glass models with numbers that are made up; a glaze matures at 10^4 Pa·s and softens at
    10^6.6 (Littleton)."""

    def __init__(self, **facts: Any) -> None:
        self.facts = facts

    def support(self, _: Any) -> Any:
        return SimpleNamespace(**{"words": ("somewhere",), "culprit": ("ZnO",)} | self.facts)

    def littleton_point(self, _: Any) -> Any:
        return self.facts["softens"]

    def viscosity(self, _: Any) -> Any:
        return SimpleNamespace(isokom=self.facts["isokom"].__getitem__)

    def expansion(self, _: Any) -> Any:
        return SimpleNamespace(value=self.facts["alpha"])


def composed(
    monkeypatch: pytest.MonkeyPatch, grade: float = 0.0, culprit: str = "ZnO", **changes: Any
) -> dict[str, Finding]:
    monkeypatch.setattr(recipe_module, "glass", Glass(grade=np.array([grade]), culprit=(culprit,)))
    analysis: Analysis = replace(GLOSS_ANALYSIS, **changes)
    found = composition_findings(recipe((90.0, FRIT), (10.0, CLEAN)), analysis, None)  # type: ignore[arg-type]
    return {one.code: one for one in found}


@pytest.mark.parametrize(
    ("grade", "severity"), [(0.5, None), (0.51, "caution"), (0.99, "caution"), (1.0, "warning")]
)
def test_thin_data_are_told_from_half_way_out(
    monkeypatch: pytest.MonkeyPatch, grade: float, severity: str | None
) -> None:
    found = composed(monkeypatch, grade).get("thin-data")
    assert (found.severity if found else None) == severity
    if found:
        assert "somewhere, because of ZnO:" in found.message
        assert "somewhere:" in composed(monkeypatch, grade, "")["thin-data"].message


@pytest.mark.parametrize(("loi", "told"), [(20.0, False), (20.5, True)])
def test_heavy_losses(monkeypatch: pytest.MonkeyPatch, loi: float, told: bool) -> None:
    assert ("high-loi" in composed(monkeypatch, loi_percent=loi)) == told


@pytest.mark.parametrize(("share", "told"), [(0.002, False), (0.0021, True)])
def test_an_oxide_that_no_model_knows(
    monkeypatch: pytest.MonkeyPatch, share: float, told: bool
) -> None:
    """Gold is counted and in no model; silica is in all of them."""
    mol = np.zeros(len(OXIDES))
    mol[INDEX[recipe_module.COUNTED[0]]], mol[INDEX["SiO2"]] = share, 1.0 - share
    found = composed(monkeypatch, mol=mol)
    assert ("not-modelled" in found) == told
    if told:
        assert found["not-modelled"].message.startswith(f"{recipe_module.COUNTED[0]}: ")


@pytest.mark.parametrize(
    ("by_curve", "agree"), [(599.0, False), (600.0, True), (700.0, True), (701.0, False)]
)
def test_two_models_of_softening(
    monkeypatch: pytest.MonkeyPatch, by_curve: float, agree: bool
) -> None:
    softens = SimpleNamespace(low=[600.0], high=[700.0], value=[650.0])
    monkeypatch.setattr(recipe_module, "glass", Glass(softens=softens, isokom={6.6: [by_curve]}))
    found = codes(disagreement_findings(GLOSS, None))  # type: ignore[arg-type]
    assert found == ([] if agree else ["models-disagree"])


@pytest.mark.parametrize(
    ("alpha", "c", "severity"),
    [(0.09, 9.0, "note"), (-0.11, 0.0, "caution"), (0.0, 10.5, "caution"), (0.0, -10.5, "caution")],
)
def test_a_shared_name_matters_from_a_tenth_or_ten_degrees_on(
    monkeypatch: pytest.MonkeyPatch, alpha: float, c: float, severity: str
) -> None:
    """One of eight others moves it; six of them are named."""
    others = tuple(replace(FRIT, id=f"other-{k}") for k in range(8))
    moves = np.zeros(9)
    moves[1], moves[3] = 0.5, 1.0
    monkeypatch.setattr(
        recipe_module, "glass", Glass(alpha=7.0 + alpha * moves, isokom={4.0: 900.0 + c * moves})
    )
    glaze = recipe((90.0, FRIT), (10.0, CLEAN))
    glaze = replace(glaze, ambiguous=((glaze.base[0], others),))
    (found,) = ambiguity_findings(glaze, analyse(glaze))
    assert (found.code, found.severity) == ("name-shared", severity)
    if severity == "caution":
        assert f"by up to {abs(alpha):.2f}e-6/K" in found.message
        assert f"by up to {abs(c):.0f} °C" in found.message
        assert "other-5" in found.message and "other-6" not in found.message


def test_what_outlasts_the_firing_is_told_where_there_is_some(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Gypsum, of which the sulfate holds."""
    monkeypatch.setattr(recipe_module, "glass", Glass(grade=np.zeros(1)))
    gypsum = LIB.material("gypsum")[0]
    for grams, told in ((0.5, True), (0.0, False)):
        glaze = recipe((90.0, FRIT), (grams, gypsum))
        nothing: Any = None
        found = codes(
            composition_findings(glaze, replace(GLOSS_ANALYSIS, loi_percent=0.0), nothing)
        )
        assert ("outlasts-firing" in found) == told


def test_how_a_material_melts_is_told_where_its_file_does_not() -> None:
    unknown = made_of(id="u", melting="unknown")
    alike = made_of(id="a", melting="alike", melts_like="feldspar")
    glassy = made_of(id="g", melting="glass")
    glaze = recipe((20.0, unknown), (10.0, alike), (5.0, glassy), (65.0, CLEAN))
    about = melting_findings(glaze)
    assert codes(about) == ["melting-unknown", "melting-taken", "melting-taken"]
    assert "“u” (20 % of the base)" in about[0].message
    assert [one.short for one in about[1:]] == [
        "“a” melts like feldspar", "“g” melts as a frit or another glass"]  # fmt: skip
    assert melting_findings(recipe((0.0, unknown), (100.0, CLEAN))) == []
    assert len(melting_findings(recipe((0.5, unknown), (99.5, CLEAN)))) == 1


@pytest.mark.parametrize(
    ("volume", "stated", "told"),
    [(0.004, False, False), (0.005, False, True), (0.2, False, True), (0.2, True, False)],
)
def test_grains_of_half_a_per_cent_are_told_unless_stated(
    volume: float, stated: bool, told: bool
) -> None:
    kind = SimpleNamespace(id="quartz", source="test")
    # the mean of two analyses
    mixed: Any = SimpleNamespace(
        kinds=[kind], volume=np.array([[0.5 * volume], [1.5 * volume]]), stated=[stated]
    )
    sand = made_of(id="sand", grain="quartz")
    found = solid_findings(recipe((100.0, sand)), mixed)
    assert codes(found) == ["undissolved"] * told
    if told:
        assert f"about {100 * volume:.0f} % of its volume" in found[0].message
        assert "sand" in found[0].message and "80" in found[0].message


def test_a_matte_says_its_crystals() -> None:
    none: Any = SimpleNamespace(kinds=[], volume=np.zeros((1, 0)), stated=[])
    matte = recipe((1.0, CLEAN), surface="matte")
    assert codes(solid_findings(matte, none)) == ["crystals-unknown"]
    assert solid_findings(replace(matte, crystals={"wollastonite": 15.0}), none) == []
    assert solid_findings(recipe((1.0, CLEAN)), none) == []
