"""The cows' charts: who is late, and the time line of one."""

from __future__ import annotations

from flow.views.charts.looked_at import SVG, WORDS, count, read, texts
from view_farm import AT, alert, rows

from sentinel.flow.views.charts import (
    cow_chart,
    late_chart,
)
from sentinel.flow.views.cow import cow_page
from sentinel.flow.views.parts.late_cows import Late, LateCows


def test_late_cows_are_bars_with_their_bounds() -> None:
    """The longest first, at most twelve and the one that is meant; the words say how many more there are."""
    cows = tuple(Late(str(n), 40.0 - n, 26.0 if n == 3 else 14.0) for n in range(20))
    picture = late_chart(LateCows(AT, cows), WORDS, AT, "17")
    root = read(picture)
    bars = [part.get("class") for part in root.iter(f"{SVG}rect")]
    assert bars == ["bar"] * 12 + ["bar own", "bar"]
    assert {"0", "17", "40 h", "23 h"} <= set(texts(root))
    assert picture.sentences[0] == "Known until 12:00."
    assert "Cow 3: 37 h, bound 26 h." in picture.sentences
    assert picture.sentences[-1] == "7 more cows are late."


def test_a_cows_time_line_marks_what_went_wrong() -> None:
    """Bars for kg, a square for an incomplete milking, a cross below for one that failed, a stroke for one not due."""
    visits = """
cow  start    box  outcome     milk_kg
7    06:00    1    milked      12
7    14:00    1    incomplete  4
7    16:00    1    failed      -
7    17:00    1    failed      -
7    1d02:00  2    refused     -
7    1d06:00  2    milked      11
"""
    page = cow_page("7", rows(visits=visits), [alert(1, "cow:7", since="1d04:00")], "UTC", AT)
    picture = cow_chart(page, WORDS, "UTC", AT)
    root = read(picture)
    assert count(root, "bars", "M") == 3
    assert count(root, "mark", "z") == 1 + 1  # with the key
    assert count(root, "tip", "M") == 1  # the alert stands
    assert {"incomplete", "not attached", "not due", "alert"} <= set(texts(root))
    assert picture.sentences == (
        "2 whole milkings, 1 incomplete, 2 not attached, 1 not due.",
        "13,5 kg a day on average.",
        "Last milked 06:00.",
        "Alert 04:00: about cow:7.",
    )
