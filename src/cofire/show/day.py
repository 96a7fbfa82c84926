"""The plan of a day with one kiln, on a terminal."""

from __future__ import annotations

from rich.padding import Padding

from cofire.answers.day import DayPlan
from cofire.show.terminal import Text, clock, console, heading, plain_table


def show_day(plan: DayPlan) -> None:
    """Print the plan of a day."""
    out = console()
    out.print()
    many = f"{len(plan.firings)} firings" if len(plan.firings) > 1 else "one firing"
    out.print(
        heading(_pots(plan.pots), f"{many} of up to {plan.pots_per_load}, {plan.firing.name}")
    )
    heads = ("firing", "pots", "starts", "first pull", "last pull", "bins free")
    table = plain_table(*(f">{name}" for name in heads))
    for one in plan.firings:
        times = (one.starts_min, one.first_pull_min, one.last_pull_min, one.bins_free_min)
        table.add_row(str(one.number), str(one.pots), *(clock(t) for t in times))
    out.print(Padding(table, (0, 2)))
    assumed = ", common practice" if plan.firing.smoke.assumed else ""
    bins = f"{plan.bins} bins" if plan.bins > 1 else "one bin"
    out.print(
        Padding(
            Text.assemble(
                (f"{clock(plan.total_min)} from the start to the last bin", "bold"),
                f"; with {bins} a pot can leave every {plan.pull_every_min:.0f} min "
                f"({plan.firing.smoke.bin_min:.0f} min in the bin{assumed}).",
            ),
            (0, 2),
        )
    )
    if plan.hold_limits_pots:
        text = (
            f"The firing's hold leaves time for {_pots(plan.pots_per_load)}, fewer than the kiln "
            "takes: hold longer, or bring more bins."
        )
        out.print(Padding(Text(text, "bold yellow"), (0, 2)))
    if len(plan.firings) > 1:
        text = (
            "Cold pots burst in a red-hot kiln: between firings let it cool with the power off, or "
            "warm the next pots first. The plan counts 20 min for that and a climb from cold, so a "
            "warm kiln makes up for a longer wait."
        )
        out.print(Padding(Text(text, "yellow"), (0, 2)))
    text = (
        "Times are h:mm after the start. The load of the kiln is that of the firing file. "
        "Breaks, water and shade are not in the plan."
    )
    out.print(Padding(Text(text, "dim"), (0, 2)))
    out.print()


def _pots(count: int) -> str:
    return f"{count} pots" if count > 1 else "one pot"
