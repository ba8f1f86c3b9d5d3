"""A box's charts: failures beside those expected, and teats where each box sees them."""

from __future__ import annotations

import re

from flow.views.charts.looked_at import SVG, WORDS, count, read
from hypothesis import given, settings
from hypothesis import strategies as st
from view_farm import AT

from sentinel.flow.model import DAY_S
from sentinel.flow.views.charts import (
    failures_chart,
    teats_chart,
)
from sentinel.flow.views.charts.failures import Counted, Teat, TeatMap


def test_failures_stand_beside_those_expected() -> None:
    """A stair of what failed, a dashed line of what was expected; cows that failed again are named in the words."""
    steps = ((AT - 3000, 1, 0.1), (AT - 2000, 1, 0.2), (AT - 1000, 2, 0.25), (AT, 3, 0.4))
    picture = failures_chart(Counted("2", AT - 4000, AT, steps, ("82", "9", "82")), WORDS, "UTC", AT, [AT - 1000])
    assert count(read(picture), "line-own", "M") == 3 + 1  # three failures, and the key
    assert picture.sentences == (
        "From 10:53 to 12:00: 3 of 4 failed, 0,4 usual.",
        "Cows that failed more than once: 82 (2).",
        "Raised 11:43.",
    )


def test_teats_are_drawn_where_each_sees_them() -> None:
    """Left of the usual place where the box sees them to the left; the cow's head is up."""
    found = TeatMap("2", AT - 3600, AT, tuple(Teat(q, along, right, 0.4, -11.3, 23) for q, along, right in (
        ("LF", 55, -60), ("RF", 55, 60), ("LR", -55, -40), ("RR", -55, 40))))  # fmt: skip
    picture = teats_chart(found, WORDS, AT)
    root = read(picture)
    dots = next(part for part in root.iter(f"{SVG}path") if part.get("class") == "line-own").get("d") or ""
    squares = next(part for part in root.iter(f"{SVG}path") if part.get("class") == "line-other").get("d") or ""
    here = [tuple(map(float, xy)) for xy in re.findall(r"M([\d.]+),([\d.]+)", dots)]
    usual = [tuple(x + 4 for x in map(float, xy)) for xy in re.findall(r"M([\d.]+),([\d.]+)", squares)]
    assert all(a[0] < b[0] for a, b in zip(here, usual, strict=True))
    assert usual[0][1] < usual[2][1]  # front above rear
    assert usual[0][0] < usual[1][0]  # left of right
    assert picture.sentences[1] == "Left front: seen 11,3 mm to the left and 0,4 mm to the front."


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 14 * DAY_S), st.booleans()), max_size=400))
def test_failures_of_any_box_make_a_whole_and_small_chart(tries: list[tuple[int, bool]]) -> None:
    """Also a box that fails hundreds of times."""
    steps, failed = [], 0
    for n, (back, bad) in enumerate(sorted(tries, reverse=True)):
        failed += bad
        steps.append((AT - back, failed, n * 0.04))
    read(failures_chart(Counted("2", AT - 14 * DAY_S, AT, tuple(steps), ()), WORDS, "UTC", AT))
