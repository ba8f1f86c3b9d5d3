"""Cells by month and year, and each tank's mean against the limit."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from flow.herd.herd_rows import cow_tests, herd, milkings, tank_tests
from text_tables import DAY_0

from sentinel.flow.herd.cells import HerdCells, herd_cells, limit_rule
from sentinel.flow.herd.history import HerdPast
from sentinel.flow.rules import Rule

ZONE = "Europe/Berlin"
MEAN = Rule(name="tank-cells", measure="tank_cells_mean_k_ml", per="tank", unit="k/ml", raise_over=400)
NEAR = Rule(name="tank-cells-near", measure="tank_cells_mean_k_ml", per="tank", unit="k/ml", raise_over=320)
SINGLE = Rule(name="tank-cells", measure="tank_cells_k_ml", per="tank", unit="k/ml", raise_over=750)


def at(text: str) -> int:
    """UTC seconds of a wall-clock time in the farm's zone."""
    return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(ZONE)).timestamp())


NOW = at("2026-05-20T08:00")


def cells_of(past: HerdPast, *rules: Rule, now: int = NOW) -> HerdCells:
    """The herd's cells at a moment."""
    tables = herd(milkings(0, 1), until=DAY_0)
    return herd_cells(tables, past, {rule.name: rule for rule in rules}, ZONE, now)


def monthly(year: int, counts: dict[int, float]) -> list[tuple[int, float]]:
    """A test on the tenth of each month."""
    return [(at(f"{year}-{month:02}-10T06:00"), count) for month, count in counts.items()]


def test_months_and_years_are_those_of_the_farms_calendar_and_say_which_is_running() -> None:
    """From the first with a count: a test half an hour before New Year is last year's; May and the year still run."""
    tank = tank_tests((at("2025-12-31T23:30"), 400), *monthly(2026, {1: 100, 2: 100, 5: 400}))
    cells = cells_of(HerdPast(tank, cow_tests(("7", at("2026-02-01T00:30"), 90), ("9", at("2026-02-03T06:00"), 40))))

    months = [(one.tank.mean_k_ml and round(one.tank.mean_k_ml), one.cows.tests, one.running) for one in cells.months]
    assert months == [
        (400, 0, False), (100, 0, False), (100, 2, False), (None, 0, False), (None, 0, False), (400, 0, True),
    ]  # fmt: skip
    assert [(round(one.tank.mean_k_ml or 0), one.tank.tests, one.running) for one in cells.years] == [
        (400, 1, False), (159, 3, True),
    ]  # fmt: skip
    assert cells.months[2].cows.mean_k_ml == pytest.approx(60.0)


def test_a_year_that_runs_is_held_against_the_same_part_of_last_year() -> None:
    """Up to 20 May: what was worse from June on does not count; and a result that is dated later is not told yet."""
    tank = tank_tests(*monthly(2025, {1: 200, 5: 200, 6: 900}), *monthly(2026, {1: 100, 6: 900}))
    cells = cells_of(HerdPast(tank))

    assert cells.same_part is not None
    assert (cells.same_part.tank.mean_k_ml, cells.same_part.tank.tests) == (pytest.approx(200.0), 2)
    assert cells.years[-1].tank.mean_k_ml == pytest.approx(100.0)
    leap = cells_of(HerdPast(tank), now=at("2028-02-28T08:00"))
    assert leap.same_part is None


def test_last_year_is_no_measure_where_its_first_months_are_not_known() -> None:
    """A farm that was first tested in April knows nothing of its winter: its year says from when it is known."""
    cells = cells_of(HerdPast(tank_tests(*monthly(2025, {4: 200, 5: 200, 6: 900}), *monthly(2026, {1: 300, 4: 100}))))

    assert cells.same_part is None
    assert [one.first_at for one in cells.years] == [at("2025-04-10T06:00"), None]


def test_a_tank_is_held_against_the_limit_and_not_against_the_warning_before_it() -> None:
    """Its legal mean at the last test: 200; so 200 are left, the next may read a lot, and a year ago it was 300."""
    tank = tank_tests(
        *monthly(2025, dict.fromkeys(range(1, 13), 300.0)), *monthly(2026, dict.fromkeys(range(1, 6), 200.0))
    )
    cells = cells_of(HerdPast(tank), NEAR, MEAN)
    [found] = cells.tanks

    assert (found.tank, found.rule, cells.limit_k_ml, found.limit_k_ml, found.months) == (
        "1",
        "tank-cells",
        400,
        400,
        3,
    )
    assert (found.mean_k_ml, found.room_k_ml) == (pytest.approx(200.0), pytest.approx(200.0))
    assert found.headroom_k_ml is not None and found.headroom_k_ml > 400
    assert (found.year_ago_k_ml, found.verdict) == (pytest.approx(300.0), "better")


def test_a_mean_over_the_limit_has_less_than_no_room_and_one_that_cannot_be_told_says_why() -> None:
    """Two tanks: of the second there is one test."""
    high = tank_tests(*monthly(2026, dict.fromkeys(range(1, 6), 450.0)))
    few = tank_tests((at("2026-05-12T06:00"), 90.0), tank="2")
    rows = pd.concat([high, few]).sort_values("at", ignore_index=True)
    one, two = cells_of(HerdPast(rows), MEAN).tanks

    assert (round(one.room_k_ml or 0), one.verdict) == (-50, "")
    assert (two.mean_k_ml, two.room_k_ml, two.headroom_k_ml) == (None, None, None)
    assert two.why == "only 1 test in 3 months, and the mean needs 3"


def test_where_single_tests_count_the_last_one_is_held_against_the_limit() -> None:
    """As in the United States; without a rule on cells there is no limit, and with no test no tank."""
    [found] = cells_of(HerdPast(tank_tests(*monthly(2026, {4: 100, 5: 700}))), SINGLE).tanks

    assert (found.mean_k_ml, found.room_k_ml, found.months) == (700.0, 50.0, 0)
    assert limit_rule({}) is None
    assert cells_of(HerdPast()) == HerdCells((), (), (), None, None)
