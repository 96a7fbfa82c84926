"""Who weighs what: buckets by team, and materials for the teacher only."""

from __future__ import annotations

from collections.abc import Sequence

from cofire.answers.batch.records import Assignment, Sheet
from cofire.errors import refusal

#: People around one balance (a published class plan: 20 students in teams of 4, I. Currie).
_TEAM = 4


def assignments(
    sheets: Sequence[Sheet], people: int | None, teams: int | None, school: bool
) -> tuple[Assignment, ...]:
    """Buckets go round the teams in order; a team without a bucket reads the scale with another.
    Empty without a number of people or teams.

    Raises QuantityError for more teams than people.
    """
    if teams is None:
        if people is None:
            return ()
        teams = max(1, round(people / _TEAM))
    if people is not None and teams > people:
        raise refusal("more-teams-than-people", people=people, teams=teams)
    jobs = [
        sheet.recipe.name + (f", bucket {b.number}" if len(sheet.buckets) > 1 else "")
        for sheet in sheets
        for b in sheet.buckets
    ]
    tasks = []
    if school:
        powders = [
            f"{', '.join(sheet.teacher_only)} for {sheet.recipe.name}"
            for sheet in sheets
            if sheet.teacher_only
        ]
        tasks += [("Teacher", f"weighs {text}") for text in powders]
    for k in range(teams):
        who = f"Team {k + 1}" + (f" ({_size(people, teams, k)})" if people else "")
        own = jobs[k::teams]
        if own:
            tasks.append((who, "; ".join(own)))
        else:
            tasks.append((who, f"reads the scale and ticks for team {k % len(jobs) + 1}"))
    return tuple(Assignment(*one) for one in tasks)


def _size(people: int, teams: int, k: int) -> int:
    return people // teams + (k < people % teams)
