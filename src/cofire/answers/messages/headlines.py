"""What is read first of pair and fit: the number, what decides it, what would help."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from cofire.answers.results.fit import FitAnswer
from cofire.answers.results.headline import Headline, Number
from cofire.answers.results.pair import AtPull, InFiring, PairAnswer
from cofire.model.crackle import CrackPattern
from cofire.model.interval import Interval
from cofire.read.units import show_temperature
from cofire.words import age_words, percent

#: Cracks farther apart are a few at most on any pot, mm.
FEW_MM = 60.0
#: Odds below which a net is not expected, and its distance says nothing; our choice.
_UNLIKELY = 0.3


# --- numbers -------------------------------------------------------------------------------------


def net_words(pattern: CrackPattern, what: str) -> str:
    """“black net about 7 mm (4 to 18)”; without a middle where cracks are too far apart."""
    spacing = pattern.spacing_mm
    if spacing is None or pattern.odds < _UNLIKELY:
        return f"no {what} ({percent(pattern.odds)})"
    if spacing.value > FEW_MM:
        return f"{what} of a few long cracks, over {FEW_MM:.0f} mm ({_from_to(spacing)})"
    return f"{what} about {_mm(spacing.value)} mm ({_from_to(spacing)})"


def _from_to(spacing: Interval) -> str:
    if spacing.low > FEW_MM:
        return f"over {FEW_MM:.0f}"
    high = f"over {FEW_MM:.0f}" if spacing.high > FEW_MM else _mm(spacing.high)
    return f"{_mm(spacing.low)} to {high}"


def _mm(value: float) -> str:
    return f"{value:.1f}" if value < 2.95 else f"{value:.0f}"


def _crackle_words(fit: FitAnswer) -> str:
    """The nets of a glaze that crazes."""
    if fit.nets:
        _, black, whole = fit.nets
        end = "" if whole.spacing_mm is None else f", whole net {_from_to(whole.spacing_mm)}"
        return net_words(black, "black net") + end
    if fit.crackle_mm is None:
        return f"hardly any cracks ({percent(fit.odds.crazes_at_once)})"
    return net_words(CrackPattern("", fit.odds.crazes_at_once, fit.crackle_mm, ""), "net")


def _fit_words(fit: FitAnswer) -> str:
    """The number that is asked for of a glaze on its clay."""
    if fit.wanted == "crazes":
        return _crackle_words(fit)
    age, odds = age_words(fit.at.horizon_years), fit.odds
    if fit.wanted == "stays":
        return f"stays on {percent(fit.odds_wanted)}, crazes within {age} {percent(odds.crazes_by_horizon)}"
    return f"whole fresh {percent(odds.sits_fresh)}, after {age} {percent(odds.sits)}"


# --- what decides, and what helps ---------------------------------------------------------------


class _Link(NamedTuple):
    """One thing that has to be right, its odds, and what would move it."""

    odds: float
    decides: str
    helps: str


def _ripe_link(glaze: InFiring, pull: AtPull, alone: bool) -> _Link:
    runs = pull.odds.runs > pull.odds.under
    what = (
        f"runs ({percent(pull.odds.runs)})" if runs else f"stays under ({percent(pull.odds.under)})"
    )
    name = "it" if alone else glaze.recipe.name
    return _Link(
        pull.odds.ripe,
        f"{_moment(pull)}, near {show_temperature(pull.ware_peak_c)}, where {name} {what}",
        "a lower peak or an earlier last pull" if runs else "a higher peak or a later first pull",
    )


def _moment(pull: AtPull) -> str:
    return pull.moment if pull.moment.startswith("the ") else f"the {pull.moment}"


def _fit_link(fit: FitAnswer, alone: bool) -> _Link:
    """How a glaze fits: whether its own expansion or the clay's is doubted more, and what moves
    the odds."""
    name = "its" if alone else f"{fit.recipe.name}’s"
    clay = fit.alpha_body.high - fit.alpha_body.low
    glaze = fit.alpha_glaze.high - fit.alpha_glaze.low
    if clay > glaze and fit.body.curve is None:
        decides = f"the clay, known to {_span(fit.alpha_body)}e-6/K only, against {name} {fit.alpha_glaze.value:.1f}"
        knows = "a measured clay, or tiles of it: cofire tile"
    else:
        decides = f"{name} own expansion, {_span(fit.alpha_glaze)}e-6/K by the models, on a clay of {fit.alpha_body.value:.1f}"
        knows = "a tile of it on this clay: cofire tile"
    moved = _direction(fit)
    return _Link(fit.odds_wanted, decides, knows if fit.odds_wanted >= 0.5 else moved)


def _span(interval: Interval) -> str:
    return f"{interval.low:.1f} to {interval.high:.1f}"


def _direction(fit: FitAnswer) -> str:
    """What a recipe has to do to fit, and the command that finds it."""
    if fit.wanted == "crazes" or fit.odds.shivers > fit.odds.crazes_by_horizon:
        what = "more expansion, or a thicker coat" if fit.wanted == "crazes" else "more expansion"
    else:
        what = "less expansion"
    return f"{what}: {_adjust(fit)}"


def _adjust(fit: FitAnswer) -> str:
    firing = f" --firing {fit.at.firing.id}" if fit.at.firing else ""
    return f"cofire adjust {fit.recipe.id} --body {fit.body.id}{firing}"


def pair_headline(answer: PairAnswer) -> Headline:
    """Of a pair: the weakest link decides; the smallest change of the firing helps."""
    alone = len(answer.glazes) == 1
    links = [_ripe_link(g, pull, alone) for g in answer.glazes for pull in g.pulls]
    links += [_fit_link(g.fit, alone) for g in answer.glazes if g.fit]
    weakest = min(links, key=lambda link: link.odds)
    says: tuple[str, ...] = ()
    decides, helps = weakest.decides, weakest.helps
    stay = answer.odds_overlaps_stay
    if stay is not None and stay < min(answer.at.odds, weakest.odds):
        decides, says = _overlap_words(answer), ("overlap-runs",)
        helps = "keep them apart, or overlap thin coats away from the foot"
    if answer.change is not None:
        helps = answer.change_words
    elif answer.yes:
        helps = f"to be surer: {helps}" if weakest.odds < 0.995 else ""
    return Headline(
        answer.yes,
        answer.sentence,
        _short(answer.verdict, answer.odds_together, answer.at.odds),
        tuple(_pair_numbers(answer, alone)),
        decides,
        helps,
        says,
    )


def _short(verdict: str, odds: float, asked: float) -> str:
    close = "" if verdict in ("yes", "no") else f"{verdict}, "
    wanted = "" if verdict == "yes" else f" of {percent(asked)} asked"
    return f"{close}{percent(odds, asked)}{wanted}"


def _pair_numbers(answer: PairAnswer, alone: bool) -> list[Number]:
    numbers = []
    for glaze in answer.glazes:
        worst = min(glaze.pulls, key=lambda pull: pull.odds.ripe)
        words = f"ripe {percent(worst.odds.ripe)} at {_moment(worst)}"
        if glaze.fit:
            words = _fit_words(glaze.fit)
        numbers.append(Number("" if alone else glaze.recipe.name, words))
    return numbers


def _overlap_words(answer: PairAnswer) -> str:
    worst = max(answer.overlaps, key=lambda one: float(one.runs.max()))
    share = 100.0 * float(worst.share_of_second[worst.worst])
    return (
        f"{worst.first.name} and {worst.second.name} over each other, {100.0 - share:.0f} : "
        f"{share:.0f}, {worst.coat_fired_mm:.2g} mm fired, run "
        f"({percent(float(worst.runs.max()))})"
    )


def fit_headline(answer: FitAnswer) -> Headline:
    """Of one glaze on one clay."""
    link = _fit_link(answer, alone=True)
    helps = link.helps
    ripe = answer.odds_ripe
    if ripe is not None and ripe < min(answer.at.odds, link.odds):
        firing = answer.at.firing
        helps = (
            f"another firing: cofire pair {answer.recipe.id} --firing {firing.id if firing else ''}"
        )
    elif answer.yes:
        helps = f"to be surer: {helps}"
    numbers = [Number("", _fit_words(answer))]
    if answer.survival:
        at = "pull and quench" if answer.survival.quench is not None else "the pull"
        numbers.append(Number("", f"the pot survives {at}: {percent(answer.survival.together)}"))
    return Headline(
        answer.yes,
        answer.sentence,
        _short(answer.verdict, answer.odds_right, answer.at.odds),
        tuple(numbers),
        "" if "most of the doubt" in answer.sentence else link.decides,
        helps,
    )


def rank_headline(answers: Sequence[FitAnswer], yes: bool) -> Headline:
    """Of several glazes on one clay."""
    good = [a for a in answers if a.yes]
    crazes = max(answers, key=lambda a: a.odds.crazes_by_horizon)
    worst = min(answers, key=lambda a: a.odds_right)
    sentence = (
        f"{'Yes' if yes else 'No'}: {len(good)} of {len(answers)} do as meant on "
        f"{answers[0].body.name}; {crazes.recipe.name} crazes most "
        f"({percent(crazes.odds.crazes_by_horizon)})."
    )
    numbers = tuple(Number(a.recipe.name, _fit_words(a)) for a in answers)
    short = f"{len(good)} of {len(answers)} as meant"
    if yes:
        return Headline(yes, sentence, short, numbers)
    helps = f"for {worst.recipe.name}, {_direction(worst)}"
    return Headline(yes, sentence, short, numbers, "", helps)
