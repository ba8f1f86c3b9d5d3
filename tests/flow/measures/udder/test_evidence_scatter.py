"""Evidence where readings scatter: a noisy sensor, a restless cow, and readings that a cup that came off leaves out."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from quarters_of_a_herd import ALL, LF, changed, evidence, herd, of_cow

from sentinel.flow.model import DAY_S

NAN = math.nan


def scattered(visits: pd.DataFrame, rows: np.ndarray, sd: float, *columns: str) -> pd.DataFrame:
    """The visits with more scatter in some figures."""
    chance = np.random.default_rng(8)
    visits = visits.copy()
    for column in columns:
        visits.loc[rows, column] *= np.exp(sd * chance.standard_normal(len(rows)))
    return visits


def test_a_noisy_sensor_is_judged_by_its_own_scatter() -> None:
    """Where one sensor scatters by 6 % its readings need so much more to count; at the other box they count as ever."""
    visits = herd(days=24, cows=30)
    at_box = np.flatnonzero(visits["box"] == "2")
    frame = evidence(scattered(visits, at_box, 0.06, LF))
    front = frame[frame["subject"].str.endswith("LF") & (frame["at"] > 12 * DAY_S)]
    by_box = front.groupby("box")["_spread"].median()

    assert by_box["2"] > 2 * by_box["1"]
    assert (front["value"] > 4).mean() < 0.004
    blind = front["_rise_sd"] * front["_spread"] / 0.02  # with the same scatter expected of all
    assert (blind.abs() > 3).mean() > 0.1


def test_a_restless_cow_is_judged_by_her_own_scatter() -> None:
    """A cow whose four quarters scatter by 5 % has wider limits than the others, and as few alerts."""
    visits = herd(days=24)
    hers = np.flatnonzero(visits["cow"] == "14")
    frame = evidence(scattered(visits, hers, 0.05, *ALL))
    late = frame[frame["at"] > 14 * DAY_S]
    of_cow_14 = late["subject"].str.startswith("quarter:14/")

    assert late[of_cow_14]["_spread"].median() > 1.7 * late[~of_cow_14]["_spread"].median()
    assert (late[of_cow_14]["value"] > 4).mean() < 0.01


@pytest.mark.parametrize("lost", [False, True], ids=["read", "no reading"])
def test_an_episode_on_both_sides_of_a_cup_that_came_off_stands(lost: bool) -> None:
    """High, kicked off, high, and more milk the second time, of what was left: as much evidence as by these two alone.

    Without the first of them, what was left may explain it.
    """
    visits = herd()
    first, off, last = of_cow(visits, "14", 3)
    high = np.array([first, last])
    alone = changed(visits, high, 1.3, LF)
    alone.loc[last, "lf_milk_kg"] = NAN
    never = evidence(alone.drop(index=off).reset_index(drop=True), "quarter:14/LF").iloc[-1]
    visits.loc[off, ["outcome", "lf_kicked_off"]] = ["incomplete", 1.0]
    visits.loc[off, "lf_milk_kg"] *= 0.3
    visits.loc[last, "lf_milk_kg"] *= 1.35
    if lost:
        visits.loc[off, LF] = NAN
    both = evidence(changed(visits, high, 1.3, LF), "quarter:14/LF").iloc[-1]
    after = evidence(changed(visits, high[1:], 1.3, LF), "quarter:14/LF").iloc[-1]

    for points in ("rise_points", "ewma_points"):
        assert both[points] == pytest.approx(never[points], abs=0.2)
    assert both["rise_points"] + both["ewma_points"] > 3.9
    assert both["yield_points"] == pytest.approx(never["yield_points"], abs=0.1)
    assert after["rise_points"] < 0.6 * both["rise_points"]
