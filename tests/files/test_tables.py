"""Tables as spreadsheets, mails and pages leave them: what each gives, or the word it earns."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cofire.errors import CofireError
from cofire.files.tables import Separator, TableRead, TableRow, read_table, table_text
from cofire.read.amounts import amount_of

HERE = Path("glaze.csv")
#: Names that tempt a reader: digits, commas, quotes, slashes, dots, signs.
NAMES = [
    "kaolin",
    "soda frit, 3110 type",
    '1/4" grog',
    "F 3134",
    "whiting (fine)",
    "tin-oxide",
    "B",
]


def rows(table: TableRead) -> list[tuple[str, str, str]]:
    return [(r.written, f"{r.amount.normalize():f}", "+" if r.addition else "") for r in table.rows]


def read(text: str | bytes, column: str | None = None) -> TableRead:
    return read_table(text if isinstance(text, bytes) else text.encode(), HERE, column)


TWO = [("kaolin", "12.5", ""), ("silica", "87.5", "")]
ADDED = [*TWO, ("bentonite", "2", "+")]
GOOD = {
    "commas": ("material,amount\nkaolin,12.5\nsilica,87.5\n", TWO),
    "no header": ("kaolin,12.5\nsilica,87.5", TWO),
    "tabs": ("kaolin\t12.5\nsilica\t87.5\n", TWO),
    "semicolons and decimal commas": ("kaolin;12,5\nsilica;87,5\n", TWO),
    "quoted decimal commas": ('kaolin,"12,5"\nsilica,"87,5"\n', TWO),
    "spaces": ("kaolin 12.5\nsilica   87.5\n", TWO),
    "spaces and decimal commas": ("kaolin 12,5\nsilica 87,5\nTotal 100\n", TWO),
    "dots of a menu": ("kaolin ..... 12.5\nsilica .... 87.5\n", TWO),
    "colons": ("kaolin: 12.5\nsilica: 87.5\n", TWO),
    "amounts first": ("12.5 kaolin\n87.5 silica\n", TWO),
    "amounts first with tabs": ("12.5\tkaolin\n87.5\tsilica\n", TWO),
    "per cent": ("kaolin;12,5 %\nsilica;87,5%\n", TWO),
    "drawn with bars": ("|material|parts|\n|:--|--:|\n| kaolin | 12.5 |\n| silica | 87.5 |\n", TWO),
    "a list": ("- kaolin 12.5\n• silica 87.5\n", TWO),
    "blank lines, blanks around": ("\n  kaolin ,\t12.5 \n,\n\n silica, 87.5 ,,\n\n", TWO),
    "byte order mark and CRLF": ("\ufeffkaolin,12.5\r\nsilica,87.5\r\n".encode(), TWO),
    "lone CR": (b"kaolin,12.5\rsilica,87.5\r", TWO),
    "UTF-16": ("kaolin\t12.5\nsilica\t87.5\n".encode("utf-16"), TWO),
    "hard spaces": ("kaolin\u00a0;\u00a012,5\u202f%\nsilica;87,5\u00a0%\n", TWO),
    "invisible signs": ("\u200bkaolin,12.5\nsil\u00adica,87.5\n", TWO),
    "comments": ("# from the red book\nkaolin,12.5\nsilica,87.5\n", TWO),
    "total checked": ("kaolin,12.5\nsilica,87.5\nTotal,100\n", TWO),
    "total without a name": ("kaolin,12.5\nsilica,87.5\n,100\n", TWO),
    "additions": ("kaolin,12.5\nsilica,87.5\nAdditions:\nbentonite,2\n", ADDED),
    "add": ("kaolin 12.5\nsilica 87.5\nAdd:\nbentonite 2\n", ADDED),
    "plus": ("kaolin,12.5\nsilica,87.5\nplus,\nbentonite,2\n", ADDED),
    "a plus alone": ("kaolin,12.5\nsilica,87.5\n+,\nbentonite,2\n", ADDED),
    "a plus before the name": ("kaolin,12.5\nsilica,87.5\n+ bentonite,2\n", ADDED),
    "a plus before the amount": ("kaolin,12.5\nsilica,87.5\nbentonite,+2\n", ADDED),
    "add before the name": ("kaolin,12.5\nsilica,87.5\nAdd: bentonite,2\n", ADDED),
    "below the total": ("kaolin,12.5\nsilica,87.5\nTOTAL,100\nbentonite,2\n", ADDED),
    "total of everything": ("kaolin,12.5\nsilica,87.5\n+ bentonite,2\nSum,102\n", ADDED),
    "a column of sections": (
        "section,material,amount\nbase,kaolin,12.5\nbase,silica,87.5\naddition,bentonite,2\n",
        ADDED,
    ),
    "base again": ("Additions\nbentonite 2\nBase\nkaolin 12.5\nsilica 87.5\n", [ADDED[2], *TWO]),
    "per cent beside parts of 100": ("kaolin 12.5\nsilica 87.5\n+ bentonite 2 %\n", ADDED),
    "a title": ("Harbour clear\nmaterial;amount\nkaolin;12,5\nsilica;87,5\n", TWO),
    "grams in the heading": ("Material,Weight (g)\nkaolin,12.5\nsilica,87.5\n", TWO),
    "a column of units": ("material,qty,unit\nkaolin,12.5,g\nsilica,87.5,g\n", TWO),
    "units beside": ("kaolin\t12.5\tg\nsilica\t87.5\tg\n", TWO),
    "kg and g": ("kaolin,0.0125 kg\nsilica,87.5g\n", TWO),
    "prices are no amounts": (
        "material,parts,price per kg\nkaolin,12.5,1.20\nsilica,87.5,0.80\n",
        TWO,
    ),
    "names with commas": (
        "soda frit, 3110 type,60\nkaolin,40\n",
        [("soda frit, 3110 type", "60", ""), ("kaolin", "40", "")],
    ),
    "names with numbers": (
        "Frit 3110 60\nF 4 28\nkaolin 12\n",
        [("Frit 3110", "60", ""), ("F 4", "28", ""), ("kaolin", "12", "")],
    ),
    "remarks behind": ("kaolin,12.5,the blue bag\nsilica,87.5,\n", TWO),
    "thousands in a table that shows points": (
        "silica\t1,234\nkaolin\t12.5\n",
        [("silica", "1234", ""), ("kaolin", "12.5", "")],
    ),
    "both signs": (
        "silica;1.234,5\nkaolin;12,5\n",
        [("silica", "1234.5", ""), ("kaolin", "12.5", "")],
    ),
    "spaced thousands": ("silica\t1 234,5\n", [("silica", "1234.5", "")]),
    "an exponent": ("silica,1.25E+02\n", [("silica", "125", "")]),
    "pounds and ounces": ("silica,2 lb 8 oz\n", [("silica", "1133.980925", "")]),
    "columns of pounds and of ounces": (
        "material,lb,oz\nkaolin,1,3\nsilica,2,\nwhiting,,5\n+ tin,0,2.5\nTotal,3,10.5\n",
        [
            ("kaolin", "538.640939375", ""),  # 19 x 28.349523125
            ("silica", "907.18474", ""),
            ("whiting", "141.747615625", ""),
            ("tin", "70.8738078125", "+"),
        ],
    ),
    "ounces before pounds": ("oz;lb;name\n3;1;kaolin\n", [("kaolin", "538.640939375", "")]),
    "three decimals between commas": (
        "kaolin,1.500\nsilica,850\n",
        [("kaolin", "1.5", ""), ("silica", "850", "")],
    ),
    "three decimals beside one": (
        "kaolin;1.500\nsilica;8.5\n",
        [("kaolin", "1.5", ""), ("silica", "8.5", "")],
    ),
    "three decimals beside less than one": (
        "kaolin\t1.500\nsilica\t0.850\n",
        [("kaolin", "1.5", ""), ("silica", "0.85", "")],
    ),
    "points between thousands twice": ("silica;1.234.000\n", [("silica", "1234000", "")]),
}  # fmt: skip


@pytest.mark.parametrize("case", GOOD)
def test_what_ugly_tables_give(case: str) -> None:
    text, wanted = GOOD[case]
    assert rows(read(text)) == wanted


BAD = {
    "not an amount": ("kaolin,12\nsilica,\n", 2, "“silica” has no amount"),
    "no name": ("kaolin,12\n,5\n", 2, "no name beside it"),
    "a word": ("kaolin,12\nsilica,lots\n", 2, "“lots” beside “silica”"),
    "a range": ("kaolin\t12\nsilica\t5-8\n", 2, "“5-8”"),
    "not a fraction": ("kaolin;1/0\nsilica;3\n", 1, "“1/0”"),
    "negative": ("kaolin,12\nsilica,-3\n", 2, "negative"),
    "typographic minus": ("kaolin;12\nsilica;−3\n", 2, "negative"),
    "unknown unit": ("kaolin;12\nsilica;3 spoons\n", 2, "“3 spoons”"),
    "a formula": ("kaolin,12\nsilica,=SUM(B1:B2)\n", 2, "Copy the cells as values"),
    "a spreadsheet's error": ("kaolin;12\nsilica;#REF!\n", 2, "Copy the cells as values"),
    "thousands or decimals": ("kaolin\t1,234\nsilica\t3\n", 1, "1.234 or 1234"),
    "a point among decimal commas": ("kaolin;1.234\nsilica;3,5\n", 1, "1.234 or 1234"),
    "points that may be either": ("kaolin;1.500\nsilica;850\n", 1, "1.500 or 1500"),
    "points and tabs": ("kaolin\t850\nsilica\t1.500\n", 2, "1.500 or 1500"),
    "points and spaces": ("kaolin 850\nsilica 1.200 g\n", 2, "1.200 or 1200"),
    "points and bars": ("kaolin|850\nsilica|1.200\n", 2, "1.200 or 1200"),
    "a total that may be either": ("kaolin;1500\nsilica;500\nTotal;2.000\n", 3, "2.000 or 2000"),
    "the same in pounds and in ounces": (
        "name,lb,oz\na,1,3\nb,2,32\n",
        3,
        "or the same weight twice",
    ),
    "the same in parts of a pound": ("name,lb,oz\na,0.5,8\n", 2, "or the same weight twice"),
    "ounces that are none": ("name,lb,oz\na,1,lots\n", 2, "lots"),
    "ounces that are a formula": ("name,lb,oz\na,1,=B1\n", 2, "Copy the cells as values"),
    "ounces with decimal commas": (
        "name,lb,oz\na,1,3,5\n",
        2,
        "“3,5” may be one number or two columns",
    ),
    "kilograms beside grams": ("name,kg,g\na,1,250\n", 1, "leaves the others out"),
    "an amount that is no heading": ("kaolin\tl2 g\nsilica\t3 g\n", 1, "“l2 g” beside"),
    "nonsense number": ("kaolin;1.2.3\nsilica;4\n", 1, "not one number"),
    "decimal commas between commas": ("kaolin,12,5\nsilica,87,5\n", 1, "several numbers: 12, 5"),
    "decimal commas under a heading": (
        "material,amount\nkaolin,12,5\n",
        2,
        "“12,5” may be one number or two columns",
    ),
    "commas that may be either": ("F 3110,60\nF 3134,40\n", 1, "separate columns or mark decimals"),
    "weights and plain": ("kaolin,12 g\nsilica,3\n", 2, "line 1 is a weight, line 2 is a plain"),
    "weights and per cent": ("kaolin,12 g\nsilica,30 g\n+ tin,3 %\n", 3, "line 3 is a percentage"),
    "per cent of what": ("kaolin,12\nsilica,30\n+ tin,3 %\n", 3, "different units"),
    "a total that is wrong": ("kaolin,60\nsilica,39\nTotal,100\n", 3, "add up to 99"),
    "two columns of amounts": ("name,percent,grams\nkaolin,60,600\n", 1, "“percent”, “grams”"),
    "two columns, no heading": ("kaolin,60,600\nsilica,40,400\n", 1, "several numbers"),
    "an open quote": ('kaolin,12\n"silica,3\nwhiting,4\n', 2, "does not close"),
    "terminal codes": ("kaolin,12\nsi\x1b[31mlica,3\n", 2, "cannot be printed"),
    "empty": ("", None, "empty"),
    "only blanks": (" \n;;\n\t\n", None, "empty"),
    "only a heading": ("material,amount\n", None, "no material was found"),
    "binary": (b"PK\x03\x04\x00\x00", None, "not text"),
    "huge": (b"x" * 5_000_000, None, "5 MB"),
    "absurd": ("kaolin,1e300\n", 1, "not a usable number"),
    "absurdly little": ("kaolin;1e-400\nsilica;5\n", 1, "not a usable number"),
    "a huge exponent": ("kaolin;1e99999999999999999999\nsilica;5\n", 1, "not an amount"),
    "a huge exponent below": ("kaolin;5\nsilica;1e-99999999999\n", 2, "not an amount"),
    "more zeros than fit": ("kaolin;0." + "0" * 9000 + "\n", 1, "not an amount"),
}


@pytest.mark.parametrize("case", BAD)
def test_what_is_wrong_is_said_with_its_line(case: str) -> None:
    text, line, words = BAD[case]
    with pytest.raises(CofireError) as caught:
        read(text)
    said = str(caught.value)
    assert words in said
    assert (f"line {line}:" in said) if line else "glaze.csv:" in said, said


def test_every_bad_line_is_named_at_once() -> None:
    with pytest.raises(CofireError) as caught:
        read("kaolin,x1\nsilica,2\nwhiting,-3\nTotal,99\n")
    assert "line 1" in str(caught.value) and "line 3" in str(caught.value)
    assert "line 4" not in str(caught.value)  # no total is right while lines are missing


def test_a_heading_chooses_the_column() -> None:
    text = "name,percent,grams\nkaolin,60,600\nsilica,40,400\n"
    assert [r.amount for r in read(text, "percent").rows] == [60, 40]
    table = read(text, "Grams")
    assert (table.unit, [r.amount for r in table.rows]) == ("g", [600, 400])
    with pytest.raises(CofireError, match="“name”, “percent”, “grams”"):
        read(text, "ounces")
    with pytest.raises(CofireError, match="the table has no headings"):
        read("kaolin,3\n", "grams")


def test_a_heading_that_leaves_ounces_out_says_so() -> None:
    text = "name,lb,oz\nkaolin,1,3\nsilica,2,5\n"
    assert "“lb” and “oz” are added together" in read(text).remarks
    for column, left in (("lb", "oz"), ("oz", "lb")):
        assert f"the column “{left}” is left out" in read(text, column).remarks
    assert read("name,lb,oz\na,1,16\nb,2,32\n", "oz").rows[1].amount == Decimal("907.18474")


def test_a_total_forgives_rounding_and_nothing_else() -> None:
    third = "a,33.3\nb,33.3\nc,33.3\nTotal,100\n"  # misses by 0.1: three times half a tenth
    assert read(third).total == 100
    with pytest.raises(CofireError, match=r"99\.9"):
        read(third.replace("Total,100", "Total,100.2"))
    with pytest.raises(CofireError, match="99"):
        read("a,33\nb,33\nc,33\nTotal,100\n")


def test_what_was_taken_rather_than_read_is_told() -> None:
    table = read("kaolin\t1,200\nsilica\t12.5\nTotal\t1,212.5\ntin\t3\n")
    said = " ".join(table.remarks)
    assert "“1,200” is read as 1200" in said
    assert "line 4 stands below the total" in said
    assert read("kaolin;12,5\nsilica;0,125\n").remarks == ()
    assert "Windows-1252" in read("gr\xfcn;3\n".encode("cp1252")).remarks[0]


@pytest.mark.parametrize("unit", ["g", "kg", "oz", "lb", "mg", "pounds", "ounces"])
def test_weights_agree_with_pint(unit: str) -> None:
    wanted = pint.UnitRegistry().Quantity(7.25, unit).to("gram").magnitude
    amount = amount_of(f"7.25 {unit}", "", None)
    assert amount.unit == "g"
    assert float(amount.value) == pytest.approx(wanted, rel=1e-12)


AMOUNTS = st.decimals("0.0001", "99999", places=4).map(lambda d: d.normalize())
LINES = st.lists(
    st.tuples(st.sampled_from(NAMES), AMOUNTS, st.booleans()),
    min_size=1,
    max_size=7,
    unique_by=lambda line: line[0],
).map(lambda lines: sorted(lines, key=lambda line: line[2]))


@given(LINES, st.sampled_from([",", ";", "\t"]), st.sampled_from(["parts", "g", "%"]))
def test_what_is_written_reads_back_exactly(
    lines: list[tuple[str, Decimal, bool]], separator: Separator, unit: str
) -> None:
    table = read(table_text(lines, unit, separator))  # type: ignore[arg-type]
    assert [(r.written, r.amount, r.addition) for r in table.rows] == lines
    assert table.unit == unit
    assert table.remarks == () or "%" in unit


@given(LINES, st.randoms(), st.sampled_from([";", "\t"]), st.booleans(), st.booleans())
def test_what_spreadsheets_do_to_it_changes_nothing(
    lines: list[tuple[str, Decimal, bool]], luck: object, separator: str, comma: bool, crlf: bool
) -> None:
    """Blank lines, padding, decimal commas, units, totals, quotes and CRLF, in any mixture."""
    choose = luck.choice  # type: ignore[attr-defined]
    out = [choose(["", "material" + separator + "amount", separator * 3])]
    below = False
    for name, amount, addition in lines:
        if addition and not below:
            out.append(choose(["Additions", "plus:", "Add" + separator, "+"]))
            below = True
        number = f"{amount:.5f}".replace(".", "," if comma else ".")  # never like thousands
        quoted = '"' + name.replace('"', '""') + '"'
        said = choose([name, quoted]) if '"' not in name else quoted
        out.append(said + separator + choose([" ", "\u00a0", ""]) + number + " g" + separator)
        out.append(choose(["", " ", separator]))
    total = f"{sum(a for _, a, _ in lines):.5f}".replace(".", "," if comma else ".")
    out.append(choose(["", f"Total{separator}{total} g"]))
    text = choose(["\ufeff", ""]) + ("\r\n" if crlf else "\n").join(out)
    table = read(text)
    assert [(r.written, r.amount, r.addition) for r in table.rows] == lines


@given(st.text(max_size=80))
def test_no_text_stumbles(text: str) -> None:
    try:
        table = read(text.encode("utf-8", "surrogatepass"))
    except CofireError:
        return
    assert table.rows and all(isinstance(r, TableRow) and r.written for r in table.rows)


@given(st.lists(st.text('kaolin 12.,;\t+%g"=|-\n', max_size=12), max_size=8).map("\n".join))
def test_no_near_table_stumbles(text: str) -> None:
    try:
        table = read(text)
    except CofireError as error:
        assert str(error)
    else:
        assert all(r.amount >= 0 for r in table.rows)
