"""The arm: a shift that all cows share at one box, and what must not look like one."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd
import pytest
from box_herd import BoxHerd, Trouble, day, hours_after, tables_of

from sentinel.flow.measures import measure_named
from sentinel.flow.tables import Tables, wide

BIG = BoxHerd(cows=120, days=30)
SHIFT = Trouble(26.3, 27.3, box=1, shift_mm=(0.0, 14.0, 0.0))


@cache
def herd(made: BoxHerd) -> Tables:
    """The tables of a herd, made once."""
    return tables_of(made)


def arm(rows: Tables) -> pd.DataFrame:
    """The readings of the arm's offset."""
    measure = measure_named("arm_offset_mm")
    return measure.compute(rows, "box", measure.settings({})).frame


def of(frame: pd.DataFrame, box: int, start: float, until: float) -> pd.DataFrame:
    """The readings of a box between two days of the herd."""
    return frame[(frame["subject"] == f"box:{box}") & (frame["at"] >= day(start)) & (frame["at"] < day(until))]


def test_a_shift_is_found_with_its_size_and_side() -> None:
    """14 mm to the cow's left at one box is over 3 mm at the least within 6 h and comes out within its uncertainty."""
    frame = arm(herd(replace(BIG, troubles=(SHIFT,))))
    over = of(frame, 2, 26.3, 27.3).query("value > 3")
    best = over.loc[over["value"].idxmax()]

    assert hours_after(int(over["at"].iloc[0]), 26.3) < 6
    assert abs(best["offset"] - 14) < best["uncertainty"] + 1
    assert (best["direction"], best["axis"]) == ("to the left of", "across")
    assert best["against"] == "where the other boxes see them"
    assert best["cows"] > 5 and 12 <= best["visits"] <= 96


@pytest.mark.parametrize(
    ("shift", "direction"),
    [
        ((12.0, 0.0, 0.0), "in front of"),
        ((-12.0, 0.0, 0.0), "behind"),
        ((0.0, -12.0, 0.0), "to the right of"),
        ((0.0, 0.0, 12.0), "above"),
        ((0.0, 0.0, -12.0), "below"),
    ],
)
def test_every_way(shift: tuple[float, float, float], direction: str) -> None:
    """A shift along, across and in height is said as the cow stands."""
    rows = herd(replace(BIG, troubles=(replace(SHIFT, shift_mm=shift),)))
    mine = of(arm(rows), 2, 26.3, 27.3)

    assert mine.loc[mine["value"].idxmax(), "direction"] == direction


def test_other_boxes_are_not_moved_by_it() -> None:
    """The boxes that stand as ever have no shift of 3 mm at the least while one is out."""
    frame = arm(herd(replace(BIG, troubles=(SHIFT,))))

    assert of(frame, 1, 26, 28)["value"].max() < 3
    assert of(frame, 3, 26, 28)["value"].max() < 3


def test_nothing_wrong_shows_nothing() -> None:
    """In a month with nothing wrong no box is ever 3 mm out at the least."""
    frame = arm(herd(BIG))

    assert frame["value"].notna().mean() > 0.8
    assert frame["value"].max() < 3


def test_a_changed_udder_does_not_move_it() -> None:
    """One cow whose udder hangs 60 mm lower from a day on moves no reading by more than 2 mm, and none to 3 mm."""
    rows = herd(BIG)
    hers = (rows.visits["cow"] == rows.visits["cow"].iloc[0]) & (rows.visits["start"] >= day(26))
    lower = {column: rows.visits[column] - 60.0 * hers for column in wide("z_mm")}
    frame = arm(replace(rows, visits=rows.visits.assign(**lower)))
    usual = arm(rows)

    assert frame["value"].max() < 3
    assert (frame["value"] - usual["value"]).abs().max() < 2


def test_a_misread_teat_does_not_move_it() -> None:
    """A box that misreads one teat of every cow by 200 mm sees the other three where they are."""
    rows = herd(BIG)
    here = (rows.visits["box"] == "2") & (rows.visits["start"] >= day(26))
    column = wide("y_mm")[0]
    wrong = rows.visits.assign(**{column: rows.visits[column] + 200.0 * here})

    assert of(arm(replace(rows, visits=wrong)), 2, 26, 30)["value"].max() < 3


def test_boxes_that_always_differ_are_not_out() -> None:
    """A box whose frame lies 6 mm beside the others' for ever is judged against its own past."""
    rows = herd(BIG)
    beside = {c: rows.visits[c] + 6.0 * (rows.visits["box"] == "2") for c in wide("x_mm")}
    frame = arm(replace(rows, visits=rows.visits.assign(**beside)))

    assert of(frame, 2, 20, 30)["value"].max() < 3


def test_a_calibration_ends_it() -> None:
    """Once the arm is set and stands right, the next readings that can be told show no shift."""
    rows = herd(replace(BIG, troubles=(replace(SHIFT, until=26.8),), events=(("2", 26.8, "arm_calibrated"),)))
    frame = arm(rows)

    assert of(frame, 2, 26.6, 26.8)["value"].max() > 3
    after = of(frame, 2, 26.8, 28)
    assert after["value"].iloc[0] != after["value"].iloc[0]  # not a number: too few visits since
    assert after["value"].max() < 1


def test_a_calibration_begins_a_new_reference() -> None:
    """An arm that stands elsewhere from its calibration on is not out against where it stood before."""
    moved = Trouble(20.0, 29.9, box=1, shift_mm=(8.0, 0.0, 0.0))
    rows = herd(replace(BIG, troubles=(moved,), events=(("2", 20.0, "arm_calibrated"),)))
    unsaid = herd(replace(BIG, troubles=(moved,)))

    assert of(arm(rows), 2, 20, 30)["value"].max() < 3
    assert of(arm(unsaid), 2, 20, 22)["value"].max() > 3


def test_daily_calibrations_do_not_blind_it() -> None:
    """Where the arm is set every morning and hardly moved by it, a shift in the afternoon is found within 6 h."""
    events = tuple(("2", float(d), "arm_calibrated") for d in range(1, 30))
    frame = arm(herd(replace(BIG, troubles=(replace(SHIFT, until=27.0),), events=events)))
    over = of(frame, 2, 26.3, 27.0).query("value > 3")

    assert hours_after(int(over["at"].iloc[0]), 26.3) < 6
    assert of(frame, 2, 15, 26)["value"].max() < 3


def test_with_one_box_its_own_past_is_taken() -> None:
    """A single box is held against where it saw the same cows before."""
    rows = herd(BoxHerd(cows=50, boxes=1, troubles=(replace(SHIFT, box=0),)))
    mine = of(arm(rows), 1, 26.3, 27.3)
    best = mine.loc[mine["value"].idxmax()]

    assert best["value"] > 3
    assert best["against"] == "where this box saw them before"


def test_without_positions_it_cannot_be_told() -> None:
    """An export without teat positions gives readings that say why they are missing."""
    frame = arm(herd(replace(BIG, positions=False)))

    assert len(frame) > 0 and frame["value"].isna().all()
    assert set(frame["why"]) == {"fewer than 5 visits in 12 h show where the teats of a known cow are"}


def test_an_axis_that_is_not_given_counts_as_not_shifted() -> None:
    """An export without heights still shows a shift across."""
    rows = herd(replace(BIG, troubles=(SHIFT,)))
    flat = replace(rows, visits=rows.visits.assign(**dict.fromkeys(wide("z_mm"), np.nan)))

    assert of(arm(flat), 2, 26.3, 27.3)["value"].max() > 3


def scattered(rows: Tables, mm: float) -> Tables:
    """The same herd, each udder seen aside by so much on each axis, another way at each visit."""
    rng = np.random.default_rng(5)
    moved = {
        column: rows.visits[column] + aside
        for axis in ("x_mm", "y_mm", "z_mm")
        for aside in [mm * rng.standard_normal(len(rows.visits))]
        for column in wide(axis)
    }
    return replace(rows, visits=rows.visits.assign(**moved))


def test_positions_that_scatter_are_judged_by_their_own_scatter() -> None:
    """Twice as much scatter, with the arm looked over each day: no box is 3 mm out at the least after the first days,
    and an arm 14 mm out still is."""
    daily = tuple((str(box), n + 0.4 + box / 100, "arm_calibrated") for box in (1, 2, 3) for n in range(26))
    loose = scattered(herd(replace(BIG, events=daily, troubles=(SHIFT,))), 12.0)
    frame = arm(loose)

    assert frame[frame["at"].between(day(5), day(26.3))]["value"].max() < 3
    assert of(frame, 2, 26.3, 27.3)["value"].max() > 4


def test_boxes_set_anew_without_a_log_are_not_out() -> None:
    """Each box is set anew every day, by 1.2 mm or so, and nothing is logged: it is not out, and 14 mm still are."""
    rows = herd(replace(BIG, troubles=(SHIFT,)))
    rng = np.random.default_rng(11)
    stands = 1.2 * rng.standard_normal((3, 40, 3))
    box = rows.visits["box"].astype(int).to_numpy() - 1
    days = ((rows.visits["start"].to_numpy() - day(0.4)) // 86400).clip(0)
    moved = {
        column: rows.visits[column] + stands[box, days, n]
        for n, axis in enumerate(("x_mm", "y_mm", "z_mm"))
        for column in wide(axis)
    }
    frame = arm(replace(rows, visits=rows.visits.assign(**moved)))
    usual = frame[frame["at"].between(day(12), day(26.3))]

    assert usual["value"].max() < 2
    assert of(frame, 2, 26.3, 27.3)["value"].max() > 6
