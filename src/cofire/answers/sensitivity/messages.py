"""Sentences of a sensitivity analysis."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cofire.answers.sensitivity.results import Doubt, SensitivityAnswer
from cofire.answers.sensitivity.sources import SOURCES
from cofire.model.outcome import verdict_of
from cofire.words import percent

#: Shares of changed answers that are worth a sentence; our choice.
_WORTH_NAMING = 0.02


def share_of(part: float | None, together: float | None) -> float:
    """Share of one source in the variance, 0 to 1."""
    if not part or not together or not np.isfinite(together):
        return 0.0
    return (part / together) ** 2


def flips(answer: SensitivityAnswer) -> tuple[str, ...]:
    """Sentences about what turns a yes into a no."""
    right, combined = answer.own.odds, answer.odds_as_weighed_and_bought
    asked = answer.at.odds
    if right is None or combined is None or verdict_of(right, asked) != "yes":
        return ()
    parts = []
    if verdict_of(combined, asked) != "yes":
        parts.append(
            f"As written it is right with {percent(right)} odds; with weighing in doubt too, "
            f"{percent(combined, asked)}, and {percent(asked)} were asked."
        )
    batch = f"in {answer.weighing.batch_g:g} g"
    for effect in answer.materials:
        for moved in (effect.one_scale_step_more, effect.one_hundredth_of_the_batch_more):
            for now, sign in ((moved.odds_with_it, "more"), (moved.odds_with_as_much_less, "less")):
                if now is not None and verdict_of(now, asked) != "yes":
                    parts.append(
                        f"{moved.more_g:.3g} g {sign} {effect.written} {batch} makes it a no "
                        f"({percent(now, asked)})."
                    )
    return tuple(parts)


def sensitivity_sentence(answer: SensitivityAnswer) -> str:
    """The verdict, and what the answer depends on most."""

    def most(read: Callable[[Doubt], float | None]) -> tuple[str, float]:
        combined = read(answer.squares_added)
        worst = max(answer.half_widths_90_percent, key=lambda d: share_of(read(d), combined))
        return SOURCES[worst.source], share_of(read(worst), combined)

    parts = []
    if answer.at.body is not None:
        source, share = most(lambda d: d.stress_mpa)
        parts.append(f"how it fits depends most on {source} ({percent(share)} of the doubt)")
    if answer.at.firing is not None or answer.at.body is None:
        source, share = most(lambda d: d.ripens_c)
        parts.append(
            f"when it ripens, on {source} ({percent(share)})"
            if parts
            else f"when it ripens depends most on {source} ({percent(share)} of the doubt)"
        )
    if answer.at.body is None:
        source, share = most(lambda d: d.expansion_1e6_per_k)
        parts.append(f"its expansion, on {source} ({percent(share)})")
    if answer.odds_without and answer.odds_without[0].changes >= _WORTH_NAMING:
        first = answer.odds_without[0]
        parts.append(
            f"knowing {SOURCES[first.source]} would change the answer in "
            f"{percent(first.changes)} of all cases"
        )
    text = "; ".join(parts) + "."
    right, combined, asked = answer.own.odds, answer.odds_as_weighed_and_bought, answer.at.odds
    if right is not None and combined is not None:
        holds = {"yes": "Yes", "no": "No"}.get(str(answer.verdict), f"No, {answer.verdict}")
        text = (
            f"{holds}: right with {percent(right, asked)} odds as written, "
            f"{percent(combined, asked)} as weighed; {text}"
        )
    return text[0].upper() + text[1:]
