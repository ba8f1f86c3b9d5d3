"""The list of a milk recording: who is new, who is high again, who brings most; by hand, and cow by cow."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import DAY_0, NAN, frame_of
from text_tables import lines, shown, table

from sentinel.flow.language import rendered
from sentinel.flow.language.words import ENGLISH
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.cells.recording import NO_COUNTS
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import COW_TESTS, Tables

MEASURE = measure_named("recording_high_cows")


def readings(tests: pd.DataFrame, **options: float) -> pd.DataFrame:
    """The measure's readings of the cows' tests."""
    return MEASURE.compute(Tables(cow_tests=tests), "recording", MEASURE.settings(options)).frame


def month(begin: str, *cells: str, kg: float = 20) -> str:
    """Tests of cows 1, 2, 3 ... at one moment."""
    return "".join(f"{cow}  {begin}  {one}  {kg}\n" for cow, one in enumerate(cells, start=1))


def of_rows(text: str) -> pd.DataFrame:
    """Rows of tests."""
    return table("cow_tests", "cow  at  cells_k_ml  milk_kg\n" + text)


def rows_of(row: Any) -> list[dict[str, Any]]:
    """The cows that a reading lists."""
    return rendered(row["listed"].now(), ENGLISH)


def test_who_is_new_who_is_high_again_and_who_still_is() -> None:
    """Over three months: 1 new, 2 again, 3 still, 4 not over, 5 for the first time tested."""
    months = [month("00:00", "90", "300", "300", "100"), month("28d00:00", "90", "150", "400", "100")]
    found = readings(of_rows("".join(months) + month("56d00:00", "250", "300", "500", "100", "1000")))
    last = found[found["value"] > 0].iloc[-1]

    assert shown(found, "subject at value states") == lines("""
        subject               at        value  states
        recording:2024-06-03  00:00     2      2 at the first test known
        recording:2024-06-03  28d00:00  0      -
        recording:2024-06-03  56d00:00  0      -
        recording:2024-07-01  28d00:00  1      1 still high
        recording:2024-07-01  56d00:00  0      -
        recording:2024-07-29  56d00:00  4      1 new, 1 at the first test known, 1 high again, 1 still high
        """)
    assert [(one["cow"], one["state"], one["previous"]) for one in rows_of(last)] == [
        *(("1", "new", 90.0), ("5", "first", None), ("2", "again", 150.0), ("3", "still", 400.0)),
    ]
    assert [one["said"] for one in rows_of(last)][:2] == [
        "Cow 1: 250 k/ml (new; 90 at the test before)",
        "Cow 5: 1000 k/ml (first)",
    ]


def test_who_brings_most_by_hand() -> None:
    """Cells times milk over the sum; a cow that is not over the limit may bring more than one that is."""
    # by hand: 100 x 40 = 4000, 190 x 50 = 9500, 250 x 4 = 1000, 300 x 35 = 10500; together 25000 in 129 kg
    text = "1  00:00  100  40\n2  00:00  190  50\n3  00:00  250  4\n4  00:00  300  35"
    (found,) = readings(of_rows(text)).to_dict("records")

    assert (found["most_cow"].now(), found["most_share_pct"].now()) == ("4", 42.0)
    assert found["tank_k_ml"] == pytest.approx(25000 / 129)
    assert [(one["cow"], one["state"], one["share_pct"]) for one in rows_of(found)] == [
        *(("4", "first", 42.0), ("3", "first", 4.0), ("2", "low", 38.0), ("1", "low", 16.0)),
    ]


def test_without_weights_nobody_brings_most() -> None:
    """The counts are told all the same."""
    (found,) = readings(of_rows("1  00:00  300  -\n2  00:00  90  -")).to_dict("records")

    assert (found["value"], found["most_cow"].now(), found["most_share_pct"].now()) == (1, None, None)
    assert [(one["cow"], one["share_pct"]) for one in rows_of(found)] == [("1", None)]


def test_counts_that_are_missing() -> None:
    """A cow without a count is counted as such, and gives way to a count; with no count at all it cannot be told."""
    found = readings(of_rows(month("00:00", "-", "300", "0", "-") + "4  06:00  90  20\n2  06:00  -  20"))

    assert shown(found, "at value cows uncounted") == lines("""
        at     value  cows  uncounted
        00:00  1      1     3
        06:00  1      2     2
        """)
    (unknown,) = readings(of_rows(month("00:00", "-", "-"))).to_dict("records")
    assert np.isnan(unknown["value"]) and unknown["why"] == NO_COUNTS


def test_a_recording_without_counts_ends_none() -> None:
    """Kilos alone say nothing of cells: what stood before still stands; the one after ends both."""
    text = month("00:00", "300", "90") + month("28d00:00", "-", "-") + month("56d00:00", "90", "90")
    found = readings(of_rows(text))

    assert shown(found, "subject at value") == lines("""
        subject               at        value
        recording:2024-06-03  00:00     1
        recording:2024-06-03  56d00:00  0
        recording:2024-07-01  28d00:00  -
        recording:2024-07-01  56d00:00  0
        recording:2024-07-29  56d00:00  0
        """)


def test_a_single_test_in_between_is_put_into_the_list() -> None:
    """A cow that was high and is not any more leaves it, one that is now comes on it; each by her newest count."""
    herd = month("00:00", "90", "300", "90", "90", "90", "90", "90")
    found = readings(of_rows(herd + "2  10d00:00  80  20\n3  12d00:00  600  20"))

    assert [(one["value"], [c["cow"] for c in rows_of(one) if c["state"] != "low"]) for _, one in found.iterrows()] == [
        *((1, ["2"]), (0, []), (1, ["3"])),
    ]


def test_the_limit_is_strict_and_a_setting() -> None:
    """200 k/ml, a linear score of 4, is not over."""
    tests = of_rows(month("00:00", "200", "200.1", "160"))

    assert list(readings(tests)["value"]) == [1]
    assert list(readings(tests, limit=150)["value"]) == [3]


def test_cells_counted_at_each_milking_leave_nothing_standing() -> None:
    """The last reading of what was taken for a recording has no cow on it."""
    found = readings(of_rows("".join(month(f"{day}d06:00", "300", "90") for day in range(20))))

    assert set(found["subject"]) == {"recording:2024-06-03"}
    assert (list(found["value"])[:11], list(found["value"])[11:]) == ([1.0] * 11, [0.0])


counts = st.sampled_from((NAN, 0.0, 60.0, 199.5, 200.0, 201.0, 640.0))
years = st.lists(
    st.tuples(
        st.sampled_from(("7", "8", "9", "10", "11")),
        st.integers(0, 25).map(lambda month: month * 28 * DAY_S),
        st.sampled_from((0, 0, 0, 6 * HOUR_S, *(n * 30 * HOUR_S for n in range(1, 10)))),
        counts,
        st.sampled_from((NAN, 22.0, 31.5)),
    ),
    max_size=60,
)


def rows(given_rows: list[tuple[Any, ...]]) -> pd.DataFrame:
    """Rows of two years as a frame, each cow and moment once."""
    by_key = {(cow, at + more): (cells, kg) for cow, at, more, cells, kg in given_rows}
    keys = sorted(by_key, key=lambda key: (key[1], key[0]))
    return frame_of(
        COW_TESTS,
        [{"cow": c, "at": DAY_0 + at, "cells_k_ml": by_key[c, at][0], "milk_kg": by_key[c, at][1]} for c, at in keys],
    )


@settings(max_examples=25, deadline=None)
@given(given_rows=years)
def test_two_years_are_read_as_the_days_of_them(given_rows: list[tuple[Any, ...]]) -> None:
    """What is read at a moment is the same from all rows and from those of its lookback, recordings before it too."""
    tests = rows(given_rows)
    whole = readings(tests)
    for at in sorted(set(whole["at"])):
        part = readings(tests[(tests["at"] > at - MEASURE.lookback_s) & (tests["at"] <= at)].reset_index(drop=True))
        one, other = (frame[frame["at"] == at].sort_values("subject").reset_index(drop=True) for frame in (whole, part))
        pd.testing.assert_frame_equal(one, other, check_exact=True)


def test_what_was_no_recording_is_none_for_who_looks_back_less() -> None:
    """One cow's test 199 days ago would pass for a recording without the tests before it."""
    tests = of_rows(month("00:00", *["300"] * 9) + "1  20d00:00  300  20\n" + month("219d00:00", "90", "90"))
    begins = tests["at"].iloc[-1] - MEASURE.lookback_s
    whole, part = readings(tests), readings(tests[tests["at"] > begins].reset_index(drop=True))

    assert shown(whole[whole["at"] == tests["at"].iloc[-1]], "subject value") == lines("""
        subject               value
        recording:2025-01-08  0
        """)
    assert list(part["subject"][part["at"] == tests["at"].iloc[-1]]) == ["recording:2025-01-08"]


@settings(max_examples=25, deadline=None)
@given(given_rows=years)
def test_each_cow_is_listed_as_her_own_measure_has_her(given_rows: list[tuple[Any, ...]]) -> None:
    """Her count, her state and the test before are those of `cow_cells_k_ml`; as many are listed as are counted."""
    tests = rows(given_rows)
    own = measure_named("cow_cells_k_ml")
    of_cow = own.compute(Tables(cow_tests=tests), "cow", own.settings({})).frame
    hers = {(row["subject"], row["at"]): row for row in of_cow.to_dict("records")}
    for _, reading in readings(tests).iterrows():
        if reading["cows"] is None or not reading["cows"] > 0:
            continue
        cows = rows_of(reading)
        high = [one for one in cows if one["state"] != "low"]
        assert len(high) == reading["value"] and len({one["cow"] for one in cows}) == len(cows)
        for one in cows:
            row = hers[f"cow:{one['cow']}", one["tested_at"]]
            told = {"persistent": "still"}.get(str(row["state"]), str(row["state"]))
            before = None if np.isnan(row["previous"]) else row["previous"]
            assert (one["cells_k_ml"], one["state"], one["previous"]) == (row["value"], told, before)
