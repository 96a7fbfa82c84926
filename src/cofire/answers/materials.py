"""Materials: search them, and add one's own from a supplier's certificate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from cofire.errors import CofireError, Place, QuantityError, refusal
from cofire.files.atomic_write import refuse_taken, write_all
from cofire.files.certificates import (
    Certificate,
    looks_like_another,
    material_text,
    read_certificate,
)
from cofire.files.library import Library
from cofire.files.materials import cautions_of
from cofire.files.melting import with_melting
from cofire.files.new_names import checked_name
from cofire.files.nicknames import FILE
from cofire.names import is_identifier, plain
from cofire.read.number import Convention
from cofire.read.units import temperature_c
from cofire.record import Record
from cofire.records import Material


@dataclass(frozen=True, eq=False, repr=False)
class Named(Record):
    """A material, and the others that carry the name by which it was asked for."""

    material: Material
    others_of_that_name: tuple[Material, ...]
    schema: ClassVar = "materials.show"
    json_spreads: ClassVar = ("material",)


@dataclass(frozen=True, eq=False, repr=False)
class MaterialsAnswer(Record):
    """Materials that can be named, with their analyses in wt % of the raw material."""

    materials: tuple[Material, ...]
    schema: ClassVar = "materials"
    json_whole: ClassVar = ("materials",)


@dataclass(frozen=True, eq=False, repr=False)
class AddedMaterial(Record):
    """The file that a material was written to, and what was read into its certificate."""

    file: Path
    remarks: tuple[str, ...]
    known: bool  # how it melts
    schema: ClassVar = "materials.add"


@dataclass(frozen=True, eq=False, repr=False)
class Nickname(Record):
    """A person's own name for a material, and the file that remembers it."""

    nickname: str
    material: Material
    file: Path
    schema: ClassVar = "materials.call"


@dataclass(frozen=True, eq=False, repr=False)
class Nicknames(Record):
    """All of a person's own names."""

    nicknames: tuple[Nickname, ...]
    schema: ClassVar = "materials.call"


def call_material(library: Library, nickname: str, name: str, *, change: bool = False) -> Nickname:
    """Remember a person's own name for a material; with ``change`` also where it means another one.
    Raises DataFileError without a studio, or for the name of a material, UnknownNameError for a
    material that is none."""
    nickname = nickname.strip()
    if not nickname or not nickname.isprintable():
        raise refusal("empty-nickname")
    material, _ = library.material(name)
    exact = name if plain(name) not in library.nicknames else material.id
    if before := library.nicknames.get(plain(nickname)):
        written, meant = before
        if meant.id == material.id:
            return Nickname(written, material, library.own_studio() / FILE)
        if not change:
            raise refusal("nickname-taken", called=written, name=meant.name)
        nickname = written
    return Nickname(nickname, material, library.call(nickname, exact))


def forget_nickname(library: Library, nickname: str) -> Nickname:
    """Take a person's own name out of its file. Raises UnknownNameError where it is not there."""
    if not (known := library.nicknames.get(plain(nickname))):
        raise refusal("no-such-nickname", called=nickname)
    return Nickname(*known, library.call(known[0], None))


def nicknames(library: Library) -> Nicknames:
    """All of a person's own names, as their file has them."""
    path = (library.studio or Path()) / FILE
    return Nicknames(tuple(Nickname(*one, path) for one in library.nicknames.values()))


def search(library: Library, words: Sequence[str]) -> list[Material]:
    """Materials in which every word occurs, as part of a name or id or as an oxide."""
    nicknames = library.nicknames.values()

    def holds(material: Material, word: str) -> bool:
        oxides = {o.lower() for o in material.oxides_wt_percent}
        called = [written for written, meant in nicknames if meant is material]
        text = plain(" ".join((material.id, *material.names, *called)))
        return plain(word) in text or word.lower() in oxides

    return [m for m in library.materials.values() if all(holds(m, w) for w in words)]


@dataclass(frozen=True)
class CertificateDetails:
    """What the user adds to a certificate."""

    key: str
    names: tuple[str, ...]
    supplier: str
    date: str
    dissolves: str
    overrides: bool
    melts: str = ""  # “glass”, “743 C” or “never”; read off the analysis where it is empty


def add_material(
    library: Library, text: str, source: Path, details: CertificateDetails, *, trust: bool
) -> AddedMaterial:
    """Read a certificate and write it as the studio's own material.

    Raises DataFileError without a studio or for a taken id, CompositionError for a certificate
    that contradicts itself or plainly belongs to another mineral.
    """
    added, written = read_material(library, text, source, details, trust=trust)
    added.file.parent.mkdir(parents=True, exist_ok=True)
    write_all({added.file: written})
    return added


def read_material(
    library: Library,
    text: str,
    source: Path,
    details: CertificateDetails,
    *,
    trust: bool,
    commas: Convention = "",
    came_with: dict[str, Material] | None = None,
) -> tuple[AddedMaterial, str]:
    """As ``add_material``, but nothing is written: the file comes as text. ``came_with`` are the
    shipped materials, where they are at hand."""
    studio, key = library.own_studio(), details.key
    if not is_identifier(key):
        raise refusal("no-id", key=key)
    shipped_ones = Library(None).materials if came_with is None else came_with
    if key in shipped_ones and not details.overrides:
        raise refusal("id-of-a-shipped-material", key=key)
    taken = library.materials.get(key)
    if taken and taken.own:
        raise refusal("id-of-your-own", key=key, file=taken.place)
    for name in (key, *details.names):
        checked_name(name)
    certificate = read_certificate(text, source, commas)
    carrying = _carrying(library, key, details.names)
    rival = looks_like_another(certificate, carrying, list(shipped_ones.values()))
    if rival and not trust:
        raise refusal(
            "certificate-of-another", Place(source), other=rival.name, theirs=carrying[0].name
        )
    melts, remark = _melting(details, certificate, list(shipped_ones.values()))
    path = studio / "materials" / f"{key}.toml"
    refuse_taken(path)
    written = material_text(
        path,
        key,
        details.names,
        certificate,
        source=f"certificate, {details.supplier}, {details.date}",
        supplier=details.supplier,
        date=details.date,
        dissolves=details.dissolves,
        melts=melts,
        # those of the shipped material of that name, and those that the oxides call for
        cautions=list(
            cautions_of(
                certificate.oxides_wt_percent,
                details.dissolves,
                carrying[0].cautions if carrying else (),
                glass=melts == "glass",
            )
        ),
        overrides=details.overrides,
    )
    return AddedMaterial(path, (*certificate.remarks, *remark), known=bool(melts)), written


def how_it_melts(text: str, source: Path) -> str:
    """“melts” as its analysis tells it: “glass”, “743 C” or “never”; empty where it tells nothing.
    Raises what is wrong with the certificate."""
    details = CertificateDetails("new", ("new",), "", "", "no", False)
    shipped_ones = list(Library(None).materials.values())
    return _melting(details, read_certificate(text, source), shipped_ones)[0]


def _melting(
    details: CertificateDetails, certificate: Certificate, shipped_ones: list[Material]
) -> tuple[str, list[str]]:
    """“melts” as it is given or as the analysis tells it, and what to say of that."""
    if details.melts:
        if details.melts not in ("glass", "never"):
            try:
                temperature_c(details.melts)
            except QuantityError as error:
                raise refusal("melts-how", problem=error.message) from None
        return details.melts, []
    own = with_melting(
        Material(
            details.key,
            details.names,
            certificate.oxides_wt_percent,
            certificate.loi_percent,
            "",
            melting="unknown",
        ),
        shipped_ones,
    )
    if own.melting == "unknown":
        return "", [
            "how it melts is not known, so it counts as grains that never melt; if that is wrong, "
            "write  melts = “glass” (a frit) or “1150 C”  in the file"
        ]
    melts = own.melts or "never"
    why = f"its analysis is like {own.melts_like}" if own.melts_like else "its analysis is a frit's"
    return melts, [f"melts = “{melts}” is taken, because {why}"]


def _carrying(library: Library, key: str, names: tuple[str, ...]) -> list[Material]:
    details: list[Material] = []
    for name in (key, *names):
        try:
            material, others = library.material(name)
        except CofireError:
            continue
        details.extend(m for m in (material, *others) if not m.own and m not in details)
    return details
