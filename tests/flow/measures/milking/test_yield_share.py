"""The milk a cow should have given by her own rate, and the share of it obtained."""

from __future__ import annotations

from itertools import pairwise

import pandas as pd
import pytest
from hypothesis import given, settings
from strategies import visit_frames
from text_tables import lines, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.milking.yield_share import FAILED_PCT, INTERRUPTED_PCT
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables

MEASURE = measure_named("yield_share_pct")


def share(visits: pd.DataFrame, **options: float) -> pd.DataFrame:
    """The readings of the share obtained."""
    return MEASURE.compute(Tables(visits=visits), "cow", MEASURE.settings(options)).frame


def milked(*rows: str) -> pd.DataFrame:
    """Visits of cow 7: time, outcome and kg."""
    return table("visits", "cow  start  outcome  milk_kg\n" + "\n".join(f"7  {row}" for row in rows))


@pytest.mark.parametrize(
    ("kg", "value", "kind"), [(4.8, 100, "whole"), (3.84, 80, "whole"), (3.839, 79.979, "interrupted")]
)
def test_interrupted_below_80_percent_of_expected(kg: float, value: float, kind: str) -> None:
    """5,400 g in 540 min and 6,600 g in 660 min are 10 g/min: after 480 min 4,800 g are due, 3,840 g are the limit."""
    # ICAR Guidelines, Section 2: interrupted below 80 % of the expected secretion rate; the figures are worked by hand
    found = share(milked("00:00  milked  7.0", "09:00  milked  5.4", "20:00  milked  6.6", f"1d04:00  milked  {kg}"))

    last = found.iloc[-1]
    assert last["expected_kg"] == pytest.approx(4.8, rel=1e-12)
    assert (last["value"], last["kind"]) == (pytest.approx(value, abs=1e-3), kind)


def test_classes_of_davis() -> None:
    """Whole from 80 %, carried over from 20 %, failed below."""
    # Davis et al. 2005, Proc NZ Soc Anim Prod 65:271: over 80 %, 20 to 80 %, below 20 %
    before = ("00:00  milked  8.0", "08:00  milked  8.0", "16:00  milked  8.0")
    kinds = [share(milked(*before, f"1d00:00  milked  {kg}")).iloc[-1]["kind"] for kg in (8.0, 6.4, 6.3, 1.6, 1.5, 0.0)]

    assert (INTERRUPTED_PCT, FAILED_PCT) == (80, 20)
    assert kinds == ["whole", "whole", "interrupted", "interrupted", "failed", "failed"]


def test_a_failed_visit_ends_no_interval() -> None:
    """The milk due goes on growing over a failed visit; after an incomplete one it grows from there."""
    found = share(
        milked(
            "00:00  milked  8.0",
            "08:00  milked  8.0",
            "16:00  milked  8.0",
            "1d00:00  failed  -",
            "1d02:00  incomplete  4.0",
            "1d06:00  milked  10.0",
        )
    )

    assert shown(found.iloc[3:], "at value milk_kg expected_kg kind") == lines("""
        at       value  milk_kg  expected_kg  kind
        1d00:00  0      0        8            failed
        1d02:00  40     4        10           interrupted
        1d06:00  325    10       3.077        whole
        """)  # her rate at last: 8 + 8 + 4 kg in 8 + 8 + 10 h


def test_why_it_cannot_be_told() -> None:
    """Without a weight, without a rate, and long after the last milking nothing is told, and why is said."""
    found = share(
        milked(
            "00:00  milked  8.0",
            "08:00  milked  8.0",
            "16:00  milked  8.0",
            "1d00:00  milked  -",
            "2d06:00  milked  9.0",
        )
    )

    assert shown(found, "value why") == lines("""
        value  why
        -      she was not milked in the 24 h before
        -      fewer than 2 earlier milkings to tell her rate from
        -      fewer than 2 earlier milkings to tell her rate from
        -      the export has no milk weight for the visit
        -      she was not milked in the 24 h before
        """)


def test_the_rate_is_over_the_stated_period() -> None:
    """With `over` of a day only the milkings of the last day make her rate."""
    rows = (
        "00:00  milked  4.0",
        "08:00  milked  4.0",
        "16:00  milked  4.0",
        "1d00:00  milked  8.0",
        "1d08:00  milked  8.0",
    )
    visits = milked(*rows, "1d16:00  milked  8.0")

    assert share(visits).iloc[-1]["expected_kg"] == pytest.approx((4 + 4 + 8 + 8) / 4)
    assert share(visits, over=float(DAY_S)).iloc[-1]["expected_kg"] == pytest.approx((8 + 8) / 2)


def test_what_the_export_does_not_say_is_computed() -> None:
    """Without a word on how visits ended, each that can be told is whole, interrupted or failed by its milk."""
    rows = ("00:00  -  8.0", "08:00  -  8.0", "16:00  -  8.0", "1d00:00  -  7.0", "1d08:00  -  3.0", "1d16:00  -  0.2")

    assert share(milked(*rows))["kind"].tolist() == ["", "", "", "whole", "interrupted", "failed"]


@settings(max_examples=40, deadline=None)
@given(visits=visit_frames(most=30))
def test_against_plain_words(visits: pd.DataFrame) -> None:
    """Every share is what a plain reading of its definition gives."""
    for row in share(visits).to_dict("records"):
        mine = visits[(visits["cow"] == row["subject"].removeprefix("cow:")) & (visits["start"] <= row["at"])]
        ended, taken = [], 0.0  # what visits that were not whole took goes to the next that ended an interval
        for one in mine[mine["start"] < row["at"]].to_dict("records"):
            silent = pd.isna(one["outcome"]) or one["outcome"] == "unknown"
            if one["outcome"] in ("milked", "incomplete") or (silent and one["milk_kg"] > 0):
                ended.append((int(one["start"]), one["milk_kg"] + taken))
                taken = 0.0
            elif one["outcome"] == "not_whole":
                taken += one["milk_kg"]
        earlier = [one for one in ended if one[0] < row["at"]]
        rates = [
            (round(kg * 1000), at - before)
            for (before, _), (at, kg) in pairwise(earlier)
            if kg >= 0 and at - before <= 24 * HOUR_S and at > row["at"] - 7 * DAY_S
        ]
        here = mine[mine["start"] == row["at"]].iloc[0]
        kg = 0.0 if here["outcome"] == "failed" and pd.isna(here["milk_kg"]) else here["milk_kg"]
        since = row["at"] - earlier[-1][0] if earlier else 0
        grams = sum(one for one, _ in rates)
        due = grams / sum(seconds for _, seconds in rates) * since - 1000 * taken if rates else 0.0
        if pd.isna(kg) or len(rates) < 2 or not 0 < since <= 24 * HOUR_S or not grams or not due > 0:
            assert pd.isna(row["value"]) and row["why"]
        else:
            assert row["value"] == pytest.approx(100 * round(kg * 1000) / due, rel=1e-9)
