"""Words of a printed sheet against the plan they are read from."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from cofire.answers.firing import firing_answer
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.show.sheets.words import keyed_in, log_rows, pulls

LIB = Library()


def minutes(clock: str) -> int:
    hours, _, rest = clock.partition(":")
    return 60 * int(hours) + int(rest)


def celsius(text: str) -> float:
    found = re.match(r"(\d+) °C", text)
    assert found
    return float(found[1])


def test_a_printed_log_follows_the_program() -> None:
    """By hand: 150 °C an hour from the room, and the printed times are those of the program."""
    answer = firing_answer(LIB, [], Conditions(firing=LIB.firing("earthenware-cone-04")))
    rows = [(minutes(clock), celsius(shown)) for clock, shown in log_rows(answer)]
    assert 5 <= len(rows) <= 14
    every = rows[0][0]
    assert [at for at, _ in rows] == [every * k for k in range(1, len(rows) + 1)]
    assert rows[-1][0] <= answer.total_min < rows[-1][0] + every
    up_to_960 = [(at, shown) for at, shown in rows if 20.0 + 2.5 * at < 955.0]
    assert len(up_to_960) >= 5
    for at, shown in up_to_960:
        assert shown == pytest.approx(20.0 + 2.5 * at, abs=1.0)
    after = [(at, shown) for at, shown in rows if 20.0 + 2.5 * at > 965.0]
    for at, shown in after:  # then 60 °C an hour up to 1063, and a soak
        assert shown == pytest.approx(min(960.0 + (at - 376.0), 1063.0), abs=1.5)


def test_what_is_keyed_in_is_the_program_on_both_scales() -> None:
    answer = firing_answer(LIB, [], Conditions(firing=LIB.firing("earthenware-cone-04")))
    first, second = keyed_in(answer)
    assert first == ("1", "150 °C/h", "270 °F/h", "960 °C", "1760 °F", "0:00", "6:16")
    # 103 °C at a degree a minute
    assert second == ("2", "60 °C/h", "108 °F/h", "1063 °C", "1945 °F", "0:10", "1:43")


def test_pulls_come_a_quarter_of_an_hour_apart() -> None:
    answer = firing_answer(LIB, [], Conditions(firing=LIB.firing("raku-workshop")))
    rows = pulls(answer, None)
    at = [minutes(clock) for _, clock, _, _ in rows]
    assert len(at) == 17
    assert at[-1] - at[0] == 240
    assert all(celsius(ware) == pytest.approx(916.0, abs=15.0) for _, _, ware, _ in rows)


def test_a_log_of_any_length_goes_by_times_that_a_clock_shows() -> None:
    """On one sheet, at parts or multiples of an hour that people read off without reckoning."""
    answer = firing_answer(LIB, [], Conditions(firing=LIB.firing("earthenware-cone-04")))
    for hours in (2, 3, 4, 6, 10, 20, 40, 100, 200):
        at = [minutes(clock) for clock, _ in log_rows(replace(answer, total_min=60.0 * hours))]
        assert 5 <= len(at) <= 14, hours
        assert at[0] in (10, 15, 20, 30) or at[0] % 60 == 0, hours
        assert all(at[0] * k == shown for k, shown in enumerate(at, 1))
