"""Sentences of a pair."""

from __future__ import annotations

from cofire.answers.results.pair import FiringChange, InFiring, PairAnswer
from cofire.words import age_words, percent

#: Words for glazes that all want the same of a body: for one, and for several.
FITS = {
    frozenset({"sits"}): ("fits the body", "fit the body"),
    frozenset({"crazes"}): ("crackles as meant", "crackle as meant"),
    frozenset({"stays"}): ("stays on the body", "stay on the body"),
}


def pair_sentence(answer: PairAnswer) -> str:
    """The verdict and its reason."""
    asked, odds = answer.at.odds, answer.odds_together
    scope = "" if answer.at.body else " Ripeness only: name a --body to judge the fit too."
    together = "" if len(answer.glazes) == 1 else " together"
    if answer.verdict == "yes":
        return f"Yes: {_all_well(answer)} ({percent(odds)}{together}).{scope}"
    text = f"{percent(odds, asked)}{together}, {percent(asked)} asked"
    if answer.verdict == "too close to call":
        return f"No, too close to call ({text}): {_all_well(answer)}, but not surely enough.{scope}"
    if answer.verdict == "outside the data":
        names = " and ".join(
            f"“{g.recipe.name}”" for g in answer.glazes if g.verdict == "outside the data"
        )
        verb = "lie" if " and " in names else "lies"
        return (
            f"No, outside the data: by the numbers {_all_well(answer)} ({percent(odds)}{together}),"
            f" but {names or 'one'} {verb} outside the measured glasses; "
            f"fire a tile.{scope}"
        )
    stay = answer.odds_overlaps_stay
    if stay is not None and stay < asked <= odds:
        return (
            f"No: they run where they overlap ({percent(1.0 - stay)}), two coats thick; each alone "
            f"is right ({percent(odds)}{together}). Keep them apart, or overlap thin coats.{scope}"
        )
    reasons = [reason for reason in (_reason(g, asked) for g in answer.glazes) if reason]
    return (
        f"No: {'; '.join(reasons or ['each alone is sure enough, but not all at once'])} "
        f"({text}).{scope}"
    )


def _all_well(answer: PairAnswer) -> str:
    count = len(answer.glazes)
    who = {1: "it is", 2: "both are"}.get(count, "all are")
    fits = ""
    if answer.at.body:
        wanted = frozenset(g.fit.wanted for g in answer.glazes if g.fit)
        one, several = FITS.get(wanted, ("fits the body as meant", "fit the body as meant"))
        fits = f" and {several if count > 1 else one}"
    return f"{who} ripe at every pull{fits}"


def _the(moment: str) -> str:
    return moment if moment.startswith("the ") else f"the {moment}"


def _reason(glaze: InFiring, asked: float) -> str:
    """Why one glaze is not right; empty if it is."""
    name = f"“{glaze.recipe.name}”"
    worst = min(glaze.pulls, key=lambda p: p.odds.ripe)
    if worst.odds.ripe < asked:
        if worst.odds.runs > worst.odds.under:
            return f"{name} runs at {_the(worst.moment)} ({percent(worst.odds.runs)})"
        word = worst.word if worst.word != "ripe" else "not sure to be ripe"
        return f"{name} is {word} at {_the(worst.moment)} ({percent(worst.odds.under)} underfired)"
    if glaze.fit and not glaze.fit.fits:
        if glaze.fit.wanted == "crazes":
            return f"{name} is not sure to crackle ({percent(glaze.fit.odds_wanted, asked)})"
        if glaze.fit.odds.crazes_by_horizon >= glaze.fit.odds.shivers:
            within = age_words(glaze.fit.at.horizon_years)
            return f"{name} crazes within {within} ({percent(glaze.fit.odds.crazes_by_horizon)})"
        return f"{name} could shiver ({percent(glaze.fit.odds.shivers)})"
    if glaze.yes:
        return ""
    if glaze.verdict == "too close to call":
        return f"{name} alone is too close to call ({percent(glaze.odds, asked)})"
    return f"{name} is right in every respect with only {percent(glaze.odds, asked)} odds"


def change_sentence(change: FiringChange | None, tried: str) -> str:
    """The change of the firing that would help, else ``tried``."""
    if change is None:
        return tried
    return f"It would be a yes ({percent(change.odds)}) with this change: {change.words}."
