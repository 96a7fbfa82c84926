"""A studio folder, opened: what all parts of the Python API stand on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Literal, Unpack

from cofire.errors import refusal
from cofire.files.library import Library
from cofire.files.places import expanded
from cofire.model.conditions import Asked, Conditions
from cofire.most import at_most
from cofire.records import Body, Firing, Kiln, Material, Recipe
from cofire.studio.arguments import checked

#: A recipe: its name, id or file; a dictionary of what its file would say; or one in hand.
RecipeLike = str | Path | Mapping[str, Any] | Recipe
BodyLike = str | Path | Mapping[str, Any] | Body
FiringLike = str | Path | Mapping[str, Any] | Firing
KilnLike = str | Path | Mapping[str, Any] | Kiln


class Opened:
    """A person's own folder, or none, together with all that is shipped.

    ``folder`` holds a file studio.toml. Without one it is $COFIRE_STUDIO, or the studio around
    the current folder, if there is one.
    """

    @checked
    def __init__(self, folder: str | Path | None = None) -> None:
        self.library = Library.open(folder)

    def __repr__(self) -> str:
        return f"Studio({str(self.library.studio) if self.library.studio else ''!r})"

    @checked
    def conditions(self, **asked: Unpack[Asked]) -> Conditions:
        """Under which conditions glazes are judged; every question takes the same keywords.

        ``body``, ``firing``, ``kiln``: a name, a file, a dictionary or a record.
        ``coat``: “3 brushed”, or ``coat_mm`` fired, 0.01 to 5. ``wall`` or ``wall_mm``: 0.5 to 60.
        ``shape``: “pot”, “both-sides” or “tile”. ``cooling``: “20 s air, 30 min bin, water”, or
        ``cooling_c_per_h``. ``load`` or ``load_kg``. ``volts`` or ``volts_v``,
        ``amps`` or ``amps_a`` (of the circuit) and ``cable``, “30 m of 1.5 mm2”.
        ``price_per_kwh``. ``odds``: how sure a yes has to be, 0.5 to 0.999. ``horizon_years``:
        0.1 to 58. ``steam``: “5 bar, 2 h”. ``clear_foot``, ``ripple`` and ``grain``, or the same
        with ``_mm``.

        Raises CofireError for what is unknown, unreadable or impossible.

        >>> studio.conditions(body="raku", coat_mm=0.3).coat(0).fired_mm
        0.3
        """
        return Conditions.read(self.library, **asked)

    def _recipes(
        self,
        recipes: RecipeLike | Sequence[RecipeLike],
        *,
        least: int = 1,
        things: str = "glazes in one firing",
        bought: bool = False,
    ) -> list[Recipe]:
        """One recipe or several as a list; where ``bought`` ones can be answered too, those as
        well. Raises CofireError for fewer than ``least``, and for more than there may be of such
        ``things``."""
        named: Sequence[RecipeLike]
        named = [recipes] if isinstance(recipes, str | Path | Mapping | Recipe) else recipes
        if len(named) < least:
            raise refusal("no-recipe-named")
        at_most(things, len(named))
        read = self.library.glaze if bought else self.library.recipe
        return [read(one) for one in named]

    def _allowed(
        self, allowed: Sequence[str] | Literal["stock"] | None, bringing: Sequence[str] = ()
    ) -> list[Material]:
        """The materials that may come in: all usual ones where nothing is said of them."""
        from cofire.answers.change.available_materials import (
            available_materials,
            in_stock,
            read_allowed,
        )

        if isinstance(allowed, str):
            stock = in_stock(self.library)
            return available_materials(self.library, bringing=bringing, stock=stock)
        if allowed is not None and not allowed:
            return []
        named = read_allowed(self.library, allowed or ())
        at_most("materials to choose from", len(named))
        found = available_materials(self.library, named, bringing)
        at_most("materials to choose from", len(found), hint="Name some of them with --from.")
        return found


def file_of(path: str | Path) -> Path:
    """A path as a person writes it."""
    return expanded(path)
