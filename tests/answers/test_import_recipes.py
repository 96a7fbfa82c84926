"""Many recipes from one sheet: nothing is lost, changed or half written."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import cofire as package
from cofire.answers.import_recipes import ImportAnswer
from cofire.errors import CofireError
from cofire.files import atomic_write
from cofire.files.table_cells import amount_heading
from cofire.read.number import written

MATERIALS = ("silica", "borax", "talc-ideal", "whiting", "zinc oxide", "kaolin")
LONG = "name,material,amount,addition,cone,remarks,surface\n"
AMOUNT = st.decimals(Decimal("0.01"), Decimal("9999"), places=4).filter(bool)


def _is_no_amount(name: str) -> bool:
    """Whether it cannot be taken for a column of amounts, as “Oz 1” is where all others are."""
    return amount_heading(name.lower()) is None


#: name -> material -> (amount, whether an addition); borax is always in the base.
Book = dict[str, dict[str, tuple[Decimal, bool]]]
BOOK = st.dictionaries(
    st.from_regex(r"[A-Z][a-z]{1,6} [0-9]{1,2}", fullmatch=True).filter(_is_no_amount),
    st.dictionaries(st.sampled_from(MATERIALS[2:]), st.tuples(AMOUNT, st.booleans())).flatmap(
        lambda rest: AMOUNT.map(lambda base: {"borax": (base, False)} | rest)
    ),
    min_size=1,
    max_size=4,
)
DIALECT = st.sampled_from(
    [(",", "."), (",", ","), (";", ","), (";", "."), ("\t", ","), ("\t", "."), ("sep=;", ",")]
)
ENCODING = st.sampled_from(["utf-8", "utf-8-sig", "utf-16"])
LAYOUT = st.sampled_from(["long", "a recipe a row", "a recipe a column"])


def rows_of(book: Book, layout: str) -> list[list[str | Decimal]]:
    """The book as a sheet; an addition of a wide sheet has a column or a row of its own."""
    if layout == "long":
        return [["Recipe", "Ingredient", "Parts", "Addition"]] + [
            [name, material, amount, "yes" if added else "no"]
            for name, parts in book.items()
            for material, (amount, added) in parts.items()
        ]
    columns = [(material, False) for material in MATERIALS] + [(m, True) for m in MATERIALS]
    used = [c for c in columns if any((c[0], c[1]) == (m, a) for parts in book.values()
                                      for m, (_, a) in parts.items())]  # fmt: skip
    rows: list[list[str | Decimal]] = [
        ["Recipe", *("add: " * added + material for material, added in used)]
    ]
    for name, parts in book.items():
        cells = [parts.get(material, (None, None)) for material, _ in used]
        rows.append(
            [name, *("" if amount is None or added is not column[1] else amount
                     for (amount, added), column in zip(cells, used, strict=True))]
        )  # fmt: skip
    if layout == "a recipe a column":
        rows = [list(column) for column in zip(*rows, strict=True)]
        rows[0][0] = "Material"
    return rows


def as_text(rows: list[list[str | Decimal]], dialect: tuple[str, str]) -> str:
    separator, mark = dialect
    out = io.StringIO()
    out.write("sep=;\n" if separator == "sep=;" else "")
    writer = csv.writer(out, delimiter=separator[-1])
    for row in rows:
        writer.writerow(
            [written(c).replace(".", mark) if isinstance(c, Decimal) else c for c in row]
        )
    return out.getvalue()


def as_workbook(rows: list[list[str | Decimal]]) -> bytes:
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in rows:
        book.active.append([float(c) if isinstance(c, Decimal) else c for c in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def require_all(folder: Path, raw: bytes, book: Book, layout: str) -> None:
    (folder / "studio.toml").write_text("")
    studio = package.Studio(folder)
    answer = studio.import_recipes(text=raw, surface="gloss")
    assert answer.written and answer.layout == layout, answer.to_dict()
    made = {one.recipe.name: studio.recipe(one.file) for one in answer.recipes}
    assert set(made) == set(book)
    for name, parts in book.items():
        recipe = made[name]
        back = {p.written: (p.amount, False) for p in recipe.base}
        back |= {p.written: (p.amount, True) for p in recipe.additions}
        assert back == {m: (float(amount), added) for m, (amount, added) in parts.items()}


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(book=BOOK, layout=LAYOUT, dialect=DIALECT, encoding=ENCODING)
def test_no_text_loses_or_changes_a_number(
    book: Book, layout: str, dialect: tuple[str, str], encoding: str
) -> None:
    with TemporaryDirectory() as folder:
        text = as_text(rows_of(book, layout), dialect)
        require_all(Path(folder), text.encode(encoding), book, layout)


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(book=BOOK, layout=LAYOUT)
def test_no_workbook_loses_or_changes_a_number(book: Book, layout: str) -> None:
    with TemporaryDirectory() as folder:
        require_all(Path(folder), as_workbook(rows_of(book, layout)), book, layout)


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(book=BOOK, layout=LAYOUT, separator=st.sampled_from(",;\t"), mark=st.sampled_from(",."))
def test_unquoted_decimals_are_read_as_they_are_or_refused(
    book: Book, layout: str, separator: str, mark: str
) -> None:
    """As people type them: with three decimals, and commas that also part the columns."""
    rows = [
        [f"{c.normalize():f}".replace(".", mark) if isinstance(c, Decimal) else c for c in row]
        for row in rows_of(book, layout)
    ]
    text = "\n".join(separator.join(row) for row in rows) + "\n"
    with TemporaryDirectory() as folder:
        (Path(folder) / "studio.toml").write_text("")
        studio = package.Studio(folder)
        try:
            answer = studio.import_recipes(text=text, surface="gloss", only_good=True)
        except CofireError:
            return
        for one in answer.recipes:
            want = {m: float(amount) for m, (amount, _) in book[one.recipe.name].items()}
            assert {p.written: p.amount for p in one.recipe.parts} == want


@pytest.fixture
def studio(tmp_path: Path) -> package.Studio:
    (tmp_path / "studio.toml").write_text("")
    return package.Studio(tmp_path)


def files(studio: package.Studio) -> list[str]:
    assert studio.library.studio
    return sorted(str(p.name) for p in studio.library.studio.rglob("*") if p.name != "studio.toml")


def test_everything_beside_the_amounts_is_kept(studio: package.Studio) -> None:
    text = (
        LONG.replace("remarks", "remarks,Source")
        + "Sea,borax,90,,06,old book; page 3,A. Potter,gloss\n"
        + ",kaolin,10,,06,,,\n,tin oxide,5,+,,sieve twice,,\n"
    )
    answer = studio.import_recipes(text=text)
    recipe = studio.recipe(answer.recipes[0].file)
    kept = "cone 06; old book; page 3; Source: A. Potter; tin oxide: sieve twice"
    assert recipe.notes == kept
    assert [p.written for p in recipe.additions] == ["tin oxide"]


def test_an_unknown_material_is_listed_once_and_nothing_is_written(studio: package.Studio) -> None:
    rows = [f"G{k},borax,9{k},,,,gloss\nG{k},kaolinn,5,,,,\n" for k in range(3)]
    text = LONG + "".join(rows) + "Good,borax,5,,,,gloss\n"
    answer = studio.import_recipes(text=text)
    (unknown,) = answer.unknown
    assert (unknown.written, unknown.count, unknown.line) == ("kaolinn", 3, 3)
    assert "kaolin" in unknown.hint
    assert not answer.written and not answer.yes and files(studio) == []
    answer = studio.import_recipes(text=text, only_good=True)
    assert answer.written and not answer.yes
    assert files(studio) == ["good.toml", "recipes"]


def test_a_dry_run_says_the_same_and_writes_nothing(studio: package.Studio) -> None:
    text = LONG + "A,borax,5,,,,gloss\n"
    dry = studio.import_recipes(text=text, dry_run=True)
    assert dry.yes and not dry.written and files(studio) == []
    wet = studio.import_recipes(text=text)
    assert wet.to_dict() | {"written": False} == dry.to_dict()


def test_names_that_are_taken(studio: package.Studio) -> None:
    text = LONG + "Tom's gloss,borax,5,,,,gloss\nTom s  GLOSS,borax,6,,,,gloss\n"
    text += "Frit-gloss,borax,7,,,,gloss\n"  # shipped

    def clashes(answer: ImportAnswer) -> list[tuple[str, str, str]]:
        return [(c.taken_by, c.outcome, c.new_name) for c in answer.clashes]

    answer = studio.import_recipes(text=text)
    taken = [("line 2", "left out", ""), ("frit-gloss.toml", "left out", "")]
    assert clashes(answer) == taken and not answer.written
    answer = studio.import_recipes(text=text, on_clash="rename")
    assert clashes(answer) == [
        ("line 2", "renamed", "Tom s GLOSS 2"),
        ("frit-gloss.toml", "renamed", "Frit-gloss 2"),
    ]
    assert answer.yes and answer.written
    before = files(studio)
    answer = studio.import_recipes(text=text, on_clash="skip")
    assert answer.yes and not answer.written and files(studio) == before
    assert {c.outcome for c in answer.clashes} == {"skipped"}


def test_a_surface_is_never_guessed(studio: package.Studio) -> None:
    text = LONG + "A,borax,5,,,,\nB,borax,5,,,,shiny\nC,borax,5,,,,Matt\n"
    answer = studio.import_recipes(text=text, dry_run=True)
    assert [e.place.line for e in answer.errors if e.place] == [2, 3]
    assert "shiny" in answer.errors[1].message and "--surface" in answer.errors[0].hint
    assert [one.recipe.surface for one in answer.recipes] == ["matte"]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ('A,borax,"1,200",,,,gloss', "1200"),
        ("A,borax,lots,,,,gloss", "not an amount"),
        ("A,borax,-4,,,,gloss", "negative"),
        ("A,borax,5,perhaps,,,gloss", "perhaps"),
        ("A,silica,5,,,,gloss\nA,flint,3,,,,", "in line 2 already"),
        ("A,borax,5,,,,gloss\nA,kaolin,5,,,,matte", "several surfaces"),
        ("A,borax,5 g,,,,gloss\nA,kaolin,5 %,,,,", "different units"),
        ("A,borax,5,,,,gloss\nA,total,6,,,,", "add up to 5"),
        ("A,borax,12,5,06,x,gloss,", "8 cells"),
        ("A,borax,=B2,,,,gloss", "formula"),
        ("../..,borax,5,,,,gloss", "cannot be the name"),
        ("A,borax,0,,,,gloss", "nothing"),
        (",borax,5,,,,gloss", "no recipe is named"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(studio: package.Studio, row: str, said: str) -> None:
    answer = studio.import_recipes(text=LONG + row + "\n", only_good=True)
    assert any(said in f"{e.message} {e.hint}" for e in answer.errors), answer.errors
    assert not answer.recipes and files(studio) == []


def test_a_line_that_cannot_be_read_spoils_every_recipe_it_may_belong_to(
    studio: package.Studio,
) -> None:
    text = LONG + "A,borax,5,,,,gloss\nA,kaolin,1,5,,,,x\nB,borax,5,,,,gloss\n"
    assert studio.import_recipes(text=text, only_good=True).recipes == ()
    wide = "Glaze,borax,kaolin\nA,5,1,5\nB,5,5\n"
    answer = studio.import_recipes(text=wide, only_good=True, surface="gloss")
    assert [one.recipe.name for one in answer.recipes] == ["B"]


@pytest.mark.parametrize(
    "text",
    ["", "\n", "name,material\n", "name,material\nA,borax\n", "name,kaolinn\nA,5\n", "x\ny\n",
     "material,amount\nborax,5\nkaolin,6\n", "name,name,material,g\nA,B,borax,5\n"],
)  # fmt: skip
def test_a_sheet_of_no_known_layout_is_refused(studio: package.Studio, text: str) -> None:
    with pytest.raises(CofireError):
        studio.import_recipes(text=text, surface="gloss")


def test_all_or_none_when_the_disk_fails(
    studio: package.Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 3:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic_write.os, "fsync", full)
    text = LONG + "".join(f"G{k},borax,5,,,,gloss\n" for k in range(5))
    with pytest.raises(CofireError, match="No space"):
        studio.import_recipes(text=text)
    assert files(studio) == ["recipes"]


def test_other_folders(studio: package.Studio, tmp_path: Path) -> None:
    text = LONG + "Con,borax,5,,,,gloss\n"
    with pytest.raises(CofireError, match="does not exist"):
        studio.import_recipes(text=text, into=tmp_path / "new")
    (tmp_path / "new").mkdir()
    answer = studio.import_recipes(text=text, into=tmp_path / "new")
    assert answer.recipes[0].file == tmp_path / "new" / "con-glaze.toml"
    assert answer.recipes[0].file.is_file()


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        ("Slip,kaolin,60\nSlip,silica,40\n", "no flux"),
        ("Slip,tin oxide,90\nSlip,whiting,10\n", "no silica"),
        ("Slip,kaolin,0\nSlip,whiting,0\n", "Slip: the base adds up to nothing"),
        ("Slip,borax,5\nSlip,borax,6\n", "line 4"),
    ],
)
def test_what_cannot_be_a_glaze_is_said_before_anything_is_written(
    studio: package.Studio, rows: str, why: str
) -> None:
    text = f"name,material,amount\nGood,borax,90\nGood,kaolin,10\n{rows}"
    for dry_run in (True, False):
        answer = studio.import_recipes(text=text, surface="gloss", dry_run=dry_run)
        (error,) = answer.errors
        assert why in error.message and error.place and error.place.line in (4, 5)
        assert not answer.yes and files(studio) == []
    answer = studio.import_recipes(text=text, surface="gloss", only_good=True)
    assert [one.recipe.name for one in answer.recipes] == ["Good"] and answer.written
    assert not studio.check("recipes").errors


def test_a_column_of_dates_is_no_material(studio: package.Studio) -> None:
    text = "Glaze,Mixed on,borax,kaolin\nA,2026-11-05,5,5\nB,5.11.2026,5,6\n"
    answer = studio.import_recipes(text=text, surface="gloss")
    assert [one.recipe.notes for one in answer.recipes] == [
        "Mixed on: 2026-11-05",
        "Mixed on: 5.11.2026",
    ]
    text = "Glaze,borax,kaolin\nA,5,2026-02-01\n"  # what a spreadsheet makes of “1-2”
    assert studio.import_recipes(text=text, surface="gloss", dry_run=True).errors
