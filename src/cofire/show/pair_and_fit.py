"""Answers of pair and fit on a terminal: yes or no, the odds as bars, the reasons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table

from cofire.answers.messages.headlines import fit_headline, pair_headline, rank_headline
from cofire.answers.results.fit import FitAnswer, FitAnswers
from cofire.answers.results.pair import AtPull, InFiring, PairAnswer
from cofire.findings import Finding
from cofire.model.cooling_stress import SHAPES, CoolingStress
from cofire.model.outcome import standard_error
from cofire.model.standard_draws import N
from cofire.model.strip import Strip
from cofire.read.units import show_temperature
from cofire.records import Recipe
from cofire.show.crackle import crackle_art
from cofire.show.pulled import crack_table, curve_table, spacing_text, survival_table
from cofire.show.screen import Screen
from cofire.show.terminal import Text, between, clock, heading, signed
from cofire.words import age_words, percent

_BAR = 14
#: Columns from which there is room for it.
_ROOMY = 78
#: Characters from all of one glaze to all of another.
_STRIP = 22
#: Odds on it by fifths.
_OVERLAP = "·░▒▓█"
#: Odds below which nothing is drawn.
_NONE = 0.01
_MEANT = {
    "crazes": "meant to crackle",
    "sits": "meant to sit",
    "stays": "may craze, must not shiver",
}
#: Three shades that differ in black and white too.
_SHADES = ("░", "█", "▒")


def bar(shares: tuple[float, float, float], styles: tuple[str, str, str]) -> Text:
    """Three odds as one bar of constant length."""
    ends = [round(_BAR * sum(shares[: k + 1])) for k in range(3)]
    text, start = Text(), 0
    for shade, end, style in zip(_SHADES, ends, styles, strict=True):
        text.append(shade * max(0, end - start), style=style)
        start = max(start, end)
    return text


def show_pair(answer: PairAnswer, screen: Screen) -> None:
    """Print the main job's answer."""
    headline = pair_headline(answer)
    out = screen.begin(headline, answer.findings)
    if out is None:
        return
    out.print(
        heading(answer.firing.name, f"peak {show_temperature(answer.firing.peak_c)}", typed=True)
    )
    rows: list[tuple[Text, ...] | Text] = [
        _header("h:mm after start", "under", "ripe", "runs", "slide/run, mm")
    ]
    for glaze in answer.glazes:
        rows.append(_who(glaze.recipe, glaze.recipe.surface))
        rows += map(_pull_row, glaze.pulls)
    out.print(_columns(rows, out.width))
    if screen.more:
        for glaze in answer.glazes:
            grains = f"{glaze.recipe.name}: {_grains_left(glaze)}"
            out.print(Padding(Text(grains, style="dim"), (0, 2)))
        if answer.change is None and answer.change_words:
            out.print(Padding(Text(answer.change_words), (0, 2)))
    if answer.at.body:
        out.print(heading(answer.at.body.name, typed=True))
        rows = [_header("", "shivers", "sits", "crazes", "tension, MPa")]
        for glaze in answer.glazes:
            if glaze.fit:
                rows.append(_who(glaze.recipe, _MEANT[glaze.fit.wanted]))
                rows += _fit_rows(glaze.fit, every=screen.more)
        out.print(_columns(rows, out.width))
    if answer.overlaps:
        out.print(heading("Where they overlap", "two coats thick, at the last pull"))
        out.print(_overlaps(answer))
    coats = "; ".join(coat.reading for coat in answer.at.coats)
    aside = f"wall {answer.at.wall_mm:g} mm, coat {coats}"
    out.print(Padding(Text(aside, style="dim"), (0, 2)))
    screen.end(out, answer.findings, says=headline.says)


def _overlaps(answer: PairAnswer) -> Text:
    """Each pair as a strip of mixtures from all of one to all of the other, and what its shades
    mean."""
    text, drawn = Text(), False
    for one in answer.overlaps:
        text.append(f" {one.first.name} → {one.second.name}\n", "bold")
        rows = [("run", one.runs, "red")]
        if one.crazes is not None:
            rows.append(("craze", one.crazes, "cyan"))
        for word, odds, colour in rows:
            least, most = percent(float(odds.min())), percent(float(odds.max()))
            text.append(f"  {word:6}", "default")
            if float(odds.max()) < _NONE:
                text.append("none\n")
                continue
            at = np.linspace(0.0, len(odds) - 1.0, _STRIP)
            along = np.interp(at, np.arange(len(odds)), odds)
            strip = "".join(_OVERLAP[min(int(5 * value), 4)] for value in along)
            said = least if least == most else f"{least} to {most}"
            text.append("│").append(strip, colour).append(f"│ {said}\n")
            drawn = True
    key = "   ".join(f"{shade} to {20 * k + 20} %" for k, shade in enumerate(_OVERLAP))
    text.append(f"  {key}" if drawn else "", "dim")
    text.rstrip()
    return text


def _columns(rows: Iterable[tuple[Text, ...] | Text], width: int) -> Group:
    """Rows of odds, all tables aligned alike: what, three odds, their bar where there is room, a
    last remark; a text alone goes over all columns."""
    parts: list[RenderableType] = []
    roomy = width >= _ROOMY
    table: Table | None = None
    for row in rows:
        if isinstance(row, Text):
            parts.append(row)
            table = None
            continue
        if table is None:
            table = _odds_table(roomy)
            parts.append(table)
        table.add_row(*(row if roomy else (*row[:4], row[5])))
    return Group(*parts)


def _odds_table(roomy: bool) -> Table:
    table = Table.grid(padding=(0, 1))
    table.add_column(width=24 if roomy else 21)
    for _ in range(3):
        table.add_column(justify="right", width=7)
    if roomy:
        table.add_column(width=_BAR)
    table.add_column(no_wrap=roomy)
    return table


def _header(*names: str) -> tuple[Text, ...]:
    what, first, middle, last, remark = (Text(name, style="dim") for name in names)
    key = Text("".join(3 * shade for shade in _SHADES), style="dim")
    return Text.assemble("  ", what), first, middle, last, key, remark


def _who(recipe: Recipe, aside: str) -> Text:
    return Text.assemble(f" {recipe.name}", (f"  {aside}", "not bold dim"), style="bold")


def _pull_row(pull: AtPull) -> tuple[Text, ...]:
    name = Text(f"  {pull.moment}, {clock(pull.at_min)}")
    run = Text(f"{pull.slide_mm.value:.1f} / {pull.run_mm.value:.0f}")
    if pull.word != "ripe":
        name.append(f"\n  {pull.word}", style="bold yellow")
    return (name, *_odds(pull.odds, ("yellow", "green", "red")), run)


def _grains_left(glaze: InFiring) -> str:
    """“not melted or dissolved: 4 % (0 to 8) of the first pot; …”, and why a matte is dry."""
    said = []
    for pull in glaze.pulls:
        left = pull.unmelted_percent
        words = f"{pull.moment} {left.value:.0f} % ({left.low:.0f} to {left.high:.0f})"
        if pull.dry_by is not None:
            why = [f"{name} {percent(odds)}" for name, odds in pull.dry_by.items() if odds >= 0.05]
            words += ", dry by " + ", ".join(why)
        said.append(words)
    return "grains not melted or dissolved: " + "; ".join(said)


def _fit_rows(fit: FitAnswer, *, every: bool = True) -> Iterator[tuple[Text, ...]]:
    """Odds fresh and later; where they are alike and not ``every`` row is asked for, once."""
    odds = fit.odds
    age = age_words(fit.at.horizon_years)
    moments = [
        ("fresh from the kiln", odds.crazes_at_once),
        (f"after {age}", odds.crazes_by_horizon),
    ]
    if not every and percent(odds.crazes_at_once) == percent(odds.crazes_by_horizon):
        moments = [("fresh, " + moments[1][0], odds.crazes_at_once)]
    for when, crazes in moments:
        shares = (odds.shivers, max(0.0, 1.0 - odds.shivers - crazes), crazes)
        stress = Text(between(fit.stress_mpa, 0)) if when.startswith("fresh") else Text()
        yield Text(f"  {when}"), *_odds(shares, ("magenta", "green", "cyan")), stress


def _odds(shares: tuple[float, float, float], styles: tuple[str, str, str]) -> Iterator[Text]:
    """Three per cents and their bar; the likeliest stands out."""
    for share in shares:
        yield Text(
            f"{percent(share, cell=True)} %", style="bold" if share == max(shares) else "dim"
        )
    yield bar(shares, styles)


def show_fits(answers: FitAnswers, screen: Screen) -> None:
    """Print fits of glazes on one body."""
    if answers.alone:
        show_fit(answers.alone, screen)
    else:
        show_ranking(answers, screen)


def show_fit(answer: FitAnswer, screen: Screen) -> None:
    """Print the fit of one glaze on one body."""
    headline = fit_headline(answer)
    out = screen.begin(headline, answer.findings)
    if out is None:
        return
    out.print(heading(f"{answer.recipe.name} on {answer.body.name}", typed=True))
    header = _header("", "shivers", "sits", "crazes", "tension, MPa")
    out.print(_columns([header, *_fit_rows(answer, every=screen.more)], out.width))
    out.print(heading("From shivering to crazing", "stress in the coat, MPa; + is tension"))
    out.print(Padding(strip_text(answer, out.width, letters=screen.more), (0, 2)))
    has_signs = out.encoding.lower().startswith("utf")  # Braille is in no older encoding
    if has_signs and (art := list(crackle_art(answer, out.width - 4))):
        out.print(heading("The crackle at its true scale", "a column is 1 mm, a line 2 mm"))
        for line in art:
            out.print(Padding(line, (0, 2)))
    if screen.more:
        out.print(heading("Why"))
        out.print(Padding(_rows(_why(answer)), (0, 2)))
        _print_pulled(out, answer)
    else:
        out.print(Padding(Text(_why_in_short(answer), style="dim"), (0, 2)))
    screen.end(out, answer.findings, says=headline.says)


def _why_in_short(answer: FitAnswer) -> str:
    """What the odds rest on."""
    glaze, body, at = answer.alpha_glaze, answer.alpha_body, answer.at
    coat = f"coat {at.coat_fired_mm:.2g} mm fired"
    if at.coat_reading.partition(", ")[2].startswith("assumed"):
        coat += " (assumed)"
    return (
        f"glaze shrinks {glaze.value:.1f}e-6/K ({between(glaze)}), body {body.value:.1f} "
        f"({between(body)}); glaze sets at {show_temperature(answer.set_c.value)}; {coat}, wall "
        f"{at.wall_mm:g} mm, {SHAPES[at.shape]}; {at.cooling_curve.words}"
    )


def _rows(rows: Iterable[tuple[str, str, str]]) -> Table:
    table = Table.grid(padding=(0, 2))
    for label, value, note in rows:
        table.add_row(label, Text(value, style="bold"), Text(note, style="dim"))
    return table


def _why(answer: FitAnswer) -> Iterator[tuple[str, str, str]]:
    """What the odds rest on, row by row."""
    glaze, body, stress, at = answer.alpha_glaze, answer.alpha_body, answer.stress_mpa, answer.at
    yield "glaze shrinks by", f"{glaze.value:.1f}e-6/K", f"90 % sure from {between(glaze)}"
    yield "body shrinks by", f"{body.value:.1f}e-6/K", f"from {between(body)}"
    sets = f"from {between(answer.set_c, 0)} °C"
    yield "glaze sets at", show_temperature(answer.set_c.value), sets
    yield from _worst_rows(answer)
    kept = f"from {stress.low:+.0f} to {stress.high:+.0f}; + is tension, cold"
    yield "stress in the coat", f"{stress.value:+.0f} MPa", kept
    alike = "1 sd between them, in all odds; your tiles can set it"
    yield "pots made alike", f"±{answer.body.scatter_mpa:.0f} MPa", alike
    sure = "; 80 % sure, uncalibrated: your tiles can set it"
    cracks = "none" if answer.crackle_mm is None else f"{spacing_text(answer.crackle_mm)} apart"
    yield "cracks, if it crazes", cracks, answer.crackle + (sure if answer.crackle_mm else "")
    yield "coat", f"{at.coat_fired_mm:.2g} mm fired", at.coat_reading.partition(", ")[2]
    yield "wall", f"{at.wall_mm:g} mm", SHAPES[at.shape]
    yield "cooling", "", at.cooling_curve.words
    yield from _through_rows(answer)
    yield from _cooling_rows(answer)
    yield from _aging_rows(answer)
    yield from _test_rows(answer)


def _print_pulled(out: Console, answer: FitAnswer) -> None:
    """Cracks by time in air and in the bin, and whether the pot survives."""
    if answer.nets:
        out.print(heading("Cracks and smoke", "80 % sure, uncalibrated until you fire tiles"))
        out.print(Padding(crack_table(answer.nets), (0, 2)))
    if answer.air_and_smoke:
        out.print(Padding(curve_table(answer.air_and_smoke), (1, 2, 0, 2)))
    if answer.survival:
        out.print(heading("Pot survival", "how many such pots break, uncalibrated"))
        out.print(Padding(survival_table(answer.survival), (0, 2)))


def _worst_rows(answer: FitAnswer) -> list[tuple[str, str, str]]:
    """The largest tension while cooling, if it is more than the final one."""
    worst = answer.most_on_the_way_mpa
    if worst.value < answer.stress_mpa.value + 5.0:
        return []
    text = f"from {worst.low:+.0f} to {worst.high:+.0f}; ▲ on the strip; the odds use it"
    return [("most while cooling", f"{worst.value:+.0f} MPa", text)]


def _through_rows(answer: FitAnswer) -> list[tuple[str, str, str]]:
    """Stress from the coat's face to the other side of the body."""
    through = answer.through_mpa
    if through is None:
        return []
    face, bond = signed(through.coat_face), signed(through.coat_at_bond)
    under, back = signed(through.body_at_bond, 1), signed(through.body_back, 1)
    coat = face if face == bond else f"{face} at its face to {bond}"
    body = under if under == back else f"{under} below it to {back} at the back"
    return [("through the wall, MPa", "", f"coat {coat}; body {body}")]


def _cooling_rows(answer: FitAnswer) -> list[tuple[str, str, str]]:
    """Stress at some temperatures while cooling, and where tension begins."""
    way = answer.way_down
    if way is None or len(way.temperature_c) < 4:
        return []
    some = [
        int(np.argmin(np.abs(way.temperature_c - t)))
        for t in (500.0, 400.0, 300.0, 200.0, 100.0, 20.0)
    ]
    text = ", ".join(
        f"{signed(way.stress_mpa[k])} at {way.temperature_c[k]:.0f} °C" for k in dict.fromkeys(some)
    )
    return [("while cooling, MPa", _spark(way), text + _pulls_from(way))]


#: Eighths of a character, for small pictures in a line.
_EIGHTHS = "▁▂▃▄▅▆▇█"


def _spark(way: CoolingStress) -> str:
    """Stress from setting (left) to the room, the height of a line."""
    at = np.linspace(float(way.temperature_c[-1]), float(way.temperature_c[0]), 16)
    along = np.interp(at, way.temperature_c, way.stress_mpa)
    low, high = min(float(along.min()), 0.0), max(float(along.max()), 0.0, 1e-9)
    steps = (along - low) / max(high - low, 1e-9) * (len(_EIGHTHS) - 1)
    return "".join(_EIGHTHS[round(float(v))] for v in steps)


def _pulls_from(way: CoolingStress) -> str:
    """Where the final tension begins, in words."""
    pulls = way.stress_mpa > 1.0
    if not pulls[0]:
        return "; in compression when cold" if way.stress_mpa[0] < -1.0 else ""
    first = len(pulls) if pulls.all() else int(np.argmin(pulls))
    return f"; in tension from about {way.temperature_c[first - 1]:.0f} °C on"


def _aging_rows(answer: FitAnswer) -> list[tuple[str, str, str]]:
    """Odds of crazing with the years; empty unless the clay is known to grow."""
    if answer.body.moisture_expansion_percent in (None, (0.0, 0.0)):
        return []
    text = ", ".join(
        f"{percent(odds)} after {age_words(years)}" for years, odds in answer.crazed_with_the_years
    )
    note = "odds of crazing by then, as clay takes up moisture; the verdict is of the horizon"
    return [("with the years", text, note)]


def _test_rows(answer: FitAnswer) -> list[tuple[str, str, str]]:
    """What tests would say of fresh ware, if it does not craze anyway."""
    if answer.wanted == "crazes":
        return []
    return [
        (
            "tests" if k == 0 else "",
            f"{signed(one.margin_mpa.value)} MPa left",
            f"{one.name}: from {between(one.margin_mpa, 0)}; passes with "
            f"{percent(one.odds_passes)} odds",
        )
        for k, one in enumerate(answer.tests)
    ]


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
    text = Text()
    column = _Scale(width)
    strip, stress, most = answer.strip_mpa, answer.stress_mpa, answer.most_on_the_way_mpa.value
    low, middle, high = column(stress.low), column(stress.value), column(stress.high)
    worst = column(most)
    edge = column(strip.shivers_below)
    later, now = column(strip.crazes_by_horizon_from), column(strip.crazes_at_once_from)
    for k in range(column.wide):
        zone, colour = (
            ("▚", "magenta") if k < edge else ("·", "dim") if k < later else
            ("░", "cyan") if k < now else ("▒", "cyan")
        )  # fmt: skip
        if (k == 0 and stress.low < -_SPAN_MPA) or (k == column.wide - 1 and _off(answer)):
            text.append("◀" if k == 0 else "▶", "bold")
        elif k == middle:
            text.append("◆", "bold")
        elif k == worst and most > stress.value + 5.0:
            text.append("▲", "bold")
        elif low <= k <= high:
            text.append("━", "bold")
        else:
            text.append(zone, colour)
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
    text.append_text(_zones(*more))
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


def _zones(*more: tuple[str, str, str]) -> Text:
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


def show_ranking(answers: FitAnswers, screen: Screen) -> None:
    """Several glazes on one body, most tension first."""
    glazes = answers.glazes
    out = screen.begin(rank_headline(glazes, answers.yes), _headlines(glazes))
    if out is None:
        return
    first = glazes[0]
    out.print(heading(f"On {first.body.name}", "most tension first; ━◆━ 90 %", typed=True))
    for answer in glazes:
        line = Text.assemble(
            (f" {answer.recipe.name}", "bold"),
            (f"  {_MEANT[answer.wanted]}: {percent(answer.odds_wanted)}", "dim"),
        )
        out.print(line)
        out.print(Padding(strip_text(answer, out.width, alone=False), (0, 2)))
    out.print(Padding(_zones(), (0, 2)))
    layers = sorted(glazes, key=lambda a: a.layer)
    coats = "; ".join(dict.fromkeys(a.at.coat_reading for a in layers))
    aside = (
        f"{SHAPES[first.at.shape]}, wall {first.at.wall_mm:g} mm, coat {coats}; "
        f"{first.at.cooling_curve.words}"
    )
    out.print(Padding(Text(aside, style="dim"), (0, 2)))
    text = (
        "Odds are uncalibrated until you fire tiles. For sources and cautions ask about one glaze."
    )
    fewest = min(answer.draws for answer in glazes)
    if fewest < N:
        unsure = 100.0 * standard_error(0.5, fewest)
        text = (
            f"Of so many glazes each is drawn {fewest:,} times only: odds are good to "
            f"± {unsure:.0f} %. Ask about a few to know them better. {text}"
        )
    out.print(Padding(Text(text, style="dim"), (0, 2)))
    out.print()


def _headlines(answers: Sequence[FitAnswer]) -> list[Finding]:
    """What nobody may miss of any of them."""
    return list(dict.fromkeys(f for a in answers for f in a.findings if f.headline))
