"""A quarter's chart: its line against the others', its bound, the rule's own measure below."""

from __future__ import annotations

from flow.views.charts.looked_at import SVG, WORDS, count, read, readings, texts
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import moment
from view_farm import AT

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.views.charts import (
    quarter_chart,
)
from sentinel.flow.views.charts.series import Series


def test_a_quarter_is_drawn_against_the_others_with_bound_and_the_moment_it_was_raised() -> None:
    """Its line with dots, the others dashed, a cross where the cup came off, the rule's own measure below."""
    page = readings((4.5, 4.4, False), (4.6, 4.5, False), (9.9, 4.5, True), (6.2, 4.6, False), (6.0, 4.5, False))
    measured = Series(((AT - HOUR_S, 1.0), (AT, 5.5)), "points", 4.0, 6.0, True)
    picture = quarter_chart(page, WORDS, "UTC", AT, measured, None, [moment("1d05:00"), moment("-30d00:00")])
    root = read(picture)
    assert count(root, "line-own", "M") == 4 + 2 + 1  # own readings, the measure's, and the key
    assert count(root, "mark", "M") == 2  # the cross, and the one in the key
    assert {"mS/cm", "points", "bound 4", "cannot wait: 6", "raised 05:00", "this quarter"} <= set(texts(root))
    dashed = {line.get("class"): line.get("stroke-dasharray") for line in root.iter(f"{SVG}polyline")}
    assert (dashed["line-own"], dashed["line-other"], dashed["limit"]) == (None, "6 3", "2 3")
    assert picture.title == "Cow 217, left front quarter: conductivity over 14 days against her other quarters"
    assert picture.sentences == (
        "This quarter: first 4,5 mS/cm, last 6, highest 6,2 (04:00).",
        "Mean of the others: first 4,4 mS/cm, last 4,5, highest 4,6 (04:00).",
        "Its cup came off early at 1 of these milkings.",
        "Signs of a change: 5,5 points at the last milking, highest 5,5 (12:00). The rule's bound is 4.",
        "Raised 05:00.",
    )


def test_a_bound_in_the_quarters_own_unit_is_a_line_among_the_readings() -> None:
    """Without another measure there is no lower part."""
    picture = quarter_chart(readings((4.5, 4.4, False)), WORDS, "UTC", AT, limit=6.5)
    assert "bound 6,5" in texts(read(picture))
    assert "The bound is 6,5 mS/cm." in picture.sentences


FIGURE = st.floats(0.1, 12.0, allow_nan=False)
MILKING = st.tuples(FIGURE, st.none() | FIGURE, st.booleans())


@settings(max_examples=30, deadline=None)
@given(st.lists(MILKING, max_size=80), st.lists(st.tuples(st.integers(AT - 14 * DAY_S, AT), FIGURE), max_size=300))
def test_a_chart_of_any_figures_is_whole_and_small(
    milkings: list[tuple[float, float | None, bool]], measured: list[tuple[int, float]]
) -> None:
    """However many, and however they lie; even six milkings a day, and a measure read far more often."""
    read(quarter_chart(readings(*milkings), WORDS, "UTC", AT, Series(tuple(sorted(measured)), "points", 4, 6, True)))
