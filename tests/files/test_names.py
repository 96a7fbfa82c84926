"""Names are what they are, in every script; what only looks the same is told apart or refused."""

from __future__ import annotations

import pytest

from cofire.files.library import Library
from cofire.files.new_names import flaw
from cofire.names import double, identifier, mixed, plain

#: Read by everybody as one name.
SAME = [
    ("Spar, Red", "spar red"),
    ("é", "e\u0301"),  # accents stored apart
    ("a\u0323\u0307", "a\u0307\u0323"),  # two accents in another order
    ("kao\u00adlin", "kaolin"),  # soft hyphen
    ("kao\u200blin", "kaolin"),  # blank of no width
    ("\ufeffkaolin", "kaolin"),  # byte order mark
    ("\u200fמלח", "מלח"),  # right-to-left mark
    ("釉薬\ufe0f", "釉薬"),  # variation selector
    ("می\u200cخوش", "میخوش"),  # joiner
    ("ＫＡＯＬＩＮ", "kaolin"),  # full width
    ("ΓΎΨΟΣ", "γύψος"),  # capitals, and the sigma at the end
    ("Weiß", "WEISS"),
    ("clay\u00a0red", "clay red"),
]
#: Told apart, though their ASCII is the same or nothing.
APART = [
    ("мел", "каолин"),
    ("青", "Красная"),
    ("ดิน", "ดัน"),  # Thai: only the marks differ
    ("कि", "का"),  # Hindi: the same
    ("ملح أ", "ملح ب"),
    ("e", "é"),
    ("spar", "sp\u0430r"),  # Cyrillic a
    ("♀", "♂"),
    ("???", "!!!"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_one_name(one: str, other: str) -> None:
    assert plain(one) == plain(other)


@pytest.mark.parametrize(("one", "other"), APART)
def test_two_names(one: str, other: str) -> None:
    assert plain(one) != plain(other)
    assert identifier(one) != identifier(other)


def materials(**named: str) -> str:
    return "".join(
        f'[{key}]\nnames = ["{name}"]\nformula = "CaCO3"\nsource = "Saltgrass Yard"\n'
        for key, name in named.items()
    )


RECIPE = 'surface = "gloss"\n[base]\n"3134 type frit" = 50\nsilica = 30\n"{}" = 20\n'


@pytest.mark.parametrize(("own", "asked"), [pair for pair in APART if pair[0] != "spar"])
def test_no_material_is_taken_for_another(cofire, own: str, asked: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("materials/own.toml", materials(own=own))
    cofire.write("recipes/mine.toml", RECIPE.format(asked))
    assert cofire("formula", "mine").code == 2
    assert cofire("materials", "show", asked).code == 2
    assert cofire("materials", "show", own).code == 0


@pytest.mark.parametrize(("own", "asked"), SAME)
def test_a_material_is_found_however_it_is_typed(cofire, own: str, asked: str) -> None:  # type: ignore[no-untyped-def]
    if "kaolin" in (own, asked):
        own = asked = f"{own} of the yard"
    cofire.write("materials/own.toml", materials(own=own))
    cofire.write("recipes/mine.toml", RECIPE.format(asked))
    assert cofire("formula", "mine").code == 0
    assert cofire("set", "mine", f"{own} = 21").code == 0
    text = (cofire.folder / "recipes/mine.toml").read_text("utf-8")
    assert f'"{asked}" = 21' in text and text.count(" = ") == 4


def test_set_changes_no_other_file(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("recipes/青.toml", RECIPE.format("kaolin"))
    before = path.read_bytes()
    assert cofire("set", "Красная", "silica = 33").code == 2
    assert path.read_bytes() == before
    assert cofire("set", "青", "silica = 33").code == 0


def test_two_files_of_one_name_have_to_be_told_apart(cofire) -> None:  # type: ignore[no-untyped-def]
    for stem in ("klar", "Klar"):
        cofire.write(f"recipes/{stem}.toml", 'name = "Tidal"\n' + RECIPE.format("kaolin"))
    assert cofire("formula", "klar").code == cofire("formula", "Klar").code == 0
    for name in ("KLAR", "tidal"):
        run = cofire("formula", name)
        assert run.code == 2 and "“recipes/Klar.toml” and “recipes/klar.toml”" in run.err
    assert "differs only by case" in cofire("check").out


# letters that look alike


@pytest.mark.parametrize(
    ("typed", "script"), [("k\u0430olin", "Cyrillic (U+0430)"), ("ka\u03bflin", "Greek (U+03BF)")]
)
def test_a_double_is_named_by_its_script(cofire, typed: str, script: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/mine.toml", RECIPE.format(typed))
    run = cofire("formula", "mine")
    assert run.code == 2 and "mine.toml, line 5" in run.err
    assert "“kaolin”" in run.err and script in run.err and "Latin (U+00" in run.err


def test_doubles_and_others() -> None:
    assert double("spar", ["ѕрат"]) is None  # the last letter is a t
    found = double("саке", ["cake"])
    assert found is not None and found[0] == "cake"
    assert double("cake", ["Cake", "lake"]) is None


@pytest.mark.parametrize("name", ["sp\u0430r", "red sp\u0430r", "к\u0061олин", "c\u03bfbalt"])
def test_mixed_letters_are_refused_in_new_names(cofire, name: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("columns.txt", "3134 type frit 50\nsilica 30\nkaolin 20\n")
    for words in (
        ("read", "columns.txt", "--name", name),
        ("read", "columns.txt", "--name", "n", "--surface", "gloss", "--save", f"{name}.toml"),
        ("init", "new", "--name", name),
    ):
        run = cofire(*words)
        assert run.code == 2 and ("Cyrillic" in run.err or "Greek" in run.err or "Latin" in run.err)
    cofire.write("materials/own.toml", materials(own=name))
    run = cofire("check")
    assert run.code == 0 and "mixes letters that look alike" in run.out


@pytest.mark.parametrize("name", ["мел красный", "red мел", "β-spodumene", "5 µm alumina", "ΔT"])
def test_honest_letters_are_not(name: str) -> None:
    assert mixed(name) == "" or name == "ΔT"


def test_check_names_doubles(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("materials/own.toml", materials(own="саке", other="cake"))
    run = cofire("check")
    assert "looks like" in run.out and "Cyrillic" in run.out and "Latin" in run.out


# what no name may hold

REFUSED = {
    "\x1b[31mred": "U+001B", "a\u0007": "U+0007", "a\u009bb": "U+009B", "a\u202eb": "U+202E",
    "a\u2066b": "U+2066", "a\u2028b": "U+2028", "\u200b": "nothing of it can be seen",
}  # fmt: skip


@pytest.mark.parametrize(("name", "why"), REFUSED.items())
def test_the_sign_is_named(cofire, name: str, why: str) -> None:  # type: ignore[no-untyped-def]
    columns = cofire.write("columns.txt", "3134 type frit 50\nsilica 30\nkaolin 20\n")
    escaped = "".join(f"\\u{ord(c):04x}" if not c.isprintable() else c for c in name)
    cofire.write("materials/own.toml", materials(own=escaped))
    runs = [cofire("check")]
    cofire.write("materials/own.toml", materials(own="own").replace("[own]", f'["{escaped}"]'))
    runs.append(cofire("check"))
    (cofire.folder / "materials/own.toml").unlink()
    cofire.write("recipes/mine.toml", RECIPE.format(escaped))
    runs.append(cofire("formula", "mine"))
    cofire.write("recipes/mine.toml", f'name = "{escaped}"\n' + RECIPE.format("kaolin"))
    runs.append(cofire("formula", "mine"))
    if name.strip() and "\u2028" not in name:  # which “--name” takes for a blank
        runs.append(cofire("read", columns, "--name", name))
    for run in runs:
        assert run.code == 2 and why in run.out + run.err, run


# files

BAD = {
    "con": "device", "NUL": "device", "lpt1": "device", "com9.old": "device", "aux ": "device",
    "a:b": "“:”", "what?": "“?”", 'a"b': "“\"”", "a|b": "“|”", "a\\b": "“\\”", "<a>": "“<”",
    "a\u202eb": "U+202E", "a\nb": "U+000A", "n" * 220: "bytes", "釉" * 70: "bytes",
}  # fmt: skip


@pytest.mark.parametrize(("stem", "why"), BAD.items())
def test_no_new_file_gets_a_name_that_is_lost(cofire, stem: str, why: str) -> None:  # type: ignore[no-untyped-def]
    columns = cofire.write("columns.txt", "3134 type frit 50\nsilica 30\nkaolin 20\n")
    file = f"{stem}.toml"
    run = cofire("read", columns, "--name", "n", "--surface", "gloss", "--save", file)
    assert run.code == 2 and why in run.err
    assert not (cofire.folder / file).exists()


WRITERS = [
    ("history", "mine", "--at", "1", "--save", "aux.toml"),
    ("table", "mine", "--csv", "aux.csv"),
    ("predict", "glasses.csv", "--basis", "mol", "--out", "aux.csv"),
    ("blend", "mine", "frit-gloss", "--csv", "aux.csv"),
    ("map", "mine", "--svg", "aux.svg"),
    ("firing", "raku-workshop", "--cards", "aux.html"),
    ("batch", "mine", "--dry", "1 kg", "--html", "aux.html"),
    ("batch", "mine", "--dry", "1 kg", "--pdf", "aux.pdf"),
    ("card", "--save", "aux.html"),
    ("adjust", "mine", "--want", "SiO2 at least 1", "--save", "aux.toml"),
    ("compose", "CaO 1, B2O3 0.6, Al2O3 0.3, SiO2 3", "--save", "aux.toml"),
    ("kiln-log", "log.csv", "--like", "small-fibre", "--save", "aux"),
    ("init", "aux"),
]


@pytest.mark.parametrize("words", WRITERS, ids=" ".join)
def test_every_command_that_writes_asks_the_same(cofire, words: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/mine.toml", RECIPE.format("kaolin"))
    cofire.write("glasses.csv", "SiO2,CaO,Na2O\n70,10,20\n")
    climb = "".join(f"{k},{20 + 1200 * (1 - 0.8**k):.0f}\n" for k in range(11))
    fall = "".join(f"{11 + k},{1091 * 0.8**k:.0f}\n" for k in range(8))
    cofire.write("log.csv", "time (h),temperature (C)\n" + climb + fall)
    cofire("keep", "mine")
    if words[0] == "init":
        (cofire.folder / "studio.toml").unlink()
    run = cofire(*words)
    assert run.code == 2 and "Windows keeps “aux” for a device" in run.err, run
    assert not list(cofire.folder.rglob("aux*"))


@pytest.mark.parametrize(("there", "new"), [("Klar", "klar"), ("e\u0301", "é"), ("Weiß", "WEISS")])
def test_no_new_file_beside_its_twin(cofire, there: str, new: str) -> None:  # type: ignore[no-untyped-def]
    columns = cofire.write("columns.txt", "3134 type frit 50\nsilica 30\nkaolin 20\n")
    cofire.write(f"{there}.toml", RECIPE.format("kaolin"))
    run = cofire("read", columns, "--name", "n", "--surface", "gloss", "--save", f"{new}.toml")
    assert run.code == 2 and f"“{there}.toml” is there" in run.err
    assert not (cofire.folder / f"{new}.toml").exists()


def test_files_that_are_there_are_reported_and_still_read(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/aux.toml", RECIPE.format("kaolin"))
    cofire.write("recipes/a:b.toml", RECIPE.format("kaolin"))
    run = cofire("check")
    assert run.code == 0 and "Windows keeps “aux”" in run.out and "Windows has no “:”" in run.out
    assert cofire("formula", "aux").code == 0


@pytest.mark.parametrize("name", ["trailing.", "trailing ", "a\x00b"])
def test_ends_of_names(name: str) -> None:
    assert flaw(name)


@pytest.mark.parametrize("name", ["Königsblau 2.toml", "釉薬.toml", "console.toml", "com10.csv"])
def test_good_names_of_files(name: str) -> None:
    assert not flaw(name)


@pytest.mark.parametrize("path", sorted(Library(None).files("recipes")), ids=str)
def test_shipped_files(path: tuple) -> None:  # type: ignore[type-arg]
    assert not flaw(path[0].name)
