"""Sensors that say the same again and again, and sensors that read high."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from text_tables import lines, moment, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.udder.sensor import BY_CHANCE, sensor_offsets, sensor_spreads
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import FarmFacts, Tables

HEAD = "cow  start  box  outcome  lf_conductivity_mS_cm  rf_conductivity_mS_cm  rf_milk_kg"


def runs(text: str) -> pd.DataFrame:
    """The longest runs of equal readings, from visits with readings of the two front quarters."""
    return measure_named("stuck_readings").compute(Tables(visits=table("visits", HEAD + text)), "box", {}).frame


def test_equal_readings_of_several_cows() -> None:
    """Readings that say the same are counted over the cows, and the sensor is named; another figure ends it."""
    found = runs("""
        1  01:00  2  milked  4.8  5.1  3.0
        2  02:00  2  milked  4.9  5.1  3.0
        3  03:00  2  milked  4.7  5.1  3.0
        1  04:00  2  milked  4.8  5.1  3.0
        2  05:00  2  milked  4.9  5.3  3.0
        """)

    assert shown(found, "subject at value sensor reading") == lines("""
        subject  at     value  sensor       reading
        box:2    01:00  1      -            -
        box:2    02:00  2      right front  5.1
        box:2    03:00  3      right front  5.1
        box:2    04:00  4      right front  5.1
        box:2    05:00  1      -            -
        """)


def test_equal_readings_of_one_cow_are_her_own() -> None:
    """A cow may have the same milk again; with a second cow in the row the run is one of the sensor."""
    found = runs("""
        1  01:00  2  milked  4.8  -  -
        1  09:00  2  milked  4.8  -  -
        1  17:00  2  milked  4.8  -  -
        2  18:00  2  milked  4.8  -  -
        """)

    assert found["value"].tolist() == [1, 1, 1, 4]


def test_a_dead_sensor() -> None:
    """No reading although there was milk, zero and less than nothing are one run; a dry quarter is no reading."""
    found = runs("""
        1  01:00  2  milked  4.8  -     3.0
        2  02:00  2  milked  4.9  0     3.0
        3  03:00  2  milked  4.7  -     -
        4  04:00  2  milked  4.6  -1.5  3.0
        5  05:00  2  milked  4.8  -     0
        """)

    assert shown(found, "value sensor reading") == lines("""
        value  sensor       reading
        1      -            -
        2      right front  0
        2      right front  0
        3      right front  0
        3      right front  0
        """)


def test_runs_are_of_one_box_and_forgotten_after_two_days() -> None:
    """Each box has its own sensors, a failed visit is no reading, and what is two days old counts no more."""
    found = runs("""
        1  00:00  2  milked  4.8  -  -
        2  01:00  1  milked  4.8  -  -
        3  02:00  2  failed  4.8  -  -
        4  23:00  2  milked  4.8  -  -
        5  1d23:59:59  2  milked  4.8  -  -
        6  2d00:00:01  2  milked  4.8  -  -
        7  -1d01:00  -  milked  4.8  -  -
        """)

    assert shown(found, "subject value") == lines("""
        subject  value
        box:1    1
        box:2    1
        box:2    2
        box:2    3
        box:2    3
        """)


def test_only_what_is_asked_for() -> None:
    """Readings from a moment on, and each box's last, are those of all readings."""
    visits = table(
        "visits",
        HEAD
        + """
        1  00:00    1  milked  4.8  -  -
        2  02:00    1  milked  4.8  -  -
        1  3d00:00  2  milked  4.8  -  -
        2  5d00:00  2  milked  4.9  -  -
        3  5d01:00  2  milked  4.9  -  -
        4  5d02:00  2  milked  4.9  -  -
        """,
    )
    measure = measure_named("stuck_readings")
    part = measure.compute(Tables(visits=visits, farm=FarmFacts(asked_from=moment("5d01:00"))), "box", {}).frame

    assert shown(part, "subject at value") == lines("""
        subject  at       value
        box:1    02:00    2
        box:2    5d01:00  2
        box:2    5d02:00  3
        """)


def test_stuck_readings_are_no_milk() -> None:
    """From the fifth equal reading of several cows on, what the sensor says is missing evidence, with its reason."""
    rows = "".join(
        f"{cow}  {hour:02}:00  2  milked  4.8  5.{cow}  3.0\n" for cow, hour in zip("123456", range(6), strict=True)
    )
    visits = table("visits", HEAD + "\n" + rows)
    found = measure_named("udder_evidence").compute(Tables(visits=visits), "quarter", {}).frame

    why = found[found["subject"].str.endswith("LF")]["why"]
    assert why.str.contains("says the same again and again").tolist() == [False] * 4 + [True] * 2


def offsets(shift: float, readings: int, every_s: int = HOUR_S // 4) -> np.ndarray:
    """The offset told at each of so many readings of one sensor whose every reading is off by `shift`."""
    at = moment("00:00") + every_s * np.arange(readings)
    return sensor_offsets(np.zeros(readings, np.int64), at, np.full((readings, 1), shift))[:, 0]


def test_a_sensor_that_reads_high_is_taken_off_beyond_chance() -> None:
    """With ten readings of a day it is known how far off a sensor is; what chance may do stays in."""
    told = offsets(0.06, 14)

    assert told[:10].tolist() == [0.0] * 10
    np.testing.assert_allclose(told[10:], 0.06 - BY_CHANCE, atol=1e-6)
    assert offsets(0.01, 40).tolist() == [0.0] * 40
    np.testing.assert_allclose(offsets(-0.06, 14)[10:], BY_CHANCE - 0.06, atol=1e-6)


def test_a_sensor_little_used_is_not_corrected() -> None:
    """Fewer than ten readings within a day tell nothing of a sensor."""
    assert offsets(0.06, 40, every_s=DAY_S // 9).tolist() == [0.0] * 40


def test_one_odd_reading_does_not_carry_a_sensor_away() -> None:
    """A reading counts as ten hundredths at most, and a reading is never judged by itself or later ones."""
    at = moment("00:00") + HOUR_S // 4 * np.arange(31)
    change = np.zeros((31, 1))
    change[20] = 0.9

    assert sensor_offsets(np.zeros(31, np.int64), at, change)[:, 0].tolist() == [0.0] * 31


def test_how_much_a_sensor_scatters_is_told_by_what_it_showed_before() -> None:
    """By hand: changes of 0.04 are a standard deviation of 0.04 x sqrt(pi / 2), pooled with 30 readings of 0.02."""
    number = 60
    at = moment("00:00") + HOUR_S // 4 * np.arange(number)
    change = np.full((number, 1), 0.04)
    change[::2] *= -1
    told = sensor_spreads(np.zeros(number, np.int64), at, change, 0.02)[:, 0]

    assert told[0] == pytest.approx(0.02)
    own = (0.04 * math.sqrt(math.pi / 2)) ** 2
    assert told[20] == pytest.approx(math.sqrt((30 * 0.02**2 + 20 * own) / 50))
    change[5] = 9.0
    odd = sensor_spreads(np.zeros(number, np.int64), at, change, 0.02)[20, 0]
    size = math.sqrt(math.pi / 2) * (19 * 0.04 + 0.10) / 20
    assert odd == pytest.approx(math.sqrt((30 * 0.02**2 + 20 * size**2) / 50))


def test_sensors_of_unnamed_boxes_and_of_yesterday_scatter_as_usual() -> None:
    """Without a box there is no sensor, and what is a day old says nothing of it."""
    at = moment("00:00") + DAY_S * np.arange(3)
    change = np.full((3, 1), 0.09)

    assert sensor_spreads(np.zeros(3, np.int64), at, change, 0.02)[:, 0].tolist() == [0.02] * 3
    assert sensor_spreads(np.full(3, -1), at // DAY_S, change, 0.02)[:, 0].tolist() == [0.02] * 3
