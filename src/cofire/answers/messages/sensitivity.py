"""What an answer depends on, in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from cofire.answers.sensitivity.sources import SOURCES
from cofire.model.outcome import verdict_of
from cofire.words import percent

if TYPE_CHECKING:
    from cofire.answers.sensitivity.sensitivity import Doubt, ShakeAnswer


def share_of(part: float | None, together: float | None) -> float:
    """What one source has of the whole variance, 0 to 1."""
    if not part or not together or not np.isfinite(together):
        return 0.0
    return (part / together) ** 2


def flips(answer: ShakeAnswer) -> tuple[str, ...]:
    """Sentences about what turns a yes into a no."""
    right, whole, asked = answer.odds, answer.odds_whole, answer.at.odds
    if right is None or whole is None or verdict_of(right, asked) != "yes":
        return ()
    said = []
    if verdict_of(whole, asked) != "yes":
        said.append(
            f"As written it is right with {percent(right)} odds; with weighing in doubt too, "
            f"{percent(whole, asked)}, and {percent(asked)} were asked."
        )
    batch = f"in {answer.weighing.batch_g:g} g"
    for effect in answer.effects:
        for moved in (effect.step, effect.hundredth):
            for now, sign in ((moved.right, "more"), (moved.right_less, "less")):
                if now is not None and verdict_of(now, asked) != "yes":
                    said.append(
                        f"{moved.grams:.3g} g {sign} {effect.name} {batch} makes it a no "
                        f"({percent(now, asked)})."
                    )
    return tuple(said)


def shake_sentence(answer: ShakeAnswer) -> str:
    """The verdict, and what the answer depends on most."""

    def most(read: Callable[[Doubt], float | None]) -> tuple[str, float]:
        whole = read(answer.together)
        worst = max(answer.doubts, key=lambda d: share_of(read(d), whole))
        return SOURCES[worst.source], share_of(read(worst), whole)

    said = []
    if answer.at.body is not None:
        source, share = most(lambda d: d.stress_mpa)
        said.append(f"how it fits depends most on {source} ({percent(share)} of the doubt)")
    if answer.at.firing is not None or answer.at.body is None:
        source, share = most(lambda d: d.ripens_c)
        said.append(
            f"when it ripens, on {source} ({percent(share)})"
            if said
            else f"when it ripens depends most on {source} ({percent(share)} of the doubt)"
        )
    if answer.at.body is None:
        source, share = most(lambda d: d.alpha_1e6_per_k)
        said.append(f"its expansion, on {source} ({percent(share)})")
    text = "; ".join(said) + "."
    if answer.odds is not None and answer.odds_whole is not None:
        asked = answer.at.odds
        holds = {"yes": "Yes", "no": "No"}.get(str(answer.verdict), f"No, {answer.verdict}")
        text = (
            f"{holds}: right with {percent(answer.odds, asked)} odds as written, "
            f"{percent(answer.odds_whole, asked)} as weighed; {text}"
        )
    return text[0].upper() + text[1:]
