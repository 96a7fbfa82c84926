"""What a bought glaze is taken for, as nobody says what is in it."""

from __future__ import annotations

from cofire.answers.findings.texts import finding
from cofire.files.bought import Bought
from cofire.findings import Finding
from cofire.model.bought import expansion_of, just_ripe_c, ripe_c


def bought_findings(bought: Bought) -> list[Finding]:
    """What bucket and tiles were read as, and what cannot be said."""
    expands, (low_c, high_c), melts = (
        expansion_of(bought).interval,
        ripe_c(bought),
        just_ripe_c(bought),
    )
    count = len(bought.tiles)
    about = {"low": expands.low, "value": expands.value, "high": expands.high}
    says = f"{low_c:.0f} °C" if low_c == high_c else f"{low_c:.0f} to {high_c:.0f} °C"
    found = [
        finding("bought-ripe", bought.name, says=says, low_c=melts.low, high_c=melts.high),
        finding("bought-safety", bought.name),
    ]
    if count:
        tiles = "one tile" if count == 1 else f"{count} tiles"
        return [finding("bought-expansion", bought.name, tiles=tiles, **about), *found]
    return [finding("bought-without-tiles", bought.name, **about), *found]
