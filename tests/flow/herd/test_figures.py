"""The herd's last 24 hours against the weeks before."""

from __future__ import annotations

import pytest
from flow.herd.herd_rows import herd, milkings
from text_tables import DAY_0, moment

from sentinel.flow.herd.figures import DAYS, LATE_PCT, averages, herd_figures, late_share_at
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.rules import Rule

LATE = Rule(
    name="late-share", measure="late_share", per="herd", unit="%", raise_over=12, options={"late_after": 9 * HOUR_S}
)


def test_the_last_24_hours_are_held_against_the_days_before_and_those_before_them() -> None:
    """Three milkings of 10 kg a day for two weeks, two of 12 kg before, and today a third is left out: 2 of 10 kg."""
    until = moment("28d12:00")
    tables = herd(
        milkings(-2, 15, hours=(5, 17), kg=12.0),
        milkings(13, 15),
        milkings(28, 1, hours=(5,)),
        until=until,
    )
    found = herd_figures(tables, {}, until)

    assert (found.days, found.days_before) == (14, 14)
    assert (found.cows.now, found.cows.usual, found.cows.before) == (10, 10, 10)
    assert (found.per_cow.now, found.per_cow.usual, found.per_cow.verdict) == (
        3.0,
        pytest.approx(3.0, abs=0.05),
        "as-usual",
    )
    assert found.per_cow.before == pytest.approx(2.0, abs=0.05)
    assert found.kg_per_cow.before == pytest.approx(24.0, abs=0.5)
    assert found.late_bound == LATE_PCT


def test_a_day_that_is_still_running_is_not_held_against_whole_ones() -> None:
    """At six in the morning a third of the day's milkings are in, and the last 24 h have them all: as usual."""
    for hour in (0, 6, 14, 22):
        until = moment("20d00:00") + hour * HOUR_S
        visits = milkings(0, 22)
        found = herd_figures(herd(visits[visits["start"] <= until], until=until), {}, until)

        assert (found.per_cow.now, found.per_cow.usual, found.per_cow.verdict) == (3.0, 3.0, "as-usual")


def test_a_bad_day_is_worse_than_usual_and_a_good_one_better() -> None:
    """Half of the milkings, and half of the milk, against two weeks that were alike."""
    until = moment("16d00:00") - 1
    found = herd_figures(herd(milkings(0, 15), milkings(15, 1, hours=(5,)), until=until), {}, until)
    good = herd_figures(herd(milkings(0, 15), milkings(15, 1, hours=(3, 9, 15, 21)), until=until), {}, until)

    assert (found.per_cow.verdict, found.kg_per_cow.verdict) == ("worse", "worse")
    assert (good.per_cow.verdict, good.kg_per_cow.verdict) == ("better", "better")


def test_broken_off_and_failed_are_a_share_of_the_tries() -> None:
    """One of three tries of each cow failed on the last day; on the days before none did."""
    until = moment("10d00:00") - 1
    last = milkings(9, 1)
    last.loc[last["start"] > DAY_0 + 9 * DAY_S + 20 * HOUR_S, "outcome"] = "failed"
    found = herd_figures(herd(milkings(0, 9), last, until=until), {}, until)

    assert found.unfinished_pct.now == pytest.approx(100 / 3)
    assert (found.unfinished_pct.usual, found.unfinished_pct.verdict) == (0.0, "worse")


def test_with_little_history_it_is_compared_with_the_whole_days_there_are() -> None:
    """Two days before the last; and at the very beginning with nothing, and the day itself is not known as a whole."""
    until = moment("3d00:00") - 1
    found = herd_figures(herd(milkings(-1, 4), until=until), {}, until)
    assert (found.days, found.days_before, found.per_cow.before, found.per_cow.verdict) == (2, 0, None, "")

    early = moment("06:30")
    found = herd_figures(herd(milkings(0, 1, hours=(5,)), until=early), {}, early)
    assert (found.last, found.days, found.per_cow.now, found.per_cow.usual) == (None, 0, None, None)


def test_how_many_are_late_is_told_by_the_farms_rule_at_the_same_time_of_day() -> None:
    """By its own bound for a cow, of nine hours here: half an hour before they come at 05:00 none is late by 14 h."""
    until = moment("9d04:30")
    tables = herd(milkings(0, 9, hours=(5, 13)), until=until)
    found = herd_figures(tables, {LATE.name: LATE}, until)
    default = herd_figures(tables, {}, until)

    assert (found.late_pct.now, found.late_pct.usual, found.late_bound) == (100.0, 100.0, 12)
    assert (default.late_pct.now, default.late_pct.usual) == (100.0, 100.0)
    assert late_share_at(tables, {}, [moment("9d02:00"), moment("9d04:30"), moment("-9d00:00")]) == [0.0, 100.0, None]


def test_the_averages_of_some_days_are_those_of_their_whole_days() -> None:
    """Of two weeks, and None before the first visit."""
    tables = herd(milkings(0, 20), until=moment("20d00:00"))
    found = averages(tables, {}, moment("20d00:00") - 1)

    assert found is not None
    assert (found.cows, found.per_cow, found.kg_per_cow, found.unfinished_pct) == (10, 3.0, 30.0, 0.0)
    assert averages(tables, {}, moment("-20d00:00"), DAYS) is None
