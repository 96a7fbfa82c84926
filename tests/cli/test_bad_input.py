"""Each mistake gives one clear message with file and line and what to do; exit 2, no traceback."""

from __future__ import annotations

import json

import pytest

HEAD = 'name = "Mine"\nsurface = "gloss"\nnotes = "n"\n[base]\n'
MATERIAL = '[mine]\nnames = ["mine"]\nsource = "me"\n'

RECIPES = {
    "unknown material": (HEAD + "kaolinn = 10\n", "line 5", "kaolin"),
    "only colourants": (HEAD + '"cobalt carbonate" = 10\n', "m.toml", "no silica"),
    "no flux": (HEAD + "silica = 80\nkaolin = 20\n", "m.toml", "no flux"),
    "terminal codes": (HEAD.replace("Mine", "\\u001b[31m"), "line 1", "cannot be printed"),
    "nothing": (HEAD + "kaolin = 0\n", "m.toml", "nothing"),
}
MATERIALS = {
    "sums to 140": (MATERIAL + "analysis = { SiO2 = 100, CaO = 40 }\nloi = 0\n", "line 4", "140"),
    "no such formula": (MATERIAL + 'formula = "CaC0Q3"\n', "line 4", "CaC0Q3"),
    "neither": (MATERIAL, "line 1", "analysis"),
    "unknown oxide": (MATERIAL + "analysis = { SiO3 = 100 }\nloi = 0\n", "line 4", "SiO3"),
    "same id as ours": (
        MATERIAL.replace("[mine]", "[whiting]") + 'formula = "CaCO3"\n', "line 1", "overrides"
    ),
}  # fmt: skip


def complains(run, *words: str) -> None:  # type: ignore[no-untyped-def]
    assert run.code == 2, run
    assert "Traceback" not in run.out + run.err
    said = " ".join((run.out + run.err).split())
    for word in words:
        assert word in said, said


@pytest.mark.parametrize("case", RECIPES)
def test_recipes(cofire, case: str) -> None:  # type: ignore[no-untyped-def]
    text, *words = RECIPES[case]
    path = cofire.write("m.toml", text)
    complains(cofire("formula", path), *words)


@pytest.mark.parametrize("case", MATERIALS)
def test_materials(cofire, case: str) -> None:  # type: ignore[no-untyped-def]
    text, *words = MATERIALS[case]
    cofire.write("materials/own.toml", text)
    complains(cofire("check"), "own.toml", *words)
    complains(cofire("formula", "clear-crackle"), "own.toml", *words)


def test_circles(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/one.toml", HEAD + '"recipe: two" = 10\n')
    cofire.write("recipes/two.toml", HEAD + '"recipe: one" = 10\n')
    complains(cofire("formula", "one"), "circle", "one → two → one")


def test_check_says_each_problem_once(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/broken.toml", HEAD + "kaolinn = 10\n")
    cofire.write("recipes/user.toml", HEAD + '"recipe: broken" = 10\nwhiting = 5\n')
    run = cofire("check")
    complains(run, "broken.toml", "line 5")
    assert (run.out + run.err).count("no material “kaolinn”") == 1


def test_huge_missing_and_foreign_files(cofire) -> None:  # type: ignore[no-untyped-def]
    huge = cofire.write("huge.toml", HEAD + "# " + "x" * 30_000_000 + "\nsilica = 1\n")
    complains(cofire("formula", huge), "huge.toml")
    complains(cofire("formula", "nowhere.toml"), "nowhere.toml")
    complains(cofire("formula", cofire.folder), "folder")
    complains(cofire("formula", cofire.write("b.toml", b"\x00\x01\x02")), "b.toml")
    complains(cofire("formula", cofire.write("u.toml", HEAD.encode("utf-16"))), "UTF-16")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--coat", "0.3"), "fired or dry"),
        (("--coat", "0.3 mm"), "fired or dry"),
        (("--coat", "3 kg fired"), "length"),
        (("--wall", "6"), "unit"),
        (("--wall", "3 m"), "wall"),
        (("--odds", "80"), "0.8 is 80 %"),
        (("--odds", "nan"), "not a number"),
        (("--body", "nowhere"), "no body"),
    ],
)
def test_fit_options(cofire, words: tuple[str, ...], said: str) -> None:  # type: ignore[no-untyped-def]
    body = () if "--body" in words else ("--body", "raku")
    complains(cofire("fit", "clear-crackle", *body, *words), said)


FIRING = (
    'name = "F"\nsource = "s"\n[[segment]]\nrate = "{rate}"\ntarget = "{target}"\nhold = "10 min"\n'
    '[kiln]\nheating_cold = "900 C/h"\nheating_at_top = "20 C/h"\ntop = "1100 C"\n'
    'cooling_half_time = "90 min"\nsource = "s"\n'
)


@pytest.mark.parametrize(
    ("rate", "target", "said"),
    [
        ("150", "943 C", "unit"),
        ("150 C/h", "943", "unit"),
        ("150 C/h", "943 kg", "temperature"),
        ("-5 C/h", "943 C", "rate"),
        ("150 C/h", "5000 C", "outside"),
        ("150 C/h", "1190 C", "cannot reach"),
    ],
)
def test_firings(cofire, rate: str, target: str, said: str) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("f.toml", FIRING.format(rate=rate, target=target))
    complains(cofire("pair", "frit-gloss", "--firing", path), "f.toml", said)


CERTIFICATES = {
    "oxides and loss cannot both be true": ("SiO2,63\nMgO,32\nLOI,45\n", "140"),
    "another mineral": ("SiO2,99\nAl2O3,0.5\nLOI,0.5\n", "looks like"),
    "no numbers": ("hello\n", ""),
    "empty": ("", ""),
    "twice": ("SiO2,60\nSiO2,3\nMgO,37\n", "SiO2"),
}


@pytest.mark.parametrize("case", CERTIFICATES)
def test_certificates(cofire, case: str) -> None:  # type: ignore[no-untyped-def]
    text, said = CERTIFICATES[case]
    path = cofire.write("cert.csv", text)
    words = ("--name", "talc", "--supplier", "Tide Minerals", "--date", "2026-11")
    complains(cofire("materials", "add", path, "--id", "talc-x", *words), said)
    assert not (cofire.folder / "materials").exists() or not list(
        (cofire.folder / "materials").iterdir()
    )


def test_nothing_written_is_ever_replaced(cofire) -> None:  # type: ignore[no-untyped-def]
    kept = cofire.write(
        "materials/talc-x.toml", "# my notes\n[talc-x]\n" + MATERIAL[7:] + 'formula = "CaCO3"\n'
    )
    before = kept.read_bytes()
    cert = cofire.write("cert.csv", "SiO2,61.2\nMgO,31.9\nLOI,5.8\n")
    words = ("--name", "talc", "--supplier", "Tide Minerals", "--date", "2026-11")
    complains(cofire("materials", "add", cert, "--id", "talc-x", *words), "talc-x.toml")
    assert kept.read_bytes() == before


def test_unknown_commands_and_names(cofire) -> None:  # type: ignore[no-untyped-def]
    complains(cofire("formla", "x"), "formula")
    complains(cofire("formula", "clear-crackel"), "clear-crackle")
    complains(cofire("pair", "--firing", "raku-workshop"), "RECIPE")
    complains(cofire("pair", "frit-gloss"), "--firing")


def test_a_bug_of_ours_is_70(cofire, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    import cofire.answers.formula as module

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("boom")

    monkeypatch.setattr(module, "formula", broken)
    run = cofire("formula", "clear-crackle")
    assert run.code == 70
    assert "Traceback" not in run.err


def test_names_in_other_letters_are_names_of_their_own(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("studio.toml", "")
    for name in ("青磁", "釉薬", "прозрачная", "frit-gloss--釉"):
        cofire.write(
            f"recipes/{name}.toml", f'name = "{name}"\nsurface = "gloss"\n[base]\nborax = 100\n'
        )
    assert json.loads(cofire("formula", "青磁", "--json").out)["name"] == "青磁"
    assert json.loads(cofire("formula", "ПРОЗРАЧНАЯ", "--json").out)["name"] == "прозрачная"
    assert json.loads(cofire("formula", "frit-gloss", "--json").out)["name"] == "Clear water gloss"
    for unknown in ("白", "!!!", ""):
        run = cofire("formula", "--", unknown)
        assert run.code == 2, run.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("compose", "0.3 Na2O, 0.7 CaO, 3,500 SiO2, 0.3 Al2O3"), "60 moles"),
        (("batch", "frit-gloss", "--dry", "1 kg", "--density", "1.5", "--density", "1.6"), "twice"),
        (("batch", "frit-gloss", "--dry", "1 kg", "--tile", "bogus"), "bogus"),
    ],
)
def test_slips_that_would_be_taken_for_meant(cofire, words, said) -> None:  # type: ignore[no-untyped-def]
    run = cofire(*words)
    assert run.code == 2
    assert said in run.err
