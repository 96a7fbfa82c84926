"""Which materials may be put into a recipe that does not have them yet."""

from __future__ import annotations

from collections.abc import Sequence

from cofire.errors import UnknownNameError
from cofire.files.library import Library
from cofire.material_kinds import is_soluble
from cofire.records import Material

#: Cautions of materials that are never proposed; only names bring them in.
_NOT_OFFERED = frozenset(
    ("lead", "barium", "manganese", "chromium", "vanadium", "nickel", "cadmium", "antimony",
     "silver-salt", "nitrate-oxidiser", "chloride-fume", "sulfur-fume", "fluoride-fume",
     "soluble-caustic", "asbestos-talc", "cobalt", "copper")
)  # fmt: skip
#: Cristobalite dust scars lungs worse than quartz (from memory of the WHO's CICAD 24), and silica
#: does the same in a glaze.
_WORSE_DUST = frozenset(("cristobalite",))
#: Shelves that colour, cloud or shine rather than make the glass.
_NOT_BASE = frozenset(("lead", "lustre", "colourants", "opacifiers"))


def available_materials(
    library: Library, named: Sequence[str] = (), bringing: Sequence[str] = ()
) -> list[Material]:
    """The materials ``named``, or all that make glass and are no more harmful than the usual ones,
    and those that are mostly one of the oxides in ``bringing``.

    Raises UnknownNameError.
    """
    if named:
        return [library.material(name.strip())[0] for name in named if name.strip()]
    return [
        m
        for m in library.materials.values()
        if any(m.oxides_wt_percent.get(oxide, 0.0) > 50.0 for oxide in bringing)
        or (
            not _NOT_OFFERED & set(m.cautions)
            and (m.own or (_category(m) not in _NOT_BASE and m.id not in _WORSE_DUST))
        )
    ]


def effort_to_get(material: Material) -> float:
    """How hard a new material is to get, as a factor on its cost; our choice: a material that no
    plain name means is seldom in stock."""
    if material.own:
        return 0.5
    if is_soluble(material):
        return 8.0
    return 1.0 if material.default_for else 3.0


def read_allowed(library: Library, texts: Sequence[str]) -> list[str]:
    """Names from the text of --from, separated by commas; names may hold commas too.

    Raises UnknownNameError for a piece that is not a material, joined with its neighbours or not.
    """
    names: list[str] = []
    for text in texts:
        pieces = [piece.strip() for piece in text.split(",")]
        k = 0
        while k < len(pieces):
            for end in range(len(pieces), k, -1):
                name = ", ".join(pieces[k:end])
                if end == k + 1:
                    library.material(name)  # says what is wrong with it
                elif not _known(library, name):
                    continue
                names.append(name)
                k = end
                break
    return names


def _known(library: Library, name: str) -> bool:
    try:
        library.material(name)
    except UnknownNameError:
        return False
    return True


def _category(material: Material) -> str:
    return material.place.file.stem if material.place else ""
