"""Which materials may be put into a recipe that does not have them yet."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from cofire.errors import UnknownNameError, refusal
from cofire.files.library import Library
from cofire.files.stock import read_stock
from cofire.material_kinds import is_soluble
from cofire.names import plain
from cofire.records import Material

#: Cautions of materials that are never proposed; only names bring them in.
_NOT_OFFERED = frozenset(
    ("lead", "barium", "manganese", "chromium", "vanadium", "nickel", "cadmium", "antimony",
     "silver-salt", "nitrate-oxidiser", "chloride-fume", "sulfur-fume", "fluoride-fume",
     "soluble-caustic", "asbestos-talc", "cobalt", "copper",
     "barium-leach", "chromium-vi", "molybdenum", "fluoride-poison", "cryolite", "corrosive-salt")
)  # fmt: skip
#: Cristobalite dust scars lungs worse than quartz (from memory of the WHO's CICAD 24), and silica
#: does the same in a glaze.
_WORSE_DUST = frozenset(("cristobalite",))
#: Words of ideal minerals, which are for calculating.
_IDEAL = frozenset(("ideal", "idealised", "theoretical"))
#: Shelves that colour, cloud or shine rather than make the glass.
_NOT_BASE = frozenset(("lead", "lustre", "colourants", "opacifiers"))


def available_materials(
    library: Library,
    named: Sequence[str] = (),
    bringing: Sequence[str] = (),
    stock: Collection[str] | None = None,
) -> list[Material]:
    """The materials ``named``, or all that potters have, make glass and are no more harmful than
    the usual ones, and those that are mostly one of the oxides in ``bringing``; with ``stock``
    only those of these ids.

    Raises UnknownNameError.
    """
    if named:
        return [library.material(name.strip())[0] for name in named if name.strip()]
    return [
        m
        for m in library.materials.values()
        if (is_shelved(m) if stock is None else m.id in stock) and _is_offered(m, bringing)
    ]


def is_shelved(material: Material) -> bool:
    """Whether potters have it: neither rare nor an ideal that stands beside what is sold."""
    said = (material.id.replace("-", " "), *material.names)
    ideal = not material.default_for and any(_IDEAL & set(plain(name).split()) for name in said)
    return material.own or not (material.rare or ideal)


def in_stock(library: Library) -> set[str]:
    """Ids of materials of which stock.toml says that some is left. Raises UnknownNameError where
    there is none."""
    left = {key for key, one in read_stock(library).shelf.items() if (one.have_g or 0.0) > 0.0}
    if not left:
        raise refusal("nothing-in-stock")
    return left


def _is_offered(m: Material, bringing: Sequence[str]) -> bool:
    return any(m.oxides_wt_percent.get(oxide, 0.0) > 50.0 for oxide in bringing) or (
        not _NOT_OFFERED & set(m.cautions)
        and (m.own or (_category(m) not in _NOT_BASE and m.id not in _WORSE_DUST))
    )


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
