"""A tank's page."""

from __future__ import annotations

from dataclasses import replace

from text_tables import moment
from view_farm import AT, TANK, alert, rows

from sentinel.flow.rules import Rule
from sentinel.flow.tables import FeedFacts
from sentinel.flow.views.tank import tank_page


def test_a_tank_shows_two_weeks_of_readings_and_four_months_of_tests() -> None:
    """The newest first, with the limits of the farm's rules: the limit itself rather than the warning before it."""
    rules = {
        name: Rule(name=name, measure=measure, per="tank", raise_over=bound)
        for name, measure, bound in (
            ("near", "tank_cells_mean_k_ml", 320), ("cells", "tank_cells_mean_k_ml", 400),
            ("warm", "milk_temperature_C", 6),
        )
    }  # fmt: skip
    page = tank_page("1", rows(tank=TANK), [alert(1, "tank:1"), alert(2, "tank:2")], rules, AT)
    assert [(r.temperature_C, r.litres) for r in page.readings] == [(5.2, None), (4.1, 1200.0)]
    assert [(t.cells_k_ml, t.bacteria_k_ml) for t in page.tests] == [(190.0, None), (210.0, 12.0)]
    assert (page.limits, [m.alert for m in page.marks]) == ({"cells": 400, "temperature": 6}, [1])
    assert not tank_page("3", rows(tank=TANK), [], rules, AT).known


def test_a_tanks_data_comes_up_to_the_newest_of_its_feeds() -> None:
    """The laboratory's results are days behind the thermometer."""
    tables = rows(tank=TANK)
    feeds = (
        FeedFacts("lab", ("tank", "tank.cells_k_ml"), known_until=moment("00:00")),
        FeedFacts("readings", ("tank", "tank.temperature_C"), known_until=moment("1d11:00")),
    )
    tables = replace(tables, farm=replace(tables.farm, feeds=feeds))

    assert tank_page("1", tables, [], {}, AT).known_until == moment("1d11:00")
    assert tank_page("1", replace(tables, farm=replace(tables.farm, feeds=())), [], {}, AT).known_until is None
