"""What is read first of pair and fit: the number, what decides it, what would help."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from cofire.answers.results.fit import FitAnswer
from cofire.answers.results.headline import Headline, Number
from cofire.answers.results.pair import AtPull, InFiring, PairAnswer
from cofire.model.crackle import CrackPattern
from cofire.model.interval import Interval
from cofire.model.survival import Survival
from cofire.read.units import show_temperature
from cofire.records import Firing
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
        return f"hardly any {what} ({percent(pattern.odds)})"
    if spacing.value > FEW_MM:
        return f"{what} over {FEW_MM:.0f} mm ({_from_to(spacing)})"
    return f"{what} about {_mm(spacing.value)} mm ({_from_to(spacing)})"


def _from_to(spacing: Interval) -> str:
    """“4 to 18”, “4 to >60”."""
    if spacing.low > FEW_MM:
        return f">{FEW_MM:.0f}"
    high = f">{FEW_MM:.0f}" if spacing.high > FEW_MM else _mm(spacing.high, spacing.high)
    return f"{_mm(spacing.low, spacing.high)} to {high}"


def _mm(value: float, beside: float | None = None) -> str:
    """With a decimal where that matters, beside another or alone."""
    return f"{value:.1f}" if (value if beside is None else beside) < 2.95 else f"{value:.0f}"


def _crackle_number(fit: FitAnswer, of: str) -> Number:
    """The nets of a glaze that is meant to craze."""
    if not fit.nets:
        pattern = CrackPattern("", fit.odds.crazes_at_once, fit.crackle_mm, "")
        return Number(of, net_words(pattern, "net"), _net_in_short(pattern, "net"))
    _, black, whole = fit.nets
    words = net_words(black, "black net")
    if whole.spacing_mm is not None:
        words += f", whole net {_from_to(whole.spacing_mm)}"
    return Number(of, words, _net_in_short(black, "black net"))


def _net_in_short(pattern: CrackPattern, what: str) -> str:
    """“black net 7 mm”."""
    spacing = pattern.spacing_mm
    if spacing is None or pattern.odds < _UNLIKELY:
        return f"hardly any {what}"
    return f"{what} {_mm(spacing.value) if spacing.value <= FEW_MM else f'>{FEW_MM:.0f}'} mm"


def _fit_number(fit: FitAnswer, of: str = "") -> Number:
    """The number that is asked for of a glaze on its clay."""
    if fit.wanted == "crazes":
        return _crackle_number(fit, of)
    age, odds = age_words(fit.at.horizon_years), fit.odds
    crazes = percent(odds.crazes_by_horizon)
    if fit.wanted == "stays":
        words = f"stays on {percent(fit.odds_wanted)}, crazes within {age} {crazes}"
    else:
        words = f"whole after {age} {percent(odds.sits)}, fresh {percent(odds.sits_fresh)}"
    return Number(of, words, words.partition(",")[0])


# --- what decides, and what helps ---------------------------------------------------------------


class _Link(NamedTuple):
    """One thing that has to be right, its odds, what would move it, and what else where no firing
    does."""

    odds: float
    decides: str
    helps: str
    else_helps: str


def _ripe_link(glaze: InFiring, pull: AtPull, firing: Firing, alone: bool) -> _Link:
    runs = pull.odds.runs > pull.odds.under
    what, odds = ("runs", pull.odds.runs) if runs else ("stays under", pull.odds.under)
    name = "it" if alone else glaze.recipe.name
    hottest = show_temperature(pull.ware_peak_c)
    return _Link(
        pull.odds.ripe,
        f"{_moment(pull)}, hottest at {hottest}, where {name} {what} ({percent(odds)})",
        "a lower peak or an earlier last pull" if runs else "a higher peak or a later first pull",
        "no change of the firing that was tried (--more), so another "
        + (
            f"recipe: cofire adjust {glaze.recipe.id} --firing {firing.id}"
            if glaze.recipe.known
            else "bucket"
        ),
    )


def _moment(pull: AtPull) -> str:
    return pull.moment if pull.moment.startswith("the ") else f"the {pull.moment}"


def _fit_link(fit: FitAnswer, alone: bool) -> _Link:
    """How a glaze fits: whether its own expansion or the clay's is doubted more, and what moves
    the odds."""
    name = "its" if alone else f"{fit.recipe.name}’s"
    clay, glaze = fit.alpha_body, fit.alpha_glaze
    if clay.high - clay.low > glaze.high - glaze.low and fit.body.curve is None:
        decides = f"the clay, known to {_span(clay)}e-6/K only, against {name} {glaze.value:.1f}"
        knows = "a measured clay, or tiles of it: cofire tile"
    else:
        decides = (
            f"{name} own expansion, {_span(glaze)}e-6/K by the models, on a clay of "
            f"{clay.value:.1f}"
        )
        knows = "a tile of it on this clay: cofire tile"
    helps = knows if fit.odds_wanted >= 0.5 else _direction(fit)
    return _Link(fit.odds_wanted, decides, helps, helps)


def _span(interval: Interval) -> str:
    return f"{interval.low:.1f} to {interval.high:.1f}"


def _direction(fit: FitAnswer) -> str:
    """What a recipe has to do to fit, and the command that finds it."""
    if fit.wanted == "crazes" or fit.odds.shivers > fit.odds.crazes_by_horizon:
        what = "more expansion, or a thicker coat" if fit.wanted == "crazes" else "more expansion"
    else:
        what = "less expansion"
    if not fit.recipe.known:
        return f"another bucket or another clay: {what}"
    return f"{what}: {_adjust(fit)}"


def _adjust(fit: FitAnswer) -> str:
    firing = f" --firing {fit.at.firing.id}" if fit.at.firing else ""
    return f"cofire adjust {fit.recipe.id} --body {fit.body.id}{firing}"


#: What a pair's sentence says of overlaps, and its headline too.
_APART = " Keep them apart, or overlap thin coats."


def pair_headline(answer: PairAnswer) -> Headline:
    """Of a pair: the weakest link decides; the smallest change of the firing helps."""
    alone = len(answer.glazes) == 1
    links = [_ripe_link(g, pull, answer.firing, alone) for g in answer.glazes for pull in g.pulls]
    links += [_fit_link(g.fit, alone) for g in answer.glazes if g.fit]
    weakest = min(links, key=lambda link: link.odds)
    decides, helps = weakest.decides, weakest.helps
    if answer.yes:
        helps = f"to be surer: {helps}"
    elif answer.change_words:
        helps = weakest.else_helps
    says, sentence = ["shock-odds"], answer.sentence
    stay = answer.odds_overlaps_stay
    if stay is not None and stay < min(answer.at.odds, weakest.odds):
        says.append("overlap-runs")
        decides = _overlap_words(answer)
        helps = "keep them apart, or overlap thin coats away from the foot"
        sentence = sentence.replace(_APART, "")
    if answer.change is not None:
        helps = f"{answer.change.words}: then yes ({percent(answer.change.odds)})"
    numbers = [_pair_number(glaze, alone) for glaze in answer.glazes]
    if answer.survival:
        numbers.append(_survival_number(answer.survival))
    short = _short(answer.verdict, answer.odds_together, answer.at.odds)
    return Headline(answer.yes, sentence, short, tuple(numbers), decides, helps, tuple(says))


def _short(verdict: str, odds: float, asked: float) -> str:
    close = "" if verdict in ("yes", "no") else f"{verdict}, "
    wanted = "" if verdict == "yes" else f", {percent(asked)} asked"
    return f"{close}{percent(odds, asked)}{wanted}"


def _pair_number(glaze: InFiring, alone: bool) -> Number:
    name = "" if alone else glaze.recipe.name
    if glaze.fit:
        return _fit_number(glaze.fit, name)
    worst = min(glaze.pulls, key=lambda pull: pull.odds.ripe)
    words = f"ripe {percent(worst.odds.ripe)} at {_moment(worst)}"
    return Number(name, words, f"ripe {percent(worst.odds.ripe)}")


def _survival_number(survival: Survival) -> Number:
    at = "pull and quench" if survival.quench is not None else "the pull"
    return Number("", f"pots that break at {at}: {survival.breaks}")


def _overlap_words(answer: PairAnswer) -> str:
    worst = max(answer.overlaps, key=lambda one: float(one.runs.max()))
    share = 100.0 * float(worst.share_of_second[worst.worst])
    return (
        f"{worst.first.name} and {worst.second.name} over each other, {worst.coat_fired_mm:.2g} mm "
        f"fired, {100.0 - share:.0f} : {share:.0f} at their worst"
    )


#: Where a fit's sentence goes on with its reason.
_REASON = re.compile(r"(?:: |, since |; )(?=it shrinks |on its way |the clay takes )")


def fit_headline(answer: FitAnswer) -> Headline:
    """Of one glaze on one clay."""
    link = _fit_link(answer, alone=True)
    sentence, *why = _REASON.split(answer.sentence, maxsplit=1)
    helps, ripe = link.helps, answer.odds_ripe
    if ripe is not None and ripe < min(answer.at.odds, link.odds) and answer.at.firing:
        helps = f"cofire pair {answer.recipe.id} --firing {answer.at.firing.id}"
        helps += " says what to change in the firing"
    elif answer.yes:
        helps = f"to be surer: {helps}"
    number = _fit_number(answer)
    numbers = [number if answer.wanted == "crazes" else number._replace(words="")]
    if answer.survival:
        numbers.append(_survival_number(answer.survival))
    return Headline(
        answer.yes,
        sentence.rstrip(".") + ".",
        _short(answer.verdict, answer.odds_right, answer.at.odds),
        tuple(numbers),
        why[0].rstrip(".") if why else link.decides,
        helps,
        ("shock-odds",),
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
    numbers = tuple(_fit_number(a, a.recipe.name) for a in answers)
    short = f"{len(good)} of {len(answers)} as meant"
    if yes:
        return Headline(yes, sentence, short, numbers)
    helps = f"for {worst.recipe.name}, {_direction(worst)}"
    return Headline(yes, sentence, short, numbers, "", helps)
