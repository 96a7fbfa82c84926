"""Sentences of a blend."""

from __future__ import annotations

from cofire.answers.blend.results import Blend
from cofire.answers.messages.pair import FITS
from cofire.model.fit import wanted_of
from cofire.model.outcome import OUTSIDE
from cofire.words import percent


def sentence(answer: Blend) -> str:
    """The answer in one sentence; if nothing was asked, the range of the expansion."""
    labels, count = answer.points.labels, len(answer.words)
    if answer.verdict is None or answer.surest is None:
        alpha = answer.seen.expansion_1e6_per_k
        return (
            f"{count} points, expansion {alpha.min():.1f} to {alpha.max():.1f}e-6/K. Name a "
            "--firing to see where it is ripe, a --body where it fits."
        )
    best, asked = answer.surest, percent(answer.at.odds)
    odds = percent(float(answer.seen.odds_right[best]), answer.at.odds)
    one, several = _verbs(answer)
    if answer.verdict == "yes":
        inside = answer.seen.support.grade < OUTSIDE
        good = int(((answer.seen.odds_right >= answer.at.odds) & inside).sum())
        return (
            f"Yes: {good} of {count} points {one if good == 1 else several} with at least {asked} "
            f"odds; {labels[best]} is the surest ({odds})."
        )
    why = {
        "too close to call": f"{labels[best]} is too close to call ({odds})",
        "outside the data": f"{labels[best]} would ({odds}), but lies outside the data",
        "no": f"nearest is {labels[best]} ({odds}), which {_is(answer.words[best])}",
    }[answer.verdict]
    return f"No: none of {count} points {one} with {asked} odds; {why}."


def _verbs(answer: Blend) -> tuple[str, str]:
    """Verbs for what is asked of a point: for one and for several."""
    asked = []
    if answer.at.firing:
        asked.append(("ripens at every pull", "ripen at every pull"))
    if answer.at.body:
        wanted = frozenset(wanted_of(s) for s in answer.surfaces)
        asked.append(FITS.get(wanted, ("fits as meant", "fit as meant")))
    return " and ".join(one for one, _ in asked), " and ".join(many for _, many in asked)


def _is(word: str) -> str:
    return {"under": "stays under", "ripe": "is ripe"}.get(word, word)


def tiles_line(answer: Blend) -> str:
    """Which tiles to fire, and why those."""
    if answer.tiles is None:
        return ""
    labels = answer.points.labels
    chosen, left = answer.tiles.chosen, answer.tiles.doubt_left
    what = " and ".join(["ripeness"] * bool(answer.at.firing) + ["fit"] * bool(answer.at.body))
    order = ", then ".join(labels[p] for p in chosen)
    return (
        f"Fire {order}: of all doubt about {what} that the {len(labels)} points share, "
        f"{_left(left[-1])} is left after {'it' if len(chosen) == 1 else 'them'}"
        + (f" ({_left(left[0])} after {labels[chosen[0]]} alone)." if len(chosen) > 1 else ".")
    )


def _left(share: float) -> str:
    return f"{100.0 * share:.0f} %" if share >= 0.01 else "under 1 %"
