"""The tank: rolling means of its tests, what is ahead of them, single results, and milk that is too warm."""

from __future__ import annotations

import math
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import tank_frames
from text_tables import lines, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.tank.results import IMPOSSIBLE, NO_RESULT, NO_TEMPERATURE
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import FarmFacts, Tables

POOLED, BY_MONTH, BACTERIA = "tank_cells_mean_k_ml", "tank_cells_monthly_mean_k_ml", "tank_bacteria_mean_k_ml"


def readings(name: str, tank: pd.DataFrame, zone: str = "UTC", **options: float) -> pd.DataFrame:
    """The readings of a measure of the tank."""
    measure = measure_named(name)
    tables = Tables(tank=tank, farm=FarmFacts(zone=zone))
    return measure.compute(tables, "tank", measure.settings(options)).frame


def sampled(*dated: tuple[str, float], column: str = "cells_k_ml", zone: str = "UTC") -> pd.DataFrame:
    """Tests of tank 1, each with its day (`2026-05-12`, or with a time) in the zone and its count."""
    frame = table("tank", "tank  at\n" + "1  00:00\n" * len(dated))
    frame["at"] = [int(datetime.fromisoformat(day).replace(tzinfo=ZoneInfo(zone)).timestamp()) for day, _ in dated]
    frame[column] = [float(count) for _, count in dated]
    return frame


def last(name: str, tank: pd.DataFrame, zone: str = "UTC", **options: float) -> dict[str, object]:
    """The newest reading."""
    return dict(readings(name, tank, zone, **options).iloc[-1])


# Fenlon et al. 2017, Irish Vet J 70:9, doi 10.1186/s13620-017-0083-z, Table 2: counts and seasonal factors
FENLON = {
    1: (438, 540, 413, 402, 283, 345),
    2: (513, 328, 463, 662, 408, 504, 414),
    3: (659, 555, 394, 407, 288, 226, 287),
}
SEASON = {"jan": 0.39, "feb": 0.74, "mar": 1.00}


def fenlon() -> pd.DataFrame:
    """The table's tests, on days four apart (the table gives months only)."""
    return sampled(*((f"2014-{m:02}-{2 + 4 * n:02}", c) for m, counts in FENLON.items() for n, c in enumerate(counts)))


@pytest.mark.parametrize(
    ("name", "season", "printed"),
    [
        (BY_MONTH, SEASON, 270.79),  # printed, method 1
        (POOLED, SEASON, 278.51),  # printed, method 2
        (BY_MONTH, {}, 409.76),  # the same without the factors, worked out from the printed counts
        (POOLED, {}, 410.48),
    ],
)
def test_published_means(name: str, season: dict[str, float], printed: float) -> None:
    """Both methods give the published means of Fenlon et al. 2017, with and without seasonal factors."""
    found = last(name, fenlon(), **season)

    assert (round(float(str(found["value"])), 2), found["tests"]) == (printed, 20)
    if season:  # and it is this method's figure that the measure names, here and in rules/README.md
        assert measure_named(name).check == f"Fenlon et al. 2017, Table 2: {printed}: test_results"


@pytest.mark.parametrize("name", [POOLED, BY_MONTH])
def test_published_herd_is_past_the_limit(name: str) -> None:
    """Without factors both means are over 400, so the limit is passed already."""
    assert last(name, fenlon())["passes_on"] == "already past it"
    assert last(name, fenlon(), **SEASON)["passes_on"] == "not foreseen"


@pytest.mark.parametrize(
    "counts", [(400, 400, 400), (160, 1000, 400), (200, 400, 800), (250, 640, 400), (100, 400, 1600)]
)
@pytest.mark.parametrize("name", [POOLED, BY_MONTH])
def test_exactly_the_limit(name: str, counts: tuple[float, ...]) -> None:
    """Tests whose mean is exactly the limit give the limit, not a hair more: it is not passed."""
    found = last(name, sampled(*zip(("2026-03-10", "2026-04-10", "2026-05-10"), counts, strict=True)))

    assert found["value"] == 400.0
    assert found["passes_on"] != "already past it"


def test_one_test_in_each_month() -> None:
    """Three months with a test each can be told; with a month left out, or one test less, they cannot."""
    whole = sampled(("2026-03-31", 300), ("2026-04-01", 300), ("2026-05-31", 300))
    gap = sampled(("2026-03-30", 300), ("2026-03-31", 300), ("2026-05-01", 300))

    assert last(POOLED, whole)["value"] == last(BY_MONTH, whole)["value"] == 300
    assert last(POOLED, gap)["why"] == "3 tests in 3 months, but none in one of the months"
    assert last(POOLED, gap.iloc[1:])["why"] == "only 2 tests in 3 months, and the mean needs 3"


def test_running_month() -> None:
    """A month that has only begun makes no mean unknown, and its first test is the newest in it."""
    begun = sampled(("2026-02-20", 200), ("2026-03-10", 400), ("2026-04-10", 800), ("2026-05-01", 400))

    assert last(POOLED, begun)["tests"] == 4
    assert last(BY_MONTH, begun)["tests"] == 3


@pytest.mark.parametrize(("day", "tests"), [("2026-02-10 12:00:00", 3), ("2026-02-10 12:00:01", 4)])
def test_edge_of_three_months(day: str, tests: int) -> None:
    """A test at the same day and second three months before is out, one a second later is in."""
    found = last(POOLED, sampled((day, 9), ("2026-03-10", 300), ("2026-04-10", 300), ("2026-05-10 12:00:00", 300)))

    assert found["tests"] == tests


def test_months_are_the_farms() -> None:
    """A test dated the first of a month, so at its midnight, belongs to that month where the farm is."""
    dated = (("2026-03-01", 300), ("2026-04-01", 300), ("2026-05-01", 300), ("2026-05-02", 300))
    tank = sampled(*dated, zone="Europe/Berlin")

    assert last(BY_MONTH, tank, "Europe/Berlin")["value"] == 300
    assert last(BY_MONTH, tank.iloc[1:], "Europe/Berlin")["tests"] == 3  # April and May, which are too few months
    assert math.isnan(float(str(last(BY_MONTH, tank.iloc[1:], "Europe/Berlin")["value"])))
    assert last(BY_MONTH, tank.iloc[1:], "UTC")["value"] == 300  # there 1 April is still 31 March


def test_bacteria_by_hand() -> None:
    """Two months with two tests each: the fourth root of their product, strictly compared."""
    # by hand: (50 x 200 x 80 x 125) ** (1/4) = 100
    days = ("2026-04-05", "2026-04-20", "2026-05-05", "2026-05-20")
    found = readings(BACTERIA, sampled(*zip(days, (50, 200, 80, 125), strict=True), column="bacteria_k_ml"))

    assert shown(found.iloc[[2, 3]], "value tests why") == lines("""
        value  tests  why
        -      3      only 3 tests in 2 months, and the mean needs 4
        100    4      -
        """)


def test_result_that_is_none() -> None:
    """A count of zero is no result: it says so, and the mean goes on without it."""
    tank = sampled(
        ("2026-03-10", 400), ("2026-04-10", 400), ("2026-05-10", 400), ("2026-05-20", 0), ("2026-05-30", 400)
    )
    found = readings(POOLED, tank)

    assert list(found["why"])[3] == NO_RESULT
    assert (found.iloc[-1]["value"], found.iloc[-1]["tests"]) == (400, 4)


def test_rows_that_are_no_tests() -> None:
    """Temperatures read every hour are no tests: they give no reading and change none."""
    tests = fenlon()
    hourly = table("tank", "tank  at  temperature_C\n" + "1  00:00  4.0\n" * 200)
    hourly["at"] = tests["at"].iloc[-1] + 3600 * np.arange(-100, 100)
    both = pd.concat([tests, hourly], ignore_index=True).drop_duplicates("at")

    pd.testing.assert_frame_equal(readings(POOLED, both), readings(POOLED, tests))


def test_headroom_by_hand() -> None:
    """After 200, 400 and 400 the next may read 800 while 200 still counts with it, and 400 once that has gone out."""
    # by hand: in 30 days 200 is still in, 200 * 400 * 400 * 800 = 400 ** 4; in 31 it is out, 400 * 400 * 400 = 400 ** 3
    dated = sampled(("2026-03-11", 200), ("2026-04-10", 400), ("2026-05-10", 400))
    found = last(POOLED, dated)

    assert (found["headroom_k_ml"], found["next_in_d"], found["passes_on"]) == (800.0, 30.0, "not foreseen")
    later = last(POOLED, sampled(("2026-03-09", 200), ("2026-04-10", 400), ("2026-05-10", 400)))
    assert (later["headroom_k_ml"], later["next_in_d"]) == (400.0, 31.0)


def test_day_of_passing() -> None:
    """A good old test holds the mean down until it leaves the period; the day it does is told."""
    # by hand: 100, 700, 390 is 301; one month on 700, 390, 390 is 474
    found = last(BY_MONTH, sampled(("2026-03-10", 100), ("2026-04-10", 700), ("2026-05-10", 390)))

    assert round(float(str(found["value"])), 0) == 301
    assert found["passes_on"] == "9 Jun 2026"


def test_never_passing() -> None:
    """Where the mean is within the limit whatever still leaves the period, no day is foreseen."""
    found = last(BY_MONTH, sampled(("2026-03-10", 300), ("2026-04-10", 390), ("2026-05-10", 400)))

    assert found["passes_on"] == "not foreseen"


monthly_counts = st.lists(st.integers(20, 2000), min_size=4, max_size=14)


@settings(max_examples=50, deadline=None)
@given(counts=monthly_counts, name=st.sampled_from((POOLED, BY_MONTH)), every_d=st.integers(3, 24))
def test_headroom_put_in(counts: list[int], name: str, every_d: int) -> None:
    """The highest next test that is told, put in on its day, makes the mean the limit; a little more passes it."""
    tank = sampled(*(("2026-01-01", count) for count in counts))
    tank["at"] += DAY_S * every_d * np.arange(len(counts))
    found = last(name, tank)
    headroom, wait = float(str(found["headroom_k_ml"])), round(float(str(found["next_in_d"])) * DAY_S)
    assume(1 < headroom < 1e5)
    means = []
    for next_test in (headroom, headroom * 1.01):
        row = tank.iloc[-1:].assign(at=tank["at"].iloc[-1] + wait, cells_k_ml=next_test)
        means.append(float(str(last(name, pd.concat([tank, row], ignore_index=True))["value"])))
    assume(not math.isnan(means[0]))

    assert means[0] == pytest.approx(400, abs=1e-3) and means[0] <= 400 < means[1]


@settings(max_examples=50, deadline=None)
@given(counts=monthly_counts, name=st.sampled_from((POOLED, BY_MONTH)))
def test_mean_lies_between(counts: list[int], name: str) -> None:
    """A mean lies between the lowest and the highest of the tests."""
    tank = sampled(*(("2026-01-01", count) for count in counts))
    tank["at"] += DAY_S * 20 * np.arange(len(counts))
    found = float(str(last(name, tank)["value"]))

    assert math.isnan(found) or min(counts) - 1e-5 <= found <= max(counts) + 1e-5


@settings(max_examples=25, deadline=None)
@given(tank=tank_frames)
def test_plain_means(tank: pd.DataFrame) -> None:
    """A second opinion, test by test with pandas' calendar, finds the same means and the same that cannot be told."""
    for row in readings(POOLED, tank, "Europe/Berlin").to_dict("records"):
        local = pd.Timestamp(row["at"], unit="s", tz="UTC").tz_convert("Europe/Berlin").tz_localize(None)
        mine = tank[(tank["tank"] == row["subject"].partition(":")[2]) & (tank["cells_k_ml"] > 0)]
        at = pd.to_datetime(mine["at"], unit="s", utc=True).dt.tz_convert("Europe/Berlin").dt.tz_localize(None)
        inside = mine["cells_k_ml"][(at > local - pd.DateOffset(months=3)) & (at <= local)]
        months = at.dt.to_period("M")
        asked = [local.to_period("M") - back for back in (1, 2)]
        told = len(inside) >= 3 and all((months[at <= local] == month).any() for month in asked)
        if math.isnan(row["last_k_ml"]):
            assert row["why"] == NO_RESULT
        elif told:
            assert row["value"] == pytest.approx(math.exp(np.log(inside).mean()), rel=1e-7)
        else:
            assert math.isnan(row["value"])


# --- single results --------------------------------------------------------------------------------------


def test_three_of_five() -> None:
    """Of the last five results it is told how many are over the limit."""
    results = (900, 751, 750, 900, 10, 20, 800)
    tank = sampled(*((f"2026-05-{day:02}", count) for day, count in enumerate(results, start=1)))
    found = readings("tank_cells_k_ml", tank, limit=750)

    assert shown(found, "value previous over of") == lines("""
        value  previous  over  of
        900    -         1     1
        751    900       2     2
        750    751       2     3
        900    750       3     4
        10     900       3     5
        20     10        2     5
        800    20        2     5
        """)


def test_old_results_are_forgotten() -> None:
    """A result 100 days old is not one of the last five."""
    tank = sampled(("2026-01-01", 900), ("2026-04-11", 900), column="bacteria_k_ml")

    assert list(readings("tank_bacteria_k_ml", tank)["of"]) == [1, 1]


# --- temperature -----------------------------------------------------------------------------------------


def temperatures(text: str, **options: float) -> list[list[str]]:
    """The readings of the milk's temperature, shown."""
    found = readings("milk_temperature_C", table("tank", text), **options)
    return shown(found, "at value hours why")


def test_a_new_filling() -> None:
    """After a collection the first milk has two hours; from then on its temperature counts."""
    assert temperatures("""
        tank  at     temperature_C  litres
        1     06:00  3.8            9000
        1     08:00  31.0           0
        1     09:00  24.0           260
        1     10:59  9.1            500
        1     11:00  9.0            510
        1     15:00  4.0            1200
        """) == lines("""
        at     value  hours  why
        06:00  3.8    -      -
        08:00  -      -      the tank is empty
        09:00  -      0      a new filling has 2 h to cool
        10:59  -      1.983  a new filling has 2 h to cool
        11:00  9      2      -
        15:00  4      6      -
        """)


def test_a_collection_between_readings() -> None:
    """With readings hours apart the empty tank is not seen: half as much as before is a new filling."""
    assert temperatures("""
        tank  at     temperature_C  litres
        1     06:00  3.8            9000
        1     10:00  14.0           700
        1     14:00  7.0            1500
        1     18:00  4.0            800
        """) == lines("""
        at     value  hours  why
        06:00  3.8    -      -
        10:00  -      0      a new filling has 2 h to cool
        14:00  7      4      -
        18:00  4      8      -
        """)


def test_time_to_cool_is_an_option() -> None:
    """Another regime gives the milk another time."""
    text = "tank  at  temperature_C  litres\n1  06:00  4  9000\n1  10:00  14  700\n1  13:00  11  900\n1  14:00  10  950"

    assert [row[1] for row in temperatures(text, time_to_cool=4 * 3600)[1:]] == ["4", "-", "-", "10"]
    assert [row[1] for row in temperatures(text, time_to_cool=0)[1:]] == ["4", "14", "11", "10"]


def test_missing_and_impossible_temperatures() -> None:
    """A row with litres only cannot be told, nor can a broken probe; a laboratory's row is no reading."""
    found = readings(
        "milk_temperature_C",
        table(
            "tank",
            """
            tank  at     temperature_C  litres  cells_k_ml
            1     06:00  -              4000    -
            1     07:00  850            4100    -
            1     08:00  -              -       210
            1     09:00  4.2            -       -
            """,
        ),
    )

    assert shown(found, "at value litres") == lines("""
        at     value  litres
        06:00  -      4000
        07:00  -      4100
        09:00  4.2    4100
        """)
    assert list(found["why"]) == [NO_TEMPERATURE, IMPOSSIBLE, ""]


def test_without_litres() -> None:
    """Where the export has no litres, every temperature is judged and nothing is said of the filling."""
    assert temperatures("tank  at  temperature_C\n1  06:00  4\n1  10:00  14") == lines("""
        at     value  hours  why
        06:00  4      -      -
        10:00  14     -      -
        """)


def test_two_tanks() -> None:
    """One tank's collection is not another's."""
    found = temperatures("""
        tank  at     temperature_C  litres
        1     06:00  3.8            9000
        2     06:00  3.8            500
        1     07:00  3.8            9100
        2     07:00  3.8            600
        """)

    assert [row[3] for row in found[1:]] == ["-"] * 4
