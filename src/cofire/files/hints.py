"""Which materials an unknown name may mean: for hints only, nothing is read by them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, cached_property

from cofire.files import toml
from cofire.records import Material

#: What has less of the oxide that a name speaks of is not meant, wt %; our choice.
_LEAST_WT = 3.0
#: Names that fit less are not offered, nor those that fit so much less than the best; our choice.
_LEAST_FIT, _NEAR = 0.5, 0.2
#: So many digits are the number of a frit; fewer are a mesh size or a grade.
_FRIT_DIGITS = 4
#: How much a word that only tells a grade counts, and the number of a frit; our choice.
_GRADE, _NUMBER = 0.25, 3.0
#: How much less a word counts that stands only in the id; our choice.
_IN_ID = 0.8
#: Letters of a name that are looked at; no material has so long a name.
_LONGEST = 80
#: Which salt a metal alone means, likeliest first; common practice, no source.
_USUAL = ("oxide", "carbonate", "silicate")
#: What in a formula makes a salt of which kind.
_GROUPS = {
    "CO3": "carbonate", "HCO3": "bicarbonate", "SO4": "sulfate", "NO3": "nitrate",
    "PO4": "phosphate", "Cl": "chloride",
}  # fmt: skip


@dataclass(frozen=True)
class _Terms:
    """The file ``abbreviations.toml``."""

    names: dict[tuple[str, ...], list[str]]
    words: dict[str, str]
    oxides: dict[str, str]
    salts: dict[str, str]
    grades: frozenset[str]
    vague: frozenset[str]


@cache
def _terms() -> _Terms:
    data = toml.beside(__file__, "abbreviations.toml")
    return _Terms(
        {tuple(name.split()): meant.split() for name, meant in data["names"].items()},
        data["words"],
        data["oxides"],
        data["salts"],
        _all_words(data["grades"]),
        _all_words(data["grades"]) | _all_words(data["vague"]),
    )


def _all_words(table: dict[str, str]) -> frozenset[str]:
    return frozenset(" ".join(table.values()).split())


@dataclass(frozen=True, eq=False)
class _Name:
    """A name that can be hinted at: as it is shown, its words, and what can be said of it."""

    shown: str
    words: frozenset[str]
    id_words: frozenset[str]
    material: Material
    salts: frozenset[str]  # of all names of the material
    usual: float  # the more, the likelier it is meant where several names fit alike

    @cached_property
    def numbers(self) -> frozenset[str]:
        return frozenset(word for word in self.words if word.isdigit())

    @cached_property
    def weight(self) -> float:
        return sum(map(_weight, self.words))


class Hints:
    """Names to choose from; ``named`` are the names that mean one material, with it."""

    def __init__(self, named: Mapping[str, Material]) -> None:
        self._named = named
        self._read: dict[str, tuple[str, float]] = {}  # words that were asked for before

    @cached_property
    def _names(self) -> list[_Name]:
        terms = _terms()
        salts: dict[str, frozenset[str]] = {}
        for material in self._named.values():
            words = {word for name in material.names for word in _words(name)}
            said = {terms.salts[word] for word in words if word in terms.salts}
            salts[material.id] = frozenset(said | _salts_of(material.formula or ""))
        names = []
        for shown, material in self._named.items():
            its_salts = salts[material.id]
            in_name, in_id = frozenset(_words(shown)), frozenset(_words(material.id))
            usual = _usual(shown, material, its_salts)
            names.append(_Name(shown, in_name, in_id, material, its_salts, usual))
        return names

    @cached_property
    def _vocabulary(self) -> frozenset[str]:
        terms = _terms()
        known = {word for name in self._names for word in name.words}
        return frozenset(known | set(terms.oxides) | set(terms.salts))

    @cached_property
    def _by_length(self) -> dict[int, list[tuple[str, int]]]:
        """Length -> known words and the letters that each holds."""
        found: dict[int, list[tuple[str, int]]] = {}
        for word in self._vocabulary:
            found.setdefault(len(word), []).append((word, _letters(word)))
        return found

    @cached_property
    def _by_ends(self) -> dict[tuple[int, str], list[str]]:
        """(0, first letter) or (-1, last letter) -> known words."""
        found: dict[tuple[int, str], list[str]] = {}
        for word in self._vocabulary:
            for at in (0, -1):
                found.setdefault((at, word[at]), []).append(word)
        return found

    @cached_property
    def _by_word(self) -> dict[str, list[int]]:
        """Places in ``_names`` of those that hold a word or its like, in order."""
        found: dict[str, list[int]] = {}
        for place, name in enumerate(self._names):
            like = {one for word in name.words for one in _likes().get(word, (word,))}
            for word in like | name.id_words:
                found.setdefault(word, []).append(place)
        return found

    @cached_property
    def _formulas(self) -> dict[str, list[_Name]]:
        found: dict[str, list[_Name]] = {}
        for name in self._names:
            if name.material.formula:
                found.setdefault(_formula(name.material.formula), []).append(name)
        return found

    def of(self, wanted: str, most: int = 3) -> list[str]:
        """At most so many names of different materials that may be meant, the likeliest first."""
        wanted = wanted[:_LONGEST]
        as_formula = self._formulas.get(_formula(wanted), [])
        fits = {name: 1.0 + name.usual for name in as_formula} or self._fits(wanted)
        ranked = sorted(fits, key=lambda name: (-fits[name], len(name.shown)))
        found: dict[str, str] = {}
        for name in ranked:
            if fits[name] > fits[ranked[0]] - _NEAR:
                found.setdefault(name.material.id, name.shown)
        return list(found.values())[:most]

    def _fits(self, wanted: str) -> dict[_Name, float]:
        terms = _terms()
        asked = [self._meant_once(word) for word in self._joined_or_split(_words(wanted))]
        weights = {word: _weight(word) for word, _ in asked}
        if not set(weights) - terms.vague:
            return {}
        sure = {word for word, surety in asked if surety >= 0.6}
        oxides = {terms.oxides[word] for word in sure if word in terms.oxides}
        salts = {terms.salts[word] for word in sure if word in terms.salts}
        numbers = {word for word, _ in asked if word.isdigit()}
        fits: dict[_Name, float] = {}
        likes = _likes()
        meets: dict[str, float] = {}  # word of a name -> how well what is asked says it
        for word, surety in asked:
            for one in (word, *likes.get(word, ())):
                meets[one] = max(meets.get(one, 0.0), surety * (1.0 if one == word else 0.8))
        telling = weights.keys() - terms.vague
        places = {place for word in telling for place in self._by_word.get(word, ())}
        for name in map(self._names.__getitem__, sorted(places)):
            contents = name.material.oxides_wt_percent
            if (
                any(contents.get(oxide, 0.0) < _LEAST_WT for oxide in oxides)
                or (salts and (oxides or name.salts) and not salts & name.salts)
                or (numbers and name.numbers and not numbers & name.numbers)
            ):
                continue
            met: dict[str, float] = {}
            for word, surety in asked:
                its_like = 0.8 * (not name.words.isdisjoint(likes.get(word, ())))
                like = 1.0 if word in name.words else its_like
                like = surety * max(like, _IN_ID * (word in name.id_words))
                met[word] = max(met.get(word, 0.0), like)
            if not any(fit >= 0.5 for word, fit in met.items() if word not in terms.vague):
                continue
            share = sum(weights[w] * fit for w, fit in met.items()) / sum(weights.values())
            covered = sum(_weight(one) * meets.get(one, 0.0) for one in name.words)
            own = name.weight
            fit = 0.65 * share + 0.35 * covered / own if own else 0.0
            if fit >= _LEAST_FIT:
                fits[name] = fit + name.usual
        return fits

    def _joined_or_split(self, words: list[str]) -> list[str]:
        """Words as they stand in names: “fire clay” is “fireclay”, “magcarb” are two."""
        done: list[str] = []
        for word in words:
            if done and done[-1] + word in self._vocabulary:
                done[-1] += word
            else:
                done += self._halves(word) or [word]
        return done

    def _halves(self, word: str) -> list[str]:
        terms = _terms()
        if self._near(word, 1):
            return []
        for at in range(3, len(word) - 1):
            halves = [terms.words.get(half, half) for half in (word[:at], word[at:])]
            if all(half in self._vocabulary for half in halves):
                return halves
        return []

    def _near(self, word: str, most: int) -> dict[str, int]:
        """Known words that are at most so many letters away, and how many. Each such letter changes
        at most two of those that a word holds, so few need to be compared."""
        letters = _letters(word)
        found = {
            known: distance(word, known, most)
            for length in range(len(word) - most, len(word) + most + 1)
            for known, its in self._by_length.get(length, ())
            if (its ^ letters).bit_count() <= 2 * most
        }
        return {known: away for known, away in found.items() if away <= most}

    def _meant_once(self, word: str) -> tuple[str, float]:
        if word not in self._read:
            self._read[word] = self._meant(word)
        return self._read[word]

    def _meant(self, word: str) -> tuple[str, float]:
        """The known word that is meant, and how surely, 0 to 1. All words that are like none are
        one empty word, so several count no more than one."""
        if word in self._vocabulary or word in _terms().grades or word.isdigit():
            return word, 1.0
        best, surety = "", 0.0
        errors = (1 if len(word) < 7 else 2) if len(word) >= 4 else -1
        near = self._near(word, errors)
        ends = self._by_ends
        for known in {*ends.get((0, word[0]), ()), *ends.get((-1, word[-1]), ()), *near}:
            if len(word) >= 3 and known.startswith(word):
                like = 0.7 + 0.3 * len(word) / len(known)
            elif len(known) >= 4 and word.startswith(known):
                like = 0.6 + 0.3 * len(known) / len(word)
            elif len(known) >= 6 and word.endswith(known):
                like = 0.8
            elif known in near:
                like = 1.0 - 1.2 * near[known] / max(len(word), len(known))
            else:
                continue
            if (like, known) > (surety, best):
                best, surety = known, like
        return best, surety


def _words(text: str) -> list[str]:
    """The words of a name, spelled as ours; numbers only of frits."""
    terms = _terms()
    text = unicodedata.normalize("NFKC", text).casefold()
    words = re.findall(r"[^\W\d_]+|\d+", text)
    words = [w for w in words if not w.isdigit() or len(w) >= _FRIT_DIGITS]
    words = terms.names.get(tuple(words), words)
    return [terms.words.get(word, word) for word in words if len(word) > 1 or word in terms.words]


def _letters(word: str) -> int:
    """Which letters a word holds, as bits; several letters may share one."""
    bits = 0
    for letter in word:
        bits |= 1 << ord(letter) % 32
    return bits


@cache
def _likes() -> dict[str, list[str]]:
    """Word -> itself and those that mean the same oxide or salt."""
    found: dict[str, list[str]] = {}
    for kinds in (_terms().oxides, _terms().salts):
        for word, kind in kinds.items():
            found.setdefault(word, []).extend(one for one, its in kinds.items() if its == kind)
    return found


def _weight(word: str) -> float:
    return _GRADE if word in _terms().grades else _NUMBER if word.isdigit() else 1.0


def _usual(shown: str, material: Material, salts: Iterable[str]) -> float:
    """Up to 0.1: materials that are meant by plain names, and by those that name a metal alone."""
    defaults = {name.casefold() for name in material.default_for}
    kind = min((_USUAL.index(salt) for salt in salts if salt in _USUAL), default=len(_USUAL))
    return (
        0.04 * (shown.casefold() in defaults)
        + 0.01 * bool(defaults)
        + 0.01 * (len(_USUAL) - kind)
        + 0.01 * (shown == material.name)
    )


def _salts_of(formula: str) -> set[str]:
    """The other half of a salt, from its formula."""
    found = {salt for group, salt in _GROUPS.items() if group in formula}
    metals = set(re.findall(r"[A-Z][a-z]?", formula)) - {"O"}
    return found | ({"oxide"} if len(metals) == 1 and "O" in formula else set())


def _formula(text: str) -> str:
    return re.sub(r"\s", "", unicodedata.normalize("NFKC", text)).casefold()


def distance(one: str, other: str, most: int) -> int:
    """Letters to add, drop, change or swap with a neighbour (Damerau and Levenshtein); more than
    ``most`` is given as ``most + 1``."""
    if abs(len(one) - len(other)) > most:
        return most + 1
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, letter in enumerate(one, 1):
        earlier, before = before, row
        row = [i]
        for j, also in enumerate(other, 1):
            least = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != also))
            if i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == also:
                least = min(least, earlier[j - 2] + 1)
            row.append(least)
        if min(row) > most:
            return most + 1
    return min(row[-1], most + 1)
