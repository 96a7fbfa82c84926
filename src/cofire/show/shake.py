"""How far answers move, on a terminal and as JSON."""

from __future__ import annotations

from typing import Any

import numpy as np
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from cofire.answers.messages.sensitivity import share_of
from cofire.answers.sensitivity.amount_effects import Effect, Shift
from cofire.answers.sensitivity.sensitivity import Doubt, ShakeAnswer
from cofire.answers.sensitivity.sources import SOURCES
from cofire.read.units import show_temperature
from cofire.show.family_map import CAUTIONS
from cofire.show.machine import findings_list, number
from cofire.show.terminal import console, findings_block, heading, signed

_BAR = 12
_NAME = 22


def show_shake(answer: ShakeAnswer) -> None:
    """Print what it hangs on, what each material does, and where the doubt comes from."""
    out = console()
    out.print()
    out.print(Text(answer.sentence, style="bold"))
    for words in answer.flips:
        out.print(Padding(Text(words, style="bold yellow"), (0, 2)))
    if answer.careful is not None:
        out.print(Padding(Text(careful_words(answer)), (0, 2)))
    out.print()
    out.print(heading(answer.recipe.name))
    out.print(Padding(_now(answer), (0, 2)))
    step, hundredth = f"{answer.weighing.step_g:g} g", f"{answer.weighing.batch_g / 100:.3g} g"
    out.print(
        heading(
            f"{hundredth} more of it", f"a hundredth of the batch of {answer.weighing.batch_g:g} g"
        )
    )
    out.print(Padding(_moves(answer, hundredth=True), (0, 0, 0, 2)))
    if abs(answer.weighing.step_g - answer.weighing.batch_g / 100) > 1e-9:
        out.print(heading(f"{step} more of it", "one step of the scale"))
        out.print(Padding(_moves(answer, hundredth=False), (0, 0, 0, 2)))
    out.print(heading("Where the doubt comes from", "± half-widths of 90 %, each drawn alone"))
    out.print(Padding(_sources(answer), (0, 0, 0, 2)))
    out.print(Padding(Text("; ".join((*answer.conditions, CAUTIONS)), style="dim"), (1, 2, 0, 2)))
    if answer.findings:
        out.print(heading("Mind"))
        out.print(findings_block(answer.findings))
    out.print()


def careful_words(answer: ShakeAnswer) -> str:
    """Which material to weigh with most care, and why."""
    effect = answer.careful
    assert effect is not None
    moved = effect.hundredth
    what = [f"its expansion by {signed(moved.alpha_1e6_per_k, 2)}e-6/K"]
    if moved.stress_mpa is not None:
        what = [f"the stress by {signed(moved.stress_mpa, 1)} MPa"]
    if np.isfinite(moved.hotter_c):
        what.append(f"its ripening by {signed(moved.hotter_c, 1)} °C")
    return (
        f"Weigh {effect.name} most carefully: {moved.grams:.3g} g more in "
        f"{answer.weighing.batch_g:g} g moves {' and '.join(what)}."
    )


def _now(answer: ShakeAnswer) -> Text:
    text = Text.assemble("expands by ", (f"{answer.alpha_1e6_per_k:.2f}e-6/K", "bold"))
    if answer.stress_mpa is not None:
        text.append("   stress ")
        text.append(f"{signed(answer.stress_mpa)} MPa", "bold")
    if np.isfinite(answer.ripens_c):
        text.append("   ripens at ")
        text.append(show_temperature(answer.ripens_c), "bold")
    if answer.spacing_mm is not None and np.isfinite(answer.spacing_mm):
        text.append("   cracks ")
        text.append(f"{answer.spacing_mm:.2g} mm apart", "bold")
    return text


def _grid(columns: int) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(width=_NAME)
    for _ in range(columns):
        table.add_column(justify="right", no_wrap=True)
    return table


def _moves(answer: ShakeAnswer, *, hundredth: bool) -> Table:
    on_body = answer.at.body is not None
    names = ["g", "e-6/K", *(("MPa", "crazes") if on_body else ()), "decades", "ripe °C"]
    cracks = on_body and any(e.hundredth.spacing_mm is not None for e in answer.effects)
    names += ["cracks mm"] if cracks else []
    table = _grid(len(names))
    table.add_row("in the batch", *names, style="dim")
    digits = 2 if hundredth else 3
    for effect in answer.effects:
        moved = effect.hundredth if hundredth else effect.step
        cells = [f"{effect.grams:.4g}", signed(moved.alpha_1e6_per_k, digits)]
        if on_body:
            cells += [_said(moved.stress_mpa, digits - 1), _points(moved.crazes)]
        cells += [_said(moved.decades, digits), _said(moved.hotter_c, digits - 1)]
        if cracks:
            cells.append(_said(moved.spacing_mm, digits))
        style = "bold" if answer.careful is effect else ""
        table.add_row(Text(effect.name), *cells, style=style)
    return table


def _said(value: float | None, digits: int) -> str:
    return "–" if value is None or not np.isfinite(value) else signed(value, digits)


def _points(odds: float | None) -> str:
    return "–" if odds is None else f"{signed(100.0 * odds, 1)} %"


def _sources(answer: ShakeAnswer) -> Table:
    on_body = answer.at.body is not None
    table = Table.grid(padding=(0, 2))
    table.add_column(width=32)
    names = ["e-6/K", *(("MPa",) if on_body else ()), "ripe °C"]
    for _ in names:
        table.add_column(justify="right", no_wrap=True, min_width=6)
    table.add_column(no_wrap=True)
    what = "stress" if on_body else "ripening"
    table.add_row("", *names, f"share of {what}", style="dim")
    for doubt in answer.doubts:
        read = (doubt.stress_mpa, answer.together.stress_mpa) if on_body else (
            doubt.ripens_c, answer.together.ripens_c
        )  # fmt: skip
        share = share_of(*read)
        bar = Text("█" * round(_BAR * share) + "░" * (_BAR - round(_BAR * share)), "cyan")
        table.add_row(SOURCES[doubt.source], *_widths(doubt, on_body), bar)
    table.add_row(
        "together, as squares add up", *_widths(answer.together, on_body), "", style="bold"
    )
    table.add_row("all drawn at once", *_widths(answer.whole, on_body), "", style="bold")
    return table


def _widths(doubt: Doubt, on_body: bool) -> list[str]:
    cells = [_plain(doubt.alpha_1e6_per_k, 2)]
    if on_body:
        cells.append(_plain(doubt.stress_mpa, 1))
    return [*cells, _plain(doubt.ripens_c, 1)]


def _plain(value: float | None, digits: int) -> str:
    return "–" if value is None or not np.isfinite(value) else f"{value:.{digits}f}"


def shake_dict(answer: ShakeAnswer) -> dict[str, Any]:
    """The same with its units in the keys; null what nobody asked, or what cannot be."""

    def maybe(value: float | None) -> float | None:
        return None if value is None else number(value)

    def shift(of: Shift) -> dict[str, Any]:
        return {
            "more_g": of.grams,
            "expansion_1e6_per_k": of.alpha_1e6_per_k,
            "stress_mpa": maybe(of.stress_mpa),
            "craze_odds": maybe(of.crazes),
            "fluidity_decades": maybe(of.decades),
            "ripens_hotter_c": maybe(of.hotter_c),
            "crack_spacing_mm": maybe(of.spacing_mm),
            "odds_with_it": maybe(of.right),
            "odds_with_as_much_less": maybe(of.right_less),
        }

    def effect(of: Effect) -> dict[str, Any]:
        return {
            "written": of.name,
            "grams": of.grams,
            "scale_step_share": of.step_share,
            "one_scale_step_more": shift(of.step),
            "one_hundredth_of_the_batch_more": shift(of.hundredth),
        }

    def doubt(of: Doubt) -> dict[str, Any]:
        return {
            "source": of.source,
            "expansion_1e6_per_k": of.alpha_1e6_per_k,
            "stress_mpa": maybe(of.stress_mpa),
            "ripens_c": maybe(of.ripens_c),
        }

    return {
        "recipe": answer.recipe.name,
        "yes": answer.yes,
        "sentence": answer.sentence,
        "batch_g": answer.weighing.batch_g,
        "scale_step_g": answer.weighing.step_g,
        "conditions": list(answer.conditions),
        "expansion_1e6_per_k": answer.alpha_1e6_per_k,
        "stress_mpa": maybe(answer.stress_mpa),
        "craze_odds": maybe(answer.crazes),
        "ripens_c": maybe(answer.ripens_c),
        "crack_spacing_mm": maybe(answer.spacing_mm),
        "odds_asked": answer.at.odds,
        "odds": maybe(answer.odds),
        "odds_as_weighed_and_bought": maybe(answer.odds_whole),
        "weigh_most_carefully": None if answer.careful is None else answer.careful.name,
        "verdict_changes": list(answer.flips),
        "materials": [effect(e) for e in answer.effects],
        "half_widths_90_percent": [doubt(d) for d in answer.doubts],
        "squares_added": doubt(answer.together),
        "all_drawn": doubt(answer.whole),
        "findings": findings_list(answer.findings),
    }
