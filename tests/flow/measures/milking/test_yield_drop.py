"""Drops below a cow's own curve, beside how much her days differ, and on a record that is not whole."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from text_tables import lines, shown

from sentinel.flow.evaluation.spans import spans
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import Readings
from sentinel.flow.measures.milking.yield_drop import MAD_TO_SPREAD, USUAL_DAYS, USUAL_SPREAD, YIELD_DROP_PCT
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables, empty_frame, table_named

RULE = Rule(name="yield-drop", measure="yield_drop_pct", per="cow", unit="%", raise_over=25.0, clear_under=15.0)


def readings(visits: pd.DataFrame, **options: float) -> pd.DataFrame:
    """The readings of the drop."""
    found = YIELD_DROP_PCT.compute(Tables(visits=visits), "cow", YIELD_DROP_PCT.settings(options))
    assert isinstance(found, Readings)
    return found.frame


def every(hours: float, days: float, kg: Callable[[float], float]) -> pd.DataFrame:
    """Milkings of cow 7 every so many hours for so many days; `kg` gives the milk by the day."""
    number = int(days * 24 / hours)
    frame = empty_frame(table_named("visits")).reindex(range(number))
    frame["cow"], frame["box"], frame["outcome"] = "7", "1", "milked"
    frame["start"] = (np.arange(number) * hours * HOUR_S).astype(np.int64)
    frame["milk_kg"] = [kg(n * hours / 24) for n in range(number)]
    return frame


def every_8_h(days: float, kg: Callable[[float], float]) -> pd.DataFrame:
    """The same every 8 h."""
    return every(8, days, kg)


def test_a_drop_is_against_her_two_weeks_before() -> None:
    """A cow at 27 kg a day that gives 18 in the last two days is a third below; while she stays she is at 0."""
    found = readings(every_8_h(20, lambda day: 9.0 if day < 18 else 6.0))

    assert shown(found.iloc[[53, -1]], "value kg_a_day expected_kg_a_day") == lines("""
        value   kg_a_day  expected_kg_a_day
        0       27        27
        33.333  18        27
        """)


@pytest.mark.parametrize("slope", [0.010, -0.004])
def test_her_curve_is_no_drop(slope: float) -> None:
    """Milk that goes on rising, or falling, as in the two weeks before is just what was expected."""
    found = readings(every_8_h(20, lambda day: 8.0 * (1.0 + slope * day)))

    assert found["value"].iloc[-1] == pytest.approx(0.0, abs=0.5)


def test_the_curve_is_not_drawn_on_steeper_than_a_lactation() -> None:
    """A week of illness, 5 % less each day, is not taken for her curve: the eighth day is 15 % below what was due."""
    found = readings(every_8_h(22, lambda day: 8.0 * (1.0 - 0.05 * max(day - 14.0, 0.0))), spreads=0.0)

    last = found.iloc[-1]
    level = last["expected_kg_a_day"] / (1 - 0.005 * 4.5)  # the week before, drawn on by 4.5 days at 0.5 % a day
    week = [24.0 * (1.0 - 0.05 * max(n / 3 - 14.0, 0.0)) for n in range(3 * 13, 3 * 20)]
    assert level == pytest.approx(np.mean(week), rel=0.01)
    assert last["value"] > 10


def test_a_drop_needs_the_week_before() -> None:
    """Within her first days, and after two days without a weight, a drop cannot be told."""
    found = readings(every_8_h(20, lambda day: float("nan") if day >= 18 else 8.0))

    assert found["value"].iloc[:14].isna().all()
    assert np.isnan(found["value"].iloc[-1]) and found["why"].iloc[-1]
    assert found["value"].iloc[17] == pytest.approx(0.0)


@pytest.mark.parametrize("outcome", ["incomplete", "not_whole", "unknown"])
def test_a_drop_is_not_judged_at_a_milking_that_was_not_whole(outcome: str) -> None:
    """Three hours after a whole milking and half done it would be a drop; at the next whole one there is none."""
    visits = every_8_h(20, lambda day: 8.0)
    visits.loc[54:, "milk_kg"] = 4.0  # since day 18 she gives half of it
    visits.loc[53, ["start", "outcome", "milk_kg"]] = [visits["start"].iloc[53] - 3 * HOUR_S, outcome, 1.0]
    found = readings(visits).set_index("at")

    there = found.loc[visits["start"].iloc[53]]
    assert np.isnan(there["value"])
    assert there["why"] == "the milking was not whole; her milk is compared at the next whole one"
    assert found["value"].iloc[52] == pytest.approx(0.0)
    assert found["value"].iloc[54:].notna().all()
    assert found["value"].iloc[-1] == pytest.approx(50.0, abs=3)


def test_a_drop_is_judged_where_nothing_is_said_of_how_visits_end() -> None:
    """As a cow that falls ill gives less of what she should, it cannot be told from an incomplete milking there."""
    found = readings(every_8_h(20, lambda day: 9.0 if day < 18 else 6.0).assign(outcome=None))

    assert found["value"].iloc[-1] == pytest.approx(100 / 3)


def test_cows_do_not_mix() -> None:
    """Each cow's milk, her missing milkings and her spread are her own, whatever stands beside it."""
    one = every_8_h(20, lambda day: 8.0).drop(index=[40, 50]).reset_index(drop=True)
    other = every_8_h(20, lambda day: 3.0 + day % 2).assign(cow="9")
    both = pd.concat([one, other], ignore_index=True).sort_values(["start", "cow"], ignore_index=True)

    pd.testing.assert_frame_equal(
        readings(both)[lambda f: f["subject"] == "cow:7"].reset_index(drop=True), readings(one)
    )


@pytest.mark.parametrize("hours", [8, 12])
def test_a_milking_that_is_missing_from_the_record_is_no_time_without_milk(hours: int) -> None:
    """Two of the last two days' milkings are lost: she gives what she always gives."""
    whole = every(hours, 20, lambda day: float(hours))
    last = len(whole) - 1
    found = readings(whole.drop(index=[last - 1, last - 3]).reset_index(drop=True)).iloc[-1]

    assert np.isnan(found["value"]) or found["value"] == pytest.approx(0.0)
    assert found["expected_kg_a_day"] == pytest.approx(24.0)


def test_too_little_of_the_last_days_is_unknown() -> None:
    """Every other milking of the last two days is lost: what she gave is not known, and no alert says otherwise."""
    whole = every(8, 20, lambda day: 8.0)
    found = readings(whole.drop(index=[54, 56, 58]).reset_index(drop=True)).iloc[-1]

    assert np.isnan(found["value"])
    assert found["why"] == "too few of her milkings lately have a milk weight, or some may be missing from the record"


def test_what_is_usual_is_not_lowered_by_what_the_record_lacks() -> None:
    """One milking in six of the two weeks before is lost; a drop is as deep as it is."""
    whole = every(8, 20, lambda day: 9.0 if day < 18 else 6.0)
    lost = range(14, 53, 6)
    found = readings(whole.drop(index=list(lost)).reset_index(drop=True)).iloc[-1]

    assert found["value"] == pytest.approx(100 / 3)
    assert found["expected_kg_a_day"] == pytest.approx(27.0)


def test_a_drop_within_her_own_spread_is_none() -> None:
    """Of two cows that give 30 % less, the one whose days differ by 30 % is told of at more spreads than hers only."""
    even = readings(every(8, 20, lambda day: 10.0 if day < 18 else 7.0)).iloc[-1]
    uneven = every(8, 20, lambda day: (13.0 if int(day) % 2 else 7.0) if day < 18 else 7.0)
    found = readings(uneven).iloc[-1]

    assert even["value"] == pytest.approx(30.0)
    assert found["value"] == 0.0 and found["kg_a_day"] < 0.75 * found["expected_kg_a_day"]
    assert readings(uneven, spreads=0.0).iloc[-1]["value"] == pytest.approx(
        100 * (1 - found["kg_a_day"] / found["expected_kg_a_day"])
    )


def test_her_spread_is_the_median_distance_drawn_toward_the_usual() -> None:
    """Days of 33 and 27 kg by turns are 10 % from her line; 40 h of the last two days are compared."""
    found = readings(every(8, 40, lambda day: 11.0 if int(day) % 2 else 9.0)).iloc[-1]

    days, own = 14, MAD_TO_SPREAD * 0.10
    one_day = np.sqrt((days * own**2 + USUAL_DAYS * USUAL_SPREAD**2) / (days + USUAL_DAYS))
    assert found["spread_pct"] == pytest.approx(100 * one_day * np.sqrt(24 / 40), rel=0.02)


def test_an_alert_that_has_begun_stands_until_she_is_back() -> None:
    """Her spread says whether it begins; it ends within the clearing bound, and not where her spread does."""
    kg = {18: 6.0, 19: 6.0, 20: 7.4, 21: 7.4, 22: 7.4}
    visits = every(8, 26, lambda day: kg.get(int(day), 10.0))
    tables = Tables(visits=visits)
    held = spans(RULE.model_copy(update={"options": {"spreads": 4.5}}), measure_named("yield_drop_pct"), tables).held
    (start,), (end,) = held["start"] / DAY_S, held["end"] / DAY_S

    assert 18.5 < start < 20
    assert 23 < end < 26


def test_one_milking_alone_is_no_drop() -> None:
    """A meter that read too little once, or a milking broken off unsaid; two of four are one."""
    once = every(12, 20, lambda day: 2.0 if day == 19.5 else 12.0)
    twice = every(12, 20, lambda day: 4.0 if day in (19.0, 19.5) else 12.0)

    found = readings(once).iloc[-1]
    assert found["value"] == 0.0 and found["kg_a_day"] < 0.8 * found["expected_kg_a_day"]
    assert readings(twice).iloc[-1]["value"] > 25


def test_a_cow_that_is_milked_once_a_day_is_judged_by_the_one_there_is() -> None:
    """In 48 h she has one or two whole intervals."""
    visits = every(24, 20, lambda day: 20.0 if day < 18 else 14.0)

    assert readings(visits).iloc[-1]["value"] == pytest.approx(30.0)
