"""A cow's last cell counts drawn against the bound."""

from __future__ import annotations

from flow.views.charts.looked_at import SVG, WORDS, read, texts
from text_tables import moment

from sentinel.flow.views.charts import cells_chart
from sentinel.flow.views.charts.cells import MOST_TESTS, WIDE
from sentinel.flow.views.cow import CowTest


def recorded(*cells: float | None) -> list[CowTest]:
    """Tests every thirty days, the newest first."""
    return [CowTest(moment(f"-{30 * n}d00:00") if n else moment("00:00"), one, 30.0) for n, one in enumerate(cells)]


def test_the_newest_is_the_last_bar_and_the_full_one() -> None:
    """At most six bars, the others pale; the bound lies across them."""
    picture = cells_chart("7", recorded(410, 90, 120, 80, 70, 60, 50, 40), 200, WORDS)
    root = read(picture, WIDE)
    bars = list(root.iter(f"{SVG}rect"))

    assert [bar.get("class") for bar in bars] == ["bar"] * (MOST_TESTS - 1) + ["bar own"]
    assert float(bars[-1].get("height") or 0) == max(float(bar.get("height") or 0) for bar in bars)
    assert [one.get("class") for one in root.iter(f"{SVG}polyline")] == ["axis", "limit"]
    assert picture.sentences[-2].endswith(": 410 thousand per ml.")
    assert picture.sentences[-1] == "Bound: 200."


def test_a_test_without_a_count_says_so() -> None:
    """In words, and by a mark in its place."""
    picture = cells_chart("7", recorded(None, 90), 200, WORDS)

    assert "?" in texts(read(picture, WIDE))
    assert picture.sentences[1].endswith(": no cell count.")


def test_without_a_bound_or_a_test_nothing_is_made_up() -> None:
    """No line without a rule, no bar without a test."""
    assert [
        one.get("class") for one in read(cells_chart("7", recorded(90), None, WORDS), WIDE).iter(f"{SVG}polyline")
    ] == ["axis"]
    assert cells_chart("7", [], 200, WORDS).sentences == ("no milk recording",)
