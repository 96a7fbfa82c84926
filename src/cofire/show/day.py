"""The plan of a day, on a terminal."""

from __future__ import annotations

from rich.padding import Padding

from cofire.answers.day.asked import DAY_MIN
from cofire.answers.day.plan import WARM_POTS_C, Cure, DayPlan, Round
from cofire.answers.results.headline import Headline, Number
from cofire.read.units import show_temperature
from cofire.show.screen import Screen
from cofire.show.terminal import Text, clock, heading, plain_table
from cofire.words import counted, listed


def show_day(plan: DayPlan, screen: Screen) -> None:
    """Print the plan of a day, and the pulls by the clock."""
    out, asked = screen.begin(_headline(plan)), plan.asked
    if out is None:
        return
    where = f"{asked.firing.name}, {asked.firing.kiln.name}"
    out.print(heading(counted(asked.pots, "pot"), where))
    heads = ("firing", "pots", "load", "kiln on", "first pull", "last pull", "bins empty")
    several = asked.kilns > 1
    table = plain_table(*(f">{name}" for name in (*heads, *(["kiln"] * several))))
    for one in plan.firings:
        times = (one.starts_min, one.first_pull_min, one.last_pull_min, one.bins_free_min)
        shown = [when(plan, one, minute) for minute in times]
        table.add_row(str(one.number), str(one.pots), f"{one.load_kg:g} kg", *shown,
                      *([str(one.kiln)] * several))  # fmt: skip
    out.print(Padding(table, (0, 2)))
    out.print(heading("Pulls", "pot, when it leaves, into which bin, when that is empty"))
    pulls = plain_table(">firing", ">pull", ">pots", ">out of the kiln", ">bin", ">bin empty")
    for one in plan.firings:
        for p in one.pulls:
            if p.shelf_min is not None:
                pulls.add_row(str(one.number), "", "shelf", when(plan, one, p.shelf_min), "", "")
            pulls.add_row(str(one.number), str(p.number), str(p.pots), when(plan, one, p.at_min),
                          str(p.bin), when(plan, one, p.free_min))  # fmt: skip
    out.print(Padding(pulls, (0, 2)))
    for note in notes(plan)[bool(_limit_note(plan)) :]:
        out.print(Padding(Text(note, "yellow"), (0, 2)))
    out.print(Padding(Text(_assumed(plan), "dim"), (0, 2)))
    out.print()


def _headline(plan: DayPlan) -> Headline:
    """Whether it can be kept, how long it takes, and the least that would help."""
    count, last = counted(len(plan.firings), "firing"), plan.firings[-1]
    ends = f"the last bin is empty at {when(plan, last, last.bins_free_min)}"
    word = "Yes: this can be kept" if plan.kept else "No: nobody can keep this"
    cures = [_cured(cure) for cure in plan.cures]
    many = "a later end" if plan.too_early else "no single change; change several"
    none = "" if plan.kept else many
    limit = {"hold": "the hold", "bins": "the bins", "chamber": "the chamber"}
    pots = counted(plan.pots_per_load, "pot")
    each = f"{limit.get(plan.limited_by, plan.limited_by)}: {pots} a firing"
    return Headline(
        plan.kept,
        " ".join((f"{word}.", *_why_not(plan))),
        f"{count}, {clock(plan.total_min)} a day",
        (Number("", f"{count}, {clock(plan.total_min)} a day; {ends}", ends),),
        each,
        f"it can with {'; or with '.join(cures)}" if cures else none or _more_pots(plan),
    )


def when(plan: DayPlan, one: Round, minute: float, dated: bool = True) -> str:
    """“10:55” by the clock where a start is known, “1:55” after the start otherwise; ``dated`` with
    the day where there are several."""
    minute -= DAY_MIN * (one.day - 1)
    if plan.starts_at_min is not None:
        minute += plan.starts_at_min
        past = int(round(minute) // DAY_MIN)
        shown = clock(round(minute) % DAY_MIN)
        if past:
            shown += f" ({past:+d} day{'s' * (abs(past) > 1)})"
    else:
        shown = clock(minute)
    return f"day {one.day}, {shown}" if dated and plan.firings[-1].day > 1 else shown


def _why_not(plan: DayPlan) -> list[str]:
    why = []
    if plan.too_early:
        why.append(f"It takes {clock(plan.total_min)}, so it would have to start the day before.")
    if plan.total_min > plan.asked.longest_min:
        asked = plan.asked
        longest = f"{clock(asked.longest_min)} that there are"
        if asked.start is None or asked.end is None:
            longest = f"the {clock(asked.longest_min)} that people last"
        why.append(f"It takes {clock(plan.total_min)}, more than {longest}.")
    if plan.one_by_one:
        why.append(f"It fires one pot at a time, because of the {plan.limited_by}.")
    return why


def _cured(cure: Cure) -> str:
    words = {
        "bins": "{} bins (--bins {})",
        "kilns": "{} kilns (--kilns {})",
        "layers": "{} layers of pots, the upper shelf coming out hot (--layers {})",
        "days": "{} days (--days {})",
        "reload_c": "pots warmed to near {} °C before they go in (--reload “{} C”)",
        "pots": "{} pots (--pots {})",
    }
    changes = listed([words[option].format(value, value) for option, value in cure.changes])
    return f"{changes}: {clock(cure.total_min)} a day"


def notes(plan: DayPlan) -> list[str]:
    """What to know before such a day."""
    asked, lines = plan.asked, []
    many = len(plan.firings) > 1
    if limit := _limit_note(plan):
        lines.append(limit)
    if breaks := _busy_breaks(plan):
        lines.append(
            f"A kiln is on in the break from {listed(breaks)}: somebody who can shut it off stays "
            "with it."
        )
    if asked.layers > 1 and any(one.under_a_shelf for one in plan.firings):
        most = max(one.under_a_shelf for one in plan.firings)
        lines.append(
            f"Up to {counted(most, 'pot')} stand{'s' * (most == 1)} under a shelf: it has to come "
            "out red-hot before them, with a place that is ready for it."
        )
    if many and asked.reload_c > 250.0:
        lines.append(
            f"Cold glazed pots burst in a kiln of {show_temperature(asked.reload_c)}: warm them to "
            f"near that first (potters do at up to {show_temperature(WARM_POTS_C)}), in another "
            "kiln, never on the lid."
        )
    elif many:
        cools = show_temperature(asked.reload_c)
        lines.append(
            f"Between firings the kiln cools to {cools} with the lid shut and the plug out; cold "
            "glazed pots burst in a hotter one."
        )
    return lines


def _more_pots(plan: DayPlan) -> str:
    """What would let a firing take more pots."""
    if plan.one_by_one:
        return ""
    return {"hold": "hold longer", "bins": "bring more bins"}.get(plan.limited_by, "")


def _limit_note(plan: DayPlan) -> str:
    """The headline says it on a screen."""
    cure = _more_pots(plan)
    return cure and (
        f"The {plan.limited_by} leave{'s' * (plan.limited_by == 'hold')} time for "
        f"{counted(plan.pots_per_load, 'pot')} a firing, fewer than the kiln takes: {cure}."
    )


def _busy_breaks(plan: DayPlan) -> list[str]:
    """Breaks in which a kiln is on."""
    asked, found = plan.asked, []
    for begin, end in asked.breaks:
        for one in plan.firings:
            day = DAY_MIN * (one.day - 1) - (asked.start or 0.0)
            if one.starts_min < day + end and day + begin < one.last_pull_min:
                found.append(f"{clock(begin)} to {clock(end)}")
    return list(dict.fromkeys(found))


def _assumed(plan: DayPlan) -> str:
    asked = plan.asked
    origin = "times of the clock" if plan.starts_at_min is not None else "h:mm after the start"
    weight = "as said" if asked.pot_kg is not None else "from its size"
    load = f"{max(one.load_kg for one in plan.firings):g} kg"
    smoke = f"{asked.firing.smoke.bin_min:.0f} min in the bin"
    smoke += ", common practice" if asked.firing.smoke.assumed else ""
    return (
        f"Times are {origin}. A pot weighs {1000.0 * asked.each_kg:.0f} g ({weight}); with --load "
        f"“{load}” cofire firing tells the same first pull. {asked.hands} pairs of hands, "
        f"{smoke}; 20 min to fill the kiln, 3 min to empty a bin, common practice. Water and shade "
        "are not in the plan" + (", nor breaks (say --break)." if not asked.breaks else ".")
    )
