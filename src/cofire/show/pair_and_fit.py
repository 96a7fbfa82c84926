"""Answers of pair and fit on a terminal: yes or no, the odds as bars, the reasons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from rich.padding import Padding
from rich.table import Table

from cofire.answers.results.fit import FitAnswer, FitAnswers
from cofire.answers.results.pair import AtPull, InFiring, PairAnswer
from cofire.model.cooling_stress import SHAPES, CoolingStress
from cofire.model.strip import Strip
from cofire.read.units import show_temperature
from cofire.show.pulled import (
    crack_line,
    crack_table,
    curve_table,
    spacing_text,
    survival_line,
    survival_table,
)
from cofire.show.terminal import (
    Text,
    between,
    clock,
    close,
    console,
    heading,
    print_verdict,
    signed,
)
from cofire.words import age_words, percent

_BAR = 14
#: Characters from all of one glaze to all of another.
_STRIP = 22
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


def show_pair(answer: PairAnswer) -> None:
    """Print the main job's answer."""
    out = console()
    print_verdict(out, answer.yes, answer.sentence, answer.findings)
    if answer.change_words:
        out.print(Text(f"  {answer.change_words}", style="italic"))
        out.print()
    out.print(
        heading(answer.firing.name, f"peak {show_temperature(answer.firing.peak_c)}", typed=True)
    )
    out.print(
        _columns([_header("h:mm after the start", "under", "ripe", "runs", "slides/runs, mm")])
    )
    for glaze in answer.glazes:
        out.print(_who(glaze, glaze.recipe.surface))
        out.print(_columns(_pull_row(pull) for pull in glaze.pulls))
        out.print(Padding(Text(_grains_left(glaze), style="dim"), (0, 2)))
    if answer.at.body:
        out.print(heading(answer.at.body.name, typed=True))
        out.print(_columns([_header("", "shivers", "sits", "crazes", "tension, MPa")]))
        for glaze in answer.glazes:
            if glaze.fit:
                out.print(_who(glaze, _MEANT[glaze.fit.wanted]))
                out.print(_columns(_fit_rows(glaze.fit)))
                if glaze.fit.nets and glaze.fit.odds.crazes_at_once >= 0.5:
                    out.print(crack_line(glaze.fit.nets))
        if answer.survival:
            out.print(survival_line(answer.survival))
    if answer.overlaps:
        out.print(heading("Where they overlap", "two coats thick, at the last pull"))
        out.print(_overlaps(answer))
    coats = "; ".join(coat.reading for coat in answer.at.coats)
    aside = f"wall {answer.at.wall_mm:g} mm, coat {coats}"
    out.print(Padding(Text(aside, style="dim"), (0, 2)))
    close(out, answer.findings)


def _overlaps(answer: PairAnswer) -> Table:
    """Each pair as a strip of mixtures from all of one to all of the other."""
    table = Table.grid(padding=(0, 1))
    table.add_column(max_width=16)
    table.add_column(min_width=_STRIP + 2, no_wrap=True)
    table.add_column(max_width=16)
    table.add_column(no_wrap=True)
    for one in answer.overlaps:
        rows = [("runs", one.runs, "red")]
        if one.crazes is not None:
            rows.append(("crazes", one.crazes, "cyan"))
        for word, odds, colour in rows:
            at = np.linspace(0.0, len(odds) - 1.0, _STRIP)
            along = np.interp(at, np.arange(len(odds)), odds)
            strip = "".join(" ░▒▓█"[min(int(5 * value), 4)] for value in along)
            names = (one.first.name, one.second.name) if word == "runs" else ("", "")
            text = f"{word} {percent(float(odds.min()))} to {percent(float(odds.max()))}"
            table.add_row(
                Text(f" {names[0]}"),
                Text.assemble("│", (strip, colour), "│"),
                Text(names[1]),
                Text(text, "dim"),
            )
    return table


def _columns(rows: Iterable[tuple[Text, ...]]) -> Table:
    """Rows of odds, all tables aligned alike: what, three odds, their bar, a last remark."""
    table = Table.grid(padding=(0, 1))
    table.add_column(width=24)
    for _ in range(3):
        table.add_column(justify="right", width=7)
    table.add_column(width=_BAR)
    table.add_column(no_wrap=True)
    for row in rows:
        table.add_row(*row)
    return table


def _header(*names: str) -> tuple[Text, ...]:
    what, first, middle, last, remark = (Text(name, style="dim") for name in names)
    key = Text("".join(3 * shade for shade in _SHADES), style="dim")
    return Text.assemble("  ", what), first, middle, last, key, remark


def _who(glaze: InFiring, aside: str) -> Text:
    return Text.assemble(f" {glaze.recipe.name}", (f"  {aside}", "not bold dim"), style="bold")


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


def _fit_rows(fit: FitAnswer) -> Iterator[tuple[Text, ...]]:
    odds = fit.odds
    for when, crazes in (
        ("fresh from the kiln", odds.crazes_at_once),
        (f"after {age_words(fit.at.horizon_years)}", odds.crazes_by_horizon),
    ):
        shares = (odds.shivers, max(0.0, 1.0 - odds.shivers - crazes), crazes)
        stress = Text(between(fit.stress_mpa, 0)) if when == "fresh from the kiln" else Text()
        yield Text(f"  {when}"), *_odds(shares, ("magenta", "green", "cyan")), stress


def _odds(shares: tuple[float, float, float], styles: tuple[str, str, str]) -> Iterator[Text]:
    """Three per cents and their bar; the likeliest stands out."""
    for share in shares:
        yield Text(
            f"{percent(share, cell=True)} %", style="bold" if share == max(shares) else "dim"
        )
    yield bar(shares, styles)


def show_fits(answers: FitAnswers) -> None:
    """Print fits of glazes on one body."""
    if answers.alone:
        show_fit(answers.alone)
    else:
        show_ranking(answers.glazes)


def show_fit(answer: FitAnswer) -> None:
    """Print the fit of one glaze on one body."""
    out, at = console(), answer.at
    print_verdict(out, answer.yes, answer.sentence, answer.findings)
    out.print(heading(f"{answer.recipe.name} on {answer.body.name}", typed=True))
    header = _header("", "shivers", "sits", "crazes", "tension, MPa")
    out.print(_columns([header, *_fit_rows(answer)]))
    out.print(heading("From shivering to crazing", "stress in the coat, MPa; + is tension"))
    out.print(Padding(strip_text(answer), (0, 2)))
    out.print(heading("Why"))
    table = Table.grid(padding=(0, 3))
    glaze, body, stress = answer.alpha_glaze, answer.alpha_body, answer.stress_mpa
    sure = "; 80 % sure, uncalibrated: your tiles can set it"
    cracks = "none" if answer.crackle_mm is None else f"{spacing_text(answer.crackle_mm)} apart"
    kept = f"from {stress.low:+.0f} to {stress.high:+.0f}; + is tension, cold"
    for label, value, note in (
        ("glaze shrinks by", f"{glaze.value:.1f}e-6/K", f"90 % sure from {between(glaze)}"),
        ("body shrinks by", f"{body.value:.1f}e-6/K", f"from {between(body)}"),
        (
            "glaze sets at",
            show_temperature(answer.set_c.value),
            f"from {between(answer.set_c, 0)} °C",
        ),
        ("stress in the coat", f"{stress.value:+.0f} MPa", kept),
        (
            "pots made alike",
            f"±{answer.body.scatter_mpa:.0f} MPa",
            "1 sd between them, in all odds; your tiles can set it",
        ),
        *_worst_rows(answer),
        ("cracks, if it crazes", cracks, answer.crackle + (sure if answer.crackle_mm else "")),
        ("coat", f"{at.coat_fired_mm:.2g} mm fired", at.coat_reading.partition(", ")[2]),
        ("wall", f"{at.wall_mm:g} mm", SHAPES[at.shape]),
        ("cooling", "", at.cooling_curve.words),
        *_through_rows(answer),
        *_cooling_rows(answer),
        *_aging_rows(answer),
        *_test_rows(answer),
    ):
        table.add_row(label, Text(value, style="bold"), Text(note, style="dim"))
    out.print(Padding(table, (0, 2)))
    if answer.nets:
        out.print(heading("Cracks and smoke", "80 % sure, uncalibrated until you fire tiles"))
        out.print(Padding(crack_table(answer.nets), (0, 2)))
    if answer.air_and_smoke:
        out.print(Padding(curve_table(answer.air_and_smoke), (1, 2, 0, 2)))
    if answer.survival:
        out.print(heading("Pot survival", "how many such pots break, uncalibrated"))
        out.print(Padding(survival_table(answer.survival), (0, 2)))
    close(out, answer.findings)


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


#: Half the width of a strip, in MPa and in characters.
_SPAN_MPA, _HALF = 180.0, 33


def _column(mpa: float) -> int:
    return round(_HALF * max(-1.0, min(1.0, mpa / _SPAN_MPA))) + _HALF


def strip_text(answer: FitAnswer, *, alone: bool = True) -> Text:
    """One glaze on the axis from shivering to crazing: its 90 % interval over the zones."""
    text = Text()
    strip, stress, most = answer.strip_mpa, answer.stress_mpa, answer.most_on_the_way_mpa.value
    low, middle, high = _column(stress.low), _column(stress.value), _column(stress.high)
    worst = _column(most)
    edge = _column(strip.shivers_below)
    later, now = _column(strip.crazes_by_horizon_from), _column(strip.crazes_at_once_from)
    for k in range(2 * _HALF + 1):
        zone, colour = (
            ("▚", "magenta") if k < edge else ("·", "dim") if k < later else
            ("░", "cyan") if k < now else ("▒", "cyan")
        )  # fmt: skip
        if k == middle:
            text.append("◆", "bold")
        elif k == worst and most > stress.value + 5.0:
            text.append("▲", "bold")
        elif low <= k <= high:
            text.append("━", "bold")
        else:
            text.append(zone, colour)
    if not alone:
        return text
    marks = [" "] * (2 * _HALF + 1)
    for k, mpa in enumerate(strip.published_tables.values()):
        marks[_column(mpa)] = chr(ord("a") + k)
    text.append("\n" + "".join(marks) + "\n")
    scale = [" "] * (2 * _HALF + 8)
    for mpa in (-150, -100, -50, 0, 50, 100, 150):
        word = f"{mpa:+d}" if mpa else "0"
        at = _column(mpa) - len(word) // 2
        scale[at : at + len(word)] = word
    text.append("".join(scale).rstrip() + "\n", "dim")
    if strip.cracks_apart_mm and strip.cracks_apart_mm[0].from_mpa < _SPAN_MPA:
        text.append(_crack_scale(strip) + "\n", "cyan")
    text.append_text(_zones(("━◆━", "bold", "this glaze, 90 %")))
    named = "   ".join(
        f"{chr(ord('a') + k)} {name}" for k, name in enumerate(strip.published_tables)
    )
    if named:
        text.append(f"\nby published expansions:  {named}", "dim")
    return text


_ZONES = (
    ("▚", "magenta", "shivers"), ("·", "dim", "sits"),
    ("░", "cyan", "crazes by the horizon"), ("▒", "cyan", "crazes at once"),
)  # fmt: skip


def _zones(*more: tuple[str, str, str]) -> Text:
    """What the signs mean."""
    pieces = (
        (Text(sign, colour), Text(f" {words}   ", "dim")) for sign, colour, words in _ZONES + more
    )
    return Text.assemble(*(part for piece in pieces for part in piece))


def _crack_scale(strip: Strip) -> str:
    """Crack spacing by stress."""
    marks = [" "] * (2 * _HALF + 8)
    room = 0
    for mm, mpa in strip.cracks_apart_mm:
        at, word = _column(mpa), f"{mm:g}"
        if mpa < _SPAN_MPA and at >= room:
            marks[at : at + len(word)] = word
            room = at + len(word) + 1
    text = "".join(marks).rstrip()
    label = "crack spacing, mm, from here on "
    first = _column(strip.cracks_apart_mm[0].from_mpa) - 1
    return label.rjust(first) + text[first:]


def show_ranking(answers: Sequence[FitAnswer]) -> None:
    """Several glazes on one body, most tension first."""
    out = console()
    first = answers[0]
    out.print()
    out.print(heading(f"On {first.body.name}", "most tension first; ━◆━ 90 %", typed=True))
    for answer in answers:
        line = Text.assemble(
            (f" {answer.recipe.name}", "bold"),
            (f"  {_MEANT[answer.wanted]}: {percent(answer.odds_wanted)}", "dim"),
        )
        if answer.odds.crazes_at_once >= 0.5:
            line.append(f"   {answer.crackle}", "cyan")
        out.print(line)
        out.print(Padding(strip_text(answer, alone=False), (0, 2)))
    out.print(Padding(_zones(), (0, 2)))
    layers = sorted(answers, key=lambda a: a.layer)
    coats = "; ".join(dict.fromkeys(a.at.coat_reading for a in layers))
    aside = (
        f"{SHAPES[first.at.shape]}, wall {first.at.wall_mm:g} mm, coat {coats}; "
        f"{first.at.cooling_curve.words}"
    )
    out.print(Padding(Text(aside, style="dim"), (0, 2)))
    text = (
        "Odds are uncalibrated until you fire tiles. For sources and cautions ask about one glaze."
    )
    out.print(Padding(Text(text, style="dim"), (0, 2)))
    out.print()
