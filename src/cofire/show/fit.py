"""Answers of fit on a terminal: one glaze with its reasons, or several in a ranking."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from cofire.answers.messages.headlines import fit_headline, rank_headline
from cofire.answers.results.fit import FitAnswer, FitAnswers
from cofire.findings import Finding
from cofire.model.cooling_stress import SHAPES, CoolingStress
from cofire.model.outcome import standard_error
from cofire.model.standard_draws import N
from cofire.read.units import show_temperature
from cofire.show.crackle import crackle_art
from cofire.show.odds_rows import MEANT, columns, fit_rows, header
from cofire.show.pulled import crack_table, curve_table, spacing_text, survival_table
from cofire.show.screen import Screen
from cofire.show.strip import strip_text, zones
from cofire.show.terminal import Text, between, heading, signed
from cofire.words import age_words, percent


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
    names = header("", "shivers", "sits", "crazes", "tension, MPa")
    out.print(columns([names, *fit_rows(answer, every=screen.more)], out.width))
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
            (f"  {MEANT[answer.wanted]}: {percent(answer.odds_wanted)}", "dim"),
        )
        out.print(line)
        out.print(Padding(strip_text(answer, out.width, alone=False), (0, 2)))
    out.print(Padding(zones(), (0, 2)))
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
