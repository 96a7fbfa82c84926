"""Bodies that cannot be true are refused in words."""

from __future__ import annotations

import pytest

from cofire.errors import CofireError
from cofire.files.library import Library

LIB = Library()
BODY = """
name = "test clay"
source = "test"
[expansion]
{expansion}
[stiffness]
youngs_modulus_gpa = [15, 20]
poisson = [0.18, 0.20]
"""


def body(cofire, expansion: str):  # type: ignore[no-untyped-def]
    return LIB.body(cofire.write("clay.toml", BODY.format(expansion=expansion)))


def test_steps_larger_than_the_clay_are_refused(cofire) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(CofireError, match="more than this clay grows"):
        body(
            cofire, "low = 5\nhigh = 6\nrange_c = [20, 500]\ncristobalite_step_percent = [0.5, 0.9]"
        )


@pytest.mark.parametrize(
    ("expansion", "stiffness", "said"),
    [
        ("low = 5\nhigh = 6\nrange_c = [20, 21]", "poisson = [0.2, 0.2]", "is of no use"),
        ("low = 0.01\nhigh = 6\nrange_c = [20, 500]", "poisson = [0.2, 0.2]", "no clay body has"),
        ("low = 5\nhigh = 6\nrange_c = [20, 500]", "poisson = [15, 22]", "share from 0"),
    ],
)
def test_numbers_in_the_wrong_unit(cofire, expansion: str, stiffness: str, said: str) -> None:  # type: ignore[no-untyped-def]
    text = (
        f'name = "x"\nsource = "test"\n[expansion]\n{expansion}\n[stiffness]\n'
        f"youngs_modulus_gpa = [8, 20]\n{stiffness}\n"
    )
    with pytest.raises(CofireError, match=said):
        LIB.body(str(cofire.write("clay.toml", text)))


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("[shock]\ntoughness_mpa_m05 = [50, 100]", "toughness"),
        ("[shock]\nwork_ratio = [0.2, 0.4]", "1 to 20 times"),
        ("[shock]\nfree_quartz_percent = [5, 95]", "0 to 80"),
        ("[crackle]\nflaws_per_mm = 90", "0.005 to 5"),
        ("[pores]\nmoisture_expansion_percent = [0, 50]", "0 to 1 %"),
    ],
)
def test_bodies_written_wrong(cofire, table: str, said: str) -> None:  # type: ignore[no-untyped-def]
    clay = (
        'name = "x"\nsource = "test"\n[expansion]\nlow = 5\nhigh = 6\nrange_c = [20, 500]\n'
        "[stiffness]\nyoungs_modulus_gpa = [8, 20]\npoisson = [0.2, 0.2]\n"
    )
    with pytest.raises(CofireError, match=said):
        Library.open(None).body(str(cofire.write("clay.toml", clay + table)))


def test_a_body_like_another_has_its_numbers(cofire) -> None:  # type: ignore[no-untyped-def]
    text = (
        'name = "Grogged"\nsource = "test"\nlike = "raku"\n[clay]\ngrog_added_percent = 20\n'
        "bisque_c = 1060\n[pores]\nopen_porosity_percent = [10, 12]\n"
    )
    mine, raku = LIB.body(cofire.write("grogged.toml", text)), LIB.body("raku")
    assert (mine.name, mine.grog_added_percent, mine.bisque_c) == ("Grogged", 20.0, 1060.0)
    assert mine.alpha_1e6_per_k == raku.alpha_1e6_per_k
    assert mine.open_porosity_percent == (10.0, 12.0)
    assert mine.kind_bisque_c == raku.kind_bisque_c == 980.0


def test_bodies_that_are_like_each_other_are_refused(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("clay.toml", 'name = "A"\nsource = "test"\nlike = "clay.toml"\n')
    with pytest.raises(CofireError, match="which is like this body"):
        LIB.body(path)
    other = cofire.write("other.toml", 'name = "A"\nsource = "test"\nlike = "nobody"\n')
    with pytest.raises(CofireError, match="nobody"):
        LIB.body(other)


@pytest.mark.parametrize(
    "line", ["bisque_c = 400", "silica_added_percent = 90", "grog_added_percent = -1"]
)
def test_no_clay_is_made_up_so(cofire, line: str) -> None:  # type: ignore[no-untyped-def]
    text = f'name = "A"\nsource = "test"\nlike = "raku"\n[clay]\n{line}\n'
    with pytest.raises(CofireError):
        LIB.body(cofire.write("clay.toml", text))


def test_a_measured_curve_gives_the_mean_to_500_c_and_its_error(cofire) -> None:  # type: ignore[no-untyped-def]
    """A clay that grows by 7e-6 for every degree, known to 4 %: from 6.72 to 7.28."""
    rows = [f"{t},{7e-4 * (t - 20):.7f}" for t in range(20, 701, 20)]
    cofire.write("straight.csv", "temperature (C),dL/L0 (%)\n" + "\n".join(rows))
    clay = body(cofire, 'curve = "straight.csv"\ncurve_error_percent = 4')
    assert clay.alpha_1e6_per_k == pytest.approx((6.72, 7.28), rel=1e-6)
    assert clay.range_c == (20.0, 500.0)
