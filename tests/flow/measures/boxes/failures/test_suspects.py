"""The suspects when two things are wrong at once: two boxes are not the herd, slow optics on a bad day are optics."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd
import pytest
from box_herd import BoxHerd, Trouble, day, tables_of
from text_tables import asked

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.boxes.failures.suspects import herd_share
from sentinel.flow.tables import Tables

BIG = BoxHerd(cows=120, days=30, seed=3)
OPTICS = Trouble(26.3, 27.3, box=1, failed=0.4, attach=0.6)
OTHER_BOX = Trouble(26.3, 27.3, box=2, failed=0.4, shift_mm=(12.0, 0.0, 0.0))
BAD_DAY = Trouble(26.3, 27.3, failed=0.25)
ONE_COW = Trouble(25.0, 28.0, cow=7, failed=0.9)


@cache
def herd(*troubles: Trouble) -> Tables:
    """The tables of a herd with these troubles, made once."""
    return tables_of(replace(BIG, troubles=troubles))


def strongest(rows: Tables, subject: str, measure: str = "failures_beyond_chance") -> pd.Series:
    """The reading with the most evidence of the day of the troubles."""
    one = measure_named(measure)
    frame = asked(one.compute(rows, subject.partition(":")[0], one.settings({})).frame)
    mine = frame[(frame["subject"] == subject) & frame["at"].between(day(26.3), day(27.3))]
    return mine.loc[mine["value"].idxmax()]


def likeliest(found: pd.Series) -> str:
    """The first suspect's name."""
    return str(found["suspects"][0]["name"])


def share(rows: Tables) -> float:
    """How well the herd explains the day of the troubles, over one or two boxes."""
    return float(herd_share(Case.of(rows), np.array([day(26.3)]), np.array([day(27.3)]))[0])


def test_two_boxes_at_fault_are_not_the_herd() -> None:
    """The third box attaches as usual: each of the two is named by itself, and nothing is raised of the herd."""
    rows = herd(OPTICS, OTHER_BOX)

    assert likeliest(strongest(rows, "box:2")) == "optics"
    assert likeliest(strongest(rows, "box:3")) == "arm"
    assert share(rows) < 0.001
    assert strongest(rows, "herd")["value"] < 12


def test_all_boxes_at_once_are_still_the_herd() -> None:
    """With the same cows and the third box as bad as the others."""
    rows = herd(BAD_DAY)

    assert share(rows) == 1.0
    assert strongest(rows, "herd")["value"] > 12
    assert likeliest(strongest(rows, "herd")) == "herd"


def test_slow_optics_on_a_bad_day_are_the_optics() -> None:
    """The whole herd fails, but only this box is slow as well."""
    rows = herd(OPTICS, BAD_DAY)

    assert likeliest(strongest(rows, "box:2", "attach_drift_pct")) == "optics"
    assert share(rows) > 0.5


@pytest.mark.parametrize("trouble", [OPTICS, OTHER_BOX])
def test_a_box_at_fault_does_not_hide_behind_a_cow(trouble: Trouble) -> None:
    """A cow that fails wherever she goes does not explain shifted teats, nor a longer time."""
    rows = herd(trouble, ONE_COW)
    box = f"box:{(trouble.box or 0) + 1}"
    measure = "arm_offset_mm" if trouble is OTHER_BOX else "attach_drift_pct"

    assert likeliest(strongest(rows, box, measure)) == ("arm" if trouble is OTHER_BOX else "optics")


def test_nothing_asked_is_nothing_said() -> None:
    """No window, no share."""
    none = np.zeros(0, np.int64)

    assert len(herd_share(Case.of(herd()), none, none)) == 0
