"""One glaze under the same conditions has the same odds in every command."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from cofire.answers.adjust import AdjustAnswer, adjust
from cofire.answers.blend.blend import Blend, Plan, blend
from cofire.answers.change.available_materials import available_materials
from cofire.answers.change.problem import Allowed
from cofire.answers.change.relative_targets import read_target
from cofire.answers.compose import compose
from cofire.answers.fit import FitAnswer, fit, rank
from cofire.answers.formula import formula
from cofire.answers.map.family_map import family_map
from cofire.answers.pair import PairAnswer, pair
from cofire.answers.sensitivity.sensitivity import sensitivity
from cofire.answers.sensitivity.sources import WeighingPlan
from cofire.answers.swap import swap
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.files.recipe_writer import write_recipe
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.evaluation import evaluate_recipe
from cofire.model.outcome import judge, judge_together, standard_error
from cofire.studio import Studio
from cofire.words import percent

LIB = Library.open(None)


def _names(*where: str) -> list[str]:
    return sorted(path.stem for path, _ in LIB.files(*where))


RECIPES, FIRINGS = _names("recipes"), _names("recipes", "firings")
BODIES = _names("materials", "bodies")
#: Every recipe in two firings, each time on another body: (recipe, body, firing).
Case = tuple[str, str, str]
CASES: list[Case] = [
    (name, BODIES[(2 * k + j) % len(BODIES)], FIRINGS[(k + 2 * j) % len(FIRINGS)])
    for k, name in enumerate(RECIPES)
    for j in (0, 1)
]
#: Recipes that people want to change, with what they want.
CHANGED: list[tuple[str, str | None, str | None, tuple[str, ...]]] = [
    ("satin-white", "white-earthenware", "raku-workshop", ()),
    ("clear-crackle", "yard-raku", "raku-workshop", ("crackle 8 mm",)),
    ("frit-gloss", "white-earthenware", "raku-one-load", ()),
    ("borate-gloss", None, "raku-workshop", ()),
    ("earthenware-gloss", "red-earthenware", "earthenware-cone-04", ("expansion at most 6.6",)),
    ("frit-gloss", "talc-earthenware", None, ("SiO2:Al2O3 9",)),
    ("white-crackle", "raku", "raku-workshop", ("black crackle 12 mm",)),
    ("earthenware-matte", "calcareous-earthenware", "earthenware-cone-06", ()),
]


def named(case: object) -> str:
    return " ".join(str(part) for part in case) if isinstance(case, tuple) else str(case)


@cache
def under(body: str | None, firing: str | None) -> Conditions:
    return Conditions.read(LIB, body=body, firing=firing)


@cache
def by_pair(case: Case) -> PairAnswer:
    return pair(LIB, [LIB.recipe(case[0])], under(*case[1:]))


@cache
def by_fit(case: Case) -> FitAnswer:
    return fit(LIB, LIB.recipe(case[0]), under(*case[1:]))


@cache
def changed(asked: tuple[str, str | None, str | None, tuple[str, ...]]) -> AdjustAnswer:
    name, body, firing, wants = asked
    recipe = LIB.recipe(name)
    targets = [read_target(w, LIB, recipe) for w in wants]
    return adjust(LIB, recipe, targets, under(body, firing), Allowed(available_materials(LIB)))


# one glaze, asked of every answer


@pytest.mark.parametrize("case", CASES, ids=named)
def test_fit_with_a_firing_is_the_pair_of_one(case: Case) -> None:
    alone, paired = by_fit(case), by_pair(case)
    assert alone.odds_right == paired.odds_together
    assert (alone.verdict, alone.yes) == (paired.verdict, paired.yes)
    glaze = paired.glazes[0]
    assert (glaze.odds, glaze.verdict) == (alone.odds_right, alone.verdict)
    assert glaze.fit is not None
    assert glaze.fit.odds == alone.odds
    assert (glaze.odds_ripe, glaze.fit.odds_wanted) == (alone.odds_ripe, alone.odds_wanted)
    for read in ("stress_mpa", "set_c", "alpha_glaze", "alpha_body"):
        assert vars(getattr(glaze.fit, read)) == vars(getattr(alone, read)), read


@pytest.mark.parametrize("case", CASES, ids=named)
def test_the_model_itself_says_what_pair_says(case: Case) -> None:
    done = judge(LIB.recipe(case[0]), under(*case[1:]))
    assert done.odds == by_pair(case).odds_together
    assert done.outside == (by_pair(case).verdict == "outside the data") or done.odds < 0.8


@pytest.mark.parametrize("case", CASES, ids=named)
def test_what_is_asked_more_is_never_likelier(case: Case) -> None:
    alone = by_fit(case)
    assert alone.odds_ripe is not None
    assert alone.odds_right <= min(alone.odds_ripe, alone.odds_wanted)
    assert alone.odds.crazes_at_once <= alone.odds.crazes_within_months
    unfired = fit(LIB, LIB.recipe(case[0]), replace(under(*case[1:]), firing=None))
    assert unfired.odds_right == unfired.odds_wanted and unfired.odds_ripe is None


@cache
def mixed(first: Case, second: str) -> Blend:
    recipes = [LIB.recipe(first[0]), LIB.recipe(second)]
    return blend(LIB, Plan(recipes, steps=2), under(*first[1:]))


@pytest.mark.parametrize("case", CASES[::2], ids=named)
def test_the_ends_of_a_blend_are_the_recipes(case: Case) -> None:
    other = RECIPES[(RECIPES.index(case[0]) + 1) % len(RECIPES)]
    found = mixed(case, other)
    for p, name in ((0, case[0]), (-1, other)):
        done = judge(LIB.recipe(name), under(*case[1:]))
        seen = found.seen
        assert seen.odds_right[p] == done.odds
        assert seen.odds_ripe_at_every_pull is not None and seen.odds_fits is not None
        assert seen.odds_ripe_at_every_pull[p] == done.odds_ripe
        assert done.fit is not None
        assert seen.odds_fits[p] == done.fit.as_wanted.mean()
    verdicts = [pair(LIB, [LIB.recipe(n)], under(*case[1:])).yes for n in (case[0], other)]
    assert found.yes or not any(verdicts)


@pytest.mark.parametrize("case", CASES[1::3], ids=named)
def test_the_recipes_place_on_a_map_is_the_recipe(
    case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("cofire.answers.map.family_map.COARSE", 2)
    recipe, at, told = LIB.recipe(case[0]), under(*case[1:]), by_fit(case)
    axes = ("SiO2", "Al2O3")
    for key, odds in (
        ("right", told.odds_right), ("ripe", told.odds_ripe), ("fits", told.odds_wanted),
        ("crazes", told.odds.crazes_at_once), ("shivers", told.odds.shivers),
    ):  # fmt: skip
        assert family_map(LIB, recipe, axes, at, key).own.value == odds, key


@pytest.mark.parametrize("case", CASES[2::6], ids=named)
def test_shake_starts_from_the_same_odds(case: Case) -> None:
    told = sensitivity(LIB, WeighingPlan(LIB.recipe(case[0]), 100.0, 0.1), under(*case[1:]))
    alone = by_fit(case)
    assert told.own.odds == alone.odds_right
    assert told.own.craze_odds in (alone.odds.crazes_at_once, alone.odds.crazes_by_horizon)
    assert told.own.stress_mpa == pytest.approx(alone.stress_mpa.value, abs=1e-6)


@pytest.mark.parametrize("case", CASES[1::8], ids=named)
def test_several_have_their_own_odds_each(case: Case) -> None:
    """Ranked, or in one firing: what each alone has; and all at once no more than the least."""
    at = under(*case[1:])
    recipes = [LIB.recipe(n) for n in (case[0], "frit-gloss", "clear-crackle")]
    own = {r.id: judge(r, at).odds for r in recipes}
    assert {a.recipe.id: a.odds_right for a in rank(recipes, at)} == own
    told = pair(LIB, recipes[:2], at)
    assert {g.recipe.id: g.odds for g in told.glazes} == {r.id: own[r.id] for r in recipes[:2]}
    assert told.odds_together <= min(own[r.id] for r in recipes[:2])
    turned = pair(LIB, recipes[1::-1], at)
    assert turned.odds_together == told.odds_together and turned.verdict == told.verdict


# the same glaze under another name


@pytest.mark.parametrize("name", RECIPES)
def test_a_copy_under_another_name_and_file(name: str, tmp_path: Path) -> None:
    recipe = LIB.recipe(name)
    write_recipe(tmp_path / "zz-bucket-9.toml", replace(recipe, name="Bucket 9"))
    copy = LIB.recipe(tmp_path / "zz-bucket-9.toml")
    assert copy.name == "Bucket 9"
    case = next(c for c in CASES if c[0] == name)
    assert judge(copy, under(*case[1:])).odds == by_pair(case).odds_together


@pytest.mark.parametrize("name", ["frit-gloss", "clear-crackle", "satin-white"])
def test_two_buckets_of_one_glaze_are_one_glaze(name: str, tmp_path: Path) -> None:
    recipe, at = LIB.recipe(name), under("raku", "raku-workshop")
    write_recipe(tmp_path / "second.toml", replace(recipe, name="Second bucket"))
    told = pair(LIB, [recipe, LIB.recipe(tmp_path / "second.toml")], at)
    assert told.odds_together == pair(LIB, [recipe], at).odds_together


# what is found and saved, asked again


@pytest.mark.parametrize("asked", CHANGED, ids=named)
def test_adjust_starts_from_the_same_odds(
    asked: tuple[str, str | None, str | None, tuple[str, ...]],
) -> None:
    name, body, firing, _ = asked
    answer = changed(asked)
    assert answer.now.odds_right == judge(LIB.recipe(name), under(body, firing)).odds


@pytest.mark.parametrize("asked", CHANGED, ids=named)
def test_every_recipe_that_adjust_proposes_keeps_its_odds(
    asked: tuple[str, str | None, str | None, tuple[str, ...]], tmp_path: Path
) -> None:
    """Written to a file, read and asked with pair and fit: the same odds, and a yes stays one."""
    _, body, firing, _ = asked
    at = under(body, firing)
    for k, proposal in enumerate(changed(asked).proposals):
        write_recipe(tmp_path / f"p{k}.toml", proposal.recipe)
        again = LIB.recipe(tmp_path / f"p{k}.toml")
        told = []
        if firing:
            paired = pair(LIB, [again], at)
            told.append((paired.odds_together, paired.verdict))
        if body:
            alone = fit(LIB, again, at)
            told.append((alone.odds_right, alone.verdict))
        assert told
        for odds, verdict in told:
            assert (odds, verdict) == (proposal.odds_right, proposal.verdict)
            assert verdict == "yes" or not proposal.yes


def test_some_of_them_are_a_yes() -> None:
    assert sum(changed(asked).yes for asked in CHANGED) >= len(CHANGED) // 2


@pytest.mark.parametrize("asked", [CHANGED[0], CHANGED[1], CHANGED[5]], ids=named)
def test_a_saved_yes_is_a_yes_on_the_command_line(  # type: ignore[no-untyped-def]
    cofire, asked: tuple[str, str | None, str | None, tuple[str, ...]]
) -> None:
    name, body, firing, wants = asked
    where = [*(("--body", body) if body else ()), *(("--firing", firing) if firing else ())]
    wanted = [word for want in wants for word in ("--want", want)]
    saved = cofire("adjust", name, *wanted, *where, "--save", "found.toml", "--json")
    told = json.loads(saved.out)
    best = told["proposals"][0]
    assert (saved.code == 0) == told["yes"] == best["yes"]
    assert best["odds_right"] == changed(asked).proposals[0].odds_right
    for command in ("pair", "fit"):
        if {"pair": firing, "fit": body}[command]:
            again = cofire(command, "found.toml", *where, "--json")
            said = json.loads(again.out)
            assert said[ODDS[command]] == best["odds_right"]
            assert said["verdict"] == best["verdict"]
            assert (again.code == 0) == (best["verdict"] == "yes")
    # and where it is a yes already, nothing has to change
    same = json.loads(cofire("adjust", "found.toml", *where, "--json").out)
    assert same["now"]["odds_right"] == best["odds_right"]
    if best["verdict"] == "yes" and not wants:
        assert same["yes"] and same["proposals"][0]["base"] == pytest.approx(best["base"])


@pytest.mark.parametrize(
    ("name", "gone"),
    [
        ("white-crackle", "kaolin-ideal"), ("frit-gloss", "silica"), ("satin-white", "zircon"),
        ("earthenware-gloss", "kaolin-ideal"),
    ],
)  # fmt: skip
def test_a_swapped_recipe_keeps_its_odds(name: str, gone: str, tmp_path: Path) -> None:
    """Its amounts are exact, a file's have four digits: that moves a few draws at most."""
    recipe, at = LIB.recipe(name), under("raku", "raku-workshop")
    held = [p.material for p in recipe.parts if p.material.id.startswith(gone.split("-")[0])]
    for k, way in enumerate(swap(LIB, recipe, held[0], available_materials(LIB)).ways):
        write_recipe(tmp_path / f"w{k}.toml", way.recipe)
        again = LIB.recipe(tmp_path / f"w{k}.toml")
        assert judge(again, at).odds == pytest.approx(judge(way.recipe, at).odds, abs=2e-3)


@pytest.mark.parametrize("name", ["clear-crackle", "frit-gloss", "borate-gloss"])
def test_a_composed_recipe_keeps_its_odds(name: str, tmp_path: Path) -> None:
    """Its amounts are exact, a file's have four digits: that moves a few draws at most."""
    at = under("raku", "raku-workshop")
    answer = compose(LIB, analyse(LIB.recipe(name)).unity, available_materials(LIB), chosen=False)
    best = answer.ways[0].recipe
    write_recipe(tmp_path / "c.toml", best)
    assert judge(LIB.recipe(tmp_path / "c.toml"), at).odds == pytest.approx(
        judge(best, at).odds, abs=2e-3
    )


# screen, JSON and Python

ODDS = {"pair": "odds_together", "fit": "odds_right"}


@pytest.mark.parametrize("command", ["pair", "fit"])
@pytest.mark.parametrize("case", CASES[::5], ids=named)
def test_the_screen_and_json_say_what_python_says(cofire, command: str, case: Case) -> None:  # type: ignore[no-untyped-def]
    told: PairAnswer | FitAnswer = by_pair(case) if command == "pair" else by_fit(case)
    odds = getattr(told, ODDS[command])
    words = (command, case[0], "--body", case[1], "--firing", case[2])
    data, screen = cofire(*words, "--json"), cofire(*words)
    said = json.loads(data.out)
    assert said[ODDS[command]] == odds
    assert (said["verdict"], said["yes"], said["sentence"]) == (
        told.verdict, told.yes, told.sentence
    )  # fmt: skip
    assert data.code == screen.code == (0 if told.yes else 1)
    flat = " ".join(screen.out.split())
    first, _, rest = told.sentence.partition(" ")
    assert flat.startswith(first.rstrip(":,").upper())
    assert all(piece in flat for piece in re.split(r"(?:, since |[:;,.] |\.$)", rest))
    assert percent(odds) in flat or percent(odds, 0.8) in flat


@pytest.mark.parametrize("case", CASES[::8], ids=named)
def test_the_studio_says_the_same(case: Case) -> None:
    name, body, firing = case
    studio = Studio()
    assert studio.fit(name, body, firing=firing).odds_right == by_fit(case).odds_right
    assert studio.pair(name, firing, body=body).odds_together == by_pair(case).odds_together
    assert studio.pair([name], firing, body=body).verdict == by_pair(case).verdict


def test_blend_and_shake_on_the_command_line(cofire) -> None:  # type: ignore[no-untyped-def]
    where = ("--body", "raku", "--firing", "raku-workshop")
    at = under("raku", "raku-workshop")
    own = {n: judge(LIB.recipe(n), at).odds for n in ("frit-gloss", "clear-crackle")}
    told = json.loads(cofire("blend", *own, "--steps", "2", *where, "--json").out)
    assert [told["rows"][p]["odds_right"] for p in (0, -1)] == list(own.values())
    shaken = cofire("shake", "frit-gloss", *where, "--json")
    assert json.loads(shaken.out)["odds"] == own["frit-gloss"]


# asked twice, and too close


GIVEN = [
    (("pair", "frit-gloss", "--firing", "raku-workshop"), ("--firing", "raku-one-load")),
    (
        ("pair", "frit-gloss", "--firing", "raku-workshop", "--body", "raku"),
        ("--body", "yard-raku"),
    ),
    (("pair", "frit-gloss", "--firing", "raku-workshop", "--odds", "0.8"), ("--odds", "0.6")),
    (("fit", "frit-gloss", "--body", "raku"), ("--body", "porcelain")),
    (("fit", "frit-gloss", "--body", "raku", "--coat", "1 dip"), ("--coat", "3 brushed")),
    (("fit", "frit-gloss", "--body", "raku", "--wall", "6 mm"), ("--wall", "8 mm")),
    (("blend", "frit-gloss", "true-matte", "--steps", "2"), ("--steps", "3")),
    (("blend", "frit-gloss", "true-matte", "--body", "raku"), ("--body", "raku")),
    (("map", "frit-gloss", "--across", "silica"), ("--across", "kaolin")),
    (("shake", "frit-gloss", "--scale", "0.1 g"), ("--scale", "1 g")),
    (("adjust", "frit-gloss", "--want", "expansion 7", "--odds", "0.8"), ("--odds", "0.9")),
    (("adjust", "frit-gloss", "--want", "ripe", "--firing", "raku-workshop"),
     ("--firing", "raku-one-load")),
    (("levers", "frit-gloss", "--want", "stress 0", "--body", "raku"), ("--body", "porcelain")),
    (("firing", "raku-workshop", "--wall", "6 mm"), ("--wall", "8 mm")),
    (("tile", "raku", "--firing", "raku-workshop"), ("--firing", "raku-one-load")),
    (("lustre", "copper-lustre", "--firing", "raku-workshop"), ("--firing", "raku-one-load")),
]  # fmt: skip


@pytest.mark.parametrize(("words", "again"), GIVEN, ids=named)
def test_an_option_given_twice_is_refused(  # type: ignore[no-untyped-def]
    cofire, words: tuple[str, ...], again: tuple[str, ...]
) -> None:
    run = cofire(*words, *again)
    assert run.code == 2
    assert "given twice" in " ".join(run.err.split())
    assert again[0] in run.err
    assert "Traceback" not in run.err


@pytest.mark.parametrize("command", ["pair", "fit", "shake", "blend", "adjust"])
def test_too_close_to_call_is_no_yes(cofire, command: str) -> None:  # type: ignore[no-untyped-def]
    """Asked for exactly the odds it has."""
    at = under("raku", "raku-workshop")
    odds = judge(LIB.recipe("clear-crackle"), at).odds
    assert 0.5 < odds < 0.999 and standard_error(odds) > 0.0
    words = [command, "clear-crackle", "--body", "raku", "--firing", "raku-workshop"]
    if command == "blend":
        words += ["--add", "silica 0-0.01", "--steps", "1"]
    if command == "adjust":
        words += [
            "--only",
            *(w for p in LIB.recipe("clear-crackle").parts for w in ("--keep", p.written)),
        ]
    run = cofire(*words, "--odds", f"{odds:.6f}", "--json")
    told = json.loads(run.out)
    assert run.code == 1 and told["yes"] is False
    assert told["verdict"] == "too close to call"
    assert "too close to call" in told["sentence"]


@pytest.mark.parametrize("key", ["crystals", "undissolved"])
def test_glazes_that_hold_other_solids_are_no_twins(key: str) -> None:
    """Each is dipped and stands in the kiln by itself, however near they are."""
    glaze = LIB.recipe("true-matte")
    if key == "crystals":
        pairs = [{"wollastonite": 6.0}, {"anorthite": 6.0}]
    else:
        pairs = [{"zinc-oxide-raw": 6.0}, {"talc-ideal": 6.0}]
    one, other = (replace(glaze, **{key: held}) for held in pairs)  # type: ignore[arg-type]
    at = Conditions(LIB.body("raku"), LIB.firing("raku-workshop"))
    alone = [judge(recipe, at) for recipe in (one, other)]
    first, second = judge_together([one, other], alone, at)
    assert (first.draws.coat_mm != second.draws.coat_mm).any()


@pytest.mark.parametrize("name", RECIPES)
def test_the_expansion_on_top_of_a_formula_is_that_of_every_answer(name: str) -> None:
    glaze = LIB.recipe(name)
    mine = evaluate_recipe(glaze, Conditions(), 1).expansion_1e6_per_k[0]
    assert formula(LIB, glaze).expansion.value == pytest.approx(float(mine), abs=1e-9)


@pytest.mark.parametrize("body", ["talc-earthenware", "white-earthenware", "stoneware-bisque"])
@pytest.mark.parametrize("name", ["clear-crackle", "dry-matte", "frit-gloss", "earthenware-matte"])
def test_the_most_on_the_way_is_that_of_the_way(name: str, body: str) -> None:
    """A glaze shrinks most where it has just set, so the most may come half way down. Where it is
    pressed all the way, the way begins with what its melt still shrinks. The most is the middle of
    what each draw has, each at its own moment: near that of the way, on either side of it."""
    answer = fit(LIB, LIB.recipe(name), Conditions(LIB.body(body)))
    assert answer.way_down is not None
    most = float(answer.way_down.stress_mpa.max())
    assert -5.0 < answer.most_on_the_way_mpa.value - max(most, 0.0) < 5.0


def test_one_coat_more_than_glazes_is_refused_by_every_answer() -> None:
    at = Conditions.read(LIB, body="raku", firing="raku-workshop", coat="3 brushed; 1 dip")
    glaze = LIB.recipe("frit-gloss")
    for ask in (
        lambda: fit(LIB, glaze, at),
        lambda: adjust(LIB, glaze, [], at),
        lambda: blend(LIB, Plan([glaze, LIB.recipe("satin-white")], [], 3, None), at),
        lambda: family_map(LIB, glaze, ("silica", "kaolin"), at),
        lambda: sensitivity(LIB, WeighingPlan(glaze, 100.0, 0.1, False), at),
    ):
        with pytest.raises(CofireError, match="2 coats were given"):
            ask()
