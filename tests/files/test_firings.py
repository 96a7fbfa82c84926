"""Firings that cannot be true are refused in words."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ('[smoke]\nair = "2 h"', "stands in air"),
        ('[smoke]\nbin = "30"', "bin"),
        ('[smoke]\nthen = "snow"', "cannot be"),
        ('[smoke]\nfog = "1 min"', "unknown key"),
    ],
)
def test_smoke_written_wrong(cofire, table: str, said: str) -> None:  # type: ignore[no-untyped-def]
    plan = (
        'name = "x"\nsource = "test"\nkiln = "small-fibre"\n[[segment]]\nrate = "full"\n'
        'target = "943 C"\nhold = "1 h"\n[[pull]]\nname = "pot"\nsegment = 1\nafter = "10 min"\n'
    )
    run = cofire("fit", "clear-crackle", "--body", "raku", "--firing",
                 str(cofire.write("x.toml", plan + table)))  # fmt: skip
    assert run.code == 2
    assert said in run.err
