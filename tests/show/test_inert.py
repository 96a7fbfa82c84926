"""What a person typed stands as typed and does nothing: on screens, in tables, in drawings."""

from __future__ import annotations

import html
import json
import re
import tomllib
from pathlib import Path
from xml.etree import ElementTree

import pytest
from rich.table import Table

from cofire.files.csv_rows import inert
from cofire.files.toml import bare, written
from cofire.names import shown
from cofire.show.terminal import Text, console, error_console, heading

#: Names that mean something to terminals, pages, drawings or spreadsheets.
ODD = [
    "spar [blue bag]", "[red]spar[/red]", "a [/] b", "[link=http://x]y[/link]", ":smile: spar",
    "<b>spar</b>", "<script>x</script>", "</text><a href='x'>", "&amp; spar", "&#x202e; spar",
    "<font color=red>", 'the "good" one', "the 'good' one", "back\\slash", "{name} %s %(x)s",
    "=cmd|' /C calc'!A0", "@SUM(A1)", "-2+3+cmd", "= 1 + 1",
]  # fmt: skip
#: What drives a terminal, or turns what is read around.
SIGNS = ["\x1b[31m", "\x1b]0;t\x07", "\x1b]8;;http://x\x1b\\", "\x9b31m", "\x08\x08", "\r", "\x7f",
         "\u202e", "\u2066", "\u2028", "\x85", "\x00"]  # fmt: skip
#: All of them but those of paths and of the end of a name; and those that may stand in TOML.
ALL = "\x1b[31m\x1b]0;t\x07\x9b31m\x08\r\x7f\u202e\u2066\u2028\x85"
LEGAL = "\x9b31m\u202e\u2066\u2028\x85"
_ACTIVE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")

MATERIALS = """
[odd]
names = [{name}]
formula = "KAlSi3O8"
source = "Saltgrass Yard"
[plain-one]
names = ["spar"]
formula = "NaAlSi3O8"
source = "Saltgrass Yard"
"""
RECIPE = """name = {title}
surface = "gloss"
notes = {title}
[base]
"3134 type frit" = 45
silica = 20
kaolin = 10
{name} = 15
"plain-one" = 10
"""
COMMANDS = [
    ("formula", "odd"), ("adjust", "odd", "--want", "SiO2 at least 2"), ("swap", "odd", "kaolin"),
    ("compose", "K2O 1, Al2O3 1, SiO2 6", "--from", "odd,silica"), ("materials", "show", "odd"),
    ("materials",), ("recipes",), ("batch", "odd", "--dry", "1 kg"), ("shake", "odd"),
    ("blend", "odd", "frit-gloss", "--list"), ("map", "odd", "--across", "odd", "--up", "silica"),
    ("history", "odd"), ("table", "odd"), ("fit", "odd", "--body", "raku"),
    ("pair", "odd", "frit-gloss", "--firing", "raku-workshop"), ("lustre", "odd"), ("check",),
]  # fmt: skip


def studio(cofire, name: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("materials/own.toml", MATERIALS.format(name=written(name)))
    cofire.write("recipes/odd.toml", RECIPE.format(name=written(name), title=written(name)))
    cofire("keep", "odd", "--why", "first")


@pytest.mark.parametrize("name", ODD)
def test_names_stand_on_the_screen_as_typed(cofire, monkeypatch, name: str) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("COLUMNS", "200")
    studio(cofire, name)
    for words in (("formula", "odd"), ("adjust", "odd", "--want", "SiO2 at least 2"),
                  ("swap", "odd", "kaolin"), ("materials", "show", "odd")):  # fmt: skip
        run = cofire(*words)
        assert run.code in (0, 1), run.err
        assert name in run.out, words


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
@pytest.mark.parametrize("name", ["a [/] b [link=http://x]y[/link]", "=cmd|'<b>&"])
def test_no_command_falls_over_a_name(cofire, words: tuple[str, ...], name: str) -> None:  # type: ignore[no-untyped-def]
    studio(cofire, name)
    run = cofire(*words)
    assert run.code in (0, 1), run.err
    assert "\x1b" not in run.out + run.err


@pytest.mark.parametrize("sign", SIGNS, ids=ascii)
@pytest.mark.parametrize("made", [console, error_console])
def test_a_console_writes_out_what_could_drive_it(made, sign: str) -> None:  # type: ignore[no-untyped-def]
    out = made()
    table = Table.grid()
    table.add_row(f"cell{sign}end", Text.assemble((f"text{sign}end", "bold")))
    with out.capture() as caught:
        for one in (table, f"line{sign}end", heading("head", f"aside{sign}end"), Text(f"x{sign}")):
            out.print(one)
    assert not _ACTIVE.search(caught.get()), repr(caught.get())
    assert caught.get().count("end") == 4


#: What a person may type wrong, with “{}” for the sign.
TYPED = [
    ("pair", "x{}", "frit-gloss"), ("formula", "frit-gloss", "--b{}"),
    ("pair", "--shape", "{}", "frit-gloss"),
    ("nothing{}",), ("materials", "{}"), ("materials", "show", "x{}"),
    ("set", "frit-gloss", "x{} = 3"),
    ("set", "frit-gloss", "silica = {}"), ("adjust", "frit-gloss", "--want", "x{} at least 3"),
    ("adjust", "frit-gloss", "--want", "{}"), ("swap", "frit-gloss", "x{}"), ("compose", "x{} 1"),
    ("blend", "frit-gloss", "--add", "x{} 0-5"), ("firing", "x{}"),
    ("fit", "frit-gloss", "--body", "x{}"),
    ("pair", "frit-gloss", "--coat", "3{}"), ("batch", "frit-gloss", "--dry", "1 {}"),
    ("table", "frit-gloss", "--csv", "none{}/x.csv"), ("read", "x{}"), ("check", "x{}.toml"),
    ("map", "frit-gloss", "--across", "x{}"), ("tile", "x{}"), ("kiln-log", "x{}.csv"),
    ("predict", "x{}.csv", "--basis", "mol"), ("history", "x{}"),
    ("keep", "frit-gloss", "--why", "x{}"),
    ("--studio", "x{}", "check"), ("init", "x{}"), ("card", "--save", "x{}.txt"),
]  # fmt: skip


@pytest.mark.parametrize("words", TYPED, ids=" ".join)
def test_what_was_typed_wrong_is_written_out(cofire, words: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    for signs in (ALL, LEGAL):
        run = cofire(*(word.format(signs) for word in words))
        assert run.code != 70, run.err
        assert not _ACTIVE.search(run.out + run.err), repr(run.out + run.err)


WRONG_FILES = {
    "key": 'surface = "gloss"\n"x{}" = 3\n[base]\nsilica = 1\n',
    "amount": 'surface = "gloss"\n[base]\nsilica = "3 {}"\n',
    "material": 'surface = "gloss"\n[base]\n"x{}" = 3\n',
    "surface": 'surface = "x{}"\n[base]\nsilica = 1\n',
    "crystal": 'surface = "gloss"\ncrystals = {{ "x{}" = 5 }}\n[base]\nsilica = 1\n',
    "notes": 'surface = "gloss"\nnotes = "x{}"\n[base]\nsilica = 1\n',
    "line": 'surface = "gloss"\nx{} y\n',
}


@pytest.mark.parametrize("kind", WRONG_FILES)
@pytest.mark.parametrize("escaped", [False, True])
def test_what_is_wrong_in_a_file_is_written_out(cofire, kind: str, escaped: bool) -> None:  # type: ignore[no-untyped-def]
    for signs in (ALL, LEGAL):
        said = "".join(f"\\u{ord(c):04x}" for c in signs) if escaped else signs
        cofire.write("recipes/odd.toml", WRONG_FILES[kind].format(said))
        for words in (("formula", "odd"), ("check", "recipes/odd.toml"), ("recipes",)):
            for also in ((), ("--json",)):
                run = cofire(*words, *also)
                assert run.code != 70, run.err
                assert not _ACTIVE.search(run.out + run.err), repr(run.out + run.err)


@pytest.mark.parametrize("sign", SIGNS, ids=ascii)
def test_json_and_toml_give_it_back_and_hold_no_sign(sign: str) -> None:
    from cofire.show.json import dumps

    assert json.loads(dumps({sign: sign})) == {sign: sign}
    assert tomllib.loads(f"{bare(sign)} = {written(sign)}") == {sign: sign}
    assert not _ACTIVE.search(dumps({sign: sign}) + bare(sign) + written(sign))


@pytest.mark.parametrize("name", ODD)
def test_toml_gives_odd_names_back(name: str) -> None:
    assert tomllib.loads(f"{bare(name)} = {written(name)}") == {name: name}


def test_letters_of_every_script_stay_as_they_are() -> None:
    for text in ("釉薬 é Красная\tx\ny", "می\u200cخوش", "\u200fמלח", "👩\u200d🔬"):
        assert shown(text) == text


def test_a_kept_version_is_exact_in_a_pipe_and_inert_on_a_screen(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    from cofire.cli import common

    text = "# \u202e\x9b31m\nsilica = 1\n"
    assert common.document(text) == text
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    assert common.document(text) == "# \\u202e\\u009b31m\nsilica = 1\n"


# spreadsheets

FORMULAS = ["=cmd|' /C calc'!A0", "@SUM(A1)", "-2+3+cmd", "= 1 + 1", "-spar", "\tspar", "\rspar"]


@pytest.mark.parametrize("cell", FORMULAS)
def test_a_formula_gets_an_apostrophe(cell: str) -> None:
    assert inert(cell) == f"'{cell}"
    assert inert("-2.5") == "-2.5" and inert("spar = 2") == "spar = 2"


@pytest.mark.parametrize("how", [(), ("--semicolons",), ("--tabs",)], ids=str)
@pytest.mark.parametrize("name", FORMULAS[:4])
def test_tables_hold_no_formula_and_read_gives_the_name_back(cofire, name: str, how) -> None:  # type: ignore[no-untyped-def]
    studio(cofire, name)
    text = cofire("table", "odd", *how).out
    cells = [cell.strip('"') for line in text.splitlines() for cell in re.split("[,;\t]", line)]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "@", "-"))]
    cofire.write("columns.csv", text)
    run = cofire("read", "columns.csv", "--json")
    assert run.code == 0, run.err
    assert name in [one["written"] for one in json.loads(run.out)["lines"]]


def test_a_blend_holds_no_formula(cofire) -> None:  # type: ignore[no-untyped-def]
    studio(cofire, "spar of the yard")
    (cofire.folder / "recipes/odd.toml").rename(cofire.folder / "recipes/=1+1.toml")
    assert cofire("blend", "=1+1", "frit-gloss", "--csv", "b.csv").code == 0
    text = (cofire.folder / "b.csv").read_text("utf-8")
    assert "'=1+1" in text
    assert not re.search(r'(^|[,\n])"?[=+@]', text)


# pages, drawings and sheets


@pytest.mark.parametrize("name", ODD)
def test_pages_and_drawings_hold_the_name_and_nothing_of_it_acts(cofire, name: str) -> None:  # type: ignore[no-untyped-def]
    studio(cofire, name)
    page = cofire.folder / "b.html"
    assert cofire("batch", "odd", "--dry", "1 kg", "--html", page, "--pdf", "b.pdf").code == 0
    text = page.read_text("utf-8")
    assert html.escape(name, quote=False) in text or html.escape(name) in text
    for tag in ("<b>spar", "<script>x", "<font color", "<a href='x'"):
        assert tag not in text
    assert cofire("blend", "odd", "frit-gloss", "--svg", "b.svg").code == 0
    drawing = ElementTree.parse(cofire.folder / "b.svg").getroot()
    assert {e.tag.rpartition("}")[2] for e in drawing.iter()}.isdisjoint({"script", "a", "font"})
    assert any(name[:8] in part for part in drawing.itertext())


def test_views_take_their_text_from_one_place() -> None:
    for path in (Path(__file__).parents[2] / "src/cofire/show").rglob("*.py"):
        words = path.read_text("utf-8")
        assert path.name == "terminal.py" or "rich.text" not in words, path
