"""Conductivity against a quarter's own past and against the other quarters."""

from __future__ import annotations

import math

import pandas as pd
import pytest
from hypothesis import given, settings
from strategies import visit_frames
from text_tables import lines, moment, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.milking.outcomes import gave_milk
from sentinel.flow.measures.udder.conductivity import PERHAPS_OFF
from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.flow.tables import Tables

RISE = measure_named("conductivity_rise_pct")
RATIO = measure_named("conductivity_ratio")


def readings(name: str, visits: pd.DataFrame) -> pd.DataFrame:
    """The readings of a conductivity measure."""
    return measure_named(name).compute(Tables(visits=visits), "quarter", {}).frame


def left_front(*values: float | str, every_h: int = 8, first: str = "00:00") -> pd.DataFrame:
    """Milkings of cow 7 with these readings of LF; text after a value: `kicked`, `incomplete`, `failed`, `-`."""
    rows = []
    for index, value in enumerate(values):
        number, _, how = str(value).partition(" ")
        at = moment(first) + 3600 * every_h * index
        rows.append((at, number, how if how in ("incomplete", "failed") else "milked", 1.0 if how == "kicked" else 0.0))
    frame = table("visits", "cow  start  box\n" + "7  00:00  1\n" * len(rows))
    frame["start"] = [at for at, *_ in rows]
    frame["lf_conductivity_mS_cm"] = [math.nan if number == "-" else float(number) for _, number, *_ in rows]
    frame["outcome"] = pd.Series([outcome for _, _, outcome, _ in rows], dtype="object")
    frame["lf_kicked_off"] = [kicked for *_, kicked in rows]
    return frame


@pytest.mark.parametrize(("reading", "rise"), [(5.50, 10.0), (5.75, 15.0), (5.00, 0.0), (4.50, -10.0)])
def test_rise_over_fourteen_milkings(reading: float, rise: float) -> None:
    """After 14 milkings at 5.00 mS/cm a reading of 5.50 is a rise of 10 %, one of 5.75 of 15 %."""
    # the definition of Biggadike et al. 2002, Vet Record 150:655 (authors and DOI from memory), worked by hand
    last = readings("conductivity_rise_pct", left_front(*[5.00] * 14, reading)).iloc[-1]

    assert (last["value"], last["baseline"], last["milkings"]) == (rise, 5.0, 14)


def test_rise_uses_no_more_than_fourteen() -> None:
    """A fifteenth milking back, however high, is not in the mean."""
    last = readings("conductivity_rise_pct", left_front(50.0, *[5.00] * 14, 5.50)).iloc[-1]

    assert (last["value"], last["milkings"]) == (10.0, 14)


def test_rise_needs_seven() -> None:
    """With six earlier milkings it cannot be told and says so; with seven it can."""
    found = readings("conductivity_rise_pct", left_front(*[5.00] * 8))

    assert shown(found.iloc[[0, 1, 6, 7]], "value milkings why") == lines("""
        value  milkings  why
        -      0         no earlier milking with a reading in 30 days, and the mean needs 7
        -      1         only 1 earlier milking with a reading in 30 days, and the mean needs 7
        -      6         only 6 earlier milkings with a reading in 30 days, and the mean needs 7
        0      7         -
        """)


def test_rise_forgets_after_thirty_days() -> None:
    """A milking exactly 30 days ago is too old for the mean, one a second younger is not."""
    old = left_front(*[5.00] * 7, every_h=1)
    for second, milkings in ((0, 6), (-1, 7)):
        new = left_front(5.50).assign(start=moment("00:00") + 30 * DAY_S + second)
        last = readings("conductivity_rise_pct", pd.concat([old, new], ignore_index=True)).iloc[-1]

        assert last["milkings"] == milkings


def test_kicked_off_cup() -> None:
    """A quarter whose cup came off is not judged, and its reading is not in the mean of later ones."""
    found = readings("conductivity_rise_pct", left_front(*[5.00] * 7, "9.00 kicked", 5.50))

    assert shown(found.iloc[-2:], "value conductivity baseline milkings why") == lines("""
        value  conductivity  baseline  milkings  why
        -      9             -         0         the cup came off early, so the reading is of part of the quarter's milk
        10     5.5           5         7         -
        """)


def test_a_cup_that_may_have_come_off() -> None:
    """Of a milking that was not whole, where nothing is said of the cup: as one that came off."""
    visits = left_front(*[5.00] * 7, "9.00 incomplete", 5.50)
    found = readings("conductivity_rise_pct", visits.assign(lf_kicked_off=math.nan))

    assert shown(found.iloc[-2:], "value conductivity baseline milkings") == lines("""
        value  conductivity  baseline  milkings
        -      9             -         0
        10     5.5           5         7
        """)
    assert found["why"].iloc[-2] == PERHAPS_OFF


def test_a_milking_that_was_broken_off_with_all_cups_on() -> None:
    """Every quarter of it was cut short, so none is judged, nor kept for what is usual."""
    visits = left_front(*[5.00] * 7, "9.00 incomplete", 5.50)
    visits[["rf_kicked_off", "lr_kicked_off", "rr_kicked_off"]] = 0.0
    found = readings("conductivity_rise_pct", visits)

    assert shown(found.iloc[-2:], "value conductivity baseline milkings") == lines("""
        value  conductivity  baseline  milkings
        -      9             -         0
        10     5.5           5         7
        """)
    assert found["why"].iloc[-2] == PERHAPS_OFF


def test_incomplete_and_failed() -> None:
    """An incomplete milking's reading is judged and kept like any other; a failed visit is no milking."""
    found = readings(
        "conductivity_rise_pct", left_front(*[5.00] * 6, "5.00 incomplete", "9.00 failed", "5.50 incomplete")
    )

    assert shown(found.iloc[-1:], "value milkings") == lines("value  milkings\n10  7")
    assert 9.0 not in set(found["conductivity"])


def test_missing_and_impossible_readings() -> None:
    """A quarter not read gives no reading; a reading of zero or less is told as the sensor's fault."""
    found = readings("conductivity_rise_pct", left_front(*[5.00] * 7, "-", 0.0, -3.0, 5.50))

    assert shown(found.iloc[-3:], "conductivity value milkings why") == lines("""
        conductivity  value  milkings  why
        0             -      0         milk cannot have the conductivity that was read, so the sensor may be at fault
        -3            -      0         milk cannot have the conductivity that was read, so the sensor may be at fault
        5.5           10     7         -
        """)
    assert len(found) == 10


def four(lf: str, rf: str, lr: str, rr: str) -> pd.DataFrame:
    """One milking of cow 217 with these readings; a kicked off cup has a trailing `k`."""
    frame = table("visits", "cow  start  box  outcome\n217  06:00  2  milked")
    for quarter, text in zip(QUARTERS, (lf, rf, lr, rr), strict=True):
        frame[f"{quarter.lower()}_conductivity_mS_cm"] = math.nan if text == "-" else float(text.rstrip("k"))
        frame[f"{quarter.lower()}_kicked_off"] = float(text.endswith("k"))
    return frame


def test_ratio_of_four_quarters() -> None:
    """4.8, 5.0, 5.1 and 6.4 mS/cm give 0.980, 1.020, 1.041 and 1.306 over the mean 4.90 of the two lowest."""
    # the definition of Mollenhorst et al. 2010, J Dairy Sci 93:3358, worked by hand
    found = readings("conductivity_ratio", four("4.8", "5.0", "5.1", "6.4"))

    assert shown(found, "subject at conductivity lowest_two value box") == lines("""
        subject         at     conductivity  lowest_two  value  box
        quarter:217/LF  06:00  4.8           4.9         0.98   2
        quarter:217/LR  06:00  5.1           4.9         1.041  2
        quarter:217/RF  06:00  5             4.9         1.02   2
        quarter:217/RR  06:00  6.4           4.9         1.306  2
        """)


def test_ratio_of_three_quarters() -> None:
    """A dry quarter has no reading and the other three are judged."""
    found = readings("conductivity_ratio", four("4.8", "-", "5.0", "6.4"))

    assert shown(found, "subject value") == lines("""
        subject         value
        quarter:217/LF  0.98
        quarter:217/LR  1.02
        quarter:217/RR  1.306
        """)


def test_ratio_of_two_quarters() -> None:
    """With two quarters read the two lowest are all there is, so the ratio cannot be told."""
    found = readings("conductivity_ratio", four("4.8", "-", "-", "6.4"))

    assert shown(found, "subject value lowest_two why") == lines("""
        subject         value  lowest_two  why
        quarter:217/LF  -      -           only 2 quarters with a reading, and the ratio needs 3
        quarter:217/RR  -      -           only 2 quarters with a reading, and the ratio needs 3
        """)


def test_ratio_leaves_out_a_kicked_off_quarter() -> None:
    """A quarter whose cup came off is neither judged nor among the two lowest."""
    found = readings("conductivity_ratio", four("4.0k", "4.8", "5.0", "6.4"))

    assert shown(found, "subject value why") == lines("""
        subject         value  why
        quarter:217/LF  -      the cup came off early, so the reading is of part of the quarter's milk
        quarter:217/LR  1.02   -
        quarter:217/RF  0.98   -
        quarter:217/RR  1.306  -
        """)


@settings(max_examples=30, deadline=None)
@given(visits=visit_frames(most=60))
def test_rise_against_plain_words(visits: pd.DataFrame) -> None:
    """Every reading of the rise is what a plain reading of its definition gives."""
    for row in readings("conductivity_rise_pct", visits).to_dict("records"):
        cow, quarter = row["subject"].removeprefix("quarter:").split("/")
        cell = f"{quarter.lower()}_"
        mine = visits[(visits["cow"] == cow) & gave_milk(visits)]
        here = mine[mine["start"] == row["at"]].iloc[0]
        off = mine[cell + "kicked_off"]
        all_on = (mine[[f"{one}_kicked_off" for one in ("lf", "rf", "lr", "rr")]] == 0).all(axis=1)
        off = (off == 1) | ((off.isna() | all_on) & mine["outcome"].isin(["incomplete", "not_whole", "unknown"]))
        usable = mine[(mine[cell + "conductivity_mS_cm"] > 0) & ~off]
        past = usable[(usable["start"] < row["at"]) & (usable["start"] > row["at"] - 30 * DAY_S)].tail(14)
        past = past[cell + "conductivity_mS_cm"]
        if off[here.name] or row["conductivity"] <= 0 or len(past) < 7:
            assert math.isnan(row["value"])
        else:
            mean = math.fsum(past) / len(past)
            assert row["value"] == pytest.approx(100 * (row["conductivity"] / mean - 1), rel=1e-9, abs=1e-9)
            assert row["milkings"] == len(past)
