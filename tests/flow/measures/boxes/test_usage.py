"""Visits, minutes and failed shares of boxes and cows, and boxes that the others leave behind."""

from __future__ import annotations

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import DAY_0, visit_frames
from text_tables import lines, moment, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import Resets
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import FarmFacts, Tables

VISITS = """
    cow  start  box  outcome     duration_s
    7    05:00  1    milked      420
    9    05:10  1    failed      200
    10   05:20  1    refused     40
    7    06:00  2    incomplete  300
    9    06:10  1    failed      -
    9    07:00  2    milked      360
"""


def readings(name: str, visits: pd.DataFrame, per: str, **given_options: float) -> pd.DataFrame:
    """The measure's readings of one frame of visits."""
    measure = measure_named(name)
    return measure.compute(Tables(visits=visits), per, measure.settings(given_options)).frame


def test_the_failed_share_of_a_box() -> None:
    """Two of three tries failed; a refused visit is no try, and with fewer tries than asked nothing is told."""
    found = readings("failed_share_pct", table("visits", VISITS), "box", fewest=3)

    assert shown(found, "subject at value failed visits") == lines("""
        subject  at     value  failed  visits
        box:1    05:00  -      0       1
        box:1    05:10  -      1       2
        box:1    06:10  66.667  2       3
        box:2    06:00  -      0       1
        box:2    07:00  -      0       2
        """)
    assert set(found["why"][found["value"].isna()]) == {"too few tries in that time to tell a share"}


def test_visits_and_minutes_of_a_cow() -> None:
    """Cow 9 was in a box three times within the day; how long she was there cannot be told for want of one duration."""
    number = readings("visits_number", table("visits", VISITS), "cow")
    minutes = readings("box_minutes", table("visits", VISITS), "cow")

    assert list(number[number["subject"] == "cow:9"]["value"]) == [1, 2, 3]
    assert list(number[number["subject"] == "cow:10"]["refused"]) == [1]
    assert list(minutes[minutes["subject"] == "cow:7"]["value"]) == [7, 12]
    assert (
        list(minutes[minutes["subject"] == "cow:9"]["why"])[1:]
        == ["the export has no duration for some of these visits"] * 2
    )


def test_a_box_that_is_quiet_while_the_others_work() -> None:
    """Counted are the others' visits since its own last one, for a box never seen since the watch began."""
    rows = Tables(visits=table("visits", VISITS), farm=FarmFacts(("1", "2", "3"), watched_since=moment("05:05")))
    found = measure_named("visits_elsewhere").compute(rows, "box", {})

    assert isinstance(found, Resets)
    assert {box: behind(found, box, moment("08:00")) for box in ("box:1", "box:2", "box:3")} == {
        "box:1": 1,
        "box:2": 0,
        "box:3": 5,
    }


def behind(found: Resets, box: str, at: int) -> int:
    """How many visits the box is behind at a moment."""
    assert found.events is not None
    last = found.frame[(found.frame["subject"] == box) & (found.frame["at"] <= at)]["at"].max()
    events = found.events[found.events["subject"] == box]["at"]
    return int(((events > last) & (events <= at)).sum())


PER = st.sampled_from(["box", "cow"])
WITHIN = st.sampled_from([3600.0, 6.0 * HOUR_S, 10.0 * DAY_S])
LASTED = st.lists(st.sampled_from([240.0, 431.0, None]), min_size=1)


@settings(max_examples=40, deadline=None)
@given(visits=visit_frames(), lasted=LASTED, per=PER, within=WITHIN)
def test_against_a_plain_count(visits: pd.DataFrame, lasted: list[float | None], per: str, within: float) -> None:
    """Share, visits and minutes at every reading are what counting and adding the rows by hand gives."""
    several = [lasted[n % len(lasted)] for n in range(len(visits))]
    visits = visits.assign(duration_s=pd.Series(several, dtype=float))
    judged = visits.assign(outcome=outcomes(visits))  # once: an outcome not known is not one that nobody told
    for name in ("failed_share_pct", "visits_number", "box_minutes"):
        for row in readings(name, visits, per, within=within).to_dict("records"):
            mine = judged[f"{per}:" + judged[per] == row["subject"]]
            mine = mine[(mine["start"] > row["at"] - within) & (mine["start"] <= row["at"])]
            tries = mine[mine["outcome"].isin(["milked", "incomplete", "failed"])]
            if name == "failed_share_pct":
                expected = 100 * (tries["outcome"] == "failed").mean() if len(tries) >= 10 else None
            elif name == "visits_number":
                expected = float(len(mine))
            else:
                expected = None if mine["duration_s"].isna().any() else mine["duration_s"].sum() / 60
            assert (None if pd.isna(row["value"]) else row["value"]) == (
                expected if expected is None else pytest.approx(expected)
            )


@settings(max_examples=40, deadline=None)
@given(visits=visit_frames(), hours=st.integers(0, 40 * 24))
def test_behind_against_a_plain_count(visits: pd.DataFrame, hours: int) -> None:
    """At any moment a box is behind by the others' visits since its own last one."""
    at = DAY_0 + hours * HOUR_S
    found = measure_named("visits_elsewhere").compute(Tables(visits=visits), "box", {})
    assert isinstance(found, Resets)
    past = visits[(visits["start"] <= at) & visits["box"].notna()]
    for box in set(past["box"]):
        last = past[past["box"] == box]["start"].max()
        assert behind(found, f"box:{box}", at) == ((past["start"] > last) & (past["box"] != box)).sum()
