"""The cows' traffic: only cows that are due are milked, and what is planned for a cow's visits happens to her."""

from __future__ import annotations

from functools import cache

import numpy as np
import pandas as pd
from box_herd import BoxHerd, Trouble, day, tables_of

from sentinel.flow.model import HOUR_S
from sentinel.simulator import Simulated, simulate
from sentinel.simulator.herd.cows import SHORTEST_INTERVAL_H
from sentinel.simulator.plans.demo_week import (
    CLIMBS,
    DRIES,
    DRY_AT,
    DRY_CALLED,
    ONCE_A_DAY,
    STAYS_OUT,
    DemoWeek,
    demo_spec,
)


@cache
def week() -> Simulated:
    """The demo's week, in which cows stay out, are dried off and are milked once a day."""
    return simulate(demo_spec(5), DemoWeek())


def visits_of(cow: str, outcome: str = "") -> pd.DataFrame:
    """A cow's visits in the week, by how they ended."""
    visits = week().tables.visits
    return visits[(visits["cow"] == cow) & ((visits["outcome"] == outcome) | (outcome == ""))]


def test_only_cows_that_are_due_are_milked() -> None:
    """A cow is let in before her shortest interval only to be sent on, whatever is planned for her."""
    visits = week().tables.visits
    milked = visits[visits["outcome"] == "milked"].sort_values(["cow", "start"])
    gaps = milked["start"].diff()[milked["cow"] == milked["cow"].shift()] / HOUR_S
    called = milked.loc[gaps.index, "cow"] == DRIES

    assert gaps[~called].min() >= min(SHORTEST_INTERVAL_H.values())
    assert set(visits["outcome"]) == {"refused", "failed", "incomplete", "milked"}


def test_a_cow_stays_out_as_long_as_planned_and_is_then_milked_whole() -> None:
    """From her first milking past the moment, to the queue at the boxes; she is not brought in by the rounds."""
    for cow, after, hours in STAYS_OUT:
        hers = visits_of(cow)
        left = hers.loc[(hers["outcome"] == "milked") & (hers["start"] >= week().calendar.local.at(after)), "start"]
        following = hers[hers["start"] > left.iloc[0]].iloc[0]

        assert hours <= (following["start"] - left.iloc[0]) / HOUR_S < hours + 1
        assert following["outcome"] == "milked"


def test_a_cow_is_milked_when_called_and_comes_no_more_once_dried_off() -> None:
    """Her last visit lies between the call and the moment, and is a whole milking."""
    last = visits_of(DRIES).iloc[-1]

    assert week().calendar.local.at(DRY_CALLED) <= last["start"] < week().calendar.local.at(DRY_AT)
    assert last["outcome"] == "milked"


def test_a_cow_that_is_allowed_one_milking_a_day_is_not_brought_in_for_more() -> None:
    """Her whole milkings lie 16 h apart or more."""
    assert np.diff(visits_of(ONCE_A_DAY, "milked")["start"]).min() >= 16 * HOUR_S


def test_a_cow_goes_to_no_box_that_is_kept_from_her() -> None:
    """The one whose quarter climbs is never seen at the last box."""
    assert set(visits_of(CLIMBS)["box"]) == {"1", "2"}


def test_planned_failures_follow_the_cow() -> None:
    """A cow planned to fail is missed at about the stated share, at both boxes, and only in the stated time."""
    usual, failing = (
        tables_of(BoxHerd(90, 2, 12, 3, troubles=t)).visits for t in ((), (Trouble(4, 7, cow=10, failed=0.9),))
    )
    between = [frame[frame["start"].between(day(4), day(7))] for frame in (usual, failing)]
    counts = [frame[frame["outcome"] == "failed"]["cow"].value_counts() for frame in between]
    cow = (counts[1] - counts[0].reindex(counts[1].index).fillna(0)).idxmax()
    hers = between[1][(between[1]["cow"] == cow) & (between[1]["outcome"] != "refused")]
    before = failing[(failing["cow"] == cow) & (failing["start"] < day(4)) & (failing["outcome"] != "refused")]

    assert 0.7 < (hers["outcome"] == "failed").mean() <= 1
    assert set(hers.loc[hers["outcome"] == "failed", "box"]) == {"1", "2"}
    assert (before["outcome"] == "failed").mean() < 0.3
