"""The sentence of a fit."""

from __future__ import annotations

from cofire.answers.results.fit import FitAnswer
from cofire.words import age_words, percent

#: Tension that passes and is worth naming as the cause, MPa; our choice.
_PASSING_MPA = 15.0


def fit_sentence(answer: FitAnswer, gap: tuple[float, bool]) -> str:
    """The verdict and its reason; ``gap`` is how much more the glaze shrinks than its body,
    1e-6/K, and whether most of the doubt is the glaze's."""
    why = _why(answer, gap)
    asked, share = answer.at.odds, answer.odds_wanted
    ripe = answer.odds_ripe
    if not answer.fits:
        both = "" if ripe is None else f" Ripe at every pull too: {percent(answer.odds_right)}."
        return _misses(answer, why) + both
    age = age_words(answer.at.horizon_years)
    does = {
        "crazes": f"it crackles ({percent(share)})",
        "stays": f"it stays on ({percent(share)}), and crazes within {age} with "
        f"{percent(answer.odds.crazes_by_horizon)} odds, which a lustre may",
        "sits": f"it sits: still whole after {age} ({percent(share)}; fresh from the kiln "
        f"{percent(answer.odds.sits_fresh)})",
    }[answer.wanted]
    right = percent(answer.odds_right, asked)
    ripens = "" if ripe is None else f" and is ripe at every pull ({right} both)"
    if answer.verdict == "yes":
        return f"Yes, {does}{ripens}: {why}."
    if answer.verdict == "outside the data":
        return (
            f"No, outside the data: by the numbers {does}{ripens}, but no measured glass is "
            "like it; fire a tile."
        )
    if ripe is not None and ripe < asked and answer.verdict == "no":
        return (
            f"No, it is not ripe at every pull ({percent(ripe, asked)}, {percent(asked)} asked); "
            f"{does}, and {right} both."
        )
    close = "too close to call" if answer.verdict == "too close to call" else "not sure enough"
    both = "" if ripe is None else " of fitting and being ripe at every pull"
    return f"No, {close}: {right} odds{both}, {percent(asked)} asked; {why}."


def _misses(answer: FitAnswer, why: str) -> str:
    asked, share = answer.at.odds, answer.odds_wanted
    close = "too close to call" if answer.verdict == "too close to call" else "not sure enough"
    odds = f"{percent(share, asked)}, {percent(asked)} asked"
    if answer.wanted == "crazes":
        return f"No, a crackle is {close} ({odds}): {why}."
    odds_of = answer.odds
    shivers = answer.wanted == "stays" or odds_of.shivers > odds_of.crazes_by_horizon
    danger = f"it could shiver ({percent(odds_of.shivers)})"
    if not shivers:
        danger = (
            f"it crazes within {age_words(answer.at.horizon_years)} with "
            f"{percent(odds_of.crazes_by_horizon)} odds, {percent(odds_of.crazes_at_once)} at once"
        )
        if odds_of.crazes_at_once < 0.5 * odds_of.crazes_by_horizon:
            why = f"the clay takes up moisture and grows, and {why}"
    does = "stay on" if answer.wanted == "stays" else "sit"
    return f"No, it is {close} to {does} ({odds}): {danger}, since {why}."


def _why(answer: FitAnswer, gap: tuple[float, bool]) -> str:
    apart, glaze_doubted = gap
    more = "more" if apart > 0 else "less"
    why = f"it shrinks {abs(apart):.1f}e-6/K {more} than the body"
    passing = answer.most_on_the_way_mpa.value - answer.stress_mpa.value
    if passing > _PASSING_MPA and answer.most_on_the_way_mpa.value > _PASSING_MPA:
        why = f"on its way it is pulled {passing:.0f} MPa harder than when it is cold"
    if glaze_doubted:
        return f"{why}; most of the doubt is the glaze's own expansion"
    known = "" if answer.body.curve else ", whose expansion is known only as a range"
    return f"{why}; most of the doubt is the body{known}"
