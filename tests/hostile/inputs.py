"""Hostile cases, made from a ``random.Random``: odd recipes, odd files, odd words.

Everything is drawn from the generator, so hypothesis can drive it and a seed repeats it.
"""

from __future__ import annotations

import math
import re
import shlex
from collections.abc import Sequence
from functools import cache
from random import Random
from typing import Any

from run_program import Case

from cofire.files.library import Library
from cofire.files.places import shipped

DAY = "raku-workshop"
NAMES = (
    "мел", "青釉", "каолин", "γάνωμα", "طلاء", "ग्लेज़", "釉薬", "e\u0301mail", "émail", "🜁", "İi",
    "ß",
    "a b", " ", "-", "--", "...", "con", "a:b", "x" * 200, "[red]", "[/]", "{x}", "%s", "#", '"',
    "'", "\\", "a\\n", "=1+1", "<script>", "&amp;", "\u202eabc", "\u200b", "\x1b[31m", "\x07", "\n",
)  # fmt: skip
_NUMBERS = (
    "0", "-1", "1e309", "-1e309", "1e-320", "5e-324", "nan", "inf", "-inf", "1e9", "999999999", "½",
    "1 1/2", "1/0", "1,000", "1.000", "0x10", "1_000", "07", ".5", "5.", "9" * 400, "1" * 5000,
    "1e", "٣", "٫5", "true", "12:30", "2026-11-26", "9**9**9", "-0", "1e400000",
)  # fmt: skip
_UNITS = (
    "g",
    "kg",
    "C",
    "F",
    "K",
    "min",
    "h",
    "s",
    "mm",
    "cm",
    "l",
    "%",
    "C/h",
    "oz",
    "parsec",
    "m²",
)
_LINES = (
    "[base", "base]", "[base]", "[[base]]", "[[segment]]", "[[pull]]", "[additions]", "[smoke]",
    "= 1",
    "a = ", "a.b.c = 1", 'x = """', "x = '''", "x = [1, [2, [3]]]", "kaolin = { a = 1 }",
    "kaolin = 1",
    '"recipe: frit-gloss" = 10', "crystals = { wollastonite = 99 }",
    'undissolved = { "tin oxide" = 100 }',
    "fluorine_kept = 2", "\x00", "\ufeff", "\r", "# …", "name = 5", "surface = 'gloss'",
    "silica = -1",
    '"\\u001b]0;x\\u0007" = 3', "base.kaolin = 5", "[a.b.c.d]", "", " " * 300, "Al9O3,5", "LOI,400",
)  # fmt: skip
#: Texts of kinds that are not shipped, by the name of a file.
_EXAMPLES = {
    "certificate.csv": "SiO2,61.2\nMgO,30.9\nAl2O3,0.9\nCaO,0.6\nLOI,5.8\n",
    "columns.csv": "Material;Weight (g)\nflint;1.200,5\ntalc;300\n+ bentonite;15\n",
    "glasses.csv": "glass,SiO2,Na2O,CaO,Al2O3,B2O3\na,60,12,10,8,10\nb,55,20,10,5,10\n",
    "curve.csv": "T,dL/L0\n" + "".join(f"{t},{t * 6e-6:.6f}\n" for t in range(20, 700, 20)),
    "log.csv": "time (min),temperature (C)\n"
    + "".join(f"{6 * k},{1100 - 1080 * math.exp(-0.1 * k):.1f}\n" for k in range(30))
    + "".join(f"{174 + 6 * k},{20 + 1020 * 0.9**k:.1f}\n" for k in range(1, 30)),
    "stock.toml": '[kaolin]\nhave = "2 kg"\nprice = 1.2\n["silica"]\nhave = "500 g"\n',
    "firing.toml": 'name = "One"\nsource = "invented"\n[[segment]]\nrate = "150 C/h"\n'
    'target = "960 C"\nhold = "30 min"\n[[pull]]\nname = "a"\nsegment = 1\nafter = "5 min"\n'
    'count = 3\nevery = "4 min"\nopen = "20 s"\n[kiln]\nkind = "small-fibre"\npower = "3 kW"\n',
    "recipe.toml": 'name = "Harbour clear"\nsurface = "crackle"\n'
    'undissolved = { "tin oxide" = 80 }\n'
    '[base]\n"soda-borosilicate frit, 3110 type" = "60 g" # two “quotes” """\n'
    'kaolin = "1/2 oz"\nsilica = "20 g"\n[additions]\n"tin oxide" = "5 g"\n',
}


@cache
def library() -> Library:
    return Library(None)


@cache
def _materials() -> list[str]:
    return sorted(library().materials)


@cache
def _texts(kind: str, inner: str = "") -> list[str]:
    return [p.read_text("utf-8") for p in sorted((shipped(kind) / inner).glob("*.toml"))]


@cache
def _seeds() -> dict[str, list[str]]:
    """Texts to begin with, by the name that the changed file has in the studio."""
    own = {"recipes/mine.toml": [*_texts("recipes"), _EXAMPLES["recipe.toml"]],
           "recipes/firings/mine.toml": [*_texts("recipes", "firings"), _EXAMPLES["firing.toml"]],
           "recipes/kilns/mine.toml": _texts("recipes", "kilns"),
           "materials/bodies/mine.toml": _texts("materials", "bodies"),
           "materials/mine.toml": [_first_tables(t) for t in _texts("materials")]}  # fmt: skip
    return own | {name: [_EXAMPLES[name]] for name in
                  ("certificate.csv", "columns.csv", "glasses.csv", "log.csv", "stock.toml")} | {
                  "materials/bodies/curve.csv": [_EXAMPLES["curve.csv"]]}  # fmt: skip


def _first_tables(text: str) -> str:
    tables = [f"[own-{table}" for table in text.split("\n[")[1:4]]
    return "\n".join(tables) + "\n"


#: What is asked of a changed file; one of these is drawn.
_ASKED: dict[str, Sequence[str]] = {
    "recipes/mine.toml": (
        "formula mine --more",
        "formula mine --json",
        "check",
        "recipes",
        "fit mine --body raku",
        "pair mine --firing raku-workshop --body raku",
        "set mine 'kaolin = 12'",
        "set mine '+ tin oxide = 3' --why white",
        "keep mine --why so",
        "history mine",
        "table mine",
        "table mine --dry '2 kg'",
        "batch mine --dry '2 kg'",
        "shake mine",
        "adjust mine --want 'expansion 7'",
        "levers mine --want 'crazes at most 20 %' --body raku",
        "swap mine kaolin",
        "blend mine frit-gloss --steps 3",
        "batch mine --dry '1 kg' --html x.html",
        "batch mine --dry '9 kg' --scale-carries '2 kg' --phone x.html --projector x.pdf",
    ),
    "recipes/firings/mine.toml": (
        "firing mine",
        "firing mine frit-gloss --json",
        "firings",
        "check",
        "pair frit-gloss --firing mine",
        "lustre copper-lustre --firing mine",
        "day mine --pots 20 --pot '12 x 15 cm' --chamber '40 x 45 cm' --bins 3",
        "day mine --pots 9 --pot '12 x 15 cm' --chamber '40 x 45 cm' --bins 3 --wall x.pdf"
        " --cards y.pdf",
        "batch clear-crackle --pieces '14 pots' --firing mine --bins 2",
    ),
    "recipes/kilns/mine.toml": ("firing raku-workshop --kiln mine", "kilns", "check"),
    "materials/bodies/mine.toml": (
        "fit frit-gloss --body mine",
        "bodies",
        "check",
        "tile 'clear-crackle, 3 brushed, crazed 4 mm' --body mine",
    ),
    "materials/bodies/curve.csv": ("fit frit-gloss --body curved",),
    "materials/mine.toml": ("materials", "formula frit-gloss", "check", "materials find a"),
    "certificate.csv": (
        "materials add certificate.csv --id mine --name мел --supplier Tide --date 2026 --trust",
    ),
    "columns.csv": (
        "read columns.csv",
        "read columns.csv --save recipes/new.toml",
        "read columns.csv --json",
    ),
    "glasses.csv": (
        "predict glasses.csv --basis mol",
        "predict glasses.csv --basis wt --out out.csv",
    ),
    "log.csv": ("kiln-log log.csv", "kiln-log log.csv --save mine"),
    "stock.toml": (
        "batch clear-crackle --dry '2 kg'",
        "check",
        "adjust frit-gloss --want 'cost at most 0.4'",
    ),
}


def changed_file(rng: Random) -> Case:
    """A file that some hand or cat changed, and a question about it."""
    name = rng.choice(sorted(_ASKED))
    raw = _changed(rng, rng.choice(_seeds()[name]))
    files = {name: raw}
    if name.endswith("curve.csv"):
        files["materials/bodies/curved.toml"] = _CURVED
    if name == "recipes/mine.toml" and rng.random() < 0.3:
        files["recipes/firings/own.toml"] = _EXAMPLES["firing.toml"].encode()
    return Case(shlex.split(rng.choice(_ASKED[name])), files)


_CURVED = b'name = "Curved"\nsource = "invented"\nkind = "raku"\n[expansion]\ncurve = "curve.csv"\n'


def _changed(rng: Random, text: str) -> bytes:
    for _ in range(rng.randint(1, 3)):
        text = rng.choice((_token, _token, _structure, _structure, _name))(rng, text)
    raw = text.encode(errors="surrogatepass")
    return _bytes(rng, raw) if rng.random() < 0.3 else raw


def _token(rng: Random, text: str) -> str:
    """One number, or one unit, for another."""
    found = list(re.finditer(r"[0-9][0-9.]*|(?<=[0-9] )[A-Za-z%/]+", text))
    if not found:
        return text
    at = rng.choice(found)
    new = rng.choice(_NUMBERS if at[0][0].isdigit() else _UNITS)
    return text[: at.start()] + new + text[at.end() :]


def _name(rng: Random, text: str) -> str:
    found = list(re.finditer(r"[A-Za-z_][A-Za-z_-]+", text))
    if not found:
        return text
    at = rng.choice(found)
    return text[: at.start()] + rng.choice(NAMES) + text[at.end() :]


def _structure(rng: Random, text: str) -> str:
    """Lines dropped, doubled, moved, and lines of other files."""
    lines = text.split("\n")
    k, other = (rng.randrange(len(lines)) for _ in range(2))
    match rng.randrange(6):
        case 0:
            del lines[k]
        case 1:
            lines.insert(other, lines[k])
        case 2:
            lines.insert(other, lines.pop(k))
        case 3:
            lines.insert(k, rng.choice(_LINES))
        case 4:
            lines[k] = rng.choice(_LINES)
        case _:
            lines = lines[: k + 1]
    return "\n".join(lines)


def _bytes(rng: Random, raw: bytes) -> bytes:
    if not raw:
        return raw
    start = rng.randrange(len(raw))
    end = min(len(raw), start + rng.randrange(1, 8))
    new = bytes(rng.randrange(256) for _ in range(rng.randrange(4)))
    return raw[:start] + new * rng.choice((1, 1, 1, 300)) + raw[end:]


def odd_recipe(rng: Random) -> str:
    """1 to 8 shipped materials in amounts over 12 decades, additions,
    solids: TOML that is sound."""

    def amount() -> float:
        decades = (-6.0, 6.0) if rng.random() < 0.5 else (-0.5, 2.0)
        return float(f"{10.0 ** rng.uniform(*decades):.6g}")

    names = rng.sample(_materials(), rng.randint(1, 8))
    grains = [name for name in names if library().materials[name].grain]
    split = rng.randint(1, len(names))
    surface = rng.choice(("gloss", "satin", "matte", "dry matte", "crackle", "lustre"))
    lines = [f'surface = "{surface}"']
    if rng.random() < 0.1:
        kind = rng.choice(("wollastonite", "anorthite", "diopside"))
        lines.append(f"crystals = {{ {kind} = {rng.choice((1, 15, 50, 100))} }}")
    if grains and rng.random() < 0.3:
        lines.append(f'undissolved = {{ "{grains[0]}" = {rng.choice((0, 50, 100))} }}')
    lines += ["[base]", *(f'"{name}" = {amount()!r}' for name in names[:split])]
    if names[split:]:
        lines += ["[additions]", *(f'"{name}" = {amount()!r}' for name in names[split:])]
    return "\n".join(lines) + "\n"


_TARGETS = (
    "expansion 7.2", "expansion at most 6", "stress at most 10 MPa", "crackle 5 mm",
    "black crackle 5 mm",
    "fits", "ripe", "ripe at 920 C", "SiO2 2.5", "Al2O3 at least 0.3", "B2O3 at most 0.2",
    "SiO2:Al2O3 at least 6", "clay at least 8 %", "soluble at most 2 %", "loi at most 5 %",
    "kaolin at most 5", "Na2O 0.4",
)  # fmt: skip
_BODIES = ("raku", "unknown", "white-earthenware", "porcelain", "yard-raku")
_FIRINGS = (DAY, "raku-one-load", "earthenware-cone-04", "earthenware-cone-06")


def odd_glaze(rng: Random) -> Case:
    """A question about glazes that are sound in form and odd in substance."""
    files = {f"recipes/{name}.toml": odd_recipe(rng).encode() for name in ("a", "b")}
    maybe: list[str] = []
    if rng.random() < 0.7:
        maybe += ["--body", rng.choice(_BODIES)]
    if rng.random() < 0.7:
        maybe += ["--firing", rng.choice(_FIRINGS)]
    if rng.random() < 0.2:
        maybe += ["--coat", rng.choice(("3 brushed", "0.01 mm fired", "5 mm fired", "0.5 mm dry"))]
    if rng.random() < 0.2:
        maybe += ["--cooling", rng.choice(("20 s air, 30 min bin, water", "100 C/h", "1 min air"))]
    fired, body = rng.choice(_FIRINGS), rng.choice(_BODIES)
    first = library().material(_first_name(files["recipes/a.toml"]))[0].id
    wants = [word for _ in range(rng.randint(1, 3)) for word in ("--want", rng.choice(_TARGETS))]
    words: list[Any] = list(rng.choice((
        ("formula", "a"), ("formula", "a", "--more"), ("fit", "a", "b", "--body", body),
        ("fit", "a", *_with(maybe, "--body", body)), ("pair", "a", "b", *_with(maybe, "--firing",
        fired)),
        ("blend", "a", "b", "--steps", "3", *maybe), ("blend", "a", "--add", "tin oxide 0-8",
        *maybe),
        ("map", "a", *maybe), ("map", "a", "--across", "SiO2 1-5", "--up", "Al2O3 0.1-0.8", *maybe),
        ("shake", "a", *maybe), ("adjust", "a", *wants, *maybe), ("swap", "a", first),
        ("levers", "a", "--want", "black crackle 9 mm", *_with(maybe, "--body", body)),
        ("compose", "a"), ("lustre", "a", *maybe), ("firing", fired, "a", "b"),
        ("fired", "a", "--clay", body, "--coat", "1 dip", "--result", "crazed 4 mm"),
        ("tile", "a, 3 brushed, crazed 4 mm", "b, 1 dip, whole", "--body", body),
        ("batch", "a", "--bucket", "10 l"), ("batch", "a", "b", "--pieces", "14 students x 2 pots"),
        ("table", "a", "--dry", "1 kg"), ("adjust", "a", *maybe),
    )))  # fmt: skip
    return Case([*words, *(["--json"] if rng.random() < 0.3 else [])], files)


def _with(maybe: list[str], option: str, value: str) -> list[str]:
    return maybe if option in maybe else [*maybe, option, value]


def _first_name(text: bytes) -> str:
    match = re.search(r'\[base\]\n"([^"]+)"', text.decode())
    assert match
    return match[1]


_OPTIONS = {
    "--coat": ("3 brushed", "0.3 mm fired"), "--wall": ("6 mm",), "--load": ("6 kg",),
    "--cooling": ("20 s air, 30 min bin, water",), "--odds": ("0.9",), "--horizon": ("5",),
    "--steam": ("5 bar, 2 h",),
    "--price": ("0.3",), "--clear-foot": ("10 mm",), "--ripple": ("2 mm",), "--grain": ("0.02 mm",),
    "--kiln": ("small-brick",), "--shape": ("tile",), "--body": ("raku",), "--firing": (DAY,),
    "--dry": ("2 kg",), "--bucket": ("10 l",), "--pieces": ("14 students x 5 tiles and 2 pots",),
    "--tile": ("10 x 10 cm",), "--pot": ("12 x 15 cm",), "--scale": ("0.1 g",),
    "--density": ("1.45",),
    "--buckets": ("3",), "--bucket-size": ("2 l",), "--people": ("9",), "--teams": ("3",),
    "--title": ("Class",), "--date": ("May",), "--steps": ("4",), "--add": ("tin oxide 0-8",),
    "--slurry": ("1.45",), "--cup": ("60 g",), "--tiles": ("3",), "--across": ("silica 5-30",
    "SiO2 2-5"),
    "--up": ("kaolin 0-20",), "--show": ("stress",), "--batch": ("200 g",), "--want": _TARGETS,
    "--from": ("talc,silica",), "--keep": ("kaolin",), "--without": ("kaolin",), "--most": ("4",),
    "--pots": ("28",), "--chamber": ("40 x 45 cm",), "--bins": ("3",), "--per-bin": ("2",),
    "--hands": ("3",), "--start": ("9:00",), "--end": ("15:30",), "--break": ("12:00-12:45",),
    "--why": ("so",),
    "--level": ("0.9",), "--at": ("1",),
}  # fmt: skip
_COMMANDS = (
    "pair frit-gloss true-matte --firing raku-workshop",
    "fit clear-crackle --body raku",
    "blend clear-crackle frit-gloss",
    "firing raku-workshop frit-gloss",
    "formula frit-gloss",
    "map frit-gloss",
    "shake frit-gloss",
    "adjust clear-crackle",
    "swap white-crackle 'natural borate'",
    "compose '0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2'",
    "tile 'clear-crackle, 3 brushed, crazed 4 mm' --body raku",
    "lustre copper-lustre",
    "batch clear-crackle",
    "batch clear-crackle frit-gloss --school",
    "day raku-workshop --pots 9 --pot '9 x 9 cm' --chamber '40 x 45 cm' --bins 2",
    "set mine 'kaolin = 12'",
    "keep mine",
    "history mine",
    "table mine",
    "materials show kaolin",
    "materials find borate",
    "recipes",
    "explain crazing",
    "init",
)


def odd_words(rng: Random) -> Case:
    """A command with options of which some are odd."""
    words = shlex.split(rng.choice(_COMMANDS))
    for _ in range(rng.randint(0, 3)):
        option = rng.choice(sorted(_OPTIONS))
        words += [option, rng.choice(_OPTIONS[option])]
    for _ in range(rng.randint(1, 2)):
        k = rng.randrange(1, len(words)) if len(words) > 1 else 0
        change = rng.choice((_token, _token, _name, _whole))
        words[k] = change(rng, words[k]).replace("\0", "")
    if "\n" in "".join(words[:1]) or words[0].startswith("-"):
        words = words[1:]
    return Case(words, {"recipes/mine.toml": _EXAMPLES["recipe.toml"].encode()})


def _whole(rng: Random, text: str) -> str:
    return rng.choice((*NAMES, *_NUMBERS, text + text, text[: len(text) // 2], ""))


MAKERS = {"file": changed_file, "glaze": odd_glaze, "words": odd_words}
