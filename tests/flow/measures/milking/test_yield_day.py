"""What a cow gives in a day, and how often she is milked."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from text_tables import lines, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.milking.yield_day import DAY_OVER_S
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables, empty_frame, table_named


def readings(name: str, visits: pd.DataFrame) -> pd.DataFrame:
    """The readings of a measure of the cow's milk."""
    measure = measure_named(name)
    return measure.compute(Tables(visits=visits), "cow", measure.settings({})).frame


def milked(*rows: str) -> pd.DataFrame:
    """Visits of cow 7: time, outcome and kg."""
    return table("visits", "cow  start  outcome  milk_kg\n" + "\n".join(f"7  {row}" for row in rows))


def every_8_h(days: float, kg: Callable[[float], float]) -> pd.DataFrame:
    """Milkings of cow 7 every 8 h for so many days; `kg` gives the milk by the day."""
    number = int(3 * days)
    frame = empty_frame(table_named("visits")).reindex(range(number))
    frame["cow"], frame["box"], frame["outcome"] = "7", "1", "milked"
    frame["start"] = np.arange(number, dtype=np.int64) * 8 * HOUR_S
    frame["milk_kg"] = [kg(n / 3) for n in range(number)]
    return frame


def test_24_hour_yield_is_over_96_hours_of_whole_intervals() -> None:
    """24 h x milk / time, of milkings whose interval began within the 96 h; the first of them only begins one."""
    found = readings("yield_24h_kg", every_8_h(6, lambda day: 8.0 if day < 4 else 10.0))

    last = found.iloc[-1]  # at 136 h: the milking at 40 h is too old, that at 48 h begins: 5 of 8 kg, 6 of 10 kg
    assert (last["value"], last["hours"]) == (pytest.approx(24 * (5 * 8 + 6 * 10) / 88), 88)


def test_24_hour_yield_evens_out_an_incomplete_milking() -> None:
    """What is left behind and milked next time is in the sum; a visit without a weight takes its interval with it."""
    found = readings(
        "yield_24h_kg",
        milked(
            "00:00  milked  9.0",
            "08:00  incomplete  3.0",
            "10:00  milked  7.0",
            "16:00  failed  -",
            "18:00  milked  8.0",
            "1d00:00  milked  -",
            "1d12:00  milked  12.0",
        ),
    )

    assert shown(found, "at value hours why") == lines("""
        at       value  hours  why
        00:00    -      0      too few of her milkings lately have a milk weight
        08:00    -      8      too few of her milkings lately have a milk weight
        10:00    -      10     too few of her milkings lately have a milk weight
        18:00    -      18     too few of her milkings lately have a milk weight
        1d00:00  -      18     too few of her milkings lately have a milk weight
        1d12:00  24     30     -
        """)


@pytest.mark.parametrize(("every_h", "a_day"), [(8, 3.0), (9.6, 2.5), (24, 1.0)])
def test_milkings_a_day(every_h: float, a_day: float) -> None:
    """24 h over the mean interval of the last 96 h."""
    visits = every_8_h(6, lambda day: 8.0)
    visits["start"] = (np.arange(len(visits)) * every_h * HOUR_S).astype(np.int64)

    assert readings("milkings_a_day", visits)["value"].iloc[-1] == pytest.approx(a_day)


def test_cows_do_not_mix() -> None:
    """Each cow's milk is her own, whatever stands beside it."""
    one = every_8_h(20, lambda day: 8.0)
    other = every_8_h(20, lambda day: 3.0).assign(cow="9")
    both = pd.concat([one, other], ignore_index=True).sort_values(["start", "cow"], ignore_index=True)

    for name in ("yield_24h_kg", "milkings_a_day"):
        pd.testing.assert_frame_equal(
            readings(name, both)[lambda f: f["subject"] == "cow:7"].reset_index(drop=True), readings(name, one)
        )


def test_day_constants() -> None:
    """The window of the 24-hour yield is the 96 h of the guidelines; three days more tell how its visits ended."""
    assert DAY_OVER_S == 4 * DAY_S
    assert measure_named("yield_24h_kg").lookback_s == 7 * DAY_S
