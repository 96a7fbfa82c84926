"""The one grammar of numbers that people type, in options, in files and in tables."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from numbers import Real
from typing import Literal

from cofire.errors import QuantityError, refusal

#: What a table shows a comma to mean: it marks decimals, or thousands. “point”: nothing shows that,
#: but points mark decimals. Empty: nothing shows either.
Convention = Literal["decimal", "thousands", "point", ""]

#: Nothing that people type in one go is longer, and no number; our choice.
LONGEST_TEXT, LONGEST = 400, 60
#: A number other than nothing lies between these; our choice.
_LEAST, _MOST = Decimal("1e-15"), Decimal("1e9")

_SIGN = "[+\\-−–]"
_SMALL = "¼½¾⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_POWER = r"(?:[eE][+\-−]?[0-9]{1,3}(?![0-9]))?"
#: A number inside a longer text, where a blank ends it and a comma in front parts it.
NUMBER = rf"{_SIGN}?(?:[0-9]+/[0-9]+|(?:[0-9]+(?:[.,][0-9]+)*\.?|\.[0-9]+){_POWER}|[{_SMALL}])"
#: A number alone: also “,5”, “1 234”, “1’234”, “2 1/2”, “2½” and “12.”.
ALONE = (
    rf"(?:{_SIGN}\s*)?(?:(?:[0-9]+\s*)?[{_SMALL}]|(?:[0-9]+\s+)?[0-9]+\s?[/⁄]\s?[0-9]+"
    rf"|[0-9]{{1,3}}(?P<gap>[ '’\u00a0\u2009\u202f])[0-9]{{3}}(?:(?P=gap)[0-9]{{3}})*(?![0-9])"
    rf"(?:[.,][0-9]+)?"
    rf"|(?:[0-9]+(?:[.,][0-9]+)*\.?|[.,][0-9]+){_POWER})"
)
_ALONE = re.compile(ALONE)
_BODY = re.compile(rf"{ALONE}(?![0-9])")
_FRACTION = re.compile(rf"(?:([0-9]+)\s*(?=[{_SMALL}]|\s))?\s*(?:([0-9]+)\s?[/⁄]\s?([0-9]+)|(.))")
_BLANKS = re.compile("[ '’\u00a0\u2009\u202f]")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}([.,])[0-9]{3}(?:\1[0-9]{3})*")


def number(text: object, commas: Convention = "") -> Decimal:
    """“12.5”, “12,5”, “1 234,5”, “7.2e-6”, “2 1/2” -> an exact decimal.

    ``commas`` is what the table around it shows. Raises QuantityError if it is not a number, and
    for “1,200” or “1.500”, which could mean two.
    """
    words = str(text).strip()
    if len(words) > LONGEST or not _ALONE.fullmatch(words):
        shown = words if len(words) <= LONGEST else f"{words[: LONGEST // 2]}…"
        raise QuantityError(f"“{shown}” is not a number.", hint="Write one number, such as 12.5.")
    body = re.sub(rf"^{_SIGN}\s*", "", words)
    value = _fraction(body, words) if re.search(rf"[/⁄{_SMALL}]", body) else _decimal(body, commas)
    if value and not _LEAST <= value < _MOST:
        raise QuantityError(f"“{words}” is not a usable number.", hint="Check it.")
    return -value if words[0] in "-−–" else value


def is_number(text: object, commas: Convention = "") -> bool:
    """Whether ``number`` reads it."""
    try:
        number(text, commas)
    except QuantityError:
        return False
    return True


def whole_number(text: object) -> int:
    """“14” -> 14. Raises QuantityError if it is not a whole number."""
    value = number(text)
    if value != value.to_integral_value():
        raise QuantityError(f"“{text}” is not a whole number.", hint="Write it without decimals.")
    return int(value)


def convention(cells: Iterable[str]) -> Convention:
    """What commas mean in these cells, by those that can only be read in one way."""
    result: set[Convention] = set()
    for cell in cells:
        bare = _bare(match[0]) if (match := _BODY.search(cell[:LONGEST_TEXT])) else ""
        if "," in bare and "." in bare:
            result.add("decimal" if bare.rindex(",") > bare.rindex(".") else "thousands")
        elif bare.count(",") == 1 and not _GROUPED.fullmatch(bare):
            result.add("decimal")
        elif bare.count(".") == 1 and not _GROUPED.fullmatch(bare):
            result.add("thousands")  # the point marks decimals
    return result.pop() if len(result) == 1 else ""


def written(value: Decimal | float) -> str:
    """A number in words that ``number`` can read: never three decimals, which look like
    thousands."""
    exact = value if isinstance(value, Decimal) else Decimal(f"{value:.12g}")
    text = f"{exact:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{text}0" if _GROUPED.fullmatch(text.lstrip("-")) else text


def quantity_text(
    given: Mapping[str, object], name: str, unit: str, example: str = ""
) -> str | None:
    """A quantity as text, ``given`` as that or, under “name_unit”, as a number of a ``unit``.

    None where neither is given. Raises QuantityError for both, and for what is neither.
    """
    in_numbers = f"{name}_{unit.lower().replace('/', '_per_')}"
    text, amount = given.get(name), given.get(in_numbers)
    if text is not None and amount is not None:
        raise refusal("said-in-two-ways", first=name, second=in_numbers)
    if amount is None:
        if not isinstance(text, str | None):
            raise refusal(
                "not-text", name=name, example=example or f"6 {unit}", in_numbers=in_numbers
            )
        return text
    if isinstance(amount, bool) or not isinstance(amount, int | float | Real | Decimal):
        raise refusal("not-a-number", what=in_numbers, example="6")
    value = float(amount)
    if not math.isfinite(value):
        raise refusal("not-a-number", what=in_numbers, example="6")
    return f"{written(value)} {unit}"


def short(text: str) -> str:
    """The text. Raises QuantityError if it is too long to be typed."""
    if len(text) > LONGEST_TEXT:
        raise QuantityError(f"“{text[:LONGEST]}…” is too long.", hint="Write less in one go.")
    return text


def items(text: str) -> list[str]:
    """What commas and semicolons part, but for commas inside a number: “0,3 CaO, tin” are two."""
    return re.split(r"\s*(?:;|,(?![0-9])|(?<![0-9]),)\s*", text.strip())


def _bare(text: str) -> str:
    """Without sign, power and what parts thousands besides points and commas."""
    return re.sub(r"[eE].*", "", _BLANKS.sub("", text).lstrip("+-−–")).rstrip(".")


def _fraction(body: str, text: str) -> Decimal:
    match = _FRACTION.fullmatch(body)
    if match and match[4]:
        part = Fraction(unicodedata.numeric(match[4])).limit_denominator(10)
    elif match and int(match[3]):
        part = Fraction(int(match[2]), int(match[3]))
    else:
        part = Fraction(-1)
    if not match or part < 0 or (match[1] and part >= 1):
        raise QuantityError(f"“{text}” is not a fraction.", hint="Write for example 1/4 or 2 1/2.")
    value = part + int(match[1] or 0)
    return Decimal(value.numerator) / Decimal(value.denominator)


def _decimal(body: str, commas: Convention) -> Decimal:
    bare = _bare(body)
    power = re.search(r"[eE]([+\-−]?[0-9]+)$", body)
    spaced = bool(_BLANKS.search(body))
    marks = re.sub("[0-9]", "", bare)
    if len(marks) > 1 and len(set(marks)) == 1 and _GROUPED.fullmatch(bare):
        bare = bare.replace(marks[0], "")
    elif len(marks) > 1:
        head, _, tail = bare.rpartition(marks[-1])
        if not _GROUPED.fullmatch(head) or marks[-1] in head:
            raise QuantityError(f"“{body}” is not one number.", hint="Write it like 1234.5.")
        bare = re.sub("[.,]", "", head) + "." + tail
    elif marks and not power and not spaced and _GROUPED.fullmatch(bare):
        point, none = bare.replace(",", "."), bare.replace(marks, "")
        settled = {",": {"decimal": point, "thousands": none}, ".": {"thousands": point,
                   "point": point}}[marks].get(commas)  # fmt: skip
        if settled is None:
            one = written(Decimal(point))
            raise refusal("two-numbers", body=body, point=point, one=one, none=none)
        bare = settled
    value = Decimal(bare.replace(",", "."))
    return value.scaleb(int(power[1].replace("−", "-"))) if power else value
