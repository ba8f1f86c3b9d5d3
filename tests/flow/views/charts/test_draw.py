"""Charts: whole SVG, the same figures in words, no colour of their own, small."""

from __future__ import annotations

import re

import numpy as np
import pytest
from flow.views.charts.looked_at import SVG, WORDS, read, texts
from hypothesis import given
from hypothesis import strategies as st
from view_farm import AT, alert, rows

from sentinel.flow.views.charts import (
    Picture,
    cow_chart,
    failures_chart,
    late_chart,
    quarter_chart,
    tank_chart,
    teats_chart,
)
from sentinel.flow.views.charts.draw import thinned, ticks
from sentinel.flow.views.charts.failures import Counted, TeatMap
from sentinel.flow.views.parts.cow_weeks import cow_weeks
from sentinel.flow.views.parts.late_cows import Late, LateCows
from sentinel.flow.views.quarter import QuarterPage
from sentinel.flow.views.tank import TankPage


@pytest.mark.parametrize(
    "picture",
    [
        quarter_chart(QuarterPage("217", "LF", (), ()), WORDS, "UTC", AT),
        failures_chart(Counted("2", AT - 60, AT, (), ()), WORDS, "UTC", AT),
        teats_chart(TeatMap("2", AT - 60, AT, ()), WORDS, AT),
        late_chart(LateCows(AT, ()), WORDS, AT),
        cow_chart(cow_weeks("1", rows(), [], {}, AT), WORDS, "UTC"),
        tank_chart(TankPage("1", True, AT, (), (), {}, ()), "cells", WORDS, "UTC", AT),
    ],
)
def test_a_chart_without_figures_says_so(picture: Picture) -> None:
    """In the drawing and in the words, which are one sentence."""
    root = read(picture)
    assert tuple(texts(root)) == picture.sentences
    assert len(picture.sentences) == 1


def test_names_from_exports_and_rules_cannot_break_out() -> None:
    """They stand as text, in the drawing and in its words."""
    bad = '<script>alert("1")</script>&'
    weeks = cow_weeks(bad, rows(), [alert(1, f"cow:{bad}")], {}, AT)
    pictures = [
        late_chart(LateCows(AT, (Late(bad, 20, 14),)), WORDS, AT),
        cow_chart(weeks, WORDS, "UTC"),
        failures_chart(Counted(bad, AT - 60, AT, ((AT, 1, 0.1),), (bad, bad)), WORDS, "UTC", AT),
    ]
    for picture in pictures:
        root = read(picture)
        assert not list(root.iter(f"{SVG}script"))
        assert re.fullmatch(r"[a-z0-9-]+", root.get("aria-labelledby") or "")


@given(st.lists(st.tuples(st.integers(), st.integers()), max_size=300), st.integers(4, 100))
def test_thinned_points_keep_their_order_their_ends_and_their_extremes(
    points: list[tuple[int, int]], most: int
) -> None:
    """So no peak is lost in a small drawing."""
    kept = thinned(points, most)
    assert len(kept) <= most + 2
    assert set(kept) <= set(points)
    if points:
        assert (kept[0], kept[-1]) == (points[0], points[-1])
        assert {min(y for _, y in kept), max(y for _, y in kept)} == {
            min(y for _, y in points),
            max(y for _, y in points),
        }


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6))
def test_a_scale_has_few_round_steps_within_its_ends(low: float, span: float) -> None:
    """At most six, evenly apart."""
    found = ticks(low, low + span)
    assert 1 <= len(found) <= 6
    assert all(low - span * 1e-6 <= value <= low + span * (1 + 1e-6) for value in found)
    assert len(found) < 3 or np.allclose(np.diff(found), found[1] - found[0], atol=1e-9)
