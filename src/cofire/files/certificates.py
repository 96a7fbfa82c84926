"""A supplier's certificate (pasted or CSV) -> a material of the person's own."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cofire.chem.composition import solid_mass
from cofire.chem.formulas import atoms
from cofire.chem.oxides import ATOMIC_WEIGHT, FATE, INDEX, LEAVES, MOLAR_MASS, named, vector
from cofire.errors import DataFileError, Place, QuantityError, refusal
from cofire.files import toml
from cofire.files.materials import contradiction, read_materials
from cofire.most import at_most
from cofire.read.number import Convention, convention, number
from cofire.records import Material
from cofire.words import listed, plain_digits

LOSS = re.compile(
    r"^(l\.?\s*o\.?\s*i\.?|loss( on ignition)?|ignition loss|gl(ü|ue)hverlust|perte au feu|ppc|"
    r"h2o|co2)\W*$",
    re.I,
)
#: “O = F”, “less O for F”: what analysts subtract for fluorine, which is done here by itself.
OXYGEN_FOR_F = re.compile(
    r"^[\s(\-−–]*(less|minus)?\s*o\s*(=|≡|≙|for|equiv\w*)\s*"
    r"(f2?|cl2?|f2?\s*(,|and|\+)\s*cl2?)\)?$",
    re.I,
)
IGNORED = re.compile(r"^(total|sum|summe|oxide|component|constituent|name|wt ?%|%|)\W*$", re.I)
_UNITS = {"%": 1.0, "ppm": 1e-4, "mg/kg": 1e-4}
_VALUE = re.compile(
    r"(?P<less>[<~≤]|max\.?|trace\b)?\s*(?P<number>.*?)\s*(?P<unit>%|ppm|mg/kg)?", re.I
)
#: What stands behind the name of an oxide or a loss: “(%)”, “wt %”, “(1000 °C)”, “at 1000 C”.
_BEHIND = re.compile(
    r"(\s*[(\[]?\s*((wt|weight|mass)?[.\s-]*(%|per ?cent|pct)|(at|@|\s)\s*\d{3,4}\s*°?\s*C|"
    r"\(\d{3,4}\s*°?\s*C)\s*[)\]]?)+\s*$",
    re.I,
)
#: A label of several words, blanks, and a number at the end of the line.
_LABELLED = re.compile(
    r"(.*[^\s:=<>~≤])[\s:=]+([<>~≤]?\s*[-−–]?\s*\d[\d.,]*\s*(?:%|ppm|mg/kg)?)", re.I
)
#: Blanks between label and value, and a decimal comma in it.
_SPACED = re.compile(r"[^,]*?[\s:=][<~≤]?\s*[0-9.]*,[0-9]+\s*%?")

_BLANKS = re.compile(r"[^\S\t]{2,}")

#: Analyses this close (sum of absolute differences, wt %) are taken as the same mineral, and a
#: rival this many times nearer is taken as the mineral meant. Common practice, no source.
_NEAR = 25.0
_TIMES_NEARER = 3.0


@dataclass(frozen=True, eq=False)
class Certificate:
    """What a certificate says, in oxides counted here; wt % of the raw material."""

    oxides_wt_percent: dict[str, float]
    loi_percent: float
    remarks: tuple[str, ...]


#: Oxides that stand in ores beside one that is counted, and do in glass what that does: counted as
#: it, mole for mole. Masses in g/mol from atomic weights (IUPAC 2021).
_STAND_INS = {"Rb2O": ("K2O", 186.9346), "Cs2O": ("K2O", 281.8099), "HfO2": ("ZrO2", 210.484)}


#: Carbonates that are printed instead of their oxides.
_CARBONATES = {
    f"{oxide.removesuffix('O')}CO3": oxide
    for oxide in ("CaO", "MgO", "BaO", "SrO", "Na2O", "K2O", "Li2O")
}
_CO2 = ATOMIC_WEIGHT["C"] + 2.0 * ATOMIC_WEIGHT["O"]
#: Oxygen that an analyst counts with the metal of a chloride, and that is not there.
_OXYGEN_FOR_CL = ATOMIC_WEIGHT["O"] / (2.0 * ATOMIC_WEIGHT["Cl"])
#: From this much SO3 (wt %) it is said that sulfates hold; our choice.
_MUCH_SO3 = 5.0
_HOLDING = ("Na2O", "K2O", "CaO", "MgO", "SrO", "BaO", "PbO")


def to_counted(compound: str) -> dict[str, float]:
    """An oxide in any state, or a fluoride -> moles per mole of what is counted here.

    Nothing for what leaves in the fire: water, carbonate, nitrate, sulfate, chloride. Raises
    ValueError if it is neither.
    """
    if compound in INDEX:
        return {compound: 1.0}
    if compound in _STAND_INS:
        return {_STAND_INS[compound][0]: 1.0}
    parts = {el: n for el, n in atoms(compound).items() if el != "O"}
    kept = {el: n for el, n in parts.items() if el not in (*LEAVES, "F")}
    if parts and not kept and "F" not in parts:
        return {}
    metal = next(iter(kept), "")
    if len(kept) != 1 or metal not in FATE or set(parts) - {metal, "F"} or len(parts) > 2:
        raise ValueError(f"“{compound}” is not an oxide counted here; oxygen is the letter O")
    if compound == metal and metal not in ("Ag", "Au"):
        raise ValueError(f"“{compound}” is not an oxide")
    target, per_unit = FATE[metal]
    counted = {target: kept[metal] / per_unit}
    return counted | ({"F": parts["F"]} if "F" in parts else {})


def compound_mass(compound: str) -> float:
    """g/mol of an oxide in any state, or of a fluoride."""
    if compound in INDEX:
        return float(MOLAR_MASS[INDEX[compound]])
    if compound in _STAND_INS:
        return _STAND_INS[compound][1]
    return sum(n * ATOMIC_WEIGHT[el] for el, n in atoms(compound).items())


def read_certificate(text: str, path: Path, commas: Convention = "") -> Certificate:
    """Read oxides and loss on ignition, one to a line or as a header row and a value row.

    Decimal commas, per cent signs, “<0.01” and a total line are understood. ``commas`` is what the
    table shows from which the text comes.
    """
    oxides: dict[str, float] = {}
    beside: dict[str, dict[str, float]] = {}  # what adds to an oxide that is printed itself
    loi: float | None = None
    losses: dict[str, float] = {}
    volatile = sulfate = chlorine = 0.0
    remarks: list[str] = []
    pairs, shown = _pairs(text, path)
    commas = commas or shown
    at_most("lines in a certificate", len(pairs), Place(path))
    for line, label, raw in pairs:
        place = Place(path, line)
        label = bare_label(label)
        if IGNORED.match(label) or OXYGEN_FOR_F.match(label.strip()):
            continue
        try:
            value = _value(raw, label, commas, remarks)
        except QuantityError as error:
            raise DataFileError(
                f"the amount of {label}: {error.message}", hint=error.hint, place=place
            ) from None
        if match := LOSS.match(label):
            kind = match[1].lower()
            if kind in losses:
                raise refusal("given-twice", place, label=label)
            losses[kind] = value
            loi = sum(losses.values())
            continue
        given = spelling(label)
        if oxide := _CARBONATES.get(given):
            if oxide in oxides:
                raise refusal("oxide-given-twice", place, oxide=oxide)
            mass = float(MOLAR_MASS[INDEX[oxide]])
            oxides[oxide] = value * mass / (mass + _CO2)
            volatile += value - oxides[oxide]
            remarks.append(f"{given} {value:g} % is counted as {oxide} {oxides[oxide]:.4g} %")
            continue
        try:
            counted = to_counted(given)
        except ValueError:
            raise refusal("no-oxide-counted-here", place, label=label) from None
        if not counted:
            volatile += value
            chlorine += value if given == "Cl" else 0.0
            sulfate += value if given in ("SO3", "SO2") else 0.0
            continue
        share = {
            oxide: value * moles * float(MOLAR_MASS[INDEX[oxide]]) / compound_mass(given)
            for oxide, moles in counted.items()
        }
        added = given in _STAND_INS or ("F" in counted and given != "F")
        if given in beside or (not added and not share.keys().isdisjoint(oxides)):
            raise refusal("oxide-given-twice", place, oxide=listed(list(share)))
        if added:
            beside[given] = share
        else:
            oxides |= share
        if given not in share and value:
            counted_as = listed([f"{oxide} {amount:.3g} %" for oxide, amount in share.items()])
            remarks.append(f"{given} {value:g} % is counted as {counted_as}")
    for share in beside.values():
        for oxide, amount in share.items():
            oxides[oxide] = oxides.get(oxide, 0.0) + amount
    if not oxides:
        raise refusal("no-oxides-found", Place(path))
    gap = 100.0 - float(solid_mass(vector(oxides))) - (loi or 0.0)
    # metals of chlorides are printed as oxides, whose oxygen is not there
    volatile = min(volatile, volatile - _OXYGEN_FOR_CL * chlorine, key=lambda v: abs(gap - v))
    if loi is None:
        loi = volatile if volatile else (round(gap, 2) if 0.0 < gap < 60.0 else 0.0)
        remarks.append(f"no loss on ignition is printed; {loi:g} % is taken, by difference")
    elif volatile and abs(gap - volatile) < abs(gap):  # printed beside the loss
        loi = round(loi + volatile, 4)
        remarks.append(f"what is printed beside the loss leaves too; the loss is {loi:g} %")
    if sulfate > _MUCH_SO3 and any(oxides.get(oxide, 0.0) > _MUCH_SO3 for oxide in _HOLDING):
        remarks.append(
            f"SO3 {sulfate:g} % is counted as leaving, but this sulfate holds beyond 1000 °C by "
            "itself: what the melt does not take up stays as scum or blisters"
        )
    problem = contradiction(oxides, loi)
    if problem:
        raise refusal("contradicts-itself", Place(path), problem=problem.rstrip("."))
    return Certificate(oxides, loi, tuple(remarks))


def _pairs(text: str, path: Path) -> tuple[list[tuple[int, str, str]], Convention]:
    """(line, label, value), and what commas mean in the values."""
    rows = []
    commas: Convention = ""
    for line, said in enumerate(text.splitlines(), start=1):
        if len(said) > toml.MAX_LINE:
            raise refusal("line-too-long", Place(path, line), most=toml.MAX_LINE)
        said = _BLANKS.sub(" ", said)
        if said.strip(" :=\t") and not said.lstrip().startswith("#"):
            cells, separator = _cells(said)
            rows.append((line, cells))
            commas = "point" if separator == "," else commas
    if len(rows) == 2 and 2 < len(rows[0][1]) == len(rows[1][1]) and not _is_value(rows[0][1][1]):
        pairs = [(rows[1][0], k, v) for k, v in zip(rows[0][1], rows[1][1], strict=True)]
    else:
        for line, cells in rows:
            if commas and len(cells) > 2 and cells[1].isdecimal() and cells[2].isdecimal():
                raise refusal(
                    "comma-or-two-columns", Place(path, line), first=cells[1], second=cells[2]
                )
        pairs = [(line, cells[0], _with_unit(cells[1:])) for line, cells in rows]
    return pairs, commas or convention(value for _, _, value in pairs)


def _with_unit(cells: list[str]) -> str:
    """The value, with its unit where that has a cell of its own."""
    unit = cells[1] if len(cells) > 1 and cells[1].lower() in _UNITS else ""
    return f"{cells[0]} {unit}".strip() if cells else ""


def _cells(line: str) -> tuple[list[str], str]:
    """The cells of a line, and what parts them."""
    for separator in ("\t", ";", "|"):
        if separator in line:
            return [c.strip().strip('"') for c in line.split(separator)], separator
    if re.search(r",\s", line):
        return [c.strip().strip('"') for c in re.split(r",\s+", line.strip())], ", "
    if "," in line and not _SPACED.fullmatch(line.strip()):
        return [c.strip() for c in next(csv.reader([line]))], ","
    if found := _LABELLED.fullmatch(line.strip()):
        label = bare_label(found[1])
        if LOSS.match(label) or IGNORED.match(label) or OXYGEN_FOR_F.match(label):
            return [label, found[2]], " "
        if label != found[1] and label.split() == [label]:  # “SiO2 (%)”
            return [label, found[2]], " "
    return line.replace("=", " ").replace(":", " ").split(None, 1), " "


def _is_value(cell: str) -> bool:
    return re.match(r"[<~≤]?\s*[0-9]", cell) is not None


def _value(raw: str, label: str, commas: Convention, remarks: list[str]) -> float:
    match = _VALUE.fullmatch(raw.strip())
    if not match or not (match["number"] or match["less"]):
        raise refusal("certificate-without-number")
    value = float(number(match["number"] or "0", commas)) * _UNITS[(match["unit"] or "%").lower()]
    if value < 0.0:
        raise refusal("certificate-below-zero")
    if match["less"] and match["less"] != "~":
        remarks.append(f"{label} “{raw.strip()}” is taken as {value / 2:g} %")
        return value / 2
    return value


#: Other states that analysts print, and what leaves.
_STATES = (
    "FeO", "Fe3O4", "MnO2", "Mn2O3", "Mn3O4", "Cu2O", "Co2O3", "Co3O4", "PbO2", "Pb3O4", "SnO",
    "Ti2O3", "Ni2O3", "V2O3", "V2O4", "Ce2O3", "Sb2O5", "Ag2O", "SO3", "CO2", "H2O", "SO2", "N2O5",
    "Cl", "CaF2", "NaF", "KF", "LiF", "MgF2", "AlF3", "BaF2", "SrF2", *_STAND_INS,
)  # fmt: skip
#: Lower case -> as it is spelt.
SPELLINGS = {o.lower(): o for o in (*INDEX, *_STATES)}


def bare_label(label: str) -> str:
    """Without units and temperatures behind it."""
    return _BEHIND.sub("", label).strip()


def spelling(label: str) -> str:
    """“sio2”, “SIO₂” -> “SiO2”; anything else as it is."""
    word = plain_digits(label.strip())
    word = {"f-": "F", "cl-": "Cl", "f−": "F", "cl−": "Cl"}.get(word.lower(), word)
    carbonate = next((one for one in _CARBONATES if one.lower() == word.lower()), word)
    return SPELLINGS.get(word.lower(), carbonate)


def distance(a: Material | Certificate, b: Material | Certificate) -> float:
    """Sum of absolute differences of oxides and LOI, wt %."""
    gap = np.abs(vector(a.oxides_wt_percent) - vector(b.oxides_wt_percent)).sum()
    return float(gap + abs(a.loi_percent - b.loi_percent))


def looks_like_another(
    analysis: Material | Certificate, named: list[Material], known: list[Material]
) -> Material | None:
    """Another material whose shipped analysis is much nearer than those of all materials with this
    name; None if there is none."""
    if not named:
        return None
    own = min(distance(analysis, m) for m in named)
    ids = {m.id for m in named}
    others = [m for m in known if m.id not in ids]
    rival = min(others, key=lambda m: distance(analysis, m), default=None)
    if rival is None or own <= _NEAR or distance(analysis, rival) * _TIMES_NEARER > own:
        return None
    return rival


def material_text(
    path: Path, key: str, names: tuple[str, ...], certificate: Certificate, **facts: object
) -> str:
    """What the file of a material says. Raises DataFileError where it could not be read back."""
    oxides = named(vector(certificate.oxides_wt_percent))
    table = {
        "names": names,
        "analysis": {o: round(v, 4) for o, v in oxides.items()},
        "loi": round(certificate.loi_percent, 4),
        **{fact: value for fact, value in facts.items() if value},
    }
    lines = [f"# {remark}" for remark in certificate.remarks]
    lines += [f"[{toml.bare(key)}]", *(f"{k} = {toml.written(v)}" for k, v in table.items())]
    text = "\n".join(lines) + "\n"
    read_materials(toml.parse(text, path), own=True)  # what is written must read back
    return text
