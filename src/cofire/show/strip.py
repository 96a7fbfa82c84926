"""The strip from shivering to crazing, and where a glaze lies on it."""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter

from cofire.answers.results.fit import FitAnswer
from cofire.model.strip import Strip
from cofire.show.terminal import Text, signed

#: Half the width of a strip, in MPa and at most in characters.
_SPAN_MPA, _HALF = 180.0, 33


class _Scale:
    """Stress along a line of characters, as wide as there is room."""

    def __init__(self, width: int) -> None:
        self.half = min(_HALF, (width - 5) // 2)
        self.wide = 2 * self.half + 1

    def __call__(self, mpa: float) -> int:
        return round(self.half * max(-1.0, min(1.0, mpa / _SPAN_MPA))) + self.half


def strip_text(answer: FitAnswer, width: int, *, alone: bool = True, letters: bool = False) -> Text:
    """One glaze on the axis from shivering to crazing: its 90 % interval over the zones; what lies
    beyond the ends is an arrow there."""
    column = _Scale(width)
    strip, stress, most = answer.strip_mpa, answer.stress_mpa, answer.most_on_the_way_mpa.value
    low, middle, high = column(stress.low), column(stress.value), column(stress.high)
    worst = column(most)
    edge = column(strip.shivers_below)
    later, now = column(strip.crazes_by_horizon_from), column(strip.crazes_at_once_from)
    signs = []
    for k in range(column.wide):
        if (k == 0 and stress.low < -_SPAN_MPA) or (k == column.wide - 1 and _off(answer)):
            signs.append(("◀" if k == 0 else "▶", "bold"))
        elif k == middle:
            signs.append(("◆", "bold"))
        elif k == worst and most > stress.value + 5.0:
            signs.append(("▲", "bold"))
        elif low <= k <= high:
            signs.append(("━", "bold"))
        else:
            zone = next(n for n, end in enumerate((edge, later, now, column.wide)) if k < end)
            signs.append(_ZONES[zone][:2])
    text = Text()
    for style, alike in groupby(signs, key=itemgetter(1)):
        text.append("".join(sign for sign, _ in alike), style)
    if not alone:
        return text
    named = []
    if letters:
        marks = [" "] * column.wide
        for letter, (name, mpa) in zip("abcdefgh", strip.published_tables.items(), strict=False):
            marks[column(mpa)] = letter
            off = f" ({signed(mpa)}, off scale)" if abs(mpa) > _SPAN_MPA else ""
            named.append(f"{letter} {name}{off}")
        text.append("\n" + "".join(marks))
    scale = [" "] * (column.wide + 4)
    for mpa in (-150, -100, -50, 0, 50, 100, 150):
        word = f"{mpa:+d}" if mpa else "0"
        at = column(mpa) - len(word) // 2
        scale[at : at + len(word)] = word
    text.append("\n" + "".join(scale).rstrip() + "\n", "dim")
    if strip.cracks_apart_mm and strip.cracks_apart_mm[0].from_mpa < _SPAN_MPA:
        text.append(_crack_scale(strip, column) + "\n", "cyan")
    more = [("━◆━", "bold", "90 %")]
    if most > stress.value + 5.0:
        more.append(("▲", "bold", "while cooling"))
    for sign, beyond in (("◀", stress.low < -_SPAN_MPA), ("▶", _off(answer))):
        if beyond:
            more.append((sign, "bold", "off scale"))
    text.append_text(zones(*more))
    if named:
        text.append(f"\nby published expansions:  {'   '.join(named)}", "dim")
    return text


def _off(answer: FitAnswer) -> bool:
    """Whether it goes on beyond the right end."""
    return max(answer.stress_mpa.high, answer.most_on_the_way_mpa.value) > _SPAN_MPA


_ZONES = (
    ("▚", "magenta", "shivers"), ("·", "dim", "sits"),
    ("░", "cyan", "crazes in time"), ("▒", "cyan", "at once"),
)  # fmt: skip


def zones(*more: tuple[str, str, str]) -> Text:
    """What the signs mean."""
    pieces = (
        (Text(sign, colour), Text(f" {words}  ", "dim")) for sign, colour, words in _ZONES + more
    )
    return Text.assemble(*(part for piece in pieces for part in piece))


def _crack_scale(strip: Strip, column: _Scale) -> str:
    """Crack spacing by stress."""
    marks = [" "] * (column.wide + 4)
    room = 0
    for mm, mpa in strip.cracks_apart_mm:
        at, word = column(mpa), f"{mm:g}"
        if mpa < _SPAN_MPA and at >= room:
            marks[at : at + len(word)] = word
            room = at + len(word) + 1
    text = "".join(marks).rstrip()
    label = "cracks, mm apart "
    first = max(column(strip.cracks_apart_mm[0].from_mpa) - 1, 0)
    return label.rjust(first) + text[first:]
