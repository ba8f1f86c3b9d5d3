"""How the herd is doing, for programs."""

from __future__ import annotations

import json

from flow.herd.herd_rows import cow_tests, herd, milkings, tank_tests
from text_tables import moment
from view_farm import alert, snapshot

from sentinel.flow.herd.history import HerdPast
from sentinel.flow.rules import Rule
from sentinel.flow.views.for_programs.herd_record import herd_record
from sentinel.flow.views.herd import herd_page

UNTIL = moment("20d12:00")
TANK = Rule(name="tank-cells", measure="tank_cells_mean_k_ml", per="tank", unit="k/ml", raise_over=400)


def test_every_figure_has_its_unit_in_its_name_and_what_is_not_known_is_null() -> None:
    """It is plain JSON, moments in UTC."""
    past = HerdPast(tank_tests((moment("19d06:00"), 210.0)), cow_tests(("1", moment("19d06:00"), 90.0)))
    farm = snapshot([alert(1, "cow:7")], tables=herd(milkings(0, 21), until=UNTIL))
    farm = type(farm)(UNTIL, farm.farm, (), {**farm.rules, TANK.name: TANK}, farm.tables, farm.alerts)
    record = json.loads(json.dumps(herd_record(herd_page(farm, past), UNTIL), allow_nan=False))

    assert (record["known_until"], record["days_compared"]) == ("2024-06-23T12:00:00Z", 14)
    assert record["figures"]["milkings_per_cow_day"] == {
        "last_24h": 3.0, "usual": 3.0, "before": 3.0, "year_before": None, "verdict": "as-usual",
    }  # fmt: skip
    assert [box["box"] for box in record["boxes"]] == ["1", "2"]
    assert record["tanks"][0]["mean_k_ml"] is None
    assert record["tanks"][0]["why"].startswith("only 1 test")
    assert (record["years"][-1]["cows_k_ml"], record["years"][-1]["running"]) == (90.0, True)
    assert [(one["alert"], one["way"]) for one in record["standing"]] == [(1, "steady")]
    assert record["days"][0]["whole"] is False


def test_a_farm_of_which_nothing_is_known_has_the_same_keys() -> None:
    """So a program need not ask which are there."""
    farm = snapshot()
    empty = herd_record(herd_page(farm, HerdPast()), farm.at)

    assert (empty["known_until"], empty["figures"], empty["boxes"], empty["days"]) == (None, {}, [], [])
    assert set(empty) == set(herd_record(herd_page(snapshot(tables=herd(milkings(0, 2), until=UNTIL)), HerdPast()), 0))
