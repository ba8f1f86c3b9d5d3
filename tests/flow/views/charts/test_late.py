"""The late cows as bars."""

from __future__ import annotations

from flow.views.charts.looked_at import SVG, WORDS, read, texts
from view_farm import AT

from sentinel.flow.views.charts import late_chart
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
